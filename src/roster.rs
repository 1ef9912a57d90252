//! Who is coming, as they told it: checked, but not yet read against a date or a rule.
//!
//! `input::roster` makes it from a file. Invariant: nothing told is dropped (words that no rule
//! knows stay as [`Told::Words`]), and unknown is a state of its own, never an empty list.

use jiff::civil::Date;

mod place;

use crate::words::{
    BodySide, DemandId, LimitationId, PostureId, PropCounts, PurposeId, Severity, StudentId,
};

/// Everyone of one class.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Roster {
    /// The day these facts were true, unless a person has their own.
    pub recorded: Option<Date>,
    /// The people, in the order written.
    pub students: Vec<Student>,
}

impl Roster {
    /// The person of an id.
    pub fn student(&self, id: &StudentId) -> Option<&Student> {
        self.students.iter().find(|student| student.id == *id)
    }

    /// One person of whom nothing is known: the room of a class without a roster.
    pub fn unknown() -> Self {
        Self {
            recorded: None,
            students: vec![Student {
                id: "anyone".into(),
                name: "Anyone".to_owned(),
                file_line: 0,
                asked: Asked::No,
                limitations: Vec::new(),
                recorded: None,
                today: Vec::new(),
                heard: Vec::new(),
                guidance: Vec::new(),
                aims: Vec::new(),
                prefers: Vec::new(),
                declines: Vec::new(),
                fixed: Vec::new(),
                access: Vec::new(),
                touch: Touch::NotAsked,
                place: Where::Room,
                has: PropCounts::new(),
                confidential: false,
                keep_notes: true,
                late_min: 0,
                height_cm: None,
                note: None,
                under_18: false,
                guardian: false,
                over_70: false,
            }],
        }
    }
}

/// What is known of a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// They were asked; an empty list means there is nothing to tell.
    Yes,
    /// Never asked: unknown.
    No,
    /// A form came back empty: unknown.
    Blank,
    /// They would rather not say: unknown.
    Declined,
}

/// One person.
#[derive(Clone, Debug, PartialEq)]
pub struct Student {
    /// Made from the name and a number.
    pub id: StudentId,
    /// The name as written.
    pub name: String,
    /// Line of the file on which the person begins, for `check`.
    pub file_line: usize,
    /// Whether they were asked.
    pub asked: Asked,
    /// What they told on the form.
    pub limitations: Vec<Told>,
    /// This person's own date, else the roster's.
    pub recorded: Option<Date>,
    /// Said at the door; outranks the form about the same thing.
    pub today: Vec<Told>,
    /// Understood in their own words, and no limitation.
    pub heard: Vec<Heard>,
    /// What their clinician said.
    pub guidance: Vec<Guidance>,
    /// Purposes, for a home flow.
    pub aims: Vec<PurposeId>,
    /// Ways they like: halves the stray of that way.
    pub prefers: Vec<Preference>,
    /// Their own choices, as written: a posture if the words name one.
    pub declines: Vec<Decline>,
    /// Shapes that the teacher has fixed for them.
    pub fixed: Vec<Fixed>,
    /// Hearing, sight, language.
    pub access: Vec<Access>,
    /// Whether they may be touched.
    pub touch: Touch,
    /// Where they are.
    pub place: Where,
    /// Props of their own.
    pub has: PropCounts,
    /// Appears on the own page, the cautions and their own card only.
    pub confidential: bool,
    /// Whether notes on their health may be kept.
    pub keep_notes: bool,
    /// Minutes late.
    pub late_min: u32,
    /// Height in cm, if told.
    pub height_cm: Option<u32>,
    /// A note without health facts.
    pub note: Option<String>,
    /// Under 18: nothing is planned from health notes until a guardian's form is in.
    pub under_18: bool,
    /// A guardian's form is in.
    pub guardian: bool,
    /// Over 70.
    pub over_70: bool,
}

/// One thing told.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// An area, condition or need with its facts.
    Limitation(Limitation),
    /// Free words that nobody understood, kept as written.
    Words {
        /// The words.
        text: String,
        /// What to ask, if it is known.
        question: Option<String>,
        /// Line of the file.
        file_line: usize,
    },
}

/// Something understood in a person's own words that is no limitation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    /// A question to put before class.
    Ask {
        /// The words it comes from.
        words: String,
        /// The question, without its mark.
        question: String,
    },
    /// Over and done with, in their words: nothing is planned from it.
    Reminder(String),
    /// For the teacher alone: no line is printed about it.
    Private(String),
}

/// Which side of the body was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToldSide {
    /// One side.
    One(BodySide),
    /// Both sides, said so.
    Both,
}

