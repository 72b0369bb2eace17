//! Tabs and the slots they go into.
//!
//! In: a joint with its numbers. Out: the shapes that either plate gets. Where a tab leaves its edge, and in
//! each corner of a slot, is a round that the torch can follow, so that the square corners of the other plate
//! find room.

use std::f64::consts::{PI, TAU};

use super::outline::{self, arc, linked};
use super::{Corner, Shaped, disc, polygon};
use crate::fault::Refusal;
use crate::geometry::{Point, Region, Vector};
use crate::quantity::format::both_units;
use crate::trade::thermal::Process;

/// Metal that at least stays between two tabs or a tab and the end of its edge, beside the rounds, mm. Common
/// practice, no source.
const LEAST_LAND: f64 = 2.0;
/// How far a tab reaches into its plate, mm, so that both are one whatever rounding does.
const ROOT: f64 = 0.01;

/// A joint with its numbers, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::plate) struct JointSizes {
    /// The line of the edge, or of the slots.
    pub(in crate::plate) from: Point,
    pub(in crate::plate) to: Point,
    pub(in crate::plate) count: u32,
    /// Width of a tab along the edge.
    pub(in crate::plate) width: f64,
    /// How far tabs stand out.
    pub(in crate::plate) reach: f64,
    /// Between a tab and its slot, on each side.
    pub(in crate::plate) clearance: f64,
    /// Of the plate with the tabs.
    pub(in crate::plate) thickness: f64,
    /// Radius of the rounds in corners.
    pub(in crate::plate) relief: f64,
}

/// The radius of rounds in corners for a kerf, mm: wider than the torch, and on thermal cuts at least the
/// 1 mm that the check of corners asks for.
pub(in crate::plate) fn relief(kerf: f64, process: Process) -> f64 {
    let least: f64 = if process == Process::Laser { 0.3 } else { 1.0 };
    least.max(0.6 * kerf)
}

impl JointSizes {
    /// The middles of the tabs, and the direction along the edge.
    fn middles(&self) -> Result<(Vec<Point>, Vector), Refusal> {
        let run = self.to - self.from;
        let Some(along) = run.unit() else {
            return Err(
                Refusal::new("the line of a joint starts and ends at one place")
                    .remedy("move one of its ends"),
            );
        };
        let pitch = run.length() / f64::from(self.count.max(1));
        let most = pitch - 4.0 * self.relief - LEAST_LAND;
        if self.width > most {
            let message = format!(
                "{} tabs of {} on {} leave no room between them",
                self.count,
                both_units(self.width),
                both_units(run.length())
            );
            let remedy = if most > 4.0 * self.relief {
                format!("make them at most {} wide, or fewer", both_units(most))
            } else {
                "use fewer of them".to_owned()
            };
            return Err(Refusal::new(message).remedy(remedy));
        }
        if self.width < 4.0 * self.relief {
            let message = format!("tabs of {} are too narrow to cut", both_units(self.width));
            let least = both_units(4.0 * self.relief);
            return Err(Refusal::new(message).remedy(format!("make them at least {least} wide")));
        }
        let middle = |k: u32| self.from + along * (pitch * (f64::from(k) + 0.5));
        Ok(((0..self.count).map(middle).collect(), along))
    }

    /// The tabs, and the rounds to cut beside them.
    pub(in crate::plate) fn tabs(&self) -> Result<(Vec<Region>, Vec<Region>), Refusal> {
        let (middles, along) = self.middles()?;
        let out = -along.left();
        let half = along * (self.width / 2.0);
        let mut tabs = Vec::new();
        let mut rounds = Vec::new();
        for middle in middles {
            let corner = |side: f64, out_by: f64| Corner {
                at: middle + half * side + out * out_by,
                radius: 0.0,
            };
            tabs.push(polygon(&[
                corner(-1.0, -ROOT),
                corner(-1.0, self.reach),
                corner(1.0, self.reach),
                corner(1.0, -ROOT),
            ])?);
            for side in [-1.0, 1.0] {
                let centre = middle + half * side + along * (side * self.relief);
                let shift = crate::geometry::Pose::shifted(centre - Point::ORIGIN);
                rounds.push(disc(2.0 * self.relief)?.posed(&shift));
            }
        }
        Ok((tabs, rounds))
    }

    /// The slots.
    pub(in crate::plate) fn slots(&self) -> Result<Vec<Region>, Refusal> {
        let (middles, along) = self.middles()?;
        let slot = self.slot()?;
        let posed = |middle: Point| {
            let pose = crate::geometry::Pose::new(along.angle(), middle - Point::ORIGIN);
            slot.posed(&pose)
        };
        Ok(middles.into_iter().map(posed).collect())
    }

    /// A slot about its middle: its end walls run on into the rounds, its sides end at them.
    fn slot(&self) -> Shaped {
        let a = self.width / 2.0 + self.clearance;
        let b = self.thickness / 2.0 + self.clearance;
        let r = self.relief;
        let round = |x: f64, y: f64, from: f64, to: f64| arc(Point::new(x, y), r, from, to);
        outline::face(linked(&[
            round(a - r, b, 0.0, PI),
            round(r - a, b, 0.0, PI),
            round(r - a, -b, PI, TAU),
            round(a - r, -b, PI, TAU),
        ]))
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::geometry::Segment;

    struct Seed(u64);

    impl Seed {
        fn between(&mut self, low: f64, high: f64) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            low + (high - low) * ((self.0 >> 33) as f64 / f64::from(u32::MAX >> 1))
        }
    }

