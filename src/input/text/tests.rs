use super::*;
use rstest::rstest;

fn source(text: &str) -> Source {
    Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file")
}

fn line(source: &Source, fault: Range<usize>, shown: bool, scalars: &[Scalar]) -> Line {
    let fault = Fault {
        range: fault,
        shown,
    };
    let read_to = scalars.last().map_or(0, |scalar| scalar.range.end);
    source
        .place(&fault, scalars, read_to)
        .line
        .expect("a fault has a line")
}

#[test]
fn bytes_become_lines_and_columns() {
    let source = source("\u{feff}a: ü\r\nbb: 2\rc: 3\n");
    assert_eq!(source.text(), "a: ü\nbb: 2\nc: 3\n");
    let places: Vec<usize> = [0, 3, 6, 7, 12].map(|byte| source.line_of(byte)).to_vec();
    assert_eq!(places, [1, 1, 2, 2, 3]);
    let line = line(&source, 7..7, false, &[]);
    assert_eq!((line.number, line.column), (2, 2));
}

#[test]
fn everything_but_the_fault_is_masked() {
    let text = "- {what: knee, Marie: sore, side: \"le\"} # told me";
    let source = source(text);
    let at = |word: &str| {
        let start = text.find(word).expect("the word is there");
        start..start + word.len()
    };
    let scalar = |word: &str, is_key| Scalar {
        range: at(word),
        is_key,
    };
    let scalars = [
        scalar("what", true),
        scalar("knee", false),
        scalar("Marie", true),
        scalar("sore", false),
        scalar("side", true),
        scalar("\"le\"", false),
    ];
    let drawn = line(&source, at("\"le\""), true, &scalars);
    assert_eq!(drawn.before, "- {what: ····, ····: ····, side: ");
    assert_eq!(drawn.after, "\"le\"} # ····");
    let hidden = line(&source, at("\"le\""), false, &scalars);
    assert_eq!(hidden.after, "····} # ····");
}

#[test]
fn an_unread_line_keeps_plain_keys_only() {
    let source = source("note: sore knee, since May: bad \"all of it");
    let line = line(&source, 0..0, false, &[]);
    assert_eq!(line.after, "note: ····, ····: ····");
}

#[test]
fn a_hash_inside_a_word_ends() {
    let source = source("a ,!#b: c");
    let line = line(&source, 0..1, true, &[]);
    assert_eq!(line.after, "···· ,!····: ····");
}

#[test]
fn a_file_that_is_no_text_says_so() {
    let code = |bytes: &[u8]| Source::from_bytes("f", bytes).map_err(|p| p.code);
    assert_eq!(code(b"a\n\xff"), Err(Code::NotUtf8));
    assert_eq!(code(b" \n \n"), Err(Code::FileEmpty));
    // 1 MiB is 1024 times 1024 bytes.
    assert_eq!(code(&vec![b'a'; 1_048_577]), Err(Code::FileTooLarge));
    assert!(code(&vec![b'a'; 1_048_576]).is_ok());
}

#[rstest]
#[case(
    b"PK\x03\x04...",
    "this is a spreadsheet, a document or another packed file, whatever its name ends in"
)]
#[case(
    b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1...",
    "this is an older spreadsheet or document, whatever its name ends in"
)]
#[case(b"%PDF-1.7", "this is a PDF, whatever its name ends in")]
#[case(
    b"{\\rtf1",
    "this is a document of a word processor (RTF), whatever its name ends in"
)]
#[case(b"\xff\xfea\0", "the file is saved as UTF-16")]
#[case(b"\xfe\xff\0a", "the file is saved as UTF-16")]
#[case(b"ab\nc\n\xff", "the file is not UTF-8 text (line 3)")]
fn a_file_of_another_make_is_named(#[case] bytes: &[u8], #[case] message: &str) {
    let problem = Source::from_bytes("f", bytes).expect_err("it is no text");
    assert_eq!(problem.message, message);
}

