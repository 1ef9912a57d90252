use super::*;
use rstest::rstest;

fn read(text: &str) -> (Source, Places, Vec<Problem>) {
    let source =
        Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file");
    let (places, problems) = read_places(&source);
    (source, places, problems)
}

#[test]
fn every_path_has_its_place() {
    let text =
        "title: Ü \"x\"\nsections:\n  - name: 'it''s'   # why\n    steps: [{a: 1}, b]\nend:\n";
    let (source, places, problems) = read(text);
    assert_eq!(problems, []);
    let at = |path: &str| source.slice(places.value(path));
    assert_eq!(at("title"), "Ü \"x\"");
    assert_eq!(at("sections[0].name"), "'it''s'");
    assert_eq!(at("sections[0].steps[0].a"), "1");
    assert_eq!(at("sections[0].steps[1]"), "b");
    assert_eq!(at("sections[0].steps[0].missing"), "{a: 1}");
    assert_eq!(at("end"), "end");
    assert_eq!(source.slice(places.key("sections[0].steps")), "steps");
    assert!(places.is_scalar(&places.value("title")));
    assert!(!places.is_scalar(&places.value("sections[0].steps[0]")));
}

#[rstest]
#[case("a: 1\nb: 2\na: 3\n", Code::RepeatedKey, 3, 1)]
#[case("m: {x: 1, x: 2}\n", Code::RepeatedKey, 1, 11)]
#[case("a: &x 1\nb: *x\n", Code::FancyYaml, 1, 4)]
#[case("a: *x\n", Code::FancyYaml, 1, 4)]
#[case("a: !!str 1\n", Code::FancyYaml, 1, 4)]
#[case("a: 1\n---\nb: 2\n", Code::SecondDocument, 2, 1)]
#[case("a:\n\tb: 2\n", Code::Tab, 2, 1)]
#[case("a:\t1\n", Code::Tab, 1, 3)]
#[case("a:\n\u{a0} b: 2\n", Code::HardSpace, 2, 1)]
#[case("a: {b: 1, c: [2\nd: 3\n", Code::NotClosed, 1, 14)]
#[case("a: [1, 2\n", Code::NotClosed, 1, 4)]
#[case("a: \"never closed\nb: 3\n", Code::NotClosed, 1, 4)]
#[case("a: {b: 1 c: 2}\n", Code::NotYaml, 1, 11)]
#[case("a: b: c\n", Code::NotYaml, 1, 5)]
#[case("a: @x\n", Code::NotYaml, 1, 4)]
#[case("a: 1\nfoo\n", Code::NotYaml, 2, 1)]
#[case("a: 1\n  b: 2\n", Code::NotYaml, 2, 3)]
#[case("a:\n  - x\n b: 1\n", Code::NotYaml, 3, 2)]
#[case("? {a: b}\n: c\n", Code::NotYaml, 1, 3)]
fn broken_files_are_refused_at_their_place(
    #[case] text: &str,
    #[case] code: Code,
    #[case] line: usize,
    #[case] column: usize,
) {
    let (_, _, problems) = read(text);
    let found: Vec<_> = problems
        .iter()
        .map(|p| (p.code, p.place.line.as_ref().map(|l| (l.number, l.column))))
        .collect();
    assert_eq!(found, [(code, Some((line, column)))], "{problems:?}");
}

#[rstest]
#[case("[".repeat(100_000))]
#[case("{steps: [".repeat(100_000))]
#[case("- ".repeat(100_000))]
fn deep_files_are_refused_at_once(#[case] text: String) {
    let (_, _, problems) = read(&text);
    assert_eq!(problems.first().map(|p| p.code), Some(Code::TooDeep));
}
