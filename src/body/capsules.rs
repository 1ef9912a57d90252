//! Limbs as rounded bars: how near a sphere comes to one.

use nalgebra::Vector3;

use super::skeleton::Skeleton;
use super::table::{Limb, LimbKind, Part, SphereId};

/// A sphere against a limb.
pub(crate) struct Nearness {
    /// Gap between the surfaces, metres; negative when they overlap.
    pub(crate) gap: f64,
    /// Unit vector from the limb to the sphere.
    pub(crate) away: Vector3<f64>,
    /// Nearest place on the limb's axis, as a share of the way from its start.
    pub(crate) share: f64,
}

/// How near a sphere comes to a limb.
pub(crate) fn nearness(skeleton: &Skeleton, sphere: SphereId, limb: &Limb) -> Nearness {
    let centre = skeleton.sphere(sphere);
    let (from, to) = (skeleton.sphere(limb.from), skeleton.sphere(limb.to));
    let along = to - from;
    let share = ((centre - from).dot(&along) / along.norm_squared().max(1e-12)).clamp(0.0, 1.0);
    let apart = centre - (from + along * share);
    let distance = apart.norm().max(1e-9);
    let gap = distance - skeleton.body.spheres[sphere.0].radius - limb.radius;
    Nearness {
        gap,
        away: apart / distance,
        share,
    }
}

/// Whether a sphere of this part must keep out of a limb: the trunk out of forearms, thighs and shanks (not
/// of the upper arm that hangs beside it), arms out of the other arm and of legs, a leg out of the other leg.
pub(crate) fn must_keep_out(part: Part, limb: &Limb) -> bool {
    match part {
        Part::Trunk => limb.kind != LimbKind::UpperArm,
        Part::Arm(side) => limb.kind.is_leg() || side != limb.side,
        Part::Leg(side) => limb.kind.is_leg() && side != limb.side,
    }
}
