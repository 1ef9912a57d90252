//! What a careful teacher would want to see: every numbered line of the trade's scenarios, sections 5 to
//! 9, as a test named after its line.
//!
//! The lines were written by a teacher before there was a program; what a test expects comes from its
//! line. Class A is `tuesday-wind-down` (Roster 2), Class B `ten-past-one` (Roster 1), Class C
//! `last-sunday-rest` (Roster 3).

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use kindfold::adapt::{Task, adapt};
use kindfold::adapted::{
    Adapted, AdviceKind, Assignment, CautionKind, Finding, State, Step, StudentPlan,
};
use kindfold::audit::{Basis, audit};
use kindfold::input::{self, text::Source};
use kindfold::library::posture::Posture;
use kindfold::settings::Settings;
use kindfold::sheets::{teacher, text};
use kindfold::words::{BodySide, Level, PostureId, Prop, Side};

use crate::support::library::{library, task};
use crate::support::program::kindfold;

mod beside;
mod pairs;
mod people;
mod props;
mod resting;
mod roster_1;
mod roster_2;
mod roster_3;
mod warnings;
mod wording;

fn folder(case: &str) -> PathBuf {
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    cases.join(case)
}

fn file(case: &str, name: &str) -> String {
    std::fs::read_to_string(folder(case).join(name)).expect("the case has this file")
}

/// A plan from texts, in which a second reading finds nothing.
fn planned(class: &str, roster: &str, props: Option<&str>) -> Adapted {
    let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("it is text");
    let class = input::class::read(source("class.yaml", class), library()).expect("a class");
    let roster = input::roster::read(source("roster.yaml", roster), library()).expect("a roster");
    let stock = props.map(|props| input::props::read(source("props.yaml", props)).expect("props"));
    let (stock, date) = (
        stock.unwrap_or_default(),
        class.date.expect("the case has a date"),
    );
    let task = task(&class, &roster, &stock, date);
    let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
    let basis = Basis {
        library: task.library,
        class: &class,
        roster: &roster,
        stock: &stock,
        settings: task.settings,
        date,
        max_options: task.max_options,
    };
    assert_eq!(audit(&adapted, &basis), Vec::new());
    adapted
}

fn case(name: &str) -> Adapted {
    let read = |file_name| file(name, file_name);
    planned(
        &read("class.yaml"),
        &read("roster.yaml"),
        Some(&read("props.yaml")),
    )
}

/// Class A with Roster 2.
fn class_a() -> &'static Adapted {
    static PLANNED: OnceLock<Adapted> = OnceLock::new();
    PLANNED.get_or_init(|| case("tuesday-wind-down"))
}

/// Class B with Roster 1.
fn class_b() -> &'static Adapted {
    static PLANNED: OnceLock<Adapted> = OnceLock::new();
    PLANNED.get_or_init(|| case("ten-past-one"))
}

/// Class C with Roster 3.
fn class_c() -> &'static Adapted {
    static PLANNED: OnceLock<Adapted> = OnceLock::new();
    PLANNED.get_or_init(|| case("last-sunday-rest"))
}

/// A sheet of a case as text.
fn sheet(case: &str, args: &[&str]) -> String {
    let files = ["--roster", "roster.yaml", "--props", "props.yaml"];
    let args = [&["adapt", "class.yaml"], &files[..], args].concat();
    let output = kindfold(&args, &folder(case));
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{told}");
    let text = String::from_utf8_lossy(&output.stdout);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// All that is printed of the three classes with their rosters, each with what it is: every sheet, and the days
/// ahead of a year.
fn printed() -> &'static [(String, String)] {
    static PRINTED: OnceLock<Vec<(String, String)>> = OnceLock::new();
    PRINTED.get_or_init(|| {
        let cases = ["tuesday-wind-down", "ten-past-one", "last-sunday-rest"];
        let mut all = Vec::new();
        for case in cases {
            let made = tempfile::tempdir().expect("a temporary folder");
            let to = made.path().join("sheets");
            let to = to.to_str().expect("a path in words");
            // The words are the same however long the largest room is searched.
            sheet(case, &["--all-sheets", "-o", to, "--seconds", "1"]);
            for one in std::fs::read_dir(to).expect("the sheets") {
                let one = one.expect("a sheet").path();
                let text = std::fs::read_to_string(&one).expect("text");
                all.push((format!("{case}: {}", one.display()), text));
            }
            let until = [
                "ahead",
                "class.yaml",
                "--roster",
                "roster.yaml",
                "--until",
                "2027-05-31",
            ];
            let output = kindfold(&until, &folder(case));
            let text = String::from_utf8_lossy(&output.stdout).into_owned();
            assert!(
                text.contains("From "),
                "{case}: something changes in a year"
            );
            all.push((format!("{case}: the days ahead"), text));
        }
        assert_eq!(all.len(), 3 * 7, "six sheets and the days ahead of each");
        for (_, text) in &mut all {
            *text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        }
        all
    })
}

