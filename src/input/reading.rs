//! Reads a class from whatever file it is written in: a plan in YAML, or an outline.
//!
//! Takes the text of a file; gives a [`Reading`]. Which of the two it is follows from the ending of
//! the file's name, never from what stands in it.

use super::outline::{self, Ask};
use super::text::Source;
use crate::class::ClassPlan;
use crate::library::Library;
use crate::problem::Problem;

/// A class as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was understood.
    pub class: ClassPlan,
    /// What was read without being written just so, in the order of the file.
    pub asks: Vec<Ask>,
    /// Words that were not understood and are left out, in the order of the file. A step that
    /// surely is one (it has a hold, a side or a count) is never left out: that is an error.
    pub unread: Vec<Problem>,
    /// Mistakes of the outline. With any, the class is there to be shown and for nothing else.
    pub wrong: Vec<Problem>,
}

/// Reads a class plan or an outline.
///
/// # Errors
/// Every problem of the file.
pub fn read(source: Source, library: &Library) -> Result<Reading, Vec<Problem>> {
    let reading = read_to_show(source, library)?;
    if reading.wrong.is_empty() {
        Ok(reading)
    } else {
        Err(reading.wrong)
    }
}

/// Reads a class plan or an outline as far as it can be understood, mistakes and all.
///
/// # Errors
/// Every problem of a file that is no class at all.
pub fn read_to_show(source: Source, library: &Library) -> Result<Reading, Vec<Problem>> {
    if is_outline(source.name()) {
        return outline::read(&source, library);
    }
    Ok(Reading {
        class: super::class::read(source, library)?,
        asks: Vec::new(),
        unread: Vec::new(),
        wrong: Vec::new(),
    })
}

/// Whether a file of this name is an outline.
pub fn is_outline(name: &str) -> bool {
    let ending = name
        .rsplit_once('.')
        .map(|(_, ending)| ending.to_lowercase());
    matches!(ending.as_deref(), Some("md" | "txt" | "markdown"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("class.md", true)]
    #[case("my.class.TXT", true)]
    #[case("class.markdown", true)]
    #[case("class.yaml", false)]
    #[case("class.txt.yaml", false)]
    #[case("txt", false)]
    fn the_ending_tells_an_outline(#[case] name: &str, #[case] outline: bool) {
        assert_eq!(is_outline(name), outline);
    }
}
