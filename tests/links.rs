//! Links between levels: nobody's thread takes one that asks what that person keeps away from.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

use kindfold::words::DemandId;
use serde_json::Value;

use crate::outside::LIBRARY;
use crate::support::program::kindfold;

/// Down to the floor in every way and up again, with time for it.
const CLASS: &str = "title: Up and down
date: 2026-05-13
minutes: 75
breath_seconds: 6
sections:
  - name: All
    steps:
      - {posture: mountain, breaths: 5, takes: 5}
      - {posture: tabletop, breaths: 5, takes: 5}
      - {posture: downward dog, breaths: 5, takes: 5}
      - {posture: low lunge, side: each, breaths: 3, takes: 5}
      - {posture: staff, breaths: 5, takes: 5}
      - {posture: sphinx, breaths: 5, takes: 5}
      - {posture: tall kneeling, breaths: 5, takes: 5}
      - {posture: seated mountain, breaths: 5, takes: 5}
      - {posture: constructive rest, breaths: 5, takes: 5}
      - {posture: side-lying rest, breaths: 5, takes: 5}
      - {posture: mountain, breaths: 5, takes: 5}
";

/// Demands that any link asks.
fn asked_by_links() -> BTreeSet<&'static DemandId> {
    let links = LIBRARY.links.values();
    links.flat_map(|link| link.demands.keys()).collect()
}

/// Getting down is any way between standing, wall or chair and a floor level, in either direction (the rules,
/// section 1.1).
#[test]
fn every_way_to_and_from_the_floor_asks_getting_down() {
    for link in LIBRARY.links.values() {
        let either = |floor: bool| {
            let is = |level: &kindfold::words::Level| level.is_floor() == floor;
            (link.from.iter().any(is), link.to.iter().any(is))
        };
        let ((from_floor, to_floor), (from_feet, to_feet)) = (either(true), either(false));
        let crosses = (from_feet && to_floor) || (from_floor && to_feet);
        assert_eq!(
            crosses,
            link.demands.contains_key("getting-down"),
            "{}",
            link.id
        );
    }
}

/// The demands of the links that each person takes.
fn taken(result: &Value) -> BTreeMap<&str, BTreeSet<&DemandId>> {
    let students = result["students"].as_array().expect("a list of students");
    let of = |student: &Value| -> BTreeSet<&DemandId> {
        let assignments = student["assignments"].as_array().expect("a list of steps");
        let ids = assignments
            .iter()
            .filter_map(|one| one["link"]["id"].as_str());
        ids.flat_map(|id| {
            LIBRARY
                .links
                .get(id)
                .expect("a link of the library")
                .demands
                .keys()
        })
        .collect()
    };
    students
        .iter()
        .filter_map(|student| Some((student["name"].as_str()?, of(student))))
        .collect()
}

/// One person a demand, who is to avoid it, and one with nothing to tell: that one takes links which ask
/// those demands, so the others keep from something.
#[test]
fn no_thread_takes_a_link_that_is_to_be_avoided() {
    let demands = asked_by_links();
    let mut roster =
        "recorded: 2026-05-01\nstudents:\n  - {name: Free, limitations: []}\n".to_owned();
    for demand in &demands {
        writeln!(
            roster,
            "  - {{name: \"{demand}\", limitations: [{{what: no-{demand}}}]}}"
        )
        .expect("a text takes every line");
    }
    let folder = tempfile::tempdir().expect("a folder for the test");
    let files = [
        ("class.yaml", CLASS),
        ("roster.yaml", roster.as_str()),
        (
            "props.yaml",
            "block: 60\nblanket: 60\nbolster: 40\nchair: 40\nstrap: 40\nwall: 40\n",
        ),
    ];
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("the folder takes a file");
    }
    let args = [
        "adapt",
        "class.yaml",
        "--roster",
        "roster.yaml",
        "--props",
        "props.yaml",
        "--format",
        "json",
    ];
    let output = kindfold(&args, folder.path());
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let result: Value = serde_json::from_slice(&output.stdout).expect("the result is JSON");
    let taken = taken(&result);
    assert_eq!(taken.len(), demands.len() + 1);
    let free = taken.get("Free").expect("one with nothing to tell");
    for demand in [
        "getting-down",
        "kneeling",
        "deep-knee-bend",
        "weight-on-hands",
    ] {
        assert!(
            free.contains(&DemandId::from(demand)),
            "{demand} is in the way of nobody"
        );
    }
    let wrong: Vec<&&DemandId> = demands
        .iter()
        .filter(|demand| {
            taken
                .get(demand.as_str())
                .is_none_or(|links| links.contains(*demand))
        })
        .collect();
    assert!(wrong.is_empty(), "asked by a link all the same: {wrong:?}");
}
