//! The right edge: what people read. Takes an adapted class and gives text.
//!
//! Invariant: sheets decide nothing; what they say stands in the adapted class or the settings.

pub mod ahead;
pub mod along;
pub mod card;
mod changes;
pub mod class_yaml;
mod clinicians;
pub mod figure;
pub mod home;
pub mod html;
pub mod layout;
pub mod page;
pub mod page_csv;
pub mod page_html;
pub mod page_markdown;
pub mod page_text;
pub mod posture;
pub mod props;
mod reading;
pub mod record;
pub mod room;
mod sides;
pub mod teacher;
pub mod teacher_html;
pub mod teacher_page;
pub mod text;
pub mod understood;
pub mod vary;
pub mod why;
pub mod words;
