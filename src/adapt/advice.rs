//! Advice on the plan: what would make the class easier to teach. Never a bar.

use std::collections::{BTreeMap, BTreeSet};

use super::Scene;
use super::stretches::{house, of_words, stretches};
use super::trips::{as_taught, descents, grouped};
use super::what_if::{solved, strays};
use crate::adapted::{Adapted, Advice, AdviceKind, StudentPlan};
use crate::group::plan::{Path, Plan};
use crate::sheets::words::{counted, listed, lower, minutes, plural, prop_words};
use crate::words::StudentId;

/// The final rest that a plan keeps: the larger of 5 minutes and a tenth of the class; 3 minutes in
/// classes of up to 30 (job.md 1.5, our choice after V 91).
pub(super) fn least_rest_s(slot_s: u32) -> u32 {
    if slot_s <= 30 * 60 {
        180
    } else {
        (slot_s / 10).max(300)
    }
}

/// A line is short up to this: what it gives up is little (scenarios, section 5, line 1).
const BRIEF_S: u32 = 60;

/// Each change that is tried for advice may take one of so many parts of the search's limit: about a second.
/// What is not proved by then is not said.
const TRIES: u32 = 10;

/// Several: one in so many of the room, and two at least.
const LEAST_SHARE: usize = 5;

/// Nearly all steps: so many in so many. Our choice, no source.
const NEARLY_ALL: (usize, usize) = (3, 4);

