//! Reads a [`Shape`] from a posture's entry, and tells every wrong word at once.

use std::collections::BTreeMap;

use serde_yaml::Value;

use super::shape::{Balance, Shape, Trunk};
use super::table::Body;
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

/// Which sides a word speaks of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Sides {
    Unsaid,
    One(BodySide),
}

/// `lead` is the body's left while a shape is read.
pub(super) const SIDE_WORDS: [(&str, BodySide); 4] = [
    ("lead", BodySide::Left),
    ("other", BodySide::Right),
    ("left", BodySide::Left),
    ("right", BodySide::Right),
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

pub(super) struct Reader<'a> {
    pub(super) body: &'a Body,
    path: Vec<String>,
    problems: Vec<ShapeProblem>,
}

impl Reader<'_> {
    pub(super) fn at<T>(&mut self, key: &str, work: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(key.to_owned());
        let result = work(self);
        self.path.pop();
        result
    }

    pub(super) fn problem(&mut self, message: impl Into<String>) {
        let (path, message) = (self.path.clone(), message.into());
        self.problems.push(ShapeProblem {
            path,
            message,
            near: None,
        });
    }

    pub(super) fn unknown<'w>(
        &mut self,
        kind: &str,
        word: &str,
        words: impl IntoIterator<Item = &'w str>,
    ) {
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

    pub(super) fn text(&mut self, value: &Value) -> Option<String> {
        let text = value.as_str().map(str::to_owned);
        if text.is_none() {
            self.problem("a word or a sentence is wanted here");
        }
        text
    }

    pub(super) fn number(&mut self, value: &Value) -> Option<f64> {
        let number = value.as_f64().filter(|n| n.is_finite());
        if number.is_none() {
            self.problem("a number is wanted here");
        }
        number
    }

    pub(super) fn list<'v>(&mut self, value: &'v Value) -> &'v [Value] {
        match value {
            Value::Sequence(items) => items,
            _ => {
                self.problem("a list is wanted here");
                &[]
            }
        }
    }

    pub(super) fn entries<'v>(&mut self, value: &'v Value) -> Vec<(String, &'v Value)> {
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

    /// A list of so many numbers; null stands for none.
    pub(super) fn numbers(&mut self, value: &Value, count: usize) -> Option<Vec<Option<f64>>> {
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
}

pub(super) fn side_word(word: &str) -> Option<BodySide> {
    SIDE_WORDS
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, side)| *side)
}

/// `knee.lead` apart: the name and the side said.
pub(super) fn split_side(word: &str) -> (&str, Sides) {
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
