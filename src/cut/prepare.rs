//! One plate's cut paths and footprint.
//!
//! In: a plate and the settings of a table for its material and thickness. Out: a [`PreparedPlate`]
//! whose burn leaves the nominal plate, or every reason why it cannot be cut.

use geo::ConvexHull;
use rayon::prelude::*;

use super::burn;
use super::corners;
use super::edges::Edges;
use super::kerf;
use super::kerf_path::{self, EdgeKind, KerfPath};
use super::lead::{Lead, Scene, room_for_any};
use super::path::{
    CutPath, CutUpSlug, HoldingTab, OtherStart, PreparedPlate, Reach, RunStart, SlowCorners,
};
use super::settings::{CutSettings, SlugWork, StartFrom, Swirl, Table};
use super::shortage::{self, Shortage};
use super::slugs::{self, Fate};
use super::tabs::{self, TabGap, Wanted};
use crate::fault::{Fault, Faults};
use crate::finding::Finding;
use crate::geometry::{Contour, Point, Region, Segment, Turning, Unresolved, arrange};
use crate::layer::Layer;
use crate::plate::{Making, Opening, Plate};
use crate::quantity::format::millimetres;

/// An opening less wide than this, mm, after the kerf and the lead have taken their share, is no room
/// for other parts.
const LEAST_ROOM: f64 = 15.0;

/// The contours of a plate of more than this offer no other leads to choose from: they are so near one
/// another that little travel would be saved, for much time and memory.
const MANY: usize = 1_000;

/// How exactly widths are found where only a choice depends on them, mm.
const ROUGHLY: f64 = 0.05;

/// Cut paths and footprint of a plate whose openings have been decided for the table.
///
/// The openings come first, in the plate's order, and the outside last. Fails with every opening that
/// is narrower than the kerf or leaves no room for a pierce.
pub fn prepare(
    plate: &Plate,
    settings: &CutSettings,
    table: &Table,
    starts: Starts,
) -> Result<PreparedPlate, Faults> {
    Work::new(plate, settings, table, starts).run()
}

/// How many places each run is given to start from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Starts {
    /// The best one, for a plate that is looked at by itself.
    One,
    /// Others too, to choose from where plates lie on a sheet.
    Several,
}

/// A plate on its way to being prepared.
struct Work<'a> {
    plate: &'a Plate,
    settings: &'a CutSettings,
    table: &'a Table,
    starts: Starts,
    /// The edges of the outside, and of each opening by its number after that.
    all: Edges,
    mating: Edges,
    hull: Contour,
}

/// The runs along one contour, and what comes of them.
#[derive(Default)]
struct Runs {
    paths: Vec<CutPath>,
    others: Vec<Vec<OtherStart>>,
    tabs: Vec<HoldingTab>,
    slug: Option<CutUpSlug>,
    /// Whether its slug may tip and is too awkward to cut up.
    leaves_slug: bool,
    /// What each run burns beside the contour: the lead-in, and off the outside the lead-out.
    beside: Vec<Vec<Segment>>,
    /// What an opening leaves for other parts.
    room: Option<Region>,
    findings: Vec<Finding>,
    shortages: Vec<Shortage>,
}

/// What is asked of one path.
struct Asked<'a> {
    name: &'a str,
    edge: EdgeKind,
    layer: Layer,
    /// The contour to cut: the nominal one, or a smaller circle for the reamer.
    finished: Contour,
    opening: Option<usize>,
    feed: f64,
    /// Holding tabs to leave, if any.
    tabs: Option<Wanted>,
}

impl<'a> Work<'a> {
    fn new(plate: &'a Plate, settings: &'a CutSettings, table: &'a Table, starts: Starts) -> Self {
        Self {
            plate,
            settings,
            table,
            starts,
            all: Edges::of(plate.face.contours()),
            mating: Edges::of(&plate.mating),
            hull: hull(&plate.face.outside),
        }
    }

