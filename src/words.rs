//! The words that everything else is said in: sides, levels, ways, verdicts, ids.
//!
//! Takes nothing and knows nothing; every other module speaks in these terms.
//! Invariant: one word per thing, spelt in files and JSON exactly as the kebab-case name here.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

/// An id that is text, ordered and cheap to clone.
macro_rules! text_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(from = "String", into = "String")]
        pub struct $name(std::sync::Arc<str>);

        impl $name {
            /// The id's text, as it stands in files and JSON.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }
        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.into())
            }
        }
        impl From<String> for $name {
            fn from(text: String) -> Self {
                Self(text.into())
            }
        }
        impl From<$name> for String {
            fn from(id: $name) -> Self {
                id.0.to_string()
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0)
            }
        }
        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
        impl std::borrow::Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }
    };
}

text_id!(/// A posture: the kebab-case of its first English name.
    PostureId);
text_id!(/// What a posture is for: an id of `data/purposes.yaml`.
    PurposeId);
text_id!(/// What a posture asks of a body: an id of `rules/demands.yaml`.
    DemandId);
text_id!(/// An area, a condition or a need: the name of a file in `rules/limitations`.
    LimitationId);
text_id!(/// A rule, unique in the whole of `rules/limitations`.
    RuleId);
text_id!(/// A reference of `rules/sources.yaml`.
    SourceId);
text_id!(/// A question on which sources disagree: an id of `rules/stances.yaml`.
    StanceId);
text_id!(/// A way between two levels: an id of `data/links.yaml`.
    LinkId);
text_id!(/// A version of a whole class: an id of `rules/blankets.yaml`.
    BlanketId);
text_id!(/// A student, made from the name and a number where names repeat.
    StudentId);

/// A plain word list as an enum: kebab-case in files, JSON and messages.
macro_rules! word_enum {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $text:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[allow(missing_docs, reason = "a word says itself where it has no line of its own")]
        pub enum $name { $($(#[$vdoc])* #[serde(rename = $text)] $variant),+ }

        impl $name {
            /// Every word, in the order of the contract.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];

            /// The word as written in files and JSON.
            pub const fn as_str(self) -> &'static str {
                match self { $($name::$variant => $text),+ }
            }

            /// The value of a word, if it is one.
            pub fn parse(word: &str) -> Option<Self> {
                match word { $($text => Some($name::$variant),)+ _ => None }
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.as_str())
            }
        }
    };
}

word_enum!(
    /// A side of a body.
    BodySide { Left = "left", Right = "right" }
);

impl BodySide {
    /// The other side.
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

word_enum!(
    /// Which side leads a shape; the other side is the mirror image.
    Side { Left = "left", Right = "right", None = "none" }
);

impl Side {
    /// The mirrored side; `none` stays.
    pub const fn mirrored(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            Self::None => Self::None,
        }
    }
    /// The side of the body that leads, if one does.
    pub const fn body_side(self) -> Option<BodySide> {
        match self {
            Self::Left => Some(BodySide::Left),
            Self::Right => Some(BodySide::Right),
            Self::None => None,
        }
    }
}

impl From<BodySide> for Side {
    fn from(side: BodySide) -> Self {
        match side {
            BodySide::Left => Self::Left,
            BodySide::Right => Self::Right,
        }
    }
}

word_enum!(
    /// Where the body is.
    Level {
        Standing = "standing",
        Wall = "wall",
        Chair = "chair",
        Kneeling = "kneeling",
        HandsAndKnees = "hands-and-knees",
        Seated = "seated",
        Prone = "prone",
        Supine = "supine",
        SideLying = "side-lying",
    }
);

impl Level {
    /// Whether the body is down on the mat: every level but standing, wall and chair.
    pub const fn is_floor(self) -> bool {
        !matches!(self, Self::Standing | Self::Wall | Self::Chair)
    }
}

word_enum!(
    /// What kind of alternative an edge of the posture graph is.
    Way { Gentler = "gentler", Propped = "propped", Wall = "wall", Chair = "chair", Stronger = "stronger" }
);

word_enum!(
    /// What a rule says of a shape for a person, mildest first.
    Verdict {
        /// Allowed; printed.
        Watch = "watch",
        /// Only with the stated easing.
        Ease = "ease",
        /// A clinician's word first; `avoid` until it is recorded.
        AskFirst = "ask-first",
        /// Never assigned.
        Avoid = "avoid",
    }
);

word_enum!(
    /// How well a rule is backed.
    Strength {
        Guideline = "guideline",
        Study = "study",
        CommonPractice = "common-practice",
        Disputed = "disputed",
        Clinician = "clinician",
        OwnWord = "own-word",
    }
);

impl Strength {
    /// The word on a sheet.
    pub const fn printed(self) -> &'static str {
        match self {
            Self::Guideline => "guideline",
            Self::Study => "study",
            Self::CommonPractice => "common practice",
            Self::Disputed => "sources differ",
            Self::Clinician => "their clinician",
            Self::OwnWord => "their own word",
        }
    }
}

word_enum!(
    /// How much a limitation asks for: mild = ease it, moderate = avoid load, acute = avoid use.
    Severity { Mild = "mild", Moderate = "moderate", Acute = "acute" }
);

word_enum!(
    /// A prop of the cupboard, or a place at the wall.
    Prop {
        Mat = "mat",
        Block = "block",
        Blanket = "blanket",
        Bolster = "bolster",
        Strap = "strap",
        Chair = "chair",
        ChairWithArms = "chair-with-arms",
        Stool = "stool",
        Table = "table",
        Pillow = "pillow",
        Cushion = "cushion",
        Wedge = "wedge",
        Towel = "towel",
        Wall = "wall",
    }
);

/// How many of each prop; absent means none.
pub type PropCounts = BTreeMap<Prop, u32>;

word_enum!(
    /// Something that lasts from step to step and is budgeted: a bout is an unbroken run of it.
    Use {
        Kneeling = "kneeling",
        WeightOnHands = "weight-on-hands",
        HeadBelowHeart = "head-below-heart",
        LyingFlat = "lying-flat",
        LyingOnFront = "lying-on-front",
        ArmsOverhead = "arms-overhead",
        StandingStill = "standing-still",
    }
);
