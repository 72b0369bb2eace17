//! What turns by as much as an angle: between two directions about the recipe's origin.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::features::{Pair, Pairs};
use super::{Reading, Wanted};
use crate::geometry::Point;

/// Features nearer to the origin than this have no direction, mm.
const NEAR: f64 = 1.0;

/// A direction before and after, and how far out what shows it is.
#[derive(Debug, Clone, Copy)]
struct Ray {
    old: f64,
    new: f64,
    radius: f64,
    is_axis: bool,
}

/// The best place to read an angle off, and what it costs.
pub(super) fn found(wanted: &Wanted, pairs: &Pairs) -> Option<(f64, Reading)> {
    let rays = rays(pairs);
    let mut best: Option<(f64, Reading)> = None;
    for to in rays.iter().filter(|it| !it.is_axis) {
        for from in &rays {
            let raw = to.old - from.old;
            let before = wanted.value + wrapped(raw - wanted.value);
            let after = before + wrapped(to.new - from.new - raw);
            // What is farther out shows an angle better.
            let cost = f64::from(u8::from(from.is_axis)) + 1.0 / (10.0 + to.radius);
            let Some(cost) = wanted.cost(cost, before, after) else {
                continue;
            };
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                let radius = if from.is_axis {
                    to.radius
                } else {
                    to.radius.midpoint(from.radius)
                };
                best = Some((
                    cost,
                    Reading::Angle {
                        about: Point::ORIGIN,
                        turns: [to.old - before, to.old],
                        radius,
                    },
                ));
            }
        }
    }
    best
}

/// An angle within a half turn to either side.
fn wrapped(angle: f64) -> f64 {
    angle - (angle / TAU).round() * TAU
}

fn rays(pairs: &Pairs) -> Vec<Ray> {
    let ray = |old: Point, new: Point| {
        let (old, new) = (old - Point::ORIGIN, new - Point::ORIGIN);
        (old.length() > NEAR).then(|| Ray {
            old: old.angle(),
            new: new.angle(),
            radius: old.length(),
            is_axis: false,
        })
    };
    let spots = pairs.spots.iter().chain(&pairs.middles);
    let spots = spots.filter_map(|Pair { old, new }| ray(*old, *new));
    let lines = pairs.lines.iter().filter_map(|Pair { old, new }| {
        let along = (old.to - old.from).unit()?;
        let foot = old.from + along * (Point::ORIGIN - old.from).dot(along);
        if (foot - Point::ORIGIN).length() > NEAR {
            let turned = (new.to - new.from).unit()?;
            let moved = new.from + turned * (Point::ORIGIN - new.from).dot(turned);
            ray(foot, moved)
        } else {
            // A line through the origin shows its own direction.
            ray(old.from.lerp(old.to, 0.5), new.from.lerp(new.to, 0.5))
        }
    });
    let axes = (0..4).map(|k| Ray {
        old: f64::from(k) * FRAC_PI_2,
        new: f64::from(k) * FRAC_PI_2,
        radius: 0.0,
        is_axis: true,
    });
    spots.chain(lines).chain(axes).collect()
}
