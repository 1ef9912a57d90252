//! A file read field by field, every mistake collected at its place.
//!
//! Takes a [`Source`]; gives back [`Table`]s and [`Field`]s to read from. Invariant: a field that
//! can't be read gives `None` **and** leaves a problem, and reading goes on; a field that is
//! absent gives `None` and leaves none unless it is required.
//!
//! ```
//! # use kindfold::input::{table::Document, text::Source};
//! let source = Source::from_bytes("f.yaml", b"minutes: four\nblok: 3\n").map_err(|p| vec![p])?;
//! let document = Document::read(source)?;
//! if let Some(mut table) = document.root().table() {
//!     assert_eq!(table.required::<f64>("minutes"), None);
//!     assert_eq!(table.optional::<u32>("block"), None);
//!     table.done();
//! }
//! assert_eq!(document.problems().len(), 2);
//! # Ok::<(), Vec<kindfold::problem::Problem>>(())
//! ```

use std::cell::RefCell;
use std::ops::RangeInclusive;
use std::sync::Arc;

use serde_yaml::{Mapping, Value};

use super::places::{Cut, Places, path_of_entry, path_of_key, read_places};
use super::suggest::{did_you_mean, key_meant, one_of};
use super::text::{Fault, Source};
use crate::problem::{Code, Place, Problem, quoted};

mod ground;
mod written;

use ground::Ground;
pub use ground::Whereabouts;
pub use written::{WordList, Written, Wrong};

/// A file with its values and places, and the problems found in it so far.
#[derive(Debug)]
pub struct Document {
    ground: Arc<Ground>,
    value: Value,
    problems: RefCell<Vec<Problem>>,
}

/// A value of a file and where it stands.
#[derive(Clone, Debug)]
pub struct Field<'d> {
    document: &'d Document,
    value: &'d Value,
    path: String,
}

/// A table of a file, read key by key. [`Table::done`] reports the keys that nobody asked for.
#[derive(Debug)]
pub struct Table<'d> {
    document: &'d Document,
    map: &'d Mapping,
    path: String,
    asked: Vec<&'static str>,
    /// Keys that were wanted and are not there, with what was said of each.
    missing: Vec<(&'static str, Problem)>,
}

impl Document {
    /// Reads the values of a file.
    ///
    /// # Errors
    /// The problems of a file whose values can't be read at all: broken YAML, repeated keys,
    /// anchors, too deep …
    pub fn read(source: Source) -> Result<Self, Vec<Problem>> {
        let (places, problems) = read_places(&source);
        if !problems.is_empty() {
            return Err(problems);
        }
        Self::on(Ground::placed(source, places))
    }

    /// Reads the values of a file that comes with the program: a test reads it as [`Document::read`] does, so
    /// its places are only looked for when a problem or a line needs one.
    ///
    /// # Errors
    /// The problem of a file whose values can't be read at all.
    pub fn read_built_in(source: Source) -> Result<Self, Vec<Problem>> {
        Self::on(Ground::unplaced(source))
    }

    fn on(ground: Ground) -> Result<Self, Vec<Problem>> {
        match serde_yaml::from_str::<Value>(ground.source.text()) {
            Ok(Value::Null) => Err(vec![Problem::new(
                Code::FileEmpty,
                Place::file(ground.source.name()),
                "nothing is written in the file but comments",
                "“kindfold new” writes a commented file to begin from.",
            )]),
            Ok(value) => Ok(Self {
                ground: Arc::new(ground),
                value,
                problems: RefCell::default(),
            }),
            Err(error) => {
                let at = error.location().map_or(0, |location| location.index());
                let fault = Fault {
                    range: at..at,
                    shown: false,
                };
                let places = ground.places();
                let place = ground
                    .source
                    .place(&fault, places.scalars(), places.read_to());
                Err(vec![Problem::new(
                    Code::NotYaml,
                    place,
                    "this value can’t be read",
                    "If it is a text or a very long number, put it in quotation marks.",
                )])
            }
        }
    }

