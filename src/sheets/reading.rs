//! What every sheet reads: the adapted class, the settings and the library's words, with the clock
//! and the people looked up.
//!
//! Invariant: a reading decides nothing; it finds what stands in the adapted class and says it.

use jiff::civil::{Date, Time};

use super::page::{Cell, Group};
use super::words::{breaths, clock, minutes, plural, side};
use crate::adapted::{Adapted, Event, EventKind, Step, StudentPlan};
use crate::library::Library;
use crate::settings::Settings;
use crate::words::{DemandId, PostureId, Side, StudentId};

/// An adapted class as the sheets look at it.
pub(super) struct Reading<'a> {
    /// The class.
    pub adapted: &'a Adapted,
    /// What the teacher set.
    pub settings: &'a Settings,
    /// Words and shapes.
    pub library: &'a Library,
    /// When the class starts, if that is planned.
    pub start: Option<Time>,
}

impl<'a> Reading<'a> {
    /// Reads the start of the class.
    pub(super) fn new(adapted: &'a Adapted, settings: &'a Settings, library: &'a Library) -> Self {
        let start = adapted.class.start.as_deref().and_then(|start| {
            let (hour, minute) = start.split_once(':')?;
            Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
        });
        Self {
            adapted,
            settings,
            library,
            start,
        }
    }

    /// The clock at so many seconds from the start.
    pub(super) fn at(&self, seconds: u32) -> String {
        clock(self.start, seconds)
    }

