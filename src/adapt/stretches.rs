//! What the class as taught asks along the clock: stretches of kneeling, weight on the hands ….
//!
//! Invariant: about the class alone; it knows no people and bars nothing.

use crate::judge::verdict::asks;
use crate::library::Library;
use crate::library::condition::Grade;
use crate::library::posture::Posture;
use crate::library::rule::Limit;
use crate::timetable::Timetable;
use crate::words::Use;

/// Something asked without a break.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Place of its first pass in [`Timetable::passes`].
    pub first: usize,
    /// When it begins, seconds from the start.
    pub start_s: u32,
    /// When its last hold ends.
    pub end_s: u32,
    /// The holds in it, in seconds: what a budget counts.
    pub held_s: u32,
}

/// Every stretch of one thing, in order.
pub fn stretches(table: &Timetable<'_>, library: &Library, of: Use) -> Vec<Stretch> {
    // Arms come down and feet move between shapes: those stretches are of one shape.
    let one_shape = matches!(of, Use::StandingStill | Use::ArmsOverhead);
    let mut found: Vec<Stretch> = Vec::new();
    let mut open = false;
    for (at, pass) in table.passes.iter().enumerate() {
        let line = &table.lines[pass.line];
        let posture = line.posture.and_then(|id| library.postures.get(id));
        let used = posture.is_some_and(|posture| uses(posture, of));
        let end_s = pass.start_s + line.pass_s;
        match found.last_mut().filter(|_| used && open && !one_shape) {
            Some(stretch) => {
                stretch.end_s = end_s;
                stretch.held_s += line.pass_s;
            }
            None if used => found.push(Stretch {
                first: at,
                start_s: pass.start_s,
                end_s,
                held_s: line.pass_s,
            }),
            None => {}
        }
        open = used;
    }
    found
}

/// The house budget of one thing in this class: kneeling may last longer where it is padded.
pub fn house(table: &Timetable<'_>, library: &Library, of: Use) -> Limit {
    let mut limit = library.budgets.house.get(&of).copied().unwrap_or_default();
    let padded = table.lines.iter().any(|line| line.line.padded);
    if of == Use::Kneeling && padded && limit.bout_s.is_some() {
        limit.bout_s = Some(library.budgets.house_kneeling_padded_s);
    }
    limit
}

/// What is asked, in words.
pub fn of_words(of: Use) -> &'static str {
    match of {
        Use::Kneeling => "kneeling",
        Use::WeightOnHands => "weight on the hands",
        Use::HeadBelowHeart => "head lower than the heart",
        Use::LyingFlat => "lying flat",
        Use::LyingOnFront => "lying on the front",
        Use::ArmsOverhead => "arms held up",
        Use::StandingStill => "standing still",
    }
}

fn uses(posture: &Posture, of: Use) -> bool {
    match of {
        Use::StandingStill | Use::ArmsOverhead => {
            crate::judge::budgets::uses(posture).contains(&of)
        }
        _ => asks(posture, &of.as_str().into(), Grade::Some),
    }
}