    /// The whole file as a field.
    pub fn root(&self) -> Field<'_> {
        Field {
            document: self,
            value: &self.value,
            path: String::new(),
        }
    }

    /// The file's text.
    pub fn source(&self) -> &Source {
        &self.ground.source
    }

    fn places(&self) -> &Places {
        self.ground.places()
    }

    /// The problems found so far.
    pub fn problems(&self) -> Vec<Problem> {
        self.problems.borrow().clone()
    }

    /// The problems found.
    pub fn into_problems(self) -> Vec<Problem> {
        self.problems.into_inner()
    }

    fn push(&self, code: Code, fault: &Fault, message: String, help: String) {
        let problem = Problem::new(code, self.place(fault), message, help);
        self.problems.borrow_mut().push(problem);
    }

    fn place(&self, fault: &Fault) -> Place {
        let (scalars, read_to) = (self.places().scalars(), self.places().read_to());
        self.source().place(fault, scalars, read_to)
    }

    /// Takes back the problems that `unfounded` says have another cause.
    fn take_back(&self, unfounded: impl Fn(&Problem) -> bool) {
        self.problems
            .borrow_mut()
            .retain(|problem| !unfounded(problem));
    }

    /// The fault at a path: a scalar is shown, of a list or table only the place.
    fn fault(&self, path: &str) -> Fault {
        let range = self.places().value(path);
        let shown = self.places().is_scalar(&range);
        Fault { range, shown }
    }
}

