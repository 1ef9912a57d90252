//! The body against its own laws and against what segments, heights and geometry ask.
//!
//! Rows of numbers with sources are read by `outside.rs`. What is no gate prints a warning
//! (`cargo test body -- --nocapture`). Nothing is tuned to a row.

use kindfold::body::{Body, Measure, Settled, Shape, measure, settle};
use kindfold::words::BodySide;

use crate::outside::{bodies, known};

/// OC-01 (gate), OC-04: de Leva 1996, J Biomech 29:1223-1230. Masses add up to the body; one arm 4.49
/// (women) to 4.94 %, one leg 20.88 to 19.86 %. Basis D from V.
#[test]
fn segment_masses_add_up() {
    assert!(
        (Body::unscaled_mass_pct() - 100.0).abs() < 0.05,
        "{}",
        Body::unscaled_mass_pct()
    );
    let share = |names: &[&str]| -> f64 {
        names
            .iter()
            .filter_map(|n| Body::standard().mass_pct(n))
            .sum()
    };
    let (arm, leg) = (
        share(&["upper arm", "forearm", "hand"]),
        share(&["thigh", "shank", "foot"]),
    );
    assert!((arm - (4.49 + 4.94) / 2.0).abs() < 0.1, "arm {arm}");
    assert!((leg - (20.88 + 19.86) / 2.0).abs() < 0.1, "leg {leg}");
}

fn mountain() -> (&'static Shape, &'static Settled) {
    let (_, shape, settled, _) = known("mountain");
    (shape, settled)
}

/// OC-02 (gate): the segments stacked in standing give the stature within 2 %. OC-03: Drillis and Contini
/// 1966 after Winter 2009, fig. 4.1, joint heights within 2 % of stature. Basis V.
#[test]
fn standing_heights_are_those_of_the_handbook() {
    let body = Body::standard();
    let (_, settled) = mountain();
    let places = settled.joint_positions(body);
    let height = |name: &str| places.get(name).map_or(f64::NAN, |p| p[2]) / body.stature_m();
    assert!(
        (height("crown") - 1.0).abs() < 0.02,
        "crown {}",
        height("crown")
    );
    for (name, share) in [
        ("shoulder_left", 0.818),
        ("elbow_left", 0.630),
        ("wrist_left", 0.485),
        ("fingertip_left", 0.377),
        ("hip_left", 0.530),
        ("knee_left", 0.285),
    ] {
        if (height(name) - share).abs() > 0.02 {
            eprintln!(
                "warning: OC-03: {name} at {:.3} of stature, handbook {share}",
                height(name)
            );
        }
    }
}

/// OC-50 (gate): centre of mass standing at 55 to 58 % of stature on one mean body. Basis D from V (de Leva 1996).
#[test]
fn the_centre_of_mass_stands_where_it_should() {
    let body = Body::standard();
    let share = mountain().1.centre_of_mass(body)[2] / body.stature_m() * 100.0;
    assert!(
        (55.0..=58.0).contains(&share),
        "centre of mass at {share:.1} % of stature"
    );
}

/// OC-53: limits of sway, about 8 forward and 4 back (balance-test handbooks, basis M): the body leant about
/// the ankle leaves its base between 6 and 10 degrees forward and 3 and 6 back. A warning only.
#[test]
fn a_leaning_body_leaves_its_base() {
    let body = Body::standard();
    let (_, settled) = mountain();
    let places = settled.joint_positions(body);
    let at = |name: &str| places.get(name).copied().unwrap_or([f64::NAN; 3]);
    let (ankle, toe, heel) = (at("ankle_left"), at("toe_left"), at("heel_left"));
    let centre = settled.centre_of_mass(body);
    let height = centre[2] - ankle[2];
    let lean = |edge: f64| {
        ((edge - ankle[0]) / height).asin().to_degrees()
            - ((centre[0] - ankle[0]) / height).asin().to_degrees()
    };
    let (forward, back) = (lean(toe[0]), -lean(heel[0]));
    assert!(
        forward > 0.0 && back > 0.0,
        "the centre of mass stands between heel and toes"
    );
    if !(6.0..=10.0).contains(&forward) || !(3.0..=6.0).contains(&back) {
        eprintln!(
            "warning: OC-53: leaves its base at {forward:.1} degrees forward (6 to 10), {back:.1} back (3 to 6)"
        );
    }
}

/// OC-15: a straight body leaning on a wall without friction presses r·cot θ of its weight, r = 0.70 (de Leva
/// 1996, basis D). Our wall has friction, so a warning only.
#[test]
fn a_wall_carries_what_the_lean_asks() {
    let (_, _, settled, found) = known("wall-plank-and-press");
    let places = settled.joint_positions(Body::standard());
    let at = |name: &str| places.get(name).copied().unwrap_or([f64::NAN; 3]);
    let (foot, shoulder) = (at("ankle_left"), at("shoulder_left"));
    let slope = ((shoulder[2] - foot[2]) / (shoulder[0] - foot[0])).abs();
    let wanted = 70.0 / slope;
    let value: f64 = [BodySide::Left, BodySide::Right]
        .iter()
        .filter_map(|side| found.value(Measure::HandWallLoad, Some(*side)))
        .sum();
    assert!(value > 0.0, "the hands press the wall");
    if (value - wanted).abs() > 3.0 {
        eprintln!(
            "warning: OC-15: hands press the wall with {value:.1} %, the formula gives {wanted:.1}"
        );
    }
}

