//! What a limitation's rules met on a person's way, and the limitation as it was told.
//!
//! Invariant: what is named of a limitation that somebody has on both sides is the side that was met.

use std::collections::{BTreeMap, BTreeSet};

use super::{Scene, overruns};
use crate::adapted::{Assignment, Finding, StudentPlan};
use crate::body::Measure;
use crate::judge::facts::{Counted, Person};
use crate::judge::weeks::{self, Age};
use crate::library::condition::{Condition, Grade, Quantity};
use crate::library::rule::{Clock, EaseBy, LimitationKind, WITH_A_CHAIR};
use crate::library::scene::{Scene as Shape, holds};
use crate::roster::ToldSide;
use crate::words::{BodySide, LimitationId, SourceId, Strength, Verdict};

/// Days in so many weeks, above which what is vague is told in years.
const LONG_AGO_DAYS: i64 = 104 * 7;

/// Days in a year, for what is vague.
const YEAR_DAYS: i64 = 365;

/// Demands in plain words, and the sides of the body they were met on.
#[derive(Default)]
pub(super) struct Named {
    words: BTreeSet<String>,
    /// Left and right; neither where no side decided.
    pub sides: [bool; 2],
}

impl Named {
    fn add(&mut self, words: &str, finding: &Finding) {
        let words = match finding.side {
            Some(side) => {
                self.sides[side as usize] = true;
                format!("{words} ({side})")
            }
            None => words.to_owned(),
        };
        self.words.insert(words);
    }

    /// Leaves out what stands elsewhere.
    fn leave_out(&mut self, other: &Self) {
        self.words.retain(|word| !other.words.contains(word));
    }

    /// Whether nothing was met.
    pub(super) fn is_empty(&self) -> bool {
        self.words.is_empty()
    }

    /// "a, b and c", what falls on both sides, or on the whole body as well, once.
    pub(super) fn listed(&self) -> String {
        let both = |word: &str| {
            let base = word
                .strip_suffix(" (left)")
                .or_else(|| word.strip_suffix(" (right)"))?;
            let other = |side: &str| self.words.contains(&format!("{base} ({side})"));
            let whole = self.words.contains(base);
            (whole || other("left") && other("right")).then(|| base.to_owned())
        };
        let words = self.words.iter();
        let mut words: Vec<String> = words
            .map(|word| both(word).unwrap_or_else(|| word.clone()))
            .collect();
        words.dedup();
        crate::sheets::words::listed(&words)
    }
}

/// What a limitation's rules met in the class, for one person.
#[derive(Default)]
pub(super) struct Met {
    /// Demands kept away from.
    pub kept: Named,
    /// Demands made less by another shape, and kept away from nowhere.
    pub spared: Named,
    /// Demands that wait for a word.
    pub waiting: Named,
    /// Demands that only need looking at.
    pub watched: Named,
    /// The steps behind them.
    pub steps: BTreeSet<usize>,
    /// The best backing among them, and its source.
    pub strength: Option<Strength>,
    pub source: Option<SourceId>,
}

