//! What every picture draws alike: pens and letters that suit its scale, arrows, leaders, overall sizes,
//! and the mark of the datum.

use std::f64::consts::{FRAC_PI_2, PI};

use super::labels::passes;
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Stroke, Tag, Words};
use crate::geometry::{Bounds, Circle, Point, Vector};
use crate::plate::Datum;

/// How far past a quarter turn a line may run, by rounding, and still be read from the right, radians.
const ANGLE_SLACK: f64 = 1e-6;
/// Length of an arrow head and half its width, mm on paper.
const ARROW: (f64, f64) = (2.5, 0.45);
/// Dimension lines shorter than this have their arrows outside, with tails so long, mm on paper.
pub(super) const TIGHT: f64 = 8.0;
const TAIL: f64 = 4.5;
/// How far centre lines and folds run past an edge, mm on paper.
pub(super) const PAST: f64 = 2.5;
/// From the plate to the line of an overall size, mm on paper.
const OFF: f64 = 8.0;
/// What the sizes of a plate along x and along y are called.
pub(super) const OVERALL: [&str; 2] = ["overall width", "overall height"];
/// From a line to the words that stand on it, mm on paper.
const ON_LINE: f64 = 1.2;

/// Thickness of lines and height of letters for a picture of a scale. Both are told in mm on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Drafting {
    /// 1 mm on paper, in mm of the picture.
    pub(super) unit: f64,
    /// Thickness of thin lines, mm on paper.
    pub(super) thin: f64,
    /// Height of the words of sizes, mm on paper.
    pub(super) letters: f64,
}

impl Drafting {
    /// A line `width` mm thick on paper.
    pub(super) const fn pen(&self, width: f64, ink: Ink, dash: Dash) -> Stroke {
        Stroke::new(width * self.unit, ink, dash)
    }

    /// The line of sizes and leaders.
    pub(super) const fn aid(&self) -> Stroke {
        self.pen(self.thin, Ink::Aid, Dash::Solid)
    }

    /// Level words, their capitals `height` mm high on paper.
    pub(super) const fn words(
        &self,
        at: Point,
        anchor: Anchor,
        height: f64,
        text: String,
    ) -> Words {
        Words {
            at,
            anchor,
            height: height * self.unit,
            turn: 0.0,
            ink: Ink::Edge,
            text,
        }
    }

    /// Words above the middle of a line, turned to be read from below or from the right.
    fn along(&self, from: Point, to: Point, text: String) -> Words {
        let turn = upright((to - from).angle());
        let up = Vector::from_angle(turn).left();
        let at = from.lerp(to, 0.5) + up * (ON_LINE * self.unit);
        Words {
            turn,
            ..self.words(at, Anchor::Middle, self.letters, text)
        }
    }

    /// Words along a dimension line, in its middle or as near to it as no line runs through them.
    fn clear_along(
        &self,
        (from, to): (Point, Point),
        text: String,
        drawn: &[(Point, Point)],
    ) -> Words {
        let middle = self.along(from, to, text);
        let room = from.distance(to) - middle.length() - 4.0 * self.unit;
        let way = (to - from).unit().unwrap_or_default();
        let shares = [0.0, 0.2, -0.2, 0.4, -0.4, 0.6, -0.6, 0.8, -0.8, 1.0, -1.0];
        let places = shares.map(|share| {
            let mut words = middle.clone();
            words.at = words.at + way * (share * room.max(0.0) / 2.0);
            words
        });
        let is_clear = |words: &Words| {
            let around = words.bounds().grown(0.3 * self.unit);
            !drawn.iter().any(|(a, b)| passes(around, *a, *b))
        };
        places.into_iter().find(is_clear).unwrap_or(middle)
    }

    /// A filled arrow head with its tip at a point.
    pub(super) fn arrow(&self, picture: &mut Picture, tip: Point, pointing: Vector) {
        let back = tip - pointing * (ARROW.0 * self.unit);
        let side = pointing.left() * (ARROW.1 * self.unit);
        let head = Chain::polygon(&[tip, back + side, back - side]);
        picture.draw(vec![head], Some(Ink::Aid), None);
    }

    /// A dimension line between two places, with an arrow at either: where they are too near one another for
    /// that, the arrows come from outside.
    pub(super) fn between(&self, picture: &mut Picture, [from, to]: [Point; 2]) {
        picture.stroke(Chain::line(from, to), self.aid());
        let Some(way) = (to - from).unit() else {
            return;
        };
        for (tip, out) in [(from, -way), (to, way)] {
            if from.distance(to) < TIGHT * self.unit {
                self.arrow(picture, tip, -out);
                let tail = Chain::line(tip, tip + out * (TAIL * self.unit));
                picture.stroke(tail, self.aid());
            } else {
                self.arrow(picture, tip, out);
            }
        }
    }

