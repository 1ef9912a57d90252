//! Who gets the props when a menu is settled and they do not reach for everybody.
//!
//! Takes one line's menu and prices and gives the cheapest choices that fit the stock. Only props
//! that would run over are counted in the table; one that runs over in the answer is added.
//! Invariant: `Found` is the exact minimum of its menu.

use super::fitting::fitted;
use super::room::REST;
use super::stock::LineAsk;

/// Labels that go on in the first, narrow look.
const NARROW: usize = 40;

/// Most labels that are compared each with each.
const MOST_COMPARED: usize = 4096;

/// What sharing the props of one menu gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Share {
    /// The cheapest choices, by seat, and what they cost together.
    Found { paid: i64, choices: Vec<u32> },
    /// Nothing fits, or nothing that is cheaper than the limit.
    None,
    /// There are too many ways; none costs less than this.
    TooMany(i64, Option<(i64, Vec<u32>)>),
}

/// One thing a person may do at the line: both seats where there are two.
pub(super) struct Choice {
    pub(super) paid: i64,
    /// How many of each short prop it holds.
    pub(super) held: Vec<u32>,
    at: [u32; 2],
}

/// The cheapest choices from `menu` that fit the stock, if they cost less than `limit`.
///
/// `per_prop` are prices that make what fits nearly the cheapest; any will do.
pub(super) fn share(
    ask: &LineAsk<'_>,
    menu: u64,
    per_prop: &[i64],
    limit: i64,
    most_labels: usize,
    work: &mut u64,
) -> Share {
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
        let (picks, bound) = match fill(ask, &people, &counted, per_prop, limit, most_labels, work)
        {
            Filled::Picks(picks) => (Some(picks), None),
            Filled::Nothing => return Share::None,
            Filled::TooMany(bound, picks) => (picks, Some(bound)),
        };
        let Some(picks) = picks else {
            return Share::TooMany(bound.unwrap_or(i64::MIN), None);
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
            return match bound {
                None => Share::Found { paid, choices: at },
                Some(bound) => Share::TooMany(bound, Some((paid, at))),
            };
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

/// A part of the people has chosen.
#[derive(Clone, Copy)]
struct Label {
    /// What they pay.
    paid: i64,
    /// The same with every prop at its price.
    priced: i64,
    /// How many of each counted prop they hold, packed.
    used: u128,
    before: u32,
    pick: u8,
}

/// How counts of several props stand in one number, each with a free bit above it.
struct Packing {
    shifts: Vec<u32>,
    /// The free bits.
    guard: u128,
    /// The whole stock with all free bits set.
    full: u128,
}

impl Packing {
    /// Room for every stock; none when there are too many props.
    fn new(stocks: &[u32]) -> Option<Self> {
        let mut packing = Self {
            shifts: Vec::new(),
            guard: 0,
            full: 0,
        };
        let mut at = 0;
        for &stock in stocks {
            let width = 33 - stock.leading_zeros();
            packing.shifts.push(at);
            if at + width > 128 {
                return None;
            }
            packing.guard |= 1 << (at + width - 1);
            packing.full |= u128::from(stock) << at;
            at += width;
        }
        packing.full |= packing.guard;
        Some(packing)
    }

    /// A choice packed; none when it alone holds more than there is.
    fn pack(&self, choice: &Choice, counted: &[usize], stocks: &[u32]) -> Option<u128> {
        let mut sum = 0;
        for ((&k, &stock), shift) in counted.iter().zip(stocks).zip(&self.shifts) {
            if choice.held[k] > stock {
                return None;
            }
            sum |= u128::from(choice.held[k]) << shift;
        }
        Some(sum)
    }

    fn fits(&self, used: u128) -> bool {
        (self.full - used) & self.guard == self.guard
    }

    /// Whether `a` holds no more of anything than `b`.
    fn no_more(&self, a: u128, b: u128) -> bool {
        ((b | self.guard) - a) & self.guard == self.guard
    }
}

/// What filling gave.
enum Filled {
    /// For every person the number of their choice.
    Picks(Vec<usize>),
    /// Nothing fits, or nothing that is cheaper than the limit.
    Nothing,
    /// There are too many ways; none costs less than this.
    TooMany(i64, Option<Vec<usize>>),
}

/// The cheapest choices when only the props in `counted` are limited, if they cost less than
/// `limit`.
///
/// Person after person, those first who lose most by another choice; a part is given up when it
/// cannot get below the limit with every prop at its price, or when another part pays and holds
/// no more.
fn fill(
    ask: &LineAsk<'_>,
    people: &[(usize, Vec<Choice>)],
    counted: &[usize],
    per_prop: &[i64],
    limit: i64,
    most_labels: usize,
    work: &mut u64,
) -> Filled {
    let line = &ask.room.lines[ask.t];
    let mut picks = vec![0usize; people.len()];
    // Whoever holds nothing that is counted in their cheapest choice takes it.
    let mut fixed = 0;
    let mut holders: Vec<Holder> = Vec::new();
    let stocks: Vec<u32> = counted.iter().map(|&k| line.tight[k].stock).collect();
    let Some(packing) = Packing::new(&stocks) else {
        return Filled::TooMany(i64::MIN, None);
    };
    let per_prop = fitted(people, counted, &stocks, per_prop, work);
    for (p, (_, choices)) in people.iter().enumerate() {
        if counted.iter().all(|&k| choices[0].held[k] == 0) {
            fixed += choices[0].paid;
            continue;
        }
        let mut own = Vec::new();
        for (number, choice) in choices.iter().enumerate().take(usize::from(u8::MAX)) {
            if let Some(used) = packing.pack(choice, counted, &stocks) {
                let price: i64 = counted
                    .iter()
                    .map(|&k| per_prop[k] * i64::from(choice.held[k]))
                    .sum();
                own.push((choice.paid + price, choice.paid, used, number as u8));
            }
        }
        own.sort_unstable();
        if own.is_empty() {
            return Filled::Nothing;
        }
        let regret = own.get(1).map_or(i64::MAX, |second| second.0 - own[0].0);
        holders.push(Holder {
            p,
            regret,
            choices: own,
        });
    }
    if holders.is_empty() {
        return if fixed < limit {
            Filled::Picks(picks)
        } else {
            Filled::Nothing
        };
    }
    holders.sort_by_key(|holder| (std::cmp::Reverse(holder.regret), holder.p));
    let refund: i64 = counted
        .iter()
        .zip(&stocks)
        .map(|(&k, &stock)| per_prop[k] * i64::from(stock))
        .sum();
    // What is left to pay after each holder, at least.
    let mut to_go = vec![fixed - refund; holders.len() + 1];
    for (n, holder) in holders.iter().enumerate().rev() {
        to_go[n] = to_go[n + 1] + holder.choices[0].0;
    }
    let sharing = Sharing {
        packing,
        holders,
        to_go,
        fixed,
    };
    let limit = sharing.greedy().map_or(limit, |paid| limit.min(paid + 1));
    // A narrow look first: what it finds keeps the wide one small.
    let narrow = NARROW.min(most_labels);
    let (mut found, mut let_go) = sharing.layered(limit, narrow, work);
    let paid = found.as_ref().map_or(limit, |(paid, _)| *paid);
    if let_go < paid && narrow < most_labels {
        let (better, rest) = sharing.layered(paid, most_labels, work);
        let_go = rest;
        if better.is_some() {
            found = better;
        }
    }
    let Some((paid, own)) = found else {
        return if let_go == i64::MAX {
            Filled::Nothing
        } else {
            Filled::TooMany(let_go, None)
        };
    };
    for (holder, pick) in sharing.holders.iter().zip(own) {
        picks[holder.p] = pick;
    }
    if paid <= let_go {
        Filled::Picks(picks)
    } else {
        Filled::TooMany(let_go, Some(picks))
    }
}

/// Everything that the people who hold something may do.
struct Sharing {
    packing: Packing,
    holders: Vec<Holder>,
    /// What is left to pay after each holder, at least.
    to_go: Vec<i64>,
    /// What the others pay.
    fixed: i64,
}

impl Sharing {
    /// The cheapest way below `limit`, with what it costs, going on with `most` labels from each
    /// holder; and what no way that was let go costs less than.
    fn layered(&self, limit: i64, most: usize, work: &mut u64) -> (Option<(i64, Vec<usize>)>, i64) {
        let mut layers: Vec<Vec<Label>> = vec![vec![Label {
            paid: self.fixed,
            priced: 0,
            used: 0,
            before: 0,
            pick: 0,
        }]];
        let mut let_go = i64::MAX;
        for (n, holder) in self.holders.iter().enumerate() {
            let to_go = self.to_go[n + 1];
            let mut next = Vec::new();
            for (before, label) in layers[n].iter().enumerate() {
                for &(priced, paid, used, pick) in &holder.choices {
                    let priced = label.priced + priced;
                    if priced + to_go >= limit {
                        break;
                    }
                    let used = label.used + used;
                    if self.packing.fits(used) {
                        next.push(Label {
                            paid: label.paid + paid,
                            priced,
                            used,
                            before: before as u32,
                            pick,
                        });
                    }
                }
            }
            *work += next.len() as u64 * 4;
            if next.len() > 4 * most {
                let_go = let_go.min(to_go + keep_best(&mut next, 4 * most));
            }
            prune(&self.packing, &mut next, work);
            if next.len() > most {
                let_go = let_go.min(to_go + keep_best(&mut next, most));
            }
            layers.push(next);
        }
        let last = &layers[self.holders.len()];
        let best = (0..last.len()).min_by_key(|&i| (last[i].paid, i));
        let Some(mut at) = best.filter(|&i| last[i].paid < limit) else {
            return (None, let_go);
        };
        let paid = last[at].paid;
        let mut picks = Vec::with_capacity(self.holders.len());
        for layer in layers[1..].iter().rev() {
            picks.push(usize::from(layer[at].pick));
            at = layer[at].before as usize;
        }
        picks.reverse();
        (Some((paid, picks)), let_go)
    }

    /// What it costs when one after another takes the cheapest that is left.
    fn greedy(&self) -> Option<i64> {
        let (mut used, mut paid) = (0, self.fixed);
        for holder in &self.holders {
            let choice = holder
                .choices
                .iter()
                .find(|choice| self.packing.fits(used + choice.2))?;
            used += choice.2;
            paid += choice.1;
        }
        Some(paid)
    }
}

/// Lets go of all labels but the `most` that can be cheapest; gives back the least of the rest.
fn keep_best(labels: &mut Vec<Label>, most: usize) -> i64 {
    labels.select_nth_unstable_by_key(most, |label| {
        (label.priced, label.used, label.before, label.pick)
    });
    let rest = labels[most..].iter().map(|label| label.priced).min();
    labels.truncate(most);
    rest.unwrap_or(i64::MAX / 4)
}

/// Drops labels that another beats or equals in what is paid and in all that is held.
fn prune(packing: &Packing, labels: &mut Vec<Label>, work: &mut u64) {
    labels.sort_unstable_by_key(|label| (label.used, label.paid, label.before, label.pick));
    labels.dedup_by_key(|label| label.used);
    if labels.len() > MOST_COMPARED {
        return;
    }
    labels.sort_unstable_by_key(|label| (label.paid, label.used));
    let mut kept = 0;
    for i in 0..labels.len() {
        let label = labels[i];
        *work += kept as u64 / 8;
        let beaten = labels[..kept]
            .iter()
            .any(|other| packing.no_more(other.used, label.used));
        if !beaten {
            labels[kept] = label;
            kept += 1;
        }
    }
    labels.truncate(kept);
}

/// Somebody whose cheapest choice holds something that is counted.
struct Holder {
    p: usize,
    regret: i64,
    /// With props at their price, without, packed counts, number; the cheapest first.
    choices: Vec<(i64, i64, u128, u8)>,
}
