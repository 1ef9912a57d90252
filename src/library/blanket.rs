//! Blankets: versions of a whole class that are made without naming anyone, and several of them as
//! one [`Version`].
//!
//! Invariant: a version knows no person. What it keeps out it keeps out for everybody, on the
//! measured numbers alone, whatever their spread.

use std::collections::BTreeMap;

use super::Library;
use super::condition::{Condition, Grade};
use super::graph::Link;
use super::posture::Posture;
use super::scene::{self, Scene};
use crate::roster::Preference;
use crate::words::{BlanketId, BodySide, DemandId, Level, Prop, Side, Use};

/// A blanket of `rules/blankets.yaml`.
#[derive(Clone, Debug, PartialEq)]
pub struct Blanket {
    /// Its id.
    pub id: BlanketId,
    /// How the title of the class goes on: "with padded kneeling".
    pub words: String,
    /// Any shape that meets one of these is kept out.
    pub bars: Vec<Condition>,
    /// A way between levels that asks this much is kept out.
    pub bars_links: BTreeMap<DemandId, Grade>,
    /// The only levels allowed; empty: all.
    pub levels: Vec<Level>,
    /// A prop that every shape uses; who stands has a hand on it.
    pub needs: Option<Prop>,
    /// Ways that lie half as far.
    pub prefers: Vec<Preference>,
    /// Where everybody begins; none: on their feet.
    pub start: Option<Level>,
    /// Whether anybody comes up from the floor again before the end.
    pub up_again: bool,
    /// Kneeling is padded for everyone.
    pub padded: bool,
    /// The longest unbroken run of a use, in seconds.
    pub bouts: BTreeMap<Use, u32>,
    /// The longest hold of any shape but the final rest, in seconds.
    pub hold_s: Option<u32>,
    /// The most of the class that is spent standing, in per cent.
    pub standing_share_pct: Option<u32>,
    /// How much longer the final rest is; the class stays as long.
    pub rest_more: RestMore,
    /// The only props allowed; none: all.
    pub props: Option<Vec<Prop>>,
    /// What stands in for a prop at home.
    pub swap: BTreeMap<Prop, String>,
    /// Every step, side and way is said in words.
    pub spoken: bool,
    /// What usually takes the place of a shape that is kept out.
    pub instead: String,
    /// What the sheet also says.
    pub prints: Vec<String>,
    /// Blankets that contradict this one.
    pub not_with: Vec<BlanketId>,
}

/// How much longer a final rest is made: by so many seconds, or to so much of the class, whichever
/// makes it longer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RestMore {
    /// In seconds.
    pub by_s: u32,
    /// In per cent of the class.
    pub to_pct: u32,
}

impl RestMore {
    /// The length of a rest of `rest_s` in a class of `class_s`, both in seconds.
    pub fn of(self, rest_s: u32, class_s: u32) -> u32 {
        (rest_s + self.by_s).max(class_s * self.to_pct / 100)
    }

    /// Whether it asks for nothing.
    pub fn is_nothing(self) -> bool {
        self == Self::default()
    }
}

/// Blankets put together: what any one of them keeps out is kept out.
#[derive(Clone, Debug)]
pub struct Version<'a> {
    /// The blankets, in the order asked for.
    pub blankets: Vec<&'a Blanket>,
}

