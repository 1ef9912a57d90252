//! The main job: a class, a room and a cupboard become the adapted class.
//!
//! Takes checked values and gives [`Adapted`]; reads no file and knows no clock. Invariant: what
//! stands in the result was decided by the judge and the plan; here it is only put together.

mod advice;
mod around;
mod cautions;
mod fixed;
mod foot_steps;
mod handing;
mod laid;
mod menu;
mod met;
mod offered;
pub mod overruns;
mod paths;
mod props;
mod short_names;
pub mod signs;
mod stances;
pub mod stretches;
mod trim;
pub mod trips;
mod unsettled;
mod waves;
mod ways;
mod what_if;
mod why;

pub(crate) use met::told_as;
pub use ways::WAY;
pub use what_if::{Change, Move};
pub use why::{Looked, Question};

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::adapted::{self, Adapted, PlanFacts, Terms};
use crate::class::ClassPlan;
use crate::group::check::InstanceError;
use crate::group::plan::Plan;
use crate::group::problem::Instance;
use crate::group::solve::{Limit, Memory, Progress, solve_and_keep};
use crate::judge;
use crate::judge::facts::{self, Person};
use crate::judge::place::keep_at_the_wall;
use crate::library::Library;
use crate::library::blanket::Version;
use crate::library::rule::Timing;
use crate::roster::Roster;
use crate::search::candidates::{LineCandidates, Room};
use crate::search::instance::{self, Choices};
use crate::search::stray::Alternatives;
use crate::settings::{PropStock, Settings};
use crate::timetable::{self, Timetable};
use crate::words::{Prop, PropCounts};

/// Everything that a plan is made from.
#[derive(Clone, Copy, Debug)]
pub struct Task<'a> {
    /// The library.
    pub library: &'a Library,
    /// The class as planned.
    pub class: &'a ClassPlan,
    /// Who is coming.
    pub roster: &'a Roster,
    /// The cupboard.
    pub stock: &'a PropStock,
    /// What the teacher set.
    pub settings: &'a Settings,
    /// The class's date.
    pub date: Date,
    /// The most shapes on a menu, the lead included.
    pub max_options: u32,
    /// How long the search may take.
    pub limit: Limit,
}

impl<'a> Task<'a> {
    /// The class on the clock.
    pub(crate) fn timetable(&self) -> Timetable<'a> {
        timetable::timetable(self.class, self.library, self.settings)
    }

    /// Seconds that things take, the teacher's own first.
    pub(crate) fn timing(&self) -> Timing {
        self.library.timing.with(&self.settings.timing)
    }

    /// Everybody as the rules know them on the day, in the order of the roster.
    fn people(&self) -> Vec<Person<'a>> {
        let known = |student| facts::person(student, self.library, self.settings, self.date);
        self.roster.students.iter().map(known).collect()
    }
}

/// The result, with what it came from for those who ask why.
#[derive(Debug)]
pub struct Outcome {
    /// The adapted class.
    pub adapted: Adapted,
    /// The planning instance, for any other solver.
    pub instance: Instance,
    /// The plan as solved.
    pub plan: Plan,
    /// What the search left behind, for questions about other plans.
    memory: Memory,
}

/// Everything known when the sheets' content is put together.
struct Scene<'a> {
    task: &'a Task<'a>,
    table: &'a Timetable<'a>,
    people: &'a [Person<'a>],
    room: &'a Room<'a>,
    lines: &'a [LineCandidates],
    choices: &'a [Choices],
    instance: &'a Instance,
    plan: &'a Plan,
    memory: &'a Memory,
}

/// Adapts a class.
///
/// # Errors
/// An [`InstanceError`] when the planner is given an instance that breaks its rules: a fault of ours, never
/// of what somebody wrote.
pub fn adapt(
    task: &Task<'_>,
    progress: &mut dyn FnMut(Progress),
) -> Result<Outcome, InstanceError> {
    within(task, None, progress)
}

/// Adapts a class within a version of it that holds for everybody.
///
/// # Errors
/// As [`adapt`].
pub(crate) fn within(
    task: &Task<'_>,
    version: Option<&Version<'_>>,
    progress: &mut dyn FnMut(Progress),
) -> Result<Outcome, InstanceError> {
    let table = task.timetable();
    let people = task.people();
    let graph = Alternatives::new(task.library);
    let mut stock = task
        .stock
        .counts
        .as_ref()
        .map(|counts| left_for_students(counts, &table, task));
    let wall_kept = stock
        .as_mut()
        .is_some_and(|left| keep_at_the_wall(left, &people));
    let room = Room {
        library: task.library,
        table: &table,
        people: &people,
        stock,
        wall_kept,
        graph: &graph,
        version,
    };
    let lines = room.candidates();
    let most = task.max_options;
    let mut bare_hands = BTreeSet::new();
    let mut instance = instance::instance(&room, &lines, most, &bare_hands);
    let (plan, memory) = loop {
        let (plan, memory) = solve_and_keep(&instance, task.limit, progress)?;
        bare_hands.extend(instance::stranded(&room, &lines, &plan));
        let other = instance::instance(&room, &lines, most, &bare_hands);
        if other == instance {
            break (plan, memory);
        }
        instance = other;
    };
    let choices = instance::choices(&room, &instance, &plan);
    let scene = Scene {
        task,
        table: &table,
        people: &people,
        room: &room,
        lines: &lines,
        choices: &choices,
        instance: &instance,
        plan: &plan,
        memory: &memory,
    };
    let adapted = scene.put_together();
    Ok(Outcome {
        adapted,
        instance,
        plan,
        memory,
    })
}

