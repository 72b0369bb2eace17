//! Whole sheets: random plates side by side, some with a small part in a window, cut in the order
//! planned by an independent torch.

use super::burn as torch;
use super::shapes::{self, prepare};
use std::f64::consts::TAU;

use super::tabs::snip;
use platewright::cut::{
    CutPath, CutSettings, HoldingTab, Placed, PreparedPlate, Reach, SheetLimits, SheetPlan,
    sequence,
};
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
    /// Least metal between what is burnt for two plates, mm.
    pub(super) web: f64,
}

/// How deep near its ends an easy way may run over the rim of something cut out, mm.
const RIM: f64 = 1.5;

/// How far from its ends an easy way may still be over that rim, mm.
const NEAR_AN_END: f64 = 5.0;

/// Radius of the circle about the middle of a region's box that holds all of it.
fn reach(region: &Region) -> f64 {
    let middle = region.bounds().centre();
    region
        .contours()
        .flat_map(|contour| contour.flattened(0.01, Side::Outward))
        .map(|p| p.distance(middle))
        .fold(0.0, f64::max)
}

/// A sheet 10 mm larger than what lies on it.
fn metal(placed: &[Placed], prepared: &[PreparedPlate]) -> Region {
    let boxes = placed.iter().map(|spot| {
        let footprint = prepared[spot.plate].outline.posed(&spot.pose);
        footprint.bounds().max
    });
    let far = boxes.fold(Point::ORIGIN, |far, max| {
        Point::new(far.x.max(max.x), far.y.max(max.y))
    });
    let (x, y) = (far.x + 10.0, far.y + 10.0);
    shapes::rectangle(x / 2.0, y / 2.0, x, y)
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
    let metal = metal(&placed, &prepared);
    let ground = SheetLimits {
        metal: &metal,
        margin: 10.0,
        web: 0.0,
    };
    let all: Vec<&PreparedPlate> = prepared.iter().collect();
    let plan = sequence(&placed, &all, &ground, &settings, &table);
    Sheet {
        plates,
        prepared,
        placed,
        plan,
        settings,
        web: 0.0,
    }
}

/// A plate's run of a planned path, as prepared: its own, or one that starts elsewhere.
pub(super) fn as_prepared<'a>(
    sheet: &'a Sheet,
    index: usize,
    path: &CutPath,
) -> Option<&'a CutPath> {
    let spot = &sheet.placed[index];
    let plate = &sheet.prepared[spot.plate];
    let runs = plate.paths.iter().zip(&plate.others);
    runs.filter(|(own, _)| own.opening == path.opening)
        .flat_map(|(own, others)| {
            let others = others.iter().map(|other| &other.path);
            std::iter::once(own).chain(others)
        })
        .find(|it| it.posed(&spot.pose) == *path)
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
        if as_prepared(sheet, *index, path).is_none() {
            return Err(format!("placement {index} is not where it lies"));
        }
    }
    let (paths, rapids) = (&sheet.plan.paths, &sheet.plan.rapids);
    let mut here = Point::ORIGIN;
    for ((_, path), way) in paths.iter().zip(rapids) {
        if way.first() != Some(&here) || way.last() != Some(&path.pierce()) {
            return Err("a rapid does not lead to its pierce".to_owned());
        }
        here = path.end();
    }
    let moves = rapids.len();
    (moves == paths.len())
        .then_some(())
        .ok_or(format!("{moves} rapids for {wanted} runs"))
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

/// Law 2 between leads: what two plates burn beside their contours keeps the web apart, and what one
/// burns there keeps it from the other's cut.
pub(super) fn law_2_between_leads(sheet: &Sheet) -> Result<(), String> {
    let kerf = sheet.settings.kerf;
    let runs = &sheet.plan.paths;
    let gap = |a: &[Segment], b: &[Segment]| {
        let pairs = a
            .iter()
            .flat_map(|a| b.iter().map(move |b| a.gap_to(b).distance));
        pairs.fold(f64::INFINITY, f64::min)
    };
    for (index, path) in runs {
        let beside = path.beside();
        for (other, against) in runs.iter().filter(|(other, _)| other != index) {
            let off = gap(&beside, &against.segments);
            if off < kerf + sheet.web - 0.01 {
                return Err(format!(
                    "a lead of placement {index} comes to {off:.2} mm from a cut of {other}"
                ));
            }
        }
    }
    Ok(())
}

