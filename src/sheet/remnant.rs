//! What is left of a sheet: how much, whether it is worth keeping, and its outline as stock of a later job.

use super::{Along, CutPlate, CutSheet};
use crate::geometry::{Bounds, Contour, Point, Pose, Region, Side, Unresolved};

/// What is left of a sheet beyond everything cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remnant {
    /// Along x, mm.
    pub length: f64,
    /// Along y, mm.
    pub width: f64,
    /// Area, mm².
    pub area: f64,
}

/// A remnant narrower than this is not worth keeping, mm. Common practice, no source.
const LEAST_KEPT: f64 = 100.0;

impl Remnant {
    /// Whether it is worth keeping for another job.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.length.min(self.width) >= LEAST_KEPT
    }
}

/// A strip narrower than this at the end of a sheet is no remnant, mm.
const LEAST_REMNANT: f64 = 1.0;

/// Chord tolerance for the area of a remnant with a curved edge, mm.
const REMNANT_CHORD: f64 = 0.05;

impl CutSheet {
    /// What is left beyond [`Self::used_length`]; `None` if that is nothing to speak of.
    #[must_use]
    pub fn remnant(&self, plates: &[CutPlate]) -> Option<Remnant> {
        let along = self.along;
        let cut = along.of(self.outline.bounds().min) + self.used_length(plates);
        let mut area = 0.0;
        let mut bounds = Bounds::EMPTY;
        for contour in self.outline.contours() {
            let rest = beyond(&contour.flattened(REMNANT_CHORD, Side::OnCurve), along, cut);
            area += shoelace(&rest);
            bounds = bounds.union(Bounds::around(rest));
        }
        let remnant = Remnant {
            length: bounds.width(),
            width: bounds.height(),
            area,
        };
        let depth = match along {
            Along::X => remnant.length,
            Along::Y => remnant.width,
        };
        (depth > LEAST_REMNANT).then_some(remnant)
    }

    /// The outline of what is left, its lower left corner at the origin, so that a later job can use
    /// it as stock; `None` if it is not worth keeping.
    pub fn kept_outline(&self, plates: &[CutPlate]) -> Result<Option<Region>, Unresolved> {
        if !self.remnant(plates).is_some_and(|rest| rest.is_kept()) {
            return Ok(None);
        }
        let bounds = self.outline.bounds();
        let mut rest = bounds.grown(LEAST_KEPT);
        let used = self.used_length(plates);
        match self.along {
            Along::X => rest.min.x = bounds.min.x + used,
            Along::Y => rest.min.y = bounds.min.y + used,
        }
        let Some(beyond) = Contour::polygon(&rest.corners()) else {
            return Ok(None);
        };
        let left = self.outline.intersection(&beyond.into())?;
        let home = Point::ORIGIN - left.bounds().min;
        Ok(Some(left.posed(&Pose::shifted(home))))
    }
}

/// The part of a polygon beyond the line where the coordinate along is `cut` (Sutherland and Hodgman,
/// 1974).
pub(crate) fn beyond(polygon: &[Point], along: Along, cut: f64) -> Vec<Point> {
    let mut kept = Vec::with_capacity(polygon.len() + 2);
    for (i, &p) in polygon.iter().enumerate() {
        let next = polygon[(i + 1) % polygon.len()];
        let (here, there) = (along.of(p), along.of(next));
        if here >= cut {
            kept.push(p);
        }
        if (here >= cut) != (there >= cut) {
            let meeting = p.lerp(next, (cut - here) / (there - here));
            kept.push(match along {
                Along::X => Point::new(cut, meeting.y),
                Along::Y => Point::new(meeting.x, cut),
            });
        }
    }
    kept
}

/// Signed area of a polygon, mm².
fn shoelace(polygon: &[Point]) -> f64 {
    (0..polygon.len())
        .map(|i| {
            let (p, q) = (polygon[i], polygon[(i + 1) % polygon.len()]);
            (p - Point::ORIGIN).cross(q - Point::ORIGIN) / 2.0
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::cut::SheetPlan;
    use crate::geometry::Face;

    fn bare(outline: Region) -> CutSheet {
        CutSheet {
            name: "01".to_owned(),
            stock: "offcut".to_owned(),
            material: "mild steel".to_owned(),
            thickness: 6.0,
            kerf: 1.5,
            along: Along::longer(outline.bounds()),
            outline,
            price: None,
            placements: Vec::new(),
            plan: SheetPlan::default(),
        }
    }

    #[test]
    fn an_unused_sheet_is_all_remnant() {
        let disc = Contour::circle(Point::new(300.0, 0.0), 100.0);
        let hole = Contour::circle(Point::new(300.0, 0.0), 20.0).reversed();
        let sheet = bare(Region {
            faces: vec![Face {
                outside: disc,
                openings: vec![hole],
            }],
        });
        let rest = sheet.remnant(&[]).expect("a disc is left");
        assert_relative_eq!(
            rest.area,
            std::f64::consts::PI * (100.0_f64.powi(2) - 20.0_f64.powi(2)),
            max_relative = 1e-3
        );
        assert_relative_eq!(rest.length, 200.0, epsilon = 0.1);
        assert_relative_eq!(sheet.used_length(&[]), 0.0);
    }

    #[test]
    fn what_is_left_is_kept_with_its_arcs_at_the_origin() {
        let disc = Contour::circle(Point::new(300.0, 50.0), 200.0);
        let sheet = bare(disc.into());
        let kept = sheet.kept_outline(&[]).expect("it can be cut");
        let kept = kept.expect("all of it is left");
        assert!(kept.bounds().min.distance(Point::ORIGIN) < 1e-9);
        assert_relative_eq!(
            kept.area(),
            std::f64::consts::PI * 200.0_f64.powi(2),
            max_relative = 1e-9
        );
        let small = bare(Contour::circle(Point::ORIGIN, 40.0).into());
        assert_eq!(small.kept_outline(&[]).expect("it can be cut"), None);
    }

    #[test]
    fn a_polygon_is_cut_along_a_line() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let square = square.map(|(x, y)| Point::new(x, y));
        assert_relative_eq!(shoelace(&beyond(&square, Along::X, 4.0)), 60.0);
        assert_relative_eq!(shoelace(&beyond(&square, Along::X, 11.0)), 0.0);
        assert_relative_eq!(shoelace(&beyond(&square, Along::Y, 7.0)), 30.0);
        // A U lying on its side, cut across both legs: two strips of 2 by 4.
        let u = [
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 2.0),
            (2.0, 2.0),
            (2.0, 8.0),
            (10.0, 8.0),
            (10.0, 10.0),
            (0.0, 10.0),
        ];
        let u = u.map(|(x, y)| Point::new(x, y));
        assert_relative_eq!(shoelace(&beyond(&u, Along::X, 6.0)), 16.0);
    }
}
