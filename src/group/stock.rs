//! One line's best menu when props can run short.
//!
//! Takes prices and gives the menu, who takes what, and a bound. Props are priced first; when the
//! answer still does not fit or could be better, menus are gone through in turn and each is given
//! the exact share of its props (a knapsack over people on the props that run over). Invariant:
//! `bound` never exceeds the line's cheapest answer within the stock.

use super::knapsack::{Share, share};
use super::menu::{Menu, MenuScratch, Table, bits, serves};
use super::room::{Domain, Room};

/// How hard to try at one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Effort {
    /// Rounds of pricing props.
    pub(super) rounds: usize,
    /// Menus that may be gone through for the exact answer; 0: the priced bound is enough.
    pub(super) menus: usize,
    /// Ways to share the props of one menu that may be looked at.
    pub(super) labels: usize,
}

/// A line's answer.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct LineFound {
    pub(super) bound: i64,
    pub(super) menu: u64,
    /// For every seat, the position of its candidate.
    pub(super) choices: Vec<u32>,
    /// The choices fit the stock and cost `bound`.
    pub(super) exact: bool,
}

/// Memory that is used again from call to call.
#[derive(Debug, Default, Clone)]
pub(super) struct LineScratch {
    pub(super) table: Table,
    pub(super) menu: MenuScratch,
}

/// The part of the room that one line's answer depends on.
pub(super) struct LineAsk<'a> {
    pub(super) room: &'a Room,
    pub(super) t: usize,
    pub(super) prices: &'a [Vec<i64>],
    pub(super) domain: &'a Domain,
    /// The menu to look at first.
    pub(super) hint: u64,
}

impl LineAsk<'_> {
    /// The cheapest answer; `per_prop` holds the price of each short prop from call to call.
    pub(super) fn answer(
        &self,
        per_prop: &mut [i64],
        effort: Effort,
        scratch: &mut LineScratch,
        work: &mut u64,
    ) -> LineFound {
        let line = &self.room.lines[self.t];
        let status = (self.domain.on[self.t], self.domain.off[self.t]);
        let mut best = LineFound {
            bound: i64::MIN,
            ..LineFound::default()
        };
        let mut best_prices = per_prop.to_vec();
        let mut steps: Vec<i64> = per_prop
            .iter()
            .map(|price| (price / 8).max(self.room.scale.unit / 4))
            .collect();
        let mut last_over = vec![0i64; per_prop.len()];
        let mut hint = self.hint;
        let mut choices = Vec::new();
        for _ in 0..effort.rounds.max(1) {
            scratch
                .table
                .fill(self.room, self.t, self.prices, self.domain, per_prop);
            *work += line.seats.len() as u64 * 4;
            let Menu { value, shapes } =
                scratch
                    .table
                    .best(self.room, line, status, hint, &mut scratch.menu, work);
            hint = shapes;
            scratch.table.choices(shapes, &mut choices);
            let bound = value - line.refund(per_prop);
            let over = self.over(&choices);
            let fits = over.iter().all(|&o| o <= 0);
            let exact = fits
                && over
                    .iter()
                    .zip(per_prop.iter())
                    .all(|(&o, &price)| o == 0 || price == 0);
            if bound > best.bound || exact {
                best = LineFound {
                    bound,
                    menu: shapes,
                    choices: choices.clone(),
                    exact,
                };
                best_prices.copy_from_slice(per_prop);
            }
            if exact {
                break;
            }
            for (k, price) in per_prop.iter_mut().enumerate() {
                steps[k] = match last_over[k].signum() * over[k].signum() {
                    1 => steps[k] * 2,
                    -1 => steps[k] / 2,
                    _ => steps[k],
                }
                .clamp(1, 1 << 40);
                *price = (*price + over[k].signum() * steps[k]).clamp(0, 1 << 42);
            }
            last_over = over;
        }
        // A prop priced at two seats of one person is rounded down there, so that a fit at a
        // price can only be taken as exact where the bound is met by the answer itself.
        if best.exact && self.real(&best) != best.bound {
            best.exact = false;
        }
        if !best.exact {
            per_prop.copy_from_slice(&best_prices);
            if effort.menus > 0 {
                return self.exact(best, per_prop, effort, scratch, work);
            }
        }
        best
    }

    /// How many of each short prop are held beyond the stock.
    fn over(&self, choices: &[u32]) -> Vec<i64> {
        let line = &self.room.lines[self.t];
        let mut over = Vec::with_capacity(line.tight.len());
        for tight in &line.tight {
            let mut total = -i64::from(tight.stock);
            let mut last: Option<(usize, i64)> = None;
            for (seat, &i) in line.seats.iter().zip(choices) {
                let held = i64::from(
                    tight.held[usize::from(self.room.people[seat.person].cands[i as usize])],
                );
                total += match last {
                    // The second seat of one person adds only what it holds beyond the first.
                    Some((person, first)) if person == seat.person => (held - first).max(0),
                    _ => held,
                };
                last = Some((seat.person, held));
            }
            over.push(total);
        }
        over
    }

    /// What an answer costs without prices of props.
    fn real(&self, found: &LineFound) -> i64 {
        let line = &self.room.lines[self.t];
        let paid: i64 = line
            .seats
            .iter()
            .zip(&found.choices)
            .map(|(seat, &i)| -self.prices[seat.person][i as usize])
            .sum();
        self.room.menu_cost(line, found.menu) + paid
    }

    /// Goes through menus whose priced bound is below the best answer in hand.
    fn exact(
        &self,
        priced: LineFound,
        per_prop: &[i64],
        effort: Effort,
        scratch: &mut LineScratch,
        work: &mut u64,
    ) -> LineFound {
        let line = &self.room.lines[self.t];
        scratch
            .table
            .fill(self.room, self.t, self.prices, self.domain, per_prop);
        let off = self.domain.off[self.t];
        let on = self.domain.on[self.t] | line.must;
        let all = (0..line.shapes).fold(0u64, |mask, shape| mask | 1 << shape);
        let mut walk = Walk {
            ask: self,
            per_prop,
            most_labels: effort.labels,
            refund: line.refund(per_prop),
            left: effort.menus,
            best: None,
            floor: i64::MAX,
            scratch,
            work,
        };
        walk.share(priced.menu);
        walk.descend(on, all & !on & !off);
        let gave_up = walk.floor;
        match walk.best {
            Some((value, menu, choices)) if value <= gave_up => LineFound {
                bound: value,
                menu,
                choices,
                exact: true,
            },
            Some((_, menu, choices)) => LineFound {
                bound: gave_up.max(priced.bound),
                menu,
                choices,
                exact: false,
            },
            None => LineFound {
                bound: gave_up.max(priced.bound),
                ..priced
            },
        }
    }
}

