//! What is written as DXF comes back the same through an independent reader: counts, layers, radii,
//! lengths and areas.

use crate::support::cart;
use std::f64::consts::PI;

use approx::assert_relative_eq;
use dxf::entities::{Entity as Read, EntityType};
use platewright::export::{
    Drawing, Dxf, Exporter, Polyline, Release, SheetLines, plate_drawing, sheet_drawing,
};
use platewright::geometry::{Contour, Point, Segment};

const RELEASES: [Release; 2] = [Release::R12, Release::R2000];

/// Coordinates are written to nine decimals.
const TOLERANCE: f64 = 1e-8;

fn written(drawing: &Drawing, release: Release) -> Vec<u8> {
    Dxf { release }
        .export(drawing)
        .expect("every number is finite")
}

fn read_back(drawing: &Drawing, release: Release) -> Vec<Read> {
    let bytes = written(drawing, release);
    let file = dxf::Drawing::load(&mut bytes.as_slice()).expect("the reader takes the file");
    file.entities().cloned().collect()
}

/// x, y and bulge.
type Vertex = (f64, f64, f64);

/// The vertices of a chain and whether it is closed.
fn chain(entity: &Read) -> Option<(Vec<Vertex>, bool)> {
    match &entity.specific {
        EntityType::LwPolyline(p) => Some((
            p.vertices.iter().map(|v| (v.x, v.y, v.bulge)).collect(),
            p.is_closed(),
        )),
        EntityType::Polyline(p) => Some((
            p.vertices()
                .map(|v| (v.location.x, v.location.y, v.bulge))
                .collect(),
            p.is_closed(),
        )),
        _ => None,
    }
}

/// Area of a closed chain: the polygon of its vertices and a circular segment for each bulge.
fn area(vertices: &[Vertex]) -> f64 {
    (0..vertices.len())
        .map(|i| {
            let (x0, y0, bulge) = vertices[i];
            let (x1, y1, _) = vertices[(i + 1) % vertices.len()];
            (x0 * y1 - x1 * y0) / 2.0 + segment_area((x1 - x0).hypot(y1 - y0), bulge)
        })
        .sum()
}

fn segment_area(chord: f64, bulge: f64) -> f64 {
    let sweep = 4.0 * bulge.atan();
    if bulge == 0.0 {
        return 0.0;
    }
    let radius = chord / (2.0 * (sweep / 2.0).sin());
    radius * radius * (sweep - sweep.sin()) / 2.0
}

/// Length of an open chain.
fn length(vertices: &[Vertex]) -> f64 {
    vertices
        .windows(2)
        .map(|pair| {
            let chord = (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1);
            let sweep = 4.0 * pair[0].2.atan();
            if sweep == 0.0 {
                chord
            } else {
                chord * (sweep / 2.0) / (sweep / 2.0).sin()
            }
        })
        .sum()
}

fn on_layer<'a>(entities: &'a [Read], layer: &'a str) -> impl Iterator<Item = &'a Read> {
    entities.iter().filter(move |e| e.common.layer == layer)
}

#[test]
fn every_round_hole_is_one_circle_of_nominal_radius() {
    let plate = cart::hub_adapter().plate;
    for release in RELEASES {
        let entities = read_back(&plate_drawing(&plate), release);
        let mut radii: Vec<f64> = on_layer(&entities, "INSIDE")
            .map(|entity| match &entity.specific {
                EntityType::Circle(circle) => circle.radius,
                other => panic!("{other:?} is not a circle"),
            })
            .collect();
        radii.sort_by(f64::total_cmp);
        assert_eq!(radii, [3.4, 6.5, 6.5, 6.5, 6.5, 6.5, 32.0]);
        let outside: Vec<_> = on_layer(&entities, "OUTSIDE").collect();
        assert!(
            matches!(&outside[..], [one] if matches!(&one.specific, EntityType::Circle(c) if c.radius == 85.0))
        );
    }
}

