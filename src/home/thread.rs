//! The things of somebody's thread that may be done alone at home, with what each serves and takes.
//!
//! Takes an adapted class and a person; gives [`Found`] things in the order of the class. Decides by
//! the same rules as the class, read again for the hold at home.

use std::collections::{BTreeMap, BTreeSet};

use super::choose::{Thing, Way};
use super::held::{allowed_s, held_s, limited, whole_s};
use super::ways::Ways;
use super::{Easier, HomeStep, Sides, actions, easier, moves};
use crate::adapted::{Adapted, Assignment, Step, StudentPlan};
use crate::judge::facts::Person;
use crate::library::Library;
use crate::library::posture::Posture;
use crate::sheets::words::capital;
use crate::words::{Level, PostureId, Prop, PropCounts, PurposeId, Side, Use, Verdict};

/// What one more step to remember costs, and one more thing to fetch. Common practice, no source: of
/// fewer and more exercises the fewer are done better (`trade/job.md` 6.2).
const STEP_COST: u32 = 4;
const PROP_COST: u32 = 2;
/// A thing is held for so many breaths or done as often: less is a way through, not a thing to do.
/// Common practice, no source.
const LEAST_BREATHS: f64 = 3.0;
/// From this effort on a warm body comes first: where moderate effort begins, in MET (the Compendium's
/// bounds, as `trade/outside-checks.md` gives them).
const STRONG_MET: f64 = 3.0;
/// A restful shape, and a resting one at the end: so much of this purpose.
const REST: &str = "rest";
const REST_LEAST: u8 = 2;
/// The least and the most of the rest at the end, in seconds: the class's own least (contract 7), and
/// room for the rest of the sheet. Common practice, no source.
const REST_S: [u32; 2] = [180, 300];
/// What was held in class for less than this, in seconds, was a pause and no rest. Common practice, no
/// source.
const PAUSE_S: u32 = 60;
/// A thing that may be on the sheet.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// In plain numbers, for the choice.
    pub thing: Thing,
    /// It is a rest that they cannot come up from alone.
    pub stays_down: bool,
    /// One shape for both sides, or one for each.
    shapes: Vec<OnSides>,
}

/// A shape with the sides that it is done on, in order.
#[derive(Clone, Debug)]
struct OnSides {
    posture: PostureId,
    sides: Vec<Side>,
    props: PropCounts,
    padded: bool,
    hold_s: u32,
    /// The longest that they held it in class on one side.
    class_s: u32,
    breath_s: f64,
    /// How an ease is met, in words, and on which side; the side is none where it is the same.
    eased: Vec<(String, Side)>,
}

/// The things of a person's thread, in the order of the class; with the seconds of a breath at each line.
pub(super) fn things(
    library: &Library,
    breaths: &BTreeMap<usize, f64>,
    (adapted, student): (&Adapted, &StudentPlan),
    person: &Person<'_>,
    served: &BTreeMap<PurposeId, u32>,
) -> Vec<Found> {
    let mut kept: Vec<Vec<OnSides>> = Vec::new();
    for (line, (steps, done)) in by_line(adapted, student) {
        let Some(&breath_s) = breaths.get(&line) else {
            continue;
        };
        let Some(shapes) = shapes((&steps, &done), breath_s, person, library) else {
            continue;
        };
        let known = kept.iter_mut().find(|known| same_shapes(known, &shapes));
        match known {
            Some(known) => join_sides(known, shapes),
            None => kept.push(shapes),
        }
    }
    let came_at = student.assignments.iter().find_map(|done| {
        let posture = library.postures.get(&done.posture)?;
        Some(posture.level)
    });
    let mut found: Vec<Found> = kept
        .into_iter()
        .filter_map(|shapes| found(shapes, person, served, library))
        .collect();
    let open = Ways::new(person, library);
    let lasting: Vec<BTreeSet<Use>> = found
        .iter()
        .map(|one| one.lasting(person, library))
        .collect();
    let levels: Vec<Option<(Level, Level)>> = found.iter().map(|one| one.levels(library)).collect();
    for (place, one) in found.iter_mut().enumerate() {
        let Some((begins, ends)) = levels[place] else {
            continue;
        };
        let came = (came_at == Some(begins)).then(Way::default);
        one.thing.first = came.or_else(|| open.between(Level::Standing, begins));
        let own = &lasting[place];
        let ways = levels.iter().zip(&lasting).map(|(next, also)| {
            // What may last only so long is not done twice in a row.
            let apart = own.is_disjoint(also);
            apart.then(|| open.between(ends, next.as_ref()?.0))?
        });
        one.thing.ways = ways.collect();
        // Who lies down to rest has to come up again alone.
        let comes_up = came_at == Some(ends) || open.between(ends, Level::Standing).is_some();
        one.stays_down = one.thing.rest && !comes_up;
        one.thing.rest &= comes_up;
    }
    // The rest at the end is the one of the class, not a pause on the way.
    let mut rests = found.iter_mut().rev().filter(|one| one.thing.rest);
    rests.next();
    rests.for_each(|one| one.thing.rest = false);
    found
}

