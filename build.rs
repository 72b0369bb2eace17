//! Packs the texts that the program brings along: the families, tables and shared files of
//! `part-recipes`, and the licences of its libraries. As they are, they are a twentieth of the program.
//!
//! Out: `brought.json` in the build folder, path to text, deflated; read by `src/brought.rs`.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::path::Path;
use std::{env, fs};

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

fn main() -> Outcome<()> {
    let mut texts = BTreeMap::new();
    for folder in ["families", "tables", "shared"] {
        let lies_in = Path::new("part-recipes").join(folder);
        for entry in fs::read_dir(&lies_in)? {
            let path = entry?.path();
            if path.extension().is_some_and(|it| it == "toml") {
                let name = path
                    .file_name()
                    .and_then(OsStr::to_str)
                    .ok_or("a name that is no text")?;
                take(&mut texts, &format!("{folder}/{name}"), &path)?;
            }
        }
        println!("cargo::rerun-if-changed={}", lies_in.display());
    }
    take(
        &mut texts,
        "licences.txt",
        Path::new("src/cli/licences.txt"),
    )?;
    let packed = miniz_oxide::deflate::compress_to_vec(&serde_json::to_vec(&texts)?, 9);
    fs::write(
        Path::new(&env::var("OUT_DIR")?).join("brought.json"),
        packed,
    )?;
    println!("cargo::rerun-if-changed=build.rs");
    Ok(())
}

/// Takes a text along, with plain line ends whatever the checkout has.
fn take(texts: &mut BTreeMap<String, String>, called: &str, path: &Path) -> Outcome<()> {
    println!("cargo::rerun-if-changed={}", path.display());
    texts.insert(
        called.to_owned(),
        fs::read_to_string(path)?.replace("\r\n", "\n"),
    );
    Ok(())
}
