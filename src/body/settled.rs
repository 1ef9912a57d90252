//! The settled body: its pose, how well it keeps what was authored, and whether it is accepted.
//!
//! Every number is rounded when it is made (0.01 degree, 0.1 mm, 0.01 %), so that a stored one read back
//! gives the same measures as a fresh one.

use std::collections::BTreeMap;

use nalgebra::{Quaternion, Rotation3, UnitQuaternion, Vector3};
use serde::{Deserialize, Serialize};

use super::constraints::Constraints;
use super::contacts::{Group, contact_points};
use super::measures::Origin;
use super::pose::Pose;
use super::settle::Solution;
use super::shape::{Contact, Shape};
use super::skeleton::Skeleton;
use super::statics;
use super::table::{Body, HINGES, HingeId, SphereId};
use crate::words::BodySide;

/// A settled shape. Angles in degrees, lengths in metres unless the name says otherwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Settled {
    /// Middle of the hip line.
    pub pelvis_m: [f64; 3],
    /// Turn of the pelvis as a quaternion (i, j, k, w).
    pub turn: [f64; 4],
    /// Every hinge in the order of [`Body::hinge_names`].
    pub hinges_deg: Vec<f64>,
    /// Where each hinge's value comes from, one letter a hinge: `a` authored, `c` decided by contacts,
    /// touches or aims, `f` free.
    pub origins: String,
    /// Force on the body at every contact point (in the order of the shape's contacts and their patches'
    /// spheres), % of body weight along x, y, z.
    pub forces_pct: Vec<[f64; 3]>,
    /// Largest change of any group of loads under other contact prices.
    pub load_spread_pct: f64,
    /// The greatest torque as a share of the joint's strength, and the hinge where it is.
    pub greatest_effort: f64,
    /// The hinge of the greatest effort.
    pub effort_at: String,
    /// How far the worst of each kind is off.
    pub residuals: Residuals,
    /// What the shape could not keep.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub strain: Vec<Strain>,
    /// Why the shape is not accepted; empty when it is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reasons: Vec<String>,
    /// How often the residuals were computed.
    pub evaluations: u32,
}

/// The worst residual of each kind.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Residuals {
    /// A contact off its surface.
    pub contact_mm: f64,
    /// Two spheres that should touch.
    pub touch_mm: f64,
    /// A sphere below the floor or through a wall.
    pub below_mm: f64,
    /// A hinge past its limit.
    pub limit_deg: f64,
    /// The forces miss equilibrium by this share of body weight.
    pub balance_pct: f64,
}

/// A patch of the settled body on its surface.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettledContact {
    /// The patch, its side after an underscore.
    pub point: String,
    /// What it rests on.
    pub surface: String,
    /// Middle of its spheres' undersides, metres.
    pub position: [f64; 3],
    /// Normal force, % of body weight.
    pub load_pct: f64,
    /// Placed, but carrying nothing.
    pub light: bool,
}

/// An authored number or direction that the shape does not keep within two standard deviations.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Strain {
    /// The hinge, segment or pair of points.
    pub what: String,
    /// What was authored: degrees, or centimetres for a distance; 0 for a direction.
    pub asked: f64,
    /// What came out, in the same unit; for a direction how far off it is.
    pub got: f64,
}

/// Limits of acceptance (choices of the model).
const CONTACT_MM: f64 = 5.0;
const TOUCH_MM: f64 = 10.0;
const BELOW_MM: f64 = 5.0;
const LIMIT_DEG: f64 = 1.0;
const BALANCE_PCT: f64 = 0.5;
const SIDES_PCT: f64 = 0.5;
/// A hinge is decided by its surroundings when they leave it less than this share of its own slack.
const DECIDED_SHARE: f64 = 0.6;

