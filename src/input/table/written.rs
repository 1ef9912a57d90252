//! The kinds of values that a field can hold, each with a teacher's words for it.

use serde_yaml::Value;

use super::Field;
use crate::input::suggest::{nearest, one_of};
use crate::input::text::is_hard_space;
use crate::problem::{Code, quoted, steers};
use crate::words::{
    BlanketId, BodySide, DemandId, Level, LimitationId, LinkId, PostureId, Prop, PurposeId, RuleId,
    Severity, Side, SourceId, StanceId, Strength, Use, Verdict, Way,
};

/// A value that a field can be read as.
pub trait Written: Sized {
    /// What is wanted, in words that follow “needs”: `a number`.
    const EXPECTED: &'static str;

    /// Reads it.
    ///
    /// # Errors
    /// What is wrong with it; the field adds its place.
    fn read(field: &Field<'_>) -> Result<Self, Wrong>;
}

/// What is wrong with a value, before it has a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// Which kind of mistake.
    pub code: Code,
    /// One sentence without its full stop.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl Wrong {
    /// A mistake.
    pub fn new(code: Code, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            help: help.into(),
        }
    }

    /// The wrong kind of value: `expected` follows “needs”.
    pub fn kind(field: &Field<'_>, expected: &str, help: &str) -> Self {
        let subject = match field.key() {
            "" => "this file".to_owned(),
            key => format!("“{key}”"),
        };
        if field.is_empty() {
            return Self::new(
                Code::EmptyValue,
                format!("nothing is written here; {subject} needs {expected}"),
                help,
            );
        }
        let scalar = !field.is_list() && !field.is_table();
        let found = if scalar {
            quoted(field.written())
        } else {
            field.written().to_owned()
        };
        Self::new(
            Code::WrongType,
            format!("{subject} needs {expected}, not {found}"),
            help,
        )
    }

    /// A word that is none of `known`: `noun` follows “is not”.
    pub fn word(word: &str, code: Code, noun: &str, known: &[&str]) -> Self {
        let message = format!("{} is not {noun}", quoted(word));
        // A few words are all said; of many, the nearest.
        let help = match nearest(word, known.iter().copied()) {
            Some(near) if known.len() > 5 => format!("Did you mean “{near}”?"),
            _ => format!("Write {}.", one_of(known)),
        };
        Self::new(code, message, help)
    }
}

/// Whether a text holds signs that look like others, and what to do then.
pub(super) fn strange_letters(text: &str) -> Option<(Code, &'static str)> {
    if text.contains(['“', '”', '„', '‟', '‘', '‛', '«', '»']) {
        Some((
            Code::CurlyQuotes,
            "It holds curly quotation marks, which count as letters: type straight ones, or none.",
        ))
    } else if text.contains(is_hard_space) {
        Some((
            Code::HardSpace,
            "It holds a hard space, which counts as a letter: delete it and press the space bar.",
        ))
    } else {
        None
    }
}

/// A key as text.
pub(super) fn key_text(key: &Value) -> String {
    match key {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        Value::Bool(flag) => flag.to_string(),
        _ => String::new(),
    }
}

const WITHOUT_UNIT: &str = "Write it in digits, without quotation marks or a unit.";