    /// A student by id.
    pub(super) fn student(&self, id: &StudentId) -> Option<&'a StudentPlan> {
        self.adapted
            .students
            .iter()
            .find(|student| student.id == *id)
    }

    /// Whether anything that is shown or offered is on the floor.
    pub(super) fn goes_to_the_floor(&self) -> bool {
        let on_floor = |id: &PostureId| {
            let posture = self.library.postures.get(id);
            posture.is_some_and(|posture| posture.level.is_floor())
        };
        self.adapted.steps.iter().any(|step| {
            on_floor(&step.lead.posture) || step.options.iter().any(|one| on_floor(&one.posture))
        })
    }

    /// The move or link by which the class comes to a step.
    pub(super) fn event_before(&self, step: &Step) -> Option<&'a Event> {
        let before = step
            .index
            .checked_sub(2)
            .and_then(|at| self.adapted.steps.get(at));
        let from_s = before.map_or(0, |before| before.start_s + 1);
        let mut events = self.adapted.events.iter();
        events.find(|event| {
            event.kind != EventKind::Talk && (from_s..=step.start_s).contains(&event.start_s)
        })
    }

    /// What the side of a step's taught shape is named by: "straight leg".
    pub(super) fn lead_of(&self, step: &Step) -> Option<&'a str> {
        let posture = self.library.postures.get(&step.taught.posture)?;
        posture.lead.as_deref()
    }

    /// Date and times.
    pub(super) fn when(&self) -> String {
        let date: Option<Date> = self.adapted.class.date.parse().ok();
        let day = date.map_or_else(
            || self.adapted.class.date.clone(),
            |date| date.strftime("%A %-d %B %Y").to_string(),
        );
        let slot = self.adapted.class.slot_s;
        match self.start {
            Some(_) => format!("{day}, {} to {}", self.at(0), self.at(slot)),
            None => format!("{day}, {}", minutes(slot)),
        }
    }

    /// When a section ends, on the clock.
    pub(super) fn section_end(&self, name: &str) -> String {
        let after = self
            .adapted
            .steps
            .iter()
            .skip_while(|step| step.section != name)
            .find(|step| step.section != name);
        self.at(after.map_or(self.adapted.class.planned_s, |step| step.start_s))
    }

    /// Steps of each line, in order of the first.
    pub(super) fn by_line(&self) -> Vec<(&'a Step, Vec<&'a Step>)> {
        let mut lines: Vec<(&Step, Vec<&Step>)> = Vec::new();
        for step in &self.adapted.steps {
            match lines.iter_mut().find(|(first, _)| first.line == step.line) {
                Some((_, steps)) => steps.push(step),
                None => lines.push((step, vec![step])),
            }
        }
        lines
    }

    /// A row for each line, by section.
    pub(super) fn by_section(
        &self,
        row: impl Fn(&'a Step, &[&'a Step]) -> Vec<Cell>,
    ) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        for (first, steps) in self.by_line() {
            let row = row(first, &steps);
            let open = groups.last_mut();
            match open.filter(|group| group.name == first.section) {
                Some(group) => group.rows.push(row),
                None => groups.push(Group {
                    name: first.section.clone(),
                    aside: format!("until {}", self.section_end(&first.section)),
                    rows: vec![row],
                }),
            }
        }
        groups
    }

    /// Sides, breaths, rounds and the teacher’s note of a line, beside how long it takes in all.
    pub(super) fn how(&self, first: &Step, steps: &[&Step]) -> String {
        let how = sides_and_breaths(first, steps);
        let how = (self.duration(first, steps).as_ref() != Some(&how)).then_some(how);
        let parts: Vec<String> = how.into_iter().chain(first.note.clone()).collect();
        parts.join(", ")
    }

    /// How long in all, then sides, breaths and rounds, and the note unless it speaks of somebody.
    pub(super) fn how_open(&self, first: &Step, steps: &[&Step]) -> String {
        let mut parts = Vec::new();
        parts.extend(self.duration(first, steps));
        let how = sides_and_breaths(first, steps);
        if !parts.contains(&how) {
            parts.push(how);
        }
        parts.extend(first.note.clone().filter(|note| !self.names_somebody(note)));
        parts.join(", ")
    }

    /// Whether a text holds a word of somebody's name.
    pub(super) fn names_somebody(&self, text: &str) -> bool {
        let words = |text: &str| -> Vec<String> {
            text.split(|letter: char| !letter.is_alphanumeric())
                .filter(|word| word.chars().count() > 1)
                .map(str::to_lowercase)
                .collect()
        };
        let said = words(text);
        let mut names = self.adapted.students.iter();
        names.any(|student| words(&student.name).iter().any(|name| said.contains(name)))
    }

    /// How long a line takes in all; nothing for one that comes in several rounds among others.
    pub(super) fn duration(&self, first: &Step, steps: &[&Step]) -> Option<String> {
        let last = steps.last().copied().unwrap_or(first);
        let alone = steps
            .windows(2)
            .all(|pair| pair[1].index == pair[0].index + 1);
        let end = self
            .adapted
            .steps
            .get(last.index)
            .map_or(self.adapted.class.planned_s, |next| {
                let link = self.adapted.events.iter().find(|event| {
                    event.start_s >= last.start_s + last.hold_s && event.start_s < next.start_s
                });
                link.map_or(next.start_s, |event| event.start_s)
            });
        alone.then(|| minutes(end.saturating_sub(first.start_s)))
    }

    /// A demand in plain words.
    pub(super) fn demand(&self, demand: &DemandId) -> String {
        let known = self.library.demands.get(demand);
        known.map_or_else(|| demand.to_string(), |demand| demand.words.clone())
    }
}

/// Sides, breaths or minutes, and rounds of a line.
fn sides_and_breaths(first: &Step, steps: &[&Step]) -> String {
    let mut parts = Vec::new();
    let rounds = steps.iter().map(|step| step.round).max().unwrap_or(1);
    if let Some(second) = steps
        .iter()
        .find(|step| step.taught.side != first.taught.side)
    {
        parts.push(format!(
            "{}, then {}",
            side(first.taught.side),
            side(second.taught.side)
        ));
    } else if first.taught.side != Side::None {
        parts.push(side(first.taught.side).to_owned());
    }
    parts.push(match first.breaths {
        Some(number) => breaths(number),
        None => minutes(first.hold_s),
    });
    if rounds > 1 {
        parts.push(plural(
            usize::try_from(rounds).unwrap_or(1),
            "time",
            "times",
        ));
    }
    parts.join(", ")
}
