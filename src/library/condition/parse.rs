//! One line of words as a condition: `knee_load_pct >= 10`, `level is kneeling or hands-and-knees`.

use std::fmt;
use std::sync::Arc;

use super::{Comparison, Condition, Fact, Grade, Quantity};
use crate::body::Measure;
use crate::words::Level;

/// Why words are no condition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// A word that stands where a word of a known kind belongs.
    Unknown {
        /// The kind: "measure", "level", "fact", "demand".
        kind: &'static str,
        /// The word.
        word: String,
    },
    /// Something other than a number after a comparison sign.
    NotANumber(String),
    /// Nothing is written, or a part is missing.
    Unfinished,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown { kind, word } => write!(f, "“{word}” is not a {kind}"),
            Self::NotANumber(text) => write!(f, "“{text}” is not a number"),
            Self::Unfinished => f.write_str("this condition is not finished"),
        }
    }
}

/// What a demand of some grade means, if there is such a demand.
pub type Meanings<'a> = &'a dyn Fn(&str, Grade) -> Option<Arc<Condition>>;

/// The condition that one line of words says.
///
/// Forms: `MEASURE >= NUMBER` (also `>`, `<=`, `<`), `level is A or B`, `level is not A or B`, a
/// fact, `single_leg`, `DEMAND some`, `DEMAND much`, and `not` before any of them.
///
/// # Errors
/// A [`Fault`] that names the word that makes no sense.
pub fn parse(text: &str, meanings: Meanings<'_>) -> Result<Condition, Fault> {
    let text = text.trim();
    if let Some(rest) = text.strip_prefix("not ") {
        return Ok(Condition::Not(Box::new(parse(rest, meanings)?)));
    }
    if let Some(levels) = text.strip_prefix("level is ") {
        return parse_levels(levels.trim());
    }
    if let Some(at) = text.find(['<', '>']) {
        return parse_comparison(text, at);
    }
    let words: Vec<&str> = text.split_whitespace().collect();
    match words.as_slice() {
        [] => Err(Fault::Unfinished),
        ["single_leg"] => Ok(Condition::Compare {
            quantity: Quantity::Measure(Measure::SingleLeg),
            comparison: Comparison::AtLeast,
            limit: 1.0,
        }),
        [word] => match Fact::parse(word) {
            Some(fact) => Ok(Condition::Fact(fact)),
            None if Quantity::parse(word).is_some() => Err(Fault::Unfinished),
            None => Err(Fault::Unknown {
                kind: "fact",
                word: (*word).into(),
            }),
        },
        [demand, grade] if Grade::parse(grade).is_some() => {
            let unknown = || Fault::Unknown {
                kind: "demand",
                word: (*demand).into(),
            };
            let grade = Grade::parse(grade).ok_or(Fault::Unfinished)?;
            let means = meanings(demand, grade).ok_or_else(unknown)?;
            Ok(Condition::Demand {
                demand: (*demand).into(),
                grade,
                means,
            })
        }
        _ => Err(Fault::Unknown {
            kind: "fact",
            word: text.into(),
        }),
    }
}

/// `kneeling or hands-and-knees`, `not seated`.
fn parse_levels(words: &str) -> Result<Condition, Fault> {
    let (negated, words) = match words.strip_prefix("not ") {
        Some(rest) => (true, rest),
        None => (false, words),
    };
    let mut levels = Vec::new();
    for word in words.split(" or ").map(str::trim) {
        let unknown = || Fault::Unknown {
            kind: "level",
            word: word.into(),
        };
        levels.push(Level::parse(word).ok_or_else(unknown)?);
    }
    let condition = Condition::LevelIs(levels);
    Ok(if negated {
        Condition::Not(Box::new(condition))
    } else {
        condition
    })
}

/// `knee_load_pct >= 10`, with the sign at a byte.
fn parse_comparison(text: &str, at: usize) -> Result<Condition, Fault> {
    let (name, rest) = text.split_at(at);
    let name = name.trim();
    let signs = [
        Comparison::AtLeast,
        Comparison::AtMost,
        Comparison::Above,
        Comparison::Below,
    ];
    let (comparison, number) = signs
        .into_iter()
        .find_map(|sign| Some((sign, rest.strip_prefix(sign.as_str())?.trim())))
        .ok_or(Fault::Unfinished)?;
    let unknown = || Fault::Unknown {
        kind: "measure",
        word: name.into(),
    };
    let quantity = Quantity::parse(name).ok_or_else(unknown)?;
    // A minus sign typed as a dash is read over, as in the documents.
    let limit: f64 = number
        .replace('−', "-")
        .parse()
        .ok()
        .filter(|number: &f64| number.is_finite())
        .ok_or_else(|| Fault::NotANumber(number.into()))?;
    Ok(Condition::Compare {
        quantity,
        comparison,
        limit,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    fn meanings(demand: &str, _: Grade) -> Option<Arc<Condition>> {
        (demand == "kneeling").then(|| Arc::new(Condition::Fact(Fact::KneePadded)))
    }

    #[test]
    fn a_comparison_is_read() {
        let expected = Condition::Compare {
            quantity: Quantity::Measure(Measure::TrunkPitch),
            comparison: Comparison::AtMost,
            limit: -110.0,
        };
        assert_eq!(
            parse("trunk_pitch_deg <= -110", &meanings),
            Ok(expected.clone())
        );
        assert_eq!(parse("trunk_pitch_deg<=−110", &meanings), Ok(expected));
    }

    #[test]
    fn levels_are_read_and_negated() {
        let two = Condition::LevelIs(vec![Level::Kneeling, Level::HandsAndKnees]);
        assert_eq!(
            parse("level is kneeling or hands-and-knees", &meanings),
            Ok(two.clone())
        );
        assert_eq!(
            parse("level is not kneeling or hands-and-knees", &meanings),
            Ok(Condition::Not(Box::new(two)))
        );
    }

    #[test]
    fn facts_and_demands_are_told_apart() {
        let fact = Condition::Fact(Fact::TrunkEffort(Grade::Some));
        assert_eq!(parse("trunk-effort-some", &meanings), Ok(fact.clone()));
        assert_eq!(
            parse("not trunk-effort-some", &meanings),
            Ok(Condition::Not(Box::new(fact)))
        );
        let demand = parse("kneeling much", &meanings);
        assert!(
            matches!(
                demand,
                Ok(Condition::Demand {
                    grade: Grade::Much,
                    ..
                })
            ),
            "{demand:?}"
        );
    }

    #[rstest]
    #[case("knee_lod_pct >= 10", "measure")]
    #[case("level is knelling", "level")]
    #[case("belly_pressed", "fact")]
    #[case("crouching some", "demand")]
    fn a_wrong_word_is_named(#[case] text: &str, #[case] expected: &str) {
        let fault = parse(text, &meanings);
        assert!(
            matches!(&fault, Err(Fault::Unknown { kind, .. }) if *kind == expected),
            "{fault:?}"
        );
    }

    #[rstest]
    #[case("knee_load_pct >= ten")]
    #[case("knee_load_pct >=")]
    #[case("knee_load_pct => 10")]
    #[case("knee_load_pct >= inf")]
    #[case("knee_load_pct")]
    #[case("")]
    fn an_unfinished_line_is_refused(#[case] text: &str) {
        assert!(parse(text, &meanings).is_err());
    }
}
