//! Why a step is as it is: the reasons as data, then in words.
//!
//! Takes the outcome of a plan; gives what happens, which number met which limit on whose word,
//! what else was looked at, and what was given up.

use serde::{Deserialize, Serialize};

use super::layout::{hanging, wrapped};
use super::teacher::CLOSING;
use super::words::lower;
use super::words::{clock, minutes, plural};
use crate::adapt::{Change, Looked, Move, Outcome, Question, Task, WAY};
use crate::adapted::{Adapted, DemandCount, Finding, Shape, Step, StudentPlan};
use crate::library::Library;
use crate::words::{PurposeId, Side, StudentId, Verdict};

/// The schema's name.
pub const SCHEMA: &str = "kindfold/why/1";

/// Why a line is as it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reasons {
    /// [`SCHEMA`].
    pub schema: String,
    /// The line.
    pub line: usize,
    /// As planned.
    pub taught: Shape,
    /// For whom; none: the room.
    pub student: Option<StudentId>,
    /// What is done or shown instead; none when it is the taught shape.
    pub instead: Option<Instead>,
    /// What kept them from the taught shape.
    pub kept_from: Vec<Kept>,
    /// What else was looked at, nearest first.
    pub looked_at: Vec<Looked>,
    /// Purposes of the taught shape that are not served.
    pub given_up: Vec<PurposeId>,
    /// How many each demand keeps from the taught shape.
    pub counts: Vec<DemandCount>,
    /// For the room: what another lead or one more choice would move.
    pub moves: Vec<Move>,
}

/// The shape done or shown instead.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instead {
    /// Its id.
    pub posture: crate::words::PostureId,
    /// Which side leads.
    pub side: Side,
}

/// A number that met a limit, and what was told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// The demand.
    pub demand: crate::words::DemandId,
    /// The measure that decided.
    pub measure: String,
    /// Its value.
    pub value: Option<f64>,
    /// The limit.
    pub limit: Option<f64>,
    /// The rule.
    pub rule: crate::words::RuleId,
    /// How well it is backed.
    pub strength: crate::words::Strength,
    /// Its source.
    pub source: Option<crate::words::SourceId>,
    /// What the person told, in their words where there are any.
    pub told: String,
    /// Why, as the rule says it.
    pub because: String,
}

/// The reasons for a line, for the room or for one person.
pub fn reasons(
    outcome: &Outcome,
    task: &Task<'_>,
    line: usize,
    person: Option<&StudentPlan>,
) -> Reasons {
    let adapted = &outcome.adapted;
    let steps: Vec<&Step> = adapted
        .steps
        .iter()
        .filter(|step| step.line == line)
        .collect();
    let differs = |step: &&Step| match person {
        Some(person) => {
            let given = &person.assignments[step.index - 1];
            given.posture != step.taught.posture || given.side != step.taught.side
        }
        None => step.lead.posture != step.taught.posture,
    };
    let step = steps
        .iter()
        .copied()
        .find(|step| differs(step))
        .or(steps.first().copied());
    let step = step.expect("the line was checked to be one of the class");
    let assignment = person.map(|person| &person.assignments[step.index - 1]);
    let instead = match assignment {
        Some(given) => differs(&step).then(|| Instead {
            posture: given.posture.clone(),
            side: given.side,
        }),
        None => differs(&step).then(|| Instead {
            posture: step.lead.posture.clone(),
            side: step.lead.side,
        }),
    };
    let question = Question::about(task, line);
    let kept_off = person.map_or(&[][..], |person| {
        off_the_way(person, step, adapted, task.library)
    });
    let findings = assignment.into_iter().flat_map(|given| {
        given.kept_from().chain(
            given
                .verdicts
                .iter()
                .filter(|finding| finding.verdict != Verdict::Watch),
        )
    });
    let kept_from = findings
        .chain(kept_off)
        .map(|finding| kept(finding, task.library, &question, person))
        .collect();
    let given_up = match assignment {
        Some(given) => lost(task.library, &step.taught, &given.posture),
        None => lost(task.library, &step.taught, &step.lead.posture),
    };
    let mut looked_at = question.looked_at(person.map(|person| &person.id), step.taught.side);
    let mut moves = Vec::new();
    if let Some(place) = question.place() {
        for looked in &mut looked_at {
            match person {
                Some(person) => {
                    looked.more = outcome.more_if_done(task, &person.id, place, &looked.posture);
                }
                None => moves.extend(outcome.moves(task, place, &looked.posture)),
            }
        }
    }
    Reasons {
        schema: SCHEMA.to_owned(),
        line,
        taught: step.taught.clone(),
        student: person.map(|person| person.id.clone()),
        instead,
        kept_from,
        looked_at,
        given_up,
        counts: question.kept_counts(step.taught.side),
        moves,
    }
}

