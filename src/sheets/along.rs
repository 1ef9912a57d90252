//! What a class asks along the clock, as one picture with a table below it.
//!
//! Takes the class on the clock and the house budgets; knows no people. Invariant: black is only
//! what lasts longer than the house thinks usual, and it is said in words too.

use std::fmt::Write;

use jiff::civil::Time;
use maud::{Markup, PreEscaped, html};

use super::html::{Frame, Print, page};
use super::words::{capital, clock, minutes, plural};
use crate::adapt::stretches::{Stretch, house, of_words, stretches, trips};
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

/// Millimetres of the picture.
const WIDTH_MM: f64 = 186.0;
const NAMES_MM: f64 = 69.0;
const COLUMNS_AT_MM: f64 = 76.0;
const COLUMN_MM: f64 = 13.75;
const BAR_MM: f64 = 4.5;
const HEAD_MM: f64 = 10.0;
const LINE_MM: f64 = 3.9;
/// The picture is at least so high, and grows with the lines of the class.
const LEAST_MM: f64 = 142.0;
/// 9 pt in millimetres.
const TYPE_MM: f64 = 9.0 * 25.4 / 72.0;

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

    fn in_all_s(&self) -> u32 {
        self.stretches.iter().map(|stretch| stretch.held_s).sum()
    }
}

/// The page as one HTML file.
pub fn html(class: &ClassPlan, table: &Timetable<'_>, library: &Library, print: Print) -> String {
    let asked: Vec<Asked> = COLUMNS
        .iter()
        .map(|&(of, head)| Asked {
            of,
            head,
            stretches: stretches(table, library, of),
            most: house(table, library, of),
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
            div class="drawn" { (PreEscaped(picture(class, table, library, &asked))) }
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
    let down = trips(table).len();
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
                                td role="cell" { @if one.is_long(longest) { b { (minutes(longest.held_s)) } } @else { (minutes(longest.held_s)) } }
                                td role="cell" { (some(one.most.bout_s)) }
                                td role="cell" { (clock(start, longest.start_s)) }
                                td role="cell" { @if one.most.class_s.is_some_and(|most| one.in_all_s() > most) { b { (minutes(one.in_all_s())) } } @else { (minutes(one.in_all_s())) } }
                                td role="cell" { (some(one.most.class_s)) }
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

/// A name beside the clock.
struct Name {
    at_s: u32,
    words: String,
    section: bool,
}

/// Sections, and the first pass of every line.
fn names(table: &Timetable<'_>, library: &Library, start: Option<Time>) -> Vec<Name> {
    let mut names: Vec<Name> = Vec::new();
    let mut section = None;
    let mut seen = Vec::new();
    for pass in &table.passes {
        let line = &table.lines[pass.line];
        if section != Some(line.section.0) {
            section = Some(line.section.0);
            names.push(Name {
                at_s: pass.start_s,
                words: line.section.1.to_owned(),
                section: true,
            });
        }
        if !seen.contains(&pass.line) {
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

/// The clock runs down the page; a column for each thing that is asked.
fn picture(class: &ClassPlan, table: &Timetable<'_>, library: &Library, asked: &[Asked]) -> String {
    let names = names(table, library, class.start);
    let lines = f64::from(u32::try_from(names.len()).unwrap_or(0));
    let tall = LEAST_MM.max(lines * LINE_MM + 4.0);
    let whole_s = f64::from(table.planned_s.max(1));
    let at = |seconds: u32| HEAD_MM + f64::from(seconds) / whole_s * tall;
    let mut out = Picture::new(WIDTH_MM, HEAD_MM + tall + 2.0, &label(asked));
    // Names stand at their time, or as near below it as the ones above leave room, and never past
    // the end.
    let mut places: Vec<f64> = Vec::new();
    for name in &names {
        let least = places.last().map_or(0.0, |last| last + LINE_MM);
        places.push((at(name.at_s) + 3.2).max(least));
    }
    let mut most = HEAD_MM + tall + 1.5;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - LINE_MM;
    }
    for (name, place) in names.iter().zip(places) {
        if name.section {
            // The section's line leads from above its name to its time.
            let (above, time) = (place - 3.1, at(name.at_s));
            out.line([0.0, above], [NAMES_MM, above], "#8a8a8a");
            out.line([NAMES_MM, above], [COLUMNS_AT_MM, time], "#8a8a8a");
            out.line([COLUMNS_AT_MM, time], [WIDTH_MM, time], "#8a8a8a");
        }
        out.text(
            [if name.section { 0.0 } else { 2.0 }, place],
            &name.words,
            name.section,
            "start",
        );
    }
    out.line([0.0, HEAD_MM], [WIDTH_MM, HEAD_MM], "#000");
    out.line([0.0, HEAD_MM + tall], [WIDTH_MM, HEAD_MM + tall], "#000");
    let middle = |column: usize| {
        COLUMNS_AT_MM + COLUMN_MM * (f64::from(u32::try_from(column).unwrap_or(0)) + 0.5)
    };
    for (column, one) in asked.iter().enumerate() {
        let x = middle(column);
        out.text([x, 3.6], one.head[0], false, "middle");
        out.text([x, 7.8], one.head[1], false, "middle");
        for stretch in &one.stretches {
            let long = one.is_long(stretch);
            let (top, bottom) = (at(stretch.start_s), at(stretch.end_s));
            out.bar(
                [x - BAR_MM / 2.0, top],
                BAR_MM,
                (bottom - top).max(0.6),
                long,
            );
            if long {
                let number = minutes(stretch.held_s).replace(" min", "");
                out.text(
                    [x + BAR_MM / 2.0 + 0.7, f64::midpoint(top, bottom) + 1.1],
                    &number,
                    true,
                    "start",
                );
            }
        }
    }
    let x = middle(asked.len());
    out.text([x, 3.6], "to the", false, "middle");
    out.text([x, 7.8], "floor", false, "middle");
    let most = usize::try_from(library.budgets.house_trips).unwrap_or(usize::MAX);
    for (place, pass) in trips(table).into_iter().enumerate() {
        let y = (at(table.passes[pass].start_s)).max(HEAD_MM + 2.2);
        out.ring([x, y], place >= most);
    }
    out.finish()
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
}

impl Picture {
    fn new(width: f64, height: f64, label: &str) -> Self {
        let label = html! { span title=(label) {} }.into_string();
        let label = label.split('"').nth(1).unwrap_or_default();
        Self {
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
        self.push(format_args!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{TYPE_MM:.3}\" text-anchor=\"{anchor}\"{weight}>{words}</text>"
        ));
    }

    fn finish(mut self) -> String {
        self.svg.push_str("</svg>");
        self.svg
    }
}
