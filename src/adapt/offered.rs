//! The teacher's own choices that rules keep from somebody present.

use super::Scene;
use crate::adapted::Finding;
use crate::class::Choice;
use crate::judge::facts::Person;
use crate::judge::verdict::{At, judge};
use crate::sheets::words::lower;
use crate::words::Verdict;

impl Scene<'_> {
    /// Each choice that is said aloud and kept from them, in words, with its step and the rule that decides:
    /// on one side is enough, for a choice is offered with either.
    pub(super) fn offered_and_kept(&self, person: &Person<'_>) -> Vec<(String, usize, Finding)> {
        let library = self.task.library;
        let mut found = Vec::new();
        for (place, line) in self.table.lines.iter().enumerate() {
            for choice in &line.line.or {
                let Choice::Posture(id) = choice else {
                    continue;
                };
                let posture = library
                    .postures
                    .get(id)
                    .filter(|_| Some(id) != line.posture);
                let Some((posture, step)) = posture.zip(self.table.first_step(place)) else {
                    continue;
                };
                let kept = posture.sides().iter().find_map(|&side| {
                    let judged = judge(person, At::taught(posture, side, line.line), None);
                    let barring = |finding: &Finding| {
                        matches!(finding.verdict, Verdict::Avoid | Verdict::AskFirst)
                    };
                    judged.findings.into_iter().find(barring)
                });
                if let Some(finding) = kept {
                    let text = format!(
                        "step {}: your own choice “{}” is not theirs; kept from {}.",
                        line.line.number,
                        lower(posture.name()),
                        self.demand_words(&finding.demand),
                    );
                    found.push((text, step, finding));
                }
            }
        }
        found
    }
}
