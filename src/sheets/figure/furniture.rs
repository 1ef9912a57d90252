//! The floor, the mat and the props under a body.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use nalgebra::Vector3;

use super::draw::{Canvas, Ink};
use super::view::is_wall;
use crate::body::{Body, Shape, Skin, Surface};
use crate::words::BodySide;

/// Half the size of a prop along and across the mat, metres (job.md 4.1, common sizes).
fn half_size(surface: &Surface) -> [f64; 2] {
    match surface {
        Surface::Named(name) if name == "bolster" => [0.33, 0.14],
        Surface::Named(name) if name == "blanket" => [0.20, 0.25],
        Surface::Named(name) if name == "chair" => [0.21, 0.21],
        Surface::Named(name) if name.starts_with("block") => [0.055, 0.11],
        _ => [0.15, 0.20],
    }
}

/// Heights at which hands hold a table top or a chair's back, centimetres (common practice, no source).
const TABLE_CM: RangeInclusive<u32> = 70..=79;
const CHAIR_BACK_CM: RangeInclusive<u32> = 80..=90;

/// A chair seat with a folded blanket on it, centimetres (common practice, no source).
const PADDED_SEAT_CM: u32 = 48;

/// How high the body's straight fingers keep a wrist whose fist is on the floor, centimetres: nothing lies there.
const FIST_CM: u32 = 9;

/// The seat of a chair that is held by its back, metres.
const SEAT_M: f64 = 0.45;

/// Draws what the body rests on.
pub(super) fn draw(canvas: &mut Canvas, skin: &Skin, shape: &Shape, mirrored: bool) {
    let body = Body::standard();
    let mut places: BTreeMap<String, (Surface, Vec<Vector3<f64>>)> = BTreeMap::new();
    let mut walls: Vec<&str> = Vec::new();
    let on_a_chair = shape
        .contacts
        .iter()
        .any(|contact| matches!(&contact.surface, Surface::Named(name) if name == "chair"));
    for contact in &shape.contacts {
        if let (true, Surface::Named(name)) = (is_wall(&contact.surface), &contact.surface) {
            walls.push(name);
            continue;
        }
        let height = body.surface_height_m(&contact.surface).unwrap_or(0.0);
        // Whoever sits on a chair leans on its own back, which is drawn with it.
        let leans = on_a_chair && contact.patch == "blade" && height > SEAT_M;
        let on_the_floor = contact.patch == "fist" && contact.surface == Surface::Height(FIST_CM);
        if height < 0.01 || leans || on_the_floor {
            continue;
        }
        let side = contact
            .side
            .map(|side| if mirrored { side.other() } else { side });
        for name in body.patch_spheres(&contact.patch) {
            let on: Vec<Option<BodySide>> = match side {
                Some(side) => vec![Some(side)],
                None => vec![None],
            };
            for on in on {
                // Blocks stand apart, one under each hand; larger props lie under both sides.
                let small =
                    matches!(&contact.surface, Surface::Named(name) if name.starts_with("block"));
                let key = match (small, on) {
                    (true, Some(on)) => format!("{}{on}", contact.surface),
                    _ => contact.surface.to_string(),
                };
                let place = places
                    .entry(key)
                    .or_insert((contact.surface.clone(), Vec::new()));
                place.1.push(skin.at(name, on));
            }
        }
    }
    floor(canvas, skin);
    for (surface, points) in places.values() {
        let height = body.surface_height_m(surface).unwrap_or(0.0);
        prop(canvas, surface, points, height, skin.at("pelvis", None).x);
    }
    for name in walls {
        let (near, far) = if name == "wall" {
            (0.0, 0.06)
        } else {
            (-0.06, 0.0)
        };
        let hands = [BodySide::Left, BodySide::Right].map(|side| skin.at("tip", Some(side)).z);
        let top = hands
            .into_iter()
            .fold(skin.at("crown", None).z.max(1.1), f64::max)
            + 0.1;
        let corners = corners([near, far], [-0.45, 0.45], [0.0, top]);
        canvas.solid(&corners, Ink::Prop);
    }
}

fn corners(x: [f64; 2], y: [f64; 2], z: [f64; 2]) -> Vec<Vector3<f64>> {
    let mut corners = Vec::with_capacity(8);
    for x in x {
        for y in y {
            corners.extend(z.map(|z| Vector3::new(x, y, z)));
        }
    }
    corners
}

