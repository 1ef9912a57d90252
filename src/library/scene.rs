//! Whether a condition holds for a posture given in some way: who leads, how long, on what.
//!
//! Takes a [`Condition`] and a [`Scene`]; gives back the [`Evidence`]: the numbers that decided.
//! Invariants: a value is rounded to 0.1 before it is compared; a number that fell out of a free
//! joint decides nothing, neither for a condition nor against its opposite; the conditions of a
//! movement are read at one end or the other, never half at each.

use super::condition::{Comparison, Condition, Fact, Grade, Quantity};
use super::demand::Demand;
use super::posture::Posture;
use crate::body::{Measure, Measures, Origin};
use crate::words::{BodySide, Level, Side};

/// Loads whose split moves by more than this, in % of body weight, are known only roughly
/// (`body-model.md` section 5).
const ROUGH_SPREAD_PCT: f64 = 10.0;

/// A posture as given at one step.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'p> {
    /// The shape.
    pub posture: &'p Posture,
    /// Which side leads.
    pub side: Side,
    /// Padding lies under the knees, beyond what the shape itself brings.
    pub padded: bool,
    /// A hand is on a wall or a chair, beyond what the shape itself brings.
    pub supported: bool,
    /// The step's hold in seconds.
    pub hold_s: f64,
    /// The unbroken run that the step belongs to, in seconds.
    pub bout_s: f64,
    /// The class total in seconds.
    pub class_s: f64,
}

impl<'p> Scene<'p> {
    /// The posture as it is, held for so long and not part of a longer run.
    pub fn held(posture: &'p Posture, side: Side, hold_s: f64) -> Self {
        Self {
            posture,
            side,
            padded: false,
            supported: false,
            hold_s,
            bout_s: hold_s,
            class_s: hold_s,
        }
    }

    /// Index of a side of the body in numbers that are kept with the lead side as the left.
    fn authored(&self, on: BodySide) -> usize {
        let mirrored = self.side == Side::Right;
        usize::from(mirrored == (on == BodySide::Left))
    }

    fn number(&self, moment: &Moment, quantity: Quantity, on: BodySide) -> Number {
        match quantity {
            Quantity::Measure(Measure::Hold) => Number::Known(self.hold_s),
            Quantity::Measure(Measure::Bout) => Number::Known(self.bout_s),
            Quantity::Measure(Measure::Class) => Number::Known(self.class_s),
            Quantity::Measure(measure) => moment.number(measure, self.authored(on)),
            Quantity::HipSplitDeg => moment.hip_split(self.authored(on)),
        }
    }

    fn has(&self, moment: &Moment, fact: Fact) -> bool {
        (self.padded && fact == Fact::KneePadded)
            || (self.supported && fact == Fact::Supported)
            || moment.facts.iter().any(|have| have.covers(fact))
    }
}

/// What is known of one number.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Number {
    /// There is none: a margin of support when leaning on a wall.
    Absent,
    /// It fell out of a free joint, and decides nothing.
    Free,
    /// A number that rules may go by.
    Known(f64),
}

/// One shape that conditions are read on: a posture, or one end of a movement.
#[derive(Clone, Debug)]
pub struct Moment {
    /// By measure; the lead side first. A number of the whole body stands twice.
    numbers: Vec<[Number; 2]>,
    level: Level,
    facts: Vec<Fact>,
    /// Loads known only roughly: the model's, where its split may move. A study's value is known.
    rough_loads: Vec<Measure>,
}

