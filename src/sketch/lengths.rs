//! What grows by as much as a length: diameters, radii, pitch circles, distances.

use std::f64::consts::{PI, TAU};

use super::features::{Pair, Pairs, Round, Straight};
use super::{ALIKE, Reading, Station, Wanted};
use crate::geometry::{Circle, Point, Tolerance, Vector};

/// The best place to read a length off, and what it costs.
pub(super) fn found(wanted: &Wanted, pairs: &Pairs) -> Option<(f64, Reading)> {
    let wanted = &Wanted {
        value: wanted.value.abs(),
        by: if wanted.value < 0.0 {
            -wanted.by
        } else {
            wanted.by
        },
    };
    let mut best = Best {
        wanted,
        found: None,
    };
    circles(&mut best, &pairs.rounds);
    pitches(&mut best, &pairs.patterns);
    gaps(&mut best, pairs);
    distances(&mut best, pairs);
    best.found
}

/// The cheapest so far.
struct Best<'a> {
    wanted: &'a Wanted,
    found: Option<(f64, Reading)>,
}

impl Best<'_> {
    fn offer(&mut self, cost: f64, [before, after]: [f64; 2], reading: impl FnOnce() -> Reading) {
        let Some(cost) = self.wanted.cost(cost, before, after) else {
            return;
        };
        if self
            .found
            .as_ref()
            .is_none_or(|(least, _)| cost < *least - Tolerance::ROUNDING)
        {
            self.found = Some((cost, reading()));
        }
    }
}

fn circles(best: &mut Best, rounds: &[Pair<Round>]) {
    for Pair { old, new } in rounds {
        let radii = [old.circle.radius, new.circle.radius];
        let diameters = radii.map(|it| it * 2.0);
        let is_full = old.sweep > TAU - 0.01;
        let (wide, narrow) = if is_full {
            (0.2, 9.0)
        } else if old.sweep > PI - 0.02 {
            (0.6, 2.8)
        } else if old.sweep > PI / 2.0 + 0.1 {
            (1.2, 0.8)
        } else {
            (2.5, 0.8)
        };
        best.offer(wide, diameters, || match old.opening {
            Some(index) => Reading::Opening(index),
            None => Reading::Diameter(old.circle, old.spots.clone()),
        });
        best.offer(narrow, radii, || {
            Reading::Radius(old.circle, old.spots.clone())
        });
    }
}

fn pitches(best: &mut Best, patterns: &[Vec<Pair<Point>>]) {
    for holes in patterns {
        let first = &holes[0];
        let (before, after) = (out(first.old), out(first.new));
        let shared = holes
            .iter()
            .all(|it| (out(it.old) - before).abs() < ALIKE && (out(it.new) - after).abs() < ALIKE);
        if shared && before > ALIKE {
            best.offer(0.5, [before * 2.0, after * 2.0], || {
                Reading::Pitch(Circle {
                    centre: Point::ORIGIN,
                    radius: before,
                })
            });
        }
    }
}

fn out(p: Point) -> f64 {
    (p - Point::ORIGIN).length()
}

/// Between circles about one middle, how deep one goes into another, and from a circle to a line.
fn gaps(best: &mut Best, pairs: &Pairs) {
    let rounds = &pairs.rounds;
    for (index, a) in rounds.iter().enumerate() {
        for b in &rounds[index + 1..] {
            let (big, small) = if a.old.circle.radius > b.old.circle.radius {
                (a, b)
            } else {
                (b, a)
            };
            let apart =
                |big: &Round, small: &Round| big.circle.centre.distance(small.circle.centre);
            let off = [apart(&big.old, &small.old), apart(&big.new, &small.new)];
            let large = [big.old.circle.radius, big.new.circle.radius];
            let little = [small.old.circle.radius, small.new.circle.radius];
            let centre = big.old.circle.centre;
            if off[0] < ALIKE {
                let rings = [large[0] - little[0], large[1] - little[1]];
                best.offer(1.6, rings, || {
                    let spot = small.old.spots.first().copied().unwrap_or(centre);
                    let along = (spot - centre).unit().unwrap_or_default();
                    points(spot, centre + along * large[0])
                });
                continue;
            }
            let Some(along) = (small.old.circle.centre - centre).unit() else {
                continue;
            };
            let depths = [0, 1].map(|k| large[k] + little[k] - off[k]);
            if depths[0] > 0.0 {
                best.offer(2.0, depths, || {
                    points(
                        centre + along * (off[0] - little[0]),
                        centre + along * large[0],
                    )
                });
            }
        }
        for line in pairs.lines.iter().filter(|it| it.old.is_edge) {
            let foot = line.old.foot(a.old.circle.centre);
            let reach = |line: &Straight, round: &Round| {
                line.foot(round.circle.centre).distance(round.circle.centre) - round.circle.radius
            };
            let beyond = [reach(&line.old, &a.old), reach(&line.new, &a.new)];
            if let Some(along) = (foot - a.old.circle.centre).unit()
                && beyond[0] > 0.0
                && line.old.spans(foot)
            {
                best.offer(2.2, beyond, || {
                    points(a.old.circle.centre + along * a.old.circle.radius, foot)
                });
            }
        }
    }
}

