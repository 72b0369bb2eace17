//! Holding tabs: where they are left, how wide, and that an independent torch leaves the plate tied to its
//! sheet by each of them, and the plate itself once they are snipped.

use super::burn as torch;
use super::shapes::{self, prepare};
use platewright::cut::{CutPath, CutSettings, HoldingTab, PreparedPlate, Reach, Table};
use platewright::fault::{Place, Source};
use platewright::geometry::{Contour, Face, Point, Region, Segment};
use platewright::plate::Plate;
use platewright::recipe::Tabs;

/// How far a finished edge may be off, mm.
const EXACT: f64 = 0.01;

/// How exactly the width of a tab is known, mm.
const NARROW: f64 = 0.02;

pub(super) fn tabs(width: f64, count: u32) -> Tabs {
    Tabs {
        width,
        count,
        apart: None,
        smallest: 0.0,
        largest: f64::INFINITY,
        windows: None,
        place: Place {
            source: Source::inline("shed.toml", "tabs = true"),
            span: 0..4,
        },
    }
}

/// A laser of the usual size, and its tabs.
pub(super) fn laser(tabs: Tabs) -> (CutSettings, Table) {
    let (mut settings, mut table) = (shapes::settings(), shapes::table());
    (
        settings.kerf,
        settings.pierce_clearance,
        settings.lead_length,
    ) = (0.3, 2.5, 4.0);
    table.tabs = Some(tabs);
    (settings, table)
}

fn of_region(mut region: Region) -> Plate {
    shapes::plate("bracket", region.faces.swap_remove(0))
}

fn prepared(plate: &Plate, (settings, table): &(CutSettings, Table)) -> PreparedPlate {
    prepare(plate, settings, table).unwrap_or_else(|faults| panic!("{faults}"))
}

fn outside_runs(prepared: &PreparedPlate) -> Vec<&CutPath> {
    let runs = prepared.paths.iter();
    runs.filter(|path| path.opening.is_none()).collect()
}

/// Across a tab, along the middle of the kerf.
pub(super) fn snip(tab: &HoldingTab, kerf: f64) -> Segment {
    let middle = tab.at - tab.into_plate * (kerf / 2.0);
    let half = tab.into_plate.left() * f64::midpoint(tab.width, kerf);
    Segment::Line {
        start: middle - half,
        end: middle + half,
    }
}

#[test]
fn without_them_everything_is_as_before() {
    let (settings, mut table) = laser(tabs(0.8, 2));
    let plate = of_region(shapes::rectangle(0.0, 0.0, 120.0, 80.0));
    let tied = prepared(&plate, &(settings.clone(), table.clone()));
    table.tabs = None;
    let loose = prepared(&plate, &(settings, table));
    assert_eq!((tied.paths.len(), tied.tabs.len()), (2, 2));
    assert_eq!((loose.paths.len(), loose.tabs.len()), (1, 0));
    assert_eq!(loose.paths[0].reach, Reach::Whole);
    assert!(loose.findings.is_empty(), "{:?}", loose.findings);
}

#[test]
fn two_tabs_of_a_rectangle_lie_across_from_one_another_on_straight_edges() {
    let plate = of_region(shapes::rectangle(0.0, 0.0, 120.0, 80.0));
    let tied = prepared(&plate, &laser(tabs(0.8, 2)));
    let [a, b] = tied.tabs.as_slice() else {
        panic!("{} tabs", tied.tabs.len())
    };
    assert_eq!((a.width, b.width), (0.8, 0.8));
    // Half of 400 mm round it apart: opposite each other about the middle, within a sixtieth.
    let opposite = Point::new(-b.at.x, -b.at.y);
    assert!(a.at.distance(opposite) < 7.0, "{:?} {:?}", a.at, b.at);
    for tab in &tied.tabs {
        let corner = (60.0 - tab.at.x.abs())
            .abs()
            .max((40.0 - tab.at.y.abs()).abs());
        assert!(corner > 4.0, "a tab in a corner: {:?}", tab.at);
    }
    // The stretch left, in the middle of the kerf: 0.8 mm of metal and half a kerf from each run.
    for (run, next) in [(0, 1), (1, 0)] {
        let ends = tied.paths[run].end();
        let starts = tied.paths[next].around()[0].start();
        assert!(
            (ends.distance(starts) - 1.1).abs() < 1e-6,
            "{ends:?} {starts:?}"
        );
    }
}

