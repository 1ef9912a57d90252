//! What a class asks along the clock, as one picture with a table below it.
//!
//! Takes the class on the clock and the house budgets; knows no people. Invariant: black is only
//! what lasts longer than the house thinks usual, and it is said in words too.

use std::fmt::Write;

use jiff::civil::Time;
use maud::{Markup, PreEscaped, html};

use super::html::{Frame, Print, page};
use super::words::{capital, clock, minutes, plural};
use crate::adapt::stretches::{Stretch, house, of_words, stretches, taught};
use crate::adapt::trips::descents;
use crate::class::{ClassPlan, Taught};
use crate::library::Library;
use crate::library::posture::Posture;
use crate::library::rule::Limit;
use crate::timetable::Timetable;
use crate::words::Use;

/// One thing that is asked, with its heads on two lines.
const COLUMNS: [(Use, [&str; 2]); 7] = [
    (Use::Kneeling, ["", "kneeling"]),
    (Use::WeightOnHands, ["weight", "on hands"]),
    (Use::HeadBelowHeart, ["head", "low"]),
    (Use::LyingFlat, ["lying", "flat"]),
    (Use::LyingOnFront, ["lying on", "the front"]),
    (Use::StandingStill, ["standing", "still"]),
    (Use::ArmsOverhead, ["arms", "held up"]),
];

/// How a picture is laid out, in millimetres.
struct Layout {
    /// Height of the type.
    type_mm: f64,
    /// Where names end, and where the columns begin.
    names_mm: f64,
    columns_at_mm: f64,
    column_mm: f64,
    bar_mm: f64,
    /// Height of the heads, and of a line of names.
    head_mm: f64,
    line_mm: f64,
    /// The picture is at least so high, and grows with its names.
    least_mm: f64,
    /// Whether every step is named, or only the parts of the class.
    steps: bool,
    /// Columns of one picture.
    columns: usize,
}

const WIDTH_MM: f64 = 186.0;

/// One picture in type of 9 pt.
const ORDINARY: Layout = Layout {
    type_mm: 9.0 * MM_OF_A_POINT,
    names_mm: 69.0,
    columns_at_mm: 76.0,
    column_mm: 13.75,
    bar_mm: 4.5,
    head_mm: 10.0,
    line_mm: 3.9,
    least_mm: 142.0,
    steps: true,
    columns: COLUMNS.len() + 1,
};

/// Set anew in 18 pt: two pictures, with the parts of the class at the side.
const LARGE: Layout = Layout {
    type_mm: 18.0 * MM_OF_A_POINT,
    names_mm: 70.0,
    columns_at_mm: 76.0,
    column_mm: 27.5,
    bar_mm: 9.0,
    head_mm: 18.0,
    line_mm: 7.8,
    least_mm: 165.0,
    steps: false,
    columns: 4,
};

const MM_OF_A_POINT: f64 = 25.4 / 72.0;

struct Asked {
    of: Use,
    head: [&'static str; 2],
    stretches: Vec<Stretch>,
    most: Limit,
}

impl Asked {
    fn is_long(&self, stretch: &Stretch) -> bool {
        self.most.bout_s.is_some_and(|most| stretch.held_s > most)
    }

    fn longest(&self) -> Option<&Stretch> {
        // The first of the longest.
        self.stretches
            .iter()
            .rev()
            .max_by_key(|stretch| stretch.held_s)
    }

    fn is_much(&self) -> bool {
        let most = self.most.class_s;
        most.is_some_and(|most| self.in_all_s() > most)
    }

