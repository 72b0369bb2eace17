//! Edges that are cut once for two plates: each is cut by the end of the plate's own run, and may be shared.

use super::chords::{Chain, Edges, Xy, along, length};
use super::{Look, OFF};
use crate::cut::Reach;

impl Look<'_> {
    /// What is wrong with the cuts that plates share.
    pub(super) fn shared_flaws(&self) -> Vec<String> {
        let paths = || self.sheet.plan.paths.iter().enumerate();
        let sharing = || paths().filter(|(_, (_, path))| path.reach == Reach::BesideCut);
        if sharing().next().is_none() {
            return Vec::new();
        }
        let chains: Vec<Chain> = paths()
            .map(|(_, (_, path))| along(&path.segments))
            .collect();
        let burnt = Edges::of(chains.iter().enumerate());
        let mut flaws = Vec::new();
        for (at, (owner, _)) in sharing() {
            let Some(ring) = self.ring(*owner, None) else {
                continue;
            };
            let half = self.sheet.kerf / 2.0;
            let is_cut = |spot: &Xy| {
                let by_now = |other: usize| other <= at;
                burnt.nearer((*spot, *spot), half + OFF, by_now).is_some()
            };
            let called = self.called(*owner, None);
            if let Some([x, y]) = spots(&ring, half).find(|spot| !is_cut(spot)) {
                flaws.push(format!(
                    "the cut of {called} leaves its edge uncut at {x:.3}, {y:.3} mm"
                ));
            }
            // A first run cuts nothing of which the neighbours have left nothing.
            let before = |spot: &Xy| {
                let earlier = |other: usize| other < at;
                burnt.nearer((*spot, *spot), half + OFF, earlier).is_some()
            };
            if spots(&ring, half).all(|spot| before(&spot)) {
                flaws.push(format!("{called} is loose before its own cut"));
            }
            let plate = &self.plate(*owner).plate;
            let mating: Vec<Chain> = plate.mating.iter().map(super::around).collect();
            let mating = Edges::of(mating.iter().map(|it| (0, it)));
            let own = &self.shapes[self.sheet.placements[*owner].piece].rings[0];
            let mates =
                spots(own, half).any(|spot| mating.nearer((spot, spot), OFF, |_| true).is_some());
            if mates || !self.plate(*owner).prepared.shares {
                flaws.push(format!("{called} may share no cut"));
            }
        }
        flaws
    }
}

/// Spots along a ring, no farther apart than a step.
fn spots(ring: &Chain, step: f64) -> impl Iterator<Item = Xy> {
    ring.windows(2).flat_map(move |two| {
        let count = (length(two) / step).ceil().max(1.0) as usize;
        let (from, to) = (two[0], two[1]);
        (0..count).map(move |at| {
            let share = at as f64 / count as f64;
            [0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * share)
        })
    })
}
