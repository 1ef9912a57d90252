//! Settling by reduced cost: what can no longer be part of a better plan is closed.
//!
//! Takes an ascent at good prices and closes, in a domain, candidates and menus whose bound is
//! not below the plan in hand. Invariant: every plan that is better stays open.

use super::bound::{Ascent, Trouble};
use super::menu::{MenuScratch, Table, bits};
use super::room::{Domain, HOPELESS, REST, Room};

/// What settling did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Settled {
    /// Nothing better is open.
    Nothing,
    /// So many candidates and shapes were settled.
    Some(usize),
}

/// Closes what costs more than `enough` at the present prices.
pub(super) fn settle(
    ascent: &mut Ascent<'_>,
    domain: &mut Domain,
    enough: i64,
    trouble: Trouble,
    work: &mut u64,
) -> Settled {
    let bound = ascent.evaluate(domain, trouble, work);
    if bound > enough {
        return Settled::Nothing;
    }
    let slack = enough - bound;
    let room = ascent.room;
    let mut settled = 0;
    let mut extra: Vec<Vec<i64>> = Vec::with_capacity(room.lines.len());
    for t in 0..room.lines.len() {
        extra.push(settle_menu(ascent, domain, t, slack, &mut settled, work));
    }
    let (mut costs, mut so_far, mut to_go) = (Vec::new(), Vec::new(), Vec::new());
    for (p, person) in room.people.iter().enumerate() {
        ascent.priced_costs(p, domain, &mut costs);
        let refund = ascent.prices.tariffs[p].add_to(person, &mut costs);
        person.both_ways(&costs, &domain.open[p], &mut so_far, &mut to_go);
        *work += person.links.len() as u64 * 2;
        let least = ascent.people[p].bound;
        for node in &person.nodes {
            let line = &room.lines[node.line];
            for i in node.first..node.first + node.len {
                if !domain.open[p][i] {
                    continue;
                }
                let through = so_far[i] + to_go[i] - costs[i] - refund;
                let mut over = (through - least).max(0);
                if let Some(more) =
                    extra[node.line].get(usize::from(line.shape_of[usize::from(person.cands[i])]))
                {
                    over += more;
                }
                if over > slack || so_far[i] >= HOPELESS || to_go[i] >= HOPELESS {
                    domain.open[p][i] = false;
                    settled += 1;
                }
            }
        }
    }
    if settled > 0 {
        if !follow(room, domain) {
            return Settled::Nothing;
        }
        ascent.restart(None);
    }
    Settled::Some(settled)
}

/// Settles shapes of one line; gives back how much each costs beyond the line's answer when it
/// is on the menu.
fn settle_menu(
    ascent: &Ascent<'_>,
    domain: &mut Domain,
    t: usize,
    slack: i64,
    settled: &mut usize,
    work: &mut u64,
) -> Vec<i64> {
    let room = ascent.room;
    let line = &room.lines[t];
    let per_prop = &ascent.prices.per_prop[t];
    let refund = line.refund(per_prop);
    let found = &ascent.lines[t];
    let mut table = Table::default();
    let mut scratch = MenuScratch::default();
    table.fill(room, t, &ascent.prices.of_candidate, domain, per_prop);
    let (on, off) = (domain.on[t] | line.must, domain.off[t]);
    let mut extra = vec![0i64; line.shapes];
    for shape in 0..line.shapes {
        let bit = 1u64 << shape;
        if (on | off) & bit != 0 {
            continue;
        }
        let with = table.best(
            room,
            line,
            (on | bit, off),
            found.menu | bit,
            &mut scratch,
            work,
        );
        extra[shape] = (with.value - refund - found.bound).max(0);
        if extra[shape] > slack {
            domain.off[t] |= bit;
            *settled += 1;
            continue;
        }
        let without = table.best(
            room,
            line,
            (on, off | bit),
            found.menu & !bit,
            &mut scratch,
            work,
        );
        if without
            .value
            .saturating_sub(refund)
            .saturating_sub(found.bound)
            > slack
        {
            domain.on[t] |= bit;
            *settled += 1;
        }
    }
    extra
}

/// Carries settled shapes and candidates over to each other; false when somebody has nothing left.
pub(super) fn follow(room: &Room, domain: &mut Domain) -> bool {
    for (t, line) in room.lines.iter().enumerate() {
        let mut reachable = 0u64;
        for seat in &line.seats {
            let person = &room.people[seat.person];
            let node = &person.nodes[seat.node];
            let mut only = None;
            let mut count = 0;
            for i in node.first..node.first + node.len {
                let bit = line.shape_bit(person.cands[i]);
                if bit & domain.off[t] != 0 {
                    domain.open[seat.person][i] = false;
                }
                if domain.open[seat.person][i] {
                    count += 1;
                    only = Some(person.cands[i]);
                    reachable |= bit;
                }
            }
            match (count, only) {
                (0, _) => return false,
                (1, Some(c)) if line.shape_of[usize::from(c)] != REST => {
                    domain.on[t] |= line.shape_bit(c)
                }
                _ => {}
            }
        }
        // A shape that nobody can take pays only for its own sake.
        let kept = reachable | line.kinder | line.must | 1 << line.taught | domain.on[t];
        for shape in 0..line.shapes {
            if kept >> shape & 1 == 0 {
                domain.off[t] |= 1 << shape;
            }
        }
        if domain.on[t] & domain.off[t] != 0
            || (line.kinder != 0 && bits(line.kinder & !domain.off[t]).next().is_none())
        {
            return false;
        }
    }
    true
}
