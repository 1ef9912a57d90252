//! What clinicians say, mapped to limits and allowances.
//!
//! Takes the words and what they are about; gives what acts. Invariant: the words stay whole
//! elsewhere; a phrase that could mean two things limits as the stricter one and is asked about.

use super::book::{Acts, Book, Meaning};
use super::clauses::clauses;
use super::tokens::tokens;
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
    /// What is to be asked.
    pub asks: Vec<String>,
}

/// Reads a clinician's words.
pub(super) fn said(book: &Book, words: &str, about: Option<&LimitationId>) -> Said {
    let tokens = tokens(book, words);
    let mut said = Said::default();
    for clause in clauses(book, &tokens) {
        for span in &clause.spans {
            for meaning in &span.meanings {
                if let Meaning::Phrase(place) = meaning {
                    said.add(book, *place, about);
                }
            }
        }
    }
    // Of two that differ the stricter acts.
    let limits = said.limits.clone();
    said.allows
        .retain(|allowed| limits.iter().all(|(limited, _)| limited != allowed));
    said.cleared &= !said.rest;
    said
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
