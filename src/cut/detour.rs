//! Rapid moves that avoid what is cut out: a slug or a part that has tipped up would hit the torch.
//!
//! In: the runs cut so far, and the ends of a rapid move. Out: the way of the move: straight where
//! nothing cut out lies under it; else round that, where a detour of less than a fifth exists; else
//! straight. Guaranteed: a way with corners crosses nothing that is cut out.

use super::path::{CutPath, Placed, Reach, SheetPlan};
use crate::geometry::{Bounds, Contour, Point, Side, Vector};

/// A detour may be longer than the straight move by this factor.
const LONGEST: f64 = 1.2;

/// How far from what is cut out the corners of a detour lie, mm: room for the nozzle. Common practice,
/// no source.
const ROOM: f64 = 2.0;

/// Chord tolerance of outlines to go round, mm.
const CHORD: f64 = 0.25;

/// So much of a move over the rim of something cut out, mm, is no crossing: runs end there.
const RIM: f64 = 2.5;

/// How often outlines that come in the way of a detour are added to those it goes round.
const TRIES: usize = 5;

/// A detour to a run that the torch starts again with may be longer by this factor: it is one move, and
/// what lies on the sheet has had time to tip.
const LONGEST_IN: f64 = 4.0;

/// The way to a run with which cutting goes on after a stop.
#[derive(Debug, Clone, PartialEq)]
pub struct WayIn {
    /// From the sheet's origin over the corners of a detour, if there is one, to the pierce.
    pub points: Vec<Point>,
    /// Whether it leads over something that is cut out: there is no way round.
    pub crosses: bool,
}

/// The way from the sheet's origin to a run of a plan, by its place in the order, round what the runs
/// before it have cut out.
#[must_use]
pub fn way_in(plan: &SheetPlan, placed: &[Placed], run: usize) -> WayIn {
    let mut cut_out = CutOut::default();
    for (placement, path) in plan.paths.iter().take(run) {
        cut_out.add(*placement, path, placed);
    }
    let pierce = plan.pierces().nth(run).unwrap_or(Point::ORIGIN);
    let points = cut_out.way_within(Point::ORIGIN, pierce, LONGEST_IN);
    let is_crossed = |leg: &[Point]| {
        let mut outlines = cut_out.outlines.iter();
        outlines.any(|outline| outline.is_crossed(leg[0], leg[1]))
    };
    let crosses = points.windows(2).any(is_crossed);
    WayIn { points, crosses }
}

/// What is cut out of a sheet so far.
#[derive(Debug, Default)]
pub(super) struct CutOut {
    outlines: Vec<CutOutline>,
}

#[derive(Debug)]
struct CutOutline {
    placement: usize,
    outline: Vec<Point>,
    bounds: Bounds,
    /// Where a way round it may bend.
    corners: Vec<Point>,
}

impl CutOut {
    /// Adds what a run has cut out: nothing if holding tabs keep it in its place.
    pub(super) fn add(&mut self, placement: usize, path: &CutPath, placed: &[Placed]) {
        let contour = match path.reach {
            Reach::Whole => Contour::new(path.around().to_vec()),
            Reach::BesideCut => Some(path.nominal.clone()),
            Reach::BetweenTabs | Reach::AcrossSlug => None,
        };
        let Some(contour) = contour else {
            return;
        };
        if path.opening.is_none() {
            // Everything in a part goes with it.
            let goes = |outline: &CutOutline| {
                outline.placement == placement
                    || placed[outline.placement].inside == Some(placement)
            };
            self.outlines.retain(|outline| !goes(outline));
        }
        self.outlines.push(CutOutline::new(placement, &contour));
    }

    /// The way from one place to another, both ends in it.
    pub(super) fn way(&self, from: Point, to: Point) -> Vec<Point> {
        self.way_within(from, to, LONGEST)
    }

    /// The same, with detours up to some factor of the straight move.
    fn way_within(&self, from: Point, to: Point, factor: f64) -> Vec<Point> {
        let straight = from.distance(to);
        let reach = Bounds::around([from, to]).grown(straight * (factor - 1.0) + ROOM);
        let near: Vec<&CutOutline> = self
            .outlines
            .iter()
            .filter(|it| it.bounds.meets(reach))
            .collect();
        let mut round: Vec<usize> = (0..near.len())
            .filter(|at| near[*at].is_crossed(from, to))
            .collect();
        if round.is_empty() {
            return vec![from, to];
        }
        for _ in 0..TRIES {
            let mut search = Search::new(&near, &round, (from, to), factor);
            if let Some(way) = search.shortest() {
                return way;
            }
            search.met.retain(|outline| !round.contains(outline));
            if search.met.is_empty() {
                break;
            }
            round.append(&mut search.met);
        }
        vec![from, to]
    }
}

impl CutOutline {
    fn new(placement: usize, contour: &Contour) -> Self {
        let mut outline = contour.flattened(CHORD, Side::Outward);
        if contour.signed_area() < 0.0 {
            outline.reverse();
        }
        let bounds = Bounds::around(outline.iter().copied());
        Self {
            placement,
            corners: corners(&outline),
            outline,
            bounds,
        }
    }

