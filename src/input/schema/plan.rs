//! The schema of a class plan.

use serde_json::{Value, json};

use super::{clock, counts, day, flag, free_or, list, number, table, text, titled, whole, word};
use crate::input::class::{LONGEST_BREATH_S, LONGEST_CLASS_MIN, SHORTEST_BREATH_S};
use crate::library::Library;
use crate::words::{BodySide, Level};

/// The schema of a class plan.
pub fn class(library: &Library) -> Value {
    let breath = || number(SHORTEST_BREATH_S, LONGEST_BREATH_S);
    let steps = json!({ "type": "array", "minItems": 1, "items": { "$ref": "#/$defs/step" } });
    let section = table(
        &[
            ("name", text()),
            ("breath_seconds", breath()),
            ("padded", flag()),
            ("steps", steps),
        ],
        &["name", "steps"],
    );
    let keys = [
        ("title", text()),
        ("date", day()),
        ("start", clock()),
        ("minutes", number(1.0, LONGEST_CLASS_MIN)),
        ("breath_seconds", breath()),
        ("padded", flag()),
        ("sections", list(&section)),
    ];
    let mut schema = titled(
        "kindfold: a class plan",
        table(&keys, &["title", "minutes", "sections"]),
    );
    schema["$defs"] = json!({
        "posture": posture(library),
        "step": { "anyOf": [
            talk(), going(library), line(&side_of_a_step()), run(),
        ] },
        "step_of_a_run": { "anyOf": [line(&side_in_a_run()), inner_run()] },
        "step_of_an_inner_run": line(&side_in_a_run()),
    });
    schema
}

/// Any name: spelling and diacritics are forgiven, so the known ones are only offered.
fn posture(library: &Library) -> Value {
    let postures = library.postures.values().filter(|posture| !posture.is_part);
    free_or(postures.flat_map(|posture| {
        let names = posture.names.iter().chain(&posture.sanskrit);
        names.map(String::as_str)
    }))
}

fn first() -> Value {
    word(BodySide::ALL.iter().map(|side| side.as_str()))
}

fn side_of_a_step() -> Value {
    word(["left", "right", "each", "none"])
}

fn side_in_a_run() -> Value {
    word(["left", "right", "none"])
}

fn takes() -> Value {
    number(0.1, LONGEST_CLASS_MIN)
}

fn talk() -> Value {
    table(&[("talk", number(0.1, 120.0)), ("note", text())], &["talk"])
}

fn going(library: &Library) -> Value {
    let ways = library.links.values().flat_map(|link| &link.by);
    let keys = [
        ("move", word(Level::ALL.iter().map(|level| level.as_str()))),
        ("by", word(ways.map(String::as_str))),
        ("takes", takes()),
        ("note", text()),
    ];
    table(&keys, &["move"])
}

/// A posture or a shape of one's own, with one hold.
fn line(side: &Value) -> Value {
    let posture = || json!({ "$ref": "#/$defs/posture" });
    let keys = [
        ("posture", posture()),
        ("own", text()),
        ("like", posture()),
        ("side", side.clone()),
        ("first", first()),
        ("breaths", number(0.1, 400.0)),
        ("rounds", number(0.1, 400.0)),
        ("round_seconds", number(1.0, 600.0)),
        ("seconds", number(0.1, 7200.0)),
        ("minutes", number(0.1, 120.0)),
        ("takes", takes()),
        ("or", list(&text())),
        ("cue", text()),
        ("note", text()),
        ("props", counts()),
        ("keep", flag()),
        ("padded", flag()),
    ];
    let mut line = table(&keys, &[]);
    let one_of = |keys: &[&str]| -> Value {
        let each: Vec<Value> = keys
            .iter()
            .map(|key| json!({ "required": [key] }))
            .collect();
        json!({ "oneOf": each })
    };
    line["allOf"] = json!([
        one_of(&["posture", "own"]),
        one_of(&["breaths", "rounds", "seconds", "minutes"]),
    ]);
    line
}

fn run() -> Value {
    let keys = [
        ("repeat", whole(1, 100)),
        ("side", side_of_a_step()),
        ("first", first()),
        ("takes", takes()),
        ("padded", flag()),
        ("steps", steps("step_of_a_run")),
    ];
    table(&keys, &["steps"])
}

fn inner_run() -> Value {
    let keys = [
        ("repeat", whole(1, 100)),
        ("steps", steps("step_of_an_inner_run")),
    ];
    table(&keys, &["steps"])
}

fn steps(entry: &str) -> Value {
    json!({ "type": "array", "minItems": 1, "items": { "$ref": format!("#/$defs/{entry}") } })
}