/// Lines of the class with what the person does at each.
fn by_line<'a>(
    adapted: &'a Adapted,
    student: &'a StudentPlan,
) -> BTreeMap<usize, (Vec<&'a Step>, Vec<&'a Assignment>)> {
    let mut lines: BTreeMap<usize, (Vec<&Step>, Vec<&Assignment>)> = BTreeMap::new();
    for (step, done) in adapted.steps.iter().zip(&student.assignments) {
        let line = lines.entry(step.line).or_default();
        line.0.push(step);
        line.1.push(done);
    }
    lines
}

/// The shapes of a line with their sides; none where the person rests or does nothing known.
fn shapes(
    (steps, done): (&[&Step], &[&Assignment]),
    breath_s: f64,
    person: &Person<'_>,
    library: &Library,
) -> Option<Vec<OnSides>> {
    let mut shapes: Vec<OnSides> = Vec::new();
    for (step, done) in steps.iter().zip(done) {
        let posture = library.postures.get(&done.posture)?;
        if done.sit_out
            || done
                .verdicts
                .iter()
                .any(|said| said.verdict >= Verdict::AskFirst)
        {
            return None;
        }
        let hold_s = held_s(person, posture, (step, done), breath_s);
        let mut props = posture.props.clone();
        props.extend(done.props.iter().map(|(&prop, &number)| (prop, number)));
        match shapes.iter_mut().find(|one| one.posture == done.posture) {
            Some(one) => {
                if !one.sides.contains(&done.side) {
                    one.sides.push(done.side);
                }
                one.padded |= done.padded;
                one.eased.extend(eased(done));
                one.hold_s = one.hold_s.min(hold_s);
                one.class_s = one.class_s.max(done.hold_s);
            }
            None => shapes.push(OnSides {
                posture: done.posture.clone(),
                sides: vec![done.side],
                props,
                padded: done.padded,
                hold_s,
                class_s: done.hold_s,
                breath_s,
                eased: eased(done),
            }),
        }
    }
    Some(shapes)
}

/// How the eases of what somebody does are met, and for which leading side.
fn eased(done: &Assignment) -> Vec<(String, Side)> {
    let eases = done
        .verdicts
        .iter()
        .filter(|said| said.verdict == Verdict::Ease);
    let words = eases.filter_map(|said| said.easing.clone());
    words.map(|words| (words, done.side)).collect()
}

fn same_shapes(known: &[OnSides], shapes: &[OnSides]) -> bool {
    known.len() == shapes.len()
        && known
            .iter()
            .zip(shapes)
            .all(|(known, shape)| known.posture == shape.posture)
        // Where each side has a shape of its own, the sides are part of what it is.
        && (known.len() == 1
            || known
                .iter()
                .zip(shapes)
                .all(|(known, shape)| known.sides == shape.sides))
}

fn join_sides(known: &mut [OnSides], more: Vec<OnSides>) {
    for (known, more) in known.iter_mut().zip(more) {
        for side in more.sides {
            if !known.sides.contains(&side) {
                known.sides.push(side);
            }
        }
        known.hold_s = known.hold_s.max(more.hold_s);
        known.class_s = known.class_s.max(more.class_s);
        known.eased.extend(more.eased);
    }
}

