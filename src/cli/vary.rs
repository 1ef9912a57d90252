//! `kindfold vary`: a version of a whole class, made without naming anyone.

use std::path::Path;

use super::args::{Common, Format, Planning, SheetName};
use super::meant::{Inputs, inputs};
use super::{Ended, Stopped, adapt, output};
use crate::input::reading::Reading;
use crate::input::suggest::did_you_mean;
use crate::library::Library;
use crate::library::blanket::{Blanket, Version};
use crate::sheets::{self, class_yaml};
use crate::vary::{Varied, vary};

pub(super) fn run(
    class: &Path,
    names: &str,
    sheet: Option<SheetName>,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    if planning.roster.is_some() {
        return Err(Stopped::Usage(
            "A version is made without names: leave --roster out, or use kindfold adapt."
                .to_owned(),
        ));
    }
    let inputs = inputs(class, planning, common)?;
    let version = version(names, &inputs.library)?;
    let varied = vary(&inputs.task(), &version)?;
    if let Some(path) = &planning.instance {
        output::file(path, &output::json(&varied.instance)?)?;
    }
    let as_plan = common.output.as_deref().filter(|path| is_plan(path));
    let text = match as_plan {
        Some(path) if path == class => {
            return Err(Stopped::Usage(format!(
                "-o {}: give the version a name of its own.   [version-name]",
                output::shown(path)
            )));
        }
        Some(_) => as_class_plan(&varied, &inputs.library),
        None => print(&varied, &version, &inputs, sheet, common)?,
    };
    output::result(&text, common)?;
    let needs = common.strict && !varied.losses.is_empty();
    Ok(if needs { Ended::Needs } else { Ended::Done })
}

/// Whether a file of this name holds a class plan.
fn is_plan(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_ascii_lowercase());
    ending.is_some_and(|ending| ending == "yaml" || ending == "yml")
}

fn as_class_plan(varied: &Varied, library: &Library) -> String {
    let reading = Reading {
        class: varied.class.clone(),
        asks: Vec::new(),
        unread: Vec::new(),
        wrong: Vec::new(),
    };
    class_yaml::file(&reading, library)
}

/// The blankets of `--for`, put together.
fn version<'l>(names: &str, library: &'l Library) -> Result<Version<'l>, Stopped> {
    let mut blankets: Vec<&Blanket> = Vec::new();
    for name in names.split(',').map(str::trim) {
        let blankets_known = || library.blankets.iter().map(|one| one.id.as_str());
        let Some(blanket) = library.blankets.iter().find(|one| one.id.as_str() == name) else {
            let known: Vec<&str> = blankets_known().collect();
            return Err(Stopped::Usage(format!(
                "--for: no version is called “{name}”. {}   [unknown-version]",
                did_you_mean(name, known)
            )));
        };
        if blankets.iter().any(|other| other.id == blanket.id) {
            return Err(Stopped::Usage(format!(
                "--for: “{name}” stands there twice. Write each version once.   [version-twice]"
            )));
        }
        let clashes = |other: &&&Blanket| {
            other.not_with.contains(&blanket.id) || blanket.not_with.contains(&other.id)
        };
        if let Some(other) = blankets.iter().find(clashes) {
            return Err(Stopped::Usage(format!(
                "--for: a class cannot be {} and {}. Write “{}” or “{name}”.   [versions-clash]",
                other.words, blanket.words, other.id
            )));
        }
        blankets.push(blanket);
    }
    Ok(Version { blankets })
}

fn print(
    varied: &Varied,
    version: &Version<'_>,
    inputs: &Inputs,
    sheet: Option<SheetName>,
    common: &Common,
) -> Result<String, Stopped> {
    let (settings, library) = (&inputs.settings, &inputs.library);
    match sheet {
        Some(SheetName::Cards | SheetName::Cautions) => {
            return Err(Stopped::Usage(
                "A version names nobody, so it has no cards and no cautions: write --sheet \
                 teacher, room, props or record, or leave it out."
                    .to_owned(),
            ));
        }
        Some(sheet) => return adapt::print(&varied.adapted, inputs, sheet, None, common),
        None => {}
    }
    let on_paper = common.format == Format::Html;
    if common.format == Format::Json {
        return output::json(&varied.adapted);
    }
    let document = sheets::vary::sheet(varied, version, settings, library, on_paper);
    Ok(output::printed(&document, library, common))
}
