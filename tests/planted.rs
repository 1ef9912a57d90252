//! Faults planted in a result at random places: whatever the place, the audit finds the kind.
//!
//! The result is that of Class A with Roster 2; a fault is one that a wrong planner or a wrong hand could make.

use std::path::Path;
use std::sync::OnceLock;

use jiff::civil::Date;
use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, CautionKind};
use kindfold::audit::{Basis, Finding, Kind, audit};
use kindfold::class::ClassPlan;
use kindfold::input::{self, text::Source};
use kindfold::judge::facts;
use kindfold::judge::verdict::{At, judge};
use kindfold::library::posture::Posture;
use kindfold::roster::{Asked, Roster, Where};
use kindfold::settings::PropStock;
use kindfold::words::{Prop, Side, Verdict};
use rstest::rstest;

use crate::support::instances::Dice;
use crate::support::library::{library, settings, task};

/// So many places for each kind of fault.
const PLACES: u64 = 12;

struct Case {
    class: ClassPlan,
    roster: Roster,
    stock: PropStock,
    date: Date,
    adapted: Adapted,
}

impl Case {
    fn basis(&self) -> Basis<'_> {
        Basis {
            library: library(),
            class: &self.class,
            roster: &self.roster,
            stock: &self.stock,
            settings: settings(),
            date: self.date,
            max_options: 3,
        }
    }
}

fn case() -> &'static Case {
    static CASE: OnceLock<Case> = OnceLock::new();
    CASE.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/tuesday-wind-down");
        let source = |name: &str| {
            let bytes = std::fs::read(folder.join(name)).expect("the case has this file");
            Source::from_bytes(name, &bytes).expect("it is text")
        };
        let class = input::class::read(source("class.yaml"), library()).expect("a class");
        let roster = input::roster::read(source("roster.yaml"), library()).expect("a roster");
        let stock = input::props::read(source("props.yaml")).expect("props");
        let date = class.date.expect("the case has a date");
        let task = task(&class, &roster, &stock, date);
        let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
        Case {
            class,
            roster,
            stock,
            date,
            adapted,
        }
    })
}

/// A way to plant a fault: none where this throw of the dice met no place for it.
type Plant = fn(&mut Adapted, &mut Dice) -> Option<()>;

