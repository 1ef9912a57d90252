//! Names compared as people write them, and the nearest word to one that is not known.
//!
//! Takes words; gives back keys and suggestions. Invariant: two spellings of one name, with or
//! without diacritics, capitals, hyphens or spaces, have the same [`fold`]ed key.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// How alike two keys are at least for one to be suggested for the other, from 0 to 1 (our
/// choice: tried on the catalogue's names, where 0.8 offers slips and no strangers).
const ALIKE: f64 = 0.8;

/// The first key of a name: letters and digits only, lower-case, diacritics dropped.
///
/// `Vṛkṣāsana` and `vrksasana` share it, as do `Half-moon` and `half moon`.
pub fn fold(name: &str) -> String {
    // Most names: nothing to take apart.
    if name.is_ascii() {
        let letters = name.chars().filter(char::is_ascii_alphanumeric);
        return letters.map(|c| c.to_ascii_lowercase()).collect();
    }
    name.nfd()
        .filter(|c| !is_combining_mark(*c))
        .flat_map(char::to_lowercase)
        .filter(|c| c.is_alphanumeric())
        .collect()
}

/// The second key of a name, tried when the first finds nothing: English spellings of Sanskrit
/// meet scholarly ones. `vrikshasana` and `Vṛkṣāsana` share it.
pub fn fold_loosely(name: &str) -> String {
    const SPELLINGS: [(&str, &str); 8] = [
        ("sh", "s"),
        ("ch", "c"),
        ("ri", "r"),
        ("ru", "r"),
        ("aa", "a"),
        ("ee", "i"),
        ("oo", "u"),
        ("w", "v"),
    ];
    SPELLINGS.iter().fold(fold(name), |key, (from, to)| {
        if key.contains(from) {
            key.replace(from, to)
        } else {
            key
        }
    })
}

/// The known word nearest to `word`, if one is near enough to be meant.
pub fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    near(word, known, 1).into_iter().next()
}

/// Up to `most` known words near to `word`, nearest first: alike as a whole, or, when none is,
/// names that hold one of its words.
pub fn near<'k>(word: &str, known: impl IntoIterator<Item = &'k str>, most: usize) -> Vec<&'k str> {
    // Longer words are nobody's slip, and comparing them costs time in the square of their length.
    if word.len() > 200 {
        return Vec::new();
    }
    let key = fold(word);
    let parts: Vec<String> = word
        .split_whitespace()
        .map(fold)
        .filter(|part| part.chars().count() >= 4)
        .collect();
    let mut alike: Vec<(usize, &str)> = Vec::new();
    let mut holding: Vec<(usize, &str)> = Vec::new();
    for name in known {
        let name_key = fold(name);
        if strsim::jaro_winkler(&key, &name_key) >= ALIKE {
            alike.push((strsim::osa_distance(&key, &name_key), name));
        } else {
            let held = parts.iter().filter(|part| holds(name, part)).count();
            if let Some(rank) = name_key.chars().count().checked_div(held) {
                holding.push((rank, name));
            }
        }
    }
    let mut best = if alike.is_empty() { holding } else { alike };
    best.sort_by_key(|&(distance, _)| distance);
    best.dedup_by_key(|&mut (_, name)| name);
    best.into_iter().map(|(_, name)| name).take(most).collect()
}

/// Whether one of a name's words is `part` or begins with it.
fn holds(name: &str, part: &str) -> bool {
    name.split([' ', '-', ',', '(', ')', '/'])
        .any(|word| fold(word).starts_with(part))
}

/// A help line: what may have been meant, else the possible words when they are few.
pub fn did_you_mean<'k>(word: &str, known: impl IntoIterator<Item = &'k str> + Clone) -> String {
    const FEW: usize = 40;
    if let Some(name) = nearest(word, known.clone()) {
        return format!("Did you mean “{name}”?");
    }
    let words: Vec<&str> = known.into_iter().collect();
    if words.len() <= FEW {
        format!("Write {}.", one_of(&words))
    } else {
        format!("There are {} such words, and none is near.", words.len())
    }
}

