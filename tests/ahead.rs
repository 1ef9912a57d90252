//! The days ahead: every change on its day, counted by hand on a calendar.
//!
//! Weeks of pregnancy: 280 days from the first day to the due date (OC-72). Weeks since an operation
//! or a birth: days from its day. The windows are those of the project's rules, section 2.2; when
//! facts grow old is its section 2.4; that a clinician's word opens for 365 days is OC-93.

use std::collections::BTreeSet;
use std::path::Path;

use jiff::civil::Date;
use kindfold::ahead::{Ahead, Change, What, ahead};
use kindfold::class::ClassPlan;
use kindfold::input::{self, text::Source};
use kindfold::judge::facts;
use kindfold::roster::Roster;
use kindfold::settings::{PropStock, Settings};
use kindfold::words::Verdict;
use rstest::rstest;

use crate::support::library::{library, task};
use crate::support::program::kindfold;

fn class() -> ClassPlan {
    let text = "\
title: A short class
minutes: 40
sections:
  - name: All of it
    steps:
      - {posture: tree, side: each, breaths: 5}
      - {posture: low lunge, side: each, breaths: 5}
      - {posture: cobra, breaths: 3}
      - {posture: boat, breaths: 5}
      - {posture: final rest, minutes: 8}
";
    let source = Source::from_bytes("class.yaml", text.as_bytes()).expect("it is text");
    input::class::read(source, library()).expect("it reads")
}

fn roster(person: &str) -> Roster {
    let text = format!("students:\n  - {{name: Odalys, {person}}}\n");
    let source = Source::from_bytes("roster.yaml", text.as_bytes()).expect("it is text");
    input::roster::read(source, library()).expect("it reads")
}

fn day(text: &str) -> Date {
    text.parse().expect("a day of the test")
}

fn looked(person: &str, from: &str, until: &str) -> Ahead {
    let (class, roster, stock) = (class(), roster(person), PropStock::default());
    ahead(&task(&class, &roster, &stock, day(from)), day(until))
}

/// Whether a change is about a rule, and how.
fn is(change: &Change, how: &str, id: &str) -> bool {
    match &change.what {
        What::Begins(rule) => how == "begins" && rule.rule.as_str() == id,
        What::Ends(rule) => how == "ends" && rule.rule.as_str() == id,
        What::Becomes { rule, .. } => how == "becomes" && rule.rule.as_str() == id,
        What::LimitBegins(lasts) => how == "limit begins" && lasts.of.as_str() == id,
        What::LimitEnds(lasts) => how == "limit ends" && lasts.of.as_str() == id,
        What::Stale(text) => how == "stale" && text.starts_with(id),
        What::WordEnds { from, .. } => how == "word ends" && from == id,
        What::TodayEnds => how == "today ends",
    }
}

