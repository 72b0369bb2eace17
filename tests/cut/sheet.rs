//! Whole sheets: random plates side by side, some with a small part in a window, cut in the order
//! planned by an independent torch.

use super::burn as torch;
use super::shapes;
use std::f64::consts::TAU;

use platewright::cut::{CutSettings, Placed, PreparedPlate, SheetPlan, prepare, sequence};
use platewright::geometry::{Contour, Point, Pose, Region, Segment, Side, Vector};
use platewright::plate::Plate;
use rand::RngExt;

/// A sheet with its plates.
pub(super) struct Sheet {
    pub(super) plates: Vec<Plate>,
    pub(super) prepared: Vec<PreparedPlate>,
    pub(super) placed: Vec<Placed>,
    pub(super) plan: SheetPlan,
    pub(super) settings: CutSettings,
}

/// Radius of the circle about the middle of a region's box that holds all of it.
fn reach(region: &Region) -> f64 {
    let middle = region.bounds().centre();
    region
        .contours()
        .flat_map(|contour| contour.flattened(0.01, Side::Outward))
        .map(|p| p.distance(middle))
        .fold(0.0, f64::max)
}

/// A frame and random plates in a row, footprints touching; a washer in every window that has room for it.
fn sheet(seed: u64) -> Sheet {
    let rng = &mut shapes::chance(seed);
    let (settings, table) = (shapes::settings(), shapes::table());
    let washer = shapes::disc(0.0, 0.0, 20.0).difference(&shapes::disc(0.0, 0.0, 9.0));
    let washer = shapes::plate("washer", washer.expect("resolves").faces.swap_remove(0));
    let frame = shapes::rectangle(0.0, 0.0, 130.0, 100.0).difference(&shapes::rectangle(
        0.0,
        0.0,
        rng.random_range(60.0..100.0),
        rng.random_range(60.0..80.0),
    ));
    let frame = shapes::plate("frame", frame.expect("resolves").faces.swap_remove(0));
    let mut plates = vec![washer, frame];
    plates.extend((0..4).map(|i| shapes::random_plate(seed * 100 + i)));
    plates.retain(|plate| prepare(plate, &settings, &table).is_ok());
    let prepared: Vec<PreparedPlate> = plates
        .iter()
        .map(|plate| prepare(plate, &settings, &table).expect("as before"))
        .collect();
    let mut placed: Vec<Placed> = Vec::new();
    let mut x = 10.0;
    for plate in 1..plates.len() {
        let turned = Pose::new(rng.random_range(0.0..TAU), Vector::new(0.0, 0.0));
        let bounds = prepared[plate].outline.posed(&turned).bounds();
        let shift = Vector::new(x - bounds.min.x, 10.0 - bounds.min.y);
        x += bounds.width();
        let host = placed.len();
        let pose = turned.then(&Pose::shifted(shift));
        placed.push(Placed {
            plate,
            pose,
            inside: None,
        });
        for (_, room) in &prepared[plate].room {
            let circle = room.posed(&pose).faces[0].widest_circle(0.1);
            let footprint = &prepared[0].outline;
            if circle.radius > reach(footprint) {
                let shift = circle.centre - footprint.bounds().centre();
                let pose = Pose::shifted(shift);
                placed.push(Placed {
                    plate: 0,
                    pose,
                    inside: Some(host),
                });
            }
        }
    }
    let plan = sequence(&placed, &prepared.iter().collect::<Vec<_>>(), &table);
    Sheet {
        plates,
        prepared,
        placed,
        plan,
        settings,
    }
}

/// Every run of every plate comes once, and in sheet coordinates.
pub(super) fn is_complete(sheet: &Sheet) -> Result<(), String> {
    let wanted: usize = sheet
        .placed
        .iter()
        .map(|p| sheet.prepared[p.plate].paths.len())
        .sum();
    if sheet.plan.paths.len() != wanted {
        return Err(format!(
            "{} runs instead of {wanted}",
            sheet.plan.paths.len()
        ));
    }
    for (index, path) in &sheet.plan.paths {
        let spot = sheet.placed[*index];
        let own = sheet.prepared[spot.plate]
            .paths
            .iter()
            .find(|own| own.opening == path.opening);
        let own = own.expect("a run of this plate").posed(&spot.pose);
        if own != *path {
            return Err(format!("placement {index} is not where it lies"));
        }
    }
    Ok(())
}

