//! Where sources disagree: the teacher's setting, said once for each person whom it touches here.
//!
//! Invariant: a stance that nothing in this class rests on prints nothing.

use std::collections::BTreeSet;

use super::Scene;
use crate::adapted::{Assignment, Caution, CautionKind, StudentPlan};
use crate::judge::facts::{LYING_SIDE, Person};
use crate::judge::stance_option;
use crate::words::{Level, StanceId, Strength};

/// Vertigo that was told on the form may have been treated since.
const AFTER_TREATMENT: &str = "vertigo_after_treatment";

impl Scene<'_> {
    /// What stands on the sheet for each stance behind what a person meets, by the stance's id.
    pub(super) fn stances(&self, person: &Person<'_>, plan: &StudentPlan) -> Vec<Caution> {
        let library = self.task.library;
        let mut touched: BTreeSet<&StanceId> = BTreeSet::new();
        for finding in plan.assignments.iter().flat_map(Assignment::findings) {
            let known = library.limitations.get(&finding.limitation);
            let rule =
                known.and_then(|known| known.rules.iter().find(|rule| rule.id == finding.rule));
            let Some(rule) = rule.filter(|rule| !rule.silent) else {
                continue;
            };
            touched.extend(rule.stance.as_ref().map(|stance| &stance.stance));
            touched.extend(rule.window.stance.as_ref());
        }
        let told = |id: &str| person.told.iter().find(|told| told.kind.id.as_str() == id);
        let on_the_side = plan.assignments.iter().any(|given| {
            let posture = library.postures.get(&given.posture);
            posture.is_some_and(|posture| posture.level == Level::SideLying)
        });
        let since = told("vertigo").is_some_and(|told| !told.today);
        for (id, applies) in [
            (LYING_SIDE, told("pregnancy").is_some() && on_the_side),
            (AFTER_TREATMENT, since),
        ] {
            touched.extend(
                library
                    .stances
                    .keys()
                    .filter(|stance| applies && stance.as_str() == id),
            );
        }
        let said = touched.into_iter().filter_map(|id| {
            let stance = library.stances.get(id)?;
            let option = stance_option(id, library, self.task.settings)?;
            // Set to ask nothing after treatment, nothing is asked.
            (id.as_str() != AFTER_TREATMENT || option == stance.default).then(|| Caution {
                student: Some(plan.id.clone()),
                kind: CautionKind::Reminder,
                text: format!("{} Sources differ; your setting: {option}.", stance.words),
                steps: Vec::new(),
                strength: Strength::Disputed,
                source: None,
                stance: Some(id.clone()),
                confidential: plan.confidential,
            })
        });
        said.collect()
    }
}
