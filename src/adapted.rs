//! The adapted class: plain data, the JSON schema `kindfold/adapted/1`.
//!
//! Made by `adapt`, read by the sheets and by the audit. Invariant: every expanded step stands in
//! every student's assignments, in order.

mod student;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::words::{
    DemandId, PostureId, Prop, PropCounts, PurposeId, Side, SourceId, StanceId, Strength, StudentId,
};

pub use student::{Assignment, Finding, InsteadOf, LinkTaken, State, StudentPlan};

/// The schema's name.
pub const SCHEMA: &str = "kindfold/adapted/1";

/// A class, adapted to the people who come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Adapted {
    /// [`SCHEMA`].
    pub schema: String,
    /// What it was made with.
    pub made_with: MadeWith,
    /// The class as a whole.
    pub class: ClassFacts,
    /// Talk, moves and links on the clock.
    pub events: Vec<Event>,
    /// Expanded steps, in order.
    pub steps: Vec<Step>,
    /// Everyone, ordered by short name.
    pub students: Vec<StudentPlan>,
    /// What to look out for, most pressing first.
    pub cautions: Vec<Caution>,
    /// Advice on the plan.
    pub advice: Vec<Advice>,
    /// Props: needed, stock, where they peak.
    pub props: BTreeMap<Prop, PropUse>,
    /// The optimum and its certificate.
    pub plan: PlanFacts,
    /// What to ask before class, quietly, most pressing first.
    pub ask: Vec<Ask>,
    /// What to set out.
    pub set_out: Vec<String>,
    /// What lies under feet that do not reach the floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_steps: Option<FootSteps>,
    /// What to fetch, and when.
    pub fetch: Vec<Fetch>,
    /// Props that run short.
    pub short: Vec<Short>,
    /// A way through where props are short: two waves that change over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waves: Option<Waves>,
    /// Anything else that the teacher needs to know.
    pub notices: Vec<String>,
}

impl Adapted {
    /// Whether no line is left that everybody does as taught; nobody confidential counts.
    pub fn nobody_follows_whole(&self) -> bool {
        let students = self.students.iter();
        let open: Vec<&StudentPlan> = students.filter(|one| !one.confidential).collect();
        let mut away: BTreeMap<usize, bool> = BTreeMap::new();
        for (at, step) in self.steps.iter().enumerate() {
            let mut given = open.iter().filter_map(|one| one.assignments.get(at));
            *away.entry(step.line).or_default() |=
                given.any(|given| given.posture != step.taught.posture);
        }
        open.len() > 1 && away.values().all(|&away| away)
    }

    /// What somebody in the room may choose to use, as it is offered to anyone, though nobody is planned on it
    /// and so none is set out: the most for one person.
    pub fn on_choice(&self) -> PropCounts {
        let laid = |prop: &Prop| {
            let used = self.props.get(prop);
            used.is_some_and(|used| used.laid.number > 0 || used.stock == Some(0))
        };
        let options = self.steps.iter().flat_map(|step| &step.options);
        let open = options.filter(|option| option.for_anyone);
        let mut most = PropCounts::new();
        for (&prop, &number) in open.flat_map(|option| &option.props) {
            if prop != Prop::Mat && !laid(&prop) {
                let most = most.entry(prop).or_insert(0);
                *most = number.max(*most);
            }
        }
        most
    }
}

/// What a plan was made with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MadeWith {
    /// The class's date, ISO.
    pub date: String,
    /// The most shapes on a menu, the lead included.
    pub max_options: u32,
    /// Stances in force.
    pub stances: BTreeMap<String, String>,
    /// Weights in force.
    pub weights: BTreeMap<String, i64>,
    /// Hash of the library.
    pub library: String,
}

