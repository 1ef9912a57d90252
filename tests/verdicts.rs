//! The table of expected verdicts: one row a shape, a limitation and what the rules say of it.
//!
//! Every expected value is that of the trade's table (rules of the trade, section 9) and none of ours. A row
//! names everything that may fire: whatever else does is a fault.

use std::collections::BTreeMap;

use jiff::civil::{Date, date};
use kindfold::adapted::{CautionKind, Finding};
use kindfold::input;
use kindfold::input::text::Source;
use kindfold::judge::facts;
use kindfold::judge::verdict::{At, judge};
use kindfold::library::Library;
use kindfold::roster::Roster;
use kindfold::settings::Settings;
use kindfold::words::{Prop, Side, Strength};
use rstest::rstest;

use crate::outside::LIBRARY;

/// The class's date, and the day on which the facts of every row were true.
const DATE: Date = date(2026, 11, 25);

/// Five breaths of six seconds, the hold of every row that names none.
const USUAL_HOLD_S: u32 = 30;

/// A shape as given in a row.
#[derive(Clone, Copy)]
struct Given {
    posture: &'static str,
    side: Side,
    hold_s: u32,
}

/// A shape for five breaths, the right side leading where it has sides.
const fn given(posture: &'static str) -> Given {
    Given {
        posture,
        side: Side::Right,
        hold_s: USUAL_HOLD_S,
    }
}

impl Given {
    const fn left(self) -> Self {
        Self {
            side: Side::Left,
            ..self
        }
    }

    const fn held(self, hold_s: u32) -> Self {
        Self { hold_s, ..self }
    }
}

/// A roster of one person who told this one thing.
fn roster(told: &str, library: &Library) -> Roster {
    let text = format!("recorded: {DATE}\nstudents:\n  - {{name: Ines, limitations: [{told}]}}\n");
    let source = Source::from_bytes("roster.yaml", text.as_bytes()).expect("the roster is text");
    input::roster::read(source, library).expect("the row's roster is right")
}

fn findings(given: Given, told: &str, settings: &Settings, library: &Library) -> Vec<Finding> {
    let roster = roster(told, library);
    let student = roster.students.first().expect("the roster has one person");
    let person = facts::person(student, library, settings, DATE);
    assert!(!person.unknown, "the row's person is known");
    let posture = library
        .postures
        .get(given.posture)
        .expect("the library has the posture of the row");
    let at = At {
        posture,
        side: if posture.is_sided() {
            given.side
        } else {
            Side::None
        },
        hold_s: given.hold_s,
        padded: false,
    };
    judge(&person, at, Some(Prop::Wall)).findings
}

/// `demand verdict side`, as a row writes it; the side only where the demand has one.
fn written(finding: &Finding) -> String {
    let side = finding
        .side
        .map_or_else(String::new, |side| format!(" {side}"));
    let differ = if finding.strength == Strength::Disputed {
        ", sources differ"
    } else {
        ""
    };
    format!("{} {}{side}{differ}", finding.demand, finding.verdict)
}

/// A row: its number and name, the shape, what the person told, and what the rules say of it. "sources differ"
/// stands where the table has it; else the strength is free.
struct Row {
    name: &'static str,
    given: Given,
    told: &'static str,
    expected: &'static [&'static str],
}

