//! The plain reading of the model: what a plan costs, or why it is none.
//!
//! Takes an instance, menus and paths and gives [`Terms`]. It is written to be read beside the
//! model and shares nothing with the search but the chain of nodes. Every plan that leaves this
//! module's neighbours has passed it.

use std::collections::{BTreeMap, BTreeSet};

use super::chain::{Chain, relative_change};
use super::plan::{Path, Terms};
use super::problem::{Instance, Line, Student};
use crate::words::StudentId;

/// Why menus and paths are no plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Infeasible {
    /// Not one menu a line, or a menu names what is not there.
    #[error("line {line} has no proper menu")]
    Menu {
        /// The line.
        line: usize,
    },
    /// The taught shape must stay, and did not.
    #[error("the taught shape of line {line} must be on its menu")]
    Keep {
        /// The line.
        line: usize,
    },
    /// A kinder shape must be there, and is not.
    #[error("line {line} needs a kinder shape on its menu")]
    Kinder {
        /// The line.
        line: usize,
    },
    /// The paths are not one for each student.
    #[error("the paths are not one for each student")]
    Students,
    /// A path does not go through the student's nodes in order.
    #[error("student number {student} has a path that is not theirs")]
    Nodes {
        /// Position in the instance.
        student: usize,
    },
    /// A shape that is not allowed to the student.
    #[error("student number {student} is given a shape at line {line} that is not allowed to them")]
    Avoided {
        /// Position in the instance.
        student: usize,
        /// The line.
        line: usize,
    },
    /// A shape that is not on the menu.
    #[error("student number {student} is given a shape at line {line} that is not on its menu")]
    OffMenu {
        /// Position in the instance.
        student: usize,
        /// The line.
        line: usize,
    },
    /// Two shapes that no link joins.
    #[error("student number {student} has no way from line {line} to what follows")]
    Barred {
        /// Position in the instance.
        student: usize,
        /// The line before the link.
        line: usize,
    },
    /// A budget is passed.
    #[error("student number {student} passes the budget of {what}")]
    Budget {
        /// Position in the instance.
        student: usize,
        /// What is limited.
        what: String,
    },
    /// More props are held than there are.
    #[error("line {line} needs {held} of {prop}")]
    Stock {
        /// The line.
        line: usize,
        /// The prop.
        prop: String,
        /// How many are held.
        held: u64,
    },
}

/// What a plan costs, term by term.
///
/// A shape is on a menu when the menu names any of its forms; free shapes are on it anyway.
///
/// # Errors
/// The first rule of the model that the plan breaks.
pub fn evaluate(
    instance: &Instance,
    assignments: &BTreeMap<StudentId, Path>,
    menus: &[Vec<usize>],
) -> Result<Terms, Infeasible> {
    let mut terms = Terms::default();
    if menus.len() != instance.lines.len() {
        return Err(Infeasible::Menu {
            line: menus.len().min(instance.lines.len()),
        });
    }
    let mut open = Vec::new();
    for (t, (line, menu)) in instance.lines.iter().zip(menus).enumerate() {
        open.push(read_menu(instance, t, line, menu, &mut terms)?);
    }
    if assignments.len() != instance.students.len() {
        return Err(Infeasible::Students);
    }
    let mut held: BTreeMap<(usize, &str), u64> = BTreeMap::new();
    for (s, student) in instance.students.iter().enumerate() {
        let path = assignments.get(&student.id).ok_or(Infeasible::Students)?;
        let chain = Chain::of(instance, student);
        read_path(instance, s, &chain, path, &open, &mut terms)?;
        read_budgets(instance, s, &chain, path)?;
        for (place, number) in most_held(instance, path) {
            *held.entry(place).or_default() += number;
        }
    }
    for ((line, prop), number) in held {
        if instance
            .stock
            .get(prop)
            .is_some_and(|&stock| number > u64::from(stock))
        {
            return Err(Infeasible::Stock {
                line,
                prop: prop.to_owned(),
                held: number,
            });
        }
    }
    Ok(terms)
}

