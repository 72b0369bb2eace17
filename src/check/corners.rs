//! Inside corners that the torch rounds and cracks start from.

use super::Level;
use super::spot::Spot;
use super::subject::{SLACK, Subject};
use crate::geometry::{Contour, Point, Segment, Turning};
use crate::quantity::format::both_units;

/// Least inside radius of a thermal cut, mm (plasma design guides).
const LEAST_RADIUS: f64 = 1.0;
/// Edges that turn by less than this, radians, pass as straight: about 5 degrees.
const STRAIGHT: f64 = 0.087;

/// Inside corners with a smaller radius than the torch makes. In a safety-critical part they are
/// a warning, for cracks start there; elsewhere a note.
pub(super) fn sharp(subject: &Subject<'_>) -> Vec<Spot> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let torch = limits.kerf / 2.0;
    let least = torch.max(LEAST_RADIUS);
    let level = if subject.is_safety_critical() {
        Level::Warn
    } else {
        Level::Note
    };
    let cut = subject.cut_holes().map(|hole| hole.edge);
    std::iter::once(&subject.plate.face.outside)
        .chain(cut)
        .flat_map(corners)
        .filter(|corner| corner.radius < least - SLACK)
        .map(|corner| {
            let message = if corner.radius < torch - SLACK {
                format!(
                    "an inside corner of radius {} comes out with the torch's, about {}",
                    both_units(corner.radius),
                    both_units(torch)
                )
            } else {
                format!(
                    "an inside corner of radius {} is sharper than {}",
                    both_units(corner.radius),
                    both_units(least)
                )
            };
            let remedy = format!(
                "round it (round = \"inside\") with {} or more; cracks start in sharp corners",
                both_units(least)
            );
            Spot::new(level, corner.radius / least, corner.at, message).remedy(remedy)
        })
        .collect()
}

struct Corner {
    at: Point,
    /// 0 where two pieces meet in a point.
    radius: f64,
}

/// The inside corners of an edge that has the metal on its left: where it turns right.
fn corners(edge: &Contour) -> impl Iterator<Item = Corner> + '_ {
    let segments = edge.segments();
    let round = segments.iter().filter_map(|segment| match segment {
        Segment::Arc {
            radius,
            turning: Turning::Right,
            ..
        } if segment.sweep().abs() > STRAIGHT => Some(Corner {
            at: segment.point_at(0.5),
            radius: *radius,
        }),
        _ => None,
    });
    let pointed = segments.iter().enumerate().filter_map(|(i, segment)| {
        let next = &segments[(i + 1) % segments.len()];
        let (before, after) = (segment.direction_at(1.0), next.direction_at(0.0));
        let turn = before.cross(after).atan2(before.dot(after));
        (turn < -STRAIGHT).then(|| Corner {
            at: segment.end(),
            radius: 0.0,
        })
    });
    round.chain(pointed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_window_has_four_inside_corners_and_a_square_plate_none() {
        let square = Contour::from_bulges(&[
            (0.0, 0.0, 0.0),
            (10.0, 0.0, 0.0),
            (10.0, 10.0, 0.0),
            (0.0, 10.0, 0.0),
        ]);
        let square = square.expect("a square closes");
        assert_eq!(corners(&square).count(), 0);
        assert_eq!(corners(&square.reversed()).count(), 4);
    }
}
