//! Where props lie and when they are fetched: what stands at every place is not fetched, what somebody
//! fetched stays by their mat, and what is not set out comes from a place that can spare it.
//!
//! Invariant: no more are at the places and on ways together than were set out.

/// Props taken up at a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The pass, counted from 0.
    pub at: usize,
    /// How many are fetched, all places together.
    pub number: u32,
    /// How many of them come from other places, as none is left along the wall.
    pub spared: u32,
    /// Whether the first place, which is the teacher's, takes one of them.
    pub to_first: bool,
    /// Whether somebody uses the prop at a later line.
    pub again: bool,
}

/// Fewer than this are not counted out to whoever lays out: they would point to somebody.
pub const FEWEST: u32 = 3;

/// How many lie at every place, and how many are left to stand along the wall.
pub fn shared(number: u32, places: u32) -> (u32, u32) {
    let places = places.max(1);
    (number / places, number % places)
}

/// What is used of a prop, pass by pass.
#[derive(Clone, Copy, Debug)]
pub struct Uses<'a> {
    /// The line of each pass.
    pub lines: &'a [usize],
    /// For each pass, what is used at each place, the teacher's first.
    pub by_pass: &'a [Vec<u32>],
    /// How many places are served before the others, and may take what those hold.
    pub before_others: usize,
    /// For each pass, what is brought besides for the way to it.
    pub ways: &'a [u32],
}