impl Settled {
    pub(crate) fn new(constraints: &Constraints, solution: &Solution) -> Settled {
        let body = constraints.body;
        let pose = &solution.pose;
        let quaternion = UnitQuaternion::from_matrix(&pose.turn);
        let mut settled = Settled {
            pelvis_m: [0, 1, 2].map(|k| round(pose.pelvis[k], 1e4)),
            turn: [0, 1, 2, 3].map(|k| round(quaternion.coords[k], 1e5)),
            hinges_deg: pose
                .hinges
                .iter()
                .map(|a| round(a.to_degrees(), 1e2))
                .collect(),
            origins: origins(constraints, solution),
            forces_pct: Vec::new(),
            load_spread_pct: 0.0,
            greatest_effort: 0.0,
            effort_at: String::new(),
            residuals: Residuals::default(),
            strain: Vec::new(),
            reasons: Vec::new(),
            evaluations: solution.evaluations,
        };
        let pose = settled.pose();
        let skeleton = Skeleton::new(body, &pose);
        settled.measure_residuals(constraints, &pose, &skeleton);
        settled.strain = strain(constraints, &pose, &skeleton);
        settled.carry(constraints, &pose);
        settled
    }

    /// Works out who carries the weight.
    fn carry(&mut self, constraints: &Constraints, pose: &Pose) {
        let loads = statics::loads(constraints, pose);
        self.forces_pct = loads
            .forces
            .iter()
            .map(|f| [0, 1, 2].map(|k| round(f[k] * 100.0, 1e2)))
            .collect();
        self.load_spread_pct = round(loads.spread * 100.0, 1e2);
        self.greatest_effort = round(loads.effort.0, 1e3);
        self.effort_at = constraints.body.hinge_name(loads.effort.1);
        self.residuals.balance_pct = round(loads.imbalance * 100.0, 1e2);
        if self.residuals.balance_pct > BALANCE_PCT {
            self.reasons.push(format!(
                "the contacts cannot hold it: forces miss balance by {:.1} % of body weight",
                self.residuals.balance_pct
            ));
        } else if self.greatest_effort > 1.0 {
            self.reasons.push(format!(
                "{} would need {:.1} times its strength",
                self.effort_at, self.greatest_effort
            ));
        }
        if constraints.shape.is_symmetric() {
            let groups = statics::groups(constraints, &loads.forces);
            let uneven = groups.iter().find(|((group, wall, side), load)| {
                let mirror = groups.get(&(*group, *wall, side.map(BodySide::other)));
                (mirror.copied().unwrap_or(0.0) - **load).abs() * 100.0 > SIDES_PCT
            });
            if let Some(((group, ..), _)) = uneven {
                self.reasons.push(format!(
                    "the sides of {group:?} carry unequally in a symmetric shape"
                ));
            }
        }
    }

    /// Forces at the contact points, in body weights.
    pub(crate) fn forces(&self) -> Vec<Vector3<f64>> {
        self.forces_pct
            .iter()
            .map(|f| Vector3::from(*f) / 100.0)
            .collect()
    }

    /// Where the angle of one hinge comes from.
    pub fn origin(&self, hinge: HingeId) -> Origin {
        match self.origins.as_bytes().get(hinge.0) {
            Some(b'a') => Origin::Authored,
            Some(b'c') => Origin::Contact,
            _ => Origin::Free,
        }
    }

    /// The contacts with their places and loads, in the order of the shape.
    pub fn contacts(&self, body: &Body, shape: &Shape) -> Vec<SettledContact> {
        let skeleton = Skeleton::new(body, &self.pose());
        let points = contact_points(body, shape);
        let forces = self.forces();
        let one = |(contact, row): (usize, &Contact)| {
            let mine = || {
                points
                    .iter()
                    .zip(&forces)
                    .filter(|(p, _)| p.contact == contact)
            };
            let count = mine().count().max(1) as f64;
            let middle = mine()
                .map(|(p, _)| p.place(&skeleton))
                .sum::<Vector3<f64>>()
                / count;
            let load: f64 = mine().map(|(p, f)| f.dot(&p.plane.normal())).sum();
            SettledContact {
                point: row
                    .side
                    .map_or(row.patch.clone(), |side| format!("{}_{side}", row.patch)),
                surface: row.surface.to_string(),
                position: [0, 1, 2].map(|k| round(middle[k], 1e4)),
                load_pct: round(load * 100.0, 10.0),
                light: row.light,
            }
        };
        shape.contacts.iter().enumerate().map(one).collect()
    }

