//! What whole files say, as the readers hand it on: every key of a class, a roster and the settings,
//! the borders of what is taken, and jottings that say what a plan says.

use jiff::civil::{Time, date};
use kindfold::class::{Choice, ClassPlan, Item, Line, Run, Sides};
use kindfold::input::reading::{self, Reading};
use kindfold::input::text::Source;
use kindfold::input::{class, roster, settings};
use kindfold::problem::{Code, Problem};
use kindfold::roster::{
    Access, Approach, Asked, Guidance, Limitation, Preference, Roster, Student, Told, ToldSide,
    ToldWeeks, Touch, VagueDate, Where,
};
use kindfold::settings::OptionOrder;
use kindfold::words::{BodySide, Prop, Severity, Side};
use rstest::rstest;

use crate::support::library::library;

fn source(name: &str, text: &str) -> Source {
    Source::from_bytes(name, text.as_bytes()).expect("the test's text is a good file")
}

fn codes<T>(read: Result<T, Vec<Problem>>) -> Vec<Code> {
    let problems = read.err().unwrap_or_default();
    problems.into_iter().map(|problem| problem.code).collect()
}

// ---- Jottings ----------------------------------------------------------------------------------

fn jotting(words: &str) -> Result<Reading, Vec<Problem>> {
    let text = format!("# T\n20 minutes\n\n## A\n\n{words}\n\n- mountain, 5 breaths\n");
    reading::read(source("class.md", &text), library())
}

/// What was left out, in order.
fn left_out(reading: &Reading) -> Vec<&str> {
    let unread = reading.unread.iter();
    unread.map(|problem| problem.message.as_str()).collect()
}

/// A jotting and the steps of the plan that say the same, one an element.
#[rstest]
#[case::a_note_with_commas_and_a_name(
    "- tree, 5 br – look ahead, mountain next",
    &["{posture: tree, breaths: 5, note: 'look ahead, mountain next'}"]
)]
#[case::a_talk_with_a_note("- talk 2 min – hand out the props", &["{talk: 2, note: hand out the props}"])]
#[case::a_note_of_steps_taught_together(
    "w2 → side angle, 3 br, each side – look ahead",
    &["{side: each, steps: [{posture: warrior II, breaths: 3}, {posture: extended side angle, breaths: 3, note: look ahead}]}"]
)]
#[case::the_name_in_brackets_decides(
    "- warrior (warrior II), 3 br each side",
    &["{posture: warrior II, breaths: 3, side: each}"]
)]
#[case::another_name_in_brackets_is_a_note(
    "- tree (mountain), 5 br",
    &["{posture: tree, breaths: 5, note: mountain}"]
)]
#[case::the_same_name_in_brackets_says_nothing_new(
    "- final rest (savasana), 6 min",
    &["{posture: final rest, minutes: 6}"]
)]
#[case::a_hold_in_brackets("- tree (5 br)", &["{posture: tree, breaths: 5}"])]
#[case::a_known_shape_like_another_stays_itself(
    "- tree (like mountain), 5 br",
    &["{posture: tree, breaths: 5, note: like mountain}"]
)]
#[case::a_shape_not_sure_becomes_ones_own(
    "- flying tree (like tree), 3 br",
    &["{own: flying tree, like: tree, side: each, breaths: 3}"]
)]
#[case::own_without_brackets(
    "- spiral reach, like triangle, 3 br",
    &["{own: spiral reach, like: triangle, side: each, breaths: 3}"]
)]
#[case::one_step_with_a_side_is_no_run("- tree each side 5 br", &["{posture: tree, side: each, breaths: 5}"])]
#[case::two_with_a_side_are_a_run(
    "w2-side angle each side, 3 br",
    &["{side: each, steps: [{posture: warrior II, breaths: 3}, {posture: extended side angle, breaths: 3}]}"]
)]
#[case::two_with_a_number_are_a_run(
    "salute-half lift 1 br x5",
    &["{repeat: 5, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"]
)]
#[case::two_with_neither_are_two_steps(
    "- salute-half lift 1 br",
    &["{posture: upward salute, breaths: 1}", "{posture: half lift, breaths: 1}"]
)]
#[case::an_arrow_behind_a_hold_joins_nothing(
    "w2 3 br → side angle 5 br",
    &["{posture: warrior II, breaths: 3}", "{posture: extended side angle, breaths: 5}"]
)]
#[case::three_with_arrows(
    "w2 → side angle → triangle, 3 br, each side",
    &["{side: each, steps: [{posture: warrior II, breaths: 3}, {posture: extended side angle, breaths: 3}, {posture: triangle, breaths: 3}]}"]
)]
#[case::an_arrow_behind_a_run_joins_nothing(
    "w2 → side angle, 3 br, each side → triangle, 5 br",
    &[
        "{side: each, steps: [{posture: warrior II, breaths: 3}, {posture: extended side angle, breaths: 3}]}",
        "{posture: triangle, breaths: 5}"
    ]
)]
#[case::words_beside_the_only_step("- tree 5 br, look ahead", &["{posture: tree, breaths: 5, note: look ahead}"])]
#[case::many_words_before_a_name(
    "- slow long wide tree 5 br",
    &["{posture: tree, breaths: 5, note: slow long wide}"]
)]
#[case::a_welcome_keeps_its_word("- welcome 3 min", &["{talk: 3, note: welcome}"])]
#[case::a_talk_keeps_what_it_is_about("- talk about breath 2 min", &["{talk: 2, note: talk about breath}"])]
#[case::the_usual_way("- to standing, 1 min", &["{move: standing, takes: 1}"])]
#[case::a_remark_in_a_run(
    "5 times:\n  salute 1 br\n  > slow\n  half lift 1 br",
    &["{repeat: 5, steps: [{posture: upward salute, breaths: 1, note: slow}, {posture: half lift, breaths: 1}]}"]
)]
#[case::a_note_in_a_run(
    "5 times:\n  salute 1 br\n  note: slow\n  half lift 1 br",
    &["{repeat: 5, steps: [{posture: upward salute, breaths: 1, note: slow}, {posture: half lift, breaths: 1}]}"]
)]
#[case::a_colon_before_a_hold_in_a_run(
    "5 times:\n  salute: 1 br\n  half lift: 1 br",
    &["{repeat: 5, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"]
)]
#[case::a_run_without_a_colon(
    "5x\n  salute 1 br\n  half lift 1 br",
    &["{repeat: 5, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"]
)]
#[case::a_run_in_a_run_without_a_colon(
    "Each side:\n  w2 3 br\n  3x\n    reverse warrior 1 br",
    &["{side: each, steps: [{posture: warrior II, breaths: 3}, {repeat: 3, steps: [{posture: reverse warrior, breaths: 1}]}]}"]
)]
#[case::a_number_behind_two_names(
    "- salute and half lift x3, 1 br",
    &["{repeat: 3, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"]
)]
fn a_jotting_says_what_a_plan_says(#[case] jotted: &str, #[case] steps: &[&str]) {
    let steps: String = steps
        .iter()
        .map(|step| format!("      - {step}\n"))
        .collect();
    let plan = format!(
        "title: T\nminutes: 20\nsections:\n  - name: A\n    steps:\n{steps}      - {{posture: mountain, breaths: 5}}\n"
    );
    let plan = class::read(source("class.yaml", &plan), library()).expect("the plan is right");
    let reading = jotting(jotted).expect("the jotting is understood");
    assert_eq!(reading.unread, []);
    assert_eq!(reading.class, plan);
}

