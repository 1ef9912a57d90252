//! Warnings: only where the plan earns them, and few.

use super::*;

/// The lines about a person that come from a rule: kept from, watched, ask first.
fn warnings(adapted: &Adapted, name: &str) -> usize {
    let person = who(adapted, name);
    let theirs = adapted.cautions.iter();
    let theirs = theirs.filter(|one| one.student.as_ref() == Some(&person.plan.id));
    theirs
        .filter(|one| matches!(one.kind, CautionKind::Watch | CautionKind::AskFirst))
        .count()
}

/// Rules, section 0: one line a person and matter, and more than six lead the sheet with a sentence of their
/// own. Nobody who told nothing, or of whom nothing is known, is warned about.
#[test]
fn warnings_are_few_and_nobody_without_a_rule_has_one() {
    for (name, adapted) in [
        ("Class A", class_a()),
        ("Class B", class_b()),
        ("Class C", class_c()),
    ] {
        let mut all = 0;
        for student in &adapted.students {
            let number = warnings(adapted, &student.name);
            eprintln!("warnings: {name}: {} {number}", student.name);
            all += number;
            assert!(number <= 6, "{}: {number}", student.name);
            let told = student.state == State::Told;
            assert!(told || number == 0, "{}: {number}", student.name);
        }
        let people = adapted.students.len();
        eprintln!("warnings: {name}: {all} for {people}");
        assert!(all <= people, "{name}: {all} for {people} people");
    }
}

/// Class B without its tree: no knee is bent past a right angle in it.
fn class_b_with_a_knee(tree: bool) -> Adapted {
    let class = file("ten-past-one", "class.yaml");
    let class: String = class
        .lines()
        .filter(|line| tree || !line.contains("Tree, hand on a chair back"))
        .map(|line| format!("{line}\n"))
        .collect();
    let roster = "students:\n  - {name: Odalys, recorded: 2026-05-01, limitations: [{what: knee, side: left}]}\n";
    planned(&class, roster, Some(&file("ten-past-one", "props.yaml")))
}

#[test]
fn a_knee_that_is_never_bent_past_its_limit_has_no_caution() {
    let adapted = class_b_with_a_knee(false);
    assert_eq!(who(&adapted, "Odalys").cautions(), "");
    // The tree folds it: there the same words are earned.
    let adapted = class_b_with_a_knee(true);
    assert!(who(&adapted, "Odalys").cautions().contains("knee"));
}

/// What kind it is, and which part, is asked where rules tell them apart and neither was told.
#[test]
fn what_kind_and_which_part_are_asked_where_it_matters() {
    let asked = |told: &str| {
        let roster =
            format!("recorded: 2026-05-12\nstudents:\n  - {{name: Wren, limitations: [{told}]}}\n");
        let adapted = planned(&file("tuesday-wind-down", "class.yaml"), &roster, None);
        let cautions = who(&adapted, "Wren").cautions();
        ["of what kind?", "which part is it?"].map(|words| cautions.contains(words))
    };
    assert_eq!(asked("{what: device}"), [true, true]);
    assert_eq!(
        asked("{what: device, kind: pacemaker, site: chest}"),
        [false, false]
    );
    assert_eq!(asked("{what: arthritis}"), [false, true]);
    assert_eq!(asked("{what: arthritis, site: knee}"), [false, false]);
    assert_eq!(asked("{what: migraine}"), [false, false]);
}
