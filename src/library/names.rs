//! Names of postures: one owner each, found with and without diacritics.

use std::collections::BTreeMap;

use super::Library;
use super::load::Entry;
use super::posture::{Names, Posture};
use crate::input::suggest::{fold, fold_loosely, near};
use crate::problem::Code;
use crate::words::PostureId;

/// Every name's owner, by its folded keys. A name that two postures have is a problem of the one
/// that is no row of the catalogue; the ends of a movement own no names.
pub(super) fn names(
    entries: &BTreeMap<String, Entry<'_>>,
    postures: &BTreeMap<PostureId, Posture>,
) -> Names {
    let mut names = Names::default();
    let mut by_rank: Vec<(&Entry<'_>, &Posture)> = entries
        .iter()
        .filter_map(|(id, entry)| Some((entry, postures.get(id.as_str())?)))
        .filter(|(_, posture)| !posture.is_part)
        .collect();
    by_rank.sort_by_key(|(entry, _)| !entry.is_row());
    for (entry, posture) in by_rank {
        if let Some(cut) = posture
            .names
            .iter()
            .find(|name| name.starts_with(char::is_lowercase))
        {
            entry.field.problem_at(
                "names",
                Code::NameCut,
                format!("“{cut}” is no name of its own"),
                "In brackets a comma ends a name: put a name with a comma in quotation marks.",
            );
            continue;
        }
        let id = posture.id.as_str();
        let told = posture
            .names
            .iter()
            .chain(&posture.sanskrit)
            .map(String::as_str);
        for name in told.chain([id]) {
            let strict = owner(&mut names.owners, fold(name), &posture.id);
            let loose = owner(&mut names.loosely, fold_loosely(name), &posture.id);
            if let Some(owner) = strict.or(loose) {
                entry.field.key_problem(
                    Code::NameTwice,
                    format!("“{name}” is a name of “{owner}” already"),
                    "Leave the name to the plain shape; give this one a name of its own.",
                );
            }
        }
    }
    names
}

/// Takes a key for a posture; gives back the other posture that owns it.
fn owner(
    owners: &mut BTreeMap<String, PostureId>,
    key: String,
    id: &PostureId,
) -> Option<PostureId> {
    let owner = owners.entry(key).or_insert_with(|| id.clone());
    (owner != id).then(|| owner.clone())
}

impl Library {
    /// The posture of an id or a name, English or Sanskrit, with or without diacritics.
    pub fn find(&self, name: &str) -> Option<&Posture> {
        let owner = self.names.owners.get(&fold(name));
        let owner = owner.or_else(|| self.names.loosely.get(&fold_loosely(name)))?;
        self.postures.get(owner).filter(|posture| !posture.is_part)
    }

    /// Postures whose names hold every word, in order of their names; all without words.
    pub fn search(&self, words: &[String]) -> Vec<&Posture> {
        let wanted: Vec<String> = words
            .iter()
            .flat_map(|word| word.split_whitespace())
            .map(fold)
            .collect();
        let holds = |posture: &&Posture| {
            let all: Vec<String> = posture
                .names
                .iter()
                .chain(&posture.sanskrit)
                .flat_map(|name| name.split_whitespace().map(fold).collect::<Vec<_>>())
                .collect();
            wanted
                .iter()
                .all(|word| all.iter().any(|part| part.starts_with(word.as_str())))
        };
        let mut found: Vec<&Posture> = self
            .postures
            .values()
            .filter(|posture| !posture.is_part)
            .filter(holds)
            .collect();
        found.sort_by_key(|posture| posture.name().to_lowercase());
        found
    }

    /// Names near to one that nothing has.
    pub fn suggest(&self, name: &str, most: usize) -> Vec<&str> {
        let names = self
            .postures
            .values()
            .filter(|posture| !posture.is_part)
            .flat_map(|posture| posture.names.iter().chain(&posture.sanskrit))
            .map(String::as_str);
        near(name, names, most)
    }
}
