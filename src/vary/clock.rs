//! A class whose every second is written down, and how it is kept as long as it was.
//!
//! Invariant: what is given to one place is taken from another; the rest at the end is never made
//! shorter, and neither is the beginning.

use std::collections::BTreeSet;

use crate::adapted::{Event, EventKind};
use crate::class::{ClassPlan, Item, Line, Part, Run, Sides};
use crate::timetable::Timetable;

/// The share of a run that is taken before any other run gives more: a fifth, then two, then three.
const FIFTHS: [u32; 3] = [1, 2, 3];
/// Times are taken in steps of so many seconds.
const STEP_S: u32 = 5;
/// No hold that is written in seconds is made shorter than this.
const LEAST_HOLD_S: u32 = 10;

/// What was taken to keep a class as long as it was.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Taken {
    /// Seconds that could not be had anywhere.
    pub missing_s: u32,
    /// Lines, by number, that are taught in less time.
    pub lines: BTreeSet<usize>,
}

/// The same class with the seconds of every run and way written down, so that another shape at a
/// line leaves the clock as it is.
pub(super) fn written_down(class: &ClassPlan, table: &Timetable<'_>) -> ClassPlan {
    let mut class = class.clone();
    let mut events = table
        .events
        .iter()
        .filter(|one| one.kind != EventKind::Link);
    let (mut block, mut now_s) = (0, 0);
    for section in &mut class.sections {
        let mut items = Vec::new();
        for mut item in std::mem::take(&mut section.items) {
            match &mut item {
                Item::Talk { .. } => now_s += events.next().map_or(0, |event| event.seconds),
                Item::Move { takes_s, .. } => {
                    let seconds = events.next().map_or(0, |event| event.seconds);
                    *takes_s = Some(seconds);
                    now_s += seconds;
                }
                Item::Run(run) => {
                    let end_s = end_of(table, block);
                    if let Some((way, seconds)) = way_in(table, block, now_s) {
                        items.push(way);
                        now_s += seconds;
                    }
                    set_seconds(run, end_s - now_s);
                    now_s = end_s;
                    block += 1;
                }
            }
            items.push(item);
        }
        section.items = items;
    }
    class
}

/// When the last pass of a block is over.
fn end_of(table: &Timetable<'_>, block: usize) -> u32 {
    let inside = |line: usize| table.blocks[block].lines.contains(&line);
    let passes = table.passes.iter().filter(|pass| inside(pass.line));
    let ends = passes.map(|pass| pass.start_s + pass.seconds);
    ends.max().unwrap_or(0)
}

/// The way that the clock puts before a block, as a step of its own, and its seconds.
fn way_in(table: &Timetable<'_>, block: usize, now_s: u32) -> Option<(Item, u32)> {
    let first = &table.lines[table.blocks[block].lines.start];
    let here = |event: &&Event| event.kind == EventKind::Link && event.start_s == now_s;
    let event = table.events.iter().find(here)?;
    first.link?;
    let way = Item::Move {
        to: first.level,
        by: None,
        takes_s: Some(event.seconds),
        note: None,
    };
    Some((way, event.seconds))
}

/// The seconds that are written down for a run, both sides and all rounds.
pub(super) fn seconds_of(run: &Run) -> u32 {
    let of_line = run.lines().next().and_then(|line| line.takes_s);
    run.takes_s.or(of_line).unwrap_or(0)
}

/// Writes down the seconds of a run, both sides and all rounds.
pub(super) fn set_seconds(run: &mut Run, seconds: u32) {
    let single = run.single;
    each_line(run, &mut |line| {
        line.takes_s = single.then_some(seconds);
    });
    run.takes_s = (!single).then_some(seconds);
}

/// Seconds of all holds of a run.
fn holds_s(run: &Run) -> u32 {
    let hold = |part: &Part| match part {
        Part::Line(line) => line.hold_s,
        Part::Repeat { repeats, lines } => {
            repeats * lines.iter().map(|line| line.hold_s).sum::<u32>()
        }
    };
    turns(run) * run.parts.iter().map(hold).sum::<u32>()
}

/// How often a run is taught, on all its sides.
pub(super) fn turns(run: &Run) -> u32 {
    let sides = match run.sides {
        Sides::Each { .. } => 2,
        Sides::None | Sides::One(_) => 1,
    };
    sides * run.repeats
}

/// Does something to every line of a run, in order.
pub(super) fn each_line(run: &mut Run, act: &mut dyn FnMut(&mut Line)) {
    for part in &mut run.parts {
        match part {
            Part::Line(line) => act(line),
            Part::Repeat { lines, .. } => lines.iter_mut().for_each(&mut *act),
        }
    }
}

