//! One posture, as text and as a page.

use maud::{PreEscaped, html};

use super::figure::{Label, Size, figure};
use super::html::document;
use super::layout::{hanging, padded, width, wrapped};
use super::words::{counted, side as side_word};
use crate::body::{Measure, Origin, Told};
use crate::library::Library;
use crate::library::condition::Grade;
use crate::library::posture::Posture;
use crate::words::{Side, Way};

/// The style of a posture's page.
const STYLE: &str = include_str!("posture.css");

/// A list of up to so many postures is printed whole.
const FEW: usize = 10;

/// A list of postures.
pub fn list(found: &[&Posture], words: &str, most: usize) -> String {
    let words = &crate::problem::printable(words);
    let count = super::words::plural(found.len(), "posture", "postures");
    let title = if words.is_empty() {
        count
    } else {
        format!("{count} for “{words}”")
    };
    let mut out = vec![title, String::new()];
    // Of many the plain shapes are shown; their forms are a second word away.
    let (shown, forms): (Vec<&Posture>, Vec<&Posture>) = found
        .iter()
        .enumerate()
        .map(|(place, posture)| (place == 0 || posture.based_on.is_none(), *posture))
        .fold(
            (Vec::new(), Vec::new()),
            |(mut shown, mut forms), (plain, one)| {
                if plain || words.is_empty() || found.len() <= FEW {
                    shown.push(one);
                } else {
                    forms.push(one);
                }
                (shown, forms)
            },
        );
    let found = shown.as_slice();
    let names = found.iter().map(|p| width(p.name())).max().unwrap_or(0);
    let sanskrit = found
        .iter()
        .map(|p| width(first(&p.sanskrit)))
        .max()
        .unwrap_or(0);
    // One form for the whole list: three columns, or the Sanskrit below, or everything below the name.
    let facts = |posture: &Posture| {
        let sides = if posture.is_sided() { "each side" } else { "" };
        format!("{}  {sides}", padded(posture.level.as_str(), 15))
            .trim_end()
            .to_owned()
    };
    let widest = found.iter().map(|p| width(&facts(p))).max().unwrap_or(0);
    let in_columns = |middle: usize| 2 + names + middle + 2 + widest <= most;
    for posture in found {
        let (name, sanskrit_name) = (posture.name(), first(&posture.sanskrit));
        if in_columns(sanskrit + 2) {
            let row = [
                padded(name, names),
                padded(sanskrit_name, sanskrit),
                facts(posture),
            ];
            out.push(format!("  {}", row.join("  ")));
        } else if in_columns(0) {
            out.push(format!("  {}  {}", padded(name, names), facts(posture)));
            if !sanskrit_name.is_empty() {
                out.extend(hanging(" ", sanskrit_name, 4, most));
            }
        } else {
            out.extend(hanging(" ", name, 2, most));
            let mut rest = vec![sanskrit_name, posture.level.as_str()];
            rest.retain(|words| !words.is_empty());
            out.extend(hanging(" ", &rest.join(", "), 4, most));
        }
    }
    if found.is_empty() {
        out.push("“kindfold postures” lists every name.".to_owned());
    }
    if let Some(form) = forms.last() {
        let count = super::words::plural(forms.len(), "form", "forms");
        let say = format!(
            "and {count} of these, such as “{}”: a second word narrows the list, as in “{words} \
             chair”.",
            form.name().to_lowercase()
        );
        out.extend(hanging(" ", &say, 2, most));
    }
    if let Some(posture) = found.first() {
        out.push(String::new());
        out.push(format!(
            "One of them in full: kindfold posture \"{}\"",
            posture.name().to_lowercase()
        ));
    }
    out.join("\n") + "\n"
}

fn first(names: &[String]) -> &str {
    names.first().map_or("", String::as_str)
}

/// Where a posture is and which side leads, in a sentence.
pub fn stance(posture: &Posture, side: Side) -> String {
    let level = super::words::capital(&posture.level.as_str().replace('-', " "));
    match (&posture.lead, side) {
        (Some(lead), Side::Left | Side::Right) => {
            format!(
                "{level}. It has two sides, named by the {lead}; here the {} leads.",
                side_word(side)
            )
        }
        _ => format!("{level}. The same on both sides."),
    }
}

