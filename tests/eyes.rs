//! Found by somebody who tried for an hour to get an unsuitable shape to a student through the files: each try
//! that came through, as files and what must hold. The expectations come from the contract and the rules table
//! of the trade; each case says which.

use jiff::civil::{Date, date};
use kindfold::adapt::{Task, adapt};
use kindfold::adapted::Adapted;
use kindfold::input::{self, text::Source};
use kindfold::judge::facts::{self, Person};
use kindfold::judge::verdict::{At, judge};
use kindfold::roster::{Asked, Heard, Roster, Student, Told, ToldSide};
use kindfold::settings::PropStock;
use kindfold::words::{BodySide, PostureId, Severity, Side};
use rstest::rstest;

use crate::support::library::{library, settings, task};
use crate::support::program::kindfold;

const DATE: Date = date(2026, 11, 26);

fn source(name: &str, text: &str) -> Source {
    Source::from_bytes(name, text.as_bytes()).expect("it is text")
}

/// One person, as a roster of 20 November has them.
fn roster(told: &str) -> Roster {
    let text = format!("recorded: 2026-11-20\nstudents:\n  - {{name: Ines, {told}}}\n");
    input::roster::read(source("roster.yaml", &text), library()).expect("a roster")
}

fn person(roster: &Roster) -> Person<'_> {
    facts::person(&roster.students[0], library(), settings(), DATE)
}

/// Whether a shape, held for 30 seconds, is kept from a person on a side.
fn is_kept(person: &Person<'_>, posture: &str, side: Side) -> bool {
    let posture = &library().postures[&PostureId::from(posture)];
    let at = At {
        posture,
        side,
        hold_s: 30,
        padded: false,
    };
    judge(person, at, None).form.is_none()
}

/// A class of one line for a room.
fn planned(step: &str, students: &str) -> (Adapted, String) {
    let class = format!(
        "title: One\ndate: {DATE}\nminutes: 10\nsections:\n  - name: All\n    steps:\n      - {{{step}}}\n"
    );
    let class = input::class::read(source("class.yaml", &class), library()).expect("a class");
    let text = format!("recorded: 2026-11-20\nstudents:\n{students}");
    let roster = input::roster::read(source("roster.yaml", &text), library()).expect("a roster");
    let stock = PropStock::default();
    let task: Task<'_> = task(&class, &roster, &stock, DATE);
    let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
    let sheet = kindfold::sheets::teacher::sheet(&adapted, settings(), library());
    let own = format!("{sheet:?}");
    (adapted, own)
}

/// Words that hold a health fact are never read as nothing told, and never without a question (contract 4.2,
/// rules 6: "no" takes away its own clause only, "fine now" ends what is over).
#[rstest]
#[case("no knee pain since surgery")]
#[case("no pain since my knee op")]
#[case("no problems since my stroke")]
#[case("no seizures since 2019")]
#[case("no vertigo this month")]
#[case("no heart trouble with pacemaker")]
#[case("no osteoporosis only osteopenia")]
#[case("no ACL in left knee")]
#[case("no meniscus left in right knee")]
#[case("no gallbladder")]
#[case("no knees")]
#[case("nothing / wrist")]
#[case("sin dolor desde la operación de rodilla")]
#[case("sin problemas desde el infarto")]
#[case("pas de douleur depuis l'opération du genou")]
#[case("keine Schmerzen seit der Knie-OP")]
#[case("kein Meniskus mehr rechts")]
#[case("sem dor desde a cirurgia do joelho")]
#[case("not left knee but right")]
#[case("lost the baby last year, now 20 weeks")]
#[case("old left knee injury, fine now but kneeling hurts")]
#[case("wrist broken 2 weeks ago, healed")]
#[case("broken wrist last month fine now")]
fn a_fact_in_a_no_is_asked_about(#[case] words: &str) {
    let read = library().lexicon.read(words, Some(DATE));
    assert!(!read.nothing, "{words}: {read:?}");
    let asked = !read.unread.is_empty()
        || read
            .heard
            .iter()
            .any(|heard| matches!(heard, Heard::Ask { .. }));
    assert!(asked, "{words}: {read:?}");
}

