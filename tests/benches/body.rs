//! How long the body takes: settling one shape, reading its measures, settling the whole library.
//!
//! `cargo bench --bench body`

use kindfold::body::{Body, Settled, Shape, measure, settle};

fn main() {
    divan::main();
}

/// Shapes of the comparison file, by name: easy, closed loop, long.
fn shape(id: &str) -> Shape {
    let file: serde_yaml::Mapping =
        serde_yaml::from_str(include_str!("../support/shapes.yaml")).expect("the file is YAML");
    Shape::read(file.get(id).expect("the shape is in the file")).expect("the shape reads")
}

#[divan::bench(args = ["plank", "low-plank-elbows-out", "seated-at-the-edge"])]
fn settle_one(bencher: divan::Bencher, id: &str) {
    let shape = shape(id);
    bencher.bench_local(|| settle(Body::standard(), divan::black_box(&shape)));
}

#[divan::bench]
fn measure_one(bencher: divan::Bencher) {
    let shape = shape("plank");
    let settled: Settled = settle(Body::standard(), &shape);
    bencher.bench_local(|| measure(Body::standard(), &shape, divan::black_box(&settled)));
}
