//! Wrong files and the exact words of their refusal: one folder a case under `tests/bad`, whose
//! README says what a case holds.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::OnceLock;

use kindfold::input::{self, text::Source};
use kindfold::library::Library;
use kindfold::problem::Code;
use proptest::prelude::*;

use crate::support::program::kindfold;

/// What nobody else may read.
const PRIVATE: [&str; 2] = ["quomble", "Zorblat"];

/// A case of `tests/bad`, by the name of its folder.
struct Case {
    name: String,
    folder: PathBuf,
}

/// What a run did.
struct Ran {
    output: Output,
    said: String,
    /// Names and bytes of all files, before and after.
    before: BTreeMap<PathBuf, Vec<u8>>,
    after: BTreeMap<PathBuf, Vec<u8>>,
}

fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    let entries = fs::read_dir(folder).expect("the cases are there");
    let mut folders: Vec<PathBuf> = entries
        .map(|entry| entry.expect("it can be read").path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    let case = |folder: PathBuf| Case {
        name: folder
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned(),
        folder,
    };
    folders.into_iter().map(case).collect()
}

impl Case {
    fn text(&self, file: &str) -> Option<String> {
        fs::read_to_string(self.folder.join(file)).ok()
    }

    /// Runs the program on the case in a folder of its own, a result file asked for.
    fn run(&self) -> Ran {
        let scratch = tempfile::tempdir().expect("a folder for the test");
        let place = scratch.path();
        copy(&self.folder, place);
        self.make(place);
        let has = |file: &str| place.join(file).exists();
        let sign_up = ["signup.csv", "signup.pdf", "signup.xlsx"]
            .into_iter()
            .find(|file| has(file));
        let command = self.text("command.txt").unwrap_or_default();
        let mut args = if !command.is_empty() {
            command.split_whitespace().collect()
        } else if let Some(file) = sign_up {
            vec!["intake", file]
        } else if has("library") {
            vec!["check", "--library", "library"]
        } else if has("adapted.json") {
            vec!["audit", "adapted.json", "class.yaml"]
        } else if has("class.md") {
            vec!["adapt", "class.md"]
        } else {
            vec!["adapt", "class.yaml"]
        };
        for (option, file) in [
            ("--roster", "roster.yaml"),
            ("--props", "props.yaml"),
            ("--settings", "settings.yaml"),
        ] {
            if has(file) {
                args.extend([option, file]);
            }
        }
        if !has("found.txt") && !args.contains(&"-o") {
            args.extend(["-o", "sheet.txt"]);
        }
        let before = listing(place);
        let output = kindfold(&args, place);
        Ran {
            said: String::from_utf8(output.stderr.clone()).expect("messages are UTF-8"),
            output,
            before,
            after: listing(place),
        }
    }

    /// Makes what does not belong into a folder of texts.
    fn make(&self, place: &Path) {
        match self.name.as_str() {
            "ten-megabytes" => {
                let text = "# x\n".repeat(10 * 1024 * 1024 / 4);
                fs::write(place.join("class.yaml"), text).expect("the folder takes a file");
            }
            // A file that leads to itself can be opened by nobody, whatever they may read.
            "cannot-be-opened" => link("class.yaml", &place.join("class.yaml")),
            "library-with-a-link" => link("elsewhere.yaml", &place.join("library/data/links.yaml")),
            _ => {}
        }
    }
}

#[cfg(unix)]
fn link(to: &str, from: &Path) {
    std::os::unix::fs::symlink(to, from).expect("the folder takes a link");
}

#[cfg(not(unix))]
fn link(_: &str, _: &Path) {}

fn copy(from: &Path, to: &Path) {
    for entry in fs::read_dir(from).expect("the case is there") {
        let entry = entry.expect("it can be read").path();
        let copied = to.join(entry.file_name().expect("an entry has a name"));
        if entry.is_dir() {
            fs::create_dir(&copied).expect("the folder takes a folder");
            copy(&entry, &copied);
        } else {
            fs::copy(&entry, &copied).expect("the folder takes a file");
        }
    }
}

