//! A file's text: read once, checked for size and encoding, and shown line by line with every
//! value masked.
//!
//! Takes a path; gives back a [`Source`]. Invariant: of a line, only the faulty value leaves here
//! in clear; every other value, odd key and comment is four dots.

use std::fs;
use std::io::Read;
use std::ops::Range;
use std::path::Path;

use crate::problem::{Code, Line, MASK, Place, Problem, printable};

/// The largest file that is read, in bytes: 1 MiB.
pub const MOST_BYTES: usize = 1024 * 1024;

/// The text of one file. Line ends are `\n` whatever the file had; a byte-order mark is gone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    name: String,
    text: String,
    line_starts: Vec<usize>,
}

/// A scalar of the file: a key or a value, with its quotation marks, in bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scalar {
    /// Where it stands.
    pub range: Range<usize>,
    /// Whether it is a key.
    pub is_key: bool,
}

/// What a problem points at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where it stands, in bytes.
    pub range: Range<usize>,
    /// Whether its text may be shown; a place alone is marked otherwise.
    pub shown: bool,
}

/// Reads a text file.
///
/// # Errors
/// A problem with the whole file: missing, a folder, unreadable, empty, too large, not UTF-8.
pub fn read_file(path: &Path) -> Result<Source, Problem> {
    let bytes = read_bytes(path, MOST_BYTES)?;
    Source::from_bytes(path.display().to_string(), &bytes)
}

/// Reads a file's bytes: all of them, or one more than `most`, so that its reader sees that there
/// are too many.
///
/// # Errors
/// A problem with the whole file: missing, a folder, unreadable.
pub fn read_bytes(path: &Path, most: usize) -> Result<Vec<u8>, Problem> {
    let name = path.display().to_string();
    let problem = |code, message: &str, help: &str| {
        Err(Problem::new(
            code,
            Place::file(name.as_str()),
            message,
            help,
        ))
    };
    let unreadable = |error: &std::io::Error| {
        if error.kind() == std::io::ErrorKind::NotFound {
            return problem(
                Code::FileMissing,
                "there is no such file",
                "Check the name and the folder you are in.",
            );
        }
        problem(
            Code::FileUnreadable,
            "the system does not let this file be read",
            "Check that you may open it, and that no other program holds it.",
        )
    };
    let metadata = match fs::metadata(path) {
        Ok(metadata) => metadata,
        Err(error) => return unreadable(&error),
    };
    if metadata.is_dir() {
        return problem(
            Code::FileIsFolder,
            "this is a folder, not a file",
            "Name one file inside it.",
        );
    }
    let mut bytes = Vec::new();
    let limit = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
    let read = fs::File::open(path).and_then(|file| file.take(limit).read_to_end(&mut bytes));
    match read {
        Ok(_) => Ok(bytes),
        Err(error) => unreadable(&error),
    }
}

/// What bytes are that begin like a well-known file that is no text: the first bytes of ZIP
/// (APPNOTE.TXT 4.3.7), of compound files (MS-CFB 2.2), PDF (ISO 32000-1, 7.5.2) and RTF 1.9.1.
fn no_text(bytes: &[u8]) -> Option<&'static str> {
    let kinds: [(&[u8], &str); 4] = [
        (
            b"PK\x03\x04",
            "a spreadsheet, a document or another packed file",
        ),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            "an older spreadsheet or document",
        ),
        (b"%PDF-", "a PDF"),
        (b"{\\rtf", "a document of a word processor (RTF)"),
    ];
    let kind = kinds.iter().find(|(begin, _)| bytes.starts_with(begin));
    kind.map(|(_, found)| *found)
}

