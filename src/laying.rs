//! Where props lie and when they are fetched: what stands at every place is not fetched, and what
//! somebody fetched stays by their mat.

/// Props taken up at a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The pass, counted from 0.
    pub at: usize,
    /// How many are fetched, all people together.
    pub number: u32,
    /// Whether somebody uses the prop at a later line.
    pub again: bool,
}

/// How many lie at every place, and how many are left to stand along the wall.
pub fn shared(number: u32, places: u32) -> (u32, u32) {
    let places = places.max(1);
    (number / places, number % places)
}

/// When a prop is fetched. `lines` is the line of each pass; `uses`, for each pass, what each person
/// uses of it; `each` is what lies at every place, and is there already. Where there are no more than
/// `stock`, who uses theirs no longer hands it on.
pub fn fetched(lines: &[usize], uses: &[Vec<u32>], each: u32, stock: Option<u32>) -> Vec<Taken> {
    let people = uses.iter().map(Vec::len).max().unwrap_or(0);
    let mut kept = vec![each; people];
    let mut found = Vec::new();
    for (at, &line) in lines.iter().enumerate() {
        if at > 0 && lines.get(at - 1) == Some(&line) {
            continue;
        }
        // What the line needs is fetched before it, for both sides.
        let turns = lines.iter().zip(uses).skip(at);
        let turns = turns.take_while(|(other, _)| **other == line);
        let mut needs = vec![0; people];
        for (_, used) in turns {
            for (need, &used) in needs.iter_mut().zip(used) {
                *need = used.max(*need);
            }
        }
        let mut number = 0;
        for (kept, &need) in kept.iter_mut().zip(&needs) {
            number += need.saturating_sub(*kept);
            *kept = need.max(*kept);
        }
        let all: u32 = kept.iter().sum();
        let mut handed_on = stock.map_or(0, |stock| all.saturating_sub(stock));
        for (kept, &need) in kept.iter_mut().zip(&needs) {
            let idle = (*kept - need).min(handed_on);
            *kept -= idle;
            handed_on -= idle;
        }
        if number > 0 {
            let again = again(lines, uses, at);
            found.push(Taken { at, number, again });
        }
    }
    found
}

/// Whether the prop is used at a line after that of a pass.
fn again(lines: &[usize], uses: &[Vec<u32>], at: usize) -> bool {
    let line = lines.get(at).copied().unwrap_or(0);
    let mut later = lines.iter().zip(uses).skip(at);
    later.any(|(other, used)| *other > line && used.iter().any(|&used| used > 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taken_at(
        lines: &[usize],
        uses: &[&[u32]],
        each: u32,
        stock: Option<u32>,
    ) -> Vec<(usize, u32, bool)> {
        let uses: Vec<Vec<u32>> = uses.iter().map(|used| used.to_vec()).collect();
        let taken = fetched(lines, &uses, each, stock);
        taken
            .iter()
            .map(|one| (one.at, one.number, one.again))
            .collect()
    }

    #[test]
    fn chairs_that_everyone_sits_on_from_the_start_are_never_fetched() {
        let uses: [&[u32]; 4] = [&[1, 1, 1], &[1, 1, 1], &[0, 0, 1], &[1, 1, 1]];
        assert_eq!(taken_at(&[0, 1, 2, 3], &uses, 1, None), []);
    }

    #[test]
    fn what_stands_along_the_wall_is_fetched_once_by_each() {
        let uses: [&[u32]; 4] = [&[0, 1], &[0, 0], &[1, 1], &[1, 2]];
        let fetched = [(0, 1, true), (2, 1, true), (3, 1, false)];
        assert_eq!(taken_at(&[0, 1, 2, 3], &uses, 0, None), fetched);
    }

    #[test]
    fn what_lies_at_every_place_for_later_is_there_already() {
        let uses: [&[u32]; 3] = [&[0, 0], &[1, 1], &[2, 1]];
        assert_eq!(taken_at(&[0, 1, 2], &uses, 1, None), [(2, 1, false)]);
    }

    #[test]
    fn who_handed_theirs_on_fetches_again() {
        let uses: [&[u32]; 3] = [&[1, 0], &[0, 1], &[1, 0]];
        let fetched = [(0, 1, true), (1, 1, true), (2, 1, false)];
        assert_eq!(taken_at(&[0, 1, 2], &uses, 0, Some(1)), fetched);
        assert_eq!(taken_at(&[0, 1, 2], &uses, 0, Some(2)), fetched[..2]);
    }

    #[test]
    fn both_sides_of_a_line_are_fetched_for_at_once() {
        let uses: [&[u32]; 2] = [&[0, 1], &[1, 0]];
        assert_eq!(taken_at(&[0, 0], &uses, 0, None), [(0, 2, false)]);
    }
}
