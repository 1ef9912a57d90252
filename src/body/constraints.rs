//! What a settled pose must meet, as residuals divided by their standard deviations.
//!
//! One pass over all of them gives the cost and, when asked, the exact normal equations.

use nalgebra::{Matrix3, Vector2, Vector3};

use super::capsules::{must_keep_out, nearness};
use super::contacts::{ContactPoint, Plane, contact_points};
use super::hull;
use super::pose::{Pose, log};
use super::residuals::{DEGREE, Row, Sigmas, Sum};
use super::shape::{Balance, Contact, Shape};
use super::skeleton::{Moves, Skeleton};
use super::table::{Body, HINGES, HingeId, Limb, SphereId};

/// An authored angle is held to this share of its hinge's slack, any other to [`FREE_SLACK`] of it.
const AUTHORED_SLACK: f64 = 0.45;
const FREE_SLACK: f64 = 1.3;
const APART_SIGMA_M: f64 = 0.010;
const DRIFT_SIGMA_M: f64 = 0.70;
const OVERLAP_ALLOWED_M: f64 = 0.012;
/// The centre of mass is kept this far inside the base, or this share of its width if that is less.
const MARGIN_M: f64 = 0.03;
const MARGIN_SHARE: f64 = 0.3;
const CENTRE_ON_FEET_M: f64 = 0.05;
const CENTRE_USUAL_M: f64 = 0.15;
const CENTRE_OVER_M: f64 = 0.02;
/// The body on which `apart` is written.
const APART_STATURE_M: f64 = 1.68;

/// A shape made ready to be settled.
pub(crate) struct Constraints<'a> {
    pub(crate) body: &'a Body,
    pub(crate) shape: &'a Shape,
    pub(crate) points: Vec<ContactPoint>,
    /// Target and standard deviation of every hinge, radians.
    pub(crate) targets: [(f64, f64); HINGES],
    pub(crate) base: Matrix3<f64>,
    walls: Vec<Plane>,
    /// Spheres and the limbs they must keep out of.
    kept_apart: Vec<(SphereId, Limb)>,
    /// Patches over which the centre of mass is drawn, as lists of points, and how closely.
    middle: Option<(Vec<Vec<SphereId>>, f64)>,
}

impl<'a> Constraints<'a> {
    pub(crate) fn new(body: &'a Body, shape: &'a Shape) -> Self {
        let points = contact_points(body, shape);
        let mut targets = [(0.0, 1.0); HINGES];
        for (i, hinge) in body.hinges.iter().enumerate() {
            targets[i] = match shape.joints.get(&HingeId(i)) {
                Some(degrees) => (degrees.to_radians(), AUTHORED_SLACK * hinge.slack),
                None => (hinge.rest, FREE_SLACK * hinge.slack),
            };
        }
        let walls = [Plane::WallAhead, Plane::WallBehind]
            .into_iter()
            .filter(|wall| points.iter().any(|p| p.plane == *wall))
            .collect();
        let touching = |s: SphereId| shape.touches.iter().any(|t| t.a == s || t.b == s);
        let mut kept_apart = Vec::new();
        for &(sphere, part) in body.kept_apart.iter().filter(|(s, _)| !touching(*s)) {
            for limb in body.limbs.iter().filter(|limb| must_keep_out(part, limb)) {
                kept_apart.push((sphere, *limb));
            }
        }
        let middle = middle(shape, &points);
        Self {
            body,
            shape,
            points,
            targets,
            base: shape.trunk.matrix(),
            walls,
            kept_apart,
            middle,
        }
    }

    /// The targets clipped to the limits, the lowest sphere on the floor, the contacts at the wall.
    pub(crate) fn start(&self, hinges: [f64; HINGES]) -> Pose {
        let mut pose = Pose {
            pelvis: Vector3::zeros(),
            turn: self.base,
            hinges,
        };
        for (angle, hinge) in pose.hinges.iter_mut().zip(&self.body.hinges) {
            *angle = angle.clamp(hinge.limits.0, hinge.limits.1);
        }
        let skeleton = Skeleton::new(self.body, &pose);
        let lowest = (0..self.body.spheres.len())
            .map(|i| skeleton.sphere(SphereId(i)).z - self.body.spheres[i].radius)
            .fold(f64::INFINITY, f64::min);
        pose.pelvis.z = -lowest;
        let at_wall: Vec<f64> = self
            .points
            .iter()
            .filter(|p| p.plane.is_wall())
            .map(|p| {
                p.plane
                    .gap(&skeleton.sphere(p.sphere), self.radius(p.sphere))
                    * p.plane.normal().x
            })
            .collect();
        if !at_wall.is_empty() {
            pose.pelvis.x = -at_wall.iter().sum::<f64>() / at_wall.len() as f64;
        }
        pose
    }

