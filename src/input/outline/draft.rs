//! A class whose names and holds are not settled yet.

use std::ops::Range;

use super::amounts::Told;
use super::asked::Asked;
use super::header::Header;
use super::taught::{DraftLine, Unread};
use crate::words::Level;

/// A class whose names and holds are not settled yet.
#[derive(Debug, Default)]
pub(super) struct Draft<'l> {
    /// What is said of the whole.
    pub header: Header,
    /// Its sections.
    pub sections: Vec<DraftSection<'l>>,
    /// Words that could not be read.
    pub unread: Vec<Unread>,
    /// What is to be confirmed about the whole: where, and what.
    pub asks: Vec<(usize, Asked)>,
}

/// A section of a draft.
#[derive(Debug)]
pub(super) struct DraftSection<'l> {
    /// Its name.
    pub name: String,
    /// Its own breath, in seconds.
    pub breath_s: Option<f64>,
    /// Where that stands.
    pub breath_at: Range<usize>,
    /// Kneel on a blanket throughout.
    pub padded: bool,
    /// What happens in it.
    pub items: Vec<DraftItem<'l>>,
}

/// An entry of a section.
#[derive(Debug)]
pub(super) enum DraftItem<'l> {
    /// Welcome, handing out props.
    Talk {
        /// Seconds set aside.
        seconds: f64,
        /// The words.
        note: Option<String>,
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
    /// One step.
    Single(Box<DraftLine<'l>>),
    /// Steps taught together.
    Run(Told, Vec<DraftPart<'l>>),
}

/// A part of a run.
#[derive(Debug)]
pub(super) enum DraftPart<'l> {
    /// One step.
    Line(Box<DraftLine<'l>>),
    /// Steps repeated within it.
    Repeat(Box<Told>, Vec<DraftLine<'l>>),
}

/// The name of what stands before the first heading.
pub(super) const UNNAMED: &str = "Class";
