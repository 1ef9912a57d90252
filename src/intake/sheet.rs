//! The cells of a sign-up sheet, whatever file they came in.
//!
//! Takes bytes; gives back rows of cells as text. Invariant: a cell holds no control or direction
//! characters and no space that only looks like one, and a sheet is never larger than its limits.

use jiff::civil::Date;

use super::{decode, workbook};
use crate::problem::{Code, Place, Problem, steers};

/// The largest sheet that is read, in bytes: 2 MiB (our choice; 5,000 rows of a form take about 1).
pub const MOST_BYTES: usize = 2 * 1024 * 1024;
/// The most rows (our choice).
pub const MOST_ROWS: usize = 10_000;
/// The most columns (our choice).
pub const MOST_COLUMNS: usize = 256;
/// The longest cell, in bytes (our choice): beyond it a quotation mark was never closed.
const MOST_CELL: usize = 8_000;

/// A sign-up sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// The file's name as it was typed.
    pub name: String,
    /// Rows that hold anything.
    pub rows: Vec<Row>,
    /// What to know about how it was read.
    pub notices: Vec<String>,
}

/// A row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// Its number in the file, from 1.
    pub number: usize,
    /// Its cells from column A on.
    pub cells: Vec<Cell>,
}

/// A cell.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// What stands in it, trimmed.
    pub text: String,
    /// The day, where the file itself says that the cell is a date.
    pub date: Option<Date>,
}

impl Row {
    /// The text of a cell; empty beyond the last one.
    pub fn text(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.text.as_str())
    }
}

impl Cell {
    /// A cell of clean text.
    pub(super) fn of(text: &str) -> Self {
        Self {
            text: clean(text),
            date: None,
        }
    }
}

impl Sheet {
    /// Reads a sheet: the form is told by the bytes, not by the file's name.
    ///
    /// # Errors
    /// A problem with the whole file. No message holds anything that stands in a cell.
    pub fn read(name: &str, bytes: &[u8], tab: Option<&str>) -> Result<Self, Problem> {
        if bytes.len() > MOST_BYTES {
            return Err(too_large(name, "the file is over 2 MiB"));
        }
        let mut sheet = if bytes.starts_with(b"PK\x03\x04") {
            workbook::read(name, bytes, tab)?
        } else {
            decode::read(name, bytes)?
        };
        sheet.rows.retain(|row| row.cells.iter().any(says_anything));
        if sheet.rows.is_empty() {
            return Err(problem(
                name,
                Code::FileEmpty,
                "nothing stands in this sheet",
                "Check that this is the right file, and that it was saved.",
            ));
        }
        if sheet.rows.len() > MOST_ROWS {
            return Err(too_large(
                name,
                &format!("the sheet has over {MOST_ROWS} rows"),
            ));
        }
        if sheet.rows.iter().any(|row| row.cells.len() > MOST_COLUMNS) {
            return Err(too_large(
                name,
                &format!("the sheet has over {MOST_COLUMNS} columns"),
            ));
        }
        let long = sheet
            .rows
            .iter()
            .find(|row| row.cells.iter().any(|cell| cell.text.len() > MOST_CELL));
        if let Some(row) = long {
            return Err(problem(
                name,
                Code::NotClosed,
                &format!(
                    "a cell that begins in row {} never seems to end",
                    row.number
                ),
                "Often a quotation mark was opened and not closed. Mend it, or save the sheet again.",
            ));
        }
        Ok(sheet)
    }
}

/// Whether more than signs stands in a cell.
fn says_anything(cell: &Cell) -> bool {
    let says = |c: char| c.is_alphanumeric() || !c.is_ascii();
    cell.text.chars().any(says)
}

/// A problem with the whole file.
pub(super) fn problem(name: &str, code: Code, message: &str, help: &str) -> Problem {
    Problem::new(code, Place::file(name), message, help)
}

/// A sheet beyond the limits.
pub(super) fn too_large(name: &str, message: &str) -> Problem {
    problem(
        name,
        Code::FileTooLarge,
        message,
        "A sign-up sheet is one line a person; check that this is the right file, or split it.",
    )
}

/// A cell's text with line ends as `; `, other spaces as single plain ones, and without characters
/// that steer a screen or hide.
fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.split(['\n', '\r', '\u{2028}', '\u{2029}', '\u{b}', '\u{c}']) {
        let mut words = line
            .split(char::is_whitespace)
            .map(visible)
            .filter(|word| !word.is_empty());
        let Some(first) = words.next() else { continue };
        if !out.is_empty() {
            out.push_str(if out.ends_with([';', ',', '.', ':', '!', '?']) {
                " "
            } else {
                "; "
            });
        }
        out.push_str(&first);
        for word in words {
            out.push(' ');
            out.push_str(&word);
        }
    }
    out
}

/// A word without control, direction and zero-width characters.
fn visible(word: &str) -> String {
    word.chars().filter(|&c| !steers(c)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_keeps_no_steering_characters() {
        assert_eq!(
            clean(" sore\u{1b}[31m\u{202e} knee\u{a0} \n since May\r\n"),
            "sore[31m knee; since May"
        );
        assert_eq!(clean("\u{feff}\t\u{200b}"), "");
    }

    #[test]
    fn a_sheet_beyond_its_limits_is_refused_without_a_word_of_it() {
        let code =
            |bytes: &[u8]| Sheet::read("s.csv", bytes, None).map_err(|p| (p.code, p.to_string()));
        let wide = format!("Name{}\nquomble{}\n", ",x".repeat(300), ",y".repeat(300));
        let long = format!("Name,Words\nquomble,\"{}\n", "z ".repeat(5_000));
        let tall = "Name,Words\n".to_owned() + &"quomble,x\n".repeat(MOST_ROWS + 1);
        for (text, expected) in [
            (wide, Code::FileTooLarge),
            (long, Code::NotClosed),
            (tall, Code::FileTooLarge),
            ("x".repeat(MOST_BYTES + 1), Code::FileTooLarge),
            (" ,, \n;;\n".to_owned(), Code::FileEmpty),
        ] {
            match code(text.as_bytes()) {
                Err((found, said)) => {
                    assert_eq!(found, expected);
                    assert!(!said.contains("quomble"), "{said}");
                }
                Ok(_) => unreachable!("{expected} was not found"),
            }
        }
    }
}