/// Words that are no step are listed sentence by sentence, and are no note where two steps may be meant.
#[rstest]
#[case("- feed the goldfish. ring Bo", &["feed the goldfish", "ring Bo"])]
#[case("- flibber wobble – ring Bo", &["flibber wobble – ring Bo"])]
#[case("- tree 5 br, mountain 5 br, flibber wobble", &["flibber wobble"])]
#[case("- ring Bo. tree 5 br", &["ring Bo"])]
fn loose_words_are_listed_as_they_stand(#[case] jotted: &str, #[case] words: &[&str]) {
    let reading = jotting(jotted).expect("the rest is understood");
    let expected: Vec<String> = words
        .iter()
        .map(|words| format!("“{words}” was not understood"))
        .collect();
    assert_eq!(left_out(&reading), expected);
}

/// A hold makes a step of words that nobody knows, and a second time for one thing is no time.
#[rstest]
#[case::glued("- flibber wobble 5 breaths", Code::UnknownPosture)]
#[case::beside_a_step("- tree 5 br, flibber wobble 3 br", Code::UnknownPosture)]
#[case::a_way_with_two_times("- to standing by a chair, 1 min, 2 min", Code::UnknownPosture)]
#[case::a_talk_in_a_run("Each side:\n  w2 3 br\n  talk 2 min", Code::ClashingKeys)]
fn a_wrong_jotting_is_refused(#[case] jotted: &str, #[case] code: Code) {
    assert_eq!(codes(jotting(jotted)), [code]);
}

#[test]
fn a_run_two_deep_in_another_is_refused() {
    let deep =
        "Each side:\n  w2 3 br\n  2 times:\n    2 times:\n      tree 1 br\n    mountain 1 br";
    assert_eq!(codes(jotting(deep)), [Code::ClashingKeys]);
}

/// A name with a slip and a hold is refused with the name that is nearly meant.
#[test]
fn a_step_with_a_slip_is_told_what_may_be_meant() {
    let problems = jotting("- trangel poze 5 br").expect_err("nobody knows it");
    let helps: Vec<&str> = problems.iter().map(|one| one.help.as_str()).collect();
    assert_eq!(helps, ["Did you mean “Triangle pose”?"]);
}

// ---- Classes -----------------------------------------------------------------------------------

fn plan(step: &str) -> Result<ClassPlan, Vec<Problem>> {
    let text =
        format!("title: T\nminutes: 20\nsections:\n  - name: A\n    steps:\n      - {step}\n");
    class::read(source("class.yaml", &text), library())
}

#[expect(clippy::panic, reason = "a test that has failed")]
fn first_run(class: &ClassPlan) -> &Run {
    match class.sections.first().and_then(|part| part.items.first()) {
        Some(Item::Run(run)) => run,
        other => panic!("no run stands first: {other:?}"),
    }
}

