//! The menu of each line: which shape is shown, which are offered beside it and to whom.
//!
//! The lead is chosen after the optimum (plan-maths.md section 3): the taught shape when it is
//! kept, else the shape with most people; ties go to the taught one, then to the nearer.

use std::collections::BTreeMap;

use super::Scene;
use super::paths::id_of;
use super::why::kept_from;
use crate::adapted::{DemandCount, Lead, MenuOption, Shape, Step};
use crate::class::{Choice, Taught};
use crate::judge::verdict::At;
use crate::library::posture::Posture;
use crate::search::candidate::{Candidate, OWN_SHAPE};
use crate::words::{PostureId, PurposeId, StudentId};

/// A line's menu.
pub(super) struct Menu {
    /// The taught shape.
    pub taught: PostureId,
    /// The entry that is shown.
    pub lead: usize,
    /// Shapes on the menu, nearest first.
    pub entries: Vec<Entry>,
}

/// One shape on a menu.
pub(super) struct Entry {
    /// One of its forms: the taught one, or the form that most take.
    pub candidate: usize,
    /// Who takes it on each turn, by place in the room.
    pub people: [Vec<usize>; 2],
    /// Offered to anyone.
    pub anyone: bool,
    /// Among the ones to say aloud.
    pub spoken: bool,
}

impl Entry {
    fn nodes(&self) -> usize {
        self.people.iter().map(Vec::len).sum()
    }

    /// Everyone who takes it on either side.
    pub(super) fn anyone_on(&self, turn: Option<usize>) -> Vec<usize> {
        let mut people: Vec<usize> = match turn {
            Some(turn) => self.people.get(turn).cloned().unwrap_or_default(),
            None => self.people.concat(),
        };
        people.sort_unstable();
        people.dedup();
        people
    }
}

