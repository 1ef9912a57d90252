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
mod tests {
    use super::*;
    use crate::input::outline::words::atoms;
    use rstest::rstest;

    fn read(text: &str) -> (Told, Vec<String>) {
        let words: Vec<Word> = atoms(text, 0)
            .into_iter()
            .flat_map(|atom| atom.words)
            .collect();
        let mut used = vec![false; words.len()];
        let told = told(&words, &mut used);
        let left = words.iter().zip(&used).filter(|(_, used)| !**used);
        (told, left.map(|(word, _)| word.low.clone()).collect())
    }

    const EACH: Sides = Sides::Each { first: None };

    #[rstest]
    #[case("3 breaths", Amount::Breaths(3.0))]
    #[case("hold for about 5br", Amount::Breaths(5.0))]
    #[case("five br", Amount::Breaths(5.0))]
    #[case("2.5 min", Amount::Minutes(2.5))]
    #[case("2,5 mins", Amount::Minutes(2.5))]
    #[case("1½ min", Amount::Minutes(1.5))]
    #[case("1/2 minute", Amount::Minutes(0.5))]
    #[case("half a minute", Amount::Minutes(0.5))]
    #[case("a minute", Amount::Minutes(1.0))]
    #[case("40 secs", Amount::Seconds(40.0))]
    #[case(".5 min", Amount::Minutes(0.5))]
    #[case("for .5min", Amount::Minutes(0.5))]
    #[case("...5 br", Amount::Breaths(5.0))]
    #[case("hold. 5 br", Amount::Breaths(5.0))]
    #[case("6 rounds", Amount::Rounds(6.0))]
    #[case("5-8 breaths", Amount::Breaths(8.0))]
    #[case("6+6 br", Amount::Breaths(6.0))]
    fn holds(#[case] text: &str, #[case] expected: Amount) {
        let (told, left) = read(text);
        let holds: Vec<Amount> = told.holds.iter().map(|(amount, _)| *amount).collect();
        assert_eq!((holds, left), (vec![expected], Vec::new()));
    }

    /// A part of nothing, and a number over nothing, last no time.
    #[rstest]
    #[case("0/3 min")]
    #[case("3/0 min")]
    fn holds_nothing(#[case] text: &str) {
        assert_eq!(read(text).0.holds.len(), 0);
    }

    #[rstest]
    #[case(Amount::Minutes(1.5), Some(90.0))]
    #[case(Amount::Seconds(40.0), Some(40.0))]
    #[case(Amount::Breaths(5.0), None)]
    #[case(Amount::Rounds(5.0), None)]
    fn only_minutes_and_seconds_are_told_by_the_clock(
        #[case] amount: Amount,
        #[case] seconds: Option<f64>,
    ) {
        assert_eq!(amount.clock_s(), seconds);
    }

    /// Time for everything is no hold.
    #[rstest]
    #[case("takes 11 min", 660.0, "")]
    #[case("takes 90 sec", 90.0, "")]
    #[case("in all 6 min", 360.0, "")]
    #[case("6 min in all", 360.0, "")]
    #[case("6 min total", 360.0, "")]
    #[case("takes 6 min in total darkness", 360.0, "in total darkness")]
    #[case("in all 6 min total silence", 360.0, "total silence")]
    fn time_for_everything(#[case] text: &str, #[case] seconds: f64, #[case] rest: &str) {
        let (told, left) = read(text);
        assert_eq!(told.takes_s, Some(seconds));
        assert_eq!((told.holds, left.join(" ").as_str()), (Vec::new(), rest));
    }

    /// How long, on which side or how often: each alone makes a step, a number without a unit none.
    #[rstest]
    #[case("3 br", true)]
    #[case("each side", true)]
    #[case("x2", true)]
    #[case("6+6", false)]
    #[case("6", false)]
    #[case("look up", false)]
    fn what_makes_a_step(#[case] text: &str, #[case] expected: bool) {
        assert_eq!(read(text).0.is_a_step(), expected);
    }

