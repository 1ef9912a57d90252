//! A home flow: a few things of somebody's own class, to do alone.
//!
//! Takes an adapted class and one of its people; gives the 3 to 6 things of their own thread that serve
//! their aims and the thread's purposes best in the minutes there are ([`choose`]). Invariants: nothing
//! that they did not do in class in just that shape; nothing under an open ask-first, no weight on head
//! or neck, balance only with a wall or a chair; both sides; a rest at the end. Of an unknown person
//! there is no flow, only what to ask.

pub mod choose;
mod held;
mod thread;
mod ways;

use jiff::civil::Date;
use serde::Serialize;

use crate::adapt::{Task, signs};
use crate::adapted::{Adapted, Caution, StudentPlan};
use crate::judge::facts::{self, Person};
use crate::library::posture::Posture;
use crate::library::{Library, posture::PostureBody};
use crate::roster::Student;
use crate::sheets::words::capital;
use crate::words::{PostureId, Prop, PropCounts, Side, StudentId, Way};
use choose::{Choice, Thing};

/// Weeks until the sheet is looked at again (`sheets.md` 2.6; a check within a week or two is common
/// practice, `trade/job.md` 6.1).
const REVIEW_WEEKS: i64 = 2;
/// A point of service to an aim of the person is worth so many to a purpose that their thread serves in
/// one line. Common practice, no source: what they came for comes first.
const AIM: u32 = 40;

/// A home flow, schema `kindfold/home/1`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Home {
    /// `kindfold/home/1`.
    pub schema: &'static str,
    /// Whose it is.
    pub student: String,
    /// The day it was made, ISO.
    pub made_on: String,
    /// The day to look at it again by, ISO.
    pub review_by: String,
    /// Minutes that it takes.
    pub minutes: u32,
    /// Days a week.
    pub days: u32,
    /// The one thing for a busy day: an `index` of the steps.
    pub busy_day_item: Option<usize>,
    /// What is needed, with what stands in for it.
    pub needs: Vec<Need>,
    /// A line to reach the teacher.
    pub contact: Option<String>,
    /// What to do, in order; nothing for an unknown person.
    pub steps: Vec<HomeStep>,
    /// What the cautions of the class say of this person.
    pub cautions: Vec<Caution>,
    /// When to stop and get help.
    pub warning_signs: Vec<String>,
    /// What has to be asked before there is a flow.
    pub ask: Vec<String>,
}

/// Something needed at home.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Need {
    /// The prop.
    pub prop: Prop,
    /// What stands in for it in a household.
    pub stand_in: Option<String>,
}

/// Something to do at home.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HomeStep {
    /// From 1.
    pub index: usize,
    /// The shape.
    pub posture: PostureId,
    /// Its name.
    pub name: String,
    /// Which sides: both, one alone, or none.
    pub side: Sides,
    /// The side to begin with.
    pub first_side: Side,
    /// How long on a side, in seconds.
    pub hold_s: u32,
    /// The same in breaths.
    pub breaths: f64,
    /// How often: more than once for a movement, a breath each time.
    pub repeats: u32,
    /// What is needed.
    pub props: PropCounts,
    /// One action each.
    pub how: Vec<String>,
    /// A kinder shape.
    pub easier: Option<Easier>,
}

/// Which sides a step is done on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sides {
    /// First one, then the other.
    Each,
    /// The left alone; the other side has a step of its own.
    Left,
    /// The right alone; the other side has a step of its own.
    Right,
    /// The same on both sides.
    None,
}

/// A kinder shape than a step's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Easier {
    /// Its id.
    pub posture: PostureId,
    /// How it is said as a choice.
    pub name: String,
}

/// Why there can be no flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFlow {
    /// Their thread has nothing to rest in.
    NoRest,
    /// They rest on the floor in class, and no way up from there is theirs alone.
    NoWayUp,
    /// So many minutes are the least in which three things and a rest fit.
    TooShort(u32),
    /// Fewer than three things of their thread may be done alone.
    TooLittle,
    /// They watch a recording: who they are is not known.
    Recording,
}

/// The longest time that is tried when a given one is too short, in minutes.
const LONGEST_MIN: u32 = 60;

