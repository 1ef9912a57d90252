//! Days, months, years and weeks as people write them in a cell.
//!
//! Takes text; gives back what was found in it. Invariant: two numbers that could be day and month
//! either way are [`When::TwoWays`] until the teacher says which comes first, and a day without a
//! year is [`When::NoYear`]: neither becomes a date.

use jiff::civil::Date;

use super::answers::folded_words;
use super::calendar::{is_months, is_weeks, month_of};

/// Which of two numbers is the day.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DayOrder {
    /// Nobody said: ask.
    #[default]
    Unknown,
    /// The day comes first.
    DayFirst,
    /// The month comes first.
    MonthFirst,
}

/// A time in a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum When {
    /// A whole day.
    Day(Date),
    /// A month of a year.
    Month(i16, i8),
    /// A year.
    Year(i16),
    /// Weeks, and days beyond them where they were given.
    Weeks(u32, Option<u32>),
    /// Months gone by.
    Months(u32),
    /// Two numbers that can be day and month either way.
    TwoWays,
    /// A day or a month without its year.
    NoYear,
}

impl When {
    /// As the roster writes it: a day, a month, a year.
    pub(super) fn as_roster(self) -> Option<String> {
        match self {
            Self::Day(day) => Some(day.to_string()),
            Self::Month(year, month) => Some(format!("{year:04}-{month:02}")),
            Self::Year(year) => Some(format!("{year:04}")),
            _ => None,
        }
    }
}

/// A piece of a text: digits, letters, or one sign.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Piece {
    Number { value: u32, digits: usize },
    Word(String),
    Sign(char),
}

/// Every time in a text, in its order.
pub(super) fn find(text: &str, order: DayOrder) -> Vec<When> {
    let pieces = pieces(text);
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = pieces.get(at..).filter(|rest| !rest.is_empty()) {
        match time(rest, order) {
            Some((when, length)) => {
                found.push(when);
                at += length.max(1);
            }
            None => at += 1,
        }
    }
    found
}

/// The only time in a text, if there is exactly one.
pub(super) fn only(text: &str, order: DayOrder) -> Option<When> {
    match find(text, order).as_slice() {
        [one] => Some(*one),
        _ => None,
    }
}

/// Whether the words round a time say that it is not exact.
pub(super) fn is_vague(text: &str) -> bool {
    const VAGUE: &[&str] = &[
        "about",
        "around",
        "roughly",
        "before",
        "after",
        "just",
        "early",
        "late",
        "mid",
        "beginning",
        "end",
        "maybe",
        "circa",
        "ca",
        "not given",
        "sobre",
        "hacia",
        "antes",
        "environ",
        "vers",
        "avant",
        "etwa",
        "ungefahr",
        "vor",
        "anfang",
        "ende",
        "cerca",
        "por volta",
        "verso",
        "prima",
    ];
    let words = format!(" {} ", folded_words(text));
    text.contains(['~', '?'])
        || VAGUE
            .iter()
            .any(|word| words.contains(&format!(" {word} ")))
}

fn pieces(text: &str) -> Vec<Piece> {
    let mut out = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(&c) = chars.peek() {
        let mut run = String::new();
        if c.is_ascii_digit() {
            while let Some(&c) = chars.peek().filter(|c| c.is_ascii_digit()) {
                run.push(c);
                chars.next();
            }
            // A run too long for a number is no date: a telephone number, say.
            match run.parse() {
                Ok(value) => out.push(Piece::Number {
                    value,
                    digits: run.len(),
                }),
                Err(_) => out.push(Piece::Sign('#')),
            }
        } else if c.is_alphabetic() {
            while let Some(&c) = chars
                .peek()
                .filter(|c| c.is_alphabetic() || **c == '\u{301}')
            {
                run.push(c);
                chars.next();
            }
            out.push(Piece::Word(folded_words(&run)));
        } else {
            chars.next();
            if !c.is_whitespace() {
                out.push(Piece::Sign(c));
            }
        }
    }
    out
}

