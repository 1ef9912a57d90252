//! Text files of cells: the encoding, the sign between cells, the records.
//!
//! Takes bytes; gives back a [`Sheet`]. Invariant: an encoding that had to be supposed is said.

use super::sheet::{Cell, MOST_ROWS, Row, Sheet, problem};
use crate::problem::{Code, Problem};

/// What can stand between cells, most usual first.
const SIGNS: [u8; 3] = [b',', b';', b'\t'];
/// Records that are looked at to find the sign.
const LOOKED_AT: usize = 50;

/// Reads a CSV file.
///
/// # Errors
/// A file that is no table of text.
pub(super) fn read(name: &str, bytes: &[u8]) -> Result<Sheet, Problem> {
    if let Some(problem) = another_form(name, bytes) {
        return Err(problem);
    }
    let (text, notice) = decoded(bytes).ok_or_else(|| not_text(name))?;
    if text.contains('\0') {
        return Err(not_text(name));
    }
    // Spreadsheets may write the sign between cells as a first line of its own.
    let (said, text) = match text
        .strip_prefix("sep=")
        .and_then(|rest| rest.split_once('\n'))
    {
        Some((sign, rest)) if sign.trim_end_matches('\r').len() == 1 => (sign.bytes().next(), rest),
        _ => (None, text.as_str()),
    };
    let sign = said.unwrap_or_else(|| sign_between(text));
    let mut sheet = Sheet {
        name: name.to_owned(),
        notices: notice.map(str::to_owned).into_iter().collect(),
        rows: Vec::new(),
    };
    for record in records(text, sign) {
        // Reading from text in memory, only unequal lengths could fail, and they are taken.
        let Ok(record) = record else {
            return Err(not_text(name));
        };
        let number = record.position().map_or(0, csv::Position::line);
        let row = Row {
            number: usize::try_from(number).unwrap_or(usize::MAX) + usize::from(said.is_some()),
            cells: record.iter().map(Cell::of).collect(),
        };
        if row.cells.iter().any(|cell| !cell.text.is_empty()) {
            sheet.rows.push(row);
        }
        if sheet.rows.len() > MOST_ROWS {
            break;
        }
    }
    Ok(sheet)
}

fn records(text: &str, sign: u8) -> csv::StringRecordsIntoIter<&[u8]> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(sign)
        .from_reader(text.as_bytes())
        .into_records()
}

/// The sign by which most of the first records have the same number of cells, above one.
fn sign_between(text: &str) -> u8 {
    let score = |sign: u8| {
        let mut lengths: Vec<usize> = records(text, sign)
            .take(LOOKED_AT)
            .filter_map(Result::ok)
            .map(|record| record.len())
            .filter(|&length| length > 1)
            .collect();
        lengths.sort_unstable();
        let runs = lengths.chunk_by(|a, b| a == b);
        runs.map(|run| (run.len(), run.first().copied().unwrap_or(0)))
            .max()
            .unwrap_or((0, 0))
    };
    let mut best = (b',', (0, 0));
    for sign in SIGNS {
        let found = score(sign);
        if found > best.1 {
            best = (sign, found);
        }
    }
    best.0
}

/// UTF-8, UTF-16 with its mark, or Windows-1252, with what to say about it.
fn decoded(bytes: &[u8]) -> Option<(String, Option<&'static str>)> {
    let wide = |read: fn([u8; 2]) -> u16, rest: &[u8]| {
        let units: Vec<u16> = rest
            .as_chunks::<2>()
            .0
            .iter()
            .map(|pair| read(*pair))
            .collect();
        String::from_utf16(&units).ok().map(|text| (text, None))
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => return wide(u16::from_le_bytes, rest),
        [0xfe, 0xff, rest @ ..] => return wide(u16::from_be_bytes, rest),
        _ => {}
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Some((text.to_owned(), None));
    }
    let text: Option<String> = bytes.iter().map(|&byte| windows_1252(byte)).collect();
    text.map(|text| {
        (
            text,
            Some(
                "The file is not UTF-8 and was read as Windows-1252: look whether accents and \
                 umlauts came out right. “CSV UTF-8” in the spreadsheet’s save dialog avoids this.",
            ),
        )
    })
}

