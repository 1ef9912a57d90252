//! The lower bound: people and lines decide apart, and prices make them agree.
//!
//! Takes a room and what is open and gives the sum of everybody's cheapest path and every line's
//! cheapest answer under prices on each candidate of each node. What a person pays, the line is
//! given; so the sum bounds every plan from below, whatever the prices are. Invariant: prices are
//! whole numbers and the bound is added exactly; only step lengths are floating.

use super::bundle::{Bundle, Whose};
use super::person::kept_of;
use super::room::{Domain, NEVER, Room, Tight};
use super::stock::{Effort, LineAsk, LineFound, LineScratch};
use super::student::{Found, Scratch};
use super::tariff::Tariff;

/// The first step aims no higher than this part of the bound above it: the first plans are poor.
const HIGHEST_AIM: i64 = 12;

/// Parts of the bound between it and the plan in hand beyond which prices are far from good, and
/// what has to come true of a promise for the next one to go further, far from good and near.
const FAR: i64 = 4;
const FAR_KEPT: f64 = 0.25;
const NEAR_KEPT: f64 = 0.5;

/// How far prices go at most for one candidate taken and not given, at the root and in a node.
const ROOT_REACH: f64 = 256.0;
const NODE_REACH: f64 = 8.0;

/// Steps without a better bound after which prices keep nearer.
const POOR_STEPS: u32 = 4;

/// Steps in which the bound has to rise by half a unit for an ascent to go on.
const PLATEAU: usize = 12;

/// What is promised, as a part of the bound, when lines begin to be answered widely.
const NEAR: f64 = 0.01;

/// Ways to share props that are looked at before that.
const NARROW: usize = 100;

/// Prices of everything that is relaxed.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    /// By person, for each of their candidates.
    pub(super) of_candidate: Vec<Vec<i64>>,
    /// By person, for their budgets.
    pub(super) tariffs: Vec<Tariff>,
    /// By line, for one of each prop that can run short.
    pub(super) per_prop: Vec<Vec<i64>>,
}

/// How hard to try at one evaluation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Trouble {
    pub(super) labels: usize,
    pub(super) line: Effort,
}

/// The state of the ascent.
pub(super) struct Ascent<'r> {
    pub(super) room: &'r Room,
    pub(super) prices: Prices,
    pub(super) people: Vec<Found>,
    pub(super) lines: Vec<LineFound>,
    /// The bound at the present prices.
    pub(super) bound: i64,
    /// The weight of answers with each shape on the line's menu, from 0 to 1.
    pub(super) offered: Vec<Vec<f64>>,
    /// The share of seats whose answers take each shape, by weight.
    pub(super) wanted: Vec<Vec<f64>>,
    bundle: Bundle,
    stale_person: Vec<bool>,
    stale_line: Vec<bool>,
    costs: Vec<i64>,
    scratch: Scratch,
    line_scratch: LineScratch,
}

/// When to stop an ascent.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal {
    /// The cost of the best plan in hand.
    pub(super) target: i64,
    /// A bound above this proves that nothing better is here.
    pub(super) enough: i64,
    pub(super) steps: usize,
    /// Prices are far from good yet.
    pub(super) root: bool,
}

impl Prices {
    pub(super) fn zero(room: &Room) -> Self {
        Self {
            of_candidate: room
                .people
                .iter()
                .map(|person| vec![0; person.cands.len()])
                .collect(),
            tariffs: room.people.iter().map(Tariff::new).collect(),
            per_prop: room
                .lines
                .iter()
                .map(|line| vec![0; line.tight.len()])
                .collect(),
        }
    }

    /// The same prices in another room of the same people.
    pub(super) fn carried(&self, old: &Room, room: &Room) -> Self {
        let mut prices = self.clone();
        for (t, line) in room.lines.iter().enumerate() {
            let price = |tight: &Tight| {
                let name = &room.short[tight.prop];
                let same = |other: &Tight| old.short[other.prop] == *name;
                let place = old.lines[t].tight.iter().position(same);
                place.map_or(0, |place| self.per_prop[t][place])
            };
            prices.per_prop[t] = line.tight.iter().map(price).collect();
        }
        prices
    }

