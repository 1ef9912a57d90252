//! Scenarios, section 6: Roster 2 in Class A.

use kindfold::body::Measure;

use super::*;

/// The teacher's sheet of Class A, narrow: the names stand behind the words.
fn floor() -> String {
    sheet("tuesday-wind-down", &["--width", "60"])
}

fn card(name: &str) -> String {
    sheet(
        "tuesday-wind-down",
        &["--sheet", "cards", "--student", name],
    )
}

/// Lines of Class A by the catalogue's number of their posture.
const SU05: usize = 4;
const SE07: usize = 5;
const ST07: usize = 14;
const ST16: usize = 15;
const ST02: usize = 6;
const ST17: usize = 9;
const BL01: usize = 16;
const BL04: usize = 17;
const AR01: usize = 19;
const AR02: usize = 20;
const PR02: usize = 21;
const KN03: usize = 23;
const SE09: usize = 24;
const SE04: usize = 25;
const SU08: usize = 26;
const REST: usize = 28;

#[test]
fn roster_2_line_01_aoife_is_17_weeks_4_days_off_her_back_and_front_and_unspoken() {
    let aoife = who(class_a(), "Aoife");
    assert!(aoife.cautions().contains("17 weeks 4 days"));
    for (step, given) in aoife.done() {
        let (shape, line) = (posture(&given.posture), step.line);
        assert_ne!(shape.level, Level::Prone, "line {line}");
        assert!(
            !asks(&given.posture, "lying-flat") || given.hold_s < 180,
            "line {line}"
        );
    }
    for (step, given) in aoife.at(SE09) {
        assert!(!asks(&given.posture, "closed-twist"));
        assert_eq!(given.side, step.taught.side.mirrored(), "the other way");
    }
    // Where no chair beside the mats serves others already, her thread is a ramp, and her side at the end.
    let roster = file("tuesday-wind-down", "roster.yaml");
    let (alone, _) = roster
        .split_once("  - name: Kwame")
        .expect("the next person");
    let class = file("tuesday-wind-down", "class.yaml");
    let alone = planned(
        &class,
        alone,
        Some(&file("tuesday-wind-down", "props.yaml")),
    );
    let aoife = who(&alone, "Aoife");
    for (line, shape) in [
        (1, "constructive-rest-on-a-ramp"),
        (2, "windscreen-wipers-on-a-ramp"),
        (REST, "side-lying-rest-head-on-blankets"),
    ] {
        for (_, given) in aoife.at(line) {
            assert_eq!(given.posture.as_str(), shape, "line {line}");
        }
    }
    // Only the teacher knows: nothing that lies beside the mat or hangs in the room names her.
    let floor = sheet("tuesday-wind-down", &[]);
    let floor = floor
        .split_once("People. Keep this part to yourself.")
        .expect("own part")
        .0;
    let words = |text: &str| -> BTreeSet<String> {
        text.split(|c: char| !c.is_alphanumeric())
            .map(str::to_owned)
            .collect()
    };
    for text in [
        floor.to_owned(),
        sheet("tuesday-wind-down", &["--sheet", "room"]),
        sheet("tuesday-wind-down", &["--sheet", "props"]),
        sheet("tuesday-wind-down", &["--sheet", "cards"]),
    ] {
        let words = words(&text);
        assert!(!words.contains("Aoife") && !words.contains("Ao"), "{text}");
        assert!(!text.to_lowercase().contains("pregnan"), "{text}");
    }
}

#[test]
fn roster_2_line_02_leilani_begins_seated_and_that_start_is_offered_to_all() {
    let leilani = who(class_a(), "Leilani");
    assert_eq!(leilani.levels(1), BTreeSet::from([Level::Chair]));
    let spoken = class_a().steps[0]
        .options
        .iter()
        .filter(|option| option.spoken);
    let off_the_back = spoken.filter(|option| !asks(&option.posture, "lying-flat"));
    assert!(off_the_back.count() > 0);
    let text = sheet("tuesday-wind-down", &[]);
    let start = between(&text, "Constructive rest", "Windscreen wipers");
    reads(
        start,
        &["aloud In the chair, lean back, feet flat Ca Le for anyone"],
    );
    // What is breathed lying down she breathes sitting, and the choice says so.
    let breath = between(&text, "Longer out-breath, lying down", "Final rest");
    reads(breath, &["aloud The same, sitting up Ca Le"]);
}