#[test]
fn bolt_holes_lie_on_their_pitch_circle() {
    let plate = cart::hub_adapter().plate;
    let (diameter, radius, count) = cart::BOLTS;
    for release in RELEASES {
        let centres: Vec<_> = read_back(&plate_drawing(&plate), release)
            .into_iter()
            .filter_map(|entity| match entity.specific {
                EntityType::Circle(c) if c.radius == diameter / 2.0 => Some(c.center),
                _ => None,
            })
            .collect();
        assert_eq!(centres.len(), count);
        for (i, c) in centres.iter().enumerate() {
            assert_relative_eq!(c.x.hypot(c.y), radius, epsilon = TOLERANCE);
            let next = &centres[(i + 1) % count];
            // Chord of a regular pentagon on the pitch circle: 2 R sin(36 deg).
            assert_relative_eq!(
                (next.x - c.x).hypot(next.y - c.y),
                2.0 * radius * (PI / 5.0).sin(),
                epsilon = TOLERANCE
            );
        }
    }
}

#[test]
fn an_outline_is_one_closed_chain_with_its_area_and_fillets() {
    let plate = cart::pedal_bracket().plate;
    // Rectangle less four corners: each (1 - pi / 4) r^2.
    let expected = 120.0 * 60.0 - (4.0 - PI) * 64.0;
    for release in RELEASES {
        let entities = read_back(&plate_drawing(&plate), release);
        let outside: Vec<_> = on_layer(&entities, "OUTSIDE").collect();
        let [only] = &outside[..] else {
            panic!("one outline, not {}", outside.len())
        };
        let (vertices, closed) = chain(only).expect("a chain");
        assert!(closed);
        assert_relative_eq!(area(&vertices), expected, epsilon = 1e-6);
        let arcs: Vec<f64> = vertices
            .iter()
            .map(|v| v.2)
            .filter(|bulge| *bulge != 0.0)
            .collect();
        assert_eq!(arcs.len(), 4, "one bulge a fillet");
        for bulge in arcs {
            assert_relative_eq!(bulge, (PI / 8.0).tan(), epsilon = 1e-11);
        }
        // The slot runs the other way: straight part and two half discs.
        let slot: Vec<_> = on_layer(&entities, "INSIDE").collect();
        let (vertices, closed) = chain(slot[0]).expect("a chain");
        assert!(closed && slot.len() == 1);
        assert_relative_eq!(area(&vertices), -(300.0 + PI * 25.0), epsilon = 1e-6);
    }
}

#[test]
fn marks_and_folds_keep_their_layers() {
    for release in RELEASES {
        let entities = read_back(&plate_drawing(&cart::pedal_bracket().plate), release);
        let count = |layer| on_layer(&entities, layer).count();
        assert_eq!(
            (count("SCRIBE"), count("CENTRE_MARK"), count("BEND")),
            (1, 1, 1)
        );
        // Outside, slot, these, and what says where x and y count from.
        assert_eq!(count("NOTE"), 1);
        assert_eq!(entities.len(), 6);
    }
}

#[test]
fn each_cut_path_is_one_open_chain_from_its_pierce_in_cutting_order() {
    let plates = cart::plates();
    let sheet = cart::sheet(&plates);
    for release in RELEASES {
        let entities = read_back(&sheet_drawing(&sheet, &plates, SheetLines::Torch), release);
        let runs: Vec<_> = entities
            .iter()
            .filter(|e| ["OUTSIDE", "INSIDE", "SMALL_HOLE"].contains(&e.common.layer.as_str()))
            .collect();
        assert_eq!(runs.len(), sheet.plan.paths.len());
        for (entity, (_, path)) in runs.iter().zip(&sheet.plan.paths) {
            let (vertices, closed) = chain(entity).expect("a chain");
            assert!(!closed);
            assert_eq!(entity.common.layer, path.layer.name());
            assert_relative_eq!(vertices[0].0, path.pierce().x, epsilon = TOLERANCE);
            assert_relative_eq!(vertices[0].1, path.pierce().y, epsilon = TOLERANCE);
            assert_relative_eq!(length(&vertices), path.length(), epsilon = 1e-6);
            assert!(vertices.iter().all(|v| v.2.abs() <= 1.0));
        }
    }
}

#[test]
fn marking_comes_before_cutting_and_the_sheet_edge_is_its_true_size() {
    let plates = cart::plates();
    let sheet = cart::sheet(&plates);
    for release in RELEASES {
        let entities = read_back(&sheet_drawing(&sheet, &plates, SheetLines::Torch), release);
        let last_mark = entities
            .iter()
            .rposition(|e| ["CENTRE_MARK", "SCRIBE", "BEND"].contains(&e.common.layer.as_str()));
        let first_cut = entities
            .iter()
            .position(|e| ["OUTSIDE", "INSIDE", "SMALL_HOLE"].contains(&e.common.layer.as_str()));
        assert!(last_mark < first_cut && last_mark.is_some());
        let (edge, closed) = chain(&entities[0]).expect("a chain");
        assert!(closed && entities[0].common.layer == "SHEET");
        assert_relative_eq!(area(&edge), 500.0 * 400.0, epsilon = 1e-6);
        // Two adapters with a hole to tap each, and the bracket's own centre.
        let points = on_layer(&entities, "CENTRE_MARK")
            .filter(|e| matches!(e.specific, EntityType::ModelPoint(_)))
            .count();
        assert_eq!(points, 3);
    }
}

