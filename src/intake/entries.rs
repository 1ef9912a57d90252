//! From the cells of one row to the entries of `limitations`.
//!
//! Takes the words, and the cells beside them that say side, how bad and when; gives back entries and
//! questions. Invariant: a side, a date or a number is attached only where one entry alone can be
//! meant; else it stays as words in the note and is asked about.

use jiff::civil::Date;

use super::answers;
use super::dates::{self, DayOrder, When};
use super::sheet::Cell;
use super::words::Vocabulary;
use super::yaml;
use crate::library::rule::{Clock, Limitation};
use crate::roster::ToldSide;
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
    fn of(what: &LimitationId) -> Self {
        Self {
            what: what.clone(),
            side: None,
            severity: None,
            due: None,
            weeks: None,
            on: None,
            note: None,
        }
    }

    fn as_yaml(&self) -> String {
        let mut parts = vec![format!("what: {}", self.what)];
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

/// The cells of a row that tell about a body.
#[derive(Clone, Debug, Default)]
pub(super) struct Cells<'a> {
    pub(super) words: String,
    pub(super) side: &'a str,
    pub(super) severity: &'a str,
    pub(super) when: Cell,
    pub(super) due: Cell,
    pub(super) weeks: &'a str,
}

/// How far a due date may lie from the day of the answers, in days (as `input::roster` has it).
const DUE_DAYS: std::ops::RangeInclusive<i32> = -21..=42 * 7;
/// The most weeks of a pregnancy (as `input::roster` has it).
const MOST_WEEKS_PREGNANT: u32 = 43;

/// Reads a row.
pub(super) fn items(
    cells: &Cells<'_>,
    vocabulary: &Vocabulary<'_>,
    order: DayOrder,
    recorded: Date,
) -> (Vec<Item>, Vec<Ask>) {
    let understood = vocabulary.understand(&cells.words);
    let mut row = Row {
        cells,
        vocabulary,
        order,
        recorded,
        entries: understood
            .limitations
            .iter()
            .map(|known| Entry::of(&known.id))
            .collect(),
        extras: Vec::new(),
        ask: Vec::new(),
    };
    row.due();
    row.weeks();
    row.severity();
    row.when();
    row.side();
    row.into_items(&understood.rest)
}

struct Row<'a, 'l> {
    cells: &'a Cells<'a>,
    vocabulary: &'a Vocabulary<'l>,
    order: DayOrder,
    recorded: Date,
    entries: Vec<Entry>,
    /// What the other cells say and no entry could take.
    extras: Vec<String>,
    ask: Vec<Ask>,
}

impl Row<'_, '_> {
    fn known(&self, what: &LimitationId) -> Option<&Limitation> {
        self.vocabulary.library.limitations.get(what)
    }

    /// The entries that count from an event, or of which a fact holds.
    fn where_known(&self, holds: impl Fn(&Limitation) -> bool) -> Vec<usize> {
        let of = |entry: &Entry| self.known(&entry.what).is_some_and(&holds);
        let all = self.entries.iter().enumerate();
        all.filter(|(_, entry)| of(entry))
            .map(|(at, _)| at)
            .collect()
    }

    fn entry(&mut self, at: usize) -> Option<&mut Entry> {
        self.entries.get_mut(at)
    }

    fn time(&self, cell: &Cell) -> Option<When> {
        match cell.date {
            Some(day) => Some(When::Day(day)),
            None => dates::only(&cell.text, self.order),
        }
    }

    /// A question about a date that can't be read, if it is one.
    fn ask_about(&mut self, time: Option<When>, text: &str) {
        match time {
            Some(When::TwoWays) => self.ask.push(Ask::new(
                "a date that can be read two ways",
                format!("which number is the day and which the month in “{text}”?"),
            )),
            Some(When::NoYear) => self.ask.push(Ask::new(
                "a date without its year",
                format!("which year is meant by “{text}”?"),
            )),
            Some(When::Months(_)) => self.ask.push(Ask::new(
                "months instead of a date",
                format!("on which day, or in which week, is “{text}”?"),
            )),
            _ => {}
        }
    }

    fn due(&mut self) {
        let cell = &self.cells.due;
        if answers::says_nothing(&cell.text) {
            return;
        }
        let time = self.time(cell);
        let first = match time {
            Some(When::Day(day)) => Some(day),
            Some(When::Month(year, month)) => Date::new(year, month, 1).ok(),
            _ => None,
        };
        let days = first
            .and_then(|day| self.recorded.until(day).ok())
            .map(|span| span.get_days());
        let due = time.and_then(When::as_roster).filter(|_| {
            // A month is as good as any of its days.
            days.is_some_and(|days| DUE_DAYS.contains(&days) || DUE_DAYS.contains(&(days + 27)))
        });
        let Some(due) = due else {
            self.extras.push(format!("due: {}", cell.text));
            self.ask_about(time, &cell.text);
            self.ask
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
        if let Some(entry) = self.entry(at) {
            entry.due = Some(due);
        }
    }

    fn weeks(&mut self) {
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
            ([], [one]) if since || days.is_none() => *one,
            _ => return false,
        };
        let written = match days {
            Some(days) => format!("{weeks}+{days}"),
            None => weeks.to_string(),
        };
        match self.entry(at) {
            Some(entry) if entry.due.is_none() && entry.weeks.is_none() => {
                entry.weeks = Some(written);
                true
            }
            _ => false,
        }
    }

