//! Alternatives, links between levels, rests.

use std::collections::BTreeMap;

use super::rule_reader::demand_id;
use super::rules::Demands;
use super::small::props;
use super::{ById, Files};
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table, Whereabouts, WordList};
use crate::library::condition::Grade;
use crate::library::graph::{Alternative, Link, Rest};
use crate::problem::Code;
use crate::words::{DemandId, Level, LinkId, PostureId, Way};

/// Ids of postures.
pub(super) type Known<'k> = BTreeMap<String, super::Entry<'k>>;

/// Every alternative, by the posture it starts from, in the order written.
pub(super) fn alternatives(
    files: &Files,
    known: &Known<'_>,
    demands: &Demands,
    replaced: &mut Vec<String>,
    written: &mut BTreeMap<(PostureId, PostureId, Way), Whereabouts>,
) -> BTreeMap<PostureId, Vec<Alternative>> {
    let mut made = ById::default();
    for (document, built_in) in files.at("data/alternatives/") {
        let Some(table) = document.root().table() else {
            continue;
        };
        for (from, edges) in table.into_entries() {
            if !known.contains_key(&from) {
                let ids = known.keys().map(String::as_str);
                edges.unknown_key(Code::UnknownPosture, &from, "the id of a posture", ids);
                continue;
            }
            for field in edges.entries() {
                if let Some(edge) = alternative(&from, &field, known, demands) {
                    let id = format!("{from} to {}, {}", edge.to, edge.way);
                    let key = (edge.from.clone(), edge.to.clone(), edge.way);
                    written.insert(key, field.whereabouts());
                    made.add(id, edge, field, built_in, replaced);
                }
            }
        }
    }
    let mut all: BTreeMap<PostureId, Vec<Alternative>> = BTreeMap::new();
    for (_, edge) in made.in_order() {
        all.entry(edge.from.clone()).or_default().push(edge);
    }
    all
}

/// A posture's id; a problem when there is none of that name.
fn posture_id(field: &Field<'_>, known: &Known<'_>) -> Option<PostureId> {
    let id: String = field.read()?;
    if known.contains_key(&id) {
        return Some(id.into());
    }
    let ids = known.keys().map(String::as_str);
    let message = format!("no posture is called “{id}”");
    field.problem(Code::UnknownPosture, message, did_you_mean(&id, ids));
    None
}

/// Whether the side swaps.
const SIDES: WordList<bool> = WordList {
    noun: "a word for the side",
    words: &[("keep", false), ("swap", true)],
};

fn alternative(
    from: &str,
    field: &Field<'_>,
    known: &Known<'_>,
    demands: &Demands,
) -> Option<Alternative> {
    let mut table = field.table()?;
    let to = table.need("to").and_then(|field| posture_id(&field, known));
    let way: Option<Way> = table.required("way");
    let cost = table.need("cost").and_then(|field| field.whole(1..=99));
    let swaps_side = table.word("side", &SIDES).unwrap_or(false);
    let eases = table
        .list("for")
        .iter()
        .filter_map(|field| demand_id(field, demands))
        .collect();
    table.done();
    let (to, way, cost) = (to?, way?, cost?);
    if to.as_str() == from {
        field.problem(
            Code::ClashingKeys,
            "this leads back to where it starts",
            "Name another posture.",
        );
    }
    Some(Alternative {
        from: from.into(),
        to,
        way,
        cost,
        swaps_side,
        eases,
    })
}

/// Ways between levels.
pub(super) fn links(
    files: &Files,
    demands: &Demands,
    replaced: &mut Vec<String>,
) -> BTreeMap<LinkId, Link> {
    let mut made = ById::default();
    for (document, built_in) in files.at("data/links.yaml") {
        for field in document.root().entries() {
            if let Some(link) = field.table().and_then(|table| one_link(table, demands)) {
                let id = link.id.to_string();
                made.add(id, (link, field.clone()), field, built_in, replaced);
            }
        }
    }
    let made = made.in_order();
    let ids: Vec<&str> = made.iter().map(|(id, _)| id.as_str()).collect();
    for (_, (link, field)) in &made {
        for kinder in link
            .kinder
            .iter()
            .filter(|kinder| !ids.contains(&kinder.as_str()))
        {
            let message = format!("no link is called “{kinder}”");
            let help = did_you_mean(kinder.as_str(), ids.iter().copied());
            field.problem_at("kinder", Code::UnknownId, message, help);
        }
    }
    made.into_iter()
        .map(|(id, (link, _))| (id.into(), link))
        .collect()
}

fn one_link(mut table: Table<'_>, demands: &Demands) -> Option<Link> {
    let levels =
        |fields: Vec<Field<'_>>| -> Vec<Level> { fields.iter().filter_map(Field::read).collect() };
    let id: Option<LinkId> = table.required("id");
    let from = levels(table.list("from"));
    let to = levels(table.list("to"));
    let words: Option<String> = table.required("words");
    let by = table.list("by").iter().filter_map(Field::read).collect();
    let seconds: Option<u32> = table.required("seconds");
    let asks = grades(table.map("asks"), demands);
    let props = props(&mut table);
    let on_fists = table.flag("on_fists", false);
    let usual = table.flag("usual", false);
    let kinder = table
        .list("kinder")
        .iter()
        .filter_map(Field::read)
        .collect();
    table.done();
    Some(Link {
        id: id?,
        from,
        to,
        words: words?,
        by,
        seconds: seconds?,
        demands: asks,
        props,
        on_fists,
        usual,
        kinder,
    })
}

/// How much of each demand: `{kneeling: some}`.
pub(super) fn grades(
    entries: Vec<(String, Field<'_>)>,
    demands: &Demands,
) -> BTreeMap<DemandId, Grade> {
    let mut asks = BTreeMap::new();
    for (demand, grade) in entries {
        if !demands.contains_key(demand.as_str()) {
            let names = demands.keys().map(DemandId::as_str);
            grade.unknown_key(Code::UnknownId, &demand, "a demand", names);
            continue;
        }
        let word: Option<String> = grade.read();
        match word.as_deref().map(Grade::parse) {
            Some(Some(read)) => {
                asks.insert(DemandId::from(demand), read);
            }
            Some(None) => grade.problem(
                Code::UnknownWord,
                "this says how much",
                "Write some or much.",
            ),
            None => {}
        }
    }
    asks
}

/// Resting shapes; the first asks nothing. One's own replace the words of a built-in one, or come
/// after them.
pub(super) fn rests(files: &Files, known: &Known<'_>, replaced: &mut Vec<String>) -> Vec<Rest> {
    let mut made = ById::default();
    for (document, built_in) in files.at("data/rests.yaml") {
        for field in document.root().entries() {
            let Some(mut table) = field.table() else {
                continue;
            };
            let posture = table.get("posture").map(|field| posture_id(&field, known));
            let words: Option<String> = table.required("words");
            table.done();
            let (Some(words), None | Some(Some(_))) = (words, &posture) else {
                continue;
            };
            let posture = posture.flatten();
            let id = posture.as_ref().map_or("pause", PostureId::as_str);
            made.add(
                format!("rest {id}"),
                Rest { posture, words },
                field,
                built_in,
                replaced,
            );
        }
    }
    made.in_order().into_iter().map(|(_, rest)| rest).collect()
}