/// A "no" that says no more than that stays a "no".
#[rstest]
#[case("no knee problems")]
#[case("no wrist or shoulder problems")]
#[case("never had heart trouble")]
#[case("no surgery")]
#[case("kein Knie")]
#[case("pas de problème de genou")]
fn a_plain_no_asks_nothing(#[case] words: &str) {
    let read = library().lexicon.read(words, Some(DATE));
    assert!(read.nothing && read.unread.is_empty(), "{words}: {read:?}");
}

/// A replaced hip or knee is a replacement and no sore joint (rules 2.2), with its weeks and its side; any
/// other replaced part is an operation there.
#[rstest]
#[case("left hip replaced 6 weeks ago", "hip-replacement", Some(6))]
#[case("had my left hip replaced", "hip-replacement", None)]
#[case("left hip was replaced in October", "hip-replacement", None)]
#[case("artificial hip left", "hip-replacement", None)]
#[case("prótesis cadera izq", "hip-replacement", None)]
#[case("left knee replaced 6 weeks ago", "knee-replacement", Some(6))]
#[case("shoulder replaced left 6 weeks ago", "surgery", Some(6))]
fn a_replaced_joint_is_no_sore_joint(
    #[case] words: &str,
    #[case] what: &str,
    #[case] weeks: Option<u32>,
) {
    let read = library().lexicon.read(words, Some(DATE));
    assert_eq!(read.limitations.len(), 1, "{words}: {read:?}");
    let told = &read.limitations[0];
    assert_eq!(told.what.as_str(), what, "{words}");
    assert_eq!(told.weeks.map(|told| told.weeks), weeks, "{words}");
    assert_eq!(told.side, Some(ToldSide::One(BodySide::Left)), "{words}");
}

/// Of two operations of one joint the later day counts (rules 6, dates: the latest day that fits).
#[test]
fn of_two_years_the_later_counts() {
    let words = "both hips replaced 2015 and 2026";
    let read = library().lexicon.read(words, Some(DATE));
    let on = read.limitations[0].on.expect("a year was told");
    assert_eq!(on.latest.year(), 2026);
    assert!(!read.unread.is_empty(), "{read:?}");
}

/// Weeks of a pregnancy are those of the day of writing: weeks to go and weeks of an earlier day are counted to it,
/// and asked about (a pregnancy of 280 days, contract 5).
#[rstest]
#[case("pregnant, 12 weeks to go", (28, None), true)]
#[case("pregnant 12 weeks left", (28, None), true)]
#[case("20 weeks pregnant 3 weeks ago", (23, None), true)]
#[case("twenty-two weeks pregnant", (22, None), false)]
#[case("24+3 weeks pregnant", (24, Some(3)), false)]
#[case("24+3 SSW", (24, Some(3)), false)]
#[case("pregnant 24 weeks", (24, None), false)]
fn weeks_of_a_pregnancy_are_todays(
    #[case] words: &str,
    #[case] expected: (u32, Option<u32>),
    #[case] asked: bool,
) {
    let read = library().lexicon.read(words, Some(DATE));
    let mut told = read.limitations.iter();
    let told = told.find(|told| told.what.as_str() == "pregnancy");
    let told = told.expect("a pregnancy was told");
    let weeks = told.weeks.map(|told| (told.weeks, told.days));
    assert_eq!(weeks, Some(expected), "{words}: {read:?}");
    assert!(!asked || !read.unread.is_empty(), "{read:?}");
}

