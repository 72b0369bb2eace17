//! Where the copies of a step go.
//!
//! In: a placing as written and the values of its names. Out: one pose a copy, with its number.

use std::f64::consts::TAU;

use crate::fault::Fault;
use crate::geometry::{Point, Pose, Tolerance, Vector};
use crate::quantity::{Dimension, Scope};
use crate::recipe::limits;
use crate::recipe::step::{Along, Around, Placing, Position, RowStart, Stance};
use crate::recipe::words::Mirror;
use crate::toml_text::{Formula, Names};

/// The copies of a step.
#[derive(Debug, Clone)]
pub(super) struct Places {
    /// Each copy's number, from 1, and where it goes.
    pub(super) poses: Vec<(u32, Pose)>,
    /// How many numbers there are, with those left out.
    pub(super) numbers: u32,
    /// The full pitch circle they stand on, if they do: number of places and diameter, mm.
    pub(super) pattern: Option<(u32, f64)>,
}

/// Where the copies of a step go: mirrored, turned, repeated in a row, then around, then moved.
pub(super) fn places(placing: &Placing, names: &Names) -> Result<Places, Fault> {
    let flips = match placing.mirror {
        None => vec![Pose::IDENTITY],
        Some(Mirror::LeftForRight) => vec![left_for_right()],
        Some(Mirror::UpsideDown) => vec![upside_down()],
        Some(Mirror::Both) => vec![Pose::IDENTITY, left_for_right()],
    };
    let turn = angle_or(placing.turn.as_ref(), names, "`turn`", 0.0)?;
    let turn = Pose::new(turn, Vector::default());
    let firsts: Vec<Pose> = flips.iter().map(|flip| flip.then(&turn)).collect();
    let row = match &placing.along {
        Some(along) => row(along, names)?,
        None => vec![Pose::IDENTITY],
    };
    let circle = match &placing.around {
        Some(around) => circle(around, names)?,
        None => Circle::single(),
    };
    let at = match &placing.at {
        Some(position) => Pose::shifted(point(position, names)? - Point::ORIGIN),
        None => Pose::IDENTITY,
    };
    let pace = (row.len() * firsts.len()) as u32;
    let mut poses = Vec::with_capacity(row.len() * firsts.len() * circle.poses.len());
    for (number, place) in &circle.poses {
        let each = row
            .iter()
            .flat_map(|along| firsts.iter().map(move |first| (first, along)));
        for ((first, along), number) in each.zip(number * pace + 1..) {
            poses.push((number, first.then(along).then(place).then(&at)));
        }
    }
    Ok(Places {
        poses,
        numbers: circle.count * pace,
        pattern: circle.pattern.filter(|_| pace == 1),
    })
}

/// Flips left for right: x becomes -x.
pub(super) const fn left_for_right() -> Pose {
    Pose {
        mirrored: true,
        ..Pose::IDENTITY
    }
}

/// Flips upside down, y becomes -y: left for right, then a half turn.
const fn upside_down() -> Pose {
    Pose {
        mirrored: true,
        turn: TAU / 2.0,
        ..Pose::IDENTITY
    }
}

/// A place on the plate.
pub(super) fn point(position: &Position, names: &Names) -> Result<Point, Fault> {
    match position {
        Position::At(at) => Ok(Point::new(
            at[0].length(names, "x")?,
            at[1].length(names, "y")?,
        )),
        Position::Named(name) => {
            let axis = |axis: &str| {
                let value = names.value(&format!("{}.{axis}", name.as_str()))?;
                value.expect(Dimension::LENGTH).ok()
            };
            let point = axis("x").zip(axis("y")).map(|(x, y)| Point::new(x, y));
            point.ok_or_else(|| name.fault(format!("there is no point `{}`", name.as_str())))
        }
    }
}

