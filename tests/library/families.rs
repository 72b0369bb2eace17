//! The families: every option expands, key dimensions come out as published or as the trade
//! reckons them, and dimensions at random give a sound plate or a rule's message.
//!
//! Lengths are mm. Published values carry their source and how they were verified.

use std::path::Path;

use crate::support::family_sets::{at_random, every_family, part, whole};
use platewright::geometry::{Circle, Contour, Point, Segment};
use platewright::plate::{Plate, Purpose, plates};
use platewright::recipe::{Job, Part, Shelf, evaluate};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

const INCH: f64 = 25.4;
/// What a dimension may be off by arithmetic, mm.
const CLOSE: f64 = 1e-6;
/// Published values are rounded to this many mm or degrees.
const PRINTED: f64 = 1e-3;

fn made(family: &str, settings: &[&str]) -> Vec<Plate> {
    plates(&part(family, settings))
        .unwrap_or_else(|faults| panic!("{family} {settings:?}: {faults}"))
        .plates
}

fn plate(family: &str, settings: &[&str], name: &str) -> Plate {
    let mut made = made(family, settings).into_iter();
    made.find(|plate| plate.name.ends_with(name))
        .unwrap_or_else(|| panic!("{family} has no plate {name}"))
}

/// The round openings whose names begin so.
fn holes(plate: &Plate, name: &str) -> Vec<Circle> {
    let named = plate.openings.iter().filter(|o| o.name.starts_with(name));
    named.filter_map(|opening| opening.circle).collect()
}

fn contour<'a>(plate: &'a Plate, name: &str) -> &'a Contour {
    let at = plate.openings.iter().position(|o| o.name == name);
    &plate.face.openings[at.unwrap_or_else(|| panic!("{} has no {name}", plate.name))]
}

fn radii(contour: &Contour) -> impl Iterator<Item = f64> {
    contour
        .segments()
        .iter()
        .filter_map(|segment| match segment {
            Segment::Arc { radius, .. } => Some(*radius),
            Segment::Line { .. } => None,
        })
}

fn assert_close(found: f64, expected: f64, within: f64, what: &str) {
    assert!(
        (found - expected).abs() <= within,
        "{what}: {found}, expected {expected}"
    );
}

/// Openings are whole, apart from one another and from the outside.
fn assert_sound(plate: &Plate) {
    assert!(plate.net_area() > 0.0 && plate.quantity > 0);
    assert_eq!(plate.openings.len(), plate.face.openings.len());
    let edges: Vec<&Contour> = std::iter::once(&plate.face.outside)
        .chain(&plate.face.openings)
        .collect();
    for (i, edge) in edges.iter().enumerate() {
        for other in &edges[..i] {
            let web = edge.gap_to(other).distance;
            assert!(web > 0.5, "{}: a web of {web}", plate.name);
        }
    }
    for opening in &plate.openings {
        let tapped = opening.purpose == Purpose::Tapped;
        assert!(!tapped || opening.thread.is_some(), "{}", opening.name);
    }
}

#[test]
fn every_variant_and_every_example_job_expands_to_sound_plates() {
    let files = [
        "tests/family-variants.toml",
        "part-recipes/jobs/orchard-cart.toml",
        "part-recipes/jobs/bracket-tonight.toml",
        "part-recipes/jobs/hub-plate-redrill.toml",
        "part-recipes/jobs/how-much-sheet.toml",
    ];
    for file in files {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        let job = Job::read(&path, &Shelf::built_in()).unwrap_or_else(|f| panic!("{file}: {f}"));
        for part in &job.parts {
            let expanded = plates(part).unwrap_or_else(|f| panic!("{file}: {f}"));
            expanded.plates.iter().for_each(assert_sound);
        }
    }
}

#[test]
fn every_family_is_sound_as_it_stands() {
    for family in every_family() {
        let made = made(&family, &[]);
        assert!(!made.is_empty());
        made.iter().for_each(assert_sound);
        assert!(made.iter().all(|plate| !plate.cautions.is_empty()));
    }
}

