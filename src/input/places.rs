//! Where everything stands in a YAML file, and what of YAML is taken at all.
//!
//! Takes a [`Source`]; gives back, for every path (`sections[0].steps[1].posture`), the bytes of
//! its value and of its key, in one pass over the parser's events. Invariant: a file that gets
//! past here has no anchors, aliases, tags, repeated keys or second document, and is at most
//! [`MOST_DEPTH`] levels deep, so that reading its values costs time in proportion to its length.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use saphyr_parser::{Event, Parser, ScalarStyle, Span};

use super::text::{Fault, Scalar, Source};
use crate::problem::{Code, Problem, quoted};

mod broken;

/// Levels of brackets and indentation that a file may have.
pub const MOST_DEPTH: usize = 32;

/// The places of a file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Places {
    values: BTreeMap<String, Range<usize>>,
    keys: BTreeMap<String, Range<usize>>,
    scalars: Vec<Scalar>,
    read_to: usize,
    cuts: BTreeMap<String, Cut>,
}

/// Why words stand between commas without a colon.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cut {
    /// They are the rest of the text at this path, which a comma ended.
    RestOf(String),
    /// They are a further rest of the same text.
    RestOfRest,
    /// No text stands before them.
    NoKey,
}

impl Places {
    /// Why the key at a path has no colon; none when it has one.
    pub fn cut(&self, path: &str) -> Option<&Cut> {
        self.cuts.get(path)
    }

    /// Bytes of the value at a path; of the nearest table round it when the path is not there.
    pub fn value(&self, path: &str) -> Range<usize> {
        nearest(&self.values, path)
    }

    /// Bytes of the key that a path ends in; of the value itself when it has none.
    pub fn key(&self, path: &str) -> Range<usize> {
        self.keys
            .get(path)
            .cloned()
            .unwrap_or_else(|| self.value(path))
    }

    /// Why a key has no colon, by the path of the key before it.
    fn why_cut(&self, before: Option<&str>) -> Cut {
        match before {
            Some(before) if self.cuts.contains_key(before) => Cut::RestOfRest,
            Some(before) if self.is_scalar(&self.value(before)) => Cut::RestOf(before.to_owned()),
            _ => Cut::NoKey,
        }
    }

    /// Whether the value at a path is a text or a number, not a list or a table.
    pub fn is_scalar(&self, range: &Range<usize>) -> bool {
        let at = self
            .scalars
            .partition_point(|scalar| scalar.range.start < range.start);
        self.scalars
            .get(at)
            .is_some_and(|scalar| scalar.range == *range)
    }

    /// Keys and values in order of their place.
    pub fn scalars(&self) -> &[Scalar] {
        &self.scalars
    }

    /// The byte up to which the file was read: its length, unless it is broken.
    pub fn read_to(&self) -> usize {
        self.read_to
    }
}

/// The range at a path, else that of the nearest path that holds it.
fn nearest(ranges: &BTreeMap<String, Range<usize>>, path: &str) -> Range<usize> {
    let mut path = path;
    loop {
        if let Some(range) = ranges.get(path) {
            return range.clone();
        }
        match path.rfind(['.', '[']) {
            Some(end) => path = &path[..end],
            None if !path.is_empty() => path = "",
            None => return 0..0,
        }
    }
}

