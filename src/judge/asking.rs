//! What is asked of a person before class, and what is only remembered.

use jiff::civil::Date;

use super::facts::{Counted, Line, Person};
use super::{guidance, weeks};
use crate::adapted::{CautionKind, State};
use crate::library::rule::{Clock, NOT_TOLD, Rule};
use crate::roster::{Approach, Asked, Heard, Where};
use crate::words::{Severity, Strength, Verdict};

impl Person<'_> {
    /// Writes the questions and reminders.
    pub(super) fn ask(&mut self, date: Date, withheld: bool) {
        let mut lines = Vec::new();
        let mut question = |kind, text: String, strength| {
            lines.push(Line {
                kind,
                text,
                ask: true,
                strength,
            });
        };
        if withheld {
            let text = "under 18: is the guardian’s form in?".to_owned();
            question(CautionKind::NotAsked, text, Strength::CommonPractice);
        }
        match self.student.asked {
            Asked::No | Asked::Blank if self.student.place == Where::Recording => {}
            Asked::Blank => question(
                CautionKind::NotAsked,
                "blank form: anything to know today? Planned for as unknown.".to_owned(),
                Strength::CommonPractice,
            ),
            Asked::No => question(
                CautionKind::NotAsked,
                "never asked: anything to know today? Planned for as unknown.".to_owned(),
                Strength::CommonPractice,
            ),
            Asked::Declined => question(
                CautionKind::NotAsked,
                "would rather not say: nothing is asked again. Planned for as unknown.".to_owned(),
                Strength::OwnWord,
            ),
            Asked::Yes => {}
        }
        if self.student.place == Where::Recording && self.state == State::Told {
            let text = "told something, but watches a recording, made for nobody in particular: nothing told is \
                        planned for. Do they know?";
            question(
                CautionKind::Unrecognised,
                text.to_owned(),
                Strength::OwnWord,
            );
        }
        for (text, asked) in &self.unrecognised {
            let text = match asked {
                Some(asked) => format!("wrote “{text}”: {asked}?"),
                None => format!("wrote “{text}”: ask what it means for today."),
            };
            question(CautionKind::Unrecognised, text, Strength::OwnWord);
        }
        for heard in &self.student.heard {
            if let Heard::Ask {
                words,
                question: asked,
            } = heard
            {
                let text = format!("“{words}”: {asked}?");
                question(CautionKind::Unrecognised, text, Strength::OwnWord);
            }
        }
        for counted in &self.told {
            for (kind, text) in questions(counted, self.student.recorded, date) {
                question(kind, text, Strength::CommonPractice);
            }
        }
        // Of whoever did not tell how far along they are that is asked.
        for counted in self.told.iter().filter(|told| told.age.is_some()) {
            let watched = |rule: &&Rule| {
                let mut in_force = self.rules.iter();
                in_force.any(|one| one.rule == rule.id && one.verdict == Verdict::Watch)
            };
            let once = counted.kind.rules.iter().filter(watched);
            for text in once.filter_map(|rule| rule.ask_once.clone()) {
                question(CautionKind::AskFirst, text, Strength::Disputed);
            }
        }
        for heard in &self.student.heard {
            if let Heard::Reminder(words) = heard {
                lines.push(Line {
                    kind: CautionKind::Reminder,
                    text: format!("wrote “{words}”: nothing is planned from it."),
                    ask: false,
                    strength: Strength::OwnWord,
                });
            }
        }
        self.lines = lines;
    }
}

