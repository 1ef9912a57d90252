//! A pose: where the pelvis is, how it is turned, and the angle of every hinge.

use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

use super::shape::{Base, Trunk};
use super::table::{Body, HINGES, HingeId};

/// One pose of the body in the frame of the mat. The pelvis turn is a matrix, never three Euler angles:
/// prone and supine would sit on their singularity.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose {
    /// Middle of the hip line, metres.
    pub pelvis: Vector3<f64>,
    /// Pelvis axes in the frame of the mat.
    pub turn: Matrix3<f64>,
    /// Hinge angles, radians, by [`HingeId`].
    pub hinges: [f64; HINGES],
}

impl Pose {
    /// The same pose seen in a mirror.
    pub fn mirrored(&self, body: &Body) -> Pose {
        let flip = Matrix3::from_diagonal(&Vector3::new(1.0, -1.0, 1.0));
        let mut hinges = [0.0; HINGES];
        for (i, angle) in self.hinges.iter().enumerate() {
            hinges[HingeId(i).mirrored().0] = if body.hinges[i].flips { -angle } else { *angle };
        }
        Pose {
            pelvis: flip * self.pelvis,
            turn: flip * self.turn * flip,
            hinges,
        }
    }

    /// The pose after a small step: shift, world-axis turn, hinge changes.
    pub(crate) fn stepped(&self, step: &[f64; 6 + HINGES]) -> Pose {
        let mut next = self.clone();
        next.pelvis += Vector3::new(step[0], step[1], step[2]);
        next.turn = exp(&Vector3::new(step[3], step[4], step[5])) * self.turn;
        for (angle, change) in next.hinges.iter_mut().zip(&step[6..]) {
            *angle += change;
        }
        next
    }
}

impl Trunk {
    /// Pelvis axes in the frame of the mat: turn · tilt · lean · base · spin.
    pub(crate) fn matrix(&self) -> Matrix3<f64> {
        let columns = |x: [f64; 3], y: [f64; 3], z: [f64; 3]| {
            Matrix3::from_columns(&[Vector3::from(x), Vector3::from(y), Vector3::from(z)])
        };
        // The images of forward, left and up.
        let base = match self.base {
            Base::Upright => Matrix3::identity(),
            Base::AllFours | Base::Prone => {
                columns([0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0])
            }
            Base::Supine => columns([0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]),
            Base::LyingLeft => columns([0.0, -1.0, 0.0], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]),
            Base::LyingRight => columns([0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]),
        };
        let about = |axis: Vector3<f64>, degrees: f64| {
            Rotation3::from_axis_angle(&Unit::new_unchecked(axis), degrees.to_radians())
                .into_inner()
        };
        about(Vector3::z(), self.turn_deg)
            * about(Vector3::x(), self.tilt_deg)
            * about(Vector3::y(), self.lean_deg)
            * base
            * about(Vector3::z(), self.spin_deg)
    }
}

/// The matrix of a turn about an axis by its length, radians.
pub(crate) fn exp(turn: &Vector3<f64>) -> Matrix3<f64> {
    Rotation3::new(*turn).into_inner()
}

/// The axis of a turn, its length the angle in radians, 0 to π.
pub(crate) fn log(turn: &Matrix3<f64>) -> Vector3<f64> {
    nalgebra::UnitQuaternion::from_matrix(turn).scaled_axis()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_base_is_a_proper_turn() {
        for (name, base) in Base::ALL {
            let matrix = Trunk {
                base,
                ..Trunk::default()
            }
            .matrix();
            assert!((matrix.determinant() - 1.0).abs() < 1e-12, "{name}");
        }
    }

    #[test]
    fn a_negative_tilt_leans_to_the_left() {
        let up = Trunk {
            tilt_deg: -55.0,
            ..Trunk::default()
        }
        .matrix()
            * Vector3::z();
        assert!(up.y > 0.8, "{up}");
    }
}
