//! Versions of a whole class: what `rules/blankets.yaml` says, and what `kindfold vary` makes of it.

use std::path::Path;
use std::sync::OnceLock;

use kindfold::adapt::adapt;
use kindfold::adapted::Step;
use kindfold::audit::{self, Basis};
use kindfold::body::{Measure, Origin};
use kindfold::class::{ClassPlan, Item};
use kindfold::input::reading::Reading;
use kindfold::input::{self, text::Source};
use kindfold::library::blanket::Version;
use kindfold::library::condition::{Condition, Fact, Grade, Quantity};
use kindfold::library::graph::Link;
use kindfold::library::posture::{Posture, PostureBody};
use kindfold::settings::PropStock;
use kindfold::sheets::{self, class_yaml, page_text};
use kindfold::timetable::{Timetable, timetable};
use kindfold::vary::{Loss, Varied, vary};
use kindfold::words::{BodySide, Level, Prop, Side};
use rstest::rstest;

use crate::support::library::{library, settings, task};
use crate::support::program::kindfold;

/// The blankets of the contract, section 5.
const BLANKETS: [&str; 16] = [
    "padded-kneeling",
    "no-kneeling",
    "wrist-free",
    "arms-low",
    "chair",
    "no-floor",
    "stay-down",
    "head-level",
    "not-flat-not-front",
    "open-belly",
    "small-range",
    "neutral-spine",
    "quiet",
    "no-props",
    "household-props",
    "words-only",
];

#[test]
fn every_blanket_of_the_contract_is_in_the_library_and_no_other() {
    let ids: Vec<&str> = library()
        .blankets
        .iter()
        .map(|one| one.id.as_str())
        .collect();
    assert_eq!(ids, BLANKETS);
}

/// Rules section 5: "no angle demand at much". An angle demand is one whose limit of much is an
/// angle of a joint; where the trunk or the legs are in the room is none.
#[test]
fn the_small_range_bars_every_demand_whose_limit_is_an_angle() {
    let is_angle = |quantity: Quantity| {
        let name = quantity.as_str();
        name.ends_with("_deg") && name != "trunk_pitch_deg"
    };
    let of_legs_in_the_room = ["legs-up", "balance"];
    let angles: Vec<&str> = library()
        .demands
        .values()
        .filter(|demand| {
            let much = demand.condition(Grade::Much).comparisons();
            much.iter().any(|(quantity, ..)| is_angle(*quantity))
        })
        .map(|demand| demand.id.as_str())
        .filter(|id| !of_legs_in_the_room.contains(id))
        .collect();
    let blanket = library()
        .blankets
        .iter()
        .find(|one| one.id.as_str() == "small-range")
        .expect("it is there");
    let barred: Vec<&str> = blanket
        .bars
        .iter()
        .filter_map(|bar| match bar {
            Condition::Demand {
                demand,
                grade: Grade::Much,
                ..
            } => Some(demand.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(barred, angles);
    assert!(angles.len() > 10);
}

/// Class A and Class B.
const CASES: [&str; 2] = ["tuesday-wind-down", "ten-past-one"];

fn folder(case: &str) -> std::path::PathBuf {
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    cases.join(case)
}

fn class(case: &str) -> ClassPlan {
    let text = std::fs::read(folder(case).join("class.yaml")).expect("the case has a class");
    let source = Source::from_bytes("class.yaml", &text).expect("it is text");
    input::class::read(source, library()).expect("it reads")
}

fn version(names: &str) -> Version<'static> {
    let blanket = |name| {
        let known = library().blankets.iter();
        let mut known = known.filter(|one| one.id.as_str() == name);
        known.next().expect("there is such a version")
    };
    Version {
        blankets: names.split(',').map(blanket).collect(),
    }
}

fn make(class: &ClassPlan, names: &str) -> Varied {
    let roster = kindfold::roster::Roster::default();
    let (stock, date) = (
        PropStock::default(),
        class.date.expect("the case has a date"),
    );
    let task = task(class, &roster, &stock, date);
    vary(&task, &version(names)).expect("the planner reads its instance")
}

/// A case in one version, made once for all tests.
fn varied(case: &str, name: &str) -> &'static Varied {
    const MANY: usize = CASES.len() * BLANKETS.len();
    static MADE: [OnceLock<Varied>; MANY] = [const { OnceLock::new() }; MANY];
    let case_at = CASES
        .iter()
        .position(|one| *one == case)
        .expect("it is a case");
    let at = BLANKETS
        .iter()
        .position(|one| *one == name)
        .expect("it is a version");
    MADE[case_at * BLANKETS.len() + at].get_or_init(|| make(&class(case), name))
}

fn clock(class: &ClassPlan) -> Timetable<'_> {
    timetable(class, library(), settings())
}

