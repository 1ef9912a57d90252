//! Which column is what.
//!
//! Takes a sheet; gives back where its people begin and what each column is taken for, with the
//! reason. Invariant: a heading decides where it is understood; what stands in a column decides only
//! where no heading does; what the teacher says decides over both; and nothing of a cell is ever
//! shown, for a first row may be a person.

use super::answers;
use super::dates::{self, DayOrder};
use super::entries::is_about_health;
use super::headings;
use super::sheet::{Cell, Row, Sheet, problem};
use crate::library::Library;
use crate::problem::{Code, Problem};

pub use super::headings::Means;

/// Rows from the top among which the headings are looked for.
const HEADING_WITHIN: usize = 12;
/// The longest heading, in characters.
const LONGEST_HEADING: usize = 120;
/// Cells of a column that are looked at.
const LOOKED_AT: usize = 200;

/// Why a column is taken for what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Its heading.
    Heading,
    /// What stands in it.
    Content,
    /// The teacher said so.
    Teacher,
    /// Nothing told.
    Nothing,
}

/// What a column is taken for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// Its letter, as a spreadsheet shows it.
    pub letter: String,
    /// Its heading; empty where there is none.
    pub heading: String,
    /// What it is.
    pub means: Means,
    /// Why.
    pub by: By,
}

/// Columns as they will be read.
#[derive(Clone, Debug, Default)]
pub(super) struct Plan {
    /// The first row that is a person, as an index of the sheet's rows.
    pub(super) first_row: usize,
    pub(super) proposals: Vec<Proposal>,
    headings: Vec<String>,
}

impl Plan {
    /// The first column of a kind.
    pub(super) fn first(&self, means: Means) -> Option<usize> {
        self.proposals
            .iter()
            .position(|proposal| proposal.means == means)
    }

    /// The cells of a row whose column is of a kind.
    pub(super) fn cells<'r>(
        &'r self,
        row: &'r Row,
        means: Means,
    ) -> impl Iterator<Item = &'r Cell> {
        let columns = self.proposals.iter().enumerate();
        columns
            .filter(move |(_, proposal)| proposal.means == means)
            .filter_map(|(at, _)| row.cells.get(at))
    }

    /// What a row says in words, column by column. Under a heading that names what it asks about a plain
    /// "yes" is that heading, a plain "no" is no word about anything else, and other words stand beside it.
    pub(super) fn words(&self, row: &Row, means: Means, library: &Library) -> Vec<String> {
        let columns = self.proposals.iter().zip(&row.cells);
        columns
            .filter(|(proposal, _)| proposal.means == means)
            .filter_map(|(proposal, cell)| {
                let text = cell.text.as_str();
                let named = proposal.by == By::Heading
                    && headings::meaning(&proposal.heading).is_none()
                    && !answers::is_blank(text);
                match named {
                    false => Some(text.to_owned()),
                    true if answers::no(text) || answers::nothing(text) => None,
                    true if answers::yes(text) || is_ticked(text) => {
                        Some(proposal.heading.trim_end_matches(['?', ' ']).to_owned())
                    }
                    true if is_about_health(text, library) => Some(text.to_owned()),
                    true => Some(format!("{} {text}", proposal.heading)),
                }
            })
            .collect()
    }

    /// The texts of those cells that say anything.
    pub(super) fn text(&self, row: &Row, means: Means) -> String {
        let texts: Vec<&str> = self
            .cells(row, means)
            .map(|cell| cell.text.as_str())
            .filter(|text| !answers::is_blank(text))
            .collect();
        texts.join("; ")
    }

    /// A whole number in the first column of a kind.
    pub(super) fn number(&self, row: &Row, means: Means) -> Option<u32> {
        let text = row.text(self.first(means)?);
        let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
        digits.parse().ok()
    }

    /// Whether a row repeats the headings, as on a sheet put together from several.
    pub(super) fn is_heading_again(&self, row: &Row) -> bool {
        let named = self
            .headings
            .iter()
            .filter(|heading| !heading.is_empty())
            .count();
        named > 1
            && self
                .headings
                .iter()
                .enumerate()
                .all(|(at, heading)| heading.is_empty() || row.text(at) == heading)
    }
}

