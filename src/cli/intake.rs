//! `kindfold intake`: a sign-up sheet becomes a roster.

use std::path::Path;

use super::args::{Common, Dates, Format};
use super::meant::{library, typed_date};
use super::{Ended, Stopped, output};
use crate::input::text::{read_bytes, read_file};
use crate::intake::{self, Asked, DayOrder, Made, Means, Unmade, column_of, reason};
use crate::problem::{Problems, quoted};
use crate::sheets::layout::{hanging, wrapped};
use crate::sheets::words::plural;

/// What was typed beside the sheet.
pub(super) struct Typed<'a> {
    pub(super) merge: Option<&'a Path>,
    pub(super) recorded: Option<&'a str>,
    pub(super) columns: &'a [String],
    pub(super) dates: Option<Dates>,
    pub(super) tab: Option<&'a str>,
}

pub(super) fn run(sheet: &Path, typed: &Typed<'_>, common: &Common) -> Result<Ended, Stopped> {
    if common.format != Format::Text {
        return Err(output::no_such_form("A roster", "text (YAML)"));
    }
    refuse_to_write_over(typed.merge, common)?;
    let columns = columns(typed.columns)?;
    let recorded = typed
        .recorded
        .map(|text| typed_date("--recorded", text))
        .transpose()?;
    let library = library(common)?;
    let mut problems = Problems::default();
    let bytes = read_bytes(sheet, intake::MOST_BYTES)
        .map_err(|problem| problems.push(problem))
        .ok();
    let old = typed.merge.map(|path| {
        read_file(path)
            .map_err(|problem| problems.push(problem))
            .ok()
    });
    let bytes = problems.or(bytes)?;
    let asked = Asked {
        recorded,
        today: jiff::ZonedDateTime::now().date(),
        columns: &columns,
        order: match typed.dates {
            None => DayOrder::Unknown,
            Some(Dates::DayFirst) => DayOrder::DayFirst,
            Some(Dates::MonthFirst) => DayOrder::MonthFirst,
        },
        tab: typed.tab,
    };
    let name = sheet.display().to_string();
    let made =
        intake::intake(&name, &bytes, old.flatten(), &library, &asked).map_err(|unmade| {
            match unmade {
                Unmade::Unreadable => Stopped::Unreadable,
                Unmade::Problems(found) => {
                    let mut problems = Problems::default();
                    problems.extend(found);
                    Stopped::Problems(problems)
                }
            }
        })?;
    output::result(&made.text, common)?;
    output::message(&about(&name, &made, output::width(common)))?;
    let needs = common.strict && !made.ask.is_empty();
    Ok(if needs { Ended::Needs } else { Ended::Done })
}

/// A roster that is there is only written over when it is the one merged with.
fn refuse_to_write_over(merge: Option<&Path>, common: &Common) -> Result<(), Stopped> {
    let Some(path) = common.output.as_deref().filter(|path| path.exists()) else {
        return Ok(());
    };
    let same = |other: &Path| match (path.canonicalize(), other.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    };
    if merge.is_some_and(same) {
        return Ok(());
    }
    let shown = path.display();
    Err(Stopped::Usage(format!(
        "{shown} is there already and is not written over. To add the sheet to it and keep what you \
         wrote: --merge {shown} -o {shown}; else choose another name.   [file-exists]"
    )))
}

/// `F=words` as a column and its meaning.
fn columns(typed: &[String]) -> Result<Vec<(usize, Means)>, Stopped> {
    typed
        .iter()
        .map(|text| {
            let parts = text.split_once('=');
            let read = parts.and_then(|(letter, means)| Some((column_of(letter)?, Means::from_id(means.trim())?)));
            read.ok_or_else(|| {
                Stopped::Usage(format!(
                    "--column {}: write a letter and what the column is, as in F=words. It can be {}.   [column-form]",
                    quoted(text),
                    Means::ids().join(", ")
                ))
            })
        })
        .collect()
}

/// What was understood, without a name or a word of anybody.
fn about(name: &str, made: &Made, most: usize) -> String {
    let tally = &made.tally;
    let people = tally.told + tally.nothing + tally.blank + tally.not_asked + tally.declined;
    let mut out = vec![
        format!(
            "{name}: {}. What each column was taken for:",
            plural(people, "person", "people")
        ),
        String::new(),
    ];
    for column in &made.columns {
        let heading = if column.heading.is_empty() {
            String::new()
        } else {
            format!("{}: ", quoted(&column.heading))
        };
        let what = format!("{heading}{}{}", column.means.label(), reason(column.by));
        out.extend(hanging(&format!("  {}", column.letter), &what, 6, most));
    }
    out.push(String::new());
    out.extend(wrapped(
        "Another meaning for one: --column LETTER=WHAT, as in --column F=words.",
        most,
    ));
    let answers = [
        (tally.told, "told something"),
        (tally.nothing, "asked, nothing to tell"),
        (tally.blank, "left blank or not asked for: unknown"),
        (tally.not_asked, "never asked: unknown"),
        (tally.declined, "would rather not say: unknown"),
    ];
    let answers: Vec<String> = answers
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{count} {what}"))
        .collect();
    out.push(String::new());
    out.extend(wrapped(&format!("{}.", answers.join("; ")), most));
    for notice in &made.notices {
        out.extend(wrapped(notice, most));
    }
    if !made.ask.is_empty() {
        out.push(String::new());
        out.push("Ask before class (by line of the roster, where it stands in words):".to_owned());
        for of_line in made.ask.chunk_by(|a, b| a.0 == b.0) {
            let what: Vec<&str> = of_line.iter().map(|(_, what)| *what).collect();
            let line = of_line.first().map_or(0, |(line, _)| *line);
            out.extend(hanging(
                &format!("  line {line}"),
                &what.join("; "),
                13,
                most,
            ));
        }
    }
    out.join("\n")
}
