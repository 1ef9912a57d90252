//! What changes between the class's date and a later day: rules that begin or end for somebody, facts
//! that go out of date.
//!
//! Takes the class, the roster and two days, reads everybody anew for each day as the judge does for
//! a class, and compares a day with the day before. Invariant: nothing here reads a rule or counts a
//! week; a change stands on the first day on which the judge reads it so.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ToSpan as _;
use jiff::civil::Date;
use serde::Serialize;

use crate::adapt::{Task, told_as};
use crate::adapted::CautionKind;
use crate::judge::facts::{self, InForce, Person};
use crate::judge::guidance;
use crate::judge::verdict::{At, judge};
use crate::library::condition::Grade;
use crate::library::rule::Limit;
use crate::roster::{Guidance, Student, Told};
use crate::timetable::Timetable;
use crate::words::{DemandId, LimitationId, RuleId, SourceId, Strength, StudentId, Use, Verdict};

/// The schema's name.
pub const SCHEMA: &str = "kindfold/ahead/1";

/// The most days that are looked ahead: what people told is out of date long before.
pub const MOST_DAYS: i64 = 5 * 366;

/// What changes, by day, then in the order of the roster.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ahead {
    /// [`SCHEMA`].
    pub schema: String,
    /// The class's title.
    pub title: String,
    /// The class's date.
    pub date: Date,
    /// The last day looked at.
    pub until: Date,
    /// The changes.
    pub changes: Vec<Change>,
}

/// One change for one person.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// The first day on which it is so.
    pub from: Date,
    /// The first day from then on that falls on the class's day of the week.
    pub class_day: Date,
    /// Who.
    pub student: StudentId,
    /// Their name.
    pub name: String,
    /// They appear on the teacher's own pages only.
    pub confidential: bool,
    /// About which limitation.
    pub limitation: Option<LimitationId>,
    /// That limitation as told, and how far along it is on the day.
    pub told: String,
    /// What changes.
    pub what: What,
}

/// What changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// A rule begins.
    Begins(Rule),
    /// A rule ends.
    Ends(Rule),
    /// A rule says something else than the day before.
    Becomes {
        /// What it said.
        before: Verdict,
        /// What it says.
        rule: Rule,
    },
    /// A limit on how long something lasts begins.
    LimitBegins(Lasts),
    /// A limit on how long something lasts ends.
    LimitEnds(Lasts),
    /// What was told is out of date, in the words of the question.
    Stale(String),
    /// A clinician's word is older than it may be and opens nothing any more.
    WordEnds {
        /// Who spoke.
        from: String,
        /// The first day that fits what was told.
        on: Option<Date>,
        /// Their words.
        says: Option<String>,
    },
    /// What was said at the door counts for that class alone.
    TodayEnds,
}

/// A rule, and where it meets the class.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rule {
    /// Its id.
    pub rule: RuleId,
    /// What it looks at.
    pub demand: DemandId,
    /// It stands on much of the demand, not on some.
    pub much: bool,
    /// What it says.
    pub verdict: Verdict,
    /// How an `ease` is met.
    pub easing: String,
    /// Why.
    pub because: String,
    /// How well it is backed.
    pub strength: Strength,
    /// Its first source.
    pub source: Option<SourceId>,
    /// The lines of the class whose shape, as taught, meets it.
    pub lines: Vec<usize>,
}

/// How long something may last.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lasts {
    /// What lasts.
    pub of: Use,
    /// Seconds without a break.
    pub bout_s: Option<u32>,
    /// Seconds in a class.
    pub class_s: Option<u32>,
}

/// Everything that changes after the class's date, up to the last day.
pub fn ahead(task: &Task<'_>, until: Date) -> Ahead {
    let table = task.timetable();
    let mut changes = Vec::new();
    for student in &task.roster.students {
        of_student(task, &table, (student, until), &mut changes);
    }
    // A stable sort: within a day the order of the roster stays.
    changes.sort_by_key(|change| change.from);
    Ahead {
        schema: SCHEMA.to_owned(),
        title: task.class.title.clone(),
        date: task.date,
        until,
        changes,
    }
}

