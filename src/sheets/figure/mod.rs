//! Figures: one settled body, drawn in black and white from our own geometry.
//!
//! Takes a posture's settled shape, the side that leads and the printed size; gives one SVG.
//! Invariant: a figure of the other side is the mirror image with the letters swapped, and a figure
//! that faces the reader has its left on the reader's right.

mod draw;
mod furniture;
mod view;

use crate::body::{Body, Shape, Skin};
use crate::library::Library;
use crate::library::posture::{Posture, PostureBody};
use crate::words::{BodySide, Side};
use draw::{Canvas, Ink};
use view::View;

/// The box that a figure is drawn in, as printed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Size {
    /// Most width.
    pub width_mm: f64,
    /// Most height.
    pub height_mm: f64,
}

/// What a reader who does not see the figure is told; none hides it from them.
#[derive(Clone, Copy, Debug)]
pub enum Label<'a> {
    /// One sentence saying the shape and the side.
    Says(&'a str),
    /// The words beside it say it.
    Hidden,
}

/// A figure below this height carries no letters, and its lines are half as thick again.
const SMALL_MM: f64 = 20.0;

/// The figure of a posture. A movement shows its first end; nothing is drawn for a posture without
/// a body.
pub fn figure(
    library: &Library,
    posture: &Posture,
    side: Side,
    size: Size,
    label: Label<'_>,
) -> Option<String> {
    let PostureBody::Shape { shape, settled, .. } = library.drawn(posture)? else {
        return None;
    };
    let mirrored = side == Side::Right;
    let skin = Skin::new(settled, Body::standard(), mirrored);
    let lead = posture.is_sided().then_some(side).and_then(Side::body_side);
    let view = View::choose(&skin, shape, lead, mirrored);
    let mut canvas = Canvas::new(view);
    draw_all(&mut canvas, &skin, shape, mirrored);
    let seen = canvas.view.seen_from(&skin);
    let letters = (lead.is_some() && size.height_mm >= SMALL_MM).then(|| letters(&skin, &canvas));
    let label = match label {
        Label::Says(words) => Some(format!("{words} {seen}")),
        Label::Hidden => None,
    };
    Some(canvas.svg(
        size,
        label.as_deref(),
        letters.unwrap_or_default(),
        size.height_mm < SMALL_MM,
    ))
}

/// Floor, props, then the body from far to near.
fn draw_all(canvas: &mut Canvas, skin: &Skin, shape: &Shape, mirrored: bool) {
    furniture::draw(canvas, skin, shape, mirrored);
    let mut parts: Vec<(f64, Part)> = vec![
        (canvas.view.depth(&skin.at("belly", None)), Part::Trunk),
        (canvas.view.depth(&skin.at("head", None)), Part::Head),
    ];
    for side in [BodySide::Left, BodySide::Right] {
        let depth = |name: &str| canvas.view.depth(&skin.at(name, Some(side)));
        let leg = (depth("hip") + depth("knee") + depth("anklec")) / 3.0;
        let arm = (2.0 * depth("shoulder") + depth("elbow") + depth("wrist")) / 4.0;
        parts.push((leg, Part::Leg(side)));
        parts.push((arm, Part::Arm(side)));
    }
    parts.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    let trunk = parts
        .iter()
        .position(|(_, part)| matches!(part, Part::Trunk))
        .unwrap_or(0);
    for (place, (_, part)) in parts.iter().enumerate() {
        match part {
            Part::Trunk => trunk_of(canvas, skin),
            Part::Head => head_of(canvas, skin),
            Part::Leg(side) => leg_of(canvas, skin, *side, place > trunk),
            Part::Arm(side) => arm_of(canvas, skin, *side, place > trunk),
        }
    }
}

#[derive(Clone, Copy, Debug)]
enum Part {
    Trunk,
    Head,
    Leg(BodySide),
    Arm(BodySide),
}

/// White, or light grey where the limb is on the far side of the body.
fn ink_of(canvas: &Canvas, skin: &Skin, side: BodySide) -> Ink {
    let left = skin.pelvis_axes().column(1);
    let out = if side == BodySide::Left {
        left.into_owned()
    } else {
        -left.into_owned()
    };
    if out.dot(&canvas.view.eye) < -0.5 {
        Ink::Far
    } else {
        Ink::Near
    }
}

fn leg_of(canvas: &mut Canvas, skin: &Skin, side: BodySide, near: bool) {
    let s = skin.stature_m();
    let at = |name: &str| skin.at(name, Some(side));
    let (hip, knee, ankle) = (at("hip"), at("knee"), at("anklec"));
    let mut bars = vec![
        (hip, 0.050 * s, at("thigh"), 0.043 * s),
        (at("thigh"), 0.043 * s, knee, 0.032 * s),
        (knee, 0.032 * s, at("shin"), 0.031 * s),
        (at("shin"), 0.031 * s, ankle, 0.020 * s),
        (ankle, 0.022 * s, at("heel"), 0.018 * s),
        (at("heel"), 0.018 * s, at("ball"), 0.012 * s),
        (ankle, 0.020 * s, at("midfoot"), 0.017 * s),
        (at("midfoot"), 0.017 * s, at("ball"), 0.012 * s),
        (at("ball"), 0.012 * s, at("toe"), 0.008 * s),
    ];
    let bend = (hip - knee).angle(&(ankle - knee)).to_degrees();
    if bend < 55.0 {
        // Deeply bent: fill the wedge between thigh and shin.
        for share in [0.25, 0.5, 0.7] {
            let (a, b) = (knee.lerp(&hip, share), knee.lerp(&ankle, share));
            bars.push((a, 0.034 * s, b, 0.028 * s));
        }
    }
    let ink = ink_of(canvas, skin, side);
    canvas.limb(&bars, ink);
    if near && ink == Ink::Near {
        let to = skin.at("t12", None) - hip;
        let end = hip + to.normalize() * (0.062 * s);
        canvas.patch((hip, 0.0465 * s, end, 0.040 * s));
    }
}

