//! What a run may change in a folder that is in use: what the program wrote there and nobody touched since.
//! The remnants of other runs, the stock of the job and the builder's own files stay.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;

use crate::support::bench::{Bench, Tree, tree};

/// A job of flanges on a piece of stock.
fn job(stock: &str, quantity: u32) -> String {
    format!(
        "[job]\nname = \"flanges\"\n[[stock]]\nthickness = \"8 mm\"\n{stock}\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\nquantity = {quantity}\n"
    )
}

const SHEET: &str = "size = [\"500 mm\", \"1200 mm\"]\nquantity = 1";

fn remnant(report: &Value) -> String {
    let file = &report["sheets"][0]["remnant"]["file"];
    file.as_str().expect("a remnant worth keeping").to_owned()
}

fn remnants(bench: &Bench) -> BTreeSet<String> {
    let files = tree(&bench.path("out")).into_keys();
    files.filter(|it| it.starts_with("remnants/")).collect()
}

#[test]
fn a_job_whose_stock_lies_in_its_own_folder_is_the_same_three_times() {
    let bench = Bench::new();
    bench.write("first.toml", &job(SHEET, 6));
    let stock = remnant(&bench.object(&["cut", "first.toml"], 0));
    let outline = fs::read(bench.path("out").join(&stock)).expect("a drawing");
    let line = format!("outline = \"out/{stock}\"\nquantity = 1");
    bench.write("second.toml", &job(&line, 4));
    let runs: Vec<(Value, Tree)> = (0..3)
        .map(|_| {
            let report = bench.object(&["cut", "second.toml"], 0);
            (report, tree(&bench.path("out")))
        })
        .collect();
    assert_eq!(runs[0], runs[1]);
    assert_eq!(runs[0], runs[2]);
    let left = remnant(&runs[0].0);
    assert_ne!(left, stock);
    assert_eq!(remnants(&bench), BTreeSet::from([left, stock.clone()]));
    assert_eq!(runs[2].1[&stock], outline, "the stock is as it was");
    let said = bench.done(&["cut", "second.toml"]);
    assert!(
        said.contains("one remnant of an earlier run stays in out/remnants"),
        "{said}"
    );
}

#[test]
fn remnants_of_other_jobs_stay_and_the_same_job_makes_no_second_copy() {
    let bench = Bench::new();
    bench.write("first.toml", &job(SHEET, 6));
    bench.write("second.toml", &job(SHEET, 3));
    let first = remnant(&bench.object(&["cut", "first.toml"], 0));
    let before = fs::read(bench.path("out").join(&first)).expect("a drawing");
    for file in ["second.toml", "first.toml", "second.toml", "first.toml"] {
        bench.done(&["cut", file]);
    }
    assert_eq!(remnants(&bench).len(), 2);
    assert_eq!(
        fs::read(bench.path("out").join(&first)).expect("a drawing"),
        before
    );
    // A run without a remnant takes none away.
    bench.write("part.toml", "recipe = \"flange\"\nthickness = \"8 mm\"\n");
    bench.done(&["draw", "part.toml"]);
    assert_eq!(remnants(&bench).len(), 2);
}

/// Not its own name for it: the file that the job reads as stock, wherever that is in the folder.
#[test]
fn stock_is_never_written_over_even_on_request() {
    let bench = Bench::new();
    bench.write(
        "plate.toml",
        "recipe = \"flange\"\noutside = \"400 mm\"\nname = \"blank\"\n",
    );
    bench.done(&["cut", "plate.toml"]);
    let stock = bench.path("out/plates/blank.dxf");
    let before = fs::read(&stock).expect("a drawing");
    let line = "outline = \"out/plates/blank.dxf\"\nquantity = 1\n[[stock]]\nthickness = \"8 mm\"";
    let text = job(&format!("{line}\n{SHEET}"), 1);
    let text = text.replace("[[part]]", "[[part]]\nname = \"blank\"");
    bench.write("job.toml", &text);
    let said = bench.refused(&["cut", "job.toml", "--replace"], 3);
    assert!(
        said.contains("is what this very run was made from"),
        "{said}"
    );
    bench.done(&["cut", "job.toml", "--out", "elsewhere"]);
    assert_eq!(fs::read(&stock).expect("a drawing"), before);
}