/// The class as a whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ClassFacts {
    /// Title.
    pub title: String,
    /// Date, ISO.
    pub date: String,
    /// Clock time of the start, `HH:MM`.
    pub start: Option<String>,
    /// The slot in seconds.
    pub slot_s: u32,
    /// What the plan takes as taught.
    pub planned_s: u32,
    /// What it takes adapted.
    pub adapted_s: u32,
}

/// What kind of event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EventKind {
    /// The teacher speaks.
    Talk,
    /// A taught way from one level to another.
    Move,
    /// The way between two steps.
    Link,
}

/// Something on the clock that is no step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Seconds from the start.
    pub start_s: u32,
    /// How long.
    pub seconds: u32,
    /// What kind.
    pub kind: EventKind,
    /// In words.
    pub text: String,
}

/// A shape by name and side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shape {
    /// Its id.
    pub posture: PostureId,
    /// Its name.
    pub name: String,
    /// Which side leads.
    pub side: Side,
}

/// An expanded step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// From 1, in time order.
    pub index: usize,
    /// The posture's place in the class as written, from 1.
    pub line: usize,
    /// Which round of its run, from 1.
    pub round: u32,
    /// The section's name.
    pub section: String,
    /// Seconds from the start.
    pub start_s: u32,
    /// Hold in seconds.
    pub hold_s: u32,
    /// Hold in breaths, when so written.
    pub breaths: Option<f64>,
    /// The teacher's note.
    pub note: Option<String>,
    /// The teacher's or the posture's cue.
    pub cue: Option<String>,
    /// Props of the lead, a person each.
    pub props: PropCounts,
    /// The teacher's own spoken words.
    pub or: Vec<String>,
    /// As planned.
    pub taught: Shape,
    /// As shown.
    pub lead: Lead,
    /// What is offered beside it.
    pub options: Vec<MenuOption>,
}

/// The shape that the teacher shows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lead {
    /// Its id.
    pub posture: PostureId,
    /// Its name.
    pub name: String,
    /// Which side leads.
    pub side: Side,
    /// Why it is not the taught shape; empty when it is.
    pub changed_because: Vec<DemandCount>,
}

/// How many students a demand keeps from a shape.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DemandCount {
    /// The demand.
    pub demand: DemandId,
    /// How many.
    pub students: usize,
}

/// Another shape offered at a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MenuOption {
    /// Its id.
    pub posture: PostureId,
    /// Its name.
    pub name: String,
    /// Which side leads.
    pub side: Side,
    /// What one person needs.
    pub props: PropCounts,
    /// How it is said.
    pub cue: String,
    /// Who takes it.
    pub students: Vec<StudentId>,
    /// Offered to anyone.
    pub for_anyone: bool,
    /// Among the ones to say aloud.
    pub spoken: bool,
    /// Purposes of the taught shape that it does not serve.
    pub lost_purposes: Vec<PurposeId>,
}

/// What a caution is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CautionKind {
    /// A clinician's word first.
    AskFirst,
    /// Said at the door.
    Today,
    /// Words not understood.
    Unrecognised,
    /// A fact grown old.
    Stale,
    /// Never asked.
    NotAsked,
    /// Nothing changes; look.
    Watch,
    /// What their clinician said.
    Guidance,
    /// Hearing, sight, language, touch.
    Access,
    /// When to stop and get help.
    WarningSigns,
    /// Came late.
    Late,
    /// A reminder.
    Reminder,
}

/// A line of the cautions list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// Whom it concerns; none: everyone.
    pub student: Option<StudentId>,
    /// What kind.
    pub kind: CautionKind,
    /// In words.
    pub text: String,
    /// The steps behind it.
    pub steps: Vec<usize>,
    /// How well it is backed.
    pub strength: Strength,
    /// Its source.
    pub source: Option<SourceId>,
    /// The teacher's stance behind it, where sources disagree.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stance: Option<StanceId>,
    /// Concerns a confidential person.
    pub confidential: bool,
}

