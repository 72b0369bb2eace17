//! What a drawing says of openings, radii and folds: one call-out for all that are alike.

use super::form::{self, Form};
use crate::export::hole_group::{base_name, pitch_circle};
use crate::geometry::{Circle, Contour, Point, Segment};
use crate::plate::{Bend, Fold, Opening, Plate, Purpose};
use crate::quantity::format::{decimal, degrees};
use crate::trade::thread;

/// Lengths that agree within this are the same on a drawing, mm.
const ALIKE: f64 = 0.005;
/// An inch, mm.
const INCH: f64 = 25.4;

/// What the leader of a call-out may point at.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Target {
    /// The edge of an opening.
    Edge(Contour),
    /// A spot on a line.
    Spot(Point),
}

/// A call-out before it has its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Callout {
    /// Words, the first line larger.
    pub(super) lines: Vec<String>,
    /// What its leader may point at, one of them.
    pub(super) targets: Vec<Target>,
}

/// Openings that are alike.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group<'a> {
    /// Its letter.
    pub(super) tag: String,
    /// Index of each in the plate, and the opening.
    pub(super) members: Vec<(usize, &'a Opening)>,
    /// Their middles, in the same order.
    pub(super) middles: Vec<Point>,
    /// The circle that three or more share.
    pub(super) pitch: Option<Circle>,
    /// The form of the one that is pointed at.
    pub(super) form: Form,
    /// Index in the plate of that one.
    shown: usize,
}

/// A length in both units, mm first: `13.5 (0.531)`.
pub(super) fn both(mm: f64) -> String {
    let inches = mm / INCH;
    // No minus before what is 0 at three places.
    let inches = if inches.abs() < 0.0005 { 0.0 } else { inches };
    format!("{} ({inches:.3})", decimal(mm, 2))
}

/// The openings of a plate in groups, in the order of the first of each, lettered.
pub(super) fn groups(plate: &Plate) -> Vec<Group<'_>> {
    let mut gathered: Vec<Vec<usize>> = Vec::new();
    for index in 0..plate.openings.len() {
        match gathered
            .iter_mut()
            .find(|them| alike(plate, them[0], index))
        {
            Some(them) => them.push(index),
            None => gathered.push(vec![index]),
        }
    }
    let numbered = gathered.into_iter().enumerate();
    numbered
        .map(|(number, them)| {
            let middles: Vec<Point> = them
                .iter()
                .map(|&i| form::middle(&plate.face.openings[i], plate.openings[i].purpose))
                .collect();
            let spots: Vec<Circle> = middles
                .iter()
                .map(|&centre| Circle {
                    centre,
                    radius: 0.0,
                })
                .collect();
            // The one farthest to the right, next to its words, stands for all.
            let shown = them.iter().copied().max_by(|&a, &b| {
                plate.face.openings[a]
                    .middle()
                    .x
                    .total_cmp(&plate.face.openings[b].middle().x)
            });
            let shown = shown.expect("a group has at least its first");
            let form = form::form(&plate.face.openings[shown], plate.openings[shown].purpose);
            let pitch = match form {
                // The middle of a box says nothing of where it stands on a circle.
                Form::Free { .. } => None,
                _ => pitch_circle(&spots),
            };
            Group {
                tag: letter(number),
                pitch,
                form,
                shown,
                members: them.into_iter().map(|i| (i, &plate.openings[i])).collect(),
                middles,
            }
        })
        .collect()
}

/// A, B, … Z, AA, AB, …
fn letter(number: usize) -> String {
    let last = char::from(b'A' + (number % 26) as u8);
    match number / 26 {
        0 => last.to_string(),
        more => letter(more - 1) + &last.to_string(),
    }
}

fn alike(plate: &Plate, a: usize, b: usize) -> bool {
    let (one, other) = (&plate.openings[a], &plate.openings[b]);
    let (edge, edge_b) = (&plate.face.openings[a], &plate.face.openings[b]);
    let same = |a: f64, b: f64| (a - b).abs() < ALIKE * 4.0;
    let key = |it: &Opening| {
        (
            it.purpose,
            it.thread.clone(),
            base_name(&it.name).to_owned(),
        )
    };
    key(one) == key(other)
        && same(edge.length(), edge_b.length())
        && same(
            edge.signed_area() / edge.length(),
            edge_b.signed_area() / edge_b.length(),
        )
}

/// How many times: `4X `, nothing for one.
fn times(count: usize) -> String {
    match count {
        1 => String::new(),
        count => format!("{count}X "),
    }
}

impl Group<'_> {
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
        let is_pointed_at = |index: usize| match self.form {
            // Turned copies have other boxes.
            Form::Free { .. } => index == self.shown,
            _ => true,
        };
        let edges = self
            .members
            .iter()
            .filter(|(index, _)| is_pointed_at(*index))
            .map(|(index, _)| Target::Edge(plate.face.openings[*index].clone()));
        Callout {
            lines,
            targets: edges.collect(),
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

/// To a hundredth of a degree.
fn round_angle(radians: f64) -> f64 {
    ((radians.to_degrees() * 100.0).round() / 100.0).to_radians()
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

/// What every fold is, numbered as in the table.
pub(super) fn folds(plate: &Plate) -> Vec<Callout> {
    let numbered = plate.bends.iter().enumerate();
    numbered
        .map(|(index, bend)| Callout {
            lines: vec![
                format!("F{}  {}", index + 1, fold(bend)),
                format!("inside R{}", both(bend.radius)),
            ],
            targets: vec![
                Target::Spot(bend.from.lerp(bend.to, 0.5)),
                Target::Spot(bend.from.lerp(bend.to, 0.25)),
                Target::Spot(bend.from.lerp(bend.to, 0.75)),
            ],
        })
        .collect()
}

/// `fold up 90°`.
pub(super) fn fold(bend: &Bend) -> String {
    let way = match bend.fold {
        Fold::Up => "up",
        Fold::Down => "down",
    };
    format!("fold {way} {}", degrees(bend.angle))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!(letter(0), "A");
        assert_eq!(letter(25), "Z");
        assert_eq!(letter(26), "AA");
        assert_eq!(letter(53), "BB");
    }
}
