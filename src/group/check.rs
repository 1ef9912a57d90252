//! The check of an instance: everything the search relies on.
//!
//! Takes an [`Instance`] and gives the first fault in it. Invariant: whatever passes has a plan
//! and sums that fit in 64 bits after scaling.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{
    Block, Candidate, Instance, Line, MAX_CANDIDATES, SCHEMA, SideStray, Student,
};

/// No plan of an accepted instance may cost more than this, so that scaled costs stay exact.
pub const MAX_TOTAL: u64 = 1 << 30;

/// The most lines that an accepted instance may have.
pub const MAX_LINES: usize = 1 << 10;

/// The most students that an accepted instance may have.
pub const MAX_STUDENTS: usize = 1 << 10;

/// No timeline of an accepted instance may last longer than this many seconds or hold more steps.
pub const MAX_SECONDS: u64 = 1 << 24;

/// Why an instance is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum InstanceError {
    /// Another schema than [`SCHEMA`].
    #[error("the schema is not {SCHEMA}")]
    Schema,
    /// `max_options` is 0.
    #[error("max_options must be at least 1")]
    NoOptions,
    /// `level_change` is not square over `levels`.
    #[error("level_change must have a row and a column for each of the {levels} levels")]
    LevelChange {
        /// Number of levels.
        levels: usize,
    },
    /// The blocks do not hold every line once, in order.
    #[error("block {block} breaks the order of lines: every line belongs to one block, in order")]
    BlockLines {
        /// The first block that is wrong.
        block: usize,
    },
    /// A block or inner run is taught 0 times.
    #[error("block {block} is repeated 0 times")]
    NoRepeats {
        /// The block.
        block: usize,
    },
    /// An inner run is not part of its block.
    #[error("the inner run of block {block} is not within the block")]
    InnerRun {
        /// The block.
        block: usize,
    },
    /// More candidates than fit, or none.
    #[error("line {line} has {candidates} candidates; it must have 1 to {MAX_CANDIDATES}")]
    Candidates {
        /// The line.
        line: usize,
        /// How many it has.
        candidates: usize,
    },
    /// A number that names no candidate.
    #[error("line {line} has no candidate {candidate} (in {field})")]
    UnknownCandidate {
        /// The line.
        line: usize,
        /// The number given.
        candidate: usize,
        /// Where it was given.
        field: &'static str,
    },
    /// A number that names no level.
    #[error("candidate {candidate} of line {line} is at level {level}, which does not exist")]
    UnknownLevel {
        /// The line.
        line: usize,
        /// The candidate.
        candidate: usize,
        /// The number given.
        level: usize,
    },
    /// An own-rest stands where only a shape of the menu may.
    #[error("candidate {candidate} of line {line} is an own-rest and cannot be {field}")]
    RestOnMenu {
        /// The line.
        line: usize,
        /// The candidate.
        candidate: usize,
        /// What it was named as.
        field: &'static str,
    },
    /// The taught shape is also named as free.
    #[error("the taught shape of line {line} cannot also be free")]
    FreeTaught {
        /// The line.
        line: usize,
    },
    /// No pause: an own-rest that holds nothing, uses nothing, and is open to everyone.
    #[error("line {line} has no own-rest that holds nothing, uses nothing and is open to everyone")]
    NoPause {
        /// The line.
        line: usize,
    },
    /// Two students share an id.
    #[error("student number {student} has the id of an earlier student")]
    SameStudent {
        /// Position in `students`.
        student: usize,
    },
    /// A list of a student does not fit the class.
    #[error("student number {student}: {field} must have {wanted} entries")]
    StudentLists {
        /// Position in `students`.
        student: usize,
        /// The list.
        field: &'static str,
        /// How many entries it needs.
        wanted: usize,
    },
    /// Two sides differ where they must not.
    #[error("student number {student}: the sides of line {line} differ, but they count as one")]
    SidesDiffer {
        /// Position in `students`.
        student: usize,
        /// The line.
        line: usize,
    },
    /// Two budgets for one thing.
    #[error("student number {student} has two budgets for the same thing")]
    SameBudget {
        /// Position in `students`.
        student: usize,
    },
    /// A barred link that is no link.
    #[error("student number {student}: no path goes from line {from} to line {to}")]
    NoSuchLink {
        /// Position in `students`.
        student: usize,
        /// First line.
        from: usize,
        /// Second line.
        to: usize,
    },
    /// Costs or seconds that could overflow.
    #[error("lines, students, costs or seconds are too many to be added exactly")]
    TooLarge,
}

