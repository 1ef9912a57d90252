//! Sign-up sheets: what stands among words and notes and has a key of its own in a roster (contract 4.2), the column
//! of sides, and numbers for pain beside words.

use kindfold::input::{self, text::Source};
use kindfold::roster::{Asked, Limitation, Student, Told, ToldSide};
use kindfold::words::{BodySide, Prop, Severity};
use rstest::rstest;

use crate::support::library::library;
use crate::support::program::kindfold;

/// The roster of a sheet: its text, and the first person as the real reader has them.
fn signed_up(sheet: &str) -> (String, Student) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join("s.csv"), sheet).expect("it takes a file");
    let args = ["intake", "s.csv", "--recorded", "2026-05-05"];
    let output = kindfold(&args, folder.path());
    let written = String::from_utf8(output.stdout).expect("it is text");
    let source = Source::from_bytes("roster.yaml", written.as_bytes()).expect("it is text");
    let read = input::roster::read(source, library()).expect("it reads back");
    let mut students = read.students.into_iter();
    (written, students.next().expect("somebody is there"))
}

fn limitations(student: &Student) -> Vec<&Limitation> {
    let told = student.limitations.iter();
    told.filter_map(|told| match told {
        Told::Limitation(told) => Some(told),
        Told::Words { .. } => None,
    })
    .collect()
}

/// What was told to the teacher alone stays with the teacher, and a doubtful word for it is asked about.
#[rstest]
#[case("has told only the teacher", true, false)]
#[case("please keep this private", true, false)]
#[case("bitte vertraulich", true, false)]
#[case("que quede entre nosotras", true, false)]
#[case("not confidential", false, true)]
#[case("private lessons on Fridays", false, false)]
fn what_was_told_to_the_teacher_alone_is_confidential(
    #[case] note: &str,
    #[case] confidential: bool,
    #[case] asked: bool,
) {
    let sheet = format!("Name,What they said,Other\nAoife,expecting! 12 weeks,{note}\n");
    let (written, student) = signed_up(&sheet);
    assert_eq!(student.confidential, confidential, "{written}");
    let question = "is what they told for the teacher alone?";
    assert_eq!(written.contains(question), asked, "{written}");
}

/// Said among their own words it counts as well.
#[test]
fn confidence_is_heard_among_their_own_words() {
    let (written, student) =
        signed_up("Name,Injuries\nAoife,\"12 weeks pregnant, please keep this private\"\n");
    assert!(student.confidential, "{written}");
    assert_eq!(limitations(&student)[0].what.as_str(), "pregnancy");
}

/// Without leave nothing of health is kept, wherever on the row that was said.
#[rstest]
#[case("left knee,agrees to contact details only; no health notes", false)]
#[case("\"left knee, please don't keep notes\",", false)]
#[case("left knee,bitte keine Notizen", false)]
#[case("left knee,no notes", true)]
#[case("left knee,please don't record me on video", true)]
fn no_health_notes_are_kept_without_leave(#[case] cells: &str, #[case] kept: bool) {
    let (written, student) = signed_up(&format!("Name,Injuries,Other\nNasrin,{cells}\n"));
    assert_eq!(student.keep_notes, kept, "{written}");
    assert_eq!(written.contains("knee"), kept, "{written}");
    let asked = if kept { Asked::Yes } else { Asked::Declined };
    assert_eq!(student.asked, asked, "{written}");
}

/// Minutes late, height and own props have keys of their own; the words stay.
#[test]
fn notes_that_have_a_key_of_their_own_get_it() {
    let note = "tall, 195 cm; came in 6 minutes late; brings own bolster; deaf";
    let (written, student) = signed_up(&format!("Name,Injuries,Other\nHemi,none,\"{note}\"\n"));
    assert_eq!(student.height_cm, Some(195), "{written}");
    assert_eq!(student.late_min, 6, "{written}");
    assert_eq!(student.has.get(&Prop::Bolster), Some(&1), "{written}");
    assert_eq!(student.access.len(), 1, "{written}");
    assert!(written.contains(note), "{written}");
}

