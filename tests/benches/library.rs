//! How long loading the built-in library and its rules takes: `cargo bench --bench library`.
//!
//! Issue 2 of 7 asks for less than 60 ms.

use kindfold::library::Library;

fn main() {
    divan::main();
}

#[divan::bench(sample_count = 50)]
fn load() -> Library {
    Library::built_in().expect("the built-in files are tested")
}
