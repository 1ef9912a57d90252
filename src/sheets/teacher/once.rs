//! What one person hears once, before the class, rather than beside every shape it holds for.

use std::collections::BTreeMap;

use super::super::reading::Reading;
use super::super::words::{GOING, steps};
use super::beside::SENT;
use super::floor::{Beside, Margin, Section};

/// From so many shapes on, the same words to the same person are said once. Our choice: nobody
/// whispers the same thing a fourth time, and a page full of it hides what is new.
const OFTEN: usize = 4;

/// The floor page: what is said once and quietly, and the sections without it.
pub(super) struct Floor {
    /// Words, the steps they hold for, and the short names.
    pub once: Vec<Beside>,
    /// The sections with all else.
    pub sections: Vec<Section>,
}

impl Reading<'_> {
    pub(super) fn floor(&self) -> Floor {
        let mut sections = self.sections();
        let mut said: BTreeMap<(Vec<String>, String), Vec<usize>> = BTreeMap::new();
        // A move has no number of its own: it belongs to the step after it.
        let mut number = None;
        let rows = sections.iter().flat_map(|section| &section.rows).rev();
        for row in rows.collect::<Vec<_>>() {
            number = row.number.or(number);
            for line in row.beside.iter().filter(|line| is_easing(line)) {
                let lines = said.entry(told(line)).or_default();
                lines.extend(number);
            }
        }
        said.values_mut().for_each(|lines| {
            lines.reverse();
            lines.dedup();
        });
        said.retain(|(_, words), lines| lines.len() >= often(words));
        for row in sections.iter_mut().flat_map(|section| &mut section.rows) {
            row.beside
                .retain(|line| !is_easing(line) || !said.contains_key(&told(line)));
        }
        let once = said.into_iter().map(|((names, words), lines)| Beside {
            margin: Margin::Quiet,
            text: format!("{words}, at {}", steps(&lines)),
            names,
            figure: None,
        });
        Floor {
            once: once.collect(),
            sections,
        }
    }
}

/// A quiet word on how to do the shape shown; a choice has a figure, and a rest names its step.
fn is_easing(line: &Beside) -> bool {
    let words = line.text.strip_prefix(SENT).unwrap_or(&line.text);
    line.margin == Margin::Quiet && line.figure.is_none() && !words.starts_with("rest: ")
}

/// From how many shapes on words are said once; the ways up and down of one person stand together, and
/// what is sent before class is of no use beside a step.
fn often(words: &str) -> usize {
    let is_way = GOING.iter().any(|going| words.starts_with(going));
    if is_way || words.starts_with(SENT) {
        1
    } else {
        OFTEN
    }
}

fn told(line: &Beside) -> (Vec<String>, String) {
    (line.names.clone(), line.text.clone())
}
