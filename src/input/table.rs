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

use super::places::{Places, path_of_entry, path_of_key, read_places};
use super::suggest::{did_you_mean, nearest, one_of};
use super::text::{Fault, Source};
use crate::problem::{Code, Problem, quoted};

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
                crate::problem::Place::file(ground.source.name()),
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
        let places = self.places();
        let place = self
            .source()
            .place(fault, places.scalars(), places.read_to());
        self.problems
            .borrow_mut()
            .push(Problem::new(code, place, message, help));
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

    /// Leaves a problem here; the value is shown.
    pub fn problem(&self, code: Code, message: impl Into<String>, help: impl Into<String>) {
        let fault = self.document.fault(&self.path);
        self.document
            .push(code, &fault, message.into(), help.into());
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
            });
        }
        let wrong = Wrong::kind(self, "keys with values", "Write “key: value”, one a line.");
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
        let wrong = Wrong::kind(
            self,
            "a list",
            "Write its entries one a line, each after “- ”, or in square brackets.",
        );
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
        if !self.has(key) {
            self.missing(key, &format!("Add “{key}: …”."));
        }
        self.get(key)
    }

    /// Leaves a problem for a missing key, at the beginning of the table.
    pub fn missing(&mut self, key: &'static str, help: &str) {
        self.problem(Code::MissingKey, format!("“{key}” is missing here"), help);
    }

    /// Leaves a problem at the beginning of the table.
    pub fn problem(&self, code: Code, message: impl Into<String>, help: impl Into<String>) {
        let path = match self.map.iter().next() {
            Some((key, _)) => path_of_key(&self.path, &written::key_text(key)),
            None => self.path.clone(),
        };
        let range = self.document.places().key(&path);
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

    /// Reports every key that nobody asked for, with the nearest known one.
    pub fn done(self) {
        for (key, _) in self.map {
            let text = written::key_text(key);
            if self.asked.contains(&text.as_str()) {
                continue;
            }
            if let Some((code, help)) = written::strange_letters(&text) {
                let message = format!("{} is not a key here", quoted(&text));
                self.problem_at_key(&text, code, message, help);
                continue;
            }
            let mut known = self.asked.clone();
            known.sort_unstable();
            known.dedup();
            let help = match nearest(&text, known.iter().copied()) {
                Some(near) => format!("Did you mean “{near}”?"),
                None => format!("Keys here: {}.", one_of(&known)),
            };
            let message = format!("{} is not a key here", quoted(&text));
            self.problem_at_key(&text, Code::UnknownKey, message, help);
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
mod tests {
    use super::*;
    use crate::words::Severity;

    fn document(text: &str) -> Document {
        let source =
            Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file");
        Document::read(source).expect("the test's text is good YAML")
    }

    fn messages(document: &Document) -> Vec<String> {
        document
            .problems()
            .iter()
            .map(|p| format!("{} | {}", p.message, p.help))
            .collect()
    }

    #[test]
    fn all_faults_of_a_table_are_found() {
        let document = document(
            "minutes: four\ntitle:\nsteps: 3\nseverity: sevre\nholdd: 2\nkeep: maybe\nblock: -1\nmat: 2.5\n",
        );
        let mut table = document.root().table().expect("a table");
        assert_eq!(table.required::<f64>("minutes"), None);
        assert_eq!(table.optional::<String>("title"), None);
        assert!(table.list("steps").is_empty());
        assert_eq!(table.optional::<Severity>("severity"), None);
        assert_eq!(table.optional::<f64>("hold"), None);
        assert_eq!(table.required::<String>("name"), None);
        assert!(!table.flag("keep", false));
        assert_eq!(table.optional::<u32>("block"), None);
        assert_eq!(table.optional::<u32>("mat"), None);
        table.done();
        assert_eq!(
            messages(&document),
            [
                "“minutes” needs a number, not “four” | Write it in digits, without quotation marks or a unit.",
                "nothing is written after “title” | Write its value, or take the key out.",
                "“steps” needs a list, not “3” | Write its entries one a line, each after “- ”, or in square brackets.",
                "“sevre” is not a severity | Write mild, moderate or acute.",
                "“name” is missing here | Add “name: …”, a text.",
                "“keep” needs yes or no, not “maybe” | Write yes or no.",
                "“block” can’t be below 0 | Write a whole number, 0 or more.",
                "“mat” needs a whole number, not “2.5” | Write it in digits, without quotation marks or a unit.",
                "“holdd” is not a key here | Did you mean “hold”?",
            ]
        );
    }

    #[test]
    fn paths_lead_into_lists_and_maps() {
        let document = document("rules:\n  - {limit: {above_deg: 90}, props: {block: x}}\n");
        let mut table = document.root().table().expect("a table");
        let rules = table.list("rules");
        let mut rule = rules[0].table().expect("a table");
        let limit = rule.get("limit").expect("it is there");
        limit.problem_at("above_deg", Code::OutOfRange, "too wide", "Less.");
        for (_, count) in rule.map("props") {
            assert_eq!(count.read::<u32>(), None);
            assert_eq!(count.path(), "rules[0].props.block");
        }
        rule.done();
        let columns: Vec<_> = document
            .problems()
            .iter()
            .map(|p| p.place.line.as_ref().map(|line| line.column))
            .collect();
        assert_eq!(columns, [Some(25), Some(45)]);
    }

    #[test]
    fn a_list_where_a_word_belongs_shows_nothing_of_it() {
        let document = document("name: [sore, knee]\n");
        let mut table = document.root().table().expect("a table");
        assert_eq!(table.required::<String>("name"), None);
        let text = document.problems()[0].to_string();
        assert!(text.contains("“name” needs a text, not a list"), "{text}");
        assert!(
            !text.contains("sore") && text.contains("[····, ····]"),
            "{text}"
        );
    }

    #[test]
    fn curly_quotes_and_hard_spaces_are_named() {
        let document = document("minutes: “45”\nseverity: \u{a0}mild\u{a0}x\n“title”: x\n");
        let mut table = document.root().table().expect("a table");
        assert_eq!(table.required::<f64>("minutes"), None);
        assert_eq!(table.optional::<Severity>("severity"), None);
        table.done();
        let codes: Vec<Code> = document.problems().iter().map(|p| p.code).collect();
        assert_eq!(
            codes,
            [Code::CurlyQuotes, Code::HardSpace, Code::CurlyQuotes]
        );
    }
}
