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
