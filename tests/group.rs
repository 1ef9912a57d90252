//! The room's plan against a planner that looks at everything.

use kindfold::group::evaluate::evaluate;
use kindfold::group::problem::Instance;
use kindfold::group::solve::{Limit, solve};

use crate::support::brute;
use crate::support::instances::{Size, instance};

/// Rooms so small that everything can be looked at.
fn tiny(seed: u64) -> Option<Instance> {
    let lines = 1 + (seed % 3) as usize;
    let students = 1 + (seed / 3 % 3) as usize;
    let size = Size {
        limited: 80,
        max_options: 1 + (seed % 2) as u32,
        ..Size::new(lines, students, (seed % 4) as usize, seed)
    };
    let made = instance(size);
    (brute::size(&made) <= 300_000).then_some(made)
}

#[test]
fn agrees_with_looking_at_everything_on_tiny_rooms() {
    let mut looked = 0;
    for seed in 0..600 {
        let Some(instance) = tiny(seed) else { continue };
        looked += 1;
        let plan = solve(&instance, Limit::default(), &mut |_| {}).expect("the instance is sound");
        let best = brute::best(&instance);
        assert_eq!(plan.objective, best.objective, "seed {seed}");
        assert!(
            plan.proved && plan.lower_bound == best.objective,
            "seed {seed}"
        );
        // Of all plans of that cost the one with the fewest shapes, and of these the one that the
        // order of shapes and of students names.
        assert_eq!(
            brute::named(&instance, &plan.menus),
            best.menus,
            "seed {seed}"
        );
        assert_eq!(plan.assignments, best.assignments, "seed {seed}");
        let terms = evaluate(&instance, &plan.assignments, &plan.menus).expect("a plan");
        assert_eq!(terms, plan.terms, "seed {seed}");
    }
    assert!(looked > 100, "only {looked} rooms were small enough");
}

#[test]
fn same_input_same_bytes() {
    let instance = instance(Size::new(12, 8, 3, 7));
    let plan = || {
        serde_json::to_string(
            &solve(&instance, Limit::Work(3_000_000), &mut |_| {}).expect("sound"),
        )
    };
    let (first, second) = (plan().expect("JSON"), plan().expect("JSON"));
    assert_eq!(first, second);
}

/// A plan that the work ran out on is not called proved.
#[test]
fn proved_is_said_only_where_the_bound_meets_the_plan() {
    let mut open = 0;
    for seed in 0..12 {
        let instance = instance(Size::new(12, 8, 3, seed));
        for work in [1, 1_000, 100_000] {
            let plan = solve(&instance, Limit::Work(work), &mut |_| {}).expect("sound");
            assert_eq!(
                plan.proved,
                plan.lower_bound == plan.objective,
                "seed {seed}, work {work}"
            );
            open += usize::from(!plan.proved);
        }
    }
    assert!(open >= 6, "only {open} were left open");
}
