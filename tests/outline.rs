//! A class as a plain outline: what is understood, what is asked, what is refused, and the way
//! through the checked form.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use kindfold::class::ClassPlan;
use kindfold::input::reading::{self, Reading};
use kindfold::input::text::{Source, read_file};
use kindfold::library::Library;
use kindfold::problem::{Code, Problem};
use kindfold::settings::Settings;
use kindfold::sheets::{class_yaml, understood};
use proptest::prelude::*;
use rstest::rstest;

use crate::support::program::kindfold;

static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().expect("the built-in library is whole"));

fn outline(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/outlines")
        .join(name)
}

fn source(name: &str, text: &str) -> Source {
    Source::from_bytes(name, text.as_bytes()).expect("the test's text is a good file")
}

fn read(text: &str) -> Result<Reading, Vec<Problem>> {
    reading::read(source("class.md", text), &LIBRARY)
}

fn class(text: &str) -> ClassPlan {
    read(text).expect("the outline is understood").class
}

/// What is said of words that were left out.
fn listed(reading: &Reading) -> Vec<&str> {
    let unread = reading.unread.iter();
    unread.map(|one| one.message.as_str()).collect()
}

/// What `check` shows of a class.
fn told(reading: &Reading) -> String {
    let mut lines = understood::lines(reading, &LIBRARY, &Settings::default(), 80);
    let whole = understood::of_the_whole(&reading.asks);
    lines.extend(whole.into_iter().map(|words| format!("? {words}")));
    for problem in &reading.unread {
        lines.push(format!(
            "not understood: {}. {}",
            problem.message, problem.help
        ));
    }
    lines.join("\n")
}

/// The jottings of three classes as their teachers typed them (trade scenarios, sections 2 to 4).
#[rstest]
#[case("tuesday-jotting.txt")]
#[case("library-jotting.txt")]
#[case("sunday-jotting.txt")]
#[case("lantern.md")]
#[case("elm-house.md")]
fn a_jotting_is_read_as_far_as_a_person_could(#[case] name: &str) {
    let mut file = read_file(&outline(name)).expect("the outline is there");
    // The name stands in the title that is made up from it.
    file = Source::from_bytes(name, file.text().as_bytes()).expect("it was read once already");
    let reading = reading::read(file, &LIBRARY).expect("nothing in it is wrong");
    insta::assert_snapshot!(name, told(&reading));
}

/// A mistake never hides how the rest was understood.
#[test]
fn an_outline_with_a_mistake_is_shown_all_the_same() {
    let file = read_file(&outline("lunchtime.txt")).expect("the outline is there");
    let reading = reading::read_to_show(file, &LIBRARY).expect("most of it is understood");
    let wrong: Vec<&str> = reading
        .wrong
        .iter()
        .map(|one| one.message.as_str())
        .collect();
    assert_eq!(wrong, ["“Seated twist” has more than one meaning"]);
    insta::assert_snapshot!("lunchtime.txt", told(&reading));
}

/// The example of the README is an outline that is understood to the last word.
#[test]
fn the_example_of_the_readme_is_understood() {
    let readme = include_str!("../README.md");
    let (_, part) = readme
        .split_once("## A class as a scribble")
        .expect("the part is there");
    let example: Vec<&str> = part
        .lines()
        .skip_while(|line| !line.starts_with("    "))
        .take_while(|line| line.is_empty() || line.starts_with("    "))
        .map(|line| line.get(4..).unwrap_or(""))
        .collect();
    let reading = read(&example.join("\n")).expect("nothing in it is wrong");
    assert_eq!(reading.class.lines().count(), 10, "{}", told(&reading));
    assert_eq!(reading.unread, []);
    let asked: Vec<String> = reading
        .asks
        .iter()
        .map(|ask| ask.what.to_string())
        .collect();
    assert_eq!(asked, ["“dwonward dog” read as Downward dog"]);
}

/// Words as people type them find the right posture first, or a short list (issue 7).
#[rstest]
#[case("dog", "downward-dog", 25)]
#[case("down dog", "downward-dog", 12)]
#[case("downward facing dog", "downward-dog", 12)]
#[case("adho mukha", "downward-dog", 4)]
#[case("savasana", "final-rest", 3)]
#[case("shavasana", "final-rest", 3)]
#[case("corpse", "final-rest", 3)]
#[case("janu", "head-to-knee-fold", 3)]
#[case("trinagle", "triangle", 2)]
fn words_find_postures(#[case] words: &str, #[case] first: &str, #[case] most: usize) {
    let found = LIBRARY.search(&[words.to_owned()]);
    let ids: Vec<&str> = found.iter().map(|posture| posture.id.as_str()).collect();
    assert_eq!(ids.first(), Some(&first));
    assert!(ids.len() <= most, "{ids:?}");
}

