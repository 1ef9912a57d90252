//! What the library is checked for beyond its form: proofs, sources, edges, settled shapes.
//!
//! Invariant: a fault is something that must be mended; what only wants a look is listed apart.

mod level;

use std::collections::BTreeSet;

use super::Library;
use super::condition::{Comparison, Condition, Fact, Quantity};
use super::graph::Alternative;
use super::posture::{Posture, PostureBody};
use super::rule::{ProofOn, Rule};
use super::scene::{Evidence, Scene, asked, evaluate, holds};
use crate::body::{Measure, Origin};
use crate::problem::{Code, Place, Problem};
use crate::words::{BodySide, DemandId, Level, Prop, Strength, Way};

/// A breath in seconds, where a usual hold in breaths is turned into seconds (contract 4.1).
const BREATH_S: f64 = 6.0;
/// The hold of a shape that names none: five breaths.
const USUAL_HOLD_S: f64 = 30.0;
/// A hold long enough for every demand that speaks of time.
const LONG_HOLD_S: f64 = 1800.0;
/// Most words of a cue.
const CUE_WORDS: usize = 14;

/// What was found.
#[derive(Clone, Debug, Default)]
pub struct LibraryReport {
    /// To be mended, each with its place.
    pub faults: Vec<Problem>,
    /// Alternatives that ask more of some demand than the posture they start from, in words.
    pub raising: Vec<String>,
    /// Alternatives that lower some, but not all, of the demands they are offered for, in words.
    pub lowering_part: Vec<String>,
    /// Gentler ways that lower no demand of the posture they start from and are offered for none, in
    /// words: they may still be the kinder choice.
    pub lowering_nothing: Vec<String>,
    /// Rules that no posture of the library meets yet, in words.
    pub waiting: Vec<String>,
    /// Postures whose number lies so near to a limit of a demand that the model may be on the
    /// wrong side of it, in words.
    pub near_a_limit: Vec<String>,
    /// Postures that do not keep an authored number, in words.
    pub strained: Vec<String>,
}

impl Library {
    /// Checks the library.
    pub fn check(&self) -> LibraryReport {
        let mut report = LibraryReport::default();
        for rule in self
            .limitations
            .values()
            .flat_map(|limitation| &limitation.rules)
        {
            self.check_rule(rule, &mut report);
        }
        for posture in self.postures.values() {
            self.check_posture(posture, &mut report);
        }
        for edge in self.alternatives.values().flatten() {
            self.check_edge(edge, &mut report);
        }
        self.check_ways(&mut report);
        if self.rests.first().is_none_or(|rest| rest.posture.is_some()) {
            report.fault(
                Code::NoPause,
                "data/rests.yaml",
                "the first rest asks something",
                "Put “{words: pause as you are}” first, so that a plan always exists.",
            );
        }
        report
    }

    fn check_rule(&self, rule: &Rule, report: &mut LibraryReport) {
        // Needs are made here and have nothing to prove.
        let Some(at) = self.written.rules.get(&rule.id) else {
            return;
        };
        let at = &at.to_string();
        let id = &rule.id;
        if matches!(rule.strength, Strength::Guideline | Strength::Study) && rule.sources.is_empty()
        {
            let help = format!("Strength is “{}”, so it needs one.", rule.strength);
            report.fault(
                Code::SourceMissing,
                at,
                format!("rule {id} names no source"),
                help,
            );
        }
        for (postures, must) in [(&rule.proof.hits, true), (&rule.proof.misses, false)] {
            for proof in postures {
                let Some(caught) = self.proves(rule, proof) else {
                    let message =
                        format!("rule {id} is proved on “{}”, which is not there", proof.id);
                    let help = "Name a posture of the library, or a way of data/links.yaml.";
                    report.fault(Code::ProofMissing, at, message, help);
                    continue;
                };
                if caught != must {
                    let word = if must { "does not catch" } else { "catches" };
                    let message = format!("rule {id} {word} “{}”", proof.id);
                    let help = format!(
                        "Its proof says that it must{}.",
                        if must { "" } else { " not" }
                    );
                    report.fault(Code::ProofFails, at, message, help);
                }
            }
        }
        if rule.whole_class || rule.when == Condition::Any(Vec::new()) {
            // Only the ways between levels ask it, or it is about the whole class.
            return;
        }
        let hold_s = f64::from(rule.proof.hold_s);
        let is = |met: bool| {
            self.postures
                .values()
                .find(|known| catches(rule, known, hold_s) == met)
        };
        if rule.proof.hits.is_empty() {
            match is(true) {
                Some(met) => {
                    let message = format!("rule {id} names no posture that it must catch");
                    let help = format!("“{}” is one that it catches.", met.id);
                    report.fault(Code::ProofMissing, at, message, help);
                }
                None => report.waiting.push(format!("{id}: no posture meets it")),
            }
        }
        if let (true, Some(free)) = (rule.proof.misses.is_empty(), is(false)) {
            let message = format!("rule {id} names no posture that it must not catch");
            let help = format!("“{}” is one that it does not catch.", free.id);
            report.fault(Code::ProofMissing, at, message, help);
        }
    }

