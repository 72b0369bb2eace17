//! `steering`: a steering linkage over its lock.

use comfy_table::presets::NOTHING;
use comfy_table::{CellAlignment, Table};
use serde_json::{Value, json};

use super::args::SteeringArgs;
use super::cautions;
use super::screen::Screen;
use crate::elementary;
use crate::export::{Command, Outputs};
use crate::fault::{Fault, Outcome};
use crate::quantity::format::{both_units, degrees};
use crate::steering::{self, NEAR_CENTRE, Study, picture};
use crate::trade::cautions::{Made, applying};
use crate::trade::steering::{Trapezoid, outer_radius, turning_radius};

/// Topics of the cautions that go with every linkage.
const TOPICS: [&str; 2] = ["safety-critical", "steering"];

pub(super) fn run(options: &SteeringArgs, screen: &Screen) -> Outcome<u8> {
    let linkage = linkage(options)?;
    let (wheelbase, lock) = (options.wheelbase, options.lock);
    let study = study(linkage, wheelbase, lock)?;
    let best = steering::best(&linkage, wheelbase, lock)
        .and_then(|linkage| steering::study(linkage, wheelbase, lock));
    let mut shown = vec![("this linkage", &study)];
    shown.extend(best.as_ref().map(|best| ("least error", best)));
    let mut outputs = Outputs::default();
    let picture = picture::error_picture(&shown);
    let files = options.pictures.files();
    files.add(&mut outputs, "steering/error", &picture)?;
    options.into.write(&outputs, Command::Steering, &[])?;
    let file = options.into.out.join("steering/error.svg");
    let file = file.display().to_string();
    screen.result(
        || object(&study, best.as_ref(), &file),
        || text(&study, best.as_ref(), &file),
    )?;
    Ok(0)
}

/// The linkage asked for: by its set, its tie rod, or the arm-line rule.
fn linkage(options: &SteeringArgs) -> Outcome<Trapezoid> {
    let arm = if options.forward {
        -options.arm
    } else {
        options.arm
    };
    let set = match (options.set, options.tie_rod) {
        (Some(set), _) => set,
        (None, Some(rod)) => set_of(options.track, arm, rod)?,
        (None, None) => steering::by_rule(options.track, options.wheelbase, arm).set,
    };
    let linkage = Trapezoid {
        track: options.track,
        arm,
        set,
    };
    if linkage.tie_rod() <= 0.0 {
        let fault = Fault::refused("the arms meet before the tie rod has any length");
        return Err(fault.remedy("use shorter arms or a smaller set").into());
    }
    Ok(linkage)
}

fn set_of(track: f64, arm: f64, rod: f64) -> Outcome<f64> {
    let sine = (track - rod) / (2.0 * arm);
    if sine.abs() >= 1.0 {
        let fault = Fault::refused(format!(
            "a tie rod of {} does not reach between arms of {}",
            both_units(rod),
            both_units(arm.abs())
        ));
        let remedy =
            "with arms behind it is a little shorter than the track, with arms ahead longer";
        return Err(fault.remedy(remedy).into());
    }
    Ok(elementary::asin(sine))
}

fn study(linkage: Trapezoid, wheelbase: f64, lock: f64) -> Outcome<Study> {
    steering::study(linkage, wheelbase, lock).ok_or_else(|| {
        Fault::refused("this linkage cannot turn at all")
            .remedy("check the lengths of arms and tie rod")
            .into()
    })
}

/// What is to be said of over-centre, `None` if it is far away.
fn warning(study: &Study) -> Option<String> {
    match study.over_centre {
        Some(limit) if limit <= study.lock => Some(format!(
            "OVER CENTRE at {} of the inner wheel, within the lock: the steering would stick there; use shorter arms, a smaller set or stops before it",
            degrees(limit)
        )),
        _ if study.closest < NEAR_CENTRE => Some(format!(
            "near over centre: at the lock the tie rod is only {} from the line of an arm; 20° is the usual least",
            degrees(study.closest)
        )),
        _ => None,
    }
}

fn text(study: &Study, best: Option<&Study>, file: &str) -> String {
    let mut table = Table::new();
    table.load_style(NOTHING);
    table.set_header(["inner", "outer", "without scrub", "error", "ackermann"]);
    for row in &study.rows {
        table.add_row([
            degrees(row.inner),
            degrees(row.outer),
            degrees(row.ideal),
            degrees(row.error()),
            format!("{:.0} %", row.percent()),
        ]);
    }
    for column in table.column_iter_mut() {
        column.set_cell_alignment(CellAlignment::Right);
    }
    let Trapezoid { track, .. } = study.linkage;
    let mut lines = vec![
        format!(
            "arms set at {}, tie rod {}",
            degrees(study.linkage.set),
            both_units(study.linkage.tie_rod())
        ),
        table.to_string(),
        format!(
            "worst error {} at {} inner",
            degrees(study.worst.error()),
            degrees(study.worst.inner)
        ),
        format!(
            "turning radius at the lock, if nothing scrubs: {} of the outer front wheel, at its kingpin (add \
             what the wheel stands outside it); {} of the middle of the rear axle",
            both_units(outer_radius(study.lock, track, study.wheelbase).round()),
            both_units(turning_radius(study.lock, track, study.wheelbase).round())
        ),
    ];
    lines.extend(best.map(|best| {
        format!(
            "least error: arms set at {}, tie rod {}, worst {}",
            degrees(best.linkage.set),
            both_units(best.linkage.tie_rod()),
            degrees(best.worst.error())
        )
    }));
    lines.push(match study.over_centre {
        Some(limit) => format!("the linkage goes over centre at {} inner", degrees(limit)),
        None => "the linkage does not go over centre".to_owned(),
    });
    lines.extend(warning(study).map(|it| format!("warn: {it}")));
    lines.push(format!("wrote {file}"));
    lines.extend(cautions::lines(&applying(TOPICS, &[Made::Words])));
    lines.join("\n")
}

fn object(study: &Study, best: Option<&Study>, file: &str) -> Value {
    let linkage = |study: &Study| {
        json!({
            "set_deg": study.linkage.set.to_degrees(), "tie_rod_mm": study.linkage.tie_rod(),
            "worst_error_deg": study.worst.error().to_degrees(),
            "worst_at_deg": study.worst.inner.to_degrees(),
            "over_centre_deg": study.over_centre.map(f64::to_degrees),
            "rod_to_arm_deg": study.closest.to_degrees(),
        })
    };
    json!({
        "schema": 1,
        "linkage": linkage(study),
        "least_error": best.map(linkage),
        "rows": study.rows.iter().map(|row| json!({
            "inner_deg": row.inner.to_degrees(), "outer_deg": row.outer.to_degrees(),
            "ideal_deg": row.ideal.to_degrees(), "error_deg": row.error().to_degrees(),
            "ackermann_percent": row.percent(),
        })).collect::<Vec<_>>(),
        "turning_radius": {
            "outer_front_wheel_mm": outer_radius(study.lock, study.linkage.track, study.wheelbase),
            "rear_axle_middle_mm": turning_radius(study.lock, study.linkage.track, study.wheelbase),
        },
        "warning": warning(study),
        "file": file,
        "cautions": cautions::objects(&applying(TOPICS, &[Made::Words])),
    })
}
