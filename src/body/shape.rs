//! A shape as authored: contacts, a few angles, a few directions.
//!
//! Sides are the body's own: what is written `lead` is the left, `other` the right. [`Shape::mirrored`]
//! gives the shape with the right side leading. Angles in degrees, directions and distances in the frame
//! of the mat.

use std::collections::BTreeMap;

use super::measure_names::Measure;
use super::table::{Body, HingeId, SphereId};
use crate::words::BodySide;

/// One shape of the body, every word checked and every side spelt out.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// What names the side (front leg, standing leg …); none for a shape that is the same on both sides.
    pub lead: Option<String>,
    /// How the pelvis is turned to begin with.
    pub trunk: Trunk,
    /// Authored hinge angles, degrees.
    pub joints: BTreeMap<HingeId, f64>,
    /// Patches on surfaces.
    pub contacts: Vec<Contact>,
    /// Spheres of the body that meet.
    pub touches: Vec<Touch>,
    /// Wanted directions of segments.
    pub aims: BTreeMap<(Segment, Option<BodySide>), Aim>,
    /// Wanted distances between two points.
    pub apart: Vec<Apart>,
    /// Patches above which the centre of mass is held closely; empty for the usual looseness.
    pub over: Vec<(String, Option<BodySide>)>,
    /// Whether the settled body must balance on its base.
    pub balance: Balance,
    /// Where the figure is seen from: azimuth and eye height in degrees; none leaves it to the drawing.
    pub view: Option<[f64; 2]>,
    /// Published values that replace computed ones.
    pub published: BTreeMap<Measure, Published>,
}

/// The base posture of the pelvis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Base {
    /// Standing or sitting: the spine up, the front ahead (+x).
    Upright,
    /// On hands and knees: the spine level, head ahead (+x), front down.
    AllFours,
    /// Lying on the front, head ahead (+x).
    Prone,
    /// Lying on the back, feet ahead (+x), as one leans back from upright.
    Supine,
    /// Lying on the left side, head ahead (+x), front to the right (−y).
    LyingLeft,
    /// Lying on the right side, head ahead (+x), front to the left (+y).
    LyingRight,
}

impl Base {
    /// Every base with its word.
    pub const ALL: [(&'static str, Base); 6] = [
        ("upright", Base::Upright),
        ("all-fours", Base::AllFours),
        ("prone", Base::Prone),
        ("supine", Base::Supine),
        ("lying-left", Base::LyingLeft),
        ("lying-right", Base::LyingRight),
    ];

    /// The base seen in a mirror.
    pub const fn mirrored(self) -> Self {
        match self {
            Base::LyingLeft => Base::LyingRight,
            Base::LyingRight => Base::LyingLeft,
            same => same,
        }
    }
}

/// How the pelvis is turned before anything settles: the base, then `spin` about the spine, `lean` forward
/// about y, `tilt` about x (positive to the right), `turn` about z (positive to the left), all in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trunk {
    /// What it starts from.
    pub base: Base,
    /// Forward lean.
    pub lean_deg: f64,
    /// Turn to the left about the vertical.
    pub turn_deg: f64,
    /// Tilt to the right about the mat's length.
    pub tilt_deg: f64,
    /// Turn about the spine, to the left.
    pub spin_deg: f64,
    /// How loosely the pelvis is held to this, standard deviation.
    pub loose_deg: f64,
}

impl Trunk {
    /// Standard deviation of the pelvis turn where none is authored, degrees (our choice).
    pub const USUAL_LOOSE_DEG: f64 = 8.0;
}

impl Default for Trunk {
    fn default() -> Self {
        Self {
            base: Base::Upright,
            lean_deg: 0.0,
            turn_deg: 0.0,
            tilt_deg: 0.0,
            spin_deg: 0.0,
            loose_deg: Self::USUAL_LOOSE_DEG,
        }
    }
}

/// A surface of the room.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Surface {
    /// A surface of the table, by name.
    Named(String),
    /// A level surface at this height in centimetres.
    Height(u32),
}

impl std::fmt::Display for Surface {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Surface::Named(name) => f.write_str(name),
            Surface::Height(cm) => write!(f, "h{cm}"),
        }
    }
}

/// A patch of the body on a surface.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Contact {
    /// What it rests on.
    pub surface: Surface,
    /// The patch by name.
    pub patch: String,
    /// Its side, none on the middle line.
    pub side: Option<BodySide>,
    /// Placed there, but carries nothing.
    pub light: bool,
}

/// Two spheres of the body that meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Touch {
    /// One sphere.
    pub a: SphereId,
    /// The other.
    pub b: SphereId,
    /// Whether it may pull as well as push: a grip.
    pub hold: bool,
}

/// A segment that can be aimed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Segment {
    /// Hip line to C7.
    Trunk,
    /// The pelvis' own upward axis.
    Pelvis,
    /// Hip to knee.
    Thigh,
    /// Knee to ankle.
    Shank,
    /// Hip to ankle.
    Leg,
    /// The way the foot points, heel to ball.
    Foot,
    /// The way the toes point.
    Toes,
    /// Shoulder to elbow.
    Upperarm,
    /// Elbow to wrist.
    Forearm,
    /// Shoulder to wrist.
    Arm,
    /// Wrist to knuckles.
    Hand,
    /// The way the face looks.
    Gaze,
    /// The way the crown points.
    Crown,
}

