//! The shapes that steps add and cut, about their own origin.
//!
//! In: plain numbers (mm, radians). Out: a [`Region`] of true lines and arcs, or one sentence that
//! says why there is no such shape.

use std::f64::consts::{PI, TAU};

use crate::geometry::{Contour, Face, Point, Pose, Region, Segment, Turning, Vector};

/// Angles nearer to a full turn than this, radians, are a full turn.
const FULL_TURN: f64 = 1e-9;
/// Lengths below this, mm, are none.
const NOTHING: f64 = 1e-9;

/// What a shape comes to.
pub type Shaped = Result<Region, String>;

/// A disc about the origin.
pub fn disc(diameter: f64) -> Shaped {
    positive(diameter, "diameter")?;
    Ok(filled(Contour::circle(Point::ORIGIN, diameter / 2.0)))
}

/// A disc with a round hole, both about the origin.
pub fn ring(outside: f64, inside: f64) -> Shaped {
    positive(outside, "outside")?;
    positive(inside, "inside")?;
    if inside >= outside {
        return Err("the inside of a ring must be smaller than its outside".to_owned());
    }
    let hole = Contour::circle(Point::ORIGIN, inside / 2.0).reversed();
    let face = Face {
        outside: Contour::circle(Point::ORIGIN, outside / 2.0),
        openings: vec![hole],
    };
    Ok(Region { faces: vec![face] })
}

/// A rectangle about its middle, its corners rounded with `corner` mm (0 for sharp ones).
pub fn rectangle(width: f64, height: f64, corner: f64) -> Shaped {
    positive(width, "width")?;
    positive(height, "height")?;
    let (x, y) = (width / 2.0, height / 2.0);
    let corners = [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(x, y)| (Point::new(x, y), corner));
    polygon(&corners)
}

/// The polygon through some corners, each rounded with its radius in mm (0 for a sharp one), either
/// way round.
pub fn polygon(corners: &[(Point, f64)]) -> Shaped {
    let count = corners.len();
    if count < 3 {
        return Err("a polygon has at least three corners".to_owned());
    }
    let rounded: Vec<(Point, Point, Option<Segment>)> = (0..count)
        .map(|i| {
            let (before, here, after) = (
                corners[(i + count - 1) % count].0,
                corners[i],
                corners[(i + 1) % count].0,
            );
            round_corner(before, here, after).map_err(|why| format!("corner {}: {why}", i + 1))
        })
        .collect::<Result<_, _>>()?;
    let mut segments = Vec::with_capacity(2 * count);
    for i in 0..count {
        let (_, leave, arc) = rounded[i];
        let (arrive, _, _) = rounded[(i + 1) % count];
        segments.extend(arc);
        let along = arrive - leave;
        if along.dot(corners[(i + 1) % count].0 - corners[i].0) < -NOTHING {
            return Err(format!(
                "the roundings of corners {} and {} meet: use smaller radii",
                i + 1,
                (i + 1) % count + 1
            ));
        }
        if along.length() > NOTHING {
            segments.push(Segment::Line {
                start: leave,
                end: arrive,
            });
        }
    }
    let closed = closed(segments)?;
    if closed.signed_area().abs() < NOTHING {
        return Err("the corners of this polygon lie on one line".to_owned());
    }
    Ok(filled(if closed.signed_area() < 0.0 {
        closed.reversed()
    } else {
        closed
    }))
}

/// Where the rounding of a corner starts and ends, and its arc.
fn round_corner(
    before: Point,
    (corner, radius): (Point, f64),
    after: Point,
) -> Result<(Point, Point, Option<Segment>), String> {
    if radius < 0.0 || !radius.is_finite() {
        return Err("its radius is below 0".to_owned());
    }
    let there = "it lies on its neighbour";
    let arriving = (corner - before).unit().ok_or(there)?;
    let leaving = (after - corner).unit().ok_or(there)?;
    let turn = arriving.cross(leaving).atan2(arriving.dot(leaving));
    if radius <= NOTHING || turn.abs() < FULL_TURN {
        return Ok((corner, corner, None));
    }
    let back = radius * (turn.abs() / 2.0).tan();
    let (start, end) = (corner - arriving * back, corner + leaving * back);
    let (side, turning) = if turn > 0.0 {
        (arriving.left(), Turning::Left)
    } else {
        (-arriving.left(), Turning::Right)
    };
    let arc = Segment::Arc {
        start,
        end,
        centre: start + side * radius,
        radius,
        turning,
    };
    Ok((start, end, Some(arc)))
}

