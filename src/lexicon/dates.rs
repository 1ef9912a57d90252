//! When something was, in people's own words.
//!
//! Takes the tokens of a clause; gives a day, a month, a year, or weeks. Invariant: a vague day is
//! given as the first and the last day that fit; a day that could be read two ways is not read.

use jiff::ToSpan;
use jiff::civil::Date;

use super::book::{Book, Meaning, When};
use super::clauses::Clause;
use super::tokens::Token;
use crate::roster::{ToldWeeks, VagueDate};

/// When, as far as it was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Moment {
    /// A day, or a month or a year.
    Day(VagueDate),
    /// A day or a month without its year.
    OfAnyYear {
        /// 1 to 12.
        month: i8,
        /// 1 to 31, if the day was said.
        day: Option<i8>,
    },
    /// A year alone.
    Year(i16),
    /// So many weeks before the day of writing.
    WeeksAgo(ToldWeeks),
    /// Weeks of a pregnancy.
    Pregnant(ToldWeeks),
    /// Weeks with nothing beside them.
    BareWeeks(ToldWeeks),
    /// A baby's age.
    SinceBirth(ToldWeeks),
    /// Years ago.
    LongPast,
    /// Weeks still to go.
    ToGo(u32),
    /// Weeks past the due date.
    Overdue(u32),
}

/// What was said about time in a clause.
#[derive(Clone, Debug, Default)]
pub(super) struct Times {
    /// The moments, in order.
    pub moments: Vec<Moment>,
    /// A due date is meant.
    pub due: bool,
    /// Words that were taken up.
    pub used: Vec<usize>,
    /// A number that is one of two was said: "6 to 8 weeks".
    pub doubtful: bool,
}

/// The words of a pattern.
struct Words<'t> {
    inside: &'t [Token],
    /// Those of its clause before it.
    before: &'t [Token],
    /// Its numbers, in order.
    numbers: Vec<&'t Token>,
}

/// Reads the times of a clause.
pub(super) fn times(
    book: &Book,
    tokens: &[Token],
    clause: &Clause<'_>,
    recorded: Option<Date>,
) -> Times {
    let mut times = Times::default();
    for span in &clause.spans {
        for meaning in &span.meanings {
            if let Meaning::When(when) = meaning {
                let words = Words {
                    inside: tokens.get(span.start..span.end).unwrap_or_default(),
                    before: tokens.get(clause.start..span.start).unwrap_or_default(),
                    numbers: span
                        .numbers
                        .iter()
                        .filter_map(|at| tokens.get(*at))
                        .collect(),
                };
                times.of_pattern(book, *when, &words, recorded);
            }
        }
    }
    let free = |place: &usize| {
        let taken = |span: &super::clauses::Span<'_>| {
            (span.start..span.end).contains(place) && !span.is(|m| *m == Meaning::When(When::Due))
        };
        !clause.spans.iter().any(taken)
    };
    let places: Vec<usize> = (clause.start..clause.end).filter(free).collect();
    times.of_days(book, tokens, &places, recorded);
    times
}