/// What has to be asked about a limitation.
fn questions(
    counted: &Counted<'_>,
    recorded: Option<Date>,
    date: Date,
) -> Vec<(CautionKind, String)> {
    let (told, kind) = (counted.told, counted.kind);
    let name = &kind.name;
    let mut found = Vec::new();
    if kind.rules.is_empty() {
        found.push((
            CautionKind::Unrecognised,
            format!("{name}: ask before class; there are no rules for this yet."),
        ));
        return found;
    }
    let site_matters = kind.of_area.is_some() || is_told_apart(&kind.rules, |rule| &rule.sites);
    if site_matters && counted.site().is_none() {
        let words = told.site.as_ref();
        let words = words.map_or_else(String::new, |site| format!(", “{site}”"));
        found.push((
            CautionKind::Unrecognised,
            format!("{name}{words}: which part is it? All that may matter is minded until asked."),
        ));
    } else if counted.has_side() && told.side.is_none() {
        found.push((
            CautionKind::Unrecognised,
            format!("{name}: which side? Both are spared until asked."),
        ));
    }
    if is_told_apart(&kind.rules, |rule| &rule.kinds) && told.kind.is_empty() {
        let text = format!("{name}: of what kind? All are minded until asked.");
        found.push((CautionKind::Unrecognised, text));
    }
    let approaches = kind.rules.iter().any(|rule| !rule.approaches.is_empty());
    if approaches && matches!(told.approach, None | Some(Approach::NotKnown)) {
        let text = format!(
            "{name}: from the front, the back or the side? All three are minded until asked."
        );
        found.push((CautionKind::Unrecognised, text));
    }
    let vague = told.on.or(told.due).is_some_and(|day| !day.is_exact()) && day_matters(counted);
    match (kind.clock, counted.age) {
        (Clock::Pregnancy, None) => {
            found.push((
                CautionKind::Unrecognised,
                format!("{name}: when is it due?"),
            ));
        }
        (Clock::Since, None) => {
            let text = format!("{name}: when was it? Read as recent until asked.");
            found.push((CautionKind::Unrecognised, text));
        }
        (_, Some(_)) if vague => {
            found.push((
                CautionKind::Unrecognised,
                format!("{name}: which day? The strictest that fits is planned."),
            ));
        }
        (Clock::Pregnancy, Some(age))
            if age.least_days > weeks::TERM_DAYS + weeks::PAST_DUE_DAYS =>
        {
            found.push((
                CautionKind::Stale,
                format!("{name}: the due date is past. Has the baby come?"),
            ));
        }
        _ => {}
    }
    if let (Some(recorded), false, Some(limit)) = (recorded, counted.today, stale_after(counted)) {
        let days = weeks::days_between(recorded, date);
        if days > i64::from(limit) {
            let text = format!("{name}: told {} ago. Still so?", weeks::in_round(days));
            found.push((CautionKind::Stale, text));
        }
    }
    found
}

/// Whether the day itself may change anything: it is less than a year ago, so that what a clinician has said
/// since still counts, or a rule begins or ends within what fits.
fn day_matters(counted: &Counted<'_>) -> bool {
    let Some(age) = counted.age.filter(|_| counted.kind.clock == Clock::Since) else {
        return true;
    };
    let areas = counted.areas.iter().copied();
    let mut rules = std::iter::once(counted.kind)
        .chain(areas)
        .flat_map(|kind| &kind.rules);
    age.least_days <= guidance::VALID_DAYS
        || rules.any(|rule| {
            let ends = [rule.window.from_days, rule.window.to_days];
            let within = |day: &i64| age.least_days < *day && *day <= age.most_days;
            ends.iter().flatten().any(within)
        })
}

/// Whether rules tell apart what was told and what was not.
fn is_told_apart(rules: &[Rule], words: impl Fn(&Rule) -> &Vec<String>) -> bool {
    rules
        .iter()
        .any(|rule| words(rule).iter().any(|word| word == NOT_TOLD))
}

/// After how many days a fact is asked about again. Not known how long ago it was: the shorter time.
fn stale_after(counted: &Counted<'_>) -> Option<u32> {
    let stale = counted.kind.stale;
    let early = stale
        .early
        .filter(|(_, until)| counted.age.is_none_or(|age| age.least_days < *until));
    match (early, counted.severity) {
        (Some((days, _)), _) => Some(days),
        (None, Severity::Acute) => stale.acute_days,
        (None, Severity::Mild | Severity::Moderate) => stale.usual_days,
    }
}
