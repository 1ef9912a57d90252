//! Settles a draft: holds, sides, runs, and the class as it is meant.
//!
//! Takes a [`Draft`]; gives the [`Reading`]. What cannot be decided is left out and listed, or,
//! where it is surely a step, a problem.

use std::ops::Range;

use super::Pen;
use super::amounts::{Amount, Told};
use super::around;
use super::asked::{Ask, Asked};
use super::draft::{Draft, DraftItem, DraftPart, DraftSection, UNNAMED};
use super::holds::{bare_numbers_are_minutes, whole};
use super::naming::Found;
use super::taught::{DraftLine, Unread};
use super::words::tidy;
use crate::class::{Choice, ClassPlan, Item, Line, Part, Run, Section, Sides, Taught};
use crate::input::reading::Reading;
use crate::library::Library;
use crate::library::posture::{Posture, PostureBody};
use crate::problem::Code;
use crate::settings::Settings;
use crate::timetable::timetable;
use crate::words::Side;

/// One breath when nothing is said, in seconds (contract 4.1).
const USUAL_BREATH_S: f64 = 6.0;

/// The longest class, in minutes, as in a plan that is written in full.
const LONGEST_CLASS_MIN: f64 = 480.0;

/// The class of a draft.
pub(super) fn decide<'l>(
    library: &'l Library,
    pen: &mut Pen<'_>,
    mut draft: Draft<'l>,
) -> Option<Reading> {
    around::decide(library, &mut draft);
    let bare_are_minutes = bare_numbers_are_minutes(&draft);
    let header = std::mem::take(&mut draft.header);
    let mut settle = Settle {
        library,
        pen,
        lines: 0,
        asks: Vec::new(),
        unread: draft.unread,
        breath_s: USUAL_BREATH_S,
        padded: header.padded,
        bare_are_minutes,
    };
    settle.breath_s = settle
        .in_range(
            header.breath_s,
            &header.breath_at,
            3.0..=30.0,
            "seconds for a breath",
        )
        .unwrap_or(USUAL_BREATH_S);
    let minutes = settle.in_range(
        header.minutes,
        &header.minutes_at,
        1.0..=LONGEST_CLASS_MIN,
        "minutes for a class",
    );
    let sections: Vec<Section> = draft
        .sections
        .into_iter()
        .map(|section| settle.section(section))
        .filter(|section| !section.items.is_empty())
        .collect();
    let unread = settle.left_out();
    let (lines, mut asks) = (settle.lines, settle.asks);
    asks.extend(draft.asks.into_iter().map(|(file_line, what)| Ask {
        file_line,
        step: None,
        what,
    }));
    let mut about = |what| {
        asks.push(Ask {
            file_line: 1,
            step: None,
            what,
        })
    };
    let title = header.title.as_deref().and_then(tidy).unwrap_or_else(|| {
        let title = title_from(pen.source.name());
        about(Asked::NoTitle(title.clone()));
        title
    });
    if lines == 0 {
        if pen.problems.is_empty() {
            pen.problems.extend(unread);
            pen.whole(
                Code::MissingKey,
                "no posture was understood in this outline",
                "Write one on a line, as in “low lunge, each side, 3 breaths”.",
            );
        }
        return None;
    }
    let mut class = ClassPlan {
        title,
        date: header.date,
        start: header.start,
        slot_s: minutes.map_or(0, |minutes| whole(minutes * 60.0)),
        sections,
    };
    if minutes.is_none() {
        let planned_s = timetable(&class, library, &Settings::default()).planned_s;
        let minutes = planned_s.div_ceil(60).next_multiple_of(5);
        class.slot_s = minutes * 60;
        about(Asked::NoLength(minutes));
    }
    asks.sort_by_key(|ask| (ask.file_line, ask.step));
    Some(Reading {
        class,
        asks,
        unread,
        wrong: Vec::new(),
    })
}

