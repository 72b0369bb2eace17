//! Two plates of an orchard's produce cart and a sheet of them, made by hand: invented data.
//!
//! The cut paths are simple but true: half a kerf off the edge, a straight lead from the pierce.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use platewright::check::{Finding, Level};
use platewright::cut::{CutPath, Layer, PreparedPlate, Reach, RunStart, SheetPlan};
use platewright::geometry::{Circle, Contour, Face, Point, Pose, Region, Segment, Vector};
use platewright::nest::{Along, Placement};
use platewright::plate::Fold;
use platewright::plate::{
    AllowedRotation, Bend, DrillWork, Finish, Making, Mark, Opening, Plate, Purpose,
    StrengthResults,
};
use platewright::sheet::{CutPlate, CutSheet, Rest};

/// Kerf of the fixture, mm.
pub const KERF: f64 = 1.5;

/// Diameter, mm; centre radius, mm; and how many of the adapter's bolt holes.
pub const BOLTS: (f64, f64, usize) = (13.0, 57.15, 5);

/// A disc of 170 mm with a bore of 64 mm, five bolt holes on a circle of 114.3 mm and one hole of
/// 6.8 mm to be tapped.
pub fn hub_adapter() -> CutPlate {
    let mut holes = vec![(
        "bore".to_owned(),
        Purpose::Bore,
        circle(Point::ORIGIN, 32.0),
    )];
    let (diameter, radius, count) = BOLTS;
    for k in 0..count {
        let centre = Point::ORIGIN.polar(radius, TAU * k as f64 / count as f64 + FRAC_PI_2);
        let name = format!("wheel bolt {}", k + 1);
        holes.push((name, Purpose::Bolt, circle(centre, diameter / 2.0)));
    }
    let tapped = circle(Point::new(0.0, -70.0), 3.4);
    holes.push(("guard screw".to_owned(), Purpose::Tapped, tapped));

    let plate = Plate {
        name: "hub-adapter".to_owned(),
        recipe: "hub-adapter".to_owned(),
        hand: platewright::plate::Handed::Either,
        quantity: 2,
        material: "mild steel".to_owned(),
        thickness: 6.0,
        face: Face {
            outside: Contour::circle(Point::ORIGIN, 85.0),
            openings: holes.iter().map(|(_, _, hole)| around(*hole)).collect(),
        },
        openings: holes
            .iter()
            .map(|(name, purpose, hole)| Opening {
                name: name.clone(),
                purpose: *purpose,
                thread: (*purpose == Purpose::Tapped).then(|| "M8".to_owned()),
                finish: Finish::ByRule,
                circle: Some(*hole),
                making: Some(match purpose {
                    Purpose::Tapped => Making::Drilled(DrillWork {
                        drill: 6.8,
                        says: "drill 6.8, tap M8".to_owned(),
                    }),
                    _ => Making::Cut,
                }),
            })
            .collect(),
        mating: Vec::new(),
        marks: vec![
            Mark::Circle {
                centre: Point::ORIGIN,
                diameter: 114.3,
            },
            Mark::Text {
                at: Point::new(-18.0, 66.0),
                height: 6.0,
                turn: 0.0,
                text: "5 \u{d7} M12".to_owned(),
            },
        ],
        bends: Vec::new(),
        rotation: AllowedRotation::Free,
        cautions: vec!["safety-critical".to_owned(), "wheel adapters".to_owned()],
        figures: vec![("mass on the wheel".to_owned(), "0.9 kg".to_owned())],
        dimensions: vec![(
            "outside diameter".to_owned(),
            "170 mm (6.693 in)".to_owned(),
        )],
        strength: StrengthResults::default(),
        place: None,
        beside: platewright::plate::Beside::default(),
    };

    let cut = holes.len() - 1;
    let mut paths: Vec<CutPath> = holes[..cut]
        .iter()
        .enumerate()
        .map(|(index, (_, _, hole))| hole_path(*hole, index))
        .collect();
    paths.push(disc_path(circle(Point::ORIGIN, 85.0)));
    CutPlate {
        plate,
        prepared: PreparedPlate {
            others: vec![Vec::new(); paths.len()],
            paths,
            tabs: Vec::new(),
            slugs: Vec::new(),
            outline: Region {
                faces: vec![face(Contour::circle(Point::ORIGIN, 95.0))],
            },
            room: Vec::new(),
            shares: false,
            findings: vec![Finding {
                check: "lead length".to_owned(),
                level: Level::Note,
                message: "the lead into wheel bolt 1 is 5 mm, not 6 mm".to_owned(),
                remedy: "nothing to do; the hole leaves no more room".to_owned(),
                source: "common practice, no source".to_owned(),
                at: Some(Point::new(0.0, 57.15)),
            }],
        },
    }
}

