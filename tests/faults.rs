//! What happens when the system fails: a closed pipe, a full or missing place, a kill at any moment, two
//! runs at once. Never a half-written file; the old one stays. `tests/outside/faults.sh` does the same
//! with a small file system that is full and 200 kills.
#![cfg(unix)]

use std::fs;
use std::io::Read;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::support::program::kindfold;

const OLD: &str = "the old file\n";

fn program(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kindfold"));
    command
        .args(args)
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

#[test]
fn a_reader_that_has_read_enough_is_no_fault() {
    let folder = scratch();
    let mut child = program(folder.path(), &["postures"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program was built for this test");
    drop(child.stdout.take());
    let mut said = String::new();
    if let Some(mut stderr) = child.stderr.take() {
        stderr
            .read_to_string(&mut said)
            .expect("messages are UTF-8");
    }
    let status = child.wait().expect("it ends");
    assert_eq!((status.code(), said.as_str()), (Some(0), ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_place_is_said_and_is_a_fault_of_the_system() {
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("Linux has one");
    let folder = scratch();
    let output = program(folder.path(), &["demo"])
        .stdout(full)
        .stderr(Stdio::piped())
        .output()
        .expect("the program was built for this test");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(3), "{said}");
    assert!(
        said.contains("standard output could not be written"),
        "{said}"
    );
    assert!(!said.contains("panicked"), "{said}");
}

#[test]
fn a_folder_that_is_gone_or_takes_no_file_is_said() {
    let folder = scratch();
    let refused = |out: &str| {
        let output = kindfold(&["demo", "-o", out], folder.path());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(3), "{said}");
        assert!(
            said.contains("could not be written") && !said.contains("panicked"),
            "{said}"
        );
        assert!(output.stdout.is_empty());
    };
    refused("gone/sheet.txt");
    let locked = folder.path().join("locked");
    fs::create_dir(&locked).expect("a folder for the test");
    fs::write(locked.join("sheet.txt"), OLD).expect("a file for the test");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).expect("it is ours");
    // Who may do everything may write here as well.
    if fs::write(locked.join("probe"), "").is_err() {
        refused("locked/sheet.txt");
        let kept = fs::read_to_string(locked.join("sheet.txt")).expect("it is there");
        assert_eq!(kept, OLD);
    }
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).expect("it is ours");
    #[cfg(target_os = "linux")]
    refused("/proc/sheet.txt");
}

#[test]
fn a_pipe_asked_for_as_output_is_written_to_and_never_replaced() {
    use std::os::unix::fs::FileTypeExt;
    let folder = scratch();
    let whole = kindfold(&["demo"], folder.path()).stdout;
    let pipe = folder.path().join("pipe");
    let made = Command::new("mkfifo").arg(&pipe).status();
    assert!(made.is_ok_and(|status| status.success()), "no pipe made");
    let child = program(folder.path(), &["demo", "-o", "pipe"]).spawn();
    let read = fs::read(&pipe).expect("a pipe can be read");
    let status = child.expect("the program was built for this test").wait();
    assert_eq!(status.expect("it ends").code(), Some(0));
    assert_eq!(read, whole);
    let there = fs::metadata(&pipe).expect("it is there").file_type();
    assert!(there.is_fifo(), "the pipe was replaced by a file");
}

#[test]
fn two_runs_at_once_leave_one_whole_file_for_its_owner_alone() {
    let folder = scratch();
    let whole = kindfold(&["demo"], folder.path()).stdout;
    let out = folder.path().join("sheet.txt");
    let start = || program(folder.path(), &["demo", "-o", "sheet.txt"]).spawn();
    let children: Vec<_> = (0..4).map(|_| start()).collect();
    for child in children {
        let status = child.expect("the program was built for this test").wait();
        assert_eq!(status.expect("it ends").code(), Some(0));
    }
    assert_eq!(fs::read(&out).expect("it was written"), whole);
    let mode = fs::metadata(&out)
        .expect("it is there")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
    let left = fs::read_dir(folder.path()).expect("it is there").count();
    assert_eq!(left, 1, "something stands beside the file");
}

#[test]
fn a_kill_at_any_moment_leaves_the_old_file_or_the_new_one() {
    let folder = scratch();
    let whole = kindfold(&["demo"], folder.path()).stdout;
    let out = folder.path().join("sheet.txt");
    for round in 0..12 {
        fs::write(&out, OLD).expect("a file for the test");
        let mut child = program(folder.path(), &["demo", "-o", "sheet.txt"])
            .spawn()
            .expect("the program was built for this test");
        std::thread::sleep(Duration::from_millis(20 * round));
        let _ = child.kill();
        child.wait().expect("it ends");
        let found = fs::read(&out).expect("it is there");
        assert!(
            found == OLD.as_bytes() || found == whole,
            "round {round}: {} bytes",
            found.len()
        );
    }
    // What a killed run left beside is no hindrance to the next one.
    let output = kindfold(&["demo", "-o", "sheet.txt"], folder.path());
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(fs::read(&out).expect("it was written"), whole);
}

/// The clock cannot be set from here, and a roster of a day to come is the same: without a date the weeks of
/// everybody on it would be counted from nowhere. `tests/outside/clock.sh` sets the clock itself.
#[test]
fn a_clock_before_the_rosters_day_plans_nothing_and_says_so() {
    let folder = scratch();
    let class = "title: Short\nminutes: 20\nsections:\n  - name: All\n    steps:\n      - {posture: cobra, breaths: 5}\n";
    let roster = "recorded: 2099-12-31\nstudents:\n  - {name: Zorblat, limitations: [{what: pregnancy, weeks: 17+4}]}\n";
    fs::write(folder.path().join("class.yaml"), class).expect("the folder takes a file");
    fs::write(folder.path().join("roster.yaml"), roster).expect("the folder takes a file");
    let args = [
        "adapt",
        "class.yaml",
        "--roster",
        "roster.yaml",
        "-o",
        "sheet.txt",
    ];
    let output = kindfold(&args, folder.path());
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("clock says") && said.contains("2099-12-31"),
        "{said}"
    );
    assert!(
        said.contains("--date") && !said.contains("Zorblat"),
        "{said}"
    );
    assert!(!folder.path().join("sheet.txt").exists());

    // With a date of the teacher's the weeks do not fit either: nothing is let in by them, and it is asked.
    let dated = kindfold(
        &[&args[..4], &["--date", "2026-11-26"]].concat(),
        folder.path(),
    );
    let sheet = String::from_utf8_lossy(&dated.stdout);
    assert_eq!(dated.status.code(), Some(0));
    assert!(sheet.contains("instead of cobra"), "{sheet}");
    assert!(sheet.contains("pregnancy: when is it due?"), "{sheet}");
}
