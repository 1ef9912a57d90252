//! Props, counted again: who holds what, what is set aside for who teaches, and what there is.

use super::people::uses;
use super::{Kind, Reading};
use crate::adapted::StudentPlan;
use crate::library::condition::Fact;
use crate::library::posture::Posture;
use crate::roster::{Student, Where};
use crate::words::{Prop, PropCounts, Use};

impl Reading<'_> {
    /// More of a prop than there is at a step, or less said than is used.
    pub(super) fn props(&mut self) {
        let teacher: Vec<PropCounts> = (0..self.taught.len()).map(|at| self.teachers(at)).collect();
        for &prop in Prop::ALL.iter().filter(|prop| **prop != Prop::Mat) {
            let aside = self.aside(prop);
            let mut most = 0;
            for at in 0..self.taught.len() {
                let students: u32 = self
                    .adapted
                    .students
                    .iter()
                    .filter_map(|plan| self.drawn(plan, at).get(&prop).copied())
                    .sum();
                let stock = self.basis.stock.counts.as_ref();
                // A chair with arms serves wherever a chair does.
                let there = stock.map(|stock| {
                    let of = |prop: Prop| stock.get(&prop).copied().unwrap_or(0);
                    if prop == Prop::Chair {
                        of(prop) + of(Prop::ChairWithArms)
                    } else {
                        of(prop)
                    }
                });
                if there.is_some_and(|there| students > there.saturating_sub(aside)) {
                    self.find(
                        Kind::Props,
                        Some(at + 1),
                        format!("more {prop} in use than there is"),
                    );
                }
                most = most.max(students + teacher[at].get(&prop).copied().unwrap_or(0));
            }
            let said = self.adapted.props.get(&prop).map_or(0, |said| said.needed);
            if said != most {
                self.find(
                    Kind::Props,
                    None,
                    format!("{said} {prop} said, {most} in use at once"),
                );
            }
        }
    }

    /// The most of a prop that the steps as taught use at once: set aside for who teaches.
    fn aside(&self, prop: Prop) -> u32 {
        let steps = 0..self.taught.len();
        let used = steps.filter_map(|at| self.teachers(at).get(&prop).copied());
        used.max().unwrap_or(0)
    }

    fn teachers(&self, at: usize) -> PropCounts {
        let taught = &self.taught[at];
        let posture = taught
            .posture
            .and_then(|id| self.basis.library.postures.get(id));
        let mut used = posture.map_or_else(PropCounts::new, |posture| posture.props.clone());
        for (&prop, &number) in &taught.line.props {
            let used = used.entry(prop).or_insert(0);
            *used = number.max(*used);
        }
        used
    }

    /// What somebody holds who does the step as it is taught: a blanket under the knees too, where the line says so.
    pub(super) fn as_taught(&self, at: usize) -> PropCounts {
        let mut held = self.teachers(at);
        let taught = self.taught[at].posture;
        let posture = taught.and_then(|id| self.basis.library.postures.get(id));
        let under = posture.map_or(0, |posture| self.under_knees(posture, at));
        if under > 0 {
            *held.entry(Prop::Blanket).or_insert(0) += under;
        }
        held
    }

    /// How many blankets a line lays under knees for everybody.
    pub(super) fn under_knees(&self, posture: &Posture, at: usize) -> u32 {
        let bare = !posture.facts.contains(&Fact::KneePadded);
        u32::from(bare && uses(posture, Use::Kneeling) && self.taught[at].line.padded)
    }

    /// What a person takes from the cupboard: all they use, less what they brought.
    pub(super) fn drawn(&self, plan: &StudentPlan, at: usize) -> PropCounts {
        let student = self.basis.roster.student(&plan.id);
        let Some(student) = student.filter(|student| student.place == Where::Room) else {
            return PropCounts::new();
        };
        let used = plan.assignments[at].props.iter();
        used.map(|(&prop, &number)| {
            (
                prop,
                number.saturating_sub(student.has.get(&prop).copied().unwrap_or(0)),
            )
        })
        .filter(|(prop, number)| *number > 0 && *prop != Prop::Mat)
        .collect()
    }

    /// What a person takes in and puts away: what they draw, but for a place at the wall that is theirs all along.
    pub(super) fn handled(&self, plan: &StudentPlan, at: usize, wall_is_kept: bool) -> PropCounts {
        let mut held = self.drawn(plan, at);
        let student = self.basis.roster.student(&plan.id);
        let kept = wall_is_kept && student.is_some_and(Student::wants_the_wall);
        if let Some(places) = held.get_mut(&Prop::Wall).filter(|_| kept) {
            *places = places.saturating_sub(1);
        }
        held
    }

    /// Whether places at the wall are kept for those who asked for one: where there are enough for all of them.
    pub(super) fn wall_is_kept(&self) -> bool {
        let Some(stock) = &self.basis.stock.counts else {
            return false;
        };
        let there = stock.get(&Prop::Wall).copied().unwrap_or(0);
        let there = there.saturating_sub(self.aside(Prop::Wall)) as usize;
        let students = self.basis.roster.students.iter();
        let asked = students.filter(|student| student.wants_the_wall()).count();
        (1..=there).contains(&asked)
    }
}
