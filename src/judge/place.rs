//! Where somebody has their place in the room: with their back to the wall, where a note says so.
//!
//! Invariant: a wish about the room, not about the body; it takes a place at the wall for the whole class,
//! and nothing else follows from it.

use super::facts::Person;
use crate::words::{Prop, PropCounts};

/// Takes a place at the wall out of what is left in the room for everybody who asked for one. Where that is
/// too few for all of them nobody's is kept: who comes first is not for a list to say.
pub fn keep_at_the_wall(left: &mut PropCounts, people: &[Person<'_>]) -> bool {
    let wishes = people.iter().filter(|one| one.student.wants_the_wall());
    let wishes = u32::try_from(wishes.count()).unwrap_or(u32::MAX);
    let places = left.entry(Prop::Wall).or_insert(0);
    let kept = (1..=*places).contains(&wishes);
    if kept {
        *places -= wishes;
    }
    kept
}
