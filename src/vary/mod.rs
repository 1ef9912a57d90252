//! Versions of a whole class that are made without naming anyone.
//!
//! Takes a class and a [`Version`]; gives the class with the shapes that the version leaves open,
//! found by the same search and the same plan as for people, for one person with no limits of their
//! own. Invariants: nobody is named; the class lasts as long as it was; what is lost is listed.

mod clock;
mod losses;
mod path;
mod pen;

use crate::adapt::{self, Task};
use crate::adapted::{Adapted, Assignment, PropUse, Shape, Step};
use crate::class::{ClassPlan, Item};
use crate::group::check::InstanceError;
use crate::group::problem::Instance;
use crate::library::Library;
use crate::library::blanket::Version;
use crate::roster::{Asked, Roster};
use crate::settings::PropStock;
use crate::timetable::{self, Timetable};
use crate::words::{BlanketId, PostureId, Prop, PropCounts, Side};

pub use losses::Loss;

/// A class in a version of it.
#[derive(Clone, Debug)]
pub struct Varied {
    /// The version as an adapted class without people: what was planned stands as taught, what the
    /// version teaches as lead.
    pub adapted: Adapted,
    /// The version as a class plan.
    pub class: ClassPlan,
    /// The title of the class as planned.
    pub title: String,
    /// The blankets, in the order asked for.
    pub blankets: Vec<BlanketId>,
    /// What is done otherwise, in order.
    pub changes: Vec<Change>,
    /// Lines of the class.
    pub lines: usize,
    /// Seconds that props and ways take beyond those of the class.
    pub added_s: u32,
    /// Seconds that the final rest is longer.
    pub rest_more_s: u32,
    /// Lines, by number, that are taught in less time for it.
    pub taken_from: Vec<usize>,
    /// The most that one person uses at once, of each prop.
    pub each: PropCounts,
    /// What could not be kept.
    pub losses: Vec<Loss>,
    /// The planning instance, for any other solver.
    pub instance: Instance,
}

/// Something that is done otherwise than planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Seconds from the start.
    pub start_s: u32,
    /// The line, by number; none for a way between two levels.
    pub line: Option<usize>,
    /// What is done: the shape’s name, or the way.
    pub name: String,
    /// How: "blanket under the knees", "30 seconds at most".
    pub how: Vec<String>,
    /// The name of the planned shape, where another takes its place.
    pub instead_of: Option<String>,
    /// The shape and side to draw.
    pub figure: Option<(PostureId, Side)>,
}

/// A stock that reaches for any number of people: how many come is not known.
const ENOUGH: u32 = 10_000;

/// Makes a version of a class.
///
/// # Errors
/// An [`InstanceError`] when the planner is given an instance that breaks its rules: a fault of ours.
pub fn vary(task: &Task<'_>, version: &Version<'_>) -> Result<Varied, InstanceError> {
    let library = task.library;
    let table = timetable::timetable(task.class, library, task.settings);
    let mut planned = clock::written_down(task.class, &table);
    for_everyone(&mut planned, version);
    let rest = table.final_rest(library);
    let rest_line = rest.map(|at| table.lines[table.passes[at].line].line.number);
    let mut losses = Vec::new();
    let mut taken = clock::Taken::default();
    let rest_more_s = match rest {
        Some(at) => {
            let rest_s = table.passes[at].seconds;
            version.rest_more().of(rest_s, table.planned_s) - rest_s
        }
        None if version.rest_more().is_nothing() => 0,
        None => {
            losses.push(Loss::NoRest);
            0
        }
    };
    if let (Some(rest), true) = (rest_line, rest_more_s > 0) {
        taken = clock::take(&mut planned, Some(rest), rest_more_s);
        clock::lengthen(&mut planned, rest, rest_more_s - taken.missing_s);
    }
    let roster = nobody();
    let stock = PropStock {
        counts: task.stock.counts.as_ref().map(|counts| {
            let there = counts.iter().filter(|(_, number)| **number > 0);
            there.map(|(prop, _)| (*prop, ENOUGH)).collect()
        }),
    };
    let one = Task {
        class: &planned,
        roster: &roster,
        stock: &stock,
        ..*task
    };
    let outcome = adapt::within(&one, Some(version), &mut |_| {})?;
    let found: &[Assignment] = outcome
        .adapted
        .students
        .first()
        .map_or(&[], |student| &student.assignments);
    let table = timetable::timetable(&planned, library, task.settings);
    let path = path::Path::new(task.class, &table, found, library, version);
    let pen::Penned {
        mut class,
        ways,
        added_s,
    } = pen::write(&planned, &path, rest_line);
    let more = clock::take(&mut class, rest_line, added_s);
    taken.lines.extend(more.lines);
    taken.missing_s += more.missing_s;
    class.title = titled(&task.class.title, version);
    let as_taught = Task {
        class: &class,
        ..one
    };
    let mut adapted = adapt::adapt(&as_taught, &mut |_| {})?.adapted;
    without_people(&mut adapted, task.stock);
    adapted.plan = outcome.adapted.plan;
    let new = timetable::timetable(&class, library, task.settings);
    remember_the_planned(&mut adapted.steps, &new, &table, library);
    let changes = path.changes(&new, &ways);
    losses.extend(losses::losses(task.class, &path, taken.missing_s));
    Ok(Varied {
        title: task.class.title.clone(),
        blankets: version.blankets.iter().map(|one| one.id.clone()).collect(),
        lines: table.lines.len(),
        added_s,
        rest_more_s,
        taken_from: taken.lines.into_iter().collect(),
        each: each(&adapted, &ways),
        adapted,
        class,
        changes,
        losses,
        instance: outcome.instance,
    })
}

