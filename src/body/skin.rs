//! The settled body as a set of round points in the room: what a figure is drawn from.

use nalgebra::{Matrix3, Vector3};

use super::settled::Settled;
use super::shape::Surface;
use super::skeleton::Skeleton;
use super::table::Body;
use crate::words::BodySide;

/// Every sphere of the skin in the frame of the mat, metres.
#[derive(Clone, Debug)]
pub struct Skin {
    points: Vec<(String, Option<BodySide>, Vector3<f64>, f64)>,
    pelvis_axes: Matrix3<f64>,
    head_axes: Matrix3<f64>,
    stature_m: f64,
}

impl Skin {
    /// The skin of a settled shape; `mirrored` gives the shape with the other side leading.
    pub fn new(settled: &Settled, body: &Body, mirrored: bool) -> Self {
        let pose = settled.pose();
        let skeleton = Skeleton::new(body, &pose);
        let flip = |place: Vector3<f64>| {
            if mirrored {
                Vector3::new(place.x, -place.y, place.z)
            } else {
                place
            }
        };
        let points = body
            .spheres
            .iter()
            .map(|sphere| {
                let side = if mirrored {
                    sphere.side.map(BodySide::other)
                } else {
                    sphere.side
                };
                let place = flip(skeleton.place(sphere.on, &sphere.centre));
                (sphere.name.clone(), side, place, sphere.radius)
            })
            .collect();
        // In a mirror the side axis turns round, so that it still points to the body's left.
        let axes = |part: usize| {
            let axes = skeleton.axes(part);
            let column = |k: usize| flip(axes.column(k).into_owned());
            let side = if mirrored { -column(1) } else { column(1) };
            Matrix3::from_columns(&[column(0), side, column(2)])
        };
        let head = body.spheres.iter().find(|sphere| sphere.name == "head");
        Self {
            points,
            pelvis_axes: axes(0),
            head_axes: axes(head.map_or(0, |sphere| sphere.on)),
            stature_m: body.stature_m(),
        }
    }

    /// The centre of a sphere; the origin for a name that the table has not.
    pub fn at(&self, name: &str, side: Option<BodySide>) -> Vector3<f64> {
        let known = self
            .points
            .iter()
            .find(|(known, on, ..)| known == name && *on == side);
        known.map_or_else(Vector3::zeros, |(_, _, place, _)| *place)
    }

    /// The radius of a sphere.
    pub fn radius(&self, name: &str) -> f64 {
        self.points
            .iter()
            .find(|(known, ..)| known == name)
            .map_or(0.0, |(.., radius)| *radius)
    }

    /// Axes of the pelvis: ahead, to the left, up.
    pub fn pelvis_axes(&self) -> &Matrix3<f64> {
        &self.pelvis_axes
    }

    /// Axes of the head: ahead, to the left, up.
    pub fn head_axes(&self) -> &Matrix3<f64> {
        &self.head_axes
    }

    /// Stature in metres.
    pub fn stature_m(&self) -> f64 {
        self.stature_m
    }
}

impl Body {
    /// Names of the spheres of a patch; none for a name that the table has not.
    pub fn patch_spheres(&self, patch: &str) -> &[String] {
        self.patches.get(patch).map_or(&[], |patch| &patch.spheres)
    }

    /// Height of a surface above the floor in metres; none for a wall.
    pub fn surface_height_m(&self, surface: &Surface) -> Option<f64> {
        match surface {
            Surface::Height(cm) => Some(f64::from(*cm) / 100.0),
            Surface::Named(name) => self.surfaces.get(name).and_then(|row| row.height_m),
        }
    }
}
