//! `data/` and `rules/` as checked values: postures, their alternatives, links, demands, rules.
//!
//! Loaded once, from the built-in files and from `--library DIR`; read by everything after.
//! Invariant: every id that a value of the library names exists in the library.

pub mod blanket;
pub mod check;
pub mod condition;
mod cores;
pub mod demand;
pub mod graph;
mod load;
pub mod names;
pub mod posture;
pub mod recompute;
pub mod rule;
pub mod scene;
mod settled;
mod site;

use std::collections::BTreeMap;

use crate::input::table::Whereabouts;
use crate::words::{
    DemandId, LimitationId, LinkId, PostureId, PurposeId, RuleId, SourceId, StanceId, Way,
};

/// Everything that `data/` and `rules/` say.
#[derive(Clone, Debug)]
pub struct Library {
    /// Postures by id, settled and measured.
    pub postures: BTreeMap<PostureId, posture::Posture>,
    /// Every alternative, grouped by the posture it starts from.
    pub alternatives: BTreeMap<PostureId, Vec<graph::Alternative>>,
    /// Ways between levels.
    pub links: BTreeMap<LinkId, graph::Link>,
    /// Resting shapes given as a sit-out. The first asks nothing.
    pub rests: Vec<graph::Rest>,
    /// What postures can be for, with plain words.
    pub purposes: BTreeMap<PurposeId, String>,
    /// Demands by id.
    pub demands: BTreeMap<DemandId, demand::Demand>,
    /// Areas, conditions and needs by id.
    pub limitations: BTreeMap<LimitationId, rule::Limitation>,
    /// References.
    pub sources: BTreeMap<SourceId, rule::Reference>,
    /// Questions on which sources disagree.
    pub stances: BTreeMap<StanceId, rule::Stance>,
    /// Budgets of bouts and class totals.
    pub budgets: rule::Budgets,
    /// Versions of a whole class, in the order written.
    pub blankets: Vec<blanket::Blanket>,
    /// Integer weights of the plan.
    pub weights: rule::Weights,
    /// Seconds for talk, props and links.
    pub timing: rule::Timing,
    /// How people's own words are read.
    pub lexicon: crate::lexicon::Book,
    /// Sets of warning signs by their letter.
    pub signs: BTreeMap<String, String>,
    /// Names of postures, folded, for look-up.
    pub names: posture::Names,
    /// A hash of every file read, in hex, for `made_with`.
    pub hash: String,
    /// Ids that `--library` replaced.
    pub replaced: Vec<String>,
    /// Where things are written, for those who mend them.
    pub written: Written,
}

impl Library {
    /// A rule of a limitation; none for what a clinician said, which has ids of its own.
    pub fn rule(&self, limitation: &LimitationId, id: &RuleId) -> Option<&rule::Rule> {
        let mut rules = self.limitations.get(limitation)?.rules.iter();
        rules.find(|rule| rule.id == *id)
    }
}

/// File and line of what a library says: `rules/limitations/knee.yaml, line 18`.
#[derive(Clone, Debug, Default)]
pub struct Written {
    /// Of postures.
    pub postures: BTreeMap<PostureId, Whereabouts>,
    /// Of alternatives: from, to and the way.
    pub alternatives: BTreeMap<(PostureId, PostureId, Way), Whereabouts>,
    /// Of rules.
    pub rules: BTreeMap<RuleId, Whereabouts>,
}
