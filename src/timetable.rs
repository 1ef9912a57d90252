//! The class on the clock: blocks of lines, expanded steps, talk, moves and links.
//!
//! Takes the class as planned and gives every step its start. Invariant: the rest at the end is
//! never made shorter here; what the teacher set aside with `takes` is kept to the second.

use crate::adapted::{Event, EventKind};
use crate::class::{ClassPlan, Item, Line, Part, Run, Sides, Taught};
use crate::library::Library;
use crate::library::graph::Link;
use crate::library::rule::Timing;
use crate::settings::Settings;
use crate::words::{BodySide, Level, PostureId, Side};

/// A run of lines as it is planned: one menu for each line, for all its rounds and sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Places of its lines in [`Timetable::lines`], consecutive.
    pub lines: std::ops::Range<usize>,
    /// The sides in the order taught; `[none]` or one side for a run that is not sided.
    pub sides: Vec<Side>,
    /// Rounds on each side.
    pub repeats: u32,
    /// Inner repeat: first line, last line, times.
    pub inner: Option<(usize, usize, u32)>,
    /// Written as a single step.
    pub single: bool,
}

impl Block {
    /// Taught on one side, then on the other.
    pub fn is_sided(&self) -> bool {
        self.sides.len() == 2
    }

    /// How often a line is taught on one side in all.
    pub fn passes(&self, line: usize) -> u32 {
        let inner = match self.inner {
            Some((first, last, times)) if (first..=last).contains(&line) => times,
            _ => 1,
        };
        self.repeats * inner
    }
}

/// A line with where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct TimedLine<'a> {
    /// The line as planned.
    pub line: &'a Line,
    /// The section's place and name.
    pub section: (usize, &'a str),
    /// The block it belongs to.
    pub block: usize,
    /// The posture that it is judged as; none for an own shape that is like nothing.
    pub posture: Option<&'a PostureId>,
    /// The level of the taught shape.
    pub level: Level,
    /// Seconds of one pass on one side, hold alone.
    pub pass_s: u32,
    /// How the class came here, when the level changes and no taught move says how.
    pub link: Option<&'a Link>,
    /// The taught move before it: the words after `by`, if any.
    pub moved_by: Option<&'a str>,
}

/// One expanded step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Place of the line in [`Timetable::lines`].
    pub line: usize,
    /// Which side leads.
    pub side: Side,
    /// Place in the block's order of sides: 0 first, 1 second.
    pub turn: usize,
    /// Which time on this side, from 1.
    pub round: u32,
    /// Seconds from the start.
    pub start_s: u32,
    /// Seconds until the next thing begins.
    pub seconds: u32,
}

/// The class on the clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Timetable<'a> {
    /// Blocks in order.
    pub blocks: Vec<Block>,
    /// Lines in order.
    pub lines: Vec<TimedLine<'a>>,
    /// Expanded steps in order.
    pub passes: Vec<Pass>,
    /// Talk, moves and links.
    pub events: Vec<Event>,
    /// Names of the sections and when each ends, in seconds.
    pub sections: Vec<(&'a str, u32)>,
    /// Everything, in seconds.
    pub planned_s: u32,
}

impl Timetable<'_> {
    /// The passes of a line, in order.
    pub fn passes_of(&self, line: usize) -> impl Iterator<Item = (usize, &Pass)> {
        self.passes
            .iter()
            .enumerate()
            .filter(move |(_, pass)| pass.line == line)
    }

    /// The index, from 1, of the step at which a line is taught first.
    pub fn first_step(&self, line: usize) -> Option<usize> {
        self.passes_of(line).next().map(|(at, _)| at + 1)
    }

    /// Everything that a line takes, in seconds.
    pub fn takes_s(&self, line: usize) -> u32 {
        self.passes_of(line).map(|(_, pass)| pass.seconds).sum()
    }

    /// The last pass of a shape that is for resting, in the last quarter of the class.
    pub fn final_rest(&self, library: &Library) -> Option<usize> {
        let late = self.planned_s / 4 * 3;
        let mut latest_first = self.passes.iter().enumerate().rev();
        latest_first.find_map(|(at, pass)| {
            let posture = library.postures.get(self.lines[pass.line].posture?)?;
            let is_rest = posture
                .purposes
                .get("rest")
                .is_some_and(|&weight| weight >= 2);
            (is_rest && pass.start_s + pass.seconds >= late).then_some(at)
        })
    }
}