/// One sentence that says a figure's shape and, where it has sides, the side.
pub fn in_words(posture: &Posture, side: Side) -> String {
    let cue = posture.cue.trim_end_matches('.');
    match (&posture.lead, side) {
        (Some(lead), Side::Left | Side::Right) => {
            format!("{}, {lead} {}: {cue}.", posture.name(), side_word(side))
        }
        _ => format!("{}: {cue}.", posture.name()),
    }
}

/// What a posture asks, in plain words, most first.
fn asks(library: &Library, posture: &Posture) -> String {
    let most = |grade: Option<Grade>| grade.unwrap_or(Grade::Some);
    let mut asked: Vec<(Grade, &str)> = posture
        .demands
        .iter()
        .filter_map(|(id, asks)| {
            let words = library
                .demands
                .get(id)
                .map(|demand| demand.words.as_str())?;
            Some((most(asks.left.max(asks.right)), words))
        })
        .collect();
    asked.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
    if asked.is_empty() {
        return "little: no demand of the rules reaches “some”".to_owned();
    }
    let words = asked.iter().map(|(grade, words)| match grade {
        Grade::Much => format!("much {words}"),
        Grade::Some => (*words).to_owned(),
    });
    words.collect::<Vec<_>>().join(", ")
}

fn purposes(library: &Library, posture: &Posture) -> String {
    let mut purposes: Vec<(u8, &str)> = posture
        .purposes
        .iter()
        .map(|(id, &weight)| {
            (
                weight,
                library.purposes.get(id).map_or(id.as_str(), String::as_str),
            )
        })
        .collect();
    purposes.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
    purposes
        .iter()
        .map(|(weight, words)| format!("{words} {weight}"))
        .collect::<Vec<_>>()
        .join(", ")
}

fn props(posture: &Posture) -> String {
    if posture.props.is_empty() {
        return "none".to_owned();
    }
    posture
        .props
        .iter()
        .map(|(&prop, &number)| counted(number, prop))
        .collect::<Vec<_>>()
        .join(", ")
}

/// A measure's row: its words, right, left (or the whole), where it comes from.
struct MeasureRow {
    words: String,
    right: String,
    left: String,
    origin: &'static str,
}

/// Measures worth printing: all that are not nought, angles of two degrees and more.
fn measure_rows(posture: &Posture, side: Side) -> Vec<MeasureRow> {
    let measures = if side == Side::Right {
        posture.measures.mirrored()
    } else {
        posture.measures.clone()
    };
    let mut rows = Vec::new();
    for (measure, told) in measures.iter() {
        let (left, right) = match told {
            Told::One(reading) => (reading.value, reading.value),
            Told::Sides { left, right } => (left.value, right.value),
        };
        let least = if measure.as_str().ends_with("_deg") {
            1.5
        } else {
            0.5
        };
        if left.abs() < least && right.abs() < least {
            continue;
        }
        let both = matches!(told, Told::One(_));
        rows.push(MeasureRow {
            words: measure_words(measure),
            right: if both {
                String::new()
            } else {
                number(measure, right)
            },
            left: number(measure, left),
            origin: match told.reading(None).origin {
                Origin::Free => "left over; no rule uses it",
                Origin::Contact => "decided by contacts",
                Origin::Authored => "authored",
                Origin::Published => "published",
            },
        });
    }
    rows
}

/// A measure's name in words: "knee flexion".
fn measure_words(measure: Measure) -> String {
    let name = measure.as_str();
    let name = ["_deg", "_pct", "_cm", "_s"]
        .iter()
        .fold(name, |name, unit| name.trim_end_matches(unit));
    super::words::capital(&name.replace('_', " "))
}

fn number(measure: Measure, value: f64) -> String {
    let name = measure.as_str();
    let unit = match name {
        name if name.ends_with("_deg") => "°",
        name if name.ends_with("_pct") => " %",
        name if name.ends_with("_cm") => " cm",
        _ => "",
    };
    format!("{value:.0}{unit}")
}

