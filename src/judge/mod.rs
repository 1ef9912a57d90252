//! Rules × measures × student: what a shape or a link means for one person on one day.
//!
//! Takes a person as told and the library; gives [`facts::Person`] (the rules in force) and
//! findings on shapes. Invariant: unknown is never read as nothing, and nothing here plans.

mod asking;
pub mod budgets;
mod counted;
pub mod facts;
pub mod guidance;
mod in_force;
pub mod place;
pub mod verdict;
pub mod weeks;

pub use in_force::stance_option;
