//! Reads a [`Shape`] from a posture's entry, and tells every wrong word at once.

use std::collections::BTreeMap;

use serde_yaml::Value;

use super::measure_names::Measure;
use super::shape::{
    Aim, Apart, Balance, Base, Contact, Published, PublishedValue, Segment, Shape, Surface, Touch,
    Trunk,
};
use super::table::{Body, HingeId, SphereId};
use crate::words::BodySide;

/// Something wrong in an authored shape.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapeProblem {
    /// Keys (and list positions, from 0) from the posture's entry down to the fault.
    pub path: Vec<String>,
    /// What is wrong, a fragment in plain words.
    pub message: String,
    /// The nearest valid word, if one is near.
    pub near: Option<String>,
}

/// Standard deviation of an aim without `within`, degrees (our choice).
const USUAL_WITHIN_DEG: f64 = 5.0;

/// Which sides a word speaks of.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sides {
    Unsaid,
    One(BodySide),
}

/// `lead` is the body's left while a shape is read.
const SIDE_WORDS: [(&str, BodySide); 4] = [
    ("lead", BodySide::Left),
    ("other", BodySide::Right),
    ("left", BodySide::Left),
    ("right", BodySide::Right),
];

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

impl Shape {
    /// The shape of a posture's entry; keys that are not of the shape are left alone.
    ///
    /// # Errors
    /// Every fault that was found: unknown words, hinges, patches, surfaces, spheres, wrong kinds of value.
    pub fn read(value: &Value) -> Result<Shape, Vec<ShapeProblem>> {
        let mut reader = Reader {
            body: Body::standard(),
            path: Vec::new(),
            problems: Vec::new(),
        };
        let shape = reader.shape(value);
        if reader.problems.is_empty() {
            Ok(shape)
        } else {
            Err(reader.problems)
        }
    }
}

struct Reader<'a> {
    body: &'a Body,
    path: Vec<String>,
    problems: Vec<ShapeProblem>,
}

