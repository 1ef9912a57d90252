//! What people hold in their hands: who stands on which sheet, what words stand there, how wide.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::OnceLock;

use kindfold::adapt::adapt;
use kindfold::adapted::Adapted;
use kindfold::input::{self, text::Source};
use kindfold::settings::{PropStock, Settings};
use kindfold::sheets::html::Print;
use kindfold::sheets::page::Document;
use kindfold::sheets::{
    card, page_csv, page_html, page_markdown, page_text, props, record, room, teacher,
    teacher_html, teacher_page, text,
};
use kindfold::words::StudentId;
use rstest::rstest;

use crate::support::library::{library, task};

mod access;
mod figures;
mod once;
mod privacy;

fn file(case: &str, name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/cases")
        .join(case)
        .join(name);
    std::fs::read_to_string(path).expect("the case has the file")
}

/// A planned room and its sheets.
struct Planned {
    adapted: Adapted,
    settings: Settings,
}

impl Planned {
    fn new(class: &str, roster: &str, props: Option<&str>) -> Self {
        let source = |text: &str| {
            Source::from_bytes("case.yaml", text.as_bytes()).expect("the case is text")
        };
        let class = input::class::read(source(class), library()).expect("the class reads");
        let roster = input::roster::read(source(roster), library()).expect("the roster reads");
        let stock = props.map_or_else(PropStock::default, |props| {
            input::props::read(source(props)).expect("the props read")
        });
        let date = class.date.expect("the case has a date");
        let task = task(&class, &roster, &stock, date);
        let outcome = adapt(&task, &mut |_| {}).expect("the planner reads its instance");
        Self {
            adapted: outcome.adapted,
            settings: Settings::default(),
        }
    }

    /// A case folder, planned once for all tests.
    fn case(name: &str) -> &'static Self {
        static PLANNED: [OnceLock<Planned>; CASES.len()] = [const { OnceLock::new() }; CASES.len()];
        let place = CASES.iter().position(|case| *case == name);
        PLANNED[place.expect("the case is known")].get_or_init(|| {
            Self::new(
                &file(name, "class.yaml"),
                &file(name, "roster.yaml"),
                Some(&file(name, "props.yaml")),
            )
        })
    }

    fn sheet(&self) -> teacher::Sheet {
        teacher::sheet(&self.adapted, &self.settings, library())
    }

    fn document(&self, sheet: &str) -> Document {
        let (adapted, settings) = (&self.adapted, &self.settings);
        match sheet {
            "room" => room::room(adapted, settings, library()),
            "props" => props::props(adapted, settings, library()),
            "record" => record::record(adapted, settings, library()),
            "cards" => card::cards(adapted, settings, library(), None),
            "cautions" => teacher_page::cautions(&self.sheet()),
            _ => teacher_page::teacher(&self.sheet()),
        }
    }

    /// A sheet in every form that it has.
    fn forms(&self, sheet: &str) -> Vec<String> {
        let document = self.document(sheet);
        let mut forms = vec![
            page_text::text(&document, 80),
            page_markdown::markdown(&document),
        ];
        for print in [Print::default(), LARGE] {
            forms.push(match sheet {
                "teacher" => teacher_html::html(&self.sheet(), library(), print),
                "cautions" => teacher_html::cautions(&self.sheet(), print),
                _ => page_html::html(&document, library(), print),
            });
        }
        if sheet != "cards" {
            forms.push(page_csv::csv(&document));
        }
        if sheet == "teacher" {
            forms.push(text::teacher(&self.sheet(), 80));
        }
        forms
    }

    fn card_of(&self, name: &str) -> Document {
        let id: &StudentId = self
            .adapted
            .students
            .iter()
            .find(|student| student.name == name)
            .map(|student| &student.id)
            .expect("they are there");
        card::cards(&self.adapted, &self.settings, library(), Some(id))
    }
}

