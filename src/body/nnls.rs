//! Least squares with unknowns that may not be negative (Lawson and Hanson 1974, active sets).

use nalgebra::{DMatrix, DVector};

/// The `x ≥ 0` that minimises `xᵀGx/2 − cᵀx` for a positive definite `G`, begun from the unknowns in
/// `passive`, which are left as those that came out above zero.
///
/// Works on the normal matrix: a few dozen unknowns are above zero at once, so one factorisation a
/// step is cheap. Ties go to the lower index; the number of steps is bounded.
pub(crate) fn solve(
    gram: &DMatrix<f64>,
    c: &DVector<f64>,
    passive: &mut Vec<usize>,
) -> DVector<f64> {
    let count = c.len();
    let mut x = DVector::zeros(count);
    let tolerance = 1e-10 * c.amax().max(1e-12);
    inner(gram, c, passive, &mut x);
    // Unknowns that left again at once, by rounding: not tried again until something else moved.
    let mut idle: Vec<usize> = Vec::new();
    for _ in 0..6 * count + 10 {
        let slope = c - gram * &x;
        let next = (0..count)
            .filter(|i| !passive.contains(i) && !idle.contains(i))
            .map(|i| (slope[i] / gram[(i, i)].sqrt(), i))
            .fold((tolerance, None), |best, (s, i)| {
                if s > best.0 { (s, Some(i)) } else { best }
            });
        let Some(entering) = next.1 else { break };
        passive.push(entering);
        inner(gram, c, passive, &mut x);
        if passive.contains(&entering) {
            idle.clear();
        } else {
            idle.push(entering);
        }
    }
    x
}

/// Solves for the passive unknowns alone; those that would turn negative leave, one boundary at a time.
fn inner(gram: &DMatrix<f64>, c: &DVector<f64>, passive: &mut Vec<usize>, x: &mut DVector<f64>) {
    while !passive.is_empty() {
        let sub = DMatrix::from_fn(passive.len(), passive.len(), |a, b| {
            gram[(passive[a], passive[b])]
        });
        let right = DVector::from_fn(passive.len(), |a, _| c[passive[a]]);
        let Some(factor) = sub.cholesky() else { return };
        let free = factor.solve(&right);
        let boundary = passive
            .iter()
            .zip(free.iter())
            .filter(|(_, target)| **target <= 0.0)
            .map(|(&i, target)| {
                (
                    if x[i] > 0.0 {
                        x[i] / (x[i] - target)
                    } else {
                        0.0
                    },
                    i,
                )
            })
            .min_by(|(a, _), (b, _)| a.total_cmp(b));
        let share = boundary.map_or(1.0, |(share, _)| share);
        for (&i, target) in passive.iter().zip(free.iter()) {
            x[i] += share * (target - x[i]);
        }
        let Some((_, first)) = boundary else { return };
        let leaving: Vec<usize> = passive
            .iter()
            .zip(free.iter())
            .filter(|(i, target)| **i == first || **target <= 0.0 && x[**i] <= 1e-14)
            .map(|(i, _)| *i)
            .collect();
        passive.retain(|i| !leaving.contains(i));
        for i in leaving {
            x[i] = 0.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_that_wants_to_be_negative_is_zero() {
        // minimise |x − (1, −1)|² with x ≥ 0: (1, 0).
        let gram = DMatrix::identity(2, 2);
        let x = solve(&gram, &DVector::from_vec(vec![1.0, -1.0]), &mut Vec::new());
        assert!((x[0] - 1.0).abs() < 1e-12);
        assert_eq!(x[1], 0.0);
    }

    #[test]
    fn a_mixed_matrix_meets_the_conditions_of_a_minimum() {
        let a = DMatrix::from_fn(8, 5, |i, j| ((i * 7 + j * 3) % 5) as f64 - 1.7);
        let b = DVector::from_fn(8, |i, _| (i as f64 * 1.3).sin());
        let (gram, c) = (
            a.transpose() * &a + DMatrix::identity(5, 5) * 1e-6,
            a.transpose() * b,
        );
        let x = solve(&gram, &c, &mut Vec::new());
        let slope = &c - &gram * &x;
        for i in 0..5 {
            assert!(x[i] >= 0.0);
            assert!(slope[i] < 1e-8, "could still fall along {i}");
            assert!(
                x[i] == 0.0 || slope[i].abs() < 1e-8,
                "not at rest along {i}"
            );
        }
    }
}