/// How bad and which side: the worse word counts, and no side is lost (rules 6 and section 0).
#[rstest]
#[case("hipertensión mal controlada", Some(Severity::Acute), None)]
#[case("hypertension mal contrôlée", Some(Severity::Acute), None)]
#[case("high blood pressure, poorly controlled", Some(Severity::Acute), None)]
#[case("high blood pressure not well controlled", Some(Severity::Acute), None)]
#[case(
    "left knee 2/10 but 9/10 kneeling",
    Some(Severity::Acute),
    Some(ToldSide::One(BodySide::Left))
)]
#[case(
    "left knee acute",
    Some(Severity::Acute),
    Some(ToldSide::One(BodySide::Left))
)]
#[case("knee: both but left worse", None, Some(ToldSide::Both))]
#[case("my knees, left worse", None, Some(ToldSide::Both))]
#[case("knee right now is swollen", Some(Severity::Acute), None)]
fn the_worse_word_counts_and_no_side_is_lost(
    #[case] words: &str,
    #[case] severity: Option<Severity>,
    #[case] side: Option<ToldSide>,
) {
    let read = library().lexicon.read(words, Some(DATE));
    let told = read.limitations.first().expect("something was told");
    assert_eq!(
        (told.severity, told.side),
        (severity, side),
        "{words}: {read:?}"
    );
}

/// In Spanish, French, Portuguese and Italian a hernia of the back is a disc.
#[rstest]
#[case("hernia lumbar")]
#[case("hernia cervical")]
#[case("hernie cervicale")]
#[case("ernia lombare")]
fn a_hernia_of_the_back_is_a_disc(#[case] words: &str) {
    let read = library().lexicon.read(words, Some(DATE));
    let told: Vec<&str> = read
        .limitations
        .iter()
        .map(|told| told.what.as_str())
        .collect();
    assert!(told.contains(&"disc"), "{told:?}");
}

/// A clinician's leave opens what it is about, and nothing else (contract 4.2; rules 7): not the other side, not
/// before the event, not at second hand, not a "no", not yet, and no wish of the person's own.
#[rstest]
#[case(
    "knee, severity: acute, side: both",
    "from: doctor, on: 2026-11-01, about: knee, side: right, allows: [kneeling]",
    "tabletop",
    true
)]
#[case(
    "knee, severity: acute, side: both",
    "from: doctor, on: 2026-11-01, about: knee, allows: [kneeling]",
    "tabletop",
    false
)]
#[case(
    "glaucoma",
    "from: doctor, on: 2026-11-01, about: glaucoma, allows: [head-below-heart]",
    "downward-dog",
    false
)]
#[case(
    "glaucoma",
    "from: not a doctor, on: 2026-11-01, about: glaucoma, allows: [head-below-heart]",
    "downward-dog",
    true
)]
#[case(
    "glaucoma",
    "from: doctor friend of mine, on: 2026-11-01, about: glaucoma, allows: [head-below-heart]",
    "downward-dog",
    true
)]
#[case(
    "glaucoma",
    "from: doctor, on: 2026-11-01, about: glaucoma, says: no head down, allows: [head-below-heart]",
    "downward-dog",
    true
)]
#[case(
    "no-kneeling",
    "from: doctor, on: 2026-11-01, allows: [kneeling]",
    "tabletop",
    true
)]
#[case(
    "hip-replacement, side: left, approach: posterior, weeks: 3",
    "from: surgeon, on: 2026-10-15, about: hip-replacement, allows: [deep-hip-bend]",
    "standing-forward-fold",
    true
)]
#[case(
    "hip-replacement, side: left, approach: posterior, weeks: 8",
    "from: surgeon, on: 2026-10-15, about: hip-replacement, allows: [deep-hip-bend]",
    "standing-forward-fold",
    false
)]
#[case(
    "heart",
    "from: doctor, on: 2026-11-01, about: heart, says: cleared",
    "downward-dog",
    false
)]
#[case(
    "heart",
    "from: doctor, on: 2026-11-01, about: heart, says: not yet cleared",
    "downward-dog",
    true
)]
#[case(
    "heart",
    "from: doctor, on: 2026-11-01, about: heart, says: will be signed off in January",
    "downward-dog",
    true
)]
fn a_leave_opens_no_more_than_it_says(
    #[case] told: &str,
    #[case] said: &str,
    #[case] posture: &str,
    #[case] kept: bool,
) {
    let roster = roster(&format!(
        "limitations: [{{what: {told}}}], guidance: [{{{said}}}]"
    ));
    assert_eq!(
        is_kept(&person(&roster), posture, Side::None),
        kept,
        "{said}"
    );
}

