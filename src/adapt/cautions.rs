//! The cautions list and the questions for before class.
//!
//! One line per person and matter, with the steps behind it. Invariant: a limitation whose rules
//! met nothing in this class prints nothing, and what a clinician or a student said is quoted
//! whole.

use std::collections::BTreeSet;

use jiff::ToSpan;

use super::Scene;
use super::around::{access_advice, around};
use super::met::{Named, told_as};
use super::signs::EVERYONE;
use crate::adapted::{Adapted, Ask, Caution, CautionKind, State, StudentPlan};
use crate::judge::facts::Person;
use crate::judge::guidance;
use crate::roster::{Access, Asked, Guidance, Told, Touch, VagueDate};
use crate::sheets::words::steps;
use crate::words::Strength;

impl Scene<'_> {
    /// Cautions, most pressing first, and questions in the same order.
    pub(super) fn cautions(&self, adapted: &Adapted) -> (Vec<Caution>, Vec<Ask>) {
        let mut cautions = Vec::new();
        for student in &adapted.students {
            let person = self
                .people
                .iter()
                .find(|person| person.student.id == student.id);
            if let Some(person) = person {
                self.of_person(person, student, &mut cautions);
                cautions.extend(self.stances(person, student));
            }
        }
        cautions.sort_by_key(|caution| caution.kind);
        cautions.extend(self.warning_signs());
        let asks = cautions
            .iter()
            .filter(|caution| is_question(caution))
            .filter_map(|caution| {
                let student = caution.student.clone()?;
                Some(Ask {
                    student,
                    text: caution.text.clone(),
                })
            })
            .collect();
        (cautions, asks)
    }

    fn of_person(&self, person: &Person<'_>, plan: &StudentPlan, out: &mut Vec<Caution>) {
        let mut add = |kind, text: String, steps: Vec<usize>, strength, source| {
            out.push(Caution {
                student: Some(plan.id.clone()),
                kind,
                text,
                steps,
                strength,
                source,
                stance: None,
                confidential: plan.confidential,
            });
        };
        for told in &person.student.today {
            add(
                CautionKind::Today,
                self.today_words(told),
                Vec::new(),
                Strength::OwnWord,
                None,
            );
        }
        for (limitation, met) in self.met(person, plan) {
            let steps: Vec<usize> = met.steps.iter().copied().collect();
            let strength = met.strength.unwrap_or(Strength::CommonPractice);
            let name = |of: &Named| self.told_words(person, &limitation, of.sides);
            let known = self.task.library.limitations.get(&limitation);
            let caution = known
                .and_then(|known| known.caution.clone())
                .unwrap_or_default();
            let waits = &met.waiting;
            if !waits.is_empty() {
                let text = format!(
                    "{}: what has their clinician said about {}? Kept away until that is known.",
                    name(waits),
                    waits.listed()
                );
                let (steps, source) = (steps.clone(), met.source.clone());
                add(CautionKind::AskFirst, text, steps, strength, source);
            }
            let (kept, spared, watched) = (&met.kept, &met.spared, &met.watched);
            let changed = [("kept from", kept), ("spared", spared)];
            let mut said: Vec<(&str, &Named)> = changed.to_vec();
            said.retain(|(_, of)| !of.is_empty());
            if said.is_empty() && !watched.is_empty() {
                said.push(("watch", watched));
            }
            if !said.is_empty() {
                let sides = said.iter().fold([false; 2], |[left, right], (_, of)| {
                    [left || of.sides[0], right || of.sides[1]]
                });
                // Met without a side as well as on one: all that was told of it.
                let whole = said.iter().any(|(_, of)| of.sides == [false; 2]);
                let sides = if whole { [false; 2] } else { sides };
                let words = said
                    .iter()
                    .map(|(says, of)| format!("{says} {}", of.listed()));
                let words = words.collect::<Vec<_>>().join("; ");
                let text = self.with_a_chair(person, &limitation).unwrap_or_else(|| {
                    let name = self.told_words(person, &limitation, sides);
                    format!("{name}: {words}. {caution}")
                });
                let text = text.trim_end().to_owned();
                add(CautionKind::Watch, text, steps, strength, met.source);
            }
        }
        for (text, step, finding) in self.refused(person) {
            let (strength, source) = (finding.strength, finding.source);
            add(CautionKind::AskFirst, text, vec![step], strength, source);
        }
        let asked = [
            self.asked_where_nothing_is_left(person),
            self.asked_about_own(person),
        ];
        for (text, steps) in asked.into_iter().flatten() {
            let strength = Strength::CommonPractice;
            add(CautionKind::AskFirst, text, steps, strength, None);
        }
        for (text, step, finding) in self.offered_and_kept(person) {
            let (strength, source) = (finding.strength, finding.source);
            add(CautionKind::Watch, text, vec![step], strength, source);
        }
        for line in &person.lines {
            add(
                line.kind,
                line.text.clone(),
                Vec::new(),
                line.strength,
                None,
            );
        }
        if person
            .told
            .iter()
            .filter_map(|told| told.told.note.as_deref())
            .any(written_by_another)
        {
            let text = "somebody else wrote this for them: do they know of it, and agree?";
            add(
                CautionKind::Unrecognised,
                text.to_owned(),
                Vec::new(),
                Strength::CommonPractice,
                None,
            );
        }
        if person.rest_only {
            let text = "rest only until their doctor or midwife has said that they may take part.";
            add(
                CautionKind::AskFirst,
                text.to_owned(),
                Vec::new(),
                Strength::Guideline,
                None,
            );
        }
        for said in &person.student.guidance {
            let words = said.says.as_deref().unwrap_or("(no words noted)");
            let when = said.on.map_or_else(|| "no date".to_owned(), vague);
            let mut text = format!("{}, {when}: “{words}”", said.from);
            let idle = self.not_acted_on(person, said);
            if let Some(gloss) = self.gloss(person, said).filter(|_| idle.is_none()) {
                text = format!("{text} ({gloss})");
            }
            // What is not acted on is no more than what they told.
            let strength = match idle {
                None => Strength::Clinician,
                Some(why) => {
                    text = format!("{text} (not acted on: {why})");
                    Strength::OwnWord
                }
            };
            add(CautionKind::Guidance, text, Vec::new(), strength, None);
        }
        let may_tap = person.student.touch == Touch::Yes;
        let arms = self.has_arms();
        let access = plan.access.iter();
        let access = access.map(|text| access_advice(text, may_tap));
        for text in access
            .chain(around(person.student, arms))
            .chain(self.at_the_wall(person))
        {
            add(
                CautionKind::Access,
                text,
                Vec::new(),
                Strength::OwnWord,
                None,
            );
        }
        if plan.late_min > 0 {
            let text = format!(
                "{} min late: a word at the door, then arms up and small knee bends to catch up.",
                plan.late_min
            );
            add(
                CautionKind::Late,
                text,
                Vec::new(),
                Strength::CommonPractice,
                None,
            );
        }
        for (text, strength) in self.reminders(person, plan) {
            add(CautionKind::Reminder, text, Vec::new(), strength, None);
        }
        // Who would rather not say has a line of their own, which says the same.
        if person.unknown && plan.state != State::Declined && plan.place != "recording" {
            let why = match plan.state {
                _ if person.student.asked == Asked::Blank => "blank form",
                State::NotAsked => "not asked",
                _ if person.student.under_18 => "nothing counts without the guardian’s form",
                _ => "nothing told was understood",
            };
            let text = format!("{why}: unknown; a choice for anyone is theirs too.");
            let strength = Strength::CommonPractice;
            add(CautionKind::Reminder, text, Vec::new(), strength, None);
        }
    }

    /// Why nothing is taken from somebody's words, in few of ours: they are nobody's who may speak, or open
    /// something that they may not open on the day. None where they act, and where they open nothing anyway.
    fn not_acted_on(&self, person: &Person<'_>, said: &Guidance) -> Option<&'static str> {
        if !guidance::may_speak(said) {
            return Some("not a clinician’s word");
        }
        let opening = said.cleared || !said.allows.is_empty();
        if !opening || !said.limits.is_empty() || said.rest {
            return None;
        }
        let date = self.task.date;
        if guidance::opens_on(said, None, date) {
            let only_one = person.told.len() == 1;
            let mut about = person.told.iter().filter(|told| {
                guidance::is_about(said, &told.told.what, only_one) && told.age.is_some()
            });
            let before = about.any(|told| {
                let begun = told.age.map_or(0, |age| age.least_days);
                let event = date.checked_sub(begun.days()).ok();
                !guidance::opens_on(said, event, date)
            });
            return before.then_some("from before it happened, or the same day");
        }
        Some(match said.on {
            None => "no date",
            Some(_) if !said.opens => "at second hand, or not yet",
            Some(on) if on.latest > date => "its date may be after the class",
            Some(_) => "over a year old",
        })
    }

    /// In the sheet's language, a clinician's words that may be in another: what the lexicon knows of them
    /// (rules, section 6), and what the plan takes from them.
    fn gloss(&self, person: &Person<'_>, said: &Guidance) -> Option<String> {
        let foreign = |access: &Access| matches!(access, Access::Speaks(code) if code != "en");
        if said.says.is_none() || !person.student.access.iter().any(foreign) {
            return None;
        }
        let number = |number: &Option<f64>| number.map_or(String::new(), |n| format!(" past {n}"));
        let limits = said.limits.iter();
        let limits =
            limits.map(|(demand, n)| format!("no {}{}", self.demand_words(demand), number(n)));
        let allows = said.allows.iter();
        let allows = allows.map(|demand| format!("{} allowed", self.demand_words(demand)));
        let cleared = said.cleared.then(|| "may take part".to_owned());
        let rest = said.rest.then(|| "rest until a later word".to_owned());
        let taken: Vec<String> = limits.chain(allows).chain(cleared).chain(rest).collect();
        let english = said.english.join(", ");
        Some(match (english.is_empty(), taken.is_empty()) {
            (true, true) => "not understood, nothing is taken from it: ask what it says".to_owned(),
            (true, false) => format!("taken as: {}", taken.join(", ")),
            (false, true) => english,
            (false, false) => format!("{english}; taken as: {}", taken.join(", ")),
        })
    }

    /// What is good to have in mind of a person, and how strongly it is backed: their good hours, what
    /// what they told asks of the teacher, what they would rather not do.
    fn reminders(&self, person: &Person<'_>, plan: &StudentPlan) -> Vec<(String, Strength)> {
        let told = person.told.iter();
        let told_notes = told.clone().filter_map(|told| told.told.note.as_deref());
        let notes = person.student.note.as_deref().into_iter().chain(told_notes);
        let hours = notes.filter_map(|note| self.good_hours(note)).next();
        let hours = hours.map(|text| (text, Strength::OwnWord));
        let kept_in_mind = told.filter_map(|told| {
            let remind = told.kind.remind.as_ref()?;
            let at = match &remind.when {
                Some(when) => format!(" At {}.", steps(&self.lines_where(plan, told, when)?)),
                None => String::new(),
            };
            let text = format!("{}: {}.{at}", told_as(told), remind.words);
            Some((text, Strength::CommonPractice))
        });
        let declined = person.student.declines.iter().map(|decline| {
            let text = format!(
                "would rather not: “{}”. Their choice; not offered.",
                decline.words
            );
            (text, Strength::OwnWord)
        });
        hours
            .into_iter()
            .chain(kept_in_mind)
            .chain(declined)
            .collect()
    }

    fn today_words(&self, told: &Told) -> String {
        match told {
            Told::Words { text, .. } => format!("said today: “{text}”"),
            Told::Limitation(told) => {
                let known = self.task.library.limitations.get(&told.what);
                let name = known.map_or(told.what.as_str(), |known| known.name.as_str());
                let severity = told.severity.map_or(String::new(), |s| format!(", {s}"));
                let said = told.note.as_ref();
                let said = said.map_or_else(|| name.to_owned(), |note| format!("“{note}”"));
                format!(
                    "said today: {said}. How is it now? Planned as {name}{severity}; this outranks the form."
                )
            }
        }
    }

    /// Stop signs: the set for everyone, then the sets of the people present by their letter, so that the
    /// order of the roster changes nothing.
    fn warning_signs(&self) -> Vec<Caution> {
        let told = self.people.iter().flat_map(|person| &person.told);
        let theirs: BTreeSet<&str> = told
            .flat_map(|told| told.kind.signs.iter().map(String::as_str))
            .filter(|letter| *letter != EVERYONE)
            .collect();
        std::iter::once(EVERYONE)
            .chain(theirs)
            .filter_map(|letter| self.task.library.signs.get(letter))
            .map(|text| Caution {
                student: None,
                kind: CautionKind::WarningSigns,
                text: text.clone(),
                steps: Vec::new(),
                strength: Strength::CommonPractice,
                source: None,
                stance: None,
                confidential: false,
            })
            .collect()
    }
}