    fn run(&self) -> Result<PreparedPlate, Faults> {
        let openings = &self.plate.openings;
        let each = || openings.par_iter().enumerate();
        let each = || each().map(|(index, it)| self.opening(index, it));
        let (inside, outside) = rayon::join(|| each().collect::<Vec<_>>(), || self.outside());
        let mut faults = Vec::new();
        let mut kept = |fault: Fault| faults.push(self.placed(fault));
        let inside: Vec<Option<Runs>> = inside
            .into_iter()
            .map(|it| it.map_err(&mut kept).ok())
            .collect();
        let outside = outside.map_err(&mut kept);
        Faults::check(faults)?;
        let (outside, outline) = outside.expect("its fault was reported above");
        let mut made = PreparedPlate {
            outline,
            ..PreparedPlate::default()
        };
        let mut shortages = Vec::new();
        let mut left_slugs = Vec::new();
        let contours = (0..).zip(inside.into_iter().flatten().chain([outside]));
        for (index, runs) in contours {
            made.paths.extend(runs.paths);
            made.others.extend(runs.others);
            made.tabs.extend(runs.tabs);
            made.slugs.extend(runs.slug);
            made.room.extend(runs.room.map(|room| (index, room)));
            made.findings.extend(runs.findings);
            shortages.extend(runs.shortages);
            if runs.leaves_slug {
                left_slugs.push(openings[index].name.as_str());
            }
        }
        let told = shortage::findings(&shortages, self.settings);
        made.findings.extend(told);
        let told = shortage::tabs_to_dress(&made.tabs, self.plate.load_class());
        made.findings.extend(told);
        let cut_up = made
            .slugs
            .iter()
            .map(|it| openings[it.opening].name.as_str());
        let told = shortage::slugs(&cut_up.collect::<Vec<_>>(), &left_slugs);
        made.findings.extend(told);
        Ok(made)
    }

    /// A fault with the place where the plate was asked for.
    fn placed(&self, mut fault: Fault) -> Fault {
        if fault.place.is_none() {
            fault.place.clone_from(&self.plate.place);
        }
        fault
    }

    /// The runs of an opening; none of one that is drilled.
    fn opening(&self, index: usize, opening: &Opening) -> Result<Runs, Fault> {
        match opening.making {
            None => return Err(undecided(opening)),
            Some(Making::Drilled(_)) => return Ok(Runs::default()),
            Some(Making::Cut | Making::Undersize { .. }) => {}
        }
        let nominal = &self.plate.face.openings[index];
        let finished = match opening.cut_circle() {
            Some(circle) => burn::round(circle),
            None => nominal.clone(),
        };
        let settings = self.settings;
        let asked = self.table.tabs.as_ref();
        let round = opening.circle;
        let small = round.is_some_and(|circle| circle.radius * 2.0 < settings.small_hole);
        let may_tip = self.may_tip(&finished);
        let mut tabs = asked.and_then(|tabs| Wanted::in_opening(tabs, &finished));
        if may_tip && self.table.slugs == SlugWork::Tabs {
            tabs = tabs.or_else(|| asked.map(|it| Wanted::along(it, &finished)));
        }
        let mut runs = Runs::default();
        if may_tip && self.table.slugs == SlugWork::CutUp && tabs.is_none() {
            self.cut_up_slug(index, &finished, &mut runs)?;
        }
        let asked = Asked {
            name: &opening.name,
            edge: EdgeKind::Opening,
            layer: if small {
                Layer::SmallHole
            } else {
                Layer::Inside
            },
            finished: finished.clone(),
            opening: Some(index),
            feed: settings.feed * if small { settings.small_hole_feed } else { 1.0 },
            tabs,
        };
        self.cut(&asked, &mut runs)?;
        runs.room = self.room_in(&finished, &runs.beside)?;
        Ok(runs)
    }

