//! Advice on the plan: what would make the class easier to teach. Never a bar.

use super::Scene;
use super::stretches::{house, of_words, stretches, trips};
use crate::adapted::{Adapted, Advice, AdviceKind};
use crate::sheets::words::{counted, minutes};

/// The final rest that a plan keeps: the larger of 5 minutes and a tenth of the class; 3 minutes in
/// classes of up to 30 (job.md 1.5, our choice after V 91).
pub(super) fn least_rest_s(slot_s: u32) -> u32 {
    if slot_s <= 30 * 60 {
        180
    } else {
        (slot_s / 10).max(300)
    }
}

impl Scene<'_> {
    /// All advice, in the order of the contract's kinds.
    pub(super) fn advice(&self, adapted: &Adapted) -> Vec<Advice> {
        let mut advice = Vec::new();
        advice.extend(self.replace(adapted));
        advice.extend(self.trips());
        advice.extend(self.long_bouts());
        advice.extend(self.over_time(adapted));
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
                if let Some(kinder) = kinder {
                    found.push(Advice {
                        kind: AdviceKind::ReplacePosture,
                        text: format!(
                            "Step {}: {away} of {in_room} do something other than {}. {} for all \
                             would leave fewer choices to say.",
                            step.line, step.taught.name, kinder.name
                        ),
                        steps: vec![step.index],
                        students: away,
                    });
                }
            }
        }
        found
    }

    /// Trips to the floor beyond those of the house.
    fn trips(&self) -> Option<Advice> {
        let down: Vec<usize> = trips(self.table).iter().map(|at| at + 1).collect();
        let most = usize::try_from(self.task.library.budgets.house_trips).unwrap_or(usize::MAX);
        (down.len() > most).then(|| Advice {
            kind: AdviceKind::GroupLevels,
            text: format!(
                "The class goes down to the floor {} times. Grouped by level, {most} would do.",
                down.len()
            ),
            students: 0,
            steps: down,
        })
    }

    /// Runs of something that pass the house budget, in the class as taught.
    fn long_bouts(&self) -> Vec<Advice> {
        let library = self.task.library;
        let mut found = Vec::new();
        for &of in library.budgets.house.keys() {
            let Some(most) = house(self.table, library, of).bout_s else {
                continue;
            };
            let stretches = stretches(self.table, library, of);
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
            text: format!(
                "Runs {} over. Trim the longest standing part, both sides alike; the rest stays.",
                minutes(over)
            ),
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

    fn wrong_class(&self, adapted: &Adapted) -> Vec<Advice> {
        adapted
            .students
            .iter()
            .filter(|student| student.stray_share > 0.5 && !student.confidential)
            .map(|student| Advice {
                kind: AdviceKind::WrongClass,
                text: format!(
                    "{} does something other than the class for most of it. Another class may be \
                     kinder.",
                    student.name
                ),
                steps: Vec::new(),
                students: 1,
            })
            .collect()
    }
}
