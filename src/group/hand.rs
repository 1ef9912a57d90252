//! A plan in hand: menus and paths that keep every limit, and how to make one better.
//!
//! Takes menus from anywhere and gives paths that fit the stock, person by person; then goes
//! through the lines in turn and gives each the best menu and the best share of its props while
//! everything else stays as it is. Invariant: a hand keeps all limits and its cost is exact.

use super::bound::Prices;
use super::menu::{MOST_PRICE, bits, serves};
use super::room::{Domain, HOPELESS, NEVER, REST, Room, Seat};
use super::stock::{Effort, LineAsk, LineScratch};
use super::student::Scratch;
use super::tariff::Tariff;
use super::tree::Stop;

/// Most labels when a path of a plan is sought.
const MOST_LABELS: usize = 40;

/// Menus and paths that keep every limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Hand {
    pub(super) menus: Vec<u64>,
    /// By person and node, the position of the candidate.
    pub(super) paths: Vec<Vec<u32>>,
    pub(super) cost: i64,
}

/// The maker of plans; holds memory that is used again.
pub(super) struct Maker<'r> {
    room: &'r Room,
    scratch: Scratch,
    line_scratch: LineScratch,
    costs: Vec<i64>,
    tariffs: Vec<Tariff>,
    stop: Stop,
    so_far: Vec<Vec<i64>>,
    to_go: Vec<Vec<i64>>,
    worth: Vec<Vec<i64>>,
}

impl<'r> Maker<'r> {
    pub(super) fn new(room: &'r Room, stop: Stop) -> Self {
        let empty = || {
            room.people
                .iter()
                .map(|person| vec![0; person.cands.len()])
                .collect()
        };
        Self {
            room,
            scratch: Scratch::default(),
            line_scratch: LineScratch::default(),
            costs: Vec::new(),
            stop,
            tariffs: room.people.iter().map(Tariff::new).collect(),
            so_far: empty(),
            to_go: empty(),
            worth: empty(),
        }
    }

    /// What menus and paths cost together.
    fn cost(&self, menus: &[u64], paths: &[Vec<u32>]) -> i64 {
        let lines: i64 = self
            .room
            .lines
            .iter()
            .zip(menus)
            .map(|(line, &menu)| self.room.menu_cost(line, menu))
            .sum();
        let people: i64 = (0..paths.len()).map(|p| self.path_cost(p, &paths[p])).sum();
        lines + people
    }

    fn path_cost(&self, p: usize, path: &[u32]) -> i64 {
        let person = &self.room.people[p];
        let mut sum = 0;
        for (n, &i) in path.iter().enumerate() {
            sum += person.costs[i as usize];
            if let Some(&j) = path.get(n + 1) {
                let (node, next) = (&person.nodes[n], &person.nodes[n + 1]);
                sum += person.links
                    [node.links + (i as usize - node.first) * next.len + (j as usize - next.first)];
            }
        }
        sum
    }

    /// Paths within menus and stock, person by person, or none when somebody is left over.
    ///
    /// Those with the fewest ways to do without a prop come first; `prices` makes them leave a
    /// prop to those who need it more. Then three rounds in which each looks again.
    pub(super) fn assign(
        &mut self,
        domain: &Domain,
        menus: &[u64],
        prices: &Prices,
        work: &mut u64,
    ) -> Option<Hand> {
        let room = self.room;
        let mut menus = menus.to_vec();
        for (line, menu) in room.lines.iter().zip(&mut menus) {
            *menu |= line.must;
            if !serves(line, *menu) {
                *menu |= 1 << line.kinder.trailing_zeros();
            }
        }
        let mut order: Vec<(usize, usize)> = Vec::with_capacity(room.people.len());
        for (p, person) in room.people.iter().enumerate() {
            let mut without = 0;
            for node in &person.nodes {
                let line = &room.lines[node.line];
                for i in node.first..node.first + node.len {
                    let c = person.cands[i];
                    let offered = line.shape_of[usize::from(c)] == REST
                        || menus[node.line] & line.shape_bit(c) != 0;
                    let bare = line
                        .tight
                        .iter()
                        .all(|tight| tight.held[usize::from(c)] == 0);
                    without += usize::from(!line.tight.is_empty() && offered && bare);
                }
            }
            order.push((without, p));
        }
        order.sort_unstable();
        let mut left: Vec<Vec<i64>> = room
            .lines
            .iter()
            .map(|line| {
                line.tight
                    .iter()
                    .map(|tight| i64::from(tight.stock))
                    .collect()
            })
            .collect();
        let mut paths: Vec<Vec<u32>> = vec![Vec::new(); room.people.len()];
        let scarce = left.iter().any(|props| !props.is_empty());
        let rounds = if scarce { 3 } else { 1 };
        for round in 0..rounds {
            let mut moved = false;
            for &(_, p) in &order {
                if round > 0 {
                    self.hold(p, &paths[p], 1, &mut left);
                }
                let per_prop = if round == 0 && scarce {
                    Some(&prices.per_prop)
                } else {
                    None
                };
                let path = self.path_within(domain, &menus, p, &left, per_prop, work);
                let path = match path {
                    Some(path) => path,
                    None if round > 0 => paths[p].clone(),
                    None => return None,
                };
                self.hold(p, &path, -1, &mut left);
                moved |= path != paths[p];
                paths[p] = path;
            }
            if !moved {
                break;
            }
        }
        let cost = self.cost(&menus, &paths);
        Some(Hand { menus, paths, cost })
    }