/// Which sides a step or a run is taught on: as it says, and else as its shapes have sides.
#[rstest]
#[case("{posture: tree, side: each, breaths: 3}", Sides::Each { first: None })]
#[case("{posture: tree, side: left, breaths: 3}", Sides::One(Side::Left))]
#[case("{posture: tree, side: right, breaths: 3}", Sides::One(Side::Right))]
#[case("{posture: tree, side: none, breaths: 3}", Sides::None)]
#[case("{posture: tree, breaths: 3}", Sides::Each { first: None })]
#[case("{posture: tree, first: left, breaths: 3}", Sides::Each { first: Some(Side::Left) })]
#[case("{posture: mountain, breaths: 3}", Sides::None)]
#[case("{posture: mountain, side: none, breaths: 3}", Sides::None)]
#[case("{own: x, breaths: 3}", Sides::None)]
#[case("{own: x, side: each, breaths: 3}", Sides::Each { first: None })]
#[case("{own: x, like: tree, breaths: 3}", Sides::Each { first: None })]
#[case("{repeat: 2, steps: [{posture: mountain, breaths: 3}]}", Sides::None)]
#[case("{steps: [{posture: tree, breaths: 3}]}", Sides::Each { first: None })]
#[case("{steps: [{posture: tree, side: left, breaths: 3}]}", Sides::None)]
#[case("{steps: [{steps: [{posture: tree, breaths: 3}]}]}", Sides::Each { first: None })]
#[case(
    "{steps: [{repeat: 2, steps: [{posture: mountain, breaths: 3}]}]}",
    Sides::None
)]
fn sides_are_as_written_or_as_the_shape_has_them(#[case] step: &str, #[case] sides: Sides) {
    let class = plan(step).expect("the class is right");
    assert_eq!(first_run(&class).sides, sides);
}

/// A line of a run keeps the side that is written on it.
#[rstest]
#[case("{posture: tree, side: right, breaths: 3}", Some(Side::Right))]
#[case("{posture: tree, breaths: 3}", None)]
#[case("{posture: mountain, side: none, breaths: 3}", Some(Side::None))]
#[case("{own: x, side: left, breaths: 3}", Some(Side::Left))]
fn a_line_of_a_run_keeps_its_side(#[case] line: &str, #[case] side: Option<Side>) {
    let class = plan(&format!("{{steps: [{line}]}}")).expect("the class is right");
    let sides: Vec<_> = class.lines().map(|line| line.side).collect();
    assert_eq!(sides, [side]);
}

/// One mistake is one problem.
#[rstest]
#[case("{posture: flibber, side: left, breaths: 3}", Code::UnknownPosture)]
#[case("{posture: tree, breaths: 900}", Code::OutOfRange)]
#[case("{posture: mountain, side: left, breaths: 3}", Code::NoSides)]
#[case("{posture: tree, side: up, breaths: 3}", Code::UnknownWord)]
#[case("{posture: tree, breaths: 3, colour: red}", Code::UnknownKey)]
#[case("{repeat: 2}", Code::MissingKey)]
#[case(
    "{steps: [{posture: mountain, side: left, breaths: 3}]}",
    Code::NoSides
)]
#[case(
    "{steps: [{own: x, like: mountain, side: left, breaths: 3}]}",
    Code::NoSides
)]
fn a_wrong_step_is_refused_once(#[case] step: &str, #[case] code: Code) {
    assert_eq!(codes(plan(step)), [code]);
}

/// A hold in seconds, and the breath that it was counted in: of the part, else of the class, else six
/// seconds. No hold is shorter than a second.
#[rstest]
#[case("", "", "{posture: tree, breaths: 3}", 18, 6.0)]
#[case("breath_seconds: 5", "", "{posture: tree, breaths: 3}", 15, 5.0)]
#[case(
    "breath_seconds: 5",
    "breath_seconds: 9.5",
    "{posture: tree, breaths: 2}",
    19,
    9.5
)]
#[case("", "", "{posture: mountain, rounds: 3, round_seconds: 11}", 33, 6.0)]
#[case("", "", "{posture: mountain, rounds: 3}", 18, 6.0)]
#[case("", "", "{posture: tree, minutes: 2.5}", 150, 6.0)]
#[case("", "", "{posture: tree, seconds: 75}", 75, 6.0)]
#[case("", "", "{posture: tree, seconds: 0.1}", 1, 6.0)]
fn a_hold_is_counted_in_seconds(
    #[case] of_class: &str,
    #[case] of_part: &str,
    #[case] step: &str,
    #[case] hold_s: u32,
    #[case] breath_s: f64,
) {
    let text = format!(
        "title: T\nminutes: 20\n{of_class}\nsections:\n  - name: A\n    {of_part}\n    steps:\n      - {step}\n"
    );
    let class = class::read(source("class.yaml", &text), library()).expect("the class is right");
    let line = class.lines().next().expect("one line");
    assert_eq!((line.hold_s, line.breath_s), (hold_s, breath_s));
}

