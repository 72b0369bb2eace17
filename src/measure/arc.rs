//! The circle of an arc: from three points on it, or from a chord and its rise.

use super::Round;
use crate::fault::Refusal;
use crate::geometry::Point;

/// The circle through three points; each coordinate may be `off` mm out. Also gives its centre.
#[must_use]
pub fn through(points: [Point; 3], off: f64) -> Option<(Round, Point)> {
    let readings: Vec<f64> = points.iter().flat_map(|p| [p.x, p.y]).collect();
    let round = Round::worked_out(&readings, off, |r| {
        let at = |k: usize| Point::new(r[2 * k], r[2 * k + 1]);
        let centre = centre(at(0), at(1), at(2))?;
        Some(2.0 * centre.distance(at(0)))
    })?;
    Some((round, centre(points[0], points[1], points[2])?))
}

/// The point as far from each of three; `None` if they lie on a line.
fn centre(a: Point, b: Point, c: Point) -> Option<Point> {
    /// Height of the triangle over its longest side, as a share, that counts as none.
    const FLAT: f64 = 1e-9;
    let (u, v) = (b - a, c - a);
    let area = 2.0 * u.cross(v);
    let longest = u.dot(u).max(v.dot(v)).max((c - b).dot(c - b));
    if area.abs() <= FLAT * longest {
        return None;
    }
    let (uu, vv) = (u.dot(u), v.dot(v));
    Some(Point::new(
        a.x + (v.y * uu - u.y * vv) / area,
        a.y + (u.x * vv - v.x * uu) / area,
    ))
}

/// The circle of an arc by its chord and its rise, the height of the arc over the middle of the
/// chord: D = c² / (4 h) + h (Machinery's Handbook, circular segments).
#[must_use]
pub fn from_rise(chord: f64, rise: f64, off: f64) -> Option<Round> {
    Round::worked_out(&[chord, rise], off, |r| {
        (r[0] > 0.0 && r[1] > 0.0).then(|| r[0] * r[0] / (4.0 * r[1]) + r[1])
    })
}

/// The circle through three points as it is told, or why there is none.
pub fn circle_through(points: [Point; 3], off: f64) -> Result<(Round, Point), Refusal> {
    through(points, off).ok_or_else(|| {
        Refusal::new("these three points lie on a line, or nearly")
            .remedy("take them further apart along the arc")
    })
}

/// The circle of a chord and the rise over its middle as it is told, or why there is none.
pub fn circle_of_rise(chord: f64, rise: f64, off: f64) -> Result<Round, Refusal> {
    from_rise(chord, rise, off).ok_or_else(|| {
        Refusal::new("the rise is no larger than what it may be off")
            .remedy("use a longer chord, or a finer gauge and --within")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_points_and_a_rise_find_their_circle() {
        let about = Point::new(12.0, -7.0);
        let points = [0.3, 1.1, 2.0].map(|angle| about.polar(50.0, angle));
        let (round, found) = through(points, 0.05).expect("a circle");
        assert!((round.diameter - 100.0).abs() < 1e-9 && found.distance(about) < 1e-9);
        // 3-4-5: a chord of 8 with a rise of 2 lies on a circle of 10.
        let round = from_rise(8.0, 2.0, 0.0).expect("a circle");
        assert!((round.diameter - 10.0).abs() < 1e-12 && round.within == 0.0);
    }

    #[test]
    fn a_flat_arc_is_less_certain_than_a_deep_one() {
        let of = |chord, rise| from_rise(chord, rise, 0.05).expect("a circle");
        assert!(of(100.0, 1.0).within > 20.0 * of(100.0, 20.0).within);
        // dD/dc = c / 2h, dD/dh = 1 - c² / 4h²: 0.05 (2.5 + 5.25) to first order.
        assert!((of(100.0, 20.0).within - 0.05 * (2.5 + 5.25)).abs() < 0.01);
    }

    #[test]
    fn points_on_a_line_make_no_circle() {
        let line = [0.0, 1.0, 2.0].map(|x| Point::new(x, 3.0 * x));
        assert_eq!(through(line, 0.05), None);
        assert_eq!(from_rise(10.0, 0.0, 0.05), None);
    }
}
