//! The label search: the cheapest path of one person that keeps all budgets.
//!
//! Takes priced costs and what is left to go without budgets, and gives the best path, best
//! first. Invariant: what it gives is the cheapest, or, when labels run out, no path is cheaper.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::meter::Meter;
use super::room::{HOPELESS, Person};

/// A path to one candidate.
struct Label {
    before: u32,
    node: u32,
    at: u32,
    priced: i64,
    real: i64,
}

/// What is known of the costs when the search begins.
pub(super) struct Guide<'a> {
    /// Costs with every second of a budget priced.
    pub(super) priced: &'a [i64],
    /// The least that is left to go under these.
    pub(super) to_go: &'a [i64],
    /// The price of each budget's seconds.
    pub(super) per_second: &'a [i64],
}

/// No label stands before the first.
const NONE: u32 = u32::MAX;

/// The cheapest path that keeps all budgets, with its cost, or a bound of it when there are more
/// than `most_labels` paths to look at. [`HOPELESS`] and more: there is none.
pub(super) fn search(
    person: &Person,
    guide: &Guide<'_>,
    most_labels: usize,
    work: &mut u64,
) -> Result<(i64, Vec<u32>), i64> {
    let refund: i64 = person
        .budgets
        .iter()
        .zip(guide.per_second)
        .map(|(limits, price)| i64::from(limits.class_s) * price)
        .sum();
    let width = person.budgets.len();
    let mut labels: Vec<Label> = Vec::new();
    let mut meters: Vec<Meter> = Vec::new();
    let mut closed: Vec<Vec<u32>> = vec![Vec::new(); person.cands.len()];
    // The least bound first; of equals the one that is furthest, then the oldest.
    let mut heap: BinaryHeap<(Reverse<i64>, u32, Reverse<u32>)> = BinaryHeap::new();
    let start = vec![Meter::START; width];
    let mut reading = start.clone();
    extend(
        person,
        guide,
        &mut labels,
        &mut meters,
        &mut heap,
        &mut reading,
        (NONE, 0, 0, 0),
        &start,
        refund,
    );
    let last = person.nodes.len() as u32 - 1;
    while let Some((Reverse(bound), _, Reverse(number))) = heap.pop() {
        *work += 16;
        let (node, at) = (labels[number as usize].node, labels[number as usize].at);
        if node == last {
            return Ok((bound, trace(&labels, number, person.nodes.len())));
        }
        if labels.len() > most_labels {
            return Err(bound);
        }
        let own = number as usize;
        let beaten = closed[at as usize].iter().any(|&other| {
            let other = other as usize;
            labels[other].real <= labels[own].real
                && (0..width).all(|k| meters[other * width + k].no_worse(meters[own * width + k]))
        });
        *work += closed[at as usize].len() as u64;
        if beaten {
            continue;
        }
        closed[at as usize].push(number);
        let from = meters[own * width..(own + 1) * width].to_vec();
        let (priced, real) = (labels[own].priced, labels[own].real);
        let step = (number, node + 1, priced, real);
        extend(
            person,
            guide,
            &mut labels,
            &mut meters,
            &mut heap,
            &mut reading,
            step,
            &from,
            refund,
        );
    }
    Err(HOPELESS)
}

/// Adds a label for every candidate of a node that can follow.
#[expect(
    clippy::too_many_arguments,
    reason = "the parts of one search, borrowed apart"
)]
fn extend(
    person: &Person,
    guide: &Guide<'_>,
    labels: &mut Vec<Label>,
    meters: &mut Vec<Meter>,
    heap: &mut BinaryHeap<(Reverse<i64>, u32, Reverse<u32>)>,
    reading: &mut [Meter],
    (before, n, priced, real): (u32, u32, i64, i64),
    from: &[Meter],
    refund: i64,
) {
    let node = &person.nodes[n as usize];
    let is_last = n as usize + 1 == person.nodes.len();
    'next: for i in node.first..node.first + node.len {
        let link = match before {
            NONE => 0,
            before => {
                let earlier = &person.nodes[n as usize - 1];
                let a = labels[before as usize].at as usize - earlier.first;
                person.links[earlier.links + a * node.len + (i - node.first)]
            }
        };
        if link + guide.to_go[i] >= HOPELESS {
            continue;
        }
        let mut paid = 0;
        for (k, limits) in person.budgets.iter().enumerate() {
            let used = person.uses[i] >> k & 1 == 1;
            let Some(next) = from[k].after(used, node.seconds, node.visits, node.place, *limits)
            else {
                continue 'next;
            };
            if used {
                paid += guide.per_second[k] * i64::from(node.seconds) * i64::from(node.visits);
            }
            reading[k] = next;
        }
        let real = real + link + guide.priced[i] - paid;
        let bound = if is_last {
            real
        } else {
            priced + link + guide.to_go[i] - refund
        };
        let number = labels.len() as u32;
        let priced = priced + link + guide.priced[i];
        labels.push(Label {
            before,
            node: n,
            at: i as u32,
            priced,
            real,
        });
        meters.extend_from_slice(reading);
        heap.push((Reverse(bound), n, Reverse(number)));
    }
}

fn trace(labels: &[Label], last: u32, nodes: usize) -> Vec<u32> {
    let mut path = vec![0; nodes];
    let mut number = last;
    for slot in path.iter_mut().rev() {
        let label = &labels[number as usize];
        *slot = label.at;
        number = label.before;
    }
    path
}
