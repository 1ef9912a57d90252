//! The class written out step by step, from the plan alone.

use std::collections::BTreeMap;

use super::Basis;
use crate::class::{Item, Line, Part, Run, Sides, Taught as Wording};
use crate::words::{Level, PostureId, Side};

/// One expanded step.
#[derive(Clone, Debug)]
pub(super) struct Taught<'a> {
    /// The line.
    pub line: &'a Line,
    /// The posture that it is judged as.
    pub posture: Option<&'a PostureId>,
    /// Where the class is: at the level of the posture; in a shape of the teacher's own, where it was before.
    pub level: Level,
    /// Which side leads.
    pub side: Side,
    /// Which run it belongs to, counted from 0.
    pub run: usize,
    /// 0 on the first side of its run, 1 on the second.
    pub turn: usize,
    /// Which time the whole run is taught on this side, from 0, and which time the inner repeat.
    pub round: (u32, u32),
    /// The taught way to its level, if the plan says one.
    pub moved: bool,
}

/// All steps in order.
pub(super) fn expand<'a>(basis: &Basis<'a>) -> Vec<Taught<'a>> {
    let mut steps = Vec::new();
    let levels = levels(basis);
    let mut run_number = 0;
    let mut moved = false;
    for item in basis
        .class
        .sections
        .iter()
        .flat_map(|section| &section.items)
    {
        match item {
            Item::Talk { .. } => {}
            Item::Move { .. } => moved = true,
            Item::Run(run) => {
                let before = steps.len();
                expand_run((run, run_number), basis, &levels, &mut steps);
                if let Some(first) = steps.get_mut(before) {
                    first.moved = moved;
                }
                moved = false;
                run_number += 1;
            }
        }
    }
    steps
}

/// The posture that a line is judged as.
fn posture(line: &Line) -> Option<&PostureId> {
    match &line.taught {
        Wording::Posture(id) => Some(id),
        Wording::Own { like, .. } => like.as_ref(),
    }
}

/// Where the class is at each line, by its number, as the plan is written down.
fn levels(basis: &Basis<'_>) -> BTreeMap<usize, Level> {
    let mut here = Level::Standing;
    let mut levels = BTreeMap::new();
    let sections = basis.class.sections.iter();
    for item in sections.flat_map(|section| &section.items) {
        match item {
            Item::Talk { .. } => {}
            Item::Move { to, .. } => here = *to,
            Item::Run(run) => {
                for line in run.parts.iter().flat_map(lines) {
                    let known = posture(line).and_then(|id| basis.library.postures.get(id));
                    here = known.map_or(here, |posture| posture.level);
                    levels.insert(line.number, here);
                }
            }
        }
    }
    levels
}

fn lines(part: &Part) -> &[Line] {
    match part {
        Part::Line(line) => std::slice::from_ref(line),
        Part::Repeat { lines, .. } => lines,
    }
}

fn expand_run<'a>(
    (run, number): (&'a Run, usize),
    basis: &Basis<'a>,
    levels: &BTreeMap<usize, Level>,
    steps: &mut Vec<Taught<'a>>,
) {
    let sides = match run.sides {
        Sides::None => vec![Side::None],
        Sides::One(side) => vec![side],
        Sides::Each { first } => {
            let first = first.unwrap_or_else(|| basis.settings.first_side.into());
            vec![first, first.mirrored()]
        }
    };
    for (turn, &side) in sides.iter().enumerate() {
        for round in 0..run.repeats {
            for part in &run.parts {
                let times = match part {
                    Part::Line(_) => 1,
                    Part::Repeat { repeats, .. } => *repeats,
                };
                for inner in 0..times {
                    for line in lines(part) {
                        let posture = posture(line);
                        let known = posture.and_then(|id| basis.library.postures.get(id));
                        let led = known.is_none_or(|posture| posture.lead.is_some());
                        let own = if led { side } else { Side::None };
                        steps.push(Taught {
                            line,
                            posture,
                            level: levels.get(&line.number).copied().unwrap_or(Level::Standing),
                            side: line.side.unwrap_or(own),
                            run: number,
                            turn,
                            round: (round, inner),
                            moved: false,
                        });
                    }
                }
            }
        }
    }
}
