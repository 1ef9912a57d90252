//! A second, independent reading of an adapted class against the class, the roster and the rules.
//!
//! Takes the result as JSON gave it back, and the files that it came from; gives a list of
//! findings, empty when nothing is wrong. Invariant: nothing of `judge`, `search` or `group` is
//! used here; what they decided is worked out again from the library, more plainly and slower.

mod expansion;
mod people;
mod props;
mod said;
mod sums;
mod told;

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::adapted::{Adapted, SCHEMA};
use crate::class::ClassPlan;
use crate::library::Library;
use crate::roster::Roster;
use crate::settings::{PropStock, Settings};
use crate::words::StudentId;
use expansion::Taught;

/// Everything that an adapted class is held against.
#[derive(Clone, Copy, Debug)]
pub struct Basis<'a> {
    /// The library.
    pub library: &'a Library,
    /// The class as planned.
    pub class: &'a ClassPlan,
    /// Who is coming; none: one person of whom nothing is known.
    pub roster: &'a Roster,
    /// The cupboard.
    pub stock: &'a PropStock,
    /// What the teacher set.
    pub settings: &'a Settings,
    /// The class's date.
    pub date: Date,
    /// The most shapes at one step.
    pub max_options: u32,
}

/// What kind of thing is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Another schema.
    Schema,
    /// The date, the stances or the limit are not those of the files.
    MadeWith,
    /// A step is missing, added, moved, or not the one taught.
    Step,
    /// A hold is not the one taught, and no rule asks for it.
    Hold,
    /// A student is missing, doubled or invented.
    Student,
    /// A step is missing in a student's path, or doubled.
    Path,
    /// A shape that the library does not know.
    UnknownShape,
    /// A shape that the rules keep from this person.
    Avoided,
    /// An `ease` that nothing meets.
    NotEased,
    /// A way between levels that the rules keep from this person, or none at all.
    Link,
    /// A personal budget is passed.
    Budget,
    /// More of a prop than there is, or less said than is used.
    Props,
    /// The objective is not the sum of what the plan does.
    Objective,
    /// The bound or the proof cannot be right.
    Bound,
    /// A shape given to someone that is not on the menu.
    Menu,
    /// A caution that is owed is not there.
    Caution,
}

impl Kind {
    /// The kind in kebab-case.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Schema => "schema",
            Self::MadeWith => "made-with",
            Self::Step => "step",
            Self::Hold => "hold",
            Self::Student => "student",
            Self::Path => "path",
            Self::UnknownShape => "unknown-shape",
            Self::Avoided => "avoided",
            Self::NotEased => "not-eased",
            Self::Link => "link",
            Self::Budget => "budget",
            Self::Props => "props",
            Self::Objective => "objective",
            Self::Bound => "bound",
            Self::Menu => "menu",
            Self::Caution => "caution",
        }
    }
}

/// Something that is wrong. Health facts are never in the text: a place in the roster and a step
/// lead to them.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    /// What kind.
    pub kind: Kind,
    /// The step, if it is about one.
    pub step: Option<usize>,
    /// In words.
    pub text: String,
}

/// Reads an adapted class again.
pub fn audit(adapted: &Adapted, basis: &Basis<'_>) -> Vec<Finding> {
    let mut reading = Reading {
        adapted,
        basis,
        taught: expansion::expand(basis),
        seated: people::seated(basis),
        found: BTreeSet::new(),
    };
    reading.made_with();
    if reading.steps() && reading.students() {
        reading.people();
        reading.props();
        reading.menus();
        reading.sums();
    }
    reading.found.into_iter().collect()
}

struct Reading<'a> {
    adapted: &'a Adapted,
    basis: &'a Basis<'a>,
    taught: Vec<Taught<'a>>,
    /// Who stays in a chair of the room's.
    seated: BTreeSet<&'a StudentId>,
    found: BTreeSet<Finding>,
}

