//! What becomes of a sheet beside its plates: the skeleton cut into pieces that can be lifted, and what is left
//! parted from it.
//!
//! In: a sheet with its plates in cutting order, and what its table asks. Out: the cuts in its plan, after those of
//! the plates, and the [`Rest`] that they leave. The cuts start at the edge of the sheet or in a slot that is
//! burnt already, keep half a kerf off every plate, and the one that parts what is left comes last.

use super::border::{self, Border};
use super::remnant::is_worth_keeping;
use super::{Along, CutPlate, CutSheet};
use crate::cut::{CutOff, CutSettings, Placed, ScrapCut, ScrapWork, Table};
use crate::geometry::{Bounds, Point, Region, Segment, Unresolved};
use crate::nest::Placement;
use crate::trade::material;

/// What becomes of a sheet beside its plates.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rest {
    /// What a last cut parts from the skeleton, in sheet coordinates.
    pub parted: Option<Region>,
    /// The masses of the pieces that the skeleton is cut into, kg; none where it stays whole.
    pub pieces: Vec<f64>,
}

impl Rest {
    /// The heaviest piece of a skeleton that is cut up, kg.
    #[must_use]
    pub fn heaviest(&self) -> Option<f64> {
        self.pieces.iter().copied().reduce(f64::max)
    }
}

/// From one place along a sheet to the next that is looked at, mm.
const STEP: f64 = 1.0;

/// A piece of a skeleton is at least so long, mm, however heavy it is: common practice, no source.
const SHORTEST: f64 = 50.0;

/// How far a cut through the skeleton may move, as a share of what is between two, for a shorter cut.
const MOVES: f64 = 0.2;

/// What a stretch more of a cut through the skeleton counts, mm: another start.
const START: f64 = 20.0;

/// Stretches shorter than this, mm, are no metal.
const NOTHING: f64 = 0.01;

/// The skeleton at a place along the sheet.
struct Slice {
    at: f64,
    stretches: Vec<Stretch>,
}

/// A stretch of skeleton across a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    from: f64,
    to: f64,
    /// Whether it begins, and ends, at the edge of the sheet or in a slot.
    open: (bool, bool),
}

impl CutSheet {
    /// Adds the cuts in its skeleton that a table asks for to its plan.
    pub fn part_the_rest(
        &mut self,
        plates: &[CutPlate],
        web: f64,
        settings: &CutSettings,
        table: &Table,
    ) -> Result<(), Unresolved> {
        let border = self.border(plates, web, settings, table.cut_off);
        let parted = match &border {
            Some(border) => border.left(&self.outline, self.kerf)?,
            None => None,
        };
        let parted = parted.filter(is_worth_keeping);
        let border = border.filter(|_| parted.is_some());
        let mut cuts = Vec::new();
        if let Some(lift) = table.lift {
            let skeleton = Skeleton::of(self, plates, border.as_ref())?;
            let (slices, pieces) = skeleton.in_pieces(lift);
            cuts = skeleton.runs(&slices);
            if pieces.len() > 1 {
                self.rest.pieces = pieces;
            }
        }
        let to_part = border.iter().flat_map(|it| it.runs(&self.outline));
        let to_part = to_part.map(|run| (ScrapWork::CutOff, run));
        let cuts = cuts.into_iter().map(|run| (ScrapWork::Skeleton, run));
        let mut here = self
            .plan
            .paths
            .last()
            .map_or(Point::ORIGIN, |it| it.1.end());
        let cuts = cuts.chain(to_part).map(|(work, run)| {
            let segments = match work {
                ScrapWork::CutOff => from_the_nearer_end(run, here),
                ScrapWork::Skeleton => run,
            };
            here = segments[segments.len() - 1].end();
            ScrapCut {
                work,
                segments,
                feed: settings.feed,
                pierce_time: settings.pierce_time,
            }
        });
        let cuts: Vec<ScrapCut> = cuts.collect();
        let placed: Vec<Placed> = self.placements.iter().map(Placement::placed).collect();
        let plan = std::mem::take(&mut self.plan);
        self.plan = plan.followed_by(cuts, &placed, table);
        self.rest.parted = parted;
        Ok(())
    }

