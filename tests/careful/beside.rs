//! What stands beside a step and on a card, as somebody in a hurry reads it.

use super::*;

/// The leg in question is often the other one: a turn is named by what leads, on the card and beside the step.
#[test]
fn a_turn_is_named_by_what_leads() {
    let card = sheet(
        "tuesday-wind-down",
        &["--sheet", "cards", "--student", "Kwame"],
    );
    reads(
        &card,
        &[
            "Tree: left leg standing: toes down",
            "right leg in front: half as deep",
            "turning right: on the chair",
            "left leg straight: both legs long",
        ],
    );
    reads(
        &read(class_a()),
        &[
            "bending right, for the left: arm only",
            "knees to the right: feet wide",
        ],
    );
}

/// An arm whose hand is on the floor or the wall is not held at shoulder height.
#[test]
fn an_arm_whose_hand_is_down_rests() {
    let carlos = who(class_a(), "Carlos");
    let said = |line: usize| {
        let steps = class_a().steps.iter().filter(|step| step.line == line);
        let given = steps.map(|step| &carlos.plan.assignments[step.index - 1]);
        let findings = given.flat_map(|given| &given.verdicts);
        findings
            .filter_map(|finding| finding.easing.clone())
            .collect::<Vec<_>>()
    };
    assert!(said(6).contains(&"arm only to shoulder height".to_owned()));
    for line in [19, 23] {
        assert_eq!(said(line), ["this arm by your side"], "step {line}");
    }
}

/// Whoever comes late has a word at the first step that they are there for.
#[test]
fn who_comes_late_has_a_word_at_their_first_step() {
    let text = read(class_a());
    let bridge = between(&text, "19:21 3 Bridge", "19:23 4");
    reads(bridge, &["quiet at the door: arms up, knee bends Ol"]);
    assert_eq!(text.matches("at the door: arms up").count(), 1);
    // Ten minutes in, the other side of the leg stretch is the first to begin.
    let later = planned(
        &file("tuesday-wind-down", "class.yaml"),
        "recorded: 2026-05-12\nstudents:\n  - {name: Ada, limitations: [], late: 10}\n",
        None,
    );
    let text = read(&later);
    reads(
        between(&text, "19:23 4", "To seated"),
        &["quiet at the door: arms up, knee bends Ad"],
    );
}

/// A long stretch is one without a break: people come up between two standing shapes on sides, and turn over before
/// the other side of what they lie on.
#[test]
fn a_long_stretch_ends_where_people_come_up_or_turn_over() {
    let long = |adapted: &Adapted, what: &str| {
        let mut advice = adapted.advice.iter();
        advice.any(|one| one.kind == AdviceKind::LongBout && one.text.contains(what))
    };
    assert!(!long(class_a(), "weight on the hands"));
    assert!(!long(class_a(), "head lower than the heart"));
    assert!(long(class_c(), "lying on the front lasts 6 min"));
    // Supported child's pose kneels on a blanket, six minutes; five are usual where all of it is padded.
    assert!(long(class_c(), "kneeling lasts 6 min"));
    let dogs = "title: Dogs\ndate: 2026-05-12\nminutes: 10\nsections:\n  - name: All\n    steps:\n      \
                - {posture: downward dog, minutes: 2}\n";
    let dogs = planned(
        dogs,
        "recorded: 2026-05-12\nstudents:\n  - {name: Ada, limitations: []}\n",
        None,
    );
    assert!(long(
        &dogs,
        "weight on the hands lasts 2 min without a break"
    ));
}

/// Whoever is kept from a long stay alone is not said to be kept from the short one that they are given.
#[test]
fn kept_from_a_long_stay_says_so() {
    let aoife = who(class_a(), "Aoife").cautions();
    reads(&aoife, &["flat on the back for long"]);
    let leilani = who(class_a(), "Leilani").cautions();
    reads(&leilani, &["kept from balance,"]);
}

/// A side is no part of the name of what happened.
#[test]
fn the_weak_side_of_a_stroke_is_told_as_one() {
    reads(&read(class_b()), &["Stroke, left side weak, “carer wrote"]);
    reads(&read(class_a()), &["Vertigo, left ear, “crystals"]);
}