    /// The same prices in the room that `domain` leaves of the old one.
    pub(super) fn restricted(&self, old: &Room, domain: &Domain, room: &Room) -> Self {
        let mut prices = Self::zero(room);
        prices.tariffs.clone_from(&self.tariffs);
        for (t, (line, before)) in room.lines.iter().zip(&old.lines).enumerate() {
            for (price, tight) in prices.per_prop[t].iter_mut().zip(&line.tight) {
                let place = before
                    .tight
                    .iter()
                    .position(|other| other.prop == tight.prop);
                *price = place.map_or(0, |place| self.per_prop[t][place]);
            }
        }
        for ((kept, old), open) in prices
            .of_candidate
            .iter_mut()
            .zip(&self.of_candidate)
            .zip(&domain.open)
        {
            *kept = kept_of(old, open);
        }
        prices
    }
}

impl<'r> Ascent<'r> {
    pub(super) fn new(room: &'r Room, prices: Prices) -> Self {
        let shares = || {
            room.lines
                .iter()
                .map(|line| vec![0.0; line.shapes])
                .collect()
        };
        Self {
            room,
            prices,
            people: vec![
                Found {
                    bound: 0,
                    path: Vec::new(),
                    kept: false,
                    exact: false
                };
                room.people.len()
            ],
            lines: vec![LineFound::default(); room.lines.len()],
            bound: i64::MIN,
            offered: shares(),
            wanted: shares(),
            bundle: Bundle::new(room),
            stale_person: vec![true; room.people.len()],
            stale_line: vec![true; room.lines.len()],
            costs: Vec::new(),
            scratch: Scratch::default(),
            line_scratch: LineScratch::default(),
        }
    }

    /// Goes on from other prices or in another domain.
    pub(super) fn restart(&mut self, prices: Option<Prices>) {
        if let Some(prices) = prices {
            self.prices = prices;
        }
        self.stale_person.fill(true);
        self.stale_line.fill(true);
    }

    /// Costs of a person under the present prices; closed candidates cost [`NEVER`].
    pub(super) fn priced_costs(&self, p: usize, domain: &Domain, out: &mut Vec<i64>) {
        out.clear();
        let person = &self.room.people[p];
        let each = person
            .costs
            .iter()
            .zip(&self.prices.of_candidate[p])
            .zip(&domain.open[p]);
        out.extend(each.map(|((cost, price), open)| if *open { cost + price } else { NEVER }));
    }

    /// The bound at the present prices: a certificate.
    pub(super) fn evaluate(&mut self, domain: &Domain, trouble: Trouble, work: &mut u64) -> i64 {
        for p in 0..self.room.people.len() {
            if !self.stale_person[p] {
                continue;
            }
            let mut costs = std::mem::take(&mut self.costs);
            self.priced_costs(p, domain, &mut costs);
            let tariff = &mut self.prices.tariffs[p];
            let person = &self.room.people[p];
            self.people[p] =
                person.cheapest(&costs, tariff, trouble.labels, &mut self.scratch, work);
            self.stale_person[p] = false;
            self.costs = costs;
        }
        for t in 0..self.room.lines.len() {
            if !self.stale_line[t] {
                continue;
            }
            let ask = LineAsk {
                room: self.room,
                t,
                prices: &self.prices.of_candidate,
                domain,
                hint: self.lines[t].menu,
            };
            self.lines[t] = ask.answer(
                &mut self.prices.per_prop[t],
                trouble.line,
                &mut self.line_scratch,
                work,
            );
            // A bound that was only priced gets better with more rounds at the same prices.
            self.stale_line[t] = false;
        }
        let people: i128 = self
            .people
            .iter()
            .map(|found| i128::from(found.bound))
            .sum();
        let lines: i128 = self.lines.iter().map(|found| i128::from(found.bound)).sum();
        self.bound = (people + lines).clamp(i128::from(i64::MIN), i128::from(NEVER)) as i64;
        self.bound
    }