/// A regular polygon about its middle, `across` mm over its flats (over two parallel flats, or twice
/// the distance of a flat from the middle); a flat lies to the right.
pub fn regular_polygon(sides: u32, across: f64) -> Shaped {
    positive(across, "across")?;
    if sides < 3 {
        return Err("a regular polygon has at least 3 sides".to_owned());
    }
    let step = TAU / f64::from(sides);
    let radius = across / 2.0 / (step / 2.0).cos();
    let corners: Vec<(Point, f64)> = (0..sides)
        .map(|k| {
            (
                Point::ORIGIN.polar(radius, step * (f64::from(k) + 0.5)),
                0.0,
            )
        })
        .collect();
    polygon(&corners)
}

/// The hull of two discs: two arcs and their common tangents. If one disc holds the other, it alone.
pub fn bar(from: Point, to: Point, from_width: f64, to_width: f64) -> Shaped {
    positive(from_width, "width")?;
    positive(to_width, "width")?;
    let (a, b) = (from_width / 2.0, to_width / 2.0);
    let span = from.distance(to);
    if span <= (a - b).abs() + NOTHING {
        let (centre, radius) = if a >= b { (from, a) } else { (to, b) };
        return Ok(filled(Contour::circle(centre, radius)));
    }
    let along = (to - from).angle();
    // The tangents touch both discs at this angle to either side of the axis.
    let lean = ((a - b) / span).acos();
    let at = |centre: Point, radius: f64, side: f64| centre.polar(radius, along + side * lean);
    let arc = |start: Point, end: Point, centre: Point, radius: f64| Segment::Arc {
        start,
        end,
        centre,
        radius,
        turning: Turning::Left,
    };
    let (from_right, from_left) = (at(from, a, -1.0), at(from, a, 1.0));
    let (to_right, to_left) = (at(to, b, -1.0), at(to, b, 1.0));
    let segments = vec![
        Segment::Line {
            start: from_right,
            end: to_right,
        },
        arc(to_right, to_left, to, b),
        Segment::Line {
            start: to_left,
            end: from_left,
        },
        arc(from_left, from_right, from, a),
    ];
    closed(segments).map(filled)
}

/// A straight slot with round ends, from centre to centre.
pub fn slot(from: Point, to: Point, width: f64) -> Shaped {
    bar(from, to, width, width)
}

/// A slot with round ends along a pitch circle about the origin; its middle lies to the right.
pub fn curved_slot(circle: f64, sweep: f64, width: f64) -> Shaped {
    positive(circle, "circle")?;
    positive(width, "width")?;
    positive(sweep, "sweep")?;
    if width >= circle {
        return Err("a curved slot must be narrower than its circle".to_owned());
    }
    if sweep + 2.0 * (width / circle).asin() >= TAU {
        return Err("a curved slot must not go all the way round: use a ring".to_owned());
    }
    let (middle, half) = (circle / 2.0, width / 2.0);
    let (inner, outer) = (middle - half, middle + half);
    let (low, high) = (-sweep / 2.0, sweep / 2.0);
    let end = |angle: f64| Point::ORIGIN.polar(middle, angle);
    let mut segments = arc_about(Point::ORIGIN, outer, low, high);
    segments.extend(arc_about(end(high), half, high, high + PI));
    segments.extend(arc_about(Point::ORIGIN, inner, high, low));
    segments.extend(arc_about(end(low), half, low + PI, low + TAU));
    closed(segments).map(filled)
}

/// A piece of a disc, or of a ring if `inside` is above 0; its middle lies to the right. `corner`
/// rounds its corners, mm.
pub fn sector(outside: f64, inside: f64, sweep: f64, corner: f64) -> Shaped {
    positive(outside, "outside")?;
    positive(sweep, "sweep")?;
    if inside < 0.0 || inside >= outside {
        return Err("the inside of a sector must be smaller than its outside".to_owned());
    }
    if sweep > TAU - FULL_TURN {
        return if inside > 0.0 {
            ring(outside, inside)
        } else {
            disc(outside)
        };
    }
    let (low, high) = (-sweep / 2.0, sweep / 2.0);
    let (inner, outer) = (inside / 2.0, outside / 2.0);
    let at = |radius: f64, angle: f64| Point::ORIGIN.polar(radius, angle);
    let mut segments = arc_about(Point::ORIGIN, outer, low, high);
    segments.push(Segment::Line {
        start: at(outer, high),
        end: at(inner, high),
    });
    if inner > 0.0 {
        segments.extend(arc_about(Point::ORIGIN, inner, high, low));
    }
    segments.push(Segment::Line {
        start: at(inner, low),
        end: at(outer, low),
    });
    let plain = closed(segments).map(filled)?;
    if corner <= 0.0 {
        return Ok(plain);
    }
    let rounded = plain.round_outside(corner).map_err(|why| why.to_string())?;
    if rounded.faces.is_empty() {
        return Err("the corners of this sector are rounded away: use a smaller corner".to_owned());
    }
    Ok(rounded)
}

