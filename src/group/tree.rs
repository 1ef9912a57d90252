//! Branch and bound over menus, then over single shapes.
//!
//! Takes a room, a plan in hand and a limit and gives the best plan found with a bound of all.
//! Invariant: the bound given back is the least bound of what was not gone through, so it is a
//! certificate whenever the search stops.

use std::time::Instant;

use super::bound::{Ascent, Goal, Prices, Trouble};
use super::hand::{Hand, Maker};
use super::room::{Domain, NEVER, Room};
use super::settle::{Settled, follow, settle};
use super::stock::Effort;

/// Light work: props are only priced.
const LIGHT: Trouble = Trouble {
    labels: 0,
    line: Effort {
        rounds: 2,
        menus: 0,
    },
};
/// Full work: lines are answered exactly where that is in reach.
const FULL: Trouble = Trouble {
    labels: 100_000,
    line: Effort {
        rounds: 6,
        menus: 200,
    },
};
/// Steps of an ascent at the root, light and full, and in a node.
const ROOT_LIGHT: usize = 30;
const ROOT_FULL: usize = 400;
const NODE_STEPS: usize = 40;

/// Where a search has to stop.
#[derive(Debug, Clone, Copy)]
pub(super) enum Stop {
    /// At so much work.
    Work(u64),
    /// At a moment.
    At(Instant),
}

impl Stop {
    pub(super) fn reached(self, work: u64) -> bool {
        match self {
            Self::Work(most) => work >= most,
            Self::At(moment) => Instant::now() >= moment,
        }
    }
}

/// What a search gives back.
pub(super) struct Outcome {
    pub(super) hand: Hand,
    /// No plan costs less; scaled.
    pub(super) bound: i64,
    /// Prices at the root, for a search in the same room.
    pub(super) prices: Prices,
}

/// What is told while a search goes on: the cost in hand and the bound, scaled.
pub(super) type Tell<'a> = dyn FnMut(i64, i64) + 'a;

/// An open part of the search.
struct Part {
    domain: Domain,
    prices: Prices,
    bound: i64,
}

struct Tree<'r, 't> {
    room: &'r Room,
    hand: Hand,
    stop: Stop,
    work: &'t mut u64,
    tell: &'t mut Tell<'t>,
}

/// Searches from the root. `hand` is a plan to beat; without one the first is made here.
pub(super) fn search<'t>(
    room: &Room,
    hand: Option<Hand>,
    prices: Option<Prices>,
    stop: Stop,
    work: &'t mut u64,
    tell: &'t mut Tell<'t>,
) -> Outcome {
    let mut domain = room.domain();
    let warm = prices.is_some();
    let prices = prices.unwrap_or_else(|| Prices::zero(room));
    let mut maker = Maker::new(room, stop);
    let hand = hand.unwrap_or_else(|| first_hand(room, &domain, &mut maker, work));
    if !follow(room, &mut domain) {
        return Outcome {
            bound: hand.cost,
            hand,
            prices,
        };
    }
    let mut tree = Tree {
        room,
        hand,
        stop,
        work,
        tell,
    };
    let mut ascent = Ascent::new(room, prices);
    // Prices that come from a search of the same room are good enough to settle by at once.
    let (mut bound, mut settled);
    if warm {
        bound = ascent.evaluate(&domain, FULL, tree.work);
        settled = tree.settle(&mut ascent, &mut domain, bound);
    } else {
        bound = tree.root(&mut ascent, &mut maker, &mut domain, LIGHT, ROOT_LIGHT);
        settled = tree.settle(&mut ascent, &mut domain, bound);
    }
    if !warm && bound <= tree.enough() && !tree.done() {
        let full = tree.root(&mut ascent, &mut maker, &mut domain, FULL, ROOT_FULL);
        bound = bound.max(full);
        settled = tree.settle(&mut ascent, &mut domain, bound);
    }
    let prices = ascent.prices.clone();
    if bound > tree.enough() || settled == Settled::Nothing {
        bound = bound.max(tree.enough() + 1);
        return Outcome {
            bound: bound.min(tree.hand.cost),
            hand: tree.hand,
            prices,
        };
    }
    drop(ascent);
    let small = room.restricted(&domain);
    let small_prices = prices.restricted(room, &domain, &small);
    let rest = tree.branch(&small, &domain, small_prices, bound);
    let bound = bound.max(rest).min(tree.hand.cost);
    Outcome {
        hand: tree.hand,
        bound,
        prices,
    }
}

