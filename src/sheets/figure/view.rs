//! From where a shape is seen: by rule, unless the author says.

use nalgebra::Vector3;

use crate::body::{Base, Shape, Skin, Surface};
use crate::words::BodySide;

/// A parallel view. Azimuth 0 looks at the front of an upright body, 90 at its left side.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    /// Towards the eye.
    pub eye: Vector3<f64>,
    /// To the right of the picture.
    pub right: Vector3<f64>,
    /// To the top of the picture.
    pub up: Vector3<f64>,
    /// How high the eye stands, degrees.
    pub height_deg: f64,
}

impl View {
    /// The view from an azimuth and an eye height, degrees.
    pub(super) fn from(azimuth_deg: f64, height_deg: f64) -> Self {
        let (a, h) = (azimuth_deg.to_radians(), height_deg.to_radians());
        let eye = Vector3::new(a.cos() * h.cos(), a.sin() * h.cos(), h.sin());
        let right = Vector3::new(-a.sin(), a.cos(), 0.0);
        Self {
            eye,
            right,
            up: eye.cross(&right),
            height_deg,
        }
    }

    /// Place in the picture, metres, y down.
    pub(super) fn project(&self, point: &Vector3<f64>) -> [f64; 2] {
        [point.dot(&self.right), -point.dot(&self.up)]
    }

    /// How near a point is.
    pub(super) fn depth(&self, point: &Vector3<f64>) -> f64 {
        point.dot(&self.eye)
    }

    /// The view that shows most of a shape (body-model.md section 7).
    pub(super) fn choose(
        skin: &Skin,
        shape: &Shape,
        lead: Option<BodySide>,
        mirrored: bool,
    ) -> Self {
        if let Some([azimuth, height]) = shape.view {
            return Self::from(if mirrored { -azimuth } else { azimuth }, height);
        }
        let at_wall = shape
            .contacts
            .iter()
            .any(|contact| is_wall(&contact.surface));
        let lying = matches!(
            shape.trunk.base,
            Base::Supine | Base::Prone | Base::LyingLeft | Base::LyingRight
        );
        let azimuths: &[f64] = if at_wall || (lying && lead.is_some()) {
            &[90.0, -90.0]
        } else {
            &[
                90.0, -90.0, 0.0, 35.0, -35.0, 60.0, -60.0, 120.0, -120.0, 145.0, -145.0, 180.0,
            ]
        };
        let heights: &[f64] = if lying && lead.is_some() {
            &[45.0]
        } else {
            &[3.0, 14.0, 28.0]
        };
        let mut best = (f64::NEG_INFINITY, Self::from(90.0, 3.0));
        for &azimuth in azimuths {
            for &height in heights {
                let view = Self::from(azimuth, height);
                let score = view.score(skin, lead) - penalty(azimuth, height);
                if score > best.0 + 1e-9 {
                    best = (score, view);
                }
            }
        }
        best.1
    }

    /// From where the body is seen, in a sentence: facing the reader, its left is on their right.
    pub(super) fn seen_from(&self, skin: &Skin) -> &'static str {
        let axis = |column: usize| skin.pelvis_axes().column(column).dot(&self.eye);
        let (ahead, left) = (axis(0), axis(1));
        match (ahead.abs() >= left.abs(), ahead > 0.0, left > 0.0) {
            (true, true, _) => "Seen from the front.",
            (true, false, _) => "Seen from behind.",
            (false, _, true) => "Seen from the left.",
            (false, _, false) => "Seen from the right.",
        }
    }

    /// How much of the limbs, the trunk and the face is seen.
    fn score(&self, skin: &Skin, lead: Option<BodySide>) -> f64 {
        let seen = |a: &Vector3<f64>, b: &Vector3<f64>| {
            let along = b - a;
            let flat = along - self.eye * along.dot(&self.eye);
            flat.norm() / along.norm().max(1e-6)
        };
        let mut score = 0.0;
        for side in [BodySide::Left, BodySide::Right] {
            let at = |name: &str| skin.at(name, Some(side));
            for (from, to) in [
                ("hip", "knee"),
                ("knee", "anklec"),
                ("shoulder", "elbow"),
                ("elbow", "wrist"),
                ("heel", "toe"),
            ] {
                let (a, b) = (at(from), at(to));
                score += seen(&a, &b) * (b - a).norm().sqrt();
            }
        }
        let (pelvis, c7) = (skin.at("pelvis", None), skin.at("c7", None));
        score += 1.2 * seen(&pelvis, &c7) * (c7 - pelvis).norm().sqrt();
        for name in ["elbow", "wrist", "knee", "anklec"] {
            let [left, right] = [BodySide::Left, BodySide::Right]
                .map(|side| self.project(&skin.at(name, Some(side))));
            let apart = (left[0] - right[0]).hypot(left[1] - right[1]);
            if apart > 0.06 * skin.stature_m() {
                score += if lead.is_some() { 0.16 } else { 0.08 };
            }
        }
        let ahead = skin.head_axes().column(0).into_owned();
        score += 0.15 * ahead.dot(&self.eye).max(-0.5);
        if let Some(lead) = lead {
            let left = skin.pelvis_axes().column(1).into_owned();
            let out = if lead == BodySide::Left { left } else { -left };
            if out.dot(&self.eye) < -0.3 {
                score -= 0.3;
            }
        }
        score
    }
}

fn penalty(azimuth: f64, height: f64) -> f64 {
    let turned = match azimuth.abs() {
        90.0 => 0.0,
        a if a < 1.0 => 0.35,
        a if a <= 60.0 => 0.5,
        a if a < 179.0 => 0.9,
        _ => 1.2,
    };
    let raised = match height {
        h if h > 20.0 => 0.9,
        h if h > 10.0 => 0.25,
        _ => 0.0,
    };
    turned
        + if (height - 45.0).abs() < 1.0 {
            0.0
        } else {
            raised
        }
}

/// Whether a surface is a wall.
pub(super) fn is_wall(surface: &Surface) -> bool {
    matches!(surface, Surface::Named(name) if name.starts_with("wall"))
}
