//! Numbers, units, sides and counts among the words of a step.
//!
//! Takes words, some of them spoken for by a name; gives back [`Told`] and marks what it took.
//! Nothing is taken that is not wholly understood.

use std::ops::Range;

use super::numbers::{number, plain};
use super::words::Word;
use crate::class::Sides;
use crate::words::Side;

/// A number with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Amount {
    /// Breaths.
    Breaths(f64),
    /// Rounds, each a breath.
    Rounds(f64),
    /// Seconds.
    Seconds(f64),
    /// Minutes.
    Minutes(f64),
}

impl Amount {
    /// Seconds of an amount that is told by the clock.
    pub(super) fn clock_s(&self) -> Option<f64> {
        match *self {
            Self::Minutes(minutes) => Some(minutes * 60.0),
            Self::Seconds(seconds) => Some(seconds),
            Self::Breaths(_) | Self::Rounds(_) => None,
        }
    }
}

/// What the words of a step say beside its name.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Told {
    /// How long it lasts, and where that stands. Two of them contradict each other.
    pub holds: Vec<(Amount, Range<usize>)>,
    /// The lower and the upper end of a hold that was written as a range.
    pub spread: Spread,
    /// A number without a unit.
    pub bare: Option<(f64, Range<usize>)>,
    /// A number in front of the name: how often.
    pub leading: Option<(u32, Range<usize>)>,
    /// Sides.
    pub sides: Option<(Sides, Range<usize>)>,
    /// How often.
    pub times: Option<(u32, Range<usize>)>,
    /// Time set aside for everything, in seconds.
    pub takes_s: Option<f64>,
    /// The lead must stay as taught.
    pub keep: bool,
    /// Kneel on a blanket.
    pub padded: bool,
}

impl Told {
    /// Whether a step was surely meant: it says how long, on which side or how often.
    pub(super) fn is_a_step(&self) -> bool {
        // “6+6” without a unit says no more than a number does.
        let sided = self.sides.is_some() && self.bare.is_none();
        !self.holds.is_empty() || sided || self.times.is_some()
    }

    /// Takes over what a later atom of the same step says.
    pub(super) fn add(&mut self, other: Self) {
        self.holds.extend(other.holds);
        self.spread = self.spread.or(other.spread);
        self.bare = self.bare.take().or(other.bare).or_else(|| {
            // “6 breaths, 3”: a number alone after the name.
            other
                .leading
                .map(|(times, range)| (f64::from(times), range))
        });
        self.sides = both(self.sides.take(), other.sides);
        self.times = self.times.take().or(other.times);
        self.takes_s = self.takes_s.or(other.takes_s);
        self.keep |= other.keep;
        self.padded |= other.padded;
    }
}

/// Words that may stand round an amount and say nothing more.
const ROUND_AMOUNTS: [&str; 12] = [
    "for", "hold", "holds", "about", "approx", "ca", "c", "circa", "stay", "of", "roughly",
    "holding",
];

/// Reads amounts, sides and counts. `used` marks the words that are spoken for; what is taken here
/// is marked as well.
pub(super) fn told(words: &[Word], used: &mut [bool]) -> Told {
    let mut told = Told::default();
    let mut at = 0;
    while at < words.len() {
        let free = free_from(used, at);
        let low: Vec<&str> = words
            .iter()
            .skip(at)
            .take(free)
            .map(|word| word.low.as_str())
            .collect();
        let place = |length: usize| place(words, at, length);
        let taken = takes(&low, &mut told)
            .or_else(|| hold(&low, &place, &mut told))
            .or_else(|| times(&low, &place, &mut told))
            .or_else(|| sides(&low, &place, &mut told))
            .or_else(|| flags(&low, &mut told))
            .unwrap_or(0);
        for mark in used.iter_mut().skip(at).take(taken) {
            *mark = true;
        }
        if taken > 0 {
            mark_before(words, used, at);
        }
        at += taken.max(1);
    }
    bare(words, used, &mut told);
    told
}

fn free_from(used: &[bool], at: usize) -> usize {
    used.iter().skip(at).take_while(|&&used| !used).count()
}

fn place(words: &[Word], at: usize, length: usize) -> Range<usize> {
    super::words::span(words.get(at..at + length).unwrap_or_default())
}

/// “hold for 5 breaths”: the words in front say nothing more.
fn mark_before(words: &[Word], used: &mut [bool], at: usize) {
    for place in (0..at).rev() {
        let round = words
            .get(place)
            .is_some_and(|word| ROUND_AMOUNTS.contains(&word.low.as_str()));
        match used.get_mut(place) {
            Some(used) if !*used && round => *used = true,
            _ => return,
        }
    }
}

