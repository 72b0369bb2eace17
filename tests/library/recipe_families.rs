//! Every family with its defaults, and the demo job, come out as sound plates.

use std::path::Path;

use platewright::plate::plates;
use platewright::recipe::{Job, Part, Shelf};

#[test]
fn every_family_makes_its_default_plates() {
    for family in Shelf::built_in().families().unwrap() {
        let name = family.name.clone();
        let made = plates(&Part::plain(family)).unwrap_or_else(|faults| panic!("{name}: {faults}"));
        for plate in &made.plates {
            assert!(plate.net_area() > 100.0, "{}", plate.name);
            assert_eq!(
                plate.openings.len(),
                plate.face.openings.len(),
                "{}",
                plate.name
            );
        }
    }
}

#[test]
fn the_demo_job_makes_at_least_nine_plates_in_two_thicknesses() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml");
    let job = Job::read(&path, &Shelf::built_in()).unwrap_or_else(|faults| panic!("{faults}"));
    let made: Vec<_> = job
        .parts
        .iter()
        .map(|part| plates(part).unwrap_or_else(|faults| panic!("{faults}")))
        .collect();
    let plates: Vec<_> = made.iter().flat_map(|part| &part.plates).collect();
    for plate in &plates {
        println!(
            "{} x{} {} mm {:.0} mm2 {:?}",
            plate.name,
            plate.quantity,
            plate.thickness,
            plate.net_area(),
            plate
                .openings
                .iter()
                .map(|o| o.name.as_str())
                .collect::<Vec<_>>()
        );
    }
    assert!(plates.len() >= 9);
    let mut thicknesses: Vec<f64> = plates.iter().map(|plate| plate.thickness).collect();
    thicknesses.sort_by(f64::total_cmp);
    thicknesses.dedup();
    assert_eq!(thicknesses, [6.0, 10.0]);
}

/// What the language says in one line the families say so: both ends of a dimension, and limits of common practice.
#[test]
fn families_write_ranges_and_practice_in_one_way() {
    for family in Shelf::built_in().families().unwrap() {
        let text: toml::Table = family.source.text.parse().expect("read before");
        let dimensions = text.get("dimension").and_then(toml::Value::as_table);
        for (name, dimension) in dimensions.into_iter().flatten() {
            let ends = ["min", "max"].map(|key| dimension.get(key).is_some());
            assert_ne!(ends, [true, true], "{}: {name}", family.name);
        }
        let rules = text.get("rule").and_then(toml::Value::as_array);
        for rule in rules.into_iter().flatten() {
            let source = rule.get("source").and_then(toml::Value::as_str);
            assert_ne!(source, Some("common practice"), "{}", family.name);
        }
    }
}