struct Walk<'a, 'b> {
    ask: &'a LineAsk<'b>,
    per_prop: &'a [i64],
    most_labels: usize,
    refund: i64,
    left: usize,
    best: Option<(i64, u64, Vec<u32>)>,
    /// The least bound of what was not gone through.
    floor: i64,
    scratch: &'a mut LineScratch,
    work: &'a mut u64,
}

impl Walk<'_, '_> {
    fn best_value(&self) -> i64 {
        self.best.as_ref().map_or(i64::MAX, |(value, _, _)| *value)
    }

    fn share(&mut self, menu: u64) {
        let line = &self.ask.room.lines[self.ask.t];
        if !serves(line, menu) {
            return;
        }
        self.left = self.left.saturating_sub(1);
        let fixed = self.ask.room.menu_cost(line, menu);
        let limit = self.best_value().saturating_sub(fixed);
        match share(
            self.ask,
            menu,
            self.per_prop,
            limit,
            self.most_labels,
            self.work,
        ) {
            Share::Found { paid, choices } => {
                let value = paid + fixed;
                if value < self.best_value() {
                    self.best = Some((value, menu, choices));
                }
            }
            Share::None => {}
            Share::TooMany(bound, found) => {
                if let Some((paid, choices)) = found.filter(|(paid, _)| *paid < limit) {
                    self.best = Some((paid + fixed, menu, choices));
                }
                let priced = self.scratch.table.sum(menu, &mut self.scratch.menu) - self.refund;
                self.floor = self.floor.min(fixed.saturating_add(bound.max(priced)));
            }
        }
    }

    /// Looks at `menu` and every menu that adds some of `joining` to it.
    fn descend(&mut self, menu: u64, mut joining: u64) {
        let line = &self.ask.room.lines[self.ask.t];
        let room = self.ask.room;
        let own = room.menu_cost(line, menu) + self.scratch.table.sum(menu, &mut self.scratch.menu)
            - self.refund;
        if own < self.best_value() {
            if self.left == 0 {
                self.floor = self.floor.min(own);
            } else {
                self.share(menu);
            }
        }
        while joining != 0 {
            let reach = self
                .scratch
                .table
                .sum(menu | joining, &mut self.scratch.menu)
                - self.refund;
            *self.work += line.seats.len() as u64 * u64::from((menu | joining).count_ones());
            let least = bits(joining)
                .map(|shape| room.menu_cost(line, menu | 1 << shape))
                .min()
                .unwrap_or(0);
            let taught_later = joining >> line.taught & 1 == 1;
            let least = if taught_later {
                least.min(room.menu_cost(line, menu) - room.lead)
            } else {
                least
            };
            if least + reach >= self.best_value() {
                return;
            }
            if self.left == 0 {
                self.floor = self.floor.min(least + reach);
                return;
            }
            let shape = 1u64 << joining.trailing_zeros();
            joining &= !shape;
            self.descend(menu | shape, joining);
        }
    }
}