    fn radius(&self, sphere: SphereId) -> f64 {
        self.body.spheres[sphere.0].radius
    }

    /// Whether a sphere must stay above the floor: all but the fingers of a fist, which are curled
    /// into the palm and not where the open hand has them.
    pub(crate) fn stays_above(&self, sphere: SphereId) -> bool {
        let row = &self.body.spheres[sphere.0];
        let fist = |contact: &Contact| contact.patch == "fist" && contact.side == row.side;
        !["tip", "index", "little"].contains(&row.name.as_str())
            || !self.shape.contacts.iter().any(fist)
    }

    /// The floor and the walls that are there.
    pub(crate) fn planes(&self) -> impl Iterator<Item = Plane> + '_ {
        std::iter::once(Plane::Level(0.0)).chain(self.walls.iter().copied())
    }

    /// What an authored distance is multiplied by on this body.
    pub(crate) fn apart_scale(&self) -> f64 {
        self.body.stature_m / APART_STATURE_M
    }

    /// Whether the balance residual is asked for.
    pub(crate) fn balances(&self) -> bool {
        self.shape.balance == Balance::Kept
    }

    /// Cost and, if asked, derivatives at a pose.
    pub(crate) fn sum(&self, pose: &Pose, sigmas: &Sigmas, derivatives: bool) -> Sum {
        let skeleton = Skeleton::new(self.body, pose);
        let mut sum = Sum::new(derivatives);
        self.angles(pose, sigmas, &mut sum);
        self.pelvis(pose, &mut sum);
        self.surfaces(&skeleton, sigmas, &mut sum);
        self.touches(&skeleton, sigmas, &mut sum);
        self.aims(&skeleton, &mut sum);
        self.distances(&skeleton, &mut sum);
        self.overlaps(&skeleton, sigmas, &mut sum);
        self.balance(&skeleton, sigmas, &mut sum);
        sum
    }

    fn angles(&self, pose: &Pose, sigmas: &Sigmas, sum: &mut Sum) {
        for (i, (angle, (target, sigma))) in pose.hinges.iter().zip(&self.targets).enumerate() {
            sum.add_single(angle - target, *sigma, 6 + i);
            let (low, high) = self.body.hinges[i].limits;
            let past = (angle - high).max(0.0) + (angle - low).min(0.0);
            if past != 0.0 {
                sum.add_single(past, sigmas.limit, 6 + i);
            }
        }
    }

    fn pelvis(&self, pose: &Pose, sum: &mut Sum) {
        for k in 0..2 {
            sum.add_single(pose.pelvis[k], DRIFT_SIGMA_M, k);
        }
        let turn = log(&(pose.turn * self.base.transpose()));
        let slopes = log_slopes(&turn);
        let sigma = self.shape.trunk.loose_deg * DEGREE;
        for k in 0..3 {
            sum.add(turn[k], sigma, || {
                let mut row = Row::zeros();
                for m in 0..3 {
                    row[3 + m] = slopes[(k, m)];
                }
                row
            });
        }
    }

    fn surfaces(&self, skeleton: &Skeleton, sigmas: &Sigmas, sum: &mut Sum) {
        for point in &self.points {
            let gap = point
                .plane
                .gap(&skeleton.sphere(point.sphere), self.radius(point.sphere));
            sum.add(gap, sigmas.contact, || {
                point.plane.normal().transpose() * skeleton.sphere_moves(point.sphere)
            });
        }
        for (sphere, row) in self.body.spheres.iter().enumerate() {
            let sphere = SphereId(sphere);
            if !self.stays_above(sphere) {
                continue;
            }
            let centre = skeleton.sphere(sphere);
            for plane in self.planes() {
                let gap = plane.gap(&centre, row.radius);
                if gap < 0.0 {
                    sum.add(gap, sigmas.below, || {
                        plane.normal().transpose() * skeleton.sphere_moves(sphere)
                    });
                }
            }
        }
    }

    fn touches(&self, skeleton: &Skeleton, sigmas: &Sigmas, sum: &mut Sum) {
        for touch in &self.shape.touches {
            let along = skeleton.sphere(touch.a) - skeleton.sphere(touch.b);
            let distance = along.norm().max(1e-9);
            let gap = distance - self.radius(touch.a) - self.radius(touch.b);
            sum.add(gap, sigmas.touch, || {
                (along / distance).transpose()
                    * (skeleton.sphere_moves(touch.a) - skeleton.sphere_moves(touch.b))
            });
        }
    }

    fn aims(&self, skeleton: &Skeleton, sum: &mut Sum) {
        for (&(segment, side), aim) in &self.shape.aims {
            let (direction, moves) = skeleton.segment(segment, side);
            let off = direction - Vector3::from(aim.to);
            for k in 0..3 {
                sum.add(off[k], aim.within_deg * DEGREE, || {
                    moves.row(k).into_owned()
                });
            }
        }
    }

    fn distances(&self, skeleton: &Skeleton, sum: &mut Sum) {
        let scale = self.apart_scale();
        for apart in &self.shape.apart {
            let along = skeleton.sphere(apart.a) - skeleton.sphere(apart.b);
            let moves = || skeleton.sphere_moves(apart.a) - skeleton.sphere_moves(apart.b);
            for (k, by) in apart.by_m.iter().enumerate() {
                if let Some(by) = by {
                    sum.add(along[k] - by * scale, APART_SIGMA_M, || {
                        moves().row(k).into_owned()
                    });
                }
            }
        }
    }

    fn overlaps(&self, skeleton: &Skeleton, sigmas: &Sigmas, sum: &mut Sum) {
        for (sphere, limb) in &self.kept_apart {
            let near = nearness(skeleton, *sphere, limb);
            let past = near.gap + OVERLAP_ALLOWED_M;
            if past < 0.0 {
                sum.add(past, sigmas.overlap, || {
                    let bar = skeleton.sphere_moves(limb.from) * (1.0 - near.share)
                        + skeleton.sphere_moves(limb.to) * near.share;
                    near.away.transpose() * (skeleton.sphere_moves(*sphere) - bar)
                });
            }
        }
    }

    fn balance(&self, skeleton: &Skeleton, sigmas: &Sigmas, sum: &mut Sum) {
        if !self.balances() {
            return;
        }
        let centre = skeleton.centre_of_mass();
        let centre_moves = if sum.derivatives {
            skeleton.centre_of_mass_moves()
        } else {
            Moves::zeros()
        };
        let bearing: Vec<SphereId> = self
            .points
            .iter()
            .filter(|p| p.bears())
            .map(|p| p.sphere)
            .collect();
        let places: Vec<Vector2<f64>> = bearing.iter().map(|&s| skeleton.sphere(s).xy()).collect();
        let base = hull::hull(&places);
        // How the distance of a point inside an edge moves: both ends of the edge move too.
        let moves_inside = |edge: &hull::Edge, at: &Vector2<f64>, of: &Moves| -> Row {
            let share = edge.share(at);
            let ends = skeleton.sphere_moves(bearing[edge.from]) * (1.0 - share)
                + skeleton.sphere_moves(bearing[edge.to]) * share;
            Vector3::new(edge.normal.x, edge.normal.y, 0.0).transpose() * (of - ends)
        };
        let narrowest = hull::width(&places, &base);
        let share_of_width = narrowest.as_ref().map_or(0.0, |(edge, corner)| {
            MARGIN_SHARE * edge.inside(&places[*corner])
        });
        let margin = MARGIN_M.min(share_of_width);
        for edge in hull::edges(&places, &base) {
            let inside = edge.inside(&centre.xy());
            if inside >= margin {
                continue;
            }
            sum.add(inside - margin, sigmas.balance, || {
                let mut row = moves_inside(&edge, &centre.xy(), &centre_moves);
                if let Some((across, corner)) =
                    narrowest.as_ref().filter(|_| share_of_width < MARGIN_M)
                {
                    let of = skeleton.sphere_moves(bearing[*corner]);
                    row -= moves_inside(across, &places[*corner], &of) * MARGIN_SHARE;
                }
                row
            });
        }
        if let Some((patches, sigma)) = &self.middle {
            let mean = |of: &dyn Fn(SphereId) -> Vector3<f64>| -> Vector3<f64> {
                patches
                    .iter()
                    .map(|p| p.iter().map(|&s| of(s)).sum::<Vector3<f64>>() / p.len() as f64)
                    .sum::<Vector3<f64>>()
                    / patches.len() as f64
            };
            let off = centre - mean(&|s| skeleton.sphere(s));
            let moves = if sum.derivatives {
                let mut moves = centre_moves;
                for patch in patches {
                    for &sphere in patch {
                        moves -=
                            skeleton.sphere_moves(sphere) / (patch.len() * patches.len()) as f64;
                    }
                }
                moves
            } else {
                Moves::zeros()
            };
            for k in 0..2 {
                sum.add(off[k], *sigma, || moves.row(k).into_owned());
            }
        }
    }
}

