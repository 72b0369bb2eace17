//! How far a point on a circle is from one feature, as an exact function of its angle.
//!
//! A new hole's centre runs along its pitch circle. Over a stretch of angles its distance from a
//! circle, a corner or a straight edge has one closed form; those forms, cut where they change and
//! where they turn, are [`Stretch`]es. Angles are radians, lengths mm.

use std::f64::consts::{PI, TAU};

use crate::elementary;
use crate::geometry::{Contour, Point, Segment, Vector};

/// Stretches shorter than this, radians, are rounding.
pub(super) const SAME_ANGLE: f64 = 1e-12;
/// Products smaller than this, mm², make no difference with the angle: the centres are the same.
const LEVEL: f64 = 1e-9;
/// How far past the ends of a piece its nearest point may lie and still count, as a share.
const AT_ITS_END: f64 = 1e-12;

/// The circle that the new holes' centres run on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Orbit {
    pub(super) centre: Point,
    pub(super) radius: f64,
}

/// The distance in closed form, `a` being the angle of the point on its orbit.
#[derive(Debug, Clone, Copy)]
pub(super) enum Clearance {
    /// side · (√(square − product · cos(a − towards)) − radius): from a circle, or a corner.
    Round {
        square: f64,
        product: f64,
        towards: f64,
        radius: f64,
        side: f64,
    },
    /// side · (offset + swing · cos(a − towards)): from a straight edge.
    Straight {
        offset: f64,
        swing: f64,
        towards: f64,
        side: f64,
    },
}

/// Which way the distance goes with the angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Trend {
    Rising,
    Falling,
    Level,
}

/// A closed form over a stretch of angles, monotone there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) clearance: Clearance,
    pub(super) trend: Trend,
    /// Whether it and its mirror image tell all of a corner or a round edge.
    pub(super) is_whole: bool,
}

impl Stretch {
    /// The least distance on it, mm.
    pub(super) fn lowest(&self) -> f64 {
        self.clearance.at(self.from).min(self.clearance.at(self.to))
    }

    /// The most that its edge can be away from the nearest hole, mm; known for corners and round edges,
    /// whose rising half ends half a pace from the nearest angle.
    pub(super) fn bound(&self) -> Option<f64> {
        (self.is_whole && self.trend == Trend::Rising).then(|| self.clearance.at(self.to))
    }
}

impl Orbit {
    pub(super) fn at(&self, angle: f64) -> Point {
        self.centre.polar(self.radius, angle)
    }

    /// Angles at which the orbit meets the line through a point.
    fn meets_line(&self, through: Point, way: Vector) -> Vec<f64> {
        let Some(way) = way.unit() else {
            return Vec::new();
        };
        let sine = -way.cross(self.centre - through) / self.radius;
        if sine.abs() > 1.0 {
            return Vec::new();
        }
        vec![
            way.angle() + elementary::asin(sine),
            way.angle() + PI - elementary::asin(sine),
        ]
    }

    /// Angles at which the orbit meets a circle.
    fn meets_circle(&self, centre: Point, radius: f64) -> Vec<f64> {
        let away = centre - self.centre;
        let product = 2.0 * self.radius * away.length();
        if product < LEVEL {
            return Vec::new();
        }
        let square = self.radius.powi(2) + away.length().powi(2);
        let cosine = (square - radius * radius) / product;
        if cosine.abs() > 1.0 {
            return Vec::new();
        }
        vec![
            away.angle() + elementary::acos(cosine),
            away.angle() - elementary::acos(cosine),
        ]
    }

    /// Angles at which the orbit meets a contour.
    pub(super) fn meets(&self, contour: &Contour) -> Vec<f64> {
        let crossings = contour.segments().iter().flat_map(|segment| {
            let on = match segment {
                Segment::Line { start, end } => self.meets_line(*start, *end - *start),
                Segment::Arc { centre, radius, .. } => self.meets_circle(*centre, *radius),
            };
            on.into_iter()
                .filter(|angle| faces(segment, self.at(*angle)))
        });
        crossings.map(once_around).collect()
    }

    fn clearance_round(&self, centre: Point, radius: f64, side: f64) -> Clearance {
        let away = centre - self.centre;
        let product = 2.0 * self.radius * away.length();
        Clearance::Round {
            square: self.radius.powi(2) + away.length().powi(2),
            product: if product < LEVEL { 0.0 } else { product },
            towards: away.angle(),
            radius,
            side,
        }
    }

    /// The distance from outside a round opening, positive in the metal, over the angles at which no
    /// other hole of a pattern with this pace is nearer.
    pub(super) fn outside_of(&self, centre: Point, radius: f64, pace: f64) -> Vec<Stretch> {
        let clearance = self.clearance_round(centre, radius, 1.0);
        both_sides(clearance, (centre - self.centre).angle(), pace)
    }

    /// The distance from inside a round outline, likewise.
    pub(super) fn inside_of(&self, centre: Point, radius: f64, pace: f64) -> Vec<Stretch> {
        let clearance = self.clearance_round(centre, radius, -1.0);
        both_sides(clearance, (centre - self.centre).angle() + PI, pace)
    }

