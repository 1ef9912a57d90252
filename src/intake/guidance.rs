//! What a cell says that a clinician said.
//!
//! Takes a cell's text; gives back who said what, and when. Invariant: the words are kept whole, and
//! who said them is never supposed: where no clinician is named it says `not-said`.

use super::answers::{folded_words, is_blank, not_asked, nothing};
use super::dates::{self, DayOrder};

/// Who speaks when nobody is named: no clinician's word, so it acts on nothing.
pub(super) const NOT_SAID: &str = "not-said";

/// One thing said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Said {
    /// The clinician, in the roster's words, or [`NOT_SAID`].
    pub(super) from: &'static str,
    /// When, as the roster writes it.
    pub(super) on: Option<String>,
    /// The words.
    pub(super) says: String,
}

/// Clinicians in the roster's words, and how they are called.
const CLINICIANS: [(&str, &[&str]); 7] = [
    (
        "doctor",
        &[
            "gp",
            "doctor",
            "dr",
            "doc",
            "medico",
            "medica",
            "medecin",
            "docteur",
            "arzt",
            "arztin",
            "hausarzt",
            "hausarztin",
            "consultant",
            "dottore",
            "dottoressa",
        ],
    ),
    (
        "surgeon",
        &[
            "surgeon",
            "cirujano",
            "cirujana",
            "chirurgien",
            "chirurgienne",
            "chirurg",
            "chirurgin",
            "cirurgiao",
            "cirurgia",
            "chirurgo",
        ],
    ),
    (
        "midwife",
        &[
            "midwife",
            "matrona",
            "comadrona",
            "sage femme",
            "hebamme",
            "parteira",
            "ostetrica",
        ],
    ),
    (
        "nurse",
        &[
            "nurse",
            "enfermera",
            "enfermero",
            "infirmiere",
            "infirmier",
            "krankenschwester",
            "krankenpfleger",
            "enfermeira",
            "infermiera",
        ],
    ),
    (
        "physio",
        &[
            "physio",
            "physiotherapist",
            "pt",
            "fisio",
            "fisioterapeuta",
            "kine",
            "kinesitherapeute",
            "physiotherapeut",
            "physiotherapeutin",
            "fisioterapista",
        ],
    ),
    ("clinic", &["clinic", "clinica", "clinique", "klinik"]),
    (
        "hospital",
        &["hospital", "hopital", "krankenhaus", "ospedale"],
    ),
];

/// What a cell says that a clinician said; none for a blank, "none" or "not asked".
pub(super) fn said(text: &str, order: DayOrder) -> Option<Said> {
    if is_blank(text) || nothing(text) || not_asked(text) || text.trim() == "?" {
        return None;
    }
    if let Some((before, after)) = text.split_once(':')
        && let Some(from) = clinician(before)
        && before.split_whitespace().count() <= 5
        && !after.trim().is_empty()
    {
        let on = dates::only(before, order).and_then(dates::When::as_roster);
        return Some(Said {
            from,
            on,
            says: after.trim().to_owned(),
        });
    }
    let mut words = text.splitn(2, char::is_whitespace);
    let first = words.next().unwrap_or("");
    let rest = words.next().unwrap_or("").trim();
    if let Some(from) = clinician(first).filter(|_| !rest.is_empty()) {
        return Some(Said {
            from,
            on: None,
            says: rest.to_owned(),
        });
    }
    Some(Said {
        from: clinician(text).unwrap_or(NOT_SAID),
        on: None,
        says: text.trim().to_owned(),
    })
}

/// The one clinician that a text names.
fn clinician(text: &str) -> Option<&'static str> {
    let words = format!(" {} ", folded_words(text));
    let mut named = CLINICIANS.iter().filter(|(_, names)| {
        names
            .iter()
            .any(|name| words.contains(&format!(" {name} ")))
    });
    let first = named.next()?;
    named.next().is_none().then_some(first.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("GP: keep moving it", "doctor", None, "keep moving it")]
    #[case("GP aware", "doctor", None, "aware")]
    #[case(
        "physio, 2024: don't hang in the joints",
        "physio",
        Some("2024"),
        "don't hang in the joints"
    )]
    #[case("eye clinic: avoid head down", "clinic", None, "avoid head down")]
    #[case("Hebamme: alles gut", "midwife", None, "alles gut")]
    #[case(
        "bend them as far as they go",
        NOT_SAID,
        None,
        "bend them as far as they go"
    )]
    #[case(
        "my friend says: no squats",
        NOT_SAID,
        None,
        "my friend says: no squats"
    )]
    fn who_said_what(
        #[case] text: &str,
        #[case] from: &'static str,
        #[case] on: Option<&str>,
        #[case] says: &str,
    ) {
        let expected = Said {
            from,
            on: on.map(str::to_owned),
            says: says.to_owned(),
        };
        assert_eq!(said(text, DayOrder::Unknown), Some(expected));
    }

    #[rstest]
    #[case("none")]
    #[case("not asked")]
    #[case("—")]
    #[case("?")]
    fn nobody_said_anything(#[case] text: &str) {
        assert_eq!(said(text, DayOrder::Unknown), None);
    }
}