/// What a piece of advice is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AdviceKind {
    /// Another shape would serve nearly everyone.
    ReplacePosture,
    /// Fewer trips to the floor.
    GroupLevels,
    /// Something lasts long.
    LongBout,
    /// The class runs over.
    OverTime,
    /// The final rest is short.
    RestShort,
    /// Sides take different times.
    SidesUneven,
    /// A prop runs short.
    PropShort,
    /// Many choices to say.
    MuchToSay,
    /// Another class would serve somebody better.
    WrongClass,
}

/// Advice on the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Advice {
    /// What kind.
    pub kind: AdviceKind,
    /// In words.
    pub text: String,
    /// The steps behind it.
    pub steps: Vec<usize>,
    /// How many students it concerns.
    pub students: usize,
}

/// How much of a prop is needed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PropUse {
    /// The most in use at once, the teacher's included.
    pub needed: u32,
    /// The most at once with what is brought for ways between levels, where that is more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_ways: Option<u32>,
    /// What there is; none: not counted.
    pub stock: Option<u32>,
    /// The step where most are in use.
    pub peak_step: usize,
    /// Who passes one to whom.
    pub handovers: Vec<Handover>,
    /// How it lies before anyone comes.
    #[serde(default)]
    pub laid: Laid,
    /// Steps at which everyone in the room would take all there are in the class as taught.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub none_spare_at: Vec<usize>,
}

/// How a prop lies before anyone comes: the same at every place, the rest along the wall. A confidential
/// person counts here as if they did what is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Laid {
    /// How many in all.
    pub number: u32,
    /// How many at each place.
    pub each: u32,
    /// Places that have it: the teacher's, and of everyone who brings none.
    pub places: u32,
    /// How many people bring their own.
    pub bring: u32,
    /// How many more a confidential person needs.
    pub private: u32,
}

impl Laid {
    /// How many stand along the wall, but for a confidential person's.
    pub fn along_the_wall(&self) -> u32 {
        self.number.saturating_sub(self.each * self.places)
    }
}

/// A prop that changes hands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Handover {
    /// Who has it.
    pub from: StudentId,
    /// Who gets it.
    pub to: StudentId,
    /// Before which step.
    pub before_step: usize,
}

/// Two lines in two waves: what the first wave does at the earlier step the second does at the later one,
/// and the other way round; each does both for the same time. The plan itself is not in waves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Waves {
    /// The earlier and the later step.
    pub steps: [usize; 2],
    /// Who does the class in its order.
    pub first: Vec<StudentId>,
    /// Who does the later step first.
    pub second: Vec<StudentId>,
    /// What each is held, in the order of `steps`, in both waves.
    pub hold_s: [u32; 2],
    /// What the class takes more, so that neither wave is hurried.
    pub adds_s: u32,
    /// What each half does at each of the two turns, shape by shape: the first half's two turns, then the
    /// second's.
    #[serde(default)]
    pub turns: Vec<WaveTurn>,
    /// How many do each as it is taught when the room is planned again in waves, in the order of `steps`.
    pub as_taught: [usize; 2],
    /// How many do so in the plan of one wave.
    pub as_taught_at_once: [usize; 2],
    /// For each half, how many of those whom rules leave the taught shape do another, in the order of `steps`.
    #[serde(default)]
    pub without: [[usize; 2]; 2],
    /// Sit-outs in all in waves.
    pub sit_outs: usize,
}

impl Waves {
    /// Whether neither half fares better: with either shape as many are left without, but for an odd one.
    pub fn is_even(&self) -> bool {
        let [first, second] = self.without;
        let mut shapes = first.into_iter().zip(second);
        shapes.all(|(first, second)| first.abs_diff(second) <= 1)
    }
}

/// What one half of the room does at one turn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WaveTurn {
    /// The step at whose time it is.
    pub at: usize,
    /// The step whose shape it is.
    pub of: usize,
    /// Shapes, the taught one first, and who does each.
    pub shapes: Vec<WaveShape>,
}

