//! What falls out of an opening, and whether it may stand up in the way of the torch.
//!
//! In: the edge of an opening, the kerf, and how far apart the slats of the table are. Out: what becomes of its
//! slug ([`Fate`]); and for one that may tip the straight cuts that part it into pieces which fall through
//! ([`SlugCuts`]). Statics decide: a slug lies still wherever it comes to lie if its middle of mass is at
//! least one distance of slats within its hull, since then a slat carries it on either side; it falls
//! through if it is shorter than the gap between two slats. Anything else may tip over the edge of a slat.

use geo::{Centroid, ConvexHull};

use super::burn;
use super::edges::{Edges, SLACK};
use super::settings::CutSettings;
use crate::elementary;
use crate::geometry::{Bounds, Contour, Point, Region, Segment, Unresolved};

/// The share of the distance from slat to slat that is free between them: slats and the slag on them take the
/// rest. Common practice, no source.
const FREE: f64 = 0.9;

/// Chord tolerance of slugs, mm: far below what decides.
const ROUGHLY: f64 = 0.05;

/// Into so many pieces along a side a slug is cut at most.
const MOST_PIECES: usize = 8;

/// How far the lead of a cut may bend off it, radians, best first: it runs out from the pierce to the edge of
/// the slug, and back across.
const BENDS: [f64; 6] = [0.45, -0.45, 0.7, -0.7, 0.25, -0.25];

/// How much longer than needed such a lead may be.
const LONGER: [f64; 3] = [1.0, 1.4, 2.0];

/// What becomes of a slug on its slats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fate {
    /// It falls through.
    Falls,
    /// It lies where it is.
    LiesStill,
    /// It may tip and stand up.
    MayTip,
}

/// How a slug is cut up.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SlugCuts {
    /// Each from its pierce, the first piece of each its lead.
    pub(super) runs: Vec<Vec<Segment>>,
    /// No piece is longer than this from corner to corner, mm.
    pub(super) longest: f64,
}

/// What becomes of the slug of an opening where slats are `slats` mm apart.
pub(super) fn fate(finished: &Contour, kerf: f64, slats: f64) -> Fate {
    let polygon = burn::filled(finished).to_geo(ROUGHLY);
    let corners: Vec<Point> = polygon
        .convex_hull()
        .exterior()
        .points()
        .map(|p| Point::new(p.x(), p.y()))
        .collect();
    let Some(middle) = polygon.centroid() else {
        return Fate::Falls;
    };
    let middle = Point::new(middle.x(), middle.y());
    let pairs = corners
        .iter()
        .enumerate()
        .flat_map(|(k, a)| corners[..k].iter().map(move |b| a.distance(*b)));
    if pairs.fold(0.0, f64::max) - 2.0 * kerf < FREE * slats {
        return Fate::Falls;
    }
    let sides = corners.windows(2).filter_map(|two| {
        let along = (two[1] - two[0]).unit()?;
        Some(along.cross(middle - two[0]).abs())
    });
    if sides.fold(f64::INFINITY, f64::min) - kerf >= slats {
        Fate::LiesStill
    } else {
        Fate::MayTip
    }
}

/// The cuts that part the slug of an opening into pieces that fall between slats; `None` where there is no room
/// for one of them, or where they would be too many.
pub(super) fn cut_up(
    finished: &Contour,
    settings: &CutSettings,
    slats: f64,
) -> Result<Option<SlugCuts>, Unresolved> {
    let slug = burn::filled(finished);
    // A cut ends a kerf from the finished edge: half a kerf deep in the slot that will be there.
    let within = slug.offset(-settings.kerf)?;
    let bounds = within.bounds();
    let longest = |nx: usize, ny: usize| {
        elementary::hypot(bounds.width() / nx as f64, bounds.height() / ny as f64)
    };
    let grids = (1..=MOST_PIECES).flat_map(|nx| (1..=MOST_PIECES).map(move |ny| (nx, ny)));
    let small_enough = grids.filter(|(nx, ny)| longest(*nx, *ny) < FREE * slats);
    let fewest = small_enough.min_by(|a, b| {
        let total = |it: &(usize, usize)| it.0 + it.1;
        let size = |it: &(usize, usize)| longest(it.0, it.1);
        total(a).cmp(&total(b)).then(size(a).total_cmp(&size(b)))
    });
    let Some((nx, ny)) = fewest else {
        return Ok(None);
    };
    let work = Work {
        slug,
        edges: Edges::of([finished]),
        settings,
    };
    let mut runs = Vec::new();
    for (from, to) in lines(bounds, nx, ny) {
        for (a, b) in within.stretches(from, to) {
            let Some(run) = work.run(a, b) else {
                return Ok(None);
            };
            runs.push(run);
        }
    }
    Ok(Some(SlugCuts {
        runs,
        longest: longest(nx, ny),
    }))
}

