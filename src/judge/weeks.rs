//! How far along: weeks of pregnancy, weeks since an operation or a birth, on the class's date.
//!
//! Takes what was told (an exact day, a month, weeks as of a day) and gives the least and the most
//! days that fit. Invariant: a vague fact is never read the lenient way; a rule begins at the most
//! days and ends only past the least. A day before it all began is no age: then nothing is known.

use jiff::civil::Date;

use crate::library::rule::{Clock, Window};
use crate::roster::Limitation;

/// Days from the first day of the last period to the due date: 280 (Naegele's count, OC-72).
pub const TERM_DAYS: i64 = 280;

/// Days past the due date after which a pregnancy is asked about (rules.md 2.4).
pub const PAST_DUE_DAYS: i64 = 14;

/// The least and the most days that fit what was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Age {
    /// The least.
    pub least_days: i64,
    /// The most.
    pub most_days: i64,
}

impl Age {
    /// Whether one day is known.
    pub fn is_exact(self) -> bool {
        self.least_days == self.most_days
    }
}

/// Whole days from `from` to `to`.
pub fn days_between(from: Date, to: Date) -> i64 {
    i64::from(from.until(to).map_or(0, |span| span.get_days()))
}

/// How far along a limitation is on `date`, when anything about it was told. `recorded` is the day
/// on which told weeks were true. None also where `date` lies before the beginning: a wrong clock, or a
/// wrong year, must open no shape.
pub fn age(told: &Limitation, clock: Clock, recorded: Option<Date>, date: Date) -> Option<Age> {
    let from_weeks = || {
        let weeks = told.weeks?;
        let base = i64::from(weeks.weeks) * 7;
        let since = days_between(recorded.unwrap_or(date), date);
        Some(Age {
            least_days: base + i64::from(weeks.days.unwrap_or(0)) + since,
            most_days: base + i64::from(weeks.days.unwrap_or(6)) + since,
        })
    };
    let age = match clock {
        Clock::None => None,
        Clock::Pregnancy => told
            .due
            .map(|due| Age {
                least_days: TERM_DAYS - days_between(date, due.latest),
                most_days: TERM_DAYS - days_between(date, due.earliest),
            })
            .or_else(from_weeks),
        Clock::Since => told
            .on
            .map(|on| Age {
                least_days: days_between(on.latest, date).max(0),
                most_days: days_between(on.earliest, date),
            })
            .or_else(from_weeks),
    };
    age.filter(|age| age.most_days >= 0)
}

/// Whether a window is open. An age that nobody told is read as both early and late, so every
/// window is open. `stance_weeks` replaces the window's own border when the window names a
/// stance; `word` says that a clinician's word about the limitation is recorded.
pub fn is_open(window: &Window, age: Option<Age>, stance_weeks: Option<i64>, word: bool) -> bool {
    let stance_days = stance_weeks.map(|weeks| weeks * 7);
    let (from, to) = match (window.from_days, window.to_days, stance_days) {
        (Some(_), to, Some(days)) => (Some(days), to),
        (None, Some(_), Some(days)) => (None, Some(days)),
        (from, to, _) => (from, to),
    };
    if window.until_word && !word {
        return true;
    }
    if window.until_word && from.is_none() && to.is_none() {
        return false;
    }
    let Some(age) = age else { return true };
    from.is_none_or(|from| age.most_days >= from) && to.is_none_or(|to| age.least_days < to)
}

/// How long ago in whole weeks, or in days within the first week: "27 weeks", "2 days".
pub fn in_round(days: i64) -> String {
    match days {
        1 => "1 day".to_owned(),
        0..7 => format!("{days} days"),
        _ => in_words(days / 7 * 7),
    }
}

