//! What the library is checked for beyond its form: proofs, sources, edges, settled shapes.
//!
//! Invariant: a fault is something that must be mended; what only wants a look is listed apart.

use super::Library;
use super::condition::Grade;
use super::posture::{Posture, PostureBody};
use super::rule::Rule;
use super::scene::{Scene, holds};
use crate::words::{BodySide, PostureId, Side, Strength, Way};

/// What was found.
#[derive(Clone, Debug, Default)]
pub struct LibraryReport {
    /// To be mended: code and words.
    pub faults: Vec<(&'static str, String)>,
    /// Edges that raise a demand while they lower another, in words.
    pub raising: Vec<String>,
}

impl Library {
    /// Checks the library.
    pub fn check(&self) -> LibraryReport {
        let mut report = LibraryReport::default();
        let rules = self.limitations.values().flat_map(|limitation| &limitation.rules);
        for rule in rules {
            self.check_rule(rule, &mut report);
        }
        for posture in self.postures.values() {
            self.check_posture(posture, &mut report);
        }
        for edge in self.alternatives.values().flatten() {
            if edge.way == Way::Stronger {
                continue;
            }
            let less = self.less_of(edge);
            let kept = edge.eases.iter().filter(|demand| !less.contains(demand)).count();
            if !edge.eases.is_empty() && kept == edge.eases.len() && !self.lowers_a_number(edge) {
                let asked: Vec<&str> = edge.eases.iter().map(|demand| demand.as_str()).collect();
                let text = format!(
                    "{} to {} ({}) lowers none of: {}.",
                    edge.from, edge.to, edge.way, asked.join(", ")
                );
                report.faults.push(("gentler-lowers-nothing", text));
            }
            let more = self.more_of(edge);
            if !more.is_empty() {
                report.raising.push(format!("{} to {}: {}", edge.from, edge.to, more.join(", ")));
            }
        }
        if self.rests.first().is_none_or(|rest| rest.posture.is_some()) {
            report.faults.push(("no-pause", "the first rest does not ask nothing.".to_owned()));
        }
        report
    }

    fn check_rule(&self, rule: &Rule, report: &mut LibraryReport) {
        let id = &rule.id;
        let backed = matches!(rule.strength, Strength::Guideline | Strength::Study);
        if backed && rule.sources.is_empty() {
            let text = format!("rule {id} names no source; strength is “{}”, so it needs one.", rule.strength);
            report.faults.push(("source-missing", text));
        }
        for (postures, caught, code) in [
            (&rule.proof.hits, true, "proof-not-caught"),
            (&rule.proof.misses, false, "proof-caught"),
        ] {
            for posture in postures {
                match self.postures.get(posture) {
                    None => report.faults.push((
                        "proof-unknown",
                        format!("rule {id} is proved on “{posture}”, which is not there."),
                    )),
                    Some(known) if catches(rule, known) != caught => report.faults.push((
                        code,
                        format!(
                            "rule {id} should {}catch “{posture}”.",
                            if caught { "" } else { "not " }
                        ),
                    )),
                    Some(_) => {}
                }
            }
        }
    }

    fn check_posture(&self, posture: &Posture, report: &mut LibraryReport) {
        if let PostureBody::Shape { settled, .. } = &posture.body {
            if !settled.accepted() {
                let text = format!("{}: {}.", posture.id, settled.reasons.join("; "));
                report.faults.push(("not-settled", text));
            }
        }
        if posture.is_part {
            return;
        }
        if posture.cue.is_empty() {
            report.faults.push(("cue-missing", format!("{} says not how to get in.", posture.id)));
        }
        if posture.purposes.is_empty() {
            report.faults.push(("purpose-missing", format!("{} is for nothing.", posture.id)));
        }
    }

    /// Whether an edge lowers the number behind one of its demands without changing its grade.
    fn lowers_a_number(&self, edge: &super::graph::Alternative) -> bool {
        let (Some(from), Some(to)) = (self.postures.get(&edge.from), self.postures.get(&edge.to))
        else {
            return false;
        };
        edge.eases.iter().filter_map(|id| self.demands.get(id)).any(|demand| {
            demand.some.comparisons().into_iter().any(|(quantity, comparison, _)| {
                let super::condition::Quantity::Measure(measure) = quantity else { return false };
                let value = |posture: &Posture| posture.measures.value(measure, None);
                match (value(from), value(to)) {
                    (Some(from), Some(to)) => comparison.past(to, 0.0) < comparison.past(from, 0.0) - 1.0,
                    _ => false,
                }
            })
        })
    }

    /// Demands of which an edge asks more, in plain words.
    fn more_of(&self, edge: &super::graph::Alternative) -> Vec<String> {
        let asked = |posture: &PostureId| self.postures.get(posture).map(|posture| &posture.demands);
        let (Some(from), Some(to)) = (asked(&edge.from), asked(&edge.to)) else { return Vec::new() };
        let most = |asks: Option<&super::posture::Asks>| -> Option<Grade> {
            asks.and_then(|asks| asks.left.max(asks.right))
        };
        to.iter()
            .filter(|(demand, asks)| most(from.get(*demand)) < most(Some(asks)))
            .map(|(demand, _)| demand.to_string())
            .collect()
    }
}

/// Whether a rule catches a posture on either side, held as the proof says.
fn catches(rule: &Rule, posture: &Posture) -> bool {
    let side = if posture.is_sided() { Side::Left } else { Side::None };
    let scene = Scene::held(posture, side, f64::from(rule.proof.hold_s));
    BodySide::ALL.iter().any(|&on| holds(&rule.when, &scene, on))
}
