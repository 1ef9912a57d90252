//! The label search: the cheapest path of one person that keeps all budgets.
//!
//! Takes priced costs and what is left to go without budgets, and gives the best path, best
//! first. Only limits that a path was seen to pass are followed: the fewer there are, the more
//! labels are no worse than others. Invariant: what `search` gives is the cheapest, or, when
//! labels run out, no path is cheaper.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::meter::{Limits, Meter};
use super::person::Person;
use super::room::HOPELESS;

/// A path to one candidate.
struct Label {
    before: u32,
    node: u32,
    at: u32,
    /// What it costs with every second of a budget priced, and without.
    priced: i64,
    real: i64,
}

/// What is known of the costs when the search begins.
pub(super) struct Guide<'a> {
    /// Costs with budgets priced.
    pub(super) priced: &'a [i64],
    /// The least that is left to go under these.
    pub(super) to_go: &'a [i64],
    /// Costs without that.
    pub(super) costs: &'a [i64],
    /// What the priced limits give back.
    pub(super) refund: i64,
}

/// No label stands before the first.
const NONE: u32 = u32::MAX;

/// The least bound first; of equals the one that is furthest, then the oldest.
type Entry = (Reverse<i64>, u32, Reverse<u32>);

/// A growing set of labels.
pub(super) struct Labels<'a> {
    person: &'a Person,
    guide: Guide<'a>,
    /// Budgets with the limits that are followed.
    followed: Vec<(usize, Limits)>,
    labels: Vec<Label>,
    /// The reading of every followed budget at every label.
    meters: Vec<Meter>,
    /// Labels that were extended, by candidate.
    closed: Vec<Vec<u32>>,
    heap: BinaryHeap<Entry>,
}

impl<'a> Labels<'a> {
    pub(super) fn new(person: &'a Person, guide: Guide<'a>) -> Self {
        Self {
            person,
            guide,
            followed: Vec::new(),
            labels: Vec::new(),
            meters: Vec::new(),
            closed: vec![Vec::new(); person.cands.len()],
            heap: BinaryHeap::new(),
        }
    }

    /// The cheapest path that keeps all budgets, with its cost, or a bound of it when there are
    /// more than `most` labels to look at. [`HOPELESS`] and more: there is none.
    ///
    /// `seen` is a path that passes some limits: these are followed at first, others when the
    /// cheapest path passes them.
    pub(super) fn search(
        &mut self,
        seen: &[u32],
        most: usize,
        work: &mut u64,
    ) -> Result<(i64, Vec<u32>), i64> {
        let mut floor = i64::MIN;
        let mut passed = self.person.passed(seen);
        loop {
            self.follow(&passed);
            match self.cheapest(most, work) {
                Ok((cost, path)) => {
                    passed = self.person.passed(&path);
                    if passed.is_empty() {
                        return Ok((cost, path));
                    }
                    floor = floor.max(cost);
                }
                Err(bound) => return Err(bound.max(floor)),
            }
        }
    }

    /// Follows more limits.
    fn follow(&mut self, more: &[(usize, Limits)]) {
        for &(budget, limits) in more {
            match self.followed.iter_mut().find(|(known, _)| *known == budget) {
                Some((_, known)) => {
                    known.bout_s = known.bout_s.min(limits.bout_s);
                    known.class_s = known.class_s.min(limits.class_s);
                }
                None => self.followed.push((budget, limits)),
            }
        }
    }

    /// The cheapest path that keeps the followed limits, or a bound of it.
    fn cheapest(&mut self, most: usize, work: &mut u64) -> Result<(i64, Vec<u32>), i64> {
        self.clear();
        self.extend(NONE);
        let last = self.person.nodes.len() as u32 - 1;
        while let Some((Reverse(bound), _, Reverse(number))) = self.heap.pop() {
            *work += 16;
            if self.labels[number as usize].node == last {
                return Ok((bound, self.trace(number)));
            }
            if self.labels.len() > most {
                return Err(bound);
            }
            if !self.beaten(number, work) {
                self.extend(number);
            }
        }
        Err(HOPELESS)
    }

