//! One form of one thing that may be done at a line.

use crate::judge::budgets;
use crate::judge::verdict::Form;
use crate::library::Library;
use crate::library::posture::Posture;
use crate::words::{Level, PostureId, PropCounts, Side, Use};

/// The id under which a pause is written where a posture's id is wanted.
pub const PAUSE: &str = "pause-as-you-are";

/// The id of an own shape that is like nothing in the library.
pub const OWN_SHAPE: &str = "own-shape";

/// What is done.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// A posture of the library. `swapped`: the side that leads is the other one; `fixed`: the
    /// side, where the line itself has none and the posture does.
    Posture {
        /// Which.
        id: PostureId,
        /// The other side leads.
        swapped: bool,
        /// The side on a line without sides.
        fixed: Option<Side>,
    },
    /// The teacher's own shape, like nothing in the library.
    Own,
    /// A pause at a level, asking nothing.
    Pause(Level),
    /// The pause that is always there, at a cost that no plan chooses.
    LastPause,
}

/// One form of one thing that may be done at a line.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Candidate {
    /// A rest, given as a sit-out.
    pub rest: bool,
    /// What is done.
    pub what: What,
    /// In which form.
    pub form: Form,
    /// Without the props that the line adds to the taught shape: there are too few of them.
    pub bare: bool,
    /// Props drawn from the cupboard, after what the person brings.
    pub drawn: PropCounts,
}

impl Candidate {
    /// The posture, if it is one.
    pub fn posture<'l>(&self, library: &'l Library) -> Option<&'l Posture> {
        match &self.what {
            What::Posture { id, .. } => library.postures.get(id),
            What::Own | What::Pause(_) | What::LastPause => None,
        }
    }

    /// Where the body is, given the line's own level.
    pub fn level(&self, library: &Library, line: Level) -> Level {
        match &self.what {
            What::Pause(level) => *level,
            What::Own | What::LastPause => line,
            What::Posture { .. } => self.posture(library).map_or(line, |posture| posture.level),
        }
    }

    /// Which side leads when the line's own side is `turn`.
    pub fn side(&self, library: &Library, turn: Side) -> Side {
        match &self.what {
            What::Posture { swapped, fixed, .. } => {
                let sided = self.posture(library).is_some_and(Posture::is_sided);
                let turn = fixed.unwrap_or(turn);
                match (sided, swapped) {
                    (false, _) => Side::None,
                    (true, false) => turn,
                    (true, true) => turn.mirrored(),
                }
            }
            What::Own => turn,
            What::Pause(_) | What::LastPause => Side::None,
        }
    }

    /// What it uses of the things that last.
    pub fn uses(&self, library: &Library) -> Vec<Use> {
        self.posture(library).map_or_else(Vec::new, budgets::uses)
    }

    /// The menu entry that it is a form of; none for a pause or a rest.
    pub fn shape(&self) -> String {
        match &self.what {
            What::Posture {
                id, swapped: false, ..
            } => id.to_string(),
            What::Posture {
                id, swapped: true, ..
            } => format!("{id} swapped"),
            What::Own => OWN_SHAPE.to_owned(),
            What::Pause(level) => format!("{PAUSE} {level}"),
            What::LastPause => PAUSE.to_owned(),
        }
    }
}
