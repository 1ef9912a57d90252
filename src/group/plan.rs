//! The plan: what the search gives back, in the form of the plan file.
//!
//! Invariant: a plan is plain data. Its objective is the sum of its terms, and its lower bound
//! never exceeds its objective.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::words::StudentId;

/// A student's path: `[line, candidate]` for every node, in the order of their timeline.
pub type Path = Vec<(usize, usize)>;

/// One plan for the room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Plan {
    /// What the plan costs: the sum of its terms.
    pub objective: i64,
    /// No plan costs less than this: a certificate, computed in integers.
    pub lower_bound: i64,
    /// Whether the plan is proved to be an optimum.
    pub proved: bool,
    /// For every line, one candidate for each shape on its menu (the taught one, else the first
    /// form of the shape), rising.
    pub menus: Vec<Vec<usize>>,
    /// Every student's path.
    pub assignments: BTreeMap<StudentId, Path>,
    /// What makes up the objective.
    pub terms: Terms,
    /// Own-rests given, one entry for every node.
    pub sit_outs: Vec<SitOut>,
    /// Lines whose menu holds more than `max_options` shapes.
    pub over_limit: Vec<usize>,
    /// Units of work that the search used.
    pub work: u64,
}

/// What makes up an objective.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Terms {
    /// Distance of the assigned shapes from the taught ones.
    pub stray: i64,
    /// Shapes on menus beyond the first.
    pub options: i64,
    /// Shapes on menus beyond `max_options`.
    pub excess: i64,
    /// Taught shapes that left their menu.
    pub lead: i64,
    /// Level and prop changes beyond those of the class itself.
    pub change: i64,
    /// Own-rests.
    pub rest: i64,
}

impl Terms {
    /// The objective.
    pub fn total(&self) -> i64 {
        self.stray + self.options + self.excess + self.lead + self.change + self.rest
    }
}

/// A student rests where nothing else was free, or where the room's plan asked for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SitOut {
    /// Who.
    pub student: StudentId,
    /// At which line.
    pub line: usize,
}