/// Writes the table down once: as rows for whoever plants wrong rules, and each row as a case.
macro_rules! verdict_table {
    ($($name:ident($given:expr, $told:literal, [$($said:literal),*]);)*) => {
        const ROWS: &[Row] = &[$(Row {
            name: stringify!($name),
            given: $given,
            told: $told,
            expected: &[$($said),*],
        }),*];

        #[rstest]
        $(#[case::$name($given, $told, &[$($said),*])])*
        fn the_rules_say(#[case] given: Given, #[case] told: &str, #[case] expected: &[&str]) {
            let wrong = wrong(given, told, &Settings::default(), expected, &LIBRARY);
            assert_eq!(wrong, None);
        }
    };
}

// The table; in the last rows nothing may fire.
#[rustfmt::skip]
verdict_table! {
    row_01_tabletop_sore_wrist(given("tabletop"), "{what: wrist, severity: moderate, side: right}", ["weight-on-hands avoid right"]);
    row_02_tabletop_mild_wrist(given("tabletop"), "{what: wrist, severity: mild, side: right}", ["weight-on-hands ease right"]);
    row_03_fists_acute_wrist(given("tabletop-on-fists"), "{what: wrist, severity: acute, side: right}", ["weight-on-hands avoid right"]);
    row_04_downward_dog_carpal_tunnel(given("downward-dog"), "{what: carpal-tunnel, severity: moderate, side: right}", ["weight-on-hands avoid right"]);
    row_05_plank_mild_shoulder(given("plank"), "{what: shoulder, severity: mild, side: left}", ["weight-on-hands ease left"]);
    row_06_forearm_plank_shoulder(given("forearm-plank"), "{what: shoulder, severity: moderate, side: left}", ["weight-on-forearms avoid left"]);
    row_07_low_plank_cuff(given("four-limbed-staff"), "{what: rotator-cuff, severity: moderate, side: right}", ["weight-on-hands avoid right"]);
    row_08_upward_salute_frozen_shoulder(given("upward-salute"), "{what: frozen-shoulder, severity: moderate, side: right}", ["arms-overhead ease right"]);
    row_09_low_lunge_back_knee_mild(given("low-lunge"), "{what: knee, severity: mild, side: left}", ["kneeling ease left"]);
    row_10_low_lunge_back_knee(given("low-lunge"), "{what: knee, severity: moderate, side: left}", ["kneeling avoid left"]);
    row_11_low_lunge_front_knee(given("low-lunge").left(), "{what: knee, severity: moderate, side: left}", ["deep-knee-bend avoid left"]);
    row_12_childs_pose_knee(given("childs-pose"), "{what: knee, severity: moderate, side: right}", ["deep-knee-bend avoid right", "kneeling ease right"]);
    row_13_easy_seat_knee(given("easy-seat"), "{what: knee, severity: moderate, side: right}", ["deep-knee-bend ease right"]);
    row_14_chair_pose_knee(given("chair-pose"), "{what: knee, severity: moderate, side: right}", ["deep-knee-bend ease right"]);
    row_15_garland_squat_ankle(given("garland-squat"), "{what: ankle, severity: moderate, side: left}", ["ankle-bent ease left"]);
    row_16_toe_tuck_foot(given("toe-tuck-kneel"), "{what: foot, severity: moderate, side: right}", ["toes-bent avoid right"]);
    row_17_heel_sitting_ankle(given("heel-sitting"), "{what: ankle, severity: moderate, side: right}", ["foot-pointed avoid right"]);
    row_18_head_to_knee_hamstring(given("head-to-knee-fold").left(), "{what: hamstring, severity: moderate, side: left}", ["straight-leg-stretch avoid left"]);
    row_19_shoulderstand_mild_neck(given("supported-shoulderstand"), "{what: neck, severity: mild}", ["weight-on-head-or-neck avoid"]);
    row_20_forward_fold_low_back(given("standing-forward-fold"), "{what: low-back, severity: moderate}", ["loaded-rounding ease"]);
    row_21_boat_disc(given("boat"), "{what: disc, severity: moderate}", ["trunk-effort ease"]);
    row_22_leg_stretch_sciatica(given("supine-leg-stretch-with-strap"), "{what: sciatica, severity: mild, side: right}", ["straight-leg-stretch ease right"]);
    row_23_downward_dog_glaucoma_two_breaths(given("downward-dog").held(12), "{what: glaucoma, severity: mild}", ["head-below-heart avoid"]);
    row_24_legs_up_glaucoma(given("legs-up-the-wall"), "{what: glaucoma, severity: moderate}", ["legs-up ask-first"]);
    row_25_childs_pose_glaucoma(given("childs-pose"), "{what: glaucoma, severity: moderate}", ["head-below-heart ease"]);
    row_26_wide_fold_blood_pressure(given("wide-legged-forward-fold"), "{what: high-blood-pressure, severity: moderate}", ["head-below-heart ease, sources differ"]);
    row_27_breath_holding_blood_pressure(given("breath-holding"), "{what: high-blood-pressure, severity: mild}", ["breath-hold avoid"]);
    row_28_seated_fold_thin_bones(given("seated-forward-fold"), "{what: osteoporosis, severity: moderate}", ["loaded-rounding avoid"]);
    row_29_chair_fold_thin_bones(given("chair-forward-fold"), "{what: osteoporosis, severity: moderate}", ["loaded-rounding avoid"]);
    row_30_cat_cow_thin_bones(given("cat-cow"), "{what: osteoporosis, severity: moderate}", ["loaded-rounding ease"]);
    row_31_tree_thin_bones(given("tree"), "{what: osteoporosis, severity: moderate}", ["balance ease right"]);
    row_32_final_rest_17_weeks(given("final-rest").held(480), "{what: pregnancy, weeks: 17+4}", ["lying-flat avoid"]);
    row_33_bridge_17_weeks(given("bridge"), "{what: pregnancy, weeks: 17+4}", ["lying-flat ease"]);
    row_35_half_lord_14_weeks(given("half-lord-of-the-fishes"), "{what: pregnancy, weeks: 14+0}", ["closed-twist avoid"]);
    row_36_cobra_20_weeks(given("cobra"), "{what: pregnancy, weeks: 20+0}", ["lying-on-front avoid", "backbend ease"]);
    row_37_easy_seat_new_hip_rear(given("easy-seat"), "{what: hip-replacement, side: left, approach: posterior, weeks: 10+0}", ["deep-hip-bend avoid left"]);
    row_38_short_high_lunge_new_hip_front(given("high-lunge-short-step").left(), "{what: hip-replacement, side: right, approach: anterior, weeks: 8+0}", ["hip-front-stretch ease right"]);
    row_39_gate_new_knee_at_10_weeks(given("gate").left(), "{what: knee-replacement, side: right, weeks: 10+0}", ["kneeling ask-first right"]);
    row_39_gate_new_knee_after_years(given("gate").left(), "{what: knee-replacement, side: right, on: 2019-05-02}", ["kneeling ask-first right"]);
    row_40_final_rest_reflux(given("final-rest"), "{what: reflux, severity: moderate}", ["lying-flat ease"]);
    row_41_final_rest_blood_pressure(given("final-rest"), "{what: high-blood-pressure, severity: moderate}", []);
    row_42_cat_cow_glaucoma(given("cat-cow"), "{what: glaucoma, severity: moderate}", []);
    row_43_half_lift_glaucoma(given("half-lift"), "{what: glaucoma, severity: moderate}", []);
    row_44_forearm_plank_wrist(given("forearm-plank"), "{what: wrist, severity: moderate, side: right}", []);
    row_45_fold_on_blocks_carpal_tunnel(given("forward-fold-hands-on-blocks"), "{what: carpal-tunnel, severity: moderate, side: right}", []);
    row_46_warrior_ii_shoulder(given("warrior-ii"), "{what: shoulder, severity: moderate, side: right}", []);
    row_47_warrior_ii_24_weeks(given("warrior-ii"), "{what: pregnancy, weeks: 24+0}", []);
    row_48_tabletop_30_weeks(given("tabletop"), "{what: pregnancy, weeks: 30+0}", []);
    row_49_sit_to_stand_20_weeks(given("sit-to-stand"), "{what: pregnancy, weeks: 20+0}", []);
    row_50_chair_twist_thin_bones(given("chair-twist"), "{what: osteoporosis, severity: moderate}", []);
    row_51_sphinx_thin_bones(given("sphinx"), "{what: osteoporosis, severity: moderate}", []);
    row_52_leg_stretch_thin_bones(given("supine-leg-stretch-with-strap"), "{what: osteoporosis, severity: moderate}", []);
    row_53_seated_mountain_new_hip_rear(given("seated-mountain"), "{what: hip-replacement, side: right, approach: posterior, weeks: 8+0}", []);
    row_54_side_lying_lower_knee(given("side-lying-rest"), "{what: knee, severity: moderate, side: right}", []);
    row_55_legs_up_knee(given("legs-up-the-wall"), "{what: knee, severity: moderate, side: right}", []);
    row_56_downward_dog_diabetes(given("downward-dog"), "{what: diabetes}", []);
    row_57_plank_three_breaths_blood_pressure(given("plank").held(18), "{what: high-blood-pressure, severity: mild}", []);
    row_58_mountain_heart(given("mountain"), "{what: heart, severity: moderate}", []);
    row_59_side_lying_36_weeks(given("side-lying-rest"), "{what: pregnancy, weeks: 36+0}", []);
}

#[test]
fn row_34_a_long_rest_at_30_weeks_under_comfort() {
    assert_eq!(comfort(&LIBRARY), None);
}

/// What a library says otherwise than the table, row by row.
pub(crate) fn misjudged(library: &Library) -> Vec<String> {
    let rows = ROWS.iter().filter_map(|row| {
        let wrong = wrong(
            row.given,
            row.told,
            &Settings::default(),
            row.expected,
            library,
        );
        wrong.map(|wrong| format!("{}: {wrong}", row.name))
    });
    rows.chain(comfort(library)).collect()
}

/// What is said of a shape otherwise than a row expects.
fn wrong(
    given: Given,
    told: &str,
    settings: &Settings,
    expected: &[&str],
    library: &Library,
) -> Option<String> {
    let found = findings(given, told, settings, library);
    let mut said: Vec<String> = found
        .iter()
        .map(|finding| {
            let full = written(finding);
            let bare = full.trim_end_matches(", sources differ");
            if expected.contains(&bare) {
                bare.to_owned()
            } else {
                full
            }
        })
        .collect();
    said.sort();
    let mut expected = expected.to_vec();
    expected.sort_unstable();
    let posture = given.posture;
    (said != expected).then(|| format!("{posture} with {told}: {said:?}, not {expected:?}"))
}

/// Row 34: under `supine_week: comfort` the rule about a long rest from 28 weeks stands by itself.
fn comfort(library: &Library) -> Option<String> {
    let stances = [("supine_week", "comfort"), ("supine_rest_28", "on")];
    let settings = Settings {
        stances: stances
            .map(|(stance, option)| (stance.into(), option.to_owned()))
            .into_iter()
            .collect::<BTreeMap<_, _>>(),
        ..Settings::default()
    };
    let rest = given("final-rest").held(480);
    let told = "{what: pregnancy, weeks: 30+0}";
    let expected = ["lying-flat avoid, sources differ"];
    let wrong = wrong(rest, told, &settings, &expected, library)?;
    Some(format!("row_34 under comfort: {wrong}"))
}

/// Row 35 goes on: what is offered instead of a closed twist is the open one, turned the other way.
#[test]
fn row_35_the_open_twist_the_other_way_is_offered() {
    let told = "{what: pregnancy, weeks: 14+0}";
    let edges = LIBRARY
        .alternatives
        .get("half-lord-of-the-fishes")
        .expect("it has alternatives");
    let open: Vec<&'static str> = edges
        .iter()
        .filter(|edge| edge.swaps_side)
        .map(|edge| edge.to.as_str())
        .filter(|to| {
            LIBRARY
                .postures
                .get(*to)
                .is_some_and(|to| to.demands.contains_key("twist"))
        })
        .collect();
    assert!(!open.is_empty(), "an alternative turns the other way");
    for open in open {
        assert_eq!(
            wrong(
                given(open).left(),
                told,
                &Settings::default(),
                &[],
                &LIBRARY
            ),
            None
        );
    }
}

/// Row 60: what is over and done with is a reminder, and nothing else.
#[test]
fn row_60_plank_and_a_wrist_of_2009() {
    let told = "\"broke my wrist in 2009, fine now\"";
    let roster = roster(told, &LIBRARY);
    let student = roster.students.first().expect("the roster has one person");
    let person = facts::person(student, &LIBRARY, &Settings::default(), DATE);
    assert!(person.rules.is_empty(), "{:?}", person.rules);
    let kinds: Vec<CautionKind> = person.lines.iter().map(|line| line.kind).collect();
    assert_eq!(kinds, [CautionKind::Reminder]);
}

/// A row of its own, beside the table.
fn check(given: Given, told: &str, settings: &Settings, expected: &[&str]) {
    assert_eq!(wrong(given, told, settings, expected, &LIBRARY), None);
}

/// A hand is minded as its wrist: a side and a site in one word, nothing left to ask but what is asked anyway.
#[test]
fn arthritis_of_both_hands_is_read_as_both_wrists_one_step_milder() {
    let told = "{what: arthritis, site: both hands}";
    check(
        given("tabletop"),
        told,
        &Settings::default(),
        &["weight-on-hands ease left", "weight-on-hands ease right"],
    );
    let roster = roster(told, &LIBRARY);
    let person = facts::person(&roster.students[0], &LIBRARY, &Settings::default(), DATE);
    let asked: Vec<&str> = person.lines.iter().map(|line| line.text.as_str()).collect();
    assert_eq!(asked, Vec::<&str>::new());
}

/// Scenarios, section 5, lines 1 and 4: up from a fold with low pressure, and a weak arm held up.
#[test]
fn a_fold_is_left_slowly_and_a_weak_arm_is_not_held_up() {
    let usual = Settings::default();
    let low = "{what: low-blood-pressure}";
    check(
        given("chair-forward-fold"),
        low,
        &usual,
        &["quick-level-change ease"],
    );
    check(given("chair-twist"), low, &usual, &[]);
    let stroke = "{what: stroke, side: left}";
    check(
        given("eagle-arms"),
        stroke,
        &usual,
        &["arms-overhead ease left"],
    );
    check(given("seated-mountain"), stroke, &usual, &[]);
}
