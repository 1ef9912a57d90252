//! How long a step lasts.

use crate::input::table::Table;
use crate::problem::Code;

/// A hold: seconds, and breaths when it was written so.
pub(super) fn hold(table: &mut Table<'_>, breath_s: f64) -> Option<(u32, Option<f64>)> {
    let round_s = table
        .get("round_seconds")
        .and_then(|field| field.number(1.0..=600.0));
    let mut found: Vec<(u32, Option<f64>)> = Vec::new();
    let mut written = 0;
    for (unit, unit_s, most) in [
        ("breaths", breath_s, 400.0),
        ("rounds", round_s.unwrap_or(breath_s), 400.0),
        ("seconds", 1.0, 7200.0),
        ("minutes", 60.0, 120.0),
    ] {
        let Some(field) = table.get(unit) else {
            continue;
        };
        written += 1;
        let Some(number) = field.number(0.1..=most) else {
            continue;
        };
        let breaths = matches!(unit, "breaths" | "rounds").then_some(number);
        found.push((whole(number * unit_s), breaths));
    }
    match (found.as_slice(), written) {
        ([one], 1) => Some(*one),
        (_, 0) => {
            table.lacks(
                "breaths",
                Code::BadHold,
                "this step doesn’t say how long it lasts",
                "Add breaths, rounds, seconds or minutes, as in “breaths: 5”.",
            );
            None
        }
        (_, 1) => None,
        _ => {
            table.problem(
                Code::BadHold,
                "this step says in more than one way how long it lasts",
                "Keep one of breaths, rounds, seconds and minutes.",
            );
            None
        }
    }
}

/// Minutes that a range has checked, in seconds.
pub(super) fn seconds(minutes: f64) -> u32 {
    whole(minutes * 60.0)
}

/// A number of seconds that a range has checked, to the second.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "ranges are checked before"
)]
fn whole(seconds: f64) -> u32 {
    seconds.round().max(1.0) as u32
}
