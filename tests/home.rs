//! A home flow: what may stand in it, that it is their own class, and how it reads.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use jiff::civil::Date;
use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, State, StudentPlan};
use kindfold::class::ClassPlan;
use kindfold::home::{Home, NoFlow, Sides, home};
use kindfold::input::{self, text::Source};
use kindfold::judge::{budgets, facts};
use kindfold::library::posture::Posture;
use kindfold::library::rule::LimitationKind;
use kindfold::roster::Roster;
use kindfold::settings::PropStock;
use kindfold::sheets::{self, page_text};
use kindfold::words::{PostureId, Prop, PurposeId, Side};
use rstest::rstest;

use crate::support::library::{library, settings, task};
use crate::support::program::kindfold;

fn case(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/cases")
        .join(name)
}

/// A class, its people and what they were given.
struct Room {
    class: ClassPlan,
    roster: Roster,
    stock: PropStock,
    adapted: Adapted,
}

impl Room {
    fn new(name: &str) -> Self {
        let read = |file: &str| {
            let bytes = std::fs::read(case(name).join(file)).expect("the case is there");
            Source::from_bytes(file, &bytes).expect("it is text")
        };
        let class = input::class::read(read("class.yaml"), library()).expect("it reads");
        let roster = input::roster::read(read("roster.yaml"), library()).expect("it reads");
        let stock = input::props::read(read("props.yaml")).expect("it reads");
        let adapted = adapt(&task(&class, &roster, &stock, day(&class)), &mut |_| {});
        let adapted = adapted.expect("the planner reads its instance").adapted;
        Self {
            class,
            roster,
            stock,
            adapted,
        }
    }

    fn home(&self, student: &StudentPlan, minutes: u32) -> Result<Home, NoFlow> {
        let task = task(&self.class, &self.roster, &self.stock, day(&self.class));
        home(&task, &self.adapted, &student.id, minutes, 4)
    }
}

/// The day of a case.
fn day(class: &ClassPlan) -> Date {
    class.date.expect("the case has a date")
}

/// Class A with Roster 2 and Class B with Roster 1.
fn rooms() -> &'static [Room; 2] {
    static ROOMS: OnceLock<[Room; 2]> = OnceLock::new();
    ROOMS.get_or_init(|| [Room::new("tuesday-wind-down"), Room::new("ten-past-one")])
}

/// Every flow of everybody in times from short to long, with the room and the person.
fn flows() -> Vec<(&'static Room, &'static StudentPlan, Home)> {
    let people = rooms()
        .iter()
        .flat_map(|room| room.adapted.students.iter().map(move |who| (room, who)));
    people
        .flat_map(|(room, who)| {
            let flows = [5, 8, 12, 20, 30].into_iter();
            flows.filter_map(move |minutes| Some((room, who, room.home(who, minutes).ok()?)))
        })
        .filter(|(.., home)| !home.steps.is_empty())
        .collect()
}

fn posture(id: &PostureId) -> &'static Posture {
    library()
        .postures
        .get(id)
        .expect("a posture of the library")
}

fn asks(posture: &Posture, demand: &str) -> bool {
    let asked = posture.demands.get(demand);
    asked.is_some_and(|asks| asks.left.is_some() || asks.right.is_some())
}

#[test]
fn a_flow_is_three_to_six_steps_of_their_own_thread_and_ends_in_a_rest() {
    let flows = flows();
    assert!(flows.len() > 40, "{}", flows.len());
    for (_, who, home) in flows {
        let told = format!("{}, {} minutes: {:?}", who.name, home.minutes, home.steps);
        assert!((3..=6).contains(&home.steps.len()), "{told}");
        let done: BTreeSet<&PostureId> = who
            .assignments
            .iter()
            .filter(|done| !done.sit_out)
            .map(|done| &done.posture)
            .collect();
        for step in &home.steps {
            assert!(done.contains(&step.posture), "{told}");
        }
        let last = home.steps.last().expect("three at least");
        let rest = posture(&last.posture).purposes.get("rest");
        assert!(rest.is_some_and(|&much| much >= 2), "{told}");
        // A quarter of a short flow, three minutes of a longer one (contract 7).
        assert!(last.hold_s + 30 > (home.minutes * 15).min(180), "{told}");
    }
}

