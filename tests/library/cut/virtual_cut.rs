//! The virtual cut: random plates are prepared, every path is burnt with a disc of the kerf by an
//! independent engine, and what is left must be the plates. Counted law by law.

use std::collections::BTreeMap;

use super::burn as torch;
use super::shapes::{self, prepare};
use platewright::cut::{CutPath, CutSettings, Layer, PreparedPlate, Swirl, Table};
use platewright::geometry::{Contour, Face, Point, Segment};
use platewright::plate::Plate;

/// How far a finished edge may be off, mm.
const EXACT: f64 = 0.01;

/// Violations found: law, seed, and the first of its kind in words.
#[derive(Default)]
pub(super) struct Laws {
    broken: Vec<(&'static str, u64, String)>,
    /// How often each law was held against something.
    checked: BTreeMap<&'static str, u64>,
}

impl Laws {
    pub(super) fn hold(
        &mut self,
        law: &'static str,
        seed: u64,
        holds: bool,
        says: impl FnOnce() -> String,
    ) {
        *self.checked.entry(law).or_default() += 1;
        let known = |(l, s, _): &(&str, u64, String)| *l == law && *s == seed;
        if !holds && !self.broken.iter().any(known) {
            self.broken.push((law, seed, says()));
        }
    }

    /// Fails if any was broken, with the number of plates that broke each, and seeds to look at.
    pub(super) fn verdict(&self) {
        let plates = |law: &str| self.broken.iter().filter(|(l, ..)| *l == law).count();
        let counts: Vec<String> = ["1", "2", "3", "4", "5", "6", "7"]
            .iter()
            .map(|law| format!("law {law}: {} plates", plates(law)))
            .collect();
        let examples: Vec<String> = self
            .broken
            .iter()
            .take(20)
            .map(|(law, seed, says)| format!("law {law}, seed {seed}: {says}"))
            .collect();
        println!("checks by law: {:?}", self.checked);
        assert!(
            self.broken.is_empty(),
            "{}\n{}",
            counts.join(", "),
            examples.join("\n")
        );
    }
}

/// The rectangle of sheet around everything.
fn sheet_around(prepared: &PreparedPlate) -> Vec<Point> {
    let bounds = prepared.outline.bounds().grown(20.0);
    vec![
        bounds.min,
        Point::new(bounds.max.x, bounds.min.y),
        bounds.max,
        Point::new(bounds.min.x, bounds.max.y),
    ]
}

/// The face as it should come out: nominal edges, smaller circles for the reamer, no hole where the
/// drill comes.
fn expected(plate: &Plate, prepared: &PreparedPlate) -> Face {
    let cut = |path: &&CutPath| path.opening.is_some();
    Face {
        outside: plate.face.outside.clone(),
        openings: prepared
            .paths
            .iter()
            .filter(cut)
            .map(|path| clockwise(&path.nominal))
            .collect(),
    }
}

fn clockwise(contour: &Contour) -> Contour {
    if contour.signed_area() > 0.0 {
        contour.reversed()
    } else {
        contour.clone()
    }
}

fn contours(face: &Face) -> impl Iterator<Item = &Contour> {
    std::iter::once(&face.outside).chain(&face.openings)
}

/// Law 1: what is left is the plate, everywhere, lead touches included.
fn law_1(
    laws: &mut Laws,
    seed: u64,
    plate: &Plate,
    prepared: &PreparedPlate,
    settings: &CutSettings,
) {
    let sheet = sheet_around(prepared);
    let runs = prepared.paths.iter().map(|path| path.segments.as_slice());
    let left = torch::burn(&sheet, runs, settings.kerf);
    let face = expected(plate, prepared);
    let inside = face.widest_circle(0.1).centre;
    let Some(part) = left.iter().find(|piece| torch::holds(piece, inside)) else {
        laws.hold("1", seed, false, || "no part is left".to_owned());
        return;
    };
    laws.hold("1", seed, part.len() == 1 + face.openings.len(), || {
        format!(
            "{} openings came out, not {}",
            part.len() - 1,
            face.openings.len()
        )
    });
    let fillets: Vec<torch::Fillet> = contours(&face)
        .flat_map(|contour| torch::fillets(contour, settings.kerf))
        .collect();
    let excused = |p: Point| {
        fillets
            .iter()
            .any(|f| f.corner.distance(p) <= f.reach + EXACT)
    };
    for p in part.iter().flatten() {
        let off = contours(&face)
            .map(|c| c.gap_to_point(*p).distance)
            .fold(f64::INFINITY, f64::min);
        let gouge = off > EXACT && face.contains(*p);
        laws.hold("1", seed, !gouge, || {
            format!("a gouge of {off:.3} mm at {p:?}")
        });
        laws.hold("1", seed, off <= EXACT || gouge || excused(*p), || {
            format!("{off:.3} mm too much at {p:?}")
        });
    }
    let rim = torch::Rim::of(part);
    for segment in contours(&face).flat_map(Contour::segments) {
        let steps = (segment.length() / 0.7).ceil().clamp(2.0, 400.0) as u32;
        for p in (0..steps).map(|i| segment.point_at(f64::from(i) / f64::from(steps))) {
            let off = rim.gap(p);
            laws.hold("1", seed, off <= EXACT || excused(p), || {
                format!("no edge within {off:.3} mm of {p:?}")
            });
        }
    }
}

/// Law 2, the footprint: it holds all that burns, as the plate starts its runs itself.
fn in_its_footprint(laws: &mut Laws, seed: u64, prepared: &PreparedPlate) {
    let beside = prepared.paths.iter().flat_map(CutPath::beside);
    for piece in beside {
        for p in (0..=40).map(|i| piece.point_at(f64::from(i) / 40.0)) {
            laws.hold("2", seed, prepared.outline.contains(p), || {
                format!("a lead outside the footprint at {p:?}")
            });
        }
    }
}

/// Law 2: pierces and leads in scrap, half a kerf clear of the part, at the distance asked or with a
/// finding.
fn law_2(
    laws: &mut Laws,
    seed: u64,
    plate: &Plate,
    prepared: &PreparedPlate,
    settings: &CutSettings,
) {
    let half = settings.kerf / 2.0;
    for path in &prepared.paths {
        let pierce = path.pierce();
        let in_scrap = match path.opening {
            Some(_) => path.nominal.encloses(pierce),
            None => !path.nominal.encloses(pierce),
        };
        laws.hold("2", seed, in_scrap, || {
            format!("a pierce in the part at {pierce:?}")
        });
        let lead = &path.segments[..path.lead_in];
        let tail = &path.segments[path.segments.len() - path.tail..];
        for piece in lead.iter().chain(tail) {
            for p in (0..=40).map(|i| piece.point_at(f64::from(i) / 40.0)) {
                let gap = contours(&plate.face)
                    .map(|c| c.gap_to_point(p).distance)
                    .fold(f64::INFINITY, f64::min);
                laws.hold("2", seed, gap >= half - EXACT, || {
                    format!("a lead {gap:.3} mm from an edge at {p:?}")
                });
            }
        }
        let gap = path.nominal.gap_to_point(pierce).distance;
        let told = prepared
            .findings
            .iter()
            .any(|finding| finding.check == "short lead");
        laws.hold(
            "2",
            seed,
            gap >= WORTH_A_WORD * settings.pierce_clearance - EXACT || told,
            || format!("a pierce {gap:.2} mm from its edge, and nothing said"),
        );
        if path.opening.is_none() {
            laws.hold("2", seed, gap >= settings.pierce_clearance - 0.1, || {
                format!("an outside pierce only {gap:.2} mm off")
            });
        }
    }
}

/// Law 3, on one plate: the outside comes last.
fn law_3(laws: &mut Laws, seed: u64, prepared: &PreparedPlate) {
    let last = prepared
        .paths
        .last()
        .is_some_and(|path| path.layer == Layer::Outside);
    let once = prepared
        .paths
        .iter()
        .filter(|path| path.opening.is_none())
        .count()
        == 1;
    laws.hold("3", seed, last && once, || {
        "the outside is not last".to_owned()
    });
}

/// Law 4: the part lies to the right of travel for a clockwise swirl, else to the left; runs hang
/// together.
fn law_4(laws: &mut Laws, seed: u64, prepared: &PreparedPlate, table: &Table) {
    for path in &prepared.paths {
        let body = &path.segments[path.lead_in..path.segments.len() - path.tail];
        let turn = Contour::new(body.to_vec()).map_or(0.0, |contour| contour.signed_area());
        let clockwise = path.opening.is_none() == (table.swirl == Swirl::Clockwise);
        laws.hold(
            "4",
            seed,
            if clockwise { turn < 0.0 } else { turn > 0.0 },
            || format!("{:?} runs the wrong way round", path.layer),
        );
        for pair in path.segments.windows(2) {
            let jump = pair[0].end().distance(pair[1].start());
            laws.hold("4", seed, jump < 1e-6, || {
                format!("a run breaks off for {jump} mm")
            });
        }
    }
}

/// Law 5: round openings are pierced at or near the middle, led in on an arc at a tangent, overcut,
/// and not led out; small ones are slow and on their own layer, too small ones on the drill list.
fn law_5(
    laws: &mut Laws,
    seed: u64,
    plate: &Plate,
    prepared: &PreparedPlate,
    settings: &CutSettings,
) {
    for (index, opening) in plate.openings.iter().enumerate() {
        let path = prepared
            .paths
            .iter()
            .find(|path| path.opening == Some(index));
        let drilled = opening.is_only_marked();
        laws.hold("5", seed, path.is_some() || drilled, || {
            format!("{} was forgotten", opening.name)
        });
        let (Some(circle), Some(path)) = (opening.circle, path) else {
            continue;
        };
        let diameter = circle.radius * 2.0;
        laws.hold("5", seed, diameter >= settings.smallest_hole, || {
            format!("cut a hole of {diameter:.1} mm")
        });
        let small = diameter < settings.small_hole;
        let slow = path.layer == Layer::SmallHole && path.feed < settings.feed;
        laws.hold("5", seed, small == slow, || {
            format!("a hole of {diameter:.1} mm on {:?}", path.layer)
        });
        let off_middle = path.pierce().distance(circle.centre);
        laws.hold("5", seed, !small || off_middle < EXACT, || {
            format!("pierced {off_middle:.2} mm off the middle")
        });
        let join = &path.segments[path.lead_in - 1];
        laws.hold("5", seed, matches!(join, Segment::Arc { .. }), || {
            "a straight lead-in".to_owned()
        });
        let bend = join
            .direction_at(1.0)
            .cross(path.segments[path.lead_in].direction_at(0.0))
            .abs();
        laws.hold("5", seed, bend < 1e-6, || {
            "a lead-in that is no tangent".to_owned()
        });
        let over: f64 = path.segments[path.segments.len() - path.tail..]
            .iter()
            .map(Segment::length)
            .sum();
        laws.hold("5", seed, (over - settings.overcut).abs() < EXACT, || {
            format!("an overcut of {over:.2} mm")
        });
    }
}

/// The same plate with every run started elsewhere, a few times over.
fn started_elsewhere(prepared: &PreparedPlate) -> Vec<PreparedPlate> {
    let most = prepared.others.iter().map(Vec::len).max().unwrap_or(0);
    let variant = |k: usize| {
        let runs = prepared.paths.iter().zip(&prepared.others);
        let paths = runs.map(|(own, others)| match others.len() {
            0 => own.clone(),
            count => others[k % count].path.clone(),
        });
        PreparedPlate {
            paths: paths.collect(),
            ..prepared.clone()
        }
    };
    (0..most)
        .step_by(most.div_ceil(4).max(1))
        .map(variant)
        .collect()
}

/// The laws that hold for a plate by itself, whichever of its starts are chosen.
pub(super) fn single_laws(
    laws: &mut Laws,
    seed: u64,
    plate: &Plate,
    prepared: &PreparedPlate,
    (settings, table): (&CutSettings, &Table),
) {
    in_its_footprint(laws, seed, prepared);
    law_2(laws, seed, plate, prepared, settings);
    law_4(laws, seed, prepared, table);
    law_5(laws, seed, plate, prepared, settings);
    for other in started_elsewhere(prepared) {
        law_2(laws, seed, plate, &other, settings);
        law_4(laws, seed, &other, table);
        law_5(laws, seed, plate, &other, settings);
    }
}

/// How the run differs from seed to seed: kerf, clearance, swirl.
fn conditions(seed: u64) -> (CutSettings, Table) {
    let mut settings = shapes::settings();
    let mut table = shapes::table();
    settings.kerf = [1.6, 0.3, 1.0, 2.4][(seed % 4) as usize];
    settings.pierce_clearance = [5.0, 1.5, 3.0, 8.0][(seed % 4) as usize];
    settings.lead_length = [6.0, 3.0, 5.0, 12.0][(seed % 4) as usize];
    if seed % 5 == 4 {
        table.swirl = Swirl::CounterClockwise;
    }
    (settings, table)
}

fn cut_plates(seeds: std::ops::Range<u64>) {
    let mut laws = Laws::default();
    let (mut cut, mut refused) = (0, 0);
    for seed in seeds {
        let (settings, table) = conditions(seed);
        let plate = shapes::decided(&shapes::random_plate(seed), &settings, &table);
        let prepared = match prepare(&plate, &settings, &table) {
            Ok(prepared) => prepared,
            // Only what the torch hardly gets into is refused.
            Err(faults) => {
                let narrow = narrowest(&plate) < HARDLY * settings.kerf;
                laws.hold("1", seed, narrow, || faults.to_string());
                refused += 1;
                continue;
            }
        };
        let through = narrowest(&plate) > settings.kerf;
        laws.hold("1", seed, through, || {
            "cut where no torch gets in".to_owned()
        });
        cut += 1;
        law_1(&mut laws, seed, &plate, &prepared, &settings);
        law_3(&mut laws, seed, &prepared);
        single_laws(&mut laws, seed, &plate, &prepared, (&settings, &table));
    }
    assert!(refused < cut / 20, "{refused} refused, {cut} cut");
    laws.verdict();
}

/// A pierce nearer than this share of what is asked is told.
const WORTH_A_WORD: f64 = 0.75;

/// An opening narrower than this many kerfs may have no room for a pierce and a lead.
const HARDLY: f64 = 2.0;

/// The width of the narrowest opening that is cut, mm: of the widest circle in it.
fn narrowest(plate: &Plate) -> f64 {
    let openings = plate.openings.iter().zip(&plate.face.openings);
    let cut = openings.filter(|(opening, _)| !opening.is_only_marked());
    let widths = cut.map(|(_, edge)| 2.0 * edge.widest_circle(0.01).radius);
    widths.fold(f64::INFINITY, f64::min)
}

#[test]
fn what_the_torch_leaves_is_the_plate() {
    cut_plates(0..60);
}

#[test]
#[ignore = "takes minutes"]
fn what_the_torch_leaves_is_the_plate_at_length() {
    cut_plates(1_000..3_000);
}
