//! The built-in library: it loads, its rules hold on their proofs, every name has one owner.

use std::collections::BTreeSet;
use std::path::Path;

use kindfold::library::Library;
use kindfold::library::condition::Grade;
use kindfold::problem::Code;
use kindfold::words::{BodySide, DemandId, Side, Verdict};
use rstest::rstest;

fn library() -> Library {
    match Library::built_in() {
        Ok(library) => library,
        Err(problems) => unreachable!("the built-in library has problems:\n{problems}"),
    }
}

/// A proof on a posture that is not there is named by `check` and is not counted here.
#[test]
fn the_library_passes_its_own_check() {
    let report = library().check();
    let faults: Vec<String> = report
        .faults
        .iter()
        .filter(|fault| fault.code != Code::ProofMissing)
        .map(ToString::to_string)
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n\n"));
}

/// `data/settled.json` holds what settling gives here, within half a degree, half a per cent and 2 mm.
#[test]
fn kept_bodies_are_what_settling_gives() {
    assert_eq!(library().stale_bodies(), Vec::<String>::new());
}

/// Each shape is settled from four other starts: none ends elsewhere, and none ends lower.
#[test]
fn no_shape_moves_from_another_start() {
    assert_eq!(library().recompute().unsteady, Vec::<String>::new());
}

/// A posture is a few lines that a person can read: the median entry has fewer than 14, its id with them,
/// comments and empty lines left out.
#[test]
fn the_median_posture_is_under_fourteen_lines() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/postures");
    let mut counts: Vec<usize> = Vec::new();
    for file in std::fs::read_dir(folder).expect("the library has postures") {
        let file = file.expect("a file of the folder").path();
        let text = std::fs::read_to_string(&file).expect("a file of text");
        let lines = text.lines().filter(|line| !line.trim().is_empty());
        for line in lines.filter(|line| !line.trim_start().starts_with('#')) {
            if line.starts_with(' ') {
                *counts.last_mut().expect("an id stands before its keys") += 1;
            } else {
                counts.push(1);
            }
        }
    }
    assert_eq!(counts.len(), library().postures.len());
    counts.sort_unstable();
    let median = counts[counts.len() / 2];
    assert!(median < 14, "{median} lines");
}

#[test]
fn every_name_finds_its_posture() {
    let library = library();
    for posture in library.postures.values().filter(|posture| !posture.is_part) {
        let names = posture
            .names
            .iter()
            .chain(&posture.sanskrit)
            .map(String::as_str);
        for name in names.chain([posture.id.as_str()]) {
            let found = library.find(name).map(|found| &found.id);
            assert_eq!(found, Some(&posture.id), "{name}");
        }
    }
}

#[rstest]
#[case("Vṛkṣāsana", "tree")]
#[case("vrikshasana", "tree")]
#[case("WARRIOR II", "warrior-ii")]
#[case("adho mukha shvanasana", "downward-dog")]
fn names_are_found_as_people_write_them(#[case] name: &str, #[case] id: &str) {
    let library = library();
    assert_eq!(
        library.find(name).map(|posture| posture.id.as_str()),
        Some(id)
    );
}

/// Catalogue section 1: in a low lunge with the right foot forward the weight falls on the left
/// knee, the stretch on the front of the left hip, and the bent knee is the right one.
#[test]
fn demands_fall_on_the_right_side_of_the_body() {
    let library = library();
    let lunge = library
        .find("low lunge")
        .expect("it is a row of the catalogue");
    let asks = |demand: &str, on| lunge.asks(&DemandId::from(demand), Side::Right, on);
    assert_eq!(asks("kneeling", BodySide::Left), Some(Grade::Much));
    assert_eq!(asks("kneeling", BodySide::Right), None);
    assert!(asks("hip-front-stretch", BodySide::Left).is_some());
    assert_eq!(asks("hip-front-stretch", BodySide::Right), None);
    assert!(asks("deep-knee-bend", BodySide::Right).is_some());
}

/// A shape led by the right asks each of these of one side of the body, and not of the other:
/// common practice, from the shapes as they are taught.
#[rstest]
#[case("gate", "kneeling", BodySide::Left)]
#[case("gate", "legs-wide", BodySide::Right)]
#[case("half-split", "kneeling", BodySide::Left)]
#[case("half-split", "straight-leg-stretch", BodySide::Right)]
#[case("low-lunge-with-a-twist", "kneeling", BodySide::Left)]
#[case("low-lunge-with-a-twist", "weight-on-hands", BodySide::Left)]
#[case("lizard-lunge", "kneeling", BodySide::Left)]
#[case("lizard-lunge", "deep-hip-bend", BodySide::Right)]
#[case("bird-dog", "kneeling", BodySide::Left)]
#[case("bird-dog", "weight-on-hands", BodySide::Right)]
#[case("bird-dog", "arms-overhead", BodySide::Left)]
#[case("thread-the-needle", "weight-on-forearms", BodySide::Right)]
#[case("downward-dog-with-a-twist", "weight-on-hands", BodySide::Left)]
#[case("side-plank", "weight-on-hands", BodySide::Right)]
#[case("side-plank-lower-knee-down", "kneeling", BodySide::Right)]
#[case("wild-thing", "weight-on-hands", BodySide::Right)]
#[case("half-frog", "deep-knee-bend", BodySide::Right)]
#[case("half-frog", "arms-behind", BodySide::Right)]
#[case("side-lying-leg-lift", "legs-wide", BodySide::Right)]
#[case("side-lying-thigh-stretch", "deep-knee-bend", BodySide::Right)]
#[case("side-lying-thigh-stretch", "weight-on-forearms", BodySide::Left)]
#[case("tree", "deep-knee-bend", BodySide::Left)]
#[case("tree", "leg-turned-out", BodySide::Left)]
#[case("warrior-iii", "straight-leg-stretch", BodySide::Right)]
#[case("half-moon", "weight-on-hands", BodySide::Right)]
#[case("dancer", "hip-front-stretch", BodySide::Right)]
#[case("dancer", "arms-behind", BodySide::Right)]
#[case("standing-leg-raise", "deep-hip-bend", BodySide::Right)]
#[case("standing-figure-four", "leg-turned-out", BodySide::Right)]
fn a_shape_led_by_the_right_asks_it_of_one_side(
    #[case] posture: &str,
    #[case] demand: &str,
    #[case] on: BodySide,
) {
    let library = library();
    let shape = library.find(posture).expect("it is in the library");
    let asks = |on| shape.asks(&DemandId::from(demand), Side::Right, on);
    assert!(asks(on).is_some(), "not asked of its own side");
    assert_eq!(asks(on.other()), None, "asked of the other side too");
}

