//! Reads the teacher's settings.

use super::days;
use super::kind::{FileKind, root};
use super::suggest::did_you_mean;
use super::table::{Document, Field, Table, WordList};
use super::text::Source;
use crate::library::Library;
use crate::problem::{Code, Problem};
use crate::settings::{OptionOrder, Settings};
use crate::words::StanceId;

pub(super) const ORDERS: WordList<OptionOrder> = WordList {
    noun: "an order of options",
    words: &[
        ("gentle", OptionOrder::Gentle),
        ("middle", OptionOrder::Middle),
        ("strong", OptionOrder::Strong),
    ],
};

/// Names of weights that may be set.
pub(super) const WEIGHTS: [&str; 10] = [
    "option",
    "excess",
    "lead",
    "rest",
    "need",
    "trip",
    "prop_change",
    "easing",
    "purpose",
    "reach",
];

/// Names of seconds that may be set.
pub(super) const TIMINGS: [&str; 5] = [
    "new_posture_s",
    "known_posture_s",
    "second_side_s",
    "props_s",
    "thing_s",
];

/// Reads a file of settings.
///
/// # Errors
/// Every problem of the file.
pub fn read(source: Source, library: &Library) -> Result<Settings, Vec<Problem>> {
    let document = Document::read(source)?;
    let settings = root(&document, FileKind::Settings).map(|table| settings(table, library));
    let problems = document.into_problems();
    match settings {
        Some(settings) if problems.is_empty() => Ok(settings),
        _ => Err(problems),
    }
}

fn settings(mut table: Table<'_>, library: &Library) -> Settings {
    let usual = Settings::default();
    let mut settings = Settings {
        first_side: table.optional("first_side").unwrap_or(usual.first_side),
        option_order: table
            .word("option_order", &ORDERS)
            .unwrap_or(usual.option_order),
        spoken: table
            .get("spoken")
            .and_then(|field| field.whole(0..=9))
            .unwrap_or(usual.spoken),
        teacher: table.optional("teacher"),
        contact: table.optional("contact"),
        emergency: table.optional("emergency"),
        doors_open: table
            .get("doors_open")
            .and_then(|field| days::clock(&field)),
        rest_signal: table.optional("rest_signal"),
        say_once: table
            .list("say_once")
            .iter()
            .filter_map(Field::read)
            .collect(),
        mirror: table.flag("mirror", usual.mirror),
        ..usual
    };
    for (id, field) in table.map("stances") {
        stance(&id, &field, library, &mut settings);
    }
    weights(&mut table, library, &mut settings);
    for (name, field) in table.map("timing") {
        if !TIMINGS.contains(&name.as_str()) {
            field.unknown_key(Code::UnknownKey, &name, "a time that can be set", TIMINGS);
        } else if let Some(seconds) = field.whole(0..=3600) {
            settings.timing.insert(name, seconds);
        }
    }
    table.done();
    settings
}

fn weights(table: &mut Table<'_>, library: &Library, settings: &mut Settings) {
    let mut of_a_menu = None;
    for (name, field) in table.map("weights") {
        if !WEIGHTS.contains(&name.as_str()) {
            field.unknown_key(Code::UnknownKey, &name, "a weight", WEIGHTS);
        } else if let Some(weight) = field.whole(0..=10_000) {
            let is_of_a_menu = name == "lead" || name == "option";
            settings.weights.insert(name, i64::from(weight));
            of_a_menu = is_of_a_menu.then_some(field).or(of_a_menu);
        }
    }
    let weight = |name: &str, usual: i64| settings.weights.get(name).copied().unwrap_or(usual);
    let lead = weight("lead", library.weights.lead);
    let option = weight("option", library.weights.option);
    if let Some(field) = of_a_menu.filter(|_| lead > option) {
        field.problem(
            Code::OutOfRange,
            format!("lead ({lead}) weighs more than option ({option})"),
            "lead is at most option: else a taught shape that nobody does stays on the menu",
        );
    }
}

fn stance(id: &str, field: &Field<'_>, library: &Library, settings: &mut Settings) {
    let Some(stance) = library.stances.get(id) else {
        let known = library.stances.keys().map(StanceId::as_str);
        field.unknown_key(Code::UnknownId, id, "a stance", known);
        return;
    };
    let option = match (field.value().as_u64(), field.value().as_bool()) {
        (Some(number), _) => Some(number.to_string()),
        (_, Some(on)) => Some(if on { "on" } else { "off" }.to_owned()),
        _ => field.read::<String>(),
    };
    let Some(option) = option else { return };
    if stance.options.contains(&option) {
        settings.stances.insert(stance.id.clone(), option);
    } else {
        let known = stance.options.iter().map(String::as_str);
        field.problem(
            Code::UnknownWord,
            format!("“{option}” is not an option of {id}"),
            did_you_mean(&option, known),
        );
    }
}
