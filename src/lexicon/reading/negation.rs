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
        of_a_kind: bool,
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
        let denies = self
            .found
            .iter()
            .skip(begun)
            .any(|found| found.start > start);
        if of_a_kind && understood && negations.len() == 1 && !denies {
            // "No bleeding" takes nothing else away.
            return;
        }
        let acute = |m: &Meaning| *m == Meaning::Severity(Severity::Acute);
        let troubled = clause.spans.iter().any(|span| span.is(acute));
        let mine: Vec<&Found> = self.found.iter().skip(begun).collect();
        let after = mine.iter().any(|found| !found.need && found.start < start);
        let over = self.found.last().is_some_and(|last| last.fine);
        let bare = mine.is_empty() && !self.found.is_empty() && !over;
        // "No" of one language before a body word of another is no sure thing.
        let foreign = mine.iter().any(|found| {
            let theirs = &found.languages;
            !theirs.is_empty()
                && theirs
                    .iter()
                    .all(|code| !languages.contains(&code.as_str()))
        });
        let neither = negations.iter().all(|span| {
            let word = self.tokens.get(span.start);
            word.is_some_and(|word| self.book.neither.contains(word.key()))
        });
        let several = negations.len() > 1 && !neither;
        let turned = (clause.start..clause.end).any(|at| {
            let word = self.tokens.get(at);
            word.is_some_and(|word| self.book.turns.contains(word.key()))
        });
        let since = clause
            .spans
            .iter()
            .any(|span| span.is(|m| *m == Meaning::Ongoing))
            && !neither;
        // "No trouble with my pacemaker" leaves the pacemaker.
        let end = first.end;
        let lasting = mine.iter().any(|found| {
            let never = self.book.never_fine.contains(found.id.as_str());
            (never || found.is_dated(self.book)) && found.start > end + 1
        });
        let only = (clause.start..clause.end).all(|at| {
            clause
                .spans
                .iter()
                .any(|span| (span.start..span.end).contains(&at))
        });
        let wish = only
            && mine
                .iter()
                .any(|found| found.plural && found.is_area(self.book));
        let doubtful =
            turned || since || lasting || wish || several || troubled || after || bare || foreign;
        if doubtful || !understood {
            let question = "with a “no” in it: which way is it meant";
            self.unread.push((place, Some(question.to_owned())));
            return;
        }
        self.negated = true;
        let (kept, denied): (Vec<Found>, Vec<Found>) = self
            .found
            .split_off(begun)
            .into_iter()
            .partition(|found| found.need || found.start < start);
        self.found.extend(kept);
        let sided = |m: &Meaning| matches!(m, Meaning::Side(_));
        if denied.is_empty() && !clause.spans.iter().any(|span| span.is(sided)) {
            self.bare.push(place);
        }
        self.denied.extend(denied);
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
        let portuguese = |codes: &[&str]| codes.contains(&"pt") && !codes.contains(&"en");
        // A hand is named whatever the language: then the words before say it.
        let mut before = clause.spans.iter().filter(|one| one.end <= span.start);
        let said =
            portuguese(theirs) || theirs.is_empty() && before.any(|one| portuguese(&one.languages));
        written && span.end == span.start + 1 && said
    }
}
