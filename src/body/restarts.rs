//! Does the start matter? Settles a shape again from other starts and says how far the ends lie apart.
//!
//! For the check of the library only: published numbers come from the fixed start. A shape that moves wants
//! one more aim, not a better solver.

use super::constraints::Constraints;
use super::settle::{Solution, solve};
use super::shape::Shape;
use super::statics;
use super::table::{Body, HINGES, HingeId};

/// Standard deviation of a random start on every hinge, degrees.
const START_DEG: f64 = 12.0;
/// Ends within this of the fixed start's cost, as a share and as a number, count as equally low.
const SAME_COST_SHARE: f64 = 0.01;
const SAME_COST: f64 = 0.5;

/// Where one random start ended, against the fixed start.
#[derive(Clone, Debug, PartialEq)]
pub struct RestartReport {
    /// Which start, from 0.
    pub start: u32,
    /// Whether it ended as low, higher (stuck) or lower.
    pub end: RestartEnd,
    /// The hinge that moved most.
    pub hinge: String,
    /// How far it moved, degrees.
    pub moved_deg: f64,
    /// The greatest change of any group of loads, % of body weight.
    pub moved_load_pct: f64,
}

/// How low a random start ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RestartEnd {
    /// As low as the fixed start.
    Same,
    /// Higher: it got stuck in a worse shape.
    Stuck,
    /// Lower: the fixed start is not the best shape.
    Lower,
}

/// Settles the shape from `count` random starts with fixed seeds.
pub fn restarts(body: &Body, shape: &Shape, count: u32) -> Vec<RestartReport> {
    let constraints = Constraints::new(body, shape);
    let targets = constraints.targets.map(|(target, _)| target);
    let fixed = solve(&constraints, targets);
    let fixed_loads = statics::loads(&constraints, &fixed.pose);
    let fixed_groups = statics::groups(&constraints, &fixed_loads.forces);
    (0..count)
        .map(|start| {
            let other = solve(&constraints, shaken(body, shape, targets, start));
            let loads = statics::loads(&constraints, &other.pose);
            let groups = statics::groups(&constraints, &loads.forces);
            let moved_load = fixed_groups
                .iter()
                .map(|(key, load)| (load - groups.get(key).copied().unwrap_or(0.0)).abs())
                .fold(0.0, f64::max);
            let (moved_deg, hinge) = furthest(&fixed, &other);
            RestartReport {
                start,
                end: end(fixed.cost, other.cost),
                hinge: body.hinge_name(hinge),
                moved_deg,
                moved_load_pct: moved_load * 100.0,
            }
        })
        .collect()
}

fn end(fixed: f64, other: f64) -> RestartEnd {
    let same = SAME_COST + SAME_COST_SHARE * fixed;
    if other > fixed + same {
        RestartEnd::Stuck
    } else if other < fixed - same {
        RestartEnd::Lower
    } else {
        RestartEnd::Same
    }
}

fn furthest(a: &Solution, b: &Solution) -> (f64, HingeId) {
    (0..HINGES)
        .map(|i| {
            (
                (a.pose.hinges[i] - b.pose.hinges[i]).abs().to_degrees(),
                HingeId(i),
            )
        })
        .fold(
            (0.0, HingeId(0)),
            |most, next| if next.0 > most.0 { next } else { most },
        )
}

/// The targets with noise; equal on both sides in a symmetric shape.
fn shaken(body: &Body, shape: &Shape, targets: [f64; HINGES], start: u32) -> [f64; HINGES] {
    let symmetric = shape.is_symmetric();
    let mut noise =
        Noise(0x9E37_79B9_7F4A_7C15 ^ u64::from(start).wrapping_mul(0xD134_2543_DE82_EF95));
    let mut angles = targets;
    for i in 0..HINGES {
        let step = noise.normal() * START_DEG.to_radians();
        let mirror = HingeId(i).mirrored().0;
        if !symmetric {
            angles[i] += step;
        } else if mirror < i {
            angles[i] = angles[mirror];
        } else if !body.hinges[i].flips {
            angles[i] += step;
        }
    }
    angles
}

/// A small generator of its own, so that a seed gives the same start everywhere (splitmix64).
struct Noise(u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((bits ^ (bits >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Near enough normal: the sum of twelve uniform numbers, less six.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A start with the legs crossed stays stuck; none may end lower, and those that end as low agree.
    #[test]
    fn a_well_authored_shape_ends_where_it_ended() {
        let text =
            "{joints: {knee: 2}, contacts: {floor: [foot]}, aim: {trunk: up, toes: forward}}";
        let shape = Shape::read(&serde_yaml::from_str(text).expect("YAML")).expect("it reads");
        let reports = restarts(Body::standard(), &shape, 4);
        let same: Vec<_> = reports
            .iter()
            .filter(|r| r.end == RestartEnd::Same)
            .collect();
        assert!(
            same.len() >= 3 && reports.iter().all(|r| r.end != RestartEnd::Lower),
            "{reports:?}"
        );
        assert!(
            same.iter()
                .all(|r| r.moved_deg < 1.0 && r.moved_load_pct < 0.5),
            "{same:?}"
        );
    }
}
