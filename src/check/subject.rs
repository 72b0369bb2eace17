//! What the checks look at: a plate's openings with their edges, and what the table does with them.

use super::Limits;
use crate::geometry::{Circle, Contour, Point};
use crate::plate::{Finish, Opening, Plate, Purpose};
use crate::trade::thread::{self, Thread};

/// Slack when a measure is compared with its limit, mm: a plate drawn exactly to the limit keeps it.
pub(super) const SLACK: f64 = 1e-6;

/// A plate under the eye of the checks.
#[derive(Clone, Copy)]
pub(super) struct Subject<'a> {
    pub(super) plate: &'a Plate,
    pub(super) limits: Option<&'a Limits>,
}

/// An opening with its edge.
#[derive(Clone, Copy)]
pub(super) struct Hole<'a> {
    pub(super) opening: &'a Opening,
    pub(super) edge: &'a Contour,
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
    pub(super) fn holes(self) -> impl Iterator<Item = Hole<'a>> {
        let edges = &self.plate.face.openings;
        self.plate
            .openings
            .iter()
            .zip(edges)
            .map(|(opening, edge)| Hole { opening, edge })
    }

    /// Every opening that the torch makes, to size or undersize.
    pub(super) fn cut_holes(self) -> impl Iterator<Item = Hole<'a>> {
        self.holes().filter(move |hole| !self.is_drilled(*hole))
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
                    hole: hole.circle()?,
                    thread: hole.thread(),
                })
            })
            .collect()
    }

    /// Whether a hole is only centre-marked and left to the drill: asked for, or by rule because it
    /// is too small for the table.
    pub(super) fn is_drilled(self, hole: Hole<'_>) -> bool {
        let Some(circle) = hole.circle() else {
            return false;
        };
        let too_small = self.limits.is_some_and(|limits| {
            let diameter = 2.0 * circle.radius;
            diameter < limits.smallest_hole || diameter <= limits.kerf
        });
        match hole.opening.finish {
            Finish::Drill => true,
            Finish::ByRule => too_small,
            Finish::Cut | Finish::Undersize => false,
        }
    }

    /// Whether people can die when the part breaks.
    pub(super) fn is_safety_critical(self) -> bool {
        self.plate
            .cautions
            .iter()
            .any(|topic| topic == "safety-critical")
    }

    /// The middle of the part, for findings about the whole of it.
    pub(super) fn middle(self) -> Point {
        self.plate.face.outside.bounds().centre()
    }
}

impl Hole<'_> {
    /// Its circle, if it is round.
    pub(super) fn circle(&self) -> Option<Circle> {
        self.opening.circle.or_else(|| self.edge.as_circle())
    }

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
