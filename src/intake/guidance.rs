//! What a cell says that a clinician said.
//!
//! Takes a cell's text; gives back who said what, and when. Invariant: the words are kept whole, and
//! who said them is never supposed: where no clinician is named it says `not-said`.

use super::answers::{is_blank, not_asked, nothing};
use super::dates::{self, DayOrder};
use crate::lexicon::Book;
use crate::roster::Guidance;
use crate::words::LimitationId;

/// Who speaks when nobody is named: no clinician's word, so it acts on nothing.
pub(super) const NOT_SAID: &str = "not-said";

/// One thing said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Said {
    /// The clinician, in the roster's words, or [`NOT_SAID`].
    pub(super) from: String,
    /// When, as the roster writes it.
    pub(super) on: Option<String>,
    /// About which limitation, if one alone can be meant.
    pub(super) about: Option<LimitationId>,
    /// The words.
    pub(super) says: String,
}

impl Said {
    /// What stands among a person’s own words.
    pub(super) fn in_words(read: Guidance) -> Self {
        Self {
            from: read.from,
            on: None,
            about: read.about,
            says: read.says.unwrap_or_default(),
        }
    }
}

/// What a cell says that a clinician said; none for a blank, "none" or "not asked".
pub(super) fn said(text: &str, order: DayOrder, lexicon: &Book) -> Option<Said> {
    if is_blank(text) || nothing(text) || not_asked(text) || text.trim() == "?" {
        return None;
    }
    if let Some((before, after)) = text.split_once(':')
        && let Some(from) = lexicon.clinician(before)
        && before.split_whitespace().count() <= 5
        && !after.trim().is_empty()
    {
        let on = dates::only(before, order).and_then(dates::When::as_roster);
        return Some(Said {
            from,
            on,
            about: None,
            says: after.trim().to_owned(),
        });
    }
    let mut words = text.splitn(2, char::is_whitespace);
    let first = words.next().unwrap_or("");
    let rest = words.next().unwrap_or("").trim();
    if let Some(from) = lexicon.clinician(first).filter(|_| !rest.is_empty()) {
        return Some(Said {
            from,
            on: None,
            about: None,
            says: rest.to_owned(),
        });
    }
    Some(Said {
        from: lexicon
            .clinician(text)
            .unwrap_or_else(|| NOT_SAID.to_owned()),
        on: None,
        about: None,
        says: text.trim().to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use std::sync::LazyLock;

    use super::*;
    use crate::library::Library;
    use rstest::rstest;

    static LIBRARY: LazyLock<Library> =
        LazyLock::new(|| Library::built_in().expect("the built-in library reads"));

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
        #[case] from: &str,
        #[case] on: Option<&str>,
        #[case] says: &str,
    ) {
        let expected = Said {
            from: from.to_owned(),
            on: on.map(str::to_owned),
            about: None,
            says: says.to_owned(),
        };
        assert_eq!(
            said(text, DayOrder::Unknown, &LIBRARY.lexicon),
            Some(expected)
        );
    }

    #[rstest]
    #[case("none")]
    #[case("not asked")]
    #[case("—")]
    #[case("?")]
    fn nobody_said_anything(#[case] text: &str) {
        assert_eq!(said(text, DayOrder::Unknown, &LIBRARY.lexicon), None);
    }
}
