//! Sides in words: on which turn of a two-sided step something is done, and with which side of the
//! body.
//!
//! Invariant: a side is said only where it tells something; what holds on both says nothing.

use super::words::{lower, side, with_side};
use crate::words::Side;

/// Where something holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct On {
    /// The turn of the step: the side that leads; none for every turn.
    pub turn: Side,
    /// The side of the body; none for both.
    pub body: Side,
}

/// Words with the sides that they hold on, at a step that is taught on one side or on two; `lead` is what the
/// side of the taught shape is named by ("straight leg"), where that is known.
pub(super) fn with_sides(words: &str, on: &[On], two_sided: bool, lead: Option<&str>) -> String {
    let body = one(on.iter().map(|on| on.body));
    if !two_sided {
        return with_side(words, body.unwrap_or(Side::None));
    }
    match one(on.iter().map(|on| on.turn)) {
        None | Some(Side::None) => with_side(words, body.unwrap_or(Side::None)),
        Some(turn) => {
            // On the side that leads, the step's side says it already.
            let body = body.filter(|body| *body != turn).unwrap_or(Side::None);
            let words = with_side(&lower(words), body);
            let between = if body == Side::None { ":" } else { "," };
            format!("{}{between} {words}", turn_words(turn, lead))
        }
    }
}

/// A turn of a two-sided step in words: "left leg straight", "turning right". A bare "on the left" is read as
/// the leg in question, which is often the other one.
fn turn_words(turn: Side, lead: Option<&str>) -> String {
    let side = side(turn);
    let Some(lead) = lead else {
        return format!("on the {side}");
    };
    if let Some((_, words)) = LEADS.iter().find(|(known, _)| *known == lead) {
        return words.replace('*', side);
    }
    match lead.split_once(' ') {
        // "straight leg": the left leg straight.
        Some((what, part)) if PARTS.contains(&part) => format!("{side} {part} {what}"),
        // "leg on top": the left leg on top.
        _ => format!("{side} {lead}"),
    }
}

/// Parts of the body that name a side.
const PARTS: [&str; 6] = ["leg", "arm", "shin", "knee", "foot", "hand"];

/// Names of a side that do not turn round by themselves.
const LEADS: [(&str, &str); 10] = [
    ("front leg", "* leg in front"),
    ("back leg", "* leg behind"),
    ("top leg", "* leg on top"),
    ("direction of turn", "turning *"),
    ("direction of bend", "bending *"),
    ("direction of curve", "curving *"),
    ("direction knees fall", "knees to the *"),
    ("way the ear goes", "ear to the *"),
    ("side lain on", "lying on the *"),
    ("side of hip on floor", "* hip on the floor"),
];

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
    #[case(&[(R, R)], true, "right leg in front: a soft knee")]
    #[case(&[(L, R)], true, "left leg in front, for the right: a soft knee")]
    #[case(&[(L, N), (R, N)], true, "A soft knee")]
    fn a_side_is_said_where_it_tells_something(
        #[case] on: &[(Side, Side)],
        #[case] two_sided: bool,
        #[case] words: &str,
    ) {
        let on: Vec<On> = on.iter().map(|&(turn, body)| On { turn, body }).collect();
        assert_eq!(
            with_sides("A soft knee", &on, two_sided, Some("front leg")),
            words
        );
    }

    #[rstest]
    #[case(Some("straight leg"), "left leg straight")]
    #[case(Some("direction of turn"), "turning left")]
    #[case(Some("leg on top"), "left leg on top")]
    #[case(Some("side of hip on floor"), "left hip on the floor")]
    #[case(None, "on the left")]
    fn a_turn_is_named_by_what_leads(#[case] lead: Option<&str>, #[case] words: &str) {
        assert_eq!(turn_words(L, lead), words);
    }
}