/// The teacher's sheet of a plan as it is read, its lines joined.
fn read(adapted: &Adapted) -> String {
    let sheet = teacher::sheet(adapted, &Settings::default(), library());
    let text = text::teacher(&sheet, 80);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A text has all of these words.
fn reads(text: &str, all: &[&str]) {
    for words in all {
        assert!(text.contains(words), "“{words}” is not in: {text}");
    }
}

/// What stands between two words of a text.
fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    let (_, rest) = text
        .split_once(from)
        .expect("the text has the first of them");
    rest.split_once(to).expect("and then the other").0
}

fn posture(id: &PostureId) -> &'static Posture {
    library()
        .postures
        .get(id)
        .expect("a plan names postures of the library")
}

/// A person of a plan, by name.
struct Who<'a> {
    adapted: &'a Adapted,
    plan: &'a StudentPlan,
}

fn who<'a>(adapted: &'a Adapted, name: &str) -> Who<'a> {
    let plan = adapted.students.iter().find(|one| one.name == name);
    Who {
        adapted,
        plan: plan.expect("they are on the roster"),
    }
}

impl<'a> Who<'a> {
    /// Every pass with what they do in it.
    fn done(&self) -> impl Iterator<Item = (&'a Step, &'a Assignment)> {
        self.adapted.steps.iter().zip(&self.plan.assignments)
    }

    /// What they do at a line, each pass.
    fn at(&self, line: usize) -> Vec<(&'a Step, &'a Assignment)> {
        self.done().filter(|(step, _)| step.line == line).collect()
    }

    /// Whether they do a line as it is taught, on every pass.
    fn as_taught(&self, line: usize) -> bool {
        self.at(line)
            .iter()
            .all(|(step, given)| given.posture == step.taught.posture)
    }

    /// Lines on which they do something else because a rule keeps them from what is taught.
    fn kept_from(&self) -> BTreeSet<usize> {
        let kept = self.done().filter(|(_, given)| {
            let instead = given.instead_of.iter();
            instead
                .flat_map(|instead| &instead.verdicts)
                .next()
                .is_some()
        });
        kept.map(|(step, _)| step.line).collect()
    }

    /// Everything the rules say at a line, of what they do and of what they are kept from.
    fn findings(&self, line: usize) -> Vec<(Side, &'a Finding)> {
        let given = self.at(line).into_iter();
        given
            .flat_map(|(step, given)| {
                let instead = given
                    .instead_of
                    .iter()
                    .flat_map(|instead| &instead.verdicts);
                let all = given.verdicts.iter().chain(instead);
                all.map(|finding| (step.taught.side, finding))
            })
            .collect()
    }

    /// What stands about them on the cautions list, in one text.
    fn cautions(&self) -> String {
        let theirs = self.adapted.cautions.iter();
        let theirs = theirs.filter(|caution| caution.student.as_ref() == Some(&self.plan.id));
        let texts: Vec<&str> = theirs.map(|caution| caution.text.as_str()).collect();
        texts.join("\n")
    }

    fn has_caution(&self, kind: CautionKind) -> bool {
        let mut theirs = self.adapted.cautions.iter();
        theirs.any(|one| one.student.as_ref() == Some(&self.plan.id) && one.kind == kind)
    }

    /// The levels they are at along a line.
    fn levels(&self, line: usize) -> BTreeSet<Level> {
        let given = self.at(line).into_iter();
        given
            .map(|(_, given)| posture(&given.posture).level)
            .collect()
    }
}

/// Whether a finding speaks of a demand on a side of the body.
fn is(finding: &Finding, demand: &str, side: Option<BodySide>) -> bool {
    finding.demand.as_str() == demand && (side.is_none() || finding.side == side)
}

/// Whether a shape asks a demand at all.
fn asks(id: &PostureId, demand: &str) -> bool {
    let asked = posture(id).demands.get(demand);
    asked.is_some_and(|asks| asks.left.max(asks.right).is_some())
}

fn advice(adapted: &Adapted, kind: AdviceKind) -> Vec<&str> {
    let all = adapted.advice.iter().filter(|advice| advice.kind == kind);
    all.map(|advice| advice.text.as_str()).collect()
}
