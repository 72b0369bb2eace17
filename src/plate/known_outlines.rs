//! What stages have come to before: where only a little of a part is another, its outlines begin where they begin to
//! differ.

use crate::geometry::{Region, Unresolved};

use super::construction::{Stage, made_unproved};

/// What makes the outlines of a part's plates, whatever its rules say: where it is the same for two parts, so are
/// the outlines, and need not be worked out.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct OutlineSteps {
    /// The stages of each plate, as it is drawn and then, where one is wanted, of the other hand.
    pub(super) stages: Vec<Vec<Stage>>,
    /// Whether a left and a right one are wanted, of each block of the recipe.
    pub(super) hands: Vec<[bool; 2]>,
}

impl OutlineSteps {
    /// The outlines, of those plates that have one.
    pub(crate) fn worked_out(self) -> KnownOutlines {
        let made = self.stages.into_iter().map(KnownOutline::of);
        // What cannot be worked out is said where the plate is made.
        KnownOutlines(made.filter_map(Result::ok).collect())
    }
}

/// Outlines worked out before, unproved.
#[derive(Debug, Default)]
pub(crate) struct KnownOutlines(Vec<KnownOutline>);

/// What the stages of one plate came to.
#[derive(Debug)]
struct KnownOutline {
    stages: Vec<Stage>,
    /// After so many of the stages, where the next ones begin with what is there.
    on_the_way: Vec<(usize, Region)>,
    end: Region,
}

impl KnownOutlines {
    /// How many of these stages, from the first, have been worked out before, and what they came to: all of them, or
    /// those up to corners that were rounded or a band that was kept, after which the rest begins anew.
    pub(super) fn of(&self, stages: &[Stage]) -> Option<(usize, &Region)> {
        let known = self.0.iter().filter_map(|it| it.shared_with(stages));
        known.max_by_key(|(after, _)| *after)
    }
}

impl KnownOutline {
    fn of(stages: Vec<Stage>) -> Result<Self, Unresolved> {
        let mut on_the_way = Vec::new();
        let reached = |after: usize, region: &Region| on_the_way.push((after, region.clone()));
        let end = made_unproved(&stages, None, reached)?;
        Ok(Self {
            stages,
            on_the_way,
            end,
        })
    }

    fn shared_with(&self, stages: &[Stage]) -> Option<(usize, &Region)> {
        if self.stages == stages {
            return Some((stages.len(), &self.end));
        }
        let pairs = self.stages.iter().zip(stages);
        let alike = pairs.take_while(|(a, b)| a == b).count();
        let mut latest_first = self.on_the_way.iter().rev();
        let shared = latest_first.find(|(after, _)| *after <= alike);
        shared.map(|(after, region)| (*after, region))
    }
}
