//! Hearing, sight, language, touch, lateness, screens and recordings change what is printed, and never add a
//! health caution.

use kindfold::adapt::adapt;
use kindfold::adapted::{Adapted, CautionKind};
use kindfold::input;
use kindfold::input::text::Source;
use kindfold::sheets::teacher::sheet;
use rstest::rstest;

use crate::support::library::{library, settings, task};

const CLASS: &str = "title: One\ndate: 2026-11-25\nstart: \"10:00\"\nminutes: 20\nsections:\n  - name: All\n    \
                     steps:\n      - {posture: mountain, minutes: 1}\n      - {posture: pyramid, side: each, \
                     breaths: 4, props: {block: 2}}\n      - {posture: final rest, minutes: 6}\n";

fn planned(person: &str) -> Adapted {
    planned_from("block: 12\nblanket: 10\n", person)
}

fn planned_from(props: &str, person: &str) -> Adapted {
    let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("it is text");
    let roster = format!("recorded: 2026-11-25\nstudents:\n  - {{name: Ines, {person}}}\n");
    let class = input::class::read(source("class.yaml", CLASS), library()).expect("a class");
    let roster = input::roster::read(source("roster.yaml", &roster), library()).expect("a roster");
    let stock = input::props::read(source("props.yaml", props)).expect("props");
    let date = class.date.expect("a date");
    let task = task(&class, &roster, &stock, date);
    adapt(&task, &mut |_| {}).expect("it plans").adapted
}

fn printed(adapted: &Adapted) -> String {
    let sheet = sheet(adapted, settings(), library());
    let people = sheet.people.iter().flat_map(|person| {
        let lines = person.lines.iter().map(|(line, _)| line.clone());
        person.facts.iter().cloned().chain(lines)
    });
    let cautions = adapted.cautions.iter().filter(|one| one.student.is_some());
    let cautions = cautions.map(|one| one.text.clone());
    people.chain(cautions).collect::<Vec<_>>().join("\n")
}

#[rstest]
#[case::deaf("limitations: [], access: [deaf]", &["n clear sight of your face", "a light ends the rest"])]
#[case::deaf_and_may_be_touched("limitations: [], access: [deaf], touch: yes", &["a light or a tap ends the rest"])]
#[case::hard_of_hearing("limitations: [], access: [hard-of-hearing]", &["face the light", "a lamp ends the rest"])]
#[case::blind("limitations: [], access: [blind]", &["say body part and direction"])]
#[case::low_vision("limitations: [], access: [low-vision]", &["say body part and direction", "print large"])]
#[case::language("limitations: [], access: [\"speaks: es\"]", &["speaks: es", "show every shape first"])]
#[case::no_touch("limitations: [], touch: no", &["no touch"])]
#[case::ask_first("limitations: [], touch: ask", &["ask before touch"])]
#[case::late("limitations: [], late: 6", &["6 min late", "to catch up"])]
#[case::on_video("limitations: [], where: video", &["on video", "send their card before class"])]
#[case::recording("asked: no, where: recording", &["Watches later: nobody can be asked."])]
fn it_changes_what_is_printed_and_adds_no_health_caution(
    #[case] person: &str,
    #[case] words: &[&str],
) {
    let (adapted, without) = (planned(person), planned("limitations: []"));
    let (text, plain) = (printed(&adapted), printed(&without));
    for words in words {
        assert!(text.contains(words), "{words}: {text}");
        assert!(
            !plain.contains(words),
            "{words} stands there anyway: {plain}"
        );
    }
    for caution in adapted.cautions.iter().filter(|one| one.student.is_some()) {
        let health = [
            CautionKind::Watch,
            CautionKind::AskFirst,
            CautionKind::Today,
        ];
        assert!(!health.contains(&caution.kind), "{}", caution.text);
    }
    let mut given = adapted.students[0].assignments.iter();
    assert!(given.all(|given| given.verdicts.is_empty()));
}

/// On a screen a person has what they have at home: nothing of the cupboard.
#[test]
fn somebody_on_video_uses_nothing_of_the_cupboard() {
    let at_home = planned("limitations: [], where: video");
    for given in &at_home.students[0].assignments {
        assert!(given.props.is_empty(), "{:?}", given.props);
    }
    let with = planned("limitations: [], where: video, has: {block: 2}");
    let blocks = with.students[0].assignments.iter();
    assert!(
        blocks
            .filter_map(|given| given.props.get(&kindfold::words::Prop::Block))
            .count()
            > 0
    );
    let room = planned("limitations: []");
    assert!(room.props.len() >= at_home.props.len());
}

/// The teacher's own two blocks are set aside first; somebody's own are used before the cupboard's; and a fold is
/// done without them where there are not two.
#[rstest]
#[case::two_are_left("block: 4\n", "touch: yes", 2)]
#[case::one_is_left("block: 3\n", "touch: yes", 0)]
#[case::one_is_left_and_one_is_theirs("block: 3\n", "has: {block: 1}", 2)]
#[case::none_is_left_and_one_is_theirs("block: 2\n", "has: {block: 1}", 0)]
#[case::none_is_left_and_two_are_theirs("block: 2\n", "has: {block: 2}", 2)]
fn blocks_are_what_the_teacher_leaves_and_what_somebody_brings(
    #[case] cupboard: &str,
    #[case] person: &str,
    #[case] blocks: u32,
) {
    let adapted = planned_from(cupboard, &format!("limitations: [], {person}"));
    let fold = &adapted.students[0].assignments[1];
    assert_eq!(fold.posture.as_str(), "pyramid");
    let used = fold.props.get(&kindfold::words::Prop::Block);
    assert_eq!(used.copied().unwrap_or(0), blocks);
}

/// A recording is planned for nobody in particular: who told something and watches it is asked whether they
/// know that nothing of it is planned for.
#[test]
fn what_somebody_told_who_watches_a_recording_is_asked_about() {
    let adapted = planned("limitations: [{what: glaucoma}], where: recording");
    let asked = |adapted: &Adapted| {
        let mut asks = adapted.ask.iter();
        asks.any(|ask| ask.text.contains("nothing told is planned for"))
    };
    assert!(asked(&adapted));
    let text = printed(&adapted);
    assert!(!text.contains("nobody can be asked"), "{text}");
    assert!(!asked(&planned("limitations: [], where: recording")));
}
