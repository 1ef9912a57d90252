//! What was looked at for a line, and why it was or was not taken.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::Task;
use crate::adapted::{DemandCount, Finding};
use crate::judge::facts::{InForce, Person};
use crate::judge::verdict::{At, is_met, judge};
use crate::library::Library;
use crate::search::stray::Alternatives;
use crate::timetable::{TimedLine, Timetable};
use crate::words::{DemandId, PostureId, Prop, Side, StudentId, Verdict};

/// Shapes that are listed as looked at, at most.
const MOST: usize = 8;

/// A shape that was looked at.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Looked {
    /// Its id.
    pub posture: PostureId,
    /// Which side leads.
    pub side: Side,
    /// How far it lies from the taught shape.
    pub cost: u32,
    /// What the room's plan would cost more if this person did it here; none for the room, and
    /// where rules, ways or props leave no room for it.
    pub more: Option<i64>,
    /// What the rules say of it for this person; empty for the room. An `ease` that nothing here meets has no
    /// easing.
    pub verdicts: Vec<Finding>,
}

/// Somebody asks about one line: the class on the clock and the people are at hand.
pub struct Question<'a> {
    library: &'a Library,
    table: Timetable<'a>,
    people: Vec<Person<'a>>,
    number: usize,
}

impl<'a> Question<'a> {
    /// A question about the line of a number.
    pub fn about(task: &Task<'a>, number: usize) -> Self {
        Self {
            library: task.library,
            table: task.timetable(),
            people: task.people(),
            number,
        }
    }