fn unit(word: &str) -> Option<fn(f64) -> Amount> {
    Some(match word {
        "br" | "brs" | "b" | "bs" | "brth" | "brths" | "breath" | "breaths" | "breathes"
        | "breths" | "breaths'" | "inhales" | "exhales" => Amount::Breaths,
        "rd" | "rds" | "rnd" | "rnds" | "round" | "rounds" | "rep" | "reps" => Amount::Rounds,
        "s" | "sec" | "secs" | "second" | "seconds" => Amount::Seconds,
        "m" | "min" | "mins" | "minute" | "minutes" | "minuets" | "mintues" => Amount::Minutes,
        _ => return None,
    })
}

/// Digits and signs in front, letters behind: `5br`.
fn glued(word: &str) -> Option<(&str, &str)> {
    let at = word.find(|c: char| c.is_ascii_alphabetic())?;
    (at > 0).then(|| word.split_at(at))
}

/// The lower and the upper end of a hold written as a range.
type Spread = Option<(f64, f64)>;

/// A number with its unit, and how many words that is.
fn amount(low: &[&str]) -> Option<(Amount, Spread, usize)> {
    let first = low.first()?;
    let made = |(value, upper): (f64, Option<f64>), unit: fn(f64) -> Amount, taken| {
        // Of a range the longer hold counts, so that the plan is never too easy on paper.
        let spread = upper.map(|upper| (value, upper));
        Some((unit(upper.unwrap_or(value)), spread, taken))
    };
    if let Some((digits, letters)) = glued(first)
        && let (Some(value), Some(unit)) = (number(digits), unit(letters))
    {
        return made(value, unit, 1);
    }
    let second = low.get(1)?;
    if let (Some(value), Some(unit)) = (number(first), unit(second)) {
        return made(value, unit, 2);
    }
    // “3 to 5 breaths”, “3 or 4 min”.
    if let (Some((from, None)), "to" | "or", Some(third)) = (number(first), *second, low.get(2)) {
        let one_word = glued(third).map(|(digits, letters)| (digits, Some(letters), 3));
        let (digits, letters, taken) = one_word.unwrap_or((third, low.get(3).copied(), 4));
        let (to, none) = number(digits)?;
        let unit = letters
            .and_then(unit)
            .filter(|_| none.is_none() && to >= from)?;
        return made((from, Some(to)), unit, taken);
    }
    let value = match *first {
        "a" | "an" => 1.0,
        "half" => 0.5,
        _ => return None,
    };
    if let (true, Some(unit)) = (*first != "half", unit(second)) {
        return made((value, None), unit, 2);
    }
    let unit = low.get(2).and_then(|third| unit(third))?;
    matches!(*second, "a" | "an").then_some(())?;
    made((value, None), unit, 3)
}

/// “takes 6 min”, “in all 6 min”, “6 min in all”.
fn takes(low: &[&str], told: &mut Told) -> Option<usize> {
    let lead = match low {
        ["takes" | "take" | "total" | "allow" | "altogether", ..] => 1,
        ["in", "all" | "total", ..] => 2,
        _ => 0,
    };
    let (amount, _, taken) = amount(low.get(lead..)?)?;
    let after = low.get(lead + taken..).unwrap_or_default();
    let tail = match after {
        ["in", "all" | "total", ..] if lead == 0 => 2,
        ["total" | "altogether", ..] if lead == 0 => 1,
        _ => 0,
    };
    (lead + tail > 0).then_some(())?;
    told.takes_s = Some(match amount {
        Amount::Minutes(minutes) => minutes * 60.0,
        Amount::Seconds(seconds) => seconds,
        Amount::Breaths(_) | Amount::Rounds(_) => return None,
    });
    Some(lead + taken + tail)
}

fn hold(low: &[&str], place: &dyn Fn(usize) -> Range<usize>, told: &mut Told) -> Option<usize> {
    // “6+6”: as much on either side.
    if let Some((one, other)) = low.first().and_then(|word| word.split_once('+'))
        && let (Some(one), Some(other)) = (plain(one), plain(other))
        && (one - other).abs() < f64::EPSILON
    {
        told.sides = Some((Sides::Each { first: None }, place(1)));
        let unit = low.get(1).and_then(|word| unit(word));
        match unit {
            Some(unit) => told.holds.push((unit(one), place(2))),
            None => told.bare = Some((one, place(1))),
        }
        return Some(if unit.is_some() { 2 } else { 1 });
    }
    let (amount, spread, taken) = amount(low)?;
    told.holds.push((amount, place(taken)));
    told.spread = told.spread.or(spread);
    Some(taken)
}

