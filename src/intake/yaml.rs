//! Values as a roster writes them.
//!
//! Takes text; gives back a scalar that any YAML reader takes for that same text. Invariant: words
//! from a cell stand plain only when no reader could take them for anything else; a cell that begins
//! with a sign that a spreadsheet would run is always in quotation marks.

use crate::yaml::quoted;

/// A text as a value, good in a line of its own and inside brackets.
pub(super) fn text(words: &str) -> String {
    if is_plain(words) {
        words.to_owned()
    } else {
        quoted(words)
    }
}

/// Words as a remark: one line.
pub(super) fn remark(words: &str) -> String {
    words.replace(['\n', '\r', '\u{85}', '\u{2028}', '\u{2029}'], " ")
}

/// Letters, with single spaces, points, hyphens and apostrophes inside, and no word that means
/// something else.
fn is_plain(words: &str) -> bool {
    const MEANING: [&str; 13] = [
        "yes", "no", "y", "n", "true", "false", "on", "off", "null", "nan", "inf", "none",
        "infinity",
    ];
    let inside = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '.' | '-' | '\'' | '’' | '_');
    words.starts_with(char::is_alphabetic)
        && words.ends_with(|c: char| c.is_alphanumeric() || c == '.')
        && words.chars().all(inside)
        && !words.contains("  ")
        && !words.contains(" -")
        && !MEANING.contains(&words.to_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn formulas_and_signs_are_quoted() {
        for words in [
            "=1+1", "+49 170", "-2", "@home", "yes", "No", "2026", "a: b", "a #b", "", "~", "é:",
        ] {
            assert!(text(words).starts_with('"'), "{words}");
        }
        assert_eq!(text("Joan F."), "Joan F.");
        assert_eq!(text("can't kneel"), "can't kneel");
        assert_eq!(text("say \"ah\" \\o/"), "\"say \\\"ah\\\" \\\\o/\"");
    }

    proptest! {
        #[test]
        fn any_text_reads_back(words in "\\PC{0,40}") {
            let line = format!("- {{what: {}, note: {}}}", text(&words), quoted(&words));
            let read: serde_yaml::Value = serde_yaml::from_str(&line).expect("it is YAML");
            let entry = read.get(0).expect("one entry");
            prop_assert_eq!(entry.get("what").and_then(|v| v.as_str()), Some(words.as_str()));
            prop_assert_eq!(entry.get("note").and_then(|v| v.as_str()), Some(words.as_str()));
        }
    }
}
