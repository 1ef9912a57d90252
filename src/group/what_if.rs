//! The same room with one thing changed: what would it cost then?
//!
//! Takes an [`Instance`] and gives another to be solved beside it. Invariant: the first stays as
//! it is, and what is given back passes the same check.

use std::collections::BTreeMap;

use super::problem::{Instance, SideStray};

/// More than any change in a room costs.
pub const FORBIDDING: u32 = 100_000;

impl Instance {
    /// The room with one more of a prop.
    pub fn with_one_more(&self, prop: &str) -> Self {
        let mut richer = self.clone();
        if let Some(stock) = richer.stock.get_mut(prop) {
            *stock += 1;
        }
        richer
    }

    /// The room in which all but one shape cost a student [`FORBIDDING`] more at a line, on every
    /// side; none when the shape is not theirs. They can still pause, so that a plan exists.
    pub fn with_only(&self, student: usize, line: usize, shape: &str) -> Option<Self> {
        let forms = self.forms(line, shape);
        let mut bound = self.clone();
        let sides: &mut SideStray = &mut bound.students[student].stray[line];
        for strays in [&mut sides.r, &mut sides.l] {
            if !strays.keys().any(|candidate| forms.contains(candidate)) {
                return None;
            }
            for (candidate, cost) in strays.iter_mut() {
                if !forms.contains(candidate) {
                    *cost += FORBIDDING;
                }
            }
        }
        Some(bound)
    }

    /// The room in which a shape is on a line's menu; none when the line has to offer something
    /// else already.
    pub fn with_offered(&self, line: usize, shape: &str) -> Option<Self> {
        let forms = self.forms(line, shape);
        let kinder = &self.lines[line].kinder;
        let able = kinder.is_empty() || forms.iter().any(|form| kinder.contains(form));
        let mut offered = self.clone();
        offered.lines[line]
            .free
            .retain(|form| !forms.contains(form));
        let first = forms.first().copied().filter(|_| able)?;
        offered.lines[line].kinder = vec![first];
        Some(offered)
    }

    /// The room in which a shape is taught at a line: it costs those who may do it nothing there,
    /// and the shape taught so far costs them what the new one did. None when it may not lead.
    pub fn with_taught(&self, line: usize, shape: &str) -> Option<Self> {
        let forms = self.forms(line, shape);
        let own = &self.lines[line];
        let plain = forms
            .iter()
            .copied()
            .find(|form| !own.never_lead.contains(form) && !own.free.contains(form))?;
        let before = own.taught;
        let mut other = self.clone();
        other.lines[line].taught = plain;
        other.lines[line].keep = false;
        let kinder = &mut other.lines[line].kinder;
        kinder.retain(|form| !forms.contains(form));
        for student in &mut other.students {
            let sides = &mut student.stray[line];
            for strays in [&mut sides.r, &mut sides.l] {
                trade(strays, before, plain);
            }
        }
        Some(other)
    }

    /// Candidates of a line that are forms of a shape, rests left out.
    fn forms(&self, line: usize, shape: &str) -> Vec<usize> {
        let candidates = self.lines[line].candidates.iter().enumerate();
        candidates
            .filter(|(_, candidate)| candidate.shape == shape && !candidate.is_rest())
            .map(|(number, _)| number)
            .collect()
    }
}

fn trade(strays: &mut BTreeMap<usize, u32>, before: usize, now: usize) {
    let Some(cost) = strays.get(&now).copied() else {
        return;
    };
    strays.insert(now, 0);
    if let Some(old) = strays.get_mut(&before) {
        *old = cost;
    }
}

#[cfg(test)]
mod tests {
    use super::super::problem::{Block, Candidate, Line, SCHEMA, Student, Weights};
    use super::super::solve::{Limit, solve};
    use super::*;
    use crate::words::StudentId;

    /// Two students at one line; the taught shape needs the only strap, the other needs nothing.
    fn room() -> Instance {
        let candidate = |shape: &str, strap: u32, rest: u8| Candidate {
            shape: shape.to_owned(),
            level: 0,
            props: BTreeMap::from([("strap".to_owned(), strap)]),
            uses: Vec::new(),
            rest,
        };
        let strays: BTreeMap<usize, u32> = [(0, 0), (1, 3), (2, 0)].into();
        let student = |id: &str| Student {
            id: StudentId::from(id.to_owned()),
            tied: vec![true],
            stray: vec![SideStray {
                r: strays.clone(),
                l: strays.clone(),
            }],
            budgets: Vec::new(),
            barred: Vec::new(),
        };
        Instance {
            schema: SCHEMA.to_owned(),
            max_options: 3,
            weights: Weights {
                option: 6,
                excess: 60,
                lead: 6,
                rest: 200,
                prop_change: 1,
            },
            levels: vec!["lying".to_owned()],
            level_change: vec![vec![0]],
            blocks: vec![Block {
                lines: vec![0],
                sided: false,
                repeats: 1,
                inner: None,
            }],
            lines: vec![Line {
                id: "line 1".to_owned(),
                taught: 0,
                keep: false,
                seconds: 60,
                kinder: Vec::new(),
                free: Vec::new(),
                never_lead: Vec::new(),
                candidates: vec![
                    candidate("strap", 1, 0),
                    candidate("bare", 0, 0),
                    candidate("pause", 0, 1),
                ],
            }],
            students: vec![student("ada"), student("ben")],
            stock: BTreeMap::from([("strap".to_owned(), 1)]),
        }
    }

    fn cost(instance: &Instance) -> i64 {
        let plan = solve(instance, Limit::default(), &mut |_| {}).expect("sound");
        assert!(plan.proved);
        plan.objective
    }

    #[test]
    fn a_strap_more_saves_the_option_and_the_stray() {
        let room = room();
        // One bare shape (3) as one option (6); both bare would be 6 and a lost lead 6.
        assert_eq!(cost(&room), 9);
        assert_eq!(cost(&room.with_one_more("strap")), 0);
        assert_eq!(cost(&room), 9);
    }

    #[test]
    fn a_shape_taught_instead_costs_nobody_anything() {
        let bare = room().with_taught(0, "bare").expect("it may lead");
        assert_eq!(cost(&bare), 0);
        assert!(room().with_taught(0, "pause").is_none());
    }

    #[test]
    fn one_person_in_one_shape_leaves_the_rest_to_the_others() {
        let bound = room().with_only(0, 0, "strap").expect("they may");
        assert_eq!(cost(&bound), 9);
        assert!(room().with_only(0, 0, "nothing").is_none());
    }

    #[test]
    fn an_option_more_costs_its_words() {
        let mut richer = room();
        richer.stock.insert("strap".to_owned(), 2);
        let offered = richer
            .with_offered(0, "bare")
            .expect("nothing else has to be there");
        assert_eq!(cost(&offered), 6);
    }
}