impl Times {
    fn of_pattern(&mut self, book: &Book, when: When, words: &Words<'_>, recorded: Option<Date>) {
        let mut numbers = words.numbers.iter().filter_map(|token| token.number);
        let mut number = numbers.next();
        let other = other_of_two(words.inside, words.before);
        if let Some((one, other)) = number.zip(other) {
            // What begins late takes the later week, what waits the earlier one.
            let (least, most) = (one.min(other), one.max(other));
            number = match when {
                When::Pregnant => Some(most),
                When::BareWeeks => None,
                _ => Some(least),
            };
            self.doubtful = true;
        }
        let days = words.numbers.iter().find_map(|token| token.days);
        let days = days.or_else(|| numbers.next().filter(|days| *days < 7));
        let weeks = number.map(|weeks| ToldWeeks { weeks, days });
        let mut inside = words.inside.iter();
        let month = inside.find_map(|token| book.months.get(token.key()));
        let moment = match when {
            When::Due => {
                self.due = true;
                month.map(|&month| Moment::OfAnyYear { month, day: None })
            }
            When::ToGo => number.map(Moment::ToGo),
            When::Overdue => Some(Moment::Overdue(number.unwrap_or(0))),
            When::DaysOverdue => number.map(|days| Moment::Overdue(days.div_ceil(7))),
            When::WeeksAgo => weeks.map(Moment::WeeksAgo),
            When::SinceBirth => weeks.map(Moment::SinceBirth),
            When::Pregnant => weeks.map(Moment::Pregnant),
            When::BareWeeks => weeks.map(Moment::BareWeeks),
            When::YearsAgo => Some(Moment::LongPast),
            When::MonthsAgo => recorded.zip(number).and_then(|(recorded, months)| {
                let then = recorded.checked_sub(i64::from(months).months()).ok()?;
                Some(Moment::Day(whole_month(then)))
            }),
            When::LastMonth => recorded
                .and_then(|day| day.first_of_month().yesterday().ok())
                .map(|last| Moment::Day(whole_month(last))),
            When::LastYear => recorded.map(|day| Moment::Year(day.year() - 1)),
            When::DayOfYear { month, day } => recorded.and_then(|recorded| {
                let of = |year| Date::new(year, month, day).ok();
                let latest = of(recorded.year())
                    .filter(|latest| *latest <= recorded)
                    .or_else(|| of(recorded.year() - 1))?;
                let earliest = latest.first_of_month();
                Some(Moment::Day(VagueDate { earliest, latest }))
            }),
        };
        self.moments.extend(moment);
    }

    /// Days, months and years among words that mean nothing else.
    fn of_days(&mut self, book: &Book, tokens: &[Token], places: &[usize], recorded: Option<Date>) {
        let mut at = 0;
        while let Some(&place) = places.get(at) {
            let near = |offset: usize| {
                let place = place + offset;
                places.contains(&place).then(|| tokens.get(place)).flatten()
            };
            let Some((moment, used)) = moment_at(book, near, recorded) else {
                at += 1;
                continue;
            };
            self.moments.extend(moment);
            self.used.extend(place..place + used);
            at += used;
        }
    }
}

/// A moment that begins with a word, and how many words it takes. A day that could be read two
/// ways takes none.
fn moment_at<'t>(
    book: &Book,
    near: impl Fn(usize) -> Option<&'t Token>,
    recorded: Option<Date>,
) -> Option<(Option<Moment>, usize)> {
    let first = near(0)?;
    let month = |offset: usize| {
        near(offset)
            .and_then(|token| book.months.get(token.key()))
            .copied()
    };
    let number = |offset: usize, gap: &str| {
        let token = near(offset).filter(|token| token.days.is_none())?;
        (token.digits && (gap.is_empty() || token.gap == gap)).then_some(token.number?)
    };
    let year = |offset: usize| {
        let latest = recorded.map_or(2100, |day| i64::from(day.year()) + 1);
        let number = i64::from(number(offset, "")?);
        (1930..=latest)
            .contains(&number)
            .then(|| i16::try_from(number).ok())?
    };
    // 2026-03-30
    if let (Some(year), Some(month), Some(day)) = (year(0), number(1, "-"), number(2, "-")) {
        let day = Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()?;
        return Some((Some(exactly(day)), 3));
    }
    // 30/3/2026; where both readings are days, either may be meant.
    for mark in ["/", "."] {
        if let (Some(a), Some(b), Some(year)) = (number(0, ""), number(1, mark), year(2)) {
            let day = |month: u32, day: u32| {
                Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
            };
            return match (day(b, a), day(a, b)) {
                (Some(read), None) | (None, Some(read)) => Some((Some(exactly(read)), 3)),
                (Some(one), Some(other)) => Some((Some(either(one, other, recorded)), 3)),
                (None, None) => None,
            };
        }
    }
    let day_of = |offset| {
        number(offset, "")
            .and_then(|n| i8::try_from(n).ok())
            .filter(|n| *n <= 31)
    };
    // 30 March 2026, 30th of March, March 2026, March.
    let (day, mut next) = match (day_of(0), near(1), near(2)) {
        (Some(day), _, _) if month(1).is_some() => (Some(day), 1),
        (Some(day), Some(small), _) if is_small(small) && month(2).is_some() => (Some(day), 2),
        (Some(day), Some(a), Some(b)) if is_small(a) && is_small(b) && month(3).is_some() => {
            (Some(day), 3)
        }
        _ => (None, 0),
    };
    if let Some(month) = month(next) {
        next += 1;
        let small = near(next).is_some_and(|token| is_small(token) && year(next + 1).is_some());
        let after = next + usize::from(small);
        if let Some(year) = year(after) {
            let read = match day {
                Some(day) => Date::new(year, month, day).ok().map(exactly),
                None => Date::new(year, month, 1)
                    .ok()
                    .map(|first| Moment::Day(whole_month(first))),
            };
            return Some((Some(read?), after + 1));
        }
        // "May" and "march" are words of their own: a month only beside a day.
        let own_word = matches!(
            first.key(),
            "may" | "march" | "mar" | "mars" | "marco" | "marzo"
        );
        let capital = first.raw.starts_with(char::is_uppercase);
        if day.is_some() || !own_word || (capital && first.key() != "may") {
            return Some((Some(Moment::OfAnyYear { month, day }), next));
        }
    }
    // 33+3
    if let (Some(weeks), Some(days)) = (first.number, first.days) {
        let days = Some(days);
        return Some((Some(Moment::Pregnant(ToldWeeks { weeks, days })), 1));
    }
    let year = year(0)?;
    Some((Some(Moment::Year(year)), 1))
}

