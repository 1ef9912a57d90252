//! What is wrong in something a person wrote, and how it is said.
//!
//! Takes a code, a place, a sentence and a help line; gives back the text of `sheets.md` section 3.
//! Invariant: a [`Problem`] never holds a line as written. Its picture is masked before it gets
//! here, so no message can show a neighbour's words.

use std::fmt;

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

mod code;

pub use code::Code;

/// Columns of a message; a picture of a line is cut to fit.
const WIDTH: usize = 80;
/// Columns before the picture of a line: its number, right-aligned, and two spaces.
const GUTTER: usize = 8;
/// What stands where a value is hidden: the same length for every value.
pub const MASK: &str = "····";

/// One mistake in a file: what it is, where, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Which kind of mistake.
    pub code: Code,
    /// The file and, where there is one, the line.
    pub place: Place,
    /// One sentence without its full stop: `no posture is called “dwonward dog”`.
    pub message: String,
    /// One sentence that says what to do: `Did you mean “downward dog”?`
    pub help: String,
}

/// Where a problem is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file's name as it was typed.
    pub file: String,
    /// The line; none when the whole file is meant.
    pub line: Option<Line>,
}

/// A line of a file, drawn so that nothing but the fault can be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Number of the line, from 1.
    pub number: usize,
    /// Column of the fault in the file, in characters, from 1.
    pub column: usize,
    /// The masked line before the mark; no control characters.
    pub before: String,
    /// The masked line from the mark on; no control characters.
    pub after: String,
}

impl Place {
    /// A whole file.
    pub fn file(name: impl Into<String>) -> Self {
        Self {
            file: name.into(),
            line: None,
        }
    }
}

impl Problem {
    /// A problem at a place. Control characters in its words are made visible.
    pub fn new(
        code: Code,
        place: Place,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self {
            code,
            place,
            message: printable(&message.into()),
            help: printable(&help.into()),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = printable(&self.place.file);
        let sentence = match &self.place.line {
            Some(line) => {
                format!(
                    "{file}, line {}, column {}: {}.",
                    line.number, line.column, self.message
                )
            }
            None => format!("{file}: {}.", self.message),
        };
        writeln!(f, "{}", wrapped(&sentence, ""))?;
        if let Some(line) = &self.place.line {
            let (picture, mark) = line.cut(WIDTH - GUTTER);
            writeln!(f)?;
            writeln!(f, "{:>6}  {}", line.number, picture.trim_end())?;
            writeln!(f, "{}^ here", " ".repeat(GUTTER + mark))?;
        }
        let help = format!("{}   [{}]", self.help, self.code);
        write!(f, "{}", wrapped(&help, "    "))
    }
}

impl Line {
    /// The part of the masked line round the mark that fits into `columns`, and the mark's column
    /// in it, from 0. What was cut off shows as `…`.
    fn cut(&self, columns: usize) -> (String, usize) {
        let at = self.before.width();
        let whole = format!("{}{}", self.before, self.after);
        if whole.width() <= columns {
            return (whole, at);
        }
        // A mark far to the right keeps a third of the width before it.
        let keep_before = if at + 12 <= columns { at } else { columns / 3 };
        let (before, cut_before) = tail(&self.before, keep_before);
        let lead = if cut_before { "…" } else { "" };
        let mark = lead.width() + before.width();
        let room = columns.saturating_sub(mark);
        let after = head(&self.after, room);
        (format!("{lead}{before}{after}"), mark)
    }
}

/// The last graphemes of `text` that fit into `columns`, and whether any were left out.
fn tail(text: &str, columns: usize) -> (String, bool) {
    let mut kept: Vec<&str> = Vec::new();
    let mut used = 0;
    for grapheme in text.graphemes(true).rev() {
        used += grapheme.width();
        if used > columns {
            kept.reverse();
            return (kept.concat(), true);
        }
        kept.push(grapheme);
    }
    kept.reverse();
    (kept.concat(), false)
}

/// The first graphemes of `text` that fit into `columns`, ending in `…` when any were left out.
fn head(text: &str, columns: usize) -> String {
    if text.width() <= columns {
        return text.to_owned();
    }
    let mut kept = String::new();
    let mut used = 1;
    for grapheme in text.graphemes(true) {
        used += grapheme.width();
        if used > columns {
            break;
        }
        kept.push_str(grapheme);
    }
    kept.push('…');
    kept
}

/// `text` broken at spaces into lines of at most [`WIDTH`] columns; the first starts with
/// `indent`, the others with four spaces. Runs of spaces inside a line stay.
fn wrapped(text: &str, indent: &str) -> String {
    let mut out = String::from(indent);
    let mut used = indent.width();
    let mut first = true;
    for word in text.split_inclusive(' ') {
        let shown = word.trim_end_matches(' ').width();
        if shown == 0 && used == 4 && out.ends_with("\n    ") {
            continue;
        }
        if !first && used + shown > WIDTH {
            out.truncate(out.trim_end_matches(' ').len());
            out.push_str("\n    ");
            used = 4;
            if shown == 0 {
                continue;
            }
        }
        out.push_str(word);
        used += word.width();
        first = false;
    }
    out
}

/// Whether a character steers a screen or hides: controls, marks of direction, blanks without width. The
/// joiners that some scripts and pictures are written with do not count.
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}' | '\u{200e}' | '\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}')
}