    /// Where a cut would part what is left.
    fn border(
        &self,
        plates: &[CutPlate],
        web: f64,
        settings: &CutSettings,
        cut_off: CutOff,
    ) -> Option<Border> {
        let in_steps = match cut_off {
            CutOff::No => return None,
            CutOff::Straight => false,
            CutOff::Outline => true,
        };
        let mut boxes = vec![None; self.placements.len()];
        let free = self.placements.iter().zip(&mut boxes);
        for (placement, around) in free.filter(|it| it.0.inside.is_none()) {
            let burnt = &plates[placement.piece].prepared.outline;
            *around = Some(burnt.posed(&placement.pose).bounds());
        }
        // A run may start elsewhere than the plate's own, beyond that.
        for (placement, path) in &self.plan.paths {
            if let Some(around) = &mut boxes[*placement] {
                *around = around.union(path.reaches(settings));
            }
        }
        let boxes: Vec<Bounds> = boxes.into_iter().flatten().collect();
        let clear = web + self.kerf / 2.0;
        Border::new(self.outline.bounds(), self.along, &boxes, clear, in_steps)
    }
}

fn from_the_nearer_end(run: Vec<Segment>, here: Point) -> Vec<Segment> {
    let (start, end) = (run[0].start(), run[run.len() - 1].end());
    if here.distance(start) <= here.distance(end) {
        return run;
    }
    run.iter().rev().map(Segment::reversed).collect()
}

/// What is left of a sheet around its plates.
struct Skeleton<'a> {
    sheet: &'a CutSheet,
    /// For each plate that lies in no other, its outside with the slot around it.
    cut_out: Vec<(Bounds, Region)>,
    border: Option<&'a Border>,
    /// Mass of a square millimetre, kg.
    mass: f64,
}

impl<'a> Skeleton<'a> {
    fn of(
        sheet: &'a CutSheet,
        plates: &[CutPlate],
        border: Option<&'a Border>,
    ) -> Result<Self, Unresolved> {
        let mut grown: Vec<Option<Region>> = vec![None; plates.len()];
        let mut cut_out = Vec::new();
        for placement in sheet.placements.iter().filter(|it| it.inside.is_none()) {
            let of_kind = &mut grown[placement.piece];
            let region = if let Some(known) = of_kind {
                known.posed(&placement.pose)
            } else {
                let outside: Region = plates[placement.piece].plate.face.outside.clone().into();
                let made = outside.offset(sheet.kerf)?;
                of_kind.insert(made).posed(&placement.pose)
            };
            cut_out.push((region.bounds(), region));
        }
        let found = material::find(&sheet.material);
        Ok(Self {
            sheet,
            cut_out,
            border,
            mass: found.map_or(0.0, |it| it.mass(1.0, sheet.thickness)),
        })
    }

    fn along(&self) -> Along {
        self.sheet.along
    }

    /// What of it lies at a place along the sheet.
    fn at(&self, at: f64) -> Slice {
        let along = self.along();
        let bounds = self.sheet.outline.bounds();
        let (low, high) = (
            border::across(along, bounds.min) - 1.0,
            border::across(along, bounds.max) + 1.0,
        );
        let ends = (
            border::point(along, at, low),
            border::point(along, at, high),
        );
        let across = |(a, b): (Point, Point)| (border::across(along, a), border::across(along, b));
        let metal = self.sheet.outline.stretches(ends.0, ends.1).into_iter();
        let mut stretches: Vec<Stretch> = metal
            .map(across)
            .map(|(from, to)| Stretch {
                from,
                to,
                open: (true, true),
            })
            .collect();
        if let Some(border) = self.border {
            let short = border.short_of(at);
            let within = |it: &Stretch| -> Vec<Stretch> {
                let parts = short.iter().map(|(from, to)| Stretch {
                    from: it.from.max(*from),
                    to: it.to.min(*to),
                    open: (it.from >= *from, it.to <= *to),
                });
                parts.filter(|it| it.to - it.from > NOTHING).collect()
            };
            stretches = stretches.iter().flat_map(within).collect();
        }
        for (bounds, region) in &self.cut_out {
            if along.of(bounds.min) > at || along.of(bounds.max) < at {
                continue;
            }
            for (from, to) in region.stretches(ends.0, ends.1).into_iter().map(across) {
                stretches = stretches
                    .iter()
                    .flat_map(|it| it.without(from, to))
                    .collect();
            }
        }
        Slice { at, stretches }
    }