/// From one point to another.
fn points(from: Point, to: Point) -> Reading {
    Reading::Length {
        along: (to - from).unit().unwrap_or_default(),
        from: Station::at(from),
        to: Station::at(to),
    }
}

/// Between lines, and between spots, lines and the recipe's own zero.
fn distances(best: &mut Best, pairs: &Pairs) {
    let axes = [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)];
    for (index, a) in pairs.lines.iter().enumerate() {
        let Some(normal) = (a.old.to - a.old.from).unit().map(Vector::left) else {
            continue;
        };
        let shown = if a.old.is_edge { 0.0 } else { 0.3 };
        for b in &pairs.lines[index + 1..] {
            if !b.old.is_square_to(normal) {
                continue;
            }
            let between = |a: &Straight, b: &Straight| (b.from - a.from).dot(normal).abs();
            let far = a.old.apart(&b.old, normal.left()) / 1000.0;
            let cost = 1.0 + far + shown + if b.old.is_edge { 0.0 } else { 0.3 };
            best.offer(
                cost,
                [between(&a.old, &b.old), between(&a.new, &b.new)],
                || Reading::Length {
                    along: normal,
                    from: a.old.station(),
                    to: b.old.station(),
                },
            );
        }
        for b in &pairs.spots {
            let off = |line: &Straight, p: Point| (p - line.from).dot(normal).abs();
            let station = Straight {
                from: b.old,
                to: b.old,
                is_edge: true,
            };
            let far = a.old.apart(&station, normal.left()) / 1000.0;
            best.offer(
                1.2 + far + shown,
                [off(&a.old, b.old), off(&a.new, b.new)],
                || Reading::Length {
                    along: normal,
                    from: a.old.station(),
                    to: Station::at(b.old),
                },
            );
        }
        for axis in axes.into_iter().filter(|it| a.old.is_square_to(*it)) {
            let from_zero = |line: &Straight| (line.from - Point::ORIGIN).dot(axis).abs();
            best.offer(3.0 + shown, [from_zero(&a.old), from_zero(&a.new)], || {
                Reading::Length {
                    along: axis,
                    from: Station::at(Point::ORIGIN),
                    to: a.old.station(),
                }
            });
        }
    }
    for (index, a) in pairs.spots.iter().enumerate() {
        for b in &pairs.spots[index + 1..] {
            let (before, after) = (b.old - a.old, b.new - a.new);
            let ends = |along: Vector| Reading::Length {
                along,
                from: Station::at(a.old),
                to: Station::at(b.old),
            };
            best.offer(1.1, [before.length(), after.length()], || {
                ends(before.unit().unwrap_or_default())
            });
            for axis in axes {
                let far = before.dot(axis.left()).abs() / 1000.0;
                let along = [before, after].map(|it| it.dot(axis).abs());
                best.offer(1.4 + far, along, || ends(axis));
            }
        }
        for axis in axes {
            let from_zero = |p: Point| (p - Point::ORIGIN).dot(axis).abs();
            best.offer(3.0, [from_zero(a.old), from_zero(a.new)], || {
                Reading::Length {
                    along: axis,
                    from: Station::at(Point::ORIGIN),
                    to: Station::at(a.old),
                }
            });
        }
    }
}

impl Straight {
    const fn station(&self) -> Station {
        Station {
            from: self.from,
            to: self.to,
        }
    }

    fn is_square_to(&self, along: Vector) -> bool {
        (self.to - self.from).dot(along).abs() < Tolerance::SAME * (self.to - self.from).length()
    }

    /// The place on its line nearest to a point.
    fn foot(&self, p: Point) -> Point {
        let along = (self.to - self.from).unit().unwrap_or_default();
        self.from + along * (p - self.from).dot(along)
    }

    /// Whether a place on its line lies between its ends.
    fn spans(&self, p: Point) -> bool {
        (p - self.from).dot(p - self.to) <= 0.0
    }

    /// How far apart two stretches are along a direction; 0 where they are side by side.
    fn apart(&self, other: &Self, along: Vector) -> f64 {
        let reach = |it: &Self| {
            let ends = [it.from, it.to].map(|p| (p - Point::ORIGIN).dot(along));
            (ends[0].min(ends[1]), ends[0].max(ends[1]))
        };
        let ((low, high), (least, most)) = (reach(self), reach(other));
        (least - high).max(low - most).max(0.0)
    }
}
