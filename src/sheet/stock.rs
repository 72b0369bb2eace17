//! The stock of a job for plates of one material and thickness, ready for the layout search, with its
//! true edges and its price.

use super::{CutPlate, PlateGroup};
use crate::cut::Table;
use crate::fault::{Fault, Outcome};
use crate::finding::Finding;
use crate::geometry::{Contour, Point, Region};
use crate::nest::Stock;
use crate::nest::sheets::{self, Line};
use crate::plate::drawing::{self, Outlines};
use crate::quantity::format::{both_units, decimal};
use crate::recipe::{Job, Price, StockLine, StockShape};
use crate::trade;

/// A line of stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// As the layout search sees it; its name is what the builder calls it.
    pub stock: Stock,
    /// The metal up to its edges.
    pub edge: Region,
    /// What is to be said of how its drawing was read.
    pub findings: Vec<Finding>,
}

impl Supply {
    /// The stock for a group: the job's lines for its material and thickness, or the table's own sheet
    /// if the job has no stock at all.
    pub fn all(
        job: &Job,
        table: &Table,
        group: &PlateGroup,
        plates: &[CutPlate],
    ) -> Outcome<Vec<Self>> {
        if job.stock.is_empty() {
            let (x, y) = table.sheet;
            let says = format!("the table's usual sheet, {}", size(x, y));
            let line = Line {
                id: says,
                quantity: None,
                price: None,
                margin: job.margin,
            };
            return Ok(rectangle(line, (x, y), job.web).into_iter().collect());
        }
        let lines: Vec<&StockLine> = job
            .stock
            .iter()
            .filter(|line| group.takes(&line.material, line.thickness))
            .collect();
        if lines.is_empty() {
            let needed = format!("{} {}", group.material, both_units(group.thickness));
            let of_group: Vec<_> = group.of(plates).map(|it| it.plate.name.as_str()).collect();
            let fault = Fault::refused(format!(
                "the job has no stock of {needed}, of which {} {} to be cut",
                of_group.join(", "),
                if of_group.len() == 1 { "is" } else { "are" }
            ));
            let fault = fault.remedy("add a [[stock]] block for it, or change the thickness");
            return Err(fault.at(&job.source, 0..0).into());
        }
        lines.into_iter().map(|line| Self::of(job, line)).collect()
    }

    fn of(job: &Job, line: &StockLine) -> Outcome<Self> {
        let named = |says: String, area: f64| Line {
            id: says,
            quantity: line.quantity,
            price: price(line, area),
            margin: job.margin,
        };
        let small = || {
            let fault = Fault::refused("this stock is all margin");
            fault
                .at(&line.place.source, line.place.span.clone())
                .remedy("use a smaller margin")
        };
        let mut supply = match &line.shape {
            StockShape::Sheet(x, y) => {
                let line = named(format!("sheet {}", size(*x, *y)), x * y);
                rectangle(line, (*x, *y), job.web).ok_or_else(small)?
            }
            StockShape::Remnant(file) => {
                let path = job.beside(file.as_str());
                // Its metal ends where it was drawn, not beside that.
                let rules = drawing::ReadingRules {
                    fit: 0.0,
                    ..drawing::ReadingRules::default()
                };
                let drawn = drawing::outlines(&path, &rules).map_err(|why| {
                    file.fault(why.reworded(|why| format!("this remnant cannot be used: {why}")))
                })?;
                let Outlines {
                    region: edge,
                    findings,
                    ..
                } = drawn.of_file(file.as_str());
                let line = named(format!("remnant {}", file.as_str()), edge.area());
                let stock = sheets::remnant(line, &edge, job.web)
                    .map_err(|why| file.fault(why.to_string()))?
                    .ok_or_else(small)?;
                Self {
                    stock,
                    edge,
                    findings,
                }
            }
        };
        supply.stock.first = line.first;
        Ok(supply)
    }
}

/// `2440 × 1220 mm`.
pub(super) fn size(x: f64, y: f64) -> String {
    format!("{} × {} mm", decimal(x, 1), decimal(y, 1))
}

/// What one sheet of a stock line costs; `area` in mm².
fn price(line: &StockLine, area: f64) -> Option<f64> {
    Some(match line.price? {
        Price::Each(price) => price,
        Price::PerKilogram(rate) => {
            let material = trade::material::find(&line.material).ok()?;
            rate * material.mass(area, line.thickness)
        }
    })
}

/// A full sheet; `None` if it is all margin.
fn rectangle(line: Line, (x, y): (f64, f64), web: f64) -> Option<Supply> {
    let corners = [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)].map(|(x, y)| Point::new(x, y));
    Some(Supply {
        edge: Contour::polygon(&corners)?.into(),
        stock: sheets::rectangular(line, (x, y), web)?,
        findings: Vec::new(),
    })
}
