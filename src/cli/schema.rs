//! `kindfold schema`: the form of a file, for editors and other programs.

use super::args::{Common, FileName, Format};
use super::meant::library;
use super::{Ended, Stopped, output};
use crate::input::schema;

/// Writes the JSON Schema of a file, with the words of the library in use.
///
/// # Errors
/// The problems of a library's files; an output that cannot be written.
pub(super) fn run(file: FileName, common: &Common) -> Result<Ended, Stopped> {
    if !matches!(common.format, Format::Text | Format::Json) {
        return Err(output::no_such_form("A schema", "json"));
    }
    let library = library(common)?;
    let schema = match file {
        FileName::Class => schema::class(&library),
        FileName::Roster => schema::roster(&library),
        FileName::Props => schema::props(),
        FileName::Settings => schema::settings(&library),
    };
    output::result(&output::json(&schema)?, common)?;
    Ok(Ended::Done)
}
