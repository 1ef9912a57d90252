//! The room sheet: for a cover teacher, the wall, the group.
//!
//! Invariant: nothing points to one person. No names, no counts of people, no words of health, no
//! sides of a body, nothing of anybody late, absent or confidential; every choice is open to all.

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::reading::Reading;
use super::words::counted;
use crate::adapted::{Adapted, Step};
use crate::library::Library;
use crate::settings::Settings;
use crate::words::Prop;

/// Puts the sheet together.
pub fn room(adapted: &Adapted, settings: &Settings, library: &Library) -> Document {
    let reading = Reading::new(adapted, settings, library);
    let mut blocks = vec![
        Block::Line(
            "Every choice below is open to everyone. Come out whenever you like.".to_owned(),
        ),
        Block::Table(Table {
            style: "class",
            heads: vec!["Clock", "", "Shown by you", "Or, for anyone", "Props"],
            groups: reading.open_groups(),
        }),
    ];
    blocks.push(Block::Line(reading.last_words()));
    Document {
        title: adapted.class.title.clone(),
        kind: "room sheet",
        style: "room",
        pages: vec![Page {
            title: adapted.class.title.clone(),
            when: reading.when(),
            blocks,
        }],
    }
}

impl Reading<'_> {
    fn open_groups(&self) -> Vec<Group> {
        self.by_section(|first, steps| self.open_row(first, steps))
    }

    fn open_row(&self, first: &Step, steps: &[&Step]) -> Vec<Cell> {
        let figure = Cell {
            figure: Some((first.lead.posture.clone(), first.lead.side)),
            ..Cell::default()
        };
        let shown = Cell {
            strong: first.lead.name.clone(),
            lines: vec![self.how_open(first, steps)],
            ..Cell::default()
        };
        let props = first.props.iter();
        let props = props.map(|(&prop, &number)| {
            let each = format!("{} each", counted(number, prop));
            // What does not reach round is not promised to all.
            match self.reaches_not(prop, steps) {
                Some(stock) => format!("{each}, {stock} there"),
                None => each,
            }
        });
        vec![
            Cell::strong(self.at(first.start_s)),
            figure,
            shown,
            Cell::lines(self.open_choices(first, steps)),
            Cell::lines(props.collect()),
        ]
    }

    /// How many there are of a prop that runs short at one of these steps.
    fn reaches_not(&self, prop: Prop, steps: &[&Step]) -> Option<u32> {
        let short = self.adapted.short.iter().find(|short| short.prop == prop)?;
        let mut moments = short.moments();
        let here = moments.any(|(at, _)| steps.iter().any(|step| step.index == at));
        here.then_some(short.stock)
    }

    /// What anyone may choose: the teacher's own words, and every choice but those that only
    /// somebody confidential takes. The same words once.
    fn open_choices(&self, first: &Step, steps: &[&Step]) -> Vec<String> {
        let own = first.or.iter().filter(|words| !self.names_somebody(words));
        let mut choices: Vec<String> = own.cloned().collect();
        for option in steps.iter().flat_map(|step| &step.options) {
            let open = option.for_anyone
                || option
                    .students
                    .iter()
                    .filter_map(|id| self.student(id))
                    .any(|student| !student.confidential);
            if open && !choices.contains(&option.cue) {
                choices.push(option.cue.clone());
            }
        }
        choices
    }

    fn last_words(&self) -> String {
        let ends = match self.start {
            Some(_) => format!("Ends {}. ", self.at(self.adapted.class.adapted_s)),
            None => String::new(),
        };
        let stop = self.library.signs.get("H").map_or("", String::as_str);
        format!(
            "{ends}Keep the rest at the end; if late, shorten the middle. Stop and get help: {stop}."
        )
    }
}
