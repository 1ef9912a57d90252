//! The left edge: the only reader of files.
//!
//! Takes paths; gives back checked values, or every problem of every file at once. A file is read
//! in three steps: where everything stands (`places`), its values, and then field by field
//! (`table`), so that one mistake never hides the next.

pub mod class;
pub(crate) mod days;
pub mod folder;
mod kind;
pub mod outline;
pub mod places;
pub mod props;
pub mod reading;
pub mod roster;
pub mod schema;
pub mod settings;
pub mod suggest;
pub mod table;
pub mod text;
