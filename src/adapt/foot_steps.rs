//! What lies under feet that do not reach the floor, and the chair with arms to rise from.
//!
//! Invariant: nothing is under anybody's feet from the first step at which they stand to the last, and what is
//! counted here is within the cupboard. A confidential person's stands on their own line alone.

use super::around::wants_foot_step;
use super::{Scene, teachers_props};
use crate::adapted::{Adapted, Assignment, FootSteps};
use crate::judge::facts::Person;
use crate::judge::verdict::asks;
use crate::library::condition::Grade;
use crate::library::posture::PostureBody;
use crate::roster::Where;
use crate::sheets::words::{clock, counted, plural};
use crate::words::{Level, PostureId, Prop};

/// Blocks under two feet (scenarios, section 5, line 3); or one blanket, folded.
const BLOCKS: u32 = 2;

impl Scene<'_> {
    /// From which step on a person's foot step is away, and from which on it is back; none where they want
    /// none, or never sit on a chair.
    pub(super) fn foot_step(
        &self,
        person: &Person<'_>,
        assignments: &[Assignment],
    ) -> Option<(usize, Option<usize>)> {
        let stands = |given: &&Assignment| self.stands(&given.posture);
        let sits = |given: &&Assignment| self.sits_still(&given.posture);
        let wanted = wants_foot_step(person.student) && assignments.iter().any(|one| sits(&one));
        wanted.then(|| {
            let first = assignments.iter().find(stands).map(|given| given.step);
            let last = assignments.iter().rfind(stands).map(|given| given.step);
            let later = |given: &&Assignment| last.is_some_and(|last| given.step > last);
            let mut after = assignments.iter().filter(later);
            let back = after.find(sits).map(|given| given.step);
            (first.unwrap_or(assignments.len() + 1), back)
        })
    }

    /// Whether a shape is on the feet, or comes to it.
    fn stands(&self, id: &PostureId) -> bool {
        let postures = &self.task.library.postures;
        let is_up = |id: &PostureId| {
            let posture = postures.get(id);
            posture.is_some_and(|one| matches!(one.level, Level::Standing | Level::Wall))
        };
        let ends = postures.get(id).and_then(|one| match &one.body {
            PostureBody::Ends(ends) => Some(ends),
            PostureBody::Shape { .. } => None,
        });
        is_up(id) || ends.is_some_and(|ends| ends.iter().any(is_up))
    }

    /// Whether somebody sits on a chair with both feet before them.
    fn sits_still(&self, id: &PostureId) -> bool {
        let posture = self.task.library.postures.get(id);
        posture.is_some_and(|one| {
            one.level == Level::Chair && !asks(one, &"legs-wide".into(), Grade::Some)
        })
    }

    /// Whether somebody can rise by the arms of a chair: there is one, or nobody counted.
    pub(super) fn has_arms(&self) -> bool {
        self.stocked(Prop::ChairWithArms)
            .is_none_or(|number| number > 0)
    }

    /// How many of a prop are there; none where nobody counted.
    fn stocked(&self, prop: Prop) -> Option<u32> {
        let stock = self.task.stock.counts.as_ref();
        stock.map(|counts| counts.get(&prop).copied().unwrap_or(0))
    }

    /// Foot steps of the room: of blocks where enough are left at every step at which they lie there, else
    /// of folded blankets.
    pub(super) fn foot_steps(&self, adapted: &Adapted) -> Option<FootSteps> {
        let students = adapted.students.iter();
        let theirs = students.filter(|one| one.place == "room" && !one.confidential);
        let until: Vec<usize> = theirs
            .clone()
            .filter_map(|one| one.foot_step_until)
            .collect();
        let away = *until.iter().max()?;
        let back = theirs.filter_map(|one| one.foot_step_back).min();
        let steps = self.table.passes.len();
        let people = u32::try_from(until.len()).unwrap_or(u32::MAX);
        let lies = |step: &usize| step + 1 < away || back.is_some_and(|back| step + 1 >= back);
        let most = (0..steps)
            .filter(lies)
            .map(|step| self.in_use(step, Prop::Block));
        let together = most.max().unwrap_or(0) + people * BLOCKS;
        let enough = self
            .stocked(Prop::Block)
            .is_none_or(|stock| together <= stock);
        let (prop, number) = match enough {
            true => (Prop::Block, people * BLOCKS),
            false => (Prop::Blanket, people),
        };
        let rise = until.iter().filter(|until| **until <= steps).count();
        let with_arms = u32::try_from(rise).unwrap_or(u32::MAX);
        Some(FootSteps {
            prop,
            number,
            stock: self.stocked(prop),
            together: if enough { together } else { number },
            chairs: until.len(),
            away: (away <= steps).then_some(away),
            back,
            with_arms: with_arms.min(self.stocked(Prop::ChairWithArms).unwrap_or(with_arms)),
        })
    }

    /// How many of a prop are in use at a step, the teacher's own among them.
    fn in_use(&self, step: usize, prop: Prop) -> u32 {
        let drawn = self.drawn_at(step);
        let drawn = drawn.iter().filter_map(|(_, theirs)| theirs.get(&prop));
        let line = self.table.passes[step].line;
        let teachers = teachers_props(self.table, line, self.task.library);
        drawn.sum::<u32>() + teachers.get(&prop).copied().unwrap_or(0)
    }

    /// Foot steps in words, for whoever sets out.
    pub(super) fn foot_step_words(&self, lain: &FootSteps) -> Vec<String> {
        let at = |step: usize| {
            let pass = self.table.passes.get(step - 1);
            pass.map_or_else(String::new, |pass| {
                clock(self.task.class.start, pass.start_s)
            })
        };
        let what = match lain.prop {
            Prop::Blanket => format!("{} folded", counted(lain.number, lain.prop)),
            prop => counted(lain.number, prop),
        };
        let of = lain.stock.filter(|_| lain.prop == Prop::Block);
        let of = of.map_or_else(String::new, |stock| format!(" of the {stock}"));
        let away = lain
            .away
            .map_or_else(String::new, |step| format!(": away before {}", at(step)));
        let back = lain
            .back
            .map_or_else(String::new, |step| format!(", back at {}", at(step)));
        let chairs = plural(lain.chairs, "chair", "chairs");
        let foot_steps = format!("{what}{of} as a foot step at {chairs}{away}{back}");
        let of = self.stocked(Prop::ChairWithArms);
        let of = of.map_or_else(String::new, |stock| format!(" of the {stock}"));
        let arms = (lain.with_arms > 0).then(|| {
            let chairs = counted(lain.with_arms, Prop::ChairWithArms);
            format!("{chairs}{of} there, to rise from")
        });
        std::iter::once(foot_steps).chain(arms).collect()
    }

    /// Whether somebody whose feet hang rises from a chair with arms: where there is one.
    pub(super) fn rises_by_arms(&self, person: &Person<'_>, until: usize) -> bool {
        self.has_arms() && person.student.place == Where::Room && until <= self.table.passes.len()
    }
}
