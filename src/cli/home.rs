//! `kindfold home`: a few things of somebody's own class, to do alone.

use std::path::Path;

use super::args::{Common, Format, Planning};
use super::meant::{Inputs, inputs, student_named};
use super::{Ended, Stopped, output};
use crate::adapt::adapt;
use crate::home::{Home, NoFlow, home};
use crate::sheets;

/// Whom a home flow is for, and how much.
pub(super) struct Typed<'a> {
    /// Their name.
    pub student: &'a str,
    /// Minutes a day.
    pub minutes: u32,
    /// Days a week.
    pub days: u32,
}

pub(super) fn run(
    class: &Path,
    typed: &Typed<'_>,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    if planning.roster.is_none() {
        return Err(Stopped::Usage(
            "A home sheet is made from what is known of one person: add --roster FILE.   \
             [roster-wanted]"
                .to_owned(),
        ));
    }
    let inputs = inputs(class, planning, common)?;
    let task = inputs.task();
    let outcome = adapt(&task, &mut |_| {})?;
    if let Some(path) = &planning.instance {
        output::file(path, &output::json(&outcome.instance)?)?;
    }
    let student = student_named(&outcome.adapted, typed.student)?;
    let home = home(
        &task,
        &outcome.adapted,
        &student.id,
        typed.minutes,
        typed.days,
    );
    let home = home.map_err(refused)?;
    output::result(&print(&home, &inputs, common)?, common)?;
    let needs = common.strict && home.steps.is_empty();
    Ok(if needs { Ended::Needs } else { Ended::Done })
}

fn refused(why: NoFlow) -> Stopped {
    Stopped::Usage(match why {
        NoFlow::NoRest => "Nothing that they did in this class is a rest to end with. Plan a rest at \
                           its end, then make the sheet again.   [home-no-rest]"
            .to_owned(),
        NoFlow::NoWayUp => "They rest on the floor in this class, and coming up from there alone is not \
                            open to them. Plan a rest on a chair or sitting at the wall, then make the \
                            sheet again.   [home-no-way-up]"
            .to_owned(),
        NoFlow::TooShort(least) => format!(
            "--minutes: three things and a rest of their class take at least {least} minutes. Write \
             {least} or more.   [home-too-short]"
        ),
        NoFlow::TooLittle => "Fewer than three things of their class may be done alone at home, so \
                              there is no sheet. Plan a class with more that they can do, lying, sitting \
                              or with a hand on the wall.   [home-too-little]"
            .to_owned(),
        NoFlow::Recording => "Who watches a recording is not known, so there is no home sheet for \
                              them.   [home-recording]"
            .to_owned(),
    })
}

fn print(home: &Home, inputs: &Inputs, common: &Common) -> Result<String, Stopped> {
    let (settings, library) = (&inputs.settings, &inputs.library);
    match common.format {
        Format::Json => output::json(home),
        Format::Csv => Err(output::no_such_form(
            "A home sheet",
            "text, markdown, html or json",
        )),
        Format::Text | Format::Markdown | Format::Html => {
            let document = sheets::home::sheet(home, settings, library, common.large);
            Ok(output::printed(&document, library, common))
        }
    }
}
