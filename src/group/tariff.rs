//! What one person's budgets cost while they are only priced.
//!
//! A row says that a weighted count of uses stays within a limit: the seconds of a budget in the
//! whole class, or the uses in a stretch of the timeline that is too long for one bout, of which
//! at least one has to go. Rows of the second kind are learnt from paths that break them.
//! Invariant: every path that keeps the budgets keeps every row.

use super::person::{Person, PersonNode};
use super::room::HOPELESS;

/// Rows that one person may have.
const MOST_ROWS: usize = 48;

/// A weighted count of uses with its limit and its price.
#[derive(Debug, Clone)]
struct Row {
    budget: usize,
    /// Nodes with their weights.
    parts: Vec<(u32, i64)>,
    limit: i64,
    price: i64,
    /// How far the price moves next, at least and now.
    least_step: i64,
    step: i64,
    /// Whether the last path was over (1) or under (-1).
    last: i64,
}

impl Row {
    /// A row at no price whose price moves by `step` at first.
    fn new(budget: usize, parts: Vec<(u32, i64)>, limit: i64, step: i64) -> Self {
        Self {
            budget,
            parts,
            limit,
            price: 0,
            least_step: (step / 16).max(1),
            step,
            last: 0,
        }
    }
}

/// The rows of one person.
#[derive(Debug, Clone, Default)]
pub(super) struct Tariff {
    rows: Vec<Row>,
}

impl Tariff {
    /// The rows of class totals, at no price.
    pub(super) fn new(person: &Person) -> Self {
        let mut rows = Vec::new();
        let spread = spread(person);
        for (budget, limits) in person.budgets.iter().enumerate() {
            if limits.class_s == u32::MAX {
                continue;
            }
            let seconds = |node: &PersonNode| i64::from(node.seconds) * i64::from(node.visits);
            let parts: Vec<(u32, i64)> = person
                .nodes
                .iter()
                .enumerate()
                .map(|(n, node)| (n as u32, seconds(node)))
                .collect();
            let most = parts.iter().map(|part| part.1).max().unwrap_or(1).max(1);
            let step = (spread / most / 16).max(1);
            let limit = i64::from(limits.class_s);
            rows.push(Row::new(budget, parts, limit, step));
        }
        Self { rows }
    }

    /// The same rows at prices `times` as high.
    pub(super) fn scale(&mut self, times: i64) {
        for row in &mut self.rows {
            row.price *= times;
            row.step *= times;
            row.least_step *= times;
        }
    }

    /// Adds the price of uses to costs; gives back the price of the limits themselves, which is
    /// to be taken off what a path costs then.
    pub(super) fn add_to(&self, person: &Person, costs: &mut [i64]) -> i64 {
        let mut refund = 0;
        for row in self.rows.iter().filter(|row| row.price > 0) {
            refund += row.price * row.limit;
            for &(n, weight) in &row.parts {
                let node = &person.nodes[n as usize];
                for i in node.first..node.first + node.len {
                    if person.uses[i] >> row.budget & 1 == 1 {
                        costs[i] += row.price * weight;
                    }
                }
            }
        }
        refund
    }

    /// How far a path is over each row's limit.
    pub(super) fn over(&self, person: &Person, path: &[u32], out: &mut Vec<i64>) {
        out.clear();
        for row in &self.rows {
            let used = |(n, _): &&(u32, i64)| {
                person.uses[path[*n as usize] as usize] >> row.budget & 1 == 1
            };
            let sum: i64 = row
                .parts
                .iter()
                .filter(used)
                .map(|(_, weight)| weight)
                .sum();
            out.push(sum - row.limit);
        }
    }

    /// Whether the prices cost a path nothing beyond what its limits give back.
    pub(super) fn is_even(&self, over: &[i64]) -> bool {
        self.rows
            .iter()
            .zip(over)
            .all(|(row, over)| row.price == 0 || *over == 0)
    }

    /// Moves every price towards its limit; false when none has to move.
    pub(super) fn adjust(&mut self, over: &[i64]) -> bool {
        let mut moved = false;
        for (row, over) in self.rows.iter_mut().zip(over) {
            let sign = over.signum();
            row.step = match row.last * sign {
                1 => row.step * 2,
                -1 => row.step / 2,
                _ => row.step,
            }
            .clamp(row.least_step, 1 << 40);
            row.last = sign;
            let price = (row.price + sign * row.step).clamp(0, 1 << 40);
            moved |= price != row.price;
            row.price = price;
        }
        moved
    }

    /// The present prices, and prices put back.
    pub(super) fn prices(&self, out: &mut Vec<i64>) {
        out.clear();
        out.extend(self.rows.iter().map(|row| row.price));
    }

    /// Puts prices back; rows learnt since cost nothing.
    pub(super) fn set_prices(&mut self, prices: &[i64]) {
        for (n, row) in self.rows.iter_mut().enumerate() {
            row.price = prices.get(n).copied().unwrap_or(0);
        }
    }

    /// Adds a row for each stretch of a path that is too long for one bout.
    pub(super) fn learn(&mut self, person: &Person, path: &[u32]) {
        for (budget, limits) in person.budgets.iter().enumerate() {
            let used = |n: u32| person.uses[path[n as usize] as usize] >> budget & 1 == 1;
            let seconds = |n: u32| u64::from(person.nodes[n as usize].seconds);
            let (mut start, mut run) = (0, 0);
            for (end, &n) in person.timeline.iter().enumerate() {
                if !used(n) {
                    (start, run) = (end + 1, 0);
                    continue;
                }
                run += seconds(n);
                if run <= u64::from(limits.bout_s) {
                    continue;
                }
                while run - seconds(person.timeline[start]) > u64::from(limits.bout_s) {
                    run -= seconds(person.timeline[start]);
                    start += 1;
                }
                self.add_window(person, budget, &person.timeline[start..=end]);
                (start, run) = (end + 1, 0);
            }
        }
    }

    fn add_window(&mut self, person: &Person, budget: usize, window: &[u32]) {
        let mut nodes = window.to_vec();
        nodes.sort_unstable();
        nodes.dedup();
        let parts: Vec<(u32, i64)> = nodes.iter().map(|&n| (n, 1)).collect();
        let known = self
            .rows
            .iter()
            .any(|row| row.budget == budget && row.parts == parts);
        if known || self.rows.len() >= MOST_ROWS {
            return;
        }
        let limit = parts.len() as i64 - 1;
        let step = (spread(person) / 64).max(1);
        self.rows.push(Row::new(budget, parts, limit, step));
    }
}

/// The widest difference of costs at one node.
fn spread(person: &Person) -> i64 {
    let mut widest = 0;
    for node in &person.nodes {
        let costs = person.costs[node.first..node.first + node.len]
            .iter()
            .copied()
            .filter(|&cost| cost < HOPELESS);
        let (low, high) = costs.fold((i64::MAX, i64::MIN), |(low, high), cost| {
            (low.min(cost), high.max(cost))
        });
        widest = widest.max(high.saturating_sub(low));
    }
    widest
}