/// Takes each column for what it most likely is.
///
/// # Errors
/// No column holds names.
pub(super) fn propose(
    sheet: &Sheet,
    said: &[(usize, Means)],
    library: &Library,
) -> Result<Plan, Problem> {
    let width = sheet
        .rows
        .iter()
        .map(|row| row.cells.len())
        .max()
        .unwrap_or(0);
    if let Some((column, _)) = said.iter().find(|(column, _)| *column >= width) {
        return Err(problem(
            &sheet.name,
            Code::UnknownWord,
            &format!("there is no column {}", letter(*column)),
            &format!(
                "The columns go from A to {}.",
                letter(width.saturating_sub(1))
            ),
        ));
    }
    let heading_row = heading_row(sheet);
    let first_row = heading_row.map_or(0, |at| at + 1);
    let headings: Vec<String> = (0..width)
        .map(|at| {
            heading_row
                .and_then(|row| sheet.rows.get(row))
                .map_or("", |row| row.text(at))
                .to_owned()
        })
        .collect();
    let mut proposals: Vec<Proposal> = headings
        .iter()
        .enumerate()
        .map(|(at, heading)| {
            // A heading that names what it asks about: "Pregnant?", "High blood pressure".
            let names = || is_about_health(heading, library).then_some(Means::Words);
            let by_heading = headings::meaning(heading).or_else(names);
            Proposal {
                letter: letter(at),
                heading: heading.clone(),
                means: by_heading.unwrap_or(Means::Unused),
                by: if by_heading.is_some() {
                    By::Heading
                } else {
                    By::Nothing
                },
            }
        })
        .collect();
    let body = sheet.rows.get(first_row..).unwrap_or_default();
    for (column, means) in said {
        if let Some(proposal) = proposals.get_mut(*column) {
            proposal.means = *means;
            proposal.by = By::Teacher;
        }
    }
    by_content(&mut proposals, body, library);
    let plan = Plan {
        first_row,
        proposals,
        headings,
    };
    if plan.first(Means::Name).is_none() && plan.first(Means::LastName).is_none() {
        return Err(problem(
            &sheet.name,
            Code::NoNames,
            "no column of this sheet looks like names",
            "Write “Name” over the column of names, or say which it is: --column A=name.",
        ));
    }
    if body.is_empty() {
        return Err(problem(
            &sheet.name,
            Code::FileEmpty,
            "there are headings here, and nobody under them",
            "Check that this is the right file, and that it was saved.",
        ));
    }
    Ok(plan)
}

fn is_ticked(text: &str) -> bool {
    matches!(text.trim(), "1" | "✓" | "✔" | "☑" | "✅" | "*")
}

/// The row of headings: one that names a column of names and is understood best, the first of equals;
/// or, where none names it, one of which most is understood.
fn heading_row(sheet: &Sheet) -> Option<usize> {
    let mut best: Option<(usize, (bool, usize))> = None;
    for (at, row) in sheet.rows.iter().take(HEADING_WITHIN).enumerate() {
        let texts: Vec<&str> = row
            .cells
            .iter()
            .map(|cell| cell.text.as_str())
            .filter(|text| !text.is_empty())
            .collect();
        if texts
            .iter()
            .any(|text| text.chars().count() > LONGEST_HEADING)
        {
            continue;
        }
        let means: Vec<Means> = texts
            .iter()
            .filter_map(|text| headings::meaning(text))
            .collect();
        let names = means
            .iter()
            .any(|means| matches!(means, Means::Name | Means::LastName));
        let understood = means.len() >= 2 && means.len() * 3 >= texts.len() * 2;
        // A lone word over a list of names is a heading; a lone title over a table is not.
        let alone = texts.len() == 1 && sheet.rows.iter().any(|row| row.cells.len() > 1);
        // Answers can be headings as well: "no" is a number in some languages.
        let rank = (names && !alone, means.len());
        if (names && !alone || understood) && best.is_none_or(|(_, most)| rank > most) {
            best = Some((at, rank));
        }
    }
    best.map(|(at, _)| at)
}

/// Fills in what no heading told: answers that only one kind of column has, then names, then words.
fn by_content(proposals: &mut [Proposal], body: &[Row], library: &Library) {
    let open: Vec<usize> = proposals
        .iter()
        .enumerate()
        .filter(|(_, proposal)| proposal.by == By::Nothing)
        .map(|(at, _)| at)
        .collect();
    let has =
        |proposals: &[Proposal], means| proposals.iter().any(|proposal| proposal.means == means);
    let mut names: Vec<(usize, usize)> = Vec::new();
    for &at in &open {
        let texts: Vec<&str> = body
            .iter()
            .take(LOOKED_AT)
            .map(|row| row.text(at))
            .filter(|text| !answers::is_blank(text))
            .collect();
        if texts.is_empty() {
            continue;
        }
        let share = |holds: &dyn Fn(&str) -> bool| {
            texts.iter().filter(|text| holds(text)).count() * 10 >= texts.len() * 8
        };
        let means = if share(&is_contact)
            || share(&|text| text.parse::<f64>().is_ok())
            || share(&is_only_a_date)
        {
            None
        } else if share(&|text| answers::side(text).is_some() && !is_about_health(text, library)) {
            Some(Means::Side)
        } else if share(&|text| answers::severity(text).is_some()) {
            Some(Means::Severity)
        } else if share(&|text| matches!(answers::touch(text), Some("ask"))) {
            Some(Means::Touch)
        } else if share(&|text| answers::place(text).is_some() && text.len() < 30) {
            Some(Means::Place)
        } else if texts.iter().any(|text| is_about_health(text, library)) {
            Some(Means::Words)
        } else {
            if share(&is_name_like) {
                names.push((at, texts.len()));
            }
            None
        };
        if let Some(means) = means
            && (means == Means::Words || !has(proposals, means))
            && let Some(proposal) = proposals.get_mut(at)
        {
            proposal.means = means;
            proposal.by = By::Content;
        }
    }
    if !has(proposals, Means::Name)
        && let Some((at, _)) = names.first()
        && let Some(proposal) = proposals.get_mut(*at)
    {
        proposal.means = Means::Name;
        proposal.by = By::Content;
    }
}

