//! Points measured around a plate, to its outline.
//!
//! In: corners and, between them, points on arcs, in order around the plate. Out: lines and arcs through the corners,
//! each arc where it misses its points by the least squares, and how far it misses each; or a circle, if all points
//! lie on one. Points that miss by more than readings may be off are refused, with the worst of them.

use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Contour, Point, Segment, Tolerance, Vector};
use crate::quantity::format::{both_units, decimal, millimetres};

/// Points of one outline, at most.
pub const MOST: usize = 1_000;
/// A half of an arc's sweep that is looked for within this of the first guess, radians.
const REACH: f64 = 0.3;
/// Steps in which the best half sweep and the best circle are found.
const STEPS: u32 = 60;

/// One point as it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measured {
    /// Where two sides meet, rounded with a radius in mm, or 0.
    Corner(Point, f64),
    /// On an arc from the corner before to the corner after.
    OnArc(Point),
}

/// An arc, and how far it misses the points that it was found from.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedArc {
    /// The arc; of a circle, half of it.
    pub arc: Segment,
    /// How far each point lies outside it, mm; negative inside.
    pub residuals: Vec<f64>,
}

/// An outline from points.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// It, counter-clockwise.
    pub contour: Contour,
    /// Its arcs that were found from points, in order.
    pub arcs: Vec<FittedArc>,
}

/// The outline through points that may be off by so much, mm.
pub fn outline(points: &[Measured], within: f64) -> Result<Outline, Refusal> {
    if points.len() > MOST {
        let message = format!(
            "{} points are more than the {MOST} that are possible",
            points.len()
        );
        return Err(Refusal::new(message).remedy("leave out points of straight sides"));
    }
    let is_corner = |it: &Measured| matches!(it, Measured::Corner(..));
    let found = match points.iter().position(is_corner) {
        None => circle(points)?,
        Some(first) => {
            let around: Vec<Measured> = points[first..]
                .iter()
                .chain(&points[..first])
                .copied()
                .collect();
            through_corners(&around)?
        }
    };
    near_enough(&found, points, within)?;
    Ok(found)
}

/// The circle that misses points by the least squares.
fn circle(points: &[Measured]) -> Result<Outline, Refusal> {
    let points: Vec<Point> = points.iter().map(Measured::at).collect();
    let few = || {
        Refusal::new("these points make no circle")
            .remedy("measure three or more points all around it, or the corners of the outline")
    };
    if points.len() < 3 {
        return Err(few());
    }
    let count = points.len() as f64;
    let sum = points
        .iter()
        .fold(Vector::default(), |sum, p| sum + (*p - Point::ORIGIN));
    let mut centre = Point::ORIGIN + sum * (1.0 / count);
    // Gauss-Newton on centre and radius; the mean distance is the best radius for a centre.
    for _ in 0..STEPS {
        let outward = |p: &Point| (*p - centre).unit().unwrap_or_default();
        let radius = mean_distance(&points, centre);
        let mean = points
            .iter()
            .fold(Vector::default(), |sum, p| sum + outward(p))
            * (1.0 / count);
        let (mut a, mut b, mut c, mut u, mut v) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for p in &points {
            let way = outward(p) - mean;
            let off = p.distance(centre) - radius;
            a += way.x * way.x;
            b += way.x * way.y;
            c += way.y * way.y;
            u += way.x * off;
            v += way.y * off;
        }
        let det = a * c - b * b;
        if det.abs() < Tolerance::ROUNDING * count {
            return Err(few());
        }
        let step = Vector::new((c * u - b * v) / det, (a * v - b * u) / det);
        centre = centre + step;
        if step.length() < Tolerance::NOTHING {
            break;
        }
    }
    let radius = mean_distance(&points, centre);
    // Also for what is not a number.
    if !(radius > 0.0 && radius < LARGEST) {
        return Err(few());
    }
    let residuals = points.iter().map(|p| p.distance(centre) - radius).collect();
    let contour = Contour::circle(centre, radius);
    let arc = contour.segments()[0];
    Ok(Outline {
        arcs: vec![FittedArc { arc, residuals }],
        contour,
    })
}

/// Larger circles, mm in radius, are lines to a caliper.
const LARGEST: f64 = 1e5;

