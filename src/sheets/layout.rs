//! Lines on a screen: widths as displayed, wrapping, indents.
//!
//! Invariant: no line is wider than asked, unless a single word is.

use unicode_width::UnicodeWidthStr;

/// Columns that a text takes.
pub fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// Text broken between words into lines of at most `most` columns.
pub fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        if !line.is_empty() && width(&line) + 1 + width(word) > most {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Text wrapped to `most` columns in all, the first line after `first`, the others indented to
/// `indent` columns.
pub fn hanging(first: &str, text: &str, indent: usize, most: usize) -> Vec<String> {
    let room = most.saturating_sub(indent).max(10);
    let head = if width(first) < indent {
        format!("{first}{}", " ".repeat(indent - width(first)))
    } else {
        format!("{first} ")
    };
    wrapped(text, room)
        .into_iter()
        .enumerate()
        .map(|(place, line)| {
            if place == 0 {
                format!("{head}{line}")
            } else {
                format!("{}{line}", " ".repeat(indent))
            }
        })
        .collect()
}

/// Two texts on one line, the second ending at `most` columns; none when they do not fit.
pub fn ends(left: &str, right: &str, most: usize) -> Option<String> {
    let gap = most
        .checked_sub(width(left) + width(right))
        .filter(|&gap| gap > 0)?;
    Some(format!("{left}{}{right}", " ".repeat(gap)))
}

/// Text filled with blanks to `to` columns.
pub fn padded(text: &str, to: usize) -> String {
    format!("{text}{}", " ".repeat(to.saturating_sub(width(text))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn hangs_under_the_first_word() {
        let lines = hanging("  aloud", "hands high on the thighs", 9, 22);
        assert_eq!(lines, ["  aloud  hands high on", "         the thighs"]);
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_asked(words in "[a-zà-ü李 ]{0,120}", most in 12_usize..100) {
            let longest = words.split_whitespace().map(width).max().unwrap_or(0);
            for line in wrapped(&words, most) {
                prop_assert!(width(&line) <= most.max(longest));
            }
        }
    }
}
