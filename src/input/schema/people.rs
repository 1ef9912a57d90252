//! The schema of a roster.

use serde_json::{Map, Value, json};

use super::{counts, day, flag, free_or, list, number, table, text, titled, whole, word};
use crate::input::roster::told::{APPROACHES, SIDES};
use crate::input::roster::{PLACES, PREFERENCES, TOUCH};
use crate::library::Library;
use crate::words::{DemandId, LimitationId, PurposeId, Severity};

/// The schema of a roster.
pub fn roster(library: &Library) -> Value {
    let names = |key: &str| json!({ "$ref": format!("#/$defs/{key}") });
    let student = [
        ("name", text()),
        ("recorded", day()),
        ("asked", yes_no_or(&["blank", "declined"])),
        ("keep_notes", flag()),
        ("limitations", list(&names("told"))),
        ("today", list(&names("told"))),
        ("guidance", list(&guidance())),
        (
            "aims",
            list(&word(library.purposes.keys().map(PurposeId::as_str))),
        ),
        ("prefers", list(&word(PREFERENCES.known()))),
        ("declines", list(&text())),
        ("fixed", list(&fixed())),
        ("access", list(&access())),
        ("touch", yes_no_or(&TOUCH.known().collect::<Vec<_>>())),
        ("where", word(PLACES.known())),
        ("has", counts()),
        ("confidential", flag()),
        ("late", whole(0, 240)),
        ("height_cm", whole(100, 230)),
        ("note", text()),
        ("under_18", flag()),
        ("guardian", flag()),
        ("over_70", flag()),
    ];
    let mut student = table(&student, &["name"]);
    // Of somebody who gave no leave, nothing on their health may be kept.
    student["if"] = json!({
        "properties": { "keep_notes": { "anyOf": [{ "const": false }, { "type": "string", "pattern": "^[Nn][Oo]$" }] } },
        "required": ["keep_notes"],
    });
    let none = json!({ "maxItems": 0 });
    student["then"] = json!({
        "properties": { "limitations": none, "today": none, "guidance": none },
    });
    let keys = [("recorded", day()), ("students", list(&student))];
    let mut schema = titled("kindfold: who is coming", table(&keys, &["students"]));
    schema["$defs"] = json!({
        "limitation": word(library.limitations.keys().map(LimitationId::as_str)),
        "demand": word(library.demands.keys().map(DemandId::as_str)),
        "told": { "anyOf": [limitation(library), text()] },
    });
    schema
}

/// A day, a month or a year.
fn vague_day() -> Value {
    json!({ "anyOf": [
        { "type": "string", "pattern": "^[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?$" },
        whole(1900, 2200),
    ] })
}

/// Yes, no, or some other words.
fn yes_no_or(words: &[&str]) -> Value {
    let others = words.iter().copied();
    let mut all: Vec<Value> = ["yes", "no"].into_iter().map(Value::from).collect();
    all.extend(
        others
            .filter(|word| !["yes", "no"].contains(word))
            .map(Value::from),
    );
    all.extend([true.into(), false.into()]);
    json!({ "enum": all })
}

fn limitation(library: &Library) -> Value {
    let weeks = json!({ "anyOf": [
        whole(0, 5200),
        { "type": "string", "pattern": r"^\s*[0-9]+(\s*\+\s*[0-6])?\s*$" },
    ] });
    let keys = [
        ("what", json!({ "$ref": "#/$defs/limitation" })),
        ("side", word(SIDES.known())),
        (
            "severity",
            word(Severity::ALL.iter().map(|word| word.as_str())),
        ),
        ("note", text()),
        ("due", vague_day()),
        ("weeks", weeks),
        ("on", vague_day()),
        ("site", text()),
        ("approach", word(APPROACHES.known())),
        ("kind", json!({ "anyOf": [text(), list(&text())] })),
    ];
    let mut limitation = table(&keys, &["what"]);
    let mut each: Vec<Value> = library
        .limitations
        .values()
        .map(|limitation| {
            let known = word(limitation.kinds.keys().map(String::as_str));
            json!({
                "if": { "properties": { "what": { "const": limitation.id } } },
                "then": { "properties": { "kind": { "anyOf": [known, list(&known)] } } },
            })
        })
        .collect();
    // 42 weeks and 6 days is the last day of a pregnancy that can be told.
    let pregnant = json!({ "properties": { "what": { "const": "pregnancy" } } });
    each.push(json!({
        "if": pregnant,
        "then": { "properties": { "weeks": { "anyOf": [
            { "maximum": 42, "type": "number" },
            { "type": "string", "pattern": r"^\s*([0-3]?[0-9]|4[0-2])(\s*\+\s*[0-6])?\s*$" },
        ] } } },
    }));
    // The same thing told twice.
    each.extend(["due", "on"].map(|key| json!({ "not": { "required": [key, "weeks"] } })));
    limitation["allOf"] = each.into();
    limitation
}

fn guidance() -> Value {
    let demand = || json!({ "$ref": "#/$defs/demand" });
    let limits = json!({ "anyOf": [
        demand(),
        {
            "type": "object", "propertyNames": demand(),
            "additionalProperties": number(-180.0, 1000.0),
        },
    ] });
    let keys = [
        (
            "from",
            free_or([
                "doctor", "surgeon", "midwife", "nurse", "physio", "clinic", "hospital",
            ]),
        ),
        ("on", vague_day()),
        ("about", json!({ "$ref": "#/$defs/limitation" })),
        ("side", word(SIDES.known())),
        ("says", text()),
        ("limits", list(&limits)),
        ("allows", list(&demand())),
        ("cleared", flag()),
    ];
    table(&keys, &["from"])
}

fn fixed() -> Value {
    table(
        &[("line", whole(1, 1000)), ("posture", text())],
        &["line", "posture"],
    )
}

/// What somebody needs to follow, with the language in either form.
fn access() -> Value {
    let language = "[a-z]{2,3}";
    let speaks: Map<String, Value> = Map::from_iter([(
        "speaks".to_owned(),
        json!({ "type": "string", "pattern": format!("^{language}$") }),
    )]);
    json!({ "anyOf": [
        word(["deaf", "hard-of-hearing", "blind", "low-vision"]),
        { "type": "string", "pattern": format!("^speaks:?\\s*:*\\s*{language}$") },
        {
            "type": "object", "properties": speaks, "required": ["speaks"],
            "additionalProperties": false,
        },
    ] })
}
