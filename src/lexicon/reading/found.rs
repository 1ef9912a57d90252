//! One thing found in an answer, while its clause is read.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::lexicon::book::{Book, Way};
use crate::lexicon::clauses::Span;
use crate::library::rule::{Clock, LimitationKind};
use crate::roster::{Approach, Limitation, ToldSide, ToldWeeks, VagueDate};
use crate::words::{LimitationId, Severity};

/// "March" and "7 weeks ago" may be so many days apart and mean one day (common practice, no source).
const NEAR_DAYS: i64 = 7;

/// Weeks are rounder than a due date: so many days apart they still mean one birth (as in sign-up sheets).
const NEAR_DUE_DAYS: i64 = 14;

/// Days from the first day of the last period to the due date (OC-72).
const TERM_DAYS: i64 = 280;

/// The days that lie so many days before the day of writing, the least and the most.
fn before((least, most): (i64, i64), recorded: Option<Date>) -> Option<VagueDate> {
    let recorded = recorded?;
    Some(VagueDate {
        earliest: recorded.checked_sub(most.days()).ok()?,
        latest: recorded.checked_sub(least.days()).ok()?,
    })
}

/// Whether two days may be one, with so many days between them.
fn are_near(one: VagueDate, other: VagueDate, days: i64) -> bool {
    let late = |day: Date| day.checked_add(days.days()).unwrap_or(day);
    one.earliest <= late(other.latest) && other.earliest <= late(one.latest)
}

fn length(day: VagueDate) -> i64 {
    day.earliest
        .until(day.latest)
        .map_or(0, |span| i64::from(span.get_days()))
}

/// Words of a clause that were taken up beside its spans.
#[derive(Clone, Debug, Default)]
pub(super) struct Taken {
    /// Their places.
    pub words: Vec<usize>,
}

/// One thing found.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// What.
    pub id: LimitationId,
    /// A wish of their own.
    pub need: bool,
    /// The clause it stands in.
    pub clause: usize,
    /// Its first word, and the first after it.
    pub start: usize,
    /// The first word after it.
    pub end: usize,
    /// Said in the plural.
    pub plural: bool,
    /// The languages of its words.
    pub languages: Vec<String>,
    /// Which side.
    pub side: Option<ToldSide>,
    /// Both sides, each said by a word of its own.
    pub side_by_side: bool,
    /// How bad.
    pub severity: Option<Severity>,
    /// The severity is not to be changed by other words.
    pub severity_settled: bool,
    /// A number out of ten said how bad: words change it no more, a worse number does.
    pub scaled: bool,
    /// The day of an operation or a birth.
    pub on: Option<VagueDate>,
    /// The due date.
    pub due: Option<VagueDate>,
    /// Weeks of it, or since.
    pub weeks: Option<ToldWeeks>,
    /// Where, for operations and arthritis.
    pub site: Option<LimitationId>,
    /// How a hip was reached.
    pub approach: Option<Approach>,
    /// What refines it.
    pub kinds: Vec<String>,
    /// Long ago.
    pub history: bool,
    /// Over.
    pub fine: bool,
    /// Times were told that do not go together, or one that may be to come: it is asked about.
    pub torn: bool,
    /// An operation that has not been yet.
    pub to_come: bool,
    /// "Replaced", and not yet what.
    pub replaced: bool,
    /// Counts only as the site of something else.
    pub site_only: bool,
    /// Hurt within a year: "healed" is no end of it.
    pub lately: bool,
}

impl Found {
    pub(super) fn new(id: LimitationId, clause: usize, span: &Span<'_>) -> Self {
        Self {
            need: id.as_str().starts_with("no-") || id.as_str() == "stays-in-chair",
            id,
            clause,
            start: span.start,
            end: span.end,
            plural: false,
            languages: span.languages.iter().map(|&code| code.to_owned()).collect(),
            side: None,
            side_by_side: false,
            severity: None,
            severity_settled: false,
            scaled: false,
            on: None,
            due: None,
            weeks: None,
            site: None,
            approach: None,
            kinds: Vec::new(),
            history: false,
            fine: false,
            torn: false,
            to_come: false,
            replaced: false,
            site_only: false,
            lately: false,
        }
    }

