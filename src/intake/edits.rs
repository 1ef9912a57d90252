//! Small changes to the text of a roster that leave everything else as the teacher wrote it.
//!
//! Takes places of a file that has been read; gives back its text with the changes. Invariant: a
//! change only puts something in, or replaces one value; no other byte of the file moves.

use std::ops::Range;

use crate::input::places::{Places, path_of_entry, path_of_key};
use crate::input::text::Source;

/// Changes to one file, collected.
#[derive(Debug)]
pub(super) struct Edits<'s> {
    source: &'s Source,
    places: &'s Places,
    made: Vec<(Range<usize>, String)>,
}

impl<'s> Edits<'s> {
    pub(super) fn of(source: &'s Source, places: &'s Places) -> Self {
        Self {
            source,
            places,
            made: Vec::new(),
        }
    }

    /// Where the line of a byte begins.
    fn line_start(&self, at: usize) -> usize {
        self.source
            .slice(0..at)
            .rfind('\n')
            .map_or(0, |end| end + 1)
    }

    /// Where the line of a byte ends, before its line end.
    fn line_end(&self, at: usize) -> usize {
        let text = self.source.text();
        text.get(at..)
            .and_then(|rest| rest.find('\n'))
            .map_or(text.len(), |end| at + end)
    }

    fn starts_with(&self, at: usize, sign: char) -> bool {
        self.source
            .text()
            .get(at..)
            .is_some_and(|rest| rest.starts_with(sign))
    }

    /// Whether the table or list at a path is written in brackets.
    pub(super) fn in_brackets(&self, path: &str) -> bool {
        let at = self.places.value(path).start;
        self.starts_with(at, '{') || self.starts_with(at, '[')
    }

    /// Spaces up to the first key of a table without brackets.
    fn indent_of_keys(&self, path: &str) -> String {
        let at = self.places.value(path).start;
        " ".repeat(self.source.slice(self.line_start(at)..at).chars().count())
    }

    /// A remark on its own line above an entry of a list without brackets.
    pub(super) fn remark_above(&mut self, path: &str, words: &str) {
        let at = self.places.value(path).start;
        let start = self.line_start(at);
        let before = self.source.slice(start..at);
        let indent: String = before.chars().take_while(|c| *c == ' ').collect();
        self.put(start, format!("{indent}# {words}\n"));
    }

    /// A new key in a table that has the key `after` with a value of one line.
    pub(super) fn add_key(
        &mut self,
        table: &str,
        after: &str,
        key: &str,
        value: &str,
        list: &[String],
    ) {
        let end = self.places.value(&path_of_key(table, after)).end;
        if self.in_brackets(table) {
            let value = if list.is_empty() {
                value.to_owned()
            } else {
                format!("[{}]", list.join(", "))
            };
            self.put(end, format!(", {key}: {value}"));
            return;
        }
        let indent = self.indent_of_keys(table);
        let mut lines = match list {
            [] => format!("{key}: {value}"),
            _ => format!("{key}:"),
        };
        for item in list {
            lines.push_str(&format!("\n{indent}  - {item}"));
        }
        let line_end = self.line_end(end);
        let rest = self.source.slice(end..line_end).trim_start();
        if rest.is_empty() || rest.starts_with('#') {
            self.put(line_end, format!("\n{indent}{lines}"));
        } else {
            let first = self.places.value(table).start;
            self.put(first, format!("{lines}\n{indent}"));
        }
    }

    /// New entries at the head of a list that is there; `own_remarks` go with an empty one.
    pub(super) fn add_to_list(
        &mut self,
        list: &str,
        items: &[String],
        is_empty: bool,
        own_remarks: &[&str],
    ) {
        let range = self.places.value(list);
        if is_empty {
            let end = self.end_with_own_remark(range.end, own_remarks);
            self.made
                .push((range.start..end, format!("[{}]", items.join(", "))));
        } else if self.in_brackets(list) {
            self.put(range.start + 1, format!("{}, ", items.join(", ")));
        } else {
            let first = self.places.value(&path_of_entry(list, 0)).start;
            let start = self.line_start(first);
            let before = self.source.slice(start..first);
            let indent: String = before.chars().take_while(|c| *c == ' ').collect();
            let lines: String = items
                .iter()
                .map(|item| format!("{indent}- {item}\n"))
                .collect();
            self.put(start, lines);
        }
    }

    /// Another value for a key that is there.
    pub(super) fn replace(&mut self, path: &str, value: &str, own_remarks: &[&str]) {
        let range = self.places.value(path);
        let end = self.end_with_own_remark(range.end, own_remarks);
        self.made.push((range.start..end, value.to_owned()));
    }

    /// The end of a value together with a remark after it that this program wrote and that would no
    /// longer be true.
    fn end_with_own_remark(&self, end: usize, own_remarks: &[&str]) -> usize {
        let line_end = self.line_end(end);
        let rest = self.source.slice(end..line_end).trim();
        match rest.strip_prefix("# ") {
            Some(remark) if own_remarks.contains(&remark) => line_end,
            _ => end,
        }
    }

    /// Lines after the last entry of a list of the whole file.
    pub(super) fn add_after_list(&mut self, list: &str, lines: &str) {
        let text = self.source.text();
        // The next key of the file ends the list; without one the file does.
        let start = self.places.value(list).start;
        let next = self
            .source
            .lines()
            .filter(|(at, line)| *at > start && line.starts_with(|c: char| c.is_ascii_lowercase()))
            .map(|(at, _)| at)
            .next();
        let at = next.unwrap_or(text.len());
        let gap = if self.source.slice(0..at).ends_with('\n') {
            ""
        } else {
            "\n"
        };
        self.put(at, format!("{gap}{lines}"));
    }

    /// Spaces before the dashes of a list without brackets.
    pub(super) fn indent_of_dashes(&self, list: &str) -> String {
        let first = self.places.value(&path_of_entry(list, 0)).start;
        let before = self.source.slice(self.line_start(first)..first);
        before.chars().take_while(|c| *c == ' ').collect()
    }

    /// A line at the very top.
    pub(super) fn add_first(&mut self, line: &str) {
        self.put(0, format!("{line}\n"));
    }

    fn put(&mut self, at: usize, text: String) {
        self.made.push((at..at, text));
    }

    /// The text with every change.
    pub(super) fn applied(mut self) -> String {
        // Stable: of two changes at one place the first made stands first.
        self.made.sort_by_key(|(range, _)| range.start);
        let mut out = String::new();
        let mut at = 0;
        for (range, text) in &self.made {
            out.push_str(self.source.slice(at..range.start));
            out.push_str(text);
            at = range.end.max(at);
        }
        out.push_str(self.source.slice(at..self.source.text().len()));
        out
    }
}