/// Looking up sets it off as lying flat does: where many look up, she is told not to, before class.
#[test]
fn roster_2_line_02_leilani_is_told_where_not_to_look_up() {
    let leilani = who(class_a(), "Leilani");
    let told: BTreeSet<usize> = leilani
        .done()
        .filter(|(_, given)| {
            let mut words = given
                .verdicts
                .iter()
                .filter_map(|one| one.easing.as_deref());
            words.any(|words| words == "look ahead, not up")
        })
        .map(|(step, _)| step.line)
        .collect();
    // The upward salute, the warrior that leans back, the side angle, the half moon.
    assert_eq!(told, BTreeSet::from([ST02, 11, 12, BL04]));
    reads(
        &floor(),
        &["send before class: look ahead, not up, at steps 6, 11, 12 and 17 (Le)"],
    );
    let hers = card("Leilani");
    for shape in [
        "Upward salute:",
        "Reverse warrior, extended side angle:",
        "Half moon:",
    ] {
        let line = hers.split_once(shape).expect("the shape is on her card").1;
        let line = line.split_once("up").expect("it ends").0;
        assert!(line.ends_with("look ahead, not "), "{shape} {line}");
    }
    assert!(!card("Anahera").contains("look ahead"), "only who needs it");
}

#[test]
fn roster_2_line_03_mei_lings_head_stays_up_with_what_she_has_at_home() {
    let mei = who(class_a(), "Mei-Ling");
    let kept: Vec<usize> = (1..=29)
        .filter(|&line| {
            let kept = mei
                .at(line)
                .into_iter()
                .flat_map(|(_, given)| &given.instead_of);
            kept.flat_map(|one| &one.verdicts)
                .any(|one| is(one, "head-below-heart", None))
        })
        .collect();
    assert_eq!(kept, [ST07, ST16, AR01, KN03]);
    let sides: Vec<Side> = mei
        .at(ST16)
        .iter()
        .map(|(step, _)| step.taught.side)
        .collect();
    assert_eq!(sides.len(), 2, "both sides");
    for (step, given) in mei.done() {
        let line = step.line;
        assert!(!asks(&given.posture, "head-below-heart"), "line {line}");
        assert!(
            !given.props.contains_key(&Prop::Block),
            "line {line}: no blocks at home"
        );
        assert!(
            !given.props.contains_key(&Prop::Strap),
            "line {line}: no strap at home"
        );
    }
    let held = [Prop::Chair, Prop::Wall];
    for (_, given) in mei.at(BL04) {
        let hold = held.iter().any(|prop| given.props.contains_key(prop));
        assert!(hold, "a hand-hold in half moon: {}", given.posture);
    }
    let dog = mei.at(AR01);
    assert!(
        dog.iter()
            .all(|(_, given)| held.iter().any(|prop| given.props.contains_key(prop))),
        "at a chair, or hands high on the wall"
    );
    // What stands for a strap at home is on her card; no block is wanted of her.
    let card = card("Mei-Ling");
    let by_her = between(&card, "To have by you:", ".");
    reads(by_her, &["a dressing-gown cord or belt", "a steady chair"]);
    assert!(!by_her.contains("book"), "{by_her}");
}

