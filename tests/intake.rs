//! `kindfold intake`: sign-up sheets become rosters that the real reader takes.

use std::path::{Path, PathBuf};
use std::process::Output;

use kindfold::input::{roster, text::Source};
use kindfold::library::Library;
use kindfold::roster::{Asked, Roster, Told};
use proptest::prelude::*;
use rstest::rstest;

use crate::support::program::kindfold;
use crate::support::spreadsheets::{ods, xlsx};

fn sheet(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/sign_up")
        .join(name)
}

fn run(folder: &Path, args: &[&str]) -> Output {
    kindfold(&[&["intake"], args].concat(), folder)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The roster of a sheet: its text, and as the real reader has it.
fn intake(folder: &Path, args: &[&str]) -> (String, Roster) {
    let output = run(folder, args);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let written = text(&output.stdout);
    let library = Library::built_in().expect("the built-in library is whole");
    let source = Source::from_bytes("roster.yaml", written.as_bytes()).expect("it is a text");
    let read = roster::read(source, &library).expect("the roster reads back");
    (written, read)
}

/// A sheet in a folder of its own.
fn folder_with(name: &str, bytes: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join(name), bytes).expect("the folder takes a file");
    folder
}

fn rows(name: &str, sign: u8) -> Vec<Vec<String>> {
    let bytes = std::fs::read(sheet(name)).expect("the sheet is there");
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
    csv::ReaderBuilder::new()
        .has_headers(false)
        .delimiter(sign)
        .from_reader(bytes)
        .records()
        .map(|record| {
            record
                .expect("it is a table")
                .iter()
                .map(str::to_owned)
                .collect()
        })
        .collect()
}

#[rstest]
#[case("library-chairs", 10)]
#[case("tuesday-evening", 15)]
#[case("sunday-rest", 24)]
fn a_typed_roster_becomes_a_roster_that_reads_back(#[case] name: &str, #[case] people: usize) {
    let path = sheet(&format!("{name}.csv"));
    let path = path.to_str().expect("the path is text");
    let (written, read) = intake(Path::new("."), &[path, "--recorded", "2026-05-05"]);
    assert_eq!(read.students.len(), people);
    insta::with_settings!({snapshot_path => "snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!(format!("intake-{name}"), written);
    });
}

#[test]
fn the_same_sheet_as_csv_xlsx_and_ods_gives_the_same_roster() {
    let table = rows("library-chairs.csv", b',');
    let path = sheet("library-chairs.csv");
    let path = path.to_str().expect("the path is text");
    let (csv, _) = intake(Path::new("."), &[path, "--recorded", "2026-05-05"]);
    for (name, bytes) in [("s.xlsx", xlsx(&table)), ("s.ods", ods(&table))] {
        let folder = folder_with(name, &bytes);
        let (other, _) = intake(folder.path(), &[name, "--recorded", "2026-05-05"]);
        assert_eq!(other.replace(name, "library-chairs.csv"), csv);
    }
}