/// A first plan: the taught class and what nobody is without.
fn first_hand(room: &Room, domain: &Domain, maker: &mut Maker<'_>, work: &mut u64) -> Hand {
    let menus: Vec<u64> = room
        .lines
        .iter()
        .map(|line| line.must | 1 << line.taught)
        .collect();
    let mut hand = maker
        .assign(domain, &menus, &Prices::zero(room), work)
        .expect("everybody can pause at every line, within any menu, stock and budget");
    maker.trim(&mut hand);
    hand
}

impl Tree<'_, '_> {
    /// A bound above this leaves nothing better.
    fn enough(&self) -> i64 {
        self.hand.cost - self.room.scale.grain()
    }

    fn done(&self) -> bool {
        self.stop.reached(*self.work)
    }

    fn goal(&self, steps: usize, factor: f64) -> Goal {
        Goal {
            target: self.hand.cost,
            enough: self.enough(),
            steps,
            factor,
        }
    }

    /// An ascent at the root with plans made on the way.
    fn root(
        &mut self,
        ascent: &mut Ascent<'_>,
        maker: &mut Maker<'_>,
        domain: &mut Domain,
        trouble: Trouble,
        steps: usize,
    ) -> i64 {
        let mut work = *self.work;
        let goal = self.goal(steps, 1.0);
        let mut best = i64::MIN;
        let hand = &mut self.hand;
        let tell = &mut *self.tell;
        let stop = self.stop;
        let grain = self.room.scale.grain();
        let open = &*domain;
        let bound = ascent.ascend(
            open,
            goal,
            trouble,
            &mut work,
            |ascent, step, goal, work| {
                best = best.max(ascent.bound);
                if plan_at(step) {
                    make(maker, ascent, open, hand, step >= 30, work);
                    goal.target = hand.cost;
                    goal.enough = hand.cost - grain;
                    tell(hand.cost, best);
                }
                !stop.reached(*work)
            },
        );
        *self.work = work;
        bound
    }

    fn settle(&mut self, ascent: &mut Ascent<'_>, domain: &mut Domain, bound: i64) -> Settled {
        if bound > self.enough() || self.done() {
            return Settled::Some(0);
        }
        let enough = self.enough();
        settle(ascent, domain, enough, FULL, self.work)
    }

    /// Goes through what is left, in the smaller room; gives back the least bound left open.
    fn branch(&mut self, small: &Room, outer: &Domain, prices: Prices, bound: i64) -> i64 {
        let mut maker = Maker::new(small, self.stop);
        let mut ascent = Ascent::new(small, prices.clone());
        let mut domain = small.domain();
        domain.on.clone_from(&outer.on);
        domain.off.clone_from(&outer.off);
        let mut parts = vec![Part {
            domain,
            prices,
            bound,
        }];
        let mut floor = NEVER;
        let mut visits = 0usize;
        // Down the likelier side first; when a side ends, on from the lowest bound.
        let mut plunge = false;
        while !parts.is_empty() {
            parts.retain(|part| part.bound <= self.hand.cost - small.scale.grain());
            if parts.is_empty() || self.done() {
                break;
            }
            let next = if plunge {
                parts.len() - 1
            } else {
                lowest(&parts)
            };
            let mut part = parts.swap_remove(next);
            visits += 1;
            let known = parts
                .iter()
                .map(|part| part.bound)
                .min()
                .unwrap_or(NEVER)
                .min(part.bound)
                .min(floor);
            (self.tell)(self.hand.cost, known);
            let (sides, stuck) =
                self.visit(small, outer, &mut ascent, &mut maker, &mut part, visits);
            if stuck {
                floor = floor.min(part.bound);
            }
            plunge = !sides.is_empty();
            parts.extend(sides);
        }
        parts
            .iter()
            .map(|part| part.bound)
            .min()
            .unwrap_or(NEVER)
            .min(floor)
    }

