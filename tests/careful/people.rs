//! Words about people, where somebody reads them: whose word is named, what is only made less, what is not acted
//! on, and the reasons for a step.

use super::*;

/// The reasons for a step of Class A.
fn why(step: &str, student: Option<&str>, format: &str) -> String {
    let mut args = vec![
        "why",
        "class.yaml",
        "--roster",
        "roster.yaml",
        "--props",
        "props.yaml",
        "--step",
        step,
        "--format",
        format,
    ];
    args.extend(student.into_iter().flat_map(|name| ["--student", name]));
    let output = kindfold(&args, &folder("tuesday-wind-down"));
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{told}");
    let text = String::from_utf8_lossy(&output.stdout);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// One person in a class of these shapes, as the teacher's sheet reads and as their card does.
fn one(shapes: &[&str], person: &str) -> (String, String) {
    use kindfold::sheets::card;
    let steps: String = shapes
        .iter()
        .map(|shape| format!("      - {{posture: {shape}}}\n"))
        .collect();
    let class = format!(
        "title: One\ndate: 2026-11-25\nminutes: 20\nsections:\n  - name: All\n    steps:\n{steps}"
    );
    let roster = format!("recorded: 2026-11-25\nstudents:\n  - {{name: Ines, {person}}}\n");
    let props = "block: 2\nblanket: 4\nchair: 2\nwall: 2\nbolster: 1\n";
    let adapted = planned(&class, &roster, Some(props));
    let id = &adapted.students[0].id;
    let card = card::cards(&adapted, &Settings::default(), library(), Some(id));
    (read(&adapted), format!("{card:?}"))
}

/// “sin peso” is about weight: of arms up, or behind, no clinician spoke.
#[test]
fn why_names_a_clinician_only_where_one_asked() {
    for (step, because) in [
        ("12", "Reaching right up is the range most often sore."),
        ("22", "The arm is drawn behind."),
        ("23", "Reaching right up is the range most often sore."),
    ] {
        let reasons = why(step, Some("Carlos"), "json");
        let reasons: serde_json::Value = serde_json::from_str(&reasons).expect("JSON");
        let kept = reasons["kept_from"].as_array().expect("a list");
        let said = |kept: &serde_json::Value, words: &str| kept["because"] == words;
        assert!(kept.iter().any(|kept| said(kept, because)), "{kept:?}");
        for kept in kept {
            let asked = said(kept, "Their clinician asked to keep away from this.");
            let rule = kept["rule"].as_str().expect("an id");
            assert_eq!(asked, rule.starts_with("guidance-"), "{kept}");
        }
    }
    assert!(!why("12", Some("Carlos"), "text").contains("clinician asked"));
}

/// A shape as flat as the taught one is not free of that, and what could be eased kept her from nothing.
#[test]
fn why_says_what_another_shape_asks_as_well() {
    let text = why("4", Some("Aoife"), "text");
    let (rules, looked) = text.split_once("Looked at, nearest first").expect("a list");
    assert_eq!(
        rules.matches("flat on the back: ").count(),
        1,
        "said once: {rules}"
    );
    assert!(!rules.contains("Kept from"), "{rules}");
    reads(rules, &["No rule keeps them from the taught shape"]);
    let chosen = between(looked, "hands behind the thigh", "; chosen");
    reads(
        chosen,
        &["flat on the back too, only with “turn to the side at once if light-headed"],
    );
    assert!(!chosen.contains("free of that"), "{chosen}");
    let chair = between(looked, "chair leg lift", "chair fold");
    reads(chair, &["free of that", "further from the class with it"]);
}

/// What a plan would be is said in words, and a class planned otherwise is not held against this one.
#[test]
fn why_says_in_words_what_another_plan_would_be() {
    let text = why("23", Some("Carlos"), "text");
    reads(
        &text,
        &["with it somebody would be left with nothing to do"],
    );
    assert!(
        !text.contains("would cost") && !text.contains("505"),
        "{text}"
    );
    let room = why("4", None, "text");
    reads(
        &room,
        &[
            "Had you planned another shape here (minus: the room would stray less from that class)",
            "Were one more choice said here (plus: further from your class)",
            "supine leg stretch, hands behind the thigh shown",
            "This is the least change to your class under your settings (proved).",
        ],
    );
    assert!(!room.contains("less is nearer"), "{room}");
}

/// What only a confidential person is kept from stands under no demand.
#[test]
fn why_names_no_demand_of_a_confidential_person_alone() {
    let room = why("22", None, "text");
    let counts = between(&room, "could not take locust as it is", "Looked at");
    reads(counts, &["kept private 1"]);
    assert!(!counts.contains("belly"), "{counts}");
}

/// “I can get down. Getting up I need a chair”: not kept from the floor, and not argued with.
#[test]
fn whoever_rises_by_a_chair_is_not_kept_from_the_floor() {
    let rivka = who(class_c(), "Rivka").cautions();
    reads(&rivka, &["to and from the floor only with a chair."]);
    assert!(!rivka.contains("kept from getting"), "{rivka}");
    assert!(!rivka.contains("argued"), "{rivka}");
    let own = "limitations: [{what: no-getting-down, kind: with-a-chair, note: up by a chair}]";
    let (text, _) = one(&["mountain, breaths: 3", "final rest, minutes: 3"], own);
    reads(
        &text,
        &["“up by a chair”: to and from the floor only with a chair."],
    );
    // Who does not go down at all is kept from it.
    let (text, _) = one(
        &["mountain, breaths: 3", "final rest, minutes: 3"],
        "limitations: [{what: no-getting-down}]",
    );
    reads(
        &text,
        &["kept from getting to or from the floor. This is their own wish"],
    );
}

/// “Kept from” is for what a rule avoids; what it only eases is spared.
#[test]
fn an_ease_that_moved_somebody_is_no_ban() {
    // Rules, section 2: rounding is eased for a moderate low back, and avoided for a moderate thin-boned one.
    let (back, _) = one(
        &["standing forward fold, breaths: 5"],
        "limitations: [{what: low-back}]",
    );
    reads(&back, &["spared rounding the back under load"]);
    assert!(!back.contains("kept from"), "{back}");
    let (bones, _) = one(
        &["seated forward fold, breaths: 5"],
        "limitations: [{what: osteoporosis}]",
    );
    reads(&bones, &["kept from rounding the back under load"]);
    assert!(!bones.contains("spared"), "{bones}");
    // The knee that kneels on a blanket elsewhere.
    let kwame = who(class_a(), "Kwame").cautions();
    reads(
        &kwame,
        &["kept from deep knee bend (right); spared weight on the knees (right)"],
    );
}

/// Places in the project's notes mean nothing to a teacher.
fn codes(text: &str) -> Vec<String> {
    let numbered = |word: &str, mark: &str| {
        let number = word.strip_prefix(mark);
        number.is_some_and(|number| number.starts_with(|first: char| first.is_ascii_digit()))
    };
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || "()[],;.".contains(c))
        .filter(|word| !word.is_empty())
        .collect();
    let single = words
        .iter()
        .filter(|word| ["OC-", "R"].iter().any(|mark| numbered(word, mark)));
    let double = words
        .windows(2)
        .filter(|two| two[0] == "V" && numbered(two[1], ""));
    let single = single.map(|word| (*word).to_owned());
    single.chain(double.map(|two| two.join(" "))).collect()
}

