//! The roster's own words act as the contract says (section 4.2): what a person likes, leaves out, brings, is
//! fixed to, how old they are, and whose word counts until when.

use std::collections::BTreeSet;

use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, AdviceKind, CautionKind};
use kindfold::input;
use kindfold::input::text::Source;
use kindfold::words::{Level, PostureId, Prop, Verdict};
use rstest::rstest;

use crate::support::library::{library, task};

/// A class for one person.
fn planned(steps: &[&str], person: &str) -> Adapted {
    let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("it is text");
    let steps = steps
        .iter()
        .map(|step| format!("      - {{posture: {step}}}\n"));
    let class = format!(
        "title: One\ndate: 2026-11-25\nminutes: 20\nsections:\n  - name: All\n    steps:\n{}",
        steps.collect::<String>()
    );
    let roster = format!("recorded: 2026-11-25\nstudents:\n  - {{name: Ines, {person}}}\n");
    let class = input::class::read(source("class.yaml", &class), library()).expect("a class");
    let roster = input::roster::read(source("roster.yaml", &roster), library()).expect("a roster");
    let stock = input::props::read(source(
        "props.yaml",
        "block: 2\nblanket: 4\nchair: 2\nwall: 2\n",
    ));
    let date = class.date.expect("a date");
    let stock = stock.expect("props");
    let task = task(&class, &roster, &stock, date);
    adapt(&task, &mut |_| {}).expect("it plans").adapted
}

fn shapes(adapted: &Adapted) -> Vec<&PostureId> {
    let given = adapted.students[0].assignments.iter();
    given.map(|given| &given.posture).collect()
}

fn said(adapted: &Adapted, kind: CautionKind) -> String {
    let theirs = adapted.cautions.iter();
    let theirs = theirs.filter(|one| one.kind == kind && one.student.is_some());
    theirs
        .map(|one| one.text.as_str())
        .collect::<Vec<_>>()
        .join("\n")
}

/// What somebody was told of one knee opens nothing of the other.
#[rstest]
#[case("left", "right", true)]
#[case("left", "left", false)]
#[case("left", "both", false)]
#[case("both", "left", true)]
fn allows_is_about_the_side_it_names(#[case] sore: &str, #[case] of: &str, #[case] kept: bool) {
    let adapted = planned(
        &["child's pose, breaths: 8"],
        &format!(
            "limitations: [{{what: knee, side: {sore}, severity: acute}}], guidance: [{{from: physio, \
             on: 2026-11-02, about: knee, side: {of}, says: yes, allows: [kneeling, deep-knee-bend]}}]"
        ),
    );
    let kneels = |id: &&PostureId| library().postures[*id].level == Level::Kneeling;
    assert_eq!(shapes(&adapted).iter().all(|id| !kneels(id)), kept);
}

#[rstest]
#[case("right", true)]
#[case("left", false)]
fn cleared_is_about_the_side_it_names(#[case] of: &str, #[case] waits: bool) {
    let adapted = planned(
        &["plank, breaths: 3"],
        &format!(
            "limitations: [{{what: surgery, site: shoulder, side: left, on: 2026-10-05}}], guidance: \
             [{{from: surgeon, on: 2026-11-20, about: surgery, side: {of}, says: done, cleared: yes}}]"
        ),
    );
    let waiting = &adapted.students[0].ask_first;
    assert_eq!(!waiting.is_empty(), waits, "{waiting:?}");
}

/// A wish is the person's own: no clinician's word argues with it.
#[test]
fn a_need_is_never_lifted() {
    let adapted = planned(
        &["child's pose, breaths: 8"],
        "limitations: [{what: no-kneeling}], guidance: [{from: physio, on: 2026-11-02, about: no-kneeling, \
         says: kneel, allows: [kneeling]}]",
    );
    for id in shapes(&adapted) {
        assert_ne!(library().postures[id].level, Level::Kneeling, "{id}");
    }
}

/// Of whom nothing is known: whoever lies flat for long may take a kinder shape.
#[rstest]
#[case("final rest, minutes: 8", true)]
#[case("final rest, breaths: 10", false)]
fn lying_flat_for_long_has_a_kinder_shape_for_anyone(#[case] step: &str, #[case] kinder: bool) {
    let adapted = planned(&[step], "asked: no");
    let options = &adapted.steps[0].options;
    let flat = |id: &PostureId| library().postures[id].demands.contains_key("lying-flat");
    let offered = options
        .iter()
        .any(|one| one.for_anyone && !flat(&one.posture));
    assert_eq!(offered, kinder, "{options:?}");
}

