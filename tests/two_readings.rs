//! Two readings of one person: what the planner's judging says of every shape, way and budget, the audit must
//! find by its own reading, and nothing else. Neither knows the other; what they disagree on is a fault of one.
//!
//! A class of everything is planned for somebody with nothing to tell. Then somebody thrown by dice takes their
//! place, borders of weeks and dates among the throws, and the plan is changed to what the judging says.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use jiff::ToSpan;
use jiff::civil::{Date, date};
use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, Finding, LinkTaken};
use kindfold::audit::{Basis, Kind, audit};
use kindfold::class::ClassPlan;
use kindfold::group::solve::Limit;
use kindfold::input::{self, text::Source};
use kindfold::judge::budgets::uses;
use kindfold::judge::facts::{self, InForce, Person};
use kindfold::judge::verdict::{At, Form, Judged, judge, may_take};
use kindfold::library::condition::Fact;
use kindfold::library::graph::Link;
use kindfold::library::posture::Posture;
use kindfold::library::rule::{Clock, EaseBy, Limitation as Known};
use kindfold::roster::{
    Approach, Asked, Guidance, Limitation, Roster, Student, Told, ToldSide, ToldWeeks, VagueDate,
};
use kindfold::settings::{PropStock, Settings};
use kindfold::words::{BodySide, DemandId, PropCounts, Severity, Side, Use};
use kindfold::words::{Prop, StudentId, Verdict};
use proptest::prelude::*;
use rstest::rstest;

use crate::support::instances::Dice;
use crate::support::library::{library, task};

const DATE: Date = date(2026, 11, 25);

/// Days on either side of which a rule, a budget or a clinician's word begins or ends.
const BORDERS: [i64; 12] = [0, 14, 28, 42, 84, 98, 112, 140, 182, 196, 280, 365];

/// A class that holds so many shapes on their sides, each so long, and its plan for somebody unhindered.
struct Lesson {
    class: ClassPlan,
    adapted: Adapted,
}

/// The whole library on all its sides, dealt to lessons of sixty lines.
fn lessons() -> &'static [Lesson] {
    static LESSONS: OnceLock<Vec<Lesson>> = OnceLock::new();
    LESSONS.get_or_init(|| {
        let mut dice = Dice::new(7);
        let mut shapes: Vec<(&Posture, Side)> = Vec::new();
        for posture in library().postures.values().filter(|shape| !shape.is_part) {
            let sides: &[Side] = match posture.is_sided() {
                true => &[Side::Left, Side::Right],
                false => &[Side::None],
            };
            shapes.extend(sides.iter().map(|&side| (posture, side)));
        }
        for place in (1..shapes.len()).rev() {
            shapes.swap(place, dice.between(0, place as u64) as usize);
        }
        let lessons = shapes.chunks(60).take(LESSON_COUNT);
        lessons.map(|shapes| lesson(shapes, &mut dice)).collect()
    })
}

/// So many lessons are dealt: enough for every rule to meet something, few enough to be planned in seconds.
const LESSON_COUNT: usize = 6;

fn lesson(shapes: &[(&Posture, Side)], dice: &mut Dice) -> Lesson {
    let line = |(posture, side): &(&Posture, Side)| {
        let side = match side {
            Side::None => String::new(),
            side => format!(", side: {side}"),
        };
        let breaths = dice.of(&[3, 5, 15, 30, 40]);
        format!(
            "      - {{posture: {}{side}, breaths: {breaths}}}\n",
            posture.id
        )
    };
    let lines: Vec<String> = shapes.iter().map(line).collect();
    let text = format!(
        "title: All\nminutes: 90\nsections:\n  - name: All\n    steps:\n{}",
        lines.concat()
    );
    let source = Source::from_bytes("class.yaml", text.as_bytes()).expect("it is text");
    let class = input::class::read(source, library()).expect("a class");
    let roster = room(plain());
    let stock = PropStock { counts: None };
    let mut task = task(&class, &roster, &stock, DATE);
    task.limit = Limit::Work(10_000);
    let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
    Lesson { class, adapted }
}

/// Somebody who was asked and has nothing to tell.
fn plain() -> Student {
    let mut student = Roster::unknown().students.remove(0);
    student.id = StudentId::from("ines-1");
    student.asked = Asked::Yes;
    student
}

fn room(student: Student) -> Roster {
    Roster {
        recorded: Some(DATE),
        students: vec![student],
    }
}

