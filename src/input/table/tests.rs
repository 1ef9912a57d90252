//! Faults of fields, one by one and together.

use super::*;
use crate::words::Severity;
use rstest::rstest;

fn document(text: &str) -> Document {
    let source =
        Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file");
    Document::read(source).expect("the test's text is good YAML")
}

/// The table under the key `a`.
fn under_a(document: &Document) -> Table<'_> {
    let mut root = document.root().table().expect("a table");
    let field = root.get("a").expect("the key");
    field.table().expect("a table")
}

fn messages(document: &Document) -> Vec<String> {
    document
        .problems()
        .iter()
        .map(|p| format!("{} | {}", p.message, p.help))
        .collect()
}

#[test]
fn all_faults_of_a_table_are_found() {
    let document = document(
        "minutes: four\ntitle:\nsteps: 3\nseverity: sevre\nholdd: 2\nkeep: maybe\nblock: -1\nmat: 2.5\n",
    );
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.required::<f64>("minutes"), None);
    assert_eq!(table.optional::<String>("title"), None);
    assert!(table.list("steps").is_empty());
    assert_eq!(table.optional::<Severity>("severity"), None);
    assert_eq!(table.optional::<f64>("hold"), None);
    assert_eq!(table.required::<String>("name"), None);
    assert!(!table.flag("keep", false));
    assert_eq!(table.optional::<u32>("block"), None);
    assert_eq!(table.optional::<u32>("mat"), None);
    table.done();
    assert_eq!(
        messages(&document),
        [
            "“minutes” needs a number, not “four” | Write it in digits, without quotation marks or a unit.",
            "nothing is written after “title” | Write its value, or take the key out.",
            "“steps” needs a list, not “3” | Write its entries one a line, each after “- ”, or in square brackets.",
            "“sevre” is not a severity | Write mild, moderate or acute.",
            "“name” is missing here | Add “name: …”, a text.",
            "“keep” needs yes or no, not “maybe” | Write yes or no.",
            "“block” can’t be below 0 | Write a whole number, 0 or more.",
            "“mat” needs a whole number, not “2.5” | Write it in digits, without quotation marks or a unit.",
            "“holdd” is not a key here | Did you mean “hold”?",
        ]
    );
}

#[test]
fn paths_lead_into_lists_and_maps() {
    let document = document("rules:\n  - {limit: {above_deg: 90}, props: {block: x}}\n");
    let mut table = document.root().table().expect("a table");
    let rules = table.list("rules");
    let mut rule = rules[0].table().expect("a table");
    let limit = rule.get("limit").expect("it is there");
    limit.problem_at("above_deg", Code::OutOfRange, "too wide", "Less.");
    for (_, count) in rule.map("props") {
        assert_eq!(count.read::<u32>(), None);
        assert_eq!(count.path(), "rules[0].props.block");
    }
    rule.done();
    let columns: Vec<_> = document
        .problems()
        .iter()
        .map(|p| p.place.line.as_ref().map(|line| line.column))
        .collect();
    assert_eq!(columns, [Some(25), Some(45)]);
}

#[test]
fn a_list_where_a_word_belongs_shows_nothing_of_it() {
    let document = document("name: [sore, knee]\n");
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.required::<String>("name"), None);
    let text = document.problems()[0].to_string();
    assert!(text.contains("“name” needs a text, not a list"), "{text}");
    assert!(
        !text.contains("sore") && text.contains("[····, ····]"),
        "{text}"
    );
}

#[test]
fn curly_quotes_and_hard_spaces_are_named() {
    let document = document("minutes: “45”\nseverity: \u{a0}mild\u{a0}x\n“title”: x\n");
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.required::<f64>("minutes"), None);
    assert_eq!(table.optional::<Severity>("severity"), None);
    table.done();
    let codes: Vec<Code> = document.problems().iter().map(|p| p.code).collect();
    assert_eq!(
        codes,
        [Code::CurlyQuotes, Code::HardSpace, Code::CurlyQuotes]
    );
}

