//! Reads what a shape says of angles and directions: the pelvis, joints, aims; and published values.

use std::collections::BTreeMap;

use serde_yaml::Value;

use super::measure_names::Measure;
use super::shape::{Aim, Base, Published, PublishedValue, Segment, Trunk};
use super::shape_read::{Reader, SIDE_WORDS, Sides, side_word, split_side};
use super::table::HingeId;
use crate::words::BodySide;

/// Standard deviation of an aim without `within`, degrees (our choice).
const USUAL_WITHIN_DEG: f64 = 5.0;

const JOINTS: [(&str, &[&str]); 10] = [
    ("lumbar", &["flex", "side", "turn"]),
    ("thorax", &["flex", "side", "turn"]),
    ("neck", &["flex", "side", "turn"]),
    ("shoulder", &["flex", "abd", "rot"]),
    ("elbow", &["flex", "pron"]),
    ("wrist", &["ext", "dev"]),
    ("hip", &["flex", "abd", "rot"]),
    ("knee", &["flex", "rot"]),
    ("ankle", &["dorsi", "inv"]),
    ("toes", &["ext"]),
];

/// How a sum written for the `spine` is shared between low and upper back: by their ranges in the table.
const SPINE_SHARES: [(&str, f64); 3] = [("flex", 5.0 / 9.0), ("side", 0.5), ("turn", 2.0 / 9.0)];

const DIRECTIONS: [(&str, [f64; 3]); 6] = [
    ("up", [0.0, 0.0, 1.0]),
    ("down", [0.0, 0.0, -1.0]),
    ("forward", [1.0, 0.0, 0.0]),
    ("back", [-1.0, 0.0, 0.0]),
    ("left", [0.0, 1.0, 0.0]),
    ("right", [0.0, -1.0, 0.0]),
];