#[test]
fn blank_not_asked_declined_and_nothing_stay_four_answers() {
    let folder = folder_with(
        "s.csv",
        b"Name,Any injuries?\nAda,\nBo,not asked\nCy,rather not say\nDi,none\nEd,nothing really\n",
    );
    let (written, read) = intake(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
    let state: Vec<Asked> = read.students.iter().map(|student| student.asked).collect();
    assert_eq!(
        state,
        [
            Asked::Blank,
            Asked::No,
            Asked::Declined,
            Asked::Yes,
            Asked::Yes
        ]
    );
    assert!(written.contains("limitations: []   # asked, and nothing to tell"));
    assert!(written.contains("- nothing really"), "{written}");
    assert!(written.contains("left blank on the sheet: unknown"));
    assert!(written.contains("the sheet says: not asked"));
}

#[test]
fn no_cell_becomes_a_formula_or_a_key_or_a_screen_code() {
    let evil = "Name,Injuries,Notes\n=cmd|'/c calc'!A1,\"+49: {a: b} # \u{1b}[31m\",@SUM(1)\n-Bo,\"limitations: [knee]\nstudents: []\",\"a\u{202e}b\"\n";
    let folder = folder_with("s.csv", evil.as_bytes());
    let (written, read) = intake(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
    let names: Vec<&str> = read.students.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["=cmd|'/c calc'!A1", "-Bo"]);
    assert!(written.contains("name: \"=cmd|'/c calc'!A1\""), "{written}");
    assert!(written.contains("note: \"@SUM(1)\""), "{written}");
    assert!(!written.contains(['\u{1b}', '\u{202e}']), "{written}");
    for student in &read.students {
        assert!(!student.limitations.is_empty());
    }
}

#[test]
fn a_date_that_can_be_read_two_ways_is_asked_and_the_teacher_can_say_it_once() {
    let folder = folder_with(
        "s.csv",
        b"Name,Injuries,Date of operation\nAda,hip replacement,03/04/2026\nBo,hip replacement,25/04/2026\n",
    );
    let (written, _) = intake(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
    assert!(written.contains("which number is the day and which the month in “03/04/2026”?"));
    assert!(
        !written.contains("2026-03-04") && !written.contains("2026-04-03"),
        "{written}"
    );
    assert!(written.contains("on: 2026-04-25"), "{written}");
    let args = ["s.csv", "--recorded", "2026-05-05", "--dates", "day-first"];
    assert!(intake(folder.path(), &args).0.contains("on: 2026-04-03"));
}

#[test]
fn due_dates_weeks_and_a_day_of_their_own_are_kept() {
    let folder = folder_with(
        "s.csv",
        b"Form date;Vorname;Beschwerden;Entbindungstermin;SSW\n3 April 2026;Ada;schwanger;;12+3\n4 April 2026;Bea;;1 October 2026;\n",
    );
    let (written, read) = intake(folder.path(), &["s.csv"]);
    assert!(
        written.contains("{what: pregnancy, weeks: \"12+3\", note: schwanger}"),
        "{written}"
    );
    assert!(
        written.contains("{what: pregnancy, due: 2026-10-01}"),
        "{written}"
    );
    assert_eq!(read.recorded, Some(jiff::civil::date(2026, 4, 4)));
    assert_eq!(
        read.students.first().and_then(|s| s.recorded),
        Some(jiff::civil::date(2026, 4, 3))
    );
}

#[test]
fn nothing_of_health_is_kept_without_leave() {
    let folder = folder_with(
        "s.csv",
        b"Name,May we keep health notes?,Injuries,Other\nAda,no,quomble knee,zorblat\nBo,yes,knee,\n",
    );
    let output = run(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
    let (out, said) = (text(&output.stdout), text(&output.stderr));
    for word in ["quomble", "zorblat"] {
        assert!(!out.contains(word) && !said.contains(word), "{out}{said}");
    }
    assert!(
        out.contains("keep_notes: no") && said.contains("1 person gave no leave"),
        "{said}"
    );
}

#[test]
fn the_report_tells_lines_and_no_names_or_words() {
    let folder = folder_with("s.csv", b"Name,Injuries\nZorblat,quomble hip\n");
    let output = run(folder.path(), &["s.csv"]);
    let said = text(&output.stderr);
    assert!(
        said.contains("line ") && said.contains("“Injuries”: what they told"),
        "{said}"
    );
    assert!(
        !said.contains("Zorblat") && !said.contains("quomble"),
        "{said}"
    );
}

#[test]
fn a_roster_that_is_there_is_not_written_over() {
    let folder = folder_with("s.csv", b"Name,Injuries\nAda,knee\n");
    let path = folder.path();
    std::fs::write(path.join("roster.yaml"), "mine").expect("the folder takes a file");
    let output = run(path, &["s.csv", "-o", "roster.yaml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("[file-exists]"));
    assert!(output.stdout.is_empty());
    let kept = std::fs::read_to_string(path.join("roster.yaml")).expect("it is there");
    assert_eq!(kept, "mine");
}

#[cfg(unix)]
#[test]
fn a_written_roster_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder_with("s.csv", b"Name,Injuries\nAda,knee\n");
    let output = run(folder.path(), &["s.csv", "-o", "roster.yaml"]);
    assert_eq!(output.status.code(), Some(0));
    let written = std::fs::metadata(folder.path().join("roster.yaml")).expect("it was written");
    assert_eq!(written.permissions().mode() & 0o777, 0o600);
}

const MINE: &str = "\
# my Tuesday people
recorded: 2026-05-05
students:
  - name: Ada          # from the library
    limitations:
      - {what: knee, side: left, note: since skiing}   # ask her about stairs
    aims: [balance]
    touch: yes
  - {name: Bo, asked: no}   # new
  - name: Cy
    limitations: [bad sleep]
    note: sits by the door
  - name: Di
    confidential: true
    recorded: 2026-04-03
    limitations:
      - {what: pregnancy, weeks: 12}
";

#[test]
fn a_newer_sheet_is_merged_and_what_the_teacher_wrote_stays() {
    let folder = folder_with(
        "new.csv",
        b"Name,Injuries,Side,Weeks,Touch,Due\nAda,knee,left,,no,\nAda May,wrist,right,,ask,\nBo,none,,,,\nCy,,,,,\nDi,pregnant,,20,,\n",
    );
    let path = folder.path();
    std::fs::write(path.join("roster.yaml"), MINE).expect("the folder takes a file");
    let args = [
        "new.csv",
        "--merge",
        "roster.yaml",
        "--recorded",
        "2026-06-01",
    ];
    let (written, read) = intake(path, &args);
    insta::with_settings!({snapshot_path => "snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("intake-merged", written);
    });
    for kept in [
        "# my Tuesday people",
        "# from the library",
        "{what: knee, side: left, note: since skiing}   # ask her about stairs",
        "aims: [balance]",
        "limitations: [bad sleep]",
        "note: sits by the door",
        "confidential: true",
        "{what: pregnancy, weeks: 12}",
    ] {
        assert!(written.contains(kept), "{kept}\n{written}");
    }
    let names: Vec<&str> = read.students.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["Ada", "Bo", "Cy", "Di", "Ada May"]);
    let asked: Vec<Asked> = read.students.iter().map(|s| s.asked).collect();
    assert_eq!(asked, [Asked::Yes; 5]);
}

/// What the lexicon reads in a cell stands in the roster: sides, times, how bad, "no", history.
#[rstest]
#[case("left knee 6/10", "{what: knee, side: left, severity: moderate,")]
#[case("no knee trouble but my right hip", "{what: hip, side: right,")]
#[case(
    "new hip on the left, from behind, 2 March 2026",
    "{what: hip-replacement, approach: posterior, side: left, on: 2026-03-02,"
)]
#[case("had a baby by section 7 weeks ago", "{what: caesarean, weeks: \"7\"")]
#[case("7 weeks after a section", "{what: caesarean, weeks: \"7\"")]
#[case("emergency section 10 weeks ago", "{what: caesarean, weeks: \"10\"")]
#[case("gave birth 8 weeks ago", "{what: after-birth, weeks: \"8\"")]
#[case(
    "percussion section, 10 weeks ago",
    "- \"percussion section, 10 weeks ago\""
)]
#[case(
    "broke my wrist in 2009, fine now",
    "- \"broke my wrist in 2009, fine now\""
)]
#[case(
    "arthritis in my left knee",
    "{what: arthritis, site: knee, side: left,"
)]
#[case(
    "expecting twins, 20 weeks",
    "{what: pregnancy, kind: [twins], weeks: \"20\","
)]
fn words_in_a_cell_are_read_by_the_lexicon(#[case] words: &str, #[case] entry: &str) {
    let sheet = format!("Name,Injuries\nAda,\"{words}\"\n");
    let folder = folder_with("s.csv", sheet.as_bytes());
    let (written, _) = intake(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
    assert!(written.contains(entry), "{written}");
}

/// Found by fuzzing: a side whose operation is still to come.
#[test]
fn of_two_sides_one_may_not_have_happened_yet() {
    let folder = folder_with(
        "s.csv",
        b"Name,Injuries,Side\nAda,two new knees,\"right Sept 2025, left Feb 2027\"\n",
    );
    let (written, _) = intake(folder.path(), &["s.csv", "--recorded", "2026-11-02"]);
    assert!(
        !written.contains("on: 2027") && written.contains("left Feb 2027"),
        "{written}"
    );
}

/// The roster made from a sheet holds the same people, in the same state, as their words typed into a
/// roster.
#[test]
fn a_cell_and_a_roster_read_the_same_words_alike() {
    for words in [
        "right shoulder op 7 weeks ago, physio says no load",
        "no knee problems",
        "please don't touch me",
        "miscarriage in March",
        "left knee, quomble on stairs",
        "kein Knie, aber Schulter links",
        "old knee injury, right",
    ] {
        let sheet = format!("Name,Injuries\nAda,\"{words}\"\n");
        let folder = folder_with("s.csv", sheet.as_bytes());
        let (written, made) = intake(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
        let typed = format!(
            "recorded: 2026-05-05\nstudents:\n  - name: Ada\n    limitations: [\"{words}\"]\n"
        );
        let library = Library::built_in().expect("the built-in library is whole");
        let source = Source::from_bytes("roster.yaml", typed.as_bytes()).expect("it is a text");
        let typed = roster::read(source, &library).expect("the roster reads");
        let facts = |roster: &Roster| -> Vec<String> {
            let told = roster
                .students
                .iter()
                .flat_map(|student| &student.limitations);
            told.filter_map(|told| match told {
                Told::Limitation(told) => Some(format!(
                    "{} {:?} {:?} {:?} {:?} {:?} {:?}",
                    told.what, told.side, told.severity, told.on, told.weeks, told.site, told.kind
                )),
                Told::Words { .. } => None,
            })
            .collect()
        };
        assert_eq!(facts(&made), facts(&typed), "{words}\n{written}");
        let limits = |roster: &Roster| -> Vec<_> {
            let said = roster.students.iter().flat_map(|student| &student.guidance);
            said.map(|said| (said.from.clone(), said.limits.clone()))
                .collect()
        };
        assert_eq!(limits(&made), limits(&typed), "{words}\n{written}");
        let touch = |roster: &Roster| roster.students.first().map(|student| student.touch);
        assert_eq!(touch(&made), touch(&typed), "{words}\n{written}");
        assert!(written.contains(words), "{words}\n{written}");
    }
}

#[test]
fn what_the_words_and_the_columns_say_differently_is_asked() {
    let folder = folder_with(
        "s.csv",
        b"Name,Injuries,Side,Date of operation\nAda,left knee,right,\nBo,hip replacement left 2 March 2026,left,2 April 2026\nCy,hip replacement left March 2026,left,2 March 2026\n",
    );
    let (written, _) = intake(folder.path(), &["s.csv", "--recorded", "2026-05-05"]);
    assert!(
        written.contains("the words say one side, and the column “right”"),
        "{written}"
    );
    assert!(
        written.contains("{what: knee, note: \"left knee (side: right)\"}"),
        "{written}"
    );
    assert!(
        written.contains("the words say one time, and the column “2 April 2026”"),
        "{written}"
    );
    assert!(
        written.contains("on: 2026-03-02") && !written.contains("on: 2026-04"),
        "{written}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever people write of themselves, the roster reads back: every word, number and date that
    /// the lexicon can turn into a fact is one that the roster's reader takes.
    #[test]
    fn any_answer_becomes_a_roster_that_reads_back(
        words in prop::collection::vec(prop::sample::select(WORDS), 1..9),
        side in prop::sample::select(vec!["", "left", "both", "?"]),
        when in prop::sample::select(vec!["", "2019", "2 March 2027", "60 weeks", "03/04/2026"]),
        due in prop::sample::select(vec!["", "2026-10-01", "2019", "May"]),
    ) {
        let words = words.join(" ");
        let text = format!("Name,Injuries,Side,Since when,Due date\nAda,\"{words}\",{side},{when},{due}\n");
        let asked = kindfold::intake::Asked {
            recorded: Some(jiff::civil::date(2026, 5, 5)),
            today: jiff::civil::date(2026, 5, 5),
            columns: &[],
            order: kindfold::intake::DayOrder::Unknown,
            tab: None,
        };
        let made = kindfold::intake::intake("s.csv", text.as_bytes(), None, &LIBRARY, &asked);
        prop_assert!(made.is_ok(), "{text}: {made:?}");
    }
}

static LIBRARY: std::sync::LazyLock<Library> =
    std::sync::LazyLock::new(|| Library::built_in().expect("the built-in library is whole"));

/// Words that mean something to the lexicon, and some that mean nothing.
const WORDS: &[&str] = &[
    "knee",
    "left",
    "both",
    "hip",
    "replacement",
    "op",
    "in",
    "2031",
    "2024",
    "March",
    "99",
    "weeks",
    "ago",
    "pregnant",
    "due",
    "43",
    "12+3",
    "baby",
    "section",
    "no",
    "fine now",
    "physio",
    "says",
    "no load",
    "6/10",
    "arthritis",
    "neck",
    "T-score",
    "-2.8",
    ",",
    ".",
    "05/06/2026",
    "twins",
    "touch",
    "miscarriage",
    "heart",
    "zorblat",
    "3",
    "months",
    "9000",
    "expecting",
    "don't",
    "stoma",
];

#[rstest]
#[case("library-chairs")]
#[case("tuesday-evening")]
#[case("sunday-rest")]
fn merging_the_same_sheet_again_changes_nothing(#[case] name: &str) {
    let path = sheet(&format!("{name}.csv"));
    let path = path.to_str().expect("the path is text");
    let folder = tempfile::tempdir().expect("a temporary folder");
    let day = ["--recorded", "2026-05-05"];
    let (first, _) = intake(folder.path(), &[&[path], &day[..]].concat());
    std::fs::write(folder.path().join("roster.yaml"), &first).expect("the folder takes a file");
    let args = [&[path, "--merge", "roster.yaml"], &day[..]].concat();
    assert_eq!(intake(folder.path(), &args).0, first);
}

fn refused(name: &str, bytes: &[u8], code: &str) {
    let folder = folder_with(name, bytes);
    let output = run(folder.path(), &[name, "-o", "roster.yaml"]);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains(&format!("[{code}]")), "{code}: {said}");
    assert!(output.stdout.is_empty() && !folder.path().join("roster.yaml").exists());
    assert!(
        !said.contains("quomble") && !said.contains("panicked"),
        "{said}"
    );
}

#[rstest]
#[case("s.csv", b"", "file-empty")]
#[case("s.csv", b" \n,,\n", "file-empty")]
#[case("s.csv", b"Name,Injuries\n", "file-empty")]
#[case(
    "s.csv",
    b"quomble has a sore knee and more besides\nand quomble again, with more to tell of it\n",
    "no-names"
)]
#[case("s.csv", b"\x00\x01\x02\x03quomble", "not-a-sheet")]
#[case("s.pdf", b"%PDF-1.7 quomble", "not-a-sheet")]
#[case("s.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 quomble", "not-a-sheet")]
#[case("s.xlsx", b"PK\x03\x04 quomble cut off", "not-a-sheet")]
#[case(
    "s.xlsx",
    b"\xd0\xcf\x11\xe0 E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e\0",
    "sheet-locked"
)]
fn a_file_that_is_no_sheet_is_refused(
    #[case] name: &str,
    #[case] bytes: &[u8],
    #[case] code: &str,
) {
    refused(name, bytes, code);
}

#[test]
fn a_spreadsheet_that_says_it_unpacks_to_far_too_much_is_refused() {
    let mut bytes = xlsx(&[vec!["Name".to_owned()], vec!["Ada".to_owned()]]);
    // The unpacked size in the first entry of the central directory.
    let at = bytes
        .windows(4)
        .position(|four| four == b"PK\x01\x02")
        .expect("it has one");
    bytes[at + 24..at + 28].copy_from_slice(&0x7fff_ffff_u32.to_le_bytes());
    refused("s.xlsx", &bytes, "file-too-large");
}

#[test]
fn a_cell_far_out_makes_no_large_table() {
    let mut far = vec![String::new(); 300];
    far.push("quomble".to_owned());
    let table = [vec!["Name".to_owned()], vec!["Ada".to_owned()], far];
    refused("s.xlsx", &xlsx(&table), "file-too-large");
    refused("s.ods", &ods(&table), "file-too-large");
}