fn measure(name: &str) -> Measure {
    let mut all = Measure::ALL.iter();
    let found = all.find(|one| one.as_str() == name);
    *found.expect("the contract has the measure")
}

/// The shapes that a posture shows: itself, or the two ends of a movement.
fn shapes(posture: &Posture) -> Vec<&Posture> {
    match &posture.body {
        PostureBody::Shape { .. } => vec![posture],
        PostureBody::Ends(ends) => {
            let ends = ends.iter().filter_map(|end| library().postures.get(end));
            ends.collect()
        }
    }
}

/// A number of a shape on one side, to 0.1; a number out of a free joint decides nothing
/// (contract 6).
fn number(shape: &Posture, name: &str, side: BodySide) -> Option<f64> {
    let told = shape.measures.get(measure(name))?;
    let reading = told.reading(Some(side));
    let known = reading.origin != Origin::Free;
    known.then(|| (reading.value * 10.0).round() / 10.0)
}

/// Whether a number of a shape is past a limit on some side.
fn past(shape: &Posture, name: &str, limit: f64) -> bool {
    let sides = BodySide::ALL.iter();
    let numbers = sides.filter_map(|&side| number(shape, name, side));
    numbers.into_iter().any(|value| value > limit)
}

fn at_least(shape: &Posture, name: &str, side: BodySide, limit: f64) -> bool {
    number(shape, name, side).is_some_and(|value| value >= limit)
}

const KNEELING: [Level; 2] = [Level::Kneeling, Level::HandsAndKnees];

/// The least number that is past "below": limits of the rules are given to 0.1.
const TENTH: f64 = 0.1;

