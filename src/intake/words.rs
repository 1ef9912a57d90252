//! Free words about a body: the one place where a sheet's words become limitations.
//!
//! Takes a cell's words; gives back what the library knows of them, and the words that stay words.
//! Invariant: only a clause that is, as a whole, an id, a name or a synonym of one limitation is
//! taken for it. Everything else stays as it was written and is asked about.

use std::collections::BTreeMap;

use super::answers::folded_words;
use crate::library::Library;
use crate::library::rule::Limitation;

/// The names and synonyms of every limitation, folded.
#[derive(Debug)]
pub(super) struct Vocabulary<'l> {
    /// The limitation that a phrase means; none where two share it.
    known: BTreeMap<String, Option<&'l Limitation>>,
    /// Words of the longest phrase.
    longest: usize,
    /// The library behind it.
    pub(super) library: &'l Library,
}

/// What the words of a cell say.
#[derive(Debug, Default)]
pub(super) struct Understood<'l> {
    /// Limitations in the order told, each once.
    pub(super) limitations: Vec<&'l Limitation>,
    /// Clauses that were not understood.
    pub(super) rest: Vec<String>,
}

impl<'l> Vocabulary<'l> {
    /// The words of a library.
    pub(super) fn of(library: &'l Library) -> Self {
        let mut known: BTreeMap<String, Option<&Limitation>> = BTreeMap::new();
        for limitation in library.limitations.values() {
            let words = [limitation.id.as_str(), limitation.name.as_str()].into_iter();
            let synonyms = limitation.synonyms.values().flatten().map(String::as_str);
            // An id of two letters is no word of its own: “ms” is also how a person is addressed.
            let words = words.filter(|word| word.len() > 2);
            for phrase in words.chain(synonyms) {
                known
                    .entry(key(phrase))
                    .and_modify(|found| {
                        if found.is_some_and(|other| other.id != limitation.id) {
                            *found = None;
                        }
                    })
                    .or_insert(Some(limitation));
            }
        }
        let longest = known
            .keys()
            .map(|phrase| phrase.split(' ').count())
            .max()
            .unwrap_or(0);
        Self {
            known,
            longest,
            library,
        }
    }

    /// What a cell's words say.
    pub(super) fn understand(&self, text: &str) -> Understood<'l> {
        let mut understood = Understood::default();
        for clause in text.split([',', ';', '/', '+', '&']).map(str::trim) {
            if clause.is_empty() {
                continue;
            }
            match self.known.get(&key(clause)).copied().flatten() {
                Some(limitation)
                    if understood.limitations.iter().any(|l| l.id == limitation.id) => {}
                Some(limitation) => understood.limitations.push(limitation),
                None => understood.rest.push(clause.to_owned()),
            }
        }
        understood
    }

    /// Whether any word or phrase of a text is one of a limitation.
    pub(super) fn mentions(&self, text: &str) -> bool {
        let words: Vec<String> = text.split_whitespace().map(key).collect();
        (0..words.len()).any(|from| {
            (1..=self.longest).any(|length| {
                words
                    .get(from..from + length)
                    .is_some_and(|run| self.known.contains_key(run.join(" ").trim()))
            })
        })
    }
}

/// A phrase as it is compared: folded, but short words in capitals ("MS") as they are written.
fn key(phrase: &str) -> String {
    let bare = phrase.trim_matches(|c: char| !c.is_alphanumeric());
    if bare.len() <= 4
        && bare.chars().any(char::is_uppercase)
        && !bare.chars().any(char::is_lowercase)
    {
        bare.to_owned()
    } else {
        folded_words(bare)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_clauses_are_understood_and_the_rest_is_kept() {
        let library = Library::built_in().expect("the built-in library is whole");
        let vocabulary = Vocabulary::of(&library);
        let read = |text: &str| {
            let understood = vocabulary.understand(text);
            let ids: Vec<String> = understood
                .limitations
                .iter()
                .map(|l| l.id.to_string())
                .collect();
            (ids, understood.rest)
        };
        assert_eq!(
            read("frozen shoulder, sugar diabetes"),
            (
                vec!["frozen-shoulder".to_owned(), "diabetes".to_owned()],
                vec![]
            )
        );
        assert_eq!(read("no knee trouble").0, Vec::<String>::new());
        assert_eq!(read("Ms").0, Vec::<String>::new());
        assert_eq!(read("MS").0, ["ms"]);
        assert!(vocabulary.mentions("my left knee, I think"));
        assert!(!vocabulary.mentions("likes the last row"));
    }
}
