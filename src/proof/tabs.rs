//! Contours with holding tabs: cut once, but for exactly the stretches that are said to be left.

use super::chords::{Chain, Edges, Moved, Xy, along, area, length};
use super::{Look, OFF, beside};
use crate::cut::{CutPath, HoldingTab};
use crate::elementary;

/// The chord across a tab and the bend of its edge enclose less than this share of the square of what
/// it takes of the edge: a segment of a circle at least four times as wide.
const BENT: f64 = 0.03;

impl Look<'_> {
    /// What is wrong with the tabs of the sheet.
    pub(super) fn tab_flaws(&self) -> Vec<String> {
        let placements = 0..self.sheet.placements.len();
        let tied = placements.filter(|at| !self.plate(*at).prepared.tabs.is_empty());
        let tied: Vec<usize> = tied.collect();
        if tied.is_empty() {
            return Vec::new();
        }
        let chains: Vec<Chain> = self
            .paths()
            .map(|(_, path)| along(&path.segments))
            .collect();
        let burnt = Edges::of(chains.iter().map(|chain| (0, chain)));
        let mut flaws = Vec::new();
        for placement in tied {
            let mut openings: Vec<Option<usize>> =
                self.told(placement).map(|tab| tab.opening).collect();
            openings.dedup();
            for opening in openings {
                let found = self.tied(placement, opening, &burnt).into_iter();
                let called = self.called(placement, opening);
                flaws.extend(found.map(|what| format!("the cut of {called} {what}")));
            }
        }
        flaws
    }

    /// How many tabs a contour of a placement is said to have.
    pub(super) fn tabs_of(&self, placement: usize, opening: Option<usize>) -> usize {
        self.told(placement)
            .filter(|tab| tab.opening == opening)
            .count()
    }

    fn told(&self, placement: usize) -> impl Iterator<Item = &HoldingTab> {
        self.plate(placement).prepared.tabs.iter()
    }

    fn paths(&self) -> impl Iterator<Item = &(usize, CutPath)> {
        self.sheet.plan.paths.iter()
    }

    /// What is wrong with the tabs of one contour.
    fn tied(&self, placement: usize, opening: Option<usize>, burnt: &Edges) -> Vec<String> {
        let runs = self
            .paths()
            .filter(|(owner, path)| *owner == placement && path.opening == opening);
        let runs: Vec<&CutPath> = runs.map(|(_, path)| path).collect();
        let moved = Moved::by(&self.sheet.placements[placement].pose);
        let told = self.told(placement).filter(|tab| tab.opening == opening);
        let half = self.sheet.kerf / 2.0;
        let mut left: Vec<(Xy, f64)> = told
            .map(|tab| {
                let middle = tab.at - tab.into_plate * half;
                (moved.chain(&[[middle.x, middle.y]])[0], tab.width)
            })
            .collect();
        let mut flaws = Vec::new();
        let mut joined = Chain::new();
        let mut bent = 0.0;
        for (at, run) in runs.iter().enumerate() {
            let next = along(&runs[(at + 1) % runs.len()].segments);
            let around = along(&run.around());
            let (Some(ends), Some(starts)) = (around.last(), joins(runs[(at + 1) % runs.len()]))
            else {
                return vec!["has a run that cuts nothing".to_owned()];
            };
            let middle = [
                f64::midpoint(ends[0], starts[0]),
                f64::midpoint(ends[1], starts[1]),
            ];
            let width = to_chain(*ends, &next, runs.len()) - self.sheet.kerf;
            joined.extend(&around);
            let nearest = left.iter().map(|(tab, _)| apart(*tab, middle)).enumerate();
            let nearest = nearest.min_by(|a, b| a.1.total_cmp(&b.1));
            match nearest {
                Some((tab, off)) if off <= left[tab].1 + self.sheet.kerf => {
                    let (_, wanted) = left.swap_remove(tab);
                    let takes = wanted + self.sheet.kerf;
                    bent += BENT * takes * takes;
                    if (width - wanted).abs() > OFF {
                        flaws.push(format!(
                            "leaves a holding tab of {width:.3} mm, not {wanted:.3} mm"
                        ));
                    } else if burnt.distance(middle, takes) < takes / 2.0 - OFF {
                        flaws.push("has a holding tab that another cut burns through".to_owned());
                    }
                }
                _ => flaws.push("leaves off where no holding tab is".to_owned()),
            }
        }
        flaws.extend(left.iter().map(|_| "leaves out a holding tab".to_owned()));
        flaws.extend(self.goes_around(placement, opening, joined, bent));
        flaws
    }

    /// Whether the runs and their tabs together go once around their edge.
    fn goes_around(
        &self,
        placement: usize,
        opening: Option<usize>,
        mut joined: Chain,
        bent: f64,
    ) -> Option<String> {
        joined.extend(joined.first().copied());
        let ring = self.ring(placement, opening)?;
        let half = self.sheet.kerf / 2.0;
        let side = if opening.is_some() { -1.0 } else { 1.0 };
        let found = area(&joined).abs();
        let slack = OFF * length(&ring) + half * half + bent;
        let wanted = beside::refuted(&ring, side * half, found, slack)?;
        Some(format!(
            "goes around {found:.2} mm² with its tabs, not {wanted:.2} mm²"
        ))
    }
}

/// Where a run joins its contour.
fn joins(run: &CutPath) -> Option<Xy> {
    along(&run.around()).first().copied()
}

/// How far a place is from the beginning of a run; from all of it where another run leads to the place.
fn to_chain(from: Xy, chain: &Chain, runs: usize) -> f64 {
    let reach = if runs > 1 {
        chain.len()
    } else {
        chain.len() / 2
    };
    let beginning: Chain = chain[..reach.max(2).min(chain.len())].to_vec();
    Edges::of([(0, &beginning)]).distance(from, OFF)
}

fn apart(a: Xy, b: Xy) -> f64 {
    elementary::hypot(a[0] - b[0], a[1] - b[1])
}
