//! Who carries the weight: the least total effort that keeps exact equilibrium.
//!
//! Minimises Σ (torque ÷ strength)² + Σ (price · normal)² + Σ (price · sideways)² over the forces at
//! contacts, touches and resting flesh, under the six equations of the whole body. Forces are in body
//! weights. It is a model of a person who is economical, not a measurement.
//!
//! Frame: the mat. A surface only pushes, sideways no more than its friction allows; two parts of the
//! body push each other, and pull only where a touch holds. Normal forces are never negative.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector, SVector, Vector3};

use super::capsules::nearness;
use super::constraints::Constraints;
use super::contacts::Group;
use super::nnls;
use super::pose::Pose;
use super::skeleton::{Moves, Skeleton, UNKNOWNS};
use super::table::{HINGES, HingeId, LimbKind, SphereId};
use crate::words::BodySide;

/// Price of a force at a pad of the body, normal and sideways, against a joint at its full strength.
/// Set because results looked wrong without it; no measurement stands behind it.
const PRICES: (f64, f64) = (0.30, 0.30);
/// Other prices that are as easily defended; how far the loads move under them is their spread.
const OTHER_PRICES: [(f64, f64); 3] = [(0.10, 0.25), (0.50, 0.50), (1.0, 1.0)];
/// The body that the strengths are told for.
const STRENGTH_MASS_KG: f64 = 65.0;
const GRAVITY: f64 = 9.80665;
/// Sides of the friction pyramid.
const CONE_SIDES: usize = 8;
/// A hinge this near its limit is held by its ligaments, degrees; a straight knee sooner.
const STOP_DEG: f64 = 2.5;
const STRAIGHT_KNEE_DEG: f64 = 6.0;
/// Flesh rests on a leg across a gap up to this, dearer with the gap.
const FLESH_REACH_M: f64 = 0.06;
const FLESH_GAP_M: f64 = 0.02;
/// The equilibrium rows weigh this much and are met exactly by a few rounds of added multipliers: a greater
/// weight alone would drown the prices in rounding.
const EQUILIBRIUM_WEIGHT: f64 = 100.0;
const MULTIPLIER_ROUNDS: usize = 8;
const EQUILIBRIUM_MET: f64 = 1e-7;
/// Makes the shares of a friction pyramid's sides unique.
const RIDGE: f64 = 1e-3;

/// A group of loads: what it counts as, on a wall or not, its side.
pub(crate) type LoadKey = (Group, bool, Option<BodySide>);

/// The forces of one settled pose.
pub(crate) struct Loads {
    /// Force on the body at every contact point, in body weights.
    pub(crate) forces: Vec<Vector3<f64>>,
    /// How far equilibrium is missed, in body weights (metres of body weight for turning).
    pub(crate) imbalance: f64,
    /// Largest change of any group under the other prices, in body weights.
    pub(crate) spread: f64,
    /// The greatest torque against strength, and its hinge.
    pub(crate) effort: (f64, HingeId),
}

/// One force of unit size that an unknown multiplies.
struct Generator {
    /// What it does to each of the pose's unknowns.
    effect: SVector<f64, UNKNOWNS>,
    pad: Option<Pad>,
    /// For a force at a contact point: which, and its vector.
    at: Option<(usize, Vector3<f64>)>,
}

/// Where the price of a force is paid: which pad, how dear, and its sideways part.
#[derive(Clone, Copy)]
struct Pad {
    index: usize,
    dearer: f64,
    sideways: (f64, f64),
    normal: f64,
}

pub(crate) fn loads(constraints: &Constraints, pose: &Pose) -> Loads {
    let body = constraints.body;
    let skeleton = Skeleton::new(body, pose);
    let gravity: SVector<f64, UNKNOWNS> = skeleton.centre_of_mass_moves().row(2).transpose();
    let generators = generators(constraints, pose, &skeleton);
    let mut passive = Vec::new();
    let x = share(constraints, &gravity, &generators, PRICES, &mut passive);
    let forces = forces(constraints, &generators, &x);
    let grouped = groups(constraints, &forces);
    let mut spread = 0.0_f64;
    for prices in OTHER_PRICES {
        let mut passive = passive.clone();
        let other = share(constraints, &gravity, &generators, prices, &mut passive);
        let other = groups(constraints, &self::forces(constraints, &generators, &other));
        for (key, load) in &grouped {
            spread = spread.max((load - other.get(key).copied().unwrap_or(0.0)).abs());
        }
    }
    let left = remainder(&gravity, &generators, &x);
    let imbalance = left.fixed_rows::<6>(0).amax();
    let effort = (0..HINGES)
        .map(|i| {
            (
                left[6 + i].abs() * newton_metres() / body.hinges[i].strength_nm,
                HingeId(i),
            )
        })
        .fold(
            (0.0, HingeId(0)),
            |best, next| if next.0 > best.0 { next } else { best },
        );
    Loads {
        forces,
        imbalance,
        spread,
        effort,
    }
}

