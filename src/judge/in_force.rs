//! Which rules hold for a person on the date, what each says, and which budgets are theirs.

use std::borrow::Cow;

use jiff::ToSpan;
use jiff::civil::Date;

use super::counted::sides;
use super::facts::{Counted, InForce, Person};
use super::{guidance, weeks};
use crate::library::Library;
use crate::library::condition::{Comparison, Condition, Grade, Quantity};
use crate::library::demand::Demand;
use crate::library::rule::{
    EaseBy, Easing, Limitation as Kind, LimitationKind, NOT_TOLD, OfArea, Rule, RuleSide, Whom,
    Window,
};
use crate::roster::{Approach, Guidance};
use crate::settings::Settings;
use crate::words::{Severity, StanceId, Strength, Verdict};

/// Until when an operated area counts as moderate: twelve weeks (rules.md 2.2, OC-92).
const HEALING_DAYS: i64 = 12 * 7;

/// Rules that are read for one limitation at one severity.
struct Applied<'a> {
    rules: &'a [Rule],
    severity: Severity,
    /// Everything they keep away or ease waits for a word instead, for this reason.
    waits: Option<&'a str>,
}

impl<'a> Person<'a> {
    /// Whether a clinician's word opens something about a limitation on the date.
    fn word(&self, counted: &Counted<'a>, date: Date) -> impl Iterator<Item = &'a Guidance> {
        let only_one = self.told.len() == 1;
        let begun = counted.age.map_or(0, |age| age.least_days);
        let event = counted
            .age
            .and_then(|_| date.checked_sub(begun.days()).ok());
        let (what, today) = (&counted.told.what, counted.today);
        // A need is the person's own word and nobody else's to lift (rules.md 3).
        let need = counted.kind.kind == LimitationKind::Need;
        let sore = counted.kind.sided.then_some(counted.sides);
        self.student.guidance.iter().filter(move |said| {
            !today
                && !need
                && guidance::is_about(said, what, only_one)
                && sore.is_none_or(|sore| guidance::covers(said, sore))
                && guidance::opens_on(said, event, date)
        })
    }

    /// Puts a limitation's rules in force: its own, and those of the area that is its site.
    pub(super) fn enforce(
        &mut self,
        place: usize,
        library: &'a Library,
        settings: &Settings,
        date: Date,
    ) {
        let counted = self.told[place].clone();
        let words: Vec<&Guidance> = self.word(&counted, date).collect();
        let word = !words.is_empty();
        let own = Applied {
            rules: &counted.kind.rules,
            severity: counted.severity,
            waits: None,
        };
        for applied in std::iter::once(own).chain(of_areas(&counted, word)) {
            for rule in applied.rules {
                if !rule_holds(rule, &counted, library, settings, word) {
                    continue;
                }
                let said = verdict_of(rule, applied.severity, library, settings);
                let Some(verdict) = said.map(|said| after_words(said, rule, &applied, &words))
                else {
                    continue;
                };
                if rule.whole_class {
                    self.rest_only |= verdict == Verdict::AskFirst;
                    continue;
                }
                self.rules
                    .push(in_force(rule, verdict, &counted, &applied, library));
            }
        }
    }

    /// Takes up the personal budgets of a limitation.
    pub(super) fn budget(
        &mut self,
        place: usize,
        library: &'a Library,
        settings: &Settings,
        date: Date,
    ) {
        let counted = self.told[place].clone();
        let word = self.word(&counted, date).next().is_some();
        let own = (counted.kind, counted.severity);
        let area = area_severity(&counted, word).map(|(severity, _)| severity);
        let areas = counted.areas.iter().filter_map(|kind| Some((*kind, area?)));
        let at: Vec<(&Kind, Severity)> = std::iter::once(own).chain(areas).collect();
        let is_for = |whom: &Whom| {
            let severities = &whom.severities;
            at.iter().any(|(kind, severity)| {
                whom.limitation == kind.id
                    && (severities.is_empty() || severities.contains(severity))
            }) && is_open(&whom.window, &counted, library, settings, word)
        };
        let budgets = &library.budgets;
        for budget in budgets.personal.iter().filter(|one| is_for(&one.whom)) {
            self.budgets
                .push((budget.of, budget.limit, &counted.kind.id));
        }
        self.few_trips |= budgets.trips_for.iter().any(is_for);
    }

    /// Adds what clinicians asked to keep away from. A limit never loosens anything.
    pub(super) fn add_limits(&mut self, library: &'a Library, date: Date) {
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
            let mut entries = self.told.iter();
            let counted =
                about.and_then(|about| entries.find(|counted| counted.told.what == *about));
            // Two new knees may be two entries.
            let sore = about.map(|about| {
                let entries = self
                    .told
                    .iter()
                    .filter(|counted| counted.told.what == *about);
                entries.fold([false; 2], |[left, right], counted| {
                    [left || counted.sides[0], right || counted.sides[1]]
                })
            });
            let sides = match (said.side, sore) {
                (Some(side), _) => sides(Some(side)),
                (None, Some(sore)) if sore != [false; 2] => sore,
                (None, _) => [true, true],
            };
            for (demand, number) in &said.limits {
                let Some(known) = library.demands.get(demand) else {
                    continue;
                };
                // What was waited for has been said: a no to any of it.
                let answered = self.rules.iter_mut().filter(|rule| {
                    let of_it = about.is_some_and(|about| about == rule.limitation);
                    number.is_none() && of_it && rule.demand == demand
                });
                for rule in answered.filter(|rule| rule.verdict == Verdict::AskFirst) {
                    rule.verdict = Verdict::Avoid;
                }
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
                    when: Cow::Owned(limit_condition(known, *number)),
                    sided: known.sided,
                    sides,
                    verdict: Verdict::Avoid,
                    strength: Strength::Clinician,
                    source: None,
                    because: "Their clinician asked to keep away from this.",
                    easing: Cow::Owned(Easing {
                        words: known.easing.clone(),
                        hand_down: None,
                        by: vec![EaseBy::Shape],
                    }),
                    silent: false,
                });
            }
        }
    }
}

