//! The people of the own page, how strongly each thing is backed, and the stop signs.

use super::super::reading::Reading;
use super::super::words::{capital, lower, speaks, without_places};
use crate::adapted::{Caution, CautionKind, State, StudentPlan};
use crate::library::rule::Stance;
use crate::words::Strength;

/// A person on the own page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonRow {
    /// Short name.
    pub short_name: String,
    /// Name.
    pub name: String,
    /// What they need to follow, and about touch.
    pub facts: Vec<String>,
    /// The language that they speak, where it is not the sheet’s.
    pub lang: Option<String>,
    /// What to know, each with the number of its note.
    pub lines: Vec<(String, Option<usize>)>,
}

impl Reading<'_> {
    pub(super) fn people(&self) -> (Vec<PersonRow>, Vec<String>) {
        let mut notes: Vec<String> = Vec::new();
        let mut rows = Vec::new();
        let touch_asked = self.touch_asked();
        for student in &self.adapted.students {
            let mut lines: Vec<(String, Option<usize>)> = Vec::new();
            if student.place == "recording" && student.state != State::Told {
                lines.push(("Watches later: nobody can be asked.".to_owned(), None));
            }
            let cautions = self.adapted.cautions.iter();
            let mut theirs: Vec<&Caution> = cautions
                .filter(|caution| caution.student.as_ref() == Some(&student.id))
                .filter(|caution| stands_beside(caution, student.state))
                .collect();
            // What they need to follow comes first, and is the teacher's own to see to.
            theirs.sort_by_key(|caution| caution.kind != CautionKind::Access);
            for caution in theirs {
                let text = capital(beside_facts(&caution.text, student));
                let practical = matches!(
                    caution.kind,
                    CautionKind::Access | CautionKind::NotAsked | CautionKind::Late
                );
                let note = (!practical).then(|| self.note(caution, &mut notes));
                lines.push((text, note));
            }
            if !student.told.is_empty() {
                lines.push((format!("Told: {}.", student.told.join("; ")), None));
            }
            if let Some(note) = &student.note {
                lines.push((note.clone(), None));
            }
            let mut facts = student.access.clone();
            if student.place == "video" {
                facts.push("video".to_owned());
            }
            match student.touch.as_str() {
                "no" => facts.push("no touch".to_owned()),
                "ask" => facts.push("ask before touch".to_owned()),
                "not-asked" if touch_asked && student.place == "room" => {
                    facts.push("touch not asked".to_owned());
                }
                _ => {}
            }
            if student.confidential {
                lines.extend(self.privately(student).map(|line| (line, None)));
            }
            if lines.is_empty() && facts.is_empty() {
                continue;
            }
            rows.push(PersonRow {
                short_name: student.short_name.clone(),
                name: student.name.clone(),
                facts,
                lang: speaks(&student.access),
                lines,
            });
        }
        (rows, notes)
    }

    /// Whether anybody in the room was asked about touch.
    pub(super) fn touch_asked(&self) -> bool {
        let mut students = self.adapted.students.iter();
        students.any(|student| student.place == "room" && student.touch != "not-asked")
    }

    /// What a confidential person does otherwise: nowhere else is it said whose it is.
    fn privately(&self, student: &StudentPlan) -> Option<String> {
        let changes: Vec<String> = self
            .changes(student)
            .iter()
            .map(|change| {
                let does: Vec<String> = change.does.iter().map(|words| lower(words)).collect();
                format!("{} {}", self.at(change.start_s), does.join("; "))
            })
            .collect();
        (!changes.is_empty()).then(|| format!("Beside the class: {}.", changes.join("; ")))
    }

    /// The number of a caution's note; the same backing has one note.
    fn note(&self, caution: &Caution, notes: &mut Vec<String>) -> usize {
        let source = caution
            .source
            .as_ref()
            .and_then(|id| self.library.sources.get(id));
        let stance = caution.stance.as_ref();
        let stance = stance.and_then(|id| self.library.stances.get(id));
        let text = match (stance, source) {
            (Some(stance), _) => self.both_sides(stance),
            (None, Some(source)) => {
                let text = without_places(&source.text);
                format!("{}: {text}", caution.strength.printed())
            }
            (None, None) => match caution.strength {
                Strength::CommonPractice => {
                    "common practice: teachers’ usual care; no study looked up".to_owned()
                }
                Strength::Clinician => {
                    "their clinician: own words, as told by the student".to_owned()
                }
                strength => strength.printed().to_owned(),
            },
        };
        match notes.iter().position(|note| *note == text) {
            Some(place) => place + 1,
            None => {
                notes.push(text);
                notes.len()
            }
        }
    }

    /// What sources say on either side of a stance, their ids as names.
    pub(super) fn both_sides(&self, stance: &Stance) -> String {
        let named = |words: &str| {
            let mut text = String::new();
            for (place, part) in words.split(['[', ']']).enumerate() {
                if place % 2 == 0 {
                    text += part;
                    continue;
                }
                let sources = part.split(", ").map(|id| {
                    let known = self.library.sources.get(id);
                    let text = known.map_or(id, |source| source.text.as_str());
                    // Who said it; the whole of it stands in `rules/sources.yaml`.
                    let end = [". ", "; ", " (", ", "]
                        .iter()
                        .filter_map(|end| text.find(end));
                    &text[..end.min().unwrap_or(text.len())]
                });
                text += &format!("({})", sources.collect::<Vec<_>>().join("; "));
            }
            text
        };
        format!(
            "sources differ. One side: {} The other: {}",
            named(&stance.one_side),
            named(&stance.other_side)
        )
    }

    pub(super) fn stop(&self) -> Vec<String> {
        self.adapted
            .cautions
            .iter()
            .filter(|caution| caution.kind == CautionKind::WarningSigns)
            .map(|caution| caution.text.clone())
            .collect()
    }
}

/// Whether a caution stands beside its person; questions stand in a list of their own.
fn stands_beside(caution: &Caution, state: State) -> bool {
    match caution.kind {
        CautionKind::Watch
        | CautionKind::Guidance
        | CautionKind::Access
        | CautionKind::Late
        | CautionKind::Reminder => true,
        // Who would rather not say is asked nothing.
        CautionKind::NotAsked => state == State::Declined,
        CautionKind::AskFirst
        | CautionKind::Today
        | CautionKind::Unrecognised
        | CautionKind::Stale
        | CautionKind::WarningSigns => false,
    }
}

/// A caution without the fact that stands in brackets behind the name already.
fn beside_facts<'t>(text: &'t str, student: &StudentPlan) -> &'t str {
    let mut facts = student
        .access
        .iter()
        .map(String::as_str)
        .chain(["on video"]);
    let bare = facts.find_map(|fact| text.strip_prefix(fact)?.strip_prefix(": "));
    bare.unwrap_or(text)
}
