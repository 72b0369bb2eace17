//! Drilling a second bolt pattern into a plate that exists.
//!
//! In: a [`Site`] (the plate's metal, and what each of its openings is) and a [`Pattern`] to add.
//! Out: the clockings that leave the most metal, what is left at any of them and whether that is
//! enough ([`judge`]), what to change where it is not ([`remedy`]), a picture of web against angle
//! and a drawing to drill by. Guaranteed: the best clocking is exact on the true lines and arcs, not
//! the best of samples.

mod answer;
mod clearance;
mod drilled;
mod found;
pub mod judge;
mod optimum;
pub mod picture;
pub mod remedy;
pub mod site;
pub mod template;

pub use answer::{AS_GOOD, Answer, answer};
pub use found::found;
pub use site::{Existing, Pattern, Site};

use std::f64::consts::TAU;

use crate::fault::Refusal;
use crate::geometry::{Contour, Point, Tolerance};
use clearance::{Orbit, Stretch, once_around};
use optimum::{Branch, peaks, wrapped};

/// Edges of a plate that are looked at.
const MOST_EDGES: usize = 4000;

/// A clocking, and what it leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clocking {
    /// Angle of the first new hole from +x of the plate, radians, from 0 up to the pattern's pace.
    pub angle: f64,
    /// The least metal left around any new hole, mm; negative where holes run into one another.
    pub web: f64,
    /// The least of what the clocking changes: a round bore or rim about the pattern's centre is left
    /// out, mm.
    pub turning_web: f64,
}

/// What is left between the new holes and one edge of the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Web {
    /// The opening, or `None` for the outside of the plate.
    pub opening: Option<usize>,
    /// The new hole that is nearest, from 0.
    pub hole: usize,
    /// The metal between the two edges, mm.
    pub width: f64,
}

/// Every clocking that leaves more metal than those beside it, the best first; empty if all are
/// alike. Fails if no clocking keeps the new holes' centres on the metal.
pub fn clockings(site: &Site, pattern: &Pattern) -> Result<Vec<Clocking>, Refusal> {
    let edges: usize = site.edges().map(|(_, edge)| edge.segments().len()).sum();
    if edges > MOST_EDGES {
        let cause = format!("the plate has {edges} edges and {MOST_EDGES} is the most");
        return Err(Refusal::new(cause).remedy("draw arcs as arcs, not as many short lines"));
    }
    let orbit = pattern.orbit(site);
    let pace = pattern.pace();
    let barred = barred(site, &orbit, pace)?;
    let branches = branches(site, &orbit, pace);
    let radius = pattern.hole / 2.0;
    let mut found: Vec<Clocking> = Vec::new();
    for peak in peaks(&branches, &barred, pace) {
        let near = |it: &Clocking| {
            let off = (it.angle - peak.angle).rem_euclid(pace);
            off.min(pace - off) < Tolerance::ROUNDING
        };
        if !found.iter().any(near) {
            found.push(Clocking {
                angle: peak.angle,
                web: peak.clearance - radius,
                turning_web: peak.turning - radius,
            });
        }
    }
    Ok(found)
}

/// The metal left between the new holes and every edge at a clocking, measured on the plate itself.
#[must_use]
pub fn webs(site: &Site, pattern: &Pattern, angle: f64) -> Vec<Web> {
    let centres = pattern.centres(site, angle);
    site.edges()
        .map(|(opening, edge)| {
            let widths = centres.iter().enumerate().map(|(hole, centre)| Web {
                opening,
                hole,
                width: signed_gap(edge, opening, *centre) - pattern.hole / 2.0,
            });
            widths
                .min_by(|a, b| a.width.total_cmp(&b.width))
                .expect("a pattern has a hole")
        })
        .collect()
}

/// The narrowest web at a clocking.
#[must_use]
pub fn narrowest(site: &Site, pattern: &Pattern, angle: f64) -> Web {
    let webs = webs(site, pattern, angle).into_iter();
    webs.min_by(|a, b| a.width.total_cmp(&b.width))
        .expect("a plate has an outside")
}

