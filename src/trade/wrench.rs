//! Room for hexagons, washers and the sockets that turn them.

use super::origin::Origin;
use super::thread::{System, THREAD, Thread};
use super::unit::INCH;
use crate::fault::Refusal;
use crate::geometry::Tolerance;
use crate::quantity::{Function, Given, Value, format};

/// Hexagons.
pub const HEXAGONS: Origin = Origin {
    title: "width across flats of hexagon bolts and nuts",
    source: "ISO 4014, ISO 4032; ASME B18.2.1 Table 2",
    verified: "from memory; M10, M12, M14 and M22 are ISO's, older DIN 933 has 17, 19, 22 and 32 mm",
};

/// Washers.
pub const WASHERS: Origin = Origin {
    title: "outside diameter of plain washers",
    source: "ISO 7089 (normal series); ASME B18.22.1 Type A narrow (SAE)",
    verified: "from memory",
};

/// Sockets.
pub const SOCKETS: Origin = Origin {
    title: "outside diameter of a hand socket: 1.3 times the width across flats, and 3 mm",
    source: "common practice, no source",
    verified: "from memory",
};

/// Diameter, width across flats, washer's outside diameter, mm.
const METRIC: &[(f64, f64, f64)] = &[
    (3.0, 5.5, 7.0),
    (4.0, 7.0, 9.0),
    (5.0, 8.0, 10.0),
    (6.0, 10.0, 12.0),
    (8.0, 13.0, 16.0),
    (10.0, 16.0, 20.0),
    (12.0, 18.0, 24.0),
    (14.0, 21.0, 28.0),
    (16.0, 24.0, 30.0),
    (18.0, 27.0, 34.0),
    (20.0, 30.0, 37.0),
    (22.0, 34.0, 39.0),
    (24.0, 36.0, 44.0),
    (27.0, 41.0, 50.0),
    (30.0, 46.0, 56.0),
    (36.0, 55.0, 66.0),
];

/// Diameter, width across flats, washer's outside diameter, inch.
const INCHES: &[(f64, f64, f64)] = &[
    (0.25, 0.4375, 0.625),
    (0.3125, 0.5, 0.6875),
    (0.375, 0.5625, 0.8125),
    (0.4375, 0.625, 0.922),
    (0.5, 0.75, 1.0625),
    (0.5625, 0.8125, 1.156),
    (0.625, 0.9375, 1.3125),
    (0.75, 1.125, 1.469),
    (0.875, 1.3125, 1.75),
    (1.0, 1.5, 2.0),
];

fn rows(system: System) -> (&'static [(f64, f64, f64)], f64) {
    match system {
        System::Metric => (METRIC, 1.0),
        System::Inch => (INCHES, INCH),
    }
}

/// Whether hexagon bolts of this size have a row of their own.
#[must_use]
pub fn is_stocked(thread: &Thread) -> bool {
    let (rows, unit) = rows(thread.system);
    let same = |size: f64| (size * unit - thread.diameter).abs() < Tolerance::SAME;
    rows.iter().any(|(size, ..)| same(*size))
}

/// Width across flats of the hexagon and outside diameter of the plain washer, mm; between two rows
/// the larger, `None` past the tables.
#[must_use]
pub fn seat(thread: &Thread) -> Option<(f64, f64)> {
    let (rows, unit) = rows(thread.system);
    let row = rows
        .iter()
        .find(|(size, ..)| size * unit + Tolerance::SAME >= thread.diameter)?;
    Some((row.1 * unit, row.2 * unit))
}

/// Outside diameter of a socket that turns this hexagon, mm.
#[must_use]
pub fn socket_outside(across_flats: f64) -> f64 {
    1.3 * across_flats + 3.0
}

/// How far a nut with its washer stands out, mm: 0.9 and 0.2 diameters (ISO 4032 and ISO 7089 have no more). A head
/// is lower.
#[must_use]
pub fn stands_out(thread: &Thread) -> f64 {
    1.1 * thread.diameter
}

