//! Who gets the props when a menu is settled and they do not reach for everybody.
//!
//! Takes one line's menu and prices and gives the cheapest choices that fit the stock. Only props
//! that would run over are counted in the table; one that runs over in the answer is added.
//! Invariant: `Found` is the exact minimum of its menu.

use super::room::{HOPELESS, REST};
use super::stock::LineAsk;

/// Most entries of a table before the menu is given up.
const MOST_ENTRIES: usize = 1 << 20;

/// A sum as large as this stands for no choice at all.
const NOTHING_FITS: i64 = HOPELESS / 2;

/// What sharing the props of one menu gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Share {
    /// The cheapest choices, by seat, and what they cost together.
    Found { paid: i64, choices: Vec<u32> },
    /// Nothing fits.
    None,
    /// The table would be too large.
    TooMany,
}

/// One thing a person may do at the line: both seats where there are two.
struct Choice {
    paid: i64,
    held: Vec<u32>,
    at: [u32; 2],
}

/// The cheapest choices from `menu` that fit the stock.
pub(super) fn share(ask: &LineAsk<'_>, menu: u64, work: &mut u64) -> Share {
    let line = &ask.room.lines[ask.t];
    let mut people: Vec<(usize, Vec<Choice>)> = Vec::new();
    let mut seat = 0;
    while seat < line.seats.len() {
        let seats = if line
            .seats
            .get(seat + 1)
            .is_some_and(|next| next.person == line.seats[seat].person)
        {
            2
        } else {
            1
        };
        let mut choices = seat_choices(ask, menu, seat);
        if seats == 2 {
            choices = joined(&choices, &seat_choices(ask, menu, seat + 1));
        }
        let choices = undominated(choices);
        if choices.is_empty() {
            return Share::None;
        }
        people.push((seats, choices));
        seat += seats;
    }
    let mut counted: Vec<usize> = Vec::new();
    loop {
        let Some(picks) = fill(ask, &people, &counted, work) else {
            return Share::TooMany;
        };
        let Some(picks) = picks else {
            return Share::None;
        };
        let mut grown = false;
        for (k, tight) in line.tight.iter().enumerate() {
            let held: u64 = people
                .iter()
                .zip(&picks)
                .map(|((_, choices), &pick)| u64::from(choices[pick].held[k]))
                .sum();
            if held > u64::from(tight.stock) && !counted.contains(&k) {
                counted.push(k);
                grown = true;
            }
        }
        if !grown {
            let mut paid = 0;
            let mut at = Vec::with_capacity(line.seats.len());
            for ((seats, choices), &pick) in people.iter().zip(&picks) {
                paid += choices[pick].paid;
                at.extend_from_slice(&choices[pick].at[..*seats]);
            }
            return Share::Found { paid, choices: at };
        }
    }
}

fn seat_choices(ask: &LineAsk<'_>, menu: u64, seat: usize) -> Vec<Choice> {
    let line = &ask.room.lines[ask.t];
    let at = line.seats[seat];
    let person = &ask.room.people[at.person];
    let node = &person.nodes[at.node];
    let mut choices = Vec::new();
    for i in node.first..node.first + node.len {
        let candidate = usize::from(person.cands[i]);
        let shape = line.shape_of[candidate];
        if !ask.domain.open[at.person][i] || (shape != REST && menu >> shape & 1 == 0) {
            continue;
        }
        let held = line
            .tight
            .iter()
            .map(|tight| tight.held[candidate])
            .collect();
        choices.push(Choice {
            paid: -ask.prices[at.person][i],
            held,
            at: [i as u32, 0],
        });
    }
    undominated(choices)
}

fn joined(first: &[Choice], second: &[Choice]) -> Vec<Choice> {
    let mut both = Vec::new();
    for a in first {
        for b in second {
            let held = a.held.iter().zip(&b.held).map(|(a, b)| *a.max(b)).collect();
            both.push(Choice {
                paid: a.paid + b.paid,
                held,
                at: [a.at[0], b.at[0]],
            });
        }
    }
    both
}

/// Choices that no cheaper one beats in everything it holds; the cheapest first.
fn undominated(mut choices: Vec<Choice>) -> Vec<Choice> {
    choices.sort_by(|a, b| (a.paid, &a.held).cmp(&(b.paid, &b.held)));
    let mut kept: Vec<Choice> = Vec::new();
    for choice in choices {
        let beaten = kept
            .iter()
            .any(|k| k.held.iter().zip(&choice.held).all(|(a, b)| a <= b));
        if !beaten {
            kept.push(choice);
        }
    }
    kept
}

/// For every person the number of their choice, when only the props in `counted` are limited; the
/// outer `None` when the table would be too large, the inner one when nothing fits.
fn fill(
    ask: &LineAsk<'_>,
    people: &[(usize, Vec<Choice>)],
    counted: &[usize],
    work: &mut u64,
) -> Option<Option<Vec<usize>>> {
    let line = &ask.room.lines[ask.t];
    let mut picks = vec![0usize; people.len()];
    // Whoever holds nothing that is counted in their cheapest choice takes it.
    let holders: Vec<usize> = (0..people.len())
        .filter(|&p| counted.iter().any(|&k| people[p].1[0].held[k] > 0))
        .collect();
    if holders.is_empty() {
        return Some(Some(picks));
    }
    let sizes: Vec<usize> = counted
        .iter()
        .map(|&k| line.tight[k].stock as usize + 1)
        .collect();
    let states = sizes
        .iter()
        .try_fold(1usize, |all, size| all.checked_mul(*size))?;
    if states.checked_mul(holders.len())? > MOST_ENTRIES {
        return None;
    }
    let mut strides = Vec::with_capacity(sizes.len());
    let mut stride = 1;
    for size in &sizes {
        strides.push(stride);
        stride *= size;
    }
    // value[state]: the least that the people so far pay within that much of each counted prop.
    let mut value = vec![0i64; states];
    let mut taken = vec![u8::MAX; states * holders.len()];
    let mut next = vec![HOPELESS; states];
    for (row, &p) in holders.iter().enumerate() {
        next.fill(HOPELESS);
        for (number, choice) in people[p].1.iter().enumerate().take(usize::from(u8::MAX)) {
            let held: Vec<usize> = counted.iter().map(|&k| choice.held[k] as usize).collect();
            let offset: usize = held
                .iter()
                .zip(&strides)
                .map(|(held, stride)| held * stride)
                .sum();
            *work += states as u64;
            for state in offset..states {
                let room_left = held
                    .iter()
                    .zip(&strides)
                    .zip(&sizes)
                    .all(|((held, stride), size)| state / stride % size >= *held);
                if room_left
                    && value[state - offset] < NOTHING_FITS
                    && value[state - offset] + choice.paid < next[state]
                {
                    next[state] = value[state - offset] + choice.paid;
                    taken[row * states + state] = number as u8;
                }
            }
        }
        std::mem::swap(&mut value, &mut next);
    }
    let mut state = states - 1;
    if value[state] >= NOTHING_FITS {
        return Some(None);
    }
    for (row, &p) in holders.iter().enumerate().rev() {
        let number = usize::from(taken[row * states + state]);
        picks[p] = number;
        state -= counted
            .iter()
            .zip(&strides)
            .map(|(&k, stride)| people[p].1[number].held[k] as usize * stride)
            .sum::<usize>();
    }
    Some(Some(picks))
}
