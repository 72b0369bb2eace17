//! The one place that writes to the terminal.

use std::env;
use std::io::{self, Write};

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde_json::{Value, json};

use super::args::Color;
use crate::fault::{Fault, Faults, Outcome};
use crate::report::rows::fitted;

/// Where results and messages go, and in what dress.
pub(super) struct Screen {
    json: bool,
    renderer: Renderer,
    /// Letters on a line of stdout.
    width: usize,
}

/// Lines of a stdout that is no terminal are as long as they come, unless `COLUMNS` says otherwise.
const NO_TERMINAL: usize = 10_000;
/// Narrower than this, letters, nothing can be laid out.
const NARROWEST: usize = 20;

/// Letters on a line: as `COLUMNS` says, else as a terminal has them.
pub(super) fn width(seen: Option<(terminal_size::Width, terminal_size::Height)>) -> usize {
    let told = env::var("COLUMNS").ok().and_then(|it| it.parse().ok());
    let seen = || seen.map(|(width, _)| usize::from(width.0));
    told.or_else(seen).unwrap_or(NO_TERMINAL).max(NARROWEST)
}

impl Screen {
    /// A screen for this process.
    pub(super) fn new(color: Color, json: bool) -> Self {
        match color {
            Color::Auto => {}
            Color::Always => anstream::ColorChoice::Always.write_global(),
            Color::Never => anstream::ColorChoice::Never.write_global(),
        }
        // anstream strips the colours again where stderr does not want them.
        Self {
            json,
            renderer: Renderer::styled(),
            width: width(terminal_size::terminal_size_of(io::stdout())),
        }
    }

    /// Letters on a line of a result.
    pub(super) const fn width(&self) -> usize {
        self.width
    }

    /// Prints a result: the JSON object if asked for, else the text.
    pub(super) fn result(
        &self,
        object: impl FnOnce() -> Value,
        text: impl FnOnce() -> String,
    ) -> Outcome<()> {
        let mut shown = if self.json {
            pretty(&object())
        } else {
            fitted(&text(), self.width)
        };
        if !shown.ends_with('\n') {
            shown.push('\n');
        }
        Self::bytes(shown.as_bytes())
    }

    /// Prints a result as it is.
    pub(super) fn bytes(bytes: &[u8]) -> Outcome<()> {
        let mut out = anstream::stdout().lock();
        match out.write_all(bytes).and_then(|()| out.flush()) {
            Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
                Err(Fault::file(format!("cannot write to stdout: {error}")).into())
            }
            // A reader that has seen enough is a quiet success.
            _ => Ok(()),
        }
    }

    /// Says something beside the result, on stderr.
    pub(super) fn aside(words: &str) {
        // Nothing can be said about a stderr that is gone.
        let _ = writeln!(anstream::stderr().lock(), "{words}");
    }

    /// Says what is wrong, on stderr; with `--json` also as the one object on stdout.
    pub(super) fn faults(&self, faults: &Faults) {
        for fault in faults.as_slice() {
            Self::aside(&self.shown(fault));
        }
        if self.json {
            let list: Vec<Value> = faults.as_slice().iter().map(fault_object).collect();
            let object = json!({ "schema": 1, "errors": list, "exit_code": faults.exit_code() });
            // The exit code already tells of the failure.
            let _ = Self::bytes(format!("{}\n", pretty(&object)).as_bytes());
        }
    }

    fn shown(&self, fault: &Fault) -> String {
        let mut groups = Vec::new();
        let title = Level::ERROR.primary_title(fault.message.as_str());
        groups.push(match &fault.place {
            Some(place) => {
                let annotation = AnnotationKind::Primary.span(place.span.clone());
                let annotation = match &fault.label {
                    Some(label) => annotation.label(label.as_str()),
                    None => annotation,
                };
                title.element(
                    Snippet::source(&*place.source.text)
                        .path(place.source.name.as_str())
                        .annotation(annotation),
                )
            }
            None => Group::with_title(title),
        });
        if let Some(remedy) = &fault.remedy {
            groups.push(Group::with_title(
                Level::HELP.secondary_title(remedy.as_str()),
            ));
        }
        self.renderer.render(&groups)
    }
}

fn fault_object(fault: &Fault) -> Value {
    let place = fault.place.as_ref().map(|place| {
        let (line, column) = place.source.line_column(place.span.start);
        json!({ "file": place.source.name, "line": line, "column": column })
    });
    json!({ "message": fault.message, "remedy": fault.remedy, "place": place })
}

fn pretty(object: &Value) -> String {
    serde_json::to_string_pretty(object).expect("a JSON value always prints")
}