/// What today's words leave out still holds (contract 4.2: they outrank the form about the same thing).
#[rstest]
#[case(
    "{what: diabetes, kind: eye-disease}",
    "{what: diabetes}",
    "downward-dog"
)]
#[case(
    "{what: osteoporosis, kind: fracture}",
    "{what: osteoporosis, severity: mild}",
    "seated-forward-fold"
)]
fn words_of_today_take_no_kind_away(
    #[case] form: &str,
    #[case] today: &str,
    #[case] posture: &str,
) {
    let roster = roster(&format!("limitations: [{form}], today: [{today}]"));
    assert!(is_kept(&person(&roster), posture, Side::None));
}

/// An easing that is not at hand is none (rules 0): in no dog can the head rest and the hips be low.
#[test]
fn glaucoma_is_given_no_kind_of_dog_with_high_hips() {
    let roster = roster("limitations: [glaucoma]");
    let person = person(&roster);
    for posture in [
        "downward-dog",
        "downward-dog-knees-bent",
        "downward-dog-hands-on-blocks",
    ] {
        assert!(is_kept(&person, posture, Side::None), "{posture}");
    }
    for posture in ["childs-pose", "wall-dog"] {
        assert!(!is_kept(&person, posture, Side::None), "{posture}");
    }
}

/// Weight on the head or neck never leads for somebody unknown, and is not theirs beside the lead (contract 4.2).
#[rstest]
#[case("  - {name: Ines, asked: no}\n")]
#[case("  - {name: Ines, asked: no}\n  - {name: Bo, limitations: []}\n")]
#[case("  - {name: Ines, limitations: [fibro flare ups]}\n")]
fn nobody_unknown_is_led_onto_the_neck(#[case] students: &str) {
    let (adapted, _) = planned("posture: supported shoulderstand, breaths: 5", students);
    assert_ne!(
        adapted.steps[0].lead.posture.as_str(),
        "supported-shoulderstand"
    );
    let mut students = adapted.students.iter();
    let ines = students.find(|student| student.name == "Ines");
    let given = &ines.expect("she is there").assignments[0].posture;
    assert_ne!(given.as_str(), "supported-shoulderstand");
}

/// Of the teacher's own spoken choices the own page says from whom they are kept (contract 4.1).
#[test]
fn an_own_choice_names_whom_it_is_kept_from() {
    let students = "  - {name: Halina, limitations: [{what: pregnancy, weeks: 30}]}\n  \
                    - {name: Bo, limitations: []}\n";
    let (adapted, own) = planned(
        "posture: child's pose, breaths: 5, or: [headstand]",
        students,
    );
    let mine = |text: &str| text.contains("your own choice “headstand”");
    let told = adapted
        .cautions
        .iter()
        .filter(|caution| mine(&caution.text));
    let told: Vec<_> = told
        .filter_map(|caution| caution.student.as_ref())
        .collect();
    assert_eq!(told.len(), 1, "{:?}", adapted.cautions);
    assert_eq!(told[0].as_str(), "halina");
    assert!(mine(&own), "{own}");
}

/// What a sign-up sheet becomes.
fn written(sheet: &str) -> String {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join("s.csv"), sheet).expect("it takes a file");
    let output = kindfold(&["intake", "s.csv"], folder.path());
    String::from_utf8(output.stdout).expect("it is text")
}

fn signed_up(sheet: &str) -> Roster {
    let text = written(sheet);
    input::roster::read(source("roster.yaml", &text), library()).expect("it reads back")
}

/// A body word in a column of sides is asked about.
#[test]
fn a_body_word_in_the_column_of_sides_is_asked_about() {
    let text = written("Name,Problem,Side\nInes,glaucoma,left knee\nBo,hip,right\n");
    assert_eq!(
        text.matches("stands in the column of sides").count(),
        1,
        "{text}"
    );
}

