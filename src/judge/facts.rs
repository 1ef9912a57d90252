//! A person on the class's date: what is known, which rules are in force, what to ask.
//!
//! Takes a student as told and gives a [`Person`]. Invariant: an unknown person has no rule in
//! force and at least one question; nobody who told something loses a word of it.

use jiff::civil::Date;

use super::guidance;
use super::in_force::stance_option;
use super::weeks::Age;
use crate::adapted::{CautionKind, State};
use crate::library::Library;
use crate::library::condition::{Condition, Grade};
use crate::library::posture::Posture;
use crate::library::rule::{Easing, Limit, Limitation as Kind, NEEDS_A_CHAIR};
use crate::roster::{Asked, Limitation, Student, Touch, Where};
use crate::settings::Settings;
use crate::words::{
    DemandId, Level, LimitationId, RuleId, Severity, Side, SourceId, Strength, Use, Verdict,
};

/// The stance on the side on which a pregnant person rests: about the shapes of one level, so no rule holds it.
pub(crate) const LYING_SIDE: &str = "lying_side";

/// A student on the class's date.
#[derive(Clone, Debug)]
pub struct Person<'a> {
    /// As told.
    pub student: &'a Student,
    /// What is known.
    pub state: State,
    /// Nothing may be concluded: not asked, declined, not understood, or watching later.
    pub unknown: bool,
    /// Limitations that count today.
    pub told: Vec<Counted<'a>>,
    /// Rules in force.
    pub rules: Vec<InForce<'a>>,
    /// Personal budgets.
    pub budgets: Vec<(Use, Limit, &'a LimitationId)>,
    /// Few trips down to the floor are advised.
    pub few_trips: bool,
    /// Questions and reminders, in the order found.
    pub lines: Vec<Line>,
    /// Words that were not understood, and what to ask if it is known.
    pub unrecognised: Vec<(&'a str, Option<&'a str>)>,
    /// The only side that they lie on, in a pregnancy, where the teacher has set one.
    pub lies_on: Option<Side>,
    /// A rule for the whole class holds: rest only until a word is recorded.
    pub rest_only: bool,
}

/// A limitation that counts on the date.
#[derive(Clone, Debug)]
pub struct Counted<'a> {
    /// As told.
    pub told: &'a Limitation,
    /// What the library knows of it.
    pub kind: &'a Kind,
    /// Moderate when nothing was said.
    pub severity: Severity,
    /// How far along, if anything was told.
    pub age: Option<Age>,
    /// Said at the door.
    pub today: bool,
    /// Left and right: which sides count.
    pub sides: [bool; 2],
    /// The areas whose rules count beside its own: that of its site; every one after an operation of
    /// which nobody told where it was.
    pub areas: Vec<&'a Kind>,
}

/// A rule in force for one person.
#[derive(Clone, Debug)]
pub struct InForce<'a> {
    /// The rule's id; guidance has ids of its own.
    pub rule: RuleId,
    /// The limitation behind it.
    pub limitation: &'a LimitationId,
    /// The demand.
    pub demand: &'a DemandId,
    /// The demand's grade that it stands on; none for a number of its own.
    pub grade: Option<Grade>,
    /// When it fires.
    pub when: std::borrow::Cow<'a, Condition>,
    /// Whether the demand falls on one side of the body.
    pub sided: bool,
    /// Left and right: which sides of the body are looked at.
    pub sides: [bool; 2],
    /// What it says.
    pub verdict: Verdict,
    /// How well it is backed.
    pub strength: Strength,
    /// Its first source.
    pub source: Option<&'a SourceId>,
    /// Why, in words.
    pub because: &'a str,
    /// How an `ease` is met.
    pub easing: std::borrow::Cow<'a, Easing>,
    /// A fit matter: nothing is printed.
    pub silent: bool,
}

/// A question or a reminder about a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is about.
    pub kind: CautionKind,
    /// In words.
    pub text: String,
    /// It is a question for before class.
    pub ask: bool,
    /// How well it is backed.
    pub strength: Strength,
}

/// Reads a student against a date.
pub fn person<'a>(
    student: &'a Student,
    library: &'a Library,
    settings: &Settings,
    date: Date,
) -> Person<'a> {
    let mut person = Person {
        student,
        state: state(student),
        unknown: false,
        told: Vec::new(),
        rules: Vec::new(),
        budgets: Vec::new(),
        few_trips: student.over_70,
        lines: Vec::new(),
        unrecognised: Vec::new(),
        lies_on: None,
        rest_only: false,
    };
    let withheld = student.under_18 && !student.guardian;
    if !withheld && student.asked == Asked::Yes && student.place != Where::Recording {
        person.count(library, date);
        for place in 0..person.told.len() {
            person.enforce(place, library, settings, date);
            person.budget(place, library, settings, date);
        }
        person.add_limits(library, date);
        person.lies_on = person.side_to_lie_on(library, settings);
        person.rest_only |= guidance::asks_for_rest(&student.guidance, date);
    }
    let understood = !person.told.is_empty();
    person.unknown = withheld
        || student.place == Where::Recording
        || student.asked != Asked::Yes
        || (!person.unrecognised.is_empty() && !understood);
    person.ask(date, withheld);
    person
}

fn state(student: &Student) -> State {
    let nothing = student.limitations.is_empty() && student.today.is_empty();
    match student.asked {
        Asked::No | Asked::Blank => State::NotAsked,
        Asked::Declined => State::Declined,
        Asked::Yes if nothing && student.guidance.is_empty() && student.heard.is_empty() => {
            State::Nothing
        }
        Asked::Yes => State::Told,
    }
}

impl Person<'_> {
    /// The side that the stance names, for somebody pregnant.
    fn side_to_lie_on(&self, library: &Library, settings: &Settings) -> Option<Side> {
        let mut told = self.told.iter();
        told.find(|told| told.kind.id.as_str() == "pregnancy")?;
        match stance_option(&LYING_SIDE.into(), library, settings)? {
            "left" => Some(Side::Left),
            "right" => Some(Side::Right),
            _ => None,
        }
    }

    /// Whether a chair is theirs before it is another's: over 70, or told of something that getting down,
    /// kneeling or standing is hard with.
    pub fn needs_a_chair(&self) -> bool {
        let mut rules = self.rules.iter().filter(|rule| !rule.silent);
        self.student.over_70 || rules.any(|rule| NEEDS_A_CHAIR.contains(&rule.demand.as_str()))
    }

    /// Whether a shape lies on a side that the teacher has left out for them.
    pub fn lies_on_the_other(&self, posture: &Posture, side: Side) -> bool {
        let lain_on = posture.level == Level::SideLying;
        lain_on
            && self
                .lies_on
                .is_some_and(|only| side != Side::None && side != only)
    }

    /// Whether they may be touched without asking.
    pub fn touch_words(&self) -> &'static str {
        match self.student.touch {
            Touch::Yes => "yes",
            Touch::Ask => "ask",
            Touch::No => "no",
            Touch::NotAsked => "not-asked",
        }
    }
}
