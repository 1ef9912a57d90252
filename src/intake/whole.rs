//! Whether the tables of a spreadsheet are whole, and their cells where a cell can be.
//!
//! The reader of spreadsheets looks for the end of a table for ever where a file has none, and counts past
//! its numbers in the name of a cell that is too long. Such a file is turned away before it is read.

use std::io::{BufReader, Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

/// The last cell of a sheet is “XFD1048576”: so many letters and digits a name has at most (limits of the
/// usual programs, from memory).
const CELL_LETTERS: usize = 3;
const CELL_DIGITS: usize = 7;

/// Whether every element of a part ends where it must, within `most` bytes unpacked, and names cells that
/// can be.
pub(super) fn is_whole(bytes: &[u8], part: &str, most: u64) -> bool {
    let Ok(mut packed) = ZipArchive::new(Cursor::new(bytes)) else {
        return false;
    };
    let Ok(part) = packed.by_name(part) else {
        return false;
    };
    let mut reader = Reader::from_reader(BufReader::new(part.take(most)));
    let (mut open, mut scratch) = (0_usize, Vec::new());
    loop {
        match reader.read_event_into(&mut scratch) {
            Ok(Event::Start(start)) if names_cells(&start) => open += 1,
            Ok(Event::Empty(start)) if names_cells(&start) => {}
            Ok(Event::Start(_) | Event::Empty(_)) | Err(_) => return false,
            // An end that fits no start is an error of the reader.
            Ok(Event::End(_)) => open = open.saturating_sub(1),
            Ok(Event::Eof) => return open == 0,
            Ok(_) => {}
        }
        scratch.clear();
    }
}

/// Whether the attributes can be read, and those that name a row, a cell or a range name what can be.
fn names_cells(start: &BytesStart<'_>) -> bool {
    start.attributes().all(|attribute| {
        attribute.is_ok_and(|attribute| {
            let names = matches!(attribute.key.as_ref(), "r" | "ref");
            !names
                || attribute.value.split(':').all(|name| {
                    let digits = name.bytes().filter(u8::is_ascii_digit).count();
                    digits <= CELL_DIGITS && name.len() - digits <= CELL_LETTERS
                })
        })
    })
}
