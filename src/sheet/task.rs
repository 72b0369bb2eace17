//! What is to be placed for the plates of one material and thickness, and on what.

use std::collections::{BTreeMap, HashMap};

use super::{Block, CutPlate, PlateGroup, Supply};
use crate::cut::Table;
use crate::fault::{Fault, Faults, Outcome, REPORT_IT};
use crate::geometry::Bounds;
use crate::nest::proof::{TrueShape, TrueSheet, on_arcs};
use crate::nest::{self, Budget, Control, Layout, Piece, Placement, SheetLayout, Stock};
use crate::recipe::Job;

/// No more plates than this are placed as one block.
const MOST_IN_BLOCK: u32 = 60;

/// Plates of one material and thickness, and the stock for them.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// The plates.
    pub group: PlateGroup,
    /// How many copies there are of them.
    pub copies: f64,
    /// What is placed: a piece for each plate, in the order of the group, and one for each block.
    pub pieces: Vec<Piece>,
    /// Plates that are placed side by side, to share cuts.
    pub blocks: Vec<Block>,
    /// The lines of stock with their true edges.
    pub supplies: Vec<Supply>,
    /// The same lines as the layout search sees them.
    pub stock: Vec<Stock>,
}

impl Task {
    /// The tasks of a job, one for each material and thickness.
    pub fn all(job: &Job, table: &Table, plates: &[CutPlate]) -> Outcome<Vec<Self>> {
        let groups = PlateGroup::all(plates).into_iter();
        let task = |group: PlateGroup| {
            let pieces = group.pieces(plates, job.web)?;
            let supplies = Supply::all(job, table, &group, plates)?;
            Ok(Self {
                copies: group.copies(plates),
                pieces,
                blocks: Vec::new(),
                stock: supplies.iter().map(|supply| supply.stock.clone()).collect(),
                supplies,
                group,
            })
        };
        groups.map(task).collect()
    }

    /// How many of the largest sheets the metal of its plates fills without a gap.
    #[must_use]
    pub fn least_sheets(&self, plates: &[CutPlate]) -> usize {
        let sheets = self.supplies.iter().map(|it| it.edge.area());
        (self.group.net_area(plates) / sheets.fold(0.0, f64::max)) as usize
    }

    /// Has the plates that may share cuts placed side by side: as many of a kind in one block as the first layout takes
    /// without a sheet more, and without leaving more over, than plates one by one. Whether any are.
    pub fn share_cuts(&mut self, plates: &[CutPlate], web: f64, kerf: f64) -> Outcome<bool> {
        let sharing = self.group.of(plates).filter(|it| it.prepared.shares);
        let most = sharing.map(|it| it.plate.quantity).max().unwrap_or(0);
        let first = |pieces: &[Piece]| {
            let budget = Budget::FIRST_LAYOUT;
            nest::place(pieces, &self.stock, &budget, &mut |_| Control::Continue)
        };
        let alone = first(&self.pieces);
        let left = |layout: &Layout| -> u32 { layout.unplaced.iter().map(|it| it.1).sum() };
        let mut size = most.min(MOST_IN_BLOCK);
        while size > 1 {
            let (pieces, blocks) = self.in_blocks(plates, web, kerf, size)?;
            if !blocks.is_empty() {
                let trial = Self {
                    pieces,
                    blocks,
                    ..self.clone()
                };
                let layout = trial.taken_apart(&first(&trial.pieces), plates.len());
                if layout.sheets.len() <= alone.sheets.len() && left(&layout) <= left(&alone) {
                    *self = trial;
                    return Ok(true);
                }
            }
            size = size * 3 / 4;
        }
        Ok(false)
    }

