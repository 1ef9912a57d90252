//! The schemas and the readers know the same keys.

use super::*;
use crate::input::text::Source;
use rstest::rstest;

fn library() -> Library {
    Library::built_in().expect("it is proved elsewhere")
}

/// The keys that a reader says it knows, when it meets one that it does not.
fn keys_of_reader(problems: &[crate::problem::Problem]) -> Vec<String> {
    let help = problems
        .iter()
        .find_map(|problem| problem.help.strip_prefix("Keys here: "))
        .expect("a strange key was met");
    let mut keys: Vec<String> = help
        .trim_end_matches('.')
        .replace(" or ", ", ")
        .split(", ")
        .map(str::to_owned)
        .collect();
    keys.sort();
    keys
}

fn keys_of_schema(schema: &Value) -> Vec<String> {
    let properties = schema["properties"].as_object().expect("it is a table");
    let mut keys: Vec<String> = properties.keys().cloned().collect();
    keys.sort();
    keys
}

fn source(text: &str) -> Source {
    Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file")
}

const ZZ: &str = "zzzzzz: 1";

#[rstest]
#[case("", "/", "title: T\n")]
#[case("", "/properties/sections/items", "sections:\n- name: A\n  ")]
#[case("talk: 1", "/$defs/step/anyOf/0", "sections:\n- steps:\n  - ")]
#[case("move: wall", "/$defs/step/anyOf/1", "sections:\n- steps:\n  - ")]
#[case("own: x", "/$defs/step/anyOf/2", "sections:\n- steps:\n  - ")]
#[case("repeat: 2", "/$defs/step/anyOf/3", "sections:\n- steps:\n  - ")]
#[case(
    "repeat: 2",
    "/$defs/step_of_a_run/anyOf/1",
    "sections:\n- steps:\n  - steps:\n    - "
)]
fn a_class_knows_the_same_keys(#[case] key: &str, #[case] at: &str, #[case] before: &str) {
    let library = library();
    let own = if key.is_empty() {
        String::new()
    } else {
        format!("{key}, ")
    };
    let text = match at {
        "/" | "/properties/sections/items" => format!("{before}{ZZ}\n"),
        _ => format!("{before}{{{own}{ZZ}}}\n"),
    };
    let problems = crate::input::class::read(source(&text), &library).expect_err("a strange key");
    let schema = class(&library);
    let part = if at == "/" {
        &schema
    } else {
        schema.pointer(at).expect("the part is there")
    };
    let mut schema_keys = keys_of_schema(part);
    let reader_keys = keys_of_reader(&problems);
    // `posture` is not asked for once `own` is met.
    if key == "own: x" {
        schema_keys.retain(|key| key != "posture");
    }
    assert_eq!(schema_keys, reader_keys);
}

#[rstest]
#[case("students: []\nzzzzzz: 1\n", "")]
#[case("students:\n- {name: A, zzzzzz: 1}\n", "/properties/students/items")]
#[case(
    "students:\n- {name: A, limitations: [{what: knee, zzzzzz: 1}]}\n",
    "/$defs/told/anyOf/0"
)]
#[case(
    "students:\n- {name: A, guidance: [{from: physio, zzzzzz: 1}]}\n",
    "/properties/students/items/properties/guidance/items"
)]
#[case(
    "students:\n- {name: A, fixed: [{line: 1, posture: tree, zzzzzz: 1}]}\n",
    "/properties/students/items/properties/fixed/items"
)]
fn a_roster_knows_the_same_keys(#[case] text: &str, #[case] at: &str) {
    let library = library();
    let problems = crate::input::roster::read(source(text), &library).expect_err("a strange key");
    let schema = roster(&library);
    let part = schema.pointer(at).expect("the part is there");
    assert_eq!(keys_of_schema(part), keys_of_reader(&problems));
}

#[test]
fn settings_know_the_same_keys() {
    let library = library();
    let problems = crate::input::settings::read(source("spoken: 2\nzzzzzz: 1\n"), &library)
        .expect_err("a strange key");
    assert_eq!(
        keys_of_schema(&settings(&library)),
        keys_of_reader(&problems)
    );
}

