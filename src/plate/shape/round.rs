//! Shapes bounded by circles about one centre: disc, ring, curved slot and sector.

use std::f64::consts::{PI, TAU};

use super::Shaped;
use super::outline::{self, arc, linked};
use super::size::{not_negative, positive, read};
use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Contour, Face, Point, Region, Segment, Tolerance};
use crate::quantity::format::{degrees, nearly_equal};

/// A full disc about the origin.
pub fn disc(diameter: f64) -> Shaped {
    positive("diameter", diameter)?;
    Ok(circle(diameter).into())
}

/// A disc with a round opening about its centre.
pub fn ring(outside: f64, inside: f64) -> Shaped {
    positive("outside diameter", outside)?;
    positive("inside diameter", inside)?;
    refuse_no_wall(outside, inside)?;
    let face = Face {
        outside: circle(outside),
        openings: vec![circle(inside).reversed()],
    };
    Ok(Region { faces: vec![face] })
}

/// A slot of `width` bent along a pitch circle about the origin, with round ends; the centres of
/// the ends lie `sweep` radians apart, the middle in the direction of +x.
pub fn curved_slot(pitch_diameter: f64, sweep: f64, width: f64) -> Shaped {
    let pitch = positive("circle", pitch_diameter)? / 2.0;
    let cap = positive("width", width)? / 2.0;
    check_sweep(sweep)?;
    if cap >= pitch {
        return Err(Refusal::new(format!(
            "a curved slot {} wide does not fit on a circle of {}",
            read(width),
            read(pitch_diameter)
        ))
        .remedy("make it narrower than the circle"));
    }
    let ends_apart = 2.0 * pitch * elementary::sin(sweep / 2.0);
    if sweep > PI && ends_apart <= width {
        return Err(Refusal::new(format!(
            "the ends of the curved slot run into each other over {}",
            degrees(sweep)
        ))
        .remedy("make its sweep or its width smaller"));
    }
    let (low, high) = (-sweep / 2.0, sweep / 2.0);
    let end = |angle| Point::ORIGIN.polar(pitch, angle);
    outline::face(vec![
        arc(Point::ORIGIN, pitch + cap, low, high),
        arc(end(high), cap, high, high + PI),
        arc(Point::ORIGIN, pitch - cap, high, low),
        arc(end(low), cap, low + PI, low + TAU),
    ])
}

/// A slice of a disc or, with an inside diameter over 0, of a ring, over `sweep` radians about +x;
/// its corners have the radius `corner` (0: sharp).
pub fn sector(outside: f64, inside: f64, sweep: f64, corner: f64) -> Shaped {
    positive("outside diameter", outside)?;
    let inside = not_negative("inside diameter", inside)?;
    let corner = not_negative("corner radius", corner)?;
    check_sweep(sweep)?;
    refuse_no_wall(outside, inside)?;
    if nearly_equal(sweep, TAU) {
        return if inside > 0.0 {
            ring(outside, inside)
        } else {
            disc(outside)
        };
    }
    let slice = Slice {
        outer: outside / 2.0,
        inner: inside / 2.0,
        half: sweep / 2.0,
        corner,
    };
    slice.check()?;
    outline::face(linked(&slice.arcs()))
}

/// A sector by radii and half its sweep.
struct Slice {
    outer: f64,
    inner: f64,
    half: f64,
    corner: f64,
}

impl Slice {
    fn check(&self) -> Result<(), Refusal> {
        if self.corner == 0.0 {
            return Ok(());
        }
        let radial = self.outer_tangent() - self.inner_tangent();
        let turns_fit = if self.inner > 0.0 {
            self.outer_turn() <= self.half && self.inner_turn() <= self.half
        } else {
            self.outer_turn() <= self.half
        };
        let is_wide = self.outer >= 2.0 * self.corner;
        if is_wide && radial >= 0.0 && turns_fit {
            return Ok(());
        }
        Err(Refusal::new(format!(
            "the corners of the sector have no room for a radius of {}",
            read(self.corner)
        ))
        .remedy("make it smaller"))
    }

