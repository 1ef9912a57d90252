//! Branch and bound over menus, then over single shapes.
//!
//! Takes what the root left open and goes through it, down the likelier side first and then on
//! from the lowest bound. Invariant: what is given back is the least bound of what was not gone
//! through.

use super::bound::{Ascent, Prices};
use super::hand::Maker;
use super::room::{Domain, NEVER, Room};
use super::settle::{Settled, follow, settle};
use super::tree::{FULL, Tree};

/// Steps of an ascent in a node.
const NODE_STEPS: usize = 40;

/// Nodes from one dive to the next.
const DIVE_EVERY: usize = 10;

/// An open part of the search.
pub(super) struct Part {
    pub(super) domain: Domain,
    pub(super) prices: Prices,
    pub(super) bound: i64,
}

impl Tree<'_, '_> {
    /// Goes through what is left, in the smaller room; gives back the least bound left open.
    pub(super) fn branch(
        &mut self,
        small: &Room,
        outer: &Domain,
        prices: Prices,
        bound: i64,
    ) -> i64 {
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
        self.dive(small, outer, &mut ascent, &mut maker, &parts[0]);
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
            if visits.is_multiple_of(DIVE_EVERY) {
                self.dive(small, outer, &mut ascent, &mut maker, &part);
                if part.bound > self.enough() || self.done() {
                    parts.push(part);
                    continue;
                }
            }
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
        let goal = self.goal(steps, false);
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
