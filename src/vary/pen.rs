//! A version as a class plan.
//!
//! Invariant: what is written reads back to the same shapes, sides and seconds.

use super::clock::{self, seconds_of, set_hold, set_seconds};
use super::path::{Given, PAUSE_WORDS, Path, Way};
use crate::class::{Choice, ClassPlan, Item, Line, Run, Sides, Taught};
use crate::library::graph::Link;
use crate::library::posture::Posture;
use crate::search::candidates::kneels;
use crate::words::{Level, Prop, Side};

/// A version on paper.
pub(super) struct Penned<'a> {
    /// The class plan.
    pub class: ClassPlan,
    /// The ways that it takes otherwise than the class as planned.
    pub ways: Vec<Way<'a>>,
    /// Seconds that props and ways take beyond those of the class as planned.
    pub added_s: u32,
}

/// Writes a version down. `planned` is the class that the path was found for, with the seconds of
/// every run and way.
/// `rest` is the line of the final rest.
pub(super) fn write<'a>(planned: &ClassPlan, path: &Path<'a>, rest: Option<usize>) -> Penned<'a> {
    let mut class = planned.clone();
    let mut pen = Pen {
        path,
        level: path.version.start(),
        planned: Level::Standing,
        rest,
        pending: None,
        before_all: true,
        ways: Vec::new(),
        added_s: 0,
        brought: Vec::new(),
    };
    for section in &mut class.sections {
        let mut items = Vec::new();
        for item in std::mem::take(&mut section.items) {
            match item {
                Item::Talk { .. } => items.push(item),
                Item::Move { .. } => pen.wait(item),
                Item::Run(run) => pen.run(run, &mut items),
            }
        }
        section.items = items;
    }
    let last = pen.pending.take().map(|way| pen.last_way(way));
    if let Some(section) = class.sections.last_mut() {
        section.items.extend(last);
    }
    Penned {
        class,
        ways: pen.ways,
        added_s: pen.added_s,
    }
}

/// A taught way that no shape has followed yet.
struct Pending {
    to: Level,
    by: Option<String>,
    note: Option<String>,
    seconds: u32,
}

/// Writes the version while walking through the class.
struct Pen<'p, 'a> {
    path: &'p Path<'a>,
    /// Where the version is.
    level: Level,
    /// Where the class as planned is.
    planned: Level,
    /// The line of the final rest, by number.
    rest: Option<usize>,
    pending: Option<Pending>,
    /// No shape has been taught yet.
    before_all: bool,
    ways: Vec<Way<'a>>,
    added_s: u32,
    /// Props that were brought for the version already.
    brought: Vec<Prop>,
}