/// What a shape asks beyond its blanket, by the limits of rules.md section 5 and the demands of its
/// section 1, read on the measured numbers.
fn too_much(name: &str, shape: &Posture, step: &Step) -> Option<&'static str> {
    let level = shape.level;
    let kneels = |limit: f64| {
        let knees = BodySide::ALL.iter();
        let mut knees = knees.filter(|&&side| at_least(shape, "knee_load_pct", side, limit));
        KNEELING.contains(&level) && knees.next().is_some()
    };
    let bent_wrist = |load: &str, limit: f64| {
        let hands = BodySide::ALL.iter();
        let mut hands = hands.filter(|&&side| {
            at_least(shape, load, side, limit) && at_least(shape, "wrist_extension_deg", side, 33.0)
        });
        hands.next().is_some()
    };
    let has = |fact: Fact| shape.facts.iter().any(|have| have.covers(fact));
    let supine_flat = level == Level::Supine && !past(shape, "trunk_pitch_deg", -60.0);
    let on_the_front = level == Level::Prone
        || (past(shape, "belly_load_pct", 20.0 - TENTH) && level != Level::Supine);
    let lies = matches!(level, Level::Supine | Level::Prone | Level::SideLying);
    let found = match name {
        "padded-kneeling" => {
            let padded = has(Fact::KneePadded) || step.props.contains_key(&Prop::Blanket);
            (kneels(10.0) && !padded) || (kneels(30.0) && step.hold_s > 60)
        }
        "no-kneeling" => kneels(10.0),
        "wrist-free" => {
            bent_wrist("hand_load_pct", 5.0)
                || bent_wrist("hand_wall_load_pct", 10.0)
                || past(shape, "forearm_load_pct", 20.0)
        }
        "arms-low" => {
            past(shape, "shoulder_elevation_deg", 95.0)
                || past(shape, "shoulder_extension_deg", 30.0 - TENTH)
                || has(Fact::HandsBehind)
        }
        "chair" => {
            let hand = level == Level::Standing && library().has_a_hand_up(shape);
            // Sit to stand is a shape of the chair (catalogue CH08), its upper end as well.
            let rises = shown(step).is_some_and(|posture| posture.level == Level::Chair);
            let on_it = level == Level::Chair || hand || rises;
            !on_it || !step.props.contains_key(&Prop::Chair)
        }
        "no-floor" => level.is_floor(),
        "head-level" => {
            let legs_up = level == Level::Supine && past(shape, "legs_raised_cm", 20.0 - TENTH);
            let over = past(shape, "trunk_pitch_deg", 110.0)
                || number(shape, "trunk_pitch_deg", BodySide::Left).is_some_and(|a| a < -110.0);
            past(shape, "head_below_heart_cm", 9.0 - TENTH) || legs_up || over
        }
        "not-flat-not-front" => supine_flat || on_the_front,
        "open-belly" => {
            let pressed =
                has(Fact::BellyPressed) && past(shape, "spine_rotation_deg", 15.0 - TENTH);
            supine_flat
                || on_the_front
                || pressed
                || has(Fact::TrunkEffort(Grade::Much))
                || past(shape, "spine_extension_deg", 40.0 - TENTH)
                || has(Fact::BreathHeld)
                || has(Fact::BreathChanged(Grade::Much))
        }
        "neutral-spine" => {
            (past(shape, "spine_flexion_deg", 30.0 - TENTH) && !lies)
                || past(shape, "spine_extension_deg", 30.0 - TENTH)
                || past(shape, "spine_rotation_deg", 20.0 - TENTH)
                || past(shape, "spine_side_bend_deg", 20.0 - TENTH)
        }
        "quiet" => {
            let one_leg = number(shape, "single_leg", BodySide::Left) == Some(1.0);
            let balances = one_leg && !has(Fact::Supported) && step.hold_s > 25;
            let on_foot = past(shape, "foot_load_pct", 25.0 - TENTH);
            shape.effort_met >= 3.0 || (balances && on_foot)
        }
        "no-props" => {
            let allowed = [Prop::Mat, Prop::Wall];
            step.props.keys().any(|prop| !allowed.contains(prop))
        }
        "words-only" => has(Fact::EyesClosed(Grade::Some)) || step.cue.is_none(),
        // Its angles are those of the demands, compared below; every other is by the whole class.
        "small-range" => {
            past(shape, "spine_extension_deg", 40.0 - TENTH)
                || past(shape, "spine_rotation_deg", 35.0 - TENTH)
                || past(shape, "spine_side_bend_deg", 30.0 - TENTH)
                || past(shape, "hip_external_rotation_deg", 45.0 - TENTH)
                || past(shape, "hip_abduction_deg", 45.0 - TENTH)
                || past(shape, "hip_extension_deg", 20.0 - TENTH)
                || past(shape, "hip_flexion_deg", 110.0 - TENTH)
                || past(shape, "shoulder_elevation_deg", 150.0 - TENTH)
                || past(shape, "neck_extension_deg", 45.0 - TENTH)
                || past(shape, "neck_rotation_deg", 60.0 - TENTH)
        }
        _ => false,
    };
    found.then_some("asks more than the version allows")
}

fn shown(step: &Step) -> Option<&'static Posture> {
    library().postures.get(&step.lead.posture)
}

