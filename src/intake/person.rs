//! People as a sheet tells of them, before they become text.
//!
//! Plain values. Invariant: every answer that is not known has a kind of its own in [`Answer`].

use jiff::civil::Date;

use super::entry::{Ask, Item};
use super::guidance::Said;
use crate::words::Prop;

/// How somebody answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Answer {
    /// They told something.
    Told,
    /// They were asked, and there is nothing to tell.
    Nothing,
    /// They left it blank: unknown.
    Blank,
    /// The sheet says that nobody asked: unknown.
    NotAsked,
    /// They would rather not say, or gave no leave to keep it: unknown.
    Declined,
    /// No column asks: unknown.
    NoColumn,
}

/// How many answered in which way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// They told something.
    pub told: usize,
    /// Asked, and nothing to tell.
    pub nothing: usize,
    /// Left blank, or no column asks.
    pub blank: usize,
    /// Never asked.
    pub not_asked: usize,
    /// Would rather not say, or gave no leave.
    pub declined: usize,
}

/// Somebody on the sheet.
#[derive(Clone, Debug)]
pub(super) struct Person {
    pub(super) name: String,
    pub(super) answer: Answer,
    pub(super) told: Vec<Item>,
    pub(super) today: Vec<Item>,
    pub(super) recorded: Option<Date>,
    pub(super) said: Vec<Said>,
    pub(super) touch: Option<&'static str>,
    pub(super) access: Vec<String>,
    pub(super) place: Option<&'static str>,
    pub(super) keep_notes: bool,
    /// What they bring for themselves.
    pub(super) has: Vec<(Prop, u32)>,
    /// Told to the teacher alone.
    pub(super) confidential: bool,
    pub(super) late: Option<u32>,
    pub(super) height_cm: Option<u32>,
    pub(super) under_18: bool,
    pub(super) over_70: bool,
    pub(super) note: Option<String>,
    pub(super) ask: Vec<Ask>,
}

/// Everybody on the sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct People {
    pub(super) people: Vec<Person>,
    /// The day of the answers for all who have none of their own.
    pub(super) recorded: Date,
    /// Nobody said the day, and today stands in for it.
    pub(super) recorded_is_today: bool,
    pub(super) notices: Vec<String>,
}

impl People {
    /// Whom to ask about what.
    pub(super) fn questions(&self) -> Vec<(String, &'static str)> {
        let of = |person: &Person| -> Vec<(String, &'static str)> {
            person
                .ask
                .iter()
                .map(|ask| (person.name.clone(), ask.about))
                .collect()
        };
        self.people.iter().flat_map(of).collect()
    }

    /// How many answered in which way.
    pub(super) fn tally(&self) -> Tally {
        let mut tally = Tally::default();
        for person in &self.people {
            *match person.answer {
                Answer::Told => &mut tally.told,
                Answer::Nothing => &mut tally.nothing,
                Answer::Blank | Answer::NoColumn => &mut tally.blank,
                Answer::NotAsked => &mut tally.not_asked,
                Answer::Declined => &mut tally.declined,
            } += 1;
        }
        tally
    }
}
