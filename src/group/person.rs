//! A person of the room: the chain of what they decide, as plain arrays.
//!
//! Takes a checked [`Instance`] and the members that stand together. Invariant: costs and links are those
//! of all members at once, scaled as the room is.

use std::collections::BTreeSet;

use super::chain::{Chain, relative_change};
use super::meter::{Limits, Place};
use super::problem::Instance;
use super::room::NEVER;

/// One student, or several that cannot be told apart.
#[derive(Debug, Clone)]
pub(super) struct Person {
    /// Positions in the instance, by id.
    pub(super) members: Vec<usize>,
    pub(super) nodes: Vec<PersonNode>,
    /// Candidate numbers, node after node.
    pub(super) cands: Vec<u8>,
    /// Scaled cost of each of `cands`, for all members together.
    pub(super) costs: Vec<i64>,
    /// Scaled cost of each link, for all members together: rows are the node's own candidates,
    /// columns those of the next node.
    pub(super) links: Vec<i64>,
    pub(super) budgets: Vec<Limits>,
    /// Nodes as they follow each other on the clock.
    pub(super) timeline: Vec<u32>,
    /// Which budgets each of `cands` uses, a bit each.
    pub(super) uses: Vec<u32>,
}

/// One decision of a person.
#[derive(Debug, Clone, Copy)]
pub(super) struct PersonNode {
    pub(super) line: usize,
    /// Where its candidates begin.
    pub(super) first: usize,
    /// How many it has.
    pub(super) len: usize,
    /// Where its links begin.
    pub(super) links: usize,
    pub(super) seconds: u32,
    pub(super) visits: u32,
    pub(super) place: Place,
}

impl Person {
    /// The person of these members, with costs in parts of `unit`.
    pub(super) fn new(instance: &Instance, members: Vec<usize>, unit: i64) -> Self {
        let student = &instance.students[members[0]];
        let unit = unit * members.len() as i64;
        let chain = Chain::of(instance, student);
        let barred: BTreeSet<_> = student.barred.iter().copied().collect();
        let mut person = Self {
            members,
            nodes: Vec::new(),
            cands: Vec::new(),
            costs: Vec::new(),
            links: Vec::new(),
            budgets: Vec::new(),
            timeline: Vec::new(),
            uses: Vec::new(),
        };
        let names: Vec<&str> = student
            .budgets
            .iter()
            .take(32)
            .map(|budget| budget.what.as_str())
            .collect();
        for budget in student.budgets.iter().take(32) {
            person.budgets.push(Limits {
                bout_s: budget.bout_s.unwrap_or(u32::MAX),
                class_s: budget.class_s.unwrap_or(u32::MAX),
            });
        }
        for segment in &chain.segments {
            for n in segment.nodes.clone() {
                let node = &chain.nodes[n];
                let line = &instance.lines[node.line];
                let first = person.cands.len();
                for (candidate, stray) in node.strays(student) {
                    let entry = &line.candidates[candidate];
                    let rest = if entry.is_rest() {
                        i64::from(instance.weights.rest * node.sides())
                    } else {
                        0
                    };
                    let used = |(bit, name): (usize, &&str)| {
                        u32::from(entry.uses.iter().any(|u| u == name)) << bit
                    };
                    person.cands.push(candidate as u8);
                    person.costs.push((stray as i64 + rest) * unit);
                    person.uses.push(names.iter().enumerate().map(used).sum());
                }
                let inner = segment
                    .inner
                    .as_ref()
                    .filter(|(stretch, _)| stretch.contains(&n));
                person.nodes.push(PersonNode {
                    line: node.line,
                    first,
                    len: person.cands.len() - first,
                    links: 0,
                    seconds: line.seconds,
                    visits: segment.passes * inner.map_or(1, |(_, repeats)| *repeats),
                    place: Place {
                        inner: inner.is_some(),
                        folded: segment.passes > 1 || segment.inner.is_some(),
                        ends_inner: inner
                            .filter(|(stretch, _)| n + 1 == stretch.end)
                            .map(|(_, repeats)| *repeats),
                        ends_segment: (n + 1 == segment.nodes.end).then_some(segment.passes),
                    },
                });
            }
        }
        for n in 0..person.nodes.len() {
            person.nodes[n].links = person.links.len();
            let Some(&next) = person.nodes.get(n + 1) else {
                break;
            };
            let here = person.nodes[n];
            for i in here.first..here.first + here.len {
                for j in next.first..next.first + next.len {
                    let from = (here.line, usize::from(person.cands[i]));
                    let to = (next.line, usize::from(person.cands[j]));
                    let times = i64::from(chain.nodes[n].link_times);
                    person
                        .links
                        .push(if barred.contains(&(from.0, from.1, to.0, to.1)) {
                            NEVER
                        } else {
                            relative_change(instance, from, to) * times * unit
                        });
                }
            }
        }
        person.drop_slack_budgets();
        if !person.budgets.is_empty() {
            person.timeline = chain.timeline().iter().map(|&n| n as u32).collect();
        }
        person
    }

