//! The form of a teacher's files as JSON Schema (draft 2020-12), for editors and other programs.
//!
//! Takes the library; gives back a schema of each file. Invariant: the words are those that the
//! readers beside this use, and a file that a reader takes is never refused by its schema. What a
//! schema cannot say (names found by their sound, days of a calendar, two keys in one place) is left
//! to `kindfold check`.

mod people;
mod plan;

use serde_json::{Map, Value, json};

use super::settings::{ORDERS, TIMINGS, WEIGHTS};
use crate::library::Library;
use crate::words::{BodySide, Prop};

pub use people::roster;
pub use plan::class;

/// A schema with its name and what it is for.
fn titled(title: &str, mut schema: Value) -> Value {
    if let Some(map) = schema.as_object_mut() {
        map.insert(
            "$schema".into(),
            "https://json-schema.org/draft/2020-12/schema".into(),
        );
        map.insert("title".into(), title.into());
    }
    schema
}

/// A table of keys, and no others.
fn table(keys: &[(&str, Value)], required: &[&str]) -> Value {
    let properties: Map<String, Value> = keys
        .iter()
        .map(|(key, value)| ((*key).to_owned(), value.clone()))
        .collect();
    json!({
        "type": "object", "properties": properties, "required": required,
        "additionalProperties": false,
    })
}

/// One of some words.
fn word<'w>(words: impl IntoIterator<Item = &'w str>) -> Value {
    let mut once: Vec<&str> = Vec::new();
    for word in words {
        if !once.contains(&word) {
            once.push(word);
        }
    }
    json!({ "enum": once })
}

/// Words are free; the known ones are there for an editor to offer.
fn free_or<'w>(words: impl IntoIterator<Item = &'w str>) -> Value {
    json!({ "anyOf": [word(words), text()] })
}

/// A text in words; a number or a yes counts as one.
fn text() -> Value {
    json!({ "anyOf": [{ "type": "string", "pattern": r"\S" }, { "type": ["number", "boolean"] }] })
}

/// Yes or no, as words or as YAML's own.
fn flag() -> Value {
    json!({ "anyOf": [{ "type": "boolean" }, { "type": "string", "pattern": "^([Yy][Ee][Ss]|[Nn][Oo])$" }] })
}

fn number(least: f64, most: f64) -> Value {
    json!({ "type": "number", "minimum": least, "maximum": most })
}

fn whole(least: u32, most: u32) -> Value {
    json!({ "type": "integer", "minimum": least, "maximum": most })
}

fn list(entry: &Value) -> Value {
    json!({ "type": "array", "items": entry })
}

/// A day, year first.
fn day() -> Value {
    json!({ "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" })
}

/// A clock time.
fn clock() -> Value {
    json!({ "type": "string", "pattern": "^([01]?[0-9]|2[0-3]):[0-5][0-9]$" })
}

/// Some props and how many of each.
fn counts() -> Value {
    let keys: Vec<(&str, Value)> = Prop::ALL
        .iter()
        .map(|prop| (prop.as_str(), whole(0, 1000)))
        .collect();
    table(&keys, &[])
}

/// The schema of the cupboard: props alone, or under `props`.
pub fn props() -> Value {
    let under = table(&[("props", counts())], &["props"]);
    titled(
        "kindfold: what is in the cupboard",
        json!({ "anyOf": [counts(), under] }),
    )
}

/// The schema of the teacher's settings.
pub fn settings(library: &Library) -> Value {
    let stances: Vec<(&str, Value)> = library
        .stances
        .values()
        .map(|stance| (stance.id.as_str(), stance_options(&stance.options)))
        .collect();
    let each = |names: &[&'static str], most| {
        let keys: Vec<(&str, Value)> = names.iter().map(|name| (*name, whole(0, most))).collect();
        table(&keys, &[])
    };
    let keys = [
        (
            "first_side",
            word(BodySide::ALL.iter().map(|side| side.as_str())),
        ),
        ("option_order", word(ORDERS.known())),
        ("spoken", whole(0, 9)),
        ("teacher", text()),
        ("contact", text()),
        ("emergency", text()),
        ("doors_open", clock()),
        ("rest_signal", text()),
        ("say_once", list(&text())),
        ("mirror", flag()),
        ("stances", table(&stances, &[])),
        ("weights", each(&WEIGHTS, 10_000)),
        ("timing", each(&TIMINGS, 3600)),
    ];
    titled("kindfold: your own ways", table(&keys, &[]))
}

/// The options of a stance; a number may stand without quotation marks, on and off as yes and no.
fn stance_options(options: &[String]) -> Value {
    let mut words: Vec<Value> = Vec::new();
    for option in options {
        words.push(option.as_str().into());
        words.extend(option.parse::<u64>().ok().map(Value::from));
        match option.as_str() {
            "on" => words.push(true.into()),
            "off" => words.push(false.into()),
            _ => {}
        }
    }
    json!({ "enum": words })
}

#[cfg(test)]
mod tests;
