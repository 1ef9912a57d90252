//! What would be otherwise: the answers of `why` and the advice, held against plans made anew.

use std::path::{Path, PathBuf};

use rstest::rstest;
use serde_json::Value;

use crate::support::program::kindfold;

fn class_a() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/tuesday-wind-down")
}

fn json(command: &[&str], props: &str) -> Value {
    let mut args = command.to_vec();
    args.extend([
        "--roster",
        "roster.yaml",
        "--props",
        props,
        "--format",
        "json",
    ]);
    let output = kindfold(&args, &class_a());
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{told}");
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// A plan that is proved least cannot be made cheaper by binding one person to a shape, and what
/// they do already costs nothing more.
#[rstest]
#[case("Kwame", "23")]
#[case("Aoife", "12")]
#[case("Thandiwe", "6")]
fn no_other_shape_for_one_person_would_make_the_plan_cheaper(
    #[case] who: &str,
    #[case] step: &str,
) {
    let reasons = json(
        &["why", "class.yaml", "--step", step, "--student", who],
        "props.yaml",
    );
    let looked = reasons["looked_at"].as_array().expect("a list");
    assert!(!looked.is_empty());
    for looked in looked {
        let more = looked["more"].as_i64();
        assert!(more.is_none_or(|more| more >= 0), "{looked}");
        if looked["posture"] == reasons["instead"]["posture"] {
            assert_eq!(more, Some(0), "{looked}");
        }
    }
}

/// A shape that was looked at and not chosen names the number that met a limit, not the demand alone.
#[test]
fn what_is_still_asked_of_somebody_stands_with_its_number() {
    let asked = ["why", "class.yaml", "--step", "16", "--student", "Kwame"];
    let with = ["--roster", "roster.yaml", "--props", "props.yaml"];
    let output = kindfold(&[&asked[..], &with[..]].concat(), &class_a());
    let said = String::from_utf8_lossy(&output.stdout);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let (_, looked) = said.split_once("Looked at").expect("a list");
    let still: Vec<&str> = looked.split(" still ").skip(1).collect();
    assert!(!still.is_empty(), "{said}");
    for one in still {
        let numbers = one.split(" the limit is ").nth(1);
        assert!(
            numbers.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit())),
            "{one}"
        );
    }
}

/// One more choice binds the plan as well; and what moves is the sum of its terms.
#[test]
fn what_a_change_of_the_menu_moves_is_the_sum_of_its_terms() {
    let reasons = json(&["why", "class.yaml", "--step", "12"], "props.yaml");
    let moves = reasons["moves"].as_array().expect("a list");
    assert!(moves.iter().any(|moved| moved["change"] == "option"));
    assert!(moves.iter().any(|moved| moved["change"] == "lead"));
    for moved in moves {
        let terms = moved["terms"].as_object().expect("terms");
        let sum: i64 = terms.values().filter_map(Value::as_i64).sum();
        assert_eq!(moved["more"].as_i64(), Some(sum), "{moved}");
        assert!(moved["change"] == "lead" || sum >= 0, "{moved}");
    }
}

/// "One more strap" is advised because a cupboard with one more makes a cheaper plan, and a prop
/// that is not named makes none.
#[rstest]
#[case("strap", true)]
#[case("block", false)]
fn one_more_of_a_prop_is_advised_where_it_brings_somebody_nearer(
    #[case] prop: &str,
    #[case] advised: bool,
) {
    let before = json(&["adapt", "class.yaml"], "props.yaml");
    let said = before["advice"].as_array().expect("a list").iter();
    let said = said
        .filter_map(|advice| advice["text"].as_str())
        .any(|text| text.starts_with(&format!("One more {prop} ")));
    assert_eq!(said, advised);
    let written = std::fs::read_to_string(class_a().join("props.yaml")).expect("props");
    let more: String = written
        .lines()
        .map(|line| match line.strip_prefix(&format!("{prop}: ")) {
            Some(number) => format!("{prop}: {}\n", number.parse::<u32>().expect("a number") + 1),
            None => format!("{line}\n"),
        })
        .collect();
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("props.yaml");
    std::fs::write(&file, more).expect("the folder takes a file");
    let after = json(&["adapt", "class.yaml"], &file.display().to_string());
    let cost = |result: &Value| result["plan"]["objective"].as_i64().expect("a number");
    assert_eq!(cost(&after) < cost(&before), advised);
}

/// The trim names holds that give back what is over, on both sides, and never the rest at the end.
#[test]
fn a_trim_gives_back_what_is_over_and_leaves_the_rest() {
    // With a flow taught once, as long as before, there is no round to leave out.
    let class = std::fs::read_to_string(class_a().join("class.yaml")).expect("a class");
    assert!(class.contains("        repeat: 2\n        takes: 11\n"));
    let class = class.replace(
        "        repeat: 2\n        takes: 11\n",
        "        takes: 11\n",
    );
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("class.yaml");
    std::fs::write(&file, class).expect("the folder takes a file");
    let result = json(&["adapt", &file.display().to_string()], "props.yaml");
    let over = result["class"]["adapted_s"].as_i64().expect("seconds")
        - result["class"]["slot_s"].as_i64().expect("seconds");
    assert!(over > 0, "this class runs over");
    let advice = result["advice"].as_array().expect("a list");
    let text = advice
        .iter()
        .find(|advice| advice["kind"] == "over-time")
        .and_then(|advice| advice["text"].as_str())
        .expect("advice on time");
    let trimmed = text.split_once("Shorten ").expect("a trim").1;
    let steps = result["steps"].as_array().expect("a list");
    let mut back = 0;
    for part in trimmed.split(". ").next().unwrap_or("").split("; ") {
        let words: Vec<&str> = part.split([' ', ',']).collect();
        let line: i64 = words[1].parse().expect("a step");
        let to = part
            .rsplit_once(", to ")
            .expect("a hold")
            .1
            .replace(" a side", "");
        let (number, unit) = to.split_once(' ').expect("a number and a unit");
        let number = match number.strip_suffix('½') {
            Some("") => 0.5,
            Some(whole) => whole.parse::<f64>().expect("a number") + 0.5,
            None => number.parse().expect("a number"),
        };
        let hold = if unit == "min" { number * 60.0 } else { number } as i64;
        for step in steps
            .iter()
            .filter(|step| step["line"].as_i64() == Some(line))
        {
            back += step["hold_s"].as_i64().expect("seconds") - hold;
        }
        let last = steps.last().and_then(|step| step["line"].as_i64());
        assert_ne!(last, Some(line), "the rest at the end");
    }
    assert!(back >= over, "{text}: gives back {back} of {over}");
}
