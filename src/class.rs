//! A class plan as it is meant: checked, names resolved, sides and holds spelt out.
//!
//! `input::class` makes it from a file; everything after reads it. Invariant: lines are numbered
//! from 1 in the order written, and every posture id exists in the library.

use jiff::civil::{Date, Time};

use crate::words::{Level, PostureId, PropCounts, Side};

/// A whole class as the teacher planned it.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassPlan {
    /// The class's title.
    pub title: String,
    /// The day it is taught, if written.
    pub date: Option<Date>,
    /// The clock time it starts, if written.
    pub start: Option<Time>,
    /// Length of the slot in seconds.
    pub slot_s: u32,
    /// Sections in order.
    pub sections: Vec<Section>,
}

/// A named part of the class.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its name.
    pub name: String,
    /// What happens in it, in order.
    pub items: Vec<Item>,
}

/// One entry of a section.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Welcome, handing out props: a clock and no line.
    Talk {
        /// Seconds set aside.
        seconds: u32,
        /// A note, if any.
        note: Option<String>,
    },
    /// A taught way from one level to another: a clock and no line.
    Move {
        /// Where it leads.
        to: Level,
        /// The words after `by`: a name of `data/links.yaml`.
        by: Option<String>,
        /// Seconds set aside by the teacher.
        takes_s: Option<u32>,
        /// A note, if any.
        note: Option<String>,
    },
    /// A run of lines taught together; a step on its own is a run of one.
    Run(Run),
}

/// A run of lines, taught `repeats` times on one side, on each, or on none.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Which side the run is taught on.
    pub sides: Sides,
    /// How often it is taught on a side, at least 1.
    pub repeats: u32,
    /// What the teacher set aside for all of it, both sides, in seconds.
    pub takes_s: Option<u32>,
    /// Its lines, with at most one inner repeat.
    pub parts: Vec<Part>,
    /// Whether it was written as one step, not as a run: then nothing is said about rounds.
    pub single: bool,
}

/// Which side a run is taught on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sides {
    /// The shape has no sides, or is taught without naming one.
    None,
    /// One side only.
    One(Side),
    /// All rounds of one side, then all of the other. `first` is what the plan says;
    /// without it the teacher's setting counts.
    Each {
        /// The side named in the plan.
        first: Option<Side>,
    },
}

/// A line, or the inner repeat of a run.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// One line.
    Line(Line),
    /// Lines repeated within the run.
    Repeat {
        /// How often, at least 1.
        repeats: u32,
        /// The lines.
        lines: Vec<Line>,
    },
}

impl Run {
    /// The run's lines in the order written, inner repeat flattened.
    pub fn lines(&self) -> impl Iterator<Item = &Line> {
        self.parts.iter().flat_map(|part| match part {
            Part::Line(line) => std::slice::from_ref(line),
            Part::Repeat { lines, .. } => lines.as_slice(),
        })
    }
}

/// A posture as written once in the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its place in the class as written, from 1. `why --step` takes it.
    pub number: usize,
    /// What is taught.
    pub taught: Taught,
    /// A side written on the line itself that its run does not already say: a fixed side inside
    /// an unsided run, or none inside a sided one.
    pub side: Option<Side>,
    /// The hold of one pass on one side, in seconds.
    pub hold_s: u32,
    /// The hold in breaths, when it was written so (rounds count as breaths).
    pub breaths: Option<f64>,
    /// What the teacher set aside for the line, both sides and everything, in seconds.
    pub takes_s: Option<u32>,
    /// The teacher's own spoken choices.
    pub or: Vec<Choice>,
    /// A cue of the teacher's own.
    pub cue: Option<String>,
    /// A note.
    pub note: Option<String>,
    /// Props that the teacher uses for the taught shape beyond the posture's own, a person each.
    pub props: PropCounts,
    /// The lead must stay the taught shape.
    pub keep: bool,
    /// Kneel on a blanket (from the class, the section or the line).
    pub padded: bool,
    /// The section's breath in seconds.
    pub breath_s: f64,
}

/// What a line teaches.
#[derive(Clone, Debug, PartialEq)]
pub enum Taught {
    /// A posture of the library.
    Posture(PostureId),
    /// A shape of the teacher's own, judged as the one that it is like.
    Own {
        /// The teacher's name for it.
        name: String,
        /// The posture it is like. Without one every limited person is asked about it.
        like: Option<PostureId>,
    },
}

/// An entry of `or`.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// A posture: judged, and on the menu at no cost.
    Posture(PostureId),
    /// Other words: printed.
    Words(String),
}

impl ClassPlan {
    /// Every line in the order written.
    pub fn lines(&self) -> impl Iterator<Item = &Line> {
        self.sections
            .iter()
            .flat_map(|section| &section.items)
            .filter_map(|item| match item {
                Item::Run(run) => Some(run),
                Item::Talk { .. } | Item::Move { .. } => None,
            })
            .flat_map(Run::lines)
    }
}
