//! When something was, or is due, from the cells beside the words.
//!
//! Takes the cells of a row; dates its entries. Invariant: a time that no one entry can take, or that
//! does not go with what the words say, stays in the note and is asked about.

use jiff::ToSpan;
use jiff::civil::Date;

use super::Row;
use crate::input::days::{MOST_WEEKS, MOST_WEEKS_PREGNANT};
use crate::intake::answers;
use crate::intake::dates::{self, When};
use crate::intake::entry::{Ask, Entry, is_due};
use crate::intake::same::{window_of, window_of_text};
use crate::intake::sheet::Cell;
use crate::library::rule::Clock;
use crate::roster::ToldSide;
use crate::words::LimitationId;

impl Row<'_> {
    fn time(&self, cell: &Cell) -> Option<When> {
        match cell.date {
            Some(day) => Some(When::Day(day)),
            None => dates::only(&cell.text, self.order),
        }
    }

    /// A question about a date that can't be read, if it is one.
    fn ask_about(&mut self, time: Option<When>, text: &str) {
        match time {
            Some(When::TwoWays) => self.told.ask.push(Ask::new(
                "a date that can be read two ways",
                format!("which number is the day and which the month in “{text}”?"),
            )),
            Some(When::NoYear) => self.told.ask.push(Ask::new(
                "a date without its year",
                format!("which year is meant by “{text}”?"),
            )),
            Some(When::Months(_)) => self.told.ask.push(Ask::new(
                "months instead of a date",
                format!("on which day, or in which week, is “{text}”?"),
            )),
            _ => {}
        }
    }

    pub(super) fn due(&mut self) {
        let cell = &self.cells.due;
        if answers::says_nothing(&cell.text) {
            return;
        }
        let time = self.time(cell);
        let due = time.and_then(When::as_roster).filter(|text| {
            window_of_text(text).is_some_and(|window| {
                matches!(time, Some(When::Day(_) | When::Month(..)))
                    && is_due(window, self.recorded)
            })
        });
        let Some(due) = due else {
            self.extras.push(format!("due: {}", cell.text));
            self.ask_about(time, &cell.text);
            self.told
                .ask
                .push(Ask::new("a due date", "when is the baby due?"));
            return;
        };
        let at = self
            .where_known(|known| known.clock == Clock::Pregnancy)
            .first()
            .copied();
        let at = at.unwrap_or_else(|| {
            self.entries
                .push(Entry::of(&LimitationId::from("pregnancy")));
            self.entries.len() - 1
        });
        let recorded = self.recorded;
        let Some(entry) = self.entry(at) else { return };
        let said = window_of(entry, recorded);
        (entry.due, entry.weeks) = (Some(due), None);
        // Words and weeks are rounder than a date: two weeks apart they still mean one birth.
        let apart = said
            .zip(window_of(entry, recorded))
            .is_some_and(|(said, due)| {
                let late = |day: Date| day.checked_add(14.days()).unwrap_or(day);
                said.earliest > late(due.latest) || due.earliest > late(said.latest)
            });
        if apart {
            self.told.ask.push(Ask::new(
                "a due date and weeks that do not go together",
                format!(
                    "the words and the due date “{}” do not go together: which is right?",
                    self.cells.due.text
                ),
            ));
        }
    }

    pub(super) fn weeks(&mut self) {
        let text = self.cells.weeks;
        if answers::says_nothing(text) {
            return;
        }
        let time = match text.trim().parse() {
            Ok(weeks) => Some(When::Weeks(weeks, None)),
            Err(_) => dates::only(text, self.order),
        };
        if !self.count(time, false) {
            self.extras.push(format!("weeks: {text}"));
        }
    }

    /// Gives weeks to the one entry that counts them. `since` says that they may be weeks since.
    fn count(&mut self, time: Option<When>, since: bool) -> bool {
        let Some(When::Weeks(weeks, days)) = time else {
            return false;
        };
        let pregnant = self.where_known(|known| known.clock == Clock::Pregnancy);
        let event = self.where_known(|known| known.clock == Clock::Since);
        let at = match (pregnant.as_slice(), event.as_slice()) {
            ([one], []) if weeks <= MOST_WEEKS_PREGNANT => *one,
            ([], [one]) if weeks <= MOST_WEEKS && (since || days.is_none()) => *one,
            _ => return false,
        };
        let written = match days {
            Some(days) => format!("{weeks}+{days}"),
            None => weeks.to_string(),
        };
        match self.entry(at) {
            Some(entry) if entry.weeks.as_ref() == Some(&written) => true,
            Some(entry) if entry.due.is_none() && entry.on.is_none() && entry.weeks.is_none() => {
                entry.weeks = Some(written);
                true
            }
            _ => false,
        }
    }

    pub(super) fn when(&mut self) {
        let cell = self.cells.when.clone();
        if answers::says_nothing(&cell.text) {
            return;
        }
        if self.two_sides(&cell.text, "when") {
            return;
        }
        let time = self.time(&cell);
        let events = self.where_known(|known| known.clock == Clock::Since);
        // What has happened did so by the day of the answers: a later date is a slip, and asked about.
        let by = |when: &When| match *when {
            When::Day(day) => day <= self.recorded,
            When::Month(year, month) => {
                (year, month) <= (self.recorded.year(), self.recorded.month())
            }
            When::Year(year) => year <= self.recorded.year(),
            _ => true,
        };
        let past = time.filter(by).and_then(When::as_roster);
        let taken = match (past, events.as_slice()) {
            (Some(on), [one]) => {
                let one = *one;
                self.happened(one, on)
            }
            _ => self.count(time, true),
        };
        let exact = cell.date.is_some() || matches!(time, Some(When::Day(_)));
        if !taken || !exact || dates::is_vague(&cell.text) {
            self.extras.push(format!("when: {}", cell.text));
        }
        let expecting = |entry: &Entry| entry.what.as_str() == "pregnancy";
        if !taken && (!events.is_empty() || self.entries.iter().any(expecting)) {
            self.ask_about(time, &cell.text);
        }
        if taken && dates::is_vague(&cell.text) {
            self.told.ask.push(Ask::new(
                "a date that is not exact",
                format!("on which day exactly: “{}”?", cell.text),
            ));
        }
    }

    /// Dates an entry; a day that does not go with what the words say leaves it without one.
    fn happened(&mut self, at: usize, on: String) -> bool {
        let recorded = self.recorded;
        let Some(entry) = self.entries.get_mut(at) else {
            return false;
        };
        let (said, column) = (window_of(entry, recorded), window_of_text(&on));
        match said.zip(column) {
            Some((said, column))
                if said.earliest > column.latest || column.earliest > said.latest =>
            {
                (entry.on, entry.weeks) = (None, None);
                self.told.ask.push(Ask::new(
                    "a date told in two ways",
                    format!(
                        "the words say one time, and the column “{}”",
                        self.cells.when.text
                    ),
                ));
                false
            }
            // What the words say may be the narrower.
            Some((said, column))
                if entry.on.is_some()
                    && said.earliest >= column.earliest
                    && said.latest <= column.latest =>
            {
                true
            }
            _ => {
                (entry.on, entry.weeks) = (Some(on), None);
                true
            }
        }
    }

    /// "right Sept 2025, left Feb 2026" beside one thing with sides: two entries.
    pub(super) fn two_sides(&mut self, text: &str, column: &str) -> bool {
        let [entry] = self.entries.as_slice() else {
            return false;
        };
        let known = self.known(&entry.what);
        if !known.is_some_and(|known| known.sided && known.clock == Clock::Since) {
            return false;
        }
        let parts: Vec<(ToldSide, String)> = text
            .split([',', ';', ':'])
            .filter_map(|part| {
                let side = answers::side(part).filter(|side| *side != ToldSide::Both)?;
                let on = dates::only(part, self.order)?.as_roster()?;
                // What has happened did so by the day of the answers.
                window_of_text(&on).filter(|on| on.earliest <= self.recorded)?;
                Some((side, on))
            })
            .collect();
        match parts.as_slice() {
            [(one, first), (other, second)] if one != other => {
                let mut twin = entry.clone();
                twin.side = Some(*other);
                (twin.on, twin.weeks) = (Some(second.clone()), None);
                let (one, first) = (*one, first.clone());
                if let Some(entry) = self.entry(0) {
                    entry.side = Some(one);
                    (entry.on, entry.weeks) = (Some(first), None);
                }
                self.entries.push(twin);
                self.extras.push(format!("{column}: {text}"));
                true
            }
            _ => false,
        }
    }
}
