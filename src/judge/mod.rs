//! Rules × measures × student: what a shape or a link means for one person on one day.
//!
//! Takes a person as told and the library; gives [`facts::Person`] (the rules in force) and
//! findings on shapes. Invariant: unknown is never read as nothing, and nothing here plans.

pub mod budgets;
pub mod facts;
pub mod guidance;
pub mod verdict;
pub mod weeks;
