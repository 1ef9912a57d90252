//! Reads the cupboard.

use super::kind::{FileKind, root};
use super::table::{Document, Field};
use super::text::Source;
use crate::problem::{Code, Problem};
use crate::settings::PropStock;
use crate::words::{Prop, PropCounts};

/// Reads a file of props: `block: 16` and so on, alone or under `props`.
///
/// # Errors
/// Every problem of the file.
pub fn read(source: Source) -> Result<PropStock, Vec<Problem>> {
    let document = Document::read(source)?;
    let mut counts = None;
    if let Some(mut table) = root(&document, FileKind::Props) {
        if table.has("props") {
            counts = Some(self::counts(table.map("props")));
            table.done();
        } else {
            counts = Some(self::counts(table.into_entries()));
        }
    }
    let problems = document.into_problems();
    if problems.is_empty() {
        Ok(PropStock { counts })
    } else {
        Err(problems)
    }
}

/// Props by their words.
pub(super) fn counts(entries: Vec<(String, Field<'_>)>) -> PropCounts {
    let mut counts = PropCounts::new();
    for (word, field) in entries {
        match Prop::parse(&word) {
            Some(prop) => {
                if let Some(number) = field.whole(0..=1000) {
                    counts.insert(prop, number);
                }
            }
            None => {
                let known = Prop::ALL.iter().map(|prop| prop.as_str());
                field.unknown_key(Code::UnknownProp, &word, "a known prop", known);
            }
        }
    }
    counts
}