impl Source {
    /// The text of bytes as read from a file.
    ///
    /// # Errors
    /// A problem with the whole file: empty, too large, not UTF-8.
    pub fn from_bytes(name: impl Into<String>, bytes: &[u8]) -> Result<Self, Problem> {
        let name = name.into();
        let problem = |code, message: String, help: &str| {
            Err(Problem::new(
                code,
                Place::file(name.as_str()),
                message,
                help,
            ))
        };
        if bytes.len() > MOST_BYTES {
            return problem(
                Code::FileTooLarge,
                "the file is over 1 MiB".into(),
                "A class or a roster is a few pages of text; check that this is the right file.",
            );
        }
        if let Some(found) = no_text(bytes) {
            return problem(
                Code::WrongFile,
                format!("this is {found}, whatever its name ends in"),
                "“kindfold intake FILE” reads a sign-up sheet. Anything else: save it as plain text, \
                 encoding UTF-8.",
            );
        }
        let Ok(text) = std::str::from_utf8(bytes) else {
            let message = match bytes {
                [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => "the file is saved as UTF-16".into(),
                _ => format!(
                    "the file is not UTF-8 text (line {})",
                    first_bad_line(bytes)
                ),
            };
            return problem(
                Code::NotUtf8,
                message,
                "Open it in a text editor and save it again as plain text, encoding UTF-8.",
            );
        };
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        if text.trim().is_empty() {
            return problem(
                Code::FileEmpty,
                "the file is empty".into(),
                "“kindfold new” writes a commented file to begin from.",
            );
        }
        let text = text.replace("\r\n", "\n").replace('\r', "\n");
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Ok(Self {
            name,
            text,
            line_starts,
        })
    }

    /// The file's name as it was typed.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Number of the line that holds the byte, from 1.
    pub fn line_of(&self, byte: usize) -> usize {
        self.line_starts
            .partition_point(|&start| start <= byte)
            .max(1)
    }

    /// Every line with the byte at which it starts, without its line end.
    pub fn lines(&self) -> impl Iterator<Item = (usize, &str)> {
        (1..=self.line_starts.len()).map(|number| {
            let range = self.line_range(number);
            (range.start, self.slice(range))
        })
    }

    /// Bytes of a line, from 1, without its line end.
    fn line_range(&self, number: usize) -> Range<usize> {
        let start = self
            .line_starts
            .get(number.saturating_sub(1))
            .copied()
            .unwrap_or(self.text.len());
        let end = self
            .line_starts
            .get(number)
            .map_or(self.text.len(), |next| next - 1);
        start..end.max(start)
    }

    /// The text of a range; empty when the range is not one of whole characters.
    pub fn slice(&self, range: Range<usize>) -> &str {
        self.text.get(range).unwrap_or("")
    }

    /// The place of a fault, its line masked. `scalars` are those of the file in order of their
    /// place, as far as it could be read; `read_to` is the byte up to which they are known.
    pub fn place(&self, fault: &Fault, scalars: &[Scalar], read_to: usize) -> Place {
        let mut at = fault.range.start.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        // A fault at the very end belongs to the last line that says something.
        if at == self.text.len() {
            at = self.text.trim_end().len();
        }
        let number = self.line_of(at);
        let line = self.line_range(number);
        let at = at.min(line.end);
        let mut before = String::new();
        let mut after = String::new();
        for (range, shown) in self.pieces(&line, fault, scalars, read_to) {
            let side = if range.start < at && range.end <= at {
                &mut before
            } else {
                &mut after
            };
            side.push_str(&shown);
        }
        let column = self.slice(line.start..at).chars().count() + 1;
        Place {
            file: self.name.clone(),
            line: Some(Line {
                number,
                column,
                before,
                after,
            }),
        }
    }

    /// A line as pieces in order, each with what is shown for it.
    fn pieces(
        &self,
        line: &Range<usize>,
        fault: &Fault,
        scalars: &[Scalar],
        read_to: usize,
    ) -> Vec<(Range<usize>, String)> {
        let mut pieces = Vec::new();
        let mut at = line.start;
        let first = scalars.partition_point(|scalar| scalar.range.end <= line.start);
        for scalar in scalars.get(first..).unwrap_or_default() {
            let start = scalar.range.start.max(at);
            let end = scalar.range.end.min(line.end);
            if scalar.range.start >= line.end {
                break;
            }
            if start >= end {
                continue;
            }
            self.gap(at..start, read_to, &mut pieces);
            let text = self.slice(start..end);
            let is_fault = fault.shown && scalar.range == fault.range;
            // A word in braces that no colon follows is read as a key, and may be anything.
            let rest = self.slice(scalar.range.end..self.text.len());
            let is_key = scalar.is_key && rest.trim_start_matches(' ').starts_with(':');
            let shown = if is_fault || (is_key && is_plain_key(text)) {
                printable(text)
            } else {
                MASK.to_owned()
            };
            pieces.push((start..end, shown));
            at = end;
        }
        self.gap(at..line.end, read_to, &mut pieces);
        pieces
    }

    /// What stands between scalars: signs stay, words and comments are masked. Where the file
    /// could not be read, plain keys stay too.
    fn gap(&self, range: Range<usize>, read_to: usize, pieces: &mut Vec<(Range<usize>, String)>) {
        let text = self.slice(range.clone());
        let mut rest = text;
        while let Some(c) = rest.chars().next() {
            let start = range.start + text.len() - rest.len();
            let run_starts = rest.len() == text.len() || {
                text[..text.len() - rest.len()].ends_with([' ', '\t', '{', '[', ','])
            };
            let (length, shown) = match c {
                '#' if run_starts => (rest.len(), format!("# {MASK}")),
                '"' | '\'' if run_starts => {
                    let inner = rest.get(1..).unwrap_or("");
                    (
                        inner.find(c).map_or(rest.len(), |end| end + 2),
                        MASK.to_owned(),
                    )
                }
                c if c.is_whitespace() || "-?:,[]{}|>&*!\"'".contains(c) => {
                    (c.len_utf8(), printable(&rest[..c.len_utf8()]))
                }
                _ => {
                    let length = run_length(rest);
                    let run = &rest[..length];
                    let is_key =
                        start >= read_to && rest[length..].starts_with(':') && is_plain_key(run);
                    (
                        length,
                        if is_key {
                            run.to_owned()
                        } else {
                            MASK.to_owned()
                        },
                    )
                }
            };
            pieces.push((start..start + length, shown));
            rest = &rest[length..];
        }
    }
}

/// Bytes of a run of words: up to a sign that YAML gives a meaning, or the end.
fn run_length(text: &str) -> usize {
    // The first sign never ends its own run, so that a run is never empty.
    let mut before = 'x';
    for (at, c) in text.char_indices() {
        let next = text[at + c.len_utf8()..].chars().next().unwrap_or(' ');
        let ends = match c {
            ',' | '[' | ']' | '{' | '}' => true,
            ':' => next.is_whitespace(),
            '#' => before.is_whitespace(),
            _ => false,
        };
        if ends {
            return text[..at].trim_end().len();
        }
        before = c;
    }
    text.trim_end().len()
}

/// Whether a key is a word of a file format and can't be somebody's own words.
pub(super) fn is_plain_key(key: &str) -> bool {
    let mut chars = key.chars();
    chars.next().is_some_and(|c| c.is_ascii_lowercase())
        && chars.all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_' || c == '-')
}

/// Whether a character looks like a space and is not one to YAML.
pub fn is_hard_space(c: char) -> bool {
    c.is_whitespace() && !matches!(c, ' ' | '\t' | '\n' | '\r')
}

/// Number of the first line that is not UTF-8, from 1.
fn first_bad_line(bytes: &[u8]) -> usize {
    let good = std::str::from_utf8(bytes).map_or_else(|e| e.valid_up_to(), str::len);
    bytes.iter().take(good).filter(|&&b| b == b'\n').count() + 1
}

#[cfg(test)]
mod tests;
