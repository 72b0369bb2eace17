//! What the steps of a plate come to, ready to be carried out as often as a question needs it.
//!
//! In: stages with shapes in their places. Out: the region they leave, up to any stage, with or
//! without some of the cuts. Consecutive stages that add, cut or keep are one arrangement, so that
//! errors do not pile up; hollowing and rounding stand between. Each result is held against a second
//! reckoning before the next builds on it, and worked out anew if it does not bear it out.

use std::cell::LazyCell;

use crate::geometry::{Circle, Contour, Region, Unresolved, arrange_proved, crowd};
use crate::recipe::words::{Corners, Finish, Operation, Purpose};

use super::{Bend, Mark, proof};

/// The steps of a plate that count, worked out.
#[derive(Debug, Clone, Default)]
pub(super) struct Construction {
    /// What makes the metal, in order.
    pub(super) stages: Vec<Stage>,
    /// Every copy of every shape that is cut, in order.
    pub(super) cuts: Vec<Cut>,
    /// Outlines of shapes whose edges fit another part.
    pub(super) mating: Vec<Contour>,
    /// Lines and text.
    pub(super) marks: Vec<Mark>,
    /// Fold lines.
    pub(super) bends: Vec<Bend>,
}

/// One step that makes metal.
#[derive(Debug, Clone)]
pub(super) struct Stage {
    /// Which step of the plan it is.
    pub(super) step: usize,
    /// What it does.
    pub(super) work: Work,
}

/// What a stage does.
#[derive(Debug, Clone)]
pub(super) enum Work {
    /// Adds, cuts or keeps some copies of a shape.
    Shapes(Operation, Vec<Copy>),
    /// Keeps a band of this width, mm, along the inside of the outline.
    Hollow(f64),
    /// Rounds corners with this radius, mm.
    Round(Corners, f64),
}

/// A shape in its place.
#[derive(Debug, Clone)]
pub(super) struct Copy {
    /// The shape.
    pub(super) region: Region,
    /// Which of the cuts it is, if it is one.
    pub(super) cut: Option<usize>,
}

/// What a copy of a shape is cut for.
#[derive(Debug, Clone)]
pub(super) struct Cut {
    /// Which step of the plan cuts it.
    pub(super) step: usize,
    /// The step's name.
    pub(super) title: String,
    /// Its number among all places of that name, from 1.
    pub(super) number: u32,
    /// What it is for.
    pub(super) purpose: Purpose,
    /// The thread that passes or is tapped.
    pub(super) thread: Option<String>,
    /// How it is to be made.
    pub(super) finish: Finish,
    /// What is cut.
    pub(super) region: Region,
    /// The circle, if it is one.
    pub(super) circle: Option<Circle>,
    /// The full pitch circle it stands on, if it does: number of places and diameter, mm.
    pub(super) pattern: Option<(u32, f64)>,
}

impl Construction {
    /// The region that all stages leave.
    pub(super) fn region(&self) -> Result<Region, Unresolved> {
        self.region_after(self.stages.len(), &|_| true)
    }

    /// The region that the first so many stages leave, with only the cuts that are wanted.
    pub(super) fn region_after(
        &self,
        stages: usize,
        wanted: &dyn Fn(usize) -> bool,
    ) -> Result<Region, Unresolved> {
        let mut region = Region::EMPTY;
        let mut waiting = Vec::new();
        for stage in &self.stages[..stages] {
            match &stage.work {
                Work::Shapes(operation, copies) => {
                    let counting = copies.iter().filter(|copy| copy.cut.is_none_or(wanted));
                    let shapes = counting.map(|copy| copy.region.clone());
                    waiting.push((*operation, shapes.collect()));
                }
                Work::Hollow(wall) => {
                    region = arranged(region, &mut waiting)?;
                    region = banded(&region, *wall)?;
                }
                Work::Round(corners, radius) => {
                    region = arranged(region, &mut waiting)?;
                    region = rounded(&region, *corners, *radius)?;
                }
            }
        }
        arranged(region, &mut waiting)
    }
}

/// Puts all shapes that wait into one arrangement with the region so far.
fn arranged(
    region: Region,
    waiting: &mut Vec<(Operation, Vec<Region>)>,
) -> Result<Region, Unresolved> {
    if waiting.is_empty() {
        return Ok(region);
    }
    let steps = std::mem::take(waiting);
    let mut sources = vec![region];
    let mut stages = Vec::with_capacity(steps.len());
    for run in steps.chunk_by(|(before, _), (next, _)| may_be_one(*before, *next)) {
        let shapes = run.iter().flat_map(|(_, shapes)| shapes.iter().cloned());
        let first = sources.len();
        sources.extend(crowd::thinned(shapes.collect())?);
        stages.push((run[0].0, first..sources.len()));
    }
    let rule = |inside: &[bool]| {
        stages.iter().fold(inside[0], |metal, (operation, copies)| {
            let here = inside[copies.clone()].contains(&true);
            match operation {
                Operation::Add => metal || here,
                Operation::Cut => metal && !here,
                Operation::Keep => metal && here,
            }
        })
    };
    let expected = LazyCell::new(|| proof::of_shapes(&sources[0], &steps));
    arrange_proved(&sources, &rule, &|found| expected.confirms(found))
}

/// Whether one step after the other does what one step with the shapes of both would do.
pub(super) fn may_be_one(before: Operation, next: Operation) -> bool {
    before == next && before != Operation::Keep
}

/// A band along the inside of the outline.
fn banded(region: &Region, wall: f64) -> Result<Region, Unresolved> {
    let inner = offset(region, -wall)?;
    let mut cut = vec![(Operation::Cut, vec![inner])];
    arranged(region.clone(), &mut cut)
}

/// Corners filled by growing and shrinking, cut back by shrinking and growing.
fn rounded(region: &Region, corners: Corners, radius: f64) -> Result<Region, Unresolved> {
    let inside = |region: &Region| offset(&offset(region, radius)?, -radius);
    let outside = |region: &Region| offset(&offset(region, -radius)?, radius);
    match corners {
        Corners::Inside => inside(region),
        Corners::Outside => outside(region),
        Corners::Both => outside(&inside(region)?),
    }
}

fn offset(region: &Region, distance: f64) -> Result<Region, Unresolved> {
    let expected = LazyCell::new(|| proof::of_offset(region, distance));
    region.offset_proved(distance, &|found| expected.confirms(found))
}