/// A curved bar with square ends: the centre line is an arc from `from` to `to` that rises `rise` mm
/// to the left of travel in its middle; the width changes evenly from end to end.
pub fn bow(from: Point, to: Point, rise: f64, from_width: f64, to_width: f64) -> Shaped {
    positive(from_width, "width")?;
    positive(to_width, "width")?;
    let chord = to - from;
    let Some(along) = chord.unit() else {
        return Err("the ends of a bow must lie apart".to_owned());
    };
    if rise.abs() < NOTHING {
        return tapered(from, to, along, from_width, to_width);
    }
    let span = chord.length();
    // Half the turn of the centre line, from chord and rise.
    let half_turn = 2.0 * (2.0 * rise / span).atan();
    let direction = |turned: f64| Vector::from_angle(along.angle() + turned);
    let middle = from.lerp(to, 0.5) + along.left() * rise;
    let beside = |p: Point, direction: Vector, width: f64| {
        let off = direction.left() * (width / 2.0);
        (p + off, p - off)
    };
    let (from_left, from_right) = beside(from, direction(half_turn), from_width);
    let (middle_left, middle_right) = beside(middle, along, f64::midpoint(from_width, to_width));
    let (to_left, to_right) = beside(to, direction(-half_turn), to_width);
    let right = through(from_right, middle_right, to_right);
    let left = through(to_left, middle_left, from_left);
    let segments = vec![
        right,
        Segment::Line {
            start: to_right,
            end: to_left,
        },
        left,
        Segment::Line {
            start: from_left,
            end: from_right,
        },
    ];
    let contour = closed(segments)?;
    if contour.signed_area() <= 0.0 {
        return Err("this bow is wider than its bend allows: use less rise or width".to_owned());
    }
    Ok(filled(contour))
}

/// A straight bar with square ends.
fn tapered(from: Point, to: Point, along: Vector, from_width: f64, to_width: f64) -> Shaped {
    let (a, b) = (
        along.left() * (from_width / 2.0),
        along.left() * (to_width / 2.0),
    );
    polygon(&[from - a, to - b, to + b, from + a].map(|p| (p, 0.0)))
}

/// The arc through three points, or the line if they lie on one.
fn through(start: Point, middle: Point, end: Point) -> Segment {
    let (a, b) = (middle - start, end - middle);
    // The turn from the first chord to the second is half the sweep: bulge = tan(sweep / 4).
    let turn = a.cross(b).atan2(a.dot(b));
    Segment::from_bulge(start, end, (turn / 2.0).tan())
}

/// An arc about a centre from one angle to another, either way, in pieces of at most a half turn.
fn arc_about(centre: Point, radius: f64, from: f64, to: f64) -> Vec<Segment> {
    let pieces = ((to - from).abs() / PI).ceil().max(1.0) as u32;
    let step = (to - from) / f64::from(pieces);
    let at = |k: u32| centre.polar(radius, from + step * f64::from(k));
    (0..pieces)
        .map(|k| Segment::Arc {
            start: at(k),
            end: at(k + 1),
            centre,
            radius,
            turning: if step > 0.0 {
                Turning::Left
            } else {
                Turning::Right
            },
        })
        .collect()
}

fn positive(length: f64, what: &str) -> Result<(), String> {
    if length.is_finite() && length > NOTHING {
        Ok(())
    } else {
        Err(format!("its {what} must be more than 0"))
    }
}

fn closed(segments: Vec<Segment>) -> Result<Contour, String> {
    Contour::new(segments).ok_or_else(|| "this shape has no outline".to_owned())
}

fn filled(outside: Contour) -> Region {
    let face = Face {
        outside,
        openings: Vec::new(),
    };
    Region { faces: vec![face] }
}