/// What kept a person from the way to the level of a step at which they are on another: told at this step, or
/// at the last one before it at which the class changed level.
fn off_the_way<'p>(
    person: &'p StudentPlan,
    step: &Step,
    adapted: &Adapted,
    library: &Library,
) -> &'p [Finding] {
    let level = |id: &crate::words::PostureId| library.postures.get(id).map(|one| one.level);
    let apart = |given: &&crate::adapted::Assignment| {
        let taught = adapted.steps.get(given.step - 1);
        taught.is_some_and(|taught| level(&given.posture) != level(&taught.taught.posture))
    };
    let up_to = person.assignments.get(..step.index).unwrap_or_default();
    let mut latest_first = up_to.iter().rev().take_while(apart);
    latest_first
        .find(|given| !given.way_kept.is_empty())
        .map_or(&[], |given| &given.way_kept)
}

fn lost(library: &Library, taught: &Shape, other: &crate::words::PostureId) -> Vec<PurposeId> {
    let (Some(taught), Some(other)) = (
        library.postures.get(&taught.posture),
        library.postures.get(other),
    ) else {
        return Vec::new();
    };
    let lost = taught.purposes_lost(other);
    lost.map(|(id, _)| id.clone()).collect()
}

fn kept(
    finding: &Finding,
    library: &Library,
    question: &Question<'_>,
    person: Option<&StudentPlan>,
) -> Kept {
    let rule = library
        .limitations
        .get(&finding.limitation)
        .and_then(|limitation| limitation.rules.iter().find(|rule| rule.id == finding.rule));
    Kept {
        demand: finding.demand.clone(),
        measure: finding.measure.clone(),
        value: finding.value,
        limit: finding.limit,
        rule: finding.rule.clone(),
        strength: finding.strength,
        source: finding.source.clone(),
        told: person.map_or_else(String::new, |person| question.told(&person.id, finding)),
        because: rule.map_or_else(
            || "Their clinician asked to keep away from this.".to_owned(),
            |rule| rule.because.clone(),
        ),
    }
}

/// The reasons in words.
pub fn text(reasons: &Reasons, adapted: &Adapted, library: &Library, most: usize) -> String {
    let mut out = Vec::new();
    let step = adapted.steps.iter().find(|step| step.line == reasons.line);
    if let Some(step) = step {
        let start = adapted.class.start.as_deref().and_then(|start| {
            let (hour, minute) = start.split_once(':')?;
            jiff::civil::Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
        });
        let at = clock(start, step.start_s);
        let head = format!(
            "Step {}, {at}: {}, {}",
            reasons.line,
            lower(&reasons.taught.name),
            minutes(step.hold_s)
        );
        match &reasons.student {
            Some(_) => out.extend(wrapped(&head, most)),
            None => {
                let shown = match &reasons.instead {
                    Some(instead) => {
                        format!("; shown as {}", lower(&name(library, &instead.posture)))
                    }
                    None => "; shown as planned".to_owned(),
                };
                out.extend(wrapped(
                    &format!(
                        "Step {}, {at}: planned as {}{shown}",
                        reasons.line,
                        lower(&reasons.taught.name)
                    ),
                    most,
                ));
            }
        }
    }
    match &reasons.student {
        Some(id) => person(reasons, id, adapted, library, most, &mut out),
        None => room(reasons, adapted, library, most, &mut out),
    }
    out.push(String::new());
    out.extend(wrapped(CLOSING, most));
    out.join("\n") + "\n"
}

