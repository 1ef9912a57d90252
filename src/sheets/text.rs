//! The teacher's sheet as text for a screen or a pipe: indentation only, no ruled lines.

use super::layout::{ends, hanging, padded, width, wrapped};
use super::teacher::{Beside, CLOSING, QUIETLY_ONCE, Row, Sheet};

/// Where names begin on a line of 80 or more columns, and of 96 or more.
const NAMES_AT: usize = 66;
const NAMES_AT_WIDE: usize = 84;

/// The sheet at a width in columns.
pub fn teacher(sheet: &Sheet, most: usize) -> String {
    let mut out = Vec::new();
    out.extend(wrapped(&sheet.title, most));
    out.extend(wrapped(&sheet.when, most));
    out.extend(wrapped(&sheet.who, most));
    out.push(String::new());
    for sentence in sheet.summary.iter().chain(&sheet.advice) {
        out.extend(hanging(" ", sentence, 2, most));
    }
    if !sheet.ask.is_empty() {
        heading(&mut out, "Ask first, at the mat and quietly");
        let indent = sheet
            .ask
            .iter()
            .map(|(name, _)| width(name))
            .max()
            .unwrap_or(0)
            .min(16)
            + 4;
        for (name, texts) in &sheet.ask {
            let mut first = format!("  {name}");
            for text in texts {
                out.extend(hanging(&first, text, indent, most));
                first = " ".into();
            }
        }
    }
    if !sheet.set_out.is_empty() || !sheet.short.is_empty() {
        heading(&mut out, "Set out");
        for line in &sheet.set_out {
            out.extend(hanging(" ", line, 2, most));
        }
        for line in &sheet.short {
            out.extend(hanging("  Short at", line, 11, most));
        }
    }
    heading(&mut out, "Say once to everyone");
    for line in &sheet.say_once {
        out.extend(hanging(" ", line, 2, most));
    }
    if !sheet.once.is_empty() {
        heading(&mut out, QUIETLY_ONCE);
    }
    for line in &sheet.once {
        beside(&mut out, line, 2, most);
    }
    for section in &sheet.sections {
        heading(
            &mut out,
            &format!("{}, until {}", section.name, section.until),
        );
        for line in &section.rows {
            row(&mut out, line, most);
        }
    }
    people(&mut out, sheet, most);
    out.push(String::new());
    for (place, stop) in sheet.stop.iter().enumerate() {
        let start = if place == 0 {
            "Stop and get help: "
        } else {
            "Also: "
        };
        out.extend(wrapped(&format!("{start}{stop}"), most));
    }
    out.extend(wrapped(CLOSING, most));
    if !sheet.next.is_empty() {
        out.push(String::new());
    }
    for line in &sheet.next {
        out.extend(wrapped(line, most));
    }
    let mut text = out
        .iter()
        .map(|line| line.trim_end())
        .collect::<Vec<_>>()
        .join("\n");
    text.push('\n');
    text
}

fn heading(out: &mut Vec<String>, words: &str) {
    out.push(String::new());
    out.push(words.to_owned());
}

fn people(out: &mut Vec<String>, sheet: &Sheet, most: usize) {
    if !sheet.people.is_empty() {
        heading(out, "People. Keep this part to yourself.");
        let indent = sheet
            .people
            .iter()
            .map(|person| width(&person.short_name))
            .max()
            .unwrap_or(2)
            + 4;
        for person in &sheet.people {
            let name = match person.facts.as_slice() {
                [] => person.name.clone(),
                facts => format!("{} ({})", person.name, facts.join(", ")),
            };
            out.extend(hanging(
                &format!("  {}", person.short_name),
                &name,
                indent,
                most,
            ));
            for (line, note) in &person.lines {
                let text = match note {
                    Some(note) => format!("{line} [{note}]"),
                    None => line.clone(),
                };
                out.extend(hanging(" ", &text, indent, most));
            }
        }
    }
    if !sheet.notes.is_empty() {
        heading(out, "How strong is it");
        for (place, note) in sheet.notes.iter().enumerate() {
            out.extend(hanging(&format!("  [{}]", place + 1), note, 7, most));
        }
    }
}

fn row(out: &mut Vec<String>, row: &Row, most: usize) {
    let number = row
        .number
        .map_or(String::new(), |number| number.to_string());
    let head = format!("  {}{number:>4}  ", padded(&row.clock, 6));
    let indent = width(&head);
    let full = if row.how.is_empty() {
        format!("{head}{}", row.name)
    } else {
        format!("{head}{}: {}", row.name, row.how)
    };
    match ends(&full, &row.duration, most) {
        Some(line) => out.push(line),
        None => {
            let name = format!("{head}{}", row.name);
            out.push(ends(&name, &row.duration, most).unwrap_or(name));
            out.extend(hanging(" ", &row.how, indent, most));
        }
    }
    if let Some(taught) = &row.instead_of {
        out.extend(hanging(" ", &format!("instead of {taught}"), indent, most));
    }
    for line in &row.beside {
        beside(out, line, indent, most);
    }
}

/// One margin line: the word, what it says, and the names in their own column.
fn beside(out: &mut Vec<String>, line: &Beside, indent: usize, most: usize) {
    let first = format!("{}{}", " ".repeat(indent), line.margin.word());
    let start = indent + 7;
    let names = line.names.join(" ");
    if names.is_empty() {
        out.extend(hanging(&first, &line.text, start, most));
        return;
    }
    let column = if most >= 96 { NAMES_AT_WIDE } else { NAMES_AT };
    if most < 80 {
        out.extend(hanging(
            &first,
            &format!("{} ({names})", line.text),
            start,
            most,
        ));
        return;
    }
    let texts = hanging(&first, &line.text, start, column - 1);
    let names = wrapped(&names, most - column);
    for place in 0..texts.len().max(names.len()) {
        let text = texts.get(place).map_or("", String::as_str);
        let name = names.get(place).map_or("", String::as_str);
        out.push(format!("{}{name}", padded(text, column)));
    }
}
