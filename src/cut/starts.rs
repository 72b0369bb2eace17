//! Where each run starts, chosen on the nested sheet.
//!
//! In: the prepared plates where they lie, and the sheet. Out: for each run its own start, which the
//! plate's footprint has room for, and those others that keep as clear of every other part, window and
//! edge of the sheet; and the choice among them that makes the rapid moves short. No choice takes more
//! of the sheet than the footprints do, and no two leads of different parts come too near.

use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

use super::edges::Edges;
use super::path::{CutPath, Placed, PreparedPlate, Reach, SheetLimits};
use super::settings::CutSettings;
use super::shared::SharedRun;
use super::stop::Wishes;
use crate::geometry::{Bounds, Contour, Point, Segment};

/// The rapid travel that another start must save to be taken, for as much as it hurts more, mm.
const WORTH: f64 = 10.0;

/// A start that saves less than this, mm, is not worth changing.
const LEAST_GAIN: f64 = 1e-6;

/// A place to start cutting a contour, in sheet coordinates.
#[derive(Debug, Clone)]
pub(super) struct Start<'a> {
    /// Its run in plate coordinates; with holding tabs its runs, one after the other round it.
    pub(super) paths: Vec<&'a CutPath>,
    /// Where the torch pierces first.
    pub(super) pierce: Point,
    /// Where it goes off last.
    pub(super) end: Point,
    /// What is burnt beside the contour.
    beside: Vec<Segment>,
    /// The box around that.
    bounds: Bounds,
    hurts: f64,
}

/// The box around what a start burns, with its run and its number there.
type StartBox = GeomWithData<Rectangle<[f64; 2]>, (usize, usize)>;

/// The runs of a sheet, in the plates' order.
#[derive(Debug, Clone)]
pub(super) struct Runs<'a> {
    list: Vec<Run<'a>>,
    /// Every start's.
    index: RTree<StartBox>,
}

/// A contour of a placed plate, and where its run may start.
#[derive(Debug, Clone)]
pub(super) struct Run<'a> {
    /// Index of the placement.
    pub(super) placement: usize,
    /// The first is the plate's own.
    starts: Vec<Start<'a>>,
    chosen: usize,
}

impl<'a> Run<'a> {
    /// The start that is chosen.
    pub(super) fn start(&self) -> &Start<'a> {
        &self.starts[self.chosen]
    }

    /// Which opening it cuts.
    pub(super) fn opening(&self) -> Option<usize> {
        self.start().paths[0].opening
    }

    /// The contour as it is to come out, in plate coordinates.
    pub(super) fn nominal(&self) -> &'a Contour {
        &self.start().paths[0].nominal
    }
}

impl<'a> Start<'a> {
    /// `paths` are the runs of one contour: at least one.
    fn new(paths: Vec<&'a CutPath>, hurts: f64, spot: &Placed) -> Self {
        let beside = paths.iter().flat_map(|path| path.beside());
        let beside: Vec<Segment> = beside.map(|it| it.posed(&spot.pose)).collect();
        let bounds = beside.iter().fold(Bounds::EMPTY, |box_so_far, segment| {
            box_so_far.union(segment.bounds())
        });
        Self {
            pierce: spot.pose.point(paths[0].pierce()),
            end: spot.pose.point(paths[paths.len() - 1].end()),
            paths,
            beside,
            bounds,
            hurts,
        }
    }
}

impl<'a> std::ops::Deref for Runs<'a> {
    type Target = [Run<'a>];

    fn deref(&self) -> &[Run<'a>] {
        &self.list
    }
}

/// The runs of all plates on a sheet, each started as the plate has it; those that share cuts where those end.
pub(super) fn runs<'a>(
    placed: &[Placed],
    prepared: &[&'a PreparedPlate],
    shared: &'a [Option<SharedRun>],
    ground: &SheetLimits<'_>,
    settings: &CutSettings,
) -> Runs<'a> {
    let sheet = Neighbours::new(placed, prepared, ground, settings);
    let mut runs = Vec::new();
    for (placement, spot) in placed.iter().enumerate() {
        let plate: &'a PreparedPlate = prepared[spot.plate];
        let mut others = plate.others.iter();
        for own in plate.contours() {
            let others = others.by_ref().take(own.len()).flatten();
            if let (None, Some(shared)) = (own[0].opening, &shared[placement]) {
                runs.push(Run {
                    placement,
                    starts: vec![Start::new(vec![&shared.path], 0.0, spot)],
                    chosen: 0,
                });
                continue;
            }
            let across = own.iter().take_while(|it| it.reach == Reach::AcrossSlug);
            let across = across.count();
            // What lies in a window is cut there, and there is no slug.
            let own = if across > 0 && sheet.has_guests(placement, &own[across].nominal) {
                &own[across..]
            } else {
                own
            };
            let turns = if own[0].reach == Reach::BetweenTabs {
                own.len()
            } else {
                1
            };
            let others = others.map(|it| Start::new(vec![&it.path], it.hurts, spot));
            let fitting = others.filter(|start| sheet.leave_room(placement, start));
            // Round a contour with tabs any run may come first.
            let own = (0..turns).map(|first| {
                let (before, after) = own.split_at(first);
                Start::new(after.iter().chain(before).collect(), 0.0, spot)
            });
            runs.push(Run {
                placement,
                starts: own.chain(fitting).collect(),
                chosen: 0,
            });
        }
    }
    let index = runs.iter().enumerate().flat_map(|(run, it)| {
        let boxes = it.starts.iter().map(|start| start.bounds).enumerate();
        boxes.map(move |(start, Bounds { min, max })| {
            let corners = Rectangle::from_corners([min.x, min.y], [max.x, max.y]);
            GeomWithData::new(corners, (run, start))
        })
    });
    Runs {
        index: RTree::bulk_load(index.collect()),
        list: runs,
    }
}