fn of_student(
    task: &Task<'_>,
    table: &Timetable<'_>,
    (told, until): (&Student, Date),
    out: &mut Vec<Change>,
) {
    if told.limitations.is_empty() && told.today.is_empty() && told.guidance.is_empty() {
        return;
    }
    // What was said at the door holds on the class's date and on no other day.
    let mut student = told.clone();
    student.today.clear();
    let read = |date| facts::person(&student, task.library, task.settings, date);
    let mut before = read(task.date);
    let mut yesterday = task.date;
    while let Some(day) = next(yesterday).filter(|day| *day <= until) {
        let after = read(day);
        let mut found = Vec::new();
        if yesterday == task.date {
            found.extend(said_today(task, told));
        }
        found.extend(rules(task, table, &before, &after));
        found.extend(limits(&before, &after));
        found.extend(stale(&before, &after));
        found.extend(words(&student, yesterday, day));
        out.extend(found.into_iter().map(|(limitation, what)| {
            let person = match what {
                What::Ends(_) | What::LimitEnds(_) => &before,
                _ => &after,
            };
            // How far along is said of the day itself, whether the rule is in force then or not.
            let counted = |id: &LimitationId| after.told.iter().find(|one| one.kind.id == *id);
            let named = |id: &LimitationId| {
                let known = task.library.limitations.get(id);
                known.map_or_else(|| id.to_string(), |known| known.name.clone())
            };
            let told = limitation.as_ref().map_or_else(String::new, |id| {
                counted(id).map_or_else(|| named(id), told_as)
            });
            Change {
                from: day,
                class_day: class_day(task.date, day),
                student: person.student.id.clone(),
                name: person.student.name.clone(),
                confidential: person.student.confidential,
                limitation,
                told,
                what,
            }
        }));
        before = after;
        yesterday = day;
    }
}

fn next(day: Date) -> Option<Date> {
    day.checked_add(1.day()).ok()
}

/// The first day from `day` on with the weekday of the class.
fn class_day(class: Date, day: Date) -> Date {
    let gap = class.weekday().since(day.weekday());
    day.checked_add(i64::from(gap).days()).unwrap_or(day)
}

type Found = (Option<LimitationId>, What);

fn said_today(task: &Task<'_>, told: &Student) -> Vec<Found> {
    let about = told.today.iter().map(|told| match told {
        Told::Limitation(told) => Some(told.what.clone()),
        Told::Words { .. } => None,
    });
    let known = about.filter(|about| {
        let kept = |id| task.library.limitations.contains_key(id);
        about.as_ref().is_none_or(kept)
    });
    known.map(|about| (about, What::TodayEnds)).collect()
}

/// What makes two rules in force the same: a limitation told for both sides may have its rule twice.
type RuleKey<'p> = (&'p LimitationId, &'p RuleId, [bool; 2]);

/// The rules that print something, each at its strictest.
fn in_force<'p>(person: &'p Person<'_>) -> BTreeMap<RuleKey<'p>, &'p InForce<'p>> {
    let mut all: BTreeMap<RuleKey<'p>, &'p InForce<'p>> = BTreeMap::new();
    for rule in person.rules.iter().filter(|rule| !rule.silent) {
        let kept = all
            .entry((rule.limitation, &rule.rule, rule.sides))
            .or_insert(rule);
        if rule.verdict > kept.verdict {
            *kept = rule;
        }
    }
    all
}

fn rules(
    task: &Task<'_>,
    table: &Timetable<'_>,
    before: &Person<'_>,
    after: &Person<'_>,
) -> Vec<Found> {
    let (old, new) = (in_force(before), in_force(after));
    let told = |person, rule: &InForce<'_>| in_class(task, table, person, rule);
    let mut found = Vec::new();
    for (key, rule) in &old {
        if !new.contains_key(key) {
            let limitation = Some(rule.limitation.clone());
            found.push((limitation, What::Ends(told(before, rule))));
        }
    }
    for (key, rule) in &new {
        let limitation = Some(rule.limitation.clone());
        match old.get(key) {
            None => found.push((limitation, What::Begins(told(after, rule)))),
            Some(other) if other.verdict != rule.verdict => {
                let what = What::Becomes {
                    before: other.verdict,
                    rule: told(after, rule),
                };
                found.push((limitation, what));
            }
            Some(_) => {}
        }
    }
    found
}

