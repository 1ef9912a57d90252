//! What a person told, read again: which conditions keep which shapes from them on the date.

use jiff::civil::Date;

use super::{Basis, said};
use crate::library::condition::{Condition, Grade};
use crate::library::rule::{
    Clock, EaseBy, Limit, Limitation as Kind, LimitationKind, NEEDS_A_CHAIR, NOT_TOLD, OfArea,
    Rule, RuleSide, Whom, Window,
};
use crate::roster::{Approach, Asked, Guidance, Limitation, Student, Told, ToldSide, Where};
use crate::words::{BodySide, DemandId, LimitationId, Severity, Use, Verdict};

/// A ban, or a condition that has to be met, for one person.
#[derive(Clone, Debug)]
pub(super) struct Ban<'a> {
    /// The limitation behind it.
    pub limitation: &'a LimitationId,
    /// The demand.
    pub demand: &'a DemandId,
    /// The demand's own grade, for links.
    pub grade: Option<Grade>,
    /// When it fires.
    pub when: Condition,
    /// Whether it fires on the left, on the right.
    pub on: [bool; 2],
    /// The verdict.
    pub verdict: Verdict,
    /// What meets an `ease`.
    pub by: &'a [EaseBy],
    /// Nothing is printed about it.
    pub silent: bool,
}

/// Everything that holds for a person.
#[derive(Clone, Debug, Default)]
pub(super) struct Holds<'a> {
    /// Bans.
    pub bans: Vec<Ban<'a>>,
    /// Personal budgets.
    pub budgets: Vec<(Use, Limit)>,
    /// Few ways down to the floor are advised.
    pub few_trips: bool,
    /// Only rests.
    pub rest_only: bool,
    /// Nothing is known.
    pub unknown: bool,
}

impl Holds<'_> {
    /// Getting down, kneeling or standing is hard for them, by what they told or by their age.
    pub(super) fn wants_a_seat(&self, student: &Student) -> bool {
        let hard = |ban: &Ban<'_>| NEEDS_A_CHAIR.contains(&ban.demand.as_str()) && !ban.silent;
        student.over_70 || self.bans.iter().any(hard)
    }
}

/// Reads a person.
pub(super) fn holds<'a>(student: &'a Student, basis: &Basis<'a>) -> Holds<'a> {
    let minor = student.under_18 && !student.guardian;
    if minor || student.asked != Asked::Yes || student.place == Where::Recording {
        return Holds {
            unknown: true,
            ..Holds::default()
        };
    }
    let counted = counted(student, basis);
    let mut holds = Holds::default();
    let words = student.limitations.iter().chain(&student.today);
    let has_words = words.clone().any(|told| matches!(told, Told::Words { .. }));
    holds.unknown = counted.is_empty() && has_words;
    for entry in &counted {
        let (told, kind) = (entry.told, entry.kind);
        let days = days(told, kind.clock, student, entry.at_the_door, basis.date);
        let own = entry.today || kind.kind == LimitationKind::Need;
        let since = days.map(|(fewest, _)| fewest);
        let said: Vec<&Guidance> = student
            .guidance
            .iter()
            .filter(|said| !own && (!kind.sided || said::names_all(said, entry.sore)))
            .filter(|said| said::opens(said, told, since, counted.len() == 1, basis.date))
            .collect();
        let word = !said.is_empty();
        let chapters = chapters((told, entry.severity), kind, days, word, basis);
        for chapter in &chapters {
            let rules = chapter.kind.rules.iter();
            for rule in rules.filter(|rule| in_force(rule, told, kind, days, word, basis)) {
                let Some(verdict) = spoken(rule, chapter.severity, &said, basis) else {
                    continue;
                };
                let verdict = match verdict {
                    Verdict::Avoid | Verdict::Ease if chapter.waits => Verdict::AskFirst,
                    verdict => verdict,
                };
                if rule.whole_class {
                    holds.rest_only |= verdict == Verdict::AskFirst;
                    continue;
                }
                holds.bans.push(Ban {
                    limitation: &kind.id,
                    demand: &rule.demand,
                    grade: rule.grade,
                    when: rule.when.clone(),
                    on: where_it_looks(rule.side, entry.sore),
                    verdict,
                    by: &rule.easing.by,
                    silent: rule.silent,
                });
            }
        }
        let is_for = |whom: &Whom| {
            let severities = &whom.severities;
            chapters.iter().any(|chapter| {
                whom.limitation == chapter.kind.id
                    && (severities.is_empty() || severities.contains(&chapter.severity))
            }) && open(&whom.window, days, word, basis)
        };
        let budgets = &basis.library.budgets;
        let few = budgets.trips_for.iter().any(is_for);
        let budgets = budgets.personal.iter().filter(|one| is_for(&one.whom));
        holds
            .budgets
            .extend(budgets.map(|budget| (budget.of, budget.limit)));
        holds.few_trips |= few;
    }
    said::limits(student, &counted, basis, &mut holds);
    holds.rest_only |= said::asks_for_rest(&student.guidance, basis.date);
    holds
}

