//! How bad something is: words, and numbers out of ten.

use super::found::Taken;
use super::{Reader, targets};
use crate::lexicon::book::Meaning;
use crate::lexicon::clauses::Clause;
use crate::words::{LimitationId, Severity};

impl Reader<'_> {
    /// How bad: the worst word of the clause, unless a scale says it.
    pub(super) fn take_severity(&mut self, clause: &Clause<'_>, begun: usize, taken: &mut Taken) {
        let scale = self.scale(clause, taken);
        // "Not mild" is not mild.
        let no = clause
            .spans
            .iter()
            .any(|span| span.is(|m| *m == Meaning::Negation) && !self.is_of_the(span, clause));
        let said = |severity: &Severity| !(no && *severity == Severity::Mild);
        let worst = clause
            .spans
            .iter()
            .flat_map(|span| span.meanings.iter())
            .filter_map(|meaning| match meaning {
                Meaning::Severity(severity) => Some(*severity),
                _ => None,
            })
            .filter(said)
            .max();
        let own: Vec<(LimitationId, Severity)> = clause
            .spans
            .iter()
            .flat_map(|span| span.meanings.iter())
            .filter_map(|meaning| match meaning {
                Meaning::SeverityOf(id, severity) if said(severity) => {
                    Some((id.clone(), *severity))
                }
                _ => None,
            })
            .collect();
        for (id, severity) in own {
            for found in self.found.iter_mut().filter(|found| found.id == id) {
                found.severity = Some(severity);
                found.severity_settled = true;
            }
        }
        let Some(severity) = scale.or(worst) else {
            return;
        };
        for found in targets(&mut self.found, begun) {
            found.say_severity(severity, scale.is_some());
        }
    }

    /// "6/10", "6 out of 10".
    fn scale(&self, clause: &Clause<'_>, taken: &mut Taken) -> Option<Severity> {
        for at in clause.start..clause.end {
            let token = |offset: usize| {
                let place = at + offset;
                (place < clause.end)
                    .then(|| self.tokens.get(place))
                    .flatten()
            };
            let Some(number) = token(0)
                .filter(|first| first.digits)
                .and_then(|first| first.number)
            else {
                continue;
            };
            let ten = |offset: usize| token(offset).is_some_and(|token| token.number == Some(10));
            let slash = ten(1) && token(1).is_some_and(|ten| ten.gap.trim() == "/");
            let word = |offset: usize| {
                token(offset).is_some_and(|token| self.book.out_of.contains(token.key()))
            };
            let length = if slash {
                2
            } else if word(1) && ten(2) {
                3
            } else if word(1) && word(2) && ten(3) {
                4
            } else {
                continue;
            };
            let said = self
                .book
                .scale
                .iter()
                .find(|(from, to, _)| (*from..=*to).contains(&number));
            taken.words.extend(at..at + length);
            return said.map(|(.., severity)| *severity);
        }
        None
    }
}
