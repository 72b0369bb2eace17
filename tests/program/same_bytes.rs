//! The same job gives the same bytes, in whatever folder, on however many threads, and the next time.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::LazyLock;

use crate::support::bench::{Bench, Tree, tree};

/// Cuts the cart's job from a copy in a folder, with every kind of file.
fn cut(bench: &Bench, folder: &str, threads: &str) -> Tree {
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
    let out = dir.join("out");
    let hidden = fs::read_dir(out.join(".platewright")).expect("its list and its lock");
    assert_eq!(hidden.count(), 2, "something was left on its way");
    tree(&out)
}

/// What becomes of it on one thread.
static CART: LazyLock<Tree> = LazyLock::new(|| cut(&Bench::new(), "cart", "1"));

#[test]
fn the_cart_is_the_same_on_any_threads_in_any_folder() {
    let bench = Bench::new();
    let elsewhere = [("deep/er folder", "2"), ("größer", "7"), ("größer", "3")];
    // Before one thread is waited for, which another test begins meanwhile.
    let others = elsewhere.map(|(folder, threads)| (threads, cut(&bench, folder, threads)));
    for (threads, other) in others {
        assert_eq!(CART.len(), other.len());
        for (name, bytes) in CART.iter() {
            assert!(other[name] == *bytes, "{name} differs on {threads} threads");
        }
    }
}

#[test]
fn the_picture_of_the_readme_is_what_the_demo_gives() {
    let kept =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/pictures/orchard-cart-sheet.svg");
    let kept = fs::read(kept).expect("the picture");
    assert!(
        CART["sheets/01-mild-steel-10mm.svg"] == kept,
        "cut the demo, look at sheets/01-mild-steel-10mm.svg, and keep it as the picture"
    );
}
