//! Days, months, years, weeks and clock times as people write them.
//!
//! Invariant: an order of day and month is never guessed; the ISO form is asked for.

use jiff::civil::{Date, Time};

use super::table::Field;
use crate::problem::{Code, quoted};
use crate::roster::{ToldWeeks, VagueDate};

/// How dates are written (OC-100, ISO 8601).
const YEAR_FIRST: &str = "Write the year first, as in 2026-11-02.";

/// Years that can be meant: from the oldest birth to the farthest plan (our choice).
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

/// A day read from a field; a problem when it is in no calendar, or in a year nobody means.
fn checked<T>(field: &Field<'_>, read: Option<T>, year: impl Fn(&T) -> i16) -> Option<T> {
    let (code, message, help) = match &read {
        None => (
            Code::BadDate,
            "there is no day",
            "Look it up in a calendar.",
        ),
        Some(day) if !YEARS.contains(&year(day)) => {
            (Code::ImpossibleDate, "nobody can mean", "Check the year.")
        }
        Some(_) => return read,
    };
    field.problem(code, format!("{message} {}", quoted(field.written())), help);
    None
}

/// A whole day.
pub(super) fn day(field: &Field<'_>) -> Option<Date> {
    let text: String = field.read()?;
    if !is_shaped(&text, 3) {
        field.problem(
            Code::BadDate,
            format!(
                "{} is not written as a date here is",
                quoted(field.written())
            ),
            YEAR_FIRST,
        );
        return None;
    }
    checked(field, text.parse::<Date>().ok(), |day| day.year())
}

/// A day, a month or a year.
pub(super) fn vague_day(field: &Field<'_>) -> Option<VagueDate> {
    let text = match field.value().as_u64() {
        Some(year) => year.to_string(),
        None => field.read::<String>()?,
    };
    let parts = text.split('-').count();
    if !is_shaped(&text, parts) {
        field.problem(
            Code::BadDate,
            format!(
                "{} is not written as a date here is",
                quoted(field.written())
            ),
            "Write the year first, as in 2026-11-02; a month (2026-11) or a year (2026) will do.",
        );
        return None;
    }
    let whole = |text: String| text.parse::<Date>().ok();
    let read = match parts {
        1 => whole(format!("{text}-01-01")).zip(whole(format!("{text}-12-31"))),
        2 => whole(format!("{text}-01")).map(|first| (first, first.last_of_month())),
        _ => whole(text.clone()).map(|day| (day, day)),
    };
    let read = read.map(|(earliest, latest)| VagueDate { earliest, latest });
    checked(field, read, |day| day.earliest.year())
}

/// Four digits, then pairs of digits, with hyphens between.
fn is_shaped(text: &str, parts: usize) -> bool {
    let lengths: Vec<usize> = text.split('-').map(str::len).collect();
    let digits = text.chars().all(|c| c.is_ascii_digit() || c == '-');
    digits && (1..=3).contains(&parts) && lengths == [4, 2, 2][..parts]
}

/// The most weeks that can be meant: of a pregnancy a little past term, of anything else a lifetime.
pub(super) const MOST_WEEKS_PREGNANT: u32 = 43;

/// Weeks, or weeks and days as in `25+4`.
pub(super) fn weeks(field: &Field<'_>, most: u32) -> Option<ToldWeeks> {
    let text = match field.value().as_u64() {
        Some(weeks) => weeks.to_string(),
        None => field.read::<String>()?,
    };
    let (weeks, days) = match text.split_once('+') {
        Some((weeks, days)) => (weeks.trim(), Some(days.trim())),
        None => (text.trim(), None),
    };
    let number = |text: &str| text.parse::<u32>().ok();
    let read = match (number(weeks), days.map(number)) {
        (Some(weeks), None) => Some(ToldWeeks { weeks, days: None }),
        (Some(weeks), Some(Some(days))) if days < 7 => Some(ToldWeeks {
            weeks,
            days: Some(days),
        }),
        _ => None,
    };
    match read {
        Some(read) if read.weeks <= most => Some(read),
        Some(read) => {
            field.problem(
                Code::BadWeeks,
                format!("{} weeks can’t be meant", read.weeks),
                format!("Write at most {most} weeks, or the date itself."),
            );
            None
        }
        None => {
            field.problem(
                Code::BadWeeks,
                format!("{} is not a number of weeks", quoted(field.written())),
                "Write weeks, as in 25, or weeks and days, as in “25+4”.",
            );
            None
        }
    }
}

/// A clock time as `19:15`.
pub(super) fn clock(field: &Field<'_>) -> Option<Time> {
    let text = field.value().as_str();
    let parts = text.and_then(|text| text.split_once(':'));
    let read = parts.and_then(|(hour, minute)| {
        let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
        (minute.len() == 2 && digits(hour) && digits(minute)).then_some(())?;
        let hour = hour.parse().ok()?;
        Time::new(hour, minute.parse().ok()?, 0, 0).ok()
    });
    if read.is_none() {
        field.problem(
            Code::BadClock,
            format!("{} is not a clock time", quoted(field.written())),
            "Write hours and minutes in quotation marks, as in “19:15”.",
        );
    }
    read
}