    /// Where it is cut so that no piece is heavier than `most` kg where that can be, and the masses of the
    /// pieces.
    fn in_pieces(&self, most: f64) -> (Vec<Slice>, Vec<f64>) {
        let bounds = self.sheet.outline.bounds();
        let begins = self.along().of(bounds.min);
        let count = ((self.along().of(bounds.max) - begins) / STEP).ceil() as usize;
        let slices: Vec<Slice> = (0..=count)
            .map(|k| self.at(begins + k as f64 * STEP))
            .collect();
        // The mass up to each place.
        let mut up_to = vec![0.0];
        for two in slices.windows(2) {
            let mean = f64::midpoint(two[0].length(), two[1].length());
            up_to.push(up_to[up_to.len() - 1] + mean * STEP * self.mass);
        }
        let whole = up_to[count];
        let mut cuts: Vec<usize> = Vec::new();
        let mut pieces = Vec::new();
        let mut last = 0;
        while whole - up_to[last] > most {
            let left = whole - up_to[last];
            let even = left / (left / most).ceil();
            let least = last + (SHORTEST / STEP) as usize;
            let short_of = |mass: f64| up_to.partition_point(|it| *it <= up_to[last] + mass);
            let farthest = short_of(most).saturating_sub(1).max(least);
            let wanted = short_of(even).saturating_sub(1);
            let slack = ((wanted - last) as f64 * MOVES) as usize;
            let from = wanted.saturating_sub(slack).max(least);
            let to = (wanted + slack).min(farthest).max(from);
            let best = (from..=to)
                .filter(|k| *k < count)
                .min_by(|a, b| slices[*a].cost().total_cmp(&slices[*b].cost()));
            let Some(best) = best else { break };
            pieces.push(up_to[best] - up_to[last]);
            cuts.push(best);
            last = best;
        }
        pieces.push(whole - up_to[last]);
        let mut is_cut = cuts.into_iter().peekable();
        let kept = slices.into_iter().enumerate();
        let kept = kept.filter(|(k, _)| is_cut.next_if_eq(k).is_some());
        (kept.map(|(_, slice)| slice).collect(), pieces)
    }

    /// The runs of some cuts, one cut up and the next one down.
    fn runs(&self, slices: &[Slice]) -> Vec<Vec<Segment>> {
        let along = self.along();
        let runs = slices.iter().zip([true, false].into_iter().cycle());
        let runs = runs.flat_map(|(slice, up)| {
            let mut stretches = slice.stretches.clone();
            if !up {
                stretches.reverse();
            }
            stretches.into_iter().map(move |it| {
                let place = |across| border::point(along, slice.at, across);
                let starts_low = match it.open {
                    (true, false) => true,
                    (false, true) => false,
                    _ => up,
                };
                let (start, end) = if starts_low {
                    (it.from, it.to)
                } else {
                    (it.to, it.from)
                };
                vec![Segment::Line {
                    start: place(start),
                    end: place(end),
                }]
            })
        });
        runs.collect()
    }
}

impl Slice {
    fn length(&self) -> f64 {
        self.stretches.iter().map(|it| it.to - it.from).sum()
    }

    fn cost(&self) -> f64 {
        self.length() + self.stretches.len() as f64 * START
    }
}

impl Stretch {
    /// What is left of it beside a slot.
    fn without(self, from: f64, to: f64) -> Vec<Self> {
        let before = Self {
            to: self.to.min(from),
            open: (self.open.0, self.open.1 || from < self.to),
            ..self
        };
        let after = Self {
            from: self.from.max(to),
            open: (self.open.0 || to > self.from, self.open.1),
            ..self
        };
        if to <= self.from || from >= self.to {
            return vec![self];
        }
        let parts = [before, after].into_iter();
        parts.filter(|it| it.to - it.from > NOTHING).collect()
    }
}
