//! Prints what is read from each line of standard input, as written on 2026-05-02.
//!
//! `read_words [FOLDER]`: FOLDER holds `rules/` of one's own. A line that begins with `#` is printed as it is.

#[path = "../support/readings.rs"]
mod readings;

use std::io::{BufRead, Write};
use std::process::ExitCode;

use jiff::civil::date;
use kindfold::library::Library;

fn main() -> ExitCode {
    let library = match std::env::args().nth(1) {
        Some(folder) => Library::with_folder(folder.as_ref()),
        None => Library::built_in(),
    };
    let library = match library {
        Ok(library) => library,
        Err(problems) => {
            eprintln!("{problems:?}");
            return ExitCode::from(2);
        }
    };
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        let printed = if line.starts_with('#') || line.is_empty() {
            writeln!(out, "{line}")
        } else {
            let read = library.lexicon.read(&line, Some(date(2026, 5, 2)));
            let asked = read.unread.iter().filter_map(|one| one.question.as_deref());
            let asked: Vec<&str> = asked.collect();
            writeln!(
                out,
                "{line:60} -> {} {}",
                readings::in_short(&read),
                asked.join(" / ")
            )
        };
        if printed.is_err() {
            return ExitCode::from(3);
        }
    }
    ExitCode::SUCCESS
}
