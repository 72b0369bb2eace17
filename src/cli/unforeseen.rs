//! A mistake in the program itself: a message like any other, not a trace of its inner life.

use std::panic::{self, AssertUnwindSafe, PanicHookInfo};
use std::sync::Mutex;

use super::folder;
use crate::export::fault_point;
use crate::fault::{Fault, Outcome, REPORT_IT};

/// What the first panic said, and where.
static SAID: Mutex<Option<String>> = Mutex::new(None);

/// Runs a command; a panic in it, on whatever thread, is its fault. `doing` is the command as it was
/// typed.
pub(super) fn caught(doing: &str, run: impl FnOnce() -> Outcome<u8>) -> Outcome<u8> {
    panic::set_hook(Box::new(keep));
    let run = || {
        fault_point();
        run()
    };
    // What the run shares with anybody is dropped with it.
    panic::catch_unwind(AssertUnwindSafe(run)).unwrap_or_else(|_| Err(fault(doing).into()))
}

/// Keeps what a panic says.
fn keep(panic: &PanicHookInfo) {
    // The two sorts of words that the standard library panics with.
    let payload = panic.payload();
    let fixed = payload.downcast_ref::<&str>().copied();
    let words = fixed.or_else(|| payload.downcast_ref::<String>().map(String::as_str));
    let words = words.unwrap_or("a panic without words");
    let place = panic.location().map(|it| format!(" ({it})"));
    let said = words.replace('\n', " ") + &place.unwrap_or_default();
    if let Ok(mut kept) = SAID.lock() {
        kept.get_or_insert(said);
    }
}

fn fault(doing: &str) -> Fault {
    let said = SAID.lock().ok().and_then(|mut said| said.take());
    let said = said.unwrap_or_else(|| "nothing is known of it".to_owned());
    let written = match folder::written() {
        None => "nothing was written".to_owned(),
        Some(place) => format!("all was written into {} before that", place.display()),
    };
    Fault::program(format!(
        "a mistake in the program ended `{doing}`: {said}; {written}"
    ))
    .remedy(REPORT_IT)
}