/// What a lead must keep clear of on the sheet.
struct Neighbours<'a> {
    /// The finished edges of all placements, each the owner of its own.
    edges: Edges,
    rim: Edges,
    /// The box around all footprints.
    used: Bounds,
    ground: &'a SheetLimits<'a>,
    settings: &'a CutSettings,
    placed: &'a [Placed],
    /// For each placement in a window of another, a place on its outside.
    guests: Vec<(usize, Point)>,
}

impl<'a> Neighbours<'a> {
    fn new(
        placed: &'a [Placed],
        prepared: &[&PreparedPlate],
        ground: &'a SheetLimits<'a>,
        settings: &'a CutSettings,
    ) -> Self {
        let edges = placed.iter().enumerate().flat_map(|(placement, spot)| {
            let contours = prepared[spot.plate].contours();
            contours.map(move |runs| (placement, runs[0].nominal.posed(&spot.pose)))
        });
        let edges: Vec<(usize, Contour)> = edges.collect();
        let footprints = placed.iter().map(|spot| {
            let footprint = prepared[spot.plate].outline.posed(&spot.pose);
            footprint.bounds()
        });
        Self {
            edges: Edges::owned(edges.iter().map(|(placement, edge)| (*placement, edge))),
            rim: Edges::of(ground.metal.contours()),
            used: footprints.fold(Bounds::EMPTY, Bounds::union),
            ground,
            settings,
            placed,
            guests: guests(placed, prepared),
        }
    }

    /// Whether other plates lie in an opening of a placement.
    fn has_guests(&self, placement: usize, opening: &Contour) -> bool {
        let mut own = self.guests.iter().filter(|(host, _)| *host == placement);
        let mut there = None;
        own.any(|(_, at)| {
            there
                .get_or_insert_with(|| opening.posed(&self.placed[placement].pose))
                .encloses(*at)
        })
    }

    /// Whether a start of a placement keeps clear of everything that does not depend on other starts.
    fn leave_room(&self, placement: usize, start: &Start<'_>) -> bool {
        let settings = self.settings;
        let (half, clearance) = (settings.kerf / 2.0, settings.pierce_clearance);
        let clear = |edges: &Edges, beside: f64, but: Option<usize>| {
            let least = clearance.max(beside);
            edges.gap_within(start.pierce, least, but) >= least
                && start
                    .beside
                    .iter()
                    .all(|it| edges.are_clear_of(it, beside, but))
        };
        // Between what is burnt for two parts: half a kerf here, a whole one beside the other's edge.
        let from_parts = self.ground.web + settings.kerf + half;
        self.used.holds(start.bounds.grown(half))
            && clear(&self.rim, self.ground.margin + half, None)
            && clear(&self.edges, from_parts, Some(placement))
    }
}

/// Each placement that lies in another, by that one, with a place on its outside.
fn guests(placed: &[Placed], prepared: &[&PreparedPlate]) -> Vec<(usize, Point)> {
    let guests = placed.iter().filter_map(|spot| {
        let outside = prepared[spot.plate].paths.last()?;
        let at = outside.nominal.segments()[0].start();
        Some((spot.inside?, spot.pose.point(at)))
    });
    guests.collect()
}

/// Chooses along an order, for each run in turn, the start that shortens the way most for what it
/// hurts; whether any changed.
pub(super) fn choose(
    runs: &mut Runs<'_>,
    order: &[usize],
    wishes: &Wishes,
    ground: &SheetLimits<'_>,
    settings: &CutSettings,
) -> bool {
    let apart = ground.web + settings.kerf;
    let mut changed = false;
    for (at, index) in order.iter().enumerate() {
        let before = match at {
            0 => wishes.home,
            _ => runs[order[at - 1]].start().end,
        };
        let after = order.get(at + 1).map(|next| runs[*next].start().pierce);
        let cost = |start: &Start<'_>| {
            let on = after.map_or(0.0, |after| wishes.cost(start.end.distance(after)));
            wishes.cost(before.distance(start.pierce)) + on + start.hurts * WORTH
        };
        let run = &runs[*index];
        let mut best = (run.chosen, cost(run.start()));
        for (other, start) in run.starts.iter().enumerate() {
            let cost = cost(start);
            if cost < best.1 - LEAST_GAIN && is_apart(runs, run.placement, start, apart) {
                best = (other, cost);
            }
        }
        changed |= best.0 != run.chosen;
        runs.list[*index].chosen = best.0;
    }
    changed
}

/// Whether a start keeps away from the leads of all other parts as they are chosen.
fn is_apart(runs: &Runs<'_>, placement: usize, start: &Start<'_>, apart: f64) -> bool {
    let near = start.bounds.grown(apart).envelope();
    let near = runs.index.locate_in_envelope_intersecting(near);
    let others = near.map(|it| it.data).filter(|(run, start)| {
        let run = &runs[*run];
        run.placement != placement && run.chosen == *start
    });
    let mut others = others.map(|(run, _)| runs[run].start());
    others.all(|other| {
        let is_far = |a: &Segment| other.beside.iter().all(|b| a.gap_to(b).distance >= apart);
        start.beside.iter().all(is_far)
    })
}
