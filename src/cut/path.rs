//! One torch-on run, what a plate needs of them, and a sheet's worth in order.

use std::borrow::Cow;

use super::corners;
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
    /// None: it parts the slug of its opening, before that is cut out.
    AcrossSlug,
    /// What the cuts of its neighbours, which are edges of this plate too, have left.
    BesideCut,
}

/// A loop in the scrap that a run makes at a sharp corner of an outside: three pieces in place of one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerLoop {
    /// The first of the three among the run's segments.
    pub first: usize,
    /// The piece of the kerf path that they stand for.
    pub corner: Segment,
}

/// How a run is slowed down near corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlowCorners {
    /// Share of the feed.
    pub share: f64,
    /// So far before and behind a corner, mm.
    pub reach: f64,
    /// Arcs of this radius or less are corners too, mm.
    pub tight: f64,
}

/// How a run begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunStart {
    /// With a pierce through solid metal.
    Pierce,
    /// In a hole of this diameter, mm, that is drilled before the sheet is cut.
    Drilled(f64),
    /// At the edge of the sheet or in a slot that is burnt already.
    Edge,
}

/// One torch-on run: pierce, lead-in, contour, overcut or lead-out.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPath {
    /// Which layer it goes on.
    pub layer: Layer,
    /// The whole run as an open chain, pierce first: lead-in, kerf-compensated contour, overcut or
    /// lead-out.
    pub segments: Vec<Segment>,
    /// How it begins.
    pub start: RunStart,
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
    /// Loops at corners, in their order.
    pub loops: Vec<CornerLoop>,
    /// Feed, mm/s.
    pub feed: f64,
    /// How it is slowed down near corners, if it is.
    pub slow: Option<SlowCorners>,
    /// Time the torch waits at the pierce, s.
    pub pierce_time: f64,
}

/// How many pieces a [`CornerLoop`] is.
const LOOP: usize = 3;

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

    /// Its pieces, each with its feed, mm/s.
    #[must_use]
    pub fn paced(&self) -> Vec<(Segment, f64)> {
        corners::paced(self)
    }

    /// The pieces of its loops.
    pub fn looped(&self) -> impl Iterator<Item = &Segment> {
        let loops = self.loops.iter();
        loops.flat_map(|it| &self.segments[it.first..it.first + LOOP])
    }

    /// What it burns beside its contour: the lead-in, loops at corners, and off the outside the lead-out.
    #[must_use]
    pub fn beside(&self) -> Vec<Segment> {
        if self.reach == Reach::AcrossSlug {
            return self.segments.clone();
        }
        let lead_out = match self.opening {
            None => self.segments.len() - self.tail,
            Some(_) => self.segments.len(),
        };
        let looped: Vec<Segment> = self.looped().copied().collect();
        [
            &self.segments[..self.lead_in],
            &looped,
            &self.segments[lead_out..],
        ]
        .concat()
    }

    /// The kerf path itself, without lead-in, loops and tail: closed if it is the whole contour's.
    #[must_use]
    pub fn around(&self) -> Cow<'_, [Segment]> {
        let end = self.segments.len() - self.tail;
        if self.loops.is_empty() {
            return Cow::Borrowed(&self.segments[self.lead_in..end]);
        }
        let mut around = Vec::with_capacity(end - self.lead_in);
        let mut at = self.lead_in;
        for it in &self.loops {
            around.extend_from_slice(&self.segments[at..it.first]);
            around.push(it.corner);
            at = it.first + LOOP;
        }
        around.extend_from_slice(&self.segments[at..end]);
        Cow::Owned(around)
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
        let loops = self.loops.iter().map(|it| CornerLoop {
            corner: it.corner.posed(pose),
            ..*it
        });
        Self {
            segments: segments.collect(),
            loops: loops.collect(),
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

/// A slug that is cut up before its opening is cut out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutUpSlug {
    /// Index into the plate's `openings`.
    pub opening: usize,
    /// Runs that it takes.
    pub runs: usize,
    /// No piece is longer than this from corner to corner, mm.
    pub longest: f64,
}

