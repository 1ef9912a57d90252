//! One student's way through the class.

use serde::{Deserialize, Serialize};

use crate::words::{
    BodySide, DemandId, LimitationId, PostureId, Prop, PropCounts, RuleId, Side, SourceId,
    Strength, StudentId, Verdict,
};

/// What is known of a student.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// They told something.
    Told,
    /// Asked, and nothing to tell.
    Nothing,
    /// Never asked: unknown.
    NotAsked,
    /// Would rather not say: unknown.
    Declined,
}

/// One student's whole path.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StudentPlan {
    /// The id.
    pub id: StudentId,
    /// The name.
    pub name: String,
    /// The shortest start of the name that is unique in the room.
    pub short_name: String,
    /// What is known.
    pub state: State,
    /// Nothing may be concluded: not asked, declined, or nothing understood of what they told.
    #[serde(default)]
    pub unknown: bool,
    /// On the own page, the cautions and their own card only.
    pub confidential: bool,
    /// Share of the steps in which they do another shape than the one taught, 0 to 1.
    pub stray_share: f64,
    /// `room`, `video` or `recording`.
    #[serde(rename = "where")]
    pub place: String,
    /// What they need to follow, in words.
    pub access: Vec<String>,
    /// `yes`, `ask`, `no` or `not-asked`.
    pub touch: String,
    /// Minutes late.
    pub late_min: u32,
    /// The teacher's note.
    pub note: Option<String>,
    /// What they told that no caution names, in their own words where there are any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub told: Vec<String>,
    /// Their feet do not reach the floor from a chair: before which step what is under them is put away;
    /// past the last where they never stand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_step_until: Option<usize>,
    /// From which step on it is back under them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_step_back: Option<usize>,
    /// Theirs is a chair with arms, to rise from.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub rises_by_arms: bool,
    /// Under an open ask-first.
    pub ask_first: Vec<String>,
    /// Words that were not understood.
    pub unrecognised: Vec<String>,
    /// What they do at each step.
    pub assignments: Vec<Assignment>,
}

/// What one student does at one step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Assignment {
    /// The step's index.
    pub step: usize,
    /// The shape.
    pub posture: PostureId,
    /// Which side leads.
    pub side: Side,
    /// How long they hold it.
    pub hold_s: u32,
    /// What they use.
    pub props: PropCounts,
    /// Padding under the knees.
    pub padded: bool,
    /// A rest given as a last resort.
    pub sit_out: bool,
    /// How they got here, where the level changes.
    pub link: Option<LinkTaken>,
    /// What kept them from the class’s way here, or from the usual one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub way_kept: Vec<Finding>,
    /// What the rules say of this shape for them.
    pub verdicts: Vec<Finding>,
    /// The taught shape and what kept them from it, where they do another.
    pub instead_of: Vec<InsteadOf>,
}

impl StudentPlan {
    /// What is brought to them for the way to a step: what the way needs and they do not have in hand
    /// before or after it.
    pub fn brought_for_way(&self, step: usize) -> PropCounts {
        let here = step.checked_sub(1).and_then(|at| self.assignments.get(at));
        let before = step.checked_sub(2).and_then(|at| self.assignments.get(at));
        let in_hand = |prop: &Prop| {
            let mut around = before.into_iter().chain(here);
            around.any(|one| one.props.contains_key(prop))
        };
        let needed = here.and_then(|one| one.link.as_ref());
        let needed = needed.into_iter().flat_map(|link| &link.props);
        needed
            .filter(|(prop, _)| !in_hand(prop))
            .map(|(&prop, &number)| (prop, number))
            .collect()
    }
}

impl Assignment {
    /// What the rules say of the taught shapes that are not taken.
    pub fn kept_from(&self) -> impl Iterator<Item = &Finding> {
        self.instead_of.iter().flat_map(|instead| &instead.verdicts)
    }

    /// Everything the rules say here: of the shape given, then of those not taken.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.verdicts.iter().chain(self.kept_from())
    }
}

/// A link that a student takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LinkTaken {
    /// Its id.
    pub id: String,
    /// How long it takes.
    pub seconds: u32,
    /// What it needs.
    pub props: PropCounts,
    /// It is another way than the class’s, or than the usual one where the class stays as it is.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub apart: bool,
    /// What the rules say of it for them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub verdicts: Vec<Finding>,
}

/// The shape not taken, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct InsteadOf {
    /// The shape.
    pub posture: PostureId,
    /// Which side led.
    pub side: Side,
    /// What the rules say of it.
    pub verdicts: Vec<Finding>,
}

/// What one rule says of one shape for one student: which number met which limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// The rule; guidance and needs have ids of their own.
    pub rule: RuleId,
    /// The limitation it belongs to.
    pub limitation: LimitationId,
    /// The demand.
    pub demand: DemandId,
    /// What it says.
    pub verdict: Verdict,
    /// The measure that decided, with its side.
    pub measure: String,
    /// Its value.
    pub value: Option<f64>,
    /// The limit it met.
    pub limit: Option<f64>,
    /// How well the rule is backed.
    pub strength: Strength,
    /// Its first source, if it names one.
    pub source: Option<SourceId>,
    /// Which side of the body, for a sided demand.
    pub side: Option<BodySide>,
    /// How an `ease` is met here, in words to say.
    pub easing: Option<String>,
}