    /// A leader through some points, an arrow at the first, which lies on the edge that it is about.
    pub(super) fn leader(&self, picture: &mut Picture, points: &[Point]) {
        picture.stroke(Chain::through(points), self.aid());
        if let [tip, elbow, ..] = *points
            && let Some(pointing) = (tip - elbow).unit()
        {
            self.arrow(picture, tip, pointing);
        }
    }

    /// A leader from a spot that it is about, marked with a dot.
    pub(super) fn pointer(&self, picture: &mut Picture, spot: Point, to: Point) {
        let pen = self.pen(0.25, Ink::Edge, Dash::Solid);
        picture.stroke(Chain::line(spot, to), pen);
        let dot = Circle {
            centre: spot,
            radius: 0.4 * self.unit,
        };
        picture.circle(dot, Some(Ink::Edge), None);
    }

    /// Crosses through what has a middle, past its edges, and pitch circles.
    pub(super) fn centre_lines(
        &self,
        picture: &mut Picture,
        crossed: &[Crossed],
        pitches: &[Circle],
    ) {
        let pen = self.pen(self.thin, Ink::Aid, Dash::DashDot);
        for axis in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
            for (from, to) in centre_line_along(axis, crossed, PAST * self.unit) {
                picture.stroke(Chain::line(from, to), pen);
            }
        }
        for pitch in pitches {
            picture.circle(*pitch, None, Some(pen));
        }
    }

    /// The line of a fold, prolonged past its ends, where its call-out points at it.
    pub(super) fn fold(
        &self,
        picture: &mut Picture,
        label: String,
        [from, to]: [Point; 2],
        pen: Stroke,
    ) {
        picture.grouped(Tag::new("fold", label), |picture| {
            picture.stroke(Chain::line(from, to), pen);
            let past = (to - from).unit().unwrap_or_default() * (PAST * self.unit);
            let past = [Chain::line(from, from - past), Chain::line(to, to + past)];
            picture.draw(past.to_vec(), None, Some(self.aid()));
        });
    }

    /// A ringed cross where places are measured from.
    pub(super) fn datum(&self, picture: &mut Picture, datum: &Datum) {
        let tag = Tag::new("datum", format!("x 0, y 0: {}", datum.says));
        picture.grouped(tag, |picture| self.ring(picture, datum.at));
    }

    fn ring(&self, picture: &mut Picture, at: Point) {
        let pen = self.pen(self.thin, Ink::Edge, Dash::Solid);
        let ring = Circle {
            centre: at,
            radius: 1.6 * self.unit,
        };
        picture.circle(ring, None, Some(pen));
        for arm in [Vector::new(2.6, 0.0), Vector::new(0.0, 2.6)] {
            let arm = arm * self.unit;
            picture.stroke(Chain::line(at - arm, at + arm), pen);
        }
    }

    /// The size along the page below a box and the one up the page to its left, each with its name, with words
    /// that stay within `room` and clear of the lines. Gives how low the words reach.
    pub(super) fn overall_sizes(
        &self,
        picture: &mut Picture,
        around: Bounds,
        [(width_is, width), (height_is, height)]: [(&'static str, String); 2],
        room: Bounds,
    ) -> f64 {
        let Bounds { min, max } = around;
        let (low, left) = (min.y - OFF * self.unit, min.x - OFF * self.unit);
        let (gap, past) = (1.5 * self.unit, 1.5 * self.unit);
        let lines =
            |picture: &mut Picture, ends: [(Point, Point); 2], (from, to): (Point, Point)| {
                for (from, to) in ends {
                    picture.stroke(Chain::line(from, to), self.aid());
                }
                self.between(picture, [from, to]);
            };
        let under = [min.x, max.x].map(|x| (Point::new(x, min.y - gap), Point::new(x, low - past)));
        let beside =
            [min.y, max.y].map(|y| (Point::new(min.x - gap, y), Point::new(left - past, y)));
        let across = (Point::new(min.x, low), Point::new(max.x, low));
        let upward = (Point::new(left, min.y), Point::new(left, max.y));
        let slack = 2.0 * self.unit;
        let drawn: Vec<(Point, Point)> = picture.straight_lines().collect();
        let mut words = self.clear_along(across, width, &drawn);
        let length = words.length();
        if length > max.x - min.x - slack {
            // Words longer than their line would run over its ends: below it.
            words.at.y = low - ON_LINE * self.unit - words.height - past;
            words.at.x = words.at.x.max(left + slack + length / 2.0);
        }
        let foot = words.bounds().min.y;
        picture.grouped(Tag::new("dimension", width_is), |picture| {
            lines(picture, under, across);
            picture.write(words);
        });
        let mut words = self.clear_along(upward, height, &drawn);
        let length = words.length();
        if length > max.y - min.y - slack {
            let beside = Point::new(left - ON_LINE * self.unit, upward.0.lerp(upward.1, 0.5).y);
            if beside.x - length >= room.min.x {
                words.at = beside - Vector::new(0.0, words.height / 2.0);
                words.anchor = Anchor::End;
                words.turn = 0.0;
            } else {
                words.at.x = left - past - ON_LINE * self.unit;
                let middle = words.at.y.max(room.min.y + length / 2.0);
                words.at.y = middle.min(room.max.y - length / 2.0);
            }
        }
        picture.grouped(Tag::new("dimension", height_is), |picture| {
            lines(picture, beside, upward);
            picture.write(words);
        });
        foot
    }
}

/// The direction of words along a line at an angle, so that they read from below or from the right.
fn upright(angle: f64) -> f64 {
    let turn = angle.rem_euclid(PI);
    if turn > FRAC_PI_2 + ANGLE_SLACK {
        turn - PI
    } else {
        turn
    }
}

/// What a cross of centre lines runs through.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossed {
    pub(super) middle: Point,
    /// How far it reaches from there along x and along y, mm.
    pub(super) reach: Vector,
}

