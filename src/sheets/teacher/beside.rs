//! The lines beside a step: what to fetch, say aloud, say in one ear, watch; and for whom.

use super::super::changes::eased;
use super::super::reading::Reading;
use super::super::sides::{On, with_sides};
use super::super::words::{counted, lower};
use super::ANYONE;
use super::floor::{Beside, Margin};
use crate::adapted::{Assignment, Step, StudentPlan};
use crate::words::{PostureId, Prop, Side, Verdict};

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
            let text = match fetch.then.as_str() {
                // A place at the wall is nothing to put away.
                _ if fetch.prop == Prop::Wall => counted(fetch.number, fetch.prop),
                // What is said nowhere is kept until it is needed again.
                "keep it by you" => counted(fetch.number, fetch.prop),
                then => format!("{}, {then}", counted(fetch.number, fetch.prop)),
            };
            lines.add(Margin::Fetch, &text, None);
        }
        for words in &first.or {
            lines.add(Margin::Aloud, words, None);
        }
        for step in steps {
            self.options(step, &mut lines);
            for student in self.named() {
                let assignment = student.assignments.get(step.index - 1);
                if let Some(assignment) = assignment {
                    self.personal(student, assignment, step, &mut lines);
                }
            }
        }
        let two_sided = steps
            .iter()
            .any(|step| step.taught.side != first.taught.side);
        lines.finish(two_sided)
    }

    /// Everyone who may be named beside a step; whoever watches later is nobody to point at.
    fn named(&self) -> impl Iterator<Item = &'a StudentPlan> {
        let students = self.adapted.students.iter();
        students.filter(|student| !student.confidential && student.place != "recording")
    }

    fn options(&self, step: &Step, lines: &mut Lines) {
        for option in &step.options {
            let margin = if option.spoken {
                Margin::Aloud
            } else {
                Margin::Quiet
            };
            let figure = Some((option.posture.clone(), option.side));
            let on = On {
                turn: step.taught.side,
                body: Side::None,
            };
            let named: Vec<&StudentPlan> = self
                .named()
                .filter(|student| option.students.contains(&student.id))
                .collect();
            for student in &named {
                let name = Some((student.short_name.clone(), on));
                lines.add(margin, &option.cue, name).figure = figure.clone();
            }
            // What serves only somebody who is not to be named is there for anyone.
            if option.for_anyone || named.is_empty() {
                let everywhere = On {
                    turn: Side::None,
                    body: Side::None,
                };
                let name = Some((ANYONE.to_owned(), everywhere));
                lines.add(margin, &option.cue, name).figure = figure;
            }
        }
    }

    /// Words for one person at one step: a rest, an easing, something to watch.
    fn personal(
        &self,
        student: &StudentPlan,
        assignment: &Assignment,
        step: &Step,
        lines: &mut Lines,
    ) {
        let turn = step.taught.side;
        let name = |body| Some((student.short_name.clone(), On { turn, body }));
        if assignment.sit_out {
            let posture = self.library.postures.get(&assignment.posture);
            let text = posture.map_or("pause as you are".to_owned(), |p| lower(&p.choice));
            lines.add(Margin::Quiet, &format!("rest: {text}"), name(Side::None));
        }
        for (words, body) in eased(assignment) {
            lines.add(Margin::Quiet, words, name(body));
        }
        for finding in &assignment.verdicts {
            if finding.verdict == Verdict::Watch {
                let body = super::super::changes::body_side(assignment, finding);
                lines.add(Margin::Watch, &self.demand(&finding.demand), name(body));
            }
        }
    }
}

/// Lines beside one step, those that say the same merged.
#[derive(Default)]
struct Lines {
    found: Vec<Found>,
}

/// What is said beside a step, and to whom on which side.
struct Found {
    margin: Margin,
    words: String,
    figure: Option<(PostureId, Side)>,
    names: Vec<(String, On)>,
}

impl Lines {
    fn add(&mut self, margin: Margin, words: &str, name: Option<(String, On)>) -> &mut Found {
        let place = self
            .found
            .iter()
            .position(|found| found.margin == margin && found.words == words);
        let place = place.unwrap_or_else(|| {
            self.found.push(Found {
                margin,
                words: words.to_owned(),
                figure: None,
                names: Vec::new(),
            });
            self.found.len() - 1
        });
        let found = &mut self.found[place];
        if let Some(name) = name
            && !found.names.contains(&name)
        {
            found.names.push(name);
        }
        found
    }

    /// Sorted by margin; who needs the same on the same sides stands behind one line.
    fn finish(self, two_sided: bool) -> Vec<Beside> {
        let mut lines: Vec<Beside> = Vec::new();
        for found in self.found {
            let mut said: Vec<(String, Vec<String>)> = Vec::new();
            let mut people: Vec<&String> = found.names.iter().map(|(name, _)| name).collect();
            people.sort();
            people.dedup();
            // A choice is said once to all who take it; what eases a shape is said to each.
            let together = found.figure.is_some();
            for name in &people {
                let on: Vec<On> = found
                    .names
                    .iter()
                    .filter(|(other, _)| together || other == *name)
                    .map(|(_, on)| *on)
                    .collect();
                let text = with_sides(&found.words, &on, two_sided);
                match said.iter_mut().find(|(known, _)| *known == text) {
                    Some((_, names)) => names.push((*name).clone()),
                    None => said.push((text, vec![(*name).clone()])),
                }
            }
            if people.is_empty() {
                said.push((found.words.clone(), Vec::new()));
            }
            lines.extend(said.into_iter().map(|(text, names)| Beside {
                margin: found.margin,
                text,
                names,
                figure: found.figure.clone(),
            }));
        }
        lines.sort_by_key(|line| line.margin);
        lines
    }
}