/// Makes the home flow of a person.
///
/// # Errors
/// [`NoFlow`] when nothing keeps the conditions.
pub fn home(
    task: &Task<'_>,
    adapted: &Adapted,
    id: &StudentId,
    minutes: u32,
    days: u32,
) -> Result<Home, NoFlow> {
    let library = task.library;
    let student = adapted.students.iter().find(|student| student.id == *id);
    let told = task.roster.student(id);
    let Some((student, told)) = student.zip(told) else {
        return Err(NoFlow::TooLittle);
    };
    if student.place == "recording" {
        return Err(NoFlow::Recording);
    }
    let person = facts::person(told, library, task.settings, task.date);
    let mut home = frame(task, adapted, student, minutes, days);
    home.review_by = review(task, told, &person).to_string();
    let withheld = told.under_18 && !told.guardian;
    if person.unknown || person.rest_only || withheld {
        home.ask = questions(adapted, student);
        return Ok(home);
    }
    let served = thread::purposes(student, library);
    let timetable = task.timetable();
    let lines = timetable.lines.iter().map(|timed| timed.line);
    let breaths = lines.map(|line| (line.number, line.breath_s)).collect();
    let found = thread::things(library, &breaths, (adapted, student), &person, &served);
    let worth = thread::worth(&served, &told.aims, AIM);
    let things: Vec<Thing> = found.iter().map(|one| one.thing.clone()).collect();
    let (chosen, taken_s) = best(&things, &worth, minutes).map_err(|why| match why {
        NoFlow::NoRest if found.iter().any(|one| one.stays_down) => NoFlow::NoWayUp,
        why => why,
    })?;
    for one in chosen.iter().map(|&place| &found[place]) {
        let left_s = (minutes * 60).saturating_sub(taken_s);
        let rest_s = one.thing.rest.then_some(left_s);
        home.steps.extend(one.steps(rest_s, &person, library));
    }
    for (place, step) in home.steps.iter_mut().enumerate() {
        step.index = place + 1;
    }
    home.busy_day_item = busy(&things, &chosen, &worth);
    home.needs = needs(&home.steps, library);
    Ok(home)
}

/// Everything but the steps.
fn frame(
    task: &Task<'_>,
    adapted: &Adapted,
    student: &StudentPlan,
    minutes: u32,
    days: u32,
) -> Home {
    let made: Date = task.date;
    let theirs = |caution: &&Caution| caution.student.as_ref() == Some(&student.id);
    Home {
        schema: "kindfold/home/1",
        student: student.name.clone(),
        made_on: made.to_string(),
        review_by: String::new(),
        minutes,
        days,
        busy_day_item: None,
        needs: Vec::new(),
        contact: task.settings.contact.clone(),
        steps: Vec::new(),
        cautions: adapted.cautions.iter().filter(theirs).cloned().collect(),
        warning_signs: signs::warning_signs(student, task.library),
        ask: Vec::new(),
    }
}

/// The day to look at the sheet again by: in two weeks, and before a rule begins that would keep away
/// something of it.
fn review(task: &Task<'_>, told: &Student, now: &Person<'_>) -> Date {
    let stricter = |later: &Person<'_>| {
        later.rules.iter().any(|rule| {
            !now.rules.iter().any(|known| {
                known.rule == rule.rule
                    && known.sides == rule.sides
                    && known.verdict >= rule.verdict
            })
        })
    };
    let mut last = task.date;
    for _ in 0..REVIEW_WEEKS * 7 {
        let next = last.saturating_add(jiff::Span::new().days(1));
        if stricter(&facts::person(told, task.library, task.settings, next)) {
            break;
        }
        last = next;
    }
    last
}

/// What the plan asks about a person, in full sentences.
fn questions(adapted: &Adapted, student: &StudentPlan) -> Vec<String> {
    let asked = adapted.ask.iter();
    let asked = asked.filter(|ask| ask.student == student.id);
    let mut asked: Vec<String> = asked.map(|ask| ask.text.clone()).collect();
    for question in &student.ask_first {
        if !asked.contains(question) {
            asked.push(question.clone());
        }
    }
    asked
}

/// The things to do, by place, and the seconds that all but the rest at the end take.
fn best(things: &[Thing], worth: &[u32], minutes: u32) -> Result<(Vec<usize>, u32), NoFlow> {
    if !things.iter().any(|thing| thing.rest) {
        return Err(NoFlow::NoRest);
    }
    let within = |minutes: u32| {
        let choice = Choice {
            things,
            worth,
            seconds: minutes * 60,
            rest_s: thread::least_rest_s(minutes),
        };
        let chosen = choice.best()?;
        let (_, seconds) = choice.value(&chosen)?;
        Some((chosen, seconds - choice.rest_s))
    };
    within(minutes).ok_or_else(|| {
        let longer = (minutes + 1..=LONGEST_MIN).find(|&minutes| within(minutes).is_some());
        longer.map_or(NoFlow::TooLittle, NoFlow::TooShort)
    })
}

/// The index of the step that begins the thing worth most alone, the rest aside.
fn busy(things: &[Thing], chosen: &[usize], worth: &[u32]) -> Option<usize> {
    let mut index = 1;
    let mut best: Option<(i64, usize)> = None;
    for &place in chosen {
        let thing = &things[place];
        let value = thing.worth_alone(worth);
        if !thing.rest && best.is_none_or(|(most, _)| value > most) {
            best = Some((value, index));
        }
        index += thing.steps;
    }
    best.map(|(_, index)| index)
}