fn is_contact(text: &str) -> bool {
    let digits = text.chars().filter(char::is_ascii_digit).count();
    (text.contains('@') && text.contains('.') && !text.contains(' '))
        || (digits >= 7
            && text
                .chars()
                .all(|c| c.is_ascii_digit() || " +-/().".contains(c)))
}

fn is_only_a_date(text: &str) -> bool {
    text.len() <= 25
        && text.starts_with(|c: char| c.is_ascii_digit())
        && !dates::find(text, DayOrder::Unknown).is_empty()
}

/// One to four words, letters only, the first a capital where its script has any.
fn is_name_like(text: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    let letters = |c: char| {
        c.is_alphabetic()
            || matches!(
                c,
                '.' | '-' | '\'' | '’' | '(' | ')' | '+' | '"' | '\u{301}'
            )
    };
    (1..=4).contains(&words.len())
        && text.chars().count() <= 40
        && text.chars().all(|c| letters(c) || c == ' ')
        && text
            .chars()
            .find(|c| c.is_alphabetic())
            .is_some_and(|c| !c.is_lowercase())
}

/// The letter of a column from 0: A, B … Z, AA.
fn letter(column: usize) -> String {
    let mut out = Vec::new();
    let mut left = column + 1;
    while left > 0 {
        let digit = (left - 1) % 26;
        out.push(char::from(b'A' + u8::try_from(digit).unwrap_or(0)));
        left = (left - 1) / 26;
    }
    out.iter().rev().collect()
}

/// The column of a letter, from 0.
pub(crate) fn column_of(letter: &str) -> Option<usize> {
    let upper = letter.trim().to_ascii_uppercase();
    if upper.is_empty() || upper.len() > 2 || !upper.bytes().all(|byte| byte.is_ascii_uppercase()) {
        return None;
    }
    let sum = upper
        .bytes()
        .fold(0, |sum, byte| sum * 26 + usize::from(byte - b'A') + 1);
    Some(sum - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;

    fn means(text: &str) -> Result<Vec<Means>, Code> {
        let library = Library::built_in().expect("the built-in library is whole");
        let sheet = Sheet::read("s.csv", text.as_bytes(), None).map_err(|problem| problem.code)?;
        let plan = propose(&sheet, &[], &library).map_err(|problem| problem.code)?;
        Ok(plan
            .proposals
            .iter()
            .map(|proposal| proposal.means)
            .collect())
    }

    #[test]
    fn letters_and_columns_agree() {
        for column in [0, 1, 25, 26, 27, 51, 52, 255] {
            assert_eq!(column_of(&letter(column)), Some(column));
        }
        assert_eq!(letter(26), "AA");
        assert_eq!(column_of("A1"), None);
    }

    #[test]
    fn a_title_above_the_headings_is_passed_over() {
        let text = "Tuesday names,,\n,,\nNr,Name,Injuries\n1,Zorb,knee\n2,Quim,none\n";
        assert_eq!(
            means(text),
            Ok(vec![Means::Unused, Means::Name, Means::Words])
        );
    }

    #[test]
    fn content_decides_where_no_heading_does() {
        let text = "Zorblat,left knee is sore,left,a@b.example\nQuimby,,,c@d.example\nAda,wrists,both,e@f.example\n";
        assert_eq!(
            means(text),
            Ok(vec![Means::Name, Means::Words, Means::Side, Means::Unused])
        );
    }

    #[test]
    fn a_list_of_names_is_a_sheet_and_a_text_is_none() {
        assert_eq!(means("Name\nZorblat\nQuimby\n"), Ok(vec![Means::Name]));
        assert_eq!(means("Zorblat\nQuimby\n"), Ok(vec![Means::Name]));
        assert_eq!(
            means("it was a dark and stormy night in the hall\nand then it rained for a week\n"),
            Err(Code::NoNames)
        );
        assert_eq!(means("Name,Injuries\n"), Err(Code::FileEmpty));
    }
}