/// The narrowest web that the clocking changes at a clocking; `None` if it changes none. A round edge
/// about the pattern's centre leaves the same at all of them.
#[must_use]
pub fn narrowest_turning(site: &Site, pattern: &Pattern, angle: f64) -> Option<Web> {
    let level: Vec<Option<usize>> = site
        .edges()
        .filter(|(_, edge)| is_level(site, edge))
        .map(|(opening, _)| opening)
        .collect();
    let webs = webs(site, pattern, angle).into_iter();
    webs.filter(|web| !level.contains(&web.opening))
        .min_by(|a, b| a.width.total_cmp(&b.width))
}

/// The narrowest web that stays whatever the clocking, mm; `None` if every web changes.
#[must_use]
pub fn narrowest_level(site: &Site, pattern: &Pattern) -> Option<f64> {
    let on_x = pattern.centres(site, 0.0)[0];
    let gaps = site.edges().filter(|(_, edge)| is_level(site, edge));
    gaps.map(|(opening, edge)| signed_gap(edge, opening, on_x) - pattern.hole / 2.0)
        .min_by(f64::total_cmp)
}

fn is_level(site: &Site, edge: &Contour) -> bool {
    let circle = edge.as_circle();
    circle.is_some_and(|it| it.centre.distance(site.centre) < Tolerance::SAME)
}

/// Distance of a point from an edge, negative on the side without metal.
fn signed_gap(edge: &Contour, opening: Option<usize>, p: Point) -> f64 {
    let gap = edge.gap_to_point(p).distance;
    if edge.encloses(p) == opening.is_none() {
        gap
    } else {
        -gap
    }
}

/// Every clearance over one pace of the pattern.
fn branches(site: &Site, orbit: &Orbit, pace: f64) -> Vec<Branch> {
    let mut stretches = Vec::new();
    for (opening, edge) in site.edges() {
        if let Some(circle) = edge.as_circle() {
            stretches.extend(if opening.is_none() {
                orbit.inside_of(circle.centre, circle.radius, pace)
            } else {
                orbit.outside_of(circle.centre, circle.radius, pace)
            });
        } else {
            for segment in edge.segments() {
                stretches.extend(orbit.along(segment));
                stretches.extend(orbit.corner(segment.start(), pace));
            }
        }
    }
    // Each corner and round edge is nearer than this to some hole, whatever the clocking, so what is
    // always further off limits nothing.
    let bound = stretches.iter().filter_map(|it: &Stretch| it.bound());
    let bound = bound.fold(f64::INFINITY, f64::min);
    stretches
        .iter()
        .filter(|stretch| stretch.lowest() <= bound)
        .flat_map(|stretch| wrapped(stretch, pace))
        .collect()
}

/// Stretches of clocking, over one pace, where the centre of a new hole is off the metal. Round edges
/// bar nothing: past them the web is negative, which says the same.
fn barred(site: &Site, orbit: &Orbit, pace: f64) -> Result<Vec<(f64, f64)>, Refusal> {
    let edges: Vec<(Option<usize>, &Contour)> = site
        .edges()
        .filter(|(_, edge)| edge.as_circle().is_none())
        .collect();
    let on_metal = |p: Point| {
        edges
            .iter()
            .all(|(opening, edge)| edge.encloses(p) == opening.is_none())
    };
    let mut cuts: Vec<f64> = edges
        .iter()
        .flat_map(|(_, edge)| orbit.meets(edge))
        .map(once_around)
        .chain([0.0, TAU])
        .collect();
    cuts.sort_by(f64::total_cmp);
    let mut barred: Vec<(f64, f64)> = Vec::new();
    for pair in cuts.windows(2) {
        if pair[1] <= pair[0] || on_metal(orbit.at(f64::midpoint(pair[0], pair[1]))) {
            continue;
        }
        let (mut from, to) = (pair[0], pair[1]);
        while from < to {
            let turn = (from / pace + clearance::SAME_ANGLE).floor();
            let end = ((turn + 1.0) * pace).min(to);
            barred.push(((from - turn * pace).max(0.0), end - turn * pace));
            from = end;
        }
    }
    if covered(&barred, pace) {
        let cause = "at every clocking a new hole's centre is off the metal";
        return Err(Refusal::new(cause).remedy("use another pitch circle"));
    }
    Ok(barred)
}

