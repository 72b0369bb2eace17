//! The command line: one file a command. The only room that prints.
//!
//! Results go to stdout, everything else to stderr; a reader that goes away (a broken pipe) is no
//! failure. Exit codes: 0 done, 1 refused, 2 wrong usage, 3 a file could not be read or written, 4 the
//! search was ended early and its best kept, 5 a mistake in the program itself.

mod args;
mod cautions;
mod check;
mod choice;
mod completions;
mod cut;
mod dots;
mod draw;
mod estimate;
mod explain;
mod folder;
mod interrupt;
mod job;
mod licences;
mod lint;
mod man;
mod measure;
mod mistyped;
mod nest;
mod page;
mod paper;
mod plain;
mod recipes;
mod reckon;
mod redrill;
mod schema;
mod screen;
mod start;
mod steering;
mod unforeseen;
mod version;
mod watch;

use std::env;
use std::process::ExitCode;

use clap::Parser;
use clap::error::ErrorKind;

use crate::fault::{Faults, Outcome};
use args::{Cli, Command};
use screen::Screen;

/// The command's name.
const NAME: &str = env!("CARGO_PKG_NAME");

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    if let Some(code) = choice::offered() {
        return code;
    }
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) if is_help(&error) => return usage(&error),
        Err(error) => {
            let words: Vec<_> = env::args_os().collect();
            let faults = only(mistyped::fault(&error, &words));
            mistyped::screen(&words).faults(&faults);
            return ExitCode::from(faults.exit_code());
        }
    };
    interrupt::outlive_full_files();
    let screen = Screen::new(cli.color, cli.json);
    match unforeseen::caught(&typed(), || dispatch(&cli, &screen)) {
        Ok(code) => ExitCode::from(code),
        Err(faults) => {
            screen.faults(&faults);
            ExitCode::from(faults.exit_code())
        }
    }
}

/// The command line as it was typed.
fn typed() -> String {
    let words = env::args_os().skip(1);
    let words = words.map(|it| it.to_string_lossy().into_owned());
    let words: Vec<String> = [NAME.to_owned()].into_iter().chain(words).collect();
    words.join(" ")
}

/// Runs one command; the code is 0 unless a part was refused by a check.
fn dispatch(cli: &Cli, screen: &Screen) -> Outcome<u8> {
    match &cli.command {
        Command::Recipes(options) => recipes::run(options, &cli.shelf, screen),
        Command::Start(options) => start::run(options, &cli.shelf, screen),
        Command::Draw(options) => draw::run(options, &cli.shelf, screen),
        Command::Check(options) => check::run(options, &cli.shelf, screen),
        Command::Explain(options) => explain::run(options, &cli.shelf, screen),
        Command::Lint(options) => lint::run(options, &cli.shelf, screen),
        Command::Schema(options) => schema::run(options, &cli.shelf),
        Command::Cut(options) => cut::run(options, &cli.shelf, screen),
        Command::Estimate(options) => estimate::run(options, &cli.shelf, screen),
        Command::Page(options) => page::run(options, &cli.shelf, screen),
        Command::Paper(options) => paper::run(options, &cli.shelf, screen),
        Command::Nest(options) => nest::run(options, screen),
        Command::Measure(options) => measure::run(options, &cli.shelf, screen),
        Command::Steering(options) => steering::run(options, screen),
        Command::Redrill(options) => redrill::run(options, &cli.shelf, screen),
        Command::Reckon(options) => reckon::run(options, screen),
        Command::Completions(options) => completions::run(options),
        Command::Man => man::run(),
        Command::Licences => licences::run(),
    }
}

/// Whether help or version was asked for, or help is the answer to a command without a word.
fn is_help(error: &clap::Error) -> bool {
    matches!(
        error.kind(),
        ErrorKind::DisplayHelp
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
            | ErrorKind::DisplayVersion
    )
}

/// Help and version are results, but for help that nobody asked for.
fn usage(error: &clap::Error) -> ExitCode {
    // A reader that went away while help was printed is no failure.
    let _ = error.print();
    if error.use_stderr() {
        ExitCode::from(2)
    } else {
        ExitCode::SUCCESS
    }
}

/// The faults of a run that has a single one.
fn only(fault: crate::fault::Fault) -> Faults {
    Faults::from(fault)
}
