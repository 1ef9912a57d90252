//! `kindfold audit`: a second reading of an adapted class.

use std::path::Path;

use super::args::{Common, Format, Planning};
use super::meant::inputs;
use super::{Ended, Stopped, output};
use crate::adapted::Adapted;
use crate::audit::{Basis, Finding, audit};
use crate::input::text::read_file;
use crate::problem::{Code, Place, Problem, Problems};
use crate::sheets::words::plural;

pub(super) fn run(
    adapted: &Path,
    class: &Path,
    planning: &Planning,
    common: &Common,
) -> Result<Ended, Stopped> {
    let inputs = inputs(class, planning, common)?;
    let adapted = read(adapted)?;
    let found = audit(
        &adapted,
        &Basis {
            library: &inputs.library,
            class: &inputs.class,
            roster: &inputs.roster,
            stock: &inputs.stock,
            settings: &inputs.settings,
            date: inputs.date,
            max_options: inputs.max_options,
        },
    );
    let text = match common.format {
        Format::Json => output::json(&found.iter().map(json).collect::<Vec<_>>())?,
        _ => text(&found, adapted.steps.len(), adapted.students.len()),
    };
    output::result(&text, common)?;
    Ok(if found.is_empty() {
        Ended::Done
    } else {
        Ended::Needs
    })
}

fn text(found: &[Finding], steps: usize, people: usize) -> String {
    if found.is_empty() {
        return format!(
            "Read again: {} and {}. Nothing was found against the rules, the props or the sums.\n\
             That says nothing about a person.\n",
            plural(steps, "step", "steps"),
            plural(people, "person", "people")
        );
    }
    let mut lines: Vec<String> = found
        .iter()
        .map(|finding| match finding.step {
            Some(step) => format!(
                "step {step} of the expanded class: {}   [{}]",
                finding.text,
                finding.kind.as_str()
            ),
            None => format!("{}   [{}]", finding.text, finding.kind.as_str()),
        })
        .collect();
    lines.push(String::new());
    lines.push(format!(
        "{} found. Make the sheet anew.",
        plural(found.len(), "thing", "things")
    ));
    lines.join("\n") + "\n"
}

fn json(finding: &Finding) -> serde_json::Value {
    serde_json::json!({
        "kind": finding.kind.as_str(),
        "step": finding.step,
        "text": finding.text,
    })
}

/// An adapted class as JSON; nothing of its text is shown when it cannot be read.
fn read(path: &Path) -> Result<Adapted, Stopped> {
    let mut problems = Problems::default();
    let source = match read_file(path) {
        Ok(source) => source,
        Err(problem) => {
            problems.push(problem);
            return Err(problems.into());
        }
    };
    serde_json::from_str(source.text()).map_err(|_| {
        problems.push(Problem::new(
            Code::NotAdapted,
            Place::file(path.display().to_string()),
            "this is not an adapted class as kindfold writes it",
            "Make it with “kindfold adapt … --format json -o FILE”.",
        ));
        Stopped::Problems(problems)
    })
}
