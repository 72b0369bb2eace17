//! The plate that is there, and the pattern that is wanted.

use std::f64::consts::TAU;

use super::clearance::Orbit;
use crate::fault::Refusal;
use crate::geometry::{Contour, Face, Point};
use crate::plate::{Plate, Purpose};
use crate::quantity::Dimension;
use crate::quantity::format::decimal;
use crate::recipe::USUAL_MATERIAL;
use crate::trade::{self, Fit, Thread, clearance, thread, wheel};

/// A plate to drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// The metal.
    pub face: Face,
    /// What each opening is, in the order of `face.openings`.
    pub existing: Vec<Existing>,
    /// Thickness, mm.
    pub thickness: f64,
    /// Material as the trade tables name it.
    pub material: String,
    /// Centre of the new pattern, mm.
    pub centre: Point,
    /// Topics of the cautions of the plate, if it is known what it is.
    pub cautions: Vec<String>,
}

/// An opening that is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Existing {
    /// What to call it.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// Its bolt, if it is known.
    pub thread: Option<Thread>,
}

/// Bolt holes evenly spaced on a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pattern {
    /// How many, at least one.
    pub count: u32,
    /// Pitch circle, mm.
    pub circle: f64,
    /// Diameter of a hole, mm.
    pub hole: f64,
    /// The bolt, if it is known.
    pub thread: Option<Thread>,
}

impl Existing {
    /// An opening of which only its place is known.
    #[must_use]
    pub fn unknown(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            purpose: Purpose::Window,
            thread: None,
        }
    }
}

impl Site {
    /// A plate whose new pattern is centred on a point.
    #[must_use]
    pub fn new(face: Face, existing: Vec<Existing>, thickness: f64, centre: Point) -> Self {
        Self {
            face,
            existing,
            thickness,
            material: USUAL_MATERIAL.to_owned(),
            centre,
            cautions: Vec::new(),
        }
    }

    /// A plate of a recipe; the new pattern is centred on its bore, else on the middle of its outline.
    #[must_use]
    pub fn of_plate(plate: &Plate) -> Self {
        let existing = plate.openings.iter().map(|opening| Existing {
            name: opening.name.clone(),
            purpose: opening.purpose,
            thread: opening
                .thread
                .as_deref()
                .and_then(|written| thread::read(written).ok()),
        });
        let existing: Vec<Existing> = existing.collect();
        let bore = existing.iter().position(|it| it.purpose == Purpose::Bore);
        let bore = bore.map(|at| plate.face.openings[at].middle());
        let centre = bore.unwrap_or_else(|| plate.face.outside.middle());
        Self {
            cautions: plate.cautions.clone(),
            material: plate.material.clone(),
            ..Self::new(plate.face.clone(), existing, plate.thickness, centre)
        }
    }

    /// A round plate with a bore (none if 0) and patterns of holes that start at given angles.
    #[must_use]
    pub fn typed(outside: f64, bore: f64, thickness: f64, patterns: &[(Pattern, f64)]) -> Self {
        let mut openings = Vec::new();
        let mut existing = Vec::new();
        let round = |at: Point, diameter: f64| Contour::circle(at, diameter / 2.0).reversed();
        if bore > 0.0 {
            openings.push(round(Point::ORIGIN, bore));
            existing.push(Existing {
                name: "bore".to_owned(),
                purpose: Purpose::Bore,
                thread: None,
            });
        }
        for (pattern, start) in patterns {
            for k in 0..pattern.count {
                let angle = start + f64::from(k) * pattern.pace();
                let at = Point::ORIGIN.polar(pattern.circle / 2.0, angle);
                openings.push(round(at, pattern.hole));
                existing.push(Existing {
                    name: format!(
                        "hole {} of {}x{}",
                        k + 1,
                        pattern.count,
                        decimal(pattern.circle, 2)
                    ),
                    purpose: Purpose::Bolt,
                    thread: pattern.thread,
                });
            }
        }
        let outside = Contour::circle(Point::ORIGIN, outside / 2.0);
        let face = Face { outside, openings };
        Self::new(face, existing, thickness, Point::ORIGIN)
    }

    /// Every edge, by its opening: `None` for the outside, which comes first.
    pub(super) fn edges(&self) -> impl Iterator<Item = (Option<usize>, &Contour)> {
        let openings = self.face.openings.iter().enumerate();
        let openings = openings.map(|(index, edge)| (Some(index), edge));
        std::iter::once((None, &self.face.outside)).chain(openings)
    }

    /// Name of an opening, or of the outside.
    #[must_use]
    pub fn name_of(&self, opening: Option<usize>) -> &str {
        opening.map_or("the outside", |index| &self.existing[index].name)
    }

