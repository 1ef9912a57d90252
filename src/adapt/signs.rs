//! When to stop and get help: the signs for everyone, and those that belong to what a person told.

use crate::adapted::{Assignment, StudentPlan};
use crate::library::Library;

/// Signs for everyone.
pub(super) const EVERYONE: &str = "H";

/// The signs of a student, those for everyone first.
pub fn warning_signs(student: &StudentPlan, library: &Library) -> Vec<String> {
    let findings = student.assignments.iter().flat_map(Assignment::findings);
    let mut letters: Vec<&str> = vec![EVERYONE];
    for finding in findings {
        let known = library.limitations.get(&finding.limitation);
        for letter in known.into_iter().flat_map(|known| &known.signs) {
            if !letters.contains(&letter.as_str()) {
                letters.push(letter);
            }
        }
    }
    let said = letters
        .into_iter()
        .filter_map(|letter| library.signs.get(letter));
    said.cloned().collect()
}
