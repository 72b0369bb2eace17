//! The place of a drawing that cannot be read, as a picture.
//!
//! In: what could be read of the drawing, and where it is at fault. Out: a [`Picture`] of the whole with a ring at
//! each place, and beside it the place enlarged.

use super::Drafting;
use super::picture::{Anchor, Chain, Dash, Ink, Picture};
use super::scaled::Scaled;
use crate::geometry::{Bounds, Circle, Point, Segment, Vector};
use crate::lettering;
use crate::plate::drawing::Trouble;
use crate::quantity::format::decimal;

/// Side of each view, mm on paper.
const VIEW: f64 = 120.0;
/// Between the views, mm on paper.
const GAP: f64 = 12.0;
/// Height of capitals, mm on paper.
const LETTERS: f64 = 3.0;
/// The place is shown with at least this share of the drawing around it.
const AROUND: f64 = 1.0 / 40.0;
const DRAFT: Drafting = Drafting {
    unit: 1.0,
    thin: 0.2,
    letters: LETTERS,
};

/// The picture of a place that cannot be read.
#[must_use]
pub fn drawing_fault(trouble: &Trouble) -> Picture {
    let spots: Vec<Point> = trouble
        .why
        .spots
        .iter()
        .map(|[x, y]| Point::new(*x, *y))
        .collect();
    let drawn = trouble.pieces.iter().map(Segment::bounds);
    let around = Bounds::around(spots.iter().copied());
    let whole = drawn.fold(around, Bounds::union);
    let size = whole.width().max(whole.height()).max(1.0);
    let near = around.width().max(around.height()) * 1.5;
    let near = near.max(size * AROUND);
    let mut picture = Picture::new("the place in the drawing");
    for (left, middle, side, title) in [
        (
            0.0,
            whole.min.lerp(whole.max, 0.5),
            size * 1.05,
            "all of it".to_owned(),
        ),
        (
            VIEW + GAP,
            around.min.lerp(around.max, 0.5),
            near,
            format!(
                "the place, {} times as large",
                decimal(size * 1.05 / near, 1)
            ),
        ),
    ] {
        view(&mut picture, &trouble.pieces, &spots, (left, middle, side));
        let foot = Point::new(left, VIEW + LETTERS);
        picture.write(DRAFT.words(foot, Anchor::Start, LETTERS, title));
    }
    let lines = lettering::wrapped(&trouble.why.message, " ", LETTERS, 2.0 * VIEW + GAP);
    for (row, words) in lines.into_iter().enumerate() {
        let foot = Point::new(0.0, -2.0 * LETTERS * (row + 1) as f64);
        picture.write(DRAFT.words(foot, Anchor::Start, LETTERS, words));
    }
    picture.framed(6.0)
}

/// A square of the drawing about its middle, at a place on the picture.
fn view(
    picture: &mut Picture,
    pieces: &[Segment],
    spots: &[Point],
    (left, middle, side): (f64, Point, f64),
) {
    let factor = VIEW / side;
    let corner = Point::new(left + VIEW / 2.0, VIEW / 2.0) - Point::ORIGIN;
    let place = Scaled::upright(factor, corner - (middle - Point::ORIGIN) * factor);
    let half = Vector::new(side / 2.0, side / 2.0);
    let frame = Bounds {
        min: middle - half,
        max: middle + half,
    };
    let edge = DRAFT.pen(0.35, Ink::Edge, Dash::Solid);
    for piece in pieces {
        if !piece.bounds().meets(frame) {
            continue;
        }
        let points = piece.flattened(side / 2000.0);
        for pair in points.windows(2) {
            if let Some([from, to]) = clipped(pair[0], pair[1], frame) {
                picture.stroke(Chain::line(place.point(from), place.point(to)), edge);
            }
        }
    }
    let corners = [
        frame.min,
        Point::new(frame.max.x, frame.min.y),
        frame.max,
        Point::new(frame.min.x, frame.max.y),
    ];
    let corners = corners.map(|it| place.point(it));
    picture.draw(vec![Chain::polygon(&corners)], None, Some(DRAFT.aid()));
    for spot in spots {
        let ring = Circle {
            centre: place.point(*spot),
            radius: 4.0,
        };
        picture.circle(ring, None, Some(DRAFT.pen(0.7, Ink::Burn, Dash::Solid)));
    }
}

/// The stretch of a line within a box.
fn clipped(from: Point, to: Point, frame: Bounds) -> Option<[Point; 2]> {
    let way = to - from;
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (start, step, least, most) in [
        (from.x, way.x, frame.min.x, frame.max.x),
        (from.y, way.y, frame.min.y, frame.max.y),
    ] {
        if step == 0.0 {
            if start < least || start > most {
                return None;
            }
            continue;
        }
        let (a, b) = ((least - start) / step, (most - start) / step);
        first = first.max(a.min(b));
        last = last.min(a.max(b));
    }
    (first < last).then(|| [from + way * first, from + way * last])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::picture::Item;
    use crate::fault::Refusal;

    #[test]
    fn the_place_is_ringed_in_both_views_and_lines_stop_at_the_frame() {
        let line = |x: f64, y: f64, to_x: f64, to_y: f64| Segment::Line {
            start: Point::new(x, y),
            end: Point::new(to_x, to_y),
        };
        let trouble = Trouble {
            why: Refusal::new("it does not close").about([[100.0, 0.0], [100.0, 2.0]]),
            pieces: vec![line(0.0, 0.0, 100.0, 0.0), line(100.0, 2.0, 0.0, 50.0)],
        };
        let picture = drawing_fault(&trouble);
        let shapes = picture.items.iter().filter_map(|it| match it {
            Item::Shape(shape) => Some(shape),
            Item::Words(_) => None,
        });
        let rings = shapes.filter(|it| it.stroke.is_some_and(|it| it.ink == Ink::Burn));
        assert_eq!(rings.count(), 4);
        let bounds = picture.frame;
        assert!(bounds.width() < 2.0 * VIEW + GAP + 20.0, "{bounds:?}");
        assert_eq!(
            clipped(
                Point::new(-5.0, 1.0),
                Point::new(5.0, 1.0),
                Bounds::around([Point::ORIGIN, Point::new(2.0, 2.0)])
            ),
            Some([Point::new(0.0, 1.0), Point::new(2.0, 1.0)])
        );
    }
}
