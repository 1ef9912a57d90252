//! How long the body takes: settling one shape, reading its measures, settling the whole library anew, checking
//! it (settling and restarting every shape), and loading what is kept.
//!
//! `cargo bench --bench body`

use kindfold::body::{Body, Settled, Shape, measure, restarts, settle};
use kindfold::library::Library;
use kindfold::library::posture::PostureBody;

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

/// Library and rules as every command reads them: under 60 ms.
#[divan::bench]
fn load_library() -> Library {
    Library::built_in().expect("the built-in library loads")
}

fn shapes() -> Vec<Shape> {
    let library = load_library();
    let shapes = library
        .postures
        .values()
        .filter_map(|posture| match &posture.body {
            PostureBody::Shape { shape, .. } => Some((**shape).clone()),
            PostureBody::Ends(_) => None,
        });
    shapes.collect()
}

/// Every shape of the library settled on one core: under 10 s.
#[divan::bench(sample_count = 1)]
fn settle_library(bencher: divan::Bencher) {
    let shapes = shapes();
    bencher.bench_local(|| {
        for shape in &shapes {
            divan::black_box(settle(Body::standard(), shape));
        }
    });
}

/// Every shape settled again from its own start and from four others, on one core: the check of all nodes takes
/// half of it on two, and is to stay under 60 s.
#[divan::bench(sample_count = 1)]
fn check_library(bencher: divan::Bencher) {
    let shapes = shapes();
    bencher.bench_local(|| {
        for shape in &shapes {
            divan::black_box(settle(Body::standard(), shape));
            divan::black_box(restarts(Body::standard(), shape, 4));
        }
    });
}
