//! Needs, made from the demands: `no-kneeling`, `stays-in-chair` (rules.md 2.3).
//!
//! Invariant: a need is the person's own word; it has no severity, names no source and eases
//! nothing.

use std::collections::BTreeMap;

use super::limitations::empty;
use super::rules::Demands;
use crate::library::condition::{Condition, Grade};
use crate::library::demand::Demand;
use crate::library::rule::{
    Easing, Limitation, LimitationKind, Proof, Rule, RuleSide, WITH_A_CHAIR, Window,
};
use crate::words::{DemandId, Level, LimitationId, RuleId, Severity, Strength, Verdict};

/// Every need.
pub(super) fn needs(demands: &Demands) -> BTreeMap<LimitationId, Limitation> {
    let made = demands.values().map(need).chain(stays_in_chair(demands));
    made.map(|need| (need.id.clone(), need)).collect()
}

/// `no-X`: kept from demand X from *some* up, links included, on the person's own word
/// (rules.md 2.3). With a chair, getting down asks only some.
fn need(demand: &Demand) -> Limitation {
    let id = LimitationId::from(format!("no-{}", demand.id));
    let mut rules = vec![own_word(
        &id,
        &demand.id,
        Some(Grade::Some),
        demand.some.clone(),
    )];
    let mut kinds = BTreeMap::new();
    if demand.id.as_str() == "getting-down" {
        let kind = || vec![WITH_A_CHAIR.to_owned()];
        let alone = own_word(&id, &demand.id, Some(Grade::Much), demand.much.clone());
        rules[0].not_kinds = kind();
        rules.push(Rule {
            id: RuleId::from(format!("{id}-alone")),
            kinds: kind(),
            ..alone
        });
        kinds.insert(WITH_A_CHAIR.to_owned(), Vec::new());
    }
    Limitation {
        kind: LimitationKind::Need,
        name: format!("no {}", demand.words),
        caution: Some("This is their own wish; it is not argued with.".to_owned()),
        rules,
        kinds,
        ..empty(id.as_str())
    }
}

/// `stays-in-chair`: no level but chair, links included.
fn stays_in_chair(demands: &Demands) -> Option<Limitation> {
    let id = LimitationId::from("stays-in-chair");
    let down = demands.get("getting-down")?;
    let elsewhere = Condition::Not(Box::new(Condition::LevelIs(vec![Level::Chair])));
    Some(Limitation {
        kind: LimitationKind::Need,
        name: "stays in the chair".to_owned(),
        caution: Some("This is their own wish; it is not argued with.".to_owned()),
        rules: vec![own_word(&id, &down.id, None, elsewhere)],
        ..empty(id.as_str())
    })
}

fn own_word(
    limitation: &LimitationId,
    demand: &DemandId,
    grade: Option<Grade>,
    when: Condition,
) -> Rule {
    let severities = [Severity::Mild, Severity::Moderate, Severity::Acute];
    Rule {
        id: RuleId::from(limitation.as_str()),
        limitation: limitation.clone(),
        demand: demand.clone(),
        grade,
        when,
        side: RuleSide::Same,
        verdicts: severities.map(|severity| (severity, Verdict::Avoid)).into(),
        window: Window::default(),
        kinds: Vec::new(),
        not_kinds: Vec::new(),
        sites: Vec::new(),
        approaches: Vec::new(),
        stance: None,
        silent: false,
        whole_class: false,
        ask_once: None,
        easing: Easing::default(),
        because: "They asked to leave this out.".to_owned(),
        strength: Strength::OwnWord,
        sources: Vec::new(),
        proof: Proof::default(),
    }
}