    /// The distance from a corner.
    pub(super) fn corner(&self, at: Point, pace: f64) -> Vec<Stretch> {
        self.outside_of(at, 0.0, pace)
    }

    /// The distance from the inner points of a line or arc, over the angles at which one of them is
    /// the nearest point of it.
    pub(super) fn along(&self, segment: &Segment) -> Vec<Stretch> {
        let mut cuts = match segment {
            Segment::Line { start, end } => {
                let way = *end - *start;
                let across = way.left();
                [
                    self.meets_line(*start, across),
                    self.meets_line(*end, across),
                    self.meets_line(*start, way),
                    vec![across.angle(), across.angle() + PI],
                ]
                .concat()
            }
            Segment::Arc {
                start,
                end,
                centre,
                radius,
                ..
            } => {
                let away = (*centre - self.centre).angle();
                [
                    self.meets_line(*centre, *start - *centre),
                    self.meets_line(*centre, *end - *centre),
                    self.meets_circle(*centre, *radius),
                    vec![away, away + PI],
                ]
                .concat()
            }
        };
        for cut in &mut cuts {
            *cut = once_around(*cut);
        }
        cuts.extend([0.0, TAU]);
        cuts.sort_by(f64::total_cmp);
        let stretches = cuts.windows(2).filter_map(|pair| {
            let (from, to) = (pair[0], pair[1]);
            let middle = f64::midpoint(from, to);
            let here = self.at(middle);
            (to - from > SAME_ANGLE && faces(segment, here)).then(|| {
                let clearance = self.clearance_along(segment, here);
                Stretch {
                    from,
                    to,
                    trend: clearance.trend(middle),
                    clearance,
                    is_whole: false,
                }
            })
        });
        stretches.collect()
    }

    fn clearance_along(&self, segment: &Segment, here: Point) -> Clearance {
        match segment {
            Segment::Line { start, end } => {
                let across = (*end - *start).left();
                let across = across * (1.0 / across.length());
                Clearance::Straight {
                    offset: across.dot(self.centre - *start),
                    swing: self.radius,
                    towards: across.angle(),
                    side: across.dot(here - *start).signum(),
                }
            }
            Segment::Arc { centre, radius, .. } => {
                let side = (here.distance(*centre) - radius).signum();
                self.clearance_round(*centre, *radius, side)
            }
        }
    }
}

/// The falling and the rising half about the nearest angle.
fn both_sides(clearance: Clearance, nearest: f64, pace: f64) -> Vec<Stretch> {
    let half = pace / 2.0;
    let stretch = |from, to, trend| Stretch {
        from,
        to,
        clearance,
        trend,
        is_whole: true,
    };
    if clearance.is_level() {
        return vec![stretch(0.0, pace, Trend::Level)];
    }
    vec![
        stretch(nearest - half, nearest, Trend::Falling),
        stretch(nearest, nearest + half, Trend::Rising),
    ]
}

/// Whether the point of a piece nearest to `p` lies within the piece, ends included.
fn faces(segment: &Segment, p: Point) -> bool {
    match segment {
        Segment::Line { start, end } => {
            let way = *end - *start;
            let share = way.dot(p - *start) / way.dot(way);
            (-AT_ITS_END..=1.0 + AT_ITS_END).contains(&share)
        }
        Segment::Arc {
            start,
            centre,
            turning,
            ..
        } => {
            let from = *start - *centre;
            let to = p - *centre;
            let turn = from.turn_to(to) * turning.sign();
            let sweep = segment.sweep().abs();
            let turn = turn.rem_euclid(TAU);
            turn <= sweep + AT_ITS_END || turn >= TAU - AT_ITS_END
        }
    }
}

/// An angle from 0 up to a full turn.
pub(super) fn once_around(angle: f64) -> f64 {
    angle.rem_euclid(TAU)
}

impl Clearance {
    /// The distance at an angle, mm; negative past the edge.
    pub(super) fn at(&self, angle: f64) -> f64 {
        match self {
            Self::Round {
                square,
                product,
                towards,
                radius,
                side,
            } => {
                let apart = square - product * elementary::cos(angle - towards);
                side * (apart.max(0.0).sqrt() - radius)
            }
            Self::Straight {
                offset,
                swing,
                towards,
                side,
            } => side * (offset + swing * elementary::cos(angle - towards)),
        }
    }

    /// Whether it is the same at every angle.
    pub(super) fn is_level(&self) -> bool {
        matches!(self, Self::Round { product, .. } if *product == 0.0)
    }

    fn trend(&self, angle: f64) -> Trend {
        let slope = match self {
            Self::Round {
                product,
                towards,
                side,
                ..
            } => side * product * elementary::sin(angle - towards),
            Self::Straight {
                swing,
                towards,
                side,
                ..
            } => -side * swing * elementary::sin(angle - towards),
        };
        if slope > 0.0 {
            Trend::Rising
        } else if slope < 0.0 {
            Trend::Falling
        } else {
            Trend::Level
        }
    }

