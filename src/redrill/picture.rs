//! The web against the clocking, as a picture.
//!
//! In: a site, a pattern and its best clockings. Out: a [`Picture`] of the least metal around the new
//! holes over one pace of the pattern. The curve is drawn through points; the marked clockings are
//! exact.

use super::{Clocking, Pattern, Site, webs};
use crate::export::picture::{Anchor, Chain, Dash, Ink, Picture, Stroke, Words};
use crate::geometry::{Circle, Point, Segment};
use crate::quantity::format::{both_units, decimal, degrees};

/// Points that the curve is drawn through.
const POINTS: u32 = 720;
/// Size of the plot, mm.
const SIZE: (f64, f64) = (180.0, 90.0);
/// Height of capitals, mm.
const LETTERS: f64 = 3.0;

/// Where angle and web go on paper.
struct Plot {
    pace: f64,
    low: f64,
    high: f64,
}

/// The least web against the clocking, with the best and the second best marked.
#[must_use]
pub fn web_picture(site: &Site, pattern: &Pattern, found: &[Clocking]) -> Picture {
    let pace = pattern.pace();
    let curve: Vec<(f64, f64)> = (0..=POINTS)
        .map(|k| {
            let angle = pace * f64::from(k) / f64::from(POINTS);
            (angle, least(site, pattern, angle))
        })
        .collect();
    let low = curve.iter().fold(0.0, |low: f64, (_, web)| low.min(*web));
    let peak = found.first().map_or(0.0, |best| best.web);
    let high = curve.iter().fold(peak, |high, (_, web)| high.max(*web));
    let plot = Plot {
        pace,
        low,
        high: high.max(low + 1.0),
    };
    let mut picture = Picture::new("web left around the new holes against the clocking");
    plot.axes(&mut picture);
    let points: Vec<Point> = curve.iter().map(|(a, w)| plot.at(*a, *w)).collect();
    let lines = points.windows(2).map(|pair| Segment::Line {
        start: pair[0],
        end: pair[1],
    });
    picture.stroke(
        Chain::open(lines.collect()),
        line(0.5, Ink::Edge, Dash::Solid),
    );
    for (place, clocking) in ["best", "second"].iter().zip(found) {
        plot.mark(&mut picture, place, clocking);
    }
    picture.framed(6.0)
}

fn least(site: &Site, pattern: &Pattern, angle: f64) -> f64 {
    let webs = webs(site, pattern, angle);
    webs.iter()
        .map(|web| web.width)
        .fold(f64::INFINITY, f64::min)
}

const fn line(width: f64, ink: Ink, dash: Dash) -> Stroke {
    Stroke { width, ink, dash }
}

fn words(at: Point, anchor: Anchor, text: String) -> Words {
    Words {
        at,
        anchor,
        height: LETTERS,
        turn: 0.0,
        ink: Ink::Edge,
        text,
    }
}

impl Plot {
    fn at(&self, angle: f64, web: f64) -> Point {
        Point::new(
            SIZE.0 * angle / self.pace,
            SIZE.1 * (web - self.low) / (self.high - self.low),
        )
    }

    fn axes(&self, picture: &mut Picture) {
        let thin = line(0.25, Ink::Aid, Dash::Solid);
        let step = round_step((self.high - self.low) / 5.0);
        let mut level = (self.low / step).ceil() * step;
        while level <= self.high + step * 0.01 {
            let (from, to) = (self.at(0.0, level), self.at(self.pace, level));
            picture.stroke(Chain::line(from, to), thin);
            let foot = Point::new(from.x - 2.0, from.y - LETTERS / 2.0);
            picture.write(words(foot, Anchor::End, decimal(level, 3)));
            level += step;
        }
        let step = round_step(self.pace.to_degrees() / 6.0).to_radians();
        let mut angle = 0.0;
        while angle <= self.pace * 1.0001 {
            let (from, to) = (self.at(angle, self.low), self.at(angle, self.high));
            picture.stroke(Chain::line(from, to), thin);
            let foot = Point::new(from.x, from.y - 2.0 * LETTERS);
            picture.write(words(foot, Anchor::Middle, degrees(angle)));
            angle += step;
        }
        let below = Point::new(SIZE.0 / 2.0, -4.5 * LETTERS);
        let told = "clocking: angle of the first new hole from the plate's own +x";
        picture.write(words(below, Anchor::Middle, told.to_owned()));
        let above = Point::new(-2.0, SIZE.1 + 2.5 * LETTERS);
        picture.write(words(above, Anchor::Start, "least web, mm".to_owned()));
        if self.low < 0.0 {
            let zero = Chain::line(self.at(0.0, 0.0), self.at(self.pace, 0.0));
            picture.stroke(zero, line(0.35, Ink::Burn, Dash::Dashed));
        }
    }

    fn mark(&self, picture: &mut Picture, place: &str, clocking: &Clocking) {
        let at = self.at(clocking.angle, clocking.web);
        let spot = Circle {
            centre: at,
            radius: 1.2,
        };
        picture.circle(spot, Some(Ink::Mark), None);
        let foot = self.at(clocking.angle, self.low);
        picture.stroke(Chain::line(foot, at), line(0.35, Ink::Mark, Dash::Dashed));
        let text = format!(
            "{place}: {}, {}",
            degrees(clocking.angle),
            both_units(clocking.web)
        );
        let (anchor, x) = if at.x > SIZE.0 / 2.0 {
            (Anchor::End, at.x - 2.0)
        } else {
            (Anchor::Start, at.x + 2.0)
        };
        let y = foot.y + LETTERS * if place == "best" { 1.0 } else { 3.0 };
        picture.write(words(Point::new(x, y), anchor, text));
    }
}

/// A step of 1, 2 or 5 times a power of ten, at least as large as `least`.
pub(crate) fn round_step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|n| n * power);
    step.into_iter()
        .find(|step| *step >= least * 0.999)
        .unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        for (least, step) in [
            (0.7, 1.0),
            (1.0, 1.0),
            (3.1, 5.0),
            (12.0, 20.0),
            (72.0 / 6.0, 20.0),
        ] {
            assert!((round_step(least) - step).abs() < 1e-9, "{least}");
        }
    }
}
