//! Screens: as wide as the terminal, the answer first and last, a screenful unless all is asked for.

use crate::support::bench::Bench;

fn demo() -> String {
    let jobs = concat!(env!("CARGO_MANIFEST_DIR"), "/part-recipes/jobs");
    format!("{jobs}/orchard-cart.toml")
}

/// Widths from a phone's terminal to a wide screen.
const WIDTHS: [usize; 4] = [40, 80, 120, 200];

/// Every line is within the width, but for one that is a single word, such as a path.
fn assert_fits(said: &str, width: usize, words: &[&str]) {
    assert!(!said.trim().is_empty(), "{words:?} says nothing");
    for line in said.lines() {
        let is_one_word = line.split_whitespace().count() < 2;
        assert!(
            is_one_word || line.chars().count() <= width,
            "{words:?} at {width}: {line}"
        );
    }
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    let bench = Bench::new();
    bench.write("hub.toml", "recipe = \"hub-adapter\"\n");
    let demo = demo();
    for width in WIDTHS {
        for words in [
            &["recipes"][..],
            &["recipes", "hub-adapter"],
            &["recipes", "pedal-bracket"],
            &["check", "hub.toml"],
            &["check", &demo],
            &["check", &demo, "--all"],
            &["estimate", &demo, "--seconds", "0"],
            &["estimate", &demo, "--seconds", "0", "--all"],
            &["estimate", "hub.toml", "--as-many-as-fit", "--seconds", "0"],
            &["explain"],
            &["explain", "thin web"],
            &["explain", "hub-adapter"],
            &["reckon", "4-1/2 in"],
            &["reckon", "--functions"],
            &["measure", "chord", "67.2mm", "--studs", "5"],
            &["redrill", "hub.toml", "--new", "5 x 150 mm, M8"],
            &[
                "steering",
                "--track",
                "1200mm",
                "--wheelbase",
                "1800mm",
                "--arm",
                "120mm",
            ],
        ] {
            assert_fits(&bench.on_width(words, width), width, words);
        }
    }
}

#[test]
fn the_answer_comes_first_and_last_and_the_rest_only_if_asked_for() {
    let bench = Bench::new();
    let demo = demo();
    for words in [
        &["check", &demo][..],
        &["estimate", &demo, "--seconds", "0"],
    ] {
        let short = bench.on_width(words, 120);
        let all = bench.on_width(&[words, &["--all"]].concat(), 120);
        for said in [&short, &all] {
            let mut lines = said.lines();
            let first = lines.next().expect("an answer");
            assert!(first.contains("nothing refused"), "{first}");
            // It may take several lines; the last ones are the same.
            assert!(
                said.trim_end().ends_with(first) || said.matches(first).count() == 2,
                "{said}"
            );
        }
        assert!(all.lines().count() > short.lines().count(), "{all}");
        assert!(short.contains("`--all`") && !all.contains("`--all`"));
        assert!(short.contains("will it hold: "), "{short}");
        assert!(short.contains("\nnote: "), "{short}");
        // Whatever is left out, no caution is.
        let cautions = |said: &str| -> Vec<String> {
            let topics = said.lines().filter_map(|it| it.strip_prefix("caution, "));
            let topics = topics.map(|it| it.split(':').next().unwrap_or(it).to_owned());
            topics.collect()
        };
        assert!(cautions(&short).contains(&"safety-critical".to_owned()));
        assert_eq!(cautions(&short), cautions(&all));
        // The gist of each, and its whole text where all is told.
        let whole = "people can die.";
        assert!(!short.contains(whole) && all.contains(whole), "{all}");
    }
}

/// The answer is what stands before the cautions; each of them is a line, and the answer ends it again.
#[test]
fn an_answer_is_a_screenful_and_each_caution_a_line() {
    let bench = Bench::new();
    bench.write("hub.toml", "recipe = \"hub-adapter\"\n");
    let weak = "recipe = \"hub-adapter\"\nthickness = \"3 mm\"\n";
    bench.write("weak.toml", weak);
    let demo = demo();
    let cut = ["cut", &demo, "--seconds", "0", "--out", "out"];
    for words in [
        &["check", &demo][..],
        &["check", "hub.toml"],
        &["check", "weak.toml"],
        &["estimate", &demo, "--seconds", "0"],
        &["estimate", "hub.toml", "--seconds", "0"],
        &cut,
    ] {
        for width in [80, 120, 200] {
            let said = bench.on_width(words, width);
            let is_caution = |it: &&str| it.starts_with("caution, ");
            let before = said.lines().take_while(|it| !is_caution(it)).count();
            assert!(before <= 24, "{words:?} at {width}: {before} lines\n{said}");
            let mut cautions = said.lines().skip(before);
            let cautions = cautions.by_ref().take_while(|it| !it.is_empty());
            assert!(cautions.filter(|it| !is_caution(it)).count() == 0, "{said}");
        }
    }
}

#[test]
fn a_finding_is_explained_by_the_name_it_carries() {
    let bench = Bench::new();
    let said = bench.done(&["explain", "edge", "distance"]);
    for words in ["AISC 360", "if ignored", "pulls out through the edge"] {
        assert!(said.contains(words), "{said}");
    }
    assert_eq!(bench.done(&["explain", "edge-distance"]), said);
    let said = bench.refused(&["explain", "thin weg"], 2);
    assert!(said.contains("did you mean `thin web`?"), "{said}");
    let rules = bench.object(&["explain", "flange"], 0);
    let rules = rules["rules"].as_array().expect("rules").clone();
    assert!(
        rules
            .iter()
            .any(|it| it["source"] == "AISC 360-16 Table J3.4 and J3.4M")
    );
    // Every finding of the demo can be asked for.
    let told = bench.object(&["check", &demo()], 0);
    let plates = told["plates"].as_array().expect("plates").iter();
    let findings = plates.flat_map(|it| it["findings"].as_array().expect("findings").clone());
    let mut count = 0;
    for finding in findings {
        let name = finding["check"].as_str().expect("a name");
        let object = bench.object(&["explain", name], 0);
        assert_eq!(object["name"], name);
        assert!(object["why"].as_str().is_some_and(|it| it.len() > 20));
        count += 1;
    }
    assert!(count > 0);
}