impl Scene<'_> {
    /// What each limitation's rules met on this person's way, taught shapes not taken included.
    pub(super) fn met(
        &self,
        person: &Person<'_>,
        plan: &StudentPlan,
    ) -> BTreeMap<LimitationId, Met> {
        let mut all: BTreeMap<LimitationId, Met> = BTreeMap::new();
        for assignment in &plan.assignments {
            for (finding, taken) in findings(assignment) {
                let silent = person
                    .rules
                    .iter()
                    .any(|rule| rule.rule == finding.rule && rule.silent);
                if silent {
                    continue;
                }
                // What is asked once before class is watched at no step.
                let once = self
                    .rule_of(finding)
                    .is_some_and(|rule| rule.ask_once.is_some());
                if finding.verdict == Verdict::Watch && once {
                    continue;
                }
                // What a word eases keeps nobody from a shape: something else did.
                let by_words = person.rules.iter().any(|rule| {
                    rule.rule == finding.rule && rule.easing.by.contains(&EaseBy::Words)
                });
                if finding.verdict == Verdict::Ease && by_words {
                    continue;
                }
                let met = all.entry(finding.limitation.clone()).or_default();
                let named = match (finding.verdict, taken) {
                    (Verdict::AskFirst, _) => &mut met.waiting,
                    (Verdict::Watch, true) => &mut met.watched,
                    // An easing stands on the crib beside its step, not here.
                    (Verdict::Ease, true) | (Verdict::Watch, false) => continue,
                    (Verdict::Avoid, _) => &mut met.kept,
                    (Verdict::Ease, false) => &mut met.spared,
                };
                named.add(&self.kept_words(finding), finding);
                met.steps.insert(assignment.step);
                if met
                    .strength
                    .is_none_or(|strength| finding.strength < strength)
                {
                    met.strength = Some(finding.strength);
                    met.source = finding.source.clone();
                }
            }
        }
        for met in all.values_mut() {
            met.spared.leave_out(&met.kept);
        }
        all
    }

    /// What is said of somebody who gets to and from the floor only with a chair: their own words, where there
    /// are any, and that; none for everybody else.
    pub(super) fn with_a_chair(
        &self,
        person: &Person<'_>,
        limitation: &LimitationId,
    ) -> Option<String> {
        let mut told = person
            .told
            .iter()
            .filter(|told| told.kind.id == *limitation);
        let told = told.find(|told| told.told.kind.iter().any(|kind| kind == WITH_A_CHAIR))?;
        let only = "to and from the floor only with a chair.";
        Some(match &told.told.note {
            Some(note) => format!("“{note}”: {only}"),
            None => only.to_owned(),
        })
    }

    /// What a finding keeps from, in plain words.
    fn kept_words(&self, finding: &Finding) -> String {
        // Whoever stays in a chair is kept from standing as well as from the floor.
        match finding.limitation.as_str() {
            "wheelchair" | "stays-in-chair" => "shapes out of the chair".to_owned(),
            _ => {
                let words = self.demand_words(&finding.demand);
                match (finding.measure.as_str(), finding.limit) {
                    (overruns::BOUT, Some(most)) => format!("{words} for over {most} s at a time"),
                    (overruns::CLASS, Some(most)) => format!("{words} for over {most} s in all"),
                    _ if self.is_about_long(finding) => format!("{words} for long"),
                    _ => words,
                }
            }
        }
    }

    /// Whether a rule minds how long something lasts: whoever it keeps away may still do it for a short time.
    fn is_about_long(&self, finding: &Finding) -> bool {
        let rule = self.rule_of(finding);
        let much = self.task.library.demands.get(&finding.demand);
        rule.is_some_and(|rule| rule.grade == Some(Grade::Much))
            && much.is_some_and(|demand| {
                let mut asked = demand.much.comparisons().into_iter();
                asked.any(|(quantity, ..)| quantity == Quantity::Measure(Measure::Bout))
            })
    }

    /// What a person told that no caution names, in order, each with their own words.
    pub(super) fn told_beside(&self, person: &Person<'_>, plan: &StudentPlan) -> Vec<String> {
        let met = self.met(person, plan);
        let named = |told: &Counted<'_>| {
            let met = met.get(&told.kind.id);
            met.is_some_and(|met| {
                [&met.kept, &met.spared, &met.waiting, &met.watched]
                    .into_iter()
                    .any(|named| !named.is_empty() && is_on(told, named.sides))
            })
        };
        // A matter of fit prints nothing.
        let silent = |told: &Counted<'_>| told.kind.rules.iter().all(|rule| rule.silent);
        // A wish that a note only repeats stands in that note.
        let again = |wish: &Counted<'_>| {
            let mut others = person.told.iter();
            let need = |told: &Counted<'_>| told.kind.kind == LimitationKind::Need;
            wish.told.read
                && need(wish)
                && others.any(|other| !need(other) && other.told.note == wish.told.note)
        };
        let told = person.told.iter();
        told.filter(|told| !named(told) && !silent(told) && !again(told))
            .map(|told| {
                let words = match &told.told.note {
                    // A need is its own words; good hours stand in a line of their own.
                    Some(note) if told.kind.kind == LimitationKind::Need => format!("“{note}”"),
                    Some(note) if self.good_hours(note).is_none() => {
                        format!("“{note}”, planned as {}", told_as(told))
                    }
                    _ => told_as(told),
                };
                match told.today {
                    true => format!("today {words}"),
                    false => words,
                }
            })
            .collect()
    }

    /// Lines at which somebody is given a shape of which a condition holds, on a side that they told where they
    /// told one; none where there is no such line.
    pub(super) fn lines_where(
        &self,
        plan: &StudentPlan,
        told: &Counted<'_>,
        condition: &Condition,
    ) -> Option<Vec<usize>> {
        let mut lines = BTreeSet::new();
        for (given, pass) in plan.assignments.iter().zip(&self.table.passes) {
            let Some(posture) = self.task.library.postures.get(&given.posture) else {
                continue;
            };
            let scene = Shape::held(posture, given.side, f64::from(given.hold_s));
            let sides = BodySide::ALL.iter().copied().zip(told.sides);
            let mut told_sides =
                sides.filter(|(_, theirs)| *theirs || told.sides == [false, false]);
            if told_sides.any(|(side, _)| holds(condition, &scene, side)) {
                lines.insert(self.table.lines[pass.line].line.number);
            }
        }
        (!lines.is_empty()).then(|| lines.into_iter().collect())
    }

    /// A limitation as told on these sides: name, side, how far along, their own words.
    pub(super) fn told_words(
        &self,
        person: &Person<'_>,
        limitation: &LimitationId,
        sides: [bool; 2],
    ) -> String {
        let told = person.told.iter();
        let all: Vec<&Counted<'_>> = told.filter(|told| told.kind.id == *limitation).collect();
        let met: Vec<&Counted<'_>> = all
            .iter()
            .copied()
            .filter(|told| is_on(told, sides))
            .collect();
        let named = if met.is_empty() { all } else { met };
        if named.is_empty() {
            let known = self.task.library.limitations.get(limitation);
            return known.map_or_else(|| limitation.to_string(), |known| known.name.clone());
        }
        let words: Vec<String> = named.into_iter().map(quoted).collect();
        words.join("; ")
    }
}

