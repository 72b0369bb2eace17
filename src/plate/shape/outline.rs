//! Segments to a region that keeps the promises of a [`Face`].
//!
//! In: a closed chain of segments. Out: a region of one face whose outside runs counter-clockwise
//! and does not cross itself, or a sentence that says where it does.

use crate::geometry::{Contour, Face, Point, Region, Segment, Turning};

/// Pieces shorter than this, mm, are left out of a chain, and nearer edges than this touch.
pub(super) const TOUCHING: f64 = 1e-6;

/// A region of one face without openings. The chain must be closed and must not cross itself.
pub(super) fn face(segments: Vec<Segment>) -> Result<Region, String> {
    let contour = contour(segments)?;
    Ok(one(contour, Vec::new()))
}

/// A region of one face.
pub(super) fn one(outside: Contour, openings: Vec<Contour>) -> Region {
    Region {
        faces: vec![Face { outside, openings }],
    }
}

/// A closed chain that does not cross itself, made to run counter-clockwise.
pub(super) fn contour(segments: Vec<Segment>) -> Result<Contour, String> {
    let whole: Vec<Segment> = segments
        .into_iter()
        .filter(|segment| segment.length() > TOUCHING)
        .collect();
    let contour = Contour::new(whole).ok_or("the outline is not closed")?;
    if let Some(p) = crossing(contour.segments()) {
        return Err(format!(
            "the outline crosses or touches itself at {}",
            place(p)
        ));
    }
    let area = contour.signed_area();
    if area.abs() < TOUCHING {
        return Err("the outline encloses nothing".to_owned());
    }
    Ok(if area > 0.0 {
        contour
    } else {
        contour.reversed()
    })
}

/// A place in a sentence: `x 12.7 mm, y 0 mm`.
pub(super) fn place(p: Point) -> String {
    use crate::quantity::format::millimetres;
    format!("x {}, y {}", millimetres(p.x), millimetres(p.y))
}

/// An arc from one angle about its centre to another, radians; it runs counter-clockwise if the
/// second is larger.
pub(super) fn arc(centre: Point, radius: f64, from: f64, to: f64) -> Segment {
    Segment::Arc {
        start: centre.polar(radius, from),
        end: centre.polar(radius, to),
        centre,
        radius,
        turning: if to >= from {
            Turning::Left
        } else {
            Turning::Right
        },
    }
}

/// Joins pieces given in order by lines wherever one does not start where the last ended.
pub(super) fn linked(pieces: &[Segment]) -> Vec<Segment> {
    let mut chain = Vec::with_capacity(pieces.len() * 2);
    for (index, piece) in pieces.iter().enumerate() {
        let before = pieces[(index + pieces.len() - 1) % pieces.len()];
        if before.end().distance(piece.start()) > TOUCHING {
            chain.push(Segment::Line {
                start: before.end(),
                end: piece.start(),
            });
        }
        chain.push(*piece);
    }
    chain
}

/// A place where two pieces of a closed chain meet that should not.
fn crossing(segments: &[Segment]) -> Option<Point> {
    let boxes: Vec<_> = segments
        .iter()
        .map(|segment| segment.bounds().grown(TOUCHING))
        .collect();
    for i in 0..segments.len() {
        for j in i + 1..segments.len() {
            if !boxes[i].meets(boxes[j]) {
                continue;
            }
            let (first, second) = (&segments[i], &segments[j]);
            let follows = j == i + 1;
            let precedes = i == 0 && j == segments.len() - 1;
            let found = match (follows, precedes) {
                (false, false) => meeting(first, second),
                (true, false) => beyond_joint(first, second),
                (false, true) => beyond_joint(second, first),
                (true, true) => None,
            };
            if found.is_some() {
                return found;
            }
        }
    }
    None
}

fn meeting(a: &Segment, b: &Segment) -> Option<Point> {
    let gap = a.gap_to(b);
    (gap.distance < TOUCHING).then_some(gap.from)
}

/// Where two neighbours meet apart from their common end: seen from the far halves of both.
fn beyond_joint(first: &Segment, second: &Segment) -> Option<Point> {
    let (start, end) = (first.direction_at(1.0), second.direction_at(0.0));
    let turns_back = start.dot(end) < 0.0 && start.cross(end).abs() < TOUCHING;
    let is_spike = turns_back
        && matches!(
            (first, second),
            (Segment::Line { .. }, Segment::Line { .. })
        );
    if is_spike {
        return Some(first.end());
    }
    let (far_first, far_second) = (half(first, 0.0), half(second, 1.0));
    meeting(&far_first, second)
        .or_else(|| meeting(first, &far_second))
        .filter(|p| p.distance(first.end()) > TOUCHING)
}

/// The half of a piece at its start (0) or end (1).
fn half(segment: &Segment, end: f64) -> Segment {
    let middle = segment.point_at(0.5);
    let (from, to) = if end == 0.0 {
        (segment.start(), middle)
    } else {
        (middle, segment.end())
    };
    match *segment {
        Segment::Line { .. } => Segment::Line {
            start: from,
            end: to,
        },
        Segment::Arc {
            centre,
            radius,
            turning,
            ..
        } => Segment::Arc {
            start: from,
            end: to,
            centre,
            radius,
            turning,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(f64, f64)]) -> Result<Contour, String> {
        let at = |i: usize| {
            let (x, y) = points[i % points.len()];
            Point::new(x, y)
        };
        contour(
            (0..points.len())
                .map(|i| Segment::Line {
                    start: at(i),
                    end: at(i + 1),
                })
                .collect(),
        )
    }

    #[test]
    fn a_clockwise_chain_is_turned_round() {
        let square = polygon(&[(0.0, 0.0), (0.0, 2.0), (2.0, 2.0), (2.0, 0.0)]);
        assert_eq!(square.map(|it| it.signed_area()), Ok(4.0));
    }

    #[test]
    fn crossings_touches_and_spikes_are_told_with_their_place() {
        let bow_tie = polygon(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)]);
        assert_eq!(
            bow_tie,
            Err("the outline crosses or touches itself at x 2 mm, y 2 mm".to_owned())
        );
        let pinched = polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)]);
        assert!(pinched.is_err());
        let spike = polygon(&[(0.0, 0.0), (4.0, 0.0), (2.0, 0.0), (2.0, 4.0)]);
        assert!(spike.is_err());
        let flat = polygon(&[(0.0, 0.0), (4.0, 0.0), (8.0, 0.0)]);
        assert!(flat.is_err());
    }

    #[test]
    fn a_touching_arc_is_found() {
        let bump = vec![
            arc(Point::new(0.0, 0.0), 2.0, std::f64::consts::PI, 0.0),
            arc(Point::new(1.0, 0.0), 1.0, 0.0, -std::f64::consts::PI),
            Segment::Line {
                start: Point::new(0.0, 0.0),
                end: Point::new(0.0, 2.0),
            },
            Segment::Line {
                start: Point::new(0.0, 2.0),
                end: Point::new(-2.0, 0.0),
            },
        ];
        assert!(contour(bump).is_err());
    }
}
