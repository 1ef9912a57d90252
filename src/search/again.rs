//! Runs that begin again: what comes last in one is followed by what comes first in it.
//!
//! The planner goes from line to line. A run taught on each side, or several times, also leads from its end to its
//! own beginning, and where somebody may not take the ways between, that counts as well. Invariant: of what is left
//! to a person, every end of a run taught again is joined to every beginning of it, and the last pause is among
//! both, so a plan still exists.
//!
//! What is kept is the easiest for the person as if the cupboard were theirs alone. Who is left with nothing so, as
//! others have what it takes, is asked for again by the shapes that draw nothing from it (`bare_hands`).

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::candidates::{LineCandidates, Room};
use super::instance::may_follow;
use crate::group::problem::SideStray;
use crate::timetable::Block;
use crate::words::Level;

/// What a person may do, and how they may go.
pub(super) struct Theirs<'r> {
    /// The room.
    pub room: &'r Room<'r>,
    /// What may be done at each line.
    pub lines: &'r [LineCandidates],
    /// Pairs of levels that they may go between.
    pub open: &'r BTreeSet<(Level, Level)>,
    /// Whether only what draws nothing from the cupboard counts when the easiest is looked for.
    pub bare_hands: bool,
}

/// What comes first in a run and what comes last in it, by their places.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Ends {
    first: BTreeSet<usize>,
    last: BTreeSet<usize>,
}

impl Theirs<'_> {
    /// Takes out of `stray` what cannot be done again and again. Gives back, for every block, whether its two
    /// sides have to be planned apart: there the planner looks at the turn from one to the other itself.
    pub(super) fn close(&self, stray: &mut [SideStray]) -> Vec<bool> {
        let blocks = &self.room.table.blocks;
        let mut apart = Vec::with_capacity(blocks.len());
        for block in blocks {
            for run in repeated(block) {
                if self.is_cut(stray, &run) {
                    self.keep_joined(stray, &run);
                }
            }
            apart.push(block.is_sided() && self.is_cut(stray, &block.lines));
        }
        apart
    }

    /// Whether an end of a run is not joined to a beginning of it. A single step is joined to itself.
    fn is_cut(&self, stray: &[SideStray], run: &Range<usize>) -> bool {
        let (first, last) = (run.start, run.end - 1);
        if first == last {
            return false;
        }
        let starts = places(stray, first);
        places(stray, last).iter().any(|&end| {
            let joined = |&start: &usize| self.follows((last, end), (first, start));
            !starts.iter().all(joined)
        })
    }

    /// Of all ways to keep ends and beginnings that are joined, the one with the easiest path through the class.
    fn keep_joined(&self, stray: &mut [SideStray], run: &Range<usize>) {
        let (first, last) = (run.start, run.end - 1);
        let starts = places(stray, first);
        let ends = places(stray, last).into_iter();
        let joined: BTreeMap<usize, BTreeSet<usize>> = ends
            .map(|end| {
                let after = |start: &usize| self.follows((last, end), (first, *start));
                (end, starts.iter().copied().filter(after).collect())
            })
            .collect();
        let all: BTreeSet<Ends> = joined
            .values()
            .map(|starts| {
                let leads = joined.iter().filter(|(_, all)| starts.is_subset(all));
                Ends {
                    first: starts.clone(),
                    last: leads.map(|(&end, _)| end).collect(),
                }
            })
            .collect();
        let kept = |one: &Ends| {
            let mut kept = stray.to_vec();
            keep(&mut kept[first], &one.first);
            keep(&mut kept[last], &one.last);
            kept
        };
        let best = all.iter().map(kept).min_by_key(|kept| {
            let left = kept[first].r.len() + kept[last].r.len();
            (self.easiest(kept), std::cmp::Reverse(left))
        });
        if let Some(best) = best {
            stray.clone_from_slice(&best);
        }
    }

    /// The least that a path from the first line to the last costs in stray and rests, both sides together.
    fn easiest(&self, stray: &[SideStray]) -> u64 {
        let mut until: BTreeMap<usize, u64> = BTreeMap::new();
        for line in 0..stray.len() {
            let before = |at: usize| match line {
                0 => Some(0),
                _ => {
                    let led = |one: &usize| self.follows((line - 1, *one), (line, at));
                    let led = until.iter().filter(|(one, _)| led(one));
                    led.map(|(_, cost)| *cost).min()
                }
            };
            let had = |at: &usize| !self.bare_hands || self.lines[line].list[*at].drawn.is_empty();
            let joined = places(stray, line)
                .into_iter()
                .filter(had)
                .filter_map(|at| {
                    let cost = before(at)? + self.costs(&stray[line], line, at);
                    Some((at, cost))
                });
            until = joined.collect();
        }
        until.values().copied().min().unwrap_or(u64::MAX)
    }

    fn costs(&self, stray: &SideStray, line: usize, at: usize) -> u64 {
        let rest = match self.lines[line].list[at].rest {
            true => 2 * self.room.library.weights.rest.unsigned_abs(),
            false => 0,
        };
        let of = |side: &BTreeMap<usize, u32>| side.get(&at).copied().map_or(0, u64::from);
        rest + of(&stray.r) + of(&stray.l)
    }

    /// Whether one may come after another, each a line and what is done there.
    pub(super) fn follows(&self, before: (usize, usize), after: (usize, usize)) -> bool {
        may_follow(self.room, self.lines, self.open, before, after)
    }
}

/// The runs of a block that are taught several times on end.
fn repeated(block: &Block) -> Vec<Range<usize>> {
    let inner = block.inner.filter(|(.., times)| *times > 1);
    let inner = inner.map(|(first, last, _)| first..last + 1);
    let whole = (block.repeats > 1).then(|| block.lines.clone());
    inner.into_iter().chain(whole).collect()
}

/// What they may do at a line, on either side.
pub(super) fn places(stray: &[SideStray], line: usize) -> BTreeSet<usize> {
    let SideStray { r, l } = &stray[line];
    r.keys().chain(l.keys()).copied().collect()
}

fn keep(stray: &mut SideStray, kept: &BTreeSet<usize>) {
    stray.r.retain(|at, _| kept.contains(at));
    stray.l.retain(|at, _| kept.contains(at));
}