/// The room of a version: one person who was asked and has nothing to tell.
fn nobody() -> Roster {
    let mut roster = Roster::unknown();
    for student in &mut roster.students {
        student.asked = Asked::Yes;
    }
    roster
}

/// "Tuesday Wind-Down with padded kneeling and without weight on bent wrists".
fn titled(title: &str, version: &Version<'_>) -> String {
    let words: Vec<&str> = version
        .blankets
        .iter()
        .map(|one| one.words.as_str())
        .collect();
    match words.split_last() {
        Some((last, [])) => format!("{title} {last}"),
        Some((last, first)) => format!("{title} {} and {last}", first.join(", ")),
        None => title.to_owned(),
    }
}

/// Pads every kneeling where the version does, and lets no line keep its shape against it.
fn for_everyone(class: &mut ClassPlan, version: &Version<'_>) {
    let items = class.sections.iter_mut().flat_map(|part| &mut part.items);
    for item in items {
        if let Item::Run(run) = item {
            clock::each_line(run, &mut |line| {
                line.padded |= version.is_padded();
                line.keep = false;
            });
        }
    }
}

/// Writes down what was planned at each step of a version, beside what the version teaches.
fn remember_the_planned(
    steps: &mut [Step],
    new: &Timetable<'_>,
    planned: &Timetable<'_>,
    library: &Library,
) {
    for (step, pass) in steps.iter_mut().zip(&new.passes) {
        let line = planned.lines.get(pass.line);
        let of_line = || planned.passes_of(pass.line);
        let same_turn = of_line().find(|(_, old)| old.turn == pass.turn);
        let Some((line, (_, old))) = line.zip(same_turn.or_else(|| of_line().next())) else {
            continue;
        };
        let posture = line.posture.cloned();
        step.taught = Shape {
            posture: posture.unwrap_or_else(|| crate::search::candidate::OWN_SHAPE.into()),
            name: path::planned_name(line.line, library),
            side: old.side,
        };
    }
}

/// Takes out whoever stood in for everybody. What is needed of a prop is then one person’s.
fn without_people(adapted: &mut Adapted, stock: &PropStock) {
    adapted.students.clear();
    adapted.set_out.clear();
    adapted.short.clear();
    for (prop, used) in &mut adapted.props {
        let of_step = |step: &Step| step.props.get(prop).copied().unwrap_or(0);
        used.needed = adapted.steps.iter().map(of_step).max().unwrap_or(0);
        let there = |counts: &PropCounts| counts.get(prop).copied().unwrap_or(0);
        used.stock = stock.counts.as_ref().map(there);
        used.handovers.clear();
    }
}

/// The most of each prop that one person uses at once, on the ways that the version takes too.
fn each(adapted: &Adapted, ways: &[path::Way<'_>]) -> PropCounts {
    let needed = |(prop, used): (&Prop, &PropUse)| (*prop, used.needed);
    let mut each: PropCounts = adapted.props.iter().map(needed).collect();
    for (&prop, &number) in ways.iter().flat_map(|way| &way.link.props) {
        let most = each.entry(prop).or_insert(0);
        *most = number.max(*most);
    }
    each
}
