//! The next prices: the best of what earlier answers promise, not too far from the best so far.
//!
//! Every answer of a person or of a line is a plane above what that part of the bound can be. The
//! planes kept stand for the whole bound; the next prices are those where their sum, less a charge
//! for the way from the centre, is greatest (a proximal bundle, every part with its own planes).
//! That small problem is solved in its dual, by moving weight from the worst plane of a part to
//! its best (block-coordinate Frank-Wolfe with pairwise steps). Invariant: nothing here touches
//! the bound itself; floating numbers only choose where it is looked at next.

use super::menu::MOST_PRICE;
use super::room::{Domain, Room};

/// Planes of one part; beyond, the longest idle goes.
const MOST_PLANES: usize = 48;

/// Searches after which a plane without weight goes.
const MOST_IDLE: u32 = 24;

/// Sweeps over all parts for one choice of prices.
const SWEEPS: usize = 60;

/// What is left to gain when the sweeps end, as a part of what is promised.
const LEFT: f64 = 0.1;

/// An answer: where it stands, and what it costs without prices.
#[derive(Debug, Clone)]
struct Plane {
    /// Positions of candidates: of a person node after node, of a line seat after seat.
    at: Vec<u32>,
    menu: u64,
    cost: f64,
    weight: f64,
    idle: u32,
    /// Whether the cost is what the answer really costs: the plane lies nowhere too low.
    exact: bool,
}

/// The planes of one person or line.
#[derive(Debug, Clone, Default)]
struct Part {
    planes: Vec<Plane>,
    scores: Vec<f64>,
}

/// Whose answer a plane is.
#[derive(Debug, Clone, Copy)]
pub(super) enum Whose {
    Person(usize),
    Line(usize),
}

/// Planes, weights and the prices they lead to.
#[derive(Debug, Clone)]
pub(super) struct Bundle {
    people: Vec<Part>,
    lines: Vec<Part>,
    centre: Vec<Vec<f64>>,
    now: Vec<Vec<f64>>,
    /// What people take less what lines give, by the weights.
    apart: Vec<Vec<f64>>,
    /// How far prices go for one candidate that is taken and not given.
    pub(super) reach: f64,
}

impl Bundle {
    pub(super) fn new(room: &Room) -> Self {
        let zero = || -> Vec<Vec<f64>> {
            room.people
                .iter()
                .map(|person| vec![0.0; person.cands.len()])
                .collect()
        };
        Self {
            people: vec![Part::default(); room.people.len()],
            lines: vec![Part::default(); room.lines.len()],
            centre: zero(),
            now: zero(),
            apart: zero(),
            reach: 0.0,
        }
    }

    /// Begins at `prices`, with the planes that `domain` leaves.
    pub(super) fn begin(&mut self, room: &Room, prices: &[Vec<i64>], domain: &Domain) {
        for (p, part) in self.people.iter_mut().enumerate() {
            part.planes
                .retain(|plane| plane.at.iter().all(|&i| domain.open[p][i as usize]));
        }
        for (t, part) in self.lines.iter_mut().enumerate() {
            let seats = &room.lines[t].seats;
            let (on, off) = (domain.on[t], domain.off[t]);
            part.planes.retain(|plane| {
                plane.menu & off == 0
                    && plane.menu & on == on
                    && seats
                        .iter()
                        .zip(&plane.at)
                        .all(|(seat, &i)| domain.open[seat.person][i as usize])
            });
        }
        for part in self.people.iter_mut().chain(&mut self.lines) {
            part.even_out();
        }
        self.centre_at(prices);
        self.gather(room);
    }

    /// Makes `prices` the centre.
    pub(super) fn centre_at(&mut self, prices: &[Vec<i64>]) {
        for (own, given) in self.centre.iter_mut().zip(prices) {
            for (own, given) in own.iter_mut().zip(given) {
                *own = *given as f64;
            }
        }
    }

    /// Sums up what is apart, from the weights.
    fn gather(&mut self, room: &Room) {
        for apart in &mut self.apart {
            apart.fill(0.0);
        }
        for (part, apart) in self.people.iter().zip(&mut self.apart) {
            for plane in part.planes.iter().filter(|plane| plane.weight > 0.0) {
                for &i in &plane.at {
                    apart[i as usize] += plane.weight;
                }
            }
        }
        for (part, line) in self.lines.iter().zip(&room.lines) {
            for plane in part.planes.iter().filter(|plane| plane.weight > 0.0) {
                for (seat, &i) in line.seats.iter().zip(&plane.at) {
                    self.apart[seat.person][i as usize] -= plane.weight;
                }
            }
        }
    }

    /// The square of what is apart, each person's by their number.
    pub(super) fn apart_squared(&mut self, room: &Room) -> f64 {
        self.gather(room);
        let mut sum = 0.0;
        for (person, apart) in room.people.iter().zip(&self.apart) {
            let scale = stretch(person.members.len());
            sum += scale * apart.iter().map(|part| part * part).sum::<f64>();
        }
        sum
    }