/// A bracket of 120 by 60 mm with corners of 8 mm, a slot of 30 by 10 mm and a fold line.
pub fn pedal_bracket() -> CutPlate {
    let slot = rounded_rectangle(Point::new(40.0, 25.0), 40.0, 10.0, 5.0).reversed();
    let outside = rounded_rectangle(Point::ORIGIN, 120.0, 60.0, 8.0);
    let plate = Plate {
        name: "pedal-bracket".to_owned(),
        recipe: "pedal-bracket".to_owned(),
        hand: platewright::plate::Handed::Either,
        quantity: 1,
        material: "mild steel".to_owned(),
        thickness: 6.0,
        face: Face {
            outside,
            openings: vec![slot.clone()],
        },
        openings: vec![Opening {
            name: "adjusting slot".to_owned(),
            purpose: Purpose::Slot,
            thread: None,
            finish: Finish::ByRule,
            circle: None,
            making: Some(Making::Cut),
        }],
        mating: Vec::new(),
        marks: vec![
            Mark::Line {
                from: Point::new(10.0, 30.0),
                to: Point::new(30.0, 30.0),
            },
            Mark::Centre {
                at: Point::new(20.0, 15.0),
            },
        ],
        bends: vec![Bend {
            from: Point::new(95.0, 0.0),
            to: Point::new(95.0, 60.0),
            angle: FRAC_PI_2,
            radius: 6.0,
            fold: Fold::Up,
        }],
        rotation: AllowedRotation::Quarters,
        cautions: vec!["safety-critical".to_owned()],
        figures: Vec::new(),
        dimensions: Vec::new(),
        strength: StrengthResults::default(),
        place: None,
        beside: platewright::plate::Beside::default(),
    };
    let half = KERF / 2.0;
    let slot_run = rounded_rectangle(
        Point::new(40.0 + half, 25.0 + half),
        40.0 - KERF,
        10.0 - KERF,
        5.0 - half,
    );
    let outside_run = rounded_rectangle(
        Point::new(-half, -half),
        120.0 + KERF,
        60.0 + KERF,
        8.0 + half,
    )
    .reversed();
    let paths = vec![
        led_from(
            Point::new(60.0, 30.0),
            &slot_run,
            slot,
            Some(0),
            Layer::Inside,
        ),
        led_from(
            Point::new(60.0, -8.0),
            &outside_run,
            plate.face.outside.clone(),
            None,
            Layer::Outside,
        ),
    ];
    CutPlate {
        prepared: PreparedPlate {
            others: vec![Vec::new(); paths.len()],
            paths,
            tabs: Vec::new(),
            slugs: Vec::new(),
            outline: Region {
                faces: vec![face(plate.face.outside.clone())],
            },
            room: Vec::new(),
            shares: false,
            findings: Vec::new(),
        },
        plate,
    }
}

/// Both plates, in the order that the sheet's placements point into.
pub fn plates() -> Vec<CutPlate> {
    vec![hub_adapter(), pedal_bracket()]
}

