//! Numbers from outside: every row of the tables in `tests/outside/`, its source beside it.
//!
//! A row is a `gate` and fails, or prints a warning with the number (`cargo test outside -- --nocapture`).
//! Nothing is tuned to a row. Rows that need more than one number of a shape are tests of their own in
//! `outside_ways.rs` and `body.rs`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use kindfold::body::{
    Body, Measure, Measures, Origin, Settled, Shape, ShapeProblem, Told, measure, settle,
};
use kindfold::input;
use kindfold::library::Library;
use kindfold::library::posture::{Posture, PostureBody};
use kindfold::settings::Settings;
use kindfold::timetable::timetable;
use kindfold::words::BodySide;
use serde::Deserialize;
use serde_yaml::{Mapping, Value};

pub(crate) static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().expect("the built-in library loads"));

/// A shape of the library: id, as authored, as settled, as measured.
pub(crate) type Known = (
    &'static str,
    &'static Shape,
    &'static Settled,
    &'static Measures,
);

/// Every shape of the library with its settled body.
pub(crate) fn bodies() -> impl Iterator<Item = Known> {
    LIBRARY.postures.values().filter_map(body_of)
}

fn body_of(posture: &'static Posture) -> Option<Known> {
    match &posture.body {
        PostureBody::Shape { shape, settled, .. } => {
            Some((posture.id.as_str(), shape, settled, &posture.measures))
        }
        PostureBody::Ends(_) => None,
    }
}

/// A shape that the library is known to have.
pub(crate) fn known(id: &str) -> Known {
    let posture = LIBRARY.postures.get(id);
    posture
        .and_then(body_of)
        .expect("the library has the shape that the test names")
}

/// Comparison shapes of `tests/support/shapes.yaml`, settled and measured.
static TEST_SHAPES: LazyLock<BTreeMap<String, Measures>> = LazyLock::new(|| {
    let file: Mapping =
        serde_yaml::from_str(include_str!("support/shapes.yaml")).expect("the file is YAML");
    file.iter()
        .map(|(id, entry)| {
            let id = id.as_str().expect("ids are words").to_owned();
            let entry = match entry.get("based_on").and_then(Value::as_str) {
                Some(base) => merged(file.get(base).expect("the base stands in the file"), entry),
                None => entry.clone(),
            };
            let shape = Shape::read(&entry).unwrap_or_else(|problems| unreadable(&id, &problems));
            let settled = settle(Body::standard(), &shape);
            assert!(settled.accepted(), "{id}: {:?}", settled.reasons);
            (id, measure(Body::standard(), &shape, &settled))
        })
        .collect()
});

fn unreadable(id: &str, problems: &[ShapeProblem]) -> Shape {
    assert!(problems.is_empty(), "{id}: {problems:?}");
    Shape::read(&Value::Mapping(Mapping::new())).expect("an empty shape reads")
}

fn merged(base: &Value, over: &Value) -> Value {
    let (Value::Mapping(base), Value::Mapping(over)) = (base, over) else {
        return over.clone();
    };
    let mut map = base.clone();
    for (key, value) in over {
        let replace_whole = key.as_str() == Some("contacts");
        let below = base.get(key).filter(|_| !replace_whole);
        map.insert(
            key.clone(),
            below.map_or_else(|| value.clone(), |below| merged(below, value)),
        );
    }
    Value::Mapping(map)
}

fn measures(of: &str) -> &'static Measures {
    match of.strip_prefix("test: ") {
        Some(id) => TEST_SHAPES.get(id).unwrap_or_else(|| missing(of)),
        None => posture(of).map_or_else(|| missing(of), |posture| &posture.measures),
    }
}

fn missing(of: &str) -> &'static Measures {
    static NONE: LazyLock<Measures> = LazyLock::new(Measures::default);
    assert!(of.is_empty(), "no shape is called “{of}”");
    &NONE
}

/// A posture of the library.
pub(crate) fn posture(of: &str) -> Option<&'static Posture> {
    LIBRARY.postures.get(of)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    gate: bool,
    figure: String,
    source: String,
    basis: String,
    /// Why a row that is no gate is missed, by mechanics.
    deviates: Option<String>,
    checks: Vec<Check>,
}

