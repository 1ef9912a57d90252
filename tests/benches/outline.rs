//! How long a long outline takes to read and check: 200 lines, 30 of them misspelt (issue 7 wants
//! under 50 ms, the library loaded).

use kindfold::input::reading;
use kindfold::input::text::Source;
use kindfold::library::Library;
use kindfold::settings::Settings;
use kindfold::sheets::{class_yaml, understood};

fn main() {
    divan::main();
}

/// Lines whose names have a slip in them.
const SLIPS: [&str; 6] = [
    "dwonward dog, 5 br",
    "trinagle, each side, 5 breaths",
    "extnded side angle, ea side, 4 br",
    "haed-to-knee fold, R/L, 8 breaths",
    "supine twits, each side, 1 min",
    "leggs up the wal, 3 min",
];

const RIGHT: [&str; 8] = [
    "tree, each side, 5 breaths - look ahead",
    "low lunge, each side, 3 br",
    "warrior 2, ea side, 4 breaths, or hand on the hip",
    "bridge x3, 5 br",
    "cat cow x6",
    "pigeon, left, 1 min (slowly)",
    "seated forward fold, 8 breaths",
    "child's pose, 1 min",
];

/// 200 lines: title, length, 8 sections, 160 right steps, 30 with slips.
fn outline() -> String {
    let mut lines = vec!["# A long day".to_owned(), "240 minutes".to_owned()];
    for section in 0..8 {
        lines.push(format!("## Part {section}"));
        for place in 0..20 {
            lines.push(format!("- {}", RIGHT[(section + place) % RIGHT.len()]));
        }
    }
    for slip in 0..30 {
        lines.push(format!("- {}", SLIPS[slip % SLIPS.len()]));
    }
    assert_eq!(lines.len(), 200);
    lines.join("\n") + "\n"
}

#[divan::bench]
fn read_and_check_200_lines_with_30_misspellings(bencher: divan::Bencher) {
    let library = Library::built_in().expect("the built-in library is whole");
    let text = outline();
    let settings = Settings::default();
    bencher.bench(|| {
        let source = Source::from_bytes("day.md", text.as_bytes()).expect("a good file");
        let reading = reading::read(source, &library).expect("every line is understood");
        assert_eq!(reading.class.lines().count(), 190);
        let shown = understood::lines(&reading, &library, &settings, 80);
        (shown, class_yaml::file(&reading, &library))
    });
}
