//! What may be done at each line, by whom, and at what cost.
//!
//! Takes the timetable, the people and the cupboard; gives every line its candidates and every
//! person what each costs. Invariant: a candidate that a person is not given a cost for is never
//! theirs; the pause where they are always is.

use std::collections::BTreeMap;

use super::candidate::{Candidate, What};
use super::found::{Found, Seen};
use super::stray::Alternatives;
use crate::class::{Choice, Taught};
use crate::judge::facts::Person;
use crate::judge::verdict::{At, Form, asks};
use crate::library::Library;
use crate::library::blanket::Version;
use crate::library::condition::Grade;
use crate::library::demand::Demand;
use crate::library::posture::Posture;
use crate::library::scene::most_asked;
use crate::roster::{Preference, Where};
use crate::timetable::{TimedLine, Timetable};
use crate::words::{Level, PostureId, Prop, PropCounts, Side};

/// Candidates that a line may have beside its pauses and rests: the nearest ones stay.
const MOST_SHAPES: usize = 40;

/// The candidates of a line.
#[derive(Clone, Debug)]
pub struct LineCandidates {
    /// All of them; the taught shape as it is comes first.
    pub list: Vec<Candidate>,
    /// How far each lies, purposes lost included.
    pub distance: Vec<u32>,
    /// For every person and turn, what each candidate costs; absent: never theirs.
    pub cost: Vec<[BTreeMap<usize, u32>; 2]>,
    /// One of these must be on the menu, for people of whom nothing is known.
    pub kinder: Vec<usize>,
    /// On the menu at no cost: the teacher's own choices.
    pub free: Vec<usize>,
    /// Never the lead.
    pub never_lead: Vec<usize>,
}

/// Everything that candidates are made from.
pub struct Room<'a> {
    /// The library.
    pub library: &'a Library,
    /// The class on the clock.
    pub table: &'a Timetable<'a>,
    /// The people.
    pub people: &'a [Person<'a>],
    /// Stock after the teacher's own props; none: unlimited.
    pub stock: Option<PropCounts>,
    /// Whoever asked for a place at the wall has one of their own.
    pub wall_kept: bool,
    /// The graph.
    pub graph: &'a Alternatives,
    /// What holds for everybody, in a version of the class made without names.
    pub version: Option<&'a Version<'a>>,
}

impl<'a> Room<'a> {
    /// The candidates of every line.
    pub fn candidates(&self) -> Vec<LineCandidates> {
        let mut seen = Seen::default();
        self.table
            .lines
            .iter()
            .map(|line| self.line(line, &mut seen))
            .collect()
    }

    /// What can steady a body: the wall, else a chair, if there is one.
    pub(super) fn support(&self, person: &Person<'_>) -> Option<Prop> {
        let there = |prop: &Prop| match (person.student.place, &self.stock) {
            _ if self.brings(person, *prop) > 0 => true,
            (Where::Room, None) => true,
            (Where::Room, Some(stock)) => stock.get(prop).is_some_and(|&there| there > 0),
            // Somebody on video has what they said, and no more.
            _ => false,
        };
        [Prop::Wall, Prop::Chair].into_iter().find(there)
    }

    fn line(&self, line: &TimedLine<'a>, seen: &mut Seen) -> LineCandidates {
        let shapes = self.shapes(line);
        let mut found = Found::default();
        found.add_taught(self, line, shapes.first());
        for (place, person) in self.people.iter().enumerate() {
            for turn in 0..2 {
                for (what, distance) in &shapes {
                    self.offer(
                        line,
                        (place, person),
                        turn,
                        (what, *distance),
                        seen,
                        &mut found,
                    );
                }
                self.offer_rests(line, (place, person), turn, seen, &mut found);
            }
        }
        self.finish(line, found)
    }

