//! Laws of rules and people, on rooms thrown by dice: more told never opens a shape, a clinician's limit never
//! loosens one, left and right mean the same, order means nothing, and nobody is given what is kept from them.

use std::sync::OnceLock;

use jiff::civil::{Date, date};
use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, CautionKind};
use kindfold::audit::{Basis, Kind, audit};
use kindfold::class::ClassPlan;
use kindfold::group::solve::Limit;
use kindfold::input::{self, text::Source};
use kindfold::judge::facts;
use kindfold::judge::verdict::{At, judge};
use kindfold::library::posture::Posture;
use kindfold::library::rule::{Clock, Limitation};
use kindfold::roster::Roster;
use kindfold::settings::PropStock;
use kindfold::words::{Prop, Side, Verdict};
use proptest::prelude::*;
use rstest::rstest;
use serde_yaml::{Mapping, Value};

use crate::support::instances::Dice;
use crate::support::library::{library, settings, task};

const DATE: Date = date(2026, 11, 25);

static UNLIMITED: PropStock = PropStock { counts: None };

/// Something told, as an entry of a roster.
fn told(dice: &mut Dice) -> String {
    let known: Vec<&Limitation> = library().limitations.values().collect();
    let what = *dice.of(&known);
    let mut entry = vec![format!("what: {}", what.id)];
    if what.sided && dice.chance(80) {
        entry.push(format!("side: {}", dice.of(&["left", "right", "both"])));
    }
    match what.clock {
        Clock::None if !what.id.as_str().contains("no-") => {
            entry.push(format!(
                "severity: {}",
                dice.of(&["mild", "moderate", "acute"])
            ));
        }
        Clock::Pregnancy if dice.chance(30) => {
            let (month, day) = (dice.between(1, 8), dice.between(1, 28));
            entry.push(format!("due: 2027-{month:02}-{day:02}"));
        }
        Clock::Since if dice.chance(30) => {
            let (month, day) = (dice.between(1, 10), dice.between(1, 28));
            entry.push(format!("on: 2026-{month:02}-{day:02}"));
        }
        Clock::Pregnancy | Clock::Since if dice.chance(70) => {
            entry.push(format!(
                "weeks: {}+{}",
                dice.between(4, 40),
                dice.between(0, 6)
            ));
        }
        _ => {}
    }
    let kinds: Vec<&String> = what.kinds.keys().collect();
    if !kinds.is_empty() && dice.chance(40) {
        entry.push(format!("kind: {}", dice.of(&kinds)));
    }
    format!("{{{}}}", entry.join(", "))
}

fn roster_of(text: &str) -> Roster {
    let source = Source::from_bytes("roster.yaml", text.as_bytes()).expect("the roster is text");
    let roster = input::roster::read(source, library());
    roster.unwrap_or_else(|problems| unreachable!("{text}\n{problems:?}"))
}

/// A roster of one, who told these things and brought these words of a clinician.
fn one(told: &[String], guidance: &str) -> Roster {
    let told = told.join(", ");
    roster_of(&format!(
        "recorded: {DATE}\nstudents:\n  - {{name: Ines, limitations: [{told}]{guidance}}}\n"
    ))
}

/// Every shape of the library on each of its sides, held so long, that may not be given to them.
fn kept(roster: &Roster, hold_s: u32) -> Vec<(&'static str, Side)> {
    let student = roster.students.first().expect("the roster has one person");
    let person = facts::person(student, library(), settings(), DATE);
    let mut kept = Vec::new();
    for posture in library().postures.values().filter(|shape| !shape.is_part) {
        for side in sides(posture) {
            let at = At {
                posture,
                side,
                hold_s,
                padded: false,
            };
            if judge(&person, at, Some(Prop::Wall)).form.is_none() {
                kept.push((posture.id.as_str(), side));
            }
        }
    }
    kept
}

fn sides(posture: &Posture) -> Vec<Side> {
    match posture.is_sided() {
        true => vec![Side::Left, Side::Right],
        false => vec![Side::None],
    }
}

