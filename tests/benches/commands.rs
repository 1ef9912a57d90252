//! How long whole commands take, from start to printed sheet, and how much memory at the most.
//!
//! `cargo bench --bench commands`. Times include starting the program and loading the library.
//! The memory is what the system counted as the peak of resident pages (Linux only).

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// A command by name, with the case whose files it is given.
const COMMANDS: [(&str, Option<&str>); 3] = [
    ("demo", None),
    ("class A, roster 2", Some("tuesday-wind-down")),
    ("class B, roster 1", Some("ten-past-one")),
];

fn main() {
    divan::main();
    for (name, _) in COMMANDS {
        if let Some(peak_kb) = peak_kb(name) {
            println!("{name}: at most {} MB", peak_kb / 1024);
        }
    }
}

#[divan::bench(args = COMMANDS.map(|(name, _)| name), sample_count = 20)]
fn whole(bencher: divan::Bencher, name: &str) {
    bencher.bench(|| {
        let status = command(name).status().expect("the program was built");
        assert!(status.success());
    });
}

/// All sheets of class A with roster 2 as paper, written by one command: under a second is asked.
#[divan::bench(sample_count = 20)]
fn every_sheet_as_html(bencher: divan::Bencher) {
    let folder = tempfile::tempdir().expect("a folder for the sheets");
    bencher.bench(|| {
        let mut command = command("class A, roster 2");
        let command = command.args(["--format", "html", "--all-sheets", "-o"]);
        let status = command.arg(folder.path()).status();
        assert!(status.expect("the program was built").success());
    });
}

fn command(name: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kindfold"));
    command.stdout(Stdio::null()).stderr(Stdio::null());
    match COMMANDS.iter().find(|(known, _)| *known == name) {
        Some((_, Some(case))) => {
            let case = case_folder(case);
            command.arg("adapt").arg(case.join("class.yaml"));
            command.arg("--roster").arg(case.join("roster.yaml"));
            command.arg("--props").arg(case.join("props.yaml"));
        }
        _ => {
            command.arg("demo");
        }
    }
    command
}

fn case_folder(case: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/cases")
        .join(case)
}

/// The peak that was last seen while the command ran, read every two milliseconds.
fn peak_kb(name: &str) -> Option<u64> {
    let mut child = command(name).spawn().ok()?;
    let status = format!("/proc/{}/status", child.id());
    let mut peak = None;
    while let Ok(None) = child.try_wait() {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let seen = line.and_then(|line| line.split_whitespace().next()?.parse().ok());
        peak = seen.or(peak);
        std::thread::sleep(Duration::from_millis(2));
    }
    peak
}
