//! Where a last cut parts what is left of a sheet from its skeleton.
//!
//! In: the boxes around what is burnt for each plate, the web and the kerf. Out: a line across the sheet, straight
//! or in steps, that keeps the web off all of them ([`Border`]): the runs along it, each from edge to edge of
//! the sheet, and what is left beyond it, with the arcs that a round torch leaves.

use super::Along;
use crate::geometry::{Bounds, Contour, Point, Region, Segment, Tolerance, Unresolved};
use crate::nest::LEAST_KEPT;

/// So far beyond the sheet ends what goes over its edge, mm.
const BEYOND: f64 = 100.0;

/// The middle of the torch's way, band by band across the sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Border {
    along: Along,
    bands: Vec<Band>,
    /// Where the sheet begins along, mm.
    begins: f64,
}

/// A stretch across the sheet that is used up to one place along it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Band {
    from: f64,
    to: f64,
    /// How far it is used; less than where the sheet begins if nothing lies in it.
    reach: f64,
}

impl Border {
    /// Straight across a sheet, or in steps; `clear` is how far it keeps off the boxes, mm. `None` where nothing
    /// lies on the sheet.
    pub(super) fn new(
        sheet: Bounds,
        along: Along,
        boxes: &[Bounds],
        clear: f64,
        in_steps: bool,
    ) -> Option<Self> {
        let reach = |it: &Bounds| along.of(it.max) + clear;
        let most = boxes.iter().map(reach).reduce(f64::max)?;
        let begins = along.of(sheet.min);
        let (low, high) = (
            across(along, sheet.min) - BEYOND,
            across(along, sheet.max) + BEYOND,
        );
        let bands = if in_steps {
            let mut ends: Vec<f64> = boxes
                .iter()
                .flat_map(|it| [across(along, it.min) - clear, across(along, it.max) + clear])
                .filter(|at| (low..high).contains(at))
                .chain([low, high])
                .collect();
            ends.sort_by(f64::total_cmp);
            ends.dedup_by(|a, b| *a - *b < Tolerance::SAME);
            let band = |two: &[f64]| {
                let middle = f64::midpoint(two[0], two[1]);
                let holds = |it: &&Bounds| {
                    across(along, it.min) - clear < middle && middle < across(along, it.max) + clear
                };
                let reaches = boxes.iter().filter(holds).map(reach);
                Band {
                    from: two[0],
                    to: two[1],
                    reach: reaches.fold(begins - BEYOND, f64::max),
                }
            };
            let clip = |it: &Band| (it.from.max(low + BEYOND), it.to.min(high - BEYOND));
            merged(ends.windows(2).map(band).collect(), clip)
        } else {
            vec![Band {
                from: low,
                to: high,
                reach: most,
            }]
        };
        Some(Self {
            along,
            bands,
            begins,
        })
    }

    /// Its corners in order.
    fn corners(&self) -> Vec<Point> {
        let corners = self.bands.iter().flat_map(|band| {
            [
                point(self.along, band.reach, band.from),
                point(self.along, band.reach, band.to),
            ]
        });
        corners.collect()
    }

    /// What lies short of it.
    fn used(&self) -> Option<Region> {
        let mut corners = self.corners();
        let (first, last) = (self.bands.first()?, self.bands.last()?);
        let back = self.begins - 2.0 * BEYOND;
        corners.push(point(self.along, back, last.to));
        corners.push(point(self.along, back, first.from));
        corners.dedup_by(|a, b| a.distance(*b) < Tolerance::SAME);
        Some(Contour::polygon(&corners)?.with_sense(1.0).into())
    }

    /// The largest piece of a sheet that lies beyond it once it is cut.
    pub(super) fn left(&self, sheet: &Region, kerf: f64) -> Result<Option<Region>, Unresolved> {
        let Some(used) = self.used() else {
            return Ok(None);
        };
        let left = sheet.difference(&used.offset(kerf / 2.0)?)?;
        let largest = left
            .faces
            .into_iter()
            .max_by(|a, b| a.area().total_cmp(&b.area()));
        Ok(largest.map(|face| Region { faces: vec![face] }))
    }

    /// The runs along it, each from edge to edge of the sheet.
    pub(super) fn runs(&self, sheet: &Region) -> Vec<Vec<Segment>> {
        let corners = self.corners();
        let mut runs: Vec<Vec<Segment>> = Vec::new();
        for side in corners.windows(2) {
            if side[0].distance(side[1]) < Tolerance::SAME {
                continue;
            }
            for (start, end) in sheet.stretches(side[0], side[1]) {
                let piece = Segment::Line { start, end };
                let before = runs.last().and_then(|run| run.last());
                let goes_on = before.is_some_and(|it| it.end().distance(start) < Tolerance::SAME);
                match runs.last_mut() {
                    Some(run) if goes_on => run.push(piece),
                    _ => runs.push(vec![piece]),
                }
            }
        }
        runs
    }