/// What is not plain is asked about in words, under the step.
#[rstest]
#[case::a_range("- warrior II 3-5 br", "“3 to 5” read as 5 breaths, the longer")]
#[case::a_range_in_words("- tree, 3 to 5 breaths", "“3 to 5” read as 5 breaths, the longer")]
#[case::a_posture_in_a_note(
    "- child's pose, 5 br - tree",
    "kept as a note: “tree”; for a step of its own give it a line of its own"
)]
#[case::too_many_numbers("- mountain 5 3 2", "kept as a note: “3 2”")]
#[case::a_usual_hold_in_minutes("- final rest", "Final rest: 5 min, as is usual")]
#[case::a_note_after_a_run_in_a_run(
    "- 3 times:\n  - tree, 5 br\n  - 2 times:\n    - mountain, 1 br\n  - note: slowly",
    "note “slowly”"
)]
#[case::several_meanings("- stand", "“stand” has more than one meaning")]
#[case::a_way_that_is_none("- stand up like a cat", "“stand up like a cat” was not understood")]
fn what_is_not_plain_is_asked(#[case] rows: &str, #[case] words: &str) {
    let text = format!("# T\n60 minutes\n\n## One\n- mountain, 5 br\n{rows}\n");
    let told = told(&read(&text).expect("what is not understood is listed"));
    let told: Vec<&str> = told.split_whitespace().collect();
    let told = told.join(" ");
    assert!(told.contains(words), "{told}");
}

