//! Runs: rows taught together, repeated, or taught on each side.

use std::ops::Range;

use super::Pen;
use super::amounts::Told;
use super::asked::Asked;
use super::document::{Build, Head};
use super::draft::{DraftItem, DraftPart};
use super::rows::{Kind, Row};
use super::steps::RowReader;
use super::taught::Taught;
use super::words::{Before, atoms, text};
use crate::problem::Code;

impl<'l> Build<'l> {
    /// A run: what follows the colon, then the rows below.
    pub(super) fn run(
        &mut self,
        pen: &mut Pen<'_>,
        row: &Row,
        (told, name): (Told, Option<String>),
        rest: Vec<Taught<'l>>,
        below: &[Row],
    ) {
        let mut parts = self.parts(pen, rest, &row.range);
        let mut at = 0;
        while let Some(child) = below.get(at) {
            at += self.child(
                pen,
                child,
                below.get(at + 1..).unwrap_or_default(),
                &mut parts,
            );
        }
        if parts.is_empty() {
            pen.problem(
                Code::MissingKey,
                row.range.clone(),
                "nothing stands under this line",
                "Write its postures below it, each line a little further in.",
            );
            return;
        }
        if let (Some(name), Some(DraftPart::Line(line))) = (name, parts.first_mut()) {
            line.asks.push(Asked::RunName(name));
        }
        self.items().push(DraftItem::Run(told, parts));
    }

    /// A row inside a run; gives how many rows that took.
    pub(super) fn child(
        &mut self,
        pen: &mut Pen<'_>,
        row: &Row,
        after: &[Row],
        parts: &mut Vec<DraftPart<'l>>,
    ) -> usize {
        let line = pen.text_of(&row.range).to_owned();
        if row.kind == Kind::Remark {
            note_of(parts, line);
            return 1;
        }
        let all = atoms(&line, row.range.start);
        let below = children(row, after);
        let ends = line.trim_end().ends_with(':');
        if let Head::Run(told, name, rest) = self.head(pen, &all, row, ends, below > 0) {
            let taught = RowReader::read(self.library, pen.text(), rest, row.range.end);
            let mut inner = self.parts(pen, taught, &row.range);
            let rows = after.get(..below).unwrap_or_default();
            let mut at = 0;
            while let Some(child) = rows.get(at) {
                at += self.child(
                    pen,
                    child,
                    rows.get(at + 1..).unwrap_or_default(),
                    &mut inner,
                );
            }
            self.inner(pen, row, (told, name), inner, parts);
            return 1 + below;
        }
        if let [key, value, ..] = all.as_slice()
            && value.before == Before::Colon
            && matches!(
                text(&key.words).to_lowercase().as_str(),
                "note" | "nb" | "cue"
            )
        {
            note_of(
                parts,
                pen.text_of(&(value.range().start..row.range.end))
                    .to_owned(),
            );
            return 1;
        }
        let taught = RowReader::read(self.library, pen.text(), &all, row.range.end);
        parts.extend(self.parts(pen, taught, &row.range));
        1
    }

    /// A run inside a run: a repeat of lines.
    fn inner(
        &mut self,
        pen: &mut Pen<'_>,
        row: &Row,
        (told, name): (Told, Option<String>),
        inner: Vec<DraftPart<'l>>,
        parts: &mut Vec<DraftPart<'l>>,
    ) {
        if let Some((_, range)) = &told.sides {
            pen.problem(
                Code::ClashingKeys,
                range.clone(),
                "a run inside a run has no side of its own",
                "Say the side on the outer one, or write the two runs one after the other.",
            );
        }
        let mut lines = Vec::new();
        for part in inner {
            match part {
                DraftPart::Line(line) => lines.push(*line),
                DraftPart::Repeat(..) => pen.problem(
                    Code::ClashingKeys,
                    row.range.clone(),
                    "this run lies two deep inside another",
                    "Write its steps out.",
                ),
            }
        }
        if let (Some(name), Some(line)) = (name, lines.first_mut()) {
            line.asks.push(Asked::RunName(name));
        }
        if !lines.is_empty() {
            parts.push(DraftPart::Repeat(Box::new(told), lines));
        }
    }

    /// What a row inside a run teaches.
    pub(super) fn parts(
        &mut self,
        pen: &mut Pen<'_>,
        taught: Vec<Taught<'l>>,
        range: &Range<usize>,
    ) -> Vec<DraftPart<'l>> {
        let mut parts = Vec::new();
        for one in taught {
            match one {
                Taught::Line(line) => parts.push(DraftPart::Line(line)),
                Taught::Group(told, lines) => parts.push(DraftPart::Repeat(Box::new(told), lines)),
                Taught::Unread(unread) => self.draft.unread.push(unread),
                Taught::Talk { .. } | Taught::Move { .. } => pen.problem(
                    Code::ClashingKeys,
                    range.clone(),
                    "talk and ways to another level can’t stand inside a run",
                    "Write this line before the run or after it.",
                ),
            }
        }
        parts
    }
}

fn note_of(parts: &mut [DraftPart<'_>], note: String) {
    let line = match parts.last_mut() {
        Some(DraftPart::Line(line)) => Some(line.as_mut()),
        Some(DraftPart::Repeat(_, lines)) => lines.last_mut(),
        None => None,
    };
    if let Some(line) = line {
        line.notes.push(note);
    }
}

/// Rows that stand under a row: further in, or bullets right below a row without one.
pub(super) fn children(row: &Row, after: &[Row]) -> usize {
    let mut under = 0;
    for (at, child) in after.iter().enumerate() {
        let inside = child.indent > row.indent;
        let listed = child.bullet && !row.bullet && child.indent >= row.indent && !child.after_gap;
        let broken = under < at;
        if matches!(child.kind, Kind::Heading(_)) || broken || !(inside || listed) {
            break;
        }
        under = at + 1;
    }
    under
}

#[cfg(test)]
mod tests {
    use super::super::rows::rows;
    use super::*;
    use crate::input::text::Source;
    use rstest::rstest;

    /// How many rows stand under the first one.
    #[rstest]
    #[case::bullets_right_below("A:\n- b\n- c", 2)]
    #[case::further_in("A:\n  b\n  c\nd", 2)]
    #[case::further_in_behind_a_gap("A:\n\n  b", 1)]
    #[case::a_row_like_it("A:\nb", 0)]
    #[case::a_bullet_like_it("- A:\n- b", 0)]
    #[case::bullets_behind_a_gap("A:\n\n- b", 0)]
    #[case::a_bullet_further_out("  A:\n- b", 0)]
    #[case::up_to_a_heading("A:\n  b\n# H\n  c", 1)]
    #[case::a_heading_further_in("A:\n  ## b", 0)]
    #[case::up_to_a_row_like_it("A:\n  b\nc\n  d", 1)]
    #[case::nothing_below("A:", 0)]
    fn rows_that_stand_under_a_row(#[case] text: &str, #[case] under: usize) {
        let source = Source::from_bytes("c.md", text.as_bytes()).expect("text");
        let rows = rows(&source);
        let (row, after) = rows.split_first().expect("one row at least");
        assert_eq!(children(row, after), under);
    }
}
