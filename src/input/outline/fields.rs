//! Rows about the class or a section as such: `date: …`, `breath: …`, what stands under the title.

use std::ops::Range;

use super::Pen;
use super::amounts::{Amount, told};
use super::asked::Asked;
use super::document::Build;
use super::header::{Header, number};
use super::rows::Row;
use super::words::{Atom, Before, text};
use crate::problem::Code;

impl Build<'_> {
    /// `date: …`, `note: …`: whether it was one.
    pub(super) fn field(&mut self, pen: &mut Pen<'_>, all: &[Atom], row: &Row) -> bool {
        let [key, rest @ ..] = all else {
            return false;
        };
        let colon = rest.first().filter(|atom| atom.before == Before::Colon);
        let Some(first) = colon else {
            return false;
        };
        let value_range = first.range().start..row.range.end;
        let value = pen.text_of(&value_range).trim().to_owned();
        let words = &first.words;
        let alone = words.len() == 1 && rest.len() == 1;
        let typed = words
            .first()
            .filter(|_| alone)
            .map(|word| word.low.as_str());
        let wrong = match text(&key.words).to_lowercase().as_str() {
            "title" | "class" => {
                self.draft.header.title = Some(value.clone());
                None
            }
            "note" | "notes" | "nb" | "remember" => {
                self.note(value.clone());
                None
            }
            "cue" => {
                if let Some(line) = self.last_line() {
                    line.cue = Some(value.clone());
                }
                None
            }
            "date" | "day" | "when" => (!self.all_about(rest)).then_some((
                Code::BadDate,
                "is not a date that is read here",
                "Write the year first, as in 2026-11-02.",
            )),
            "start" | "starts" | "time" => (!self.all_about(rest)).then_some((
                Code::BadClock,
                "is not a clock time",
                "Write hours and minutes, as in 19:15.",
            )),
            "minutes" | "length" | "duration" | "slot" => {
                let bare = typed.and_then(number);
                if bare.is_some() {
                    self.draft.header.minutes = bare;
                    self.draft.header.minutes_at = value_range.clone();
                }
                (bare.is_none() && !self.all_about(rest)).then_some((
                    Code::WrongType,
                    "is not a length",
                    "Write it in minutes, as in “45 minutes”.",
                ))
            }
            "breath" | "breaths" | "breath seconds" => {
                let seconds = typed
                    .map(|word| word.trim_end_matches('s'))
                    .and_then(number)
                    .or_else(|| seconds(words));
                match seconds {
                    Some(seconds) => self.set_breath(seconds, value_range.clone()),
                    None if self.all_about(rest) => {}
                    None => {
                        pen.problem(
                            Code::WrongType,
                            value_range.clone(),
                            "this is not the length of a breath",
                            "Write it in seconds, as in “breath: 7 seconds”.",
                        );
                    }
                }
                None
            }
            _ => return false,
        };
        if let Some((code, message, help)) = wrong {
            let message = format!("{} {message}", crate::problem::quoted(&value));
            pen.problem(code, value_range, message, help);
        }
        true
    }

    pub(super) fn all_about(&mut self, atoms: &[Atom]) -> bool {
        atoms.iter().all(|atom| self.draft.header.take(&atom.words))
    }

    fn set_breath(&mut self, seconds: f64, at: Range<usize>) {
        match self.draft.sections.last_mut() {
            Some(section) if section.items.is_empty() => {
                section.breath_s = Some(seconds);
                section.breath_at = at;
            }
            _ => {
                self.draft.header.breath_s = Some(seconds);
                self.draft.header.breath_at = at;
            }
        }
    }

    /// A row under the title that is about the class. Of one that is so in part the other words (a
    /// place, say) are not used, and that is told.
    pub(super) fn about_the_class(&mut self, pen: &Pen<'_>, all: &[Atom], bullet: bool) -> bool {
        if !self.draft.sections.is_empty() {
            return false;
        }
        let mut header = self.draft.header.clone();
        let (about, other): (Vec<&Atom>, Vec<&Atom>) =
            all.iter().partition(|atom| header.take(&atom.words));
        // “Breath awareness, 5 min” is a step: only a day or a clock makes a line one about the class.
        let told = header.date != self.draft.header.date || header.start != self.draft.header.start;
        let mixed = !bullet && told && other.iter().all(|atom| self.is_plain(atom));
        if about.is_empty() || !other.is_empty() && !mixed {
            return false;
        }
        for atom in other {
            let words = pen.text_of(&atom.range()).to_owned();
            let line = pen.line_of(atom.range().start);
            self.draft.asks.push((line, Asked::NotUsed(words)));
        }
        self.draft.header = header;
        true
    }

    /// A row under a heading that says how long a breath is there.
    pub(super) fn about_the_section(&mut self, all: &[Atom]) -> bool {
        let Some(section) = self
            .draft
            .sections
            .last_mut()
            .filter(|section| section.items.is_empty())
        else {
            return false;
        };
        let mut header = Header::default();
        let about = all.iter().all(|atom| header.take(&atom.words));
        let of_the_class =
            header.date.is_some() || header.start.is_some() || header.minutes.is_some();
        if !about || of_the_class {
            return false;
        }
        section.breath_s = header.breath_s.or(section.breath_s);
        section.breath_at = header.breath_at;
        section.padded |= header.padded;
        true
    }
}

fn seconds(words: &[super::words::Word]) -> Option<f64> {
    let mut used = vec![false; words.len()];
    let says = told(words, &mut used);
    match says.holds.as_slice() {
        [(Amount::Seconds(seconds), _)] if used.iter().all(|&used| used) => Some(*seconds),
        _ => None,
    }
}
