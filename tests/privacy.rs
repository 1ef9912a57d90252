//! Health facts stay where they are: of wrong files only the faulty word is shown, nothing is written that
//! was not asked for, and no file, name or message holds anything else of anybody.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use rstest::rstest;

/// A mark: no word of anything else.
const MARK: &str = "quomble";

/// A good roster in which every text that a person could have written is a marked word.
const MARKED: &str = "\
recorded: 2026-11-02
students:
  - name: quombleann
    limitations:
      - {what: knee, side: left, note: quombleknee}
      - quombleflare
    today: [quombletoday]
    guidance:
      - {from: physio, on: 2026-10-12, about: knee, says: quomblesays}
    declines: [quombledecline]
    note: quomblenote
  - name: quomblebob
    limitations: [quomblehip, {what: hip, note: quomblehip}]
    confidential: true
";

const CLASS: &str = "\
title: quomble title
minutes: 20
date: 2026-11-04
sections:
  - name: quomble part
    steps:
      - {posture: mountain, breaths: 5, note: quomble step}
      - {posture: low lunge, side: each, breaths: 5}
";

/// A folder of its own with the marked files, and one for temporary files that must stay empty.
struct Place {
    folder: tempfile::TempDir,
    temporary: tempfile::TempDir,
}

impl Place {
    fn with(roster: &str) -> Self {
        let place = Self {
            folder: tempfile::tempdir().expect("a folder for the test"),
            temporary: tempfile::tempdir().expect("a folder for the test"),
        };
        fs::write(place.path().join("class.yaml"), CLASS).expect("a file for the test");
        fs::write(place.path().join("roster.yaml"), roster).expect("a file for the test");
        place
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn names(&self) -> BTreeSet<String> {
        let entries = fs::read_dir(self.path()).expect("it is there");
        entries
            .map(|entry| {
                entry
                    .expect("it can be read")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect()
    }

    /// Runs a command: no mark on standard error, no temporary file, no file but `asked`. Gives back
    /// the status and what was said.
    fn run(&self, args: &[&str], asked: &[&str]) -> (Option<i32>, String) {
        let before = self.names();
        let output = Command::new(env!("CARGO_BIN_EXE_kindfold"))
            .args(args)
            .current_dir(self.path())
            .env("TMPDIR", self.temporary.path())
            .env("HOME", self.temporary.path())
            .output()
            .expect("the program was built for this test");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(!said.contains(MARK), "{args:?} shows a mark: {said}");
        assert!(!said.contains("panicked"), "{args:?}: {said}");
        let temporary = fs::read_dir(self.temporary.path())
            .expect("it is there")
            .count();
        assert_eq!(temporary, 0, "{args:?} left a temporary file");
        let new: BTreeSet<String> = self.names().difference(&before).cloned().collect();
        let asked: BTreeSet<String> = asked.iter().map(|name| (*name).to_owned()).collect();
        assert_eq!(new, asked, "{args:?}");
        (output.status.code(), said)
    }
}

const ROSTER: [&str; 2] = ["--roster", "roster.yaml"];

#[test]
fn no_command_says_or_writes_anything_of_anybody_beside_its_result() {
    let place = Place::with(MARKED);
    let good = |args: &[&str], asked: &[&str]| {
        let (status, said) = place.run(args, asked);
        assert_eq!(status, Some(0), "{args:?}: {said}");
    };
    for sheet in ["teacher", "room", "cards", "props", "cautions", "record"] {
        good(
            &[&["adapt", "class.yaml", "--sheet", sheet], &ROSTER[..]].concat(),
            &[],
        );
    }
    let json = [
        "adapt",
        "class.yaml",
        "--format",
        "json",
        "-o",
        "adapted.json",
    ];
    good(&[&json, &ROSTER[..]].concat(), &["adapted.json"]);
    good(
        &[&["audit", "adapted.json", "class.yaml"], &ROSTER[..]].concat(),
        &[],
    );
    good(
        &[&["why", "class.yaml", "--step", "2"], &ROSTER[..]].concat(),
        &[],
    );
    good(
        &[
            &["ahead", "class.yaml", "--until", "2027-11-04"],
            &ROSTER[..],
        ]
        .concat(),
        &[],
    );
    good(&[&["check", "class.yaml"], &ROSTER[..]].concat(), &[]);
    good(
        &[&["check", "class.yaml", "-o", "checked.yaml"], &ROSTER[..]].concat(),
        &["checked.yaml"],
    );
    fs::write(
        place.path().join("signup.csv"),
        "Name,Injuries,Notes\nquombleann,left knee quomble,quomble\n",
    )
    .expect("a file for the test");
    good(&["intake", "signup.csv", "-o", "new.yaml"], &["new.yaml"]);
    good(
        &[
            "intake",
            "signup.csv",
            "--merge",
            "roster.yaml",
            "-o",
            "merged.yaml",
        ],
        &["merged.yaml"],
    );
    for args in [
        &["demo"][..],
        &["postures", "tree"],
        &["posture", "tree"],
        &["schema", "roster"],
    ] {
        good(args, &[]);
    }
}

#[cfg(unix)]
#[rstest]
#[case(&["adapt", "class.yaml", "--roster", "roster.yaml", "-o", "out"])]
#[case(&["adapt", "class.yaml", "--roster", "roster.yaml", "--format", "json", "-o", "out"])]
#[case(&["adapt", "class.yaml", "--roster", "roster.yaml", "--instance", "out"])]
#[case(&["check", "class.yaml", "--roster", "roster.yaml", "-o", "out"])]
#[case(&["ahead", "class.yaml", "--until", "2027-11-04", "--roster", "roster.yaml", "-o", "out"])]
fn files_with_health_facts_are_for_their_owner_alone(#[case] args: &[&str]) {
    use std::os::unix::fs::PermissionsExt;
    let place = Place::with(MARKED);
    let (status, said) = place.run(args, &["out"]);
    assert_eq!(status, Some(0), "{said}");
    let mode = fs::metadata(place.path().join("out"))
        .expect("it was written")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
}

/// Wrong rosters of every kind: what is written instead of what. The faulty word itself is no mark.
#[rstest]
#[case("recorded: 2026-11-02", "recorded: yesterday")]
#[case("recorded: 2026-11-02", "recorded: 2026-02-30")]
#[case("recorded: 2026-11-02", "recorded")]
#[case("students:", "studnets:")]
#[case("students:", "students")]
#[case("students:", "\tstudents:")]
#[case("what: knee", "what: kneee-thing")]
#[case("what: knee", "wat: knee")]
#[case("what: knee", "side: left, what: knee")]
#[case("side: left", "side: middle")]
#[case("side: left", "severity: dreadful")]
#[case("side: left", "weeks: many")]
#[case("side: left", "on: 13/13/2026")]
#[case("side: left", "due: soon")]
#[case("side: left", "kind: strange")]
#[case("side: left", "approach: sideways")]
#[case("side: left", "&anchor side: left")]
#[case("note: quombleknee}", "note: quombleknee")]
#[case("note: quombleknee}", "note: \"quombleknee}")]
#[case("note: quombleknee}", "note: quomble, hat}")]
#[case("note: quombleknee}", "note: quomble: quomble}")]
#[case("note: quombleknee}", "note: {a: quomble}}")]
#[case("on: 2026-10-12", "on: last week")]
#[case("about: knee", "about: hat")]
#[case("from: physio, ", "")]
#[case("from: physio", "limits: [hat], from: physio")]
#[case("from: physio", "allows: 3, from: physio")]
#[case("confidential: true", "confidential: perhaps")]
#[case("confidential: true", "keep_notes: false")]
#[case("confidential: true", "touch: sometimes")]
#[case("confidential: true", "where: moon")]
#[case("confidential: true", "late: long")]
#[case("confidential: true", "height_cm: tall")]
#[case("confidential: true", "has: {hat: 1}")]
#[case("confidential: true", "aims: [hat]")]
#[case("confidential: true", "prefers: [hat]")]
#[case("confidential: true", "fixed: [{line: 1, posture: hat}]")]
#[case("confidential: true", "access: [hat]")]
#[case("confidential: true", "asked: maybe")]
#[case("confidential: true", "shoe: 42")]
#[case("confidential: true", "name: hat")]
#[case("confidential: true", "  confidential: true")]
#[case("  - name: quomblebob", "  -name: quomblebob")]
#[case("  - name: quomblebob", "   - name: quomblebob")]
#[case("declines: [", "declines: [[")]
#[case("today: [", "today: {")]
#[case("      - quombleflare", "      quombleflare")]
#[case("      - quombleflare", "      - - quombleflare")]
#[case("      - quombleflare", "      - *quombleless")]
#[case("      - quombleflare", "      - !tag quombleflare")]
#[case("      - quombleflare", "      - |\n quombleflare")]
fn of_a_wrong_roster_only_the_faulty_word_is_shown(#[case] good: &str, #[case] wrong: &str) {
    let roster = MARKED.replacen(good, wrong, 1);
    assert_ne!(roster, MARKED);
    let place = Place::with(&roster);
    let (status, said) = place.run(&["check", "class.yaml", "--roster", "roster.yaml"], &[]);
    assert_eq!(status, Some(2), "{said}");
    assert!(said.contains("roster.yaml"), "{said}");
}

/// A roster cut off anywhere, and one with a byte put in anywhere.
#[test]
fn a_spoilt_roster_shows_no_mark() {
    use kindfold::input::{roster, text::Source};
    let library = kindfold::library::Library::built_in().expect("the built-in library is whole");
    let said = |bytes: &[u8]| -> String {
        let problems = match Source::from_bytes("roster.yaml", bytes) {
            Ok(source) => roster::read(source, &library).err().unwrap_or_default(),
            Err(problem) => vec![problem],
        };
        problems.iter().map(ToString::to_string).collect()
    };
    for at in 1..MARKED.len() {
        let (before, after) = MARKED.as_bytes().split_at(at);
        let cut = said(before);
        assert!(!cut.contains(MARK), "cut at {at}: {cut}");
        for byte in [
            b"\"".as_slice(),
            b"{",
            b"]",
            b":",
            b"\t",
            b"\xff",
            b"#",
            b"\n",
            b"- ",
        ] {
            let spoilt = said(&[before, byte, after].concat());
            // A mark may be the faulty word itself, as where a quotation mark parts it; never two.
            let words = spoilt.split(|c: char| !c.is_alphanumeric());
            let shown: BTreeSet<&str> = words.filter(|word| word.starts_with(MARK)).collect();
            assert!(shown.len() <= 1, "{byte:?} at {at}: {spoilt}");
        }
    }
}