fn mean_distance(points: &[Point], centre: Point) -> f64 {
    points.iter().map(|p| p.distance(centre)).sum::<f64>() / points.len() as f64
}

/// Lines and arcs from corner to corner; the first point is a corner.
fn through_corners(points: &[Measured]) -> Result<Outline, Refusal> {
    let mut sides: Vec<(Segment, bool)> = Vec::new();
    let mut radii = Vec::new();
    let mut arcs = Vec::new();
    let mut at = 0;
    while at < points.len() {
        let Measured::Corner(start, radius) = points[at] else {
            break;
        };
        let between: Vec<Point> = points[at + 1..]
            .iter()
            .map_while(|it| match it {
                Measured::OnArc(p) => Some(*p),
                Measured::Corner(..) => None,
            })
            .collect();
        at += between.len() + 1;
        let end = points.get(at).unwrap_or(&points[0]).at();
        if start.distance(end) < SAME_POINT {
            let message = format!("two corners lie at {}", place(start));
            return Err(Refusal::new(message)
                .remedy("leave out one of them; an outline ends where it begins by itself"));
        }
        radii.push(radius);
        if between.is_empty() {
            sides.push((Segment::Line { start, end }, false));
        } else {
            let fitted = arc(start, end, &between)?;
            sides.push((fitted.arc, true));
            arcs.push(fitted);
        }
    }
    let few = || {
        Refusal::new("these points surround nothing")
            .remedy("measure three or more corners, or two with points on an arc between")
    };
    if sides.len() < 2 || (sides.len() == 2 && arcs.is_empty()) {
        return Err(few());
    }
    let segments = rounded(&sides, &radii)?;
    let contour = Contour::new(segments).ok_or_else(few)?;
    Ok(Outline {
        contour: contour.with_sense(1.0),
        arcs,
    })
}

/// Corners nearer than this, mm, are one.
const SAME_POINT: f64 = 1e-3;

/// The arc between two corners that misses the points between by the least squares.
fn arc(start: Point, end: Point, points: &[Point]) -> Result<FittedArc, Refusal> {
    // A chord that goes over a point of an arc turns there by half the arc's sweep (Euclid III.20).
    let (mut sum, mut weights) = (0.0, 0.0);
    for p in points {
        let (a, b) = (*p - start, end - *p);
        let weight = a.length().min(b.length());
        sum += weight * a.turn_to(b);
        weights += weight;
    }
    let guess = sum / weights;
    let along = end - start;
    let made = |half: f64| Segment::from_bulge(start, end, elementary::tan(half / 2.0));
    let off = |half: f64, p: Point| match made(half) {
        Segment::Arc { centre, radius, .. } => p.distance(centre) - radius,
        Segment::Line { .. } => along.cross(p - start) / along.length(),
    };
    let squares = |half: f64| points.iter().map(|p| off(half, *p).powi(2)).sum::<f64>();
    let (mut low, mut high) = (guess - REACH, guess + REACH);
    for _ in 0..STEPS {
        // The golden section.
        let step = (high - low) * 0.381_966_011_250_105;
        if squares(low + step) < squares(high - step) {
            high -= step;
        } else {
            low += step;
        }
    }
    let half = f64::midpoint(low, high);
    let fitted = made(half);
    // Also for what is not a number.
    if !(half.abs() < MOST_HALF && guess.is_finite()) {
        let message = format!(
            "the points between {} and {} make no arc",
            place(start),
            place(end)
        );
        return Err(Refusal::new(message).remedy(
            "see that they are in order around the plate, and measure a corner where the arc ends",
        ));
    }
    let residuals = points.iter().map(|p| off(half, *p)).collect();
    Ok(FittedArc {
        arc: fitted,
        residuals,
    })
}

/// An arc goes round by less than twice this, radians.
const MOST_HALF: f64 = 3.0;

