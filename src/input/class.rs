//! Reads a class plan.
//!
//! Takes the text of a file and the library's names; gives a [`ClassPlan`], or every problem.

use std::collections::BTreeSet;

use super::days;
use super::kind::{FileKind, root};
use super::suggest::{nearest, one_of};
use super::table::{Document, Field, Table};
use super::text::Source;
use crate::class::{Choice, ClassPlan, Item, Line, Part, Run, Section, Sides, Taught};
use crate::library::Library;
use crate::library::posture::Posture;
use crate::problem::{Code, Problem, quoted};
use crate::words::{BodySide, Level, PropCounts, Side};
use hold::{hold, seconds};

mod hints;
mod hold;

/// One breath when nothing is said, in seconds (contract 4.1).
const USUAL_BREATH_S: f64 = 6.0;

/// The shortest breath that can be meant: resting adults breathe 12 to 20 times a minute (OC-102).
pub(super) const SHORTEST_BREATH_S: f64 = 3.0;

/// The longest breath that can be meant, in seconds (our choice).
pub(super) const LONGEST_BREATH_S: f64 = 30.0;

/// The longest class, in minutes (our choice).
pub(super) const LONGEST_CLASS_MIN: f64 = 480.0;

/// What is said where a class has no sections.
const SECTIONS: &str =
    "Add “sections:” and the parts of the class below it; “kindfold new class” shows how.";

/// What is said where a section or a run has no steps.
const STEPS: &str = "Add “steps:” and the postures below it, one a line after “- ”.";

/// What is said where a step has no posture.
const POSTURE: &str = "Say what is taught, as in “posture: mountain”; or write talk, move, own or \
                       repeat.";

/// Reads a class plan.
///
/// # Errors
/// Every problem of the file.
pub fn read(source: Source, library: &Library) -> Result<ClassPlan, Vec<Problem>> {
    let document = Document::read(source)?;
    let class = Reader { library, lines: 0 }.class(&document);
    let problems = document.into_problems();
    match class {
        Some(class) if problems.is_empty() => Ok(class),
        _ => Err(problems),
    }
}

struct Reader<'l> {
    library: &'l Library,
    lines: usize,
}

/// What a section hands down to its steps.
#[derive(Clone, Copy)]
struct Setting {
    breath_s: f64,
    padded: bool,
}

