//! One answer, from words to what it says.
//!
//! Takes an answer; gives a [`Read`]. Invariant: whatever could be read two ways is read the stricter
//! way and asked about; a "no" takes away only what follows it in its own clause.

mod found;
mod join;
mod kinds;
mod negation;
mod others;
mod settle;
mod severity;
mod sides;
mod times;

use std::collections::BTreeSet;

use jiff::civil::Date;

use self::found::{Found, Taken};
use super::book::{Book, Meaning};
use super::clauses::{Clause, Span, clauses};
use super::phrases::{self, Said};
use super::tokens::{Token, tokens};
use super::{Read, Unread};
use crate::roster::{Guidance, Heard};

/// Reads an answer.
pub(super) fn read(book: &Book, text: &str, recorded: Option<Date>) -> Read {
    let tokens = tokens(book, text);
    let keys: Vec<&str> = tokens.iter().map(Token::key).collect();
    if book.nothing.iter().any(|nothing| *nothing == keys) {
        return Read {
            nothing: true,
            ..Read::default()
        };
    }
    let clauses = clauses(book, &tokens);
    let mut reader = Reader {
        book,
        text,
        tokens: &tokens,
        clauses: &clauses,
        recorded,
        found: Vec::new(),
        unread: Vec::new(),
        read: Read::default(),
        negated: false,
        elsewhere: false,
        idle: 0,
        clinician: None,
        lost: false,
        denied: Vec::new(),
        bare: Vec::new(),
        to_go: Vec::new(),
        kinds: Vec::new(),
        both_ahead: None,
    };
    for place in 0..clauses.len() {
        reader.clause(place);
    }
    reader.settle()
}

/// An answer while it is read.
struct Reader<'b> {
    book: &'b Book,
    text: &'b str,
    tokens: &'b [Token],
    clauses: &'b [Clause<'b>],
    recorded: Option<Date>,
    found: Vec<Found>,
    /// Clauses that were not understood, with what to ask.
    unread: Vec<(usize, Option<String>)>,
    read: Read,
    /// Something was said not to be there.
    negated: bool,
    /// Something was said of somebody else, or in another sense.
    elsewhere: bool,
    /// How many words tell nothing where no other stands beside them.
    idle: usize,
    /// Who spoke last, and in which clause.
    clinician: Option<(usize, String)>,
    /// A loss was told: never planned as pregnant.
    lost: bool,
    /// Said not to be there.
    denied: Vec<Found>,
    /// Clauses with a "no" to nothing that is named.
    bare: Vec<usize>,
    /// Weeks still to go, before what they belong to: the clause, whether nothing else stands there.
    to_go: Vec<(usize, bool, u32)>,
    /// Kinds of what was not found yet.
    kinds: Vec<kinds::Ahead>,
    /// The clause of a "both" before what it belongs to.
    both_ahead: Option<usize>,
}