    /// Whether a rule catches a posture or a way; none where there is neither of that name.
    fn proves(&self, rule: &Rule, proof: &ProofOn) -> Option<bool> {
        if let Some(posture) = self.postures.get(proof.id.as_str()) {
            let scene = Scene::held(
                posture,
                posture.authored_side(),
                f64::from(rule.proof.hold_s),
            );
            let sides = BodySide::ALL.iter().copied();
            let caught = sides
                .filter(|side| proof.on.is_none_or(|on| on == *side))
                .any(|side| holds(&rule.when, &scene, side));
            return Some(caught);
        }
        let link = self.links.get(proof.id.as_str())?;
        Some(link.asks(&rule.demand, rule.grade))
    }

    fn check_posture(&self, posture: &Posture, report: &mut LibraryReport) {
        let id = &posture.id;
        let at = self
            .written
            .postures
            .get(id)
            .map_or("data/postures".to_owned(), ToString::to_string);
        let at = at.as_str();
        if let PostureBody::Shape { settled, .. } = &posture.body {
            if !settled.accepted() {
                let message = format!("{id} does not stand as it is written");
                let help = format!("{}.", settled.reasons.join("; "));
                report.fault(Code::NotSettled, at, message, help);
            }
            for strain in &settled.strain {
                let (what, asked, got) = (&strain.what, strain.asked, strain.got);
                report
                    .strained
                    .push(format!("{id}: {what} is {got:.0}, written {asked:.0}"));
            }
        }
        if let Some(differs) = level::differs(posture) {
            let message = format!("{id} is called {}, but {differs}", posture.level);
            let help = "Name the level where the body is; its contacts say what carries.";
            report.fault(Code::LevelDiffers, at, message, help);
        }
        if posture.is_part {
            return;
        }
        let cue_words = posture.cue.split_whitespace().count();
        let padded = posture.facts.contains(&Fact::KneePadded);
        let lacking = [
            (cue_words == 0, "a cue"),
            (cue_words > CUE_WORDS, "a shorter cue, up to 14 words"),
            (posture.purposes.is_empty(), "a purpose"),
            (posture.usual_hold.is_none(), "a usual hold"),
            (
                padded && !posture.props.contains_key(&Prop::Blanket),
                "the blanket that pads the knees",
            ),
            (
                posture.row.is_some() && !self.alternatives.contains_key(id),
                "an alternative",
            ),
        ];
        let lacking: Vec<&str> = lacking
            .into_iter()
            .filter_map(|(lacks, what)| lacks.then_some(what))
            .collect();
        if !lacking.is_empty() {
            let help = format!("Add {}.", lacking.join(", "));
            report.fault(
                Code::PostureUnfinished,
                at,
                format!("{id} is not finished"),
                help,
            );
        }
        self.list_limits(posture, report);
    }

    /// Names the demands of which a posture would ask more or less if its numbers were off by as
    /// much as the model may be.
    fn list_limits(&self, posture: &Posture, report: &mut LibraryReport) {
        let scene = Scene::held(posture, posture.authored_side(), usual_hold_s(posture));
        for demand in self.demands.values() {
            for (word, condition) in [("some", &demand.some), ("much", &demand.much)] {
                let near = |&on: &BodySide| {
                    let loose = evaluate(&shifted(condition, -1.0, posture, on), &scene, on);
                    loose.filter(|_| !holds(&shifted(condition, 1.0, posture, on), &scene, on))
                };
                let Some(found) = BodySide::ALL.iter().find_map(near) else {
                    continue;
                };
                let numbers = {
                    let numbers = found
                        .readings
                        .iter()
                        .filter(|reading| !reading.quantity.is_time());
                    let numbers =
                        numbers.map(|reading| format!("{} {}", reading.measure(), reading.value));
                    numbers.collect::<Vec<_>>().join(", ")
                };
                report
                    .near_a_limit
                    .push(format!("{}: {} {word}: {numbers}", posture.id, demand.id));
            }
        }
    }

