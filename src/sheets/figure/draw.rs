//! Ink on paper: bars, patches, ellipses, letters, and the SVG that holds them.

use std::fmt::Write;

use nalgebra::{Matrix3, Vector3};

use super::Size;
use super::view::View;

/// A rounded bar between two balls: place and radius, place and radius. Metres.
pub(super) type Bar = (Vector3<f64>, f64, Vector3<f64>, f64);

/// How a limb is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    /// White with a black outline.
    Near,
    /// Light grey with a grey outline: on the far side of the body.
    Far,
    /// A prop.
    Prop,
    /// The mat.
    Mat,
}

impl Ink {
    fn colours(self) -> (&'static str, &'static str) {
        match self {
            Self::Near => ("#fff", "#000"),
            Self::Far => ("#ddd", "#555"),
            Self::Prop => ("#e4e4e4", "#333"),
            Self::Mat => ("#f2f2f2", "#999"),
        }
    }
}

/// One thing drawn, in metres of the picture.
enum Mark {
    /// A path filled and outlined as one.
    Shape { path: Vec<Piece>, ink: Ink },
    /// White without an outline.
    Patch { path: Vec<Piece> },
    /// Black.
    Dot { at: [f64; 2], radius: f64 },
    /// White with a black outline, turned.
    Ellipse {
        at: [f64; 2],
        radii: [f64; 2],
        turn_deg: f64,
    },
    /// A black line.
    Line { from: [f64; 2], to: [f64; 2] },
}

/// A piece of a path.
enum Piece {
    /// Two circles and the band between them.
    Bar {
        a: [f64; 2],
        ra: f64,
        b: [f64; 2],
        rb: f64,
    },
    /// A closed polygon.
    Polygon(Vec<[f64; 2]>),
}

/// What is drawn, far to near.
pub(super) struct Canvas {
    /// From where it is seen.
    pub view: View,
    marks: Vec<Mark>,
    balls: Vec<([f64; 2], f64)>,
    low: [f64; 2],
    high: [f64; 2],
}

impl Canvas {
    pub(super) fn new(view: View) -> Self {
        Self {
            view,
            marks: Vec::new(),
            balls: Vec::new(),
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
        }
    }

    fn reach(&mut self, at: [f64; 2], radius: f64) {
        for k in 0..2 {
            self.low[k] = self.low[k].min(at[k] - radius);
            self.high[k] = self.high[k].max(at[k] + radius);
        }
    }

    fn bars(&mut self, bars: &[Bar]) -> Vec<Piece> {
        bars.iter()
            .map(|(a, ra, b, rb)| {
                let (a, b) = (self.view.project(a), self.view.project(b));
                for (at, radius) in [(a, *ra), (b, *rb)] {
                    self.reach(at, radius);
                    self.balls.push((at, radius));
                }
                let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
                self.balls.push((middle, f64::midpoint(*ra, *rb)));
                Piece::Bar {
                    a,
                    ra: *ra,
                    b,
                    rb: *rb,
                }
            })
            .collect()
    }

    /// A limb: its bars as one outline.
    pub(super) fn limb(&mut self, bars: &[Bar], ink: Ink) {
        let path = self.bars(bars);
        self.marks.push(Mark::Shape { path, ink });
    }

    /// White over the seam where a limb joins the trunk.
    pub(super) fn patch(&mut self, bar: Bar) {
        let path = self.bars(&[bar]);
        self.marks.push(Mark::Patch { path });
    }

    /// A polygon from corners in the room, with the outline of their hull.
    pub(super) fn solid(&mut self, corners: &[Vector3<f64>], ink: Ink) {
        let points: Vec<[f64; 2]> = corners
            .iter()
            .map(|corner| self.view.project(corner))
            .collect();
        let hull = hull(points);
        for &point in &hull {
            self.reach(point, 0.0);
        }
        self.marks.push(Mark::Shape {
            path: vec![Piece::Polygon(hull)],
            ink,
        });
    }

    /// A black dot.
    pub(super) fn dot(&mut self, at: &Vector3<f64>, radius: f64) {
        let at = self.view.project(at);
        self.reach(at, radius);
        self.marks.push(Mark::Dot { at, radius });
    }

