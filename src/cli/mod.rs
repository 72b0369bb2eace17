//! The command line: one file a command. The only room that prints.

use std::process::ExitCode;

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    ExitCode::SUCCESS
}