    /// Gives back (1) or takes (-1) what a path holds.
    fn hold(&self, p: usize, path: &[u32], sign: i64, left: &mut [Vec<i64>]) {
        let person = &self.room.people[p];
        for (t, k, most) in self.held(p, path) {
            left[t][k] += sign * most * person.members.len() as i64;
        }
    }

    /// The most that a path holds: line, number of the short prop there, how many.
    fn held(&self, p: usize, path: &[u32]) -> Vec<(usize, usize, i64)> {
        let person = &self.room.people[p];
        let mut held: Vec<(usize, usize, i64)> = Vec::new();
        for (node, &i) in person.nodes.iter().zip(path) {
            for (k, tight) in self.room.lines[node.line].tight.iter().enumerate() {
                let here = i64::from(tight.held[usize::from(person.cands[i as usize])]);
                match held
                    .iter_mut()
                    .find(|(t, other, _)| (*t, *other) == (node.line, k))
                {
                    Some((_, _, most)) => *most = (*most).max(here),
                    None => held.push((node.line, k, here)),
                }
            }
        }
        held
    }

    fn path_within(
        &mut self,
        domain: &Domain,
        menus: &[u64],
        p: usize,
        left: &[Vec<i64>],
        per_prop: Option<&Vec<Vec<i64>>>,
        work: &mut u64,
    ) -> Option<Vec<u32>> {
        let person = &self.room.people[p];
        let mut costs = std::mem::take(&mut self.costs);
        costs.clear();
        costs.extend_from_slice(&person.costs);
        for node in &person.nodes {
            let line = &self.room.lines[node.line];
            for i in node.first..node.first + node.len {
                let c = person.cands[i];
                let offered = line.shape_of[usize::from(c)] == REST
                    || menus[node.line] & line.shape_bit(c) != 0;
                let mut there = true;
                for (k, tight) in line.tight.iter().enumerate() {
                    let held = i64::from(tight.held[usize::from(c)]);
                    there &= held <= left[node.line][k];
                    if let Some(prices) = per_prop {
                        costs[i] += held * prices[node.line].get(k).copied().unwrap_or(0);
                    }
                }
                if !domain.open[p][i] || !offered || !there {
                    costs[i] = NEVER;
                }
            }
        }
        let found = person.cheapest(
            &costs,
            &mut self.tariffs[p],
            MOST_LABELS,
            &mut self.scratch,
            work,
        );
        self.costs = costs;
        found.kept.then_some(found.path)
    }

    /// Gives each line in turn the best menu and share of props while all else stays.
    pub(super) fn improve(
        &mut self,
        domain: &Domain,
        hand: &mut Hand,
        rounds: usize,
        work: &mut u64,
    ) {
        let room = self.room;
        for p in 0..room.people.len() {
            self.weigh(domain, hand, p, work);
        }
        for _ in 0..rounds {
            let mut better = false;
            for t in 0..room.lines.len() {
                if self.stop.reached(*work) {
                    return;
                }
                better |= self.improve_line(domain, hand, t, work);
            }
            if !better {
                break;
            }
        }
    }

