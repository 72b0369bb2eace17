//! `man`: the man page, commands included, from the same definitions as the help.

use clap::CommandFactory;

use super::args::Cli;
use super::screen::Screen;
use crate::fault::{Fault, Outcome};

pub(super) fn run() -> Outcome<u8> {
    let mut page = Vec::new();
    let mut command = Cli::command();
    command.build();
    let written = clap_mangen::Man::new(command.clone())
        .render(&mut page)
        .and_then(|()| {
            command
                .get_subcommands()
                .filter(|sub| sub.get_name() != "help")
                .try_for_each(|sub| clap_mangen::Man::new(sub.clone()).render(&mut page))
        });
    written
        .map_err(|error| super::only(Fault::file(format!("cannot make the man page: {error}"))))?;
    Screen::bytes(&page)?;
    Ok(0)
}
