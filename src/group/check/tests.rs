//! One spoilt instance for every fault, and instances at the edge of what is still taken.

use rstest::rstest;
use serde_json::{Value, json};

use super::*;

/// Two people, a single line, then a run of three on each side whose last two are taught three times.
fn sound() -> Value {
    let line = |number: usize, seconds: u32| {
        json!({
            "id": format!("line {number}"), "taught": 0, "keep": false, "seconds": seconds,
            "kinder": [], "free": [], "never_lead": [],
            "candidates": [
                {"shape": "taught", "level": 0, "props": {"block": 2}, "uses": ["hands"]},
                {"shape": "other", "level": 1, "props": {"chair": 1}},
                {"shape": "pause", "level": 0, "rest": 1},
            ],
        })
    };
    let both = json!({"r": {"0": 0, "1": 4, "2": 0}, "l": {"0": 0, "1": 4, "2": 0}});
    let apart = json!({"r": {"0": 0, "1": 4, "2": 0}, "l": {"1": 5, "2": 0}});
    let student = |id: &str| {
        json!({
            "id": id, "tied": [true, false], "stray": [both, both, apart, both],
            "budgets": [{"use": "hands", "bout_s": 60}], "barred": [[0, 0, 1, 1], [3, 0, 1, 1]],
        })
    };
    json!({
        "schema": SCHEMA, "max_options": 1,
        "weights": {"option": 6, "excess": 60, "lead": 6, "rest": 200, "prop_change": 1},
        "levels": ["standing", "seated"], "level_change": [[0, 3], [3, 0]],
        "blocks": [
            {"lines": [0], "sided": false, "repeats": 1},
            {"lines": [1, 2, 3], "sided": true, "repeats": 2, "inner": {"first": 2, "last": 3, "repeats": 3}},
        ],
        "lines": [line(0, 30), line(1, 40), line(2, 50), line(3, 60)],
        "students": [student("ada"), student("bo")],
        "stock": {"block": 3},
    })
}

/// What the check says of the sound instance with something else at a place.
fn with(place: &str, value: Value) -> Result<(), InstanceError> {
    let mut instance = sound();
    *instance
        .pointer_mut(place)
        .expect("a place of the instance") = value;
    checked(instance)
}

fn checked(instance: Value) -> Result<(), InstanceError> {
    let instance: Instance = serde_json::from_value(instance).expect("it is an instance");
    instance.check()
}

fn unknown(line: usize, candidate: usize, field: &'static str) -> InstanceError {
    InstanceError::UnknownCandidate {
        line,
        candidate,
        field,
    }
}

fn rest(field: &'static str) -> InstanceError {
    InstanceError::RestOnMenu {
        line: 1,
        candidate: 2,
        field,
    }
}

fn lists(field: &'static str, wanted: usize) -> InstanceError {
    InstanceError::StudentLists {
        student: 1,
        field,
        wanted,
    }
}

fn no_link(from: usize, to: usize) -> InstanceError {
    InstanceError::NoSuchLink {
        student: 1,
        from,
        to,
    }
}