    pub(super) fn way<'b>(&self, book: &'b Book) -> Option<&'b Way> {
        book.ways.get(&self.id)
    }

    pub(super) fn is_sided(&self, book: &Book) -> bool {
        self.way(book).is_some_and(|way| way.sided)
    }

    pub(super) fn is_area(&self, book: &Book) -> bool {
        self.way(book)
            .is_some_and(|way| way.kind == LimitationKind::Area)
    }

    pub(super) fn is_dated(&self, book: &Book) -> bool {
        self.way(book).is_some_and(|way| way.clock == Clock::Since)
    }

    /// What guidance about it is about.
    pub(super) fn about(&self) -> LimitationId {
        self.id.clone()
    }

    pub(super) fn add_kind(&mut self, kind: &str) {
        if !self.kinds.iter().any(|known| known == kind) {
            self.kinds.push(kind.to_owned());
        }
    }

    pub(super) fn add_side(&mut self, side: ToldSide) {
        self.side = match self.side {
            None => Some(side),
            Some(known) if known == side => Some(side),
            Some(_) => {
                self.side_by_side = true;
                Some(ToldSide::Both)
            }
        };
    }

    /// "Knees" are both.
    pub(super) fn spread_plural(&mut self, book: &Book) {
        if self.plural && self.side.is_none() && self.is_sided(book) {
            self.side = Some(ToldSide::Both);
        }
    }

    /// Takes up when it was. Of two days that do not go together the later is kept, of other times neither.
    pub(super) fn tell(
        &mut self,
        on: Option<VagueDate>,
        weeks: Option<ToldWeeks>,
        recorded: Option<Date>,
    ) {
        if self.torn || (on.is_none() && weeks.is_none()) {
            return;
        }
        if self.on.is_none() && self.weeks.is_none() {
            (self.on, self.weeks) = (on, weeks);
            return;
        }
        let days = |weeks: ToldWeeks| {
            let least = i64::from(weeks.weeks) * 7;
            (least, least + 6)
        };
        let known = self
            .on
            .or(self.weeks.and_then(|told| before(days(told), recorded)));
        let other = on.or(weeks.and_then(|told| before(days(told), recorded)));
        let same = self.on == on && self.weeks == weeks;
        let agree = same
            || known
                .zip(other)
                .is_some_and(|(one, other)| are_near(one, other, NEAR_DAYS));
        if !agree {
            // The latest day that fits; a day and a number of weeks leave both open.
            let later = self.on.zip(on);
            let later = later.map(|(one, other)| {
                if other.latest > one.latest {
                    other
                } else {
                    one
                }
            });
            (self.torn, self.on, self.weeks) = (true, later, None);
        } else if self
            .on
            .zip(on)
            .is_none_or(|(one, other)| length(other) < length(one))
        {
            self.on = on.or(self.on);
            self.weeks = self.weeks.filter(|_| self.on.is_none());
        }
    }

    /// Takes up the weeks of a pregnancy, or its due date, in the same way.
    pub(super) fn tell_due(
        &mut self,
        due: Option<VagueDate>,
        weeks: Option<ToldWeeks>,
        recorded: Option<Date>,
    ) {
        if self.torn || (due.is_none() && weeks.is_none()) {
            return;
        }
        if self.due.is_none() && self.weeks.is_none() {
            (self.due, self.weeks) = (due, weeks);
            return;
        }
        let to_go = |weeks: ToldWeeks| {
            let most = TERM_DAYS - i64::from(weeks.weeks) * 7 - i64::from(weeks.days.unwrap_or(0));
            let spread = if weeks.days.is_some() { 0 } else { 6 };
            // Days before the day of writing, so the days to come are below nought.
            (-most, spread - most)
        };
        let known = self
            .due
            .or(self.weeks.and_then(|told| before(to_go(told), recorded)));
        let other = due.or(weeks.and_then(|told| before(to_go(told), recorded)));
        let same = self.due == due && self.weeks == weeks;
        let agree = same
            || known
                .zip(other)
                .is_some_and(|(one, other)| are_near(one, other, NEAR_DUE_DAYS));
        if !agree {
            (self.torn, self.due, self.weeks) = (true, None, None);
        } else if self.due.is_none() {
            self.due = due;
            self.weeks = self.weeks.filter(|_| due.is_none());
        }
    }

    pub(super) fn say_severity(&mut self, severity: Severity, scale: bool) {
        if self.severity_settled || self.need || self.scaled && !scale {
            return;
        }
        // "Left knee, and a bit the right": of which is it a bit?
        if self.side_by_side && severity == Severity::Mild {
            return;
        }
        self.severity = if scale && !self.scaled {
            Some(severity)
        } else {
            self.severity.max(Some(severity))
        };
        self.scaled |= scale;
    }

    /// The limitation, with the words it was read from.
    pub(super) fn limitation(self, text: &str) -> Limitation {
        Limitation {
            what: self.id,
            side: self.side,
            severity: self.severity,
            note: Some(text.to_owned()),
            due: self.due,
            weeks: self.weeks,
            on: self.on,
            site: self.site.map(|site| site.to_string()),
            approach: self.approach,
            kind: self.kinds,
            file_line: 0,
            read: true,
        }
    }
}
