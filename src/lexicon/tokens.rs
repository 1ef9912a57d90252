//! Words of an answer, folded, with the spellings that each may stand for.
//!
//! Takes text; gives tokens with their places. Invariant: the raw words of all tokens, in order, are
//! the words of the text.

use std::collections::BTreeSet;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::book::Book;

/// A word may hold one slip of spelling from so many letters on (rules.md 6).
const SLIP_LETTERS: usize = 6;

/// A word of an answer.
#[derive(Clone, Debug)]
pub(super) struct Token {
    /// As written.
    pub raw: String,
    /// Spellings it may stand for, the written one first.
    pub keys: Vec<String>,
    /// First byte in the text, and the first one after it.
    pub at: (usize, usize),
    /// What stands between this word and the one before.
    pub gap: String,
    /// Its number, if it is one.
    pub number: Option<u32>,
    /// Days beside its weeks: 3 of "33+3".
    pub days: Option<u32>,
    /// Whether it is written in digits.
    pub digits: bool,
    /// It is the plural of a known word.
    pub plural: bool,
}

impl Token {
    /// The written word, folded.
    pub(super) fn key(&self) -> &str {
        self.keys.first().map_or("", String::as_str)
    }
}

/// Lower-case, without marks, with joined letters taken apart.
pub(super) fn fold_word(word: &str) -> String {
    let mut folded = String::new();
    for c in word.nfd().filter(|c| !is_combining_mark(*c)) {
        match c {
            'œ' | 'Œ' => folded.push_str("oe"),
            'æ' | 'Æ' => folded.push_str("ae"),
            'ß' => folded.push_str("ss"),
            'ø' | 'Ø' => folded.push('o'),
            '\'' | '’' | '`' => {}
            c => folded.extend(c.to_lowercase()),
        }
    }
    folded
}

/// Cuts a text into raw words with their places.
pub(super) fn cut(text: &str) -> Vec<(usize, usize)> {
    let mut words: Vec<(usize, usize)> = Vec::new();
    let mut begun: Option<usize> = None;
    let mut only_digits = false;
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    for (place, &(at, c)) in chars.iter().enumerate() {
        let inside = c.is_alphanumeric() || (begun.is_some() && is_combining_mark(c));
        let joins = begun.is_some() && is_apostrophe(c) && is_contraction(&chars, place);
        match begun {
            None if inside => {
                begun = Some(at);
                only_digits = c.is_ascii_digit();
            }
            // "22wks" is two words, "L4" is one.
            Some(start) if inside && only_digits && !c.is_ascii_digit() => {
                words.push((start, at));
                begun = Some(at);
                only_digits = false;
            }
            Some(start) if !inside && !joins => {
                words.push((start, at));
                begun = None;
            }
            _ => {}
        }
    }
    if let Some(start) = begun {
        words.push((start, text.len()));
    }
    words
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | '`')
}

/// Whether an English ending follows an apostrophe: "can't", "Parkinson's".
fn is_contraction(chars: &[(usize, char)], place: usize) -> bool {
    let rest: String = chars
        .iter()
        .skip(place + 1)
        .map(|&(_, c)| c)
        .take_while(|c| c.is_alphanumeric())
        .collect();
    matches!(
        rest.to_lowercase().as_str(),
        "t" | "s" | "m" | "re" | "ve" | "ll" | "d"
    )
}

/// The words of an answer.
pub(super) fn tokens(book: &Book, text: &str) -> Vec<Token> {
    let mut before = 0;
    let mut tokens = Vec::new();
    for (start, end) in cut(text) {
        let raw = text.get(start..end).unwrap_or_default().to_owned();
        let key = fold_word(&raw);
        let mut gap = text.get(before..start).unwrap_or_default().to_owned();
        before = end;
        // "28. SSW" and "3. März" are no ends of a sentence.
        let counted = book.months.contains_key(&key) || book.after_ordinal.contains(&key);
        let ordinal = tokens.last().is_some_and(|last: &Token| last.digits);
        if ordinal && counted && gap.trim() == "." {
            " ".clone_into(&mut gap);
        }
        let digits = !key.is_empty() && key.chars().all(|c| c.is_ascii_digit());
        let number = if digits {
            key.parse().ok()
        } else {
            book.numbers.get(&key).copied()
        };
        let one = key.strip_suffix('s').filter(|one| one.len() >= 3);
        let one = one.filter(|_| !book.not_a_slip.contains(&key));
        let plural =
            book.plurals.contains(&key) || one.is_some_and(|one| book.vocabulary.contains(one));
        tokens.push(Token {
            keys: spellings(book, key),
            raw,
            at: (start, end),
            gap,
            number,
            days: None,
            digits,
            plural,
        });
    }
    joined(book, text, tokens)
}