#[test]
fn the_search_for_codes_finds_them() {
    assert_eq!(codes("a vein is spared (V 66)."), ["V 66"]);
    assert_eq!(
        codes("Sports Med 2018 (OC-76, OC-79) and R12"),
        ["OC-76", "OC-79", "R12"]
    );
    assert_eq!(codes("RA, L4/5, warrior II, T1, 2 V"), Vec::<String>::new());
}

#[test]
fn no_sheet_and_no_reason_holds_a_code_of_the_project() {
    for (what, text) in printed() {
        assert_eq!(codes(text), Vec::<String>::new(), "{what}");
    }
    for (step, who) in [
        ("4", "Aoife"),
        ("12", "Carlos"),
        ("14", "Mei-Ling"),
        ("23", "Kwame"),
    ] {
        let text = why(step, Some(who), "text");
        assert!(
            text.contains("common practice") || text.contains("differ") || text.contains("study")
        );
        assert_eq!(codes(&text), Vec::<String>::new(), "step {step} for {who}");
    }
    // What both sides of a stance say, whoever is told of it.
    for (id, stance) in &library().stances {
        for text in [&stance.one_side, &stance.other_side]
            .into_iter()
            .chain(stance.words.values())
        {
            assert_eq!(codes(text), Vec::<String>::new(), "{id}: {text}");
        }
    }
    for (id, source) in &library().sources {
        let note = source.note.as_deref().unwrap_or_default();
        assert_eq!(codes(note), Vec::<String>::new(), "{id}: {note}");
    }
}

