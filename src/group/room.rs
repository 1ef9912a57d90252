//! The instance as plain arrays, ready for the search.
//!
//! Takes a checked [`Instance`] and a [`Scale`] and gives lines with numbered shapes and people
//! with scaled costs. Students that cannot be told apart, and that hold nothing that can run
//! short, become one person of their number's weight. Invariant: people stand in an order made
//! from what the instance says of them, never from names or from the order of the roster.

use std::collections::{BTreeMap, BTreeSet};

use super::menu::serves;
use super::person::Person;
use super::problem::{Candidate, Instance, Line, Student};

/// Parts of one unit of price: bounds are exact in these.
pub(super) const FINE: i64 = 4096;

/// More than any path or menu costs.
pub(super) const NEVER: i64 = 1 << 60;

/// A sum as large as this holds [`NEVER`]: there is no such path or menu.
pub(super) const HOPELESS: i64 = NEVER / 2;

/// Stands for "no shape of the menu": an own-rest.
pub(super) const REST: u8 = u8::MAX;

/// How costs are scaled: an objective of 1 is `unit`, and every shape on a menu adds `per_shape`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Scale {
    pub(super) unit: i64,
    pub(super) per_shape: i64,
}

impl Scale {
    /// The least by which one plan can be better than another.
    pub(super) fn grain(self) -> i64 {
        if self.per_shape > 0 {
            self.per_shape
        } else {
            self.unit
        }
    }
}

/// A line with numbered shapes.
#[derive(Debug, Clone)]
pub(super) struct RoomLine {
    /// The shape of every candidate, or [`REST`].
    pub(super) shape_of: Vec<u8>,
    /// How many shapes there are.
    pub(super) shapes: usize,
    /// The taught shape.
    pub(super) taught: u8,
    /// Shapes that are on the menu whatever happens.
    pub(super) must: u64,
    /// Shapes that cost nothing and are not counted.
    pub(super) free: u64,
    /// Shapes of which one must be on the menu; 0: no such need.
    pub(super) kinder: u64,
    /// Props that can run short here.
    pub(super) tight: Vec<Tight>,
    /// Who decides here: person and node, by person.
    pub(super) seats: Vec<Seat>,
}

/// A prop that can run short at a line.
#[derive(Debug, Clone)]
pub(super) struct Tight {
    /// The prop's number in the room.
    pub(super) prop: usize,
    pub(super) stock: u32,
    /// How many one student holds, by candidate.
    pub(super) held: Vec<u32>,
}

/// One node of one person, seen from its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Seat {
    pub(super) person: usize,
    pub(super) node: usize,
}

/// The whole room.
#[derive(Debug, Clone)]
pub(super) struct Room {
    pub(super) lines: Vec<RoomLine>,
    pub(super) people: Vec<Person>,
    /// Names of the props that can run short, by number.
    pub(super) short: Vec<String>,
    pub(super) scale: Scale,
    pub(super) max_options: u32,
    pub(super) option: i64,
    pub(super) excess: i64,
    pub(super) lead: i64,
}

/// What is still undecided: candidates that may be taken, shapes settled on and off menus.
#[derive(Debug, Clone)]
pub(super) struct Domain {
    /// For every person, for each of their candidates.
    pub(super) open: Vec<Vec<bool>>,
    /// For every line, shapes that are on the menu.
    pub(super) on: Vec<u64>,
    /// For every line, shapes that are not.
    pub(super) off: Vec<u64>,
}

