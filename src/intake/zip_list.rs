//! What a packed spreadsheet says it holds, before anything is unpacked.
//!
//! Takes the bytes of a ZIP file; gives back the names of its parts and their unpacked sizes, from
//! the central directory (APPNOTE.TXT of the ZIP format, sections 4.3.12 and 4.3.16). Invariant:
//! nothing is unpacked here, and a directory that cannot be followed gives none.

/// A part of a packed file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Part {
    /// Its name.
    pub(super) name: String,
    /// Its size unpacked, as the file says, in bytes.
    pub(super) unpacked: u64,
}

/// The parts in the order of the directory; none when there is no directory to follow.
pub(super) fn parts(bytes: &[u8]) -> Option<Vec<Part>> {
    const END: &[u8] = b"PK\x05\x06";
    const ENTRY: &[u8] = b"PK\x01\x02";
    const ENTRY_BYTES: usize = 46;
    let end = bytes.windows(END.len()).rposition(|window| window == END)?;
    let count = number(bytes, end + 10, 2)?;
    let mut at = usize::try_from(number(bytes, end + 16, 4)?).ok()?;
    let mut parts = Vec::new();
    for _ in 0..count {
        if bytes.get(at..at + ENTRY.len())? != ENTRY {
            return None;
        }
        let unpacked = number(bytes, at + 24, 4)?;
        let length = |offset| number(bytes, at + offset, 2).and_then(|n| usize::try_from(n).ok());
        let (name, extra, remark) = (length(28)?, length(30)?, length(32)?);
        let name_bytes = bytes.get(at + ENTRY_BYTES..at + ENTRY_BYTES + name)?;
        parts.push(Part {
            name: String::from_utf8_lossy(name_bytes).into_owned(),
            unpacked,
        });
        at += ENTRY_BYTES + name + extra + remark;
    }
    Some(parts)
}

/// A little-endian number of `length` bytes.
fn number(bytes: &[u8], at: usize, length: usize) -> Option<u64> {
    let slice = bytes.get(at..at.checked_add(length)?)?;
    Some(
        slice
            .iter()
            .rev()
            .fold(0, |sum, &byte| (sum << 8) | u64::from(byte)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_directory_that_cannot_be_followed_gives_none() {
        assert_eq!(parts(b"PK\x03\x04 nothing else"), None);
        let mut cut = b"PK\x05\x06".to_vec();
        cut.extend([0, 0, 0, 0, 1, 0, 1, 0, 46, 0, 0, 0, 9, 0, 0, 0, 0, 0]);
        assert_eq!(parts(&cut), None);
    }
}