#[test]
fn nothing_at_home_bears_on_the_head_and_nobody_balances_without_a_wall_or_a_chair() {
    for (_, who, home) in flows() {
        for step in &home.steps {
            let shape = posture(&step.posture);
            assert!(!asks(shape, "weight-on-head-or-neck"), "{}", who.name);
            let steady = [Prop::Wall, Prop::Chair, Prop::ChairWithArms];
            let steady = steady.iter().any(|prop| step.props.contains_key(prop));
            assert!(
                !asks(shape, "balance") || steady,
                "{}: {}",
                who.name,
                step.name
            );
        }
    }
}

/// Personal budgets (`rules/budgets.yaml`) hold at home as they do in class: no run of something, and no
/// sum of it, lasts longer than is theirs.
#[test]
fn nothing_lasts_longer_at_home_than_a_personal_budget() {
    let mut held = 0;
    for (room, who, home) in flows() {
        let told = room.roster.student(&who.id).expect("they come");
        let person = facts::person(told, library(), settings(), day(&room.class));
        for &(of, limit, _) in &person.budgets {
            let (mut run_s, mut all_s) = (0, 0);
            for step in &home.steps {
                let turns = if step.side == Sides::Each { 2 } else { 1 };
                let uses = budgets::uses(posture(&step.posture)).contains(&of);
                let lasts_s = if uses { step.hold_s * turns } else { 0 };
                run_s = if uses { run_s + lasts_s } else { 0 };
                all_s += lasts_s;
                let most = |most: Option<u32>| most.unwrap_or(u32::MAX);
                assert!(
                    run_s <= most(limit.bout_s),
                    "{}: {} {run_s} s",
                    who.name,
                    step.name
                );
                assert!(
                    all_s <= most(limit.class_s),
                    "{}: {} {all_s} s",
                    who.name,
                    step.name
                );
                held += usize::from(uses);
            }
        }
    }
    assert!(held > 0, "no flow uses anything that is limited");
}

#[test]
fn a_flow_fits_its_minutes() {
    for (_, who, home) in flows() {
        let turns = |side| if side == Sides::Each { 2 } else { 1 };
        let held: u32 = home
            .steps
            .iter()
            .map(|step| step.hold_s * turns(step.side))
            .sum();
        assert!(held <= home.minutes * 60, "{}: {held} s", who.name);
    }
}

#[test]
fn what_is_done_on_one_side_is_done_on_the_other() {
    for (_, who, home) in flows() {
        let alone = |side| home.steps.iter().filter(|step| step.side == side).count();
        assert_eq!(alone(Sides::Left), alone(Sides::Right), "{}", who.name);
        for step in &home.steps {
            let sided = posture(&step.posture).is_sided();
            assert_eq!(
                sided,
                step.side != Sides::None,
                "{}: {}",
                who.name,
                step.name
            );
            assert_eq!(sided, step.first_side != Side::None);
        }
    }
}

#[test]
fn of_an_unknown_person_there_is_no_flow_but_what_to_ask() {
    let mut seen = 0;
    for room in rooms() {
        for who in &room.adapted.students {
            let unknown = matches!(who.state, State::NotAsked | State::Declined);
            if !unknown || who.place == "recording" {
                continue;
            }
            let home = room.home(who, 12).expect("a sheet that says what to ask");
            assert!(home.steps.is_empty(), "{}", who.name);
            assert!(!home.ask.is_empty(), "{}", who.name);
            seen += 1;
        }
    }
    assert!(seen >= 2);
}

