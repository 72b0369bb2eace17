//! What a torch run burns around a plate: the zones that nesting keeps other parts out of.
//!
//! In: a lead and the settings. Out: regions on true arcs: the band that the kerf burns along the
//! lead, and the disc around the pierce that must stay clear of other parts' edges.

use super::path::CutPath;
use super::settings::CutSettings;
use crate::geometry::{Bounds, Circle, Contour, Point, Region, Segment};

/// The regions that a run takes up beside its contour; the first of its pieces starts at the pierce.
pub(super) fn lead_zone(run: &[Segment], settings: &CutSettings) -> Vec<Region> {
    let half = settings.kerf / 2.0;
    let mut zone = vec![disc(run[0].start(), pierce_radius(settings))];
    for segment in run {
        zone.push(disc(segment.end(), half));
        zone.extend(band(segment, half));
    }
    zone
}

impl CutPath {
    /// The box around all that it burns, and the clearance of its pierce.
    #[must_use]
    pub fn reaches(&self, settings: &CutSettings) -> Bounds {
        let pierce = Bounds::around([self.pierce()]).grown(pierce_radius(settings));
        let burnt = self
            .segments
            .iter()
            .map(|it| it.bounds().grown(settings.kerf / 2.0));
        burnt.fold(pierce, Bounds::union)
    }
}

/// Around a pierce no other part may come nearer than this, mm. Outlines already hold the kerf around
/// each part, so that much is taken off the clearance from the finished edge.
fn pierce_radius(settings: &CutSettings) -> f64 {
    (settings.pierce_clearance - settings.kerf).max(settings.kerf / 2.0)
}

/// What encloses a single contour.
pub(super) fn filled(contour: &Contour) -> Region {
    contour.with_sense(1.0).into()
}

/// A disc as a region.
pub(super) fn disc(centre: Point, radius: f64) -> Region {
    filled(&Contour::circle(centre, radius))
}

/// A circle as a contour.
pub(super) fn round(circle: Circle) -> Contour {
    Contour::circle(circle.centre, circle.radius)
}

/// What lies within `half` mm beside a piece, without the half discs at its ends.
fn band(segment: &Segment, half: f64) -> Option<Region> {
    let (start, end) = (segment.start(), segment.end());
    let across = |share: f64| segment.direction_at(share).left() * half;
    let (right, left) = match *segment {
        Segment::Line { .. } => (
            Segment::Line {
                start: start - across(0.0),
                end: end - across(1.0),
            },
            Segment::Line {
                start: start + across(0.0),
                end: end + across(1.0),
            },
        ),
        Segment::Arc { centre, radius, .. } if radius <= half => {
            return Some(disc(centre, radius + half));
        }
        Segment::Arc {
            centre,
            radius,
            turning,
            ..
        } => {
            let beside = |side: f64| {
                let place = |p: Point| centre + (p - centre) * (side / radius);
                Segment::Arc {
                    start: place(start),
                    end: place(end),
                    centre,
                    radius: side,
                    turning,
                }
            };
            let outward = half * turning.sign();
            (beside(radius + outward), beside(radius - outward))
        }
    };
    let cap = |start: Point, end: Point| Segment::Line { start, end };
    Contour::new(vec![
        right,
        cap(right.end(), left.end()),
        left.reversed(),
        cap(left.start(), right.start()),
    ])
    .map(|contour| filled(&contour))
}