#[rstest]
#[case::schema(Kind::Schema, (|plan, _| { plan.schema.push('2'); Some(()) }) as Plant)]
#[case::date(Kind::MadeWith, (|plan, dice| {
    plan.made_with.date = format!("2026-0{}-11", dice.between(1, 9)); Some(())
}) as Plant)]
#[case::limit(Kind::MadeWith, (|plan, dice| {
    plan.made_with.max_options += dice.between(1, 5) as u32; Some(())
}) as Plant)]
#[case::stance(Kind::MadeWith, (|plan, dice| {
    let ids: Vec<String> = plan.made_with.stances.keys().cloned().collect();
    plan.made_with.stances.insert(dice.of(&ids).clone(), "otherwise".to_owned()); Some(())
}) as Plant)]
#[case::library(Kind::MadeWith, (|plan, _| { plan.made_with.library = "0".repeat(64); Some(()) }) as Plant)]
#[case::step_gone(Kind::Step, (|plan, dice| {
    let at = step(plan, dice); plan.steps.remove(at); Some(())
}) as Plant)]
#[case::steps_swapped(Kind::Step, (|plan, dice| {
    let at = step(plan, dice).max(1); plan.steps.swap(at - 1, at); Some(())
}) as Plant)]
#[case::another_step(Kind::Step, (|plan, dice| {
    let at = step(plan, dice);
    let other = another(dice, plan.steps[at].taught.posture.as_str());
    plan.steps[at].taught.posture = other.id.clone(); Some(())
}) as Plant)]
#[case::another_hold(Kind::Hold, (|plan, dice| {
    let at = step(plan, dice); plan.steps[at].hold_s += dice.between(1, 60) as u32; Some(())
}) as Plant)]
#[case::a_longer_hold_for_one(Kind::Hold, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    plan.students[who].assignments[at].hold_s += dice.between(1, 60) as u32; Some(())
}) as Plant)]
#[case::student_gone(Kind::Student, (|plan, dice| {
    let who = person(plan, dice); plan.students.remove(who); Some(())
}) as Plant)]
#[case::student_twice(Kind::Student, (|plan, dice| {
    let who = person(plan, dice); plan.students.push(plan.students[who].clone()); Some(())
}) as Plant)]
#[case::a_hole_in_a_path(Kind::Path, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    plan.students[who].assignments.remove(at); Some(())
}) as Plant)]
#[case::no_such_shape(Kind::UnknownShape, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    plan.students[who].assignments[at].posture = "no-such-shape".into(); Some(())
}) as Plant)]
#[case::kept_from_them(Kind::Avoided, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    give(plan, dice, who, at, |verdict| matches!(verdict, Verdict::Avoid | Verdict::AskFirst))
}) as Plant)]
#[case::nothing_eases(Kind::NotEased, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    give(plan, dice, who, at, |verdict| verdict == Verdict::Ease)
}) as Plant)]
#[case::no_way(Kind::Link, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    plan.students[who].assignments[at].link.take().map(|_| ())
}) as Plant)]
#[case::a_way_to_elsewhere(Kind::Link, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    let assignment = &mut plan.students[who].assignments[at];
    assignment.link.as_mut().map(|link| link.id = "no-such-way".to_owned())
}) as Plant)]
#[case::too_few_props_said(Kind::Props, (|plan, dice| {
    let used: Vec<Prop> = plan.props.iter().filter(|(_, of)| of.needed > 0).map(|(prop, _)| *prop).collect();
    let props = plan.props.get_mut(dice.of(&used))?;
    props.needed -= 1; Some(())
}) as Plant)]
#[case::more_props_than_there_are(Kind::Props, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    let here = case().roster.student(&plan.students[who].id)?.place == Where::Room;
    let prop = *dice.of(&[Prop::Block, Prop::Blanket, Prop::Bolster, Prop::Strap]);
    here.then_some(())?;
    plan.students[who].assignments[at].props.insert(prop, 99); Some(())
}) as Plant)]
#[case::another_sum(Kind::Objective, (|plan, dice| {
    plan.plan.objective += dice.between(1, 9) as i64; Some(())
}) as Plant)]
#[case::another_part_of_the_sum(Kind::Objective, (|plan, dice| {
    let by = dice.between(1, 9) as i64;
    plan.plan.terms.stray -= by; plan.plan.terms.change += by; Some(())
}) as Plant)]
#[case::a_bound_above(Kind::Bound, (|plan, dice| {
    plan.plan.lower_bound = plan.plan.objective + dice.between(1, 99) as i64; Some(())
}) as Plant)]
#[case::proved_below(Kind::Bound, (|plan, dice| {
    plan.plan.lower_bound -= dice.between(1, 99) as i64; Some(())
}) as Plant)]
#[case::another_line(Kind::Step, (|plan, dice| {
    let at = step(plan, dice); plan.steps[at].line += dice.between(1, 9) as usize; Some(())
}) as Plant)]
#[case::another_number(Kind::Step, (|plan, dice| {
    let at = step(plan, dice); plan.steps[at].index += dice.between(1, 9) as usize; Some(())
}) as Plant)]
#[case::a_side_too_many(Kind::Step, (|plan, dice| {
    let at = step(plan, dice);
    let taught = &mut plan.steps[at].taught;
    taught.side = match taught.side { Side::None => Side::Left, _ => Side::None }; Some(())
}) as Plant)]
#[case::before_its_time(Kind::Step, (|plan, dice| {
    let at = step(plan, dice).max(1);
    plan.steps[at].start_s = plan.steps[at - 1].start_s.checked_sub(1)?; Some(())
}) as Plant)]
#[case::a_stranger(Kind::Student, (|plan, dice| {
    let who = person(plan, dice);
    let mut stranger = plan.students[who].clone();
    stranger.id = "nobody-9".into();
    plan.students.push(stranger); Some(())
}) as Plant)]
#[case::a_shape_without_its_side(Kind::UnknownShape, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    let assignment = &mut plan.students[who].assignments[at];
    library().postures.get(&assignment.posture)?;
    assignment.side = match assignment.side { Side::None => Side::Right, _ => Side::None }; Some(())
}) as Plant)]
#[case::a_pause_that_has_a_name_of_its_own(Kind::UnknownShape, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    plan.students[who].assignments[at].posture = "own-shape".into(); Some(())
}) as Plant)]
#[case::a_shorter_hold_that_nobody_asked_for(Kind::Hold, (|plan, dice| {
    let (who, at) = (person(plan, dice), step(plan, dice));
    // Nobody's rules ask for one second.
    plan.students[who].assignments[at].hold_s = 1; Some(())
}) as Plant)]
#[case::one_prop_too_many_said(Kind::Props, (|plan, dice| {
    let props: Vec<Prop> = plan.props.keys().copied().filter(|prop| *prop != Prop::Mat).collect();
    plan.props.get_mut(dice.of(&props))?.needed += 1; Some(())
}) as Plant)]
#[case::a_sit_out_that_nobody_reports(Kind::Objective, (|plan, _| {
    plan.plan.sit_outs = match plan.plan.sit_outs { 0 => 1, _ => 0 }; Some(())
}) as Plant)]
#[case::more_sit_outs_than_there_are(Kind::Objective, (|plan, _| {
    plan.plan.sit_outs += 1_000; Some(())
}) as Plant)]
#[case::not_on_the_menu(Kind::Menu, (|plan, dice| {
    let at = step(plan, dice);
    let shown = plan.steps[at].lead.posture.clone();
    let other = |option: &kindfold::adapted::MenuOption| {
        let taken = |one: &kindfold::adapted::StudentPlan| {
            let done = &one.assignments[at];
            done.posture == option.posture && done.posture != shown && !done.sit_out
        };
        plan.students.iter().any(taken)
    };
    let gone = plan.steps[at].options.iter().position(other)?;
    plan.steps[at].options.remove(gone); Some(())
}) as Plant)]
#[case::a_caution_gone(Kind::Caution, (|plan, dice| {
    let who = person(plan, dice);
    let student = case().roster.student(&plan.students[who].id)?;
    let owed = [
        (CautionKind::Today, !student.today.is_empty()),
        (CautionKind::Guidance, !student.guidance.is_empty()),
        (CautionKind::Access, !student.access.is_empty()),
        (CautionKind::Late, student.late_min > 0),
        (CautionKind::NotAsked, student.asked != Asked::Yes && student.place != Where::Recording),
    ];
    let (kind, is_owed) = *dice.of(&owed);
    plan.cautions.retain(|one| one.kind != kind || one.student.as_ref() != Some(&student.id));
    is_owed.then_some(())
}) as Plant)]
fn a_fault_is_found_wherever_it_is(#[case] kind: Kind, #[case] plant: Plant) {
    let case = case();
    let mut planted = 0;
    for seed in 0..300 * PLACES {
        if planted == PLACES {
            break;
        }
        let (mut dice, mut plan) = (Dice::new(seed), case.adapted.clone());
        if plant(&mut plan, &mut dice).is_none() {
            continue;
        }
        planted += 1;
        let found = audit(&plan, &case.basis());
        assert!(
            found.iter().any(|one| one.kind == kind),
            "throw {seed}: {found:?}"
        );
    }
    assert!(planted >= PLACES / 2, "only {planted} places were met");
}

