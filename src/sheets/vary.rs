//! The sheet of a version: what everybody does otherwise, by the minute.
//!
//! Invariant: it names nobody and speaks of nobody’s body; it may hang in the room. What the
//! version could not keep stands on it.

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::reading::Reading;
use super::words::{capital, counted, listed, lower, minutes, plural, prop_words, side, steps};
use crate::adapted::Step;
use crate::library::Library;
use crate::library::blanket::Version;
use crate::settings::Settings;
use crate::vary::{Change, Loss, Varied};
use crate::words::{Prop, PurposeId, Side};

/// Puts the sheet together; paper says "in place of", a screen "instead of".
pub fn sheet(
    varied: &Varied,
    version: &Version<'_>,
    settings: &Settings,
    library: &Library,
    on_paper: bool,
) -> Document {
    let reading = Reading::new(&varied.adapted, settings, library);
    let mut blocks = vec![Block::Line(about(varied))];
    let swaps = at_home(version, varied);
    let has_swaps = !swaps.is_empty();
    blocks.extend(swaps);
    if varied.changes.is_empty() {
        let words = if has_swaps {
            "No shape changes; only the things do."
        } else {
            "The class is so already: no step changes."
        };
        blocks.push(Block::Line(words.to_owned()));
    } else {
        blocks.push(Block::Table(Table {
            style: "changes",
            heads: vec!["Minute", "Step", "", "What everybody does"],
            groups: vec![Group {
                rows: varied
                    .changes
                    .iter()
                    .map(|one| row(one, on_paper))
                    .collect(),
                ..Group::default()
            }],
        }));
    }
    blocks.extend(needs(&reading, varied).into_iter().map(Block::Line));
    if !varied.losses.is_empty() {
        blocks.push(Block::Heading("What could not be kept".to_owned()));
        let lines = varied.losses.iter();
        let lines = lines.map(|loss| lost(loss, version, library));
        blocks.push(Block::List(lines.collect()));
    }
    let prints: Vec<String> = version
        .blankets
        .iter()
        .flat_map(|blanket| blanket.prints.iter().cloned())
        .collect();
    if !prints.is_empty() {
        blocks.push(Block::Heading("Say and see to".to_owned()));
        blocks.push(Block::List(prints));
    }
    if version.is_spoken() {
        blocks.push(Block::Heading("Every step in words".to_owned()));
        blocks.push(Block::Table(reading.spoken()));
    }
    blocks.push(Block::Heading("Whoever comes".to_owned()));
    blocks.push(Block::Line(reading.closing()));
    let title = varied.adapted.class.title.clone();
    Document {
        title: title.clone(),
        kind: "version",
        style: "vary",
        pages: vec![Page {
            title,
            when: String::new(),
            blocks,
        }],
    }
}

/// Length, how much changes, and that nobody is named.
fn about(varied: &Varied) -> String {
    let changed = varied.changes.iter().filter(|one| one.line.is_some());
    let changed = changed.count();
    let length = varied.adapted.class.planned_s.div_ceil(60);
    let verb = if changed == 1 { "changes" } else { "change" };
    format!(
        "{}, as taught. {changed} of {} {verb}. Nobody is named; it may hang in the room.",
        plural(usize::try_from(length).unwrap_or(0), "minute", "minutes"),
        plural(varied.lines, "step", "steps"),
    )
}

