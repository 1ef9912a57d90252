//! Scenarios, section 7: Roster 3 in Class C.
//!
//! Most lines speak of a few people; they are planned in the whole class, without the others.

use super::*;

/// Lines of Class C by the catalogue's number of their posture.
const RE01: usize = 4;
const RE04: usize = 5;
const RE02: usize = 6;
const IN01: usize = 7;
const RE03: usize = 8;
const REST: usize = 9;

/// Class C for these people of Roster 3 alone.
fn few(names: &[&str]) -> Adapted {
    let roster = file("last-sunday-rest", "roster.yaml");
    let (head, people) = roster.split_once("students:\n").expect("people");
    let mut chosen = format!("{head}students:\n");
    for person in people.split("\n  - ") {
        let person = person.trim_start_matches("  - ");
        let named = |name: &&&str| {
            person.starts_with(&format!("name: {name}\n"))
                || person.starts_with(&format!("{{name: {name},"))
        };
        if names.iter().any(|name| named(&name)) {
            chosen.push_str(&format!("  - {}\n", person.trim_end()));
        }
    }
    let adapted = planned(
        &file("last-sunday-rest", "class.yaml"),
        &chosen,
        Some(&file("last-sunday-rest", "props.yaml")),
    );
    assert_eq!(adapted.students.len(), names.len(), "{chosen}");
    adapted
}

/// One line of Class C for everybody.
fn one_line(number: usize) -> Adapted {
    let class = file("last-sunday-rest", "class.yaml");
    let mut nth = 0;
    let lines = class.lines().filter(|line| {
        let step = line.trim_start().starts_with("- {");
        nth += usize::from(line.contains("{posture:"));
        !step || (line.contains("{posture:") && nth == number)
    });
    let mut text: Vec<&str> = lines.collect();
    // A section without a step is none.
    let mut place = 0;
    while place < text.len() {
        let bare = text[place].starts_with("  - name:")
            && text
                .get(place + 2)
                .is_none_or(|line| !line.trim_start().starts_with("- {"));
        if bare {
            text.drain(place..(place + 2).min(text.len()));
        } else {
            place += 1;
        }
    }
    planned(
        &(text.join("\n") + "\n"),
        &file("last-sunday-rest", "roster.yaml"),
        Some(&file("last-sunday-rest", "props.yaml")),
    )
}

fn kept(person: &Who<'_>, line: usize, demand: &str) -> bool {
    person
        .findings(line)
        .iter()
        .any(|(_, one)| is(one, demand, None))
}

/// The line counts the 24 people; kindfold counts the teacher's own as well, and Keola brings a bolster.
#[test]
fn roster_3_line_01_what_24_people_want_against_what_is_there() {
    let short = |adapted: &Adapted, prop| {
        let short = adapted.short.iter().find(|short| short.prop == prop);
        short.map(|short| (short.needed, short.stock))
    };
    let cobbler = one_line(RE01);
    assert_eq!(short(&cobbler, Prop::Bolster), Some((24 + 1 - 1, 16)));
    assert_eq!(short(&cobbler, Prop::Block), Some((48 + 2, 22)));
    assert_eq!(short(&cobbler, Prop::Blanket), Some((48 + 2, 26)));
    assert_eq!(short(&cobbler, Prop::Strap), Some((24 + 1, 12)));
    let twist = one_line(RE04);
    assert_eq!(
        short(&twist, Prop::Block),
        None,
        "it lies on the bolster alone"
    );
    assert_eq!(short(&twist, Prop::Bolster), Some((24 + 1 - 1, 16)));
    assert_eq!(
        short(&twist, Prop::Blanket),
        None,
        "24 and the teacher's are within 26"
    );
    // On blocks or on bolsters it fits.
    let bridge = one_line(RE02);
    assert_eq!(short(&bridge, Prop::Block), Some((24 + 1, 22)));
    assert_eq!(short(&bridge, Prop::Bolster), None);
    assert_eq!(bridge.plan.sit_outs, 0, "22 and 16 are enough");
    let child = one_line(RE03);
    assert_eq!(short(&child, Prop::Bolster), Some((24 + 1 - 1, 16)));
    let taught = &library().postures["supported-childs-pose"];
    assert_eq!(taught.props[&Prop::Blanket], 1, "24 for 24 people");
    assert_eq!(short(&child, Prop::Blanket), None, "within 26 again");
    let wall = one_line(IN01);
    assert_eq!(short(&wall, Prop::Wall), Some((24 + 1, 14)));
    assert_eq!(wall.plan.sit_outs, 0, "with chairs it fits");
    assert!(wall.props[&Prop::Wall].needed <= 14);
    assert!(wall.props[&Prop::Chair].needed <= 10);
    // On the sheet each moment has its own number: a bridge does not want what the cobbler does.
    let text = read(class_c());
    reads(
        &text,
        &[
            "50 blocks for everyone, 17:46: 25; 22 there. Instead: a thick book, or a blanket folded small.",
            "At 17:46 “a bolster under the hips” does as well: 16 bolsters there, enough for all.",
            // 14 places and 10 chairs: 24 just fits, 25 does not.
            "At 17:55 “calves on chair” does as well: 10 chairs there, one person still without, and no chair left to \
             rise by.",
        ],
    );
    // Where nothing else runs short the bolster is what stands in.
    reads(
        &read(&bridge),
        &["25 blocks for everyone; 22 there. At 17:00 “a bolster under the hips” does as well"],
    );
    assert!(!text.contains("17:17 and 17:32 and 17:46"), "{text}");
}

