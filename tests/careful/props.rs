//! One count for whoever lays out and whoever teaches: the props sheet beside the teacher's.

use std::collections::BTreeMap;

use kindfold::sheets::page::Block;
use kindfold::sheets::props::props;
use kindfold::sheets::teacher::{Margin, Sheet};

use super::*;

/// The rows under a heading of the props sheet, cell by cell.
fn rows(adapted: &Adapted, heading: &str) -> Vec<Vec<String>> {
    let document = props(adapted, &Settings::default(), library());
    let mut under = false;
    let mut rows = Vec::new();
    for block in document.pages.iter().flat_map(|page| &page.blocks) {
        match block {
            Block::Heading(text) => under = text == heading,
            Block::Table(table) if under => {
                let of_table = table.groups.iter().flat_map(|group| &group.rows);
                rows.extend(of_table.map(|row| row.iter().map(|cell| cell.words()).collect()));
            }
            _ => {}
        }
    }
    rows
}

/// The row of a prop among what is carried in.
fn carried(adapted: &Adapted, prop: &str) -> Vec<String> {
    let rows = rows(adapted, "Carry in");
    let row = rows.into_iter().find(|row| row[0] == prop);
    row.expect("the prop is carried in")
}

fn teachers(adapted: &Adapted) -> Sheet {
    teacher::sheet(adapted, &Settings::default(), library())
}

/// “6 blocks, yours too”: whether it is only a bound, how many, and of what.
fn counted(words: &str) -> (bool, u32, String) {
    let exact = words.strip_prefix("up to ");
    let (number, noun) = exact
        .unwrap_or(words)
        .split_once(' ')
        .expect("a number and what of");
    let noun = noun.split(',').next().unwrap_or(noun);
    (
        exact.is_some(),
        number.parse().expect("a number"),
        noun.trim_end_matches('s').to_owned(),
    )
}

/// What is fetched along the teacher's sheet for a step, by the clock: not what is for a way to it, nor what
/// one person alone has beyond.
fn fetched(sheet: &Sheet) -> Vec<(&str, &str)> {
    let rows = sheet.sections.iter().flat_map(|section| &section.rows);
    let lines = rows.flat_map(|row| row.beside.iter().map(|line| (row.clock.as_str(), line)));
    let fetch = lines.filter(|(_, line)| line.margin == Margin::Fetch);
    fetch
        .map(|(clock, line)| (clock, line.text.as_str()))
        .filter(|(_, text)| !text.contains(" more, for "))
        .collect()
}

#[test]
fn both_sheets_fetch_the_same_at_the_same_moment() {
    let mut looked = 0;
    for adapted in [class_a(), class_b(), class_c()] {
        let mut told: BTreeMap<(String, String), (bool, u32)> = BTreeMap::new();
        for row in rows(adapted, "Fetch and put away") {
            assert!(!row[3].contains(';'), "which of them? {row:?}");
            for words in row[2].split("; ") {
                if !words.ends_with("more, for the way") {
                    let (bound, number, noun) = counted(words);
                    told.insert((row[0].clone(), noun), (bound, number));
                }
            }
        }
        let sheet = teachers(adapted);
        for (clock, text) in fetched(&sheet) {
            let (_, number, noun) = counted(text);
            let props = told.remove(&(clock.to_owned(), noun));
            let (bound, most) = props.expect("the props sheet brings it as well");
            assert!(
                number == most || (bound && number <= most),
                "{clock} {text}: {most}"
            );
            looked += 1;
        }
        assert!(told.is_empty(), "the teacher does not read of {told:?}");
    }
    assert!(looked > 15, "{looked} moments");
}

