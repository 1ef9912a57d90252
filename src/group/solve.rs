//! The door of the planner: an instance in, a plan out.
//!
//! Takes an [`Instance`], a [`Limit`] and somebody to tell, and gives a [`Plan`]. Two searches:
//! the first finds the least cost, the second the fewest shapes among plans of that cost; what is
//! still equal then is settled by `Ties`.
//! Invariant: the plan passes [`evaluate`], and its bound is a certificate.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use super::bound::Prices;
use super::check::InstanceError;
use super::evaluate::evaluate;
use super::hand::{Hand, Maker};
use super::plan::{Path, Plan, SitOut};
use super::problem::Instance;
use super::room::{FINE, Room, Scale};
use super::ties::Ties;
use super::tree::{Start, Stop, search};

/// Work that takes about ten seconds on one core of an ordinary machine.
pub const DEFAULT_WORK: u64 = 1_200_000_000;

/// When a search has to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// After so many units of work: the same input gives the same plan.
    Work(u64),
    /// After so many seconds by the clock.
    Seconds(f64),
}

impl Default for Limit {
    fn default() -> Self {
        Self::Work(DEFAULT_WORK)
    }
}

impl Limit {
    /// One of so many equal parts of it.
    pub fn part(self, of: u32) -> Self {
        match self {
            Self::Work(most) => Self::Work(most / u64::from(of.max(1))),
            Self::Seconds(most) => Self::Seconds(most / f64::from(of.max(1))),
        }
    }
}

/// How far a search has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What the best plan so far costs.
    pub best: i64,
    /// No plan costs less.
    pub bound: i64,
}

/// What a search leaves behind: a start for the same room with one thing changed.
#[derive(Debug, Clone)]
pub struct Memory {
    room: Room,
    hand: Hand,
    prices: Prices,
}

/// The best plan for the room within a limit, and a bound of what any plan costs.
///
/// # Errors
/// The instance does not pass its check.
pub fn solve(
    instance: &Instance,
    limit: Limit,
    tell: &mut dyn FnMut(Progress),
) -> Result<Plan, InstanceError> {
    solve_and_keep(instance, limit, tell).map(|(plan, _)| plan)
}

/// The least cost of a room that differs in one thing from one that was solved; of several such
/// plans any. Goes on from the plan and the prices of the other room.
///
/// # Errors
/// The instance does not pass its check.
pub fn solve_near(
    instance: &Instance,
    memory: &Memory,
    limit: Limit,
) -> Result<Plan, InstanceError> {
    instance.check()?;
    let begun = Instant::now();
    let stop = match limit {
        Limit::Work(most) => Stop::Work(most),
        Limit::Seconds(most) => Stop::At(begun + Duration::from_secs_f64(most.clamp(0.0, 1e6))),
    };
    let plain = Scale {
        unit: FINE,
        per_shape: 0,
    };
    let room = Room::new(instance, plain);
    let (mut hand, mut prices) = (None, None);
    if room.same_people(&memory.room) {
        hand = Maker::new(&room, stop).adopt(&memory.hand.paths, &memory.hand.menus);
        prices = Some(memory.prices.carried(&memory.room, &room));
    }
    let mut work = 0;
    let start = Start {
        hand,
        prices,
        domain: None,
    };
    let found = search(&room, start, stop, &mut work, &mut |_, _| {});
    let lower_bound = ceil(found.bound, FINE).max(0);
    let proved = lower_bound >= found.hand.cost / FINE;
    Ok(plan(
        instance,
        &room,
        &found.hand,
        lower_bound,
        proved,
        work,
    ))
}

