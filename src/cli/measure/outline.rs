//! `measure outline`: points around a plate to its outline, into a part file when asked.

use serde_json::json;

use super::super::args::OutlineArgs;
use super::super::folder;
use super::super::plain::line;
use super::super::screen::Screen;
use crate::export::{Over, write_file};
use crate::fault::Outcome;
use crate::measure::outline::{FittedArc, Outline, outline};
use crate::plate::shape;
use crate::quantity::format::{both_units, decimal, millimetres};

pub(in crate::cli) fn run(args: &OutlineArgs, screen: &Screen) -> Outcome<u8> {
    let found = outline(&args.points, args.within)?;
    // An outline that crosses itself is none.
    shape::path(&found.path())?;
    let mut lines = keys(&found);
    if let Some(file) = &args.write {
        let thickness = args.thickness.as_deref().unwrap_or_default();
        let mut text = vec![line("thickness", thickness)];
        text.splice(0..0, lines.iter().cloned());
        let text = text.join("\n") + "\n";
        write_file(file, text.as_bytes(), Over::told(args.replace))?;
        folder::note(file.clone());
    }
    screen.result(
        || {
            let arcs = found
                .arcs
                .iter()
                .map(|it| json!({ "radius_mm": it.radius(), "residuals_mm": it.residuals }));
            json!({
                "schema": 1, "path": found.path(), "within_mm": args.within,
                "area_mm2": found.contour.signed_area(), "arcs": arcs.collect::<Vec<_>>(),
            })
        },
        || {
            let bounds = found.contour.bounds();
            let size = format!(
                "outline: {} × {}",
                both_units(bounds.width()),
                both_units(bounds.height())
            );
            let mut told = vec![size];
            told.extend(found.arcs.iter().map(told_arc));
            told.push(String::new());
            told.append(&mut lines);
            told.extend(
                args.write
                    .iter()
                    .map(|file| format!("\nwrote it into {}", file.display())),
            );
            told.join("\n")
        },
    )?;
    Ok(0)
}

/// What a part file says of it.
fn keys(found: &Outline) -> Vec<String> {
    match found.contour.as_circle() {
        Some(circle) => vec![
            line("shape", "disc"),
            line(
                "diameter",
                &format!("{} mm", decimal(2.0 * circle.radius, 4)),
            ),
        ],
        None => vec![line("shape", "outline"), line("path", &found.path())],
    }
}

/// An arc, and how far off its points are.
fn told_arc(fitted: &FittedArc) -> String {
    let what = match fitted.radius() {
        Some(radius) => format!("an arc of radius {}", both_units(radius)),
        None => "a line".to_owned(),
    };
    let off = fitted.residuals.iter().map(|it| {
        let sign = if *it > 0.0 { "+" } else { "" };
        format!("{sign}{}", decimal(*it, 3))
    });
    let worst = fitted
        .residuals
        .iter()
        .fold(0.0_f64, |most, it| most.max(it.abs()));
    let (points, lie) = match fitted.residuals.len() {
        1 => ("the point".to_owned(), "lies"),
        count => (format!("{count} points"), "lie"),
    };
    format!(
        "{what}: {points} {lie} within {} of it ({} mm)",
        millimetres((worst * 1000.0).ceil() / 1000.0),
        off.collect::<Vec<_>>().join(", ")
    )
}
