//! The planning instance of a room, and the way back from a plan to people and steps.
//!
//! Takes candidates and costs; gives the instance of `plan-maths.md` section 6. Two readings are
//! fixed here: the side taught first is the instance's right, and a pause stands at a level, so
//! that nobody comes to the floor or up from it by pausing. Invariant: a plan always exists.

use std::collections::{BTreeMap, BTreeSet};

use super::again::{Theirs, places};
use super::candidate::{Candidate, What};
use super::candidates::{LineCandidates, Room};
use crate::group::plan::Plan;
use crate::group::problem::{self, Instance};
use crate::judge::budgets::tightest;
use crate::judge::facts::Person;
use crate::judge::verdict::may_take;
use crate::library::graph::Link;
use crate::library::rule::Limit;
use crate::words::{Level, Prop, Use};

/// What a person does at a pass: the candidate's place in its line's list.
pub type Choices = Vec<usize>;

/// The links that a person may take between two levels, the class's usual one first, then its
/// kinder ways in their order, then any other. `None` when the way is barred; an empty list when
/// no link is needed.
pub fn ways<'l>(
    room: &Room<'l>,
    person: &Person<'_>,
    from: Level,
    to: Level,
) -> Option<Vec<&'l Link>> {
    let joining: Vec<&Link> = joining(room, from, to);
    if from == to || joining.is_empty() {
        return Some(Vec::new());
    }
    let open: Vec<&Link> = joining
        .into_iter()
        .filter(|link| may_take(person, link) && room.way_is_open(link, from, to))
        .filter(|link| room.way_is_there(person, link))
        .collect();
    (!open.is_empty()).then_some(open)
}

/// All links between two levels: usual, its kinder ways, the others.
fn joining<'l>(room: &Room<'l>, from: Level, to: Level) -> Vec<&'l Link> {
    let links = &room.library.links;
    let mut all: Vec<&Link> = links
        .values()
        .filter(|link| link.from.contains(&from) && link.to.contains(&to))
        .collect();
    let kinder: Vec<_> = all
        .iter()
        .filter(|link| link.usual)
        .flat_map(|link| link.kinder.iter())
        .collect();
    all.sort_by_key(|link| {
        let place = kinder
            .iter()
            .position(|id| **id == link.id)
            .unwrap_or(kinder.len());
        (!link.usual, place, link.id.clone())
    });
    all
}

/// Who has nothing to do at some line of a plan but the last pause, by their places.
pub fn stranded(room: &Room<'_>, lines: &[LineCandidates], plan: &Plan) -> BTreeSet<usize> {
    let last = |&(line, at): &(usize, usize)| lines[line].list[at].what == What::LastPause;
    let people = room.people.iter().enumerate();
    let left = people.filter(|(_, person)| {
        let path = plan.assignments.get(&person.student.id);
        path.into_iter().flatten().any(last)
    });
    left.map(|(place, _)| place).collect()
}

/// Writes down the room. Of runs taught again, `bare_hands` are kept joined by what draws nothing from the cupboard.
pub fn instance(
    room: &Room<'_>,
    lines: &[LineCandidates],
    max_options: u32,
    bare_hands: &BTreeSet<usize>,
) -> Instance {
    let weights = &room.library.weights;
    let levels: Vec<Level> = Level::ALL.to_vec();
    let height = |level: &Level| weights.heights.get(level).copied().unwrap_or(0);
    let level_change = levels
        .iter()
        .map(|a| {
            let change = |b: &Level| {
                if a == b {
                    0
                } else {
                    1 + (height(a) - height(b)).abs() / 2
                }
            };
            levels.iter().map(|b| small(change(b))).collect()
        })
        .collect();
    Instance {
        schema: problem::SCHEMA.to_owned(),
        max_options,
        weights: problem::Weights {
            option: small(weights.option),
            excess: small(weights.excess),
            lead: small(weights.lead),
            rest: small(weights.rest),
            prop_change: small(weights.prop_change),
        },
        levels: levels.iter().map(ToString::to_string).collect(),
        level_change,
        blocks: room
            .table
            .blocks
            .iter()
            .map(|block| problem::Block {
                lines: block.lines.clone().collect(),
                sided: block.is_sided(),
                repeats: block.repeats,
                inner: block.inner.map(|(first, last, repeats)| problem::Inner {
                    first,
                    last,
                    repeats,
                }),
            })
            .collect(),
        lines: (0..lines.len())
            .map(|line| line_of(room, lines, line))
            .collect(),
        students: (0..room.people.len())
            .map(|place| student_of(room, lines, place, bare_hands.contains(&place)))
            .collect(),
        stock: stock_of(room, lines),
    }
}

