//! Inside corners that the torch rounds and cracks start from.

use super::Level;
use super::breach::Breach;
use super::subject::{SLACK, Subject, enough};
use crate::elementary;
use crate::geometry::{Contour, Point, Segment, Turning};
use crate::quantity::format::measured;

/// Least inside radius of a thermal cut, mm (plasma design guides).
const LEAST_RADIUS: f64 = 1.0;
/// Edges that turn by less than this, radians, pass as straight: about 5 degrees.
const STRAIGHT: f64 = 0.087;
/// An arc that turns this far, radians, is the end of a slot: about 175 degrees.
const HALF_TURN: f64 = 3.05;

/// A torch leaves metal in every inside corner; more than this many kerfs of it is a warning: a square
/// corner keeps a fifth, one of 60 degrees a half.
const LEFT: f64 = 0.5;

/// Inside corners with a smaller radius than the torch makes. In a safety-critical part they are
/// a warning, for cracks start there; elsewhere a note, unless much metal stays in them.
pub(super) fn sharp(subject: &Subject<'_>) -> Vec<Breach> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let torch = limits.kerf / 2.0;
    let least = torch.max(LEAST_RADIUS);
    // What is round has no corners, however small.
    let openings = subject.holes().filter(|hole| hole.opening.circle.is_none());
    let openings = openings.map(|hole| hole.edge);
    std::iter::once(&subject.plate.face.outside)
        .chain(openings)
        .flat_map(corners)
        .filter(|corner| corner.radius < least - SLACK)
        .map(|corner| {
            let left = corner.metal_left(torch);
            let level = if subject.is_safety_critical() || left > LEFT * limits.kerf {
                Level::Warn
            } else {
                Level::Note
            };
            let message = if left > LEFT * limits.kerf {
                format!(
                    "an inside corner is too acute for the torch: {} of metal stays in it",
                    measured(left)
                )
            } else if corner.radius < torch - SLACK {
                format!(
                    "{} comes out with the torch's radius, about {}",
                    corner.named(),
                    measured(torch)
                )
            } else {
                format!("{} is sharper than {}", corner.named(), measured(least))
            };
            let remedy = format!(
                "round it (round = \"inside\") with {} or more; cracks start in sharp corners",
                enough(least)
            );
            Breach::new(level, corner.radius / least, corner.at, message).remedy(remedy)
        })
        .collect()
}

struct Corner {
    at: Point,
    /// 0 where two segments meet in a point.
    radius: f64,
    /// How far the edge turns there, radians.
    turn: f64,
}

impl Corner {
    fn named(&self) -> String {
        if self.radius < SLACK {
            "a sharp inside corner".to_owned()
        } else {
            format!("an inside corner of radius {}", measured(self.radius))
        }
    }

    /// How far a torch of a radius, mm, stays from the tip.
    fn metal_left(&self, torch: f64) -> f64 {
        let half = (std::f64::consts::PI - self.turn) / 2.0;
        // Where the radius is larger than the torch's, nothing is left.
        (torch - self.radius).max(0.0) * (1.0 / elementary::sin(half) - 1.0)
    }
}

/// The inside corners of an edge that has the metal on its left: where it turns right.
fn corners(edge: &Contour) -> impl Iterator<Item = Corner> + '_ {
    let segments = edge.segments();
    let round = segments.iter().filter_map(|segment| match segment {
        Segment::Arc {
            radius,
            turning: Turning::Right,
            ..
        } if (STRAIGHT..HALF_TURN).contains(&segment.sweep().abs()) => Some(Corner {
            at: segment.point_at(0.5),
            radius: *radius,
            turn: segment.sweep().abs(),
        }),
        _ => None,
    });
    let pointed = segments.iter().enumerate().filter_map(|(i, segment)| {
        let next = &segments[(i + 1) % segments.len()];
        let (before, after) = (segment.direction_at(1.0), next.direction_at(0.0));
        let turn = before.turn_to(after);
        (turn < -STRAIGHT).then(|| Corner {
            at: segment.end(),
            radius: 0.0,
            turn: turn.abs(),
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