/// Hole sizes: ISO 273 medium for M12 (13.5 mm) and ASME B18.2.8 normal for 1/2 in (9/16 in), looked
/// up; positions are plane geometry.
#[test]
fn a_hub_adapter_has_both_patterns_clocked() {
    let plate = plate("hub-adapter", &["clocking=40 deg", "wheel_count=4"], "");
    let patterns = [
        ("hub bolt", 100.0, 13.5, 0.0_f64),
        ("wheel bolt", 4.5 * INCH, 9.0 / 16.0 * INCH, 40.0),
    ];
    for (name, circle, diameter, start) in patterns {
        let holes = holes(&plate, name);
        assert_eq!(holes.len(), 4, "{name}");
        for hole in holes {
            let (x, y) = (hole.centre.x, hole.centre.y);
            assert_close(x.hypot(y), circle / 2.0, CLOSE, name);
            assert_close(2.0 * hole.radius, diameter, CLOSE, name);
            let off = (y.atan2(x).to_degrees() - start).rem_euclid(90.0);
            assert_close(off.min(90.0 - off), 0.0, CLOSE, name);
        }
    }
    let bore = holes(&plate, "centre bore")[0];
    assert_close(2.0 * bore.radius, 54.0 + 0.2, CLOSE, "register + allowance");
}

#[test]
fn two_patterns_that_touch_are_refused_with_the_best_clocking() {
    let settings = ["hub_count=5", "wheel_count=5", "clocking=4 deg"];
    let refused = plates(&part("hub-adapter", &settings))
        .unwrap_err()
        .to_string();
    assert!(refused.contains("set clocking to 36"), "{refused}");
}

/// Arm-line rule: track, wheelbase, angle in degrees. Workshop texts; looked up, numbers by the
/// formula atan((track / 2) / wheelbase).
const ARM_LINE: [(f64, f64, f64); 4] = [
    (1000.0, 1600.0, 17.354),
    (1300.0, 2400.0, 15.1541),
    (1200.0, 2700.0, 12.5288),
    (1500.0, 2800.0, 14.9951),
];

#[test]
fn a_steering_arm_points_at_the_middle_of_the_rear_axle() {
    for (track, wheelbase, degrees) in ARM_LINE {
        let track = format!("track={track} mm");
        let wheelbase = format!("wheelbase={wheelbase} mm");
        for (arms, side) in [("back", 1.0), ("forward", -1.0)] {
            let arms = format!("arms={arms}");
            let arm = plate("steering-arm", &[&track, &wheelbase, &arms], "-left");
            let eye = holes(&arm, "eye")[0].centre;
            assert_close(eye.x.hypot(eye.y), 120.0, CLOSE, "length");
            let lean = (side * eye.x).atan2(side * -eye.y).to_degrees();
            assert_close(lean, degrees, PRINTED, "lean inward behind, outward ahead");
        }
    }
}

#[test]
fn steering_arms_come_as_a_mirrored_pair() {
    let settings = ["offset=15 mm"];
    let left = plate("steering-arm", &settings, "-left");
    let right = plate("steering-arm", &settings, "-right");
    assert_close(left.net_area(), right.net_area(), CLOSE, "area");
    let (a, b) = (
        holes(&left, "eye")[0].centre,
        holes(&right, "eye")[0].centre,
    );
    assert_close(a.x, -b.x, CLOSE, "x");
    assert_close(a.y, b.y, CLOSE, "y");
}

/// U-bolts, inches: tube, rod and its thread, leg centres, hole. Common practice (inside width = tube
/// + 1/16, hole = rod + 1/16); naming of U-bolts looked up, numbers computed from the rule.
const U_BOLTS: [(f64, &str, f64, f64); 6] = [
    (1.75, "3/8-16", 2.1875, 0.4375),
    (2.0, "7/16-14", 2.5, 0.5),
    (2.375, "1/2-13", 2.9375, 0.5625),
    (2.5, "1/2-13", 3.0625, 0.5625),
    (3.0, "9/16-12", 3.625, 0.625),
    (2.0, "1/2-13", 2.5625, 0.5625),
];

