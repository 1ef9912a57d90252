//! A class in its checked form: a class plan in YAML as the contract describes it.
//!
//! Takes a [`Reading`]; gives a file that reads back to the same class. What was read without being
//! written just so stands beside its step as a remark; what was not understood stands at the top.

use std::fmt::Write as _;

use crate::class::{Choice, ClassPlan, Item, Line, Part, Run, Section, Sides, Taught};
use crate::input::outline::Ask;
use crate::input::reading::Reading;
use crate::library::Library;
use crate::words::{PostureId, PropCounts, Side};
use crate::yaml::quoted;

/// One breath when nothing is said, in seconds (contract 4.1).
const USUAL_BREATH_S: f64 = 6.0;

/// The file of a class.
pub fn file(reading: &Reading, library: &Library) -> String {
    let class = &reading.class;
    let mut pen = Pen {
        library,
        asks: &reading.asks,
        out: String::new(),
        breath_s: common_breath(class),
        padded: class.lines().all(|line| line.padded),
    };
    pen.remarks(reading);
    pen.head(class);
    for section in &class.sections {
        pen.section(section);
    }
    pen.out
}

/// The breath that most lines have.
fn common_breath(class: &ClassPlan) -> f64 {
    let mut counts: Vec<(f64, usize)> = Vec::new();
    for line in class.lines() {
        match counts
            .iter_mut()
            .find(|(breath_s, _)| same(*breath_s, line.breath_s))
        {
            Some((_, count)) => *count += 1,
            None => counts.push((line.breath_s, 1)),
        }
    }
    // Of two that are as common the first one counts.
    let best = counts.iter().rev().max_by_key(|(_, count)| *count);
    best.map_or(USUAL_BREATH_S, |(breath_s, _)| *breath_s)
}

fn same(one: f64, other: f64) -> bool {
    (one - other).abs() < f64::EPSILON
}

struct Pen<'a> {
    library: &'a Library,
    asks: &'a [Ask],
    out: String,
    breath_s: f64,
    padded: bool,
}

