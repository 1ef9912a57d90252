//! What people hold in their hands: who stands on which sheet, what words stand there, how wide.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::OnceLock;

use kindfold::adapt::{Task, adapt};
use kindfold::adapted::Adapted;
use kindfold::group::solve::Limit;
use kindfold::input::{self, text::Source};
use kindfold::library::Library;
use kindfold::settings::{PropStock, Settings};
use kindfold::sheets::html::Print;
use kindfold::sheets::page::Document;
use kindfold::sheets::{
    card, page_csv, page_html, page_markdown, page_text, props, record, room, teacher,
    teacher_html, teacher_page, text,
};
use kindfold::words::StudentId;
use rstest::rstest;

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| Library::built_in().expect("the built-in library reads"))
}

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
        let settings = Settings::default();
        let task = Task {
            library: library(),
            class: &class,
            roster: &roster,
            stock: &stock,
            settings: &settings,
            date: class.date.expect("the case has a date"),
            max_options: 3,
            limit: Limit::default(),
        };
        let outcome = adapt(&task, &mut |_| {}).expect("the planner reads its instance");
        Self {
            adapted: outcome.adapted,
            settings,
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
            page_html::html(&document, library(), Print::default()),
        ];
        if sheet != "cards" {
            forms.push(page_csv::csv(&document));
        }
        match sheet {
            "teacher" => {
                forms.push(text::teacher(&self.sheet(), 80));
                forms.push(teacher_html::html(
                    &self.sheet(),
                    library(),
                    Print::default(),
                ));
            }
            "cautions" => forms.push(teacher_html::cautions(&self.sheet(), Print::default())),
            _ => {}
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

const CASES: [&str; 2] = ["tuesday-wind-down", "ten-past-one"];

#[rstest]
fn the_room_and_the_props_name_nobody(
    #[values("room", "props")] sheet: &str,
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let planned = Planned::case(case);
    for form in planned.forms(sheet) {
        let found = words(&form);
        for student in &planned.adapted.students {
            // "Recording" stands for everyone who watches later.
            for name in student.name.to_lowercase().split_whitespace() {
                assert!(
                    name.chars().count() < 3 || !found.contains(name),
                    "{name} stands on the {sheet} sheet"
                );
            }
        }
    }
}

/// Nothing that anybody told, no note and no word of a condition.
#[rstest]
fn the_room_and_the_props_say_nothing_that_was_told(
    #[values("room", "props", "record")] sheet: &str,
    #[values("tuesday-wind-down", "ten-past-one")] case: &str,
) {
    let planned = Planned::case(case);
    let mut told: Vec<String> = Vec::new();
    for caution in &planned.adapted.cautions {
        let mut rest = caution.text.as_str();
        while let Some((_, after)) = rest.split_once('“') {
            let (quoted, after) = after.split_once('”').unwrap_or((after, ""));
            told.push(quoted.to_lowercase());
            rest = after;
        }
    }
    let notes = planned.adapted.students.iter();
    told.extend(notes.filter_map(|student| student.note.as_ref().map(|note| note.to_lowercase())));
    for limitation in library().limitations.values() {
        let condition = limitation.kind == kindfold::library::rule::LimitationKind::Condition;
        if condition && limitation.name != "heart" {
            told.push(limitation.name.to_lowercase());
        }
    }
    assert!(told.len() > 30, "the search looks for something");
    for form in planned.forms(sheet) {
        // The stop signs are the same for every class and speak of the body.
        let text = visible(&form).to_lowercase();
        for words in &told {
            assert!(
                !text.contains(words.as_str()),
                "“{words}” stands on the {sheet} sheet"
            );
        }
    }
}

#[rstest]
fn a_confidential_person_stands_on_their_own_pages_only(
    #[values("room", "props", "record", "cards")] sheet: &str,
) {
    let planned = Planned::case("tuesday-wind-down");
    for form in planned.forms(sheet) {
        assert!(!words(&form).contains("aoife"), "{sheet}");
        assert!(!words(&form).contains("ao"), "{sheet}");
    }
    for own in ["teacher", "cautions"] {
        for form in planned.forms(own) {
            assert!(words(&form).contains("aoife"), "{own}");
        }
    }
    let card = page_text::text(&planned.card_of("Aoife"), 80);
    assert!(card.starts_with("Aoife\n"));
    // Floor pages: no short name of hers either.
    let html = teacher_html::html(&planned.sheet(), library(), Print::default());
    let (_, floor) = html
        .split_once("class=\"newpage\"")
        .expect("floor pages follow");
    assert!(!words(floor).contains("ao"));
}

#[rstest]
fn a_card_holds_its_owner_alone(#[values("tuesday-wind-down", "ten-past-one")] case: &str) {
    let planned = Planned::case(case);
    let cards = planned.document("cards");
    assert!(!cards.pages.is_empty());
    let names: Vec<&str> = planned
        .adapted
        .students
        .iter()
        .map(|s| s.name.as_str())
        .collect();
    for page in &cards.pages {
        let alone = Document {
            pages: vec![page.clone()],
            ..cards.clone()
        };
        let found = words(&page_text::text(&alone, 80));
        for name in &names {
            let first = name
                .split_whitespace()
                .next()
                .unwrap_or(name)
                .to_lowercase();
            let owner = page.title.to_lowercase().starts_with(&first);
            assert!(
                owner || !found.contains(&first),
                "{name} on the card of {}",
                page.title
            );
        }
        for condition in library().limitations.values() {
            let is_condition = condition.kind == kindfold::library::rule::LimitationKind::Condition;
            let lines = page_text::text(&alone, 80).to_lowercase();
            let before_words = lines.split("you told us").next().unwrap_or("").to_owned();
            assert!(!is_condition || !before_words.contains(&condition.name.to_lowercase()));
        }
    }
}

const SMALL_CLASS: &str = "
title: Small
date: 2026-05-12
start: \"10:00\"
minutes: 20
sections:
  - name: All
    steps:
      - {posture: mountain, breaths: 5}
      - {posture: downward dog, breaths: 5}
      - {posture: child's pose, breaths: 5}
      - {posture: easy seat, breaths: 5}
      - {posture: final rest, minutes: 5}
";

fn small_roster(private: &str) -> String {
    format!(
        "recorded: 2026-05-01\nstudents:\n  - {{name: Quibble, limitations: []}}\n  - {{name: Wexford, limitations: []}}\n  - {{name: Zander, confidential: true, limitations: [{private}]}}\n"
    )
}

/// With or without what they told, nobody else's sheets change.
#[rstest]
#[case("{what: wrist, side: both}")]
#[case("{what: knee, side: left}")]
#[case("{what: glaucoma, side: both}")]
fn a_confidential_person_leaves_no_trace(#[case] told: &str) {
    let with = Planned::new(SMALL_CLASS, &small_roster(told), None);
    let without = Planned::new(SMALL_CLASS, &small_roster(""), None);
    let zander = |planned: &Planned| {
        let students = planned.adapted.students.iter();
        students
            .clone()
            .find(|s| s.name == "Zander")
            .map(|s| s.stray_share)
    };
    assert_ne!(
        zander(&with),
        zander(&without),
        "what was told changes their way"
    );
    for sheet in ["room", "props", "record", "cards"] {
        assert_eq!(with.forms(sheet), without.forms(sheet), "{sheet}");
    }
}

/// Which of two people has which need is not to be read from what hangs in the room.
#[rstest]
#[case("ten-past-one", "Siobhán", "Pradeep")]
#[case("ten-past-one", "Gwendolen", "Malik")]
#[case("tuesday-wind-down", "Kwame", "Rohan")]
fn the_page_reads_the_same_when_two_people_swap_names(
    #[case] case: &str,
    #[case] one: &str,
    #[case] other: &str,
) {
    let roster = file(case, "roster.yaml");
    let swapped = roster
        .replace(&format!("name: {one}"), "name: Nobodyelse")
        .replace(&format!("name: {other}"), &format!("name: {one}"))
        .replace("name: Nobodyelse", &format!("name: {other}"));
    assert_ne!(roster, swapped);
    let (class, props) = (file(case, "class.yaml"), file(case, "props.yaml"));
    let before = Planned::new(&class, &roster, Some(&props));
    let after = Planned::new(&class, &swapped, Some(&props));
    for sheet in ["room", "props"] {
        assert_eq!(before.forms(sheet), after.forms(sheet), "{sheet}");
    }
}

/// A few people are never counted out: numbers below three are not printed of what people fetch.
#[test]
fn a_small_number_of_props_points_to_nobody() {
    let planned = Planned::new(
        SMALL_CLASS,
        "recorded: 2026-05-01\nstudents:\n  - {name: Quibble, limitations: []}\n  - {name: Wexford, limitations: [{what: wrist, side: both}]}\n",
        None,
    );
    let text = page_text::text(&planned.document("props"), 80);
    assert!(text.contains("up to 3"), "{text}");
    for small in ["1 chair", "2 chairs", "1 block", "2 blocks"] {
        assert!(!text.contains(&format!(" {small} ")), "{text}");
    }
}

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
    let screen: String = text::teacher(&sheet, 200);
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

/// Left and right of figure and words, read from one page: who faces the reader has their left on
/// the reader's right, and the foot in front is on the side that the words say leads.
#[rstest]
#[case("warrior-ii")]
#[case("extended-side-angle")]
#[case("tree")]
#[case("triangle")]
fn left_and_right_of_figure_and_words_agree(#[case] id: &str) {
    use kindfold::words::Side;
    let posture = library().postures.get(id).expect("the posture is there");
    for side in [Side::Left, Side::Right] {
        let page = kindfold::sheets::posture::html(library(), posture, side);
        let (said, other) = match side {
            Side::Left => ("left", "right"),
            _ => ("right", "left"),
        };
        let label = page
            .split("aria-label=\"")
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .expect("the figure says its shape");
        let lead = posture.lead.as_deref().expect("it has sides");
        assert!(label.contains(&format!("{lead} {said}")), "{label}");
        assert!(!label.contains(&format!("{lead} {other}")), "{label}");
        let at = |letter: char| -> f64 {
            let text = page
                .split("<text ")
                .find(|text| text.contains(&format!(">{letter}</text>")))
                .expect("the figure has both letters");
            let x = text
                .split("x=\"")
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            x.and_then(|x| x.parse().ok())
                .expect("a letter has its place")
        };
        let (left, right) = (at('L'), at('R'));
        if label.contains("Seen from the front.") {
            assert!(
                left > right,
                "{id} {said}: facing, its left is on the reader's right"
            );
        } else {
            assert!(label.contains("Seen from behind."), "{id}: {label}");
            assert!(
                left < right,
                "{id} {said}: from behind, its left is on the reader's left"
            );
        }
    }
}

/// The leg that the words say stands is the one whose letter stands lower in the figure.
#[rstest]
#[case("tree")]
#[case("half-moon")]
fn the_standing_leg_of_the_words_is_that_of_the_figure(#[case] id: &str) {
    use kindfold::words::Side;
    let posture = library().postures.get(id).expect("the posture is there");
    for (side, stands, lifted, said) in [
        (Side::Left, 'L', 'R', "standing leg left"),
        (Side::Right, 'R', 'L', "standing leg right"),
    ] {
        let page = kindfold::sheets::posture::html(library(), posture, side);
        assert!(page.contains(said), "{id}: {said}");
        let height = |letter: char| -> f64 {
            let text = page
                .split("<text ")
                .find(|text| text.contains(&format!(">{letter}</text>")))
                .expect("the figure has both letters");
            let y = text
                .split(" y=\"")
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            y.and_then(|y| y.parse().ok())
                .expect("a letter has its place")
        };
        assert!(height(stands) > height(lifted), "{id}, {said}");
    }
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