/// One half in the cobbler while the other has its legs up; both halves get the same shapes and times.
#[test]
fn roster_3_line_02_two_waves_change_over_with_the_same_shapes_and_times() {
    let adapted = class_c();
    let waves = adapted.waves.as_ref().expect("props are short");
    let lines = waves.steps.map(|step| adapted.steps[step - 1].line);
    assert_eq!(lines, [RE01, IN01]);
    assert_eq!(waves.hold_s, [11 * 60, 10 * 60], "as the class has them");
    assert_eq!(
        waves.adds_s,
        2 * 60,
        "14 and 12 minutes: each turn takes 14"
    );
    let everyone: BTreeSet<_> = adapted.students.iter().map(|one| &one.id).collect();
    let (first, second) = (&waves.first, &waves.second);
    let in_waves: BTreeSet<_> = first.iter().chain(second).collect();
    assert_eq!(in_waves, everyone);
    assert_eq!(first.len() + second.len(), everyone.len(), "nobody twice");
    assert!(first.len().abs_diff(second.len()) <= 1);
    assert!(waves.sit_outs <= adapted.plan.sit_outs, "{waves:?}");
    let sum = |[early, late]: [usize; 2]| early + late;
    assert!(
        sum(waves.as_taught) > sum(waves.as_taught_at_once),
        "{waves:?}"
    );
    let said = advice(adapted, AdviceKind::PropShort);
    let said = said.iter().find(|text| text.contains("two waves"));
    let said = said.expect("the teacher reads it");
    for words in ["11 min and 10 min", "Adds 2 min"] {
        assert!(said.contains(words), "{said}");
    }
    // Each half's way through by name, at both turns, so that a teacher can call it out.
    let text = read(adapted);
    let first = between(&text, "First half: ", "Second half: ");
    let (_, second) = text.split_once("Second half: ").expect("both halves");
    for (half, ids) in [(first, &waves.first), (second, &waves.second)] {
        let (early, late) = half.split_once(". Then at step 7 ").expect("two turns");
        assert!(early.starts_with("at step 4 "), "{half}");
        let late = late.split_once(").").expect("it ends").0;
        for student in adapted.students.iter().filter(|one| ids.contains(&one.id)) {
            let named = |turn: &str| {
                let mut names = turn.split(|c: char| !c.is_alphanumeric());
                names.any(|name| name == student.short_name)
            };
            assert!(named(early) && named(late), "{} in {half}", student.name);
        }
    }
    // That both get the same is said only where as many of each half have the bolster: Ibrahim, who keeps his
    // chair, and an odd one aside.
    let on_the_bolster = |half: &str| {
        let (_, names) = half
            .split_once("supported reclined cobbler (")
            .expect("some do as taught");
        let names = names.split(')').next().unwrap_or_default();
        names.split_whitespace().count()
    };
    let fewer = on_the_bolster(first).abs_diff(on_the_bolster(second));
    if said.contains("the same shapes") {
        assert!(fewer <= 2, "{said} {first} {second}");
    } else {
        reads(
            said,
            &["of the first and ", "go without supported reclined cobbler"],
        );
    }
    let mut uneven = waves.clone();
    uneven.without = [[1, 0], [9, 0]];
    assert!(!uneven.is_even());
    uneven.without = [[1, 0], [2, 0]];
    assert!(uneven.is_even());
    reads(
        first,
        &[
            "at step 4 supported reclined cobbler (",
            "step 7 legs up the wall (",
        ],
    );
    reads(
        second,
        &[
            "at step 4 legs up the wall (",
            "step 7 supported reclined cobbler (",
        ],
    );
    let few = few(&["Amélie", "Soo-jin", "Keola"]);
    assert_eq!(few.waves, None, "props reach round");
}