fn small(number: i64) -> u32 {
    u32::try_from(number).unwrap_or(0)
}

fn line_of(room: &Room<'_>, lines: &[LineCandidates], line: usize) -> problem::Line {
    let (timed, candidates) = (&room.table.lines[line], &lines[line]);
    let candidate = |candidate: &Candidate| problem::Candidate {
        shape: candidate.shape(),
        level: candidate.level(room.library, timed.level) as usize,
        props: candidate
            .drawn
            .iter()
            .map(|(prop, &n)| (prop.to_string(), n))
            .collect(),
        uses: candidate
            .uses(room.library)
            .iter()
            .map(ToString::to_string)
            .chain(room.stands(candidate, timed.level))
            .collect(),
        rest: u8::from(candidate.rest),
    };
    problem::Line {
        id: format!("line {}", timed.line.number),
        taught: 0,
        keep: timed.line.keep,
        seconds: room.pass_s(line).max(1),
        kinder: candidates.kinder.clone(),
        free: candidates.free.clone(),
        never_lead: candidates.never_lead.clone(),
        candidates: candidates.list.iter().map(candidate).collect(),
    }
}

fn student_of(
    room: &Room<'_>,
    lines: &[LineCandidates],
    place: usize,
    bare_hands: bool,
) -> problem::Student {
    let person = &room.people[place];
    let mut stray: Vec<problem::SideStray> = lines
        .iter()
        .zip(&room.table.lines)
        .map(|(candidates, timed)| {
            let [first, second] = candidates.cost[place].clone();
            let sided = room.table.blocks[timed.block].is_sided();
            problem::SideStray {
                l: if sided { second } else { first.clone() },
                r: first,
            }
        })
        .collect();
    let open = open_levels(room, person);
    if let (Some(first), Some(timed)) = (lines.first(), room.table.lines.first()) {
        let start = room.start_level(person);
        let reachable = |at: &usize| {
            let candidate = &first.list[*at];
            let level = candidate.level(room.library, timed.level);
            match candidate.what {
                What::LastPause => true,
                What::Pause(level) => level == start,
                What::Posture { .. } | What::Own => open.contains(&(start, level)),
            }
        };
        stray[0].r.retain(|at, _| reachable(at));
        stray[0].l.retain(|at, _| reachable(at));
    }
    let theirs = Theirs {
        room,
        lines,
        open: &open,
        bare_hands,
    };
    let apart = theirs.close(&mut stray);
    let blocks = room.table.blocks.iter().zip(apart);
    let tied = blocks
        .map(|(block, apart)| {
            let mut lines = block.lines.clone();
            !apart && lines.all(|line| stray[line].r == stray[line].l)
        })
        .collect();
    problem::Student {
        id: person.student.id.clone(),
        tied,
        barred: barred(&theirs, &stray),
        budgets: budgets_of(room, person),
        stray,
    }
}

/// Pairs of levels that a person may go between.
pub(super) fn open_levels(room: &Room<'_>, person: &Person<'_>) -> BTreeSet<(Level, Level)> {
    let pairs = Level::ALL
        .iter()
        .flat_map(|&a| Level::ALL.iter().map(move |&b| (a, b)));
    pairs
        .filter(|&(a, b)| ways(room, person, a, b).is_some())
        .collect()
}

