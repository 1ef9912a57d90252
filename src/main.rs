//! The command line: arguments, one run, an exit status.

fn main() {}
