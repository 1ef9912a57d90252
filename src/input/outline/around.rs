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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::reading::{Reading, read_to_show};
    use crate::input::text::Source;
    use rstest::rstest;
    use std::sync::LazyLock;

    static LIBRARY: LazyLock<Library> =
        LazyLock::new(|| Library::built_in().expect("the built-in library is whole"));

    /// A class of these rows, a hold for each that is no way.
    fn read(rows: &[&str]) -> Reading {
        let rows = rows.iter().map(|row| {
            let hold = if row.starts_with("to ") { "" } else { ", 4 br" };
            format!("- {row}{hold}")
        });
        let rows: Vec<String> = rows.collect();
        let text = format!("# T\n20 minutes\n\n## A\n{}\n", rows.join("\n"));
        let source = Source::from_bytes("class.md", text.as_bytes()).expect("good text");
        read_to_show(source, &LIBRARY).expect("most of it is understood")
    }

    fn asked(reading: &Reading) -> Vec<String> {
        let asks = reading.asks.iter();
        asks.map(|ask| ask.what.to_string()).collect()
    }

    /// The step before a loose word decides, then the one after, then what is likeliest.
    #[rstest]
    #[case::before(
        &["mountain", "fold", "easy seat"],
        "“fold” read as Standing forward fold, by the steps around it; else write Seated forward \
         fold or Chair forward fold"
    )]
    #[case::after(
        &["lunge", "mountain", "bridge"],
        "“lunge” read as High lunge, by the steps around it; else write Low lunge"
    )]
    #[case::a_way(
        &["mountain", "to lying", "twist"],
        "“twist” read as Supine twist, by the steps around it; else write Easy twist or Chair twist \
         or Open-book twist"
    )]
    #[case::likeliest(
        &["bridge", "lunge", "bridge"],
        "“lunge” read as Low lunge, which is the likeliest; else write High lunge"
    )]
    // Both meanings of “chair warrior” stand at one level, which decides for the word after it.
    #[case::after_an_open_word(
        &["mountain", "chair warrior", "fold"],
        "“fold” read as Chair forward fold, by the steps around it; else write Standing forward \
         fold or Seated forward fold"
    )]
    fn a_loose_word_is_decided(#[case] rows: &[&str], #[case] ask: &str) {
        assert_eq!(asked(&read(rows)), [ask]);
    }

    /// Nothing is decided where no meaning is near and none is likelier than the others.
    #[rstest]
    #[case::two_of_the_likeliest_level(&["bridge", "seated twist", "bridge"], "seated twist")]
    #[case::a_part_of_names(&["mountain", "opener", "mountain"], "opener")]
    fn an_open_word_stays_open(#[case] rows: &[&str], #[case] word: &str) {
        let reading = read(rows);
        let wrong: Vec<&str> = reading
            .wrong
            .iter()
            .map(|one| one.message.as_str())
            .collect();
        assert_eq!(wrong, [format!("“{word}” has more than one meaning")]);
        assert_eq!(asked(&reading), Vec::<String>::new());
    }

    /// Asked only when the steps before and after stand at one level, and that is not standing.
    #[rstest]
    #[case::by_its_name(
        &["seated mountain", "cat cow", "chair twist"],
        &["Cat–cow is elsewhere than the steps around it: Chair cat–cow?"]
    )]
    #[case::by_its_chair_way(
        &["seated mountain", "plank", "chair twist"],
        &["Plank is elsewhere than the steps around it: Seated press to the thighs?"]
    )]
    #[case::on_the_way_down(&["seated mountain", "cat cow", "mountain"], &[])]
    #[case::between_standing_steps(&["mountain", "cat cow", "mountain"], &[])]
    fn a_form_at_the_level_of_the_steps_around_it(#[case] rows: &[&str], #[case] asks: &[&str]) {
        assert_eq!(asked(&read(rows)), asks);
    }
}
