//! The teacher's sheet on paper: the own page, then floor pages to lie beside the mat.

use maud::{Markup, html};

use super::figure::Size;
use super::html::{Frame, Print, names, page, said, silent_figure, told_figure};
use super::teacher::{Beside, CLOSING, Margin, PersonRow, QUIETLY_ONCE, Row, Section, Sheet};
use crate::library::Library;
use crate::words::{PostureId, Side};

/// The sheet as one HTML file.
pub fn html(sheet: &Sheet, library: &Library, print: Print) -> String {
    let frame = Frame {
        title: &sheet.title,
        kind: "teacher’s sheet",
        style: "teacher",
        print,
    };
    page(
        &frame,
        html! {
            (own_page(sheet))
            div class="newpage" {
                (once(&sheet.once))
                @for (place, section) in sheet.sections.iter().enumerate() {
                    (floor(section, place == 0, library, print))
                }
            }
        },
    )
}

/// The own page alone, without what is set out.
pub fn cautions(sheet: &Sheet, print: Print) -> String {
    let frame = Frame {
        title: &sheet.title,
        kind: "cautions",
        style: "teacher",
        print,
    };
    page(
        &frame,
        html! {
            h1 { (sheet.title) }
            p class="when" { (sheet.when) }
            (asked(&sheet.ask))
            (people(&sheet.people))
            (strengths(&sheet.notes))
            (closing(&sheet.stop))
        },
    )
}

fn asked(ask: &[(String, Vec<String>)]) -> Markup {
    html! {
        @if !ask.is_empty() {
            h2 { "Ask first, quietly, at the mat" }
            @for (name, texts) in ask {
                p { b { bdi { (name) } ":" } @for text in texts { " " (said(&ended(text), None)) } }
            }
        }
    }
}

/// Names in full, reasons and sources: for the teacher's eyes.
fn own_page(sheet: &Sheet) -> Markup {
    html! {
        h1 { (sheet.title) }
        p class="when" { (sheet.when) }
        p { (sheet.who) }
        div class="summary" {
            @for sentence in &sheet.summary { p { (sentence) } }
        }
        div class="halves" {
            div { (asked(&sheet.ask)) }
            div {
                @if !sheet.set_out.is_empty() {
                    h2 { "Set out" }
                    @for line in &sheet.set_out { p { (line) } }
                }
                @if !sheet.short.is_empty() {
                    h2 { "Short" }
                    @for line in &sheet.short { p { (line) } }
                }
                h2 { "Say once to everyone" }
                @for line in &sheet.say_once { p { (line) } }
            }
        }
        @if !sheet.advice.is_empty() {
            h2 { "About the plan" }
            div class="advice" { @for line in &sheet.advice { p { (line) } } }
        }
        (people(&sheet.people))
        (strengths(&sheet.notes))
        (closing(&sheet.stop))
    }
}

