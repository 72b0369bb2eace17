//! Laws of placing: nothing overlaps, nothing is lost, the same input gives the same layout.

use crate::support::nest_check::{assert_sound, disc, outline, rectangle, sheets};
use platewright::geometry::Point;
use platewright::nest::most::as_many_as_fit;
use platewright::nest::{
    self, Along, Budget, Control, Layout, Piece, Polygon, Progress, Rotation, Stock, proof,
};
use proptest::prelude::*;

/// Places tried for each copy: enough for every part of the search to have its turn.
const STEPS: u64 = 2_000;

fn piece(id: &str, quantity: u32, outline: Polygon, rotation: Rotation) -> Piece {
    Piece {
        index: 0,
        id: id.into(),
        quantity,
        outline,
        windows: Vec::new(),
        rotation,
    }
}

/// The pieces numbered in their order.
fn numbered(mut pieces: Vec<Piece>) -> Vec<Piece> {
    for (index, piece) in pieces.iter_mut().enumerate() {
        piece.index = index;
    }
    pieces
}

fn placed(pieces: &[Piece], stock: &[Stock], seed: u64, iterations: u64) -> Layout {
    let budget = Budget {
        seed,
        iterations,
        seconds: None,
    };
    nest::place(pieces, stock, &budget, &mut |_| Control::Continue)
}

/// What something gives where the search has so many threads.
fn on_threads<T: Send>(threads: usize, run: impl FnOnce() -> T + Send) -> T {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
    pool.build().expect("threads").install(run)
}

/// What a front end of a produce cart needs, about a hundred parts.
fn cart_parts() -> Vec<Piece> {
    let quarters = Rotation::Steps(
        (0..4)
            .map(|k| f64::from(k) * std::f64::consts::FRAC_PI_2)
            .collect(),
    );
    let mut hub = piece("hub", 12, disc(85.0, 64), Rotation::Free);
    hub.windows = vec![disc(33.0, 32)];
    let mut ring = piece("ring", 4, disc(150.0, 96), Rotation::Free);
    ring.windows = vec![disc(105.0, 64)];
    let arm = outline(&[
        (0.0, -25.0),
        (180.0, -14.0),
        (190.0, 0.0),
        (180.0, 14.0),
        (0.0, 25.0),
        (-20.0, 0.0),
    ]);
    let angle = outline(&[
        (0.0, 0.0),
        (120.0, 0.0),
        (120.0, 40.0),
        (40.0, 40.0),
        (40.0, 80.0),
        (0.0, 80.0),
    ]);
    numbered(vec![
        hub,
        ring,
        piece("arm", 24, arm, Rotation::Free),
        piece("angle", 20, angle, quarters.clone()),
        piece("pad", 28, rectangle(60.0, 45.0), quarters),
        piece(
            "gusset",
            16,
            outline(&[(0.0, 0.0), (90.0, 0.0), (0.0, 60.0)]),
            Rotation::Free,
        ),
    ])
}

#[test]
fn a_hundred_parts_are_placed_soundly() {
    let (pieces, stock) = (cart_parts(), [sheets(1220.0, 1220.0)]);
    let layout = placed(&pieces, &stock, 1, 0);
    assert_sound(&pieces, &stock, &layout);
    assert!(layout.unplaced.is_empty());
    assert_eq!(proof::on_polygons(&pieces, &stock, &layout), []);
    let area: f64 = pieces
        .iter()
        .map(|p| f64::from(p.quantity) * area(&p.outline))
        .sum();
    let bound = (area / (1220.0 * 1220.0)).ceil() as usize;
    assert!(
        layout.sheets.len() <= bound + 1,
        "{} sheets",
        layout.sheets.len()
    );
    let guests = layout
        .sheets
        .iter()
        .flat_map(|s| &s.placements)
        .filter(|p| p.inside.is_some());
    assert!(guests.count() >= 4, "the rings have room for pads");
}

#[test]
fn the_search_makes_the_start_shorter() {
    let (pieces, stock) = (cart_parts(), [sheets(1220.0, 2440.0)]);
    let length = |layout: &Layout| {
        let last = layout.sheets.last().expect("something is placed");
        last.length(&pieces, &stock)
    };
    let start = placed(&pieces, &stock, 1, 0);
    let better = placed(&pieces, &stock, 1, STEPS);
    assert_sound(&pieces, &stock, &better);
    assert_eq!(better.sheets.len(), 1);
    assert!(
        length(&better) < 0.95 * length(&start),
        "{} after {}",
        length(&better),
        length(&start)
    );
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let (pieces, stock) = (cart_parts(), [sheets(900.0, 1220.0)]);
    let run = || placed(&pieces, &stock, 7, 300);
    let layout = on_threads(1, run);
    assert_sound(&pieces, &stock, &layout);
    for threads in [2, 5] {
        assert_eq!(layout, on_threads(threads, run), "{threads} threads");
    }
}

