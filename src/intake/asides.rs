//! What stands among notes and has a key of its own in a roster: how late, how tall, what they bring,
//! what stays with the teacher, and whether notes may be kept.
//!
//! Takes the text of a cell; gives back what it says for sure. Invariant: nothing is taken out of the
//! text, and a "no" before it takes it back.

use super::answers::folded_words;
use crate::words::Prop;

/// Whom something was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Confidence {
    /// The teacher alone.
    Teacher,
    /// It stands beside a "no".
    Doubtful,
}

/// Words that turn what follows them.
const NOT: &[&str] = &[
    "not", "no", "isnt", "never", "without", "forgot", "forgets", "needs", "wants", "nicht",
    "kein", "keine", "ohne", "pas", "sans", "sin", "non", "senza", "nao", "sem",
];

const TEACHER_ALONE: &[&str] = &[
    "told only the teacher",
    "only told the teacher",
    "told only you",
    "only told you",
    "told the teacher only",
    "only the teacher knows",
    "only the teacher",
    "teacher only",
    "only for the teacher",
    "for the teacher only",
    "for the teacher alone",
    "keep this private",
    "keep it private",
    "keep that private",
    "keep private",
    "keep this to yourself",
    "keep it to yourself",
    "private please",
    "please private",
    "between us",
    "between you and me",
    "confidential",
    "in confidence",
    "not for the others",
    "not in front of the others",
    "dont tell anyone",
    "do not tell anyone",
    "dont tell the others",
    "nobody else knows",
    "no one else knows",
    "nobody knows yet",
    "no one knows yet",
    "solo lo sabe la profesora",
    "solo lo sabe el profesor",
    "solo la profesora",
    "solo para la profesora",
    "entre nosotros",
    "entre nosotras",
    "confidencial",
    "no se lo digas a nadie",
    "seulement la prof",
    "seulement le prof",
    "confidentiel",
    "confidentielle",
    "entre nous",
    "ne le dites a personne",
    "vertraulich",
    "unter uns",
    "nur die lehrerin",
    "nur der lehrer",
    "nur fur die lehrerin",
    "nicht weitersagen",
    "entre nos",
    "so a professora",
    "so o professor",
    "nao contes a ninguem",
    "nao conte a ninguem",
    "confidenziale",
    "riservato",
    "tra noi",
    "solo linsegnante",
    "non dirlo a nessuno",
];

const NO_NOTES: &[&str] = &[
    "no health notes",
    "no notes please",
    "please no notes",
    "no notes about me",
    "no notes on me",
    "no notes kept",
    "keep no notes",
    "dont keep notes",
    "dont keep any notes",
    "do not keep notes",
    "do not keep any notes",
    "dont keep health notes",
    "do not keep health notes",
    "dont write this down",
    "do not write this down",
    "dont write it down",
    "do not write it down",
    "contact details only",
    "dont store",
    "do not store",
    "sin notas de salud",
    "no guardes notas",
    "no guarde notas",
    "no guardar notas",
    "no apuntar",
    "pas de notes de sante",
    "pas de notes sil vous plait",
    "ne gardez pas de notes",
    "ne pas garder de notes",
    "ne pas noter",
    "keine notizen bitte",
    "bitte keine notizen",
    "keine gesundheitsnotizen",
    "keine gesundheitsdaten",
    "nicht aufschreiben",
    "nichts aufschreiben",
    "nicht speichern",
    "sem notas de saude",
    "nao guardar notas",
    "nao guarde notas",
    "nao guardes notas",
    "nao anotar",
    "nessuna nota per favore",
    "niente note",
    "non tenere note",
    "non annotare",
];

const MINUTES: &[&str] = &[
    "min", "mins", "minute", "minutes", "minuto", "minutos", "minuten", "minuti",
];
const LATE: &[&str] = &[
    "late",
    "tarde",
    "retard",
    "spater",
    "spat",
    "verspatung",
    "atrasado",
    "atrasada",
    "atraso",
    "ritardo",
];

