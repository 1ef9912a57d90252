//! What stands under the title: day, start, length, breath.
//!
//! Takes words; fills a [`Header`]. An order of day and month is never guessed.

use std::ops::Range;

use jiff::civil::{Date, Time};

use super::words::{Word, span};

/// What is said of the whole class.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Header {
    /// The title.
    pub title: Option<String>,
    /// The day.
    pub date: Option<Date>,
    /// When it starts.
    pub start: Option<Time>,
    /// The slot in minutes.
    pub minutes: Option<f64>,
    /// Where that stands.
    pub minutes_at: Range<usize>,
    /// One breath, in seconds.
    pub breath_s: Option<f64>,
    /// Where that stands.
    pub breath_at: Range<usize>,
    /// Kneel on a blanket throughout.
    pub padded: bool,
}

/// Words about a class that say nothing more.
const AROUND: [&str; 15] = [
    "start", "starts", "starting", "at", "on", "from", "about", "a", "an", "the", "class",
    "session", "long", "of", "o'clock",
];

const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

impl Header {
    /// Reads words that are wholly about the class as such; whether they were.
    pub(super) fn take(&mut self, words: &[Word]) -> bool {
        let low: Vec<&str> = words
            .iter()
            .map(|word| word.low.as_str())
            .filter(|word| !is_weekday(word))
            .collect();
        if low.is_empty() {
            return !words.is_empty();
        }
        let mut header = self.clone();
        let mut rest = low.as_slice();
        while !rest.is_empty() {
            let Some(taken) = header.some(rest) else {
                return false;
            };
            rest = rest.get(taken..).unwrap_or_default();
        }
        let says = header != *self;
        if header.minutes != self.minutes {
            header.minutes_at = span(words);
        }
        if header.breath_s != self.breath_s {
            header.breath_at = span(words);
        }
        *self = header;
        says
    }

    /// Reads what the words begin with; how many words that was.
    fn some(&mut self, low: &[&str]) -> Option<usize> {
        if let Some((breath_s, taken)) = breath(low) {
            self.breath_s = Some(breath_s);
            return Some(taken);
        }
        if let Some((date, taken)) = day(low) {
            self.date = Some(date);
            return Some(taken);
        }
        if let Some((start, minutes, taken)) = clock(low) {
            self.start = Some(start);
            self.minutes = minutes.or(self.minutes);
            return Some(taken);
        }
        if let Some((minutes, taken)) = length(low) {
            self.minutes = Some(minutes);
            return Some(taken);
        }
        match low.first()? {
            &"padded" => {
                self.padded = true;
                Some(1)
            }
            word if AROUND.contains(word) => Some(1),
            _ => None,
        }
    }
}

fn is_weekday(word: &str) -> bool {
    let named = word.get(..3).is_some_and(|start| DAYS.contains(&start));
    let short = ["tues", "weds", "thur", "thurs"].contains(&word);
    named && (word.len() == 3 || short || word.ends_with("day") || word.ends_with("days"))
}

/// A number as typed, with a point or a comma.
pub(super) fn number(word: &str) -> Option<f64> {
    let shaped = word.starts_with(|c: char| c.is_ascii_digit()) && word.len() <= 8;
    shaped
        .then(|| word.replace(',', ".").parse().ok())
        .flatten()
}

/// Digits and the letters behind them: `75min`.
fn parted(low: &[&str]) -> Option<(f64, String, usize)> {
    let first = low.first()?;
    let at = first.find(|c: char| c.is_ascii_alphabetic());
    match at {
        Some(at) if at > 0 => {
            let (digits, letters) = first.split_at(at);
            Some((number(digits)?, letters.to_owned(), 1))
        }
        Some(_) => None,
        None => Some((number(first)?, (*low.get(1)?).to_owned(), 2)),
    }
}

/// `75 min`, `1.5 hours`.
fn length(low: &[&str]) -> Option<(f64, usize)> {
    let (value, unit, taken) = parted(low)?;
    let minutes = match unit.as_str() {
        "m" | "min" | "mins" | "minute" | "minutes" => value,
        "h" | "hr" | "hrs" | "hour" | "hours" => value * 60.0,
        _ => return None,
    };
    Some((minutes, taken))
}