#[test]
fn stopping_keeps_the_best_so_far() {
    let (pieces, stock) = (cart_parts(), [sheets(1220.0, 2440.0)]);
    let budget = Budget {
        seed: 1,
        iterations: u64::MAX / 1024,
        seconds: None,
    };
    let mut told = Vec::new();
    let layout = nest::place(&pieces, &stock, &budget, &mut |now| {
        told.push(now.last_length);
        if told.len() < 6 {
            Control::Continue
        } else {
            Control::Stop
        }
    });
    assert_sound(&pieces, &stock, &layout);
    assert!(layout.unplaced.is_empty());
    let best = told.iter().copied().fold(f64::INFINITY, f64::min);
    let length = layout.sheets[0].length(&pieces, &stock);
    assert!((length - best).abs() < 1.0, "{length} {best}");
}

fn area(polygon: &[Point]) -> f64 {
    let pairs = (0..polygon.len()).map(|i| (polygon[i], polygon[(i + 1) % polygon.len()]));
    pairs.map(|(a, b)| (a.x * b.y - b.x * a.y) / 2.0).sum()
}

#[test]
fn remnants_are_used_before_sheets_and_spots_are_avoided() {
    let pieces = [piece("pad", 30, rectangle(60.0, 45.0), Rotation::Free)];
    let corner = Stock {
        along: Along::X,
        id: "corner".into(),
        quantity: Some(1),
        usable: outline(&[(0.0, 0.0), (400.0, 0.0), (300.0, 150.0), (0.0, 300.0)]),
        avoid: vec![
            disc(30.0, 24)
                .iter()
                .map(|p| Point::new(p.x + 120.0, p.y + 90.0))
                .collect(),
        ],
        metal: Vec::new(),
        price: None,
        first: true,
    };
    let stock = [sheets(1000.0, 500.0), corner];
    let layout = placed(&pieces, &stock, 3, 0);
    assert_sound(&pieces, &stock, &layout);
    assert_eq!(
        layout.sheets.iter().map(|s| s.stock).collect::<Vec<_>>(),
        [1, 0]
    );
    assert!(layout.unplaced.is_empty());
}

#[test]
fn what_fits_nowhere_is_listed() {
    let pieces = numbered(vec![
        piece("boom", 2, rectangle(2000.0, 50.0), Rotation::Free),
        piece("pad", 3, rectangle(60.0, 45.0), Rotation::Free),
        piece(
            "line",
            1,
            outline(&[(0.0, 0.0), (5.0, 5.0), (9.0, 9.0)]),
            Rotation::Free,
        ),
        piece(
            "blank",
            1,
            vec![Point::new(f64::NAN, 0.0); 3],
            Rotation::Free,
        ),
    ]);
    let mut one = sheets(1000.0, 500.0);
    one.quantity = Some(1);
    let layout = placed(&pieces, &[one], 1, 0);
    assert_eq!(layout.unplaced, [(0, 2), (2, 1), (3, 1)]);
    assert_eq!(layout.sheets[0].placements.len(), 3);
}

/// Pads that one small sheet cannot hold and two can, and stock of both sizes at these prices.
fn two_sizes(small: f64, large: f64) -> (Vec<Piece>, [Stock; 2]) {
    let pieces = vec![piece("pad", 14, rectangle(190.0, 90.0), Rotation::Free)];
    let mut stock = [sheets(620.0, 400.0), sheets(1240.0, 400.0)];
    stock[0].price = Some(small);
    stock[1].price = Some(large);
    (pieces, stock)
}

/// The lines of the sheets of a layout.
fn lines(layout: &Layout) -> Vec<usize> {
    layout.sheets.iter().map(|sheet| sheet.stock).collect()
}

#[test]
fn two_small_sheets_or_a_large_one_by_what_they_cost() {
    for (small, large, wanted) in [(45.0, 100.0, vec![0, 0]), (55.0, 100.0, vec![1])] {
        let (pieces, stock) = two_sizes(small, large);
        for iterations in [0, 200] {
            let layout = placed(&pieces, &stock, 1, iterations);
            assert_sound(&pieces, &stock, &layout);
            assert!(layout.unplaced.is_empty());
            assert_eq!(lines(&layout), wanted, "{small} and {large}");
        }
    }
    // With one small sheet at hand the large one must do.
    let (pieces, mut stock) = two_sizes(45.0, 100.0);
    stock[0].quantity = Some(1);
    assert_eq!(lines(&placed(&pieces, &stock, 1, 0)), [1]);
}

#[test]
fn a_set_of_sizes_is_cheaper_than_one_after_the_other() {
    // A small sheet holds 12 pads and a large one 26. A small one costs least for each pad, so two of
    // them come first, then a large one takes the rest for 157 in all; four small ones do for 156.
    let (mut pieces, mut stock) = two_sizes(39.0, 79.0);
    pieces[0].quantity = 40;
    let layout = placed(&pieces, &stock, 1, 0);
    assert_sound(&pieces, &stock, &layout);
    assert_eq!(lines(&layout), [0, 0, 0, 0]);
    assert!(layout.unplaced.is_empty());
    // A sheet that comes first is used whatever it costs.
    stock[0].first = true;
    stock[0].quantity = Some(1);
    stock[0].price = Some(500.0);
    pieces[0].quantity = 5;
    assert_eq!(lines(&placed(&pieces, &stock, 1, 0)), [0]);
}

