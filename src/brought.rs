//! The texts that the program brings along, as `build.rs` packed them.

use std::collections::BTreeMap;
use std::sync::LazyLock;

static PACKED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/brought.json"));

/// By their paths in `part-recipes`, such as `families/flange.toml`; and `licences.txt`. Unpacked when one is first
/// asked for.
pub(crate) static BROUGHT: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| {
    let text = miniz_oxide::inflate::decompress_to_vec(PACKED).expect("packed by this build");
    serde_json::from_slice(&text).expect("written by this build")
});