/// One metre of body weight in newton metres of the body that the strengths are told for.
fn newton_metres() -> f64 {
    STRENGTH_MASS_KG * GRAVITY
}

/// Normal loads summed by group, in body weights.
pub(crate) fn groups(constraints: &Constraints, forces: &[Vector3<f64>]) -> BTreeMap<LoadKey, f64> {
    let mut sums = BTreeMap::new();
    for (point, force) in constraints.points.iter().zip(forces) {
        *sums
            .entry((point.group, point.plane.is_wall(), point.side))
            .or_insert(0.0) += force.dot(&point.plane.normal());
    }
    sums
}

/// What gravity asks for and the forces do not give.
fn remainder(
    gravity: &SVector<f64, UNKNOWNS>,
    generators: &[Generator],
    x: &DVector<f64>,
) -> SVector<f64, UNKNOWNS> {
    generators
        .iter()
        .zip(x.iter())
        .fold(*gravity, |left, (g, &size)| left - g.effect * size)
}

fn forces(
    constraints: &Constraints,
    generators: &[Generator],
    x: &DVector<f64>,
) -> Vec<Vector3<f64>> {
    let mut forces = vec![Vector3::zeros(); constraints.points.len()];
    for (generator, &size) in generators.iter().zip(x.iter()) {
        if let Some((point, vector)) = generator.at {
            forces[point] += vector * size;
        }
    }
    forces
}

/// The shares of all generators under some prices.
fn share(
    constraints: &Constraints,
    gravity: &SVector<f64, UNKNOWNS>,
    generators: &[Generator],
    prices: (f64, f64),
    passive: &mut Vec<usize>,
) -> DVector<f64> {
    let weights = SVector::<f64, UNKNOWNS>::from_fn(|i, _| match i {
        0..6 => EQUILIBRIUM_WEIGHT,
        _ => newton_metres() / constraints.body.hinges[i - 6].strength_nm,
    });
    let pads = generators
        .iter()
        .filter_map(|g| g.pad)
        .map(|p| p.index + 1)
        .max()
        .unwrap_or(0);
    let mut matrix = DMatrix::zeros(UNKNOWNS + 3 * pads, generators.len());
    for (column, generator) in generators.iter().enumerate() {
        matrix
            .view_mut((0, column), (UNKNOWNS, 1))
            .copy_from(&generator.effect.component_mul(&weights));
        if let Some(pad) = generator.pad {
            let row = UNKNOWNS + 3 * pad.index;
            matrix[(row, column)] = prices.0 * pad.dearer * pad.normal;
            matrix[(row + 1, column)] = prices.1 * pad.dearer * pad.sideways.0;
            matrix[(row + 2, column)] = prices.1 * pad.dearer * pad.sideways.1;
        }
    }
    let mut wanted = DVector::zeros(matrix.nrows());
    wanted
        .rows_mut(0, UNKNOWNS)
        .copy_from(&gravity.component_mul(&weights));
    let mut gram = matrix.tr_mul(&matrix);
    for i in 0..gram.nrows() {
        gram[(i, i)] += RIDGE * RIDGE;
    }
    let mut x = nnls::solve(&gram, &matrix.tr_mul(&wanted), passive);
    for _ in 0..MULTIPLIER_ROUNDS {
        let missed = remainder(gravity, generators, &x)
            .fixed_rows::<6>(0)
            .into_owned();
        if missed.amax() < EQUILIBRIUM_MET {
            break;
        }
        for k in 0..6 {
            wanted[k] += missed[k] * EQUILIBRIUM_WEIGHT;
        }
        x = nnls::solve(&gram, &matrix.tr_mul(&wanted), passive);
    }
    x
}

fn generators(constraints: &Constraints, pose: &Pose, skeleton: &Skeleton) -> Vec<Generator> {
    let mut all = Vec::new();
    let mut pads = 0;
    surfaces(constraints, skeleton, &mut all, &mut pads);
    touches(constraints, skeleton, &mut all, &mut pads);
    flesh(constraints, skeleton, &mut all, &mut pads);
    stops(constraints, pose, &mut all);
    all
}

