//! Forward kinematics: from a pose to places in the frame of the mat, with exact derivatives.

use nalgebra::{Matrix3, SMatrix, Vector3};

use super::pose::Pose;
use super::shape::Segment;
use super::table::{Body, HINGES, SphereId};
use crate::words::BodySide;

/// Unknowns of a pose: pelvis shift, pelvis turn, hinges.
pub(crate) const UNKNOWNS: usize = 6 + HINGES;

/// How a vector moves with each unknown.
pub(crate) type Moves = SMatrix<f64, 3, UNKNOWNS>;

/// Every part of the body in one pose. Part 0 is the pelvis, part `i + 1` moves with hinge `i`.
pub(crate) struct Skeleton<'a> {
    pub(crate) body: &'a Body,
    turn: [Matrix3<f64>; HINGES + 1],
    origin: [Vector3<f64>; HINGES + 1],
    axis: [Vector3<f64>; HINGES],
}

impl<'a> Skeleton<'a> {
    pub(crate) fn new(body: &'a Body, pose: &Pose) -> Self {
        let mut turn = [Matrix3::identity(); HINGES + 1];
        let mut origin = [Vector3::zeros(); HINGES + 1];
        let mut axis = [Vector3::zeros(); HINGES];
        turn[0] = pose.turn;
        origin[0] = pose.pelvis;
        for (i, hinge) in body.hinges.iter().enumerate() {
            axis[i] = turn[hinge.on] * hinge.axis;
            origin[i + 1] = origin[hinge.on] + turn[hinge.on] * hinge.at;
            turn[i + 1] = turn[hinge.on] * about(&hinge.axis, pose.hinges[i]);
        }
        Self {
            body,
            turn,
            origin,
            axis,
        }
    }

    /// A place fixed in a part.
    pub(crate) fn place(&self, part: usize, local: &Vector3<f64>) -> Vector3<f64> {
        self.origin[part] + self.turn[part] * local
    }

    /// The axes of a part, as columns.
    pub(crate) fn axes(&self, part: usize) -> &Matrix3<f64> {
        &self.turn[part]
    }

    /// The centre of a sphere.
    pub(crate) fn sphere(&self, sphere: SphereId) -> Vector3<f64> {
        let row = &self.body.spheres[sphere.0];
        self.place(row.on, &row.centre)
    }

    /// How the centre of a sphere moves.
    pub(crate) fn sphere_moves(&self, sphere: SphereId) -> Moves {
        self.moves(self.body.spheres[sphere.0].on, &self.sphere(sphere))
    }

    /// How a point of a part moves: shift, e × (p − pelvis), axis × (p − origin).
    pub(crate) fn moves(&self, part: usize, point: &Vector3<f64>) -> Moves {
        let mut moves = self.swings(part, |origin| point - origin);
        for k in 0..3 {
            moves[(k, k)] = 1.0;
        }
        moves
    }

    /// How a direction fixed in a part moves.
    pub(crate) fn direction_moves(&self, part: usize, direction: &Vector3<f64>) -> Moves {
        self.swings(part, |_| *direction)
    }

    fn swings(&self, part: usize, arm: impl Fn(&Vector3<f64>) -> Vector3<f64>) -> Moves {
        let mut moves = Moves::zeros();
        let from_pelvis = arm(&self.origin[0]);
        for (k, axis) in [Vector3::x(), Vector3::y(), Vector3::z()]
            .iter()
            .enumerate()
        {
            moves.set_column(3 + k, &axis.cross(&from_pelvis));
        }
        for &i in &self.body.chains[part] {
            moves.set_column(6 + i, &self.axis[i].cross(&arm(&self.origin[i + 1])));
        }
        moves
    }

    /// The centre of mass.
    pub(crate) fn centre_of_mass(&self) -> Vector3<f64> {
        self.body
            .masses
            .iter()
            .map(|m| self.place(m.on, &m.centre) * m.share)
            .sum()
    }

    /// How the centre of mass moves.
    pub(crate) fn centre_of_mass_moves(&self) -> Moves {
        let mut moves = Moves::zeros();
        for mass in &self.body.masses {
            moves += self.moves(mass.on, &self.place(mass.on, &mass.centre)) * mass.share;
        }
        moves
    }

