//! Purposes, budgets, weights, timing, warning signs, and props as they are counted everywhere.

use std::collections::BTreeMap;

use super::Files;
use super::rule_reader::window;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table};
use crate::library::rule::{
    Budgets, Limit, Limitation, PersonalBudget, Stance, Timing, Weights, Whom,
};
use crate::problem::Code;
use crate::words::{Level, LimitationId, Prop, PropCounts, PurposeId, StanceId, Use};

/// What postures can be for.
pub(super) fn purposes(files: &Files, replaced: &mut Vec<String>) -> BTreeMap<PurposeId, String> {
    let entries = files.by_key("data/purposes.yaml", replaced).into_iter();
    entries
        .filter_map(|(id, field)| Some((id.into(), field.read()?)))
        .collect()
}

/// Sets of warning signs by their letter.
pub(super) fn signs(files: &Files, replaced: &mut Vec<String>) -> BTreeMap<String, String> {
    let entries = files.by_key("rules/signs.yaml", replaced).into_iter();
    entries
        .filter_map(|(letter, field)| Some((letter, field.read()?)))
        .collect()
}

/// The table of a file that counts as a whole: one's own replaces the built-in one.
pub(super) fn table<'f>(
    files: &'f Files,
    place: &str,
    replaced: &mut Vec<String>,
) -> Option<Table<'f>> {
    let mut all: Vec<_> = files.at(place).collect();
    let (document, _) = all.pop()?;
    if !all.is_empty() {
        replaced.push(place.to_owned());
    }
    document.root().table()
}

/// Seconds that the tool adds.
pub(super) fn timing(files: &Files, replaced: &mut Vec<String>) -> Timing {
    let Some(mut table) = table(files, "data/timing.yaml", replaced) else {
        return Timing::default();
    };
    let mut seconds = |key| table.required(key).unwrap_or(0);
    let timing = Timing {
        new_posture_s: seconds("new_posture_s"),
        known_posture_s: seconds("known_posture_s"),
        second_side_s: seconds("second_side_s"),
        props_s: seconds("props_s"),
        thing_s: seconds("thing_s"),
    };
    table.done();
    timing
}

/// Integer weights of the plan.
pub(super) fn weights(files: &Files, replaced: &mut Vec<String>) -> Weights {
    let Some(mut table) = table(files, "rules/weights.yaml", replaced) else {
        return Weights::default();
    };
    let mut number = |key| -> i64 { table.required::<u32>(key).map_or(0, i64::from) };
    let mut weights = Weights {
        option: number("option"),
        excess: number("excess"),
        lead: number("lead"),
        rest: number("rest"),
        need: number("need"),
        trip: number("trip"),
        prop_change: number("prop_change"),
        easing: number("easing"),
        purpose: number("purpose"),
        reach: number("reach"),
        heights: BTreeMap::new(),
    };
    for (word, height) in table.map("heights") {
        match Level::parse(&word) {
            Some(level) => {
                weights.heights.insert(level, height.read().unwrap_or(0));
            }
            None => {
                let known = Level::ALL.iter().map(|level| level.as_str());
                height.unknown_key(Code::UnknownLevel, &word, "a level", known);
            }
        }
    }
    table.done();
    weights
}

/// Budgets of bouts and class totals.
pub(super) fn budgets(
    files: &Files,
    limitations: &BTreeMap<LimitationId, Limitation>,
    stances: &BTreeMap<StanceId, Stance>,
    replaced: &mut Vec<String>,
) -> Budgets {
    let Some(mut table) = table(files, "rules/budgets.yaml", replaced) else {
        return Budgets::default();
    };
    let mut budgets = Budgets {
        house_kneeling_padded_s: table.required("house_kneeling_padded_s").unwrap_or(0),
        house_trips: table.required("house_trips").unwrap_or(0),
        ..Budgets::default()
    };
    for (word, field) in table.map("house") {
        match Use::parse(&word) {
            Some(of) => {
                if let Some(limit) = field.table().map(|table| limit(table, true)) {
                    budgets.house.insert(of, limit);
                }
            }
            None => {
                let known = Use::ALL.iter().map(|of| of.as_str());
                field.unknown_key(Code::UnknownWord, &word, "a use with a budget", known);
            }
        }
    }
    budgets.personal_trips = table.required("personal_trips").unwrap_or(0);
    for field in table.list("trips_for") {
        if let Some(mut table) = field.table() {
            budgets
                .trips_for
                .extend(whom(&mut table, limitations, stances));
            table.done();
        }
    }
    for field in table.list("personal") {
        budgets
            .personal
            .extend(personal(&field, limitations, stances));
    }
    table.done();
    budgets
}

fn limit(mut table: Table<'_>, alone: bool) -> Limit {
    let limit = Limit {
        bout_s: table.optional("bout_s"),
        class_s: table.optional("class_s"),
    };
    if alone {
        table.done();
    }
    limit
}

/// One entry for every limitation that it names.
fn personal(
    field: &Field<'_>,
    limitations: &BTreeMap<LimitationId, Limitation>,
    stances: &BTreeMap<StanceId, Stance>,
) -> Vec<PersonalBudget> {
    let Some(mut table) = field.table() else {
        return Vec::new();
    };
    let whom = whom(&mut table, limitations, stances);
    let of: Option<Use> = table.required("of");
    let limit = Limit {
        bout_s: table.optional("bout_s"),
        class_s: table.optional("class_s"),
    };
    table.done();
    let Some(of) = of else { return Vec::new() };
    whom.into_iter()
        .map(|whom| PersonalBudget { whom, of, limit })
        .collect()
}

/// Whom an entry is for, one for every limitation that it names.
fn whom(
    table: &mut Table<'_>,
    limitations: &BTreeMap<LimitationId, Limitation>,
    stances: &BTreeMap<StanceId, Stance>,
) -> Vec<Whom> {
    let mut whom = Vec::new();
    for field in table.list("for") {
        let Some(id) = field.read::<LimitationId>() else {
            continue;
        };
        if limitations.contains_key(&id) {
            whom.push(id);
        } else {
            let known = limitations.keys().map(LimitationId::as_str);
            field.problem(
                Code::UnknownId,
                format!("no limitation is called “{id}”"),
                did_you_mean(id.as_str(), known),
            );
        }
    }
    let severities = table
        .list("severities")
        .iter()
        .filter_map(Field::read)
        .collect::<Vec<_>>();
    let window = window(table, stances);
    whom.into_iter()
        .map(|limitation| Whom {
            limitation,
            severities: severities.clone(),
            window: window.clone(),
        })
        .collect()
}

/// `props: {block: 2}`.
pub(super) fn props(table: &mut Table<'_>) -> PropCounts {
    let mut props = PropCounts::new();
    for (word, number) in table.map("props") {
        match Prop::parse(&word) {
            Some(prop) => {
                if let Some(number) = number.whole(1..=20) {
                    props.insert(prop, number);
                }
            }
            None => {
                let known = Prop::ALL.iter().map(|prop| prop.as_str());
                number.unknown_key(Code::UnknownProp, &word, "a known prop", known);
            }
        }
    }
    props
}
