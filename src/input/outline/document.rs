//! The rows of an outline as a draft of the class: title, sections, runs.
//!
//! Takes rows; gives a [`Draft`], whose names and holds are not settled yet.

use std::ops::Range;

use super::Pen;
use super::amounts::{Amount, Told, told};
use super::asked::Asked;
use super::header::{Header, number, time};
use super::naming::{Bit, Found, bits, mark_sure};
use super::rows::{Kind, Row};
use super::steps::{DraftLine, RowReader, Taught, Unread};
use super::words::{Atom, Before, atoms, text};
use crate::library::Library;
use crate::problem::Code;
use crate::words::Level;

/// A class whose names and holds are not settled yet.
#[derive(Debug, Default)]
pub(super) struct Draft<'l> {
    /// What is said of the whole.
    pub header: Header,
    /// Its sections.
    pub sections: Vec<DraftSection<'l>>,
    /// Words that could not be read.
    pub unread: Vec<Unread>,
    /// What is to be confirmed about the whole: where, and what.
    pub asks: Vec<(usize, Asked)>,
}

/// A section of a draft.
#[derive(Debug)]
pub(super) struct DraftSection<'l> {
    /// Its name.
    pub name: String,
    /// Its own breath, in seconds.
    pub breath_s: Option<f64>,
    /// Where that stands.
    pub breath_at: Range<usize>,
    /// Kneel on a blanket throughout.
    pub padded: bool,
    /// What happens in it.
    pub items: Vec<DraftItem<'l>>,
}