/// A day so long before the class, at a border or near one.
fn day(dice: &mut Dice) -> Date {
    let days = dice.of(&BORDERS) + *dice.of(&[-1, 0, 0, 1]);
    DATE.checked_sub(days.days()).expect("a day of ours")
}

fn vague(dice: &mut Dice) -> VagueDate {
    let earliest = day(dice);
    let span = *dice.of(&[0, 0, 1, 29]);
    VagueDate {
        earliest,
        latest: earliest.checked_add(span.days()).expect("a day of ours"),
    }
}

fn side(dice: &mut Dice) -> Option<ToldSide> {
    *dice.of(&[
        None,
        Some(ToldSide::One(BodySide::Left)),
        Some(ToldSide::One(BodySide::Right)),
        Some(ToldSide::Both),
    ])
}

/// Something told of a limitation, with whatever may be told of it.
fn told(what: &Known, dice: &mut Dice) -> Limitation {
    let mut told = Limitation::bare(what.id.clone(), 1);
    if what.sided {
        told.side = side(dice);
    }
    told.severity = *dice.of(&[
        None,
        Some(Severity::Mild),
        Some(Severity::Moderate),
        Some(Severity::Acute),
    ]);
    match dice.between(0, 3) {
        0 => {}
        1 => {
            told.weeks = Some(ToldWeeks {
                weeks: dice.between(0, 41) as u32,
                days: *dice.of(&[None, Some(0), Some(6)]),
            });
        }
        _ if what.clock == Clock::Pregnancy => {
            let conceived = vague(dice);
            told.due = Some(VagueDate {
                earliest: conceived.earliest.checked_add(280.days()).expect("a day"),
                latest: conceived.latest.checked_add(280.days()).expect("a day"),
            });
        }
        _ => told.on = Some(vague(dice)),
    }
    let mut sites: Vec<&str> = what.sites.keys().map(String::as_str).collect();
    if what.of_area.is_some() {
        sites.extend(["left knee", "wrist", "shoulder", "lower back", "somewhere"]);
    }
    if !sites.is_empty() && dice.chance(70) {
        told.site = Some((*dice.of(&sites)).to_owned());
    }
    told.approach = *dice.of(&[
        None,
        Some(Approach::Posterior),
        Some(Approach::Anterior),
        Some(Approach::NotKnown),
    ]);
    let kinds = what.kinds.keys().filter(|_| dice.chance(30));
    told.kind = kinds.cloned().collect();
    told
}

/// What somebody said about one of these, of whom some are clinicians and some are not: mostly about what its rules
/// speak of, and often about the day it happened.
fn said(told: &[&Limitation], dice: &mut Dice) -> Guidance {
    let about = *dice.of(told);
    let rules = &library().limitations[&about.what].rules;
    let its_own = rules.iter().map(|rule| &rule.demand);
    let demands: Vec<&DemandId> = match dice.chance(70) && !rules.is_empty() {
        true => its_own.collect(),
        false => library().demands.keys().collect(),
    };
    let numbers = [None, None, Some(0.5), Some(30.0), Some(90.0)];
    let then = about.on.map(|on| *dice.of(&[on.earliest, on.latest]));
    let then = then.and_then(|then| then.checked_add(dice.of(&[-1, 0, 1]).days()).ok());
    let then = then.filter(|_| dice.chance(50)).map(|then| VagueDate {
        earliest: then,
        latest: then,
    });
    Guidance {
        from: (*dice.of(&["physio", "my Doctor", "a friend", "the midwife"])).to_owned(),
        on: match dice.chance(85) {
            true => Some(then.unwrap_or_else(|| vague(dice))),
            false => None,
        },
        about: match dice.chance(70) {
            true => Some(about.what.clone()),
            false => None,
        },
        side: match dice.chance(50) {
            true => about.side,
            false => side(dice),
        },
        says: None,
        english: Vec::new(),
        limits: (0..dice.between(0, 2))
            .map(|_| ((*dice.of(&demands)).clone(), *dice.of(&numbers)))
            .collect(),
        allows: (0..dice.between(0, 3))
            .map(|_| (*dice.of(&demands)).clone())
            .collect(),
        cleared: dice.chance(40),
        rest: dice.chance(15),
        opens: dice.chance(85),
    }
}

