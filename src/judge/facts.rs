//! A person on the class's date: what is known, which rules are in force, what to ask.
//!
//! Takes a student as told and gives a [`Person`]. Invariant: an unknown person has no rule in
//! force and at least one question; nobody who told something loses a word of it.

use jiff::civil::Date;

use super::guidance;
use super::weeks::{self, Age};
use crate::adapted::{CautionKind, State};
use crate::library::Library;
use crate::library::condition::{Comparison, Condition, Grade, Quantity};
use crate::library::rule::{Clock, EaseBy, Easing, Limit, Limitation as Kind, Rule, RuleSide};
use crate::roster::{
    Approach, Asked, Guidance, Heard, Limitation, Student, Told, ToldSide, Touch, VagueDate, Where,
};
use crate::settings::Settings;
use crate::words::{
    BodySide, DemandId, LimitationId, RuleId, Severity, SourceId, Strength, Use, Verdict,
};

/// A student on the class's date.
#[derive(Clone, Debug)]
pub struct Person<'a> {
    /// As told.
    pub student: &'a Student,
    /// What is known.
    pub state: State,
    /// Nothing may be concluded: not asked, declined, not understood, or watching later.
    pub unknown: bool,
    /// Limitations that count today.
    pub told: Vec<Counted<'a>>,
    /// Rules in force.
    pub rules: Vec<InForce<'a>>,
    /// Personal budgets.
    pub budgets: Vec<(Use, Limit, &'a LimitationId)>,
    /// Questions and reminders, in the order found.
    pub lines: Vec<Line>,
    /// Words that were not understood, and what to ask if it is known.
    pub unrecognised: Vec<(&'a str, Option<&'a str>)>,
    /// A rule for the whole class holds: rest only until a word is recorded.
    pub rest_only: bool,
}

/// A limitation that counts on the date.
#[derive(Clone, Debug)]
pub struct Counted<'a> {
    /// As told.
    pub told: &'a Limitation,
    /// What the library knows of it.
    pub kind: &'a Kind,
    /// Moderate when nothing was said.
    pub severity: Severity,
    /// How far along, if anything was told.
    pub age: Option<Age>,
    /// Said at the door.
    pub today: bool,
    /// Left and right: which sides count.
    pub sides: [bool; 2],
}

/// A rule in force for one person.
#[derive(Clone, Debug)]
pub struct InForce<'a> {
    /// The rule's id; guidance has ids of its own.
    pub rule: RuleId,
    /// The limitation behind it.
    pub limitation: &'a LimitationId,
    /// The demand.
    pub demand: &'a DemandId,
    /// The demand's grade that it stands on; none for a number of its own.
    pub grade: Option<Grade>,
    /// When it fires.
    pub when: std::borrow::Cow<'a, Condition>,
    /// Left and right: which sides of the body are looked at.
    pub sides: [bool; 2],
    /// What it says.
    pub verdict: Verdict,
    /// How well it is backed.
    pub strength: Strength,
    /// Its first source.
    pub source: Option<&'a SourceId>,
    /// Why, in words.
    pub because: &'a str,
    /// How an `ease` is met.
    pub easing: std::borrow::Cow<'a, Easing>,
    /// A fit matter: nothing is printed.
    pub silent: bool,
}

/// A question or a reminder about a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is about.
    pub kind: CautionKind,
    /// In words.
    pub text: String,
    /// It is a question for before class.
    pub ask: bool,
    /// How well it is backed.
    pub strength: Strength,
}

