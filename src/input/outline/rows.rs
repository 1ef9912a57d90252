//! The rows of an outline: indentation, headings, bullets, quotations.
//!
//! Takes the text; gives one [`Row`] for every line that says something. Marks that only make text
//! look good (bold, rules, check boxes) are read over.

use std::ops::Range;

use crate::input::text::Source;

/// A line of the outline that says something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    /// What kind of line it is.
    pub kind: Kind,
    /// Columns before its first sign; a tab counts as four.
    pub indent: usize,
    /// Whether a bullet or a number stands before it.
    pub bullet: bool,
    /// Whether an empty line stands before it.
    pub after_gap: bool,
    /// Its words, in bytes of the file.
    pub range: Range<usize>,
}

/// What kind of line a row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// A heading, with the number of its signs.
    Heading(usize),
    /// A remark: `> …`.
    Remark,
    /// Anything else.
    Text,
}

/// A heading that is a line in bold stands below all others.
const BOLD: usize = 7;

/// Every row of a file.
pub(super) fn rows(source: &Source) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut after_gap = false;
    for (start, line) in source.lines() {
        match row(start, line) {
            Some(row) => rows.push(Row { after_gap, ..row }),
            None if line.trim().is_empty() => {}
            None => continue,
        }
        after_gap = line.trim().is_empty();
    }
    rows
}

fn row(start: usize, line: &str) -> Option<Row> {
    let is_space = |c: char| c.is_whitespace() || c == '\u{200b}';
    let line = line.trim_end_matches(is_space);
    let mut rest = line.trim_start_matches(is_space);
    let indent = line
        .chars()
        .take_while(|&c| is_space(c))
        .map(|c| if c == '\t' { 4 } else { 1 })
        .sum();
    // A list inside a pasted mail is a list.
    let quoted = rest.trim_start_matches(|c| c == '>' || is_space(c));
    if after_bullet(quoted).is_some() {
        rest = quoted;
    }
    let mut kind = Kind::Text;
    let mut bullet = false;
    let signs = rest.chars().take_while(|&c| c == '#').count();
    if signs > 0 {
        kind = Kind::Heading(signs);
        rest = rest.trim_start_matches('#');
    } else if rest.len() > 4 && rest.starts_with("**") && rest.ends_with("**") {
        // A whole line in bold is how many people write a heading.
        kind = Kind::Heading(BOLD);
        rest = rest.trim_start_matches('*');
    } else if let Some(words) = rest.strip_prefix('>') {
        kind = Kind::Remark;
        rest = words;
    } else if let Some(words) = after_bullet(rest) {
        bullet = true;
        rest = ["[ ]", "[x]", "[X]"]
            .iter()
            .find_map(|mark| words.strip_prefix(mark))
            .unwrap_or(words);
    }
    let rest = rest.trim_start_matches(is_space);
    // Everything cut so far stood in front.
    let from = start + line.len() - rest.len();
    let words = match kind {
        Kind::Heading(_) => rest.trim_end_matches(|c| c == '#' || c == '*' || is_space(c)),
        Kind::Remark | Kind::Text => rest,
    };
    if !words.chars().any(char::is_alphanumeric) || words.starts_with("<!--") {
        return None;
    }
    Some(Row {
        kind,
        indent,
        bullet,
        after_gap: false,
        range: from..from + words.len(),
    })
}

/// What follows a bullet or a number with a dot or a bracket, and a space.
fn after_bullet(text: &str) -> Option<&str> {
    let after = match text.strip_prefix(['-', '*', '+', '•', '–', '—', '·', '○', '▪']) {
        Some(after) => after,
        None => {
            let digits = text.chars().take_while(char::is_ascii_digit).count();
            if !(1..=2).contains(&digits) {
                return None;
            }
            text.get(digits..)?.strip_prefix(['.', ')'])?
        }
    };
    after
        .starts_with(char::is_whitespace)
        .then(|| after.trim_start())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_read_over() {
        let text = "# Title #\n\n- tree\n  1. [x] eagle\n> lights\n> 2. dancer\n---\n\n\t* boat \n12 breaths\n";
        let source = Source::from_bytes("c.md", text.as_bytes()).expect("text");
        let told: Vec<_> = rows(&source)
            .into_iter()
            .map(|row| {
                let words = source.slice(row.range.clone()).to_owned();
                (row.kind, row.indent, row.bullet, row.after_gap, words)
            })
            .collect();
        let text =
            |indent, bullet, gap, words: &str| (Kind::Text, indent, bullet, gap, words.to_owned());
        assert_eq!(
            told,
            [
                (Kind::Heading(1), 0, false, false, "Title".to_owned()),
                text(0, true, true, "tree"),
                text(2, true, false, "eagle"),
                (Kind::Remark, 0, false, false, "lights".to_owned()),
                text(0, true, false, "dancer"),
                text(4, true, true, "boat"),
                text(0, false, false, "12 breaths"),
            ]
        );
    }

    /// Signs that are no row of their own hide no gap, and bold words in a row make no heading of it.
    #[test]
    fn bold_words_and_signs_without_words() {
        let text = "\n---\n- bridge\n**Warm up**\n**Tree** 5 br\nfish **5 br**\n<!-- left out -->\n123. plank\n";
        let source = Source::from_bytes("c.md", text.as_bytes()).expect("text");
        let told: Vec<_> = rows(&source)
            .into_iter()
            .map(|row| {
                let words = source.slice(row.range.clone()).to_owned();
                (row.kind, row.bullet, row.after_gap, words)
            })
            .collect();
        let text = |bullet, gap, words: &str| (Kind::Text, bullet, gap, words.to_owned());
        assert_eq!(
            told,
            [
                text(true, true, "bridge"),
                (Kind::Heading(BOLD), false, false, "Warm up".to_owned()),
                text(false, false, "**Tree** 5 br"),
                text(false, false, "fish **5 br**"),
                text(false, false, "123. plank"),
            ]
        );
    }
}