/// The column of sides is used: for the one thing it can mean, "both" for each of several; of one side and
/// several things it is asked of which, and both sides count meanwhile.
#[rstest]
#[case("knee", "right", &[("knee", Some(ToldSide::One(BodySide::Right)))], 0)]
#[case("knee and shoulder", "both", &[("knee", Some(ToldSide::Both)), ("shoulder", Some(ToldSide::Both))], 0)]
#[case("knee and shoulder", "left", &[("knee", None), ("shoulder", None)], 1)]
#[case("right knee and shoulder", "left", &[("knee", Some(ToldSide::One(BodySide::Right))), ("shoulder", Some(ToldSide::One(BodySide::Left)))], 0)]
#[case("neck and knee", "left", &[("neck", None), ("knee", Some(ToldSide::One(BodySide::Left)))], 0)]
fn no_side_of_the_column_is_dropped(
    #[case] words: &str,
    #[case] side: &str,
    #[case] expected: &[(&str, Option<ToldSide>)],
    #[case] asked: usize,
) {
    let (written, student) = signed_up(&format!("Name,Injuries,Side\nInes,{words},{side}\n"));
    let told = limitations(&student);
    let told: Vec<_> = told
        .iter()
        .map(|told| (told.what.as_str(), told.side))
        .collect();
    assert_eq!(told, expected, "{written}");
    assert_eq!(
        written.matches("of which is it").count(),
        asked,
        "{written}"
    );
    assert_eq!(written.matches("which side?").count(), 0, "{written}");
    let kept = told.iter().any(|(_, side)| side.is_some());
    assert!(
        kept || written.contains(&format!("side: {side}")),
        "{written}"
    );
}

/// A number of ten says how bad (rules 0), never below what is taken where nothing is said; words that say worse
/// are asked about. A broken bone stays what it is.
#[rstest]
#[case("neck arthritis can't look up", "4/10", Severity::Moderate, true)]
#[case("left knee swollen", "3/10", Severity::Moderate, true)]
#[case("left knee swollen", "8/10", Severity::Acute, false)]
#[case("left knee", "3/10", Severity::Mild, false)]
#[case("crushed vertebra", "3/10", Severity::Acute, false)]
fn a_number_for_pain_is_read_by_the_scale(
    #[case] words: &str,
    #[case] number: &str,
    #[case] expected: Severity,
    #[case] asked: bool,
) {
    let (written, student) = signed_up(&format!("Name,Injuries,How bad\nInes,{words},{number}\n"));
    let told = limitations(&student);
    assert_eq!(told[0].severity, Some(expected), "{written}");
    let question = "the words say worse than";
    assert_eq!(written.contains(question), asked, "{written}");
}

/// Of the neck no side is asked.
#[test]
fn arthritis_of_the_neck_has_no_side() {
    let (written, _) = signed_up("Name,Injuries\nPradeep,neck arthritis\n");
    assert!(!written.contains("which side"), "{written}");
}

/// Past the due date the week is more than a roster takes: it is asked, and the latest weeks are planned.
#[test]
fn past_the_due_date_reads_back() {
    let (written, student) = signed_up("Name,Injuries\nInes,\"pregnant, 3 weeks overdue\"\n");
    assert_eq!(limitations(&student)[0].what.as_str(), "pregnancy");
    assert!(written.contains("past the due date"), "{written}");
}

/// Nothing told, not asked, declined and blank stay four answers beside notes with keys of their own.
#[test]
fn four_answers_stay_four_beside_notes() {
    let asked = |words: &str| {
        let (_, student) = signed_up(&format!(
            "Name,Injuries,Other\nInes,{words},\"195 cm, own mat\"\n"
        ));
        (student.asked, student.limitations.len(), student.height_cm)
    };
    assert_eq!(asked("none"), (Asked::Yes, 0, Some(195)));
    assert_eq!(asked("not asked"), (Asked::No, 0, Some(195)));
    assert_eq!(asked("rather not say"), (Asked::Declined, 0, Some(195)));
    assert_eq!(asked(""), (Asked::Blank, 0, Some(195)));
}