fn name(library: &Library, id: &crate::words::PostureId) -> String {
    library.postures.get(id).map_or_else(
        || id.as_str().replace('-', " "),
        |posture| posture.name().to_owned(),
    )
}

fn demand(library: &Library, id: &crate::words::DemandId) -> String {
    library
        .demands
        .get(id)
        .map_or_else(|| id.to_string(), |demand| demand.words.clone())
}

/// A number with its unit, by the measure's name.
fn number(measure: &str, value: f64) -> String {
    let base = measure.split('.').next().unwrap_or(measure);
    match base {
        base if base.ends_with("_deg") => format!("{value:.0}°"),
        base if base.ends_with("_pct") => format!("{value:.0} % of body weight"),
        base if base.ends_with("_cm") => format!("{value:.0} cm"),
        base if base.ends_with("_s") => format!("{value:.0} s"),
        _ => format!("{value}"),
    }
}

fn person(
    reasons: &Reasons,
    id: &StudentId,
    adapted: &Adapted,
    library: &Library,
    most: usize,
    out: &mut Vec<String>,
) {
    let who = adapted.students.iter().find(|student| student.id == *id);
    let who = who.map_or(id.as_str(), |student| student.name.as_str());
    let done = match &reasons.instead {
        Some(instead) => format!(
            "{who} does instead: {}",
            lower(&name(library, &instead.posture))
        ),
        None => format!("{who} does it as taught."),
    };
    out.extend(wrapped(&done, most));
    if !reasons.kept_from.is_empty() {
        out.push(String::new());
        let head = match reasons.instead {
            Some(_) => format!("  Kept from {}", lower(&reasons.taught.name)),
            None => "  What the rules say of it".to_owned(),
        };
        out.push(head);
    }
    for kept in &reasons.kept_from {
        let side = kept
            .measure
            .split_once('.')
            .map_or(String::new(), |(_, side)| format!(" ({side})"));
        let met = match (kept.value, kept.limit) {
            (Some(value), Some(limit)) => format!(
                "{}; the limit is {}",
                number(&kept.measure, value),
                number(&kept.measure, limit)
            ),
            _ if kept.measure == WAY => "asked by the way there".to_owned(),
            _ => "known from the shape itself".to_owned(),
        };
        out.extend(hanging(
            "   ",
            &format!("{}{side}: {met}", demand(library, &kept.demand)),
            4,
            most,
        ));
        out.extend(hanging("     ", &kept.because, 6, most));
        if !kept.told.is_empty() {
            out.extend(hanging("     ", &format!("told: {}", kept.told), 6, most));
        }
        let source = kept.source.as_ref().and_then(|id| library.sources.get(id));
        let backing = match source {
            Some(source) => match &source.note {
                Some(note) => format!("{}: {} {note}", kept.strength.printed(), source.text),
                None => format!("{}: {}", kept.strength.printed(), source.text),
            },
            None => match kept.strength {
                crate::words::Strength::CommonPractice => {
                    "common practice; no study found".to_owned()
                }
                strength => strength.printed().to_owned(),
            },
        };
        out.extend(hanging("     ", &backing, 6, most));
    }
    looked(reasons, library, most, out);
    out.push(String::new());
    let lost: Vec<&str> = reasons
        .given_up
        .iter()
        .map(|id| library.purposes.get(id).map_or(id.as_str(), String::as_str))
        .collect();
    let given_up = match lost.as_slice() {
        [] => "Given up: nothing.".to_owned(),
        lost => format!("Given up: {}.", lost.join(", ")),
    };
    out.extend(hanging(" ", &given_up, 2, most));
}

