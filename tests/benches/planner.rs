//! How long rooms of several sizes take to plan.

#[path = "../support/instances.rs"]
mod instances;

use kindfold::group::solve::{Limit, solve};

fn main() {
    divan::main();
}

/// Lines, students, props that can run short.
#[divan::bench(args = [(10, 8, 0), (20, 14, 0), (20, 14, 2), (20, 14, 6), (40, 30, 0), (40, 30, 2)], sample_count = 3)]
fn room(bencher: divan::Bencher, (lines, students, short): (usize, usize, usize)) {
    let instance = instances::instance(instances::Size::new(lines, students, short, 1));
    bencher.bench(|| solve(&instance, Limit::default(), &mut |_| {}));
}
