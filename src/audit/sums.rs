//! Menus and the objective, added up again from what stands in the result.

use std::collections::{BTreeMap, BTreeSet};

use super::people::OWN_SHAPE;
use super::told::{Holds, holds};
use super::{Kind, Reading};
use crate::adapted::{Assignment, StudentPlan};
use crate::class::Choice;
use crate::library::condition::Fact;
use crate::library::posture::Posture;
use crate::roster::{Preference, Student};
use crate::words::{Level, PostureId, Prop, PropCounts, Side, StudentId, Way};

/// What it costs that somebody can do nothing at a step, not even pause (our choice): beyond any sum of shapes.
const NOWHERE: i64 = 50_000;

/// A shape on a menu: the posture, and whether the side that leads is the other one.
type Entry = (PostureId, bool);

impl Reading<'_> {
    /// Every shape that somebody does is shown or offered at that step.
    pub(super) fn menus(&mut self) {
        for at in 0..self.taught.len() {
            let step = &self.adapted.steps[at];
            let offered: BTreeSet<(&PostureId, Side)> = step
                .options
                .iter()
                .map(|option| (&option.posture, option.side))
                .chain([(&step.lead.posture, step.lead.side)])
                .collect();
            let free = |assignment: &Assignment| {
                offered.iter().any(|(posture, side)| {
                    **posture == assignment.posture
                        && (*side == assignment.side || self.taught[at].side == Side::None)
                })
            };
            let stray = self.adapted.students.iter().any(|plan| {
                let assignment = &plan.assignments[at];
                !assignment.sit_out && !free(assignment)
            });
            if stray {
                self.find(
                    Kind::Menu,
                    Some(at + 1),
                    "somebody does a shape that is not on the menu",
                );
            }
        }
    }

    /// The objective, and what is claimed of it.
    pub(super) fn sums(&mut self) {
        let plan = &self.adapted.plan;
        let terms = &plan.terms;
        let said =
            terms.stray + terms.options + terms.excess + terms.lead + terms.change + terms.rest;
        if said != plan.objective {
            self.find(
                Kind::Objective,
                None,
                "the terms do not add up to the objective",
            );
        }
        let counted = self.terms();
        let names = ["stray", "options", "excess", "lead", "change", "rest"];
        let each = [
            terms.stray,
            terms.options,
            terms.excess,
            terms.lead,
            terms.change,
            terms.rest,
        ];
        for ((name, said), counted) in names.into_iter().zip(each).zip(counted) {
            if said != counted {
                let text = format!("{name} is said to be {said}, and adds up to {counted}");
                self.find(Kind::Objective, None, text);
            }
        }
        if plan.lower_bound > plan.objective {
            self.find(Kind::Bound, None, "the bound lies above the objective");
        }
        if plan.proved_optimal && plan.lower_bound != plan.objective {
            self.find(
                Kind::Bound,
                None,
                "it is called proved, and the bound lies below",
            );
        }
        let sit_outs = self.first_rounds().map(|at| {
            self.adapted
                .students
                .iter()
                .filter(|plan| plan.assignments[at].sit_out)
                .count()
        });
        let sit_outs: usize = sit_outs.sum();
        if (sit_outs == 0) != (plan.sit_outs == 0) || plan.sit_outs > sit_outs {
            self.find(Kind::Objective, None, "sit-outs are not all reported");
        }
    }

    /// Steps of the first round: those that the plan decides on.
    fn first_rounds(&self) -> impl Iterator<Item = usize> {
        let first = |at: &usize| self.taught[*at].round == (0, 0);
        (0..self.taught.len()).filter(first)
    }

    /// Stray, options, excess, lead, change and rest, counted from the paths.
    fn terms(&self) -> [i64; 6] {
        let weights = &self.basis.library.weights;
        let (mut stray, mut rest) = (0, 0);
        let students = self.basis.roster.students.iter();
        let told: Vec<_> = students
            .map(|student| (student, holds(student, self.basis)))
            .collect();
        let who = |is: fn(&Student, &Holds<'_>) -> bool| -> BTreeSet<&StudentId> {
            let theirs = told.iter().filter(|(student, holds)| is(student, holds));
            theirs.map(|(student, _)| &student.id).collect()
        };
        let rests_only = who(|_, holds| holds.rest_only);
        let seats = who(|student, holds| holds.wants_a_seat(student));
        let few_trips = who(|student, holds| student.over_70 || holds.few_trips);
        let mut menus: BTreeMap<usize, (BTreeSet<Entry>, bool)> = BTreeMap::new();
        for at in self.first_rounds() {
            let number = self.taught[at].line.number;
            let menu = menus.entry(number).or_default();
            for option in &self.adapted.steps[at].options {
                menu.0.insert(self.entry(at, &option.posture, option.side));
            }
            let lead = &self.adapted.steps[at].lead;
            menu.0.insert(self.entry(at, &lead.posture, lead.side));
            for plan in &self.adapted.students {
                let assignment = &plan.assignments[at];
                if self.is_nowhere(plan, at) {
                    rest += weights.rest;
                    stray += NOWHERE;
                } else if assignment.sit_out {
                    rest += weights.rest;
                    if seats.contains(&plan.id) && self.level_of(plan, at) != Level::Chair {
                        stray += weights.need;
                    }
                    if rests_only.contains(&plan.id) {
                        stray += self.lacks_of_rest(&assignment.posture);
                    }
                } else {
                    stray += self.stray(plan, at);
                    let off_the_floor =
                        self.taught[at].level.is_floor() && !self.level_of(plan, at).is_floor();
                    if few_trips.contains(&plan.id) && off_the_floor {
                        stray += weights.trip;
                    }
                }
            }
        }
        let (mut options, mut excess, mut lead) = (0, 0, 0);
        for at in self.first_rounds().filter(|&at| self.taught[at].turn == 0) {
            let taught = &self.taught[at];
            let Some((menu, _)) = menus.get(&taught.line.number) else {
                continue;
            };
            let own = self.entry(at, &self.adapted.steps[at].taught.posture, taught.side);
            let free: BTreeSet<&PostureId> = taught
                .line
                .or
                .iter()
                .filter_map(|choice| match choice {
                    Choice::Posture(id) if Some(id) != taught.posture => Some(id),
                    _ => None,
                })
                .collect();
            let shapes = menu
                .iter()
                .filter(|(posture, _)| !free.contains(posture))
                .count();
            let shapes = i64::try_from(shapes).unwrap_or(i64::MAX);
            // Beside the teacher's own other choices alone the taught shape stays on the menu at no cost.
            let shown = menu.contains(&own) || shapes == 0;
            lead += if shown { 0 } else { weights.lead };
            options += weights.option * (shapes - 1).max(0);
            excess += weights.excess * (shapes - i64::from(self.basis.max_options)).max(0);
        }
        [stray, options, excess, lead, self.change(), rest]
    }

    /// What somebody who only rests strays in a shape that is less than a full rest, 3 of 3.
    fn lacks_of_rest(&self, posture: &PostureId) -> i64 {
        let posture = self.basis.library.postures.get(posture);
        let rest = posture.and_then(|posture| posture.purposes.get("rest"));
        (3 - rest.map_or(0, |&rest| i64::from(rest))) * self.basis.library.weights.purpose
    }

    fn entry(&self, at: usize, posture: &PostureId, side: Side) -> Entry {
        let taught = self.taught[at].side;
        (
            posture.clone(),
            taught != Side::None && side != Side::None && side != taught,
        )
    }

    /// What one step of one person costs: the way to the shape, the purposes lost, an easing.
    fn stray(&self, plan: &StudentPlan, at: usize) -> i64 {
        let (library, assignment) = (self.basis.library, &plan.assignments[at]);
        let weights = &library.weights;
        let taught = self.taught[at]
            .posture
            .and_then(|id| library.postures.get(id));
        let given = library.postures.get(&assignment.posture);
        let student = self.basis.roster.student(&plan.id);
        let easing = if self.is_eased_form(assignment, given, at) {
            weights.easing
        } else {
            0
        };
        // A choice of the teacher's that the graph does not reach lies at the edge of reach.
        let way = match (taught, given) {
            (Some(taught), Some(given)) => {
                let kept = |id| given.purposes.contains_key(id);
                let lost = taught.purposes.iter().filter(|(id, _)| !kept(*id));
                let lost: i64 = lost
                    .map(|(_, &weight)| i64::from(weight) * weights.purpose)
                    .sum();
                let (_, swapped) = self.entry(at, &given.id, assignment.side);
                let length = self.way_length(&taught.id, &given.id, swapped);
                length.map(|length| length + lost)
            }
            (None, None) => Some(0),
            _ => None,
        };
        let cost = way.unwrap_or(weights.reach) + easing;
        let level = given.map_or(self.taught[at].level, |given| given.level);
        if student.is_some_and(|student| prefers(student, level)) {
            (cost + 1) / 2
        } else {
            cost
        }
    }

    /// Whether a shape is given with padding, support or a hold of its own.
    fn is_eased_form(&self, assignment: &Assignment, posture: Option<&Posture>, at: usize) -> bool {
        let line = self.taught[at].line;
        let has = |fact| posture.is_some_and(|posture| posture.facts.contains(&fact));
        let own =
            |prop| posture.map_or(0, |posture| posture.props.get(&prop).copied().unwrap_or(0));
        let taught = self.taught[at].posture == posture.map(|posture| &posture.id);
        let padded = assignment.padded && !line.padded && !has(Fact::KneePadded);
        let more = |prop: Prop| {
            let line = match taught {
                true => line.props.get(&prop).copied().unwrap_or(0),
                false => 0,
            };
            assignment.props.get(&prop).copied().unwrap_or(0) > own(prop).max(line)
        };
        // Done without the props that the line adds to the taught shape.
        let mut adds = line.props.iter();
        let bare = taught
            && adds.any(|(&prop, &number)| {
                let under = match (prop, posture) {
                    (Prop::Blanket, Some(posture)) => self.under_knees(posture, at),
                    _ => 0,
                };
                assignment.props.get(&prop).copied().unwrap_or(0) < own(prop).max(number) + under
            });
        padded || bare || more(Prop::Wall) || more(Prop::Chair) || assignment.hold_s < line.hold_s
    }

    /// The shortest way over alternatives that are not `stronger`, found by relaxing every edge
    /// until nothing gets shorter.
    fn way_length(&self, from: &PostureId, to: &PostureId, swapped: bool) -> Option<i64> {
        let mut length: BTreeMap<(&PostureId, bool), i64> = BTreeMap::from([((from, false), 0)]);
        let edges: Vec<_> = self.basis.library.alternatives.values().flatten().collect();
        loop {
            let mut shorter = false;
            for edge in edges.iter().filter(|edge| edge.way != Way::Stronger) {
                for side in [false, true] {
                    let Some(&so_far) = length.get(&(&edge.from, side)) else {
                        continue;
                    };
                    let next = so_far + i64::from(edge.cost);
                    let key = (&edge.to, side != edge.swaps_side);
                    if next <= self.basis.library.weights.reach
                        && length.get(&key).is_none_or(|&known| next < known)
                    {
                        length.insert(key, next);
                        shorter = true;
                    }
                }
            }
            if !shorter {
                break;
            }
        }
        let direct = length.get(&(to, swapped)).copied();
        direct.or_else(|| length.get(&(to, !swapped)).copied())
    }

    /// Level and prop changes beyond those of the class itself, joint by joint.
    fn change(&self) -> i64 {
        let joints = self.joints();
        let kept = self.wall_is_kept();
        let mut total = 0;
        for plan in &self.adapted.students {
            for &(a, b) in &joints {
                let theirs = self.between(
                    (self.level_of(plan, a), self.handled(plan, a, kept)),
                    (self.level_of(plan, b), self.handled(plan, b, kept)),
                );
                let class = self.between(
                    (self.taught[a].level, self.as_taught(a)),
                    (self.taught[b].level, self.as_taught(b)),
                );
                total += (theirs - class).max(0);
            }
        }
        total
    }

    /// Pairs of steps that follow each other in the plan's own reading: inside each side of a run,
    /// and from the end of a run to the start of the next. The turn from one side of a run to the
    /// other is not counted: the whole class turns over there.
    fn joints(&self) -> Vec<(usize, usize)> {
        let first: Vec<usize> = self.first_rounds().collect();
        let mut joints = Vec::new();
        for pair in first.windows(2) {
            let (a, b) = (&self.taught[pair[0]], &self.taught[pair[1]]);
            if a.run != b.run || a.turn == b.turn {
                joints.push((pair[0], pair[1]));
            }
        }
        joints
    }

    fn between(&self, (a, held_a): (Level, PropCounts), (b, held_b): (Level, PropCounts)) -> i64 {
        let weights = &self.basis.library.weights;
        let height = |level: Level| weights.heights.get(&level).copied().unwrap_or(0);
        let levels = if a == b {
            0
        } else {
            1 + (height(a) - height(b)).abs() / 2
        };
        let props: BTreeSet<Prop> = held_a.keys().chain(held_b.keys()).copied().collect();
        let changed = props
            .into_iter()
            .filter(|prop| *prop != Prop::Mat)
            .map(|prop| {
                let of = |held: &PropCounts| i64::from(held.get(&prop).copied().unwrap_or(0));
                (of(&held_a) - of(&held_b)).abs()
            });
        levels + weights.prop_change * changed.sum::<i64>()
    }

    /// Where a person is at a step; a pause stays where they were, a first one where they began.
    fn level_of(&self, plan: &StudentPlan, at: usize) -> Level {
        let known = |at: usize| {
            let given = &plan.assignments[at].posture;
            let posture = self.basis.library.postures.get(given);
            let with_class = || given.as_str() == OWN_SHAPE || self.is_nowhere(plan, at);
            let level = posture.map(|posture| posture.level);
            level.or_else(|| with_class().then(|| self.taught[at].level))
        };
        let level = (0..=at).rev().find_map(known);
        level.unwrap_or_else(|| self.begins_at(plan))
    }

    fn begins_at(&self, plan: &StudentPlan) -> Level {
        let student = self.basis.roster.student(&plan.id);
        student.map_or(Level::Standing, |student| {
            holds(student, self.basis).start_level()
        })
    }
}

fn prefers(student: &Student, level: Level) -> bool {
    student.prefers.iter().any(|preference| match preference {
        Preference::Chair => level == Level::Chair,
        Preference::Wall => level == Level::Wall,
        Preference::NoFloor => !level.is_floor(),
        Preference::SideLying => level == Level::SideLying,
    })
}