/// What to do about a number that is none: of “1h15”, “2:30” and “5-8” the unit is the lesser fault.
fn in_digits(field: &Field<'_>) -> &'static str {
    let runs = field
        .written()
        .split(|c: char| !c.is_ascii_digit())
        .filter(|run| !run.is_empty());
    match runs.count() {
        _ if field.value().is_number() => WITHOUT_UNIT,
        0 | 1 => WITHOUT_UNIT,
        _ => "Write one number in digits, as in 75 or 2.5.",
    }
}

impl Written for f64 {
    const EXPECTED: &'static str = "a number";

    fn read(field: &Field<'_>) -> Result<Self, Wrong> {
        match field.value() {
            Value::Number(number) => number.as_f64().filter(|number| number.is_finite()),
            _ => None,
        }
        .ok_or_else(|| Wrong::kind(field, Self::EXPECTED, in_digits(field)))
    }
}

impl Written for u32 {
    const EXPECTED: &'static str = "a whole number";

    fn read(field: &Field<'_>) -> Result<Self, Wrong> {
        let Value::Number(number) = field.value() else {
            return Err(Wrong::kind(field, Self::EXPECTED, in_digits(field)));
        };
        if number.as_f64().is_some_and(|number| number < 0.0) {
            return Err(Wrong::new(
                Code::OutOfRange,
                format!("“{}” can’t be below 0", field.key()),
                "Write a whole number, 0 or more.",
            ));
        }
        match number.as_u64() {
            Some(whole) => Self::try_from(whole).map_err(|_| {
                Wrong::new(
                    Code::OutOfRange,
                    format!("“{}” can’t be so large a number", field.key()),
                    "Check its digits.",
                )
            }),
            None => Err(Wrong::kind(field, Self::EXPECTED, in_digits(field))),
        }
    }
}

impl Written for i64 {
    const EXPECTED: &'static str = "a whole number";

    fn read(field: &Field<'_>) -> Result<Self, Wrong> {
        match field.value() {
            Value::Number(number) => number.as_i64(),
            _ => None,
        }
        .ok_or_else(|| Wrong::kind(field, Self::EXPECTED, in_digits(field)))
    }
}

impl Written for String {
    const EXPECTED: &'static str = "a text";

    /// The words in one line: runs of white space become one space, characters that steer a
    /// screen are dropped. A number or a yes written for a name is taken as it is written.
    fn read(field: &Field<'_>) -> Result<Self, Wrong> {
        let text = match field.value() {
            Value::String(text) => text.as_str(),
            Value::Number(_) | Value::Bool(_) => field.written(),
            _ => return Err(Wrong::kind(field, Self::EXPECTED, "Write words.")),
        };
        let words: Vec<&str> = text.split_whitespace().collect();
        let line: Self = words.join(" ").chars().filter(|&c| !steers(c)).collect();
        if line.is_empty() {
            return Err(Wrong::new(
                Code::EmptyValue,
                format!("“{}” holds no words", field.key()),
                "Write its value, or take the key out.",
            ));
        }
        Ok(line)
    }
}

impl Written for bool {
    const EXPECTED: &'static str = "yes or no";

    fn read(field: &Field<'_>) -> Result<Self, Wrong> {
        match field.value() {
            Value::Bool(flag) => Ok(*flag),
            Value::String(word) if word.eq_ignore_ascii_case("yes") => Ok(true),
            Value::String(word) if word.eq_ignore_ascii_case("no") => Ok(false),
            _ => Err(Wrong::kind(field, Self::EXPECTED, "Write yes or no.")),
        }
    }
}

macro_rules! written_words {
    ($($type:ident, $code:ident, $noun:literal;)+) => {
        $(impl Written for $type {
            const EXPECTED: &'static str = $noun;

            fn read(field: &Field<'_>) -> Result<Self, Wrong> {
                let word = String::read(field)?;
                Self::parse(&word).ok_or_else(|| {
                    let known: Vec<&str> = Self::ALL.iter().map(|word| word.as_str()).collect();
                    Wrong::word(&word, Code::$code, $noun, &known)
                })
            }
        })+
    };
}

written_words! {
    BodySide, UnknownWord, "a side of the body";
    Side, UnknownWord, "a side";
    Level, UnknownLevel, "a level";
    Way, UnknownWord, "a kind of alternative";
    Verdict, UnknownWord, "a verdict";
    Strength, UnknownWord, "a strength";
    Severity, UnknownSeverity, "a severity";
    Prop, UnknownProp, "a known prop";
    Use, UnknownWord, "a use with a budget";
}

macro_rules! written_ids {
    ($($type:ident, $noun:literal;)+) => {
        $(impl Written for $type {
            const EXPECTED: &'static str = $noun;

            /// The id as written; whether it exists is for the reader to check.
            fn read(field: &Field<'_>) -> Result<Self, Wrong> {
                String::read(field).map(Self::from)
            }
        })+
    };
}

written_ids! {
    PostureId, "the id of a posture";
    PurposeId, "the id of a purpose";
    DemandId, "the id of a demand";
    LimitationId, "the id of a limitation";
    RuleId, "the id of a rule";
    SourceId, "the id of a source";
    StanceId, "the id of a stance";
    LinkId, "the id of a link";
    BlanketId, "the name of a version";
}

/// Words and what they mean, for values that have no type of their own with these words.
#[derive(Debug)]
pub struct WordList<T: 'static> {
    /// What follows “is not”: `a kind of touch`.
    pub noun: &'static str,
    /// The words, in the order in which they are offered.
    pub words: &'static [(&'static str, T)],
}

impl<T> WordList<T> {
    /// The words alone.
    pub fn known(&self) -> impl Iterator<Item = &'static str> + Clone {
        self.words.iter().map(|(word, _)| *word)
    }
}

impl<T: Copy> WordList<T> {
    /// The value of a field's word.
    ///
    /// # Errors
    /// What is wrong with it; the field adds its place.
    pub fn read(&self, field: &Field<'_>) -> Result<T, Wrong> {
        let word = match field.value() {
            // `no` may come as a boolean: it is a word here.
            Value::Bool(true) if self.value("yes").is_some() => "yes".to_owned(),
            Value::Bool(false) if self.value("no").is_some() => "no".to_owned(),
            _ => String::read(field)?,
        };
        self.value(&word).ok_or_else(|| {
            let known: Vec<&str> = self.words.iter().map(|(word, _)| *word).collect();
            Wrong::word(&word, Code::UnknownWord, self.noun, &known)
        })
    }

    fn value(&self, word: &str) -> Option<T> {
        self.words
            .iter()
            .find(|(known, _)| *known == word)
            .map(|(_, value)| *value)
    }
}
