//! The last look at finished sheets finds nothing on sound jobs, and every way of spoiling one.

use std::path::Path;
use std::sync::LazyLock;

use platewright::cut::Reach;
use platewright::fault::Source;
use platewright::geometry::{Contour, Face, Point, Pose, Region, Segment, Vector};
use platewright::nest::{Budget, Control};
use platewright::pipeline::{self, Planned};
use platewright::proof::Finished;
use platewright::recipe::{Job, Shelf};

fn planned(job: &str) -> Planned {
    let shelf = Shelf::built_in();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs");
    let job = Job::read(&folder.join(job), &shelf).expect("a job of ours");
    plan(&job, &shelf)
}

fn plan(job: &Job, shelf: &Shelf) -> Planned {
    let drawn = pipeline::draw(job, shelf).expect("plates");
    pipeline::plan(job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
        Control::Continue
    })
    .expect("a plan")
}

fn flaws(planned: &Planned) -> Vec<String> {
    let finished = Finished {
        plates: &planned.plates,
        sheets: &planned.sheets,
        unplaced: &planned.unplaced,
    };
    finished.flaws().iter().map(ToString::to_string).collect()
}

static CART: LazyLock<Planned> = LazyLock::new(|| planned("orchard-cart.toml"));

/// Two brackets tied to a sheet by two holding tabs each.
static TIED: LazyLock<Planned> = LazyLock::new(|| {
    let text = r#"
        [job]
        table = "shop-laser"
        tabs = { width = "0.8 mm" }
        [[part]]
        recipe = "pedal-bracket"
        quantity = 2
    "#;
    let shelf = Shelf::built_in();
    let job = Job::from_source(&Source::inline("tied.toml", text), &shelf).expect("a sound job");
    plan(&job, &shelf)
});

/// Spoils the cart's job and looks for words in what is then said.
fn spoiled(words: &str, spoil: fn(&mut Planned)) {
    spoiled_of(&CART, words, spoil);
}

/// Spoils the job with holding tabs.
fn untied(words: &str, spoil: fn(&mut Planned)) {
    spoiled_of(&TIED, words, spoil);
}

fn spoiled_of(sound: &Planned, words: &str, spoil: fn(&mut Planned)) {
    let mut planned = sound.clone();
    spoil(&mut planned);
    let flaws = flaws(&planned);
    assert!(
        flaws.iter().any(|it| it.contains(words)),
        "{words}: {flaws:#?}"
    );
}

#[test]
fn sound_jobs_have_no_flaw() {
    for job in [
        "orchard-cart.toml",
        "how-much-sheet.toml",
        "bracket-tonight.toml",
        "hub-plate-redrill.toml",
    ] {
        assert_eq!(flaws(&planned(job)), Vec::<String>::new(), "{job}");
    }
}

/// Eight tags in a block, of which seven share cuts.
static SHARING: LazyLock<Planned> = LazyLock::new(|| {
    let text = r#"
        [job]
        shared_cuts = ["tag"]
        [[part]]
        shape = "rectangle"
        name = "tag"
        width = "120 mm"
        height = "80 mm"
        thickness = "6 mm"
        quantity = 8
    "#;
    let shelf = Shelf::built_in();
    let job = Job::from_source(&Source::inline("tags.toml", text), &shelf).expect("a sound job");
    plan(&job, &shelf)
});

/// Where in the order the runs that share cuts come.
fn sharing(planned: &Planned) -> Vec<usize> {
    let paths = planned.sheets[0].plan.paths.iter().enumerate();
    let sharing = paths.filter(|(_, (_, path))| path.reach == Reach::BesideCut);
    sharing.map(|(at, _)| at).collect()
}

#[test]
fn shared_cuts_have_no_flaw_and_what_spoils_them_is_seen() {
    assert_eq!(flaws(&SHARING), Vec::<String>::new());
    assert_eq!(sharing(&SHARING).len(), 7);
    spoiled_of(&SHARING, "leaves its edge uncut", |it| {
        // One side less.
        let at = sharing(it)[0];
        let (_, path) = &mut it.sheets[0].plan.paths[at];
        path.segments.truncate(path.lead_in + 1);
        path.tail = 0;
    });
    spoiled_of(&SHARING, "leaves its edge uncut", |it| {
        // Before the neighbour that cuts its edge.
        it.sheets[0].plan.paths.reverse();
    });
    spoiled_of(&SHARING, "may share no cut", |it| {
        it.plates[0].prepared.shares = false;
    });
    spoiled_of(&SHARING, "may share no cut", |it| {
        let outside = it.plates[0].plate.face.outside.clone();
        it.plates[0].plate.mating.push(outside);
    });
    spoiled_of(&SHARING, "less than the kerf", |it| {
        let placement = &mut it.sheets[0].placements[1].pose;
        placement.shift = placement.shift + (Vector::new(-0.1, -0.1));
    });
    spoiled_of(&SHARING, "is there 0 times", |it| {
        let at = sharing(it)[0];
        it.sheets[0].plan.paths.remove(at);
    });
}

