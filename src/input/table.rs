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

use std::ops::RangeInclusive;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde_yaml::Value;

use super::places::{Places, path_of_entry, path_of_key, read_places};
use super::suggest::did_you_mean;
use super::text::{Fault, Source};
use crate::problem::{Code, Place, Problem, quoted};

mod ground;
mod keyed;
mod written;

use ground::Ground;
pub use ground::Whereabouts;
pub use keyed::{Hint, Table};
pub use written::{WordList, Written, Wrong};

/// A file with its values and places, and the problems found in it so far.
#[derive(Debug)]
pub struct Document {
    ground: Arc<Ground>,
    value: Value,
    /// Behind a lock, as the entries of a long file are read on every core.
    problems: Mutex<Vec<Problem>>,
}

/// A value of a file and where it stands.
#[derive(Clone, Debug)]
pub struct Field<'d> {
    document: &'d Document,
    value: &'d Value,
    path: String,
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
                problems: Mutex::default(),
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

    fn found(&self) -> MutexGuard<'_, Vec<Problem>> {
        self.problems.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The problems found so far.
    pub fn problems(&self) -> Vec<Problem> {
        self.found().clone()
    }

    /// The problems found.
    pub fn into_problems(self) -> Vec<Problem> {
        self.problems
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn push(&self, code: Code, fault: &Fault, message: String, help: String) {
        let problem = Problem::new(code, self.place(fault), message, help);
        self.found().push(problem);
    }

    fn place(&self, fault: &Fault) -> Place {
        let (scalars, read_to) = (self.places().scalars(), self.places().read_to());
        self.source().place(fault, scalars, read_to)
    }

    /// Takes back the problems that `unfounded` says have another cause.
    fn take_back(&self, unfounded: impl Fn(&Problem) -> bool) {
        self.found().retain(|problem| !unfounded(problem));
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
            "limitations" | "today" => {
                "Write each thing on a line of its own, as in “- left knee”, or in square brackets."
            }
            "guidance" => {
                "Write each on a line of its own, as in “- {from: physio, says: no deep bends}”."
            }
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