    /// The same distance seen from `shift` back along the orbit.
    pub(super) fn shifted(mut self, shift: f64) -> Self {
        let (Self::Round { towards, .. } | Self::Straight { towards, .. }) = &mut self;
        *towards -= shift;
        self
    }

    /// The angle between `low` and `high` at which this and another distance are the same; they are
    /// in opposite order at the two ends.
    ///
    /// In closed form where both come from circles of one size or both from straight edges; else the
    /// difference, which is monotone there, is closed in on to the last bit.
    pub(super) fn meets(&self, other: &Self, low: f64, high: f64) -> f64 {
        let inside = |angle: f64| {
            let turns = ((f64::midpoint(low, high) - angle) / TAU).round();
            let angle = angle + turns * TAU;
            (low..=high).contains(&angle).then_some(angle)
        };
        let mut closed = self.closed_form(other).into_iter().flatten();
        let closed = closed.find_map(inside);
        closed.unwrap_or_else(|| self.closed_in(other, low, high))
    }

    /// a·cos θ + b·sin θ = c, where the two distances reduce to it.
    fn closed_form(&self, other: &Self) -> Option<[f64; 2]> {
        let (a, b, c) = match (self, other) {
            (
                Self::Round {
                    square: s,
                    product: p,
                    towards: t,
                    radius: r,
                    side,
                },
                Self::Round {
                    square: s2,
                    product: p2,
                    towards: t2,
                    radius: r2,
                    side: side2,
                },
            ) if r == r2 && side == side2 => (
                p * elementary::cos(*t) - p2 * elementary::cos(*t2),
                p * elementary::sin(*t) - p2 * elementary::sin(*t2),
                s - s2,
            ),
            (
                Self::Straight {
                    offset,
                    swing,
                    towards,
                    side,
                },
                Self::Straight {
                    offset: offset2,
                    swing: swing2,
                    towards: towards2,
                    side: side2,
                },
            ) => (
                side * swing * elementary::cos(*towards)
                    - side2 * swing2 * elementary::cos(*towards2),
                side * swing * elementary::sin(*towards)
                    - side2 * swing2 * elementary::sin(*towards2),
                side2 * offset2 - side * offset,
            ),
            _ => return None,
        };
        let size = elementary::hypot(a, b);
        if size <= c.abs() {
            return None;
        }
        let (middle, half) = (elementary::atan2(b, a), elementary::acos(c / size));
        Some([middle + half, middle - half])
    }

    /// Bisection and regula falsi in turn.
    fn closed_in(&self, other: &Self, mut low: f64, mut high: f64) -> f64 {
        const STEPS: usize = 120;
        let off = |angle: f64| self.at(angle) - other.at(angle);
        let (mut at_low, mut at_high) = (off(low), off(high));
        for step in 0..STEPS {
            let secant = low + (high - low) * at_low / (at_low - at_high);
            let usable = step % 3 != 2 && secant > low && secant < high;
            let middle = if usable {
                secant
            } else {
                f64::midpoint(low, high)
            };
            if middle <= low || middle >= high {
                break;
            }
            let here = off(middle);
            if here == 0.0 {
                return middle;
            }
            if (here > 0.0) == (at_low > 0.0) {
                (low, at_low) = (middle, here);
            } else {
                (high, at_high) = (middle, here);
            }
        }
        if at_low.abs() < at_high.abs() {
            low
        } else {
            high
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turning;

    const ORBIT: Orbit = Orbit {
        centre: Point::ORIGIN,
        radius: 50.0,
    };

    #[test]
    fn stretches_of_a_slanted_line_and_an_arc_tell_the_distance_to_them() {
        let line = Segment::Line {
            start: Point::new(20.0, 60.0),
            end: Point::new(70.0, 10.0),
        };
        let arc = Segment::Arc {
            start: Point::new(-30.0, 45.0),
            end: Point::new(-55.0, 20.0),
            centre: Point::new(-55.0, 45.0),
            radius: 25.0,
            turning: Turning::Right,
        };
        for segment in [line, arc] {
            let stretches = ORBIT.along(&segment);
            assert!(!stretches.is_empty());
            for stretch in stretches {
                for share in [0.1, 0.5, 0.9] {
                    let angle = stretch.from + (stretch.to - stretch.from) * share;
                    let measured = segment.gap_to_point(ORBIT.at(angle)).distance;
                    let told = stretch.clearance.at(angle);
                    assert!((measured - told).abs() < 1e-9, "{measured} {told}");
                }
            }
        }
    }

    #[test]
    fn two_distances_meet_where_they_are_the_same() {
        let far = |at: Point, radius: f64| ORBIT.clearance_round(at, radius, 1.0);
        let (a, b) = (Point::new(40.0, 10.0), Point::new(5.0, 60.0));
        for radius in [6.0, 9.0] {
            let (one, other) = (far(a, 6.0), far(b, radius));
            let angle = one.meets(&other, 0.3, 1.4);
            assert!((one.at(angle) - other.at(angle)).abs() < 1e-12, "{radius}");
        }
    }
}
