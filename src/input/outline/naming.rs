//! Names of postures among the words of a step.
//!
//! Takes words; gives [`Bit`]s: names in order, with the words that are none between them. A name
//! that is surely one wins over a longer one that may be meant.

use std::ops::Range;

use super::words::{Atom, Before, Word, text};
use crate::library::Library;
use crate::library::names::Sought;
use crate::library::posture::Posture;

/// The longest name in words that is looked for.
const LONGEST: usize = 8;

/// Words that stand between steps and say nothing.
const BETWEEN: [&str; 11] = [
    "and", "then", "&", "+", "into", "next", "finally", "again", "now", "plus", "lastly",
];

/// Words that may stand before a prop or a place without being part of a name.
const BEFORE_PROPS: [&str; 14] = [
    "on", "at", "by", "behind", "with", "w", "over", "under", "against", "near", "facing", "using",
    "off", "from",
];

const PROPS: [&str; 21] = [
    "chair", "chairs", "wall", "walls", "block", "blocks", "blanket", "blankets", "bolster",
    "bolsters", "strap", "straps", "back", "backs", "mat", "mats", "floor", "brick", "bricks",
    "belt", "stool",
];

/// What a name stands for.
#[derive(Clone, Debug)]
pub(super) enum Found<'l> {
    /// This posture, by its name.
    Sure(&'l Posture),
    /// This posture by all signs; the teacher is shown it.
    Likely(&'l Posture),
    /// A loose word for one of these, the likeliest first.
    Loose(Vec<&'l Posture>),
    /// One of these.
    Several(Vec<&'l Posture>),
    /// A shape of the teacher's own, like this one or like none.
    Own(String, Option<&'l Posture>),
}

/// A name, words that are none, or a break between two things.
#[derive(Clone, Debug)]
pub(super) enum Bit<'l> {
    /// A name and its words.
    Name(Found<'l>, Vec<Word>),
    /// Words beside names.
    Loose(Vec<Word>),
    /// A word that stands between two things.
    Break,
}

/// Marks the words of names that are surely ones, so that nothing else is read into them.
pub(super) fn mark_sure(library: &Library, words: &[Word], used: &mut [bool]) {
    for range in sure(library, words).into_iter().map(|(range, _)| range) {
        for mark in used.iter_mut().skip(range.start).take(range.len()) {
            *mark = true;
        }
    }
}

/// Names that are surely ones, the longest first from the left.
fn sure<'l>(library: &'l Library, words: &[Word]) -> Vec<(Range<usize>, &'l Posture)> {
    segments(words, |_, part| library.named(part))
}

/// The longest stretches of words of which `find` makes something, from the left.
fn segments<T>(
    words: &[Word],
    find: impl Fn(Range<usize>, &str) -> Option<T>,
) -> Vec<(Range<usize>, T)> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let most = LONGEST.min(words.len() - at);
        let longest = (1..=most).rev().find_map(|length| {
            let part = words.get(at..at + length)?;
            let place = length == 1 && is_place(words, at);
            let edges = [part.first(), part.last()];
            let loose_edge = edges.into_iter().flatten().any(is_between);
            let named = find(at..at + length, &text(part)).filter(|_| !place && !loose_edge)?;
            Some((at..at + length, named))
        });
        at = longest.as_ref().map_or(at + 1, |(range, _)| range.end);
        found.extend(longest);
    }
    found
}

/// Whether nothing else belongs to words that may be a loose name: they stand at the edge, beside a
/// word like “and”, a place or a hyphen. “Repeat other side” names no side bend.
fn stands_alone(words: &[Word], range: &Range<usize>) -> bool {
    let parted = |at: usize| {
        let word = words.get(at).map_or("", |word| word.low.as_str());
        BETWEEN.contains(&word) || BEFORE_PROPS.contains(&word)
    };
    let joined = |at: usize| words.get(at).is_some_and(|word| word.joined);
    let ahead = match range.start.checked_sub(1) {
        None => true,
        Some(last) => parted(last) || is_place(words, last),
    };
    let behind = range.end >= words.len() || parted(range.end);
    let listed = joined(range.start) || joined(range.end);
    ahead && behind || listed
}

/// “behind chairs”, “by the wall”: a prop or a place, no posture.
fn is_place(words: &[Word], at: usize) -> bool {
    let low = |at: usize| words.get(at).map_or("", |word| word.low.as_str());
    let before = match at.checked_sub(1).map(low) {
        Some("a" | "the" | "your" | "one" | "two" | "2") => at.checked_sub(2).map(low),
        before => before,
    };
    PROPS.contains(&low(at)) && before.is_some_and(|word| BEFORE_PROPS.contains(&word))
}

/// Names and other words, from the words that `used` leaves free.
pub(super) fn bits<'l>(library: &'l Library, words: &[Word], used: &[bool]) -> Vec<Bit<'l>> {
    let mut bits = Vec::new();
    let mut run: Vec<Word> = Vec::new();
    for (at, word) in words.iter().enumerate() {
        if used.get(at) == Some(&true) {
            resolve(library, &run, &mut bits);
            run.clear();
        } else {
            run.push(word.clone());
        }
    }
    resolve(library, &run, &mut bits);
    bits
}

