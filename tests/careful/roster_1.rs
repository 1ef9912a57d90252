//! Scenarios, section 5: Roster 1 in Class B.

use super::*;

const FOLD: usize = 12;

#[test]
fn roster_1_line_01_the_fold_has_an_alternative_for_joan_t_and_everybody_rises_slowly() {
    let joan = who(class_b(), "Joan T.");
    assert!(!joan.as_taught(FOLD));
    let kept = joan.findings(FOLD);
    assert!(kept.iter().any(|(_, one)| is(one, "loaded-rounding", None)));
    assert!(joan.cautions().contains("no bending, no lifting"));
    // Her own hospital's words hold however the teacher sets what sources differ on.
    assert!(!sheet("ten-past-one", &[]).contains("Hinge with a long back (your setting"));
    assert!(
        joan.at(FOLD)
            .iter()
            .all(|(_, given)| !asks(&given.posture, "loaded-rounding"))
    );
    // By name beside the step, and one shape for all is worth a thought.
    let eirini = who(class_b(), "Eirini").findings(FOLD);
    let slowly = eirini
        .iter()
        .find(|(_, one)| is(one, "quick-level-change", None))
        .expect("she comes up from a fold");
    let eased = slowly.1.easing.as_deref().expect("it says how");
    assert!(eased.contains("come up slowly"), "{eased}");
    let said = advice(class_b(), AdviceKind::ReplacePosture);
    let said = said
        .iter()
        .find(|text| text.starts_with("Step 12 takes 1 min; 2 of 10"));
    assert!(
        said.is_some_and(|text| text.contains("for all")),
        "{said:?}"
    );
    let text = sheet("ten-past-one", &[]);
    let say_once = text
        .split_once("Say once to everyone")
        .expect("it is said")
        .1;
    assert!(
        say_once
            .split_once("Arrive")
            .expect("the first part")
            .0
            .contains("Come up slowly")
    );
}

#[test]
fn roster_1_line_02_two_joans_are_kept_apart_and_a_blank_form_is_unknown() {
    let (f, t) = (who(class_b(), "Joan F."), who(class_b(), "Joan T."));
    assert_ne!(f.plan.id, t.plan.id);
    assert_ne!(f.plan.short_name, t.plan.short_name);
    assert_eq!(f.plan.state, State::NotAsked);
    assert!(f.has_caution(CautionKind::NotAsked));
    // A form that came back empty is not the same as nobody having asked.
    let text = sheet("ten-past-one", &[]);
    reads(
        &text,
        &[
            "Joan F. blank form: anything to know today? Planned for as unknown.",
            "Bình never asked: anything to know today? Planned for as unknown.",
            "Blank form: unknown; a choice for anyone is theirs too.",
        ],
    );
}

/// The teacher sets the platform for the shapes that sit still; it is counted there and gone before the
/// stands.
#[test]
fn roster_1_line_03_a_foot_platform_is_there_while_sitting_and_gone_before_the_stands() {
    let note = "    note: feet do not reach the floor on the stacking chairs\n";
    let roster = file("ten-past-one", "roster.yaml");
    assert!(roster.contains(note));
    let fixed =
        format!("{note}    fixed: [{{line: 1, posture: \"seated mountain, feet on blocks\"}}]\n");
    let adapted = planned(
        &file("ten-past-one", "class.yaml"),
        &roster.replace(note, &fixed),
        Some(&file("ten-past-one", "props.yaml")),
    );
    let concetta = who(&adapted, "Concetta");
    let blocks = |line| -> u32 {
        let given = concetta.at(line).into_iter();
        given
            .filter_map(|(_, given)| given.props.get(&Prop::Block).copied())
            .sum()
    };
    assert_eq!((blocks(1), blocks(8)), (2, 0));
    let card = sheet(
        "ten-past-one",
        &["--sheet", "cards", "--student", "Concetta"],
    );
    reads(
        &card,
        &[
            "Two blocks or a folded blanket are there for your feet while you sit still. Away with them before you \
             stand. Put them back when you sit to rest. Yours is a chair with arms: press on them to stand up.",
        ],
    );
    // Where nobody fixed anything it stands beside her, is set out, and is put away before the stands.
    reads(
        &sheet("ten-past-one", &[]),
        &[
            "Concetta Feet off the floor: 2 blocks or a folded blanket while sitting still, away before standing, \
             back after; a chair with arms to rise.",
            "as a foot step at 1 chair: away before 13:19, back at 13:25",
            "1 chair with arms of the 3 there, to rise from",
            "feet do not reach the floor",
            "Right knee replacement, about 32 to 36 weeks ago; left knee replacement, about 10 to 14 weeks ago",
        ],
    );
    let text = sheet("ten-past-one", &[]);
    let stands = between(&text, "Sit to stand", "Heel raises");
    reads(
        stands,
        &["quiet foot step away first; up by the arms of the Co chair"],
    );
    let fold = between(&text, "Chair forward fold:", "Humming bee");
    reads(fold, &["quiet foot step back Co"]);
    // Without a chair with arms nobody is sent to one.
    let none = planned(
        &file("ten-past-one", "class.yaml"),
        &file("ten-past-one", "roster.yaml"),
        Some("chair: 12\nblock: 6\nblanket: 8\nwall: 2\n"),
    );
    let text = read(&none);
    reads(
        &text,
        &["hands on the seat to rise, there is no chair with arms"],
    );
    assert!(
        !text.contains("by the arms") && !text.contains("chair with arms of"),
        "{text}"
    );
}

