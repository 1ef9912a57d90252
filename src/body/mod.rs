//! The body: from an authored shape to a settled pose, the loads on its contacts and the measures.
//!
//! Takes a [`Shape`] (what a person wrote) and the table of one average [`Body`]; gives a [`Settled`]
//! pose and from it [`Measures`]. Rigid links, put on their contacts; the taught shape, never a
//! student's. Frame: x along the mat towards the head end, y to the body's left, z up; metres.
//!
//! Invariant: a fixed start and a fixed order of work, no threads and no chance inside a solve, so the
//! same shape and table give the same numbers. This module knows no rules, props or people.

mod capsules;
mod constraints;
mod contacts;
mod hull;
mod measure_names;
mod measures;
mod nnls;
mod pose;
mod residuals;
mod restarts;
mod settle;
mod settled;
mod shape;
mod shape_angles;
mod shape_points;
mod shape_read;
mod skeleton;
mod skin;
mod statics;
mod table;
mod table_read;

pub use contacts::{ContactPoint, Group};
pub use measure_names::Measure;
pub use measures::{Measures, Origin, Reading, Told, measure};
pub use pose::Pose;
pub use restarts::{RestartEnd, RestartReport, restarts};
pub use settle::{SOLVER_VERSION, settle};
pub use settled::{Residuals, Settled, SettledContact, Strain};
pub use shape::{
    Aim, Apart, Balance, Base, Contact, Published, PublishedValue, Segment, Shape, Surface, Touch,
    Trunk,
};
pub use shape_read::ShapeProblem;
pub use skin::Skin;
pub use table::{Body, HingeId, SphereId, TABLE_TEXT};
