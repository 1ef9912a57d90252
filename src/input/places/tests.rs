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
    assert_eq!(places.value("missing"), places.value(""));
    assert!(at("missing").starts_with("title: "));
    assert_eq!(places.scalars().len(), 10);
    assert_eq!(places.read_to(), text.len());
    assert_eq!(Places::default().value("end"), 0..0);
}

/// What stands behind a quoted text on its line is no part of it.
#[test]
fn a_quoted_text_ends_at_its_quotation_mark() {
    let (source, places, problems) = read("x: \"a \\\" b\"   # why\ny: 'a\\'   # why\n");
    assert_eq!(problems, []);
    assert_eq!(source.slice(places.value("x")), "\"a \\\" b\"");
    assert_eq!(source.slice(places.value("y")), "'a\\'");
}

#[test]
fn words_without_a_colon_are_told_apart() {
    let (_, places, problems) = read("m: {note: a, b, c, d: 1}\nn: {knee, side: [left], e}\n");
    assert_eq!(problems, []);
    let rest_of_note = Cut::RestOf("m.note".into());
    assert_eq!(places.cut("m.note"), None);
    assert_eq!(places.cut("m.b"), Some(&rest_of_note));
    assert_eq!(places.cut("m.c"), Some(&Cut::RestOfRest));
    assert_eq!(places.cut("m.d"), None);
    assert_eq!(places.cut("n.knee"), Some(&Cut::NoKey));
    assert_eq!(places.cut("n.side"), None);
    assert_eq!(places.cut("n.e"), Some(&Cut::NoKey));
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
#[case("a: &x [1]\n", Code::FancyYaml, 1, 4)]
#[case("a: !x {b: 1}\n", Code::FancyYaml, 1, 4)]
#[case("a:\n  \tb: 2\n", Code::Tab, 2, 3)]
#[case("a:\n \u{a0}b: 2\n", Code::HardSpace, 2, 2)]
#[case("a: [1, 2", Code::NotClosed, 1, 4)]
#[case("a:\n  b: 1\n  foo\n", Code::NotYaml, 3, 3)]
#[case("x: 1\na: b: c\n", Code::NotYaml, 2, 5)]
#[case("s:\n  - posture: tree, breaths: 5}\n", Code::NotYaml, 2, 5)]
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

#[rstest]
#[case(
    "a: \"b\\q\"\n",
    "a backslash stands in front of a sign it can’t go with"
)]
#[case("a: \"x\" y\n", "something follows a closing quotation mark")]
#[case("a: @x\n", "a text can’t begin with @")]
#[case("a: %x\n", "a text can’t begin with %")]
#[case("a: 1\n]\n", "a bracket closes here that was never opened")]
#[case(
    "a:\n    b: 1\n  c: 2\n",
    "this line is indented in a way that fits no line above"
)]
#[case(
    "a:\n  - x\n b: 1\n",
    "this line is indented in a way that fits no line above"
)]
#[case("note: sore, since May: bad\n", "a second colon stands in this line")]
#[case("posture: tree, breaths: 5\n", "two keys stand on one line")]
#[case("a:\n\tb: 1\n", "a tab stands where spaces belong")]
#[case("a:\n\u{a0}b: 1\n", "a hard space stands where a plain one belongs")]
fn a_broken_file_says_what_is_wrong(#[case] text: &str, #[case] message: &str) {
    let (_, _, problems) = read(text);
    let said: Vec<_> = problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(said, [message]);
}

#[test]
fn tabs_and_hard_spaces_are_counted_each_by_themselves() {
    let (_, _, problems) = read("a:\n\tb: 1\n\tc: 2\n\td: 3\n\u{a0}e: 4\n\u{a0}f: 5\n");
    let said: Vec<_> = problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(
        said,
        [
            "a tab stands where spaces belong, and on 2 more lines",
            "a hard space stands where a plain one belongs, and on 1 more line",
        ]
    );
}

#[test]
fn tabs_on_empty_lines_and_before_comments_do_no_harm() {
    let (_, _, problems) = read("a: 1\n  \t\n   \t# x\nb: 2\n");
    assert_eq!(problems, []);
}

#[test]
fn a_file_is_as_deep_as_it_may_be() {
    let deep = |levels: usize| {
        let text = format!("{}{}", "[".repeat(levels), "]".repeat(levels));
        read(&text).2.first().map(|p| p.code)
    };
    assert_eq!(deep(32), None);
    assert_eq!(deep(33), Some(Code::TooDeep));
}