#[test]
fn roster_2_line_04_kwames_right_knee_on_the_side_where_it_bends() {
    let kwame = who(class_a(), "Kwame");
    assert!(!kwame.as_taught(KN03));
    let plank = kwame.findings(AR02);
    assert!(
        plank
            .iter()
            .any(|(_, one)| is(one, "kneeling", Some(BodySide::Right)))
    );
    assert!(kwame.at(AR02).iter().all(|(_, given)| given.padded));
    for line in 9..=12 {
        let bent = kwame.findings(line);
        assert!(!bent.is_empty(), "line {line}");
        for (taught, finding) in bent {
            assert!(
                is(finding, "deep-knee-bend", Some(BodySide::Right)),
                "line {line}"
            );
            assert_eq!(
                taught,
                Side::Right,
                "line {line}: the right foot is forward"
            );
        }
    }
    // Named by the straight leg: the right knee is folded when the left leg is straight.
    let folded = kwame.findings(SE04);
    assert!(!folded.is_empty());
    assert!(folded.iter().all(|(taught, _)| *taught == Side::Left));
    for (step, given) in kwame.at(SE04) {
        assert_eq!(
            given.posture == step.taught.posture,
            step.taught.side == Side::Right
        );
    }
    // What is offered beside the head-to-knee fold must not be read with one knee folded.
    let strap = posture(&"seated-fold-with-strap".into());
    assert!(strap.choice.starts_with("Both legs"), "{}", strap.choice);
    // Minute 14.5, in passing through hands and knees.
    let text = sheet("tuesday-wind-down", &[]);
    let once = between(&text, "Say once, quietly", "Arrive, until");
    let up = between(
        once,
        "coming up, for the right: a blanket under the knees, at",
        "quiet",
    );
    assert!(up.contains(" steps 6 ") && up.contains("Kw"), "{up}");
}

#[test]
fn roster_2_line_05_faridas_left_hip_where_it_crosses_and_folds_and_the_approach_is_asked() {
    let farida = who(class_a(), "Farida");
    assert!(farida.cautions().contains("20 weeks"));
    let left = |line, demand: &str, taught| {
        let found = farida.findings(line);
        found
            .iter()
            .any(|(on, one)| *on == taught && is(one, demand, Some(BodySide::Left)))
    };
    assert!(left(SE09, "hip-crossing", Side::Left));
    assert!(left(SE09, "deep-hip-bend", Side::Left));
    assert!(left(ST16, "deep-hip-bend", Side::Left));
    assert!(!left(ST16, "deep-hip-bend", Side::Right));
    assert!(
        left(SU08, "hip-crossing", Side::Right),
        "knees to the right"
    );
    assert!(!left(SU08, "hip-crossing", Side::Left));
    // Feet together are no crossing: below three degrees the model only wavers (rules.md 1).
    for line in [ST17, BL01] {
        assert!(farida.as_taught(line), "line {line}");
        assert!(!left(line, "hip-crossing", Side::Right), "line {line}");
        assert!(!left(line, "hip-crossing", Side::Left), "line {line}");
    }
    let asked = class_a()
        .ask
        .iter()
        .filter(|ask| ask.student == farida.plan.id);
    let asked: Vec<&str> = asked.map(|ask| ask.text.as_str()).collect();
    assert!(
        asked
            .iter()
            .any(|text| text.contains("from the front, the back or the side?"))
    );
}

#[test]
fn roster_2_line_06_rohans_wrists_need_one_swap_each_and_no_forearms() {
    let rohan = who(class_a(), "Rohan");
    assert_eq!(rohan.kept_from(), BTreeSet::from([AR01, AR02]));
    for line in [AR01, AR02] {
        let shapes: BTreeSet<&PostureId> = rohan
            .at(line)
            .iter()
            .map(|(_, given)| &given.posture)
            .collect();
        assert_eq!(shapes.len(), 1, "one swap at line {line}");
        assert!(
            shapes.iter().all(|id| !asks(id, "weight-on-forearms")),
            "line {line}"
        );
    }
    // Minute 14.5 and the ways to the floor: the class's own way, on fists; nothing to fetch for it.
    for (step, given) in rohan.done() {
        let Some(taken) = &given.link else { continue };
        let way = library().links.get(taken.id.as_str()).expect("a way");
        assert!(
            !way.demands.contains_key("weight-on-forearms") || way.usual,
            "{}",
            way.id
        );
        assert!(taken.props.is_empty(), "line {}: {}", step.line, way.id);
    }
    let text = floor();
    let once = between(&text, "Say once, quietly", "Arrive, until");
    reads(
        once,
        &[
            "coming up: on fists, wrists straight, at steps 5, 6, 23 and 29 (Ro)",
            "going down: on fists, wrists straight, at steps 1, 21 and 24 (Ro)",
        ],
    );
    let card = card("Rohan");
    reads(&card, &["Coming up: on fists, wrists straight"]);
    assert!(!card.to_lowercase().contains("forearm"), "{card}");
}

