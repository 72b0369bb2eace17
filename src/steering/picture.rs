//! The error of a steering linkage over its lock, as a picture.

use super::{Row, Study};
use crate::export::Picture;
use crate::export::graph::{Curve, Graph};
use crate::export::picture::Dash;
use crate::quantity::format::degrees;

/// Each study's error against the inner wheel's angle.
#[must_use]
pub fn error_picture(studies: &[(&str, &Study)]) -> Picture {
    let lock = studies.first().map_or(1.0, |(_, study)| study.lock);
    let dashes = [Dash::Solid, Dash::Dashed, Dash::DashDot];
    let curves = studies.iter().zip(dashes).map(|((name, study), dash)| {
        let point = |row: &Row| (row.inner.to_degrees(), row.error().to_degrees());
        Curve {
            name: format!("{name}: arms set at {}", degrees(study.linkage.set)),
            points: std::iter::once((0.0, 0.0))
                .chain(study.finely().iter().map(point))
                .collect(),
            dash,
        }
    });
    let graph = Graph {
        title: "error of the outer wheel over the lock".to_owned(),
        along: "inner wheel, degrees".to_owned(),
        up: "outer wheel over rolling without scrub, degrees".to_owned(),
        range: (0.0, lock.to_degrees()),
        curves: curves.collect(),
        marks: Vec::new(),
    };
    graph.picture()
}