#[test]
fn values_are_read_as_they_are_written() {
    let document = document(
        "half: 2.5\nzero: 0\nfour: 4\nbelow: -3\nname: 42\nkeep: true\nloud: YES\nshort: No\n\
         words: '  two   words '\nlist: [1, x, 3]\n",
    );
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.required::<f64>("half"), Some(2.5));
    assert_eq!(table.optional::<u32>("zero"), Some(0));
    assert_eq!(table.optional::<u32>("four"), Some(4));
    assert_eq!(table.optional::<i64>("below"), Some(-3));
    assert_eq!(table.required::<String>("name").as_deref(), Some("42"));
    assert_eq!(table.optional::<String>("keep").as_deref(), Some("true"));
    assert_eq!(
        table.optional::<String>("words").as_deref(),
        Some("two words")
    );
    assert!(table.flag("keep", false));
    assert!(table.flag("loud", false));
    assert!(!table.flag("short", true));
    assert!(table.flag("absent", true));
    assert!(!table.flag("absent", false));
    assert_eq!(document.problems(), []);
    let list = table.get("list").expect("it is there");
    assert_eq!(list.read_all::<u32>(), [1, 3]);
    assert_eq!(document.problems().len(), 1);
    assert_eq!(document.problems(), document.into_problems());
}

#[test]
fn the_ends_of_a_range_belong_to_it() {
    let document = document("hold: [1, 5, 0, 6]\n");
    let mut table = document.root().table().expect("a table");
    let entries = table.list("hold");
    let numbers: Vec<_> = entries.iter().map(|e| e.number(1.0..=5.0)).collect();
    assert_eq!(numbers, [Some(1.0), Some(5.0), None, None]);
    let whole: Vec<_> = entries.iter().map(|e| e.whole(1..=5)).collect();
    assert_eq!(whole, [Some(1), Some(5), None, None]);
    assert_eq!(
        messages(&document),
        [
            "“hold” can’t be 0 | Write a number from 1 to 5.",
            "“hold” can’t be 6 | Write a number from 1 to 5.",
            "“hold” can’t be 0 | Write a whole number from 1 to 5.",
            "“hold” can’t be 6 | Write a whole number from 1 to 5.",
        ]
    );
}

/// Of two numbers in one text, the unit is the lesser fault.
#[rstest]
#[case("60 min", "Write it in digits, without quotation marks or a unit.")]
#[case("1h15", "Write one number in digits, as in 75 or 2.5.")]
#[case("5-8", "Write one number in digits, as in 75 or 2.5.")]
fn a_number_that_is_none_says_how_to_write_it(#[case] text: &str, #[case] help: &str) {
    let document = document(&format!("minutes: {text}\n"));
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.required::<f64>("minutes"), None);
    assert_eq!(document.problems()[0].help, help);
}

#[rstest]
#[case(
    "steps",
    "Say what is taught and how long: “- {posture: mountain, breaths: 5}”."
)]
#[case("students", "Write “- name:” before it.")]
#[case("people", "Write “key: value”, one a line.")]
fn an_entry_that_is_no_table_says_how_one_is_written(
    #[case] key: &'static str,
    #[case] help: &str,
) {
    let document = document(&format!("{key}: [x]\n"));
    let mut table = document.root().table().expect("a table");
    assert!(table.list(key)[0].table().is_none());
    assert_eq!(document.problems()[0].help, help);
}

#[rstest]
#[case("sections", "Write each part as “- name: …”, with “steps:” below it.")]
#[case(
    "limitations",
    "Write each thing on a line of its own, as in “- left knee”, or in square brackets."
)]
#[case(
    "today",
    "Write each thing on a line of its own, as in “- left knee”, or in square brackets."
)]
#[case(
    "guidance",
    "Write each on a line of its own, as in “- {from: physio, says: no deep bends}”."
)]
fn a_value_that_is_no_list_says_how_one_is_written(#[case] key: &'static str, #[case] help: &str) {
    let document = document(&format!("{key}: x\n"));
    let mut table = document.root().table().expect("a table");
    assert!(table.list(key).is_empty());
    assert_eq!(document.problems()[0].help, help);
}