/// OC-43: palm flat, forearm leaning by β from the vertical: the wrist is bent back 90 − β. Basis D.
#[test]
fn a_leaning_forearm_spares_the_wrist() {
    let (_, _, settled, found) = known("downward-dog");
    let places = settled.joint_positions(Body::standard());
    let at = |name: &str| places.get(name).copied().unwrap_or([f64::NAN; 3]);
    let (elbow, wrist) = (at("elbow_left"), at("wrist_left"));
    let along = [0, 1, 2].map(|k| elbow[k] - wrist[k]);
    let length = along.iter().map(|x| x * x).sum::<f64>().sqrt();
    let lean = (along[2] / length).acos().to_degrees();
    let bent = found
        .value(Measure::WristExtension, Some(BodySide::Left))
        .unwrap_or(f64::NAN);
    assert!(
        (bent - (90.0 - lean)).abs() < 8.0,
        "wrist {bent:.0}, forearm {lean:.0} from the vertical"
    );
}

/// OC-56 and OC-104 (gates): statics, basis D. Every shape keeps its centre of mass inside its base or names
/// the wall that holds it; the vertical parts of all forces add up to the body.
#[test]
fn every_shape_stands_and_weighs_what_it_weighs() {
    let mut faults = Vec::new();
    for (id, _, settled, found) in bodies() {
        if !settled.accepted() {
            faults.push(format!("{id}: {:?}", settled.reasons));
        }
        // Half a centimetre outside is the imbalance that is accepted; a base of two points is a line.
        if found
            .value(Measure::SupportMargin, None)
            .is_some_and(|margin| margin < -0.5)
        {
            faults.push(format!("{id}: the centre of mass lies outside the base"));
        }
        let weight: f64 = settled.forces_pct.iter().map(|force| force[2]).sum();
        if (weight - 100.0).abs() > 0.5 {
            faults.push(format!("{id}: the contacts carry {weight:.1} %"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Issue 3: every contact within 5 mm of its surface, every touch within 10 mm, nothing more than 5 mm below the
/// floor, no hinge more than a degree past its limit.
#[test]
fn every_shape_keeps_its_contacts_and_limits() {
    let mut faults = Vec::new();
    for (id, _, settled, _) in bodies() {
        let left = &settled.residuals;
        let kept = left.contact_mm.abs() <= 5.0
            && left.touch_mm.abs() <= 10.0
            && left.below_mm.abs() <= 5.0
            && left.limit_deg.abs() <= 1.0
            && left.balance_pct <= 0.5;
        if !kept {
            faults.push(format!("{id}: {left:?}"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// A shape that is the same on both sides has the same numbers on both.
#[test]
fn a_symmetric_shape_has_equal_sides() {
    let mut faults = Vec::new();
    for (id, shape, _, found) in bodies().filter(|(_, shape, ..)| shape.is_symmetric()) {
        for (name, told) in found.iter() {
            let [left, right] =
                [BodySide::Left, BodySide::Right].map(|side| told.reading(Some(side)).value);
            if (left - right).abs() > 0.5 || shape.lead.is_some() {
                faults.push(format!("{id}: {name} is {left} and {right}"));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// OC-49: a mirrored text settles to the mirrored numbers. Basis D; within 1 of every measure.
#[test]
fn a_mirrored_shape_has_mirrored_measures() {
    let body = Body::standard();
    let mut faults = Vec::new();
    for (id, shape, _, found) in bodies().filter(|(_, shape, ..)| shape.lead.is_some()) {
        let mirror = shape.mirrored();
        let theirs = measure(body, &mirror, &settle(body, &mirror)).mirrored();
        for (name, told) in found.iter() {
            for side in [BodySide::Left, BodySide::Right] {
                let other = theirs.value(name, Some(side)).unwrap_or(f64::NAN);
                let ours = told.reading(Some(side)).value;
                if name.as_str() != "load_spread_pct" && (ours - other).abs() > 1.0 {
                    faults.push(format!(
                        "{id}: {name} {side} is {ours} and {other} in the mirror"
                    ));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// A settled body written down and read back is the same, and measures the same.
#[test]
fn a_settled_body_survives_the_file() {
    for (id, shape, settled, found) in bodies().take(60) {
        let text = serde_json::to_string(settled).expect("a settled body is plain data");
        let back: Settled = serde_json::from_str(&text).expect("what was written reads");
        assert_eq!(&back, settled, "{id}");
        assert_eq!(&measure(Body::standard(), shape, &back), found, "{id}");
    }
}