/// A line for a low eye; a pale mat for a raised one.
fn floor(canvas: &mut Canvas, skin: &Skin) {
    let names = ["crown", "pelvis"].map(|name| skin.at(name, None));
    let sides = [BodySide::Left, BodySide::Right]
        .into_iter()
        .flat_map(|side| {
            ["toe", "heel", "knee", "elbow", "tip"].map(|name| skin.at(name, Some(side)))
        });
    let points: Vec<Vector3<f64>> = names.into_iter().chain(sides).collect();
    let span = |k: usize| {
        let values = points.iter().map(move |point| point[k]);
        let low = values.clone().fold(f64::INFINITY, f64::min);
        (low, values.fold(f64::NEG_INFINITY, f64::max))
    };
    let (x, y) = (span(0), span(1));
    if canvas.view.height_deg > 10.0 {
        let mat = corners(
            [x.0 - 0.12, x.1 + 0.12],
            [y.0 - 0.10, y.1 + 0.10],
            [0.0, 0.0],
        );
        canvas.solid(&mat, Ink::Mat);
        return;
    }
    let ends: Vec<[f64; 2]> = points
        .iter()
        .map(|point| canvas.view.project(&Vector3::new(point.x, point.y, 0.0)))
        .collect();
    let low = ends.iter().map(|end| end[0]).fold(f64::INFINITY, f64::min) - 0.10;
    let high = ends
        .iter()
        .map(|end| end[0])
        .fold(f64::NEG_INFINITY, f64::max)
        + 0.10;
    let ground = ends
        .iter()
        .map(|end| end[1])
        .fold(f64::NEG_INFINITY, f64::max);
    canvas.line([low, ground], [high, ground]);
}

fn prop(
    canvas: &mut Canvas,
    surface: &Surface,
    points: &[Vector3<f64>],
    height: f64,
    pelvis_x: f64,
) {
    let Some(number) = u32::try_from(points.len())
        .ok()
        .filter(|&number| number > 0)
    else {
        return;
    };
    let middle: Vector3<f64> = points.iter().sum::<Vector3<f64>>() / f64::from(number);
    let [half_x, half_y] = half_size(surface);
    let reach = |k: usize, half: f64| {
        let far = points
            .iter()
            .map(|p| (p[k] - middle[k]).abs())
            .fold(0.0, f64::max);
        half.max(far + 0.05)
    };
    let (half_x, half_y) = (reach(0, half_x), reach(1, half_y));
    let x = [middle.x - half_x, middle.x + half_x];
    let y = [middle.y - half_y, middle.y + half_y];
    match surface {
        Surface::Named(name) if name == "chair" => {
            // The back stands behind the sitter, or beyond the hands or feet of who is not on it.
            let back = if pelvis_x < x[0] { x[1] } else { x[0] };
            chair(canvas, x, y, back, [height, height + 0.42]);
        }
        Surface::Height(PADDED_SEAT_CM) => {
            let x = [middle.x - half_x.max(0.21), middle.x + half_x.max(0.21)];
            let back = if pelvis_x < middle.x { x[1] } else { x[0] };
            chair(canvas, x, y, back, [height, height + 0.39]);
        }
        Surface::Height(cm) if CHAIR_BACK_CM.contains(cm) => {
            let x = [middle.x, middle.x + 0.42];
            let y = [middle.y - 0.21, middle.y + 0.21];
            chair(canvas, x, y, x[0], [SEAT_M, height]);
        }
        Surface::Height(cm) if TABLE_CM.contains(cm) => {
            legs(canvas, x, y, height);
            canvas.solid(&corners(x, y, [height - 0.04, height]), Ink::Prop);
        }
        _ => canvas.solid(&corners(x, y, [0.0, height]), Ink::Prop),
    }
}

/// A chair with its back at `back`; `heights` are those of the seat and of the top of the back.
fn chair(canvas: &mut Canvas, x: [f64; 2], y: [f64; 2], back: f64, heights: [f64; 2]) {
    let [seat, top] = heights;
    legs(canvas, x, y, seat);
    canvas.solid(&corners(x, y, [seat - 0.04, seat]), Ink::Prop);
    canvas.solid(
        &corners([back - 0.015, back + 0.015], y, [seat, top]),
        Ink::Prop,
    );
}

fn legs(canvas: &mut Canvas, x: [f64; 2], y: [f64; 2], height: f64) {
    for leg_x in [x[0], x[1] - 0.03] {
        for leg_y in [y[0], y[1] - 0.03] {
            let leg = corners([leg_x, leg_x + 0.03], [leg_y, leg_y + 0.03], [0.0, height]);
            canvas.solid(&leg, Ink::Prop);
        }
    }
}
