//! The rows of an outline as a draft of the class: title, sections, runs.
//!
//! Takes rows; gives a [`Draft`], whose names and holds are not settled yet.

use super::Pen;
use super::amounts::{Amount, Told, told};
use super::asked::Asked;
use super::draft::{Draft, DraftItem, DraftPart, DraftSection, UNNAMED};
use super::header::{Header, time};
use super::naming::{Bit, Found, bits, mark_sure};
use super::rows::{Kind, Row};
use super::runs::children;
use super::steps::RowReader;
use super::taught::{DraftLine, Taught, Unread, Why};
use super::words::{Atom, Before, atoms};
use crate::library::Library;

/// Puts the rows together.
pub(super) fn draft<'l>(library: &'l Library, pen: &mut Pen<'_>, rows: &[Row]) -> Draft<'l> {
    let mut build = Build {
        library,
        draft: Draft::default(),
        clocks: None,
    };
    let title = build.title(pen, rows);
    let mut at = 0;
    while let Some(row) = rows.get(at) {
        at += if Some(at) == title {
            1
        } else {
            build.row(pen, row, rows.get(at + 1..).unwrap_or_default())
        };
    }
    if let Some(at) = build.clocks {
        build.draft.asks.push((at, Asked::Clocks));
    }
    build.draft
}

pub(super) struct Build<'l> {
    pub library: &'l Library,
    pub draft: Draft<'l>,
    /// Where the first clock time in front of a step stands.
    clocks: Option<usize>,
}

