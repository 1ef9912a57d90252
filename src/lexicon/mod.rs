//! What people write of themselves in their own words, read by `rules/lexicon.yaml`.
//!
//! Takes words and the day they were written; gives limitations, what a clinician is said to have
//! said, and everything that has to be asked. Invariant: no word is dropped. What is understood is
//! marked as read from their own words, what is not stands word for word to be asked about.

mod book;
mod clauses;
mod dates;
mod phrases;
mod reading;
mod tokens;

pub use book::{
    Acts, Book, Element, KindWords, Meaning, Pattern, Phrase, SideWord, Trap, Way, When,
};
pub use phrases::Said;

use jiff::civil::Date;

use crate::roster::{Guidance, Heard, Limitation};

/// What was read from a person's own words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Read {
    /// What was understood. Each has their whole words as its note and is marked as read.
    pub limitations: Vec<Limitation>,
    /// What a clinician is said to have said; without a date, so it may add limits and open nothing.
    pub guidance: Vec<Guidance>,
    /// They would rather not be touched.
    pub no_touch: bool,
    /// Not understood, word for word.
    pub unread: Vec<Unread>,
    /// Understood, and no limitation: questions, reminders, a private note.
    pub heard: Vec<Heard>,
    /// They said that there is nothing to tell.
    pub nothing: bool,
}

/// Words that were not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// As written.
    pub text: String,
    /// What to ask, if it is known.
    pub question: Option<String>,
}

impl Book {
    /// Reads a person's own words, in any of the six languages. `recorded` is the day on which they
    /// were written: "7 weeks ago" counts from it, and a month without a year is read against it.
    pub fn read(&self, words: &str, recorded: Option<Date>) -> Read {
        reading::read(self, words, recorded)
    }

    /// The one kind of clinician that some words name: "eye clinic" is a clinic, "GP and physio" none.
    pub fn clinician(&self, words: &str) -> Option<String> {
        phrases::clinician(self, words)
    }

    /// Whether the words for a speaker name somebody beside the clinician, or say that it is none: "a
    /// friend who is a doctor", "not a nurse".
    pub fn is_second_hand(&self, from: &str) -> bool {
        Book::keys(from)
            .iter()
            .any(|key| self.no_clinician.contains(key))
    }

    /// Reads what a clinician said about a limitation: only what maps is acted on.
    pub fn said(&self, words: &str, about: Option<&crate::words::LimitationId>) -> Said {
        phrases::said(self, words, about)
    }
}