/// An alternative in words: way, shape, what becomes less.
fn ways(library: &Library, posture: &Posture) -> Vec<(Way, String, String)> {
    let edges = library.alternatives.get(&posture.id).into_iter().flatten();
    let mut ways: Vec<(Way, String, String)> = edges
        .map(|edge| {
            let to = library.postures.get(&edge.to);
            let name = to.map_or_else(|| edge.to.to_string(), |to| to.name().to_owned());
            let name = if edge.swaps_side {
                format!("{name}, other side")
            } else {
                name
            };
            let less: Vec<String> = library
                .less_of(edge)
                .iter()
                .filter_map(|id| library.demands.get(id).map(|demand| demand.words.clone()))
                .collect();
            (edge.way, name, less.join(", "))
        })
        .collect();
    ways.sort();
    ways
}

/// A posture as text.
pub fn text(library: &Library, posture: &Posture, side: Side, most: usize) -> String {
    let title = match first(&posture.sanskrit) {
        "" => posture.name().to_owned(),
        sanskrit => format!("{}, {sanskrit}", posture.name()),
    };
    let mut out = wrapped(&title, most);
    out.extend(wrapped(&stance(posture, side), most));
    out.push(String::new());
    for (head, words) in [
        ("  How", posture.cue.clone()),
        ("  For", purposes(library, posture)),
        ("  Props", props(posture)),
        ("  Asks for", asks(library, posture)),
    ] {
        if !words.is_empty() {
            out.extend(hanging(head, &words, 13, most));
        }
    }
    let rows = measure_rows(posture, side);
    let column = rows.iter().map(|row| width(&row.words)).max().unwrap_or(0) + 4;
    out.push(String::new());
    out.push(format!("{}   right    left", padded("  Measure", column)));
    for row in rows {
        let line = format!(
            "{}{:>8}{:>8}   {}",
            padded(&format!("  {}", row.words), column),
            row.right,
            row.left,
            row.origin
        );
        out.push(line.trim_end().to_owned());
    }
    let ways = ways(library, posture);
    if !ways.is_empty() {
        let column = ways
            .iter()
            .map(|(_, name, _)| width(name))
            .max()
            .unwrap_or(0)
            .min(40);
        out.push(String::new());
        out.push(format!(
            "  {}{}  Less of",
            padded("Way", 10),
            padded("Shape", column)
        ));
        for (way, name, less) in ways {
            let head = format!("  {}{}", padded(way.as_str(), 10), padded(&name, column));
            out.extend(hanging(&head, &less, 12 + column + 2, most));
        }
    }
    out.push(String::new());
    out.extend(wrapped(
        "The numbers are of one average body in the shape as taught; they are not a student’s.",
        most,
    ));
    out.iter()
        .map(|line| line.trim_end())
        .collect::<Vec<_>>()
        .join("\n")
        + "\n"
}

/// A posture as one page: figure, measures, kinder and stronger ways.
pub fn html(library: &Library, posture: &Posture, side: Side) -> String {
    let size = Size {
        width_mm: 96.0,
        height_mm: 62.0,
    };
    let label = in_words(posture, side);
    let figure = figure(library, posture, side, size, Label::Says(&label)).unwrap_or_default();
    let rows = measure_rows(posture, side);
    let ways = ways(library, posture);
    let body = html! {
        h1 { (posture.name()) }
        @if let Some(sanskrit) = posture.sanskrit.first() { p lang="sa-Latn" { (sanskrit) } }
        p { (stance(posture, side)) }
        div class="figure" { (PreEscaped(figure)) }
        dl {
            dt { "How" } dd { (posture.cue) }
            dt { "For" } dd { (purposes(library, posture)) }
            dt { "Props" } dd { (props(posture)) }
            dt { "Asks for" } dd { (asks(library, posture)) }
        }
        @if !ways.is_empty() {
            h2 { "Kinder and stronger ways" }
            table {
                thead { tr { th scope="col" { "Way" } th scope="col" { "Shape" } th scope="col" { "Less of" } } }
                tbody { @for (way, name, less) in &ways { tr { td { (way) } td { (name) } td { (less) } } } }
            }
        }
        h2 { "Measures" }
        table {
            thead { tr { th scope="col" { "Measure" } th scope="col" { "Right" } th scope="col" { "Left, or whole" } th scope="col" { "Where it comes from" } } }
            tbody { @for row in &rows { tr { td { (row.words) } td { (row.right) } td { (row.left) } td { (row.origin) } } } }
        }
        p { "The numbers are of one average body in the shape as taught; they are not a student’s." }
    };
    document(posture.name(), STYLE, None, body)
}