impl Scene<'_> {
    /// All advice, in the order of the contract's kinds.
    pub(super) fn advice(&self, adapted: &Adapted) -> Vec<Advice> {
        let mut advice = Vec::new();
        advice.extend(self.replace(adapted));
        advice.extend(self.replace_short(adapted));
        advice.extend(self.trips());
        advice.extend(self.few_trips(adapted));
        advice.extend(self.long_bouts(adapted));
        advice.extend(self.over_time(adapted));
        advice.extend(self.handing_out(adapted));
        advice.extend(self.short_rest());
        advice.extend(adapted.short.iter().map(|short| Advice {
            kind: AdviceKind::PropShort,
            text: format!(
                "{} wanted for everyone, {} there. Instead: {}.",
                counted(short.needed, short.prop),
                short.stock,
                short.stand_in
            ),
            steps: vec![short.step],
            students: 0,
        }));
        advice.extend(self.in_waves(adapted));
        advice.extend(self.one_more(adapted));
        advice.extend(self.much_to_say(adapted));
        advice.extend(self.wrong_class(adapted));
        advice
    }

    /// A line that more than half of the room leaves.
    fn replace(&self, adapted: &Adapted) -> Vec<Advice> {
        let in_room = adapted.students.len();
        let mut found = Vec::new();
        for line in 0..self.table.lines.len() {
            let Some((at, _)) = self.table.passes_of(line).next() else {
                continue;
            };
            let step = &adapted.steps[at];
            let away = adapted
                .students
                .iter()
                .filter(|student| student.assignments[at].posture != step.taught.posture)
                .count();
            if in_room > 1 && away * 2 > in_room && step.lead.posture == step.taught.posture {
                let kinder = step
                    .options
                    .iter()
                    .max_by_key(|option| option.students.len());
                let then = kinder.and_then(|kinder| {
                    Some((kinder, self.if_taught(line, kinder.posture.as_str())?.1))
                });
                // Worth a word where most would do what is shown.
                if let Some((kinder, then)) = then.filter(|(_, then)| *then * 2 <= in_room) {
                    found.push(Advice {
                        kind: AdviceKind::ReplacePosture,
                        text: format!(
                            "Step {}: {away} of {in_room} do something other than {}. With {} for \
                             all, {then} would (planned again).",
                            step.line,
                            lower(&step.taught.name),
                            lower(&kinder.name)
                        ),
                        steps: vec![step.index],
                        students: away,
                    });
                }
            }
        }
        found
    }

    /// A short line that several leave or take with care, where another shape brings the room no further
    /// from the class.
    fn replace_short(&self, adapted: &Adapted) -> Vec<Advice> {
        let in_room = adapted.students.len();
        let mut found = Vec::new();
        for line in 0..self.table.lines.len() {
            let lasts = self.table.takes_s(line);
            let brief = self
                .table
                .passes_of(line)
                .next()
                .filter(|_| lasts <= BRIEF_S);
            let Some((at, _)) = brief else {
                continue;
            };
            let step = &adapted.steps[at];
            let students = adapted.students.iter();
            let minds =
                |student: &&StudentPlan| student.assignments[at].findings().next().is_some();
            let minded = students.filter(minds).count();
            let several = minded >= 2 && minded * LEAST_SHARE >= in_room;
            if !several || step.lead.posture != step.taught.posture {
                continue;
            }
            let options = step.options.iter();
            let kinder = options.max_by_key(|option| option.students.len());
            let planned = kinder.and_then(|kinder| {
                let (plan, away) = self.if_taught(line, kinder.posture.as_str())?;
                let kinder_for_all = away < minded && plan.objective <= self.plan.objective;
                kinder_for_all.then_some((kinder, away))
            });
            found.extend(planned.map(|(kinder, away)| Advice {
                kind: AdviceKind::ReplacePosture,
                text: format!(
                    "Step {} takes {}; {minded} of {in_room} leave {} or take care in it. Consider {} for all: \
                     {away} would do something else (planned again).",
                    step.line,
                    minutes(lasts),
                    lower(&step.taught.name),
                    lower(&kinder.name)
                ),
                steps: vec![step.index],
                students: minded,
            }));
        }
        found
    }

    /// The room's plan when a shape is taught at a line, and how many do something else there then.
    fn if_taught(&self, line: usize, shape: &str) -> Option<(Plan, usize)> {
        let changed = self.instance.with_taught(line, shape)?;
        let plan = solved(
            &changed,
            (self.plan, self.memory),
            self.task.limit.part(TRIES),
        )?;
        let candidates = &changed.lines[line].candidates;
        let away = |path: &&Path| {
            path.iter()
                .any(|&(at, number)| at == line && candidates[number].shape != shape)
        };
        let away = plan.assignments.values().filter(away).count();
        Some((plan, away))
    }

    /// Props of which one more would bring somebody nearer to the class, planned again.
    fn one_more(&self, adapted: &Adapted) -> Vec<Advice> {
        let mut found = Vec::new();
        let before = strays(self.instance, self.plan);
        for (&prop, used) in &adapted.props {
            let name = prop.to_string();
            let short = used.stock.is_some_and(|stock| used.needed >= stock);
            if !short || !self.instance.stock.contains_key(&name) {
                continue;
            }
            let richer = self.instance.with_one_more(&name);
            let planned = (self.plan, self.memory);
            let Some(plan) = solved(&richer, planned, self.task.limit.part(TRIES)) else {
                continue;
            };
            if plan.objective >= self.plan.objective {
                continue;
            }
            let after = strays(self.instance, &plan);
            let served: Vec<&StudentId> = before
                .iter()
                .filter(|(id, stray)| after.get(*id).is_some_and(|now| now < *stray))
                .map(|(id, _)| id)
                .collect();
            let names: Vec<&str> = adapted
                .students
                .iter()
                .filter(|student| served.contains(&&student.id) && !student.confidential)
                .map(|student| student.name.as_str())
                .collect();
            if names.is_empty() {
                continue;
            }
            found.push(Advice {
                kind: AdviceKind::PropShort,
                text: format!(
                    "One more {} would let {} stay nearer to the class (planned again).",
                    prop_words(prop).0,
                    names.join(", ")
                ),
                steps: Vec::new(),
                students: served.len(),
            });
        }
        found
    }

    /// Trips to the floor beyond those of the house, and what grouping the lines of each part would save.
    fn trips(&self) -> Option<Advice> {
        let (table, library) = (self.table, self.task.library);
        let most = usize::try_from(library.budgets.house_trips).unwrap_or(usize::MAX);
        let down = descents(table);
        if down.len() <= most {
            return None;
        }
        let (taught, grouped) = (as_taught(table, library), grouped(table, library));
        let saved = if grouped.down < taught.down {
            format!(
                "With the shapes of each part grouped by level: {} down, {} up.",
                grouped.down, grouped.up
            )
        } else {
            "No other order within its parts needs fewer.".to_owned()
        };
        Some(Advice {
            kind: AdviceKind::GroupLevels,
            text: format!(
                "The class goes down to the floor {} times and up {}; {most} down is the usual most. {saved}",
                taught.down, taught.up
            ),
            students: 0,
            steps: down.iter().map(|at| at + 1).collect(),
        })
    }

    /// People who go down to the floor more often than is usual for them.
    fn few_trips(&self, adapted: &Adapted) -> Option<Advice> {
        let library = self.task.library;
        let most = usize::try_from(library.budgets.personal_trips).unwrap_or(usize::MAX);
        let mut steps = Vec::new();
        let mut names = Vec::new();
        for student in adapted.students.iter().filter(|one| !one.confidential) {
            let mut people = self.people.iter();
            let person = people.find(|person| person.student.id == student.id);
            if person.is_none_or(|person| !person.few_trips) {
                continue;
            }
            let mut on_floor = false;
            let mut down = Vec::new();
            for given in &student.assignments {
                let posture = library.postures.get(&given.posture);
                let floor = posture.map_or(on_floor, |posture| posture.level.is_floor());
                if floor && !on_floor {
                    down.push(given.step);
                }
                on_floor = floor;
            }
            if down.len() > most {
                names.push(format!("{} {} times", student.name, down.len()));
                steps.extend(down);
            }
        }
        steps.sort_unstable();
        steps.dedup();
        (!names.is_empty()).then(|| Advice {
            kind: AdviceKind::GroupLevels,
            text: format!(
                "Down to the floor: {}. Once down and once up is the usual most for them; the chair or the wall \
                 between would do.",
                names.join(", ")
            ),
            students: names.len(),
            steps,
        })
    }

    /// Runs of something that pass the house budget, in the shapes that are shown.
    fn long_bouts(&self, adapted: &Adapted) -> Vec<Advice> {
        let library = self.task.library;
        let steps = adapted.steps.iter();
        let shown: Vec<_> = steps
            .map(|step| library.postures.get(&step.lead.posture))
            .collect();
        let mut found = Vec::new();
        for &of in library.budgets.house.keys() {
            let Some(most) = house(self.table, &shown, library, of).bout_s else {
                continue;
            };
            let stretches = stretches(self.table, &shown, of);
            // The first of the longest.
            let Some(longest) = stretches.iter().rev().max_by_key(|stretch| stretch.held_s) else {
                continue;
            };
            if longest.held_s > most {
                let line = self.table.lines[self.table.passes[longest.first].line]
                    .line
                    .number;
                found.push(Advice {
                    kind: AdviceKind::LongBout,
                    text: format!(
                        "From step {line}: {} lasts {} without a break; {} is the usual most. Offer a \
                         change half way.",
                        of_words(of),
                        minutes(longest.held_s),
                        minutes(most)
                    ),
                    steps: vec![longest.first + 1],
                    students: 0,
                });
            }
        }
        found
    }

    fn over_time(&self, adapted: &Adapted) -> Option<Advice> {
        let over = adapted
            .class
            .adapted_s
            .saturating_sub(self.task.class.slot_s);
        (over > 0).then(|| Advice {
            kind: AdviceKind::OverTime,
            text: format!("Runs {} over. {}", minutes(over), self.trim(over)),
            steps: Vec::new(),
            students: 0,
        })
    }

    fn short_rest(&self) -> Option<Advice> {
        let least = least_rest_s(self.task.class.slot_s);
        let rest = self.table.final_rest(self.task.library);
        let seconds = rest.map_or(0, |at| self.table.passes[at].seconds);
        (seconds < least).then(|| Advice {
            kind: AdviceKind::RestShort,
            text: match rest {
                Some(_) => format!(
                    "The rest at the end is {}; {} would be usual for this length.",
                    minutes(seconds),
                    minutes(least)
                ),
                None => "The class ends without a rest.".to_owned(),
            },
            steps: rest.map(|at| at + 1).into_iter().collect(),
            students: 0,
        })
    }

    fn much_to_say(&self, adapted: &Adapted) -> Option<Advice> {
        let spoken = usize::try_from(self.task.settings.spoken).unwrap_or(usize::MAX);
        let mut lines: Vec<(usize, usize)> = Vec::new();
        for step in &adapted.steps {
            if step.options.len() > spoken && !lines.iter().any(|(line, _)| *line == step.line) {
                lines.push((step.line, step.index));
            }
        }
        (lines.len() > 2).then(|| Advice {
            kind: AdviceKind::MuchToSay,
            text: format!(
                "{} steps have more than {spoken} choices beside the shape shown; the rest of them \
                 are for a quiet word.",
                lines.len()
            ),
            steps: lines.into_iter().map(|(_, index)| index).collect(),
            students: 0,
        })
    }

    fn wrong_class(&self, adapted: &Adapted) -> Option<Advice> {
        let students = adapted.students.iter();
        let names: Vec<String> = students
            .filter(|student| student.stray_share > 0.5 && !student.confidential)
            .map(|student| student.name.clone())
            .collect();
        let does = if names.len() == 1 { "does" } else { "do" };
        let room = room_leaves(adapted);
        let theirs = (!names.is_empty()).then(|| {
            format!(
                "{} {does} something other than the class for most of it.",
                listed(&names)
            )
        });
        // Where the room as a whole leaves it, that says so already.
        let end =
            (room.is_none() && theirs.is_some()).then(|| "Another class may be kinder.".to_owned());
        let said: Vec<String> = [room, theirs, end].into_iter().flatten().collect();
        (!said.is_empty()).then(|| Advice {
            kind: AdviceKind::WrongClass,
            text: said.join(" "),
            steps: Vec::new(),
            students: names.len(),
        })
    }
}

/// That nearly every step is left by several of those present, where it is so; whoever keeps it private is not
/// counted.
fn room_leaves(adapted: &Adapted) -> Option<String> {
    let students = adapted.students.iter();
    let open: Vec<&StudentPlan> = students.filter(|one| !one.confidential).collect();
    let several = open.len().div_ceil(LEAST_SHARE).max(2);
    let mut away: BTreeMap<usize, BTreeSet<&StudentId>> = BTreeMap::new();
    for (at, step) in adapted.steps.iter().enumerate() {
        let others = away.entry(step.line).or_default();
        let leaves = |one: &&&StudentPlan| {
            let given = one.assignments.get(at);
            given.is_some_and(|given| given.posture != step.taught.posture)
        };
        others.extend(open.iter().filter(leaves).map(|one| &one.id));
    }
    let left = away
        .values()
        .filter(|others| others.len() >= several)
        .count();
    let (part, of) = NEARLY_ALL;
    (left * of >= away.len() * part && left > 0).then(|| {
        format!(
            "At {left} of {} several people do something else: another class would suit this room better.",
            plural(away.len(), "step", "steps")
        )
    })
}
