//! The table of one average body: hinges, masses, spheres, patches and surfaces of `data/body/`.
//!
//! Read once from the embedded files. Sided rows are written for the left and doubled here; lengths are
//! turned from fractions of stature into metres.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use nalgebra::Vector3;
use serde::Deserialize;

use super::contacts::Group;
use crate::words::BodySide;

/// Hinges on the middle line come first, then the left limbs, then the right ones.
pub(crate) const CENTRAL: usize = 9;
/// Hinges of the limbs of one side.
pub(crate) const PER_SIDE: usize = 15;
/// All hinges.
pub(crate) const HINGES: usize = CENTRAL + 2 * PER_SIDE;

/// One hinge of the body, 0 to 38: middle line, left limbs, right limbs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HingeId(pub(crate) usize);

impl HingeId {
    /// The hinge of the other side; a hinge of the middle line is its own mirror image.
    pub fn mirrored(self) -> Self {
        match self.0 {
            i if i < CENTRAL => self,
            i if i < CENTRAL + PER_SIDE => Self(i + PER_SIDE),
            i => Self(i - PER_SIDE),
        }
    }

    /// The side the hinge is on, none for the middle line.
    pub fn side(self) -> Option<BodySide> {
        match self.0 {
            i if i < CENTRAL => None,
            i if i < CENTRAL + PER_SIDE => Some(BodySide::Left),
            _ => Some(BodySide::Right),
        }
    }
}

/// One sphere of the body's skin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SphereId(pub(crate) usize);

/// A hinge in metres and radians.
#[derive(Clone, Debug)]
pub(crate) struct Hinge {
    /// As in the table, without the side.
    pub(crate) name: String,
    /// The part that carries it: 0 is the pelvis, `i + 1` what moves with hinge `i`.
    pub(crate) on: usize,
    pub(crate) at: Vector3<f64>,
    pub(crate) axis: Vector3<f64>,
    pub(crate) limits: (f64, f64),
    pub(crate) rest: f64,
    pub(crate) slack: f64,
    pub(crate) strength_nm: f64,
    /// Whether the mirrored posture has the opposite value (side bends and turns of the spine).
    pub(crate) flips: bool,
}

/// A share of the body's mass.
#[derive(Clone, Debug)]
pub(crate) struct Mass {
    pub(crate) name: String,
    pub(crate) on: usize,
    /// Fraction of the whole.
    pub(crate) share: f64,
    pub(crate) centre: Vector3<f64>,
}

/// A sphere in metres.
#[derive(Clone, Debug)]
pub(crate) struct Sphere {
    pub(crate) name: String,
    pub(crate) side: Option<BodySide>,
    pub(crate) on: usize,
    pub(crate) centre: Vector3<f64>,
    pub(crate) radius: f64,
}

/// A set of spheres that touch together.
#[derive(Clone, Debug)]
pub(crate) struct Patch {
    pub(crate) spheres: Vec<String>,
    pub(crate) group: Group,
    pub(crate) sided: bool,
}

/// A surface of the room.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SurfaceRow {
    /// Height above the floor; none for a wall.
    pub(crate) height_m: Option<f64>,
    /// For a wall: whether the body stands behind it (the wall faces back) or in front of it.
    pub(crate) faces_forward: bool,
    pub(crate) friction: f64,
}

/// A limb as a rounded bar between two spheres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limb {
    pub(crate) from: SphereId,
    pub(crate) to: SphereId,
    pub(crate) radius: f64,
    pub(crate) side: BodySide,
    pub(crate) kind: LimbKind,
}

/// Which bar of a limb.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum LimbKind {
    UpperArm,
    Forearm,
    Thigh,
    Shank,
}

impl LimbKind {
    pub(crate) fn is_leg(self) -> bool {
        matches!(self, Self::Thigh | Self::Shank)
    }
}

/// Where a sphere belongs when limbs are kept apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Trunk,
    Arm(BodySide),
    Leg(BodySide),
}

/// Spheres by name: of the middle line, the left and the right.
#[derive(Clone, Debug, Default)]
pub(super) struct ByName([BTreeMap<String, SphereId>; 3]);

impl ByName {
    pub(super) fn new(spheres: &[Sphere]) -> Self {
        let mut by_name = Self::default();
        for (i, sphere) in spheres.iter().enumerate() {
            by_name.0[Self::place(sphere.side)].insert(sphere.name.clone(), SphereId(i));
        }
        by_name
    }

    pub(super) fn get(&self, name: &str, side: Option<BodySide>) -> Option<SphereId> {
        self.0[Self::place(side)].get(name).copied()
    }

    fn place(side: Option<BodySide>) -> usize {
        match side {
            None => 0,
            Some(BodySide::Left) => 1,
            Some(BodySide::Right) => 2,
        }
    }
}

