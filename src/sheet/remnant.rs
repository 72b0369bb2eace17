//! What is left of a sheet: how much, whether it is worth keeping, and its outline as stock of a later job.

use super::stock::size;
use super::{Along, CutPlate, CutSheet};
use crate::geometry::{
    Bounds, Contour, Point, Pose, Region, Side, Tolerance, Unresolved, Vector, largest_rectangle,
};
use crate::nest::{LEAST_KEPT, beyond};
use crate::quantity::format::decimal;

/// What is left of a sheet beyond everything cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remnant {
    /// Along x, mm.
    pub length: f64,
    /// Along y, mm.
    pub width: f64,
    /// Area, mm².
    pub area: f64,
    /// The largest rectangle in it along the sheet's sides: along x and along y, mm.
    pub largest: (f64, f64),
    /// What it is.
    pub form: Form,
}

/// What a remnant is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A rectangle.
    Rectangle,
    /// A rectangle with one corner cut away square.
    L,
    /// Anything else.
    Odd,
}

impl Form {
    /// Its name in figures.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rectangle => "rectangle",
            Self::L => "L",
            Self::Odd => "odd",
        }
    }
}

impl Remnant {
    /// Whether it is worth keeping for another job.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.largest.0.min(self.largest.1) >= LEAST_KEPT
    }

    /// What it is and how large.
    #[must_use]
    pub fn says(&self) -> String {
        let what = match self.form {
            Form::Rectangle => return size(self.length, self.width),
            Form::L => "an L",
            Form::Odd => "an odd piece",
        };
        format!(
            "{} m², {what} within {}; the largest rectangle in it is {}",
            decimal(self.area / 1e6, 3),
            size(self.length, self.width),
            size(self.largest.0, self.largest.1)
        )
    }

    /// The same in few words: its size, or that of the largest rectangle in it.
    #[must_use]
    pub fn label(&self) -> String {
        let size = size(self.largest.0, self.largest.1);
        match self.form {
            Form::Rectangle => size,
            Form::L | Form::Odd => format!("{} m², {size} in it", decimal(self.area / 1e6, 3)),
        }
    }
}

/// Whether metal is worth keeping for another job.
pub(super) fn is_worth_keeping(metal: &Region) -> bool {
    let sides = largest_rectangle(&rings(metal)).map(|it| it.width().min(it.height()));
    sides.is_some_and(|least| least >= LEAST_KEPT)
}

/// The edges of a region as polygons.
fn rings(metal: &Region) -> Vec<Vec<Point>> {
    let contours = metal.contours();
    contours
        .map(|it| it.flattened(REMNANT_CHORD, Side::OnCurve))
        .collect()
}

/// A remnant must have this much more than its margins on both sides, mm.
const LEAST_REMNANT: f64 = 1.0;

/// Chord tolerance for the area of a remnant with a curved edge, mm.
const REMNANT_CHORD: f64 = 0.05;

/// Areas that differ by less than this share are the same.
const SAME_AREA: f64 = 1e-6;

impl CutSheet {
    /// What is left: what a last cut parts, or all but a [`Self::corner`], or all beyond [`Self::used_length`]; `None` if
    /// no more than the margin is.
    #[must_use]
    pub fn remnant(&self, plates: &[CutPlate]) -> Option<Remnant> {
        let along = self.along;
        let cut = along.of(self.outline.bounds().min) + self.used_length(plates);
        let round = self.round_corner(plates);
        let rest: Vec<Vec<Point>> = match self.rest.parted.as_ref().or(round.as_ref()) {
            Some(left) => rings(left),
            None => rings(&self.outline)
                .iter()
                .map(|it| beyond(it, along, cut))
                .filter(|it| !it.is_empty())
                .collect(),
        };
        let area = rest.iter().map(|it| shoelace(it)).sum::<f64>();
        let bounds = Bounds::around(rest.iter().flatten().copied());
        let largest = largest_rectangle(&rest)?;
        let sides = (largest.width(), largest.height());
        let remnant = Remnant {
            length: bounds.width(),
            width: bounds.height(),
            area,
            largest: sides,
            form: form(&rest, bounds, area),
        };
        (sides.0.min(sides.1) > self.least_remnant()).then_some(remnant)
    }

    /// The corner that is used, along x and along y, mm; `None` where it is a strip right across.
    ///
    /// One straight cut cannot part an L: a table that makes that keeps what lies beyond, and what lies beside the plates
    /// is lost with the skeleton. One that cuts along the outline has parted it, or not. Where no cut is made the metal
    /// stays whole and an L costs nothing to keep, as long as nothing mars it: neither cuts through the skeleton, nor
    /// runs that begin at the edge of the sheet. Then it is one where what lies beside the plates is as long as what is
    /// kept and wider than its margins.
    #[must_use]
    pub fn corner(&self, plates: &[CutPlate]) -> Option<(f64, f64)> {
        let [x, y] = [Along::X, Along::Y].map(|it| self.reach(plates, it));
        let (used, beside) = match self.along {
            Along::X => (x, self.width() - y),
            Along::Y => (y, self.length() - x),
        };
        let goes_round = match &self.rest.parted {
            Some(parted) => {
                let begins = |it: &Region| self.along.of(it.bounds().min);
                begins(parted) - begins(&self.outline) < used
            }
            None => self.goes_round && used > self.least_remnant(),
        };
        (goes_round && beside >= LEAST_KEPT).then_some((x, y))
    }