    /// A line between two places in the picture.
    pub(super) fn line(&mut self, from: [f64; 2], to: [f64; 2]) {
        self.marks.push(Mark::Line { from, to });
    }

    /// An ellipsoid with half axes along the columns of a frame.
    pub(super) fn ellipsoid(&mut self, at: &Vector3<f64>, axes: &Matrix3<f64>, half: [f64; 3]) {
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for (k, half) in half.into_iter().enumerate() {
            let axis = axes.column(k).into_owned();
            let [x, y] = self.view.project(&axis);
            xx += (half * x).powi(2);
            xy += half * half * x * y;
            yy += (half * y).powi(2);
        }
        // Half axes of the outline: square roots of the eigenvalues of the 2 × 2 matrix.
        let middle = f64::midpoint(xx, yy);
        let spread = ((xx - yy) / 2.0).hypot(xy);
        let turn_deg = (0.5 * (2.0 * xy).atan2(xx - yy)).to_degrees();
        let radii = [(middle + spread).sqrt(), (middle - spread).max(0.0).sqrt()];
        let at = self.view.project(at);
        self.reach(at, radii[0]);
        self.balls.push((at, radii[1]));
        self.marks.push(Mark::Ellipse {
            at,
            radii,
            turn_deg,
        });
    }

    /// A small wedge for the nose, unless it points at the eye or away from it.
    pub(super) fn nose(
        &mut self,
        centre: &Vector3<f64>,
        tip: &Vector3<f64>,
        up: &Vector3<f64>,
        half: f64,
    ) {
        let (c, t) = (self.view.project(centre), self.view.project(tip));
        let out = (t[0] - c[0]).hypot(t[1] - c[1]);
        if out < 0.55 * (tip - centre).norm() {
            return;
        }
        let root = centre + (tip - centre) * 0.72;
        let corners = [root + up * half, *tip, root - up * half];
        let points = corners.map(|corner| self.view.project(&corner));
        self.reach(t, 0.0);
        self.marks.push(Mark::Shape {
            path: vec![Piece::Polygon(points.to_vec())],
            ink: Ink::Near,
        });
    }

    /// A place near a point of the picture that is clear of everything drawn, and of letters that stand
    /// there already.
    pub(super) fn clear_place(&self, near: [f64; 2], taken: &[[f64; 2]]) -> [f64; 2] {
        let clear = |at: [f64; 2]| {
            let from = |point: [f64; 2]| (point[0] - at[0]).hypot(point[1] - at[1]);
            let drawn = self.balls.iter().map(|(ball, r)| from(*ball) - r);
            let letters = taken.iter().map(|letter| from(*letter) - LETTER_M);
            let gaps = drawn.chain(letters);
            gaps.fold(f64::INFINITY, f64::min).min(0.075)
        };
        let mut best = (f64::NEG_INFINITY, near);
        for distance in [0.08, 0.11, 0.14] {
            for step in 0..16 {
                let angle = f64::from(step) * std::f64::consts::TAU / 16.0;
                let at = [
                    near[0] + distance * angle.cos(),
                    near[1] + distance * angle.sin(),
                ];
                let score = clear(at) - 0.1 * distance;
                if score > best.0 {
                    best = (score, at);
                }
            }
        }
        best.1
    }

    /// The size of what is drawn, in metres of the picture, and the millimetres of one that fit the room.
    fn fitted(&self, room: [f64; 2]) -> ([f64; 2], f64) {
        let span = [0, 1].map(|k| (self.high[k] - self.low[k]).max(1e-3));
        (span, (room[0] / span[0]).min(room[1] / span[1]))
    }