    /// The angle that an outer fillet takes from the outer arc: its centre lies `corner` from the
    /// straight side and `outer - corner` from the origin.
    fn outer_turn(&self) -> f64 {
        elementary::asin((self.corner / (self.outer - self.corner)).clamp(-1.0, 1.0))
    }

    /// The angle that an inner fillet takes from the inner arc.
    fn inner_turn(&self) -> f64 {
        elementary::asin((self.corner / (self.inner + self.corner)).clamp(-1.0, 1.0))
    }

    /// Where an outer fillet meets the straight side, from the origin.
    fn outer_tangent(&self) -> f64 {
        let reach = self.outer - self.corner;
        (reach * reach - self.corner * self.corner).max(0.0).sqrt()
    }

    /// Where an inner fillet, or the rounding of the apex, meets the straight side.
    fn inner_tangent(&self) -> f64 {
        if self.inner > 0.0 {
            let reach = self.inner + self.corner;
            return (reach * reach - self.corner * self.corner).max(0.0).sqrt();
        }
        (self.corner / elementary::tan(self.half)).abs()
    }

    /// The arcs in order, counter-clockwise; straight sides lie between them.
    fn arcs(&self) -> Vec<Segment> {
        let Self {
            outer,
            inner,
            half,
            corner,
        } = *self;
        if corner == 0.0 {
            let inside = if inner > 0.0 {
                arc(Point::ORIGIN, inner, half, -half)
            } else {
                Segment::Line {
                    start: Point::ORIGIN.polar(outer, half),
                    end: Point::ORIGIN,
                }
            };
            return vec![arc(Point::ORIGIN, outer, -half, half), inside];
        }
        let turn = self.outer_turn();
        let centre = |side: f64| Point::ORIGIN.polar(outer - corner, side * (half - turn));
        let mut arcs = vec![
            arc(centre(-1.0), corner, -half - PI / 2.0, -half + turn),
            arc(Point::ORIGIN, outer, -half + turn, half - turn),
            arc(centre(1.0), corner, half - turn, half + PI / 2.0),
        ];
        if inner > 0.0 {
            arcs.extend(self.inner_arcs());
        } else {
            arcs.extend(self.apex());
        }
        arcs
    }

    fn inner_arcs(&self) -> [Segment; 3] {
        let turn = self.inner_turn();
        let edge = self.half - turn;
        let centre = |side: f64| Point::ORIGIN.polar(self.inner + self.corner, side * edge);
        [
            arc(centre(1.0), self.corner, self.half + PI / 2.0, edge + PI),
            arc(Point::ORIGIN, self.inner, edge, -edge),
            arc(centre(-1.0), self.corner, PI - edge, 1.5 * PI - self.half),
        ]
    }

    /// The rounded apex: convex below a half turn, concave above, gone at a half turn.
    fn apex(&self) -> Option<Segment> {
        let quarter = PI / 2.0;
        if nearly_equal(self.half, quarter) {
            return None;
        }
        let centre = Point::new(self.corner / elementary::sin(self.half), 0.0);
        if self.half < quarter {
            return Some(arc(
                centre,
                self.corner,
                self.half + quarter,
                TAU - quarter - self.half,
            ));
        }
        let centre = Point::new(-centre.x, 0.0);
        Some(arc(
            centre,
            self.corner,
            self.half - quarter,
            quarter - self.half,
        ))
    }
}

fn circle(diameter: f64) -> Contour {
    Contour::circle(Point::ORIGIN, diameter / 2.0)
}

fn check_sweep(sweep: f64) -> Result<(), Refusal> {
    let is_fit = sweep > Tolerance::SAME && (sweep < TAU || nearly_equal(sweep, TAU));
    if is_fit {
        return Ok(());
    }
    if sweep.is_finite() {
        return Err(Refusal::new(format!("the sweep is {}", degrees(sweep)))
            .remedy("write more than 0° and at most 360°"));
    }
    Err(Refusal::new("the sweep is not a number"))
}

