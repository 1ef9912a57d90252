//! The built program, run as a teacher would run it.

use std::path::Path;
use std::process::{Command, Output};

/// Runs the program in a folder.
pub(crate) fn kindfold(args: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kindfold"))
        .args(args)
        .current_dir(folder)
        .output()
        .expect("the program was built for this test")
}
