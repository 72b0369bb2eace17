//! Bends: room for the brake, and radii that do not crack.

use super::Level;
use super::breach::Breach;
use super::subject::{FinishedHole, SLACK, Subject, enough};
use crate::geometry::{Gap, Point, Pose, Segment, Vector};
use crate::plate::Bend;
use crate::quantity::format::measured;
use crate::trade::material;

/// Openings keep this many thicknesses, and the radius, from a fold line: common practice.
const OPENING: f64 = 2.0;
/// A leg is this many thicknesses, and the radius, wide: common practice.
const LEG: f64 = 2.5;
/// Plate thicker than this, mm, wants the larger bend radius of its material.
const THICK: f64 = 6.0;

/// Bends tighter than the material likes: they may crack, which a part that people trust may not.
pub(super) fn radius(subject: &Subject<'_>) -> Vec<Breach> {
    let plate = subject.plate;
    let (thin, thick) =
        material::find(&plate.material).map_or((1.0, 1.5), |material| material.bend_radius);
    let factor = if plate.thickness > THICK { thick } else { thin };
    let least = factor * plate.thickness;
    let level = if subject.is_safety_critical() {
        Level::Warn
    } else {
        Level::Note
    };
    let tight = plate
        .bends
        .iter()
        .filter(|bend| bend.radius < least - SLACK);
    tight
        .map(|bend| {
            let message = format!(
                "a bend has an inside radius of {}, under {} ({} of {})",
                measured(bend.radius),
                measured(least),
                match factor {
                    1.0 => "one thickness".to_owned(),
                    _ => format!("{factor} thicknesses"),
                },
                plate.material
            );
            let remedy = format!(
                "use {} or more, or bend across the grain and dress the outside edge first",
                enough(least)
            );
            Breach::new(level, bend.radius / least, middle(bend), message).remedy(remedy)
        })
        .collect()
}

/// Openings so near a fold line that the bend draws them out of shape.
pub(super) fn clearance(subject: &Subject<'_>) -> Vec<Breach> {
    let plate = subject.plate;
    let pairs = plate
        .bends
        .iter()
        .flat_map(|bend| subject.holes().map(move |hole| (bend, hole)));
    pairs
        .filter(|(bend, hole)| !is_relief(bend, *hole))
        .filter_map(|(bend, hole)| {
            let limit = OPENING * plate.thickness + bend.radius;
            let gap = gap(bend, hole)?;
            let message = format!(
                "{} is {} from a fold line, under {}: the bend pulls it out of shape",
                hole.opening.name,
                measured(gap.distance),
                measured(limit)
            );
            // What is drilled by hand can be drilled last.
            let (level, remedy) = if hole.opening.is_only_marked() {
                (Level::Note, "drill it after bending".to_owned())
            } else {
                let away = enough(limit - gap.distance);
                let drill = hole
                    .opening
                    .circle
                    .map_or("", |_| ", or drill it after bending");
                (Level::Warn, format!("move it {away} away{drill}"))
            };
            (gap.distance < limit - SLACK)
                .then(|| Breach::new(level, gap.distance / limit, gap.from, message).remedy(remedy))
        })
        .collect()
}

/// Legs too short for the brake to hold.
pub(super) fn leg(subject: &Subject<'_>) -> Vec<Breach> {
    let plate = subject.plate;
    plate
        .bends
        .iter()
        .filter_map(|bend| {
            let limit = LEG * plate.thickness + bend.radius;
            // Turned so that the fold line runs along x, the two legs are what lies above and below.
            let turned = Pose::new(-(bend.to - bend.from).angle(), Vector::default());
            let line = turned.point(bend.from).y;
            let bounds = plate.face.outside.posed(&turned).bounds();
            let shorter = (bounds.max.y - line).min(line - bounds.min.y);
            let message = format!(
                "the shorter side of a fold line is {} wide, under {}: the brake cannot hold it",
                measured(shorter),
                measured(limit)
            );
            (shorter < limit - SLACK).then(|| {
                Breach::new(Level::Warn, shorter / limit, middle(bend), message)
                    .remedy("make the leg longer and trim it after bending, or weld it on")
            })
        })
        .collect()
}

/// Whether an opening relieves the end of a fold line.
fn is_relief(bend: &Bend, hole: FinishedHole<'_>) -> bool {
    hole.edge.encloses(bend.from) || hole.edge.encloses(bend.to)
}

fn gap(bend: &Bend, hole: FinishedHole<'_>) -> Option<Gap> {
    let line = Segment::Line {
        start: bend.from,
        end: bend.to,
    };
    let gaps = hole.edge.segments().iter().map(|piece| piece.gap_to(&line));
    gaps.reduce(Gap::or_nearer)
}

fn middle(bend: &Bend) -> Point {
    bend.from.lerp(bend.to, 0.5)
}
