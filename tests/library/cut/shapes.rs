//! A table and random plates, built straight from shapes, for the tests of cutting.

#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test file uses its own share"
)]

use platewright::cut::{
    CutOff, CutSettings, HeightControl, LeadForm, PreparedPlate, Process, ProgramWords, SlugWork,
    StartFrom, Starts, Swirl, Table,
};
use platewright::fault::Outcome;
use platewright::geometry::{Circle, Contour, Face, Point, Pose, Region, Vector};
use platewright::plate::{AllowedRotation, Finish, Opening, Plate, Purpose, StrengthResults};
use platewright::recipe::CutOrder;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// 6 mm mild steel on a plasma table, invented but of the usual size.
pub fn settings() -> CutSettings {
    CutSettings {
        material: "mild steel".to_owned(),
        thickness: 6.0,
        current: None,
        pierce_height: None,
        cut_height: None,
        height_control: HeightControl::HoldInSmallHoles,
        lead: LeadForm::Arc,
        kerf: 1.6,
        feed: 40.0,
        pierce_time: 0.5,
        pierce_clearance: 5.0,
        lead_length: 6.0,
        overcut: 2.0,
        small_hole: 18.0,
        smallest_hole: 7.0,
        small_hole_feed: 0.6,
        start: StartFrom::Pierce,
        start_drill: None,
        corner_loop: None,
        corner_feed: None,
        corner_reach: 6.0,
        undersize: 2.0,
    }
}

pub fn table() -> Table {
    Table {
        title: "Orchard shed plasma".to_owned(),
        process: Process::Plasma,
        bed: (1500.0, 3000.0),
        sheet: (1220.0, 2440.0),
        swirl: Swirl::Clockwise,
        rapid: 200.0,
        acceleration: 800.0,
        spread_heat: 0.0,
        order: CutOrder::PlateByPlate,
        slats: None,
        slugs: SlugWork::Leave,
        cut_off: CutOff::No,
        lift: None,
        hour_rate: 60.0,
        pierce_cost: 0.1,
        tabs: None,
        program: ProgramWords::default(),
        current: None,
        rows: vec![settings()],
    }
}

pub fn opening(name: &str, purpose: Purpose, circle: Option<Circle>) -> Opening {
    Opening {
        name: name.to_owned(),
        purpose,
        thread: None,
        finish: Finish::ByRule,
        circle,
        making: None,
    }
}

/// A plate of a face; every opening round if its contour is, else a window.
pub fn plate(name: &str, face: Face) -> Plate {
    let openings = face
        .openings
        .iter()
        .enumerate()
        .map(|(i, contour)| match contour.as_circle() {
            Some(circle) => opening(&format!("bolt {}", i + 1), Purpose::Bolt, Some(circle)),
            None => opening(&format!("window {}", i + 1), Purpose::Window, None),
        })
        .collect();
    Plate {
        name: name.to_owned(),
        recipe: "by hand".to_owned(),
        hand: platewright::plate::Handed::Either,
        quantity: 1,
        material: "mild steel".to_owned(),
        thickness: 6.0,
        face,
        openings,
        mating: Vec::new(),
        marks: Vec::new(),
        bends: Vec::new(),
        rotation: AllowedRotation::Free,
        cautions: Vec::new(),
        figures: Vec::new(),
        dimensions: Vec::new(),
        strength: StrengthResults::default(),
        place: None,
        beside: platewright::plate::Beside::default(),
    }
}

/// The plate with its openings decided for some settings.
pub fn decided(plate: &Plate, settings: &CutSettings, table: &Table) -> Plate {
    let mut plate = plate.clone();
    plate.decide_making(&settings.hole_limits(table.process));
    plate
}

/// Cut paths of a plate whose openings are decided for the same settings.
pub fn prepare(plate: &Plate, settings: &CutSettings, table: &Table) -> Outcome<PreparedPlate> {
    let plate = decided(plate, settings, table);
    platewright::cut::prepare(&plate, settings, table, Starts::Several)
}

pub fn region(contour: &Contour) -> Region {
    Region {
        faces: vec![Face {
            outside: contour.clone(),
            openings: Vec::new(),
        }],
    }
}

pub fn disc(x: f64, y: f64, diameter: f64) -> Region {
    region(&Contour::circle(Point::new(x, y), diameter / 2.0))
}

pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Region {
    let (w, h) = (width / 2.0, height / 2.0);
    region(
        &Contour::polygon(&[
            Point::new(x - w, y - h),
            Point::new(x + w, y - h),
            Point::new(x + w, y + h),
            Point::new(x - w, y + h),
        ])
        .expect("a rectangle"),
    )
}

