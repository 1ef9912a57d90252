//! What clinicians said: who may speak, how long it counts, what it lowers and what it adds.

use jiff::civil::Date;

use super::counted::sides;
use super::weeks::days_between;
use crate::roster::Guidance;
use crate::words::LimitationId;

/// Who may give guidance (contract 4.2); anyone else's words are a note.
pub const CLINICIANS: [&str; 7] = [
    "doctor", "surgeon", "midwife", "nurse", "physio", "clinic", "hospital",
];

/// Clearance holds for at most twelve months; exactly 365 days is still valid (OC-93).
pub const VALID_DAYS: i64 = 365;

/// Whether the speaker is one whose word acts.
pub fn may_speak(guidance: &Guidance) -> bool {
    let from = guidance.from.to_lowercase();
    CLINICIANS
        .iter()
        .any(|clinician| from.split_whitespace().any(|word| word == *clinician))
}

/// Whether guidance is about a limitation; guidance about nothing in particular is about the only
/// one there is.
pub fn is_about(guidance: &Guidance, what: &LimitationId, only_one: bool) -> bool {
    match &guidance.about {
        Some(about) => about == what,
        None => only_one,
    }
}

/// Whether words that may name a side are about every sore side: said of the right, they open nothing of the
/// left, nor of a pair.
pub fn covers(guidance: &Guidance, sore: [bool; 2]) -> bool {
    let of = sides(guidance.side);
    (0..2).all(|side| of[side] || !sore[side])
}

/// Whether guidance opens something on a date: said by a clinician, dated, after the event, and within
/// twelve months of the class. On the day of the event itself nobody knows which came first.
pub fn opens_on(guidance: &Guidance, event: Option<Date>, date: Date) -> bool {
    let Some(on) = guidance.on else { return false };
    guidance.opens
        && may_speak(guidance)
        && on.latest <= date
        && days_between(on.earliest, date) <= VALID_DAYS
        && event.is_none_or(|event| on.earliest > event)
}

/// Whether a clinician asked for rest and no later word has lifted it.
pub fn asks_for_rest(said: &[Guidance], date: Date) -> bool {
    let lifted = |rest: &Guidance| {
        let since = rest.on.map(|on| on.latest);
        said.iter()
            .any(|other| other.cleared && opens_on(other, since, date))
    };
    said.iter().any(|rest| {
        let begun = rest.on.is_none_or(|on| on.earliest <= date);
        rest.rest && may_speak(rest) && begun && !lifted(rest)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roster::VagueDate;
    use jiff::civil::date;
    use rstest::rstest;

    fn said(by: &str, on: Date) -> Guidance {
        Guidance {
            from: by.to_owned(),
            on: Some(VagueDate {
                earliest: on,
                latest: on,
            }),
            about: None,
            side: None,
            says: None,
            english: Vec::new(),
            limits: Vec::new(),
            allows: Vec::new(),
            cleared: true,
            rest: false,
            opens: true,
        }
    }

    /// OC-93: exactly 365 days is still valid, a day more is not; a friend's word never opens.
    #[rstest]
    #[case("physio", date(2025, 11, 25), None, true)]
    #[case("physio", date(2025, 11, 24), None, false)]
    #[case("friend", date(2026, 11, 1), None, false)]
    #[case("surgeon", date(2026, 8, 1), Some(date(2026, 8, 20)), false)]
    #[case("surgeon", date(2026, 8, 20), Some(date(2026, 8, 20)), false)]
    #[case("surgeon", date(2026, 9, 1), Some(date(2026, 8, 20)), true)]
    fn opens_only_in_date_and_from_a_clinician(
        #[case] by: &str,
        #[case] on: Date,
        #[case] event: Option<Date>,
        #[case] opens: bool,
    ) {
        assert_eq!(opens_on(&said(by, on), event, date(2026, 11, 25)), opens);
    }
}