/// Law 2 on the sheet: no pierce or lead of one plate harms another.
pub(super) fn law_2(sheet: &Sheet) -> Result<(), String> {
    let settings = &sheet.settings;
    for (index, path) in &sheet.plan.paths {
        for (other, spot) in sheet
            .placed
            .iter()
            .enumerate()
            .filter(|(other, _)| other != index)
        {
            let face = sheet.plates[spot.plate].face.posed(&spot.pose);
            let region = Region { faces: vec![face] };
            let beside: Vec<&Segment> = path.segments.iter().collect();
            for segment in beside {
                for contour in region.contours() {
                    let gap = contour
                        .segments()
                        .iter()
                        .map(|s| s.gap_to(segment).distance);
                    let gap = gap.fold(f64::INFINITY, f64::min);
                    if gap < settings.kerf / 2.0 - 0.01 {
                        return Err(format!(
                            "placement {index} burns to {gap:.3} mm from {other}"
                        ));
                    }
                }
            }
            let pierce = path.pierce();
            let gap = region.edge_gap_to_point(pierce).expect("edges").distance;
            if region.contains(pierce) || gap < settings.pierce_clearance - 0.01 {
                return Err(format!(
                    "placement {index} pierces {gap:.2} mm from {other}"
                ));
            }
        }
    }
    Ok(())
}

/// Law 3: openings before the contour around them, guests before their window.
pub(super) fn law_3(sheet: &Sheet) -> Result<(), String> {
    let cut_before = |at: usize, index: usize| {
        sheet.plan.paths[..at]
            .iter()
            .filter(|(i, _)| *i == index)
            .count()
    };
    for (at, (index, path)) in sheet.plan.paths.iter().enumerate() {
        let all = sheet.prepared[sheet.placed[*index].plate].paths.len();
        if path.opening.is_none() && cut_before(at, *index) != all - 1 {
            return Err(format!(
                "the outside of placement {index} comes before its openings"
            ));
        }
        for (guest, spot) in sheet.placed.iter().enumerate() {
            let middle = spot.pose.point(Point::ORIGIN);
            let is_here = path.opening.is_none() || path.nominal.encloses(middle);
            let whole = sheet.prepared[spot.plate].paths.len();
            if spot.inside == Some(*index) && is_here && cut_before(at, guest) != whole {
                return Err(format!(
                    "a window of placement {index} comes before its guest {guest}"
                ));
            }
        }
    }
    Ok(())
}

/// Law 1 on the sheet: every plate is left, to its own area less what a round kerf adds in corners.
pub(super) fn law_1(sheet: &Sheet) -> Result<(), String> {
    let settings = &sheet.settings;
    let footprints = sheet
        .placed
        .iter()
        .map(|p| sheet.prepared[p.plate].outline.posed(&p.pose));
    let bounds = footprints
        .fold(Region::EMPTY.bounds(), |b, r| b.union(r.bounds()))
        .grown(20.0);
    let corners = [
        bounds.min,
        Point::new(bounds.max.x, bounds.min.y),
        bounds.max,
        Point::new(bounds.min.x, bounds.max.y),
    ];
    let runs = sheet
        .plan
        .paths
        .iter()
        .map(|(_, path)| path.segments.as_slice());
    let left = torch::burn(&corners, runs, settings.kerf);
    for (index, spot) in sheet.placed.iter().enumerate() {
        let (plate, prepared) = (&sheet.plates[spot.plate], &sheet.prepared[spot.plate]);
        if prepared
            .findings
            .iter()
            .any(|finding| finding.check == "narrow for the kerf")
        {
            continue;
        }
        let mut face = plate.face.clone();
        let cut = |i: usize| prepared.paths.iter().find(|path| path.opening == Some(i));
        face.openings = (0..face.openings.len())
            .filter_map(cut)
            .map(|p| clockwise(&p.nominal))
            .collect();
        let face = face.posed(&spot.pose);
        let middle = face.widest_circle(0.1).centre;
        let Some(part) = left.iter().find(|piece| torch::holds(piece, middle)) else {
            return Err(format!("nothing is left of placement {index}"));
        };
        if part.len() != 1 + face.openings.len() {
            return Err(format!(
                "placement {index} has {} openings, not {}",
                part.len() - 1,
                face.openings.len()
            ));
        }
        let contours = || std::iter::once(&face.outside).chain(&face.openings);
        let fillets: Vec<torch::Fillet> = contours()
            .flat_map(|contour| torch::fillets(contour, settings.kerf))
            .collect();
        for p in part.iter().flatten() {
            let off = contours()
                .map(|c| c.gap_to_point(*p).distance)
                .fold(f64::INFINITY, f64::min);
            let excused = fillets
                .iter()
                .any(|f| f.corner.distance(*p) <= f.reach + 0.01);
            if off > 0.01 && (face.contains(*p) || !excused) {
                return Err(format!("placement {index} is {off:.3} mm off at {p:?}"));
            }
        }
    }
    Ok(())
}

