//! How many wrong rules the tests would let through: each change of one limit, side, verdict, week or word in
//! `rules/`, and each rule left out, is a library of its own, and something must object to it.
//!
//! `cargo test --test all every_wrong_rule -- --ignored --nocapture`

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use kindfold::library::Library;
use kindfold::problem::Code;
use serde_yaml::{Mapping, Value};

use crate::support::rule_tables::differences;
use crate::verdicts::misjudged;

/// One change of one file.
struct Mutant {
    /// What was done: "drop a rule", "move a limit" and so on.
    kind: &'static str,
    /// Where: the rule or the demand, and what it says now.
    place: String,
    file: String,
    text: String,
}

/// Who objects to a library first, the quickest asked first.
#[derive(Clone, Copy)]
enum Objects {
    /// The reader: it does not load.
    Reader,
    /// It does not say what the tables of the trade say.
    Tables,
    /// A row of the table of verdicts is judged otherwise.
    Verdicts,
    /// A proof of its own fails.
    Proofs,
    /// Nobody.
    Nobody,
}

#[test]
#[ignore = "some thousand libraries: minutes"]
fn every_wrong_rule_is_found() {
    let built_in = Library::built_in().expect("the built-in library is whole");
    let sound = faults(&built_in);
    let mut counts: BTreeMap<&str, [usize; 6]> = BTreeMap::new();
    let mut alive = Vec::new();
    for mutant in mutants() {
        let first = objects(&mutant, sound);
        let count = counts.entry(mutant.kind).or_default();
        count[0] += 1;
        count[1 + first as usize] += 1;
        if matches!(first, Objects::Nobody) {
            alive.push(format!("{}: {}", mutant.kind, mutant.place));
        }
    }
    let total = counts.values().fold([0; 6], |mut sum, count| {
        for (sum, count) in sum.iter_mut().zip(count) {
            *sum += count;
        }
        sum
    });
    println!("kind: made; found by the reader, the tables, the verdicts, the proofs; alive");
    for (kind, count) in counts.iter().chain([(&"all", &total)]) {
        println!("{kind}: {count:?}");
    }
    println!("{}", alive.join("\n"));
    let [made, .., alive] = total;
    let killed = made - alive;
    assert!(made > 1000, "only {made} were made");
    assert!(killed * 100 >= made * 98, "{killed} of {made} were found");
}

fn faults(library: &Library) -> usize {
    let faults = library.check().faults;
    faults
        .iter()
        .filter(|fault| fault.code != Code::ProofMissing)
        .count()
}

fn objects(mutant: &Mutant, sound: usize) -> Objects {
    let folder = tempfile::tempdir().expect("a folder for the run");
    let path = folder.path().join(&mutant.file);
    fs::create_dir_all(path.parent().expect("it has one")).expect("a folder for the run");
    fs::write(&path, &mutant.text).expect("a file for the run");
    let Ok(library) = Library::with_folder(folder.path()) else {
        return Objects::Reader;
    };
    match () {
        () if !differences(&library).is_empty() => Objects::Tables,
        () if !misjudged(&library).is_empty() => Objects::Verdicts,
        () if faults(&library) > sound => Objects::Proofs,
        () => Objects::Nobody,
    }
}

fn mutants() -> Vec<Mutant> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = fs::read_dir(root.join("rules/limitations")).expect("the rules are there");
    let names = folder.map(|entry| entry.expect("a file of the folder").file_name());
    let mut files: Vec<String> = names
        .map(|name| format!("rules/limitations/{}", name.to_string_lossy()))
        .collect();
    files.sort();
    files.extend([
        "rules/demands.yaml".to_owned(),
        "rules/budgets.yaml".to_owned(),
    ]);
    let each = files.iter().flat_map(|file| {
        let text = fs::read_to_string(root.join(file)).expect("the rules are text");
        let whole: Value = serde_yaml::from_str(&text).expect("the rules are YAML");
        changed(file, &whole)
    });
    each.collect()
}

