//! Whether the text of an OpenDocument spreadsheet is whole.
//!
//! The reader of spreadsheets looks for the end of a table for ever where a file has none, so a file that
//! was cut, or was never one, is turned away before it is read.

use std::io::{BufReader, Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::Event;
use zip::ZipArchive;

/// Whether every element of the part that holds the tables ends where it must, within `most` bytes unpacked.
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
            Ok(Event::Start(_)) => open += 1,
            // An end that fits no start is an error of the reader.
            Ok(Event::End(_)) => open = open.saturating_sub(1),
            Ok(Event::Eof) => return open == 0,
            Ok(_) => {}
            Err(_) => return false,
        }
        scratch.clear();
    }
}
