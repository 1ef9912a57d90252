//! Left and right: which body word a side belongs to.

use super::Reader;
use super::found::Taken;
use crate::lexicon::book::{Meaning, SideWord};
use crate::lexicon::clauses::Clause;
use crate::lexicon::tokens::Token;
use crate::roster::ToldSide;

impl Reader<'_> {
    /// Sides, each for the nearest body word of its clause.
    pub(super) fn take_sides(&mut self, place: usize, clause: &Clause<'_>, begun: usize) {
        let words: Vec<(usize, usize, SideWord)> = clause
            .spans
            .iter()
            .filter_map(|span| {
                span.meanings.iter().find_map(|meaning| match meaning {
                    Meaning::Side(word) => Some((span.start, span.end, *word)),
                    _ => None,
                })
            })
            .filter(|(start, ..)| !self.is_denied(clause, *start))
            .collect();
        let sided: Vec<usize> = (begun..self.found.len())
            .filter(|&one| {
                self.found
                    .get(one)
                    .is_some_and(|found| found.is_sided(self.book))
            })
            .collect();
        for &(start, end, word) in &words {
            let nearest = sided
                .iter()
                .filter_map(|&one| {
                    let found = self.found.get(one)?;
                    let after = start >= found.end;
                    let away = if after {
                        start - found.end
                    } else {
                        found.start.saturating_sub(end)
                    };
                    (!word.beside || away <= 1).then_some((away, after != word.follows, one))
                })
                .min();
            if let Some((.., one)) = nearest {
                if let Some(found) = self.found.get_mut(one) {
                    found.add_side(word.side);
                }
            } else if sided.is_empty() && (!word.beside || self.stands_alone(start, end, clause)) {
                self.side_alone(place, clause, begun, word);
            } else if sided.is_empty() && self.has_one_side() {
                self.ask(place, "which side is meant");
                if self.is_understood(clause, &Taken::default()) {
                    // "Left hip mainly, but right too": both, until asked.
                    self.widen_last(word);
                }
            }
        }
        // "Both but left worse knees"
        let both = self.both_ahead.is_some_and(|ahead| ahead + 1 == place);
        for found in self.found.iter_mut().skip(begun) {
            if both && found.is_sided(self.book) {
                found.add_side(ToldSide::Both);
            }
            found.spread_plural(self.book);
        }
    }

    /// Whether a clause holds nothing but a word and dates: "right, Sept 2025", "but right".
    fn stands_alone(&self, start: usize, end: usize, clause: &Clause<'_>) -> bool {
        let begins = |at: &usize| {
            clause.spans.iter().any(|span| {
                (span.start..span.end).contains(at) && span.is(|m| *m == Meaning::Clause)
            })
        };
        (clause.start..clause.end)
            .filter(|at| !(start..end).contains(at) && !begins(at))
            .all(|at| {
                self.tokens
                    .get(at)
                    .is_some_and(|token| token.digits || self.book.months.contains_key(token.key()))
            })
    }

    /// Adds a side to what was said last of what has sides.
    fn widen_last(&mut self, word: SideWord) {
        let book = self.book;
        let last = self.found.iter_mut().rfind(|found| found.is_sided(book));
        if let Some(last) = last {
            last.add_side(word.side);
        }
    }

    /// Whether what was said last of what has sides is not told of both already.
    fn has_one_side(&self) -> bool {
        let mut sided = self.found.iter().filter(|one| one.is_sided(self.book));
        sided
            .next_back()
            .is_some_and(|last| last.side != Some(ToldSide::Both))
    }

    /// Whether a word stands right after a "no": "knee (not left)".
    pub(super) fn is_denied(&self, clause: &Clause<'_>, start: usize) -> bool {
        clause
            .spans
            .iter()
            .filter(|span| span.is(|m| *m == Meaning::Negation) && span.end <= start)
            .any(|span| {
                let between = self.tokens.get(span.end..start).unwrap_or_default();
                let plain = |token: &Token| {
                    let mut keys = token.keys.iter();
                    keys.any(|key| self.book.plain.contains(key))
                };
                between.len() <= 1 && between.iter().all(plain)
            })
    }

    /// A side in a clause without a body word belongs to what was said before: "two new knees: right
    /// 2025, left 2026". Of two sides one that is worse leaves the other.
    fn side_alone(&mut self, place: usize, clause: &Clause<'_>, begun: usize, word: SideWord) {
        let Some(last) = self
            .found
            .iter()
            .rposition(|found| found.is_sided(self.book))
        else {
            match word.side {
                ToldSide::One(_) if self.found.len() <= begun => {
                    self.side_of_the_other(place, word);
                }
                ToldSide::One(_) => {}
                ToldSide::Both => self.both_ahead = Some(place),
            }
            return;
        };
        let timed = self.has_a_time(clause);
        let book = self.book;
        let Some(found) = self.found.get_mut(last) else {
            return;
        };
        if found.clause == place || last >= begun {
            found.add_side(word.side);
        } else if matches!(found.side, Some(ToldSide::One(_))) {
            let mut other = found.clone();
            other.side = None;
            other.on = None;
            other.weeks = None;
            other.clause = place;
            other.add_side(word.side);
            self.found.push(other);
        } else if found.side.is_none() {
            found.add_side(word.side);
        } else if timed && found.is_dated(book) {
            found.side = None;
            found.clause = place;
            found.add_side(word.side);
        }
    }

    /// "Not my left knee, the right one": what was denied of one side is asked about on the other.
    fn side_of_the_other(&mut self, place: usize, word: SideWord) {
        self.ask(place, "which side of what");
        let denied = self.denied.iter().rfind(|found| found.is_sided(self.book));
        if let Some(mut other) = denied.cloned() {
            other.side = Some(word.side);
            other.clause = place;
            self.found.push(other);
        }
    }

    /// Whether a clause says when.
    fn has_a_time(&self, clause: &Clause<'_>) -> bool {
        let said = clause
            .spans
            .iter()
            .any(|span| span.is(|m| matches!(m, Meaning::When(_))));
        let tokens = self
            .tokens
            .get(clause.start..clause.end)
            .unwrap_or_default();
        said || tokens
            .iter()
            .any(|token| token.digits || self.book.months.contains_key(token.key()))
    }
}
