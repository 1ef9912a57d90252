//! How a class was understood, line by line: clock, number, posture, sides, hold, and under each
//! step what the teacher is asked to confirm.
//!
//! Takes a [`Reading`]; gives lines of text for the screen. Decides nothing.

use super::layout::hanging;
use super::words::{breaths, clock, minutes, plural};
use crate::adapted::EventKind;
use crate::class::{Choice, Item, Line, Part, Run, Sides, Taught};
use crate::input::outline::{Ask, Asked};
use crate::input::reading::Reading;
use crate::library::Library;
use crate::settings::Settings;
use crate::timetable::{Timetable, timetable};
use crate::words::Side;

/// Columns of clock and number.
const GUTTER: usize = 13;

/// The class as it was understood.
pub fn lines(
    reading: &Reading,
    library: &Library,
    settings: &Settings,
    most: usize,
) -> Vec<String> {
    let class = &reading.class;
    let table = timetable(class, library, settings);
    let mut page = Page {
        reading,
        library,
        table: &table,
        most,
        blocks: 0,
        events: 0,
        out: Vec::new(),
    };
    for (section, (_, ends_s)) in class.sections.iter().zip(&table.sections) {
        let ends = clock(class.start, *ends_s);
        page.out.push(String::new());
        page.out.push(format!("{}, until {ends}", section.name));
        for item in &section.items {
            page.item(item);
        }
    }
    page.out
}

/// Whether nothing but a usual hold is to be confirmed.
fn is_usual(ask: &Ask) -> bool {
    matches!(ask.what, Asked::NoHold(_))
}

/// What is to be confirmed of the class as a whole: holds that nobody wrote are told together.
pub fn of_the_whole(asks: &[Ask]) -> Vec<String> {
    let whole = asks.iter().filter(|ask| ask.step.is_none());
    let mut lines: Vec<String> = whole.map(|ask| ask.what.to_string()).collect();
    lines.extend(usual_holds(asks));
    lines
}

fn usual_holds(asks: &[Ask]) -> Option<String> {
    let steps = asks.iter().filter(|ask| is_usual(ask)).count();
    let has = plural(steps, "step has", "steps have");
    (steps > 0).then(|| format!("{has} no hold written: the shortest usual one is taken"))
}

/// What is to be confirmed of a class that is planned at once, in a few lines.
pub fn to_confirm(asks: &[Ask]) -> Vec<String> {
    let mut lines: Vec<String> = asks
        .iter()
        .filter(|ask| !is_usual(ask))
        .map(|ask| match ask.step {
            Some(step) => format!("line {}, step {step}: {}", ask.file_line, ask.what),
            None => ask.what.to_string(),
        })
        .collect();
    lines.extend(usual_holds(asks));
    lines
}

struct Page<'a> {
    reading: &'a Reading,
    library: &'a Library,
    table: &'a Timetable<'a>,
    most: usize,
    blocks: usize,
    events: usize,
    out: Vec<String>,
}

