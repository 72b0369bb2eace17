//! What a table may ask for beside the plain cut: slugs cut up, loops and less feed at corners, starts that are
//! drilled or at open edges, heat spread from plate to plate.

use super::shapes::{self, prepare};
use super::table_file::{ROWS, faults, read};
use super::tabs;
use platewright::cut::{
    CutPath, CutSettings, Placed, PreparedPlate, Reach, RunStart, SheetLimits, SheetPlan, SlugWork,
    StartFrom, Table, sequence,
};
use platewright::finding::Level;
use platewright::geometry::{Contour, Point, Pose, Segment, Vector};
use platewright::plate::Plate;
use platewright::recipe::CutOrder;

/// A frame of 240 by 240 mm with a window of 160 by 160 mm, whose slug tips between slats 100 mm apart.
fn frame() -> Plate {
    let window = shapes::rectangle(0.0, 0.0, 160.0, 160.0);
    let metal = shapes::rectangle(0.0, 0.0, 240.0, 240.0).difference(&window);
    shapes::plate("frame", metal.expect("resolves").faces.swap_remove(0))
}

fn asking(slugs: SlugWork) -> (CutSettings, Table) {
    let (settings, mut table) = (shapes::settings(), shapes::table());
    (table.slats, table.slugs) = (Some(100.0), slugs);
    (settings, table)
}

fn prepared(plate: &Plate, (settings, table): &(CutSettings, Table)) -> PreparedPlate {
    prepare(plate, settings, table).unwrap_or_else(|faults| panic!("{faults}"))
}

fn sequenced(
    plates: &[(usize, Pose, Option<usize>)],
    made: &[&PreparedPlate],
    how: &(CutSettings, Table),
) -> SheetPlan {
    let placed = plates.iter().map(|(plate, pose, inside)| Placed {
        plate: *plate,
        pose: *pose,
        inside: *inside,
    });
    let metal = shapes::rectangle(600.0, 600.0, 1200.0, 1200.0);
    let ground = SheetLimits {
        metal: &metal,
        margin: 8.0,
        web: 6.0,
    };
    sequence(&placed.collect::<Vec<_>>(), made, &ground, &how.0, &how.1)
}

fn at(x: f64, y: f64) -> Pose {
    Pose::shifted(Vector::new(x, y))
}

#[test]
fn a_slug_that_tips_is_cut_into_pieces_that_fall_before_it_is_loose() {
    let how = asking(SlugWork::CutUp);
    let made = prepared(&frame(), &how);
    let [slug] = made.slugs[..] else {
        panic!("{:?}", made.slugs)
    };
    // 160 mm less two kerfs in three by three pieces would do; two by three are longer than 90 mm.
    assert_eq!(slug.runs, 4);
    assert!(slug.longest < 90.0, "{}", slug.longest);
    let plan = sequenced(&[(0, at(300.0, 300.0), None)], &[&made], &how);
    let across = plan
        .paths
        .iter()
        .map(|(_, path)| path.reach == Reach::AcrossSlug);
    let across: Vec<bool> = across.collect();
    assert_eq!(across, [true, true, true, true, false, false]);
    let said = made
        .findings
        .iter()
        .find(|it| it.check == "slugs")
        .expect("a note");
    assert_eq!(said.level, Level::Note);
    assert_eq!(
        said.message,
        "the slug of window 1 may tip between the slats: it is cut up before that, unless other plates lie there"
    );
    let leave = prepared(&frame(), &asking(SlugWork::Leave));
    assert!(leave.slugs.is_empty() && leave.findings.is_empty());
    assert_eq!(leave.paths.len(), 2);
}

#[test]
fn a_slug_with_other_plates_in_it_is_not_cut_up() {
    let how = asking(SlugWork::CutUp);
    let (host, guest) = (prepared(&frame(), &how), prepared(&tag(), &how));
    let made = [&host, &guest];
    let plan = sequenced(
        &[(0, at(300.0, 300.0), None), (1, at(300.0, 300.0), Some(0))],
        &made,
        &how,
    );
    assert_eq!(plan.paths.len(), 3);
    assert!(
        plan.paths
            .iter()
            .all(|(_, path)| path.reach == Reach::Whole)
    );
}

fn tag() -> Plate {
    shapes::plate(
        "tag",
        shapes::rectangle(0.0, 0.0, 60.0, 40.0).faces.swap_remove(0),
    )
}