/// Law 8: where it is cut plate by plate, nothing else comes between the runs of a plate.
pub(super) fn law_8(sheet: &Sheet) -> Result<(), String> {
    let mut done = Vec::new();
    for together in sheet.plan.paths.chunk_by(|a, b| a.0 == b.0) {
        let index = together[0].0;
        if done.contains(&index) {
            return Err(format!("the torch comes back to placement {index}"));
        }
        done.push(index);
    }
    Ok(())
}

/// Law 6: another start than the plate's own is no worse: not on a mating edge, not too short, its
/// pierce as far off as asked.
pub(super) fn law_6(sheet: &Sheet) -> Result<(), String> {
    let settings = &sheet.settings;
    for (index, path) in &sheet.plan.paths {
        let spot = &sheet.placed[*index];
        let prepared = as_prepared(sheet, *index, path).ok_or("unknown run")?;
        if sheet.prepared[spot.plate].paths.contains(prepared) {
            continue;
        }
        let joins = prepared.around()[0].start();
        let mating = sheet.plates[spot.plate].mating.iter();
        let off = mating
            .map(|edge| edge.gap_to_point(joins).distance)
            .fold(f64::INFINITY, f64::min);
        let own = sheet.prepared[spot.plate]
            .paths
            .iter()
            .find(|own| own.opening == path.opening);
        let own = own.ok_or("no own run")?.around()[0].start();
        let mating = sheet.plates[spot.plate].mating.iter();
        let own_off = mating
            .map(|edge| edge.gap_to_point(own).distance)
            .fold(f64::INFINITY, f64::min);
        if off < settings.kerf && own_off >= settings.kerf {
            return Err(format!("placement {index} starts on a mating edge"));
        }
        let length: f64 = path.segments[..path.lead_in]
            .iter()
            .map(Segment::length)
            .sum();
        let gap = path.nominal.gap_to_point(path.pierce()).distance;
        if length < settings.lead_length - 0.1 || gap < settings.pierce_clearance - 0.1 {
            return Err(format!(
                "placement {index} has a lead of {length:.2} mm from {gap:.2} mm off"
            ));
        }
    }
    Ok(())
}

/// Law 7: what is cut out already is crossed only where no easy way leads round it. A way counts as
/// easy if it has one corner, is less than 15 % longer, and keeps 4 mm off everything cut out but where
/// it starts and ends.
pub(super) fn law_7(sheet: &Sheet) -> Result<usize, String> {
    let deep = sheet.settings.kerf + 2.0;
    let mut cut: Vec<(usize, &CutPath)> = Vec::new();
    let mut crossings = 0;
    for ((index, path), way) in sheet.plan.paths.iter().zip(&sheet.plan.rapids) {
        if crosses(way, &cut, deep) {
            if way.len() > 2 {
                return Err("a way round crosses what is cut out".to_owned());
            }
            crossings += 1;
            if let Some(by) = easy_way(way[0], way[1], &cut) {
                return Err(format!(
                    "from {:?} to {:?} straight over what is cut out, and not by {by:?}",
                    way[0], way[1]
                ));
            }
        }
        let straight = way[0].distance(path.pierce());
        let length: f64 = way.windows(2).map(|leg| leg[0].distance(leg[1])).sum();
        if length > 1.2 * straight + 1e-6 {
            return Err(format!("a detour of {length:.1} mm for {straight:.1} mm"));
        }
        // What tabs hold stays flat.
        if path.reach == Reach::Whole {
            cut.push((*index, path));
        }
    }
    Ok(crossings)
}