/// Every file below a folder, with its bytes; links with none.
fn listing(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("it can be read").path();
        if path.is_dir() {
            files.extend(listing(&path));
        } else {
            let bytes = fs::read(&path).unwrap_or_default();
            files.insert(path, bytes);
        }
    }
    files
}

#[test]
fn every_wrong_file_is_refused_in_the_expected_words_and_nothing_is_written() {
    let mut wrong = Vec::new();
    for case in cases() {
        let Some(expected) = case.text("expected.txt") else {
            let found = case.text("found.txt");
            assert!(found.is_some(), "{}: nothing is expected", case.name);
            continue;
        };
        if cfg!(not(unix))
            && matches!(
                case.name.as_str(),
                "cannot-be-opened" | "library-with-a-link"
            )
        {
            continue;
        }
        let ran = case.run();
        let (name, said) = (&case.name, &ran.said);
        assert_eq!(ran.output.status.code(), Some(2), "{name}: {said}");
        assert!(
            ran.output.stdout.is_empty(),
            "{name}: something was printed"
        );
        assert_eq!(ran.before, ran.after, "{name}: something was written");
        assert!(!said.contains("panicked"), "{name}: {said}");
        for private in PRIVATE {
            assert!(!said.contains(private), "{name} shows {private}: {said}");
        }
        if *said != expected {
            wrong.push(format!("== {name}\n{said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_roster_of_a_case_holds_a_neighbours_note() {
    for case in cases() {
        if let Some(roster) = case.text("roster.yaml") {
            assert!(roster.contains("quomble"), "{} could show none", case.name);
        }
    }
}

#[test]
fn every_fault_of_a_library_is_found() {
    for case in cases() {
        let Some(found) = case.text("found.txt") else {
            continue;
        };
        let ran = case.run();
        let printed = String::from_utf8_lossy(&ran.output.stdout);
        assert_eq!(ran.output.status.code(), Some(1), "{}{printed}", ran.said);
        for line in found.lines() {
            assert!(printed.contains(line), "{line} is not in\n{printed}");
        }
    }
}

/// The built-in rests always stand before a folder's, so this fault is made in the library itself.
#[test]
fn a_library_whose_first_rest_asks_something_is_found() {
    let mut library = Library::built_in().expect("it is proved elsewhere");
    library.rests.remove(0);
    let codes: Vec<Code> = library
        .check()
        .faults
        .iter()
        .map(|fault| fault.code)
        .collect();
    assert!(codes.contains(&Code::NoPause));
}

#[test]
fn every_code_has_a_case() {
    let all: String = cases()
        .iter()
        .flat_map(|case| [case.text("expected.txt"), case.text("found.txt")])
        .flatten()
        .collect();
    let missing: BTreeSet<&str> = Code::ALL
        .iter()
        .filter(|&&code| code != Code::NoPause)
        .map(|code| code.as_str())
        .filter(|code| !all.contains(&format!("[{code}]")))
        .collect();
    assert_eq!(missing, BTreeSet::new());
}

/// The wrong inputs that the project promises to refuse, by name, and the case of each.
const BY_NAME: [(&str, &str, &str); 22] = [
    ("missing file", "missing-file", "file-missing"),
    (
        "a folder instead of a file",
        "folder-instead-of-a-file",
        "file-is-folder",
    ),
    ("not UTF-8", "saved-as-latin-1", "not-utf8"),
    ("empty", "empty", "file-empty"),
    ("cut off", "cut-off", "not-closed"),
    ("tabs", "tabs", "tab"),
    ("a key written twice", "repeated-key", "repeated-key"),
    ("unknown key", "unknown-key", "unknown-key"),
    ("wrong type", "wrong-type", "wrong-type"),
    ("unknown posture", "unknown-posture", "unknown-posture"),
    (
        "unknown limitation",
        "unknown-limitation",
        "unknown-limitation",
    ),
    ("30 February", "thirtieth-of-february", "bad-date"),
    ("weeks 55", "weeks-55", "bad-weeks"),
    ("due 42 weeks after", "due-too-late", "impossible-date"),
    ("due 3 weeks before", "due-too-early", "impossible-date"),
    ("negative or fractional props", "props", "out-of-range"),
    (
        "a side on a posture without sides",
        "side-without-sides",
        "no-sides",
    ),
    ("minutes: 0", "minutes-nought", "out-of-range"),
    ("a hold with two units", "two-units", "bad-hold"),
    ("10 MB of text", "ten-megabytes", "file-too-large"),
    ("an alias bomb", "alias-bomb", "fancy-yaml"),
    ("a roster given as class", "roster-as-class", "wrong-file"),
];

#[test]
fn every_wrong_input_that_is_named_has_a_case() {
    let cases = cases();
    for (what, name, code) in BY_NAME {
        let case = cases.iter().find(|case| case.name == name);
        let expected = case.and_then(|case| case.text("expected.txt"));
        let expected = expected.unwrap_or_default();
        assert!(expected.contains(&format!("[{code}]")), "{what}: {name}");
    }
}

const CLASS: &str = include_str!("cases/tuesday-wind-down/class.yaml");
const ROSTER: &str = include_str!("cases/tuesday-wind-down/roster.yaml");
const PROPS: &str = include_str!("cases/tuesday-wind-down/props.yaml");

#[test]
fn a_byte_order_mark_is_read_over() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let text = "title: T\nminutes: 20\nsections:\n  - name: A\n    steps:\n      - {posture: mountain, breaths: 5}\n";
    fs::write(folder.path().join("c.yaml"), format!("\u{feff}{text}")).expect("it takes a file");
    let output = kindfold(&["check", "c.yaml"], folder.path());
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.is_empty(), "{said}");
}

/// What people do to a file by accident: `text` with a piece, from one share of its length on,
/// replaced.
fn spoilt(text: &str, at: f64, length: usize, put: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a share of a length of some thousands"
    )]
    let from = ((chars.len() as f64 * at) as usize).min(chars.len());
    let to = (from + length).min(chars.len());
    let (before, after) = (&chars[..from], &chars[to..]);
    before
        .iter()
        .chain(put.chars().collect::<Vec<_>>().iter())
        .chain(after)
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    /// Files spoilt anywhere are read or refused, never a panic, and every refusal can be printed.
    #[test]
    fn spoilt_files_are_refused_in_printable_words(
        at in 0.0..1.0f64,
        length in 0usize..40,
        put in prop_oneof![
            Just(String::new()),
            "[\\[\\]{}:,#&*!|>'\"%@`?\\- \t\n]{1,4}",
            "\\PC{1,12}",
            ".{1,6}",
            "[0-9+.e\\-]{1,8}",
            Just("\u{1b}[31m\u{202e}“x”".to_owned()),
        ],
    ) {
        static LIBRARY: OnceLock<Library> = OnceLock::new();
        let library = LIBRARY.get_or_init(|| Library::built_in().expect("it is proved elsewhere"));
        let source = |text: &str| Source::from_bytes("f.yaml", spoilt(text, at, length, &put).as_bytes());
        let one = |problem| vec![problem];
        let found = [
            source(CLASS).map_err(one).and_then(|s| input::class::read(s, library).map(drop)),
            source(ROSTER).map_err(one).and_then(|s| input::roster::read(s, library).map(drop)),
            source(PROPS).map_err(one).and_then(|s| input::props::read(s).map(drop)),
        ];
        for problem in found.into_iter().filter_map(Result::err).flatten() {
            let text = problem.to_string();
            prop_assert!(text.chars().all(|c| c == '\n' || !c.is_control()), "{:?}", text);
            prop_assert!(text.lines().all(|line| line.chars().count() <= 100), "{}", text);
            prop_assert!(text.ends_with(&format!("[{}]", problem.code)), "{}", text);
        }
    }
}