    /// Improves the prices; gives back the best bound and leaves its prices in place.
    ///
    /// `each` is called after every evaluation and may end the ascent. At the root lines are
    /// answered narrowly as long as much is promised.
    pub(super) fn ascend(
        &mut self,
        domain: &Domain,
        goal: Goal,
        trouble: Trouble,
        work: &mut u64,
        mut each: impl FnMut(&mut Self, usize, &mut Goal, &mut u64) -> bool,
    ) -> i64 {
        let mut goal = goal;
        let mut best = i64::MIN;
        let mut best_prices = self.prices.clone();
        let mut promised = 0.0;
        let mut poor = 0;
        let mut wide = !goal.root;
        let unit = self.room.scale.unit as f64;
        let farthest = unit * if goal.root { ROOT_REACH } else { NODE_REACH };
        self.bundle.reach = self.bundle.reach.min(farthest);
        self.bundle
            .begin(self.room, &self.prices.of_candidate, domain);
        let mut recent = [i64::MIN / 2; PLATEAU];
        let little = self.room.scale.grain() as f64 / 16.0;
        for step in 0..goal.steps {
            let mut trouble = trouble;
            wide |= step > 0 && (promised <= NEAR * best.abs() as f64 || poor >= POOR_STEPS);
            if !wide {
                trouble.line.labels = trouble.line.labels.min(NARROW);
            }
            let bound = self.evaluate(domain, trouble, work);
            if bound >= NEVER {
                best = bound;
                break;
            }
            self.learn();
            if bound > best {
                if best > i64::MIN {
                    let kept = (bound - best) as f64 / promised;
                    let far = goal.target - best > best.abs() / FAR;
                    let further = if kept >= 0.9 {
                        8.0
                    } else if kept >= if far { FAR_KEPT } else { NEAR_KEPT } {
                        2.0
                    } else {
                        1.0
                    };
                    self.bundle.reach = (self.bundle.reach * further).min(farthest);
                }
                best = bound;
                best_prices.clone_from(&self.prices);
                self.bundle.centre_at(&self.prices.of_candidate);
                poor = 0;
            } else {
                poor += 1;
                if poor % POOR_STEPS == 0 || bound as f64 <= best as f64 - 2.0 * promised {
                    self.bundle.reach *= 0.6;
                }
            }
            if !each(self, step, &mut goal, work) || best > goal.enough {
                break;
            }
            if self.bundle.reach <= 0.0 {
                let aim = goal.target.min(best + best.abs() / HIGHEST_AIM);
                let gap = (aim - best).max(self.room.scale.grain() / 4) as f64;
                self.bundle.reach = gap / self.bundle.apart_squared(self.room).max(1.0);
            }
            promised = self.bundle.choose(self.room, best as f64, work) - best as f64;
            if promised < little && self.bundle.purify() {
                promised = self.bundle.choose(self.room, best as f64, work) - best as f64;
            }
            let slow = best - recent[step % PLATEAU] < self.room.scale.grain() / 2;
            recent[step % PLATEAU] = best;
            if promised < little || (slow && step >= PLATEAU) {
                break;
            }
            self.go();
        }
        self.prices = best_prices;
        self.stale_person.fill(true);
        self.stale_line.fill(true);
        self.share_out();
        best
    }

    /// Drops all answers: the next ones are found with more trouble.
    pub(super) fn forget(&mut self) {
        self.bundle = Bundle::new(self.room);
    }

    /// Hands the present answers to the bundle.
    fn learn(&mut self) {
        let prices = &self.prices.of_candidate;
        for (p, found) in self.people.iter().enumerate() {
            self.bundle.add(
                self.room,
                Whose::Person(p),
                &found.path,
                0,
                (found.bound, found.exact),
                prices,
            );
        }
        for (t, found) in self.lines.iter().enumerate() {
            self.bundle.add(
                self.room,
                Whose::Line(t),
                &found.choices,
                found.menu,
                (found.bound, found.exact),
                prices,
            );
        }
    }

    /// Goes to the prices that the bundle chose.
    fn go(&mut self) {
        for (p, person) in self.room.people.iter().enumerate() {
            let prices = &mut self.prices.of_candidate[p];
            let mut moved = vec![false; person.cands.len()];
            self.bundle.prices_of(p, prices, |i| moved[i] = true);
            for node in &person.nodes {
                if moved[node.first..node.first + node.len].contains(&true) {
                    self.stale_person[p] = true;
                    self.stale_line[node.line] = true;
                }
            }
        }
    }

    /// How much weight stands on a candidate of a person.
    pub(super) fn taken(&self, p: usize, i: usize) -> f64 {
        self.bundle.taken(p, i)
    }

    /// Reads off the weights what lines offer and people want.
    fn share_out(&mut self) {
        for (t, line) in self.room.lines.iter().enumerate() {
            for shape in 0..line.shapes {
                self.offered[t][shape] = self.bundle.offered(t, shape);
            }
            self.wanted[t].fill(0.0);
            let seats = line.seats.len().max(1) as f64;
            for seat in &line.seats {
                let person = &self.room.people[seat.person];
                let node = &person.nodes[seat.node];
                for i in node.first..node.first + node.len {
                    let shape = usize::from(line.shape_of[usize::from(person.cands[i])]);
                    if let Some(share) = self.wanted[t].get_mut(shape) {
                        *share += self.bundle.taken(seat.person, i) / seats;
                    }
                }
            }
        }
    }
}