/// Left for right and right for left where a side is said; the names of shapes stay ("upright").
fn mirrored(text: &str) -> String {
    ["side", "first"].iter().fold(text.to_owned(), |text, key| {
        text.replace(&format!("{key}: left"), "\u{1}")
            .replace(&format!("{key}: right"), &format!("{key}: left"))
            .replace('\u{1}', &format!("{key}: right"))
    })
}

const PROPS: [&str; 6] = ["block", "blanket", "bolster", "strap", "chair", "wall"];

fn a_prop(dice: &mut Dice) -> String {
    format!("{{{}: {}}}", dice.of(&PROPS), dice.between(1, 2))
}

fn a_shape(dice: &mut Dice) -> &'static Posture {
    static SHAPES: OnceLock<Vec<&Posture>> = OnceLock::new();
    let shapes = SHAPES.get_or_init(|| {
        let shapes = library().postures.values();
        shapes.filter(|posture| !posture.is_part).collect()
    });
    dice.of::<&Posture>(shapes)
}

/// A line of a class. In a run it is the run that says which side.
fn line(dice: &mut Dice, in_run: bool) -> String {
    let shape = a_shape(dice);
    let is_new = dice.chance(5);
    let mut keys = match is_new || dice.chance(10) {
        true => vec!["own: Ours".to_owned()],
        false => vec![format!("posture: {}", shape.id)],
    };
    if keys == ["own: Ours"] && !is_new {
        keys.push(format!("like: {}", shape.id));
    }
    if shape.is_sided() && !in_run {
        let sides = ["left", "right", "each, first: left", "each, first: right"];
        keys.push(format!("side: {}", dice.of(&sides)));
    }
    keys.push(format!("breaths: {}", dice.between(3, 12)));
    if dice.chance(15) {
        keys.push("keep: yes".to_owned());
    }
    if dice.chance(15) {
        keys.push(format!("or: [{}]", a_shape(dice).id));
    }
    if dice.chance(15) {
        keys.push("padded: yes".to_owned());
    }
    if dice.chance(30) {
        keys.push(format!("props: {}", a_prop(dice)));
    }
    format!("{{{}}}", keys.join(", "))
}

/// Steps of a class, with the number of their lines: one line, a line repeated, or two, on a side or on each, once
/// or twice, of which the second may be repeated by itself.
fn steps(dice: &mut Dice) -> (String, u64) {
    let before = match dice.chance(10) {
        true => *dice.of(&[
            "      - {move: standing}\n",
            "      - {move: supine}\n",
            "      - talk: 1\n",
        ]),
        false => "",
    };
    let (text, lines) = taught_steps(dice);
    (format!("{before}{text}"), lines)
}

fn taught_steps(dice: &mut Dice) -> (String, u64) {
    if dice.chance(75) {
        return (format!("      - {}\n", line(dice, false)), 1);
    }
    let sides = [
        "left",
        "right",
        "each\n        first: left",
        "each\n        first: right",
    ];
    let head = |repeats, side| {
        format!("      - repeat: {repeats}\n        side: {side}\n        steps:\n")
    };
    let one = format!("          - {}\n", line(dice, true));
    if dice.chance(50) {
        return (head(dice.between(2, 3), *dice.of(&sides)) + &one, 1);
    }
    let inner = match dice.chance(50) {
        true => "          - repeat: 2\n            steps:\n              - ",
        false => "          - ",
    };
    let head = head(dice.between(1, 2), *dice.of(&sides));
    (format!("{head}{one}{inner}{}\n", line(dice, true)), 2)
}

