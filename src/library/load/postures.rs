//! Postures: entries merged with what they are based on, read, settled and measured.

use std::collections::BTreeMap;

use serde_yaml::{Mapping, Value};

use super::Files;
use crate::body::{self, Body, Measure, Measures, Shape, ShapeProblem};
use crate::input::suggest::did_you_mean;
use crate::input::table::Field;
use crate::library::condition::{Fact, Grade};
use crate::library::demand::Demand;
use crate::library::posture::{Asks, Posture, PostureBody};
use crate::library::scene::{Moment, Scene, asked};
use crate::library::settled::Kept;
use crate::problem::Code;
use crate::words::{BodySide, DemandId, Level, PostureId, Prop, PropCounts, PurposeId, Side};

/// Keys that a variation does not inherit.
const OWN_KEYS: [&str; 7] = ["row", "names", "sanskrit", "choice", "based_on", "part", "cue"];

/// Keys of the body.
const SHAPE_KEYS: [&str; 11] = [
    "lead", "body", "joints", "contacts", "touch", "light", "aim", "apart", "over", "balance", "view",
];

/// Every other key.
const KEYS: [&str; 16] = [
    "row", "names", "sanskrit", "level", "based_on", "purposes", "hold", "minutes", "cue", "choice",
    "props", "facts", "effort", "effort_source", "ends", "part",
];

/// The compendium's row for hatha yoga, 2024 (OC-64): the effort of a shape that names none.
const USUAL_EFFORT_MET: f64 = 2.3;
const USUAL_EFFORT_SOURCE: &str = "2024 Adult Compendium, 02150 hatha yoga";

/// A posture's entry, merged.
pub(in crate::library) struct Entry<'f> {
    /// Where it stands.
    pub field: Field<'f>,
    /// Its own keys over those that it is based on.
    pub merged: Mapping,
}

/// Every posture's entry, merged with what it is based on.
pub(super) fn entries<'f>(
    files: &'f Files,
    replaced: &mut Vec<String>,
) -> BTreeMap<String, Entry<'f>> {
    let fields = files.by_key("data/postures", replaced);
    let mut entries = BTreeMap::new();
    for (id, field) in &fields {
        check_keys(field);
        if let Some(merged) = merged(id, &fields, &mut Vec::new()) {
            entries.insert(id.clone(), Entry { field: field.clone(), merged });
        }
    }
    entries
}

fn check_keys(field: &Field<'_>) {
    let Value::Mapping(own) = field.value() else {
        field.table();
        return;
    };
    for key in own.keys().filter_map(Value::as_str) {
        if !KEYS.contains(&key) && !SHAPE_KEYS.contains(&key) && key != "published" {
            let known = KEYS.iter().chain(&SHAPE_KEYS).copied();
            field.problem_at(
                key,
                Code::UnknownKey,
                format!("“{key}” is not a key of a posture"),
                did_you_mean(key, known),
            );
        }
    }
}

/// An entry over the one that it is based on: tables key by key, lists replaced, null removes.
fn merged(id: &str, fields: &BTreeMap<String, Field<'_>>, seen: &mut Vec<String>) -> Option<Mapping> {
    let field = fields.get(id)?;
    let Value::Mapping(own) = field.value() else { return None };
    if seen.iter().any(|known| known == id) {
        field.key_problem(
            Code::BasedInACircle,
            format!("“{id}” is based on itself by a detour"),
            "Take one “based_on” out.",
        );
        return None;
    }
    seen.push(id.to_owned());
    let Some(base) = own.get("based_on").and_then(Value::as_str) else { return Some(own.clone()) };
    if !fields.contains_key(base) {
        field.problem_at(
            "based_on",
            Code::UnknownPosture,
            format!("no posture is called “{base}”"),
            did_you_mean(base, fields.keys().map(String::as_str)),
        );
        return None;
    }
    let mut under = merged(base, fields, seen)?;
    for key in OWN_KEYS {
        under.remove(key);
    }
    // A shape of its own is no movement, and a movement has no shape.
    if SHAPE_KEYS.iter().any(|key| own.contains_key(*key)) {
        under.remove("ends");
    }
    if own.contains_key("ends") {
        for key in SHAPE_KEYS.iter().filter(|key| **key != "lead") {
            under.remove(*key);
        }
    }
    Some(over(&under, own))
}

fn over(under: &Mapping, own: &Mapping) -> Mapping {
    let mut merged = under.clone();
    for (key, value) in own {
        match (merged.get(key), value) {
            (_, Value::Null) => {
                merged.remove(key);
            }
            (Some(Value::Mapping(old)), Value::Mapping(new)) => {
                let both = over(old, new);
                merged.insert(key.clone(), Value::Mapping(both));
            }
            _ => {
                merged.insert(key.clone(), value.clone());
            }
        }
    }
    merged
}