impl Moment {
    /// A moment from the measures of a settled shape, with the lead side as the body's left.
    pub fn new(measures: &Measures, level: Level, facts: Vec<Fact>, effort_met: f64) -> Self {
        let read = |measure: Measure, side: BodySide| {
            let on = measure.is_sided().then_some(side);
            match measures.get(measure).map(|told| told.reading(on)) {
                None => Number::Absent,
                Some(reading) if reading.origin == Origin::Free => Number::Free,
                Some(reading) => Number::Known(rounded(reading.value)),
            }
        };
        let mut numbers: Vec<[Number; 2]> = Measure::ALL
            .iter()
            .map(|&measure| {
                [
                    read(measure, BodySide::Left),
                    read(measure, BodySide::Right),
                ]
            })
            .collect();
        if let Some(effort) = numbers.get_mut(Measure::EffortMet as usize) {
            *effort = [Number::Known(rounded(effort_met)); 2];
        }
        let spread = measures.value(Measure::LoadSpread, None);
        let may_move = spread.is_some_and(|spread| rounded(spread) > ROUGH_SPREAD_PCT);
        let published = |measure: Measure| {
            let side = measure.is_sided().then_some(BodySide::Left);
            let told = measures.get(measure);
            told.is_some_and(|told| told.reading(side).origin == Origin::Published)
        };
        let loads = Measure::ALL.iter().copied();
        let rough_loads = loads
            .filter(|&measure| {
                may_move && Quantity::Measure(measure).is_load() && !published(measure)
            })
            .collect();
        Self {
            numbers,
            level,
            facts,
            rough_loads,
        }
    }

    /// The same shape the other way round; none where left and right are alike.
    pub fn mirrored(&self) -> Option<Self> {
        let turned = Self {
            numbers: self.numbers.iter().map(|&[a, b]| [b, a]).collect(),
            ..self.clone()
        };
        (turned.numbers != self.numbers).then_some(turned)
    }

    fn number(&self, measure: Measure, side: usize) -> Number {
        let sides = self.numbers.get(measure as usize);
        sides
            .and_then(|sides| sides.get(side))
            .copied()
            .unwrap_or(Number::Absent)
    }

    /// How far the hip of one side is bent beyond the other's, a hip drawn back below nought.
    fn hip_split(&self, side: usize) -> Number {
        let bend = |side| match (
            self.number(Measure::HipFlexion, side),
            self.number(Measure::HipExtension, side),
        ) {
            (Number::Known(forward), Number::Known(back)) => Some(forward - back),
            _ => None,
        };
        match (bend(side), bend(1 - side)) {
            (Some(here), Some(there)) => Number::Known(rounded((here - there).max(0.0))),
            _ => Number::Free,
        }
    }
}

/// To 0.1, so that platforms agree on the same side of a limit.
fn rounded(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// A number that decided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What was compared.
    pub quantity: Quantity,
    /// On which side of the body; none for a number of the whole body or of time.
    pub on: Option<BodySide>,
    /// The value, to 0.1.
    pub value: f64,
    /// How it was compared.
    pub comparison: Comparison,
    /// With what.
    pub limit: f64,
}

impl Reading {
    /// The measure as written in JSON: `knee_load_pct.left`.
    pub fn measure(&self) -> String {
        match self.on {
            Some(side) => format!("{}.{side}", self.quantity.as_str()),
            None => self.quantity.as_str().to_owned(),
        }
    }
}

/// Why a condition holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// The numbers that decided, in the order of the condition; empty where facts alone did.
    pub readings: Vec<Reading>,
    /// Nothing but loads whose spread is above 10 speaks for it, so that no `avoid` may rest on it.
    pub rough: bool,
}

impl Evidence {
    /// How far the first number is past its limit, in its unit; 0 where facts alone decided.
    pub fn past(&self) -> f64 {
        let first = self.readings.first();
        first.map_or(0.0, |reading| {
            reading.comparison.past(reading.value, reading.limit)
        })
    }
}

/// Three answers: a number that decides nothing leaves a condition open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Truth {
    Holds,
    Open,
    Fails,
}

impl Truth {
    fn of(holds: bool) -> Self {
        if holds { Self::Holds } else { Self::Fails }
    }
}

/// Why the condition holds on this side of the body, if it does.
pub fn evaluate(condition: &Condition, scene: &Scene<'_>, on: BodySide) -> Option<Evidence> {
    let mut best: Option<Evidence> = None;
    for moment in &scene.posture.moments {
        if truth(condition, scene, moment, on) != Truth::Holds {
            continue;
        }
        let mut readings = Vec::new();
        let weight = collect(condition, scene, moment, on, &mut readings);
        let evidence = Evidence {
            readings,
            rough: weight == Weight::Rough,
        };
        let stronger = |old: &Evidence| evidence.past() > old.past();
        if best.as_ref().is_none_or(stronger) {
            best = Some(evidence);
        }
    }
    best
}

