//! What is placed as one: a piece together with what lies in its windows.
//!
//! In: pieces, and later the places of assemblies. Out: assemblies, and from each placed one the
//! placements of everything in it.

use std::f64::consts::TAU;

use super::{Piece, Placement, Rotation};
use crate::geometry::Pose;

/// Turns nearer than this, radians, are the same.
const SAME_TURN: f64 = 1e-9;

/// A piece with its load, a number of times.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Assembly {
    pub(super) piece: usize,
    /// What sits in its windows, in its own coordinates; `inside` is an index into these, `None` for a
    /// window of the outermost piece.
    pub(super) contents: Vec<Placement>,
    pub(super) rotation: Rotation,
    pub(super) quantity: u32,
}

impl Assembly {
    /// A piece with nothing in its windows.
    pub(super) fn bare(index: usize, piece: &Piece) -> Self {
        Self {
            piece: index,
            contents: Vec::new(),
            rotation: piece.rotation.clone(),
            quantity: piece.quantity,
        }
    }

    /// Puts an assembly, at a pose in this one's coordinates, into one of this piece's windows.
    pub(super) fn nest(&mut self, guest: &Self, pose: &Pose) {
        let host = self.contents.len();
        self.contents.push(Placement {
            piece: guest.piece,
            copy: 0,
            pose: *pose,
            inside: None,
        });
        self.contents.extend(guest.placed(pose, host));
        self.rotation = common(&self.rotation, &guest.rotation, pose.turn);
    }

    /// What is in the windows when the assembly lies at `pose`, its outermost piece being the one at
    /// `host`; that and those in its windows come right after it.
    fn placed(&self, pose: &Pose, host: usize) -> impl Iterator<Item = Placement> {
        self.contents.iter().map(move |it| Placement {
            pose: it.pose.then(pose),
            inside: Some(it.inside.map_or(host, |index| host + 1 + index)),
            ..*it
        })
    }

    /// Adds the placements of everything in the assembly when it lies at `pose` on a sheet.
    pub(super) fn place(&self, pose: &Pose, pieces: &[Piece], placements: &mut Vec<Placement>) {
        let host = placements.len();
        placements.push(Placement {
            piece: self.piece,
            copy: 0,
            pose: *pose,
            inside: None,
        });
        placements.extend(self.placed(pose, host));
        for it in &mut placements[host..] {
            it.pose.turn = exact(it.pose.turn, &pieces[it.piece].rotation);
        }
    }
}

/// The assemblies with those that found no room (`waiting` copies of each) taken apart, so that what was in
/// their windows is placed by itself; `None` if no one with contents is waiting.
pub(super) fn taken_apart(
    assemblies: &[Assembly],
    waiting: &[u32],
    pieces: &[Piece],
) -> Option<Vec<Assembly>> {
    let stuck = |assembly: &Assembly, copies: u32| copies > 0 && !assembly.contents.is_empty();
    let mut pairs = assemblies.iter().zip(waiting);
    if !pairs.any(|(assembly, copies)| stuck(assembly, *copies)) {
        return None;
    }
    let mut loose = vec![0; pieces.len()];
    let mut kept = Vec::new();
    for (assembly, copies) in assemblies.iter().zip(waiting) {
        let mut assembly = assembly.clone();
        if stuck(&assembly, *copies) {
            assembly.quantity -= copies;
            loose[assembly.piece] += copies;
            for it in &assembly.contents {
                loose[it.piece] += copies;
            }
        }
        kept.push(assembly);
    }
    for (index, copies) in loose.into_iter().enumerate() {
        let bare =
            |assembly: &&mut Assembly| assembly.piece == index && assembly.contents.is_empty();
        match kept.iter_mut().find(bare) {
            Some(assembly) => assembly.quantity += copies,
            None => kept.push(Assembly {
                quantity: copies,
                ..Assembly::bare(index, &pieces[index])
            }),
        }
    }
    kept.retain(|assembly| assembly.quantity > 0);
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

/// The turn as a piece lists it, free of the rounding of sums.
pub(super) fn exact(turn: f64, rotation: &Rotation) -> f64 {
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

    fn assembly(piece: usize, rotation: Rotation) -> Assembly {
        Assembly {
            piece,
            contents: Vec::new(),
            rotation,
            quantity: 1,
        }
    }

    #[test]
    fn contents_of_contents_keep_their_place_and_their_host() {
        let mut frame = assembly(1, Rotation::Free);
        frame.nest(
            &assembly(2, Rotation::Free),
            &Pose::new(FRAC_PI_2, Vector::new(3.0, 0.0)),
        );
        let mut outer = assembly(0, Rotation::Free);
        outer.nest(&frame, &Pose::new(FRAC_PI_2, Vector::new(0.0, 10.0)));
        let turned = &outer.contents[1];
        assert_eq!((turned.piece, turned.inside), (2, Some(0)));
        assert!((turned.pose.shift - Vector::new(0.0, 13.0)).length() < 1e-12);
        assert!((turned.pose.turn - PI).abs() < 1e-12);
    }

    #[test]
    fn contents_with_grain_hold_its_host_to_it() {
        let mut ring = assembly(0, Rotation::Free);
        let grain = Rotation::Steps(vec![0.0, PI]);
        ring.nest(
            &assembly(1, grain.clone()),
            &Pose::new(0.5, Vector::default()),
        );
        assert_eq!(ring.rotation, Rotation::Steps(vec![-0.5, PI - 0.5]));
        ring.nest(
            &assembly(2, Rotation::Steps(vec![0.0])),
            &Pose::new(0.5, Vector::default()),
        );
        assert_eq!(ring.rotation, Rotation::Steps(vec![-0.5]));
    }
}