#[test]
fn a_file_is_read_up_to_one_byte_too_many() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let path = folder.path().join("f.txt");
    fs::write(&path, "abcdef").expect("a file for the test");
    assert_eq!(read_bytes(&path, 6), Ok(b"abcdef".to_vec()));
    assert_eq!(read_bytes(&path, 4), Ok(b"abcde".to_vec()));
    let source = read_file(&path).expect("it is a good file");
    assert_eq!(source.text(), "abcdef");
    assert_eq!(source.name(), path.display().to_string());
    let code = |path: &Path| read_bytes(path, 6).map_err(|p| p.code);
    assert_eq!(code(folder.path()), Err(Code::FileIsFolder));
    let missing = folder.path().join("g.txt");
    assert_eq!(code(&missing), Err(Code::FileMissing));
}

#[test]
fn lines_come_without_their_ends() {
    let source = source("a: x\nb: y\n");
    let lines: Vec<_> = source.lines().collect();
    assert_eq!(lines, [(0, "a: x"), (5, "b: y"), (10, "")]);
    let first = line(&source, 0..0, false, &[]);
    assert_eq!(
        (first.before.as_str(), first.after.as_str()),
        ("", "a: ····")
    );
}

/// At the end of the file: the last line that says something. In a letter: where it begins.
#[test]
fn a_fault_has_its_line_and_column() {
    let source = source("a: ü\nb: y\n\n");
    let place = |byte: usize| {
        let line = line(&source, byte..byte, false, &[]);
        (line.number, line.column)
    };
    assert_eq!(place(source.text().len()), (2, 5));
    assert_eq!(place(4), (1, 4));
}

/// A word that the fault stands in is drawn behind the mark, masked as one.
#[rstest]
#[case(6, "note: ", "····, ····")]
#[case(8, "note: ", "····, ····")]
#[case(12, "note: ····, ", "····")]
fn the_mark_stands_between_words(#[case] byte: usize, #[case] before: &str, #[case] after: &str) {
    let source = source("note: knee, x");
    let line = line(&source, byte..byte, false, &[]);
    assert_eq!((line.before.as_str(), line.after.as_str()), (before, after));
}

#[test]
fn a_word_in_brackets_without_a_colon_is_masked() {
    let source = source("{what: knee, sore}");
    let scalar = |range, is_key| Scalar { range, is_key };
    let scalars = [
        scalar(1..5, true),
        scalar(7..11, false),
        scalar(13..17, true),
    ];
    let line = line(&source, 0..0, false, &scalars);
    assert_eq!(line.after, "{what: ····, ····}");
}

/// A text in quotation marks is one value, whatever it holds; signs stay.
#[rstest]
#[case("note: sore # told me", "note: ···· # ····")]
#[case("note: \"sore: knee\" x", "note: ···· ····")]
#[case("note: 'sore: knee' x", "note: ···· ····")]
#[case("a ,!\"b, c", "···· ,!\"····, ····")]
fn quotes_and_comments_of_an_unread_line_are_masked(#[case] text: &str, #[case] shown: &str) {
    assert_eq!(line(&source(text), 0..0, false, &[]).after, shown);
}

#[rstest]
#[case("what", true)]
#[case("above_deg", true)]
#[case("side-2", true)]
#[case("", false)]
#[case("Marie", false)]
#[case("sore knee", false)]
#[case("myMarie", false)]
#[case("2nd", false)]
fn a_plain_key_is_one_small_word(#[case] key: &str, #[case] plain: bool) {
    assert_eq!(is_plain_key(key), plain);
}

#[rstest]
#[case('\u{a0}', true)]
#[case('\u{202f}', true)]
#[case(' ', false)]
#[case('\t', false)]
#[case('\n', false)]
#[case('\r', false)]
#[case('x', false)]
fn a_hard_space_is_no_plain_one(#[case] c: char, #[case] hard: bool) {
    assert_eq!(is_hard_space(c), hard);
}