#[derive(Deserialize)]
#[serde(untagged, deny_unknown_fields)]
enum Check {
    /// A measure of a shape, or the difference of two shapes.
    Measure {
        of: String,
        measure: String,
        less: Option<String>,
        less_measure: Option<String>,
        #[serde(rename = "where")]
        only: Option<Only>,
        side: Sides,
        from: f64,
        to: f64,
    },
    /// A hinge of a shape, degrees.
    Hinge {
        of: String,
        hinge: String,
        side: Sides,
        from: f64,
        to: f64,
    },
    /// The distance of two joints, metres.
    Apart {
        of: String,
        apart: [String; 2],
        from: f64,
        to: f64,
    },
    /// The mean effort over the holds of a class, MET.
    Class { class: String, from: f64, to: f64 },
    /// The mean of a number over all shapes.
    Mean {
        mean_of_library: String,
        from: f64,
        to: f64,
    },
}

/// Shapes of which another number lies above a limit.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Only {
    measure: String,
    above: f64,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Sides {
    Both,
    Left,
    Right,
    Most,
    Least,
    Whole,
}

impl Sides {
    fn of(self, left: f64, right: f64) -> f64 {
        match self {
            Sides::Both => left + right,
            Sides::Left | Sides::Whole => left,
            Sides::Right => right,
            Sides::Most => left.max(right),
            Sides::Least => left.min(right),
        }
    }
}

/// The number of a measure of a shape.
pub(crate) fn number(of: &str, name: &str, side: Sides) -> f64 {
    if let ("effort_met", Some(posture)) = (name, posture(of)) {
        return posture.effort_met;
    }
    let measure = Measure::parse(name);
    let told = measure.and_then(|m| measures(of).get(m)).copied();
    assert!(told.is_some(), "“{of}” has no measure “{name}”");
    let sides = |side| told.map_or(f64::NAN, |told: Told| told.reading(Some(side)).value);
    side.of(sides(BodySide::Left), sides(BodySide::Right))
}

/// Whether the settling left a number over: nobody wrote it and nothing decided it.
fn is_left_over(of: &str, name: &str) -> bool {
    let told = Measure::parse(name).and_then(|m| measures(of).get(m));
    told.is_some_and(|told| told.reading(None).origin == Origin::Free)
}

impl Check {
    fn band(&self) -> (f64, f64) {
        match *self {
            Check::Measure { from, to, .. }
            | Check::Hinge { from, to, .. }
            | Check::Apart { from, to, .. }
            | Check::Class { from, to, .. }
            | Check::Mean { from, to, .. } => (from, to),
        }
    }

    /// What is looked at, and its number, for every shape that is meant.
    fn found(&self) -> Vec<(String, f64)> {
        match self {
            Check::Measure {
                of,
                measure,
                less,
                less_measure,
                only,
                side,
                ..
            } if of != "every" => {
                assert!(only.is_none(), "“where” goes with “every”");
                let value = number(of, measure, *side);
                match less {
                    None => vec![(format!("{of} {measure}"), value)],
                    Some(less) => {
                        let name = less_measure.as_ref().unwrap_or(measure);
                        let by = value - number(less, name, *side);
                        vec![(format!("{of} {measure} less {less}"), by)]
                    }
                }
            }
            Check::Measure {
                measure,
                only,
                side,
                ..
            } => bodies()
                .map(|(id, ..)| id)
                .filter(|id| !is_left_over(id, measure))
                .filter(|id| {
                    only.as_ref()
                        .is_none_or(|only| number(id, &only.measure, Sides::Most) > only.above)
                })
                .map(|id| (format!("{id} {measure}"), number(id, measure, *side)))
                .collect(),
            Check::Hinge {
                of, hinge, side, ..
            } => bodies()
                .filter(|(id, ..)| of == "every" || id == of)
                .map(|(id, _, settled, _)| {
                    let [left, right] = [BodySide::Left, BodySide::Right].map(|on| {
                        let found = Body::standard().hinge(hinge, Some(on));
                        let found = found.expect("the row names a hinge of the table");
                        match settled.origin(found) {
                            // A hinge that was left over stands for no intention.
                            Origin::Free => 0.0,
                            _ => settled.hinge_deg(found),
                        }
                    });
                    (format!("{id} {hinge}"), side.of(left, right))
                })
                .collect(),
            Check::Apart {
                of, apart: [a, b], ..
            } => {
                let (_, _, settled, _) = known(of);
                let places = settled.joint_positions(Body::standard());
                let at = |name: &String| places.get(name).copied().unwrap_or([f64::NAN; 3]);
                let (from, to) = (at(a), at(b));
                let metres = (0..3)
                    .map(|k| (from[k] - to[k]).powi(2))
                    .sum::<f64>()
                    .sqrt();
                vec![(format!("{of} {a} to {b}"), metres)]
            }
            Check::Class { class, .. } => {
                vec![(format!("effort of the class {class}"), class_effort(class))]
            }
            Check::Mean {
                mean_of_library: name,
                ..
            } => {
                let values: Vec<f64> = bodies()
                    .map(|(id, ..)| number(id, name, Sides::Whole))
                    .collect();
                let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
                vec![(format!("mean {name} of the library"), mean)]
            }
        }
    }
}

