//! One thing found in an answer, while its clause is read.

use crate::lexicon::book::{Book, Way};
use crate::lexicon::clauses::Span;
use crate::library::rule::{Clock, LimitationKind};
use crate::roster::{Approach, Limitation, ToldSide, ToldWeeks, VagueDate};
use crate::words::{LimitationId, Severity};

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
    /// How bad.
    pub severity: Option<Severity>,
    /// The severity is not to be changed by other words.
    pub severity_settled: bool,
    /// Said as a number of a scale: of two numbers the worse one counts.
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
    /// It happened within the last year.
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

    /// An area that was replaced: a new hip or knee, and for any other an operation there.
    pub(super) fn replace(&mut self) {
        match self.id.as_str() {
            "hip" => self.id = "hip-replacement".into(),
            "knee" => self.id = "knee-replacement".into(),
            _ => self.site = Some(std::mem::replace(&mut self.id, "surgery".into())),
        }
    }

    /// Takes up a day on which it happened; of two days the later one counts. Gives back whether there
    /// was another.
    pub(super) fn happened(&mut self, day: Option<VagueDate>) -> bool {
        let two = self.on.zip(day).is_some_and(|(known, day)| known != day);
        self.on = match (self.on, day) {
            (Some(known), Some(day)) if day.latest > known.latest => Some(day),
            (known, day) => known.or(day),
        };
        two
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
            Some(_) => Some(ToldSide::Both),
        };
    }

    /// "Knees" are both.
    pub(super) fn spread_plural(&mut self, book: &Book) {
        if self.plural && self.side.is_none() && self.is_sided(book) {
            self.side = Some(ToldSide::Both);
        }
    }

    pub(super) fn say_severity(&mut self, severity: Severity, scale: bool) {
        let settled = self.severity_settled || (self.scaled && !scale);
        if settled || self.need {
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
