//! What the teacher fixed for a person and rules keep from them: refused, with the reason.

use super::Scene;
use crate::adapted::Finding;
use crate::judge::facts::Person;
use crate::sheets::words::lower;
use crate::words::Verdict;

impl Scene<'_> {
    /// Each refused shape in words, the step, and the rule that decided.
    pub(super) fn refused(&self, person: &Person<'_>) -> Vec<(String, usize, Finding)> {
        let mut found = Vec::new();
        for (place, line) in self.table.lines.iter().enumerate() {
            let Some((posture, judged)) = self.room.judged_as_fixed(line, person) else {
                continue;
            };
            let barring = |finding: &&Finding| finding.verdict >= Verdict::Ease;
            let mut findings = judged.findings.iter();
            let first = findings.find(barring).filter(|_| judged.form.is_none());
            let step = self.table.first_step(place);
            if let (Some(finding), Some(step)) = (first, step) {
                let text = format!(
                    "step {}: {} was fixed for them, and {} keeps it away ({}). Has their clinician allowed it? \
                     Another shape is given until then.",
                    line.line.number,
                    lower(posture.name()),
                    self.demand_words(&finding.demand),
                    self.task
                        .library
                        .limitations
                        .get(&finding.limitation)
                        .map_or("a rule", |known| known.name.as_str()),
                );
                found.push((text, step, finding.clone()));
            }
        }
        found
    }
}
