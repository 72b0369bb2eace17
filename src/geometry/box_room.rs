//! Room for an upright or turned box in a face: where words fit on metal.
//!
//! In: a face, the size of the box, turns to try, and lines to keep off. Out: the place on a grid
//! where the box is farthest from every edge and line. Guaranteed: the box lies in the metal, at
//! least the clearance asked from every edge, opening and line, to within a hundredth of it.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::{Bounds, Face, Point, Pose, Segment, Vector};

/// Places tried along the longer side of a face.
const GRID: f64 = 24.0;

/// Chords stray from arcs by at most this share of the clearance.
const CHORD_SHARE: f64 = 0.01;

/// What a box keeps off, and how it may be turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clear<'a> {
    /// How far it keeps from every edge, mm; above 0.
    pub clearance: f64,
    /// Turns to try, radians; of two with equal room the first wins.
    pub turns: &'a [f64],
    /// Lines to keep off as from edges.
    pub lines: &'a [Segment],
}

/// The room in a face for boxes of any size.
pub struct Rooms<'a> {
    face: &'a Face,
    clearance: f64,
    /// The turns with the edges as they lie then.
    turned: Vec<(f64, Chords)>,
}

/// Where a box has most room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoxRoom {
    /// The middle of the box.
    pub middle: Point,
    /// Its turn, radians.
    pub turn: f64,
    /// How far it is from the nearest edge or line, mm.
    pub clearance: f64,
}

impl Face {
    /// The room in it for boxes.
    #[must_use]
    pub fn rooms(&self, clear: &Clear) -> Rooms<'_> {
        let turned = clear.turns.iter().map(|turn| {
            let level = Pose::new(-turn, Vector::new(0.0, 0.0));
            (*turn, Chords::of(self, clear, &level))
        });
        Rooms {
            face: self,
            clearance: clear.clearance,
            turned: turned.collect(),
        }
    }
}

impl Rooms<'_> {
    /// The roomiest place for a box among those tried, `width` mm along its foot and `height` mm across;
    /// `None` if it fits at none of them.
    #[must_use]
    pub fn place_for(&self, width: f64, height: f64) -> Option<BoxRoom> {
        let half = Vector::new(width / 2.0, height / 2.0);
        let rooms = self.turned.iter().filter_map(|(turn, chords)| {
            let (middle, clearance) = chords.roomiest(self.face, half, self.clearance, *turn)?;
            Some(BoxRoom {
                middle,
                turn: *turn,
                clearance,
            })
        });
        rooms.reduce(|best, room| {
            if room.clearance > best.clearance {
                room
            } else {
                best
            }
        })
    }
}

/// The box of one edge or line, and which chords are its.
type Stretch = GeomWithData<Rectangle<[f64; 2]>, (usize, usize)>;

/// Edges and lines as chords, turned so that the box lies level.
struct Chords {
    pairs: Vec<(Point, Point)>,
    /// Which chords lie where: those of one edge or line together.
    index: RTree<Stretch>,
    bounds: Bounds,
}

impl Chords {
    fn of(face: &Face, clear: &Clear, level: &Pose) -> Self {
        let tolerance = clear.clearance * CHORD_SHARE;
        let mut pairs = Vec::new();
        let mut boxes = Vec::new();
        let mut put = |more: &mut dyn Iterator<Item = (Point, Point)>| {
            let first = pairs.len();
            pairs.extend(more);
            let ends = pairs[first..].iter().flat_map(|(a, b)| [*a, *b]);
            let Bounds { min, max } = Bounds::around(ends);
            let corners = Rectangle::from_corners([min.x, min.y], [max.x, max.y]);
            boxes.push(GeomWithData::new(corners, (first, pairs.len())));
        };
        let edges = face.contours().flat_map(|it| it.segments().iter());
        for line in edges.chain(clear.lines) {
            let points = line.posed(level).flattened(tolerance);
            put(&mut points.windows(2).map(|two| (two[0], two[1])));
        }
        Self {
            index: RTree::bulk_load(boxes),
            pairs,
            bounds: face.outside.posed(level).bounds(),
        }
    }