fn looked(reasons: &Reasons, library: &Library, most: usize, out: &mut Vec<String>) {
    if reasons.looked_at.is_empty() {
        return;
    }
    out.push(String::new());
    out.push("  Looked at, nearest first".to_owned());
    for looked in &reasons.looked_at {
        let barred: Vec<String> = looked
            .verdicts
            .iter()
            .filter(|finding| {
                finding.verdict >= Verdict::Ease && finding.easing.is_none()
                    || finding.verdict >= Verdict::AskFirst
            })
            .map(|finding| demand(library, &finding.demand))
            .collect();
        let chosen = reasons
            .instead
            .as_ref()
            .is_some_and(|instead| instead.posture == looked.posture);
        let text = match (barred.as_slice(), chosen) {
            ([], true) => "free of that; chosen".to_owned(),
            ([], false) => match (&reasons.student, looked.more) {
                (None, _) => format!("{} away from the shape taught", looked.cost),
                (Some(_), Some(more)) => {
                    format!("free of that; the plan would cost {more} more with it")
                }
                (Some(_), None) => "free of that; no way there, or no props left for it".to_owned(),
            },
            (barred, _) => format!("still {}", barred.join(", ")),
        };
        out.extend(hanging(
            &format!("    {}", lower(&name(library, &looked.posture))),
            &text,
            40,
            most,
        ));
    }
}

/// What another lead or one more choice would move.
fn moved(reasons: &Reasons, library: &Library, most: usize, out: &mut Vec<String>) {
    if reasons.moves.is_empty() {
        return;
    }
    out.push(String::new());
    out.push("  What would move if you changed it (less is nearer to your class)".to_owned());
    // A choice that only costs its own words brings nobody nearer.
    let idle = |moved: &&Move| {
        let terms = moved.terms;
        moved.change == Change::Option && terms.stray == 0 && terms.change == 0 && terms.rest == 0
    };
    if reasons.moves.iter().any(|moved| idle(&moved)) {
        let line = "One more choice, of any shape not named below, would bring nobody nearer.";
        out.extend(hanging("    ", line, 4, most));
    }
    for moved in reasons.moves.iter().filter(|moved| !idle(moved)) {
        let shape = lower(&name(library, &moved.posture));
        let change = match moved.change {
            Change::Lead => format!("    {shape} shown to all"),
            Change::Option => format!("    {shape} as one more choice"),
        };
        let terms = moved.terms;
        let parts: Vec<String> = [
            (terms.stray, "away from what is taught"),
            (terms.options, "choices to say"),
            (terms.excess, "choices above your limit"),
            (terms.lead, "taught shapes not offered"),
            (terms.change, "changes of level and props"),
            (terms.rest, "sitting out"),
        ]
        .into_iter()
        .filter(|(moved, _)| *moved != 0)
        .map(|(moved, what)| format!("{what} {moved:+}"))
        .collect();
        let text = match parts.as_slice() {
            [] => "nothing moves".to_owned(),
            parts => format!("{:+} in all: {}", moved.more, parts.join(", ")),
        };
        out.extend(hanging(&change, &text, 44, most));
    }
}

fn room(
    reasons: &Reasons,
    adapted: &Adapted,
    library: &Library,
    most: usize,
    out: &mut Vec<String>,
) {
    let private: usize = adapted
        .students
        .iter()
        .filter(|student| student.confidential)
        .count();
    let total: usize = reasons.counts.iter().map(|count| count.students).sum();
    out.push(String::new());
    let line = format!(
        "{total} of {} could not take {} as it is",
        plural(adapted.students.len(), "person", "people"),
        lower(&reasons.taught.name)
    );
    out.extend(hanging(" ", &line, 2, most));
    for count in &reasons.counts {
        out.extend(hanging(
            &format!("    {}", demand(library, &count.demand)),
            &count.students.to_string(),
            44,
            most,
        ));
    }
    if private > 0 && total > 0 {
        out.extend(hanging(
            "   ",
            "people who keep it private are counted in",
            4,
            most,
        ));
    }
    looked(reasons, library, most, out);
    moved(reasons, library, most, out);
    out.push(String::new());
    let proof = if adapted.plan.proved_optimal {
        "This is the least change to your class under your settings (proved)."
    } else {
        "This is the best plan found; a better one may exist."
    };
    out.extend(hanging(" ", proof, 2, most));
}