    /// Whether the slug of an opening may tip between the slats of a table that minds.
    fn may_tip(&self, finished: &Contour) -> bool {
        let minded = self
            .table
            .slats
            .filter(|_| self.table.slugs != SlugWork::Leave);
        minded.is_some_and(|slats| slugs::fate(finished, self.settings.kerf, slats) == Fate::MayTip)
    }

    /// Adds the runs that cut up the slug of an opening.
    fn cut_up_slug(&self, index: usize, finished: &Contour, made: &mut Runs) -> Result<(), Fault> {
        let settings = self.settings;
        let Some(slats) = self.table.slats else {
            return Ok(());
        };
        let cuts = slugs::cut_up(finished, settings, slats).map_err(|error| unresolved(&error))?;
        let Some(cuts) = cuts else {
            made.leaves_slug = true;
            return Ok(());
        };
        made.slug = Some(CutUpSlug {
            opening: index,
            runs: cuts.runs.len(),
            longest: cuts.longest,
        });
        for segments in cuts.runs {
            made.paths.push(CutPath {
                layer: Layer::Scrap,
                start: self.start(),
                lead_in: 1,
                tail: 0,
                segments,
                nominal: finished.clone(),
                reach: Reach::AcrossSlug,
                opening: Some(index),
                loops: Vec::new(),
                feed: settings.feed,
                slow: None,
                pierce_time: settings.pierce_time,
            });
            made.others.push(Vec::new());
        }
        Ok(())
    }

    /// Cuts the outside and gives the plate's footprint.
    fn outside(&self) -> Result<(Runs, Region), Fault> {
        let finished = self.plate.face.outside.clone();
        let tabs = self.table.tabs.as_ref();
        let asked = Asked {
            name: "the outside",
            edge: EdgeKind::Outside,
            layer: Layer::Outside,
            finished: finished.clone(),
            opening: None,
            feed: self.settings.feed,
            tabs: tabs.and_then(|tabs| Wanted::on_outside(tabs, &finished)),
        };
        let cut = || {
            let mut runs = Runs::default();
            self.cut(&asked, &mut runs).map(|()| runs)
        };
        // A notch may close up in it: what lies behind is no place for other parts.
        let around = || kerf::burnt_around(&finished, self.settings.kerf);
        let (runs, around) = rayon::join(cut, around);
        let (runs, mut burnt) = (runs?, vec![around?]);
        let zones = runs.beside.iter();
        burnt.extend(zones.flat_map(|lead| burn::lead_zone(lead, self.settings)));
        let mut outline = arrange(&burnt, &|inside| inside.contains(&true))
            .map_err(|error| unresolved(&error))?;
        for face in &mut outline.faces {
            face.openings.clear();
        }
        Ok((runs, outline))
    }

    /// Adds the path along one contour, or the paths from tab to tab.
    fn cut(&self, asked: &Asked<'_>, made: &mut Runs) -> Result<(), Fault> {
        let settings = self.settings;
        let path = kerf::path(&asked.finished, asked.edge, settings.kerf, asked.name)?;
        let kerf_path = KerfPath::new(&path, asked.edge, scrap_side(self.table.swirl));
        let scene = self.scene(asked);
        if self.between_tabs(asked, &scene, &kerf_path, made) {
            return Ok(());
        }
        let lead = scene
            .lead(&kerf_path)
            .ok_or_else(|| no_room_for_a_pierce(asked))?;
        if let RunStart::Drilled(drill) = self.start()
            && lead.gap < drill / 2.0
        {
            return Err(no_room_for_a_drill(asked, drill));
        }
        made.shortages
            .extend(Shortage::of(&lead, asked.name, settings));
        let slug_first = made
            .paths
            .last()
            .is_some_and(|it| it.reach == Reach::AcrossSlug && it.opening == asked.opening);
        let is_choosing = self.starts == Starts::Several && self.plate.openings.len() < MANY;
        let others = if is_choosing && !slug_first {
            scene.others(&kerf_path, &lead)
        } else {
            Vec::new()
        };
        let whole = others
            .into_iter()
            .filter(|(_, it)| shortage::is_as_asked(it, settings));
        let others = whole.map(|(hurts, lead)| OtherStart {
            path: self.path(asked, &scene, &kerf_path, lead),
            hurts,
        });
        made.others.push(others.collect());
        let path = self.path(asked, &scene, &kerf_path, lead);
        made.beside.push(path.beside());
        made.paths.push(path);
        Ok(())
    }

