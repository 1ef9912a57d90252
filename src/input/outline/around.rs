//! Loose words, decided by the steps before and after them.
//!
//! Takes a draft; puts one posture where a word has several meanings, if the level of the steps
//! around it leaves one. Whatever is decided here is shown to the teacher.

use super::asked::Asked;
use super::decide::posture_of;
use super::draft::{Draft, DraftItem, DraftPart};
use super::naming::Found;
use super::taught::DraftLine;
use crate::library::Library;
use crate::library::posture::Posture;
use crate::words::{Level, Way};

/// A line of the draft, or a level that the class is led to.
enum Slot<'d, 'l> {
    Line(&'d mut DraftLine<'l>),
    At(Level),
}

/// Every line of a draft, in order.
pub(super) fn lines<'d, 'l>(draft: &'d Draft<'l>) -> impl Iterator<Item = &'d DraftLine<'l>> {
    let items = draft.sections.iter().flat_map(|section| &section.items);
    items.flat_map(|item| -> Vec<&DraftLine<'l>> {
        match item {
            DraftItem::Talk { .. } | DraftItem::Move { .. } => Vec::new(),
            DraftItem::Single(line) => vec![line],
            DraftItem::Run(_, parts) => {
                let lines = parts.iter().flat_map(|part| match part {
                    DraftPart::Line(line) => std::slice::from_ref(line.as_ref()),
                    DraftPart::Repeat(_, lines) => lines.as_slice(),
                });
                lines.collect()
            }
        }
    })
}

fn slots<'d, 'l>(draft: &'d mut Draft<'l>) -> Vec<Slot<'d, 'l>> {
    let mut slots = Vec::new();
    for item in draft
        .sections
        .iter_mut()
        .flat_map(|section| &mut section.items)
    {
        match item {
            DraftItem::Talk { .. } => {}
            DraftItem::Move { to, .. } => slots.push(Slot::At(*to)),
            DraftItem::Single(line) => slots.push(Slot::Line(line)),
            DraftItem::Run(_, parts) => {
                for part in parts {
                    match part {
                        DraftPart::Line(line) => slots.push(Slot::Line(line)),
                        DraftPart::Repeat(_, lines) => {
                            slots.extend(lines.iter_mut().map(Slot::Line));
                        }
                    }
                }
            }
        }
    }
    slots
}

impl Slot<'_, '_> {
    /// The level, as far as it is known: also when all meanings of a word stand at one.
    fn level(&self) -> Option<Level> {
        match self {
            Self::At(level) => Some(*level),
            Self::Line(line) => match &line.found {
                Found::Several(postures) | Found::Loose(postures) => {
                    let level = postures.first()?.level;
                    postures
                        .iter()
                        .all(|one| one.level == level)
                        .then_some(level)
                }
                found => posture_of(found).map(|posture| posture.level),
            },
        }
    }
}

/// Decides what can be decided.
pub(super) fn decide(library: &Library, draft: &mut Draft<'_>) {
    let mut slots = slots(draft);
    for at in 0..slots.len() {
        let before = slots.iter().take(at).rev().find_map(Slot::level);
        let after = slots.iter().skip(at + 1).find_map(Slot::level);
        if let Some(Slot::Line(line)) = slots.get_mut(at) {
            choose(line, before, after);
        }
    }
    for at in 0..slots.len() {
        let before = slots.iter().take(at).rev().find_map(Slot::level);
        let after = slots.iter().skip(at + 1).find_map(Slot::level);
        if let (Some(Slot::Line(line)), Some(before), Some(after)) =
            (slots.get_mut(at), before, after)
            && before == after
        {
            elsewhere(library, line, before);
        }
    }
}

/// Takes the one meaning at the level of the step before, or of the step after; where neither
/// step is at the level of any meaning, the likeliest one of a loose word, if it alone is at its
/// level.
fn choose(line: &mut DraftLine<'_>, before: Option<Level>, after: Option<Level>) {
    let (postures, is_loose) = match &line.found {
        Found::Several(postures) => (postures.clone(), false),
        Found::Loose(postures) => (postures.clone(), true),
        Found::Sure(_) | Found::Likely(_) | Found::Own(..) => return,
    };
    let at = |level: Option<Level>| -> Vec<&Posture> {
        let there = postures.iter().filter(|one| Some(one.level) == level);
        there.copied().collect()
    };
    let (ahead, behind) = (at(before), at(after));
    let (chosen, why) = match (ahead.as_slice(), behind.as_slice()) {
        ([one], _) => (*one, "by the steps around it"),
        ([], [one]) => (*one, "by the steps around it"),
        ([], []) if is_loose => match postures.split_first() {
            Some((first, rest)) if rest.iter().all(|one| one.level != first.level) => {
                (*first, "which is the likeliest")
            }
            _ => return,
        },
        _ => return,
    };
    let others = postures.iter().filter(|one| one.id != chosen.id);
    line.asks.push(Asked::Meaning {
        written: line.written.clone(),
        read: chosen.name().to_owned(),
        why,
        others: others.map(|one| one.name().to_owned()).collect(),
    });
    line.found = Found::Sure(chosen);
}

/// A posture of another level than its neighbours, of which there is a form at theirs. Between
/// standing steps a class often goes down for one; that is not asked about.
fn elsewhere(library: &Library, line: &mut DraftLine<'_>, level: Level) {
    let Found::Sure(posture) = line.found else {
        return;
    };
    let decided = |ask: &Asked| matches!(ask, Asked::Meaning { .. });
    if posture.level == level || level == Level::Standing || line.asks.iter().any(decided) {
        return;
    }
    let words = [line.written.clone()];
    let named = library.search(&words).into_iter();
    let ways = library.alternatives.get(&posture.id).into_iter().flatten();
    let ways = ways.filter(|edge| edge.way == Way::Chair && level == Level::Chair);
    let ways = ways.filter_map(|edge| library.postures.get(&edge.to));
    let form = named
        .chain(ways)
        .find(|one| one.level == level && one.id != posture.id);
    if let Some(form) = form {
        line.asks.push(Asked::Level {
            read: posture.name().to_owned(),
            other: form.name().to_owned(),
        });
    }
}
