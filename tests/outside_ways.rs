//! Rows of outside numbers that speak of the graph, of time, or of more than one number of a shape.
//!
//! What is no gate prints a warning (`cargo test outside -- --nocapture`).

use kindfold::body::{Body, Measure, Shape, measure, settle};
use kindfold::library::condition::{Fact, Grade};
use kindfold::library::scene::{Scene, asked};
use kindfold::words::{BodySide, Side, Way};
use serde_yaml::Value;

use crate::outside::{LIBRARY, Sides, bodies, known, number, posture};

fn stands_on_one_leg(id: &str) -> bool {
    number(id, "single_leg", Sides::Whole) > 0.5
}

/// OC-24: Longpré and others 2015, Clin Biomech (basis V, order only): the knee's moment is least in wide squat
/// and upright warrior and greatest in balance on one leg, so no balance is the gentler form of a shape on two feet.
#[test]
fn one_leg_is_not_gentler_than_two() {
    let on_two_feet =
        |id: &str| number(id, "foot_load_pct", Sides::Least) > 3.0 && !stands_on_one_leg(id);
    let found: Vec<String> = LIBRARY
        .alternatives
        .values()
        .flatten()
        .filter(|edge| edge.way == Way::Gentler)
        .filter(|edge| on_two_feet(edge.from.as_str()) && stands_on_one_leg(edge.to.as_str()))
        .map(|edge| format!("{} for {}", edge.to, edge.from))
        .collect();
    assert!(found.is_empty(), "{}", found.join(", "));
}

/// OC-26: YESS 2012, ECAM 971896 (basis V): a form called easier may load the same joints alike. Every gentler
/// way lowers a demand; the check of the library names those that lower none.
#[test]
fn a_gentler_way_lowers_something() {
    let found = LIBRARY.check().lowering_nothing;
    if !found.is_empty() {
        // A smaller circle, an arm lower still: what they ease is no step of any demand.
        eprintln!("warning: OC-26: gentler in name only: {}", found.join(", "));
    }
}

/// OC-38: Soucie and others 2011, Haemophilia 17:500-507 (basis M): knees bend 141.9 (women) and 137.7 (men) on
/// average, so a kneeling shape beyond that has a nearer form with less.
#[test]
fn deep_kneeling_has_a_form_with_less() {
    let bend = |id: &str| number(id, "knee_flexion_deg", Sides::Most);
    let found: Vec<String> = bodies()
        .filter(|(id, ..)| bend(id) > 141.9 && number(id, "knee_load_pct", Sides::Both) > 3.0)
        .filter(|(id, ..)| {
            let ways = LIBRARY.alternatives.get(*id).into_iter().flatten();
            !ways
                .into_iter()
                .any(|edge| bend(edge.to.as_str()) < bend(id) - 5.0)
        })
        .map(|(id, ..)| format!("{id} at {:.0}", bend(id)))
        .collect();
    assert!(found.is_empty(), "{}", found.join(", "));
}

/// OC-54: Springer and others 2007, J Geriatr Phys Ther 30(1):8-15, n = 549 (basis V): standing on one leg falls
/// with age, so every free balance has a wall or a chair beside it.
#[test]
fn one_leg_has_a_wall_or_a_chair() {
    let held = |id: &str| {
        posture(id).is_some_and(|posture| posture.facts.contains(&Fact::Supported))
            || number(id, "hand_load_pct", Sides::Both)
                + number(id, "hand_wall_load_pct", Sides::Both)
                > 0.5
            || number(id, "back_wall_load_pct", Sides::Whole) > 0.5
            || number(id, "foot_wall_load_pct", Sides::Both) > 0.5
    };
    let found: Vec<String> = bodies()
        .filter(|(id, ..)| stands_on_one_leg(id) && !held(id))
        .filter(|(id, ..)| {
            let mut ways = LIBRARY.alternatives.get(*id).into_iter().flatten();
            !ways.any(|edge| matches!(edge.way, Way::Wall | Way::Chair))
        })
        .map(|(id, ..)| id.to_owned())
        .collect();
    assert!(found.is_empty(), "{}", found.join(", "));
}

/// OC-55: Springer and others 2007 (basis M): 26.9 s on one leg in the sixties, so a free balance held for longer
/// than 25 s asks much.
#[test]
fn a_long_balance_asks_much() {
    let balance = LIBRARY.demands.get("balance").expect("a demand of ours");
    let (id, ..) = known("tree");
    let tree = posture(id).expect("it is known");
    let asks = |hold_s| {
        asked(
            balance,
            &Scene::held(tree, Side::Left, hold_s),
            BodySide::Left,
        )
    };
    assert_eq!(asks(20.0), Some(Grade::Some));
    assert_eq!(asks(30.0), Some(Grade::Much));
}