/// One way to say each thing, and the class plan that says the same.
#[rstest]
#[case::a_hold("- tree, 5 breaths", "{posture: tree, breaths: 5}")]
#[case::glued("- tree 5br", "{posture: tree, breaths: 5}")]
#[case::minutes("- savasana – 6 min", "{posture: final rest, minutes: 6}")]
#[case::seconds("- tree, 30 seconds", "{posture: tree, seconds: 30}")]
#[case::a_range("- tree, 3-5 breaths", "{posture: tree, breaths: 5}")]
#[case::a_range_in_words("- tree, 3 to 5 breaths", "{posture: tree, breaths: 5}")]
#[case::a_range_glued("- tree 3 to 5br each side", "{posture: tree, breaths: 5}")]
#[case::one_or_the_other("- tree: 1 or 2 min", "{posture: tree, minutes: 2}")]
#[case::each_side(
    "- low lunge, ea side, 3 br",
    "{posture: low lunge, side: each, breaths: 3}"
)]
#[case::first(
    "- tree, left first, 5 br",
    "{posture: tree, side: each, first: left, breaths: 5}"
)]
#[case::one_side("- pigeon R 1 min", "{posture: pigeon, side: right, minutes: 1}")]
#[case::a_note(
    "- tree, 5 br – look ahead",
    "{posture: tree, breaths: 5, note: look ahead}"
)]
#[case::brackets(
    "- tree (look ahead), 5 br",
    "{posture: tree, breaths: 5, note: look ahead}"
)]
#[case::a_choice(
    "- plank, 2 br, or knees-down plank",
    "{posture: plank, breaths: 2, or: [knees-down plank]}"
)]
#[case::words_as_choice(
    "- tree 5 br (or hand on the hip)",
    "{posture: tree, breaths: 5, or: [hand on the hip]}"
)]
#[case::rounds("- cat cow x6", "{posture: cat-cow, rounds: 6}")]
#[case::takes("- tree, 5 br, takes 3 min", "{posture: tree, breaths: 5, takes: 3}")]
#[case::a_comma_in_a_name("- Tree, toes down, 5 br", "{posture: tree-toes-down, breaths: 5}")]
#[case::props(
    "- bridge 5 br, with a block",
    "{posture: bridge, breaths: 5, props: {block: 1}}"
)]
#[case::own(
    "- spiral reach (like triangle), 3 br",
    "{own: spiral reach, like: triangle, breaths: 3}"
)]
#[case::talk("- talk 2 min", "{talk: 2}")]
#[case::a_way(
    "- to standing by a chair, 1 min",
    "{move: standing, by: a chair, takes: 1}"
)]
#[case::repeats(
    "- chair pose x2, 4 br",
    "{repeat: 2, steps: [{posture: chair pose, breaths: 4}]}"
)]
#[case::a_run(
    "5 times:\n  salute, half a breath\n  half lift ½ br",
    "{repeat: 5, steps: [{posture: upward salute, breaths: 0.5}, {posture: half lift, breaths: 0.5}]}"
)]
#[case::bullets_below(
    "3 times:\n- salute 1 br\n- half lift 1 br",
    "{repeat: 3, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"
)]
#[case::a_sided_run(
    "Each side, twice:\n  w2 3 br\n  3 times:\n    reverse warrior 1 br",
    "{side: each, repeat: 2, steps: [{posture: warrior II, breaths: 3}, {repeat: 3, steps: [{posture: reverse warrior, breaths: 1}]}]}"
)]
#[case::arrows(
    "w2 → side angle, 3 br, each side",
    "{side: each, steps: [{posture: warrior II, breaths: 3}, {posture: extended side angle, breaths: 3}]}"
)]
#[case::one_row(
    "w2-side angle 3 br x2 each",
    "{side: each, repeat: 2, steps: [{posture: warrior II, breaths: 3}, {posture: extended side angle, breaths: 3}]}"
)]
#[case::a_padded_step("- tree, 5 br, padded", "{posture: tree, breaths: 5, padded: true}")]
#[case::a_padded_run(
    "Twice, padded:\n  mountain 5 br",
    "{repeat: 2, steps: [{posture: mountain, breaths: 5, padded: true}]}"
)]
#[case::a_padded_run_inside(
    "Twice:\n  half lift 1 br\n  3 times, padded:\n    mountain 1 br",
    "{repeat: 2, steps: [{posture: half lift, breaths: 1}, {repeat: 3, steps: [{posture: mountain, breaths: 1, padded: true}]}]}"
)]
#[case::the_hold_of_a_run(
    "5 times, 1 breath:\n  salute\n  half lift, 2 breaths",
    "{repeat: 5, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 2}]}"
)]
#[case::the_hold_of_a_run_inside(
    "Twice, 1 breath:\n  salute\n  3 times, 2 breaths:\n    half lift",
    "{repeat: 2, steps: [{posture: upward salute, breaths: 1}, {repeat: 3, steps: [{posture: half lift, breaths: 2}]}]}"
)]
#[case::the_hold_of_a_run_is_also_of_the_one_inside(
    "Twice, 1 breath:\n  salute\n  3 times:\n    half lift",
    "{repeat: 2, steps: [{posture: upward salute, breaths: 1}, {repeat: 3, steps: [{posture: half lift, breaths: 1}]}]}"
)]
#[case::a_run_with_sides_left_out(
    "Twice:\n  low lunge 3 br\n  mountain 1 br",
    "{side: each, repeat: 2, steps: [{posture: low lunge, breaths: 3}, {posture: mountain, breaths: 1}]}"
)]
#[case::a_run_inside_with_sides_left_out(
    "Twice:\n  mountain 1 br\n  3 times:\n    tree 1 br",
    "{side: each, repeat: 2, steps: [{posture: mountain, breaths: 1}, {repeat: 3, steps: [{posture: tree, breaths: 1}]}]}"
)]
#[case::a_run_inside_without_sides(
    "Twice:\n  mountain 1 br\n  3 times:\n    half lift 1 br",
    "{side: none, repeat: 2, steps: [{posture: mountain, breaths: 1}, {repeat: 3, steps: [{posture: half lift, breaths: 1}]}]}"
)]
#[case::one_side_in_a_run(
    "Twice:\n  tree left 3 br\n  mountain 1 br",
    "{side: none, repeat: 2, steps: [{posture: tree, breaths: 3, side: left}, {posture: mountain, breaths: 1}]}"
)]
#[case::one_side_in_a_run_inside(
    "Twice:\n  mountain 1 br\n  3 times:\n    tree left 1 br",
    "{side: none, repeat: 2, steps: [{posture: mountain, breaths: 1}, {repeat: 3, steps: [{posture: tree, side: left, breaths: 1}]}]}"
)]
#[case::each_side_twice_over(
    "Each side:\n  tree each side 3 br\n  low lunge 3 br",
    "{side: each, steps: [{posture: tree, breaths: 3}, {posture: low lunge, breaths: 3}]}"
)]
#[case::a_run_takes(
    "Each side, takes 6 min:\n  tree 3 br\n  low lunge 3 br",
    "{side: each, takes: 6, steps: [{posture: tree, breaths: 3}, {posture: low lunge, breaths: 3}]}"
)]
#[case::repeats_take(
    "- tree x2, 3 br, takes 3 min",
    "{side: each, repeat: 2, takes: 3, steps: [{posture: tree, breaths: 3}]}"
)]
#[case::a_held_movement(
    "- cat cow x2, 4 br",
    "{repeat: 2, steps: [{posture: cat-cow, breaths: 4}]}"
)]
#[case::a_run_without_a_colon(
    "5 times\n  salute 1 br\n  half lift 1 br",
    "{repeat: 5, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"
)]
#[case::a_run_behind_a_colon(
    "Each side: tree 3 br, low lunge 3 br",
    "{side: each, steps: [{posture: tree, breaths: 3}, {posture: low lunge, breaths: 3}]}"
)]
#[case::rounds_of_a_run(
    "3 rounds:\n  salute 1 br\n  half lift 1 br",
    "{repeat: 3, steps: [{posture: upward salute, breaths: 1}, {posture: half lift, breaths: 1}]}"
)]
#[case::a_note_further_in(
    "- tree, each side, 5 br\n    look ahead",
    "{posture: tree, breaths: 5, note: look ahead}"
)]
#[case::a_note_further_in_below_a_slip(
    "- low lugne, each side, 5 br\n    look ahead",
    "{posture: low lunge, breaths: 5, note: look ahead}"
)]
#[case::a_note_further_in_below_a_name(
    "tree\n    look ahead",
    "{posture: tree, breaths: 4, note: look ahead}"
)]
#[case::a_step_further_in("  - tree, 5 br", "{posture: tree, breaths: 5}")]
#[case::a_hold_behind_a_colon("tree: 5 br", "{posture: tree, breaths: 5}")]
#[case::a_dash_is_in_no_name("- tree – toes down", "{posture: tree, breaths: 4, note: toes down}")]
#[case::a_clock_in_front("19:20 tree 5 br", "{posture: tree, breaths: 5}")]
#[case::a_clock_and_a_comma_in_front("19:20, tree 5 br", "{posture: tree, breaths: 5}")]
#[case::a_slip_behind_and(
    "- half lift and dwonward dog 5 br",
    "{posture: half lift, breaths: 5}\n      - {posture: downward dog, breaths: 5}"
)]
#[case::a_plus(
    "- half lift + tree 5 br",
    "{posture: half lift, breaths: 5}\n      - {posture: tree, breaths: 5}"
)]
#[case::a_loose_word_before_and(
    "- dog and tree 5 br",
    "{posture: downward dog, breaths: 5}\n      - {posture: tree, breaths: 5}"
)]
#[case::a_loose_word_behind_and(
    "- tree and dog 5 br",
    "{posture: tree, breaths: 5}\n      - {posture: downward dog, breaths: 5}"
)]
#[case::a_chair_is_a_posture(
    "- tree and chair 5 br",
    "{posture: tree, breaths: 5}\n      - {posture: chair pose, breaths: 5}"
)]
#[case::a_chair_is_a_place(
    "- mountain by chair 5 br",
    "{posture: mountain, breaths: 5, note: by chair}"
)]
#[case::feet_in_front_of_a_name("- feet apart mountain 5 br", "{posture: mountain, breaths: 5}")]
#[case::feet_behind_a_name(
    "- mountain with feet apart 5 br",
    "{posture: mountain, breaths: 5, note: with feet apart}"
)]
#[case::feet_at_the_end(
    "- mountain heavy feet 5 br",
    "{posture: mountain, breaths: 5, note: heavy feet}"
)]
#[case::feet_right_behind_a_name(
    "- mountain feet 5 br",
    "{posture: mountain, breaths: 5, note: feet}"
)]
#[case::a_name_and_a_place("- tree wall 5 br", "{posture: tree, breaths: 5, note: wall}")]
#[case::a_name_within_the_next_one(
    "- triangle-revolved triangle 3 br",
    "{posture: triangle, breaths: 3}\n      - {posture: revolved triangle, breaths: 3}"
)]
fn an_outline_says_what_a_plan_says(#[case] jotted: &str, #[case] step: &str) {
    let more = "- mountain, 5 breaths";
    let jotted = format!("# T\n20 minutes\n\n## A\n\n{jotted}\n\n{more}\n");
    let plan = format!(
        "title: T\nminutes: 20\nsections:\n  - name: A\n    steps:\n      - {step}\n      - {{posture: mountain, breaths: 5}}\n"
    );
    let plan = reading::read(source("class.yaml", &plan), &LIBRARY).expect("the plan is right");
    assert_eq!(class(&jotted), plan.class);
}