    /// The same person with only the candidates that are open.
    pub(super) fn keep(&self, open: &[bool]) -> Self {
        let mut kept = Self {
            members: self.members.clone(),
            nodes: Vec::with_capacity(self.nodes.len()),
            cands: kept_of(&self.cands, open),
            costs: kept_of(&self.costs, open),
            links: Vec::new(),
            budgets: self.budgets.clone(),
            timeline: self.timeline.clone(),
            uses: kept_of(&self.uses, open),
        };
        let mut first = 0;
        for (n, node) in self.nodes.iter().enumerate() {
            let len = open[node.first..node.first + node.len]
                .iter()
                .filter(|&&is| is)
                .count();
            kept.nodes.push(PersonNode {
                first,
                len,
                links: kept.links.len(),
                ..*node
            });
            first += len;
            let Some(next) = self.nodes.get(n + 1) else {
                break;
            };
            for a in (0..node.len).filter(|a| open[node.first + a]) {
                for b in (0..next.len).filter(|b| open[next.first + b]) {
                    kept.links.push(self.links[node.links + a * next.len + b]);
                }
            }
        }
        kept
    }

    /// What a path costs.
    pub(super) fn path_cost(&self, path: &[u32]) -> i64 {
        let mut sum = 0;
        for (n, &i) in path.iter().enumerate() {
            sum += self.costs[i as usize];
            if let Some(&j) = path.get(n + 1) {
                let (node, next) = (&self.nodes[n], &self.nodes[n + 1]);
                sum += self.links
                    [node.links + (i as usize - node.first) * next.len + (j as usize - next.first)];
            }
        }
        sum
    }

    /// Forgets budgets that no path of this person can pass.
    fn drop_slack_budgets(&mut self) {
        let mut tight = Vec::new();
        for (k, limits) in self.budgets.iter().enumerate() {
            let (mut total, mut run, mut longest) = (0u64, 0u64, 0u64);
            for node in &self.nodes {
                let used = self.uses[node.first..node.first + node.len]
                    .iter()
                    .any(|uses| uses >> k & 1 == 1);
                let seconds = u64::from(node.seconds) * u64::from(node.visits);
                if used {
                    total += seconds;
                    run += seconds;
                }
                // A gap breaks a run only where nothing is taught twice around it.
                if !used && !node.place.folded {
                    run = 0;
                }
                longest = longest.max(run);
            }
            if total > u64::from(limits.class_s) || longest > u64::from(limits.bout_s) {
                tight.push(k);
            }
        }
        let moved = |uses: u32| {
            tight
                .iter()
                .enumerate()
                .map(|(to, from)| (uses >> from & 1) << to)
                .sum()
        };
        self.uses.iter_mut().for_each(|uses| *uses = moved(*uses));
        self.budgets = tight.iter().map(|&k| self.budgets[k]).collect();
    }
}

/// The values whose candidate is open.
pub(super) fn kept_of<T: Copy>(values: &[T], open: &[bool]) -> Vec<T> {
    values
        .iter()
        .zip(open)
        .filter(|(_, open)| **open)
        .map(|(value, _)| *value)
        .collect()
}