    fn check_edge(&self, edge: &Alternative, report: &mut LibraryReport) {
        let (Some(from), Some(to)) = (self.postures.get(&edge.from), self.postures.get(&edge.to))
        else {
            return;
        };
        if edge.way == Way::Stronger {
            return;
        }
        // What only a long hold asks is lowered where a long hold asks less.
        let change = |demand: &DemandId| match self.change(demand, from, to, usual_hold_s(from)) {
            Change::Same => self.change(demand, from, to, LONG_HOLD_S),
            change => change,
        };
        let told = |demands: &[&DemandId]| -> String {
            demands
                .iter()
                .map(|demand| demand.as_str())
                .collect::<Vec<_>>()
                .join(", ")
        };
        let way = format!("{} to {} ({})", edge.from, edge.to, edge.way);
        let kept: Vec<&DemandId> = edge
            .eases
            .iter()
            .filter(|demand| change(demand) != Change::Less)
            .collect();
        if edge.eases.is_empty() {
            let lowers = self
                .demands
                .keys()
                .any(|demand| change(demand) == Change::Less);
            if edge.way == Way::Gentler && !lowers {
                report.lowering_nothing.push(way.clone());
            }
        } else if kept.len() == edge.eases.len() {
            let key = (edge.from.clone(), edge.to.clone(), edge.way);
            let at = self
                .written
                .alternatives
                .get(&key)
                .map_or("data/alternatives".to_owned(), ToString::to_string);
            let at = at.as_str();
            let message = format!("{way} lowers none of what it is offered for");
            let help = format!("That is {}: mend the shape, or the list.", told(&kept));
            report.fault(Code::GentlerLowersNothing, at, message, help);
        } else if !kept.is_empty() {
            report
                .lowering_part
                .push(format!("{way} does not lower {}", told(&kept)));
        }
        let more: Vec<&DemandId> = self
            .demands
            .keys()
            .filter(|demand| change(demand) == Change::More)
            .collect();
        if !more.is_empty() {
            report
                .raising
                .push(format!("{way} asks more of {}", told(&more)));
        }
    }

    /// How a demand changes from one posture to another, both held so long. The greater of the two
    /// sides of the body counts.
    fn change(&self, demand: &DemandId, from: &Posture, to: &Posture, hold_s: f64) -> Change {
        let Some(demand) = self.demands.get(demand) else {
            return Change::Same;
        };
        let asks = |posture: &Posture| {
            let scene = Scene::held(posture, posture.authored_side(), hold_s);
            let sides = BodySide::ALL.iter();
            sides
                .filter_map(|&on| {
                    let grade = asked(demand, &scene, on)?;
                    Some((grade, evaluate(demand.condition(grade), &scene, on)?))
                })
                .max_by(|a, b| a.0.cmp(&b.0).then(a.1.past().total_cmp(&b.1.past())))
        };
        match (asks(from), asks(to)) {
            (None, None) => Change::Same,
            (Some(_), None) => Change::Less,
            (None, Some(_)) => Change::More,
            (Some((before, _)), Some((after, _))) if after < before => Change::Less,
            (Some((before, _)), Some((after, _))) if after > before => Change::More,
            (Some((_, before)), Some((_, after))) => by_number(&before, &after),
        }
    }

    /// Between any two levels at which postures are, a class needs a usual way.
    fn check_ways(&self, report: &mut LibraryReport) {
        let nodes = self.postures.values().filter(|posture| !posture.is_part);
        let levels: BTreeSet<Level> = nodes.map(|posture| posture.level).collect();
        for (&from, &to) in levels
            .iter()
            .flat_map(|from| levels.iter().map(move |to| (from, to)))
        {
            let usual = self
                .links
                .values()
                .filter(|link| link.usual && link.from.contains(&from) && link.to.contains(&to));
            let number = usual.count();
            if from != to && number != 1 {
                let message = format!("from {from} to {to} there are {number} usual ways");
                let help = "Each journey between two levels has one way with “usual: true”.";
                report.fault(Code::NoWay, "data/links.yaml", message, help);
            }
        }
    }
}