#[test]
fn a_fault_names_its_step() {
    let case = case();
    for at in 0..case.adapted.steps.len() {
        let mut plan = case.adapted.clone();
        plan.steps[at].hold_s += 1;
        let found = audit(&plan, &case.basis());
        let steps: Vec<_> = found
            .iter()
            .filter(|found| found.kind == Kind::Hold)
            .map(|found| found.step)
            .collect();
        assert_eq!(steps, [Some(at + 1)]);
    }
}

#[test]
fn without_a_fault_there_is_nothing_to_find() {
    assert_eq!(audit(&case().adapted, &case().basis()), Vec::new());
}

fn step(plan: &Adapted, dice: &mut Dice) -> usize {
    dice.between(0, plan.steps.len() as u64 - 1) as usize
}

fn person(plan: &Adapted, dice: &mut Dice) -> usize {
    dice.between(0, plan.students.len() as u64 - 1) as usize
}

/// Another shape of the library.
fn another(dice: &mut Dice, than: &str) -> &'static Posture {
    let shapes: Vec<&Posture> = library()
        .postures
        .values()
        .filter(|posture| !posture.is_part && posture.id.as_str() != than)
        .collect();
    shapes[dice.between(0, shapes.len() as u64 - 1) as usize]
}

/// Gives a person a shape that cannot be given to them, of which the strictest word is such.
fn give(
    plan: &mut Adapted,
    dice: &mut Dice,
    who: usize,
    at: usize,
    such: impl Fn(Verdict) -> bool,
) -> Option<()> {
    let case = case();
    let student = case.roster.student(&plan.students[who].id)?;
    let person = facts::person(student, library(), settings(), case.date);
    let posture = another(dice, "");
    let side = match posture.is_sided() {
        true => *dice.of(&[Side::Left, Side::Right]),
        false => Side::None,
    };
    let assignment = &mut plan.students[who].assignments[at];
    let shape = At {
        posture,
        side,
        hold_s: assignment.hold_s,
        padded: false,
    };
    // Without a wall or a chair beside it.
    let judged = judge(&person, shape, None);
    let strictest = judged.findings.first()?.verdict;
    if judged.form.is_some() || !such(strictest) {
        return None;
    }
    assignment.posture = posture.id.clone();
    assignment.side = side;
    assignment.padded = false;
    assignment.sit_out = false;
    assignment.props = posture.props.clone();
    Some(())
}

