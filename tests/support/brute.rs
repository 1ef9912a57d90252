//! A planner written to be obviously right: every menu, every path, every choice of everybody.
//!
//! Only for tiny rooms. It asks nothing of the search; it knows a plan by [`evaluate`] alone.

use std::collections::BTreeMap;

use kindfold::group::chain::Chain;
use kindfold::group::evaluate::evaluate;
use kindfold::group::plan::Path;
use kindfold::group::problem::Instance;
use kindfold::words::StudentId;

/// The least objective of any plan, and the fewest shapes on menus among plans of that objective.
pub(crate) fn best(instance: &Instance) -> (i64, usize) {
    let paths: Vec<Vec<Path>> = (0..instance.students.len())
        .map(|s| all_paths(instance, s))
        .collect();
    let menus: Vec<Vec<Vec<usize>>> = (0..instance.lines.len())
        .map(|t| all_menus(instance, t))
        .collect();
    let mut best = (i64::MAX, usize::MAX);
    let mut chosen = BTreeMap::new();
    everybody(instance, &paths, &menus, &mut chosen, 0, &mut best);
    best
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
    best: &mut (i64, usize),
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
    best: &mut (i64, usize),
) {
    let Some(here) = menus.get(picked.len()) else {
        if let Ok(terms) = evaluate(instance, chosen, picked) {
            let free = |t: usize, c: usize| {
                let line = &instance.lines[t];
                line.free
                    .iter()
                    .any(|&f| line.candidates[f].shape == line.candidates[c].shape)
            };
            let counted =
                |(t, menu): (usize, &Vec<usize>)| menu.iter().filter(|&&c| !free(t, c)).count();
            let shapes = picked.iter().enumerate().map(counted).sum();
            *best = (*best).min((terms.total(), shapes));
        }
        return;
    };
    for menu in here {
        picked.push(menu.clone());
        every_menu(instance, menus, chosen, picked, best);
        picked.pop();
    }
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
