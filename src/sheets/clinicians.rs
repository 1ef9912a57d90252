//! What somebody's own clinicians said, on a sheet that is theirs.

use super::page::Block;
use super::words::lower;
use crate::adapted::{Caution, CautionKind};
use crate::words::Strength;

/// A paragraph for each clinician, in their words, after an opening as in "Your", and that these words
/// come first; in the language they are in, where that is known.
pub(super) fn said<'c>(
    cautions: impl Iterator<Item = &'c Caution>,
    opening: &str,
    lang: Option<&str>,
) -> Vec<Block> {
    // Words that nothing is taken from come first nowhere.
    let acts = |caution: &&Caution| {
        caution.kind == CautionKind::Guidance && caution.strength == Strength::Clinician
    };
    let guidance = cautions.filter(acts);
    let mut said: Vec<String> = guidance
        .filter_map(|caution| {
            let (from, words) = caution.text.split_once('“')?;
            let from = from.split(',').next().unwrap_or(from);
            // A gloss behind the words is the teacher's.
            let (words, _) = words.rsplit_once('”')?;
            Some(format!("{opening} {} said: “{words}”.", lower(from)))
        })
        .collect();
    if let Some(last) = said.last_mut() {
        last.push_str(" What they say comes first.");
    }
    said.into_iter()
        .map(|words| Block::Said(words, lang.map(str::to_owned)))
        .collect()
}