    /// The middle of the roomiest box, in the face's own coordinates, and its clearance.
    fn roomiest(
        &self,
        face: &Face,
        half: Vector,
        clearance: f64,
        turn: f64,
    ) -> Option<(Point, f64)> {
        let step = self.bounds.width().max(self.bounds.height()) / GRID;
        let back = Pose::new(turn, Vector::new(0.0, 0.0));
        let mut best: Option<(Point, f64)> = None;
        let (from, to) = (self.bounds.min + half, self.bounds.max - half);
        // Rounding to an even split keeps the grid symmetric, so that the middle is tried.
        let places = |length: f64| 2 * ((length / step / 2.0).ceil() as u32);
        if to.x < from.x || to.y < from.y {
            return None;
        }
        let (columns, rows) = (places(to.x - from.x), places(to.y - from.y));
        // The chord that left no room at one place most often leaves none at the next.
        let mut last = 0;
        for row in 0..=rows {
            for column in 0..=columns {
                let share = |k: u32, of: u32| f64::from(k) / f64::from(of.max(1));
                let middle = Point::new(
                    from.x + (to.x - from.x) * share(column, columns),
                    from.y + (to.y - from.y) * share(row, rows),
                );
                let wanted = best.map_or(clearance, |(_, best)| best);
                let Some(clearance) = self.clearance(middle, half, wanted, &mut last) else {
                    continue;
                };
                let place = back.point(middle);
                if face.contains(place) {
                    best = Some((place, clearance));
                }
            }
        }
        best
    }

    /// How far the nearest chord is from a box; `None` if that is not more than `wanted`. The chord
    /// `first` is looked at first, and the one that is too near put there.
    fn clearance(
        &self,
        middle: Point,
        half: Vector,
        wanted: f64,
        first: &mut usize,
    ) -> Option<f64> {
        let is_near = |index: usize| {
            let (a, b) = self.pairs[index];
            let (a, b) = (a - middle, b - middle);
            at_least(a, b, half) <= wanted && box_gap(a, b, half) <= wanted
        };
        if self.pairs.is_empty() || is_near(*first) {
            return None;
        }
        let reach = half + Vector::new(wanted, wanted);
        let (low, high) = (middle - reach, middle + reach);
        let around = AABB::from_corners([low.x, low.y], [high.x, high.y]);
        let near = self.index.locate_in_envelope_intersecting(around);
        let mut near = near.flat_map(|boxed| boxed.data.0..boxed.data.1);
        if let Some(chord) = near.find(|chord| is_near(*chord)) {
            *first = chord;
            return None;
        }
        let nearest = self.pairs.iter().fold(f64::INFINITY, |nearest, (a, b)| {
            let (a, b) = (*a - middle, *b - middle);
            if at_least(a, b, half) < nearest {
                nearest.min(box_gap(a, b, half))
            } else {
                nearest
            }
        });
        Some(nearest)
    }
}

/// A distance that a chord keeps at least from the box of half-size `half` around the origin: that of
/// the boxes along either axis; below 0 if it says nothing.
fn at_least(a: Vector, b: Vector, half: Vector) -> f64 {
    let along_x = a.x.min(b.x).max(-a.x.max(b.x)) - half.x;
    let along_y = a.y.min(b.y).max(-a.y.max(b.y)) - half.y;
    along_x.max(along_y)
}