/// Reads a student against a date.
pub fn person<'a>(
    student: &'a Student,
    library: &'a Library,
    settings: &Settings,
    date: Date,
) -> Person<'a> {
    let mut person = Person {
        student,
        state: state(student),
        unknown: false,
        told: Vec::new(),
        rules: Vec::new(),
        budgets: Vec::new(),
        lines: Vec::new(),
        unrecognised: Vec::new(),
        rest_only: false,
    };
    let withheld = student.under_18 && !student.guardian;
    if !withheld && student.asked == Asked::Yes && student.place != Where::Recording {
        person.count(library, date);
        for place in 0..person.told.len() {
            person.enforce(place, library, settings, date);
            person.budget(place, library, settings, date);
        }
        person.add_limits(library, date);
        person.rest_only |= guidance::asks_for_rest(&student.guidance, date);
    }
    let understood = !person.told.is_empty();
    person.unknown = withheld
        || student.place == Where::Recording
        || student.asked != Asked::Yes
        || (!person.unrecognised.is_empty() && !understood);
    person.ask(date, withheld);
    person
}

fn state(student: &Student) -> State {
    let nothing = student.limitations.is_empty() && student.today.is_empty();
    match student.asked {
        Asked::No => State::NotAsked,
        Asked::Declined => State::Declined,
        Asked::Yes if nothing && student.guidance.is_empty() && student.heard.is_empty() => {
            State::Nothing
        }
        Asked::Yes => State::Told,
    }
}

impl<'a> Person<'a> {
    /// Counts what was told: today's words outrank the form about the same thing.
    fn count(&mut self, library: &'a Library, date: Date) {
        let said_today: Vec<&LimitationId> = self.student.today.iter().filter_map(what).collect();
        let form = self
            .student
            .limitations
            .iter()
            .filter(|told| what(told).is_none_or(|what| !said_today.contains(&what)));
        let today = self.student.today.iter().map(|told| (told, true));
        for (told, today) in today.chain(form.map(|told| (told, false))) {
            match told {
                Told::Words { text, question, .. } => {
                    self.unrecognised.push((text, question.as_deref()));
                }
                Told::Limitation(told) => {
                    let Some(kind) = library.limitations.get(&told.what) else {
                        continue;
                    };
                    let recorded = if today {
                        Some(date)
                    } else {
                        self.student.recorded
                    };
                    self.told.push(Counted {
                        told,
                        kind,
                        severity: told.severity.unwrap_or(Severity::Moderate),
                        age: weeks::age(told, kind.clock, recorded, date),
                        today,
                        sides: sides(told.side),
                    });
                }
            }
        }
    }