/// A title from the name of the file: `tuesday-flow.md` is “tuesday flow”.
fn title_from(file: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    tidy(&stem.replace(['-', '_'], " ")).unwrap_or_else(|| UNNAMED.to_owned())
}

/// The posture that a name stands for, if that is known.
pub(super) fn posture_of<'l>(found: &Found<'l>) -> Option<&'l Posture> {
    match found {
        Found::Sure(posture) | Found::Likely(posture) => Some(posture),
        Found::Own(_, like) => *like,
        Found::Several(_) | Found::Loose(_) => None,
    }
}

pub(super) struct Settle<'l, 'p, 's> {
    library: &'l Library,
    pub pen: &'p mut Pen<'s>,
    lines: usize,
    asks: Vec<Ask>,
    pub unread: Vec<Unread>,
    breath_s: f64,
    padded: bool,
    pub bare_are_minutes: bool,
}

/// What a section or a run hands down to its lines.
#[derive(Clone, Copy)]
pub(super) struct Above<'t> {
    pub breath_s: f64,
    pub padded: bool,
    /// What a run says of all its lines.
    pub run: Option<&'t Told>,
}

/// A line whose repeats are still its own.
struct Settled {
    line: Line,
    times: u32,
    sided: bool,
}

impl<'l> Settle<'l, '_, '_> {
    pub(super) fn in_range(
        &mut self,
        value: Option<f64>,
        at: &Range<usize>,
        range: std::ops::RangeInclusive<f64>,
        of_what: &str,
    ) -> Option<f64> {
        let value = value?;
        if range.contains(&value) {
            return Some(value);
        }
        self.pen.problem(
            Code::OutOfRange,
            at.clone(),
            format!("{value} {of_what} can’t be meant"),
            format!("Write {} to {}.", range.start(), range.end()),
        );
        None
    }

    fn section(&mut self, section: DraftSection<'l>) -> Section {
        let breath_s = self
            .in_range(
                section.breath_s,
                &section.breath_at,
                3.0..=30.0,
                "seconds for a breath",
            )
            .unwrap_or(self.breath_s);
        let above = Above {
            breath_s,
            padded: self.padded || section.padded,
            run: None,
        };
        let items = section.items.into_iter();
        Section {
            name: tidy(&section.name).unwrap_or_else(|| UNNAMED.to_owned()),
            items: items.filter_map(|item| self.item(item, above)).collect(),
        }
    }

    fn item(&mut self, item: DraftItem<'l>, above: Above<'_>) -> Option<Item> {
        Some(match item {
            DraftItem::Talk { seconds, note } => Item::Talk {
                seconds: whole(seconds),
                note: note.as_deref().and_then(tidy),
            },
            DraftItem::Move { to, by, takes_s } => Item::Move {
                to,
                by,
                takes_s: takes_s.map(whole),
                note: None,
            },
            DraftItem::Single(line) => Item::Run(self.single(*line, above)?),
            DraftItem::Run(told, parts) => Item::Run(self.run(&told, parts, above)?),
        })
    }

    fn single(&mut self, draft: DraftLine<'l>, above: Above<'_>) -> Option<Run> {
        let told_sides = draft.told.sides.clone();
        let settled = self.line(draft, above)?;
        let own = matches!(settled.line.taught, Taught::Own { like: None, .. });
        let sides = match told_sides {
            Some((Sides::None, _)) | None if settled.sided => Sides::Each { first: None },
            None => Sides::None,
            Some((sides, range)) => {
                if !settled.sided && !own {
                    self.no_sides(range);
                }
                sides
            }
        };
        let Settled {
            mut line, times, ..
        } = settled;
        let single = times == 1;
        let takes_s = if single { None } else { line.takes_s.take() };
        Some(Run {
            sides,
            repeats: times,
            takes_s,
            parts: vec![Part::Line(line)],
            single,
        })
    }

    fn no_sides(&mut self, range: Range<usize>) {
        let message = "this shape is the same on both sides";
        self.pen
            .problem(Code::NoSides, range, message, "Take the side out.");
    }

