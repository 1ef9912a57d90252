//! Alternatives, links between levels, rests.

use std::collections::BTreeMap;

use super::Files;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table};
use crate::library::condition::Grade;
use crate::library::demand::Demand;
use crate::library::graph::{Alternative, Link, Rest};
use crate::problem::Code;
use crate::words::{DemandId, Level, LinkId, PostureId, Prop, PropCounts, Way};

type Known<'k> = &'k dyn Fn(&str) -> bool;

/// Every alternative, by the posture it starts from.
pub(super) fn alternatives(
    files: &Files,
    known: Known<'_>,
    demands: &BTreeMap<DemandId, Demand>,
) -> BTreeMap<PostureId, Vec<Alternative>> {
    let mut all: BTreeMap<PostureId, Vec<Alternative>> = BTreeMap::new();
    for document in files.at("data/alternatives") {
        let Some(table) = document.root().table() else { continue };
        for (from, edges) in table.into_entries() {
            if !known(&from) {
                edges.key_problem(Code::UnknownPosture, format!("no posture is called “{from}”"), "Write its id.");
                continue;
            }
            for edge in edges.entries() {
                if let Some(edge) = alternative(&from, &edge, known, demands) {
                    let theirs = all.entry(edge.from.clone()).or_default();
                    theirs.retain(|old| (&old.to, old.way) != (&edge.to, edge.way));
                    theirs.push(edge);
                }
            }
        }
    }
    all
}

fn alternative(
    from: &str,
    field: &Field<'_>,
    known: Known<'_>,
    demands: &BTreeMap<DemandId, Demand>,
) -> Option<Alternative> {
    let mut table = field.table()?;
    let to = table.need("to").and_then(|field| {
        let id: String = field.read()?;
        if known(&id) {
            return Some(PostureId::from(id));
        }
        field.problem(Code::UnknownPosture, format!("no posture is called “{id}”"), "Write its id.");
        None
    });
    let way: Option<Way> = table.required("way");
    let cost: Option<u32> = table.required("cost");
    let side: Option<String> = table.optional("side");
    let eases = table
        .list("for")
        .iter()
        .filter_map(|field| demand_id(field, demands))
        .collect();
    table.done();
    Some(Alternative {
        from: from.into(),
        to: to?,
        way: way?,
        cost: cost?,
        swaps_side: side.as_deref() == Some("swap"),
        eases,
    })
}

/// A demand's id; a problem when there is none of that name.
pub(super) fn demand_id(
    field: &Field<'_>,
    demands: &BTreeMap<DemandId, Demand>,
) -> Option<DemandId> {
    let id: DemandId = field.read()?;
    if demands.contains_key(&id) {
        return Some(id);
    }
    let names = demands.keys().map(DemandId::as_str);
    field.problem(Code::UnknownId, format!("no demand is called “{id}”"), did_you_mean(id.as_str(), names));
    None
}

/// Ways between levels.
pub(super) fn links(
    files: &Files,
    demands: &BTreeMap<DemandId, Demand>,
    replaced: &mut Vec<String>,
) -> BTreeMap<LinkId, Link> {
    let mut links = BTreeMap::new();
    for document in files.at("data/links.yaml") {
        for field in document.root().entries() {
            if let Some(link) = field.table().and_then(|table| one_link(table, demands)) {
                if let Some(old) = links.insert(link.id.clone(), link) {
                    replaced.push(old.id.to_string());
                }
            }
        }
    }
    let known: Vec<LinkId> = links.keys().cloned().collect();
    for link in links.values_mut() {
        link.kinder.retain(|id| known.contains(id));
    }
    links
}

fn one_link(mut table: Table<'_>, demands: &BTreeMap<DemandId, Demand>) -> Option<Link> {
    let levels = |fields: Vec<Field<'_>>| -> Vec<Level> {
        fields.iter().filter_map(Field::read).collect()
    };
    let id: Option<LinkId> = table.required("id");
    let from = levels(table.list("from"));
    let to = levels(table.list("to"));
    let words: Option<String> = table.required("words");
    let by = table.list("by").iter().filter_map(Field::read).collect();
    let seconds: Option<u32> = table.required("seconds");
    let mut asks = BTreeMap::new();
    for (demand, grade) in table.map("asks") {
        if !demands.is_empty() && !demands.contains_key(demand.as_str()) {
            let names = demands.keys().map(DemandId::as_str);
            grade.unknown_key(Code::UnknownId, &demand, "a demand", names);
            continue;
        }
        let word: Option<String> = grade.read();
        match word.as_deref().map(Grade::parse) {
            Some(Some(read)) => {
                asks.insert(DemandId::from(demand), read);
            }
            Some(None) => grade.problem(Code::UnknownWord, "this says how much", "Write some or much."),
            None => {}
        }
    }
    let props = props(&mut table);
    let usual = table.flag("usual", false);
    let kinder = table.list("kinder").iter().filter_map(Field::read).collect();
    table.done();
    Some(Link { id: id?, from, to, words: words?, by, seconds: seconds?, demands: asks, props, usual, kinder })
}

fn props(table: &mut Table<'_>) -> PropCounts {
    let mut props = PropCounts::new();
    for (word, number) in table.map("props") {
        match Prop::parse(&word) {
            Some(prop) => {
                if let Some(number) = number.read() {
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

/// Resting shapes; the first asks nothing.
pub(super) fn rests(files: &Files, known: Known<'_>) -> Vec<Rest> {
    let mut rests = Vec::new();
    for field in files.at("data/rests.yaml").flat_map(|document| document.root().entries()) {
        let Some(mut table) = field.table() else { continue };
        let posture = table.get("posture").and_then(|field| {
            let id: String = field.read()?;
            if !known(&id) {
                field.problem(Code::UnknownPosture, format!("no posture is called “{id}”"), "Write its id.");
            }
            Some(PostureId::from(id))
        });
        let words: Option<String> = table.required("words");
        table.done();
        if let Some(words) = words {
            rests.push(Rest { posture, words });
        }
    }
    rests
}