/// The distance from a chord to the box of half-size `half` around the origin; 0 if they meet.
fn box_gap(a: Vector, b: Vector, half: Vector) -> f64 {
    if meets(a, b, half) {
        return 0.0;
    }
    let squared = |v: Vector| v.dot(v);
    let corners = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
        .map(|(x, y)| Vector::new(half.x * x, half.y * y));
    let ends = [a, b].map(|p| {
        let over = Vector::new((p.x.abs() - half.x).max(0.0), (p.y.abs() - half.y).max(0.0));
        squared(over)
    });
    let along = b - a;
    let to_corner = corners.map(|corner| {
        let share = (corner - a).dot(along) / squared(along).max(f64::MIN_POSITIVE);
        squared(a + along * share.clamp(0.0, 1.0) - corner)
    });
    let least = ends.into_iter().chain(to_corner);
    least.fold(f64::INFINITY, f64::min).sqrt()
}

/// Whether a chord meets a box around the origin (clipping against its four sides in turn: Liang and
/// Barsky, 1984).
fn meets(a: Vector, b: Vector, half: Vector) -> bool {
    let along = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (start, way, reach) in [(a.x, along.x, half.x), (a.y, along.y, half.y)] {
        if way == 0.0 {
            if start.abs() > reach {
                return false;
            }
            continue;
        }
        let (first, second) = ((-reach - start) / way, (reach - start) / way);
        enter = enter.max(first.min(second));
        leave = leave.min(first.max(second));
    }
    enter <= leave
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use super::*;
    use crate::geometry::Contour;

    fn rectangle(width: f64, height: f64) -> Contour {
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
        Contour::polygon(&corners.map(|(x, y)| Point::new(x, y))).expect("a rectangle")
    }

    fn strip() -> Face {
        let hole = Contour::circle(Point::new(25.0, 10.0), 6.0).reversed();
        Face {
            outside: rectangle(100.0, 20.0),
            openings: vec![hole],
        }
    }

    fn found(
        face: &Face,
        (width, height): (f64, f64),
        turns: &[f64],
        lines: &[Segment],
    ) -> Option<BoxRoom> {
        let clear = Clear {
            clearance: 2.0,
            turns,
            lines,
        };
        face.rooms(&clear).place_for(width, height)
    }

    #[test]
    fn a_box_keeps_its_clearance_from_edge_and_opening() {
        let room = found(&strip(), (40.0, 8.0), &[0.0], &[]).expect("room");
        // Right of the hole, whose edge is at x = 31, and half way up.
        assert!((room.middle.y - 10.0).abs() < 1.0);
        assert!(room.middle.x - 20.0 >= 33.0 && room.middle.x + 20.0 <= 98.0);
        assert!(room.clearance >= 2.0);
    }

    #[test]
    fn a_box_that_fits_nowhere_has_no_room() {
        assert_eq!(found(&strip(), (66.0, 8.0), &[0.0], &[]), None);
        assert_eq!(found(&strip(), (10.0, 17.0), &[0.0], &[]), None);
        assert_eq!(found(&strip(), (200.0, 4.0), &[0.0], &[]), None);
    }

    #[test]
    fn a_turn_is_used_where_it_helps() {
        let upright = Face {
            outside: rectangle(20.0, 100.0),
            openings: Vec::new(),
        };
        let room = found(&upright, (60.0, 8.0), &[0.0, FRAC_PI_2], &[]);
        assert_eq!(room.map(|it| it.turn), Some(FRAC_PI_2));
        let level = found(&strip(), (30.0, 8.0), &[0.0, FRAC_PI_2], &[]);
        assert_eq!(level.map(|it| it.turn), Some(0.0));
    }

    #[test]
    fn lines_are_kept_off_too() {
        let line = Segment::Line {
            start: Point::new(65.0, 0.0),
            end: Point::new(65.0, 20.0),
        };
        assert_eq!(found(&strip(), (40.0, 8.0), &[0.0], &[line]), None);
    }

    #[test]
    fn an_opening_within_the_box_is_seen() {
        let small = Contour::circle(Point::new(50.0, 10.0), 1.0).reversed();
        let face = Face {
            outside: rectangle(100.0, 20.0),
            openings: vec![small],
        };
        assert_eq!(found(&face, (90.0, 10.0), &[0.0], &[]), None);
    }
}
