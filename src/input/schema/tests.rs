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