/// What the steps need, each once, with what stands in for it.
fn needs(steps: &[HomeStep], library: &Library) -> Vec<Need> {
    let swaps = library.blankets.iter().find(|one| !one.swap.is_empty());
    let mut props: Vec<Prop> = steps
        .iter()
        .flat_map(|step| step.props.keys().copied())
        .collect();
    let on_the_floor = |step: &HomeStep| {
        let posture = library.postures.get(&step.posture);
        posture.is_some_and(|posture| posture.level.is_floor())
    };
    if steps.iter().any(on_the_floor) {
        props.push(Prop::Mat);
    }
    props.sort_unstable();
    props.dedup();
    let stand_in = |prop: &Prop| swaps.and_then(|blanket| blanket.swap.get(prop)).cloned();
    props
        .into_iter()
        .map(|prop| Need {
            prop,
            stand_in: stand_in(&prop),
        })
        .collect()
}

/// A kinder shape that the person may take alone with what is there, the nearest gentler one first.
fn easier(
    posture: &Posture,
    side: Side,
    (hold_s, props): (u32, &PropCounts),
    person: &Person<'_>,
    library: &Library,
) -> Option<Easier> {
    let mut ways: Vec<_> = library
        .alternatives
        .get(&posture.id)?
        .iter()
        .filter(|edge| edge.way != Way::Stronger)
        .collect();
    ways.sort_by_key(|edge| (edge.way != Way::Gentler, edge.cost, edge.to.clone()));
    ways.into_iter().find_map(|edge| {
        let other = library.postures.get(&edge.to)?;
        let turned = if edge.swaps_side {
            side.mirrored()
        } else {
            side
        };
        let side = if other.is_sided() { turned } else { Side::None };
        let same_place = other.level == posture.level;
        let kinder = !library.less_of(edge).is_empty() || edge.way == Way::Gentler;
        let had = |prop: &Prop| *prop == Prop::Mat || props.contains_key(prop);
        let fits = other.props.keys().all(had)
            && thread::is_for_home(other, &other.props)
            && held::allowed_s(person, (other, side), hold_s, false).is_some();
        let says = !other.choice.is_empty() && !other.choice.to_lowercase().starts_with("the same");
        (same_place && kinder && fits && says).then(|| Easier {
            posture: other.id.clone(),
            name: other.choice.clone(),
        })
    })
}

/// How an action begins.
const VERBS: [&str; 48] = [
    "bend",
    "breathe",
    "bring",
    "come",
    "cross",
    "draw",
    "drop",
    "fold",
    "hinge",
    "hold",
    "hug",
    "keep",
    "kneel",
    "lay",
    "lean",
    "lengthen",
    "let",
    "lie",
    "lift",
    "look",
    "lower",
    "open",
    "place",
    "point",
    "press",
    "push",
    "put",
    "raise",
    "reach",
    "rest",
    "roll",
    "rock",
    "set",
    "shift",
    "sit",
    "slide",
    "soften",
    "stand",
    "stay",
    "step",
    "straighten",
    "stretch",
    "sweep",
    "take",
    "tip",
    "tuck",
    "turn",
    "walk",
];

/// One action a line: the cue is cut where the next action begins, and nowhere else, so that a list
/// stays a list.
fn actions(cue: &str) -> Vec<String> {
    let mut actions: Vec<String> = Vec::new();
    let parts = cue.trim_end_matches('.').split_inclusive([',', ';']);
    for part in parts {
        let words = part.trim().trim_end_matches([',', ';']);
        let words = words
            .strip_prefix("then ")
            .or(words.strip_prefix("and "))
            .unwrap_or(words);
        let verb = words.split_whitespace().next().unwrap_or_default();
        let begins = VERBS.contains(&verb.to_lowercase().as_str());
        match actions.last_mut() {
            Some(last) if !begins => {
                *last = format!("{last}, {}", part.trim().trim_end_matches([',', ';']))
            }
            _ => actions.push(capital(words)),
        }
    }
    for action in &mut actions {
        action.push('.');
    }
    actions
}

/// Whether a shape is a movement between two ends.
fn moves(posture: &Posture) -> bool {
    matches!(posture.body, PostureBody::Ends(_))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("Feet flat and near, press down and lift the hips.", &["Feet flat and near.", "Press down and lift the hips."])]
    #[case("Sit tall, eyes soft.", &["Sit tall, eyes soft."])]
    #[case("Lie on your front; lift chest, arms and legs together.", &["Lie on your front.", "Lift chest, arms and legs together."])]
    #[case("Lie down, then let go of the breath.", &["Lie down.", "Let go of the breath."])]
    fn one_action_a_line(#[case] cue: &str, #[case] lines: &[&str]) {
        assert_eq!(actions(cue), lines);
    }
}