    /// Takes in an answer found at `prices`, where that part's bound is `bound`, and whether this
    /// is what the answer costs.
    pub(super) fn add(
        &mut self,
        room: &Room,
        whose: Whose,
        at: &[u32],
        menu: u64,
        (bound, exact): (i64, bool),
        prices: &[Vec<i64>],
    ) {
        match whose {
            Whose::Person(p) => {
                let price = |at: &[u32]| at.iter().map(|&i| prices[p][i as usize]).sum::<i64>();
                self.people[p].add(at, menu, (bound, exact), price);
            }
            Whose::Line(t) => {
                let seats = &room.lines[t].seats;
                let price = |at: &[u32]| {
                    let each = seats.iter().zip(at);
                    -each
                        .map(|(seat, &i)| prices[seat.person][i as usize])
                        .sum::<i64>()
                };
                self.lines[t].add(at, menu, (bound, exact), price);
            }
        }
    }

    /// Drops planes that may lie too low, where a part has others; false when there are none.
    pub(super) fn purify(&mut self) -> bool {
        let mut some = false;
        for part in self.people.iter_mut().chain(&mut self.lines) {
            let sure = part.planes.iter().filter(|plane| plane.exact).count();
            if sure > 0 && sure < part.planes.len() {
                part.planes.retain(|plane| plane.exact);
                part.even_out();
                some = true;
            }
        }
        some
    }

    /// Chooses the next prices; gives back how high the planes are there.
    pub(super) fn choose(&mut self, room: &Room, from: f64, work: &mut u64) -> f64 {
        self.gather(room);
        for (p, person) in room.people.iter().enumerate() {
            let scale = self.reach * stretch(person.members.len());
            for (i, now) in self.now[p].iter_mut().enumerate() {
                *now = self.centre[p][i] + scale * self.apart[p][i];
            }
        }
        let mut high = 0.0;
        for _ in 0..SWEEPS {
            high = 0.0;
            let mut left = 0.0;
            for p in 0..room.people.len() {
                let scale = self.reach * stretch(room.people[p].members.len());
                let part = &mut self.people[p];
                let now = &mut self.now[p];
                let apart = &mut self.apart[p];
                *work += part.size();
                part.scores.clear();
                for plane in &part.planes {
                    let price: f64 = plane.at.iter().map(|&i| now[i as usize]).sum();
                    part.scores.push(plane.cost + price);
                }
                let Some(step) = part.step(|a, b| {
                    2.0 * scale * a.iter().zip(b).filter(|(a, b)| a != b).count() as f64
                }) else {
                    continue;
                };
                high += step.low;
                left += step.mean - step.low;
                if step.share > 0.0 {
                    part.shift(&step);
                    let (worst, best) = (&part.planes[step.worst].at, &part.planes[step.best].at);
                    for (&a, &b) in worst.iter().zip(best).filter(|(a, b)| a != b) {
                        apart[a as usize] -= step.share;
                        apart[b as usize] += step.share;
                        now[a as usize] -= scale * step.share;
                        now[b as usize] += scale * step.share;
                    }
                }
            }
            for (t, line) in room.lines.iter().enumerate() {
                let part = &mut self.lines[t];
                *work += part.size();
                part.scores.clear();
                for plane in &part.planes {
                    let mut price = 0.0;
                    for (seat, &i) in line.seats.iter().zip(&plane.at) {
                        price += self.now[seat.person][i as usize];
                    }
                    part.scores.push(plane.cost - price);
                }
                let reach = self.reach;
                let wide = |seat: usize| {
                    reach * stretch(room.people[line.seats[seat].person].members.len())
                };
                let Some(step) = part.step(|a, b| {
                    let mut sum = 0.0;
                    for (seat, (a, b)) in a.iter().zip(b).enumerate() {
                        if a != b {
                            sum += 2.0 * wide(seat);
                        }
                    }
                    sum
                }) else {
                    continue;
                };
                high += step.low;
                left += step.mean - step.low;
                if step.share > 0.0 {
                    part.shift(&step);
                    let (worst, best) = (&part.planes[step.worst].at, &part.planes[step.best].at);
                    for (n, (&a, &b)) in worst.iter().zip(best).enumerate() {
                        if a != b {
                            let p = line.seats[n].person;
                            let moved = wide(n) * step.share;
                            self.apart[p][a as usize] += step.share;
                            self.apart[p][b as usize] -= step.share;
                            self.now[p][a as usize] += moved;
                            self.now[p][b as usize] -= moved;
                        }
                    }
                }
            }
            if left <= LEFT * (high - from).max(0.0) {
                break;
            }
        }
        for part in self.people.iter_mut().chain(&mut self.lines) {
            for plane in &mut part.planes {
                plane.idle = if plane.weight > 0.0 {
                    0
                } else {
                    plane.idle + 1
                };
            }
        }
        high
    }

