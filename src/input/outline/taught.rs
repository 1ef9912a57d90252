//! What a row of an outline teaches, before its holds and meanings are settled.

use std::ops::Range;

use super::amounts::Told;
use super::asked::Asked;
use super::naming::Found;
use crate::class::Choice;
use crate::words::{Level, PropCounts};

/// A line of the class before its hold and its meaning are settled.
#[derive(Clone, Debug)]
pub(super) struct DraftLine<'l> {
    /// Where its name stands.
    pub range: Range<usize>,
    /// Its name as written.
    pub written: String,
    /// What the name stands for.
    pub found: Found<'l>,
    /// Hold, sides, counts.
    pub told: Told,
    /// Notes, in order.
    pub notes: Vec<String>,
    /// The teacher's own cue.
    pub cue: Option<String>,
    /// Spoken choices.
    pub or: Vec<Choice>,
    /// Props, a person each.
    pub props: PropCounts,
    /// What is to be confirmed.
    pub asks: Vec<Asked>,
}

/// What a row teaches.
#[derive(Clone, Debug)]
pub(super) enum Taught<'l> {
    /// A step.
    Line(Box<DraftLine<'l>>),
    /// Steps taught together: “lunge, warrior II, side angle x2 each”.
    Group(Told, Vec<DraftLine<'l>>),
    /// Welcome, handing out props.
    Talk {
        /// Seconds set aside, once they are read.
        seconds: Option<f64>,
        /// The words.
        note: Option<String>,
        /// Where they stand.
        range: Range<usize>,
    },
    /// A way to another level.
    Move {
        /// Where to.
        to: Level,
        /// A name of `data/links.yaml`.
        by: Option<String>,
        /// Seconds set aside.
        takes_s: Option<f64>,
    },
    /// Words that are none of these.
    Unread(Unread),
}

/// Why words could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Why {
    /// Nothing is known of them.
    Unknown,
    /// They have several meanings, of which nothing decides one.
    Several,
    /// They are a talk without its length.
    Talk,
    /// They name a sun salutation, which is a run of steps.
    Salutation,
    /// They say that steps above are to be taught on the other side as well.
    OtherSide,
}

/// Words that could not be read.
#[derive(Clone, Debug)]
pub(super) struct Unread {
    /// Where they stand.
    pub range: Range<usize>,
    /// As written.
    pub written: String,
    /// Whether they are surely a step, as a hold, a side or a count stands with them.
    pub is_step: bool,
    /// What may be meant.
    pub near: Vec<String>,
    /// Why they could not be read.
    pub why: Why,
    /// The sentence of the row that they stand in.
    pub sentence: usize,
}

impl Unread {
    /// Words of which nothing is known.
    pub(super) fn new(range: Range<usize>, written: String) -> Self {
        Self {
            range,
            written,
            is_step: false,
            near: Vec::new(),
            why: Why::Unknown,
            sentence: 0,
        }
    }

    /// The same, with the reason.
    pub(super) fn because(self, why: Why) -> Self {
        Self { why, ..self }
    }
}

impl<'l> DraftLine<'l> {
    pub(super) fn new(found: Found<'l>, range: Range<usize>, written: String) -> Self {
        Self {
            range,
            written,
            found,
            told: Told::default(),
            notes: Vec::new(),
            cue: None,
            or: Vec::new(),
            props: PropCounts::new(),
            asks: Vec::new(),
        }
    }

    pub(super) fn note(&mut self, note: String, names_a_posture: bool) {
        if names_a_posture {
            self.asks.push(Asked::NoteIsPosture(note.clone()));
        }
        self.notes.push(note);
    }

    /// Words beside the name, kept and shown.
    pub(super) fn note_words(&mut self, words: String) {
        self.asks.push(Asked::Note(words.clone()));
        self.notes.push(words);
    }
}