/// Everything else that a class says is handed on as it stands.
#[test]
#[expect(clippy::panic, reason = "a test that has failed")]
fn a_class_is_handed_on_whole() {
    let text = "\
title: Lamp
date: 2026-12-03
start: \"07:05\"
minutes: 45.5
sections:
  - name: one
    steps:
      - {talk: 1.5, note: hello}
      - {move: standing, by: a chair, takes: 2}
      - {posture: tree, side: left, breaths: 3, takes: 6, keep: true, cue: look, note: slow, or: [mountain, hand on the hip], props: {block: 2}}
      - {padded: true, repeat: 3, takes: 4, steps: [{posture: tree, breaths: 1}, {posture: tree, breaths: 1, padded: false}]}
  - {name: two, padded: true, steps: [{posture: mountain, breaths: 2}]}
";
    let class = class::read(source("class.yaml", text), library()).expect("the class is right");
    assert_eq!(class.title, "Lamp");
    assert_eq!(class.date, Some(date(2026, 12, 3)));
    assert_eq!(class.start, Some(Time::constant(7, 5, 0, 0)));
    assert_eq!(class.slot_s, 2730);
    let [one, two] = class.sections.as_slice() else {
        panic!("there are two parts");
    };
    assert_eq!((one.name.as_str(), two.name.as_str()), ("one", "two"));
    let [talk, going, Item::Run(step), Item::Run(run)] = one.items.as_slice() else {
        panic!("there are four steps");
    };
    let hello = Some("hello".to_owned());
    let expected = Item::Talk {
        seconds: 90,
        note: hello,
    };
    assert_eq!(*talk, expected);
    assert!(
        matches!(going, Item::Move { by: Some(by), takes_s: Some(120), .. } if by == "a chair")
    );
    assert!(step.single && !run.single);
    assert_eq!((step.repeats, run.repeats, run.takes_s), (1, 3, Some(240)));
    let tree = step.lines().next().expect("a line");
    assert_eq!(
        (tree.takes_s, tree.keep, tree.padded),
        (Some(360), true, false)
    );
    assert_eq!(tree.cue.as_deref(), Some("look"));
    assert_eq!(tree.note.as_deref(), Some("slow"));
    let words = Choice::Words("hand on the hip".to_owned());
    assert_eq!(tree.or, [Choice::Posture("mountain".into()), words]);
    assert_eq!(tree.props.get(&Prop::Block), Some(&2));
    let padded: Vec<bool> = class.lines().map(|line| line.padded).collect();
    assert_eq!(padded, [false, true, false, true]);
    let numbers: Vec<usize> = class.lines().map(|line: &Line| line.number).collect();
    assert_eq!(numbers, [1, 2, 3, 4]);
}

/// A clock time has two digits of minutes and no sign.
#[rstest]
#[case("19:15", true)]
#[case("0:00", true)]
#[case("23:59", true)]
#[case("24:00", false)]
#[case("19:60", false)]
#[case("19:5", false)]
#[case("+9:15", false)]
#[case("19:+5", false)]
fn a_clock_time_is_taken_or_refused(#[case] clock: &str, #[case] taken: bool) {
    let step = "[{name: A, steps: [{posture: mountain, breaths: 3}]}]";
    let text = format!("title: T\nminutes: 20\nstart: \"{clock}\"\nsections: {step}\n");
    let read = class::read(source("class.yaml", &text), library());
    let expected: &[Code] = if taken { &[] } else { &[Code::BadClock] };
    assert_eq!(codes(read), expected);
}

/// Days from 1900 to 2200, each with four, two and two digits.
#[rstest]
#[case("1900-01-01", "")]
#[case("2200-12-31", "")]
#[case("1899-12-31", "nobody can mean “1899-12-31”")]
#[case("2201-01-01", "nobody can mean “2201-01-01”")]
#[case("2026-11-31", "there is no day “2026-11-31”")]
#[case("20x6-11-02", "“20x6-11-02” is not a day with the year first")]
#[case("2026-1-02", "“2026-1-02” is not a day with the year first")]
#[case("2026-11", "“2026-11” is not a day with the year first")]
fn a_day_is_taken_or_refused(#[case] day: &str, #[case] message: &str) {
    let step = "[{name: A, steps: [{posture: mountain, breaths: 3}]}]";
    let text = format!("title: T\nminutes: 20\ndate: {day}\nsections: {step}\n");
    let read = class::read(source("class.yaml", &text), library());
    let problems = read.err().unwrap_or_default();
    let messages: Vec<&str> = problems.iter().map(|one| one.message.as_str()).collect();
    let expected = if message.is_empty() {
        vec![]
    } else {
        vec![message]
    };
    assert_eq!(messages, expected);
}

// ---- Rosters -----------------------------------------------------------------------------------

fn people(people: &str) -> Result<Roster, Vec<Problem>> {
    let text = format!("recorded: 2026-11-02\nstudents:\n{people}");
    roster::read(source("roster.yaml", &text), library())
}

/// Ada, who told this on 2 November 2026.
fn told(keys: &str) -> Result<Roster, Vec<Problem>> {
    people(&format!("  - {{name: Ada, {keys}}}\n"))
}

fn ada(keys: &str) -> Student {
    let roster = told(keys).expect("the roster is right");
    roster.students.into_iter().next().expect("one person")
}

fn limitations(student: &Student) -> Vec<&Limitation> {
    let told = student.limitations.iter();
    told.filter_map(|told| match told {
        Told::Limitation(limitation) => Some(limitation),
        Told::Words { .. } => None,
    })
    .collect()
}

fn ids(student: &Student) -> Vec<&str> {
    let told = limitations(student).into_iter();
    told.map(|told| told.what.as_str()).collect()
}