impl Scene<'_> {
    /// Every line's menu.
    pub(super) fn menus(&self) -> Vec<Menu> {
        (0..self.table.lines.len())
            .map(|line| self.menu(line))
            .collect()
    }

    fn menu(&self, line: usize) -> Menu {
        let candidates = &self.lines[line];
        let mut by_shape: BTreeMap<String, (Vec<usize>, [Vec<usize>; 2])> = BTreeMap::new();
        for (at, pass) in self
            .table
            .passes_of(line)
            .filter(|(_, pass)| pass.round == 1)
        {
            for (person, choices) in self.choices.iter().enumerate() {
                let candidate = &candidates.list[choices[at]];
                if !candidate.rest {
                    let entry = by_shape.entry(candidate.shape()).or_default();
                    entry.0.push(choices[at]);
                    entry.1[pass.turn].push(person);
                }
            }
        }
        let on_menu = self.plan.menus.get(line).into_iter().flatten();
        for &candidate in on_menu.chain(&candidates.free) {
            let shape = candidates.list[candidate].shape();
            by_shape.entry(shape).or_default().0.push(candidate);
        }
        let taught_shape = candidates.list[0].shape();
        let mut entries: Vec<Entry> = by_shape
            .into_iter()
            .map(|(shape, (forms, people))| {
                let offered = |list: &[usize]| {
                    list.iter()
                        .any(|&other| candidates.list[other].shape() == shape)
                };
                Entry {
                    candidate: if shape == taught_shape {
                        0
                    } else {
                        commonest(&forms)
                    },
                    anyone: shape != taught_shape && offered(&candidates.free),
                    people,
                    spoken: false,
                }
            })
            .collect();
        entries.sort_by_key(|entry| entry.candidate);
        // Whoever takes it, one kinder shape is offered to those of whom nothing is known.
        let kinder = |entry: &&mut Entry| {
            let shape = candidates.list[entry.candidate].shape();
            entry.candidate != 0
                && candidates
                    .kinder
                    .iter()
                    .any(|&other| candidates.list[other].shape() == shape)
        };
        if let Some(entry) = entries.iter_mut().find(kinder) {
            entry.anyone = true;
        }
        let lead = self.lead(line, &entries);
        self.speak(line, &mut entries, lead);
        Menu {
            taught: id_of(&candidates.list[0]),
            lead,
            entries,
        }
    }

    fn lead(&self, line: usize, entries: &[Entry]) -> usize {
        let candidates = &self.lines[line];
        let hidden = |entry: &Entry| candidates.never_lead.contains(&entry.candidate);
        let taught = entries.iter().position(|entry| entry.candidate == 0);
        if let Some(taught) = taught.filter(|_| self.table.lines[line].line.keep) {
            return taught;
        }
        let rank = |(place, entry): &(usize, &Entry)| {
            (
                !hidden(entry),
                entry.nodes(),
                entry.candidate == 0,
                std::cmp::Reverse(*place),
            )
        };
        entries
            .iter()
            .enumerate()
            .max_by_key(rank)
            .map_or(0, |(place, _)| place)
    }

    /// Marks what to say aloud: the teacher's own choices, then what serves most people.
    fn speak(&self, line: usize, entries: &mut [Entry], lead: usize) {
        let free = &self.lines[line].free;
        let most = usize::try_from(self.task.settings.spoken).unwrap_or(0);
        let mut order: Vec<usize> = (0..entries.len()).filter(|&place| place != lead).collect();
        order.sort_by_key(|&place| {
            let entry = &entries[place];
            let own = free.contains(&entry.candidate);
            (!own, !entry.anyone, std::cmp::Reverse(entry.nodes()), place)
        });
        for place in order.into_iter().take(most) {
            entries[place].spoken = true;
        }
    }

    /// Every expanded step.
    pub(super) fn steps(&self, menus: &[Menu]) -> Vec<Step> {
        (0..self.table.passes.len())
            .map(|at| self.step(at, menus))
            .collect()
    }

    fn step(&self, at: usize, menus: &[Menu]) -> Step {
        let pass = &self.table.passes[at];
        let timed = &self.table.lines[pass.line];
        let menu = &menus[pass.line];
        let library = self.task.library;
        let turn = self.room.turn_side(timed, pass.turn);
        let shown = menu
            .entries
            .get(menu.lead)
            .map_or(0, |entry| entry.candidate);
        let lead = &self.lines[pass.line].list[shown];
        let options = menu
            .entries
            .iter()
            .enumerate()
            .filter(|&(place, entry)| {
                place != menu.lead && (entry.anyone || !entry.anyone_on(Some(pass.turn)).is_empty())
            })
            .map(|(_, entry)| self.option(pass.line, entry, pass.turn))
            .collect();
        let taught_name = match &timed.line.taught {
            Taught::Own { name, .. } => name.clone(),
            Taught::Posture(_) => self.name_of(&self.lines[pass.line].list[0]),
        };
        let changed_because = if shown == 0 {
            Vec::new()
        } else {
            self.changed_because(pass.line, pass.turn)
        };
        let lead_posture = lead.posture(library);
        Step {
            index: at + 1,
            line: timed.line.number,
            round: pass.round,
            section: timed.section.1.to_owned(),
            start_s: pass.start_s,
            hold_s: timed.line.hold_s,
            breaths: timed.line.breaths,
            note: timed.line.note.clone(),
            cue: timed
                .line
                .cue
                .clone()
                .or_else(|| lead_posture.map(|posture| posture.cue.clone())),
            props: self.held(lead, pass.line),
            or: timed
                .line
                .or
                .iter()
                .filter_map(|choice| match choice {
                    Choice::Words(words) => Some(words.clone()),
                    Choice::Posture(_) => None,
                })
                .collect(),
            taught: Shape {
                posture: menu.taught.clone(),
                name: taught_name.clone(),
                side: pass.side,
            },
            lead: Lead {
                posture: id_of(lead),
                name: if shown == 0 {
                    taught_name
                } else {
                    self.name_of(lead)
                },
                side: if shown == 0 {
                    pass.side
                } else {
                    lead.side(library, turn)
                },
                changed_because,
            },
            options,
        }
    }

    fn option(&self, line: usize, entry: &Entry, turn: usize) -> MenuOption {
        let candidate = &self.lines[line].list[entry.candidate];
        let library = self.task.library;
        let side = self.room.turn_side(&self.table.lines[line], turn);
        MenuOption {
            posture: id_of(candidate),
            name: self.name_of(candidate),
            side: candidate.side(library, side),
            props: self.held(candidate, line),
            cue: candidate
                .posture(library)
                .map_or_else(|| self.name_of(candidate), |posture| posture.choice.clone()),
            students: self.by_name(entry.anyone_on(Some(turn))),
            for_anyone: entry.anyone,
            spoken: entry.spoken,
            lost_purposes: self.lost(line, candidate),
        }
    }

    /// People in the order of their names, whatever the order of the roster.
    fn by_name(&self, people: Vec<usize>) -> Vec<StudentId> {
        let students = people.into_iter().map(|person| self.people[person].student);
        let mut named: Vec<_> = students.map(|one| (&one.name, &one.id)).collect();
        named.sort();
        named.into_iter().map(|(_, id)| id.clone()).collect()
    }

    fn name_of(&self, candidate: &Candidate) -> String {
        let posture = candidate.posture(self.task.library);
        posture.map_or_else(|| OWN_SHAPE.to_owned(), |posture| posture.name().to_owned())
    }

    fn lost(&self, line: usize, candidate: &Candidate) -> Vec<PurposeId> {
        let library = self.task.library;
        let taught = self.table.lines[line]
            .posture
            .and_then(|id| library.postures.get(id));
        let (Some(taught), Some(other)) = (taught, candidate.posture(library)) else {
            return Vec::new();
        };
        let lost = taught.purposes_lost(other);
        lost.map(|(id, _)| id.clone()).collect()
    }

    /// Which demands keep how many people from the taught shape, most first.
    pub(super) fn changed_because(&self, line: usize, turn: usize) -> Vec<DemandCount> {
        let timed = &self.table.lines[line];
        let library = self.task.library;
        let Some(taught) = timed.posture.and_then(|id| library.postures.get(id)) else {
            return Vec::new();
        };
        let side = self.room.turn_side(timed, turn);
        let side = if taught.is_sided() {
            side
        } else {
            crate::words::Side::None
        };
        kept_from(self.people, At::taught(taught, side, timed.line))
    }

    /// Whom the plan moves though nothing keeps them from the taught shape, and why.
    pub(super) fn notices(&self, menus: &[Menu]) -> Vec<String> {
        let mut notices = Vec::new();
        for (line, menu) in menus.iter().enumerate() {
            let number = self.table.lines[line].line.number;
            let taught_offered = menu.entries.iter().any(|entry| entry.candidate == 0);
            let taught: Option<&Posture> = self.table.lines[line]
                .posture
                .and_then(|id| self.task.library.postures.get(id));
            if !taught_offered {
                let name = taught.map_or("the taught shape", Posture::name);
                notices.push(format!(
                    "Step {number}: {name} is not on the menu; nobody here would take it, or one \
                     shape serves everyone with less to say."
                ));
            }
        }
        // Resting adults breathe 12 to 20 times a minute; 8 to 10 s is slow practice (OC-102).
        const SLOW_BREATH_S: f64 = 12.0;
        let slowest = self.table.lines.iter().map(|line| line.line.breath_s);
        let slowest = slowest.fold(0.0, f64::max);
        if slowest > SLOW_BREATH_S {
            notices.push(format!(
                "One breath is {slowest} s here, slower than slow practice; check breath_seconds."
            ));
        }
        if !self.task.library.replaced.is_empty() {
            let replaced = self.task.library.replaced.join(", ");
            notices.push(format!("Your own library replaces: {replaced}."));
        }
        notices
    }
}

/// The form that occurs most; ties go to the first in the list.
fn commonest(forms: &[usize]) -> usize {
    let count = |form: &usize| forms.iter().filter(|other| *other == form).count();
    forms
        .iter()
        .copied()
        .max_by_key(|form| (count(form), std::cmp::Reverse(*form)))
        .unwrap_or(0)
}
