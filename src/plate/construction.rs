//! The steps of a plate with their numbers worked out: evaluated once, replayed as often as needed.
//!
//! In: stages, each an operation with its shapes in place. Out: the region after any stage, with all
//! cuts or only some of them. Stages in a row that add, cut or keep are one arrangement of all their
//! shapes, so that rounding errors do not pile up; hollowing and rounding corners work on its result.
//! Every result is compared with a second computation on chords while the next stages use it already; if one is in
//! doubt, all is done again, each result compared before the next stage uses it, and computed with other tolerances
//! where the two differ. Specks that rounding leaves are dropped after each, before anything makes more of them;
//! crumbs in the end.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::Scope;

use crate::finding::Finding;
use crate::geometry::{
    Bounds, Circle, Contour, Face, Region, Segment, Unresolved, arrange_proved, crowd, kernel,
};
use crate::recipe::words::{Corners, Finish, Operation, Purpose};

use super::known_outlines::KnownOutlines;
use super::proof::{self, Expected};
use super::{Bend, Beside, Mark};

/// Pieces and openings narrower than this in the mean, mm, are specks.
const SPECK: f64 = 2e-3;
/// A piece of less than this, mm², beside one of more is a crumb: narrower both ways than any kerf.
const CRUMB: f64 = 0.05;

/// The steps of a plate that count, worked out.
#[derive(Debug, Clone, Default)]
pub(super) struct Construction<'a> {
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
    /// What is to be said of how its drawings were read.
    pub(super) findings: Vec<Finding>,
    /// What drawings and pictures show beside the metal.
    pub(super) beside: Beside,
    /// Boxes around contours of drawings, with the layers that these are drawn on.
    pub(super) drawn_on: Vec<(Bounds, Vec<String>)>,
    /// Whether its region is proved.
    pub(super) proof: Proof<'a>,
}

/// Whether what shapes come to is compared with what another engine makes of them.
#[derive(Debug, Clone, Copy, Default)]
pub(super) enum Proof<'a> {
    /// It is.
    #[default]
    Wanted,
    /// It is not: nothing is cut of it. What was worked out before need not be worked out again.
    Spared(&'a KnownOutlines),
}

/// How the steps of a region are proved.
#[derive(Clone, Copy)]
enum Proving<'a, 'scope> {
    /// Not at all.
    Not,
    /// Each before the next begins.
    Each,
    /// Each while the next ones are worked out: whether one is in doubt is known when all are done.
    Meanwhile(&'a Scope<'scope>, &'scope AtomicBool),
}

impl Proving<'_, '_> {
    /// What a step comes to, compared with what a second opinion expects, where it is asked for.
    fn of(
        self,
        step: impl Fn(&kernel::Proof<'_>) -> Result<Region, Unresolved> + Sync,
        expected: impl FnOnce() -> Expected + Send + 'static,
    ) -> Result<Region, Unresolved> {
        let unproved = || step(&|_| Ok(()));
        match self {
            Self::Not => unproved(),
            Self::Each => {
                let (made, expected) = rayon::join(unproved, expected);
                let made = made?;
                match expected.confirms(&made) {
                    Ok(()) => Ok(made),
                    // With other tolerances, from the first.
                    Err(_) => step(&|found| expected.confirms(found)),
                }
            }
            Self::Meanwhile(scope, is_in_doubt) => {
                let made = unproved()?;
                let compared = made.clone();
                scope.spawn(move |_| {
                    if expected().confirms(&compared).is_err() {
                        is_in_doubt.store(true, Ordering::Relaxed);
                    }
                });
                Ok(made)
            }
        }
    }
}

/// One step that makes metal.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stage {
    /// Which step of the plan it is.
    pub(super) step: usize,
    /// What it does.
    pub(super) work: Work,
}

/// What a stage does.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Work {
    /// Adds, cuts or keeps some copies of a shape.
    Shapes(Operation, Vec<ShapeInstance>),
    /// Keeps a band of this width, mm, along the inside of the outline.
    Hollow(f64),
    /// Rounds corners with this radius, mm: all, or those within a circle.
    Round(Corners, f64, Option<Circle>),
}

/// A shape in its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ShapeInstance {
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

impl Construction<'_> {
    /// The region that all stages leave.
    pub(super) fn region(&self) -> Result<Region, Unresolved> {
        if let Proof::Spared(known) = self.proof {
            return made_unproved(&self.stages, known.of(&self.stages), |_, _| {});
        }
        self.region_after(self.stages.len(), &|_| true)
    }

    /// The region that the first so many stages leave, with only the cuts that are wanted.
    pub(super) fn region_after(
        &self,
        stages: usize,
        wanted: &dyn Fn(usize) -> bool,
    ) -> Result<Region, Unresolved> {
        let stages = &self.stages[..stages];
        if let Proof::Spared(_) = self.proof {
            return made(stages, wanted, Proving::Not);
        }
        let is_in_doubt = AtomicBool::new(false);
        let region = rayon::in_place_scope(|scope| {
            made(stages, wanted, Proving::Meanwhile(scope, &is_in_doubt))
        });
        if is_in_doubt.into_inner() {
            return made(stages, wanted, Proving::Each);
        }
        region
    }
}

/// What stages make, with only the cuts that are wanted.
fn made(
    stages: &[Stage],
    wanted: &dyn Fn(usize) -> bool,
    proving: Proving<'_, '_>,
) -> Result<Region, Unresolved> {
    let begun = (0, Region::EMPTY);
    continued(begun, stages, wanted, proving, |_, _| {})
}

