//! What fuzzing has found, and where it began, replayed: each input must end in a result or a message,
//! within the time and memory of an ordinary test.

#[path = "../fuzz/targets.rs"]
mod targets;
#[path = "../fuzz/wild.rs"]
mod wild;

use std::fs;
use std::path::{Path, PathBuf};

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Files below a folder, in order.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries.map(|it| it.path()).collect();
    files.sort();
    files
}

#[test]
fn what_was_found_and_what_it_began_with_ends_well() {
    let fuzz = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz");
    let mut replayed = 0;
    for (name, target) in targets::TARGETS {
        for kept in ["found", "seeds"] {
            for file in files(&fuzz.join(kept).join(name)) {
                println!("{}", file.display());
                target(&fs::read(&file).expect("readable"));
                replayed += 1;
            }
        }
    }
    assert!(replayed > 0, "there are files to replay");
}

/// The best of what fuzzing has learnt, as `tests/fuzz/keep.py` wrote it down.
#[test]
fn what_fuzzing_has_learnt_ends_well() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus");
    for (name, target) in targets::TARGETS {
        let file = corpus.join(name).with_extension("txt");
        let text = fs::read_to_string(&file).expect("there is one for each target");
        assert!(text.lines().count() > 50, "{name}");
        for line in text.lines() {
            println!("{name} {line}");
            target(&unescaped(line));
        }
    }
}

/// The bytes of a line of plain ASCII in which the others are written `\xNN`.
fn unescaped(line: &str) -> Vec<u8> {
    let mut parts = line.split("\\x");
    let mut bytes = parts.next().unwrap_or_default().as_bytes().to_vec();
    for part in parts {
        let (byte, plain) = part.split_at(2);
        bytes.push(u8::from_str_radix(byte, 16).expect("two hexadecimal digits"));
        bytes.extend_from_slice(plain.as_bytes());
    }
    bytes
}

/// Shipped files with stretches left out, doubled, or written over: near misses of real input.
#[test]
fn spoiled_files_of_ours_end_in_a_message() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shipped = [
        ("recipe", "part-recipes/families"),
        ("job", "part-recipes/jobs"),
        ("table", "part-recipes/tables"),
        ("drawing", "tests/fuzz/seeds/drawing"),
        ("outlines", "tests/fuzz/seeds/outlines"),
    ];
    let mut random = Pcg64Mcg::seed_from_u64(5);
    for (name, folder) in shipped {
        let target = targets::find(name).expect("a target");
        for file in files(&root.join(folder)) {
            let text = fs::read(&file).expect("readable");
            for _ in 0..30 {
                target(&spoiled(&text, &mut random));
            }
        }
    }
}

fn spoiled(text: &[u8], random: &mut Pcg64Mcg) -> Vec<u8> {
    let mut text = text.to_vec();
    for _ in 0..random.random_range(1..4) {
        let from = random.random_range(0..text.len());
        let to = (from + random.random_range(1..40)).min(text.len());
        match random.random_range(0..4) {
            0 => drop(text.drain(from..to)),
            1 => {
                let again = text[from..to].to_vec();
                text.splice(from..from, again);
            }
            2 => text[from..to].fill(b'9'),
            _ => text[from] = random.random_range(32..127),
        }
        if text.is_empty() {
            break;
        }
    }
    text
}

/// Recipes of valid steps with wild numbers, the whole way to their files.
#[test]
fn wild_numbers_end_in_plates_or_messages() {
    let target = targets::find("build").expect("a target");
    let mut random = Pcg64Mcg::seed_from_u64(6);
    for _ in 0..300 {
        let length = random.random_range(4..200);
        let bytes: Vec<u8> = (0..length).map(|_| random.random()).collect();
        target(&bytes);
    }
}