#[test]
fn runs_between_tabs_are_pierced_in_scrap_and_led_square_onto_the_edge() {
    let settings = laser(tabs(0.8, 3));
    let plate = of_region(shapes::disc(0.0, 0.0, 150.0));
    let tied = prepared(&plate, &settings);
    assert_eq!(tied.paths.len(), 3);
    for path in &tied.paths {
        let gap = path.nominal.gap_to_point(path.pierce()).distance;
        assert!(!path.nominal.encloses(path.pierce()) && gap >= 2.5, "{gap}");
        let lead = path.segments[0];
        let onto = path.around()[0].direction_at(0.0);
        assert!(
            lead.direction_at(1.0).dot(onto).abs() < 1e-6,
            "not square on"
        );
        assert_eq!(
            (path.lead_in, path.tail),
            (1, 0),
            "off at the tab, not against the edge"
        );
    }
    // A third of the way round apart, within a tenth of that.
    let angle = |tab: &HoldingTab| {
        (tab.at - Point::ORIGIN)
            .angle()
            .to_degrees()
            .rem_euclid(360.0)
    };
    let mut angles: Vec<f64> = tied.tabs.iter().map(angle).collect();
    angles.sort_by(f64::total_cmp);
    for two in angles.windows(2) {
        assert!((two[1] - two[0] - 120.0).abs() < 12.0, "{angles:?}");
    }
}

#[test]
fn a_mating_edge_has_no_tab() {
    let mut plate = of_region(shapes::rectangle(0.0, 0.0, 120.0, 80.0));
    let long = |y: f64| {
        let corners = [(-60.0, y - 0.01), (60.0, y - 0.01), (60.0, y), (-60.0, y)];
        Contour::polygon(&corners.map(|(x, y)| Point::new(x, y))).expect("an edge")
    };
    plate.mating = vec![long(40.0), long(-40.0)];
    let tied = prepared(&plate, &laser(tabs(0.8, 2)));
    assert_eq!(tied.tabs.len(), 2);
    for tab in &tied.tabs {
        assert!((tab.at.x.abs() - 60.0).abs() < 1e-6, "{:?}", tab.at);
    }
}

#[test]
fn more_are_left_where_they_would_lie_too_far_apart() {
    let plate = of_region(shapes::rectangle(0.0, 0.0, 300.0, 200.0));
    let mut wide = tabs(0.8, 2);
    wide.apart = Some(150.0);
    // 1000 mm round it.
    assert_eq!(prepared(&plate, &laser(wide)).tabs.len(), 7);
}

#[test]
fn only_plates_and_windows_of_the_sizes_asked_for_get_them() {
    let frame = shapes::rectangle(0.0, 0.0, 200.0, 150.0);
    let frame = frame.difference(&shapes::rectangle(0.0, 0.0, 120.0, 80.0));
    let mut plate = of_region(frame.expect("resolves"));
    plate.openings = vec![shapes::opening(
        "the window",
        platewright::plate::Purpose::Window,
        None,
    )];
    let count = |change: fn(&mut Tabs)| {
        let mut asked = tabs(0.8, 2);
        change(&mut asked);
        let made = prepared(&plate, &laser(asked));
        let inside = made.tabs.iter().filter(|tab| tab.opening.is_some()).count();
        (inside, made.tabs.len() - inside)
    };
    assert_eq!(count(|_| ()), (0, 2));
    assert_eq!(count(|it| it.largest = 199.0), (0, 0));
    assert_eq!(count(|it| it.smallest = 201.0), (0, 0));
    assert_eq!(count(|it| it.windows = Some(79.0)), (2, 2));
    assert_eq!(count(|it| it.windows = Some(81.0)), (0, 2));
}

#[test]
fn what_is_to_be_done_about_them_is_told() {
    let mut plate = of_region(shapes::rectangle(0.0, 0.0, 120.0, 80.0));
    let said = prepared(&plate, &laser(tabs(0.8, 2))).findings;
    assert!(
        said[0].message.contains("2 holding tabs of 0.8 mm"),
        "{said:?}"
    );
    assert!(said[0].remedy.contains("snip them"), "{said:?}");
    plate.cautions = vec!["safety-critical".to_owned()];
    let said = prepared(&plate, &laser(tabs(0.8, 2))).findings;
    assert!(said[0].remedy.contains("cracks start"), "{said:?}");
    let small = of_region(shapes::disc(0.0, 0.0, 5.0));
    let said = prepared(&small, &laser(tabs(0.8, 2))).findings;
    assert!(
        said[0].message.contains("of 2 holding tabs fit")
            || said[0].message.contains("no holding tab fits"),
        "{said:?}"
    );
}

#[test]
fn tabs_narrower_than_half_the_kerf_are_refused_where_they_are_asked_for() {
    let plate = of_region(shapes::rectangle(0.0, 0.0, 120.0, 80.0));
    let (settings, mut table) = laser(tabs(0.14, 2));
    table.rows = vec![settings];
    let said = table
        .check_tabs(&[plate.clone(), plate])
        .expect_err("they burn away")
        .to_string();
    assert_eq!(said.matches("burn away").count(), 1, "{said}");
    assert!(
        said.contains("shed.toml:1:1: ") && said.contains("at least 0.15 mm"),
        "{said}"
    );
}

