//! Reads the cupboard.

use super::kind::{FileKind, root};
use super::suggest::{nearest, one_of};
use super::table::{Document, Field};
use super::text::Source;
use crate::problem::{Code, Problem, quoted};
use crate::settings::PropStock;
use crate::words::{Prop, PropCounts};

/// Reads a file of props: `block: 16` and so on, alone or under `props`.
///
/// # Errors
/// Every problem of the file.
pub fn read(source: Source) -> Result<PropStock, Vec<Problem>> {
    let document = Document::read(source)?;
    let mut counts = None;
    if let Some(mut table) = root(&document, FileKind::Props) {
        if table.has("props") {
            counts = Some(self::counts(table.map("props")));
            table.done();
        } else {
            counts = Some(self::counts(table.into_entries()));
        }
    }
    let problems = document.into_problems();
    if problems.is_empty() {
        Ok(PropStock { counts })
    } else {
        Err(problems)
    }
}

/// Props by their words.
pub(super) fn counts(entries: Vec<(String, Field<'_>)>) -> PropCounts {
    let mut counts = PropCounts::new();
    for (word, field) in entries {
        match Prop::parse(&word) {
            Some(prop) => {
                if let Some(number) = field.whole(0..=1000) {
                    counts.insert(prop, number);
                }
            }
            None => {
                let message = format!("{} is not a known prop", quoted(&word));
                let help = match meant(&word) {
                    Some(prop) => format!("Did you mean “{}”?", prop.as_str()),
                    None => {
                        let known: Vec<&str> = Prop::ALL.iter().map(|prop| prop.as_str()).collect();
                        format!("Write {}.", one_of(&known))
                    }
                };
                field.key_problem(Code::UnknownProp, message, help);
            }
        }
    }
    counts
}

/// Other words of the trade for a prop (common practice, no source).
const CALLED: [(&str, Prop); 8] = [
    ("brick", Prop::Block),
    ("belt", Prop::Strap),
    ("tie", Prop::Strap),
    ("rug", Prop::Mat),
    ("throw", Prop::Blanket),
    ("bench", Prop::Stool),
    ("armchair", Prop::ChairWithArms),
    ("desk", Prop::Table),
];

/// The prop that some words mean: plural, with other words about it, or called by another name.
fn meant(words: &str) -> Option<Prop> {
    let words = words.to_lowercase();
    let words: Vec<&str> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let is = |word: &str| words.contains(&word);
    // What lies on the eyes is no pillow to lie on.
    if is("eye") || is("eyes") {
        return None;
    }
    let found = words.iter().rev().find_map(|word| known(word))?;
    let with_arms = found == Prop::Chair && is("arms") && is("with");
    Some(if with_arms {
        Prop::ChairWithArms
    } else {
        found
    })
}

/// The prop of one word, also in the plural or with a slip.
fn known(word: &str) -> Option<Prop> {
    let singular = word.strip_suffix('s').unwrap_or(word);
    let called = CALLED
        .iter()
        .find(|(name, _)| [word, singular].contains(name));
    let names = Prop::ALL.iter().map(|prop| prop.as_str());
    Prop::parse(word)
        .or_else(|| Prop::parse(singular))
        .or_else(|| called.map(|(_, prop)| *prop))
        .or_else(|| {
            // Short words lie near to anything.
            let slips = match word.len() {
                0..4 => return None,
                4 => 1,
                _ => 2,
            };
            let near = nearest(word, names).filter(|near| near.get(..1) == word.get(..1))?;
            Prop::parse(near).filter(|_| strsim::osa_distance(word, near) <= slips)
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("yoga straps", Some(Prop::Strap))]
    #[case("Blocks (cork)", Some(Prop::Block))]
    #[case("bricks", Some(Prop::Block))]
    #[case("folding chairs", Some(Prop::Chair))]
    #[case("chairs with arms", Some(Prop::ChairWithArms))]
    #[case("bolstres", Some(Prop::Bolster))]
    #[case("wall space", Some(Prop::Wall))]
    #[case("belts, 2 m", Some(Prop::Strap))]
    #[case("eye pillows", None)]
    #[case("blok", Some(Prop::Block))]
    #[case("ball", None)]
    #[case("balls", None)]
    #[case("singing bowls", None)]
    #[case("", None)]
    #[case("blocks with holes", Some(Prop::Block))]
    #[case("map", None)]
    #[case("step", None)]
    fn words_for_props(#[case] words: &str, #[case] prop: Option<Prop>) {
        assert_eq!(meant(words), prop);
    }
}