    /// The greatest share of a hand's force that runs along its surface instead of into it: a hint of
    /// slipping on a wall or chair. 0 when no hand carries 1 % or more.
    pub fn hand_slide_share(&self, body: &Body, shape: &Shape) -> f64 {
        let points = contact_points(body, shape);
        let forces = self.forces();
        (0..shape.contacts.len())
            .filter_map(|contact| {
                let mine = || {
                    points
                        .iter()
                        .zip(&forces)
                        .filter(|(p, _)| p.contact == contact)
                };
                let (point, _) = mine().find(|(p, _)| p.group == Group::Hand)?;
                let total: Vector3<f64> = mine().map(|(_, f)| f).sum();
                let normal = total.dot(&point.plane.normal());
                (normal >= 0.01).then(|| (total - point.plane.normal() * normal).norm() / normal)
            })
            .fold(0.0, f64::max)
    }

    /// Whether the shape stands as authored.
    pub fn accepted(&self) -> bool {
        self.reasons.is_empty()
    }

    /// The pose of the rounded numbers.
    pub fn pose(&self) -> Pose {
        let [i, j, k, w] = self.turn;
        let turn = UnitQuaternion::from_quaternion(Quaternion::new(w, i, j, k));
        let mut hinges = [0.0; HINGES];
        for (angle, degrees) in hinges.iter_mut().zip(&self.hinges_deg) {
            *angle = degrees.to_radians();
        }
        Pose {
            pelvis: Vector3::from(self.pelvis_m),
            turn: Rotation3::from(turn).into_inner(),
            hinges,
        }
    }

    /// The angle of one hinge, degrees.
    pub fn hinge_deg(&self, hinge: HingeId) -> f64 {
        self.hinges_deg.get(hinge.0).copied().unwrap_or(0.0)
    }

    /// Every hinge by name (`lumbar.flex`, `hip.flex_left` …), degrees.
    pub fn hinge_angles(&self, body: &Body) -> BTreeMap<String, f64> {
        body.hinge_names()
            .map(|(hinge, name)| (name, self.hinge_deg(hinge)))
            .collect()
    }

    /// Places of the named joints, metres in the frame of the mat: `crown, head, heart, c7, t12, l4, pelvis`
    /// and, with `_left` and `_right`, `shoulder, elbow, wrist, fingertip, hip, knee, ankle, heel, ball, toe`.
    pub fn joint_positions(&self, body: &Body) -> BTreeMap<String, [f64; 3]> {
        let skeleton = Skeleton::new(body, &self.pose());
        let at = |sphere: &str, side| {
            let place = skeleton.sphere(body.known_sphere(sphere, side));
            [0, 1, 2].map(|k| round(place[k], 1e4))
        };
        let mut places: BTreeMap<String, [f64; 3]> =
            ["crown", "head", "heart", "c7", "t12", "l4", "pelvis"]
                .iter()
                .map(|name| ((*name).to_owned(), at(name, None)))
                .collect();
        for side in [BodySide::Left, BodySide::Right] {
            for name in [
                "shoulder",
                "elbow",
                "wrist",
                "fingertip",
                "hip",
                "knee",
                "ankle",
                "heel",
                "ball",
                "toe",
            ] {
                let sphere = if name == "fingertip" { "tip" } else { name };
                places.insert(format!("{name}_{side}"), at(sphere, Some(side)));
            }
        }
        places
    }

    /// The centre of mass, metres.
    pub fn centre_of_mass(&self, body: &Body) -> [f64; 3] {
        let place = Skeleton::new(body, &self.pose()).centre_of_mass();
        [0, 1, 2].map(|k| round(place[k], 1e4))
    }

