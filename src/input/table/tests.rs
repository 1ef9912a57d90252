//! Faults of fields, one by one and together.

use super::*;
use crate::words::Severity;

fn document(text: &str) -> Document {
    let source =
        Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file");
    Document::read(source).expect("the test's text is good YAML")
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
