//! Heat and order: on a sheet of many plates a table that spreads it goes further from one cut to the next, and
//! keeps to the order that must be; one plate after another costs what is told.

use super::shapes::{self, prepare};
use super::sheet::{Sheet, is_complete, law_3, law_8};
use platewright::cut::{OrderCosts, Placed, PreparedPlate, SheetLimits, sequence};
use platewright::geometry::{Pose, Vector};
use platewright::recipe::CutOrder;

/// The distance that is wished for, mm.
const SPREAD: f64 = 150.0;

/// Thirty flanges with four holes each, side by side.
fn sheet(spread: f64, order: CutOrder) -> Sheet {
    let (settings, mut table) = (shapes::settings(), shapes::table());
    table.spread_heat = spread;
    table.order = order;
    let holes = [(-25.0, -25.0), (25.0, -25.0), (25.0, 25.0), (-25.0, 25.0)];
    let flange = holes
        .iter()
        .fold(shapes::rectangle(0.0, 0.0, 80.0, 80.0), |metal, (x, y)| {
            let hole = shapes::disc(*x, *y, 11.0);
            metal.difference(&hole).expect("resolves")
        });
    let flange = shapes::plate("flange", flange.faces[0].clone());
    let prepared = prepare(&flange, &settings, &table).expect("it can be cut");
    let at = |k: usize| Vector::new(60.0 + 105.0 * (k % 6) as f64, 60.0 + 105.0 * (k / 6) as f64);
    let placed: Vec<Placed> = (0..30)
        .map(|k| Placed {
            plate: 0,
            pose: Pose::shifted(at(k)),
            inside: None,
        })
        .collect();
    let metal = shapes::rectangle(375.0, 310.0, 750.0, 620.0);
    let ground = SheetLimits {
        metal: &metal,
        margin: 8.0,
        web: 6.0,
    };
    let all: Vec<&PreparedPlate> = vec![&prepared];
    let plan = sequence(&placed, &all, &ground, &settings, &table);
    Sheet {
        plates: vec![flange],
        prepared: vec![prepared],
        placed,
        plan,
        settings,
        web: 6.0,
    }
}

/// From the end of each cut to the next pierce, mm.
fn hops(sheet: &Sheet) -> Vec<f64> {
    let pairs = sheet.plan.paths.windows(2);
    pairs
        .map(|two| two[0].1.end().distance(two[1].1.pierce()))
        .collect()
}

#[test]
fn heat_is_spread_where_it_is_asked_for() {
    let by = CutOrder::Shortest;
    let (near, spread) = (sheet(0.0, by), sheet(SPREAD, by));
    for sheet in [&near, &spread] {
        assert_eq!(law_3(sheet), Ok(()));
        assert_eq!(is_complete(sheet), Ok(()));
    }
    let mean = |hops: &[f64]| hops.iter().sum::<f64>() / hops.len() as f64;
    let close = |hops: &[f64]| hops.iter().filter(|mm| **mm < SPREAD).count();
    let (near, spread) = (hops(&near), hops(&spread));
    println!(
        "mean {:.0} and {:.0} mm, {} and {} of {} nearer than {SPREAD} mm",
        mean(&near),
        mean(&spread),
        close(&near),
        close(&spread),
        near.len()
    );
    assert!(mean(&near) < 0.6 * SPREAD, "{} mm", mean(&near));
    assert!(mean(&spread) >= SPREAD, "{} mm", mean(&spread));
    // Nearly every plate is left alone while the next is cut; no further away than need be.
    assert!(
        close(&spread) * 20 <= spread.len(),
        "{} too near",
        close(&spread)
    );
    assert!(mean(&spread) < 2.0 * SPREAD, "{} mm", mean(&spread));
}

/// Ten strips one above another, a hole at either end of each.
fn strips(order: CutOrder) -> Sheet {
    let (settings, mut table) = (shapes::settings(), shapes::table());
    table.order = order;
    let strip =
        [-170.0, 170.0]
            .iter()
            .fold(shapes::rectangle(0.0, 0.0, 400.0, 40.0), |metal, x| {
                let hole = shapes::disc(*x, 0.0, 11.0);
                metal.difference(&hole).expect("resolves")
            });
    let strip = shapes::plate("strip", strip.faces[0].clone());
    let prepared = prepare(&strip, &settings, &table).expect("it can be cut");
    let placed: Vec<Placed> = (0..10)
        .map(|k| Placed {
            plate: 0,
            pose: Pose::shifted(Vector::new(230.0, 45.0 + 62.0 * f64::from(k))),
            inside: None,
        })
        .collect();
    let metal = shapes::rectangle(230.0, 330.0, 460.0, 660.0);
    let ground = SheetLimits {
        metal: &metal,
        margin: 8.0,
        web: 6.0,
    };
    let plan = sequence(&placed, &[&prepared], &ground, &settings, &table);
    Sheet {
        plates: vec![strip],
        prepared: vec![prepared],
        placed,
        plan,
        settings,
        web: 6.0,
    }
}

#[test]
fn what_keeping_plates_together_costs_is_told() {
    let by_plates = strips(CutOrder::PlateByPlate);
    let shortest = strips(CutOrder::Shortest);
    for sheet in [&by_plates, &shortest] {
        assert_eq!(law_3(sheet), Ok(()));
        assert_eq!(is_complete(sheet), Ok(()));
    }
    assert_eq!(law_8(&by_plates), Ok(()));
    assert!(law_8(&shortest).is_err(), "a shorter way comes back");
    let (by_plates, shortest) = (&by_plates.plan, &shortest.plan);
    assert_eq!(by_plates.order, CutOrder::PlateByPlate);
    assert_eq!(shortest.order, CutOrder::Shortest);
    assert_eq!(shortest.order_costs, OrderCosts::default());
    let costs = by_plates.order_costs;
    let more = by_plates.rapid_length - shortest.rapid_length;
    assert!((costs.rapid_length - more).abs() < 1e-6, "{costs:?}");
    assert!(
        (costs.time - (by_plates.time - shortest.time)).abs() < 1e-6,
        "{costs:?}"
    );
    // To go along every strip once more than needed takes nine times 340 mm and more.
    assert!(more > 1000.0, "{more} mm");
}