    /// What was said stays, and what comes later is added.
    #[test]
    fn a_later_part_adds_to_the_step() {
        let (mut says, _) = read("keep");
        says.add(read("5 br each side").0);
        assert_eq!((says.keep, says.padded), (true, false));
        says.add(read("padded").0);
        assert_eq!((says.keep, says.padded), (true, true));
        assert_eq!(says.holds.len(), 1);
        assert_eq!(says.sides.map(|(sides, _)| sides), Some(EACH));
    }

    #[test]
    fn what_is_read_has_its_place() {
        let text = "tree for 5 breaths each side x2";
        let (told, _) = read(text);
        let held = told.holds.first().map(|(_, range)| range.clone());
        let sides = told.sides.map(|(_, range)| range);
        let times = told.times.map(|(_, range)| range);
        let words = [held, sides, times].map(|range| range.and_then(|range| text.get(range)));
        assert_eq!(words, [Some("5 breaths"), Some("each side"), Some("x2")]);
    }

    #[rstest]
    #[case("each side", EACH)]
    #[case("ea side", EACH)]
    #[case("on each side", EACH)]
    #[case("right left", EACH)]
    #[case("both legs", EACH)]
    #[case("R/L", EACH)]
    #[case("R & L", EACH)]
    #[case("left first", Sides::Each { first: Some(Side::Left) })]
    #[case("right side first", Sides::Each { first: Some(Side::Right) })]
    #[case("both sides right first", Sides::Each { first: Some(Side::Right) })]
    #[case("right then left", Sides::Each { first: Some(Side::Right) })]
    #[case("on the left", Sides::One(Side::Left))]
    #[case("on the left side", Sides::One(Side::Left))]
    #[case("right leg", Sides::One(Side::Right))]
    fn sides_in_words(#[case] text: &str, #[case] expected: Sides) {
        let (told, left) = read(text);
        assert_eq!(told.sides.map(|(sides, _)| sides), Some(expected));
        assert_eq!(left, Vec::<String>::new());
    }

    #[test]
    fn a_side_after_other_words_is_one_side() {
        let (told, left) = read("tree then right");
        let sides = told.sides.map(|(sides, _)| sides);
        assert_eq!(sides, Some(Sides::One(Side::Right)));
        assert_eq!(left, ["tree", "then"]);
    }

    /// Words built like sides or counts that say neither: all of them are left.
    #[rstest]
    #[case("a tree")]
    #[case("on both feet")]
    #[case("heels and toes")]
    #[case("tree first")]
    #[case("top arm first")]
    #[case("hold plank")]
    #[case("6+8")]
    #[case("x2.5")]
    #[case("x101")]
    fn neither_a_side_nor_a_count(#[case] text: &str) {
        let (told, left) = read(text);
        assert_eq!(told, Told::default());
        assert_eq!(left.join(" "), text);
    }

    #[rstest]
    #[case("x2", 2)]
    #[case("x100", 100)]
    #[case("3x", 3)]
    #[case("× 4", 4)]
    #[case("5 times", 5)]
    #[case("twice", 2)]
    fn counts(#[case] text: &str, #[case] expected: u32) {
        let (told, left) = read(text);
        assert_eq!(told.times.map(|(times, _)| times), Some(expected));
        assert_eq!(left, Vec::<String>::new());
    }

    #[test]
    fn the_rest_stays() {
        let (told, left) = read("long flow 3 br each takes 11 min 6+6");
        assert_eq!(left, ["long", "flow"]);
        assert_eq!(told.takes_s, Some(660.0));
        assert_eq!(told.bare.map(|(value, _)| value), Some(6.0));
    }

    /// In front of the name a whole number up to a hundred says how often; any other is a hold
    /// without a unit.
    #[rstest]
    #[case("5 sit stands", Some(5), None)]
    #[case("100 sit stands", Some(100), None)]
    #[case("101 sit stands", None, Some(101.0))]
    #[case("2.5 sit stands", None, Some(2.5))]
    #[case("sit stands 5", None, Some(5.0))]
    #[case("5", None, Some(5.0))]
    fn a_number_alone(#[case] text: &str, #[case] count: Option<u32>, #[case] hold: Option<f64>) {
        let (told, left) = read(text);
        assert_eq!(told.leading.map(|(times, _)| times), count);
        assert_eq!(told.bare.map(|(value, _)| value), hold);
        assert!(left.is_empty() || left == ["sit", "stands"], "{left:?}");
    }
}