impl Instance {
    /// Checks that the instance means something and that a plan exists.
    ///
    /// # Errors
    /// The first fault found, in the order of the file.
    pub fn check(&self) -> Result<(), InstanceError> {
        if self.schema != SCHEMA {
            return Err(InstanceError::Schema);
        }
        if self.lines.len() > MAX_LINES || self.students.len() > MAX_STUDENTS {
            return Err(InstanceError::TooLarge);
        }
        if self.max_options == 0 {
            return Err(InstanceError::NoOptions);
        }
        let levels = self.levels.len();
        if self.level_change.len() != levels
            || self.level_change.iter().any(|row| row.len() != levels)
        {
            return Err(InstanceError::LevelChange { levels });
        }
        self.check_blocks()?;
        for (t, line) in self.lines.iter().enumerate() {
            line.check(t, levels)?;
        }
        let mut ids = BTreeSet::new();
        for (s, student) in self.students.iter().enumerate() {
            if !ids.insert(&student.id) {
                return Err(InstanceError::SameStudent { student: s });
            }
            self.check_student(s, student)?;
        }
        for line in 0..self.lines.len() {
            if self.pause(line).is_none() {
                return Err(InstanceError::NoPause { line });
            }
        }
        let fits = |total: Option<u64>, most| total.is_some_and(|sum| sum <= most);
        if !fits(self.worst_cost(), MAX_TOTAL) || !fits(self.worst_seconds(), MAX_SECONDS) {
            return Err(InstanceError::TooLarge);
        }
        Ok(())
    }

    fn check_blocks(&self) -> Result<(), InstanceError> {
        let mut next = 0;
        for (b, block) in self.blocks.iter().enumerate() {
            if block.lines.is_empty()
                || block
                    .lines
                    .iter()
                    .enumerate()
                    .any(|(i, &line)| line != next + i)
            {
                return Err(InstanceError::BlockLines { block: b });
            }
            next += block.lines.len();
            if block.repeats == 0 || block.inner.as_ref().is_some_and(|inner| inner.repeats == 0) {
                return Err(InstanceError::NoRepeats { block: b });
            }
            if let Some(inner) = &block.inner {
                let within = |line| block.lines.contains(&line);
                if !within(inner.first) || !within(inner.last) || inner.first > inner.last {
                    return Err(InstanceError::InnerRun { block: b });
                }
            }
        }
        if next == self.lines.len() {
            Ok(())
        } else {
            Err(InstanceError::BlockLines {
                block: self.blocks.len(),
            })
        }
    }

    fn check_student(&self, s: usize, student: &Student) -> Result<(), InstanceError> {
        let lists = [
            ("tied", student.tied.len(), self.blocks.len()),
            ("stray", student.stray.len(), self.lines.len()),
        ];
        for (field, found, wanted) in lists {
            if found != wanted {
                return Err(InstanceError::StudentLists {
                    student: s,
                    field,
                    wanted,
                });
            }
        }
        for (block, &tied) in self.blocks.iter().zip(&student.tied) {
            for &line in &block.lines {
                let SideStray { r, l } = &student.stray[line];
                for &c in r.keys().chain(l.keys()) {
                    self.lines[line].known(line, c, "stray")?;
                }
                if (tied || !block.sided) && r != l {
                    return Err(InstanceError::SidesDiffer { student: s, line });
                }
            }
        }
        let limited: BTreeSet<&str> = student
            .budgets
            .iter()
            .map(|budget| budget.what.as_str())
            .collect();
        if limited.len() != student.budgets.len() {
            return Err(InstanceError::SameBudget { student: s });
        }
        for &(from, a, to, b) in &student.barred {
            let turn = |block: &Block| {
                block.sided && block.lines.first() == Some(&to) && block.lines.last() == Some(&from)
            };
            let linked = to == from + 1 || self.blocks.iter().any(turn);
            if !linked || to >= self.lines.len() || from >= self.lines.len() {
                return Err(InstanceError::NoSuchLink {
                    student: s,
                    from,
                    to,
                });
            }
            self.lines[from].known(from, a, "barred")?;
            self.lines[to].known(to, b, "barred")?;
        }
        Ok(())
    }

