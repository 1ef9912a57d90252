//! Why a step is as it is: the reasons as data; `text` says them in words.
//!
//! Takes the outcome of a plan; gives what happens, which number met which limit on whose word,
//! what else was looked at, and what was given up.

use serde::{Deserialize, Serialize};

mod text;

use crate::adapt::{Looked, Move, Outcome, Question, Task, overruns};
use crate::adapted::{Adapted, DemandCount, Finding, Shape, Step, StudentPlan};
use crate::judge::budgets::uses;
use crate::library::Library;
use crate::words::{PurposeId, Side, StudentId, Verdict};

pub use text::text;

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
    /// How many more are kept from it by something that nobody else is to know of.
    pub private: usize,
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
    /// Why, as the rule says it, or that a clinician asked for it.
    pub because: String,
    /// Whether it alone keeps them from the shape; else something at hand eases it.
    pub bars: bool,
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
    // What is said of the shape given in its place stands beside that one below.
    let of_given = assignment.filter(|_| instead.is_none()).into_iter();
    let of_given = of_given.flat_map(|given| &given.verdicts);
    let of_given = of_given.filter(|finding| finding.verdict != Verdict::Watch);
    let of_taught = assignment.into_iter().flat_map(|given| given.kept_from());
    let mut kept_from: Vec<Kept> = Vec::new();
    for finding in of_taught.chain(of_given).chain(kept_off) {
        let said = kept(finding, step.taught.side, &question, person);
        // Both sides of the body may say the same.
        if !kept_from.contains(&said) {
            kept_from.push(said);
        }
    }
    let given_up = match assignment {
        Some(given) => lost(task.library, &step.taught, &given.posture),
        None => lost(task.library, &step.taught, &step.lead.posture),
    };
    let mut looked_at = question.looked_at(person.map(|person| &person.id), step.taught.side);
    for looked in &mut looked_at {
        let over = assignment.into_iter().flat_map(overruns::of);
        let over = over.filter(|finding| is_used(task.library, &looked.posture, finding));
        looked.verdicts.extend(over.cloned());
    }
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
    let (counts, private) = question.kept_counts(step.taught.side);
    Reasons {
        schema: SCHEMA.to_owned(),
        line,
        taught: step.taught.clone(),
        student: person.map(|person| person.id.clone()),
        instead,
        kept_from,
        looked_at,
        given_up,
        counts,
        private,
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

/// Whether a shape uses what a budget is about.
fn is_used(library: &Library, posture: &crate::words::PostureId, over: &Finding) -> bool {
    let uses = library.postures.get(posture).map(uses).unwrap_or_default();
    uses.iter().any(|of| of.as_str() == over.demand.as_str())
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
    side: Side,
    question: &Question<'_>,
    person: Option<&StudentPlan>,
) -> Kept {
    let because = person.and_then(|person| question.because(&person.id, finding));
    Kept {
        demand: finding.demand.clone(),
        measure: finding.measure.clone(),
        value: finding.value,
        limit: finding.limit,
        rule: finding.rule.clone(),
        strength: finding.strength,
        source: finding.source.clone(),
        told: person.map_or_else(String::new, |person| question.told(&person.id, finding)),
        because: match finding.measure.as_str() {
            overruns::BOUT => {
                "It lasts too long for them at a time, with the shapes right before and after."
            }
            overruns::CLASS => "It comes to too much for them in the whole class.",
            _ => because.unwrap_or_default(),
        }
        .to_owned(),
        bars: person.is_none_or(|person| question.bars(&person.id, finding, side)),
    }
}