impl Room {
    /// The room of a checked instance.
    pub(super) fn new(instance: &Instance, scale: Scale) -> Self {
        let weights = &instance.weights;
        let mut room = Self {
            lines: instance.lines.iter().map(RoomLine::new).collect(),
            people: Vec::new(),
            short: Vec::new(),
            scale,
            max_options: instance.max_options,
            option: i64::from(weights.option) * scale.unit,
            excess: i64::from(weights.excess) * scale.unit,
            lead: i64::from(weights.lead) * scale.unit,
        };
        let short = short_props(instance);
        for members in alike(instance, &short) {
            room.people.push(Person::new(instance, members, scale.unit));
        }
        for (t, line) in room.lines.iter_mut().enumerate() {
            for (number, prop) in short.iter().enumerate() {
                let held = |c: &Candidate| c.props.get(prop).copied().unwrap_or(0);
                line.tight.push(Tight {
                    prop: number,
                    stock: instance.stock[prop],
                    held: instance.lines[t].candidates.iter().map(held).collect(),
                });
            }
        }
        room.short = short.into_iter().collect();
        room.seat();
        room
    }

    /// Whether the same people choose among the same candidates as in another room.
    pub(super) fn same_people(&self, other: &Self) -> bool {
        self.people.len() == other.people.len()
            && self
                .people
                .iter()
                .zip(&other.people)
                .all(|(own, other)| own.members == other.members && own.cands == other.cands)
    }

    /// Everything that may still happen in this room.
    pub(super) fn domain(&self) -> Domain {
        let mut domain = Domain {
            open: self
                .people
                .iter()
                .map(|person| vec![true; person.cands.len()])
                .collect(),
            on: self.lines.iter().map(|line| line.must).collect(),
            off: vec![0; self.lines.len()],
        };
        // A form that needs more than there is of a prop is out for everybody.
        for (person, open) in self.people.iter().zip(&mut domain.open) {
            for node in &person.nodes {
                for i in node.first..node.first + node.len {
                    let c = usize::from(person.cands[i]);
                    open[i] = self.lines[node.line]
                        .tight
                        .iter()
                        .all(|tight| tight.held[c] <= tight.stock);
                }
            }
        }
        domain
    }

    /// The same room with only what `domain` leaves open; shape numbers stay.
    pub(super) fn restricted(&self, domain: &Domain) -> Self {
        let mut room = self.clone();
        room.people = self
            .people
            .iter()
            .zip(&domain.open)
            .map(|(person, open)| person.keep(open))
            .collect();
        for (line, &on) in room.lines.iter_mut().zip(&domain.on) {
            line.must |= on;
        }
        room.seat();
        room
    }

    /// What a menu costs beside what people do.
    pub(super) fn menu_cost(&self, line: &RoomLine, menu: u64) -> i64 {
        let counted = i64::from((menu & !line.free).count_ones());
        let lead = if menu >> line.taught & 1 == 1 {
            0
        } else {
            self.lead
        };
        lead + self.option * (counted - 1).max(0)
            + self.excess * (counted - i64::from(self.max_options)).max(0)
            + self.scale.per_shape * counted
    }

    /// Places everybody at the lines and drops what cannot run short there.
    fn seat(&mut self) {
        for line in &mut self.lines {
            line.seats.clear();
        }
        for (p, person) in self.people.iter().enumerate() {
            for (n, node) in person.nodes.iter().enumerate() {
                self.lines[node.line]
                    .seats
                    .push(Seat { person: p, node: n });
            }
        }
        for line in &mut self.lines {
            let seats = &line.seats;
            let people = &self.people;
            line.tight.retain(|tight| {
                let mut most: BTreeMap<usize, u64> = BTreeMap::new();
                for seat in seats {
                    let person = &people[seat.person];
                    let node = &person.nodes[seat.node];
                    let held = |c: &u8| u64::from(tight.held[usize::from(*c)]);
                    let here = person.cands[node.first..node.first + node.len]
                        .iter()
                        .map(held)
                        .max()
                        .unwrap_or(0);
                    let place = most.entry(seat.person).or_default();
                    *place = (*place).max(here * person.members.len() as u64);
                }
                most.values().sum::<u64>() > u64::from(tight.stock)
            });
        }
    }
}

