//! Starting from nothing: files to begin from, completions, the manual page.

use std::path::Path;
use std::process::Output;

use rstest::rstest;

use crate::support::program::kindfold;

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn the_files_to_begin_from_pass_the_check_together() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    for file in ["class", "roster", "props", "settings"] {
        let made = kindfold(&["new", file], folder.path());
        assert_eq!(made.status.code(), Some(0), "{}", said(&made));
        assert!(made.stdout.is_empty());
        let text = std::fs::read_to_string(folder.path().join(format!("{file}.yaml")));
        assert!(text.expect("it was written").starts_with("# "), "{file}");
    }
    let mut args = vec!["check", "class.yaml", "--roster", "roster.yaml"];
    args.extend(["--props", "props.yaml", "--settings", "settings.yaml"]);
    args.extend(["--date", "2026-12-03"]);
    let checked = kindfold(&args, folder.path());
    let printed = String::from_utf8_lossy(&checked.stdout);
    assert_eq!(checked.stderr, b"", "{}", said(&checked));
    assert!(printed.contains("every name is known"), "{printed}");
}

#[rstest]
#[case(&["new", "class"], "class.yaml")]
#[case(&["new", "roster", "-o", "mine.yaml"], "mine.yaml")]
fn a_file_that_is_there_is_never_overwritten(#[case] args: &[&str], #[case] name: &str) {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let path = folder.path().join(name);
    std::fs::write(&path, "mine\n").expect("the folder takes a file");
    let output = kindfold(args, folder.path());
    let message = said(&output);
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(output.stdout.is_empty());
    assert!(
        message.contains(name) && message.contains("-o"),
        "{message}"
    );
    assert_eq!(std::fs::read_to_string(&path).unwrap_or_default(), "mine\n");
}

#[cfg(unix)]
#[test]
fn a_new_file_is_readable_by_its_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder for the test");
    kindfold(&["new", "roster"], folder.path());
    let metadata = std::fs::metadata(folder.path().join("roster.yaml")).expect("it was written");
    assert_eq!(metadata.permissions().mode() & 0o777, 0o600);
}

#[rstest]
#[case("bash")]
#[case("zsh")]
#[case("fish")]
#[case("powershell")]
#[case("elvish")]
fn completions_know_every_command_and_option(#[case] shell: &str) {
    let output = kindfold(&["completions", shell], Path::new("."));
    let script = String::from_utf8_lossy(&output.stdout);
    for word in [
        "adapt",
        "why",
        "check",
        "schema",
        "new",
        "roster",
        "max-options",
    ] {
        assert!(script.contains(word), "{shell} lacks {word}");
    }
}

#[test]
fn the_manual_page_holds_every_command_of_the_help() {
    let help = kindfold(&["--help"], Path::new("."));
    let manual = kindfold(&["manual"], Path::new("."));
    let page = String::from_utf8_lossy(&manual.stdout);
    assert!(page.contains(".TH kindfold 1"), "{page}");
    let help = String::from_utf8_lossy(&help.stdout);
    let commands = help
        .lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        // It is about the help itself.
        .filter(|command| *command != "help");
    let mut seen = 0;
    for command in commands {
        seen += 1;
        let heading = format!(".SH {}", command.to_uppercase());
        assert!(page.contains(&heading), "{heading} is not in the manual");
    }
    assert!(seen >= 9, "{seen} commands were read from the help");
}