/// What stands in at home for the props that the class uses.
fn at_home(version: &Version<'_>, varied: &Varied) -> Vec<Block> {
    let swaps = version.blankets.iter().flat_map(|blanket| &blanket.swap);
    let swaps = swaps.filter(|(prop, _)| varied.each.contains_key(*prop));
    let rows: Vec<Vec<Cell>> = swaps
        .map(|(prop, words)| {
            vec![
                Cell::strong(capital(prop_words(*prop).0)),
                Cell::of(words.clone()),
            ]
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    vec![
        Block::Heading("From around the house".to_owned()),
        Block::Table(Table {
            style: "swap",
            heads: vec!["In the class", "At home"],
            groups: vec![Group {
                rows,
                ..Group::default()
            }],
        }),
    ]
}

fn row(change: &Change, on_paper: bool) -> Vec<Cell> {
    let how = lower(&change.how.join(", "));
    let instead = if on_paper {
        "in place of"
    } else {
        "instead of"
    };
    let planned = change.instead_of.as_ref();
    let planned = planned.map(|planned| format!("{instead} {}", lower(planned)));
    // A way between levels is no place to find.
    let does = if on_paper && change.line.is_some() {
        let lines = [Some(how), planned].into_iter().flatten();
        Cell {
            strong: change.name.clone(),
            lines: vec![
                lines
                    .filter(|line| !line.is_empty())
                    .collect::<Vec<_>>()
                    .join("; "),
            ],
            ..Cell::default()
        }
    } else {
        let mut lines = vec![match how.as_str() {
            "" => change.name.clone(),
            how => format!("{}: {how}", change.name),
        }];
        lines.extend(planned);
        Cell::lines(lines)
    };
    vec![
        Cell::strong((change.start_s / 60).to_string()),
        Cell::of(
            change
                .line
                .map_or_else(String::new, |line| line.to_string()),
        ),
        Cell {
            figure: change.figure.clone(),
            ..Cell::default()
        },
        does,
    ]
}

/// What it needs, what it adds, what is left alone.
fn needs(reading: &Reading<'_>, varied: &Varied) -> Vec<String> {
    let mut lines = Vec::new();
    let each: Vec<String> = varied
        .each
        .iter()
        .filter(|(prop, _)| **prop != Prop::Mat)
        .map(|(&prop, &number)| counted(number, prop))
        .collect();
    if each.is_empty() {
        lines.push("Needs no props but the mats.".to_owned());
    } else {
        lines.push(format!("Needs {} each.", listed(&each)));
    }
    for (&prop, &number) in &varied.each {
        let used = reading.adapted.props.get(&prop);
        if let Some(stock) = used.and_then(|used| used.stock) {
            lines.push(format!(
                "{} in the cupboard: enough for {}, you among them.",
                capital(&counted(stock, prop)),
                plural(
                    usize::try_from(stock / number.max(1)).unwrap_or(0),
                    "person",
                    "people"
                )
            ));
        }
    }
    let taken = || steps(&varied.taken_from);
    if varied.rest_more_s > 0 {
        lines.push(format!(
            "The rest at the end is {} longer; taken from {}.",
            minutes(varied.rest_more_s),
            taken()
        ));
    } else if varied.added_s > 0 && !varied.taken_from.is_empty() {
        lines.push(format!(
            "Adds {}; taken from {}, not from the rest.",
            minutes(varied.added_s),
            taken()
        ));
    }
    let changed = varied.changes.iter().filter(|one| one.line.is_some());
    let alone = varied.lines.saturating_sub(changed.count());
    if alone > 0 && !varied.changes.is_empty() {
        lines.push(format!("Left alone: {}.", plural(alone, "step", "steps")));
    }
    lines
}

/// What could not be kept, in a sentence.
fn lost(loss: &Loss, version: &Version<'_>, library: &Library) -> String {
    let usual = || {
        let words = version.blankets.iter().map(|one| one.instead.as_str());
        words.collect::<Vec<_>>().join("; ")
    };
    match loss {
        Loss::Purposes(lines, purposes) => {
            let words = |id: &PurposeId| {
                let words = library.purposes.get(id);
                words.map_or_else(|| id.to_string(), |words| lower(words))
            };
            let words: Vec<String> = purposes.iter().map(words).collect();
            format!("Not served at {}: {}.", steps(lines), words.join("; "))
        }
        Loss::Paused(lines) => format!(
            "No shape near {} fits: a rest or a pause stands there. Usual instead: {}.",
            steps(lines),
            usual()
        ),
        Loss::Unknown(line, name) => format!(
            "Step {line}, {}: a shape of your own that is like nothing known here. Choose for \
             yourself, or leave the pause.",
            lower(name)
        ),
        Loss::NotKept(line, name) => format!(
            "Step {line}, {}: the plan keeps it; this version cannot.",
            lower(name)
        ),
        Loss::OneSide(line, name) => format!(
            "Step {line}, {}: time for one side only. Teach the other next time.",
            lower(name)
        ),
        Loss::OwnWords(lines) => format!(
            "Your own choices at {} stand as you wrote them; nobody has looked at them.",
            steps(lines)
        ),
        Loss::NoRest => "The class ends without a rest that could be longer.".to_owned(),
        Loss::Over(seconds) => format!(
            "Runs {} over: nothing more can be taken from the middle.",
            minutes(*seconds)
        ),
    }
}

impl Reading<'_> {
    /// Every step as it is said: which side first, and a cue.
    fn spoken(&self) -> Table {
        let groups = self.by_section(|first, steps| {
            let mut said = Vec::new();
            let second = steps.iter().find(|step| step.lead.side != first.lead.side);
            let on = capital(side(first.lead.side));
            let other = side(first.lead.side.mirrored());
            // In a run the other side comes after all of the first.
            let in_a_run = steps
                .windows(2)
                .any(|pair| pair[1].index > pair[0].index + 1);
            match (first.lead.side, second) {
                (Side::None, _) => {}
                (_, None) => said.push(format!("{on} side.")),
                (_, Some(_)) if in_a_run => {
                    said.push(format!("{on} side; later all of it on the {other}."));
                }
                (_, Some(_)) => said.push(format!("{on} side first, then the {other}.")),
            }
            said.push(cue(first));
            vec![
                Cell::strong(first.line.to_string()),
                Cell::of(first.lead.name.clone()),
                Cell::of(said.join(" ")),
            ]
        });
        Table {
            style: "said",
            heads: vec!["Step", "Shape", "Say"],
            groups,
        }
    }

    /// Deferral and stop signs.
    fn closing(&self) -> String {
        let stop = self.library.signs.get("H").map_or("", String::as_str);
        format!(
            "Made without asking anyone, so ask about today all the same; a person’s own clinician \
             comes first. Come out whenever you like. Stop and get help: {stop}."
        )
    }
}

fn cue(step: &Step) -> String {
    step.cue
        .clone()
        .unwrap_or_else(|| "Your own words: ____".to_owned())
}