#[test]
fn bulges_read_back_to_published_arcs() {
    // x1, y1, x2, y2, bulge; centre and radius. Source: DXF geometry, centre = midpoint +
    // (1 - b^2)/(4b) (-dy, dx); definition looked up, numbers computed from it.
    let rows = [
        (0.0, 0.0, 10.0, 0.0, -1.0, 5.0, 0.0, 5.0),
        (0.0, 0.0, 10.0, 10.0, 0.414_213_562_4, 0.0, 10.0, 10.0),
        (0.0, 0.0, 4.0, 3.0, -0.5, 3.125, 0.0, 3.125),
        (-5.0, 2.0, 5.0, 2.0, 0.25, 0.0, 11.375, 10.625),
    ];
    for (x1, y1, x2, y2, bulge, cx, cy, radius) in rows {
        let piece = Segment::from_bulge(Point::new(x1, y1), Point::new(x2, y2), bulge);
        let Segment::Arc {
            centre, radius: r, ..
        } = piece
        else {
            panic!("an arc")
        };
        assert_relative_eq!(centre.x, cx, epsilon = 1e-5);
        assert_relative_eq!(centre.y, cy, epsilon = 1e-5);
        assert_relative_eq!(r, radius, epsilon = 1e-5);
        let back = Polyline::open(&[piece]);
        assert_relative_eq!(back.vertices[0].bulge, bulge, epsilon = 1e-9);
    }
}

#[test]
fn the_same_drawing_gives_the_same_bytes() {
    let plates = cart::plates();
    let sheet = cart::sheet(&plates);
    for release in RELEASES {
        let once = written(&sheet_drawing(&sheet, &plates, SheetLines::Torch), release);
        let again = written(
            &sheet_drawing(&cart::sheet(&cart::plates()), &plates, SheetLines::Torch),
            release,
        );
        assert!(once == again);
        assert!(once.is_ascii());
    }
}

#[test]
fn release_2000_says_that_it_is_in_millimetres() {
    let bytes = written(&plate_drawing(&cart::hub_adapter().plate), Release::R2000);
    let file = dxf::Drawing::load(&mut bytes.as_slice()).expect("reads");
    assert_eq!(
        file.header.default_drawing_units,
        dxf::enums::Units::Millimeters
    );
    assert_eq!(file.header.drawing_units, dxf::enums::DrawingUnits::Metric);
    assert_eq!(file.header.version, dxf::enums::AcadVersion::R2000);
    assert_eq!(file.header.minimum_drawing_extents.x, -85.0);
    assert_eq!(file.header.maximum_drawing_extents.y, 85.0);
}

#[test]
fn a_length_that_is_not_a_number_is_refused() {
    let mut drawing = Drawing::default();
    let outline = Contour::circle(Point::new(f64::NAN, 0.0), 5.0);
    drawing.add_contour(platewright::cut::Layer::Outside, &outline);
    let outcome = Dxf::default().export(&drawing);
    assert_eq!(outcome.err().map(|faults| faults.exit_code()), Some(1));
}

/// Release 2000 has a header for the unit (4 is millimetres, the published reference of the format);
/// the older one has none, so a comment says it.
#[test]
fn every_file_says_its_unit() {
    let drawing = plate_drawing(&cart::hub_adapter().plate);
    let lines = |release| -> Vec<String> {
        let text = String::from_utf8(written(&drawing, release)).expect("plain text");
        text.lines().map(|line| line.trim().to_owned()).collect()
    };
    let r2000 = lines(Release::R2000);
    let unit = r2000.iter().position(|line| line == "$INSUNITS");
    let unit = unit.expect("a header for the unit");
    assert_eq!(r2000[unit + 1..unit + 3], ["70", "4"]);
    assert_eq!(lines(Release::R12)[..2], ["999", "lengths in millimetres"]);
}