#[test]
fn roster_3_line_03_zainab_is_35_weeks_1_day_and_nowhere_flat() {
    let adapted = few(&["Zainab"]);
    let zainab = who(&adapted, "Zainab");
    assert!(zainab.cautions().contains("35 weeks 1 day"));
    for (step, given) in zainab.done() {
        assert!(!asks(&given.posture, "lying-flat"), "line {}", step.line);
        assert!(!asks(&given.posture, "closed-twist"), "line {}", step.line);
    }
    assert!(
        zainab
            .at(RE01)
            .iter()
            .all(|(_, given)| given.props.contains_key(&Prop::Bolster))
    );
    for line in [RE02, REST] {
        assert!(
            kept(&zainab, line, "lying-flat") && !zainab.as_taught(line),
            "line {line}"
        );
    }
    assert!(kept(&zainab, RE04, "closed-twist") && !zainab.as_taught(RE04));
    let at = |line: usize| -> Vec<&str> {
        let given = zainab.at(line).into_iter();
        given.map(|(_, given)| given.posture.as_str()).collect()
    };
    assert_eq!(
        at(RE01),
        ["supported-reclined-cobbler"],
        "a ramp as it is taught"
    );
    assert!(at(RE02)[0].starts_with("ramp-rest"), "{:?}", at(RE02));
    assert!(at(RE04)[0].starts_with("side-"), "{:?}", at(RE04));
    assert!(
        at(REST)[0].starts_with("side-lying-rest-"),
        "{:?}",
        at(REST)
    );
    for line in [RE04, RE03] {
        assert!(
            kept(&zainab, line, "lying-on-front") && !zainab.as_taught(line),
            "line {line}"
        );
    }
    // And among 24 with 16 bolsters: never flat, nothing on the belly, no step sat out, and the rest at the
    // end on her side with blankets.
    let zainab = who(class_c(), "Zainab");
    for (step, given) in zainab.done() {
        for demand in ["lying-flat", "closed-twist", "lying-on-front"] {
            assert!(
                !asks(&given.posture, demand),
                "line {}: {demand}",
                step.line
            );
        }
        assert!(!given.sit_out, "line {}", step.line);
    }
    // Where bolsters and blankets reach only a few, the ramp is hers, and she is not sent up to a chair and
    // down again for it.
    let ramp = zainab.at(RE01);
    let ramp: Vec<&str> = ramp
        .iter()
        .map(|(_, given)| given.posture.as_str())
        .collect();
    assert_eq!(ramp, ["supported-reclined-cobbler"]);
    for (_, given) in zainab.at(REST) {
        assert!(
            given.posture.as_str().starts_with("side-lying-rest-"),
            "{}",
            given.posture
        );
        assert!(given.props.contains_key(&Prop::Blanket));
    }
    let text = read(class_c());
    let rest = between(&text, "Final rest: anything", "Closing seat");
    let side = between(rest, "aloud On your side, ", "aloud");
    reads(side, &["folded blankets under your", "Za", "for anyone"]);
}

/// Gentle: nothing that works the belly, no deep back bend, no long stretch of the front (rules, 2.2).
#[test]
fn roster_3_line_04_giulia_is_asked_first_and_gets_gentle_forms() {
    let adapted = few(&["Giulia"]);
    let giulia = who(&adapted, "Giulia");
    assert!(
        giulia.cautions().contains("5 weeks 2 days ago"),
        "{}",
        giulia.cautions()
    );
    assert!(giulia.has_caution(CautionKind::AskFirst));
    assert!(!giulia.as_taught(RE04) && !giulia.as_taught(RE03));
    assert!(
        !giulia.as_taught(RE02),
        "seven minutes with the hips held up"
    );
    reads(
        &read(&adapted),
        &["stretch of the front of the hip and strong belly work? Kept away until that is known."],
    );
    for (_, given) in giulia.at(RE02) {
        let much = |demand: &str| {
            let asked = posture(&given.posture).demands.get(demand);
            let most = asked.and_then(|asks| asks.left.max(asks.right));
            most == Some(kindfold::library::condition::Grade::Much)
        };
        assert!(!asks(&given.posture, "trunk-effort"));
        assert!(!much("backbend") && !much("hip-front-stretch"));
    }
}

