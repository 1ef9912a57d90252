//! The lower bound: people and lines decide apart, and prices make them agree.
//!
//! Takes a room and what is open and gives the sum of everybody's cheapest path and every line's
//! cheapest answer under prices on each candidate of each node. What a person pays, the line is
//! given; so the sum bounds every plan from below, whatever the prices are. Invariant: prices are
//! whole numbers and the bound is added exactly; only step lengths are floating.

use super::menu::MOST_PRICE;
use super::room::{Domain, NEVER, Room, kept_of};
use super::stock::{Effort, LineAsk, LineFound, LineScratch};
use super::student::{Found, Scratch};
use super::tariff::Tariff;

/// Poor steps after which steps get shorter.
const PATIENCE: u32 = 40;

/// How much shorter.
const SHORTER: f64 = 0.8;

/// How much of a new direction is new.
const NEW_PART: f64 = 0.85;
/// No step aims higher than this part of the bound above it: the first plans are poor.
const HIGHEST_AIM: i64 = 12;

/// Parts of a direction that are dropped.
const NOTHING: f64 = 0.02;

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
    /// How often each shape was on the line's menu lately, from 0 to 1.
    pub(super) offered: Vec<Vec<f64>>,
    /// The share of seats that took each shape lately.
    pub(super) wanted: Vec<Vec<f64>>,
    direction: Vec<Vec<f64>>,
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
    pub(super) factor: f64,
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
            direction: room
                .people
                .iter()
                .map(|person| vec![0.0; person.cands.len()])
                .collect(),
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
        self.direction
            .iter_mut()
            .for_each(|direction| direction.fill(0.0));
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
    /// `each` is called after every evaluation and may end the ascent.
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
        let mut factor = goal.factor;
        let mut poor = 0;
        for step in 0..goal.steps {
            let bound = self.evaluate(domain, trouble, work);
            self.remember();
            if bound > best {
                best = bound;
                best_prices.clone_from(&self.prices);
                poor = 0;
            } else {
                poor += 1;
                if poor >= PATIENCE {
                    poor = 0;
                    factor *= SHORTER;
                }
            }
            if bound > goal.enough
                || !each(self, step, &mut goal, work)
                || best > goal.enough
                || factor < 1e-3
            {
                break;
            }
            let aim = goal.target.min(best + best.abs() / HIGHEST_AIM);
            if !self.step(aim, factor) {
                break;
            }
        }
        self.prices = best_prices;
        self.stale_person.fill(true);
        self.stale_line.fill(true);
        best
    }

    /// One step along the smoothed disagreement; false when everybody agrees.
    fn step(&mut self, target: i64, factor: f64) -> bool {
        let mut disagree = false;
        for direction in &mut self.direction {
            for part in direction.iter_mut() {
                *part *= 1.0 - NEW_PART;
            }
        }
        for (line, found) in self.room.lines.iter().zip(&self.lines) {
            for (seat, &given) in line.seats.iter().zip(&found.choices) {
                let taken = self.people[seat.person].path[seat.node];
                if taken != given {
                    disagree = true;
                    self.direction[seat.person][taken as usize] += NEW_PART;
                    self.direction[seat.person][given as usize] -= NEW_PART;
                }
            }
        }
        let mut length = 0.0;
        for (person, direction) in self.room.people.iter().zip(&mut self.direction) {
            let weight = person.members.len() as f64;
            for part in direction.iter_mut() {
                if part.abs() < NOTHING {
                    *part = 0.0;
                } else {
                    length += *part * *part * weight * weight;
                }
            }
        }
        if length == 0.0 {
            return disagree;
        }
        let gap = (target - self.bound).max(self.room.scale.grain() / 4) as f64;
        let reach = factor * gap / length;
        for p in 0..self.room.people.len() {
            let person = &self.room.people[p];
            let weight = person.members.len() as f64;
            let scale = reach * weight * weight;
            let prices = &mut self.prices.of_candidate[p];
            for node in &person.nodes {
                for i in node.first..node.first + node.len {
                    let moved = (self.direction[p][i] * scale) as i64;
                    if moved != 0 {
                        prices[i] = (prices[i] + moved).clamp(-MOST_PRICE, MOST_PRICE);
                        self.stale_person[p] = true;
                        self.stale_line[node.line] = true;
                    }
                }
            }
        }
        true
    }

    /// Keeps the running picture of what lines offer and people want.
    fn remember(&mut self) {
        for (t, (line, found)) in self.room.lines.iter().zip(&self.lines).enumerate() {
            let seats = line.seats.len().max(1) as f64;
            for (shape, share) in self.offered[t].iter_mut().enumerate() {
                *share = 0.9 * *share + 0.1 * ((found.menu >> shape & 1) as f64);
            }
            for share in &mut self.wanted[t] {
                *share *= 0.9;
            }
            for seat in &line.seats {
                let person = &self.room.people[seat.person];
                let candidate = person.cands[self.people[seat.person].path[seat.node] as usize];
                let shape = usize::from(line.shape_of[usize::from(candidate)]);
                if let Some(share) = self.wanted[t].get_mut(shape) {
                    *share += 0.1 / seats;
                }
            }
        }
    }
}