    fn run(&mut self, told: &Told, parts: Vec<DraftPart<'l>>, above: Above<'_>) -> Option<Run> {
        let above = Above {
            padded: above.padded || told.padded,
            run: Some(told),
            ..above
        };
        let mut settled = Vec::new();
        let mut sided = false;
        let mut inner = false;
        for part in parts {
            let at;
            let part = match part {
                DraftPart::Line(draft) => {
                    let range = draft.told.times.as_ref().map(|(_, range)| range.clone());
                    at = range.unwrap_or(draft.range.clone());
                    let Some(one) = self.line_of_run(*draft, told, above) else {
                        continue;
                    };
                    sided |= one.sided && one.line.side.is_none();
                    match one.times {
                        1 => Part::Line(one.line),
                        repeats => Part::Repeat {
                            repeats,
                            lines: vec![one.line],
                        },
                    }
                }
                DraftPart::Repeat(inner, drafts) => {
                    at = drafts.first().map_or(0..0, |draft| draft.range.clone());
                    let (repeat, lines_sided) = self.inner(&inner, drafts, told, above);
                    sided |= lines_sided;
                    match repeat {
                        Some(repeat) => repeat,
                        None => continue,
                    }
                }
            };
            if matches!(part, Part::Repeat { .. }) && std::mem::replace(&mut inner, true) {
                self.pen.problem(
                    Code::ClashingKeys,
                    at,
                    "a run may hold one repeat inside it, and this is the second",
                    "Write the steps out, or make two runs of it.",
                );
            }
            settled.push(part);
        }
        if settled.is_empty() {
            return None;
        }
        let sides = match &told.sides {
            Some((sides, _)) => *sides,
            None if sided => Sides::Each { first: None },
            None => Sides::None,
        };
        let takes_s = told
            .takes_s
            .map(|takes_s| whole(takes_s.min(LONGEST_CLASS_MIN * 60.0)));
        Some(Run {
            sides,
            repeats: times(told),
            takes_s,
            parts: settled,
            single: false,
        })
    }

    /// A repeat inside a run, and whether a shape of it has sides.
    fn inner(
        &mut self,
        inner: &Told,
        drafts: Vec<DraftLine<'l>>,
        outer: &Told,
        above: Above<'_>,
    ) -> (Option<Part>, bool) {
        let above = Above {
            padded: above.padded || inner.padded,
            run: if inner.holds.is_empty() {
                above.run
            } else {
                Some(inner)
            },
            ..above
        };
        let mut lines = Vec::new();
        let mut sided = false;
        for draft in drafts {
            let at = draft.range.clone();
            let Some(one) = self.line_of_run(draft, outer, above) else {
                continue;
            };
            sided |= one.sided && one.line.side.is_none();
            if one.times > 1 {
                self.pen.problem(
                    Code::ClashingKeys,
                    at,
                    "this repeat lies two deep inside another",
                    "Write the step as often as it is done.",
                );
            }
            lines.push(one.line);
        }
        let repeats = times(inner);
        let part = (!lines.is_empty()).then_some(Part::Repeat { repeats, lines });
        (part, sided)
    }

    /// A line of a run, with its own side where the run does not say it.
    fn line_of_run(
        &mut self,
        draft: DraftLine<'l>,
        run: &Told,
        above: Above<'_>,
    ) -> Option<Settled> {
        let own_sides = draft.told.sides.clone();
        let mut settled = self.line(draft, above)?;
        let run_sides = run.sides.as_ref().map(|(sides, _)| *sides);
        match own_sides {
            Some((Sides::One(side), range)) => {
                let own = matches!(settled.line.taught, Taught::Own { like: None, .. });
                if !settled.sided && !own {
                    self.no_sides(range);
                }
                settled.line.side = Some(side);
            }
            Some((Sides::None, _)) => settled.line.side = Some(Side::None),
            Some((Sides::Each { .. }, range)) if matches!(run_sides, Some(Sides::One(_))) => {
                self.pen.problem(
                    Code::ClashingKeys,
                    range,
                    "the run that holds this line is taught on one side",
                    "Take “each side” out here, or write it on the run.",
                );
            }
            Some((Sides::Each { .. }, _)) | None => {}
        }
        Some(settled)
    }

