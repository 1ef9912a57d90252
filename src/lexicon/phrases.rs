//! What clinicians say, mapped to limits and allowances.
//!
//! Takes the words and what they are about; gives what acts. Invariant: the words stay whole
//! elsewhere; a phrase that could mean two things limits as the stricter one and is asked about.

use super::book::{Acts, Book, Meaning};
use super::clauses::{Clause, Span, clauses};
use super::tokens::{Token, tokens};
use crate::words::{DemandId, LimitationId};

/// What was said, as far as it maps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    /// Keep away from these, with a number where one was said.
    pub limits: Vec<(DemandId, Option<f64>)>,
    /// They allow these.
    pub allows: Vec<DemandId>,
    /// They may take part.
    pub cleared: bool,
    /// Nothing but rest until a later word.
    pub rest: bool,
    /// Said with a "no", for later, or under a condition: whatever it allows, it does not yet.
    pub not_yet: bool,
    /// What is to be asked.
    pub asks: Vec<String>,
}

/// Asked where words that would open something hold a "no", an "if" or a day to come.
const NOT_YET: &str = "does that hold already, and for everything";

/// Reads a clinician's words.
pub(super) fn said(book: &Book, words: &str, about: Option<&LimitationId>) -> Said {
    let tokens = tokens(book, words);
    let mut said = Said::default();
    for clause in clauses(book, &tokens) {
        let mut here = Said::default();
        for span in &clause.spans {
            for meaning in &span.meanings {
                if let Meaning::Phrase(place) = meaning {
                    here.add(book, *place, about);
                }
            }
        }
        said.take(here, is_not_yet(book, &tokens, &clause));
    }
    // Of two that differ the stricter acts.
    let limits = said.limits.clone();
    said.allows
        .retain(|allowed| limits.iter().all(|(limited, _)| limited != allowed));
    said.cleared &= !said.rest;
    said
}

/// Whether a clause holds a "no" of its own, an "if", or a day to come.
fn is_not_yet(book: &Book, tokens: &[Token], clause: &Clause<'_>) -> bool {
    let denied = |span: &Span<'_>| {
        span.is(|m| *m == Meaning::Negation) && !span.is(|m| matches!(m, Meaning::Phrase(_)))
    };
    let words = tokens.get(clause.start..clause.end).unwrap_or_default();
    let is = |token: &Token, word: &String| {
        token.keys.contains(word) || (word == "n" && token.number.is_some())
    };
    let conditional = book.on_condition.iter().any(|run| {
        words
            .windows(run.len().max(1))
            .any(|window| window.iter().zip(run).all(|(token, word)| is(token, word)))
    });
    clause.spans.iter().any(denied) || conditional
}

/// The one kind of clinician that some words name.
pub(super) fn clinician(book: &Book, words: &str) -> Option<String> {
    let tokens = tokens(book, words);
    let clauses = clauses(book, &tokens);
    let spans = clauses.iter().flat_map(|clause| &clause.spans);
    let mut named = spans
        .flat_map(|span| &span.meanings)
        .filter_map(|meaning| match meaning {
            Meaning::Clinician(who) => Some(who),
            _ => None,
        });
    let first = named.next()?;
    named.all(|who| who == first).then(|| first.clone())
}

impl Said {
    /// Takes up what one clause says: one that does not hold yet opens nothing, and is asked about.
    fn take(&mut self, mut here: Self, not_yet: bool) {
        if not_yet && (here.cleared || !here.allows.is_empty()) {
            here.allows.clear();
            here.cleared = false;
            self.not_yet = true;
            self.ask(Some(&NOT_YET.to_owned()));
        }
        self.act(&Acts {
            limits: here.limits,
            allows: here.allows,
            cleared: here.cleared,
            rest: here.rest,
        });
        for question in &here.asks {
            self.ask(Some(question));
        }
    }

    /// Adds what a phrase maps to.
    pub(super) fn add(&mut self, book: &Book, place: usize, about: Option<&LimitationId>) {
        let Some(phrase) = book.phrases.get(place) else {
            return;
        };
        self.act(&phrase.always);
        let fits = phrase
            .about
            .iter()
            .find(|(whom, _)| about.is_some_and(|about| whom.contains(about)));
        match fits {
            Some((_, acts)) => self.act(acts),
            None => self.ask(phrase.otherwise_ask.as_ref()),
        }
        self.ask(phrase.ask.as_ref());
    }

    fn act(&mut self, acts: &Acts) {
        for (demand, number) in &acts.limits {
            match self.limits.iter_mut().find(|(known, _)| known == demand) {
                // Without a number a limit begins where the demand does; the lower number is stricter.
                Some((_, known)) => {
                    *known = known.zip(*number).map(|(a, b)| a.min(b));
                }
                None => self.limits.push((demand.clone(), *number)),
            }
        }
        for allowed in &acts.allows {
            if !self.allows.contains(allowed) {
                self.allows.push(allowed.clone());
            }
        }
        self.cleared |= acts.cleared;
        self.rest |= acts.rest;
    }

    fn ask(&mut self, question: Option<&String>) {
        if let Some(question) = question
            && !self.asks.contains(question)
        {
            self.asks.push(question.clone());
        }
    }
}