impl RoomLine {
    fn new(line: &Line) -> Self {
        let mut names: Vec<&str> = Vec::new();
        let mut shape_of = Vec::new();
        for candidate in &line.candidates {
            if candidate.is_rest() {
                shape_of.push(REST);
                continue;
            }
            let known = names.iter().position(|&name| name == candidate.shape);
            shape_of.push(known.unwrap_or(names.len()) as u8);
            if known.is_none() {
                names.push(&candidate.shape);
            }
        }
        let mask = |numbers: &[usize]| numbers.iter().fold(0u64, |all, &c| all | 1 << shape_of[c]);
        let free = mask(&line.free);
        let must = if line.keep {
            free | mask(&[line.taught])
        } else {
            free
        };
        let kinder = mask(&line.kinder);
        Self {
            shapes: names.len(),
            taught: shape_of[line.taught],
            must,
            free,
            kinder: if kinder & must == 0 { kinder } else { 0 },
            tight: Vec::new(),
            seats: Vec::new(),
            shape_of,
        }
    }

    /// Whether a candidate may be taken from `menu`; an own-rest always may.
    pub(super) fn offers(&self, menu: u64, candidate: u8) -> bool {
        self.shape_of[usize::from(candidate)] == REST || menu & self.shape_bit(candidate) != 0
    }

    /// `menu` with what has to be on it: shapes that stay, and a kinder one where it lacks one.
    pub(super) fn completed(&self, menu: u64) -> u64 {
        let menu = menu | self.must;
        if serves(self, menu) {
            menu
        } else {
            menu | 1 << self.kinder.trailing_zeros()
        }
    }

    /// What the stock gives back when each of its props is priced.
    pub(super) fn refund(&self, per_prop: &[i64]) -> i64 {
        self.tight
            .iter()
            .zip(per_prop)
            .map(|(tight, price)| price * i64::from(tight.stock))
            .sum()
    }

    /// The mask of a candidate's shape; 0 for an own-rest.
    pub(super) fn shape_bit(&self, candidate: u8) -> u64 {
        match self.shape_of[usize::from(candidate)] {
            REST => 0,
            shape => 1 << shape,
        }
    }
}

/// Props that run short at some line when everybody holds the most they may.
fn short_props(instance: &Instance) -> BTreeSet<String> {
    let mut short = BTreeSet::new();
    for (prop, &stock) in &instance.stock {
        for (t, line) in instance.lines.iter().enumerate() {
            let most = |student: &Student| {
                let sides = &student.stray[t];
                let held = |c: &usize| {
                    u64::from(line.candidates[*c].props.get(prop).copied().unwrap_or(0))
                };
                sides
                    .r
                    .keys()
                    .chain(sides.l.keys())
                    .map(held)
                    .max()
                    .unwrap_or(0)
            };
            if instance.students.iter().map(most).sum::<u64>() > u64::from(stock) {
                short.insert(prop.clone());
                break;
            }
        }
    }
    short
}

/// Students in an order made from what is said of them; those who cannot be told apart and hold
/// nothing that can run short stand together.
fn alike(instance: &Instance, short: &BTreeSet<String>) -> Vec<Vec<usize>> {
    let key = |s: usize| {
        let student = &instance.students[s];
        let mut budgets = student.budgets.clone();
        let mut barred = student.barred.clone();
        budgets.sort();
        barred.sort();
        (student.tied.clone(), student.stray.clone(), budgets, barred)
    };
    let mut order: Vec<_> = (0..instance.students.len())
        .map(|s| (key(s), &instance.students[s].id, s))
        .collect();
    order.sort();
    let holds = |s: usize| {
        instance
            .lines
            .iter()
            .zip(&instance.students[s].stray)
            .any(|(line, sides)| {
                let any = |c: &usize| {
                    line.candidates[*c]
                        .props
                        .iter()
                        .any(|(name, &n)| n > 0 && short.contains(name))
                };
                sides.r.keys().chain(sides.l.keys()).any(any)
            })
    };
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut last = None;
    for (key, _, s) in order {
        match groups.last_mut() {
            Some(group) if last.as_ref() == Some(&key) && !holds(s) => group.push(s),
            _ => groups.push(vec![s]),
        }
        last = Some(key);
    }
    groups
}