    fn severity(&mut self) {
        let text = self.cells.severity;
        if answers::says_nothing(text) {
            return;
        }
        let said = answers::severity(text);
        if said.is_none() || answers::folded_words(text).contains(' ') {
            self.extras.push(format!("how bad: {text}"));
        }
        // Of several things only the stricter reading is sure to hold for each.
        let one = self.entries.len() == 1;
        for entry in &mut self.entries {
            if one || said == Some(Severity::Acute) {
                entry.severity = said;
            }
        }
    }

    fn when(&mut self) {
        let cell = self.cells.when.clone();
        if answers::says_nothing(&cell.text) {
            return;
        }
        if self.two_sides(&cell.text) {
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
                self.entry(one).map(|entry| entry.on = Some(on)).is_some()
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
            self.ask.push(Ask::new(
                "a date that is not exact",
                format!("on which day exactly: “{}”?", cell.text),
            ));
        }
    }

    /// "right Sept 2025, left Feb 2026" beside one thing with sides: two entries.
    fn two_sides(&mut self, text: &str) -> bool {
        let [entry] = self.entries.as_slice() else {
            return false;
        };
        let known = self.known(&entry.what);
        if !known.is_some_and(|known| known.sided && known.clock == Clock::Since) {
            return false;
        }
        let parts: Vec<(ToldSide, String)> = text
            .split([',', ';'])
            .filter_map(|part| {
                let side = answers::side(part).filter(|side| *side != ToldSide::Both)?;
                let on = dates::only(part, self.order)?.as_roster()?;
                Some((side, on))
            })
            .collect();
        match parts.as_slice() {
            [(one, first), (other, second)] if one != other => {
                let mut twin = entry.clone();
                twin.side = Some(*other);
                twin.on = Some(second.clone());
                let (one, first) = (*one, first.clone());
                if let Some(entry) = self.entry(0) {
                    entry.side = Some(one);
                    entry.on = Some(first);
                }
                self.entries.push(twin);
                self.extras.push(format!("when: {text}"));
                true
            }
            _ => false,
        }
    }

    fn side(&mut self) {
        let text = self.cells.side;
        if answers::says_nothing(text) {
            return;
        }
        let sided = self.where_known(|known| known.sided);
        let open: Vec<usize> = sided
            .iter()
            .copied()
            .filter(|at| {
                self.entries
                    .get(*at)
                    .is_some_and(|entry| entry.side.is_none())
            })
            .collect();
        let said = answers::side(text);
        let taken = match (said, open.as_slice()) {
            (Some(side), [one]) => {
                let one = *one;
                self.entry(one)
                    .map(|entry| entry.side = Some(side))
                    .is_some()
            }
            _ => false,
        };
        if !taken || !answers::is_only_a_side(text) {
            self.extras.push(format!("side: {text}"));
        }
    }

    /// Notes and questions, once everything is attached.
    fn into_items(mut self, rest: &[String]) -> (Vec<Item>, Vec<Ask>) {
        let words = self.cells.words.trim();
        let extras = self.extras.join("; ");
        let whole = match (words, extras.as_str()) {
            ("", extras) => extras.to_owned(),
            (words, "") => words.to_owned(),
            (words, extras) => format!("{words} ({extras})"),
        };
        for at in 0..self.entries.len() {
            self.questions(at);
        }
        let bare = self.entries.len() == 1 && extras.is_empty() && rest.is_empty();
        if let Some(entry) = self.entries.first_mut() {
            let says_no_more =
                bare && answers::folded_words(words) == answers::folded_words(entry.what.as_str());
            entry.note = Some(whole.clone()).filter(|note| !note.is_empty() && !says_no_more);
        }
        let mut items: Vec<Item> = Vec::new();
        if self.entries.is_empty() {
            items.extend(
                Some(whole)
                    .filter(|words| !words.is_empty())
                    .map(Item::Words),
            );
        } else {
            items.extend(self.entries.into_iter().map(Item::Entry));
            items.extend(rest.iter().cloned().map(Item::Words));
        }
        if items.iter().any(|item| matches!(item, Item::Words(_))) {
            self.ask.push(Ask::new(
                "words not understood: kept for you to read, not guessed",
                "what is meant? Which side, since when, what makes it worse",
            ));
        }
        (items, self.ask)
    }

    /// What an entry still lacks.
    fn questions(&mut self, at: usize) {
        let Some(entry) = self.entries.get(at).cloned() else {
            return;
        };
        let Some(known) = self.known(&entry.what) else {
            return;
        };
        let (name, sided, clock) = (known.name.clone(), known.sided, known.clock);
        if sided && entry.side.is_none() {
            self.ask
                .push(Ask::new("a side", format!("{name}: which side?")));
        }
        match clock {
            Clock::Pregnancy if entry.due.is_none() && entry.weeks.is_none() => {
                self.ask.push(Ask::new(
                    "a due date",
                    format!("{name}: when is the baby due?"),
                ));
            }
            Clock::Since if entry.on.is_none() && entry.weeks.is_none() => {
                self.ask
                    .push(Ask::new("a date", format!("{name}: on which day was it?")));
            }
            Clock::Since if entry.on.as_ref().is_some_and(|on| on.len() < 10) => {
                self.ask.push(Ask::new(
                    "a date that is not exact",
                    format!("{name}: on which day was it?"),
                ));
            }
            _ => {}
        }
        if entry.what.as_str() == "hip-replacement" {
            self.ask.push(Ask::new(
                "an approach",
                format!("{name}: from the front, the side or behind (approach)?"),
            ));
        }
    }
}