/// Consecutive shapes that no permitted link joins.
fn barred(theirs: &Theirs<'_>, stray: &[problem::SideStray]) -> Vec<(usize, usize, usize, usize)> {
    let mut pairs: Vec<(usize, usize)> = (1..stray.len()).map(|line| (line - 1, line)).collect();
    let blocks = theirs.room.table.blocks.iter();
    let sided = blocks.filter(|block| block.is_sided());
    pairs.extend(sided.map(|block| (block.lines.end - 1, block.lines.start)));
    let mut found = Vec::new();
    for (a, b) in pairs {
        for &v in &places(stray, a) {
            for &w in &places(stray, b) {
                if !theirs.follows((a, v), (b, w)) {
                    found.push((a, v, b, w));
                }
            }
        }
    }
    found
}

/// Whether a candidate of a line may come after one of another: a permitted way joins their levels, and a
/// pause is taken where the person is.
pub(super) fn may_follow(
    room: &Room<'_>,
    lines: &[LineCandidates],
    open: &BTreeSet<(Level, Level)>,
    before: (usize, usize),
    after: (usize, usize),
) -> bool {
    let what = |(line, at): (usize, usize)| &lines[line].list[at].what;
    let level = |(line, at): (usize, usize)| {
        lines[line].list[at].level(room.library, room.table.lines[line].level)
    };
    if [before, after]
        .iter()
        .any(|&one| *what(one) == What::LastPause)
    {
        return true;
    }
    let here = level(before) == level(after);
    let pauses = matches!(what(after), What::Pause(_));
    (here || !pauses) && open.contains(&(level(before), level(after)))
}

fn budgets_of(room: &Room<'_>, person: &Person<'_>) -> Vec<problem::Budget> {
    // A change of shape ends a stand, so standing still is judged shape by shape, by its hold.
    let lasting = Use::ALL.iter().filter(|of| **of != Use::StandingStill);
    let of_uses = lasting.filter_map(|&of| {
        let theirs = person.budgets.iter().filter(|(what, ..)| *what == of);
        let for_all = Limit {
            bout_s: room.version.and_then(|version| version.bout_s(of)),
            class_s: None,
        };
        let limit = tightest(theirs.map(|(_, limit, _)| *limit).chain([for_all]));
        (limit.bout_s.is_some() || limit.class_s.is_some()).then(|| problem::Budget {
            what: of.to_string(),
            bout_s: limit.bout_s,
            class_s: limit.class_s,
        })
    });
    of_uses.chain(room.standing_budget()).collect()
}

/// What is left for students: nothing of a prop that a written cupboard does not hold.
fn stock_of(room: &Room<'_>, lines: &[LineCandidates]) -> BTreeMap<String, u32> {
    let Some(stock) = &room.stock else {
        return BTreeMap::new();
    };
    let used: BTreeSet<Prop> = lines
        .iter()
        .flat_map(|line| {
            line.list
                .iter()
                .flat_map(|candidate| candidate.drawn.keys())
        })
        .copied()
        .collect();
    used.into_iter()
        .map(|prop| (prop.to_string(), stock.get(&prop).copied().unwrap_or(0)))
        .collect()
}

/// What each person does at each pass of the timetable, by the plan.
pub fn choices(room: &Room<'_>, instance: &Instance, plan: &Plan) -> Vec<Choices> {
    room.people
        .iter()
        .enumerate()
        .map(|(place, person)| {
            let path = plan.assignments.get(&person.student.id);
            let mut nodes = path.into_iter().flatten().copied();
            let mut theirs: BTreeMap<(usize, usize), usize> = BTreeMap::new();
            for (at, block) in room.table.blocks.iter().enumerate() {
                let tied = instance.students[place]
                    .tied
                    .get(at)
                    .copied()
                    .unwrap_or(true);
                let turns = if block.is_sided() && !tied { 2 } else { 1 };
                for turn in 0..turns {
                    for _ in block.lines.clone() {
                        if let Some((line, candidate)) = nodes.next() {
                            theirs.insert((line, turn), candidate);
                        }
                    }
                }
            }
            let at = |line: usize, turn: usize| {
                theirs
                    .get(&(line, turn))
                    .or_else(|| theirs.get(&(line, 0)))
                    .copied()
            };
            room.table
                .passes
                .iter()
                .map(|pass| at(pass.line, pass.turn).unwrap_or(0))
                .collect()
        })
        .collect()
}
