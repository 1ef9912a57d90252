//! How long somebody holds a shape alone: as in class, within what is usual, and never past what the
//! rules and their own limits leave.

use crate::adapted::{Assignment, Step};
use crate::judge::budgets;
use crate::judge::facts::Person;
use crate::judge::verdict::{At, judge};
use crate::library::posture::{Posture, UsualHold};
use crate::library::rule::Limit;
use crate::words::{Prop, Side, Use};

/// Nobody holds a shape alone for longer than this, in seconds. Common practice, no source.
const HOLD_MOST_S: f64 = 120.0;

/// What a shape uses that may last only so long for a person, with the limit. There it is held as in
/// class, where the plan kept their limits.
pub(super) fn limited<'p>(
    person: &'p Person<'_>,
    posture: &Posture,
) -> impl Iterator<Item = (Use, Limit)> + use<'p> {
    let uses = budgets::uses(posture);
    let theirs = person.budgets.iter();
    theirs.filter_map(move |&(of, limit, _)| uses.contains(&of).then_some((of, limit)))
}

/// How long a shape is held at home: as in class, within what is usual; just as in class where an
/// easing or a limit of theirs says so.
pub(super) fn held_s(
    person: &Person<'_>,
    posture: &Posture,
    (step, done): (&Step, &Assignment),
    breath_s: f64,
) -> u32 {
    if done.hold_s < step.hold_s || limited(person, posture).next().is_some() {
        return done.hold_s;
    }
    let (least, most) = usual_s(posture, breath_s);
    let most = most.min(HOLD_MOST_S).max(least.min(HOLD_MOST_S));
    let seconds = f64::from(done.hold_s).max(least.min(most)).min(most);
    whole_s(seconds)
}

/// Seconds as a whole number.
pub(super) fn whole_s(seconds: f64) -> u32 {
    // Holds are minutes at most: far within the range.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = seconds.round().max(0.0) as u32;
    whole
}

/// The usual hold in seconds, with breaths of so many seconds; five breaths where none is written.
fn usual_s(posture: &Posture, breath_s: f64) -> (f64, f64) {
    let usual = posture.usual_hold.unwrap_or(UsualHold::Breaths(5.0, 5.0));
    usual.seconds(breath_s)
}

/// How long a person may hold a shape alone, up to so many seconds; none: not at all.
pub(super) fn allowed_s(
    person: &Person<'_>,
    (posture, side): (&Posture, Side),
    hold_s: u32,
    padded: bool,
) -> Option<u32> {
    let at = At {
        posture,
        side,
        hold_s,
        padded,
    };
    let support = [Prop::Wall, Prop::Chair]
        .into_iter()
        .find(|prop| posture.props.contains_key(prop));
    let judged = judge(person, at, support);
    let form = judged.form?;
    // A shape that is only eased by something it has not got here is not for home.
    let unpadded = form.padded && !padded;
    let unheld = form
        .support
        .is_some_and(|prop| !posture.props.contains_key(&prop));
    (!unpadded && !unheld).then(|| form.short_s.unwrap_or(hold_s).min(hold_s))
}
