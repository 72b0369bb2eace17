//! Plates of one kind side by side, a kerf apart, as one thing to place: the edges between them are cut once.
//!
//! In: a plate with its cut paths, how many of it, and the room that sheets have. Out: the block of so many that
//! saves most cutting and fits there. The first plate is cut all round with its own lead, which lies outside of the
//! block; each plate after it lies to the right of one before it, or inward of one, or both.

use super::CutPlate;
use crate::cut::PreparedPlate;
use crate::cut::shared::Corners;
use crate::fault::{Fault, Outcome};
use crate::geometry::{Contour, Point, Pose, Region, Tolerance, Unresolved, Vector};
use crate::nest::{self, Piece};

/// Plates of one kind side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Index into the plates of the run.
    pub plate: usize,
    /// Where each lies in the block; the first where the block does.
    pub poses: Vec<Pose>,
    /// What is burnt around it, filled.
    pub outline: Region,
}

/// Whether edges of a plate can be cut together with those of its neighbours: those of a rectangle that has no
/// mating edge on its outside.
#[must_use]
pub fn may_share(cut: &CutPlate, kerf: f64) -> bool {
    let outside = &cut.plate.face.outside;
    let mut mating = cut.plate.mating.iter();
    Corners::of(&cut.prepared).is_some() && mating.all(|it| it.gap_to(outside).distance > kerf)
}

/// How the plates of a block lie: from the side with the lead to the right, and inward.
struct Grid {
    corner: Point,
    right: Vector,
    inward: Vector,
    /// Length of a plate to the right and inward, mm.
    size: (f64, f64),
    kerf: f64,
    columns: usize,
    count: usize,
}

impl Grid {
    /// With one column; `None` if no side has the whole lead on it.
    fn new(prepared: &PreparedPlate, kerf: f64, count: usize) -> Option<Self> {
        let corners = Corners::of(prepared)?;
        let lead = prepared.paths.last()?.beside();
        let is_beyond = |side: &usize| {
            let (from, out) = (corners.corner(*side), corners.outward(*side));
            lead.iter().all(|it| {
                let places = [it.start(), it.point_at(0.5), it.end()].into_iter();
                let mut beyond = places.map(|at| (at - from).dot(out));
                beyond.all(|it| it >= kerf / 2.0 - Tolerance::SAME)
            })
        };
        let side = (0..4).find(is_beyond)?;
        Some(Self {
            corner: corners.corner(side),
            right: corners.side(side).unit()?,
            inward: -corners.outward(side),
            size: (corners.side(side).length(), corners.side(side + 1).length()),
            kerf,
            columns: 1,
            count,
        })
    }

    const fn rows(&self) -> usize {
        self.count.div_ceil(self.columns)
    }

    /// Length of so many plates side by side, mm.
    fn long(&self, plate: f64, count: usize) -> f64 {
        (plate + self.kerf) * count as f64 - self.kerf
    }

    /// Length to the right and inward, mm.
    fn extent(&self) -> (f64, f64) {
        let (right, inward) = self.size;
        (
            self.long(right, self.columns),
            self.long(inward, self.rows()),
        )
    }

    /// Length of the edges that are cut once instead of twice, mm.
    fn saved(&self) -> f64 {
        let (right, inward) = self.size;
        right * (self.count - self.columns) as f64 + inward * (self.count - self.rows()) as f64
    }

    fn fits(&self, (x, y): (f64, f64)) -> bool {
        let (right, inward) = self.extent();
        (right <= x && inward <= y) || (right <= y && inward <= x)
    }

    /// Row after row.
    fn poses(&self) -> Vec<Pose> {
        let (right, inward) = self.size;
        let by = |at: usize| {
            let (row, column) = (at / self.columns, at % self.columns);
            self.right * ((right + self.kerf) * column as f64)
                + self.inward * ((inward + self.kerf) * row as f64)
        };
        (0..self.count).map(|at| Pose::shifted(by(at))).collect()
    }

    /// The edge around all plates, filled; the last row may be shorter.
    fn around(&self) -> Option<Contour> {
        let (right, inward) = self.size;
        let (last, full) = (self.count % self.columns, self.count / self.columns);
        let at = |x: f64, y: f64| self.corner + self.right * x + self.inward * y;
        let (wide, high) = (self.long(right, self.columns), self.long(inward, full));
        let mut corners = vec![at(0.0, 0.0), at(wide, 0.0), at(wide, high)];
        if last > 0 {
            let (part, top) = (self.long(right, last), self.long(inward, full + 1));
            corners.extend([at(part, high), at(part, top), at(0.0, top)]);
        } else {
            corners.push(at(0.0, high));
        }
        Some(Contour::polygon(&corners)?.with_sense(1.0))
    }
}

impl Block {
    /// The block of so many copies of a plate that saves most and fits in one of some rooms, each as long and wide;
    /// `None` if there is none.
    #[must_use]
    pub fn new(
        plate: usize,
        cut: &CutPlate,
        count: usize,
        kerf: f64,
        rooms: &[(f64, f64)],
    ) -> Option<Self> {
        let mut grid = Grid::new(&cut.prepared, kerf, count)?;
        let mut best = None;
        for columns in 1..=count {
            grid.columns = columns;
            let saved = grid.saved();
            let is_more = best.is_none_or(|(_, most)| saved > most);
            if is_more && rooms.iter().any(|room| grid.fits(*room)) {
                best = Some((columns, saved));
            }
        }
        (grid.columns, _) = best?;
        let burnt = |grid: &Grid| -> Result<Option<Region>, Unresolved> {
            let Some(around) = grid.around() else {
                return Ok(None);
            };
            let plates = Region::from(around).offset(kerf)?;
            Ok(Some(plates.union(&cut.prepared.outline)?))
        };
        // Where the outline cannot be resolved, the plates are placed one by one.
        let outline = burnt(&grid).ok()??;
        Some(Self {
            plate,
            poses: grid.poses(),
            outline,
        })
    }

    /// What is placed for so many of them.
    pub fn piece(&self, index: usize, cut: &CutPlate, quantity: u32, web: f64) -> Outcome<Piece> {
        let burnt = PreparedPlate {
            outline: self.outline.clone(),
            room: Vec::new(),
            ..cut.prepared.clone()
        };
        let piece = nest::footprint::piece(index, &cut.plate, &burnt, web).map_err(|why| {
            let fault = Fault::refused(format!("{}: {why}", cut.plate.name));
            cut.plate.located(fault)
        })?;
        Ok(Piece {
            id: format!("{} × {}", self.poses.len(), piece.id),
            quantity,
            ..piece
        })
    }
}
