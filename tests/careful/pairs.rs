//! Scenarios, sections 8 and 9: a roster with another's class, and small checks.

use super::*;

fn text(case: &str, name: &str) -> String {
    file(case, name)
}

/// Almost everything changes: the honest answer is another class.
#[test]
fn pair_roster_1_with_class_a_says_that_another_class_may_be_kinder() {
    let adapted = planned(
        &text("tuesday-wind-down", "class.yaml"),
        &text("ten-past-one", "roster.yaml"),
        Some(&text("tuesday-wind-down", "props.yaml")),
    );
    let said = advice(&adapted, AdviceKind::WrongClass);
    let said_of = |name: &str| said.iter().any(|text| text.contains(name));
    assert_eq!(said.len(), 1, "said once, of all of them: {said:?}");
    for name in ["Gwendolen", "Malik"] {
        assert!(said_of(name), "{name}: {said:?}");
    }
    let other = |step: &Step| {
        let mut given = adapted.students.iter();
        given.any(|one| one.assignments[step.index - 1].posture != step.taught.posture)
    };
    assert!(adapted.steps.iter().all(other), "almost everything changes");
    reads(
        &read(&adapted),
        &[
            "You show all 29 shapes as planned; at each of them somebody does something else.",
            "people do something else: another class would suit this room better. Gwendolen and Malik",
        ],
    );
}

/// Wrists stop mattering, lying flat matters more.
#[test]
fn pair_roster_2_with_class_c_spares_no_wrists_and_keeps_more_people_off_their_backs() {
    let adapted = planned(
        &text("last-sunday-rest", "class.yaml"),
        &text("tuesday-wind-down", "roster.yaml"),
        None,
    );
    let kept = |adapted: &Adapted, demand: &str| -> usize {
        let findings = adapted.students.iter().flat_map(|one| &one.assignments);
        let findings = findings.flat_map(|given| {
            given.verdicts.iter().chain(
                given
                    .instead_of
                    .iter()
                    .flat_map(|instead| &instead.verdicts),
            )
        });
        findings.filter(|one| one.demand.as_str() == demand).count()
    };
    let rohan = who(&adapted, "Rohan");
    assert_eq!(rohan.kept_from(), BTreeSet::new());
    for (step, given) in rohan.done() {
        assert!(given.verdicts.is_empty(), "line {}", step.line);
    }
    let share = |adapted: &Adapted| kept(adapted, "lying-flat") as f64 / adapted.steps.len() as f64;
    assert!(share(&adapted) > share(class_a()));
}

#[test]
fn pair_roster_3_with_class_b_wants_24_chairs_and_12_are_there() {
    let adapted = planned(
        &text("ten-past-one", "class.yaml"),
        &text("last-sunday-rest", "roster.yaml"),
        Some(&text("ten-past-one", "props.yaml")),
    );
    let chairs = adapted.short.iter().find(|short| short.prop == Prop::Chair);
    let chairs = chairs.expect("chairs run short");
    assert_eq!((chairs.needed, chairs.stock), (24 + 1, 12));
    // Who has no chair rests on the floor, and the sheet does not say otherwise.
    let mut given = adapted.students.iter().flat_map(|one| &one.assignments);
    let on_floor = given.any(|given| posture(&given.posture).level.is_floor());
    assert_eq!(
        read(&adapted).contains("Nobody goes to the floor."),
        !on_floor
    );
    assert!(on_floor);
    // The chairs are theirs who told of kneeling, getting down or standing; the others can manage the floor.
    for name in ["Ibrahim", "Rivka", "Sefa", "Zainab"] {
        let given = who(&adapted, name);
        for (step, given) in given.done() {
            assert!(
                !given.sit_out,
                "{name}, line {}: {}",
                step.line, given.posture
            );
        }
    }
    assert!(read(class_b()).contains("Nobody goes to the floor."));
}