#[test]
fn a_slug_may_be_held_by_tabs_and_one_without_room_is_told() {
    let mut how = asking(SlugWork::Tabs);
    how.1.tabs = Some(platewright::recipe::Tabs {
        smallest: 1e5,
        ..tabs::tabs(2.0, 2)
    });
    let held = prepared(&frame(), &how);
    assert_eq!(held.tabs.len(), 2);
    assert!(held.tabs.iter().all(|tab| tab.opening == Some(0)));
    how.1.tabs = None;
    let fault = how
        .1
        .check_tabs(&[frame()])
        .expect_err("no width")
        .to_string();
    assert!(fault.contains("nothing says how wide a tab is"), "{fault}");
    assert!(fault.contains("tabs = { width"), "{fault}");

    let mut how = asking(SlugWork::CutUp);
    how.0.pierce_clearance = 75.0;
    let left = prepared(&frame(), &how);
    assert!(left.slugs.is_empty());
    let said = left
        .findings
        .iter()
        .find(|it| it.check == "slugs")
        .expect("a warning");
    assert_eq!(said.level, Level::Warn);
    assert!(said.message.contains("is not cut up"), "{}", said.message);
}

#[test]
fn loops_stand_in_the_scrap_and_nesting_keeps_their_room() {
    let mut how = (shapes::settings(), shapes::table());
    let plain = prepared(&tag(), &how);
    how.0.corner_loop = Some(6.0);
    let looped = prepared(&tag(), &how);
    let path = &looped.paths[0];
    assert_eq!(path.loops.len(), 4);
    for (before, after) in path.segments.iter().zip(&path.segments[1..]) {
        assert!(before.end().distance(after.start()) < 1e-9);
    }
    // Without its loops the run is what it was, from wherever it starts.
    let length = |path: &CutPath| path.around().iter().map(Segment::length).sum::<f64>();
    assert!((length(path) - length(&plain.paths[0])).abs() < 1e-9);
    assert!(Contour::new(path.around().to_vec()).is_some(), "it closes");
    // A loop reaches 12 mm past where the corner of the way would be, half a kerf out, and burns half a kerf more.
    let bounds = looped.outline.bounds();
    assert!(
        (bounds.max.x - (30.0 + 0.8 + 12.0 + 0.8)).abs() < 1e-6,
        "{bounds:?}"
    );
    assert!(
        (bounds.min.x + 30.0 + 0.8 + 12.0 + 0.8).abs() < 1e-6,
        "{bounds:?}"
    );
    for piece in path.looped() {
        let gaps = frame_edges(&tag())
            .into_iter()
            .map(|edge| edge.gap_to(piece).distance);
        assert!(gaps.fold(f64::INFINITY, f64::min) > 0.8 - 1e-3);
    }
    // A corner without room for it stays as it is: the hollow side of an L is none, and is never looped.
    let notch = shapes::rectangle(30.0, 20.0, 60.0, 40.0);
    let bent = shapes::rectangle(0.0, 0.0, 60.0, 40.0)
        .difference(&notch)
        .expect("an L");
    let bent = prepared(&shapes::plate("bent", bent.faces[0].clone()), &how);
    assert!(bent.paths[0].loops.len() <= 5);
}

fn frame_edges(plate: &Plate) -> Vec<Segment> {
    plate.face.outside.segments().to_vec()
}

#[test]
fn corners_are_run_slower_and_take_longer() {
    let mut how = (shapes::settings(), shapes::table());
    let plain = prepared(&tag(), &how);
    (how.0.corner_feed, how.0.corner_reach) = (Some(0.5), 5.0);
    let slow = prepared(&tag(), &how);
    let paced = slow.paths[0].paced();
    let length = |it: &[(Segment, f64)]| it.iter().map(|(piece, _)| piece.length()).sum::<f64>();
    assert!((length(&paced) - plain.paths[0].length()).abs() < 1e-9);
    let slow_ones: Vec<_> = paced
        .iter()
        .copied()
        .filter(|(_, feed)| *feed < 39.0)
        .collect();
    assert!(slow_ones.iter().all(|(_, feed)| (feed - 20.0).abs() < 1e-9));
    // Four corners, each an arc of a quarter turn at half a kerf and 5 mm on either side.
    let wanted = 4.0 * (10.0 + std::f64::consts::FRAC_PI_2 * 0.8);
    assert!(
        (length(&slow_ones) - wanted).abs() < 1e-6,
        "{}",
        length(&slow_ones)
    );
    let time = |made: &PreparedPlate| sequenced(&[(0, at(300.0, 300.0), None)], &[made], &how).time;
    assert!(time(&slow) > time(&plain) + 0.5);
}

