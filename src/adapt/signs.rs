//! When to stop and get help: the signs for everyone, and those that belong to what a person told.

use crate::adapted::StudentPlan;
use crate::library::Library;

/// Signs for everyone.
const EVERYONE: &str = "H";

/// The signs of a student, those for everyone first.
pub fn warning_signs(student: &StudentPlan, library: &Library) -> Vec<String> {
    let findings = student.assignments.iter().flat_map(|assignment| {
        let instead = assignment.instead_of.iter();
        let instead = instead.flat_map(|other| &other.verdicts);
        assignment.verdicts.iter().chain(instead)
    });
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
