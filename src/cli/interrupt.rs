//! Ctrl-C: once to end a search and keep the best so far, again to stop at once.
//!
//! A request to end or a closed terminal counts the same. Guaranteed: files are put in place
//! whole or not at all, whenever it comes.

use std::process;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};

use super::screen::Screen;

/// Exit code of a run whose search was ended early; its result was kept.
pub(super) const ENDED_EARLY: u8 = 4;
/// Exit code of a run that was stopped at once and kept nothing: 128 and the number of the signal, as
/// shells have it.
const STOPPED: i32 = 130;

/// From now on a file that grows beyond the system's limit (`ulimit -f`) is a failure to write it, as a
/// full disk is, instead of the end of the program in the middle of its work.
pub(super) fn outlive_full_files() {
    #[cfg(unix)]
    {
        // Nobody looks at the flag: the write that met the limit fails, and says so. Where nobody can
        // listen it stays as it is.
        let flag = Arc::new(AtomicBool::new(false));
        let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, flag);
    }
}

/// What the run and its signals tell each other.
#[derive(Debug, Clone, Default)]
pub(super) struct Interrupt(Arc<Shared>);

#[derive(Debug, Default)]
struct Shared {
    searching: AtomicBool,
    enough: AtomicBool,
    /// Held while files are put in place.
    writing: Mutex<()>,
}

impl Interrupt {
    /// Listens from now on; a search is under way. Called once in a run.
    pub(super) fn listen() -> Self {
        let interrupt = Self::default();
        interrupt.0.searching.store(true, Ordering::SeqCst);
        let heard = interrupt.clone();
        // Where nobody can listen, Ctrl-C still stops at once.
        let _ = ctrlc::set_handler(move || heard.hear());
        interrupt
    }

    fn hear(&self) {
        let shared = &self.0;
        if shared.searching.load(Ordering::SeqCst) && !shared.enough.swap(true, Ordering::SeqCst) {
            Screen::aside("\nkeeping the best layout so far; Ctrl-C again stops at once");
            return;
        }
        // While files are put in place the run is as good as done, and ends by itself.
        if let Ok(_nothing_is_written) = shared.writing.try_lock() {
            process::exit(STOPPED);
        }
    }

    /// Whether the search is to end.
    pub(super) fn is_enough(&self) -> bool {
        self.0.enough.load(Ordering::SeqCst)
    }

    /// The search is over: from now on the first Ctrl-C stops at once.
    pub(super) fn search_is_over(&self) {
        self.0.searching.store(false, Ordering::SeqCst);
    }

    /// Does what must not be left half done.
    pub(super) fn whole<T>(&self, write: impl FnOnce() -> T) -> T {
        // The guarded value is nothing, so a panic while it was held has spoilt nothing.
        let _held = self.0.writing.lock();
        write()
    }
}
