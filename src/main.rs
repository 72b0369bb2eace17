//! The `platewright` command: runs the library's command line and maps its outcome to an exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    platewright::cli::run()
}