/// `breath 7 seconds`, `7 second breaths`, `6 breaths a minute`.
fn breath(low: &[&str]) -> Option<(f64, usize)> {
    let is_breath = |word: &&str| matches!(*word, "breath" | "breaths" | "br");
    let is_second = |word: &str| matches!(word, "s" | "sec" | "secs" | "second" | "seconds");
    match low {
        [first, rest @ ..] if is_breath(first) => {
            let lead = rest
                .iter()
                .take_while(|word| matches!(**word, "of" | "is" | "about" | "seconds"))
                .count();
            let rest = rest.get(lead..)?;
            let (value, unit, taken) = parted(rest)?;
            is_second(&unit).then_some((value, 1 + lead + taken))
        }
        _ => {
            let (value, unit, taken) = parted(low)?;
            let after = low.get(taken..)?;
            if is_second(&unit) {
                return match after {
                    ["a" | "per", word, ..] if is_breath(word) => Some((value, taken + 2)),
                    [word, ..] if is_breath(word) => Some((value, taken + 1)),
                    _ => None,
                };
            }
            let breaths = is_breath(&unit.as_str()) && value > 0.0;
            match after {
                ["a" | "per", "minute" | "min", ..] if breaths => Some((60.0 / value, taken + 2)),
                _ => None,
            }
        }
    }
}

/// `2026-05-12`, `12 May 2026`, `May 12 2026`.
fn day(low: &[&str]) -> Option<(Date, usize)> {
    let first = low.first()?;
    if first.len() == 10 && first.as_bytes().get(4) == Some(&b'-') {
        return Some((first.parse().ok()?, 1));
    }
    let [one, two, year, ..] = low else {
        return None;
    };
    let year: i16 = (year.len() == 4).then(|| year.parse().ok()).flatten()?;
    let (day, month) = match (month(two), month(one)) {
        (Some(month), _) => (one, month),
        (None, Some(month)) => (two, month),
        (None, None) => return None,
    };
    let day = day.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    Some((Date::new(year, month, day.parse().ok()?).ok()?, 3))
}

fn month(word: &str) -> Option<i8> {
    let start = word.get(..3)?;
    let place = MONTHS.iter().position(|month| *month == start)?;
    i8::try_from(place + 1).ok()
}

/// `19:15`, `7pm`, `7.15 pm`, `19:15-20:30`.
fn clock(low: &[&str]) -> Option<(Time, Option<f64>, usize)> {
    let first = low.first()?;
    for dash in ['-', '–', '—'] {
        if let Some((from, to)) = first.split_once(dash) {
            let (from, to) = (time(from)?, time(to)?);
            return Some((from, minutes_between(from, to), 1));
        }
    }
    let of_day = |word: &str| matches!(word, "am" | "pm");
    if let Some(second) = low.get(1).filter(|word| of_day(word))
        && let Some(start) = time(&format!("{first}{second}"))
    {
        return Some((start, None, 2));
    }
    let start = time(first)?;
    match low.get(1..3) {
        Some(["to" | "till" | "until", end]) => {
            Some((start, minutes_between(start, time(end)?), 3))
        }
        _ => Some((start, None, 1)),
    }
}

fn minutes_between(from: Time, to: Time) -> Option<f64> {
    let minutes = |time: Time| f64::from(time.hour()) * 60.0 + f64::from(time.minute());
    let between = minutes(to) - minutes(from);
    (between > 0.0).then_some(between)
}