    /// Adds the runs from one holding tab to the next; `false` where there are no tabs to leave.
    fn between_tabs(
        &self,
        asked: &Asked<'_>,
        scene: &Scene<'_>,
        kerf_path: &KerfPath,
        made: &mut Runs,
    ) -> bool {
        let Some(wanted) = asked.tabs else {
            return false;
        };
        let gaps = tabs::spread(scene, kerf_path, wanted);
        let few = shortage::few_tabs(asked.name, gaps.len(), wanted.count);
        made.findings.extend(few);
        let nexts = gaps.iter().cycle().skip(1);
        for (gap, next) in gaps.iter().zip(nexts) {
            let path = self.run_to(asked, kerf_path, gap, next);
            made.beside.push(path.beside());
            made.paths.push(path);
            made.others.push(Vec::new());
            let middle = kerf_path.at(f64::midpoint(gap.ends, gap.starts));
            let into_plate = -kerf_path.towards_scrap(&middle);
            made.tabs.push(HoldingTab {
                opening: asked.opening,
                at: middle.at + into_plate * (self.settings.kerf / 2.0),
                into_plate,
                width: wanted.width,
            });
        }
        !gaps.is_empty()
    }

    /// The run from behind one tab up to the next, which may be the same.
    fn run_to(
        &self,
        asked: &Asked<'_>,
        kerf_path: &KerfPath,
        gap: &TabGap,
        next: &TabGap,
    ) -> CutPath {
        let length = (next.ends - gap.starts).rem_euclid(kerf_path.length());
        let around = kerf_path.round_from(&gap.lead.spot);
        let around = kerf_path::beginning(&around, length);
        CutPath {
            layer: asked.layer,
            start: self.start(),
            lead_in: gap.lead.run.len(),
            tail: 0,
            segments: [gap.lead.run.clone(), around].concat(),
            nominal: asked.finished.clone(),
            reach: Reach::BetweenTabs,
            opening: asked.opening,
            loops: Vec::new(),
            feed: asked.feed,
            slow: self.slow(),
            pierce_time: self.settings.pierce_time,
        }
    }

    /// The run along a kerf path that starts with a lead.
    fn path(
        &self,
        asked: &Asked<'_>,
        scene: &Scene<'_>,
        kerf_path: &KerfPath,
        lead: Lead,
    ) -> CutPath {
        let settings = self.settings;
        let around = kerf_path.round_from(&lead.spot);
        let (looped, mut loops) = match asked.edge {
            EdgeKind::Outside => corners::with_loops(around.clone(), &scene.finished, settings),
            EdgeKind::Opening => (around.clone(), Vec::new()),
        };
        for it in &mut loops {
            it.first += lead.run.len();
        }
        let tail = match asked.edge {
            EdgeKind::Opening => {
                kerf_path::beginning(&around, settings.overcut.min(kerf_path.length() / 2.0))
            }
            EdgeKind::Outside => scene.lead_out(kerf_path, &lead.spot),
        };
        CutPath {
            layer: asked.layer,
            start: self.start(),
            lead_in: lead.run.len(),
            tail: tail.len(),
            segments: [lead.run, looped, tail].concat(),
            nominal: asked.finished.clone(),
            reach: Reach::Whole,
            opening: asked.opening,
            loops,
            feed: asked.feed,
            slow: self.slow(),
            pierce_time: settings.pierce_time,
        }
    }