fn arm_of(canvas: &mut Canvas, skin: &Skin, side: BodySide, near: bool) {
    let s = skin.stature_m();
    let at = |name: &str| skin.at(name, Some(side));
    let shoulder = at("shoulder");
    let bars = vec![
        (shoulder, 0.031 * s, at("upperarm"), 0.027 * s),
        (at("upperarm"), 0.027 * s, at("elbow"), 0.022 * s),
        (at("elbow"), 0.022 * s, at("forearm"), 0.020 * s),
        (at("forearm"), 0.020 * s, at("wrist"), 0.014 * s),
        (at("wrist"), 0.014 * s, at("grip"), 0.015 * s),
        (at("grip"), 0.015 * s, at("tip"), 0.006 * s),
    ];
    let ink = ink_of(canvas, skin, side);
    canvas.limb(&bars, ink);
    if near && ink == Ink::Near {
        let to = skin.at("c7", None) - shoulder;
        let end = shoulder + to.normalize() * (0.040 * s);
        canvas.patch((shoulder, 0.026 * s, end, 0.024 * s));
    }
}

fn trunk_of(canvas: &mut Canvas, skin: &Skin) {
    let s = skin.stature_m();
    let middle = |name: &str| skin.at(name, None);
    let mut bars = vec![
        (middle("pelvis"), 0.055 * s, middle("l4"), 0.052 * s),
        (middle("l4"), 0.052 * s, middle("t12"), 0.050 * s),
        (
            middle("l4"),
            0.050 * s,
            middle("belly"),
            skin.radius("belly"),
        ),
        (
            middle("belly"),
            skin.radius("belly"),
            middle("chestmid"),
            0.052 * s,
        ),
        (middle("t12"), 0.050 * s, middle("chestmid"), 0.055 * s),
        (middle("chestmid"), 0.055 * s, middle("c7"), 0.028 * s),
        (middle("c7"), 0.027 * s, middle("skull"), 0.027 * s),
    ];
    let (left, right) = (Some(BodySide::Left), Some(BodySide::Right));
    for (name, radius) in [
        ("hip", 0.050),
        ("sit", 0.044),
        ("asis", 0.032),
        ("rib", 0.040),
    ] {
        bars.push((
            skin.at(name, left),
            radius * s,
            skin.at(name, right),
            radius * s,
        ));
    }
    for (name, radius) in [("blade", 0.036), ("flank", 0.042), ("shoulderroot", 0.032)] {
        bars.push((
            skin.at(name, left),
            radius * s,
            skin.at(name, right),
            radius * s,
        ));
    }
    for side in [left, right] {
        let at = |name: &str| skin.at(name, side);
        bars.push((at("hip"), 0.050 * s, at("flank"), 0.042 * s));
        bars.push((at("flank"), 0.042 * s, at("shoulderroot"), 0.032 * s));
        bars.push((at("sit"), 0.044 * s, middle("l4"), 0.048 * s));
        bars.push((at("asis"), 0.032 * s, at("rib"), 0.040 * s));
        bars.push((at("shoulderroot"), 0.032 * s, middle("c7"), 0.026 * s));
        bars.push((at("shoulderroot"), 0.032 * s, at("shoulder"), 0.029 * s));
    }
    canvas.limb(&bars, Ink::Near);
}

fn head_of(canvas: &mut Canvas, skin: &Skin) {
    let s = skin.stature_m();
    let axes = skin.head_axes();
    let centre = skin.at("head", None);
    let (ahead, up) = (axes.column(0).into_owned(), axes.column(2).into_owned());
    let knot = centre - ahead * (0.050 * s) + up * (0.048 * s);
    let behind = canvas.view.depth(&knot) < canvas.view.depth(&centre);
    if behind {
        canvas.dot(&knot, 0.022 * s);
    }
    let nose = centre + ahead * (0.066 * s) - up * (0.010 * s);
    canvas.nose(&centre, &nose, &up, 0.016 * s);
    canvas.ellipsoid(&centre, axes, [0.058 * s, 0.048 * s, 0.068 * s]);
    if !behind {
        canvas.dot(&knot, 0.022 * s);
    }
}

/// L and R beside the shins, each where the nearest drawn point is farthest, and apart.
fn letters(skin: &Skin, canvas: &Canvas) -> Vec<(char, [f64; 2])> {
    let mut letters: Vec<(char, [f64; 2])> = Vec::new();
    for (side, letter) in [(BodySide::Left, 'L'), (BodySide::Right, 'R')] {
        let (knee, ankle) = (skin.at("knee", Some(side)), skin.at("anklec", Some(side)));
        let middle = canvas.view.project(&knee.lerp(&ankle, 0.5));
        let taken: Vec<[f64; 2]> = letters.iter().map(|(_, at)| *at).collect();
        letters.push((letter, canvas.clear_place(middle, &taken)));
    }
    letters
}