/// The time with which some pieces begin, and how many of them it takes.
fn time(pieces: &[Piece], order: DayOrder) -> Option<(When, usize)> {
    use Piece::{Number, Sign, Word};
    match pieces {
        // 2026-05-12
        [
            Number {
                value: y,
                digits: 4,
            },
            Sign(a @ ('-' | '/' | '.')),
            Number { value: m, .. },
            Sign(b),
            Number { value: d, .. },
            ..,
        ] if a == b && is_year(*y) => Some((day(*y, *m, *d)?, 5)),
        // 12/05/2026
        [
            Number {
                value: a,
                digits: 1 | 2,
            },
            Sign(s @ ('-' | '/' | '.')),
            Number {
                value: b,
                digits: 1 | 2,
            },
            Sign(t),
            Number {
                value: y,
                digits: 2 | 4,
            },
            ..,
        ] if s == t => Some((numbers(*a, *b, whole_year(*y)?, order), 5)),
        // 2026-05
        [
            Number {
                value: y,
                digits: 4,
            },
            Sign('-' | '/' | '.'),
            Number {
                value: m,
                digits: 2,
            },
            ..,
        ] if is_year(*y) && (1..=12).contains(m) => Some((month(*y, *m)?, 3)),
        // 05/2026
        [
            Number {
                value: m,
                digits: 1 | 2,
            },
            Sign('-' | '/' | '.'),
            Number {
                value: y,
                digits: 4,
            },
            ..,
        ] if is_year(*y) && (1..=12).contains(m) => Some((month(*y, *m)?, 3)),
        // 33+3
        [
            Number {
                value: w,
                digits: 1 | 2,
            },
            Sign('+'),
            Number {
                value: d,
                digits: 1,
            },
            rest @ ..,
        ] if *d < 7 => {
            let unit = matches!(rest, [Word(word), ..] if is_weeks(word));
            Some((When::Weeks(*w, Some(*d)), 3 + usize::from(unit)))
        }
        [
            Number {
                value: n,
                digits: 1 | 2,
            },
            Word(word),
            ..,
        ] if is_weeks(word) => Some((When::Weeks(*n, None), 2)),
        [
            Number {
                value: n,
                digits: 1 | 2,
            },
            Word(word),
            ..,
        ] if is_months(word) => Some((When::Months(*n), 2)),
        [
            Word(word),
            Number {
                value: n,
                digits: 1 | 2,
            },
            ..,
        ] if is_weeks(word) => Some((When::Weeks(*n, None), 2)),
        [
            Number {
                value: d,
                digits: 1 | 2,
            },
            rest @ ..,
        ] => {
            let skipped = rest.iter().take_while(|piece| is_filler(piece)).count();
            let (month_at, taken) = match rest.get(skipped..)? {
                [Word(word), ..] => (month_of(word)?, 2 + skipped),
                _ => return None,
            };
            let after = pieces.get(taken..).unwrap_or_default();
            Some(match year_after(after) {
                Some((year, more)) => (day(year, month_at, *d)?, taken + more),
                None => (When::NoYear, taken),
            })
        }
        [Word(word), rest @ ..] => {
            let month_at = month_of(word)?;
            if let Some((year, more)) = year_after(rest) {
                return Some((month(year, month_at)?, 1 + more));
            }
            // May 12, 2026
            match rest {
                [
                    Number {
                        value: d,
                        digits: 1 | 2,
                    },
                    more @ ..,
                ] if (1..=31).contains(d) => {
                    let fillers = more.iter().take_while(|piece| is_filler(piece)).count();
                    Some(match year_after(more.get(fillers..).unwrap_or_default()) {
                        Some((year, taken)) => (day(year, month_at, *d)?, 2 + fillers + taken),
                        None => (When::NoYear, 2),
                    })
                }
                // A month's name alone is often a word of another kind ("may", "mar").
                _ if word.len() > 3 => Some((When::NoYear, 1)),
                _ => None,
            }
        }
        [
            Number {
                value: y,
                digits: 4,
            },
            ..,
        ] if is_year(*y) => Some((When::Year(i16::try_from(*y).ok()?), 1)),
        _ => None,
    }
}

/// A year, past small words and signs.
fn year_after(pieces: &[Piece]) -> Option<(u32, usize)> {
    let skipped = pieces.iter().take_while(|piece| is_filler(piece)).count();
    match pieces.get(skipped..)? {
        [Piece::Number { value, digits: 4 }, ..] if is_year(*value) => Some((*value, skipped + 1)),
        _ => None,
    }
}

/// What may stand inside a date: "3rd of", "3 de", "3.", "May,".
fn is_filler(piece: &Piece) -> bool {
    match piece {
        Piece::Sign(c) => matches!(c, '.' | ',' | 'º' | '°'),
        Piece::Word(word) => {
            matches!(
                word.as_str(),
                "st" | "nd" | "rd" | "th" | "of" | "de" | "del" | "do" | "er" | "the"
            )
        }
        Piece::Number { .. } => false,
    }
}

