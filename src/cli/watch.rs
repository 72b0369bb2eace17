//! Watching a search: how far it is, on stderr, and Enter to stop it and keep the best so far.
//!
//! Only where a person watches, that is with a terminal on both ends; elsewhere nothing is shown and
//! nothing is read.

use std::io::{self, BufRead, IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use crate::nest::{Control, Progress};

/// A search shorter than this needs no watching.
const PATIENCE: Duration = Duration::from_millis(700);
/// Time between two lines.
const BEAT: Duration = Duration::from_millis(250);

/// A person in front of a search.
pub(super) struct Watch {
    watched: bool,
    enough: Option<Arc<AtomicBool>>,
    next: Instant,
    shown: bool,
}

impl Watch {
    /// A watch that begins now.
    pub(super) fn new() -> Self {
        Self {
            watched: io::stderr().is_terminal() && io::stdin().is_terminal(),
            enough: None,
            next: Instant::now() + PATIENCE,
            shown: false,
        }
    }

    /// Shows how far the search is; `Stop` once the person has pressed Enter.
    pub(super) fn control(&mut self, progress: &Progress) -> Control {
        let heard = |enough: &Arc<AtomicBool>| enough.load(Ordering::Relaxed);
        if self.enough.as_ref().is_some_and(heard) {
            return Control::Stop;
        }
        if !self.watched || Instant::now() < self.next {
            return Control::Continue;
        }
        self.next = Instant::now() + BEAT;
        self.shown = true;
        // Nothing can be shown on a stderr that is gone; the search goes on.
        let _ = write!(anstream::stderr().lock(), "\r{:<78}", line(progress));
        self.enough.get_or_insert_with(listen);
        Control::Continue
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        if self.shown {
            let _ = write!(anstream::stderr().lock(), "\r{:<78}\r", "");
        }
    }
}

fn line(progress: &Progress) -> String {
    let sheets = match progress.sheets {
        1 => "1 sheet".to_owned(),
        n => format!("{n} sheets"),
    };
    let unplaced = match progress.unplaced {
        0 => String::new(),
        n => format!(", {n} without room"),
    };
    format!(
        "{sheets}{unplaced}, {:.1} % used, {:.0} % of the search done; Enter keeps the best so far",
        progress.use_percent,
        100.0 * progress.spent
    )
}

/// Hears the next Enter. The thread ends with the program.
fn listen() -> Arc<AtomicBool> {
    let enough = Arc::new(AtomicBool::new(false));
    let heard = Arc::clone(&enough);
    thread::spawn(move || {
        let mut line = String::new();
        if io::stdin()
            .lock()
            .read_line(&mut line)
            .is_ok_and(|read| read > 0)
        {
            heard.store(true, Ordering::Relaxed);
        }
    });
    enough
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_tells_sheets_use_and_how_to_stop() {
        let mut progress = Progress {
            sheets: 2,
            unplaced: 0,
            last_length: 400.0,
            use_percent: 71.26,
            spent: 0.5,
        };
        let said = line(&progress);
        assert!(said.starts_with("2 sheets, 71.3 % used, 50 %"), "{said}");
        progress.unplaced = 3;
        assert!(line(&progress).contains("3 without room"));
        assert!(line(&progress).len() <= 100);
    }
}
