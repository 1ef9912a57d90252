//! The teacher's own shapes that are like nothing in the library: no rule can look at them, so whoever told
//! something is asked (contract section 4.1).

use super::Scene;
use crate::class::Taught;
use crate::judge::facts::Person;
use crate::problem::quoted;
use crate::sheets::words::{listed, steps};

impl Scene<'_> {
    /// What a person with limitations is asked about shapes that no rule knows, with the steps; none where there is
    /// no such shape, or another was fixed for them there.
    pub(super) fn asked_about_own(&self, person: &Person<'_>) -> Option<(String, Vec<usize>)> {
        if person.rules.is_empty() || person.rest_only {
            return None;
        }
        let (mut names, mut numbers, mut at) = (Vec::new(), Vec::new(), Vec::new());
        for (place, line) in self.table.lines.iter().enumerate() {
            let Taught::Own { name, like: None } = &line.line.taught else {
                continue;
            };
            if self.room.fixed(line, person).is_some() {
                continue;
            }
            if !names.contains(&quoted(name)) {
                names.push(quoted(name));
            }
            numbers.push(line.line.number);
            at.extend(self.table.first_step(place));
        }
        let (are, them) = match names.len() {
            0 => return None,
            1 => ("is a shape of yours that no rule knows", "it"),
            _ => ("are shapes of yours that no rule knows", "them"),
        };
        let text = format!(
            "{}: {} {are}. What do they say to {them}? Something else is ready until then.",
            steps(&numbers),
            listed(&names)
        );
        Some((text, at))
    }
}
