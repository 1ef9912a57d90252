//! The record: what was taught, to fill in and sign after class.
//!
//! Invariant: no word of health; nobody confidential; what no input gives is a ruled blank.

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::reading::Reading;
use super::words::plural;
use crate::adapted::Adapted;
use crate::library::Library;
use crate::settings::Settings;

/// Puts the sheet together.
pub fn record(adapted: &Adapted, settings: &Settings, library: &Library) -> Document {
    let reading = Reading::new(adapted, settings, library);
    let mut blocks = vec![
        Block::Field("Place".to_owned(), None),
        Block::Field("Teacher".to_owned(), settings.teacher.clone()),
        Block::Heading("Taught".to_owned()),
        Block::Table(Table {
            style: "taught",
            heads: vec![
                "Clock",
                "Number",
                "Planned to be shown",
                "Taught",
                "Changed to",
            ],
            groups: reading.to_tick(),
        }),
        Block::Heading("Who came".to_owned()),
        Block::Table(Table {
            style: "came",
            heads: vec!["Name", "Planned", "Came", "Late, left early"],
            groups: vec![Group {
                rows: reading.who_came(),
                ..Group::default()
            }],
        }),
    ];
    for (label, lines) in [
        ("Others who came", 1),
        ("Choices taken, and by how many", 2),
        ("Reported or seen", 2),
        ("Advice given", 1),
        ("Accident, and what was done", 2),
        ("Props short", 1),
        ("Next time", 2),
    ] {
        blocks.push(Block::Ruled(label.to_owned(), lines));
    }
    blocks.push(Block::Field("Signed, and the day".to_owned(), None));
    Document {
        title: adapted.class.title.clone(),
        kind: "record",
        style: "record",
        pages: vec![Page {
            title: format!("Record: {}", adapted.class.title),
            when: reading.when(),
            blocks,
        }],
    }
}

impl Reading<'_> {
    fn to_tick(&self) -> Vec<Group> {
        self.by_section(|first, steps| {
            let shown = Cell {
                strong: first.lead.name.clone(),
                lines: vec![self.how_open(first, steps)],
                ..Cell::default()
            };
            vec![
                Cell::of(self.at(first.start_s)),
                Cell::of(first.line.to_string()),
                shown,
                Cell::tick(),
                Cell::default(),
            ]
        })
    }

    fn who_came(&self) -> Vec<Vec<Cell>> {
        let here = self.adapted.students.iter();
        here.filter(|student| !student.confidential && student.place != "recording")
            .map(|student| {
                let late = usize::try_from(student.late_min).unwrap_or(0);
                let planned = match (student.place.as_str(), late) {
                    ("video", _) => "on video".to_owned(),
                    (_, 0) => "in the room".to_owned(),
                    (_, late) => format!("in the room, {} late", plural(late, "minute", "minutes")),
                };
                vec![
                    Cell::strong(student.name.clone()),
                    Cell::of(planned),
                    Cell::tick(),
                    Cell::default(),
                ]
            })
            .collect()
    }
}