/// Whether the condition holds on this side of the body.
pub fn holds(condition: &Condition, scene: &Scene<'_>, on: BodySide) -> bool {
    let moments = &scene.posture.moments;
    moments
        .iter()
        .any(|moment| truth(condition, scene, moment, on) == Truth::Holds)
}

/// How much of a demand the scene asks on this side of the body.
pub fn asked(demand: &Demand, scene: &Scene<'_>, on: BodySide) -> Option<Grade> {
    [Grade::Much, Grade::Some]
        .into_iter()
        .find(|&grade| holds(demand.condition(grade), scene, on))
}

/// How much of a demand a posture asks on either side of the body when it is held for so many seconds.
pub fn most_asked(demand: &Demand, posture: &Posture, hold_s: u32) -> Option<Grade> {
    let scene = Scene::held(posture, posture.authored_side(), f64::from(hold_s));
    let sides = BodySide::ALL.iter();
    sides.filter_map(|&on| asked(demand, &scene, on)).max()
}

fn truth(condition: &Condition, scene: &Scene<'_>, moment: &Moment, on: BodySide) -> Truth {
    match condition {
        Condition::Compare {
            quantity,
            comparison,
            limit,
        } => match scene.number(moment, *quantity, on) {
            Number::Known(value) => Truth::of(comparison.holds(value, *limit)),
            Number::Free => Truth::Open,
            Number::Absent => Truth::Fails,
        },
        Condition::LevelIs(levels) => Truth::of(levels.contains(&moment.level)),
        Condition::Fact(fact) => Truth::of(scene.has(moment, *fact)),
        Condition::Demand { means, .. } => truth(means, scene, moment, on),
        Condition::All(parts) => {
            let mut answer = Truth::Holds;
            for part in parts {
                match truth(part, scene, moment, on) {
                    Truth::Fails => return Truth::Fails,
                    Truth::Open => answer = Truth::Open,
                    Truth::Holds => {}
                }
            }
            answer
        }
        Condition::Any(parts) => {
            let mut answer = Truth::Fails;
            for part in parts {
                match truth(part, scene, moment, on) {
                    Truth::Holds => return Truth::Holds,
                    Truth::Open => answer = Truth::Open,
                    Truth::Fails => {}
                }
            }
            answer
        }
        Condition::Not(part) => match truth(part, scene, moment, on) {
            Truth::Holds => Truth::Fails,
            Truth::Open => Truth::Open,
            Truth::Fails => Truth::Holds,
        },
    }
}

/// What a part of a condition that holds can carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Weight {
    /// Time, and what is not the case.
    Nothing,
    /// A load known only roughly.
    Rough,
    /// An angle, a level, a fact, a load known well.
    Firm,
}

/// Gathers the numbers of a condition that holds; gives back what they can carry.
fn collect(
    condition: &Condition,
    scene: &Scene<'_>,
    moment: &Moment,
    on: BodySide,
    readings: &mut Vec<Reading>,
) -> Weight {
    match condition {
        Condition::Compare {
            quantity,
            comparison,
            limit,
        } => {
            if let Number::Known(value) = scene.number(moment, *quantity, on) {
                readings.push(Reading {
                    quantity: *quantity,
                    on: quantity.is_sided().then_some(on),
                    value: rounded(value),
                    comparison: *comparison,
                    limit: *limit,
                });
            }
            match quantity {
                time if time.is_time() => Weight::Nothing,
                Quantity::Measure(load) if moment.rough_loads.contains(load) => Weight::Rough,
                _ => Weight::Firm,
            }
        }
        Condition::LevelIs(_) | Condition::Fact(_) => Weight::Firm,
        Condition::Demand { means, .. } => collect(means, scene, moment, on, readings),
        Condition::All(parts) => {
            let weights = parts
                .iter()
                .map(|part| collect(part, scene, moment, on, readings));
            weights.max().unwrap_or(Weight::Nothing)
        }
        Condition::Any(parts) => {
            let decided = parts
                .iter()
                .find(|part| truth(part, scene, moment, on) == Truth::Holds);
            decided.map_or(Weight::Nothing, |part| {
                collect(part, scene, moment, on, readings)
            })
        }
        Condition::Not(_) => Weight::Nothing,
    }
}
