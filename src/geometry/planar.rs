//! The faces of an arrangement, and what each source winds around them.
//!
//! In: an arrangement. Out: for every side of every edge the face it looks into, and which faces a
//! rule keeps, by the sources that wind around them. Windings follow from one another across the edges,
//! so that a near-tangency cannot be judged one way here and another way there; that the order of
//! the edges around the vertices is truly that of a plane is checked (Euler's formula), as is that
//! every edge parts two faces by just what runs along it.
//!
//! The windings of all sources around all faces would be a table of thousands by thousands. They are
//! kept as one sum for each face, of a number drawn for each source (so that sums of different windings
//! differ, but for one chance in 2^64), and counted out for one face at a time.
//!
//! The face of a half-edge lies on its left.

use super::Unresolved;
use super::arrangement::{Arrangement, root_of, unite};
use super::island::{Islands, Parent};
use super::rotation::Rotation;
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
    /// The windings around each walk, as a sum of the sources' marks.
    sums: Vec<u64>,
    /// How each walk was come to.
    reached: Vec<Reached>,
    sources: usize,
}

/// How the windings around a walk follow from those around another.
#[derive(Debug, Clone, Copy)]
struct Reached {
    /// The other walk.
    from: usize,
    /// The half-edge of the other that was crossed; none into an island from the face around it.
    across: Option<usize>,
}

impl PlanarMap {
    /// The map of an arrangement, or why it is not one.
    pub(super) fn of(arrangement: &Arrangement, tolerance: &Tolerance) -> Result<Self, Unresolved> {
        let rotation = Rotation::of(arrangement, tolerance);
        let next: Vec<usize> = (0..2 * arrangement.edges.len())
            .map(|half| rotation.clockwise(arrangement, half ^ 1))
            .collect();
        let (walk, walks) = walks_of(&next);
        let mut map = Self {
            next,
            walk,
            walks,
            face: (0..=walks).collect(),
            sums: vec![0; walks + 1],
            reached: Vec::new(),
            sources: arrangement.sources,
        };
        let islands = Islands::of(arrangement, &rotation);
        map.check_euler(arrangement, &islands)?;
        map.wind(arrangement, &islands)?;
        map.check_windings(arrangement)?;
        Ok(map)
    }

    /// For each walk, and for the face around everything, whether the rule keeps it, given for each
    /// source whether it winds around the walk.
    pub(super) fn kept(
        &self,
        arrangement: &Arrangement,
        rule: &dyn Fn(&[bool]) -> bool,
    ) -> Vec<bool> {
        let mut counted = Counted {
            windings: vec![0; self.sources],
            inside: vec![false; self.sources],
        };
        let mut kept = vec![false; self.walks + 1];
        let (next_of, first_of) = self.followers();
        let mut path = vec![(self.around(), first_of[self.around()])];
        kept[self.around()] = rule(&counted.inside);
        while let Some((walk, follower)) = path.last_mut() {
            if let Some(next) = *follower {
                *follower = next_of[next];
                counted.step(arrangement, self.reached[next].across, false);
                kept[next] = rule(&counted.inside);
                path.push((next, first_of[next]));
            } else {
                let across = (*walk != self.around()).then(|| self.reached[*walk].across);
                counted.step(arrangement, across.flatten(), true);
                path.pop();
            }
        }
        kept
    }

