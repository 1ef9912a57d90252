//! What the rules in force say of one shape, and whether the shape may be given.
//!
//! Takes a [`Person`], a posture on a side and a hold; gives findings, and the [`Form`] in which
//! the shape may be given, if it may. Invariant: a shape with an `avoid` is never given, and an
//! `ease` only in a form that meets it.

use crate::adapted::Finding;
use crate::body::Measure;
use crate::class::Line;
use crate::library::condition::{Comparison, Condition, Fact, Grade, Quantity};
use crate::library::graph::Link;
use crate::library::posture::Posture;
use crate::library::rule::{EaseBy, Easing};
use crate::library::scene::{self, Scene};
use crate::words::{BodySide, Prop, PropCounts, Side, Verdict};

use super::facts::{InForce, Person};

/// How a shape is given: as it is, or eased.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Form {
    /// With padding under the knees.
    pub padded: bool,
    /// With a wall place or a chair within reach.
    pub support: Option<Prop>,
    /// Held for at most so many seconds.
    pub short_s: Option<u32>,
}

impl Form {
    /// What one person needs beyond the posture's own props.
    pub fn props(self) -> PropCounts {
        let padding = self.padded.then_some((Prop::Blanket, 1));
        padding
            .into_iter()
            .chain(self.support.map(|prop| (prop, 1)))
            .collect()
    }

    /// Whether it differs from the shape as it is.
    pub fn is_eased(self) -> bool {
        self != Self::default()
    }
}

/// A shape at a step.
#[derive(Clone, Copy, Debug)]
pub struct At<'a> {
    /// The posture.
    pub posture: &'a Posture,
    /// Which side leads.
    pub side: Side,
    /// How long it is held.
    pub hold_s: u32,
    /// Kneeling is padded for everyone here.
    pub padded: bool,
}

impl<'a> At<'a> {
    /// A shape held as long, and padded, as a line of the class says.
    pub fn taught(posture: &'a Posture, side: Side, line: &Line) -> Self {
        Self {
            posture,
            side,
            hold_s: line.hold_s,
            padded: line.padded,
        }
    }
}

/// What may be done about a shape for a person.
#[derive(Clone, Debug)]
pub struct Judged {
    /// What the rules say, the strictest per demand and side, strictest first.
    pub findings: Vec<Finding>,
    /// In which form it may be given; none: it is kept from them.
    pub form: Option<Form>,
}

/// Judges a shape for a person. `support` says which prop, if any, can steady a body here.
pub fn judge(person: &Person<'_>, at: At<'_>, support: Option<Prop>) -> Judged {
    let mut found: Vec<(Finding, &InForce<'_>)> = Vec::new();
    let unmet = |verdict: Verdict, rule: &InForce<'_>| {
        verdict == Verdict::Ease && !is_met(rule, at, support)
    };
    let mut form = Some(Form::default());
    for rule in &person.rules {
        for finding in look(rule, at) {
            // Every rule is met, also one that another of the same demand hides.
            form = form.and_then(|form| after(form, finding.verdict, rule, at, support));
            keep_strictest(&mut found, finding, rule, &unmet);
        }
    }
    found.sort_by(|(a, _), (b, _)| {
        (b.verdict, &a.demand, a.side).cmp(&(a.verdict, &b.demand, b.side))
    });
    for (finding, rule) in &mut found {
        if finding.verdict == Verdict::Ease {
            finding.easing = Some(words(&rule.easing, finding.side, at).to_owned());
        }
        if after(Form::default(), finding.verdict, rule, at, support).is_none() {
            break;
        }
    }
    Judged {
        findings: found.into_iter().map(|(finding, _)| finding).collect(),
        form,
    }
}

/// The form in which a shape may still be given after one more rule has spoken.
fn after(
    form: Form,
    verdict: Verdict,
    rule: &InForce<'_>,
    at: At<'_>,
    support: Option<Prop>,
) -> Option<Form> {
    match verdict {
        Verdict::Avoid | Verdict::AskFirst => None,
        Verdict::Watch => Some(form),
        Verdict::Ease => ease(form, &rule.easing.by, at, support),
    }
}

/// What an easing says on this side of the body: an arm whose hand is down cannot be held at shoulder height.
fn words<'r>(easing: &'r Easing, side: Option<BodySide>, at: At<'_>) -> &'r str {
    let Some(hand_down) = &easing.hand_down else {
        return &easing.words;
    };
    let carries = |measure| Condition::Compare {
        quantity: Quantity::Measure(measure),
        comparison: Comparison::AtLeast,
        limit: HAND_DOWN_PCT,
    };
    let down = Condition::Any(vec![
        carries(Measure::HandLoad),
        carries(Measure::HandWallLoad),
    ]);
    let scene = Scene::held(at.posture, at.side, f64::from(at.hold_s));
    match scene::holds(&down, &scene, side.unwrap_or(BodySide::Left)) {
        true => hand_down,
        false => &easing.words,
    }
}