impl<'d> Field<'d> {
    /// The value itself.
    pub fn value(&self) -> &'d Value {
        self.value
    }

    /// The same place with another value: an entry together with what it inherits. What stands
    /// elsewhere is placed at the nearest thing that stands here.
    pub fn with_value<'m>(&self, value: &'m Value) -> Field<'m>
    where
        'd: 'm,
    {
        Field {
            document: self.document,
            value,
            path: self.path.clone(),
        }
    }

    /// The path, as in `sections[0].steps[1].posture`.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The last key of the path; empty for the whole file.
    pub fn key(&self) -> &str {
        let key = self.path.rsplit('.').next().unwrap_or("");
        key.split('[').next().unwrap_or("")
    }

    /// Number of the line where it begins, from 1.
    pub fn file_line(&self) -> usize {
        self.document
            .source()
            .line_of(self.document.places().value(&self.path).start)
    }

    /// The file and the line of its key, or of itself in a list: `rules/demands.yaml, line 12`.
    pub fn whereabouts(&self) -> Whereabouts {
        Whereabouts {
            ground: Arc::clone(&self.document.ground),
            path: self.path.clone(),
        }
    }

    /// The value as written, with its quotation marks; of a list or table its kind.
    pub fn written(&self) -> &'d str {
        match self.value {
            Value::Sequence(_) => "a list",
            Value::Mapping(_) => "a table of keys",
            Value::Null => "",
            _ => self
                .document
                .source()
                .slice(self.document.places().value(&self.path)),
        }
    }

    /// Whether nothing is written after the key.
    pub fn is_empty(&self) -> bool {
        matches!(self.value, Value::Null)
    }

    /// Whether it is a list.
    pub fn is_list(&self) -> bool {
        matches!(self.value, Value::Sequence(_))
    }

    /// Whether it is a table of keys.
    pub fn is_table(&self) -> bool {
        matches!(self.value, Value::Mapping(_))
    }

    /// Leaves a problem here; the value is shown. When the value holds signs that look like others,
    /// those are its cause.
    pub fn problem(&self, code: Code, message: impl Into<String>, help: impl Into<String>) {
        let fault = self.document.fault(&self.path);
        let (code, help) = match written::strange_letters(self.written()) {
            Some((code, help)) => (code, help.to_owned()),
            None => (code, help.into()),
        };
        self.document.push(code, &fault, message.into(), help);
    }

    /// Leaves a problem here without showing the value: for words that nobody else may read.
    pub fn hidden_problem(&self, code: Code, message: impl Into<String>, help: impl Into<String>) {
        let Fault { range, .. } = self.document.fault(&self.path);
        self.document.push(
            code,
            &Fault {
                range,
                shown: false,
            },
            message.into(),
            help.into(),
        );
    }

    /// Leaves a problem at a path below this one (`hinges.knee[0]`).
    pub fn problem_at(
        &self,
        below: &str,
        code: Code,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        let path = if below.starts_with('[') {
            format!("{}{below}", self.path)
        } else {
            path_of_key(&self.path, below)
        };
        let fault = self.document.fault(&path);
        self.document
            .push(code, &fault, message.into(), help.into());
    }

    /// The value as a `T`; a problem when it is none.
    pub fn read<T: Written>(&self) -> Option<T> {
        match T::read(self) {
            Ok(value) => Some(value),
            Err(wrong) => {
                self.problem(wrong.code, wrong.message, wrong.help);
                None
            }
        }
    }

    /// One of a list of words; a problem when it is none of them.
    pub fn word<T: Copy>(&self, list: &WordList<T>) -> Option<T> {
        match list.read(self) {
            Ok(value) => Some(value),
            Err(wrong) => {
                self.problem(wrong.code, wrong.message, wrong.help);
                None
            }
        }
    }

    /// A number within a range; a problem when it is none or outside.
    pub fn number(&self, range: RangeInclusive<f64>) -> Option<f64> {
        let number = self.read::<f64>()?;
        if range.contains(&number) {
            return Some(number);
        }
        self.problem(
            Code::OutOfRange,
            format!("“{}” can’t be {}", self.key(), self.written()),
            format!("Write a number from {} to {}.", range.start(), range.end()),
        );
        None
    }

    /// A whole number within a range; a problem when it is none or outside.
    pub fn whole(&self, range: RangeInclusive<u32>) -> Option<u32> {
        let number = self.read::<u32>()?;
        if range.contains(&number) {
            return Some(number);
        }
        self.problem(
            Code::OutOfRange,
            format!("“{}” can’t be {}", self.key(), self.written()),
            format!(
                "Write a whole number from {} to {}.",
                range.start(),
                range.end()
            ),
        );
        None
    }

    /// The table that it is; a problem when it is none.
    pub fn table(&self) -> Option<Table<'d>> {
        if let Value::Mapping(map) = self.value {
            return Some(Table {
                document: self.document,
                map,
                path: self.path.clone(),
                asked: Vec::new(),
                missing: Vec::new(),
            });
        }
        let help = match self.key() {
            "steps" => "Say what is taught and how long: “- {posture: mountain, breaths: 5}”.",
            "students" => "Write “- name:” before it.",
            _ => "Write “key: value”, one a line.",
        };
        let wrong = Wrong::kind(self, "keys with values", help);
        self.problem(wrong.code, wrong.message, wrong.help);
        None
    }

    /// The entries of the list that it is; a problem when it is none.
    pub fn entries(&self) -> Vec<Field<'d>> {
        if let Value::Sequence(entries) = self.value {
            return entries
                .iter()
                .enumerate()
                .map(|(index, value)| Field {
                    document: self.document,
                    value,
                    path: path_of_entry(&self.path, index),
                })
                .collect();
        }
        let help = match self.key() {
            "sections" => "Write each part as “- name: …”, with “steps:” below it.",
            _ => "Write its entries one a line, each after “- ”, or in square brackets.",
        };
        let wrong = Wrong::kind(self, "a list", help);
        self.problem(wrong.code, wrong.message, wrong.help);
        Vec::new()
    }

    /// Every entry of the list as a `T`; those that can't be read leave a problem.
    pub fn read_all<T: Written>(&self) -> Vec<T> {
        self.entries().iter().filter_map(Field::read).collect()
    }
}

impl<'d> Table<'d> {
    /// The path of the table.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Number of the line where the table begins, from 1.
    pub fn file_line(&self) -> usize {
        self.document
            .source()
            .line_of(self.document.places().value(&self.path).start)
    }

    /// Whether a key is there, without asking for it.
    pub fn has(&self, key: &str) -> bool {
        self.map.contains_key(key)
    }

