//! How long steps last: as written, as the run says, or as is usual.

use std::ops::Range;

use super::amounts::Amount;
use super::around;
use super::asked::Asked;
use super::decide::{Above, Settle, posture_of};
use super::draft::Draft;
use super::naming::Found;
use super::taught::DraftLine;
use crate::library::posture::{Posture, UsualHold};
use crate::problem::Code;

/// A hold where neither the plan nor the posture says one, in breaths (our choice).
const USUAL_BREATHS: f64 = 5.0;

/// Whether numbers without a unit are minutes rather than breaths: whichever lies within the usual
/// holds of more of the shapes they stand with. One unit holds for the whole file.
pub(super) fn bare_numbers_are_minutes(draft: &Draft<'_>) -> bool {
    let (mut minutes, mut breaths) = (0, 0);
    for line in around::lines(draft) {
        let Some((value, _)) = line
            .told
            .bare
            .as_ref()
            .filter(|_| line.told.holds.is_empty())
        else {
            continue;
        };
        let posture = match &line.found {
            Found::Several(postures) | Found::Loose(postures) => postures.first().copied(),
            found => posture_of(found),
        };
        let usual = posture.and_then(|posture| posture.usual_hold);
        match usual {
            Some(UsualHold::Minutes(from, to)) if (from..=to).contains(value) => minutes += 1,
            Some(UsualHold::Breaths(from, to)) if (from..=to).contains(value) => breaths += 1,
            _ => {}
        }
    }
    // Where both are as likely the longer hold counts, so that the plan is never too easy.
    minutes > 0 && minutes >= breaths
}

impl Settle<'_, '_, '_> {
    /// The hold in seconds, and in breaths when it was told so.
    pub(super) fn hold(
        &mut self,
        draft: &mut DraftLine<'_>,
        posture: Option<&Posture>,
        above: Above<'_>,
    ) -> Option<(u32, Option<f64>)> {
        let run = above.run;
        let of_run = run.map_or(&[][..], |run| run.holds.as_slice());
        let own = !draft.told.holds.is_empty() || draft.told.bare.is_some();
        let holds = if own {
            draft.told.holds.as_slice()
        } else {
            of_run
        };
        let amount = match holds {
            [(amount, range)] => self.checked(*amount, range)?,
            [_, (_, range), ..] => {
                self.pen.problem(
                    Code::BadHold,
                    range.clone(),
                    "this step says twice how long it lasts",
                    "Keep one; what is set aside for everything is written “takes 3 min”.",
                );
                return None;
            }
            [] => match draft.told.bare.clone() {
                Some((value, range)) => {
                    let amount = if self.bare_are_minutes {
                        Amount::Minutes(value)
                    } else {
                        Amount::Breaths(value)
                    };
                    let amount = self.checked(amount, &range)?;
                    let written = self.pen.text_of(&range).to_owned();
                    let read = amount.to_string();
                    draft.asks.push(Asked::NoUnit { written, read });
                    amount
                }
                None => {
                    let amount = usual(posture);
                    draft.asks.push(Asked::NoHold(amount.to_string()));
                    amount
                }
            },
        };
        if let (Some((from, to)), [_]) = (draft.told.spread, holds) {
            draft.asks.push(Asked::Spread {
                written: format!("{from} to {to}"),
                read: amount.to_string(),
            });
        }
        Some(match amount {
            Amount::Breaths(breaths) | Amount::Rounds(breaths) => {
                (whole(breaths * above.breath_s), Some(breaths))
            }
            Amount::Seconds(seconds) => (whole(seconds), None),
            Amount::Minutes(minutes) => (whole(minutes * 60.0), None),
        })
    }

    /// An amount within what a plan that is written in full may hold.
    fn checked(&mut self, amount: Amount, range: &Range<usize>) -> Option<Amount> {
        let (value, most, unit) = match amount {
            Amount::Breaths(value) => (value, 400.0, "breaths"),
            Amount::Rounds(value) => (value, 400.0, "rounds"),
            Amount::Seconds(value) => (value, 7200.0, "seconds"),
            Amount::Minutes(value) => (value, 120.0, "minutes"),
        };
        self.in_range(Some(value), range, 0.1..=most, unit)?;
        Some(amount)
    }
}

/// The shortest usual hold of a posture: what a teacher who writes none most likely means.
fn usual(posture: Option<&Posture>) -> Amount {
    match posture.and_then(|posture| posture.usual_hold) {
        Some(UsualHold::Breaths(from, _)) => Amount::Breaths(from),
        Some(UsualHold::Minutes(from, _)) => Amount::Minutes(from),
        None => Amount::Breaths(USUAL_BREATHS),
    }
}

impl std::fmt::Display for Amount {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (value, one, many) = match *self {
            Self::Breaths(value) => (value, "breath", "breaths"),
            Self::Rounds(value) => (value, "round", "rounds"),
            Self::Seconds(value) => (value, "second", "seconds"),
            Self::Minutes(value) => (value, "minute", "minutes"),
        };
        if (value - 1.0).abs() < f64::EPSILON {
            write!(f, "1 {one}")
        } else {
            write!(f, "{value} {many}")
        }
    }
}

/// A number of seconds that was checked before, to the second.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "amounts are at most 400 breaths of 30 seconds"
)]
pub(super) fn whole(seconds: f64) -> u32 {
    seconds.round().clamp(1.0, 86_400.0) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    /// One of a unit stands in the singular, anything else in the plural.
    #[rstest]
    #[case(Amount::Breaths(1.0), "1 breath")]
    #[case(Amount::Breaths(0.5), "0.5 breaths")]
    #[case(Amount::Breaths(2.0), "2 breaths")]
    #[case(Amount::Rounds(1.0), "1 round")]
    #[case(Amount::Rounds(3.0), "3 rounds")]
    #[case(Amount::Seconds(1.0), "1 second")]
    #[case(Amount::Seconds(40.0), "40 seconds")]
    #[case(Amount::Minutes(1.0), "1 minute")]
    #[case(Amount::Minutes(1.5), "1.5 minutes")]
    fn amounts_in_words(#[case] amount: Amount, #[case] words: &str) {
        assert_eq!(amount.to_string(), words);
    }

    /// Nothing lasts no time.
    #[rstest]
    #[case(0.2, 1)]
    #[case(1.4, 1)]
    #[case(1.5, 2)]
    #[case(90.0, 90)]
    fn whole_seconds(#[case] seconds: f64, #[case] expected: u32) {
        assert_eq!(whole(seconds), expected);
    }
}