    /// Shapes within reach of the taught one, itself first, with purposes lost counted in; then
    /// the teacher's own choices, for the room or for one person, that lie further away.
    fn shapes(&self, line: &TimedLine<'a>) -> Vec<(What, u32)> {
        let reach = u32::try_from(self.library.weights.reach).unwrap_or(0);
        let lone = self.turn_side(line, 0) == Side::None;
        let mut shapes = Vec::new();
        let mut add = |id: &PostureId, swapped: bool, distance: u32, taught_sided: bool| {
            let sided = self.library.postures.get(id).is_some_and(Posture::is_sided);
            if sided && lone && !taught_sided {
                for side in [Side::Right, Side::Left] {
                    let what = What::Posture {
                        id: id.clone(),
                        swapped: false,
                        fixed: Some(side),
                    };
                    shapes.push((what, distance));
                }
            } else {
                // A shape without sides is the same whichever way it was reached.
                let swapped = swapped && sided;
                let what = What::Posture {
                    id: id.clone(),
                    swapped,
                    fixed: None,
                };
                shapes.push((what, distance));
            }
        };
        let taught = line.posture.and_then(|id| self.library.postures.get(id));
        let taught_sided = taught.is_some_and(Posture::is_sided);
        let near = line.posture.map(|id| self.graph.within(id, reach));
        for reached in near.into_iter().flatten() {
            let other = self.library.postures.get(&reached.place.posture);
            let lost = match (taught, other) {
                (Some(taught), Some(other)) => self.lost_weight(taught, other),
                _ => 0,
            };
            let distance = reached.distance + lost;
            add(
                &reached.place.posture,
                reached.place.swapped,
                distance,
                taught_sided,
            );
        }
        let choices = line.line.or.iter().filter_map(|choice| match choice {
            Choice::Posture(id) => Some(id),
            Choice::Words(_) => None,
        });
        let fixed = self.people.iter().flat_map(|person| &person.student.fixed);
        let fixed = fixed.filter(|fixed| fixed.line == line.line.number);
        for choice in choices.chain(fixed.map(|fixed| &fixed.posture)) {
            add(choice, false, reach, taught_sided);
        }
        let own = line.posture.is_none().then_some((What::Own, 0));
        let mut kept: Vec<(What, u32)> = own.into_iter().collect();
        for (what, distance) in shapes {
            if !kept.iter().any(|(known, _)| *known == what) {
                kept.push((what, distance));
            }
        }
        kept
    }

    /// What the purposes of a taught shape weigh that another does not serve.
    fn lost_weight(&self, taught: &Posture, other: &Posture) -> u32 {
        let each = u32::try_from(self.library.weights.purpose).unwrap_or(0);
        let lost = taught.purposes_lost(other);
        lost.map(|(_, weight)| u32::from(weight) * each).sum()
    }

    pub(super) fn at<'p>(&self, line: &TimedLine<'_>, posture: &'p Posture, side: Side) -> At<'p> {
        At::taught(posture, side, line.line)
    }

    /// Which side leads a line on a turn of its block.
    pub fn turn_side(&self, line: &TimedLine<'_>, turn: usize) -> Side {
        let sides = &self.table.blocks[line.block].sides;
        let side = sides
            .get(turn)
            .or(sides.first())
            .copied()
            .unwrap_or(Side::None);
        line.line.side.unwrap_or(side)
    }

