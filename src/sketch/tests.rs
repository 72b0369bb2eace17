use std::path::Path;

use super::*;
use crate::recipe::Shelf;

fn made(recipe: &str, settings: &[&str]) -> Sketch {
    let shelf = Shelf::open(None, Path::new("/nowhere")).expect("opens");
    let mut part = Part::plain(shelf.family(recipe).expect("is there"));
    for typed in settings {
        part.set(typed).expect("sets");
    }
    sketch(&part).expect("sketches")
}

fn place<'a>(sketch: &'a Sketch, name: &str) -> &'a Place {
    let found = sketch.dimensions.iter().find(|it| it.name == name);
    let place = found.and_then(|it| it.place.as_ref());
    place.unwrap_or_else(|| panic!("{name} has no place"))
}

fn amount(sketch: &Sketch, name: &str) -> f64 {
    let place = place(sketch, name);
    let amount = place.reading.amount(&sketch.plates[place.plate]);
    amount.unwrap_or_else(|| panic!("{name}: {place:?}"))
}

fn role(sketch: &Sketch, name: &str) -> Role {
    let found = sketch.dimensions.iter().find(|it| it.name == name);
    found.expect("is there").role
}

/// A circle about the recipe's origin.
fn about_the_middle(circle: &Circle, diameter: f64) -> bool {
    circle.centre.distance(Point::ORIGIN) < 1e-9 && (circle.radius * 2.0 - diameter).abs() < 1e-9
}

#[test]
fn dimensions_of_a_hub_plate_point_at_what_they_measure() {
    let sketch = made("hub-adapter", &["outside=180mm"]);
    let Reading::Diameter(rim, spots) = &place(&sketch, "outside").reading else {
        panic!("the rim");
    };
    assert!(about_the_middle(rim, 180.0));
    assert!(
        spots
            .iter()
            .all(|it| (it.distance(Point::ORIGIN) - 90.0).abs() < 1e-9)
    );
    let Reading::Pitch(circle) = &place(&sketch, "hub_circle").reading else {
        panic!("the pitch circle");
    };
    assert!(about_the_middle(circle, 100.0));
    let name = |dimension: &str| {
        let Reading::Opening(index) = place(&sketch, dimension).reading else {
            panic!("a hole");
        };
        sketch.plates[0].openings[index].name.clone()
    };
    assert!(name("hub_bolt").starts_with("hub bolt"));
    assert!(name("wheel_count").starts_with("wheel bolt"));
    // The bore is wider than its register, and the sketch says so.
    assert_eq!(name("register"), "centre bore");
    let here = place(&sketch, "register").here.expect("differs");
    assert!((here - 54.2).abs() < 1e-9);
    assert!((amount(&sketch, "clocking").to_degrees() - 45.0).abs() < 1e-6);
    assert_eq!(role(&sketch, "wheel_torque"), Role::Loads);
    assert_eq!(role(&sketch, "hub_hole"), Role::Chooses);
    assert_eq!(role(&sketch, "hub_circle"), Role::Fits);
    assert_eq!(role(&sketch, "outside"), Role::Shapes);
}

#[test]
fn only_what_matters_in_the_choice_made_has_a_place() {
    let plain = made("hub-adapter", &[]);
    assert_eq!(role(&plain, "scallop_depth"), Role::Idle);
    let scalloped = made("hub-adapter", &["outline=scalloped"]);
    // From the rim in to the deepest point of the scallop.
    assert!((amount(&scalloped, "scallop_depth") - 14.0).abs() < 1e-6);
    assert!((amount(&scalloped, "scallop_radius") - 30.0).abs() < 1e-6);
    let windows = made(
        "hub-adapter",
        &[
            "outside=210mm",
            "windows=yes",
            "window_inside=150mm",
            "window_outside=180mm",
        ],
    );
    assert!((amount(&windows, "window_inside") - 150.0).abs() < 1e-6);
    assert!((amount(&windows, "window_sweep").to_degrees() - 36.0).abs() < 1e-6);
}

/// The wall of a tube moves no edge of its cap; the recipe's rule keeps it from filling the tube.
#[test]
fn what_moves_no_edge_says_what_goes_by_it() {
    let sketch = made("tube-end", &[]);
    assert_eq!(role(&sketch, "wall"), Role::Judged);
    let wall = sketch.dimensions.iter().find(|it| it.name == "wall");
    let says = &wall.expect("a dimension").says;
    assert!(
        says.starts_with("tube: thickness of its wall; a rule wants "),
        "{says}"
    );
    assert!(says.contains("wall <= 0.2 * least_side"), "{says}");
    let set = made("spacer-ring", &[]);
    let made = set.dimensions.iter().find(|it| it.name == "quantity_made");
    let says = &made.expect("a dimension").says;
    assert!(says.contains("; it goes into: "), "{says}");
}

#[test]
fn a_keyway_is_measured_by_its_width_depth_and_corners() {
    let sketch = made("flange", &["keyway=yes"]);
    for (name, expected) in [("key_width", 12.0), ("key_depth", 3.3), ("key_corner", 1.0)] {
        assert!((amount(&sketch, name) - expected).abs() < 1e-6, "{name}");
        assert_eq!(place(&sketch, name).here, None, "{name}");
    }
}