/// A prop that a way needs lies ready as well: here a chair for who comes up by one, and none else uses any.
#[test]
fn roster_2_line_06_what_a_way_needs_is_set_out() {
    let class = "title: Up\ndate: 2026-05-12\nminutes: 10\nsections:\n  - name: All\n    steps:\n      - {posture: staff, breaths: 5}\n      - {posture: mountain, breaths: 5}\n";
    let roster = "students:\n  - {name: Odalys, recorded: 2026-05-01, limitations: [{what: wrist, side: both, severity: acute}]}\n";
    let adapted = planned(class, roster, Some("chair: 4\n"));
    let text = read(&adapted);
    reads(
        between(&text, "Set out", "Say once to everyone"),
        &["1 chair along the wall, for anyone"],
    );
}

#[test]
fn roster_2_line_07_carlos_carries_nothing_on_the_left_at_eight_and_a_half_weeks() {
    let carlos = who(class_a(), "Carlos");
    for line in [AR01, AR02, PR02] {
        assert!(!carlos.as_taught(line), "line {line}");
    }
    for (step, given) in carlos.done() {
        for demand in ["weight-on-hands", "weight-on-forearms"] {
            let loaded = posture(&given.posture)
                .asks(&demand.into(), given.side, BodySide::Left)
                .is_some();
            assert!(!loaded, "line {}: {demand} on {}", step.line, given.posture);
        }
        // Nor does a wall carry what counts as weight on a hand there (rules 1.1).
        let side = match given.side {
            Side::Right => BodySide::Right,
            _ => BodySide::Left,
        };
        let wall = posture(&given.posture)
            .measures
            .value(Measure::HandWallLoad, Some(side));
        assert!(
            wall.is_none_or(|pct| pct < 10.0),
            "line {}: {wall:?} on {}",
            step.line,
            given.posture
        );
    }
    let said = carlos.cautions();
    assert!(
        said.contains("sin peso") && said.contains("1 May 2026"),
        "{said}"
    );
    assert!(said.contains("about 8 to 9 weeks ago"), "{said}");
    // Each Spanish entry stands with what it says in the sheet's language; his own card is his own.
    reads(
        &sheet("tuesday-wind-down", &[]),
        &[
            "Left shoulder operation, about 8 to 9 weeks ago, “operado hombro izquierdo hace 7 semanas”",
            "Physio, 1 May 2026: “sin peso” (no load; taken as: no weight on the hands, no weight on the forearms \
             or on a shoulder)",
        ],
    );
    let card = sheet(
        "tuesday-wind-down",
        &["--sheet", "cards", "--student", "Carlos"],
    );
    reads(&card, &["You told us your physio said: “sin peso”. What"]);
    // Every way to the floor and up from it says so: people put a hand down without a thought.
    reads(
        &floor(),
        &[
            "going down, for the left: no weight on the hand, at steps 23 and 27 (Ca)",
            "coming up, for the left: no weight on the hand, at step 24 (Ca)",
        ],
    );
    reads(&card, &["going down, for the left: no weight on the hand"]);
}

#[test]
fn roster_2_line_08_ingrid_hinges_and_her_score_is_quoted_not_read() {
    let ingrid = who(class_a(), "Ingrid");
    for line in [SE04, KN03] {
        let found = ingrid.findings(line);
        assert!(
            found
                .iter()
                .any(|(_, one)| is(one, "loaded-rounding", None)),
            "line {line}"
        );
    }
    assert!(!ingrid.as_taught(SE04));
    for (step, given) in ingrid
        .done()
        .filter(|(step, _)| step.line == ST07 || step.line == SE04)
    {
        let rule = given
            .verdicts
            .iter()
            .find(|one| is(one, "loaded-rounding", None));
        assert!(rule.is_none(), "line {}", step.line);
    }
    let twists = ingrid.findings(SE09);
    let twist = twists
        .iter()
        .find(|(_, one)| is(one, "twist", None))
        .expect("it is said")
        .1;
    assert_eq!(twist.strength.printed(), "sources differ");
    let text = sheet("tuesday-wind-down", &[]);
    reads(
        &text,
        &["Hinge with a long back (your setting; sources differ)."],
    );
    assert!(!text.contains("broken vertebra"), "nobody here told of one");
    // The score stands in her own words and nowhere else.
    let said = ingrid.cautions().replace("“spine T-score -2.8”", "");
    assert!(
        !said.contains("2.8") && !said.to_lowercase().contains("score"),
        "{said}"
    );
}