impl Reader<'_> {
    fn class(&mut self, document: &Document) -> Option<ClassPlan> {
        let mut table = root(document, FileKind::Class)?;
        let title: Option<String> = table.required("title");
        let date = table.get("date").and_then(|field| days::day(&field));
        let start = table.get("start").and_then(|field| days::clock(&field));
        let minutes = table
            .need_as("minutes", "Add how long the class is, as in “minutes: 60”.")
            .and_then(|field| field.number(1.0..=LONGEST_CLASS_MIN));
        let setting = Setting {
            breath_s: breath(&mut table).unwrap_or(USUAL_BREATH_S),
            padded: table.flag("padded", false),
        };
        let sections = table
            .need_as("sections", SECTIONS)
            .map(|field| field.entries())
            .unwrap_or_default();
        let sections: Vec<Section> = sections
            .iter()
            .filter_map(|field| self.section(field, setting))
            .collect();
        table.done_with(hints::in_a_class);
        if self.lines == 0 && document.problems().is_empty() {
            document.root().problem(
                Code::MissingKey,
                "there is no posture in this class",
                "Write at least one step with “posture: …”.",
            );
        }
        Some(ClassPlan {
            title: title?,
            date,
            start,
            slot_s: seconds(minutes?),
            sections,
        })
    }

    fn section(&mut self, field: &Field<'_>, above: Setting) -> Option<Section> {
        let mut table = field.table()?;
        let name: Option<String> = table.required("name");
        let setting = Setting {
            breath_s: breath(&mut table).unwrap_or(above.breath_s),
            padded: table.flag("padded", above.padded),
        };
        let items = Self::steps(&mut table)
            .iter()
            .filter_map(|field| self.item(field, setting))
            .collect();
        let unnamed = name.is_none();
        table.done_with(|key| hints::in_a_section(key, unnamed));
        Some(Section { name: name?, items })
    }

    fn item(&mut self, field: &Field<'_>, setting: Setting) -> Option<Item> {
        let mut table = field.table()?;
        if table.has("talk") {
            let minutes = table
                .need("talk")
                .and_then(|field| field.number(0.1..=120.0));
            let note = table.optional("note");
            table.done();
            return Some(Item::Talk {
                seconds: seconds(minutes?),
                note,
            });
        }
        if table.has("move") {
            let to: Option<Level> = table.required("move");
            let by = table.get("by").and_then(|field| self.way(&field, to));
            let takes_s = takes(&mut table);
            let note = table.optional("note");
            table.done();
            return Some(Item::Move {
                to: to?,
                by,
                takes_s,
                note,
            });
        }
        if table.has("steps") || table.has("repeat") {
            return self.run(table, setting).map(Item::Run);
        }
        self.single(table, setting).map(Item::Run)
    }

    /// The steps of a section or a run; a problem when there are none.
    fn steps<'d>(table: &mut Table<'d>) -> Vec<Field<'d>> {
        let Some(field) = table.need_as("steps", STEPS) else {
            return Vec::new();
        };
        let steps = field.entries();
        if steps.is_empty() && field.is_list() {
            field.problem(
                Code::EmptyValue,
                "no step stands here",
                "Write one after “- ”, or take the whole part out.",
            );
        }
        steps
    }

    /// The words after `by`: a name of `data/links.yaml`. Of an unknown one the ways `to` the level
    /// are said.
    fn way(&self, field: &Field<'_>, to: Option<Level>) -> Option<String> {
        let by: String = field.read()?;
        let names = self
            .library
            .links
            .values()
            .flat_map(|link| &link.by)
            .map(String::as_str);
        if names.clone().any(|name| name == by) {
            return Some(by);
        }
        let links = self.library.links.values();
        let leading = links.filter(|link| to.is_none_or(|to| link.to.contains(&to)));
        let leading: BTreeSet<&str> = leading
            .flat_map(|link| &link.by)
            .map(String::as_str)
            .collect();
        let leading: Vec<&str> = leading.into_iter().collect();
        field.problem(
            Code::UnknownWord,
            format!("{} is no known way between levels", quoted(&by)),
            match nearest(&by, names) {
                Some(name) => format!("Did you mean “{name}”?"),
                None => format!(
                    "Write {}; without “by” it is the usual way.",
                    one_of(&leading)
                ),
            },
        );
        None
    }

    /// A step on its own: a run of one.
    fn single(&mut self, mut table: Table<'_>, setting: Setting) -> Option<Run> {
        let side = table.get("side");
        let first = first(&mut table);
        let line = self.line(&mut table, setting);
        let sided = line.as_ref().is_some_and(|line| self.is_sided(line));
        let own = line
            .as_ref()
            .is_some_and(|line| matches!(line.taught, Taught::Own { like: None, .. }));
        let sides = match side {
            // Of a shape that could not be read nobody knows whether it has sides.
            Some(field) => self.sides(&field, first, sided || own || line.is_none()),
            None if sided => Some(Sides::Each { first }),
            None => Some(Sides::None),
        };
        table.done_with(|key| hints::in_a_step(key, self.library));
        let line = line?;
        Some(Run {
            sides: sides?,
            repeats: 1,
            takes_s: None,
            parts: vec![Part::Line(line)],
            single: true,
        })
    }

    fn sides(&self, field: &Field<'_>, first: Option<Side>, sided: bool) -> Option<Sides> {
        let word: String = field.read()?;
        let sides = match word.as_str() {
            "each" => Sides::Each { first },
            "left" => Sides::One(Side::Left),
            "right" => Sides::One(Side::Right),
            "none" => Sides::None,
            _ => {
                field.problem(
                    Code::UnknownWord,
                    format!("“{word}” is not a side"),
                    "Write left, right, each or none.",
                );
                return None;
            }
        };
        if !sided && sides != Sides::None {
            no_sides(field);
            return None;
        }
        Some(sides)
    }

    fn run(&mut self, mut table: Table<'_>, setting: Setting) -> Option<Run> {
        let repeats = table
            .get("repeat")
            .map_or(Some(1), |field| field.whole(1..=100));
        let side = table.get("side");
        let first = first(&mut table);
        let takes_s = takes(&mut table);
        let padded = table.flag("padded", setting.padded);
        let setting = Setting { padded, ..setting };
        let mut parts = Vec::new();
        let mut inner = false;
        for field in Self::steps(&mut table) {
            let Some(step) = field.table() else {
                continue;
            };
            if !step.has("steps") && !step.has("repeat") {
                parts.extend(self.line_of_run(step, setting).map(Part::Line));
                continue;
            }
            if inner {
                step.problem(
                    Code::ClashingKeys,
                    "a run may hold one run inside it, and this is the second",
                    "Write the steps out, or make two runs of it.",
                );
                continue;
            }
            inner = true;
            parts.extend(self.inner(step, setting));
        }
        table.done();
        let lines = || {
            parts.iter().flat_map(|part| match part {
                Part::Line(line) => std::slice::from_ref(line),
                Part::Repeat { lines, .. } => lines.as_slice(),
            })
        };
        // Shapes with sides in a run that names none are taught on each side in turn.
        let sided = lines().any(|line| line.side.is_none() && self.is_sided(line));
        let sides = match side {
            Some(field) => self.sides(&field, first, true)?,
            None if sided => Sides::Each { first },
            None => Sides::None,
        };
        (!parts.is_empty()).then_some(())?;
        Some(Run {
            sides,
            repeats: repeats?,
            takes_s,
            parts,
            single: false,
        })
    }

    fn inner(&mut self, mut table: Table<'_>, setting: Setting) -> Option<Part> {
        let repeats = table
            .get("repeat")
            .map_or(Some(1), |field| field.whole(1..=100));
        let mut lines = Vec::new();
        for field in Self::steps(&mut table) {
            let Some(step) = field.table() else {
                continue;
            };
            if step.has("steps") {
                step.problem(
                    Code::ClashingKeys,
                    "this run lies two deep inside another",
                    "Write its steps out.",
                );
                continue;
            }
            lines.extend(self.line_of_run(step, setting));
        }
        table.done();
        Some(Part::Repeat {
            repeats: repeats?,
            lines,
        })
    }

    /// A line inside a run, with the side that is written on the line itself.
    fn line_of_run(&mut self, mut table: Table<'_>, setting: Setting) -> Option<Line> {
        let field = table.get("side");
        let side: Option<Side> = field.as_ref().and_then(Field::read);
        let line = self.line(&mut table, setting);
        if let (Some(field), Some(line)) = (&field, &line)
            && !matches!(side, None | Some(Side::None))
            && !matches!(line.taught, Taught::Own { like: None, .. })
            && !self.is_sided(line)
        {
            no_sides(field);
        }
        table.done_with(|key| hints::in_a_step(key, self.library));
        line.map(|line| Line { side, ..line })
    }

    fn line(&mut self, table: &mut Table<'_>, setting: Setting) -> Option<Line> {
        self.lines += 1;
        let number = self.lines;
        let taught = self.taught(table);
        let hold = hold(table, setting.breath_s);
        let or = table
            .list("or")
            .iter()
            .filter_map(|field| self.choice(field))
            .collect();
        let line = Line {
            number,
            takes_s: takes(table),
            side: None,
            or,
            cue: table.optional("cue"),
            note: table.optional("note"),
            props: props(table),
            keep: table.flag("keep", false),
            padded: table.flag("padded", setting.padded),
            breath_s: setting.breath_s,
            taught: taught?,
            hold_s: hold?.0,
            breaths: hold?.1,
        };
        Some(line)
    }

    fn taught(&self, table: &mut Table<'_>) -> Option<Taught> {
        if table.has("own") {
            let name = table.required("own");
            let like = table.get("like").map(|field| self.posture(&field));
            return match like {
                None => Some(Taught::Own {
                    name: name?,
                    like: None,
                }),
                Some(like) => Some(Taught::Own {
                    name: name?,
                    like: Some(like?.id.clone()),
                }),
            };
        }
        let posture = self.posture(&table.need_as("posture", POSTURE)?)?;
        Some(Taught::Posture(posture.id.clone()))
    }

    fn posture(&self, field: &Field<'_>) -> Option<&Posture> {
        let name: String = field.read()?;
        let found = self.library.find(&name);
        if found.is_none() {
            unknown_posture(field, &name, self.library);
        }
        found
    }

    fn choice(&self, field: &Field<'_>) -> Option<Choice> {
        let words: String = field.read()?;
        Some(match self.library.find(&words) {
            Some(posture) => Choice::Posture(posture.id.clone()),
            None => Choice::Words(words),
        })
    }

    fn is_sided(&self, line: &Line) -> bool {
        let id = match &line.taught {
            Taught::Posture(id) => Some(id),
            Taught::Own { like, .. } => like.as_ref(),
        };
        id.and_then(|id| self.library.postures.get(id))
            .is_some_and(Posture::is_sided)
    }
}

