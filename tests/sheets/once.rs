//! What is said to one person at many shapes stands once, and nothing is lost by that; all sheets at
//! once are the sheets.

use std::collections::BTreeSet;

use kindfold::words::Verdict;
use rstest::rstest;

use super::{CASES, Planned};
use crate::support::program::kindfold;

/// The steps that a line names: "words, at steps 5, 9 to 12 and 14".
fn named_steps(text: &str) -> BTreeSet<usize> {
    let (_, list) = text.rsplit_once(", at step").expect("it names its steps");
    let list = list.trim_start_matches('s').replace(" and ", ", ");
    let runs = list.split(", ").map(|run| {
        let number = |word: &str| word.trim().parse::<usize>().expect("a number");
        match run.split_once(" to ") {
            Some((first, last)) => number(first)..=number(last),
            None => number(run)..=number(run),
        }
    });
    runs.flatten().collect()
}

/// Every easing of everybody who may be named stands beside its step, or once with the step's number.
#[rstest]
fn no_easing_is_lost_by_saying_it_once(#[values(0, 1)] case: usize) {
    let planned = Planned::case(CASES[case]);
    let sheet = planned.sheet();
    let rows: Vec<_> = sheet.sections.iter().flat_map(|one| &one.rows).collect();
    let mut looked = 0;
    for student in planned.adapted.students.iter().filter(|s| !s.confidential) {
        let is_for = |names: &[String]| names.contains(&student.short_name);
        for assignment in &student.assignments {
            let line = planned.adapted.steps[assignment.step - 1].line;
            let easings = assignment.verdicts.iter();
            for words in
                easings.filter_map(|f| f.easing.as_ref().filter(|_| f.verdict == Verdict::Ease))
            {
                looked += 1;
                let row = rows.iter().find(|row| row.number == Some(line));
                let beside = row.expect("the step has a row").beside.iter();
                let here = beside
                    .filter(|one| one.text.contains(words.as_str()) && is_for(&one.names))
                    .count();
                let once = sheet.once.iter().filter(|one| {
                    one.text.contains(words.as_str())
                        && is_for(&one.names)
                        && named_steps(&one.text).contains(&line)
                });
                assert!(
                    here + once.count() > 0,
                    "{} at {line}: {words}",
                    student.short_name
                );
            }
        }
    }
    assert!(looked > 5, "only {looked} easings in {}", CASES[case]);
}

/// What stands once does not stand beside its steps again, and holds for four steps at least; the ways up and down stand together, and what is sent before class.
#[test]
fn what_is_said_once_is_not_said_again() {
    let sheet = Planned::case("tuesday-wind-down").sheet();
    assert!(!sheet.once.is_empty());
    for once in &sheet.once {
        let (words, _) = once
            .text
            .rsplit_once(", at step")
            .expect("it names its steps");
        let ways = ["going down", "going over", "coming up"];
        let sent = words.starts_with("send before class: ");
        let least = if sent || ways.iter().any(|way| words.starts_with(way)) {
            1
        } else {
            4
        };
        assert!(named_steps(&once.text).len() >= least, "{}", once.text);
        for row in sheet.sections.iter().flat_map(|one| &one.rows) {
            let again = row.beside.iter();
            let again = again.filter(|line| line.text == words && line.names == once.names);
            assert_eq!(again.count(), 0, "{:?}: {words}", row.number);
        }
    }
}

#[test]
fn all_sheets_at_once_are_the_six_sheets() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let case = |name: &str| {
        format!(
            "{}/tests/cases/ten-past-one/{name}",
            env!("CARGO_MANIFEST_DIR")
        )
    };
    let (class, roster, props) = (case("class.yaml"), case("roster.yaml"), case("props.yaml"));
    let adapt = [
        "adapt", &class, "--roster", &roster, "--props", &props, "--format", "html",
    ];
    let all = kindfold(
        &[&adapt[..], &["--all-sheets", "-o", "lunch"]].concat(),
        folder.path(),
    );
    assert_eq!(all.status.code(), Some(0));
    assert!(all.stdout.is_empty());
    let written = std::fs::read_dir(folder.path().join("lunch")).expect("the folder was made");
    assert_eq!(written.count(), 6);
    for sheet in ["teacher", "room", "cards", "props", "cautions", "record"] {
        let one = kindfold(&[&adapt[..], &["--sheet", sheet]].concat(), folder.path());
        let file = folder.path().join("lunch").join(format!("{sheet}.html"));
        let file = std::fs::read(file).expect("each sheet is a file");
        assert!(file == one.stdout, "{sheet} differs");
    }
}

/// Without a folder there is nowhere to write six files: nothing is planned or written.
#[test]
fn all_sheets_ask_for_a_folder() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let class = format!(
        "{}/tests/cases/ten-past-one/class.yaml",
        env!("CARGO_MANIFEST_DIR")
    );
    let output = kindfold(&["adapt", &class, "--all-sheets"], folder.path());
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    assert_eq!(
        String::from_utf8_lossy(&output.stderr),
        "--all-sheets writes a file for each sheet: name the folder for them, as in -o tuesday.   \
         [sheets-folder]\n"
    );
}
