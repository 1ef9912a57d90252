//! Limitations with their rules, sources, stances, budgets, weights and timing.

use std::collections::BTreeMap;

use super::condition::{Condition, Grade};
use crate::roster::Approach;
use crate::words::{
    BodySide, DemandId, Level, LimitationId, RuleId, Severity, SourceId, StanceId, Strength, Use,
    Verdict,
};

/// What sort of thing a student reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitationKind {
    /// A part of the body.
    Area,
    /// A condition.
    Condition,
    /// A need: `no-` and a demand, or `stays-in-chair`.
    Need,
}

/// What the weeks of a limitation count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// It has no weeks.
    None,
    /// Weeks of pregnancy.
    Pregnancy,
    /// Weeks since an operation or a birth.
    Since,
}

/// An area, condition or need of `rules/limitations`.
#[derive(Clone, Debug)]
pub struct Limitation {
    /// Its id.
    pub id: LimitationId,
    /// Area, condition or need.
    pub kind: LimitationKind,
    /// The plain name on the teacher's own pages: "knee".
    pub name: String,
    /// Its name where a side of it is told, with `*` for the side: "stroke, * side weak"; none: the side before the
    /// name.
    pub name_on_side: Option<String>,
    /// Whether it has a side.
    pub sided: bool,
    /// What it counts from.
    pub clock: Clock,
    /// Words by language code.
    pub synonyms: BTreeMap<String, Vec<String>>,
    /// Words that refine it (`kind` in a roster), each with the words that mean it.
    pub kinds: BTreeMap<String, Vec<String>>,
    /// What to ask.
    pub ask: Vec<String>,
    /// One sentence that ends in deferral; none where nothing is printed.
    pub caution: Option<String>,
    /// What the teacher sees to, beside every rule.
    pub remind: Option<Remind>,
    /// Letters of the warning-sign sets.
    pub signs: Vec<String>,
    /// When the fact is stale.
    pub stale: Stale,
    /// Places that its rules tell apart (`site` in a roster), each with the words that mean it.
    pub sites: BTreeMap<String, Vec<String>>,
    /// How the rules of the area that a site names apply, beside its own.
    pub of_area: Option<OfArea>,
    /// Its rules. Empty: accepted, and asked about before class.
    pub rules: Vec<Rule>,
}

impl Limitation {
    /// Its name on a side: "left knee", "stroke, left side weak".
    pub fn name_on(&self, side: BodySide) -> String {
        let side = side.to_string();
        match &self.name_on_side {
            Some(name) => name.replace('*', &side),
            None => format!("{side} {}", self.name),
        }
    }
}

/// What the teacher sees to for somebody: no rule, and nothing is planned by it.
#[derive(Clone, Debug, PartialEq)]
pub struct Remind {
    /// What it is.
    pub words: String,
    /// Of which shapes, as this person is given them; none: it is said whatever the class is.
    pub when: Option<Condition>,
}

/// After how many days a fact is asked about again; none: never.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stale {
    /// Usually.
    pub usual_days: Option<u32>,
    /// When it was told as acute.
    pub acute_days: Option<u32>,
    /// In the first time after an operation or a birth: so many days, until that age in days.
    pub early: Option<(u32, i64)>,
}

/// How the rules of an area apply to a limitation whose site it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OfArea {
    /// One step milder; what is acute stays acute.
    Milder,
    /// As after an operation: what an acute area is kept from or eased for waits for a word; with a
    /// word the area counts as moderate until the twelfth week is over, then as mild.
    Operated {
        /// Why a shape waits for a word.
        because: String,
    },
}

/// Which side of the body a rule looks at, from the side of the limitation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleSide {
    /// The side that is sore.
    Same,
    /// The other one.
    Opposite,
    /// Either; also every demand without sides.
    Either,
}

/// When in weeks a rule holds, in days of the limitation's clock.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Window {
    /// First day on which it holds.
    pub from_days: Option<i64>,
    /// First day on which it no longer holds.
    pub to_days: Option<i64>,
    /// The stance whose number of weeks replaces `from_days` (`to_days` when `from_days` is none).
    pub stance: Option<StanceId>,
    /// Holds while no guidance about the limitation is recorded, whatever the weeks.
    pub until_word: bool,
}