/// Whole outlines, and the class plan that says the same: what stands over the steps, and which
/// lines are headings.
#[rstest]
#[case::fields(
    "title: T\ndate: 2026-12-03\nstart: 19:15\nminutes: 45\nbreath: 7\n\n## A\n- tree 5 br\n",
    "title: T\ndate: 2026-12-03\nstart: \"19:15\"\nminutes: 45\nbreath_seconds: 7\nsections:\n  - name: A\n    steps: [{posture: tree, breaths: 5}]\n"
)]
#[case::fields_in_other_words(
    "class: T\nday: 3 December 2026\nstarts: 7.15pm\nlength: 1 hour\nbreath: 7 seconds\n\n## A\n- tree 5 br\n",
    "title: T\ndate: 2026-12-03\nstart: \"19:15\"\nminutes: 60\nbreath_seconds: 7\nsections:\n  - name: A\n    steps: [{posture: tree, breaths: 5}]\n"
)]
#[case::breaths_a_minute(
    "# T\n20 min\nbreath: 6 breaths a minute\n\n## A\n- tree 5 br\n",
    "title: T\nminutes: 20\nbreath_seconds: 10\nsections:\n  - name: A\n    steps: [{posture: tree, breaths: 5}]\n"
)]
#[case::a_note_and_a_cue(
    "# T\n20 min\n\n## A\n- tree 5 br\nnote: look ahead\ncue: grow tall\n- mountain 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: A\n    steps: [{posture: tree, breaths: 5, note: look ahead, cue: grow tall}, {posture: mountain, breaths: 5}]\n"
)]
#[case::the_breath_of_a_section(
    "# T\n20 min\nbreath: 7\n\n## A\nbreath: 9\n- tree 5 br\n\n## B\n- mountain 5 br\n",
    "title: T\nminutes: 20\nbreath_seconds: 7\nsections:\n  - name: A\n    breath_seconds: 9\n    steps: [{posture: tree, breaths: 5}]\n  - name: B\n    steps: [{posture: mountain, breaths: 5}]\n"
)]
#[case::under_a_heading_without_a_key(
    "# T\n20 min\n\n## A\nbreath 9 seconds\n- tree 5 br\n\n## B\npadded\n- mountain 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: A\n    breath_seconds: 9\n    steps: [{posture: tree, breaths: 5}]\n  - name: B\n    padded: true\n    steps: [{posture: mountain, breaths: 5}]\n"
)]
#[case::a_breath_behind_a_step_is_of_the_class(
    "# T\n20 min\n\n## A\n- tree 5 br\nbreath: 9\n- mountain 5 br\n",
    "title: T\nminutes: 20\nbreath_seconds: 9\nsections:\n  - name: A\n    steps: [{posture: tree, breaths: 5}, {posture: mountain, breaths: 5}]\n"
)]
#[case::padded_throughout(
    "# T\n20 min, padded\n\n## A\n- tree 5 br\n\nTwice:\n  mountain 5 br\n  3 times:\n    half lift 1 br\n",
    "title: T\nminutes: 20\npadded: true\nsections:\n  - name: A\n    steps: [{posture: tree, breaths: 5}, {repeat: 2, steps: [{posture: mountain, breaths: 5}, {repeat: 3, steps: [{posture: half lift, breaths: 1}]}]}]\n"
)]
#[case::a_step_without_a_bullet_right_under_the_title(
    "# T\n20 minutes\nBreath noticing, 5 min\nmountain, 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: Class\n    steps: [{posture: breath noticing, minutes: 5}, {posture: mountain, breaths: 5}]\n"
)]
#[case::a_heading_with_a_colon(
    "# T\n20 minutes\n\nArrive:\n\n- mountain 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: Arrive\n    steps: [{posture: mountain, breaths: 5}]\n"
)]
#[case::a_heading_with_its_step_behind_it(
    "# T\n20 minutes\n\nWe all come down now: mountain 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: We all come down now\n    steps: [{posture: mountain, breaths: 5}]\n"
)]
#[case::four_words_are_a_heading(
    "# T\n20 minutes\n\nAll of us together\nmountain 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: All of us together\n    steps: [{posture: mountain, breaths: 5}]\n"
)]
#[case::a_posture_is_no_heading(
    "# T\n20 minutes\n\nTree\nmountain, 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: Class\n    steps: [{posture: tree, breaths: 4}, {posture: mountain, breaths: 5}]\n"
)]
#[case::a_word_of_a_plan_is_no_plan(
    "# T\n20 minutes\n\nWarm up steps:\n\n- mountain 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: Warm up steps\n    steps: [{posture: mountain, breaths: 5}]\n"
)]
#[case::a_clock_before_the_first_step(
    "# T\n20 minutes\n\n19:20 tree 5 br\n",
    "title: T\nminutes: 20\nsections:\n  - name: Class\n    steps: [{posture: tree, breaths: 5}]\n"
)]
#[case::a_title_with_a_clock(
    "*Lamp*, 20 minutes, 19:15\n\ntree 5 br\n",
    "title: Lamp\nstart: \"19:15\"\nminutes: 20\nsections:\n  - name: Class\n    steps: [{posture: tree, breaths: 5}]\n"
)]
#[case::no_title_but_a_clock(
    "20 minutes, 19:15\n\ntree 5 br\n",
    "title: class\nstart: \"19:15\"\nminutes: 20\nsections:\n  - name: Class\n    steps: [{posture: tree, breaths: 5}]\n"
)]
fn a_whole_outline_says_what_a_plan_says(#[case] jotted: &str, #[case] plan: &str) {
    let plan = reading::read(source("class.yaml", plan), &LIBRARY).expect("the plan is right");
    assert_eq!(class(jotted), plan.class);
}