/// Whether what was told counts on one of these sides; without a side, always.
fn is_on(told: &Counted<'_>, sides: [bool; 2]) -> bool {
    let mut pairs = told.sides.into_iter().zip(sides);
    sides == [false, false] || pairs.any(|(theirs, met)| theirs && met)
}

/// A limitation as told, with their own words.
fn quoted(told: &Counted<'_>) -> String {
    let words = told_as(told);
    match &told.told.note {
        // A need is its own words.
        Some(note) if told.kind.kind == LimitationKind::Need => format!("“{note}”"),
        // A score is kept as it was told: what it comes to is not ours to say (rules.md 2.4, osteoporosis).
        Some(note) if is_score(note) => format!("“{note}”, planned as {words}"),
        Some(note) if told.told.read => format!("“{note}”, read as {words}"),
        Some(note) => format!("{words}, “{note}”"),
        None => words,
    }
}

/// Whether words are a score of the bones.
fn is_score(note: &str) -> bool {
    let mut words = note.split(|c: char| !c.is_alphanumeric());
    words.any(|word| ["score", "dexa"].contains(&word.to_lowercase().as_str()))
}

/// A limitation as told: its name, site, side, and how far along it is on the day.
pub(crate) fn told_as(counted: &Counted<'_>) -> String {
    let site = counted.told.site.as_deref().unwrap_or_default();
    let side = match counted.told.side {
        Some(ToldSide::One(side)) if !site.contains(&side.to_string()) => Some(side),
        _ => None,
    };
    let mut words = match side {
        Some(side) if site.is_empty() => counted.kind.name_on(side),
        _ => counted.kind.name.clone(),
    };
    if counted.told.kind.iter().any(|kind| kind == WITH_A_CHAIR) {
        words += " without a chair";
    }
    if !site.is_empty() {
        let side = side.map_or_else(String::new, |side| format!("{side} "));
        words = format!("{side}{site} {words}");
    }
    if let Some(age) = counted.age {
        let since = if counted.kind.clock == Clock::Since {
            " ago"
        } else {
            ""
        };
        words = format!("{words}, {}{since}", along(age));
    }
    words
}

/// How far along in words; what is vague is not counted in days, and said from the least to the most
/// that fits, as both are planned for.
fn along(age: Age) -> String {
    let (least, most) = (age.least_days.max(0), age.most_days);
    if age.is_exact() {
        return weeks::in_words(least);
    }
    let (unit, days) = match least {
        LONG_AGO_DAYS.. => ("year", YEAR_DAYS),
        _ => ("week", 7),
    };
    match (least / days, most / days) {
        (0, 0 | 1) => format!("up to 1 {unit}"),
        (0, last) => format!("up to {last} {unit}s"),
        (1, 1) => format!("about 1 {unit}"),
        (first, last) if first == last => format!("about {first} {unit}s"),
        (first, last) => format!("about {first} to {last} {unit}s"),
    }
}

/// Findings on a step: those on the shape given and on the way to it, and those that kept from the taught
/// ones.
fn findings(assignment: &Assignment) -> impl Iterator<Item = (&Finding, bool)> {
    let way = assignment.link.iter().flat_map(|link| &link.verdicts);
    let given = assignment.verdicts.iter().chain(way);
    let kept = assignment.kept_from().chain(&assignment.way_kept);
    given
        .map(|finding| (finding, true))
        .chain(kept.map(|finding| (finding, false)))
}
