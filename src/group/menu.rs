//! One line's best menu under prices, with props enough.
//!
//! Takes what every seat would pay for every shape and gives the menu that is cheapest for all
//! together. Depth first over shapes: what a shape gains never grows when others join it, and
//! what it costs never falls, so a shape that does not pay now never will. Invariant: the value
//! found is the exact minimum.

use super::room::{Domain, REST, Room, RoomLine, Seat};

/// Stands for a choice that a seat does not have; small enough that sums over seats fit.
pub(super) const NO_CHOICE: i64 = 1 << 48;

/// No price grows beyond this, either way.
pub(super) const MOST_PRICE: i64 = 1 << 42;

/// What every seat of a line pays for every shape.
#[derive(Debug, Default, Clone)]
pub(super) struct Table {
    seats: usize,
    shapes: usize,
    /// By seat: the cheapest own-rest.
    rest: Vec<i64>,
    rest_at: Vec<u32>,
    /// By shape, then seat: its cheapest form.
    price: Vec<i64>,
    price_at: Vec<u32>,
}

/// A menu with its value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Menu {
    pub(super) value: i64,
    pub(super) shapes: u64,
}

/// Memory that is used again from call to call.
#[derive(Debug, Default, Clone)]
pub(super) struct MenuScratch {
    pool: Vec<Vec<i64>>,
    low: Vec<i64>,
}

impl Table {
    /// Fills the table for a line; every prop that can run short costs `per_prop` to hold.
    pub(super) fn fill(
        &mut self,
        room: &Room,
        t: usize,
        prices: &[Vec<i64>],
        domain: &Domain,
        per_prop: &[i64],
    ) {
        let line = &room.lines[t];
        self.seats = line.seats.len();
        self.shapes = line.shapes;
        self.rest.clear();
        self.rest_at.clear();
        self.price.clear();
        self.price_at.clear();
        self.price.resize(self.seats * self.shapes, NO_CHOICE);
        self.price_at.resize(self.seats * self.shapes, 0);
        let priced = per_prop.iter().any(|&price| price > 0);
        for (seat, at) in line.seats.iter().enumerate() {
            let person = &room.people[at.person];
            let node = &person.nodes[at.node];
            // Two seats of one person share what they hold: half of the price each stays a bound.
            let twin = |other: Option<&Seat>| other.is_some_and(|o| o.person == at.person);
            let halved =
                twin(line.seats.get(seat + 1)) || (seat > 0 && twin(line.seats.get(seat - 1)));
            let open = &domain.open[at.person];
            let (mut rest, mut rest_at) = (NO_CHOICE, u32::MAX);
            for i in node.first..node.first + node.len {
                if !open[i] {
                    continue;
                }
                let candidate = usize::from(person.cands[i]);
                let mut cost = -prices[at.person][i];
                if priced {
                    let held: i64 = line
                        .tight
                        .iter()
                        .zip(per_prop)
                        .map(|(tight, price)| price * i64::from(tight.held[candidate]))
                        .sum();
                    cost += if halved { held / 2 } else { held };
                }
                match line.shape_of[candidate] {
                    REST => {
                        if cost < rest {
                            (rest, rest_at) = (cost, i as u32);
                        }
                    }
                    shape => {
                        let slot = usize::from(shape) * self.seats + seat;
                        if cost < self.price[slot] {
                            (self.price[slot], self.price_at[slot]) = (cost, i as u32);
                        }
                    }
                }
            }
            self.rest.push(rest);
            self.rest_at.push(if rest_at == u32::MAX {
                node.first as u32
            } else {
                rest_at
            });
        }
    }

    fn row(&self, shape: usize) -> &[i64] {
        &self.price[shape * self.seats..(shape + 1) * self.seats]
    }

    /// What every seat pays when `menu` is offered.
    fn offered(&self, menu: u64, out: &mut Vec<i64>) {
        out.clear();
        out.extend_from_slice(&self.rest);
        for shape in bits(menu) {
            for (best, price) in out.iter_mut().zip(self.row(shape)) {
                *best = (*best).min(*price);
            }
        }
    }

    /// What all seats pay together when `menu` is offered.
    pub(super) fn sum(&self, menu: u64, scratch: &mut MenuScratch) -> i64 {
        let mut low = std::mem::take(&mut scratch.low);
        self.offered(menu, &mut low);
        let sum = low.iter().sum();
        scratch.low = low;
        sum
    }

    /// For every seat, the position of the candidate it takes from `menu`, the first of equals.
    pub(super) fn choices(&self, menu: u64, out: &mut Vec<u32>) {
        out.clear();
        for seat in 0..self.seats {
            let (mut best, mut at) = (self.rest[seat], self.rest_at[seat]);
            for shape in bits(menu) {
                let slot = shape * self.seats + seat;
                if self.price[slot] < best {
                    (best, at) = (self.price[slot], self.price_at[slot]);
                }
            }
            out.push(at);
        }
    }