/// A sheet of 500 by 400 mm with two adapters and a bracket stood on end.
pub fn sheet(plates: &[CutPlate]) -> CutSheet {
    let at = |piece, copy, turn, x, y| Placement {
        piece,
        copy,
        pose: Pose::new(turn, Vector::new(x, y)),
        inside: None,
    };
    let placements = vec![
        at(0, 0, 0.3, 100.0, 110.0),
        at(0, 1, 0.0, 290.0, 110.0),
        at(1, 0, FRAC_PI_2, 460.0, 40.0),
    ];
    let paths: Vec<(usize, CutPath)> = placements
        .iter()
        .enumerate()
        .flat_map(|(index, placement)| {
            let paths = &plates[placement.piece].prepared.paths;
            paths
                .iter()
                .map(move |path| (index, path.posed(&placement.pose)))
        })
        .collect();
    let cut_length = paths.iter().map(|(_, path)| path.length()).sum();
    let edge = Contour::polygon(&[
        Point::ORIGIN,
        Point::new(500.0, 0.0),
        Point::new(500.0, 400.0),
        Point::new(0.0, 400.0),
    ])
    .expect("four corners");
    CutSheet {
        name: "01-mild-steel-6mm".to_owned(),
        stock: "500 x 400 offcut".to_owned(),
        material: "mild steel".to_owned(),
        thickness: 6.0,
        kerf: KERF,
        price: Some(40.0),
        along: Along::X,
        goes_round: false,
        margin: 10.0,
        outline: Region {
            faces: vec![face(edge)],
        },
        placements,
        plan: SheetPlan {
            rapids: straight(&paths),
            paths,
            cut_length,
            rapid_length: 1234.5,
            time: 95.0,
            ..SheetPlan::default()
        },
        rest: Rest::default(),
    }
}

/// Every run reached straight from where the one before it ended.
fn straight(paths: &[(usize, CutPath)]) -> Vec<Vec<Point>> {
    let ends = paths.iter().map(|(_, path)| path.end());
    let from = std::iter::once(Point::ORIGIN).chain(ends);
    let pierces = paths.iter().map(|(_, path)| path.pierce());
    from.zip(pierces).map(|(from, to)| vec![from, to]).collect()
}

pub fn circle(centre: Point, radius: f64) -> Circle {
    Circle { centre, radius }
}

fn around(hole: Circle) -> Contour {
    Contour::circle(hole.centre, hole.radius).reversed()
}

fn face(outside: Contour) -> Face {
    Face {
        outside,
        openings: Vec::new(),
    }
}

/// Counter-clockwise from its lower edge, lower left corner of its box at `corner`.
fn rounded_rectangle(corner: Point, width: f64, height: f64, radius: f64) -> Contour {
    let bulge = (PI / 8.0).tan();
    let (l, b) = (corner.x, corner.y);
    let (r, t) = (l + width, b + height);
    Contour::from_bulges(&[
        (l + width / 2.0, b, 0.0),
        (r - radius, b, bulge),
        (r, b + radius, 0.0),
        (r, t - radius, bulge),
        (r - radius, t, 0.0),
        (l + radius, t, bulge),
        (l, t - radius, 0.0),
        (l, b + radius, bulge),
        (l + radius, b, 0.0),
    ])
    .expect("a closed outline")
}

/// Pierced in the middle, counter-clockwise round the inside of a hole.
fn hole_path(hole: Circle, opening: usize) -> CutPath {
    let run = Contour::circle(hole.centre, hole.radius - KERF / 2.0);
    let layer = if hole.radius < 10.0 {
        Layer::SmallHole
    } else {
        Layer::Inside
    };
    led_from(hole.centre, &run, around(hole), Some(opening), layer)
}

/// Pierced outside, clockwise round a disc.
fn disc_path(disc: Circle) -> CutPath {
    let run = Contour::circle(disc.centre, disc.radius + KERF / 2.0).reversed();
    let pierce = run.segments()[0].start() + Vector::new(8.0, 0.0);
    let nominal = Contour::circle(disc.centre, disc.radius);
    led_from(pierce, &run, nominal, None, Layer::Outside)
}

/// A run with a straight lead from a pierce to the start of the contour.
fn led_from(
    pierce: Point,
    run: &Contour,
    nominal: Contour,
    opening: Option<usize>,
    layer: Layer,
) -> CutPath {
    let lead = Segment::Line {
        start: pierce,
        end: run.segments()[0].start(),
    };
    CutPath {
        layer,
        segments: std::iter::once(lead)
            .chain(run.segments().iter().copied())
            .collect(),
        start: RunStart::Pierce,
        lead_in: 1,
        tail: 0,
        nominal,
        reach: Reach::Whole,
        opening,
        loops: Vec::new(),
        feed: 40.0,
        slow: None,
        pierce_time: 0.5,
    }
}
