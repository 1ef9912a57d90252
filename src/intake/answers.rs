//! Short answers of a form: yes, no, left, ask me, not asked, rather not say.
//!
//! Takes the text of a cell; gives back the answer when the whole cell is one. Invariant: a cell
//! that says more than the answer keeps its words, and a cell that is blank is no answer. These are
//! the words of boxes on forms; free words about a body are read by `words` alone.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::roster::ToldSide;
use crate::words::{BodySide, Severity};

/// Lower-case words without accents and signs, one space between.
pub(super) fn folded_words(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut gap = false;
    for c in text
        .nfd()
        .filter(|c| !is_combining_mark(*c))
        .flat_map(char::to_lowercase)
    {
        if matches!(c, '\'' | '’') {
            continue;
        }
        if c == 'ß' {
            out.push_str("ss");
        } else if c.is_alphanumeric() {
            if gap && !out.is_empty() {
                out.push(' ');
            }
            gap = false;
            out.push(c);
        } else {
            gap = true;
        }
    }
    out
}

/// Whether a cell is empty to a reader: nothing, or dashes.
pub(super) fn is_blank(text: &str) -> bool {
    text.chars()
        .all(|c| c.is_whitespace() || matches!(c, '-' | '–' | '—' | '_' | '.' | '/'))
}

/// Whether a cell beside the words says nothing of its own: blank, a question mark, "no".
pub(super) fn says_nothing(text: &str) -> bool {
    is_blank(text) || text.trim() == "?" || nothing(text) || not_asked(text)
}

/// Whether the whole of a text is one of `phrases`.
fn is_one_of(text: &str, phrases: &[&str]) -> bool {
    let words = folded_words(text);
    phrases.contains(&words.as_str())
}

/// Never asked.
pub(super) fn not_asked(text: &str) -> bool {
    is_one_of(
        text,
        &[
            "not asked",
            "not yet asked",
            "nobody asked",
            "ask",
            "to ask",
            "tbc",
            "unknown",
            "no preguntado",
            "sin preguntar",
            "pas demande",
            "non demande",
            "nicht gefragt",
            "noch nicht gefragt",
            "nao perguntado",
            "non chiesto",
        ],
    )
}

/// Would rather not say.
pub(super) fn declined(text: &str) -> bool {
    is_one_of(
        text,
        &[
            "rather not say",
            "would rather not say",
            "id rather not say",
            "prefer not to say",
            "i prefer not to say",
            "declined",
            "private",
            "no comment",
            "prefiero no decirlo",
            "prefiero no decir",
            "je prefere ne pas le dire",
            "je prefere ne pas repondre",
            "keine angabe",
            "mochte ich nicht sagen",
            "sage ich lieber nicht",
            "prefiro nao dizer",
            "preferisco non dirlo",
            "preferisco non rispondere",
        ],
    )
}

/// Asked, and nothing to tell.
pub(super) fn nothing(text: &str) -> bool {
    is_one_of(
        text,
        &[
            "none",
            "nothing",
            "no",
            "nil",
            "n a",
            "no injuries",
            "no problems",
            "all good",
            "nothing to tell",
            "ninguna",
            "ninguno",
            "nada",
            "rien",
            "aucun",
            "aucune",
            "non",
            "ras",
            "keine",
            "nichts",
            "nein",
            "nenhuma",
            "nao",
            "nessuna",
            "niente",
        ],
    )
}

/// Yes.
pub(super) fn yes(text: &str) -> bool {
    is_one_of(
        text,
        &[
            "yes",
            "y",
            "yes please",
            "true",
            "x",
            "ok",
            "okay",
            "fine",
            "sure",
            "i agree",
            "agree",
            "agreed",
            "1",
            "si",
            "vale",
            "acepto",
            "oui",
            "daccord",
            "ja",
            "gerne",
            "einverstanden",
            "sim",
            "aceito",
            "va bene",
            "accetto",
        ],
    ) || matches!(text.trim(), "✓" | "✔" | "☑")
}

