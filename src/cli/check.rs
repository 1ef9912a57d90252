//! `kindfold check`: files, library and coverage.

use std::path::Path;

use super::args::{Common, Format, Planning};
use super::meant::{Inputs, as_read, inputs, library};
use super::{Ended, Stopped, output};
use crate::adapted::Adapted;
use crate::input::reading::{Reading, is_outline};
use crate::library::Library;
use crate::library::check::LibraryReport;
use crate::problem::Problems;
use crate::sheets::layout::hanging;
use crate::sheets::words::{minutes, plural};
use crate::sheets::{along, class_yaml, understood};

pub(super) fn run(
    class: Option<&Path>,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    match (common.format, class) {
        (Format::Text, _) => {}
        (Format::Html, Some(class)) => return drawn(class, planning, common),
        _ => {
            return Err(output::no_such_form(
                "A check",
                "text, and that of a class as html",
            ));
        }
    }
    let most = output::width(common);
    let mut out = Vec::new();
    let (report, asks) = match class {
        None => {
            let library = library(common)?;
            let report = about_library(&library, most, &mut out);
            about_bodies(&library, most, &mut out);
            (report, 0)
        }
        Some(path) => {
            let inputs = as_read(path, planning, common)?;
            if !inputs.wrong.is_empty() {
                return mistaken(inputs, most);
            }
            let lines = inputs.class.lines().count();
            let about = format!(
                "{}, {}; {}",
                plural(lines, "step", "steps"),
                minutes(inputs.class.slot_s),
                how_far(&inputs)
            );
            out.extend(hanging(&super::output::shown(path), &about, 22, most));
            let mut asks = Vec::new();
            if let Some(path) = &planning.roster {
                let outcome = crate::adapt::adapt(&inputs.task(), &mut |_| {})?;
                asks = lines_to_ask(&outcome.adapted, &inputs.roster);
                let about = format!(
                    "{}; {} to ask",
                    plural(inputs.roster.students.len(), "person", "people"),
                    plural(asks.len(), "thing", "things")
                );
                out.extend(hanging(&super::output::shown(path), &about, 22, most));
            }
            let report = about_library(&inputs.library, most, &mut out);
            out.extend(about_class(&inputs, most));
            if let Some(file) = &common.output {
                checked_form(path, file, &inputs)?;
            }
            if !asks.is_empty() {
                out.push(String::new());
                out.push("Ask before class:".to_owned());
            }
            for (line, what) in &asks {
                out.extend(hanging(&format!("  line {line}"), what, 13, most));
            }
            (report, asks.len() + inputs.asks.len() + inputs.unread.len())
        }
    };
    let text = out.join("\n") + "\n";
    match class {
        // The file asked for is the class in its checked form.
        Some(_) => output::screen(&text)?,
        None => output::result(&text, common)?,
    }
    let wrong = !report.faults.is_empty() || (common.strict && asks > 0);
    Ok(if wrong { Ended::Needs } else { Ended::Done })
}

/// Shows how far an outline with mistakes was understood, and the mistakes; nothing is written.
fn mistaken(inputs: Inputs, most: usize) -> Result<Ended, Stopped> {
    let lines = about_class(&inputs, most);
    let text = lines.join("\n");
    output::screen(&format!("{}\n\n", text.trim_start()))?;
    let mut problems = Problems::default();
    problems.extend(inputs.wrong);
    Err(problems.into())
}

/// What the class asks along the clock, as a page.
fn drawn(class: &Path, planning: &Planning, common: &Common) -> Result<Ended, Stopped> {
    let inputs = inputs(class, planning, common)?;
    let table = crate::timetable::timetable(&inputs.class, &inputs.library, &inputs.settings);
    let print = output::print_of(common);
    let page = along::html(&inputs.class, &table, &inputs.library, print);
    output::result(&page, common)?;
    Ok(Ended::Done)
}