    fn measure_residuals(&mut self, constraints: &Constraints, pose: &Pose, skeleton: &Skeleton) {
        let body = constraints.body;
        let radius = |s: SphereId| body.spheres[s.0].radius;
        let mut worst_contact = (0.0_f64, String::new());
        for point in &constraints.points {
            let gap = point
                .plane
                .gap(&skeleton.sphere(point.sphere), radius(point.sphere))
                * 1e3;
            if gap.abs() > worst_contact.0.abs() {
                worst_contact = (gap, body.sphere_name(point.sphere));
            }
        }
        let mut worst_touch = (0.0_f64, String::new());
        for touch in &constraints.shape.touches {
            let distance = (skeleton.sphere(touch.a) - skeleton.sphere(touch.b)).norm();
            let gap = (distance - radius(touch.a) - radius(touch.b)) * 1e3;
            if gap.abs() > worst_touch.0.abs() {
                worst_touch = (
                    gap,
                    format!(
                        "{} on {}",
                        body.sphere_name(touch.a),
                        body.sphere_name(touch.b)
                    ),
                );
            }
        }
        let mut worst_below = (0.0_f64, String::new());
        for i in 0..body.spheres.len() {
            let sphere = SphereId(i);
            if !constraints.stays_above(sphere) {
                continue;
            }
            for plane in constraints.planes() {
                let past = -plane.gap(&skeleton.sphere(sphere), radius(sphere)) * 1e3;
                if past > worst_below.0 {
                    worst_below = (past, body.sphere_name(sphere));
                }
            }
        }
        let mut worst_limit = (0.0_f64, String::new());
        for (i, (angle, hinge)) in pose.hinges.iter().zip(&body.hinges).enumerate() {
            let past = (angle - hinge.limits.1)
                .max(hinge.limits.0 - angle)
                .to_degrees();
            if past > worst_limit.0 {
                worst_limit = (past, body.hinge_name(HingeId(i)));
            }
        }
        self.residuals = Residuals {
            contact_mm: round(worst_contact.0.abs(), 10.0),
            touch_mm: round(worst_touch.0.abs(), 10.0),
            below_mm: round(worst_below.0, 10.0),
            limit_deg: round(worst_limit.0, 100.0),
            balance_pct: 0.0,
        };
        let mut reason = |limit: f64, unit: &str, what: &str, worst: &(f64, String)| {
            if worst.0.abs() > limit {
                self.reasons
                    .push(format!("{} {what} by {:.1} {unit}", worst.1, worst.0));
            }
        };
        reason(CONTACT_MM, "mm", "is off its surface", &worst_contact);
        reason(TOUCH_MM, "mm", "does not meet", &worst_touch);
        reason(
            BELOW_MM,
            "mm",
            "is below the floor or through the wall",
            &worst_below,
        );
        reason(LIMIT_DEG, "degrees", "is past its limit", &worst_limit);
    }
}

fn origins(constraints: &Constraints, solution: &Solution) -> String {
    let body = constraints.body;
    (0..HINGES)
        .map(|i| {
            let (target, sigma) = constraints.targets[i];
            if constraints.shape.joints.contains_key(&HingeId(i)) {
                'a'
            } else if solution.left_free[i] < DECIDED_SHARE * sigma
                || (solution.pose.hinges[i] - target).abs() > body.hinges[i].slack
            {
                'c'
            } else {
                'f'
            }
        })
        .collect()
}

fn strain(constraints: &Constraints, pose: &Pose, skeleton: &Skeleton) -> Vec<Strain> {
    let (body, shape) = (constraints.body, constraints.shape);
    let mut all = Vec::new();
    for (hinge, asked) in &shape.joints {
        let (target, sigma) = constraints.targets[hinge.0];
        let got = pose.hinges[hinge.0];
        if (got - target).abs() > 2.0 * sigma {
            all.push(Strain {
                what: body.hinge_name(*hinge),
                asked: *asked,
                got: round(got.to_degrees(), 10.0),
            });
        }
    }
    for (&(segment, side), aim) in &shape.aims {
        let off = skeleton
            .segment(segment, side)
            .0
            .angle(&Vector3::from(aim.to))
            .to_degrees();
        if off > 2.0 * aim.within_deg {
            let side = side.map_or(String::new(), |s| format!("_{s}"));
            all.push(Strain {
                what: format!("aim of {}{side}", segment.as_str()),
                asked: 0.0,
                got: round(off, 10.0),
            });
        }
    }
    for apart in &shape.apart {
        let along = skeleton.sphere(apart.a) - skeleton.sphere(apart.b);
        for (k, axis) in ["x", "y", "z"].iter().enumerate() {
            let Some(by) = apart.by_m[k] else { continue };
            if (along[k] - by * constraints.apart_scale()).abs() > 0.02 {
                let what = format!(
                    "{} from {} along {axis}",
                    body.sphere_name(apart.a),
                    body.sphere_name(apart.b)
                );
                all.push(Strain {
                    what,
                    asked: round(by * 100.0, 10.0),
                    got: round(along[k] * 100.0, 10.0),
                });
            }
        }
    }
    all
}

/// A number rounded to so many parts of one; never minus zero.
pub(crate) fn round(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}