/// Something told that counts.
pub(super) struct Counts<'a> {
    /// What was told.
    pub told: &'a Limitation,
    kind: &'a Kind,
    /// Told at the door.
    at_the_door: bool,
    /// Today's words speak of it.
    today: bool,
    /// Left and right, as far as nothing said today speaks of them.
    pub sore: [bool; 2],
    /// How bad; today's word where the form alone tells of what kind it is.
    severity: Option<Severity>,
}

pub(super) type Counted<'a> = Vec<Counts<'a>>;

/// What counts: words of today first, and the form about everything else.
fn counted<'a>(student: &'a Student, basis: &Basis<'a>) -> Counted<'a> {
    let mut counted: Counted<'a> = Vec::new();
    for (list, today) in [(&student.today, true), (&student.limitations, false)] {
        for told in list {
            let Told::Limitation(told) = told else {
                continue;
            };
            let Some(kind) = basis.library.limitations.get(&told.what) else {
                continue;
            };
            let mut sore = sore(told.side);
            let (whole, mut severity, mut now) = (sore, told.severity, today);
            for said in counted.iter().filter(|said| said.today && !today) {
                let apart = said.told.site.as_ref().zip(told.site.as_ref());
                let same = said.told.what == told.what && apart.is_none_or(|(a, b)| a == b);
                for (sore, said) in sore.iter_mut().zip(said.sore) {
                    *sore &= !(same && said);
                }
                let kinds = &said.told.kind;
                if same && told.kind.iter().any(|kind| !kinds.contains(kind)) {
                    severity = Some(said.severity.unwrap_or(Severity::Moderate));
                    now = true;
                }
            }
            if now {
                sore = whole;
            }
            if sore.contains(&true) {
                counted.push(Counts {
                    told,
                    kind,
                    at_the_door: today,
                    today: now,
                    sore,
                    severity,
                });
            }
        }
    }
    counted
}

/// Rules that are read for one limitation: its own, then those of areas.
struct Chapter<'a> {
    kind: &'a Kind,
    severity: Severity,
    waits: bool,
}

/// Its own rules at the severity told, and those of the areas that its site means (rules.md 2.2).
fn chapters<'a>(
    (told, how_bad): (&Limitation, Option<Severity>),
    kind: &'a Kind,
    days: Option<(i64, i64)>,
    word: bool,
    basis: &Basis<'a>,
) -> Vec<Chapter<'a>> {
    let severity = how_bad.unwrap_or(Severity::Moderate);
    let mut chapters = vec![Chapter {
        kind,
        severity,
        waits: false,
    }];
    let site = told
        .site
        .as_deref()
        .and_then(|site| basis.library.area_of(site));
    let young = days.is_none_or(|(fewest, _)| fewest < 84);
    let (severity, waits, everywhere) = match (&kind.of_area, severity) {
        (None, _) | (Some(OfArea::Milder), Severity::Mild) => return chapters,
        (Some(OfArea::Milder), Severity::Moderate) => (Severity::Mild, false, false),
        (Some(OfArea::Milder), Severity::Acute) => (Severity::Acute, false, false),
        (Some(OfArea::Operated { .. }), _) => {
            let small = !young && how_bad == Some(Severity::Mild);
            match (word || small, young) {
                (false, _) => (Severity::Acute, true, true),
                (true, true) => (Severity::Moderate, false, true),
                (true, false) => (Severity::Mild, false, true),
            }
        }
    };
    let areas = basis
        .library
        .limitations
        .values()
        .filter(|area| match site {
            Some(site) => area.id == site.id,
            None => everywhere && area.kind == LimitationKind::Area,
        });
    chapters.extend(areas.map(|kind| Chapter {
        kind,
        severity,
        waits,
    }));
    chapters
}

