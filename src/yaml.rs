//! Text as a YAML value in quotation marks: what rosters and class plans are written with.
//!
//! Invariant: any reader of YAML takes it back as the same text.

use std::fmt::Write as _;

/// A text in quotation marks, everything escaped that a reader would take for something else: marks, control
/// characters, and what YAML 1.1 takes for the end of a line.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}') => {
                // Writing into a string cannot fail.
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rstest::rstest;

    use super::quoted;

    fn read_back(text: &str) -> Option<String> {
        serde_yaml::from_str(&format!("[{}]", quoted(text)))
            .ok()
            .and_then(|list: Vec<String>| list.into_iter().next())
    }

    #[rstest]
    #[case::a_line_separator_after_a_space(" \u{2028}")]
    #[case::a_paragraph_separator(" \u{2029} a")]
    #[case::a_next_line("a\u{85}b")]
    #[case::a_mark_of_byte_order("\u{feff}a")]
    #[case::a_tab_and_an_end("\ta\n")]
    #[case::marks("\"\\o/\"")]
    fn what_ends_a_line_reads_back(#[case] text: &str) {
        assert_eq!(read_back(text).as_deref(), Some(text));
    }

    proptest! {
        #[test]
        fn any_text_reads_back(text in any::<String>()) {
            let back = read_back(&text);
            prop_assert_eq!(back.as_deref(), Some(text.as_str()));
        }
    }
}
