//! `kindfold adapt`: the main job.

use std::path::Path;

use super::all_sheets::Folder;
use super::args::{Common, Format, Planning, SheetName};
use super::meant::{Inputs, inputs, needs_teacher, student_named};
use super::progress::Gap;
use super::{Ended, Stopped, output};
use crate::adapt::adapt;
use crate::adapted::Adapted;
use crate::sheets;

/// What is printed of a plan.
pub(super) enum Wanted<'a> {
    /// One sheet, or one person’s card.
    One(SheetName, Option<&'a str>),
    /// A file for each sheet.
    All(Folder<'a>),
}

/// The sheets, in the order in which a teacher takes them up.
const SHEETS: [SheetName; 6] = [
    SheetName::Teacher,
    SheetName::Room,
    SheetName::Cards,
    SheetName::Props,
    SheetName::Cautions,
    SheetName::Record,
];

pub(super) fn run(
    class: &Path,
    wanted: Wanted<'_>,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    let inputs = inputs(class, planning, common)?;
    if inputs.date_is_today {
        output::message(&format!(
            "No date anywhere: planned for today, {}.",
            inputs.date
        ))?;
    }
    let mut gap = Gap::new();
    let outcome = adapt(&inputs.task(), &mut |progress| gap.show(progress))?;
    drop(gap);
    if let Some(path) = &planning.instance {
        output::file(path, &output::json(&outcome.instance)?)?;
    }
    let of = |sheet, student| print(&outcome.adapted, &inputs, sheet, student, common);
    match wanted {
        Wanted::One(sheet, student) => output::result(&of(sheet, student)?, common)?,
        Wanted::All(folder) => folder.write(&SHEETS, |sheet| of(sheet, None))?,
    }
    let needs = common.strict && (needs_teacher(&outcome.adapted) || !inputs.asks.is_empty());
    Ok(if needs { Ended::Needs } else { Ended::Done })
}

/// The result in the form asked for.
pub(super) fn print(
    adapted: &Adapted,
    inputs: &Inputs,
    sheet: SheetName,
    student: Option<&str>,
    common: &Common,
) -> Result<String, Stopped> {
    let (settings, library) = (&inputs.settings, &inputs.library);
    let only = student
        .map(|name| student_named(adapted, name))
        .transpose()?;
    // Somebody’s name alone asks for their card.
    let sheet = match (sheet, only) {
        (SheetName::Teacher, Some(_)) => SheetName::Cards,
        (SheetName::Cards, _) | (_, None) => sheet,
        (_, Some(_)) => {
            return Err(Stopped::Usage(
                "--student gives one person’s card: leave --sheet out, or write --sheet cards."
                    .to_owned(),
            ));
        }
    };
    let teacher = || sheets::teacher::sheet(adapted, settings, library);
    let paper = output::print_of(common);
    let document = match (sheet, common.format) {
        (SheetName::Teacher, Format::Json) => return output::json(adapted),
        // The JSON holds everything of everybody; a sheet that leaves people out has none.
        (_, Format::Json) => {
            return Err(output::no_such_form(
                "This sheet",
                "text, markdown, html or csv",
            ));
        }
        (SheetName::Teacher, Format::Text) => {
            return Ok(sheets::text::teacher(&teacher(), output::width(common)));
        }
        (SheetName::Teacher, Format::Html) => {
            return Ok(sheets::teacher_html::html(&teacher(), library, paper));
        }
        (SheetName::Cautions, Format::Html) => {
            return Ok(sheets::teacher_html::cautions(&teacher(), paper));
        }
        (SheetName::Cards, Format::Csv) => {
            return Err(output::no_such_form("Cards", "text, markdown or html"));
        }
        (SheetName::Teacher, _) => sheets::teacher_page::teacher(&teacher()),
        (SheetName::Cautions, _) => sheets::teacher_page::cautions(&teacher()),
        (SheetName::Room, _) => sheets::room::room(adapted, settings, library),
        (SheetName::Cards, _) => {
            sheets::card::cards(adapted, settings, library, only.map(|student| &student.id))
        }
        (SheetName::Props, _) => sheets::props::props(adapted, settings, library),
        (SheetName::Record, _) => sheets::record::record(adapted, settings, library),
    };
    Ok(output::printed(&document, library, common))
}