/// A rule with the lines of the class that it meets, judged alone.
fn in_class(
    task: &Task<'_>,
    table: &Timetable<'_>,
    person: &Person<'_>,
    rule: &InForce<'_>,
) -> Rule {
    let mut alone = person.clone();
    alone.rules.retain(|other| {
        other.rule == rule.rule && other.limitation == rule.limitation && other.sides == rule.sides
    });
    let met = table.passes.iter().filter_map(|pass| {
        let line = &table.lines[pass.line];
        let posture = task.library.postures.get(line.posture?)?;
        let at = At::taught(posture, pass.side, line.line);
        let judged = judge(&alone, at, None);
        (!judged.findings.is_empty()).then_some(line.line.number)
    });
    let lines: BTreeSet<usize> = met.collect();
    Rule {
        rule: rule.rule.clone(),
        demand: rule.demand.clone(),
        much: rule.grade == Some(Grade::Much),
        verdict: rule.verdict,
        easing: rule.easing.words.clone(),
        because: rule.because.to_owned(),
        strength: rule.strength,
        source: rule.source.cloned(),
        lines: lines.into_iter().collect(),
    }
}

fn limits(before: &Person<'_>, after: &Person<'_>) -> Vec<Found> {
    let beyond = |these: &Person<'_>, others: &Person<'_>| -> Vec<(LimitationId, Lasts)> {
        let new = these
            .budgets
            .iter()
            .filter(|one| !others.budgets.contains(one));
        let lasts = |(of, Limit { bout_s, class_s }, limitation): &(Use, Limit, &LimitationId)| {
            let lasts = Lasts {
                of: *of,
                bout_s: *bout_s,
                class_s: *class_s,
            };
            ((*limitation).clone(), lasts)
        };
        new.map(lasts).collect()
    };
    let ended = beyond(before, after).into_iter();
    let begun = beyond(after, before).into_iter();
    ended
        .map(|(limitation, lasts)| (Some(limitation), What::LimitEnds(lasts)))
        .chain(begun.map(|(limitation, lasts)| (Some(limitation), What::LimitBegins(lasts))))
        .collect()
}

/// Questions about facts out of date that were not asked the day before.
fn stale(before: &Person<'_>, after: &Person<'_>) -> Vec<Found> {
    let asked = |person: &Person<'_>| -> Vec<String> {
        let lines = person.lines.iter();
        let stale = lines.filter(|line| line.kind == CautionKind::Stale);
        stale.map(|line| line.text.clone()).collect()
    };
    let mut old: Vec<String> = asked(before).iter().map(|text| ageless(text)).collect();
    let mut found = Vec::new();
    for text in asked(after) {
        let same = old.iter().position(|other| *other == ageless(&text));
        match same {
            Some(at) => {
                old.remove(at);
            }
            None => found.push((None, What::Stale(text))),
        }
    }
    found
}

/// A question without its count of weeks and days, which alone changes from day to day.
fn ageless(text: &str) -> String {
    let counts = |word: &&str| {
        let number = word.chars().all(|letter| letter.is_ascii_digit());
        number || ["week", "weeks", "day", "days"].contains(word)
    };
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|word| !counts(word))
        .collect();
    words.join(" ")
}

/// Clinicians' words that open something on one day and are too old the next.
fn words(student: &Student, yesterday: Date, day: Date) -> Vec<Found> {
    let ends = |said: &&Guidance| {
        guidance::opens_on(said, None, yesterday) && !guidance::opens_on(said, None, day)
    };
    let ended = student.guidance.iter().filter(ends);
    ended
        .map(|said| {
            let what = What::WordEnds {
                from: said.from.clone(),
                on: said.on.map(|on| on.earliest),
                says: said.says.clone(),
            };
            (said.about.clone(), what)
        })
        .collect()
}
