//! Two waves: half of the room does one line while the other half does another, and they change over.
//!
//! Takes the room's instance, two lines and who does the later one first; gives the instance in which
//! they do. Invariant: everybody meets the same shapes at the same cost in either order; only who
//! stands beside whom at the cupboard differs.

use std::collections::BTreeMap;

use super::candidates::{LineCandidates, Room};
use super::instance::{may_follow, open_levels};
use crate::group::problem::{Instance, Line, MAX_CANDIDATES, SideStray};

/// Two lines that change places for half of the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Swap {
    /// The one taught first.
    pub early: usize,
    /// The one taught later.
    pub late: usize,
}

impl Swap {
    /// What those who go second do at a line.
    fn content(self, line: usize) -> usize {
        match line {
            line if line == self.early => self.late,
            line if line == self.late => self.early,
            line => line,
        }
    }
}

/// The room in two waves; `second` says who does the later line first. Both lines are taught once, on no
/// side, and neither is the first of the class. None where a line would hold too many candidates, or where
/// both teach the same shape.
pub fn in_waves(
    room: &Room<'_>,
    lines: &[LineCandidates],
    instance: &Instance,
    swap: Swap,
    second: &[bool],
) -> Option<Instance> {
    let Swap { early, late } = swap;
    let mut waved = instance.clone();
    for (line, other) in [(early, late), (late, early)] {
        waved.lines[line] = both(lines, instance, line, other)?;
    }
    for (place, person) in room.people.iter().enumerate() {
        if second.get(place) != Some(&true) {
            continue;
        }
        let student = &mut waved.students[place];
        let own = &instance.students[place];
        for line in [early, late] {
            let other = swap.content(line);
            let renumbered = |costs: &BTreeMap<usize, u32>| -> BTreeMap<usize, u32> {
                let moved = costs.iter();
                moved
                    .map(|(&at, &cost)| (number(lines, line, other, at), cost))
                    .collect()
            };
            let SideStray { r, l } = &own.stray[other];
            student.stray[line] = SideStray {
                r: renumbered(r),
                l: renumbered(l),
            };
        }
        let touched = |line: usize| line == early || line == late;
        student
            .barred
            .retain(|&(a, _, b, _)| !touched(a) && !touched(b));
        let open = open_levels(room, person);
        for b in 1..lines.len() {
            let a = b - 1;
            if !touched(a) && !touched(b) {
                continue;
            }
            let (before, after) = (swap.content(a), swap.content(b));
            for &v in own.stray[before].r.keys() {
                for &w in own.stray[after].r.keys() {
                    if !may_follow(room, lines, &open, (before, v), (after, w)) {
                        let v = number(lines, a, before, v);
                        let w = number(lines, b, after, w);
                        student.barred.push((a, v, b, w));
                    }
                }
            }
        }
    }
    Some(waved)
}

/// The number at `line` of a candidate of `other`: that of its own which is the same, or one behind its own.
fn number(lines: &[LineCandidates], line: usize, other: usize, at: usize) -> usize {
    if line == other {
        return at;
    }
    let (own, theirs) = (&lines[line].list, &lines[other].list);
    let same = theirs
        .get(at)
        .and_then(|one| own.iter().position(|known| known == one));
    let new = theirs.iter().take(at).filter(|one| !own.contains(one));
    same.unwrap_or_else(|| own.len() + new.count())
}

/// A line with what another teaches beside its own: the other's taught shape is spoken anyway.
fn both(lines: &[LineCandidates], instance: &Instance, line: usize, other: usize) -> Option<Line> {
    let (own, added) = (&instance.lines[line], &instance.lines[other]);
    let moved = |at: &usize| number(lines, line, other, *at);
    let taught = &own.candidates[own.taught].shape;
    let mut both = own.clone();
    let new = added.candidates.iter().zip(&lines[other].list);
    let new = new.filter(|(_, one)| !lines[line].list.contains(one));
    both.candidates
        .extend(new.map(|(candidate, _)| candidate.clone()));
    both.seconds = own.seconds.max(added.seconds);
    both.free.push(moved(&added.taught));
    both.free.extend(added.free.iter().map(moved));
    both.free.retain(|&at| both.candidates[at].shape != *taught);
    both.never_lead.extend(added.never_lead.iter().map(moved));
    let same = added.candidates[added.taught].shape == *taught;
    (!same && both.candidates.len() <= MAX_CANDIDATES).then_some(both)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_lines_change_places_and_no_other_does() {
        let swap = Swap { early: 2, late: 5 };
        let lines: Vec<usize> = (0..7).map(|line| swap.content(line)).collect();
        assert_eq!(lines, [0, 1, 5, 3, 4, 2, 6]);
    }
}
