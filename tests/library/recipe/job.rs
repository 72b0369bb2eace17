//! Jobs: parts, stock, names of plates, and a shelf of the builder's own.

use std::fs;

use super::workbench::HEAD;
use approx::assert_abs_diff_eq;
use platewright::fault::Source;
use platewright::plate::{job_plates, plates};
use platewright::recipe::{Job, Price, Shelf, StockShape};

fn read(text: &str, shelf: &Shelf) -> Job {
    let source = Source::inline("job.toml", text);
    Job::from_source(&source, shelf).unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn a_job_has_its_stock_table_and_parts_in_order() {
    let job = read(
        r#"
        [job]
        name = "orchard cart"
        table = "shop-laser"
        web = "1/4 in"
        margin = "10 mm"
        relax = ["thin web"]
        [[stock]]
        material = "mild steel"
        thickness = "1/4 in"
        size = ["1220 mm", "8 ft"]
        quantity = 2
        price = 95.5
        [[stock]]
        thickness = "10 mm"
        outline = "remnant-3.dxf"
        [[part]]
        recipe = "flange"
        quantity = 4
        material = "stainless 304"
        [[part]]
        recipe = "hub-adapter"
        name = "Rear hub (left)"
        "#,
        &Shelf::built_in(),
    );
    assert_eq!(
        (job.name.as_str(), job.table.name()),
        ("orchard cart", "shop-laser")
    );
    assert_eq!((job.web, job.margin, job.relax.len()), (6.35, 10.0, 1));
    let [sheet, remnant] = job.stock.as_slice() else {
        panic!("two stock lines")
    };
    assert_eq!(
        (sheet.thickness, sheet.quantity, sheet.price),
        (6.35, Some(2), Some(Price::Each(95.5)))
    );
    let StockShape::Sheet(width, height) = sheet.shape else {
        panic!("a rectangle")
    };
    assert!((width - 1220.0).abs() < 1e-9 && (height - 2438.4).abs() < 1e-9);
    assert_eq!(
        (remnant.material.as_str(), remnant.quantity),
        ("mild steel", None)
    );
    assert!(
        matches!(&remnant.shape, StockShape::Remnant(file) if file.as_str() == "remnant-3.dxf")
    );
    let names: Vec<_> = job.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["flange", "rear-hub-left"]);
    assert_eq!(job.parts[0].quantity, 4);
}

#[test]
fn plates_have_names_that_are_theirs_alone_in_the_job() {
    let text = "[[part]]\nrecipe = \"flange\"\n".repeat(3);
    let made = job_plates(&read(&text, &Shelf::built_in())).expect("three flanges");
    let names: Vec<_> = made
        .iter()
        .map(|part| part.plates[0].name.as_str())
        .collect();
    assert_eq!(names, ["flange", "flange-2", "flange-3"]);
}

#[test]
fn every_part_that_is_refused_is_told() {
    let text = "[[part]]\nrecipe = \"flange\"\noutside = \"10 deg\"\n".repeat(2);
    let said = job_plates(&read(&text, &Shelf::built_in()))
        .expect_err("no lengths")
        .to_string();
    let lines: Vec<_> = said.lines().map(|line| line.split(": ").next()).collect();
    assert_eq!(lines, [Some("job.toml:3:11"), Some("job.toml:6:11")]);
}

#[test]
fn stock_is_priced_by_the_sheet_or_by_the_kilogram() {
    let text = |prices: &str| {
        format!(
            "[[stock]]\nthickness = \"6 mm\"\nsize = [\"1 m\", \"1 m\"]\n{prices}\n[[part]]\nrecipe = \"flange\"\n"
        )
    };
    let job = read(&text("price_per_kg = 1.4"), &Shelf::built_in());
    assert_eq!(job.stock[0].price, Some(Price::PerKilogram(1.4)));
    let both = text("price = 95\nprice_per_kg = 1.4");
    let said = Job::from_source(&Source::inline("job.toml", both), &Shelf::built_in());
    let said = said.expect_err("one of them").to_string();
    assert!(said.contains("leave out one of them"), "{said}");
}

#[test]
fn a_dimension_can_be_set_from_the_command_line() {
    let job = read(
        "recipe = \"flange\"\nthickness = \"8 mm\"\n",
        &Shelf::built_in(),
    );
    let mut part = job.parts[0].clone();
    part.set("thickness=3/8 in").expect("a length");
    part.set("keyway = yes").expect("a yes-no");
    let made = plates(&part).unwrap_or_else(|faults| panic!("{faults}"));
    assert_abs_diff_eq!(made.plates[0].thickness, 9.525, epsilon = 1e-12);
    let said = |part: &mut platewright::recipe::Part, typed: &str| {
        part.set(typed).expect_err("refused").to_string()
    };
    assert!(said(&mut part, "outsde=3 mm").contains("did you mean `outside`?"));
    assert!(said(&mut part, "outside").contains("write NAME=VALUE"));
    assert!(said(&mut part, "keyway=maybe").contains("\"true\", \"false\""));
    part.set("outside=15 deg")
        .expect("read, not yet worked out");
    let wrong = plates(&part).expect_err("an angle").to_string();
    assert!(wrong.starts_with("--set:1:9: `outside`"), "{wrong}");
}

#[test]
fn a_shelf_of_ones_own_comes_before_the_working_folder_and_that_before_the_built_in() {
    let [own, working] = [(); 2].map(|()| tempfile::tempdir().expect("a folder"));
    let family = |title: &str| {
        format!(
            "{}[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n",
            HEAD.replace("Test plate", title)
        )
    };
    fs::create_dir(working.path().join("families")).expect("a folder");
    fs::write(
        working.path().join("families/flange.toml"),
        family("working"),
    )
    .expect("written");
    fs::write(working.path().join("bracket.toml"), family("loose")).expect("written");
    let shelf = Shelf::open(Some(own.path()), working.path()).expect("a shelf");
    let title = |name: &str| shelf.family(name).expect(name).title.clone();
    assert_eq!(title("flange"), "working");
    assert_eq!(title("bracket"), "loose");
    assert!(shelf.family_names().contains(&"bracket".to_owned()));
    fs::create_dir(own.path().join("families")).expect("a folder");
    fs::write(own.path().join("families/flange.toml"), family("own")).expect("written");
    assert_eq!(title("flange"), "own");
    assert_eq!(
        title("hub-adapter"),
        Shelf::built_in()
            .family("hub-adapter")
            .expect("built in")
            .title
    );
}
