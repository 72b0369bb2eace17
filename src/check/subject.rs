//! What the checks look at: a plate's openings with their edges, and what the table does with them.

use super::Limits;
use std::borrow::Cow;

use crate::geometry::{Circle, Contour, Point};
use crate::plate::{LoadClass, Opening, Plate, Purpose};
use crate::quantity::format::{self, CALIPER_STEP};
use crate::trade::thread::{self, Thread};

/// Slack when a measure is compared with its limit, mm: what would be printed as the limit keeps it.
pub(super) const SLACK: f64 = CALIPER_STEP / 2.0;

/// A length that is enough to keep a limit, in either unit.
pub(super) fn enough(mm: f64) -> String {
    format::enough(mm, true)
}

/// A plate under the eye of the checks.
#[derive(Clone, Copy)]
pub(super) struct Subject<'a> {
    pub(super) plate: &'a Plate,
    pub(super) limits: Option<&'a Limits>,
}

/// An opening with its finished edge.
#[derive(Clone, Copy)]
pub(super) struct FinishedHole<'a> {
    pub(super) opening: &'a Opening,
    pub(super) edge: &'a Contour,
}

/// An opening with the edge that the torch cuts, which is smaller where a drill or reamer follows.
#[derive(Clone)]
pub(super) struct CutHole<'a> {
    pub(super) opening: &'a Opening,
    pub(super) edge: Cow<'a, Contour>,
}

/// A bolt hole.
#[derive(Clone, Copy)]
pub(super) struct Bolt<'a> {
    pub(super) opening: &'a Opening,
    pub(super) hole: Circle,
    /// The thread, if the recipe names one that the tables know.
    pub(super) thread: Option<Thread>,
}

impl<'a> Subject<'a> {
    /// Every opening with its edge.
    pub(super) fn holes(self) -> impl Iterator<Item = FinishedHole<'a>> {
        let edges = &self.plate.face.openings;
        self.plate
            .openings
            .iter()
            .zip(edges)
            .map(|(opening, edge)| FinishedHole { opening, edge })
    }

    /// Every opening that the torch cuts, to size or undersize, as it cuts it.
    pub(super) fn cut_holes(self) -> impl Iterator<Item = CutHole<'a>> {
        let cut = self.holes().filter(|hole| !hole.opening.is_only_marked());
        cut.map(|FinishedHole { opening, edge }| {
            let pilot = opening.pilot().and_then(|_| opening.cut_circle());
            let pilot = pilot.map(|it| Contour::circle(it.centre, it.radius).reversed());
            let edge = pilot.map_or(Cow::Borrowed(edge), Cow::Owned);
            CutHole { opening, edge }
        })
    }

    /// Every round bolt hole.
    pub(super) fn bolts(self) -> Vec<Bolt<'a>> {
        self.round(Purpose::Bolt)
    }

    /// Every round hole of a purpose.
    pub(super) fn round(self, purpose: Purpose) -> Vec<Bolt<'a>> {
        self.holes()
            .filter(|hole| hole.opening.purpose == purpose)
            .filter_map(|hole| {
                Some(Bolt {
                    opening: hole.opening,
                    hole: hole.opening.circle?,
                    thread: hole.thread(),
                })
            })
            .collect()
    }

    /// Whether people can die when the part breaks.
    pub(super) fn is_safety_critical(self) -> bool {
        self.plate.load_class() == LoadClass::Cyclic
    }

    /// The middle of the part, for findings about the whole of it.
    pub(super) fn middle(self) -> Point {
        self.plate.face.outside.bounds().centre()
    }
}

impl FinishedHole<'_> {
    fn thread(&self) -> Option<Thread> {
        let written = self.opening.thread.as_deref()?;
        thread::read(written).ok()
    }
}

impl Bolt<'_> {
    /// The bolt's diameter; without a known thread the hole's, which is on the safe side. mm.
    pub(super) fn diameter(&self) -> f64 {
        self.thread
            .map_or(2.0 * self.hole.radius, |thread| thread.diameter)
    }
}
