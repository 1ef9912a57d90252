//! One person's cheapest path under prices.
//!
//! Takes a [`Person`], prices and what is open, and gives the path with its cost, or a lower bound
//! of it. Plain paths come from a backward pass; budgets on whole classes are priced by the second
//! and what is left goes to the label search. Invariant: `bound` never exceeds the cheapest path
//! that keeps all budgets.

use super::labels::{Guide, search};
use super::meter::{Limits, Meter};
use super::room::{HOPELESS, NEVER, Person};

/// Rounds in which the price of a class total is improved before the label search.
const ROUNDS: usize = 12;

/// What a search for a path found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    /// No path that keeps the budgets costs less.
    pub(super) bound: i64,
    /// For every node, the position of its candidate in [`Person::cands`].
    pub(super) path: Vec<u32>,
    /// The path keeps all budgets and costs `bound`.
    pub(super) exact: bool,
}

/// Memory that is used again from call to call.
#[derive(Debug, Default, Clone)]
pub(super) struct Scratch {
    pub(super) to_go: Vec<i64>,
    pub(super) priced: Vec<i64>,
}

impl Person {
    /// For every candidate, the least that its node and all later ones cost together.
    pub(super) fn to_go(&self, costs: &[i64], out: &mut Vec<i64>) {
        out.clear();
        out.resize(costs.len(), NEVER);
        for (n, node) in self.nodes.iter().enumerate().rev() {
            let end = node.first + node.len;
            let Some(next) = self.nodes.get(n + 1) else {
                out[node.first..end].copy_from_slice(&costs[node.first..end]);
                continue;
            };
            let (here, later) = out.split_at_mut(next.first);
            let later = &later[..next.len];
            let rows = self.links[node.links..].chunks_exact(next.len);
            for ((slot, cost), row) in here[node.first..end]
                .iter_mut()
                .zip(&costs[node.first..end])
                .zip(rows)
            {
                let mut best = NEVER;
                for (link, rest) in row.iter().zip(later) {
                    best = best.min(link + rest);
                }
                *slot = (cost + best).min(NEVER);
            }
        }
    }

    /// For every candidate, the least that its node and all earlier ones, and its node and all
    /// later ones, cost together, when other nodes keep to candidates that are `kept`.
    pub(super) fn both_ways(
        &self,
        costs: &[i64],
        kept: &[bool],
        so_far: &mut Vec<i64>,
        to_go: &mut Vec<i64>,
    ) {
        for out in [&mut *so_far, &mut *to_go] {
            out.clear();
            out.resize(costs.len(), NEVER);
        }
        for (n, node) in self.nodes.iter().enumerate() {
            for b in node.first..node.first + node.len {
                let mut best = if n == 0 { 0 } else { NEVER };
                if let Some(before) = n.checked_sub(1).map(|m| &self.nodes[m]) {
                    for a in (0..before.len).filter(|a| kept[before.first + a]) {
                        let link = self.links[before.links + a * node.len + (b - node.first)];
                        best = best.min(so_far[before.first + a] + link);
                    }
                }
                so_far[b] = (costs[b] + best).min(NEVER);
            }
        }
        for (n, node) in self.nodes.iter().enumerate().rev() {
            for a in node.first..node.first + node.len {
                let mut best = 0;
                if let Some(next) = self.nodes.get(n + 1) {
                    best = NEVER;
                    for b in (0..next.len).filter(|b| kept[next.first + b]) {
                        let link = self.links[node.links + (a - node.first) * next.len + b];
                        best = best.min(to_go[next.first + b] + link);
                    }
                }
                to_go[a] = (costs[a] + best).min(NEVER);
            }
        }
    }

    /// The cheapest path that a backward pass describes, the first of equals; `NEVER` when none.
    fn trace(&self, to_go: &[i64], path: &mut Vec<u32>) -> i64 {
        path.clear();
        let mut value = 0;
        let mut from: Option<usize> = None;
        for (n, node) in self.nodes.iter().enumerate() {
            let (mut best, mut at) = (i64::MAX, node.first);
            for i in node.first..node.first + node.len {
                let link = match from {
                    None => 0,
                    Some(a) => {
                        let before = self.nodes[n - 1];
                        self.links[before.links + (a - before.first) * node.len + (i - node.first)]
                    }
                };
                if link + to_go[i] < best {
                    (best, at) = (link + to_go[i], i);
                }
            }
            if n == 0 {
                value = best.min(NEVER);
            }
            path.push(at as u32);
            from = Some(at);
        }
        value
    }

    /// How long a path uses each budget in all, or none when it passes one of them.
    pub(super) fn read_budgets(&self, path: &[u32]) -> Option<Vec<u32>> {
        let mut totals = Vec::new();
        for (k, &limits) in self.budgets.iter().enumerate() {
            let mut meter = Meter::START;
            for (node, &i) in self.nodes.iter().zip(path) {
                let used = self.uses[i as usize] >> k & 1 == 1;
                meter = meter.after(used, node.seconds, node.visits, node.place, limits)?;
            }
            totals.push(meter.total());
        }
        Some(totals)
    }

    /// Seconds that a path uses of each budget, whatever the limits.
    fn seconds_used(&self, path: &[u32]) -> Vec<i64> {
        let mut totals = vec![0; self.budgets.len()];
        for (node, &i) in self.nodes.iter().zip(path) {
            for (k, total) in totals.iter_mut().enumerate() {
                if self.uses[i as usize] >> k & 1 == 1 {
                    *total += i64::from(node.seconds) * i64::from(node.visits);
                }
            }
        }
        totals
    }