/// Whether stretches leave nothing of one pace free.
fn covered(barred: &[(f64, f64)], pace: f64) -> bool {
    let mut sorted = barred.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let end = sorted.iter().fold(0.0, |end: f64, (from, to)| {
        if *from <= end + Tolerance::ROUNDING {
            end.max(*to)
        } else {
            end
        }
    });
    end >= pace - Tolerance::ROUNDING
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Face;

    fn site(holes: &[(f64, f64, f64)]) -> Site {
        let openings = holes
            .iter()
            .map(|(x, y, r)| Contour::circle(Point::new(*x, *y), *r).reversed());
        let face = Face {
            outside: Contour::circle(Point::ORIGIN, 90.0),
            openings: openings.collect(),
        };
        let existing = holes.iter().map(|_| Existing::unknown("hole"));
        Site::new(face, existing.collect(), 10.0, Point::ORIGIN)
    }

    fn pattern(count: u32, circle: f64) -> Pattern {
        Pattern {
            count,
            circle,
            hole: 12.0,
            thread: None,
        }
    }

    #[test]
    fn between_two_even_patterns_half_the_common_step_is_best() {
        let four: Vec<(f64, f64, f64)> = (0..4)
            .map(|k| Point::ORIGIN.polar(50.0, f64::from(k) * TAU / 4.0))
            .map(|p| (p.x, p.y, 6.0))
            .collect();
        let found = clockings(&site(&four), &pattern(5, 114.3)).expect("on the metal");
        // 360 / lcm(4, 5) / 2 = 9 degrees, four times over one pace of 72.
        assert_eq!(found.len(), 4);
        for clocking in found {
            let steps = clocking.angle.to_degrees() / 9.0;
            assert!((steps - steps.round()).abs() < 1e-9, "{steps}");
            assert!((steps.round() as i64) % 2 == 1);
        }
    }

    #[test]
    fn the_web_told_is_the_web_measured() {
        let site = site(&[(50.0, 0.0, 6.0), (-20.0, 41.0, 9.0), (0.0, -58.0, 4.0)]);
        let pattern = pattern(3, 104.0);
        let found = clockings(&site, &pattern).expect("on the metal");
        for clocking in &found {
            let measured = webs(&site, &pattern, clocking.angle);
            let least = measured
                .iter()
                .map(|web| web.width)
                .fold(f64::MAX, f64::min);
            assert!((least - clocking.web).abs() < 1e-9, "{least} {clocking:?}");
        }
        assert!(found.windows(2).all(|pair| pair[0].web >= pair[1].web));
    }

    #[test]
    fn a_bore_about_the_centre_hides_no_web_that_turns() {
        // The bore leaves 50 - 40 - 6 at any clocking; holes at 90 degrees on 160 leave more.
        let site = site(&[(0.0, 0.0, 40.0), (0.0, 80.0, 3.0), (0.0, -80.0, 3.0)]);
        let pattern = pattern(2, 100.0);
        assert_eq!(narrowest_level(&site, &pattern), Some(4.0));
        let across = narrowest_turning(&site, &pattern, 0.0).expect("two holes");
        let beside = narrowest_turning(&site, &pattern, TAU / 4.0).expect("two holes");
        assert!((across.width - (80.0_f64.hypot(50.0) - 3.0 - 6.0)).abs() < 1e-9);
        assert!((beside.width - (30.0 - 3.0 - 6.0)).abs() < 1e-9);
        assert!((narrowest(&site, &pattern, 0.0).width - 4.0).abs() < 1e-9);
    }

    #[test]
    fn a_plate_with_nothing_to_mind_has_no_best_clocking() {
        assert_eq!(clockings(&site(&[]), &pattern(4, 100.0)), Ok(vec![]));
    }

    #[test]
    fn holes_off_the_metal_are_refused_and_square_plates_are_measured() {
        let square = |half: f64| {
            let corners = [(-half, -half), (half, -half), (half, half), (-half, half)];
            let corners = corners.map(|(x, y)| Point::new(x, y));
            let face = Face {
                outside: Contour::polygon(&corners).expect("a square"),
                openings: vec![],
            };
            Site::new(face, vec![], 10.0, Point::ORIGIN)
        };
        assert!(clockings(&square(40.0), &pattern(4, 120.0)).is_err());
        // Four holes on 100 in a square of 90: only towards the corners are they inside.
        let found = clockings(&square(45.0), &pattern(4, 100.0)).expect("at the corners");
        assert!((found[0].angle.to_degrees() - 45.0).abs() < 1e-9);
        let expected = 45.0 - 50.0 / 2_f64.sqrt() - 6.0;
        assert!((found[0].web - expected).abs() < 1e-9, "{}", found[0].web);
    }
}
