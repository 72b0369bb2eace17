//! Laws that every shape keeps, for the tests of this room.

use crate::geometry::{Region, Segment};

/// Asserts the promises of a face: closed chains in the right direction, openings inside.
#[track_caller]
pub(super) fn assert_sound(region: &Region) {
    assert!(!region.faces.is_empty(), "there is no face");
    for face in &region.faces {
        assert!(face.outside.signed_area() > 0.0, "the outside is clockwise");
        for opening in &face.openings {
            assert!(
                opening.signed_area() < 0.0,
                "an opening is counter-clockwise"
            );
            assert!(face.outside.encloses(opening.segments()[0].start()));
            assert!(face.outside.gap_to(opening).distance > 0.0);
        }
    }
    for contour in region.contours() {
        let segments = contour.segments();
        for (i, segment) in segments.iter().enumerate() {
            let next = &segments[(i + 1) % segments.len()];
            assert!(
                segment.end().distance(next.start()) < 1e-9,
                "a chain has a gap"
            );
            assert!(segment.length() > 0.0);
            assert_on_circle(segment);
        }
    }
}

/// Asserts that the two ends of an arc lie on it.
#[track_caller]
fn assert_on_circle(segment: &Segment) {
    if let Segment::Arc {
        start,
        end,
        centre,
        radius,
        ..
    } = segment
    {
        let tolerance = 1e-9 * radius.max(1.0);
        assert!((start.distance(*centre) - radius).abs() < tolerance);
        assert!((end.distance(*centre) - radius).abs() < tolerance);
    }
}

/// Asserts that no contour has a corner: every piece goes on in the direction of the one before.
#[track_caller]
pub(super) fn assert_tangent(region: &Region) {
    assert_eq!(corners(region), 0, "a corner is sharp");
}

/// How many sharp corners there are.
pub(super) fn corners(region: &Region) -> usize {
    region
        .contours()
        .map(|contour| {
            let segments = contour.segments();
            (0..segments.len())
                .filter(|i| {
                    let next = &segments[(i + 1) % segments.len()];
                    let (a, b) = (segments[*i].direction_at(1.0), next.direction_at(0.0));
                    a.dot(b) < 0.0 || a.cross(b).abs() > 1e-7
                })
                .count()
        })
        .sum()
}