    /// The SVG at a printed size; the drawing fills the height or the width.
    pub(super) fn svg(
        mut self,
        size: Size,
        label: Option<&str>,
        letters: Vec<(char, [f64; 2])>,
        small: bool,
    ) -> String {
        let line_mm = (size.height_mm / 130.0).max(0.18) * if small { 1.5 } else { 1.0 };
        let room = [
            size.width_mm - 2.0 * line_mm,
            size.height_mm - 2.0 * line_mm,
        ];
        let (mut span, mut scale) = self.fitted(room);
        // A letter is as large on any scale, and the scale hangs on where letters reach.
        for _ in 0..3 {
            for &(_, at) in &letters {
                self.reach(at, LETTER_MM / scale);
            }
            (span, scale) = self.fitted(room);
        }
        let paper = Paper {
            low: self.low,
            scale: scale * PER_MM,
            line: line_mm * PER_MM,
        };
        let width = span[0] * scale + 2.0 * line_mm;
        let height = span[1] * scale + 2.0 * line_mm;
        let (across, down) = (width * PER_MM, height * PER_MM);
        let role = match label {
            Some(words) => format!("role=\"img\" aria-label=\"{}\"", escaped(words)),
            None => "aria-hidden=\"true\"".to_owned(),
        };
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" {role} width=\"{width:.2}mm\" \
             height=\"{height:.2}mm\" viewBox=\"0 0 {across:.0} {down:.0}\" stroke-linejoin=\"round\" \
             stroke-linecap=\"round\" paint-order=\"stroke\">"
        );
        for mark in &self.marks {
            paper.draw(mark, &mut svg);
        }
        let letter_size = 9.0 * MM_PER_POINT * PER_MM;
        for (letter, at) in letters {
            let [x, y] = paper.place(at);
            let text = format!(
                "x=\"{x:.0}\" y=\"{:.0}\" font-family=\"Arial, Liberation Sans, Helvetica, sans-serif\" \
                 font-weight=\"bold\" font-size=\"{letter_size:.1}\" text-anchor=\"middle\"",
                y + letter_size * 0.36
            );
            push(
                &mut svg,
                format_args!(
                    "<text {text} fill=\"#fff\" stroke=\"#fff\" stroke-width=\"{}\">{letter}</text>",
                    0.9 * PER_MM
                ),
            );
            push(
                &mut svg,
                format_args!("<text {text} fill=\"#000\">{letter}</text>"),
            );
        }
        svg.push_str("</svg>");
        svg
    }
}

/// Units of the drawing in a millimetre: whole numbers are finer than a printer's dots and short.
const PER_MM: f64 = 20.0;
/// Half a letter of 9 pt with its white edge, as printed.
const LETTER_MM: f64 = 1.8;
/// Room that a letter takes in the picture when others are placed, in metres.
const LETTER_M: f64 = 0.06;
/// Millimetres in a point.
const MM_PER_POINT: f64 = 25.4 / 72.0;

/// From metres of the picture to units of the drawing.
struct Paper {
    low: [f64; 2],
    scale: f64,
    line: f64,
}

impl Paper {
    fn place(&self, at: [f64; 2]) -> [f64; 2] {
        [0, 1].map(|k| (at[k] - self.low[k]) * self.scale + self.line)
    }

    fn draw(&self, mark: &Mark, svg: &mut String) {
        let line = self.line;
        match mark {
            Mark::Shape { path, ink } => {
                let (fill, stroke) = ink.colours();
                let path = self.path(path);
                // The outline is painted first, the fill over it: seams inside the union vanish.
                push(
                    svg,
                    format_args!(
                        "<path d=\"{path}\" fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"{:.0}\"/>",
                        2.0 * line
                    ),
                );
            }
            Mark::Patch { path } => push(
                svg,
                format_args!("<path d=\"{}\" fill=\"#fff\"/>", self.path(path)),
            ),
            Mark::Dot { at, radius } => {
                let [x, y] = self.place(*at);
                push(
                    svg,
                    format_args!(
                        "<circle cx=\"{x:.0}\" cy=\"{y:.0}\" r=\"{:.0}\"/>",
                        radius * self.scale
                    ),
                );
            }
            Mark::Ellipse {
                at,
                radii,
                turn_deg,
            } => {
                let [x, y] = self.place(*at);
                let [a, b] = radii.map(|radius| radius * self.scale);
                push(
                    svg,
                    format_args!(
                        "<ellipse cx=\"{x:.0}\" cy=\"{y:.0}\" rx=\"{a:.0}\" ry=\"{b:.0}\" transform=\"rotate({turn_deg:.1} {x:.0} {y:.0})\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"{line:.0}\"/>"
                    ),
                );
            }
            Mark::Line { from, to } => {
                let ([x1, y1], [x2, y2]) = (self.place(*from), self.place(*to));
                push(
                    svg,
                    format_args!(
                        "<path d=\"M{x1:.0} {y1:.0}L{x2:.0} {y2:.0}\" stroke=\"#000\" stroke-width=\"{line:.0}\"/>"
                    ),
                );
            }
        }
    }