    /// A path that keeps all budgets, with its cost: node by node, only the best `width` labels
    /// go on. None when they all end.
    pub(super) fn dive(&mut self, width: usize, work: &mut u64) -> Option<(i64, Vec<u32>)> {
        let all: Vec<_> = self.person.budgets.iter().copied().enumerate().collect();
        self.follow(&all);
        self.clear();
        self.extend(NONE);
        for _ in 1..self.person.nodes.len() {
            let layer = std::mem::take(&mut self.heap).into_sorted_vec();
            let mut gone_on = 0;
            for &(_, _, Reverse(number)) in layer.iter().rev() {
                *work += 16;
                if gone_on < width && !self.beaten(number, work) {
                    self.extend(number);
                    gone_on += 1;
                }
            }
        }
        let (Reverse(cost), _, Reverse(number)) = self.heap.pop()?;
        Some((cost, self.trace(number)))
    }

    fn clear(&mut self) {
        self.labels.clear();
        self.meters.clear();
        self.heap.clear();
        self.closed.iter_mut().for_each(Vec::clear);
    }

    /// Whether a label at the same candidate is no worse in anything; if not, this one stands.
    fn beaten(&mut self, number: u32, work: &mut u64) -> bool {
        let width = self.followed.len();
        let own = number as usize;
        let at = self.labels[own].at as usize;
        *work += self.closed[at].len() as u64;
        let beaten = self.closed[at].iter().any(|&other| {
            let other = other as usize;
            let meters = |label: usize| &self.meters[label * width..(label + 1) * width];
            self.labels[other].real <= self.labels[own].real
                && meters(other)
                    .iter()
                    .zip(meters(own))
                    .all(|(a, b)| a.no_worse(*b))
        });
        if !beaten {
            self.closed[at].push(number);
        }
        beaten
    }

    /// Adds a label for every candidate of the next node that can follow.
    fn extend(&mut self, before: u32) {
        let person = self.person;
        let width = self.followed.len();
        let (n, at, priced, real) = match self.labels.get(before as usize) {
            None => (0, 0, 0, 0),
            Some(label) => (
                label.node as usize + 1,
                label.at as usize,
                label.priced,
                label.real,
            ),
        };
        let node = &person.nodes[n];
        let row = n.checked_sub(1).map(|m| {
            let earlier = &person.nodes[m];
            &person.links[earlier.links + (at - earlier.first) * node.len..][..node.len]
        });
        'next: for i in node.first..node.first + node.len {
            let link = row.map_or(0, |row| row[i - node.first]);
            if link + self.guide.to_go[i] >= HOPELESS {
                continue;
            }
            let begun = self.meters.len();
            for (k, (budget, limits)) in self.followed.iter().enumerate() {
                let used = person.uses[i] >> budget & 1 == 1;
                let from = if before == NONE {
                    Meter::START
                } else {
                    self.meters[before as usize * width + k]
                };
                let Some(next) = from.after(used, node.seconds, node.visits, node.place, *limits)
                else {
                    self.meters.truncate(begun);
                    continue 'next;
                };
                self.meters.push(next);
            }
            let real = real + link + self.guide.costs[i];
            let is_last = n + 1 == person.nodes.len();
            let bound = if is_last {
                real
            } else {
                priced + link + self.guide.to_go[i] - self.guide.refund
            };
            let number = self.labels.len() as u32;
            let priced = priced + link + self.guide.priced[i];
            self.labels.push(Label {
                before,
                node: n as u32,
                at: i as u32,
                priced,
                real,
            });
            self.heap.push((Reverse(bound), n as u32, Reverse(number)));
        }
    }

    fn trace(&self, last: u32) -> Vec<u32> {
        let mut path = vec![0; self.person.nodes.len()];
        let mut number = last;
        for slot in path.iter_mut().rev() {
            let label = &self.labels[number as usize];
            *slot = label.at;
            number = label.before;
        }
        path
    }
}
