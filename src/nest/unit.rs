//! What is placed as one: a piece together with what lies in its windows.
//!
//! In: pieces, and later the places of units. Out: units, and from each placed unit the placements of
//! everything in it.

use std::f64::consts::TAU;

use super::{Piece, Placement, Rotation};
use crate::geometry::Pose;

/// Turns nearer than this, radians, are the same.
const SAME_TURN: f64 = 1e-9;

/// A piece in a window, in the coordinates of the outermost piece.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Aboard {
    pub(super) piece: usize,
    pub(super) pose: Pose,
    /// Index of the one whose window it sits in; `None` for the outermost piece's own.
    pub(super) inside: Option<usize>,
}

/// A piece with its load, a number of times.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Unit {
    pub(super) piece: usize,
    pub(super) cargo: Vec<Aboard>,
    pub(super) rotation: Rotation,
    pub(super) quantity: u32,
}

impl Unit {
    /// A piece with nothing in its windows.
    pub(super) fn bare(index: usize, piece: &Piece) -> Self {
        Self {
            piece: index,
            cargo: Vec::new(),
            rotation: piece.rotation.clone(),
            quantity: piece.quantity,
        }
    }

    /// Puts a unit, at a pose in this one's coordinates, into one of this piece's windows.
    pub(super) fn load(&mut self, guest: &Self, pose: &Pose) {
        let host = self.cargo.len();
        self.cargo.push(Aboard {
            piece: guest.piece,
            pose: *pose,
            inside: None,
        });
        self.cargo.extend(guest.cargo.iter().map(|aboard| Aboard {
            piece: aboard.piece,
            pose: aboard.pose.then(pose),
            inside: Some(aboard.inside.map_or(host, |index| host + 1 + index)),
        }));
        self.rotation = common(&self.rotation, &guest.rotation, pose.turn);
    }

    /// Adds the placements of everything in the unit when it lies at `pose` on a sheet.
    pub(super) fn unload(&self, pose: &Pose, pieces: &[Piece], placements: &mut Vec<Placement>) {
        let host = placements.len();
        let mut put = |piece: usize, pose: Pose, inside| {
            let turn = exact(pose.turn, &pieces[piece].rotation);
            placements.push(Placement {
                piece,
                copy: 0,
                pose: Pose { turn, ..pose },
                inside,
            });
        };
        put(self.piece, *pose, None);
        for aboard in &self.cargo {
            let inside = aboard.inside.map_or(host, |index| host + 1 + index);
            put(aboard.piece, aboard.pose.then(pose), Some(inside));
        }
    }
}

/// The units with those that found no room (`waiting` copies of each) taken apart, so that what was in
/// their windows is placed by itself; `None` if no loaded one is waiting.
pub(super) fn unloaded(units: &[Unit], waiting: &[u32], pieces: &[Piece]) -> Option<Vec<Unit>> {
    let stuck = |unit: &Unit, copies: u32| copies > 0 && !unit.cargo.is_empty();
    let mut pairs = units.iter().zip(waiting);
    if !pairs.any(|(unit, copies)| stuck(unit, *copies)) {
        return None;
    }
    let mut loose = vec![0; pieces.len()];
    let mut kept = Vec::new();
    for (unit, copies) in units.iter().zip(waiting) {
        let mut unit = unit.clone();
        if stuck(&unit, *copies) {
            unit.quantity -= copies;
            loose[unit.piece] += copies;
            for aboard in &unit.cargo {
                loose[aboard.piece] += copies;
            }
        }
        kept.push(unit);
    }
    for (index, copies) in loose.into_iter().enumerate() {
        let bare = |unit: &&mut Unit| unit.piece == index && unit.cargo.is_empty();
        match kept.iter_mut().find(bare) {
            Some(unit) => unit.quantity += copies,
            None => kept.push(Unit {
                quantity: copies,
                ..Unit::bare(index, &pieces[index])
            }),
        }
    }
    kept.retain(|unit| unit.quantity > 0);
    Some(kept)
}

/// The turns that suit a host and a guest turned by `by` against it.
fn common(host: &Rotation, guest: &Rotation, by: f64) -> Rotation {
    match (host, guest) {
        (_, Rotation::Free) => host.clone(),
        (Rotation::Free, Rotation::Steps(steps)) => {
            Rotation::Steps(steps.iter().map(|step| step - by).collect())
        }
        (Rotation::Steps(steps), Rotation::Steps(allowed)) => {
            let suits = |turn: &&f64| allowed.iter().any(|step| same_turn(**turn + by, *step));
            Rotation::Steps(steps.iter().filter(suits).copied().collect())
        }
    }
}

/// Whether two turns, radians, are the same but for whole ones.
pub(super) fn same_turn(a: f64, b: f64) -> bool {
    let apart = (a - b).rem_euclid(TAU);
    apart.min(TAU - apart) < SAME_TURN
}

/// The turn as the piece lists it, free of the rounding of sums.
fn exact(turn: f64, rotation: &Rotation) -> f64 {
    match rotation {
        Rotation::Steps(steps) => steps
            .iter()
            .copied()
            .find(|step| same_turn(*step, turn))
            .unwrap_or(turn),
        Rotation::Free => turn,
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI};

    use super::*;
    use crate::geometry::Vector;

    fn unit(piece: usize, rotation: Rotation) -> Unit {
        Unit {
            piece,
            cargo: Vec::new(),
            rotation,
            quantity: 1,
        }
    }

    #[test]
    fn a_load_within_a_load_keeps_its_place_and_its_host() {
        let mut frame = unit(1, Rotation::Free);
        frame.load(
            &unit(2, Rotation::Free),
            &Pose::new(FRAC_PI_2, Vector::new(3.0, 0.0)),
        );
        let mut outer = unit(0, Rotation::Free);
        outer.load(&frame, &Pose::new(FRAC_PI_2, Vector::new(0.0, 10.0)));
        let turned = &outer.cargo[1];
        assert_eq!((turned.piece, turned.inside), (2, Some(0)));
        assert!((turned.pose.shift - Vector::new(0.0, 13.0)).length() < 1e-12);
        assert!((turned.pose.turn - PI).abs() < 1e-12);
    }

    #[test]
    fn a_load_with_grain_holds_its_host_to_it() {
        let mut ring = unit(0, Rotation::Free);
        let grain = Rotation::Steps(vec![0.0, PI]);
        ring.load(&unit(1, grain.clone()), &Pose::new(0.5, Vector::default()));
        assert_eq!(ring.rotation, Rotation::Steps(vec![-0.5, PI - 0.5]));
        ring.load(
            &unit(2, Rotation::Steps(vec![0.0])),
            &Pose::new(0.5, Vector::default()),
        );
        assert_eq!(ring.rotation, Rotation::Steps(vec![-0.5]));
    }
}
