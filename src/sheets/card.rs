//! Cards: one page for one person, with what they do otherwise and nothing of anybody else.
//!
//! Invariant: no word of a condition, no measure, no source, no clock, no other person. A
//! confidential person's card is made only when it is asked for by name.

use super::changes::Change;
use super::clinicians;
use super::figure::Size;
use super::page::{Block, Document, Item, Page};
use super::props::household;
use super::reading::Reading;
use super::words::{capital, lower, speaks};
use crate::adapt::signs::warning_signs;
use crate::adapted::{Adapted, Assignment, State, StudentPlan};
use crate::library::Library;
use crate::settings::Settings;
use crate::words::{Prop, StudentId};

/// What lies ready under feet that do not reach the floor, as its own person reads it (common practice, no
/// source).
const FOOT_STEP: &str = "Two blocks or a folded blanket are there for your feet while you sit still. Away with \
                         them before you stand.";

/// The same once they have sat down again.
const FOOT_STEP_BACK: &str = "Put them back when you sit to rest.";

/// What their own chair is for.
const RISES_BY_ARMS: &str = "Yours is a chair with arms: press on them to stand up.";

/// More changes than this are told by section.
const MOST_ITEMS: usize = 12;
/// Height of a page that items may take, in millimetres.
const ROOM_MM: f64 = 178.0;
/// An item's heading and a line of it, with the space around them.
const HEADING_MM: f64 = 10.0;
const LINE_MM: f64 = 6.7;
/// Width of a figure, and how much larger figures are in large print.
const FIGURE_WIDTH_MM: f64 = 34.0;
const LARGER: f64 = 1.5;
/// Heights of a figure, the best first.
const FIGURE_MM: [f64; 3] = [30.0, 24.0, 20.0];

const fn size(width_mm: f64, height_mm: f64) -> Size {
    Size {
        width_mm,
        height_mm,
    }
}

/// Cards of everyone who does something otherwise, or of one person.
pub fn cards(
    adapted: &Adapted,
    settings: &Settings,
    library: &Library,
    only: Option<&StudentId>,
) -> Document {
    let reading = Reading::new(adapted, settings, library);
    let pages = adapted
        .students
        .iter()
        .filter(|student| match only {
            Some(id) => student.id == *id,
            None => !student.confidential && student.place != "recording",
        })
        .filter_map(|student| reading.card(student, only.is_some()))
        .collect();
    Document {
        title: adapted.class.title.clone(),
        kind: if only.is_some() {
            "own card"
        } else {
            "own cards"
        },
        style: "card",
        pages,
    }
}

impl Reading<'_> {
    /// Nothing for a person without a change, unless their card was asked for.
    fn card(&self, student: &StudentPlan, asked: bool) -> Option<Page> {
        let changes = self.changes(student);
        let nothing = changes.is_empty() || follows(student, &changes);
        let foot_step = student.foot_step_until.is_some();
        if nothing && !foot_step && !asked {
            return None;
        }
        let all = changes.iter().all(|change| change.another);
        let own_way = all && changes.len() == self.by_line().len();
        let mut blocks = vec![Block::Line(match (changes.is_empty(), student.state) {
            (false, _) if own_way => {
                "This is your own way through the class. You can rest at any time.".to_owned()
            }
            (true, State::NotAsked | State::Declined) => {
                "Do what everyone does, or any kinder shape that is offered. You can rest at any \
                 time. Anything to tell your teacher? Quietly is fine."
                    .to_owned()
            }
            (true, _) => "Do what everyone does. You can rest at any time.".to_owned(),
            (false, _) => {
                "Do what everyone does, with these changes. You can rest at any time.".to_owned()
            }
        })];
        if !changes.is_empty() {
            blocks.push(Block::Heading("Your way through".to_owned()));
            blocks.extend(items(changes));
        }
        blocks.extend(self.by_them(student));
        if foot_step {
            let back = student.foot_step_back.map(|_| FOOT_STEP_BACK);
            let arms = student.rises_by_arms.then_some(RISES_BY_ARMS);
            let told = [Some(FOOT_STEP), back, arms];
            let told: Vec<&str> = told.into_iter().flatten().collect();
            blocks.push(Block::Line(told.join(" ")));
        }
        blocks.extend(self.their_words(student));
        blocks.push(Block::Line(format!(
            "Stop and tell your teacher: {}.",
            warning_signs(student, self.library).join("; ")
        )));
        let name = student
            .name
            .split_whitespace()
            .next()
            .unwrap_or(&student.name);
        let twice = self
            .adapted
            .students
            .iter()
            .filter(|other| other.name.split_whitespace().next() == Some(name));
        Some(Page {
            title: if twice.count() > 1 {
                student.name.clone()
            } else {
                name.to_owned()
            },
            when: format!("{}, {}", self.adapted.class.title, self.when()),
            blocks,
        })
    }

    /// What to have by them at home, of whoever is on video: what they use, and what stands for it there.
    fn by_them(&self, student: &StudentPlan) -> Option<Block> {
        let mut used: Vec<Prop> = Vec::new();
        for (step, given) in self.adapted.steps.iter().zip(&student.assignments) {
            let shown = given.posture == step.lead.posture || given.posture == step.taught.posture;
            let shown = step.props.keys().filter(|_| shown);
            used.extend(given.props.keys().chain(shown));
        }
        used.sort();
        used.dedup();
        let has = !used.is_empty() && student.place == "video";
        has.then(|| Block::Line(format!("To have by you: {}.", household(&used))))
    }

    /// What their own clinicians said, in their words.
    fn their_words(&self, student: &StudentPlan) -> Vec<Block> {
        let cautions = self.adapted.cautions.iter();
        let theirs = cautions.filter(|caution| caution.student.as_ref() == Some(&student.id));
        let lang = speaks(&student.access);
        clinicians::said(theirs, "You told us your", lang.as_deref())
    }
}

