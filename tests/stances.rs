//! Where sources disagree the sheet says so, names both sides, and says which setting was used; the default
//! is the one with most care (rules of the trade, section 3).

use std::collections::BTreeSet;

use kindfold::adapt::{Task, adapt};
use kindfold::adapted::Adapted;
use kindfold::input;
use kindfold::input::text::Source;
use kindfold::settings::{PropStock, Settings};
use kindfold::sheets::teacher::{Sheet, sheet};
use rstest::rstest;

use crate::support::library::{library, task};

/// A class of one shape for one person, under one setting if there is one.
fn planned(posture: &str, told: &str, set: &[(&str, &str)]) -> (Adapted, Sheet) {
    let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("it is text");
    let class = format!(
        "title: One\ndate: 2026-11-25\nminutes: 10\nsections:\n  - name: All\n    steps:\n      \
         - {{posture: {posture}, minutes: 4}}\n"
    );
    let roster =
        format!("recorded: 2026-11-25\nstudents:\n  - {{name: Ines, limitations: [{told}]}}\n");
    let class = input::class::read(source("class.yaml", &class), library()).expect("a class");
    let roster = input::roster::read(source("roster.yaml", &roster), library()).expect("a roster");
    let set = set.iter();
    let settings = Settings {
        stances: set
            .map(|&(stance, option)| (stance.into(), option.to_owned()))
            .collect(),
        ..Settings::default()
    };
    let (stock, date) = (PropStock::default(), class.date.expect("a date"));
    let task = Task {
        settings: &settings,
        ..task(&class, &roster, &stock, date)
    };
    let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
    let sheet = sheet(&adapted, &settings, library());
    (adapted, sheet)
}

/// The plain words of a side, up to the first source.
fn begins(words: &str) -> &str {
    words.split(['[', '(']).next().unwrap_or(words).trim()
}

/// A stance, a shape that it touches, what is told, and what the teacher set.
type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
);

/// Each stance with a shape and a person that rest on it.
const ROWS: [Row; 20] = [
    (
        "supine_week",
        "final rest",
        "{what: pregnancy, weeks: 17+4}",
        &[],
    ),
    (
        "supine_rest_28",
        "final rest",
        "{what: pregnancy, weeks: 30+0}",
        &[("supine_week", "comfort")],
    ),
    (
        "first_trimester",
        "warrior II",
        "{what: pregnancy, weeks: 10+0}",
        &[],
    ),
    (
        "front_lying_week",
        "locust",
        "{what: pregnancy, weeks: 20+0}",
        &[],
    ),
    (
        "pregnancy_head_down",
        "downward dog",
        "{what: pregnancy, weeks: 30+0}",
        &[],
    ),
    (
        "lying_side",
        "side-lying rest",
        "{what: pregnancy, weeks: 30+0}",
        &[],
    ),
    (
        "high_bp_head_down",
        "downward dog",
        "{what: high-blood-pressure}",
        &[],
    ),
    (
        "low_bone_twist",
        "half lord of the fishes",
        "{what: osteoporosis}",
        &[],
    ),
    (
        "low_bone_rounding",
        "seated forward fold",
        "{what: osteoporosis}",
        &[],
    ),
    (
        "hip_precautions",
        "easy seat",
        "{what: hip-replacement, side: left, approach: posterior, weeks: 8}",
        &[],
    ),
    (
        "knee_replacement_kneel",
        "gate",
        "{what: knee-replacement, side: right, weeks: 40}",
        &[],
    ),
    (
        "caesarean_wait",
        "plank",
        "{what: caesarean, weeks: 4}",
        &[],
    ),
    (
        "pacemaker_weeks",
        "upward salute",
        "{what: device, kind: [pacemaker], side: left, weeks: 3}",
        &[],
    ),
    (
        "hernia_repair",
        "boat",
        "{what: hernia, side: right, kind: [mended], weeks: 4}",
        &[],
    ),
    (
        "back_rounding",
        "standing forward fold",
        "{what: low-back}",
        &[],
    ),
    (
        "lymph_load",
        "plank",
        "{what: lymphoedema, side: right}",
        &[],
    ),
    (
        "breath_practice_panic",
        "three-part breath",
        "{what: panic}",
        &[],
    ),
    (
        "legs_up_glaucoma",
        "legs up the wall",
        "{what: glaucoma, side: both}",
        &[],
    ),
    (
        "sore_heel_toes",
        "high lunge",
        "{what: foot, side: right}",
        &[],
    ),
    (
        "vertigo_after_treatment",
        "mountain",
        "{what: vertigo, side: left}",
        &[],
    ),
];