/// Somebody, with what they told, what they want and what they bring, in a class of so many lines.
fn person(dice: &mut Dice, name: &str, lines: u64) -> String {
    let mut limitations: Vec<String> = (0..dice.between(0, 3)).map(|_| told(dice)).collect();
    if dice.chance(10) {
        limitations
            .push((*dice.of(&["stiff shoulder", "an odd thing", "sore left knee"])).to_owned());
    }
    let mut keys = vec![format!(
        "name: {name}, limitations: [{}]",
        limitations.join(", ")
    )];
    if dice.chance(30) {
        let wishes = ["chair", "wall", "no-floor", "side-lying"];
        keys.push(format!("prefers: [{}]", dice.of(&wishes)));
    }
    if dice.chance(20) {
        keys.push(format!("declines: [{}]", a_shape(dice).id));
    }
    if dice.chance(20) {
        let (line, shape) = (dice.between(1, lines), a_shape(dice));
        keys.push(format!("fixed: [{{line: {line}, posture: {}}}]", shape.id));
    }
    if dice.chance(25) {
        keys.push(format!("has: {}", a_prop(dice)));
    }
    if dice.chance(20) {
        keys.push(format!(
            "where: {}",
            dice.of(&["video", "video", "recording"])
        ));
    }
    if dice.chance(15) {
        keys.push("note: back to the wall".to_owned());
    }
    if dice.chance(15) {
        keys.push(format!("late: {}", dice.between(1, 20)));
    }
    if dice.chance(15) {
        keys.push(format!("asked: {}", dice.of(&["no", "blank", "declined"])));
    }
    if dice.chance(15) {
        keys.push(format!("today: [{}]", told(dice)));
    }
    if dice.chance(25) {
        let more = [
            "over_70: yes",
            "under_18: yes",
            "under_18: yes, guardian: yes",
            "access: [deaf]",
            "confidential: yes",
        ];
        keys.push((*dice.of(&more)).to_owned());
    }
    if dice.chance(20) {
        let (from, acts) = (
            dice.of(&["physio", "GP", "a friend"]),
            dice.of(&["limits", "allows"]),
        );
        let what = dice.of(&[
            "kneeling",
            "twist",
            "weight-on-hands",
            "head-below-heart",
            "balance",
        ]);
        keys.push(format!(
            "guidance: [{{from: {from}, on: 2026-11-02, says: as told, {acts}: [{what}]}}]"
        ));
    }
    format!("  - {{{}}}\n", keys.join(", "))
}

/// A class of a few shapes and a room of a few people, as files.
fn room(dice: &mut Dice) -> (String, String) {
    let steps: Vec<(String, u64)> = (0..dice.between(2, 4)).map(|_| steps(dice)).collect();
    let lines: u64 = steps.iter().map(|(_, lines)| lines).sum();
    let steps: String = steps.into_iter().map(|(text, _)| text).collect();
    let names = &["Ada", "Bo", "Cy"][..dice.between(1, 3) as usize];
    let people: String = names.iter().map(|name| person(dice, name, lines)).collect();
    (
        format!("title: Dice\nminutes: 60\nsections:\n  - name: All\n    steps:\n{steps}"),
        format!("recorded: {DATE}\nstudents:\n{people}"),
    )
}

/// A cupboard in which some props are short, or one of which nothing is said.
fn cupboard(dice: &mut Dice) -> PropStock {
    let counts = dice.chance(60).then(|| {
        let props = [
            Prop::Block,
            Prop::Blanket,
            Prop::Bolster,
            Prop::Strap,
            Prop::Chair,
            Prop::ChairWithArms,
            Prop::Wall,
        ];
        let number = |dice: &mut Dice| *dice.of(&[0, 1, 1, 2, 3, 9]);
        props.iter().map(|&prop| (prop, number(dice))).collect()
    });
    PropStock { counts }
}

fn class_of(text: &str) -> ClassPlan {
    let source = Source::from_bytes("class.yaml", text.as_bytes()).expect("the class is text");
    let class = input::class::read(source, library());
    class.unwrap_or_else(|problems| unreachable!("{text}\n{problems:?}"))
}

fn planned(class: &ClassPlan, roster: &Roster) -> Adapted {
    planned_with(class, roster, &UNLIMITED, 3)
}

fn planned_with(class: &ClassPlan, roster: &Roster, stock: &PropStock, most: u32) -> Adapted {
    let mut task = task(class, roster, stock, DATE);
    task.max_options = most;
    task.limit = Limit::Work(200_000);
    adapt(&task, &mut |_| {}).expect("it plans").adapted
}

/// The first line in which two results differ, as they are written.
fn difference(a: &Adapted, b: &Adapted) -> Option<(String, String)> {
    let lines = |plan| serde_json::to_string_pretty(plan).expect("a result is JSON");
    let (a, b) = (lines(a), lines(b));
    let pair = a.lines().zip(b.lines()).find(|(a, b)| a != b);
    pair.map(|(a, b)| (a.to_owned(), b.to_owned()))
}

