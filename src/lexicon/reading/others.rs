//! What is said of somebody else, and what of it is their own.
//!
//! Invariant: of words that may be about themselves nothing is taken away, and it is asked.

use super::Reader;
use crate::lexicon::book::Meaning;
use crate::lexicon::clauses::Clause;

impl Reader<'_> {
    /// Words that cannot be read for sure take nothing away: what they are about is minded.
    pub(super) fn take_what_it_is_about(&mut self, place: usize, clause: &Clause<'_>) {
        let begun = self.found.len();
        self.take_limitations(place, clause);
        let found = self.found.split_off(begun);
        self.found.extend(found.into_iter().filter(|one| !one.need));
        self.take_sides(place, clause, begun);
    }

    /// Of words about somebody else what is their own as well, or stands before that somebody: "bad back from
    /// carrying my son". It is asked about.
    pub(super) fn take_their_own(&mut self, place: usize, clause: &Clause<'_>) {
        let own = self.is_their_own_too(clause);
        let other = clause
            .spans
            .iter()
            .find(|span| span.is(|m| *m == Meaning::SomeoneElse));
        let begins = other.map_or(clause.end, |span| span.start);
        let begun = self.found.len();
        self.take_what_it_is_about(place, clause);
        let found = self.found.split_off(begun);
        let kept = found.into_iter().filter(|one| own || one.start < begins);
        self.found.extend(kept);
        // "My friend says no deep bends" is about themselves.
        let wish = |m: &Meaning| matches!(m, Meaning::Phrase(_) | Meaning::Need(_));
        let said = clause.spans.iter().any(|span| span.is(wish));
        if own || said || self.found.len() > begun {
            self.ask(place, "is that their own too");
        }
    }

    /// Whether words about somebody else are about themselves as well: "my mum has it and so do I".
    fn is_their_own_too(&self, clause: &Clause<'_>) -> bool {
        (clause.start..clause.end).any(|at| {
            let of_another = clause.spans.iter().any(|span| {
                (span.start..span.end).contains(&at) && span.is(|m| *m == Meaning::SomeoneElse)
            });
            let word = self.tokens.get(at);
            !of_another && word.is_some_and(|word| self.book.own.contains(word.key()))
        })
    }
}