#[test]
fn files_made_or_changed_by_hand_are_named_and_stay() {
    let bench = Bench::new();
    bench.write("flange.toml", "recipe = \"flange\"\n");
    fs::create_dir_all(bench.path("out/plates")).expect("a folder");
    bench.write("out/plates/flange.dxf", "drawn by hand");
    bench.write("out/report.html", "written by hand");
    let before = tree(&bench.path("out"));
    for command in ["cut", "draw"] {
        let said = bench.refused(&[command, "flange.toml"], 3);
        assert!(
            said.contains("flange.dxf` was not written by this program"),
            "{said}"
        );
        assert!(said.contains("--replace"), "{said}");
        assert_eq!(tree(&bench.path("out")), before);
    }
    bench.done(&["cut", "flange.toml", "--replace"]);
    let whole = tree(&bench.path("out"));
    assert!(whole["report.html"].starts_with(b"<!"));
    bench.write("out/plates/flange.svg", "<svg/>");
    bench.write("flange.toml", "recipe = \"flange\"\nbolt_count = 5\n");
    let said = bench.refused(&["cut", "flange.toml"], 3);
    assert!(
        said.contains("flange.svg` was changed since this program wrote it"),
        "{said}"
    );
    assert!(said.contains("add --replace to write over it"), "{said}");
    let said = bench.refused(&["draw", "flange.toml", "--json"], 3);
    assert!(said.contains("was changed since"), "{said}");
    bench.done(&["cut", "flange.toml", "--out", "elsewhere"]);
    bench.done(&["cut", "flange.toml", "--replace"]);
}

#[cfg(unix)]
#[test]
fn links_and_protected_files_stay_whatever_command_meets_them() {
    let bench = Bench::new();
    bench.write("flange.toml", "recipe = \"flange\"\n");
    for (command, file, words) in [
        ("paper", "paper/flange.pdf", &["flange.toml"][..]),
        (
            "redrill",
            "redrill/web.svg",
            &["flange.toml", "--new", "4 x 70 mm, M6"][..],
        ),
        (
            "steering",
            "steering/error.svg",
            &[
                "--track",
                "1200mm",
                "--wheelbase",
                "1800mm",
                "--arm",
                "120mm",
                "--lock",
                "35deg",
            ][..],
        ),
    ] {
        let place = bench.path("out").join(file);
        fs::create_dir_all(place.parent().expect("a folder")).expect("a folder");
        let mine = bench.write("mine", "mine");
        std::os::unix::fs::symlink(&mine, &place).expect("a link");
        let said = bench.refused(&[&[command], words].concat(), 3);
        assert!(said.contains("is a link to another place"), "{said}");
        fs::remove_file(&place).expect("removes");
        fs::write(&place, "mine").expect("writes");
        let mut permissions = fs::metadata(&place).expect("is there").permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&place, permissions).expect("sets");
        let said = bench.refused(&[&[command], words].concat(), 3);
        assert!(said.contains("is write-protected"), "{said}");
        assert_eq!(fs::read_to_string(&mine).expect("reads"), "mine");
        assert_eq!(fs::read_to_string(&place).expect("reads"), "mine");
        fs::remove_file(&place).expect("removes");
    }
    bench.done(&["start", "flange", "--out", "mine", "--replace"]);
    bench.write("table.toml", "mine");
    std::os::unix::fs::symlink(bench.path("table.toml"), bench.path("link.toml")).expect("a link");
    let said = bench.refused(&["start", "flange", "--out", "link.toml"], 3);
    assert!(said.contains("it is a link to another place"), "{said}");
    assert_eq!(
        fs::read_to_string(bench.path("table.toml")).expect("reads"),
        "mine"
    );
}

#[test]
fn drawing_another_plate_of_a_name_ends_the_cut_that_no_longer_fits_it() {
    let bench = Bench::new();
    bench.write("flange.toml", "recipe = \"flange\"\n");
    bench.done(&["cut", "flange.toml"]);
    let whole = tree(&bench.path("out"));
    bench.done(&["draw", "flange.toml"]);
    bench.done(&["paper", "flange.toml"]);
    bench.done(&["paper", "flange.toml", "--paper", "letter", "--drill"]);
    let now = tree(&bench.path("out"));
    assert_eq!(
        now.len(),
        whole.len() + 1,
        "the same plates leave the cut as it is"
    );
    bench.write("flange.toml", "recipe = \"flange\"\nbolt_count = 5\n");
    let output = bench.run(&["draw", "flange.toml"]);
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(
        said.contains("the files of the earlier `cut` in out no longer fit these"),
        "{said}"
    );
    let now = tree(&bench.path("out"));
    assert!(!now.contains_key("report.json") && now.contains_key("plates/flange.dxf"));
    assert!(!now.keys().any(|it| it.starts_with("sheets/")));
}