/// The first row is a title where it reads as one; without a title the file’s name is taken.
#[rstest]
#[case::the_only_heading("# T\n- tree 5 br\n", "T", &["Class"], 1)]
#[case::the_higher_heading("## T\n\n### A\n- tree 5 br\n", "T", &["A"], 1)]
#[case::headings_of_one_rank("# A\n- tree 5 br\n\n# B\n- tree 5 br\n", "class", &["A", "B"], 2)]
#[case::a_lower_heading_alone("## A\n- tree 5 br\n", "class", &["A"], 1)]
#[case::words_right_above("Lamp\ntree 5 br\n", "Lamp", &["Class"], 1)]
#[case::words_before_a_gap("Lamp\n\ntree 5 br\n", "Lamp", &["Class"], 1)]
#[case::a_loose_name_before_a_gap("Evening twist\n\ntree 5 br\n", "Evening twist", &["Class"], 1)]
#[case::a_loose_name_with_a_hold("twist, 5 br\n\ntree 5 br\n", "class", &["Class"], 2)]
#[case::a_posture("tree\n\nmountain 5 br\n", "class", &["Class"], 2)]
#[case::a_bullet("- Lamp\n\n- tree 5 br\n", "class", &["Class"], 1)]
#[case::a_heading_with_a_colon("Arrive:\n\n- tree 5 br\n", "class", &["Arrive"], 1)]
#[case::a_run("each side\n  tree 3 br\n  low lunge 3 br\n", "class", &["Class"], 2)]
fn titles_are_told_from_steps(
    #[case] text: &str,
    #[case] title: &str,
    #[case] sections: &[&str],
    #[case] steps: usize,
) {
    let class = class(text);
    let names: Vec<&str> = class.sections.iter().map(|one| one.name.as_str()).collect();
    let found = (
        class.title.as_str(),
        names.as_slice(),
        class.lines().count(),
    );
    assert_eq!(found, (title, sections, steps));
}

/// Words that are no short line right above steps make no heading: they are listed.
#[rstest]
#[case::alone("- mountain 5 br\n\nflibber\n\n- mountain 5 br\n", "flibber")]
#[case::no_gap_above("- mountain 5 br\nflibber\nmountain 5 br\n", "flibber")]
#[case::a_bullet("- mountain 5 br\n\n- flibber\n- mountain 5 br\n", "flibber")]
#[case::above_a_remark("- mountain 5 br\n\nflibber\n> lights\n", "flibber")]
#[case::five_words(
    "- mountain 5 br\n\nring bo zorb flibber wibbly\nmountain 5 br\n",
    "ring bo zorb flibber wibbly"
)]
#[case::a_bullet_with_a_colon("- mountain 5 br\n- Arrive: mountain 5 br\n", "Arrive")]
#[case::one_space_makes_no_note("- mountain 5 br\n flibber\n- mountain 5 br\n", "flibber")]
#[case::a_clock_alone("- mountain 5 br\n\n19:20\n", "19:20")]
fn other_words_make_no_heading(#[case] text: &str, #[case] words: &str) {
    let reading =
        read(&format!("# T\n20 minutes\n\n## A\n{text}")).expect("the rest is understood");
    let notes = reading
        .class
        .lines()
        .filter_map(|line| line.note.as_deref());
    assert_eq!(notes.filter(|note| *note == words).count(), 0);
    assert_eq!(reading.class.sections.len(), 1);
    assert_eq!(listed(&reading), [format!("“{words}” was not understood")]);
}

