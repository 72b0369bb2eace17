//! `measure kerf`: the kerf behind a test piece, into a settings file when asked.

use std::path::Path;

use serde_json::{Value, json};

use super::super::args::{KerfArgs, ShelfArgs};
use super::super::screen::Screen;
use super::super::{folder, job};
use crate::cut::{self, MeasuredKerf, Table};
use crate::export::{Over, write_file};
use crate::fault::{Fault, Outcome, Source};
use crate::measure::kerf::{Feature, Kerf, Reading, kerf};
use crate::plate::{self, Plate};
use crate::quantity::format::{both_units, millimetres};
use crate::recipe::{Job, Part};

/// The recipe of the test piece.
const RECIPE: &str = "kerf-test";

pub(in crate::cli) fn run(args: &KerfArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = match &args.part {
        Some(file) => Job::read(file, &shelf)?,
        None => Job::of_part(Part::plain(shelf.family(RECIPE)?)),
    };
    let piece = test_piece(&job)?;
    let table_text = shelf.table_text(job.table.name())?;
    let table = Table::read(&table_text)?;
    let cut_with = match args.cut_with {
        Some(kerf) => kerf,
        None => table.settings(&piece.material, piece.thickness)?.kerf,
    };
    let readings = readings(args, &piece)?;
    let found = kerf(cut_with, &readings, args.within).map_err(Fault::refused)?;
    if let Some(file) = &args.write {
        write(file, &table_text, &piece, &found)?;
    }
    screen.result(
        || object(&found, cut_with, &piece),
        || told(&found, cut_with, args, &piece),
    )?;
    Ok(0)
}

/// The plate with the inner square and the slot.
fn test_piece(job: &Job) -> Outcome<Plate> {
    let mut plates = plate::job_plates(job)?.into_iter().flat_map(|it| it.plates);
    let has = |plate: &Plate, name: &str| plate.openings.iter().any(|it| it.name == name);
    let piece =
        plates.find(|plate| has(plate, Feature::Inner.says()) && has(plate, Feature::Slot.says()));
    Ok(piece.ok_or_else(|| {
        let fault = Fault::refused("no part of this file is a kerf test piece");
        fault.remedy(format!("`platewright start {RECIPE}` writes one"))
    })?)
}

/// What was measured, with the nominal sizes taken from the piece itself.
fn readings(args: &KerfArgs, piece: &Plate) -> Outcome<Vec<Reading>> {
    let opening = |feature: Feature| {
        let at = piece
            .openings
            .iter()
            .position(|it| it.name == feature.says())?;
        let bounds = piece.face.openings.get(at)?.bounds();
        Some(bounds.width().min(bounds.height()))
    };
    let outside = piece.face.outside.bounds();
    let features = [
        (Feature::Outer, &args.outer, Some(outside.width())),
        (Feature::Inner, &args.inner, opening(Feature::Inner)),
        (Feature::Slot, &args.slot, opening(Feature::Slot)),
    ];
    let readings: Vec<Reading> = features
        .into_iter()
        .filter(|(_, readings, _)| !readings.is_empty())
        .filter_map(|(feature, readings, nominal)| {
            Some(Reading {
                feature,
                nominal: nominal?,
                readings: readings.clone(),
            })
        })
        .collect();
    if readings.is_empty() {
        let fault = Fault::usage("no reading was given");
        return Err(fault
            .remedy("give --outer, --inner and --slot, as many as were measured")
            .into());
    }
    Ok(readings)
}

/// Writes the kerf into a settings file: the one that is there, else a copy of the table's.
fn write(file: &Path, table: &std::sync::Arc<Source>, piece: &Plate, found: &Kerf) -> Outcome<()> {
    let there = if file.is_file() {
        let text = std::fs::read_to_string(file)
            .map_err(|error| Fault::file(format!("{} cannot be read: {error}", file.display())))?;
        Source::inline(file.display().to_string(), text)
    } else {
        std::sync::Arc::clone(table)
    };
    let measured = MeasuredKerf {
        kerf: found.kerf,
        within: found.within,
    };
    let text = cut::with_kerf(&there, &piece.material, piece.thickness, measured)?;
    write_file(file, text.as_bytes(), Over::Itself)?;
    folder::note(file.to_owned());
    Ok(())
}

fn object(found: &Kerf, cut_with: f64, piece: &Plate) -> Value {
    let witnesses = found.witnesses.iter().map(|it| {
        json!({
            "feature": it.feature.says(), "nominal_mm": it.nominal,
            "measured_mm": it.measured, "kerf_mm": it.kerf,
        })
    });
    json!({
        "schema": 1, "kerf_mm": found.kerf, "within_mm": found.within, "spread_mm": found.spread,
        "cut_with_mm": cut_with, "material": piece.material, "thickness_mm": piece.thickness,
        "features": witnesses.collect::<Vec<_>>(),
    })
}

fn told(found: &Kerf, cut_with: f64, args: &KerfArgs, piece: &Plate) -> String {
    let mut lines = vec![format!(
        "kerf {} ± {}, {} {}",
        both_units(found.kerf),
        both_units(found.within),
        piece.material,
        millimetres(piece.thickness)
    )];
    lines.extend(found.witnesses.iter().map(|it| {
        format!(
            "  {}: {} for {} drawn and a kerf of {} in the paths: {}",
            it.feature.says(),
            millimetres(it.measured),
            millimetres(it.nominal),
            millimetres(cut_with),
            millimetres(it.kerf)
        )
    }));
    lines.extend(
        args.write
            .iter()
            .map(|file| format!("wrote it into {}", file.display())),
    );
    lines.join("\n")
}
