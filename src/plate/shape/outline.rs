//! Segments to a region that keeps the promises of a [`Face`](crate::geometry::Face).
//!
//! In: a closed chain of segments. Out: a region of one face whose outside runs counter-clockwise
//! and does not cross itself, or a sentence that says where it does.

use std::ops::Range;

use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

use super::Shaped;
use crate::fault::Refusal;
use crate::geometry::{Bounds, Contour, Point, Segment, Turning};

/// Pieces shorter than this, mm, are left out of a chain, and nearer edges than this touch.
pub(super) const TOUCHING: f64 = 1e-6;

/// A region of one face without openings. The chain must be closed and must not cross itself.
pub(super) fn face(segments: Vec<Segment>) -> Shaped {
    Ok(contour(segments)?.into())
}

/// The same of a chain that is so many times its first pieces, turned about the origin: where they keep clear of
/// all, so does every other.
pub(super) fn turned_face(segments: Vec<Segment>, times: usize) -> Shaped {
    let whole = whole(segments)?;
    let looked_at = whole.segments().len().div_ceil(times);
    Ok(sound(whole, looked_at)?.into())
}

/// A closed chain that does not cross itself, made to run counter-clockwise.
pub(super) fn contour(segments: Vec<Segment>) -> Result<Contour, Refusal> {
    sound(whole(segments)?, usize::MAX)
}

/// A closed chain without the pieces that are too short to count.
fn whole(mut segments: Vec<Segment>) -> Result<Contour, Refusal> {
    segments.retain(|segment| segment.length() > TOUCHING);
    Contour::new(segments).ok_or_else(|| Refusal::new("the outline is not closed"))
}

/// A closed chain, made to run counter-clockwise, of which so many of the first pieces meet none behind them.
fn sound(contour: Contour, looked_at: usize) -> Result<Contour, Refusal> {
    if let Some(p) = crossing_of([&contour], looked_at) {
        return Err(crossed(&place(p)));
    }
    let area = contour.signed_area();
    if area.abs() < TOUCHING {
        return Err(Refusal::new("the outline encloses nothing"));
    }
    Ok(if area > 0.0 {
        contour
    } else {
        contour.reversed()
    })
}

/// What is said of an outline that meets itself.
pub(super) fn crossed(place: &str) -> Refusal {
    Refusal::new(format!("the outline crosses or touches itself at {place}"))
        .remedy("draw it so that it keeps clear of itself there")
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
        turning: Turning::of(to - from),
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

/// A place where pieces of some contours meet that should not: one contour meets itself, or another.
pub(in crate::plate) fn crossing<'a>(
    contours: impl IntoIterator<Item = &'a Contour>,
) -> Option<Point> {
    crossing_of(contours, usize::MAX)
}

/// The same, where only so many of the first pieces are held against those behind them.
fn crossing_of<'a>(
    contours: impl IntoIterator<Item = &'a Contour>,
    looked_at: usize,
) -> Option<Point> {
    let mut pieces = Vec::new();
    for contour in contours {
        let (first, count) = (pieces.len(), contour.segments().len());
        pieces.extend(contour.segments().iter().map(|piece| Linked {
            piece,
            chain: first..first + count,
        }));
    }
    let boxes = pieces.iter().enumerate().map(|(place, it)| {
        let Bounds { min, max } = it.piece.bounds().grown(TOUCHING);
        let corners = Rectangle::from_corners([min.x, min.y], [max.x, max.y]);
        GeomWithData::new(corners, place)
    });
    let index = RTree::bulk_load(boxes.collect());
    let first = pieces.iter().enumerate().take(looked_at);
    let pairs = first.flat_map(|(i, one)| {
        let around = one.piece.bounds().grown(TOUCHING).envelope();
        let near = index.locate_in_envelope_intersecting(around);
        let later = near.map(|it| it.data).filter(move |j| *j > i);
        later.map(move |j| (i, j))
    });
    pairs
        .filter_map(|(i, j)| Some((i, j, pieces[i].meeting(i, &pieces[j], j)?)))
        .min_by_key(|(i, j, _)| (*i, *j))
        .map(|(_, _, place)| place)
}

/// A piece of a closed chain.
struct Linked<'a> {
    piece: &'a Segment,
    /// Where the pieces of its chain lie among all.
    chain: Range<usize>,
}

impl Linked<'_> {
    /// Where this piece `i` meets a later piece `j` and should not.
    fn meeting(&self, i: usize, other: &Self, j: usize) -> Option<Point> {
        let (first, second) = (self.piece, other.piece);
        if self.chain != other.chain {
            return meeting(first, second);
        }
        let follows = j == i + 1;
        let precedes = i == self.chain.start && j + 1 == self.chain.end;
        match (follows, precedes) {
            (false, false) => meeting(first, second),
            (true, false) => beyond_joint(first, second),
            (false, true) => beyond_joint(second, first),
            (true, true) => None,
        }
    }
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

    fn polygon(points: &[(f64, f64)]) -> Result<Contour, Refusal> {
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
        assert_eq!(bow_tie, Err(crossed("x 2 mm, y 2 mm")));
        let pinched = polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)]);
        assert!(pinched.is_err());
        let spike = polygon(&[(0.0, 0.0), (4.0, 0.0), (2.0, 0.0), (2.0, 4.0)]);
        assert!(spike.is_err());
        let flat = polygon(&[(0.0, 0.0), (4.0, 0.0), (8.0, 0.0)]);
        assert!(flat.is_err());
    }

    #[test]
    fn a_turned_chain_crosses_itself_where_its_first_piece_does() {
        let star = |skip: usize, times: usize| {
            let corner = |i: usize| {
                let turn = std::f64::consts::TAU * (i * skip) as f64 / times as f64;
                Point::ORIGIN.polar(10.0, turn)
            };
            let sides = (0..times).map(|i| Segment::Line {
                start: corner(i),
                end: corner(i + 1),
            });
            turned_face(sides.collect(), times)
        };
        for times in [5, 7, 11] {
            assert!(star(1, times).is_ok());
            for skip in 2..times / 2 {
                let why = star(skip, times).expect_err("a star crosses itself");
                assert!(why.to_string().contains("crosses"), "{why}");
            }
        }
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
