//! The web against the clocking, as a picture.
//!
//! In: a site, a pattern and its best clockings. Out: a [`Picture`] of the least metal around the new
//! holes over one pace of the pattern. The curve is drawn through points; the marked clockings are
//! exact.

use super::judge::least_web;
use super::{Clocking, Pattern, Site, narrowest, narrowest_level, narrowest_turning};
use crate::export::Picture;
use crate::export::graph::{Curve, Graph};
use crate::export::picture::Dash;
use crate::quantity::format::{both_units, degrees};

/// Points that the curve is drawn through.
const POINTS: u32 = 720;

/// The least web that the clocking changes, against the clocking, with the best and the second best
/// marked, and what must be left towards the edge that it is measured to. What a round bore or rim leaves at any
/// clocking is told beside it.
#[must_use]
pub fn web_picture(site: &Site, pattern: &Pattern, found: &[Clocking]) -> Picture {
    let pace = pattern.pace();
    let turning = |angle: f64| narrowest_turning(site, pattern, angle);
    let (mut there, mut needed) = (Vec::new(), Vec::new());
    for k in 0..=POINTS {
        let angle = pace * f64::from(k) / f64::from(POINTS);
        let web = turning(angle).unwrap_or_else(|| narrowest(site, pattern, angle));
        there.push((angle.to_degrees(), web.width));
        needed.push((angle.to_degrees(), least_web(site, pattern, web.opening)));
    }
    let marks = ["best", "second"].iter().zip(found).map(|(place, it)| {
        let web = it.turning_web;
        let text = format!("{place}: {}, {}", degrees(it.angle), both_units(web));
        (it.angle.to_degrees(), web, text)
    });
    let level = match (turning(0.0), narrowest_level(site, pattern)) {
        (Some(_), Some(web)) => format!(
            "; at any clocking the bore or rim leaves {}",
            both_units(web)
        ),
        _ => String::new(),
    };
    let graph = Graph {
        title: "web left around the new holes against the clocking".to_owned(),
        along: "clocking, degrees: angle of the first new hole from the plate's own +x".to_owned(),
        up: format!("least web, mm{level}"),
        range: (0.0, pace.to_degrees()),
        curves: vec![
            Curve {
                name: "least web there is".to_owned(),
                points: there,
                dash: Dash::Solid,
            },
            Curve {
                name: "what must be left towards that edge".to_owned(),
                points: needed,
                dash: Dash::Dashed,
            },
        ],
        marks: marks.collect(),
    };
    graph.picture()
}