/// Every posture, settled, measured, with what it asks.
pub(super) fn read(
    entries: &BTreeMap<String, Entry<'_>>,
    demands: &BTreeMap<DemandId, Demand>,
    purposes: &BTreeMap<PurposeId, String>,
    settled: &Kept,
) -> BTreeMap<PostureId, Posture> {
    let mut postures: BTreeMap<PostureId, Posture> = BTreeMap::new();
    let moving = |entry: &Entry<'_>| entry.merged.contains_key("ends");
    for (id, entry) in entries.iter().filter(|(_, entry)| !moving(entry)) {
        if let Some(posture) = shape(id, entry, purposes, settled) {
            postures.insert(posture.id.clone(), posture);
        }
    }
    for (id, entry) in entries.iter().filter(|(_, entry)| moving(entry)) {
        if let Some(posture) = movement(id, entry, purposes, &postures) {
            postures.insert(posture.id.clone(), posture);
        }
    }
    for posture in postures.values_mut() {
        posture.demands = asks(posture, demands);
    }
    postures
}

fn shape(
    id: &str,
    entry: &Entry<'_>,
    purposes: &BTreeMap<PurposeId, String>,
    settled: &Kept,
) -> Option<Posture> {
    let mut posture = facts(id, entry, purposes)?;
    let mut keys = Mapping::new();
    for key in SHAPE_KEYS.iter().chain(&["published"]) {
        if let Some(value) = entry.merged.get(*key) {
            keys.insert((*key).into(), value.clone());
        }
    }
    let value = Value::Mapping(keys);
    let shape = match Shape::read(&value) {
        Ok(shape) => shape,
        Err(found) => {
            for problem in found {
                report(entry, &problem);
            }
            return None;
        }
    };
    let body = Body::standard();
    let key = settled.key(&value);
    let settled = settled.get(id, &key).unwrap_or_else(|| body::settle(body, &shape));
    posture.measures = body::measure(body, &shape, &settled);
    posture.moments = vec![Moment::new(
        &posture.measures,
        posture.level,
        posture.facts.clone(),
        posture.effort_met,
    )];
    posture.body = PostureBody::Shape { shape: Box::new(shape), settled: Box::new(settled), key };
    Some(posture)
}

fn report(entry: &Entry<'_>, problem: &ShapeProblem) {
    let help = match &problem.near {
        Some(near) => format!("Did you mean “{near}”?"),
        None => "The words of a shape are listed in DEVELOPERS.md.".to_owned(),
    };
    let own = matches!(entry.field.value(), Value::Mapping(own)
        if problem.path.first().is_some_and(|key| own.contains_key(key.as_str())));
    if own {
        let path = problem.path.iter().fold(String::new(), |path, key| match key.parse::<usize>() {
            Ok(place) => format!("{path}[{place}]"),
            Err(_) if path.is_empty() => key.clone(),
            Err(_) => crate::input::places::path_of_key(&path, key),
        });
        entry.field.problem_at(&path, Code::WrongShape, &problem.message, help);
    } else {
        entry.field.key_problem(Code::WrongShape, &problem.message, help);
    }
}

fn movement(
    id: &str,
    entry: &Entry<'_>,
    purposes: &BTreeMap<PurposeId, String>,
    postures: &BTreeMap<PostureId, Posture>,
) -> Option<Posture> {
    let mut posture = facts(id, entry, purposes)?;
    let names: Vec<String> = value(entry, "ends")?;
    let [first, second] = names.as_slice() else {
        problem(entry, "ends", "“ends” needs two postures", "Write [the first, the second].");
        return None;
    };
    let mut ends = Vec::new();
    for name in [first, second] {
        match postures.get(name.as_str()) {
            Some(end) => ends.push(end),
            None => problem(
                entry,
                "ends",
                &format!("no posture with a body is called “{name}”"),
                &did_you_mean(name, postures.keys().map(PostureId::as_str)),
            ),
        }
    }
    let [first, second] = ends.as_slice() else { return None };
    posture.measures = first.measures.greater(&second.measures);
    posture.moments = [first, second]
        .iter()
        .map(|end| {
            let facts = posture.facts.iter().chain(&end.facts).copied().collect();
            Moment::new(&end.measures, end.level, facts, posture.effort_met)
        })
        .collect();
    posture.body = PostureBody::Ends([first.id.clone(), second.id.clone()]);
    Some(posture)
}

