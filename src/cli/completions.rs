//! `completions`: shell completions from the same definitions as the help.

use clap::CommandFactory;

use super::args::{Cli, CompletionsArgs};
use super::screen::Screen;
use crate::fault::Outcome;

pub(super) fn run(options: &CompletionsArgs) -> Outcome<u8> {
    let mut script = Vec::new();
    clap_complete::generate(
        options.shell,
        &mut Cli::command(),
        "platewright",
        &mut script,
    );
    Screen::bytes(&script)?;
    Ok(0)
}