/// A way to meet an `ease`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EaseBy {
    /// Padding under the knees: a blanket.
    Padded,
    /// A wall place or a chair within reach.
    Support,
    /// A hold of at most so many seconds.
    HoldS(u32),
    /// Words on the crib; the shape stays.
    Words,
    /// Another shape; this one counts as `avoid`.
    Shape,
}

/// An easing: how it is said, and by what it can be met, first choice first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Easing {
    /// Said to the person: "bend less".
    pub words: String,
    /// Said in place of it where that hand is on the floor, a wall or a chair; none: the same words.
    pub hand_down: Option<String>,
    /// Ways to meet it. Empty counts as `Shape`.
    pub by: Vec<EaseBy>,
}

/// The stance that changes a rule: for each of its options the verdicts that replace the rule's
/// own; an empty map switches the rule off under that option, a missing option leaves it.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleStance {
    /// Which stance.
    pub stance: StanceId,
    /// Verdicts by option and severity.
    pub options: BTreeMap<String, BTreeMap<Severity, Verdict>>,
}

/// Limitation × demand → limit and verdict.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its id.
    pub id: RuleId,
    /// The limitation it belongs to.
    pub limitation: LimitationId,
    /// The demand it looks at.
    pub demand: DemandId,
    /// The demand's own grade, when the rule uses it; also what a link is compared with.
    pub grade: Option<Grade>,
    /// The whole condition: the grade's or the rule's own, joined with what the rule adds.
    pub when: Condition,
    /// Which side of the body is looked at.
    pub side: RuleSide,
    /// The verdict for each severity that has one.
    pub verdicts: BTreeMap<Severity, Verdict>,
    /// When in weeks it holds.
    pub window: Window,
    /// Holds only when the limitation's kinds include one of these; empty: always. [`NOT_TOLD`] stands
    /// for no kind at all.
    pub kinds: Vec<String>,
    /// Does not hold when the limitation's kinds include one of these.
    pub not_kinds: Vec<String>,
    /// Holds only when the site is one of these; empty: always. [`NOT_TOLD`] stands for a site
    /// that nobody told, or that means nothing here.
    pub sites: Vec<String>,
    /// Holds only for these approaches; empty: always.
    pub approaches: Vec<Approach>,
    /// The stance that changes it.
    pub stance: Option<RuleStance>,
    /// A fit matter, not a caution: nothing is printed.
    pub silent: bool,
    /// Acts on the whole class (rest only) instead of on one demand.
    pub whole_class: bool,
    /// Asked once before class, in these words: a watch of it stands at no step.
    pub ask_once: Option<String>,
    /// How an `ease` is met.
    pub easing: Easing,
    /// Why, in words that may be printed.
    pub because: String,
    /// How well it is backed.
    pub strength: Strength,
    /// Its sources.
    pub sources: Vec<SourceId>,
    /// Postures that prove it.
    pub proof: Proof,
}

/// The word for a site or a kind that nobody told.
pub const NOT_TOLD: &str = "not-told";

/// Whoever gets to and from the floor with a chair beside them: the kind of `no-getting-down` that says so.
pub const WITH_A_CHAIR: &str = "with-a-chair";

/// A posture or a way between levels that proves a rule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProofOn {
    /// The id of a posture or of a link.
    pub id: String,
    /// On the leading side of the body (left), or on the other (right); none: on either.
    pub on: Option<BodySide>,
}

/// Postures and ways that prove a rule.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proof {
    /// Must be caught.
    pub hits: Vec<ProofOn>,
    /// Must not be caught.
    pub misses: Vec<ProofOn>,
    /// The hold in seconds under which the proof is read; 30 unless the rule speaks of time.
    pub hold_s: u32,
}

/// A full reference of `rules/sources.yaml`.
#[derive(Clone, Debug)]
pub struct Reference {
    /// Its id.
    pub id: SourceId,
    /// Who wrote what, where, when.
    pub text: String,
    /// Seen, seen second hand, or from memory.
    pub basis: String,
    /// What it can and cannot carry, in a sentence for `why`.
    pub note: Option<String>,
}

