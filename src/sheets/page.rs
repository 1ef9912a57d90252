//! A sheet as content: what stands where, in words, before it is text, Markdown, HTML or CSV.
//!
//! Invariant: a renderer adds no word of its own but what the form needs; what a reader is told
//! stands here once.

use super::figure::Size;
use crate::words::{PostureId, Side};

/// A whole sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// What stands in the margin: the class's title.
    pub title: String,
    /// What kind of sheet: "room sheet".
    pub kind: &'static str,
    /// The name of its style, one word.
    pub style: &'static str,
    /// Its pages; each begins a new sheet of paper.
    pub pages: Vec<Page>,
}

/// A part that begins on a new page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// Its title.
    pub title: String,
    /// Date and times.
    pub when: String,
    /// What stands below.
    pub blocks: Vec<Block>,
}

/// A thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A section's name.
    Heading(String),
    /// A paragraph.
    Line(String),
    /// A paragraph with words that somebody said, and their language where it is another.
    Said(String, Option<String>),
    /// Short paragraphs of one kind.
    List(Vec<String>),
    /// Rows and columns.
    Table(Table),
    /// A figure with what to do.
    Item(Item),
    /// Something to know, or a ruled blank where no input gives it.
    Field(String, Option<String>),
    /// A label with so many ruled lines to write on.
    Ruled(String, usize),
}

/// Rows and columns, in groups.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// The name of its style, one word.
    pub style: &'static str,
    /// Heads of the columns.
    pub heads: Vec<&'static str>,
    /// Its groups.
    pub groups: Vec<Group>,
}

/// Rows under one name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// The name, and what stands at the right edge of it; empty: no name.
    pub name: String,
    /// Until when.
    pub aside: String,
    /// The rows; each has a cell for each head.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// What is found first.
    pub strong: String,
    /// What follows, a line each.
    pub lines: Vec<String>,
    /// The shape and side to draw.
    pub figure: Option<(PostureId, Side)>,
    /// A box to tick.
    pub tick: bool,
}

impl Cell {
    /// A cell of one line.
    pub fn of(text: impl Into<String>) -> Self {
        Self {
            lines: vec![text.into()],
            ..Self::default()
        }
    }

    /// A cell of several lines.
    pub fn lines(lines: Vec<String>) -> Self {
        Self {
            lines,
            ..Self::default()
        }
    }

    /// A cell to find at once.
    pub fn strong(text: impl Into<String>) -> Self {
        Self {
            strong: text.into(),
            ..Self::default()
        }
    }

    /// A box to tick.
    pub fn tick() -> Self {
        Self {
            tick: true,
            ..Self::default()
        }
    }

    /// All its words in one line.
    pub fn words(&self) -> String {
        if self.tick {
            return "[ ]".to_owned();
        }
        let mut words = vec![self.strong.as_str()];
        words.extend(self.lines.iter().map(String::as_str));
        words.retain(|words| !words.is_empty());
        words.join("; ")
    }
}

/// A figure with what to do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Item {
    /// What it is.
    pub heading: String,
    /// What to know before all else: which side is first.
    pub first: Option<String>,
    /// One action a line.
    pub lines: Vec<String>,
    /// The shape and side to draw.
    pub figure: Option<(PostureId, Side)>,
    /// The room for the figure, as printed: usually, and in large print.
    pub size: [Size; 2],
}
