//! Conditions over measures and facts, as `rules/` writes them: `knee_load_pct >= 10`,
//! `level is kneeling or hands-and-knees`, `belly-pressed`, `deep-hip-bend some`.
//!
//! [`parse`] turns the words of one line into a [`Condition`]; [`super::scene`] asks whether it
//! holds. Invariant: all sided measures of one condition are read on the same side of the body, so
//! that joined conditions speak of one joint.

mod fact;
mod parse;
mod quantity;

use std::sync::Arc;

use crate::words::{DemandId, Level};

pub use fact::Fact;
pub use parse::{Fault, Meanings, parse};
pub use quantity::{Comparison, Quantity};

/// How much of a demand a shape asks.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// Some.
    Some,
    /// Much.
    Much,
}

impl Grade {
    /// The word as written in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Some => "some",
            Self::Much => "much",
        }
    }

    /// The grade of a word, if it is one.
    pub fn parse(word: &str) -> Option<Self> {
        match word {
            "some" => Some(Self::Some),
            "much" => Some(Self::Much),
            _ => None,
        }
    }
}

/// A condition, as a tree.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// A quantity against a number.
    Compare {
        /// What is compared.
        quantity: Quantity,
        /// How.
        comparison: Comparison,
        /// With what.
        limit: f64,
    },
    /// The level is one of these.
    LevelIs(Vec<Level>),
    /// A fact of at least this grade holds.
    Fact(Fact),
    /// The shape asks at least this much of another demand, on this side of the body.
    Demand {
        /// Which demand.
        demand: DemandId,
        /// How much of it.
        grade: Grade,
        /// What that means: the demand's own condition of that grade.
        means: Arc<Condition>,
    },
    /// All hold.
    All(Vec<Condition>),
    /// One holds.
    Any(Vec<Condition>),
    /// It does not hold.
    Not(Box<Condition>),
}

impl Condition {
    /// One condition of a list in which all must hold.
    pub fn all(mut conditions: Vec<Condition>) -> Self {
        match conditions.len() {
            1 => conditions.remove(0),
            _ => Self::All(conditions),
        }
    }

    /// Whether any part speaks of time, so that the answer changes with the hold.
    pub fn speaks_of_time(&self) -> bool {
        match self {
            Self::Compare { quantity, .. } => quantity.is_time(),
            Self::LevelIs(_) | Self::Fact(_) => false,
            Self::Demand { means, .. } => means.speaks_of_time(),
            Self::All(parts) | Self::Any(parts) => parts.iter().any(Self::speaks_of_time),
            Self::Not(part) => part.speaks_of_time(),
        }
    }

    /// Whether any part is read on one side of the body; otherwise left and right answer alike.
    pub fn is_sided(&self) -> bool {
        let comparisons = self.comparisons();
        comparisons.iter().any(|(quantity, ..)| quantity.is_sided())
    }

    /// Every comparison in it, those of the demands that it names included.
    pub fn comparisons(&self) -> Vec<(Quantity, Comparison, f64)> {
        match self {
            Self::Compare {
                quantity,
                comparison,
                limit,
            } => {
                vec![(*quantity, *comparison, *limit)]
            }
            Self::LevelIs(_) | Self::Fact(_) => Vec::new(),
            Self::Demand { means, .. } => means.comparisons(),
            Self::All(parts) | Self::Any(parts) => {
                parts.iter().flat_map(Self::comparisons).collect()
            }
            Self::Not(part) => part.comparisons(),
        }
    }
}
