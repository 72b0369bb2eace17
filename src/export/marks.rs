//! Marks in pictures, as they are scribed: their letters are lines, not words of the picture.

use super::picture::{Chain, Picture, Stroke};
use super::scaled::Scaled;
use crate::geometry::{Circle, Vector};
use crate::plate::Mark;

/// Draws a mark of a plate that the picture shows scaled. A centre is a cross aslant, with arms of
/// `arm` mm in the picture.
pub(super) fn draw(picture: &mut Picture, mark: &Mark, scaled: Scaled, pen: Stroke, arm: f64) {
    match mark {
        Mark::Circle { centre, diameter } => {
            let circle = scaled.circle(Circle {
                centre: *centre,
                radius: diameter / 2.0,
            });
            picture.circle(circle, None, Some(pen));
        }
        Mark::Centre { at } => {
            let at = scaled.point(*at);
            for arm in [Vector::new(arm, arm), Vector::new(arm, -arm)] {
                picture.stroke(Chain::line(at - arm, at + arm), pen);
            }
        }
        Mark::Line { .. } | Mark::Text { .. } => {
            let chains = mark.chains().into_iter().map(Chain::open);
            picture.draw(
                chains.map(|it| scaled.chain(&it)).collect(),
                None,
                Some(pen),
            );
        }
    }
}