impl Segment {
    /// Every segment with its word and whether it has sides.
    pub const ALL: [(&'static str, Segment, bool); 13] = [
        ("trunk", Segment::Trunk, false),
        ("pelvis", Segment::Pelvis, false),
        ("thigh", Segment::Thigh, true),
        ("shank", Segment::Shank, true),
        ("leg", Segment::Leg, true),
        ("foot", Segment::Foot, true),
        ("toes", Segment::Toes, true),
        ("upperarm", Segment::Upperarm, true),
        ("forearm", Segment::Forearm, true),
        ("arm", Segment::Arm, true),
        ("hand", Segment::Hand, true),
        ("gaze", Segment::Gaze, false),
        ("crown", Segment::Crown, false),
    ];

    /// The word of the segment.
    pub fn as_str(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, s, _)| *s == self)
            .map_or("", |(word, _, _)| word)
    }
}

/// A wanted direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aim {
    /// Unit vector in the frame of the mat.
    pub to: [f64; 3],
    /// Standard deviation, degrees.
    pub within_deg: f64,
}

/// A wanted distance: `a` minus `b` along the axes of the mat, metres on a body of 1.68 m; none is free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// The point that lies further along.
    pub a: SphereId,
    /// The point measured from.
    pub b: SphereId,
    /// Distance along x, y and z.
    pub by_m: [Option<f64>; 3],
}

/// Whether the centre of mass must come to lie inside the base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Balance {
    /// It must.
    Kept,
    /// The body leans on a wall; the loads decide whether it holds.
    Wall,
    /// Not asked.
    None,
}

/// A published value with its source.
#[derive(Clone, Debug, PartialEq)]
pub struct Published {
    /// The value, in the unit of the measure.
    pub value: PublishedValue,
    /// Where it was published.
    pub source: String,
}

/// A single number, or one for each side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PublishedValue {
    /// The whole body, or the same on both sides.
    One(f64),
    /// Left and right.
    Sides {
        /// The left side.
        left: f64,
        /// The right side.
        right: f64,
    },
}

impl Shape {
    /// The keys of a posture that belong to its shape.
    pub const KEYS: [&'static str; 12] = [
        "lead",
        "body",
        "joints",
        "contacts",
        "touch",
        "light",
        "aim",
        "apart",
        "over",
        "balance",
        "view",
        "published",
    ];

    /// The same shape seen in a mirror: the right side leads.
    pub fn mirrored(&self) -> Shape {
        let body = Body::standard();
        let flip = |side: Option<BodySide>| side.map(BodySide::other);
        let sphere = |s: SphereId| body.mirrored_sphere(s);
        Shape {
            lead: self.lead.clone(),
            trunk: Trunk {
                base: self.trunk.base.mirrored(),
                turn_deg: -self.trunk.turn_deg,
                tilt_deg: -self.trunk.tilt_deg,
                spin_deg: -self.trunk.spin_deg,
                ..self.trunk
            },
            joints: self
                .joints
                .iter()
                .map(|(&hinge, &deg)| {
                    (
                        hinge.mirrored(),
                        if body.hinges[hinge.0].flips {
                            -deg
                        } else {
                            deg
                        },
                    )
                })
                .collect(),
            contacts: self
                .contacts
                .iter()
                .map(|c| Contact {
                    side: flip(c.side),
                    ..c.clone()
                })
                .collect(),
            touches: self
                .touches
                .iter()
                .map(|t| Touch {
                    a: sphere(t.a),
                    b: sphere(t.b),
                    hold: t.hold,
                })
                .collect(),
            aims: self
                .aims
                .iter()
                .map(|(&(segment, side), aim)| {
                    let [x, y, z] = aim.to;
                    (
                        (segment, flip(side)),
                        Aim {
                            to: [x, -y, z],
                            ..*aim
                        },
                    )
                })
                .collect(),
            apart: self
                .apart
                .iter()
                .map(|p| Apart {
                    a: sphere(p.a),
                    b: sphere(p.b),
                    by_m: [p.by_m[0], p.by_m[1].map(|y| -y), p.by_m[2]],
                })
                .collect(),
            over: self
                .over
                .iter()
                .map(|(patch, side)| (patch.clone(), flip(*side)))
                .collect(),
            balance: self.balance,
            view: self.view.map(|[azimuth, eye]| [-azimuth, eye]),
            published: self
                .published
                .iter()
                .map(|(&measure, p)| {
                    let value = match p.value {
                        PublishedValue::Sides { left, right } => PublishedValue::Sides {
                            left: right,
                            right: left,
                        },
                        one => one,
                    };
                    (
                        measure,
                        Published {
                            value,
                            source: p.source.clone(),
                        },
                    )
                })
                .collect(),
        }
    }

    /// Whether the shape is its own mirror image and no side leads. Such a shape is settled with equal
    /// sides from the start, which alone keeps rounding from picking one.
    pub fn is_symmetric(&self) -> bool {
        if self.lead.is_some() || self.trunk.base != self.trunk.base.mirrored() {
            return false;
        }
        let mirror = self.mirrored();
        let sorted = |shape: &Shape| {
            let mut contacts = shape.contacts.clone();
            contacts.sort();
            let mut over = shape.over.clone();
            over.sort();
            let mut touches: Vec<_> = shape
                .touches
                .iter()
                .map(|t| (t.a.min(t.b), t.a.max(t.b), t.hold))
                .collect();
            touches.sort();
            (contacts, over, touches)
        };
        // A distance from one point to its own mirror image is the same said either way round.
        let ordered = |shape: &Shape| {
            let mut rows: Vec<_> = shape
                .apart
                .iter()
                .map(|p| {
                    let sign = if p.a <= p.b { 1.0 } else { -1.0 };
                    let by = p.by_m.map(|d| d.map(|d| (d * sign * 1e6).round() as i64));
                    (p.a.min(p.b), p.a.max(p.b), by)
                })
                .collect();
            rows.sort();
            rows
        };
        mirror.trunk == self.trunk
            && mirror.joints == self.joints
            && mirror.aims == self.aims
            && sorted(&mirror) == sorted(self)
            && ordered(&mirror) == ordered(self)
    }
}