    /// Bounds one part; gives back its two sides, the likelier last, or whether it is stuck.
    fn visit(
        &mut self,
        small: &Room,
        outer: &Domain,
        ascent: &mut Ascent<'_>,
        maker: &mut Maker<'_>,
        part: &mut Part,
        visits: usize,
    ) -> (Vec<Part>, bool) {
        if !follow(small, &mut part.domain) {
            return (Vec::new(), false);
        }
        ascent.restart(Some(part.prices.clone()));
        let mut work = *self.work;
        let stop = self.stop;
        let steps = if visits == 1 {
            4 * NODE_STEPS
        } else {
            NODE_STEPS
        };
        let goal = self.goal(steps, 0.5);
        let bound = ascent.ascend(&part.domain, goal, FULL, &mut work, |_, _, _, work| {
            !stop.reached(*work)
        });
        *self.work = work;
        part.bound = part.bound.max(bound);
        if part.bound > self.enough() {
            return (Vec::new(), false);
        }
        if self.done() {
            return (Vec::new(), true);
        }
        let enough = self.enough();
        if settle(ascent, &mut part.domain, enough, FULL, self.work) == Settled::Nothing {
            return (Vec::new(), false);
        }
        part.bound = part
            .bound
            .max(ascent.evaluate(&part.domain, FULL, self.work));
        if part.bound > self.enough() {
            return (Vec::new(), false);
        }
        self.try_hand(small, outer, ascent, maker, &part.domain, visits % 8 == 1);
        if part.bound > self.enough() {
            return (Vec::new(), false);
        }
        let Some((mut likely, mut other)) = sides(small, ascent, &part.domain) else {
            return (Vec::new(), true);
        };
        let mut result = Vec::new();
        for domain in [&mut other, &mut likely] {
            let domain = std::mem::replace(
                domain,
                Domain {
                    open: Vec::new(),
                    on: Vec::new(),
                    off: Vec::new(),
                },
            );
            result.push(Part {
                domain,
                prices: ascent.prices.clone(),
                bound: part.bound,
            });
        }
        (result, false)
    }

    /// Makes a plan from what the lines of a part offer and keeps it when it is better.
    fn try_hand(
        &mut self,
        small: &Room,
        outer: &Domain,
        ascent: &mut Ascent<'_>,
        maker: &mut Maker<'_>,
        domain: &Domain,
        polish: bool,
    ) {
        let before = self.hand.cost;
        let mut own = Hand {
            menus: Vec::new(),
            paths: Vec::new(),
            cost: before,
        };
        make(maker, ascent, domain, &mut own, polish, self.work);
        if own.cost < before && !own.paths.is_empty() {
            self.hand = widened(small, outer, self.room, &own);
        }
    }
}

/// A plan of the smaller room, told in the positions of the larger one.
fn widened(small: &Room, outer: &Domain, room: &Room, hand: &Hand) -> Hand {
    let mut paths = Vec::with_capacity(hand.paths.len());
    for (p, path) in hand.paths.iter().enumerate() {
        let open: Vec<u32> = (0..room.people[p].cands.len() as u32)
            .filter(|&i| outer.open[p][i as usize])
            .collect();
        debug_assert_eq!(open.len(), small.people[p].cands.len());
        paths.push(path.iter().map(|&i| open[i as usize]).collect());
    }
    Hand {
        menus: hand.menus.clone(),
        paths,
        cost: hand.cost,
    }
}

