//! How closely each kind of residual is held, and the sum of their squares with its derivatives.

use nalgebra::{SMatrix, SVector};

use super::skeleton::UNKNOWNS;

/// How a residual moves with each unknown.
pub(crate) type Row = SMatrix<f64, 1, UNKNOWNS>;

/// One degree in radians.
pub(crate) const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Standard deviations that differ between the loose and the tight pass; metres and radians.
/// All are choices of the model (`body-model` section 4 of the design).
#[derive(Clone, Copy)]
pub(crate) struct Sigmas {
    pub(crate) contact: f64,
    pub(crate) touch: f64,
    pub(crate) limit: f64,
    pub(crate) below: f64,
    pub(crate) overlap: f64,
    pub(crate) balance: f64,
}

/// First pass: everything is drawn together gently.
pub(crate) const LOOSE: Sigmas = Sigmas {
    contact: 0.015,
    touch: 0.030,
    limit: 3.0 * DEGREE,
    below: 0.020,
    overlap: 0.030,
    balance: 0.020,
};

/// Second pass: contacts to a millimetre.
pub(crate) const TIGHT: Sigmas = Sigmas {
    contact: 0.001,
    touch: 0.002,
    limit: 0.4 * DEGREE,
    below: 0.002,
    overlap: 0.008,
    balance: 0.003,
};

/// Adds up cost and normal equations.
pub(crate) struct Sum {
    pub(crate) cost: f64,
    pub(crate) derivatives: bool,
    pub(crate) hessian: SMatrix<f64, UNKNOWNS, UNKNOWNS>,
    pub(crate) gradient: SVector<f64, UNKNOWNS>,
}

impl Sum {
    pub(crate) fn new(derivatives: bool) -> Self {
        Self {
            cost: 0.0,
            derivatives,
            hessian: SMatrix::zeros(),
            gradient: SVector::zeros(),
        }
    }

    pub(crate) fn add(&mut self, residual: f64, sigma: f64, row: impl FnOnce() -> Row) {
        let scaled = residual / sigma;
        self.cost += scaled * scaled;
        if !self.derivatives {
            return;
        }
        let row = row() / sigma;
        for i in 0..UNKNOWNS {
            let factor = row[i];
            if factor == 0.0 {
                continue;
            }
            self.gradient[i] += factor * scaled;
            for j in 0..UNKNOWNS {
                self.hessian[(j, i)] += factor * row[j];
            }
        }
    }

    /// A residual on one unknown alone.
    pub(crate) fn add_single(&mut self, residual: f64, sigma: f64, unknown: usize) {
        let scaled = residual / sigma;
        self.cost += scaled * scaled;
        if self.derivatives {
            self.gradient[unknown] += scaled / sigma;
            self.hessian[(unknown, unknown)] += 1.0 / (sigma * sigma);
        }
    }
}