    /// Judges one shape for one person, and writes down its cost if it may be theirs.
    fn offer(
        &self,
        line: &TimedLine<'a>,
        (place, person): (usize, &Person<'a>),
        turn: usize,
        (what, distance): (&What, u32),
        seen: &mut Seen,
        found: &mut Found,
    ) {
        let candidate = Candidate {
            rest: false,
            what: what.clone(),
            form: Form::default(),
            bare: false,
            drawn: PropCounts::new(),
        };
        let posture = candidate.posture(self.library);
        if self.is_closed(line, person, posture) {
            return;
        }
        let Some(posture) = posture else {
            // Nobody can judge what the library does not know.
            if person.rules.is_empty() && self.version.is_none() {
                self.offer_form(line, (place, person), turn, (&candidate, distance), found);
            }
            return;
        };
        // What never leads for somebody unknown is not given to them beside the lead either.
        if person.unknown && self.version.is_none() && self.never_leads(posture) {
            return;
        }
        let side = candidate.side(self.library, self.turn_side(line, turn));
        if person.lies_on_the_other(posture, side) {
            return;
        }
        let judged = seen.judge(self, line, (place, person), posture, side).form;
        let Some(form) = judged.and_then(|form| self.for_all(line, what, (posture, side), form))
        else {
            return;
        };
        let candidate = Candidate { form, ..candidate };
        self.offer_form(line, (place, person), turn, (&candidate, distance), found);
    }

    /// Writes down what a form of a shape costs a person, with the line's props and, where that may be, without.
    fn offer_form(
        &self,
        line: &TimedLine<'a>,
        (place, person): (usize, &Person<'a>),
        turn: usize,
        (candidate, distance): (&Candidate, u32),
        found: &mut Found,
    ) {
        let posture = candidate.posture(self.library);
        let level = candidate.level(self.library, line.level);
        let taught = line.posture == posture.map(|posture| &posture.id);
        for (bare, form, drawn) in self.ways_to_have(line, person, posture, candidate.form, taught)
        {
            let eased = form.is_eased() || bare;
            let easing = if eased {
                self.library.weights.easing
            } else {
                0
            };
            let mut cost = distance + u32::try_from(easing).unwrap_or(0);
            if prefers(person, level) {
                cost = cost.div_ceil(2);
            }
            // Whoever goes down once had better stay there while the class does.
            if person.few_trips && line.level.is_floor() && !level.is_floor() {
                cost += u32::try_from(self.library.weights.trip).unwrap_or(0);
            }
            let candidate = Candidate {
                form,
                bare,
                drawn,
                ..candidate.clone()
            };
            found.add(candidate, distance, cost, place, turn);
        }
    }

    /// Choices that are not the judge's: what a person declines, and what the teacher fixed.
    fn is_closed(
        &self,
        line: &TimedLine<'_>,
        person: &Person<'_>,
        posture: Option<&Posture>,
    ) -> bool {
        let (student, id) = (person.student, posture.map(|posture| &posture.id));
        let declined = student
            .declines
            .iter()
            .any(|decline| id.is_some() && decline.posture.as_ref() == id);
        let fixed = self.fixed(line, person);
        person.rest_only || declined || fixed.is_some_and(|fixed| Some(&fixed.id) != id)
    }

    /// Puts the candidates of a line in order, without those that another outdoes for everybody;
    /// the nearest shapes stay.
    fn finish(&self, line: &TimedLine<'a>, found: Found) -> LineCandidates {
        let all: Vec<Candidate> = found
            .list
            .iter()
            .map(|(candidate, _)| candidate.clone())
            .collect();
        let kinder = self.for_the_unknown(line, &all).0;
        let free = self.free(line, &all);
        let cost = found.cost_of(
            self.people.len(),
            &(0..all.len()).map(|at| (at, at)).collect(),
        );
        let outdone = |v: usize| {
            v > 0
                && !free.contains(&v)
                && (0..all.len()).any(|w| {
                    w != v
                        && (!kinder.contains(&v) || kinder.contains(&w))
                        && self.outdoes(line, (&all[w], w), (&all[v], v), &cost)
                })
        };
        let mut order: Vec<(usize, &(Candidate, u32))> = found
            .list
            .iter()
            .enumerate()
            .filter(|(at, _)| !outdone(*at))
            .collect();
        order[1..].sort_by(|(_, (a, da)), (_, (b, db))| (a.rest, da, a).cmp(&(b.rest, db, b)));
        let mut shapes = 0;
        order.retain(|(_, (candidate, _))| {
            shapes += usize::from(!candidate.rest);
            candidate.rest || shapes <= MOST_SHAPES
        });
        let new: BTreeMap<usize, usize> = order
            .iter()
            .enumerate()
            .map(|(new, &(old, _))| (old, new))
            .collect();
        let cost = found.cost_of(self.people.len(), &new);
        let list: Vec<Candidate> = order
            .iter()
            .map(|(_, (candidate, _))| candidate.clone())
            .collect();
        let distance = order.iter().map(|(_, (_, distance))| *distance).collect();
        let (kinder, never_lead) = self.for_the_unknown(line, &list);
        let free = self.free(line, &list);
        LineCandidates {
            list,
            distance,
            cost,
            kinder,
            free,
            never_lead,
        }
    }

    /// Whether `w` is at least as good as `v` for everybody: open wherever `v` is, no further, at
    /// the same level, with the same props and no more of what lasts. Of two alike the first stays.
    fn outdoes(
        &self,
        line: &TimedLine<'_>,
        (w, w_at): (&Candidate, usize),
        (v, v_at): (&Candidate, usize),
        cost: &[[BTreeMap<usize, u32>; 2]],
    ) -> bool {
        let level = |candidate: &Candidate| candidate.level(self.library, line.level);
        if w.rest != v.rest || w.rest || level(w) != level(v) || w.drawn != v.drawn {
            return false;
        }
        let (w_uses, v_uses) = (w.uses(self.library), v.uses(self.library));
        if !w_uses.iter().all(|of| v_uses.contains(of)) {
            return false;
        }
        let mut alike = w_uses.len() == v_uses.len();
        for turns in cost.iter().flatten() {
            match (turns.get(&w_at), turns.get(&v_at)) {
                (_, None) => alike &= !turns.contains_key(&w_at),
                (Some(w_cost), Some(v_cost)) if w_cost <= v_cost => alike &= w_cost == v_cost,
                (_, Some(_)) => return false,
            }
        }
        !alike || w_at < v_at
    }

    /// Kinder shapes, and shapes that are never shown, when somebody is there of whom nothing is
    /// known (contract 4.2).
    fn for_the_unknown(
        &self,
        line: &TimedLine<'_>,
        list: &[Candidate],
    ) -> (Vec<usize>, Vec<usize>) {
        let taught = line.posture.and_then(|id| self.library.postures.get(id));
        let (Some(taught), true) = (taught, self.people.iter().any(|person| person.unknown)) else {
            return (Vec::new(), Vec::new());
        };
        let demands = self.library.demands.values();
        // Lying flat is much by its length alone.
        let much = |demand: &Demand, posture: &Posture| {
            most_asked(demand, posture, line.line.hold_s) == Some(Grade::Much)
        };
        let hard: Vec<_> = demands
            .clone()
            .filter(|demand| demand.kinder_for_unknown)
            .filter(|demand| {
                let by_link = line
                    .link
                    .is_some_and(|link| link.demands.get(&demand.id) == Some(&Grade::Much));
                by_link || much(demand, taught)
            })
            .collect();
        let by_link = line.link.is_some_and(|link| {
            hard.iter()
                .any(|demand| link.demands.get(&demand.id) == Some(&Grade::Much))
        });
        let is_kinder = |candidate: &Candidate| {
            let Some(posture) = candidate.posture(self.library) else {
                return false;
            };
            !candidate.rest
                && !candidate.form.is_eased()
                && posture.id != taught.id
                && !hard.iter().any(|demand| much(demand, posture))
                && (!by_link || !posture.level.is_floor())
        };
        let is_hidden = |candidate: &Candidate| {
            candidate
                .posture(self.library)
                .is_some_and(|posture| self.never_leads(posture))
        };
        let places = |wanted: &dyn Fn(&Candidate) -> bool| {
            list.iter()
                .enumerate()
                .filter(|(_, c)| wanted(c))
                .map(|(i, _)| i)
                .collect()
        };
        let kinder = if hard.is_empty() {
            Vec::new()
        } else {
            places(&is_kinder)
        };
        (kinder, places(&is_hidden))
    }

    /// Whether a shape asks what nobody of whom nothing is known is led into (contract 4.2).
    fn never_leads(&self, posture: &Posture) -> bool {
        let mut demands = self.library.demands.values();
        demands
            .any(|demand| demand.never_lead_for_unknown && asks(posture, &demand.id, Grade::Much))
    }

    fn free(&self, line: &TimedLine<'_>, list: &[Candidate]) -> Vec<usize> {
        let chosen = |candidate: &Candidate| {
            line.line
                .or
                .iter()
                .any(|choice| match (choice, &candidate.what) {
                    (Choice::Posture(chosen), What::Posture { id, .. }) => {
                        chosen == id && Some(id) != line.posture && !candidate.rest
                    }
                    _ => false,
                })
        };
        list.iter()
            .enumerate()
            .filter(|(_, c)| chosen(c))
            .map(|(i, _)| i)
            .collect()
    }
}

/// Whether a shape rests on knees that it does not pad itself.
pub(crate) fn kneels(posture: &Posture) -> bool {
    asks(posture, &"kneeling".into(), Grade::Some)
        && !posture
            .facts
            .contains(&crate::library::condition::Fact::KneePadded)
}

fn prefers(person: &Person<'_>, level: Level) -> bool {
    person
        .student
        .prefers
        .iter()
        .any(|preference| match preference {
            Preference::Chair => level == Level::Chair,
            Preference::Wall => level == Level::Wall,
            Preference::NoFloor => !level.is_floor(),
            Preference::SideLying => level == Level::SideLying,
        })
}

/// Whether a line teaches a shape of the teacher's own.
pub fn is_own(line: &TimedLine<'_>) -> bool {
    matches!(line.line.taught, Taught::Own { .. })
}