#[test]
fn nobody_is_known_of_a_recording() {
    let room = &rooms()[0];
    let recording = room
        .adapted
        .students
        .iter()
        .find(|who| who.place == "recording");
    let home = room.home(recording.expect("Class A is recorded"), 12);
    assert_eq!(home, Err(NoFlow::Recording));
}

#[test]
fn an_aim_that_the_thread_serves_is_served() {
    let room = &rooms()[0];
    let aims: [PurposeId; 2] = ["chest".into(), "side-body".into()];
    let mut roster = room.roster.clone();
    let who = room
        .adapted
        .students
        .iter()
        .find(|who| who.name == "Yuki")
        .expect("she comes");
    for student in roster
        .students
        .iter_mut()
        .filter(|student| student.id == who.id)
    {
        student.aims = aims.to_vec();
    }
    let task = task(&room.class, &roster, &room.stock, day(&room.class));
    let home = home(&task, &room.adapted, &who.id, 12, 4).expect("a flow");
    for aim in &aims {
        let served = home
            .steps
            .iter()
            .any(|step| posture(&step.posture).purposes.contains_key(aim));
        assert!(served, "{aim}: {:?}", home.steps);
    }
}

#[test]
fn a_sheet_names_no_condition_and_no_other_person() {
    for (room, who, home) in flows() {
        let text = text(&home);
        let quoted = text.split(['“', '”']).step_by(2).collect::<String>();
        let before_help = quoted.split("Stop and get help").next().unwrap_or_default();
        let words: BTreeSet<String> = before_help
            .split(|letter: char| !letter.is_alphanumeric() && letter != '-')
            .map(str::to_lowercase)
            .collect();
        let others = room
            .adapted
            .students
            .iter()
            .filter(|other| other.id != who.id);
        for other in others {
            let name = other.name.to_lowercase();
            let first = name.split_whitespace().next().unwrap_or_default();
            let own = who.name.to_lowercase();
            let shared = own.split_whitespace().any(|word| word == first);
            assert!(
                shared || !words.contains(first),
                "{first} on the sheet of {own}"
            );
        }
        let conditions = library()
            .limitations
            .values()
            .filter(|known| known.kind == LimitationKind::Condition);
        for condition in conditions {
            let name = condition.name.to_lowercase();
            assert!(
                !before_help.to_lowercase().contains(&name),
                "{name}: {text}"
            );
        }
    }
}

/// OC-99: grade = 0.39 × words/sentences + 11.8 × syllables/words − 15.59 (Kincaid 1975), 5 at most;
/// stop signs and quoted words apart. `tests/outside/reading.sh` asks an independent implementation.
#[test]
fn a_sheet_reads_at_grade_five_or_below() {
    assert!(
        (grade_of(100, 5, 140) - 8.73).abs() < 0.005,
        "the worked example of OC-99"
    );
    for (_, who, home) in flows() {
        let text = text(&home);
        let grade = grade(&text);
        assert!(grade <= 5.0, "{}: {grade:.1}\n{text}", who.name);
    }
}

fn text(home: &Home) -> String {
    let document = sheets::home::sheet(home, settings(), library(), false);
    page_text::text(&document, 80)
}

fn grade_of(words: usize, sentences: usize, syllables: usize) -> f64 {
    let number = |count: usize| f64::from(u32::try_from(count).expect("a page has few words"));
    0.39 * number(words) / number(sentences) + 11.8 * number(syllables) / number(words) - 15.59
}

/// The grade of the sheet's sentences, from its first line to the stop signs.
fn grade(text: &str) -> f64 {
    let read = text.split("Stop and get help").next().unwrap_or_default();
    let unquoted: String = read.split(['“', '”']).step_by(2).collect();
    let (mut words, mut sentences, mut syllables) = (0, 0, 0);
    // A line that goes on is indented no further than its sentence: join what a full stop does not end.
    let joined = unquoted.replace('\n', " ");
    for sentence in joined.split(['.', '?', ':']) {
        let spoken: Vec<&str> = sentence
            .split_whitespace()
            .filter(|word| word.chars().any(char::is_alphanumeric))
            .collect();
        sentences += usize::from(!spoken.is_empty());
        words += spoken.len();
        syllables += spoken.iter().map(|word| syllables_of(word)).sum::<usize>();
    }
    grade_of(words, sentences, syllables)
}

