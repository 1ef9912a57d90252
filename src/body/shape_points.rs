//! Reads what a shape says of places: contacts, touches, distances between points of the body.

use serde_yaml::Value;

use super::shape::{Apart, Contact, Surface, Touch};
use super::shape_read::{Reader, Sides, split_side};
use super::table::SphereId;
use crate::words::BodySide;

impl Reader<'_> {
    pub(super) fn contacts(&mut self, value: &Value) -> Vec<Contact> {
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

    pub(super) fn surface(&mut self, word: &str) -> Option<Surface> {
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
    pub(super) fn patches(&mut self, value: &Value) -> Vec<(String, Option<BodySide>)> {
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
    pub(super) fn pairs(&mut self, first: &Value, second: &Value) -> Vec<(SphereId, SphereId)> {
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

    pub(super) fn touches(&mut self, value: &Value) -> Vec<Touch> {
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

    pub(super) fn apart(&mut self, value: &Value) -> Vec<Apart> {
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
}
