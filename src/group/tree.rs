//! The search for the room: an ascent at the root with plans on the way, then branches.
//!
//! Takes a room, a plan in hand and a limit and gives the best plan found with a bound of all.
//! Invariant: the bound given back is the least bound of what was not gone through, so it is a
//! certificate whenever the search stops.

use std::time::Instant;

use super::bound::{Ascent, Goal, Prices, Trouble};
use super::hand::{Hand, Maker};
use super::room::{Domain, Room};
use super::settle::{Settled, follow, settle};
use super::stock::Effort;

/// Light work: props are only priced.
const LIGHT: Trouble = Trouble {
    labels: 0,
    line: Effort {
        rounds: 12,
        menus: 0,
        labels: 0,
    },
};
/// Full work: lines are answered exactly where that is in reach.
pub(super) const FULL: Trouble = Trouble {
    labels: 100_000,
    line: Effort {
        rounds: 6,
        menus: 200,
        labels: 8_000,
    },
};
/// Steps of an ascent at the root, light and full.
const ROOT_LIGHT: usize = 60;
const ROOT_FULL: usize = 400;

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

/// What a search begins with; what is missing is made.
#[derive(Debug, Clone, Default)]
pub(super) struct Start {
    /// A plan to beat.
    pub(super) hand: Option<Hand>,
    /// Prices that are good already.
    pub(super) prices: Option<Prices>,
    /// All that may still happen.
    pub(super) domain: Option<Domain>,
}

/// What is told while a search goes on: the cost in hand and the bound, scaled.
pub(super) type Tell<'a> = dyn FnMut(i64, i64) + 'a;

/// A search and what it has in hand.
pub(super) struct Tree<'r, 't> {
    pub(super) room: &'r Room,
    pub(super) hand: Hand,
    pub(super) stop: Stop,
    pub(super) work: &'t mut u64,
    pub(super) tell: &'t mut Tell<'t>,
}

/// Searches from the root.
pub(super) fn search<'t>(
    room: &Room,
    start: Start,
    stop: Stop,
    work: &'t mut u64,
    tell: &'t mut Tell<'t>,
) -> Outcome {
    let mut domain = start.domain.unwrap_or_else(|| room.domain());
    let warm = start.prices.is_some();
    let prices = start.prices.unwrap_or_else(|| Prices::zero(room));
    let mut maker = Maker::new(room, stop);
    let hand = start
        .hand
        .unwrap_or_else(|| first_hand(room, &domain, &mut maker, work));
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
        ascent.forget();
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
    pub(super) fn enough(&self) -> i64 {
        self.hand.cost - self.room.scale.grain()
    }

    pub(super) fn done(&self) -> bool {
        self.stop.reached(*self.work)
    }

    pub(super) fn goal(&self, steps: usize, root: bool) -> Goal {
        Goal {
            target: self.hand.cost,
            enough: self.enough(),
            steps,
            root,
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
        let goal = self.goal(steps, true);
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
                    make(maker, ascent, open, hand, step >= 50, work);
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

    pub(super) fn settle(
        &mut self,
        ascent: &mut Ascent<'_>,
        domain: &mut Domain,
        bound: i64,
    ) -> Settled {
        if bound > self.enough() || self.done() {
            return Settled::Some(0);
        }
        let enough = self.enough();
        settle(ascent, domain, enough, FULL, self.work)
    }

    /// Makes a plan from what the lines of a part offer and keeps it when it is better.
    pub(super) fn try_hand(
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
pub(super) fn widened(small: &Room, outer: &Domain, room: &Room, hand: &Hand) -> Hand {
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
    matches!(step, 0 | 15 | 50 | 100 | 150 | 200)
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
