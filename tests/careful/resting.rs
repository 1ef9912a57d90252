//! Issue 4, "Every limitation": who only rests today, and ways that need what is not there.

use super::*;

fn class_a_for(person: &str, props: &str) -> Adapted {
    let roster = format!("recorded: 2026-05-12\nstudents:\n  - {{name: Wren, {person}}}\n");
    planned(
        &file("tuesday-wind-down", "class.yaml"),
        &roster,
        Some(props),
    )
}

fn lies(id: &PostureId) -> bool {
    library()
        .postures
        .get(id)
        .is_some_and(|posture| posture.level == Level::Supine || posture.level == Level::SideLying)
}

/// A fever: nothing but rest, on the back or the side and not upright for 75 minutes; with the class at its end.
#[test]
fn who_only_rests_lies_down_and_takes_the_final_rest_with_the_class() {
    let fever = "today: [{what: cold-or-fever, severity: acute}]";
    let stock = file("tuesday-wind-down", "props.yaml");
    let adapted = class_a_for(fever, &stock);
    let wren = who(&adapted, "Wren");
    for (step, given) in wren.done() {
        assert!(given.sit_out, "line {}", step.line);
        assert!(
            lies(&given.posture),
            "line {}: {}",
            step.line,
            given.posture
        );
    }
    reads(
        &read(&adapted),
        &["rest only until their doctor or midwife has said"],
    );
    // Without a prop the rest at the end is the class's own.
    let bare = class_a_for(fever, "block: 4\n");
    let rest = who(&bare, "Wren").at(28);
    let taken: Vec<&str> = rest
        .iter()
        .map(|(_, given)| given.posture.as_str())
        .collect();
    assert_eq!(taken, ["final-rest"]);
}

/// Who needs a chair to get down or up does neither where there is none, in the room or at home.
#[test]
fn a_way_by_a_chair_is_only_taken_where_a_chair_is() {
    let needs = "limitations: [{what: no-getting-down, kind: with-a-chair}]";
    let floor = |person: &str, props: &str| {
        let adapted = class_a_for(person, props);
        let wren = who(&adapted, "Wren");
        let on_floor = |(_, given): (&Step, &Assignment)| {
            let shape = library().postures.get(&given.posture);
            shape.is_some_and(|shape| shape.level.is_floor())
        };
        wren.done().any(on_floor)
    };
    assert!(floor(needs, "chair: 2\n"));
    assert!(!floor(
        needs,
        "block: 4\nblanket: 4\nbolster: 4\nstrap: 4\nwall: 4\n"
    ));
    let at_home = |has: &str| format!("{needs}, where: video, has: {has}");
    assert!(floor(&at_home("{chair: 1}"), "chair: 2\n"));
    assert!(!floor(&at_home("{blanket: 2}"), "chair: 2\n"));
}