#[test]
fn runs_begin_in_drilled_holes_or_at_open_edges() {
    let mut how = (shapes::settings(), shapes::table());
    (how.0.start, how.0.start_drill) = (StartFrom::Drilled, Some(8.0));
    let made = prepared(&frame(), &how);
    let plan = sequenced(&[(0, at(300.0, 300.0), None)], &[&made], &how);
    let drilled: Vec<(Point, f64)> = plan.drilled_starts().collect();
    assert_eq!(drilled.len(), 2);
    assert!(
        drilled
            .iter()
            .zip(plan.pierces())
            .all(|((at, drill), pierce)| *at == pierce && *drill == 8.0)
    );

    how.0.start = StartFrom::Edge;
    let made = prepared(&frame(), &how);
    let row = [
        (0, at(140.0, 140.0), None),
        (0, at(400.0, 140.0), None),
        (0, at(660.0, 140.0), None),
    ];
    let plan = sequenced(&row, &[&made], &how);
    let starts = |opening: bool| {
        let runs = plan
            .paths
            .iter()
            .filter(move |(_, path)| path.opening.is_some() == opening);
        runs.map(|(_, path)| path.start).collect::<Vec<_>>()
    };
    assert_eq!(starts(true), [RunStart::Pierce; 3]);
    assert_eq!(starts(false), [RunStart::Edge; 3]);
    let far = sequenced(&[(0, at(600.0, 600.0), None)], &[&made], &how);
    assert!(
        far.paths
            .iter()
            .all(|(_, path)| path.start == RunStart::Pierce),
        "no edge is near"
    );
}

#[test]
fn plates_cut_one_after_another_lie_apart_where_heat_is_spread() {
    let mut how = (shapes::settings(), shapes::table());
    how.1.order = CutOrder::SpreadHeat;
    let made = prepared(&tag(), &how);
    let grid = (0..36).map(|k| {
        (
            0,
            at(
                60.0 + 90.0 * f64::from(k % 6),
                60.0 + 70.0 * f64::from(k / 6),
            ),
            None,
        )
    });
    let grid: Vec<_> = grid.collect();
    let plan = sequenced(&grid, &[&made], &how);
    assert_eq!((plan.order, plan.paths.len()), (CutOrder::SpreadHeat, 36));
    how.1.order = CutOrder::PlateByPlate;
    let together = sequenced(&grid, &[&made], &how);
    let hops = |plan: &SheetPlan| {
        let middles = plan.paths.iter();
        let middles = middles.map(|(at, _)| grid[*at].1.point(Point::ORIGIN));
        let middles: Vec<Point> = middles.collect();
        let hops = middles.windows(2).map(|two| two[0].distance(two[1]));
        hops.collect::<Vec<_>>()
    };
    let (spread, together) = (hops(&plan), hops(&together));
    // A neighbour lies 70 or 90 mm away, across a corner 114 mm: none is next, to the last.
    assert!(spread.iter().all(|mm| *mm > 115.0), "{spread:?}");
    let mean = |hops: &[f64]| hops.iter().sum::<f64>() / hops.len() as f64;
    assert!(mean(&spread) > 2.0 * mean(&together), "{spread:?}");
    assert!(plan.order_costs.rapid_length > 0.0);
    let mut places: Vec<usize> = plan.paths.iter().map(|it| it.0).collect();
    places.sort_unstable();
    assert_eq!(places, (0..36).collect::<Vec<_>>());
}

#[test]
fn keys_that_want_others_say_which() {
    let with = |head: &str, row: &str| {
        format!(
            "{head}\n{}",
            ROWS.replacen("[[cut]]\n", &format!("[[cut]]\n{row}\n"), 1)
        )
    };
    let said = faults(&with("slugs = \"cut up\"", ""));
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(
        said[0].contains("`slugs = \"cut up\"` asks how far apart the slats are; add `slats"),
        "{said:?}"
    );
    let said = faults(&with("", "start = \"drilled\""));
    assert!(
        said[0].contains("the row says no diameter; add `start_drill"),
        "{said:?}"
    );
    let said = faults(&with("", "start_drill = \"30 mm\""));
    assert!(
        said[0].contains("make `pierce_clearance` 15 mm or more"),
        "{said:?}"
    );
    let said = faults(&with("", "corner_feed = 1.5"));
    assert!(
        said[0].contains("it must be more than 0 and at most 1"),
        "{said:?}"
    );
    let scribes = format!("{ROWS}\n[program]\nbefore_scribe = [\"M3\"]\nafter_scribe = [\"M5\"]\n");
    let said = faults(&scribes);
    assert!(
        said[0].contains("nothing says how fast; add `scribe_feed"),
        "{said:?}"
    );
    let table = read(&with(
        "slats = \"90 mm\"\nslugs = \"cut up\"\nlift = \"25 kg\"\ncut_off = \"outline\"",
        "corner_loop = \"6 mm\"",
    ));
    assert_eq!((table.slats, table.lift), (Some(90.0), Some(25.0)));
    // What is said of no reach is the thickness.
    assert_eq!(table.rows[0].corner_reach, table.rows[0].thickness);
}
