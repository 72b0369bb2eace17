//! A plain choice for a program that was started without a word, as by a double click.
//!
//! On Windows such a program gets a console of its own, which closes when it ends: so it asks what is
//! wanted, does it, and asks again, until nothing is answered.

use std::env;
use std::ffi::OsString;
use std::io::{self, BufRead, IsTerminal, Write};
use std::process::{Command, ExitCode};

/// What may be chosen.
const MENU: &str = "
Platewright: caliper measurements to plates that fit, and files that cut right the first time.

  1  the page: parts and jobs of this folder in the browser
  2  what can be made
  3  start a part file
  4  check a part or job file
  5  cut a part or job file: everything into the folder `out` here
  6  all commands, for a terminal
";
/// Asked before each choice.
const ASKED: &str = "\nA number, or Enter alone to end: ";

/// Offers the choice where somebody sits before a console that is ours; `None` elsewhere, where the help
/// says enough.
pub(super) fn offered() -> Option<ExitCode> {
    let is_alone = env::args_os().len() == 1;
    let is_watched = io::stdin().is_terminal() && io::stdout().is_terminal();
    if !(cfg!(windows) && is_alone && is_watched) {
        return None;
    }
    // Ctrl-C is for the command that runs; between commands Enter alone ends. Where nobody can listen it
    // ends both.
    let _ = ctrlc::set_handler(|| {});
    let outcome = offer(&mut io::stdin().lock(), &mut io::stdout(), &mut |words| {
        env::current_exe()
            .and_then(|program| Command::new(program).args(words).status())
            .map(|_| ())
    });
    Some(outcome.map_or(ExitCode::from(3), |()| ExitCode::SUCCESS))
}

/// Asks, runs and asks again, until nothing is answered.
fn offer(
    input: &mut impl BufRead,
    output: &mut impl Write,
    run: &mut dyn FnMut(&[OsString]) -> io::Result<()>,
) -> io::Result<()> {
    writeln!(output, "{MENU}")?;
    while let Some(number) = answer(input, output, ASKED)? {
        let words = match number.as_str() {
            "1" => Some(words(&["page"])),
            "2" => Some(words(&["recipes"])),
            "3" => answer(input, output, "Its recipe, such as hub-adapter: ")?
                .map(|recipe| words(&["start", &recipe])),
            "4" => answer(input, output, WHICH)?.map(|file| words(&["check", &file])),
            "5" => answer(input, output, WHICH)?.map(|file| words(&["cut", &file])),
            "6" => Some(words(&["--help"])),
            _ => {
                writeln!(output, "{MENU}")?;
                None
            }
        };
        if let Some(words) = words {
            run(&words)?;
        }
    }
    Ok(())
}

/// Asks for a file.
const WHICH: &str = "The file (drag it onto this window): ";

fn words(words: &[&str]) -> Vec<OsString> {
    words.iter().map(OsString::from).collect()
}

/// What is answered, without the quotes that a dragged file comes in; `None` if nothing is.
fn answer(
    input: &mut impl BufRead,
    output: &mut impl Write,
    question: &str,
) -> io::Result<Option<String>> {
    write!(output, "{question}")?;
    output.flush()?;
    let mut line = String::new();
    input.read_line(&mut line)?;
    let words = line.trim().trim_matches('"');
    Ok((!words.is_empty()).then(|| words.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::args::Cli;
    use clap::Parser;

    /// The commands that some answers come to, and what was shown.
    fn chosen(answers: &str) -> (Vec<Vec<OsString>>, String) {
        let (mut ran, mut shown) = (Vec::new(), Vec::new());
        let mut run = |words: &[OsString]| {
            ran.push(words.to_vec());
            Ok(())
        };
        offer(&mut answers.as_bytes(), &mut shown, &mut run).expect("nothing fails");
        (ran, String::from_utf8(shown).expect("words"))
    }

    #[test]
    fn every_number_is_a_command_and_nothing_ends() {
        let answers = "1\r\n2\n3\nflange\n4\n\"C:\\My parts\\hub.toml\"\r\n5\ncart.toml\n\n1\n";
        let (ran, _) = chosen(answers);
        let ran: Vec<String> = ran
            .iter()
            .map(|it| it.join("|".as_ref()).into_string().expect("words"))
            .collect();
        let wanted = [
            "page",
            "recipes",
            "start|flange",
            "check|C:\\My parts\\hub.toml",
            "cut|cart.toml",
        ];
        assert_eq!(ran, wanted);
        for words in ran {
            let typed = ["platewright"].into_iter().chain(words.split('|'));
            Cli::try_parse_from(typed).expect("a command that there is");
        }
    }

    #[test]
    fn what_is_no_number_shows_the_choice_again_and_no_file_asks_anew() {
        let (ran, shown) = chosen("help\n4\n\n6\n");
        assert_eq!(ran, [["--help"]]);
        assert_eq!(shown.matches("what can be made").count(), 2);
        assert_eq!(shown.matches("A number").count(), 4);
    }
}