    /// The pieces with so many of each kind in a block, or as many as there are.
    fn in_blocks(
        &self,
        plates: &[CutPlate],
        web: f64,
        kerf: f64,
        size: u32,
    ) -> Outcome<(Vec<Piece>, Vec<Block>)> {
        let rooms = self.stock.iter().map(|it| {
            let room = Bounds::around(it.usable.iter().copied());
            (room.width(), room.height())
        });
        let rooms: Vec<(f64, f64)> = rooms.collect();
        let (mut pieces, mut blocks, mut of_blocks) = (Vec::new(), Vec::new(), Vec::new());
        for piece in &self.pieces {
            let cut = &plates[piece.index];
            let mut left = piece.quantity;
            for count in [size, piece.quantity % size] {
                let times = left.checked_div(count).unwrap_or(0);
                if !cut.prepared.shares || count < 2 || times == 0 {
                    continue;
                }
                if let Some(block) = Block::new(piece.index, cut, count as usize, kerf, &rooms) {
                    of_blocks.push(block.piece(plates.len() + blocks.len(), cut, times, web)?);
                    blocks.push(block);
                    left -= count * times;
                }
            }
            if left > 0 {
                pieces.push(Piece {
                    quantity: left,
                    ..piece.clone()
                });
            }
        }
        pieces.extend(of_blocks);
        Ok((pieces, blocks))
    }

    /// A layout of the pieces as one of plates, of which there are so many: those of a block one by one.
    #[must_use]
    pub fn taken_apart(&self, layout: &Layout, plates: usize) -> Layout {
        if self.blocks.is_empty() {
            return layout.clone();
        }
        let mut copies: HashMap<usize, u32> = HashMap::new();
        let mut apart = |laid: &SheetLayout| {
            let mut placements = Vec::new();
            // Where each stands now; nothing lies in a block.
            let mut now = Vec::new();
            for it in &laid.placements {
                now.push(placements.len());
                match it.piece.checked_sub(plates).map(|at| &self.blocks[at]) {
                    None => placements.push(*it),
                    Some(block) => placements.extend(block.poses.iter().map(|own| Placement {
                        piece: block.plate,
                        pose: own.then(&it.pose),
                        ..*it
                    })),
                }
            }
            for it in &mut placements {
                it.inside = it.inside.map(|host| now[host]);
                let copy = copies.entry(it.piece).or_default();
                it.copy = *copy;
                *copy += 1;
            }
            SheetLayout {
                placements,
                ..laid.clone()
            }
        };
        let sheets = layout.sheets.iter().map(&mut apart).collect();
        let mut unplaced: BTreeMap<usize, u32> = BTreeMap::new();
        for (piece, count) in &layout.unplaced {
            match piece.checked_sub(plates).map(|at| &self.blocks[at]) {
                None => *unplaced.entry(*piece).or_default() += count,
                Some(block) => {
                    *unplaced.entry(block.plate).or_default() += count * block.poses.len() as u32;
                }
            }
        }
        Layout {
            sheets,
            unplaced: unplaced.into_iter().collect(),
        }
    }

    /// Proves a layout on the true lines and arcs; a flaw is our mistake and never a file.
    pub fn prove(&self, job: &Job, plates: &[CutPlate], layout: &Layout) -> Outcome<()> {
        let shapes = plates.iter().map(|it| TrueShape {
            outline: &it.prepared.outline,
            rooms: &it.prepared.room,
        });
        let of_blocks = self.blocks.iter().map(|it| TrueShape {
            outline: &it.outline,
            rooms: &[],
        });
        let shapes: Vec<TrueShape> = shapes.chain(of_blocks).collect();
        let sheets = layout.sheets.iter().enumerate();
        let flaws = sheets.flat_map(|(index, laid)| {
            let edge = TrueSheet {
                edge: &self.supplies[laid.stock].edge,
                margin: job.margin,
            };
            on_arcs(index, laid, &shapes, edge, job.web)
        });
        let faults = flaws.map(|flaw| {
            Fault::program(format!(
                "the layout failed its proof: {flaw}; nothing was written"
            ))
            .remedy(format!("try another --seed, and {REPORT_IT}"))
        });
        Faults::check(faults.collect())
    }
}