    /// How much all seats together save when `shape` joins what they pay now.
    fn gain(&self, shape: usize, now: &[i64]) -> i64 {
        now.iter()
            .zip(self.row(shape))
            .map(|(now, price)| (now - price).max(0))
            .sum()
    }

    /// The cheapest menu that has all of `on` and none of `off`; `hint` is looked at first.
    pub(super) fn best(
        &self,
        room: &Room,
        line: &RoomLine,
        (on, off): (u64, u64),
        hint: u64,
        scratch: &mut MenuScratch,
        work: &mut u64,
    ) -> Menu {
        let on = on | line.must;
        let hint = (hint | on) & !(off & !on);
        let mut best = Menu {
            value: i64::MAX,
            shapes: on,
        };
        if serves(line, hint) {
            best = Menu {
                value: room.menu_cost(line, hint) + self.sum(hint, scratch),
                shapes: hint,
            };
        }
        let all = (0..line.shapes).fold(0u64, |mask, shape| mask | 1 << shape);
        let free_to_join = all & !on & !off;
        let taught = 1u64 << line.taught;
        let mut search = Search {
            table: self,
            room,
            line,
            allowed: free_to_join | on,
            best,
            scratch,
            work,
        };
        search
            .scratch
            .pool
            .resize_with(search.scratch.pool.len().max(line.shapes + 2), Vec::new);
        if free_to_join & taught == 0 {
            search.start(on, free_to_join);
        } else {
            search.start(on | taught, free_to_join & !taught);
            search.allowed &= !taught;
            search.start(on, free_to_join & !taught);
        }
        search.best
    }
}

/// Whether a menu has the kinder shape that a line needs.
pub(super) fn serves(line: &RoomLine, menu: u64) -> bool {
    line.kinder == 0 || menu & line.kinder != 0
}

/// The positions of the ones in a mask, rising.
pub(super) fn bits(mut mask: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let next = (mask != 0).then(|| mask.trailing_zeros() as usize);
        mask &= mask.wrapping_sub(1);
        next
    })
}

struct Search<'a> {
    table: &'a Table,
    room: &'a Room,
    line: &'a RoomLine,
    /// Shapes that the menus of this branch may have.
    allowed: u64,
    best: Menu,
    scratch: &'a mut MenuScratch,
    work: &'a mut u64,
}

impl Search<'_> {
    fn start(&mut self, menu: u64, joining: u64) {
        let mut now = std::mem::take(&mut self.scratch.pool[0]);
        self.table.offered(menu, &mut now);
        self.scratch.pool[0] = now;
        self.descend(0, menu, joining);
    }

    /// Looks at `menu` and every menu that adds some of `joining` to it.
    fn descend(&mut self, depth: usize, menu: u64, mut joining: u64) {
        let table = self.table;
        let now = std::mem::take(&mut self.scratch.pool[depth]);
        let paid: i64 = now.iter().sum();
        self.look(menu, &now, paid);
        let cost = self.room.menu_cost(self.line, menu);
        while joining != 0 {
            let low = &mut self.scratch.low;
            low.clear();
            low.extend_from_slice(&now);
            let (mut pays, mut top, mut least) = (0u64, (0i64, 0usize), i64::MAX);
            for shape in bits(joining) {
                let gain = table.gain(shape, &now);
                let margin = self.room.menu_cost(self.line, menu | 1 << shape) - cost;
                if gain <= margin {
                    continue;
                }
                pays |= 1 << shape;
                least = least.min(margin);
                if gain - margin > top.0 {
                    top = (gain - margin, shape);
                }
                for (low, price) in low.iter_mut().zip(table.row(shape)) {
                    *low = (*low).min(*price);
                }
            }
            *self.work += (joining.count_ones() as u64 + 1) * table.seats as u64 / 2 + 1;
            if pays == 0 || cost + least + low.iter().sum::<i64>() >= self.best.value {
                break;
            }
            joining = pays & !(1 << top.1);
            let mut next = std::mem::take(&mut self.scratch.pool[depth + 1]);
            next.clear();
            next.extend(
                now.iter()
                    .zip(table.row(top.1))
                    .map(|(now, price)| *now.min(price)),
            );
            self.scratch.pool[depth + 1] = next;
            self.descend(depth + 1, menu | 1 << top.1, joining);
        }
        self.scratch.pool[depth] = now;
    }

    fn look(&mut self, menu: u64, now: &[i64], paid: i64) {
        if serves(self.line, menu) {
            let value = self.room.menu_cost(self.line, menu) + paid;
            if value < self.best.value {
                self.best = Menu {
                    value,
                    shapes: menu,
                };
            }
            return;
        }
        for shape in bits(self.line.kinder & self.allowed) {
            let menu = menu | 1 << shape;
            let value = self.room.menu_cost(self.line, menu) + paid - self.table.gain(shape, now);
            if value < self.best.value {
                self.best = Menu {
                    value,
                    shapes: menu,
                };
            }
        }
    }
}