/// What does not come from another place comes from along the wall, and so much stands there.
#[test]
fn what_is_fetched_from_the_wall_was_set_out_there() {
    for adapted in [class_a(), class_b(), class_c()] {
        let sheet = teachers(adapted);
        let mut wall: BTreeMap<String, u32> = BTreeMap::new();
        for line in &sheet.set_out {
            let (_, _, noun) = counted(line.strip_prefix("keep ").unwrap_or(line));
            let mut parts = line.split("; ");
            if let Some(part) = parts.find(|part| part.contains("along the wall")) {
                let noun = noun.split(" along").next().unwrap_or(&noun);
                let noun = noun.split(" at every").next().unwrap_or(noun);
                wall.insert(noun.trim_end_matches('s').to_owned(), counted(part).1);
            }
        }
        let mut taken: BTreeMap<String, u32> = BTreeMap::new();
        for (_, text) in fetched(&sheet) {
            let (_, number, noun) = counted(text);
            let mut parts = text.split(", ");
            let spared = parts.find(|part| part.ends_with("from others"));
            let spared = spared.map_or(0, |part| match part.split_once(' ') {
                Some(("from", _)) => number,
                _ => counted(part).1,
            });
            *taken.entry(noun).or_insert(0) += number - spared;
        }
        for (noun, number) in taken {
            let there = wall.get(&noun).copied().unwrap_or(0);
            assert!(
                number <= there,
                "{number} {noun} fetched of {there} along the wall: {:?}",
                sheet.set_out
            );
        }
    }
    // All twelve blocks lie at the places: whoever needs two has one from somebody else.
    reads(
        between(&read(class_a()), "Pyramid", "Tree"),
        &["fetch 6 blocks, yours too, from others"],
    );
}

/// Few are a bound on the one sheet and a number on the other; the sheet with the bound says so.
#[test]
fn a_bound_says_that_it_is_one() {
    let said = |adapted: &Adapted| {
        let document = props(adapted, &Settings::default(), library());
        let mut blocks = document.pages[0].blocks.clone().into_iter();
        blocks.any(|block| matches!(block, Block::Line(line) if line.starts_with("“Up to” stands for so few")))
    };
    assert_eq!(carried(class_a(), "Chair")[1], "up to 3");
    assert!(said(class_a()));
    let class = "title: Chairs\ndate: 2026-05-31\nminutes: 10\nsections:\n  - name: One\n    steps:\n      - {posture: mountain, breaths: 5}\n";
    let nobody = planned(
        class,
        "students:\n  - {name: Odalys, limitations: []}\n",
        None,
    );
    assert!(!said(&nobody));
}

/// Half moon takes one block each, and there are twelve with the teacher's.
#[test]
fn none_spare_is_said() {
    reads(
        &read(class_a()),
        &[
            "24 blocks for everyone; 12 there, none spare at 19:45 and 19:53.",
            "6 straps along the wall, for anyone; none spare",
        ],
    );
    let blocks = carried(class_a(), "Block");
    assert_eq!(blocks[1..3], ["12", "12"]);
    assert!(blocks[3].starts_with("none spare; "), "{blocks:?}");
}

/// The plan has enough: what the class as taught would want is told apart.
#[test]
fn what_is_needed_is_of_the_plan_and_what_everyone_would_want_is_said_beside_it() {
    assert_eq!(
        carried(class_c(), "Block")[1..],
        [
            "19",
            "22",
            "3 spare; 28 short if all did as taught: a thick book, or a blanket folded small",
        ]
    );
    // Keola brings a bolster: 25 would want one with the teacher, 24 of them from the hall.
    assert_eq!(
        carried(class_c(), "Bolster")[1..],
        [
            "16",
            "16",
            "none spare; 8 short if all did as taught (one person brings their own): rolled blankets or a \
             sofa cushion",
        ]
    );
    reads(
        &read(class_c()),
        &["24 bolsters for everyone (one person brings their own); 16 there."],
    );
}

/// Bolsters as well: they are what everyone sees first.
#[test]
fn every_prop_that_is_short_is_named_where_a_lead_changes_for_it() {
    reads(
        &read(class_c()),
        &["lead shapes changed: 4 (too few blocks, blankets, straps and bolsters"],
    );
}

