//! Whether a newer sheet tells what a roster holds already.
//!
//! Takes what was told then and now; gives back whether both can mean one thing. Invariant: weeks are
//! compared as the days that they can mean, never as numbers.

use jiff::civil::Date;
use jiff::{Span, ToSpan};

use super::answers::folded_words;
use super::entry::{Entry, Item};
use crate::roster::{Limitation, Told, ToldWeeks, VagueDate};

/// Whether an item of the sheet tells what the roster holds. `then` and `now` are the days from which
/// their weeks count.
pub(super) fn same(told: &Told, item: &Item, then: Option<Date>, now: Date) -> bool {
    match (told, item) {
        (Told::Words { text, .. }, Item::Words(words)) => folded_words(text) == folded_words(words),
        (Told::Limitation(old), Item::Words(words)) => {
            let note = old.note.as_deref().unwrap_or("");
            !words.is_empty() && folded_words(note) == folded_words(words)
        }
        (Told::Limitation(old), Item::Entry(new)) => {
            old.what == new.what
                && new
                    .site
                    .as_ref()
                    .is_none_or(|site| Some(site) == old.site.as_ref())
                && (new.side.is_none() || new.side == old.side)
                && (new.severity.is_none() || new.severity == old.severity)
                && same_event(old, new, then, now)
        }
        (Told::Words { .. }, Item::Entry(_)) => false,
    }
}

/// Whether both can mean one event, within a week.
fn same_event(old: &Limitation, new: &Entry, then: Option<Date>, now: Date) -> bool {
    let Some(new) = window_of(new, now) else {
        return true;
    };
    let weeks =
        |weeks: ToldWeeks| then.and_then(|then| window(&old.what, weeks.weeks, weeks.days, then));
    let Some(old) = old.due.or(old.on).or_else(|| old.weeks.and_then(weeks)) else {
        return false;
    };
    let week = 7.days();
    let late = |date: Date| date.checked_add(week).unwrap_or(date);
    old.earliest <= late(new.latest) && new.earliest <= late(old.latest)
}

/// The days on which the event of an entry can lie.
pub(super) fn window_of(entry: &Entry, recorded: Date) -> Option<VagueDate> {
    if let Some(text) = entry.due.as_ref().or(entry.on.as_ref()) {
        return window_of_text(text);
    }
    let weeks = entry.weeks.as_ref()?;
    let (weeks, days) = match weeks.split_once('+') {
        Some((weeks, days)) => (weeks, days.parse().ok()),
        None => (weeks.as_str(), None),
    };
    window(&entry.what, weeks.parse().ok()?, days, recorded)
}

/// The days that a day, a month or a year of a roster can mean.
pub(super) fn window_of_text(text: &str) -> Option<VagueDate> {
    let day = |text: String| text.parse::<Date>().ok();
    Some(match text.len() {
        4 => VagueDate {
            earliest: day(format!("{text}-01-01"))?,
            latest: day(format!("{text}-12-31"))?,
        },
        7 => {
            let first = day(format!("{text}-01"))?;
            VagueDate {
                earliest: first,
                latest: first.last_of_month(),
            }
        }
        _ => VagueDate {
            earliest: day(text.to_owned())?,
            latest: day(text.to_owned())?,
        },
    })
}

/// The due date of so many weeks, or the day so many weeks ago. Whole weeks alone leave seven days.
fn window(
    what: &crate::words::LimitationId,
    weeks: u32,
    days: Option<u32>,
    recorded: Date,
) -> Option<VagueDate> {
    /// Days from the day that weeks of pregnancy count from to the due date (40 weeks, the usual count).
    const TERM_DAYS: i64 = 280;
    let least = i64::from(weeks) * 7 + i64::from(days.unwrap_or(0));
    let most = if days.is_some() { least } else { least + 6 };
    let shift = |days: i64| recorded.checked_add(Span::new().try_days(days).ok()?).ok();
    Some(if what.as_str() == "pregnancy" {
        VagueDate {
            earliest: shift(TERM_DAYS - most)?,
            latest: shift(TERM_DAYS - least)?,
        }
    } else {
        VagueDate {
            earliest: shift(-most)?,
            latest: shift(-least)?,
        }
    })
}