/// Every mutant of one file.
fn changed(file: &str, whole: &Value) -> Vec<Mutant> {
    let mut mutants = Vec::new();
    let mut add = |kind, place: String, value: Value| {
        let text = serde_yaml::to_string(&value).expect("a value is YAML");
        mutants.push(Mutant {
            kind,
            place: format!("{file}, {place}"),
            file: file.to_owned(),
            text,
        });
    };
    if file.ends_with("demands.yaml") {
        for (id, demand) in whole.as_mapping().expect("demands by id") {
            for (kind, what, demand) in limits(demand) {
                let mut value = whole.clone();
                value[id] = demand;
                add(kind, format!("{} {what}", id.as_str().unwrap_or("")), value);
            }
        }
        return mutants;
    }
    if file.ends_with("budgets.yaml") {
        for (kind, what, value) in numbers(whole) {
            add(kind, what, value);
        }
        let personal = whole["personal"].as_sequence().expect("a list").len();
        for at in 0..personal {
            let mut value = whole.clone();
            value["personal"]
                .as_sequence_mut()
                .expect("a list")
                .remove(at);
            add("drop a budget", format!("personal {at}"), value);
        }
        return mutants;
    }
    let Some(rules) = whole["rules"].as_sequence() else {
        return mutants;
    };
    let sided = whole["sided"].as_bool() == Some(true);
    for (at, rule) in rules.iter().enumerate() {
        let id = rule["rule"].as_str().expect("a rule has an id");
        let mut value = whole.clone();
        value["rules"].as_sequence_mut().expect("a list").remove(at);
        add("drop a rule", id.to_owned(), value);
        let each = limits(rule).into_iter().chain(verdicts(rule));
        for (kind, what, rule) in each
            .chain(weeks(rule))
            .chain(sides(rule, sided))
            .chain(words(rule))
        {
            let mut value = whole.clone();
            value["rules"][at] = rule;
            add(kind, format!("{id} {what}"), value);
        }
    }
    mutants
}

