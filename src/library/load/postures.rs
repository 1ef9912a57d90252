//! Postures: merged entries read, settled and measured.

use std::collections::{BTreeMap, BTreeSet};

use serde_yaml::{Mapping, Value};

use super::inherit::Entry;
use super::small::props;
use crate::body::{self, Body, Measures, Settled, Shape, ShapeProblem};
use crate::input::places::path_of_key;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table};
use crate::library::condition::{Fact, Grade};
use crate::library::cores::on_every_core;
use crate::library::demand::Demand;
use crate::library::posture::{Asks, Posture, PostureBody, UsualHold};
use crate::library::scene::{Moment, Scene, asked};
use crate::library::settled::Kept;
use crate::problem::Code;
use crate::words::{BodySide, DemandId, PostureId, PurposeId};

/// The compendium's row for hatha yoga, 2024 (OC-64): the effort of a shape that names none.
const USUAL_EFFORT_MET: f64 = 2.3;
const USUAL_EFFORT_SOURCE: &str = "2024 Adult Compendium, 02150 hatha yoga";
/// Said where a file gives a number of its own without a source.
const OWN_EFFORT_SOURCE: &str = "our estimate, within the range of OC-70";

/// Every posture, settled, measured, with what it asks. What is based on an entry that has
/// problems is left out without a word of its own.
pub(super) fn read(
    entries: &BTreeMap<String, Entry<'_>>,
    demands: &BTreeMap<DemandId, Demand>,
    purposes: &BTreeMap<PurposeId, String>,
    kept: &Kept,
) -> BTreeMap<PostureId, Posture> {
    // Shapes before movements, which take their numbers; what others are based on before those.
    let mut waves: BTreeMap<(bool, usize), Vec<(&String, &Entry<'_>)>> = BTreeMap::new();
    for (id, entry) in entries {
        let wave = (entry.is_movement(), entry.ancestors.len());
        waves.entry(wave).or_default().push((id, entry));
    }
    let mut postures: BTreeMap<PostureId, Posture> = BTreeMap::new();
    let mut wrong: BTreeSet<&str> = BTreeSet::new();
    for wave in waves.into_values() {
        let posture = |id: &str, entry: &Entry<'_>| -> Option<Posture> {
            let mut bases = entry.ancestors.iter();
            let mut posture = if bases.any(|base| wrong.contains(base.as_str())) {
                None
            } else if entry.is_movement() {
                movement(id, entry, entries, purposes, &postures)
            } else {
                let made = Made::read(id, &entry.merged, kept);
                shape(id, entry, purposes, made)
            }?;
            posture.demands = asks(&posture, demands);
            Some(posture)
        };
        for (id, posture) in on_every_core(wave, |(id, entry)| (id, posture(id, entry))) {
            match posture {
                Some(posture) => {
                    postures.insert(posture.id.clone(), posture);
                }
                None => {
                    wrong.insert(id);
                }
            }
        }
    }
    postures
}

/// A shape, settled and measured.
struct Made {
    shape: Shape,
    settled: Settled,
    measures: Measures,
    key: String,
}

impl Made {
    fn read(id: &str, merged: &Value, kept: &Kept) -> Result<Self, Vec<ShapeProblem>> {
        let mut keys = Mapping::new();
        for key in Shape::KEYS {
            if let Some(value) = merged.get(key) {
                keys.insert(key.into(), value.clone());
            }
        }
        let shape = Shape::read(&Value::Mapping(keys))?;
        let body = Body::standard();
        let key = kept.key(&shape);
        let settled = kept
            .get(id, &key)
            .unwrap_or_else(|| body::settle(body, &shape));
        Ok(Self {
            measures: body::measure(body, &shape, &settled),
            shape,
            settled,
            key,
        })
    }
}

fn shape(
    id: &str,
    entry: &Entry<'_>,
    purposes: &BTreeMap<PurposeId, String>,
    made: Result<Made, Vec<ShapeProblem>>,
) -> Option<Posture> {
    let posture = written(id, entry, purposes);
    let made = match made {
        Ok(made) => made,
        Err(found) => {
            for problem in found {
                report(entry, &problem);
            }
            return None;
        }
    };
    let mut posture = posture?;
    posture.measures = made.measures;
    let facts = posture.facts.clone();
    let measures = &posture.measures;
    let moment = Moment::new(measures, posture.level, facts, posture.effort_met);
    posture.moments = ways_round(&posture, moment).collect();
    posture.body = PostureBody::Shape {
        shape: Box::new(made.shape),
        settled: Box::new(made.settled),
        key: made.key,
    };
    Some(posture)
}