impl Reader<'_> {
    pub(super) fn trunk(&mut self, value: &Value) -> Trunk {
        let mut trunk = Trunk::default();
        if let Some(word) = value.as_str() {
            self.base(word, &mut trunk);
            return trunk;
        }
        for (key, value) in self.entries(value) {
            self.at(&key, |r| {
                let slot = match key.as_str() {
                    "base" => {
                        if let Some(word) = r.text(value) {
                            r.base(&word, &mut trunk);
                        }
                        return;
                    }
                    "lean" => &mut trunk.lean_deg,
                    "turn" => &mut trunk.turn_deg,
                    "tilt" => &mut trunk.tilt_deg,
                    "spin" => &mut trunk.spin_deg,
                    "loose" => &mut trunk.loose_deg,
                    _ => {
                        return r.unknown(
                            "key of a body",
                            &key,
                            ["base", "lean", "turn", "tilt", "spin", "loose"],
                        );
                    }
                };
                if let Some(number) = r.number(value) {
                    *slot = number;
                }
            });
        }
        if trunk.loose_deg <= 0.0 {
            self.at("loose", |r| r.problem("must be above 0"));
        }
        trunk
    }

    pub(super) fn base(&mut self, word: &str, trunk: &mut Trunk) {
        match Base::ALL.iter().find(|(name, _)| *name == word) {
            Some((_, base)) => trunk.base = *base,
            None => self.unknown("base", word, Base::ALL.iter().map(|(name, _)| *name)),
        }
    }

    /// Sided entries outrank unsided ones; two entries of the same rank about one hinge are a fault.
    pub(super) fn joints(&mut self, value: &Value) -> BTreeMap<HingeId, f64> {
        let mut found: BTreeMap<HingeId, (u8, f64)> = BTreeMap::new();
        for (key, value) in self.entries(value) {
            self.at(&key, |r| {
                let Some(degrees) = r.number(value) else {
                    return;
                };
                for (rank, hinge, share) in r.hinges(&key) {
                    match found.get(&hinge) {
                        Some((before, _)) if *before == rank => {
                            r.problem("says the same hinge twice")
                        }
                        Some((before, _)) if *before > rank => {}
                        _ => {
                            found.insert(hinge, (rank, degrees * share));
                        }
                    }
                }
            });
        }
        found
            .into_iter()
            .map(|(hinge, (_, degrees))| (hinge, degrees))
            .collect()
    }

    /// The hinges of `joint[.side][.motion]` with the rank of the word and the hinge's share of the angle.
    pub(super) fn hinges(&mut self, key: &str) -> Vec<(u8, HingeId, f64)> {
        let mut words = key.split('.');
        let joint = words.next().unwrap_or_default();
        let mut rest: Vec<&str> = words.collect();
        let side = rest.first().and_then(|w| side_word(w));
        if side.is_some() {
            rest.remove(0);
        }
        if joint == "spine" {
            let motion = rest.first().copied().unwrap_or("flex");
            let Some((_, low)) = SPINE_SHARES
                .iter()
                .find(|(m, _)| *m == motion)
                .filter(|_| rest.len() < 2)
            else {
                self.unknown(
                    "motion of the spine",
                    motion,
                    SPINE_SHARES.iter().map(|(m, _)| *m),
                );
                return Vec::new();
            };
            let part = |name: &str| self.body.hinge(&format!("{name}.{motion}"), None);
            return [("lumbar", *low), ("thorax", 1.0 - low)]
                .iter()
                .filter_map(|(name, share)| Some((0, part(name)?, *share)))
                .collect();
        }
        let Some((_, motions)) = JOINTS.iter().find(|(name, _)| *name == joint) else {
            self.unknown(
                "joint",
                joint,
                JOINTS.iter().map(|(name, _)| *name).chain(["spine"]),
            );
            return Vec::new();
        };
        let motion = rest.first().copied().unwrap_or(motions[0]);
        if rest.len() > 1 || !motions.contains(&motion) {
            self.unknown(
                &format!("motion of the {joint}"),
                &rest.join("."),
                motions.iter().copied(),
            );
            return Vec::new();
        }
        let name = format!("{joint}.{motion}");
        let central = self.body.hinge(&name, None);
        match (central, side) {
            (Some(_), Some(_)) => {
                self.problem(format!("the {joint} has no sides"));
                Vec::new()
            }
            (Some(hinge), None) => vec![(1, hinge, 1.0)],
            (None, Some(side)) => self
                .body
                .hinge(&name, Some(side))
                .map(|h| (2, h, 1.0))
                .into_iter()
                .collect(),
            (None, None) => [BodySide::Left, BodySide::Right]
                .iter()
                .filter_map(|side| Some((1, self.body.hinge(&name, Some(*side))?, 1.0)))
                .collect(),
        }
    }

    /// Sided entries outrank unsided ones. An unsided aim is written for the left; the right is its mirror.
    pub(super) fn aims(&mut self, value: &Value) -> BTreeMap<(Segment, Option<BodySide>), Aim> {
        let (mut unsided, mut sided) = (BTreeMap::new(), BTreeMap::new());
        for (key, value) in self.entries(value) {
            self.at(&key, |r| {
                let (name, sides) = split_side(&key);
                let Some(&(_, segment, has_sides)) =
                    Segment::ALL.iter().find(|(word, _, _)| *word == name)
                else {
                    return r.unknown(
                        "segment",
                        name,
                        Segment::ALL.iter().map(|(word, _, _)| *word),
                    );
                };
                let Some(aim) = r.aim(value) else { return };
                match (has_sides, sides) {
                    (false, Sides::Unsaid) => {
                        sided.insert((segment, None), aim);
                    }
                    (false, Sides::One(_)) => r.problem(format!("the {name} has no sides")),
                    (true, Sides::One(side)) => {
                        if sided.insert((segment, Some(side)), aim).is_some() {
                            r.problem("says the same aim twice");
                        }
                    }
                    (true, Sides::Unsaid) => {
                        let [x, y, z] = aim.to;
                        unsided.insert((segment, Some(BodySide::Left)), aim);
                        unsided.insert(
                            (segment, Some(BodySide::Right)),
                            Aim {
                                to: [x, -y, z],
                                ..aim
                            },
                        );
                    }
                }
            });
        }
        unsided.extend(sided);
        unsided
    }

    pub(super) fn aim(&mut self, value: &Value) -> Option<Aim> {
        if !value.is_mapping() {
            return Some(Aim {
                to: self.direction(value)?,
                within_deg: USUAL_WITHIN_DEG,
            });
        }
        let (mut to, mut within_deg) = (None, USUAL_WITHIN_DEG);
        for (key, value) in self.entries(value) {
            self.at(&key, |r| match key.as_str() {
                "to" => to = r.direction(value),
                "within" => match r.number(value) {
                    Some(degrees) if degrees > 0.0 => within_deg = degrees,
                    Some(_) => r.problem("must be above 0"),
                    None => {}
                },
                _ => r.unknown("key of an aim", &key, ["to", "within"]),
            });
        }
        if to.is_none() {
            self.problem("an aim needs `to`: a direction");
        }
        Some(Aim {
            to: to?,
            within_deg,
        })
    }

    pub(super) fn direction(&mut self, value: &Value) -> Option<[f64; 3]> {
        if let Some(word) = value.as_str() {
            let found = DIRECTIONS
                .iter()
                .find(|(name, _)| *name == word)
                .map(|(_, to)| *to);
            if found.is_none() {
                self.unknown("direction", word, DIRECTIONS.iter().map(|(name, _)| *name));
            }
            return found;
        }
        let numbers = self.numbers(value, 3)?;
        let [x, y, z] = [numbers[0]?, numbers[1]?, numbers[2]?];
        let length = (x * x + y * y + z * z).sqrt();
        if length < 1e-9 {
            self.problem("a direction cannot be all zeros");
            return None;
        }
        Some([x / length, y / length, z / length])
    }

    pub(super) fn published(&mut self, value: &Value) -> BTreeMap<Measure, Published> {
        let mut all = BTreeMap::new();
        for (key, value) in self.entries(value) {
            self.at(&key, |r| {
                let Some(measure) = Measure::parse(&key) else {
                    return r.unknown("measure", &key, Measure::ALL.iter().map(|m| m.as_str()));
                };
                let (mut number, mut source) = (None, None);
                for (key, value) in r.entries(value) {
                    r.at(&key, |r| match key.as_str() {
                        "value" => number = r.published_value(value, measure),
                        "source" => source = r.text(value),
                        _ => r.unknown("key of a published value", &key, ["value", "source"]),
                    });
                }
                match (number, source) {
                    (Some(value), Some(source)) => {
                        all.insert(measure, Published { value, source });
                    }
                    _ => r.problem("a published value needs `value` and `source`"),
                }
            });
        }
        all
    }

    pub(super) fn published_value(
        &mut self,
        value: &Value,
        measure: Measure,
    ) -> Option<PublishedValue> {
        if !value.is_mapping() {
            return self.number(value).map(PublishedValue::One);
        }
        if !measure.is_sided() {
            self.problem(format!("{measure} has no sides"));
        }
        let (mut left, mut right) = (None, None);
        for (key, value) in self.entries(value) {
            self.at(&key, |r| match side_word(&key) {
                Some(BodySide::Left) => left = r.number(value),
                Some(BodySide::Right) => right = r.number(value),
                None => r.unknown("side", &key, SIDE_WORDS.iter().map(|(word, _)| *word)),
            });
        }
        if left.is_none() || right.is_none() {
            self.problem("both sides are wanted");
        }
        Some(PublishedValue::Sides {
            left: left?,
            right: right?,
        })
    }
}