/// The path of a key in a table.
pub fn path_of_key(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

/// The path of an entry of a list, from 0.
pub fn path_of_entry(path: &str, index: usize) -> String {
    format!("{path}[{index}]")
}

/// An open list or table.
#[derive(Debug)]
struct Open {
    path: String,
    /// Where its first character stands.
    start: usize,
    inside: Inside,
}

#[derive(Debug)]
enum Inside {
    List {
        next: usize,
    },
    /// `key` is the key whose value comes next.
    Table {
        seen: BTreeSet<String>,
        key: Option<String>,
        /// The path of the key before it.
        before: Option<String>,
    },
}

/// Reads the places of a file.
///
/// The places are good for masking even when there are problems, but only a file without any
/// problem may be read further.
pub fn read_places(source: &Source) -> (Places, Vec<Problem>) {
    let mut walk = Walk {
        source,
        places: Places::default(),
        faults: Vec::new(),
        open: Vec::new(),
    };
    let stray = broken::stray_spaces(source);
    if stray.is_empty() {
        walk.run();
    } else {
        walk.faults = stray;
    }
    let Walk {
        mut places, faults, ..
    } = walk;
    places
        .scalars
        .sort_by_key(|scalar| (scalar.range.start, scalar.range.end));
    let problems = faults
        .into_iter()
        .map(|found| {
            let place = source.place(&found.fault, &places.scalars, places.read_to);
            Problem::new(found.code, place, found.message, found.help)
        })
        .collect();
    (places, problems)
}

/// A fault before its line can be drawn.
#[derive(Debug)]
struct Found {
    code: Code,
    fault: Fault,
    message: String,
    help: String,
}

impl Found {
    /// A fault of which only the place is shown.
    fn at(code: Code, byte: usize, message: impl Into<String>, help: impl Into<String>) -> Self {
        let fault = Fault {
            range: byte..byte,
            shown: false,
        };
        Self {
            code,
            fault,
            message: message.into(),
            help: help.into(),
        }
    }
}

struct Walk<'s> {
    source: &'s Source,
    places: Places,
    faults: Vec<Found>,
    open: Vec<Open>,
}

impl Walk<'_> {
    fn run(&mut self) {
        let text = self.source.text();
        let bytes = ByteOfChar::new(text);
        let mut documents = 0;
        for event in Parser::new_from_str(text) {
            let (event, span) = match event {
                Ok(event) => event,
                Err(error) => {
                    let at = bytes.of(error.marker().index());
                    let bracket = self
                        .open
                        .iter()
                        .rev()
                        .map(|open| open.start)
                        .find(|&start| text[start..].starts_with(['{', '[']));
                    self.faults
                        .push(broken::explain(self.source, at, bracket, error.info()));
                    return;
                }
            };
            let range = bytes.range(span);
            if matches!(event, Event::DocumentStart(_)) {
                documents += 1;
            }
            if documents > 1 {
                self.faults.push(Found::at(
                    Code::SecondDocument,
                    range.start,
                    "a second document begins here",
                    "Keep one class or roster in a file; take the line “---” out.",
                ));
                return;
            }
            self.places.read_to = range.end.max(self.places.read_to);
            if !self.event(event, range) {
                return;
            }
        }
        self.places.read_to = text.len();
    }

    /// Takes one event; gives back whether reading goes on.
    fn event(&mut self, event: Event<'_>, range: Range<usize>) -> bool {
        let plain = match &event {
            Event::Scalar(_, _, anchor, tag) => *anchor == 0 && tag.is_none(),
            Event::SequenceStart(anchor, tag) | Event::MappingStart(anchor, tag) => {
                *anchor == 0 && tag.is_none()
            }
            Event::Alias(_) => false,
            _ => true,
        };
        if !plain {
            self.faults.push(broken::fancy(self.source, range.start));
            return false;
        }
        match event {
            Event::Scalar(text, style, ..) => self.scalar(&text, style, range),
            Event::SequenceStart(..) => self.begin(Inside::List { next: 0 }, range),
            Event::MappingStart(..) => self.begin(
                Inside::Table {
                    seen: BTreeSet::new(),
                    key: None,
                    before: None,
                },
                range,
            ),
            Event::SequenceEnd | Event::MappingEnd => {
                if let Some(open) = self.open.pop() {
                    let end = range.end.max(open.start);
                    self.places.values.insert(open.path, open.start..end);
                }
                true
            }
            _ => true,
        }
    }

    /// Opens a list or a table.
    fn begin(&mut self, inside: Inside, range: Range<usize>) -> bool {
        let is_key = matches!(
            self.open.last(),
            Some(Open {
                inside: Inside::Table { key: None, .. },
                ..
            })
        );
        if is_key {
            self.faults.push(Found::at(
                Code::NotYaml,
                range.start,
                "a list or a table stands where a key belongs",
                "A key is one word before the colon.",
            ));
            return false;
        }
        if self.open.len() >= MOST_DEPTH {
            self.faults.push(Found::at(
                Code::TooDeep,
                range.start,
                format!("brackets or indentation go more than {MOST_DEPTH} levels deep here"),
                "Check for brackets that were not closed.",
            ));
            return false;
        }
        let path = self.next_path();
        self.places.values.insert(path.clone(), range.clone());
        self.open.push(Open {
            path,
            start: range.start,
            inside,
        });
        true
    }

    /// The path of the value that comes next.
    fn next_path(&mut self) -> String {
        match self.open.last_mut() {
            None => String::new(),
            Some(Open {
                path,
                inside: Inside::List { next },
                ..
            }) => {
                *next += 1;
                path_of_entry(path, *next - 1)
            }
            Some(Open {
                path,
                inside: Inside::Table { key, .. },
                ..
            }) => path_of_key(path, &key.take().unwrap_or_default()),
        }
    }

    /// Takes a key or a value.
    fn scalar(&mut self, text: &str, style: ScalarStyle, range: Range<usize>) -> bool {
        let range = exact(self.source.text(), text, style, range);
        if let Some(Open {
            path,
            inside: Inside::Table { seen, key, before },
            ..
        }) = self.open.last_mut()
            && key.is_none()
        {
            self.places.scalars.push(Scalar {
                range: range.clone(),
                is_key: true,
            });
            let full = path_of_key(path, text);
            *key = Some(text.to_owned());
            if !seen.insert(text.to_owned()) {
                self.faults.push(Found {
                    code: Code::RepeatedKey,
                    fault: Fault { range, shown: true },
                    message: format!("{} stands twice in one place", quoted(text)),
                    help: "Keep one of the two lines.".into(),
                });
                return true;
            }
            let rest = self.source.text().get(range.end..).unwrap_or("");
            if !rest.trim_start().starts_with(':') {
                let cut = self.places.why_cut(before.as_deref());
                self.places.cuts.insert(full.clone(), cut);
            }
            *before = Some(full.clone());
            // An empty value has no place of its own until one is seen.
            self.places.values.insert(full.clone(), range.clone());
            self.places.keys.insert(full, range);
            return true;
        }
        let path = self.next_path();
        if range.is_empty() {
            // Nothing is written: the key stands for it, or the dash of the list.
            let place = self.places.keys.get(&path).cloned().unwrap_or(range);
            self.places.values.insert(path, place);
        } else {
            self.places.scalars.push(Scalar {
                range: range.clone(),
                is_key: false,
            });
            self.places.values.insert(path, range);
        }
        true
    }
}

