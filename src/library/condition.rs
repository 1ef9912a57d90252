//! Conditions over measures and facts, as `rules/` writes them: `knee_load_pct >= 10`,
//! `level is kneeling or hands-and-knees`, `belly-pressed`, `deep-hip-bend some`.
//!
//! [`parse`] turns the words of one line into a [`Condition`]; [`super::scene`] asks whether it
//! holds. Invariant: all sided measures of one condition are read on the same side of the body, so
//! that joined conditions speak of one joint.

use std::fmt;
use std::sync::Arc;

use crate::body::Measure;
use crate::words::{DemandId, Level};

/// How much of a demand a shape asks.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// Some.
    Some,
    /// Much.
    Much,
}

impl Grade {
    /// The word as written in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Some => "some",
            Self::Much => "much",
        }
    }

    /// The grade of a word, if it is one.
    pub fn parse(word: &str) -> Option<Self> {
        match word {
            "some" => Some(Self::Some),
            "much" => Some(Self::Much),
            _ => None,
        }
    }
}

/// How a quantity is compared with its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// `>=`
    AtLeast,
    /// `>`
    Above,
    /// `<=`
    AtMost,
    /// `<`
    Below,
}

impl Comparison {
    /// The sign as written in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::AtLeast => ">=",
            Self::Above => ">",
            Self::AtMost => "<=",
            Self::Below => "<",
        }
    }

    /// Whether a value compares so with a limit.
    pub fn holds(self, value: f64, limit: f64) -> bool {
        match self {
            Self::AtLeast => value >= limit,
            Self::Above => value > limit,
            Self::AtMost => value <= limit,
            Self::Below => value < limit,
        }
    }

    /// How far a value is past the limit, in the unit of both; negative when it is not.
    pub fn past(self, value: f64, limit: f64) -> f64 {
        match self {
            Self::AtLeast | Self::Above => value - limit,
            Self::AtMost | Self::Below => limit - value,
        }
    }
}

/// A number that a condition can compare.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// A measure of the contract: of the body, of effort or of time. The bout and the class total
    /// are a single step's hold where the run is not known yet.
    Measure(Measure),
    /// How far this hip is bent beyond the other one, in degrees, with a hip drawn back counted
    /// below nought; 0 on the side that is bent less.
    HipSplitDeg,
}

impl Quantity {
    /// The name as written in files and JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Measure(measure) => measure.as_str(),
            Self::HipSplitDeg => "hip_split_deg",
        }
    }

    /// The quantity of a name, if it is one. Measures that are words or facts are none.
    pub fn parse(name: &str) -> Option<Self> {
        Self::all().find(|quantity| quantity.as_str() == name)
    }

    /// Every quantity.
    pub fn all() -> impl Iterator<Item = Self> {
        let numbers = Measure::ALL.iter().copied().filter(|measure| {
            !matches!(
                measure,
                Measure::Level
                    | Measure::KneePadded
                    | Measure::BreathHeld
                    | Measure::BreathChanged
                    | Measure::EyesClosed
                    | Measure::TrunkEffort
                    | Measure::BellyPressed
            )
        });
        numbers.map(Self::Measure).chain([Self::HipSplitDeg])
    }

    /// Whether it is read per side of the body.
    pub const fn is_sided(self) -> bool {
        match self {
            Self::Measure(measure) => measure.is_sided(),
            Self::HipSplitDeg => true,
        }
    }

    /// Whether it is a load on a contact, which is only as sure as its spread.
    pub fn is_load(self) -> bool {
        self.as_str().ends_with("_load_pct")
    }

    /// Whether it speaks of time, not of the body.
    pub const fn is_time(self) -> bool {
        matches!(
            self,
            Self::Measure(Measure::Hold | Measure::Bout | Measure::Class)
        )
    }
}

/// Something that geometry cannot give: authored on the posture, or true of the form given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fact {
    /// The breath is held.
    BreathHeld,
    /// The breath is changed mildly or strongly.
    BreathChanged(Grade),
    /// Eyes closed: some = sitting or lying, much = standing.
    EyesClosed(Grade),
    /// Belly work.
    TrunkEffort(Grade),
    /// The belly is pressed.
    BellyPressed,
    /// The knees are padded.
    KneePadded,
    /// A hand, a wall or a chair steadies the body.
    Supported,
    /// The seat is raised above the floor.
    SeatRaised,
    /// The gaze goes up with the head back.
    LookingUp,
    /// Hands are clasped behind the back.
    HandsBehind,
    /// A standing shape that is held without a change.
    Still,
    /// The body stands on the shoulders with the neck bent under it (shoulderstand, plough).
    StandsOnShoulders,
}

