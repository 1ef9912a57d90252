//! Sides in words: on which turn of a two-sided step something is done, and with which side of the
//! body.
//!
//! Invariant: a side is said only where it tells something; what holds on both says nothing.

use super::words::{lower, side, way, with_side};
use crate::words::Side;

/// Where something holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct On {
    /// The turn of the step: the side that leads; none for every turn.
    pub turn: Side,
    /// The side of the body; none for both.
    pub body: Side,
}

/// Words with the sides that they hold on, at a step that is taught on one side or on two.
pub(super) fn with_sides(words: &str, on: &[On], two_sided: bool) -> String {
    let body = one(on.iter().map(|on| on.body));
    if !two_sided {
        return with_side(words, body.unwrap_or(Side::None));
    }
    match one(on.iter().map(|on| on.turn)) {
        None | Some(Side::None) => with_side(words, body.unwrap_or(Side::None)),
        Some(turn) => {
            // On the side that leads, the step's side says it already.
            let body = body.filter(|body| *body != turn).unwrap_or(Side::None);
            let words = lower(words);
            match body {
                Side::None => format!("on the {}: {words}", side(turn)),
                _ if way(&words).is_some() => {
                    format!("on the {}: {}", side(turn), with_side(&words, body))
                }
                _ => format!("when the {} leads, {}", side(turn), with_side(&words, body)),
            }
        }
    }
}

/// The side that all of these are, if they are one.
fn one(mut sides: impl Iterator<Item = Side>) -> Option<Side> {
    let first = sides.next()?;
    sides.all(|other| other == first).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    const L: Side = Side::Left;
    const R: Side = Side::Right;
    const N: Side = Side::None;

    #[rstest]
    #[case(&[(N, R)], false, "for the right: a soft knee")]
    #[case(&[(R, R), (L, L)], true, "A soft knee")]
    #[case(&[(R, L), (L, R)], true, "A soft knee")]
    #[case(&[(R, R), (L, R)], true, "for the right: a soft knee")]
    #[case(&[(R, R)], true, "on the right: a soft knee")]
    #[case(&[(L, R)], true, "when the left leads, for the right: a soft knee")]
    #[case(&[(L, N), (R, N)], true, "A soft knee")]
    fn a_side_is_said_where_it_tells_something(
        #[case] on: &[(Side, Side)],
        #[case] two_sided: bool,
        #[case] words: &str,
    ) {
        let on: Vec<On> = on.iter().map(|&(turn, body)| On { turn, body }).collect();
        assert_eq!(with_sides("A soft knee", &on, two_sided), words);
    }
}
