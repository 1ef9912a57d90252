//! `kindfold ahead`: what changes between the class's date and a later day.

use std::path::Path;

use super::args::{Common, Format, Planning};
use super::meant::{inputs, typed_date};
use super::{Ended, Stopped, output};
use crate::ahead::{MOST_DAYS, ahead};
use crate::judge::weeks::days_between;
use crate::sheets;

pub(super) fn run(
    class: &Path,
    until: &str,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    if planning.roster.is_none() {
        return Err(Stopped::Usage(
            "To look ahead is to look at people: add --roster FILE.   [roster-wanted]".to_owned(),
        ));
    }
    let last = typed_date("--until", until)?;
    let inputs = inputs(class, planning, common)?;
    let days = days_between(inputs.date, last);
    if days < 1 {
        return Err(Stopped::Usage(format!(
            "--until {until}: the class is on {}. Write a later day, as in --until {}.   [until-early]",
            inputs.date,
            inputs.date.saturating_add(jiff::Span::new().weeks(8)),
        )));
    }
    if days > MOST_DAYS {
        return Err(Stopped::Usage(format!(
            "--until {until}: that is more than five years after the class on {}. What people told is \
             out of date long before; write a nearer day.   [until-late]",
            inputs.date
        )));
    }
    let found = ahead(&inputs.task(), last);
    let text = if common.format == Format::Json {
        output::json(&found)?
    } else {
        let document = sheets::ahead::sheet(&found, &inputs.class, &inputs.library);
        output::printed(&document, &inputs.library, common)
    };
    output::result(&text, common)?;
    let needs = common.strict && !found.changes.is_empty();
    Ok(if needs { Ended::Needs } else { Ended::Done })
}
