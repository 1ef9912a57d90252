//! Conditions over measures and facts, as `rules/` writes them: `knee_load_pct >= 10`,
//! `level is kneeling or hands-and-knees`, `belly_pressed`, `deep-hip-bend some`.
//!
//! Invariant: all sided measures of one condition are read on the same side of the body, so that
//! joined conditions speak of one joint.

use crate::body::Measure;
use crate::words::{DemandId, Level};

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

/// How a quantity is compared with its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// `>=`
    AtLeast,
    /// `>`
    Above,
    /// `<=`
    AtMost,
    /// `<`
    Below,
}

/// A number that a condition can compare: one of the body, or of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// A measure of the body model.
    Body(Measure),
    /// Effort in MET, from published tables.
    EffortMet,
    /// The step's hold in seconds.
    HoldS,
    /// The unbroken run that this step belongs to, in seconds; a single step's hold where the run
    /// is not known yet.
    BoutS,
    /// The class total, in seconds; a single step's hold where it is not known yet.
    ClassS,
}

/// Something that geometry cannot give: authored on the posture, or true of the form given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fact {
    /// The breath is held.
    BreathHeld,
    /// The breath is changed mildly or strongly.
    BreathChanged(Grade),
    /// Eyes closed: some = sitting or lying, much = standing.
    EyesClosed(Grade),
    /// Belly work.
    TrunkEffort(Grade),
    /// The belly is pressed.
    BellyPressed,
    /// The knees are padded.
    KneePadded,
    /// A hand, a wall or a chair steadies the body.
    Supported,
    /// The seat is raised above the floor.
    SeatRaised,
    /// The gaze goes up with the head back.
    LookingUp,
    /// Hands are clasped behind the back.
    HandsBehind,
    /// A standing shape that is held without a change.
    Still,
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
    Demand(DemandId, Grade),
    /// All hold.
    All(Vec<Condition>),
    /// One holds.
    Any(Vec<Condition>),
    /// It does not hold.
    Not(Box<Condition>),
}
