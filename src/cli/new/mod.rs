//! `kindfold new`: a commented file to begin from.

use std::path::PathBuf;

use super::args::{Common, FileName, Format};
use super::{Ended, Stopped, output};

/// Writes the file asked for, or one named after its kind into the current folder.
///
/// # Errors
/// [`Stopped::Usage`] when something of that name is there already: it stays as it is.
pub(super) fn run(file: FileName, common: &Common) -> Result<Ended, Stopped> {
    if common.format != Format::Text {
        return Err(output::no_such_form("A file to begin from", "text"));
    }
    let (text, name, next) = match file {
        FileName::Class => (
            include_str!("class.yaml"),
            "class.yaml",
            "kindfold check CLASS",
        ),
        FileName::Roster => (
            include_str!("roster.yaml"),
            "roster.yaml",
            "kindfold adapt class.yaml --roster ROSTER",
        ),
        FileName::Props => (
            include_str!("props.yaml"),
            "props.yaml",
            "kindfold adapt class.yaml --props PROPS",
        ),
        FileName::Settings => (
            include_str!("settings.yaml"),
            "settings.yaml",
            "kindfold adapt class.yaml --settings SETTINGS",
        ),
    };
    let path = common.output.clone().unwrap_or_else(|| PathBuf::from(name));
    let shown = path.display().to_string();
    if !output::new_file(&path, text)? {
        return Err(Stopped::Usage(format!(
            "{shown} is there already and was left as it is. Give another name with -o, or move \
             the old file away.   [file-exists]"
        )));
    }
    let next = ["CLASS", "ROSTER", "PROPS", "SETTINGS"]
        .iter()
        .fold(next.to_owned(), |next, word| next.replace(word, &shown));
    output::message(&format!(
        "Written: {shown}\nOpen it in a text editor and put your own words in. Then: {next}"
    ))?;
    Ok(Ended::Done)
}