/// The virtual cut of one plate with tabs: tied by each of them, and itself once they are snipped.
fn cut_with_tabs(seed: u64) -> Result<usize, String> {
    let plate = shapes::random_plate(seed);
    let asked = match seed % 3 {
        0 => laser(tabs(0.5, 2)),
        1 => laser(tabs(1.2, 4)),
        _ => {
            let mut table = shapes::table();
            table.tabs = Some(tabs(2.0, 3));
            (shapes::settings(), table)
        }
    };
    let made = match prepare(&plate, &asked.0, &asked.1) {
        Ok(made) => made,
        // Where the kerf is wide, a narrow slot has no room for a lead.
        Err(_) if asked.0.kerf > 1.0 => return Ok(0),
        Err(faults) => return Err(faults.to_string()),
    };
    if made.tabs.is_empty() {
        return Ok(0);
    }
    let kerf = asked.0.kerf;
    if outside_runs(&made).len() != made.tabs.len() {
        return Err("not as many runs as tabs".to_owned());
    }
    let bounds = made.outline.bounds().grown(20.0);
    let corner = Point::new(bounds.min.x + 1.0, bounds.min.y + 1.0);
    let sheet = [
        bounds.min,
        Point::new(bounds.max.x, bounds.min.y),
        bounds.max,
        Point::new(bounds.min.x, bounds.max.y),
    ];
    let face = as_cut(&plate, &made);
    let inside = face.widest_circle(0.1).centre;
    let snips: Vec<[Segment; 1]> = made.tabs.iter().map(|tab| [snip(tab, kerf)]).collect();
    let left = |spared: Option<usize>, kerf: f64| {
        let snips = snips.iter().enumerate();
        let snips = snips.filter(|(at, _)| Some(*at) != spared);
        let snips = snips.map(|(_, it)| it.as_slice());
        let runs = made.paths.iter().map(|path| path.segments.as_slice());
        torch::burn(&sheet, runs.chain(snips), kerf)
    };
    let is_tied = |left: &[torch::Piece]| {
        let part = left.iter().find(|piece| torch::holds(piece, inside));
        part.is_some_and(|part| torch::holds(part, corner))
    };
    for tab in 0..made.tabs.len() {
        let width = made.tabs[tab].width;
        if !is_tied(&left(Some(tab), kerf + width - NARROW)) {
            return Err(format!("tab {tab} is narrower than {width} mm"));
        }
        if is_tied(&left(Some(tab), kerf + width + NARROW)) {
            return Err(format!("tab {tab} is wider than {width} mm"));
        }
    }
    let left = left(None, kerf);
    let part = left.iter().find(|piece| torch::holds(piece, inside));
    let part = part.ok_or("no part is left")?;
    if torch::holds(part, corner) {
        return Err("still tied with every tab snipped".to_owned());
    }
    matches(&face, part, &made.tabs, kerf)?;
    Ok(made.tabs.len())
}

/// The face with the openings that the torch makes.
fn as_cut(plate: &Plate, made: &PreparedPlate) -> Face {
    let openings = made.paths.iter().filter(|path| path.opening.is_some());
    let clockwise = |path: &CutPath| {
        if path.nominal.signed_area() > 0.0 {
            path.nominal.reversed()
        } else {
            path.nominal.clone()
        }
    };
    Face {
        outside: plate.face.outside.clone(),
        openings: openings.map(clockwise).collect(),
    }
}

/// Whether a piece is the face but for fillets of the kerf and the stubs of tabs.
fn matches(face: &Face, part: &torch::Piece, tabs: &[HoldingTab], kerf: f64) -> Result<(), String> {
    let contours = || std::iter::once(&face.outside).chain(&face.openings);
    let fillets: Vec<torch::Fillet> = contours()
        .flat_map(|contour| torch::fillets(contour, kerf))
        .collect();
    for p in part.iter().flatten() {
        let off = contours().map(|c| c.gap_to_point(*p).distance);
        let off = off.fold(f64::INFINITY, f64::min);
        let in_corner = fillets
            .iter()
            .any(|f| f.corner.distance(*p) <= f.reach + EXACT);
        let stub = tabs
            .iter()
            .any(|tab| tab.at.distance(*p) <= tab.width + kerf);
        if off > EXACT && !stub && (face.contains(*p) || !in_corner) {
            return Err(format!("{off:.3} mm off at {p:?}"));
        }
    }
    Ok(())
}

fn cut_all(seeds: std::ops::Range<u64>) -> usize {
    let outcomes =
        seeds.map(|seed| cut_with_tabs(seed).map_err(|says| format!("seed {seed}: {says}")));
    let (cut, broken): (Vec<_>, Vec<_>) = outcomes.partition(Result::is_ok);
    let broken: Vec<String> = broken.into_iter().filter_map(Result::err).collect();
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    cut.into_iter().flatten().sum()
}

#[test]
fn random_plates_are_tied_by_each_tab_and_themselves_without() {
    let tabs = cut_all(0..40);
    assert!(tabs > 70, "{tabs} tabs on 40 plates");
}

#[test]
#[ignore = "takes minutes"]
fn many_random_plates_are_tied_by_each_tab_and_themselves_without() {
    assert!(cut_all(1_000..1_600) > 1_000);
}