/// The largest size below a thread's whose socket is no wider than so much, mm.
#[must_use]
pub fn largest_socket_within(thread: &Thread, across: f64) -> Option<String> {
    largest(thread, |(flats, _)| socket_outside(flats) <= across)
}

/// The largest size below a thread's whose washer is no wider than so much, mm.
#[must_use]
pub fn largest_washer_within(thread: &Thread, across: f64) -> Option<String> {
    largest(thread, |(_, washer)| washer <= across)
}

fn largest(thread: &Thread, fits: impl Fn((f64, f64)) -> bool) -> Option<String> {
    let (rows, unit) = rows(thread.system);
    let smaller = rows
        .iter()
        .rev()
        .filter(|(size, ..)| size * unit + Tolerance::SAME < thread.diameter);
    let mut fitting = smaller.filter(|(_, flats, washer)| fits((flats * unit, washer * unit)));
    let (size, ..) = fitting.next()?;
    match thread.system {
        System::Metric => Some(format!("M{size}")),
        System::Inch => Some(format!("{} in", format::fraction(*size)?)),
    }
}

fn asked(given: Given<'_>, what: fn((f64, f64)) -> f64) -> Result<Value, Refusal> {
    let thread: Thread = given.one()?;
    let seat = seat(&thread).ok_or_else(|| {
        Refusal::new(format!("no hexagon for {} in the tables", thread.size))
            .remedy("they go up to M36 and 1 in")
    })?;
    Ok(Value::length(what(seat)))
}

/// What recipes can ask about wrenches.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "across_flats",
        parameters: &[THREAD],
        says: "width across flats of the hexagon bolt or nut",
        source: HEXAGONS.source,
        call: |given| asked(given, |(flats, _)| flats),
    },
    Function {
        name: "washer",
        parameters: &[THREAD],
        says: "outside diameter of the plain washer",
        source: WASHERS.source,
        call: |given| asked(given, |(_, washer)| washer),
    },
    Function {
        name: "socket",
        parameters: &[THREAD],
        says: "outside diameter of the hand socket for the hexagon: 1.3 across_flats + 3 mm",
        source: SOCKETS.source,
        call: |given| asked(given, |(flats, _)| socket_outside(flats)),
    },
];

#[cfg(test)]
mod tests {
    use super::super::thread::read;
    use super::*;

    #[test]
    fn a_washer_reaches_past_the_hexagon_and_sizes_grow() {
        for rows in [METRIC, INCHES] {
            assert!(
                rows.iter()
                    .all(|(size, flats, washer)| size < flats && flats < washer)
            );
            assert!(rows.windows(2).all(|pair| pair[0].1 < pair[1].1));
        }
    }

    /// 1.3 times 13 mm and 3 mm are 19.9 mm, and 1.3 times 16 mm and 3 mm 23.8: ISO 4014 has 13 mm for M8 and 16 for M10.
    #[test]
    fn the_largest_socket_that_fits_is_found() {
        let m12 = read("M12").expect("a thread");
        assert_eq!(largest_socket_within(&m12, 20.0).as_deref(), Some("M8"));
        assert_eq!(largest_socket_within(&m12, 24.0).as_deref(), Some("M10"));
        assert_eq!(largest_socket_within(&m12, 5.0), None);
        assert_eq!(largest_washer_within(&m12, 16.0).as_deref(), Some("M8"));
        let half = read("1/2-20").expect("a thread");
        let found = largest_socket_within(&half, 1.3 * 0.5 * INCH + 3.0);
        assert_eq!(found.as_deref(), Some("5/16 in"));
    }

    #[test]
    fn fine_threads_have_the_hexagon_of_their_size() {
        assert_eq!(
            seat(&read("M12x1.25").expect("a thread")),
            Some((18.0, 24.0))
        );
        assert_eq!(seat(&read("M39").expect("a thread")), None);
    }
}