/// What a cut in scrap is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ScrapWork {
    /// It parts the skeleton into pieces that can be lifted.
    Skeleton,
    /// It parts what is left of the sheet from the skeleton.
    CutOff,
}

/// A torch-on run through the skeleton of a sheet, once all plates are cut, from an open end on: the edge of the
/// sheet, or a slot that is burnt already.
#[derive(Debug, Clone, PartialEq)]
pub struct ScrapCut {
    /// What it is for.
    pub work: ScrapWork,
    /// The run as an open chain.
    pub segments: Vec<Segment>,
    /// Feed, mm/s.
    pub feed: f64,
    /// Time the torch waits at its start, s.
    pub pierce_time: f64,
}

impl ScrapCut {
    /// Where it starts.
    #[must_use]
    pub fn start(&self) -> Point {
        self.segments[0].start()
    }

    /// Where it ends.
    #[must_use]
    pub fn end(&self) -> Point {
        self.segments[self.segments.len() - 1].end()
    }

    /// Torch-on length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
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
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PreparedPlate {
    /// Openings first, the outside last. Their leads fit wherever the footprint fits. The runs of a
    /// contour with holding tabs follow one another as they go round it.
    pub paths: Vec<CutPath>,
    /// For each path, other places to start it; none between holding tabs, or where nobody chooses.
    pub others: Vec<Vec<OtherStart>>,
    /// Where it stays tied to the sheet, or a slug to it.
    pub tabs: Vec<HoldingTab>,
    /// Slugs that are cut up, unless other plates lie in them.
    pub slugs: Vec<CutUpSlug>,
    /// What the torch burns and pierces around the outside, filled (no openings): the plate grown by
    /// the kerf, with its outside lead and the clearance of its pierce.
    pub outline: Region,
    /// The room left in each opening for other parts: `(index into openings, region)`. Windows too
    /// small to matter are left out.
    pub room: Vec<(usize, Region)>,
    /// Whether its edges may be cut together with those of its neighbours.
    pub shares: bool,
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
    /// What is cut in the skeleton after them, in sheet coordinates and in cutting order.
    pub scrap: Vec<ScrapCut>,
    /// For each run, those in the skeleton last, the way to its pierce with the torch off: from where it was
    /// over the corners of a detour, if there is one, to the pierce. The first starts at the sheet's origin.
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

impl SheetPlan {
    /// How many runs there are: of plates, and in the skeleton after them.
    #[must_use]
    pub fn runs(&self) -> usize {
        self.paths.len() + self.scrap.len()
    }

    /// How many runs begin with a pierce: those that begin in a drilled hole or at an open edge do not.
    #[must_use]
    pub fn pierced(&self) -> usize {
        let pierces = |it: &&(usize, CutPath)| it.1.start == RunStart::Pierce;
        self.paths.iter().filter(pierces).count() + self.scrap.len()
    }

    /// Where holes are to be drilled for runs to begin in, with their diameter, mm.
    pub fn drilled_starts(&self) -> impl Iterator<Item = (Point, f64)> {
        self.paths.iter().filter_map(|(_, path)| match path.start {
            RunStart::Drilled(drill) => Some((path.pierce(), drill)),
            RunStart::Pierce | RunStart::Edge => None,
        })
    }

    /// Every piece that is burnt.
    pub fn burnt(&self) -> impl Iterator<Item = &Segment> {
        let of_plates = self.paths.iter().flat_map(|(_, path)| &path.segments);
        of_plates.chain(self.scrap.iter().flat_map(|cut| &cut.segments))
    }

    /// Where each run is pierced or started, in cutting order.
    pub fn pierces(&self) -> impl Iterator<Item = Point> {
        let of_plates = self.paths.iter().map(|(_, path)| path.pierce());
        of_plates.chain(self.scrap.iter().map(ScrapCut::start))
    }
}

/// What one order costs more than another.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OrderCosts {
    /// Length of rapid moves, mm.
    pub rapid_length: f64,
    /// Estimated time, s.
    pub time: f64,
}
