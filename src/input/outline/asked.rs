//! What the teacher is asked to confirm: everything that was read and not written.

use std::fmt;

/// Something to confirm.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// Line of the outline, from 1.
    pub file_line: usize,
    /// The step it belongs to; none when it is about the whole class.
    pub step: Option<usize>,
    /// What was read.
    pub what: Asked,
}

/// What was read without being written just so.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// A name that is not the posture's own.
    Name {
        /// As written.
        written: String,
        /// The posture's name.
        read: String,
    },
    /// One of several meanings, decided by the steps around it.
    Meaning {
        /// As written.
        written: String,
        /// The posture's name.
        read: String,
        /// What decided.
        why: &'static str,
        /// Names of the others.
        others: Vec<String>,
    },
    /// A shape that stands at another level than the steps around it, where a like one is at theirs.
    Level {
        /// The posture's name.
        read: String,
        /// The one at the level of the steps around it.
        other: String,
    },
    /// No hold is written: a usual one is taken.
    NoHold(String),
    /// A number without a unit.
    NoUnit {
        /// The number as written.
        written: String,
        /// With the unit that was taken.
        read: String,
    },
    /// A hold of so much to so much: the longer is taken.
    Spread {
        /// As written.
        written: String,
        /// The hold that was taken.
        read: String,
    },
    /// Words that are kept as a note.
    Note(String),
    /// Words beside the day and the clock that nothing is done with.
    NotUsed(String),
    /// The name of a run, which is printed nowhere.
    RunName(String),
    /// Words after a dash that name a posture.
    NoteIsPosture(String),
    /// Clock times in front of steps are not read.
    Clocks,
    /// No title is written.
    NoTitle(String),
    /// The length is not written: in minutes, what the steps take.
    NoLength(u32),
}

impl fmt::Display for Asked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Name { written, read } => write!(f, "“{written}” read as {read}"),
            Self::Meaning {
                written,
                read,
                why,
                others,
            } => write!(
                f,
                "“{written}” read as {read}, {why}; else write {}",
                others.join(" or ")
            ),
            Self::Level { read, other } => {
                write!(f, "{read} is elsewhere than the steps around it: {other}?")
            }
            Self::NoHold(read) => write!(f, "no hold written: {read}, as is usual"),
            Self::NoUnit { written, read } => write!(f, "“{written}” read as {read}"),
            Self::Spread { written, read } => write!(f, "“{written}” read as {read}, the longer"),
            Self::Note(words) => write!(f, "kept as a note: “{words}”"),
            Self::NotUsed(words) => write!(f, "“{words}” is not used"),
            Self::RunName(words) => write!(f, "“{words}” names the run and is left out"),
            Self::NoteIsPosture(words) => write!(
                f,
                "kept as a note: “{words}”; for a step of its own give it a line of its own"
            ),
            Self::Clocks => f.write_str(
                "clock times in front of steps are not read; the clock follows from the holds",
            ),
            Self::NoTitle(read) => write!(f, "no title written: “{read}”"),
            Self::NoLength(minutes) => write!(
                f,
                "no length written: {minutes} minutes, which is what the steps take; write it \
                 under the title, as in “45 minutes”"
            ),
        }
    }
}