/// Under a heading a clock time or a length is never taken for the section’s breath in silence.
#[rstest]
#[case("19:20", Code::NotUnderstood)]
#[case("5 min", Code::UnknownPosture)]
fn a_clock_under_a_heading_is_listed(#[case] words: &str, #[case] code: Code) {
    let text = format!("# T\n20 minutes\n\n## A\n{words}\n- mountain 5 br\n");
    let problems = match read(&text) {
        Ok(reading) => reading.unread,
        Err(problems) => problems,
    };
    let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, [code]);
}

/// A length alone does not make a line one about the class: with words that nobody knows it is a
/// step that is not known.
#[rstest]
#[case("- Spiral reach, 5 min")]
#[case("Spiral reach, 5 min")]
fn a_length_beside_other_words_is_of_a_step(#[case] row: &str) {
    let problems = read(&format!("# T\n{row}\n\n- mountain 5 br\n")).expect_err("it is wrong");
    let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, [Code::UnknownPosture]);
}

/// What is asked stands at its line and its step.
#[test]
fn every_question_has_its_place() {
    let text = "# T\n19:15, community centre\n\nWarrior 2 each side:\n  low lunge 3 br\n  tree 3 br\n\n19:40 dwonward dog 5 br\n    look ahead\n";
    let reading = read(text).expect("it is understood");
    let asked: Vec<_> = reading
        .asks
        .iter()
        .map(|ask| (ask.file_line, ask.step, ask.what.to_string()))
        .collect();
    let length = "no length written: 5 minutes, which is what the steps take; write it under the title, as in “45 minutes”";
    let expected = [
        (1, None, length),
        (2, None, "“community centre” is not used"),
        (5, Some(1), "“Warrior 2” names the run and is left out"),
        (
            8,
            None,
            "clock times in front of steps are not read; the clock follows from the holds",
        ),
        (8, Some(3), "“dwonward dog” read as Downward dog"),
        (8, Some(3), "kept as a note: “look ahead”"),
    ];
    assert_eq!(
        asked,
        expected.map(|(line, step, what)| (line, step, what.to_owned()))
    );
}

/// A class without a length is as long as its steps, up to the next five minutes.
#[test]
fn a_length_is_made_up_from_the_steps() {
    assert_eq!(class("# T\n\n- savasana 6 min\n").slot_s, 600);
}

/// Numbers without a unit are of one unit throughout: that which is usual for more of the shapes;
/// minutes where both are as usual, breaths where neither is.
#[rstest]
#[case::both("tree 5, savasana 8", &[(300, None), (480, None)])]
#[case::more_breaths("tree 5, mountain 5, savasana 8", &[(30, Some(5.0)), (30, Some(5.0)), (48, Some(8.0))])]
#[case::too_long_a_rest("tree 5, savasana 60", &[(30, Some(5.0)), (360, Some(60.0))])]
#[case::neither("tree 20", &[(120, Some(20.0))])]
fn numbers_without_a_unit(#[case] row: &str, #[case] holds: &[(u32, Option<f64>)]) {
    let class = class(&format!("# T\n20 minutes\n\n{row}\n"));
    let found: Vec<_> = class
        .lines()
        .map(|line| (line.hold_s, line.breaths))
        .collect();
    assert_eq!(found, holds);
}

#[rstest]
#[case("down dog", "downward-dog")]
#[case("dd", "downward-dog")]
#[case("downward facing dog", "downward-dog")]
#[case("savasana", "final-rest")]
#[case("shavasana", "final-rest")]
#[case("corpse", "final-rest")]
#[case("janu", "head-to-knee-fold")]
#[case("dwonward dog", "downward-dog")]
#[case("chlids pose", "childs-pose")]
#[case("trikonsana", "triangle")]
#[case("leggs up the wal", "legs-up-the-wall")]
#[case("bridges", "bridge")]
fn a_name_as_people_jot_it_is_found(#[case] jotted: &str, #[case] id: &str) {
    let class = class(&format!("{jotted}, 5 breaths"));
    let line = class.lines().next().expect("one line");
    let taught = format!("{:?}", line.taught);
    assert!(taught.contains(&format!("({id})")), "{taught}");
}

/// Under the title a line about the class is told from a step.
#[test]
fn a_step_right_under_the_title_is_a_step() {
    let class = class("# T\n1. Breath noticing (5 min)\n2. Tree, 5 br\n");
    assert_eq!(class.lines().count(), 2);
    assert_eq!(class.lines().next().map(|line| line.hold_s), Some(300));
}

