//! What a version does at each line, and what of it is otherwise than planned.

use super::Change;
use crate::adapted::{Assignment, EventKind};
use crate::class::{ClassPlan, Line, Taught};
use crate::library::Library;
use crate::library::blanket::Version;
use crate::library::condition::Grade;
use crate::library::graph::Link;
use crate::library::posture::Posture;
use crate::search::candidate::OWN_SHAPE;
use crate::search::candidates::kneels;
use crate::sheets::words::{capital, prop_words, side};
use crate::timetable::{TimedLine, Timetable};
use crate::words::{Level, Prop, Side};

/// How a pause is written in a plan.
pub(super) const PAUSE_WORDS: &str = "pause as you are";

/// What a line becomes.
pub(super) struct Given<'a> {
    /// As planned.
    pub line: &'a TimedLine<'a>,
    /// The side that leads first, as planned.
    pub planned_side: Side,
    /// The only line of its run.
    pub alone: bool,
    /// What was found for it.
    pub assignment: &'a Assignment,
    /// The shape, unless it is a pause or the teacher’s own.
    pub posture: Option<&'a Posture>,
    /// The planned shape, unless the library does not know it.
    pub planned: Option<&'a Posture>,
    /// Whether the class as planned pads kneeling here.
    pub was_padded: bool,
}

/// A way between two levels that the class does not take, or takes otherwise.
pub(super) struct Way<'a> {
    /// The line after it, by number.
    pub before: usize,
    /// How it goes.
    pub link: &'a Link,
}

/// A version, line by line.
pub(super) struct Path<'a> {
    /// The lines, in order.
    pub given: Vec<Given<'a>>,
    /// The class that it was found for, on the clock.
    pub table: &'a Timetable<'a>,
    /// What was found for each pass.
    found: &'a [Assignment],
    /// The library.
    pub library: &'a Library,
    /// The version.
    pub version: &'a Version<'a>,
}

impl Given<'_> {
    /// Its number in the class.
    pub(super) fn number(&self) -> usize {
        self.line.line.number
    }

    /// Whether another shape takes the place of the planned one.
    pub(super) fn is_other(&self) -> bool {
        match (self.posture, self.planned) {
            (Some(posture), Some(planned)) => posture.id != planned.id || self.assignment.sit_out,
            (None, None) => self.assignment.posture.as_str() != OWN_SHAPE,
            _ => true,
        }
    }

    /// A pause: nothing that the library knows fits.
    pub(super) fn is_pause(&self) -> bool {
        self.posture.is_none() && self.is_other()
    }

    /// Where the body is.
    pub(super) fn level(&self) -> Level {
        let level = self.posture.map(|posture| posture.level);
        level.unwrap_or(self.line.level)
    }

    /// The hold in seconds, where the version makes it shorter.
    pub(super) fn short_s(&self) -> Option<u32> {
        let short = self.assignment.hold_s < self.line.line.hold_s;
        short.then_some(self.assignment.hold_s)
    }

    /// Whether the shape is for resting.
    pub(super) fn is_rest(&self) -> bool {
        let rest = self
            .posture
            .and_then(|posture| posture.purposes.get("rest"));
        self.assignment.sit_out || rest.is_some_and(|&weight| weight >= 2)
    }

    /// Whether the shape has sides where the planned one has none.
    pub(super) fn gains_sides(&self) -> bool {
        let sided = |posture: Option<&Posture>| posture.is_some_and(Posture::is_sided);
        sided(self.posture) && self.planned_side == Side::None && !sided(self.planned)
    }

    /// Whether a shape that gains sides is taught on both: where it stands on its own, there is
    /// time for two, and it is no rest.
    pub(super) fn has_time_for_both(&self) -> bool {
        let two_breaths_s = 2.0 * self.line.line.breath_s;
        let long = f64::from(self.assignment.hold_s) >= two_breaths_s;
        self.alone && long && !self.is_rest()
    }

    /// Props that the plan adds to the planned shape and the version does without.
    fn without(&self) -> impl Iterator<Item = Prop> {
        let added = self.line.line.props.keys().copied();
        let gone = |prop: &Prop| *prop != Prop::Mat && !self.assignment.props.contains_key(prop);
        added.filter(move |prop| !self.is_other() && gone(prop))
    }
}

/// The planned name of a line.
pub(super) fn planned_name(line: &Line, library: &Library) -> String {
    match &line.taught {
        Taught::Own { name, .. } => name.clone(),
        Taught::Posture(id) => {
            let posture = library.postures.get(id);
            posture.map_or_else(|| id.to_string(), |posture| posture.name().to_owned())
        }
    }
}

