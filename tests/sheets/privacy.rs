//! Who stands on which sheet, by search over what is printed.

use std::collections::BTreeSet;

use kindfold::library::rule::LimitationKind;
use kindfold::sheets::html::Print;
use kindfold::sheets::page::Document;
use kindfold::sheets::teacher::Margin;
use kindfold::sheets::{page_html, page_markdown, page_text, teacher_html};
use rstest::rstest;

use super::{LARGE, Planned, file, library, visible, words};

#[rstest]
fn the_room_and_the_props_name_nobody(
    #[values("room", "props")] sheet: &str,
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let planned = Planned::case(case);
    for form in planned.forms(sheet) {
        let found = words(&form);
        for student in &planned.adapted.students {
            // "Recording" stands for everyone who watches later.
            for name in student.name.to_lowercase().split_whitespace() {
                assert!(
                    name.chars().count() < 3 || !found.contains(name),
                    "{name} stands on the {sheet} sheet"
                );
            }
        }
    }
}

/// Nothing that anybody told, no note and no word of a condition.
#[rstest]
fn the_room_and_the_props_say_nothing_that_was_told(
    #[values("room", "props", "record")] sheet: &str,
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let planned = Planned::case(case);
    let mut told: Vec<String> = Vec::new();
    for caution in &planned.adapted.cautions {
        let mut rest = caution.text.as_str();
        while let Some((_, after)) = rest.split_once('“') {
            let (quoted, after) = after.split_once('”').unwrap_or((after, ""));
            told.push(quoted.to_lowercase());
            rest = after;
        }
    }
    let notes = planned.adapted.students.iter();
    told.extend(notes.filter_map(|student| student.note.as_ref().map(|note| note.to_lowercase())));
    for limitation in library().limitations.values() {
        let condition = limitation.kind == LimitationKind::Condition;
        if condition && limitation.name != "heart" {
            told.push(limitation.name.to_lowercase());
        }
    }
    assert!(told.len() > 30, "the search looks for something");
    for form in planned.forms(sheet) {
        // The stop signs are the same for every class and speak of the body.
        let text = visible(&form).to_lowercase();
        for words in &told {
            assert!(
                !text.contains(words.as_str()),
                "“{words}” stands on the {sheet} sheet"
            );
        }
    }
}

#[rstest]
fn a_confidential_person_stands_on_their_own_pages_only(
    #[values("room", "props", "record", "cards")] sheet: &str,
) {
    let planned = Planned::case("tuesday-wind-down");
    for form in planned.forms(sheet) {
        assert!(!words(&form).contains("aoife"), "{sheet}");
        assert!(!words(&form).contains("ao"), "{sheet}");
    }
    for own in ["teacher", "cautions"] {
        for form in planned.forms(own) {
            assert!(words(&form).contains("aoife"), "{own}");
        }
    }
    let card = page_text::text(&planned.card_of("Aoife"), 80);
    assert!(card.starts_with("Aoife\n"));
    // Floor pages: no short name of hers either.
    let html = teacher_html::html(&planned.sheet(), library(), Print::default());
    let (_, floor) = html
        .split_once("class=\"newpage\"")
        .expect("floor pages follow");
    assert!(!words(floor).contains("ao"));
}

#[rstest]
fn a_card_holds_its_owner_alone(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let planned = Planned::case(case);
    let cards = planned.document("cards");
    assert!(!cards.pages.is_empty());
    let names: Vec<&str> = planned
        .adapted
        .students
        .iter()
        .map(|s| s.name.as_str())
        .collect();
    for page in &cards.pages {
        let alone = Document {
            pages: vec![page.clone()],
            ..cards.clone()
        };
        let found = words(&page_text::text(&alone, 80));
        for name in &names {
            let first = name
                .split_whitespace()
                .next()
                .unwrap_or(name)
                .to_lowercase();
            let owner = page.title.to_lowercase().starts_with(&first);
            assert!(
                owner || !found.contains(&first),
                "{name} on the card of {}",
                page.title
            );
        }
        for condition in library().limitations.values() {
            let is_condition = condition.kind == LimitationKind::Condition;
            let lines = page_text::text(&alone, 80).to_lowercase();
            let before_words = lines.split("you told us").next().unwrap_or("").to_owned();
            assert!(!is_condition || !before_words.contains(&condition.name.to_lowercase()));
        }
    }
}