    /// How runs begin.
    fn start(&self) -> RunStart {
        match (self.settings.start, self.settings.start_drill) {
            (StartFrom::Drilled, Some(drill)) => RunStart::Drilled(drill),
            _ => RunStart::Pierce,
        }
    }

    /// How runs are slowed down near corners.
    fn slow(&self) -> Option<SlowCorners> {
        let settings = self.settings;
        settings.corner_feed.map(|share| SlowCorners {
            share,
            reach: settings.corner_reach,
            tight: settings.kerf / 2.0,
        })
    }

    /// What the lead onto one contour has to reckon with.
    fn scene(&self, asked: &Asked<'_>) -> Scene<'_> {
        let widest = match asked.edge {
            EdgeKind::Opening => {
                let is_wide = asked
                    .finished
                    .holds_circle(room_for_any(self.settings), ROUGHLY);
                (!is_wide).then(|| asked.finished.widest_circle(ROUGHLY))
            }
            EdgeKind::Outside => None,
        };
        Scene {
            edge: asked.edge,
            finished: Edges::of([&asked.finished]),
            all: &self.all,
            own: asked.opening.map_or(0, |index| index + 1),
            mating: &self.mating,
            hull: &self.hull,
            widest,
            settings: self.settings,
        }
    }

    /// What an opening leaves for other parts: all of it but its kerf and its leads.
    fn room_in(&self, finished: &Contour, leads: &[Vec<Segment>]) -> Result<Option<Region>, Fault> {
        let least = LEAST_ROOM / 2.0;
        if !finished.holds_circle(least, ROUGHLY) {
            return Ok(None);
        }
        let slug = burn::filled(finished)
            .offset(-self.settings.kerf)
            .map_err(|error| unresolved(&error))?;
        let zones = leads.iter();
        let zones = zones.flat_map(|lead| burn::lead_zone(lead, self.settings));
        let mut sources: Vec<Region> = zones.collect();
        sources.push(slug);
        let mut room = arrange(&sources, &|inside| {
            inside
                .split_last()
                .is_some_and(|(slug, taken)| *slug && !taken.contains(&true))
        })
        .map_err(|error| unresolved(&error))?;
        room.faces.retain(|face| face.holds_circle(least, ROUGHLY));
        Ok((!room.faces.is_empty()).then_some(room))
    }
}

/// The side of the travel that scrap must lie on for the part to get the square side of the cut.
fn scrap_side(swirl: Swirl) -> Turning {
    match swirl {
        Swirl::Clockwise => Turning::Left,
        Swirl::CounterClockwise => Turning::Right,
    }
}

/// The smallest convex loop around an outline, flattened.
fn hull(outline: &Contour) -> Contour {
    let points: Vec<Point> = burn::filled(outline)
        .to_geo(ROUGHLY)
        .convex_hull()
        .exterior()
        .points()
        .map(|p| Point::new(p.x(), p.y()))
        .collect();
    Contour::polygon(&points).unwrap_or_else(|| outline.clone())
}

fn undecided(opening: &Opening) -> Fault {
    Fault::refused(format!(
        "how {} is made has not been decided for this table",
        opening.name
    ))
    .remedy("decide it with `Plate::decide_making` first")
}

fn unresolved(error: &Unresolved) -> Fault {
    Fault::refused(format!("its footprint was not found: {error}"))
        .remedy("change a size that makes edges meet by less than 0.01 mm")
}

fn no_room_for_a_drill(asked: &Asked<'_>, drill: f64) -> Fault {
    let drill = millimetres(drill);
    Fault::refused(format!(
        "the drilled start of {} does not fit: a hole of {drill} would reach its edge",
        asked.name
    ))
    .remedy("make it wider, drill it, or use a thinner `start_drill` in the table's row")
}

fn no_room_for_a_pierce(asked: &Asked<'_>) -> Fault {
    Fault::refused(format!(
        "no lead fits {}: wherever the torch could pierce, its kerf would touch the part",
        asked.name
    ))
    .remedy("make it wider, or cut it by other means")
}