/// A thing, if it may be done alone.
fn found(
    mut shapes: Vec<OnSides>,
    person: &Person<'_>,
    served: &BTreeMap<PurposeId, u32>,
    library: &Library,
) -> Option<Found> {
    let both = [Side::Left, Side::Right];
    let led: BTreeSet<Side> = shapes.iter().flat_map(|one| one.sides.clone()).collect();
    let sided = both.iter().any(|side| led.contains(side));
    // Both sides, always; a shape for each side makes two steps of one thing.
    if shapes.len() > 2
        || (sided && shapes.len() == 1 && !both.iter().all(|side| led.contains(side)))
    {
        return None;
    }
    let mut purposes: BTreeMap<PurposeId, u32> = BTreeMap::new();
    let (mut seconds, mut cost, mut strong, mut rest) = (0, 0, false, shapes.len() == 1);
    let timing = &library.timing;
    for one in &mut shapes {
        let posture = library.postures.get(&one.posture)?;
        if !is_for_home(posture, &one.props) {
            return None;
        }
        for &side in &one.sides {
            let at = (posture, side);
            one.hold_s = one
                .hold_s
                .min(allowed_s(person, at, one.hold_s, one.padded)?);
        }
        let turns = u32::try_from(one.sides.len()).unwrap_or(1);
        // Here one side follows the other, whatever stood between them in class.
        let bouts = limited(person, posture).filter_map(|(_, limit)| limit.bout_s);
        one.hold_s = bouts
            .map(|bout_s| bout_s / turns)
            .fold(one.hold_s, u32::min);
        if f64::from(one.hold_s) < LEAST_BREATHS * one.breath_s - 0.5 {
            return None;
        }
        let fetched = one
            .props
            .keys()
            .filter(|prop| !matches!(prop, Prop::Mat | Prop::Wall));
        let fetched = u32::try_from(fetched.count()).unwrap_or(0);
        seconds += one.hold_s * turns
            + timing.known_posture_s
            + timing.second_side_s * (turns - 1)
            + timing.props_s * u32::from(fetched > 0);
        cost += STEP_COST + PROP_COST * fetched;
        strong |= posture.effort_met >= STRONG_MET;
        let restful = posture
            .purposes
            .get(REST)
            .is_some_and(|&much| much >= REST_LEAST);
        rest &= restful && one.class_s >= PAUSE_S;
        for (purpose, &much) in &posture.purposes {
            let most = purposes.entry(purpose.clone()).or_insert(0);
            *most = u32::from(much).max(*most);
        }
    }
    let serves = served
        .keys()
        .map(|purpose| purposes.get(purpose).copied().unwrap_or(0));
    Some(Found {
        thing: Thing {
            serves: serves.collect(),
            seconds,
            steps: shapes.len(),
            cost,
            strong,
            rest,
            ways: Vec::new(),
            first: None,
        },
        stays_down: false,
        shapes,
    })
}

/// No weight on head or neck; balance only where the shape has a wall or a chair.
pub(super) fn is_for_home(posture: &Posture, props: &PropCounts) -> bool {
    let asks = |demand: &str| {
        let asked = posture.demands.get(demand);
        asked.is_some_and(|asks| asks.left.is_some() || asks.right.is_some())
    };
    let steadied = [Prop::Wall, Prop::Chair, Prop::ChairWithArms]
        .iter()
        .any(|prop| props.contains_key(prop));
    let balances = asks("balance") || posture.purposes.contains_key("balance");
    !posture.is_part && !asks("weight-on-head-or-neck") && (!balances || steadied)
}

/// In how many lines a thread serves each purpose.
pub(super) fn purposes(student: &StudentPlan, library: &Library) -> BTreeMap<PurposeId, u32> {
    let shapes: BTreeSet<&PostureId> = student
        .assignments
        .iter()
        .filter(|done| !done.sit_out)
        .map(|done| &done.posture)
        .collect();
    let mut served: BTreeMap<PurposeId, u32> = BTreeMap::new();
    for purpose in shapes
        .into_iter()
        .filter_map(|id| library.postures.get(id))
        .flat_map(|posture| posture.purposes.keys())
    {
        *served.entry(purpose.clone()).or_insert(0) += 1;
    }
    // Only joins parts of a class.
    served.remove("link");
    served
}

