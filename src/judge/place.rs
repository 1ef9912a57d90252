//! Where somebody has their place in the room: with their back to the wall, where a note says so.
//!
//! Invariant: a wish about the room, not about the body; it takes a place at the wall for the whole class,
//! and nothing else follows from it.

use super::facts::Person;
use crate::input::suggest::fold;
use crate::roster::{Student, Where};
use crate::words::{Prop, PropCounts};

/// How notes ask for it, in six languages (starters, common practice, no source).
const BACK_TO_THE_WALL: [&str; 12] = [
    "back to the wall",
    "back to a wall",
    "back against the wall",
    "by the wall",
    "espalda a la pared",
    "espalda contra la pared",
    "dos au mur",
    "dos contre le mur",
    "Rücken zur Wand",
    "Rücken an der Wand",
    "costas para a parede",
    "schiena al muro",
];

/// Whether a note asks for a place with the back to the wall.
pub fn wants_the_wall(student: &Student) -> bool {
    let note = student.note.as_deref().map(fold).unwrap_or_default();
    let asks = BACK_TO_THE_WALL.iter();
    student.place == Where::Room
        && asks
            .map(|words| fold(words))
            .any(|words| note.contains(&words))
}

/// Takes a place at the wall out of what is left in the room for everybody who asked for one. Where that is
/// too few for all of them nobody's is kept: who comes first is not for a list to say.
pub fn keep_at_the_wall(left: &mut PropCounts, people: &[Person<'_>]) -> bool {
    let wishes = people.iter().filter(|one| wants_the_wall(one.student));
    let wishes = u32::try_from(wishes.count()).unwrap_or(u32::MAX);
    let places = left.entry(Prop::Wall).or_insert(0);
    let kept = (1..=*places).contains(&wishes);
    if kept {
        *places -= wishes;
    }
    kept
}
