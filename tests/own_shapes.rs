//! Shapes of the teacher's own that are like nothing in the library: whoever told something is asked about them and
//! has something else ready (contract section 4.1); everybody else follows the class.

use std::sync::OnceLock;

use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, CautionKind};
use kindfold::audit::{Basis, Kind, audit};
use kindfold::class::ClassPlan;
use kindfold::input::{self, text::Source};
use kindfold::roster::Roster;
use kindfold::settings::PropStock;
use rstest::rstest;

use crate::support::library::{library, settings, task};
use crate::support::program::kindfold;

const CLASS: &str = "title: Own\ndate: 2026-11-25\nminutes: 30\nsections:\n  - name: All\n    steps:\n      \
                     - {posture: mountain, breaths: 5}\n      \
                     - {own: spiral reach, breaths: 6, or: [warrior-ii], props: {block: 1}}\n      \
                     - {posture: wide-legged-forward-fold, breaths: 8}\n      \
                     - {own: rolling about, breaths: 6}\n";

struct Room {
    class: ClassPlan,
    roster: Roster,
    stock: PropStock,
    adapted: Adapted,
}

impl Room {
    fn of(person: &str, props: &str) -> Self {
        let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("text");
        let roster = format!(
            "recorded: 2026-11-25\nstudents:\n  - {{name: Ines, {person}}}\n  - {{name: Jo, limitations: []}}\n"
        );
        let class = input::class::read(source("class.yaml", CLASS), library()).expect("a class");
        let roster = input::roster::read(source("roster.yaml", &roster), library()).expect("one");
        let stock = input::props::read(source("props.yaml", props)).expect("props");
        let date = class.date.expect("a date");
        let task = task(&class, &roster, &stock, date);
        let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
        Self {
            class,
            roster,
            stock,
            adapted,
        }
    }

    fn found(&self, adapted: &Adapted) -> Vec<Kind> {
        let basis = Basis {
            library: library(),
            class: &self.class,
            roster: &self.roster,
            stock: &self.stock,
            settings: settings(),
            date: self.class.date.expect("a date"),
            max_options: 3,
        };
        audit(adapted, &basis).iter().map(|one| one.kind).collect()
    }

    /// What Ines does at each step.
    fn done(&self) -> Vec<&str> {
        let path = self.adapted.students[0].assignments.iter();
        path.map(|one| one.posture.as_str()).collect()
    }
}

const PLENTY: &str = "block: 9\nblanket: 9\nchair: 9\nwall: 9\n";

#[rstest]
#[case::nothing_told("limitations: []", PLENTY, "own-shape", "own-shape")]
#[case::never_asked("asked: no", PLENTY, "own-shape", "own-shape")]
#[case::on_video_without_a_block("limitations: [], where: video", PLENTY, "own-shape", "own-shape")]
#[case::the_only_block_is_the_teachers("limitations: []", "block: 2", "own-shape", "own-shape")]
// A choice of the teacher's is judged like any other.
#[case::a_wrist("limitations: [{what: wrist, side: left}]", PLENTY, "warrior-ii", "")]
#[case::a_knee(
    "limitations: [{what: knee, side: left, severity: acute}]",
    PLENTY,
    "",
    ""
)]
#[case::fixed(
    "fixed: [{line: 2, posture: triangle}]",
    PLENTY,
    "triangle",
    "own-shape"
)]
#[case::fixed_and_told(
    "limitations: [{what: wrist, side: left}], fixed: [{line: 4, posture: triangle}]",
    PLENTY,
    "warrior-ii",
    "triangle"
)]
fn it_is_followed_by_whoever_told_nothing(
    #[case] person: &str,
    #[case] props: &str,
    #[case] first: &str,
    #[case] second: &str,
) {
    let room = Room::of(person, props);
    for (done, wanted) in [(room.done()[1], first), (room.done()[3], second)] {
        match wanted {
            "" => assert_ne!(done, "own-shape"),
            wanted => assert_eq!(done, wanted),
        }
    }
    assert_eq!(room.found(&room.adapted), []);
}

#[rstest]
#[case::nothing_told("limitations: []", None)]
#[case::never_asked("asked: no", None)]
#[case::a_wrist(
    "limitations: [{what: wrist, side: left}]",
    Some(
        "steps 2 and 4: “spiral reach” and “rolling about” are shapes of yours that no rule knows. What do they say to \
     them? Something else is ready until then."
    )
)]
#[case::one_is_fixed(
    "limitations: [{what: wrist, side: left}], fixed: [{line: 4, posture: triangle}]",
    Some(
        "step 2: “spiral reach” is a shape of yours that no rule knows. What do they say to it? Something else is ready \
     until then."
    )
)]
fn whoever_told_something_is_asked(#[case] person: &str, #[case] asked: Option<&str>) {
    let room = Room::of(person, PLENTY);
    let cautions = room.adapted.cautions.iter();
    let asks: Vec<&str> = cautions
        .filter(|one| one.kind == CautionKind::AskFirst)
        .map(|one| one.text.as_str())
        .collect();
    assert_eq!(asks, asked.into_iter().collect::<Vec<_>>());
}

/// Of a shape that no rule knows it is never said that no rule keeps anybody from it.
#[test]
fn why_says_that_no_rule_knows_it() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let roster = "recorded: 2026-11-25\nstudents:\n  - {name: Ines, limitations: [{what: wrist, side: left}]}\n";
    for (name, text) in [("class.yaml", CLASS), ("roster.yaml", roster)] {
        std::fs::write(folder.path().join(name), text).expect("a file for the test");
    }
    let args = [
        "why",
        "class.yaml",
        "--roster",
        "roster.yaml",
        "--step",
        "4",
        "--student",
        "Ines",
    ];
    let output = kindfold(&args, folder.path());
    let said = String::from_utf8_lossy(&output.stdout);
    let said: Vec<&str> = said.split_whitespace().collect();
    let said = said.join(" ");
    assert!(said.contains("No rule knows this shape of yours"), "{said}");
    assert!(!said.contains("No rule keeps them"), "{said}");
}

/// The second reading knows who may not be given such a shape.
#[test]
fn given_to_whoever_told_something_it_is_found() {
    static ROOM: OnceLock<Room> = OnceLock::new();
    let room = ROOM.get_or_init(|| Room::of("limitations: [{what: wrist, side: left}]", PLENTY));
    let mut adapted = room.adapted.clone();
    adapted.students[0].assignments[3].posture = "own-shape".into();
    assert!(room.found(&adapted).contains(&Kind::Avoided));
}

/// What somebody brings is not drawn from the cupboard for them.
#[test]
fn their_own_block_is_used() {
    let short = "block: 2\nmat: 9";
    let room = Room::of("limitations: [], has: {block: 1}", short);
    let held = |who: usize| room.adapted.students[who].assignments[1].props.clone();
    assert_eq!((held(0).len(), held(1).len()), (1, 1));
    assert_eq!(room.adapted.plan.terms.stray, 0);
}