/// Liked ways stray half as far and add no verdict.
#[test]
fn prefers_leads_to_the_chair_and_adds_no_verdict() {
    let told = "limitations: [{what: knee, side: left, severity: acute}]";
    let plain = planned(&["low lunge, side: each, breaths: 4"], told);
    let liked = planned(
        &["low lunge, side: each, breaths: 4"],
        &format!("{told}, prefers: [chair]"),
    );
    let on_a_chair = |adapted: &Adapted| {
        let shapes = shapes(adapted).into_iter();
        shapes
            .filter(|id| library().postures[*id].level == Level::Chair)
            .count()
    };
    assert!(on_a_chair(&liked) >= on_a_chair(&plain));
    assert!(on_a_chair(&liked) > 0, "{:?}", shapes(&liked));
    let well = planned(
        &["low lunge, side: each, breaths: 4"],
        "limitations: [], prefers: [chair]",
    );
    assert!(
        well.students[0]
            .assignments
            .iter()
            .all(|given| given.verdicts.is_empty())
    );
}

/// Printed once, and not given.
#[test]
fn declines_is_kept_and_printed_once() {
    let adapted = planned(&["plank, breaths: 3"], "limitations: [], declines: [plank]");
    assert!(shapes(&adapted).iter().all(|id| id.as_str() != "plank"));
    let reminders = said(&adapted, CautionKind::Reminder);
    assert_eq!(
        reminders.matches("would rather not: “plank”").count(),
        1,
        "{reminders}"
    );
}

#[test]
fn fixed_is_given_where_rules_leave_it() {
    let adapted = planned(
        &["triangle, side: each, breaths: 3"],
        "limitations: [], fixed: [{line: 1, posture: mountain}]",
    );
    let given: BTreeSet<&str> = shapes(&adapted)
        .into_iter()
        .map(PostureId::as_str)
        .collect();
    assert_eq!(given, BTreeSet::from(["mountain"]));
    assert_eq!(said(&adapted, CautionKind::AskFirst), "");
}