/// As far as they go: what keeps her from the tree is the turn on a bent new knee, and of that nobody spoke.
#[test]
fn roster_1_line_03_the_surgeons_words_stand_and_no_bend_is_kept_from_concetta() {
    let text = sheet("ten-past-one", &[]);
    let hers = between(&text, "Co Concetta", "Ei Eirini");
    reads(
        hers,
        &[
            "spared leg turned well out",
            "Surgeon, March 2026: “bend them as far as they go”",
        ],
    );
    assert!(!hers.contains("deep knee bend"), "{hers}");
    let why = {
        let files = ["--roster", "roster.yaml", "--props", "props.yaml"];
        let args = [
            &["why", "class.yaml", "--step", "10", "--student", "Concetta"],
            &files[..],
        ]
        .concat();
        let output = kindfold(&args, &folder("ten-past-one"));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let met = between(&why, "(left)", "common practice");
    reads(met, &["told: left knee replacement"]);
}

/// Where a bend itself is kept from somebody with new knees, the surgeon's words lower it to a watch.
#[test]
fn roster_1_line_03_a_deep_bend_is_watched_on_the_surgeons_words() {
    let class = "title: Deep\nminutes: 20\ndate: 2026-05-13\nbreath_seconds: 9\nsections:\n  - name: One\n    steps:\n      \
                 - {posture: garland squat, breaths: 5}\n";
    let person = |said: &str| {
        let roster = format!(
            "recorded: 2026-04-29\nstudents:\n  - name: Concetta\n    limitations:\n      - {{what: knee-replacement, \
             side: both, on: 2025-09, severity: mild}}\n{said}"
        );
        planned(class, &roster, None)
    };
    let kept = |adapted: &Adapted| {
        let found = who(adapted, "Concetta").findings(1);
        let mut bends = found
            .iter()
            .filter(|(_, one)| is(one, "deep-knee-bend", None));
        bends.any(|(_, one)| one.verdict == kindfold::words::Verdict::Avoid)
    };
    assert!(kept(&person("")));
    let said = "    guidance:\n      - {from: surgeon, on: 2026-03, about: knee-replacement, says: bend them as far as they \
                go}\n";
    assert!(!kept(&person(said)));
}

#[test]
fn roster_1_line_04_malik_stays_in_his_chair_and_his_left_arm_is_helped() {
    let malik = who(class_b(), "Malik");
    for line in 8..=10 {
        assert!(!malik.as_taught(line), "line {line} is taught on the feet");
    }
    for (step, given) in malik.done() {
        assert_eq!(
            posture(&given.posture).level,
            Level::Chair,
            "line {}",
            step.line
        );
        for side in given.verdicts.iter().filter_map(|finding| finding.side) {
            assert_eq!(side, BodySide::Left, "line {}", step.line);
        }
    }
    let wound = malik.findings(6);
    let wound = wound
        .iter()
        .find(|(_, one)| is(one, "arms-overhead", Some(BodySide::Left)))
        .expect("eagle arms")
        .1;
    let eased = wound.easing.as_deref();
    assert!(
        eased.is_some_and(|words| words.contains("one-armed")),
        "{eased:?}"
    );
    let raised = malik.findings(4);
    assert!(
        raised
            .iter()
            .any(|(_, one)| is(one, "arms-overhead", Some(BodySide::Left)))
    );
    let text = sheet("ten-past-one", &[]);
    assert!(text.contains("come from his right side; brakes on"));
}

#[test]
fn roster_1_line_05_harbhajan_spares_the_right_arm_only_and_both_sides_last_as_long() {
    let harbhajan = who(class_b(), "Harbhajan");
    for line in 1..=15 {
        for (_, finding) in harbhajan.findings(line) {
            assert_eq!(finding.side, Some(BodySide::Right), "line {line}");
        }
    }
    let raised = harbhajan.findings(4);
    assert!(raised.iter().any(|(_, one)| is(one, "arms-overhead", None)));
    for line in 1..=15 {
        let holds: BTreeSet<u32> = harbhajan
            .at(line)
            .iter()
            .map(|(_, given)| given.hold_s)
            .collect();
        assert_eq!(holds.len(), 1, "line {line}");
        let sides: Vec<Side> = harbhajan
            .at(line)
            .iter()
            .map(|(step, _)| step.taught.side)
            .collect();
        let given: Vec<Side> = harbhajan
            .at(line)
            .iter()
            .map(|(_, given)| given.side)
            .collect();
        assert_eq!(sides, given, "line {line}");
    }
    let text = sheet("ten-past-one", &[]);
    let raise = between(&text, "Seated arm raise", "Chair side bend");
    reads(raise, &["quiet for the right: to shoulder height", "Ha"]);
    reads(
        &text,
        &["Told: “since January”, planned as right frozen shoulder"],
    );
}

#[test]
fn roster_1_line_06_siobhan_has_a_hold_while_standing_within_her_good_hours() {
    let siobhan = who(class_b(), "Siobhán");
    for line in [9, 10] {
        for (_, given) in siobhan.at(line) {
            let held = [Prop::Chair, Prop::ChairWithArms, Prop::Wall];
            assert!(
                held.iter().any(|prop| given.props.contains_key(prop)),
                "line {line}"
            );
        }
    }
    let text = sheet("ten-past-one", &[]);
    for (from, to) in [("Heel raises", "Tree"), ("Tree", "Chair warrior")] {
        let standing = between(&text, from, to);
        reads(
            standing,
            &[
                "the chair on a mat or against the wall",
                "Si",
                "big slow turns",
            ],
        );
    }
    assert!(text.contains("freezes when turning"));
    assert!(text.contains("good from one till about three"));
    assert!(text.contains("13:10 to 13:30"));
    let within = "13:00 to 15:00; the class, 13:10 to 13:30, lies within them";
    assert!(
        siobhan.cautions().contains(within),
        "{}",
        siobhan.cautions()
    );
    let later = planned(
        &file("ten-past-one", "class.yaml").replace("13:10", "14:50"),
        &file("ten-past-one", "roster.yaml"),
        Some(&file("ten-past-one", "props.yaml")),
    );
    let said = who(&later, "Siobhán").cautions();
    assert!(
        said.contains("13:00 to 15:00; the class, 14:50 to 15:10, does not"),
        "{said}"
    );
}

#[test]
fn roster_1_line_07_pradeep_does_not_look_up_and_is_not_touched() {
    let pradeep = who(class_b(), "Pradeep");
    for (step, given) in pradeep.done() {
        assert!(
            !asks(&given.posture, "neck-end-range"),
            "line {}",
            step.line
        );
    }
    assert_eq!(pradeep.plan.touch, "no");
    // Cat–cow as many do it looks up: he is told not to.
    let floor = sheet("ten-past-one", &["--width", "60"]);
    let cat = between(&floor, "Chair cat–cow", "Seated arm raise");
    reads(cat, &["quiet look ahead, not up (Pr)"]);
    // His own words stand beside him although nothing in this class asks for it.
    reads(
        &sheet("ten-past-one", &[]),
        &["Pradeep (no touch) Told: “neck arthritis can't look up”, planned as neck."],
    );
}

#[test]
fn roster_1_line_08_face_the_light_speak_up_print_large() {
    reads(
        &sheet("ten-past-one", &[]),
        &[
            "Gwendolen (hard of hearing) Face the light, speak up; a lamp ends the rest.",
            "Joan F. (touch not asked) Large print on paper; say body part and direction.",
            "forgot glasses; large print",
        ],
    );
    // Touch is fine with Eirini, and nothing stands behind her name.
    assert!(!sheet("ten-past-one", &[]).contains("Eirini ("));
}

/// Nine sit and the teacher; Malik brings his own.
#[test]
fn roster_1_line_09_ten_of_the_twelve_chairs_are_used() {
    // A place at the wall is kept clear; nobody fetches one.
    let text = sheet("ten-past-one", &[]);
    reads(&text, &["keep 1 place clear at the wall"]);
    assert!(!text.contains("fetch 1 place"), "{text}");
    let chair = &class_b().props[&Prop::Chair];
    assert_eq!((chair.needed, chair.stock), (10, Some(12)));
    assert!(class_b().short.is_empty());
}

#[test]
fn roster_1_line_10_the_six_blocks_are_counted() {
    let used = class_b().props.get(&Prop::Block);
    assert!(used.is_none_or(|used| used.needed <= 6 && used.stock == Some(6)));
    for step in 0..class_b().steps.len() {
        let given = class_b().students.iter();
        let blocks = given.filter_map(|one| one.assignments[step].props.get(&Prop::Block));
        assert!(blocks.sum::<u32>() <= 6, "step {}", step + 1);
    }
    let said = "2 blocks of the 6 as a foot step at 1 chair";
    reads(&sheet("ten-past-one", &[]), &[said]);
    // Whoever lays out counts them too, and is not told whose they are.
    reads(
        &sheet("ten-past-one", &["--sheet", "props"]),
        &[
            "Block up to 3 6 3 spare",
            "At a chair up to 3 blocks under feet that do not reach the floor; away before 13:19, back at 13:25",
            "Chairs with arms for who rises by their arms",
        ],
    );
    // Where there are none, a folded blanket does.
    let none = planned(
        &file("ten-past-one", "class.yaml"),
        &file("ten-past-one", "roster.yaml"),
        Some("chair: 12\nblanket: 10\n"),
    );
    reads(
        &read(&none),
        &["1 blanket folded as a foot step at 1 chair: away before 13:19"],
    );
}

#[test]
fn roster_1_line_11_voice_and_lamp_end_the_rest() {
    let text = sheet("ten-past-one", &[]);
    let rest = between(&text, "Rest in a chair", "Closing seat in a chair");
    reads(rest, &["watch bring back with voice and lamp Gw"]);
    reads(&text, &["a lamp ends the rest"]);
}

/// Two minutes late: what is shortened is neither the arrival nor the rest.
#[test]
fn roster_1_line_12_exactly_twenty_minutes_and_a_late_start_comes_from_the_middle() {
    let class = &class_b().class;
    assert_eq!(
        (class.planned_s, class.adapted_s, class.slot_s),
        (1200, 1200, 1200)
    );
    let late = planned(
        &file("ten-past-one", "class.yaml").replace("minutes: 20\n", "minutes: 18\n"),
        &file("ten-past-one", "roster.yaml"),
        Some(&file("ten-past-one", "props.yaml")),
    );
    let said = advice(&late, AdviceKind::OverTime);
    let said = said.first().expect("it runs over");
    assert!(said.contains("Runs 2 min over"), "{said}");
    assert!(
        said.contains("The rest at the end stays as it is."),
        "{said}"
    );
    for line in [1, 13, 14, 15] {
        assert!(!said.contains(&format!("step {line},")), "{said}");
    }
}

#[test]
fn roster_1_line_13_what_a_carer_wrote_is_asked_about() {
    let said = who(class_b(), "Malik").cautions();
    assert!(said.contains("agree"), "{said}");
}