/// Nobody is known: only the choices for anyone.
#[test]
fn pair_nobody_with_class_a_gives_choices_for_anyone_and_names_no_one() {
    let room = [
        "adapt",
        "class.yaml",
        "--props",
        "props.yaml",
        "--format",
        "json",
    ];
    let output = kindfold(&room, &folder("tuesday-wind-down"));
    assert!(output.status.success());
    // A list of nobody yet is the same room.
    let lists = tempfile::tempdir().expect("a folder");
    let empty = lists.path().join("nobody.yaml");
    std::fs::write(&empty, "recorded: 2026-05-12\nstudents: []\n").expect("written");
    let empty = empty.to_str().expect("a path");
    let of_nobody = kindfold(
        &[&room[..], &["--roster", empty]].concat(),
        &folder("tuesday-wind-down"),
    );
    assert!(
        of_nobody.stdout == output.stdout,
        "an empty list is another room"
    );
    let adapted: Adapted = serde_json::from_slice(&output.stdout).expect("JSON");
    let options: Vec<_> = adapted
        .steps
        .iter()
        .flat_map(|step| &step.options)
        .collect();
    assert!(!options.is_empty());
    assert!(options.iter().all(|option| option.for_anyone));
    let given = adapted.students.iter().flat_map(|one| &one.assignments);
    assert!(given.clone().all(|given| given.verdicts.is_empty()));
}

/// Changes are small: nobody else's are made.
#[test]
fn pair_kwame_and_rohan_alone_change_little() {
    let roster = text("tuesday-wind-down", "roster.yaml");
    let mut two = String::from("recorded: 2026-05-05\nstudents:\n");
    for person in roster
        .split("\n  - ")
        .filter(|person| person.starts_with("name: Kwame\n") || person.starts_with("name: Rohan\n"))
    {
        two.push_str(&format!("  - {person}\n"));
    }
    let adapted = planned(
        &text("tuesday-wind-down", "class.yaml"),
        &two,
        Some(&text("tuesday-wind-down", "props.yaml")),
    );
    assert_eq!(adapted.students.len(), 2);
    for step in &adapted.steps {
        let same = step.lead.posture == step.taught.posture;
        assert!(same, "line {}: the taught shape is shown", step.line);
    }
    let rohan = who(&adapted, "Rohan");
    let away: BTreeSet<usize> = (1..=29).filter(|&line| !rohan.as_taught(line)).collect();
    assert_eq!(away, BTreeSet::from([19, 20]), "his wrists alone");
}

#[test]
fn check_the_same_input_twice_gives_the_same_output() {
    assert_eq!(class_b(), &case("ten-past-one"));
}

/// Concetta's form dated otherwise: what was told of the others is as it was.
#[test]
fn check_one_form_date_changes_only_what_depends_on_it() {
    let roster = text("tuesday-wind-down", "roster.yaml");
    assert!(roster.contains("  - name: Aoife\n    recorded: 2026-04-03\n"));
    let later = roster.replace(
        "  - name: Aoife\n    recorded: 2026-04-03\n",
        "  - name: Aoife\n    recorded: 2026-04-24\n",
    );
    let props = text("tuesday-wind-down", "props.yaml");
    let class = text("tuesday-wind-down", "class.yaml");
    let adapted = planned(&class, &later, Some(&props));
    // Three weeks later on the form are three weeks less on the day.
    assert!(
        who(&adapted, "Aoife")
            .cautions()
            .contains("14 weeks 4 days")
    );
    for before in &class_a().students {
        let (old, new) = (who(class_a(), &before.name), who(&adapted, &before.name));
        if before.name != "Aoife" {
            assert_eq!(old.cautions(), new.cautions());
            for line in 1..=29 {
                let of = |found: Vec<(Side, &Finding)>| -> BTreeSet<String> {
                    let rules = found.iter();
                    rules
                        .map(|(on, one)| format!("{on} {} {}", one.rule, one.verdict))
                        .collect()
                };
                let old_kept = old.kept_from();
                assert_eq!(old_kept, new.kept_from(), "{}", before.name);
                if old
                    .at(line)
                    .iter()
                    .zip(new.at(line))
                    .all(|(a, b)| a.1.posture == b.1.posture)
                {
                    assert_eq!(
                        of(old.findings(line)),
                        of(new.findings(line)),
                        "{}",
                        before.name
                    );
                }
            }
        }
    }
}