    fn in_all_s(&self) -> u32 {
        self.stretches.iter().map(|stretch| stretch.held_s).sum()
    }
}

/// The page as one HTML file.
pub fn html(class: &ClassPlan, table: &Timetable<'_>, library: &Library, print: Print) -> String {
    let shown = taught(table, library);
    let asked: Vec<Asked> = COLUMNS
        .iter()
        .map(|&(of, head)| Asked {
            of,
            head,
            stretches: stretches(table, &shown, of),
            most: house(table, &shown, library, of),
        })
        .collect();
    let frame = Frame {
        title: &class.title,
        kind: "what the class asks",
        style: "along",
        print,
    };
    let ends = clock(class.start, table.planned_s);
    page(
        &frame,
        html! {
            h1 { (class.title) ": what it asks" }
            p class="when" {
                @match class.start {
                    Some(_) => { (clock(class.start, 0)) " to " (ends) },
                    None => { (minutes(table.planned_s)) },
                }
                ", for everybody who does the class as it is taught"
            }
            @for line in said(&asked, class.start, table, library) { p { (line) } }
            @for picture in pictures(class, table, library, &asked, print) {
                div class="drawn" { (PreEscaped(picture)) }
            }
            p class="key" {
                "A bar is as long as the shape is held. Black: longer without a break than is usual, with its \
                 minutes beside it. A ring is a way down to the floor; the usual most are "
                (library.budgets.house_trips) ". The usual most is common practice, no source; it is advice about \
                 anyone and bars nothing."
            }
            (numbers(&asked, class.start))
        },
    )
}

/// What stands out, in sentences.
fn said(
    asked: &[Asked],
    start: Option<Time>,
    table: &Timetable<'_>,
    library: &Library,
) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for one in asked {
        let long: Vec<&Stretch> = one.stretches.iter().filter(|s| one.is_long(s)).collect();
        let (Some(longest), Some(most)) = (one.longest(), one.most.bout_s) else {
            continue;
        };
        if !long.is_empty() {
            let times = if long.len() > 1 {
                format!(", the longest of {} such stretches", long.len())
            } else {
                String::new()
            };
            lines.push(format!(
                "{} from {} lasts {}{times}; {} is the usual most.",
                capital(of_words(one.of)),
                clock(start, longest.start_s),
                minutes(longest.held_s),
                minutes(most)
            ));
        }
    }
    for one in asked {
        if let Some(most) = one.most.class_s.filter(|most| one.in_all_s() > *most) {
            lines.push(format!(
                "{} comes to {} in all; {} is the usual most.",
                capital(of_words(one.of)),
                minutes(one.in_all_s()),
                minutes(most)
            ));
        }
    }
    let down = descents(table).len();
    if down > usize::try_from(library.budgets.house_trips).unwrap_or(usize::MAX) {
        lines.push(format!(
            "The class goes down to the floor {}.",
            plural(down, "time", "times")
        ));
    }
    if lines.is_empty() {
        lines.push("Nothing lasts longer than is usual.".to_owned());
    }
    lines
}

/// The same in numbers.
fn numbers(asked: &[Asked], start: Option<Time>) -> Markup {
    let heads = [
        "What",
        "Longest without a break",
        "Usual most",
        "From",
        "In all",
        "Usual most in all",
    ];
    let some = |seconds: Option<u32>| seconds.map_or_else(|| "none set".to_owned(), minutes);
    html! {
        h2 { "In numbers" }
        table class="rows numbers" role="table" {
            thead role="rowgroup" { tr class="heads" role="row" {
                @for head in heads { th scope="col" role="columnheader" { (head) } }
            } }
            tbody role="rowgroup" {
                @for one in asked {
                    tr role="row" {
                        th scope="row" role="rowheader" { (capital(of_words(one.of))) }
                        @match one.longest() {
                            Some(longest) => {
                                (number(heads[1], &minutes(longest.held_s), one.is_long(longest)))
                                (number(heads[2], &some(one.most.bout_s), false))
                                (number(heads[3], &clock(start, longest.start_s), false))
                                (number(heads[4], &minutes(one.in_all_s()), one.is_much()))
                                (number(heads[5], &some(one.most.class_s), false))
                            },
                            None => {
                                td role="cell" colspan="5" { "not asked" }
                            },
                        }
                    }
                }
            }
        }
    }
}

/// A cell, with the head of its column before it where the columns are gone.
fn number(head: &str, words: &str, strong: bool) -> Markup {
    html! {
        td role="cell" {
            span class="narrow" { (head) ": " }
            @if strong { b { (words) } } @else { (words) }
        }
    }
}

/// A name beside the clock.
struct Name {
    at_s: u32,
    words: String,
    section: bool,
}