    /// Whether more than the rim lies under a move.
    fn is_crossed(&self, from: Point, to: Point) -> bool {
        if !self.bounds.meets(Bounds::around([from, to])) {
            return false;
        }
        let length = from.distance(to);
        let mut cuts = vec![0.0, 1.0];
        for (a, b) in sides(&self.outline) {
            cuts.extend(meeting(from, to, a, b));
        }
        cuts.sort_by(f64::total_cmp);
        let stretches = cuts.windows(2).filter(|two| two[1] > two[0]);
        let inside = stretches.filter(|two| {
            let middle = from.lerp(to, f64::midpoint(two[0], two[1]));
            encloses(&self.outline, middle)
        });
        let crossed: f64 = inside.map(|two| (two[1] - two[0]) * length).sum();
        crossed > RIM
    }
}

/// The bulging corners of an outline, counter-clockwise, moved outward by [`ROOM`].
fn corners(outline: &[Point]) -> Vec<Point> {
    let count = outline.len();
    let out = |at: usize| {
        let (before, here, after) = (
            outline[(at + count - 1) % count],
            outline[at],
            outline[(at + 1) % count],
        );
        let (came, goes) = ((here - before).unit()?, (after - here).unit()?);
        if came.cross(goes) <= 0.0 {
            return None;
        }
        let away: Vector = (came - goes).unit()?;
        // So far along the bisector that both sides keep their distance; no further than twice that.
        let across = away.dot(-came.left()).abs().max(0.5);
        Some(here + away * (ROOM / across))
    };
    (0..count).filter_map(out).collect()
}

fn sides(outline: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..outline.len()).map(|at| (outline[at], outline[(at + 1) % outline.len()]))
}

/// How far along the move from `from` to `to` it meets the side from `a` to `b`, as a share.
fn meeting(from: Point, to: Point, a: Point, b: Point) -> Option<f64> {
    let (way, side, apart) = (to - from, b - a, a - from);
    let turn = way.cross(side);
    if turn == 0.0 {
        return None;
    }
    let (along, on_side) = (apart.cross(side) / turn, apart.cross(way) / turn);
    let within = |share: f64| (0.0..=1.0).contains(&share);
    (within(along) && within(on_side)).then_some(along)
}

fn encloses(outline: &[Point], p: Point) -> bool {
    sides(outline).fold(false, |inside, (a, b)| {
        let crosses =
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
        inside ^ crosses
    })
}

/// A search for the shortest way over the corners of some outlines (A*, Hart, Nilsson and Raphael 1968).
struct Search<'a> {
    near: &'a [&'a CutOutline],
    /// The start first, the end second, then corners.
    places: Vec<Point>,
    /// No way longer than this is wanted, mm.
    longest: f64,
    /// The outlines that lay under a move that was tried.
    met: Vec<usize>,
}

impl<'a> Search<'a> {
    fn new(
        near: &'a [&'a CutOutline],
        round: &[usize],
        (from, to): (Point, Point),
        factor: f64,
    ) -> Self {
        let longest = factor * from.distance(to);
        let corners = round
            .iter()
            .flat_map(|at| near[*at].corners.iter().copied());
        let on_the_way = |p: &Point| from.distance(*p) + p.distance(to) <= longest;
        Self {
            near,
            places: [from, to]
                .into_iter()
                .chain(corners.filter(on_the_way))
                .collect(),
            longest,
            met: Vec::new(),
        }
    }

    fn shortest(&mut self) -> Option<Vec<Point>> {
        const END: usize = 1;
        let count = self.places.len();
        let mut least = vec![f64::INFINITY; count];
        let mut came = vec![0; count];
        let mut settled = vec![false; count];
        least[0] = 0.0;
        loop {
            let ahead = |at: usize| least[at] + self.places[at].distance(self.places[END]);
            let here = (0..count)
                .filter(|at| !settled[*at] && least[*at].is_finite())
                .min_by(|a, b| ahead(*a).total_cmp(&ahead(*b)))?;
            if here == END {
                return Some(self.traced(&came));
            }
            settled[here] = true;
            for next in 0..count {
                let far = least[here] + self.places[here].distance(self.places[next]);
                let in_all = far + self.places[next].distance(self.places[END]);
                if !settled[next]
                    && far < least[next]
                    && in_all <= self.longest
                    && self.is_free(here, next)
                {
                    least[next] = far;
                    came[next] = here;
                }
            }
        }
    }

    fn is_free(&mut self, from: usize, to: usize) -> bool {
        let (from, to) = (self.places[from], self.places[to]);
        match self
            .near
            .iter()
            .position(|outline| outline.is_crossed(from, to))
        {
            Some(outline) => {
                if !self.met.contains(&outline) {
                    self.met.push(outline);
                }
                false
            }
            None => true,
        }
    }

    /// The way back from the end, turned round.
    fn traced(&self, came: &[usize]) -> Vec<Point> {
        let mut at = 1;
        let mut way = vec![self.places[at]];
        while at != 0 {
            at = came[at];
            way.push(self.places[at]);
        }
        way.reverse();
        way
    }
}
