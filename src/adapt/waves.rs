//! Two waves where props are short: half of the room does one step while the other half does another, and
//! they change over.
//!
//! Invariant: offered only where people sit out for want of props and fewer would in waves, by a plan
//! made again; the plan itself stays as it is.

use std::collections::BTreeMap;

use super::{Scene, teachers_props};
use crate::adapted::{Adapted, Advice, AdviceKind, Waves};
use crate::group::solve::{Limit, solve};
use crate::roster::Where;
use crate::search::waves::{Swap, in_waves};
use crate::sheets::words::{lower, minutes};
use crate::words::{Prop, PropCounts, StudentId};

/// People who sit out at a line for want of props before two waves are worth their words.
const LEAST_SIT_OUTS: usize = 2;

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
        let (early, late) = (self.lasts(swap.early), self.lasts(swap.late));
        let step = |line: usize| self.table.passes_of(line).next().map(|(at, _)| at + 1);
        (plan.sit_outs.len() < self.plan.sit_outs.len()).then_some(Waves {
            steps: [step(swap.early)?, step(swap.late)?],
            first,
            second,
            hold_s: [swap.early, swap.late].map(|line| self.table.lines[line].pass_s),
            adds_s: early.abs_diff(late),
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
                 and {late_hold}. First: {}. Second: {}. {adds}; {} sit-outs in place of {} (planned again).",
                early.line,
                lower(&early.taught.name),
                lower(&late.taught.name),
                late.line,
                names(&waves.first),
                names(&waves.second),
                waves.sit_outs,
                adapted.plan.sit_outs,
            ),
            steps: waves.steps.to_vec(),
            students: waves.first.len() + waves.second.len(),
        })
    }

    /// The two lines between which halves spare most props; of such pairs the one that takes least longer.
    fn swap(&self, adapted: &Adapted) -> Option<Swap> {
        let stock = self.room.stock.as_ref()?;
        let runs_short = |line: usize| {
            let mut at = adapted
                .short
                .iter()
                .flat_map(|short| short.again.iter().chain([&short.step]));
            at.any(|&step| self.table.passes[step - 1].line == line)
        };
        let starved = (0..self.lines.len()).filter(|&line| {
            let out = self.plan.sit_outs.iter().filter(|out| out.line == line);
            let out = out.filter(|out| self.has_a_shape(&out.student, line));
            runs_short(line) && out.count() >= LEAST_SIT_OUTS
        });
        let in_room = self
            .people
            .iter()
            .filter(|person| person.student.place == Where::Room);
        let in_room = u32::try_from(in_room.count()).ok()?;
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
                let longer = self.lasts(line).abs_diff(self.lasts(other));
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

    /// Whether a person may do anything at a line but rest.
    fn has_a_shape(&self, id: &StudentId, line: usize) -> bool {
        let person = self
            .instance
            .students
            .iter()
            .find(|student| student.id == *id);
        let candidates = &self.instance.lines[line].candidates;
        person.is_some_and(|person| {
            person.stray[line]
                .r
                .keys()
                .any(|&at| !candidates[at].is_rest())
        })
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

    /// Everything that a line takes.
    fn lasts(&self, line: usize) -> u32 {
        self.table
            .passes_of(line)
            .map(|(_, pass)| pass.seconds)
            .sum()
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
