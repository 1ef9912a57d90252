//! One answer, from words to what it says.
//!
//! Takes an answer; gives a [`Read`]. Invariant: whatever could be read two ways is read the stricter
//! way and asked about; a "no" takes away only what follows it in its own clause.

mod found;
mod negation;
mod settle;
mod severity;
mod sides;

use jiff::civil::Date;

use self::found::{Found, Taken};
use super::book::{Book, Meaning};
use super::clauses::{Clause, Span, clauses};
use super::dates::{self, Moment};
use super::phrases::Said;
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
        clinician: None,
        lost: false,
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
    /// Who spoke last, and in which clause.
    clinician: Option<(usize, String)>,
    /// A loss was told: never planned as pregnant.
    lost: bool,
}

impl Reader<'_> {
    fn clause(&mut self, place: usize) {
        let Some(clause) = self.clauses.get(place) else {
            return;
        };
        let has = |kind: fn(&Meaning) -> bool| clause.spans.iter().any(|span| span.is(kind));
        if has(|m| *m == Meaning::NotUnderstood) {
            self.unread.push((place, None));
            return;
        }
        if has(|m| matches!(m, Meaning::SomeoneElse | Meaning::NoLimitation)) {
            self.elsewhere = true;
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
        self.take_replaced(place, clause, begun);
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
        self.take_kinds(clause, begun, &mut taken);
        self.take_sides(place, clause, begun);
        self.take_severity(clause, begun, &mut taken);
        self.take_times(place, clause, begun, &mut taken);
        self.take_ends(clause, begun);
        let understood = self.is_understood(clause, &taken);
        self.negate(place, clause, begun, understood);
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
                if let Meaning::Limitation(id) = meaning {
                    let mut found = Found::new(id, place, span);
                    let words = self.tokens.get(span.start..span.end).unwrap_or_default();
                    found.plural = words.iter().any(|token| token.plural);
                    self.found.push(found);
                }
            }
        }
    }

    /// A hip or a knee that was replaced is a new one; any other area was operated on.
    fn take_replaced(&mut self, place: usize, clause: &Clause<'_>, begun: usize) {
        let said = |span: &Span<'_>| span.is(|m| *m == Meaning::Replaced);
        if !clause.spans.iter().any(said) {
            return;
        }
        let book = self.book;
        let mut known = false;
        for found in self.found.iter_mut().skip(begun) {
            known |= found.is_dated(book);
            if found.is_area(book) {
                found.replace();
                known = true;
            }
        }
        if !known {
            self.unread.push((place, None));
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

    /// Words that refine what was found.
    fn take_kinds(&mut self, clause: &Clause<'_>, begun: usize, taken: &mut Taken) {
        let no = clause
            .spans
            .iter()
            .any(|span| span.is(|m| *m == Meaning::Negation));
        for at in clause.start..clause.end {
            let rest = self.tokens.get(at..clause.end).unwrap_or_default();
            for kind in &self.book.kinds {
                if !self.book.fits(&kind.pattern, rest) {
                    continue;
                }
                let end = at + kind.pattern.len();
                let whom = self
                    .found
                    .iter_mut()
                    .rev()
                    .find(|found| found.id == kind.limitation);
                match whom {
                    Some(found) => found.add_kind(&kind.kind),
                    None if kind.alone && !no => {
                        let span = Span::empty(at, end);
                        let place = self.found.get(begun).map_or(0, |found| found.clause);
                        let mut found = Found::new(kind.limitation.clone(), place, &span);
                        found.add_kind(&kind.kind);
                        self.found.push(found);
                    }
                    None => continue,
                }
                taken.words.extend(at..end);
            }
        }
    }

    fn take_times(&mut self, place: usize, clause: &Clause<'_>, begun: usize, taken: &mut Taken) {
        let times = dates::times(self.book, self.tokens, clause, self.recorded);
        let ongoing = clause
            .spans
            .iter()
            .any(|span| span.is(|m| *m == Meaning::Ongoing));
        // A score of the bones is kept and never read; "6/10" is no date.
        let scored = times.used.iter().any(|used| taken.words.contains(used));
        taken.words.extend(&times.used);
        self.pass_over_score(clause, taken);
        if scored {
            return;
        }
        if self.is_of_another_day(place, clause, begun, &times.moments) {
            return;
        }
        for moment in times.moments {
            self.take_moment(moment, place, begun, times.due, ongoing);
        }
    }

    /// Whether the weeks of a pregnancy are not those of the day of writing: "20 weeks pregnant 3 weeks ago",
    /// "12 weeks left". They are asked about, and no number is read.
    fn is_of_another_day(
        &mut self,
        place: usize,
        clause: &Clause<'_>,
        begun: usize,
        moments: &[Moment],
    ) -> bool {
        let book = self.book;
        let mine = self.found.iter().skip(begun);
        if mine
            .clone()
            .any(|found| found.is_dated(book) || found.is_sided(book))
        {
            return false;
        }
        let along = |m: &Moment| matches!(m, Moment::Pregnant(_) | Moment::BareWeeks(_));
        let ago = |m: &Moment| matches!(m, Moment::WeeksAgo(_));
        let left = clause.spans.iter().any(|span| {
            let next = self.tokens.get(span.end).filter(|_| span.end < clause.end);
            span.is(|m| matches!(m, Meaning::When(_)))
                && next.is_some_and(|next| next.key() == "left")
        });
        let told = moments.iter().any(|m| matches!(m, Moment::Pregnant(_)))
            || self
                .found
                .iter()
                .any(|found| found.id.as_str() == "pregnancy");
        let other = left || moments.iter().any(ago);
        if !(told && other && moments.iter().any(along)) {
            return false;
        }
        self.pregnant(place, None, None);
        let question = "when is the baby due".to_owned();
        self.unread.push((place, Some(question)));
        true
    }

    /// Numbers right after "T-score".
    fn pass_over_score(&self, clause: &Clause<'_>, taken: &mut Taken) {
        for at in clause.start..clause.end {
            if self
                .tokens
                .get(at)
                .is_some_and(|token| token.key() == "score")
            {
                let digits = (at + 1..clause.end)
                    .take_while(|&next| self.tokens.get(next).is_some_and(|token| token.digits));
                taken.words.extend(digits);
            }
        }
    }

    /// Long ago, and over.
    fn take_ends(&mut self, clause: &Clause<'_>, begun: usize) {
        let has = |kind: Meaning| clause.spans.iter().any(|span| span.is(|m| *m == kind));
        let (fine, history) = (has(Meaning::FineNow), has(Meaning::History));
        for found in targets(&mut self.found, begun) {
            found.fine |= fine;
            found.history |= history;
        }
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