    fn path(&self, pieces: &[Piece]) -> String {
        let mut path = String::new();
        for piece in pieces {
            match piece {
                Piece::Polygon(points) => {
                    for (place, &point) in points.iter().enumerate() {
                        let [x, y] = self.place(point);
                        let letter = if place == 0 { 'M' } else { 'L' };
                        push(&mut path, format_args!("{letter}{x:.0} {y:.0}"));
                    }
                    path.push('Z');
                }
                Piece::Bar { a, ra, b, rb } => self.bar((*a, *ra), (*b, *rb), &mut path),
            }
        }
        path
    }

    /// Two circles and their outer tangents, always turned the same way.
    fn bar(&self, (a, ra): ([f64; 2], f64), (b, rb): ([f64; 2], f64), path: &mut String) {
        let (a, b) = (self.place(a), self.place(b));
        let (ra, rb) = (ra * self.scale, rb * self.scale);
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        let open = ((ra - rb) / length.max(1e-9)).clamp(-1.0, 1.0).acos();
        // Where one circle reaches past the other by less than a unit, the larger is all there is.
        if length <= (ra - rb).abs() || 2.0 * ra.max(rb) * open.sin() < 2.0 {
            let (at, r) = if ra >= rb { (a, ra) } else { (b, rb) };
            let (left, right) = (at[0] - r, at[0] + r);
            push(
                path,
                format_args!(
                    "M{left:.0} {y:.0}A{r:.0} {r:.0} 0 1 0 {right:.0} {y:.0}A{r:.0} {r:.0} 0 1 0 {left:.0} {y:.0}Z",
                    y = at[1]
                ),
            );
            return;
        }
        let along = (b[1] - a[1]).atan2(b[0] - a[0]);
        let on =
            |at: [f64; 2], r: f64, angle: f64| [at[0] + r * angle.cos(), at[1] + r * angle.sin()];
        let (a1, b1) = (on(a, ra, along + open), on(b, rb, along + open));
        let (b2, a2) = (on(b, rb, along - open), on(a, ra, along - open));
        let large_b = u8::from(open > std::f64::consts::FRAC_PI_2);
        let large_a = 1 - large_b;
        push(
            path,
            format_args!(
                "M{:.0} {:.0}L{:.0} {:.0}A{rb:.0} {rb:.0} 0 {large_b} 0 {:.0} {:.0}L{:.0} {:.0}A{ra:.0} {ra:.0} 0 {large_a} 0 {:.0} {:.0}Z",
                a1[0], a1[1], b1[0], b1[1], b2[0], b2[1], a2[0], a2[1], a1[0], a1[1]
            ),
        );
    }
}

/// Writing to a text cannot fail.
fn push(text: &mut String, what: std::fmt::Arguments<'_>) {
    text.write_fmt(what).expect("a String takes any text");
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}

/// Corners of the convex hull, in order.
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turn = |o: [f64; 2], a: [f64; 2], b: [f64; 2]| {
        (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
    };
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while let [.., o, a] = chain.as_slice() {
                if turn(*o, *a, point) > 1e-12 {
                    break;
                }
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut points.iter().copied());
    lower.extend(half(&mut points.iter().rev().copied()));
    lower
}

#[cfg(test)]
mod tests {
    use super::hull;

    #[test]
    fn the_hull_of_a_square_leaves_out_its_middle() {
        let square = vec![[0.0, 0.0], [1.0, 0.0], [0.5, 0.5], [1.0, 1.0], [0.0, 1.0]];
        assert_eq!(hull(square).len(), 4);
    }
}
