//! A table of a file, read key by key.
//!
//! Takes the keys that a reader asks for; gives back their fields. Invariant: a key that nobody asked
//! for is a problem, and where it is the cause of another problem of its table, the only one.

use serde_yaml::Mapping;

use super::{Document, Field, WordList, Written, written};
use crate::input::places::{Cut, path_of_key};
use crate::input::suggest::{key_meant, one_of};
use crate::input::text::Fault;
use crate::problem::{Code, Place, Problem, quoted};

/// A table of a file, read key by key. [`Table::done`] reports the keys that nobody asked for.
#[derive(Debug)]
pub struct Table<'d> {
    pub(super) document: &'d Document,
    pub(super) map: &'d Mapping,
    pub(super) path: String,
    pub(super) asked: Vec<&'static str>,
    /// Keys that were wanted and are not there, with what was said of each.
    pub(super) missing: Vec<(&'static str, Problem)>,
}

/// What to do about a key that is not known here, where more can be said than the nearest word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// The help line.
    pub help: String,
    /// Keys whose absence it explains: what was said of them is taken back.
    pub instead_of: &'static [&'static str],
}

impl Hint {
    /// A help line that explains the absence of some keys.
    pub fn new(help: impl Into<String>, instead_of: &'static [&'static str]) -> Self {
        Self {
            help: help.into(),
            instead_of,
        }
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
        self.document.found().push(problem);
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
        self.done_with(|_| None);
    }

    /// As [`Table::done`], with what can be said of a key beyond the nearest word.
    pub fn done_with(self, hint: impl Fn(&str) -> Option<Hint>) {
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
            } else if let Some(hint) = hint(&text) {
                self.not_missing(|key| hint.instead_of.contains(&key));
                self.problem_at_key(&text, Code::UnknownKey, message, hint.help);
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
