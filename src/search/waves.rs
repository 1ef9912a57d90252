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
    use serde_json::json;

    use super::super::candidate::{Candidate, What};
    use super::*;
    use crate::judge::verdict::Form;
    use crate::words::PropCounts;

    /// A room without people whose lines teach the first of the shapes named and have the others.
    fn room_of(lines: &[(u32, &[String])]) -> (Vec<LineCandidates>, Instance) {
        let of = |ids: &[String]| LineCandidates {
            list: ids.iter().map(|id| shape(id)).collect(),
            distance: vec![0; ids.len()],
            cost: Vec::new(),
            kinder: Vec::new(),
            free: Vec::new(),
            never_lead: Vec::new(),
        };
        let line = |&(seconds, ids): &(u32, &[String])| {
            let candidates = ids.iter().map(|id| json!({"shape": id, "level": 0}));
            json!({
                "id": "a line", "taught": 0, "keep": false, "seconds": seconds, "never_lead": [1],
                "candidates": candidates.collect::<Vec<_>>(),
            })
        };
        let instance = json!({
            "schema": "", "max_options": 3, "levels": ["standing"], "level_change": [[0]], "blocks": [],
            "weights": {"option": 6, "lead": 6, "excess": 60, "rest": 200, "prop_change": 1},
            "lines": lines.iter().map(line).collect::<Vec<_>>(), "students": [], "stock": {},
        });
        let instance = serde_json::from_value(instance).expect("it is an instance");
        (lines.iter().map(|(_, ids)| of(ids)).collect(), instance)
    }

    fn shape(id: &str) -> Candidate {
        Candidate {
            rest: false,
            what: What::Posture {
                id: id.into(),
                swapped: false,
                fixed: None,
            },
            form: Form::default(),
            bare: false,
            drawn: PropCounts::new(),
        }
    }

    fn ids(names: &[&str]) -> Vec<String> {
        names.iter().map(|&name| name.to_owned()).collect()
    }

    #[test]
    fn a_line_holds_what_another_teaches_beside_its_own() {
        let (early, late) = (
            ids(&["tree", "chair-pose"]),
            ids(&["boat", "tree", "cobra"]),
        );
        let (lines, instance) = room_of(&[(30, &early), (50, &late)]);
        let both = both(&lines, &instance, 0, 1).expect("two shapes and two more");
        let shapes: Vec<&str> = both
            .candidates
            .iter()
            .map(|one| one.shape.as_str())
            .collect();
        assert_eq!(shapes, ["tree", "chair-pose", "boat", "cobra"]);
        assert_eq!((both.seconds, both.taught), (50, 0));
        // What the other teaches is spoken anyway; its own taught shape is never free.
        assert_eq!(both.free, [2]);
        // The second of its own, and the second of the other, which it has as its first.
        assert_eq!(both.never_lead, [1, 0]);
    }

    #[test]
    fn lines_that_teach_the_same_or_hold_too_much_do_not_change_places() {
        let (one, other) = (ids(&["tree", "boat"]), ids(&["tree", "cobra"]));
        let (lines, instance) = room_of(&[(30, &one), (30, &other)]);
        assert_eq!(both(&lines, &instance, 0, 1), None);
        let many = |from: usize, to: usize| -> Vec<String> {
            (from..to).map(|at| format!("shape-{at}")).collect()
        };
        let holds = |most: usize| {
            let (one, other) = (many(0, 30), many(30, most));
            let (lines, instance) = room_of(&[(30, &one), (30, &other)]);
            both(&lines, &instance, 0, 1).is_some()
        };
        assert!(holds(MAX_CANDIDATES));
        assert!(!holds(MAX_CANDIDATES + 1));
    }

    #[test]
    fn two_lines_change_places_and_no_other_does() {
        let swap = Swap { early: 2, late: 5 };
        let lines: Vec<usize> = (0..7).map(|line| swap.content(line)).collect();
        assert_eq!(lines, [0, 1, 5, 3, 4, 2, 6]);
    }
}