impl Reader<'_> {
    fn at<T>(&mut self, key: &str, work: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(key.to_owned());
        let result = work(self);
        self.path.pop();
        result
    }

    fn problem(&mut self, message: impl Into<String>) {
        let (path, message) = (self.path.clone(), message.into());
        self.problems.push(ShapeProblem {
            path,
            message,
            near: None,
        });
    }

    fn unknown<'w>(&mut self, kind: &str, word: &str, words: impl IntoIterator<Item = &'w str>) {
        let near = nearest(word, words);
        let (path, message) = (self.path.clone(), format!("no {kind} is called “{word}”"));
        self.problems.push(ShapeProblem {
            path,
            message,
            near,
        });
    }

    fn shape(&mut self, value: &Value) -> Shape {
        let mut shape = Shape {
            lead: None,
            trunk: Trunk::default(),
            joints: BTreeMap::new(),
            contacts: Vec::new(),
            touches: Vec::new(),
            aims: BTreeMap::new(),
            apart: Vec::new(),
            over: Vec::new(),
            balance: Balance::Kept,
            view: None,
            published: BTreeMap::new(),
        };
        let Value::Mapping(entries) = value else {
            self.problem("a shape is a list of keys with values");
            return shape;
        };
        let mut light = Vec::new();
        for (key, value) in entries {
            let Some(key) = key.as_str().map(str::to_owned) else {
                continue;
            };
            if value.is_null() {
                continue;
            }
            self.at(&key, |r| match key.as_str() {
                "lead" => shape.lead = r.text(value),
                "body" => shape.trunk = r.trunk(value),
                "joints" => shape.joints = r.joints(value),
                "contacts" => shape.contacts = r.contacts(value),
                "touch" => shape.touches = r.touches(value),
                "light" => light = r.patches(value),
                "aim" => shape.aims = r.aims(value),
                "apart" => shape.apart = r.apart(value),
                "over" => shape.over = r.patches(value),
                "balance" => shape.balance = r.balance(value),
                "view" => shape.view = r.view(value),
                "published" => shape.published = r.published(value),
                _ => {}
            });
        }
        for (patch, side) in light {
            let placed = shape
                .contacts
                .iter_mut()
                .find(|c| c.patch == patch && c.side == side);
            match placed {
                Some(contact) => contact.light = true,
                None => self.at("light", |r| {
                    r.problem(format!("“{patch}” is not among the contacts"))
                }),
            }
        }
        shape
    }

    fn text(&mut self, value: &Value) -> Option<String> {
        let text = value.as_str().map(str::to_owned);
        if text.is_none() {
            self.problem("a word or a sentence is wanted here");
        }
        text
    }

    fn number(&mut self, value: &Value) -> Option<f64> {
        let number = value.as_f64().filter(|n| n.is_finite());
        if number.is_none() {
            self.problem("a number is wanted here");
        }
        number
    }

    fn list<'v>(&mut self, value: &'v Value) -> &'v [Value] {
        match value {
            Value::Sequence(items) => items,
            _ => {
                self.problem("a list is wanted here");
                &[]
            }
        }
    }

    fn entries<'v>(&mut self, value: &'v Value) -> Vec<(String, &'v Value)> {
        match value {
            Value::Mapping(entries) => entries
                .iter()
                .filter(|(_, value)| !value.is_null())
                .filter_map(|(key, value)| Some((key.as_str()?.to_owned(), value)))
                .collect(),
            _ => {
                self.problem("keys with values are wanted here");
                Vec::new()
            }
        }
    }

    fn trunk(&mut self, value: &Value) -> Trunk {
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

    fn base(&mut self, word: &str, trunk: &mut Trunk) {
        match Base::ALL.iter().find(|(name, _)| *name == word) {
            Some((_, base)) => trunk.base = *base,
            None => self.unknown("base", word, Base::ALL.iter().map(|(name, _)| *name)),
        }
    }

    /// Sided entries outrank unsided ones; two entries of the same rank about one hinge are a fault.
    fn joints(&mut self, value: &Value) -> BTreeMap<HingeId, f64> {
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
    fn hinges(&mut self, key: &str) -> Vec<(u8, HingeId, f64)> {
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

    fn contacts(&mut self, value: &Value) -> Vec<Contact> {
        let mut contacts: Vec<Contact> = Vec::new();
        for (key, value) in self.entries(value) {
            self.at(&key, |r| {
                let surface = r.surface(&key);
                for (patch, side) in r.patches(value) {
                    if contacts.iter().any(|c| c.patch == patch && c.side == side) {
                        r.problem(format!("“{patch}” is placed twice"));
                    }
                    if let Some(surface) = &surface {
                        contacts.push(Contact {
                            surface: surface.clone(),
                            patch,
                            side,
                            light: false,
                        });
                    }
                }
            });
        }
        contacts
    }

    fn surface(&mut self, word: &str) -> Option<Surface> {
        if self.body.surfaces.contains_key(word) {
            return Some(Surface::Named(word.to_owned()));
        }
        if let Some(cm) = word
            .strip_prefix('h')
            .and_then(|n| n.parse::<u32>().ok())
            .filter(|cm| *cm <= 200)
        {
            return Some(Surface::Height(cm));
        }
        let names: Vec<&str> = self.body.surfaces.keys().map(String::as_str).collect();
        self.unknown("surface", word, names);
        None
    }

    /// A list of patches, or one; an unsided word means both sides.
    fn patches(&mut self, value: &Value) -> Vec<(String, Option<BodySide>)> {
        let one = std::slice::from_ref(value);
        let items = if value.is_string() {
            one
        } else {
            self.list(value)
        };
        let mut patches = Vec::new();
        for (i, item) in items.iter().enumerate() {
            self.at(&i.to_string(), |r| {
                let Some(word) = r.text(item) else { return };
                let (name, sides) = split_side(&word);
                let Some(sided) = r.body.patches.get(name).map(|p| p.sided) else {
                    let names: Vec<&str> = r.body.patches.keys().map(String::as_str).collect();
                    return r.unknown("patch of the body", name, names);
                };
                match (sided, sides) {
                    (false, Sides::Unsaid) => patches.push((name.to_owned(), None)),
                    (false, Sides::One(_)) => r.problem(format!("“{name}” has no sides")),
                    (true, Sides::One(side)) => patches.push((name.to_owned(), Some(side))),
                    (true, Sides::Unsaid) => {
                        for side in [BodySide::Left, BodySide::Right] {
                            patches.push((name.to_owned(), Some(side)));
                        }
                    }
                }
            });
        }
        patches
    }

    /// Both spheres of a pair; an unsided one takes the side of its partner, two unsided ones mean both sides.
    fn pairs(&mut self, first: &Value, second: &Value) -> Vec<(SphereId, SphereId)> {
        let mut named = |i: usize, value: &Value| {
            self.at(&i.to_string(), |r| {
                let word = r.text(value)?;
                let (name, sides) = split_side(&word);
                let central = r.body.sphere(name, None).is_some();
                if !central && r.body.sphere(name, Some(BodySide::Left)).is_none() {
                    let names: Vec<&str> = r.body.spheres.iter().map(|s| s.name.as_str()).collect();
                    r.unknown("point of the body", name, names);
                    return None;
                }
                if central && sides != Sides::Unsaid {
                    r.problem(format!("“{name}” has no sides"));
                    return None;
                }
                Some((name.to_owned(), sides, central))
            })
        };
        let (a, b) = (named(0, first), named(1, second));
        let (Some((a, a_side, a_central)), Some((b, b_side, b_central))) = (a, b) else {
            return Vec::new();
        };
        let said = match (a_side, b_side) {
            (Sides::One(side), _) | (_, Sides::One(side)) => Some(side),
            _ => None,
        };
        let resolve = |name: &str, sides: Sides, central: bool, both: BodySide| {
            let side = match sides {
                _ if central => None,
                Sides::One(side) => Some(side),
                Sides::Unsaid => Some(said.unwrap_or(both)),
            };
            self.body.known_sphere(name, side)
        };
        let pair = |both| {
            (
                resolve(&a, a_side, a_central, both),
                resolve(&b, b_side, b_central, both),
            )
        };
        if said.is_some() || (a_central && b_central) {
            vec![pair(BodySide::Left)]
        } else {
            vec![pair(BodySide::Left), pair(BodySide::Right)]
        }
    }

    fn touches(&mut self, value: &Value) -> Vec<Touch> {
        let mut touches = Vec::new();
        for (i, item) in self.list(value).iter().enumerate() {
            self.at(&i.to_string(), |r| {
                let words = r.list(item);
                let ([first, second] | [first, second, _]) = words else {
                    return r.problem("two points of the body that meet, and perhaps `hold`");
                };
                let hold = match words.get(2) {
                    None => false,
                    Some(word) if word.as_str() == Some("hold") => true,
                    Some(word) => {
                        let word = word.as_str().unwrap_or_default().to_owned();
                        r.at("2", |r| r.unknown("kind of touch", &word, ["hold"]));
                        false
                    }
                };
                touches.extend(r.pairs(first, second).into_iter().map(|(a, b)| Touch {
                    a,
                    b,
                    hold,
                }));
            });
        }
        touches
    }

    /// Sided entries outrank unsided ones. An unsided aim is written for the left; the right is its mirror.
    fn aims(&mut self, value: &Value) -> BTreeMap<(Segment, Option<BodySide>), Aim> {
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

    fn aim(&mut self, value: &Value) -> Option<Aim> {
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

    fn direction(&mut self, value: &Value) -> Option<[f64; 3]> {
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

    /// A list of so many numbers; null stands for none.
    fn numbers(&mut self, value: &Value, count: usize) -> Option<Vec<Option<f64>>> {
        let items = value.as_sequence().filter(|items| items.len() == count);
        let Some(items) = items else {
            self.problem(format!("{count} numbers are wanted here"));
            return None;
        };
        let before = self.problems.len();
        let numbers = items
            .iter()
            .enumerate()
            .map(|(i, item)| {
                if item.is_null() {
                    None
                } else {
                    self.at(&i.to_string(), |r| r.number(item))
                }
            })
            .collect();
        (self.problems.len() == before).then_some(numbers)
    }

    fn apart(&mut self, value: &Value) -> Vec<Apart> {
        let mut all = Vec::new();
        for (i, item) in self.list(value).iter().enumerate() {
            self.at(&i.to_string(), |r| {
                let [first, second, by] = r.list(item) else {
                    return r.problem("two points of the body and three distances [x, y, z] in metres, null for free");
                };
                let Some(by) = r.at("2", |r| r.numbers(by, 3)) else { return };
                let pairs = r.pairs(first, second);
                let both = pairs.len() > 1;
                for (i, (a, b)) in pairs.into_iter().enumerate() {
                    // The right of an unsided pair is the mirror image of the left.
                    let flip = if both && i == 1 { -1.0 } else { 1.0 };
                    all.push(Apart { a, b, by_m: [by[0], by[1].map(|y| y * flip), by[2]] });
                }
            });
        }
        all
    }

    fn balance(&mut self, value: &Value) -> Balance {
        match self.text(value).as_deref() {
            Some("wall") => Balance::Wall,
            Some("none") => Balance::None,
            Some("kept") | None => Balance::Kept,
            Some(word) => {
                self.unknown("balance", word, ["wall", "none"]);
                Balance::Kept
            }
        }
    }

    fn view(&mut self, value: &Value) -> Option<[f64; 2]> {
        let numbers = self.numbers(value, 2)?;
        Some([numbers[0]?, numbers[1]?])
    }

    fn published(&mut self, value: &Value) -> BTreeMap<Measure, Published> {
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

    fn published_value(&mut self, value: &Value, measure: Measure) -> Option<PublishedValue> {
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

fn side_word(word: &str) -> Option<BodySide> {
    SIDE_WORDS
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, side)| *side)
}

/// `knee.lead` apart: the name and the side said.
fn split_side(word: &str) -> (&str, Sides) {
    match word
        .rsplit_once('.')
        .and_then(|(name, side)| Some((name, side_word(side)?)))
    {
        Some((name, side)) => (name, Sides::One(side)),
        None => (word, Sides::Unsaid),
    }
}

/// The nearest of the words, if it is near at all.
fn nearest<'w>(word: &str, words: impl IntoIterator<Item = &'w str>) -> Option<String> {
    words
        .into_iter()
        .map(|candidate| (strsim::osa_distance(word, candidate), candidate))
        .min()
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len().min(word.len()) / 3)
        .map(|(_, candidate)| candidate.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Shape, Vec<ShapeProblem>> {
        Shape::read(&serde_yaml::from_str(text).expect("test text is YAML"))
    }

    #[test]
    fn wrong_words_are_told_all_at_once_with_the_nearest_right_one() {
        let problems = read(
            "{body: uprigt, joints: {kne: 90, hip.lead.abc: 3}, contacts: {flor: [foot], wall: [hnd.lead]}, \
             touch: [[palm, tigh]], aim: {trunk: upp}}",
        )
        .expect_err("every word is wrong");
        let near: Vec<_> = problems
            .iter()
            .map(|p| p.near.as_deref().unwrap_or("-"))
            .collect();
        assert_eq!(
            near,
            ["upright", "knee", "abd", "floor", "hand", "thigh", "up"]
        );
        assert_eq!(problems[4].path, ["contacts", "wall", "0"]);
    }

    #[test]
    fn a_sided_angle_outranks_an_unsided_one() {
        let shape = read("{joints: {knee: 10, knee.lead: 90}}").expect("it reads");
        assert_eq!(
            shape.joints.values().copied().collect::<Vec<_>>(),
            [90.0, 10.0]
        );
    }

    #[test]
    fn a_shape_without_sides_is_symmetric_and_one_with_a_lead_is_not() {
        assert!(
            read("{contacts: {floor: [foot]}, touch: [[palm.left, palm.right]]}")
                .expect("it reads")
                .is_symmetric()
        );
        assert!(
            !read("{joints: {lumbar.side: 5}}")
                .expect("it reads")
                .is_symmetric()
        );
        assert!(!read("{lead: front leg}").expect("it reads").is_symmetric());
    }

    #[test]
    fn mirrored_twice_is_the_same() {
        let shape = read(
            "{lead: front leg, body: {base: upright, turn: -75, tilt: -55}, joints: {hip.lead: 55, lumbar.side: 10}, \
             contacts: {floor: [foot.lead, ball.other]}, touch: [[grip.lead, shin.lead]], \
             aim: {toes.other: [0.1, -0.99, 0]}, apart: [[ankle.lead, ankle.other, [1, 0.2, null]]]}",
        )
        .expect("it reads");
        assert_eq!(shape.mirrored().mirrored(), shape);
        assert_ne!(shape.mirrored(), shape);
    }
}