#[test]
fn every_demand_has_its_need() {
    let library = library();
    for demand in library.demands.keys() {
        let need = format!("no-{demand}");
        let need = library
            .limitations
            .get(need.as_str())
            .expect("made from the demand");
        let rule = need.rules.first().expect("one rule");
        assert_eq!(&rule.demand, demand);
        assert_eq!(rule.grade, Some(Grade::Some));
        assert!(
            rule.verdicts
                .values()
                .all(|&verdict| verdict == Verdict::Avoid)
        );
    }
    assert!(library.limitations.contains_key("stays-in-chair"));
}

/// Rules.md section 0: an `avoid` needs a printed reason, and the sources that back it are there.
#[test]
fn rule_ids_are_unique_and_reasons_are_given() {
    let library = library();
    let mut seen = BTreeSet::new();
    for rule in library
        .limitations
        .values()
        .flat_map(|limitation| &limitation.rules)
    {
        assert!(seen.insert(&rule.id), "{} stands twice", rule.id);
        assert!(!rule.because.is_empty(), "{}", rule.id);
    }
}

fn with_files(files: &[(&str, &str)]) -> Result<Library, String> {
    let folder = tempfile::tempdir().expect("a folder for the test");
    for (place, text) in files {
        let path = folder.path().join(place);
        std::fs::create_dir_all(path.parent().expect("a file lies in a folder")).expect("a folder");
        std::fs::write(path, text).expect("a file for the test");
    }
    Library::with_folder(folder.path()).map_err(|problems| problems.to_string())
}

#[test]
fn a_folder_adds_and_replaces_and_says_so() {
    let own =
        "tree-of-ours:\n  names: [Tree of ours]\n  based_on: tree\n  cue: Stand on one leg.\n";
    let purposes = "balance: balance, in our own words\n";
    let files = [
        ("data/postures/own.yaml", own),
        ("data/purposes.yaml", purposes),
    ];
    let library = with_files(&files).expect("nothing is wrong");
    assert!(library.find("tree of ours").is_some());
    assert_eq!(library.replaced, ["balance"]);
    assert_ne!(library.hash, self::library().hash);
}

#[rstest]
#[case(
    "data/postures/own.yaml",
    "x:\n  names: [X]\n  based_on: tre\n",
    "unknown-posture"
)]
#[case(
    "data/postures/own.yaml",
    "x: {names: [X], based_on: y}\ny: {names: [Y], based_on: x}\n",
    "based-in-a-circle"
)]
#[case(
    "data/postures/own.yaml",
    "x: {names: [X, with a comma], based_on: tree}\n",
    "name-cut"
)]
#[case(
    "data/postures/own.yaml",
    "x: {names: [Vrikshasana], based_on: tree}\n",
    "name-twice"
)]
#[case(
    "data/postures/own.yaml",
    "x: {names: [X], based_on: tree, joints: {kne: 4}}\n",
    "wrong-shape"
)]
#[case(
    "data/postures/own.yaml",
    "x: {names: [X], based_on: tree, purposes: {balence: 2}}\n",
    "unknown-id"
)]
#[case(
    "data/alternatives/own.yaml",
    "tree:\n  - {way: gentler, to: mountan, cost: 2}\n",
    "unknown-posture"
)]
#[case(
    "data/posture/own.yaml",
    "x: {names: [X], based_on: tree}\n",
    "stray-file"
)]
#[case(
    "rules/demands.yaml",
    "x: {words: x, source: x, some: [\"knee_lod_pct >= 3\"], much: [supported]}\n",
    "wrong-condition"
)]
#[case(
    "rules/limitations/x.yaml",
    "id: x\nkind: area\nname: x\nsigns: [QQ]\n",
    "unknown-id"
)]
fn a_wrong_word_in_a_folder_is_named(#[case] place: &str, #[case] text: &str, #[case] code: &str) {
    let problems = with_files(&[(place, text)]).expect_err("something is wrong");
    assert!(problems.contains(&format!("[{code}]")), "{problems}");
}
