//! Settles the shapes of a YAML file and says what came of them: a workbench for authors of postures.
//!
//! `cargo run --release --example try_shape -- FILE [ID …]`, with `--full` for every hinge and joint place
//! and `--restarts` to settle each again from four other starts and name what moves.
//! The file is `id: shape`, or a list of entries with an `id`; `based_on` an earlier id merges its maps key by key
//! (null takes a key away); keys that are not of the shape are left alone.

use std::collections::BTreeMap;
use std::process::ExitCode;

use kindfold::body::{
    Body, Measures, Origin, Reading, RestartEnd, Settled, Shape, Told, measure, restarts, settle,
};
use serde_yaml::{Mapping, Value};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let asked = |flag: &str| arguments.iter().any(|a| a == flag);
    let more = More {
        full: asked("--full"),
        restarts: asked("--restarts"),
    };
    let mut words = arguments.iter().filter(|a| !a.starts_with("--"));
    let Some(file) = words.next() else {
        eprintln!("usage: try_shape FILE [ID …] [--full] [--restarts]");
        return ExitCode::from(2);
    };
    let wanted: Vec<&String> = words.collect();
    let text = match std::fs::read_to_string(file) {
        Ok(text) => text,
        Err(error) => {
            eprintln!("{file}: {error}");
            return ExitCode::from(2);
        }
    };
    let entries = match entries(&text) {
        Ok(entries) => entries,
        Err(error) => {
            eprintln!("{file}: {error}");
            return ExitCode::from(2);
        }
    };
    let mut refused = 0;
    for (id, entry) in entries
        .iter()
        .filter(|(_, entry)| entry.get("ends").is_none())
    {
        if wanted.is_empty() || wanted.contains(&id) {
            refused += usize::from(!tell(id, entry, more));
        }
    }
    println!(
        "{refused} of {} not accepted",
        if wanted.is_empty() {
            entries.len()
        } else {
            wanted.len()
        }
    );
    if refused == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Every entry by id, with what it is based on merged in.
fn entries(text: &str) -> Result<Vec<(String, Value)>, String> {
    let root: Value = serde_yaml::from_str(text).map_err(|e| e.to_string())?;
    let mut raw: Vec<(String, Value)> = Vec::new();
    let mut take = |id: Option<&str>, entry: &Value| match id {
        Some(id) if entry.is_mapping() => raw.push((id.to_owned(), entry.clone())),
        _ => {}
    };
    match root.get("postures").unwrap_or(&root) {
        Value::Mapping(map) => map.iter().for_each(|(id, entry)| take(id.as_str(), entry)),
        Value::Sequence(list) => {
            list.iter()
                .for_each(|entry| take(entry.get("id").and_then(Value::as_str), entry));
        }
        _ => return Err("a mapping of shapes, or a list of entries with ids".to_owned()),
    }
    let mut done: BTreeMap<String, Value> = BTreeMap::new();
    let mut result = Vec::new();
    for (id, entry) in raw {
        let merged = match entry.get("based_on").and_then(Value::as_str) {
            None => entry,
            Some(base) => {
                let base = done.get(base).ok_or(format!(
                    "{id}: based on “{base}”, which does not stand before it"
                ))?;
                merged(base, &entry)
            }
        };
        done.insert(id.clone(), merged.clone());
        result.push((id, merged));
    }
    Ok(result)
}

/// Maps are merged key by key, everything else is replaced.
fn merged(base: &Value, over: &Value) -> Value {
    match (base, over) {
        (Value::Mapping(base), Value::Mapping(over)) => {
            let mut map: Mapping = base.clone();
            for (key, value) in over {
                let value = base
                    .get(key)
                    .map_or_else(|| value.clone(), |below| merged(below, value));
                map.insert(key.clone(), value);
            }
            Value::Mapping(map)
        }
        _ => over.clone(),
    }
}

/// What is told beside the usual.
#[derive(Clone, Copy)]
struct More {
    full: bool,
    restarts: bool,
}

/// Prints what came of one shape; true when it is accepted.
fn tell(id: &str, entry: &Value, more: More) -> bool {
    let shape = match Shape::read(entry) {
        Ok(shape) => shape,
        Err(problems) => {
            println!("{id}: NOT READ");
            for problem in problems {
                let near = problem
                    .near
                    .map_or(String::new(), |near| format!(" — did you mean “{near}”?"));
                println!(
                    "    {}: {}{near}",
                    problem.path.join(" › "),
                    problem.message
                );
            }
            return false;
        }
    };
    let body = Body::standard();
    let began = std::time::Instant::now();
    let settled = settle(body, &shape);
    let ms = began.elapsed().as_secs_f64() * 1e3;
    let verdict = if settled.accepted() {
        "ok"
    } else {
        "NOT ACCEPTED"
    };
    let symmetric = if shape.is_symmetric() {
        ", symmetric"
    } else {
        ""
    };
    println!(
        "{id}: {verdict} ({} evaluations, {ms:.0} ms{symmetric})",
        settled.evaluations
    );
    for reason in &settled.reasons {
        println!("    ! {reason}");
    }
    for strain in &settled.strain {
        println!(
            "    ~ {}: asked {}, got {}",
            strain.what, strain.asked, strain.got
        );
    }
    measures(&measure(body, &shape, &settled), &settled);
    if more.restarts {
        for report in restarts(body, &shape, 4)
            .iter()
            .filter(|r| r.end != RestartEnd::Same || r.moved_deg > 5.0 || r.moved_load_pct > 3.0)
        {
            println!(
                "    ? from another start {:?}: {} moves {:.0} degrees, loads {:.0} %",
                report.end, report.hinge, report.moved_deg, report.moved_load_pct
            );
        }
    }
    if more.full {
        println!("    hinges {:?}", settled.hinge_angles(body));
        for (name, [x, y, z]) in settled.joint_positions(body) {
            println!("    {name:16} x {x:7.3}  y {y:7.3}  z {z:7.3}");
        }
    }
    settled.accepted()
}

/// The measures that are not near zero, left / right, and the loads. `*` marks what was left free.
fn measures(measures: &Measures, settled: &Settled) {
    let (mut angles, mut loads, mut rest) = (Vec::new(), Vec::new(), Vec::new());
    for (measure, told) in measures.iter() {
        let name = measure.as_str();
        let text = match *told {
            Told::One(one) if one.value.abs() < 1.0 && !name.ends_with("_cm") => continue,
            Told::One(one) => mark(one),
            Told::Sides { left, right } if left.value.abs() < 1.0 && right.value.abs() < 1.0 => {
                continue;
            }
            Told::Sides { left, right } if (left.value - right.value).abs() < 1.0 => mark(left),
            Told::Sides { left, right } => format!("{}/{}", mark(left), mark(right)),
        };
        let (list, short) = match name {
            "trunk_pitch_deg" | "load_spread_pct" | "single_leg" => (&mut rest, name),
            _ if name.ends_with("_deg") => (&mut angles, name.trim_end_matches("_deg")),
            _ if name.ends_with("_load_pct") => (&mut loads, name.trim_end_matches("_load_pct")),
            _ => (&mut rest, name),
        };
        list.push(format!("{short} {text}"));
    }
    println!("    {}", angles.join(", "));
    println!("    {}", rest.join(", "));
    println!(
        "    loads: {}; effort {:.2} at {}",
        loads.join(", "),
        settled.greatest_effort,
        settled.effort_at
    );
}

fn mark(reading: Reading) -> String {
    format!(
        "{:.0}{}",
        reading.value,
        if reading.origin == Origin::Free {
            "*"
        } else {
            ""
        }
    )
}
