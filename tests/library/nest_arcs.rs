//! The true lines and arcs of any parts keep their web on any stock, parts in windows included.

use platewright::geometry::{Contour, Face, Point, Region, Side, Vector};
use platewright::nest::proof::{self, TrueShape, TrueSheet};
use platewright::nest::sheets::{self, Line};
use platewright::nest::{self, Budget, Control, Piece, Rotation};
use proptest::prelude::*;

/// Places tried for each copy.
const STEPS: u64 = 1_000;
/// How far a flattened outline may lie from the true one, mm.
const CHORD: f64 = 0.02;

/// A part as it is burnt, and the room in its opening.
#[derive(Debug, Clone)]
struct Part {
    outline: Region,
    rooms: Vec<(usize, Region)>,
    rotation: Rotation,
    quantity: u32,
}

fn region(outside: Contour) -> Region {
    Region {
        faces: vec![Face {
            outside,
            openings: Vec::new(),
        }],
    }
}

fn disc(radius: f64) -> Region {
    region(Contour::circle(Point::ORIGIN, radius))
}

fn bar(length: f64, width: f64) -> Region {
    let corners = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)];
    region(Contour::polygon(&corners.map(|(x, y)| Point::new(x, y))).expect("it has an area"))
}

/// Rings with room inside, discs, bars with a round end.
fn any_part() -> impl Strategy<Value = Part> {
    let rotation = prop_oneof![
        Just(Rotation::Free),
        Just(Rotation::Steps(vec![0.0, std::f64::consts::PI])),
    ];
    (0..3, 20.0..60.0_f64, 0.3..0.8_f64, rotation, 1..5_u32).prop_map(
        |(form, size, share, rotation, quantity)| {
            let (outline, rooms) = match form {
                0 => (disc(1.8 * size), vec![(0, disc(1.8 * size * share))]),
                1 => (disc(size * share), Vec::new()),
                _ => {
                    let bar = bar(2.0 * size, size * share);
                    let rounded = bar.round_outside(size * share * 0.4);
                    (rounded.expect("a rectangle can be rounded"), Vec::new())
                }
            };
            Part {
                outline,
                rooms,
                rotation,
                quantity,
            }
        },
    )
}

/// Grown by half the web and flattened outward; its room shrunk and flattened inward.
fn piece((index, part): (usize, &Part), web: f64) -> Piece {
    let first = |region: &Region, by: f64, side: Side| {
        let grown = region.offset(by).expect("plain shapes can be offset");
        let face = grown.faces.first();
        face.map(|face| face.outside.flattened(CHORD, side))
    };
    Piece {
        index,
        id: "part".into(),
        quantity: part.quantity,
        outline: first(&part.outline, web / 2.0, Side::Outward).expect("it grew"),
        windows: part
            .rooms
            .iter()
            .filter_map(|(_, room)| first(room, -web / 2.0, Side::Inward))
            .collect(),
        rotation: part.rotation.clone(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_parts_keep_their_web_on_true_arcs(
        parts in prop::collection::vec(any_part(), 1..5),
        round in any::<bool>(),
        web in 1.0..9.0_f64,
        margin in 5.0..12.0_f64,
        seed in 0..1000_u64,
    ) {
        let pieces: Vec<Piece> = parts.iter().enumerate().map(|part| piece(part, web)).collect();
        let line = |id: &str, quantity| Line {
            id: id.into(),
            quantity,
            price: None,
            margin,
        };
        let remnant = if round { disc(170.0) } else { bar(320.0, 190.0) };
        let mut stock = vec![
            sheets::rectangular(line("sheet", None), (300.0, 520.0), web).expect("it is large"),
        ];
        let left = sheets::remnant(line("remnant", Some(1)), &remnant, web);
        stock.extend(left.expect("plain shapes can be offset"));
        let budget = Budget { seed, iterations: STEPS, seconds: None };
        let layout = nest::place(&pieces, &stock, &budget, &mut |_| Control::Continue);
        let shapes: Vec<TrueShape> = parts
            .iter()
            .map(|part| TrueShape { outline: &part.outline, rooms: &part.rooms })
            .collect();
        let full = proof::rectangle(Vector::new(300.0, 520.0)).expect("it has an area");
        for (index, sheet) in layout.sheets.iter().enumerate() {
            let edge = if sheet.stock == 0 { &full } else { &remnant };
            let flaws = proof::on_arcs(index, sheet, &shapes, TrueSheet { edge, margin }, web);
            prop_assert_eq!(flaws, []);
        }
        let placed: usize = layout.sheets.iter().map(|sheet| sheet.placements.len()).sum();
        let waiting: u32 = layout.unplaced.iter().map(|(_, copies)| copies).sum();
        let asked: u32 = parts.iter().map(|part| part.quantity).sum();
        prop_assert_eq!(placed + waiting as usize, asked as usize);
        let again = nest::place(&pieces, &stock, &budget, &mut |_| Control::Continue);
        prop_assert_eq!(layout, again);
    }
}