fn resolve<'l>(library: &'l Library, run: &[Word], bits: &mut Vec<Bit<'l>>) {
    let run = trimmed(run);
    if run.is_empty() {
        return;
    }
    let sure = sure(library, run);
    let covered = (0..run.len()).all(|at| {
        sure.iter().any(|(range, _)| range.contains(&at)) || run.get(at).is_some_and(is_between)
    });
    let parted = run.iter().any(is_between);
    if !covered && !parted && run.len() <= LONGEST {
        let whole = library.seek(&text(run));
        let found = match whole {
            Sought::Named(posture) => Some(Found::Sure(posture)),
            Sought::Likely(posture) => Some(Found::Likely(posture)),
            Sought::Loose(postures) if sure.is_empty() => Some(Found::Loose(postures)),
            Sought::Several(postures) if sure.is_empty() => Some(Found::Several(postures)),
            Sought::Loose(_) | Sought::Several(_) | Sought::Unknown => None,
        };
        if let Some(found) = found {
            bits.push(Bit::Name(found, run.to_vec()));
            return;
        }
    }
    let named = segments(run, |range, part| {
        if let Some(posture) = library.named(part) {
            return Some(Found::Sure(posture));
        }
        if !stands_alone(run, &range) {
            return None;
        }
        match library.perhaps(part).as_slice() {
            [] => None,
            [one] => Some(Found::Likely(one)),
            many => Some(Found::Loose(many.to_vec())),
        }
    });
    if named.is_empty() {
        loose(run, bits);
        return;
    }
    let mut at = 0;
    for (range, found) in named {
        between(library, run.get(at..range.start).unwrap_or_default(), bits);
        at = range.end;
        let words = run.get(range).unwrap_or_default().to_vec();
        bits.push(Bit::Name(found, words));
    }
    between(library, run.get(at..).unwrap_or_default(), bits);
}

/// Words between names: a name with a slip in it, or loose words.
fn between<'l>(library: &'l Library, words: &[Word], bits: &mut Vec<Bit<'l>>) {
    for part in words.split_inclusive(is_between) {
        let (part, ends) = match part.split_last() {
            Some((last, front)) if is_between(last) => (front, true),
            _ => (part, false),
        };
        if !part.is_empty() {
            let words = text(part);
            // A loose word that does not stand alone was passed over before.
            let is_loose = !library.perhaps(&words).is_empty();
            match library.seek(&words) {
                Sought::Likely(posture) if part.len() <= 4 && !is_loose => {
                    bits.push(Bit::Name(Found::Likely(posture), part.to_vec()));
                }
                _ => loose(part, bits),
            }
        }
        if ends {
            bits.push(Bit::Break);
        }
    }
}

fn loose(words: &[Word], bits: &mut Vec<Bit<'_>>) {
    bits.push(Bit::Loose(words.to_vec()));
}

fn is_between(word: &Word) -> bool {
    BETWEEN.contains(&word.low.as_str())
}

/// Words without those at either end that say nothing.
fn trimmed(words: &[Word]) -> &[Word] {
    let mut words = words;
    while let Some((_, rest)) = words.split_first().filter(|(word, _)| is_between(word)) {
        words = rest;
    }
    while let Some((_, rest)) = words.split_last().filter(|(word, _)| is_between(word)) {
        words = rest;
    }
    words
}

/// Atoms with those put together that only part a name: “tree, toes down”.
pub(super) fn joined(library: &Library, atoms: &[Atom]) -> Vec<Atom> {
    let mut joined: Vec<Atom> = Vec::new();
    let mut at = 0;
    while let Some(atom) = atoms.get(at) {
        let longest = (2..=3).rev().find_map(|length| {
            let parts = atoms.get(at..at + length)?;
            let together = parts
                .iter()
                .skip(1)
                .all(|part| part.before == Before::Comma && part.bracketed == atom.bracketed);
            let words: Vec<Word> = parts.iter().flat_map(|part| part.words.clone()).collect();
            let named = together && library.find(&text(&words)).is_some();
            named.then_some((length, words))
        });
        match longest {
            Some((length, words)) => {
                joined.push(Atom {
                    words,
                    ..atom.clone()
                });
                at += length;
            }
            None => {
                joined.push(atom.clone());
                at += 1;
            }
        }
    }
    joined
}
