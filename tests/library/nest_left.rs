//! What a small job leaves of a sheet: the largest rectangle, and then all that is worth keeping, is as much as it
//! can be. Reckoned here from the boxes around what is placed, by the formulas for a rectangle less a corner.

use crate::support::nest_check::{assert_sound, outline, rectangle, sheets};
use platewright::geometry::Point;
use platewright::nest::{
    self, Along, Budget, Control, LEAST_KEPT, Layout, Piece, Polygon, Rotation, Stock,
};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// Places tried for each copy.
const STEPS: u64 = 1_000;

/// Places tried for all copies from which on twice as many never leave less: one round of the search for what is left.
const ALL_PLACES: u64 = 30_000;

/// Rectangles that differ by less than this share are alike: for more of the rest a tenth of a millimetre in a metre may
/// be given up, twice at most.
const ALIKE: f64 = 2e-4;

fn pieces(kinds: &[(Polygon, u32)], rotation: &Rotation) -> Vec<Piece> {
    let piece = |(index, (outline, quantity)): (usize, &(Polygon, u32))| Piece {
        index,
        id: format!("plate {index}"),
        quantity: *quantity,
        outline: outline.clone(),
        windows: Vec::new(),
        rotation: rotation.clone(),
    };
    kinds.iter().enumerate().map(piece).collect()
}

fn quarters() -> Rotation {
    Rotation::Steps(
        (0..4)
            .map(|k| f64::from(k) * std::f64::consts::FRAC_PI_2)
            .collect(),
    )
}

/// A sheet of which it counts what is left.
fn kept(width: f64, height: f64) -> Stock {
    Stock {
        metal: vec![rectangle(width, height)],
        ..sheets(width, height)
    }
}

fn placed(pieces: &[Piece], stock: &Stock, seed: u64) -> Layout {
    placed_after(STEPS, pieces, stock, seed)
}

/// The layout after so many places tried for each copy.
fn placed_after(iterations: u64, pieces: &[Piece], stock: &Stock, seed: u64) -> Layout {
    let budget = Budget {
        seed,
        iterations,
        seconds: None,
    };
    let stock = std::slice::from_ref(stock);
    let layout = nest::place(pieces, stock, &budget, &mut |_| Control::Continue);
    assert_sound(pieces, stock, &layout);
    assert_eq!((layout.sheets.len(), layout.unplaced.len()), (1, 0));
    layout
}

/// How far along x and along y the only sheet is used.
fn reach(pieces: &[Piece], layout: &Layout) -> (f64, f64) {
    let corners = layout.sheets[0].placements.iter().flat_map(|it| {
        let outline: &[Point] = &pieces[it.piece].outline;
        outline.iter().map(|p| it.pose.point(*p))
    });
    corners.fold((0.0, 0.0), |(x, y), p| (p.x.max(x), p.y.max(y)))
}

/// The largest rectangle that a corner leaves of a sheet, mm².
fn largest((length, width): (f64, f64), (x, y): (f64, f64)) -> f64 {
    ((length - x) * width).max(length * (width - y))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(50))]

    #[test]
    fn a_small_job_leaves_no_less_than_a_strip(
        plates in prop::collection::vec((60.0..400.0_f64, 40.0..160.0_f64, 1..5_u32), 1..4),
        seed in 0..1000_u64,
    ) {
        let size = (2500.0, 1250.0);
        let kinds: Vec<(Polygon, u32)> = plates
            .iter()
            .map(|(a, b, n)| (rectangle(*a, *b), *n))
            .collect();
        let pieces = pieces(&kinds, &quarters());
        let layout = placed(&pieces, &kept(size.0, size.1), seed);
        let (x, y) = reach(&pieces, &layout);
        let left = largest(size, (x, y)) * (1.0 + ALIKE);
        // The side that it is used up along is the one that the largest rectangle lies beyond.
        let beyond = match layout.sheets[0].along {
            Along::X => (size.0 - x) * size.1,
            Along::Y => size.0 * (size.1 - y),
        };
        prop_assert!(beyond * (1.0 + ALIKE) >= largest(size, (x, y)));
        // Where only the length counts, the same search makes a strip.
        let strip = placed(&pieces, &sheets(size.0, size.1), seed);
        let length = reach(&pieces, &strip).0;
        prop_assert!(left >= (size.0 - length) * size.1, "{x} × {y}, a strip of {length}");
    }
}

/// What is worth keeping of a sheet that is used as far as that, the best of both sides: the largest rectangle, and it with
/// what lies beside the plates, mm².
fn kept_of((length, width): (f64, f64), (x, y): (f64, f64)) -> (f64, f64) {
    let beyond = |length: f64, width: f64, x: f64, y: f64| {
        let beside = if width - y >= LEAST_KEPT {
            x * (width - y)
        } else {
            0.0
        };
        let largest = (length - x) * width;
        (largest, largest + beside)
    };
    let (along, across) = (beyond(length, width, x, y), beyond(width, length, y, x));
    if is_less(along, across) {
        across
    } else {
        along
    }
}

/// Whether a rectangle is smaller than another, or as large and there is less beside it.
fn is_less(one: (f64, f64), other: (f64, f64)) -> bool {
    if (one.0 - other.0).abs() > ALIKE * other.0 {
        one.0 < other.0
    } else {
        one.1 < other.1 * (1.0 - ALIKE)
    }
}

