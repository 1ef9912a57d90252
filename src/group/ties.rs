//! Among equals: of all plans of least cost and fewest shapes, the one that the model names.
//!
//! First the smallest list of `(line, rank of shape)` over all menus, then, person by person, the
//! smallest ranks along their path. Takes a plan that is proved to be one of the equals and
//! settles decision after decision: what the plan in hand has already needs no proof, anything
//! smaller is either found in another plan of the same cost, which is in hand from then on, or
//! proved to be in none. Invariant: what is given back costs what was given.

use super::bound::{Ascent, Prices};
use super::hand::Hand;
use super::menu::bits;
use super::problem::Instance;
use super::room::{Domain, NEVER, Room};
use super::settle::{Settled, follow, settle};
use super::student::Scratch;
use super::tree::{FULL, Start, Stop, search, widened};

/// A room with the order in which its equals are preferred.
pub(super) struct Ties<'r> {
    room: &'r Room,
    /// By line, its shapes: the taught one, then by the least stray of anybody, then by number.
    shapes: Vec<Vec<u8>>,
    /// By person, for each of their candidates its place within its node: the taught one, then by
    /// own stray (a rest with what it is charged), then by number.
    places: Vec<Vec<u32>>,
}

/// Whether a plan of the same cost makes a decision in a certain way.
enum Answer {
    Yes(Hand),
    No,
    /// The limit came first.
    Unknown,
}

/// What may still be part of a plan that is as good as the one in hand.
struct Left<'r> {
    room: &'r Room,
    prices: Prices,
    domain: Domain,
    hand: Hand,
    scratch: Scratch,
}

impl<'r> Ties<'r> {
    /// The orders of preference in the room of an instance.
    pub(super) fn new(instance: &Instance, room: &'r Room) -> Self {
        let mut shapes = Vec::with_capacity(room.lines.len());
        for (t, line) in room.lines.iter().enumerate() {
            let own = &instance.lines[t];
            let mut order: Vec<(bool, u32, u8)> = (0..line.shapes as u8)
                .map(|shape| (shape != line.taught, u32::MAX, shape))
                .collect();
            for c in 0..own.candidates.len() {
                let Some(entry) = order.get_mut(usize::from(line.shape_of[c])) else {
                    continue;
                };
                for student in &instance.students {
                    let sides = &student.stray[t];
                    for stray in [sides.r.get(&c), sides.l.get(&c)].into_iter().flatten() {
                        entry.1 = entry.1.min(*stray);
                    }
                }
            }
            order.sort_unstable();
            shapes.push(order.into_iter().map(|entry| entry.2).collect());
        }
        let mut places = Vec::with_capacity(room.people.len());
        for person in &room.people {
            let mut own = vec![0; person.cands.len()];
            for node in &person.nodes {
                let taught = instance.lines[node.line].taught;
                let mut order: Vec<usize> = (node.first..node.first + node.len).collect();
                order.sort_by_key(|&i| {
                    let c = usize::from(person.cands[i]);
                    (c != taught, person.costs[i], c)
                });
                for (place, i) in order.into_iter().enumerate() {
                    own[i] = place as u32;
                }
            }
            places.push(own);
        }
        Self {
            room,
            shapes,
            places,
        }
    }

    /// The first of all plans that cost what `hand` costs, which has to be the least; where the
    /// limit is met, the first as far as it was settled.
    pub(super) fn first(&self, hand: Hand, prices: &Prices, stop: Stop, work: &mut u64) -> Hand {
        let room = self.room;
        let mut domain = room.domain();
        if !follow(room, &mut domain) {
            return hand;
        }
        let mut ascent = Ascent::new(room, prices.clone());
        if settle(&mut ascent, &mut domain, hand.cost, FULL, work) == Settled::Nothing {
            return hand;
        }
        let small = room.restricted(&domain);
        let Some(narrowed) = narrowed(&domain, room, &hand) else {
            return hand;
        };
        let mut left = Left {
            prices: ascent.prices.restricted(room, &domain, &small),
            domain: within(&small, &domain),
            room: &small,
            hand: narrowed,
            scratch: Scratch::default(),
        };
        if left.settle_menus(&self.shapes, stop, work) {
            let mut places = Vec::with_capacity(self.places.len());
            for (own, open) in self.places.iter().zip(&domain.open) {
                places.push(super::person::kept_of(own, open));
            }
            left.settle_paths(&places, stop, work);
        }
        widened(&small, &domain, room, &left.hand)
    }
}

