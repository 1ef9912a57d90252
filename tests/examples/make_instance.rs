//! Prints a random planning instance.
//!
//! `make_instance LINES STUDENTS SHORT SEED [LIMITED] [MAX_OPTIONS]`: SHORT is how many props can
//! run short (0 to 6), LIMITED the share of students with limitations in percent (60).

#[path = "../support/instances.rs"]
mod instances;

use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let numbers: Vec<u64> = std::env::args()
        .skip(1)
        .filter_map(|arg| arg.parse().ok())
        .collect();
    let [lines, students, short, seed, rest @ ..] = numbers.as_slice() else {
        eprintln!("usage: make_instance LINES STUDENTS SHORT SEED [LIMITED] [MAX_OPTIONS]");
        return ExitCode::from(2);
    };
    let mut size =
        instances::Size::new(*lines as usize, *students as usize, *short as usize, *seed);
    size.limited = rest.first().copied().unwrap_or(size.limited);
    size.max_options = rest.get(1).map_or(size.max_options, |&most| most as u32);
    let text = serde_json::to_string(&instances::instance(size)).unwrap_or_default();
    match writeln!(std::io::stdout(), "{text}") {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(3),
    }
}
