//! One target of the fuzzing, named by the variable `TARGET`.

#![no_main]

#[path = "../targets.rs"]
mod targets;
#[path = "../wild.rs"]
mod wild;

use std::panic;
use std::sync::OnceLock;

static TARGET: OnceLock<targets::Target> = OnceLock::new();

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let target = TARGET.get_or_init(|| {
        // A panic that the program catches is no crash; one that gets out of a target still is.
        drop(panic::take_hook());
        let name = std::env::var("TARGET").unwrap_or_default();
        targets::find(&name).expect("TARGET names one of the targets")
    });
    target(bytes);
});