/// What a row is, beside its steps.
pub(super) enum Head<'a> {
    /// `5 times:`, `each side:`, with what follows the colon.
    Run(Told, Option<String>, &'a [Atom]),
    /// `Arrive:`, with what follows the colon.
    Section(String, &'a [Atom]),
    /// Steps.
    Steps,
}

impl<'l> Build<'l> {
    /// Finds the title; gives the row that is spoken for by it.
    fn title(&mut self, pen: &mut Pen<'_>, rows: &[Row]) -> Option<usize> {
        let signs = |row: &Row| match row.kind {
            Kind::Heading(signs) => Some(signs),
            Kind::Remark | Kind::Text => None,
        };
        let first = rows.first()?;
        let found = if let Some(own) = signs(first) {
            let others = rows.iter().skip(1).filter_map(signs).min();
            others.map_or(own == 1, |others| own < others)
        } else {
            self.reads_as_title(pen, first, rows)
        };
        found.then_some(())?;
        let all = atoms(pen.text_of(&first.range), first.range.start);
        // “Wind-down, 75 min, 19:15”: what is about the class as such is no part of its title.
        let about = all
            .iter()
            .position(|atom| self.draft.header.take(&atom.words));
        let ends = about.and_then(|place| place.checked_sub(1));
        let end = match (about, ends) {
            (Some(_), Some(last)) => all
                .get(last)
                .map_or(first.range.end, |atom| atom.range().end),
            (Some(_), None) => return Some(0),
            (None, _) => first.range.end,
        };
        for atom in all.iter().skip(about.map_or(all.len(), |place| place + 1)) {
            self.draft.header.take(&atom.words);
        }
        let words = pen.text_of(&(first.range.start..end));
        let words = words.trim_matches(|c: char| c.is_whitespace() || "*_:,–—-".contains(c));
        self.draft.header.title = Some(words.to_owned());
        Some(0)
    }

    /// Whether a first row without the sign of a heading is a title: other rows follow, and it
    /// teaches nothing, or stands by itself before an empty line.
    fn reads_as_title(&self, pen: &Pen<'_>, first: &Row, rows: &[Row]) -> bool {
        let Some(second) = rows.get(1) else {
            return false;
        };
        let line = pen.text_of(&first.range);
        let own = first.kind == Kind::Text && !first.bullet && second.indent <= first.indent;
        if !own || line.contains(':') && time_of(line).is_none() {
            return false;
        }
        let mut header = Header::default();
        let all = atoms(line, first.range.start);
        let left: Vec<Atom> = all
            .into_iter()
            .filter(|atom| !header.take(&atom.words))
            .collect();
        let taught = RowReader::read(self.library, pen.text(), &left, first.range.end);
        let teaches = |one: &Taught<'_>| match one {
            Taught::Line(line) => matches!(line.found, Found::Sure(_)) || line.told.is_a_step(),
            Taught::Group(..) => true,
            Taught::Talk { .. } | Taught::Move { .. } | Taught::Unread(_) => false,
        };
        let lines = taught
            .iter()
            .filter(|one| !matches!(one, Taught::Unread(_)))
            .count();
        !left.is_empty() && !taught.iter().any(teaches) && (lines == 0 || second.after_gap)
    }

    /// Reads a row; gives how many rows that took.
    fn row(&mut self, pen: &mut Pen<'_>, row: &Row, after: &[Row]) -> usize {
        let line = pen.text_of(&row.range).to_owned();
        match row.kind {
            Kind::Heading(_) => {
                self.section(line.trim_end_matches(':').trim_matches('*'));
                return 1;
            }
            Kind::Remark => {
                self.note(line);
                return 1;
            }
            Kind::Text => {}
        }
        let mut all = atoms(&line, row.range.start);
        self.drop_clock(pen, &mut all);
        if self.field(pen, &all, row)
            || self.about_the_class(pen, &all, row.bullet)
            || self.about_the_section(&all)
        {
            return 1;
        }
        if self.is_bare_heading(&all, row, after) {
            self.section(&line);
            return 1;
        }
        let ends = line.trim_end().ends_with(':');
        let children = children(row, after);
        match self.head(pen, &all, row, ends, children > 0) {
            Head::Run(told, name, rest) => {
                let rest = RowReader::read(self.library, pen.text(), rest, row.range.end);
                let below = after.get(..children).unwrap_or_default();
                self.run(pen, row, (told, name), rest, below);
                1 + children
            }
            Head::Section(name, rest) => {
                self.section(&name);
                let taught = RowReader::read(self.library, pen.text(), rest, row.range.end);
                self.place(pen, taught);
                1
            }
            Head::Steps => {
                let taught = RowReader::read(self.library, pen.text(), &all, row.range.end);
                self.steps(pen, taught, row);
                1
            }
        }
    }

    /// A clock time in front of a step is read over, once the class has begun.
    fn drop_clock(&mut self, pen: &Pen<'_>, atoms: &mut Vec<Atom>) {
        let alone = atoms.len() == 1;
        let Some(first) = atoms.first_mut() else {
            return;
        };
        let Some(word) = first.words.first() else {
            return;
        };
        if time(&word.low).is_none() || first.words.len() == 1 && alone {
            return;
        }
        let line = pen.line_of(word.range.start);
        if self.draft.sections.is_empty() && first.words.len() == 1 {
            return;
        }
        self.clocks.get_or_insert(line);
        first.words.remove(0);
        if first.words.is_empty() {
            atoms.remove(0);
        }
    }

    /// Whether an atom holds no name and no amount.
    pub(super) fn is_plain(&self, atom: &Atom) -> bool {
        let mut used = vec![false; atom.words.len()];
        mark_sure(self.library, &atom.words, &mut used);
        let says = told(&atom.words, &mut used.clone());
        says == Told::default() && !used.contains(&true)
    }

    /// A line of few words by itself, right above other lines: a heading without its sign.
    fn is_bare_heading(&self, all: &[Atom], row: &Row, after: &[Row]) -> bool {
        const FEW: usize = 4;
        let first = self.draft.sections.is_empty();
        let above = (row.after_gap || first)
            && after.first().is_some_and(|next| {
                let below = !next.after_gap && next.indent == 0;
                below && next.kind == Kind::Text
            });
        let [name, rest @ ..] = all else {
            return false;
        };
        let few = name.words.len() <= FEW && rest.iter().all(|atom| atom.bracketed);
        !row.bullet && row.indent == 0 && above && few && self.is_plain(name)
    }

    pub(super) fn section(&mut self, name: &str) {
        self.draft.sections.push(DraftSection {
            name: name.trim().to_owned(),
            breath_s: None,
            breath_at: 0..0,
            padded: false,
            items: Vec::new(),
        });
    }

    pub(super) fn items(&mut self) -> &mut Vec<DraftItem<'l>> {
        if self.draft.sections.is_empty() {
            self.section(UNNAMED);
        }
        let last = self.draft.sections.last_mut();
        &mut last.expect("a section was made above").items
    }

    /// The step written last.
    pub(super) fn last_line(&mut self) -> Option<&mut DraftLine<'l>> {
        let sections = self.draft.sections.iter_mut().rev();
        let item = sections
            .filter_map(|section| section.items.last_mut())
            .next()?;
        match item {
            DraftItem::Talk { .. } | DraftItem::Move { .. } => None,
            DraftItem::Single(line) => Some(line),
            DraftItem::Run(_, parts) => match parts.last_mut()? {
                DraftPart::Line(line) => Some(line),
                DraftPart::Repeat(_, lines) => lines.last_mut(),
            },
        }
    }

    /// A remark belongs to the step before it; above the first step it is for the reader alone.
    pub(super) fn note(&mut self, note: String) {
        if let Some(line) = self.last_line() {
            line.notes.push(note);
        }
    }

    /// Whether a row heads a run or a section.
    pub(super) fn head<'a>(
        &self,
        pen: &Pen<'_>,
        all: &'a [Atom],
        row: &Row,
        ends: bool,
        has_children: bool,
    ) -> Head<'a> {
        let colon = all.iter().position(|atom| atom.before == Before::Colon);
        let place = colon.unwrap_or(all.len());
        let (front, rest) = all.split_at(place);
        if !ends && colon.is_none() && !has_children {
            return Head::Steps;
        }
        let mut says = Told::default();
        let mut left = Vec::new();
        let mut named = false;
        for atom in front {
            let mut used = vec![false; atom.words.len()];
            mark_sure(self.library, &atom.words, &mut used);
            named |= used.iter().any(|&used| used);
            let sure = used.clone();
            let told = told(&atom.words, &mut used);
            let free: Vec<bool> = used
                .iter()
                .zip(&sure)
                .map(|(used, sure)| *used && !sure)
                .collect();
            named |= bits(self.library, &atom.words, &free)
                .iter()
                .any(|bit| matches!(bit, Bit::Name(Found::Sure(_) | Found::Likely(_), _)));
            says.add(told);
            let words = atom.words.iter().zip(&free).filter(|(_, free)| !**free);
            left.extend(words.map(|(word, _)| word.text.as_str()));
        }
        rounds_are_times(&mut says);
        let name = (!left.is_empty()).then(|| left.join(" "));
        let heads = says.sides.is_some() || says.times.is_some();
        if heads && (!named || ends && has_children) && (ends || colon.is_some() || has_children) {
            return Head::Run(says, name, rest);
        }
        let is_name = !row.bullet && row.indent == 0 && says == Told::default();
        let whole = row.range.start..front.last().map_or(row.range.end, |atom| atom.range().end);
        if is_name && (ends && rest.is_empty() || colon.is_some() && !named && left.len() <= 5) {
            return Head::Section(pen.text_of(&whole).trim_matches('*').to_owned(), rest);
        }
        Head::Steps
    }

    /// Steps of a row that stands by itself; words without any belong to the step above when they
    /// stand further in.
    fn steps(&mut self, pen: &Pen<'_>, taught: Vec<Taught<'l>>, row: &Row) {
        let loose = |one: &Taught<'_>| matches!(one, Taught::Unread(unread) if !unread.is_step);
        if row.indent > 1 && taught.iter().all(loose) && self.last_line().is_some() {
            for one in taught {
                if let (Taught::Unread(unread), Some(line)) = (one, self.last_line()) {
                    line.asks.push(Asked::Note(unread.written.clone()));
                    line.notes.push(unread.written);
                }
            }
            return;
        }
        self.place(pen, taught);
    }

    fn place(&mut self, pen: &Pen<'_>, taught: Vec<Taught<'l>>) {
        for one in taught {
            let item = match one {
                Taught::Unread(unread) => {
                    self.draft.unread.push(unread);
                    continue;
                }
                Taught::Line(line) => DraftItem::Single(line),
                Taught::Group(told, lines) => {
                    let parts = lines.into_iter().map(Box::new).map(DraftPart::Line);
                    DraftItem::Run(told, parts.collect())
                }
                Taught::Talk {
                    seconds: Some(seconds),
                    note,
                    ..
                } => DraftItem::Talk { seconds, note },
                Taught::Talk { range, .. } => {
                    let written = pen.text_of(&range).to_owned();
                    self.draft
                        .unread
                        .push(Unread::new(range, written).because(Why::Talk));
                    continue;
                }
                Taught::Move { to, by, takes_s } => DraftItem::Move { to, by, takes_s },
            };
            self.items().push(item);
        }
    }
}

/// In front of a colon “3 rounds” is how often.
fn rounds_are_times(told: &mut Told) {
    if told.times.is_some() {
        return;
    }
    let rounds = told.holds.iter().position(|(amount, _)| {
        matches!(amount, Amount::Rounds(rounds) if rounds.fract() == 0.0 && *rounds <= 100.0)
    });
    if let Some(place) = rounds
        && let (Amount::Rounds(rounds), range) = told.holds.remove(place)
    {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number of at most 100"
        )]
        let times = rounds as u32;
        told.times = Some((times, range));
    }
}

fn time_of(line: &str) -> Option<()> {
    let mut words = line.split([' ', ',', '-', '–']);
    words
        .any(|word| time(&word.to_lowercase()).is_some())
        .then_some(())
}