#[test]
fn roster_2_line_09_anahera_goes_less_deep_with_soft_joints_and_no_touch() {
    let anahera = who(class_a(), "Anahera");
    assert_eq!(anahera.plan.touch, "no");
    let given = anahera.done().flat_map(|(_, given)| &given.verdicts);
    let eased: BTreeSet<&str> = given.filter_map(|one| one.easing.as_deref()).collect();
    assert!(
        eased
            .iter()
            .any(|words| words.contains("come back by a third")),
        "{eased:?}"
    );
    assert!(
        eased.iter().any(|words| words.contains("soft")),
        "{eased:?}"
    );
    reads(
        &sheet("tuesday-wind-down", &[]),
        &["Anahera (no touch)", "show it yourself rather than on them"],
    );
    // Only where something is deep: not in an upright seat, nor over a bent knee.
    for line in [SE07, 10, 11, 12, 27, 29] {
        let eased = anahera.at(line);
        let mut eased = eased.iter().flat_map(|(_, given)| &given.verdicts);
        assert!(eased.all(|one| one.easing.is_none()), "line {line}");
    }
}

#[test]
fn roster_2_line_10_the_unknown_are_shown_as_such_and_the_late_one_catches_up() {
    let tomasz = who(class_a(), "Tomasz");
    assert!(tomasz.cautions().contains("which part of the back?"));
    let thandiwe = who(class_a(), "Thandiwe");
    assert!(thandiwe.has_caution(CautionKind::Unrecognised));
    let oluwaseun = who(class_a(), "Oluwaseun");
    assert_eq!(oluwaseun.plan.state, State::NotAsked);
    let late = oluwaseun.cautions();
    assert!(
        late.contains("6 min late") && late.contains("to catch up"),
        "{late}"
    );
    let text = sheet("tuesday-wind-down", &[]);
    reads(
        &text,
        &[
            "Oluwaseun (touch not asked) 6 min late: a word at the door",
            "Not asked: unknown",
            "Nothing told was understood: unknown",
            "Tomasz (touch not asked)",
        ],
    );
    let thandiwe = between(&text, "Th Thandiwe (video)", "To Tomasz");
    reads(thandiwe, &["unknown"]);
    assert!(text.contains("Recording Watches later: nobody can be asked."));
    // Nobody is asked before they come in.
    reads(&text, &["When they come in: ask Oluwaseun."]);
    let before = between(&text, "Before 19:15: ask", ".");
    assert!(!before.contains("Oluwaseun"), "{before}");
    assert!(text.contains("Say once to everyone Rest whenever you like. Stop before it hurts."));
}

#[test]
fn roster_2_line_11_no_health_note_is_held_of_nasrin_and_she_is_near_the_door() {
    let nasrin = who(class_a(), "Nasrin");
    assert_eq!(nasrin.plan.state, State::Declined);
    assert_eq!(nasrin.plan.note.as_deref(), Some("near the door"));
    assert!(nasrin.done().all(|(_, given)| given.verdicts.is_empty()));
    let text = sheet("tuesday-wind-down", &[]);
    let said =
        "Nasrin (no touch) Would rather not say: nothing is asked again. Planned for as unknown.";
    reads(&text, &[said]);
    let asked = between(&text, "Ask first, at the mat and quietly", "Set out");
    assert!(!asked.contains("Nasrin"), "{asked}");
    let last = text
        .rsplit_once("Before 19:15: ask")
        .expect("it ends with what to do")
        .1;
    assert!(!last.contains("Nasrin"), "{last}");
    let held = "    keep_notes: false\n";
    let roster = file("tuesday-wind-down", "roster.yaml");
    let with_note = roster.replace(held, &format!("{held}    limitations: [sore hip]\n"));
    let source = Source::from_bytes("roster.yaml", with_note.as_bytes()).expect("it is text");
    let refused = input::roster::read(source, library()).expect_err("a note without leave");
    assert!(
        refused
            .iter()
            .all(|problem| !problem.to_string().contains("hip"))
    );
}

