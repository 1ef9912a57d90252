//! `kindfold adapt`: the main job.

use std::path::Path;

use super::args::{Common, Format, Planning, SheetName};
use super::meant::{Inputs, inputs, needs_teacher};
use super::{Ended, Stopped, output};
use crate::adapt::{Outcome, adapt};
use crate::sheets;

pub(super) fn run(
    class: &Path,
    sheet: SheetName,
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
    let outcome = adapt(&inputs.task(), &mut |_| {})?;
    if let Some(path) = &planning.instance {
        output::file(path, &output::json(&outcome.instance)?)?;
    }
    output::result(&print(&outcome, &inputs, sheet, common)?, common)?;
    let needs = common.strict && (needs_teacher(&outcome.adapted) || !inputs.asks.is_empty());
    Ok(if needs { Ended::Needs } else { Ended::Done })
}

/// The result in the form asked for.
pub(super) fn print(
    outcome: &Outcome,
    inputs: &Inputs,
    sheet: SheetName,
    common: &Common,
) -> Result<String, Stopped> {
    match (common.format, sheet) {
        (Format::Json, _) => output::json(&outcome.adapted),
        (Format::Text, SheetName::Teacher) => {
            let sheet = sheets::teacher::sheet(&outcome.adapted, &inputs.settings, &inputs.library);
            Ok(sheets::text::teacher(&sheet, output::width(common)))
        }
        (Format::Html, SheetName::Teacher) => {
            let sheet = sheets::teacher::sheet(&outcome.adapted, &inputs.settings, &inputs.library);
            let print = sheets::html::Print {
                large: common.large,
                letter: common.paper == super::args::Paper::Letter,
            };
            Ok(sheets::teacher_html::html(&sheet, &inputs.library, print))
        }
        (Format::Markdown | Format::Csv, SheetName::Teacher) => {
            Err(output::no_such_form("The teacher’s sheet", "text or json"))
        }
    }
}