/// How an operated hip was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Approach {
    /// From behind.
    Posterior,
    /// From the front.
    Anterior,
    /// From the side.
    Lateral,
    /// Asked, and not known.
    NotKnown,
}

/// A day as people give it: whole, or only a month or a year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VagueDate {
    /// The first day that fits.
    pub earliest: Date,
    /// The last day that fits; the same day when it was given whole.
    pub latest: Date,
}

impl VagueDate {
    /// Whether the day itself was given.
    pub fn is_exact(self) -> bool {
        self.earliest == self.latest
    }
}

/// Weeks as told, true on the recorded day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ToldWeeks {
    /// Whole weeks.
    pub weeks: u32,
    /// Days beyond them; absent when only weeks were told.
    pub days: Option<u32>,
}

/// A reported area, condition or need.
#[derive(Clone, Debug, PartialEq)]
pub struct Limitation {
    /// What it is. `no-` needs are ids too.
    pub what: LimitationId,
    /// Which side, if told.
    pub side: Option<ToldSide>,
    /// How bad, if told (moderate counts when it was not).
    pub severity: Option<Severity>,
    /// Their own words.
    pub note: Option<String>,
    /// The due date.
    pub due: Option<VagueDate>,
    /// Weeks of pregnancy, or since an operation or a birth.
    pub weeks: Option<ToldWeeks>,
    /// The day of an operation or a birth.
    pub on: Option<VagueDate>,
    /// Where: an area for surgery and arthritis, words for a stoma or a device.
    pub site: Option<String>,
    /// How a hip was reached.
    pub approach: Option<Approach>,
    /// What refines it (twins, fusion, insulin …).
    pub kind: Vec<String>,
    /// Line of the file.
    pub file_line: usize,
    /// Read from their own words, which are the note.
    pub read: bool,
}

impl Limitation {
    /// A limitation of which nothing but its id was told.
    pub fn bare(what: LimitationId, file_line: usize) -> Self {
        Self {
            what,
            side: None,
            severity: None,
            note: None,
            due: None,
            weeks: None,
            on: None,
            site: None,
            approach: None,
            kind: Vec::new(),
            file_line,
            read: false,
        }
    }
}

/// What a clinician said.
#[derive(Clone, Debug, PartialEq)]
pub struct Guidance {
    /// Who: doctor, surgeon, midwife, nurse, physio, clinic, hospital, or anyone else.
    pub from: String,
    /// When.
    pub on: Option<VagueDate>,
    /// About which limitation.
    pub about: Option<LimitationId>,
    /// Which side it is about.
    pub side: Option<ToldSide>,
    /// The words, kept whole.
    pub says: Option<String>,
    /// What was understood of them, in English.
    pub english: Vec<String>,
    /// Demands to keep away from, each with its own number if one was said.
    pub limits: Vec<(DemandId, Option<f64>)>,
    /// Demands that they allow.
    pub allows: Vec<DemandId>,
    /// They may take part at all.
    pub cleared: bool,
    /// They asked for rest: nothing but rests until a later word.
    pub rest: bool,
    /// Said by themselves, and for now: words at second hand, or that say "not yet" or "if", open nothing.
    pub opens: bool,
}

/// A way a person prefers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Preference {
    /// Chair forms.
    Chair,
    /// Wall forms.
    Wall,
    /// Nothing on the floor.
    NoFloor,
    /// Lying on the side.
    SideLying,
}

/// Something a person would rather not be offered.
#[derive(Clone, Debug, PartialEq)]
pub struct Decline {
    /// Their words.
    pub words: String,
    /// The posture that the words name, if they name one.
    pub posture: Option<PostureId>,
}

/// A shape fixed for one person at one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixed {
    /// The line as written, from 1.
    pub line: usize,
    /// The shape.
    pub posture: PostureId,
    /// Line of the file.
    pub file_line: usize,
}

/// What a person needs to follow.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Access {
    /// Hears nothing.
    Deaf,
    /// Hears little.
    HardOfHearing,
    /// Sees nothing.
    Blind,
    /// Sees little.
    LowVision,
    /// Speaks this language first (a two- or three-letter code).
    Speaks(String),
}

/// Whether a person may be touched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Touch {
    /// Yes.
    Yes,
    /// Ask each time.
    Ask,
    /// No.
    No,
    /// Never asked.
    NotAsked,
}

/// Where a person takes part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// In the room.
    Room,
    /// On video, with props of their own only.
    Video,
    /// Watches later: nobody can ask.
    Recording,
}