    fn sizes(seed: &mut Seed) -> (JointSizes, f64) {
        let kerf = seed.between(0.15, 3.2);
        let process = if kerf < 0.6 {
            Process::Laser
        } else {
            Process::Plasma
        };
        let relief = relief(kerf, process);
        let count = 1 + seed.between(0.0, 4.0) as u32;
        let width = seed.between(4.0 * relief, 60.0_f64.max(5.0 * relief));
        let land = seed.between(0.0, 40.0);
        let length = f64::from(count) * (width + 4.0 * relief + LEAST_LAND + land);
        let turn = seed.between(0.0, TAU);
        let from = Point::new(seed.between(-300.0, 300.0), seed.between(-300.0, 300.0));
        let sizes = JointSizes {
            from,
            to: from.polar(length, turn),
            count,
            width,
            reach: seed.between(2.0, 20.0),
            clearance: seed.between(0.05, 0.6),
            thickness: seed.between(1.0, 20.0),
            relief,
        };
        (sizes, kerf)
    }

    #[test]
    fn a_thousand_tabs_go_into_their_slots_with_the_room_that_was_asked() {
        let mut seed = Seed(11);
        for round in 0..1000 {
            let (sizes, kerf) = sizes(&mut seed);
            let slots = sizes.slots().expect("slots");
            let (tabs, _) = sizes.tabs().expect("tabs");
            assert_eq!(
                (slots.len(), tabs.len()),
                (sizes.count as usize, sizes.count as usize)
            );
            let (_, along) = sizes.middles().expect("tabs");
            for (slot, tab) in slots.iter().zip(&tabs) {
                // The square section of the tab, where it passes the other plate.
                let middle = slot.faces[0].outside.middle();
                let edge = &slot.faces[0].outside;
                let at = |x: f64, y: f64| {
                    middle
                        + along * (x * sizes.width / 2.0)
                        + along.left() * (y * sizes.thickness / 2.0)
                };
                // Its walls keep the clearance, no less and no more.
                for k in -9..=9 {
                    let k = f64::from(k) / 10.0;
                    for wall in [at(1.0, k), at(-1.0, k)] {
                        let room = edge.depth(wall);
                        assert!(
                            room >= sizes.clearance - 0.02,
                            "round {round}: {room} {sizes:?}"
                        );
                    }
                }
                assert!((edge.depth(at(1.0, 0.0)) - sizes.clearance).abs() < 0.02);
                assert!((edge.depth(at(0.0, 1.0)) - sizes.clearance).abs() < 0.02);
                // Its corners are as free, and so is what is between them.
                for corner in [at(1.0, 1.0), at(1.0, -1.0), at(-1.0, 1.0), at(-1.0, -1.0)] {
                    assert!(
                        edge.depth(corner) >= sizes.clearance - 0.02,
                        "round {round}"
                    );
                }
                // Every arc of the slot is wider than the torch, and no corner of it turns inwards.
                for piece in edge.segments() {
                    if let Segment::Arc { radius, .. } = piece {
                        assert!(*radius > kerf / 2.0);
                    }
                }
                // A tab is as wide as asked, and stands where its slot is.
                let middle_of_tab = tab.faces[0].outside.middle();
                let aside = (middle_of_tab - middle).dot(along);
                assert!(aside.abs() < 1e-6, "round {round}: {aside}");
                assert_relative_eq!(
                    tab.area(),
                    sizes.width * (sizes.reach + ROOT),
                    max_relative = 1e-9
                );
            }
        }
    }

    #[test]
    fn what_the_torch_can_follow_still_holds_the_tab() {
        // Shrinking the slot by half a kerf and growing it again leaves what a round torch can reach.
        let mut seed = Seed(5);
        for _ in 0..60 {
            let (sizes, kerf) = sizes(&mut seed);
            let slot = sizes.slot().expect("a slot");
            if 2.0 * sizes.clearance + sizes.thickness <= kerf * 1.05 {
                continue;
            }
            let inner = slot.offset(-kerf / 2.0).expect("room for the torch");
            let reached = inner.offset(kerf / 2.0).expect("room for the torch");
            let edge = &reached.faces[0].outside;
            let corner = Point::new(sizes.width / 2.0, sizes.thickness / 2.0);
            assert!(
                edge.depth(corner) >= sizes.clearance - 0.02,
                "{sizes:?} {kerf}"
            );
        }
    }

    #[test]
    fn tabs_that_find_no_room_are_refused_with_what_is_possible() {
        let (mut sizes, _) = sizes(&mut Seed(3));
        sizes.width = 1000.0;
        let why = sizes.tabs().expect_err("too wide").to_string();
        assert!(why.contains("leave no room"), "{why}");
        sizes.width = 1.0;
        let why = sizes.slots().expect_err("too narrow").to_string();
        assert!(why.contains("too narrow to cut"), "{why}");
        sizes.to = sizes.from;
        assert!(sizes.tabs().is_err());
    }
}
