//! How bad something is: words, and numbers out of ten.

use super::found::Taken;
use super::{Reader, targets};
use crate::lexicon::book::Meaning;
use crate::lexicon::clauses::{Clause, Span};
use crate::lexicon::tokens::Token;
use crate::words::{LimitationId, Severity};

impl Reader<'_> {
    /// How bad: the worst word of the clause, unless a scale says it.
    pub(super) fn take_severity(
        &mut self,
        place: usize,
        clause: &Clause<'_>,
        begun: usize,
        taken: &mut Taken,
    ) {
        let scale = self.scale(clause, taken);
        if scale.is_some() && self.is_nought(clause) {
            self.ask(place, "is anything the matter with it");
        }
        let denied = clause.spans.iter().any(|span| {
            span.is(|m| matches!(m, Meaning::Severity(_)))
                && self.is_no_severity(clause, span, begun)
        });
        let worst = clause
            .spans
            .iter()
            .filter(|span| !self.is_no_severity(clause, span, begun))
            .filter(|span| !(denied && self.is_of_today(span)))
            .flat_map(|span| span.meanings.iter())
            .filter_map(|meaning| match meaning {
                Meaning::Severity(severity) => Some(*severity),
                _ => None,
            })
            .max();
        let own: Vec<(LimitationId, Severity)> = clause
            .spans
            .iter()
            .flat_map(|span| span.meanings.iter())
            .filter_map(|meaning| match meaning {
                Meaning::SeverityOf(id, severity) => Some((id.clone(), *severity)),
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
        let mut still = false;
        for found in targets(&mut self.found, begun) {
            // "Fine now, but kneeling hurts" is not over.
            still |= found.fine && severity > Severity::Mild;
            found.fine &= severity == Severity::Mild;
            found.say_severity(severity, scale.is_some());
        }
        if still {
            self.ask(place, "is it over, or not");
        }
    }

    /// "Ankle not swollen": a "no" behind the body word takes the word for how bad away, and is asked
    /// about.
    fn is_no_severity(&self, clause: &Clause<'_>, span: &Span<'_>, begun: usize) -> bool {
        let first = self.found.get(begun);
        let behind = first.is_none_or(|found| found.start < span.start);
        behind && self.is_denied(clause, span.start)
    }

    fn is_of_today(&self, span: &Span<'_>) -> bool {
        let words = self.tokens.get(span.start..span.end).unwrap_or_default();
        let today = |token: &Token| self.book.of_today.contains(token.key());
        words.iter().all(today)
    }

    /// How bad a clause says it is, if it is not only bad for being today's.
    pub(super) fn is_bad(&self, clause: &Clause<'_>) -> bool {
        clause.spans.iter().any(|span| {
            let today = self.is_of_today(span);
            let bad =
                |m: &Meaning| matches!(m, Meaning::Severity(severity) if *severity > Severity::Mild);
            span.is(bad) && !today
        })
    }

    /// "0/10" is no pain on the day, and no word on the rest.
    fn is_nought(&self, clause: &Clause<'_>) -> bool {
        let words = self.tokens.get(clause.start..clause.end);
        let mut words = words.unwrap_or_default().iter();
        words.any(|token| token.digits && token.number == Some(0))
    }

    /// "6/10", "6 out of 10".
    fn scale(&self, clause: &Clause<'_>, taken: &mut Taken) -> Option<Severity> {
        let mut worst = None;
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
            let date = token(2).is_some_and(|year| year.digits && year.gap.trim() == "/");
            let slash = !date && ten(1) && token(1).is_some_and(|ten| ten.gap.trim() == "/");
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
            worst = worst.max(said.map(|(.., severity)| *severity));
        }
        worst
    }
}