    /// More than any plan can cost, or none when that does not fit.
    fn worst_cost(&self) -> Option<u64> {
        let weights = &self.weights;
        let level_most = u64::from(
            self.level_change
                .iter()
                .flatten()
                .copied()
                .max()
                .unwrap_or(0),
        );
        let mut held_most = 0u64;
        let mut menus = 0u64;
        for line in &self.lines {
            let shapes = line.candidates.len() as u64;
            let each = u64::from(weights.option).checked_add(u64::from(weights.excess))?;
            menus = menus
                .checked_add(shapes.checked_mul(each)?)?
                .checked_add(u64::from(weights.lead))?;
            for candidate in &line.candidates {
                held_most =
                    held_most.max(candidate.props.values().map(|&held| u64::from(held)).sum());
            }
        }
        let link = u64::from(weights.prop_change)
            .checked_mul(held_most.checked_mul(2)?)?
            .checked_add(level_most)?;
        let per_node = link.checked_add(u64::from(weights.rest))?.checked_mul(2)?;
        let mut total = menus;
        for student in &self.students {
            for side in &student.stray {
                let most = |costs: &BTreeMap<usize, u32>| {
                    u64::from(costs.values().copied().max().unwrap_or(0))
                };
                total = total
                    .checked_add(most(&side.r))?
                    .checked_add(most(&side.l))?
                    .checked_add(per_node)?;
            }
        }
        Some(total)
    }

    /// The length of the timeline, or none when that does not fit.
    fn worst_seconds(&self) -> Option<u64> {
        let mut total = 0u64;
        for block in &self.blocks {
            let passes = u64::from(block.repeats).checked_mul(if block.sided { 2 } else { 1 })?;
            for &line in &block.lines {
                let visits = passes.checked_mul(u64::from(block.inner_repeats(line)))?;
                total = total
                    .checked_add(visits.checked_mul(u64::from(self.lines[line].seconds.max(1)))?)?;
            }
        }
        Some(total)
    }
}

impl Line {
    fn known(
        &self,
        line: usize,
        candidate: usize,
        field: &'static str,
    ) -> Result<&Candidate, InstanceError> {
        self.candidates
            .get(candidate)
            .ok_or(InstanceError::UnknownCandidate {
                line,
                candidate,
                field,
            })
    }

    fn check(&self, t: usize, levels: usize) -> Result<(), InstanceError> {
        if self.candidates.is_empty() || self.candidates.len() > MAX_CANDIDATES {
            return Err(InstanceError::Candidates {
                line: t,
                candidates: self.candidates.len(),
            });
        }
        let on_menu = [
            ("taught", std::slice::from_ref(&self.taught)),
            ("kinder", &self.kinder),
            ("free", &self.free),
        ];
        for (field, numbers) in on_menu {
            for &candidate in numbers {
                if self.known(t, candidate, field)?.is_rest() {
                    return Err(InstanceError::RestOnMenu {
                        line: t,
                        candidate,
                        field,
                    });
                }
            }
        }
        for &candidate in &self.never_lead {
            self.known(t, candidate, "never_lead")?;
        }
        let taught = &self.candidates[self.taught].shape;
        if self
            .free
            .iter()
            .any(|&c| self.candidates[c].shape == *taught)
        {
            return Err(InstanceError::FreeTaught { line: t });
        }
        for (candidate, entry) in self.candidates.iter().enumerate() {
            if entry.level >= levels {
                return Err(InstanceError::UnknownLevel {
                    line: t,
                    candidate,
                    level: entry.level,
                });
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