impl Fact {
    /// Every fact.
    pub const ALL: [Self; 15] = [
        Self::BreathHeld,
        Self::BreathChanged(Grade::Some),
        Self::BreathChanged(Grade::Much),
        Self::EyesClosed(Grade::Some),
        Self::EyesClosed(Grade::Much),
        Self::TrunkEffort(Grade::Some),
        Self::TrunkEffort(Grade::Much),
        Self::BellyPressed,
        Self::KneePadded,
        Self::Supported,
        Self::SeatRaised,
        Self::LookingUp,
        Self::HandsBehind,
        Self::Still,
        Self::StandsOnShoulders,
    ];

    /// The word as written in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::BreathHeld => "breath-held",
            Self::BreathChanged(Grade::Some) => "breath-changed-some",
            Self::BreathChanged(Grade::Much) => "breath-changed-much",
            Self::EyesClosed(Grade::Some) => "eyes-closed-some",
            Self::EyesClosed(Grade::Much) => "eyes-closed-much",
            Self::TrunkEffort(Grade::Some) => "trunk-effort-some",
            Self::TrunkEffort(Grade::Much) => "trunk-effort-much",
            Self::BellyPressed => "belly-pressed",
            Self::KneePadded => "knee-padded",
            Self::Supported => "supported",
            Self::SeatRaised => "seat-raised",
            Self::LookingUp => "looking-up",
            Self::HandsBehind => "hands-behind",
            Self::Still => "still",
            Self::StandsOnShoulders => "stands-on-shoulders",
        }
    }

    /// The fact of a word, if it is one.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|fact| fact.as_str() == word)
    }

    /// Whether this fact, authored on a shape, makes `asked` true: a strong form holds its mild one.
    pub fn covers(self, asked: Self) -> bool {
        match (self, asked) {
            (Self::BreathChanged(have), Self::BreathChanged(want))
            | (Self::EyesClosed(have), Self::EyesClosed(want))
            | (Self::TrunkEffort(have), Self::TrunkEffort(want)) => have >= want,
            _ => self == asked,
        }
    }
}

/// A condition, as a tree.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// A quantity against a number.
    Compare {
        /// What is compared.
        quantity: Quantity,
        /// How.
        comparison: Comparison,
        /// With what.
        limit: f64,
    },
    /// The level is one of these.
    LevelIs(Vec<Level>),
    /// A fact of at least this grade holds.
    Fact(Fact),
    /// The shape asks at least this much of another demand, on this side of the body.
    Demand {
        /// Which demand.
        demand: DemandId,
        /// How much of it.
        grade: Grade,
        /// What that means: the demand's own condition of that grade.
        means: Arc<Condition>,
    },
    /// All hold.
    All(Vec<Condition>),
    /// One holds.
    Any(Vec<Condition>),
    /// It does not hold.
    Not(Box<Condition>),
}

impl Condition {
    /// One condition of a list in which all must hold.
    pub fn all(mut conditions: Vec<Condition>) -> Self {
        match conditions.len() {
            1 => conditions.remove(0),
            _ => Self::All(conditions),
        }
    }

    /// Whether any part speaks of time, so that the answer changes with the hold.
    pub fn speaks_of_time(&self) -> bool {
        match self {
            Self::Compare { quantity, .. } => quantity.is_time(),
            Self::LevelIs(_) | Self::Fact(_) => false,
            Self::Demand { means, .. } => means.speaks_of_time(),
            Self::All(parts) | Self::Any(parts) => parts.iter().any(Self::speaks_of_time),
            Self::Not(part) => part.speaks_of_time(),
        }
    }

    /// Every comparison in it, those of the demands that it names included.
    pub fn comparisons(&self) -> Vec<(Quantity, Comparison, f64)> {
        match self {
            Self::Compare {
                quantity,
                comparison,
                limit,
            } => {
                vec![(*quantity, *comparison, *limit)]
            }
            Self::LevelIs(_) | Self::Fact(_) => Vec::new(),
            Self::Demand { means, .. } => means.comparisons(),
            Self::All(parts) | Self::Any(parts) => {
                parts.iter().flat_map(Self::comparisons).collect()
            }
            Self::Not(part) => part.comparisons(),
        }
    }
}

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

    #[test]
    fn a_strong_fact_covers_its_mild_one() {
        assert!(Fact::BreathChanged(Grade::Much).covers(Fact::BreathChanged(Grade::Some)));
        assert!(!Fact::BreathChanged(Grade::Some).covers(Fact::BreathChanged(Grade::Much)));
        assert!(!Fact::BreathHeld.covers(Fact::BreathChanged(Grade::Some)));
    }
}
