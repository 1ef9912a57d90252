//! The floor page: a row for each line of the class, by section.

use super::super::reading::Reading;
use super::super::words::{capital, lower, minutes};
use crate::adapted::{Event, Step};
use crate::words::{PostureId, PropCounts, Side};

/// The four words of the margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Margin {
    /// Props now.
    Fetch,
    /// Say it to all.
    Aloud,
    /// A word in one ear, or their card.
    Quiet,
    /// Nothing changes, look.
    Watch,
}

impl Margin {
    /// The word itself; all have five letters.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fetch => "fetch",
            Self::Aloud => "aloud",
            Self::Quiet => "quiet",
            Self::Watch => "watch",
        }
    }
}

/// A line beside a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    /// What kind.
    pub margin: Margin,
    /// What it says.
    pub text: String,
    /// Short names, or "for anyone"; empty for everyone.
    pub names: Vec<String>,
    /// The shape and side to draw, for a choice.
    pub figure: Option<(PostureId, Side)>,
}

/// A row of the floor page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The clock; empty inside a run.
    pub clock: String,
    /// The line as written; none for talk and moves.
    pub number: Option<usize>,
    /// What is shown.
    pub name: String,
    /// Sides and breaths.
    pub how: String,
    /// How long in all; empty inside a run.
    pub duration: String,
    /// The planned shape, when another is shown.
    pub instead_of: Option<String>,
    /// Lines beside it.
    pub beside: Vec<Beside>,
    /// What the shown shape needs, a person each.
    pub props: PropCounts,
    /// The shape and side to draw.
    pub figure: Option<(PostureId, Side)>,
}

/// A section with its rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// Name.
    pub name: String,
    /// When it ends, on the clock.
    pub until: String,
    /// Its rows.
    pub rows: Vec<Row>,
}

impl<'a> Reading<'a> {
    pub(super) fn sections(&self) -> Vec<Section> {
        let mut sections: Vec<Section> = Vec::new();
        let mut order: Vec<(u32, Row, &str)> = Vec::new();
        for (first, steps) in self.by_line() {
            order.push((first.start_s, self.row(first, &steps), &first.section));
        }
        for event in &self.adapted.events {
            let section = self
                .adapted
                .steps
                .iter()
                .find(|step| step.start_s >= event.start_s)
                .or(self.adapted.steps.last());
            let Some(section) = section else { continue };
            order.push((event.start_s, self.event_row(event), &section.section));
        }
        order.sort_by_key(|(start, row, _)| (*start, row.number));
        for (_, row, name) in order {
            match sections.last_mut().filter(|section| section.name == name) {
                Some(section) => section.rows.push(row),
                None => sections.push(Section {
                    name: name.to_owned(),
                    until: self.section_end(name),
                    rows: vec![row],
                }),
            }
        }
        sections
    }

    fn event_row(&self, event: &Event) -> Row {
        let mut steps = self.adapted.steps.iter();
        let next = steps.find(|step| {
            self.event_before(step)
                .is_some_and(|before| before == event)
        });
        Row {
            clock: self.at(event.start_s),
            number: None,
            name: capital(&event.text),
            how: String::new(),
            duration: minutes(event.seconds),
            instead_of: None,
            beside: next.map_or_else(Vec::new, |next| self.on_the_way(next)),
            props: PropCounts::new(),
            figure: None,
        }
    }

    fn row(&self, first: &'a Step, steps: &[&'a Step]) -> Row {
        let changed = first.lead.posture != first.taught.posture;
        Row {
            clock: self.at(first.start_s),
            number: Some(first.line),
            name: first.lead.name.clone(),
            how: self.how(first, steps),
            duration: self.duration(first, steps).unwrap_or_default(),
            instead_of: changed.then(|| lower(&first.taught.name)),
            beside: self.beside(first, steps),
            props: first.props.clone(),
            figure: Some((first.lead.posture.clone(), first.lead.side)),
        }
    }
}
