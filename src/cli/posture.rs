//! `kindfold postures` and `kindfold posture`.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::args::{Common, Format, LeadSide};
use super::meant::library;
use super::{Ended, Stopped, output};
use crate::body::{Body, Told};
use crate::library::Library;
use crate::library::posture::{Posture, PostureBody};
use crate::sheets::posture as sheet;
use crate::words::Side;

/// `kindfold postures [WORDS]`.
pub(super) fn list(words: &[String], common: &Common) -> Result<Ended, Stopped> {
    let library = library(common)?;
    let found = library.search(words);
    let text = match common.format {
        Format::Json => {
            let postures: Vec<Value> = found
                .iter()
                .map(|posture| {
                    json!({
                        "id": posture.id, "name": posture.name(), "sanskrit": posture.sanskrit,
                        "level": posture.level, "sided": posture.is_sided(),
                    })
                })
                .collect();
            output::json(&json!({ "schema": "kindfold/postures/1", "postures": postures }))?
        }
        Format::Text => sheet::list(&found, &words.join(" "), output::width(common)),
        Format::Markdown | Format::Html | Format::Csv => {
            return Err(output::no_such_form("A list of postures", "text or json"));
        }
    };
    output::result(&text, common)?;
    Ok(Ended::Done)
}

/// `kindfold posture NAME`.
pub(super) fn show(name: &str, side: LeadSide, common: &Common) -> Result<Ended, Stopped> {
    let library = library(common)?;
    let Some(posture) = library.find(name) else {
        let near = library.suggest(name, 3);
        let help = match near.as_slice() {
            [] => "“kindfold postures” lists every name.".to_owned(),
            near => format!("Did you mean “{}”?", near.join("”, “")),
        };
        let name = crate::problem::quoted(name);
        return Err(Stopped::Usage(format!(
            "No posture is called {name}. {help}   [unknown-posture]"
        )));
    };
    let side = match (posture.is_sided(), side) {
        (false, _) => Side::None,
        (true, LeadSide::Left) => Side::Left,
        (true, LeadSide::Right) => Side::Right,
    };
    let text = match common.format {
        Format::Text => sheet::text(&library, posture, side, output::width(common)),
        Format::Html => sheet::html(&library, posture, side),
        Format::Json => output::json(&as_json(&library, posture, side))?,
        Format::Markdown | Format::Csv => {
            return Err(output::no_such_form("A posture", "text, html or json"));
        }
    };
    output::result(&text, common)?;
    Ok(Ended::Done)
}

/// The contract's JSON of a posture, with the side asked for leading.
fn as_json(library: &Library, posture: &Posture, side: Side) -> Value {
    let mirrored = side == Side::Right;
    let measures = if mirrored {
        posture.measures.mirrored()
    } else {
        posture.measures.clone()
    };
    let mut numbers = Map::new();
    let mut origins = Map::new();
    for (measure, told) in measures.iter() {
        let name = measure.as_str().to_owned();
        let value = match told {
            Told::One(reading) => json!(reading.value),
            Told::Sides { left, right } => json!({ "left": left.value, "right": right.value }),
        };
        numbers.insert(name.clone(), value);
        origins.insert(name, json!(told.reading(None).origin.as_str()));
    }
    let alternatives: Vec<Value> = library
        .alternatives
        .get(&posture.id)
        .into_iter()
        .flatten()
        .map(|edge| {
            json!({
                "to": edge.to, "way": edge.way, "cost": edge.cost,
                "side": if edge.swaps_side { "swap" } else { "keep" },
                "less_of": library.less_of(edge),
            })
        })
        .collect();
    let mut value = json!({
        "schema": "kindfold/posture/1", "id": posture.id, "name": posture.name(),
        "sanskrit": posture.sanskrit, "level": posture.level, "sided": posture.is_sided(),
        "side": side, "purposes": posture.purposes, "props": posture.props,
        "alternatives": alternatives, "measures": numbers, "origins": origins,
        "demands": posture.demands.keys().collect::<Vec<_>>(),
    });
    if let (Some(body), Some(map)) = (body_json(library, posture, mirrored), value.as_object_mut())
    {
        map.extend(body);
    }
    value
}

/// Joints, hinges, contacts and centre of mass of the shape, or of a movement's first end.
fn body_json(library: &Library, posture: &Posture, mirrored: bool) -> Option<Map<String, Value>> {
    let PostureBody::Shape { shape, settled, .. } = library.drawn(posture)? else {
        return None;
    };
    let body = Body::standard();
    let flip = |[x, y, z]: [f64; 3]| if mirrored { [x, -y, z] } else { [x, y, z] };
    let swap = |name: String| match (
        mirrored,
        name.strip_suffix("_left"),
        name.strip_suffix("_right"),
    ) {
        (true, Some(base), _) => format!("{base}_right"),
        (true, _, Some(base)) => format!("{base}_left"),
        _ => name,
    };
    let joints: BTreeMap<String, [f64; 3]> = settled
        .joint_positions(body)
        .into_iter()
        .map(|(name, place)| (swap(name), flip(place)))
        .collect();
    // Side bends and turns of the middle line change sign in a mirror.
    let hinges: BTreeMap<String, f64> = settled
        .hinge_angles(body)
        .into_iter()
        .map(|(name, angle)| {
            let middle = !name.ends_with("_left") && !name.ends_with("_right");
            let flips = middle && (name.ends_with(".side") || name.ends_with(".turn"));
            (swap(name), if mirrored && flips { -angle } else { angle })
        })
        .collect();
    let contacts: Vec<Value> = settled
        .contacts(body, shape)
        .into_iter()
        .map(|contact| {
            let point = swap(contact.point);
            json!({
                "point": point, "surface": contact.surface,
                "position": flip(contact.position), "load_pct": contact.load_pct,
                "light": contact.light,
            })
        })
        .collect();
    let mut map = Map::new();
    map.insert("joints".into(), json!(joints));
    map.insert("hinges".into(), json!(hinges));
    map.insert("contacts".into(), json!(contacts));
    map.insert("com".into(), json!(flip(settled.centre_of_mass(body))));
    map.insert("stature_m".into(), json!(body.stature_m()));
    Some(map)
}
