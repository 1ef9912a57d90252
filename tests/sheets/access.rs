//! Pages that everyone can read: headings, languages, words for figures, contrast, type.

use std::sync::OnceLock;

use kindfold::home::home;
use kindfold::input::{self, text::Source};
use kindfold::library::blanket::Version;
use kindfold::roster::Roster;
use kindfold::settings::{PropStock, Settings};
use kindfold::sheets::html::Print;
use kindfold::sheets::{self, page_html};
use kindfold::vary::vary;
use rstest::rstest;

use super::{CASES, LARGE, Planned, file, library, task};

const SHEETS: [&str; 6] = ["teacher", "room", "cards", "props", "cautions", "record"];

/// The HTML pages of every version of a case's class and of somebody's home sheet, ordinary and large;
/// made once for all tests.
fn versions_and_home(case: &str) -> &'static [(String, String)] {
    static MADE: [OnceLock<Vec<(String, String)>>; CASES.len()] =
        [const { OnceLock::new() }; CASES.len()];
    let place = CASES.iter().position(|one| *one == case);
    MADE[place.expect("the case is known")].get_or_init(|| {
        let source =
            |name| Source::from_bytes(name, file(case, name).as_bytes()).expect("it is text");
        let class = input::class::read(source("class.yaml"), library()).expect("it reads");
        let roster = input::roster::read(source("roster.yaml"), library()).expect("it reads");
        let (nobody, stock) = (Roster::default(), PropStock::default());
        let (settings, date) = (
            Settings::default(),
            class.date.expect("the case has a date"),
        );
        let mut documents = Vec::new();
        for blanket in &library().blankets {
            let version = Version {
                blankets: vec![blanket],
            };
            let varied = vary(&task(&class, &nobody, &stock, date), &version);
            let varied = varied.expect("the planner reads its instance");
            let sheet = sheets::vary::sheet(&varied, &version, &settings, library(), true);
            documents.push((format!("vary {}", blanket.id), sheet));
        }
        let people = Planned::case(case).adapted.students.iter();
        let mut flows = people.filter_map(|who| {
            let task = task(&class, &roster, &stock, date);
            let made = home(&task, &Planned::case(case).adapted, &who.id, 15, 4);
            made.ok().filter(|made| !made.steps.is_empty())
        });
        let made = flows.next().expect("somebody has a flow");
        documents.push((
            "home".to_owned(),
            sheets::home::sheet(&made, &settings, library(), false),
        ));
        let both = documents.into_iter().flat_map(|(name, document)| {
            [Print::default(), LARGE]
                .map(|print| (name.clone(), page_html::html(&document, library(), print)))
        });
        both.collect()
    })
}

/// The HTML pages of every sheet of a case, ordinary and large, of every version, of a home sheet, and
/// a posture's page.
fn pages(case: &str) -> Vec<(String, String)> {
    let planned = Planned::case(case);
    let mut pages = Vec::new();
    for sheet in SHEETS {
        let forms = planned.forms(sheet).into_iter();
        let html = forms.filter(|form| form.starts_with("<!DOCTYPE"));
        pages.extend(html.map(|page| (sheet.to_owned(), page)));
    }
    let warrior = library().postures.get("warrior-ii").expect("it is there");
    let side = kindfold::words::Side::Left;
    let page = kindfold::sheets::posture::html(library(), warrior, side);
    pages.push(("posture".to_owned(), page));
    pages.extend(versions_and_home(case).iter().cloned());
    assert!(pages.len() > 2 * (SHEETS.len() + library().blankets.len()));
    pages
}

/// What stands between the quotes of an attribute.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    rest.split('"').next()
}

/// Opening tags, in order.
fn tags(page: &str) -> impl Iterator<Item = &str> {
    let tags = page.split('<').skip(1);
    tags.filter_map(|tag| tag.split_once('>').map(|(tag, _)| tag))
        .filter(|tag| tag.starts_with(|letter: char| letter.is_ascii_alphabetic()))
}

fn level(tag: &str) -> Option<u32> {
    if let Some(level) = tag.strip_prefix('h').and_then(|rest| rest.chars().next()) {
        return level.to_digit(10);
    }
    let heading = attribute(tag, "role") == Some("heading");
    heading.then(|| attribute(tag, "aria-level").and_then(|level| level.parse().ok()))?
}

#[rstest]
fn headings_begin_with_one_title_and_skip_no_level(
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    for (sheet, page) in pages(case) {
        let levels: Vec<u32> = tags(&page).filter_map(level).collect();
        assert_eq!(levels.first(), Some(&1), "{sheet}");
        assert_eq!(
            levels.iter().filter(|level| **level == 1).count(),
            1,
            "{sheet}"
        );
        for pair in levels.windows(2) {
            assert!(
                pair[1] <= pair[0] + 1,
                "{sheet}: {} after {}",
                pair[1],
                pair[0]
            );
        }
    }
}

#[test]
fn pages_and_words_of_other_languages_say_which() {
    let mut quoted = 0;
    for (sheet, page) in pages("tuesday-wind-down") {
        assert!(page.contains("<html lang=\"en\">"), "{sheet}");
        if sheet == "posture" {
            assert!(
                page.contains("lang=\"sa-Latn\""),
                "Sanskrit says that it is"
            );
        }
        for before in page.rsplit("sin peso").skip(1) {
            let quote = before.rsplit('<').next().unwrap_or("");
            assert_eq!(quote, "bdi lang=\"es\">", "{sheet}");
            quoted += 1;
        }
    }
    assert!(
        quoted >= 6,
        "own page, cautions and card, ordinary and large: {quoted}"
    );
}