/// Groups of vowels, without a silent e at the end; at least one.
fn syllables_of(word: &str) -> usize {
    let letters: Vec<char> = word
        .to_lowercase()
        .chars()
        .filter(|c| c.is_alphabetic())
        .collect();
    let is_vowel = |letter: &char| "aeiouyáéíóúà".contains(*letter);
    let mut groups = 0;
    let mut before = false;
    for letter in &letters {
        groups += usize::from(is_vowel(letter) && !before);
        before = is_vowel(letter);
    }
    let silent = letters.ends_with(&['e']) && !letters.ends_with(&['l', 'e']) && groups > 1;
    (groups - usize::from(silent)).max(1)
}

#[rstest]
#[case("tuesday-wind-down", "Kwame", "12")]
#[case("ten-past-one", "Malik", "10")]
fn the_sheet_as_it_reads(#[case] name: &str, #[case] who: &str, #[case] minutes: &str) {
    let args = [
        "home",
        "class.yaml",
        "--roster",
        "roster.yaml",
        "--props",
        "props.yaml",
    ];
    let of = ["--student", who, "--minutes", minutes, "--days", "4"];
    let output = kindfold(&[&args[..], &of[..]].concat(), &case(name));
    assert_eq!(output.status.code(), Some(0));
    insta::assert_snapshot!(
        format!("home_{name}"),
        String::from_utf8_lossy(&output.stdout)
    );
}

#[rstest]
#[case(&["--student", "Kwame", "--minutes", "12"], "add --roster FILE.   [roster-wanted]")]
#[case(&["--roster", "roster.yaml", "--student", "Kwami", "--minutes", "12"], "Did you mean “Kwame”?   [unknown-student]")]
#[case(&["--roster", "roster.yaml", "--student", "Kwame", "--minutes", "3"], "3 is not in 5..=60")]
#[case(&["--roster", "roster.yaml", "--student", "Kwame", "--minutes", "12", "--days", "9"], "9 is not in 1..=7")]
#[case(&["--roster", "roster.yaml", "--student", "Recording", "--minutes", "12"], "[home-recording]")]
fn what_cannot_be_made_says_why_and_prints_nothing(#[case] args: &[&str], #[case] said: &str) {
    let output = kindfold(
        &[&["home", "class.yaml"], args].concat(),
        &case("tuesday-wind-down"),
    );
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains(said), "{told}");
    assert!(output.stdout.is_empty());
}

/// The contract, section 9.
#[test]
fn the_json_has_the_fields_of_the_contract() {
    let home = rooms()[0]
        .adapted
        .students
        .iter()
        .find(|who| who.name == "Kwame");
    let home = rooms()[0]
        .home(home.expect("he comes"), 12)
        .expect("a flow");
    let json = serde_json::to_value(&home).expect("JSON");
    let keys = |value: &serde_json::Value| -> Vec<String> {
        value
            .as_object()
            .expect("an object")
            .keys()
            .cloned()
            .collect()
    };
    assert_eq!(json["schema"], "kindfold/home/1");
    let named = [
        "ask",
        "busy_day_item",
        "cautions",
        "contact",
        "days",
        "made_on",
        "minutes",
        "needs",
        "review_by",
        "schema",
        "steps",
        "student",
        "warning_signs",
    ];
    assert_eq!(keys(&json), named);
    let of_step = [
        "breaths",
        "easier",
        "first_side",
        "hold_s",
        "how",
        "index",
        "name",
        "posture",
        "props",
        "repeats",
        "side",
    ];
    assert_eq!(keys(&json["steps"][0]), of_step);
    assert_eq!(json["made_on"], "2026-05-12");
    assert_eq!(json["review_by"], "2026-05-26");
}