impl Uses<'_> {
    /// The most that is needed at once. What a line needs on both sides is there before it.
    pub fn most(&self) -> u32 {
        let starts = (0..self.lines.len()).filter(|&at| self.begins(at));
        let needed = starts.map(|at| {
            let (needs, ways) = self.needs(at);
            needs.iter().sum::<u32>() + ways
        });
        needed.max().unwrap_or(0)
    }

    /// When it is fetched, where so many are set out in all and `lain` at each place.
    pub fn fetched(&self, lain: &[u32], out: u32) -> Vec<Taken> {
        let mut kept = lain.to_vec();
        let mut found = Vec::new();
        for at in (0..self.lines.len()).filter(|&at| self.begins(at)) {
            let (needs, ways) = self.needs(at);
            let mut wall = out.saturating_sub(kept.iter().sum::<u32>() + ways);
            let mut taken = Taken {
                at,
                number: 0,
                spared: 0,
                to_first: false,
                again: self.again(at),
            };
            let next = self.next_uses(at);
            for (place, &need) in needs.iter().enumerate() {
                while kept[place] < need {
                    let lacks = need - kept[place];
                    let got = if wall > 0 {
                        let got = lacks.min(wall);
                        wall -= got;
                        got
                    } else if let Some((giver, spare)) = self.giver(place, &kept, &needs, &next) {
                        let got = lacks.min(spare);
                        kept[giver] -= got;
                        taken.spared += got;
                        got
                    } else {
                        break;
                    };
                    kept[place] += got;
                    taken.number += got;
                    taken.to_first |= place == 0;
                }
            }
            if taken.number > 0 {
                found.push(taken);
            }
        }
        found
    }

    /// Whether a line begins with a pass.
    fn begins(&self, at: usize) -> bool {
        at == 0 || self.lines.get(at - 1) != self.lines.get(at)
    }

    /// What the line that begins with a pass needs at each place, and for ways.
    fn needs(&self, at: usize) -> (Vec<u32>, u32) {
        let line = self.lines.get(at);
        let turns = self.lines.iter().skip(at);
        let turns = turns.take_while(|other| Some(*other) == line).count();
        let mut needs = vec![0; self.by_pass.get(at).map_or(0, Vec::len)];
        for used in self.by_pass.iter().skip(at).take(turns) {
            for (need, &used) in needs.iter_mut().zip(used) {
                *need = used.max(*need);
            }
        }
        let ways = self.ways.iter().skip(at).take(turns);
        (needs, ways.copied().max().unwrap_or(0))
    }

    /// For each place, after how many passes from one on it is used there.
    fn next_uses(&self, at: usize) -> Vec<usize> {
        let places = self.by_pass.get(at).map_or(0, Vec::len);
        let next = (0..places).map(|place| {
            let mut later = self.by_pass.iter().skip(at);
            let uses = |used: &Vec<u32>| used.get(place).is_some_and(|&used| used > 0);
            later.position(uses).unwrap_or(usize::MAX)
        });
        next.collect()
    }

    /// A place that has more than it needs and how many more, of such the one that is longest without need;
    /// else, for a place that is served before others, one of those with all it has.
    fn giver(
        &self,
        place: usize,
        kept: &[u32],
        needs: &[u32],
        next: &[usize],
    ) -> Option<(usize, u32)> {
        let spare = kept.iter().zip(needs).enumerate();
        let spare = spare.map(|(other, (kept, need))| (other, kept.saturating_sub(*need)));
        let idle = spare.filter(|(_, spare)| *spare > 0);
        // Of several the first, so that the same class always reads the same.
        let idle = idle.max_by_key(|&(other, _)| (next.get(other), std::cmp::Reverse(other)));
        let mut others = kept.iter().copied().enumerate().skip(self.before_others);
        idle.or_else(|| {
            let first = place < self.before_others;
            others.find(|(_, kept)| first && *kept > 0)
        })
    }

    /// Whether the prop is used at a line after that of a pass.
    fn again(&self, at: usize) -> bool {
        let line = self.lines.get(at).copied().unwrap_or(0);
        let mut later = self.lines.iter().zip(self.by_pass).skip(at);
        later.any(|(other, used)| *other > line && used.iter().any(|&used| used > 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// When how many are fetched, and how many of them from other places.
    fn taken_at(
        lines: &[usize],
        by_pass: &[&[u32]],
        each: u32,
        out: u32,
    ) -> Vec<(usize, u32, u32)> {
        let by_pass: Vec<Vec<u32>> = by_pass.iter().map(|used| used.to_vec()).collect();
        let uses = Uses {
            lines,
            by_pass: &by_pass,
            before_others: by_pass[0].len(),
            ways: &[],
        };
        let taken = uses.fetched(&vec![each; by_pass[0].len()], out);
        taken
            .iter()
            .map(|one| (one.at, one.number, one.spared))
            .collect()
    }

    #[test]
    fn chairs_that_everyone_sits_on_from_the_start_are_never_fetched() {
        let uses: [&[u32]; 4] = [&[1, 1, 1], &[1, 1, 1], &[0, 0, 1], &[1, 1, 1]];
        assert_eq!(taken_at(&[0, 1, 2, 3], &uses, 1, 3), []);
    }

    #[test]
    fn what_stands_along_the_wall_is_fetched_once_by_each() {
        let uses: [&[u32]; 4] = [&[0, 1], &[0, 0], &[1, 1], &[1, 2]];
        let fetched = [(0, 1, 0), (2, 1, 0), (3, 1, 0)];
        assert_eq!(taken_at(&[0, 1, 2, 3], &uses, 0, 3), fetched);
    }

    #[test]
    fn what_lies_at_every_place_for_later_is_there_already() {
        let uses: [&[u32]; 3] = [&[0, 0], &[1, 1], &[2, 1]];
        assert_eq!(taken_at(&[0, 1, 2], &uses, 1, 3), [(2, 1, 0)]);
    }

    #[test]
    fn where_none_is_left_along_the_wall_a_place_that_has_no_need_gives_its_own() {
        let uses: [&[u32]; 3] = [&[1, 0], &[0, 1], &[1, 0]];
        let handed_on = [(0, 1, 0), (1, 1, 1), (2, 1, 1)];
        assert_eq!(taken_at(&[0, 1, 2], &uses, 0, 1), handed_on);
        assert_eq!(taken_at(&[0, 1, 2], &uses, 0, 2), [(0, 1, 0), (1, 1, 0)]);
        // All lie at the places: none is along the wall.
        let uses: [&[u32]; 1] = [&[0, 0, 2]];
        assert_eq!(taken_at(&[0], &uses, 1, 3), [(0, 1, 1)]);
        // What is not there is not fetched.
        let uses: [&[u32]; 1] = [&[1, 1, 2]];
        assert_eq!(taken_at(&[0], &uses, 1, 3), []);
    }

    #[test]
    fn who_needs_theirs_soonest_keeps_it() {
        let uses: [&[u32]; 3] = [&[1, 1, 0], &[0, 0, 1], &[1, 0, 0]];
        assert_eq!(
            taken_at(&[0, 1, 2], &uses, 0, 2),
            [(0, 2, 0), (1, 1, 1)],
            "the second gives theirs, for the first needs it again"
        );
    }

    #[test]
    fn both_sides_of_a_line_are_fetched_and_set_out_for_at_once() {
        let by_pass = [vec![0, 1], vec![1, 0]];
        let uses = Uses {
            lines: &[0, 0],
            by_pass: &by_pass,
            before_others: 3,
            ways: &[0, 1],
        };
        assert_eq!(uses.most(), 3, "and one for a way");
        let fetched: [&[u32]; 2] = [&[0, 1], &[1, 0]];
        assert_eq!(taken_at(&[0, 0], &fetched, 0, 2), [(0, 2, 0)]);
    }

    #[test]
    fn what_stands_by_for_a_way_is_not_fetched_for_the_step() {
        let by_pass = [vec![0, 1, 0], vec![1, 0, 1]];
        let uses = Uses {
            lines: &[0, 1],
            by_pass: &by_pass,
            before_others: 3,
            ways: &[0, 1],
        };
        assert_eq!(uses.most(), 3);
        let taken = uses.fetched(&[0, 0, 0], 3);
        let taken: Vec<_> = taken
            .iter()
            .map(|one| (one.number, one.spared, one.to_first))
            .collect();
        assert_eq!(taken, [(1, 0, false), (2, 1, true)]);
    }

    #[test]
    fn who_comes_last_gives_what_the_others_cannot_do_without() {
        let by_pass = [vec![2, 0, 2]];
        let served = |before_others, lain: &[u32]| {
            let uses = Uses {
                lines: &[0],
                by_pass: &by_pass,
                before_others,
                ways: &[],
            };
            let taken = uses.fetched(lain, 3);
            taken
                .iter()
                .map(|one| (one.number, one.spared))
                .collect::<Vec<_>>()
        };
        // The second has no need and gives its own first; the last takes or gives what is over.
        assert_eq!(served(3, &[1, 1, 1]), [(1, 1)]);
        assert_eq!(served(3, &[1, 0, 2]), []);
        assert_eq!(served(2, &[1, 0, 2]), [(1, 1)]);
    }
}
