//! Clauses of an answer, each with what its words mean.
//!
//! Takes tokens; gives clauses. Invariant: the longest match wins, and a word that is part of a
//! longer match counts only there.

use super::book::{Book, Element, Meaning};
use super::tokens::Token;

/// A run of words with its meanings.
#[derive(Clone, Debug)]
pub(super) struct Span<'b> {
    /// Its first word.
    pub start: usize,
    /// The first word after it.
    pub end: usize,
    /// What it may mean.
    pub meanings: Vec<&'b Meaning>,
    /// The languages in which it does.
    pub languages: Vec<&'b str>,
    /// Where a pattern has its numbers.
    pub numbers: Vec<usize>,
}

impl Span<'_> {
    /// A run of words without a meaning yet.
    pub(super) fn empty(start: usize, end: usize) -> Self {
        Self {
            start,
            end,
            meanings: Vec::new(),
            languages: Vec::new(),
            numbers: Vec::new(),
        }
    }

    /// Whether it has a meaning of a kind.
    pub(super) fn is(&self, kind: impl Fn(&Meaning) -> bool) -> bool {
        self.meanings.iter().any(|meaning| kind(meaning))
    }
}

/// A clause: its words and the spans in them.
#[derive(Clone, Debug)]
pub(super) struct Clause<'b> {
    /// Its first word.
    pub start: usize,
    /// The first word after it.
    pub end: usize,
    /// Its spans, in order.
    pub spans: Vec<Span<'b>>,
}

/// The clauses of an answer.
pub(super) fn clauses<'b>(book: &'b Book, tokens: &'b [Token]) -> Vec<Clause<'b>> {
    let spans = cover(book, tokens);
    let mut clauses: Vec<Clause<'_>> = Vec::new();
    let mut spans = spans.into_iter().peekable();
    let mut begun = 0;
    let mut inside: Vec<Span<'_>> = Vec::new();
    let mut place = 0;
    let mut close = |begun: &mut usize, at: usize, inside: &mut Vec<Span<'b>>| {
        if at > *begun {
            clauses.push(Clause {
                start: *begun,
                end: at,
                spans: std::mem::take(inside),
            });
            *begun = at;
        }
    };
    while place < tokens.len() {
        let parted = tokens
            .get(place)
            .is_some_and(|token| ends_clause(tokens, place, token));
        if place > 0 && parted {
            close(&mut begun, place, &mut inside);
        }
        match spans.next_if(|span| span.start == place) {
            Some(span) => {
                if span.is(|meaning| *meaning == Meaning::Clause) {
                    close(&mut begun, place, &mut inside);
                }
                place = span.end;
                inside.push(span);
            }
            None => place += 1,
        }
    }
    close(&mut begun, tokens.len(), &mut inside);
    clauses
}

/// The longest runs that fit, none of them over another.
fn cover<'b>(book: &'b Book, tokens: &'b [Token]) -> Vec<Span<'b>> {
    let mut found: Vec<Span<'b>> = Vec::new();
    for start in 0..tokens.len() {
        for pattern in book.at(tokens, start) {
            let end = start + pattern.elements.len();
            let known = found
                .iter()
                .position(|span| span.start == start && span.end == end);
            let place = known.unwrap_or(found.len());
            if known.is_none() {
                found.push(Span::empty(start, end));
            }
            if let Some(span) = found.get_mut(place) {
                if !span.meanings.contains(&&pattern.meaning) {
                    span.meanings.push(&pattern.meaning);
                }
                let places = (start..end).zip(&pattern.elements);
                let numbers = places.filter(|(_, element)| **element == Element::Number);
                for (place, _) in numbers {
                    if !span.numbers.contains(&place) {
                        span.numbers.push(place);
                    }
                }
                span.languages.extend(pattern.language.as_deref());
            }
        }
    }
    found.sort_by_key(|span| (std::cmp::Reverse(span.end - span.start), span.start));
    let mut kept: Vec<Span<'_>> = Vec::new();
    for span in found {
        if kept
            .iter()
            .all(|other| span.end <= other.start || other.end <= span.start)
        {
            kept.push(span);
        }
    }
    kept.sort_by_key(|span| span.start);
    kept
}

/// Whether a new clause begins with a token.
fn ends_clause(tokens: &[Token], place: usize, token: &Token) -> bool {
    let before = place.checked_sub(1).and_then(|before| tokens.get(before));
    let numbers = token.digits && before.is_some_and(|before| before.digits);
    if numbers && matches!(token.gap.as_str(), "." | ",") {
        return false;
    }
    token
        .gap
        .contains([',', ';', '.', '!', '?', '\n', '(', ')', '–', '—', '…', '|'])
        || [" - ", " / "].iter().any(|mark| token.gap.contains(mark))
}
