//! What a drawing says of openings, radii and folds: one call-out for all that are alike.

use crate::export::column::{Callout, Target};
use crate::export::opening_group::{OpeningGroup, base_name, round_angle};
use crate::geometry::{Circle, Point, Pose, Segment, Vector};
use crate::plate::form::{self, Form};
use crate::plate::{Bend, Plate, Purpose};
use crate::quantity::format::{decimal, degrees};
use crate::trade::thread;
use crate::trade::unit::INCH;

/// Lengths that agree within this are the same on a drawing, mm.
const ALIKE: f64 = 0.005;
/// A length in both units, mm first: `13.5 (0.531)`.
pub(super) fn both(mm: f64) -> String {
    let inches = mm / INCH;
    // No minus before what is 0 at three places.
    let inches = if inches.abs() < 0.0005 { 0.0 } else { inches };
    format!("{} ({inches:.3})", decimal(mm, 2))
}

/// How many times: `4X `, nothing for one.
pub(super) fn times(count: usize) -> String {
    match count {
        1 => String::new(),
        count => format!("{count}X "),
    }
}

impl OpeningGroup<'_> {
    /// What is said of it.
    pub(super) fn callout(&self, plate: &Plate) -> Callout {
        let mut first = format!(
            "{}  {}{}",
            self.tag,
            times(self.members.len()),
            self.form.size()
        );
        let mut lines = Vec::new();
        let (_, opening) = self.members[0];
        let tapped = opening
            .thread
            .as_deref()
            .filter(|_| opening.purpose == Purpose::Tapped);
        if let Some(thread) = tapped {
            first = format!("{}  {}{thread} tapped", self.tag, times(self.members.len()));
            lines.push(match thread::read(thread) {
                Ok(thread) => format!(
                    "drill {} ({:.3}) through",
                    thread.drill,
                    thread.drill.diameter() / INCH
                ),
                Err(_) => format!("drill {}", both(self.middle_size())),
            });
        }
        lines.insert(0, first);
        lines.extend(self.more());
        let mut words = base_name(&opening.name).to_owned();
        if let (Some(thread), None) = (&opening.thread, tapped) {
            words += &format!(", {thread}");
        }
        if let Some(circle) = self.pitch {
            words += &format!(", on ⌀{}", both(circle.radius * 2.0));
        }
        lines.push(words);
        Callout {
            lines,
            targets: self.targets(plate),
        }
    }

    fn middle_size(&self) -> f64 {
        match self.form {
            Form::Round(diameter) => diameter,
            _ => 0.0,
        }
    }

    /// Further lines that the form needs.
    fn more(&self) -> Vec<String> {
        match &self.form {
            Form::Round(_) | Form::Slot { .. } => Vec::new(),
            Form::CurvedSlot { circle, sweep, .. } => {
                vec![format!(
                    "{} along ⌀{}, between end centres",
                    degrees(round_angle(*sweep)),
                    both(*circle)
                )]
            }
            Form::Keyed { width, across, .. } => {
                vec![format!(
                    "keyway {} wide, {} to its floor",
                    both(*width),
                    both(*across)
                )]
            }
            Form::Rectangle { corner, .. } if *corner > 0.0 => {
                vec![format!("corners R{}", both(*corner))]
            }
            Form::Rectangle { .. } => vec!["corners square".to_owned()],
            Form::Free { radii, .. } => {
                let shown: Vec<String> = radii
                    .iter()
                    .take(4)
                    .map(|r| format!("R{}", decimal(*r, 2)))
                    .collect();
                let rest = if radii.len() > 4 { " and more" } else { "" };
                let words = if shown.is_empty() {
                    String::new()
                } else {
                    format!(", {}{rest}", shown.join(", "))
                };
                vec![format!("box around the one shown{words}")]
            }
        }
    }
}