#[test]
fn every_kind_of_value_is_told() {
    let document = document("a: {b: 1}\nc: [1]\nd:\ne: 'x'\n");
    let table = document.root().table().expect("a table");
    let kinds: Vec<_> = table
        .into_entries()
        .into_iter()
        .map(|(key, f)| (key, f.written(), f.is_table(), f.is_list(), f.is_empty()))
        .collect();
    let kind =
        |key: &str, written, table, list, empty| (key.to_owned(), written, table, list, empty);
    assert_eq!(
        kinds,
        [
            kind("a", "a table of keys", true, false, false),
            kind("c", "a list", false, true, false),
            kind("d", "", false, false, true),
            kind("e", "'x'", false, false, false),
        ]
    );
}

#[test]
fn a_table_where_a_number_belongs_is_said() {
    let document = document("minutes: {long: 60}\n");
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.optional::<f64>("minutes"), None);
    let text = document.problems()[0].message.clone();
    assert_eq!(text, "“minutes” needs a number, not a table of keys");
}

const FIVE: WordList<u8> = WordList {
    noun: "a colour",
    words: &[
        ("red", 1),
        ("green", 2),
        ("blue", 3),
        ("white", 4),
        ("black", 5),
    ],
};
const SIX: WordList<u8> = WordList {
    noun: "a colour",
    words: &[
        ("red", 1),
        ("green", 2),
        ("blue", 3),
        ("white", 4),
        ("black", 5),
        ("brown", 6),
    ],
};
const ANSWERS: WordList<u8> = WordList {
    noun: "an answer",
    words: &[("yes", 1), ("no", 2), ("ask", 3)],
};

#[test]
fn a_word_of_a_list_has_its_value() {
    let document = document("mat: blue\ntouch: [true, false, ask, yes, no]\n");
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.word("mat", &FIVE), Some(3));
    assert_eq!(table.word("wall", &FIVE), None);
    let answers: Vec<_> = table
        .list("touch")
        .iter()
        .map(|e| e.word(&ANSWERS))
        .collect();
    assert_eq!(answers, [Some(1), Some(2), Some(3), Some(1), Some(2)]);
    assert!(ANSWERS.known().eq(["yes", "no", "ask"]));
    assert_eq!(document.problems(), []);
}

/// Five words are all said; of six, the nearest. A yes is no word of a list without one.
#[test]
fn a_word_of_no_list_is_told_the_others() {
    let document = document("mat: [gren, true, false]\nwall: gren\n");
    let mut table = document.root().table().expect("a table");
    for entry in table.list("mat") {
        assert_eq!(entry.word(&FIVE), None);
    }
    assert_eq!(table.word("wall", &SIX), None);
    assert_eq!(
        messages(&document),
        [
            "“gren” is not a colour | Write red, green, blue, white or black.",
            "“true” is not a colour | Write red, green, blue, white or black.",
            "“false” is not a colour | Write red, green, blue, white or black.",
            "“gren” is not a colour | Did you mean “green”?",
        ]
    );
}

const PARTS: &str = "title: x\nparts:\n  - what: knee\n    5: a\n    true: b\n    no: c\n";

#[test]
fn a_table_knows_its_place_and_its_keys() {
    let document = document(PARTS);
    let root = document.root();
    assert_eq!((root.path(), root.key(), root.file_line()), ("", "", 1));
    let entry = &root.table().expect("a table").list("parts")[0];
    assert_eq!((entry.path(), entry.key()), ("parts[0]", "parts"));
    assert_eq!(entry.file_line(), 3);
    let mut table = entry.table().expect("a table");
    assert_eq!((table.path(), table.file_line()), ("parts[0]", 3));
    assert!(table.has("what") && !table.has("side"));
    assert!(table.keys().eq(["what", "5", "true", "no"]));
    let what = table.get("what").expect("it is there");
    assert_eq!((what.path(), what.key()), ("parts[0].what", "what"));
    assert_eq!(what.value(), &Value::from("knee"));
}

