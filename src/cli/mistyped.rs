//! A command line that cannot be read, told like every other fault: what is wrong, and what to write instead.

use std::error::Error as _;
use std::ffi::OsString;
use std::num::ParseIntError;
use std::path::Path;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Command, CommandFactory, ValueEnum};

use super::NAME;
use super::args::{Cli, Color};
use super::screen::Screen;
use crate::fault::{Fault, Refusal, nearest};
use crate::recipe::Shelf;
use crate::recipe::name::is_key_of_a_part;

/// The screen that was asked for, in whatever else the words are wrong.
pub(super) fn screen(words: &[OsString]) -> Screen {
    let words: Vec<&str> = words.iter().filter_map(|it| it.to_str()).collect();
    let after = |pair: &[&str]| (pair[0] == "--color").then(|| pair[1].to_owned());
    let apart = words.windows(2).find_map(after);
    let joined = words.iter().find_map(|it| it.strip_prefix("--color="));
    let color = apart.or_else(|| joined.map(str::to_owned));
    let color = color.and_then(|it| Color::from_str(&it, true).ok());
    Screen::new(color.unwrap_or(Color::Auto), words.contains(&"--json"))
}

/// What is wrong with the words of a command line, the program's own name among them.
pub(super) fn fault(error: &clap::Error, words: &[OsString]) -> Fault {
    let typed = Typed {
        error,
        command: meant(words),
    };
    let refusal = match error.kind() {
        ErrorKind::UnknownArgument => typed.unknown(),
        ErrorKind::InvalidSubcommand => typed.no_command(),
        ErrorKind::MissingRequiredArgument => typed.lacks(),
        ErrorKind::InvalidValue => typed.no_choice(),
        ErrorKind::ValueValidation => typed.no_value(),
        ErrorKind::ArgumentConflict => typed.not_together(),
        ErrorKind::WrongNumberOfValues => typed.number_of_values(),
        _ => typed.anything_else(),
    };
    Fault::usage(refusal)
}

/// The command that the words name.
fn meant(words: &[OsString]) -> Command {
    let mut command = Cli::command();
    command.build();
    for word in words.iter().skip(1).filter_map(|it| it.to_str()) {
        if let Some(found) = command.find_subcommand(word) {
            command = found.clone();
        }
    }
    command
}

struct Typed<'a> {
    error: &'a clap::Error,
    command: Command,
}

