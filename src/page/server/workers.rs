//! The threads that answers are worked out on.

use rayon::{ThreadPool, ThreadPoolBuildError, ThreadPoolBuilder};

/// Threads for the answers, apart from those that a layout is searched on: one for each core, and kept to it. A
/// thread that is woken for its half of an answer may be put in line behind the thread that wakes it, and the other
/// core stay idle until the next tick of the system: 4 ms later, in every second answer.
pub(super) fn workers() -> Result<ThreadPool, ThreadPoolBuildError> {
    let cores = core_affinity::get_core_ids().unwrap_or_default();
    ThreadPoolBuilder::new()
        .start_handler(move |thread| {
            if cores.len() == rayon::current_num_threads() {
                // Where it cannot be kept to a core it works all the same.
                core_affinity::set_for_current(cores[thread]);
            }
        })
        .build()
}
