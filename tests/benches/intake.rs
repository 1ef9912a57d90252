//! How long a sign-up sheet of 5,000 rows takes, from bytes to a roster that was read back.
//!
//! `cargo bench --bench intake`

use jiff::civil::date;
use kindfold::intake::{Asked, DayOrder, intake};
use kindfold::library::Library;

fn main() {
    divan::main();
}

/// Invented people, each row another mix of answers.
fn sheet(rows: usize) -> String {
    const WORDS: [&str; 6] = [
        "knee",
        "\"bad back, worse in the morning\"",
        "none",
        "",
        "rather not say",
        "frozen shoulder",
    ];
    const SIDES: [&str; 4] = ["left", "right", "", "both"];
    let mut text = "Name,Injuries,Side,How bad,When,Touch,Notes\n".to_owned();
    for row in 0..rows {
        let words = WORDS[row % WORDS.len()];
        let side = SIDES[row % SIDES.len()];
        text.push_str(&format!(
            "Person {row},{words},{side},{}/10,2025,ask,by the door\n",
            row % 11
        ));
    }
    text
}

#[divan::bench(args = [50, 5_000])]
fn a_sheet(bencher: divan::Bencher, rows: usize) {
    let library = Library::built_in().expect("the built-in library is whole");
    let text = sheet(rows);
    let asked = Asked {
        recorded: Some(date(2026, 5, 5)),
        today: date(2026, 5, 6),
        columns: &[],
        order: DayOrder::Unknown,
        tab: None,
    };
    bencher.bench_local(|| {
        intake(
            "s.csv",
            divan::black_box(text.as_bytes()),
            None,
            &library,
            &asked,
        )
        .map(|made| made.text.len())
        .expect("the sheet is good")
    });
}