    /// Whether a clinician's word opens something about a limitation on the date.
    fn word(&self, counted: &Counted<'a>, date: Date) -> impl Iterator<Item = &'a Guidance> {
        let only_one = self.told.len() == 1;
        let event = counted.told.on.map(|on: VagueDate| on.latest);
        let (what, today) = (&counted.told.what, counted.today);
        self.student.guidance.iter().filter(move |said| {
            !today
                && guidance::is_about(said, what, only_one)
                && guidance::opens_on(said, event, date)
        })
    }

    /// Puts a limitation's rules in force.
    fn enforce(&mut self, place: usize, library: &'a Library, settings: &Settings, date: Date) {
        let counted = self.told[place].clone();
        let words: Vec<&Guidance> = self.word(&counted, date).collect();
        let cleared = words.iter().any(|said| said.cleared);
        for rule in &counted.kind.rules {
            if !rule_holds(rule, &counted, library, settings, !words.is_empty()) {
                continue;
            }
            let Some(mut verdict) = verdict_of(rule, counted.severity, library, settings) else {
                continue;
            };
            let allowed = words.iter().any(|said| said.allows.contains(&rule.demand));
            if allowed && matches!(verdict, Verdict::Avoid | Verdict::AskFirst) {
                verdict = Verdict::Watch;
            }
            if cleared && verdict == Verdict::AskFirst {
                verdict = Verdict::Watch;
            }
            if rule.whole_class {
                self.rest_only |= verdict == Verdict::AskFirst;
                continue;
            }
            self.rules.push(InForce {
                rule: rule.id.clone(),
                limitation: &counted.kind.id,
                demand: &rule.demand,
                grade: rule.grade,
                when: std::borrow::Cow::Borrowed(&rule.when),
                sides: looked_at(rule.side, counted.sides),
                verdict,
                strength: rule.strength,
                source: rule.sources.first(),
                because: &rule.because,
                easing: std::borrow::Cow::Borrowed(&rule.easing),
                silent: rule.silent,
            });
        }
    }

    /// Takes up the personal budgets of a limitation.
    fn budget(&mut self, place: usize, library: &'a Library, settings: &Settings, date: Date) {
        let counted = self.told[place].clone();
        let word = self.word(&counted, date).next().is_some();
        for budget in &library.budgets.personal {
            let severities = &budget.severities;
            if budget.limitation == counted.kind.id
                && (severities.is_empty() || severities.contains(&counted.severity))
                && weeks::is_open(
                    &budget.window,
                    counted.age,
                    stance_weeks(&budget.window, library, settings),
                    word,
                )
            {
                self.budgets
                    .push((budget.of, budget.limit, &counted.kind.id));
            }
        }
    }

    /// Adds what clinicians asked to keep away from. A limit never loosens anything.
    fn add_limits(&mut self, library: &'a Library, date: Date) {
        let only_one = self.told.len() == 1;
        for said in &self.student.guidance {
            let dated = said.on.is_none_or(|on| on.earliest <= date);
            if !guidance::may_speak(said) || !dated {
                continue;
            }
            let about = said.about.as_ref().or_else(|| {
                self.told
                    .first()
                    .filter(|_| only_one)
                    .map(|counted| &counted.told.what)
            });
            let counted = about
                .and_then(|about| self.told.iter().find(|counted| counted.told.what == *about));
            let sides = match (said.side, counted) {
                (Some(side), _) => sides(Some(side)),
                (None, Some(counted)) => counted.sides,
                (None, None) => [true, true],
            };
            for (demand, number) in &said.limits {
                let Some(known) = library.demands.get(demand) else {
                    continue;
                };
                let limitation = counted.map_or_else(
                    || library.limitations.keys().find(|id| Some(*id) == about),
                    |counted| Some(&counted.kind.id),
                );
                let Some(limitation) = limitation.or_else(|| library.limitations.keys().next())
                else {
                    continue;
                };
                self.rules.push(InForce {
                    rule: format!("guidance-{demand}").into(),
                    limitation,
                    demand: &known.id,
                    grade: if number.is_some() {
                        None
                    } else {
                        Some(Grade::Some)
                    },
                    when: std::borrow::Cow::Owned(limit_condition(&known.some, *number)),
                    sides,
                    verdict: Verdict::Avoid,
                    strength: Strength::Clinician,
                    source: None,
                    because: "Their clinician asked to keep away from this.",
                    easing: std::borrow::Cow::Owned(Easing {
                        words: known.easing.clone(),
                        by: vec![EaseBy::Shape],
                    }),
                    silent: false,
                });
            }
        }
    }

    /// Writes the questions and reminders.
    fn ask(&mut self, date: Date, withheld: bool) {
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
            Asked::No if self.student.place == Where::Recording => {}
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

    /// Whether they may be touched without asking.
    pub fn touch_words(&self) -> &'static str {
        match self.student.touch {
            Touch::Yes => "yes",
            Touch::Ask => "ask",
            Touch::No => "no",
            Touch::NotAsked => "not-asked",
        }
    }
}

fn what(told: &Told) -> Option<&LimitationId> {
    match told {
        Told::Limitation(told) => Some(&told.what),
        Told::Words { .. } => None,
    }
}

/// Left and right; a side that nobody told counts for both.
fn sides(told: Option<ToldSide>) -> [bool; 2] {
    match told {
        Some(ToldSide::One(BodySide::Left)) => [true, false],
        Some(ToldSide::One(BodySide::Right)) => [false, true],
        Some(ToldSide::Both) | None => [true, true],
    }
}

fn looked_at(side: RuleSide, [left, right]: [bool; 2]) -> [bool; 2] {
    match side {
        RuleSide::Same => [left, right],
        RuleSide::Opposite => [right, left],
        RuleSide::Either => [true, true],
    }
}

/// Whether a rule is in force for a limitation on the date.
fn rule_holds(
    rule: &Rule,
    counted: &Counted<'_>,
    library: &Library,
    settings: &Settings,
    word: bool,
) -> bool {
    let kind = rule.kinds.is_empty()
        || counted
            .told
            .kind
            .iter()
            .any(|kind| rule.kinds.contains(kind));
    let approach = counted.told.approach.unwrap_or(Approach::NotKnown);
    let approach = rule.approaches.is_empty() || rule.approaches.contains(&approach);
    let stance = stance_weeks(&rule.window, library, settings);
    let closed_by_stance = rule.window.stance.is_some() && stance.is_none();
    kind && approach && !closed_by_stance && weeks::is_open(&rule.window, counted.age, stance, word)
}

/// The option in force of a stance.
pub fn stance_option<'a>(
    stance: &crate::words::StanceId,
    library: &'a Library,
    settings: &'a Settings,
) -> Option<&'a str> {
    let known = library.stances.get(stance)?;
    Some(
        settings
            .stances
            .get(stance)
            .map_or(known.default.as_str(), String::as_str),
    )
}