/// The fewest and the most days that fit.
fn days(
    told: &Limitation,
    clock: Clock,
    student: &Student,
    today: bool,
    date: Date,
) -> Option<(i64, i64)> {
    let between = |a: Date, b: Date| a.until(b).map_or(0, |span| i64::from(span.get_days()));
    let weeks = told.weeks.map(|weeks| {
        let then = if today {
            date
        } else {
            student.recorded.unwrap_or(date)
        };
        let base = 7 * i64::from(weeks.weeks) + between(then, date);
        (
            base + i64::from(weeks.days.unwrap_or(0)),
            base + i64::from(weeks.days.unwrap_or(6)),
        )
    });
    let fits = match clock {
        Clock::None => None,
        Clock::Pregnancy => {
            let due = told.due.map(|due| {
                (
                    280 - between(date, due.latest),
                    280 - between(date, due.earliest),
                )
            });
            due.or(weeks)
        }
        Clock::Since => {
            let on = told
                .on
                .map(|on| (between(on.latest, date).max(0), between(on.earliest, date)));
            on.or(weeks)
        }
    };
    // On a day before it began nothing is known.
    fits.filter(|(_, most)| *most >= 0)
}

fn open(window: &Window, days: Option<(i64, i64)>, word: bool, basis: &Basis<'_>) -> bool {
    let stance = window
        .stance
        .as_ref()
        .and_then(|id| basis.library.stances.get(id));
    let set = stance.map(|stance| {
        basis
            .settings
            .stances
            .get(&stance.id)
            .unwrap_or(&stance.default)
            .as_str()
    });
    let weeks = set.and_then(|set| {
        let digits: String = set.chars().filter(char::is_ascii_digit).collect();
        digits.parse::<i64>().ok()
    });
    if set.is_some() && weeks.is_none() {
        return false;
    }
    let mut from = window.from_days;
    let mut to = window.to_days;
    if let Some(weeks) = weeks {
        if from.is_some() {
            from = Some(weeks * 7)
        } else if to.is_some() {
            to = Some(weeks * 7)
        }
    }
    if window.until_word {
        if !word {
            return true;
        }
        if from.is_none() && to.is_none() {
            return false;
        }
    }
    match days {
        None => true,
        Some((fewest, most)) => {
            from.is_none_or(|from| most >= from) && to.is_none_or(|to| fewest < to)
        }
    }
}

fn in_force(
    rule: &Rule,
    told: &Limitation,
    kind: &Kind,
    days: Option<(i64, i64)>,
    word: bool,
    basis: &Basis<'_>,
) -> bool {
    let none = told.kind.is_empty() && rule.kinds.iter().any(|kind| kind == NOT_TOLD);
    let kinds =
        none || rule.kinds.is_empty() || rule.kinds.iter().any(|kind| told.kind.contains(kind));
    let kinds = kinds && !rule.not_kinds.iter().any(|kind| told.kind.contains(kind));
    let words = told.site.as_deref();
    let own = words.and_then(|site| kind.site_of(site));
    let area = words.filter(|_| kind.of_area.is_some());
    let area = area.and_then(|site| Some(basis.library.area_of(site)?.id.as_str()));
    let site = own.or(area).unwrap_or(NOT_TOLD);
    let sites = rule.sites.is_empty() || rule.sites.iter().any(|known| known == site);
    let approach = told.approach.unwrap_or(Approach::NotKnown);
    let approaches = rule.approaches.is_empty() || rule.approaches.contains(&approach);
    kinds && sites && approaches && open(&rule.window, days, word, basis)
}

/// The verdict at a severity, after the stance and after what a clinician said.
fn spoken(
    rule: &Rule,
    severity: Severity,
    said: &[&Guidance],
    basis: &Basis<'_>,
) -> Option<Verdict> {
    let mut table = &rule.verdicts;
    if let Some(by) = &rule.stance {
        let stance = basis.library.stances.get(&by.stance)?;
        let set = basis
            .settings
            .stances
            .get(&by.stance)
            .unwrap_or(&stance.default);
        table = by.options.get(set).unwrap_or(table);
    }
    let verdict = *table.get(&severity)?;
    let allowed = said.iter().any(|said| said.allows.contains(&rule.demand));
    let cleared = said.iter().any(|said| said.cleared);
    Some(match verdict {
        Verdict::Avoid if allowed => Verdict::Watch,
        Verdict::AskFirst if allowed || cleared => Verdict::Watch,
        verdict => verdict,
    })
}

pub(super) fn sore(told: Option<ToldSide>) -> [bool; 2] {
    match told {
        Some(ToldSide::One(one)) => [one == BodySide::Left, one == BodySide::Right],
        Some(ToldSide::Both) | None => [true, true],
    }
}

pub(super) fn where_it_looks(side: RuleSide, sore: [bool; 2]) -> [bool; 2] {
    match side {
        RuleSide::Same => sore,
        RuleSide::Opposite => [sore[1], sore[0]],
        RuleSide::Either => [true, true],
    }
}
