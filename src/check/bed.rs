//! Does the part fit the table.

use super::breach::Breach;
use super::subject::{SLACK, Subject};
use super::{Level, Limits};
use crate::geometry::{Contour, Pose, Vector};
use crate::plate::AllowedRotation;
use crate::quantity::format::millimetres;

/// Steps per half turn in which a freely turning part is tried.
const TRIALS: u32 = 180;

/// A part larger than the bed, in every position its turning allows.
pub(super) fn bed_size(subject: &Subject<'_>) -> Vec<Breach> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let outside = &subject.plate.face.outside;
    if turns(subject.plate.rotation).any(|turn| excess(outside, turn, limits) <= SLACK) {
        return Vec::new();
    }
    let bounds = outside.bounds();
    let (along, across) = limits.bed;
    let message = format!(
        "the part is {} by {} and does not fit the bed of {} by {}",
        millimetres(bounds.width()),
        millimetres(bounds.height()),
        millimetres(along),
        millimetres(across)
    );
    let share = along.max(across) / bounds.width().max(bounds.height());
    vec![
        Breach::new(Level::Refuse, share, subject.middle(), message)
            .remedy("make it smaller, make it in two pieces, or choose a larger table")
            .physical(),
    ]
}

/// The turns to try, radians; half turns change nothing.
fn turns(allowed: AllowedRotation) -> Box<dyn Iterator<Item = f64>> {
    let quarter = std::f64::consts::FRAC_PI_2;
    match allowed {
        AllowedRotation::Grain | AllowedRotation::Fixed => Box::new([0.0].into_iter()),
        AllowedRotation::Quarters => Box::new([0.0, quarter].into_iter()),
        AllowedRotation::Free => Box::new([0.0, quarter].into_iter().chain(
            (1..TRIALS).map(|step| f64::from(step) * std::f64::consts::PI / f64::from(TRIALS)),
        )),
    }
}

/// By how much the turned part with a kerf around it is larger than the bed, mm; at most 0 if it
/// fits.
fn excess(outside: &Contour, turn: f64, limits: &Limits) -> f64 {
    let pose = Pose::new(turn, Vector::default());
    let bounds = outside.posed(&pose).bounds().grown(limits.kerf);
    (bounds.width() - limits.bed.0).max(bounds.height() - limits.bed.1)
}