fn told(student: &Student) -> Vec<String> {
    let told = student.limitations.iter();
    let words = told.map(|told| match told {
        Told::Limitation(told) => told.what.to_string(),
        Told::Words { text, .. } => format!("“{text}”"),
    });
    words.collect()
}

/// On a sign-up sheet a heading that names what it asks about is a question like any other: a "yes" under it is
/// told, a "no" is no "nothing to tell" (contract 4.2: blank is never fit, no word is dropped).
#[rstest]
#[case("Name,Pregnant?,Injuries\nInes,Yes,none\n", &["pregnancy"], Asked::Yes)]
#[case("Name,Pregnant?,Injuries\nInes,yes,left knee\n", &["pregnancy", "knee"], Asked::Yes)]
#[case("Name,Pregnant?,Injuries\nInes,No,none\n", &[], Asked::Yes)]
#[case("Name,Pregnant?,Injuries\nInes,No,\n", &[], Asked::Blank)]
#[case("Name,Knee,Glaucoma\nInes,x,\n", &["knee"], Asked::Yes)]
#[case("Name,Knee,Glaucoma\nInes,no,no\n", &[], Asked::Blank)]
#[case("Name,High blood pressure,Injuries\nInes,x,\n", &["high-blood-pressure"], Asked::Yes)]
#[case("Name,Problem\nInes,left knee\nBo,right hip\n", &["knee"], Asked::Yes)]
fn no_answer_of_a_sign_up_sheet_is_lost(
    #[case] sheet: &str,
    #[case] expected: &[&str],
    #[case] asked: Asked,
) {
    let roster = signed_up(sheet);
    assert_eq!(told(&roster.students[0]), expected, "{sheet}");
    assert_eq!(roster.students[0].asked, asked, "{sheet}");
}

/// "Not left" is no left (rules 6: both count, and it is asked).
#[test]
fn not_left_is_no_side() {
    let roster = signed_up("Name,Problem,Side\nInes,knee,not left\nBo,hip,right\n");
    let knee = match roster.students[0].limitations.first() {
        Some(Told::Limitation(knee)) => Some(knee),
        _ => None,
    };
    let knee = knee.expect("a knee was told");
    assert_eq!(knee.side, None);
}

/// A home sheet is looked at again before a rule begins that keeps away something of it (trade, 3.2: facts age).
#[rstest]
#[case("pregnancy, weeks: 15+0", "2026-12-02")]
#[case("wrist, side: left", "2026-12-10")]
#[case("knee, side: left", "2026-12-10")]
fn a_home_sheet_ends_before_a_rule_begins(#[case] told: &str, #[case] by: &str) {
    let class = format!(
        "title: One\ndate: {DATE}\nminutes: 30\nsections:\n  - name: All\n    steps:\n      \
         - {{posture: cat-cow, rounds: 5}}\n      - {{posture: warrior II, side: each, breaths: 4}}\n      \
         - {{posture: tree, side: each, breaths: 4}}\n      - {{posture: bridge, breaths: 5}}\n      \
         - {{posture: final rest, minutes: 6}}\n"
    );
    let class = input::class::read(source("class.yaml", &class), library()).expect("a class");
    let text = format!(
        "recorded: {DATE}\nstudents:\n  - {{name: Ines, limitations: [{{what: {told}}}]}}\n"
    );
    let roster = input::roster::read(source("roster.yaml", &text), library()).expect("a roster");
    let stock = PropStock::default();
    let task = task(&class, &roster, &stock, DATE);
    let adapted = adapt(&task, &mut |_| {}).expect("it plans").adapted;
    let home = kindfold::home::home(&task, &adapted, &adapted.students[0].id, 15, 3);
    assert_eq!(home.expect("there is a flow").review_by, by);
}

