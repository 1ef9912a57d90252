//! From a taught shape to everything that may stand in for it.
//!
//! [`stray`] measures how far each alternative lies; [`candidates`] lists what may be done at a
//! line, for whom and at what cost; [`instance`] writes it down for the planner. Invariant: the
//! judge decides what may be given, this only looks for it.

mod again;
pub mod candidate;
pub mod candidates;
mod drawn;
mod fixed;
mod found;
pub mod instance;
mod rests;
pub mod stray;
mod version;
pub mod waves;

pub(crate) use rests::LAST_PAUSE_COST;