    /// Writes a person's chosen prices in whole numbers; `moved` hears of each that is another.
    pub(super) fn prices_of(&self, p: usize, out: &mut [i64], mut moved: impl FnMut(usize)) {
        for (i, (now, price)) in self.now[p].iter().zip(out).enumerate() {
            let next = (now.round() as i64).clamp(-MOST_PRICE, MOST_PRICE);
            if next != *price {
                *price = next;
                moved(i);
            }
        }
    }

    /// How much weight stands on menus with a shape.
    pub(super) fn offered(&self, t: usize, shape: usize) -> f64 {
        let planes = &self.lines[t].planes;
        let on = planes.iter().filter(|plane| plane.menu >> shape & 1 == 1);
        on.map(|plane| plane.weight).sum()
    }

    /// How much weight stands on a candidate of a person.
    pub(super) fn taken(&self, p: usize, i: usize) -> f64 {
        let planes = &self.people[p].planes;
        let through = planes.iter().filter(|plane| plane.at.contains(&(i as u32)));
        through.map(|plane| plane.weight).sum()
    }
}

/// How much further prices of several people go.
fn stretch(members: usize) -> f64 {
    (members * members) as f64
}

/// A move of weight between two planes of one part.
struct Step {
    worst: usize,
    best: usize,
    share: f64,
    low: f64,
    mean: f64,
}

impl Part {
    fn size(&self) -> u64 {
        self.planes
            .iter()
            .map(|plane| plane.at.len() as u64)
            .sum::<u64>()
            / 8
    }

    /// The best move under the present scores; `curve` is how fast two planes' scores near each other.
    fn step(&self, curve: impl Fn(&[u32], &[u32]) -> f64) -> Option<Step> {
        let (mut low, mut best) = (f64::INFINITY, 0);
        let (mut top, mut worst) = (f64::NEG_INFINITY, 0);
        let mut mean = 0.0;
        for (k, (plane, &score)) in self.planes.iter().zip(&self.scores).enumerate() {
            if score < low {
                (low, best) = (score, k);
            }
            if plane.weight > 0.0 {
                mean += plane.weight * score;
                if score > top {
                    (top, worst) = (score, k);
                }
            }
        }
        if self.planes.is_empty() {
            return None;
        }
        let mut share = 0.0;
        if best != worst && top > low {
            let most = self.planes[worst].weight;
            let curve = curve(&self.planes[worst].at, &self.planes[best].at);
            share = if curve > 0.0 {
                ((top - low) / curve).min(most)
            } else {
                most
            };
        }
        Some(Step {
            worst,
            best,
            share,
            low,
            mean,
        })
    }

    fn shift(&mut self, step: &Step) {
        let from = &mut self.planes[step.worst];
        from.weight = if step.share >= from.weight {
            0.0
        } else {
            from.weight - step.share
        };
        self.planes[step.best].weight += step.share;
    }

    /// Takes in a plane; `price` is what prices add to an answer.
    fn add(
        &mut self,
        at: &[u32],
        menu: u64,
        (bound, exact): (i64, bool),
        price: impl Fn(&[u32]) -> i64,
    ) {
        // What was not exact may lie below what is certain by now.
        let sure = bound as f64 - 0.5;
        let mut lost = 0.0;
        self.planes.retain(|plane| {
            let stays = plane.cost + price(&plane.at) as f64 >= sure;
            if !stays {
                lost += plane.weight;
            }
            stays
        });
        let cost = bound as f64 - price(at) as f64;
        let same = |plane: &&mut Plane| plane.menu == menu && plane.at == at;
        if let Some(plane) = self.planes.iter_mut().find(same) {
            if exact || !plane.exact {
                plane.cost = cost;
                plane.exact = exact;
            }
            plane.weight += lost;
            plane.idle = 0;
        } else {
            self.planes.push(Plane {
                at: at.to_vec(),
                menu,
                cost,
                weight: if self.planes.is_empty() { 1.0 } else { lost },
                idle: 0,
                exact,
            });
        }
        self.forget();
    }

    /// Weights that add up to one.
    fn even_out(&mut self) {
        let sum: f64 = self.planes.iter().map(|plane| plane.weight).sum();
        if sum > 1e-9 {
            self.planes.iter_mut().for_each(|plane| plane.weight /= sum);
        } else if let Some(first) = self.planes.first_mut() {
            first.weight = 1.0;
        }
    }

    fn forget(&mut self) {
        self.planes
            .retain(|plane| plane.weight > 0.0 || plane.idle <= MOST_IDLE);
        if self.planes.len() > MOST_PLANES {
            let idle = |plane: &Plane| {
                if plane.weight > 0.0 {
                    0
                } else {
                    plane.idle + 1
                }
            };
            let oldest = (0..self.planes.len()).max_by_key(|&k| idle(&self.planes[k]));
            if let Some(k) = oldest.filter(|&k| self.planes[k].weight == 0.0) {
                self.planes.swap_remove(k);
            }
        }
    }
}