#[test]
fn roster_3_line_05_the_operated_eye_is_asked_about_and_two_priyas_are_kept_apart() {
    let adapted = few(&["Priya (K.)", "Priya (S.)"]);
    let (k, s) = (who(&adapted, "Priya (K.)"), who(&adapted, "Priya (S.)"));
    assert_ne!(k.plan.id, s.plan.id);
    assert_ne!(k.plan.short_name, s.plan.short_name);
    assert_eq!(k.cautions(), "");
    assert!(s.cautions().contains("which day?"), "{}", s.cautions());
    assert!(kept(&s, RE02, "head-below-heart"));
    assert!(kept(&s, IN01, "legs-up") && !s.as_taught(IN01));
    assert!(!s.findings(RE03).is_empty() && !s.as_taught(RE03));
    // Her clinic's words keep those shapes away in the full room too, and how long they hold is asked.
    let s = who(class_c(), "Priya (S.)");
    for line in [RE02, IN01, RE03] {
        assert!(!s.as_taught(line), "line {line}");
    }
    let text = read(class_c());
    reads(
        &text,
        &[
            "“clinic: no head down for a while”: until when?",
            "eye operation: which day?",
        ],
    );
    let (_, people) = text.split_once("People. Keep").expect("people");
    let hers = between(people, "PrS Priya (S.)", "Ri Rivka");
    reads(
        hers,
        &[
            "kept from head lower than the heart",
            "Clinic, no date: “no head down for a while”",
        ],
    );
}

/// Read in six languages from a clinician, and in the note beside what was told as well.
#[test]
fn roster_3_line_05_no_head_down_keeps_something_wherever_it_stands() {
    let class = file("last-sunday-rest", "class.yaml");
    let person = |facts: &str| {
        let roster = format!("recorded: 2026-05-24\nstudents:\n  - name: Priya (S.)\n{facts}");
        planned(&class, &roster, None)
    };
    for words in [
        "no head down for a while",
        "no bajar la cabeza por un tiempo",
        "pas la tête en bas pendant un temps",
        "eine Weile nicht kopfüber",
        "não baixar a cabeça por enquanto",
        "non abbassare la testa per ora",
    ] {
        let told = person(&format!(
            "    limitations: [{{what: migraine}}]\n    guidance: [{{from: clinic, says: {words}}}]\n"
        ));
        let she = who(&told, "Priya (S.)");
        assert!(!she.as_taught(IN01), "{words}");
        assert!(
            she.cautions().contains("until when"),
            "{words}: {}",
            she.cautions()
        );
    }
    let class = "title: Down\nminutes: 20\ndate: 2026-05-31\nsections:\n  - name: One\n    steps:\n      - {posture: standing \
                 forward fold, breaths: 5}\n";
    let roster = |note: &str| {
        format!(
            "recorded: 2026-05-24\nstudents:\n  - {{name: Priya (S.), limitations: [{{what: wrist, side: right, note: \
             \"{note}\"}}]}}\n"
        )
    };
    let down = |note: &str| who(&planned(class, &roster(note), None), "Priya (S.)").as_taught(1);
    assert!(down("since March") && !down("no head down"));
    let text = read(&planned(class, &roster("no head down"), None));
    reads(
        &text,
        &["“no head down”: kept from head lower than the heart"],
    );
    assert!(
        !down("surgeon: no head down"),
        "a clinician's words in a note"
    );
}

#[test]
fn roster_3_line_06_stellan_and_nomvula_are_not_flat_and_today_beats_the_form() {
    let adapted = few(&["Stellan", "Nomvula"]);
    for name in ["Stellan", "Nomvula"] {
        let person = who(&adapted, name);
        for (step, given) in person.done() {
            assert!(
                !asks(&given.posture, "lying-flat"),
                "{name}, line {}",
                step.line
            );
        }
        assert!(kept(&person, REST, "lying-flat"), "{name}");
        assert!(person.as_taught(RE01), "{name}: a ramp as it is taught");
    }
    let nomvula = who(&adapted, "Nomvula");
    assert!(
        nomvula
            .cautions()
            .contains("said today: “chesty this week”. How is it now? Planned as asthma, acute")
    );
    assert!(nomvula.cautions().contains("outranks the form"));
    assert_eq!(nomvula.plan.note.as_deref(), Some("inhaler by the mat"));
}