/// What a part of a schema says: the words and the borders of the readers.
#[rstest]
#[case("/title", json!("kindfold: a class plan"))]
#[case("/properties/title/anyOf/0/type", json!("string"))]
#[case("/properties/date/type", json!("string"))]
#[case("/properties/start/type", json!("string"))]
#[case("/properties/minutes/maximum", json!(480.0))]
#[case("/properties/breath_seconds/minimum", json!(3.0))]
#[case("/properties/padded/anyOf/0/type", json!("boolean"))]
#[case("/properties/sections/type", json!("array"))]
#[case("/$defs/step/anyOf/0/properties/talk/maximum", json!(120.0))]
#[case("/$defs/step/anyOf/1/required/0", json!("move"))]
#[case("/$defs/step/anyOf/1/properties/takes/maximum", json!(480.0))]
#[case("/$defs/step/anyOf/2/properties/posture/$ref", json!("#/$defs/posture"))]
#[case("/$defs/step/anyOf/2/properties/side/enum", json!(["left", "right", "each", "none"]))]
#[case("/$defs/step/anyOf/2/properties/first/enum", json!(["left", "right"]))]
#[case("/$defs/step/anyOf/2/properties/or/type", json!("array"))]
#[case("/$defs/step/anyOf/2/properties/props/properties/block/maximum", json!(1000))]
#[case("/$defs/step/anyOf/3/properties/repeat/maximum", json!(100))]
#[case("/$defs/step/anyOf/3/properties/steps/items/$ref", json!("#/$defs/step_of_a_run"))]
#[case("/$defs/step_of_a_run/anyOf/0/properties/side/enum", json!(["left", "right", "none"]))]
#[case("/$defs/step_of_a_run/anyOf/1/properties/steps/items/$ref", json!("#/$defs/step_of_an_inner_run"))]
fn the_schema_of_a_class_says(#[case] at: &str, #[case] says: Value) {
    assert_eq!(class(&library()).pointer(at), Some(&says));
}

#[rstest]
#[case("/properties/recorded/type", json!("string"))]
#[case("/properties/students/items/required/0", json!("name"))]
#[case("/properties/students/items/properties/asked/enum", json!(["yes", "no", "blank", "declined", true, false]))]
#[case("/properties/students/items/properties/touch/enum", json!(["yes", "no", "ask", "not-asked", true, false]))]
#[case("/properties/students/items/properties/late/maximum", json!(240))]
#[case("/properties/students/items/properties/fixed/items/required/0", json!("line"))]
#[case("/properties/students/items/properties/access/items/anyOf/0/enum/0", json!("deaf"))]
#[case("/properties/students/items/properties/guidance/items/properties/from/anyOf/0/enum/0", json!("doctor"))]
#[case("/properties/students/items/properties/guidance/items/properties/from/anyOf/1/anyOf/0/type", json!("string"))]
#[case("/$defs/told/anyOf/0/properties/due/anyOf/0/type", json!("string"))]
#[case("/$defs/told/anyOf/1/anyOf/0/type", json!("string"))]
fn the_schema_of_a_roster_says(#[case] at: &str, #[case] says: Value) {
    assert_eq!(roster(&library()).pointer(at), Some(&says));
}

/// Numbers may stand without quotation marks, and on and off as yes and no.
#[rstest]
#[case("/properties/spoken/maximum", json!(9))]
#[case("/properties/weights/properties/lead/maximum", json!(10_000))]
#[case("/properties/timing/properties/props_s/maximum", json!(3600))]
#[case("/properties/stances/properties/supine_rest_28/enum", json!(["on", true, "off", false]))]
#[case("/properties/stances/properties/supine_week/enum", json!(["12", 12, "16", 16, "20", 20, "comfort"]))]
fn the_schema_of_settings_says(#[case] at: &str, #[case] says: Value) {
    assert_eq!(settings(&library()).pointer(at), Some(&says));
}

#[rstest]
#[case("/title", json!("kindfold: what is in the cupboard"))]
#[case("/anyOf/0/properties/block/maximum", json!(1000))]
#[case("/anyOf/1/required/0", json!("props"))]
fn the_schema_of_props_says(#[case] at: &str, #[case] says: Value) {
    assert_eq!(props().pointer(at), Some(&says));
}

/// An editor offers every posture that can be taught, and no mere part of one.
#[test]
fn the_schema_offers_postures_and_no_parts() {
    let library = library();
    let schema = class(&library);
    let offered = schema.pointer("/$defs/posture/anyOf/0/enum");
    let offered = offered
        .and_then(Value::as_array)
        .expect("names are offered");
    for posture in library.postures.values() {
        let name = Value::from(posture.name());
        assert_eq!(offered.contains(&name), !posture.is_part, "{name}");
    }
}
