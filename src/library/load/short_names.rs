//! `data/short-names.yaml`: what teachers jot for the names of postures.

use std::collections::BTreeMap;

use super::Files;
use crate::input::suggest::{did_you_mean, fold, fold_loosely};
use crate::input::table::Field;
use crate::library::names::spelling;
use crate::library::posture::{Names, Posture};
use crate::problem::Code;
use crate::words::PostureId;

/// Adds the short names of every file to the postures' own. A name that a posture owns is left to
/// it; a file of one's own adds its short names to the built-in ones.
pub(super) fn add(
    files: &Files,
    postures: &BTreeMap<PostureId, Posture>,
    names: &mut Names,
    replaced: &mut Vec<String>,
) {
    for (document, built_in) in files.at("data/short-names.yaml") {
        let Some(mut table) = document.root().table() else {
            continue;
        };
        for (short, field) in table.map("surely") {
            let Some(id) = posture(&field, names, postures) else {
                continue;
            };
            // Written beside a name of the posture itself it only helps near words.
            let owned = owner(names, &short);
            if owned.as_ref().is_some_and(|owner| *owner != id) {
                field.key_problem(
                    Code::NameTwice,
                    format!("“{short}” is a name of another posture already"),
                    "Leave the name to that posture; take this line out.",
                );
                continue;
            }
            names.spellings.push(spelling(&short, &id, true));
            let before = names.short.insert(fold(&short), id);
            if before.is_some() && !built_in {
                replaced.push(short);
            }
        }
        for (loose, field) in table.map("perhaps") {
            let ids = field
                .entries()
                .iter()
                .filter_map(|field| posture(field, names, postures))
                .collect();
            let before = names.perhaps.insert(fold(&loose), ids);
            if before.is_some() && !built_in {
                replaced.push(loose);
            }
        }
        table.done();
    }
}

fn owner(names: &Names, name: &str) -> Option<PostureId> {
    let owner = names.owners.get(&fold(name));
    owner
        .or_else(|| names.loosely.get(&fold_loosely(name)))
        .cloned()
}

/// The posture that a field names by one of its own names.
fn posture(
    field: &Field<'_>,
    names: &Names,
    postures: &BTreeMap<PostureId, Posture>,
) -> Option<PostureId> {
    let name: String = field.read()?;
    let found = owner(names, &name);
    if found.is_none() {
        let known = postures
            .values()
            .flat_map(|posture| &posture.names)
            .map(String::as_str);
        field.problem(
            Code::UnknownPosture,
            format!("no posture is called “{name}”"),
            did_you_mean(&name, known),
        );
    }
    found
}
