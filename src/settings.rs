//! What the teacher sets: the props in the cupboard, stances, weights, words of the sheet.
//!
//! Made by `input::props` and `input::settings`. Invariant: what is not set stays unset, so that
//! a sheet leaves a ruled blank and never an invented line.

use std::collections::BTreeMap;

use jiff::civil::Time;

use crate::words::{BodySide, PropCounts, StanceId};

/// The cupboard. `None` means unlimited: the sheet says what is needed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PropStock {
    /// How many of each prop there are; a prop that is not listed in a written stock is not there.
    pub counts: Option<PropCounts>,
}

/// Which option is offered first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OptionOrder {
    /// The gentlest first.
    Gentle,
    /// The middle one first.
    #[default]
    Middle,
    /// The strongest first.
    Strong,
}

/// `--settings FILE`: all optional.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Stances where sources disagree, by id; what is missing takes the default.
    pub stances: BTreeMap<StanceId, String>,
    /// Weights that replace those of `rules/weights.yaml`, by name.
    pub weights: BTreeMap<String, i64>,
    /// Seconds that replace those of `data/timing.yaml`, by name.
    pub timing: BTreeMap<String, u32>,
    /// The side that leads first; right when nothing else is said.
    pub first_side: BodySide,
    /// Which option is offered first.
    pub option_order: OptionOrder,
    /// Options to say aloud at one step, at most.
    pub spoken: u32,
    /// The teacher's name.
    pub teacher: Option<String>,
    /// A line to reach the teacher.
    pub contact: Option<String>,
    /// The number to call, and where.
    pub emergency: Option<String>,
    /// When the doors open.
    pub doors_open: Option<Time>,
    /// The signal that ends the rest.
    pub rest_signal: Option<String>,
    /// Sentences to say once to everyone.
    pub say_once: Vec<String>,
    /// The teacher faces the class as a mirror.
    pub mirror: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            stances: BTreeMap::new(),
            weights: BTreeMap::new(),
            timing: BTreeMap::new(),
            first_side: BodySide::Right,
            option_order: OptionOrder::default(),
            spoken: 2,
            teacher: None,
            contact: None,
            emergency: None,
            doors_open: None,
            rest_signal: None,
            say_once: Vec::new(),
            mirror: false,
        }
    }
}
