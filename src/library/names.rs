//! Names of postures: one owner each, found with and without diacritics.

use std::collections::BTreeMap;

use super::Library;
use super::load::Entry;
use super::posture::{Names, Posture, Spelling};
use crate::input::suggest::{fold, fold_loosely, near};
use crate::problem::Code;
use crate::words::PostureId;

/// Every name's owner, by its folded keys. A name that two postures have is a problem of the one
/// that is no row of the catalogue; the ends of a movement own no names.
pub(super) fn names(
    entries: &BTreeMap<String, Entry<'_>>,
    postures: &BTreeMap<PostureId, Posture>,
) -> Names {
    let mut names = Names::default();
    let mut by_rank: Vec<(&Entry<'_>, &Posture)> = entries
        .iter()
        .filter_map(|(id, entry)| Some((entry, postures.get(id.as_str())?)))
        .filter(|(_, posture)| !posture.is_part)
        .collect();
    by_rank.sort_by_key(|(entry, _)| !entry.is_row());
    for (entry, posture) in by_rank {
        if let Some(cut) = posture
            .names
            .iter()
            .find(|name| name.starts_with(char::is_lowercase))
        {
            entry.field.problem_at(
                "names",
                Code::NameCut,
                format!("“{cut}” is no name of its own"),
                "In brackets a comma ends a name: put a name with a comma in quotation marks.",
            );
            continue;
        }
        let id = posture.id.as_str();
        let told = posture
            .names
            .iter()
            .chain(&posture.sanskrit)
            .map(String::as_str);
        for name in told.chain([id]) {
            if name != id {
                names.spellings.push(spelling(name, &posture.id, false));
            }
            let strict = owner(&mut names.owners, fold(name), &posture.id);
            // Loosely folded, “warrior” would be “Warrior I”: a numeral is no spelling.
            let numbered = ends_in_numeral(name) && !posture.sanskrit.iter().any(|own| own == name);
            let loose = if numbered {
                None
            } else {
                owner(&mut names.loosely, fold_loosely(name), &posture.id)
            };
            if let Some(owner) = strict.or(loose) {
                entry.field.key_problem(
                    Code::NameTwice,
                    format!("“{name}” is a name of “{owner}” already"),
                    "Leave the name to the plain shape; give this one a name of its own.",
                );
            }
        }
    }
    names
}

fn ends_in_numeral(name: &str) -> bool {
    let last = name.rsplit([' ', '-']).next().unwrap_or("");
    matches!(last.to_lowercase().as_str(), "i" | "ii" | "iii")
}

/// Takes a key for a posture; gives back the other posture that owns it.
fn owner(
    owners: &mut BTreeMap<String, PostureId>,
    key: String,
    id: &PostureId,
) -> Option<PostureId> {
    let owner = owners.entry(key).or_insert_with(|| id.clone());
    (owner != id).then(|| owner.clone())
}

/// A spelling of a name, ready to be compared.
pub(super) fn spelling(name: &str, posture: &PostureId, short: bool) -> Spelling {
    let key = fold(name);
    Spelling {
        letters: letters(&key),
        words: words(name),
        name: name.to_owned(),
        key,
        posture: posture.clone(),
        short,
    }
}

/// Words of a name, folded and loosely folded.
fn words(name: &str) -> Vec<(String, String)> {
    name.split(|c: char| c.is_whitespace() || "-–—/(),".contains(c))
        .map(|word| (fold(word), fold_loosely(word)))
        .filter(|(word, _)| !word.is_empty())
        .collect()
}

/// Which letters a key has, a bit each.
fn letters(key: &str) -> u64 {
    key.chars()
        .fold(0, |bits, c| bits | 1_u64 << (u32::from(c) % 64))
}

/// How many slips a word of so many letters may hold and still be read (our choice: few enough that
/// no word of a name is taken for another).
fn slips(length: usize) -> usize {
    match length {
        0..=3 => 0,
        4..=6 => 1,
        7..=11 => 2,
        _ => 3,
    }
}

/// What a name that somebody typed stands for.
#[derive(Clone, Debug)]
pub enum Sought<'l> {
    /// The posture's name, its id, or a short name with one meaning.
    Named(&'l Posture),
    /// One posture is meant by all signs: a slip, a part of the name, a loose word.
    Likely(&'l Posture),
    /// A loose word that may mean one of these, the likeliest first.
    Loose(Vec<&'l Posture>),
    /// One of these, none likelier than the others.
    Several(Vec<&'l Posture>),
    /// None.
    Unknown,
}

impl Library {
    /// The posture of an id or a name, English or Sanskrit, with or without diacritics, or of a
    /// short name with one meaning.
    pub fn find(&self, name: &str) -> Option<&Posture> {
        let key = fold(name);
        let owner = self.names.owners.get(&key);
        let owner = owner
            .or_else(|| self.names.loosely.get(&fold_loosely(name)))
            .or_else(|| self.names.short.get(&key))?;
        self.listed(owner)
    }

    /// The posture of a name as people jot it: a name, one in the plural, a part of one, a loose
    /// word, or one with a slip in it.
    pub fn seek(&self, name: &str) -> Sought<'_> {
        if let Some(posture) = self.named(name) {
            return Sought::Named(posture);
        }
        match self.perhaps(name).as_slice() {
            [] => {}
            [one] => return Sought::Likely(one),
            many => return Sought::Loose(many.to_vec()),
        }
        for step in [Self::holding, Self::slipped] {
            match step(self, name).as_slice() {
                [] => {}
                [one] => return Sought::Likely(one),
                many => return Sought::Several(many.to_vec()),
            }
        }
        Sought::Unknown
    }

    /// The posture of a name, or of one in the plural.
    pub fn named(&self, name: &str) -> Option<&Posture> {
        self.find(name)
            .or_else(|| singular(name).and_then(|one| self.find(&one)))
    }

    /// The postures that a loose word may stand for, likeliest first.
    pub fn perhaps(&self, word: &str) -> Vec<&Posture> {
        let ids = self.names.perhaps.get(&fold(word)).or_else(|| {
            let one = singular(word)?;
            self.names.perhaps.get(&fold(&one))
        });
        ids.into_iter()
            .flatten()
            .filter_map(|id| self.listed(id))
            .collect()
    }

    /// The postures of whose name these are words, each whole or its beginning: those with the
    /// fewest other words in the name, plain shapes before their forms; none when they are many.
    fn holding(&self, name: &str) -> Vec<&Posture> {
        const FEW: usize = 6;
        let typed = words(name);
        // One short word (“down”, “hand”) is in many names and tells none.
        let least = if typed.len() == 1 { 5 } else { 4 };
        let telling = typed.iter().any(|(word, _)| word.chars().count() >= least);
        if !telling || typed.len() > 8 {
            return Vec::new();
        }
        let mut found: Vec<(usize, &Posture)> = Vec::new();
        for spelling in self.names.spellings.iter().filter(|one| !one.short) {
            if !holds(&spelling.words, &typed) {
                continue;
            }
            let Some(posture) = self.listed(&spelling.posture) else {
                continue;
            };
            let other = spelling.words.len() - typed.len().min(spelling.words.len());
            found.push((other, posture));
        }
        let rank = |&(other, posture): &(usize, &Posture)| (other, posture.based_on.is_some());
        let Some(best) = found.iter().map(rank).min() else {
            return Vec::new();
        };
        found.retain(|one| rank(one) == best);
        let mut seen = std::collections::BTreeSet::new();
        let nearest = found.into_iter().map(|(_, posture)| posture);
        let nearest: Vec<&Posture> = nearest.filter(|one| seen.insert(&one.id)).collect();
        if nearest.len() > FEW {
            Vec::new()
        } else {
            nearest
        }
    }

    /// The postures whose names are this one with the fewest slips, word by word.
    fn slipped(&self, name: &str) -> Vec<&Posture> {
        let key = fold(name);
        let length = key.chars().count();
        if !(4..=60).contains(&length) {
            return Vec::new();
        }
        let typed = words(name);
        let bits = letters(&key);
        let mut most = 3;
        let mut best: Vec<&PostureId> = Vec::new();
        for spelling in &self.names.spellings {
            let apart = (spelling.letters ^ bits).count_ones() as usize;
            let longer = spelling.key.chars().count().abs_diff(length);
            if longer > most || apart > 2 * most {
                continue;
            }
            let Some(distance) = distance(&typed, &key, spelling) else {
                continue;
            };
            if distance < most || (distance == most && best.is_empty()) {
                most = distance;
                best.clear();
            }
            if distance == most && !best.contains(&&spelling.posture) {
                best.push(&spelling.posture);
            }
        }
        best.into_iter().filter_map(|id| self.listed(id)).collect()
    }

    fn listed(&self, id: &PostureId) -> Option<&Posture> {
        self.postures.get(id).filter(|posture| !posture.is_part)
    }

    /// Postures for words, the likeliest first: the one of that name, those that a loose word may
    /// stand for, and those whose names hold every word, plain shapes before their forms; when
    /// there is none, near ones. All in order of their names without words.
    pub fn search(&self, wanted: &[String]) -> Vec<&Posture> {
        let phrase = wanted.join(" ");
        let mut all: Vec<&Posture> = self
            .postures
            .values()
            .filter(|posture| !posture.is_part)
            .collect();
        all.sort_by_key(|posture| posture.name().to_lowercase());
        let typed = words(&phrase);
        if typed.is_empty() {
            return all;
        }
        let mut found: Vec<&Posture> = self.named(&phrase).into_iter().collect();
        found.extend(self.perhaps(&phrase));
        let holding = all.iter().filter(|posture| {
            let names = posture.names.iter().chain(&posture.sanskrit);
            let told: Vec<_> = names.flat_map(|name| words(name)).collect();
            holds(&told, &typed)
        });
        let (plain, forms): (Vec<&Posture>, Vec<&Posture>) =
            holding.partition(|posture| posture.based_on.is_none());
        found.extend(plain.into_iter().chain(forms));
        if found.is_empty() {
            found.extend(self.slipped(&phrase));
        }
        if found.is_empty() {
            let near = self.suggest(&phrase, 5);
            found.extend(near.into_iter().filter_map(|name| self.find(name)));
        }
        let mut seen = std::collections::BTreeSet::new();
        found.retain(|posture| seen.insert(&posture.id));
        found
    }

    /// Names near to one that nothing has, one of each posture.
    pub fn suggest(&self, name: &str, most: usize) -> Vec<&str> {
        let names = self
            .postures
            .values()
            .filter(|posture| !posture.is_part)
            .flat_map(|posture| posture.names.iter().chain(&posture.sanskrit))
            .map(String::as_str);
        let mut owners: Vec<&PostureId> = Vec::new();
        let mut first_of_each = |name: &&str| {
            let owner = self.find(name).map(|posture| &posture.id);
            owner.is_some_and(|owner| {
                let is_new = !owners.contains(&owner);
                owners.extend(is_new.then_some(owner));
                is_new
            })
        };
        let near = near(name, names, most * 4).into_iter();
        near.filter(&mut first_of_each).take(most).collect()
    }
}

/// How many slips part a name from a spelling; none when a word is another word. A name whose words
/// are parted otherwise (“head stand”) may hold one slip.
fn distance(typed: &[(String, String)], key: &str, spelling: &Spelling) -> Option<usize> {
    if typed.len() != spelling.words.len() {
        let whole = strsim::osa_distance(key, &spelling.key);
        return (whole <= 1 && key.chars().count() > 5).then_some(whole);
    }
    let mut sum = 0;
    for ((word, _), (told, _)) in typed.iter().zip(&spelling.words) {
        let slipped = strsim::osa_distance(word, told);
        let length = word.chars().count().max(told.chars().count());
        // In the shortest words only two letters may have changed places: “tere”, never “free”.
        let swapped = length > 4 || slipped == 0 || letters(word) == letters(told);
        if slipped > slips(length) || !swapped {
            return None;
        }
        sum += slipped;
    }
    Some(sum)
}

/// Whether every typed word is a word of a name or begins one. Words of up to three letters are
/// whole words, so that “i” is not “in” and “sit” is not “sitting”.
fn holds(told: &[(String, String)], typed: &[(String, String)]) -> bool {
    typed.iter().all(|(word, loose)| {
        let short = word.chars().count() < 4;
        told.iter().any(|(part, loose_part)| {
            part == word
                || (!short
                    && (part.starts_with(word.as_str()) || loose_part.starts_with(loose.as_str())))
        })
    })
}

/// A name in the singular: each word without its last s.
fn singular(name: &str) -> Option<String> {
    let one: Vec<&str> = name
        .split_whitespace()
        .map(|word| match word.strip_suffix(['s', 'S']) {
            Some(one) if one.chars().count() >= 3 && !one.ends_with(['s', 'S', '’', '\'']) => one,
            _ => word,
        })
        .collect();
    let one = one.join(" ");
    (one != name).then_some(one)
}