/// The table of one body of average build.
#[derive(Clone, Debug)]
pub struct Body {
    pub(crate) stature_m: f64,
    pub(crate) hinges: Vec<Hinge>,
    /// For part `i`: the hinges between it and the pelvis, nearest the pelvis first.
    pub(crate) chains: Vec<Vec<usize>>,
    pub(crate) masses: Vec<Mass>,
    pub(crate) spheres: Vec<Sphere>,
    pub(super) by_name: ByName,
    pub(crate) patches: BTreeMap<String, Patch>,
    pub(crate) surfaces: BTreeMap<String, SurfaceRow>,
    pub(crate) any_height_friction: f64,
    pub(crate) head_friction: f64,
    pub(crate) limbs: Vec<Limb>,
    pub(crate) kept_apart: Vec<(SphereId, Part)>,
    pub(crate) rests_on_leg: Vec<SphereId>,
}

/// Stature of the standard body, metres (our choice: between the women's and men's means of most places).
const STATURE_M: f64 = 1.68;

static STANDARD: LazyLock<Body> = LazyLock::new(|| Body::of_stature(STATURE_M));

/// The text of the body's table, for a key that changes when the table does.
pub const TABLE_TEXT: [&str; 4] = [
    include_str!("../../data/body/hinges.yaml"),
    include_str!("../../data/body/segments.yaml"),
    include_str!("../../data/body/spheres.yaml"),
    include_str!("../../data/body/contacts.yaml"),
];

impl Body {
    /// The body that the library is measured on: 1.68 m.
    pub fn standard() -> &'static Body {
        &STANDARD
    }

    /// Stature in metres.
    pub fn stature_m(&self) -> f64 {
        self.stature_m
    }

    /// Every hinge with its name: `lumbar.flex`, `hip.flex_left` …
    pub fn hinge_names(&self) -> impl Iterator<Item = (HingeId, String)> + '_ {
        (0..self.hinges.len()).map(|i| (HingeId(i), self.hinge_name(HingeId(i))))
    }

    /// The name of one hinge, its side after an underscore.
    pub fn hinge_name(&self, hinge: HingeId) -> String {
        sided_name(&self.hinges[hinge.0].name, hinge.side())
    }

    /// The hinge of a name and side.
    pub fn hinge(&self, name: &str, side: Option<BodySide>) -> Option<HingeId> {
        let range = match side {
            None => 0..CENTRAL,
            Some(BodySide::Left) => CENTRAL..CENTRAL + PER_SIDE,
            Some(BodySide::Right) => CENTRAL + PER_SIDE..HINGES,
        };
        range.map(HingeId).find(|h| self.hinges[h.0].name == name)
    }

    /// The name of one sphere, its side after an underscore.
    pub fn sphere_name(&self, sphere: SphereId) -> String {
        let row = &self.spheres[sphere.0];
        sided_name(&row.name, row.side)
    }

    /// The sphere of a name and side.
    pub fn sphere(&self, name: &str, side: Option<BodySide>) -> Option<SphereId> {
        self.by_name.get(name, side)
    }

    /// A sphere that the table is known to have.
    pub(crate) fn known_sphere(&self, name: &str, side: Option<BodySide>) -> SphereId {
        self.sphere(name, side)
            .expect("the embedded table has the spheres that the code names")
    }

    /// The same sphere on the other side; a sphere of the middle line is its own mirror image.
    pub(crate) fn mirrored_sphere(&self, sphere: SphereId) -> SphereId {
        let row = &self.spheres[sphere.0];
        self.known_sphere(&row.name, row.side.map(BodySide::other))
    }

    /// Mass of one part (of one side) in % of the body, by its name in the table.
    pub fn mass_pct(&self, name: &str) -> Option<f64> {
        self.masses
            .iter()
            .find(|mass| mass.name == name)
            .map(|mass| mass.share * 100.0)
    }
}

fn sided_name(name: &str, side: Option<BodySide>) -> String {
    match side {
        None => name.to_owned(),
        Some(side) => format!("{name}_{side}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_stands_once_per_side_and_the_masses_add_up() {
        let body = Body::standard();
        assert_eq!(body.hinges.len(), 39);
        assert_eq!(body.spheres.len(), 14 + 2 * 30);
        let total: f64 = body.masses.iter().map(|m| m.share).sum();
        assert!((total - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_hinge_and_its_mirror_image_are_each_others() {
        for (hinge, name) in Body::standard().hinge_names() {
            assert_eq!(hinge.mirrored().mirrored(), hinge, "{name}");
            assert_eq!(
                hinge.mirrored().side(),
                hinge.side().map(BodySide::other),
                "{name}"
            );
        }
    }
}