/// Shapes and sides, by the numbers that the body model measures.
#[rstest]
fn no_step_of_a_version_asks_more_than_it_allows(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let mut wrong = Vec::new();
    for name in BLANKETS {
        for step in &varied(case, name).adapted.steps {
            let Some(posture) = shown(step) else { continue };
            for shape in shapes(posture) {
                if let Some(what) = too_much(name, shape, step) {
                    wrong.push(format!("{name}, step {}: {} {what}", step.line, shape.id));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The check above can fail: the classes as planned ask too much for most versions.
#[test]
fn the_classes_as_planned_ask_too_much_for_most_versions() {
    let plain = make(&class("tuesday-wind-down"), "household-props");
    assert!(plain.changes.is_empty());
    let asks = |name: &&str| {
        plain.adapted.steps.iter().any(|step| {
            let shapes = shown(step).map(shapes).unwrap_or_default();
            shapes
                .into_iter()
                .any(|shape| too_much(name, shape, step).is_some())
        })
    };
    let caught: Vec<&str> = BLANKETS.into_iter().filter(asks).collect();
    let by_the_class = ["stay-down", "household-props"];
    let expected: Vec<&str> = BLANKETS
        .into_iter()
        .filter(|name| !by_the_class.contains(name))
        .collect();
    assert_eq!(caught, expected);
}

/// The way of a move, as a plan reads it.
fn link(from: Level, to: Level, by: Option<&str>) -> Option<&'static Link> {
    let links = library().links.values();
    let mut links = links.filter(|one| one.from.contains(&from) && one.to.contains(&to));
    match by {
        Some(by) => links.find(|one| one.by.iter().any(|name| name == by)),
        None => links.find(|one| one.usual),
    }
}

/// Every way that a version takes, and the levels it joins: as its plan writes it down; inside a
/// run, where a plan has no words for it, as its sheet says it, else the usual one.
fn ways(varied: &Varied, start: Level) -> Vec<(Level, Level, &'static Link)> {
    let (mut level, mut found) = (start, Vec::new());
    let told = |way: &&Link| {
        let words = sheets::words::capital(&way.words);
        let mut ways = varied.changes.iter().filter(|one| one.line.is_none());
        ways.any(|change| change.name == words)
    };
    let mut by = None;
    for item in varied.class.sections.iter().flat_map(|part| &part.items) {
        match item {
            Item::Talk { .. } => {}
            Item::Move { by: words, .. } => by = words.as_deref(),
            Item::Run(run) => {
                for (place, line) in run.lines().enumerate() {
                    let shown = varied.adapted.steps.iter();
                    let mut shown = shown.filter(|step| step.line == line.number);
                    let Some(posture) = shown.next().and_then(self::shown) else {
                        continue;
                    };
                    if posture.level != level {
                        let written = link(level, posture.level, by);
                        let links = library().links.values();
                        let mut joining = links.filter(|one| {
                            one.from.contains(&level) && one.to.contains(&posture.level)
                        });
                        let inside = joining.find(told).filter(|_| place > 0);
                        let way = inside.or(written).expect("there is such a way");
                        found.push((level, posture.level, way));
                    }
                    (level, by) = (posture.level, None);
                }
            }
        }
    }
    found
}

/// Ways between levels, by what they ask: those that a plan can write down.
#[rstest]
#[case("no-kneeling", &["kneeling"])]
#[case("wrist-free", &["weight-on-hands"])]
#[case("arms-low", &["arms-overhead", "arms-behind"])]
#[case("chair", &["getting-down"])]
#[case("no-floor", &["getting-down"])]
#[case("head-level", &["head-below-heart"])]
#[case("not-flat-not-front", &["lying-flat", "lying-on-front"])]
#[case("open-belly", &["lying-flat", "lying-on-front"])]
#[case("neutral-spine", &["loaded-rounding"])]
fn no_way_of_a_version_asks_what_it_bars(#[case] name: &str, #[case] demands: &[&str]) {
    let mut met = 0;
    for case in CASES {
        let varied = varied(case, name);
        let start = version(name).start();
        let first = varied.adapted.steps.first().and_then(shown);
        let first = first.map_or(start, |posture| posture.level);
        // How people come to the first shape is said, not written down.
        for (from, to, way) in ways(varied, first) {
            met += 1;
            for demand in demands {
                let asked = way.demands.get(*demand);
                assert!(
                    asked.is_none(),
                    "{case}: {from} to {to}, {}: {demand}",
                    way.id
                );
            }
        }
    }
    assert!(met > 0);
}

/// Rules section 5, stay-down: at most one link down, none up before the end.
#[rstest]
fn who_stays_down_never_comes_up(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let steps = &varied(case, "stay-down").adapted.steps;
    let floor: Vec<bool> = steps
        .iter()
        .filter_map(shown)
        .map(|posture| posture.level.is_floor())
        .collect();
    assert!(
        floor.windows(2).all(|pair| !pair[0] || pair[1]),
        "{floor:?}"
    );
}

/// Rules section 5, padded-kneeling: a bout of kneeling is 300 s at most.
#[rstest]
fn padded_kneeling_has_no_long_bout(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let mut bout_s = 0;
    for step in &varied(case, "padded-kneeling").adapted.steps {
        let kneels = shown(step).is_some_and(|posture| KNEELING.contains(&posture.level));
        bout_s = if kneels { bout_s + step.hold_s } else { 0 };
        assert!(bout_s <= 300, "step {}", step.line);
    }
}

/// Rules section 5, small-range: holds of 30 s at most; the final rest keeps its time (contract 7).
#[rstest]
fn a_small_range_has_short_holds(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let varied = varied(case, "small-range");
    let clock = clock(&varied.class);
    let rest = clock
        .final_rest(library())
        .expect("both classes end in a rest");
    for (at, step) in varied.adapted.steps.iter().enumerate() {
        assert!(at == rest || step.hold_s <= 30, "step {}", step.line);
    }
}

/// Rules section 5, quiet: standing at most 30 % of the class; the rest 3 minutes longer or 15 % of
/// the class, whichever is longer; the class as long as it was.
#[rstest]
#[case("tuesday-wind-down", 675)]
#[case("ten-past-one", 300)]
fn a_quiet_class_stands_little_and_rests_long(#[case] case: &str, #[case] rest_s: u32) {
    let varied = varied(case, "quiet");
    let clock = clock(&varied.class);
    let stands = |level| matches!(level, Level::Standing | Level::Wall);
    let standing: u32 = clock
        .passes
        .iter()
        .filter(|pass| stands(clock.lines[pass.line].level))
        .map(|pass| pass.seconds)
        .sum();
    assert!(standing * 100 <= clock.planned_s * 30, "{standing} s");
    let rest = clock.final_rest(library()).expect("it ends in a rest");
    assert!(
        clock.passes[rest].seconds >= rest_s,
        "{}",
        clock.passes[rest].seconds
    );
}

/// The same length, a rest at the end as long as planned, both sides of what has sides alike.
#[rstest]
fn a_version_keeps_the_length_the_rest_and_both_sides(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let planned_class = class(case);
    let planned = clock(&planned_class);
    let planned_rest = planned
        .final_rest(library())
        .expect("the class ends in a rest");
    for name in BLANKETS {
        let varied = varied(case, name);
        let new = clock(&varied.class);
        let runs_over = varied
            .losses
            .iter()
            .any(|loss| matches!(loss, Loss::Over(_)));
        assert!(!runs_over, "{name}");
        assert_eq!(new.planned_s, planned.planned_s, "{name}");
        assert_eq!(varied.adapted.class.planned_s, planned.planned_s, "{name}");
        assert_eq!(varied.adapted.class.slot_s, planned_class.slot_s, "{name}");
        // Where nothing like a rest is left, it is said.
        let paused = varied
            .losses
            .iter()
            .any(|loss| matches!(loss, Loss::Paused(_)));
        match new.final_rest(library()) {
            Some(rest) => {
                let had_s = planned.passes[planned_rest].seconds;
                assert!(new.passes[rest].seconds >= had_s, "{name}");
            }
            None => assert!(paused, "{name} ends without a rest"),
        }
        for (at, line) in new.lines.iter().enumerate() {
            let posture = line.posture.and_then(|id| library().postures.get(id));
            let sides = |class: &Timetable<'_>, at: usize, side: Side| -> u32 {
                let passes = class.passes_of(at).filter(|(_, pass)| pass.side == side);
                passes.map(|_| 1).sum()
            };
            let had_both =
                sides(&planned, at, Side::Left) > 0 && sides(&planned, at, Side::Right) > 0;
            if had_both && posture.is_some_and(Posture::is_sided) {
                let (left, right) = (sides(&new, at, Side::Left), sides(&new, at, Side::Right));
                assert!(
                    left > 0 && left == right,
                    "{name}, line {}",
                    line.line.number
                );
            }
        }
    }
}

/// A chair thread without a break: every step has a shape on or behind the chair, joined by ways
/// that stay off the floor, and the last quarter holds a rest in the chair.
#[rstest]
fn the_chair_thread_is_unbroken_and_ends_in_a_seated_rest(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let varied = varied(case, "chair");
    assert!(
        varied
            .adapted
            .steps
            .iter()
            .all(|step| shown(step).is_some())
    );
    assert!(
        !varied
            .losses
            .iter()
            .any(|loss| matches!(loss, Loss::Paused(_)))
    );
    for pair in varied.adapted.steps.windows(2) {
        let (from, to) = (shown(&pair[0]), shown(&pair[1]));
        let levels = from.zip(to).map(|(from, to)| (from.level, to.level));
        let (from, to) = levels.expect("every step has a shape");
        assert!(from == to || link(from, to, None).is_some());
        assert!(!from.is_floor() && !to.is_floor());
    }
    let new = clock(&varied.class);
    let rest = new.final_rest(library()).expect("it ends in a rest");
    assert_eq!(new.lines[new.passes[rest].line].level, Level::Chair);
}

/// A person with the need that a version answers, and who stays with every shape of it.
#[rstest]
#[case("no-kneeling", "no-kneeling")]
#[case("chair", "no-getting-down")]
#[case("no-floor", "no-getting-down")]
#[case("arms-low", "no-arms-overhead, no-arms-behind")]
#[case("head-level", "no-head-below-heart, no-legs-up")]
#[case("not-flat-not-front", "no-lying-flat, no-lying-on-front")]
#[case(
    "open-belly",
    "no-lying-flat, no-lying-on-front, no-closed-twist, no-breath-hold"
)]
fn the_need_that_a_version_answers_changes_nothing_more_and_the_audit_agrees(
    #[case] name: &str,
    #[case] needs: &str,
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let class = &varied(case, name).class;
    let needs: Vec<String> = needs
        .split(", ")
        .map(|need| format!("{{what: {need}}}"))
        .collect();
    let roster = format!(
        "recorded: 2026-05-01\nstudents:\n  - {{name: Ada, limitations: [{}]}}\n",
        needs.join(", ")
    );
    let source = Source::from_bytes("roster.yaml", roster.as_bytes()).expect("it is text");
    let roster = input::roster::read(source, library()).expect("it reads");
    let (stock, date) = (PropStock::default(), class.date.expect("it has a date"));
    let task = task(class, &roster, &stock, date);
    let adapted = adapt(&task, &mut |_| {})
        .expect("the planner reads it")
        .adapted;
    let basis = Basis {
        library: library(),
        class,
        roster: &roster,
        stock: task.stock,
        settings: settings(),
        date: task.date,
        max_options: 3,
    };
    assert_eq!(audit::audit(&adapted, &basis), Vec::new());
    for step in &adapted.steps {
        assert_eq!(step.lead.posture, step.taught.posture, "step {}", step.line);
        assert!(step.options.is_empty(), "step {}", step.line);
    }
}

/// What is written as a class plan reads back to the same shapes, sides and seconds.
#[rstest]
fn a_version_written_as_a_plan_reads_back(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    for name in BLANKETS {
        let class = &varied(case, name).class;
        let text = class_yaml::file(
            &Reading {
                class: class.clone(),
                asks: Vec::new(),
                unread: Vec::new(),
                wrong: Vec::new(),
            },
            library(),
        );
        let source = Source::from_bytes("version.yaml", text.as_bytes()).expect("it is text");
        let read = input::class::read(source, library());
        let read = read.unwrap_or_else(|problems| unreachable!("{name}: {problems:?}\n{text}"));
        let (written, read_back) = (clock(class), clock(&read));
        assert_eq!(written.passes, read_back.passes, "{name}\n{text}");
        let shapes = |table: &Timetable<'_>| -> Vec<Option<String>> {
            let lines = table.lines.iter();
            lines
                .map(|line| line.posture.map(ToString::to_string))
                .collect()
        };
        assert_eq!(shapes(&written), shapes(&read_back), "{name}");
    }
}

