//! Sides: what a shape asks falls on the limb that a teacher would name.
//!
//! Expected sides come from the catalogue's words for what names the side and from the shape itself:
//! common practice, no source.

use std::collections::BTreeMap;

use kindfold::body::Body;
use kindfold::words::{BodySide, DemandId, Side};
use rstest::rstest;

use crate::outside::{LIBRARY, known};

/// One-legged shapes, twists and side bends: with the lead on the right the demand is asked of that side
/// of the body and not of the other; with it on the left it is the other way round.
#[rstest]
// Standing. Front leg, or the direction of the bend, on the right.
#[case("standing-side-bend", "arms-overhead", BodySide::Left)]
#[case("warrior-i", "deep-knee-bend", BodySide::Right)]
#[case("warrior-i", "hip-front-stretch", BodySide::Left)]
#[case("warrior-ii", "deep-knee-bend", BodySide::Right)]
#[case("warrior-ii", "leg-turned-out", BodySide::Right)]
#[case("reverse-warrior", "deep-knee-bend", BodySide::Right)]
#[case("reverse-warrior", "arms-overhead", BodySide::Right)]
#[case("extended-side-angle", "deep-knee-bend", BodySide::Right)]
#[case("extended-side-angle", "arms-overhead", BodySide::Left)]
#[case("triangle", "leg-turned-out", BodySide::Right)]
#[case("revolved-triangle", "straight-leg-stretch", BodySide::Right)]
#[case("revolved-triangle", "hip-crossing", BodySide::Right)]
#[case("pyramid", "straight-leg-stretch", BodySide::Right)]
#[case("pyramid", "ankle-bent", BodySide::Left)]
#[case("high-lunge", "deep-knee-bend", BodySide::Right)]
#[case("high-lunge", "toes-bent", BodySide::Left)]
#[case("high-lunge", "hip-front-stretch", BodySide::Left)]
#[case("humble-warrior", "deep-knee-bend", BodySide::Right)]
#[case("wall-calf-stretch", "ankle-bent", BodySide::Right)]
#[case("wall-calf-stretch", "hip-front-stretch", BodySide::Right)]
// Seated. The straight leg, the bend or the turn on the right.
#[case("head-to-knee-fold", "straight-leg-stretch", BodySide::Right)]
#[case("head-to-knee-fold", "deep-knee-bend", BodySide::Left)]
#[case("head-to-knee-fold", "leg-turned-out", BodySide::Left)]
#[case("seated-side-bend", "arms-overhead", BodySide::Left)]
#[case("seated-side-bend-legs-long", "arms-overhead", BodySide::Left)]
#[case("half-lord-of-the-fishes", "deep-knee-bend", BodySide::Right)]
#[case("half-lord-of-the-fishes", "hip-crossing", BodySide::Right)]
#[case("half-lord-open-twist", "deep-hip-bend", BodySide::Left)]
#[case("sage-twist", "deep-knee-bend", BodySide::Right)]
#[case("sage-twist", "deep-hip-bend", BodySide::Right)]
#[case("bharadvajas-twist", "leg-turned-out", BodySide::Right)]
#[case("cow-face", "arms-overhead", BodySide::Right)]
#[case("pigeon", "deep-knee-bend", BodySide::Right)]
#[case("pigeon", "leg-turned-out", BodySide::Right)]
#[case("pigeon", "hip-front-stretch", BodySide::Left)]
// On the back. The bent, lifted or crossed leg, or the way the knees fall, on the right.
#[case("one-knee-to-chest", "deep-knee-bend", BodySide::Right)]
#[case("one-knee-to-chest", "deep-hip-bend", BodySide::Right)]
#[case(
    "supine-leg-stretch-with-strap",
    "straight-leg-stretch",
    BodySide::Right
)]
#[case("reclined-figure-four", "leg-turned-out", BodySide::Right)]
#[case("half-happy-baby", "deep-hip-bend", BodySide::Right)]
#[case("supine-twist", "hip-crossing", BodySide::Left)]
#[case("reclined-cobbler-one-leg", "leg-turned-out", BodySide::Right)]
// On the chair.
#[case("chair-figure-four", "leg-turned-out", BodySide::Right)]
#[case("chair-leg-lift", "straight-leg-stretch", BodySide::Right)]
#[case("chair-side-bend", "arms-overhead", BodySide::Left)]
#[case("chair-side-bend-heels-forward", "arms-overhead", BodySide::Left)]
#[case("chair-side-angle", "arms-overhead", BodySide::Left)]
#[case("chair-reverse-warrior", "arms-overhead", BodySide::Right)]
#[case("chair-hug-one-knee", "deep-hip-bend", BodySide::Right)]
#[case("seated-triangle", "arms-overhead", BodySide::Left)]
fn a_demand_falls_on_its_limb(#[case] id: &str, #[case] demand: &str, #[case] on: BodySide) {
    let posture = LIBRARY.find(id).expect("the library has it");
    let demand = DemandId::from(demand);
    let asks = |lead, on| posture.asks(&demand, lead, on).is_some();
    let other = |side| match side {
        BodySide::Left => BodySide::Right,
        BodySide::Right => BodySide::Left,
    };
    assert!(asks(Side::Right, on), "{id}, right: {demand} on {on:?}");
    assert!(!asks(Side::Right, other(on)), "{id}, right: the other side");
    assert!(asks(Side::Left, other(on)), "{id}, left: mirrored");
    assert!(!asks(Side::Left, on), "{id}, left: the other side");
}

/// A shape named by the direction of its turn or bend turns or bends that way: the lead side is written
/// as the left, and a hinge is positive to the left. The supine twist is named by the knees: its chest
/// turns the other way.
#[rstest]
#[case("easy-twist", "turn", 1.0)]
#[case("easy-twist-at-wall", "turn", 1.0)]
#[case("seated-twist-legs-long", "turn", 1.0)]
#[case("half-lord-of-the-fishes", "turn", 1.0)]
#[case("half-lord-open-twist", "turn", 1.0)]
#[case("half-lord-at-wall", "turn", 1.0)]
#[case("sage-twist", "turn", 1.0)]
#[case("bharadvajas-twist", "turn", 1.0)]
#[case("chair-twist", "turn", 1.0)]
#[case("chair-twist-hands-to-wall", "turn", 1.0)]
#[case("chair-side-saddle-twist", "turn", 1.0)]
#[case("supine-twist", "turn", -1.0)]
#[case("standing-side-bend", "side", 1.0)]
#[case("seated-side-bend", "side", 1.0)]
#[case("seated-side-bend-at-wall", "side", 1.0)]
#[case("seated-side-bend-legs-long", "side", 1.0)]
#[case("chair-side-bend", "side", 1.0)]
#[case("side-curve-on-back", "side", 1.0)]
fn a_twist_turns_and_a_bend_leans_the_way_it_is_named(
    #[case] id: &str,
    #[case] motion: &str,
    #[case] way: f64,
) {
    let (_, shape, settled, _) = known(id);
    assert!(shape.lead.is_some(), "{id} is two-sided");
    let hinges: BTreeMap<String, f64> = settled.hinge_angles(Body::standard());
    let sum: f64 = ["lumbar", "thorax"]
        .iter()
        .filter_map(|part| hinges.get(&format!("{part}.{motion}")))
        .sum();
    assert!(sum * way > 8.0, "{id}: {motion} {sum:.1}");
}
