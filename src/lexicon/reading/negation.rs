//! What a "no" takes away, and what it does not.

use super::Reader;
use super::found::Found;
use crate::lexicon::book::Meaning;
use crate::lexicon::clauses::{Clause, Span};
use crate::words::Severity;

impl Reader<'_> {
    /// A "no" takes away what follows it. One that follows, that stands beside another, or whose
    /// clause holds a word nobody knows, takes nothing away and is asked about.
    pub(super) fn negate(
        &mut self,
        place: usize,
        clause: &Clause<'_>,
        begun: usize,
        understood: bool,
    ) {
        let negations: Vec<&Span<'_>> = clause
            .spans
            .iter()
            .filter(|span| span.is(|m| *m == Meaning::Negation))
            .filter(|span| !span.is(|m| matches!(m, Meaning::Phrase(_) | Meaning::Severity(_))))
            .filter(|span| !self.is_of_the(span, clause))
            .collect();
        let Some(first) = negations.first() else {
            return;
        };
        let (start, languages) = (first.start, &first.languages);
        let acute = |m: &Meaning| *m == Meaning::Severity(Severity::Acute);
        let troubled = clause.spans.iter().any(|span| span.is(acute));
        let mine: Vec<&Found> = self.found.iter().skip(begun).collect();
        let after = mine.iter().any(|found| !found.need && found.start < start);
        let bare = mine.is_empty() && !self.found.is_empty();
        // "No" of one language before a body word of another is no sure thing.
        let foreign = mine.iter().any(|found| {
            let theirs = &found.languages;
            !theirs.is_empty()
                && theirs
                    .iter()
                    .all(|code| !languages.contains(&code.as_str()))
        });
        let leaves = self.leaves_something(first, clause, &mine);
        let doubtful = negations.len() > 1 || troubled || after || bare || foreign || leaves;
        if doubtful || !understood {
            let question = "with a “no” in it: which way is it meant";
            self.unread.push((place, Some(question.to_owned())));
            return;
        }
        self.negated = true;
        let kept = self.found.split_off(begun);
        self.found.extend(
            kept.into_iter()
                .filter(|found| found.need || found.start < start),
        );
    }

    /// Whether the words beside a "no" leave something over: a time ("since the operation", "this month"),
    /// an "only", a second thing behind a "with", a part that was taken out, "no knees" as a wish, a slash.
    fn leaves_something(&self, no: &Span<'_>, clause: &Clause<'_>, mine: &[&Found]) -> bool {
        let has = |kind: Meaning| clause.spans.iter().any(|span| span.is(|m| *m == kind));
        let parted = |span: &Span<'_>| {
            span.is(|m| *m == Meaning::Beside)
                && mine.iter().any(|found| found.end <= span.start)
                && mine.iter().any(|found| found.start >= span.end)
        };
        let spanned = |at: usize| {
            let of = |span: &Span<'_>| (span.start..span.end).contains(&at);
            clause.spans.iter().any(of)
        };
        let wish = !mine.is_empty()
            && mine
                .iter()
                .all(|found| found.plural && found.is_area(self.book))
            && (clause.start..clause.end).all(spanned);
        let slash = self
            .tokens
            .get(no.end)
            .is_some_and(|next| no.end < clause.end && next.gap.contains('/'));
        has(Meaning::Ongoing)
            || has(Meaning::Leaves)
            || has(Meaning::Part)
            || clause.spans.iter().any(parted)
            || wish
            || slash
    }

    /// Portuguese "no joelho" is "in the knee".
    pub(super) fn is_of_the(&self, span: &Span<'_>, clause: &Clause<'_>) -> bool {
        let written = self
            .tokens
            .get(span.start)
            .is_some_and(|token| token.key() == "no");
        let next = clause.spans.iter().find(|next| next.start >= span.end);
        let theirs = next
            .map(|next| next.languages.as_slice())
            .unwrap_or_default();
        written && span.end == span.start + 1 && theirs.contains(&"pt") && !theirs.contains(&"en")
    }
}
