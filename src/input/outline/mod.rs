//! Reads a class from a plain outline: a `.md` or `.txt` file as a person jots it.
//!
//! Takes the text and the library's names; gives a [`Reading`]: the class as far as it was
//! understood, what the teacher is asked to confirm, and the words that were not understood. The
//! grammar is described in the README (“A class as a scribble”).
//!
//! A file goes through five steps: `rows` (headings, bullets, indentation), `words` (what stands
//! between commas, dashes and brackets), `steps` with `amounts` and `naming` (one row as steps),
//! `document` (rows as sections and runs), `decide` (loose words by the steps around them, holds,
//! the class). Invariant: nothing is guessed silently. What was not written just so is an [`Ask`];
//! what could not be read is a [`Problem`] with its place.

mod amounts;
mod around;
mod asked;
mod decide;
mod document;
mod draft;
mod fields;
mod header;
mod holds;
mod left_out;
mod naming;
mod numbers;
mod rows;
mod runs;
mod steps;
mod taught;
mod ways;
mod words;

use std::ops::Range;

pub use asked::{Ask, Asked};

use super::reading::Reading;
use super::text::{Fault, Scalar, Source};
use crate::library::Library;
use crate::problem::{Code, Place, Problem};

/// Reads an outline. Surely meant steps that are not known, and holds and sides that cannot be, are
/// in the reading's `wrong`.
///
/// # Errors
/// Every problem of a file in which no step was understood.
pub fn read(source: &Source, library: &Library) -> Result<Reading, Vec<Problem>> {
    let mut pen = Pen {
        source,
        problems: Vec::new(),
    };
    if let Some(other) = written_in_yaml(source) {
        pen.whole(
            Code::WrongFile,
            &format!("this is {other} in YAML, and its name is that of an outline"),
            "Give it a name that ends in .yaml.",
        );
        return Err(pen.problems);
    }
    let rows = rows::rows(source);
    let draft = document::draft(library, &mut pen, &rows);
    match decide::decide(library, &mut pen, draft) {
        Some(reading) => Ok(Reading {
            wrong: pen.problems,
            ..reading
        }),
        None => Err(pen.problems),
    }
}

/// What a file is that is no outline, whatever its name says.
fn written_in_yaml(source: &Source) -> Option<&'static str> {
    let has = |key: &str| source.lines().any(|(_, line)| line.trim_end() == key);
    if has("sections:") && source.text().contains("steps:") {
        Some("a class plan")
    } else if has("students:") {
        Some("a roster")
    } else {
        None
    }
}

/// The file, and the problems found in it.
pub(super) struct Pen<'s> {
    source: &'s Source,
    problems: Vec<Problem>,
}

impl<'s> Pen<'s> {
    fn text(&self) -> &'s str {
        self.source.text()
    }

    fn text_of(&self, range: &Range<usize>) -> &'s str {
        self.source.text().get(range.clone()).unwrap_or("")
    }

    fn line_of(&self, byte: usize) -> usize {
        self.source.line_of(byte)
    }

    /// The place of a word, its line masked but for the word.
    fn place(&self, range: Range<usize>) -> Place {
        let scalar = Scalar {
            range: range.clone(),
            is_key: false,
        };
        let fault = Fault { range, shown: true };
        self.source
            .place(&fault, &[scalar], self.source.text().len())
    }

    fn problem(
        &mut self,
        code: Code,
        range: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        let problem = Problem::new(code, self.place(range), message, help);
        self.problems.push(problem);
    }

    fn whole(&mut self, code: Code, message: &str, help: &str) {
        let place = Place::file(self.source.name());
        self.problems.push(Problem::new(code, place, message, help));
    }
}
