//! Plates that may lie on one sheet: those of one material and thickness.

use crate::geometry::Tolerance;
use rayon::prelude::*;

use super::CutPlate;
use crate::fault::{Fault, Outcome};
use crate::nest::{self, Piece};

/// Plates of one material and thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateGroup {
    /// Material as the trade tables name it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Indices into the plates of the run.
    pub plates: Vec<usize>,
}

impl PlateGroup {
    /// The groups of a run's plates, in the order of the first of each.
    #[must_use]
    pub fn all(plates: &[CutPlate]) -> Vec<Self> {
        let mut groups: Vec<Self> = Vec::new();
        for (index, CutPlate { plate, .. }) in plates.iter().enumerate() {
            match groups
                .iter_mut()
                .find(|it| it.takes(&plate.material, plate.thickness))
            {
                Some(group) => group.plates.push(index),
                None => groups.push(Self {
                    material: plate.material.clone(),
                    thickness: plate.thickness,
                    plates: vec![index],
                }),
            }
        }
        groups
    }

    /// Whether plates of a material and a thickness in mm are of this group.
    #[must_use]
    pub fn takes(&self, material: &str, thickness: f64) -> bool {
        self.material == material && (self.thickness - thickness).abs() < Tolerance::SAME
    }

    /// Its plates.
    pub fn of<'a>(&'a self, plates: &'a [CutPlate]) -> impl Iterator<Item = &'a CutPlate> {
        self.plates.iter().map(|&index| &plates[index])
    }

    /// How many copies its plates are.
    #[must_use]
    pub fn copies(&self, plates: &[CutPlate]) -> f64 {
        let quantities = self.of(plates).map(|it| f64::from(it.plate.quantity));
        quantities.sum()
    }

    /// Metal of all copies of its plates, mm².
    #[must_use]
    pub fn net_area(&self, plates: &[CutPlate]) -> f64 {
        let areas = self.of(plates).map(|CutPlate { plate, .. }| {
            let copies = f64::from(plate.quantity);
            copies * plate.net_area()
        });
        areas.sum()
    }

    /// What is placed for its plates, `web` mm apart at least.
    pub fn pieces(&self, plates: &[CutPlate], web: f64) -> Outcome<Vec<Piece>> {
        let piece = |&index: &usize| {
            let CutPlate { plate, prepared } = &plates[index];
            nest::footprint::piece(index, plate, prepared, web).map_err(|why| {
                let fault = Fault::refused(format!("{}: {why}", plate.name));
                plate.located(fault).into()
            })
        };
        let pieces: Vec<Outcome<Piece>> = self.plates.par_iter().map(piece).collect();
        pieces.into_iter().collect()
    }
}
