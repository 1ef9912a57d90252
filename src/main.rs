//! The command line: arguments, one run, an exit status.

fn main() -> std::process::ExitCode {
    kindfold::cli::run().into()
}
