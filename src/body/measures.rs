//! The measures of a settled shape: angles, loads, heights, each with where it comes from.
//!
//! Angles are hinge values after settling; a two-way hinge fills two measures, one of them 0. Numbers are
//! rounded to 0.1, so that platforms agree on verdicts.

use std::collections::BTreeMap;

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use super::constraints::Constraints;
use super::contacts::Group;
use super::hull;
use super::measure_names::Measure;
use super::settled::{Settled, round};
use super::shape::{Balance, PublishedValue, Shape};
use super::skeleton::Skeleton;
use super::statics;
use super::table::Body;
use crate::words::BodySide;

/// Where a measure comes from, weakest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// Neither authored nor decided by anything: what the solver left over. Triggers no rule.
    Free,
    /// Decided by contacts, touches or aims.
    Contact,
    /// Written down for this shape.
    Authored,
    /// A study's value for this shape.
    Published,
}

impl Origin {
    /// The word in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Free => "free",
            Self::Contact => "contact",
            Self::Authored => "authored",
            Self::Published => "published",
        }
    }
}

/// One number with its origin.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// In the unit of the measure's name.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
}

/// A measure of the whole body, or of each side.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Told {
    /// The whole body.
    One(Reading),
    /// The left and the right.
    Sides {
        /// The left side of the body.
        left: Reading,
        /// The right side of the body.
        right: Reading,
    },
}

impl Told {
    /// The reading of a side; a measure of the whole body is the same for every side, and a sided one
    /// without a side asked for gives the greater.
    pub fn reading(&self, side: Option<BodySide>) -> Reading {
        match (self, side) {
            (Told::One(reading), _) => *reading,
            (Told::Sides { left, .. }, Some(BodySide::Left)) => *left,
            (Told::Sides { right, .. }, Some(BodySide::Right)) => *right,
            (Told::Sides { left, right }, None) => {
                if left.value >= right.value {
                    *left
                } else {
                    *right
                }
            }
        }
    }
}

/// All measures of one shape, the lead side being the left until [`Measures::mirrored`].
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Measures(BTreeMap<Measure, Told>);

impl Measures {
    /// One measure, if the shape has it.
    pub fn get(&self, measure: Measure) -> Option<&Told> {
        self.0.get(&measure)
    }

    /// The number of one measure on a side; see [`Told::reading`].
    pub fn value(&self, measure: Measure, side: Option<BodySide>) -> Option<f64> {
        self.get(measure).map(|told| told.reading(side).value)
    }

    /// Adds or replaces a measure: what the body cannot know.
    pub fn insert(&mut self, measure: Measure, told: Told) {
        self.0.insert(measure, told);
    }

    /// Every measure in the order of the contract.
    pub fn iter(&self) -> impl Iterator<Item = (Measure, &Told)> {
        self.0.iter().map(|(measure, told)| (*measure, told))
    }

    /// The measures of the mirrored shape: left and right change places.
    pub fn mirrored(&self) -> Measures {
        let swap = |told: &Told| match *told {
            Told::Sides { left, right } => Told::Sides {
                left: right,
                right: left,
            },
            one => one,
        };
        Measures(
            self.0
                .iter()
                .map(|(measure, told)| (*measure, swap(told)))
                .collect(),
        )
    }

    /// The greater of two shapes in every measure: for a movement between two ends. What only one of them
    /// has is taken from it.
    pub fn greater(&self, other: &Measures) -> Measures {
        let more = |a: Reading, b: Reading| if b.value > a.value { b } else { a };
        let mut all = self.0.clone();
        for (measure, theirs) in &other.0 {
            let ours = all.entry(*measure).or_insert(*theirs);
            *ours = match (*ours, *theirs) {
                (Told::Sides { left, right }, Told::Sides { left: l, right: r }) => Told::Sides {
                    left: more(left, l),
                    right: more(right, r),
                },
                (ours, theirs) => Told::One(more(ours.reading(None), theirs.reading(None))),
            };
        }
        // The smaller margin is the one that counts.
        if let (Some(a), Some(b)) = (
            self.get(Measure::SupportMargin),
            other.get(Measure::SupportMargin),
        ) {
            let (a, b) = (a.reading(None), b.reading(None));
            all.insert(
                Measure::SupportMargin,
                Told::One(if a.value <= b.value { a } else { b }),
            );
        }
        Measures(all)
    }
}