    /// The walks reached from each: the first, and for each walk the next reached from the same.
    fn followers(&self) -> (Vec<Option<usize>>, Vec<Option<usize>>) {
        let mut next_of = vec![None; self.walks];
        let mut first_of = vec![None; self.walks + 1];
        for walk in (0..self.walks).rev() {
            let from = self.reached[walk].from;
            next_of[walk] = first_of[from].replace(walk);
        }
        (next_of, first_of)
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
            Err(Unresolved::Unclear("edges cross where none should".into()))
        }
    }

    /// Windings of every walk: from the face around each island inwards.
    fn wind(&mut self, arrangement: &Arrangement, islands: &Islands) -> Result<(), Unresolved> {
        let unknown = Reached {
            from: usize::MAX,
            across: None,
        };
        self.reached = vec![unknown; self.walks];
        let mut entry = vec![usize::MAX; self.walks];
        for (half, &walk) in self.walk.iter().enumerate() {
            entry[walk] = entry[walk].min(half);
        }
        let parents = islands.parents(arrangement, &self.walk, self.walks);
        for parent in &parents {
            let walk = parent.outside;
            let surrounding = parent.surrounding;
            if surrounding != self.walks && self.reached[surrounding].from == usize::MAX {
                return Err(Unresolved::Unclear("outlines lie in one another".into()));
            }
            unite(&mut self.face, walk, surrounding);
            self.sums[walk] = self.sums[surrounding];
            self.reached[walk] = Reached {
                from: surrounding,
                across: None,
            };
            let mut pending = vec![walk];
            while let Some(walk) = pending.pop() {
                let mut half = entry[walk];
                loop {
                    let across = self.walk[half ^ 1];
                    if self.reached[across].from == usize::MAX {
                        let lost = mark_of_runs(arrangement, half);
                        self.sums[across] = self.sums[walk].wrapping_sub(lost);
                        self.reached[across] = Reached {
                            from: walk,
                            across: Some(half),
                        };
                        pending.push(across);
                    }
                    half = self.next[half];
                    if half == entry[walk] {
                        break;
                    }
                }
            }
        }
        self.check_parents(&parents)
    }

    /// Every island lies in one and the same face whether seen from its left or its right end.
    fn check_parents(&mut self, parents: &[Parent]) -> Result<(), Unresolved> {
        let face = &mut self.face;
        let mut agree =
            |parent: &Parent| root_of(face, parent.outside) == root_of(face, parent.confirmed);
        if parents.iter().all(&mut agree) {
            Ok(())
        } else {
            Err(Unresolved::Unclear(
                "one outline lies both in and beside another".into(),
            ))
        }
    }

    fn check_windings(&self, arrangement: &Arrangement) -> Result<(), Unresolved> {
        let parts = |edge: usize| {
            let [left, right] = [2 * edge, 2 * edge + 1].map(|half| self.sums[self.walk[half]]);
            left.wrapping_sub(right) == mark_of_runs(arrangement, 2 * edge)
        };
        if (0..arrangement.edges.len()).all(parts) {
            Ok(())
        } else {
            Err(Unresolved::Unclear("an outline does not close".into()))
        }
    }
}

/// The windings around one walk.
struct Counted {
    windings: Vec<i32>,
    inside: Vec<bool>,
}

impl Counted {
    /// Crosses a half-edge from its left to its right, or back.
    fn step(&mut self, arrangement: &Arrangement, half: Option<usize>, back: bool) {
        let Some(half) = half else { return };
        for &(source, run) in &arrangement.edges[half / 2].runs {
            // The right of a half-edge lacks what runs along it.
            let gains = half.is_multiple_of(2) == back;
            self.windings[source] += if gains { run } else { -run };
            self.inside[source] = self.windings[source] > 0;
        }
    }
}

/// What runs along a half-edge, as a sum of the sources' marks.
fn mark_of_runs(arrangement: &Arrangement, half: usize) -> u64 {
    let runs = arrangement.edges[half / 2].runs.iter();
    let sum = runs.fold(0_u64, |sum, &(source, run)| {
        sum.wrapping_add(mark(source).wrapping_mul(i64::from(run) as u64))
    });
    if half.is_multiple_of(2) {
        sum
    } else {
        sum.wrapping_neg()
    }
}

/// A number that looks drawn at random, the same for a source in every run (the mixing of `SplitMix64`:
/// Steele, Lea and Flood, 2014).
fn mark(source: usize) -> u64 {
    let mut mixed = (source as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^ (mixed >> 31)
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
