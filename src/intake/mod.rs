//! Sign-up sheets: a table that people filled in becomes a roster.
//!
//! Takes the bytes of a CSV, XLSX or ODS file; gives back the text of a roster with what has to be
//! asked as remarks in it, or every problem. The steps: `sheet` (cells), `columns` (which column
//! is what), `people` (what each row says), `write` (a new roster) or `merge` (an old roster
//! with what is new). Invariants: no word of a cell is dropped unless its person gave no leave to
//! keep it, which is said; blank, never asked, declined and "nothing" stay four answers; what can be
//! meant two ways is asked, never guessed; the text always reads back as a roster.

mod access;
mod answers;
mod asides;
mod calendar;
mod columns;
mod dates;
mod decode;
mod edits;
mod entries;
mod entry;
mod guidance;
mod headings;
mod merge;
mod packed;
mod people;
mod person;
mod same;
mod sheet;
mod stamps;
mod workbook;
mod write;
mod yaml;

use jiff::civil::Date;

pub(crate) use columns::column_of;
pub use columns::{By, Means, Proposal};
pub use dates::DayOrder;
pub use sheet::{MOST_BYTES, MOST_COLUMNS, MOST_ROWS, Sheet};
pub(crate) use write::reason;

use crate::input::{self, suggest::fold, text::Source};
use crate::library::Library;
use crate::problem::Problem;
use crate::roster::Roster;

/// What the teacher said on the command line about a sheet.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    /// The day on which the answers were true, if it was said.
    pub recorded: Option<Date>,
    /// Today, which stands in where no day is known.
    pub today: Date,
    /// What a column is: its letter and its meaning.
    pub columns: &'a [(usize, Means)],
    /// Which of two numbers is the day.
    pub order: DayOrder,
    /// The worksheet to read, where there are several.
    pub tab: Option<&'a str>,
}

/// A roster made from a sheet, and what to say about it.
#[derive(Clone, Debug)]
pub struct Made {
    /// The roster's text.
    pub text: String,
    /// What each column was taken for.
    pub columns: Vec<Proposal>,
    /// How many people answered in which way.
    pub tally: person::Tally,
    /// What has to be asked: the line of the roster and words that tell nothing about anybody.
    pub ask: Vec<(usize, &'static str)>,
    /// What else to know: rows left out, tabs not read, dates in two orders.
    pub notices: Vec<String>,
}

/// Why no roster was made.
#[derive(Debug)]
pub enum Unmade {
    /// The sheet, or the roster to merge with, is wrong.
    Problems(Vec<Problem>),
    /// The text that was made does not read back: a fault of the program.
    Unreadable,
}

/// Makes a roster from the bytes of a sheet; `old` is a roster to merge it into.
///
/// # Errors
/// Every problem of the sheet; those of the old roster; a text that does not read back.
pub fn intake(
    name: &str,
    bytes: &[u8],
    old: Option<Source>,
    library: &Library,
    asked: &Asked<'_>,
) -> Result<Made, Unmade> {
    let sheet =
        Sheet::read(name, bytes, asked.tab).map_err(|problem| Unmade::Problems(vec![problem]))?;
    let old = old
        .map(|source| merge::Old::read(source, library))
        .transpose()
        .map_err(Unmade::Problems)?;
    let plan = columns::propose(&sheet, asked.columns, library)
        .map_err(|problem| Unmade::Problems(vec![problem]))?;
    let read = people::read(&sheet, &plan, library, asked);
    let mut notices = sheet.notices.clone();
    notices.extend(read.notices.iter().cloned());
    let made = match &old {
        None => merge::Merged {
            text: write::roster(&sheet, &plan, &read),
            notices: Vec::new(),
            ask: read.questions(),
        },
        Some(old) => merge::merged(old, &sheet, &read),
    };
    notices.extend(made.notices);
    let roster = read_back(name, &made.text, library)?;
    let asks_the_day = read.recorded_is_today && old.is_none();
    Ok(Made {
        ask: lines_to_ask(&made.text, &roster, &made.ask, asks_the_day),
        columns: plan.proposals,
        tally: read.tally(),
        notices,
        text: made.text,
    })
}

/// Reads the text as any command would. It may only fail where it is too long for a roster.
fn read_back(name: &str, text: &str, library: &Library) -> Result<Roster, Unmade> {
    if text.len() > input::text::MOST_BYTES {
        return Err(Unmade::Problems(vec![sheet::too_large(
            name,
            "the roster would be over 1 MiB",
        )]));
    }
    let source = Source::from_bytes("roster", text.as_bytes()).map_err(|_| Unmade::Unreadable)?;
    input::roster::read(source, library).map_err(|_| Unmade::Unreadable)
}

/// The line of each person who has to be asked something, and what, without a name or a word of
/// theirs.
fn lines_to_ask(
    text: &str,
    roster: &Roster,
    ask: &[(String, &'static str)],
    asks_the_day: bool,
) -> Vec<(usize, &'static str)> {
    let mut lines: Vec<(usize, &'static str)> = Vec::new();
    if asks_the_day {
        let at = text.lines().position(|line| line.starts_with("recorded:"));
        lines.extend(at.map(|at| (at + 1, "on which day these answers were given")));
    }
    let mut places: std::collections::BTreeMap<String, Vec<usize>> =
        std::collections::BTreeMap::new();
    for student in &roster.students {
        places
            .entry(fold(&student.name))
            .or_default()
            .push(student.file_line);
    }
    for (name, about) in ask {
        // Of two with one name both lines are meant: they are asked to be told apart.
        let at = places.get(&fold(name)).into_iter().flatten();
        lines.extend(at.map(|line| (*line, *about)));
    }
    lines.sort_unstable();
    lines.dedup();
    lines
}