    /// What each candidate of a person would save on their path (less than 0: cost) while all other nodes keep to
    /// the menus and to props they hold already.
    fn weigh(&mut self, domain: &Domain, hand: &Hand, p: usize, work: &mut u64) {
        let person = &self.room.people[p];
        let mut costs = std::mem::take(&mut self.costs);
        costs.clear();
        costs.extend_from_slice(&person.costs);
        let mut kept = vec![true; person.cands.len()];
        let held = self.held(p, &hand.paths[p]);
        for (n, node) in person.nodes.iter().enumerate() {
            let line = &self.room.lines[node.line];
            for i in node.first..node.first + node.len {
                let c = person.cands[i];
                let offered = line.shape_of[usize::from(c)] == REST
                    || hand.menus[node.line] & line.shape_bit(c) != 0;
                let no_more = held
                    .iter()
                    .filter(|(t, _, _)| *t == node.line)
                    .all(|&(_, k, most)| i64::from(line.tight[k].held[usize::from(c)]) <= most);
                kept[i] = offered && no_more && domain.open[p][i] || hand.paths[p][n] as usize == i;
            }
        }
        let now = self.path_cost(p, &hand.paths[p]);
        let person = &self.room.people[p];
        person.both_ways(&costs, &kept, &mut self.so_far[p], &mut self.to_go[p]);
        *work += person.links.len() as u64 * 2;
        for i in 0..costs.len() {
            let sum = self.so_far[p][i] + self.to_go[p][i] - costs[i];
            self.worth[p][i] = if sum >= HOPELESS {
                -MOST_PRICE
            } else {
                now - sum
            };
        }
        self.costs = costs;
    }

    fn improve_line(&mut self, domain: &Domain, hand: &mut Hand, t: usize, work: &mut u64) -> bool {
        let room = self.room;
        let line = &room.lines[t];
        let mut per_prop = vec![0; line.tight.len()];
        let ask = LineAsk {
            room,
            t,
            prices: &self.worth,
            domain,
            hint: hand.menus[t],
        };
        let found = ask.answer(
            &mut per_prop,
            Effort {
                rounds: 6,
                menus: 40,
            },
            &mut self.line_scratch,
            work,
        );
        let same = found.menu == hand.menus[t]
            && line
                .seats
                .iter()
                .zip(&found.choices)
                .all(|(seat, &i)| hand.paths[seat.person][seat.node] == i);
        if same || found.choices.len() != line.seats.len() || !self.fits(t, &found.choices) {
            return false;
        }
        let before = hand.clone();
        hand.menus[t] = found.menu;
        let mut moved: Vec<usize> = Vec::new();
        let mut seat = 0;
        while seat < line.seats.len() {
            let p = line.seats[seat].person;
            let mut wanted = Vec::new();
            while line.seats.get(seat).is_some_and(|s| s.person == p) {
                wanted.push((line.seats[seat].node, found.choices[seat]));
                seat += 1;
            }
            if wanted.iter().any(|&(n, i)| hand.paths[p][n] != i) {
                match self.path_through(domain, &before, p, &wanted, work) {
                    Some(path) => hand.paths[p] = path,
                    None => {
                        *hand = before;
                        return false;
                    }
                }
                moved.push(p);
            }
        }
        hand.cost = self.cost(&hand.menus, &hand.paths);
        if hand.cost >= before.cost {
            *hand = before;
            return false;
        }
        let changed = hand.menus[t] ^ before.menus[t];
        for p in 0..room.people.len() {
            let person = &room.people[p];
            let touched = |seat: &Seat| {
                if seat.person != p {
                    return false;
                }
                let node = &person.nodes[seat.node];
                let here = &person.cands[node.first..node.first + node.len];
                here.iter().any(|&c| line.shape_bit(c) & changed != 0)
            };
            if moved.contains(&p) || (changed != 0 && line.seats.iter().any(touched)) {
                self.weigh(domain, hand, p, work);
            }
        }
        true
    }

