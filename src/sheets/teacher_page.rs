//! The teacher's sheet and the cautions as content for the forms that have no layout of their own.

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::teacher::{CLOSING, QUIETLY_ONCE, Row, Sheet};

/// The whole sheet.
pub fn teacher(sheet: &Sheet) -> Document {
    let mut blocks = vec![Block::Line(sheet.who.clone())];
    blocks.extend(
        sheet
            .summary
            .iter()
            .chain(&sheet.advice)
            .cloned()
            .map(Block::Line),
    );
    ask(&mut blocks, sheet);
    let set_out = sheet.set_out.iter().cloned();
    let short = sheet.short.iter().map(|line| format!("short at {line}"));
    list(&mut blocks, "Set out", set_out.chain(short).collect());
    list(&mut blocks, "Say once to everyone", sheet.say_once.clone());
    let once = sheet.once.iter();
    let once = once.map(|line| vec![Cell::of(line.names.join(" ")), Cell::of(line.text.clone())]);
    people_table(
        &mut blocks,
        QUIETLY_ONCE,
        ["Short name", "What to say"],
        once.collect(),
    );
    blocks.push(Block::Table(Table {
        style: "class",
        heads: vec![
            "Clock",
            "Number",
            "Shown by you",
            "Beside it, and for whom",
            "Props",
        ],
        groups: sheet
            .sections
            .iter()
            .map(|section| Group {
                name: section.name.clone(),
                aside: format!("until {}", section.until),
                rows: section.rows.iter().map(row).collect(),
            })
            .collect(),
    }));
    close(&mut blocks, sheet);
    document(sheet, "teacher’s sheet", blocks)
}

/// The own page alone, without what is set out.
pub fn cautions(sheet: &Sheet) -> Document {
    let mut blocks = Vec::new();
    ask(&mut blocks, sheet);
    close(&mut blocks, sheet);
    document(sheet, "cautions", blocks)
}

fn document(sheet: &Sheet, kind: &'static str, blocks: Vec<Block>) -> Document {
    Document {
        title: sheet.title.clone(),
        kind,
        style: "own",
        pages: vec![Page {
            title: sheet.title.clone(),
            when: sheet.when.clone(),
            blocks,
        }],
    }
}

fn row(row: &Row) -> Vec<Cell> {
    let mut how = vec![row.duration.clone(), row.how.clone()];
    how.retain(|part| !part.is_empty());
    let mut shown = vec![how.join(", ")];
    shown.extend(
        row.instead_of
            .iter()
            .map(|taught| format!("in place of {taught}")),
    );
    let (props, beside) = row
        .beside
        .iter()
        .partition::<Vec<_>, _>(|line| line.margin == super::teacher::Margin::Fetch);
    let beside = beside.into_iter().map(|line| {
        let who = match line.names.as_slice() {
            [] => String::new(),
            names => format!(" ({})", names.join(" ")),
        };
        format!("{}: {}{who}", line.margin.word(), line.text)
    });
    vec![
        Cell::strong(row.clock.clone()),
        Cell::of(
            row.number
                .map_or_else(String::new, |number| number.to_string()),
        ),
        Cell {
            strong: row.name.clone(),
            lines: shown,
            ..Cell::default()
        },
        Cell::lines(beside.collect()),
        Cell::lines(props.into_iter().map(|line| line.text.clone()).collect()),
    ]
}

fn list(blocks: &mut Vec<Block>, heading: &str, lines: Vec<String>) {
    if !lines.is_empty() {
        blocks.push(Block::Heading(heading.to_owned()));
        blocks.push(Block::List(lines));
    }
}

fn ask(blocks: &mut Vec<Block>, sheet: &Sheet) {
    let rows = sheet.ask.iter();
    let rows =
        rows.map(|(name, texts)| vec![Cell::strong(name.clone()), Cell::lines(texts.clone())]);
    people_table(
        blocks,
        "Ask first, at the mat and quietly",
        ["Name", "Ask"],
        rows.collect(),
    );
}

fn close(blocks: &mut Vec<Block>, sheet: &Sheet) {
    let rows = sheet.people.iter().map(|person| {
        let mut lines = Vec::new();
        if !person.facts.is_empty() {
            lines.push(format!(
                "{}.",
                super::words::capital(&person.facts.join(", "))
            ));
        }
        lines.extend(person.lines.iter().map(|(line, note)| match note {
            Some(note) => format!("{line} [{note}]"),
            None => line.clone(),
        }));
        vec![Cell::strong(person.name.clone()), Cell::lines(lines)]
    });
    people_table(
        blocks,
        "People. Keep this part to yourself.",
        ["Name", "What to know"],
        rows.collect(),
    );
    let notes = sheet.notes.iter().enumerate();
    let notes = notes.map(|(place, note)| format!("[{}] {note}", place + 1));
    list(blocks, "How strong is it", notes.collect());
    list(blocks, "Stop and get help", sheet.stop.clone());
    blocks.push(Block::Line(CLOSING.to_owned()));
}

fn people_table(
    blocks: &mut Vec<Block>,
    heading: &str,
    heads: [&'static str; 2],
    rows: Vec<Vec<Cell>>,
) {
    if rows.is_empty() {
        return;
    }
    blocks.push(Block::Heading(heading.to_owned()));
    blocks.push(Block::Table(Table {
        style: "asked",
        heads: heads.to_vec(),
        groups: vec![Group {
            rows,
            ..Group::default()
        }],
    }));
}
