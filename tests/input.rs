//! Wrong inputs: each is refused with its code, exit 2, nothing printed, nothing written.

use std::path::Path;
use std::process::{Command, Output};

use rstest::rstest;

const CLASS: &str = "title: T\nminutes: 20\nsections:\n  - name: A\n    steps:\n      - {posture: mountain, breaths: 5}\n";

fn adapt(class: &str, roster: Option<&str>, props: Option<&str>) -> (Output, bool) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let write = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).expect("the folder takes a file");
    };
    write("class.yaml", class);
    let mut args = vec!["adapt", "class.yaml", "-o", "sheet.txt"];
    if let Some(text) = roster {
        write("roster.yaml", text);
        args.extend(["--roster", "roster.yaml"]);
    }
    if let Some(text) = props {
        write("props.yaml", text);
        args.extend(["--props", "props.yaml"]);
    }
    let output = run(&args, folder.path());
    let written = folder.path().join("sheet.txt").exists();
    (output, written)
}

fn run(args: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kindfold"))
        .args(args)
        .current_dir(folder)
        .output()
        .expect("the program was built for this test")
}

fn refused((output, written): (Output, bool), code: &str) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains(&format!("[{code}]")), "{code}: {said}");
    assert!(
        output.stdout.is_empty() && !written,
        "something was written"
    );
    assert!(!said.contains("panicked"), "{said}");
}

#[rstest]
#[case("", "file-empty")]
#[case(
    "title: T\nminutes: 20\nsections: [{name: A, steps: [{posture: mount",
    "not-closed"
)]
#[case("title: T\n\tminutes: 20\n", "tab")]
#[case("title: T\ntitle: U\nminutes: 20\nsections: []\n", "repeated-key")]
#[case("title: &a T\nminutes: 20\nnote: *a\n", "fancy-yaml")]
#[case("recorded: 2026-11-02\nstudents: []\n", "wrong-file")]
fn a_broken_class_is_refused(#[case] class: &str, #[case] code: &str) {
    refused(adapt(class, None, None), code);
}

#[rstest]
#[case("minutes: 20", "minutes: 0", "out-of-range")]
#[case("minutes: 20", "minutes: soon", "wrong-type")]
#[case("minutes: 20", "minuts: 20", "unknown-key")]
#[case("minutes: 20", "minutes: 20\nbreath_seconds: 2", "out-of-range")]
#[case("minutes: 20", "minutes: 20\ndate: 02/11/2026", "bad-date")]
#[case("minutes: 20", "minutes: 20\ndate: 2026-02-30", "bad-date")]
#[case("posture: mountain", "posture: mountian", "unknown-posture")]
#[case("breaths: 5", "breaths: 5, seconds: 9", "bad-hold")]
#[case("breaths: 5", "breaths: 5, side: left", "no-sides")]
fn a_wrong_word_in_a_class_is_refused(#[case] from: &str, #[case] to: &str, #[case] code: &str) {
    refused(adapt(&CLASS.replace(from, to), None, None), code);
}

#[rstest]
#[case("{what: nee}", "unknown-limitation")]
#[case("{what: knee, severity: sevre}", "unknown-severity")]
#[case("{what: pregnancy, weeks: 55}", "bad-weeks")]
#[case("{what: pregnancy, due: 2028-01-01}", "impossible-date")]
#[case("{what: pregnancy, due: 2026-02-30}", "bad-date")]
fn a_wrong_word_in_a_roster_is_refused(#[case] entry: &str, #[case] code: &str) {
    let roster = format!(
        "recorded: 2026-11-02\nstudents:\n  - name: Zorblat\n    note: quomble\n    limitations: [{entry}]\n"
    );
    let result = adapt(CLASS, Some(&roster), None);
    let said = String::from_utf8_lossy(&result.0.stderr).into_owned();
    assert!(
        !said.contains("Zorblat") && !said.contains("quomble"),
        "{said}"
    );
    refused(result, code);
}

#[rstest]
#[case("block: -1\n", "out-of-range")]
#[case("block: 2.5\n", "wrong-type")]
#[case("blok: 2\n", "unknown-prop")]
fn a_wrong_cupboard_is_refused(#[case] props: &str, #[case] code: &str) {
    refused(adapt(CLASS, None, Some(props)), code);
}

#[test]
fn a_note_without_leave_is_refused_and_not_shown() {
    let roster = "students:\n  - name: N\n    asked: declined\n    keep_notes: false\n    limitations: [quomble knee]\n";
    let result = adapt(CLASS, Some(roster), None);
    assert!(!String::from_utf8_lossy(&result.0.stderr).contains("quomble"));
    refused(result, "note-without-leave");
}

#[test]
fn a_missing_file_and_a_folder_are_refused() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    refused(
        (run(&["adapt", "none.yaml"], folder.path()), false),
        "file-missing",
    );
    refused(
        (run(&["adapt", "."], folder.path()), false),
        "file-is-folder",
    );
}

#[test]
fn too_large_a_file_and_other_bytes_are_refused() {
    refused(
        adapt(&"# x\n".repeat(3_000_000), None, None),
        "file-too-large",
    );
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join("c.yaml"), [0xff, 0xfe, 0x41])
        .expect("the folder takes a file");
    refused(
        (run(&["adapt", "c.yaml"], folder.path()), false),
        "not-utf8",
    );
}

#[test]
fn a_byte_order_mark_is_read_over() {
    let (output, written) = adapt(&format!("\u{feff}{CLASS}"), None, None);
    assert!(
        output.status.success() && written,
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}
