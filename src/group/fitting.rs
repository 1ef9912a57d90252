//! Prices of props that fit one menu of one line.
//!
//! Takes what everybody may choose from the menu and prices that were made for the line as a
//! whole, and gives prices under which the choices nearly keep to the stock by themselves: the
//! better they fit, the fewer ways there are to share. Invariant: any prices will do for whoever
//! uses them; these only save work.

use super::knapsack::Choice;
use super::room::FINE;

/// Rounds in which prices of props are made to fit one menu.
const PRICE_ROUNDS: usize = 20;

/// Prices of the counted props under which what fits is nearly the cheapest of this very menu:
/// each goes up where too many are held and down where some are left, in steps that grow and
/// shrink; those with the best bound are given back, by number of the prop.
pub(super) fn fitted(
    people: &[(usize, Vec<Choice>)],
    counted: &[usize],
    stocks: &[u32],
    per_prop: &[i64],
    work: &mut u64,
) -> Vec<i64> {
    let mut now = per_prop.to_vec();
    let mut best = (i64::MIN, now.clone());
    let mut steps: Vec<i64> = counted
        .iter()
        .map(|&k| (now[k] / 8).max(FINE / 16))
        .collect();
    let mut last = vec![0i64; counted.len()];
    for _ in 0..PRICE_ROUNDS {
        let mut over: Vec<i64> = stocks.iter().map(|&stock| -i64::from(stock)).collect();
        let mut value: i64 = counted
            .iter()
            .zip(&over)
            .map(|(&k, over)| now[k] * over)
            .sum();
        for (_, choices) in people {
            let priced = |choice: &&Choice| {
                let props = counted.iter().map(|&k| now[k] * i64::from(choice.held[k]));
                choice.paid + props.sum::<i64>()
            };
            if let Some(choice) = choices.iter().min_by_key(priced) {
                value += priced(&choice);
                for (over, &k) in over.iter_mut().zip(counted) {
                    *over += i64::from(choice.held[k]);
                }
            }
        }
        *work += people.len() as u64 * 4;
        if value > best.0 {
            best = (value, now.clone());
        }
        let mut moved = false;
        for (n, &k) in counted.iter().enumerate() {
            let sign = over[n].signum();
            steps[n] = match last[n] * sign {
                1 => steps[n] * 2,
                -1 => steps[n] / 2,
                _ => steps[n],
            }
            .clamp(1, 1 << 40);
            last[n] = sign;
            let next = (now[k] + sign * steps[n]).clamp(0, 1 << 42);
            moved |= next != now[k];
            now[k] = next;
        }
        if !moved {
            break;
        }
    }
    best.1
}
