//! What changes on the days ahead, in words a teacher reads.
//!
//! Invariant: the teacher's own page, with names and health words; nothing on it tells anybody what
//! they may do, and a rule that ends is no word that a shape suits them.

use jiff::civil::Date;

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::teacher::CLOSING;
use super::words::{capital, lower, without_places};
use crate::adapt::stretches::of_words;
use crate::ahead::{Ahead, Change, Lasts, Rule, What};
use crate::class::{ClassPlan, Taught};
use crate::library::Library;
use crate::words::{SourceId, Verdict};

/// Puts the page together.
pub fn sheet(ahead: &Ahead, class: &ClassPlan, library: &Library) -> Document {
    let words = Words {
        class,
        library,
        notes: sources(ahead),
    };
    let mut blocks = vec![Block::Line(
        "Your own page: keep it to yourself. Each change stands on its first day.".to_owned(),
    )];
    if ahead.changes.is_empty() {
        blocks.push(Block::Line(
            "No rule begins or ends for anybody, and nothing told goes out of date.".to_owned(),
        ));
    } else {
        blocks.push(Block::Table(Table {
            style: "ahead",
            heads: vec!["Who", "What changes", "In this class"],
            groups: words.days(ahead),
        }));
    }
    let notes = words.notes();
    if !notes.is_empty() {
        blocks.push(Block::Heading("How strong is it".to_owned()));
        blocks.push(Block::List(notes));
    }
    blocks.push(Block::Line(CLOSING.to_owned()));
    Document {
        title: ahead.title.clone(),
        kind: "days ahead",
        style: "ahead",
        pages: vec![Page {
            title: format!("{}: the days ahead", ahead.title),
            when: format!("After {}, to {}", day(ahead.date), day(ahead.until)),
            blocks,
        }],
    }
}

/// The sources named, in the order met; their numbers are printed.
fn sources(ahead: &Ahead) -> Vec<SourceId> {
    let mut found = Vec::new();
    for change in &ahead.changes {
        let source = match &change.what {
            What::Begins(rule) | What::Becomes { rule, .. } => rule.source.as_ref(),
            _ => None,
        };
        if let Some(source) = source.filter(|source| !found.contains(*source)) {
            found.push(source.clone());
        }
    }
    found
}

fn day(date: Date) -> String {
    date.strftime("%A %-d %B %Y").to_string()
}

struct Words<'a> {
    class: &'a ClassPlan,
    library: &'a Library,
    notes: Vec<SourceId>,
}

