//! Days, months, years, weeks and clock times as people write them.
//!
//! Invariant: an order of day and month is never guessed; the ISO form is asked for.

use jiff::civil::{Date, Time};

use super::table::Field;
use crate::problem::{Code, quoted};
use crate::roster::{ToldWeeks, VagueDate};

/// Years that can be meant: from the oldest birth to the farthest plan (our choice).
pub(crate) const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

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
        not_year_first(field, &text, "");
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
        not_year_first(field, &text, " A month (2026-11) or a year (2026) will do.");
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

/// Leaves the problem of a day that is not written as ISO 8601 has it (OC-100). Where it can be two
/// days, both are shown and none is taken.
fn not_year_first(field: &Field<'_>, text: &str, vaguer: &str) {
    let days: Vec<String> = readings(text).iter().map(Date::to_string).collect();
    let help = match days.as_slice() {
        [] => format!("Write year, month and day, as in 2026-11-02.{vaguer}"),
        days => format!("Write the year first: {}.", days.join(" or ")),
    };
    let message = format!("{} is not a day with the year first", quoted(text));
    field.problem(Code::BadDate, message, help);
}

/// The days that three numbers can mean, the year last or first: day and month in either order.
fn readings(text: &str) -> Vec<Date> {
    let numbers: Option<Vec<i16>> = text
        .split(['/', '.', '-', ' '])
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().ok())
        .collect();
    let orders = match numbers.as_deref() {
        Some(&[a, b, year]) if year >= 1000 => [(year, b, a), (year, a, b)],
        Some(&[year, a, b]) if year >= 1000 => [(year, a, b), (year, b, a)],
        _ => return Vec::new(),
    };
    let day = |(year, month, day): (i16, i16, i16)| {
        Date::new(year, month.try_into().ok()?, day.try_into().ok()?).ok()
    };
    let mut days: Vec<Date> = orders.into_iter().filter_map(day).collect();
    days.dedup();
    days
}

/// Four digits, then pairs of digits, with hyphens between.
fn is_shaped(text: &str, parts: usize) -> bool {
    let lengths: Vec<usize> = text.split('-').map(str::len).collect();
    let digits = text.chars().all(|c| c.is_ascii_digit() || c == '-');
    digits && (1..=3).contains(&parts) && lengths == [4, 2, 2][..parts]
}

/// The most weeks of a pregnancy that can be meant: 40 to the due date and 3 past it make 43 weeks
/// (contract 4.2), so that the 43rd is the last that can run: 42 weeks and 6 days.
pub(crate) const MOST_WEEKS_PREGNANT: u32 = 42;

/// The most weeks since something happened: a lifetime of a hundred years.
pub(crate) const MOST_WEEKS: u32 = 5200;

/// Weeks, or weeks and days as in `25+4`: of a pregnancy, or since something happened.
pub(super) fn weeks(field: &Field<'_>, pregnant: bool) -> Option<ToldWeeks> {
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
    let (most, what, help) = if pregnant {
        let birth =
            "Write at most 42 weeks, or the due date; weeks since a birth go with after-birth.";
        (MOST_WEEKS_PREGNANT, "a pregnancy of ", birth)
    } else {
        (
            MOST_WEEKS,
            "",
            "Write the date or the year itself, as in “on: 2019”.",
        )
    };
    match read {
        Some(read) if read.weeks <= most => Some(read),
        Some(read) => {
            field.problem(
                Code::BadWeeks,
                format!("{what}{} weeks can’t be meant", read.weeks),
                help,
            );
            None
        }
        None => {
            field.problem(
                Code::BadWeeks,
                format!("{} is not a number of weeks", quoted(&text)),
                "Write weeks, as in 25, or weeks and days, as in 25+4.",
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
            format!(
                "{} is not a clock time",
                quoted(text.unwrap_or(field.written()))
            ),
            "Write hours and minutes from 0:00 to 23:59, as in 19:15.",
        );
    }
    read
}
