//! Two waves where props are short: half of the room does one step while the other half does another, and
//! they change over.
//!
//! Invariant: offered only where many leave a shape for want of props and more would do it in waves, by a
//! plan made again; the plan itself stays as it is.

use std::collections::BTreeMap;

use super::{Scene, teachers_props};
use crate::adapted::{Adapted, Advice, AdviceKind, Short, Waves};
use crate::group::plan::Plan;
use crate::group::problem::{Instance, Student};
use crate::group::solve::{Limit, solve};
use crate::search::waves::{Swap, in_waves};
use crate::sheets::words::{lower, minutes};
use crate::words::{Prop, PropCounts, StudentId};

/// Two waves are worth their words where one in so many leaves a shape for want of props, and two at least.
const LEAST_SHARE: usize = 4;

/// The part of the search's limit that may go into planning in waves.
const SHARE: u64 = 4;

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
        let limit = match self.task.limit {
            Limit::Work(most) => Limit::Work(most / SHARE),
            Limit::Seconds(most) => Limit::Seconds(most / SHARE as f64),
        };
        let plan = solve(&instance, limit, &mut |_| {}).ok()?;
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
        better.then_some(Waves {
            steps: [step(swap.early)?, step(swap.late)?],
            first,
            second,
            hold_s: [swap.early, swap.late].map(|line| self.table.lines[line].pass_s),
            adds_s: early.abs_diff(late),
            as_taught: in_waves,
            as_taught_at_once: at_once,
            sit_outs: plan.sit_outs.len(),
        })
    }

    /// The waves in words.
    pub(super) fn in_waves(&self, adapted: &Adapted) -> Option<Advice> {
        let waves = adapted.waves.as_ref()?;
        let [early, late] = waves.steps.map(|step| adapted.steps.get(step - 1));
        let (early, late) = (early?, late?);
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
        Some(Advice {
            kind: AdviceKind::PropShort,
            text: format!(
                "In two waves props reach further: at step {} the first half does {}, the second {}; at \
                 step {} they change over. Both halves get the same shapes for the same time, {early_hold} \
                 and {late_hold}. First: {}. Second: {}. {adds}; {} and {} people do them as taught, in place of {} \
                 and {} (planned again).",
                early.line,
                lower(&early.taught.name),
                lower(&late.taught.name),
                late.line,
                names(&waves.first),
                names(&waves.second),
                waves.as_taught[0],
                waves.as_taught[1],
                waves.as_taught_at_once[0],
                waves.as_taught_at_once[1],
            ),
            steps: waves.steps.to_vec(),
            students: waves.first.len() + waves.second.len(),
        })
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