/// No.
pub(super) fn no(text: &str) -> bool {
    is_one_of(
        text,
        &[
            "no",
            "n",
            "no thanks",
            "no thank you",
            "please dont",
            "dont",
            "false",
            "0",
            "disagree",
            "no acepto",
            "non",
            "non merci",
            "nein",
            "nein danke",
            "nao",
            "no grazie",
        ],
    )
}

/// Whether they may be touched.
pub(super) fn touch(text: &str) -> Option<&'static str> {
    let asks = [
        "ask",
        "ask me",
        "ask first",
        "ask each time",
        "please ask",
        "maybe",
        "preguntar",
        "preguntame",
        "demander",
        "demandez",
        "fragen",
        "bitte fragen",
        "vorher fragen",
        "perguntar",
        "chiedere",
        "chiedi",
    ];
    if is_one_of(text, &asks) {
        Some("ask")
    } else if not_asked(text) || is_blank(text) {
        Some("not-asked")
    } else if yes(text) {
        Some("yes")
    } else if no(text) || is_one_of(text, &["none", "no touch", "never"]) {
        Some("no")
    } else {
        None
    }
}

/// Which side a cell of a column of sides says.
pub(super) fn side(text: &str) -> Option<ToldSide> {
    const LEFT: &[&str] = &[
        "left",
        "l",
        "lt",
        "lhs",
        "izquierda",
        "izquierdo",
        "izq",
        "gauche",
        "g",
        "links",
        "li",
        "linke",
        "linkes",
        "linker",
        "esquerda",
        "esquerdo",
        "esq",
        "sinistra",
        "sinistro",
        "sx",
    ];
    const RIGHT: &[&str] = &[
        "right", "r", "rt", "rhs", "derecha", "derecho", "dcha", "dcho", "droite", "droit", "d",
        "rechts", "re", "rechte", "rechtes", "rechter", "direita", "direito", "dir", "destra",
        "destro", "dx",
    ];
    const BOTH: &[&str] = &[
        "both",
        "b",
        "bilateral",
        "ambos",
        "ambas",
        "les deux",
        "beide",
        "beides",
        "beidseitig",
        "entrambi",
        "entrambe",
        "left and right",
        "right and left",
        "l r",
    ];
    const NO: &[&str] = &[
        "not", "no", "nicht", "kein", "pas", "nao", "non", "sin", "sans",
    ];
    let words = folded_words(text);
    let has = |list: &[&str]| words.split(' ').any(|word| list.contains(&word));
    let all: Vec<&str> = words.split(' ').collect();
    let denied = all.windows(2).any(|pair| {
        let sides = [LEFT, RIGHT, BOTH].concat();
        NO.contains(&pair[0]) && sides.contains(&pair[1])
    });
    if denied {
        return None;
    }
    let both = BOTH
        .iter()
        .any(|phrase| format!(" {words} ").contains(&format!(" {phrase} ")));
    match (both, has(LEFT), has(RIGHT)) {
        (true, ..) | (_, true, true) => Some(ToldSide::Both),
        (_, true, false) => Some(ToldSide::One(BodySide::Left)),
        (_, false, true) => Some(ToldSide::One(BodySide::Right)),
        _ => None,
    }
}

/// Whether a cell of a column of sides says nothing beyond one side.
pub(super) fn is_only_a_side(text: &str) -> bool {
    side(text).is_some() && folded_words(text).split(' ').count() == 1
}

/// How bad a cell of a column of severities says it is: one word of the contract, or the worst
/// number of ten (1–3 mild, 4–6 moderate, 7–10 acute: rules.md section 0, common practice).
pub(super) fn severity(text: &str) -> Option<Severity> {
    let words = folded_words(text);
    let said = match words.as_str() {
        "mild" | "slight" | "leve" | "leger" | "leicht" | "lieve" => Some(Severity::Mild),
        "moderate" | "medium" | "moderado" | "modere" | "mittel" | "moderato" => {
            Some(Severity::Moderate)
        }
        "acute" | "severe" | "bad" | "agudo" | "grave" | "aigu" | "akut" | "stark" | "acuto" => {
            Some(Severity::Acute)
        }
        _ => None,
    };
    said.or_else(|| of_ten(text))
}

