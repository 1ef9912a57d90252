//! Every sheet of one plan, written side by side into a folder.

use std::path::Path;

use clap::ValueEnum;

use super::args::{Common, Format, SheetName};
use super::{Stopped, output};

/// The folder that `--all-sheets` writes into.
pub(super) struct Folder<'a> {
    path: &'a Path,
    ending: &'static str,
}

impl<'a> Folder<'a> {
    /// What the command line asks for, read before anything is planned.
    ///
    /// # Errors
    /// [`Stopped::Usage`] without a folder, with a file in its place, or for a form that not every sheet has.
    pub(super) fn asked(common: &'a Common) -> Result<Self, Stopped> {
        let ending = match common.format {
            Format::Text => "txt",
            Format::Markdown => "md",
            Format::Html => "html",
            Format::Json | Format::Csv => {
                return Err(output::no_such_form(
                    "All sheets together",
                    "text, markdown or html",
                ));
            }
        };
        let Some(path) = common.output.as_deref() else {
            return Err(Stopped::Usage(
                "--all-sheets writes a file for each sheet: name the folder for them, as in -o \
                 tuesday.   [sheets-folder]"
                    .to_owned(),
            ));
        };
        if path.exists() && !path.is_dir() {
            return Err(Stopped::Usage(format!(
                "-o {}: that is a file, and --all-sheets needs a folder. Give it a name of its \
                 own.   [sheets-folder]",
                output::shown(path)
            )));
        }
        Ok(Self { path, ending })
    }

    /// Prints all sheets first, then writes them; the folder is made if it is not there.
    ///
    /// # Errors
    /// [`Stopped::Output`] when one cannot be written; files that are there already are whole.
    pub(super) fn write(
        &self,
        sheets: &[SheetName],
        print: impl Fn(SheetName) -> Result<String, Stopped>,
    ) -> Result<(), Stopped> {
        let printed = sheets.iter().map(|&sheet| Ok((sheet, print(sheet)?)));
        let printed = printed.collect::<Result<Vec<_>, Stopped>>()?;
        output::folder(self.path)?;
        for (sheet, text) in printed {
            let value = sheet.to_possible_value();
            let name = value.as_ref().map_or("sheet", |value| value.get_name());
            let path = self.path.join(format!("{name}.{}", self.ending));
            output::told_file(&path, &text)?;
        }
        Ok(())
    }
}
