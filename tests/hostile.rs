//! Files that mean harm: codes that steer a screen, words that break a page or a table, paths and links
//! out of a library, sizes at their limits. Names stand for what is tested.

use std::fs;
use std::path::Path;

use kindfold::input::folder::read_folders;
use kindfold::input::table::Document;
use kindfold::input::text::{MOST_BYTES, Source};
use kindfold::intake::{MOST_COLUMNS, MOST_ROWS, Sheet};
use kindfold::problem::{Code, steers};

use crate::support::program::kindfold;

/// What a name must not bring onto a screen or a page. Written in YAML's escapes.
const EVIL: &str = r"\e[31m\e]0;owned\a\x9b2J\u202Eevil\u2066\0</script><i data-evil>&\e[0m";

fn evil_folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let write = |name: &str, text: String| {
        fs::write(folder.path().join(name), text).expect("the folder takes a file");
    };
    write(
        "class.yaml",
        format!(
            "title: \"# {EVIL}\"\nminutes: 20\ndate: 2026-11-04\nsections:\n  - name: \"| {EVIL} |\"\n    steps:\n      \
             - {{posture: mountain, breaths: 5, note: \"- {EVIL}\", cue: \"@{EVIL}\"}}\n      \
             - {{posture: low lunge, side: each, breaths: 5}}\n      \
             - {{own: \"={EVIL}\", like: triangle, breaths: 5, or: [\"+{EVIL}\"]}}\n"
        ),
    );
    write(
        "roster.yaml",
        format!(
            "recorded: 2026-11-02\nstudents:\n  - name: \"=1+1 {EVIL}\"\n    limitations:\n      \
             - {{what: knee, side: left, note: \"-{EVIL}\"}}\n      - \"@words {EVIL}\"\n    guidance:\n      \
             - {{from: \"+{EVIL}\", says: \"={EVIL}\"}}\n    declines: [\"={EVIL}\"]\n    note: \"# {EVIL}\"\n"
        ),
    );
    write(
        "settings.yaml",
        format!(
            "teacher: \"={EVIL}\"\ncontact: \"{EVIL}\"\nemergency: \"{EVIL}\"\nsay_once: [\"* {EVIL}\"]\n"
        ),
    );
    write(
        "outline.md",
        format!("# Title\n20 minutes\n- tree, 5 breaths - {}\n", plain()),
    );
    write(
        "signup.csv",
        format!("Name,Injuries,Notes\n=Ada{0},knee {0},\"{0}\"\n", plain()),
    );
    folder
}

/// [`EVIL`] as raw characters.
fn plain() -> String {
    "\u{1b}[31m\u{7}\u{9b}2J\u{202e}evil\u{2066}</script><i data-evil>".to_owned()
}

/// What a run wrote anywhere; only line ends steer.
fn runs(folder: &Path, args: &[&str]) -> String {
    let output = kindfold(args, folder);
    let said = String::from_utf8(output.stderr).expect("messages are UTF-8");
    let text = String::from_utf8(output.stdout).expect("results are UTF-8");
    assert!(!said.contains("panicked"), "{args:?}: {said}");
    for written in [&said, &text] {
        let found = written
            .chars()
            .find(|&c| steers(c) && !matches!(c, '\n' | '\r'));
        assert_eq!(
            found, None,
            "{args:?} lets a steering character through: {written:?}"
        );
    }
    text
}

const PLAN: [&str; 4] = ["--roster", "roster.yaml", "--settings", "settings.yaml"];

#[test]
fn no_sheet_in_any_form_lets_a_name_steer_the_screen_or_break_the_page() {
    let folder = evil_folder();
    let forms: [(&str, &[&str]); 6] = [
        ("teacher", &["text", "markdown", "html", "csv", "json"]),
        ("room", &["text", "markdown", "html", "csv"]),
        ("cards", &["text", "markdown", "html"]),
        ("props", &["text", "markdown", "html", "csv"]),
        ("cautions", &["text", "markdown", "html", "csv"]),
        ("record", &["text", "markdown", "html", "csv"]),
    ];
    for (sheet, formats) in forms {
        for format in formats {
            let args = [
                &["adapt", "class.yaml", "--sheet", sheet, "--format", format],
                &PLAN[..],
            ];
            let text = runs(folder.path(), &args.concat());
            assert!(!text.is_empty(), "{sheet} {format}");
            match *format {
                "html" => assert!(!text.contains("<i data-evil"), "{sheet}"),
                "markdown" => {
                    let bare = text.replace("\\<i data-evil", "");
                    assert!(!bare.contains("<i data-evil"), "{sheet}: {text}");
                }
                "json" => {
                    let read: Result<serde_json::Value, _> = serde_json::from_str(&text);
                    assert!(read.is_ok(), "{sheet}");
                }
                "csv" => no_formula(sheet, &text),
                _ => {}
            }
        }
    }
}

fn no_formula(sheet: &str, text: &str) {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    for record in reader.records() {
        let record = record.expect("the table reads back");
        for cell in &record {
            assert!(!cell.starts_with(['=', '+', '-', '@']), "{sheet}: {cell:?}");
        }
    }
}