/// The borders of days and weeks, told on 2 November 2026: what happened, happened by then; a birth is
/// due within 42 weeks after, or 3 before.
#[rstest]
#[case("limitations: [{what: surgery, on: 1900}]", None)]
#[case("limitations: [{what: surgery, on: 1899}]", Some(Code::ImpossibleDate))]
#[case("limitations: [{what: surgery, on: 2026-11-02}]", None)]
#[case(
    "limitations: [{what: surgery, on: 2026-11-03}]",
    Some(Code::ImpossibleDate)
)]
#[case("limitations: [{what: surgery, on: 2026-11}]", None)]
#[case(
    "limitations: [{what: surgery, on: 2026-12}]",
    Some(Code::ImpossibleDate)
)]
#[case("limitations: [{what: surgery, on: 2026}]", None)]
#[case("today: [{what: surgery, on: 2026-11-03}]", None)]
#[case(
    "limitations: [{what: surgery, on: 2026-11-02-05}]",
    Some(Code::BadDate)
)]
#[case("limitations: [{what: pregnancy, due: 2027-08-23}]", None)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-08-24}]",
    Some(Code::ImpossibleDate)
)]
#[case("limitations: [{what: pregnancy, due: 2027-08}]", None)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-09}]",
    Some(Code::ImpossibleDate)
)]
#[case("limitations: [{what: pregnancy, due: 2026-10-12}]", None)]
#[case(
    "limitations: [{what: pregnancy, due: 2026-10-11}]",
    Some(Code::ImpossibleDate)
)]
#[case("limitations: [{what: pregnancy, due: 2026-10}]", None)]
#[case(
    "limitations: [{what: pregnancy, due: 2026-09}]",
    Some(Code::ImpossibleDate)
)]
#[case("limitations: [{what: pregnancy, weeks: 42+6}]", None)]
#[case("limitations: [{what: pregnancy, weeks: 43}]", Some(Code::BadWeeks))]
#[case("limitations: [{what: pregnancy, weeks: 25+6}]", None)]
#[case("limitations: [{what: pregnancy, weeks: 25+7}]", Some(Code::BadWeeks))]
#[case("limitations: [{what: pregnancy, weeks: 25+8}]", Some(Code::BadWeeks))]
#[case("limitations: [{what: surgery, weeks: 43}]", None)]
#[case("limitations: [{what: surgery, weeks: 5200}]", None)]
#[case("limitations: [{what: surgery, weeks: 5201}]", Some(Code::BadWeeks))]
fn days_and_weeks_that_can_be_meant(#[case] keys: &str, #[case] code: Option<Code>) {
    assert_eq!(codes(told(keys)), Vec::from_iter(code));
}

/// Of a day that is not written year first, every day that it can be is shown and none is taken.
#[rstest]
#[case("3/11/2026", "Write the year first: 2026-11-03 or 2026-03-11.")]
#[case("2026/11/3", "Write the year first: 2026-11-03 or 2026-03-11.")]
#[case("2026 2 13", "Write the year first: 2026-02-13.")]
#[case("5. 5. 2026", "Write the year first: 2026-05-05.")]
#[case(
    "1/2/26",
    "Write year, month and day, as in 2026-11-02. A month (2026-11) or a year (2026) will do."
)]
fn a_day_the_other_way_round_is_shown_year_first(#[case] day: &str, #[case] help: &str) {
    let problems = told(&format!("limitations: [{{what: surgery, on: {day}}}]"))
        .expect_err("the year does not stand first");
    let helps: Vec<&str> = problems.iter().map(|one| one.help.as_str()).collect();
    assert_eq!(helps, [help]);
}

/// A month is all its days, a year as well.
#[rstest]
#[case("2025", (2025, 1, 1), (2025, 12, 31))]
#[case("2026-02", (2026, 2, 1), (2026, 2, 28))]
#[case("2026-02-10", (2026, 2, 10), (2026, 2, 10))]
fn a_vague_day_is_all_its_days(
    #[case] day: &str,
    #[case] first: (i16, i8, i8),
    #[case] last: (i16, i8, i8),
) {
    let student = ada(&format!("limitations: [{{what: surgery, on: {day}}}]"));
    let whole = |(year, month, day)| date(year, month, day);
    let expected = VagueDate {
        earliest: whole(first),
        latest: whole(last),
    };
    let days: Vec<_> = limitations(&student).iter().map(|told| told.on).collect();
    assert_eq!(days, [Some(expected)]);
}

#[rstest]
#[case("25", 25, None)]
#[case("25+4", 25, Some(4))]
#[case("25 + 0", 25, Some(0))]
fn weeks_are_weeks_or_weeks_and_days(
    #[case] written: &str,
    #[case] weeks: u32,
    #[case] days: Option<u32>,
) {
    let student = ada(&format!(
        "limitations: [{{what: pregnancy, weeks: {written}}}]"
    ));
    let told: Vec<_> = limitations(&student)
        .iter()
        .map(|told| told.weeks)
        .collect();
    assert_eq!(told, [Some(ToldWeeks { weeks, days })]);
}

/// Every key of something told is handed on.
#[test]
#[expect(clippy::panic, reason = "a test that has failed")]
fn what_somebody_told_is_handed_on_whole() {
    let student = ada(
        "limitations: [{what: hip-replacement, side: left, severity: mild, note: slow stairs, approach: anterior, \
         site: hip, on: 2026-05}, {what: heart, kind: [chest-operation, symptoms]}, {what: heart, kind: symptoms}, \
         {what: pregnancy, due: 2027-03}]",
    );
    let told = limitations(&student);
    let [hip, heart, other, due] = told.as_slice() else {
        panic!("four things were told: {told:?}");
    };
    assert_eq!(hip.what.as_str(), "hip-replacement");
    assert_eq!(hip.side, Some(ToldSide::One(BodySide::Left)));
    assert_eq!(hip.severity, Some(Severity::Mild));
    assert_eq!(hip.note.as_deref(), Some("slow stairs"));
    assert_eq!(hip.site.as_deref(), Some("hip"));
    assert_eq!(hip.approach, Some(Approach::Anterior));
    assert_eq!(hip.file_line, 3);
    assert_eq!(heart.kind, ["chest-operation", "symptoms"]);
    assert_eq!(other.kind, ["symptoms"]);
    let month = VagueDate {
        earliest: date(2027, 3, 1),
        latest: date(2027, 3, 31),
    };
    assert_eq!(due.due, Some(month));
}