impl<'a> Path<'a> {
    /// Lays what was found for one person beside the class that it was found for; `original` is the
    /// class as the teacher wrote it.
    pub(super) fn new(
        original: &ClassPlan,
        table: &'a Timetable<'a>,
        found: &'a [Assignment],
        library: &'a Library,
        version: &'a Version<'a>,
    ) -> Self {
        let padded: Vec<bool> = original.lines().map(|line| line.padded).collect();
        let given = table.lines.iter().enumerate().filter_map(|(at, line)| {
            let (pass, planned) = table.passes_of(at).next()?;
            let assignment = found.get(pass)?;
            Some(Given {
                line,
                planned_side: planned.side,
                alone: table.blocks[line.block].lines.len() == 1,
                assignment,
                posture: library.postures.get(&assignment.posture),
                planned: line.posture.and_then(|id| library.postures.get(id)),
                was_padded: padded.get(at).copied().unwrap_or(false),
            })
        });
        Self {
            given: given.collect(),
            table,
            found,
            library,
            version,
        }
    }

    /// A line by its number.
    pub(super) fn of(&self, number: usize) -> Option<&Given<'a>> {
        self.given.iter().find(|given| given.number() == number)
    }

    /// The way by which a line is reached.
    pub(super) fn link_to(&self, given: &Given<'_>) -> Option<&'a Link> {
        let taken = given.assignment.link.as_ref()?;
        self.library.links.get(taken.id.as_str())
    }

    /// The ways between two passes of one block: the line after each, and whether the class as
    /// planned changes its level there too.
    pub(super) fn links_inside(&self, block: usize) -> Vec<(usize, &'a Link, bool)> {
        let passes = self.table.passes.windows(2).zip(self.found.iter().skip(1));
        let links = passes.filter_map(|(pair, assignment)| {
            let [from, to] = pair else { return None };
            let (from, line) = (&self.table.lines[from.line], &self.table.lines[to.line]);
            if from.block != block || line.block != block {
                return None;
            }
            let link = self
                .library
                .links
                .get(assignment.link.as_ref()?.id.as_str())?;
            Some((to.line, link, from.level != line.level))
        });
        links.collect()
    }

    /// What is done otherwise, in the order of the version’s clock.
    pub(super) fn changes(&self, clock: &Timetable<'_>, ways: &[Way<'_>]) -> Vec<Change> {
        let mut changes = Vec::new();
        for (at, given) in self.given.iter().enumerate() {
            let Some((_, pass)) = clock.passes_of(at).next() else {
                continue;
            };
            if let Some(way) = ways.iter().find(|way| way.before == given.number()) {
                let mut moves = clock.events.iter().rev();
                let event = moves.find(|event| {
                    event.kind != EventKind::Talk && event.start_s + event.seconds == pass.start_s
                });
                changes.push(Change {
                    start_s: event.map_or(pass.start_s, |event| event.start_s),
                    line: None,
                    name: capital(&way.link.words),
                    how: self.padding_on(way.link).into_iter().collect(),
                    instead_of: None,
                    figure: None,
                });
            }
            changes.extend(self.change(given, pass.start_s));
        }
        changes
    }

    fn change(&self, given: &Given<'_>, start_s: u32) -> Option<Change> {
        let planned = || planned_name(given.line.line, self.library);
        let mut how = Vec::new();
        if given.is_other() {
            how.extend(given.posture.and_then(told_choice));
        }
        if given.gains_sides() {
            let first = side(given.assignment.side);
            how.push(if given.has_time_for_both() {
                format!("{first}, then the other side")
            } else {
                format!("on the {first}")
            });
        }
        if given.posture.is_some_and(kneels) && !given.was_padded && self.version.is_padded() {
            how.push(self.padding());
        }
        if let Some(short_s) = given.short_s() {
            how.push(format!("{short_s} seconds at a time"));
        }
        how.extend(
            given
                .without()
                .map(|prop| format!("without the {}", prop_words(prop).0)),
        );
        (given.is_other() || !how.is_empty()).then(|| Change {
            start_s,
            line: Some(given.number()),
            name: match given.posture {
                Some(posture) if given.is_other() => posture.name().to_owned(),
                None if given.is_pause() => capital(PAUSE_WORDS),
                Some(_) | None => planned(),
            },
            how,
            instead_of: given.is_other().then(planned),
            figure: given
                .posture
                .map(|posture| (posture.id.clone(), given.assignment.side)),
        })
    }

    /// What lies under the knees, in words.
    pub(super) fn padding(&self) -> String {
        match self.version.padding() {
            Prop::Mat => "mat folded under the knees".to_owned(),
            prop => format!("{} under the knees", prop_words(prop).0),
        }
    }

    /// What lies under the knees on a way that asks them to carry.
    pub(super) fn padding_on(&self, link: &Link) -> Option<String> {
        let asked = link.demands.get("kneeling");
        let kneels = asked.is_some_and(|asked| *asked >= Grade::Some);
        (kneels && self.version.is_padded()).then(|| self.padding())
    }
}

/// How a shape is done, unless its name says so already.
fn told_choice(posture: &Posture) -> Option<String> {
    let name = posture.name().to_lowercase();
    let choice = &posture.choice;
    (!name.contains(&choice.to_lowercase())).then(|| choice.clone())
}