#[test]
fn no_other_command_lets_a_name_steer_the_screen() {
    let folder = evil_folder();
    let place = folder.path();
    runs(place, &[&["check", "class.yaml"], &PLAN[..]].concat());
    runs(
        place,
        &[&["check", "class.yaml", "-o", "checked.yaml"], &PLAN[..]].concat(),
    );
    let checked = fs::read_to_string(place.join("checked.yaml")).expect("it was written");
    assert!(
        !checked.chars().any(|c| steers(c) && c != '\n'),
        "{checked:?}"
    );
    let html = runs(place, &["check", "class.yaml", "--format", "html"]);
    assert!(!html.contains("<i data-evil"), "{html}");
    runs(
        place,
        &[&["why", "class.yaml", "--step", "2"], &PLAN[..]].concat(),
    );
    for form in ["text", "html", "markdown", "csv", "json"] {
        let ahead = [
            "ahead",
            "class.yaml",
            "--until",
            "2030-01-01",
            "--format",
            form,
        ];
        runs(place, &[&ahead, &PLAN[..]].concat());
    }
    runs(place, &["check", "outline.md"]);
    let roster = runs(place, &["intake", "signup.csv", "--recorded", "2026-11-02"]);
    assert!(roster.contains("evil"), "{roster}");
    let evil = plain();
    for args in [
        vec!["postures", &evil],
        vec!["posture", &evil],
        vec!["check", &evil],
        vec!["adapt", "class.yaml", "--roster", &evil],
        vec!["adapt", "class.yaml", "--date", &evil],
        vec![
            "ahead",
            "class.yaml",
            "--until",
            &evil,
            "--roster",
            "roster.yaml",
        ],
        vec![
            "adapt",
            "class.yaml",
            "--student",
            &evil,
            "--roster",
            "roster.yaml",
        ],
        vec!["intake", &evil],
        vec!["check", "--library", &evil],
    ] {
        runs(place, &args);
    }
    // A name that a file may have, but a screen may not show.
    runs(place, &["check", "class.yaml", "-o", "x\u{1b}[31m.yaml"]);
}

/// A folder with `data/` in it, `depth` folders below, and a file at the bottom.
fn library(depth: usize, files: usize) -> tempfile::TempDir {
    let root = tempfile::tempdir().expect("a folder for the test");
    let mut inside = root.path().join("data");
    for _ in 0..depth {
        inside = inside.join("x");
    }
    fs::create_dir_all(&inside).expect("a folder for the test");
    for file in 0..files {
        fs::write(inside.join(format!("{file}.yaml")), "a: 1\n").expect("a file for the test");
    }
    root
}

#[test]
fn a_library_is_read_to_its_depth_and_count_and_no_further() {
    let codes = |depth, files| -> Vec<Code> {
        let root = library(depth, files);
        let read = read_folders(root.path(), &["data"]);
        read.err()
            .unwrap_or_default()
            .iter()
            .map(|problem| problem.code)
            .collect()
    };
    assert_eq!(codes(3, 1), []);
    assert_eq!(codes(4, 1), [Code::TooDeep]);
    assert_eq!(codes(0, 2000), []);
    assert_eq!(codes(0, 2001), [Code::TooDeep]);
}

#[cfg(unix)]
#[test]
fn no_path_leads_out_of_a_library() {
    use std::os::unix::fs::symlink;
    let outside = tempfile::tempdir().expect("a folder for the test");
    fs::write(outside.path().join("secret.yaml"), "quomble: 1\n").expect("a file for the test");
    let link = |at: &str, to: &Path| {
        let root = tempfile::tempdir().expect("a folder for the test");
        let place = root.path().join(at);
        fs::create_dir_all(place.parent().unwrap_or(root.path())).expect("a folder for the test");
        symlink(to, &place).expect("a link for the test");
        let root_path = root.path().to_string_lossy().into_owned();
        let output = kindfold(&["check", "--library", &root_path], root.path());
        let said = String::from_utf8_lossy(&output.stderr).into_owned()
            + &String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(2), "{at}: {said}");
        assert!(
            said.contains("[linked-file]") && !said.contains("quomble"),
            "{at}: {said}"
        );
    };
    link("data", outside.path());
    link("rules", outside.path());
    link("data/postures", outside.path());
    link("data/links.yaml", &outside.path().join("secret.yaml"));
    link("rules/limitations/knee.yaml", Path::new("/etc/passwd"));
    link("data/a.yaml", Path::new("../../../../etc/passwd"));
}

#[test]
fn files_are_read_up_to_their_size_and_no_further() {
    let text = |length: usize| {
        let head = b"a: 1\n#";
        [&head[..], &vec![b'x'; length - head.len()]].concat()
    };
    let code = |length| {
        Source::from_bytes("f.yaml", &text(length))
            .err()
            .map(|p| p.code)
    };
    assert_eq!(code(MOST_BYTES), None);
    assert_eq!(code(MOST_BYTES + 1), Some(Code::FileTooLarge));
}

#[test]
fn values_are_read_to_their_depth_and_no_further() {
    let code = |depth: usize| {
        let text = format!("a: {}{}\n", "[".repeat(depth), "]".repeat(depth));
        let source = Source::from_bytes("f.yaml", text.as_bytes()).expect("it is a text");
        let read = Document::read(source);
        read.err()
            .and_then(|problems| problems.first().map(|problem| problem.code))
    };
    // The table itself is one level.
    assert_eq!(code(kindfold::input::places::MOST_DEPTH - 1), None);
    assert_eq!(
        code(kindfold::input::places::MOST_DEPTH),
        Some(Code::TooDeep)
    );
    assert_eq!(code(100_000), Some(Code::TooDeep));
}

#[test]
fn sheets_are_read_up_to_their_rows_and_columns_and_no_further() {
    let code = |rows: usize, columns: usize| {
        let row = vec!["x"; columns].join(",") + "\n";
        let read = Sheet::read("s.csv", row.repeat(rows).as_bytes(), None);
        read.err().map(|problem| problem.code)
    };
    assert_eq!(code(MOST_ROWS, 2), None);
    assert_eq!(code(MOST_ROWS + 1, 2), Some(Code::FileTooLarge));
    assert_eq!(code(2, MOST_COLUMNS), None);
    assert_eq!(code(2, MOST_COLUMNS + 1), Some(Code::FileTooLarge));
}