/// Every other key of a person is handed on.
#[test]
fn a_person_is_handed_on_whole() {
    let student = ada(
        "recorded: 2026-10-01, asked: declined, aims: [leg-strength], prefers: [wall, no-floor], declines: [plank, loud \
         music], fixed: [{line: 2, posture: mountain}], access: [deaf, hard-of-hearing, blind, low-vision, 'speaks: es', \
         {speaks: spa}], touch: ask, where: video, has: {chair: 1}, confidential: yes, late: 240, height_cm: 100, note: \
         by the door, under_18: yes, guardian: yes, over_70: no",
    );
    assert_eq!(student.recorded, Some(date(2026, 10, 1)));
    assert_eq!(student.asked, Asked::Declined);
    let aims: Vec<&str> = student.aims.iter().map(|aim| aim.as_str()).collect();
    assert_eq!(aims, ["leg-strength"]);
    assert_eq!(student.prefers, [Preference::Wall, Preference::NoFloor]);
    let declined: Vec<(&str, bool)> = student
        .declines
        .iter()
        .map(|one| (one.words.as_str(), one.posture.is_some()))
        .collect();
    assert_eq!(declined, [("plank", true), ("loud music", false)]);
    let fixed: Vec<(usize, &str)> = student
        .fixed
        .iter()
        .map(|one| (one.line, one.posture.as_str()))
        .collect();
    assert_eq!(fixed, [(2, "mountain")]);
    assert_eq!(
        student.access,
        [
            Access::Deaf,
            Access::HardOfHearing,
            Access::Blind,
            Access::LowVision,
            Access::Speaks("es".to_owned()),
            Access::Speaks("spa".to_owned()),
        ]
    );
    assert_eq!(student.touch, Touch::Ask);
    assert_eq!(student.place, Where::Video);
    assert_eq!(student.has.get(&Prop::Chair), Some(&1));
    assert_eq!((student.late_min, student.height_cm), (240, Some(100)));
    assert_eq!(student.note.as_deref(), Some("by the door"));
    assert!(student.confidential && student.under_18 && student.guardian && !student.over_70);
}

/// Yes and no may stand as words or as YAML's own.
#[rstest]
#[case("asked: yes", Asked::Yes)]
#[case("asked: true", Asked::Yes)]
#[case("asked: no", Asked::No)]
#[case("asked: false", Asked::No)]
#[case("asked: blank", Asked::Blank)]
#[case("asked: declined", Asked::Declined)]
#[case("late: 0", Asked::Yes)]
fn whether_they_were_asked(#[case] keys: &str, #[case] asked: Asked) {
    assert_eq!(ada(keys).asked, asked);
}

/// Nobody is touched who was not asked, and nobody who said no in their own words.
#[rstest]
#[case("touch: yes", Touch::Yes)]
#[case("touch: true", Touch::Yes)]
#[case("touch: no", Touch::No)]
#[case("touch: false", Touch::No)]
#[case("touch: ask", Touch::Ask)]
#[case("touch: not-asked", Touch::NotAsked)]
#[case("late: 0", Touch::NotAsked)]
#[case("limitations: [\"please don't touch me\", sore knee]", Touch::No)]
fn whether_they_may_be_touched(#[case] keys: &str, #[case] touch: Touch) {
    assert_eq!(ada(keys).touch, touch);
}

#[rstest]
#[case("access: ['speaks: e']", Code::UnknownWord)]
#[case("access: ['speaks: span']", Code::UnknownWord)]
#[case("access: ['speaks: ES']", Code::UnknownWord)]
#[case("access: [es]", Code::UnknownWord)]
#[case("aims: [strength]", Code::UnknownId)]
#[case("touch: maybe", Code::UnknownWord)]
#[case("asked: perhaps", Code::UnknownWord)]
#[case("prefers: [floor]", Code::UnknownWord)]
#[case("where: garden", Code::UnknownWord)]
#[case("fixed: [{line: 0, posture: tree}]", Code::OutOfRange)]
#[case("fixed: [{line: 3, posture: flibber}]", Code::UnknownPosture)]
#[case("limitations: [{what: heart, kind: loud}]", Code::UnknownWord)]
#[case(
    "guidance: [{from: physio, limits: [{deep-knee-bend: -181}]}]",
    Code::OutOfRange
)]
#[case(
    "guidance: [{from: physio, limits: [{deep-knee-bend: 1001}]}]",
    Code::OutOfRange
)]
#[case("guidance: [{from: physio, limits: [kneelin]}]", Code::UnknownId)]
#[case("guidance: [{from: physio, allows: [kneelin]}]", Code::UnknownId)]
fn a_wrong_word_of_a_person_is_refused(#[case] keys: &str, #[case] code: Code) {
    assert_eq!(codes(told(keys)), [code]);
}

