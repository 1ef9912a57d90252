//! What a version cannot keep: said, never passed over.

use std::collections::BTreeMap;

use super::path::{Path, planned_name};
use crate::class::{Choice, ClassPlan, Taught};
use crate::words::PurposeId;

/// Something that a version does not keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Loss {
    /// Purposes of planned shapes that the shapes in their places do not serve, at these lines.
    Purposes(Vec<usize>, Vec<PurposeId>),
    /// Nothing that fits is near the planned shapes: a rest or a pause stands at these lines.
    Paused(Vec<usize>),
    /// A shape of the teacher’s own that is like nothing in the library, so that nothing is known.
    Unknown(usize, String),
    /// A shape that the plan was to keep.
    NotKept(usize, String),
    /// A shape with two sides has time for one.
    OneSide(usize, String),
    /// Choices in the teacher’s own words stand at these lines: nobody has looked at them.
    OwnWords(Vec<usize>),
    /// The class ends without a rest that could be made longer.
    NoRest,
    /// The class runs over by so many seconds.
    Over(u32),
}

/// Everything that a path does not keep of a class.
pub(super) fn losses(class: &ClassPlan, path: &Path<'_>, over_s: u32) -> Vec<Loss> {
    let mut losses = Vec::new();
    let mut paused = Vec::new();
    let mut purposes: BTreeMap<PurposeId, Vec<usize>> = BTreeMap::new();
    for given in &path.given {
        let (number, line) = (given.number(), given.line.line);
        let name = || planned_name(line, path.library);
        let own = matches!(line.taught, Taught::Own { like: None, .. });
        if own && given.is_other() {
            losses.push(Loss::Unknown(number, name()));
        } else if given.is_pause() || given.assignment.sit_out {
            paused.push(number);
        } else if let (Some(planned), Some(posture)) = (given.planned, given.posture) {
            for (purpose, _) in planned.purposes_lost(posture) {
                let lines = purposes.entry(purpose.clone()).or_default();
                lines.push(number);
            }
        }
        if given.gains_sides() && !given.has_time_for_both() && !given.is_rest() {
            let name = given
                .posture
                .map_or_else(name, |posture| posture.name().to_owned());
            losses.push(Loss::OneSide(number, name));
        }
    }
    if !paused.is_empty() {
        losses.push(Loss::Paused(paused));
    }
    let others = |number: usize| path.of(number).is_some_and(|given| given.is_other());
    for line in class
        .lines()
        .filter(|line| line.keep && others(line.number))
    {
        losses.push(Loss::NotKept(line.number, planned_name(line, path.library)));
    }
    let mut by_lines: BTreeMap<Vec<usize>, Vec<PurposeId>> = BTreeMap::new();
    for (purpose, lines) in purposes {
        by_lines.entry(lines).or_default().push(purpose);
    }
    let by_lines = by_lines.into_iter();
    losses.extend(by_lines.map(|(lines, purposes)| Loss::Purposes(lines, purposes)));
    let said = class.lines().filter(|line| {
        let own = |choice: &Choice| matches!(choice, Choice::Words(_));
        !others(line.number) && line.or.iter().any(own)
    });
    let said: Vec<usize> = said.map(|line| line.number).collect();
    if !said.is_empty() {
        losses.push(Loss::OwnWords(said));
    }
    if over_s > 0 {
        losses.push(Loss::Over(over_s));
    }
    losses
}