/// What stages make, not proved, from what the first of them are known to make; `reached` is told what is there after
/// how many of them, where the next ones begin with that.
pub(super) fn made_unproved(
    stages: &[Stage],
    known: Option<(usize, &Region)>,
    reached: impl FnMut(usize, &Region),
) -> Result<Region, Unresolved> {
    let begun = known.map_or((0, Region::EMPTY), |(done, region)| (done, region.clone()));
    continued(begun, stages, &|_| true, Proving::Not, reached)
}

/// What stages make of the region that the first so many of them have made.
fn continued(
    (done, mut region): (usize, Region),
    stages: &[Stage],
    wanted: &dyn Fn(usize) -> bool,
    proving: Proving<'_, '_>,
    mut reached: impl FnMut(usize, &Region),
) -> Result<Region, Unresolved> {
    let mut waiting = Vec::new();
    for (index, stage) in stages.iter().enumerate().skip(done) {
        match &stage.work {
            Work::Shapes(operation, copies) => {
                let counting = copies.iter().filter(|copy| copy.cut.is_none_or(wanted));
                let shapes = counting.map(|copy| copy.region.clone());
                waiting.push((*operation, shapes.collect()));
            }
            Work::Hollow(wall) => {
                region = arranged(region, &mut waiting, proving)?;
                region = banded(&region, *wall, proving)?;
            }
            Work::Round(corners, radius, near) => {
                region = arranged(region, &mut waiting, proving)?;
                let made = rounded(&region, *corners, *radius, proving)?;
                region = match near {
                    Some(near) => rounded_near(region, &made, *near, proving)?,
                    None => made,
                };
            }
        }
        if waiting.is_empty() {
            reached(index + 1, &region);
        }
    }
    Ok(without_crumbs(arranged(region, &mut waiting, proving)?))
}

/// The region without pieces and openings narrower in the mean (twice the area by the length of the
/// edge) than [`SPECK`]: what rounding leaves beside shapes that should meet, and no table cuts.
fn without_specks(mut region: Region) -> Region {
    let is_real = |contour: &Contour| 2.0 * contour.signed_area().abs() > SPECK * contour.length();
    region.faces.retain(|face| is_real(&face.outside));
    for face in &mut region.faces {
        face.openings.retain(is_real);
    }
    region
}

/// The region without crumbs that a cut left of a corner, unless nothing else is left.
fn without_crumbs(mut region: Region) -> Region {
    let is_piece = |face: &Face| face.area() >= CRUMB;
    if region.faces.iter().any(is_piece) {
        region.faces.retain(is_piece);
    }
    region
}

/// Puts all shapes that wait into one arrangement with the region so far.
fn arranged(
    region: Region,
    waiting: &mut Vec<(Operation, Vec<Region>)>,
    proving: Proving<'_, '_>,
) -> Result<Region, Unresolved> {
    if waiting.is_empty() {
        return Ok(region);
    }
    let steps = std::mem::take(waiting);
    let mut sources = vec![region];
    let mut stages = Vec::with_capacity(steps.len());
    for run in steps.chunk_by(|(before, _), (next, _)| before.joins(*next)) {
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
    let before = sources[0].clone();
    let made = proving.of(
        |confirmed| arrange_proved(&sources, &rule, confirmed),
        move || proof::of_shapes(&before, &steps),
    )?;
    Ok(without_specks(made))
}

/// A band along the inside of the outline.
fn banded(region: &Region, wall: f64, proving: Proving<'_, '_>) -> Result<Region, Unresolved> {
    let inner = offset(region, -wall, proving)?;
    let mut cut = vec![(Operation::Cut, vec![inner])];
    arranged(region.clone(), &mut cut, proving)
}

/// Corners filled by growing and shrinking, cut back by shrinking and growing.
fn rounded(
    region: &Region,
    corners: Corners,
    radius: f64,
    proving: Proving<'_, '_>,
) -> Result<Region, Unresolved> {
    let inside = |region: &Region| offset(&offset(region, radius, proving)?, -radius, proving);
    let outside = |region: &Region| offset(&offset(region, -radius, proving)?, radius, proving);
    let made = match corners {
        Corners::Inside => inside(region),
        Corners::Outside => outside(region),
        Corners::Both => outside(&inside(region)?),
    };
    made.map(without_specks)
}

/// The region rounded only where what rounding fills or takes away comes within a circle.
fn rounded_near(
    region: Region,
    made: &Region,
    near: Circle,
    proving: Proving<'_, '_>,
) -> Result<Region, Unresolved> {
    let within = |face: &Face| {
        let mut corners = face.outside.segments().iter().map(Segment::start);
        corners.any(|it| it.distance(near.centre) <= near.radius)
    };
    let kept = |mut pieces: Region| {
        pieces.faces.retain(within);
        pieces
    };
    let between = |from: &Region, less: &Region| {
        let mut cut = vec![(Operation::Cut, vec![less.clone()])];
        arranged(from.clone(), &mut cut, proving)
    };
    let filled = kept(between(made, &region)?);
    let taken = kept(between(&region, made)?);
    let mut steps = vec![
        (Operation::Add, vec![filled]),
        (Operation::Cut, vec![taken]),
    ];
    arranged(region, &mut steps, proving)
}

fn offset(region: &Region, distance: f64, proving: Proving<'_, '_>) -> Result<Region, Unresolved> {
    let before = region.clone();
    proving.of(
        |confirmed| region.offset_proved(distance, confirmed),
        move || proof::of_offset(&before, distance),
    )
}
