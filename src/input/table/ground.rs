//! A file's text and the places in it, found when somebody first asks.

use std::fmt;
use std::sync::{Arc, OnceLock};

use crate::input::places::{Places, read_places};
use crate::input::text::Source;

/// What the values of a file stand on.
#[derive(Debug)]
pub(super) struct Ground {
    pub(super) source: Source,
    places: OnceLock<Places>,
}

impl Ground {
    /// A text whose places are known.
    pub(super) fn placed(source: Source, places: Places) -> Self {
        Self {
            source,
            places: OnceLock::from(places),
        }
    }

    /// A text that is known to be good: its places are read when a problem or a line needs one.
    pub(super) fn unplaced(source: Source) -> Self {
        Self {
            source,
            places: OnceLock::new(),
        }
    }

    /// The places.
    pub(super) fn places(&self) -> &Places {
        self.places.get_or_init(|| read_places(&self.source).0)
    }
}

/// The file and the line of something, said when it is shown: `rules/demands.yaml, line 12`.
#[derive(Clone)]
pub struct Whereabouts {
    pub(super) ground: Arc<Ground>,
    pub(super) path: String,
}

impl fmt::Display for Whereabouts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let source = &self.ground.source;
        let line = source.line_of(self.ground.places().key(&self.path).start);
        write!(f, "{}, line {line}", source.name())
    }
}

impl fmt::Debug for Whereabouts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} › {}", self.ground.source.name(), self.path)
    }
}