/// What to do stands in the message.
#[rstest]
#[case("sun sal A x 3", "A salutation is a run of steps")]
#[case("repeat other side", "Write “each side” with the steps above")]
#[case("welcome", "Say how long the talk is")]
#[case("flibber wobble, 5 br", "“kindfold postures” lists every name")]
#[case("head to kne bend fold, 5 br", "Did you mean “Head-to-knee fold”?")]
fn the_message_says_what_to_do(#[case] words: &str, #[case] help: &str) {
    let text = format!("# T\n20 minutes\n\n- mountain 5 br\n- {words}\n");
    let problems = match read(&text) {
        Ok(reading) => reading.unread,
        Err(problems) => problems,
    };
    let helps: Vec<&str> = problems.iter().map(|one| one.help.as_str()).collect();
    assert!(helps.iter().any(|one| one.starts_with(help)), "{helps:?}");
}

/// A wrong outline is refused, each mistake with its line, its column and its code.
#[rstest]
#[case("- flibber wobble, 5 breaths", 3, Code::UnknownPosture)]
#[case("- tree, 5 breaths, 2 min", 20, Code::BadHold)]
#[case("- mountain, each side, 5 br", 13, Code::NoSides)]
#[case("- tree, 900 breaths", 9, Code::OutOfRange)]
#[case("- warrior, each side, 3 br", 3, Code::UnknownPosture)]
#[case("5 times:", 1, Code::MissingKey)]
#[case(
    "Each side:\n  tree 3 br\n  2 times, left:\n    tree 1 br",
    12,
    Code::ClashingKeys
)]
#[case("Twice:\n  3 times:\n    tree x2, 1 br", 5, Code::ClashingKeys)]
#[case("Twice, left:\n  tree each side 3 br", 8, Code::ClashingKeys)]
#[case("twice", 1, Code::UnknownPosture)]
#[case("2.5 rounds:\n  salute 1 br", 1, Code::UnknownPosture)]
#[case("date: 12/05/2026", 7, Code::BadDate)]
#[case("start: late", 8, Code::BadClock)]
#[case("length: long", 9, Code::WrongType)]
#[case("breath: slow", 9, Code::WrongType)]
#[case("breath: 7 seconds or so", 9, Code::WrongType)]
#[case("breath: 31 seconds", 9, Code::OutOfRange)]
fn a_wrong_outline_is_refused(#[case] wrong: &str, #[case] column: usize, #[case] code: Code) {
    let text = format!("# T\n20 minutes\n\n- mountain 5 br\n\n{wrong}\n\n- mountain 5 br\n");
    let problems = read(&text).expect_err("it is wrong");
    let places: Vec<_> = problems
        .iter()
        .map(|problem| {
            (
                problem.place.line.as_ref().map(|line| line.column),
                problem.code,
            )
        })
        .collect();
    assert_eq!(places, [(Some(column), code)], "{problems:?}");
}

#[rstest]
#[case("- mountain 5 br\n- flibber wobble\n", "flibber wobble")]
#[case(
    "- mountain 5 br\n- feed the goldfish, ring Bo\n",
    "feed the goldfish, ring Bo"
)]
fn loose_words_are_left_out_and_listed(#[case] text: &str, #[case] words: &str) {
    let reading = read(text).expect("the rest is understood");
    assert_eq!(reading.class.lines().count(), 1);
    assert_eq!(listed(&reading), [format!("“{words}” was not understood")]);
}

/// A file whose name says outline and whose text says YAML is no outline.
#[rstest]
#[case(
    "title: T\nminutes: 20\nsections:\n  - name: A\n    steps:\n      - {posture: tree, breaths: 5}\n"
)]
#[case("recorded: 2026-11-02\nstudents:\n  - {name: N}\n")]
fn a_plan_in_yaml_is_no_outline(#[case] text: &str) {
    let problems = read(text).expect_err("it is no outline");
    let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, [Code::WrongFile]);
}

#[test]
fn an_outline_without_a_posture_is_refused() {
    let problems = read("# Tuesday\n\nring the caretaker\n").expect_err("there is no class");
    let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, [Code::NotUnderstood, Code::MissingKey]);
}

#[rstest]
#[case("lantern.md")]
#[case("tuesday-jotting.txt")]
#[case("library-jotting.txt")]
#[case("sunday-jotting.txt")]
fn the_checked_form_of_an_outline_is_the_same_class(#[case] name: &str) {
    let file = read_file(&outline(name)).expect("the outline is there");
    comes_back(&reading::read(file, &LIBRARY).expect("nothing in it is wrong"));
}

#[rstest]
#[case("tuesday-wind-down")]
#[case("ten-past-one")]
fn the_checked_form_of_a_plan_is_the_same_class(#[case] name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/cases")
        .join(name)
        .join("class.yaml");
    let file = read_file(&path).expect("the plan is there");
    comes_back(&reading::read(file, &LIBRARY).expect("the plan is right"));
}

/// Everything that a plan can say.
const FULL: &str = r##"
title: "Yes: a \"full\" one"
date: 2026-12-03
start: "07:05"
minutes: 45.5
breath_seconds: 7
padded: true
sections:
  - name: "# one"
    steps:
      - {talk: 1.5, note: "no"}
      - {move: standing, by: a chair, takes: 1}
      - {move: chair, note: slow}
      - {posture: tree, side: none, seconds: 75}
      - {posture: tree, side: left, minutes: 2.5, takes: 6, keep: true, cue: "a: b"}
      - {posture: mountain, rounds: 3, round_seconds: 11, padded: false}
      - {posture: low lunge, first: left, breaths: 2.5, or: [hand on the hip, childs-pose], props: {block: 2}}
      - {own: "spiral, reach", side: each, breaths: 3}
      - {own: spiral, like: triangle, breaths: 3, note: "line\nline"}
  - name: two
    breath_seconds: 9.5
    padded: false
    steps:
      - side: none
        repeat: 2
        steps:
          - {posture: tree, breaths: 3}
      - side: each
        first: left
        takes: 6.25
        steps:
          - {posture: warrior II, breaths: 3, side: right}
          - repeat: 3
            steps:
              - {posture: mountain, breaths: 1, side: none}
              - {posture: tree, breaths: 1}