/// Things of a known length that are no person.
const LONG_THINGS: &[&str] = &[
    "mat", "mats", "board", "table", "strap", "belt", "bench", "wall", "room", "space", "wide",
    "away", "bolster", "pillow",
];

const OWN: &[&str] = &[
    "own", "propio", "propia", "propre", "eigene", "eigenes", "eigenen", "eigener", "eigenem",
    "proprio", "propria",
];
const BRINGS: &[&str] = &[
    "brings", "bring", "bringing", "trae", "traigo", "apporte", "bringt", "bringe", "traz",
    "trago", "porta", "porto",
];
/// Words that may stand between what somebody brings, or between its parts.
const BETWEEN: &[&str] = &[
    "a", "an", "and", "her", "his", "their", "my", "own", "the", "y", "su", "sus", "mi", "mis",
    "un", "una", "et", "son", "sa", "ses", "mon", "ma", "mes", "une", "und", "ihr", "ihre",
    "ihren", "sein", "seine", "mein", "meine", "meinen", "ein", "eine", "einen", "e", "o", "seu",
    "sua", "meu", "minha", "um", "uma", "il", "la", "lo", "suo", "mio", "mia",
];

const PROPS: &[(Prop, &[&str])] = &[
    (
        Prop::Mat,
        &[
            "mat",
            "mats",
            "esterilla",
            "tapis",
            "matte",
            "tapete",
            "tappetino",
        ],
    ),
    (
        Prop::Block,
        &[
            "block", "blocks", "bloque", "bloques", "bloc", "blocs", "brique", "briques", "blocke",
            "bloco", "blocos", "mattone", "mattoni",
        ],
    ),
    (
        Prop::Blanket,
        &[
            "blanket",
            "blankets",
            "manta",
            "mantas",
            "couverture",
            "couvertures",
            "decke",
            "decken",
            "cobertor",
            "coperta",
            "coperte",
        ],
    ),
    (Prop::Bolster, &["bolster", "bolsters", "polster"]),
    (
        Prop::Strap,
        &[
            "strap", "straps", "cinturon", "sangle", "sangles", "gurt", "gurte", "cinto", "cinta",
            "cinghia", "cinghie",
        ],
    ),
    (
        Prop::Chair,
        &["chair", "silla", "chaise", "stuhl", "cadeira", "sedia"],
    ),
    (
        Prop::Cushion,
        &[
            "cushion",
            "cushions",
            "cojin",
            "coussin",
            "sitzkissen",
            "almofada",
            "cuscino",
        ],
    ),
    (
        Prop::Pillow,
        &["pillow", "pillows", "almohada", "oreiller", "kissen"],
    ),
    (
        Prop::Towel,
        &[
            "towel",
            "towels",
            "toalla",
            "serviette",
            "handtuch",
            "toalha",
            "asciugamano",
        ],
    ),
    (Prop::Wedge, &["wedge", "wedges", "keil"]),
    (Prop::Stool, &["stool", "taburete", "tabouret", "hocker"]),
];

/// Where a phrase begins among words.
fn place_of(words: &[&str], phrase: &str) -> Option<usize> {
    let phrase: Vec<&str> = phrase.split(' ').collect();
    words
        .windows(phrase.len())
        .position(|window| window == phrase.as_slice())
}

/// Whether a word within reach before a place turns it.
fn is_turned(words: &[&str], at: usize) -> bool {
    let before = words.get(at.saturating_sub(2)..at).unwrap_or_default();
    before.iter().any(|word| NOT.contains(word))
}

/// Whether something was told to the teacher alone.
pub(super) fn confidence(text: &str) -> Option<Confidence> {
    let folded = folded_words(text);
    let words: Vec<&str> = folded.split(' ').collect();
    let places = TEACHER_ALONE
        .iter()
        .filter_map(|phrase| place_of(&words, phrase));
    let turned: Vec<bool> = places.map(|at| is_turned(&words, at)).collect();
    match turned.as_slice() {
        [] => None,
        all if all.contains(&true) => Some(Confidence::Doubtful),
        _ => Some(Confidence::Teacher),
    }
}