#[test]
fn roster_3_line_07_the_twist_and_the_childs_pose_press_delphine_goran_and_giulia() {
    let adapted = few(&["Delphine", "Goran", "Giulia"]);
    for name in ["Delphine", "Goran", "Giulia"] {
        let person = who(&adapted, name);
        assert!(kept(&person, RE04, "lying-on-front"), "{name}");
        assert!(!person.as_taught(RE04), "{name}");
        assert!(kept(&person, RE03, "lying-on-front"), "{name}");
        assert!(!person.as_taught(RE03), "{name}");
    }
    // A stoma of 2022: on which day nobody needs to know.
    assert!(!read(&adapted).contains("stoma: which day"));
}

#[test]
fn roster_3_line_08_ibrahim_does_not_kneel_and_the_others_have_what_they_need() {
    let adapted = few(&["Ibrahim", "Rivka", "Sefa", "Wanjiru"]);
    let ibrahim = who(&adapted, "Ibrahim");
    for (step, given) in ibrahim.done() {
        assert!(!asks(&given.posture, "kneeling"), "line {}", step.line);
        let way = given.link.as_ref().map(|link| link.id.as_str());
        let way = way.and_then(|id| library().links.get(id));
        assert!(way.is_none_or(|way| !way.demands.contains_key("kneeling")));
    }
    // To the floor and up again with a chair beside her.
    let rivka = who(&adapted, "Rivka");
    let ways = rivka.done().filter_map(|(_, given)| given.link.as_ref());
    let mut floor = 0;
    for way in ways.filter_map(|way| library().links.get(way.id.as_str())) {
        let asked = way.demands.get("getting-down");
        assert_ne!(
            asked,
            Some(&kindfold::library::condition::Grade::Much),
            "{}",
            way.id
        );
        assert_eq!(
            asked.is_some(),
            way.props.contains_key(&Prop::Chair),
            "{}",
            way.id
        );
        floor += usize::from(asked.is_some());
    }
    assert!(floor > 0, "she comes to the floor");
    assert!(who(&adapted, "Sefa").cautions().contains("stay cool"));
    for (name, note) in [
        ("Rivka", "gets down by herself; a chair beside her to rise"),
        ("Sefa", "a cool place away from the heater"),
    ] {
        assert_eq!(who(&adapted, name).plan.note.as_deref(), Some(note));
    }
    let wanjiru = who(&adapted, "Wanjiru");
    for (_, given) in wanjiru.at(RE01) {
        assert!(!asks(&given.posture, "arms-overhead"), "the arm of RE01");
    }
    let text = read(&adapted);
    reads(
        &text,
        &[
            "Lymphoedema, right side: in long stays that limb on a folded blanket, an arm not overhead, and nothing \
             warm over it. At steps 1 and 4 to 9.",
            "a chair beside her to rise",
            "a cool place away from the heater",
        ],
    );
    // Nothing of it where nobody stays for long.
    let quick = planned(
        &file("ten-past-one", "class.yaml"),
        "recorded: 2026-05-12\nstudents:\n  - {name: Wanjiru, limitations: [{what: lymphoedema, side: right}]}\n",
        None,
    );
    assert!(!read(&quick).contains("on a folded blanket"));
}

#[test]
fn roster_3_line_09_freya_has_her_back_to_the_wall_and_is_not_touched() {
    let adapted = few(&["Freya"]);
    let freya = who(&adapted, "Freya");
    let note = freya.plan.note.as_deref().unwrap_or_default();
    for words in ["back to the wall", "tell her before the lights change"] {
        assert!(note.contains(words), "{note}");
    }
    assert_eq!(freya.plan.touch, "no");
    // "Eyes open" is read from her own words, and no shape of hers is done with them closed.
    assert!(kept(&freya, REST, "eyes-closed"));
    for (step, given) in freya.done() {
        assert!(!asks(&given.posture, "eyes-closed"), "line {}", step.line);
    }
    assert_eq!(
        freya.levels(REST),
        BTreeSet::from([Level::Supine]),
        "the same rest"
    );
    assert!(
        freya
            .at(IN01)
            .iter()
            .all(|(_, given)| given.props.contains_key(&Prop::Wall))
    );
    // In the full room, with 13 places left for 24, one is hers.
    let freya = who(class_c(), "Freya");
    for (_, given) in freya.at(IN01) {
        assert!(given.props.contains_key(&Prop::Wall), "{}", given.posture);
    }
    assert!(class_c().props[&Prop::Wall].needed <= 14);
    assert!(
        !read(class_c()).contains("fetch 13 places"),
        "a wall is not fetched"
    );
    let text = read(class_c());
    reads(
        between(&text, "Fr Freya (no touch)", "Gi Giulia"),
        &[
            "A place at the wall is theirs for the whole class.",
            "kept from eyes closed",
            "tell her before the lights change",
        ],
    );
}