#[rstest]
#[case("/schema", json!("another"), InstanceError::Schema)]
#[case("/max_options", json!(0), InstanceError::NoOptions)]
#[case("/level_change", json!([[0, 3]]), InstanceError::LevelChange { levels: 2 })]
#[case("/level_change/1", json!([3]), InstanceError::LevelChange { levels: 2 })]
#[case("/blocks/0/lines", json!([]), InstanceError::BlockLines { block: 0 })]
#[case("/blocks/1/lines", json!([1, 3, 2]), InstanceError::BlockLines { block: 1 })]
#[case("/blocks/1", json!({"lines": [1, 2], "sided": true, "repeats": 1}), InstanceError::BlockLines { block: 2 })]
#[case("/blocks/0/repeats", json!(0), InstanceError::NoRepeats { block: 0 })]
#[case("/blocks/1/inner/repeats", json!(0), InstanceError::NoRepeats { block: 1 })]
#[case("/blocks/1/inner/first", json!(0), InstanceError::InnerRun { block: 1 })]
#[case("/blocks/1/inner/last", json!(4), InstanceError::InnerRun { block: 1 })]
#[case("/blocks/1/inner", json!({"first": 3, "last": 2, "repeats": 2}), InstanceError::InnerRun { block: 1 })]
#[case("/lines/1/candidates", json!([]), InstanceError::Candidates { line: 1, candidates: 0 })]
#[case("/lines/1/taught", json!(3), unknown(1, 3, "taught"))]
#[case("/lines/1/kinder", json!([1, 3]), unknown(1, 3, "kinder"))]
#[case("/lines/1/free", json!([3]), unknown(1, 3, "free"))]
#[case("/lines/1/never_lead", json!([3]), unknown(1, 3, "never_lead"))]
#[case("/lines/1/taught", json!(2), rest("taught"))]
#[case("/lines/1/kinder", json!([2]), rest("kinder"))]
#[case("/lines/1/free", json!([2]), rest("free"))]
#[case("/lines/1/free", json!([1, 0]), InstanceError::FreeTaught { line: 1 })]
#[case("/lines/1/candidates/1/level", json!(2), InstanceError::UnknownLevel { line: 1, candidate: 1, level: 2 })]
#[case("/students/1/id", json!("ada"), InstanceError::SameStudent { student: 1 })]
#[case("/students/1/tied", json!([true]), lists("tied", 2))]
#[case("/students/1/stray", json!([]), lists("stray", 4))]
#[case("/students/0/stray/1/r", json!({"2": 0, "3": 0}), unknown(1, 3, "stray"))]
#[case("/students/0/stray/1/l", json!({"2": 0, "3": 0}), unknown(1, 3, "stray"))]
#[case("/students/0/stray/0/l", json!({"2": 0}), InstanceError::SidesDiffer { student: 0, line: 0 })]
#[case("/students/0/tied", json!([false, true]), InstanceError::SidesDiffer { student: 0, line: 2 })]
#[case("/students/1/budgets", json!([{"use": "hands"}, {"use": "hands"}]), InstanceError::SameBudget { student: 1 })]
#[case("/students/1/barred", json!([[0, 0, 2, 0]]), no_link(0, 2))]
#[case("/students/1/barred", json!([[1, 0, 0, 0]]), no_link(1, 0))]
#[case("/students/1/barred", json!([[3, 0, 4, 0]]), no_link(3, 4))]
#[case("/students/1/barred", json!([[3, 0, 2, 0]]), no_link(3, 2))]
#[case("/students/1/barred", json!([[2, 0, 1, 0]]), no_link(2, 1))]
#[case::no_turn_where_there_are_no_sides("/students/1/barred", json!([[0, 0, 0, 0]]), no_link(0, 0))]
#[case("/students/1/barred", json!([[0, 3, 1, 0]]), unknown(0, 3, "barred"))]
#[case("/students/1/barred", json!([[0, 0, 1, 3]]), unknown(1, 3, "barred"))]
#[case("/lines/0/candidates/2/rest", json!(0), InstanceError::NoPause { line: 0 })]
#[case("/lines/0/candidates/2", json!({"shape": "pause", "level": 0, "rest": 1, "props": {"chair": 1}}), InstanceError::NoPause { line: 0 })]
#[case("/lines/0/candidates/2", json!({"shape": "pause", "level": 0, "rest": 1, "uses": ["hands"]}), InstanceError::NoPause { line: 0 })]
#[case("/students/1/stray/1/r", json!({"0": 0}), InstanceError::NoPause { line: 1 })]
#[case("/students/1/stray/1/l", json!({"0": 0}), InstanceError::NoPause { line: 1 })]
#[case("/students/1/barred", json!([[0, 2, 1, 0]]), InstanceError::NoPause { line: 0 })]
#[case("/students/1/barred", json!([[0, 0, 1, 2]]), InstanceError::NoPause { line: 1 })]
fn a_spoilt_instance_is_refused(
    #[case] place: &str,
    #[case] value: Value,
    #[case] error: InstanceError,
) {
    assert_eq!(checked(sound()), Ok(()));
    assert_eq!(with(place, value), Err(error));
}