/// Somebody with one to three things, some of them told again at the door, and words about them.
fn somebody(dice: &mut Dice) -> Student {
    let known: Vec<&Known> = library().limitations.values().collect();
    // What a clinician's word opens has the most borders.
    let waits = |known: &&&Known| known.rules.iter().any(|rule| rule.window.until_word);
    let waiting: Vec<&Known> = known.iter().filter(waits).copied().collect();
    let mut one = || match dice.chance(50) {
        true => *dice.of(&waiting),
        false => *dice.of(&known),
    };
    let what: Vec<&Known> = [one(), one(), one()].into();
    let what = &what[..dice.between(1, 3) as usize];
    let mut student = plain();
    student.asked = *dice.of(&[Asked::Yes, Asked::Yes, Asked::Yes, Asked::Yes, Asked::Blank]);
    student.recorded = match dice.chance(50) {
        true => Some(day(dice)),
        false => None,
    };
    student.over_70 = dice.chance(10);
    student.under_18 = dice.chance(10);
    student.guardian = dice.chance(50);
    for what in what {
        if dice.chance(85) {
            student.limitations.push(Told::Limitation(told(what, dice)));
        }
        if dice.chance(25) {
            student.today.push(Told::Limitation(told(what, dice)));
        }
    }
    let told: Vec<&Limitation> = student
        .limitations
        .iter()
        .chain(&student.today)
        .filter_map(|told| match told {
            Told::Limitation(told) => Some(told),
            Told::Words { .. } => None,
        })
        .collect();
    if !told.is_empty() {
        student.guidance = (0..dice.between(0, 2)).map(|_| said(&told, dice)).collect();
    }
    student
}

/// Every stance as a teacher may set it, or left.
fn set(dice: &mut Dice) -> Settings {
    let mut settings = Settings::default();
    for stance in library().stances.values() {
        if dice.chance(50) {
            let option = dice.of(&stance.options).clone();
            settings.stances.insert(stance.id.clone(), option);
        }
    }
    settings
}

/// The steps at which the audit finds something of a kind, of which the words say so.
fn steps(found: &[kindfold::audit::Finding], kinds: &[Kind], words: &str) -> BTreeSet<usize> {
    let of = found.iter().filter(|one| kinds.contains(&one.kind));
    of.filter(|one| one.text.contains(words))
        .filter_map(|one| one.step)
        .collect()
}

/// Gives a shape as the judging says, or as it is where it says nothing.
fn give(one: &mut kindfold::adapted::Assignment, posture: &Posture, form: Form) {
    one.padded = form.padded;
    one.props = posture.props.clone();
    for (prop, count) in form.props() {
        *one.props.entry(prop).or_insert(0) += count;
    }
    one.hold_s = form.short_s.map_or(one.hold_s, |most| most.min(one.hold_s));
}

/// Whether an ease that stands in a finding is not met by the shape as it is.
fn wants_more(found: &Finding, at: At<'_>) -> bool {
    let there = |fact| at.posture.facts.contains(&fact);
    let mut rules = library()
        .limitations
        .values()
        .flat_map(|known| &known.rules);
    let rule = rules.find(|rule| rule.id == found.rule);
    let ways = rule
        .map(|rule| rule.easing.by.as_slice())
        .unwrap_or_default();
    found.verdict == Verdict::Ease
        && !ways.iter().any(|way| match way {
            EaseBy::Words => true,
            EaseBy::Shape => false,
            EaseBy::Padded => there(Fact::KneePadded),
            EaseBy::Support => there(Fact::Supported),
            EaseBy::HoldS(most) => at.hold_s <= *most,
        })
}

/// Where a budget of theirs is passed first, added up by hand.
fn passed(person: &Person<'_>, adapted: &Adapted) -> BTreeSet<(Use, usize)> {
    let mut passed = BTreeSet::new();
    for (of, limit, _) in person
        .budgets
        .iter()
        .filter(|one| one.0 != Use::StandingStill)
    {
        let (mut run, mut all) = (0, 0);
        for one in &adapted.students[0].assignments {
            let used = uses(&library().postures[&one.posture]).contains(of);
            run = if used { run + one.hold_s } else { 0 };
            all += if used { one.hold_s } else { 0 };
            if limit.bout_s.is_some_and(|most| run > most)
                || limit.class_s.is_some_and(|most| all > most)
            {
                passed.insert((*of, one.step));
                break;
            }
        }
    }
    passed
}

/// A plan with a person in it, as both readings see them.
struct Case<'a> {
    person: Person<'a>,
    basis: Basis<'a>,
    plan: Adapted,
}

