//! The library's bodies settled again: from their own start, and from others.
//!
//! For `check` alone: it takes seconds, where a load takes the kept bodies as they are.

use super::Library;
use super::cores::on_every_core;
use super::posture::PostureBody;
use crate::body::{Body, RestartEnd, Settled, Shape, restarts, settle};

/// How far a fresh body may lie from the kept one: platforms differ in their last digits.
const SAME_DEG: f64 = 0.5;
const SAME_PCT: f64 = 0.5;
const SAME_M: f64 = 0.002;
/// Other starts for every shape, and how far their ends may lie from the usual one (body-model section 4).
const STARTS: u32 = 4;
const STEADY_DEG: f64 = 5.0;
const STEADY_PCT: f64 = 3.0;

/// What settling again found, in words, by posture.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recomputed {
    /// Shapes settled again.
    pub shapes: usize,
    /// Shapes whose kept body is not what settling gives.
    pub stale: Vec<String>,
    /// Shapes that end elsewhere from another start: they want one more direction, not a better solver.
    pub unsteady: Vec<String>,
}

impl Library {
    /// Settles every shape again and compares it with the body that is kept.
    pub fn stale_bodies(&self) -> Vec<String> {
        let found = on_every_core(self.bodies(), |(id, shape, kept)| {
            let far = distance(kept, &settle(Body::standard(), shape))?;
            Some(format!("{id}: {far}"))
        });
        found.into_iter().flatten().collect()
    }

    /// Settles every shape again, from its own start and from others.
    pub fn recompute(&self) -> Recomputed {
        let unsteady = on_every_core(self.bodies(), |(id, shape, _)| {
            let ends = restarts(Body::standard(), shape, STARTS);
            let moved = ends
                .iter()
                .filter(|end| match end.end {
                    RestartEnd::Same => {
                        end.moved_deg > STEADY_DEG || end.moved_load_pct > STEADY_PCT
                    }
                    RestartEnd::Lower => true,
                    // A start that gets stuck in a worse shape says nothing of the usual one.
                    RestartEnd::Stuck => false,
                })
                .max_by(|a, b| a.moved_deg.total_cmp(&b.moved_deg))?;
            let lower = if moved.end == RestartEnd::Lower {
                ", to a better shape"
            } else {
                ""
            };
            Some(format!(
                "{id}: {} by {:.0} degrees, loads by {:.0} %{lower}",
                moved.hinge, moved.moved_deg, moved.moved_load_pct
            ))
        });
        Recomputed {
            shapes: self.bodies().len(),
            stale: self.stale_bodies(),
            unsteady: unsteady.into_iter().flatten().collect(),
        }
    }

    fn bodies(&self) -> Vec<(&str, &Shape, &Settled)> {
        let bodies = self
            .postures
            .values()
            .filter_map(|posture| match &posture.body {
                PostureBody::Shape { shape, settled, .. } => {
                    Some((posture.id.as_str(), &**shape, &**settled))
                }
                PostureBody::Ends(_) => None,
            });
        bodies.collect()
    }
}

/// How far two bodies of one shape lie apart, in words; none when they are the same within tolerance.
fn distance(kept: &Settled, fresh: &Settled) -> Option<String> {
    let most = |pairs: &mut dyn Iterator<Item = (f64, f64)>| {
        pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    };
    let degrees = most(
        &mut kept
            .hinges_deg
            .iter()
            .copied()
            .zip(fresh.hinges_deg.iter().copied()),
    );
    let metres = most(&mut kept.pelvis_m.into_iter().zip(fresh.pelvis_m));
    let (theirs, ours) = (
        kept.forces_pct.as_flattened(),
        fresh.forces_pct.as_flattened(),
    );
    let loads = most(&mut theirs.iter().copied().zip(ours.iter().copied()));
    let same = degrees <= SAME_DEG && metres <= SAME_M && loads <= SAME_PCT;
    (!same).then(|| {
        format!(
            "settles {degrees:.1} degrees, {:.1} cm and {loads:.1} % from what is kept",
            metres * 100.0
        )
    })
}
