//! Whether a shape is where its level says: what carries it is held against the word.
//!
//! A level decides who is led where: “chair” keeps people off the floor, so a tabletop must not carry
//! that word. Which patches carry a level: plain words of the trade, no source.

use crate::body::{Body, Measure, SettledContact};
use crate::library::posture::{Posture, PostureBody};
use crate::words::Level;

/// A patch carries from this share of body weight on.
const CARRIES_PCT: f64 = 1.0;
/// A seat below this height is on the floor, a lowest squat's included; a chair's is above.
const NEAR_FLOOR_M: f64 = 0.29;
/// The line from hips to neck lies face up from here on (0 is upright, -90 level).
const FACE_UP_DEG: f64 = -45.0;

const FEET: &[&str] = &["foot", "ball", "heel", "foot-edge", "toes"];
const FOOT_TOPS: &[&str] = &["foot-top"];
const ARMS: &[&str] = &["hand", "fist", "fingers", "wrist", "forearm", "elbow"];
const ABOVE_THE_ARMS: &[&str] = &["shoulder", "chest", "head", "crown"];
const KNEES: &[&str] = &["knee", "shin", "foot-top"];
const SEAT: &[&str] = &["seat", "upper-thigh"];
const BACK: &[&str] = &["blade", "sacrum", "shoulder"];
const FRONT: &[&str] = &["belly", "front-hip", "chest", "thigh"];
const SIDE: &[&str] = &["side-hip", "flank", "shoulder"];

/// What is missing, or is there and must not be, for a posture to be at its level; none where it fits. A movement is
/// looked at by its ends.
pub(super) fn differs(posture: &Posture) -> Option<&'static str> {
    let PostureBody::Shape { shape, settled, .. } = &posture.body else {
        return None;
    };
    let contacts = settled.contacts(Body::standard(), shape);
    let carrying: Vec<&SettledContact> = contacts
        .iter()
        .filter(|contact| !contact.light && contact.load_pct >= CARRIES_PCT)
        .collect();
    let patch = |contact: &SettledContact, of: &[&[&str]]| {
        let name = contact.point.split('_').next().unwrap_or_default();
        of.iter().any(|patches| patches.contains(&name))
    };
    let on_wall = |contact: &SettledContact| contact.surface.starts_with("wall");
    let low = |contact: &SettledContact| {
        let [.., height] = contact.position;
        height < NEAR_FLOOR_M && !on_wall(contact)
    };
    let near_floor = |of: &[&[&str]]| carrying.iter().any(|one| low(one) && patch(one, of));
    let more_than_feet = || {
        let limbs = [FEET, FOOT_TOPS, ARMS];
        carrying.iter().any(|one| low(one) && !patch(one, &limbs))
    };
    let face_up = || {
        let pitch = posture.measures.value(Measure::TrunkPitch, None);
        pitch.is_some_and(|pitch| pitch <= FACE_UP_DEG)
    };
    let on_feet = carrying
        .iter()
        .any(|one| !on_wall(one) && patch(one, &[FEET]));
    let on_seat = carrying
        .iter()
        .any(|one| !low(one) && !on_wall(one) && patch(one, &[SEAT]));
    let level = posture.level;
    let (holds, lacks) = match level {
        Level::Standing | Level::Wall => (on_feet, "the feet carry nothing"),
        Level::Chair => (on_seat, "no seat off the floor carries"),
        Level::Kneeling => (near_floor(&[KNEES]), "neither knees nor shins carry"),
        Level::HandsAndKnees => (
            near_floor(&[ARMS, ABOVE_THE_ARMS]),
            "the arms carry nothing",
        ),
        Level::Seated => (near_floor(&[SEAT, SIDE]), "no seat near the floor carries"),
        Level::Prone => (near_floor(&[FRONT]), "the front carries nothing"),
        Level::Supine => (
            near_floor(&[BACK]) || face_up(),
            "the back carries nothing, nor does the body face up",
        ),
        Level::SideLying => (near_floor(&[SIDE]), "no side carries"),
    };
    match holds {
        false => Some(lacks),
        true if !level.is_floor() && more_than_feet() => {
            Some("more than feet and hands carries near the floor")
        }
        true => None,
    }
}
