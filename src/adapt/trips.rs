//! Trips to the floor and up from it: as taught, and with the runs of each part grouped by level.
//!
//! Invariant: about the class alone; it knows no people and bars nothing.

use crate::library::Library;
use crate::timetable::Timetable;

/// How often a class goes down to the floor and up from it. It begins on the feet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Trips {
    /// Down.
    pub down: usize,
    /// Up.
    pub up: usize,
}

impl Trips {
    fn count(&mut self, from_floor: bool, to_floor: bool) {
        match (from_floor, to_floor) {
            (false, true) => self.down += 1,
            (true, false) => self.up += 1,
            _ => {}
        }
    }
}

/// A run of lines that stays together.
#[derive(Clone, Copy, Debug)]
struct Run {
    part: usize,
    starts_on_floor: bool,
    ends_on_floor: bool,
    within: Trips,
    /// The final rest and what follows it stay where they are.
    stays: bool,
}

/// The passes with which the class goes down to the floor.
pub fn descents(table: &Timetable<'_>) -> Vec<usize> {
    let mut on_floor = false;
    let mut down = Vec::new();
    for (at, pass) in table.passes.iter().enumerate() {
        let next = table.lines[pass.line].level.is_floor();
        if !on_floor && next {
            down.push(at);
        }
        on_floor = next;
    }
    down
}

/// The trips of the class as taught.
pub fn as_taught(table: &Timetable<'_>, library: &Library) -> Trips {
    in_order(runs(table, library).into_iter())
}

/// The fewest trips with which the same class can be taught when runs of lines change places within
/// their part and the final rest stays last.
pub fn grouped(table: &Timetable<'_>, library: &Library) -> Trips {
    in_order(by_level(runs(table, library)).into_iter())
}

/// The runs of each part in an order with the fewest trips: what begins and ends where the class is goes
/// first, then what leads elsewhere; a trip between runs is made only when nothing begins here, and then
/// any order needs it.
fn by_level(mut left: Vec<Run>) -> Vec<Run> {
    let (mut order, mut on_floor) = (Vec::new(), false);
    while let Some(first) = left.first() {
        let part = first.part;
        let free = |run: &&Run| run.part == part && !run.stays;
        let place = |ends_too: bool, floor: bool| {
            left.iter().take_while(free).position(|run| {
                run.starts_on_floor == floor && (!ends_too || run.ends_on_floor == floor)
            })
        };
        let from = |floor| place(true, floor).or_else(|| place(false, floor));
        let next = from(on_floor).or_else(|| from(!on_floor)).unwrap_or(0);
        let run = left.remove(next);
        on_floor = run.ends_on_floor;
        order.push(run);
    }
    order
}

fn in_order(runs: impl Iterator<Item = Run>) -> Trips {
    let (mut trips, mut on_floor) = (Trips::default(), false);
    for run in runs {
        trips.count(on_floor, run.starts_on_floor);
        trips.down += run.within.down;
        trips.up += run.within.up;
        on_floor = run.ends_on_floor;
    }
    trips
}

fn runs(table: &Timetable<'_>, library: &Library) -> Vec<Run> {
    let rest = table.final_rest(library).map(|at| table.passes[at].line);
    let rest = rest.map(|line| table.lines[line].block);
    let mut runs: Vec<(usize, Run)> = Vec::new();
    for pass in &table.passes {
        let line = &table.lines[pass.line];
        let on_floor = line.level.is_floor();
        match runs.last_mut().filter(|(block, _)| *block == line.block) {
            Some((_, run)) => {
                run.within.count(run.ends_on_floor, on_floor);
                run.ends_on_floor = on_floor;
            }
            None => runs.push((
                line.block,
                Run {
                    part: line.section.0,
                    starts_on_floor: on_floor,
                    ends_on_floor: on_floor,
                    within: Trips::default(),
                    stays: rest.is_some_and(|rest| line.block >= rest),
                },
            )),
        }
    }
    runs.into_iter().map(|(_, run)| run).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn run() -> impl Strategy<Value = Run> {
        (0_usize..2, any::<bool>(), any::<bool>(), 0_usize..3).prop_map(
            |(part, starts_on_floor, ends_on_floor, again)| {
                let mut within = Trips {
                    down: again,
                    up: again,
                };
                within.count(starts_on_floor, ends_on_floor);
                Run {
                    part,
                    starts_on_floor,
                    ends_on_floor,
                    within,
                    stays: false,
                }
            },
        )
    }

    /// The least sum over every order of the free runs, by trying all.
    fn least(done: &mut Vec<Run>, left: &[Run]) -> usize {
        let Some(first) = left.first() else {
            let trips = in_order(done.iter().copied());
            return trips.down + trips.up;
        };
        let free = left
            .iter()
            .take_while(|run| run.part == first.part && !run.stays)
            .count();
        let mut best = usize::MAX;
        for next in 0..free.max(1) {
            let mut rest = left.to_vec();
            done.push(rest.remove(next));
            best = best.min(least(done, &rest));
            done.pop();
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn no_order_of_the_runs_needs_fewer_trips(
            mut runs in prop::collection::vec(run(), 1..7),
            rests in any::<bool>(),
        ) {
            runs.sort_by_key(|run| run.part);
            if let Some(last) = runs.last_mut() {
                last.stays = rests;
            }
            let trips = in_order(by_level(runs.clone()).into_iter());
            prop_assert_eq!(trips.down + trips.up, least(&mut Vec::new(), &runs));
        }
    }
}