#[rstest]
fn a_version_names_nobody_and_its_json_has_no_students(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    for name in BLANKETS {
        let adapted = &varied(case, name).adapted;
        assert!(adapted.students.is_empty() && adapted.ask.is_empty());
        // The stop signs are everybody's.
        assert!(adapted.cautions.iter().all(|one| one.student.is_none()));
        let json = serde_json::to_string(adapted).expect("it is JSON");
        assert!(!json.to_lowercase().contains("anyone"), "{name}");
        let named = adapted.steps.iter().flat_map(|step| &step.options);
        assert!(named.into_iter().all(|option| option.students.is_empty()));
    }
}

/// What is lost is said: a purpose that no shape at a line serves any more stands among the losses.
#[test]
fn a_lost_purpose_is_said() {
    for name in BLANKETS {
        let varied = varied("tuesday-wind-down", name);
        let said = |line: usize, purpose: &str| {
            varied.losses.iter().any(|loss| match loss {
                Loss::Purposes(lines, purposes) => {
                    let purposes = purposes.iter().any(|one| one.as_str() == purpose);
                    lines.contains(&line) && purposes
                }
                Loss::Paused(lines) => lines.contains(&line),
                _ => false,
            })
        };
        for step in &varied.adapted.steps {
            let taught = library().postures.get(&step.taught.posture);
            let Some((taught, lead)) = taught.zip(shown(step)) else {
                continue;
            };
            for (purpose, _) in taught.purposes_lost(lead) {
                assert!(
                    said(step.line, purpose.as_str()),
                    "{name}: {} {purpose}",
                    step.line
                );
            }
        }
    }
}