/// The sides with their corners rounded.
fn rounded(sides: &[(Segment, bool)], radii: &[f64]) -> Result<Vec<Segment>, Refusal> {
    let count = sides.len();
    // How much each corner takes of the sides beside it.
    let mut taken = vec![0.0; count];
    for at in 0..count {
        if radii[at] <= 0.0 {
            continue;
        }
        let ((before, one), (after, other)) = (sides[(at + count - 1) % count], sides[at]);
        let corner = after.start();
        if one || other {
            let message = format!(
                "the corner at {} has a radius, and an arc ends there",
                place(corner)
            );
            return Err(
                Refusal::new(message).remedy("give radii to corners between straight sides only")
            );
        }
        let turn = before.direction_at(1.0).turn_to(after.direction_at(0.0));
        taken[at] = radii[at] * elementary::tan(turn.abs() / 2.0);
    }
    let mut made = Vec::new();
    for at in 0..count {
        let (side, is_arc) = sides[at];
        let next = (at + 1) % count;
        if is_arc {
            made.push(side);
            continue;
        }
        let room = side.length();
        let wanted = taken[at] + taken[next];
        if wanted.is_nan() || wanted > room + SAME_POINT {
            let message = format!(
                "the radii at {} and {} leave nothing of the side between",
                place(side.start()),
                place(side.end())
            );
            return Err(
                Refusal::new(message).remedy("measure them again, or measure points on the arc")
            );
        }
        let along = side.direction_at(0.0).unit().unwrap_or_default();
        let (start, end) = (
            side.start() + along * taken[at],
            side.end() + along * -taken[next],
        );
        if start.distance(end) > SAME_POINT {
            made.push(Segment::Line { start, end });
        }
        if taken[next] > 0.0 {
            let (after, _) = sides[next];
            let onward = after.direction_at(0.0).unit().unwrap_or_default();
            let turn = along.turn_to(onward);
            let from = if start.distance(end) > SAME_POINT {
                end
            } else {
                start
            };
            let to = after.start() + onward * taken[next];
            made.push(Segment::from_bulge(from, to, elementary::tan(turn / 4.0)));
        }
    }
    Ok(made)
}

/// Refuses points that lie further off than they may.
fn near_enough(found: &Outline, points: &[Measured], within: f64) -> Result<(), Refusal> {
    let all = found
        .arcs
        .iter()
        .flat_map(|it| it.residuals.iter().copied());
    let on_arcs = points.iter().filter(|it| matches!(it, Measured::OnArc(_)));
    // Arcs begin with the first corner, and so do their points.
    let corner = points
        .iter()
        .position(|it| matches!(it, Measured::Corner(..)));
    let before = points[..corner.unwrap_or(0)].len();
    let mut on_arcs: Vec<&Measured> = on_arcs.collect();
    on_arcs.rotate_left(before);
    let worst = all
        .zip(on_arcs)
        .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    let Some((off, point)) = worst.filter(|(off, _)| off.abs() > within) else {
        return Ok(());
    };
    let message = format!(
        "the reading at {} lies {} off the arc through the others, and readings are within {}",
        place(point.at()),
        both_units(off.abs()),
        millimetres(within)
    );
    Err(Refusal::new(message).remedy(
        "measure it again; if the edge is not one arc there, measure a corner where one ends; or give a larger --within",
    ))
}

fn place(p: Point) -> String {
    format!("x {}, y {}", millimetres(p.x), millimetres(p.y))
}

impl Measured {
    /// Where it is, mm.
    #[must_use]
    pub const fn at(&self) -> Point {
        match self {
            Self::Corner(at, _) | Self::OnArc(at) => *at,
        }
    }
}

impl Outline {
    /// The outline as path data of SVG, mm, y up.
    #[must_use]
    pub fn path(&self) -> String {
        let xy = |p: Point| format!("{} {}", decimal(p.x, 4), decimal(p.y, 4));
        let segments = self.contour.segments();
        let mut data = format!("M {}", xy(segments[0].start()));
        for segment in segments {
            data += &match segment {
                Segment::Line { end, .. } => format!(" L {}", xy(*end)),
                Segment::Arc { radius, end, .. } => {
                    let sweep = segment.sweep();
                    let large = u8::from(sweep.abs() > std::f64::consts::PI);
                    let turns_left = u8::from(sweep > 0.0);
                    let radius = decimal(*radius, 4);
                    format!(" A {radius} {radius} 0 {large} {turns_left} {}", xy(*end))
                }
            };
        }
        data + " Z"
    }
}