/// The measures that the body can tell of a settled shape. Effort, level, time and what is authored as a fact
/// are added by the library.
pub fn measure(body: &Body, shape: &Shape, settled: &Settled) -> Measures {
    let pose = settled.pose();
    let reader = Reader {
        body,
        settled,
        skeleton: Skeleton::new(body, &pose),
        constraints: Constraints::new(body, shape),
    };
    let mut measures = Measures::default();
    reader.limbs(&mut measures);
    reader.spine(&mut measures);
    reader.loads(&mut measures);
    reader.heights(&mut measures);
    for (&measure, published) in &shape.published {
        let reading = |value| Reading {
            value,
            origin: Origin::Published,
        };
        let told = match published.value {
            PublishedValue::Sides { left, right } => Told::Sides {
                left: reading(left),
                right: reading(right),
            },
            PublishedValue::One(value) if measure.is_sided() => Told::Sides {
                left: reading(value),
                right: reading(value),
            },
            PublishedValue::One(value) => Told::One(reading(value)),
        };
        measures.insert(measure, told);
    }
    measures
}

struct Reader<'a> {
    body: &'a Body,
    settled: &'a Settled,
    skeleton: Skeleton<'a>,
    constraints: Constraints<'a>,
}

impl Reader<'_> {
    /// A hinge's angle and origin.
    fn hinge(&self, name: &str, side: Option<BodySide>) -> Reading {
        let hinge = self
            .body
            .hinge(name, side)
            .expect("the code names hinges of the table");
        Reading {
            value: self.settled.hinge_deg(hinge),
            origin: self.settled.origin(hinge),
        }
    }

    fn limbs(&self, measures: &mut Measures) {
        use Measure as M;
        let mut sided = |measure, read: &dyn Fn(BodySide) -> Reading| {
            let told = |side| {
                let reading = read(side);
                Reading {
                    value: round(reading.value, 10.0),
                    ..reading
                }
            };
            measures.insert(
                measure,
                Told::Sides {
                    left: told(BodySide::Left),
                    right: told(BodySide::Right),
                },
            );
        };
        let ways: [(&str, Measure, Option<Measure>); 8] = [
            ("knee.flex", M::KneeFlexion, None),
            ("hip.flex", M::HipFlexion, Some(M::HipExtension)),
            ("hip.abd", M::HipAbduction, Some(M::HipAdduction)),
            (
                "hip.rot",
                M::HipExternalRotation,
                Some(M::HipInternalRotation),
            ),
            (
                "ankle.dorsi",
                M::AnkleDorsiflexion,
                Some(M::AnklePlantarflexion),
            ),
            ("toes.ext", M::ToeExtension, None),
            ("wrist.ext", M::WristExtension, Some(M::WristFlexion)),
            ("elbow.flex", M::ElbowFlexion, None),
        ];
        for (name, plus, minus) in ways {
            let way = |sign: f64| {
                move |side| {
                    let reading = self.hinge(name, Some(side));
                    Reading {
                        value: (sign * reading.value).max(0.0),
                        ..reading
                    }
                }
            };
            sided(plus, &way(1.0));
            if let Some(measure) = minus {
                sided(measure, &way(-1.0));
            }
        }
        sided(M::KneeRotation, &|side| self.hinge("knee.rot", Some(side)));
        sided(M::WristDeviation, &|side| {
            self.hinge("wrist.dev", Some(side))
        });
        let part = |pick: fn(&Swing) -> f64| {
            move |side| Reading {
                value: pick(&self.swing(side)),
                ..self.arm(side)
            }
        };
        sided(M::ShoulderElevation, &part(|s| s.elevation));
        sided(
            M::ShoulderFlexion,
            &part(|s| s.elevation * s.forward.max(0.0)),
        );
        sided(
            M::ShoulderExtension,
            // An arm above the shoulder and a little behind the ear is raised, not drawn back.
            &part(|s| s.elevation.min(180.0 - s.elevation) * (-s.forward).max(0.0)),
        );
        sided(
            M::ShoulderAbduction,
            &part(|s| s.elevation * s.outward.max(0.0)),
        );
    }

    /// The stronger origin of the two hinges that swing an arm.
    fn arm(&self, side: BodySide) -> Reading {
        let (flex, abd) = (
            self.hinge("shoulder.flex", Some(side)),
            self.hinge("shoulder.abd", Some(side)),
        );
        Reading {
            origin: flex.origin.max(abd.origin),
            ..flex
        }
    }

    /// The swing of an upper arm from hanging, in the frame of the chest.
    fn swing(&self, side: BodySide) -> Swing {
        let part =
            |sphere: &str, side| self.body.spheres[self.body.known_sphere(sphere, side).0].on;
        let chest = self.skeleton.axes(part("heart", None));
        let arm = self.skeleton.axes(part("shoulder", Some(side))) * -Vector3::z();
        let arm = chest.transpose() * arm;
        let level = arm.xy().norm().max(1e-9);
        let left = if side == BodySide::Left { 1.0 } else { -1.0 };
        Swing {
            elevation: (-arm.z).clamp(-1.0, 1.0).acos().to_degrees(),
            forward: arm.x / level,
            outward: left * arm.y / level,
        }
    }

    fn spine(&self, measures: &mut Measures) {
        use Measure as M;
        let mut one = |measure, value: f64, origin| {
            measures.insert(
                measure,
                Told::One(Reading {
                    value: round(value, 10.0),
                    origin,
                }),
            );
        };
        let pair = |motion: &str| {
            let [low, high] =
                ["lumbar", "thorax"].map(|part| self.hinge(&format!("{part}.{motion}"), None));
            (low.value, high.value, low.origin.max(high.origin))
        };
        let (low, high, origin) = pair("flex");
        one(M::SpineFlexion, (low + high).max(0.0), origin);
        one(M::SpineExtension, (-low - high).max(0.0), origin);
        one(
            M::LowBackFlexion,
            low,
            self.hinge("lumbar.flex", None).origin,
        );
        one(
            M::UpperBackFlexion,
            high,
            self.hinge("thorax.flex", None).origin,
        );
        let (low, high, origin) = pair("side");
        one(M::SpineSideBend, (low + high).abs(), origin);
        let (low, high, origin) = pair("turn");
        one(M::SpineRotation, (low + high).abs(), origin);
        let neck = |motion: &str| self.hinge(&format!("neck.{motion}"), None);
        let flex = neck("flex");
        one(M::NeckFlexion, flex.value.max(0.0), flex.origin);
        one(M::NeckExtension, (-flex.value).max(0.0), flex.origin);
        one(
            M::NeckSideBend,
            neck("side").value.abs(),
            neck("side").origin,
        );
        one(
            M::NeckRotation,
            neck("turn").value.abs(),
            neck("turn").origin,
        );
    }

    fn loads(&self, measures: &mut Measures) {
        use Measure as M;
        let forces = self.settled.forces();
        let groups = statics::groups(&self.constraints, &forces);
        let reading = |share: f64| Reading {
            value: round(share * 100.0, 10.0),
            origin: Origin::Contact,
        };
        let total = |wanted: &[Group], wall: bool, side: Option<BodySide>| -> f64 {
            groups
                .iter()
                .filter(|((group, at_wall, at), _)| {
                    wanted.contains(group) && *at_wall == wall && (side.is_none() || *at == side)
                })
                .map(|(_, load)| *load)
                .sum()
        };
        let rows: [(Measure, &[Group], bool); 14] = [
            (M::HandLoad, &[Group::Hand], false),
            (M::ForearmLoad, &[Group::Forearm], false),
            (M::ShoulderLoad, &[Group::Shoulder], false),
            (M::KneeLoad, &[Group::Knee], false),
            (M::LegLoad, &[Group::Leg], false),
            (M::FootLoad, &[Group::Foot], false),
            (M::HeadLoad, &[Group::Head], false),
            (M::NeckLoad, &[Group::Neck], false),
            (M::BackLoad, &[Group::Back], false),
            (M::BellyLoad, &[Group::Belly], false),
            (M::SeatLoad, &[Group::Seat], false),
            (M::HandWallLoad, &[Group::Hand, Group::Forearm], true),
            (
                M::FootWallLoad,
                &[Group::Foot, Group::Knee, Group::Leg],
                true,
            ),
            (
                M::BackWallLoad,
                &[
                    Group::Back,
                    Group::Seat,
                    Group::Shoulder,
                    Group::Head,
                    Group::Neck,
                    Group::Belly,
                ],
                true,
            ),
        ];
        for (measure, wanted, wall) in rows {
            let told = if measure.is_sided() {
                Told::Sides {
                    left: reading(total(wanted, wall, Some(BodySide::Left))),
                    right: reading(total(wanted, wall, Some(BodySide::Right))),
                }
            } else {
                Told::One(reading(total(wanted, wall, None)))
            };
            measures.insert(measure, told);
        }
        measures.insert(
            M::LoadSpread,
            Told::One(reading(self.settled.load_spread_pct / 100.0)),
        );
        let carries = |group, side| total(&[group], false, side) > SINGLE_LEG_SHARE;
        let feet = [BodySide::Left, BodySide::Right].map(|side| carries(Group::Foot, Some(side)));
        let elsewhere = [Group::Knee, Group::Seat, Group::Back, Group::Belly]
            .iter()
            .any(|&g| carries(g, None));
        let single = feet[0] != feet[1] && !elsewhere;
        measures.insert(
            M::SingleLeg,
            Told::One(Reading {
                value: f64::from(u8::from(single)),
                origin: Origin::Contact,
            }),
        );
    }

    fn heights(&self, measures: &mut Measures) {
        use Measure as M;
        let place = |name: &str, side| self.skeleton.sphere(self.body.known_sphere(name, side));
        let mut one = |measure, value: f64| {
            measures.insert(
                measure,
                Told::One(Reading {
                    value: round(value, 10.0),
                    origin: Origin::Contact,
                }),
            );
        };
        let heart = place("heart", None).z;
        one(M::HeadBelowHeart, (heart - place("head", None).z) * 100.0);
        let ankles = [BodySide::Left, BodySide::Right].map(|side| place("ankle", Some(side)).z);
        one(M::LegsRaised, (ankles[0].min(ankles[1]) - heart) * 100.0);
        let up = (place("c7", None) - place("pelvis", None)).normalize();
        let chest = self.body.spheres[self.body.known_sphere("heart", None).0].on;
        let front =
            (self.skeleton.axes(0).column(0) + self.skeleton.axes(chest).column(0)).normalize();
        let pitch = up.z.clamp(-1.0, 1.0).acos().to_degrees();
        // Lying on the side the front faces neither way: the sign stays positive.
        let front_up = front.z > 0.3 * up.xy().norm();
        one(M::TrunkPitch, if front_up { -pitch } else { pitch });
        if self.constraints.shape.balance != Balance::Wall {
            let base: Vec<_> = self
                .constraints
                .points
                .iter()
                .filter(|p| p.bears())
                .map(|p| self.skeleton.sphere(p.sphere).xy())
                .collect();
            if let Some(margin) = hull::margin(&base, &self.skeleton.centre_of_mass().xy()) {
                one(M::SupportMargin, margin * 100.0);
            }
        }
    }
}

/// A foot that carries less than this share of the body does not count as carrying.
const SINGLE_LEG_SHARE: f64 = 0.03;

struct Swing {
    elevation: f64,
    forward: f64,
    outward: f64,
}
