//! What to change where a pattern does not fit.
//!
//! In: a site and a pattern whose best clocking breaks a rule. Out: sentences, each a change that
//! makes every rule that must be kept hold, worked out and not guessed.

use super::judge::{self, About, Ruling, Weight};
use super::{Pattern, Site, clockings};
use crate::geometry::Contour;
use crate::plate::Purpose;
use crate::quantity::format::{both_units, enough};
use crate::trade::thread::Series;
use crate::trade::thread::{self, System};
use crate::trade::thread_table::THREADS;
use crate::trade::{Fit, Thread, clearance, edge, wrench};

/// What would make it work; empty if everything that must be kept is kept.
#[must_use]
pub fn remedies(site: &Site, pattern: &Pattern, fit: Fit, rulings: &[Ruling]) -> Vec<String> {
    let broken: Vec<About> = rulings
        .iter()
        .filter(|it| it.weight == Weight::Must && !it.is_met())
        .map(|it| it.about)
        .collect();
    if broken.is_empty() {
        return Vec::new();
    }
    let mut said = Vec::new();
    said.extend(smaller_bolt(site, pattern, fit));
    if broken.contains(&About::Edge) {
        said.push(larger_plate(site, pattern, &broken));
    }
    said.extend(stacked(site, pattern));
    said
}

/// The largest bolt of the same system that keeps every rule at its own best clocking.
fn smaller_bolt(site: &Site, pattern: &Pattern, fit: Fit) -> Option<String> {
    let bolt = pattern.thread?;
    let mut smaller: Vec<Thread> = usual(bolt.system)
        .filter(|thread| thread.diameter < bolt.diameter)
        .collect();
    smaller.sort_by(|a, b| b.diameter.total_cmp(&a.diameter));
    smaller.into_iter().find_map(|thread| {
        let tried = Pattern {
            hole: clearance::hole(&thread, fit).ok()?,
            thread: Some(thread),
            ..*pattern
        };
        let best = clockings(site, &tried).ok()?;
        let angle = best.first().map_or(0.0, |best| best.angle);
        let rulings = judge::rulings(site, &tried, angle);
        judge::is_sound(&rulings).then(|| {
            format!(
                "{} bolts (holes of {}) keep every rule; check that {} of them carry the load",
                thread.size,
                both_units(tried.hole),
                pattern.count
            )
        })
    })
}

/// The coarse threads that hexagon bolts are stocked in.
fn usual(system: System) -> impl Iterator<Item = Thread> {
    THREADS
        .iter()
        .filter(move |thread| thread.system == system && thread.series == Series::Coarse)
        .filter(|thread| wrench::is_stocked(thread))
        .copied()
}

/// How large the plate must be for the edge distance; on a plate that is not round, how far further.
fn larger_plate(site: &Site, pattern: &Pattern, broken: &[About]) -> String {
    let (needs, _) = judge::edge_distance(pattern);
    let across = enough(pattern.circle + 2.0 * needs, true);
    let enough = if broken.iter().all(|about| *about == About::Edge) {
        ""
    } else {
        " (for the edge; the other rules want more)"
    };
    match site.face.outside.as_circle() {
        Some(_) => format!("a new plate at least {across} across{enough}"),
        None => format!("a new plate that reaches {across} across the pattern's centre{enough}"),
    }
}

/// One plate for each pattern, joined outside both: every hole then keeps its spacing at any clocking.
fn stacked(site: &Site, pattern: &Pattern) -> Option<String> {
    let there = |edge: &Contour| {
        let circle = edge.as_circle()?;
        Some(circle.centre.distance(site.centre) + circle.radius)
    };
    let holes = site.existing.iter().zip(&site.face.openings);
    let old = holes
        .filter(|(existing, _)| existing.purpose == Purpose::Bolt)
        .filter_map(|(_, edge)| there(edge))
        .fold(0.0, f64::max);
    if old == 0.0 {
        return None;
    }
    let bolt = pattern.thread.unwrap_or(thread::read("M10").ok()?);
    let farthest = old.max(pattern.circle / 2.0 + pattern.hole / 2.0);
    let joining = 2.0 * (farthest + edge::LEAST_SPACING * bolt.diameter);
    let outside = joining + 2.0 * edge::edge_distance(&bolt);
    let count = pattern.count.max(4);
    Some(format!(
        "two stacked plates of {} across, one pattern in each, joined by {count} {} bolts on a circle of {}: then any clocking will do, and the wheel stands further out by a thickness",
        both_units(outside),
        bolt.size,
        both_units(joining)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Pattern {
        Pattern::read(text, Fit::Normal).expect("a pattern").0
    }

    #[test]
    fn a_smaller_bolt_is_found_and_really_fits() {
        let old = read("5 x 114.3 mm, M12");
        let site = Site::typed(170.0, 60.0, 10.0, &[(old, 0.0)]);
        let new = read("5 x 120 mm, M16");
        let best = clockings(&site, &new).expect("on the metal")[0];
        let rulings = judge::rulings(&site, &new, best.angle);
        assert!(judge::is_sound(&rulings), "{rulings:?}");
        let crowded = read("6 x 120 mm, M20");
        let best = clockings(&site, &crowded).expect("on the metal")[0];
        let rulings = judge::rulings(&site, &crowded, best.angle);
        assert!(!judge::is_sound(&rulings));
        let said = remedies(&site, &crowded, Fit::Normal, &rulings);
        assert!(said.iter().any(|it| it.contains("stacked")), "{said:?}");
    }

    #[test]
    fn a_plate_too_small_is_told_how_large() {
        let site = Site::typed(140.0, 60.0, 10.0, &[]);
        let new = read("5 x 114.3 mm, M12");
        let rulings = judge::rulings(&site, &new, 0.0);
        let said = remedies(&site, &new, Fit::Normal, &rulings);
        // 114.3 + 2 x 1.5 x 12.
        assert!(said.iter().any(|it| it.contains("150.3 mm")), "{said:?}");
    }

    /// The plate that is told is made, in millimetres and in inches, and its edge is far enough.
    #[test]
    fn a_plate_as_large_as_told_is_large_enough() {
        for text in [
            "5 x 114.3 mm, M12",
            "4 x 3-7/8 in, 7/16-14",
            "6 x 5-1/3 in, M8",
            "3 x 66.667 mm, hole 9.37 mm",
        ] {
            let pattern = read(text);
            let judged = |outside: f64| {
                let site = Site::typed(outside, 20.0, 10.0, &[]);
                let rulings = judge::rulings(&site, &pattern, 0.0);
                let remedies = remedies(&site, &pattern, Fit::Normal, &rulings);
                let edge = rulings.iter().find(|it| it.about == About::Edge);
                (edge.is_some_and(Ruling::is_met), remedies)
            };
            let (met, remedies) = judged(pattern.circle + 10.0);
            assert!(!met, "{text}");
            let told = remedies
                .iter()
                .find_map(|it| it.strip_prefix("a new plate at least "));
            let told = told.expect("how large it must be");
            let (mm, inches) = told.split_once(" mm (").expect("both units");
            let inches = inches.split(' ').next().expect("a number");
            let number = |text: &str| text.parse::<f64>().expect("a number");
            for outside in [number(mm), number(inches) * 25.4] {
                assert!(judged(outside).0, "{text}: {told}");
            }
        }
    }

    #[test]
    fn metric_bolts_are_replaced_by_metric_ones() {
        assert!(usual(System::Metric).all(|thread| thread.size.starts_with('M')));
    }
}