impl Words<'_> {
    /// The sources in full, numbered.
    fn notes(&self) -> Vec<String> {
        let full = |(at, id): (usize, &SourceId)| {
            let source = self.library.sources.get(id);
            let text = source.map_or(id.as_str(), |source| without_places(&source.text));
            format!("[{}] {text}", at + 1)
        };
        self.notes.iter().enumerate().map(full).collect()
    }

    /// A group a day.
    fn days(&self, ahead: &Ahead) -> Vec<Group> {
        let mut groups: Vec<(Date, Group)> = Vec::new();
        for change in &ahead.changes {
            let row = self.row(change);
            match groups.last_mut().filter(|(day, _)| *day == change.from) {
                Some((_, group)) => group.rows.push(row),
                None => {
                    let group = Group {
                        name: format!("From {}", day(change.from)),
                        aside: match change.class_day == change.from {
                            true => "the class’s own weekday".to_owned(),
                            false => {
                                format!("held weekly: {}", change.class_day.strftime("%a %-d %b"))
                            }
                        },
                        rows: vec![row],
                    };
                    groups.push((change.from, group));
                }
            }
        }
        groups.into_iter().map(|(_, group)| group).collect()
    }

    fn row(&self, change: &Change) -> Vec<Cell> {
        let mut who = Cell::strong(change.name.clone());
        if !change.told.is_empty() {
            who.lines.push(change.told.clone());
        }
        if change.confidential {
            who.lines.push("confidential".to_owned());
        }
        vec![
            who,
            Cell::lines(self.what(&change.what)),
            Cell::lines(self.steps(&change.what)),
        ]
    }

    /// What changes: a line of what, a line of why.
    fn what(&self, what: &What) -> Vec<String> {
        match what {
            What::Begins(rule) => vec![
                format!("Begins: {}.", self.says(rule.verdict, rule)),
                self.because(rule),
            ],
            What::Ends(rule) => vec![
                format!("Ends: {}.", self.says(rule.verdict, rule)),
                "Ask how it is now; other rules go on.".to_owned(),
            ],
            What::Becomes { before, rule } => vec![
                format!(
                    "Changes: {}; until then {}.",
                    self.says(rule.verdict, rule),
                    held(*before)
                ),
                self.because(rule),
            ],
            What::LimitBegins(lasts) => vec![format!("Begins: {}.", lasting(lasts))],
            What::LimitEnds(lasts) => vec![format!("Ends: {}.", lasting(lasts))],
            What::Stale(question) => vec!["Out of date: ask again.".to_owned(), capital(question)],
            What::WordEnds { from, on, says } => {
                let when = on.map_or(String::new(), |on| {
                    format!(" of {}", on.strftime("%-d %B %Y"))
                });
                let says = says
                    .as_ref()
                    .map_or(String::new(), |says| format!(": “{says}”"));
                vec![
                    format!("Out of date: the word of their {from}{when}{says}."),
                    "It is more than twelve months old and opens nothing any more; ask for a newer one."
                        .to_owned(),
                ]
            }
            What::TodayEnds => vec![
                "What was said at the door counted for that class alone: ask again.".to_owned(),
            ],
        }
    }

    /// What a rule says: "kept from lying flat, much of it".
    fn says(&self, verdict: Verdict, rule: &Rule) -> String {
        let demand = self.library.demands.get(&rule.demand);
        let mut words = demand.map_or_else(|| rule.demand.to_string(), |one| one.words.clone());
        if rule.much {
            words = format!("{words}, much of it");
        }
        match verdict {
            Verdict::Ease if !rule.easing.is_empty() => {
                format!("{words} only with: {}", rule.easing)
            }
            Verdict::Ease => format!("{words} only eased"),
            Verdict::Watch => format!("watch {words}"),
            Verdict::AskFirst => format!("ask first about {words}"),
            Verdict::Avoid => format!("kept from {words}"),
        }
    }

    fn because(&self, rule: &Rule) -> String {
        let note = rule.source.as_ref();
        let note = note.and_then(|id| self.notes.iter().position(|other| other == id));
        let note = note.map_or(String::new(), |at| format!(" [{}]", at + 1));
        let because = rule.because.trim_end_matches('.');
        format!("{because} ({}{note}).", rule.strength.printed())
    }

    /// The steps of the class that a rule meets, by number and name.
    fn steps(&self, what: &What) -> Vec<String> {
        let rule = match what {
            What::Begins(rule) | What::Ends(rule) | What::Becomes { rule, .. } => rule,
            What::LimitBegins(_)
            | What::LimitEnds(_)
            | What::Stale(_)
            | What::WordEnds { .. }
            | What::TodayEnds => return Vec::new(),
        };
        if rule.lines.is_empty() {
            return vec!["no step as taught".to_owned()];
        }
        let lines = self.class.lines();
        let met = lines.filter(|line| rule.lines.contains(&line.number));
        met.map(|line| {
            let name = match &line.taught {
                Taught::Own { name, .. } => name.clone(),
                Taught::Posture(id) => self.library.postures.get(id).map_or_else(
                    || id.as_str().replace('-', " "),
                    |posture| lower(posture.name()),
                ),
            };
            format!("{} {name}", line.number)
        })
        .collect()
    }
}

/// What a rule said until then.
fn held(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Watch => "watched",
        Verdict::Ease => "only eased",
        Verdict::AskFirst => "asked about first",
        Verdict::Avoid => "kept from",
    }
}

/// "lying flat at most 179 s at a stretch, 6 min in a class".
fn lasting(lasts: &Lasts) -> String {
    let most = [
        (lasts.bout_s, "at a stretch"),
        (lasts.class_s, "in a class"),
    ];
    let most: Vec<String> = most
        .into_iter()
        .filter_map(|(seconds, when)| Some(format!("{} {when}", length(seconds?))))
        .collect();
    format!("{} at most {}", of_words(lasts.of), most.join(", "))
}

fn length(seconds: u32) -> String {
    match (seconds / 60, seconds % 60) {
        (minutes, 0) => format!("{minutes} min"),
        _ => format!("{seconds} s"),
    }
}