/// A shape flipped upside down (y becomes -y).
#[must_use]
pub const fn upside_down() -> Pose {
    // Left for right, then a half turn.
    Pose {
        mirrored: true,
        turn: PI,
        shift: Vector::new(0.0, 0.0),
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn area(shape: Shaped) -> f64 {
        shape.unwrap().area()
    }

    #[test]
    fn areas_agree_with_closed_formulas() {
        assert_relative_eq!(area(disc(10.0)), 25.0 * PI, max_relative = 1e-12);
        assert_relative_eq!(area(ring(10.0, 6.0)), 16.0 * PI, max_relative = 1e-12);
        let lost = (4.0 - PI) * 9.0;
        assert_relative_eq!(
            area(rectangle(40.0, 20.0, 3.0)),
            800.0 - lost,
            max_relative = 1e-12
        );
        let across_hexagon = 2.0 * 3.0_f64.sqrt() * 100.0;
        assert_relative_eq!(
            area(regular_polygon(6, 20.0)),
            across_hexagon,
            max_relative = 1e-12
        );
        let (o, p) = (Point::ORIGIN, Point::new(30.0, 0.0));
        assert_relative_eq!(
            area(slot(o, p, 8.0)),
            240.0 + 16.0 * PI,
            max_relative = 1e-12
        );
        // Pitch line times width, and two half discs.
        let bent = 50.0 * 0.5 * 8.0 + 16.0 * PI;
        assert_relative_eq!(
            area(curved_slot(100.0, 0.5, 8.0)),
            bent,
            max_relative = 1e-12
        );
        let piece = 0.5 * 0.7 * (900.0 - 400.0);
        assert_relative_eq!(
            area(sector(60.0, 40.0, 0.7, 0.0)),
            piece,
            max_relative = 1e-12
        );
    }

    /// Common tangents of two circles: the hull's area is two sectors, two triangles' worth of belt.
    #[test]
    fn a_tapered_bar_is_the_hull_of_its_discs() {
        let (a, b, d): (f64, f64, f64) = (20.0, 10.0, 60.0);
        let lean = ((a - b) / d).acos();
        let belt = d * lean.sin() * (a + b);
        let sectors = a * a * (PI - lean) + b * b * lean;
        let hull = bar(
            Point::new(5.0, 7.0),
            Point::new(5.0, 67.0),
            2.0 * a,
            2.0 * b,
        )
        .unwrap();
        assert_relative_eq!(hull.area(), belt + sectors, max_relative = 1e-12);
        // Lines meet arcs without a kink.
        let segments = hull.faces[0].outside.segments();
        for (i, segment) in segments.iter().enumerate() {
            let next = &segments[(i + 1) % segments.len()];
            let kink = segment.direction_at(1.0).cross(next.direction_at(0.0));
            assert!(kink.abs() < 1e-9, "kink {kink}");
        }
        assert_relative_eq!(
            area(bar(Point::ORIGIN, Point::new(3.0, 0.0), 20.0, 4.0)),
            100.0 * PI
        );
    }

    #[test]
    fn a_bow_has_its_rise_and_widths() {
        let bow = bow(Point::ORIGIN, Point::new(100.0, 0.0), 20.0, 12.0, 8.0).unwrap();
        assert!(bow.contains(Point::new(50.0, 24.9)) && !bow.contains(Point::new(50.0, 25.1)));
        assert!(bow.contains(Point::new(50.0, 15.1)) && !bow.contains(Point::new(50.0, 14.9)));
        let down = super::bow(Point::ORIGIN, Point::new(100.0, 0.0), -20.0, 10.0, 10.0).unwrap();
        assert!(down.contains(Point::new(50.0, -20.0)));
        let straight = super::bow(Point::ORIGIN, Point::new(100.0, 0.0), 0.0, 10.0, 6.0);
        assert_relative_eq!(area(straight), 800.0, max_relative = 1e-12);
    }

    #[test]
    fn roundings_are_arcs_of_the_radius_asked() {
        let corners = [
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 30.0),
            (20.0, 10.0),
            (0.0, 30.0),
        ];
        let corners = corners.map(|(x, y)| (Point::new(x, y), 4.0));
        for way in [corners.to_vec(), corners.iter().rev().copied().collect()] {
            let region = polygon(&way).unwrap();
            let radii =
                region.faces[0]
                    .outside
                    .segments()
                    .iter()
                    .filter_map(|segment| match segment {
                        Segment::Arc { radius, .. } => Some(*radius),
                        Segment::Line { .. } => None,
                    });
            assert_eq!(radii.collect::<Vec<_>>(), [4.0; 5]);
            assert!(region.area() > 0.0);
        }
    }

    #[test]
    fn impossible_shapes_say_why() {
        let said = |shape: Shaped| shape.unwrap_err();
        assert!(said(disc(0.0)).contains("diameter"));
        assert!(said(disc(f64::NAN)).contains("diameter"));
        assert!(said(ring(10.0, 10.0)).contains("smaller"));
        assert!(said(rectangle(10.0, 10.0, 6.0)).contains("meet"));
        assert!(said(polygon(&[(Point::ORIGIN, 0.0); 3])).contains("neighbour"));
        assert!(said(bow(Point::ORIGIN, Point::ORIGIN, 1.0, 2.0, 2.0)).contains("apart"));
        assert!(said(curved_slot(20.0, 6.0, 8.0)).contains("round"));
    }
}