impl Version<'_> {
    /// Whether a shape may be taught, held for so many seconds on knees padded or not.
    pub fn allows(
        &self,
        library: &Library,
        posture: &Posture,
        (side, hold_s, padded): (Side, u32, bool),
    ) -> bool {
        let mut scene = Scene::held(posture, side, f64::from(hold_s));
        scene.padded = padded || self.is_padded();
        let barred = |bar: &Condition| {
            let on = BodySide::ALL.iter();
            on.copied().any(|on| scene::holds(bar, &scene, on))
        };
        self.blankets.iter().all(|blanket| {
            let level = blanket.levels.is_empty() || blanket.levels.contains(&posture.level);
            let uses = |prop: &Prop| {
                let at_hand = posture.level != Level::Standing || library.has_a_hand_up(posture);
                posture.props.contains_key(prop) && at_hand
            };
            let has = blanket.needs.as_ref().is_none_or(uses);
            level && has && !blanket.bars.iter().any(barred)
        })
    }

    /// Whether everybody may go this way between two levels. Nobody comes up from a floor where
    /// the class stays down.
    pub fn allows_link(&self, link: &Link, from: Level, to: Level) -> bool {
        let up = from.is_floor() && !to.is_floor();
        self.blankets.iter().all(|blanket| {
            let asks = |(demand, grade): (&DemandId, &Grade)| {
                link.demands.get(demand).is_some_and(|asked| asked >= grade)
            };
            let props = link.props.keys().all(|prop| allows(blanket, *prop));
            !blanket.bars_links.iter().any(asks) && (blanket.up_again || !up) && props
        })
    }

    /// Whether a prop may be used.
    pub fn allows_prop(&self, prop: Prop) -> bool {
        self.blankets.iter().all(|blanket| allows(blanket, prop))
    }

    /// Where everybody begins.
    pub fn start(&self) -> Level {
        let start = self.blankets.iter().find_map(|blanket| blanket.start);
        start.unwrap_or(Level::Standing)
    }

    /// Whether kneeling is padded for everyone.
    pub fn is_padded(&self) -> bool {
        self.blankets.iter().any(|blanket| blanket.padded)
    }

    /// What lies under the knees: a blanket, or the mat folded where there are no blankets.
    pub fn padding(&self) -> Prop {
        if self.allows_prop(Prop::Blanket) {
            Prop::Blanket
        } else {
            Prop::Mat
        }
    }

    /// The longest unbroken run of a use, in seconds, if it is limited.
    pub fn bout_s(&self, of: Use) -> Option<u32> {
        let bouts = self.blankets.iter().filter_map(|one| one.bouts.get(&of));
        bouts.min().copied()
    }

    /// The longest hold in seconds, if it is limited.
    pub fn hold_s(&self) -> Option<u32> {
        self.blankets.iter().filter_map(|one| one.hold_s).min()
    }

    /// The most of the class that is spent standing, in per cent, if it is limited.
    pub fn standing_share_pct(&self) -> Option<u32> {
        let shares = self
            .blankets
            .iter()
            .filter_map(|one| one.standing_share_pct);
        shares.min()
    }

    /// How much longer the final rest is made.
    pub fn rest_more(&self) -> RestMore {
        let all = self.blankets.iter().map(|one| one.rest_more);
        all.fold(RestMore::default(), |most, one| RestMore {
            by_s: most.by_s.max(one.by_s),
            to_pct: most.to_pct.max(one.to_pct),
        })
    }

    /// Whether every step, side and way is said in words.
    pub fn is_spoken(&self) -> bool {
        self.blankets.iter().any(|blanket| blanket.spoken)
    }
}

fn allows(blanket: &Blanket, prop: Prop) -> bool {
    let allowed = blanket.props.as_ref();
    allowed.is_none_or(|allowed| prop == Prop::Mat || allowed.contains(&prop))
}

#[cfg(test)]
mod tests {
    use super::RestMore;
    use rstest::rstest;

    #[rstest]
    #[case(480, 4500, 675)]
    #[case(600, 4500, 780)]
    #[case(120, 1200, 300)]
    fn a_rest_grows_by_three_minutes_or_to_the_share(
        #[case] rest_s: u32,
        #[case] class_s: u32,
        #[case] longer_s: u32,
    ) {
        let more = RestMore {
            by_s: 180,
            to_pct: 15,
        };
        assert_eq!(more.of(rest_s, class_s), longer_s);
        assert_eq!(RestMore::default().of(rest_s, class_s), rest_s);
    }
}