const SMALL_CLASS: &str = "
title: Small
date: 2026-05-12
start: \"10:00\"
minutes: 20
sections:
  - name: All
    steps:
      - {posture: mountain, breaths: 5}
      - {posture: downward dog, breaths: 5}
      - {posture: child's pose, breaths: 5}
      - {posture: easy seat, breaths: 5}
      - {posture: final rest, minutes: 5}
";

fn small_roster(private: &str) -> String {
    format!(
        "recorded: 2026-05-01\nstudents:\n  - {{name: Quibble, limitations: []}}\n  - {{name: Wexford, limitations: []}}\n  - {{name: Zander, confidential: true, limitations: [{private}]}}\n"
    )
}

/// With or without what they told, nobody else's sheets change.
#[rstest]
#[case("{what: wrist, side: both}")]
#[case("{what: knee, side: left}")]
#[case("{what: glaucoma, side: both}")]
fn a_confidential_person_leaves_no_trace(#[case] told: &str) {
    let with = Planned::new(SMALL_CLASS, &small_roster(told), None);
    let without = Planned::new(SMALL_CLASS, &small_roster(""), None);
    let zander = |planned: &Planned| {
        let students = planned.adapted.students.iter();
        students
            .clone()
            .find(|s| s.name == "Zander")
            .map(|s| s.stray_share)
    };
    assert_ne!(
        zander(&with),
        zander(&without),
        "what was told changes their way"
    );
    for sheet in ["room", "props", "record", "cards"] {
        assert_eq!(with.forms(sheet), without.forms(sheet), "{sheet}");
    }
}

/// Which of two people has which need is not to be read from what hangs in the room.
#[rstest]
#[case("ten-past-one", "Siobhán", "Pradeep")]
#[case("ten-past-one", "Gwendolen", "Malik")]
#[case("tuesday-wind-down", "Kwame", "Rohan")]
fn the_page_reads_the_same_when_two_people_swap_names(
    #[case] case: &str,
    #[case] one: &str,
    #[case] other: &str,
) {
    let roster = file(case, "roster.yaml");
    let swapped = roster
        .replace(&format!("name: {one}"), "name: Nobodyelse")
        .replace(&format!("name: {other}"), &format!("name: {one}"))
        .replace("name: Nobodyelse", &format!("name: {other}"));
    assert_ne!(roster, swapped);
    let (class, props) = (file(case, "class.yaml"), file(case, "props.yaml"));
    let before = Planned::new(&class, &roster, Some(&props));
    let after = Planned::new(&class, &swapped, Some(&props));
    for sheet in ["room", "props"] {
        assert_eq!(before.forms(sheet), after.forms(sheet), "{sheet}");
    }
}

/// A few people are never counted out: numbers below three are not printed of what people fetch.
#[test]
fn a_small_number_of_props_points_to_nobody() {
    let planned = Planned::new(
        SMALL_CLASS,
        "recorded: 2026-05-01\nstudents:\n  - {name: Quibble, limitations: []}\n  - {name: Wexford, limitations: [{what: wrist, side: both}]}\n",
        None,
    );
    let text = page_text::text(&planned.document("props"), 80);
    assert!(text.contains("up to 3"), "{text}");
    for small in ["1 chair", "2 chairs", "1 block", "2 blocks"] {
        assert!(!text.contains(&format!(" {small} ")), "{text}");
    }
}

/// A case in which everybody's name is a word that begins as no other word does, the notes that
/// speak of others included; `private` are confidential besides.
fn masked(case: &str, private: &[&str]) -> (Planned, Vec<String>) {
    let mut roster = file(case, "roster.yaml");
    for name in private {
        let told = format!("- name: {name}\n");
        assert!(roster.contains(&told), "{name} is there");
        roster = roster.replace(&told, &format!("{told}    confidential: true\n"));
    }
    let mut names: Vec<String> = Planned::case(case)
        .adapted
        .students
        .iter()
        .map(|student| student.name.clone())
        .collect();
    names.sort_by_key(|name| std::cmp::Reverse(name.len()));
    let mut marks = Vec::new();
    for (letter, name) in ('a'..).zip(&names) {
        let mark = format!("X{letter}quo");
        roster = roster.replace(name.as_str(), &mark);
        marks.push(mark.to_lowercase());
    }
    let planned = Planned::new(
        &file(case, "class.yaml"),
        &roster,
        Some(&file(case, "props.yaml")),
    );
    assert_eq!(planned.adapted.students.len(), marks.len());
    (planned, marks)
}

/// Names, their shortest starts and their initials, whoever they are of.
fn marked(text: &str) -> BTreeSet<String> {
    let found = words(text).into_iter();
    found.filter(|word| word.starts_with('x')).collect()
}

#[rstest]
fn the_room_and_the_props_hold_no_name_no_short_name_and_no_initial(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let (planned, marks) = masked(case, &[]);
    let own: BTreeSet<String> = planned
        .forms("teacher")
        .iter()
        .flat_map(|form| marked(form))
        .collect();
    assert!(
        marks.iter().all(|mark| own.contains(mark)),
        "the search finds names: {own:?}"
    );
    assert!(
        own.iter().any(|word| word.len() == 2),
        "and short names: {own:?}"
    );
    for sheet in ["room", "props"] {
        for form in planned.forms(sheet) {
            assert_eq!(marked(&form), BTreeSet::new(), "{sheet} of {case}");
        }
    }
}

/// A choice that one person takes stands on the room sheet as every other choice does: open to
/// everyone, under one head, with neither a margin word nor a count.
#[rstest]
fn a_choice_of_one_person_is_marked_as_nobodys(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let (planned, _) = masked(case, &[]);
    let options = planned.adapted.steps.iter().flat_map(|step| &step.options);
    let of_one = options.filter(|option| option.students.len() == 1);
    assert!(of_one.count() > 0, "{case} has choices of one person");
    let room = planned.document("room");
    let tables = room.pages.iter().flat_map(|page| &page.blocks);
    let mut looked = 0;
    for table in tables.filter_map(|block| match block {
        kindfold::sheets::page::Block::Table(table) => Some(table),
        _ => None,
    }) {
        assert_eq!(table.heads.get(3), Some(&"Or, for anyone"));
        for cell in table
            .groups
            .iter()
            .flat_map(|group| &group.rows)
            .filter_map(|row| row.get(3))
        {
            assert_eq!(cell.strong, "", "no choice stands out");
            for line in &cell.lines {
                let found = words(line);
                for never in ["aloud", "quiet", "watch", "person", "people", "somebody"] {
                    assert!(!found.contains(never), "“{line}” says {never}");
                }
                looked += 1;
            }
        }
    }
    assert!(looked > 5, "{case}: {looked} choices were looked at");
}

/// Synonyms of a condition, as the lexicon knows them, are no words of the room or the props either.
#[rstest]
fn no_word_for_a_condition_stands_in_the_room(
    #[values("room", "props")] sheet: &str,
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let never = [
        "pregnant",
        "pregnancy",
        "expecting",
        "bump",
        "glaucoma",
        "osteoporosis",
        "osteopenia",
        "thin bones",
        "vertigo",
        "dizzy",
        "giddy",
        "arthritis",
        "stroke",
        "parkinson",
        "tremor",
        "diabetes",
        "diabetic",
        "blood pressure",
        "tablet",
        "hernia",
        "sciatica",
        "slipped disc",
        "replacement",
        "implant",
        "frozen shoulder",
        "carpal",
        "injury",
        "injured",
        "surgery",
        "operation",
        "wheelchair",
        "migraine",
        "asthma",
        "epilepsy",
        "cancer",
        "anxiety",
        "deaf",
        "hypermobile",
        "hypermobility",
        "limitation",
        "condition",
        "diagnosis",
        "patient",
        "sore",
        "kept from",
        "spared",
        "only with",
        "ask first",
    ];
    for form in Planned::case(case).forms(sheet) {
        // The closing paragraph's signs to stop at are the same for every class.
        let text = visible(&form).to_lowercase();
        let text = text.split("stop and get help").next().unwrap_or("");
        for word in never {
            assert!(
                !text.contains(word),
                "“{word}” stands on the {sheet} sheet of {case}"
            );
        }
    }
}

/// Every card alone, in every form, holds its owner's name and no other, not even in a quoted note.
#[rstest]
fn every_form_of_a_card_holds_one_person(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let (planned, marks) = masked(case, &[]);
    let cards = planned.document("cards");
    assert!(cards.pages.len() > 2, "{case}");
    for page in &cards.pages {
        let alone = Document {
            pages: vec![page.clone()],
            ..cards.clone()
        };
        let owner: BTreeSet<String> = marks
            .iter()
            .filter(|mark| page.title.to_lowercase().starts_with(mark.as_str()))
            .cloned()
            .collect();
        assert_eq!(owner.len(), 1, "{}", page.title);
        for form in [
            page_text::text(&alone, 80),
            page_markdown::markdown(&alone),
            page_html::html(&alone, library(), Print::default()),
            page_html::html(&alone, library(), LARGE),
        ] {
            assert_eq!(marked(&form), owner, "the card of {}", page.title);
        }
    }
}

/// Three confidential people and a recording: they stand on the own page, the cautions and a card
/// asked for by name; on floor pages, room, props, record and other cards nothing is of them.
#[test]
fn confidential_people_stand_on_own_page_cautions_and_their_own_card_only() {
    let (planned, _) = masked("tuesday-wind-down", &["Kwame", "Farida"]);
    let students = planned.adapted.students.iter();
    let private: Vec<_> = students.filter(|student| student.confidential).collect();
    assert_eq!(private.len(), 3);
    for sheet in ["room", "props", "record", "cards"] {
        for form in planned.forms(sheet) {
            let found = marked(&form);
            for person in &private {
                for word in [&person.name, &person.short_name] {
                    assert!(!found.contains(&word.to_lowercase()), "{word} on {sheet}");
                }
            }
        }
    }
    for sheet in ["teacher", "cautions"] {
        for form in planned.forms(sheet) {
            let found = marked(&form);
            for person in &private {
                assert!(
                    found.contains(&person.name.to_lowercase()),
                    "{} on {sheet}",
                    person.name
                );
            }
        }
    }
    let paper = teacher_html::html(&planned.sheet(), library(), Print::default());
    let (_, floor) = paper
        .split_once("class=\"newpage\"")
        .expect("floor pages follow");
    let floor = marked(floor);
    assert!(!floor.is_empty());
    for person in &private {
        assert!(
            !floor.contains(&person.short_name.to_lowercase()),
            "{}",
            person.name
        );
        let card = page_text::text(&planned.card_of(&person.name), 80);
        assert_eq!(marked(&card), BTreeSet::from([person.name.to_lowercase()]));
    }
}

/// What is said or shown to a camera names nobody, and who watches later has no card and no place
/// in the record.
#[test]
fn a_recordings_class_names_nobody() {
    let (planned, _) = masked("tuesday-wind-down", &[]);
    let recording = planned
        .adapted
        .students
        .iter()
        .find(|student| student.place == "recording");
    let recording = recording.expect("the case is recorded");
    let sheet = planned.sheet();
    let mut aloud = 0;
    for row in sheet.sections.iter().flat_map(|section| &section.rows) {
        assert_eq!(marked(&row.name), BTreeSet::new());
        for line in &row.beside {
            aloud += usize::from(line.margin == Margin::Aloud);
            assert_eq!(marked(&line.text), BTreeSet::new(), "{}", line.text);
            assert!(!line.names.contains(&recording.short_name), "{}", line.text);
        }
    }
    assert!(aloud > 10, "{aloud} choices are said aloud");
    for sheet in ["room", "props", "record", "cards"] {
        for form in planned.forms(sheet) {
            assert!(
                !marked(&form).contains(&recording.name.to_lowercase()),
                "{sheet}"
            );
        }
    }
}
