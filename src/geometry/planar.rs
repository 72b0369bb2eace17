//! The faces of an arrangement, and what each source winds around them.
//!
//! In: an arrangement. Out: for every side of every edge the face it looks into, and for every
//! face how often each source winds around it. Windings follow from one another across the edges,
//! so that a near-tangency cannot be judged one way here and another way there; that the order of
//! the edges around the vertices is truly that of a plane is checked (Euler's formula), as is that
//! every edge parts two faces by just what runs along it.
//!
//! The face of a half-edge lies on its left.

use super::Unresolved;
use super::arrangement::{Arrangement, root_of, unite};
use super::fan::Fans;
use super::island::{Islands, Nest};
use super::tolerance::Tolerance;

/// Faces as closed walks, and the windings around them.
#[derive(Debug)]
pub(super) struct PlanarMap {
    /// The half-edge that follows each along its face.
    pub(super) next: Vec<usize>,
    /// The walk each half-edge belongs to. A face with holes in it has several walks.
    pub(super) walk: Vec<usize>,
    /// How many walks there are.
    pub(super) walks: usize,
    /// The walks of one and the same face, as a set with a parent for each walk; the last, one
    /// more than there are walks, is the face around everything.
    face: Vec<usize>,
    /// Windings of every source for each walk.
    windings: Vec<i32>,
    sources: usize,
}

impl PlanarMap {
    /// The map of an arrangement, or why it is not one.
    pub(super) fn of(arrangement: &Arrangement, tolerance: &Tolerance) -> Result<Self, Unresolved> {
        let fans = Fans::of(arrangement, tolerance);
        let next: Vec<usize> = (0..2 * arrangement.edges.len())
            .map(|half| fans.clockwise(arrangement, half ^ 1))
            .collect();
        let (walk, walks) = walks_of(&next);
        let mut map = Self {
            next,
            walk,
            walks,
            face: (0..=walks).collect(),
            windings: vec![0; (walks + 1) * arrangement.sources],
            sources: arrangement.sources,
        };
        let islands = Islands::of(arrangement, &fans);
        map.check_euler(arrangement, &islands)?;
        map.wind(arrangement, &islands)?;
        map.check_windings(arrangement)?;
        Ok(map)
    }

    /// The windings of each source around the face of a walk.
    pub(super) fn windings(&self, walk: usize) -> &[i32] {
        &self.windings[walk * self.sources..(walk + 1) * self.sources]
    }

    /// The face around everything, as a walk without half-edges.
    pub(super) fn around(&self) -> usize {
        self.walks
    }

    /// The sets of walks that bound one face.
    pub(super) fn faces(&self) -> Vec<usize> {
        self.face.clone()
    }

    fn check_euler(&self, arrangement: &Arrangement, islands: &Islands) -> Result<(), Unresolved> {
        let (corners, edges) = (islands.vertices(), arrangement.edges.len());
        if corners + self.walks == edges + 2 * islands.count() {
            Ok(())
        } else {
            Err(Unresolved("edges cross where none should".into()))
        }
    }

    /// Windings of every walk: from the face around each island inwards.
    fn wind(&mut self, arrangement: &Arrangement, islands: &Islands) -> Result<(), Unresolved> {
        let mut known = vec![false; self.walks];
        let mut entry = vec![usize::MAX; self.walks];
        for (half, &walk) in self.walk.iter().enumerate() {
            entry[walk] = entry[walk].min(half);
        }
        let nests = islands.nested(arrangement, &self.walk, self.walks);
        for nest in &nests {
            let walk = nest.outside;
            unite(&mut self.face, walk, nest.surrounding);
            self.copy_windings(nest.surrounding, walk, &[], 0);
            known[walk] = true;
            let mut pending = vec![walk];
            while let Some(walk) = pending.pop() {
                let mut half = entry[walk];
                loop {
                    let across = self.walk[half ^ 1];
                    if !known[across] {
                        // Leaving the left of a half-edge loses what runs along it.
                        let sign = if half.is_multiple_of(2) { -1 } else { 1 };
                        self.copy_windings(walk, across, &arrangement.edges[half / 2].runs, sign);
                        known[across] = true;
                        pending.push(across);
                    }
                    half = self.next[half];
                    if half == entry[walk] {
                        break;
                    }
                }
            }
        }
        self.check_nests(&nests)
    }

    /// Every island lies in one and the same face whether seen from its left or its right end.
    fn check_nests(&mut self, nests: &[Nest]) -> Result<(), Unresolved> {
        let face = &mut self.face;
        let mut agree = |nest: &Nest| root_of(face, nest.outside) == root_of(face, nest.confirmed);
        if nests.iter().all(&mut agree) {
            Ok(())
        } else {
            Err(Unresolved(
                "one outline lies both in and beside another".into(),
            ))
        }
    }

    fn copy_windings(&mut self, from: usize, to: usize, runs: &[(usize, i32)], sign: i32) {
        let n = self.sources;
        self.windings.copy_within(from * n..(from + 1) * n, to * n);
        for &(source, run) in runs {
            self.windings[to * n + source] += sign * run;
        }
    }

    fn check_windings(&self, arrangement: &Arrangement) -> Result<(), Unresolved> {
        for (i, edge) in arrangement.edges.iter().enumerate() {
            let left = self.windings(self.walk[2 * i]);
            let right = self.windings(self.walk[2 * i + 1]);
            let runs = |source| {
                let run = edge.runs.iter().find(|run| run.0 == source);
                run.map_or(0, |run| run.1)
            };
            if (0..self.sources).any(|s| left[s] - right[s] != runs(s)) {
                return Err(Unresolved("an outline does not close".into()));
            }
        }
        Ok(())
    }
}

/// The closed walks of half-edges, numbered by their first.
fn walks_of(next: &[usize]) -> (Vec<usize>, usize) {
    let mut walk = vec![usize::MAX; next.len()];
    let mut count = 0;
    for first in 0..next.len() {
        if walk[first] != usize::MAX {
            continue;
        }
        let mut half = first;
        while walk[half] == usize::MAX {
            walk[half] = count;
            half = next[half];
        }
        count += 1;
    }
    (walk, count)
}