/// A stand-in takes nothing of what is short, and serves for the same: a blanket to sit on is no hand rest.
#[test]
fn a_stand_in_serves_for_the_same() {
    let text = read(class_a());
    let wall = between(&text, "11 places at the wall for everyone", "Say once");
    reads(
        wall,
        &["Instead: a steady chair that stands on the mat, or a shut door."],
    );
    assert!(
        !text.contains("“lower hand on a block” does as well"),
        "{text}"
    );
    assert!(!carried(class_a(), "Blanket")[3].contains("block"));
    // Hands on a chair seat are what hands on blocks are for.
    reads(&text, &["“hands on a chair seat” does as well"]);
}

/// Nobody in the room uses any prop, but some are offered to anyone.
#[test]
fn what_is_only_offered_to_anyone_lies_ready() {
    let class = "title: Probe\ndate: 2026-05-31\nminutes: 30\nsections:\n  - name: One\n    steps:\n      - {posture: constructive rest, breaths: 24}\n      - {posture: tree, side: each, breaths: 6}\n      - {posture: final rest, minutes: 8}\n";
    let roster = "recorded: 2026-05-24\nstudents:\n  - {name: Odalys, limitations: []}\n  - {name: Later, where: recording}\n";
    let adapted = planned(class, roster, None);
    let offered = adapted.steps.iter().flat_map(|step| &step.options);
    let mut offered = offered.filter(|option| option.for_anyone);
    assert!(offered.any(|option| option.props.contains_key(&Prop::Chair)));
    let text = read(&adapted);
    reads(
        between(&text, "Set out", "Say once to everyone"),
        &["a block and a chair for what anyone may choose, if they are there"],
    );
    let document = props(&adapted, &Settings::default(), library());
    let blocks = &document.pages[0].blocks;
    let choice = "The plan needs no props but the mats. Have ready a block and a chair for what anyone may choose, \
                  if they are there.";
    let said = blocks
        .iter()
        .any(|block| matches!(block, Block::Line(line) if line == choice));
    assert!(said, "{blocks:?}");
    // Where nothing is offered either, none is needed.
    let nothing = planned(
        class,
        "students:\n  - {name: Odalys, limitations: []}\n",
        None,
    );
    let blocks = &props(&nothing, &Settings::default(), library()).pages[0].blocks;
    let said = blocks.iter().any(|block| {
        matches!(block, Block::Line(line) if line == "This class needs no props but the mats.")
    });
    assert!(said, "{blocks:?}");
}

/// Whoever brings both blankets, the one of the line and the one under everybody's knees, does the shape as taught.
#[test]
fn own_blankets_serve_a_padded_line_with_a_blanket() {
    let class = "title: Two\nminutes: 20\ndate: 2026-05-12\nsections:\n  - name: All\n    steps:\n      \
                 - {posture: tabletop-on-fists, breaths: 4, padded: yes, props: {blanket: 1}}\n";
    let roster = "recorded: 2026-05-12\nstudents:\n  - {name: Wren, has: {blanket: 2}}\n";
    let adapted = planned(class, roster, Some("blanket: 1\n"));
    let given = &adapted.students[0].assignments[0];
    assert_eq!(given.props.get(&Prop::Blanket), Some(&2));
    assert_eq!(adapted.plan.objective, 0);
}

/// A wall steadies where there is one; where there is none a chair does.
#[test]
fn a_chair_steadies_where_there_is_no_wall() {
    let class = "title: Up\nminutes: 20\ndate: 2026-05-12\nsections:\n  - name: All\n    steps:\n      \
                 - {posture: tree, breaths: 5}\n";
    let roster = "recorded: 2026-05-12\nstudents:\n  - {name: Wren, limitations: [{what: ankle, severity: moderate}]}\n";
    for (stock, holds) in [
        ("chair: 2\nwall: 0\n", Prop::Chair),
        ("chair: 2\nwall: 2\n", Prop::Wall),
    ] {
        let adapted = planned(class, roster, Some(stock));
        let given = &adapted.students[0].assignments[0];
        assert_eq!(given.posture.as_str(), "tree");
        assert_eq!(given.props, [(holds, 1)].into());
    }
}
