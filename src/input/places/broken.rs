//! The parser's complaints in a teacher's words.

use super::Found;
use crate::input::text::{Source, is_hard_space, is_plain_key};
use crate::problem::Code;

/// Tabs and hard spaces at the start of lines: one fault for the first of each kind, as the
/// others have the same cause.
pub(super) fn stray_spaces(source: &Source) -> Vec<Found> {
    let mut faults = Vec::new();
    let mut tabs = 0;
    let mut hard = 0;
    for (start, line) in source.lines() {
        let trimmed = line.trim_start();
        if trimmed.is_empty() || trimmed.starts_with('#') {
            continue;
        }
        let indent = &line[..line.len() - trimmed.len()];
        if let Some(at) = indent.find('\t') {
            tabs += 1;
            if tabs == 1 {
                faults.push(tab(start + at));
            }
        } else if let Some(at) = indent.find(is_hard_space) {
            hard += 1;
            if hard == 1 {
                faults.push(hard_space(start + at));
            }
        }
    }
    for fault in &mut faults {
        let more = if fault.code == Code::Tab {
            tabs - 1
        } else {
            hard - 1
        };
        match more {
            0 => {}
            1 => fault.message.push_str(", and on 1 more line"),
            _ => fault
                .message
                .push_str(&format!(", and on {more} more lines")),
        }
    }
    faults
}

fn tab(at: usize) -> Found {
    Found::at(
        Code::Tab,
        at,
        "a tab stands where spaces belong",
        "Indent with the space bar, two spaces a level.",
    )
}

fn hard_space(at: usize) -> Found {
    Found::at(
        Code::HardSpace,
        at,
        "a hard space stands where a plain one belongs",
        "It often comes with pasted text: delete it and press the space bar.",
    )
}

/// An anchor, an alias or a tag.
pub(super) fn fancy(source: &Source, at: usize) -> Found {
    let sign = source.text().get(at..).and_then(|rest| rest.chars().next());
    let sign = sign.unwrap_or('!');
    let used_twice = if matches!(sign, '&' | '*') {
        " What is used twice is written twice."
    } else {
        ""
    };
    Found::at(
        Code::FancyYaml,
        at,
        format!("a text can’t begin with {sign}, which has a meaning of its own here"),
        format!("Put the whole text in straight quotation marks.{used_twice}"),
    )
}

/// The parser's complaint `info` at byte `at`; `bracket` is the innermost bracket still open.
pub(super) fn explain(source: &Source, at: usize, bracket: Option<usize>, info: &str) -> Found {
    let text = source.text();
    let here = text.get(at..).unwrap_or("");
    let (line_start, line) = source
        .lines()
        .nth(source.line_of(at) - 1)
        .unwrap_or((at, ""));
    let broken = |message: &str, help: &str| Found::at(Code::NotYaml, at, message, help);

    if info.contains("unknown anchor") {
        return fancy(source, at);
    }
    if info.contains("recursion limit") {
        return Found::at(
            Code::TooDeep,
            at,
            "brackets or indentation go too deep here",
            "Check for brackets that were not closed.",
        );
    }
    if let Some(tab_at) = line.find('\t') {
        return tab(line_start + tab_at);
    }
    if here.starts_with(['"', '\'']) && !info.contains("escape") && !info.contains("trailing") {
        return Found::at(
            Code::NotClosed,
            at,
            "a quotation mark opens here and is never closed",
            "Close it. A single one inside a text is fine when the whole text stands in double ones.",
        );
    }
    if let Some(bracket) = bracket {
        if source.line_of(bracket) == source.line_of(at) && at < text.trim_end().len() {
            return broken(
                "a comma or a closing bracket is missing before this place",
                "Inside brackets, entries are parted by commas; a text with a colon goes in straight quotation marks.",
            );
        }
        return Found::at(
            Code::NotClosed,
            bracket,
            "a bracket opens here and is never closed",
            "Close it at the end of the entry. If the file ends too early, it may have been cut off.",
        );
    }
    if info.contains("escape") {
        return broken(
            "a backslash stands in front of a sign it can’t go with",
            "Leave the backslash out, or write the text in single quotation marks.",
        );
    }
    if info.contains("trailing content") {
        return broken(
            "something follows a closing quotation mark",
            "Put the whole text inside the quotation marks.",
        );
    }
    if info.contains("mapping values are not allowed") {
        return second_colon(at, line_start, line);
    }
    if info.contains("unexpected character") || info.contains("reserved") {
        let sign = here.chars().next().unwrap_or(' ');
        return broken(
            &format!("a text can’t begin with {sign}"),
            "Put the whole text in straight quotation marks.",
        );
    }
    if info.contains("simple key") {
        // The mark is after the line: the last line that says something lacks its colon.
        let at = text
            .get(..at)
            .unwrap_or("")
            .trim_end()
            .rfind('\n')
            .map_or(0, |end| end + 1);
        let indent = text[at..].len() - text[at..].trim_start().len();
        return Found::at(
            Code::NotYaml,
            at + indent,
            "a line without a colon stands among lines with one",
            "Write a key, a colon and a space before the value.",
        );
    }
    if info.contains("misplaced bracket") {
        return broken(
            "a bracket closes here that was never opened",
            "Take it out, or open it.",
        );
    }
    if info.contains("expected key") || info.contains("indentation") || info.contains("indicator") {
        return broken(
            "this line is indented in a way that fits no line above",
            "Give it the same number of spaces as the lines it belongs to.",
        );
    }
    broken(
        "the text stops making sense here",
        "Look at the line above too: often a colon, a quotation mark or a bracket is missing.",
    )
}

/// A colon at byte `at` where no key can end: the line that begins at `line_start` goes on the
/// value above it, or holds two keys, or a text with a colon.
fn second_colon(at: usize, line_start: usize, line: &str) -> Found {
    let before = line.get(..at - line_start).unwrap_or(line);
    let begin = line.len() - line.trim_start_matches([' ', '-']).len();
    let broken = |at: usize, message: &str, help: &str| Found::at(Code::NotYaml, at, message, help);
    if line.matches('}').count() > line.matches('{').count() {
        return broken(
            line_start + begin,
            "a curly bracket closes on this line that was never opened",
            "Open it where the entry begins, as in “- {posture: mountain, breaths: 5}”.",
        );
    }
    if !before.contains(": ") {
        return broken(
            line_start + begin,
            "this line is indented further than the one above, which has its value already",
            "Give it the same number of spaces as the lines it belongs to.",
        );
    }
    if before.rsplit(", ").next().is_some_and(is_plain_key) && before.contains(", ") {
        return broken(
            at,
            "two keys stand on one line",
            "Give each a line of its own, or put the entry in curly brackets, as in \
             “- {posture: mountain, breaths: 5}”.",
        );
    }
    broken(
        at,
        "a second colon stands in this line",
        "Put a text that holds a colon in straight quotation marks.",
    )
}
