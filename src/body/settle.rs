//! Settling: puts the body on its contacts by least squares (Levenberg–Marquardt, exact derivatives).
//!
//! Loose pass first, then tight, from a fixed start: the targets. A symmetric shape is solved in 21
//! unknowns instead of 45, which alone keeps its sides equal.

use nalgebra::{DMatrix, DVector};

use super::constraints::Constraints;
use super::pose::Pose;
use super::residuals::{LOOSE, Sigmas, Sum, TIGHT};
use super::settled::Settled;
use super::shape::Shape;
use super::skeleton::UNKNOWNS;
use super::table::{Body, CENTRAL, HINGES, PER_SIDE};

/// Changes whenever the same shape and table would settle to other numbers.
pub const SOLVER_VERSION: u32 = 1;

const STEP_TURN: f64 = 0.5;
const STEP_SHIFT_M: f64 = 0.3;
const MOST_STEPS: u32 = 400;
/// A step that gains less than this share of the cost is idle; three idle steps end a pass.
const IDLE_GAIN: f64 = 1e-4;

/// The settled body of a shape.
pub fn settle(body: &Body, shape: &Shape) -> Settled {
    let constraints = Constraints::new(body, shape);
    let solution = solve(&constraints, constraints.targets.map(|(target, _)| target));
    Settled::new(&constraints, &solution)
}

/// Where the two passes ended.
pub(crate) struct Solution {
    pub(crate) pose: Pose,
    pub(crate) cost: f64,
    pub(crate) evaluations: u32,
    /// Standard deviation left to every hinge by all constraints, radians.
    pub(crate) left_free: [f64; HINGES],
}

pub(crate) fn solve(constraints: &Constraints, start: [f64; HINGES]) -> Solution {
    let unknowns = Unknowns::of(constraints.shape);
    let start = constraints.start(start);
    let (pose, first) = minimise(constraints, &unknowns, start, &LOOSE);
    let (pose, second) = minimise(constraints, &unknowns, pose, &TIGHT);
    let sum = constraints.sum(&pose, &TIGHT, true);
    let left_free = unknowns.left_free(&sum);
    Solution {
        pose,
        cost: sum.cost,
        evaluations: first + second + 1,
        left_free,
    }
}

/// The unknowns that are solved for; each moves one or two of the pose's own.
struct Unknowns(Vec<Vec<usize>>);

impl Unknowns {
    fn of(shape: &Shape) -> Self {
        if !shape.is_symmetric() {
            return Self((0..UNKNOWNS).map(|i| vec![i]).collect());
        }
        // Shift along x and z, pitch about y, the three spine and neck bends, and pairs of limb hinges.
        let flexions = (0..CENTRAL).step_by(3).map(|i| vec![6 + i]);
        let pairs = (CENTRAL..CENTRAL + PER_SIDE).map(|i| vec![6 + i, 6 + i + PER_SIDE]);
        Self(
            [vec![0], vec![2], vec![4]]
                .into_iter()
                .chain(flexions)
                .chain(pairs)
                .collect(),
        )
    }

    fn reduced(&self, sum: &Sum) -> (DMatrix<f64>, DVector<f64>) {
        let count = self.0.len();
        let matrix = DMatrix::from_fn(count, count, |a, b| {
            self.0[a]
                .iter()
                .flat_map(|&i| self.0[b].iter().map(move |&j| (i, j)))
                .map(|at| sum.hessian[at])
                .sum()
        });
        let vector = DVector::from_fn(count, |a, _| {
            self.0[a].iter().map(|&i| sum.gradient[i]).sum()
        });
        (matrix, vector)
    }

    fn spread(&self, step: &DVector<f64>) -> [f64; UNKNOWNS] {
        let mut full = [0.0; UNKNOWNS];
        for (value, places) in step.iter().zip(&self.0) {
            for &i in places {
                full[i] = *value;
            }
        }
        full
    }

    fn left_free(&self, sum: &Sum) -> [f64; HINGES] {
        let (matrix, _) = self.reduced(sum);
        let mut left = [0.0; HINGES];
        if let Some(cholesky) = matrix.cholesky() {
            let inverse = cholesky.inverse();
            for (a, places) in self.0.iter().enumerate() {
                // A pair shares one unknown, twice informed.
                let deviation = (inverse[(a, a)] * places.len() as f64).sqrt();
                for &i in places.iter().filter(|&&i| i >= 6) {
                    left[i - 6] = deviation;
                }
            }
        }
        left
    }
}

/// One pass. Gives the best pose and how often the residuals were computed.
fn minimise(
    constraints: &Constraints,
    unknowns: &Unknowns,
    start: Pose,
    sigmas: &Sigmas,
) -> (Pose, u32) {
    let mut pose = start;
    let mut sum = constraints.sum(&pose, sigmas, true);
    let (mut damping, mut growth) = (1e-3, 2.0);
    let (mut evaluations, mut idle) = (1, 0);
    for _ in 0..MOST_STEPS {
        let (matrix, gradient) = unknowns.reduced(&sum);
        let diagonal = matrix.diagonal();
        let mut damped = matrix.clone();
        damped.set_diagonal(&diagonal.map(|d| d * (1.0 + damping) + 1e-9));
        let Some(cholesky) = damped.cholesky() else {
            damping *= 10.0;
            continue;
        };
        let mut step = -cholesky.solve(&gradient);
        let full = unknowns.spread(&step);
        let largest = |range: &[f64]| range.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        let scale = (STEP_SHIFT_M / largest(&full[..3]))
            .min(STEP_TURN / largest(&full[3..]))
            .min(1.0);
        step *= scale;
        let next = pose.stepped(&unknowns.spread(&step));
        let trial = constraints.sum(&next, sigmas, false);
        evaluations += 1;
        let gain = sum.cost - trial.cost;
        if gain > 0.0 {
            let expected = -(2.0 * gradient.dot(&step) + step.dot(&(&matrix * &step)));
            let ratio = gain / expected.max(1e-30);
            damping *= (1.0 - (2.0 * ratio - 1.0).powi(3)).clamp(1.0 / 3.0, 2.0);
            damping = damping.max(1e-12);
            growth = 2.0;
            idle = if gain < IDLE_GAIN * sum.cost {
                idle + 1
            } else {
                0
            };
            pose = next;
            sum = constraints.sum(&pose, sigmas, true);
        } else {
            damping *= growth;
            growth *= 2.0;
            idle += u32::from(gain > -1e-9 * sum.cost);
        }
        if idle >= 3 || damping > 1e9 {
            break;
        }
    }
    (pose, evaluations)
}