/// From so many hundredths of body weight on, a hand is down rather than beside something. Our choice: the
/// arms of child's pose carry 3 each.
const HAND_DOWN_PCT: f64 = 1.0;

/// Whether a person may take a link: none of their rules keeps them from what it asks, or only those on bent
/// wrists where the hands may be fists.
pub fn may_take(person: &Person<'_>, link: &Link) -> bool {
    let mut rules = person.rules.iter();
    !rules.any(|rule| bars(rule, link) && !eased_on_fists(rule, link))
}

/// Whether a rule keeps a person from a link as it is.
pub fn bars(rule: &InForce<'_>, link: &Link) -> bool {
    matches!(rule.verdict, Verdict::Avoid | Verdict::AskFirst) && link.asks(rule.demand, rule.grade)
}

/// Whether fists on the way leave a rule nothing to say: it speaks of bent wrists, and fists keep them straight.
pub fn eased_on_fists(rule: &InForce<'_>, link: &Link) -> bool {
    let bent = |(quantity, ..): &(Quantity, Comparison, f64)| {
        *quantity == Quantity::Measure(Measure::WristExtension)
    };
    link.on_fists && rule.when.comparisons().iter().any(bent)
}

/// What one rule says of a shape: at most one finding per side of the body.
fn look(rule: &InForce<'_>, at: At<'_>) -> Vec<Finding> {
    let sided = rule.sided;
    let mut scene = Scene::held(at.posture, at.side, f64::from(at.hold_s));
    scene.padded = at.padded;
    let sides: &[BodySide] = if sided {
        BodySide::ALL
    } else {
        &[BodySide::Left]
    };
    let watched = |side: &&BodySide| !sided || rule.sides[**side as usize];
    sides
        .iter()
        .filter(watched)
        .filter_map(|&on| {
            let evidence = scene::evaluate(&rule.when, &scene, on)?;
            let verdict = match rule.verdict {
                // No `avoid` rests on a load that the model is unsure of alone.
                Verdict::Avoid if evidence.rough => Verdict::Watch,
                verdict => verdict,
            };
            let first = evidence.readings.first();
            Some(Finding {
                rule: rule.rule.clone(),
                limitation: rule.limitation.clone(),
                demand: rule.demand.clone(),
                verdict,
                measure: first.map_or_else(String::new, |reading| reading.measure()),
                value: first.map(|reading| reading.value),
                limit: first.map(|reading| reading.limit),
                strength: rule.strength,
                source: rule.source.cloned(),
                side: sided.then_some(on),
                easing: None,
            })
        })
        .collect()
}

/// Several rules on one demand: the strictest stands. Among equals the one with the better backing
/// (the earlier strength) stays.
fn keep_strictest<'r, 'a>(
    found: &mut Vec<(Finding, &'r InForce<'a>)>,
    finding: Finding,
    rule: &'r InForce<'a>,
    unmet: &dyn Fn(Verdict, &InForce<'_>) -> bool,
) {
    let same = |old: &&mut (Finding, &InForce<'_>)| {
        old.0.demand == finding.demand && old.0.side == finding.side
    };
    match found.iter_mut().find(same) {
        Some(old) => {
            // An ease that nothing here meets keeps the shape away, and is stricter than one that is met.
            let before = (old.0.verdict, unmet(old.0.verdict, old.1));
            let now = (finding.verdict, unmet(finding.verdict, rule));
            let backed = now == before && finding.strength < old.0.strength;
            if now > before || backed {
                *old = (finding, rule);
            }
        }
        None => found.push((finding, rule)),
    }
}

/// Whether the easing of a rule can be had in a shape.
pub fn is_met(rule: &InForce<'_>, at: At<'_>, support: Option<Prop>) -> bool {
    ease(Form::default(), &rule.easing.by, at, support).is_some()
}

/// The form that meets one more `ease`, if one is at hand.
fn ease(form: Form, ways: &[EaseBy], at: At<'_>, support: Option<Prop>) -> Option<Form> {
    ways.iter().find_map(|way| match way {
        EaseBy::Words => Some(form),
        EaseBy::Shape => None,
        EaseBy::Padded => {
            let there = at.padded || at.posture.facts.contains(&Fact::KneePadded);
            Some(Form {
                padded: form.padded || !there,
                ..form
            })
        }
        EaseBy::Support if at.posture.facts.contains(&Fact::Supported) => Some(form),
        EaseBy::Support => support.map(|prop| Form {
            support: Some(prop),
            ..form
        }),
        EaseBy::HoldS(most) if at.hold_s <= *most => Some(form),
        EaseBy::HoldS(most) => {
            let short_s = form.short_s.map_or(*most, |short| short.min(*most));
            Some(Form {
                short_s: Some(short_s),
                ..form
            })
        }
    })
}

/// Whether a posture asks at least a grade of a demand on either side.
pub fn asks(posture: &Posture, demand: &crate::words::DemandId, grade: Grade) -> bool {
    posture
        .demands
        .get(demand)
        .is_some_and(|asks| asks.left.max(asks.right).is_some_and(|most| most >= grade))
}