    fn line(&self) -> Option<&TimedLine<'a>> {
        let mut lines = self.table.lines.iter();
        lines.find(|timed| timed.line.number == self.number)
    }

    /// The line's place in the class, from 0.
    pub fn place(&self) -> Option<usize> {
        let mut lines = self.table.lines.iter();
        lines.position(|timed| timed.line.number == self.number)
    }

    fn person(&self, id: &StudentId) -> Option<&Person<'a>> {
        self.people.iter().find(|person| person.student.id == *id)
    }

    /// The nearest other shapes, judged for one person, or not at all for the room.
    pub fn looked_at(&self, student: Option<&StudentId>, side: Side) -> Vec<Looked> {
        let Some((timed, taught)) = self.line().and_then(|timed| Some((timed, timed.posture?)))
        else {
            return Vec::new();
        };
        let person = student.and_then(|id| self.person(id));
        let reach = u32::try_from(self.library.weights.reach).unwrap_or(0);
        Alternatives::new(self.library)
            .within(taught, reach)
            .into_iter()
            .filter(|reached| reached.place.posture != *taught)
            .take(MOST)
            .filter_map(|reached| {
                let posture = self.library.postures.get(&reached.place.posture)?;
                let side = match (posture.is_sided(), side, reached.place.swapped) {
                    (false, ..) => Side::None,
                    (true, Side::None, _) => Side::Right,
                    (true, side, false) => side,
                    (true, side, true) => side.mirrored(),
                };
                let at = At::taught(posture, side, timed.line);
                let verdicts = person.map_or_else(Vec::new, |person| self.said_of(person, at));
                Some(Looked {
                    posture: posture.id.clone(),
                    side,
                    cost: reached.distance,
                    more: None,
                    verdicts,
                })
            })
            .collect()
    }

    /// What the rules say of a shape for a person, an easing only where it can be had.
    fn said_of(&self, person: &Person<'_>, at: At<'_>) -> Vec<Finding> {
        let mut findings = judge(person, at, Some(Prop::Wall)).findings;
        for finding in &mut findings {
            let eased = self.is_eased(person, finding, at);
            finding.easing = finding.easing.take().filter(|_| eased);
        }
        findings
    }

    /// Whether an `ease` is met in a shape as it is, or by something at hand.
    fn is_eased(&self, person: &Person<'_>, finding: &Finding, at: At<'_>) -> bool {
        let of_it = |rule: &&InForce<'_>| is_of(rule, finding);
        let mut rules = person.rules.iter().filter(of_it);
        rules.any(|rule| is_met(rule, at, Some(Prop::Wall)))
    }

    /// Whether a finding alone keeps a person from the line's shape as it is taught: no `ease` that something
    /// at hand meets.
    pub fn bars(&self, student: &StudentId, finding: &Finding, side: Side) -> bool {
        if finding.verdict != Verdict::Ease {
            return finding.verdict > Verdict::Ease;
        }
        let taught = self.taught(side);
        let person = self.person(student);
        !person
            .zip(taught)
            .is_some_and(|(person, at)| self.is_eased(person, finding, at))
    }

    /// Why a rule, or a clinician's limit, says what it says to a person.
    pub fn because(&self, student: &StudentId, finding: &Finding) -> Option<&str> {
        let mut rules = self.person(student)?.rules.iter();
        rules
            .find(|rule| is_of(rule, finding))
            .map(|rule| rule.because)
    }

    /// The line's shape as it is taught.
    fn taught(&self, side: Side) -> Option<At<'_>> {
        let timed = self.line()?;
        let posture = self.library.postures.get(timed.posture?)?;
        Some(At::taught(posture, side, timed.line))
    }

    /// How many each demand keeps from the taught shape, and how many something that is kept private does.
    pub fn kept_counts(&self, side: Side) -> (Vec<DemandCount>, usize) {
        let Some(at) = self.taught(side) else {
            return (Vec::new(), 0);
        };
        let people = self.people.iter();
        let (private, open): (Vec<&Person<'_>>, Vec<&Person<'_>>) =
            people.partition(|person| person.student.confidential);
        let private = kept_from(private, at);
        let private = private.iter().map(|count| count.students).sum();
        (kept_from(open, at), private)
    }

    /// What a person told about the limitation behind a finding.
    pub fn told(&self, student: &StudentId, finding: &Finding) -> String {
        let told = self.person(student).map_or(&[][..], |person| &person.told);
        let of_it = told
            .iter()
            .filter(|told| told.kind.id == finding.limitation);
        // Of two knees the one that was met.
        let counted = of_it.clone().find(|told| {
            let side = finding.side.map(|side| told.sides[side as usize]);
            side.unwrap_or(true)
        });
        let Some(counted) = counted.or(of_it.clone().next()) else {
            return String::new();
        };
        let mut words = match counted.told.side {
            Some(crate::roster::ToldSide::One(side)) => counted.kind.name_on(side),
            _ => counted.kind.name.clone(),
        };
        if let Some(severity) = counted.told.severity {
            words = format!("{words}, {severity}");
        }
        if let Some(note) = &counted.told.note {
            words = format!("{words}, “{note}”");
        }
        words
    }
}

/// Whether a rule in force is the one behind a finding.
fn is_of(rule: &InForce<'_>, finding: &Finding) -> bool {
    (&rule.rule, rule.limitation) == (&finding.rule, &finding.limitation)
}

/// Which demands keep how many people from a shape, most first; each person counts once.
pub(super) fn kept_from<'p, 'a: 'p>(
    people: impl IntoIterator<Item = &'p Person<'a>>,
    at: At<'_>,
) -> Vec<DemandCount> {
    let mut counts: BTreeMap<DemandId, usize> = BTreeMap::new();
    for person in people {
        let judged = judge(person, at, None);
        let mut findings = judged.findings.iter();
        let first = findings.find(|finding| finding.verdict >= Verdict::Ease);
        if let (None, Some(first)) = (judged.form, first) {
            *counts.entry(first.demand.clone()).or_insert(0) += 1;
        }
    }
    let mut counts: Vec<DemandCount> = counts
        .into_iter()
        .map(|(demand, students)| DemandCount { demand, students })
        .collect();
    counts.sort_by(|a, b| (b.students, &a.demand).cmp(&(a.students, &b.demand)));
    counts
}