#[rstest]
#[case("padded-kneeling")]
#[case("chair")]
#[case("padded-kneeling,wrist-free")]
#[case("quiet")]
#[case("household-props")]
#[case("words-only")]
fn the_sheet_of_a_version(#[case] names: &str) {
    let varied = make(&class("tuesday-wind-down"), names);
    let document = sheets::vary::sheet(&varied, &version(names), settings(), library(), false);
    let text = page_text::text(&document, 80);
    for line in text.lines() {
        assert!(unicode_width::UnicodeWidthStr::width(line) <= 80, "{line}");
    }
    insta::assert_snapshot!(format!("vary-{}", names.replace(',', "-")), text);
}

#[test]
fn a_combination_keeps_to_each_of_its_versions() {
    let varied = make(&class("tuesday-wind-down"), "padded-kneeling,wrist-free");
    for step in &varied.adapted.steps {
        let shapes = shown(step).map(shapes).unwrap_or_default();
        for shape in shapes {
            for name in ["padded-kneeling", "wrist-free"] {
                assert_eq!(
                    too_much(name, shape, step),
                    None,
                    "{name}, step {}",
                    step.line
                );
            }
        }
    }
}

/// Wrong words on the command line: exit 2, nothing on standard output, these words.
#[rstest]
#[case(
    "padded-kneling",
    "--for: no version is called “padded-kneling”. Did you mean “padded-kneeling”?   [unknown-version]\n"
)]
#[case(
    "chair,no-floor,chair",
    "--for: “chair” stands there twice. Write each version once.   [version-twice]\n"
)]
#[case(
    "chair,stay-down",
    "--for: a class cannot be in a chair throughout and with one trip to the floor. Write “chair” or “stay-down”.   [versions-clash]\n"
)]
#[case(
    "no-kneeling,padded-kneeling",
    "--for: a class cannot be without kneeling and with padded kneeling. Write “no-kneeling” or “padded-kneeling”.   [versions-clash]\n"
)]
fn wrong_versions_are_refused_in_these_words(#[case] names: &str, #[case] words: &str) {
    let place = tempfile::tempdir().expect("a folder for the test");
    let class = folder("tuesday-wind-down").join("class.yaml");
    let class = class.to_str().expect("the path is text");
    let output = kindfold(
        &["vary", class, "--for", names, "-o", "v.txt"],
        place.path(),
    );
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    assert_eq!(String::from_utf8_lossy(&output.stderr), words);
    let written = std::fs::read_dir(place.path())
        .expect("it is there")
        .count();
    assert_eq!(written, 0);
}

/// What the made-up small classes of teachers hold: shapes of their own, shapes to keep.
#[test]
fn what_cannot_be_kept_is_said() {
    let text = "title: T\ndate: 2026-05-12\nminutes: 20\nsections:\n  - name: A\n    steps:\n      \
                - {own: spiral reach, breaths: 5}\n      \
                - {posture: downward dog, breaths: 5, keep: true}\n      \
                - {posture: mountain, breaths: 5, or: [hands on the wall]}\n      \
                - {posture: final rest, minutes: 4}\n";
    let source = Source::from_bytes("class.yaml", text.as_bytes()).expect("it is text");
    let class = input::class::read(source, library()).expect("it reads");
    let varied = make(&class, "head-level");
    let has = |wanted: &dyn Fn(&Loss) -> bool| varied.losses.iter().any(wanted);
    assert!(has(
        &|loss| matches!(loss, Loss::Unknown(1, name) if name == "spiral reach")
    ));
    assert!(has(&|loss| matches!(loss, Loss::NotKept(2, _))));
    assert!(has(
        &|loss| matches!(loss, Loss::OwnWords(lines) if lines == &[3])
    ));
    assert_eq!(clock(&varied.class).planned_s, clock(&class).planned_s);
}
