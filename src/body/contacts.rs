//! Contacts as points: each sphere of a placed patch, the surface under it, and its group of loads.

use nalgebra::Vector3;
use serde::Deserialize;

use super::shape::{Contact, Shape, Surface};
use super::skeleton::{Moves, Skeleton};
use super::table::{Body, SphereId};
use crate::words::BodySide;

/// What the load of a patch counts as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Group {
    /// Sole, ball, top or edge of the foot.
    Foot,
    /// Knee and shin, front down.
    Knee,
    /// Thigh and calf.
    Leg,
    /// Sitting bones, upper thighs, sacrum, side of the hip.
    Seat,
    /// Palm, fingers, fist.
    Hand,
    /// Elbow, forearm, wrist.
    Forearm,
    /// Shoulder and upper arm.
    Shoulder,
    /// Shoulder blades and flanks.
    Back,
    /// Belly, chest, front of the hips.
    Belly,
    /// Head, face, chin, crown.
    Head,
    /// Nape.
    Neck,
}

/// The plane that a contact rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Plane {
    /// Level, at this height.
    Level(f64),
    /// Upright at x = 0; the body is behind it (x < 0).
    WallAhead,
    /// Upright at x = 0; the body is in front of it (x > 0).
    WallBehind,
}

impl Plane {
    /// The way the surface pushes.
    pub(crate) fn normal(self) -> Vector3<f64> {
        match self {
            Plane::Level(_) => Vector3::z(),
            Plane::WallAhead => -Vector3::x(),
            Plane::WallBehind => Vector3::x(),
        }
    }

    /// Gap between the plane and a sphere, metres; negative when the sphere is inside.
    pub(crate) fn gap(self, centre: &Vector3<f64>, radius: f64) -> f64 {
        let height = match self {
            Plane::Level(height) => height,
            Plane::WallAhead | Plane::WallBehind => 0.0,
        };
        self.normal().dot(centre) - height - radius
    }

    pub(crate) fn is_wall(self) -> bool {
        !matches!(self, Plane::Level(_))
    }
}

/// One sphere of a placed patch.
#[derive(Clone, Debug)]
pub struct ContactPoint {
    pub(crate) sphere: SphereId,
    pub(crate) plane: Plane,
    pub(crate) friction: f64,
    pub(crate) group: Group,
    /// Side of the patch, none on the middle line.
    pub(crate) side: Option<BodySide>,
    pub(crate) light: bool,
    /// Which entry of [`Shape::contacts`] it belongs to.
    pub(crate) contact: usize,
}

impl ContactPoint {
    /// Whether it makes part of the base that the body balances on.
    pub(crate) fn bears(&self) -> bool {
        !self.light && !self.plane.is_wall()
    }

    /// Where it touches: the underside of its sphere.
    pub(crate) fn place(&self, skeleton: &Skeleton) -> Vector3<f64> {
        skeleton.sphere(self.sphere)
            - self.plane.normal() * skeleton.body.spheres[self.sphere.0].radius
    }

    /// How the body's material at the place of touch moves (not the sphere's centre).
    pub(crate) fn moves(&self, skeleton: &Skeleton) -> Moves {
        skeleton.moves(
            skeleton.body.spheres[self.sphere.0].on,
            &self.place(skeleton),
        )
    }
}

/// The points of all contacts, in the order of the shape.
pub(crate) fn contact_points(body: &Body, shape: &Shape) -> Vec<ContactPoint> {
    let mut points = Vec::new();
    for (contact, row) in shape.contacts.iter().enumerate() {
        let Some(patch) = body.patches.get(&row.patch) else {
            continue;
        };
        let (plane, friction) = plane_of(body, row);
        let friction = if patch.group == Group::Head {
            body.head_friction
        } else {
            friction
        };
        for name in &patch.spheres {
            points.push(ContactPoint {
                sphere: body.known_sphere(name, row.side),
                plane,
                friction,
                group: patch.group,
                side: row.side,
                light: row.light,
                contact,
            });
        }
    }
    points
}

fn plane_of(body: &Body, contact: &Contact) -> (Plane, f64) {
    match &contact.surface {
        Surface::Height(cm) => (
            Plane::Level(f64::from(*cm) / 100.0),
            body.any_height_friction,
        ),
        Surface::Named(name) => {
            let row = body
                .surfaces
                .get(name)
                .expect("a shape is read against the same table");
            let plane = match row.height_m {
                Some(height) => Plane::Level(height),
                None if row.faces_forward => Plane::WallBehind,
                None => Plane::WallAhead,
            };
            (plane, row.friction)
        }
    }
}