impl Pen<'_> {
    fn write(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    fn remarks(&mut self, reading: &Reading) {
        if reading.asks.is_empty() && reading.unread.is_empty() {
            return;
        }
        self.write(
            "# The checked form of an outline. Remarks behind a step say what was read into it.",
        );
        for ask in reading.asks.iter().filter(|ask| ask.step.is_none()) {
            self.write(&remark(&ask.what.to_string()));
        }
        for problem in &reading.unread {
            let line = problem.place.line.as_ref().map_or(0, |line| line.number);
            self.write(&remark(&format!(
                "Left out, line {line}: {}. {}",
                problem.message, problem.help
            )));
        }
    }

    fn head(&mut self, class: &ClassPlan) {
        self.write(&format!("title: {}", scalar(&class.title)));
        if let Some(date) = class.date {
            self.write(&format!("date: {date}"));
        }
        if let Some(start) = class.start {
            self.write(&format!(
                "start: \"{:02}:{:02}\"",
                start.hour(),
                start.minute()
            ));
        }
        self.write(&format!("minutes: {}", minutes(class.slot_s)));
        if !same(self.breath_s, USUAL_BREATH_S) {
            self.write(&format!("breath_seconds: {}", self.breath_s));
        }
        if self.padded {
            self.write("padded: true");
        }
        self.write("sections:");
    }

    fn section(&mut self, section: &Section) {
        self.write(&format!("  - name: {}", scalar(&section.name)));
        let breath_s = section.items.iter().find_map(|item| match item {
            Item::Run(run) => run.lines().next().map(|line| line.breath_s),
            Item::Talk { .. } | Item::Move { .. } => None,
        });
        if let Some(breath_s) = breath_s.filter(|breath_s| !same(*breath_s, self.breath_s)) {
            self.write(&format!("    breath_seconds: {breath_s}"));
        }
        self.write("    steps:");
        for item in &section.items {
            match item {
                Item::Talk { seconds, note } => {
                    let mut entry = vec![("talk", minutes(*seconds))];
                    note_to(&mut entry, note.as_deref());
                    self.entry(6, &entry, None);
                }
                Item::Move {
                    to,
                    by,
                    takes_s,
                    note,
                } => {
                    let mut entry = vec![("move", to.to_string())];
                    if let Some(by) = by {
                        entry.push(("by", scalar(by)));
                    }
                    if let Some(takes_s) = takes_s {
                        entry.push(("takes", minutes(*takes_s)));
                    }
                    note_to(&mut entry, note.as_deref());
                    self.entry(6, &entry, None);
                }
                Item::Run(run) => self.run(run),
            }
        }
    }

    fn run(&mut self, run: &Run) {
        if run.single {
            for line in run.lines() {
                let sides = self.sides(run.sides, self.has_sides(line));
                self.line(6, line, &sides);
            }
            return;
        }
        let mut head = Vec::new();
        if run.repeats > 1 {
            head.push(("repeat", run.repeats.to_string()));
        }
        let sided = run
            .lines()
            .any(|line| line.side.is_none() && self.has_sides(line));
        head.extend(self.sides(run.sides, sided));
        if let Some(takes_s) = run.takes_s {
            head.push(("takes", minutes(takes_s)));
        }
        self.block(6, &head);
        for part in &run.parts {
            match part {
                Part::Line(line) => self.line_of_run(10, line),
                Part::Repeat { repeats, lines } => {
                    self.block(10, &[("repeat", repeats.to_string())]);
                    for line in lines {
                        self.line_of_run(14, line);
                    }
                }
            }
        }
    }

    fn line_of_run(&mut self, indent: usize, line: &Line) {
        let side = line.side.map(|side| ("side", side.to_string()));
        self.line(indent, line, side.as_slice());
    }

    /// The sides of a run, where they do not follow from its shapes.
    fn sides(&self, sides: Sides, sided: bool) -> Vec<(&'static str, String)> {
        match sides {
            Sides::None if sided => vec![("side", Side::None.to_string())],
            Sides::None => Vec::new(),
            Sides::One(side) => vec![("side", side.to_string())],
            Sides::Each { first } => {
                let mut each = vec![("side", "each".to_owned())];
                each.extend(first.map(|first| ("first", first.to_string())));
                each
            }
        }
    }

    fn has_sides(&self, line: &Line) -> bool {
        let id = match &line.taught {
            Taught::Posture(id) => Some(id),
            Taught::Own { like, .. } => like.as_ref(),
        };
        let posture = id.and_then(|id| self.library.postures.get(id));
        posture.is_some_and(crate::library::posture::Posture::is_sided)
    }

    fn line(&mut self, indent: usize, line: &Line, sides: &[(&'static str, String)]) {
        let mut entry = match &line.taught {
            Taught::Posture(id) => vec![("posture", self.name(id))],
            Taught::Own { name, like } => {
                let mut own = vec![("own", scalar(name))];
                own.extend(like.as_ref().map(|id| ("like", self.name(id))));
                own
            }
        };
        entry.extend(sides.iter().cloned());
        entry.extend(hold(line));
        if let Some(takes_s) = line.takes_s {
            entry.push(("takes", minutes(takes_s)));
        }
        if !line.or.is_empty() {
            let choices: Vec<String> = line
                .or
                .iter()
                .map(|choice| match choice {
                    Choice::Posture(id) => self.name(id),
                    Choice::Words(words) => quoted(words),
                })
                .collect();
            entry.push(("or", format!("[{}]", choices.join(", "))));
        }
        if let Some(cue) = &line.cue {
            entry.push(("cue", scalar(cue)));
        }
        if !line.props.is_empty() {
            entry.push(("props", props(&line.props)));
        }
        if line.keep {
            entry.push(("keep", "true".to_owned()));
        }
        if line.padded != self.padded {
            entry.push(("padded", line.padded.to_string()));
        }
        note_to(&mut entry, line.note.as_deref());
        self.entry(indent, &entry, Some(line.number));
    }

    /// The name to write for a posture: its printed one in lower case, where that finds it.
    fn name(&self, id: &PostureId) -> String {
        let name = self
            .library
            .postures
            .get(id)
            .map_or(id.as_str(), |one| one.name());
        let lower = crate::sheets::words::lower(name);
        let finds = |name: &str| self.library.find(name).is_some_and(|found| found.id == *id);
        if finds(&lower) {
            scalar(&lower)
        } else {
            scalar(id.as_str())
        }
    }

    /// A step on one line, with the remarks that belong to it.
    fn entry(&mut self, indent: usize, pairs: &[(&'static str, String)], step: Option<usize>) {
        let inside: Vec<String> = pairs
            .iter()
            .map(|(key, value)| format!("{key}: {value}"))
            .collect();
        let asks = self
            .asks
            .iter()
            .filter(|ask| step.is_some() && ask.step == step);
        let remarks: Vec<String> = asks.map(|ask| one_line(&ask.what.to_string())).collect();
        let mut line = match pairs {
            [(key, value)] => format!("{}- {key}: {value}", " ".repeat(indent)),
            _ => format!("{}- {{{}}}", " ".repeat(indent), inside.join(", ")),
        };
        if !remarks.is_empty() {
            // Writing into a string cannot fail.
            let _ = write!(line, "   # {}", remarks.join("; "));
        }
        self.write(&line);
    }

    /// The head of a run, a key a line, and its `steps`.
    fn block(&mut self, indent: usize, pairs: &[(&'static str, String)]) {
        let mut dash = "- ";
        for (key, value) in pairs {
            self.write(&format!("{}{dash}{key}: {value}", " ".repeat(indent)));
            dash = "  ";
        }
        self.write(&format!("{}{dash}steps:", " ".repeat(indent)));
    }
}

fn note_to(entry: &mut Vec<(&'static str, String)>, note: Option<&str>) {
    entry.extend(note.map(|note| ("note", scalar(note))));
}

/// A hold in the unit that gives back the same seconds.
fn hold(line: &Line) -> Vec<(&'static str, String)> {
    let hold_s = f64::from(line.hold_s);
    match line.breaths {
        Some(number) if same((number * line.breath_s).round().max(1.0), hold_s) => {
            vec![("breaths", number.to_string())]
        }
        Some(number) => vec![
            ("rounds", number.to_string()),
            ("round_seconds", (hold_s / number).to_string()),
        ],
        None if line.hold_s.is_multiple_of(30) && line.hold_s >= 60 => {
            vec![("minutes", minutes(line.hold_s))]
        }
        None => vec![("seconds", line.hold_s.to_string())],
    }
}

/// Minutes as a number that gives back the same seconds.
fn minutes(seconds: u32) -> String {
    (f64::from(seconds) / 60.0).to_string()
}

fn props(props: &PropCounts) -> String {
    let counts: Vec<String> = props
        .iter()
        .map(|(prop, number)| format!("{prop}: {number}"))
        .collect();
    format!("{{{}}}", counts.join(", "))
}

/// A text as a YAML value: plain where that is surely read back as the same text.
fn scalar(text: &str) -> String {
    const WORDS: [&str; 8] = ["yes", "no", "true", "false", "null", "on", "off", "y"];
    let inside = |c: char| c.is_alphanumeric() || " '’–-/()½".contains(c);
    let starts = text.starts_with(char::is_alphabetic);
    let ends = text.ends_with(|c: char| c.is_alphanumeric() || c == ')');
    let lower = text.to_lowercase();
    if starts
        && ends
        && text.chars().all(inside)
        && lower != "n"
        && !WORDS.contains(&lower.as_str())
    {
        return text.to_owned();
    }
    quoted(text)
}

/// A remark on a line of its own.
fn remark(text: &str) -> String {
    format!("# {}", one_line(text))
}

/// Text without line ends and control characters, so that a remark cannot end early.
fn one_line(text: &str) -> String {
    crate::problem::printable(text)
}
