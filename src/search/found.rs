//! Candidates as they are met at a line, and judgements already made.

use std::collections::BTreeMap;

use super::candidate::{Candidate, What};
use super::candidates::Room;
use crate::judge::facts::Person;
use crate::judge::verdict::{Form, Judged, judge};
use crate::library::posture::Posture;
use crate::timetable::TimedLine;
use crate::words::{PostureId, PropCounts, Side};

/// Candidates met so far at a line, with who may take them.
#[derive(Default)]
pub(super) struct Found {
    /// Each with how far it lies.
    pub list: Vec<(Candidate, u32)>,
    cost: Vec<(usize, usize, usize, u32)>,
}

impl Found {
    /// The taught shape as it is stands first, even when nobody here may take it.
    pub(super) fn add_taught(
        &mut self,
        room: &Room<'_>,
        line: &TimedLine<'_>,
        first: Option<&(What, u32)>,
    ) {
        let Some((what, distance)) = first else {
            return;
        };
        let mut taught = Candidate {
            rest: false,
            what: what.clone(),
            form: Form::default(),
            bare: false,
            drawn: PropCounts::new(),
        };
        taught.drawn = room.needed(line, taught.posture(room.library), taught.form, true);
        self.list.push((taught, *distance));
    }

    pub(super) fn add(
        &mut self,
        candidate: Candidate,
        distance: u32,
        cost: u32,
        person: usize,
        turn: usize,
    ) {
        let place = self.list.iter().position(|(known, _)| *known == candidate);
        let place = place.unwrap_or_else(|| {
            self.list.push((candidate, distance));
            self.list.len() - 1
        });
        self.cost.push((person, turn, place, cost));
    }

    /// Costs by person and turn, under the candidates' new numbers.
    pub(super) fn cost_of(
        &self,
        people: usize,
        new: &BTreeMap<usize, usize>,
    ) -> Vec<[BTreeMap<usize, u32>; 2]> {
        let mut costs = vec![[BTreeMap::new(), BTreeMap::new()]; people];
        for (person, turn, place, cost) in &self.cost {
            if let Some(&place) = new.get(place) {
                costs[*person][*turn].insert(place, *cost);
            }
        }
        costs
    }
}

/// Judgements already made: the same shape comes back at many lines.
#[derive(Default)]
pub(super) struct Seen {
    judged: BTreeMap<(usize, PostureId, Side, u32, bool), Judged>,
}

impl Seen {
    pub(super) fn judge<'s>(
        &'s mut self,
        room: &Room<'_>,
        line: &TimedLine<'_>,
        (place, person): (usize, &Person<'_>),
        posture: &Posture,
        side: Side,
    ) -> &'s Judged {
        let at = room.at(line, posture, side);
        let key = (place, posture.id.clone(), side, at.hold_s, at.padded);
        self.judged
            .entry(key)
            .or_insert_with(|| judge(person, at, room.support(person)))
    }
}
