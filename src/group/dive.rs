//! Dives: from the weights of an ascent straight to a plan.
//!
//! Takes an open part and settles in it what the weights of the answers are surest of, a few at a
//! time, with short ascents between. Invariant: only plans come of it; nothing here is a bound.

use super::bound::Ascent;
use super::branch::Part;
use super::hand::Maker;
use super::room::{Domain, Room};
use super::settle::follow;
use super::tree::{FULL, Tree};

/// Rounds of one dive.
const ROUNDS: usize = 100;

/// Steps of an ascent in the first round and in each later one.
const FIRST_STEPS: usize = 80;
const STEPS: usize = 16;

/// Weights beyond which something is as good as settled, either way.
const NO: f64 = 0.01;
const YES: f64 = 0.99;

/// One in so many of what is not settled is settled in a round.
const PART: usize = 6;

impl Tree<'_, '_> {
    /// Settles what the weights are surest of, bit by bit, until a plan falls out or none can.
    pub(super) fn dive(
        &mut self,
        small: &Room,
        outer: &Domain,
        ascent: &mut Ascent<'_>,
        maker: &mut Maker<'_>,
        part: &Part,
    ) {
        let mut domain = part.domain.clone();
        ascent.restart(Some(part.prices.clone()));
        for round in 0..ROUNDS {
            if !follow(small, &mut domain) {
                return;
            }
            let mut work = *self.work;
            let stop = self.stop;
            let steps = if round == 0 { FIRST_STEPS } else { STEPS };
            let goal = self.goal(steps, false);
            let bound = ascent.ascend(&domain, goal, FULL, &mut work, |_, _, _, work| {
                !stop.reached(*work)
            });
            *self.work = work;
            if bound > self.enough() || self.done() {
                return;
            }
            self.try_hand(small, outer, ascent, maker, &domain, true);
            if bound > self.enough() || !firm(small, ascent, &mut domain) {
                return;
            }
            ascent.restart(None);
        }
    }
}

/// Settles what the weights say most surely, menus before seats; false when nothing is left.
fn firm(room: &Room, ascent: &Ascent<'_>, domain: &mut Domain) -> bool {
    let mut wavering: Vec<(f64, usize, u64)> = Vec::new();
    let mut some = false;
    for (t, line) in room.lines.iter().enumerate() {
        for shape in 0..line.shapes {
            let bit = 1u64 << shape;
            if (domain.on[t] | domain.off[t] | line.must) & bit != 0 {
                continue;
            }
            let offered = ascent.offered[t][shape];
            if offered <= NO {
                domain.off[t] |= bit;
                some = true;
            } else if offered >= YES {
                domain.on[t] |= bit;
                some = true;
            } else {
                wavering.push((offered, t, bit));
            }
        }
    }
    if wavering.is_empty() {
        return firm_seats(room, ascent, domain) || some;
    }
    wavering.sort_by(|a, b| b.0.total_cmp(&a.0));
    let most = wavering.len().div_ceil(PART);
    if wavering[0].0 >= 0.5 {
        let likely = wavering.iter().take(most).filter(|menu| menu.0 >= 0.5);
        likely.for_each(|&(_, t, bit)| domain.on[t] |= bit);
    } else {
        let unlikely = wavering.iter().rev().take(most);
        unlikely.for_each(|&(_, t, bit)| domain.off[t] |= bit);
    }
    true
}

/// Settles the seats whose likeliest candidate is surest; false when all are settled.
fn firm_seats(room: &Room, ascent: &Ascent<'_>, domain: &mut Domain) -> bool {
    let mut seats: Vec<(f64, usize, usize, usize)> = Vec::new();
    for (p, person) in room.people.iter().enumerate() {
        for (n, node) in person.nodes.iter().enumerate() {
            let open = (node.first..node.first + node.len).filter(|&i| domain.open[p][i]);
            if open.clone().count() < 2 {
                continue;
            }
            let likeliest = open
                .map(|i| (ascent.taken(p, i), i))
                .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
            seats.extend(likeliest.map(|(taken, i)| (taken, p, n, i)));
        }
    }
    seats.sort_by(|a, b| b.0.total_cmp(&a.0));
    let sure = seats.iter().filter(|seat| seat.0 >= YES).count();
    let most = (seats.len() - sure).div_ceil(PART) + sure;
    for &(_, p, n, only) in seats.iter().take(most) {
        let node = &room.people[p].nodes[n];
        for i in (node.first..node.first + node.len).filter(|&i| i != only) {
            domain.open[p][i] = false;
        }
    }
    !seats.is_empty()
}