fn refuse_no_wall(outside: f64, inside: f64) -> Result<(), Refusal> {
    if inside + super::size::SMALLEST <= outside {
        return Ok(());
    }
    Err(Refusal::new(format!(
        "the inside diameter, {}, is not less than the outside diameter, {}",
        read(inside),
        read(outside)
    ))
    .remedy("make the one smaller or the other larger"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::shape::testing::{assert_sound, assert_tangent, corners};
    use approx::assert_relative_eq;

    #[test]
    fn discs_and_rings_are_circles() {
        let region = ring(100.0, 60.0).expect("a sane ring");
        assert_sound(&region);
        assert_relative_eq!(region.area(), PI * (2500.0 - 900.0), max_relative = 1e-12);
        assert!(
            region
                .contours()
                .all(|contour| contour.as_circle().is_some())
        );
        assert_relative_eq!(
            disc(10.0).expect("a sane disc").area(),
            25.0 * PI,
            max_relative = 1e-12
        );
        assert_eq!(
            disc(0.0),
            Err(Refusal::new("the diameter is 0 mm (0.000 in)").remedy("write at least 0.001 mm"))
        );
        assert!(ring(60.0, 60.0).is_err());
        assert!(disc(f64::NAN).is_err());
        assert!(disc(f64::INFINITY).is_err());
    }

    // Pappus: a band swept along a path of length L has the area width · L; the ends are half discs.
    #[test]
    fn a_curved_slot_is_a_band_and_two_half_discs() {
        for sweep in [0.01, 1.0, PI, 4.0, 6.0] {
            let region = curved_slot(100.0, sweep, 8.0).expect("a sane slot");
            assert_sound(&region);
            assert_tangent(&region);
            let expected = 50.0 * sweep * 8.0 + PI * 16.0;
            assert_relative_eq!(region.area(), expected, max_relative = 1e-9);
        }
        assert!(curved_slot(100.0, 6.2, 8.0).is_err());
        assert!(curved_slot(8.0, 1.0, 8.0).is_err());
    }

    #[test]
    fn a_sharp_sector_has_its_share_of_the_ring() {
        for sweep in [0.1, 1.0, PI, 5.0, 6.2] {
            let pie = sector(80.0, 0.0, sweep, 0.0).expect("a sane sector");
            assert_sound(&pie);
            assert_relative_eq!(pie.area(), 1600.0 * sweep / 2.0, max_relative = 1e-9);
            let slice = sector(80.0, 50.0, sweep, 0.0).expect("a sane sector");
            assert_sound(&slice);
            assert_relative_eq!(slice.area(), 975.0 * sweep / 2.0, max_relative = 1e-9);
        }
        let whole = sector(80.0, 50.0, TAU, 2.0).expect("a ring");
        assert_eq!(Ok(whole), ring(80.0, 50.0));
    }

    // The arrangement kernel rounds corners by offsets, without knowing how this shape is built.
    #[test]
    fn a_rounded_sector_is_the_sharp_one_rounded() {
        for sweep in [0.6, 1.5, 3.0, 4.0, 5.5] {
            for inside in [0.0, 50.0] {
                let sharp = sector(120.0, inside, sweep, 0.0).expect("a sane sector");
                let rounded = sector(120.0, inside, sweep, 4.0).expect("a sane sector");
                assert_sound(&rounded);
                assert_tangent(&rounded);
                let by_offset = sharp
                    .round_outside(4.0)
                    .and_then(|region| region.round_inside(4.0))
                    .expect("a simple scene");
                assert_relative_eq!(rounded.area(), by_offset.area(), max_relative = 1e-7);
            }
        }
    }

    #[test]
    fn corners_without_room_are_refused() {
        assert!(sector(100.0, 90.0, 1.0, 2.6).is_err());
        assert!(sector(100.0, 90.0, 1.0, 2.4).is_ok());
        assert!(sector(100.0, 0.0, 0.2, 8.0).is_err());
        assert!(sector(100.0, 0.0, 1.0, 60.0).is_err());
        assert!(sector(100.0, 0.0, 0.0, 0.0).is_err());
        assert!(sector(100.0, 0.0, 7.0, 0.0).is_err());
        let half = sector(100.0, 0.0, PI, 5.0).expect("a half disc");
        assert_eq!(corners(&half), 0);
    }
}