/// A moment as written and, of a shape that is taught without a side, the other way round too: shins are
/// crossed either way, and whoever minds one knee minds both ways.
fn ways_round(posture: &Posture, moment: Moment) -> impl Iterator<Item = Moment> + use<> {
    let other = (!posture.is_sided()).then(|| moment.mirrored()).flatten();
    [Some(moment), other].into_iter().flatten()
}

/// Leaves a problem of a shape at its place; at the entry when that part is inherited.
fn report(entry: &Entry<'_>, problem: &ShapeProblem) {
    let help = match &problem.near {
        Some(near) => format!("Did you mean “{near}”?"),
        None => "The words of a shape are listed in DEVELOPERS.md.".to_owned(),
    };
    let path = problem
        .path
        .iter()
        .fold(String::new(), |path, key| match key.parse::<usize>() {
            Ok(index) => format!("{path}[{index}]"),
            Err(_) => path_of_key(&path, key),
        });
    let own = problem
        .path
        .first()
        .and_then(|key| entry.field.value().get(key.as_str()));
    match own {
        Some(_) => entry
            .field
            .problem_at(&path, Code::WrongShape, &problem.message, help),
        None => entry
            .field
            .key_problem(Code::WrongShape, &problem.message, help),
    }
}

fn movement(
    id: &str,
    entry: &Entry<'_>,
    entries: &BTreeMap<String, Entry<'_>>,
    purposes: &BTreeMap<PurposeId, String>,
    postures: &BTreeMap<PostureId, Posture>,
) -> Option<Posture> {
    let posture = written(id, entry, purposes);
    let field = entry.read().table()?.get("ends")?;
    let fields = field.entries();
    if fields.len() != 2 {
        field.problem(
            Code::WrongType,
            "“ends” needs two postures",
            "Write [the first, the second].",
        );
        return None;
    }
    let mut ends = Vec::new();
    for field in fields {
        let name: String = field.read()?;
        match postures.get(name.as_str()) {
            Some(end) if !matches!(end.body, PostureBody::Ends(_)) => ends.push(end),
            // An end that has problems of its own has said so.
            _ if entries.contains_key(&name) => {}
            _ => {
                let known = entries.keys().map(String::as_str);
                let message = format!("no posture is called “{name}”");
                field.problem(Code::UnknownPosture, message, did_you_mean(&name, known));
            }
        }
    }
    let [first, second] = ends.as_slice() else {
        return None;
    };
    let mut posture = posture?;
    posture.measures = first.measures.greater(&second.measures);
    posture.moments = [first, second]
        .iter()
        .flat_map(|end| {
            let facts = posture.facts.iter().chain(&end.facts).copied().collect();
            let moment = Moment::new(&end.measures, end.level, facts, posture.effort_met);
            ways_round(&posture, moment)
        })
        .collect();
    posture.body = PostureBody::Ends([first.id.clone(), second.id.clone()]);
    Some(posture)
}

/// What is written about a posture beside its body; none when any of it cannot be read.
fn written(id: &str, entry: &Entry<'_>, purposes: &BTreeMap<PurposeId, String>) -> Option<Posture> {
    let mut table = entry.read().table()?;
    let names = texts(&mut table, "names");
    if names.is_empty() && !table.has("names") {
        table.missing("names", "Add “names: [its name]”.");
    }
    let level = table.required("level");
    let lead = table.optional("lead");
    let cue: Option<String> = table.optional("cue");
    let choice: Option<String> = table.optional("choice");
    let weights = weights(&mut table, purposes);
    let props = props(&mut table);
    let facts = facts(&mut table);
    let effort: Option<f64> = table
        .get("effort")
        .and_then(|field| field.number(0.5..=10.0));
    let effort_source: Option<String> = table.optional("effort_source");
    let posture = Posture {
        id: id.into(),
        row: table.optional("row"),
        choice: choice
            .or_else(|| names.first().cloned())
            .unwrap_or_default(),
        sanskrit: texts(&mut table, "sanskrit"),
        usual_hold: usual_hold(&mut table),
        based_on: table.optional("based_on"),
        is_part: table.flag("part", false),
        level: level?,
        lead,
        names,
        purposes: weights?,
        cue: cue.unwrap_or_default(),
        props,
        facts: facts?,
        effort_source: effort_source.unwrap_or_else(|| match effort {
            None => USUAL_EFFORT_SOURCE.to_owned(),
            Some(_) => OWN_EFFORT_SOURCE.to_owned(),
        }),
        effort_met: effort.unwrap_or(USUAL_EFFORT_MET),
        body: PostureBody::Ends([id.into(), id.into()]),
        measures: Measures::default(),
        moments: Vec::new(),
        demands: BTreeMap::new(),
    };
    for key in Shape::KEYS.into_iter().chain(["ends"]) {
        table.knows(key);
    }
    table.done();
    (!posture.names.is_empty()).then_some(posture)
}

