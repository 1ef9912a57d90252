//! Words that refine what was found: "fusion", "bleeding".
//!
//! Invariant: they count wherever in the answer they stand, before what they refine or after it.

use std::ops::Range;

use super::Reader;
use super::found::{Found, Taken};
use crate::lexicon::book::Meaning;
use crate::lexicon::clauses::{Clause, Span};
use crate::words::LimitationId;

/// A kind of something that was not found yet.
pub(super) struct Ahead {
    /// Where.
    place: usize,
    /// Of what.
    limitation: LimitationId,
    kind: String,
    /// Its words.
    words: Range<usize>,
    /// With its words everything in the clause is understood.
    understood: bool,
}

impl Reader<'_> {
    /// Takes up words that refine what was found; gives back whether the clause says that one is not there.
    pub(super) fn take_kinds(
        &mut self,
        place: usize,
        clause: &Clause<'_>,
        begun: usize,
        taken: &mut Taken,
    ) -> bool {
        let mut no_kind = false;
        let negation = clause
            .spans
            .iter()
            .find(|span| span.is(|m| *m == Meaning::Negation));
        let book = self.book;
        for at in clause.start..clause.end {
            let rest = self.tokens.get(at..clause.end).unwrap_or_default();
            for kind in &book.kinds {
                if !book.fits(&kind.pattern, rest) {
                    continue;
                }
                let words = at..at + kind.pattern.len();
                let denied = negation.is_some_and(|no| no.end <= at);
                if denied && self.is_plain_beside(clause, &words) {
                    // "No bleeding".
                    taken.words.extend(words);
                    no_kind = true;
                    continue;
                }
                let whom = self
                    .found
                    .iter_mut()
                    .rev()
                    .find(|found| found.id == kind.limitation);
                match whom {
                    Some(found) => found.add_kind(&kind.kind),
                    None if kind.alone && negation.is_none() => {
                        let span = Span::empty(at, words.end);
                        let place = self.found.get(begun).map_or(place, |found| found.clause);
                        let mut found = Found::new(kind.limitation.clone(), place, &span);
                        found.add_kind(&kind.kind);
                        self.found.push(found);
                    }
                    None => {
                        self.kinds.push(Ahead {
                            place,
                            limitation: kind.limitation.clone(),
                            kind: kind.kind.clone(),
                            words,
                            understood: false,
                        });
                        continue;
                    }
                }
                taken.words.extend(words);
            }
        }
        no_kind
    }

    /// Whether all other words of a clause mean something or say nothing about a body.
    fn is_plain_beside(&self, clause: &Clause<'_>, words: &Range<usize>) -> bool {
        let taken = Taken {
            words: words.clone().collect(),
        };
        self.is_understood(clause, &taken)
    }

    /// Notes which kinds would make their clause understood.
    pub(super) fn keep_kinds(&mut self, place: usize, clause: &Clause<'_>, taken: &Taken) {
        let ahead = self.kinds.iter().filter(|ahead| ahead.place == place);
        let mut with = taken.clone();
        with.words
            .extend(ahead.flat_map(|ahead| ahead.words.clone()));
        let understood = self.is_understood(clause, &with);
        for ahead in self.kinds.iter_mut().filter(|ahead| ahead.place == place) {
            ahead.understood = understood;
        }
    }

    /// Gives kinds that were said first to what was found later.
    pub(super) fn settle_kinds(&mut self) {
        for ahead in std::mem::take(&mut self.kinds) {
            let whom = self
                .found
                .iter_mut()
                .find(|found| found.id == ahead.limitation);
            let Some(found) = whom else { continue };
            found.add_kind(&ahead.kind);
            if ahead.understood {
                let plain = |(place, question): &(usize, Option<String>)| {
                    *place == ahead.place && question.is_none()
                };
                self.unread.retain(|asked| !plain(asked));
            }
        }
    }
}
