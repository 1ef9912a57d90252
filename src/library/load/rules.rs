//! Demands with their conditions, sources, stances.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{ById, Files};
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table};
use crate::library::condition::{Condition, Fact, Fault, Grade, Quantity, parse};
use crate::library::demand::Demand;
use crate::library::rule::{Reference, Stance};
use crate::problem::Code;
use crate::words::{DemandId, Level, SourceId, StanceId};

pub(super) type Demands = BTreeMap<DemandId, Demand>;

/// Every demand. A condition may name a demand that stands before it.
pub(super) fn demands(files: &Files, replaced: &mut Vec<String>) -> Demands {
    let mut demands = Demands::new();
    let mut made = ById::default();
    for (document, built_in) in files.at("rules/demands.yaml") {
        let Some(table) = document.root().table() else {
            continue;
        };
        for (id, field) in table.into_entries() {
            made.add(id.clone(), (), field.clone(), built_in, replaced);
            if let Some(demand) = demand(&id, &field, &demands) {
                demands.insert(demand.id.clone(), demand);
            }
        }
    }
    demands
}

fn demand(id: &str, field: &Field<'_>, demands: &Demands) -> Option<Demand> {
    let mut table = field.table()?;
    let words: Option<String> = table.required("words");
    let sided = table.flag("sided", false);
    // No shape asks what only the way between two levels can ask.
    let (some, much) = if table.flag("only_links", false) {
        (
            Some(Condition::Any(Vec::new())),
            Some(Condition::Any(Vec::new())),
        )
    } else {
        let mut grade = |key| table.need(key).and_then(|field| condition(&field, demands));
        (grade("some"), grade("much"))
    };
    let wall = table.get("wall");
    let demand = Demand {
        id: id.into(),
        wall: wall.and_then(|field| condition(&field, demands)),
        words: words.unwrap_or_default(),
        sided,
        noise: table.optional("noise").unwrap_or(0.0),
        easing: table.optional("easing").unwrap_or_default(),
        source: table.required("source").unwrap_or_default(),
        kinder_for_unknown: table.flag("kinder_for_unknown", false),
        never_lead_for_unknown: table.flag("never_lead_for_unknown", false),
        some: some?,
        much: much?,
    };
    table.done();
    Some(demand)
}

/// A condition: a line of words, a list in which all must hold, or `any:`, `all:`, `not:`.
pub(super) fn condition(field: &Field<'_>, demands: &Demands) -> Option<Condition> {
    if field.is_list() {
        return parts(field, demands).map(Condition::all);
    }
    if field.is_table() {
        return combination(field, demands);
    }
    let words: String = field.read()?;
    let meanings = |id: &str, grade: Grade| {
        demands
            .get(id)
            .map(|demand| Arc::new(demand.condition(grade).clone()))
    };
    match parse(&words, &meanings) {
        Ok(condition) => Some(condition),
        Err(fault) => {
            field.problem(
                Code::WrongCondition,
                fault.to_string(),
                help(&fault, demands),
            );
            None
        }
    }
}

/// One of `any: […]`, `all: […]` and `not: …`.
fn combination(field: &Field<'_>, demands: &Demands) -> Option<Condition> {
    let mut table = field.table()?;
    let any = table.get("any");
    let all = table.get("all");
    let not = table.get("not");
    table.done();
    match (any, all, not) {
        (Some(any), None, None) => parts(&any, demands).map(Condition::Any),
        (None, Some(all), None) => parts(&all, demands).map(Condition::all),
        (None, None, Some(not)) => {
            condition(&not, demands).map(|part| Condition::Not(Box::new(part)))
        }
        _ => {
            let message = "one of “any”, “all” and “not” belongs here";
            field.problem(
                Code::ClashingKeys,
                message,
                "Nest them, as in {all: [{any: […]}, …]}.",
            );
            None
        }
    }
}

fn parts(field: &Field<'_>, demands: &Demands) -> Option<Vec<Condition>> {
    let entries = field.entries();
    if entries.is_empty() && field.is_list() {
        field.problem(
            Code::EmptyValue,
            "no condition stands here",
            "Write one, or take the key out.",
        );
    }
    let read: Vec<Condition> = entries
        .iter()
        .filter_map(|entry| condition(entry, demands))
        .collect();
    (read.len() == entries.len() && !read.is_empty()).then_some(read)
}

/// What to do about words that are no condition.
fn help(fault: &Fault, demands: &Demands) -> String {
    let Fault::Unknown { kind, word } = fault else {
        return "Write a measure, a sign and a number, as in “knee_load_pct >= 10”.".to_owned();
    };
    match *kind {
        "measure" => {
            let known: Vec<&str> = Quantity::all().map(Quantity::as_str).collect();
            did_you_mean(word, known)
        }
        "level" => did_you_mean(word, Level::ALL.iter().map(|level| level.as_str())),
        "demand" => {
            let hint = did_you_mean(word, demands.keys().map(DemandId::as_str));
            format!("{hint} A demand may name those that stand before it.")
        }
        _ => did_you_mean(word, Fact::ALL.map(Fact::as_str)),
    }
}

/// Every source.
pub(super) fn sources(files: &Files, replaced: &mut Vec<String>) -> BTreeMap<SourceId, Reference> {
    let mut sources = BTreeMap::new();
    for (id, field) in files.by_key("rules/sources.yaml", replaced) {
        let Some(mut table) = field.table() else {
            continue;
        };
        let text: Option<String> = table.required("text");
        let basis: Option<String> = table.required("basis");
        let note = table.optional("note");
        table.done();
        if let (Some(text), Some(basis)) = (text, basis) {
            let id = SourceId::from(id);
            sources.insert(
                id.clone(),
                Reference {
                    id,
                    text,
                    basis,
                    note,
                },
            );
        }
    }
    sources
}

/// Every stance.
pub(super) fn stances(files: &Files, replaced: &mut Vec<String>) -> BTreeMap<StanceId, Stance> {
    let mut stances = BTreeMap::new();
    for (id, field) in files.by_key("rules/stances.yaml", replaced) {
        let Some(mut table) = field.table() else {
            continue;
        };
        let mut text = |key| table.required::<String>(key).unwrap_or_default();
        let (question, default) = (text("question"), text("default"));
        let (one_side, other_side) = (text("one_side"), text("other_side"));
        let options: Vec<String> = table
            .list("options")
            .iter()
            .filter_map(Field::read)
            .collect();
        if !options.contains(&default) {
            table.problem_at_key(
                "default",
                Code::UnknownWord,
                format!("“{default}” is not one of the options"),
                did_you_mean(&default, options.iter().map(String::as_str)),
            );
        }
        let words = said(&mut table, &options);
        table.done();
        let id = StanceId::from(id);
        let stance = Stance {
            id: id.clone(),
            question,
            options,
            default,
            one_side,
            other_side,
            words,
        };
        stances.insert(id, stance);
    }
    stances
}

/// What a sheet says under each option of a stance.
fn said(table: &mut Table<'_>, options: &[String]) -> BTreeMap<String, String> {
    let mut words = BTreeMap::new();
    for (option, field) in table.map("words") {
        if !options.contains(&option) {
            let known = options.iter().map(String::as_str);
            field.unknown_key(Code::UnknownWord, &option, "one of the options", known);
        }
        words.extend(field.read().map(|text| (option, text)));
    }
    for option in options.iter().filter(|one| !words.contains_key(*one)) {
        table.problem(
            Code::MissingKey,
            format!("Nothing is said under the option “{option}”"),
            format!("Add “{option}: …” under “words”."),
        );
    }
    words
}
