//! Rests and pauses: what is given when nothing else is left.

use super::candidate::{Candidate, What};
use super::candidates::Room;
use super::found::{Found, Seen};
use crate::judge::facts::Person;
use crate::judge::verdict::Form;
use crate::library::posture::Posture;
use crate::roster::Where;
use crate::timetable::TimedLine;
use crate::words::{Level, PostureId, Prop, PropCounts, Side};

/// What the pause that is always there costs: more than any plan that does without it.
pub(crate) const LAST_PAUSE_COST: u32 = 50_000;

/// The most that a purpose weighs.
const FULL_REST: u8 = 3;

/// How much a shape is for resting.
fn rests(posture: &Posture) -> u8 {
    posture.purposes.get("rest").copied().unwrap_or(0)
}

impl<'a> Room<'a> {
    /// Offers every rest that a person may take, the pauses where they may be, and the last pause.
    pub(super) fn offer_rests(
        &self,
        line: &TimedLine<'a>,
        (place, person): (usize, &Person<'a>),
        turn: usize,
        seen: &mut Seen,
        found: &mut Found,
    ) {
        let rest = |what| Candidate {
            rest: true,
            what,
            form: Form::default(),
            bare: false,
            drawn: PropCounts::new(),
        };
        let all = self.library.rests.iter();
        let mut shapes: Vec<&PostureId> = all.filter_map(|rest| rest.posture.as_ref()).collect();
        // Who only rests today rests with the class where the class itself rests.
        let with_class = line.posture.filter(|_| person.rest_only);
        let is_rest = |id: &&PostureId| {
            let posture = self.library.postures.get(*id);
            posture.is_some_and(|posture| rests(posture) >= FULL_REST)
        };
        shapes.extend(with_class.filter(is_rest));
        for posture in shapes {
            let Some(posture) = self.library.postures.get(posture) else {
                continue;
            };
            // For a whole class of it a shape that rests more is nearer; for one step any does.
            let less = if person.rest_only {
                self.rest_cost(rests(posture))
            } else {
                0
            };
            let cost = less + self.without_a_chair(person, posture.level);
            let sides: &[Option<Side>] = match posture.is_sided() {
                true => &[Some(Side::Right), Some(Side::Left)],
                false => &[None],
            };
            for &fixed in sides {
                let what = What::Posture {
                    id: posture.id.clone(),
                    swapped: false,
                    fixed,
                };
                let candidate = rest(what);
                let side = candidate.side(self.library, Side::Right);
                if person.lies_on_the_other(posture, side) {
                    continue;
                }
                let judged = seen.judge(self, line, (place, person), posture, side);
                let Some(form) = judged.form.filter(|form| !form.is_eased()) else {
                    continue;
                };
                let Some(form) = self.for_all(line, &candidate.what, (posture, side), form) else {
                    continue;
                };
                // What the line adds is part of the class's own rest, for whom there is enough of it.
                let taught = fixed.is_none() && line.posture == Some(&posture.id);
                for (bare, form, drawn) in
                    self.ways_to_have(line, person, Some(posture), form, taught)
                {
                    let rest = Candidate {
                        form,
                        bare,
                        drawn,
                        ..candidate.clone()
                    };
                    found.add(rest, 0, cost, place, turn);
                }
            }
        }
        let start = self.start_level(person);
        for level in self.where_they_are(line) {
            if (start == Level::Standing || level == start) && self.level_is_open(level) {
                // Nor is a pause a rest for a whole class.
                let less = if person.rest_only {
                    self.rest_cost(0)
                } else {
                    0
                };
                let cost = less + self.without_a_chair(person, level);
                let Some(drawn) = self.sat_on(person, level) else {
                    continue;
                };
                let pause = Candidate {
                    drawn,
                    ..rest(What::Pause(level))
                };
                found.add(pause, 0, cost, place, turn);
            }
        }
        found.add(rest(What::LastPause), 0, LAST_PAUSE_COST, place, turn);
    }

    /// What it weighs that a shape is less than a full rest.
    fn rest_cost(&self, rests: u8) -> u32 {
        let each = u32::try_from(self.library.weights.purpose).unwrap_or(0);
        u32::from(FULL_REST.saturating_sub(rests)) * each
    }

    /// What somebody draws from the cupboard who pauses at a level: in a chair, that chair. None where there
    /// is none for them.
    fn sat_on(&self, person: &Person<'_>, level: Level) -> Option<PropCounts> {
        let own = self.brings(person, Prop::Chair) > 0 || person.student.place != Where::Room;
        let stays = person
            .rules
            .iter()
            .any(|rule| rule.limitation.as_str() == "wheelchair");
        if level != Level::Chair || own || stays {
            return Some(PropCounts::new());
        }
        let chair = PropCounts::from([(Prop::Chair, 1)]);
        let stock = self.stock.as_ref();
        let there = stock.is_none_or(|stock| stock.get(&Prop::Chair).is_some_and(|&n| n > 0));
        (there && self.props_are_open(&chair)).then_some(chair)
    }

    /// What it weighs more that somebody who needs a chair rests without one: where chairs are short, who can
    /// manage the floor or standing is the one to do so.
    fn without_a_chair(&self, person: &Person<'_>, level: Level) -> u32 {
        match level {
            Level::Chair => 0,
            _ if person.needs_a_chair() => u32::try_from(self.library.weights.need).unwrap_or(0),
            _ => 0,
        }
    }

    /// Levels at which somebody may pause: on the feet, in a chair, and where the class is and was.
    fn where_they_are(&self, line: &TimedLine<'_>) -> Vec<Level> {
        let place = self
            .table
            .lines
            .iter()
            .position(|other| std::ptr::eq(other, line));
        let before = place
            .and_then(|place| place.checked_sub(1))
            .map(|at| self.table.lines[at].level);
        let mut levels: Vec<Level> = [
            Some(Level::Standing),
            Some(Level::Chair),
            Some(line.level),
            before,
        ]
        .into_iter()
        .flatten()
        .collect();
        levels.sort_unstable();
        levels.dedup();
        levels
    }
}
