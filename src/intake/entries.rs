//! From the cells of one row to the entries of `limitations`.
//!
//! Takes the words, and the cells beside them that say side, how bad and when; gives back entries and
//! questions. Invariant: a side, a date or a number is attached only where one entry alone can be
//! meant; else it stays as words in the note and is asked about.

mod times;

use jiff::civil::Date;

use super::answers;
use super::dates::DayOrder;
use super::entry::{Ask, Entry, Item};
use super::guidance::Said;
use super::sheet::Cell;
use crate::library::Library;
use crate::library::rule::{Clock, Limitation, LimitationKind};
use crate::roster::{Heard, ToldSide};
use crate::words::{LimitationId, Severity};

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

/// What a row tells of a body.
#[derive(Debug, Default)]
pub(super) struct Told {
    /// Entries, and words that stay words.
    pub(super) items: Vec<Item>,
    /// What a clinician is said to have said, among the words.
    pub(super) said: Vec<Said>,
    /// They would rather not be touched.
    pub(super) no_touch: bool,
    pub(super) ask: Vec<Ask>,
}

/// Whether the lexicon reads anything of a body in a text.
pub(super) fn is_about_health(text: &str, library: &Library) -> bool {
    let read = library.lexicon.read(text, None);
    !read.limitations.is_empty() || !read.guidance.is_empty()
}

/// Reads a row.
pub(super) fn told(cells: &Cells<'_>, library: &Library, order: DayOrder, recorded: Date) -> Told {
    let mut row = Row {
        cells,
        library,
        order,
        recorded,
        entries: Vec::new(),
        words: Vec::new(),
        unclear: false,
        extras: Vec::new(),
        of_which: false,
        told: Told::default(),
    };
    row.words();
    row.due();
    row.weeks();
    row.severity();
    row.when();
    row.side();
    row.into_told()
}

struct Row<'a> {
    cells: &'a Cells<'a>,
    library: &'a Library,
    order: DayOrder,
    recorded: Date,
    entries: Vec<Entry>,
    /// Clauses that were not understood, beside entries.
    words: Vec<String>,
    /// Something in the words was not understood, and nothing better can be asked.
    unclear: bool,
    /// What the other cells say and no entry could take.
    extras: Vec<String>,
    /// A side was said, and it was asked of which entry.
    of_which: bool,
    told: Told,
}