/// Changes as items, those that say the same joined; by section where there are very many.
fn items(changes: Vec<Change>) -> Vec<Block> {
    let joined = joined(changes);
    if joined.len() > MOST_ITEMS {
        return by_section(joined);
    }
    let (height_mm, drawn) = figures(&joined);
    joined
        .into_iter()
        .zip(drawn)
        .map(|((change, shown), drawn)| {
            let figure = drawn.then(|| change.figure.clone());
            let (heading, lines) = told(change, &shown);
            Block::Item(Item {
                heading,
                lines,
                figure,
                first: None,
                size: [
                    size(FIGURE_WIDTH_MM, height_mm),
                    size(FIGURE_WIDTH_MM * LARGER, height_mm * LARGER),
                ],
            })
        })
        .collect()
}

/// How high figures are, and which items have one: all at the best height that fits, else those
/// of other shapes, in order, as far as the page reaches.
fn figures(joined: &[(Change, Vec<String>)]) -> (f64, Vec<bool>) {
    let words = |change: &Change| {
        let lines = change
            .does
            .len()
            .saturating_sub(usize::from(change.another));
        HEADING_MM + LINE_MM * f64::from(u32::try_from(lines).unwrap_or(0))
    };
    let total: f64 = joined.iter().map(|(change, _)| words(change)).sum();
    let more = |change: &Change, height: f64| (height + 4.0 - words(change)).max(0.0);
    for height in FIGURE_MM {
        let all: f64 = joined.iter().map(|(change, _)| more(change, height)).sum();
        if total + all <= ROOM_MM {
            return (height, vec![true; joined.len()]);
        }
    }
    let least = FIGURE_MM[2];
    let mut used = total;
    let drawn = joined.iter().map(|(change, _)| {
        let fits = change.another && used + more(change, least) <= ROOM_MM;
        if fits {
            used += more(change, least);
        }
        fits
    });
    (least, drawn.collect())
}

/// Whether somebody who told of nothing only keeps to the shape that was planned.
fn follows(student: &StudentPlan, changes: &[Change]) -> bool {
    let mut findings = student.assignments.iter().flat_map(Assignment::findings);
    let told = findings.next().is_some();
    !told && changes.iter().all(|change| change.as_planned)
}

/// Neighbours that say the same of one kind, with the names of the shapes shown.
fn joined(changes: Vec<Change>) -> Vec<(Change, Vec<String>)> {
    let mut joined: Vec<(Change, Vec<String>)> = Vec::new();
    for change in changes {
        let shown = lower(&change.shown);
        match joined.last_mut() {
            Some((last, names)) if last.does == change.does && last.section == change.section => {
                if !names.contains(&shown) {
                    names.push(shown);
                }
            }
            _ => joined.push((change, vec![shown])),
        }
    }
    joined
}

/// What they do first, where it is another shape; else the shape shown and how.
fn told(change: Change, shown: &[String]) -> (String, Vec<String>) {
    let shown = shown.join(", ");
    let mut does = change.does;
    if change.another {
        let first = does.remove(0);
        (format!("{first}, while others do {shown}"), does)
    } else {
        (capital(&shown), does)
    }
}

fn by_section(joined: Vec<(Change, Vec<String>)>) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut section = String::new();
    for (change, shown) in joined {
        if change.section != section {
            section = change.section.clone();
            blocks.push(Block::Item(Item {
                heading: section.clone(),
                ..Item::default()
            }));
        }
        let does: Vec<String> = change.does.iter().map(|words| lower(words)).collect();
        let line = format!("{}: {}", capital(&shown.join(", ")), does.join("; "));
        if let Some(Block::Item(item)) = blocks.last_mut() {
            item.lines.push(line);
        }
    }
    blocks
}
