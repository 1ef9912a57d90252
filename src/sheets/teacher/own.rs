//! What stands on the own page before the people: who comes, what changes, what to ask and set out.

use std::collections::BTreeMap;

use super::super::reading::Reading;
use super::super::words::{counted, minutes, plural};
use super::floor::Margin;
use super::once::Floor;
use crate::adapted::AdviceKind;
use crate::words::Level;

impl Reading<'_> {
    pub(super) fn who(&self) -> String {
        let there = |place: &str| {
            self.adapted
                .students
                .iter()
                .filter(|s| s.place == place)
                .count()
        };
        let (room, video, later) = (there("room"), there("video"), there("recording"));
        let mut parts = vec![match self.adapted.students.len() {
            0 => "A version for everybody: nobody is named".to_owned(),
            _ => format!("{} in the room", plural(room, "person", "people")),
        }];
        if video > 0 {
            parts.push(format!("{video} on video"));
        }
        if later > 0 {
            parts.push("a recording for people who watch later".to_owned());
        }
        let floor = match self.goes_to_the_floor() {
            true => "",
            false => " Nobody goes to the floor.",
        };
        format!("{}.{floor}", parts.join(", "))
    }

    pub(super) fn summary(&self, floor: &Floor) -> Vec<String> {
        let class = &self.adapted.class;
        let sit_outs: Vec<String> = self
            .adapted
            .students
            .iter()
            .filter(|student| student.assignments.iter().any(|a| a.sit_out))
            .map(|student| student.short_name.clone())
            .collect();
        let for_all = self.adapted.students.is_empty();
        let rest = match sit_outs.len() {
            0 if for_all && self.adapted.plan.sit_outs > 0 => {
                "At some steps a rest or a pause stands for everybody.".to_owned()
            }
            0 => "Nobody sits out.".to_owned(),
            _ => format!("Sits out at a step: {}.", sit_outs.join(", ")),
        };
        let ends = match self.start {
            Some(_) => format!("Ends {}.", self.at(class.adapted_s)),
            None => format!("Lasts {}.", minutes(class.adapted_s)),
        };
        let mut summary = vec![format!("{ends} {}{rest}", self.rest_kept())];
        summary.push(self.leads_changed());
        summary.push(to_say(floor));
        summary.push(self.proof());
        if !self.library.replaced.is_empty() {
            let replaced = self.library.replaced.join(", ");
            summary.push(format!("Your own library replaces: {replaced}."));
        }
        summary
    }

    fn rest_kept(&self) -> String {
        let short = self
            .adapted
            .advice
            .iter()
            .find(|a| a.kind == AdviceKind::RestShort);
        if let Some(short) = short {
            return format!("{} ", short.text);
        }
        let rest = self.adapted.steps.iter().rev().find(|step| {
            let posture = self.library.postures.get(&step.taught.posture);
            posture.is_some_and(|p| p.purposes.get("rest").is_some_and(|&weight| weight >= 2))
        });
        rest.map_or_else(String::new, |rest| {
            format!("The rest at the end keeps its {}. ", minutes(rest.hold_s))
        })
    }

    fn leads_changed(&self) -> String {
        let mut lines: BTreeMap<usize, bool> = BTreeMap::new();
        let mut reasons: BTreeMap<String, usize> = BTreeMap::new();
        for step in &self.adapted.steps {
            let changed = step.lead.posture != step.taught.posture;
            let first = lines.insert(step.line, changed).is_none();
            if changed && first {
                for cause in &step.lead.changed_because {
                    *reasons.entry(self.demand(&cause.demand)).or_insert(0) += cause.students;
                }
            }
        }
        let changed: Vec<String> = lines
            .iter()
            .filter(|(_, changed)| **changed)
            .map(|(line, _)| line.to_string())
            .collect();
        if changed.is_empty() {
            return format!("You show all {} shapes as planned.", lines.len());
        }
        let mut reasons: Vec<(usize, String)> = reasons
            .into_iter()
            .map(|(reason, count)| (count, reason))
            .collect();
        reasons.sort_by(|a, b| b.cmp(a));
        let reasons: Vec<String> = reasons
            .into_iter()
            .take(3)
            .map(|(_, reason)| reason)
            .collect();
        let why = if reasons.is_empty() {
            String::new()
        } else {
            format!(" ({})", reasons.join(", "))
        };
        format!(
            "{} of {} lead shapes changed: {}{why}.",
            changed.len(),
            lines.len(),
            changed.join(", ")
        )
    }

    fn proof(&self) -> String {
        let plan = &self.adapted.plan;
        if plan.proved_optimal {
            return "This is the least change to your class under your settings (proved)."
                .to_owned();
        }
        let gap = plan.objective - plan.lower_bound;
        let tenths = (gap * 1000).checked_div(plan.objective.max(1)).unwrap_or(0) + 1;
        format!(
            "Change to your class: within {}.{} % of the least.",
            tenths / 10,
            tenths % 10
        )
    }

    pub(super) fn advice(&self) -> Vec<String> {
        // What runs short stands in a list of its own; what one more or two waves would do, here.
        let wanted = |advice: &crate::adapted::Advice| match advice.kind {
            AdviceKind::PropShort => advice.steps.len() != 1,
            kind => matches!(
                kind,
                AdviceKind::OverTime
                    | AdviceKind::ReplacePosture
                    | AdviceKind::GroupLevels
                    | AdviceKind::LongBout
                    | AdviceKind::WrongClass
            ),
        };
        let mut advice: Vec<&crate::adapted::Advice> = self
            .adapted
            .advice
            .iter()
            .filter(|advice| wanted(advice))
            .collect();
        advice.sort_by_key(|advice| advice.kind != AdviceKind::OverTime);
        advice
            .into_iter()
            .map(|advice| advice.text.clone())
            .collect()
    }

    /// One entry a person, in the order of their most pressing question.
    pub(super) fn ask(&self) -> Vec<(String, Vec<String>)> {
        let mut asked: Vec<(String, Vec<String>)> = Vec::new();
        for ask in &self.adapted.ask {
            let name = self
                .student(&ask.student)
                .map_or("", |student| student.name.as_str());
            match asked.iter_mut().find(|(known, _)| known == name) {
                // The same about the left and the right is asked once.
                Some((_, texts)) if texts.contains(&ask.text) => {}
                Some((_, texts)) => texts.push(ask.text.clone()),
                None => asked.push((name.to_owned(), vec![ask.text.clone()])),
            }
        }
        asked
    }

    pub(super) fn short(&self) -> Vec<String> {
        let line = |index: usize| self.adapted.steps.get(index.saturating_sub(1));
        self.adapted
            .short
            .iter()
            .map(|short| {
                let mut steps = short.again.clone();
                steps.push(short.step);
                steps.sort_unstable();
                let at: Vec<String> = steps
                    .into_iter()
                    .filter_map(line)
                    .map(|step| self.at(step.start_s))
                    .collect();
                let at = at.join(" and ");
                format!(
                    "{at}: {} for everyone, {} there. Instead: {}.",
                    counted(short.needed, short.prop),
                    short.stock,
                    short.stand_in
                )
            })
            .collect()
    }

    pub(super) fn say_once(&self) -> Vec<String> {
        let mut say = self.settings.say_once.clone();
        if say.is_empty() {
            say.push("Rest whenever you like. Stop before it hurts. Come up slowly.".to_owned());
        }
        say.extend(self.roll_to());
        say
    }

    /// To which side to come up from the back, where the teacher has set one, and what is said for either.
    fn roll_to(&self) -> Option<String> {
        let set = self.settings.stances.get("roll_to");
        let side = set.filter(|side| matches!(side.as_str(), "left" | "right"))?;
        let lies = self.adapted.steps.iter().any(|step| {
            let posture = self.library.postures.get(&step.taught.posture);
            posture.is_some_and(|posture| posture.level == Level::Supine)
        });
        lies.then(|| {
            let stance = self.library.stances.get("roll_to");
            let both = stance.map(|stance| format!(" Your setting; {}", self.both_sides(stance)));
            format!("Roll to the {side} to come up.{}", both.unwrap_or_default())
        })
    }

    pub(super) fn next(&self) -> Vec<String> {
        let mut next = Vec::new();
        let names: Vec<String> = self.ask().into_iter().map(|(name, _)| name).collect();
        if !names.is_empty() {
            let before = match self.start {
                Some(_) => format!("Before {}", self.at(0)),
                None => "Before class".to_owned(),
            };
            // A name such as “Joan F.” brings its own full stop.
            let names = names.join(", ");
            next.push(format!("{before}: ask {}.", names.trim_end_matches('.')));
        }
        next
    }
}

/// How much is said beside the class itself.
fn to_say(floor: &Floor) -> String {
    let (mut aloud, mut quiet, mut most) = (0, floor.once.len(), 0);
    for row in floor.sections.iter().flat_map(|section| &section.rows) {
        let of = |margin| row.beside.iter().filter(|b| b.margin == margin).count();
        aloud += of(Margin::Aloud);
        most = most.max(of(Margin::Aloud));
        quiet += of(Margin::Quiet);
    }
    match (aloud, quiet) {
        (0, 0) => "Nothing to say beside the class itself.".to_owned(),
        (0, quiet) => format!("Nothing extra to say aloud; {quiet} for a quiet word."),
        (aloud, quiet) => format!(
            "{} to say aloud, at most {most} at a step; {quiet} for a quiet word.",
            plural(aloud, "choice", "choices")
        ),
    }
}
