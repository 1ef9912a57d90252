//! What clinicians said, read again: who may speak, what it opens, what it keeps away.

use jiff::civil::Date;

use super::Basis;
use super::told::{Ban, Counted, Holds, sore, where_it_looks};
use crate::library::condition::{Comparison, Condition, Grade, Quantity};
use crate::library::demand::Demand;
use crate::library::rule::RuleSide;
use crate::roster::{Guidance, Limitation, Student, ToldSide};
use crate::words::{BodySide, Verdict};

/// The speakers whose words act (contract 4.2).
const CLINICIANS: [&str; 7] = [
    "doctor", "surgeon", "midwife", "nurse", "physio", "clinic", "hospital",
];

fn is_clinician(said: &Guidance) -> bool {
    said.from
        .to_lowercase()
        .split_whitespace()
        .any(|word| CLINICIANS.contains(&word))
}

/// Whether what was said of one side is said of every sore one.
pub(super) fn names_all(said: &Guidance, [left, right]: [bool; 2]) -> bool {
    match said.side {
        Some(ToldSide::One(BodySide::Left)) => !right,
        Some(ToldSide::One(BodySide::Right)) => !left,
        Some(ToldSide::Both) | None => true,
    }
}

/// Whether words open something about a limitation that is `since` days old: from a clinician, for now,
/// dated, after the event, not older than 365 days.
pub(super) fn opens(
    said: &Guidance,
    told: &Limitation,
    since: Option<i64>,
    only: bool,
    date: Date,
) -> bool {
    let about = said
        .about
        .as_ref()
        .map_or(only, |about| *about == told.what);
    let Some(on) = said.on else { return false };
    let age = on
        .earliest
        .until(date)
        .map_or(i64::MAX, |span| i64::from(span.get_days()));
    let after = since.is_none_or(|since| age < since);
    about && said.opens && is_clinician(said) && on.latest <= date && age <= 365 && after
}

/// Whether a clinician asked for rest, and none said later that they may take part.
pub(super) fn asks_for_rest(all: &[Guidance], date: Date) -> bool {
    all.iter().any(|said| {
        let begun = said.on.is_none_or(|on| on.earliest <= date);
        let lifted = all.iter().any(|later| {
            let order = said
                .on
                .zip(later.on)
                .is_none_or(|(said, later)| later.earliest > said.latest);
            let recent = later.on.is_some_and(|on| {
                let days = on
                    .earliest
                    .until(date)
                    .map_or(i32::MAX, |span| span.get_days());
                on.latest <= date && days <= 365
            });
            later.cleared && later.opens && is_clinician(later) && order && recent
        });
        said.rest && is_clinician(said) && begun && !lifted
    })
}

/// Adds what clinicians asked to keep away from.
pub(super) fn limits<'a>(
    student: &'a Student,
    counted: &Counted<'a>,
    basis: &Basis<'a>,
    holds: &mut Holds<'a>,
) {
    for said in student
        .guidance
        .iter()
        .filter(|said| is_clinician(said) && said.on.is_none_or(|on| on.earliest <= basis.date))
    {
        let only = counted
            .first()
            .filter(|_| counted.len() == 1)
            .map(|entry| &entry.told.what);
        let about = said.about.as_ref().or(only);
        let sore_of = |side: usize| {
            let mut entries = counted.iter();
            entries.any(|entry| Some(&entry.told.what) == about && entry.sore[side])
        };
        let on = match (said.side, [sore_of(0), sore_of(1)]) {
            (Some(side), _) => sore(Some(side)),
            (None, [false, false]) => [true, true],
            (None, sore) => sore,
        };
        for (demand, number) in &said.limits {
            let Some(known) = basis.library.demands.get(demand) else {
                continue;
            };
            let limitation =
                about.and_then(|about| basis.library.limitations.keys().find(|id| *id == about));
            let Some(limitation) = limitation.or(basis.library.limitations.keys().next()) else {
                continue;
            };
            holds.bans.push(Ban {
                limitation,
                demand: &known.id,
                grade: if number.is_some() {
                    None
                } else {
                    Some(Grade::Some)
                },
                when: with_number(known, *number),
                on: where_it_looks(RuleSide::Same, on),
                verdict: Verdict::Avoid,
                by: &[],
                silent: false,
            });
        }
    }
}

/// The first angle of a condition held against another number.
fn with_number(demand: &Demand, number: Option<f64>) -> Condition {
    let some = &demand.some;
    let Some(limit) = number else {
        let both = demand.wall.iter().chain([some]).cloned();
        return Condition::Any(both.collect());
    };
    let comparisons = some.comparisons();
    let mut angles = comparisons
        .iter()
        .filter(|(quantity, ..)| matches!(quantity, Quantity::Measure(_)) && !quantity.is_load());
    match angles.next().or(comparisons.first()) {
        Some((quantity, ..)) => Condition::Compare {
            quantity: *quantity,
            comparison: Comparison::Above,
            limit: limit.max(demand.noise),
        },
        None => some.clone(),
    }
}