    /// Whether choices at a line fit its stock.
    fn fits(&self, t: usize, choices: &[u32]) -> bool {
        let line = &self.room.lines[t];
        line.tight.iter().all(|tight| {
            let mut total = 0;
            let mut last = None;
            for (seat, &i) in line.seats.iter().zip(choices) {
                let held = tight.held[usize::from(self.room.people[seat.person].cands[i as usize])];
                total += match last {
                    Some((person, first)) if person == seat.person => held.saturating_sub(first),
                    _ => held,
                };
                last = Some((seat.person, held));
            }
            total <= tight.stock
        })
    }

    /// The cheapest path through settled candidates at some nodes, elsewhere as `weigh` allows.
    fn path_through(
        &mut self,
        domain: &Domain,
        hand: &Hand,
        p: usize,
        wanted: &[(usize, u32)],
        work: &mut u64,
    ) -> Option<Vec<u32>> {
        let person = &self.room.people[p];
        let mut costs = std::mem::take(&mut self.costs);
        costs.clear();
        costs.extend_from_slice(&person.costs);
        let held = self.held(p, &hand.paths[p]);
        for (n, node) in person.nodes.iter().enumerate() {
            let line = &self.room.lines[node.line];
            let settled = wanted
                .iter()
                .find(|(at, _)| *at == n)
                .map(|(_, i)| *i as usize);
            for i in node.first..node.first + node.len {
                let c = person.cands[i];
                let offered = line.shape_of[usize::from(c)] == REST
                    || hand.menus[node.line] & line.shape_bit(c) != 0;
                let no_more = held
                    .iter()
                    .filter(|(t, _, _)| *t == node.line)
                    .all(|&(_, k, most)| i64::from(line.tight[k].held[usize::from(c)]) <= most);
                let kept = match settled {
                    Some(only) => only == i,
                    None => offered && no_more && domain.open[p][i],
                };
                if !kept {
                    costs[i] = NEVER;
                }
            }
        }
        let found = person.cheapest(
            &costs,
            &mut self.tariffs[p],
            MOST_LABELS,
            &mut self.scratch,
            work,
        );
        self.costs = costs;
        found.kept.then_some(found.path)
    }

    /// The plan that given paths make, or none when they do not fit the stock or a budget.
    pub(super) fn adopt(&mut self, paths: &[Vec<u32>], menus: &[u64]) -> Option<Hand> {
        let room = self.room;
        let mut held: Vec<Vec<i64>> = room
            .lines
            .iter()
            .map(|line| {
                line.tight
                    .iter()
                    .map(|tight| i64::from(tight.stock))
                    .collect()
            })
            .collect();
        let mut all = menus.to_vec();
        for (p, person) in room.people.iter().enumerate() {
            if !person.keeps_budgets(&paths[p]) {
                return None;
            }
            self.hold(p, &paths[p], -1, &mut held);
            for (node, &i) in person.nodes.iter().zip(&paths[p]) {
                all[node.line] |= room.lines[node.line].shape_bit(person.cands[i as usize]);
            }
        }
        if held.iter().flatten().any(|&left| left < 0) {
            return None;
        }
        for (line, menu) in room.lines.iter().zip(&mut all) {
            *menu |= line.must;
            if !serves(line, *menu) {
                *menu |= 1 << line.kinder.trailing_zeros();
            }
        }
        let mut hand = Hand {
            cost: self.cost(&all, paths),
            menus: all,
            paths: paths.to_vec(),
        };
        if hand.cost >= HOPELESS {
            return None;
        }
        self.trim(&mut hand);
        Some(hand)
    }

    /// Takes shapes off menus that nobody does, where that costs nothing.
    pub(super) fn trim(&self, hand: &mut Hand) {
        let room = self.room;
        let mut used = vec![0u64; room.lines.len()];
        for (person, path) in room.people.iter().zip(&hand.paths) {
            for (node, &i) in person.nodes.iter().zip(path) {
                used[node.line] |= room.lines[node.line].shape_bit(person.cands[i as usize]);
            }
        }
        for ((line, menu), used) in room.lines.iter().zip(&mut hand.menus).zip(used) {
            for shape in bits(*menu & !used & !line.must) {
                let less = *menu & !(1 << shape);
                if serves(line, less) && room.menu_cost(line, less) <= room.menu_cost(line, *menu) {
                    *menu = less;
                }
            }
        }
        hand.cost = self.cost(&hand.menus, &hand.paths);
    }
}