/// Moves the second copy on the first sheet, with its cuts, beside where the first one lies.
fn moved_onto(planned: &mut Planned, beside: f64) {
    let sheet = &mut planned.sheets[0];
    assert_eq!(sheet.placements[0].piece, sheet.placements[1].piece);
    let shift = Vector::new(beside, 0.0);
    let first = sheet.plan.paths.iter().filter(|(owner, _)| *owner == 0);
    let again = first.map(|(_, path)| (1, path.posed(&Pose::new(0.0, shift))));
    let again: Vec<_> = again.collect();
    sheet.plan.paths.retain(|(owner, _)| *owner != 1);
    sheet.plan.paths.extend(again);
    sheet.placements[1].pose = sheet.placements[0].pose;
    sheet.placements[1].pose.shift = sheet.placements[1].pose.shift + shift;
}

#[test]
fn two_plates_in_one_place_are_seen() {
    spoiled("less than the kerf", |it| moved_onto(it, 0.0));
    spoiled("from the edge of", |it| moved_onto(it, 5.0));
}

#[test]
fn a_cut_beside_its_contour_is_seen() {
    spoiled("strays by 0.05", |it| {
        let (_, path) = &mut it.sheets[0].plan.paths[0];
        *path = path.posed(&Pose::new(0.0, Vector::new(0.05, 0.0)));
    });
}

#[test]
fn another_kerf_is_seen() {
    spoiled("strays by 0.05", |it| it.sheets[0].kerf += 0.1);
}

#[test]
fn a_part_of_a_contour_is_seen() {
    spoiled("goes around", |it| {
        let (_, path) = &mut it.sheets[0].plan.paths[0];
        path.segments.truncate(path.lead_in + 1);
        path.tail = 0;
        let Segment::Arc { start, centre, .. } = path.segments[path.lead_in] else {
            panic!("the first cut of the cart is a round opening");
        };
        // A half circle where the whole one was.
        if let Segment::Arc { end, .. } = &mut path.segments[path.lead_in] {
            *end = centre - (start - centre);
        }
    });
}

#[test]
fn a_forgotten_cut_is_seen() {
    spoiled("is there 0 times", |it| {
        it.sheets[0].plan.paths.remove(0);
    });
}

#[test]
fn a_loose_plate_is_not_cut_further() {
    spoiled("after the plate is loose", |it| {
        it.sheets[0].plan.paths.reverse();
    });
}

#[test]
fn a_forgotten_copy_is_seen() {
    spoiled("left over", |it| {
        it.sheets[0].placements.pop();
    });
}

#[test]
fn a_pierce_in_a_plate_is_seen() {
    spoiled("pierces", |it| {
        let sheet = &mut it.sheets[0];
        let last = sheet.placements.len() - 1;
        let plate = &it.plates[sheet.placements[last].piece].plate;
        // A place in the metal, a whole kerf and more from every edge.
        let bounds = plate.face.outside.bounds();
        let spots = (0..40_000).map(|k| {
            let share = |k: i32| f64::from(k) / 200.0;
            bounds.min
                + Vector::new(
                    bounds.width() * share(k % 200),
                    bounds.height() * share(k / 200),
                )
        });
        let is_metal = |p: &Point| {
            let rings = std::iter::once(&plate.face.outside).chain(&plate.face.openings);
            plate.face.contains(*p)
                && rings
                    .into_iter()
                    .all(|ring| ring.gap_to_point(*p).distance > 4.0)
        };
        let spot = spots.into_iter().find(is_metal).expect("room in a plate");
        let spot = sheet.placements[last].pose.point(spot);
        let (_, path) = &mut sheet.plan.paths[0];
        let dot = Vector::new(0.01, 0.0);
        path.segments.insert(
            0,
            Segment::Line {
                start: spot,
                end: spot + dot,
            },
        );
        path.segments.truncate(1);
        (path.lead_in, path.tail) = (0, 0);
    });
}

