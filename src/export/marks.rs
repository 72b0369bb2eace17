//! Marks in pictures, as they are scribed: their letters are lines, not words of the picture.

use super::picture::{Chain, Picture, Stroke};
use super::scaled::Scaled;
use crate::geometry::{Circle, Point, Vector};
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
            cross(picture, scaled.point(*at), pen, arm);
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

/// A cross aslant where a centre is punched.
pub(super) fn cross(picture: &mut Picture, at: Point, pen: Stroke, arm: f64) {
    let arms = [Vector::new(arm, arm), Vector::new(arm, -arm)];
    let lines = arms.map(|arm| Chain::line(at - arm, at + arm));
    picture.draw(lines.to_vec(), None, Some(pen));
}
