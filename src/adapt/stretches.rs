//! What a class asks along the clock: stretches of kneeling, weight on the hands ….
//!
//! Invariant: about the shapes that are shown; it knows no people and bars nothing.

use crate::judge::verdict::asks;
use crate::library::Library;
use crate::library::condition::{Fact, Grade};
use crate::library::posture::Posture;
use crate::library::rule::Limit;
use crate::timetable::Timetable;
use crate::words::{Level, Side, Use};

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

/// The shapes of a class as taught, one for each pass; none for an own shape that is like nothing.
pub fn taught<'l>(table: &Timetable<'_>, library: &'l Library) -> Vec<Option<&'l Posture>> {
    let shape = |line: usize| table.lines[line].posture;
    let passes = table.passes.iter();
    passes
        .map(|pass| shape(pass.line).and_then(|id| library.postures.get(id)))
        .collect()
}

/// Every stretch of one thing, in order; `shown` is the shape of each pass.
pub fn stretches(table: &Timetable<'_>, shown: &[Option<&Posture>], of: Use) -> Vec<Stretch> {
    // Arms come down and feet move between shapes: those stretches are of one shape.
    let one_shape = matches!(of, Use::StandingStill | Use::ArmsOverhead);
    let mut found: Vec<Stretch> = Vec::new();
    let mut open = false;
    for (at, pass) in table.passes.iter().enumerate() {
        let held_s = table.lines[pass.line].pass_s;
        let used = shown[at].is_some_and(|posture| uses(posture, of));
        let end_s = pass.start_s + held_s;
        let parted = one_shape || comes_between(table, shown, at, of);
        match found.last_mut().filter(|_| used && open && !parted) {
            Some(stretch) => {
                stretch.end_s = end_s;
                stretch.held_s += held_s;
            }
            None if used => found.push(Stretch {
                first: at,
                start_s: pass.start_s,
                end_s,
                held_s,
            }),
            None => {}
        }
        open = used;
    }
    found
}

/// Whether people come up, or turn over, between a pass and the one before it: where a standing shape begins on a
/// side, and before the other side of one that is lain on (common practice, no source).
fn comes_between(table: &Timetable<'_>, shown: &[Option<&Posture>], at: usize, of: Use) -> bool {
    let Some(before) = at.checked_sub(1) else {
        return false;
    };
    let [last, this] = [before, at].map(|at| table.passes[at]);
    let begins = this.side != Side::None && (last.line, last.side) != (this.line, this.side);
    let stands = |at: usize| shown[at].is_some_and(|posture| posture.level == Level::Standing);
    begins && (of == Use::LyingOnFront || stands(before) && stands(at))
}

/// The house budget of one thing: kneeling may last longer where all of it is padded.
pub fn house(
    table: &Timetable<'_>,
    shown: &[Option<&Posture>],
    library: &Library,
    of: Use,
) -> Limit {
    let mut limit = library.budgets.house.get(&of).copied().unwrap_or_default();
    let mut passes = table.passes.iter().zip(shown);
    let padded = passes.all(|(pass, posture)| {
        let bare = |posture: &&Posture| {
            uses(posture, Use::Kneeling) && !posture.facts.contains(&Fact::KneePadded)
        };
        table.lines[pass.line].line.padded || posture.filter(bare).is_none()
    });
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