#[test]
fn roster_2_line_12_yuki_sees_the_teacher_and_is_brought_back_by_light_or_tap() {
    let text = sheet("tuesday-wind-down", &[]);
    reads(
        &text,
        &[
            "Yuki (deaf) In clear sight of your face; a light or a tap ends the rest and whatever is done with eyes \
           closed.",
        ],
    );
    // After the breathing and after the rest.
    for (from, to) in [
        ("Longer out-breath", "Final rest"),
        ("Final rest", "Closing seat"),
    ] {
        let step = text.rsplit_once(from).expect("the step").1;
        let step = step.split_once(to).expect("the next").0;
        reads(step, &["watch bring back by a light or a tap Yu"]);
    }
}

/// The line counts the students; kindfold counts the teacher's own prop as well.
#[test]
fn roster_2_line_13_eleven_in_the_room_and_what_does_not_reach_round() {
    let adapted = class_a();
    let in_room = adapted
        .students
        .iter()
        .filter(|one| one.place == "room")
        .count();
    assert_eq!(in_room, 11);
    let line_of = |index: usize| adapted.steps[index - 1].line;
    let short = |prop| {
        let short = adapted.short.iter().find(|short| short.prop == prop);
        let short = short.expect("it does not reach round");
        let again = short.again.iter().map(|again| again.step);
        let lines: Vec<usize> = std::iter::once(short.step)
            .chain(again)
            .map(line_of)
            .collect();
        (short.needed, short.stock, lines)
    };
    assert_eq!(short(Prop::Strap), (11 + 1, 6, vec![SU05, SE04]));
    assert_eq!(short(Prop::Block), (22 + 2, 12, vec![ST16]));
    assert_eq!(short(Prop::Blanket), (11 + 1, 10, vec![SE07, REST]));
    let wall = &adapted.props[&Prop::Wall];
    assert_eq!(wall.stock, Some(4));
    assert!(wall.needed <= 4);
    // The wall holds four, and both balances offer it.
    let text = sheet("tuesday-wind-down", &[]);
    let out = between(&text, "Set out", "Say once to everyone");
    reads(
        out,
        &[
            "keep 4 places clear at the wall",
            "Short at 19:50 and 19:53: 11 places at the wall for everyone; 4 there. Instead:",
        ],
    );
    // What lies at every place is not fetched as well.
    reads(out, &["1 block at every place"]);
    let fold = between(&text, "Wide-legged forward fold", "Pyramid");
    assert!(!fold.contains("fetch"), "{fold}");
    // Nor is it promised to all on what hangs in the room.
    let room = sheet("tuesday-wind-down", &["--sheet", "room"]);
    for (from, to, words) in [
        ("Seated side bend", "Upward salute", "10"),
        ("Pyramid", "Tree", "12"),
        ("Head-to-knee fold", "Supine twist", "6"),
        ("Final rest", "Closing seat", "10"),
    ] {
        let step = between(&room, from, to);
        assert!(
            step.contains("each") && step.contains(words) && step.contains("there"),
            "{step}"
        );
    }
}

#[test]
fn roster_2_line_14_leilanis_thread_reaches_her_before_class() {
    let leilani = who(class_a(), "Leilani");
    assert_eq!(leilani.plan.place, "video");
    let card = sheet(
        "tuesday-wind-down",
        &["--sheet", "cards", "--student", "Leilani"],
    );
    assert!(
        card.to_lowercase()
            .contains("in the chair, lean back, feet flat"),
        "{card}"
    );
    let text = sheet("tuesday-wind-down", &[]);
    reads(&text, &["Leilani (video) Send their card before class."]);
    let cards = text
        .rsplit_once("Before 19:15: send cards to")
        .expect("it ends with that")
        .1;
    reads(cards, &["Leilani"]);
}