impl Reader<'_> {
    fn clause(&mut self, place: usize) {
        let Some(clause) = self.clauses.get(place) else {
            return;
        };
        let has = |kind: fn(&Meaning) -> bool| clause.spans.iter().any(|span| span.is(kind));
        if has(|m| *m == Meaning::NotUnderstood) {
            self.unread.push((place, None));
            self.take_what_it_is_about(place, clause);
            return;
        }
        if has(|m| matches!(m, Meaning::SomeoneElse | Meaning::NoLimitation)) {
            self.elsewhere = true;
            if has(|m| *m == Meaning::SomeoneElse) {
                self.take_their_own(place, clause);
            }
            return;
        }
        if has(|m| *m == Meaning::Private) {
            self.lost = true;
            let words = self.words_of(place);
            self.read.heard.push(Heard::Private(words));
            return;
        }
        if has(|m| *m == Meaning::AlwaysAsk) {
            self.unread.push((place, None));
        }
        for span in &clause.spans {
            for meaning in &span.meanings {
                if let Meaning::Clinician(who) = meaning {
                    self.clinician = Some((place, who.clone()));
                }
            }
        }
        let begun = self.found.len();
        let asked = self.unread.len();
        self.take_limitations(place, clause);
        if has(|m| *m == Meaning::NotYet) {
            let known = self
                .found
                .iter()
                .skip(begun)
                .any(|found| found.id.as_str() == "pregnancy");
            let question = "not read as pregnant; leave it to them, or ask quietly";
            if known {
                self.unread.push((place, None));
            } else {
                let words = self.words_of(place);
                self.read.heard.push(Heard::Ask {
                    words,
                    question: question.to_owned(),
                });
            }
        }
        self.take_guidance(place, clause);
        let mut taken = Taken::default();
        let no_kind = self.take_kinds(place, clause, begun, &mut taken);
        self.take_sides(place, clause, begun);
        self.take_severity(place, clause, begun, &mut taken);
        self.take_times(place, clause, begun, &mut taken);
        let understood = self.is_understood(clause, &taken);
        self.take_ends(place, clause, begun, understood);
        self.keep_kinds(place, clause, &taken);
        self.negate(place, clause, begun, understood, no_kind);
        if !understood && self.unread.len() == asked {
            self.unread.push((place, None));
        }
    }

    /// Limitations and needs of a clause, in order.
    fn take_limitations(&mut self, place: usize, clause: &Clause<'_>) {
        for span in &clause.spans {
            let meanings = self.senses(place, span);
            let speaker = self.speaker(place).is_some();
            let phrase = span.is(|m| matches!(m, Meaning::Phrase(_)));
            let mut needs = meanings.iter().filter_map(|meaning| match meaning {
                Meaning::Need(id) => Some(id.clone()),
                _ => None,
            });
            if let Some(need) = needs.next() {
                // A clinician's "no kneeling" is theirs, not a wish.
                if !(speaker && phrase) {
                    self.found.push(Found::new(need, place, span));
                }
                continue;
            }
            if meanings.contains(&Meaning::NoTouch) {
                self.read.no_touch = true;
                continue;
            }
            for meaning in meanings {
                let (id, replaced, site_only) = match meaning {
                    Meaning::Limitation(id) => (id, false, false),
                    Meaning::Site(id) => (id, false, true),
                    Meaning::Replaced => ("surgery".into(), true, false),
                    _ => continue,
                };
                let mut found = Found::new(id, place, span);
                let words = self.tokens.get(span.start..span.end).unwrap_or_default();
                // "Neues Knie" is one.
                let german =
                    !found.languages.is_empty() && found.languages.iter().all(|l| l == "de");
                found.plural = words.iter().any(|token| {
                    token.plural && (!german || self.book.plurals.contains(token.key()))
                });
                found.replaced = replaced;
                found.site_only = site_only;
                self.found.push(found);
            }
        }
    }

    /// What a span means here: a trap is settled by the words near it.
    fn senses(&mut self, place: usize, span: &Span<'_>) -> Vec<Meaning> {
        let trap = span.meanings.iter().find_map(|meaning| match meaning {
            Meaning::Trap(trap) => self.book.traps.get(*trap),
            _ => None,
        });
        let plain = || {
            span.meanings
                .iter()
                .map(|&meaning| meaning.clone())
                .collect()
        };
        let Some(trap) = trap else { return plain() };
        let near =
            trap.needs_near.is_empty() || trap.needs_near.iter().any(|words| self.stands(words));
        if near && let Some(question) = &trap.question {
            self.unread.push((place, Some(question.clone())));
        }
        let sense = if near { &trap.then } else { &trap.otherwise };
        match sense {
            Some(id) => vec![Meaning::Limitation(id.clone())],
            None if near && trap.nothing || !near && trap.else_nothing => {
                self.elsewhere = true;
                if trap.alone_is_nothing {
                    self.idle += span.end - span.start;
                }
                Vec::new()
            }
            None if near && !trap.needs_near.is_empty() => plain(),
            None => {
                if !self.unread.iter().any(|(asked, _)| *asked == place) {
                    self.unread.push((place, None));
                }
                Vec::new()
            }
        }
    }

    /// Whether a run of words stands somewhere in the answer.
    fn stands(&self, words: &[String]) -> bool {
        self.tokens.windows(words.len().max(1)).any(|window| {
            window
                .iter()
                .zip(words)
                .all(|(token, word)| token.keys.contains(word))
        })
    }

    /// Who speaks in a clause: named in it, or in the one before.
    fn speaker(&self, place: usize) -> Option<&str> {
        let (named, who) = self.clinician.as_ref()?;
        (place - named <= 1).then_some(who.as_str())
    }

    /// What a clinician is said to have said.
    fn take_guidance(&mut self, place: usize, clause: &Clause<'_>) {
        let phrases: Vec<(usize, usize)> = clause
            .spans
            .iter()
            .flat_map(|span| {
                let length = span.end - span.start;
                span.meanings
                    .iter()
                    .filter_map(move |meaning| match meaning {
                        Meaning::Phrase(phrase) => Some((*phrase, length)),
                        _ => None,
                    })
            })
            .collect();
        if phrases.is_empty() {
            return;
        }
        let Some(who) = self.speaker(place).map(str::to_owned) else {
            let other = |m: &Meaning| matches!(m, Meaning::Need(_) | Meaning::Limitation(_));
            let alone = !clause
                .spans
                .iter()
                .any(|span| span.is(|m| matches!(m, Meaning::Phrase(_))) && span.is(other));
            if alone && phrases.iter().any(|(_, length)| *length > 1) {
                let question = "who said so, and when";
                self.unread.push((place, Some(question.to_owned())));
            }
            return;
        };
        let about = self.last(None).map(|found| found.about());
        let mut said = Said::default();
        for (phrase, _) in phrases {
            said.add(self.book, phrase, about.as_ref());
        }
        said.open_only_if(phrases::opens(self.book, self.tokens, self.clauses, place));
        let words = self.words_of(place);
        for question in &said.asks {
            let (words, question) = (words.clone(), question.clone());
            self.read.heard.push(Heard::Ask { words, question });
        }
        self.read.guidance.push(Guidance {
            from: who,
            on: None,
            about,
            side: None,
            says: Some(words),
            english: said.english,
            limits: said.limits,
            allows: said.allows,
            cleared: said.cleared,
            rest: said.rest,
            opens: !said.not_yet,
        });
    }

    /// The last thing found, or the last of a kind.
    fn last(&self, kind: Option<fn(&Found, &Book) -> bool>) -> Option<&Found> {
        let fits = |found: &&Found| kind.is_none_or(|kind| kind(found, self.book));
        self.found.iter().rev().find(fits)
    }

    /// Long ago, and over.
    fn take_ends(&mut self, place: usize, clause: &Clause<'_>, begun: usize, understood: bool) {
        let has = |kind: Meaning| clause.spans.iter().any(|span| span.is(|m| *m == kind));
        let (said, history) = (has(Meaning::FineNow), has(Meaning::History));
        // "Fine now unless I kneel" is not over.
        let fine = said && !phrases::is_doubtful(self.book, self.tokens, clause);
        for found in targets(&mut self.found, begun) {
            found.fine |= fine;
            found.history |= history;
        }
        if said && !fine {
            self.ask(place, "is anything the matter with it");
        }
        self.take_fine(place, clause, begun, understood);
        let approach = clause
            .spans
            .iter()
            .flat_map(|span| &span.meanings)
            .find_map(|m| match m {
                Meaning::Approach(approach) => Some(*approach),
                _ => None,
            });
        let hips = self
            .found
            .iter_mut()
            .filter(|found| found.id.as_str() == "hip-replacement");
        for hip in hips {
            hip.approach = hip.approach.or(approach);
        }
    }

    /// "My knees are fine": the part of the body before it, unless something is the matter with it or a word of
    /// doubt, a "no" or a word nobody knows stands near. A condition is not over by being fine.
    fn take_fine(&mut self, place: usize, clause: &Clause<'_>, begun: usize, understood: bool) {
        let Some(span) = clause
            .spans
            .iter()
            .find(|span| span.is(|m| *m == Meaning::Fine))
        else {
            return;
        };
        let start = span.start;
        let before = self
            .found
            .iter()
            .skip(begun)
            .filter(|found| found.start < start);
        let several = before.map(|found| &found.id).collect::<BTreeSet<_>>().len() > 1;
        let next = self.clauses.get(place + 1);
        let next = next.and_then(|next| self.tokens.get(next.start));
        let turned = next.is_some_and(|next| self.book.doubts.contains(next.key()));
        let denied = clause
            .spans
            .iter()
            .any(|span| span.is(|m| *m == Meaning::Negation) && !self.is_of_the(span, clause));
        let doubtful = several
            || turned
            || denied
            || !understood
            || phrases::is_doubtful(self.book, self.tokens, clause)
            || self.is_bad(clause);
        let last = self
            .found
            .iter_mut()
            .skip(begun)
            .rfind(|found| found.start < start && !found.need);
        let book = self.book;
        let ends = |found: &Found| {
            let lasting = book.never_fine.contains(found.id.as_str());
            found.is_area(book) || found.is_dated(book) || lasting
        };
        match last {
            Some(found) if !doubtful && ends(found) => {
                found.fine = true;
                if found.is_area(book) {
                    // Nobody asks which part of a back is fine.
                    self.unread.retain(|(asked, _)| *asked != place);
                }
            }
            Some(_) => self.ask(place, "is anything the matter with it"),
            None => {}
        }
    }

    /// Whether every word of a clause means something or says nothing about a body, and one of them
    /// means something.
    fn is_understood(&self, clause: &Clause<'_>, taken: &Taken) -> bool {
        (clause.start..clause.end).all(|at| {
            let spanned = clause
                .spans
                .iter()
                .any(|span| (span.start..span.end).contains(&at));
            let plain = self
                .tokens
                .get(at)
                .is_some_and(|token| token.keys.iter().any(|key| self.book.plain.contains(key)));
            spanned || plain || taken.words.contains(&at)
        })
    }

    /// Asks about a clause.
    fn ask(&mut self, place: usize, question: &str) {
        self.unread.push((place, Some(question.to_owned())));
    }

    /// The words of a clause as written.
    fn words_of(&self, place: usize) -> String {
        self.words_between(place, place)
    }

    fn words_between(&self, first: usize, last: usize) -> String {
        let start = self
            .clauses
            .get(first)
            .and_then(|clause| self.tokens.get(clause.start));
        let end = self
            .clauses
            .get(last)
            .and_then(|clause| self.tokens.get(clause.end - 1));
        let Some((start, end)) = start.zip(end) else {
            return self.text.to_owned();
        };
        self.text
            .get(start.at.0..end.at.1)
            .unwrap_or(self.text)
            .to_owned()
    }
}

/// What a word without a body word of its own belongs to: the things of its clause, else those of
/// the last clause that had any.
fn targets(found: &mut [Found], begun: usize) -> impl Iterator<Item = &mut Found> {
    let from = if begun < found.len() {
        begun
    } else {
        let clause = found.last().map(|last| last.clause);
        found
            .iter()
            .position(|one| Some(one.clause) == clause)
            .unwrap_or(0)
    };
    found.iter_mut().skip(from)
}