/// Steps of an ascent at which a plan is made.
fn plan_at(step: usize) -> bool {
    matches!(step, 0 | 6 | 15 | 30 | 50 | 75 | 100 | 130 | 160 | 190)
}

/// Makes plans from what people and lines want now; keeps the best.
fn make(
    maker: &mut Maker<'_>,
    ascent: &Ascent<'_>,
    domain: &Domain,
    hand: &mut Hand,
    polish: bool,
    work: &mut u64,
) {
    let menus: Vec<u64> = ascent.lines.iter().map(|found| found.menu).collect();
    let paths: Vec<Vec<u32>> = ascent
        .people
        .iter()
        .map(|found| found.path.clone())
        .collect();
    let mut made = Vec::new();
    made.extend(maker.adopt(&paths, &menus));
    made.extend(maker.assign(domain, &menus, &ascent.prices, work));
    let Some(mut best) = made.into_iter().min_by_key(|hand| hand.cost) else {
        return;
    };
    if polish {
        maker.improve(domain, &mut best, 4, work);
        maker.trim(&mut best);
    }
    if best.cost < hand.cost {
        *hand = best;
    }
}

fn lowest(parts: &[Part]) -> usize {
    (0..parts.len())
        .min_by_key(|&i| (parts[i].bound, std::cmp::Reverse(i)))
        .unwrap_or(0)
}

/// The two sides of a part, the likelier first: a shape on or off a menu where offers waver most;
/// when all such are settled, one candidate of one person taken or not.
fn sides(room: &Room, ascent: &Ascent<'_>, domain: &Domain) -> Option<(Domain, Domain)> {
    let mut best: Option<(f64, usize, u64, bool)> = None;
    for (t, line) in room.lines.iter().enumerate() {
        for shape in 0..line.shapes {
            let bit = 1u64 << shape;
            if (domain.on[t] | domain.off[t] | line.must) & bit != 0 {
                continue;
            }
            let offered = ascent.offered[t][shape];
            let wanted = ascent.wanted[t][shape];
            let seats = line.seats.len() as f64;
            let score = offered * (1.0 - offered) * (1.0 + seats * wanted.min(1.0))
                + 0.01 * (wanted - offered).abs();
            if score > 1e-9 && best.is_none_or(|(top, ..)| score > top) {
                best = Some((score, t, bit, offered >= 0.5));
            }
        }
    }
    if let Some((_, t, bit, likely)) = best {
        let (mut on, mut off) = (domain.clone(), domain.clone());
        on.on[t] |= bit;
        off.off[t] |= bit;
        return Some(if likely { (on, off) } else { (off, on) });
    }
    let mut split = None;
    for (t, line) in room.lines.iter().enumerate() {
        for (seat, &given) in line.seats.iter().zip(&ascent.lines[t].choices) {
            let taken = ascent.people[seat.person].path[seat.node];
            if taken != given && split.is_none() {
                split = Some((seat.person, seat.node, taken));
            }
        }
    }
    // Nobody disagrees: any seat that is still open will do.
    let any_open = || {
        room.people.iter().enumerate().find_map(|(p, person)| {
            person.nodes.iter().enumerate().find_map(|(n, node)| {
                let open = (node.first..node.first + node.len)
                    .filter(|&i| domain.open[p][i])
                    .count();
                (open > 1).then(|| (p, n, ascent.people[p].path[n]))
            })
        })
    };
    let (p, n, i) = split.or_else(any_open)?;
    let node = &room.people[p].nodes[n];
    let (mut only, mut without) = (domain.clone(), domain.clone());
    for j in node.first..node.first + node.len {
        if j != i as usize {
            only.open[p][j] = false;
        }
    }
    without.open[p][i as usize] = false;
    Some((only, without))
}
