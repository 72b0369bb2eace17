//! How the plies of a stack lie on one another.

use super::fit::{self, Laid};
use super::stack::Stack;
use crate::geometry::Point;

/// How the plies of a stack lie on the first of those whose holes are compared.
#[derive(Debug, Clone)]
pub(super) struct Across {
    /// The first that is compared.
    pub(super) first: usize,
    /// How each lies on it; `None` of those that are not compared, and where the holes differ in number.
    pub(super) laid: Vec<Option<Laid>>,
}

impl Across {
    pub(super) fn of(stack: &Stack) -> Self {
        let compared = stack
            .plies
            .iter()
            .position(super::stack::StackPly::is_compared);
        let first = compared.unwrap_or(0);
        let base = stack.plies[first].middles();
        let laid = stack.plies.iter().map(|ply| {
            let own = ply.is_compared().then(|| ply.middles())?;
            Some(fit::laid(&base, &own)?.0)
        });
        Self {
            first,
            laid: laid.collect(),
        }
    }

    /// A place of one ply as a place of another.
    pub(super) fn moved(&self, from: usize, to: usize, place: Point) -> Option<Point> {
        let on_first = self.laid.get(from)?.as_ref()?.onto(place);
        Some(self.laid.get(to)?.as_ref()?.back(on_first))
    }
}