#[rstest]
#[case(
    "{what: knee, kind: symptoms}",
    "Take “kind” out and write it as a note."
)]
#[case("{what: kne}", "Did you mean “knee”?")]
fn the_help_says_what_to_write(#[case] entry: &str, #[case] help: &str) {
    let problems = told(&format!("limitations: [{entry}]")).expect_err("it is wrong");
    let helps: Vec<&str> = problems.iter().map(|one| one.help.as_str()).collect();
    assert_eq!(helps, [help]);
}

/// Of somebody who gave no leave nothing on their health is kept, in whatever key; other words are.
#[rstest]
#[case("limitations: [sore knee, bad hip]", 2)]
#[case("today: sore knee", 1)]
#[case("guidance: [{from: physio, says: no squats}]", 1)]
#[case("note: sore knee", 1)]
#[case("note: 'physio: no squats'", 1)]
#[case("note: likes the window", 0)]
#[case("declines: [sore knee]", 1)]
#[case("declines: [plank]", 0)]
fn without_leave_no_health_note_is_kept(#[case] keys: &str, #[case] refused: usize) {
    let found = codes(told(&format!("keep_notes: no, {keys}")));
    assert_eq!(found, vec![Code::NoteWithoutLeave; refused]);
}

/// People of one name, and of a name without letters, are told apart by a number.
#[test]
fn people_of_one_name_have_a_number() {
    let three = "  - {name: Ada}\n".repeat(3);
    let roster = people(&format!("{three}  - {{name: '?!'}}\n  - {{name: '…'}}\n"));
    let roster = roster.expect("the roster is right");
    let ids: Vec<&str> = roster.students.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(ids, ["ada", "ada-2", "ada-3", "person", "person-2"]);
}

// ---- What a clinician said ---------------------------------------------------------------------

fn guidance(keys: &str) -> Guidance {
    let student = ada(&format!("guidance: [{{{keys}}}]"));
    student.guidance.into_iter().next().expect("it was said")
}

fn limits(guidance: &Guidance) -> Vec<(&str, Option<f64>)> {
    let limits = guidance.limits.iter();
    limits.map(|(id, most)| (id.as_str(), *most)).collect()
}

fn allowed(guidance: &Guidance) -> Vec<&str> {
    guidance.allows.iter().map(|id| id.as_str()).collect()
}

/// Limits stand with a number of their own, or without one.
#[test]
fn what_is_written_of_a_clinician_is_handed_on() {
    let said = guidance(
        "from: physio, on: 2026-10, about: knee, side: both, limits: [{deep-knee-bend: 90, twist: -180}, kneeling], \
         allows: [balance], cleared: no",
    );
    let expected = [
        ("deep-knee-bend", Some(90.0)),
        ("twist", Some(-180.0)),
        ("kneeling", None),
    ];
    assert_eq!(limits(&said), expected);
    assert_eq!(allowed(&said), ["balance"]);
    assert_eq!(said.from, "physio");
    let october = VagueDate {
        earliest: date(2026, 10, 1),
        latest: date(2026, 10, 31),
    };
    assert_eq!(said.on, Some(october));
    assert_eq!(
        said.about.as_ref().map(|about| about.as_str()),
        Some("knee")
    );
    assert_eq!(said.side, Some(ToldSide::Both));
    assert!(said.opens && !said.cleared);
}

/// Words act where nothing that acts is written; beside anything that does they only take back.
#[rstest]
#[case("says: no squats", &[("deep-knee-bend", Some(90.0))], &[], false)]
#[case("says: no squats, limits: [kneeling]", &[("kneeling", None)], &[], false)]
#[case("says: no squats, allows: [kneeling]", &[], &["kneeling"], false)]
#[case("says: no squats, cleared: yes", &[], &[], true)]
#[case("says: no kneeling, allows: [kneeling, balance]", &[], &["balance"], false)]
fn of_words_and_keys_the_stricter_acts(
    #[case] keys: &str,
    #[case] limited: &[(&str, Option<f64>)],
    #[case] allows: &[&str],
    #[case] cleared: bool,
) {
    let said = guidance(&format!("from: physio, {keys}"));
    assert_eq!(limits(&said), limited);
    assert_eq!(allowed(&said), allows);
    assert_eq!(said.cleared, cleared);
}

/// Only a clinician's own word opens anything.
#[rstest]
#[case("physio", true)]
#[case("a friend", false)]
fn a_friends_word_opens_nothing(#[case] from: &str, #[case] opens: bool) {
    let said = guidance(&format!("from: {from}, allows: [kneeling]"));
    assert_eq!(said.opens, opens);
}

/// Words for a clinician that the lexicon knows act as the plain one does; a friend of one is none.
#[rstest]
#[case("GP", "doctor (GP)")]
#[case("Dr Shah", "doctor (Dr Shah)")]
#[case("kiné", "physio (kiné)")]
#[case("her physiotherapist", "physio (her physiotherapist)")]
#[case("physio Anna", "physio Anna")]
#[case("Doctor", "Doctor")]
#[case("a friend of a GP", "a friend of a GP")]
#[case("a friend", "a friend")]
fn who_said_it_is_known_by_other_words(#[case] from: &str, #[case] speaks: &str) {
    let said = guidance(&format!("from: {from}, limits: [kneeling]"));
    assert_eq!(said.from, speaks);
}