fn clockwise(contour: &Contour) -> Contour {
    if contour.signed_area() > 0.0 {
        contour.reversed()
    } else {
        contour.clone()
    }
}

/// Checks some sheets; says how many guests sat in windows.
fn cut_sheets(seeds: std::ops::Range<u64>) -> usize {
    let mut guests = 0;
    let mut broken = Vec::new();
    for seed in seeds {
        let sheet = sheet(seed);
        guests += sheet
            .placed
            .iter()
            .filter(|spot| spot.inside.is_some())
            .count();
        for (law, verdict) in [
            ("1", law_1(&sheet)),
            ("2", law_2(&sheet)),
            ("3", law_3(&sheet)),
            ("complete", is_complete(&sheet)),
        ] {
            broken.extend(
                verdict
                    .err()
                    .map(|says| format!("law {law}, seed {seed}: {says}")),
            );
        }
    }
    assert!(
        broken.is_empty(),
        "{} broken\n{}",
        broken.len(),
        broken.join("\n")
    );
    guests
}

#[test]
fn a_sheet_comes_apart_into_its_plates() {
    assert!(cut_sheets(0..8) >= 8, "too few guests to mean anything");
}

#[test]
#[ignore = "takes minutes"]
fn many_sheets_come_apart_into_their_plates() {
    assert!(cut_sheets(100..500) > 400);
}

/// The checks of the order can fail: an outside cut before its openings, and a window before its guest.
#[test]
fn a_spoiled_order_is_found() {
    let good = sheet(3);
    assert_eq!(law_3(&good), Ok(()));
    let place = |sheet: &Sheet, wanted: &dyn Fn(usize, Option<usize>) -> bool| {
        let mut runs = sheet.plan.paths.iter();
        runs.position(|(index, path)| wanted(*index, path.opening))
    };
    let mut early = sheet(3);
    let (hole, outside) = (0..early.placed.len())
        .find_map(|index| {
            let hole = place(&early, &|i, opening| i == index && opening.is_some())?;
            Some((
                hole,
                place(&early, &|i, opening| i == index && opening.is_none())?,
            ))
        })
        .expect("a plate with an opening");
    early.plan.paths.swap(hole, outside);
    let said = law_3(&early).expect_err("an outside before its opening");
    assert!(said.contains("before its openings"), "{said}");
    let mut upset = sheet(3);
    let guest = upset.placed.iter().position(|spot| spot.inside.is_some());
    let guest = guest.expect("a guest in a window");
    let host = upset.placed[guest].inside.expect("its host");
    let middle = upset.placed[guest].pose.point(Point::ORIGIN);
    let mut runs = upset.plan.paths.iter();
    let window = runs.position(|(index, path)| {
        *index == host && path.opening.is_some() && path.nominal.encloses(middle)
    });
    let window = upset.plan.paths.remove(window.expect("the window"));
    upset.plan.paths.insert(0, window);
    let said = law_3(&upset).expect_err("a window before its guest");
    assert!(said.contains("before its guest"), "{said}");
}

#[test]
fn the_same_sheet_gives_the_same_plan() {
    assert_eq!(sheet(3).plan, sheet(3).plan);
}

#[test]
fn time_and_lengths_add_up() {
    let sheet = sheet(1);
    let (plan, table) = (&sheet.plan, shapes::table());
    let cut: f64 = plan.paths.iter().map(|(_, path)| path.length()).sum();
    assert!((plan.cut_length - cut).abs() < 1e-9);
    let mut here = Point::ORIGIN;
    let mut rapids = 0.0;
    for (_, path) in &plan.paths {
        rapids += here.distance(path.pierce());
        here = path.end();
    }
    assert!((plan.rapid_length - rapids).abs() < 1e-6);
    // No faster than without starts and stops, and not many times slower.
    let least: f64 = plan
        .paths
        .iter()
        .map(|(_, p)| p.pierce_time + p.length() / p.feed)
        .sum::<f64>()
        + rapids / table.rapid;
    assert!(
        plan.time > least && plan.time < 2.0 * least,
        "{} s against {least} s",
        plan.time
    );
}