/// The number of weeks that a window's stance sets; none when its option is a word ("comfort").
fn stance_weeks(
    window: &crate::library::rule::Window,
    library: &Library,
    settings: &Settings,
) -> Option<i64> {
    let option = stance_option(window.stance.as_ref()?, library, settings)?;
    option
        .split(|c: char| !c.is_ascii_digit())
        .find_map(|digits| digits.parse().ok())
}

/// What a rule says at a severity, under the stance in force.
fn verdict_of(
    rule: &Rule,
    severity: Severity,
    library: &Library,
    settings: &Settings,
) -> Option<Verdict> {
    let replaced = rule.stance.as_ref().and_then(|stance| {
        let option = stance_option(&stance.stance, library, settings)?;
        stance.options.get(option)
    });
    replaced.unwrap_or(&rule.verdicts).get(&severity).copied()
}

/// A demand's own condition, or its first number replaced by the one that was said.
fn limit_condition(some: &Condition, number: Option<f64>) -> Condition {
    let first = some
        .comparisons()
        .into_iter()
        .find(|(quantity, ..)| matches!(quantity, Quantity::Measure(_)) && !quantity.is_load());
    match (
        number,
        first.or_else(|| some.comparisons().into_iter().next()),
    ) {
        (Some(limit), Some((quantity, ..))) => Condition::Compare {
            quantity,
            comparison: Comparison::Above,
            limit,
        },
        _ => some.clone(),
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
    if kind.sided && told.side.is_none() {
        found.push((
            CautionKind::Unrecognised,
            format!("{name}: which side? Both are spared until asked."),
        ));
    }
    let approaches = kind.rules.iter().any(|rule| !rule.approaches.is_empty());
    if approaches && matches!(told.approach, None | Some(Approach::NotKnown)) {
        let text = format!(
            "{name}: from the front, the back or the side? All three are minded until asked."
        );
        found.push((CautionKind::Unrecognised, text));
    }
    let vague = told.on.or(told.due).is_some_and(|day| !day.is_exact());
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
    let limit = match counted.severity {
        Severity::Acute => kind.stale_weeks_acute,
        Severity::Mild | Severity::Moderate => kind.stale_weeks,
    };
    if let Some(recorded) = recorded.filter(|_| !counted.today) {
        let days = weeks::days_between(recorded, date);
        if days > i64::from(limit) * 7 {
            let text = format!(
                "{name}: told {} ago. Still so?",
                weeks::in_words(days / 7 * 7)
            );
            found.push((CautionKind::Stale, text));
        }
    }
    found
}
