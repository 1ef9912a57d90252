//! The command line: arguments as typed, as meant, one file a command.
//!
//! Results go to standard output or to the file asked for, messages to standard error. Exit: 0
//! done; 1 something needs the teacher (`--strict`) or a check found something; 2 what was typed or
//! written is wrong, and nothing was written; 3 a fault of the program or the system.

mod adapt;
mod ahead;
mod all_sheets;
pub mod args;
mod audit;
mod check;
mod definitions;
mod demo;
mod home;
mod intake;
mod meant;
mod new;
mod output;
mod posture;
mod progress;
mod schema;
mod vary;
mod why;

use clap::Parser;

use crate::problem::Problems;
use args::{Cli, Command};

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// Done.
    Done,
    /// Done, and something needs a person.
    Needs,
}

/// Why a run stopped.
#[derive(Debug, thiserror::Error)]
pub enum Stopped {
    /// What people wrote is wrong.
    #[error("{0}")]
    Problems(Problems),
    /// Something asked for on the command line does not exist.
    #[error("{0}")]
    Usage(String),
    /// The planner was given an instance that breaks its own rules.
    #[error("the planner could not read its own instance: {0}")]
    Planner(#[from] crate::group::check::InstanceError),
    /// A roster was made from a sheet and does not read back.
    #[error("the roster made from this sheet does not read back: a fault of this program")]
    Unreadable,
    /// The result could not be written.
    #[error("{path} could not be written: {cause}")]
    Output {
        /// Where to.
        path: String,
        /// The system's words.
        cause: std::io::Error,
    },
    /// A value could not be put into JSON.
    #[error("the result could not be put into JSON: {0}")]
    Json(#[from] serde_json::Error),
}

impl From<Problems> for Stopped {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

impl Stopped {
    /// The exit status.
    pub fn status(&self) -> u8 {
        match self {
            Self::Problems(_) | Self::Usage(_) => 2,
            Self::Planner(_) | Self::Unreadable | Self::Output { .. } | Self::Json(_) => 3,
        }
    }
}

/// Runs what the process was started with.
pub fn run() -> u8 {
    let cli = Cli::parse();
    match dispatch(&cli) {
        Ok(Ended::Done) => 0,
        Ok(Ended::Needs) => 1,
        // A reader that has read enough is no fault.
        Err(Stopped::Output { cause, .. }) if cause.kind() == std::io::ErrorKind::BrokenPipe => 0,
        Err(stopped) => {
            // Nothing can be done about a standard error that cannot be written.
            let _ = output::message(&stopped.to_string());
            stopped.status()
        }
    }
}

fn dispatch(cli: &Cli) -> Result<Ended, Stopped> {
    let common = &cli.common;
    match &cli.command {
        Command::Adapt {
            class,
            sheet,
            all_sheets,
            student,
            planning,
        } => {
            let wanted = match all_sheets {
                true => adapt::Wanted::All(all_sheets::Folder::asked(common)?),
                false => adapt::Wanted::One(*sheet, student.as_deref()),
            };
            adapt::run(class, wanted, planning, common)
        }
        Command::Why {
            class,
            step,
            student,
            planning,
        } => why::run(class, *step, student.as_deref(), planning, common),
        Command::Vary {
            class,
            version,
            sheet,
            planning,
        } => vary::run(class, version, *sheet, planning, common),
        Command::Ahead {
            class,
            until,
            planning,
        } => ahead::run(class, until, planning, common),
        Command::Home {
            class,
            student,
            minutes,
            days,
            planning,
        } => {
            let typed = home::Typed {
                student,
                minutes: *minutes,
                days: *days,
            };
            home::run(class, &typed, planning, common)
        }
        Command::Audit {
            adapted,
            class,
            planning,
        } => audit::run(adapted, class, planning, common),
        Command::Postures { words } => posture::list(words, common),
        Command::Posture { name, side } => posture::show(name, *side, common),
        Command::Check { class, planning } => check::run(class.as_deref(), planning, common),
        Command::Intake {
            sheet,
            merge,
            recorded,
            column,
            dates,
            tab,
        } => {
            let typed = intake::Typed {
                merge: merge.as_deref(),
                recorded: recorded.as_deref(),
                columns: column,
                dates: *dates,
                tab: tab.as_deref(),
            };
            intake::run(sheet, &typed, common)
        }
        Command::New { file } => new::run(*file, common),
        Command::Schema { file } => schema::run(*file, common),
        Command::Demo => demo::run(common),
        Command::Completions { shell } => definitions::completions(*shell, common),
        Command::Manual => definitions::manual(common),
    }
}