#[test]
fn every_stance_that_touches_somebody_is_said_with_both_sides_named() {
    let mut missing = Vec::new();
    for (id, posture, told, set) in ROWS {
        let (adapted, sheet) = planned(posture, told, set);
        let stance = &library().stances[id];
        let mut said = adapted.cautions.iter();
        let said = said.find(|one| {
            one.stance
                .as_ref()
                .is_some_and(|found| found.as_str() == id)
        });
        let Some(said) = said else {
            missing.push(format!("{id}: nothing is said of {posture}"));
            continue;
        };
        assert!(said.text.starts_with(&stance.words), "{id}: {}", said.text);
        assert!(said.text.contains("Sources differ"), "{id}: {}", said.text);
        let set = format!("your setting: {}.", stance.default);
        assert!(said.text.ends_with(&set), "{id}: {}", said.text);
        let note = sheet.notes.iter().find(|note| {
            note.starts_with("sources differ. One side: ")
                && note.contains(begins(&stance.one_side))
                && note.contains(begins(&stance.other_side))
        });
        let Some(note) = note else {
            missing.push(format!("{id}: {:?}", sheet.notes));
            continue;
        };
        assert!(!note.contains('['), "sources by name: {note}");
        let person = sheet.people.first().expect("one person");
        let on_sheet = person
            .lines
            .iter()
            .any(|(line, note)| line.starts_with(&stance.words) && note.is_some());
        assert!(on_sheet, "{id}: {:?}", person.lines);
    }
    assert!(missing.is_empty(), "{missing:#?}");
}

/// To which side a class rolls is said by a teacher who has set one; no words are given for the rest.
#[test]
fn no_stance_is_left_out() {
    let rows: BTreeSet<&str> = ROWS.iter().map(|(id, ..)| *id).collect();
    let left: Vec<&str> = library()
        .stances
        .keys()
        .map(|id| id.as_str())
        .filter(|id| !rows.contains(id))
        .collect();
    assert_eq!(left, ["roll_to"]);
    let (_, usual) = planned("final rest", "{what: knee, side: left}", &[]);
    assert!(usual.say_once.iter().all(|text| !text.contains("Roll to")));
    let (_, set) = planned(
        "final rest",
        "{what: knee, side: left}",
        &[("roll_to", "left")],
    );
    assert!(
        set.say_once
            .iter()
            .any(|text| text.contains("Roll to the left"))
    );
    let (_, standing) = planned(
        "mountain",
        "{what: knee, side: left}",
        &[("roll_to", "left")],
    );
    assert!(
        standing
            .say_once
            .iter()
            .all(|text| !text.contains("Roll to"))
    );
}

#[test]
fn nothing_is_said_of_a_stance_that_nothing_rests_on() {
    let (adapted, _) = planned("mountain", "{what: osteoporosis}", &[]);
    assert!(adapted.cautions.iter().all(|one| one.stance.is_none()));
}

/// Both kinds of side-lying rest are there; the teacher leaves one out.
#[rstest]
#[case("left", "left")]
#[case("right", "right")]
fn the_side_to_lie_on_is_the_one_that_was_set(#[case] option: &str, #[case] side: &str) {
    let told = "{what: pregnancy, weeks: 30+0}";
    let (adapted, _) = planned("final rest", told, &[("lying_side", option)]);
    let on_the_side = adapted.students[0].assignments.iter().filter(|given| {
        library().postures[&given.posture].level == kindfold::words::Level::SideLying
    });
    for given in on_the_side {
        assert_eq!(given.side.to_string(), side);
    }
}