impl LibraryReport {
    fn fault(&mut self, code: Code, at: &str, message: impl Into<String>, help: impl Into<String>) {
        self.faults
            .push(Problem::new(code, Place::file(at), message, help));
    }
}

/// How a demand changes along an alternative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Change {
    Less,
    Same,
    More,
}

/// How the number behind a demand of one grade changes; what the model cannot tell apart is the
/// same.
fn by_number(before: &Evidence, after: &Evidence) -> Change {
    match (before.readings.first(), after.readings.first()) {
        (Some(old), Some(new)) if old.quantity == new.quantity => {
            let less = before.past() - after.past();
            if less > noise(old.quantity) {
                Change::Less
            } else {
                Change::Same
            }
        }
        _ => Change::Same,
    }
}

/// Differences of a quantity that mean nothing: 3 degrees, 1 % of body weight, 1 cm (rules.md
/// section 1 calls below 3 degrees the model's noise; the others are our choice).
fn noise(quantity: Quantity) -> f64 {
    match quantity.as_str() {
        degrees if degrees.ends_with("_deg") => 3.0,
        load if load.ends_with("_pct") => 1.0,
        length if length.ends_with("_cm") => 1.0,
        _ => 0.0,
    }
}

/// How far a number of a posture may be from the truth of the taught shape: a degree where it is
/// authored, else the noise; for a load as much as its split moves under other contact prices, and
/// nothing where nothing touches (our choice).
fn trust(quantity: Quantity, posture: &Posture, on: BodySide) -> f64 {
    let Quantity::Measure(measure) = quantity else {
        return noise(quantity);
    };
    let Some(told) = posture.measures.get(measure) else {
        return 0.0;
    };
    let reading = told.reading(measure.is_sided().then_some(on));
    let spread = posture
        .measures
        .value(Measure::LoadSpread, None)
        .unwrap_or(0.0);
    match reading.origin {
        _ if quantity.is_load() && reading.value == 0.0 => 0.0,
        _ if quantity.is_load() => noise(quantity).max(spread),
        Origin::Authored => noise(quantity).min(1.0),
        _ => noise(quantity),
    }
}

/// A condition whose limits are all harder to meet (1) or easier (-1) by the trust of a posture.
fn shifted(condition: &Condition, harder: f64, posture: &Posture, on: BodySide) -> Condition {
    let all = |parts: &[Condition]| {
        parts
            .iter()
            .map(|part| shifted(part, harder, posture, on))
            .collect()
    };
    match condition {
        Condition::Compare {
            quantity,
            comparison,
            limit,
        } => {
            let by = harder * trust(*quantity, posture, on);
            let limit = match comparison {
                Comparison::AtLeast | Comparison::Above => limit + by,
                Comparison::AtMost | Comparison::Below => limit - by,
            };
            Condition::Compare {
                quantity: *quantity,
                comparison: *comparison,
                limit,
            }
        }
        Condition::Demand { means, .. } => shifted(means, harder, posture, on),
        Condition::All(parts) => Condition::All(all(parts)),
        Condition::Any(parts) => Condition::Any(all(parts)),
        Condition::Not(part) => Condition::Not(Box::new(shifted(part, -harder, posture, on))),
        fixed @ (Condition::LevelIs(_) | Condition::Fact(_)) => fixed.clone(),
    }
}

/// Whether a rule catches a posture on either side, held so long.
fn catches(rule: &Rule, posture: &Posture, hold_s: f64) -> bool {
    let scene = Scene::held(posture, posture.authored_side(), hold_s);
    BodySide::ALL
        .iter()
        .any(|&on| holds(&rule.when, &scene, on))
}

/// The longest usual hold in seconds.
fn usual_hold_s(posture: &Posture) -> f64 {
    posture
        .usual_hold
        .map_or(USUAL_HOLD_S, |hold| hold.seconds(BREATH_S).1)
}