/// How far a class was understood, in a few words.
fn how_far(inputs: &Inputs) -> String {
    let mut told = Vec::new();
    if !inputs.unread.is_empty() {
        let places = plural(inputs.unread.len(), "place", "places");
        told.push(format!("{places} not understood"));
    }
    if !inputs.asks.is_empty() {
        let things = plural(inputs.asks.len(), "thing", "things");
        told.push(format!("{things} to confirm, marked ?"));
    }
    if told.is_empty() {
        "every name is known".to_owned()
    } else {
        told.join("; ")
    }
}

/// How each line was understood, and what was not.
fn about_class(inputs: &Inputs, most: usize) -> Vec<String> {
    let reading = reading(inputs);
    let mut out = understood::lines(&reading, &inputs.library, &inputs.settings, most);
    let whole = understood::of_the_whole(&reading.asks);
    if !whole.is_empty() {
        out.push(String::new());
    }
    for words in whole {
        out.extend(hanging("?", &words, 2, most));
    }
    if !reading.unread.is_empty() {
        out.push(String::new());
        out.push("Not understood, and left out:".to_owned());
    }
    for problem in &reading.unread {
        out.push(String::new());
        out.push(problem.to_string());
    }
    out
}

fn reading(inputs: &Inputs) -> Reading {
    Reading {
        class: inputs.class.clone(),
        asks: inputs.asks.clone(),
        unread: inputs.unread.clone(),
        wrong: inputs.wrong.clone(),
    }
}

/// Writes the class in its checked form, never over the file it came from.
fn checked_form(class: &Path, file: &Path, inputs: &Inputs) -> Result<(), Stopped> {
    let name = file.display().to_string();
    if is_outline(&name) || file == class {
        return Err(Stopped::Usage(format!(
            "-o {name}: the checked form is a class plan in YAML. Give it a name of its own that \
             ends in .yaml.   [checked-form-name]"
        )));
    }
    let text = class_yaml::file(&reading(inputs), &inputs.library);
    output::file(file, &text)?;
    output::message(&format!("Written: {name}"))
}

fn about_library(library: &Library, most: usize, out: &mut Vec<String>) -> LibraryReport {
    let report = library.check();
    let rules: usize = library
        .limitations
        .values()
        .map(|limitation| limitation.rules.len())
        .sum();
    let about = format!(
        "{} postures, {rules} rules, {} sources; {}",
        library
            .postures
            .values()
            .filter(|posture| !posture.is_part)
            .count(),
        library.sources.len(),
        if report.faults.is_empty() {
            "each passes its own checks, which says nothing about a person".to_owned()
        } else {
            plural(report.faults.len(), "thing to mend", "things to mend")
        }
    );
    out.extend(hanging("library", &about, 22, most));
    for fault in &report.faults {
        out.push(String::new());
        out.push(fault.to_string());
    }
    report
}

/// Settles every body again: which are not what is kept, and which end elsewhere from another start.
fn about_bodies(library: &Library, most: usize, out: &mut Vec<String>) {
    let found = library.recompute();
    let about = format!(
        "{} settled again, {} not as kept; from other starts {} by more than 5 degrees or 3 % of load",
        found.shapes,
        found.stale.len(),
        plural(found.unsteady.len(), "moves", "move"),
    );
    out.extend(hanging("bodies", &about, 22, most));
    for line in found.stale.iter().chain(&found.unsteady) {
        out.extend(hanging("", line, 22, most));
    }
}

/// Line of the roster and what is to be asked there: no names, no notes.
fn lines_to_ask(adapted: &Adapted, roster: &crate::roster::Roster) -> Vec<(usize, &'static str)> {
    let mut lines: Vec<(usize, &'static str)> = adapted
        .cautions
        .iter()
        .filter_map(|caution| {
            use crate::adapted::CautionKind as Kind;
            let student = roster.student(caution.student.as_ref()?)?;
            let what = match caution.kind {
                Kind::AskFirst => "a clinician’s word is wanted first",
                Kind::Today => "something said at the door",
                Kind::Unrecognised => {
                    "something not understood, or not told: kept for you to read, not guessed"
                }
                Kind::Stale => "something that may have changed since",
                Kind::NotAsked => "somebody never asked, or who would rather not say",
                _ => return None,
            };
            Some((student.file_line, what))
        })
        .collect();
    lines.sort_unstable();
    lines.dedup();
    lines
}