impl FittedArc {
    /// Its radius, mm; `None` if it is a line.
    #[must_use]
    pub const fn radius(&self) -> Option<f64> {
        match self.arc {
            Segment::Arc { radius, .. } => Some(radius),
            Segment::Line { .. } => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn corner(x: f64, y: f64) -> Measured {
        Measured::Corner(Point::new(x, y), 0.0)
    }

    fn on_arc(about: (f64, f64), radius: f64, degrees: f64, off: f64) -> Measured {
        let about = Point::new(about.0, about.1);
        Measured::OnArc(about.polar(radius + off, degrees.to_radians()))
    }

    #[test]
    fn an_eye_with_straight_sides_has_its_area() {
        // A rectangle of 60 by 40 with a half disc of 20 on its right: 2400 + 200 pi.
        let readings = [
            on_arc((60.0, 0.0), 20.0, -45.0, 0.02),
            on_arc((60.0, 0.0), 20.0, 0.0, -0.02),
            on_arc((60.0, 0.0), 20.0, 45.0, 0.02),
            corner(60.0, 20.0),
            corner(0.0, 20.0),
            corner(0.0, -20.0),
            corner(60.0, -20.0),
        ];
        let found = outline(&readings, 0.05).expect("an outline");
        let area = 2400.0 + 200.0 * PI;
        assert!(
            (found.contour.signed_area() - area).abs() < 1.0,
            "{}",
            found.contour.signed_area()
        );
        let [arc] = found.arcs.as_slice() else {
            panic!("one arc");
        };
        assert!((arc.radius().expect("an arc") - 20.0).abs() < 0.02);
        // The signs of the residuals are those of the readings.
        assert!(arc.residuals[0] > 0.0 && arc.residuals[1] < 0.0 && arc.residuals[2] > 0.0);
        let region = crate::plate::shape::path(&found.path()).expect("a path");
        assert!((region.area() - found.contour.signed_area()).abs() < 0.01);
        let far = on_arc((60.0, 0.0), 20.0, 30.0, 0.5);
        let said = outline(&[&readings[..3], &[far], &readings[3..]].concat(), 0.05);
        let said = said.expect_err("it is off").to_string();
        let at = far.at();
        assert!(said.contains(&format!("x {}", millimetres(at.x))), "{said}");
    }

    #[test]
    fn points_all_around_make_the_circle_of_least_squares() {
        // Off by the same to and fro, evenly around: by symmetry the circle is the true one.
        let readings: Vec<Measured> = (0..6)
            .map(|k| {
                on_arc(
                    (7.0, -3.0),
                    45.0,
                    f64::from(k) * 60.0,
                    if k % 2 == 0 { 0.03 } else { -0.03 },
                )
            })
            .collect();
        let found = outline(&readings, 0.05).expect("a circle");
        let circle = found.contour.as_circle().expect("a circle");
        assert!((circle.radius - 45.0).abs() < 1e-9);
        assert!(circle.centre.distance(Point::new(7.0, -3.0)) < 1e-9);
        assert!(outline(&readings, 0.02).is_err());
        assert!(outline(&readings[..2], 0.1).is_err());
    }

    #[test]
    fn corners_are_rounded_where_a_radius_was_measured() {
        let round = |x, y| Measured::Corner(Point::new(x, y), 5.0);
        let readings = [
            round(0.0, 0.0),
            round(0.0, 40.0),
            round(80.0, 40.0),
            round(80.0, 0.0),
        ];
        let found = outline(&readings, 0.05).expect("an outline");
        let area = 3200.0 - (4.0 - PI) * 25.0;
        assert!((found.contour.signed_area() - area).abs() < 1e-9);
        let large = |x, y| Measured::Corner(Point::new(x, y), 25.0);
        let readings = [
            large(0.0, 0.0),
            large(80.0, 0.0),
            large(80.0, 40.0),
            large(0.0, 40.0),
        ];
        let said = outline(&readings, 0.05).expect_err("no room").to_string();
        assert!(said.contains("leave nothing of the side"), "{said}");
        let two = [corner(0.0, 0.0), corner(5.0, 0.0)];
        assert!(outline(&two, 0.05).is_err());
        assert!(outline(&[corner(0.0, 0.0), corner(0.0, 0.0), corner(1.0, 1.0)], 0.1).is_err());
    }
}