    /// What is used of it, in words.
    #[must_use]
    pub fn used_says(&self, plates: &[CutPlate]) -> String {
        let used = self.used_length(plates);
        let (form, (x, y)) = match (self.corner(plates), self.along) {
            (Some(corner), _) => ("corner", corner),
            (None, Along::X) => ("strip", (used, self.width())),
            (None, Along::Y) => ("strip", (self.length(), used)),
        };
        format!("a {form} of {}", size(x, y))
    }

    /// All but a corner, if one is used.
    fn round_corner(&self, plates: &[CutPlate]) -> Option<Region> {
        let (x, y) = self.corner(plates)?;
        let bounds = self.outline.bounds();
        let mut used = bounds.grown(LEAST_KEPT);
        used.max = bounds.min + Vector::new(x, y);
        let used = Contour::polygon(&used.corners())?;
        // What cannot be told as an L is told as a strip.
        let left = self.outline.difference(&used.into()).ok()?;
        (!left.faces.is_empty()).then_some(left)
    }

    /// Both sides of a remnant are longer than this, mm.
    fn least_remnant(&self) -> f64 {
        2.0 * self.margin + LEAST_REMNANT
    }

    /// The outline of what is left, its lower left corner at the origin, so that a later job can use
    /// it as stock; `None` if it is not worth keeping.
    pub fn kept_outline(&self, plates: &[CutPlate]) -> Result<Option<Region>, Unresolved> {
        let at_home = |left: &Region| left.posed(&Pose::shifted(Point::ORIGIN - left.bounds().min));
        if let Some(parted) = &self.rest.parted {
            return Ok(Some(at_home(parted)));
        }
        if !self.remnant(plates).is_some_and(|rest| rest.is_kept()) {
            return Ok(None);
        }
        if let Some(left) = self.round_corner(plates) {
            return Ok(Some(at_home(&left)));
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
        Ok(Some(at_home(&left)))
    }
}

/// What polygons of so much area within these bounds are.
fn form(rings: &[Vec<Point>], bounds: Bounds, area: f64) -> Form {
    let full = bounds.width() * bounds.height();
    if full - area <= SAME_AREA * full {
        return Form::Rectangle;
    }
    let [ring] = rings else { return Form::Odd };
    let mut corners = ring.clone();
    corners.dedup_by(|a, b| a.distance(*b) < Tolerance::SAME);
    let count = corners.len();
    let sides = || (0..count).map(|k| corners[(k + 1) % count] - corners[k]);
    let square = sides().all(|it| it.x.abs().min(it.y.abs()) < Tolerance::SAME);
    if count == 6 && square {
        Form::L
    } else {
        Form::Odd
    }
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

    use super::super::Rest;
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
            goes_round: true,
            outline,
            margin: 10.0,
            price: None,
            placements: Vec::new(),
            plan: SheetPlan::default(),
            rest: Rest::default(),
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
    fn an_l_is_told_by_its_area_and_the_largest_rectangle_in_it() {
        let corners = [
            (0.0, 0.0),
            (700.0, 0.0),
            (700.0, 583.0),
            (400.0, 583.0),
            (400.0, 283.0),
            (0.0, 283.0),
        ];
        let outline = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y))).expect("an L");
        let rest = bare(outline.into()).remnant(&[]).expect("all of it");
        // 700 by 583 less 400 by 300; the lower arm is 700 by 283, the right one 300 by 583.
        assert_relative_eq!(rest.area, 288_100.0);
        assert_eq!(rest.largest, (700.0, 283.0));
        assert_eq!(
            rest.says(),
            "0.288 m², an L within 700 × 583 mm; the largest rectangle in it is 700 × 283 mm"
        );
        assert!(rest.is_kept());
    }

    #[test]
    fn a_strip_of_margin_is_no_remnant() {
        let strip = |depth: f64| {
            let corners = [(0.0, 0.0), (900.0, 0.0), (900.0, depth), (0.0, depth)];
            let outline = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y)));
            bare(outline.expect("a strip").into()).remnant(&[])
        };
        assert_eq!(strip(10.0), None);
        assert_eq!(strip(20.5), None);
        let told = strip(30.0).expect("more than its margins");
        assert_eq!(told.says(), "900 × 30 mm");
        assert!(!told.is_kept());
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
}