#[test]
fn one_arm_is_made_as_it_is_in_the_pair() {
    let pair = made("steering-arm", &[]);
    let right = made("steering-arm", &["sides=right"]);
    let left = made("steering-arm", &["sides=left"]);
    let names = |plates: &[Plate]| plates.iter().map(|p| p.name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&right), ["steering-arm-right"]);
    assert_eq!(names(&left), ["steering-arm-left"]);
    assert_eq!(left[0].face, pair[0].face);
    assert_eq!(right[0].face, pair[1].face);
}

#[test]
fn a_spring_perch_has_its_u_bolts_around_tube_and_spring() {
    for (tube, rod, legs, hole) in U_BOLTS {
        let (tube, thread) = (format!("tube={tube} in"), format!("rod={rod}"));
        let settings = [&*tube, &thread, "cheeks=false", "margin=1 in"];
        let holes = holes(&plate("spring-perch", &settings, "-seat"), "U-bolt");
        assert_eq!(holes.len(), 4);
        for hole_found in holes {
            let across = 2.0 * hole_found.centre.y.abs() / INCH;
            assert_close(across, legs, PRINTED, "leg centres, in");
            assert_close(2.0 * hole_found.radius / INCH, hole, PRINTED, "hole, in");
        }
    }
}

/// Saddles: tube, cheek width, depth. Plane geometry r - sqrt(r^2 - (w/2)^2), half a circle where the
/// cheek is wider than the tube; from memory, recomputed from the formula.
const SADDLES: [(f64, f64, f64); 4] = [
    (50.8, 60.0, 25.4),
    (60.3, 70.0, 30.15),
    (88.9, 80.0, 25.0644),
    (76.2, 63.5, 17.0394),
];

#[test]
fn a_cheek_is_notched_as_deep_as_its_saddle() {
    for (tube, width, depth) in SADDLES {
        let (tube, width) = (format!("tube={tube} mm"), format!("cheek_width={width} mm"));
        let settings = [&*tube, &width, "saddle_clearance=0 mm", "wrap=90 deg"];
        let cheek = plate("spring-perch", &settings, "-cheek");
        let height = cheek.face.outside.bounds().height();
        assert_close(height - 15.0, depth, PRINTED, "saddle depth");
    }
}

/// Bends of 90 degrees: inside radius, thickness, K, outside legs, flat length. Sheet-metal shop
/// formulas, Machinery's Handbook; looked up, numbers computed from the formula.
const BENDS: [(f64, f64, f64, f64, f64, f64); 2] = [
    (3.0, 3.0, 0.44, 50.0, 50.0, 94.7858),
    (6.0, 6.0, 0.42, 80.0, 60.0, 129.3832),
];

#[test]
fn a_folded_bracket_is_as_long_flat_as_the_bend_formula_says() {
    for (radius, thickness, k, reach, half, flat) in BENDS {
        let settings = [
            format!("thickness={thickness} mm"),
            format!("bend_radius={radius} mm"),
            format!("k_factor={k}"),
            format!("reach={reach} mm"),
            // The other leg runs from the middle of the floor to the outside of a cheek.
            format!("gap={} mm", 2.0 * (half - thickness)),
            "build=folded".to_owned(),
            "base_width=150 mm".to_owned(),
            "spring_reach=28 mm".to_owned(),
        ];
        let settings: Vec<&str> = settings.iter().map(String::as_str).collect();
        let bracket = plate("pedal-bracket", &settings, "-bracket");
        for pivot in holes(&bracket, "pivot") {
            assert_close(pivot.centre.x.abs(), flat, PRINTED, "flat length");
        }
        assert_eq!(bracket.bends.len(), 2);
    }
}

#[test]
fn a_pedal_bracket_tells_its_ratio_and_its_arm_has_it() {
    let settings = ["pedal_length=9 in", "rod_length=2 in"];
    let pedal = plate("pedal-bracket", &settings, "-pedal");
    let ratio = pedal.figures.iter().find(|(says, _)| says == "pedal ratio");
    assert_eq!(ratio.map(|(_, value)| value.as_str()), Some("4.5"));
    let rod = holes(&pedal, "rod pin")[0].centre;
    assert_close(rod.y, -2.0 * INCH, CLOSE, "rod below the pivot");
}

