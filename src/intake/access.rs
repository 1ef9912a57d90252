//! What somebody needs to follow a class: hearing, sight, language.
//!
//! Takes the text of a cell; gives back words of the roster's `access`.

use super::answers::folded_words;

/// What a text says of hearing, sight and language, in the roster's words.
pub(super) fn access(text: &str) -> Vec<String> {
    let words = format!(" {} ", folded_words(text));
    let has = |phrases: &[&str]| {
        phrases
            .iter()
            .any(|phrase| words.contains(&format!(" {phrase} ")))
    };
    let mut found = Vec::new();
    if has(&[
        "deaf", "sordo", "sorda", "sourd", "sourde", "gehorlos", "surdo", "surda",
    ]) {
        found.push("deaf".to_owned());
    } else if has(&[
        "hard of hearing",
        "hearing aid",
        "hearing aids",
        "hears badly",
        "audifono",
        "audifonos",
        "malentendant",
        "malentendante",
        "schwerhorig",
        "horgerat",
        "horgerate",
        "aparelho auditivo",
        "ipoudente",
    ]) {
        found.push("hard-of-hearing".to_owned());
    }
    if has(&[
        "blind", "ciego", "ciega", "aveugle", "cego", "cega", "cieco", "cieca",
    ]) {
        found.push("blind".to_owned());
    } else if has(&[
        "low vision",
        "partially sighted",
        "sees badly",
        "baja vision",
        "malvoyant",
        "malvoyante",
        "sehbehindert",
        "baixa visao",
        "ipovedente",
    ]) {
        found.push("low-vision".to_owned());
    }
    for (code, names) in LANGUAGES {
        let first = names.iter().any(|name| {
            has(&[
                &format!("{name} first"),
                &format!("speaks {name}"),
                &format!("only {name}"),
                &format!("habla {name}"),
                &format!("parle {name}"),
                &format!("spricht {name}"),
                &format!("fala {name}"),
                &format!("parla {name}"),
            ]) || words.trim() == *name
        });
        if first {
            found.push(format!("speaks: {code}"));
        }
    }
    found
}

/// Languages by ISO 639-1 code. English is left out: the sheets are in it.
const LANGUAGES: &[(&str, &[&str])] = &[
    (
        "es",
        &[
            "spanish",
            "espanol",
            "castellano",
            "espagnol",
            "spanisch",
            "espanhol",
            "spagnolo",
        ],
    ),
    (
        "fr",
        &["french", "frances", "francais", "franzosisch", "francese"],
    ),
    (
        "de",
        &[
            "german", "aleman", "allemand", "deutsch", "alemao", "tedesco",
        ],
    ),
    (
        "pt",
        &[
            "portuguese",
            "portugues",
            "portugais",
            "portugiesisch",
            "portoghese",
        ],
    ),
    ("it", &["italian", "italiano", "italien", "italienisch"]),
    (
        "pl",
        &[
            "polish", "polaco", "polonais", "polnisch", "polones", "polacco",
        ],
    ),
    (
        "uk",
        &[
            "ukrainian",
            "ucraniano",
            "ukrainien",
            "ukrainisch",
            "ucraino",
        ],
    ),
    ("ru", &["russian", "ruso", "russe", "russisch", "russo"]),
    ("ar", &["arabic", "arabe", "arabisch", "arabo"]),
    ("tr", &["turkish", "turco", "turc", "turkisch"]),
    (
        "zh",
        &[
            "chinese",
            "mandarin",
            "chino",
            "chinois",
            "chinesisch",
            "chines",
            "cinese",
        ],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_they_need_to_follow() {
        assert_eq!(access("deaf; lip-reads, signs"), ["deaf"]);
        assert_eq!(access("hearing aids in both ears"), ["hard-of-hearing"]);
        assert_eq!(access("Spanish first"), ["speaks: es"]);
        assert!(access("likes Spanish food").is_empty());
    }
}
