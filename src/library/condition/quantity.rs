//! Numbers that a condition can compare, and how.

use crate::body::Measure;

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