impl Case<'_> {
    /// Shapes as they are taught, and then as the judging gives them.
    fn shapes(&mut self) -> Result<(), String> {
        let shapes = [Kind::Avoided, Kind::NotEased];
        let (mut kept, mut wanting, mut eased) =
            (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
        let mut as_judged = self.plan.clone();
        for place in 0..self.plan.steps.len() {
            let one = &mut self.plan.students[0].assignments[place];
            let posture = &library().postures[&one.posture];
            give(one, posture, Form::default());
            let at = At {
                posture,
                side: one.side,
                hold_s: one.hold_s,
                padded: false,
            };
            let judged = judge(&self.person, at, Some(Prop::Wall));
            let Some(form) = judged.form else {
                kept.insert(one.step);
                continue;
            };
            if form.is_eased() {
                eased.insert(one.step);
            }
            if judged.findings.iter().any(|found| wants_more(found, at)) {
                wanting.insert(one.step);
            }
            give(&mut as_judged.students[0].assignments[place], posture, form);
        }
        let found = audit(&self.plan, &self.basis);
        let rests = steps(&found, &[Kind::Avoided], "only rests").len();
        let all = self.plan.steps.len();
        if rests != if self.person.rest_only { all } else { 0 } {
            return Err(format!("{rests} of {all} are kept for rest"));
        }
        if self.person.rest_only {
            return Ok(());
        }
        let at = steps(&found, &shapes, "");
        self.same("missed as taught", &(&kept | &wanting) - &at)?;
        self.same("found beyond as taught", &(&at - &kept) - &eased)?;
        let found = audit(&as_judged, &self.basis);
        let at = steps(&found, &shapes, "");
        self.same("missed as judged", &kept - &at)?;
        self.same("found beyond as judged", &at - &kept)?;
        // A hold shortened to what a rule asks for is a hold that is theirs.
        self.same("another hold", steps(&found, &[Kind::Hold], ""))
    }

    /// Budgets, where each is passed first.
    fn budgets(&self) -> Result<(), String> {
        let found = audit(&self.plan, &self.basis);
        let of_use = |&of: &Use| {
            let at = steps(&found, &[Kind::Budget], &format!("too long of {of}"));
            at.into_iter().map(move |step| (of, step))
        };
        let (there, here): (BTreeSet<_>, _) = (
            Use::ALL.iter().flat_map(of_use).collect(),
            passed(&self.person, &self.plan),
        );
        match there == here {
            true => Ok(()),
            false => Err(format!("budgets: {there:?} found, {here:?} passed")),
        }
    }

    /// Ways, at each step any that leads there.
    fn ways(&mut self, dice: &mut Dice) -> Result<(), String> {
        let mut barred = BTreeSet::new();
        let path = &mut self.plan.students[0].assignments;
        path[0].link = None;
        for place in 1..path.len() {
            let [from, to] =
                [place - 1, place].map(|place| library().postures[&path[place].posture].level);
            let leads = |link: &&Link| link.from.contains(&from) && link.to.contains(&to);
            let ways: Vec<&Link> = library().links.values().filter(leads).collect();
            path[place].link = (!ways.is_empty()).then(|| {
                let way = *dice.of(&ways);
                if !may_take(&self.person, way) {
                    barred.insert(place + 1);
                }
                LinkTaken {
                    id: way.id.to_string(),
                    seconds: way.seconds,
                    props: PropCounts::new(),
                    apart: false,
                    verdicts: Vec::new(),
                }
            });
        }
        let mut found = audit(&self.plan, &self.basis);
        // Where they are at the beginning is no step of this class.
        found.retain(|one| one.step != Some(1));
        let all = steps(&found, &[Kind::Link], "");
        let at = steps(&found, &[Kind::Link], "kept from them");
        self.same("no way", &all - &at)?;
        self.same("a way missed", &barred - &at)?;
        self.same("a way found beyond", &at - &barred)
    }

    /// That there is no step at which the two differ.
    fn same(&self, how: &str, steps: BTreeSet<usize>) -> Result<(), String> {
        let one = |step: &usize| {
            let one = &self.plan.students[0].assignments[step - 1];
            let at = At {
                posture: &library().postures[&one.posture],
                side: one.side,
                hold_s: one.hold_s,
                padded: false,
            };
            let found = judge(&self.person, at, Some(Prop::Wall)).findings;
            format!("{step} {} {} {found:?}", one.posture, one.side)
        };
        match steps.is_empty() {
            true => Ok(()),
            false => Err(format!(
                "{how}: {:?}",
                steps.iter().map(one).collect::<Vec<_>>()
            )),
        }
    }
}