/// Leaves the problem of a posture that nobody knows, with what may have been meant.
pub(super) fn unknown_posture(field: &Field<'_>, name: &str, library: &Library) {
    let near = library.suggest(name, 3);
    let help = match near.as_slice() {
        [] => "“kindfold postures” lists every name.".to_owned(),
        [one] => format!("Did you mean “{one}”?"),
        many => format!("Did you mean one of “{}”?", many.join("”, “")),
    };
    field.problem(
        Code::UnknownPosture,
        format!("no posture is called {}", quoted(name)),
        help,
    );
}

/// A side for a shape that has none.
fn no_sides(field: &Field<'_>) {
    field.problem(
        Code::NoSides,
        "this shape is the same on both sides",
        "Take “side” out.",
    );
}

/// Which side comes first, where a line or a run says so.
fn first(table: &mut Table<'_>) -> Option<Side> {
    table.optional::<BodySide>("first").map(Side::from)
}

fn breath(table: &mut Table<'_>) -> Option<f64> {
    table
        .get("breath_seconds")?
        .number(SHORTEST_BREATH_S..=LONGEST_BREATH_S)
}

fn takes(table: &mut Table<'_>) -> Option<u32> {
    table
        .get("takes")?
        .number(0.1..=LONGEST_CLASS_MIN)
        .map(seconds)
}

/// Props, a person each.
pub(super) fn props(table: &mut Table<'_>) -> PropCounts {
    super::props::counts(table.map("props"))
}