#[test]
fn spokes_of_every_style_have_true_fillets_at_both_ends() {
    for style in ["style=straight", "style=tapered", "style=curved"] {
        let wheel = plate("steering-wheel", &[style, "fillet=12 mm"], "");
        let windows = (1..=3).map(|i| contour(&wheel, &format!("window {i}")));
        for window in windows {
            let fillets = radii(window).filter(|r| (r - 12.0).abs() < CLOSE).count();
            assert_eq!(fillets, 4, "{style}");
        }
    }
}

#[test]
fn a_flat_bottom_is_as_far_down_as_asked_and_as_wide_as_the_rim() {
    let wheel = plate("steering-wheel", &["flat_bottom=true"], "");
    assert_close(wheel.face.outside.bounds().min.y, -130.0, CLOSE, "flat");
    let lowest = wheel.face.openings.iter().map(|o| o.bounds().min.y);
    let lowest = lowest.fold(f64::INFINITY, f64::min);
    assert_close(lowest, -130.0 + 24.0, CLOSE, "rim");
}

#[test]
fn a_keyway_reaches_its_depth_on_the_centre_line() {
    let flange = plate("flange", &["keyway=true"], "");
    let bore = contour(&flange, "bore").bounds();
    assert_close(bore.max.x, 40.2 / 2.0 + 3.3, CLOSE, "keyway");
}

#[test]
fn a_curved_slot_follows_its_bolt_circle() {
    let flange = plate("flange", &["slotted=first circle", "bolt_count=4"], "");
    let slot = contour(&flange, "slot 1");
    // M10 medium, ISO 273: 11 mm; looked up.
    for expected in [5.5, 55.0 - 5.5, 55.0 + 5.5] {
        assert!(
            radii(slot).any(|r| (r - expected).abs() < CLOSE),
            "{expected}"
        );
    }
}

/// Chain wheels: chain, teeth, root diameter, least and most outside diameter. ISO 606: df = d - d1,
/// with the limits h11, from memory (0.19 mm and more under it at these sizes), da between
/// d + p (1 - 1.6 / z) - d1 and d + 1.25 p - d1 (formulas looked up, numbers by formula;
/// rollers of 40, 41 and 08B looked up, of 10B from memory).
const CHAIN_WHEELS: [(&str, usize, f64, f64, f64); 5] = [
    ("40", 28, 105.5088, 117.4831, 121.3838),
    ("41", 72, 283.3849, 295.8027, 299.2599),
    ("08B", 72, 282.6449, 295.0627, 298.5199),
    ("10B", 50, 242.6648, 258.0318, 262.5085),
    ("35", 72, 213.2862, 222.5995, 225.1925),
];

#[test]
fn a_chain_wheel_has_the_diameters_of_the_standard() {
    for (chain, teeth, root, least, most) in CHAIN_WHEELS {
        let (chain, count) = (format!("chain={chain}"), format!("teeth={teeth}"));
        let settings = [&*chain, &*count, "thickness=4 mm", "windows=0"];
        let outside = plate("chain-wheel", &settings, "").face.outside;
        let reach = |segment: &Segment| segment.start().x.hypot(segment.start().y);
        let tip = outside.segments().iter().map(reach).fold(0.0, f64::max);
        assert!(
            (least..=most).contains(&(2.0 * tip)),
            "{settings:?}: outside {}",
            2.0 * tip
        );
        // The bottom of the first gap lies towards +x, and all gaps are alike.
        let middle = Contour::circle(Point::new(0.0, 0.0), 1.0);
        let bottom = 2.0 * (outside.gap_to(&middle).distance + 1.0);
        assert!(
            (root - 0.19..=root + PRINTED).contains(&bottom),
            "{settings:?}: root {bottom}"
        );
    }
}

