//! What no plan settles and only a question can: the teacher's own shapes that are like nothing in the library, at
//! which no rule can look (contract section 4.1), and steps at which nothing is left for somebody.

use super::Scene;
use crate::class::Taught;
use crate::judge::facts::Person;
use crate::problem::quoted;
use crate::search::candidate::What;
use crate::sheets::words::{listed, steps};
use crate::words::Level;

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

    /// What is asked of the steps at which nothing is left for a person, not even a pause where they are: most
    /// likely they stay in a chair, and there is none for them.
    pub(super) fn asked_where_nothing_is_left(
        &self,
        person: &Person<'_>,
    ) -> Option<(String, Vec<usize>)> {
        let mut people = self.people.iter();
        let place = people.position(|one| one.student.id == person.student.id)?;
        let (mut numbers, mut at) = (Vec::new(), Vec::new());
        for (step, (pass, &choice)) in self
            .table
            .passes
            .iter()
            .zip(&self.choices[place])
            .enumerate()
        {
            if self.lines[pass.line].list[choice].what != What::LastPause {
                continue;
            }
            let number = self.table.lines[pass.line].line.number;
            if !numbers.contains(&number) {
                numbers.push(number);
                at.push(step + 1);
            }
        }
        numbers.sort_unstable();
        if numbers.is_empty() {
            return None;
        }
        let steps = steps(&numbers);
        let text = match self.room.start_level(person) {
            Level::Chair => format!(
                "{steps}: they stay in a chair, and there is none for them. Can one be brought? Nothing is planned \
                 for them there."
            ),
            _ => format!(
                "{steps}: nothing that is known here is left for them. What would they do there?"
            ),
        };
        Some((text, at))
    }
}