    /// Adds the price of every second of a budget to costs; gives back the price of the limits
    /// themselves, which is to be taken off what a path costs then.
    pub(super) fn add_seconds(&self, costs: &mut [i64], per_second: &[i64]) -> i64 {
        for node in &self.nodes {
            let seconds = i64::from(node.seconds) * i64::from(node.visits);
            for i in node.first..node.first + node.len {
                for (k, price) in per_second.iter().enumerate() {
                    if self.uses[i] >> k & 1 == 1 {
                        costs[i] += price * seconds;
                    }
                }
            }
        }
        self.budgets
            .iter()
            .zip(per_second)
            .map(|(limits, price)| i64::from(limits.class_s) * price)
            .sum()
    }

    /// The cheapest path under `costs` (one for each candidate; [`NEVER`] where closed).
    ///
    /// `per_second` holds the price of each budget's seconds from call to call. `most_labels`
    /// limits the label search; past it `bound` is still a bound, and the path is a guess.
    pub(super) fn cheapest(
        &self,
        costs: &[i64],
        per_second: &mut [i64],
        most_labels: usize,
        scratch: &mut Scratch,
        work: &mut u64,
    ) -> Found {
        let mut path = Vec::with_capacity(self.nodes.len());
        *work += self.links.len() as u64;
        if per_second.iter().all(|&price| price == 0) {
            self.to_go(costs, &mut scratch.to_go);
            let bound = self.trace(&scratch.to_go, &mut path);
            if bound >= HOPELESS || self.budgets.is_empty() || self.read_budgets(&path).is_some() {
                return Found {
                    bound: bound.min(NEVER),
                    path,
                    exact: bound < HOPELESS,
                };
            }
        }
        let mut best = i64::MIN;
        let mut best_prices = per_second.to_vec();
        let mut steps = self.first_steps(costs, per_second);
        let mut last_over = vec![0i64; self.budgets.len()];
        for _ in 0..ROUNDS {
            scratch.priced.clear();
            scratch.priced.extend_from_slice(costs);
            let refund = self.add_seconds(&mut scratch.priced, per_second);
            self.to_go(&scratch.priced, &mut scratch.to_go);
            *work += self.links.len() as u64;
            let value = self.trace(&scratch.to_go, &mut path);
            if value >= HOPELESS {
                return Found {
                    bound: NEVER,
                    path,
                    exact: false,
                };
            }
            let bound = value - refund;
            let used = self.seconds_used(&path);
            let spare = |(limits, used): (&Limits, &i64)| match limits.class_s {
                u32::MAX => 0,
                most => used - i64::from(most),
            };
            let over: Vec<i64> = self.budgets.iter().zip(&used).map(spare).collect();
            let settled = over
                .iter()
                .zip(per_second.iter())
                .all(|(over, price)| *over == 0 || *price == 0);
            if settled && self.read_budgets(&path).is_some() {
                return Found {
                    bound,
                    path,
                    exact: true,
                };
            }
            if bound > best {
                best = bound;
                best_prices.copy_from_slice(per_second);
            }
            if over
                .iter()
                .zip(per_second.iter())
                .all(|(over, price)| *over == 0 || (*over < 0 && *price == 0))
            {
                break;
            }
            for (k, price) in per_second.iter_mut().enumerate() {
                // Further while it is still over or still under, half as far after a turn.
                let turned = last_over[k].signum() * over[k].signum();
                steps[k] = match turned {
                    1 => steps[k] * 2,
                    -1 => steps[k] / 2,
                    _ => steps[k],
                }
                .clamp(1, 1 << 26);
                *price = (*price + over[k].signum() * steps[k]).clamp(0, 1 << 28);
            }
            last_over = over;
        }
        per_second.copy_from_slice(&best_prices);
        scratch.priced.clear();
        scratch.priced.extend_from_slice(costs);
        self.add_seconds(&mut scratch.priced, per_second);
        self.to_go(&scratch.priced, &mut scratch.to_go);
        self.trace(&scratch.to_go, &mut path);
        *work += self.links.len() as u64;
        let guide = Guide {
            priced: &scratch.priced,
            to_go: &scratch.to_go,
            per_second,
        };
        match search(self, &guide, most_labels, work) {
            Ok((bound, path)) => Found {
                bound,
                path,
                exact: true,
            },
            Err(bound) => Found {
                bound: bound.max(best),
                path,
                exact: false,
            },
        }
    }

    /// How far to move the price of each budget's seconds at first.
    fn first_steps(&self, costs: &[i64], per_second: &[i64]) -> Vec<i64> {
        let mut spread = 0i64;
        let mut seconds = 1i64;
        for node in &self.nodes {
            let here = costs[node.first..node.first + node.len]
                .iter()
                .copied()
                .filter(|&cost| cost < HOPELESS);
            let (least, most) = here.fold((i64::MAX, i64::MIN), |(low, high), cost| {
                (low.min(cost), high.max(cost))
            });
            spread = spread.max(most.saturating_sub(least));
            seconds = seconds.max(i64::from(node.seconds) * i64::from(node.visits));
        }
        let step = |price: &i64| {
            if *price == 0 {
                spread / seconds / 16
            } else {
                price / 16
            }
        };
        per_second.iter().map(step).collect()
    }
}
