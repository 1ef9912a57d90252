//! Which things make the home flow: an exact small choice, in plain numbers.
//!
//! Takes [`Thing`]s in the order of the class and gives the few that serve the purposes best within
//! the time. Knows no postures and no people. Invariant: no other choice that keeps the conditions is
//! worth more; among equals the one with fewer steps, then the one earlier in the class, is taken.

/// Fewest and most steps on a sheet, the rest included (`trade/job.md` 6.2: of 2, 5 and 8 exercises the
/// fewer were done better; 3 to 6 are aimed at).
pub const STEPS: std::ops::RangeInclusive<usize> = 3..=6;

/// Something that may be on the sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Thing {
    /// How well it serves each purpose, 0 to 3.
    pub serves: Vec<u32>,
    /// Seconds on the clock; a rest takes those of the [`Choice`].
    pub seconds: u32,
    /// Steps that it takes: two where each side does a shape of its own.
    pub steps: usize,
    /// What it costs: things to fetch, one more step to remember.
    pub cost: u32,
    /// Asks for a warm body.
    pub strong: bool,
    /// Ends the flow; anything else does not.
    pub rest: bool,
    /// The way to each thing, by place; none: not to be gone.
    pub ways: Vec<Option<Way>>,
    /// The way to it at the start.
    pub first: Option<Way>,
}

impl Thing {
    /// What it is worth with nothing beside it.
    pub fn worth_alone(&self, worth: &[u32]) -> i64 {
        served(worth, [self].into_iter())
    }
}

/// What things are worth whatever their order: each purpose as well as its best thing serves it, less
/// what the things cost.
fn served<'t>(worth: &[u32], things: impl Iterator<Item = &'t Thing> + Clone) -> i64 {
    let each = worth.iter().enumerate().map(|(purpose, &worth)| {
        let serves = |thing: &Thing| thing.serves.get(purpose).copied().unwrap_or(0);
        i64::from(worth) * i64::from(things.clone().map(serves).max().unwrap_or(0))
    });
    each.sum::<i64>() - things.map(|thing| i64::from(thing.cost)).sum::<i64>()
}

/// What going from one thing to the next takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Way {
    /// What getting up or down costs.
    pub cost: u32,
    /// Seconds.
    pub seconds: u32,
}

/// The choice to make.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice<'a> {
    /// The things, in the order of the class.
    pub things: &'a [Thing],
    /// What each purpose is worth, a point of service each.
    pub worth: &'a [u32],
    /// Seconds that there are.
    pub seconds: u32,
    /// The least seconds of the rest at the end.
    pub rest_s: u32,
}

impl Choice<'_> {
    /// The best choice, by place in order; none when nothing keeps the conditions.
    pub fn best(&self) -> Option<Vec<usize>> {
        let mut search = Search {
            choice: self,
            best: None,
        };
        for (rest, thing) in self.things.iter().enumerate() {
            if thing.rest {
                search.go(&mut vec![], 0, rest);
            }
        }
        search.best.map(|(_, _, chosen)| chosen)
    }

    /// What a choice is worth: each purpose as well as its best thing serves it, less the costs of the
    /// things and of the ways between them; with its seconds. None when a way cannot be gone.
    pub fn value(&self, chosen: &[usize]) -> Option<(i64, u32)> {
        let (mut value, mut seconds) = (self.service(chosen), 0);
        let mut last: Option<usize> = None;
        for &place in chosen {
            let way = self.way(last, place)?;
            value -= i64::from(way.cost);
            seconds += way.seconds + self.lasts(place);
            last = Some(place);
        }
        Some((value, seconds))
    }

    fn service(&self, chosen: &[usize]) -> i64 {
        let things = chosen.iter().filter_map(|&place| self.things.get(place));
        served(self.worth, things)
    }

    fn lasts(&self, place: usize) -> u32 {
        let thing = &self.things[place];
        if thing.rest {
            self.rest_s
        } else {
            thing.seconds
        }
    }

    fn way(&self, last: Option<usize>, next: usize) -> Option<Way> {
        match last {
            Some(last) => *self.things[last].ways.get(next)?,
            None => self.things[next].first,
        }
    }

    fn steps(&self, chosen: &[usize]) -> usize {
        chosen.iter().map(|&place| self.things[place].steps).sum()
    }
}

struct Search<'a> {
    choice: &'a Choice<'a>,
    /// Worth, steps and places of the best so far.
    best: Option<(i64, usize, Vec<usize>)>,
}