/// Numbers of several words as one: "33+3" are weeks and days, "twenty-two" is 22.
fn joined(book: &Book, text: &str, tokens: Vec<Token>) -> Vec<Token> {
    let mut joined: Vec<Token> = Vec::new();
    let mut tokens = tokens.into_iter().peekable();
    while let Some(mut token) = tokens.next() {
        let mut end = None;
        if let Some(days) = tokens.peek().and_then(|next| days_after(&token, next)) {
            token.days = Some(days);
            end = tokens.next().map(|last| last.at.1);
        } else if token.number.is_some_and(|ten| book.is_ten(ten)) && !token.digits {
            // "treinta y dos", "vingt et un"
            let mut rest = tokens.clone();
            let first = rest.next();
            let and = first
                .as_ref()
                .is_some_and(|word| matches!(word.key(), "y" | "e" | "et" | "and"));
            let last = if and { rest.next() } else { first };
            let one = last.filter(|last| !last.digits && matches!(last.gap.trim(), "" | "-"));
            if let Some((one, at)) = one.and_then(|last| Some((last.number?, last.at)))
                && (1..10).contains(&one)
            {
                token.number = token.number.map(|ten| ten + one);
                tokens = rest;
                end = Some(at.1);
            }
        }
        if let Some(end) = end {
            token.at.1 = end;
            token.raw = text.get(token.at.0..end).unwrap_or_default().to_owned();
            token.keys = vec![fold_word(&token.raw)];
        }
        joined.push(token);
    }
    joined
}

/// The days of "33+3", if two numbers are weeks and days.
fn days_after(weeks: &Token, next: &Token) -> Option<u32> {
    let both = weeks.digits && next.digits && next.gap.trim() == "+";
    let long = weeks.number.is_some_and(|weeks| (3..46).contains(&weeks));
    next.number.filter(|days| both && long && *days < 7)
}

/// What a written word may stand for.
fn spellings(book: &Book, key: String) -> Vec<String> {
    let known = |word: &str| book.vocabulary.contains(word);
    if book.plain.contains(&key) || book.not_a_slip.contains(&key) {
        return vec![key];
    }
    let mut others: BTreeSet<String> = BTreeSet::new();
    for ending in ["s", "es"] {
        let one = key.strip_suffix(ending);
        others.extend(
            one.filter(|one| one.len() >= 3 && known(one))
                .map(str::to_owned),
        );
    }
    if known(&key) {
        return std::iter::once(key).chain(others).collect();
    }
    // "Knieschmerzen" is a knee.
    for ending in &book.compound_ends {
        let stem = key.strip_suffix(ending.as_str());
        let stems = stem
            .into_iter()
            .flat_map(|stem| [stem, stem.trim_end_matches(['n', 's'])]);
        others.extend(stems.filter(|stem| known(stem)).map(str::to_owned));
    }
    // "Huefte" for "Hüfte".
    let plain_vowels = key.replace("ue", "u").replace("oe", "o").replace("ae", "a");
    if known(&plain_vowels) {
        others.insert(plain_vowels);
    }
    if others.is_empty() && key.chars().count() >= SLIP_LETTERS {
        let letters = key.chars().count();
        let (first, last) = (key.chars().next(), key.chars().next_back());
        let near = book.vocabulary.iter().filter(|word| {
            // One slip leaves the first or the last letter and changes the length by one at most:
            // that spares the distance of nearly all words.
            (word.chars().next() == first || word.chars().next_back() == last)
                && word.chars().count() >= SLIP_LETTERS
                && word.chars().count().abs_diff(letters) <= 1
                && strsim::osa_distance(word, &key) <= 1
        });
        others.extend(near.cloned());
    }
    let mut all = vec![key];
    all.extend(others);
    all
}