/// Whether its places were known from the start or are looked for now.
#[test]
fn whereabouts_name_the_file_and_the_line() {
    let source = Source::from_bytes("f.yaml", PARTS.as_bytes()).expect("it is a good file");
    let built_in = Document::read_built_in(source).expect("it is good YAML");
    for document in [document(PARTS), built_in] {
        let entry = &document.root().table().expect("a table").list("parts")[0];
        let whereabouts = entry.whereabouts();
        assert_eq!(whereabouts.to_string(), "f.yaml, line 3");
        assert!(format!("{whereabouts:?}").contains("parts[0]"));
    }
}

#[test]
fn a_key_meant_for_a_missing_one_is_said_alone() {
    let document = document("titel: x\nholds: 5\n");
    let mut table = document.root().table().expect("a table");
    assert_eq!(table.required::<String>("title"), None);
    assert!(table.need("name").is_none());
    assert!(table.need_as("breaths", "Say how long.").is_none());
    table.lacks("side", Code::MissingKey, "no side is written", "Write one.");
    table.done_with(|key| (key == "holds").then(|| Hint::new("Say it in breaths.", &["breaths"])));
    assert_eq!(
        messages(&document),
        [
            "“name” is missing here | Add “name: …”.",
            "no side is written | Write one.",
            "“titel” is not a key here | Did you mean “title”?",
            "“holds” is not a key here | Say it in breaths.",
        ]
    );
}

/// What was said of the first half of a text is taken back, and of nothing else.
#[test]
fn a_text_cut_by_a_comma_is_said_once() {
    let document = document("a: {severity: sevre, since May, for ever, weeks: few}\n");
    let mut table = under_a(&document);
    assert_eq!(table.optional::<Severity>("severity"), None);
    assert_eq!(table.optional::<f64>("weeks"), None);
    table.done();
    let said: Vec<_> = document.problems().into_iter().map(|p| p.message).collect();
    assert_eq!(
        said,
        [
            "“weeks” needs a number, not “few”",
            "“since May” stands after a comma, without a colon",
        ]
    );
}

#[test]
fn a_value_without_its_key_is_said_alone() {
    let document = document("a: {knee, side: left}\n");
    let mut table = under_a(&document);
    assert_eq!(table.required::<String>("what"), None);
    assert_eq!(table.required::<String>("on"), None);
    table.knows("side");
    table.done();
    assert_eq!(
        messages(&document),
        [
            "“on” is missing here | Add “on: …”, a text.",
            "“knee” stands here without a key | Write what it is and a colon before it, as in “what: …”.",
        ]
    );
}

#[test]
fn problems_stand_at_the_table_the_key_or_the_value() {
    let document = document("a: 1\nblok: sore knee\n");
    let mut table = document.root().table().expect("a table");
    table.problem(Code::WrongShape, "the table", "Mend it.");
    table.problem_at_key("blok", Code::WrongShape, "the key", "Mend it.");
    let field = table.need("blok").expect("it is there");
    field.problem(Code::WrongShape, "the value", "Mend it.");
    field.hidden_problem(Code::WrongShape, "the hidden value", "Mend it.");
    field.unknown_key(
        Code::UnknownProp,
        "blok",
        "a known prop",
        ["block", "strap"],
    );
    let found: Vec<_> = document
        .problems()
        .into_iter()
        .filter_map(|p| Some((p.message, p.place.line?)))
        .map(|(message, line)| (message, line.number, line.column, line.after))
        .collect();
    let at = |message: &str, line: usize, column: usize, after: &str| {
        (message.to_owned(), line, column, after.to_owned())
    };
    assert_eq!(
        found,
        [
            at("the table", 1, 1, "a: ····"),
            at("the key", 2, 1, "blok: ····"),
            at("the value", 2, 7, "sore knee"),
            at("the hidden value", 2, 7, "····"),
            at("“blok” is not a known prop", 2, 1, "blok: ····"),
        ]
    );
    assert_eq!(document.problems()[4].help, "Did you mean “block”?");
}