/// The range of a scalar from its first to its last character. The parser's end of a quoted
/// scalar runs on to the next word, over a comment, and that of one that is not written over the
/// sign after it.
fn exact(text: &str, value: &str, style: ScalarStyle, range: Range<usize>) -> Range<usize> {
    let quote = match style {
        ScalarStyle::DoubleQuoted => '"',
        ScalarStyle::SingleQuoted => '\'',
        _ => {
            let written = text.get(range.clone()).unwrap_or("");
            if value.is_empty() {
                return range.start..range.start;
            }
            return range.start..range.start + written.trim_end().len();
        }
    };
    let mut chars = text
        .get(range.clone())
        .unwrap_or("")
        .char_indices()
        .skip(1)
        .peekable();
    while let Some((at, c)) = chars.next() {
        if c == '\\' && quote == '"' {
            chars.next();
        } else if c == quote {
            if quote == '\'' && chars.next_if(|&(_, next)| next == quote).is_some() {
                continue;
            }
            return range.start..range.start + at + 1;
        }
    }
    range
}

/// Characters to bytes: the parser counts characters.
struct ByteOfChar {
    /// Byte of each character; none when all are one byte long.
    bytes: Option<Vec<usize>>,
    length: usize,
}

impl ByteOfChar {
    fn new(text: &str) -> Self {
        let bytes = (!text.is_ascii()).then(|| text.char_indices().map(|(at, _)| at).collect());
        Self {
            bytes,
            length: text.len(),
        }
    }

    fn of(&self, char_index: usize) -> usize {
        match &self.bytes {
            Some(bytes) => bytes.get(char_index).copied().unwrap_or(self.length),
            None => char_index.min(self.length),
        }
    }

    fn range(&self, span: Span) -> Range<usize> {
        let start = self.of(span.start.index());
        start..self.of(span.end.index()).max(start)
    }
}

#[cfg(test)]
mod tests;
