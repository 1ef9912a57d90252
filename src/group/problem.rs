//! The planning instance: the file form of `kindfold/plan-instance/1`.
//!
//! Takes JSON and gives checked values. Every quantity is a whole number; absent means avoid.
//!
//! Invariant: after [`Instance::check`] every number that names something exists, all sums of
//! costs and seconds fit, and a plan exists, because every line has a pause that asks nothing.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::words::StudentId;

/// The schema word of an instance file.
pub const SCHEMA: &str = "kindfold/plan-instance/1";

/// The most candidates that one line may have (a line's candidates are held in one 64-bit word).
pub const MAX_CANDIDATES: usize = 64;

/// One class, one room, one cupboard: all that a planner needs to know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Instance {
    /// Always [`SCHEMA`].
    pub schema: String,
    /// How many shapes a line's menu may hold before each further one costs `weights.excess`.
    pub max_options: u32,
    /// What each kind of departure from the class costs.
    pub weights: Weights,
    /// Names of the levels; candidates give a position in this list.
    pub levels: Vec<String>,
    /// Cost of going from one level (row) to another (column).
    pub level_change: Vec<Vec<u32>>,
    /// Runs of lines in time order; together they hold every line once.
    pub blocks: Vec<Block>,
    /// The class as written, in time order, numbered from 0.
    pub lines: Vec<Line>,
    /// The people in the room.
    pub students: Vec<Student>,
    /// What is there for students to use at one line; a prop that is not named is never short.
    pub stock: BTreeMap<String, u32>,
}

/// What each kind of departure costs, in the same unit as stray.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Weights {
    /// Each shape on a menu beyond the first.
    pub option: u32,
    /// Each shape on a menu beyond `max_options`, on top of `option`.
    pub excess: u32,
    /// Each line whose taught shape is not on its menu.
    pub lead: u32,
    /// Each own-rest given to a student, per side.
    pub rest: u32,
    /// Each prop picked up or put down between two consecutive shapes.
    pub prop_change: u32,
}

/// A run of lines taught `repeats` times, on one side or on each.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Block {
    /// Numbers of its lines: consecutive, at least one.
    pub lines: Vec<usize>,
    /// Taught on one side, then on the other.
    pub sided: bool,
    /// How often the run is taught on each side; at least 1.
    pub repeats: u32,
    /// A run inside the run that is taught several times in each round.
    #[serde(default)]
    pub inner: Option<Inner>,
}

/// A repeated run inside a block.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Inner {
    /// Its first line.
    pub first: usize,
    /// Its last line.
    pub last: usize,
    /// How often it is taught in each round of the block; at least 1.
    pub repeats: u32,
}

/// A step as written, with everything that may be done at it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Line {
    /// The line's own name, for messages.
    pub id: String,
    /// The candidate that is taught; never an own-rest.
    pub taught: usize,
    /// The taught shape must be on the menu.
    pub keep: bool,
    /// One pass on one side.
    pub seconds: u32,
    /// Candidates of which one shape must be on the menu; empty: no such need.
    #[serde(default)]
    pub kinder: Vec<usize>,
    /// Candidates whose shape is on the menu at no cost and no count; never the taught shape.
    #[serde(default)]
    pub free: Vec<usize>,
    /// Candidates that may be done but never shown as the lead.
    #[serde(default)]
    pub never_lead: Vec<usize>,
    /// All that may be done here, numbered from 0.
    pub candidates: Vec<Candidate>,
}

/// One form of one shape that may be done at a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Candidate {
    /// The shape; candidates of a line with the same shape are one entry on its menu.
    pub shape: String,
    /// Position in [`Instance::levels`].
    pub level: usize,
    /// Props that one student holds in it.
    #[serde(default)]
    pub props: BTreeMap<String, u32>,
    /// What it uses of personal budgets.
    #[serde(default)]
    pub uses: Vec<String>,
    /// 1 for an own-rest (named once before class, on no menu), else 0.
    #[serde(default)]
    pub rest: u8,
}

impl Candidate {
    /// Whether this is an own-rest: on no menu, charged `weights.rest`.
    pub fn is_rest(&self) -> bool {
        self.rest != 0
    }

    /// Whether it holds nothing and uses nothing.
    pub fn asks_nothing(&self) -> bool {
        self.uses.is_empty() && self.props.values().all(|&held| held == 0)
    }
}

/// One person: what each shape costs them and what they have to keep within.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Student {
    /// Unique in the instance.
    pub id: StudentId,
    /// For every block: both sides get the same shapes. Needs equal strays on both sides.
    pub tied: Vec<bool>,
    /// For every line, what each candidate costs; a candidate that is absent is never assigned.
    pub stray: Vec<SideStray>,
    /// Personal limits on time spent in something.
    #[serde(default)]
    pub budgets: Vec<Budget>,
    /// `[line, candidate, line, candidate]`: two shapes that may not follow each other in this
    /// student's path. The lines are consecutive, or the last and the first line of a sided
    /// block (the turn from one side to the other of a student who is not tied there).
    #[serde(default)]
    pub barred: Vec<(usize, usize, usize, usize)>,
}

/// What each candidate of a line costs a student, by side; the right run is taught first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct SideStray {
    /// On the right, and on a line that has no sides.
    pub r: BTreeMap<usize, u32>,
    /// On the left; equal to `r` on a line that has no sides.
    pub l: BTreeMap<usize, u32>,
}

/// A limit on the time that a student spends in something.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Budget {
    /// What is limited; a word of [`Candidate::uses`].
    #[serde(rename = "use")]
    pub what: String,
    /// The longest unbroken run; null: no limit.
    #[serde(default)]
    pub bout_s: Option<u32>,
    /// The most in the whole class; null: no limit.
    #[serde(default)]
    pub class_s: Option<u32>,
}

impl Instance {
    /// The pause of a line: the first own-rest that holds nothing, uses nothing, is open to
    /// everyone on both sides and is in no barred link.
    pub fn pause(&self, line: usize) -> Option<usize> {
        let candidates = &self.lines.get(line)?.candidates;
        (0..candidates.len()).find(|&c| {
            candidates[c].is_rest()
                && candidates[c].asks_nothing()
                && self.students.iter().all(|student| {
                    student.stray[line].r.contains_key(&c)
                        && student.stray[line].l.contains_key(&c)
                        && !student
                            .barred
                            .iter()
                            .any(|&(a, v, b, w)| (a, v) == (line, c) || (b, w) == (line, c))
                })
        })
    }
}

impl Block {
    /// How often a line is taught within one round of the block.
    pub fn inner_repeats(&self, line: usize) -> u32 {
        match &self.inner {
            Some(inner) if (inner.first..=inner.last).contains(&line) => inner.repeats,
            _ => 1,
        }
    }
}