/// A hold of so many seconds, in breaths where it was written so: rounded down to half a breath.
pub(super) fn set_hold(line: &mut Line, hold_s: u32) {
    match line.breaths {
        Some(_) => {
            let halves = (f64::from(hold_s) / line.breath_s * 2.0).floor().max(1.0);
            set_breaths(line, halves / 2.0);
        }
        None => line.hold_s = hold_s,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "fewer breaths than were written, of seconds that were read"
)]
fn set_breaths(line: &mut Line, breaths: f64) {
    line.breaths = Some(breaths);
    line.hold_s = (breaths * line.breath_s).round().max(1.0) as u32;
}

/// Takes seconds from the middle of a class: the longest run first, none much more than another.
pub(super) fn take(class: &mut ClassPlan, rest: Option<usize>, wanted_s: u32) -> Taken {
    let mut taken = Taken {
        missing_s: wanted_s,
        lines: BTreeSet::new(),
    };
    let mut middle = middle(class, rest);
    middle.sort_by_key(|run| std::cmp::Reverse(seconds_of(run)));
    let had: Vec<u32> = middle.iter().map(|run| seconds_of(run)).collect();
    for fifths in FIFTHS {
        for (run, had_s) in middle.iter_mut().zip(&had) {
            let gone_s = had_s - seconds_of(run);
            let more_s = (had_s * fifths / 5 / STEP_S * STEP_S).saturating_sub(gone_s);
            let now_s = more_s.min(taken.missing_s);
            if now_s > 0 {
                let left_s = seconds_of(run) - now_s;
                set_seconds(run, left_s);
                let numbers = run.lines().map(|line| line.number);
                taken.lines.extend(numbers);
                fit(run, left_s);
                taken.missing_s -= now_s;
            }
        }
    }
    taken
}

/// The runs that may be taught in less time: those between the first part and that of the final
/// rest; in a class without such a middle, all but the final rest and what follows.
fn middle(class: &mut ClassPlan, rest: Option<usize>) -> Vec<&mut Run> {
    let holds = |run: &Run| run.lines().any(|line| Some(line.number) == rest);
    let last = class.sections.iter().position(|section| {
        let mut items = section.items.iter();
        items.any(|item| matches!(item, Item::Run(run) if holds(run)))
    });
    let last = last.unwrap_or(class.sections.len());
    let has_middle = (1..last).any(|at| {
        let items = &class.sections[at].items;
        items.iter().any(|item| matches!(item, Item::Run(_)))
    });
    let inside = |at: usize| !has_middle || (1..last).contains(&at);
    let before = |run: &Run| {
        let first = run.lines().next().map_or(0, |line| line.number);
        !holds(run) && rest.is_none_or(|rest| first < rest)
    };
    let sections = class.sections.iter_mut().enumerate();
    sections
        .filter(|(at, _)| inside(*at))
        .flat_map(|(_, section)| &mut section.items)
        .filter_map(|item| match item {
            Item::Run(run) if before(run) => Some(run),
            Item::Run(_) | Item::Talk { .. } | Item::Move { .. } => None,
        })
        .collect()
}

/// Shortens the longest holds of a run, on both sides alike, until all go into its seconds.
fn fit(run: &mut Run, seconds: u32) {
    while holds_s(run) > seconds {
        let longest = run.lines().map(|line| line.hold_s).max().unwrap_or(0);
        let mut shorter = false;
        each_line(run, &mut |line| {
            if shorter || line.hold_s != longest {
                return;
            }
            match line.breaths {
                Some(breaths) if breaths > 1.0 => {
                    set_breaths(line, breaths - 0.5);
                    shorter = true;
                }
                None if line.hold_s > LEAST_HOLD_S => {
                    line.hold_s = line.hold_s.saturating_sub(STEP_S).max(LEAST_HOLD_S);
                    shorter = true;
                }
                Some(_) | None => {}
            }
        });
        if !shorter {
            return;
        }
    }
}

/// Makes the line of the final rest longer by so many seconds.
pub(super) fn lengthen(class: &mut ClassPlan, rest: usize, by_s: u32) {
    let items = class.sections.iter_mut().flat_map(|part| &mut part.items);
    for item in items {
        let Item::Run(run) = item else { continue };
        if run.lines().any(|line| line.number == rest) {
            let seconds = seconds_of(run) + by_s;
            let turns = turns(run).max(1);
            each_line(run, &mut |line| {
                if line.number == rest {
                    let hold_s = line.hold_s + by_s / turns;
                    set_hold(line, hold_s);
                }
            });
            set_seconds(run, seconds);
        }
    }
}