/// Sections, and the first pass of every line where steps are named.
fn names(table: &Timetable<'_>, library: &Library, start: Option<Time>, steps: bool) -> Vec<Name> {
    let mut names: Vec<Name> = Vec::new();
    let mut section = None;
    let mut seen = Vec::new();
    for pass in &table.passes {
        let line = &table.lines[pass.line];
        if section != Some(line.section.0) {
            section = Some(line.section.0);
            names.push(Name {
                at_s: pass.start_s,
                words: match steps {
                    true => line.section.1.to_owned(),
                    false => format!("{}  {}", clock(start, pass.start_s), line.section.1),
                },
                section: true,
            });
        }
        if steps && !seen.contains(&pass.line) {
            seen.push(pass.line);
            names.push(Name {
                at_s: pass.start_s,
                words: format!(
                    "{}  {}",
                    clock(start, pass.start_s),
                    written(library, &line.line.taught)
                ),
                section: false,
            });
        }
    }
    names
}

fn written<'a>(library: &'a Library, taught: &'a Taught) -> &'a str {
    match taught {
        Taught::Own { name, .. } => name,
        Taught::Posture(id) => library.postures.get(id).map_or(id.as_str(), Posture::name),
    }
}

/// One picture, or two in large print, a column for each thing that is asked.
fn pictures(
    class: &ClassPlan,
    table: &Timetable<'_>,
    library: &Library,
    asked: &[Asked],
    print: Print,
) -> Vec<String> {
    let layout = if print.large { &LARGE } else { &ORDINARY };
    let names = names(table, library, class.start, layout.steps);
    let last = asked.len() / layout.columns;
    let parts = asked.chunks(layout.columns).enumerate();
    parts
        .map(|(place, asked)| {
            let drawn = Drawn {
                table,
                library,
                layout,
            };
            drawn.picture(&names, asked, place == last)
        })
        .collect()
}

/// What a picture is drawn from.
struct Drawn<'a> {
    table: &'a Timetable<'a>,
    library: &'a Library,
    layout: &'a Layout,
}

impl Drawn<'_> {
    /// The clock runs down the page; `floor`: the last column is for the ways down to it.
    fn picture(&self, names: &[Name], asked: &[Asked], floor: bool) -> String {
        let layout = self.layout;
        let lines = f64::from(u32::try_from(names.len()).unwrap_or(0));
        let tall = layout.least_mm.max(lines * layout.line_mm + 4.0);
        let whole_s = f64::from(self.table.planned_s.max(1));
        let at = |seconds: u32| layout.head_mm + f64::from(seconds) / whole_s * tall;
        let end = layout.head_mm + tall;
        let mut out = Picture::new(WIDTH_MM, end + 2.0, layout.type_mm, &label(asked));
        // Names stand at their time, or as near below it as the ones above leave room, and never
        // past the end.
        let mut places: Vec<f64> = Vec::new();
        for name in names {
            let least = places.last().map_or(0.0, |last| last + layout.line_mm);
            places.push((at(name.at_s) + layout.line_mm * 0.82).max(least));
        }
        let mut most = end + 1.5;
        for place in places.iter_mut().rev() {
            *place = place.min(most);
            most = *place - layout.line_mm;
        }
        for (name, place) in names.iter().zip(places) {
            if name.section {
                // The section's line leads from above its name to its time.
                let (above, time) = (place - layout.line_mm * 0.8, at(name.at_s));
                out.line([0.0, above], [layout.names_mm, above], "#8a8a8a");
                out.line(
                    [layout.names_mm, above],
                    [layout.columns_at_mm, time],
                    "#8a8a8a",
                );
                out.line([layout.columns_at_mm, time], [WIDTH_MM, time], "#8a8a8a");
            }
            let indent = if name.section { 0.0 } else { 2.0 };
            out.text([indent, place], &name.words, name.section, "start");
        }
        out.line([0.0, layout.head_mm], [WIDTH_MM, layout.head_mm], "#000");
        out.line([0.0, end], [WIDTH_MM, end], "#000");
        let middle = |column: usize| {
            let column = f64::from(u32::try_from(column).unwrap_or(0));
            layout.columns_at_mm + layout.column_mm * (column + 0.5)
        };
        for (column, one) in asked.iter().enumerate() {
            self.column(&mut out, middle(column), one, &at);
        }
        if floor {
            self.floor(&mut out, middle(asked.len()), &at);
        }
        out.finish()
    }

    fn head(&self, out: &mut Picture, x: f64, words: [&str; 2]) {
        out.text([x, self.layout.head_mm * 0.36], words[0], false, "middle");
        out.text([x, self.layout.head_mm * 0.78], words[1], false, "middle");
    }

    fn column(&self, out: &mut Picture, x: f64, one: &Asked, at: &dyn Fn(u32) -> f64) {
        self.head(out, x, one.head);
        let wide = self.layout.bar_mm;
        for stretch in &one.stretches {
            let long = one.is_long(stretch);
            let (top, bottom) = (at(stretch.start_s), at(stretch.end_s));
            out.bar([x - wide / 2.0, top], wide, (bottom - top).max(0.6), long);
            if long {
                let number = minutes(stretch.held_s).replace(" min", "");
                let beside = x + wide / 2.0 + 0.7;
                let low = f64::midpoint(top, bottom) + self.layout.type_mm * 0.35;
                out.text([beside, low], &number, true, "start");
            }
        }
    }

    fn floor(&self, out: &mut Picture, x: f64, at: &dyn Fn(u32) -> f64) {
        self.head(out, x, ["to the", "floor"]);
        let most = usize::try_from(self.library.budgets.house_trips).unwrap_or(usize::MAX);
        for (place, pass) in descents(self.table).into_iter().enumerate() {
            let y = at(self.table.passes[pass].start_s).max(self.layout.head_mm + 2.2);
            out.ring([x, y], place >= most);
        }
    }
}