#[test]
fn roster_2_line_15_the_rest_is_long_enough_and_the_flow_is_trimmed() {
    assert_eq!(advice(class_a(), AdviceKind::RestShort), Vec::<&str>::new());
    let rest = class_a()
        .steps
        .iter()
        .find(|step| step.line == REST)
        .expect("the rest");
    assert_eq!(rest.hold_s, 8 * 60);
    let said = advice(class_a(), AdviceKind::OverTime);
    let said = said.first().expect("it runs over");
    assert!(
        said.contains("steps 8 to 13") && said.contains("once"),
        "{said}"
    );
    assert!(
        said.contains("The rest at the end stays as it is."),
        "{said}"
    );
    // When it ends is the same on every sheet.
    let ends = |args: &[&str]| {
        let text = sheet("tuesday-wind-down", args);
        let end = text.split_once("Ends ").expect("it says when").1;
        end.chars().take(5).collect::<String>()
    };
    assert_eq!(ends(&[]), ends(&["--sheet", "room"]));
}

/// What is said aloud goes to the hall and to the video alike.
#[test]
fn roster_2_line_16_nothing_personal_is_said_aloud() {
    let options = class_a().steps.iter().flat_map(|step| &step.options);
    let aloud: BTreeSet<String> = options
        .filter(|option| option.spoken)
        .map(|option| format!("{} {}", option.name, option.cue).to_lowercase())
        .collect();
    assert!(!aloud.is_empty());
    for words in &aloud {
        for student in &class_a().students {
            assert!(!words.contains(&student.name.to_lowercase()), "{words}");
        }
        for known in library().limitations.values() {
            let condition = known.kind == kindfold::library::rule::LimitationKind::Condition;
            assert!(
                !condition || !words.contains(&known.name.to_lowercase()),
                "{words}"
            );
        }
    }
}

/// The sheet says once that the hall and the video share their sound, where it counts what is said; and no
/// quiet word is meant for somebody who would hear it through the hall.
#[test]
fn roster_2_line_16_one_sound_for_hall_and_video_and_a_word_for_one_of_them_is_sent() {
    let text = floor();
    reads(
        &text,
        &[
            "for a quiet word. The hall and the video hear the same, and a recording keeps it: say nothing personal \
             aloud. What is for one of them alone is sent before class.",
        ],
    );
    let floor = between(&text, "Say once, quietly", "People. Keep this part");
    let mut sent = 0;
    for line in floor.split(" quiet ").skip(1) {
        let names = between(line, "(", ")");
        let away = names
            .split(' ')
            .any(|name| ["Le", "Me", "Th"].contains(&name));
        assert_eq!(away, line.starts_with("send before class: "), "{line}");
        sent += usize::from(away);
    }
    assert!(sent > 0);
    reads(
        &text,
        &[
            "Leilani (video)",
            "Before 19:15, by message: ask Leilani, Thandiwe.",
        ],
    );
    // With everybody in the room there is nothing to say about it.
    let here = file("tuesday-wind-down", "roster.yaml").replace("    where: video\n", "");
    let here = here.replace("  - {name: Recording, asked: no, where: recording}\n", "");
    let class = file("tuesday-wind-down", "class.yaml");
    let props = file("tuesday-wind-down", "props.yaml");
    let text = read(&planned(&class, &here, Some(&props)));
    assert!(
        !text.contains("hear the same") && !text.contains("before class"),
        "{text}"
    );
}

#[test]
fn roster_2_line_17_two_options_a_posture_at_most_and_the_rest_on_the_crib() {
    let mut quiet = 0;
    for step in &class_a().steps {
        let spoken = step.options.iter().filter(|option| option.spoken).count();
        assert!(spoken <= 2, "line {}", step.line);
        quiet += step.options.len() - spoken;
    }
    let text = sheet("tuesday-wind-down", &[]);
    assert!(text.contains("at most 2 at a step"));
    assert!(quiet == 0 || text.contains(" quiet "));
}
