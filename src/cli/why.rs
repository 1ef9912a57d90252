//! `kindfold why`: why a step is as it is.

use std::path::Path;

use super::args::{Common, Format, Planning};
use super::meant::{inputs, student_named};
use super::progress::Gap;
use super::{Ended, Stopped, output};
use crate::adapt::adapt;
use crate::sheets::why;

pub(super) fn run(
    class: &Path,
    step: usize,
    student: Option<&str>,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    let inputs = inputs(class, planning, common)?;
    let lines = inputs.class.lines().count();
    if step == 0 || step > lines {
        return Err(Stopped::Usage(format!(
            "--step {step}: this class has steps 1 to {lines}; the number stands beside the clock.   [unknown-step]"
        )));
    }
    let mut gap = Gap::new();
    let outcome = adapt(&inputs.task(), &mut |progress| gap.show(progress))?;
    drop(gap);
    let person = student
        .map(|name| student_named(&outcome.adapted, name))
        .transpose()?;
    let reasons = why::reasons(&outcome, &inputs.task(), step, person);
    let text = match common.format {
        Format::Json => output::json(&reasons)?,
        Format::Text => why::text(
            &reasons,
            &outcome.adapted,
            &inputs.library,
            output::width(common),
        ),
        Format::Markdown | Format::Html | Format::Csv => {
            return Err(output::no_such_form("Why", "text or json"));
        }
    };
    output::result(&text, common)?;
    Ok(Ended::Done)
}