    /// A line with its hold; none when its name is not known.
    fn line(&mut self, mut draft: DraftLine<'l>, above: Above<'_>) -> Option<Settled> {
        let taught = match std::mem::replace(&mut draft.found, Found::Several(Vec::new())) {
            Found::Sure(posture) => Taught::Posture(posture.id.clone()),
            Found::Likely(posture) => {
                draft.asks.insert(
                    0,
                    Asked::Name {
                        written: draft.written.clone(),
                        read: posture.name().to_owned(),
                    },
                );
                Taught::Posture(posture.id.clone())
            }
            Found::Own(name, like) => Taught::Own {
                name: tidy(&name).unwrap_or(name),
                like: like.map(|posture| posture.id.clone()),
            },
            Found::Several(postures) | Found::Loose(postures) => {
                self.undecided(draft, &postures);
                return None;
            }
        };
        let id = match &taught {
            Taught::Posture(id) => Some(id),
            Taught::Own { like, .. } => like.as_ref(),
        };
        let library = self.library;
        let posture = id.and_then(|id| library.postures.get(id));
        let is_movement =
            posture.is_some_and(|posture| matches!(posture.body, PostureBody::Ends(_)));
        let mut times = times(&draft.told);
        // “5 sit to stands”: of a movement the count is its rounds.
        if is_movement && times > 1 && draft.told.holds.is_empty() && draft.told.bare.is_none() {
            let range = draft.range.clone();
            draft
                .told
                .holds
                .push((Amount::Rounds(f64::from(times)), range));
            times = 1;
        }
        let (hold_s, breaths) = self.hold(&mut draft, posture, above)?;
        self.lines += 1;
        let file_line = self.pen.line_of(draft.range.start);
        self.asks.extend(draft.asks.into_iter().map(|what| Ask {
            file_line,
            step: Some(self.lines),
            what,
        }));
        let notes: Vec<String> = draft.notes.iter().filter_map(|note| tidy(note)).collect();
        let line = Line {
            number: self.lines,
            taught,
            side: None,
            hold_s,
            breaths,
            takes_s: draft.told.takes_s.map(whole),
            or: draft.or.into_iter().filter_map(tidy_choice).collect(),
            cue: draft.cue.as_deref().and_then(tidy),
            note: (!notes.is_empty()).then(|| notes.join("; ")),
            props: draft.props,
            keep: draft.told.keep,
            padded: above.padded || draft.told.padded,
            breath_s: above.breath_s,
        };
        Some(Settled {
            line,
            times,
            sided: posture.is_some_and(Posture::is_sided),
        })
    }
}

fn tidy_choice(choice: Choice) -> Option<Choice> {
    match choice {
        Choice::Posture(_) => Some(choice),
        Choice::Words(words) => tidy(&words).map(Choice::Words),
    }
}

/// How often, as said by a count or by a number in front.
fn times(told: &Told) -> u32 {
    let counted = told.times.as_ref().or(told.leading.as_ref());
    counted.map_or(1, |(times, _)| (*times).max(1))
}

#[cfg(test)]
mod tests {
    use super::title_from;
    use rstest::rstest;

    /// Without a title the file’s name is one, without its folder and its ending.
    #[rstest]
    #[case("tuesday-flow.md", "tuesday flow")]
    #[case("classes/evening_class.txt", "evening class")]
    #[case(r"classes\rest.md", "rest")]
    #[case("lamp", "lamp")]
    #[case("--.md", "Class")]
    fn a_title_from_the_name_of_the_file(#[case] file: &str, #[case] title: &str) {
        assert_eq!(title_from(file), title);
    }
}
