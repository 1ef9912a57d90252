//! Demands: what a shape asks of a body, in plain words, from which number on.

use super::condition::{Condition, Grade};
use crate::words::DemandId;

/// A demand of `rules/demands.yaml`.
#[derive(Clone, Debug)]
pub struct Demand {
    /// Its id.
    pub id: DemandId,
    /// Plain words for a crib: "weight on the knees".
    pub words: String,
    /// Whether it falls on one side of the body.
    pub sided: bool,
    /// From when it asks some.
    pub some: Condition,
    /// From when it asks much.
    pub much: Condition,
    /// From when a wall carries what counts too where somebody asked for none of it.
    pub wall: Option<Condition>,
    /// Below this the model only wavers: a number that a clinician said counts from here on.
    pub noise: f64,
    /// The usual easing, in words.
    pub easing: String,
    /// A study, or "common practice, no source".
    pub source: String,
    /// Unknown people are offered a kinder shape where it is *much*.
    pub kinder_for_unknown: bool,
    /// A shape that asks this much is never the lead when an unknown person is there.
    pub never_lead_for_unknown: bool,
}

impl Demand {
    /// From when a shape asks any of it, a wall's share included.
    pub fn any(&self) -> Condition {
        match &self.wall {
            Some(wall) => Condition::Any(vec![self.some.clone(), wall.clone()]),
            None => self.some.clone(),
        }
    }

    /// The condition of a grade.
    pub fn condition(&self, grade: Grade) -> &Condition {
        match grade {
            Grade::Some => &self.some,
            Grade::Much => &self.much,
        }
    }
}
