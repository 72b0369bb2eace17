//! Watching a search: how far it is, on stderr, and Ctrl-C to end it and keep the best so far.
//!
//! How far it is shows only where a person watches, that is on a terminal.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

use super::interrupt::{ENDED_EARLY, Interrupt};
use super::screen::{self, Screen};
use crate::nest::{Control, Progress};
use crate::quantity::format::counted;

/// Time between two lines.
const BEAT: Duration = Duration::from_millis(250);

/// The line is no longer than this, letters.
const WIDEST: usize = 80;

/// More seconds than a search may take are none to tell.
const MOST_LEFT: f64 = 86_400.0;

/// A person in front of a search.
pub(super) struct Watch {
    watched: bool,
    interrupt: Interrupt,
    /// Letters that the line may have.
    room: usize,
    begun: Instant,
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
            // A letter in the last column would begin another line.
            room: screen::width(terminal_size::terminal_size_of(io::stderr())).min(WIDEST) - 1,
            begun: Instant::now(),
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
            let line = line(progress, self.begun.elapsed(), self.room);
            let _ = write!(
                anstream::stderr().lock(),
                "\r{line:<room$}",
                room = self.room
            );
        }
        Control::Continue
    }

    /// The search is over.
    pub(super) fn end(self) -> Ended {
        self.interrupt.search_is_over();
        if self.shown {
            let room = self.room;
            let _ = write!(anstream::stderr().lock(), "\r{:<room$}\r", "");
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

/// How far the search is, and how long it still takes if it goes on as it did for `so_long`; in so many letters as
/// there is room for.
fn line(progress: &Progress, so_long: Duration, room: usize) -> String {
    let sheets = counted(progress.sheets, "sheet");
    let unplaced = match progress.unplaced {
        0 => String::new(),
        n => format!(", {n} without room"),
    };
    let left = so_long.as_secs_f64() * (1.0 - progress.spent) / progress.spent;
    // The first tenth tells little of the rest.
    let left = match left.ceil() {
        seconds if progress.spent >= 0.1 && seconds <= MOST_LEFT => format!(", {seconds} s left"),
        _ => String::new(),
    };
    let said = [
        format!("{:.0} % searched{left}", 100.0 * progress.spent),
        format!("{sheets}{unplaced}, {:.1} % used", progress.use_percent),
        "Ctrl-C keeps the best".to_owned(),
    ];
    let as_short = |parts: usize| said[..parts].join("; ");
    let shorter = (1..=said.len()).rev().map(as_short);
    let fits = |it: &String| it.chars().count() <= room;
    let cut = || as_short(1).chars().take(room).collect();
    shorter.into_iter().find(fits).unwrap_or_else(cut)
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
        let so_long = Duration::from_secs(3);
        let said = line(&progress, so_long, 79);
        // Half of it took 3 s, so the other half takes 3 s.
        let wanted = "50 % searched, 3 s left; 2 sheets, 71.3 % used; Ctrl-C keeps the best";
        assert_eq!(said, wanted);
        let narrow = line(&progress, so_long, 47);
        assert_eq!(narrow, "50 % searched, 3 s left; 2 sheets, 71.3 % used");
        assert_eq!(line(&progress, so_long, 39), "50 % searched, 3 s left");
        progress.unplaced = 3;
        let said = line(&progress, so_long, 79);
        assert!(
            said.contains("3 without room") && said.len() <= 79,
            "{said}"
        );
        progress.spent = 0.01;
        assert!(!line(&progress, so_long, 79).contains(" left"));
    }
}