"##;

#[test]
fn the_checked_form_holds_everything_that_a_plan_can_say() {
    let plan = reading::read(source("class.yaml", FULL), &LIBRARY).expect("the plan is right");
    comes_back(&plan);
}

fn comes_back(reading: &Reading) {
    let file = class_yaml::file(reading, &LIBRARY);
    let again = reading::read(source("checked.yaml", &file), &LIBRARY);
    let again = again.unwrap_or_else(|problems| panic_with(&file, &problems));
    assert_eq!(again.class, reading.class, "{file}");
}

#[expect(clippy::panic, reason = "a test that has failed")]
fn panic_with(file: &str, problems: &[Problem]) -> ! {
    panic!("{file}\n{problems:?}")
}

const SCRIBBLE: &str = "Lamp class, 20 min\n\neasy seat 8 br\ntree, ea side, 5 br\nflibber\n";

#[test]
fn check_shows_and_writes_and_planning_waits_for_what_was_not_understood() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = folder.path();
    std::fs::write(at.join("c.txt"), SCRIBBLE).expect("the folder takes a file");
    let checked = kindfold(&["check", "c.txt", "-o", "c.yaml"], at);
    let said = String::from_utf8_lossy(&checked.stdout);
    assert_eq!(checked.status.code(), Some(0), "{said}");
    assert!(said.contains("Tree: each side, 5 breaths"), "{said}");
    assert!(said.contains("“flibber” was not understood"), "{said}");
    let strict = kindfold(&["check", "c.txt", "--strict"], at);
    assert_eq!(strict.status.code(), Some(1));
    let planned = kindfold(&["adapt", "c.txt", "-o", "sheet.txt"], at);
    let said = String::from_utf8_lossy(&planned.stderr);
    assert_eq!(planned.status.code(), Some(2), "{said}");
    assert!(said.contains("[not-understood]"), "{said}");
    assert!(!at.join("sheet.txt").exists());
    let planned = kindfold(&["adapt", "c.yaml", "-o", "sheet.txt"], at);
    assert_eq!(planned.status.code(), Some(0));
}

#[test]
fn a_step_that_is_not_known_writes_nothing() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = folder.path();
    std::fs::write(
        at.join("c.md"),
        "# C\n\n- flibber wobble, 5 breaths\n- tree, 5 br\n",
    )
    .expect("the folder takes a file");
    let checked = kindfold(&["check", "c.md", "-o", "c.yaml"], at);
    let said = String::from_utf8_lossy(&checked.stderr);
    assert_eq!(checked.status.code(), Some(2), "{said}");
    assert!(said.contains("line 3, column 3"), "{said}");
    assert!(!at.join("c.yaml").exists());
}

#[rstest]
#[case("c.md")]
#[case("d.txt")]
fn the_checked_form_never_takes_the_name_of_an_outline(#[case] name: &str) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = folder.path();
    std::fs::write(at.join("c.md"), "tree, 5 br\n").expect("the folder takes a file");
    let checked = kindfold(&["check", "c.md", "-o", name], at);
    assert_eq!(checked.status.code(), Some(2));
    let kept = std::fs::read_to_string(at.join("c.md")).expect("the outline is still there");
    assert_eq!(kept, "tree, 5 br\n");
    assert!(name == "c.md" || !at.join(name).exists());
}

/// Bits of outlines, so that arbitrary text is often nearly one.
fn scraps() -> impl Strategy<Value = String> {
    let scrap = prop_oneof![
        Just("tree".to_owned()),
        Just("low lunge".to_owned()),
        Just("dwonward dog".to_owned()),
        Just("twist".to_owned()),
        Just("5 br".to_owned()),
        Just("x2".to_owned()),
        Just("each side".to_owned()),
        Just("R/L".to_owned()),
        Just("\n".to_owned()),
        Just("\n  ".to_owned()),
        Just("\n- ".to_owned()),
        Just("\n## ".to_owned()),
        Just(":".to_owned()),
        Just(", ".to_owned()),
        Just(" – ".to_owned()),
        Just("(".to_owned()),
        Just(")".to_owned()),
        Just("5 times:\n".to_owned()),
        "\\PC{0,6}",
        any::<String>(),
    ];
    prop::collection::vec(scrap, 1..30).prop_map(|scraps| scraps.join(" "))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever stands in the file: it is read or refused, and what is read comes back.
    #[test]
    fn no_text_is_too_strange(text in scraps()) {
        let Ok(file) = Source::from_bytes("class.md", text.as_bytes()) else {
            return Ok(());
        };
        match reading::read(file, &LIBRARY) {
            Ok(reading) => comes_back(&reading),
            Err(problems) => {
                prop_assert!(!problems.is_empty());
                for problem in problems {
                    prop_assert!(!problem.to_string().is_empty());
                }
            }
        }
    }
}