fn people(people: &[PersonRow]) -> Markup {
    html! {
        @if !people.is_empty() {
            h2 { "People " small { "this page stays with you" } }
            table class="people" role="table" {
                thead role="rowgroup" { tr role="row" {
                    @for head in ["Short name", "Name", "What to know"] {
                        th scope="col" role="columnheader" { span class="unseen" { (head) } }
                    }
                } }
                tbody role="rowgroup" {
                    @for person in people {
                        tr role="row" {
                            th scope="row" role="rowheader" { bdi { (person.short_name) } }
                            td role="cell" class="name" { bdi { (person.name) } }
                            td role="cell" {
                                @if !person.facts.is_empty() { (super::words::capital(&person.facts.join(", "))) ". " }
                                @for (line, note) in &person.lines {
                                    (said(&ended(&super::words::capital(line)), person.lang.as_deref()))
                                    @if let Some(note) = note { sup { (note) } }
                                    " "
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn strengths(notes: &[String]) -> Markup {
    html! {
        @if !notes.is_empty() {
            h2 { "How strong is it" }
            ol class="notes" {
                @for (place, note) in notes.iter().enumerate() {
                    @let (strength, rest) = note.split_once(": ").unwrap_or((note, ""));
                    li {
                        span { (place + 1) }
                        span {
                            b { (super::words::capital(strength)) @if !rest.is_empty() { ":" } }
                            @if !rest.is_empty() { " " (rest) }
                        }
                    }
                }
            }
        }
    }
}

fn closing(stop: &[String]) -> Markup {
    html! {
        div class="close" {
            @if !stop.is_empty() {
                p {
                    b { "Stop and get help: " }
                    @for (place, signs) in stop.iter().enumerate() { @if place > 0 { " Also: " } (signs) "." }
                }
            }
            p { (CLOSING) }
        }
    }
}

/// What one person hears once, over the floor page it spares from repeating itself.
fn once(lines: &[Beside]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h2 { (QUIETLY_ONCE) }
            ul class="beside once" { @for line in lines {
                li {
                    span class="for" { (names(&line.names)) } " "
                    span class="what" { (said(&line.text, None)) }
                }
            } }
        }
    }
}

/// One section of the floor page: its own table, so that its name repeats where it is cut.
fn floor(section: &Section, first: bool, library: &Library, print: Print) -> Markup {
    let heads = [
        ("first", "Clock"),
        ("second", "Figure"),
        ("third", "Shown by you"),
        ("fourth", "Beside it, and for whom"),
        ("fifth", "Props"),
    ];
    html! {
        table class="floor" role="table" {
            thead role="rowgroup" {
                tr class="heads" role="row" {
                    @for (class, head) in heads {
                        th class=(class) scope="col" role="columnheader" {
                            span class=[(!first || head == "Figure").then_some("unseen")] { (head) }
                        }
                    }
                }
                tr role="row" {
                    th class="section" colspan="5" scope="colgroup" role="columnheader" {
                        span class="until" { "until " (section.until) }
                        div role="heading" aria-level="2" { (section.name) }
                    }
                }
            }
            tbody role="rowgroup" {
                @for row in &section.rows { (step(row, library, print)) }
            }
        }
    }
}

fn step(row: &Row, library: &Library, print: Print) -> Markup {
    let (lead, option) = sizes(print);
    // With nothing beside it, what is shown has the room to the right.
    let has_more = !row.beside.is_empty();
    html! {
        tr role="row" class=[row.number.is_none().then_some("between")] {
            th scope="row" role="rowheader" {
                span class="clock" { (row.clock) }
                @if let Some(number) = row.number { " " span class="number" { (number) } }
            }
            td role="cell" { @if let Some(shape) = &row.figure { (told_figure(library, shape, lead)) } }
            td role="cell" colspan=[(!has_more).then_some("3")] {
                span class="lead" { (row.name) }
                @if !row.duration.is_empty() || !row.how.is_empty() {
                    " " span class="how" {
                        b { (row.duration) }
                        @if !row.duration.is_empty() && !row.how.is_empty() { ", " }
                        (row.how)
                    }
                }
                @if let Some(taught) = &row.instead_of { " " span class="how" { "in place of " (taught) } }
            }
            @if has_more {
                td role="cell" { @if row.beside.iter().any(|line| line.margin != Margin::Fetch) {
                    ul class="beside" {
                        @for line in row.beside.iter().filter(|line| line.margin != Margin::Fetch) {
                            (beside(line, row, library, option))
                        }
                    }
                } }
                td role="cell" class="laid" { @if row.beside.iter().any(|line| line.margin == Margin::Fetch) {
                    span class="unseen" { "Props: " }
                    @for line in row.beside.iter().filter(|line| line.margin == Margin::Fetch) {
                        p { (line.text) }
                    }
                } }
            }
        }
    }
}

fn beside(line: &Beside, row: &Row, library: &Library, size: Size) -> Markup {
    html! {
        li class=(line.margin.word()) {
            span class="word" { (line.margin.word()) } " "
            span class="what" { (said(&line.text, None)) } " "
            @if let Some(shape) = line.figure.as_ref().filter(|shape| elsewhere(library, row, shape)) {
                span class="small" { (silent_figure(library, shape, size)) }
            }
            @if !line.names.is_empty() { span class="for" { (names(&line.names)) } }
        }
    }
}

/// Whether a choice is drawn: where the body is somewhere else than in the shape shown.
fn elsewhere(library: &Library, row: &Row, shape: &(PostureId, Side)) -> bool {
    let level = |id: &PostureId| library.postures.get(id).map(|posture| posture.level);
    let shown = row.figure.as_ref().and_then(|(id, _)| level(id));
    level(&shape.0) != shown
}

/// A line as a sentence: ended, unless it is.
fn ended(line: &str) -> String {
    if line.ends_with(['.', '?', '!', '…']) {
        line.to_owned()
    } else {
        format!("{line}.")
    }
}

/// The boxes of the figures: of the shape shown, and of a choice.
fn sizes(print: Print) -> (Size, Size) {
    let size = |width_mm, height_mm| Size {
        width_mm,
        height_mm,
    };
    if print.large {
        (size(46.0, 32.0), size(28.0, 18.0))
    } else {
        (size(15.5, 9.0), size(10.5, 6.5))
    }
}
