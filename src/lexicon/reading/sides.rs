//! Left and right: which body word a side belongs to.

use super::Reader;
use crate::lexicon::book::{Meaning, SideWord};
use crate::lexicon::clauses::Clause;
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
                self.side_alone(place, begun, word);
            }
            // "Not the left knee, but the right": a side of nothing is asked about.
            if self.negated && self.found.is_empty() {
                self.unread.push((place, None));
            }
        }
        for found in self.found.iter_mut().skip(begun) {
            found.spread_plural(self.book);
        }
    }

    /// Whether a clause holds nothing but a word and dates: "right, Sept 2025".
    fn stands_alone(&self, start: usize, end: usize, clause: &Clause<'_>) -> bool {
        (clause.start..clause.end)
            .filter(|at| !(start..end).contains(at))
            .all(|at| {
                self.tokens
                    .get(at)
                    .is_some_and(|token| token.digits || self.book.months.contains_key(token.key()))
            })
    }

    /// A side in a clause without a body word belongs to what was said before: "two new knees: right
    /// 2025, left 2026".
    fn side_alone(&mut self, place: usize, begun: usize, word: SideWord) {
        let Some(last) = self
            .found
            .iter()
            .rposition(|found| found.is_sided(self.book))
        else {
            return;
        };
        let Some(found) = self.found.get_mut(last) else {
            return;
        };
        // "Both, but left worse" stays both; "two new knees: right 2025, left 2026" is told side by side.
        let clause = self.clauses.get(place);
        let words = clause.and_then(|clause| self.tokens.get(clause.start..clause.end));
        let dated = words
            .unwrap_or_default()
            .iter()
            .any(|token| token.digits || self.book.months.contains_key(token.key()));
        if found.side == Some(ToldSide::Both) && found.clause != place && !dated {
            return;
        }
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
        } else {
            found.side = None;
            found.clause = place;
            found.add_side(word.side);
        }
    }
}