fn times(low: &[&str], place: &dyn Fn(usize) -> Range<usize>, told: &mut Told) -> Option<usize> {
    let first = low.first()?;
    let second = low.get(1).copied().unwrap_or("");
    let count = |text: &str| {
        let (value, upper) = number(text)?;
        (upper.is_none() && value.fract() == 0.0 && (1.0..=100.0).contains(&value)).then_some(())?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number of 1 to 100"
        )]
        Some(value as u32)
    };
    let cross = ['x', '×'];
    let (number, taken) = match *first {
        "once" => (1, 1),
        "twice" => (2, 1),
        "thrice" => (3, 1),
        "x" | "×" => (count(second)?, 2),
        word => {
            let after = word.strip_prefix(cross).and_then(count);
            let before = word.strip_suffix(cross).and_then(count);
            match (after.or(before), second) {
                (Some(number), _) => (number, 1),
                (None, "times" | "time" | "x" | "×") => (count(word)?, 2),
                _ => return None,
            }
        }
    };
    told.times = Some((number, place(taken)));
    Some(taken)
}

const RIGHT: [&str; 3] = ["right", "r", "rt"];
const LEFT: [&str; 3] = ["left", "l", "lt"];
const PARTS: [&str; 14] = [
    "side",
    "sides",
    "leg",
    "legs",
    "foot",
    "knee",
    "arm",
    "arms",
    "hand",
    "hip",
    "way",
    "ways",
    "direction",
    "turn",
];

fn one_side(word: &str) -> Option<Side> {
    if RIGHT.contains(&word) {
        Some(Side::Right)
    } else if LEFT.contains(&word) {
        Some(Side::Left)
    } else {
        None
    }
}

fn sides(low: &[&str], place: &dyn Fn(usize) -> Range<usize>, told: &mut Told) -> Option<usize> {
    let each = |first| Sides::Each { first };
    let part = |at: usize| low.get(at).is_some_and(|word| PARTS.contains(word));
    let (sides, taken) = match low {
        ["r/l" | "l/r" | "r+l" | "l+r", ..] => (each(None), 1),
        [
            "each" | "ea" | "both" | "either" | "per" | "alternate" | "alternating" | "a" | "two"
            | "2",
            ..,
        ] if part(1) => (each(None), 2),
        ["each" | "ea", ..] => (each(None), 1),
        ["on" | "to" | "for", "each" | "both" | "either", ..] if part(2) => (each(None), 3),
        [one, "then", other, ..] if opposite(one, other) => (each(one_side(one)), 3),
        [one, "and" | "&" | "+" | "or", other, ..] if opposite(one, other) => (each(None), 3),
        [one, other, ..] if opposite(one, other) => (each(None), 2),
        [one, "first", ..] if one_side(one).is_some() => (each(one_side(one)), 2),
        [one, _, "first", ..] if one_side(one).is_some() && part(1) => (each(one_side(one)), 3),
        ["on" | "to", "the", one, ..] => (Sides::One(one_side(one)?), if part(3) { 4 } else { 3 }),
        [one, ..] => (Sides::One(one_side(one)?), if part(1) { 2 } else { 1 }),
        [] => return None,
    };
    told.sides = both(told.sides.take(), Some((sides, place(taken))));
    Some(taken)
}

/// Sides that stand in two places: “both sides, right first” says one thing; of two that
/// contradict each other the later counts.
fn both(
    one: Option<(Sides, Range<usize>)>,
    other: Option<(Sides, Range<usize>)>,
) -> Option<(Sides, Range<usize>)> {
    match (one, other) {
        (Some((Sides::Each { first }, at)), Some((Sides::Each { first: now }, _))) => {
            let first = first.or(now);
            Some((Sides::Each { first }, at))
        }
        (one, None) => one,
        (_, other) => other,
    }
}

fn opposite(one: &str, other: &str) -> bool {
    match (one_side(one), one_side(other)) {
        (Some(one), Some(other)) => one != other,
        _ => false,
    }
}

fn flags(low: &[&str], told: &mut Told) -> Option<usize> {
    match low {
        ["keep"] => told.keep = true,
        ["padded"] => told.padded = true,
        _ => return None,
    }
    Some(1)
}

/// A number that is left over: in front of the name a count, behind it a hold without a unit.
fn bare(words: &[Word], used: &mut [bool], told: &mut Told) {
    for (at, word) in words.iter().enumerate() {
        let free = used.get(at) == Some(&false);
        let Some((value, None)) = plain(&word.low).map(|value| (value, None::<f64>)) else {
            continue;
        };
        if !free {
            continue;
        }
        let leads = at == 0 && words.len() > 1 && value.fract() == 0.0 && value <= 100.0;
        if leads && told.times.is_none() {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a whole number of at most 100"
            )]
            let times = value as u32;
            told.leading = Some((times, word.range.clone()));
        } else if told.bare.is_none() {
            told.bare = Some((value, word.range.clone()));
        } else {
            continue;
        }
        if let Some(used) = used.get_mut(at) {
            *used = true;
        }
    }
}

#[cfg(test)]
mod tests;
