//! What was looked at for a line, and why it was or was not taken.

use serde::{Deserialize, Serialize};

use super::{Task, nobody_known};
use crate::adapted::{DemandCount, Finding};
use crate::judge::facts::{Person, person};
use crate::judge::verdict::{At, judge};
use crate::roster::Roster;
use crate::search::stray::Alternatives;
use crate::timetable::timetable;
use crate::words::{PostureId, Prop, Side, StudentId, Verdict};

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
    /// What the rules say of it for this person; empty for the room.
    pub verdicts: Vec<Finding>,
}

/// The nearest other shapes of a line, judged for one person, or not at all for the room.
pub fn looked_at(
    task: &Task<'_>,
    line: usize,
    student: Option<&StudentId>,
    side: Side,
) -> Vec<Looked> {
    let table = timetable(task.class, task.library, task.settings);
    let Some(timed) = table.lines.iter().find(|timed| timed.line.number == line) else {
        return Vec::new();
    };
    let Some(taught) = timed.posture else {
        return Vec::new();
    };
    let anyone = nobody_known();
    let person = student.and_then(|id| the_person(task, id, &anyone));
    let reach = u32::try_from(task.library.weights.reach).unwrap_or(0);
    Alternatives::new(task.library)
        .within(taught, reach)
        .into_iter()
        .filter(|reached| reached.place.posture != *taught)
        .take(MOST)
        .filter_map(|reached| {
            let posture = task.library.postures.get(&reached.place.posture)?;
            let side = match (posture.is_sided(), side, reached.place.swapped) {
                (false, ..) => Side::None,
                (true, Side::None, _) => Side::Right,
                (true, side, false) => side,
                (true, side, true) => side.mirrored(),
            };
            let at = At {
                posture,
                side,
                hold_s: timed.line.hold_s,
                padded: timed.line.padded,
            };
            let verdicts = person.as_ref().map_or_else(Vec::new, |person| {
                judge(person, at, Some(Prop::Wall), task.library).findings
            });
            Some(Looked {
                posture: posture.id.clone(),
                side,
                cost: reached.distance,
                verdicts,
            })
        })
        .collect()
}

/// How many each demand keeps from the taught shape of a line.
pub fn kept_counts(task: &Task<'_>, line: usize, side: Side) -> Vec<DemandCount> {
    let table = timetable(task.class, task.library, task.settings);
    let timed = table.lines.iter().find(|timed| timed.line.number == line);
    let posture = timed.and_then(|timed| task.library.postures.get(timed.posture?));
    let (Some(timed), Some(posture)) = (timed, posture) else {
        return Vec::new();
    };
    let anyone = nobody_known();
    let mut counts = std::collections::BTreeMap::new();
    for student in &task.roster.unwrap_or(&anyone).students {
        let person = person(student, task.library, task.settings, task.date);
        let at = At {
            posture,
            side,
            hold_s: timed.line.hold_s,
            padded: timed.line.padded,
        };
        let judged = judge(&person, at, None, task.library);
        let first = judged
            .findings
            .iter()
            .find(|finding| finding.verdict >= Verdict::Ease);
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

/// What a person told about the limitation behind a finding.
pub fn told(task: &Task<'_>, student: &StudentId, finding: &Finding) -> String {
    let anyone = nobody_known();
    let Some(person) = the_person(task, student, &anyone) else {
        return String::new();
    };
    let Some(counted) = person
        .told
        .iter()
        .find(|told| told.kind.id == finding.limitation)
    else {
        return String::new();
    };
    let mut words = match counted.told.side {
        Some(crate::roster::ToldSide::One(side)) => format!("{side} {}", counted.kind.name),
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

fn the_person<'a>(task: &Task<'a>, id: &StudentId, anyone: &'a Roster) -> Option<Person<'a>> {
    let roster = task.roster.unwrap_or(anyone);
    let student = roster.students.iter().find(|student| student.id == *id)?;
    Some(person(student, task.library, task.settings, task.date))
}
