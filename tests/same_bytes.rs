//! The same job gives the same bytes, in whatever folder, on however many threads, and the next time.

mod bench;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use bench::Bench;

fn tree(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(dir) = open.pop() {
        for entry in fs::read_dir(&dir).expect("readable") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("below").to_owned();
                found.insert(name, fs::read(&path).expect("readable"));
            }
        }
    }
    found
}

/// Cuts the cart's job from a copy in a folder, with every kind of file.
fn cut(bench: &Bench, folder: &str, threads: &str) -> BTreeMap<PathBuf, Vec<u8>> {
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml");
    let dir = bench.path(folder);
    fs::create_dir_all(&dir).expect("a folder");
    fs::copy(job, dir.join("cart.toml")).expect("a copy");
    let output = Command::new(env!("CARGO_BIN_EXE_platewright"))
        .args(["cut", "cart.toml", "--out", "out", "--program", "--png"])
        .current_dir(&dir)
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .expect("the program runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    tree(&dir.join("out"))
}

#[test]
fn the_cart_is_the_same_on_any_threads_in_any_folder() {
    let bench = Bench::new();
    let one = cut(&bench, "one", "1");
    for (folder, threads) in [("deep/er folder", "2"), ("größer", "7"), ("one", "3")] {
        let other = cut(&bench, folder, threads);
        assert_eq!(one.len(), other.len());
        for (name, bytes) in &one {
            assert!(
                other[name] == *bytes,
                "{} differs on {threads} threads",
                name.display()
            );
        }
    }
}