#[rstest]
// Due on 1 March 2027: 12+0 on 17 August, 14+0 on 31 August, 16+0 on 14 September 2026, 28+0 on
// 7 December 2026; 14 days past the due date are over on 16 March 2027.
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "begins",
    "pregnancy-front",
    "2026-08-17"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "begins",
    "pregnancy-balance",
    "2026-08-17"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "ends",
    "pregnancy-first-weeks",
    "2026-08-31"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "begins",
    "pregnancy-flat-long",
    "2026-09-14"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "limit begins",
    "lying-flat",
    "2026-09-14"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "begins",
    "pregnancy-rest-on-the-side",
    "2026-12-07"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "limit begins",
    "head-below-heart",
    "2026-12-07"
)]
#[case(
    "limitations: [{what: pregnancy, due: 2027-03-01}]",
    "stale",
    "pregnancy: the due date is past",
    "2027-03-16"
)]
// 24+5 on 1 July 2026 is 28+0 23 days later.
#[case(
    "recorded: 2026-07-01, limitations: [{what: pregnancy, weeks: \"24+5\"}]",
    "begins",
    "pregnancy-rest-on-the-side",
    "2026-07-24"
)]
// Weeks without days are read as the end of the week: 22+6 on 1 October is 28+0 36 days later.
#[case(
    "recorded: 2026-10-01, limitations: [{what: pregnancy, weeks: 22}]",
    "begins",
    "pregnancy-rest-on-the-side",
    "2026-11-06"
)]
// Due in March 2027: the earliest day that fits is the first.
#[case(
    "limitations: [{what: pregnancy, due: 2027-03}]",
    "begins",
    "pregnancy-rest-on-the-side",
    "2026-12-07"
)]
// 84 days from 20 July 2026; from the last day of July.
#[case(
    "limitations: [{what: hip-replacement, side: left, approach: posterior, on: 2026-07-20}]",
    "ends",
    "new-hip-rear-bend",
    "2026-10-12"
)]
#[case(
    "limitations: [{what: hip-replacement, side: left, approach: anterior, on: 2026-07-20}]",
    "begins",
    "new-hip-front-later",
    "2026-10-12"
)]
#[case(
    "limitations: [{what: hip-replacement, side: left, approach: posterior, on: 2026-07}]",
    "ends",
    "new-hip-rear-bend",
    "2026-10-23"
)]
// 42 and 84 days from 24 July 2026.
#[case(
    "limitations: [{what: caesarean, on: 2026-07-24}]",
    "begins",
    "caesarean-backbend-after-the-check",
    "2026-09-04"
)]
#[case(
    "limitations: [{what: caesarean, on: 2026-07-24}]",
    "ends",
    "caesarean-belly-work-much",
    "2026-10-16"
)]
#[case(
    "limitations: [{what: device, kind: pacemaker, side: left, on: 2026-07-20}]",
    "ends",
    "pacemaker-hands",
    "2026-08-31"
)]
// 26 weeks after 5 May 2026 are over on 4 November, 4 weeks after 20 July on 18 August.
#[case(
    "recorded: 2026-05-05, limitations: [{what: knee, side: left}]",
    "stale",
    "knee: told",
    "2026-11-04"
)]
#[case(
    "recorded: 2026-07-20, limitations: [{what: vertigo, side: left}]",
    "stale",
    "vertigo: told",
    "2026-08-18"
)]
// The physio's word of 10 September 2025 opens until 10 September 2026.
#[case(
    "limitations: [{what: knee, side: left}], guidance: [{from: physio, on: 2025-09-10, about: knee, allows: [kneeling]}]",
    "word ends",
    "physio",
    "2026-09-11"
)]
#[case(
    "limitations: [{what: knee, side: left}], guidance: [{from: physio, on: 2025-09-10, about: knee, allows: [kneeling]}]",
    "becomes",
    "knee-kneeling-much",
    "2026-09-11"
)]
// Said at the door on 1 August.
#[case(
    "limitations: [], today: [{what: vertigo, side: left}]",
    "today ends",
    "",
    "2026-08-02"
)]
fn a_change_stands_on_its_day_and_on_no_other(
    #[case] person: &str,
    #[case] how: &str,
    #[case] id: &str,
    #[case] on: &str,
) {
    // A form of July is read against a class on 20 July at the earliest.
    let found = looked(person, "2026-08-01", "2027-07-31");
    let found = match on < "2026-08-01" {
        true => looked(person, "2026-07-20", "2027-07-31"),
        false => found,
    };
    let days: Vec<String> = found
        .changes
        .iter()
        .filter(|change| is(change, how, id))
        .map(|change| change.from.to_string())
        .collect();
    assert_eq!(days, [on], "{:?}", found.changes);
}

/// On the day before nothing is said of it, on the last day of the span it is.
#[rstest]
#[case("2026-09-13", 0)]
#[case("2026-09-14", 1)]
fn the_last_day_is_looked_at_too(#[case] until: &str, #[case] times: usize) {
    let person = "limitations: [{what: pregnancy, due: 2027-03-01}]";
    let found = looked(person, "2026-09-07", until);
    let begun = found.changes.iter();
    let begun = begun.filter(|change| is(change, "begins", "pregnancy-flat-long"));
    assert_eq!(begun.count(), times);
}

