//! Two waves where props are short: half of the room does one step while the other half does another, and
//! they change over.
//!
//! Invariant: offered only where many leave a shape for want of props and more would do it in waves, by a
//! plan made again; the plan itself stays as it is.

use std::collections::BTreeMap;

use super::{Scene, teachers_props};
use crate::adapted::{Adapted, Advice, AdviceKind, Short, WaveShape, WaveTurn, Waves};
use crate::group::plan::Plan;
use crate::group::problem::{Instance, Student};
use crate::group::solve::solve;
use crate::search::waves::{Swap, in_waves};
use crate::sheets::words::{listed, lower, minutes};
use crate::words::{Prop, PropCounts, StudentId};

/// Two waves are worth their words where one in so many leaves a shape for want of props, and two at least.
const LEAST_SHARE: usize = 4;

/// Changing over is worth it for shapes that are stayed in, from so long on (our choice).
const LEAST_HOLD_S: u32 = 180;

/// The part of the search's limit that may go into planning in waves.
const SHARE: u32 = 4;

impl Scene<'_> {
    /// The two lines and the halves of the room, if waves help.
    pub(super) fn waves(&self, adapted: &Adapted) -> Option<Waves> {
        let swap = self.swap(adapted)?;
        let (first, second) = self.halves(adapted, swap);
        let goes_second: Vec<bool> = self
            .people
            .iter()
            .map(|person| second.contains(&person.student.id))
            .collect();
        let instance = in_waves(self.room, self.lines, self.instance, swap, &goes_second)?;
        let plan = solve(&instance, self.task.limit.part(SHARE), &mut |_| {}).ok()?;
        let [early, late] = [swap.early, swap.late].map(|line| self.table.takes_s(line));
        let step = |line: usize| self.table.first_step(line);
        let taught = [swap.early, swap.late].map(|line| {
            let line = &self.instance.lines[line];
            line.candidates[line.taught].shape.as_str()
        });
        let as_taught = |instance: &Instance, plan: &Plan| {
            let done = plan.assignments.values().flatten();
            let done: Vec<&str> = done
                .filter(|(line, _)| [swap.early, swap.late].contains(line))
                .map(|&(line, at)| instance.lines[line].candidates[at].shape.as_str())
                .collect();
            taught.map(|shape| done.iter().filter(|done| **done == shape).count())
        };
        let (in_waves, at_once) = (
            as_taught(&instance, &plan),
            as_taught(self.instance, self.plan),
        );
        let sum = |[early, late]: [usize; 2]| early + late;
        let better =
            sum(in_waves) > sum(at_once) && plan.sit_outs.len() <= self.plan.sit_outs.len();
        let steps = [step(swap.early)?, step(swap.late)?];
        let turns = self.turns(adapted, (&instance, &plan), swap, [&first, &second]);
        better.then_some(Waves {
            steps,
            turns,
            first,
            second,
            hold_s: [swap.early, swap.late].map(|line| self.table.lines[line].pass_s),
            adds_s: early.abs_diff(late),
            as_taught: in_waves,
            as_taught_at_once: at_once,
            without: self.without((&instance, &plan), swap, &goes_second),
            sit_outs: plan.sit_outs.len(),
        })
    }

    /// For each half, how many whom rules leave a taught shape do another, by the plan in waves.
    fn without(
        &self,
        (instance, plan): (&Instance, &Plan),
        swap: Swap,
        goes_second: &[bool],
    ) -> [[usize; 2]; 2] {
        let lines = [swap.early, swap.late];
        let of_half = |second: bool| {
            let who = self.instance.students.iter().zip(goes_second);
            let who = who.filter(|(_, goes)| **goes == second);
            let who: Vec<&Student> = who.map(|(student, _)| student).collect();
            [0, 1].map(|shape: usize| {
                let line = lines[shape];
                // The second half changes the two round.
                let at = lines[if second { 1 - shape } else { shape }];
                let own = &self.instance.lines[line];
                let taught = &own.candidates[own.taught].shape;
                let without = |student: &&&Student| {
                    let mut may = student.stray[line].r.keys();
                    let path = plan.assignments.get(&student.id);
                    let mut done = path.into_iter().flatten().filter(|(done, _)| *done == at);
                    may.any(|open| own.candidates[*open].shape == *taught)
                        && done.all(|&(_, given)| {
                            instance.lines[at].candidates[given].shape != *taught
                        })
                };
                who.iter().filter(without).count()
            })
        };
        [of_half(false), of_half(true)]
    }

    /// What each half does at each turn, by the plan in waves.
    fn turns(
        &self,
        adapted: &Adapted,
        (instance, plan): (&Instance, &Plan),
        swap: Swap,
        halves: [&[StudentId]; 2],
    ) -> Vec<WaveTurn> {
        let lines = [swap.early, swap.late];
        let mut turns = Vec::new();
        for (half, ids) in halves.into_iter().enumerate() {
            for (turn, &line) in lines.iter().enumerate() {
                // The second half changes the two round.
                let of = lines[if half == 0 { turn } else { 1 - turn }];
                let taught = &self.instance.lines[of];
                let taught = &taught.candidates[taught.taught].shape;
                let mut shapes: BTreeMap<(bool, String), Vec<StudentId>> = BTreeMap::new();
                let people = adapted.students.iter().filter(|one| ids.contains(&one.id));
                for student in people {
                    let path = plan.assignments.get(&student.id).into_iter().flatten();
                    for &(_, at) in path.filter(|(at, _)| *at == line) {
                        let candidate = &instance.lines[line].candidates[at];
                        let as_taught = candidate.shape == *taught;
                        let words =
                            self.shape_words(&candidate.shape, as_taught, candidate.is_rest());
                        let who = shapes.entry((!as_taught, words)).or_default();
                        who.push(student.id.clone());
                    }
                }
                let step = |line: usize| self.table.first_step(line).unwrap_or(1);
                let shapes = shapes.into_iter();
                turns.push(WaveTurn {
                    at: step(line),
                    of: step(of),
                    shapes: shapes
                        .map(|((_, words), students)| WaveShape { words, students })
                        .collect(),
                });
            }
        }
        turns
    }

    /// A shape of the instance as it is said: the taught one by its name, another by what it does.
    fn shape_words(&self, shape: &str, as_taught: bool, rests: bool) -> String {
        let posture = self.task.library.postures.get(shape);
        match posture {
            Some(posture) if as_taught => lower(posture.name()),
            Some(posture) if rests => format!("rest: {}", lower(&posture.choice)),
            Some(posture) => lower(&posture.choice),
            None => "rest: pause as you are".to_owned(),
        }
    }

    /// The waves in words: what they are, then each half's way through.
    pub(super) fn in_waves(&self, adapted: &Adapted) -> Vec<Advice> {
        let Some(waves) = &adapted.waves else {
            return Vec::new();
        };
        let [early, late] = waves.steps.map(|step| adapted.steps.get(step - 1));
        let (Some(early), Some(late)) = (early, late) else {
            return Vec::new();
        };
        let names = |ids: &[StudentId]| -> String {
            let named = adapted.students.iter().filter(|one| ids.contains(&one.id));
            let names: Vec<&str> = named.map(|one| one.short_name.as_str()).collect();
            names.join(" ")
        };
        let [early_hold, late_hold] = waves.hold_s.map(minutes);
        let adds = match waves.adds_s {
            0 => "The class takes no longer".to_owned(),
            adds_s => format!("Adds {}", minutes(adds_s)),
        };
        let taught = [early, late].map(|step| lower(&step.taught.name));
        let [first, second] = waves.without;
        let uneven = (0..2).filter(|&shape| first[shape].abs_diff(second[shape]) > 1);
        let uneven: Vec<String> = uneven
            .map(|shape| {
                format!(
                    "{} of the first and {} of the second go without {}",
                    first[shape], second[shape], taught[shape]
                )
            })
            .collect();
        let fair = match waves.is_even() {
            true => format!(
                "Both halves get the same shapes for the same time, {early_hold} and {late_hold}."
            ),
            false => format!(
                "Both halves get the same time, {early_hold} and {late_hold}, but {}.",
                listed(&uneven)
            ),
        };
        let [early_name, late_name] = &taught;
        let text = format!(
            "In two waves props reach further: at step {} the first half does {early_name}, the second \
             {late_name}; at step {} they change over. {fair} {adds}; {} and {} people do them as taught, in \
             place of {} and {} (planned again).",
            early.line,
            late.line,
            waves.as_taught[0],
            waves.as_taught[1],
            waves.as_taught_at_once[0],
            waves.as_taught_at_once[1],
        );
        let line = |step: usize| adapted.steps.get(step - 1).map_or(0, |step| step.line);
        let turn = |turn: &WaveTurn| {
            let shapes = turn.shapes.iter();
            let shapes: Vec<String> = shapes
                .map(|shape| format!("{} ({})", shape.words, names(&shape.students)))
                .collect();
            format!("at step {} {}", line(turn.at), shapes.join("; "))
        };
        let halves = ["First", "Second"].into_iter().zip(waves.turns.chunks(2));
        let halves = halves.map(|(which, turns)| {
            let turns: Vec<String> = turns.iter().map(turn).collect();
            format!("{which} half: {}.", turns.join(". Then "))
        });
        std::iter::once(text)
            .chain(halves)
            .map(|text| Advice {
                kind: AdviceKind::PropShort,
                text,
                steps: waves.steps.to_vec(),
                students: waves.first.len() + waves.second.len(),
            })
            .collect()
    }

    /// The two lines between which halves spare most props; of such pairs the one that takes least longer.
    fn swap(&self, adapted: &Adapted) -> Option<Swap> {
        let stock = self.room.stock.as_ref()?;
        let runs_short = |line: usize| {
            let mut moments = adapted.short.iter().flat_map(Short::moments);
            moments.any(|(step, _)| self.table.passes[step - 1].line == line)
        };
        let starved = (0..self.lines.len()).filter(|&line| {
            let wanting = self.wants_props(line);
            runs_short(line) && wanting >= 2 && wanting * LEAST_SHARE >= self.people.len()
        });
        let in_room = self.number_in_room();
        let half = in_room.div_ceil(2);
        // What two waves would spare, against what the class takes longer.
        let mut best: Option<(u32, u32, Swap)> = None;
        for line in starved.filter(|&line| self.may_swap(line)) {
            let mine = teachers_props(self.table, line, self.task.library);
            let others = (0..self.lines.len()).filter(|&other| {
                let near = self.table.lines[line].section == self.table.lines[other].section;
                other != line && near && self.may_swap(other)
            });
            for other in others {
                let theirs = teachers_props(self.table, other, self.task.library);
                let [a, b] = [&mine, &theirs].map(|props| wanting(&times(props, in_room), stock));
                let mut together = times(&mine, half);
                for (prop, number) in times(&theirs, half) {
                    *together.entry(prop).or_insert(0) += number;
                }
                let spared = (a + b).saturating_sub(2 * wanting(&together, stock));
                let longer = self.table.takes_s(line).abs_diff(self.table.takes_s(other));
                let swap = Swap {
                    early: line.min(other),
                    late: line.max(other),
                };
                let better = |(most, least, _): &(u32, u32, Swap)| {
                    spared > *most || (spared == *most && longer < *least)
                };
                if spared > 0 && best.as_ref().is_none_or(better) {
                    best = Some((spared, longer, swap));
                }
            }
        }
        best.map(|(_, _, swap)| swap)
    }

    /// How many do something other than is taught at a line though rules leave it to them.
    fn wants_props(&self, line: usize) -> usize {
        let candidates = &self.instance.lines[line].candidates;
        let taught = &candidates[self.instance.lines[line].taught].shape;
        let leaves = |student: &&Student| {
            let may = student.stray[line].r.keys();
            let mut may = may.filter(|at| candidates[**at].shape == *taught);
            let path = self.plan.assignments.get(&student.id);
            let mut done = path.into_iter().flatten().filter(|(at, _)| *at == line);
            may.next().is_some() && done.all(|(_, at)| candidates[*at].shape != *taught)
        };
        self.instance.students.iter().filter(leaves).count()
    }

    /// Whether a line can change places with another: taught once and on no side, neither the first of the
    /// class nor the rest at its end.
    fn may_swap(&self, line: usize) -> bool {
        let block = &self.table.blocks[self.table.lines[line].block];
        let rest = self.table.final_rest(self.task.library);
        let rest = rest.map(|at| self.table.passes[at].line);
        line > 0
            && self.table.lines[line].pass_s >= LEAST_HOLD_S
            && rest != Some(line)
            && block.lines.len() == 1
            && block.repeats == 1
            && !block.is_sided()
    }

    /// Who goes first and who second, by short name; those who may do both taught shapes, and those who
    /// may not, are halved each for themselves.
    fn halves(&self, adapted: &Adapted, swap: Swap) -> (Vec<StudentId>, Vec<StudentId>) {
        let as_taught = |id: &StudentId| {
            let person = self
                .instance
                .students
                .iter()
                .find(|student| student.id == *id);
            person.is_some_and(|person| {
                [swap.early, swap.late].iter().all(|&line| {
                    let taught = self.instance.lines[line].taught;
                    person.stray[line].r.contains_key(&taught)
                })
            })
        };
        let in_room = adapted
            .students
            .iter()
            .filter(|student| student.place == "room");
        let ids = in_room.map(|student| student.id.clone());
        let (both, other): (Vec<_>, Vec<_>) = ids.partition(as_taught);
        let (mut first, mut second) = (Vec::new(), Vec::new());
        // The odd ones go to either half in turn.
        let firsts = [both.len().div_ceil(2), other.len() / 2];
        for (group, firsts) in [both, other].into_iter().zip(firsts) {
            for (place, id) in group.into_iter().enumerate() {
                if place < firsts {
                    first.push(id)
                } else {
                    second.push(id)
                }
            }
        }
        (first, second)
    }
}

fn times(each: &PropCounts, people: u32) -> BTreeMap<Prop, u32> {
    each.iter()
        .map(|(&prop, &number)| (prop, number * people))
        .collect()
}

/// How many things are wanting beyond the cupboard.
fn wanting(needed: &BTreeMap<Prop, u32>, stock: &PropCounts) -> u32 {
    let wanting = needed.iter();
    wanting
        .map(|(prop, &number)| number.saturating_sub(stock.get(prop).copied().unwrap_or(0)))
        .sum()
}
