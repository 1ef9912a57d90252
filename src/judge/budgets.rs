//! What a shape uses of the things that last: kneeling, weight on the hands, lying flat …
//!
//! Invariant: a use is counted for a shape whichever side of the body it falls on, so a personal
//! budget is never passed, and sometimes kept with room to spare.

use super::verdict::asks;
use crate::library::condition::{Fact, Grade};
use crate::library::posture::{Posture, PostureBody};
use crate::library::rule::Limit;
use crate::words::{Level, Use};

/// What a shape uses.
pub fn uses(posture: &Posture) -> Vec<Use> {
    Use::ALL
        .iter()
        .copied()
        .filter(|&of| is_used(posture, of))
        .collect()
}

fn is_used(posture: &Posture, of: Use) -> bool {
    let lying = matches!(
        posture.level,
        Level::Supine | Level::Prone | Level::SideLying
    );
    match of {
        Use::StandingStill => {
            posture.facts.contains(&Fact::Still)
                && matches!(posture.body, PostureBody::Shape { .. })
        }
        // Arms that go up and down with the breath are not held up.
        Use::ArmsOverhead => {
            let held = matches!(posture.body, PostureBody::Shape { .. });
            !lying && held && asks(posture, &of.as_str().into(), Grade::Much)
        }
        Use::Kneeling
        | Use::WeightOnHands
        | Use::HeadBelowHeart
        | Use::LyingFlat
        | Use::LyingOnFront => asks(posture, &of.as_str().into(), Grade::Some),
    }
}

/// The tightest of several limits on the same thing.
pub fn tightest(limits: impl IntoIterator<Item = Limit>) -> Limit {
    let least = |a: Option<u32>, b: Option<u32>| match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    limits
        .into_iter()
        .fold(Limit::default(), |kept, limit| Limit {
            bout_s: least(kept.bout_s, limit.bout_s),
            class_s: least(kept.class_s, limit.class_s),
        })
}