/// A question on which sources disagree.
#[derive(Clone, Debug)]
pub struct Stance {
    /// Its id.
    pub id: StanceId,
    /// The question.
    pub question: String,
    /// The options, in order; words or numbers of weeks.
    pub options: Vec<String>,
    /// The cautious one.
    pub default: String,
    /// One side, with its sources.
    pub one_side: String,
    /// The other side, with its sources.
    pub other_side: String,
    /// What the sheet says under each option: one sentence.
    pub words: BTreeMap<String, String>,
}

/// A limit on a bout and on the class.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limit {
    /// Longest unbroken run in seconds, if limited.
    pub bout_s: Option<u32>,
    /// Most in a class in seconds, if limited.
    pub class_s: Option<u32>,
}

/// A personal budget: hard in the plan.
#[derive(Clone, Debug)]
pub struct PersonalBudget {
    /// For whom.
    pub whom: Whom,
    /// Of what.
    pub of: Use,
    /// How much.
    pub limit: Limit,
}

/// `rules/budgets.yaml`.
#[derive(Clone, Debug, Default)]
pub struct Budgets {
    /// Of the house: advice only.
    pub house: BTreeMap<Use, Limit>,
    /// The house bout of kneeling when padded, in seconds.
    pub house_kneeling_padded_s: u32,
    /// Trips down to the floor that the house allows before advice.
    pub house_trips: u32,
    /// Personal ones.
    pub personal: Vec<PersonalBudget>,
    /// Trips down to the floor that some are advised to keep to; people after 70 too.
    pub personal_trips: u32,
    /// For whom.
    pub trips_for: Vec<Whom>,
}

/// Whom a budget is for.
#[derive(Clone, Debug)]
pub struct Whom {
    /// For whom.
    pub limitation: LimitationId,
    /// At which severities; empty: all.
    pub severities: Vec<Severity>,
    /// When in weeks.
    pub window: Window,
}

/// What tells that somebody needs a seat more than others do: their own rules speak of one of these (our
/// choice, common practice, no source).
pub const NEEDS_A_CHAIR: [&str; 4] = ["getting-down", "kneeling", "standing-still", "balance"];

/// `rules/weights.yaml`: all integers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Weights {
    /// A shape on the menu beyond the first.
    pub option: i64,
    /// A shape above `max_options`.
    pub excess: i64,
    /// The taught shape leaves the menu.
    pub lead: i64,
    /// A sit-out.
    pub rest: i64,
    /// More for a sit-out out of a chair, for whoever needs one ([`NEEDS_A_CHAIR`]).
    pub need: i64,
    /// More for a shape off the floor where the class is on it, for whoever few trips down are advised.
    pub trip: i64,
    /// One prop more or less from one step to the next.
    pub prop_change: i64,
    /// An easing by props or a shorter hold.
    pub easing: i64,
    /// A purpose lost, for each point of its weight.
    pub purpose: i64,
    /// How far an alternative may lie from the taught shape.
    pub reach: i64,
    /// Heights of the levels, for the cost of changing between them.
    pub heights: BTreeMap<Level, i64>,
}

/// `data/timing.yaml`: seconds that the tool adds where the teacher set none aside.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Timing {
    /// Talk for a posture met for the first time in the class.
    pub new_posture_s: u32,
    /// Talk for a posture met before.
    pub known_posture_s: u32,
    /// Turning to the second side.
    pub second_side_s: u32,
    /// Fetching or folding props.
    pub props_s: u32,
    /// Each thing that is carried, beside `props_s`.
    pub thing_s: u32,
}

impl Timing {
    /// The same with the seconds that the teacher set, by name.
    pub fn with(&self, set: &BTreeMap<String, u32>) -> Self {
        let or = |name: &str, usual: u32| set.get(name).copied().unwrap_or(usual);
        Self {
            new_posture_s: or("new_posture_s", self.new_posture_s),
            known_posture_s: or("known_posture_s", self.known_posture_s),
            second_side_s: or("second_side_s", self.second_side_s),
            props_s: or("props_s", self.props_s),
            thing_s: or("thing_s", self.thing_s),
        }
    }
}