    /// A segment's direction, and how it moves.
    pub(crate) fn segment(
        &self,
        segment: Segment,
        side: Option<BodySide>,
    ) -> (Vector3<f64>, Moves) {
        let body = self.body;
        let sphere = |name: &str, side| body.known_sphere(name, side);
        let axis = |part: usize, local: Vector3<f64>| {
            let direction = self.turn[part] * local;
            (direction, self.direction_moves(part, &direction))
        };
        let part_of = |name: &str| body.spheres[sphere(name, side).0].on;
        let (x, z) = (Vector3::x(), Vector3::z());
        match segment {
            Segment::Trunk => self.between(sphere("pelvis", None), sphere("c7", None)),
            Segment::Pelvis => axis(0, z),
            Segment::Thigh => self.between(sphere("hip", side), sphere("knee", side)),
            Segment::Shank => self.between(sphere("knee", side), sphere("ankle", side)),
            Segment::Leg => self.between(sphere("hip", side), sphere("ankle", side)),
            Segment::Foot => axis(part_of("heel"), x),
            Segment::Toes => axis(part_of("toe"), x),
            Segment::Upperarm => self.between(sphere("shoulder", side), sphere("elbow", side)),
            Segment::Forearm => self.between(sphere("elbow", side), sphere("wrist", side)),
            Segment::Arm => self.between(sphere("shoulder", side), sphere("wrist", side)),
            Segment::Hand => axis(part_of("palm"), -z),
            Segment::Gaze => axis(body.spheres[sphere("skull", None).0].on, x),
            Segment::Crown => axis(body.spheres[sphere("skull", None).0].on, z),
        }
    }

    /// The unit vector from one sphere's centre to another's, and how it moves.
    fn between(&self, from: SphereId, to: SphereId) -> (Vector3<f64>, Moves) {
        let along = self.sphere(to) - self.sphere(from);
        let length = along.norm().max(1e-9);
        let unit = along / length;
        let across = (Matrix3::identity() - unit * unit.transpose()) / length;
        (
            unit,
            across * (self.sphere_moves(to) - self.sphere_moves(from)),
        )
    }
}

/// A turn about a unit axis (Rodrigues).
fn about(axis: &Vector3<f64>, angle: f64) -> Matrix3<f64> {
    let (sin, cos) = angle.sin_cos();
    let cross = axis.cross_matrix();
    Matrix3::identity() + cross * sin + cross * cross * (1.0 - cos)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A pose with every unknown away from zero.
    pub(crate) fn odd_pose() -> Pose {
        let mut hinges = [0.0; HINGES];
        for (i, angle) in hinges.iter_mut().enumerate() {
            *angle = 0.3 * (1.7 * i as f64).sin() + 0.1;
        }
        let turn = super::super::pose::exp(&Vector3::new(0.4, -0.7, 0.2));
        Pose {
            pelvis: Vector3::new(0.1, -0.2, 0.9),
            turn,
            hinges,
        }
    }

    #[test]
    fn derivatives_match_differences() {
        let body = Body::standard();
        let pose = odd_pose();
        let here = Skeleton::new(body, &pose);
        let tip = body.known_sphere("tip", Some(BodySide::Right));
        let moves = [
            here.sphere_moves(tip),
            here.centre_of_mass_moves(),
            here.segment(Segment::Trunk, None).1,
            here.segment(Segment::Toes, Some(BodySide::Left)).1,
        ];
        let values = |s: &Skeleton| {
            [
                s.sphere(tip),
                s.centre_of_mass(),
                s.segment(Segment::Trunk, None).0,
                s.segment(Segment::Toes, Some(BodySide::Left)).0,
            ]
        };
        let h = 1e-6;
        for unknown in 0..UNKNOWNS {
            let at = |h: f64| {
                let mut step = [0.0; UNKNOWNS];
                step[unknown] = h;
                values(&Skeleton::new(body, &pose.stepped(&step)))
            };
            let (after, before) = (at(h), at(-h));
            for (k, exact) in moves.iter().enumerate() {
                let slope = (after[k] - before[k]) / (2.0 * h);
                assert!(
                    (slope - exact.column(unknown)).norm() < 1e-7,
                    "value {k}, unknown {unknown}"
                );
            }
        }
    }

    #[test]
    fn a_mirrored_pose_puts_every_sphere_on_the_other_side() {
        let body = Body::standard();
        let pose = odd_pose();
        let (here, there) = (
            Skeleton::new(body, &pose),
            Skeleton::new(body, &pose.mirrored(body)),
        );
        for i in 0..body.spheres.len() {
            let (a, b) = (
                here.sphere(SphereId(i)),
                there.sphere(body.mirrored_sphere(SphereId(i))),
            );
            assert!((a - Vector3::new(b.x, -b.y, b.z)).norm() < 1e-12);
        }
    }
}
