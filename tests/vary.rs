//! Versions of a whole class: what `rules/blankets.yaml` says, and what `kindfold vary` makes of it.

use std::sync::OnceLock;

use kindfold::library::Library;
use kindfold::library::condition::{Condition, Grade, Quantity};

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| Library::built_in().expect("the built-in library reads"))
}

/// The blankets of the contract, section 5.
const BLANKETS: [&str; 16] = [
    "padded-kneeling",
    "no-kneeling",
    "wrist-free",
    "arms-low",
    "chair",
    "no-floor",
    "stay-down",
    "head-level",
    "not-flat-not-front",
    "open-belly",
    "small-range",
    "neutral-spine",
    "quiet",
    "no-props",
    "household-props",
    "words-only",
];

#[test]
fn every_blanket_of_the_contract_is_in_the_library_and_no_other() {
    let ids: Vec<&str> = library()
        .blankets
        .iter()
        .map(|one| one.id.as_str())
        .collect();
    assert_eq!(ids, BLANKETS);
}

/// Rules section 5: "no angle demand at much". An angle demand is one whose limit of much is an
/// angle of a joint; where the trunk or the legs are in the room is none.
#[test]
fn the_small_range_bars_every_demand_whose_limit_is_an_angle() {
    let is_angle = |quantity: Quantity| {
        let name = quantity.as_str();
        name.ends_with("_deg") && name != "trunk_pitch_deg"
    };
    let of_legs_in_the_room = ["legs-up", "balance"];
    let angles: Vec<&str> = library()
        .demands
        .values()
        .filter(|demand| {
            let much = demand.condition(Grade::Much).comparisons();
            much.iter().any(|(quantity, ..)| is_angle(*quantity))
        })
        .map(|demand| demand.id.as_str())
        .filter(|id| !of_legs_in_the_room.contains(id))
        .collect();
    let blanket = library()
        .blankets
        .iter()
        .find(|one| one.id.as_str() == "small-range")
        .expect("it is there");
    let barred: Vec<&str> = blanket
        .bars
        .iter()
        .filter_map(|bar| match bar {
            Condition::Demand {
                demand,
                grade: Grade::Much,
                ..
            } => Some(demand.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(barred, angles);
    assert!(angles.len() > 10);
}
