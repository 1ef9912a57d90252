//! One thing told, as the roster writes it.
//!
//! Takes what was read from a person's words; gives back an entry of `limitations`, or the words
//! themselves. Invariant: an entry holds only what the roster's reader takes; what it would refuse is
//! left out and asked about.

use jiff::civil::Date;

use super::same::window_of;
use super::yaml;
use crate::input::days::{MOST_WEEKS, MOST_WEEKS_PREGNANT};
use crate::input::roster::told::{APPROACHES, DUE_DAYS};
use crate::library::rule;
use crate::roster::{Approach, Limitation, ToldSide, ToldWeeks, VagueDate};
use crate::words::{BodySide, LimitationId, Severity};

/// A question: in the roster with their words, in the report without.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Ask {
    /// What to ask.
    pub(super) words: String,
    /// What it is about, without a word of theirs.
    pub(super) about: &'static str,
}

impl Ask {
    pub(super) fn new(about: &'static str, words: impl Into<String>) -> Self {
        Self {
            words: words.into(),
            about,
        }
    }
}

/// One thing told, as the roster will write it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Item {
    /// An area, condition or need.
    Entry(Entry),
    /// Words that were not understood.
    Words(String),
}

/// An entry of `limitations`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Entry {
    pub(super) what: LimitationId,
    pub(super) side: Option<ToldSide>,
    pub(super) severity: Option<Severity>,
    pub(super) due: Option<String>,
    pub(super) weeks: Option<String>,
    pub(super) on: Option<String>,
    pub(super) site: Option<String>,
    pub(super) approach: Option<Approach>,
    pub(super) kind: Vec<String>,
    pub(super) note: Option<String>,
}

impl Item {
    /// The item as a value of a list.
    pub(super) fn as_yaml(&self) -> String {
        match self {
            Self::Words(words) => yaml::text(words),
            Self::Entry(entry) => entry.as_yaml(),
        }
    }
}

impl Entry {
    pub(super) fn of(what: &LimitationId) -> Self {
        Self {
            what: what.clone(),
            side: None,
            severity: None,
            due: None,
            weeks: None,
            on: None,
            site: None,
            approach: None,
            kind: Vec::new(),
            note: None,
        }
    }

    /// What was read from words written on `recorded`, and whether a time in it was left out: one
    /// that is no day, month or year, or that the roster's reader would not take.
    pub(super) fn read(
        told: &Limitation,
        known: &rule::Limitation,
        recorded: Date,
    ) -> (Self, bool) {
        let mut entry = Self {
            side: told.side,
            severity: told.severity,
            due: told.due.and_then(written),
            on: told.on.and_then(written),
            weeks: told.weeks.map(|weeks| match weeks.days {
                Some(days) => format!("{}+{days}", weeks.weeks),
                None => weeks.weeks.to_string(),
            }),
            site: told.site.clone(),
            approach: told.approach,
            kind: told.kind.clone(),
            ..Self::of(&told.what)
        };
        entry.kind.retain(|kind| known.kinds.contains_key(kind));
        if entry.due.is_some() || entry.on.is_some() {
            entry.weeks = None;
        }
        let timed = told.due.is_some() || told.on.is_some() || told.weeks.is_some();
        let keeps = match (window_of(&entry, recorded), known.clock) {
            (None, _) => false,
            (Some(window), rule::Clock::Pregnancy) => {
                let most = |weeks: ToldWeeks| weeks.weeks <= MOST_WEEKS_PREGNANT;
                is_due(window, recorded) && (entry.weeks.is_none() || told.weeks.is_none_or(most))
            }
            (Some(window), _) => {
                let weeks = told.weeks.map_or(0, |weeks| weeks.weeks);
                window.earliest <= recorded && weeks <= MOST_WEEKS
            }
        };
        if !keeps {
            (entry.due, entry.on, entry.weeks) = (None, None, None);
        }
        (entry, timed && !keeps)
    }

    fn as_yaml(&self) -> String {
        let mut parts = vec![format!("what: {}", self.what)];
        let site = self.site.as_ref();
        parts.extend(site.map(|site| format!("site: {}", yaml::text(site))));
        let words = APPROACHES.words.iter();
        let mut approach = words.filter(|(_, approach)| self.approach == Some(*approach));
        parts.extend(approach.next().map(|(word, _)| format!("approach: {word}")));
        if !self.kind.is_empty() {
            parts.push(format!("kind: [{}]", self.kind.join(", ")));
        }
        parts.extend(self.side.map(|side| format!("side: {}", side_word(side))));
        parts.extend(
            self.severity
                .map(|severity| format!("severity: {severity}")),
        );
        for (key, value) in [("due", &self.due), ("on", &self.on)] {
            parts.extend(value.as_ref().map(|value| format!("{key}: {value}")));
        }
        parts.extend(
            self.weeks
                .as_ref()
                .map(|weeks| format!("weeks: {}", yaml::text(weeks))),
        );
        parts.extend(
            self.note
                .as_ref()
                .map(|note| format!("note: {}", yaml::text(note))),
        );
        format!("{{{}}}", parts.join(", "))
    }
}

pub(super) fn side_word(side: ToldSide) -> &'static str {
    match side {
        ToldSide::One(BodySide::Left) => "left",
        ToldSide::One(BodySide::Right) => "right",
        ToldSide::Both => "both",
    }
}

/// Whether a due date can be meant on the day of the answers.
pub(super) fn is_due(due: VagueDate, recorded: Date) -> bool {
    [due.earliest, due.latest].into_iter().any(|day| {
        recorded
            .until(day)
            .is_ok_and(|span| DUE_DAYS.contains(&i64::from(span.get_days())))
    })
}

/// A day, a month or a year as the roster writes it; none for a day that is one of two, or the like.
fn written(day: VagueDate) -> Option<String> {
    let (first, last) = (day.earliest, day.latest);
    if day.is_exact() {
        Some(first.to_string())
    } else if first.first_of_month() == last.first_of_month() {
        Some(format!("{:04}-{:02}", first.year(), first.month()))
    } else if first == first.first_of_year() && last == first.last_of_year() {
        Some(format!("{:04}", first.year()))
    } else {
        None
    }
}