impl Row<'_> {
    /// The words, as the lexicon reads them. Words of which no entry comes stay whole: the roster's
    /// reader takes from them whatever else they say.
    fn words(&mut self) {
        if self.cells.words.trim().is_empty() {
            return;
        }
        let lexicon = &self.library.lexicon;
        let read = lexicon.read(&self.cells.words, Some(self.recorded));
        self.told.no_touch = read.no_touch;
        for heard in &read.heard {
            match heard {
                Heard::Ask { words, question } => self.ask_of_words(words, question),
                // Told to the teacher alone: the words stay as they are, and nothing asks about them.
                Heard::Private(_) => return,
                Heard::Reminder(_) => {}
            }
        }
        for limitation in &read.limitations {
            let Some(known) = self.library.limitations.get(&limitation.what) else {
                continue;
            };
            let (entry, lost) = Entry::read(limitation, known, self.recorded);
            if lost {
                self.told.ask.push(Ask::new(
                    "a date that can’t be read for sure",
                    format!("{}: on which day exactly?", known.name),
                ));
            }
            self.entries.push(entry);
        }
        for unread in &read.unread {
            if let Some(question) = &unread.question {
                self.ask_of_words(&unread.text, question);
            } else {
                self.unclear = true;
            }
            // A clause with an entry of its own stands in that entry’s note.
            let alone = || lexicon.read(&unread.text, Some(self.recorded)).limitations;
            if !self.entries.is_empty() && alone().is_empty() {
                self.words.push(unread.text.clone());
            }
        }
        if self.entries.is_empty() {
            return;
        }
        self.told.said = read.guidance.into_iter().map(Said::in_words).collect();
    }

    fn ask_of_words(&mut self, words: &str, question: &str) {
        self.told.ask.push(Ask::new(
            "words that can be meant in more than one way",
            format!("“{words}”: {question}?"),
        ));
    }

    fn known(&self, what: &LimitationId) -> Option<&Limitation> {
        self.library.limitations.get(what)
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

    fn severity(&mut self) {
        let text = self.cells.severity;
        if answers::says_nothing(text) {
            return;
        }
        let said = answers::severity(text);
        if said.is_none() || answers::folded_words(text).contains(' ') {
            self.extras.push(format!("how bad: {text}"));
        }
        // Of several things only the stricter reading is sure to hold for each; beside words that say
        // how bad, the worse of both holds.
        let one = self.entries.len() == 1;
        if one && self.is_less_by_number(text) {
            if let Some(entry) = self.entry(0) {
                entry.severity = Some(Severity::Moderate);
            }
            self.told.ask.push(Ask::new(
                "how bad, told in two ways",
                format!("the words say worse than “{text}”: how is it now?"),
            ));
            return;
        }
        for entry in &mut self.entries {
            if one || said == Some(Severity::Acute) {
                entry.severity = entry.severity.max(said);
            }
        }
    }

    /// Whether a number of ten below acute stands beside words for acute pain of a part of the body: as in words,
    /// the number says how bad; but never below what is taken where nothing is said.
    fn is_less_by_number(&self, text: &str) -> bool {
        let number = answers::of_ten(text).filter(|number| *number < Severity::Acute);
        let told = answers::of_ten(&self.cells.words);
        let acute = self.entries.first().is_some_and(|entry| {
            let area = self.known(&entry.what).is_some_and(|known| {
                known.kind == LimitationKind::Area || known.id.as_str() == "arthritis"
            });
            area && entry.severity == Some(Severity::Acute)
        });
        number.is_some() && told.is_none() && acute
    }

    fn side(&mut self) {
        let text = self.cells.side;
        if answers::says_nothing(text) {
            return;
        }
        if self.two_sides(text, "side") {
            return;
        }
        let sided = self.where_known(|known| known.sided);
        let side_of = |at: &usize| self.entries.get(*at).and_then(|entry| entry.side);
        let open: Vec<usize> = sided
            .iter()
            .copied()
            .filter(|at| side_of(at).is_none())
            .collect();
        let said = answers::side(text);
        if open.len() > 1
            && let Some(said) = said
        {
            self.side_of_several(&open, said);
            return;
        }
        let at = match (open.as_slice(), sided.as_slice()) {
            ([one], _) | ([], [one]) => Some(*one),
            _ => None,
        };
        let taken = match (said, at, at.as_ref().and_then(side_of)) {
            (Some(said), Some(_), Some(known)) if said == known => true,
            (Some(ToldSide::One(_)), Some(at), Some(ToldSide::One(_))) => {
                // A side that nobody knows counts for both.
                if let Some(entry) = self.entry(at) {
                    entry.side = None;
                }
                self.told.ask.push(Ask::new(
                    "a side told in two ways",
                    format!("the words say one side, and the column “{text}”"),
                ));
                false
            }
            (Some(said), Some(at), None | Some(ToldSide::One(_))) => {
                if let Some(entry) = self.entry(at) {
                    entry.side = Some(said);
                }
                true
            }
            _ => false,
        };
        if !taken || !answers::is_only_a_side(text) {
            self.extras.push(format!("side: {text}"));
        }
    }

    /// Of several things with sides "both" is said of each; of one side it is asked of which, and until then both
    /// sides count.
    fn side_of_several(&mut self, open: &[usize], said: ToldSide) {
        let text = self.cells.side;
        if said == ToldSide::Both {
            for at in open {
                if let Some(entry) = self.entry(*at) {
                    entry.side = Some(said);
                }
            }
        } else {
            let names = open.iter().filter_map(|at| self.entries.get(*at));
            let names = names.filter_map(|entry| self.known(&entry.what));
            let names: Vec<&str> = names.map(|known| known.name.as_str()).collect();
            let question = format!("“{text}”: of which is it, {}?", names.join(" or "));
            self.told.ask.push(Ask::new("a side", question));
            self.of_which = true;
        }
        if said != ToldSide::Both || !answers::is_only_a_side(text) {
            self.extras.push(format!("side: {text}"));
        }
    }

    /// Notes and questions, once everything is attached.
    fn into_told(mut self) -> Told {
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
        let bare = self.entries.len() == 1 && extras.is_empty() && self.words.is_empty();
        if let Some(entry) = self.entries.first_mut() {
            let says_no_more =
                bare && answers::folded_words(words) == answers::folded_words(entry.what.as_str());
            entry.note = Some(whole.clone()).filter(|note| !note.is_empty() && !says_no_more);
        }
        // Other cells without anything to belong to say something that nobody understood.
        self.unclear |= self.entries.is_empty() && !extras.is_empty();
        if self.unclear {
            self.told.ask.push(Ask::new(
                "words not understood: kept for you to read, not guessed",
                "what is meant? Which side, since when, what makes it worse",
            ));
        }
        let mut told = self.told;
        if self.entries.is_empty() {
            let words = Some(whole).filter(|words| !words.is_empty());
            told.items.extend(words.map(Item::Words));
        } else {
            told.items.extend(self.entries.into_iter().map(Item::Entry));
            told.items.extend(self.words.into_iter().map(Item::Words));
        }
        told
    }

    /// What an entry still lacks.
    fn questions(&mut self, at: usize) {
        let Some(entry) = self.entries.get(at).cloned() else {
            return;
        };
        let Some(known) = self.known(&entry.what) else {
            return;
        };
        let (sided, clock) = (known.sided, known.clock);
        let name = match entry.side {
            Some(ToldSide::One(side)) => format!("{side} {}", known.name),
            _ => known.name.clone(),
        };
        let site = entry.site.as_deref().map(LimitationId::from);
        let middle = site
            .and_then(|site| self.known(&site))
            .is_some_and(|site| !site.sided);
        if sided && !middle && !self.of_which && entry.side.is_none() {
            self.told
                .ask
                .push(Ask::new("a side", format!("{name}: which side?")));
        }
        match clock {
            Clock::Pregnancy if entry.due.is_none() && entry.weeks.is_none() => {
                self.told.ask.push(Ask::new(
                    "a due date",
                    format!("{name}: when is the baby due?"),
                ));
            }
            Clock::Since if entry.on.is_none() && entry.weeks.is_none() => {
                self.told
                    .ask
                    .push(Ask::new("a date", format!("{name}: on which day was it?")));
            }
            Clock::Since if entry.on.as_ref().is_some_and(|on| on.len() < 10) => {
                self.told.ask.push(Ask::new(
                    "a date that is not exact",
                    format!("{name}: on which day was it?"),
                ));
            }
            _ => {}
        }
        if entry.what.as_str() == "hip-replacement" && entry.approach.is_none() {
            self.told.ask.push(Ask::new(
                "an approach",
                format!("{name}: from the front, the side or behind (approach)?"),
            ));
        }
    }
}
