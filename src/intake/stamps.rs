//! The days on which the rows of a sheet were filled in.
//!
//! Takes the column of days; gives back a row's day. Invariant: days that can be read two ways are
//! read only when their own column shows the order, which is said; else they are left out.

use jiff::civil::Date;

use super::columns::Plan;
use super::dates::{self, DayOrder, When};
use super::headings::Means;
use super::sheet::Row;
use crate::input::days::YEARS;

/// The day on which each row was filled in.
pub(super) struct Stamps {
    column: Option<usize>,
    order: DayOrder,
    pub(super) notice: Option<&'static str>,
}

impl Stamps {
    /// Days of a column that a form wrote itself all have one order: one that can be read only one
    /// way tells it for all.
    pub(super) fn of(rows: &[&Row], plan: &Plan, said: DayOrder) -> Self {
        let column = plan.first(Means::Recorded);
        let Some(at) = column else {
            return Self {
                column,
                order: said,
                notice: None,
            };
        };
        let two_ways = rows
            .iter()
            .filter(|row| dates::find(row.text(at), said).contains(&When::TwoWays));
        if said != DayOrder::Unknown || two_ways.count() == 0 {
            return Self {
                column,
                order: said,
                notice: None,
            };
        }
        let day_first = rows
            .iter()
            .any(|row| first_number(row.text(at)).is_some_and(|(a, b)| a > 12 && b <= 12));
        let month_first = rows
            .iter()
            .any(|row| first_number(row.text(at)).is_some_and(|(a, b)| a <= 12 && b > 12));
        match (day_first, month_first) {
            (true, false) => Self {
                column,
                order: DayOrder::DayFirst,
                notice: Some(
                    "The days of the answers were read day first, as their own column shows.",
                ),
            },
            (false, true) => Self {
                column,
                order: DayOrder::MonthFirst,
                notice: Some(
                    "The days of the answers were read month first, as their own column shows.",
                ),
            },
            _ => Self {
                column,
                order: DayOrder::Unknown,
                notice: Some(
                    "The days of the answers can be read two ways and were left out: say \
                     --dates day-first or --dates month-first.",
                ),
            },
        }
    }

    pub(super) fn day(&self, row: &Row) -> Option<Date> {
        let cell = row.cells.get(self.column?)?;
        let day = cell
            .date
            .or_else(|| match dates::find(&cell.text, self.order).as_slice() {
                [When::Day(day), ..] => Some(*day),
                _ => None,
            });
        // A year nobody can mean is no day: the roster would not read back.
        day.filter(|day| YEARS.contains(&day.year()))
    }

    /// The latest day, when every row has one.
    pub(super) fn latest(&self, rows: &[&Row]) -> Option<Date> {
        let days: Option<Vec<Date>> = rows.iter().map(|row| self.day(row)).collect();
        days?.into_iter().max()
    }
}

/// The first two numbers of a text with a sign between.
fn first_number(text: &str) -> Option<(u32, u32)> {
    let mut parts = text.split(['/', '-', '.', ' ']);
    let a = parts.next()?.parse().ok()?;
    let b = parts.next()?.parse().ok()?;
    Some((a, b))
}