#[test]
fn check_without_health_notes_no_caution_about_a_person_remains() {
    let names = class_b()
        .students
        .iter()
        .map(|one| format!("  - {{name: {:?}, limitations: []}}\n", one.name));
    let roster = format!("students:\n{}", names.collect::<String>());
    let adapted = planned(
        &text("ten-past-one", "class.yaml"),
        &roster,
        Some(&text("ten-past-one", "props.yaml")),
    );
    let about: Vec<_> = adapted
        .cautions
        .iter()
        .filter(|one| one.student.is_some())
        .collect();
    assert!(about.is_empty(), "{about:?}");
    assert!(adapted.ask.is_empty());
}

/// Everything mirrored: the class begins on the other side, every told side is the other, and so is
/// everything that comes out.
#[test]
fn check_left_and_right_swapped_mirrors_the_whole_output() {
    let swap = |text: &str| {
        text.replace("side: left", "side: LEFT")
            .replace("side: right", "side: left")
            .replace("side: LEFT", "side: right")
    };
    let class = text("tuesday-wind-down", "class.yaml");
    let props = text("tuesday-wind-down", "props.yaml");
    let roster = text("tuesday-wind-down", "roster.yaml");
    let plain = class_a();
    let left_first = {
        let source = |name, text: &str| Source::from_bytes(name, text.as_bytes()).expect("text");
        let class = input::class::read(source("class.yaml", &class), library()).expect("a class");
        let roster =
            input::roster::read(source("r.yaml", &swap(&roster)), library()).expect("a roster");
        let stock = input::props::read(source("p.yaml", &props)).expect("props");
        let settings = input::settings::read(source("s.yaml", "first_side: left\n"), library());
        let date = class.date.expect("a date");
        let task = Task {
            settings: &settings.expect("settings"),
            ..task(&class, &roster, &stock, date)
        };
        adapt(&task, &mut |_| {}).expect("it plans").adapted
    };
    assert_eq!(plain.plan.objective, left_first.plan.objective);
    for (old, new) in plain.students.iter().zip(&left_first.students) {
        let (old, new) = (who(plain, &old.name), who(&left_first, &new.name));
        for line in 1..=29 {
            let rules = |found: Vec<(Side, &Finding)>, mirror: bool| -> BTreeSet<String> {
                let told = found.into_iter().map(|(on, one)| {
                    let on = if mirror { on.mirrored() } else { on };
                    let body = one
                        .side
                        .map(|side| if mirror { side.other() } else { side });
                    format!("{on} {} {} {body:?}", one.rule, one.verdict)
                });
                told.collect()
            };
            let mirrored = rules(new.findings(line), true);
            let same = old
                .at(line)
                .iter()
                .zip(new.at(line))
                .all(|(a, b)| a.1.posture == b.1.posture);
            if same {
                assert_eq!(
                    rules(old.findings(line), false),
                    mirrored,
                    "{} {line}",
                    old.plan.name
                );
            }
            assert_eq!(old.kept_from(), new.kept_from(), "{}", old.plan.name);
        }
    }
}

#[test]
fn check_no_name_is_in_what_students_or_recordings_get() {
    for case in ["tuesday-wind-down", "ten-past-one"] {
        let adapted = if case == "ten-past-one" {
            class_b()
        } else {
            class_a()
        };
        for name in ["room", "props"] {
            let text = sheet(case, &["--sheet", name]);
            for student in &adapted.students {
                assert!(
                    !text.contains(&student.name) || student.name == "Recording",
                    "{}",
                    student.name
                );
            }
        }
        let options = adapted.steps.iter().flat_map(|step| &step.options);
        for option in options {
            for student in &adapted.students {
                assert!(!option.cue.contains(&student.name));
            }
        }
    }
}