/// A figure that is not hidden names its posture, says how the body is placed, and from where it
/// is seen.
#[rstest]
fn every_told_figure_says_its_shape(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let mut looked = 0;
    for (sheet, page) in pages(case) {
        for tag in tags(&page).filter(|tag| tag.starts_with("svg ")) {
            if attribute(tag, "aria-hidden") == Some("true") {
                continue;
            }
            assert_eq!(attribute(tag, "role"), Some("img"), "{sheet}");
            let label = attribute(tag, "aria-label").unwrap_or("");
            let (name, shape) = label.split_once(": ").unwrap_or(("", ""));
            let known = library().postures.values().any(|posture| {
                let words = posture.name().replace('"', "&quot;");
                name == words || name.starts_with(&format!("{words}, "))
            });
            assert!(known, "{sheet}: “{label}” names its posture");
            let words = shape.split_whitespace().count();
            assert!(words >= 5, "{sheet}: “{label}” says the shape");
            assert!(label.contains("Seen from"), "{sheet}: “{label}”");
            looked += 1;
        }
    }
    assert!(looked > 20, "{looked} figures");
}

/// Relative luminance of a colour, 0 to 1 (WCAG 2.2, definition of relative luminance).
fn luminance(red_green_blue: [u8; 3]) -> f64 {
    let linear = |part: u8| {
        let part = f64::from(part) / 255.0;
        if part <= 0.04045 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    };
    let [red, green, blue] = red_green_blue.map(linear);
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// The contrast of a colour with white paper (WCAG 2.2, definition of contrast ratio).
fn contrast(colour: [u8; 3]) -> f64 {
    1.05 / (luminance(colour) + 0.05)
}

/// Every colour of a page, written in whichever way, with the property that it is of.
fn colours(page: &str) -> Vec<(String, [u8; 3])> {
    let mut found = Vec::new();
    for (at, _) in page.match_indices('#') {
        let (before, after) = page.split_at(at);
        let digits: String = after
            .chars()
            .skip(1)
            .take_while(char::is_ascii_hexdigit)
            .collect();
        let property = before
            .rsplit(['{', ';', ' ', '<'])
            .find(|word| word.ends_with(':') || word.ends_with("=\""));
        let (Some(property), 3 | 6) = (property, digits.len()) else {
            continue;
        };
        let digits = match digits.len() {
            3 => digits.chars().flat_map(|digit| [digit, digit]).collect(),
            _ => digits,
        };
        let part = |from: usize| u8::from_str_radix(&digits[from..from + 2], 16).expect("hex");
        let property = property.trim_end_matches([':', '=', '"']).to_owned();
        found.push((property, [part(0), part(2), part(4)]));
    }
    found
}

#[test]
fn contrast_is_computed_as_the_guideline_does() {
    // Published pairs on white: black 21, #767676 4.54, #595959 7.0 (WebAIM's contrast checker).
    assert!((contrast([0, 0, 0]) - 21.0).abs() < 0.01);
    assert!((contrast([0x76, 0x76, 0x76]) - 4.54).abs() < 0.01);
    assert!((contrast([0x59, 0x59, 0x59]) - 7.0).abs() < 0.01);
}

/// Nothing is coloured, so that grey paper loses nothing; and text stands out 7 to 1 (WCAG 2.2,
/// 1.4.6). Only hairlines and the figures' own grey are lighter.
#[rstest]
fn text_is_dark_and_nothing_is_coloured(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    for (sheet, page) in pages(case) {
        let found = colours(&page);
        assert!(!found.is_empty(), "{sheet}");
        for (property, colour) in found {
            let [red, green, blue] = colour;
            assert!(
                red == green && green == blue,
                "{sheet}: {property} {colour:?}"
            );
            if property == "color" {
                assert!(contrast(colour) >= 7.0, "{sheet}: {property} {colour:?}");
            }
        }
        for never in ["rgb(", "hsl(", "opacity", "background-image", "gradient"] {
            assert!(!page.contains(never), "{sheet}: {never}");
        }
        for text in page.split("<text ").skip(1) {
            let tag = text.split('>').next().unwrap_or("");
            // What is drawn in white is the ground that keeps a letter clear of the lines.
            if tag.contains("fill=\"#fff\" stroke=\"#fff\"") {
                continue;
            }
            let fill = colours(&format!("<text {tag}"));
            assert!(!fill.is_empty(), "{sheet}: {tag}");
            assert!(
                fill.iter().all(|(_, colour)| contrast(*colour) >= 7.0),
                "{sheet}: {tag}"
            );
        }
    }
}

/// The style sheet's own sizes: never below 9 pt, 14 pt on cards, 18 pt in large print.
#[rstest]
fn no_type_is_set_below_nine_points(
    #[values("teacher", "room", "cards", "props", "cautions", "record")] sheet: &str,
) {
    for page in Planned::case("tuesday-wind-down").forms(sheet) {
        if !page.starts_with("<!DOCTYPE") {
            continue;
        }
        let style = page.split("</style>").next().unwrap_or("");
        for part in style
            .split("font-size: ")
            .skip(1)
            .chain(style.split("font: ").skip(1))
        {
            let number: String = part
                .chars()
                .take_while(|c| c.is_ascii_digit() || *c == '.')
                .collect();
            if let Ok(points) = number.parse::<f64>() {
                assert!(points >= 9.0, "{sheet}: {points} pt");
            }
        }
        assert!(!style.contains("font-size: 0") && !style.contains("smaller"));
    }
    let (document, large) = (Planned::case("tuesday-wind-down").document(sheet), LARGE);
    let page = kindfold::sheets::page_html::html(&document, library(), large);
    let class = format!("<body class=\"{} large\">", document.style);
    assert!(page.contains(&class), "{sheet} is set anew");
    let ordinary = kindfold::sheets::page_html::html(&document, library(), Print::default());
    assert!(!ordinary.contains(&class));
}