impl<'a> Pen<'_, 'a> {
    /// Keeps a taught way until it is known which shape follows; of two the last one counts, with
    /// the seconds of both.
    fn wait(&mut self, way: Item) {
        if let Item::Move {
            to,
            by,
            takes_s,
            note,
        } = way
        {
            let before_s = self.pending.take().map_or(0, |before| before.seconds);
            self.pending = Some(Pending {
                to,
                by,
                note,
                seconds: before_s + takes_s.unwrap_or(0),
            });
        }
    }

    /// A way at the end of the class: gone where it is open to everybody, else time to stay.
    fn last_way(&self, way: Pending) -> Item {
        let links = self.path.library.links.values();
        let mut links =
            links.filter(|link| link.from.contains(&self.level) && link.to.contains(&way.to));
        // Nobody is kept down after the end.
        let open = links.any(|link| self.path.version.allows_link(link, way.to, way.to));
        if open && self.level != way.to {
            Item::Move {
                to: way.to,
                by: way.by,
                takes_s: Some(way.seconds),
                note: way.note,
            }
        } else {
            Item::Talk {
                seconds: way.seconds,
                note: Some("stay where you are".to_owned()),
            }
        }
    }

    fn run(&mut self, mut run: Run, items: &mut Vec<Item>) {
        let numbers: Vec<usize> = run.lines().map(|line| line.number).collect();
        let path = self.path;
        let given: Vec<&Given<'a>> = numbers.iter().filter_map(|&one| path.of(one)).collect();
        let Some(first) = given.first() else {
            items.push(Item::Run(run));
            return;
        };
        let mut seconds = seconds_of(&run);
        let pending = self.pending.take();
        let had_s = pending.as_ref().map_or(0, |way| way.seconds);
        match self.path.link_to(first) {
            Some(link) if std::mem::take(&mut self.before_all) => {
                // People find their places before the clock runs.
                if !link.usual || self.path.padding_on(link).is_some() {
                    self.ways.push(Way {
                        before: first.number(),
                        link,
                    });
                }
                seconds += had_s;
            }
            Some(link) if self.level != first.level() => {
                seconds -= self.way(first, link, pending, &run, items);
            }
            // Nobody goes anywhere: the time is the run’s.
            _ => seconds += had_s,
        }
        seconds += self.ways_inside(first.line.block);
        self.before_all = false;
        seconds += self.bring(&given);
        self.rewrite(&mut run);
        set_seconds(&mut run, seconds);
        if let Some(last) = given.last() {
            (self.level, self.planned) = (last.level(), last.line.level);
        }
        items.push(Item::Run(run));
    }

    /// Writes the way to a run as a step of its own; gives back the seconds that the run’s own time
    /// held for it.
    fn way(
        &mut self,
        first: &Given<'a>,
        link: &'a Link,
        pending: Option<Pending>,
        run: &Run,
        items: &mut Vec<Item>,
    ) -> u32 {
        let to = first.level();
        let goes_too = self.planned != first.line.level;
        let same_way = goes_too && first.line.level == to && link.usual;
        if pending.is_none() && same_way {
            // The run’s own time holds it, as in the class as planned.
            if self.path.padding_on(link).is_some() {
                self.ways.push(Way {
                    before: first.number(),
                    link,
                });
            }
            return 0;
        }
        let is_rest = self
            .rest
            .is_some_and(|rest| run.lines().any(|line| line.number == rest));
        let (taught, had_s, from_run_s) = match &pending {
            Some(way) => {
                let named = match &way.by {
                    Some(by) => link.by.contains(by),
                    None => link.usual,
                };
                (way.to == to && named, way.seconds, 0)
            }
            // The rest at the end gives nothing.
            None if goes_too && !is_rest => {
                let had_s = link.seconds.min(seconds_of(run));
                (false, had_s, had_s)
            }
            None => (false, 0, 0),
        };
        let takes_s = had_s.max(link.seconds);
        self.added_s += takes_s - had_s;
        if !taught || self.path.padding_on(link).is_some() {
            self.ways.push(Way {
                before: first.number(),
                link,
            });
        }
        let (by, note) = match pending {
            Some(way) if taught => (way.by, way.note),
            _ => (link.by.first().filter(|_| !link.usual).cloned(), None),
        };
        items.push(Item::Move {
            to,
            by,
            takes_s: Some(takes_s),
            note,
        });
        from_run_s
    }

    /// Changes of level inside a run: a plan has no words for their ways. Gives back the seconds
    /// that they add, in all rounds and on both sides.
    fn ways_inside(&mut self, block: usize) -> u32 {
        let mut added_s = 0;
        for (line, link, goes_too) in self.path.links_inside(block) {
            let number = self.path.table.lines[line].line.number;
            let known = self.ways.iter().any(|way| way.before == number);
            let told = !goes_too || !link.usual || self.path.padding_on(link).is_some();
            if told && !known {
                self.ways.push(Way {
                    before: number,
                    link,
                });
            }
            if !goes_too {
                added_s += link.seconds;
            }
        }
        self.added_s += added_s;
        added_s
    }

    /// Seconds to bring what the version uses and the class as planned does not, each prop once.
    fn bring(&mut self, given: &[&Given<'a>]) -> u32 {
        let mut seconds = 0;
        for given in given {
            for prop in given.assignment.props.keys() {
                let of_shape = given
                    .planned
                    .is_some_and(|one| one.props.contains_key(prop));
                let had = of_shape || given.line.line.props.contains_key(prop);
                let carried = !matches!(prop, Prop::Mat | Prop::Wall);
                if carried && !had && !self.brought.contains(prop) {
                    self.brought.push(*prop);
                    seconds += self.path.library.timing.props_s;
                }
            }
        }
        self.added_s += seconds;
        seconds
    }

    /// Puts the shapes of the version into a run, and its sides in order.
    fn rewrite(&self, run: &mut Run) {
        let many = run.lines().count() > 1;
        let in_a_run = many && run.sides == Sides::None;
        let mut follows_sides = false;
        clock::each_line(run, &mut |line| {
            if let Some(given) = self.path.of(line.number) {
                self.line(line, given);
                if in_a_run && given.gains_sides() {
                    line.side = Some(given.assignment.side);
                }
                let sided = given.posture.map_or(!given.is_pause(), Posture::is_sided);
                follows_sides |= sided && line.side.is_none();
            }
        });
        let alone = run.lines().next().filter(|_| !many);
        let alone = alone.and_then(|line| self.path.of(line.number));
        match (run.sides, alone) {
            (Sides::Each { .. }, _) if !follows_sides => self.once(run, alone),
            (Sides::Each { .. }, Some(given)) if given.assignment.side != given.planned_side => {
                run.sides = Sides::Each {
                    first: Some(given.assignment.side),
                };
            }
            (Sides::One(_), _) if !follows_sides => run.sides = Sides::None,
            (Sides::One(_), Some(given)) => run.sides = Sides::One(given.assignment.side),
            (Sides::None, Some(given)) if given.gains_sides() => {
                let first = given.assignment.side;
                run.sides = Sides::One(first);
                if given.has_time_for_both() {
                    run.sides = Sides::Each { first: Some(first) };
                    let half_s = given.assignment.hold_s / 2;
                    clock::each_line(run, &mut |line| set_hold(line, half_s));
                }
            }
            _ => {}
        }
    }

    /// A run of two sides in which nothing has sides any more: as long in one, or else twice.
    fn once(&self, run: &mut Run, alone: Option<&Given<'a>>) {
        run.sides = Sides::None;
        let twice_s = alone.map(|given| (given, given.assignment.hold_s * 2));
        let fits = twice_s.filter(|(given, twice_s)| {
            let version = self.path.version;
            let most_s = version.hold_s().unwrap_or(u32::MAX);
            let padded = given.line.line.padded;
            let open = given.posture.is_none_or(|posture| {
                version.allows(self.path.library, posture, (Side::None, *twice_s, padded))
            });
            open && *twice_s <= most_s
        });
        match fits {
            Some((_, twice_s)) => {
                clock::each_line(run, &mut |line| set_hold(line, twice_s));
            }
            None => {
                run.repeats *= 2;
                run.single = false;
            }
        }
    }

    fn line(&self, line: &mut Line, given: &Given<'a>) {
        if given.is_other() {
            line.taught = match given.posture {
                Some(posture) => Taught::Posture(posture.id.clone()),
                None => Taught::Own {
                    name: PAUSE_WORDS.to_owned(),
                    like: None,
                },
            };
            // Words and props that belong to the planned shape.
            line.cue = None;
            line.note = None;
            line.props.clear();
            line.or
                .retain(|choice| matches!(choice, Choice::Posture(_)));
        }
        let held = &given.assignment.props;
        line.props
            .retain(|prop, _| *prop == Prop::Mat || held.contains_key(prop));
        if let Some(short_s) = given.short_s() {
            set_hold(line, short_s);
        }
        let (hold_s, padded) = (line.hold_s, line.padded);
        if self.path.version.padding() == Prop::Mat && line.padded {
            // “Padded” asks for a blanket in a plan; here the mat is folded.
            line.padded = false;
            if given.posture.is_some_and(kneels) {
                let words = self.path.padding();
                line.note = Some(match line.note.take() {
                    Some(note) => format!("{note}; {words}"),
                    None => words,
                });
            }
        }
        line.or.retain(|choice| match choice {
            Choice::Words(_) => true,
            Choice::Posture(id) => {
                let posture = self.path.library.postures.get(id);
                let shown = given.posture.is_some_and(|shown| shown.id == *id);
                let open = |posture: &Posture| {
                    let version = self.path.version;
                    version.allows(self.path.library, posture, (Side::Right, hold_s, padded))
                };
                !shown && posture.is_some_and(open)
            }
        });
    }
}