/// A slot with round ends: `travel` between the centres of its ends.
pub fn slot(x: f64, y: f64, travel: f64, width: f64, turn: f64) -> Region {
    let (t, r) = (travel / 2.0, width / 2.0);
    let straight = Contour::from_bulges(&[(-t, -r, 0.0), (t, -r, 1.0), (t, r, 0.0), (-t, r, 1.0)])
        .expect("a slot");
    region(&straight.posed(&Pose::new(turn, Vector::new(x, y))))
}

pub fn chance(seed: u64) -> Pcg64Mcg {
    Pcg64Mcg::seed_from_u64(seed)
}

/// The outline a random plate starts from, about the origin, at least 60 mm across.
fn blank(rng: &mut Pcg64Mcg) -> Region {
    let size = rng.random_range(60.0..220.0);
    match rng.random_range(0..5) {
        0 => disc(0.0, 0.0, size),
        1 => rectangle(0.0, 0.0, size, rng.random_range(50.0..160.0)),
        2 => {
            // A bar with a boss at each end.
            let reach = rng.random_range(60.0..140.0);
            [
                disc(-reach, 0.0, rng.random_range(45.0..80.0)),
                disc(reach, 0.0, rng.random_range(45.0..80.0)),
                rectangle(0.0, 0.0, 2.0 * reach, rng.random_range(20.0..40.0)),
            ]
            .iter()
            .fold(Region::EMPTY, |sum, part| {
                sum.union(part).expect("resolves")
            })
        }
        3 => {
            // A cross, its inside corners rounded or left sharp.
            let cross = rectangle(0.0, 0.0, size, 45.0)
                .union(&rectangle(0.0, 0.0, 45.0, size))
                .expect("resolves");
            if rng.random_bool(0.5) {
                cross.round_inside(8.0).expect("resolves")
            } else {
                cross
            }
        }
        _ => {
            // A polygon with bulges.
            let count = rng.random_range(3..9);
            let corners: Vec<(f64, f64, f64)> = (0..count)
                .map(|i| {
                    let angle = f64::from(i) / f64::from(count) * std::f64::consts::TAU;
                    let p = Point::ORIGIN.polar(size / 2.0, angle);
                    let bulge: f64 = rng.random_range(-0.15..0.4);
                    (p.x, p.y, if bulge.abs() < 0.02 { 0.0 } else { bulge })
                })
                .collect();
            region(&Contour::from_bulges(&corners).expect("a loop"))
        }
    }
}

/// Something to cut out, about the origin.
fn hole(rng: &mut Pcg64Mcg) -> Region {
    let turn = rng.random_range(0.0..std::f64::consts::PI);
    match rng.random_range(0..7) {
        0..3 => disc(0.0, 0.0, rng.random_range(7.5..22.0)),
        3 => disc(0.0, 0.0, rng.random_range(22.0..70.0)),
        4 => slot(
            0.0,
            0.0,
            rng.random_range(5.0..40.0),
            rng.random_range(2.2..14.0),
            turn,
        ),
        5 => rectangle(
            0.0,
            0.0,
            rng.random_range(6.0..60.0),
            rng.random_range(4.0..40.0),
        ),
        _ => region(
            &Contour::polygon(&[
                Point::new(-15.0, -12.0),
                Point::new(rng.random_range(10.0..25.0), -12.0),
                Point::new(0.0, rng.random_range(5.0..25.0)),
            ])
            .expect("a triangle"),
        ),
    }
}

/// A plate with up to eight openings, none nearer than 4 mm to another or to the edge.
pub fn random_plate(seed: u64) -> Plate {
    let rng = &mut chance(seed);
    let mut metal = blank(rng);
    if rng.random_bool(0.3) {
        metal = metal.round_outside(6.0).expect("resolves");
    }
    let bounds = metal.bounds();
    let wanted = rng.random_range(0..9);
    for _ in 0..wanted {
        let at = Vector::new(
            rng.random_range(bounds.min.x..bounds.max.x),
            rng.random_range(bounds.min.y..bounds.max.y),
        );
        let cut = hole(rng).posed(&Pose::shifted(at));
        let inside = metal.contains(cut.faces[0].outside.segments()[0].start());
        let apart = metal
            .contours()
            .map(|edge| edge.gap_to(&cut.faces[0].outside).distance)
            .fold(f64::INFINITY, f64::min);
        let whole = cut.intersection(&metal).expect("resolves");
        if inside && apart > 4.0 && (whole.area() - cut.area()).abs() < 1e-6 {
            metal = metal.difference(&cut).expect("resolves");
        }
    }
    let face = metal.faces.swap_remove(0);
    plate(&format!("random-{seed}"), face)
}