/// Whatever the two readings of one throw disagree on.
fn disagreement(seed: u64) -> Result<(), String> {
    let mut dice = Dice::new(seed);
    let lesson = dice.of(lessons());
    let settings = set(&mut dice);
    let roster = room(somebody(&mut dice));
    let mut case = Case {
        person: facts::person(&roster.students[0], library(), &settings, DATE),
        basis: Basis {
            library: library(),
            class: &lesson.class,
            roster: &roster,
            stock: &PropStock { counts: None },
            settings: &settings,
            date: DATE,
            max_options: 3,
        },
        plan: lesson.adapted.clone(),
    };
    case.shapes()
        .and_then(|()| case.budgets())
        .and_then(|()| case.ways(&mut dice))
        .map_err(|what| format!("{what}\n{:?}", roster.students[0]))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn the_audit_finds_what_the_judging_keeps_away_and_nothing_else(seed in any::<u64>()) {
        prop_assert_eq!(disagreement(seed), Ok(()));
    }
}

/// Somebody with a bad wrist and a shoulder as bad as told, given a shape that rests on the hands, so long.
fn on_the_hands(shoulder: Option<Severity>, shape: &str, hold_s: u32) -> Judged {
    let mut student = plain();
    let wrist = ("carpal-tunnel", Severity::Mild);
    let shoulder = shoulder.map(|severity| ("shoulder", severity));
    for (what, severity) in [wrist].into_iter().chain(shoulder) {
        let mut told = Limitation::bare(what.into(), 1);
        told.side = Some(ToldSide::Both);
        told.severity = Some(severity);
        student.limitations.push(Told::Limitation(told));
    }
    let settings = Settings::default();
    let person = facts::person(&student, library(), &settings, DATE);
    let at = At {
        posture: &library().postures[shape],
        side: Side::None,
        hold_s,
        padded: false,
    };
    judge(&person, at, None)
}

/// A wrist wants fists, a shoulder wants it short: the hand is eased by both, though one line of the two is printed.
#[rstest]
#[case(None, None)]
#[case(Some(Severity::Moderate), Some(30))]
fn an_ease_that_another_hides_is_met_too(
    #[case] shoulder: Option<Severity>,
    #[case] short_s: Option<u32>,
) {
    let form = on_the_hands(shoulder, "tabletop", 90).form;
    assert_eq!(form.expect("it may be given").short_s, short_s);
}

/// A mild operation long past is no more than that, until somebody says at the door that it is bad today.
#[rstest]
#[case(None, false)]
#[case(Some(Severity::Mild), false)]
#[case(Some(Severity::Acute), true)]
fn an_operation_is_as_bad_as_it_is_today(#[case] today: Option<Severity>, #[case] waits: bool) {
    const WEEKS: ToldWeeks = ToldWeeks {
        weeks: 37,
        days: None,
    };
    let mut student = plain();
    let mut told = Limitation::bare("surgery".into(), 1);
    told.severity = Some(Severity::Mild);
    told.site = Some("wrist".to_owned());
    told.weeks = Some(WEEKS);
    told.kind = vec!["cuff-repair".to_owned()];
    student.limitations.push(Told::Limitation(told));
    student.today.extend(today.map(|severity| {
        let mut told = Limitation::bare("surgery".into(), 1);
        told.severity = Some(severity);
        told.weeks = Some(WEEKS);
        Told::Limitation(told)
    }));
    let settings = Settings::default();
    let person = facts::person(&student, library(), &settings, DATE);
    let of_the_wrist = |rule: &&InForce<'_>| rule.rule.as_str().starts_with("wrist");
    let mut wrist = person.rules.iter().filter(of_the_wrist);
    assert_eq!(
        wrist.any(|rule| rule.verdict == Verdict::AskFirst),
        waits,
        "{today:?}"
    );
}

/// Of two eases of one demand the one that nothing meets keeps the shape away, and it is the one that is told.
#[test]
fn what_keeps_a_shape_away_is_told_before_what_is_eased() {
    let judged = on_the_hands(Some(Severity::Mild), "plank", 30);
    assert_eq!(judged.form, None);
    let hands = judged
        .findings
        .iter()
        .filter(|one| one.demand.as_str() == "weight-on-hands");
    let told: Vec<&str> = hands.map(|one| one.limitation.as_str()).collect();
    assert_eq!(told, ["shoulder", "shoulder"]);
}