/// Weeks and days as they are printed: "17 weeks 4 days".
pub fn in_words(days: i64) -> String {
    let (weeks, rest) = (days.div_euclid(7), days.rem_euclid(7));
    let plural = |n: i64, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    match rest {
        0 => plural(weeks, "week"),
        _ => format!("{} {}", plural(weeks, "week"), plural(rest, "day")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roster::{ToldWeeks, VagueDate};
    use jiff::civil::date;
    use rstest::rstest;

    fn told() -> Limitation {
        Limitation::bare("pregnancy".into(), 1)
    }

    /// OC-72, arithmetic on 280 days.
    #[rstest]
    #[case(date(2027, 3, 1), date(2026, 11, 2), 23, 0)]
    #[case(date(2027, 3, 1), date(2026, 11, 25), 26, 2)]
    #[case(date(2026, 12, 25), date(2026, 11, 25), 35, 5)]
    fn counts_back_from_the_due_date(
        #[case] due: Date,
        #[case] on: Date,
        #[case] weeks: i64,
        #[case] days: i64,
    ) {
        let mut told = told();
        told.due = Some(VagueDate {
            earliest: due,
            latest: due,
        });
        let age = age(&told, Clock::Pregnancy, None, on).expect("a due date was told");
        assert_eq!((age.least_days / 7, age.least_days % 7), (weeks, days));
        assert!(age.is_exact());
    }

    #[test]
    fn weeks_without_days_count_to_the_end_of_the_week() {
        let mut told = told();
        told.weeks = Some(ToldWeeks {
            weeks: 12,
            days: None,
        });
        let age = age(
            &told,
            Clock::Pregnancy,
            Some(date(2026, 4, 3)),
            date(2026, 5, 12),
        );
        assert_eq!(
            age,
            Some(Age {
                least_days: 12 * 7 + 39,
                most_days: 12 * 7 + 6 + 39
            })
        );
    }

    /// With a clock at 1970 somebody 17 weeks along would be minus 2,900: every window stays open.
    #[rstest]
    #[case(Clock::Pregnancy, date(1970, 1, 1), false)]
    #[case(Clock::Since, date(1970, 1, 1), false)]
    #[case(Clock::Pregnancy, date(2026, 7, 1), false)]
    #[case(Clock::Pregnancy, date(2026, 7, 22), true)]
    #[case(Clock::Pregnancy, date(2099, 1, 1), true)]
    fn a_day_before_the_beginning_is_no_age(
        #[case] clock: Clock,
        #[case] on: Date,
        #[case] known: bool,
    ) {
        let mut told = told();
        told.weeks = Some(ToldWeeks {
            weeks: 17,
            days: Some(4),
        });
        let age = age(&told, clock, Some(date(2026, 11, 20)), on);
        assert_eq!(age.is_some(), known, "{age:?}");
        let from_12 = Window {
            from_days: Some(84),
            ..Window::default()
        };
        assert_eq!(
            is_open(&from_12, age, None, false),
            !known || on.year() == 2099
        );
    }

    #[test]
    fn a_window_opens_on_its_day_and_closes_on_its_day() {
        let from_16 = Window {
            from_days: Some(112),
            ..Window::default()
        };
        let exactly = |days| {
            Some(Age {
                least_days: days,
                most_days: days,
            })
        };
        assert!(!is_open(&from_16, exactly(111), None, false));
        assert!(is_open(&from_16, exactly(112), None, false));
        assert!(!is_open(&from_16, exactly(112), Some(20), false));
        let to_12 = Window {
            to_days: Some(84),
            ..Window::default()
        };
        assert!(is_open(&to_12, exactly(83), None, false));
        assert!(!is_open(&to_12, exactly(84), None, false));
        assert!(
            is_open(&to_12, None, None, true),
            "not known is read as recent"
        );
    }

    #[rstest]
    #[case(0, "0 days")]
    #[case(1, "1 day")]
    #[case(6, "6 days")]
    #[case(7, "1 week")]
    #[case(13, "1 week")]
    #[case(14, "2 weeks")]
    fn the_first_week_is_told_in_days(#[case] days: i64, #[case] words: &str) {
        assert_eq!(in_round(days), words);
    }

    #[rstest]
    #[case(7, "1 week")]
    #[case(8, "1 week 1 day")]
    #[case(124, "17 weeks 5 days")]
    fn weeks_and_days_are_told(#[case] days: i64, #[case] words: &str) {
        assert_eq!(in_words(days), words);
    }
}