fn surfaces(
    constraints: &Constraints,
    skeleton: &Skeleton,
    all: &mut Vec<Generator>,
    pads: &mut usize,
) {
    for (index, point) in constraints
        .points
        .iter()
        .enumerate()
        .filter(|(_, p)| !p.light)
    {
        let moves = point.moves(skeleton);
        let normal = point.plane.normal();
        let across = [
            Vector3::y(),
            if point.plane.is_wall() {
                Vector3::z()
            } else {
                Vector3::x()
            },
        ];
        for k in 0..CONE_SIDES {
            let (sin, cos) = (k as f64 * std::f64::consts::TAU / CONE_SIDES as f64).sin_cos();
            let sideways = (point.friction * cos, point.friction * sin);
            let vector = normal + across[0] * sideways.0 + across[1] * sideways.1;
            all.push(Generator {
                effect: moves.tr_mul(&vector),
                pad: Some(Pad {
                    index: *pads,
                    dearer: 1.0,
                    sideways,
                    normal: 1.0,
                }),
                at: Some((index, vector)),
            });
        }
        *pads += 1;
    }
}

/// A force between two parts of the body, and its opposite.
fn between(away: &Vector3<f64>, on: &Moves, from: &Moves) -> SVector<f64, UNKNOWNS> {
    (on - from).tr_mul(away)
}

fn touches(
    constraints: &Constraints,
    skeleton: &Skeleton,
    all: &mut Vec<Generator>,
    pads: &mut usize,
) {
    let body = constraints.body;
    for touch in &constraints.shape.touches {
        let (a, b) = (skeleton.sphere(touch.a), skeleton.sphere(touch.b));
        let away = (a - b).normalize();
        let (row_a, row_b) = (&body.spheres[touch.a.0], &body.spheres[touch.b.0]);
        let place = b + away * row_b.radius;
        let effect = between(
            &away,
            &skeleton.moves(row_a.on, &place),
            &skeleton.moves(row_b.on, &place),
        );
        let pad = |normal| {
            Some(Pad {
                index: *pads,
                dearer: 1.0,
                sideways: (0.0, 0.0),
                normal,
            })
        };
        all.push(Generator {
            effect,
            pad: pad(1.0),
            at: None,
        });
        if touch.hold {
            all.push(Generator {
                effect: -effect,
                pad: pad(-1.0),
                at: None,
            });
        }
        *pads += 1;
    }
}

/// Belly, ribs and head push on thighs and shanks near them; sitting bones on shanks.
fn flesh(
    constraints: &Constraints,
    skeleton: &Skeleton,
    all: &mut Vec<Generator>,
    pads: &mut usize,
) {
    let body = constraints.body;
    let sits = |s: SphereId| body.spheres[s.0].name == "sit";
    for &sphere in &body.rests_on_leg {
        let row = &body.spheres[sphere.0];
        for limb in body.limbs.iter().filter(|limb| limb.kind.is_leg()) {
            if limb.kind == LimbKind::Thigh && sits(sphere) {
                continue;
            }
            let near = nearness(skeleton, sphere, limb);
            if near.gap > FLESH_REACH_M {
                continue;
            }
            let place = skeleton.sphere(sphere) - near.away * row.radius;
            let leg = body.spheres[limb.from.0].on;
            let effect = between(
                &near.away,
                &skeleton.moves(row.on, &place),
                &skeleton.moves(leg, &place),
            );
            let dearer = 1.0 + (near.gap.max(0.0) / FLESH_GAP_M).powi(2);
            let pad = Some(Pad {
                index: *pads,
                dearer,
                sideways: (0.0, 0.0),
                normal: 1.0,
            });
            all.push(Generator {
                effect,
                pad,
                at: None,
            });
            *pads += 1;
        }
    }
}

/// Ligaments of hinges at their limits: torques that cost nothing, one way only.
fn stops(constraints: &Constraints, pose: &Pose, all: &mut Vec<Generator>) {
    for (i, (angle, hinge)) in pose.hinges.iter().zip(&constraints.body.hinges).enumerate() {
        let (low, high) = (hinge.limits.0.to_degrees(), hinge.limits.1.to_degrees());
        let degrees = angle.to_degrees();
        let reach = if hinge.name == "knee.flex" {
            STRAIGHT_KNEE_DEG
        } else {
            STOP_DEG
        };
        let push = if degrees < low + reach {
            1.0
        } else if degrees > high - STOP_DEG {
            -1.0
        } else {
            continue;
        };
        let mut effect = SVector::zeros();
        effect[6 + i] = push;
        all.push(Generator {
            effect,
            pad: None,
            at: None,
        });
    }
}
