//! Loads the library, with a folder's files added when one is named, and prints what is wrong: a
//! workbench for authors of postures and rules. With `--lists`, what only wants a look as well.

use std::process::ExitCode;

use kindfold::library::Library;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let lists = arguments.iter().any(|argument| argument == "--lists");
    let library = match arguments
        .iter()
        .find(|argument| !argument.starts_with("--"))
    {
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
    for fault in &report.faults {
        println!("{fault}\n");
    }
    let apart = [
        ("alternatives that ask more of something", &report.raising),
        (
            "alternatives that do not lower all they are offered for",
            &report.lowering_part,
        ),
        (
            "gentler ways that lower no demand",
            &report.lowering_nothing,
        ),
        ("rules that no posture meets yet", &report.waiting),
        ("numbers near a limit", &report.near_a_limit),
        ("authored numbers that are not kept", &report.strained),
    ];
    for (title, lines) in apart {
        println!("{}: {}", title, lines.len());
        for line in lines.iter().filter(|_| lists) {
            println!("    {line}");
        }
    }
    println!(
        "{} postures, {} limitations, {} faults",
        library.postures.len(),
        library.limitations.len(),
        report.faults.len()
    );
    if report.faults.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
