//! The whole way at random: plates of every family with dimensions at random, on the shipped tables,
//! nested on sheets and remnants at random, sequenced, and cut by an independent torch. Every law is
//! counted; a failure prints its seed.

use std::sync::Arc;

use super::shapes::{self, prepare};
use super::sheet::{self, Sheet};
use super::tabs;
use super::virtual_cut::{self, Laws};
use crate::support::family_sets::{kind, whole};
use platewright::cut::{CutSettings, Placed, PreparedPlate, SheetLimits, Table, sequence};
use platewright::fault::Source;
use platewright::geometry::{Point, Region};
use platewright::nest::{self, Budget, Control, Stock};
use platewright::plate::{Plate, plates};
use platewright::recipe::{Cutting, Family, Part, Shelf};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

const TABLES: [(&str, &[f64]); 3] = [
    ("shop-plasma", &[3.0, 4.0, 6.0, 8.0, 10.0, 14.0]),
    ("shop-laser", &[2.0, 4.0, 6.0, 10.0, 14.0]),
    ("shop-oxy-fuel", &[10.0, 16.0, 20.0]),
];

/// Least metal between the cuts of two parts, mm.
const WEB: f64 = 6.0;
/// Least distance of a cut from the edge of the sheet, mm.
const MARGIN: f64 = 8.0;

/// A dimension at random: another of its choices, or some share of its default.
fn at_random(name: &str, block: &toml::Table, rng: &mut Pcg64Mcg) -> Option<String> {
    const THREADS: [&str; 5] = ["M6", "M8", "M12x1.5", "3/8-16", "1/2-20"];
    let value = match kind(block) {
        Some("yes-no") => rng.random_bool(0.5).to_string(),
        Some("thread") => THREADS[rng.random_range(0..THREADS.len())].to_owned(),
        Some("count") => rng.random_range(2..9).to_string(),
        Some("choice") => {
            let choices = block["choices"].as_array()?;
            choices[rng.random_range(0..choices.len())]
                .as_str()?
                .to_owned()
        }
        Some("text") => return None,
        _ => {
            let factor: f64 = rng.random_range(0.7..1.5);
            format!("({}) * {factor}", block["default"].as_str()?)
        }
    };
    Some(format!("{name}={value}"))
}

/// Plates of a family in some thickness, with dimensions at random that its rules let through, for what they are
/// cut with.
fn of_family(family: &Family, thickness: f64, cutting: Cutting, rng: &mut Pcg64Mcg) -> Vec<Plate> {
    let text = whole(family);
    let dimensions = text["dimension"].as_table().expect("a table");
    for _ in 0..6 {
        let mut part = Part::plain(family.clone());
        part.cutting = cutting;
        let mut settings = vec![format!("thickness={thickness} mm")];
        for (name, block) in dimensions {
            if name != "thickness" && rng.random_bool(0.2) {
                settings.extend(at_random(name, block.as_table().expect("a table"), rng));
            }
        }
        if settings.iter().all(|setting| part.set(setting).is_ok())
            && let Ok(made) = plates(&part)
        {
            let same = |plate: &Plate| (plate.thickness - thickness).abs() < 1e-9;
            return made.plates.into_iter().filter(same).collect();
        }
    }
    Vec::new()
}

/// A sheet, or what is left of one: a corner or the middle of a side cut away.
fn stock(rng: &mut Pcg64Mcg) -> (Region, Stock) {
    let line = || nest::sheets::Line {
        id: "sheet".to_owned(),
        quantity: None,
        price: None,
        margin: MARGIN,
    };
    let (x, y) = (
        rng.random_range(700.0..1500.0),
        rng.random_range(600.0..1250.0),
    );
    let sheet = shapes::rectangle(x / 2.0, y / 2.0, x, y);
    if rng.random_bool(0.5) {
        let stock = nest::sheets::rectangular(line(), (x, y), WEB);
        return (sheet, stock.expect("more than margin"));
    }
    let bite = if rng.random_bool(0.5) {
        shapes::rectangle(
            x,
            y,
            x * rng.random_range(0.3..0.9),
            y * rng.random_range(0.3..0.9),
        )
    } else {
        shapes::disc(
            x * rng.random_range(0.3..0.7),
            y,
            rng.random_range(150.0..500.0),
        )
    };
    let mut rest = sheet.difference(&bite).expect("resolves");
    rest.faces.truncate(1);
    let stock = nest::sheets::remnant(line(), &rest, WEB).expect("resolves");
    (rest, stock.expect("more than margin"))
}

/// Whether plates are held by tabs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hold {
    Loose,
    WithTabs,
}

/// What one seed makes: plates with their paths, and where the search laid them.
struct Run {
    plates: Vec<Plate>,
    prepared: Vec<PreparedPlate>,
    settings: CutSettings,
    table: Table,
    edge: Region,
    layout: nest::Layout,
}

