//! What geometry cannot give.

use super::Grade;

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
    /// Drawn looking ahead, but many look up in it as they are taught it.
    MayLookUp,
    /// Hands are clasped behind the back.
    HandsBehind,
    /// A standing shape that is held without a change.
    Still,
    /// The body stands on the shoulders with the neck bent under it (shoulderstand, plough).
    StandsOnShoulders,
}

impl Fact {
    /// Every fact.
    pub const ALL: [Self; 16] = [
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
        Self::MayLookUp,
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
            Self::MayLookUp => "may-look-up",
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strong_fact_covers_its_mild_one() {
        assert!(Fact::BreathChanged(Grade::Much).covers(Fact::BreathChanged(Grade::Some)));
        assert!(!Fact::BreathChanged(Grade::Some).covers(Fact::BreathChanged(Grade::Much)));
        assert!(!Fact::BreathHeld.covers(Fact::BreathChanged(Grade::Some)));
    }
}
