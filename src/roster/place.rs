//! Where somebody asks to have their place, in the words of their note.
//!
//! Invariant: a wish about the room, not about the body.

use super::{Student, Where};
use crate::input::suggest::fold;

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

impl Student {
    /// Whether their note asks for a place with the back to the wall.
    pub fn wants_the_wall(&self) -> bool {
        let note = self.note.as_deref().map(fold).unwrap_or_default();
        let asks = BACK_TO_THE_WALL.iter();
        self.place == Where::Room
            && asks
                .map(|words| fold(words))
                .any(|words| note.contains(&words))
    }
}