/// What the picture shows, for who does not see it.
fn label(asked: &[Asked]) -> String {
    let told: Vec<String> = asked
        .iter()
        .filter(|one| !one.stretches.is_empty())
        .map(|one| {
            let long = one.stretches.iter().filter(|s| one.is_long(s)).count();
            let count = plural(one.stretches.len(), "stretch", "stretches");
            match long {
                0 => format!("{}, {count}", of_words(one.of)),
                long => format!("{}, {count}, {long} long", of_words(one.of)),
            }
        })
        .collect();
    format!(
        "The clock runs down; bars show {}. The table below has the numbers.",
        told.join("; ")
    )
}

/// An SVG in the making; millimetres.
struct Picture {
    svg: String,
    type_mm: f64,
}

impl Picture {
    fn new(width: f64, height: f64, type_mm: f64, label: &str) -> Self {
        let label = html! { span title=(label) {} }.into_string();
        let label = label.split('"').nth(1).unwrap_or_default();
        Self {
            type_mm,
            svg: format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"{label}\" \
                 width=\"{width:.1}mm\" height=\"{height:.1}mm\" viewBox=\"0 0 {width:.1} {height:.1}\" \
                 font-family=\"Arial, Liberation Sans, Helvetica, sans-serif\">"
            ),
        }
    }

    fn push(&mut self, what: std::fmt::Arguments<'_>) {
        self.svg.write_fmt(what).expect("a String takes any text");
    }

    fn line(&mut self, from: [f64; 2], to: [f64; 2], ink: &str) {
        self.push(format_args!(
            "<path d=\"M{:.2} {:.2}L{:.2} {:.2}\" stroke=\"{ink}\" stroke-width=\"0.25\"/>",
            from[0], from[1], to[0], to[1]
        ));
    }

    fn bar(&mut self, [x, y]: [f64; 2], width: f64, height: f64, long: bool) {
        let fill = if long { "#000" } else { "#ddd" };
        self.push(format_args!(
            "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{width:.2}\" height=\"{height:.2}\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"0.2\"/>"
        ));
    }

    fn ring(&mut self, [x, y]: [f64; 2], beyond: bool) {
        let fill = if beyond { "#000" } else { "#fff" };
        self.push(format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"1.6\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"0.4\"/>"
        ));
    }

    fn text(&mut self, [x, y]: [f64; 2], words: &str, strong: bool, anchor: &str) {
        let weight = if strong { " font-weight=\"bold\"" } else { "" };
        let words = html! { (words) }.into_string();
        let type_mm = self.type_mm;
        self.push(format_args!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{type_mm:.3}\" text-anchor=\"{anchor}\"{weight}>{words}</text>"
        ));
    }

    fn finish(mut self) -> String {
        self.svg.push_str("</svg>");
        self.svg
    }
}