/// A wish in a note counts once, as in a line of its own; an ailment in a note adds nothing.
#[rstest]
#[case("{what: knee, note: no head down}", &["knee", "no-head-below-heart"])]
#[case(
    "{what: knee, note: no head down}, {what: hip, note: no head down}",
    &["knee", "hip", "no-head-below-heart"]
)]
#[case(
    "{what: knee, note: no head down}, {what: no-head-below-heart}",
    &["knee", "no-head-below-heart"]
)]
#[case("{what: knee, note: sore left wrist}", &["knee"])]
fn a_wish_in_a_note_is_kept_once(#[case] entries: &str, #[case] expected: &[&str]) {
    let student = ada(&format!("limitations: [{entries}]"));
    assert_eq!(ids(&student), expected);
    assert!(limitations(&student).iter().all(|told| told.file_line == 3));
}

/// Words and bare ids keep the line of the file that they stand in.
#[test]
fn words_keep_their_line() {
    let roster = people("  - name: Ada\n    limitations:\n      - knee\n      - sore left wrist\n");
    let roster = roster.expect("the roster is right");
    let told = limitations(&roster.students[0]);
    let told: Vec<(&str, usize)> = told
        .iter()
        .map(|told| (told.what.as_str(), told.file_line))
        .collect();
    assert_eq!(told, [("knee", 5), ("wrist", 6)]);
}

/// A clinician's limit in a note acts, beside an entry of another one as well; what a note allows opens
/// nothing.
#[rstest]
#[case("limitations: [{what: knee, note: 'surgeon: no squats'}]", &["deep-knee-bend"])]
#[case("limitations: [{what: knee, note: 'surgeon: you may kneel'}]", &[])]
#[case(
    "limitations: [{what: knee, note: 'surgeon: no squats'}], guidance: [{from: physio, limits: [kneeling]}]",
    &["kneeling", "deep-knee-bend"]
)]
fn a_clinicians_limit_in_a_note_acts(#[case] keys: &str, #[case] limited: &[&str]) {
    let student = ada(keys);
    let all: Vec<&str> = student
        .guidance
        .iter()
        .flat_map(|said| said.limits.iter().map(|(id, _)| id.as_str()))
        .collect();
    assert_eq!(all, limited);
    assert!(student.guidance.iter().all(|said| said.allows.is_empty()));
}

// ---- Settings ----------------------------------------------------------------------------------

/// Every key of the settings is handed on; options of a stance may be numbers, or yes and no.
#[test]
fn settings_are_handed_on_whole() {
    let text = "\
first_side: left
option_order: strong
spoken: 9
teacher: Ines
contact: ines@example.org
emergency: 112, the hall
doors_open: \"18:45\"
rest_signal: a bell
say_once: [shoes off, phones off]
mirror: yes
stances: {supine_week: 16, supine_rest_28: false, lying_side: left}
weights: {lead: 10000, option: 10000, rest: 0}
timing: {props_s: 3600}
";
    let read = settings::read(source("settings.yaml", text), library());
    let read = read.expect("the settings are right");
    assert_eq!(read.first_side, BodySide::Left);
    assert_eq!(read.option_order, OptionOrder::Strong);
    assert_eq!(read.spoken, 9);
    assert_eq!(read.teacher.as_deref(), Some("Ines"));
    assert_eq!(read.contact.as_deref(), Some("ines@example.org"));
    assert_eq!(read.emergency.as_deref(), Some("112, the hall"));
    assert_eq!(read.doors_open, Some(Time::constant(18, 45, 0, 0)));
    assert_eq!(read.rest_signal.as_deref(), Some("a bell"));
    assert_eq!(read.say_once, ["shoes off", "phones off"]);
    assert!(read.mirror);
    let stances: Vec<(&str, &str)> = read
        .stances
        .iter()
        .map(|(id, option)| (id.as_str(), option.as_str()))
        .collect();
    let expected = [
        ("lying_side", "left"),
        ("supine_rest_28", "off"),
        ("supine_week", "16"),
    ];
    assert_eq!(stances, expected);
    let weights: Vec<(&str, i64)> = read
        .weights
        .iter()
        .map(|(name, weight)| (name.as_str(), *weight))
        .collect();
    let expected = [("lead", 10_000), ("option", 10_000), ("rest", 0)];
    assert_eq!(weights, expected);
    assert_eq!(read.timing.get("props_s"), Some(&3600));
}

#[rstest]
#[case("weights: {speed: 1}", Code::UnknownKey)]
#[case("weights: {lead: 10001}", Code::OutOfRange)]
#[case("weights: {lead: 7}", Code::OutOfRange)]
#[case("weights: {option: 5}", Code::OutOfRange)]
#[case("weights: {option: 8, rest: 1, lead: 9}", Code::OutOfRange)]
#[case("timing: {tea_s: 1}", Code::UnknownKey)]
#[case("timing: {props_s: 3601}", Code::OutOfRange)]
#[case("stances: {tea: yes}", Code::UnknownId)]
#[case("stances: {supine_week: 17}", Code::UnknownWord)]
#[case("stances: {supine_week: true}", Code::UnknownWord)]
#[case("spoken: 10", Code::OutOfRange)]
fn a_wrong_setting_is_refused(#[case] text: &str, #[case] code: Code) {
    let read = settings::read(source("settings.yaml", &format!("{text}\n")), library());
    assert_eq!(codes(read), [code]);
}