/// Whether they give no leave to keep health notes.
pub(super) fn gives_no_leave(text: &str) -> bool {
    let folded = folded_words(text);
    let words: Vec<&str> = folded.split(' ').collect();
    NO_NOTES
        .iter()
        .any(|phrase| place_of(&words, phrase).is_some())
}

/// A number with its unit, in one word or two: "6 min", "195cm". Gives back the number and the first
/// word after it.
fn counted(words: &[&str], at: usize, units: &[&str]) -> Option<(u32, usize)> {
    let word = words.get(at)?;
    let digits = word.trim_end_matches(|c: char| !c.is_ascii_digit());
    let number = digits.parse().ok()?;
    let unit = word.get(digits.len()..)?;
    if unit.is_empty() {
        let next = words.get(at + 1)?;
        units.contains(next).then_some((number, at + 2))
    } else {
        units.contains(&unit).then_some((number, at + 1))
    }
}

/// How many minutes late: "came in 6 minutes late".
pub(super) fn minutes_late(text: &str) -> Option<u32> {
    let folded = folded_words(text);
    let words: Vec<&str> = folded.split(' ').collect();
    (0..words.len()).find_map(|at| {
        let (minutes, next) = counted(&words, at, MINUTES)?;
        let after = words.get(next..(next + 2).min(words.len()));
        let before = words.get(at.saturating_sub(2)..at);
        let near = after.into_iter().chain(before).flatten();
        let late = near.into_iter().any(|word| LATE.contains(word));
        (late && minutes <= 240 && !is_turned(&words, at)).then_some(minutes)
    })
}

/// How tall, in centimetres: "195 cm", "1.95 m".
pub(super) fn height_cm(text: &str) -> Option<u32> {
    let folded = folded_words(text);
    let words: Vec<&str> = folded.split(' ').collect();
    (0..words.len()).find_map(|at| {
        let metres = || {
            let whole: u32 = words
                .get(at)?
                .parse()
                .ok()
                .filter(|one| (1..=2).contains(one))?;
            let (part, next) = counted(&words, at + 1, &["m", "metres", "metre", "meter"])?;
            (10..100)
                .contains(&part)
                .then_some((whole * 100 + part, next))
        };
        let (cm, next) = counted(&words, at, &["cm", "centimetres"]).or_else(metres)?;
        let after = words.get(next..(next + 2).min(words.len()))?.iter();
        let before = words.get(at.saturating_sub(2)..at)?.iter();
        // "195 cm, own mat"
        let mut near = before.chain(after.take_while(|word| !OWN.contains(word)));
        let thing = near.any(|word| LONG_THINGS.contains(word));
        ((130..=220).contains(&cm) && !thing).then_some(cm)
    })
}

/// The props that somebody brings for themselves: "own bolster", "brings her own mat and two blocks".
pub(super) fn own_props(text: &str) -> Vec<(Prop, u32)> {
    let folded = folded_words(text);
    let words: Vec<&str> = folded.split(' ').collect();
    let mut found: Vec<(Prop, u32)> = Vec::new();
    for (at, word) in words.iter().enumerate() {
        let brings = BRINGS.contains(word);
        if !(brings || OWN.contains(word)) || is_turned(&words, at) {
            continue;
        }
        let mut many = 1;
        for next in words.iter().skip(at + 1) {
            if let Some(prop) = prop(next) {
                if !found.iter().any(|(known, _)| *known == prop) {
                    found.push((prop, many));
                }
                many = 1;
            } else if let Some(number) = number(next) {
                many = number;
            } else if !BETWEEN.contains(next) {
                break;
            }
        }
        // "Bolster propio"
        let before = at.checked_sub(1).and_then(|before| words.get(before));
        if let Some(prop) = before.and_then(|word| prop(word)).filter(|_| !brings)
            && !found.iter().any(|(known, _)| *known == prop)
        {
            found.push((prop, 1));
        }
    }
    found
}