/// The first number of "6-8 weeks", "6 to 8 weeks", before the words that hold the second.
fn other_of_two(words: &[Token], before: &[Token]) -> Option<u32> {
    let second = words.first().filter(|token| token.number.is_some())?;
    let last = before.last()?;
    if last.number.is_some() && matches!(second.gap.trim(), "-" | "/") {
        return last.number;
    }
    let between = matches!(last.key(), "to" | "or" | "a" | "o" | "ou" | "bis" | "oder");
    let first = before
        .get(before.len().checked_sub(2)?)
        .filter(|_| between)?;
    first.number
}

/// "30th", "30 de marzo", "del 2026".
fn is_small(token: &Token) -> bool {
    matches!(
        token.key(),
        "st" | "nd" | "rd" | "th" | "of" | "de" | "del" | "da" | "di" | "er"
    )
}

fn exactly(day: Date) -> Moment {
    Moment::Day(VagueDate {
        earliest: day,
        latest: day,
    })
}

/// One of two days; those to come are no days of the past.
fn either(one: Date, other: Date, recorded: Option<Date>) -> Moment {
    let (earliest, latest) = (one.min(other), one.max(other));
    let to_come = |day: Date| recorded.is_some_and(|recorded| day > recorded);
    let latest = if to_come(latest) && !to_come(earliest) {
        earliest
    } else {
        latest
    };
    Moment::Day(VagueDate { earliest, latest })
}

fn whole_month(day: Date) -> VagueDate {
    VagueDate {
        earliest: day.first_of_month(),
        latest: day.last_of_month(),
    }
}

/// A day without its year, taken as the last one that is past, or the next one to come.
pub(super) fn of_any_year(
    month: i8,
    day: Option<i8>,
    recorded: Option<Date>,
    to_come: bool,
) -> Option<VagueDate> {
    let recorded = recorded?;
    let of = |year: i16| {
        let first = Date::new(year, month, day.unwrap_or(1)).ok()?;
        Some(match day {
            Some(_) => VagueDate {
                earliest: first,
                latest: first,
            },
            None => whole_month(first),
        })
    };
    let year = recorded.year();
    if to_come {
        [year, year + 1]
            .into_iter()
            .filter_map(of)
            .find(|date| date.latest >= recorded)
    } else {
        [year, year - 1]
            .into_iter()
            .filter_map(of)
            .find(|date| date.earliest <= recorded)
    }
}

/// A whole year.
pub(super) fn whole_year(year: i16) -> Option<VagueDate> {
    let earliest = Date::new(year, 1, 1).ok()?;
    let latest = Date::new(year, 12, 31).ok()?;
    Some(VagueDate { earliest, latest })
}