/// 14 September 2026 is a Monday; a class on Thursdays meets it on the 17th. The steps are those whose
/// shape lies flat for long, or at all.
#[test]
fn the_weekday_of_the_class_and_its_steps_are_told() {
    let person = "limitations: [{what: pregnancy, due: 2027-03-01}]";
    let found = looked(person, "2026-09-10", "2026-09-20");
    assert!(
        found
            .changes
            .iter()
            .all(|change| change.class_day == day("2026-09-17"))
    );
    assert!(
        found
            .changes
            .iter()
            .all(|change| change.told == "pregnancy, 16 weeks")
    );
    let long = found.changes.iter().find_map(|change| match &change.what {
        What::Begins(rule) if rule.rule.as_str() == "pregnancy-flat-long" => Some(rule),
        _ => None,
    });
    let long = long.expect("it begins in that week");
    assert_eq!(
        (long.verdict, long.lines.as_slice()),
        (Verdict::Avoid, &[5][..])
    );
}

/// What is told of each day is what the judge has in force on it: the changes, taken one after another,
/// lead from the rules of the first day to those of any other.
#[rstest]
#[case("limitations: [{what: pregnancy, due: 2027-03-01}]")]
#[case("limitations: [{what: caesarean, on: 2026-07}, {what: knee, side: both}]")]
#[case("limitations: [{what: hip-replacement, side: right, on: 2026-06-30}]")]
fn the_changes_lead_from_the_rules_of_one_day_to_those_of_another(#[case] person: &str) {
    let found = looked(person, "2026-08-01", "2027-01-31");
    let told = roster(person);
    let in_force = |date| -> BTreeSet<String> {
        let person = facts::person(&told.students[0], library(), &Settings::default(), date);
        let printed = person.rules.iter().filter(|rule| !rule.silent);
        printed.map(|rule| rule.rule.to_string()).collect()
    };
    let mut rules = in_force(day("2026-08-01"));
    for change in &found.changes {
        match &change.what {
            What::Begins(rule) => assert!(rules.insert(rule.rule.to_string())),
            What::Ends(rule) => assert!(rules.remove(rule.rule.as_str())),
            _ => {}
        }
        let last_of_day = found
            .changes
            .iter()
            .rfind(|other| other.from == change.from);
        if last_of_day == Some(change) {
            assert_eq!(rules, in_force(change.from), "{}", change.from);
        }
    }
    assert!(!found.changes.is_empty());
}

/// Of whom nothing is known nothing changes, and nothing of a person of no clock.
#[rstest]
#[case("asked: no")]
#[case("asked: declined")]
#[case("limitations: []")]
#[case("limitations: [no-kneeling], recorded: 2026-08-01")]
fn nothing_is_told_of_those_for_whom_nothing_changes(#[case] person: &str) {
    assert_eq!(looked(person, "2026-08-01", "2026-12-31").changes, []);
}

/// Roster 2 with its class, as a teacher runs it: the form of 3 April said 12 weeks, so 28 weeks are on
/// 24 July, and the class of the 28th, where it is held weekly, is the first of those.
#[test]
fn a_teacher_reads_who_when_and_which_steps() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/tuesday-wind-down");
    let args = [
        "ahead",
        "class.yaml",
        "--roster",
        "roster.yaml",
        "--until",
        "2026-07-31",
    ];
    let output = kindfold(&args, &folder);
    assert_eq!(output.status.code(), Some(0));
    let text = String::from_utf8_lossy(&output.stdout);
    for words in [
        "From Friday 24 July 2026",
        "held weekly: Tue 28 Jul",
        "pregnancy, 28 weeks",
        "28 final rest",
    ] {
        assert!(text.contains(words), "{words} is not in\n{text}");
    }
    for form in ["markdown", "html", "csv", "json"] {
        let output = kindfold(&[&args[..], &["--format", form]].concat(), &folder);
        assert_eq!(output.status.code(), Some(0), "{form}");
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(text.contains("Aoife"), "{form}: {text}");
    }
    let strict = kindfold(&[&args[..], &["--strict"]].concat(), &folder);
    assert_eq!(strict.status.code(), Some(1), "something needs the teacher");
}
