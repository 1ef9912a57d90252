//! What every page shares: the frame with its style, page margins and policy, and small parts.
//!
//! Invariant: a page asks nothing of anybody. Style and figures stand inside it; there is no
//! script, no font, no image and no link.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::figure::{Label, Size, figure};
use super::posture::in_words;
use crate::library::Library;
use crate::words::{PostureId, Side};

const STYLE: &str = include_str!("sheet.css");
/// One column in reading order: for narrow screens, and for large print.
const STACKED: &str = include_str!("stacked.css");
const LARGE: &str = include_str!("large.css");

/// How a sheet is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Print {
    /// 18 pt and one column, set anew.
    pub large: bool,
    /// US letter in place of A4.
    pub letter: bool,
}

/// What a page says about itself.
pub(super) struct Frame<'a> {
    /// The class's title, or whose card it is.
    pub title: &'a str,
    /// What kind of sheet it is: "teacher’s sheet".
    pub kind: &'a str,
    /// The name of its style: one word.
    pub style: &'a str,
    /// How it is printed.
    pub print: Print,
}

/// A whole page around its body.
pub(super) fn page(frame: &Frame<'_>, body: Markup) -> String {
    let name = format!("{}, {}", frame.title, frame.kind);
    let class = if frame.print.large {
        format!("{} large", frame.style)
    } else {
        frame.style.to_owned()
    };
    document(&name, &style(&name, frame.print), Some(&class), body)
}

/// A document that asks nothing of anybody, with its style inside.
pub(super) fn document(title: &str, style: &str, class: Option<&str>, body: Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { (title) }
                style { (PreEscaped(style)) }
            }
            body class=[class] { main { (body) } }
        }
    };
    page.into_string() + "\n"
}

fn style(name: &str, print: Print) -> String {
    let size = if print.letter { "" } else { "size: A4; " };
    let name = css_text(name);
    let foot = if print.large { "18pt" } else { "9pt" };
    let margin = format!(
        "@page {{ {size}margin: 10mm 12mm 12mm; \
         @bottom-left {{ content: \"{name}\"; font: {foot} Arial, \"Liberation Sans\", Helvetica, sans-serif; }} \
         @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); font: {foot} Arial, \"Liberation Sans\", Helvetica, sans-serif; }} }}\n"
    );
    let stacked = if print.large {
        format!("{STACKED}{LARGE}")
    } else {
        format!("@media screen and (max-width: 44em) {{\n{STACKED}}}\n")
    };
    margin + STYLE + &stacked
}

/// Text between the quotes of a style sheet, with nothing that could end them.
fn css_text(text: &str) -> String {
    text.chars()
        .map(|letter| match letter {
            '"' | '\\' | '<' | '>' | '&' => format!("\\{:x} ", u32::from(letter)),
            letter if letter.is_control() => " ".to_owned(),
            letter => letter.to_string(),
        })
        .collect()
}

/// Text with what people said kept apart from the direction of the words around it, and in its own
/// language where one is known.
pub(super) fn said(text: &str, lang: Option<&str>) -> Markup {
    let mut parts = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('“') {
        let (quoted, after) = after.split_once('”').unwrap_or((after, ""));
        parts.push((before, Some(quoted)));
        rest = after;
    }
    html! {
        @for (before, quoted) in parts {
            (before)
            @if let Some(quoted) = quoted { "“" bdi lang=[lang] { (quoted) } "”" }
        }
        (rest)
    }
}

/// Short names in a row, each apart from the other's direction.
pub(super) fn names(names: &[String]) -> Markup {
    html! {
        @for (place, name) in names.iter().enumerate() {
            @if place > 0 { " " }
            @if name == super::teacher::ANYONE { (name) } @else { bdi { (name) } }
        }
    }
}

/// A figure that says its shape, or nothing for a posture without a body.
pub(super) fn told_figure(library: &Library, shape: &(PostureId, Side), size: Size) -> Markup {
    let drawn = library.postures.get(&shape.0).and_then(|posture| {
        let words = in_words(posture, shape.1);
        figure(library, posture, shape.1, size, Label::Says(&words))
    });
    html! { @if let Some(drawn) = drawn { (PreEscaped(drawn)) } }
}

/// A figure whose words stand beside it.
pub(super) fn silent_figure(library: &Library, shape: &(PostureId, Side), size: Size) -> Markup {
    let drawn = library
        .postures
        .get(&shape.0)
        .and_then(|posture| figure(library, posture, shape.1, size, Label::Hidden));
    html! { @if let Some(drawn) = drawn { (PreEscaped(drawn)) } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_cannot_end_the_style() {
        let style = style("</style><b>\"\\", Print::default());
        assert!(!style.contains("</style>"));
        assert!(style.contains("\\3c /style\\3e \\3c b\\3e \\22 \\5c "));
    }

    #[test]
    fn quoted_words_stand_apart() {
        let markup = said("physio: “sin peso”, <b>", Some("es")).into_string();
        assert_eq!(
            markup,
            "physio: “<bdi lang=\"es\">sin peso</bdi>”, &lt;b&gt;"
        );
    }
}
