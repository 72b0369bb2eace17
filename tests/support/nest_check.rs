//! An independent look at a layout: overlaps as areas by the `geo` crate's booleans, counts by hand.

use geo::{Area, BooleanOps, Polygon as GeoPolygon};
use platewright::geometry::Point;
use platewright::nest::{Along, Layout, Piece, Placement, Stock};

/// Areas below this, mm², are rounding.
const SLIVER: f64 = 1e-2;

/// Panics with the first thing that is wrong with a layout.
pub fn assert_sound(pieces: &[Piece], stock: &[Stock], layout: &Layout) {
    for (number, sheet) in layout.sheets.iter().enumerate() {
        let line = &stock[sheet.stock];
        let usable = ring(&line.usable);
        let metal: Vec<GeoPolygon> = sheet
            .placements
            .iter()
            .map(|placement| metal(&pieces[placement.piece], placement))
            .collect();
        for (i, shape) in metal.iter().enumerate() {
            let outside = shape.difference(&usable).unsigned_area();
            assert!(outside < SLIVER, "sheet {number}: {i} leaves by {outside}");
            for (j, other) in metal[..i].iter().enumerate() {
                let both = shape.intersection(other).unsigned_area();
                assert!(both < SLIVER, "sheet {number}: {j} and {i} share {both}");
            }
            for spot in &line.avoid {
                let both = shape.intersection(&ring(spot)).unsigned_area();
                assert!(both < SLIVER, "sheet {number}: {i} covers a spot");
            }
        }
        for (i, placement) in sheet.placements.iter().enumerate() {
            if let Some(host) = placement.inside {
                let filled = GeoPolygon::new(metal[host].exterior().clone(), vec![]);
                let beyond = metal[i].difference(&filled).unsigned_area();
                assert!(beyond < SLIVER, "sheet {number}: {i} is not inside {host}");
            }
        }
    }
    assert_counts(pieces, stock, layout);
}

/// Every copy is placed once or listed; no stock line is used more often than there is.
fn assert_counts(pieces: &[Piece], stock: &[Stock], layout: &Layout) {
    for (index, piece) in pieces.iter().enumerate() {
        let mut copies: Vec<u32> = layout
            .sheets
            .iter()
            .flat_map(|sheet| &sheet.placements)
            .filter(|placement| placement.piece == index)
            .map(|placement| placement.copy)
            .collect();
        copies.sort_unstable();
        let placed = u32::try_from(copies.len()).expect("few copies");
        assert!(copies.into_iter().eq(0..placed), "copies of {}", piece.id);
        let waiting: u32 = layout
            .unplaced
            .iter()
            .filter(|(unplaced, _)| *unplaced == index)
            .map(|(_, copies)| copies)
            .sum();
        assert_eq!(placed + waiting, piece.quantity, "{}", piece.id);
    }
    for (index, line) in stock.iter().enumerate() {
        let used = layout
            .sheets
            .iter()
            .filter(|sheet| sheet.stock == index)
            .count();
        assert!(line.quantity.is_none_or(|there| used <= there as usize));
    }
}

fn metal(piece: &Piece, placement: &Placement) -> GeoPolygon {
    let posed = |points: &[Point]| -> geo::LineString {
        points
            .iter()
            .map(|p| placement.pose.point(*p))
            .map(|p| geo::Coord { x: p.x, y: p.y })
            .collect()
    };
    GeoPolygon::new(
        posed(&piece.outline),
        piece.windows.iter().map(|window| posed(window)).collect(),
    )
}

fn ring(points: &[Point]) -> GeoPolygon {
    GeoPolygon::new(
        points
            .iter()
            .map(|p| geo::Coord { x: p.x, y: p.y })
            .collect(),
        vec![],
    )
}

/// A regular polygon.
pub fn disc(radius: f64, corners: usize) -> Vec<Point> {
    (0..corners)
        .map(|i| Point::ORIGIN.polar(radius, i as f64 / corners as f64 * std::f64::consts::TAU))
        .collect()
}

/// A polygon from coordinates.
pub fn outline(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

/// A rectangle with a corner at the origin.
pub fn rectangle(width: f64, height: f64) -> Vec<Point> {
    outline(&[(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])
}

/// Full sheets as many as needed.
pub fn sheets(width: f64, height: f64) -> Stock {
    Stock {
        along: if height > width { Along::Y } else { Along::X },
        id: "sheet".into(),
        quantity: None,
        usable: rectangle(width, height),
        avoid: Vec::new(),
        metal: Vec::new(),
        price: None,
        first: false,
    }
}