#[test]
fn twice_the_places_never_leave_less() {
    let mut random = Pcg64::seed_from_u64(4);
    let mut more = 0;
    for job in 0..16 {
        let mut between = |least: f64, most: f64| least + (most - least) * random.random::<f64>();
        let kinds = between(2.0, 6.0) as usize;
        let plate = |_| {
            let (long, wide) = (between(60.0, 400.0), between(40.0, 160.0));
            (rectangle(long, wide), between(1.0, 5.0) as u32)
        };
        let kinds: Vec<(Polygon, u32)> = (0..kinds).map(plate).collect();
        let copies: u32 = kinds.iter().map(|(_, copies)| *copies).sum();
        let pieces = pieces(&kinds, &quarters());
        let size = (2500.0, 1250.0);
        let left = [1, 2, 4].map(|times| {
            let each = times * ALL_PLACES.div_ceil(u64::from(copies));
            let layout = placed_after(each, &pieces, &kept(size.0, size.1), job);
            kept_of(size, reach(&pieces, &layout))
        });
        for two in left.windows(2) {
            assert!(!is_less(two[1], two[0]), "job {job}: {left:?}");
            more += u32::from(is_less(two[0], two[1]));
        }
    }
    // Twice the places are worth something now and then.
    assert!(more > 0);
}

#[test]
fn brackets_lie_in_a_corner_no_longer_than_one_of_them() {
    // A bracket is 115 mm across its narrow side, so no layout is shorter; with two of them side by side no corner of
    // that length is narrower than both.
    let pieces = pieces(&[(rectangle(380.0, 115.0), 2)], &quarters());
    let layout = placed(&pieces, &kept(2500.0, 1250.0), 1);
    let (x, y) = reach(&pieces, &layout);
    assert_eq!(layout.sheets[0].along, Along::X);
    assert!(
        (x - 115.0).abs() < 0.05 && (y - 760.0).abs() < 0.1,
        "{x} × {y}"
    );
    // Six of 300 by 150: four stand side by side on 150 mm, six lie side by side on 300.
    let pieces = self::pieces(&[(rectangle(300.0, 150.0), 6)], &quarters());
    let layout = placed(&pieces, &kept(2500.0, 1250.0), 1);
    let (x, y) = reach(&pieces, &layout);
    assert!(
        (x - 300.0).abs() < 0.1 && (y - 900.0).abs() < 1.0,
        "{x} × {y}"
    );
}

#[test]
fn long_plates_lie_along_the_sheet_where_that_leaves_more() {
    // Across they do not fit. Along they leave 2500 by 1160 mm above; slanted they would leave less than half.
    let pieces = pieces(&[(rectangle(1400.0, 90.0), 1)], &Rotation::Free);
    for (width, height, along) in [(2500.0, 1250.0, Along::Y), (1250.0, 2500.0, Along::X)] {
        let layout = placed(&pieces, &kept(width, height), 3);
        let used = reach(&pieces, &layout);
        assert_eq!(layout.sheets[0].along, along);
        let (long, narrow) = (used.0.max(used.1), used.0.min(used.1));
        assert!((long - 1400.0).abs() < 0.1 && (narrow - 90.0).abs() < 0.1);
        // Its length is told along that side.
        let stock = [kept(width, height)];
        let length = layout.sheets[0].length(&pieces, &stock);
        assert!((length - narrow).abs() < 1e-6, "{length}");
    }
}

#[test]
fn many_long_plates_lie_along_the_sheet_too() {
    // Twelve of 2400 by 60 fill more than half of the sheet, and side by side leave 2500 by 530 mm of it.
    let pieces = pieces(&[(rectangle(2400.0, 60.0), 12)], &Rotation::Free);
    let layout = placed(&pieces, &kept(2500.0, 1250.0), 3);
    assert_eq!(layout.sheets[0].along, Along::Y);
    let (_, high) = reach(&pieces, &layout);
    assert!((high - 720.0).abs() < 2.0, "{high}");
}

#[test]
fn a_sheet_that_is_filled_is_laid_out_as_ever() {
    // Half of it, and little of it with nothing beside that is long enough to keep.
    let wedge = outline(&[(0.0, 0.0), (180.0, 0.0), (140.0, 90.0), (20.0, 110.0)]);
    let across = 900.0 - LEAST_KEPT + 1.0;
    let kinds = [vec![(wedge, 28)], vec![(rectangle(across, 120.0), 1)]];
    for kinds in kinds {
        let pieces = pieces(&kinds, &Rotation::Free);
        let layout = placed(&pieces, &kept(1200.0, 900.0), 5);
        assert_eq!(layout, placed(&pieces, &sheets(1200.0, 900.0), 5));
    }
}

#[test]
fn what_is_left_is_judged_on_any_metal_and_the_same_every_time() {
    // An L, as an earlier job in a corner left it: the arm beside that job is used first.
    let corners = [
        (0.0, 400.0),
        (300.0, 400.0),
        (300.0, 0.0),
        (2000.0, 0.0),
        (2000.0, 1000.0),
        (0.0, 1000.0),
    ];
    let stock = Stock {
        usable: outline(&corners),
        metal: vec![outline(&corners)],
        ..sheets(2000.0, 1000.0)
    };
    let pieces = pieces(&[(rectangle(280.0, 120.0), 4)], &Rotation::Free);
    let layout = placed(&pieces, &stock, 2);
    assert_eq!(layout, placed(&pieces, &stock, 2));
    // Four beside one another on 280 mm of the arm that is 300 mm wide.
    let (x, y) = reach(&pieces, &layout);
    assert!(x < 281.0 && y < 1000.0, "{x} × {y}");
}
