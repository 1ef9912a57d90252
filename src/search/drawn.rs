//! What a shape takes from the cupboard for a person, and what it may do without.

use super::candidates::{Room, kneels};
use crate::judge::facts::Person;
use crate::judge::verdict::{Form, asks};
use crate::library::condition::Grade;
use crate::library::graph::Link;
use crate::library::posture::Posture;
use crate::roster::Where;
use crate::timetable::TimedLine;
use crate::words::{Prop, PropCounts};

impl Room<'_> {
    /// What a shape draws from the cupboard for a person with all that the line adds to the taught one and, where
    /// that may be, bare of it: each with whether it is bare, and in which form. Without what cannot be had.
    pub(super) fn ways_to_have(
        &self,
        line: &TimedLine<'_>,
        person: &Person<'_>,
        posture: Option<&Posture>,
        form: Form,
        taught: bool,
    ) -> Vec<(bool, Form, PropCounts)> {
        let ways: &[bool] = match taught && self.may_be_bare(line, person, posture) {
            true => &[false, true],
            false => &[false],
        };
        let had = ways.iter().filter_map(|&bare| {
            let adds = taught && !bare;
            // What the line gives everybody steadies whoever needs it too.
            let is_there = |prop: &Prop| adds && line.line.props.contains_key(prop);
            let support = form.support.filter(|prop| !is_there(prop));
            let form = Form { support, ..form };
            let drawn = self.drawn(line, person, posture, form, adds)?;
            Some((bare, form, drawn))
        });
        had.collect()
    }

    /// What a shape draws from the cupboard for a person, or nothing at all if it cannot be had.
    fn drawn(
        &self,
        line: &TimedLine<'_>,
        person: &Person<'_>,
        posture: Option<&Posture>,
        form: Form,
        taught: bool,
    ) -> Option<PropCounts> {
        let needed = self.needed(line, posture, form, taught);
        let mut drawn = PropCounts::new();
        for (prop, number) in needed {
            let brought = self.brings(person, prop);
            if number > brought {
                drawn.insert(prop, number - brought);
            }
        }
        if !self.props_are_open(&drawn) {
            return None;
        }
        match person.student.place {
            Where::Room => return Some(drawn),
            // Nobody knows what there is where a recording is watched; a wall is taken for granted.
            Where::Recording => drop(drawn.remove(&Prop::Wall)),
            Where::Video => {}
        }
        drawn.is_empty().then_some(drawn)
    }

    /// All that a shape uses on a line, whoever brings it: its own props, those of its form, of the line where it
    /// is the taught shape, and what the line lays under everybody's knees.
    pub fn needed(
        &self,
        line: &TimedLine<'_>,
        posture: Option<&Posture>,
        form: Form,
        taught: bool,
    ) -> PropCounts {
        let mut needed = posture.map_or_else(PropCounts::new, |posture| posture.props.clone());
        for (prop, number) in form.props() {
            *needed.entry(prop).or_insert(0) += number;
        }
        // What the line says of a prop that the posture needs anyway is the same prop.
        for (&prop, &number) in line.line.props.iter().filter(|_| taught) {
            let needed = needed.entry(prop).or_insert(0);
            *needed = number.max(*needed);
        }
        if line.line.padded && posture.is_some_and(kneels) && !form.padded {
            *needed.entry(self.padding()).or_insert(0) += 1;
        }
        needed.remove(&Prop::Mat);
        needed
    }

    /// Whether what a way needs, a chair say, is there at all: in the cupboard, or by the person's own mat.
    pub(super) fn way_is_there(&self, person: &Person<'_>, link: &Link) -> bool {
        link.props.iter().all(|(&prop, &number)| {
            let own = self.brings(person, prop);
            let there = match (person.student.place, &self.stock) {
                // Nobody knows what there is where a recording is watched.
                (Where::Recording, _) | (Where::Room, None) => return true,
                (Where::Room, Some(stock)) => stock.get(&prop).copied().unwrap_or(0),
                (Where::Video, _) => 0,
            };
            own + there >= number
        })
    }

    /// How many of a prop are a person's own: what they have with them, and a place kept at the wall.
    pub fn brings(&self, person: &Person<'_>, prop: Prop) -> u32 {
        let kept = prop == Prop::Wall && self.wall_kept && person.student.wants_the_wall();
        person.student.has.get(&prop).copied().unwrap_or(0) + u32::from(kept)
    }

    /// Whether the taught shape may be done without a prop that the line adds to it. Not where it steadies a
    /// balance: without it the shape is harder than the one taught.
    fn may_be_bare(
        &self,
        line: &TimedLine<'_>,
        person: &Person<'_>,
        posture: Option<&Posture>,
    ) -> bool {
        // Whoever watches later follows the class: nobody knows what is at hand there.
        let later = person.student.place == Where::Recording;
        let balances = posture.is_some_and(|one| asks(one, &"balance".into(), Grade::Some));
        let own = |prop: &Prop| posture.and_then(|posture| posture.props.get(prop));
        let mut added = line.line.props.iter();
        let adds = |(prop, number): (&Prop, &u32)| own(prop).is_none_or(|own| own < number);
        (later || !balances) && added.any(adds)
    }
}