/// What is written about a posture beside its body.
fn facts(id: &str, entry: &Entry<'_>, purposes: &BTreeMap<PurposeId, String>) -> Option<Posture> {
    let names: Vec<String> = value(entry, "names").unwrap_or_default();
    let Some(name) = names.first().cloned() else {
        entry.field.key_problem(Code::MissingKey, "“names” is missing here", "Add “names: [its name]”.");
        return None;
    };
    let Some(level) = value::<String>(entry, "level") else {
        entry.field.key_problem(Code::MissingKey, "“level” is missing here", "Add “level: standing”, or where the body is.");
        return None;
    };
    let Some(level) = Level::parse(&level) else {
        let known = Level::ALL.iter().map(|level| level.as_str());
        problem(entry, "level", &format!("“{level}” is not a level"), &did_you_mean(&level, known));
        return None;
    };
    let weights: BTreeMap<String, u8> = value(entry, "purposes").unwrap_or_default();
    for purpose in weights.keys().filter(|id| !purposes.contains_key(id.as_str())) {
        let known = purposes.keys().map(PurposeId::as_str);
        problem(entry, "purposes", &format!("“{purpose}” is not a purpose"), &did_you_mean(purpose, known));
    }
    let counts: BTreeMap<String, u32> = value(entry, "props").unwrap_or_default();
    let mut props = PropCounts::new();
    for (word, number) in counts {
        match Prop::parse(&word) {
            Some(prop) => {
                props.insert(prop, number);
            }
            None => {
                let known = Prop::ALL.iter().map(|prop| prop.as_str());
                problem(entry, "props", &format!("“{word}” is not a prop"), &did_you_mean(&word, known));
            }
        }
    }
    let words: Vec<String> = value(entry, "facts").unwrap_or_default();
    let mut facts = Vec::new();
    for word in words {
        match Fact::parse(&word) {
            Some(fact) => facts.push(fact),
            None => {
                let known = Fact::ALL.map(Fact::as_str);
                problem(entry, "facts", &format!("“{word}” is not a fact"), &did_you_mean(&word, known));
            }
        }
    }
    let effort_met: Option<f64> = value(entry, "effort");
    let source: Option<String> = value(entry, "effort_source");
    let hold: Option<[f64; 2]> = value(entry, "hold").or_else(|| value(entry, "minutes"));
    let cue = value(entry, "cue").unwrap_or_default();
    Some(Posture {
        id: id.into(),
        row: value(entry, "row"),
        choice: value(entry, "choice").unwrap_or_else(|| name.clone()),
        names,
        sanskrit: value(entry, "sanskrit").unwrap_or_default(),
        level,
        lead: value(entry, "lead"),
        purposes: weights.into_iter().map(|(id, weight)| (id.into(), weight)).collect(),
        usual_breaths: hold.map_or((3.0, 8.0), |[from, to]| (from, to)),
        cue,
        props,
        facts,
        effort_source: source.unwrap_or_else(|| match effort_met {
            None => USUAL_EFFORT_SOURCE.to_owned(),
            Some(_) => "our estimate, within the range of OC-70".to_owned(),
        }),
        effort_met: effort_met.unwrap_or(USUAL_EFFORT_MET),
        based_on: value::<String>(entry, "based_on").map(PostureId::from),
        body: PostureBody::Ends([id.into(), id.into()]),
        measures: Measures::default(),
        moments: Vec::new(),
        demands: BTreeMap::new(),
        is_part: value(entry, "part").unwrap_or(false),
    })
}

/// A key of the merged entry, as a kind of value; a problem when it is another.
fn value<T: serde::de::DeserializeOwned>(entry: &Entry<'_>, key: &str) -> Option<T> {
    let value = entry.merged.get(key)?;
    match serde_yaml::from_value(value.clone()) {
        Ok(value) => Some(value),
        Err(_) => {
            problem(
                entry,
                key,
                &format!("“{key}” is not written as it is in other postures"),
                "Look at a posture beside it.",
            );
            None
        }
    }
}

fn problem(entry: &Entry<'_>, key: &str, message: &str, help: &str) {
    match entry.field.value() {
        Value::Mapping(own) if own.contains_key(key) => {
            entry.field.problem_at(key, Code::UnknownWord, message, help);
        }
        _ => entry.field.key_problem(Code::UnknownWord, message, help),
    }
}

/// What a posture asks, by demand, on the lead side (the left as authored) and on the other.
fn asks(posture: &Posture, demands: &BTreeMap<DemandId, Demand>) -> BTreeMap<DemandId, Asks> {
    let side = if posture.is_sided() { Side::Left } else { Side::None };
    // Conditions on time are read on a hold that asks nothing by its length.
    let scene = Scene::held(posture, side, 0.0);
    let mut all = BTreeMap::new();
    for demand in demands.values() {
        let on = |on: BodySide| -> Option<Grade> { asked(demand, &scene, on) };
        let asks = Asks { left: on(BodySide::Left), right: on(BodySide::Right) };
        if asks.left.is_some() || asks.right.is_some() {
            all.insert(demand.id.clone(), asks);
        }
    }
    all
}

/// The measure names, for those who list them.
pub(in crate::library) fn measure_names() -> impl Iterator<Item = &'static str> + Clone {
    Measure::ALL.iter().map(|measure| measure.as_str())
}