/// A plan that keeps a shape, and somebody for whom one is fixed.
fn kept_and_fixed() -> (ClassPlan, Roster) {
    let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("text");
    let class = "title: Kept\nminutes: 20\nsections:\n  - name: All\n    steps:\n      \
                 - {posture: mountain, breaths: 5, keep: yes}\n      - {posture: tree, side: left, breaths: 5}\n";
    let roster =
        "recorded: 2026-11-25\nstudents:\n  - {name: Ada, fixed: [{line: 2, posture: triangle}]}\n";
    let class = input::class::read(source("class.yaml", class), library()).expect("a class");
    let roster = input::roster::read(source("roster.yaml", roster), library()).expect("a roster");
    (class, roster)
}

/// What is found in a plan after something is planted in it; before, nothing is.
fn found_with(class: &ClassPlan, roster: &Roster, plant: fn(&mut Adapted)) -> Vec<Finding> {
    let (stock, date) = (PropStock { counts: None }, Date::constant(2026, 11, 25));
    let mut adapted = adapt(&task(class, roster, &stock, date), &mut |_| {})
        .expect("it plans")
        .adapted;
    let basis = Basis {
        library: library(),
        class,
        roster,
        stock: &stock,
        settings: settings(),
        date,
        max_options: 3,
    };
    assert_eq!(audit(&adapted, &basis), Vec::new());
    plant(&mut adapted);
    audit(&adapted, &basis)
}

#[rstest]
#[case::a_kept_shape_not_shown(Kind::Step, |plan: &mut Adapted| {
    plan.steps[0].lead.posture = "forward-fold".into();
})]
#[case::a_fixed_shape_not_given(Kind::Menu, |plan: &mut Adapted| {
    plan.students[0].assignments[1].posture = "tree".into();
})]
fn what_the_teacher_decided_is_looked_for(#[case] kind: Kind, #[case] plant: fn(&mut Adapted)) {
    let (class, roster) = kept_and_fixed();
    let found = found_with(&class, &roster, plant);
    assert!(found.iter().any(|one| one.kind == kind), "{found:?}");
}

/// A fixed shape that rules keep from somebody is not given, and its absence is not complained of.
#[rstest]
#[case::kept("{what: knee, side: both, severity: acute}", "hero", "room")]
#[case::waited_for("{what: eye-surgery, weeks: 1+0}", "headstand", "room")]
#[case::nothing_to_hold_on_to("{what: ankle, side: right, severity: mild}", "tree", "video")]
#[case::only_watched("{what: pregnancy, weeks: 20+0}", "warrior-ii", "room")]
#[case::eased_by_words("{what: neck, severity: moderate}", "bridge", "room")]
fn a_fixed_shape_that_is_refused_is_not_missed(
    #[case] told: &str,
    #[case] fixed: &str,
    #[case] place: &str,
) {
    let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("text");
    let roster = format!(
        "recorded: 2026-11-25\nstudents:\n  - {{name: Ada, limitations: [{told}], where: {place}, \
         fixed: [{{line: 2, posture: {fixed}}}]}}\n"
    );
    let class = kept_and_fixed().0;
    let roster = input::roster::read(source("roster.yaml", &roster), library()).expect("a roster");
    assert_eq!(found_with(&class, &roster, |_| {}), Vec::new());
}

/// The words that stand behind a finding, and that scripts may look for.
#[rstest]
#[case(Kind::Schema, "schema")]
#[case(Kind::MadeWith, "made-with")]
#[case(Kind::Step, "step")]
#[case(Kind::Hold, "hold")]
#[case(Kind::Student, "student")]
#[case(Kind::Path, "path")]
#[case(Kind::UnknownShape, "unknown-shape")]
#[case(Kind::Avoided, "avoided")]
#[case(Kind::NotEased, "not-eased")]
#[case(Kind::Link, "link")]
#[case(Kind::Budget, "budget")]
#[case(Kind::Props, "props")]
#[case(Kind::Objective, "objective")]
#[case(Kind::Bound, "bound")]
#[case(Kind::Menu, "menu")]
#[case(Kind::Caution, "caution")]
fn a_kind_has_its_word(#[case] kind: Kind, #[case] word: &str) {
    assert_eq!(kind.as_str(), word);
}
