//! Laws of the room's plan: what must hold when the room changes a little.

use proptest::prelude::*;

use kindfold::group::problem::Instance;
use kindfold::group::solve::{Limit, solve};

use crate::support::instances::{Dice, Size, instance};

fn small() -> impl Strategy<Value = (Instance, u64)> {
    (2usize..7, 1usize..6, 0usize..5, 1u32..4, any::<u64>()).prop_map(
        |(lines, students, short, max_options, seed)| {
            let size = Size {
                max_options,
                ..Size::new(lines, students, short, seed)
            };
            (instance(size), seed)
        },
    )
}

/// The class taught twice on end: every line, block and bar once more. Budgets stay as they are.
fn twice(instance: &Instance) -> Instance {
    let mut both = instance.clone();
    let lines = instance.lines.len();
    for mut line in instance.lines.clone() {
        line.id.push_str(" again");
        both.lines.push(line);
    }
    for mut block in instance.blocks.clone() {
        block.lines.iter_mut().for_each(|line| *line += lines);
        if let Some(inner) = &mut block.inner {
            inner.first += lines;
            inner.last += lines;
        }
        both.blocks.push(block);
    }
    for student in &mut both.students {
        student.tied.extend_from_within(..);
        student.stray.extend_from_within(..);
        let again = |&(a, v, b, w): &(usize, usize, usize, usize)| (a + lines, v, b + lines, w);
        let barred: Vec<_> = student.barred.iter().map(again).collect();
        student.barred.extend(barred);
    }
    both
}

/// The least objective; the rooms are so small that it is always proved.
fn least(instance: &Instance) -> i64 {
    let plan = solve(instance, Limit::default(), &mut |_| {}).expect("the instance is sound");
    assert!(
        plan.proved && plan.lower_bound == plan.objective && plan.terms.total() == plan.objective
    );
    plan.objective
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_the_roster_changes_nothing((instance, seed) in small()) {
        let mut turned = instance.clone();
        let by = seed as usize % turned.students.len();
        turned.students.rotate_left(by);
        let plan = |instance: &Instance| solve(instance, Limit::default(), &mut |_| {}).expect("sound");
        prop_assert_eq!(plan(&instance), plan(&turned));
    }

    #[test]
    fn more_stock_never_costs_more((instance, seed) in small()) {
        let mut richer = instance.clone();
        let mut dice = Dice::new(seed);
        for stock in richer.stock.values_mut() {
            *stock += dice.between(0, 2) as u32;
        }
        prop_assert!(least(&richer) <= least(&instance));
    }

    #[test]
    fn a_student_less_never_costs_more((instance, seed) in small()) {
        let mut fewer = instance.clone();
        let gone = seed as usize % fewer.students.len();
        fewer.students.remove(gone);
        prop_assert!(least(&fewer) <= least(&instance));
    }

    #[test]
    fn a_limitation_more_never_costs_less((instance, seed) in small()) {
        let mut limited = instance.clone();
        let mut dice = Dice::new(seed);
        let who = dice.between(0, limited.students.len() as u64 - 1) as usize;
        for (line, sides) in limited.lines.iter().zip(&mut limited.students[who].stray) {
            let c = dice.between(0, line.candidates.len() as u64 - 1) as usize;
            if line.candidates[c].rest == 0 {
                sides.r.remove(&c);
                sides.l.remove(&c);
            }
        }
        prop_assert!(least(&limited) >= least(&instance));
    }

    #[test]
    fn a_mirrored_room_costs_the_same((mut instance, _) in small()) {
        // The right run is taught first; without links and budgets the order costs nothing.
        instance.level_change.iter_mut().flatten().for_each(|cost| *cost = 0);
        instance.weights.prop_change = 0;
        for student in &mut instance.students {
            student.budgets.clear();
            student.barred.clear();
        }
        let mut mirrored = instance.clone();
        for sides in mirrored.students.iter_mut().flat_map(|student| &mut student.stray) {
            std::mem::swap(&mut sides.r, &mut sides.l);
        }
        prop_assert_eq!(least(&mirrored), least(&instance));
    }

    #[test]
    fn a_class_taught_twice_never_costs_less_than_two((instance, _) in small()) {
        // Either half is a plan of the class: props, bouts and totals only get scarcer.
        prop_assert!(least(&twice(&instance)) >= 2 * least(&instance));
    }

    #[test]
    fn a_class_taught_twice_costs_two((mut instance, _) in small()) {
        // Nothing is carried over where no change costs and no budget runs on.
        instance.level_change.iter_mut().flatten().for_each(|cost| *cost = 0);
        instance.weights.prop_change = 0;
        for student in &mut instance.students {
            student.budgets.clear();
        }
        prop_assert_eq!(least(&twice(&instance)), 2 * least(&instance));
    }

    #[test]
    fn a_run_taught_more_often_costs_the_same((mut instance, seed) in small()) {
        // Repeats share one decision; only budgets count how often.
        for student in &mut instance.students {
            student.budgets.clear();
        }
        let mut oftener = instance.clone();
        let mut dice = Dice::new(seed);
        for block in &mut oftener.blocks {
            block.repeats += dice.between(0, 2) as u32;
            if let Some(inner) = &mut block.inner {
                inner.repeats += dice.between(0, 2) as u32;
            }
        }
        let plan = |instance: &Instance| solve(instance, Limit::default(), &mut |_| {}).expect("sound");
        prop_assert_eq!(plan(&oftener), plan(&instance));
    }

    #[test]
    fn a_run_taught_more_often_never_costs_less((instance, seed) in small()) {
        let mut oftener = instance.clone();
        let many = oftener.blocks.len() as u64 - 1;
        let block = Dice::new(seed).between(0, many) as usize;
        oftener.blocks[block].repeats += 1;
        prop_assert!(least(&oftener) >= least(&instance));
    }

    #[test]
    fn nobody_limited_follows_the_class((mut instance, _) in small()) {
        for student in &mut instance.students {
            student.budgets.clear();
            student.barred.clear();
            student.stray = instance.lines.iter().map(|line| {
                let strays: std::collections::BTreeMap<usize, u32> =
                    (0..line.candidates.len()).map(|c| (c, u32::from(c != line.taught) * 3)).collect();
                kindfold::group::problem::SideStray { r: strays.clone(), l: strays }
            }).collect();
            student.tied.fill(true);
        }
        instance.stock.clear();
        for line in &mut instance.lines {
            line.kinder.clear();
            line.free.clear();
        }
        prop_assert_eq!(least(&instance), 0);
    }

    #[test]
    fn a_limit_is_kept_with_a_bound_that_holds((instance, seed) in small()) {
        let short = solve(&instance, Limit::Work(seed % 20_000), &mut |_| {}).expect("sound");
        let best = least(&instance);
        prop_assert!(short.lower_bound <= best && best <= short.objective);
    }
}