impl Typed<'_> {
    /// What clap tells of one side of the error.
    fn told(&self, kind: ContextKind) -> Vec<String> {
        match self.error.get(kind) {
            Some(ContextValue::String(it)) => vec![it.clone()],
            Some(ContextValue::Strings(all)) => all.clone(),
            Some(ContextValue::Number(it)) => vec![it.to_string()],
            _ => Vec::new(),
        }
    }

    fn word(&self, kind: ContextKind) -> String {
        self.told(kind).into_iter().next().unwrap_or_default()
    }

    /// The option or word that it is about, as help writes it.
    fn argument(&self) -> String {
        let argument = self.word(ContextKind::InvalidArg);
        argument.trim_end_matches("...").to_owned()
    }

    /// `platewright cut`.
    fn name(&self) -> &str {
        self.command.get_bin_name().unwrap_or(NAME)
    }

    fn help(&self) -> String {
        format!("`{} --help` shows what it takes", self.name())
    }

    /// What an option or a word of the command is, as its help has it.
    fn is(&self, argument: &str) -> Option<String> {
        // What may be left out stands in other brackets than what may not.
        let bare = |it: &str| it.replace(['<', '>', '[', ']', '.'], "");
        let mut all = self.command.get_arguments();
        let found = all.find(|it| bare(&it.to_string()) == bare(argument))?;
        let says = found.get_help()?.to_string();
        Some(format!("{argument}: {}", says.trim_end_matches('.')))
    }

    fn has(&self, option: &str) -> bool {
        has(&self.command, option)
    }

    fn unknown(&self) -> Refusal {
        let word = self.word(ContextKind::InvalidArg);
        let name = self.name();
        let Some(option) = word.strip_prefix("--") else {
            return if let Some(value) = word.strip_prefix('-') {
                let is_number = value.starts_with(|it: char| it.is_ascii_digit() || it == '.');
                let remedy = if is_number {
                    format!(
                        "a value that begins with a minus is joined to its option, as in --OPTION={word}; one without an option stands after --"
                    )
                } else {
                    self.help()
                };
                Refusal::new(format!("`{name}` has no option {word}")).remedy(remedy)
            } else {
                Refusal::new(format!("`{word}` is a word too many for `{name}`")).remedy(format!(
                    "a value with a blank in it stands in quotes, such as '6 mm'; {}",
                    self.help()
                ))
            };
        };
        let own = self.command.get_arguments().filter_map(|it| it.get_long());
        let remedy = if self.has("set") && is_key_of_a_part(option) {
            format!("it stands in the file: write `{option} = …` there")
        } else if self.has("set") && is_dimension(option) {
            format!("a dimension is set by --set {option}=VALUE")
        } else if let Some(others) = with_option(option) {
            format!("{others} has it")
        } else if let Some(near) = nearest(option, own) {
            format!("did you mean --{near}?")
        } else {
            self.help()
        };
        Refusal::new(format!("`{name}` has no option --{option}")).remedy(remedy)
    }

    fn no_command(&self) -> Refusal {
        let word = self.word(ContextKind::InvalidSubcommand);
        let name = self.name();
        let all = self.command.get_subcommands().map(Command::get_name);
        let remedy = if let Some(near) = nearest(&word, all) {
            format!("did you mean `{name} {near}`?")
        } else if is_file(&word) {
            let word = if word.contains(' ') {
                format!("'{word}'")
            } else {
                word.clone()
            };
            format!("write `{NAME} check {word}`, or draw, estimate or cut in place of check")
        } else if Shelf::built_in().family(&word).is_ok() {
            format!(
                "it is a recipe: `{NAME} recipes {word}` explains it, `{NAME} start {word}` writes a part of it"
            )
        } else {
            format!("`{name} --help` lists the commands")
        };
        Refusal::new(format!("`{word}` is no command")).remedy(remedy)
    }

    fn lacks(&self) -> Refusal {
        let lacking = self.told(ContextKind::InvalidArg);
        let lacking: Vec<&str> = lacking
            .iter()
            .map(|it| it.trim_end_matches("..."))
            .collect();
        let what: Vec<String> = lacking.iter().filter_map(|it| self.is(it)).collect();
        let message = format!("`{}` lacks {}", self.name(), lacking.join(" and "));
        let remedy = if what.is_empty() {
            self.help()
        } else {
            what.join("; ")
        };
        Refusal::new(message).remedy(remedy)
    }

    fn no_choice(&self) -> Refusal {
        let argument = self.argument();
        let value = self.word(ContextKind::InvalidValue);
        let choices = self.told(ContextKind::ValidValue);
        let remedy = match choices.as_slice() {
            [] => self.is(&argument).unwrap_or_else(|| self.help()),
            all => format!("it can be {}", all.join(", ")),
        };
        let message = if value.is_empty() {
            format!("{argument} has no value")
        } else {
            format!("{argument} cannot be `{value}`")
        };
        Refusal::new(message).remedy(remedy)
    }

    fn no_value(&self) -> Refusal {
        let argument = self.argument();
        let value = self.word(ContextKind::InvalidValue);
        let cause = self.error.source();
        let refusal = if let Some(refusal) = cause.and_then(|it| it.downcast_ref::<Refusal>()) {
            refusal.clone()
        } else if cause.is_some_and(<dyn std::error::Error>::is::<ParseIntError>) {
            Refusal::new("a whole number is needed")
        } else {
            let cause = cause.map(ToString::to_string).unwrap_or_default();
            // "99999 is not in 0..=65535"
            let range = cause.split_once(" is not in ").map(|(_, range)| range);
            Refusal::new(match range.and_then(|it| it.split_once("..=")) {
                Some((least, most)) => format!("it goes from {least} to {most}"),
                None => cause,
            })
        };
        let refusal = refusal.reworded(|cause| format!("`{value}` for {argument}: {cause}"));
        match (&refusal.remedy, self.is(&argument)) {
            (None, Some(is)) => refusal.remedy(is),
            _ => refusal,
        }
    }

    fn not_together(&self) -> Refusal {
        let argument = self.argument();
        let others = self.told(ContextKind::PriorArg);
        if others.is_empty() || others.contains(&argument) {
            return Refusal::new(format!("{argument} is there twice"))
                .remedy("leave one of them out");
        }
        Refusal::new(format!(
            "{argument} does not go with {}",
            others.join(" and ")
        ))
        .remedy("leave one of them out")
    }

    fn number_of_values(&self) -> Refusal {
        let wanted = self.word(ContextKind::ExpectedNumValues);
        let there = self.word(ContextKind::ActualNumValues);
        let argument = self.argument();
        Refusal::new(format!(
            "{wanted} values are needed for {argument}, {there} are there"
        ))
        .remedy(self.help())
    }

    /// In the words of the reader of command lines.
    fn anything_else(&self) -> Refusal {
        let said = self.error.render().to_string();
        let first = said.lines().next().unwrap_or_default();
        Refusal::new(first.trim_start_matches("error: ")).remedy(self.help())
    }
}

fn has(command: &Command, option: &str) -> bool {
    let mut all = command.get_arguments();
    all.any(|it| it.get_long() == Some(option))
}

/// The commands that have an option.
fn with_option(option: &str) -> Option<String> {
    let all = Cli::command();
    let with = all.get_subcommands().filter(|it| has(it, option));
    let names: Vec<String> = with
        .map(|it| format!("`{NAME} {}`", it.get_name()))
        .collect();
    (!names.is_empty()).then(|| names.join(" and "))
}

/// Whether some recipe has a dimension of that name.
fn is_dimension(word: &str) -> bool {
    let families = Shelf::built_in().families().unwrap_or_default();
    families.iter().any(|it| it.measure(word).is_some())
}

/// Whether a word is meant for a file that commands take.
fn is_file(word: &str) -> bool {
    let path = Path::new(word);
    let ending = path.extension().and_then(|it| it.to_str());
    let ending = ending.map(str::to_lowercase);
    path.is_file() || ending.is_some_and(|it| ["toml", "dxf", "svg"].contains(&it.as_str()))
}
