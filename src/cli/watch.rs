//! Watching a search: how far it is, on stderr, and Ctrl-C to end it and keep the best so far.
//!
//! How far it is shows only where a person watches, that is on a terminal.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

use super::interrupt::{ENDED_EARLY, Interrupt};
use super::screen::Screen;
use crate::nest::{Control, Progress};
use crate::quantity::format::counted;

/// Time between two lines.
const BEAT: Duration = Duration::from_millis(250);

/// A person in front of a search.
pub(super) struct Watch {
    watched: bool,
    interrupt: Interrupt,
    next: Instant,
    shown: bool,
    /// Whether the search was told to end.
    early: bool,
}

/// A search that is over.
pub(super) struct Ended {
    interrupt: Interrupt,
    early: bool,
}

impl Watch {
    /// A watch that begins now.
    pub(super) fn new() -> Self {
        Self {
            watched: io::stderr().is_terminal(),
            interrupt: Interrupt::listen(),
            next: Instant::now(),
            shown: false,
            early: false,
        }
    }

    /// Shows how far the search is; `Stop` once there was a Ctrl-C.
    pub(super) fn control(&mut self, progress: &Progress) -> Control {
        if self.interrupt.is_enough() {
            self.early = true;
            return Control::Stop;
        }
        if self.watched && Instant::now() >= self.next {
            self.next = Instant::now() + BEAT;
            self.shown = true;
            // Nothing can be shown on a stderr that is gone; the search goes on.
            let _ = write!(anstream::stderr().lock(), "\r{:<78}", line(progress));
        }
        Control::Continue
    }

    /// The search is over.
    pub(super) fn end(self) -> Ended {
        self.interrupt.search_is_over();
        if self.shown {
            let _ = write!(anstream::stderr().lock(), "\r{:<78}\r", "");
        }
        if self.early {
            Screen::aside("stopped early: this is the best layout found until then");
        }
        Ended {
            interrupt: self.interrupt,
            early: self.early,
        }
    }
}

impl Ended {
    /// Puts files in place, whole or not at all whenever there is a Ctrl-C.
    pub(super) fn whole<T>(&self, write: impl FnOnce() -> T) -> T {
        self.interrupt.whole(write)
    }

    /// The exit code of the run: `otherwise` unless its search was ended early.
    pub(super) const fn code(&self, otherwise: u8) -> u8 {
        if self.early { ENDED_EARLY } else { otherwise }
    }
}

fn line(progress: &Progress) -> String {
    let sheets = counted(progress.sheets, "sheet");
    let unplaced = match progress.unplaced {
        0 => String::new(),
        n => format!(", {n} without room"),
    };
    format!(
        "{sheets}{unplaced}, {:.1} % used, {:.0} % of the search done; Ctrl-C keeps the best",
        progress.use_percent,
        100.0 * progress.spent
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Layout;

    #[test]
    fn the_line_tells_sheets_use_and_how_to_stop() {
        let mut progress = Progress {
            sheets: 2,
            unplaced: 0,
            last_length: 400.0,
            use_percent: 71.26,
            spent: 0.5,
            layout: &Layout::default,
        };
        let said = line(&progress);
        assert!(said.starts_with("2 sheets, 71.3 % used, 50 %"), "{said}");
        progress.unplaced = 3;
        assert!(line(&progress).contains("3 without room"));
        assert!(line(&progress).len() <= 100);
    }
}