#[test]
fn roster_3_line_10_makenas_guardian_is_asked_and_nothing_is_noted() {
    let adapted = few(&["Makena"]);
    let makena = who(&adapted, "Makena");
    assert!(makena.cautions().contains("is the guardian’s form in?"));
    assert!(makena.done().all(|(_, given)| given.verdicts.is_empty()));
    let roster = file("last-sunday-rest", "roster.yaml");
    let line = roster
        .lines()
        .find(|line| line.contains("Makena, asked: no"));
    assert!(line.is_some_and(|line| !line.contains("limitations")));
}

#[test]
fn roster_3_line_11_dmitris_chair_and_mat_and_hemis_height() {
    let adapted = few(&["Dmitri", "Hemi"]);
    let dmitri = who(&adapted, "Dmitri");
    assert_eq!(
        dmitri.plan.note.as_deref(),
        Some("needs room; a chair that holds him")
    );
    // A matter of fit prints nothing.
    assert!(!dmitri.has_caution(CautionKind::Watch) && !dmitri.has_caution(CautionKind::AskFirst));
    // Nor do words for feet and hands at a shape that lies over a bolster.
    let text = read(&adapted);
    let child = between(&text, "Supported child's pose:", "Final rest");
    assert!(!child.contains("Dm"), "{child}");
    reads(
        &read(&adapted),
        &["Hemi 195 cm tall: room beyond the mat, a longer ramp, straps joined."],
    );
}

#[test]
fn roster_3_line_12_jorge_has_a_place_of_his_own_and_no_health_caution() {
    let adapted = few(&["Jorge"]);
    let jorge = who(&adapted, "Jorge");
    assert!(
        jorge
            .plan
            .note
            .as_deref()
            .is_some_and(|note| note.contains("away from light sleepers"))
    );
    assert_eq!(jorge.cautions(), "");
}

#[test]
fn roster_3_line_13_every_shape_is_shown_first_for_lucia() {
    let adapted = few(&["Lucía"]);
    reads(
        &read(&adapted),
        &[
            "Lucía (speaks: es) Show every shape first, few words. Told: today “cuello, 5/10”, planned as neck.",
        ],
    );
    let mut talk = adapted.events.iter().filter(|event| event.start_s == 0);
    assert!(talk.any(|event| event.text.contains("show every shape once")));
}

#[test]
fn roster_3_line_14_none_and_blank_are_not_the_same() {
    let adapted = few(&["Amélie", "Tariq"]);
    let (amelie, tariq) = (who(&adapted, "Amélie"), who(&adapted, "Tariq"));
    assert_eq!(
        (amelie.plan.state, tariq.plan.state),
        (State::Nothing, State::NotAsked)
    );
    assert_eq!(amelie.cautions(), "");
    assert!(tariq.has_caution(CautionKind::NotAsked));
    let text = read(&adapted);
    reads(
        &text,
        &[
            "Tariq blank form: anything to know today?",
            "Blank form: unknown",
        ],
    );
    assert!(
        !text.contains("never asked") && !text.contains("Am Amélie"),
        "{text}"
    );
}

/// Three of the fourteen minutes of the cobbler are for setting up.
#[test]
fn roster_3_line_15_handing_out_props_for_24_is_tight() {
    let said = advice(class_c(), AdviceKind::OverTime);
    let said = said.iter().find(|text| text.contains("handing out"));
    let said = said.expect("it is said");
    assert!(said.starts_with(&format!("Step {RE01}: ")), "{said}");
    assert!(said.contains("props, as taught, takes about"), "{said}");
    assert!(said.contains("3 min are set aside"), "{said}");
    assert!(said.contains("of the 6 min of welcome"), "{said}");
    // Three people carry theirs in that time.
    let few = few(&["Amélie", "Soo-jin", "Keola"]);
    let said = advice(&few, AdviceKind::OverTime);
    assert!(
        said.iter().all(|text| !text.contains("handing out")),
        "{said:?}"
    );
}