/// A clock time with a colon, or with `am` or `pm`.
pub(super) fn time(word: &str) -> Option<Time> {
    let (digits, late) = match (word.strip_suffix("pm"), word.strip_suffix("am")) {
        (Some(digits), _) => (digits, Some(true)),
        (None, Some(digits)) => (digits, Some(false)),
        (None, None) => (word, None),
    };
    let parts = digits
        .split_once(':')
        .or_else(|| late.and_then(|_| digits.split_once('.')));
    let (hour, minute) = match parts {
        Some((hour, minute)) if minute.len() == 2 => (hour, minute),
        Some(_) => return None,
        None if late.is_some() => (digits, "0"),
        None => return None,
    };
    let hour: i8 = hour.parse().ok()?;
    let hour = match late {
        Some(true) if (1..12).contains(&hour) => hour + 12,
        Some(false) if hour == 12 => 0,
        Some(_) if !(1..=12).contains(&hour) => return None,
        _ => hour,
    };
    Time::new(hour, minute.parse().ok()?, 0, 0).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::outline::words::atoms;
    use jiff::civil::{date, time};
    use rstest::rstest;

    fn read(text: &str) -> Option<Header> {
        let mut header = Header::default();
        let all = atoms(text, 0).iter().all(|atom| header.take(&atom.words));
        all.then_some(header)
    }

    #[rstest]
    #[case("Tuesday 12 May 2026, 19:15, 75 min", Some(19), Some(75.0), None)]
    #[case("2026-05-12 at 7.15pm", Some(19), None, None)]
    #[case("May 12 2026; 19:15-20:30", Some(19), Some(75.0), None)]
    #[case("Tue 12th May 2026; 19:15 to 20:30", Some(19), Some(75.0), None)]
    #[case("Tues, 12 May 2026; 7.15 pm, 75min", Some(19), Some(75.0), None)]
    #[case("2026-05-12, 7:15 am, 1.5 hours", Some(7), Some(90.0), None)]
    #[case("2026-05-12; 19:15, 2h", Some(19), Some(120.0), None)]
    #[case("2026-05-12; 19:15-19:15", Some(19), None, None)]
    #[case("2026-05-12; 19:15-18:30", Some(19), None, None)]
    fn day_start_and_length(
        #[case] text: &str,
        #[case] hour: Option<i8>,
        #[case] minutes: Option<f64>,
        #[case] breath_s: Option<f64>,
    ) {
        let header = read(text).expect("all of it is about the class");
        assert_eq!(header.date, Some(date(2026, 5, 12)));
        assert_eq!(header.start, hour.map(|hour| time(hour, 15, 0, 0)));
        assert_eq!((header.minutes, header.breath_s), (minutes, breath_s));
    }

    /// Twelve is the first hour of each half of the day.
    #[rstest]
    #[case("12am", Some((0, 0)))]
    #[case("12:30pm", Some((12, 30)))]
    #[case("1pm", Some((13, 0)))]
    #[case("11.45am", Some((11, 45)))]
    #[case("19:15", Some((19, 15)))]
    #[case("0am", None)]
    #[case("13pm", None)]
    #[case("19:5", None)]
    #[case("7.5pm", None)]
    #[case("19", None)]
    #[case("19.15", None)]
    fn clock_times(#[case] word: &str, #[case] expected: Option<(i8, i8)>) {
        let read = super::time(word).map(|time| (time.hour(), time.minute()));
        assert_eq!(read, expected);
    }

    #[rstest]
    #[case("7 second breaths", 7.0)]
    #[case("breath 7s", 7.0)]
    #[case("6 breaths a minute", 10.0)]
    #[case("7 sec a breath", 7.0)]
    #[case("7s per breath", 7.0)]
    #[case("breath about 7 seconds", 7.0)]
    #[case("6br per min", 10.0)]
    fn breaths(#[case] text: &str, #[case] seconds: f64) {
        assert_eq!(read(text).and_then(|header| header.breath_s), Some(seconds));
    }

    #[rstest]
    #[case("12/05/2026")]
    #[case("tree, 75 min")]
    #[case("30 February 2026")]
    #[case("25:99")]
    #[case("tree 75 min")]
    #[case("at the")]
    #[case("7 seconds a class")]
    #[case("7 seconds long")]
    #[case("6 rounds a minute")]
    #[case("0 breaths a minute")]
    fn nothing_is_guessed(#[case] text: &str) {
        assert_eq!(read(text), None);
    }

    /// A weekday by itself is about the class, and nothing more is taken from it.
    #[test]
    fn a_weekday_says_nothing_more() {
        assert_eq!(read("Thursday"), Some(Header::default()));
    }

    #[test]
    fn padded_is_of_the_whole_class() {
        assert!(read("45 min, padded").is_some_and(|header| header.padded));
    }

    /// A mistake in a length is shown where the length stands.
    #[test]
    fn lengths_keep_their_places() {
        let header = read("19:15, 75 min, 7 second breaths, padded").expect("all is about a class");
        assert_eq!((header.minutes_at, header.breath_at), (7..13, 15..31));
    }

    #[rstest]
    #[case("tue", true)]
    #[case("weds", true)]
    #[case("thurs", true)]
    #[case("friday", true)]
    #[case("sundays", true)]
    #[case("sunlight", false)]
    #[case("may", false)]
    #[case("holiday", false)]
    #[case("holidays", false)]
    fn days_of_the_week(#[case] word: &str, #[case] expected: bool) {
        assert_eq!(is_weekday(word), expected);
    }

    #[rstest]
    #[case("7", Some(7.0))]
    #[case("2,5", Some(2.5))]
    #[case("12345678", Some(12_345_678.0))]
    #[case("123456789", None)]
    #[case(".5", None)]
    #[case("-5", None)]
    #[case("inf", None)]
    fn numbers_begin_with_a_digit(#[case] word: &str, #[case] expected: Option<f64>) {
        assert_eq!(number(word), expected);
    }
}
