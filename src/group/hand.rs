//! A plan in hand: menus and paths that keep every limit, and how to make one better.
//!
//! Takes menus from anywhere and gives paths that fit the stock, person by person; then goes
//! through the lines in turn and gives each the best menu and the best share of its props while
//! everything else stays as it is. Invariant: a hand keeps all limits and its cost is exact.

use super::bound::Prices;
use super::menu::{MOST_PRICE, bits, serves};
use super::person::PersonNode;
use super::room::{Domain, HOPELESS, NEVER, Room, RoomLine, Seat};
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
        let people: i64 = self
            .room
            .people
            .iter()
            .zip(paths)
            .map(|(person, path)| person.path_cost(path))
            .sum();
        lines + people
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
        let menus = completed(room, menus);
        let mut order: Vec<(usize, usize)> = Vec::with_capacity(room.people.len());
        for (p, person) in room.people.iter().enumerate() {
            let mut without = 0;
            for node in &person.nodes {
                let line = &room.lines[node.line];
                for i in node.first..node.first + node.len {
                    let c = person.cands[i];
                    let offered = line.offers(menus[node.line], c);
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
        let mut left = whole_stock(room);
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

    /// The cheapest path that takes of each prop no more than is `left`.
    fn path_within(
        &mut self,
        domain: &Domain,
        menus: &[u64],
        p: usize,
        left: &[Vec<i64>],
        per_prop: Option<&Vec<Vec<i64>>>,
        work: &mut u64,
    ) -> Option<Vec<u32>> {
        let room = self.room;
        let price = |node: &PersonNode, i: usize| {
            let line = &room.lines[node.line];
            let c = room.people[p].cands[i];
            let mut extra = 0;
            for (k, tight) in line.tight.iter().enumerate() {
                let held = i64::from(tight.held[usize::from(c)]);
                if held > left[node.line][k] {
                    return None;
                }
                let prices = per_prop.map(|prices| &prices[node.line]);
                extra += held * prices.and_then(|line| line.get(k)).copied().unwrap_or(0);
            }
            (domain.open[p][i] && line.offers(menus[node.line], c)).then_some(extra)
        };
        self.cheapest(p, price, work)
    }

    /// The cheapest path of a person where each candidate costs `extra`
    /// more; without an extra it is closed.
    fn cheapest(
        &mut self,
        p: usize,
        extra: impl Fn(&PersonNode, usize) -> Option<i64>,
        work: &mut u64,
    ) -> Option<Vec<u32>> {
        let person = &self.room.people[p];
        self.costs.clear();
        self.costs.extend_from_slice(&person.costs);
        for node in &person.nodes {
            for i in node.first..node.first + node.len {
                match extra(node, i) {
                    Some(extra) => self.costs[i] += extra,
                    None => self.costs[i] = NEVER,
                }
            }
        }
        let found = person.cheapest(
            &self.costs,
            &mut self.tariffs[p],
            MOST_LABELS,
            &mut self.scratch,
            work,
        );
        found.kept.then_some(found.path)
    }

    /// Whether a person may take a candidate with the menus as they are and no more of any prop
    /// than `held`.
    fn stays(
        &self,
        domain: &Domain,
        menus: &[u64],
        held: &[(usize, usize, i64)],
        p: usize,
        node: &PersonNode,
        i: usize,
    ) -> bool {
        let line = &self.room.lines[node.line];
        let c = self.room.people[p].cands[i];
        let no_more = held
            .iter()
            .filter(|(t, _, _)| *t == node.line)
            .all(|&(_, k, most)| i64::from(line.tight[k].held[usize::from(c)]) <= most);
        domain.open[p][i] && no_more && line.offers(menus[node.line], c)
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
        let held = self.held(p, &hand.paths[p]);
        let mut kept = vec![true; person.cands.len()];
        for (n, node) in person.nodes.iter().enumerate() {
            for i in node.first..node.first + node.len {
                kept[i] = hand.paths[p][n] as usize == i
                    || self.stays(domain, &hand.menus, &held, p, node, i);
            }
        }
        let now = person.path_cost(&hand.paths[p]);
        let (so_far, to_go) = (&mut self.so_far[p], &mut self.to_go[p]);
        person.both_ways(&person.costs, &kept, so_far, to_go);
        *work += person.links.len() as u64 * 2;
        for (i, cost) in person.costs.iter().enumerate() {
            let sum = so_far[i] + to_go[i] - cost;
            self.worth[p][i] = if sum >= HOPELESS {
                -MOST_PRICE
            } else {
                now - sum
            };
        }
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
                labels: 300,
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
        let mut kept = vec![false; self.room.people[p].cands.len()];
        let held = self.held(p, &hand.paths[p]);
        for (n, node) in self.room.people[p].nodes.iter().enumerate() {
            let settled = wanted.iter().find(|(at, _)| *at == n);
            for i in node.first..node.first + node.len {
                kept[i] = match settled {
                    Some(&(_, only)) => only as usize == i,
                    None => self.stays(domain, &hand.menus, &held, p, node, i),
                };
            }
        }
        self.cheapest(p, |_, i| kept[i].then_some(0), work)
    }

    /// The plan that given paths make, or none when they do not fit the stock or a budget.
    pub(super) fn adopt(&mut self, paths: &[Vec<u32>], menus: &[u64]) -> Option<Hand> {
        let room = self.room;
        let mut left = whole_stock(room);
        let mut all = menus.to_vec();
        for (p, person) in room.people.iter().enumerate() {
            if !person.keeps_budgets(&paths[p]) {
                return None;
            }
            self.hold(p, &paths[p], -1, &mut left);
            for (node, &i) in person.nodes.iter().zip(&paths[p]) {
                all[node.line] |= room.lines[node.line].shape_bit(person.cands[i as usize]);
            }
        }
        if left.iter().flatten().any(|&left| left < 0) {
            return None;
        }
        let all = completed(room, &all);
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

/// Menus with what each has to have.
fn completed(room: &Room, menus: &[u64]) -> Vec<u64> {
    let lines = room.lines.iter().zip(menus);
    lines.map(|(line, &menu)| line.completed(menu)).collect()
}

/// By line, how many there are of each prop that can run short there.
fn whole_stock(room: &Room) -> Vec<Vec<i64>> {
    let stock = |line: &RoomLine| line.tight.iter().map(|t| i64::from(t.stock)).collect();
    room.lines.iter().map(stock).collect()
}