/// Flange units: row of the table, bolts, their distance from the middle, hole. Pitches of ISO 3228 from
/// memory (204: a square of 64 mm; 205: 99 mm between two); coarse holes of ISO 273, looked up.
#[test]
fn a_bearing_carrier_takes_the_unit_it_is_told() {
    for (unit, count, pitch, hole) in [
        ("204, four bolts", 4, 64.0 * 2_f64.sqrt(), 12.0),
        ("205, two bolts", 2, 99.0, 16.5),
    ] {
        let unit = format!("unit={unit}");
        let made = plate("bearing-carrier", &[&unit, "margin=25 mm"], "");
        let bolts = holes(&made, "unit bolt");
        assert_eq!(bolts.len(), count);
        for bolt in bolts {
            let off = bolt.centre.x.hypot(bolt.centre.y);
            assert_close(2.0 * off, pitch, 0.01, "pitch circle");
            assert_close(2.0 * bolt.radius, hole, CLOSE, "hole");
        }
    }
}

/// The face of small engines with a horizontal shaft: four bolts on 3-5/8 in. Common practice, from memory.
#[test]
fn an_engine_plate_moves_by_its_slots_and_keeps_the_face_round() {
    let made = plate("engine-plate", &["travel=18 mm"], "");
    let face = holes(&made, "face bolt");
    assert_eq!(face.len(), 4);
    for bolt in face {
        let off = bolt.centre.x.hypot(bolt.centre.y);
        assert_close(2.0 * off, 3.625 * INCH, CLOSE, "face");
    }
    // M12 medium, ISO 273: 13.5 mm; looked up.
    let slot = contour(&made, "frame slot 1").bounds();
    assert_close(slot.width(), 13.5, CLOSE, "slot across");
    assert_close(slot.height(), 13.5 + 18.0, CLOSE, "slot along");
}

/// Inside of tubes: outside, wall, inside, mm. EN 10219-2 and inch sizes; sizes from memory, arithmetic.
#[test]
fn a_plug_fits_the_inside_of_its_tube() {
    for (outside, wall, inside) in [
        (40.0, 3.0, 34.0),
        (50.0, 4.0, 42.0),
        (1.5 * INCH, 0.120 * INCH, 1.26 * INCH),
    ] {
        let (across, wall) = (format!("across={outside} mm"), format!("wall={wall} mm"));
        for tube in ["tube=square", "tube=round"] {
            let settings = [&*across, &*wall, tube, "place=inside", "gap=0.5 mm"];
            let bounds = plate("tube-end", &settings, "").face.outside.bounds();
            assert_close(bounds.width(), inside - 1.0, CLOSE, tube);
            assert_close(bounds.height(), inside - 1.0, CLOSE, tube);
        }
    }
}

#[test]
fn a_gusset_s_free_edge_is_curved_in_as_far_as_asked() {
    let gusset = plate("gusset", &["hole=0 mm"], "");
    // From (120, 12) to (12, 120) with a rise of 10: R = (c^2 / 4 + h^2) / (2 h), c = 108 sqrt(2).
    let chord = 108.0 * 2_f64.sqrt();
    let radius = (chord * chord / 4.0 + 100.0) / 20.0;
    assert!(radii(&gusset.face.outside).any(|r| (r - radius).abs() < CLOSE));
}

#[test]
fn dimensions_at_random_give_sound_plates_or_a_rules_message() {
    for family in every_family() {
        let shelf = Shelf::built_in().family(&family).expect("built in");
        let text = whole(&shelf);
        let dimensions = text["dimension"].as_table().expect("a table");
        let mut random = Pcg64Mcg::seed_from_u64(7);
        let mut expanded = 0;
        for _ in 0..200 {
            let mut part = Part::plain(shelf.clone());
            let mut settings = Vec::new();
            for (name, block) in dimensions {
                if random.random_bool(0.15) {
                    let block = block.as_table().expect("a table");
                    settings.push(at_random(name, block, &mut random));
                }
            }
            for setting in &settings {
                part.set(setting)
                    .unwrap_or_else(|f| panic!("{setting}: {f}"));
            }
            if let Err(refused) = evaluate(&part) {
                let faults = refused.as_slice();
                assert!(
                    faults.iter().all(|f| f.remedy.is_some()),
                    "{settings:?}: {refused}"
                );
                continue;
            }
            // What the rules let through must be possible.
            let made = plates(&part).unwrap_or_else(|f| panic!("{family} {settings:?}: {f}"));
            made.plates.iter().for_each(assert_sound);
            expanded += 1;
        }
        assert!(expanded >= 20, "{family}: only {expanded} of 200 expand");
    }
}