#[test]
fn a_smaller_sheet_is_seen() {
    spoiled("leaves the sheet", |it| {
        let corners =
            [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)].map(|(x, y)| Point::new(x, y));
        let outside = Contour::polygon(&corners).expect("a square");
        it.sheets[0].outline = Region {
            faces: vec![Face {
                outside,
                openings: Vec::new(),
            }],
        };
    });
}

/// The runs between tabs of the first plate's outside, by their place in the plan.
fn tied_runs(planned: &Planned) -> Vec<usize> {
    let runs = planned.sheets[0].plan.paths.iter().enumerate();
    let outside = runs.filter(|(_, (owner, path))| *owner == 0 && path.opening.is_none());
    outside.map(|(at, _)| at).collect()
}

/// Moves the end of a run by some mm along its last piece, or along the line on from it.
fn lengthened(planned: &mut Planned, by: f64) {
    let run = tied_runs(planned)[0];
    let (_, path) = &mut planned.sheets[0].plan.paths[run];
    let last = path.segments.len() - 1;
    let on = path.segments[last].direction_at(1.0) * by;
    match &mut path.segments[last] {
        Segment::Line { end, .. } => *end = *end + on,
        Segment::Arc { end, .. } => {
            let start = *end;
            let end = start + on;
            path.segments.push(Segment::Line { start, end });
        }
    }
}

#[test]
fn plates_with_holding_tabs_have_no_flaw() {
    assert_eq!(flaws(&TIED), Vec::<String>::new());
    let plates = TIED.plates.iter();
    assert!(plates.clone().all(|it| it.prepared.tabs.len() == 2));
    let runs = TIED.sheets[0].plan.paths.iter();
    assert_eq!(
        runs.filter(|(_, path)| path.opening.is_none()).count(),
        4 * TIED.plates.len()
    );
}

#[test]
fn a_tab_too_narrow_or_too_wide_is_seen() {
    untied("leaves a holding tab of 0.700 mm, not 0.800 mm", |it| {
        lengthened(it, 0.1);
    });
    untied("leaves a holding tab of 0.900 mm, not 0.800 mm", |it| {
        for cut in &mut it.plates {
            for tab in &mut cut.prepared.tabs {
                tab.width = 0.8;
            }
        }
        let run = tied_runs(it)[0];
        let (_, path) = &mut it.sheets[0].plan.paths[run];
        let last = path.segments.len() - 1;
        let back = path.segments[last].direction_at(1.0) * 0.1;
        if let Segment::Line { end, .. } = &mut path.segments[last] {
            *end = *end - back;
        } else {
            panic!("a tab of the bracket lies on a straight edge");
        }
    });
}

#[test]
fn a_tab_that_is_cut_through_is_seen() {
    untied("leaves a holding tab of -", |it| lengthened(it, 1.0));
    untied("another cut burns through", |it| {
        let run = tied_runs(it)[0];
        let across = it.sheets[0].plan.paths[run].1.end();
        let aside = it.sheets[0].plan.paths[run]
            .1
            .segments
            .last()
            .expect("a run");
        let on = aside.direction_at(1.0) * 0.55;
        // The lead of an opening starts in the tab.
        let paths = &mut it.sheets[0].plan.paths;
        let (_, other) = paths
            .iter_mut()
            .find(|(_, path)| path.opening.is_some())
            .expect("an opening");
        let start = other.pierce();
        let lead = Segment::Line {
            start: across + on,
            end: start,
        };
        other.segments.insert(0, lead);
        other.lead_in += 1;
    });
}

#[test]
fn a_run_between_tabs_that_is_left_out_is_seen() {
    untied("is there 1 times, not 2", |it| {
        let run = tied_runs(it)[0];
        it.sheets[0].plan.paths.remove(run);
    });
}

#[test]
fn tabs_that_are_not_told_are_seen() {
    untied("is there 2 times, not 1", |it| {
        for cut in &mut it.plates {
            cut.prepared.tabs.clear();
        }
    });
    untied("leaves off where no holding tab is", |it| {
        for cut in &mut it.plates {
            let tab = &mut cut.prepared.tabs[0];
            tab.at = tab.at + tab.into_plate.left() * 5.0;
        }
    });
}