impl Reading<'_> {
    fn find(&mut self, kind: Kind, step: Option<usize>, text: impl Into<String>) {
        self.found.insert(Finding {
            kind,
            step,
            text: text.into(),
        });
    }

    fn made_with(&mut self) {
        let (adapted, basis) = (self.adapted, self.basis);
        if adapted.schema != SCHEMA {
            self.find(Kind::Schema, None, format!("the schema is not {SCHEMA}"));
        }
        if adapted.made_with.date != basis.date.to_string() {
            self.find(Kind::MadeWith, None, "the date is not the class’s");
        }
        if adapted.made_with.max_options != basis.max_options {
            self.find(
                Kind::MadeWith,
                None,
                "the limit on shapes at a step is another",
            );
        }
        if adapted.made_with.library != basis.library.hash {
            self.find(Kind::MadeWith, None, "it was made with another library");
        }
        for stance in basis.library.stances.values() {
            let set = basis
                .settings
                .stances
                .get(&stance.id)
                .unwrap_or(&stance.default);
            if adapted.made_with.stances.get(stance.id.as_str()) != Some(set) {
                let text = format!("the stance {} is not the one set", stance.id);
                self.find(Kind::MadeWith, None, text);
            }
        }
    }

    /// Whether every step is the one taught, in order; without that nothing else can be read.
    fn steps(&mut self) -> bool {
        let (steps, taught) = (&self.adapted.steps, self.taught.clone());
        if steps.len() != taught.len() {
            let text = format!(
                "{} steps stand here, {} are taught",
                steps.len(),
                taught.len()
            );
            self.find(Kind::Step, None, text);
            return false;
        }
        let mut clock = 0;
        for (at, (step, taught)) in steps.iter().zip(&taught).enumerate() {
            let here = Some(at + 1);
            let same_posture = taught.posture.is_none_or(|id| *id == step.taught.posture);
            if step.index != at + 1
                || step.line != taught.line.number
                || !same_posture
                || step.taught.side != taught.side
            {
                self.find(Kind::Step, here, "this is not the step that is taught");
            }
            if step.hold_s != taught.line.hold_s {
                self.find(Kind::Hold, here, "the hold is not the one taught");
            }
            if step.start_s < clock {
                self.find(Kind::Step, here, "it begins before the step before it");
            }
            clock = step.start_s;
            if taught.line.keep && step.lead.posture != step.taught.posture {
                self.find(
                    Kind::Step,
                    here,
                    "the plan keeps this shape, and another is shown",
                );
            }
        }
        true
    }

    /// Whether everyone of the roster is there once, with every step in order.
    fn students(&mut self) -> bool {
        let mut whole = true;
        let count = |id: &crate::words::StudentId| {
            self.adapted
                .students
                .iter()
                .filter(|student| student.id == *id)
                .count()
        };
        let wrong: Vec<String> = self
            .basis
            .roster
            .students
            .iter()
            .enumerate()
            .filter(|(_, student)| count(&student.id) != 1)
            .map(|(place, _)| format!("person {} of the roster is not here once", place + 1))
            .collect();
        let strangers = self.adapted.students.iter().any(|student| {
            !self
                .basis
                .roster
                .students
                .iter()
                .any(|known| known.id == student.id)
        });
        for text in wrong {
            self.find(Kind::Student, None, text);
            whole = false;
        }
        if strangers {
            self.find(
                Kind::Student,
                None,
                "somebody is here who is not on the roster",
            );
            whole = false;
        }
        for place in 0..self.adapted.students.len() {
            let student = &self.adapted.students[place];
            let in_order = student
                .assignments
                .iter()
                .map(|a| a.step)
                .eq(1..=self.taught.len());
            if !in_order {
                let text = format!("the path of person {} has not every step once", place + 1);
                self.find(Kind::Path, None, text);
                whole = false;
            }
        }
        whole
    }
}