/// A friend's word, one older than it may be, one from before it happened: the own page says that it is not acted
/// on and why; no card puts it first.
#[test]
fn words_that_are_not_acted_on_say_so_and_come_first_on_no_card() {
    let wrist = |said: &str| {
        format!(
            "limitations: [{{what: wrist, side: left}}, {{what: hip-replacement, side: right, approach: anterior, \
             on: 2026-08-20}}], guidance: [{{{said}}}]"
        )
    };
    for (said, why) in [
        (
            "from: friend, on: 2026-11-02, about: wrist, says: you may lean on it, allows: [weight-on-hands]",
            "“you may lean on it” (not acted on: not a clinician’s word)",
        ),
        (
            "from: physio, on: 2024-03-02, about: wrist, says: you may lean on it, allows: [weight-on-hands]",
            "“you may lean on it” (not acted on: over a year old)",
        ),
        (
            "from: physio, about: wrist, says: you may lean on it, allows: [weight-on-hands]",
            "“you may lean on it” (not acted on: no date)",
        ),
        (
            "from: surgeon, on: 2026-08-01, about: hip-replacement, says: bend freely, allows: [deep-hip-bend]",
            "“bend freely” (not acted on: from before it happened, or the same day)",
        ),
    ] {
        let (text, card) = one(
            &["tabletop, breaths: 3", "standing forward fold, breaths: 3"],
            &wrist(said),
        );
        reads(&text, &[why]);
        assert!(
            !card.contains("comes first") && !card.contains("You told us"),
            "{said}: {card}"
        );
    }
    let said = "from: physio, on: 2026-10-12, about: wrist, says: you may lean on it, allows: [weight-on-hands]";
    let (text, card) = one(
        &["tabletop, breaths: 3", "standing forward fold, breaths: 3"],
        &wrist(said),
    );
    assert!(!text.contains("not acted on"), "{text}");
    reads(
        &card,
        &["You told us your physio said: “you may lean on it”. What they say comes first."],
    );
    // Words that ask for nothing to be opened are whole as they are, however old.
    let said = "from: physio, on: 2024-03-02, about: wrist, says: carry on";
    let (text, card) = one(&["tabletop, breaths: 3"], &wrist(said));
    assert!(!text.contains("not acted on"), "{text}");
    reads(&card, &["carry on"]);
}

/// Their own words stand before ours, and what is asked first is asked.
#[test]
fn what_they_said_stands_before_what_it_is_planned_as() {
    reads(
        &sheet("tuesday-wind-down", &[]),
        &[
            "Leilani (video) said today: “crystals in my ear again”. How is it now? Planned as vertigo, acute; this \
             outranks the form.",
            "Told: “shoulders pop out”, planned as hypermobility.",
            "“spine T-score -2.8”, planned as thin bones: kept from",
            "“bad back”, read as low back: spared rounding the back under load",
        ],
    );
    // What a score comes to is nowhere said to be so.
    let (text, _) = one(
        &["seated forward fold, breaths: 5"],
        "limitations: [\"spine T-score -2.8\"]",
    );
    reads(
        &text,
        &["“spine T-score -2.8”, planned as thin bones: kept from"],
    );
    assert!(!text.contains("Thin bones"), "{text}");
    assert!(!read(class_a()).contains("said today: vertigo"));
}

/// Read aloud beside another shape, a choice says where it is done.
#[test]
fn a_choice_of_another_place_says_its_place() {
    for (id, place) in [
        ("ramp-rest-legs-over-a-roll", "ramp"),
        ("supported-seated-fold-on-a-chair-seat", "Sit"),
        ("wall-dog-hands-high", "At the wall"),
        ("knees-to-chest-holding-thighs", "On your back"),
    ] {
        let choice = &posture(&id.into()).choice;
        assert!(choice.contains(place), "{id}: {choice}");
    }
}

/// One person in a chair is no reason to send the room away; a room in which most steps are left by several is.
#[test]
fn another_class_is_advised_to_a_room_and_not_for_one_in_a_chair() {
    let room = "another class would suit this room better";
    let one_sits = "recorded: 2026-05-12\nstudents:\n  - {name: Ada, limitations: [{what: stays-in-chair}]}\n  - {name: Bo, \
                    limitations: []}\n  - {name: Cy, limitations: []}\n  - {name: Di, limitations: []}\n";
    let class = file("tuesday-wind-down", "class.yaml");
    let adapted = planned(
        &class,
        one_sits,
        Some(&file("tuesday-wind-down", "props.yaml")),
    );
    let text = read(&adapted);
    assert!(!text.contains(room), "{text}");
    reads(
        &text,
        &["Ada does something other than the class for most of it. Another class may be kinder."],
    );
    assert!(!read(class_c()).contains(room));
    assert!(!read(class_a()).contains(room));
}

/// A card on which every step is another shape does not begin by telling them to do what everyone does.
#[test]
fn a_card_of_another_way_from_end_to_end_says_so() {
    use kindfold::sheets::card;
    let own_way = "This is your own way through the class. You can rest at any time.";
    let of = |name: &str| {
        let id = &who(class_c(), name).plan.id;
        let card = card::cards(class_c(), &Settings::default(), library(), Some(id));
        format!("{card:?}")
    };
    let ibrahim = of("Ibrahim");
    reads(&ibrahim, &[own_way]);
    assert!(!ibrahim.contains("Do what everyone does"), "{ibrahim}");
    reads(
        &of("Giulia"),
        &["Do what everyone does, with these changes."],
    );
}
