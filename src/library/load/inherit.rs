//! Entries of postures, each merged with what it is based on.
//!
//! Tables merge key by key, lists are replaced, null takes a key away. Invariant: a detour that
//! leads back to an entry is a problem, never a loop.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use serde_yaml::{Mapping, Value};

use super::Files;
use crate::body::Shape;
use crate::input::suggest::did_you_mean;
use crate::input::table::Field;
use crate::problem::Code;

/// Keys that a variation does not inherit.
const OWN_KEYS: [&str; 7] = [
    "row", "names", "sanskrit", "choice", "based_on", "part", "cue",
];

/// A posture's entry, merged.
pub(in crate::library) struct Entry<'f> {
    /// Where it stands.
    pub(in crate::library) field: Field<'f>,
    /// Its own keys over those that it is based on.
    pub(super) merged: Cow<'f, Value>,
    /// What it is based on, nearest first.
    pub(super) ancestors: Vec<String>,
}

impl Entry<'_> {
    /// Its own keys over those that it is based on, read at its place.
    pub(in crate::library) fn read(&self) -> Field<'_> {
        self.field.with_value(&self.merged)
    }

    /// Whether it is a movement between two ends.
    pub(in crate::library) fn is_movement(&self) -> bool {
        self.merged.get("ends").is_some()
    }

    /// Whether it is a row of the catalogue.
    pub(in crate::library) fn is_row(&self) -> bool {
        self.merged.get("row").is_some()
    }
}

/// Every posture's entry, merged with what it is based on.
pub(super) fn entries<'f>(
    files: &'f Files,
    replaced: &mut Vec<String>,
) -> BTreeMap<String, Entry<'f>> {
    let fields: BTreeMap<String, Field<'f>> = files
        .by_key("data/postures/", replaced)
        .into_iter()
        .collect();
    let lineages = fields
        .iter()
        .filter_map(|(id, field)| Some((field, lineage(id, field, &fields)?)));
    let mut lineages: Vec<_> = lineages.collect();
    // What an entry is based on is merged before it.
    lineages.sort_by_key(|(_, lineage)| lineage.len());
    let mut entries: BTreeMap<String, Entry<'f>> = BTreeMap::new();
    for (field, lineage) in lineages {
        let Some((id, ancestors)) = lineage.split_first() else {
            continue;
        };
        let base = ancestors.first().and_then(|base| entries.get(*base));
        let merged = match (base.map(|base| base.merged.as_ref()), field.value()) {
            (Some(Value::Mapping(base)), Value::Mapping(own)) => {
                Cow::Owned(Value::Mapping(inherit(base.clone(), own)))
            }
            (_, own) => Cow::Borrowed(own),
        };
        let entry = Entry {
            field: field.clone(),
            merged,
            ancestors: ancestors.iter().map(|&base| base.to_owned()).collect(),
        };
        entries.insert((*id).to_owned(), entry);
    }
    entries
}

/// An entry and what it is based on, nearest first; none when that leads nowhere.
fn lineage<'i>(
    id: &'i str,
    field: &Field<'_>,
    fields: &'i BTreeMap<String, Field<'_>>,
) -> Option<Vec<&'i str>> {
    field.table()?;
    let mut lineage = vec![id];
    let mut seen = BTreeSet::from([id]);
    let mut at = field;
    while let Some(base) = at.value().get("based_on").and_then(Value::as_str) {
        let Some((base, next)) = fields.get_key_value(base) else {
            // Said once, where it is written.
            if lineage.len() == 1 {
                let known = fields.keys().map(String::as_str);
                field.problem_at(
                    "based_on",
                    Code::UnknownPosture,
                    format!("no posture is called “{base}”"),
                    did_you_mean(base, known),
                );
            }
            return None;
        };
        if !seen.insert(base) {
            field.problem_at(
                "based_on",
                Code::BasedInACircle,
                format!("“{id}” is based on itself by a detour"),
                "Take one “based_on” out.",
            );
            return None;
        }
        lineage.push(base);
        at = next;
    }
    Some(lineage)
}

/// An entry's own keys over those of the entry that it is based on.
fn inherit(mut base: Mapping, own: &Mapping) -> Mapping {
    for key in OWN_KEYS {
        base.remove(key);
    }
    let gives = |key: &str| own.get(key).is_some_and(|value| !value.is_null());
    // A shape of its own is no movement, and a movement has no shape; a hold has one unit.
    let shaped = Shape::KEYS.iter().any(|&key| key != "lead" && gives(key));
    if shaped {
        base.remove("ends");
        // A number published for one shape says nothing of another.
        base.remove("published");
    }
    if gives("ends") {
        for key in Shape::KEYS.iter().filter(|&&key| key != "lead") {
            base.remove(*key);
        }
    }
    if gives("hold") {
        base.remove("minutes");
    }
    if gives("minutes") {
        base.remove("hold");
    }
    over(base, own)
}

fn over(mut base: Mapping, own: &Mapping) -> Mapping {
    for (key, value) in own {
        let merged = match (base.remove(key), value) {
            (Some(_), Value::Null) => continue,
            (Some(Value::Mapping(old)), Value::Mapping(new)) => Value::Mapping(over(old, new)),
            _ => value.clone(),
        };
        base.insert(key.clone(), merged);
    }
    base
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(text: &str) -> Mapping {
        serde_yaml::from_str(text).expect("the test's text is a table")
    }

    #[test]
    fn tables_merge_lists_are_replaced_null_removes() {
        let base = map(
            "{row: ST05, names: [Fold], joints: {knee: 4, hip: 90}, facts: [still], aim: {trunk: up}}",
        );
        let own = map("{names: [Half], joints: {knee: 45, elbow: 3}, facts: [], aim: null}");
        let expected = map("{names: [Half], joints: {hip: 90, knee: 45, elbow: 3}, facts: []}");
        assert_eq!(inherit(base, &own), expected);
    }

    #[test]
    fn a_movement_leaves_the_shape_behind_and_keeps_the_lead() {
        let base = map("{lead: top leg, joints: {knee: 4}, published: {x: 1}, minutes: [4, 8]}");
        let own = map("{ends: [a, b], hold: [3, 5]}");
        let expected = map("{lead: top leg, ends: [a, b], hold: [3, 5]}");
        assert_eq!(inherit(base, &own), expected);
    }

    #[test]
    fn a_published_number_stays_with_its_shape() {
        let base = map("{body: prone, published: {x: 1}}");
        assert_eq!(
            inherit(base.clone(), &map("{props: {block: 1}}")).get("published"),
            base.get("published")
        );
        assert_eq!(
            inherit(base, &map("{joints: {knee: 9}}")).get("published"),
            None
        );
    }
}
