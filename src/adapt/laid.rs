//! Where a prop lies and when it is fetched, counted once for every sheet.
//!
//! Invariant: what a confidential person uses beyond the shape shown is counted apart, so that whoever lays
//! out reads the same whatever they told.

use super::Scene;
use super::props::Drawn;
use crate::adapted::{Fetch, Laid, Step, StudentPlan};
use crate::judge::facts::Person;
use crate::laying::{self, Uses};
use crate::roster::Where;
use crate::words::{Prop, PropCounts};

/// What is used of a prop at every place of the room, pass by pass.
struct Places {
    /// The teacher's, everyone's in the room, and last what confidential people would use if they did as shown.
    open: Vec<Vec<u32>>,
    /// What is brought besides for ways to a pass.
    ways: Vec<u32>,
    /// What confidential people use beyond `open`.
    private: Vec<Vec<u32>>,
}

impl Scene<'_> {
    /// How a prop is laid out, and when it is fetched.
    pub(super) fn laid(
        &self,
        prop: Prop,
        (steps, students): (&[Step], &[StudentPlan]),
        drawn: &[Drawn<'_>],
        stock: Option<u32>,
    ) -> (Laid, Vec<Fetch>) {
        let passes = &self.table.passes;
        let lines: Vec<usize> = passes.iter().map(|pass| pass.line).collect();
        let places = self.used_at_places(prop, (steps, students), drawn);
        let within = |number: u32| stock.map_or(number, |stock| number.min(stock));
        // Nobody goes without for what a confidential person may not use at all.
        let confidential = self.in_the_room().filter(|one| one.student.confidential);
        let before_others = 1 + self.in_the_room().count() - confidential.count();
        let open = Uses {
            lines: &lines,
            by_pass: &places.open,
            before_others,
            ways: &places.ways,
        };
        let private = Uses {
            by_pass: &places.private,
            ways: &[],
            ..open
        };
        let (bring, mut lain) = self.who_have_it_lain(prop);
        let number = within(open.most());
        let places = lain.iter().sum();
        let (each, _) = laying::shared(number, places);
        for lain in &mut lain {
            *lain *= each;
        }
        let fetch = |taken: &laying::Taken| Fetch {
            start_s: passes[taken.at].start_s,
            step: taken.at + 1,
            prop,
            number: taken.number,
            spared: taken.spared,
            yours: taken.to_first,
            private: 0,
            then: match taken.again {
                true => "keep it by you".to_owned(),
                false => "then away".to_owned(),
            },
        };
        let mut fetched: Vec<Fetch> = open.fetched(&lain, number).iter().map(fetch).collect();
        for taken in private.fetched(&vec![0; lain.len()], u32::MAX) {
            let known = fetched.iter_mut().find(|one| one.step == taken.at + 1);
            match known {
                Some(known) => known.private = taken.number,
                None => fetched.push(Fetch {
                    number: 0,
                    yours: false,
                    private: taken.number,
                    ..fetch(&taken)
                }),
            }
        }
        let laid = Laid {
            number,
            each,
            places,
            bring,
            private: within(number + private.most()) - number,
        };
        (laid, fetched)
    }

    fn used_at_places(
        &self,
        prop: Prop,
        (steps, students): (&[Step], &[StudentPlan]),
        drawn: &[Drawn<'_>],
    ) -> Places {
        let of = |props: &PropCounts| props.get(&prop).copied().unwrap_or(0);
        let mut places = Places {
            open: Vec::new(),
            ways: Vec::new(),
            private: Vec::new(),
        };
        for (step, drawn) in steps.iter().zip(drawn) {
            let shown = of(&step.props);
            let (mut open, mut as_if) = (vec![shown], Vec::new());
            let (mut private, mut ways) = (Vec::new(), 0);
            for (person, (id, drawn)) in self.in_the_room().zip(drawn) {
                let plan = students.iter().find(|plan| plan.id == **id);
                let way = plan.map_or(0, |plan| of(&plan.brought_for_way(step.index)));
                if person.student.confidential {
                    let as_shown = shown.saturating_sub(self.room.brings(person, prop));
                    as_if.push(as_shown);
                    private.push(of(drawn).saturating_sub(as_shown) + way);
                } else {
                    open.push(of(drawn));
                    ways += way;
                }
            }
            // Whoever is not confidential uses nothing beyond.
            let mut beyond = vec![0; open.len()];
            beyond.append(&mut private);
            open.append(&mut as_if);
            places.open.push(open);
            places.private.push(beyond);
            places.ways.push(ways);
        }
        places
    }

    /// How many in the room bring a prop of their own; and for each place, in the order of their use, 1 where
    /// it is laid out, as nobody there brings one.
    fn who_have_it_lain(&self, prop: Prop) -> (u32, Vec<u32>) {
        let brings = |person: &&Person<'_>| {
            let has = person.student.has.get(&prop);
            has.is_some_and(|&number| number > 0)
        };
        let bring = self.in_the_room().filter(brings).count();
        let (private, named): (Vec<_>, Vec<_>) = self
            .in_the_room()
            .partition(|person| person.student.confidential);
        let theirs = named.iter().chain(&private);
        let lain = theirs.map(|person| u32::from(!brings(person)));
        let lain = std::iter::once(1).chain(lain).collect();
        (u32::try_from(bring).unwrap_or(u32::MAX), lain)
    }

    fn in_the_room(&self) -> impl Iterator<Item = &Person<'_>> {
        let people = self.people.iter();
        people.filter(|person| person.student.place == Where::Room)
    }
}
