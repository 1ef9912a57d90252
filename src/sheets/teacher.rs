//! The teacher's sheet as content: what stands on it, before it is text, Markdown or HTML.
//!
//! Takes the adapted class, the settings and the library's words. Invariant: a floor row carries
//! short names and needs only; a confidential person is never on one.

mod beside;
mod floor;
mod once;
mod own;
mod people;

pub use floor::{Beside, Margin, Row, Section};
pub(in crate::sheets) use own::{does_as_well, who_bring};
pub use people::PersonRow;

use super::reading::Reading;
use crate::adapted::Adapted;
use crate::library::Library;
use crate::settings::Settings;

/// The whole sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// The class's title.
    pub title: String,
    /// Date and times.
    pub when: String,
    /// Who is there.
    pub who: String,
    /// Sentences that come first.
    pub summary: Vec<String>,
    /// Advice that the teacher may want before anything else.
    pub advice: Vec<String>,
    /// Name and question, most pressing first.
    pub ask: Vec<(String, Vec<String>)>,
    /// What to set out.
    pub set_out: Vec<String>,
    /// What runs short.
    pub short: Vec<String>,
    /// What to say once to everyone.
    pub say_once: Vec<String>,
    /// What one person hears once, with the steps it holds for.
    pub once: Vec<Beside>,
    /// Sections.
    pub sections: Vec<Section>,
    /// People.
    pub people: Vec<PersonRow>,
    /// Notes on strength and source, numbered from 1.
    pub notes: Vec<String>,
    /// Stop signs.
    pub stop: Vec<String>,
    /// What to do next.
    pub next: Vec<String>,
}

/// The sheet's last sentence.
pub const CLOSING: &str = "Rules keep shapes away from people; they never say a shape is safe. You \
                           decide; their own clinician, local rules, your insurer’s terms and the \
                           limits of your training come first.";

/// The heading over what one person hears once.
pub const QUIETLY_ONCE: &str = "Say once, quietly";

/// Whom a choice is for when nobody is named.
pub const ANYONE: &str = "for anyone";

/// Puts the sheet together.
pub fn sheet(adapted: &Adapted, settings: &Settings, library: &Library) -> Sheet {
    let reading = Reading::new(adapted, settings, library);
    let (people, notes) = reading.people();
    let floor = reading.floor();
    Sheet {
        title: adapted.class.title.clone(),
        when: reading.when(),
        who: reading.who(),
        summary: reading.summary(&floor),
        advice: reading.advice(),
        ask: reading.ask(),
        set_out: adapted.set_out.clone(),
        short: reading.short(),
        say_once: reading.say_once(),
        once: floor.once,
        sections: floor.sections,
        people,
        notes,
        stop: reading.stop(),
        next: reading.next(),
    }
}
