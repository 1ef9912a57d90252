//! The right edge: what people read. Takes an adapted class and gives text.
//!
//! Invariant: sheets decide nothing; what they say stands in the adapted class or the settings.

mod changes;
pub mod class_yaml;
pub mod figure;
pub mod html;
pub mod layout;
pub mod posture;
mod reading;
mod sides;
pub mod teacher;
pub mod teacher_html;
pub mod text;
pub mod understood;
pub mod why;
pub mod words;