/// The worst of the numbers written as `6/10` or `6 out of 10`, or of a cell that is one number.
pub(super) fn of_ten(text: &str) -> Option<Severity> {
    let words = folded_words(text);
    let tokens: Vec<&str> = words.split(' ').collect();
    let number = |token: &&str| token.parse::<u32>().ok().filter(|n| *n <= 10);
    let worst = match tokens.as_slice() {
        [only] => number(only),
        _ => {
            let mut worst = None;
            for (at, token) in tokens.iter().enumerate() {
                let rest = tokens.get(at + 1..).unwrap_or_default();
                let of_ten = matches!(
                    rest,
                    ["10", ..] | ["out" | "of", "10", ..] | ["out", "of", "10", ..]
                );
                if of_ten {
                    worst = worst.max(number(token));
                }
            }
            worst
        }
    };
    match worst? {
        0..=3 => Some(Severity::Mild),
        4..=6 => Some(Severity::Moderate),
        _ => Some(Severity::Acute),
    }
}

/// Where a person takes part.
pub(super) fn place(text: &str) -> Option<&'static str> {
    let words = folded_words(text);
    let has = |list: &[&str]| words.split(' ').any(|word| list.contains(&word));
    if has(&[
        "recording",
        "recorded",
        "later",
        "grabacion",
        "enregistrement",
        "aufzeichnung",
        "gravacao",
        "registrazione",
    ]) {
        Some("recording")
    } else if has(&[
        "video", "online", "remote", "home", "linea", "ligne", "distance", "casa",
    ]) {
        Some("video")
    } else if has(&[
        "room",
        "studio",
        "hall",
        "person",
        "sala",
        "presencial",
        "salle",
        "presentiel",
        "raum",
        "ort",
        "presenza",
    ]) {
        Some("room")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[test]
    fn four_answers_stay_four() {
        let answers = |text: &str| {
            [
                is_blank(text),
                not_asked(text),
                declined(text),
                nothing(text),
            ]
        };
        assert_eq!(answers(" — "), [true, false, false, false]);
        assert_eq!(answers("Not asked."), [false, true, false, false]);
        assert_eq!(answers("I’d rather not say"), [false, false, true, false]);
        assert_eq!(answers("None!"), [false, false, false, true]);
        assert_eq!(answers("nothing really"), [false; 4]);
        assert_eq!(answers("no knee trouble"), [false; 4]);
    }

    #[rstest]
    #[case("Left", Some(ToldSide::One(BodySide::Left)))]
    #[case("rechts", Some(ToldSide::One(BodySide::Right)))]
    #[case("both, right worse", Some(ToldSide::Both))]
    #[case("L+R", Some(ToldSide::Both))]
    #[case("?", None)]
    #[case("low", None)]
    fn sides(#[case] text: &str, #[case] expected: Option<ToldSide>) {
        assert_eq!(side(text), expected);
    }

    #[rstest]
    #[case("6/10 kneeling, 2/10 else", Some(Severity::Moderate))]
    #[case("stiff, 3/10", Some(Severity::Mild))]
    #[case("7 out of 10", Some(Severity::Acute))]
    #[case("8", Some(Severity::Acute))]
    #[case("Mild", Some(Severity::Mild))]
    #[case("severe at the time", None)]
    #[case("under control", None)]
    #[case("12", None)]
    fn severities(#[case] text: &str, #[case] expected: Option<Severity>) {
        assert_eq!(severity(text), expected);
    }

    #[rstest]
    #[case("fine", Some("yes"))]
    #[case("Bitte fragen", Some("ask"))]
    #[case("no", Some("no"))]
    #[case("not asked", Some("not-asked"))]
    #[case("", Some("not-asked"))]
    #[case("fine, tap shoulder", None)]
    fn touches(#[case] text: &str, #[case] expected: Option<&str>) {
        assert_eq!(touch(text), expected);
    }
}