/// An entry of a section.
#[derive(Debug)]
pub(super) enum DraftItem<'l> {
    /// Welcome, handing out props.
    Talk {
        /// Seconds set aside.
        seconds: f64,
        /// The words.
        note: Option<String>,
    },
    /// A way to another level.
    Move {
        /// Where to.
        to: Level,
        /// A name of `data/links.yaml`.
        by: Option<String>,
        /// Seconds set aside.
        takes_s: Option<f64>,
    },
    /// One step.
    Single(Box<DraftLine<'l>>),
    /// Steps taught together.
    Run(Told, Vec<DraftPart<'l>>),
}

/// A part of a run.
#[derive(Debug)]
pub(super) enum DraftPart<'l> {
    /// One step.
    Line(Box<DraftLine<'l>>),
    /// Steps repeated within it.
    Repeat(Box<Told>, Vec<DraftLine<'l>>),
}

/// The name of what stands before the first heading.
pub(super) const UNNAMED: &str = "Class";

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

struct Build<'l> {
    library: &'l Library,
    draft: Draft<'l>,
    /// Where the first clock time in front of a step stands.
    clocks: Option<usize>,
}

/// What a row is, beside its steps.
enum Head<'a> {
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
        if self.field(pen, &all, row) || self.about_the_class(&all) || self.about_the_section(&all)
        {
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

    /// `date: …`, `note: …`: whether it was one.
    fn field(&mut self, pen: &mut Pen<'_>, all: &[Atom], row: &Row) -> bool {
        let [key, rest @ ..] = all else {
            return false;
        };
        let colon = rest.first().filter(|atom| atom.before == Before::Colon);
        let Some(first) = colon else {
            return false;
        };
        let value_range = first.range().start..row.range.end;
        let value = pen.text_of(&value_range).trim().to_owned();
        let words = &first.words;
        let alone = words.len() == 1 && rest.len() == 1;
        let typed = words
            .first()
            .filter(|_| alone)
            .map(|word| word.low.as_str());
        let wrong = match text(&key.words).to_lowercase().as_str() {
            "title" | "class" => {
                self.draft.header.title = Some(value.clone());
                None
            }
            "note" | "notes" | "nb" | "remember" => {
                self.note(value.clone());
                None
            }
            "cue" => {
                if let Some(line) = self.last_line() {
                    line.cue = Some(value.clone());
                }
                None
            }
            "date" | "day" | "when" => (!self.all_about(rest)).then_some((
                Code::BadDate,
                "is not a date that is read here",
                "Write the year first, as in 2026-11-02.",
            )),
            "start" | "starts" | "time" => (!self.all_about(rest)).then_some((
                Code::BadClock,
                "is not a clock time",
                "Write hours and minutes, as in 19:15.",
            )),
            "minutes" | "length" | "duration" | "slot" => {
                let bare = typed.and_then(number);
                if bare.is_some() {
                    self.draft.header.minutes = bare;
                    self.draft.header.minutes_at = value_range.clone();
                }
                (bare.is_none() && !self.all_about(rest)).then_some((
                    Code::WrongType,
                    "is not a length",
                    "Write it in minutes, as in “45 minutes”.",
                ))
            }
            "breath" | "breaths" | "breath seconds" => {
                let seconds = typed
                    .map(|word| word.trim_end_matches('s'))
                    .and_then(number)
                    .or_else(|| seconds(words));
                match seconds {
                    Some(seconds) => self.set_breath(seconds, value_range.clone()),
                    None if self.all_about(rest) => {}
                    None => {
                        pen.problem(
                            Code::WrongType,
                            value_range.clone(),
                            "this is not the length of a breath",
                            "Write it in seconds, as in “breath: 7 seconds”.",
                        );
                    }
                }
                None
            }
            _ => return false,
        };
        if let Some((code, message, help)) = wrong {
            let message = format!("{} {message}", crate::problem::quoted(&value));
            pen.problem(code, value_range, message, help);
        }
        true
    }

    fn all_about(&mut self, atoms: &[Atom]) -> bool {
        atoms.iter().all(|atom| self.draft.header.take(&atom.words))
    }

    fn set_breath(&mut self, seconds: f64, at: Range<usize>) {
        match self.draft.sections.last_mut() {
            Some(section) if section.items.is_empty() => {
                section.breath_s = Some(seconds);
                section.breath_at = at;
            }
            _ => {
                self.draft.header.breath_s = Some(seconds);
                self.draft.header.breath_at = at;
            }
        }
    }

    /// A row under the title that is wholly about the class.
    fn about_the_class(&mut self, all: &[Atom]) -> bool {
        if !self.draft.sections.is_empty() {
            return false;
        }
        let mut header = self.draft.header.clone();
        let about = all.iter().all(|atom| header.take(&atom.words));
        if about {
            self.draft.header = header;
        }
        about
    }

    /// A row under a heading that says how long a breath is there.
    fn about_the_section(&mut self, all: &[Atom]) -> bool {
        let Some(section) = self
            .draft
            .sections
            .last_mut()
            .filter(|section| section.items.is_empty())
        else {
            return false;
        };
        let mut header = Header::default();
        let about = all.iter().all(|atom| header.take(&atom.words));
        let of_the_class =
            header.date.is_some() || header.start.is_some() || header.minutes.is_some();
        if !about || of_the_class {
            return false;
        }
        section.breath_s = header.breath_s.or(section.breath_s);
        section.breath_at = header.breath_at;
        section.padded |= header.padded;
        true
    }

    fn section(&mut self, name: &str) {
        self.draft.sections.push(DraftSection {
            name: name.trim().to_owned(),
            breath_s: None,
            breath_at: 0..0,
            padded: false,
            items: Vec::new(),
        });
    }

    fn items(&mut self) -> &mut Vec<DraftItem<'l>> {
        if self.draft.sections.is_empty() {
            self.section(UNNAMED);
        }
        let last = self.draft.sections.last_mut();
        &mut last.expect("a section was made above").items
    }

    /// The step written last.
    fn last_line(&mut self) -> Option<&mut DraftLine<'l>> {
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
    fn note(&mut self, note: String) {
        if let Some(line) = self.last_line() {
            line.notes.push(note);
        }
    }

    /// Whether a row heads a run or a section.
    fn head<'a>(
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
                    self.draft.unread.push(Unread::talk(range, written));
                    continue;
                }
                Taught::Move { to, by, takes_s } => DraftItem::Move { to, by, takes_s },
            };
            self.items().push(item);
        }
    }

    /// A run: what follows the colon, then the rows below.
    fn run(
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
    fn child(
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
    fn parts(
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
fn children(row: &Row, after: &[Row]) -> usize {
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

fn seconds(words: &[super::words::Word]) -> Option<f64> {
    let mut used = vec![false; words.len()];
    let says = told(words, &mut used);
    match says.holds.as_slice() {
        [(Amount::Seconds(seconds), _)] if used.iter().all(|&used| used) => Some(*seconds),
        _ => None,
    }
}

fn time_of(line: &str) -> Option<()> {
    let mut words = line.split([' ', ',', '-', '–']);
    words
        .any(|word| time(&word.to_lowercase()).is_some())
        .then_some(())
}