fn texts(table: &mut Table<'_>, key: &'static str) -> Vec<String> {
    table.list(key).iter().filter_map(Field::read).collect()
}

fn weights(
    table: &mut Table<'_>,
    purposes: &BTreeMap<PurposeId, String>,
) -> Option<BTreeMap<PurposeId, u8>> {
    let mut weights = BTreeMap::new();
    let mut wrong = false;
    for (purpose, field) in table.map("purposes") {
        if !purposes.contains_key(purpose.as_str()) {
            let known = purposes.keys().map(PurposeId::as_str);
            field.unknown_key(Code::UnknownId, &purpose, "a purpose", known);
            wrong = true;
        } else if let Some(weight) = field.whole(1..=3) {
            weights.insert(purpose.into(), u8::try_from(weight).unwrap_or(1));
        } else {
            wrong = true;
        }
    }
    (!wrong).then_some(weights)
}

fn facts(table: &mut Table<'_>) -> Option<Vec<Fact>> {
    let mut facts = Vec::new();
    let mut wrong = false;
    for field in table.list("facts") {
        let word: Option<String> = field.read();
        match word.as_deref().and_then(Fact::parse) {
            Some(fact) => facts.push(fact),
            None => {
                let word = word.unwrap_or_default();
                let known = Fact::ALL.map(Fact::as_str);
                let message = format!("“{word}” is not a fact");
                field.problem(Code::UnknownWord, message, did_you_mean(&word, known));
                wrong = true;
            }
        }
    }
    (!wrong).then_some(facts)
}

/// `hold: [3, 8]` in breaths, or `minutes: [4, 8]`.
fn usual_hold(table: &mut Table<'_>) -> Option<UsualHold> {
    let mut range = |key| -> Option<(f64, f64)> {
        let field = table.get(key)?;
        let numbers: Vec<f64> = field.read_all();
        match numbers.as_slice() {
            &[from, to] if 0.0 < from && from <= to => Some((from, to)),
            _ => {
                let message = format!("“{key}” needs the shortest and the longest");
                field.problem(Code::WrongType, message, "Write two numbers, as in [3, 8].");
                None
            }
        }
    };
    let breaths = range("hold").map(|(from, to)| UsualHold::Breaths(from, to));
    let minutes = range("minutes").map(|(from, to)| UsualHold::Minutes(from, to));
    if breaths.is_some() && minutes.is_some() {
        table.problem_at_key(
            "minutes",
            Code::ClashingKeys,
            "“hold” and “minutes” both stand here",
            "Keep one of the two.",
        );
    }
    breaths.or(minutes)
}

/// What a posture asks, by demand, on the lead side (the left as authored) and on the other.
/// Conditions on time are read on a hold that asks nothing by its length.
fn asks(posture: &Posture, demands: &BTreeMap<DemandId, Demand>) -> BTreeMap<DemandId, Asks> {
    let scene = Scene::held(posture, posture.authored_side(), 0.0);
    let mut all = BTreeMap::new();
    for demand in demands.values() {
        let on = |on: BodySide| -> Option<Grade> { asked(demand, &scene, on) };
        let asks = Asks {
            left: on(BodySide::Left),
            right: on(BodySide::Right),
        };
        if asks.left.is_some() || asks.right.is_some() {
            all.insert(demand.id.clone(), asks);
        }
    }
    all
}
