//! Blankets: versions of a whole class, from `rules/blankets.yaml`.

use std::collections::BTreeMap;

use super::edges::grades;
use super::rules::{Demands, condition};
use super::{ById, Files};
use crate::input::roster::PREFERENCES;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table};
use crate::library::blanket::{Blanket, RestMore};
use crate::problem::Code;
use crate::words::{BlanketId, Prop, Use};

/// The longest hold or run that can be meant, in seconds: a day.
const MOST_S: u32 = 86_400;

/// Every blanket, in the order written.
pub(super) fn blankets(
    files: &Files,
    demands: &Demands,
    replaced: &mut Vec<String>,
) -> Vec<Blanket> {
    let mut made = ById::default();
    for (document, built_in) in files.at("rules/blankets.yaml") {
        let Some(table) = document.root().table() else {
            continue;
        };
        for (id, field) in table.into_entries() {
            if let Some(read) = field.table().and_then(|table| blanket(&id, table, demands)) {
                made.add(id, read, field, built_in, replaced);
            }
        }
    }
    let made = made.in_order();
    let ids: Vec<String> = made.iter().map(|(id, _)| id.clone()).collect();
    made.into_iter()
        .map(|(_, (blanket, not_with))| Blanket {
            not_with: not_with
                .iter()
                .filter_map(|field| other(field, &ids))
                .collect(),
            ..blanket
        })
        .collect()
}

/// A blanket, and where it names those that contradict it: they may stand after it.
fn blanket<'f>(
    id: &str,
    mut table: Table<'f>,
    demands: &Demands,
) -> Option<(Blanket, Vec<Field<'f>>)> {
    let words: Option<String> = table.required("words");
    let bars: Vec<Field<'_>> = table.list("bars");
    let instead: Option<String> = table.required("instead");
    let read = Blanket {
        id: id.into(),
        words: words.unwrap_or_default(),
        bars: bars
            .iter()
            .filter_map(|bar| condition(bar, demands))
            .collect(),
        bars_links: grades(table.map("bars_links"), demands),
        levels: read_all(&table.list("levels")),
        needs: table.optional("needs"),
        prefers: table
            .list("prefers")
            .iter()
            .filter_map(|field| field.word(&PREFERENCES))
            .collect(),
        start: table.optional("start"),
        up_again: table.flag("up_again", true),
        padded: table.flag("padded", false),
        bouts: bouts(table.map("bouts")),
        hold_s: seconds(&mut table, "hold_s"),
        standing_share_pct: percent(&mut table, "standing_share_pct"),
        rest_more: RestMore {
            by_s: seconds(&mut table, "rest_more_s").unwrap_or(0),
            to_pct: percent(&mut table, "rest_more_pct").unwrap_or(0),
        },
        props: table.get("props").map(|field| read_all(&field.entries())),
        swap: swap(table.map("swap")),
        spoken: table.flag("spoken", false),
        instead: instead.unwrap_or_default(),
        prints: read_all(&table.list("prints")),
        not_with: Vec::new(),
    };
    let not_with = table.list("not_with");
    table.done();
    Some((read, not_with))
}

fn read_all<T: crate::input::table::Written>(fields: &[Field<'_>]) -> Vec<T> {
    fields.iter().filter_map(Field::read).collect()
}

fn seconds(table: &mut Table<'_>, key: &'static str) -> Option<u32> {
    table.get(key)?.whole(1..=MOST_S)
}

fn percent(table: &mut Table<'_>, key: &'static str) -> Option<u32> {
    table.get(key)?.whole(0..=100)
}

fn bouts(entries: Vec<(String, Field<'_>)>) -> BTreeMap<Use, u32> {
    let mut bouts = BTreeMap::new();
    for (word, field) in entries {
        match Use::parse(&word) {
            Some(of) => bouts.extend(field.whole(1..=MOST_S).map(|most_s| (of, most_s))),
            None => {
                let known = Use::ALL.iter().map(|of| of.as_str());
                field.unknown_key(Code::UnknownWord, &word, "a use with a budget", known);
            }
        }
    }
    bouts
}

fn swap(entries: Vec<(String, Field<'_>)>) -> BTreeMap<Prop, String> {
    let mut swap = BTreeMap::new();
    for (word, field) in entries {
        match Prop::parse(&word) {
            Some(prop) => swap.extend(field.read().map(|words| (prop, words))),
            None => {
                let known = Prop::ALL.iter().map(|prop| prop.as_str());
                field.unknown_key(Code::UnknownProp, &word, "a known prop", known);
            }
        }
    }
    swap
}

fn other(field: &Field<'_>, ids: &[String]) -> Option<BlanketId> {
    let id: BlanketId = field.read()?;
    if ids.iter().any(|known| known == id.as_str()) {
        return Some(id);
    }
    let message = format!("no version is called “{id}”");
    let help = did_you_mean(id.as_str(), ids.iter().map(String::as_str));
    field.problem(Code::UnknownId, message, help);
    None
}