#[test]
fn each_plate_of_several_has_its_own() {
    let sketch = made("pedal-bracket", &[]);
    let plate = |name: &str| sketch.plates[place(&sketch, name).plate].name.as_str();
    assert_eq!(plate("reach"), "pedal-bracket-cheek");
    assert_eq!(plate("base_width"), "pedal-bracket-base");
    assert_eq!(plate("pedal_length"), "pedal-bracket-pedal");
    for (name, expected) in [
        ("reach", 70.0),
        ("rod_length", 50.8),
        ("mount_spread", 50.0),
    ] {
        assert!((amount(&sketch, name) - expected).abs() < 1e-6, "{name}");
    }
    let perch = made("spring-perch", &[]);
    assert_eq!(place(&perch, "cheek_width").plate, 1);
}

/// What shapes a shipped family is drawn on its sketch, the choices at their defaults; a list has no one place.
#[test]
fn every_dimension_that_moves_an_edge_is_drawn() {
    let mut missing = Vec::new();
    let shelf = Shelf::open(None, Path::new("/nowhere")).expect("opens");
    for family in shelf.families().expect("reads") {
        let name = family.name.clone();
        let lists = family
            .measures
            .iter()
            .filter(|it| matches!(it.kind, DimensionKind::List(_)));
        let lists: Vec<String> = lists.map(|it| it.name.clone()).collect();
        let sketch = sketch(&Part::plain(family)).expect("sketches");
        let shapes = sketch.dimensions.iter().filter(|it| it.role < Role::Loads);
        let shapes = shapes.filter(|it| !lists.contains(&it.name));
        let without = shapes.filter(|it| it.place.is_none());
        missing.extend(without.map(|it| format!("{name}: {}", it.name)));
    }
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn values_are_shown_as_they_were_written() {
    let sketch = made("hub-adapter", &["hub_circle=4 in"]);
    let short = |name: &str| {
        let found = sketch.dimensions.iter().find(|it| it.name == name);
        found.expect("is there").short.clone()
    };
    assert_eq!(short("hub_circle"), "4 in");
    assert_eq!(short("wheel_circle"), "4-1/2 in");
    assert_eq!(short("clocking"), "45°");
    assert_eq!(short("fit"), "medium");
}

/// The places of the rows are those that the recipe's default says: x and y of each round opening.
#[test]
fn rows_of_a_list_lie_at_the_openings_they_make() {
    let sketch = made("instrument-panel", &[]);
    let round = sketch.dimensions.iter().find(|it| it.name == "round");
    let rows = &round.expect("is there").rows;
    let at = rows.iter().map(|row| {
        let circle = sketch.plates[row.plate].openings[row.opening].circle;
        circle.expect("round").centre
    });
    let wanted = [(-85.0, 5.0), (0.0, 10.0), (70.0, -25.0), (110.0, -25.0)];
    let numbers: Vec<usize> = rows.iter().map(|it| it.number).collect();
    assert_eq!(numbers, [1, 2, 3, 4]);
    for (at, (x, y)) in at.zip(wanted) {
        assert!(at.distance(Point::new(x, y)) < 1e-6, "{at:?}");
    }
}

/// Names stand in pictures without the marks that set them off in files.
#[test]
fn no_dimension_is_told_with_the_marks_of_a_file() {
    let shelf = Shelf::built_in();
    for family in shelf.family_names() {
        let sketch = made(&family, &[]);
        for it in &sketch.dimensions {
            assert!(!it.says.contains('`'), "{family}: {}", it.says);
        }
    }
}

/// What is known of the outlines as they are only saves work: moved plates come out the same to the last bit.
#[test]
fn known_outlines_change_nothing() {
    let shelf = Shelf::built_in();
    let mut moved_in_all = 0;
    for recipe in ["steering-arm", "hub-adapter", "spring-perch", "hand-lever"] {
        let part = Part::plain(shelf.family(recipe).expect("is there"));
        let evaluated = unruled(&part).expect("values");
        let pinned = moving::pinned(&part, &evaluated.names).expect("sets");
        let steps = plate::outline_steps(&pinned, &unruled(&pinned).expect("values"));
        let known = steps.expect("steps").worked_out();
        let plates = plate::plates_tried(&part).expect("plates").plates;
        for measure in &part.family.measures {
            let value = evaluated.names.value(&measure.name).expect("a value");
            for other in moving::others(measure, &value, &plates) {
                let Some(moved) = moving::with(&pinned, &measure.name, &other) else {
                    continue;
                };
                let Ok(evaluated) = unruled(&moved) else {
                    continue;
                };
                let anew = plate::plates_tried(&moved);
                moved_in_all += usize::from(anew.is_ok());
                assert_eq!(plate::plates_known(&moved, &evaluated, &known), anew);
            }
        }
    }
    assert!(moved_in_all > 80, "{moved_in_all} were made");
}