    /// Angle, from +x about the centre, of the first bolt hole that is there.
    #[must_use]
    pub fn first_hole(&self) -> Option<(usize, f64)> {
        let is_bolt = |it: &Existing| it.purpose == Purpose::Bolt;
        let index = self.existing.iter().position(is_bolt)?;
        let at = self.face.openings[index].middle();
        Some((index, (at - self.centre).angle()))
    }
}

impl Pattern {
    /// Angle from one hole to the next, radians.
    #[must_use]
    pub fn pace(&self) -> f64 {
        TAU / f64::from(self.count)
    }

    /// Where the holes' centres are at a clocking.
    #[must_use]
    pub fn centres(&self, site: &Site, angle: f64) -> Vec<Point> {
        let orbit = self.orbit(site);
        let at = |k: u32| orbit.at(angle + f64::from(k) * self.pace());
        (0..self.count).map(at).collect()
    }

    pub(super) const fn orbit(&self, site: &Site) -> Orbit {
        Orbit {
            centre: site.centre,
            radius: self.circle / 2.0,
        }
    }

    /// Reads `5 x 114.3 mm, M12x1.5`: count, pitch circle, and the bolt or `hole 13 mm`; a bare circle
    /// is in inches below 20 and in mm from there on, as wheels are written. The angle of the first
    /// hole may follow: `, at 45 deg`.
    pub fn read(text: &str, fit: Fit) -> Result<(Self, f64), Refusal> {
        let wanted = || {
            Refusal::new(format!("no pattern \"{text}\""))
                .remedy("write it as \"5 x 114.3 mm, M12x1.5\" or \"4 x 4 in, hole 11 mm\"")
        };
        let mut parts = text.split(',').map(str::trim);
        let (count, circle) = parts
            .next()
            .and_then(|part| {
                part.split_once(['x', '×'])
                    .or_else(|| part.split_once(" on "))
            })
            .ok_or_else(wanted)?;
        let count: u32 = count.trim().parse().map_err(|_| wanted())?;
        if !(1..=MOST_HOLES).contains(&count) {
            let cause = format!("a pattern has 1 to {MOST_HOLES} holes, not {count}");
            return Err(cause.into());
        }
        let circle = circle_of(circle).ok_or_else(wanted)?;
        let bolt = parts.next().ok_or_else(wanted)?;
        let (hole, thread) = match bolt.strip_prefix("hole") {
            Some(size) => (length(size).ok_or_else(wanted)?, None),
            None => {
                let thread = thread::read(bolt)?;
                (clearance::hole(&thread, fit)?, Some(thread))
            }
        };
        let start = match parts.next() {
            None => 0.0,
            Some(part) => part
                .strip_prefix("at ")
                .and_then(|angle| trade::amount(angle, Dimension::ANGLE).ok())
                .ok_or_else(wanted)?,
        };
        if parts.next().is_some() {
            return Err(wanted());
        }
        let sound = |size: f64| size.is_finite() && size > 0.0;
        if !sound(circle) || !sound(hole) || circle > LARGEST || hole > LARGEST {
            return Err(format!("the sizes of \"{text}\" make no pattern").into());
        }
        let pattern = Self {
            count,
            circle,
            hole,
            thread,
        };
        Ok((pattern, start))
    }
}

/// Most holes of one pattern.
const MOST_HOLES: u32 = 360;
/// Largest size of anything here, mm.
const LARGEST: f64 = 1e5;

/// A pitch circle with its unit, or bare as wheels are written.
fn circle_of(text: &str) -> Option<f64> {
    length(text).or_else(|| wheel::bare_circle(text))
}

/// A length written as an expression.
fn length(text: &str) -> Option<f64> {
    trade::amount(text, Dimension::LENGTH).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_are_read_as_builders_write_them() {
        for text in [
            "5 x 114.3 mm, M12x1.5",
            "5x4.5, M12x1.5",
            "5 on 4-1/2 in, M12x1.5",
            "5×114.3, M12x1.5",
        ] {
            let (pattern, start) = Pattern::read(text, Fit::Normal).expect(text);
            assert_eq!((pattern.count, start), (5, 0.0));
            assert!((pattern.circle - 114.3).abs() < 1e-9, "{text}");
            assert_eq!(pattern.hole, 13.5);
        }
        let (pattern, start) =
            Pattern::read("4 x 4 in, hole 11 mm, at 45 deg", Fit::Normal).expect("reads");
        assert_eq!((pattern.hole, pattern.thread), (11.0, None));
        assert!((start.to_degrees() - 45.0).abs() < 1e-9);
        for wrong in [
            "5",
            "x 100 mm, M10",
            "5 x 100 mm",
            "0 x 100 mm, M10",
            "5 x -3 mm, M10",
            "5 x 100 mm, M10, 45",
        ] {
            assert!(Pattern::read(wrong, Fit::Normal).is_err(), "{wrong}");
        }
    }
}