fn is_year(year: u32) -> bool {
    (1920..=2099).contains(&year)
}

fn whole_year(year: u32) -> Option<u32> {
    match year {
        0..=99 => Some(2000 + year),
        _ if is_year(year) => Some(year),
        _ => None,
    }
}

fn day(year: u32, month: u32, day: u32) -> Option<When> {
    let year = i16::try_from(year).ok()?;
    let date = Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()?;
    Some(When::Day(date))
}

fn month(year: u32, month: u32) -> Option<When> {
    Some(When::Month(
        i16::try_from(year).ok()?,
        i8::try_from(month).ok()?,
    ))
}

/// Day and month from two numbers, where only one order can be meant or the order was said.
fn numbers(a: u32, b: u32, year: u32, order: DayOrder) -> When {
    let day_first = day(year, b, a);
    let month_first = day(year, a, b);
    let read = match (day_first, month_first, order) {
        (Some(one), Some(other), _) if one == other => Some(one),
        (Some(one), None, _) | (Some(one), Some(_), DayOrder::DayFirst) => Some(one),
        (None, Some(other), _) | (Some(_), Some(other), DayOrder::MonthFirst) => Some(other),
        (Some(_), Some(_), DayOrder::Unknown) | (None, None, _) => None,
    };
    read.unwrap_or(When::TwoWays)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use rstest::rstest;

    #[rstest]
    #[case("2026-05-12", When::Day(date(2026, 5, 12)))]
    #[case("2026/05/12 7:31:02 pm", When::Day(date(2026, 5, 12)))]
    #[case("24 Apr 2026", When::Day(date(2026, 4, 24)))]
    #[case("3rd of April 2026", When::Day(date(2026, 4, 3)))]
    #[case("about 20 Dec 2025", When::Day(date(2025, 12, 20)))]
    #[case("3 de mayo de 2026", When::Day(date(2026, 5, 3)))]
    #[case("3. März 2026", When::Day(date(2026, 3, 3)))]
    #[case("1er août 2026", When::Day(date(2026, 8, 1)))]
    #[case("May 12, 2026", When::Day(date(2026, 5, 12)))]
    #[case("25/04/2026", When::Day(date(2026, 4, 25)))]
    #[case("04/25/26", When::Day(date(2026, 4, 25)))]
    #[case("05/05/2026", When::Day(date(2026, 5, 5)))]
    #[case("03/04/2026", When::TwoWays)]
    #[case("3.4.2026", When::TwoWays)]
    #[case("31/31/2026", When::TwoWays)]
    #[case("since January 2026", When::Month(2026, 1))]
    #[case("02/2026", When::Month(2026, 2))]
    #[case("2026-02", When::Month(2026, 2))]
    #[case("févr. 2026", When::Month(2026, 2))]
    #[case("2023", When::Year(2023))]
    #[case("since March", When::NoYear)]
    #[case("20 Dec", When::NoYear)]
    #[case("12 weeks", When::Weeks(12, None))]
    #[case("33+3", When::Weeks(33, Some(3)))]
    #[case("semana 20", When::Weeks(20, None))]
    #[case("5 months", When::Months(5))]
    fn times_are_found(#[case] text: &str, #[case] expected: When) {
        assert_eq!(find(text, DayOrder::Unknown), [expected]);
    }

    #[test]
    fn the_order_answers_the_question() {
        let read = |order| only("03/04/2026", order);
        assert_eq!(read(DayOrder::DayFirst), Some(When::Day(date(2026, 4, 3))));
        assert_eq!(
            read(DayOrder::MonthFirst),
            Some(When::Day(date(2026, 3, 4)))
        );
        assert_eq!(
            only("25/04/2026", DayOrder::MonthFirst),
            Some(When::Day(date(2026, 4, 25)))
        );
    }

    #[rstest]
    #[case("10 yrs")]
    #[case("years")]
    #[case("since Sunday")]
    #[case("2 days")]
    #[case("0160 1234567890123")]
    #[case("6/10 kneeling")]
    #[case("I may be late")]
    fn other_words_are_no_times(#[case] text: &str) {
        assert_eq!(find(text, DayOrder::Unknown), []);
    }

    #[test]
    fn two_times_are_both_found() {
        assert_eq!(
            find(
                "right Sept 2025, left Feb 2026 (day not given)",
                DayOrder::Unknown
            ),
            [When::Month(2025, 9), When::Month(2026, 2)]
        );
    }
}