#[rstest]
#[case::one_line_taught_more_often("/blocks/1/inner", json!({"first": 3, "last": 3, "repeats": 1}))]
#[case::the_whole_block_again("/blocks/1/inner", json!({"first": 1, "last": 3, "repeats": 1}))]
#[case::a_pause_that_never_leads("/lines/1/never_lead", json!([2]))]
#[case::another_shape_for_nothing("/lines/1/free", json!([1]))]
#[case::two_budgets("/students/1/budgets", json!([{"use": "hands"}, {"use": "kneeling"}]))]
fn what_means_something_is_taken(#[case] place: &str, #[case] value: Value) {
    assert_eq!(with(place, value), Ok(()));
}

/// Four lines of 3 shapes at 66 and a lead at 6 are 816; a person's 4 and 4 and twice the way and the rest, 7 and
/// 200, are 422 a line, one more where a side strays by 5: 816 and twice 1689.
#[test]
fn costs_are_added_up_to_the_last_that_fits() {
    let edge = MAX_TOTAL - (816 + 2 * 1689 - 5);
    let at = |cost: u64| with("/students/1/stray/2/l", json!({"1": cost, "2": 0}));
    assert_eq!(at(edge), Ok(()));
    assert_eq!(at(edge + 1), Err(InstanceError::TooLarge));
}

/// Once 30 s; twice on each side 40 s; and twelve times 50 and 60 s. A line without seconds counts as one.
#[rstest]
#[case(60, 160 + 12 * (50 + 60))]
#[case(0, 160 + 12 * (50 + 1))]
fn seconds_are_added_up_to_the_last_that_fits(#[case] last: u64, #[case] others: u64) {
    let at = |first: u64| {
        let mut instance = sound();
        instance["lines"][3]["seconds"] = json!(last);
        instance["lines"][0]["seconds"] = json!(first);
        checked(instance)
    };
    assert_eq!(at(MAX_SECONDS - others), Ok(()));
    assert_eq!(at(MAX_SECONDS - others + 1), Err(InstanceError::TooLarge));
}

#[test]
fn a_line_holds_64_candidates_and_no_more() {
    let with = |number: usize| {
        let mut instance = sound();
        let candidates = instance["lines"][1]["candidates"].as_array_mut();
        let candidates = candidates.expect("a list");
        while candidates.len() < number {
            candidates.push(json!({"shape": "more", "level": 0}));
        }
        checked(instance)
    };
    assert_eq!(with(MAX_CANDIDATES), Ok(()));
    let error = InstanceError::Candidates {
        line: 1,
        candidates: 65,
    };
    assert_eq!(with(65), Err(error));
}

#[test]
fn a_room_holds_1024_people_and_a_class_as_many_lines() {
    let people = |number: usize| {
        let mut instance = sound();
        let one = instance["students"][0].clone();
        let many = (0..number).map(|at| {
            let mut one = one.clone();
            one["id"] = json!(format!("person {at}"));
            one
        });
        instance["students"] = many.collect();
        checked(instance)
    };
    assert_eq!(people(MAX_STUDENTS), Ok(()));
    assert_eq!(people(MAX_STUDENTS + 1), Err(InstanceError::TooLarge));
    let lines = |number: usize| {
        let mut instance = sound();
        let line = instance["lines"][0].clone();
        let block = |at: usize| json!({"lines": [at], "sided": false, "repeats": 1});
        instance["students"] = json!([]);
        instance["lines"] = std::iter::repeat_n(line, number).collect();
        instance["blocks"] = (0..number).map(block).collect();
        checked(instance)
    };
    assert_eq!(lines(MAX_LINES), Ok(()));
    assert_eq!(lines(MAX_LINES + 1), Err(InstanceError::TooLarge));
}