/// An `avoid` without guidance: refused with its reason; with it, given.
#[test]
fn fixed_against_a_rule_is_refused_with_its_reason() {
    let knee = "limitations: [{what: knee, side: left, severity: moderate}]";
    let fixed = "fixed: [{line: 1, posture: hero}]";
    let adapted = planned(&["mountain, breaths: 3"], &format!("{knee}, {fixed}"));
    assert!(shapes(&adapted).iter().all(|id| id.as_str() != "hero"));
    assert!(
        adapted.students[0]
            .assignments
            .iter()
            .all(|given| !given.sit_out)
    );
    let said = said(&adapted, CautionKind::AskFirst);
    for words in [
        "step 1: hero was fixed for them",
        "deep knee bend",
        "knee",
        "clinician",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// A wall is one of the things that somebody at home has said, or has not.
#[rstest]
#[case("", false)]
#[case(", has: {wall: 1}", true)]
fn on_video_a_wall_is_there_where_it_was_said(#[case] has: &str, #[case] wall: bool) {
    let adapted = planned(
        &["legs up the wall, minutes: 4"],
        &format!("limitations: [], where: video{has}"),
    );
    let up = shapes(&adapted)
        .iter()
        .all(|id| library().postures[*id].props.contains_key(&Prop::Wall));
    assert_eq!(up, wall, "{:?}", shapes(&adapted));
}

/// On video a person has what they have: with a chair at home they sit on it.
#[test]
fn has_is_theirs_alone() {
    let chair = |has: &str| {
        let adapted = planned(
            &["chair twist, side: each, breaths: 3"],
            &format!("limitations: [], where: video{has}"),
        );
        let given = adapted.students[0].assignments.clone();
        given
            .iter()
            .all(|given| given.props.contains_key(&Prop::Chair))
    };
    assert!(chair(", has: {chair: 1}"));
    assert!(!chair(""));
}

#[test]
fn under_18_nothing_is_planned_from_health_notes_until_the_guardians_form_is_in() {
    let told = "limitations: [{what: wrist, side: left}], under_18: true";
    let without = planned(&["plank, breaths: 3"], told);
    assert!(said(&without, CautionKind::NotAsked).contains("guardian"));
    assert!(
        without.students[0]
            .assignments
            .iter()
            .all(|given| given.verdicts.is_empty())
    );
    assert_eq!(said(&without, CautionKind::Watch), "");
    let with = planned(&["plank, breaths: 3"], &format!("{told}, guardian: true"));
    assert!(said(&with, CautionKind::Watch).contains("wrist"));
}

const UP_AND_DOWN: [&str; 4] = [
    "easy seat, breaths: 4",
    "mountain, breaths: 4",
    "easy seat, breaths: 4",
    "final rest, minutes: 6",
];

/// Once down and once up is the usual most after 70 and for some limitations (rules of the trade, section 4).
#[rstest]
#[case::after_70("limitations: [], over_70: yes", true)]
#[case::before("limitations: []", false)]
#[case::ms("limitations: [{what: ms, side: both}]", true)]
#[case::low_back_acute("limitations: [{what: low-back, severity: acute}]", true)]
#[case::low_back("limitations: [{what: low-back, severity: moderate}]", false)]
#[case::pregnant_28_weeks("limitations: [{what: pregnancy, weeks: 28+0}]", true)]
#[case::a_day_before("limitations: [{what: pregnancy, weeks: 27+6}]", false)]
fn trips_to_the_floor_are_few_for_some(#[case] person: &str, #[case] few: bool) {
    let adapted = planned(&UP_AND_DOWN, person);
    let mut advice = adapted.advice.iter();
    let found = advice.find(|one| one.kind == AdviceKind::GroupLevels);
    assert_eq!(found.is_some(), few, "{found:?} {:?}", shapes(&adapted));
    assert!(
        found.is_none_or(|one| one.text.contains("Ines 2 times")),
        "{found:?}"
    );
}

/// Four times up between five times down; the mountains first, then all that is on the floor, would be one.
#[test]
fn trips_of_the_class_are_counted_as_taught_and_grouped_by_level() {
    let mut lines = ["easy seat, breaths: 4", "mountain, breaths: 4"].repeat(4);
    lines.push("final rest, minutes: 6");
    let adapted = planned(&lines, "limitations: []");
    let mut advice = adapted.advice.iter();
    let found = advice.find(|one| one.kind == AdviceKind::GroupLevels);
    let found = found.expect("five times down is more than usual");
    assert_eq!(
        found.text,
        "The class goes down to the floor 5 times and up 4; 3 down is the usual most. With the shapes of each \
         part grouped by level: 1 down, 0 up."
    );
    assert_eq!(found.steps, [1, 3, 5, 7, 9]);
}

/// Only those who may give it are heard, and for a year.
#[rstest]
#[case::a_physio("physio", "2026-10-12", true)]
#[case::a_friend("friend", "2026-10-12", false)]
#[case::within_the_year("physio", "2025-11-26", true)]
#[case::over_a_year_ago("physio", "2025-11-20", false)]
fn a_clinicians_word_opens_while_it_is_in_date(
    #[case] from: &str,
    #[case] on: &str,
    #[case] opens: bool,
) {
    let person = format!(
        "limitations: [{{what: knee, side: left, severity: moderate}}], \
         guidance: [{{from: {from}, on: {on}, about: knee, says: \"you may\", allows: [deep-knee-bend]}}]"
    );
    let adapted = planned(&["hero, breaths: 3"], &person);
    let kept = adapted.students[0]
        .assignments
        .iter()
        .flat_map(|given| &given.instead_of);
    let kept = kept
        .flat_map(|one| &one.verdicts)
        .any(|one| one.demand.as_str() == "deep-knee-bend" && one.verdict == Verdict::Avoid);
    assert_eq!(!kept, opens);
    let words = said(&adapted, CautionKind::Guidance);
    assert!(words.contains("“you may”"), "the words stay: {words}");
}

/// What is said at the door about the same thing outranks the form and a clinician's word on it.
#[test]
fn today_outranks_the_form_and_the_word() {
    let person = "limitations: [{what: wrist, side: left, severity: mild}], \
                  today: [{what: wrist, side: left, severity: acute}], \
                  guidance: [{from: physio, on: 2026-10-12, about: wrist, says: fine}]";
    let adapted = planned(&["tabletop, breaths: 3"], person);
    assert!(shapes(&adapted).iter().all(|id| id.as_str() != "tabletop"));
    assert!(said(&adapted, CautionKind::Today).contains("wrist, acute"));
}
