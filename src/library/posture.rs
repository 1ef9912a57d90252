//! A posture: names, level, purposes, what it asks, and its settled body.

use std::collections::BTreeMap;

use super::condition::{Fact, Grade};
use super::scene::Moment;
use crate::body;
use crate::words::{BodySide, DemandId, Level, PostureId, PropCounts, PurposeId, Side};

/// A node of the graph.
#[derive(Clone, Debug)]
pub struct Posture {
    /// Kebab-case of its first English name.
    pub id: PostureId,
    /// The catalogue's row, for a row of its own.
    pub row: Option<String>,
    /// English names, the first one printed.
    pub names: Vec<String>,
    /// Sanskrit names in IAST, the first one printed.
    pub sanskrit: Vec<String>,
    /// Where the body is.
    pub level: Level,
    /// What names the side ("front leg"). Its presence makes the posture two-sided.
    pub lead: Option<String>,
    /// What it is for, weights 1 to 3.
    pub purposes: BTreeMap<PurposeId, u8>,
    /// The usual hold, where one is written.
    pub usual_hold: Option<UsualHold>,
    /// How to get in, one short plain sentence.
    pub cue: String,
    /// How it is said as a choice: what it does, never who it is for.
    pub choice: String,
    /// What one person needs for it.
    pub props: PropCounts,
    /// What geometry cannot give.
    pub facts: Vec<Fact>,
    /// Effort in MET.
    pub effort_met: f64,
    /// Where the effort comes from.
    pub effort_source: String,
    /// The posture it differs from, for a variation.
    pub based_on: Option<PostureId>,
    /// One body, or the two ends of a movement.
    pub body: PostureBody,
    /// Measures with the lead side as the body's left; for a movement the greater of its ends.
    pub measures: body::Measures,
    /// The shapes that conditions are read on: one, or the two ends of a movement.
    pub moments: Vec<Moment>,
    /// What it asks, by demand.
    pub demands: BTreeMap<DemandId, Asks>,
    /// An end of a movement: not listed, and no node of the graph.
    pub is_part: bool,
}

/// How long a shape is usually held, the shortest and the longest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UsualHold {
    /// In breaths.
    Breaths(f64, f64),
    /// In minutes, for restful shapes.
    Minutes(f64, f64),
}

impl UsualHold {
    /// The shortest and the longest in seconds, with breaths of so many seconds.
    pub fn seconds(self, breath_s: f64) -> (f64, f64) {
        match self {
            Self::Breaths(from, to) => (from * breath_s, to * breath_s),
            Self::Minutes(from, to) => (from * 60.0, to * 60.0),
        }
    }
}

/// How much of a demand falls on each side, with the lead side as the body's left. A demand
/// without sides has both alike.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Asks {
    /// On the left as authored (the lead side).
    pub left: Option<Grade>,
    /// On the right as authored.
    pub right: Option<Grade>,
}

/// One body, or the two ends of a movement.
#[derive(Clone, Debug)]
pub enum PostureBody {
    /// A shape of its own with its settled pose, the lead side as the body's left.
    Shape {
        /// As authored.
        shape: Box<body::Shape>,
        /// As settled.
        settled: Box<body::Settled>,
        /// What it was settled from: a hash of the shape's text, the body's table and the solver.
        key: String,
    },
    /// A movement between two shapes; the figure is the first.
    Ends([PostureId; 2]),
}

impl Posture {
    /// Whether it is done once per side.
    pub fn is_sided(&self) -> bool {
        self.lead.is_some()
    }

    /// The side that it is kept with: the lead side as the body's left.
    pub fn authored_side(&self) -> Side {
        if self.is_sided() {
            Side::Left
        } else {
            Side::None
        }
    }

    /// Every side on which it may be done.
    pub fn sides(&self) -> &'static [Side] {
        if self.is_sided() {
            &[Side::Right, Side::Left]
        } else {
            &[Side::None]
        }
    }

    /// Its purposes, with their weights, that another posture does not serve.
    pub fn purposes_lost<'a>(
        &'a self,
        other: &'a Self,
    ) -> impl Iterator<Item = (&'a PurposeId, u8)> + use<'a> {
        let lost = |(id, _): &(&PurposeId, &u8)| !other.purposes.contains_key(*id);
        self.purposes
            .iter()
            .filter(lost)
            .map(|(id, &weight)| (id, weight))
    }

    /// The printed English name.
    pub fn name(&self) -> &str {
        self.names.first().map_or(self.id.as_str(), String::as_str)
    }

    /// How much of a demand it asks on one side of the body when `side` leads.
    pub fn asks(&self, demand: &DemandId, side: Side, on: BodySide) -> Option<Grade> {
        let asks = self.demands.get(demand)?;
        let mirrored = side == Side::Right;
        if mirrored == (on == BodySide::Left) {
            asks.right
        } else {
            asks.left
        }
    }
}

/// Posture names, folded, for look-up.
#[derive(Clone, Debug, Default)]
pub struct Names {
    /// Folded key to the posture that owns the name.
    pub owners: BTreeMap<String, PostureId>,
    /// Loosely folded key, which English spellings of Sanskrit share, to the same.
    pub loosely: BTreeMap<String, PostureId>,
    /// Short names with one meaning, folded (`data/short-names.yaml`).
    pub short: BTreeMap<String, PostureId>,
    /// Loose words, folded, with the postures that they may stand for, likeliest first.
    pub perhaps: BTreeMap<String, Vec<PostureId>>,
    /// Every spelling, for near words.
    pub spellings: Vec<Spelling>,
}

/// One way to write a posture's name, ready to be compared with what somebody typed.
#[derive(Clone, Debug)]
pub struct Spelling {
    /// The name as the library writes it.
    pub name: String,
    /// Its folded key.
    pub key: String,
    /// Which letters the key has, a bit each: far keys are told apart at once.
    pub letters: u64,
    /// Its words, folded and loosely folded.
    pub words: Vec<(String, String)>,
    /// Whose name it is.
    pub posture: PostureId,
    /// Whether it is a short name.
    pub short: bool,
}

/// Surfaces lower than this are no chair, in centimetres: a seat is 43 to 46 (common practice, no source).
const LEAST_SEAT_CM: u32 = 40;

impl super::Library {
    /// Whether a hand or a forearm rests on a chair, or on something as high, at every moment of
    /// a posture.
    pub fn has_a_hand_up(&self, posture: &Posture) -> bool {
        let rests = |contact: &body::Contact| {
            let hand = ["hand", "fingers", "fist", "forearm", "wrist"];
            let up = match &contact.surface {
                body::Surface::Named(name) => name == "chair",
                body::Surface::Height(cm) => *cm >= LEAST_SEAT_CM,
            };
            up && hand.contains(&contact.patch.as_str())
        };
        match &posture.body {
            PostureBody::Shape { shape, .. } => shape.contacts.iter().any(rests),
            PostureBody::Ends(ends) => ends.iter().all(|end| {
                let end = self.postures.get(end);
                end.is_some_and(|end| match &end.body {
                    PostureBody::Shape { shape, .. } => shape.contacts.iter().any(rests),
                    PostureBody::Ends(_) => false,
                })
            }),
        }
    }

    /// The body that a posture's figure shows: its own, or that of a movement's first end.
    pub fn drawn<'l>(&'l self, posture: &'l Posture) -> Option<&'l PostureBody> {
        match &posture.body {
            shape @ PostureBody::Shape { .. } => Some(shape),
            PostureBody::Ends([first, _]) => {
                let first = &self.postures.get(first)?.body;
                matches!(first, PostureBody::Shape { .. }).then_some(first)
            }
        }
    }
}
