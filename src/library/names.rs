//! Names of postures: one owner each, found with and without diacritics.

use std::collections::BTreeMap;

use super::Library;
use super::load::Entry;
use super::posture::{Names, Posture};
use crate::input::suggest::{fold, fold_loosely, near};
use crate::problem::Code;
use crate::words::PostureId;

/// Every name's owner, by its folded keys; a name that two postures have is a problem.
pub(super) fn names(entries: &BTreeMap<String, Entry<'_>>) -> Names {
    let mut names = Names::default();
    for (id, entry) in entries {
        let listed = |key: &str| -> Vec<String> {
            entry
                .merged
                .get(key)
                .and_then(|value| serde_yaml::from_value(value.clone()).ok())
                .unwrap_or_default()
        };
        for name in listed("names").into_iter().chain(listed("sanskrit")).chain([id.clone()]) {
            let owner = names.owners.entry(fold(&name)).or_insert_with(|| id.as_str().into());
            if owner.as_str() != id {
                let owner = owner.to_string();
                entry.field.key_problem(
                    Code::NameTwice,
                    format!("“{name}” is a name of “{owner}” already"),
                    "Leave the name to the plain shape; give this one a name of its own.",
                );
            }
        }
    }
    let loose: Vec<(String, PostureId)> = entries
        .iter()
        .flat_map(|(id, entry)| {
            ["names", "sanskrit"].into_iter().flat_map(|key| {
                let names: Vec<String> = entry
                    .merged
                    .get(key)
                    .and_then(|value| serde_yaml::from_value(value.clone()).ok())
                    .unwrap_or_default();
                names.into_iter().map(|name| (fold_loosely(&name), PostureId::from(id.as_str())))
            })
        })
        .collect();
    for (key, id) in loose {
        names.owners.entry(key).or_insert(id);
    }
    names
}

impl Library {
    /// The posture of an id or a name, English or Sanskrit, with or without diacritics.
    pub fn find(&self, name: &str) -> Option<&Posture> {
        let owner = self.names.owners.get(&fold(name));
        let owner = owner.or_else(|| self.names.owners.get(&fold_loosely(name)))?;
        self.postures.get(owner).filter(|posture| !posture.is_part)
    }

    /// Postures whose names hold every word, in order of their names; all without words.
    pub fn search(&self, words: &[String]) -> Vec<&Posture> {
        let wanted: Vec<String> =
            words.iter().flat_map(|word| word.split_whitespace()).map(fold).collect();
        let holds = |posture: &&Posture| {
            let all: Vec<String> = posture
                .names
                .iter()
                .chain(&posture.sanskrit)
                .flat_map(|name| name.split_whitespace().map(fold).collect::<Vec<_>>())
                .collect();
            wanted.iter().all(|word| all.iter().any(|part| part.starts_with(word.as_str())))
        };
        let mut found: Vec<&Posture> =
            self.postures.values().filter(|posture| !posture.is_part).filter(holds).collect();
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
