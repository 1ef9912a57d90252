//! What one person does otherwise than what is shown, line by line: for their card and, for a
//! confidential person, for the teacher's own page.
//!
//! Invariant: nothing of anybody else.

use std::cmp::Ordering;

use super::reading::Reading;
use super::sides::{On, with_sides};
use super::words::{GOING, capital};
use crate::adapted::{Assignment, Finding, Step, StudentPlan};
use crate::library::graph::Link;
use crate::words::{Level, PostureId, Side, Verdict};

/// A line that somebody does otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Change {
    /// Seconds from the start.
    pub start_s: u32,
    /// The section's name.
    pub section: String,
    /// The shape that everyone is shown.
    pub shown: String,
    /// What they do, with its sides; the first is the shape, where it is another.
    pub does: Vec<String>,
    /// Whether they do another shape on every turn, one that can be named.
    pub another: bool,
    /// Whether it is the shape that was planned, where another is shown.
    pub as_planned: bool,
    /// The shape and side that they do.
    pub figure: (PostureId, Side),
}

impl Reading<'_> {
    /// Every line that a person does otherwise, in order of the class.
    pub(super) fn changes(&self, student: &StudentPlan) -> Vec<Change> {
        self.by_line()
            .into_iter()
            .filter_map(|(first, steps)| self.change(student, first, &steps))
            .collect()
    }

    fn change(&self, student: &StudentPlan, first: &Step, steps: &[&Step]) -> Option<Change> {
        let mut said: Vec<(String, Vec<On>)> = Vec::new();
        let mut note = |words: &str, on: On| match said.iter_mut().find(|(known, _)| known == words)
        {
            Some((_, all)) => all.push(on),
            None => said.push((words.to_owned(), vec![on])),
        };
        let (mut figure, mut others, mut as_planned) = (None, 0, true);
        for step in steps {
            let assignment = student.assignments.get(step.index - 1)?;
            let turn = step.taught.side;
            let shown =
                assignment.posture == step.lead.posture && assignment.side == step.lead.side;
            if !shown {
                let on = On {
                    turn,
                    body: Side::None,
                };
                note(&self.choice(assignment), on);
                others += 1;
            }
            let mut changed = !shown;
            as_planned &= assignment.posture == step.taught.posture;
            for (words, body) in eased(&assignment.verdicts) {
                note(words, On { turn, body });
                changed = true;
            }
            for (words, body) in self.way(student, assignment) {
                let turn = Side::None;
                note(&words, On { turn, body });
                changed = true;
            }
            if changed && figure.is_none() {
                figure = Some((assignment.posture.clone(), assignment.side));
            }
        }
        let two_sided = steps
            .iter()
            .any(|step| step.taught.side != first.taught.side);
        let lead = self.lead_of(first);
        Some(Change {
            start_s: first.start_s,
            section: first.section.clone(),
            shown: first.lead.name.clone(),
            does: said
                .iter()
                .map(|(words, on)| capital(&with_sides(words, on, two_sided, lead)))
                .collect(),
            another: others == steps.len() && said.iter().any(|(_, on)| on.len() == others),
            as_planned,
            figure: figure?,
        })
    }

    /// The words of the shape that somebody is given.
    fn choice(&self, assignment: &Assignment) -> String {
        let posture = self.library.postures.get(&assignment.posture);
        match (posture, assignment.sit_out) {
            (Some(posture), false) => posture.choice.clone(),
            (Some(posture), true) => format!("Rest: {}", super::words::lower(&posture.choice)),
            (None, _) => "Pause as you are".to_owned(),
        }
    }
}

impl Reading<'_> {
    /// How somebody gets to a step where it is not the class's way, and what eases the way they take.
    pub(super) fn way(
        &self,
        student: &StudentPlan,
        assignment: &Assignment,
    ) -> Vec<(String, Side)> {
        let Some(taken) = &assignment.link else {
            return Vec::new();
        };
        let Some(link) = self.library.links.get(taken.id.as_str()) else {
            return Vec::new();
        };
        let going = self.going(link);
        let own = taken
            .apart
            .then(|| (format!("{going}: {}", link.words), Side::None));
        let eased = eased(&taken.verdicts).into_iter();
        let eased = eased.map(|(words, body)| (format!("{going}: {words}"), body));
        let spared = spared(student, assignment, link);
        let spared = spared.map(|body| (format!("{going}: {NO_HAND}"), body));
        own.into_iter().chain(eased).chain(spared).collect()
    }

    /// Whether a way leads down, up or across.
    pub(super) fn going(&self, link: &Link) -> &'static str {
        let heights = &self.library.weights.heights;
        let height =
            |levels: &[Level]| levels.first().and_then(|level| heights.get(level)).copied();
        let [down, over, up] = GOING;
        match height(&link.to).cmp(&height(&link.from)) {
            Ordering::Less => down,
            Ordering::Equal => over,
            Ordering::Greater => up,
        }
    }
}

/// What is said on the way to somebody who is kept from using a hand.
const NO_HAND: &str = "no weight on the hand";

/// The side of the body whose hand stays free on a way to or from the floor, for somebody whom the use of that
/// hand keeps from a way of the class: nobody hears “down by one knee” and thinks of the hands.
fn spared(student: &StudentPlan, assignment: &Assignment, link: &Link) -> Option<Side> {
    let taken = assignment.link.as_ref().filter(|taken| !taken.apart)?;
    let mut levels = link.from.iter().chain(&link.to);
    let on_the_floor = levels.any(|level| level.is_floor()) && taken.props.is_empty();
    let mut ways = student.assignments.iter();
    let kept = ways.find_map(|given| {
        let kept = given.way_kept.iter().find(|finding| {
            finding.demand.as_str() == "weight-on-hands"
                && matches!(finding.verdict, Verdict::Avoid | Verdict::AskFirst)
        })?;
        Some(body_side(&given.way_kept, kept))
    });
    kept.filter(|_| on_the_floor)
}

/// The words of easings, and the side of the body that each is about.
pub(super) fn eased(findings: &[Finding]) -> Vec<(&str, Side)> {
    let mut found: Vec<(&str, Side)> = Vec::new();
    for finding in findings {
        if let (Verdict::Ease, Some(words)) = (finding.verdict, &finding.easing) {
            let one = (words.as_str(), body_side(findings, finding));
            if !found.contains(&one) {
                found.push(one);
            }
        }
    }
    found
}

/// The side of the body that a finding is about: none where the same falls on both.
pub(super) fn body_side(findings: &[Finding], finding: &Finding) -> Side {
    let both = findings
        .iter()
        .any(|other| other.demand == finding.demand && other.side != finding.side);
    finding
        .side
        .filter(|_| !both)
        .map_or(Side::None, Side::from)
}