/// Bleeding, waters that have broken and a broken vertebra, as six languages say them.
#[rstest]
#[case("14 weeks pregnant, spotting", "pregnancy", "complication")]
#[case("embarazada de 14 semanas, con sangrado", "pregnancy", "complication")]
#[case("enceinte de 14 semaines, saignements", "pregnancy", "complication")]
#[case("schwanger, 14. Woche, Blutungen", "pregnancy", "complication")]
#[case("grávida de 14 semanas, sangramento", "pregnancy", "complication")]
#[case(
    "incinta di 14 settimane, perdite di sangue",
    "pregnancy",
    "complication"
)]
#[case("pregnant, waters leaking", "pregnancy", "stop-reason")]
#[case("embarazada, rotura de bolsa", "pregnancy", "stop-reason")]
#[case("enceinte, perte des eaux", "pregnancy", "stop-reason")]
#[case("schwanger, Blasensprung", "pregnancy", "stop-reason")]
#[case("grávida, bolsa rompida", "pregnancy", "stop-reason")]
#[case("incinta, rottura delle acque", "pregnancy", "stop-reason")]
#[case("fractured vertebra 2021", "osteoporosis", "fracture")]
#[case("fractura de vértebra", "osteoporosis", "fracture")]
#[case("fracture de vertèbre", "osteoporosis", "fracture")]
#[case("Wirbelfraktur", "osteoporosis", "fracture")]
#[case("fratura de vértebra", "osteoporosis", "fracture")]
#[case("frattura vertebrale", "osteoporosis", "fracture")]
fn a_reason_to_wait_is_heard_in_six_languages(
    #[case] words: &str,
    #[case] what: &str,
    #[case] kind: &str,
) {
    let read = library().lexicon.read(words, None);
    let heard = read
        .limitations
        .iter()
        .any(|told| told.what.as_str() == what && told.kind.iter().any(|known| known == kind));
    assert!(heard, "{words}: {:?}", read.limitations);
}

/// Weeks and days with room around the plus.
#[rstest]
#[case("33 + 3 weeks pregnant")]
#[case("pregnant, 33 + 3 weeks")]
#[case("33 + 3 SSW")]
fn weeks_and_days_may_stand_apart(#[case] words: &str) {
    let people = roster(&format!("limitations: [{words:?}]"));
    let person = person(&people);
    let weeks = person.told.iter().filter_map(|told| told.told.weeks);
    let weeks: Vec<_> = weeks.map(|told| (told.weeks, told.days)).collect();
    assert_eq!(weeks, [(33, Some(3))]);
}

/// Weeks that are still to go, or past the day, are no weeks along: they are counted from the 40th, and it is asked.
#[rstest]
#[case("enceinte, plus que 3 semaines", 37)]
#[case("enceinte, il reste 3 semaines", 37)]
#[case("embarazada, me quedan 3 semanas", 37)]
#[case("3 weeks overdue, pregnant", 43)]
#[case("grávida, restam 3 semanas", 37)]
#[case("incinta, mancano 3 settimane", 37)]
fn weeks_to_go_are_asked_about_in_other_languages(#[case] words: &str, #[case] expected: u32) {
    let people = roster(&format!("limitations: [{words:?}]"));
    let student = &people.students[0];
    let pregnant = student.limitations.iter().find_map(|told| match told {
        Told::Limitation(told) if told.what.as_str() == "pregnancy" => Some(told),
        _ => None,
    });
    let weeks = pregnant.expect("it is heard").weeks;
    assert_eq!(weeks.map(|told| told.weeks), Some(expected));
    let asked = |heard: &Heard| matches!(heard, Heard::Ask { .. });
    let words = |told: &Told| matches!(told, Told::Words { .. });
    assert!(student.heard.iter().any(asked) || student.limitations.iter().any(words));
}

#[rstest]
#[case("nada de rodillas")]
#[case("pas de genoux")]
#[case("kann mich nicht hinknien")]
#[case("nada de joelhos")]
#[case("niente in ginocchio")]
fn not_on_the_knees_is_a_wish(#[case] words: &str) {
    let read = library().lexicon.read(words, None);
    let heard: Vec<&str> = read
        .limitations
        .iter()
        .map(|told| told.what.as_str())
        .collect();
    assert_eq!(heard, ["no-kneeling"]);
}
