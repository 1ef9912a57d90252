//! Loads the library, with a folder's files added when one is named, and prints what is wrong: a
//! workbench for authors of postures and rules.

use std::process::ExitCode;

use kindfold::library::Library;

fn main() -> ExitCode {
    let library = match std::env::args().nth(1) {
        Some(folder) => Library::with_folder(folder.as_ref()),
        None => Library::built_in(),
    };
    let library = match library {
        Ok(library) => library,
        Err(problems) => {
            eprintln!("{problems}");
            return ExitCode::from(2);
        }
    };
    let report = library.check();
    for (code, text) in &report.faults {
        println!("{text}   [{code}]");
    }
    println!(
        "{} postures, {} limitations, {} faults, {} edges that raise another demand",
        library.postures.len(),
        library.limitations.len(),
        report.faults.len(),
        report.raising.len()
    );
    if report.faults.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