/// Sets a class on the clock.
pub fn timetable<'a>(
    class: &'a ClassPlan,
    library: &'a Library,
    settings: &Settings,
) -> Timetable<'a> {
    let mut build = Build {
        library,
        first_side: settings.first_side,
        timing: library.timing.with(&settings.timing),
        table: Timetable {
            blocks: Vec::new(),
            lines: Vec::new(),
            passes: Vec::new(),
            events: Vec::new(),
            sections: Vec::new(),
            planned_s: 0,
        },
        now_s: 0,
        level: Level::Standing,
        started: false,
        moved_by: None,
        moved: false,
        met: Vec::new(),
    };
    for (place, section) in class.sections.iter().enumerate() {
        for item in &section.items {
            build.item(item, (place, &section.name));
        }
        build.table.sections.push((&section.name, build.now_s));
    }
    build.table.planned_s = build.now_s;
    build.table
}

struct Build<'a> {
    library: &'a Library,
    first_side: BodySide,
    timing: Timing,
    table: Timetable<'a>,
    now_s: u32,
    level: Level,
    started: bool,
    moved_by: Option<&'a str>,
    moved: bool,
    met: Vec<&'a PostureId>,
}

impl<'a> Build<'a> {
    fn item(&mut self, item: &'a Item, section: (usize, &'a str)) {
        match item {
            Item::Talk { seconds, note } => {
                let text = note.clone().unwrap_or_else(|| "talk".to_owned());
                self.event(EventKind::Talk, *seconds, text);
            }
            Item::Move {
                to,
                by,
                takes_s,
                note,
            } => {
                let link = self.link(self.level, *to, by.as_deref());
                let seconds = takes_s.or(link.map(|link| link.seconds)).unwrap_or(0);
                let way = match (note, by, link) {
                    (Some(note), _, _) => note.clone(),
                    (None, Some(by), _) => format!("to {to}, by {by}"),
                    (None, None, Some(link)) => link.words.clone(),
                    (None, None, None) => format!("to {to}"),
                };
                self.event(EventKind::Move, seconds, way);
                self.level = *to;
                self.moved = true;
                self.moved_by = by.as_deref();
            }
            Item::Run(run) => self.run(run, section),
        }
    }

    fn event(&mut self, kind: EventKind, seconds: u32, text: String) {
        self.table.events.push(Event {
            start_s: self.now_s,
            seconds,
            kind,
            text,
        });
        self.now_s += seconds;
    }

    /// The way that a class takes between two levels.
    fn link(&self, from: Level, to: Level, by: Option<&str>) -> Option<&'a Link> {
        let joins = |link: &&Link| link.from.contains(&from) && link.to.contains(&to);
        let mut links = self.library.links.values().filter(joins);
        match by {
            Some(by) => links.find(|link| link.by.iter().any(|name| name == by)),
            None => links.find(|link| link.usual),
        }
    }

    fn run(&mut self, run: &'a Run, section: (usize, &'a str)) {
        let first_line = self.table.lines.len();
        let block = self.table.blocks.len();
        let sides = match run.sides {
            Sides::None => vec![Side::None],
            Sides::One(side) => vec![side],
            Sides::Each { first } => {
                let first = first.unwrap_or_else(|| self.first_side.into());
                vec![first, first.mirrored()]
            }
        };
        let mut inner = None;
        for part in &run.parts {
            match part {
                Part::Line(line) => self.line(line, section, block),
                Part::Repeat { repeats, lines } => {
                    let first = self.table.lines.len();
                    for line in lines {
                        self.line(line, section, block);
                    }
                    inner = Some((first, self.table.lines.len().saturating_sub(1), *repeats));
                }
            }
        }
        let block = Block {
            lines: first_line..self.table.lines.len(),
            sides,
            repeats: run.repeats,
            inner,
            single: run.single,
        };
        self.passes(&block, run);
        self.table.blocks.push(block);
    }

    fn line(&mut self, line: &'a Line, section: (usize, &'a str), block: usize) {
        let posture = match &line.taught {
            Taught::Posture(id) => Some(id),
            Taught::Own { like, .. } => like.as_ref(),
        };
        let level = posture
            .and_then(|id| self.library.postures.get(id))
            .map_or(self.level, |posture| posture.level);
        let link = match (self.started, self.moved) {
            (true, false) if level != self.level => self.link(self.level, level, None),
            _ => None,
        };
        self.table.lines.push(TimedLine {
            line,
            section,
            block,
            posture,
            level,
            pass_s: line.hold_s,
            link,
            moved_by: self.moved_by.take(),
        });
        self.level = level;
        self.started = true;
        self.moved = false;
    }

    /// Which side leads a line on one turn of its block.
    fn side_of(&self, line: usize, turn: Side) -> Side {
        let timed = &self.table.lines[line];
        let sided = timed
            .posture
            .and_then(|id| self.library.postures.get(id))
            .is_none_or(|posture| posture.is_sided());
        match timed.line.side {
            Some(side) => side,
            None if sided => turn,
            None => Side::None,
        }
    }

    /// Adds the seconds that nobody set aside, and lays the passes on the clock.
    fn passes(&mut self, block: &Block, run: &Run) {
        let order: Vec<usize> = match block.inner {
            None => block.lines.clone().collect(),
            Some((first, last, times)) => (block.lines.start..first)
                .chain((0..times).flat_map(|_| first..=last))
                .chain(last + 1..block.lines.end)
                .collect(),
        };
        let mut planned: Vec<(usize, usize, u32, u32)> = Vec::new();
        for turn in 0..block.sides.len() {
            let mut rounds = vec![0_u32; block.lines.len()];
            for round in 0..block.repeats {
                for &line in &order {
                    let nth = &mut rounds[line - block.lines.start];
                    *nth += 1;
                    let extra = self.extra_s(line, turn, round, *nth, run);
                    planned.push((line, turn, *nth, extra));
                }
            }
        }
        let holds: u32 = planned
            .iter()
            .map(|&(line, ..)| self.table.lines[line].pass_s)
            .sum();
        let start = self.now_s;
        let mut before = 0;
        for (line, turn, round, extra) in planned {
            let hold = self.table.lines[line].pass_s;
            if let Some(takes) = run.takes_s {
                // Shared out by the length of the holds, so that the last pass ends on the second.
                let share = |done: u32| scale(takes, done, holds);
                self.now_s = start + share(before);
                before += hold;
                self.pass(line, block.sides[turn], turn, round, start + share(before));
                continue;
            }
            let takes = self.table.lines[line].line.takes_s;
            let passes = block.passes(line) * u32::try_from(block.sides.len()).unwrap_or(2);
            match takes {
                Some(takes) => {
                    let nth = (round - 1) + u32::try_from(turn).unwrap_or(1) * block.passes(line);
                    let seconds = scale(takes, nth + 1, passes) - scale(takes, nth, passes);
                    let end = self.now_s + seconds;
                    self.pass(line, block.sides[turn], turn, round, end);
                }
                None => {
                    let link = self.table.lines[line]
                        .link
                        .filter(|_| turn == 0 && round == 1);
                    if let Some(link) = link {
                        self.event(EventKind::Link, link.seconds, link.words.clone());
                    }
                    let end = self.now_s + extra + hold;
                    self.pass(line, block.sides[turn], turn, round, end);
                }
            }
        }
    }

    fn pass(&mut self, line: usize, turn_side: Side, turn: usize, round: u32, end_s: u32) {
        let side = self.side_of(line, turn_side);
        let seconds = end_s - self.now_s;
        self.table.passes.push(Pass {
            line,
            side,
            turn,
            round,
            start_s: self.now_s,
            seconds,
        });
        self.now_s = end_s;
    }

    /// Talk and props before a pass that nobody set time aside for: in the first round only, and
    /// none for a step of one breath or less (contract 4.1).
    fn extra_s(&mut self, line: usize, turn: usize, round: u32, nth: u32, run: &Run) -> u32 {
        let timed = &self.table.lines[line];
        let short = f64::from(timed.pass_s) <= timed.line.breath_s;
        if run.takes_s.is_some() || timed.line.takes_s.is_some() || round > 0 || nth > 1 || short {
            return 0;
        }
        if turn > 0 {
            return self.timing.second_side_s;
        }
        let posture = timed.posture;
        let props = posture
            .and_then(|id| self.library.postures.get(id))
            .is_some_and(|posture| !posture.props.is_empty());
        let known = posture.is_some_and(|id| self.met.contains(&id));
        if let Some(id) = posture.filter(|_| !known) {
            self.met.push(id);
        }
        let talk = if known {
            self.timing.known_posture_s
        } else {
            self.timing.new_posture_s
        };
        talk + if props { self.timing.props_s } else { 0 }
    }
}

/// `part` of `whole`'s share of `total`, rounded down.
fn scale(total: u32, part: u32, whole: u32) -> u32 {
    let share = u64::from(total) * u64::from(part) / u64::from(whole.max(1));
    u32::try_from(share).unwrap_or(u32::MAX)
}