/// Words that people write for a key, and the key (our choice, from the words of the trade).
const KEYS_MEANT: [(&str, &str); 35] = [
    ("pose", "posture"),
    ("asana", "posture"),
    ("shape", "posture"),
    ("name", "posture"),
    ("poses", "steps"),
    ("postures", "steps"),
    ("asanas", "steps"),
    ("exercises", "steps"),
    ("sequence", "sections"),
    ("parts", "sections"),
    ("name", "title"),
    ("class", "title"),
    ("time", "start"),
    ("begins", "start"),
    ("time", "minutes"),
    ("duration", "minutes"),
    ("length", "minutes"),
    ("hold", "breaths"),
    ("reps", "repeat"),
    ("times", "repeat"),
    ("people", "students"),
    ("participants", "students"),
    ("attendees", "students"),
    ("clients", "students"),
    ("student", "name"),
    ("condition", "what"),
    ("injury", "what"),
    ("area", "what"),
    ("injuries", "limitations"),
    ("conditions", "limitations"),
    ("health", "limitations"),
    ("medical", "limitations"),
    ("comment", "note"),
    ("date", "on"),
    ("since", "on"),
];

/// The known key that a word is written for: another word for it, else the nearest.
pub fn key_meant<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    let folded = fold(word);
    KEYS_MEANT
        .iter()
        .filter(|(other, _)| *other == folded)
        .find_map(|(_, key)| known.iter().copied().find(|known| known == key))
        .or_else(|| nearest(word, known.iter().copied()))
}

/// Words as a choice: `mild, moderate or acute`.
pub fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("Vṛkṣāsana", "vrksasana")]
    #[case("Half-moon", "half moon")]
    #[case("S\u{301}avāsana", "Śavāsana")]
    fn one_name_has_one_key(#[case] a: &str, #[case] b: &str) {
        assert_eq!(fold(a), fold(b));
    }

    #[rstest]
    #[case("vrikshasana", "Vṛkṣāsana")]
    #[case("shavasana", "Śavāsana")]
    #[case("trikonasana", "Trikoṇāsana")]
    #[case("chaturanga", "Caturaṅga")]
    #[case("adho mukha shwanasana", "Adho Mukha Śvānāsana")]
    fn english_spellings_meet_scholarly_ones(#[case] a: &str, #[case] b: &str) {
        assert_eq!(fold_loosely(a), fold_loosely(b));
    }

    const NAMES: [&str; 6] = [
        "downward dog",
        "down dog at a chair",
        "bridge",
        "low lunge",
        "high lunge",
        "tree",
    ];

    #[rstest]
    #[case("dwonward dog", Some("downward dog"))]
    #[case("brigde", Some("bridge"))]
    #[case("lunge", Some("low lunge"))]
    #[case("crescent tree", Some("tree"))]
    #[case("headstand", None)]
    #[case("", None)]
    fn the_nearest_name(#[case] word: &str, #[case] expected: Option<&str>) {
        assert_eq!(nearest(word, NAMES), expected);
    }

    #[test]
    fn a_help_line_offers_or_lists() {
        assert_eq!(
            did_you_mean("acte", ["mild", "acute"]),
            "Did you mean “acute”?"
        );
        assert_eq!(
            did_you_mean("zzz", ["mild", "moderate", "acute"]),
            "Write mild, moderate or acute."
        );
        assert_eq!(did_you_mean("zzz", ["mild"]), "Write mild.");
        let many: Vec<String> = (10..51).map(|number| format!("word {number}")).collect();
        assert_eq!(
            did_you_mean("zzz", many.iter().map(String::as_str)),
            "There are 41 such words, and none is near."
        );
    }

    #[test]
    fn a_key_is_small_letters_and_nothing_else() {
        assert_eq!(fold("Half-moon 2"), "halfmoon2");
        assert_eq!(fold("Vṛkṣāsana (I)"), "vrksasanai");
        assert_ne!(fold_loosely("bridge"), fold_loosely("tree"));
    }

    #[test]
    fn a_word_too_long_to_be_a_slip_is_near_to_nothing() {
        let name = "a".repeat(200);
        assert_eq!(nearest(&name, [name.as_str()]), Some(name.as_str()));
        let name = "a".repeat(201);
        assert_eq!(nearest(&name, [name.as_str()]), None);
    }

    #[rstest]
    #[case("comment", Some("note"))]
    #[case("Pose", Some("posture"))]
    #[case("postre", Some("posture"))]
    #[case("zzz", None)]
    fn another_word_for_a_key_is_known(#[case] word: &str, #[case] expected: Option<&str>) {
        assert_eq!(key_meant(word, &["posture", "note"]), expected);
    }
}