/// Mean effort over the holds of a class, each by its seconds, MET. What is between them is not counted.
fn class_effort(class: &str) -> f64 {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path: PathBuf = match class {
        "demo" => root.join("data/demo/class.yaml"),
        file if file.ends_with(".yaml") => root.join("tests/outside").join(file),
        case => root.join("tests/cases").join(case).join("class.yaml"),
    };
    let bytes = std::fs::read(&path).expect("the class that the row names is there");
    let source = input::text::Source::from_bytes(class, &bytes).expect("the class is text");
    let plan = input::class::read(source, &LIBRARY).expect("the class reads");
    let settings = Settings::default();
    let table = timetable(&plan, &LIBRARY, &settings);
    let holds = table.passes.iter().filter_map(|pass| {
        let posture = table.lines.get(pass.line)?.posture?;
        let effort = LIBRARY.postures.get(posture)?.effort_met;
        Some((f64::from(pass.seconds), effort))
    });
    let (seconds, work) = holds.fold((0.0, 0.0), |(seconds, work), (s, met)| {
        (seconds + s, work + s * met)
    });
    work / seconds
}

fn rows(text: &str) -> Vec<Row> {
    serde_yaml::from_str(text).expect("the table reads")
}

/// Every row of the tables of loads, angles and effort: a gate is met, and what else is missed has its mechanics
/// beside it. Of a check on every shape the worst are told.
#[test]
fn published_figures_are_met() {
    let tables = [
        include_str!("outside/loads.yaml"),
        include_str!("outside/angles.yaml"),
        include_str!("outside/effort.yaml"),
    ];
    let mut failed = Vec::new();
    for row in tables.iter().flat_map(|text| rows(text)) {
        assert!(
            !row.source.is_empty() && !row.basis.is_empty(),
            "{} names its source and basis",
            row.id
        );
        let mut missed = false;
        for check in &row.checks {
            let (from, to) = check.band();
            let found = check.found();
            assert!(
                !found.is_empty(),
                "{}: a check that looks at nothing",
                row.id
            );
            let all = found.len();
            let off = |value: f64| (from - value).max(value - to);
            let mut wrong: Vec<(String, f64)> = found
                .into_iter()
                .filter(|(_, value)| !(from..=to).contains(value))
                .collect();
            wrong.sort_by(|a, b| off(b.1).total_cmp(&off(a.1)));
            missed |= !wrong.is_empty();
            if all > 1 && !wrong.is_empty() {
                eprintln!("{}: {} of {all} shapes lie outside", row.id, wrong.len());
            }
            for (what, value) in wrong.iter().take(WORST) {
                let line = format!(
                    "{}: {what} = {value:.1}, wanted {from} to {to} ({})",
                    row.id, row.figure
                );
                if row.gate {
                    failed.push(line);
                } else {
                    eprintln!("warning: {line}");
                }
            }
        }
        match &row.deviates {
            Some(why) if missed => eprintln!("{} deviates: {why}", row.id),
            Some(_) => failed.push(format!("{}: explains what is not missed", row.id)),
            None if missed && !row.gate => failed.push(format!("{}: missed, no word why", row.id)),
            None => {}
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// So many shapes are named of a check on every shape.
const WORST: usize = 6;