    /// The stretches across the sheet that lie short of it at a place along the sheet.
    pub(super) fn short_of(&self, at: f64) -> Vec<(f64, f64)> {
        let mut found: Vec<(f64, f64)> = Vec::new();
        for band in self.bands.iter().filter(|band| band.reach > at) {
            match found.last_mut() {
                Some(last) if band.from - last.1 < Tolerance::SAME => last.1 = band.to,
                _ => found.push((band.from, band.to)),
            }
        }
        found
    }
}

/// Bands without steps and hollows too small for anything that is worth keeping, the least added that does.
/// `clip` gives the stretch of a band that lies on the sheet.
fn merged(mut bands: Vec<Band>, clip: impl Fn(&Band) -> (f64, f64)) -> Vec<Band> {
    let wide = |it: &Band| {
        let (from, to) = clip(it);
        to - from
    };
    loop {
        let pairs = (1..bands.len()).filter_map(|k| {
            let (a, b) = (&bands[k - 1], &bands[k]);
            let low = if a.reach < b.reach { a } else { b };
            let step = (a.reach - b.reach).abs();
            let is_small = step < LEAST_KEPT || wide(low) < LEAST_KEPT;
            is_small.then(|| (k, step * wide(low).max(0.0)))
        });
        let Some((k, _)) = pairs.min_by(|a, b| a.1.total_cmp(&b.1)) else {
            return bands;
        };
        let after = bands.remove(k);
        let before = &mut bands[k - 1];
        before.to = after.to;
        before.reach = before.reach.max(after.reach);
    }
}

/// The coordinate across the side that a sheet is used up along.
pub(super) const fn across(along: Along, p: Point) -> f64 {
    match along {
        Along::X => p.y,
        Along::Y => p.x,
    }
}

/// A place by how far along a sheet and how far across it lies.
pub(super) const fn point(along: Along, at: f64, across: f64) -> Point {
    match along {
        Along::X => Point::new(at, across),
        Along::Y => Point::new(across, at),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn rectangle(x: f64, y: f64) -> Region {
        let corners = [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)];
        let outline = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y)));
        outline.expect("four corners").into()
    }

    fn around(x: (f64, f64), y: (f64, f64)) -> Bounds {
        Bounds {
            min: Point::new(x.0, y.0),
            max: Point::new(x.1, y.1),
        }
    }

    #[test]
    fn a_straight_one_runs_from_edge_to_edge_and_leaves_a_rectangle() {
        let sheet = rectangle(1000.0, 600.0);
        let boxes = [around((10.0, 300.0), (10.0, 200.0))];
        let border = Border::new(sheet.bounds(), Along::X, &boxes, 5.0, false).expect("one box");
        let runs = border.runs(&sheet);
        assert_eq!((runs.len(), runs[0].len()), (1, 1));
        assert_eq!(runs[0][0].start(), Point::new(305.0, 0.0));
        assert_eq!(runs[0][0].end(), Point::new(305.0, 600.0));
        let left = border.left(&sheet, 2.0).expect("found").expect("much");
        // 1000 less 305 less half a kerf.
        assert_relative_eq!(left.area(), 694.0 * 600.0, max_relative = 1e-9);
    }

    #[test]
    fn one_in_steps_leaves_an_l_rounded_by_the_torch() {
        let sheet = rectangle(1000.0, 600.0);
        let boxes = [around((10.0, 300.0), (10.0, 200.0))];
        let border = Border::new(sheet.bounds(), Along::X, &boxes, 5.0, true).expect("one box");
        let runs = border.runs(&sheet);
        assert_eq!((runs.len(), runs[0].len()), (1, 2));
        assert!(runs[0][0].start().distance(Point::new(305.0, 0.0)) < 1e-9);
        assert!(runs[0][1].end().distance(Point::new(0.0, 205.0)) < 1e-9);
        let left = border.left(&sheet, 2.0).expect("found").expect("much");
        // All but a box whose far corner is rounded with half a kerf.
        let rounded = 1.0 - std::f64::consts::FRAC_PI_4;
        assert_relative_eq!(
            left.area(),
            600_000.0 - 306.0 * 206.0 + rounded,
            max_relative = 1e-9
        );
        assert_eq!(border.short_of(100.0), [(-100.0, 205.0)]);
    }

    #[test]
    fn small_steps_are_taken_as_one() {
        let sheet = rectangle(1000.0, 600.0);
        let boxes = [
            around((10.0, 300.0), (10.0, 200.0)),
            around((10.0, 350.0), (210.0, 400.0)),
            around((10.0, 800.0), (520.0, 590.0)),
        ];
        for along in [Along::X, Along::Y] {
            let turned = |it: &Bounds| match along {
                Along::X => *it,
                Along::Y => around((it.min.y, it.max.y), (it.min.x, it.max.x)),
            };
            let boxes: Vec<Bounds> = boxes.iter().map(turned).collect();
            let border = Border::new(turned(&sheet.bounds()), along, &boxes, 5.0, true);
            let bands = border.expect("boxes").bands;
            let told: Vec<(f64, f64)> = bands.iter().map(|it| (it.to, it.reach)).collect();
            // 300 and 350 are one; the gap from 405 to 515 is wide enough to be left.
            assert_eq!(told, [(405.0, 355.0), (515.0, -100.0), (700.0, 805.0)]);
        }
    }
}