/// At which severity the rules of its areas hold for a limitation, and whether they wait for a word;
/// none: they are quiet.
fn area_severity(counted: &Counted<'_>, word: bool) -> Option<(Severity, bool)> {
    let healing = counted.age.is_none_or(|age| age.least_days < HEALING_DAYS);
    // Told as mild, an operation past its healing is no more than that (rules.md 6, history).
    let over = !healing && counted.severity == Severity::Mild;
    match (counted.kind.of_area.as_ref()?, counted.severity) {
        (OfArea::Milder, Severity::Mild) => None,
        (OfArea::Milder, Severity::Moderate) => Some((Severity::Mild, false)),
        (OfArea::Milder, Severity::Acute) => Some((Severity::Acute, false)),
        (OfArea::Operated { .. }, _) if !word && !over => Some((Severity::Acute, true)),
        (OfArea::Operated { .. }, _) if healing => Some((Severity::Moderate, false)),
        (OfArea::Operated { .. }, _) => Some((Severity::Mild, false)),
    }
}

/// The rules of a limitation's areas.
fn of_areas<'a>(counted: &Counted<'a>, word: bool) -> Vec<Applied<'a>> {
    let Some((severity, waits)) = area_severity(counted, word) else {
        return Vec::new();
    };
    let reason = match &counted.kind.of_area {
        Some(OfArea::Operated { because }) if waits => Some(because.as_str()),
        _ => None,
    };
    let areas = counted.areas.iter();
    areas
        .map(|area| Applied {
            rules: &area.rules,
            severity,
            waits: reason,
        })
        .collect()
}

/// A verdict after the wait for a word, or after what was said.
fn after_words(
    verdict: Verdict,
    rule: &Rule,
    applied: &Applied<'_>,
    words: &[&Guidance],
) -> Verdict {
    let allowed = words.iter().any(|said| said.allows.contains(&rule.demand));
    let cleared = words.iter().any(|said| said.cleared);
    match verdict {
        Verdict::Avoid | Verdict::Ease if applied.waits.is_some() => Verdict::AskFirst,
        Verdict::Avoid if allowed => Verdict::Watch,
        Verdict::AskFirst if allowed || cleared => Verdict::Watch,
        verdict => verdict,
    }
}

fn in_force<'a>(
    rule: &'a Rule,
    verdict: Verdict,
    counted: &Counted<'a>,
    applied: &Applied<'a>,
    library: &Library,
) -> InForce<'a> {
    let own = (rule.strength, rule.sources.first(), rule.because.as_str());
    // That healing is awaited is nobody's study.
    let waiting = applied
        .waits
        .map(|reason| (Strength::CommonPractice, None, reason));
    let (strength, source, because) = waiting.unwrap_or(own);
    InForce {
        rule: rule.id.clone(),
        limitation: &counted.kind.id,
        demand: &rule.demand,
        grade: rule.grade,
        when: Cow::Borrowed(&rule.when),
        sided: library
            .demands
            .get(&rule.demand)
            .is_some_and(|demand| demand.sided),
        sides: looked_at(rule.side, counted.sides),
        verdict,
        strength,
        source,
        because,
        easing: Cow::Borrowed(&rule.easing),
        silent: rule.silent,
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
    let kinds = &counted.told.kind;
    let kind = rule.kinds.is_empty()
        || kinds.iter().any(|kind| rule.kinds.contains(kind))
        || (kinds.is_empty() && rule.kinds.iter().any(|kind| kind == NOT_TOLD));
    let kind = kind && !kinds.iter().any(|kind| rule.not_kinds.contains(kind));
    let site = counted.site().unwrap_or(NOT_TOLD);
    let site = rule.sites.is_empty() || rule.sites.iter().any(|known| known == site);
    let approach = counted.told.approach.unwrap_or(Approach::NotKnown);
    let approach = rule.approaches.is_empty() || rule.approaches.contains(&approach);
    kind && site && approach && is_open(&rule.window, counted, library, settings, word)
}

/// Whether a window is open on the date; never where the teacher's option sets no week (“comfort”).
fn is_open(
    window: &Window,
    counted: &Counted<'_>,
    library: &Library,
    settings: &Settings,
    word: bool,
) -> bool {
    let stance = stance_weeks(window, library, settings);
    let closed = window.stance.is_some() && stance.is_none();
    !closed && weeks::is_open(window, counted.age, stance, word)
}

/// The option in force of a stance.
pub fn stance_option<'a>(
    stance: &StanceId,
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
fn stance_weeks(window: &Window, library: &Library, settings: &Settings) -> Option<i64> {
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

/// Any of a demand, or its first number replaced by the one that was said.
fn limit_condition(demand: &Demand, number: Option<f64>) -> Condition {
    let some = &demand.some;
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
            limit: limit.max(demand.noise),
        },
        _ => demand.any(),
    }
}
