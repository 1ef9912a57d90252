//! A planner written to be obviously right: every menu, every path, every choice of everybody.
//!
//! Only for tiny rooms. It asks nothing of the search; it knows a plan by [`evaluate`] alone.

use std::collections::{BTreeMap, BTreeSet};

use kindfold::group::chain::Chain;
use kindfold::group::evaluate::evaluate;
use kindfold::group::plan::Path;
use kindfold::group::problem::{Candidate, Instance, SideStray, Student};
use kindfold::words::StudentId;

/// The plan that the model names: least objective, then fewest shapes on menus, then the smallest
/// list of `(line, rank)` on menus, then the smallest ranks of one student after another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Best {
    pub(crate) objective: i64,
    pub(crate) shapes: usize,
    /// For every line, the names of the shapes on its menu.
    pub(crate) menus: Vec<BTreeSet<String>>,
    pub(crate) assignments: BTreeMap<StudentId, Path>,
    /// What decides among plans of one objective and as many shapes.
    order: (Vec<(usize, usize)>, Vec<Vec<usize>>),
}

/// The best of all plans.
pub(crate) fn best(instance: &Instance) -> Best {
    let paths: Vec<Vec<Path>> = (0..instance.students.len())
        .map(|s| all_paths(instance, s))
        .collect();
    let menus: Vec<Vec<Vec<usize>>> = (0..instance.lines.len())
        .map(|t| all_menus(instance, t))
        .collect();
    let mut best = None;
    let mut chosen = BTreeMap::new();
    everybody(instance, &paths, &menus, &mut chosen, 0, &mut best);
    best.expect("pausing all through is a plan")
}

/// How many plans `best` would look at, to keep tests short.
pub(crate) fn size(instance: &Instance) -> u128 {
    let paths = (0..instance.students.len()).map(|s| {
        let chain = Chain::of(instance, &instance.students[s]);
        chain
            .nodes
            .iter()
            .map(|node| node.strays(&instance.students[s]).len() as u128)
            .product::<u128>()
    });
    let menus = instance
        .lines
        .iter()
        .map(|line| 1u128 << line.candidates.iter().filter(|c| !c.is_rest()).count());
    paths.product::<u128>().saturating_mul(menus.product())
}

fn everybody(
    instance: &Instance,
    paths: &[Vec<Path>],
    menus: &[Vec<Vec<usize>>],
    chosen: &mut BTreeMap<StudentId, Path>,
    s: usize,
    best: &mut Option<Best>,
) {
    if s < paths.len() {
        for path in &paths[s] {
            chosen.insert(instance.students[s].id.clone(), path.clone());
            everybody(instance, paths, menus, chosen, s + 1, best);
        }
        return;
    }
    every_menu(instance, menus, chosen, &mut Vec::new(), best);
}

fn every_menu(
    instance: &Instance,
    menus: &[Vec<Vec<usize>>],
    chosen: &BTreeMap<StudentId, Path>,
    picked: &mut Vec<Vec<usize>>,
    best: &mut Option<Best>,
) {
    let Some(here) = menus.get(picked.len()) else {
        if let Ok(terms) = evaluate(instance, chosen, picked) {
            let shapes = picked
                .iter()
                .enumerate()
                .map(|(t, menu)| menu.iter().filter(|&&c| !is_free(instance, t, c)).count())
                .sum();
            let objective = terms.total();
            let known = best.as_ref().map(|best| (best.objective, best.shapes));
            if known.is_some_and(|known| known < (objective, shapes)) {
                return;
            }
            let found = Best {
                objective,
                shapes,
                menus: named(instance, picked),
                assignments: chosen.clone(),
                order: (menu_ranks(instance, picked), path_ranks(instance, chosen)),
            };
            let better = best.as_ref().is_none_or(|best| {
                (objective, shapes, &found.order) < (best.objective, best.shapes, &best.order)
            });
            if better {
                *best = Some(found);
            }
        }
        return;
    };
    for menu in here {
        picked.push(menu.clone());
        every_menu(instance, menus, chosen, picked, best);
        picked.pop();
    }
}

fn is_free(instance: &Instance, t: usize, c: usize) -> bool {
    let line = &instance.lines[t];
    line.free
        .iter()
        .any(|&f| line.candidates[f].shape == line.candidates[c].shape)
}