    /// Its keys, in the order written.
    pub fn keys(&self) -> impl Iterator<Item = String> {
        self.map.keys().map(written::key_text)
    }

    /// Takes a key as known without reading it: its value is read elsewhere.
    pub fn knows(&mut self, key: &'static str) {
        self.asked.push(key);
    }

    /// A key's value, if it is there; an empty one leaves a problem.
    pub fn get(&mut self, key: &'static str) -> Option<Field<'d>> {
        self.asked.push(key);
        let value = self.map.get(key)?;
        let path = path_of_key(&self.path, key);
        let field = Field {
            document: self.document,
            value,
            path,
        };
        if field.is_empty() {
            field.problem(
                Code::EmptyValue,
                format!("nothing is written after “{key}”"),
                "Write its value, or take the key out.",
            );
            return None;
        }
        Some(field)
    }

    /// A key's value; a problem when it is missing.
    pub fn need(&mut self, key: &'static str) -> Option<Field<'d>> {
        self.need_as(key, &format!("Add “{key}: …”."))
    }

    /// A key's value; a problem with this help line when it is missing.
    pub fn need_as(&mut self, key: &'static str, help: &str) -> Option<Field<'d>> {
        if !self.has(key) {
            self.missing(key, help);
        }
        self.get(key)
    }

    /// Leaves a problem for a missing key, at the beginning of the table.
    pub fn missing(&mut self, key: &'static str, help: &str) {
        self.lacks(
            key,
            Code::MissingKey,
            format!("“{key}” is missing here"),
            help,
        );
    }

    /// Leaves a problem at the beginning of the table for something that `key` would mend. An
    /// unknown key that is meant for it takes its place.
    pub fn lacks(&mut self, key: &'static str, code: Code, message: impl Into<String>, help: &str) {
        let place = self.document.place(&self.beginning());
        let problem = Problem::new(code, place, message, help);
        self.missing.push((key, problem.clone()));
        self.document.problems.borrow_mut().push(problem);
    }

    /// Leaves a problem at the beginning of the table.
    pub fn problem(&self, code: Code, message: impl Into<String>, help: impl Into<String>) {
        self.document
            .push(code, &self.beginning(), message.into(), help.into());
    }

    /// The table's first key, not shown.
    fn beginning(&self) -> Fault {
        let path = match self.map.iter().next() {
            Some((key, _)) => path_of_key(&self.path, &written::key_text(key)),
            None => self.path.clone(),
        };
        Fault {
            range: self.document.places().key(&path),
            shown: false,
        }
    }

    /// Leaves a problem at a key.
    pub fn problem_at_key(
        &self,
        key: &str,
        code: Code,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        let range = self.document.places().key(&path_of_key(&self.path, key));
        self.document.push(
            code,
            &Fault { range, shown: true },
            message.into(),
            help.into(),
        );
    }

    /// A key's value as a `T`; a problem when it is missing or can't be read.
    pub fn required<T: Written>(&mut self, key: &'static str) -> Option<T> {
        if !self.has(key) {
            self.missing(key, &format!("Add “{key}: …”, {}.", T::EXPECTED));
        }
        self.optional(key)
    }

    /// A key's value as a `T`, if it is there; a problem when it can't be read.
    pub fn optional<T: Written>(&mut self, key: &'static str) -> Option<T> {
        self.get(key)?.read()
    }

    /// A key's value as one of a list of words, if it is there.
    pub fn word<T: Copy>(&mut self, key: &'static str, list: &WordList<T>) -> Option<T> {
        self.get(key)?.word(list)
    }

    /// A key's value as a yes or no; `default` when it is absent.
    pub fn flag(&mut self, key: &'static str, default: bool) -> bool {
        self.optional(key).unwrap_or(default)
    }

    /// The entries of a key's list; none when it is absent.
    pub fn list(&mut self, key: &'static str) -> Vec<Field<'d>> {
        self.get(key)
            .map(|field| field.entries())
            .unwrap_or_default()
    }

    /// The entries of a key's table, whatever their keys; none when it is absent.
    pub fn map(&mut self, key: &'static str) -> Vec<(String, Field<'d>)> {
        self.get(key)
            .and_then(|field| field.table())
            .map(Table::into_entries)
            .unwrap_or_default()
    }

    /// All entries whatever their keys, in the order written: for tables whose keys are names.
    /// Keys are as written; `problem_at_key` of this table no longer applies, see [`Field::key_problem`].
    pub fn into_entries(self) -> Vec<(String, Field<'d>)> {
        self.map
            .iter()
            .map(|(key, value)| {
                let key = written::key_text(key);
                let path = path_of_key(&self.path, &key);
                (
                    key,
                    Field {
                        document: self.document,
                        value,
                        path,
                    },
                )
            })
            .collect()
    }

    /// Reports every key that nobody asked for, with the one that may have been meant. Where a key
    /// is the cause of another problem of this table, only the key is reported.
    pub fn done(self) {
        for (key, value) in self.map {
            let text = written::key_text(key);
            if self.asked.contains(&text.as_str()) {
                continue;
            }
            let message = format!("{} is not a key here", quoted(&text));
            if let Some((code, help)) = written::strange_letters(&text) {
                self.problem_at_key(&text, code, message, help);
            } else if value.is_null()
                && let Some(cut) = self.document.places().cut(&path_of_key(&self.path, &text))
            {
                self.cut_text(&text, cut);
            } else {
                let mut known = self.asked.clone();
                known.sort_unstable();
                known.dedup();
                let help = match key_meant(&text, &known) {
                    Some(meant) => {
                        self.not_missing(|key| key == meant);
                        format!("Did you mean “{meant}”?")
                    }
                    None => format!("Keys here: {}.", one_of(&known)),
                };
                self.problem_at_key(&text, Code::UnknownKey, message, help);
            }
        }
    }

    /// Takes back that some keys are missing.
    fn not_missing(&self, which: impl Fn(&str) -> bool) {
        let said = self.missing.iter().filter(|(key, _)| which(key));
        for (_, said) in said {
            self.document.take_back(|problem| problem == said);
        }
    }

    /// Words between commas that have no colon: the rest of a text, or a value without its key.
    fn cut_text(&self, text: &str, cut: &Cut) {
        match cut {
            Cut::RestOf(value) => {
                // What was said of the first half is said of half a text.
                let half = self.document.place(&self.document.fault(value));
                let at = |place: &Place| place.line.as_ref().map(|l| (l.number, l.column));
                self.document
                    .take_back(|problem| at(&problem.place) == at(&half));
                self.problem_at_key(
                    text,
                    Code::NameCut,
                    format!("{} stands after a comma, without a colon", quoted(text)),
                    "If it belongs to the words before it, put the whole text in straight \
                     quotation marks: in brackets a comma ends a text.",
                );
            }
            Cut::RestOfRest => {}
            Cut::NoKey => {
                let wanted = self.missing.first().map_or("note", |(key, _)| key);
                self.not_missing(|key| key == wanted);
                self.problem_at_key(
                    text,
                    Code::MissingKey,
                    format!("{} stands here without a key", quoted(text)),
                    format!("Write what it is and a colon before it, as in “{wanted}: …”."),
                );
            }
        }
    }
}

impl Field<'_> {
    /// Leaves a problem at the key of this value.
    pub fn key_problem(&self, code: Code, message: impl Into<String>, help: impl Into<String>) {
        let range = self.document.places().key(&self.path);
        self.document.push(
            code,
            &Fault { range, shown: true },
            message.into(),
            help.into(),
        );
    }

    /// Leaves a problem at the key of this value for a name that is none of `known`.
    pub fn unknown_key<'k>(
        &self,
        code: Code,
        name: &str,
        noun: &str,
        known: impl IntoIterator<Item = &'k str> + Clone,
    ) {
        self.key_problem(
            code,
            format!("{} is not {noun}", quoted(name)),
            did_you_mean(name, known),
        );
    }
}

#[cfg(test)]
mod tests;
