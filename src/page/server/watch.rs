//! Watching the folder: what another program writes shows without a reload.
//!
//! Times and sizes of its files are looked at several times a second: that is all a folder of some dozen
//! files needs, and it is the same on every system and on drives of a network, which tell nobody.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Weak};
use std::thread;
use std::time::{Duration, SystemTime};

use super::Desk;
use super::disk;

/// Between two looks.
const PACE: Duration = Duration::from_millis(250);

/// A watch that ends when it is dropped.
pub(super) struct Watching(Arc<AtomicBool>);

impl Drop for Watching {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Watches a folder.
pub(super) fn start(desk: &Arc<Desk>) -> Watching {
    let over = Arc::new(AtomicBool::new(false));
    let (is_over, desk) = (Arc::clone(&over), Arc::downgrade(desk));
    thread::spawn(move || watch(&desk, &is_over));
    Watching(over)
}

type Seen = BTreeMap<String, (Option<SystemTime>, u64)>;

fn watch(desk: &Weak<Desk>, is_over: &AtomicBool) {
    let mut before: Option<Seen> = None;
    while !is_over.load(Ordering::Relaxed) {
        let Some(desk) = desk.upgrade() else { return };
        let now = seen(&desk.folder);
        if let Some(before) = &before {
            let differs = |name: &&String| before.get(*name) != now.get(*name);
            let mut names: Vec<&String> = before.keys().chain(now.keys()).filter(differs).collect();
            names.sort_unstable();
            names.dedup();
            if !names.is_empty() {
                desk.events
                    .tell("changed", &serde_json::json!(names).to_string());
            }
        }
        before = Some(now);
        drop(desk);
        thread::sleep(PACE);
    }
}

/// Times and sizes of the files that pages show.
fn seen(folder: &Path) -> Seen {
    let told = |path: &Path| {
        let about = fs::metadata(path).ok()?;
        Some((about.modified().ok(), about.len()))
    };
    let files = disk::files(folder).into_iter();
    let mut seen: Seen = files
        .filter_map(|(name, path)| Some((name, told(&path)?)))
        .collect();
    for name in [disk::REPORT, disk::TICKS] {
        seen.extend(told(&folder.join(name)).map(|it| (name.to_owned(), it)));
    }
    seen
}
