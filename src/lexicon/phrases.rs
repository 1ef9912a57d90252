//! What clinicians say, mapped to limits and allowances.
//!
//! Takes the words and what they are about; gives what acts. Invariant: the words stay whole
//! elsewhere; a phrase that could mean two things limits as the stricter one and is asked about.

use super::book::{Acts, Book, Meaning, When};
use super::clauses::{Clause, clauses};
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
    /// The phrases understood, in English.
    pub english: Vec<String>,
}

/// Reads a clinician's words.
pub(super) fn said(book: &Book, words: &str, about: Option<&LimitationId>) -> Said {
    let tokens = tokens(book, words);
    let clauses = clauses(book, &tokens);
    let mut said = Said::default();
    for (at, clause) in clauses.iter().enumerate() {
        let mut here = Said::default();
        for span in &clause.spans {
            for meaning in &span.meanings {
                if let Meaning::Phrase(place) = meaning {
                    here.add(book, *place, about);
                }
            }
        }
        here.open_only_if(opens(book, &tokens, &clauses, at));
        said.join(here);
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
    let bars = |token: &Token| book.no_clinician.contains(token.key());
    if tokens.iter().any(bars) {
        return None;
    }
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

/// Whether a clause holds a word of doubt: "until", "if", "not yet".
pub(super) fn is_doubtful(book: &Book, tokens: &[Token], clause: &Clause<'_>) -> bool {
    (clause.start..clause.end).any(|at| {
        let inside = clause.spans.iter().any(|span| {
            (span.start..span.end).contains(&at)
                && span.is(|m| matches!(m, Meaning::Phrase(_) | Meaning::Fine | Meaning::FineNow))
        });
        let doubt = tokens
            .get(at)
            .is_some_and(|token| book.doubts.contains(token.key()));
        doubt && !inside
    })
}

/// Whether what a clause says may open anything: every word of it is known, there is no "no" in it, and
/// no word of doubt in it or in a clause beside it that says nothing of its own.
pub(super) fn opens(book: &Book, tokens: &[Token], clauses: &[Clause<'_>], at: usize) -> bool {
    let Some(clause) = clauses.get(at) else {
        return false;
    };
    let denied = clause.spans.iter().any(|span| {
        span.is(|m| {
            matches!(
                m,
                Meaning::Negation | Meaning::ToCome | Meaning::When(When::ToGo | When::Due)
            )
        })
    });
    let known = (clause.start..clause.end).all(|at| {
        let mut spans = clause.spans.iter();
        let spanned = spans.any(|span| {
            (span.start..span.end).contains(&at) && !span.is(|m| *m == Meaning::Negation)
        });
        let plain = tokens.get(at).is_some_and(|token| {
            let mut keys = token.keys.iter();
            let plain = keys.any(|key| book.plain.contains(key));
            plain || token.digits || book.months.contains_key(token.key())
        });
        spanned || plain
    });
    let phrase = |m: &Meaning| matches!(m, Meaning::Phrase(_));
    let beside = [at.checked_sub(1), Some(at + 1)].into_iter().flatten();
    let mut beside = beside.filter_map(|at| clauses.get(at));
    let turned = beside.any(|clause| {
        !clause.spans.iter().any(|span| span.is(phrase)) && is_doubtful(book, tokens, clause)
    });
    known && !denied && !turned && !is_doubtful(book, tokens, clause)
}

impl Said {
    /// Where words are in doubt nothing is opened, and it is asked.
    pub(super) fn open_only_if(&mut self, opens: bool) {
        if opens || !self.cleared && self.allows.is_empty() {
            return;
        }
        self.cleared = false;
        self.allows.clear();
        self.not_yet = true;
        self.ask(Some(&"is that a yes already, and to what".to_owned()));
    }

    /// Adds what another clause says.
    fn join(&mut self, other: Self) {
        self.not_yet |= other.not_yet;
        self.act(&Acts {
            limits: other.limits,
            allows: other.allows,
            cleared: other.cleared,
            rest: other.rest,
        });
        for question in &other.asks {
            self.ask(Some(question));
        }
        self.english.extend(other.english);
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
        self.english.extend(phrase.english.clone());
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