fn row(along: &Along, names: &Names) -> Result<Vec<Pose>, Fault> {
    let count = along.count.count(names, limits::COPIES, "`count`")?;
    let step = Vector::new(
        along.step[0].length(names, "`step` along x")?,
        along.step[1].length(names, "`step` along y")?,
    );
    let (rows, row_step) = match &along.rows {
        None => (1, Vector::default()),
        Some((rows, [x, y])) => {
            let number = rows.count(names, limits::COPIES, "`rows`")?;
            if u64::from(number) * u64::from(count) > u64::from(limits::COPIES) {
                let message = format!("{number} rows of {count} are more than {}", limits::COPIES);
                return Err(rows.fault(message).remedy("use fewer of them"));
            }
            let x = x.length(names, "`row_step` along x")?;
            let y = y.length(names, "`row_step` along y")?;
            (number, Vector::new(x, y))
        }
    };
    let back = |count: u32| match along.row {
        RowStart::FromFirst => 0.0,
        RowStart::Centred => f64::from(count.saturating_sub(1)) / 2.0,
    };
    let (along_row, across) = (back(count), back(rows));
    let place =
        |row: u32, k: u32| step * (f64::from(k) - along_row) + row_step * (f64::from(row) - across);
    let places = (0..rows).flat_map(|row| (0..count).map(move |k| (row, k)));
    Ok(places
        .map(|(row, k)| Pose::shifted(place(row, k)))
        .collect())
}

/// Places about a centre.
struct Circle {
    /// Each place's number, from 0, and where it is.
    poses: Vec<(u32, Pose)>,
    count: u32,
    pattern: Option<(u32, f64)>,
}

impl Circle {
    fn single() -> Self {
        Self {
            poses: vec![(0, Pose::IDENTITY)],
            count: 1,
            pattern: None,
        }
    }
}

fn circle(around: &Around, names: &Names) -> Result<Circle, Fault> {
    let count = around.count.count(names, limits::COPIES, "`count`")?;
    let start = angle_or(around.start.as_ref(), names, "`start`", 0.0)?;
    let sweep = sweep(around, names)?;
    let diameter = match &around.circle {
        Some(formula) => Some(pitch_circle(formula, names)?),
        None => None,
    };
    let skip = around.skip.iter();
    let skip = skip.map(|formula| skipped(formula, count, names));
    let skip = skip.collect::<Result<Vec<u32>, Fault>>()?;
    // All round, the last copy stops one pace short of the first; else each end has one.
    let all_round = sweep.abs() > TAU - Tolerance::ROUNDING;
    let paces = if all_round {
        count
    } else {
        count.saturating_sub(1)
    };
    let pace = sweep / f64::from(paces.max(1));
    let place = |k: u32| {
        let angle = start + pace * f64::from(k);
        let shift = Vector::from_angle(angle) * (diameter.unwrap_or(0.0) / 2.0);
        match around.stance {
            Stance::Turned => Pose::new(angle, shift),
            Stance::Upright => Pose::shifted(shift),
        }
    };
    let wanted = (0..count).filter(|k| !skip.contains(&(k + 1)));
    Ok(Circle {
        poses: wanted.map(|k| (k, place(k))).collect(),
        count,
        pattern: diameter.filter(|_| all_round).map(|circle| (count, circle)),
    })
}

/// The smallest circle that places lie on, mm: on a smaller one no machine tells them apart.
const LEAST_CIRCLE: f64 = 0.01;

fn pitch_circle(formula: &Formula, names: &Names) -> Result<f64, Fault> {
    let diameter = formula.size(names, "`circle`")?;
    if diameter >= LEAST_CIRCLE {
        return Ok(diameter);
    }
    let fault = formula
        .text()
        .fault("`circle` comes to less than 0.01 mm: its places are one");
    Err(fault.remedy("leave it out to turn copies about one point"))
}

/// The angle that the places spread over: not 0, at most a full turn either way.
fn sweep(around: &Around, names: &Names) -> Result<f64, Fault> {
    let Some(formula) = &around.sweep else {
        return Ok(TAU);
    };
    let sweep = formula.angle(names, "`sweep`")?;
    if sweep.abs() > TAU + Tolerance::ROUNDING {
        let message = format!("`sweep` comes to {:.1} deg", sweep.to_degrees());
        let fault = formula.text().fault(message);
        return Err(fault.remedy("a full turn, 360 deg, is the most"));
    }
    Ok(sweep)
}

/// A place that is left out, from 1.
fn skipped(formula: &Formula, count: u32, names: &Names) -> Result<u32, Fault> {
    let place = formula.count(names, limits::COPIES, "`skip`")?;
    if (1..=count).contains(&place) {
        return Ok(place);
    }
    let fault = formula
        .text()
        .fault(format!("there is no place {place} to skip"));
    Err(fault.remedy(format!("the places are 1 to {count}")))
}

/// An angle that may be left out.
fn angle_or(
    formula: Option<&Formula>,
    names: &Names,
    what: &str,
    usual: f64,
) -> Result<f64, Fault> {
    formula.map_or(Ok(usual), |formula| formula.angle(names, what))
}