/// Whole words, folded.
fn words(text: &str) -> BTreeSet<String> {
    visible(text)
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Text without tags and without the style of a page.
fn visible(text: &str) -> String {
    let text = match text.split_once("</style>") {
        Some((_, body)) => body,
        None => text,
    };
    let mut out = String::new();
    let mut inside = false;
    for letter in text.chars() {
        match letter {
            '<' => inside = true,
            '>' if inside => {
                inside = false;
                out.push(' ');
            }
            _ if !inside => out.push(letter),
            _ => {}
        }
    }
    out
}

/// Set anew in large print.
const LARGE: Print = Print {
    large: true,
    letter: false,
};

const CASES: [&str; 2] = ["tuesday-wind-down", "ten-past-one"];

#[rstest]
fn no_line_passes_the_width(
    #[values("teacher", "room", "cards", "props", "cautions", "record")] sheet: &str,
    #[values(60, 80, 100)] most: usize,
) {
    for case in CASES {
        let planned = Planned::case(case);
        let text = if sheet == "teacher" {
            text::teacher(&planned.sheet(), most)
        } else {
            page_text::text(&planned.document(sheet), most)
        };
        for line in text.lines() {
            assert!(
                unicode_width::UnicodeWidthStr::width(line) <= most,
                "{line}"
            );
        }
    }
}

/// Words that a sheet never says of itself (sheets.md 1), looked for outside quotes.
#[rstest]
fn no_sheet_ranks_or_commands(
    #[values("teacher", "room", "cards", "props", "cautions", "record")] sheet: &str,
) {
    for case in CASES {
        for form in Planned::case(case).forms(sheet) {
            let mut text = visible(&form).replace(teacher::CLOSING, "");
            while let (Some(from), Some(to)) = (text.find('“'), text.find('”')) {
                if from >= to {
                    break;
                }
                text.replace_range(from..to + '”'.len_utf8(), " ");
            }
            let found = words(&text);
            for never in [
                "must",
                "should",
                "can’t",
                "beginner",
                "beginners",
                "modification",
                "modifications",
                "contraindicated",
                "contraindication",
            ] {
                assert!(!found.contains(never), "“{never}” on {sheet} of {case}");
            }
        }
    }
}

/// Text and paper say the same steps, choices and people.
#[rstest]
fn text_and_paper_say_the_same(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let planned = Planned::case(case);
    let sheet = planned.sheet();
    let paper = visible(&teacher_html::html(&sheet, library(), Print::default()));
    // Below 80 columns names follow the words, which then stay together.
    let screen: String = text::teacher(&sheet, 79);
    let squeezed = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let (paper, screen) = (squeezed(&paper), squeezed(&screen));
    for row in sheet.sections.iter().flat_map(|section| &section.rows) {
        assert!(
            paper.contains(&row.name) && screen.contains(&row.name),
            "{}",
            row.name
        );
        for beside in &row.beside {
            assert!(screen.contains(&beside.text), "{}", beside.text);
            assert!(paper.contains(&beside.text), "{}", beside.text);
        }
    }
    for person in &sheet.people {
        assert!(paper.contains(&person.name) && screen.contains(&person.name));
    }
}

/// One file, nothing asked of anybody, and every figure says its shape or is hidden.
#[rstest]
fn a_page_asks_nothing_and_says_its_figures(
    #[values("teacher", "room", "cards", "props", "cautions", "record")] sheet: &str,
) {
    let planned = Planned::case("tuesday-wind-down");
    for form in planned
        .forms(sheet)
        .into_iter()
        .filter(|form| form.starts_with("<!DOCTYPE"))
    {
        for never in [
            "<script",
            " src=",
            " href=",
            "url(",
            "@import",
            "<img",
            "<link",
            "http://www.w3.org/1999",
        ] {
            assert!(!form.contains(never), "{never} on {sheet}");
        }
        for figure in form.split("<svg ").skip(1) {
            let head = figure.split('>').next().unwrap_or("");
            assert!(
                head.contains("aria-label=\"") || head.contains("aria-hidden=\"true\""),
                "{head}"
            );
        }
        assert_eq!(form.matches("<h1").count(), 1, "{sheet} has one title");
        assert!(form.contains("<html lang=\"en\">"));
        assert_eq!(
            form.matches("<th ").count(),
            form.matches(" scope=\"").count()
        );
    }
}

#[test]
fn the_teachers_page_stays_small() {
    let planned = Planned::case("tuesday-wind-down");
    let html = teacher_html::html(&planned.sheet(), library(), Print::default());
    assert!(html.len() < 400_000, "{}", html.len());
}

/// What a class asks along the clock: the numbers of the page are those of the plan.
#[rstest]
// Twenty breaths of six seconds are two minutes; five are half a minute.
#[case(
    "takes: 6, steps: [{posture: downward dog, breaths: 20}]",
    "Weight on the hands from 10:00 lasts 2 min; 1½ min is the usual most."
)]
#[case(
    "takes: 6, steps: [{posture: downward dog, breaths: 5}]",
    "Nothing lasts longer than is usual."
)]
fn what_lasts_longer_than_usual_is_said_and_drawn_black(#[case] run: &str, #[case] said: &str) {
    let class = format!(
        "title: Long\ndate: 2026-05-12\nstart: \"10:00\"\nminutes: 10\nbreath_seconds: 6\nsections:\n  - name: All\n    steps:\n      - {{{run}}}\n      - {{posture: easy seat, breaths: 5}}\n"
    );
    let source = Source::from_bytes("class.yaml", class.as_bytes()).expect("text");
    let class = input::class::read(source, library()).expect("the class reads");
    let settings = Settings::default();
    let table = kindfold::timetable::timetable(&class, library(), &settings);
    let page = kindfold::sheets::along::html(&class, &table, library(), Print::default());
    let long = said.contains("lasts 2 min");
    assert!(page.contains(said), "{}", visible(&page));
    let black =
        page.contains("<rect") && page.split("<rect").any(|bar| bar.contains("fill=\"#000\""));
    assert_eq!(black, long);
}