/// What the teacher uses for the taught shape of a line.
fn teachers_props(table: &Timetable<'_>, line: usize, library: &Library) -> PropCounts {
    let timed = &table.lines[line];
    let mut used = timed.line.props.clone();
    if let Some(posture) = timed.posture.and_then(|id| library.postures.get(id)) {
        for (&prop, &number) in &posture.props {
            let used = used.entry(prop).or_insert(0);
            *used = number.max(*used);
        }
    }
    used.remove(&Prop::Mat);
    used
}

/// The cupboard without the most that the teacher uses at any line. A chair with arms serves
/// wherever a chair does.
fn left_for_students(stock: &PropCounts, table: &Timetable<'_>, task: &Task<'_>) -> PropCounts {
    let mut left = with_arms_counted(stock);
    for (&prop, there) in &mut left {
        let most = (0..table.lines.len())
            .filter_map(|line| {
                teachers_props(table, line, task.library)
                    .get(&prop)
                    .copied()
            })
            .max();
        *there = there.saturating_sub(most.unwrap_or(0));
    }
    left
}

/// The cupboard with its chairs with arms counted among the chairs.
fn with_arms_counted(stock: &PropCounts) -> PropCounts {
    let mut counted = stock.clone();
    if let Some(&with_arms) = stock.get(&Prop::ChairWithArms) {
        *counted.entry(Prop::Chair).or_insert(0) += with_arms;
    }
    counted
}

impl Scene<'_> {
    fn put_together(&self) -> Adapted {
        let menus = self.menus();
        let steps = self.steps(&menus);
        let students = self.students(&menus);
        let (props, fetch, short) = self.props(&steps, &students);
        let adapted_s = self.adapted_s(&students);
        let mut adapted = Adapted {
            schema: adapted::SCHEMA.to_owned(),
            made_with: self.made_with(),
            class: adapted::ClassFacts {
                title: self.task.class.title.clone(),
                date: self.task.date.to_string(),
                start: self
                    .task
                    .class
                    .start
                    .map(|time| time.strftime("%H:%M").to_string()),
                slot_s: self.task.class.slot_s,
                planned_s: self.table.planned_s,
                adapted_s,
            },
            events: self.table.events.clone(),
            steps,
            students,
            cautions: Vec::new(),
            advice: Vec::new(),
            props,
            plan: self.plan_facts(),
            ask: Vec::new(),
            set_out: Vec::new(),
            foot_steps: None,
            fetch,
            short,
            waves: None,
            notices: Vec::new(),
        };
        adapted.foot_steps = self.foot_steps(&adapted);
        adapted.set_out = self.set_out(&adapted);
        for plan in &mut adapted.students {
            let mut people = self.people.iter();
            if let Some(person) = people.find(|person| person.student.id == plan.id) {
                plan.told = self.told_beside(person, plan);
            }
        }
        (adapted.cautions, adapted.ask) = self.cautions(&adapted);
        adapted.waves = self.waves(&adapted);
        adapted.advice = self.advice(&adapted);
        adapted.notices = self.notices(&menus);
        adapted
    }

    fn made_with(&self) -> adapted::MadeWith {
        let library = self.task.library;
        let weights = &library.weights;
        let stances = library.stances.values().map(|stance| {
            let option = judge::stance_option(&stance.id, library, self.task.settings);
            (
                stance.id.to_string(),
                option.unwrap_or(&stance.default).to_owned(),
            )
        });
        let weights = [
            ("option", weights.option),
            ("excess", weights.excess),
            ("lead", weights.lead),
            ("rest", weights.rest),
            ("need", weights.need),
            ("trip", weights.trip),
            ("prop_change", weights.prop_change),
            ("easing", weights.easing),
            ("purpose", weights.purpose),
            ("reach", weights.reach),
        ];
        adapted::MadeWith {
            date: self.task.date.to_string(),
            max_options: self.task.max_options,
            stances: stances.collect(),
            weights: weights
                .map(|(name, weight)| (name.to_owned(), weight))
                .into(),
            library: library.hash.clone(),
        }
    }

    fn plan_facts(&self) -> PlanFacts {
        let terms = &self.plan.terms;
        let over = |line: &usize| self.table.passes_of(*line).map(|(at, _)| at + 1);
        PlanFacts {
            objective: self.plan.objective,
            lower_bound: self.plan.lower_bound,
            proved_optimal: self.plan.proved,
            sit_outs: self.plan.sit_outs.len(),
            over_limit_steps: self.plan.over_limit.iter().flat_map(over).collect(),
            terms: Terms {
                stray: terms.stray,
                options: terms.options,
                excess: terms.excess,
                lead: terms.lead,
                change: terms.change,
                rest: terms.rest,
            },
        }
    }

    /// The class with the longest of everybody's ways between levels.
    fn adapted_s(&self, students: &[adapted::StudentPlan]) -> u32 {
        let mut longer = 0;
        for (at, pass) in self.table.passes.iter().enumerate() {
            let line = &self.table.lines[pass.line];
            let Some(link) = line.link.filter(|_| pass.round == 1 && pass.turn == 0) else {
                continue;
            };
            let taken = students.iter().filter_map(|student| {
                student
                    .assignments
                    .get(at)?
                    .link
                    .as_ref()
                    .map(|link| link.seconds)
            });
            longer += taken.max().unwrap_or(0).saturating_sub(link.seconds);
        }
        self.table.planned_s + longer
    }
}