fn prop(word: &str) -> Option<Prop> {
    let known = PROPS.iter().find(|(_, words)| words.contains(&word));
    known.map(|(prop, _)| *prop)
}

fn number(word: &str) -> Option<u32> {
    let named = [
        (2, ["two", "dos", "deux", "zwei", "dois", "due"]),
        (3, ["three", "tres", "trois", "drei", "tres", "tre"]),
    ];
    let name = named.iter().find(|(_, names)| names.contains(&word));
    let digits = word.parse().ok().filter(|many| (1..=20).contains(many));
    name.map(|(number, _)| *number).or(digits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("has told only the teacher", Some(Confidence::Teacher))]
    #[case("pregnant; please keep this private", Some(Confidence::Teacher))]
    #[case("bitte vertraulich", Some(Confidence::Teacher))]
    #[case("confidentiel svp", Some(Confidence::Teacher))]
    #[case("not confidential", Some(Confidence::Doubtful))]
    #[case("private lessons on Friday", None)]
    #[case("told the teacher", None)]
    fn what_stays_with_the_teacher(#[case] text: &str, #[case] expected: Option<Confidence>) {
        assert_eq!(confidence(text), expected, "{text}");
    }

    #[rstest]
    #[case("agrees to contact details only; no health notes; near the door", true)]
    #[case("please don't keep notes", true)]
    #[case("bitte keine Notizen", true)]
    #[case("no notes", false)]
    #[case("please don't record me on video", false)]
    fn leave_to_keep_notes(#[case] text: &str, #[case] none: bool) {
        assert_eq!(gives_no_leave(text), none, "{text}");
    }

    #[rstest]
    #[case("came in 6 minutes late", Some(6))]
    #[case("always 10min late", Some(10))]
    #[case("late by 5 minutes", Some(5))]
    #[case("llega 5 minutos tarde", Some(5))]
    #[case("10 minutes en retard", Some(10))]
    #[case("5 Minuten zu spät", Some(5))]
    #[case("arriva con 5 minuti di ritardo", Some(5))]
    #[case("not 5 minutes late", None)]
    #[case("leaves 5 minutes early", None)]
    #[case("6 months ago", None)]
    fn lateness(#[case] text: &str, #[case] expected: Option<u32>) {
        assert_eq!(minutes_late(text), expected, "{text}");
    }

    #[rstest]
    #[case("tall, 195 cm", Some(195))]
    #[case("195cm", Some(195))]
    #[case("195 cm, own mat", Some(195))]
    #[case("1.95 m tall", Some(195))]
    #[case("1,72m", Some(172))]
    #[case("needs a 200 cm mat", None)]
    #[case("60 cm from the wall", None)]
    fn heights(#[case] text: &str, #[case] expected: Option<u32>) {
        assert_eq!(height_cm(text), expected, "{text}");
    }

    #[rstest]
    #[case("own bolster", &[(Prop::Bolster, 1)])]
    #[case("brings own bolster", &[(Prop::Bolster, 1)])]
    #[case("brings her own mat and two blocks", &[(Prop::Mat, 1), (Prop::Block, 2)])]
    #[case("bringt eigene Decke", &[(Prop::Blanket, 1)])]
    #[case("bolster propio", &[(Prop::Bolster, 1)])]
    #[case("apporte son coussin", &[(Prop::Cushion, 1)])]
    #[case("own wheelchair", &[])]
    #[case("forgot own mat", &[])]
    #[case("needs a chair", &[])]
    fn what_they_bring(#[case] text: &str, #[case] expected: &[(Prop, u32)]) {
        assert_eq!(own_props(text), expected, "{text}");
    }
}