fn run(seed: u64, families: &[Arc<Family>], hold: Hold) -> Run {
    let rng = &mut shapes::chance(seed);
    let (name, thicknesses) = TABLES[rng.random_range(0..TABLES.len())];
    let thickness = thicknesses[rng.random_range(0..thicknesses.len())];
    let source = Shelf::built_in().table_text(name).expect("a shipped table");
    let mut table = Table::read(&Source::inline(name, source.text.clone())).expect("read");
    let settings = table
        .settings("mild steel", thickness)
        .expect("in its range");
    if hold == Hold::WithTabs {
        table.tabs = Some(tabs::tabs(0.8 * settings.kerf + 0.5, 2));
    }
    let cutting = Cutting {
        process: table.process,
        kerf: settings.kerf,
    };
    let (mut plates, mut prepared) = (Vec::new(), Vec::new());
    for _ in 0..4 {
        let family = &families[rng.random_range(0..families.len())];
        for mut plate in of_family(family, thickness, cutting, rng) {
            plate.quantity = rng.random_range(1..3);
            plate.decide_making(&settings.hole_limits(table.process));
            let Ok(made) = prepare(&plate, &settings, &table) else {
                continue;
            };
            plates.push(plate);
            prepared.push(made);
        }
    }
    let pieces: Vec<nest::Piece> = plates
        .iter()
        .zip(&prepared)
        .enumerate()
        .map(|(index, (plate, made))| nest::footprint::piece(index, plate, made, WEB))
        .map(|piece| piece.expect("a footprint"))
        .collect();
    let (edge, stock) = stock(rng);
    let budget = Budget {
        seed,
        iterations: 20,
        seconds: None,
    };
    let layout = nest::place(&pieces, &[stock], &budget, &mut |_| Control::Continue);
    Run {
        plates,
        prepared,
        settings,
        table,
        edge,
        layout,
    }
}

/// Law 2, the edge of the sheet: all the torch burns lies on it.
fn on_the_sheet(sheet: &Sheet, edge: &Region) -> Result<(), String> {
    for (index, path) in &sheet.plan.paths {
        for segment in &path.segments {
            let off = |p: Point| !edge.contains(p);
            if (0..=20).any(|i| off(segment.point_at(f64::from(i) / 20.0))) {
                return Err(format!("placement {index} is cut off the sheet"));
            }
        }
    }
    Ok(())
}

/// Cuts what some seeds make; gives how many plates were cut, and how many of them lay in windows.
fn cut(seeds: std::ops::Range<u64>, hold: Hold) -> (usize, usize) {
    let families = Shelf::built_in().families().expect("built in");
    let mut laws = Laws::default();
    let (mut count, mut guests, mut sheets, mut crossings) = (0, 0, 0, 0);
    for seed in seeds {
        let run = run(seed, &families, hold);
        let alone = run.plates.iter().zip(&run.prepared);
        for (plate, made) in alone.filter(|_| hold == Hold::Loose) {
            virtual_cut::single_laws(&mut laws, seed, plate, made, (&run.settings, &run.table));
        }
        for laid in &run.layout.sheets {
            let placed: Vec<Placed> = laid
                .placements
                .iter()
                .map(|it| Placed {
                    plate: it.piece,
                    pose: it.pose,
                    inside: it.inside,
                })
                .collect();
            let prepared: Vec<&PreparedPlate> = run.prepared.iter().collect();
            let ground = SheetLimits {
                metal: &run.edge,
                margin: MARGIN,
                web: WEB,
            };
            let plan = sequence(&placed, &prepared, &ground, &run.settings, &run.table);
            count += placed.len();
            guests += placed.iter().filter(|it| it.inside.is_some()).count();
            sheets += 1;
            let sheet = Sheet {
                plates: run.plates.clone(),
                prepared: run.prepared.clone(),
                placed,
                plan,
                settings: run.settings.clone(),
                web: WEB,
            };
            for (law, verdict) in [
                ("1", sheet::law_1(&sheet)),
                ("2", sheet::law_2(&sheet)),
                ("2", sheet::law_2_between_leads(&sheet)),
                ("6", sheet::law_6(&sheet)),
                ("7", sheet::law_7(&sheet).map(|found| crossings += found)),
                ("2", on_the_sheet(&sheet, &run.edge)),
                ("3", sheet::law_3(&sheet)),
                ("8", sheet::law_8(&sheet)),
                ("3", sheet::is_complete(&sheet)),
            ] {
                laws.hold(law, seed, verdict.is_ok(), || {
                    verdict.err().unwrap_or_default()
                });
            }
        }
    }
    println!(
        "{count} plates on {sheets} sheets, {guests} of them in windows; \
         {crossings} rapids over what is cut out"
    );
    laws.verdict();
    (count, guests)
}

#[test]
fn plates_of_every_family_come_off_their_sheets() {
    let (count, _) = cut(0..3, Hold::Loose);
    assert!(count >= 10, "{count} plates");
}

#[test]
fn plates_with_holding_tabs_come_off_their_sheets() {
    let (count, _) = cut(20..23, Hold::WithTabs);
    assert!(count >= 10, "{count} plates");
}

#[test]
#[ignore = "takes minutes"]
fn many_plates_with_holding_tabs_come_off_their_sheets() {
    let (count, guests) = cut(20_000..20_060, Hold::WithTabs);
    assert!(
        count >= 200 && guests > 0,
        "{count} plates, {guests} in windows"
    );
}

/// Sheets on which a way round what is cut out was missed, or a finished edge was just off.
#[test]
fn sheets_that_went_wrong_once_are_right() {
    for seed in [10_012, 10_016, 10_073, 10_143] {
        cut(seed..seed + 1, Hold::Loose);
    }
}

/// At least 1,000 plates; the run prints how many, and the checks by law.
#[test]
#[ignore = "takes minutes"]
fn a_thousand_plates_of_every_family_come_off_their_sheets() {
    let (count, guests) = cut(10_000..10_260, Hold::Loose);
    assert!(
        count >= 1_000 && guests > 0,
        "{count} plates, {guests} in windows"
    );
}
