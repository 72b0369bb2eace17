//! What a line beside an edge should go around.
//!
//! In: the chords of an edge, how far beside it a line runs, and the area that the line goes around.
//! Out: nothing if that is as it has to be, else the area that it should be. Plane geometry tells in no
//! time; only where it differs is an engine of whole numbers asked, which knows what becomes of edges that
//! bend away right beside a sharp corner.

use geo::{Coord, LineString, Polygon};
use geo_clipper::{ClipperInt, EndType, JoinType};

use super::chords::{CHORD, Chain, area, length};
use crate::elementary;

/// Steps of the engine per mm.
const PER_MM: f64 = 1e6;

/// The area that a line `by` mm outside of a ring (inside, below 0) should go around, if `found` is off it
/// by more than `slack`, mm².
pub(super) fn refuted(ring: &Chain, by: f64, found: f64, slack: f64) -> Option<f64> {
    let is_off = |wanted: &f64| (found - wanted).abs() > slack;
    Some(by_geometry(ring, by))
        .filter(is_off)
        .map(|_| by_engine(ring, by))
        .filter(is_off)
}

/// The area within a line `by` mm outside of a ring (inside, below 0): round at corners that stand out
/// to that side, sharp at the others. Plane geometry: a strip beside each edge, a sector at each corner
/// of the one kind, and two right triangles less at each of the other. Wrong near a corner of the other kind
/// whose edges bend away before the triangles end.
fn by_geometry(ring: &Chain, by: f64) -> f64 {
    let way = area(ring).signum() * by.signum();
    let corners = ring.len() - 1;
    let direction = |k: usize| {
        let (a, b) = (ring[k % corners], ring[k % corners + 1]);
        elementary::atan2(b[1] - a[1], b[0] - a[0])
    };
    let turns = (0..corners).map(|k| {
        let turn = direction(k + 1) - direction(k);
        let turn =
            (turn + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
        let turn = turn * way;
        if turn > 0.0 {
            turn / 2.0
        } else {
            elementary::tan(turn / 2.0)
        }
    });
    let corners: f64 = turns.sum();
    area(ring).abs() + by * length(ring) + by.signum() * by * by * corners
}

/// The same by the engine.
fn by_engine(ring: &Chain, by: f64) -> f64 {
    let corner = |[x, y]: &[f64; 2]| Coord {
        x: (x * PER_MM).round() as i64,
        y: (y * PER_MM).round() as i64,
    };
    let line: LineString<i64> = ring.iter().map(corner).collect();
    let joint = JoinType::Round(CHORD * PER_MM);
    let grown = Polygon::new(line, Vec::new()).offset(by * PER_MM, joint, EndType::ClosedPolygon);
    let around = |polygon: &Polygon<i64>| {
        let corners = polygon.exterior().0.iter();
        let chain: Chain = corners
            .map(|it| [it.x as f64 / PER_MM, it.y as f64 / PER_MM])
            .collect();
        area(&chain).abs()
    };
    grown.iter().map(around).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-9, "{a} {b}");
    }

    #[test]
    fn the_area_beside_a_square_is_known() {
        let square: Chain = vec![
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 10.0],
            [0.0, 10.0],
            [0.0, 0.0],
        ];
        let back: Chain = square.iter().rev().copied().collect();
        for ring in [square, back] {
            close(by_geometry(&ring, 1.0), 100.0 + 40.0 + std::f64::consts::PI);
            close(by_geometry(&ring, -1.0), 64.0);
        }
    }

    /// The area of two discs of one radius as one, their centres this far apart: both, less the two equal
    /// segments of what they share.
    fn two_discs(radius: f64, apart: f64) -> f64 {
        let half_angle = (apart / 2.0 / radius).acos();
        let segment = radius * radius * (half_angle - half_angle.sin() * half_angle.cos());
        2.0 * std::f64::consts::PI * radius * radius - 2.0 * segment
    }

    #[test]
    fn arcs_that_bend_away_from_a_deep_notch_are_no_flaw() {
        let (radius, apart, by) = (3.75_f64, 7.1, 0.8);
        let notch = (apart / 2.0 / radius).acos();
        let steps = 400;
        let sweep = 2.0 * (std::f64::consts::PI - notch);
        let half = |side: f64| {
            (0..=steps).map(move |k| {
                let angle = notch + sweep * f64::from(k) / f64::from(steps);
                let (sin, cos) = angle.sin_cos();
                [side * (radius * cos - apart / 2.0), side * radius * sin]
            })
        };
        let mut ring: Chain = half(1.0).chain(half(-1.0)).collect();
        ring.push(ring[0]);
        assert!((area(&ring) - two_discs(radius, apart)).abs() < 0.01);
        let exact = two_discs(radius + by, apart);
        let slack = 0.02 * length(&ring) + by * by;
        assert!(
            (by_geometry(&ring, by) - exact).abs() > 0.2,
            "{}",
            by_geometry(&ring, by) - exact
        );
        assert!((by_engine(&ring, by) - exact).abs() < 0.05);
        assert_eq!(refuted(&ring, by, exact, slack), None);
        let wanted = refuted(&ring, by, exact - 2.0 * slack, slack);
        assert!(wanted.is_some_and(|it| (it - exact).abs() < 0.05));
    }
}
