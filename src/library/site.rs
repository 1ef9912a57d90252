//! Where on the body something is, in people's own words: "left knee" is the area of the knee.

use super::Library;
use super::rule::{Limitation, LimitationKind};
use crate::input::suggest::fold;
use crate::lexicon::{Element, Meaning};
use crate::roster::ToldSide;

impl Library {
    /// The area that words name as a site; of several the one with the longest name.
    pub fn area_of(&self, words: &str) -> Option<&Limitation> {
        let areas = self.limitations.values();
        let areas = areas.filter(|limitation| limitation.kind == LimitationKind::Area);
        let named = areas.flat_map(|area| {
            let own = [area.id.as_str(), area.name.as_str()];
            let others = area.synonyms.values().chain(area.sites.values());
            let others = others.flatten().map(String::as_str);
            own.into_iter().chain(others).map(move |name| (name, area))
        });
        longest(words, named)
    }

    /// The side that words name as they name a site: "both hands", "rodilla izquierda".
    pub fn side_of(&self, words: &str) -> Option<ToldSide> {
        let named = self.lexicon.patterns.iter().filter_map(|pattern| {
            let Meaning::Side(word) = &pattern.meaning else {
                return None;
            };
            let plain = pattern.elements.iter().filter_map(|element| match element {
                Element::Word(word) => Some(word.as_str()),
                _ => None,
            });
            Some((plain.collect::<Vec<_>>().join(" "), word.side))
        });
        let named: Vec<(String, ToldSide)> = named.collect();
        longest(
            words,
            named.iter().map(|(name, side)| (name.as_str(), *side)),
        )
    }
}

impl Limitation {
    /// The place of its own that words name as a site.
    pub fn site_of(&self, words: &str) -> Option<&str> {
        let named = self.sites.iter().flat_map(|(site, words)| {
            let own = std::iter::once(site.as_str()).chain(words.iter().map(String::as_str));
            own.map(move |word| (word, site.as_str()))
        });
        longest(words, named)
    }
}

/// What the longest name that stands in the words as whole words means.
fn longest<'n, T>(words: &str, named: impl Iterator<Item = (&'n str, T)>) -> Option<T> {
    let said = split(words);
    named
        .map(|(name, means)| (split(name), means))
        .filter(|(name, _)| !name.is_empty() && said.windows(name.len()).any(|run| run == *name))
        .max_by_key(|(name, _)| name.iter().map(String::len).sum::<usize>())
        .map(|(_, means)| means)
}

/// Words without capitals, accents and signs.
fn split(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric() && c != '\u{301}');
    words.map(fold).filter(|word| !word.is_empty()).collect()
}