/// [`solve`], with what it leaves behind.
///
/// # Errors
/// The instance does not pass its check.
pub fn solve_and_keep(
    instance: &Instance,
    limit: Limit,
    tell: &mut dyn FnMut(Progress),
) -> Result<(Plan, Memory), InstanceError> {
    instance.check()?;
    let begun = Instant::now();
    let until = |share: f64| match limit {
        Limit::Work(most) => Stop::Work((most as f64 * share) as u64),
        Limit::Seconds(most) => {
            Stop::At(begun + Duration::from_secs_f64((most * share).clamp(0.0, 1e6)))
        }
    };
    let mut work = 0;
    let room = Room::new(
        instance,
        Scale {
            unit: FINE,
            per_shape: 0,
        },
    );
    let mut told = Progress {
        best: i64::MAX,
        bound: i64::MIN,
    };
    let mut pass_on = |best: i64, bound: i64| {
        let now = Progress {
            best: best / FINE,
            bound: ceil(bound, FINE).max(told.bound).min(best / FINE),
        };
        if now != told {
            told = now;
            tell(now);
        }
    };
    let first = search(&room, Start::default(), until(1.0), &mut work, &mut pass_on);
    let lower_bound = ceil(first.bound, FINE).max(0);
    let proved = lower_bound >= first.hand.cost / FINE;
    let mut hand = first.hand;
    let plain = hand.clone();
    let kept = first.prices.clone();
    if proved {
        // The same again with every shape on a menu counted below one unit of cost.
        let shapes = room
            .lines
            .iter()
            .map(|line| line.shapes as i64)
            .sum::<i64>()
            + 1;
        let fine = Room::new(
            instance,
            Scale {
                unit: FINE * shapes,
                per_shape: FINE,
            },
        );
        let mut prices = first.prices;
        let all = prices.of_candidate.iter_mut().chain(&mut prices.per_prop);
        all.flatten().for_each(|price| *price *= shapes);
        prices
            .tariffs
            .iter_mut()
            .for_each(|tariff| tariff.scale(shapes));
        hand.cost = hand.cost * shapes
            + FINE
                * fine
                    .lines
                    .iter()
                    .zip(&hand.menus)
                    .map(|(line, &menu)| i64::from((menu & !line.free).count_ones()))
                    .sum::<i64>();
        let once_more = |work: u64| match until(1.0) {
            Stop::Work(most) => Stop::Work(most.min(work * 2 + 2_000_000)),
            Stop::At(moment) => Stop::At(moment.min(Instant::now() + begun.elapsed())),
        };
        let start = Start {
            hand: Some(hand),
            prices: Some(prices),
            domain: None,
        };
        let fewest = search(&fine, start, once_more(work), &mut work, &mut |_, _| {});
        hand = fewest.hand;
        if fewest.bound > hand.cost - fine.scale.grain() {
            let ties = Ties::new(instance, &fine);
            hand = ties.first(hand, &fewest.prices, once_more(work), &mut work);
        }
    }
    // Where the limit came before the fewest shapes were found.
    Maker::new(&room, Stop::Work(0)).trim(&mut hand);
    let plan = plan(instance, &room, &hand, lower_bound, proved, work);
    let memory = Memory {
        room,
        hand: plain,
        prices: kept,
    };
    Ok((plan, memory))
}

/// The least whole number of units that is not below a scaled bound.
fn ceil(bound: i64, unit: i64) -> i64 {
    bound.div_euclid(unit) + i64::from(bound.rem_euclid(unit) > 0)
}

fn plan(
    instance: &Instance,
    room: &Room,
    hand: &Hand,
    lower_bound: i64,
    proved: bool,
    work: u64,
) -> Plan {
    let mut menus = Vec::with_capacity(instance.lines.len());
    let mut over_limit = Vec::new();
    for (t, (line, &menu)) in room.lines.iter().zip(&hand.menus).enumerate() {
        let named = |shape: usize| {
            if shape == usize::from(line.taught) {
                return Some(instance.lines[t].taught);
            }
            line.shape_of
                .iter()
                .position(|&of| usize::from(of) == shape)
        };
        let mut numbers: Vec<usize> = super::menu::bits(menu | line.free)
            .filter_map(named)
            .collect();
        numbers.sort_unstable();
        menus.push(numbers);
        if (menu & !line.free).count_ones() > instance.max_options {
            over_limit.push(t);
        }
    }
    let mut assignments: BTreeMap<_, Path> = BTreeMap::new();
    let mut sit_outs = Vec::new();
    for (person, path) in room.people.iter().zip(&hand.paths) {
        let steps: Path = person
            .nodes
            .iter()
            .zip(path)
            .map(|(node, &i)| (node.line, usize::from(person.cands[i as usize])))
            .collect();
        for &member in &person.members {
            let id = &instance.students[member].id;
            for &(line, c) in &steps {
                if instance.lines[line].candidates[c].is_rest() {
                    sit_outs.push(SitOut {
                        student: id.clone(),
                        line,
                    });
                }
            }
            assignments.insert(id.clone(), steps.clone());
        }
    }
    sit_outs.sort_by(|a, b| (a.line, &a.student).cmp(&(b.line, &b.student)));
    let terms = evaluate(instance, &assignments, &menus)
        .expect("the search keeps every limit of the model");
    let objective = terms.total();
    let lower_bound = lower_bound.min(objective);
    Plan {
        objective,
        lower_bound,
        proved,
        menus,
        assignments,
        terms,
        sit_outs,
        over_limit,
        work,
    }
}