/// A shape in a wave.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WaveShape {
    /// As it is said.
    pub words: String,
    /// Who does it.
    pub students: Vec<StudentId>,
}

/// The optimum and its certificate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlanFacts {
    /// The total.
    pub objective: i64,
    /// Nothing is below this.
    pub lower_bound: i64,
    /// Both are equal.
    pub proved_optimal: bool,
    /// Sit-outs in all.
    pub sit_outs: usize,
    /// Steps with more shapes than asked for.
    pub over_limit_steps: Vec<usize>,
    /// The parts of the total.
    pub terms: Terms,
}

/// The parts of the objective.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Terms {
    /// Distance from the taught shapes.
    pub stray: i64,
    /// Shapes beyond the first.
    pub options: i64,
    /// Shapes above the limit.
    pub excess: i64,
    /// Taught shapes that left the menu.
    pub lead: i64,
    /// Level and prop changes beyond those of the class.
    pub change: i64,
    /// Sit-outs.
    pub rest: i64,
}

/// A question for before class.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// Whom to ask.
    pub student: StudentId,
    /// What.
    pub text: String,
}

/// Foot steps for who does not reach the floor from a chair, and the chairs with arms that they rise from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FootSteps {
    /// Of what.
    pub prop: Prop,
    /// How many of it, all together.
    pub number: u32,
    /// How many of it there are; none: not counted.
    pub stock: Option<u32>,
    /// The most of it in use while they lie there, they among them.
    pub together: u32,
    /// At how many chairs.
    pub chairs: usize,
    /// Before which step they are put away; none: nobody stands.
    pub away: Option<usize>,
    /// From which step on they are back.
    pub back: Option<usize>,
    /// Chairs with arms to rise from, of those that are there.
    pub with_arms: u32,
}

/// A prop to fetch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fetch {
    /// Seconds from the start.
    pub start_s: u32,
    /// For which step.
    pub step: usize,
    /// Which prop.
    pub prop: Prop,
    /// How many, the teacher's included. A confidential person counts as if they did what is shown.
    pub number: u32,
    /// How many of them come from places that can spare them, as none is left along the wall.
    #[serde(default)]
    pub spared: u32,
    /// One of them is the teacher's own.
    #[serde(default)]
    pub yours: bool,
    /// How many more are for a confidential person.
    #[serde(default)]
    pub private: u32,
    /// What becomes of it then.
    pub then: String,
}

/// Another moment at which a prop runs short.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShortAgain {
    /// At which step.
    pub step: usize,
    /// How many the class as taught would need there.
    pub needed: u32,
}

/// A prop that runs short.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Short {
    /// Which.
    pub prop: Prop,
    /// How many the class as taught would need.
    pub needed: u32,
    /// How many there are.
    pub stock: u32,
    /// At which step most of it is wanted.
    pub step: usize,
    /// How many people bring enough of their own, and are not counted.
    #[serde(default)]
    pub bring: u32,
    /// Other lines at which it runs short, in their order.
    pub again: Vec<ShortAgain>,
    /// What stands in.
    pub stand_in: String,
    /// Where the same is done on other props as well: they may be enough.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub others: Vec<ShortOther>,
}

/// A form of the taught shape that does as well, on other props, at a moment at which one runs short.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShortOther {
    /// At which step.
    pub step: usize,
    /// The form, as it is said.
    pub words: String,
    /// What it takes, and how many there are of it.
    pub prop: Prop,
    /// How many of that there are.
    pub there: u32,
    /// How many people the two together do not serve, the teacher among them.
    pub without: u32,
    /// It takes the last of them.
    pub all_taken: bool,
}

impl Short {
    /// Every step at which it runs short, with how many are wanted there, in no order.
    pub fn moments(&self) -> impl Iterator<Item = (usize, u32)> {
        let again = self.again.iter().map(|again| (again.step, again.needed));
        again.chain([(self.step, self.needed)])
    }
}