impl Form {
    /// The size in a few words, mm and inches.
    pub(super) fn size(&self) -> String {
        match self {
            Form::Round(diameter) => format!("⌀{}", both(*diameter)),
            Form::Slot { width, length } => {
                format!("slot {} wide", both(*width)) + &format!(", {} long", both(*length))
            }
            Form::CurvedSlot { width, .. } => format!("slot {} wide", both(*width)),
            Form::Keyed { bore, .. } => format!("⌀{}, keyed", both(*bore)),
            Form::Rectangle { width, height, .. } | Form::Free { width, height, .. } => {
                format!("{} × {}", both(*width), both(*height))
            }
        }
    }
}

/// The sizes that the recipe wants drawn.
pub(super) fn sizes(plate: &Plate) -> impl Iterator<Item = Callout> {
    plate.beside.sizes.iter().map(|size| Callout {
        lines: vec![both(size.from.distance(size.to)), size.says.clone()],
        targets: vec![Target::Line(size.from.lerp(size.to, 0.5))],
    })
}

/// The radii of the outside, the largest first; a round outside has none, its size says it.
pub(super) fn radii(plate: &Plate) -> Vec<Callout> {
    let outside = &plate.face.outside;
    if outside.as_circle().is_some() {
        return Vec::new();
    }
    let mut gathered: Vec<Vec<(Circle, f64)>> = Vec::new();
    for arc in form::arcs(outside) {
        let same = |them: &&mut Vec<(Circle, f64)>| (them[0].0.radius - arc.0.radius).abs() < ALIKE;
        match gathered.iter_mut().find(same) {
            Some(them) => them.push(arc),
            None => gathered.push(vec![arc]),
        }
    }
    gathered.sort_by(|a, b| b[0].0.radius.total_cmp(&a[0].0.radius));
    let said = gathered.into_iter().map(|them| {
        let (circle, sweep) = them[0];
        // Most of one circle, cut into by scallops or a flat, is measured across.
        let words = if them.len() == 1 && sweep > std::f64::consts::PI {
            format!("⌀{}", both(circle.radius * 2.0))
        } else {
            format!("{}R{}", times(them.len()), both(circle.radius))
        };
        let is_of_it = |it: &&Segment| matches!(it, Segment::Arc { radius, .. } if (radius - circle.radius).abs() < ALIKE);
        let spots = outside.segments().iter().filter(is_of_it);
        Callout {
            lines: vec![words],
            targets: spots.map(|it| Target::Spot(it.point_at(0.5))).collect(),
        }
    });
    said.collect()
}

/// How long the legs on both sides of a fold line are, flat: to the edge or to the next fold line.
fn legs(plate: &Plate, bend: &Bend) -> String {
    let turn = Pose::new(-(bend.to - bend.from).angle(), Vector::new(0.0, 0.0));
    let height = |p: Point| turn.point(p).y;
    let line = height(bend.from);
    let outside = plate.face.outside.posed(&turn).bounds();
    let is_beside = |it: &&Bend| (height(it.from) - height(it.to)).abs() < ALIKE;
    let others = plate.bends.iter().filter(is_beside);
    let others: Vec<f64> = others.map(|it| height(it.from)).collect();
    let ends = others.iter().copied().chain([outside.min.y, outside.max.y]);
    let away: Vec<f64> = ends.map(|it| it - line).collect();
    let nearest = |sign: f64| {
        let side = away.iter().map(|it| it * sign).filter(|it| *it > ALIKE);
        side.fold(f64::INFINITY, f64::min)
    };
    let mut legs = [nearest(-1.0), nearest(1.0)];
    legs.sort_by(f64::total_cmp);
    format!("legs {} and {}, flat", both(legs[0]), both(legs[1]))
}

/// What every fold is, numbered as in the table.
pub(super) fn folds(plate: &Plate) -> Vec<Callout> {
    let numbered = plate.bends.iter().enumerate();
    numbered
        .map(|(index, bend)| Callout {
            lines: vec![
                format!("F{}  {}", index + 1, bend.says()),
                format!("inside R{}", both(bend.radius)),
                legs(plate, bend),
            ],
            targets: Target::ends_of(bend),
        })
        .collect()
}
