//! The right edge: what people read. Takes an adapted class and gives text.
//!
//! Invariant: sheets decide nothing; what they say stands in the adapted class or the settings.

pub mod figure;
pub mod layout;
pub mod posture;
mod reading;
pub mod teacher;
pub mod text;
pub mod why;
pub mod words;