/// Which patches draw the centre of mass over them: those of `over`, else all that bear.
fn middle(shape: &Shape, points: &[ContactPoint]) -> Option<(Vec<Vec<SphereId>>, f64)> {
    use super::contacts::Group;
    let spheres = |contact: usize| -> Vec<SphereId> {
        points
            .iter()
            .filter(|p| p.contact == contact)
            .map(|p| p.sphere)
            .collect()
    };
    let named = |contact: usize| {
        let row = &shape.contacts[contact];
        shape
            .over
            .iter()
            .any(|(patch, side)| *patch == row.patch && *side == row.side)
    };
    let bears = |contact: usize| points.iter().any(|p| p.contact == contact && p.bears());
    let all = 0..shape.contacts.len();
    let (chosen, sigma): (Vec<usize>, f64) = if shape.over.is_empty() {
        let bearing: Vec<usize> = all.filter(|&c| bears(c)).collect();
        let feet_only = points
            .iter()
            .filter(|p| p.bears())
            .all(|p| p.group == Group::Foot);
        (
            bearing,
            if feet_only {
                CENTRE_ON_FEET_M
            } else {
                CENTRE_USUAL_M
            },
        )
    } else {
        (all.filter(|&c| named(c)).collect(), CENTRE_OVER_M)
    };
    let patches: Vec<Vec<SphereId>> = chosen
        .into_iter()
        .map(spheres)
        .filter(|p| !p.is_empty())
        .collect();
    (!patches.is_empty()).then_some((patches, sigma))
}