/// A text with the keys of every table in the opposite order.
fn turned(text: &str) -> String {
    fn turn(value: Value) -> Value {
        match value {
            Value::Sequence(parts) => Value::Sequence(parts.into_iter().map(turn).collect()),
            Value::Mapping(map) => {
                let mut entries: Vec<(Value, Value)> = map.into_iter().collect();
                entries.reverse();
                let turned = entries.into_iter().map(|(key, part)| (key, turn(part)));
                Value::Mapping(turned.collect::<Mapping>())
            }
            other => other,
        }
    }
    let value: Value = serde_yaml::from_str(text).expect("it is YAML");
    serde_yaml::to_string(&turn(value)).expect("a value is YAML")
}

/// What a second reading of a plan goes by.
fn basis<'a>(class: &'a ClassPlan, roster: &'a Roster) -> Basis<'a> {
    Basis {
        library: library(),
        class,
        roster,
        stock: &UNLIMITED,
        settings: settings(),
        date: DATE,
        max_options: 3,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn one_thing_more_told_never_lets_a_shape_back_in(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let before: Vec<String> = (0..dice.between(0, 3)).map(|_| told(&mut dice)).collect();
        let mut after = before.clone();
        let place = dice.between(0, before.len() as u64) as usize;
        after.insert(place, told(&mut dice));
        let hold_s = *dice.of(&[18, 30, 90, 240]);
        let more = kept(&one(&after, ""), hold_s);
        for shape in kept(&one(&before, ""), hold_s) {
            prop_assert!(more.contains(&shape), "{shape:?}: {before:?}, then {after:?}");
        }
    }

    /// Held against the same words without their limit: that a word is recorded at all may end a wait.
    #[test]
    fn a_limit_of_a_clinician_never_loosens(seed in any::<u64>()) {
        const LIMITS: [&str; 8] = [
            "kneeling", "twist", "weight-on-hands", "head-below-heart", "{deep-knee-bend: 90}",
            "{arms-overhead: 90}", "{loaded-rounding: 30}", "{deep-hip-bend: 70}",
        ];
        let mut dice = Dice::new(seed);
        let told: Vec<String> = (0..dice.between(1, 3)).map(|_| told(&mut dice)).collect();
        let what = told[0].trim_start_matches("{what: ").split([',', '}']).next().unwrap_or("");
        let about = match dice.chance(70) {
            true => format!(", about: {what}"),
            false => String::new(),
        };
        let limit = dice.of(&LIMITS);
        let from = dice.of(&["physio", "surgeon", "midwife", "a friend"]);
        let said = |limits: &str| {
            format!(
                ", guidance: [{{from: {from}, on: 2026-11-02{about}, says: as told{limits}}}]"
            )
        };
        let guidance = said(&format!(", limits: [{limit}]"));
        let more = kept(&one(&told, &guidance), 30);
        for shape in kept(&one(&told, &said("")), 30) {
            prop_assert!(more.contains(&shape), "{shape:?}: {told:?} with {guidance}");
        }
    }

    #[test]
    fn what_is_kept_from_a_side_is_kept_from_the_other_in_the_mirror(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let told: Vec<String> = (0..dice.between(1, 3)).map(|_| told(&mut dice)).collect();
        let other: Vec<String> = told.iter().map(|told| mirrored(told)).collect();
        let here: Vec<(&str, Side)> = kept(&one(&told, ""), 30)
            .into_iter()
            .map(|(id, side)| (id, side.mirrored()))
            .collect();
        let there = kept(&one(&other, ""), 30);
        let apart: Vec<_> = here.iter().filter(|shape| !there.contains(shape)).chain(there.iter().filter(|shape| !here.contains(shape))).collect();
        prop_assert!(apart.is_empty(), "{apart:?} with {told:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn nobody_is_given_what_is_kept_from_them_and_the_audit_agrees(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let (class, roster) = room(&mut dice);
        let (stock, most) = (cupboard(&mut dice), dice.between(1, 3) as u32);
        let (class_plan, people) = (class_of(&class), roster_of(&roster));
        let adapted = planned_with(&class_plan, &people, &stock, most);
        for assignment in adapted.students.iter().flat_map(|student| &student.assignments) {
            for found in &assignment.verdicts {
                prop_assert!(
                    !matches!(found.verdict, Verdict::Avoid | Verdict::AskFirst),
                    "{found:?} in {class}{roster}"
                );
            }
        }
        let basis = Basis { stock: &stock, max_options: most, ..basis(&class_plan, &people) };
        let found = audit(&adapted, &basis);
        prop_assert_eq!(found, Vec::new(), "{}{}{:?}, at most {}", class, roster, stock, most);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_people_and_of_keys_changes_nothing(seed in any::<u64>()) {
        let (class, roster) = room(&mut Dice::new(seed));
        let plan = planned(&class_of(&class), &roster_of(&roster));
        let turned_keys = planned(&class_of(&turned(&class)), &roster_of(&turned(&roster)));
        prop_assert_eq!(difference(&plan, &turned_keys), None, "keys of {}{}", class, roster);
        let mut lines: Vec<&str> = roster.lines().collect();
        lines[2..].reverse();
        let people = roster_of(&format!("{}\n", lines.join("\n")));
        let turned_people = planned(&class_of(&class), &people);
        prop_assert_eq!(difference(&plan, &turned_people), None, "people of {}{}", class, roster);
    }

    /// The same sum; among plans of one sum the mirror may get another.
    #[test]
    fn a_mirrored_room_costs_the_same(seed in any::<u64>()) {
        let (class, roster) = room(&mut Dice::new(seed));
        let (class_here, class_there) = (class_of(&class), class_of(&mirrored(&class)));
        let (people_here, people_there) = (roster_of(&roster), roster_of(&mirrored(&roster)));
        let here = planned(&class_here, &people_here);
        let there = planned(&class_there, &people_there);
        if here.plan.proved_optimal && there.plan.proved_optimal {
            prop_assert_eq!(here.plan.objective, there.plan.objective, "{}{}", class, roster);
        }
    }
}

/// A sore knee and a wish not to kneel keep the same weight off the same knees: one line says so, and the
/// second reading asks for no other.
#[test]
fn two_reasons_for_the_same_owe_one_caution() {
    let class = class_of(
        "title: Knees\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {posture: supported-childs-pose-padded, breaths: 12}\n",
    );
    let told = "{what: knee, side: both, severity: acute}, {what: no-kneeling}";
    let people = roster_of(&format!(
        "recorded: 2026-11-25\nstudents:\n  - {{name: Bo, limitations: [{told}]}}\n"
    ));
    let mut adapted = planned(&class, &people);
    let basis = basis(&class, &people);
    assert_eq!(audit(&adapted, &basis), Vec::new());
    adapted.cautions.retain(|caution| caution.student.is_none());
    let found = audit(&adapted, &basis);
    assert!(!found.is_empty(), "without the line it is missed");
}

/// Somebody who stays in a chair and pauses from the beginning is in the chair: the next shape there is no
/// change of level, and the second reading adds up what the plan did.
#[test]
fn whoever_stays_in_a_chair_pauses_there() {
    let class = class_of(
        "title: Floor\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {posture: figure-four-with-strap, side: left, breaths: 6}\n      \
         - {posture: sphinx, breaths: 3}\n      - {posture: windscreen-wipers-small, breaths: 5}\n",
    );
    let told = "{what: stays-in-chair, severity: acute}";
    let people = roster_of(&format!(
        "recorded: 2026-11-25\nstudents:\n  - {{name: Ada, limitations: [{told}]}}\n"
    ));
    let mut adapted = planned(&class, &people);
    assert_eq!(audit(&adapted, &basis(&class, &people)), Vec::new());
    let path = &mut adapted.students[0].assignments;
    assert!(path[0].sit_out && path[2].sit_out && !path[1].sit_out);
    for rest in [0, 2] {
        path[rest].posture = "pause-as-you-are".into();
        path[rest].props = [(Prop::Chair, 1)].into();
    }
    let found = audit(&adapted, &basis(&class, &people));
    let sums: Vec<_> = found
        .iter()
        .filter(|found| found.kind == Kind::Objective)
        .collect();
    assert!(sums.is_empty(), "{sums:?}");
}

/// What comes last in a run is followed by what comes first in it, on the other side and in the next round: nobody
/// is put on the floor at its end who may not get up for its beginning.
#[rstest]
#[case("repeat: 1, side: each", "")]
#[case("repeat: 2, side: left", "")]
#[case("repeat: 2, side: each", "")]
#[case("repeat: 1, side: left, steps: [{repeat: 2", "]}")]
fn a_run_taught_again_leads_back_to_its_beginning(#[case] how: &str, #[case] end: &str) {
    let class = class_of(&format!(
        "title: Up\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {{{how}, steps: [{{posture: constructive-rest-feet-on-wall, breaths: 9}}, \
         {{posture: reclined-cobbler-ramp-with-strap, breaths: 6}}]}}{end}\n      \
         - {{{how}, steps: [{{posture: breath-holding-none-held-in-a-chair, breaths: 6}}, \
         {{posture: half-moon-back-to-wall, breaths: 5}}]}}{end}\n"
    ));
    let told = "{what: frozen-shoulder, side: both, severity: acute}, {what: cold-or-fever, severity: mild}";
    let roster = one(&[told.to_owned()], "");
    let adapted = planned(&class, &roster);
    assert_eq!(audit(&adapted, &basis(&class, &roster)), Vec::new());
}

/// A clinician's word of rest ends with a clinician's later leave to take part, of the last year and not of a day
/// to come: in the plan and in the second reading of it.
#[rstest]
#[case::nothing_later("2026-11-10", None, true)]
#[case::ten_days_later("2026-11-10", Some("2026-11-20"), false)]
#[case::on_the_same_day("2026-11-10", Some("2026-11-10"), true)]
#[case::before_it("2026-11-10", Some("2026-11-05"), true)]
#[case::on_a_day_to_come("2026-11-10", Some("2026-11-27"), true)]
#[case::a_year_ago("2025-06-01", Some("2025-11-25"), false)]
#[case::longer_ago("2025-06-01", Some("2025-11-24"), true)]
fn a_word_of_rest_ends_with_a_later_leave(
    #[case] on: &str,
    #[case] leave: Option<&str>,
    #[case] rests: bool,
) {
    let mut said = vec![format!("{{from: GP, on: {on}, says: complete rest}}")];
    said.extend(
        leave.map(|on| format!("{{from: GP, on: {on}, says: may take part, cleared: yes}}")),
    );
    let class = class_of(
        "title: Up\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {posture: mountain-feet-wide, breaths: 5}\n",
    );
    let roster = one(&[], &format!(", guidance: [{}]", said.join(", ")));
    let adapted = planned(&class, &roster);
    assert_eq!(adapted.students[0].assignments[0].sit_out, rests);
    let mut other = adapted.clone();
    other.students[0].assignments[0].sit_out = !rests;
    let found = |adapted: &Adapted| {
        let found = audit(adapted, &basis(&class, &roster));
        found.iter().any(|found| found.text.contains("only rests"))
    };
    assert!(!found(&adapted));
    assert_eq!(found(&other), rests);
}

/// With a block of their own and none left, a shape that needs one is done on one where the line lays two.
#[test]
fn of_two_blocks_on_a_line_the_one_that_the_shape_needs_will_do() {
    let class = class_of(
        "title: Up\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {posture: supported-bridge, breaths: 9, props: {block: 2}}\n",
    );
    let roster = roster_of(&format!(
        "recorded: {DATE}\nstudents:\n  - {{name: Ines, limitations: [], has: {{block: 1}}}}\n"
    ));
    let stock = PropStock {
        counts: Some([(Prop::Block, 2)].into()),
    };
    let adapted = planned_with(&class, &roster, &stock, 3);
    let given = &adapted.students[0].assignments[0];
    assert_eq!(given.posture.as_str(), "supported-bridge");
    assert_eq!(given.props.get(&Prop::Block), Some(&1));
}

/// Somebody who stays in a chair, and no chair: the plan says that nothing is left to them, the second reading
/// agrees, and finds it missing where the price of it is not in the sum.
#[rstest]
#[case::no_chair(1, 0)]
#[case::one_beside_the_teachers(2, 2)]
fn whoever_stays_in_a_chair_and_has_none_is_left_with_a_pause(
    #[case] people: usize,
    #[case] chairs: u32,
) {
    let class = class_of(
        "title: Up and down\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {posture: mountain, breaths: 6}\n      - {posture: sphinx, breaths: 3}\n      \
         - {posture: chair-cow-face-strap-arms, breaths: 5}\n",
    );
    let stays = ["Ada", "Bo"].map(|name| {
        format!("  - {{name: {name}, limitations: [{{what: stays-in-chair, severity: acute}}]}}\n")
    });
    let roster = roster_of(&format!(
        "recorded: 2026-11-25\nstudents:\n{}",
        stays[..people].concat()
    ));
    let counts = [(Prop::Chair, chairs), (Prop::Strap, 3)].into();
    let stock = PropStock {
        counts: Some(counts),
    };
    let mut adapted = planned_with(&class, &roster, &stock, 3);
    let basis = Basis {
        stock: &stock,
        ..basis(&class, &roster)
    };
    assert_eq!(audit(&adapted, &basis), Vec::new());
    let paths = adapted.students.iter();
    let nothing = paths.filter(|plan| plan.assignments.iter().all(|one| one.props.is_empty()));
    let nothing: Vec<_> = nothing.map(|plan| &plan.id).collect();
    assert_eq!(nothing.len(), 1);
    let asked: Vec<&str> = adapted
        .cautions
        .iter()
        .filter(|one| one.student.as_ref() == Some(nothing[0]) && one.kind == CautionKind::AskFirst)
        .map(|one| one.text.as_str())
        .collect();
    assert_eq!(
        asked,
        [
            "steps 1 to 3: they stay in a chair, and there is none for them. Can one be brought? Nothing is planned for \
         them there."
        ]
    );
    adapted.plan.terms.stray -= 50_000;
    adapted.plan.objective -= 50_000;
    assert!(!audit(&adapted, &basis).is_empty());
}

/// A run taught again is kept joined for each person by what is easiest for them. Where that takes a chair that
/// another has, another way is found, and nobody is left with nothing to do.
#[test]
fn whose_chair_is_taken_rests_on_the_floor_again_and_again() {
    let class = class_of(
        "title: Chairs\nminutes: 60\nsections:\n  - name: All\n    steps:\n      \
         - {posture: wide-legged-fold-head-on-block, breaths: 9}\n      \
         - repeat: 2\n        side: left\n        steps:\n          \
         - {posture: chair-cow-face-strap-arms, breaths: 10}\n          \
         - repeat: 2\n            steps:\n              \
         - {posture: seated-mountain-leaning-back, breaths: 7, keep: yes}\n",
    );
    let roster = one(
        &["{what: wrist, side: left, severity: acute}".to_owned()],
        ", prefers: [no-floor], over_70: yes",
    );
    let counts = [(Prop::Chair, 1), (Prop::Block, 1), (Prop::Strap, 3)].into();
    let stock = PropStock {
        counts: Some(counts),
    };
    let adapted = planned_with(&class, &roster, &stock, 2);
    let basis = Basis {
        stock: &stock,
        max_options: 2,
        ..basis(&class, &roster)
    };
    assert!(adapted.plan.terms.stray < 50_000, "{:?}", adapted.plan);
    assert_eq!(audit(&adapted, &basis), Vec::new());
}

/// The weight on head and forearms in a headstand is a study's (Chen and others 2017, OC-23), not the model's to be
/// unsure of: whoever is to have no weight on head or neck is kept from it, not watched in it.
#[rstest]
#[case::neck("{what: neck, severity: moderate}")]
#[case::sore_neck("{what: neck, severity: acute}")]
#[case::pressure("{what: high-blood-pressure, severity: moderate}")]
#[case::expecting("{what: pregnancy, weeks: 24+0}")]
#[case::bones("{what: osteoporosis}")]
#[case::eyes("{what: glaucoma}")]
#[case::a_wish("{what: no-weight-on-head-or-neck}")]
#[case::forearms("{what: no-weight-on-forearms}")]
fn a_headstand_is_kept_from_whoever_is_to_have_no_weight_there(#[case] told: &str) {
    let kept = kept(&one(&[told.to_owned()], ""), 30);
    assert!(kept.contains(&("headstand", Side::None)), "{kept:?}");
}