/// A byte of Windows-1252; none for the five that it leaves undefined (Unicode Consortium,
/// mapping table CP1252.TXT).
fn windows_1252(byte: u8) -> Option<char> {
    const HIGH: &str = "€\0‚ƒ„…†‡ˆ‰Š‹Œ\0Ž\0\0‘’“”•–—˜™š›œ\0žŸ";
    match byte {
        0x80..=0x9f => HIGH
            .chars()
            .nth(usize::from(byte - 0x80))
            .filter(|&c| c != '\0'),
        _ => Some(char::from(byte)),
    }
}

fn not_text(name: &str) -> Problem {
    problem(
        name,
        Code::NotASheet,
        "this is no table of text",
        "Save the sign-up sheet as CSV, XLSX or ODS.",
    )
}

/// A file that is plainly something else: its own message.
fn another_form(name: &str, bytes: &[u8]) -> Option<Problem> {
    let encrypted: Vec<u8> = "EncryptedPackage"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    if bytes.starts_with(b"\xd0\xcf\x11\xe0") {
        let is_locked = bytes
            .windows(encrypted.len())
            .any(|window| window == encrypted);
        return Some(if is_locked {
            locked(name)
        } else {
            problem(
                name,
                Code::NotASheet,
                "this is a spreadsheet in the old .xls form",
                "Open it and save it as XLSX, ODS or CSV.",
            )
        });
    }
    let what = match bytes {
        [b'%', b'P', b'D', b'F', ..] => "this is a PDF",
        [b'{', b'\\', b'r', b't', b'f', ..] => "this is a text document",
        [0x89, b'P', b'N', b'G', ..] | [0xff, 0xd8, 0xff, ..] => "this is a picture",
        [b'<', ..] => "this is a web page or XML",
        _ => return None,
    };
    Some(problem(
        name,
        Code::NotASheet,
        what,
        "Save the sign-up sheet as CSV, XLSX or ODS; a photo or a print has to be typed first.",
    ))
}

/// A file behind a password.
pub(super) fn locked(name: &str) -> Problem {
    problem(
        name,
        Code::SheetLocked,
        "this sheet is locked with a password",
        "Open it in the spreadsheet and save a copy without a password; delete that copy afterwards.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    fn cells(bytes: &[u8]) -> Vec<Vec<String>> {
        let sheet = read("s.csv", bytes).expect("the test's sheet is a table");
        let texts = |row: &Row| row.cells.iter().map(|cell| cell.text.clone()).collect();
        sheet.rows.iter().map(texts).collect()
    }

    #[rstest]
    #[case(b"Name,Side\nZo\xc3\xab,left\n")]
    #[case(b"\xef\xbb\xbfName;Side\r\nZo\xc3\xab;left\r\n")]
    #[case(b"Name\tSide\nZo\xc3\xab\tleft\n")]
    #[case(b"sep=;\nName;Side\nZo\xc3\xab;left\n")]
    #[case(b"Name;Side\nZo\xeb;left\n")]
    #[case(b"\xff\xfeN\0a\0m\0e\0\t\0S\0i\0d\0e\0\n\0Z\0o\0\xeb\0\t\0l\0e\0f\0t\0")]
    fn signs_and_encodings_come_to_the_same(#[case] bytes: &[u8]) {
        assert_eq!(cells(bytes), [["Name", "Side"], ["Zoë", "left"]]);
    }

    #[test]
    fn commas_inside_words_do_not_hide_the_sign() {
        let text = "Name;Words\nA;\"knee, hip, and more\"\nB;back, neck\n";
        assert_eq!(cells(text.as_bytes()).last().map(Vec::len), Some(2));
    }

    #[rstest]
    #[case(b"%PDF-1.7", Code::NotASheet)]
    #[case(b"\x00\x01\x02", Code::NotASheet)]
    #[case(b"<html>", Code::NotASheet)]
    #[case(b"\xd0\xcf\x11\xe0 x", Code::NotASheet)]
    #[case(
        b"\xd0\xcf\x11\xe0 E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e\0",
        Code::SheetLocked
    )]
    fn another_kind_of_file_is_named(#[case] bytes: &[u8], #[case] code: Code) {
        assert_eq!(read("s", bytes).map_err(|p| p.code), Err(code));
    }
}
