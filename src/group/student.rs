//! One person's cheapest path under prices.
//!
//! Takes a [`Person`], prices and what is open, and gives the path with its cost, or a lower bound
//! of it. Plain paths come from a backward pass; budgets are priced first and what is left goes to
//! the label search. Invariant: `bound` never exceeds the cheapest path
//! that keeps all budgets.

use super::labels::{Guide, Labels};
use super::meter::{Limits, Meter};
use super::person::Person;
use super::room::{HOPELESS, NEVER};
use super::tariff::Tariff;

/// Rounds in which prices of budgets are improved before the label search, and without it.
const ROUNDS: usize = 12;
const LIGHT_ROUNDS: usize = 4;

/// Labels that go on from each node when a path is wanted and the search gave up.
const DIVE_WIDTH: usize = 64;

/// What a search for a path found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    /// No path that keeps the budgets costs less.
    pub(super) bound: i64,
    /// For every node, the position of its candidate in [`Person::cands`].
    pub(super) path: Vec<u32>,
    /// The path keeps all budgets.
    pub(super) kept: bool,
    /// The path keeps all budgets and costs `bound`.
    pub(super) exact: bool,
}

/// Memory that is used again from call to call.
#[derive(Debug, Default, Clone)]
pub(super) struct Scratch {
    pub(super) to_go: Vec<i64>,
    pub(super) priced: Vec<i64>,
    over: Vec<i64>,
    prices: Vec<i64>,
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

    /// Whether a path keeps all budgets.
    pub(super) fn keeps_budgets(&self, path: &[u32]) -> bool {
        let mut budgets = self.budgets.iter().enumerate();
        budgets.all(|(k, &limits)| self.keeps(k, limits, path))
    }

    fn keeps(&self, budget: usize, limits: Limits, path: &[u32]) -> bool {
        let mut meter = Some(Meter::START);
        for (node, &i) in self.nodes.iter().zip(path) {
            let used = self.uses[i as usize] >> budget & 1 == 1;
            meter =
                meter.and_then(|m| m.after(used, node.seconds, node.visits, node.place, limits));
        }
        meter.is_some()
    }

    /// The limits that a path passes, bouts and totals apart.
    pub(super) fn passed(&self, path: &[u32]) -> Vec<(usize, Limits)> {
        let mut passed = Vec::new();
        for (k, limits) in self.budgets.iter().enumerate() {
            let bout = Limits {
                class_s: u32::MAX,
                ..*limits
            };
            let class = Limits {
                bout_s: u32::MAX,
                ..*limits
            };
            passed.extend([bout, class].map(|half| (k, half)));
        }
        passed.retain(|&(k, half)| !self.keeps(k, half, path));
        passed
    }

    /// The cheapest path under `costs` (one for each candidate; [`NEVER`] where closed).
    ///
    /// `tariff` holds the price of budgets from call to call. `most_labels` limits the label
    /// search; past it `bound` is still a bound, and the path may be dearer. With 0 there is no
    /// such search, and the path may pass a budget.
    pub(super) fn cheapest(
        &self,
        costs: &[i64],
        tariff: &mut Tariff,
        most_labels: usize,
        scratch: &mut Scratch,
        work: &mut u64,
    ) -> Found {
        let Scratch {
            to_go,
            priced,
            over,
            prices,
        } = scratch;
        let mut path = Vec::with_capacity(self.nodes.len());
        let rounds = match (self.budgets.is_empty(), most_labels) {
            (true, _) => 1,
            (false, 0) => LIGHT_ROUNDS,
            _ => ROUNDS,
        };
        let mut best = i64::MIN;
        for _ in 0..rounds {
            let refund = self.priced_to_go(costs, tariff, priced, to_go, work);
            let value = self.trace(to_go, &mut path);
            if value >= HOPELESS {
                return Found {
                    bound: NEVER,
                    path,
                    kept: false,
                    exact: false,
                };
            }
            let bound = value - refund;
            let kept = self.budgets.is_empty() || self.keeps_budgets(&path);
            tariff.over(self, &path, over);
            if kept && tariff.is_even(over) {
                return Found {
                    bound,
                    path,
                    kept,
                    exact: true,
                };
            }
            if bound > best {
                best = bound;
                tariff.prices(prices);
            }
            if !kept {
                tariff.learn(self, &path);
                tariff.over(self, &path, over);
            }
            if !tariff.adjust(over) {
                break;
            }
        }
        if most_labels == 0 {
            return Found {
                bound: best,
                path,
                kept: false,
                exact: false,
            };
        }
        tariff.set_prices(prices);
        let refund = self.priced_to_go(costs, tariff, priced, to_go, work);
        let mut labels = Labels::new(
            self,
            Guide {
                costs,
                priced,
                to_go,
                refund,
            },
        );
        match labels.search(&path, most_labels, work) {
            Ok((bound, path)) => Found {
                bound,
                path,
                kept: true,
                exact: true,
            },
            Err(bound) if bound >= HOPELESS => Found {
                bound: NEVER,
                path,
                kept: false,
                exact: false,
            },
            Err(bound) => {
                let bound = bound.max(best);
                match labels.dive(DIVE_WIDTH.min(most_labels), work) {
                    Some((cost, path)) => Found {
                        bound,
                        path,
                        kept: true,
                        exact: cost == bound,
                    },
                    None => Found {
                        bound,
                        path,
                        kept: false,
                        exact: false,
                    },
                }
            }
        }
    }

    /// A backward pass with budgets priced; gives back what the limits give back.
    fn priced_to_go(
        &self,
        costs: &[i64],
        tariff: &Tariff,
        priced: &mut Vec<i64>,
        to_go: &mut Vec<i64>,
        work: &mut u64,
    ) -> i64 {
        *work += self.links.len() as u64;
        priced.clear();
        priced.extend_from_slice(costs);
        let refund = tariff.add_to(self, priced);
        self.to_go(priced, to_go);
        refund
    }
}