/// What a point of service to each purpose of the thread is worth: the lines that serve it, and more
/// for an aim of the person.
pub(super) fn worth(served: &BTreeMap<PurposeId, u32>, aims: &[PurposeId], aim: u32) -> Vec<u32> {
    let of = |(purpose, &lines): (&PurposeId, &u32)| {
        lines + if aims.contains(purpose) { aim } else { 0 }
    };
    served.iter().map(of).collect()
}

/// The least time of a rest at the end, of so many minutes in all: never more than a quarter of them.
pub(super) fn least_rest_s(minutes: u32) -> u32 {
    REST_S[0].min(minutes * 60 / 4)
}

impl Found {
    /// Where it begins and where it ends.
    fn levels(&self, library: &Library) -> Option<(Level, Level)> {
        let level = |one: &OnSides| Some(library.postures.get(&one.posture)?.level);
        Some((level(self.shapes.first()?)?, level(self.shapes.last()?)?))
    }

    /// What it uses that may last only so long for a person.
    fn lasting(&self, person: &Person<'_>, library: &Library) -> BTreeSet<Use> {
        let postures = self.shapes.iter();
        let postures = postures.filter_map(|one| library.postures.get(&one.posture));
        postures
            .flat_map(|posture| limited(person, posture).map(|(of, _)| of))
            .collect()
    }

    /// What to do, step by step; a rest with so many seconds.
    pub(super) fn steps(
        &self,
        rest_s: Option<u32>,
        person: &Person<'_>,
        library: &Library,
    ) -> Vec<HomeStep> {
        let shapes = self.shapes.iter();
        let known = shapes.filter_map(|one| Some((one, library.postures.get(&one.posture)?)));
        known
            .map(|(one, posture)| one.step(posture, rest_s, person, library))
            .collect()
    }
}

impl OnSides {
    fn step(
        &self,
        posture: &Posture,
        rest_s: Option<u32>,
        person: &Person<'_>,
        library: &Library,
    ) -> HomeStep {
        let first_side = self.sides.first().copied().unwrap_or(Side::None);
        // Longer than in class only where nothing of theirs is limited and no rule minds.
        let at = (posture, first_side);
        let free = limited(person, posture).next().is_none()
            && allowed_s(person, at, REST_S[1], self.padded) == Some(REST_S[1]);
        let most_s = if free {
            REST_S[1]
        } else {
            self.class_s.min(REST_S[1])
        };
        let rest_s = rest_s.map(|seconds| seconds.min(most_s) / 30 * 30);
        let hold_s = rest_s.unwrap_or(self.hold_s);
        let breaths = (f64::from(hold_s) / self.breath_s).round().max(1.0);
        let side = match (self.sides.len(), first_side) {
            (2.., _) => Sides::Each,
            (_, Side::Left) => Sides::Left,
            (_, Side::Right) => Sides::Right,
            (_, Side::None) => Sides::None,
        };
        let easier: Option<Easier> =
            easier(posture, first_side, (hold_s, &self.props), person, library);
        HomeStep {
            index: 0,
            posture: posture.id.clone(),
            name: posture.name().to_owned(),
            side,
            first_side,
            hold_s,
            breaths,
            repeats: if moves(posture) { whole_s(breaths) } else { 1 },
            props: self.props.clone(),
            how: self.how(posture),
            easier,
        }
    }
    /// How to get in, then how an ease is met, said of one side where it is not of both.
    fn how(&self, posture: &Posture) -> Vec<String> {
        let mut how = actions(&posture.cue);
        let words: BTreeSet<&String> = self.eased.iter().map(|(words, _)| words).collect();
        for words in words {
            let on: BTreeSet<Side> = self
                .eased
                .iter()
                .filter(|(said, _)| said == words)
                .map(|(_, on)| *on)
                .collect();
            let one = on
                .iter()
                .next()
                .filter(|_| on.len() == 1 && self.sides.len() > 1);
            how.push(match (one, posture.lead.as_deref()) {
                (Some(side), Some(lead)) if *side != Side::None => {
                    format!("{} {lead}: {words}.", capital(side.as_str()))
                }
                _ => format!("{}.", capital(words)),
            });
        }
        how
    }
}
