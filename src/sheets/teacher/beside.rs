//! The lines beside a step: what to fetch, say aloud, say in one ear, watch; and for whom.

use super::super::reading::Reading;
use super::super::words::{counted, lower, side, with_side};
use super::floor::{Beside, Margin};
use crate::adapted::{Assignment, Step, StudentPlan};
use crate::words::{PostureId, Side, Verdict};

impl<'a> Reading<'a> {
    /// Lines beside a step: fetch, aloud, quiet, watch.
    pub(super) fn beside(&self, first: &'a Step, steps: &[&'a Step]) -> Vec<Beside> {
        let mut lines = Lines::default();
        let fetched = self
            .adapted
            .fetch
            .iter()
            .filter(|fetch| steps.iter().any(|step| step.index == fetch.step));
        for fetch in fetched {
            let text = format!("{}, {}", counted(fetch.number, fetch.prop), fetch.then);
            lines.add(Margin::Fetch, text, None, None, Side::None);
        }
        for words in &first.or {
            lines.add(Margin::Aloud, words.clone(), None, None, Side::None);
        }
        for step in steps {
            for option in &step.options {
                let margin = if option.spoken {
                    Margin::Aloud
                } else {
                    Margin::Quiet
                };
                let figure = Some((option.posture.clone(), option.side));
                let mut open = false;
                for id in &option.students {
                    match self.student(id) {
                        Some(student) if !student.confidential => {
                            let name = student.short_name.clone();
                            lines.add(
                                margin,
                                option.cue.clone(),
                                Some(name),
                                figure.clone(),
                                step.taught.side,
                            );
                        }
                        _ => open = true,
                    }
                }
                if open || option.for_anyone {
                    let name = "for anyone".to_owned();
                    lines.add(margin, option.cue.clone(), Some(name), figure, Side::None);
                }
            }
            for student in self
                .adapted
                .students
                .iter()
                .filter(|student| !student.confidential)
            {
                let assignment = student.assignments.get(step.index - 1);
                if let Some(assignment) = assignment {
                    self.personal(student, assignment, step, &mut lines);
                }
            }
        }
        lines.finish(steps)
    }

    /// Words for one person at one step: a rest, an easing, something to watch.
    fn personal(
        &self,
        student: &StudentPlan,
        assignment: &Assignment,
        step: &Step,
        lines: &mut Lines,
    ) {
        let name = || Some(student.short_name.clone());
        if assignment.sit_out {
            let posture = self.library.postures.get(&assignment.posture);
            let text = posture.map_or("pause as you are".to_owned(), |p| lower(&p.choice));
            lines.add(
                Margin::Quiet,
                format!("rest: {text}"),
                name(),
                None,
                step.taught.side,
            );
        }
        for finding in &assignment.verdicts {
            let both = assignment
                .verdicts
                .iter()
                .any(|other| other.demand == finding.demand && other.side != finding.side);
            // On both sides of the body the side says nothing.
            let side = finding
                .side
                .filter(|_| !both)
                .map_or(Side::None, Side::from);
            match (finding.verdict, &finding.easing) {
                (Verdict::Ease, Some(words)) => {
                    let text = with_side(words, side);
                    lines.add(Margin::Quiet, text, name(), None, step.taught.side);
                }
                (Verdict::Watch, _) => {
                    let text = with_side(&self.demand(&finding.demand), side);
                    lines.add(Margin::Watch, text, name(), None, step.taught.side);
                }
                _ => {}
            }
        }
    }
}

/// Lines beside one step, those that say the same merged.
#[derive(Default)]
struct Lines {
    found: Vec<(Beside, Vec<(String, Side)>)>,
}

impl Lines {
    fn add(
        &mut self,
        margin: Margin,
        text: String,
        name: Option<String>,
        figure: Option<(PostureId, Side)>,
        on: Side,
    ) {
        let place = self
            .found
            .iter()
            .position(|(b, _)| b.margin == margin && b.text == text);
        let place = place.unwrap_or_else(|| {
            self.found.push((
                Beside {
                    margin,
                    text,
                    names: Vec::new(),
                    figure,
                },
                Vec::new(),
            ));
            self.found.len() - 1
        });
        if let Some(name) = name {
            let names = &mut self.found[place].1;
            if !names.contains(&(name.clone(), on)) {
                names.push((name, on));
            }
        }
    }

    /// Sorted by margin; a choice that only one side needs says which.
    fn finish(self, steps: &[&Step]) -> Vec<Beside> {
        let both = steps
            .iter()
            .any(|step| step.taught.side != steps[0].taught.side);
        let mut lines: Vec<Beside> = Vec::new();
        for (beside, names) in self.found {
            let sides: Vec<Side> = names.iter().map(|(_, on)| *on).collect();
            let one_side = both
                && !sides.is_empty()
                && sides[0] != Side::None
                && sides.iter().all(|on| *on == sides[0]);
            let text = match one_side {
                true => format!("on the {}: {}", side(sides[0]), lower(&beside.text)),
                false => beside.text.clone(),
            };
            let mut short: Vec<String> = names.into_iter().map(|(name, _)| name).collect();
            short.sort();
            short.dedup();
            lines.push(Beside {
                text,
                names: short,
                ..beside
            });
        }
        lines.sort_by_key(|line| line.margin);
        lines
    }
}