/// `text` with every control and direction character shown as a picture or a replacement sign,
/// and every line end and tab as spaces, so that it can be printed in one line.
pub fn printable(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\t' => out.push_str("    "),
            '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' => {
                out.push(char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'));
            }
            '\u{7f}' => out.push('\u{2421}'),
            c if steers(c) => out.push('\u{fffd}'),
            _ => out.push(c),
        }
    }
    out
}

/// `text` between quotation marks, printable and cut to 40 graphemes. What stands in curly ones
/// already gets no second pair.
pub fn quoted(text: &str) -> String {
    const MOST: usize = 40;
    let shown = printable(text.trim());
    let shown = shown
        .strip_prefix('“')
        .and_then(|rest| rest.strip_suffix('”'))
        .unwrap_or(&shown);
    let mut graphemes = shown.graphemes(true);
    let mut kept: String = graphemes.by_ref().take(MOST).collect();
    if graphemes.next().is_some() {
        kept.push('…');
    }
    format!("“{kept}”")
}

/// The mistakes of all files that were read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems {
    all: Vec<Problem>,
}

impl Problems {
    /// None yet.
    pub const fn new() -> Self {
        Self { all: Vec::new() }
    }

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.all.push(problem);
    }

    /// Adds the problems of one file, in the order of its lines.
    pub fn extend(&mut self, mut problems: Vec<Problem>) {
        problems.sort_by_key(|p| p.place.line.as_ref().map(|line| (line.number, line.column)));
        self.all.append(&mut problems);
    }

    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// All of them, file by file.
    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.all.iter()
    }

    /// `value` when nothing is wrong, else the problems.
    ///
    /// # Errors
    /// Itself, when there is any problem, or when there is no value.
    pub fn or<T>(self, value: Option<T>) -> Result<T, Self> {
        match value {
            Some(value) if self.is_empty() => Ok(value),
            _ => Err(self),
        }
    }
}

impl fmt::Display for Problems {
    /// Every problem, an empty line between, and the count as the last line.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for problem in &self.all {
            writeln!(f, "{problem}\n")?;
        }
        let mistakes = if self.all.len() == 1 {
            "mistake"
        } else {
            "mistakes"
        };
        writeln!(f, "{} {mistakes}; nothing was written.", self.all.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(before: &str, after: &str) -> Problem {
        let line = Line {
            number: 11,
            column: before.chars().count() + 1,
            before: before.into(),
            after: after.into(),
        };
        Problem::new(
            Code::UnknownPosture,
            Place {
                file: "tuesday.yaml".into(),
                line: Some(line),
            },
            "no posture is called “dwonward dog”",
            "Did you mean “downward dog”?",
        )
    }

    #[test]
    fn one_problem_prints_as_the_contract_shows() {
        let problem = at("          - {posture: ", "dwonward dog, breaths: ····}");
        let expected = "\
tuesday.yaml, line 11, column 23: no posture is called “dwonward dog”.

    11            - {posture: dwonward dog, breaths: ····}
                              ^ here
    Did you mean “downward dog”?   [unknown-posture]";
        assert_eq!(problem.to_string(), expected);
    }

    #[test]
    fn the_last_line_counts() {
        let mut problems = Problems::new();
        problems.push(at("", "x"));
        assert!(
            problems
                .to_string()
                .ends_with("\n1 mistake; nothing was written.\n")
        );
        problems.push(at("", "x"));
        assert!(
            problems
                .to_string()
                .ends_with("\n2 mistakes; nothing was written.\n")
        );
    }

    #[test]
    fn wide_characters_move_the_mark() {
        let text = at("- {name: 李敏, ", "sevre}").to_string();
        let mark = text
            .lines()
            .find(|line| line.ends_with("^ here"))
            .unwrap_or_default();
        assert_eq!(mark.len(), GUTTER + 15 + "^ here".len());
    }

    #[test]
    fn a_long_line_is_cut_round_the_mark() {
        let text = at(&"ab ".repeat(100), &"cd ".repeat(100)).to_string();
        let mut lines = text.lines().skip(2);
        let picture = lines.next().unwrap_or_default();
        let mark = lines.next().unwrap_or_default();
        assert!(picture.width() <= WIDTH, "{picture}");
        assert!(picture.contains('…'));
        let under: String = picture
            .chars()
            .skip(mark.find('^').unwrap_or(0))
            .take(2)
            .collect();
        assert_eq!(under, "cd");
    }

    #[test]
    fn control_characters_are_never_printed_raw() {
        let shown = printable("a\u{1b}[31m\u{202e}b\tc\u{7f}");
        assert_eq!(shown, "a␛[31m\u{fffd}b    c␡");
        assert!(quoted(&"x".repeat(200)).width() < 45);
    }

    #[test]
    fn a_long_sentence_wraps_within_the_width() {
        let mut problem = at("", "x");
        problem.help = "word ".repeat(60);
        assert!(
            problem
                .to_string()
                .lines()
                .all(|line| line.width() <= WIDTH)
        );
    }
}