impl Search<'_> {
    /// Looks at everything that begins with `chosen` and ends with `rest`; things from `from` on may
    /// still be added.
    fn go(&mut self, chosen: &mut Vec<usize>, from: usize, rest: usize) {
        let choice = self.choice;
        let things = choice.things;
        let Some((so_far, seconds)) = choice.value(chosen) else {
            return;
        };
        let steps = choice.steps(chosen) + things[rest].steps;
        if steps > *STEPS.end() || seconds + choice.lasts(rest) > choice.seconds {
            return;
        }
        // Nothing below can be better, nor as good in fewer steps.
        let spent = choice.service(chosen) - so_far;
        let most = self.most(chosen, from, rest, STEPS.end() - steps) - spent;
        if self.best.as_ref().is_some_and(|(best, ..)| most < *best) {
            return;
        }
        if steps >= *STEPS.start() {
            self.look_at(chosen, steps, rest);
        }
        for next in from..rest {
            let warm = chosen.iter().any(|&place| !things[place].strong);
            if things[next].rest || (things[next].strong && !warm) {
                continue;
            }
            chosen.push(next);
            self.go(chosen, next + 1, rest);
            chosen.pop();
        }
    }

    /// Keeps a whole choice that is better than the best so far.
    fn look_at(&mut self, chosen: &[usize], steps: usize, rest: usize) {
        let whole: Vec<usize> = chosen.iter().copied().chain([rest]).collect();
        let Some((value, seconds)) = self.choice.value(&whole) else {
            return;
        };
        let better = self.best.as_ref().is_none_or(|(best, fewest, _)| {
            (value, std::cmp::Reverse(steps)) > (*best, std::cmp::Reverse(*fewest))
        });
        if better && seconds <= self.choice.seconds {
            self.best = Some((value, steps, whole));
        }
    }

    /// At least the service of anything below: a purpose gains less the more is served, so the greatest
    /// single gains bound any sum of gains.
    fn most(&self, chosen: &mut Vec<usize>, from: usize, rest: usize, more: usize) -> i64 {
        chosen.push(rest);
        let service = self.choice.service(chosen);
        let mut gains: Vec<i64> = (from..rest)
            .filter(|&place| !self.choice.things[place].rest)
            .map(|place| {
                chosen.push(place);
                let gain = self.choice.service(chosen) - service;
                chosen.pop();
                gain.max(0)
            })
            .collect();
        chosen.pop();
        gains.sort_unstable_by(|a, b| b.cmp(a));
        service + gains.iter().take(more).sum::<i64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn way() -> impl Strategy<Value = Option<Way>> {
        let way = (0u32..5, 0u32..40).prop_map(|(cost, seconds)| Way { cost, seconds });
        prop::option::weighted(0.8, way)
    }

    fn thing() -> impl Strategy<Value = Thing> {
        let parts = (
            prop::collection::vec(0u32..4, 4),
            30u32..200,
            1usize..3,
            0u32..6,
            prop::bool::weighted(0.3),
            prop::bool::weighted(0.25),
            prop::collection::vec(way(), 9),
            way(),
        );
        parts.prop_map(
            |(serves, seconds, steps, cost, strong, rest, ways, first)| Thing {
                serves,
                seconds,
                steps,
                cost,
                strong,
                rest,
                ways,
                first,
            },
        )
    }

    /// The conditions as the sheet states them, over every subset.
    fn by_trying_all(choice: &Choice<'_>) -> Option<i64> {
        let number = choice.things.len();
        (0u32..1 << number)
            .map(|bits| {
                (0..number)
                    .filter(|place| bits >> place & 1 == 1)
                    .collect::<Vec<usize>>()
            })
            .filter_map(|chosen| {
                let at = |place: &usize| &choice.things[*place];
                let (last, others) = chosen.split_last()?;
                let steps: usize = chosen.iter().map(|place| at(place).steps).sum();
                let strong = others.iter().position(|place| at(place).strong);
                let warm = others.iter().position(|place| !at(place).strong);
                let (value, seconds) = choice.value(&chosen)?;
                let kept = STEPS.contains(&steps)
                    && seconds <= choice.seconds
                    && at(last).rest
                    && others.iter().all(|place| !at(place).rest)
                    && strong.is_none_or(|strong| warm.is_some_and(|warm| warm < strong));
                kept.then_some(value)
            })
            .max()
    }

    proptest! {
        #[test]
        fn no_other_choice_is_worth_more(
            things in prop::collection::vec(thing(), 1..9),
            worth in prop::collection::vec(0u32..9, 4),
            seconds in 200u32..900,
            rest_s in 30u32..200,
        ) {
            let choice = Choice { things: &things, worth: &worth, seconds, rest_s };
            let found = choice.best();
            let value = found.and_then(|chosen| Some(choice.value(&chosen)?.0));
            prop_assert_eq!(value, by_trying_all(&choice));
        }
    }
}
