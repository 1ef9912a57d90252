//! Geometry that teachers say aloud, read off the settled joints: common practice, no source.
//!
//! Distances are along the mat or across it for a body of 1.68 m; the room given (a few centimetres) is our choice.

use kindfold::body::{Body, Settled};
use kindfold::words::Level;
use rstest::rstest;

use crate::outside::{bodies, known, posture};

fn place(settled: &Settled, joint: &str) -> [f64; 3] {
    let places = settled.joint_positions(Body::standard());
    *places
        .get(joint)
        .expect("the test names a joint of the contract")
}

/// How far one joint lies from the plumb line through another, centimetres.
fn off_plumb_cm(settled: &Settled, above: &str, below: &str) -> f64 {
    let (a, b) = (place(settled, above), place(settled, below));
    (a[0] - b[0]).hypot(a[1] - b[1]) * 100.0
}

/// Hands and knees: shoulders over wrists and hips over knees.
#[rstest]
fn tabletop_stands_square(
    #[values("tabletop", "tabletop-knees-padded", "tabletop-toes-tucked")] id: &str,
    #[values("left", "right")] side: &str,
) {
    let (_, _, settled, _) = known(id);
    for (above, below) in [("shoulder", "wrist"), ("hip", "knee")] {
        let off = off_plumb_cm(
            settled,
            &format!("{above}_{side}"),
            &format!("{below}_{side}"),
        );
        assert!(
            off <= 6.0,
            "{id}: the {side} {above} is {off:.1} cm off its {below}"
        );
    }
}

/// Plank: shoulders over wrists.
#[test]
fn shoulders_stand_over_wrists_in_plank() {
    let (id, _, settled, _) = known("plank");
    let off = off_plumb_cm(settled, "shoulder_left", "wrist_left");
    assert!(off <= 8.0, "{id}: {off:.1} cm");
}

/// The lunges: the front shin upright, its knee over its ankle along the mat and across it.
#[rstest]
fn the_front_knee_stands_over_its_ankle(
    #[values(
        "warrior-i",
        "warrior-ii",
        "reverse-warrior",
        "extended-side-angle",
        "high-lunge",
        "low-lunge",
        "humble-warrior"
    )]
    id: &str,
) {
    let (_, _, settled, _) = known(id);
    let off = off_plumb_cm(settled, "knee_left", "ankle_left");
    assert!(
        off <= 7.0,
        "{id}: the front knee is {off:.1} cm off its ankle"
    );
}

/// No front knee of a lunge's variations falls far ahead of its toes or behind its heel.
#[test]
fn no_lunge_lets_its_knee_travel() {
    let mut faults = Vec::new();
    for (id, shape, settled, _) in bodies() {
        let lunge = [
            "warrior-i",
            "warrior-ii",
            "high-lunge",
            "low-lunge",
            "extended-side-angle",
        ]
        .iter()
        .any(|base| {
            id == *base
                || id
                    .strip_prefix(base)
                    .is_some_and(|rest| rest.starts_with('-'))
        }) && !id.starts_with("warrior-iii");
        if !lunge || shape.lead.is_none() {
            continue;
        }
        let off = off_plumb_cm(settled, "knee_left", "ankle_left");
        if off > 12.0 {
            faults.push(format!("{id}: {off:.1} cm"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Warrior II: both arms level, from wrist to wrist in one line.
#[test]
fn the_arms_of_warrior_ii_are_level() {
    let (_, _, settled, _) = known("warrior-ii");
    for side in ["left", "right"] {
        let (shoulder, wrist) = (
            place(settled, &format!("shoulder_{side}")),
            place(settled, &format!("wrist_{side}")),
        );
        let run = (shoulder[0] - wrist[0]).hypot(shoulder[1] - wrist[1]);
        let slope = ((wrist[2] - shoulder[2]) / run).atan().to_degrees();
        assert!(
            slope.abs() <= 6.0,
            "the {side} arm slopes by {slope:.1} degrees"
        );
    }
}

/// Twists on the floor or on a chair: both sitting bones are down and carry. Bharadvāja's twist sits to one
/// side by its nature, and the belly twist lies on one hip over a bolster.
#[test]
fn both_sitting_bones_stay_down_in_seated_twists() {
    let sits = |id: &str| {
        posture(id).is_some_and(|posture| matches!(posture.level, Level::Seated | Level::Chair))
    };
    let twists = |id: &str| {
        let named = ["twist", "half-lord"].iter().any(|word| id.contains(word));
        named && !id.starts_with("bharadvajas") && !id.contains("belly") && sits(id)
    };
    let mut faults = Vec::new();
    let mut seen = 0;
    for (id, shape, settled, _) in bodies().filter(|(id, ..)| twists(id)) {
        seen += 1;
        let seats: Vec<(String, f64)> = settled
            .contacts(Body::standard(), shape)
            .into_iter()
            .filter(|contact| contact.point.starts_with("seat_"))
            .map(|contact| (contact.point, contact.load_pct))
            .collect();
        let both = ["seat_left", "seat_right"].iter().all(|side| {
            seats
                .iter()
                .any(|(point, load)| point == side && *load >= 5.0)
        });
        if !both {
            faults.push(format!("{id}: {seats:?}"));
        }
    }
    assert!(seen >= 20, "the library has {seen} twists");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