/// Menus by name; a free shape is always on.
pub(crate) fn named(instance: &Instance, menus: &[Vec<usize>]) -> Vec<BTreeSet<String>> {
    let name = |t: usize, c: usize| instance.lines[t].candidates[c].shape.clone();
    menus
        .iter()
        .enumerate()
        .map(|(t, menu)| {
            let free = &instance.lines[t].free;
            menu.iter().chain(free).map(|&c| name(t, c)).collect()
        })
        .collect()
}

/// The `(line, rank)` of everything that counts on a menu. Taught comes first, then what costs
/// somebody least, then what has the lower number.
fn menu_ranks(instance: &Instance, menus: &[Vec<usize>]) -> Vec<(usize, usize)> {
    let mut list = Vec::new();
    for (t, menu) in menus.iter().enumerate() {
        let line = &instance.lines[t];
        let taught = &line.candidates[line.taught].shape;
        let least = |shape: &String| {
            let strays = instance.students.iter().flat_map(|student| {
                let SideStray { r, l } = &student.stray[t];
                r.iter().chain(l)
            });
            let theirs = strays.filter(|(c, _)| line.candidates[**c].shape == *shape);
            theirs.map(|(_, stray)| *stray).min().unwrap_or(u32::MAX)
        };
        let names: BTreeSet<&String> = line
            .candidates
            .iter()
            .filter(|candidate| !candidate.is_rest())
            .map(|candidate| &candidate.shape)
            .collect();
        let mut order: Vec<_> = names
            .into_iter()
            .map(|name| {
                let named = |candidate: &Candidate| candidate.shape == *name;
                let first = line.candidates.iter().position(named);
                (name != taught, least(name), first, name)
            })
            .collect();
        order.sort();
        for &c in menu.iter().filter(|&&c| !is_free(instance, t, c)) {
            let name = &line.candidates[c].shape;
            let rank = order.iter().position(|entry| entry.3 == name);
            list.push((t, rank.expect("every shape has a rank")));
        }
    }
    list.sort_unstable();
    list
}

/// The ranks along everybody's path, in the order of what the instance says of them.
fn path_ranks(instance: &Instance, chosen: &BTreeMap<StudentId, Path>) -> Vec<Vec<usize>> {
    let mut students: Vec<&Student> = instance.students.iter().collect();
    students.sort_by_key(|student| {
        let (mut budgets, mut barred) = (student.budgets.clone(), student.barred.clone());
        budgets.sort();
        barred.sort();
        (&student.tied, &student.stray, budgets, barred, &student.id)
    });
    let ranks = |student: &&Student| {
        let nodes = Chain::of(instance, student).nodes;
        let path = chosen[&student.id].iter().zip(&nodes);
        path.map(|(&(t, c), node)| {
            let line = &instance.lines[t];
            let key = |c: usize, stray: u64| {
                let rest = u64::from(instance.weights.rest * node.sides());
                let charged = if line.candidates[c].is_rest() {
                    rest
                } else {
                    0
                };
                (c != line.taught, stray + charged, c)
            };
            let strays = node.strays(student);
            let own = key(c, strays[&c]);
            strays
                .iter()
                .filter(|(c, stray)| key(**c, **stray) < own)
                .count()
        })
        .collect()
    };
    students.iter().map(ranks).collect()
}

/// Every set of shapes of a line, each named by its first form.
fn all_menus(instance: &Instance, t: usize) -> Vec<Vec<usize>> {
    let candidates = &instance.lines[t].candidates;
    let first = |c: usize| {
        (0..c).all(|b| candidates[b].is_rest() || candidates[b].shape != candidates[c].shape)
    };
    let shapes: Vec<usize> = (0..candidates.len())
        .filter(|&c| !candidates[c].is_rest() && first(c))
        .collect();
    (0..1usize << shapes.len())
        .map(|set| {
            (0..shapes.len())
                .filter(|i| set >> i & 1 == 1)
                .map(|i| shapes[i])
                .collect()
        })
        .collect()
}

/// Every path of a student, allowed or not by budgets and links.
fn all_paths(instance: &Instance, s: usize) -> Vec<Path> {
    let student = &instance.students[s];
    let mut paths: Vec<Path> = vec![Vec::new()];
    for node in &Chain::of(instance, student).nodes {
        let mut longer = Vec::new();
        for path in &paths {
            for &candidate in node.strays(student).keys() {
                let mut path = path.clone();
                path.push((node.line, candidate));
                longer.push(path);
            }
        }
        paths = longer;
    }
    paths
}