/// OC-05: Dempster, as printed by Winter 2009 (basis V): the whole arm's centre of mass at 0.53 ± 0.03 of the way
/// from shoulder to wrist. Read from the table of segments, not from the code that reads it.
#[test]
fn the_arm_weighs_where_it_should() {
    let file: Value =
        serde_yaml::from_str(include_str!("../data/body/segments.yaml")).expect("YAML");
    let rows = file
        .get("segments")
        .and_then(Value::as_sequence)
        .expect("a list");
    let row = |name: &str| {
        let found = rows
            .iter()
            .find(|row| row.get("name").and_then(Value::as_str) == Some(name));
        let found = found.expect("the arm's rows are there");
        let numbers = |key: &str| -> Vec<f64> {
            let list = found
                .get(key)
                .and_then(Value::as_sequence)
                .expect("numbers");
            list.iter().filter_map(Value::as_f64).collect()
        };
        (
            numbers("mass_pct").iter().sum::<f64>(),
            -numbers("centre")[2],
        )
    };
    // The shoulder's centre lies 0.018 below its hinge; upper arm 0.165 and forearm 0.153 of stature.
    let (hinge, upper_arm, forearm) = (0.018, 0.165, 0.153);
    let (rows, starts) = (
        [row("upper arm"), row("forearm"), row("hand")],
        [-hinge, upper_arm, upper_arm + forearm],
    );
    let mass: f64 = rows.iter().map(|(mass, _)| mass).sum();
    let moment: f64 = rows
        .iter()
        .zip(starts)
        .map(|((mass, at), start)| mass * (at + start))
        .sum();
    let share = moment / mass / (upper_arm + forearm);
    if (share - 0.53).abs() > 0.03 {
        eprintln!("warning: OC-05: the arm's centre of mass at {share:.3} of shoulder to wrist");
    }
    assert!((0.45..0.60).contains(&share), "{share}");
}

/// OC-51: Duncan and others 1990 (basis V): reach rises with height; a margin of support scales with the body.
#[test]
fn the_margin_scales_with_the_body() {
    let (_, shape, ..) = known("mountain");
    let margin = |stature_m| {
        let body = Body::of_stature(stature_m);
        let found = measure(&body, shape, &settle(&body, shape));
        found
            .value(Measure::SupportMargin, None)
            .unwrap_or(f64::NAN)
    };
    let (small, tall) = (margin(1.50), margin(1.90));
    assert!(
        (tall / small - 1.90 / 1.50).abs() < 0.1,
        "{small} and {tall}"
    );
}

/// OC-52: a reach below 15.2 cm goes with falls (a study of 2024 in older adults, PMC10904222, basis V). That is
/// how far a hand can go and no margin of support: standing on two feet has less and asks no balance.
#[test]
fn a_reach_is_no_margin() {
    let (id, .., measures) = known("mountain");
    let margin = measures.value(Measure::SupportMargin, None);
    assert!(margin.is_some_and(|margin| margin < 15.2), "{margin:?}");
    let mountain = posture(id).expect("it is known");
    let balance = LIBRARY.demands.get("balance").expect("a demand of ours");
    let scene = Scene::held(mountain, Side::None, 60.0);
    assert_eq!(asked(balance, &scene, BodySide::Left), None);
}

/// OC-47: Wu and others 2005, J Biomech 38:981-992 (basis V): elbow flexion and pronation are positive. Flexion
/// brings the wrist ahead of a hanging arm's elbow; our turn is 0 with the palm to the thigh, ISB's at full
/// supination, so the palm faces back at ours +90.
#[test]
fn elbow_and_forearm_turn_as_they_are_named() {
    let text = "{joints: {elbow: 60, shoulder: 0}, contacts: {floor: [foot]}, aim: {trunk: up}}";
    let shape = Shape::read(&serde_yaml::from_str(text).expect("YAML")).expect("it reads");
    let settled = settle(Body::standard(), &shape);
    let places = settled.joint_positions(Body::standard());
    for side in ["left", "right"] {
        let forward = |name: &str| {
            places
                .get(&format!("{name}_{side}"))
                .map_or(f64::NAN, |p| p[0])
        };
        assert!(forward("wrist") > forward("elbow") + 0.1, "{side}");
    }
}