impl Left<'_> {
    /// Settles every shape of every menu, the first on; false when the limit was met.
    fn settle_menus(&mut self, shapes: &[Vec<u8>], stop: Stop, work: &mut u64) -> bool {
        for (t, order) in shapes.iter().enumerate() {
            for &shape in order {
                let bit = 1u64 << shape;
                if (self.domain.on[t] | self.domain.off[t]) & bit != 0 {
                    continue;
                }
                if self.hand.menus[t] & bit == 0 {
                    let mut with = self.domain.clone();
                    with.on[t] |= bit;
                    match self.ask(with, stop, work) {
                        Answer::Yes(hand) => self.hand = hand,
                        Answer::No => {
                            self.domain.off[t] |= bit;
                            continue;
                        }
                        Answer::Unknown => return false,
                    }
                }
                self.domain.on[t] |= bit;
            }
        }
        follow(self.room, &mut self.domain)
    }

    /// Settles every node of everybody, the lowest place first, as far as the limit allows.
    fn settle_paths(&mut self, places: &[Vec<u32>], stop: Stop, work: &mut u64) {
        let room = self.room;
        for (p, person) in room.people.iter().enumerate() {
            let alone = self.stands_alone(p);
            for (n, node) in person.nodes.iter().enumerate() {
                let mut order: Vec<usize> = (node.first..node.first + node.len)
                    .filter(|&i| self.domain.open[p][i])
                    .collect();
                order.sort_unstable_by_key(|&i| places[p][i]);
                for i in order {
                    if self.hand.paths[p][n] as usize != i {
                        let mut with = self.domain.clone();
                        keep_only(&mut with, p, node.first..node.first + node.len, i);
                        let answer = if alone {
                            self.ask_alone(&with, p, work)
                        } else {
                            self.ask(with, stop, work)
                        };
                        match answer {
                            Answer::Yes(hand) => self.hand = hand,
                            Answer::No => {
                                self.domain.open[p][i] = false;
                                continue;
                            }
                            Answer::Unknown => return,
                        }
                    }
                    keep_only(&mut self.domain, p, node.first..node.first + node.len, i);
                    break;
                }
                if stop.reached(*work) {
                    return;
                }
            }
        }
    }

    /// Whether a person holds nothing that can still run short: what they do is theirs alone then,
    /// menus being settled.
    fn stands_alone(&self, p: usize) -> bool {
        if self.room.lines.iter().all(|line| line.tight.is_empty()) {
            return true;
        }
        let room = self.room.restricted(&self.domain);
        let person = &room.people[p];
        person.nodes.iter().all(|node| {
            let here = &person.cands[node.first..node.first + node.len];
            let mut tight = room.lines[node.line].tight.iter();
            tight.all(|tight| here.iter().all(|&c| tight.held[usize::from(c)] == 0))
        })
    }

    /// Whether some plan within `domain` costs what the one in hand costs.
    fn ask(&self, mut domain: Domain, stop: Stop, work: &mut u64) -> Answer {
        if !follow(self.room, &mut domain) {
            return Answer::No;
        }
        let cost = self.hand.cost;
        let room = self.room.restricted(&domain);
        let start = Start {
            hand: Some(Hand {
                cost: cost + self.room.scale.grain(),
                ..self.hand.clone()
            }),
            prices: Some(self.prices.restricted(self.room, &domain, &room)),
            domain: Some(within(&room, &domain)),
        };
        let found = search(&room, start, stop, work, &mut |_, _| {});
        if found.hand.cost <= cost {
            Answer::Yes(widened(&room, &domain, self.room, &found.hand))
        } else if found.bound > cost {
            Answer::No
        } else {
            Answer::Unknown
        }
    }

    /// The same for a decision of somebody who stands alone.
    fn ask_alone(&mut self, domain: &Domain, p: usize, work: &mut u64) -> Answer {
        let person = &self.room.people[p];
        let costs: Vec<i64> = person
            .costs
            .iter()
            .zip(&domain.open[p])
            .map(|(&cost, &open)| if open { cost } else { NEVER })
            .collect();
        let cost = person.path_cost(&self.hand.paths[p]);
        let mut tariff = self.prices.tariffs[p].clone();
        let found = person.cheapest(&costs, &mut tariff, FULL.labels, &mut self.scratch, work);
        if found.bound > cost {
            return Answer::No;
        }
        if !found.kept || person.path_cost(&found.path) > cost {
            return Answer::Unknown;
        }
        let mut hand = self.hand.clone();
        hand.paths[p] = found.path;
        Answer::Yes(hand)
    }
}

/// Closes all but one candidate of a node.
fn keep_only(domain: &mut Domain, p: usize, node: std::ops::Range<usize>, only: usize) {
    for i in node.filter(|&i| i != only) {
        domain.open[p][i] = false;
    }
}

/// Everything that `domain` leaves, in the room that is restricted to it.
fn within(small: &Room, domain: &Domain) -> Domain {
    let mut own = small.domain();
    own.on.clone_from(&domain.on);
    own.off.clone_from(&domain.off);
    own
}

/// A plan in the positions of the room that is restricted to `domain`; none when it is not there.
fn narrowed(domain: &Domain, room: &Room, hand: &Hand) -> Option<Hand> {
    let there = |(t, &menu): (usize, &u64)| {
        menu & domain.off[t] == 0 && bits(domain.on[t]).all(|shape| menu >> shape & 1 == 1)
    };
    if !hand.menus.iter().enumerate().all(there) {
        return None;
    }
    let mut paths = Vec::with_capacity(hand.paths.len());
    for (p, path) in hand.paths.iter().enumerate() {
        let mut place = vec![None; room.people[p].cands.len()];
        let open = (0..place.len()).filter(|&i| domain.open[p][i]);
        for (number, i) in open.enumerate() {
            place[i] = Some(number as u32);
        }
        let path: Option<Vec<u32>> = path.iter().map(|&i| place[i as usize]).collect();
        paths.push(path?);
    }
    Some(Hand {
        menus: hand.menus.clone(),
        paths,
        cost: hand.cost,
    })
}