/// Whether a way runs more than `deep` mm inside something cut out; less than 0 is beside it.
fn crosses(way: &[Point], cut: &[(usize, &CutPath)], deep: f64) -> bool {
    way.windows(2).any(|leg| {
        let steps = leg[0].distance(leg[1]).ceil().max(1.0);
        let reach = platewright::geometry::Bounds::around([leg[0], leg[1]]).grown(5.0);
        let mut near = cut
            .iter()
            .filter(|(_, it)| it.nominal.bounds().meets(reach));
        near.any(|(_, it)| {
            (0..=steps as u32).any(|k| {
                let p = leg[0].lerp(leg[1], f64::from(k) / steps);
                let off = it.nominal.gap_to_point(p).distance;
                let inside = if it.nominal.encloses(p) { off } else { -off };
                let near_an_end = deep < 0.0
                    && p.distance(leg[0]).min(p.distance(leg[1])) < NEAR_AN_END
                    && inside < RIM;
                inside > deep && !near_an_end
            })
        })
    })
}

/// A corner of an easy way round, by trying a lattice of them.
fn easy_way(from: Point, to: Point, cut: &[(usize, &CutPath)]) -> Option<Point> {
    let straight = from.distance(to);
    let along = (to - from).unit()?;
    let corners =
        (1..20).flat_map(|i| (-12..=12).map(move |k| (f64::from(i) / 20.0, f64::from(k) / 40.0)));
    let mut corners = corners.map(|(share, aside)| {
        from + along * (share * straight) + along.left() * (aside * straight)
    });
    corners.find(|by| {
        from.distance(*by) + by.distance(to) < 1.15 * straight
            && !crosses(&[from, *by, to], cut, -4.0)
    })
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
        let own = sheet.prepared[sheet.placed[*index].plate].paths.iter();
        let openings = own.filter(|own| own.opening.is_some()).count();
        if path.opening.is_none() && cut_before(at, *index) < openings {
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
    let tabs = sheet.placed.iter().flat_map(|spot| {
        let tabs = sheet.prepared[spot.plate].tabs.iter();
        tabs.map(|tab| tab.posed(&spot.pose))
    });
    let tabs: Vec<HoldingTab> = tabs.collect();
    let snips: Vec<[Segment; 1]> = tabs.iter().map(|tab| [snip(tab, settings.kerf)]).collect();
    let snips = snips.iter().map(<[Segment; 1]>::as_slice);
    let left = torch::burn(&corners, runs.chain(snips), settings.kerf);
    for (index, spot) in sheet.placed.iter().enumerate() {
        let (plate, prepared) = (&sheet.plates[spot.plate], &sheet.prepared[spot.plate]);
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
            let gouge = face.contains(*p);
            let stub = |tab: &HoldingTab| tab.at.distance(*p) <= tab.width + settings.kerf;
            if off > 0.01 && !tabs.iter().any(stub) && (gouge || !excused) {
                let corner = fillets
                    .iter()
                    .map(|f| f.corner.distance(*p) - f.reach)
                    .fold(f64::INFINITY, f64::min);
                return Err(format!(
                    "placement {index} is {off:.4} mm off at {p:?}, {}; the nearest fillet ends {corner:.3} mm away",
                    if gouge { "a gouge" } else { "too much" }
                ));
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
            ("2, leads", law_2_between_leads(&sheet)),
            ("6", law_6(&sheet)),
            ("7", law_7(&sheet).map(|_| ())),
            ("3", law_3(&sheet)),
            ("8", law_8(&sheet)),
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
    // Round what is cut out, the way is up to a fifth longer.
    let straight = std::mem::replace(&mut rapids, plan.rapid_length);
    assert!(plan.rapid_length >= straight - 1e-6 && plan.rapid_length <= 1.2 * straight);
    let legs = plan.rapids.iter().flat_map(|way| way.windows(2));
    let legs: f64 = legs.map(|leg| leg[0].distance(leg[1])).sum();
    assert!((plan.rapid_length - legs).abs() < 1e-6);
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
