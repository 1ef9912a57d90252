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
        let usual = &stance.words[&stance.default];
        assert_eq!(said.text, *usual, "{id}");
        let text = usual.to_lowercase();
        assert!(
            text.contains("differ") || text.contains("sources give"),
            "{usual}"
        );
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
            .any(|(line, note)| line == usual && note.is_some());
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

/// One clean sentence for each option, which says the setting in plain words and says nothing twice.
#[test]
fn every_option_of_a_stance_is_one_plain_sentence_of_its_own() {
    for (id, stance) in &library().stances {
        let mut said = BTreeSet::new();
        for option in &stance.options {
            let text = &stance.words[option];
            assert!(said.insert(text), "{id}: two options say “{text}”");
            let lower = text.to_lowercase();
            for twice in ["sources", "differ", "setting"] {
                assert!(lower.matches(twice).count() <= 1, "{id}: {text}");
            }
            // An id of more than one word is no word of a teacher's.
            let id_like = option.contains('-') && !option.starts_with(|c: char| c.is_ascii_digit());
            assert!(!id_like || !text.contains(option.as_str()), "{id}: {text}");
            assert!(!text.contains("setting:"), "{id}: {text}");
            assert!(text.ends_with(['.', ')']), "{id}: {text}");
            // Rules, section 8: at most 22 words.
            assert!(text.split_whitespace().count() <= 22, "{id}: {text}");
        }
    }
}

/// The week that the teacher set is the week that the sheet says.
#[test]
fn another_setting_has_another_sentence() {
    let told = "{what: pregnancy, weeks: 24+0}";
    let (_, usual) = planned("final rest", told, &[]);
    let (_, later) = planned("final rest", told, &[("supine_week", "20")]);
    let says = |sheet: &Sheet, words: &str| {
        let mut lines = sheet.people.iter().flat_map(|one| &one.lines);
        lines.any(|(line, _)| line.contains(words))
    };
    assert!(says(&usual, "from week 16") && !says(&usual, "from week 20"));
    assert!(says(&later, "from week 20") && !says(&later, "from week 16"));
}

/// Two settings keep her from the same rest: both are said, and neither claims a shape that she is not given.
#[test]
fn the_rest_from_28_weeks_is_said_where_it_acts_beside_the_week_of_lying_flat() {
    let told = "{what: pregnancy, weeks: 30+0}";
    for (set, acts) in [("on", true), ("off", false)] {
        let (adapted, sheet) = planned("final rest", told, &[("supine_rest_28", set)]);
        let lines = &sheet.people.first().expect("one person").lines;
        let said = |words: &str| lines.iter().any(|(line, _)| line.contains(words));
        assert!(said("Not flat for long from week 16"), "{lines:?}");
        assert_eq!(said("From 28 weeks"), acts, "{lines:?}");
        let given = &adapted.students[0].assignments[0];
        let level = library().postures[&given.posture].level;
        let on_the_side = level == kindfold::words::Level::SideLying;
        assert!(on_the_side || !said("on the side"), "{lines:?}");
    }
    // At 20 weeks it does not act, nor in a class without a rest.
    for (shape, weeks) in [("final rest", "20+0"), ("warrior II", "30+0")] {
        let told = format!("{{what: pregnancy, weeks: {weeks}}}");
        let (_, sheet) = planned(shape, &told, &[]);
        let lines = sheet.people.iter().flat_map(|one| &one.lines);
        let from_28 = lines.filter(|(line, _)| line.contains("no long rest flat"));
        assert_eq!(from_28.count(), 0, "{shape} at {weeks}");
    }
}

/// Rules, section 3: under 14 weeks one sentence, asked before class; nothing stands at the steps.
#[test]
fn the_first_weeks_are_asked_about_once_and_watched_at_no_step() {
    use kindfold::sheets::text::teacher;
    let (adapted, sheet) = planned("warrior II", "{what: pregnancy, weeks: 10+0}", &[]);
    let text = teacher(&sheet, 80);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(
        text.matches("under 14 weeks: how is today?").count(),
        1,
        "{text}"
    );
    assert_eq!(
        text.matches("Under 14 weeks: advice differs; ask how today is.")
            .count(),
        1,
        "{text}"
    );
    assert!(!text.contains("watch"), "{text}");
    // The rule still says what it says, to whoever asks why.
    let findings = &adapted.students[0].assignments[0].verdicts;
    assert!(
        findings
            .iter()
            .any(|one| one.rule.as_str() == "pregnancy-first-weeks")
    );
    let later = planned("warrior II", "{what: pregnancy, weeks: 15+0}", &[]).1;
    assert!(!teacher(&later, 80).contains("14 weeks"));
    let usual = [("first_trimester", "as-usual")];
    let usual = planned("warrior II", "{what: pregnancy, weeks: 10+0}", &usual).1;
    assert!(!teacher(&usual, 80).contains("14 weeks"));
    let offered = [("first_trimester", "not-offered")];
    let none = planned("warrior II", "{what: pregnancy, weeks: 10+0}", &offered).1;
    let none = teacher(&none, 200);
    assert!(none.contains("Kept away until that is known."), "{none}");
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