/// How the logarithm of a turn moves when the turn is followed by a small world-axis turn.
fn log_slopes(turn: &Vector3<f64>) -> Matrix3<f64> {
    let angle = turn.norm();
    let cross = turn.cross_matrix();
    let second = if angle < 1e-4 {
        1.0 / 12.0
    } else {
        1.0 / (angle * angle) - (1.0 + angle.cos()) / (2.0 * angle * angle.sin())
    };
    Matrix3::identity() - cross * 0.5 + cross * cross * second
}

#[cfg(test)]
mod tests {
    use super::super::residuals::LOOSE;
    use super::super::skeleton::UNKNOWNS;
    use super::super::skeleton::tests::odd_pose;
    use super::*;

    #[test]
    fn the_gradient_matches_differences() {
        let text = "{lead: front leg, body: {base: upright, turn: 20}, joints: {hip.lead: 30, knee.lead: 150}, \
            contacts: {floor: [foot.lead, knee.other], wall: [hand]}, touch: [[palm.lead, knee.lead]], \
            aim: {trunk: up, arm.other: [1, 1, 0]}, apart: [[ankle.lead, knee.other, [0.5, 0.2, null]]]}";
        let shape = Shape::read(&serde_yaml::from_str(text).expect("YAML")).expect("it reads");
        let constraints = Constraints::new(Body::standard(), &shape);
        let pose = odd_pose();
        let exact = constraints.sum(&pose, &LOOSE, true).gradient;
        let h = 1e-6;
        for unknown in 0..UNKNOWNS {
            let at = |h: f64| {
                let mut step = [0.0; UNKNOWNS];
                step[unknown] = h;
                constraints.sum(&pose.stepped(&step), &LOOSE, false).cost / 2.0
            };
            let slope = (at(h) - at(-h)) / (2.0 * h);
            let scale = 1.0 + exact[unknown].abs();
            assert!(
                (slope - exact[unknown]).abs() < 1e-4 * scale,
                "unknown {unknown}: {slope} {}",
                exact[unknown]
            );
        }
    }
}