/// Whether a caution asks something of the person before class.
fn is_question(caution: &Caution) -> bool {
    matches!(
        caution.kind,
        CautionKind::Today
            | CautionKind::AskFirst
            | CautionKind::Unrecognised
            | CautionKind::Stale
            | CautionKind::NotAsked
    )
}

/// A day as it was told.
pub(super) fn vague(date: VagueDate) -> String {
    let day = date.earliest;
    if date.is_exact() {
        return day.strftime("%-d %B %Y").to_string();
    }
    let same_month = day.month() == date.latest.month() && day.year() == date.latest.year();
    if same_month {
        day.strftime("%B %Y").to_string()
    } else {
        day.year().to_string()
    }
}

/// Who else may have written somebody's facts, as a note begins.
const WRITERS: [&str; 8] = [
    "carer", "mother", "father", "daughter", "son", "wife", "husband", "partner",
];

/// Whether a note says that somebody else wrote it: "carer wrote: …".
fn written_by_another(note: &str) -> bool {
    let words: Vec<String> = note
        .split_whitespace()
        .take(3)
        .map(str::to_lowercase)
        .collect();
    let wrote = |word: &String| word.trim_end_matches(':') == "wrote";
    words.iter().any(|word| WRITERS.contains(&word.as_str())) && words.iter().any(wrote)
}
