//! A graph: curves over two axes.
//!
//! In: points in the units they are read in. Out: a [`Picture`] with a grid of round steps, the curves
//! and named marks. Curves differ in thickness and dashes, not by colour alone.

use super::drafting::Drafting;
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Words};
use crate::elementary;
use crate::geometry::{Circle, Point};
use crate::quantity::format::decimal;

/// Size of the plot, mm.
const SIZE: (f64, f64) = (180.0, 90.0);
/// Height of capitals, mm.
const LETTERS: f64 = 3.0;

/// Curves to show.
#[derive(Debug, Clone, PartialEq)]
pub struct Graph {
    /// What the picture is.
    pub title: String,
    /// What runs along, with its unit.
    pub along: String,
    /// What runs up, with its unit.
    pub up: String,
    /// Least and greatest value along.
    pub range: (f64, f64),
    /// The curves.
    pub curves: Vec<Curve>,
    /// Spots, each as `name: what there is to say`.
    pub marks: Vec<(f64, f64, String)>,
}

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Its name, if it is to be told from others.
    pub name: String,
    /// Its points, in order along.
    pub points: Vec<(f64, f64)>,
    /// Its dashes.
    pub dash: Dash,
}

impl Graph {
    /// The graph as a picture; its scale takes in zero.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let values = self.curves.iter().flat_map(|curve| &curve.points);
        let values = values
            .map(|(_, up)| *up)
            .chain(self.marks.iter().map(|it| it.1));
        let (low, high) = values.fold((0.0, 0.0), |(low, high): (f64, f64), up| {
            (low.min(up), high.max(up))
        });
        let scale = Scale {
            range: self.range,
            low,
            high: high.max(low + LEAST_HEIGHT),
        };
        let mut picture = Picture::new(&self.title);
        self.grid(&mut picture, &scale);
        for (place, curve) in self.curves.iter().enumerate() {
            curve.draw(&mut picture, &scale, place);
        }
        let named = self.curves.iter().rposition(|it| !it.name.is_empty());
        let rows = named.map_or(0, |last| last + 1);
        for (place, mark) in self.marks.iter().enumerate() {
            scale.mark(&mut picture, rows + place, mark);
        }
        picture.framed(6.0)
    }

    fn grid(&self, picture: &mut Picture, scale: &Scale) {
        let thin = DRAFT.aid();
        for level in steps(scale.low, scale.high, 5.0) {
            let (from, to) = (scale.at(self.range.0, level), scale.at(self.range.1, level));
            picture.stroke(Chain::line(from, to), thin);
            let foot = Point::new(from.x - 2.0, from.y - LETTERS / 2.0);
            picture.write(words(foot, Anchor::End, decimal(level, 3)));
        }
        for place in steps(self.range.0, self.range.1, 8.0) {
            let (from, to) = (scale.at(place, scale.low), scale.at(place, scale.high));
            picture.stroke(Chain::line(from, to), thin);
            let foot = Point::new(from.x, from.y - 2.0 * LETTERS);
            picture.write(words(foot, Anchor::Middle, decimal(place, 3)));
        }
        let zero = Chain::line(scale.at(self.range.0, 0.0), scale.at(self.range.1, 0.0));
        picture.stroke(zero, DRAFT.pen(0.35, Ink::Edge, Dash::Solid));
        let below = Point::new(SIZE.0 / 2.0, -4.5 * LETTERS);
        picture.write(words(below, Anchor::Middle, self.along.clone()));
        let above = Point::new(-2.0, SIZE.1 + 3.0 * LETTERS);
        picture.write(words(above, Anchor::Start, self.up.clone()));
    }
}

impl Curve {
    /// Draws it, and its name below the plot.
    fn draw(&self, picture: &mut Picture, scale: &Scale, place: usize) {
        let points: Vec<Point> = self.points.iter().map(|(x, y)| scale.at(*x, *y)).collect();
        if points.len() < 2 {
            return;
        }
        let stroke = DRAFT.pen(0.5, Ink::Edge, self.dash);
        picture.stroke(Chain::through(&points), stroke);
        if self.name.is_empty() {
            return;
        }
        let y = legend_row(place);
        let sample = Chain::line(
            Point::new(0.0, y + LETTERS / 2.0),
            Point::new(18.0, y + LETTERS / 2.0),
        );
        picture.stroke(sample, stroke);
        picture.write(words(Point::new(20.0, y), Anchor::Start, self.name.clone()));
    }
}

/// A graph of nothing is still this high, in its own unit.
const LEAST_HEIGHT: f64 = 0.1;

/// Where values go on paper.
struct Scale {
    range: (f64, f64),
    low: f64,
    high: f64,
}

impl Scale {
    fn at(&self, along: f64, up: f64) -> Point {
        Point::new(
            SIZE.0 * (along - self.range.0) / (self.range.1 - self.range.0),
            SIZE.1 * (up - self.low) / (self.high - self.low),
        )
    }

    /// A spot with a dashed line to the foot of the plot and its name above; all its words stand in the
    /// legend, in a row of its own.
    fn mark(&self, picture: &mut Picture, place: usize, (along, up, text): &(f64, f64, String)) {
        let at = self.at(*along, *up);
        let spot = Circle {
            centre: at,
            radius: 1.2,
        };
        picture.circle(spot, Some(Ink::Mark), None);
        let foot = self.at(*along, self.low);
        picture.stroke(
            Chain::line(foot, at),
            DRAFT.pen(0.35, Ink::Mark, Dash::Dashed),
        );
        let (name, _) = text.split_once(':').unwrap_or((text, ""));
        let above = Point::new(at.x, at.y + LETTERS / 1.5);
        picture.write(words(above, Anchor::Middle, name.to_owned()));
        let row = Point::new(0.0, legend_row(place));
        picture.write(words(row, Anchor::Start, text.clone()));
    }
}

/// Height of a line of the legend below the plot.
fn legend_row(place: usize) -> f64 {
    -7.0 * LETTERS - 2.0 * LETTERS * place as f64
}

/// Round values from `low` to `high`, about `count` of them.
fn steps(low: f64, high: f64, count: f64) -> Vec<f64> {
    let step = round_step((high - low) / count);
    let (first, last) = (
        (low / step).ceil() as i64,
        (high / step * 1.000_001).floor() as i64,
    );
    (first..=last).map(|k| k as f64 * step).collect()
}

/// A step of 1, 2 or 5 times a power of ten, at least as large as `least`.
fn round_step(least: f64) -> f64 {
    let power = elementary::powf(10.0, elementary::log10(least).floor());
    let mut steps = [1.0, 2.0, 5.0, 10.0].into_iter().map(|n| n * power);
    steps
        .find(|step| *step >= least * 0.999)
        .unwrap_or(10.0 * power)
}

/// Pens and letters of a graph, which is in true size.
const DRAFT: Drafting = Drafting {
    unit: 1.0,
    thin: 0.2,
    letters: LETTERS,
};

const fn words(at: Point, anchor: Anchor, text: String) -> Words {
    DRAFT.words(at, anchor, LETTERS, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_within() {
        for (least, step) in [(0.7, 1.0), (1.0, 1.0), (3.1, 5.0), (12.0, 20.0)] {
            assert!((round_step(least) - step).abs() < 1e-9, "{least}");
        }
        assert_eq!(steps(-1.0, 4.0, 5.0), [-1.0, 0.0, 1.0, 2.0, 3.0, 4.0]);
    }
}
