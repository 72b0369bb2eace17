//! From the sheets and remnants of a job to stock with a usable area.
//!
//! In: a size or an outline, the margin to keep from its edge, and the web between parts. Out: the
//! area in which pieces grown by half the web may lie, flattened inward.

use super::{Along, Stock, polygon};
use crate::geometry::{Bounds, Point, Region, Side, Unresolved};

/// How far a flattened edge may lie from the true one, mm.
const FLATTENING: f64 = 0.02;
/// The same where only area is asked for, mm.
const METAL: f64 = 0.05;

/// What a job says about one line of stock, whatever its form.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Name for messages and results.
    pub id: String,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<u32>,
    /// What one costs.
    pub price: Option<f64>,
    /// Least distance from its edge, mm.
    pub margin: f64,
}

/// Full sheets with corners at the origin and at `(width, height)` mm.
///
/// The pieces carry half the web around them, and half the web needs no margin: the usable area
/// reaches that much nearer to the edge. `None` if the margin leaves nothing.
#[must_use]
pub fn rectangular(line: Line, (width, height): (f64, f64), web: f64) -> Option<Stock> {
    let inset = line.margin - web / 2.0;
    let (right, top) = (width - inset, height - inset);
    let metal = Bounds::around([Point::ORIGIN, Point::new(width, height)]);
    (right > inset && top > inset).then(|| Stock {
        id: line.id,
        quantity: line.quantity,
        usable: [(inset, inset), (right, inset), (right, top), (inset, top)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec(),
        along: Along::longer(metal),
        avoid: Vec::new(),
        metal: vec![metal.corners().to_vec()],
        price: line.price,
        first: false,
    })
}

/// A remnant of any outline; holes in it are avoided with the same margin.
///
/// If the margin cuts it in two, the larger piece is used. `None` if nothing is left.
pub fn remnant(line: Line, outline: &Region, web: f64) -> Result<Option<Stock>, Unresolved> {
    let inset = (line.margin - web / 2.0).max(0.0);
    let usable = if inset > 0.0 {
        outline.offset(-inset)?
    } else {
        outline.clone()
    };
    let largest = usable
        .faces
        .iter()
        .max_by(|a, b| a.area().total_cmp(&b.area()));
    Ok(largest.map(|face| Stock {
        id: line.id,
        quantity: line.quantity,
        usable: face.outside.flattened(FLATTENING, Side::Inward),
        along: Along::longer(outline.bounds()),
        avoid: face
            .openings
            .iter()
            .map(|opening| {
                let mut spot = opening.reversed().flattened(FLATTENING, Side::Outward);
                if polygon::signed_area(&spot) < 0.0 {
                    spot.reverse();
                }
                spot
            })
            .collect(),
        metal: outline
            .contours()
            .map(|it| it.flattened(METAL, Side::OnCurve))
            .collect(),
        price: line.price,
        first: true,
    }))
}
