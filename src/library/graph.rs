//! The posture graph's edges, the links between levels, and the rests.

use std::collections::BTreeMap;

use super::condition::Grade;
use crate::words::{DemandId, Level, LinkId, PostureId, PropCounts, Way};

/// An edge: another shape for a posture.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// Where it starts.
    pub from: PostureId,
    /// Where it leads.
    pub to: PostureId,
    /// What kind it is.
    pub way: Way,
    /// Its length in the stray.
    pub cost: u32,
    /// Whether the leading side swaps.
    pub swaps_side: bool,
    /// Demands that it is offered for; `check` proves that it lowers one of them.
    pub eases: Vec<DemandId>,
}

/// A way from one level to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Its id.
    pub id: LinkId,
    /// Levels it starts from.
    pub from: Vec<Level>,
    /// Levels it leads to.
    pub to: Vec<Level>,
    /// How it goes, in plain words: "by hands and knees".
    pub words: String,
    /// Names that a plan may write after `by`.
    pub by: Vec<String>,
    /// Seconds it takes.
    pub seconds: u32,
    /// What it asks, for each demand how much (both sides of the body).
    pub demands: BTreeMap<DemandId, Grade>,
    /// Props it needs for that time.
    pub props: PropCounts,
    /// The hands on the floor may be fists, with straight wrists.
    pub on_fists: bool,
    /// The way that a class takes when nothing is said.
    pub usual: bool,
    /// Kinder ways for the same journey, nearest first.
    pub kinder: Vec<LinkId>,
}

impl Link {
    /// Whether it asks what a rule speaks of: at least the grade that the rule stands on, much where
    /// the rule has a number of its own.
    pub fn asks(&self, demand: &DemandId, grade: Option<Grade>) -> bool {
        let asked = self.demands.get(demand);
        asked.is_some_and(|asked| *asked >= grade.unwrap_or(Grade::Much))
    }
}

/// A resting shape of `data/rests.yaml`.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// The resting posture; none for "pause as you are".
    pub posture: Option<PostureId>,
    /// How it is said: "rest in a chair".
    pub words: String,
}

impl super::Library {
    /// Demands of which an alternative asks less than the posture it starts from, on either side.
    pub fn less_of(&self, edge: &Alternative) -> Vec<DemandId> {
        let asked =
            |posture: &PostureId| self.postures.get(posture).map(|posture| &posture.demands);
        let (Some(from), Some(to)) = (asked(&edge.from), asked(&edge.to)) else {
            return Vec::new();
        };
        let most =
            |asks: Option<&super::posture::Asks>| asks.and_then(|asks| asks.left.max(asks.right));
        from.iter()
            .filter(|(demand, asks)| most(to.get(*demand)) < most(Some(asks)))
            .map(|(demand, _)| demand.clone())
            .collect()
    }
}