/// The lines that part a box into equal ones, those along y first.
fn lines(bounds: Bounds, nx: usize, ny: usize) -> Vec<(Point, Point)> {
    let Bounds { min, max } = bounds;
    let x = |k: usize| min.x + (max.x - min.x) * k as f64 / nx as f64;
    let y = |k: usize| min.y + (max.y - min.y) * k as f64 / ny as f64;
    let upright = (1..nx).map(|k| (Point::new(x(k), min.y - 1.0), Point::new(x(k), max.y + 1.0)));
    let level = (1..ny).map(|k| (Point::new(min.x - 1.0, y(k)), Point::new(max.x + 1.0, y(k))));
    upright.chain(level).collect()
}

struct Work<'a> {
    slug: Region,
    edges: Edges,
    settings: &'a CutSettings,
}

impl Work<'_> {
    /// A run across the slug from one of two places to the other, with a lead from a pierce that keeps clear of
    /// the finished edge; `None` if there is none.
    fn run(&self, a: Point, b: Point) -> Option<Vec<Segment>> {
        let settings = self.settings;
        let deep = settings
            .lead_length
            .max(settings.pierce_clearance + settings.kerf);
        let ways = [(a, b), (b, a)];
        let shapes = LONGER
            .iter()
            .flat_map(|longer| BENDS.iter().map(move |bend| (longer * deep, *bend)));
        let mut runs = shapes.flat_map(|(length, bend)| {
            ways.iter().filter_map(move |(from, to)| {
                let pierce = *from + (*to - *from).unit()?.turned(bend) * length;
                Some([
                    Segment::Line {
                        start: pierce,
                        end: *from,
                    },
                    Segment::Line {
                        start: *from,
                        end: *to,
                    },
                ])
            })
        });
        runs.find(|run| self.fits(run)).map(Vec::from)
    }

    fn fits(&self, run: &[Segment; 2]) -> bool {
        let pierce = run[0].start();
        self.slug.contains(pierce)
            && self.edges.gap(pierce) >= self.settings.pierce_clearance - SLACK
            && run
                .iter()
                .all(|piece| self.edges.are_whole_beside(piece, self.settings.kerf))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x: f64, y: f64) -> Contour {
        let corners = [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)];
        Contour::polygon(&corners.map(|(x, y)| Point::new(x, y))).expect("four corners")
    }

    /// Statics: a disc carried by slats 100 mm apart lies still from 200 mm on; one of 90 mm finds its way
    /// through a gap of 90 mm.
    #[test]
    fn what_becomes_of_a_slug_follows_from_where_its_middle_is_carried() {
        let disc =
            |diameter: f64| fate(&Contour::circle(Point::ORIGIN, diameter / 2.0), 0.0, 100.0);
        assert_eq!(disc(89.5), Fate::Falls);
        assert_eq!(disc(90.5), Fate::MayTip);
        assert_eq!(disc(199.5), Fate::MayTip);
        assert_eq!(disc(200.5), Fate::LiesStill);
        // A long strip finds a slat on either side along it, not across.
        assert_eq!(fate(&rectangle(600.0, 40.0), 0.0, 100.0), Fate::MayTip);
        assert_eq!(fate(&rectangle(600.0, 220.0), 0.0, 100.0), Fate::LiesStill);
    }
}
