//! The language page is true: its examples can be read, and start files are what they say.

use std::fs;
use std::path::Path;

use super::workbench::{make_family, make_sharing};
use platewright::fault::Source;
use platewright::plate::plates;
use platewright::quantity::Expression;
use platewright::recipe::{Job, Shelf, start_text};

fn page() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/README.md");
    fs::read_to_string(path).expect("the language page")
}

/// The TOML examples of the page, in order.
fn examples(page: &str) -> Vec<&str> {
    let blocks = page.split("```toml\n").skip(1);
    blocks
        .filter_map(|block| block.split("```").next())
        .collect()
}

fn example<'a>(examples: &[&'a str], holds: &str) -> &'a str {
    let found = examples.iter().find(|block| block.contains(holds));
    found.unwrap_or_else(|| panic!("no example with {holds}"))
}

#[test]
fn every_value_of_the_table_of_values_is_an_expression() {
    let page = page();
    let section = page.split("## Values").nth(1).expect("a section on values");
    let table = section.split("\n## ").next().expect("its text");
    let rows = table.lines().filter(|line| line.starts_with("| `"));
    let mut read = 0;
    for row in rows {
        let cell = row.split(" | ").next().expect("a first column");
        for value in cell
            .trim_start_matches("| ")
            .split('`')
            .filter(|it| !it.trim().is_empty())
        {
            let toml: toml::Table = format!("it = {value}").parse().expect(value);
            let text = toml["it"].as_str().expect(value);
            Expression::parse(text).unwrap_or_else(|mistake| panic!("{value}: {mistake}"));
            read += 1;
        }
    }
    assert!(read >= 18, "only {read} values found");
}

#[test]
fn every_whole_family_of_the_page_is_drawn_as_it_stands() {
    let page = page();
    let whole = examples(&page).into_iter();
    let whole = whole.filter(|it| it.starts_with("title") && it.contains("[[plate.step]]"));
    let mut drawn = 0;
    let shared = "A file `shared/pinned-eye.toml`:\n\n```toml\n";
    let shared = page.split(shared).nth(1).expect("a shared file");
    let shared = shared.split("```").next().expect("its text");
    for family in whole {
        let made = make_sharing(family, ("pinned-eye", shared), "")
            .unwrap_or_else(|faults| panic!("{family}\n{faults}"));
        assert!(!made.plates.is_empty());
        drawn += 1;
    }
    assert!(drawn >= 3);
}

#[test]
fn the_page_lists_every_topic_of_cautions_and_every_finding() {
    let page = page();
    let listed = |heading: &str| -> Vec<String> {
        let text = page.split(heading).nth(1).expect(heading);
        let text = text.split(['.', '(']).next().expect("a list");
        let words = text.split('`').skip(1).step_by(2);
        words.map(|it| it.replace('\n', " ")).collect()
    };
    let topics: Vec<String> = platewright::trade::cautions::topics()
        .map(str::to_owned)
        .collect();
    assert_eq!(listed("Topics of `cautions`: "), topics);
    let checks = platewright::check::CHECKS.iter().map(|it| it.about.name);
    let elsewhere = platewright::check::ELSEWHERE.iter().map(|it| it.about.name);
    let mut names: Vec<&str> = checks.chain(elsewhere).collect();
    let mut told = listed("`relax` of a job: ");
    names.sort_unstable();
    told.sort_unstable();
    assert_eq!(told, names);
}

#[test]
fn the_family_of_the_page_makes_plates() {
    let page = page();
    let examples = examples(&page);
    let more = r#"
        [dimension.thickness]
        says = "plate thickness"
        default = "6 mm"
        [dimension.sides]
        says = "which to make"
        kind = "choice"
        choices = ["both", "left", "right"]
        default = "both"
        [dimension.style]
        says = "style"
        choices = ["round", "cheeks"]
        default = "cheeks"
        [dimension.hub_bolt]
        says = "bolt in the hub"
        kind = "thread"
        default = "M10"
        [dimension.hub_circle]
        says = "pitch circle in the hub"
        default = "100 mm"
        [dimension.pedal_length]
        says = "pedal length"
        default = "220 mm"
        [dimension.rod_length]
        says = "rod length"
        default = "45 mm"
        [dimension.arm_length]
        says = "arm length"
        default = "60 mm"
        [dimension.set]
        says = "set of the arm"
        default = "15 deg"
    "#;
    let step = r#"
        [[plate.step]]
        add = "bar"
        from = "boss"
        to = "eye"
        width = "hub_hole * 3"
        [[plate.step]]
        cut = "disc"
        diameter = "hub_hole"
        name = "hub bolt"
        purpose = "bolt"
    "#;
    let family = [
        example(&examples, "title = \"Hub adapter plate\""),
        more,
        example(&examples, "hub_hole = 'clearance"),
        example(&examples, "# a recipe may make several plates"),
        step,
    ]
    .join("\n");
    let made = make_family(&family, "").unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(made.plates.len(), 2);
    assert_eq!(made.plates[0].name, "test-cheek-left");
    assert_eq!(
        made.plates[0].cautions,
        ["safety-critical", "wheel adapters"]
    );
    let narrow = make_family(&family, "style = \"round\"\noutside = \"120 mm\"\n");
    let said = narrow.expect_err("too narrow for its bolts").to_string();
    assert!(
        said.contains("hub holes sit too near the rim; set outside to at least 141 mm"),
        "{said}"
    );
    assert!(said.contains("(AISC 360 Table J3.4)"), "{said}");
}

#[test]
fn the_part_and_the_job_of_the_page_can_be_read() {
    let page = page();
    let examples = examples(&page);
    let shelf = Shelf::built_in();
    for (holds, parts, stock) in [
        ("recipe = \"hub-adapter\"\nthickness", 1, 0),
        ("[job]", 1, 1),
    ] {
        let source = Source::inline("page.toml", example(&examples, holds));
        let job = Job::from_source(&source, &shelf).unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!((job.parts.len(), job.stock.len()), (parts, stock));
    }
}

#[test]
fn a_start_file_makes_the_family_s_defaults_with_or_without_its_comment_signs() {
    let shelf = Shelf::built_in();
    for family in shelf.families().unwrap_or_else(|faults| panic!("{faults}")) {
        let text = start_text(&family, None).unwrap_or_else(|faults| panic!("{faults}"));
        for measure in &family.measures {
            assert!(
                text.contains(&measure.says),
                "{} lacks {}",
                family.name,
                measure.name
            );
        }
        let made = |text: &str| {
            let source = Source::inline("start.toml", text);
            let job = Job::from_source(&source, &shelf).unwrap_or_else(|faults| panic!("{faults}"));
            let made = plates(&job.parts[0]).unwrap_or_else(|faults| panic!("{faults}"));
            made.plates
                .into_iter()
                .map(|plate| (plate.name, plate.face))
                .collect::<Vec<_>>()
        };
        let is_setting = |line: &str| {
            let name = line.split(" = ").next().unwrap_or_default();
            line.contains(" = ") && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
        };
        let bare: Vec<&str> = text
            .lines()
            .map(|line| match line.strip_prefix("# ") {
                Some(setting) if is_setting(setting) => setting,
                _ => line,
            })
            .collect();
        assert_eq!(made(&text), made(&bare.join("\n")), "{}", family.name);
    }
}
