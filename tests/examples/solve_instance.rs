//! Solves a planning instance and prints the plan file.
//!
//! `solve_instance FILE [--seconds N]`: FILE is `kindfold/plan-instance/1`; without `--seconds`
//! the limit counts work, so that the same file gives the same plan. Times go to standard error.

use std::io::Write;
use std::process::ExitCode;
use std::time::Instant;

use kindfold::group::problem::Instance;
use kindfold::group::solve::{Limit, solve};

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<(), String> {
    let mut args = std::env::args().skip(1);
    let file = args
        .next()
        .ok_or("usage: solve_instance FILE [--seconds N]")?;
    let limit = match (args.next().as_deref(), args.next()) {
        (None, _) => Limit::default(),
        (Some("--seconds"), Some(number)) => {
            Limit::Seconds(number.parse().map_err(|_| "--seconds takes a number")?)
        }
        _ => return Err("usage: solve_instance FILE [--seconds N]".to_owned()),
    };
    let text = std::fs::read_to_string(&file).map_err(|fault| format!("{file}: {fault}"))?;
    let instance: Instance =
        serde_json::from_str(&text).map_err(|fault| format!("{file}: {fault}"))?;
    let begun = Instant::now();
    let plan = solve(&instance, limit, &mut |_| {}).map_err(|fault| format!("{file}: {fault}"))?;
    eprintln!(
        "objective {} bound {} proved {} work {} seconds {:.4}",
        plan.objective,
        plan.lower_bound,
        plan.proved,
        plan.work,
        begun.elapsed().as_secs_f64()
    );
    let text = serde_json::to_string(&plan).map_err(|fault| fault.to_string())?;
    writeln!(std::io::stdout(), "{text}").map_err(|fault| fault.to_string())
}
