//! What would be otherwise if one thing were: the room solved again with the change.
//!
//! Takes the plan with its instance and a change; gives what the new plan costs beside the old
//! one. Invariant: nothing is said where either plan is not proved, for then the difference is
//! not known.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Outcome, Task};
use crate::adapted::Terms;
use crate::group::plan::Plan;
use crate::group::problem::Instance;
use crate::group::solve::{Limit, Memory, solve_near};
use crate::group::what_if::FORBIDDING;
use crate::words::{PostureId, StudentId};

/// A change of the menu, and what it would move.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Move {
    /// What is changed.
    pub change: Change,
    /// The shape that is shown or offered then.
    pub posture: PostureId,
    /// What the plan would cost more; less than 0: less.
    pub more: i64,
    /// The same, term by term.
    pub terms: Terms,
}

/// How a menu is changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// The shape is shown to everybody in place of the one taught.
    Lead,
    /// The shape is one more choice.
    Option,
}

/// The plan for a room changed from one that has a plan; none when either is not proved within the limit.
pub(super) fn solved(
    changed: &Instance,
    (before, memory): (&Plan, &Memory),
    limit: Limit,
) -> Option<Plan> {
    let plan = before.proved.then(|| solve_near(changed, memory, limit))?;
    plan.ok().filter(|plan| plan.proved)
}

/// What each student's own shapes stray, by student.
pub(super) fn strays(instance: &Instance, plan: &Plan) -> BTreeMap<StudentId, u64> {
    let mut sums = BTreeMap::new();
    for student in &instance.students {
        let path = plan.assignments.get(&student.id);
        let each = path.into_iter().flatten().map(|&(line, candidate)| {
            let sides = &student.stray[line];
            let costs = [&sides.r, &sides.l].map(|side| side.get(&candidate).copied());
            let rest = u64::from(instance.lines[line].candidates[candidate].rest);
            u64::from(costs.into_iter().flatten().max().unwrap_or(0))
                + rest * u64::from(instance.weights.rest)
        });
        sums.insert(student.id.clone(), each.sum());
    }
    sums
}

impl Outcome {
    /// What the room's plan would cost more if a student did a shape at a line (by its place);
    /// none when rules, ways or props leave no room for it.
    pub fn more_if_done(
        &self,
        task: &Task<'_>,
        student: &StudentId,
        line: usize,
        posture: &PostureId,
    ) -> Option<i64> {
        let mut students = self.instance.students.iter();
        let place = students.position(|other| other.id == *student)?;
        let changed = self.instance.with_only(place, line, posture.as_str())?;
        self.more(&changed, task.limit)
    }

    /// What showing a shape, or offering it as one more choice, would move at a line.
    pub fn moves(&self, task: &Task<'_>, line: usize, posture: &PostureId) -> Vec<Move> {
        let instance = &self.instance;
        let taught = &instance.lines[line].candidates[instance.lines[line].taught];
        let shape = posture.as_str();
        let on_menu = self.plan.menus[line]
            .iter()
            .any(|&number| instance.lines[line].candidates[number].shape == shape);
        let mut moves = Vec::new();
        if taught.shape == shape {
            return moves;
        }
        let changes = [
            (Change::Lead, instance.with_taught(line, shape)),
            (
                Change::Option,
                instance.with_offered(line, shape).filter(|_| !on_menu),
            ),
        ];
        for (change, changed) in changes {
            let before = (&self.plan, &self.memory);
            let Some(plan) = changed.and_then(|changed| solved(&changed, before, task.limit))
            else {
                continue;
            };
            let (new, old) = (plan.terms, self.plan.terms);
            moves.push(Move {
                change,
                posture: posture.clone(),
                more: plan.objective - self.plan.objective,
                terms: Terms {
                    stray: new.stray - old.stray,
                    options: new.options - old.options,
                    excess: new.excess - old.excess,
                    lead: new.lead - old.lead,
                    change: new.change - old.change,
                    rest: new.rest - old.rest,
                },
            });
        }
        moves
    }

    fn more(&self, changed: &Instance, limit: Limit) -> Option<i64> {
        let plan = solved(changed, (&self.plan, &self.memory), limit)?;
        let more = plan.objective - self.plan.objective;
        (more < i64::from(FORBIDDING)).then_some(more)
    }
}
