//! Rules of a teacher's own, in a folder beside the built-in ones: what no built-in rule asks for holds all the same.

use std::fs;
use std::path::Path;

use crate::support::program::kindfold;

/// A limitation with one rule about the other side, and one that has no rules yet.
fn library(place: &Path) {
    let folder = place.join("library/rules/limitations");
    fs::create_dir_all(&folder).expect("a folder for the test");
    let of = |id: &str, name: &str, sided: &str, rules: &str| {
        let text = format!(
            "id: {id}\nkind: area\nname: {name}\nsided: {sided}\nsynonyms: {{en: [{name}]}}\n\
             ask: [what matters]\ncaution: \"Ask what matters.\"\nsigns: []\nrules: {rules}\n"
        );
        fs::write(folder.join(format!("{id}.yaml")), text).expect("a file for the test");
    };
    of("left-handed", "left-handed", "no", "[]");
    of(
        "stick",
        "walks with a stick",
        "yes",
        "[{rule: stick-other-hand, demand: weight-on-hands, when: some, side: opposite, verdict: avoid, \
         because: Invented for a test., strength: common-practice, proof: {hits: [tabletop], misses: [mountain]}}]",
    );
}

fn adapted(limitation: &str) -> serde_json::Value {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let place = folder.path();
    library(place);
    let class = "title: Sides\ndate: 2026-11-25\nminutes: 20\nsections:\n  - name: All\n    steps:\n      \
                 - {posture: side-plank, side: left, breaths: 3}\n      \
                 - {posture: side-plank, side: right, breaths: 3}\n";
    let roster =
        format!("recorded: 2026-11-20\nstudents:\n  - {{name: Bo, limitations: [{limitation}]}}\n");
    fs::write(place.join("class.yaml"), class).expect("a file for the test");
    fs::write(place.join("roster.yaml"), roster).expect("a file for the test");
    let with = [
        "class.yaml",
        "--roster",
        "roster.yaml",
        "--library",
        "library",
    ];
    let mut args = vec!["adapt", "--format", "json", "-o", "a.json"];
    args.extend(with);
    let output = kindfold(&args, place);
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    let mut args = vec!["audit", "a.json"];
    args.extend(with);
    let output = kindfold(&args, place);
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "the second reading: {said}");
    let text = fs::read_to_string(place.join("a.json")).expect("it was written");
    serde_json::from_str(&text).expect("it is JSON")
}

/// The hand that bears weight in a side plank is the one it is named by.
#[test]
fn a_rule_about_the_other_side_looks_there() {
    let plan = adapted("{what: stick, side: left}");
    let done = |step: usize| {
        let one = &plan["students"][0]["assignments"][step];
        (
            one["posture"].as_str().unwrap_or_default(),
            one["side"].as_str().unwrap_or_default(),
        )
    };
    assert_eq!(done(0), ("side-plank", "left"));
    assert_ne!(done(1), ("side-plank", "right"));
}

#[test]
fn a_limitation_without_rules_is_asked_about() {
    let plan = adapted("{what: left-handed}");
    let cautions = plan["cautions"].as_array().expect("a list").iter();
    let asked = cautions.filter(|one| one["kind"] == "unrecognised");
    let texts: Vec<&str> = asked.filter_map(|one| one["text"].as_str()).collect();
    assert_eq!(
        texts,
        ["left-handed: ask before class; there are no rules for this yet."]
    );
}
