//! A taught shape for which somebody's own budget leaves no room: how long it would come to on their way.
//!
//! Invariant: looked at only where nothing else keeps them from the shape, since what keeps them anyway
//! needs no second reason.

use super::Scene;
use crate::adapted::{Assignment, Finding};
use crate::judge::budgets::uses;
use crate::judge::facts::Person;
use crate::words::{DemandId, LimitationId, Strength, Use, Verdict};

/// The measure of one unbroken stretch.
pub const BOUT: &str = "bout_s";

/// The measure of all there is of it in the class.
pub const CLASS: &str = "class_s";

/// What of somebody's budgets the taught shape would pass at a step.
pub fn of(given: &Assignment) -> impl Iterator<Item = &Finding> {
    given
        .kept_from()
        .filter(|finding| matches!(finding.measure.as_str(), BOUT | CLASS))
}

impl Scene<'_> {
    /// Writes beside each taught shape that a person does not do, and that nothing else keeps them from, what
    /// of their budgets it would pass if its line were done as taught and all the rest as planned.
    pub(super) fn add_overruns(&self, person: &Person<'_>, assignments: &mut [Assignment]) {
        let found: Vec<(usize, Vec<Finding>)> = assignments
            .iter()
            .enumerate()
            .filter(|(_, given)| !given.instead_of.is_empty())
            .filter(|(_, given)| given.kept_from().all(|one| one.verdict <= Verdict::Watch))
            .map(|(at, _)| (at, self.overruns(person, assignments, at)))
            .collect();
        for (at, findings) in found {
            for instead in &mut assignments[at].instead_of {
                instead.verdicts.extend(findings.iter().cloned());
            }
        }
    }

    fn overruns(&self, person: &Person<'_>, given: &[Assignment], at: usize) -> Vec<Finding> {
        let line = self.table.passes[at].line;
        let postures = &self.task.library.postures;
        let taught = self.table.lines[line].posture;
        let taught_uses = taught.and_then(|id| postures.get(id)).map(uses);
        let taught_uses = taught_uses.unwrap_or_default();
        // A change of shape ends a stand: that one is judged shape by shape, by its hold.
        let lasting = |of: Use| of != Use::StandingStill && taught_uses.contains(&of);
        let theirs = person.budgets.iter().filter(|(of, ..)| lasting(*of));
        theirs
            .flat_map(|&(of, limit, limitation)| {
                let (run_s, all_s) = self.lasts_s(given, at, of);
                let passed = |measure: &'static str, held: u32, most: Option<u32>| {
                    let most = most.filter(|most| held > *most)?;
                    Some(overrun(of, limitation, measure, held, most))
                };
                [
                    passed(BOUT, run_s, limit.bout_s),
                    passed(CLASS, all_s, limit.class_s),
                ]
            })
            .flatten()
            .collect()
    }

    /// How long something would last, in seconds, with the line of a step done as taught: the stretch that
    /// the step lies in, and all of it in the class.
    fn lasts_s(&self, given: &[Assignment], at: usize, of: Use) -> (u32, u32) {
        let postures = &self.task.library.postures;
        let here = self.table.passes[at].line;
        let lasts = |(given, pass): (&Assignment, &crate::timetable::Pass)| {
            let used = postures
                .get(&given.posture)
                .is_some_and(|posture| uses(posture).contains(&of));
            (used || pass.line == here).then(|| self.table.lines[pass.line].pass_s)
        };
        let each: Vec<Option<u32>> = given.iter().zip(&self.table.passes).map(lasts).collect();
        let before: u32 = each[..at].iter().rev().map_while(|one| *one).sum();
        let after: u32 = each[at..].iter().map_while(|one| *one).sum();
        (before + after, each.iter().flatten().sum())
    }
}

fn overrun(of: Use, limitation: &LimitationId, measure: &str, held_s: u32, most_s: u32) -> Finding {
    Finding {
        rule: format!("budget-{of}").into(),
        limitation: limitation.clone(),
        demand: DemandId::from(of.as_str()),
        verdict: Verdict::Avoid,
        measure: measure.to_owned(),
        value: Some(f64::from(held_s)),
        limit: Some(f64::from(most_s)),
        strength: Strength::CommonPractice,
        source: None,
        side: None,
        easing: None,
    }
}