#[test]
fn as_many_as_fit_are_counted_on_one_sheet() {
    let budget = Budget {
        seed: 1,
        iterations: 300,
        seconds: None,
    };
    let go_on = &mut |_: Progress<'_>| Control::Continue;
    // Three across and four along, by plain division; a sheet of that size has room for no more.
    let upright = Rotation::Steps(vec![0.0]);
    let pads = [piece("pad", 1, rectangle(200.0, 99.0), upright)];
    let most = as_many_as_fit(&pads, &[sheets(610.0, 400.0)], &budget, go_on);
    assert_eq!((most.sets, most.bound), (12, 12));
    assert_eq!(most.layout.sheets.len(), 1);
    // A set is whole or not counted: a ring with two pads in it, and an arm.
    let mut ring = piece("ring", 1, disc(100.0, 64), Rotation::Free);
    ring.windows = vec![disc(70.0, 48)];
    let set = numbered(vec![
        ring,
        piece("pad", 2, rectangle(60.0, 45.0), Rotation::Free),
        piece("arm", 1, rectangle(190.0, 30.0), Rotation::Free),
    ]);
    let stock = [sheets(820.0, 430.0)];
    let most = as_many_as_fit(&set, &stock, &budget, go_on);
    let pieces: Vec<Piece> = set
        .iter()
        .map(|it| Piece {
            quantity: it.quantity * most.sets,
            ..it.clone()
        })
        .collect();
    let one = [Stock {
        quantity: Some(1),
        ..stock[0].clone()
    }];
    assert_sound(&pieces, &one, &most.layout);
    // Eight rings in two rows leave no room for eight arms; in place of one of them six lie side by
    // side.
    assert!((5..=7).contains(&most.sets), "{}", most.sets);
    assert!(most.sets <= most.bound);
    // Nothing of it fits on a sheet that is too small.
    let none = as_many_as_fit(&set, &[sheets(150.0, 150.0)], &budget, go_on);
    assert_eq!(none.sets, 0);
}

/// An outline around the origin that may be dented but does not cross itself.
fn any_outline() -> impl Strategy<Value = Polygon> {
    prop::collection::vec(15.0..70.0_f64, 3..14).prop_map(|reach| {
        let n = reach.len();
        (0..n)
            .map(|i| Point::ORIGIN.polar(reach[i], i as f64 / n as f64 * std::f64::consts::TAU))
            .collect()
    })
}

fn any_piece() -> impl Strategy<Value = Piece> {
    let rotation = prop_oneof![
        Just(Rotation::Free),
        Just(Rotation::Steps(vec![0.0])),
        Just(Rotation::Steps(vec![0.0, std::f64::consts::PI])),
        Just(Rotation::Steps(vec![0.3, 1.9])),
    ];
    (any_outline(), 1..6_u32, rotation, any::<bool>()).prop_map(
        |(outline, quantity, rotation, window)| {
            let mut made = piece("part", quantity, outline, rotation);
            if window {
                let shrunk = made
                    .outline
                    .iter()
                    .map(|p| Point::new(p.x * 0.6, p.y * 0.6));
                made.windows = vec![shrunk.collect()];
            }
            made
        },
    )
}

fn any_stock() -> impl Strategy<Value = Vec<Stock>> {
    let line = (
        200.0..500.0_f64,
        150.0..400.0_f64,
        0..4_u32,
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    prop::collection::vec(line, 1..3).prop_map(|lines| {
        lines
            .into_iter()
            .map(|(width, height, quantity, remnant, spot, kept)| Stock {
                metal: if kept {
                    vec![rectangle(width, height)]
                } else {
                    Vec::new()
                },
                quantity: (quantity > 0).then_some(quantity),
                first: remnant,
                avoid: if spot {
                    vec![rectangle(40.0, 60.0)]
                } else {
                    Vec::new()
                },
                ..sheets(width, height)
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_parts_on_any_stock_are_placed_soundly(
        pieces in prop::collection::vec(any_piece(), 1..6).prop_map(numbered),
        stock in any_stock(),
        seed in 0..1000_u64,
    ) {
        let layout = placed(&pieces, &stock, seed, STEPS);
        assert_sound(&pieces, &stock, &layout);
        prop_assert_eq!(proof::on_polygons(&pieces, &stock, &layout), []);
        prop_assert_eq!(&layout, &placed(&pieces, &stock, seed, STEPS));
        let alone = on_threads(1, || placed(&pieces, &stock, seed, STEPS));
        prop_assert_eq!(&layout, &alone);
    }
}
