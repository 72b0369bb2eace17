//! One torch-on run, what a plate needs of them, and a sheet's worth in order.

use crate::finding::Finding;
use crate::geometry::{Contour, Point, Pose, Region, Segment, Vector};
use crate::layer::Layer;
use crate::recipe::CutOrder;

/// How much of its contour a run cuts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reach {
    /// All of it.
    Whole,
    /// From one holding tab to the next.
    BetweenTabs,
}

/// One torch-on run: pierce, lead-in, contour, overcut or lead-out.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPath {
    /// Which layer it goes on.
    pub layer: Layer,
    /// The whole run as an open chain, pierce first: lead-in, kerf-compensated contour, overcut or
    /// lead-out.
    pub segments: Vec<Segment>,
    /// How many of `segments` are lead-in.
    pub lead_in: usize,
    /// How many at the end are overcut or lead-out.
    pub tail: usize,
    /// The nominal contour it cuts, as in the plate's face.
    pub nominal: Contour,
    /// How much of it.
    pub reach: Reach,
    /// Index into the plate's `openings`; `None` for the outside contour.
    pub opening: Option<usize>,
    /// Feed, mm/s.
    pub feed: f64,
    /// Time the torch waits at the pierce, s.
    pub pierce_time: f64,
}

impl CutPath {
    /// Where the torch pierces.
    #[must_use]
    pub fn pierce(&self) -> Point {
        self.segments[0].start()
    }

    /// Where the torch goes off.
    #[must_use]
    pub fn end(&self) -> Point {
        self.segments[self.segments.len() - 1].end()
    }

    /// What it burns beside its contour: the lead-in, and off the outside the lead-out.
    #[must_use]
    pub fn beside(&self) -> Vec<Segment> {
        let lead_out = match self.opening {
            None => self.segments.len() - self.tail,
            Some(_) => self.segments.len(),
        };
        [&self.segments[..self.lead_in], &self.segments[lead_out..]].concat()
    }

    /// The kerf path itself, without lead-in and tail: closed if it is the whole contour's.
    #[must_use]
    pub fn around(&self) -> &[Segment] {
        &self.segments[self.lead_in..self.segments.len() - self.tail]
    }

    /// Torch-on length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// The run moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        let segments = self.segments.iter().map(|segment| segment.posed(pose));
        Self {
            segments: segments.collect(),
            nominal: self.nominal.posed(pose),
            ..self.clone()
        }
    }
}

/// A short stretch of a contour that is left uncut, to be snipped once the sheet is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldingTab {
    /// Index into the plate's `openings`; `None` on the outside.
    pub opening: Option<usize>,
    /// Its middle on the finished edge.
    pub at: Point,
    /// Unit vector from there into the plate.
    pub into_plate: Vector,
    /// Width of its metal at the narrowest, mm.
    pub width: f64,
}

impl HoldingTab {
    /// The tab moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            at: pose.point(self.at),
            into_plate: pose.vector(self.into_plate),
            ..*self
        }
    }
}

/// Another place for a run to start, hardly worse for the part. Its lead is not in the footprint: it
/// may be taken where the sheet leaves room for it.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherStart {
    /// The same contour, run from there.
    pub path: CutPath,
    /// How much more than the plate's own path it hurts, as leads are weighed.
    pub hurts: f64,
}

/// Everything the torch does for one plate, in plate coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct PreparedPlate {
    /// Openings first, the outside last. Their leads fit wherever the footprint fits. The runs of a
    /// contour with holding tabs follow one another as they go round it.
    pub paths: Vec<CutPath>,
    /// For each path, other places to start it; none between holding tabs.
    pub others: Vec<Vec<OtherStart>>,
    /// Where it stays tied to the sheet, or a slug to it.
    pub tabs: Vec<HoldingTab>,
    /// What the torch burns and pierces around the outside, filled (no openings): the plate grown by
    /// the kerf, with its outside lead and the clearance of its pierce.
    pub outline: Region,
    /// The room left in each opening for other parts: `(index into openings, region)`. Windows too
    /// small to matter are left out.
    pub room: Vec<(usize, Region)>,
    /// Notes and warnings on leads that had to be shortened and the like.
    pub findings: Vec<Finding>,
}

impl PreparedPlate {
    /// The runs contour by contour: one each, or several between holding tabs.
    pub fn contours(&self) -> impl Iterator<Item = &[CutPath]> {
        self.paths.chunk_by(|a, b| a.opening == b.opening)
    }

    /// The number of a contour of the plate, from 1, by its opening: the same for every copy, whatever
    /// the order that they are cut in.
    #[must_use]
    pub fn contour_number(&self, opening: Option<usize>) -> usize {
        let before = self
            .contours()
            .take_while(|runs| runs[0].opening != opening);
        before.count() + 1
    }
}

/// A plate laid on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Index of the prepared plate.
    pub plate: usize,
    /// From plate to sheet coordinates; never mirrored, or the torch would run the wrong way round.
    pub pose: Pose,
    /// The placement (index on the same sheet) whose window it sits in.
    pub inside: Option<usize>,
}

/// The sheet that plates lie on, as the torch must respect it.
#[derive(Debug, Clone, Copy)]
pub struct SheetLimits<'a> {
    /// The metal up to its edges, in sheet coordinates.
    pub metal: &'a Region,
    /// Least distance of what is burnt from the edge, mm.
    pub margin: f64,
    /// Least metal between what is burnt for two parts, mm.
    pub web: f64,
}

/// All torch work on one sheet, in the order cut, in sheet coordinates.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetPlan {
    /// `(index of the placement, its path)` in cutting order.
    pub paths: Vec<(usize, CutPath)>,
    /// For each of them, the way to its pierce with the torch off: from where it was over the corners
    /// of a detour, if there is one, to the pierce. The first starts at the sheet's origin.
    pub rapids: Vec<Vec<Point>>,
    /// Torch-on length, mm.
    pub cut_length: f64,
    /// Length of rapid moves, mm.
    pub rapid_length: f64,
    /// Estimated time, s.
    pub time: f64,
    /// The law of the order.
    pub order: CutOrder,
    /// What keeping to it costs beside the shortest order found: zero where that is the law.
    pub order_costs: OrderCosts,
}

/// What one order costs more than another.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OrderCosts {
    /// Length of rapid moves, mm.
    pub rapid_length: f64,
    /// Estimated time, s.
    pub time: f64,
}
