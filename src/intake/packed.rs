//! A packed spreadsheet, looked at before the reader of spreadsheets reads it.
//!
//! That reader looks for the end of a table for ever where a file has none, and counts past its numbers in
//! the name of a cell that is too long: such a file is turned away first. Invariant: no more of a part is
//! unpacked than is asked for.

use std::io::{BufReader, Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

/// The last cell of a sheet is “XFD1048576”: so many letters and digits a name has at most (limits of the
/// usual programs, from memory).
const CELL_LETTERS: usize = 3;
const CELL_DIGITS: usize = 7;

/// What an OpenDocument file says of its parts.
const MANIFEST: &str = "META-INF/manifest.xml";

/// A packed file.
pub(super) struct Packed<'b> {
    archive: ZipArchive<Cursor<&'b [u8]>>,
}

/// A part of a packed file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Part {
    /// Its name.
    pub(super) name: String,
    /// Its size unpacked, as the file says, in bytes.
    pub(super) unpacked: u64,
}

impl<'b> Packed<'b> {
    /// A packed file of these bytes; none when there is no directory to follow.
    pub(super) fn new(bytes: &'b [u8]) -> Option<Self> {
        let archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
        Some(Self { archive })
    }

    /// Its parts in the order of the directory; nothing is unpacked. None when one cannot be followed.
    pub(super) fn parts(&mut self) -> Option<Vec<Part>> {
        let count = self.archive.len();
        let part = |at| {
            let part = self.archive.by_index_raw(at).ok()?;
            Some(Part {
                name: part.name().ok()?.into_owned(),
                unpacked: part.size(),
            })
        };
        (0..count).map(part).collect()
    }

    /// Whether every element of a part ends where it must, within `most` bytes unpacked, and names cells
    /// that can be.
    pub(super) fn is_whole(&mut self, part: &str, most: u64) -> bool {
        let Ok(part) = self.archive.by_name(part) else {
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

    /// Whether the list of parts says that one is locked: its content is no text then.
    pub(super) fn is_locked(&mut self, most: u64) -> bool {
        let Ok(part) = self.archive.by_name(MANIFEST) else {
            return false;
        };
        let mut reader = Reader::from_reader(BufReader::new(part.take(most)));
        let mut scratch = Vec::new();
        loop {
            match reader.read_event_into(&mut scratch) {
                Ok(Event::Start(start) | Event::Empty(start))
                    if start.local_name().as_ref() == "encryption-data" =>
                {
                    return true;
                }
                Ok(Event::Eof) | Err(_) => return false,
                Ok(_) => {}
            }
            scratch.clear();
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(bytes: &[u8]) -> Option<Vec<Part>> {
        Packed::new(bytes)?.parts()
    }

    #[test]
    fn a_directory_that_cannot_be_followed_gives_none() {
        assert_eq!(parts(b"PK\x03\x04 nothing else"), None);
        let mut cut = b"PK\x05\x06".to_vec();
        cut.extend([0, 0, 0, 0, 1, 0, 1, 0, 46, 0, 0, 0, 9, 0, 0, 0, 0, 0]);
        assert_eq!(parts(&cut), None);
    }
}