/// Shapes on a menu, after its own costs were added.
fn read_menu<'a>(
    instance: &Instance,
    t: usize,
    line: &'a Line,
    menu: &[usize],
    terms: &mut Terms,
) -> Result<BTreeSet<&'a str>, Infeasible> {
    let shape = |c: usize| line.candidates[c].shape.as_str();
    if menu.iter().any(|&c| {
        line.candidates
            .get(c)
            .is_none_or(|candidate| candidate.is_rest())
    }) {
        return Err(Infeasible::Menu { line: t });
    }
    let free: BTreeSet<&str> = line.free.iter().map(|&c| shape(c)).collect();
    let named: BTreeSet<&str> = menu.iter().map(|&c| shape(c)).collect();
    let on: BTreeSet<&str> = named.union(&free).copied().collect();
    let counted = named.difference(&free).count() as i64;
    let weights = &instance.weights;
    terms.options += i64::from(weights.option) * (counted - 1).max(0);
    terms.excess += i64::from(weights.excess) * (counted - i64::from(instance.max_options)).max(0);
    if !on.contains(shape(line.taught)) {
        if line.keep {
            return Err(Infeasible::Keep { line: t });
        }
        terms.lead += i64::from(weights.lead);
    }
    if !line.kinder.is_empty() && !line.kinder.iter().any(|&c| on.contains(shape(c))) {
        return Err(Infeasible::Kinder { line: t });
    }
    Ok(on)
}

fn read_path(
    instance: &Instance,
    s: usize,
    chain: &Chain,
    path: &Path,
    open: &[BTreeSet<&str>],
    terms: &mut Terms,
) -> Result<(), Infeasible> {
    let student = &instance.students[s];
    if path.len() != chain.nodes.len()
        || path
            .iter()
            .zip(&chain.nodes)
            .any(|(at, node)| at.0 != node.line)
    {
        return Err(Infeasible::Nodes { student: s });
    }
    for (n, (&(line, c), node)) in path.iter().zip(&chain.nodes).enumerate() {
        let strays = node.strays(student);
        let (Some(&stray), Some(candidate)) =
            (strays.get(&c), instance.lines[line].candidates.get(c))
        else {
            return Err(Infeasible::Avoided { student: s, line });
        };
        terms.stray += stray as i64;
        if candidate.is_rest() {
            terms.rest += i64::from(instance.weights.rest) * i64::from(node.sides());
        } else if !open[line].contains(candidate.shape.as_str()) {
            return Err(Infeasible::OffMenu { student: s, line });
        }
        if let Some(&next) = path.get(n + 1) {
            if student.barred.contains(&(line, c, next.0, next.1)) {
                return Err(Infeasible::Barred { student: s, line });
            }
            terms.change += i64::from(node.link_times) * relative_change(instance, (line, c), next);
        }
    }
    Ok(())
}

fn read_budgets(
    instance: &Instance,
    s: usize,
    chain: &Chain,
    path: &Path,
) -> Result<(), Infeasible> {
    let student: &Student = &instance.students[s];
    let timeline = chain.timeline();
    for budget in &student.budgets {
        let (mut total, mut run, mut longest) = (0u64, 0u64, 0u64);
        for &n in &timeline {
            let (line, c) = path[n];
            if instance.lines[line].candidates[c]
                .uses
                .contains(&budget.what)
            {
                total += u64::from(instance.lines[line].seconds);
                run += u64::from(instance.lines[line].seconds);
                longest = longest.max(run);
            } else {
                run = 0;
            }
        }
        let over = |limit: Option<u32>, value| limit.is_some_and(|most| value > u64::from(most));
        if over(budget.class_s, total) || over(budget.bout_s, longest) {
            return Err(Infeasible::Budget {
                student: s,
                what: budget.what.clone(),
            });
        }
    }
    Ok(())
}

/// The most that a student holds of each prop at each line.
fn most_held<'a>(instance: &'a Instance, path: &Path) -> BTreeMap<(usize, &'a str), u64> {
    let mut most: BTreeMap<(usize, &str), u64> = BTreeMap::new();
    for &(line, c) in path {
        for (prop, &number) in &instance.lines[line].candidates[c].props {
            let place = most.entry((line, prop.as_str())).or_default();
            *place = (*place).max(u64::from(number));
        }
    }
    most
}