impl From<Circle> for Crossed {
    fn from(circle: Circle) -> Self {
        Self {
            middle: circle.centre,
            reach: Vector::new(circle.radius, circle.radius),
        }
    }
}

/// The lines through the middles along an axis, `past` mm longer than what they cross; lines that
/// lie on a longer one are left out, since dashes on dashes look like a solid line.
fn centre_line_along(axis: Vector, crossed: &[Crossed], past: f64) -> Vec<(Point, Point)> {
    let reach = |it: &Crossed| it.reach.dot(axis).abs();
    let mut by_size = crossed.to_vec();
    by_size.sort_by(|a, b| reach(b).total_cmp(&reach(a)));
    let mut lines: Vec<(Point, Point)> = Vec::new();
    for crossed in by_size {
        let arm = axis * (reach(&crossed) + past);
        let (from, to) = (crossed.middle - arm, crossed.middle + arm);
        let covered = |&(start, end): &(Point, Point)| {
            (from - start).cross(axis).abs() < past / 10.0
                && (from - start).dot(axis) >= 0.0
                && (end - to).dot(axis) >= 0.0
        };
        if !lines.iter().any(covered) {
            lines.push((from, to));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn words_read_from_below_or_from_the_right() {
        for (angle, expected) in [
            (0.0, 0.0),
            (PI, 0.0),
            (FRAC_PI_2, FRAC_PI_2),
            (-FRAC_PI_2, FRAC_PI_2),
            (-0.3, -0.3),
            (PI - 0.3, -0.3),
        ] {
            assert_relative_eq!(upright(angle), expected, epsilon = 1e-12);
        }
    }

    /// Plates from very small to very large: no words on an extension line or on one another.
    #[test]
    fn overall_sizes_keep_their_words_clear_of_their_lines() {
        let draft = Drafting {
            unit: 1.0,
            thin: 0.18,
            letters: 2.3,
        };
        for (width, height) in [(4.0, 4.0), (150.0, 4.0), (4.0, 150.0), (150.0, 90.0)] {
            for least in [-1e6, -15.0] {
                let mut picture = Picture::new("test");
                let around = Bounds::around([Point::ORIGIN, Point::new(width, height)]);
                let room = Bounds {
                    min: Point::new(least, -15.0),
                    max: Point::new(1e6, 1e6),
                };
                let words = OVERALL.map(|it| (it, "123.45 (4.860)".to_owned()));
                draft.overall_sizes(&mut picture, around, words, room);
                let (words, lines): (Vec<_>, Vec<_>) = picture
                    .items
                    .iter()
                    .partition(|it| matches!(it, super::super::picture::Item::Words(_)));
                assert_eq!(words.len(), 2);
                assert!(
                    !words[0].bounds().meets(words[1].bounds()),
                    "{width} {height}"
                );
                for line in lines {
                    for words in &words {
                        let words = words.bounds().grown(-0.2);
                        assert!(!line.bounds().meets(words), "{width} {height} {least}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_centre_line_is_not_drawn_over_a_longer_one() {
        let circle = |x, y, radius| {
            Crossed::from(Circle {
                centre: Point::new(x, y),
                radius,
            })
        };
        let circles = [
            circle(0.0, 0.0, 32.0),
            circle(0.0, 0.0, 85.0),
            circle(50.0, 0.0, 5.0),
            circle(50.0, 20.0, 5.0),
        ];
        let along_x = centre_line_along(Vector::new(1.0, 0.0), &circles, 2.0);
        assert_eq!(along_x.len(), 2);
        let along_y = centre_line_along(Vector::new(0.0, 1.0), &circles, 2.0);
        assert_eq!(along_y.len(), 3);
        // A slot that stands on end is crossed as narrow as it is.
        let slot = Crossed {
            middle: Point::new(10.0, 0.0),
            reach: Vector::new(4.0, 30.0),
        };
        let [(from, to)] = centre_line_along(Vector::new(1.0, 0.0), &[slot], 2.0)[..] else {
            panic!("one line");
        };
        assert_relative_eq!(from.x, 4.0);
        assert_relative_eq!(to.x, 16.0);
    }
}
