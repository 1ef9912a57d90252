//! Where sources disagree: the teacher's setting, said once for each person whom it touches here.
//!
//! Invariant: a stance that nothing in this class rests on prints nothing.

use std::collections::BTreeSet;

use super::Scene;
use super::ways::WAY;
use crate::adapted::{Assignment, Caution, CautionKind, Finding, StudentPlan};
use crate::judge::facts::{InForce, LYING_SIDE, Person};
use crate::judge::stance_option;
use crate::library::posture::Posture;
use crate::library::rule::Rule;
use crate::library::scene::{Scene as Shape, holds};
use crate::words::{BodySide, Level, Side, StanceId, Strength};

/// Vertigo that was told on the form may have been treated since.
const AFTER_TREATMENT: &str = "vertigo_after_treatment";

impl Scene<'_> {
    /// What stands on the sheet for each stance behind what a person meets, by the stance's id.
    pub(super) fn stances(&self, person: &Person<'_>, plan: &StudentPlan) -> Vec<Caution> {
        let library = self.task.library;
        let mut touched: BTreeSet<&StanceId> = BTreeSet::new();
        for finding in plan.assignments.iter().flat_map(Assignment::findings) {
            let rule = self.rule_of(finding).filter(|rule| !rule.silent);
            let Some(rule) = rule.filter(|_| !self.is_settled(person, plan, finding)) else {
                continue;
            };
            touched.extend(rule.stance.as_ref().map(|stance| &stance.stance));
            touched.extend(rule.window.stance.as_ref());
            touched.extend(self.behind(person, plan, finding));
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
            let text = stance.words.get(option)?.clone();
            // Set to ask nothing after treatment, nothing is asked.
            (id.as_str() != AFTER_TREATMENT || option == stance.default).then(|| Caution {
                student: Some(plan.id.clone()),
                kind: CautionKind::Reminder,
                text,
                steps: Vec::new(),
                strength: Strength::Disputed,
                source: None,
                stance: Some(id.clone()),
                confidential: plan.confidential,
            })
        });
        said.collect()
    }

    /// The settings of other rules that say as much of what a finding is about, wherever that was met: one line
    /// stands for all of them, and any of them alone would say it.
    fn behind(&self, person: &Person<'_>, plan: &StudentPlan, finding: &Finding) -> Vec<&StanceId> {
        let same = |rule: &&InForce<'_>| {
            *rule.limitation == finding.limitation
                && *rule.demand == finding.demand
                && rule.rule != finding.rule
                && rule.verdict >= finding.verdict
        };
        let holds_at = |rule: &InForce<'_>| {
            let mut met = self.shapes_met(plan, finding);
            met.any(|(posture, side, hold_s)| is_met(rule, posture, side, hold_s))
        };
        let rules = person.rules.iter().filter(same);
        let library = self.task.library;
        let rules = rules
            .filter(|rule| holds_at(rule))
            .filter_map(|rule| library.rule(&finding.limitation, &rule.rule));
        rules
            .flat_map(|rule| {
                let own = rule.stance.as_ref().map(|stance| &stance.stance);
                own.into_iter().chain(rule.window.stance.as_ref())
            })
            .collect()
    }

    pub(super) fn rule_of(&self, finding: &Finding) -> Option<&Rule> {
        let library = self.task.library;
        library.rule(&finding.limitation, &finding.rule)
    }

    /// Whether a rule without a setting, or a clinician's own limit, says at least as much wherever this one
    /// was met: however the teacher sets it, nothing changes for this person.
    fn is_settled(&self, person: &Person<'_>, plan: &StudentPlan, finding: &Finding) -> bool {
        if finding.measure == WAY {
            return false;
        }
        let set = |rule: &Rule| rule.stance.is_some() || rule.window.stance.is_some();
        let firm = person.rules.iter().filter(|other| {
            let known = self.task.library.limitations.get(other.limitation);
            let mut rules = known.into_iter().flat_map(|known| &known.rules);
            let same = *other.demand == finding.demand && other.verdict >= finding.verdict;
            same && !rules.any(|rule| rule.id == other.rule && set(rule))
        });
        let firm: Vec<&InForce<'_>> = firm.collect();
        let mut met = self.shapes_met(plan, finding);
        let covered = |(posture, side, hold_s): (&Posture, Side, u32)| {
            let mut firm = firm.iter();
            firm.any(|rule| is_met(rule, posture, side, hold_s))
        };
        !firm.is_empty() && met.all(covered)
    }

    /// The shapes of a person's way at which a rule was met: those given, and those not taken.
    fn shapes_met<'s>(
        &'s self,
        plan: &'s StudentPlan,
        finding: &'s Finding,
    ) -> impl Iterator<Item = (&'s Posture, Side, u32)> {
        let postures = &self.task.library.postures;
        let of_rule = |findings: &[Finding]| findings.iter().any(|one| one.rule == finding.rule);
        plan.assignments.iter().flat_map(move |given| {
            let own = of_rule(&given.verdicts).then_some((&given.posture, given.side));
            let taught = given.instead_of.iter();
            let taught = taught.filter(|one| of_rule(&one.verdicts));
            let taught = taught.map(|one| (&one.posture, one.side));
            let all = own.into_iter().chain(taught);
            all.filter_map(|(id, side)| Some((postures.get(id)?, side, given.hold_s)))
                .collect::<Vec<_>>()
        })
    }
}

/// Whether a rule in force holds of a shape on a side that it looks at.
fn is_met(rule: &InForce<'_>, posture: &Posture, side: Side, hold_s: u32) -> bool {
    let scene = Shape::held(posture, side, f64::from(hold_s));
    let sides = BodySide::ALL.iter().zip(rule.sides);
    let mut sides = sides.filter(|(_, looked_at)| *looked_at);
    sides.any(|(side, _)| holds(&rule.when, &scene, *side))
}