impl Page<'_> {
    fn at(&self, seconds: u32) -> String {
        clock(self.reading.class.start, seconds)
    }

    fn push(&mut self, clock: &str, number: Option<usize>, text: &str) {
        let number = number.map_or(String::new(), |number| number.to_string());
        let first = format!("  {clock:<7}{number:>2}");
        self.out.extend(hanging(&first, text, GUTTER, self.most));
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Talk { seconds, note } => {
                let clock = self.event();
                let note = note.as_deref().unwrap_or("talk");
                self.push(&clock, None, &format!("{note}: {}", minutes(*seconds)));
            }
            Item::Move { to, by, .. } => {
                let clock = self.event();
                let by = by.as_ref().map_or(String::new(), |by| format!(", by {by}"));
                self.push(&clock, None, &format!("to {to}{by}"));
            }
            Item::Run(run) => self.run(run),
        }
    }

    /// The clock of the next talk or move.
    fn event(&mut self) -> String {
        let told = |kind: EventKind| matches!(kind, EventKind::Talk | EventKind::Move);
        let events = self.table.events.iter().filter(|event| told(event.kind));
        let start_s = events.skip(self.events).map(|event| event.start_s).next();
        self.events += 1;
        self.at(start_s.unwrap_or(0))
    }

    fn run(&mut self, run: &Run) {
        let block = self.table.blocks.get(self.blocks);
        let first = block.and_then(|block| self.table.passes_of(block.lines.start).next());
        let clock = self.at(first.map_or(0, |(_, pass)| pass.start_s));
        self.blocks += 1;
        if run.single {
            for line in run.lines() {
                self.line(&clock, line, &sides(run.sides), "");
            }
            return;
        }
        let mut head = Vec::new();
        if run.repeats > 1 {
            head.push(times(run.repeats));
        }
        let on = sides(run.sides);
        if !on.is_empty() {
            head.push(on);
        }
        if let Some(takes_s) = run.takes_s {
            head.push(format!("{} in all", minutes(takes_s)));
        }
        if head.is_empty() {
            head.push("together".to_owned());
        }
        self.push(&clock, None, &format!("{}:", head.join(", ")));
        for part in &run.parts {
            match part {
                Part::Line(line) => self.line("", line, "", "  "),
                Part::Repeat { repeats, lines } => {
                    self.push("", None, &format!("  {}:", times(*repeats)));
                    for line in lines {
                        self.line("", line, "", "    ");
                    }
                }
            }
        }
    }

    fn line(&mut self, clock: &str, line: &Line, sides: &str, indent: &str) {
        let name = match &line.taught {
            Taught::Posture(id) => match self.library.postures.get(id) {
                Some(posture) => posture.name().to_owned(),
                None => id.to_string(),
            },
            Taught::Own { name, like } => {
                let like = like.as_ref().and_then(|id| self.library.postures.get(id));
                match like {
                    Some(posture) => format!("{name} (your own, like {})", posture.name()),
                    None => format!("{name} (your own, like nothing in the library)"),
                }
            }
        };
        let mut says = Vec::new();
        match line.side {
            Some(Side::None) => says.push("no sides".to_owned()),
            Some(side) => says.push(side.to_string()),
            None if !sides.is_empty() => says.push(sides.to_owned()),
            None => {}
        }
        says.push(match line.breaths {
            Some(number) => breaths(number),
            None if line.hold_s.is_multiple_of(60) || line.hold_s > 90 => minutes(line.hold_s),
            None => plural(line.hold_s as usize, "second", "seconds"),
        });
        if let Some(takes_s) = line.takes_s {
            says.push(format!("{} in all", minutes(takes_s)));
        }
        if line.keep {
            says.push("kept as taught".to_owned());
        }
        if line.padded {
            says.push("on a blanket".to_owned());
        }
        for (prop, number) in &line.props {
            says.push(super::words::counted(*number, *prop));
        }
        let asked = self
            .reading
            .asks
            .iter()
            .filter(|ask| ask.step == Some(line.number));
        if asked.clone().any(is_usual) {
            says.push("as is usual".to_owned());
        }
        let text = format!("{name}: {}", says.join(", "));
        let number = format!("  {clock:<7}{:>2}", line.number);
        let column = GUTTER + indent.len();
        let lines = hanging(&format!("{number}  {indent}"), &text, column, self.most);
        self.out.extend(lines);
        let below = |words: &str| hanging("", words, column + 2, self.most);
        let mut under = Vec::new();
        for choice in &line.or {
            let words = match choice {
                Choice::Words(words) => words.as_str(),
                Choice::Posture(id) => match self.library.postures.get(id) {
                    Some(posture) => posture.name(),
                    None => id.as_str(),
                },
            };
            under.extend(below(&format!("or {words}")));
        }
        if let Some(cue) = &line.cue {
            under.extend(below(&format!("cue “{cue}”")));
        }
        let notes_asked = asked.clone().any(|ask| matches!(ask.what, Asked::Note(_)));
        if let Some(note) = line.note.as_ref().filter(|_| !notes_asked) {
            under.extend(below(&format!("note “{note}”")));
        }
        for ask in asked.filter(|ask| !is_usual(ask)) {
            under.extend(hanging(
                &format!("{}?", " ".repeat(column)),
                &ask.what.to_string(),
                column + 2,
                self.most,
            ));
        }
        self.out.extend(under);
    }
}

fn times(number: u32) -> String {
    plural(number as usize, "time", "times")
}

fn sides(sides: Sides) -> String {
    match sides {
        Sides::None => String::new(),
        Sides::One(side) => side.to_string(),
        Sides::Each { first: None } => "each side".to_owned(),
        Sides::Each { first: Some(first) } => format!("each side, {first} first"),
    }
}