type Change = (&'static str, String, Value);

/// Every number behind a sign moved by a tenth, at least by one, to both sides; every sign turned round; every
/// grade changed.
fn limits(rule: &Value) -> Vec<Change> {
    let keys = ["when", "and", "some", "much"];
    let mut changes = Vec::new();
    for key in keys.iter().filter(|key| rule.get(key).is_some()) {
        let with = |inner: Value| {
            let mut rule = rule.clone();
            rule[*key] = inner;
            rule
        };
        for (kind, what, inner) in inside(&rule[*key]) {
            changes.push((kind, what, with(inner)));
        }
    }
    changes
}

fn inside(value: &Value) -> Vec<Change> {
    match value {
        Value::String(words) => line(words)
            .into_iter()
            .map(|(kind, now)| (kind, format!("“{words}” → “{now}”"), Value::String(now)))
            .collect(),
        Value::Sequence(parts) => {
            let each = parts.iter().enumerate();
            each.flat_map(|(at, part)| {
                inside(part).into_iter().map(move |(kind, what, part)| {
                    let mut parts = parts.clone();
                    parts[at] = part;
                    (kind, what, Value::Sequence(parts))
                })
            })
            .collect()
        }
        Value::Mapping(map) => {
            let each = map.iter();
            each.flat_map(|(key, part)| {
                inside(part).into_iter().map(move |(kind, what, part)| {
                    let mut map: Mapping = map.clone();
                    map.insert(key.clone(), part);
                    (kind, what, Value::Mapping(map))
                })
            })
            .collect()
        }
        _ => Vec::new(),
    }
}

/// The changes of one line of a condition.
fn line(words: &str) -> Vec<(&'static str, String)> {
    let mut changes = Vec::new();
    let parts: Vec<&str> = words.split_whitespace().collect();
    let swap = |from: &str, to: &str| words.replacen(from, to, 1);
    match parts.as_slice() {
        [.., sign @ (">=" | ">" | "<" | "<="), number] => {
            let limit: f64 = number.parse().expect("a number stands behind a sign");
            let by = (limit.abs() / 10.0).round().max(1.0);
            for moved in [limit - by, limit + by] {
                let at = words.rfind(number).expect("it stands there");
                changes.push(("move a limit", format!("{}{moved}", &words[..at])));
            }
            let turned = if sign.starts_with('>') { "<" } else { ">=" };
            changes.push(("turn a sign", swap(sign, turned)));
        }
        [.., "some"] => changes.push(("change a grade", swap("some", "much"))),
        [.., "much"] => changes.push(("change a grade", swap("much", "some"))),
        _ => {}
    }
    changes
}

/// Every verdict one step up and one step down, at every severity, and taken away.
fn verdicts(rule: &Value) -> Vec<Change> {
    const STEPS: [&str; 4] = ["watch", "ease", "ask-first", "avoid"];
    let written = &rule["verdict"];
    let said = |severity: &str| match written {
        Value::String(word) => Some(word.as_str()),
        table => table[severity].as_str(),
    };
    let mut changes = Vec::new();
    for severity in ["mild", "moderate", "acute"] {
        let here = said(severity).and_then(|word| STEPS.iter().position(|step| *step == word));
        let others = match here {
            Some(at) => vec![
                at.checked_sub(1),
                (at + 1 < STEPS.len()).then_some(at + 1),
                None,
            ],
            None => vec![Some(0), Some(STEPS.len() - 1)],
        };
        let mut others: Vec<Option<&str>> = others
            .into_iter()
            .map(|at| at.map(|at| STEPS[at]))
            .collect();
        others.dedup();
        for other in others {
            let mut table = Mapping::new();
            for each in ["mild", "moderate", "acute"] {
                let word = if each == severity { other } else { said(each) };
                if let Some(word) = word {
                    table.insert(each.into(), word.into());
                }
            }
            let mut rule = rule.clone();
            rule["verdict"] = Value::Mapping(table);
            let now = other.unwrap_or("nothing");
            changes.push(("swap a verdict", format!("{severity} → {now}"), rule));
        }
    }
    changes
}

/// Every week a week earlier and later, and every window without a part of it.
fn weeks(rule: &Value) -> Vec<Change> {
    let Some(window) = rule.get("window").and_then(Value::as_mapping) else {
        return Vec::new();
    };
    let mut changes = Vec::new();
    for (key, part) in window {
        let mut without = window.clone();
        without.remove(key);
        let mut all = vec![without];
        if let Some((weeks, _)) = part.as_str().and_then(|text| text.split_once('+')) {
            let weeks: u16 = weeks.parse().expect("weeks are a number");
            for moved in [weeks.saturating_sub(1), weeks + 1] {
                let mut moved_to = window.clone();
                moved_to.insert(key.clone(), format!("{moved}+0").into());
                all.push(moved_to);
            }
        }
        for window in all {
            let mut rule = rule.clone();
            let what = format!("window {window:?}");
            rule["window"] = Value::Mapping(window);
            changes.push(("move a window", what, rule));
        }
    }
    changes
}

/// The other sides of a rule that has one.
fn sides(rule: &Value, sided: bool) -> Vec<Change> {
    let now = rule["side"].as_str().unwrap_or("same");
    let others = ["same", "opposite", "either"].into_iter();
    others
        .filter(|other| sided && *other != now)
        .map(|other| {
            let mut rule = rule.clone();
            rule["side"] = other.into();
            ("flip a side", format!("{now} → {other}"), rule)
        })
        .collect()
}

/// Every list of kinds, sites and approaches without one of its words; every option of a stance otherwise.
fn words(rule: &Value) -> Vec<Change> {
    let mut changes = Vec::new();
    for key in ["kinds", "not_kinds", "site", "approach"] {
        let many = rule
            .get(key)
            .and_then(Value::as_sequence)
            .map_or(0, Vec::len);
        for at in 0..many {
            let mut rule = rule.clone();
            let list = rule[key].as_sequence_mut().expect("it was counted");
            let gone = list.remove(at);
            changes.push(("drop a word", format!("{key} without {gone:?}"), rule));
        }
    }
    let stances = rule.get("stance").and_then(Value::as_mapping);
    for (stance, options) in stances.into_iter().flatten() {
        for (option, _) in options.as_mapping().into_iter().flatten() {
            let mut rule = rule.clone();
            rule["stance"][stance]
                .as_mapping_mut()
                .expect("options are a table")
                .remove(option);
            changes.push((
                "drop a word",
                format!("{stance:?} without {option:?}"),
                rule,
            ));
        }
    }
    changes
}

/// Every number of the budgets moved by a tenth to both sides.
fn numbers(value: &Value) -> Vec<Change> {
    match value {
        Value::Number(number) => {
            let number = number.as_i64().expect("budgets are whole numbers");
            let by = (number / 10).max(1);
            [number - by, number + by]
                .map(|now| ("move a limit", format!("{number} → {now}"), now.into()))
                .to_vec()
        }
        Value::Sequence(parts) => (0..parts.len())
            .flat_map(|at| {
                numbers(&parts[at])
                    .into_iter()
                    .map(move |(kind, what, part)| {
                        let mut parts = parts.clone();
                        parts[at] = part;
                        (kind, what, Value::Sequence(parts))
                    })
            })
            .collect(),
        Value::Mapping(map) => map
            .iter()
            .flat_map(|(key, part)| {
                numbers(part).into_iter().map(move |(kind, what, part)| {
                    let mut map = map.clone();
                    map.insert(key.clone(), part);
                    (kind, what, Value::Mapping(map))
                })
            })
            .collect(),
        _ => Vec::new(),
    }
}
