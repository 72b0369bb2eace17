//! Random shapes with the contacts that plates are full of: shared centres, tangencies, coincident
//! edges, exact overlaps, places on a grid.

use platewright::geometry::{Circle, Contour, Face, Point, Pose, Region, Segment, Turning, Vector};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

/// A source of shapes that remembers what it made, so that the next can touch it.
#[derive(Clone)]
pub struct Maker {
    pub random: Pcg64Mcg,
    /// Size of a random error on every coordinate, mm; 0 for exact contacts.
    pub jitter: f64,
    discs: Vec<Circle>,
    made: Vec<Region>,
}

/// A region of one contour.
pub fn solid(outside: Contour) -> Region {
    Region {
        faces: vec![Face {
            outside,
            openings: Vec::new(),
        }],
    }
}

/// The hull of two discs, counter-clockwise; the larger disc if it holds the other.
pub fn bar(a: Circle, b: Circle) -> Region {
    let (a, b) = if a.radius >= b.radius { (a, b) } else { (b, a) };
    let apart = b.centre - a.centre;
    let distance = apart.length();
    if distance <= a.radius - b.radius + 1e-9 {
        return solid(Contour::circle(a.centre, a.radius));
    }
    let lean = ((a.radius - b.radius) / distance).acos();
    let heading = apart.angle();
    let at = |circle: Circle, angle: f64| circle.centre.polar(circle.radius, angle);
    let arc = |circle: Circle, from: f64, to: f64| Segment::Arc {
        start: at(circle, from),
        end: at(circle, to),
        centre: circle.centre,
        radius: circle.radius,
        turning: Turning::Left,
    };
    let (left, right) = (heading + lean, heading - lean);
    let line = |start, end| Segment::Line { start, end };
    let round = std::f64::consts::TAU;
    let middle = heading + std::f64::consts::PI;
    let segments = vec![
        arc(b, right, left),
        line(at(b, left), at(a, left)),
        arc(a, left, middle),
        arc(a, middle, right + round),
        line(at(a, right), at(b, right)),
    ];
    solid(Contour::new(segments).expect("a hull closes"))
}

/// A rectangle about the origin with rounded corners.
pub fn rounded_rectangle(width: f64, height: f64, corner: f64) -> Region {
    let (x, y) = (width / 2.0, height / 2.0);
    if corner <= 0.0 {
        let corners = [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(x, y)| Point::new(x, y));
        return solid(Contour::polygon(&corners).expect("a rectangle"));
    }
    let quarter = std::f64::consts::FRAC_PI_2;
    let centres = [(x, -y), (x, y), (-x, y), (-x, -y)]
        .map(|(x, y): (f64, f64)| Point::new(x - corner * x.signum(), y - corner * y.signum()));
    let mut segments = Vec::new();
    for (i, centre) in centres.into_iter().enumerate() {
        let from = quarter * (i as f64 - 1.0);
        let (start, end) = (
            centre.polar(corner, from),
            centre.polar(corner, from + quarter),
        );
        segments.push(Segment::Arc {
            start,
            end,
            centre,
            radius: corner,
            turning: Turning::Left,
        });
        let next = centres[(i + 1) % 4].polar(corner, from + quarter);
        if end.distance(next) > 1e-9 {
            segments.push(Segment::Line {
                start: end,
                end: next,
            });
        }
    }
    // Chains are closed exactly: each piece starts where the one before it ended.
    solid(Contour::new(segments).expect("a rounded rectangle closes"))
}

impl Maker {
    pub fn new(random: Pcg64Mcg, jitter: f64) -> Self {
        Self {
            random,
            jitter,
            discs: Vec::new(),
            made: Vec::new(),
        }
    }

    pub fn pick<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.random.random_range(0..choices.len())]
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.random.random_bool(share)
    }

    fn off(&mut self) -> f64 {
        if self.jitter == 0.0 {
            0.0
        } else {
            self.random.random_range(-self.jitter..=self.jitter)
        }
    }

    fn place(&mut self) -> Point {
        let known = self.discs.len();
        let p = if known > 0 && self.chance(0.4) {
            let i = self.random.random_range(0..known);
            self.discs[i].centre
        } else {
            let steps = 10;
            let x = self.random.random_range(-steps..=steps);
            let y = self.random.random_range(-steps..=steps);
            Point::new(f64::from(x) * 5.0, f64::from(y) * 5.0)
        };
        Point::new(p.x + self.off(), p.y + self.off())
    }

    /// A disc on the grid, about a known centre, or tangent to a known disc.
    pub fn circle(&mut self) -> Circle {
        let centre = self.place();
        let mut radius = self.pick(&[2.5, 5.0, 7.5, 10.0, 12.5, 15.0, 20.0, 25.0]);
        if !self.discs.is_empty() && self.chance(0.4) {
            let other = self.discs[self.random.random_range(0..self.discs.len())];
            let apart = centre.distance(other.centre);
            let tangent = if self.chance(0.5) {
                (apart - other.radius).abs()
            } else {
                apart + other.radius
            };
            if (1.0..=45.0).contains(&tangent) {
                radius = tangent;
            }
        }
        let circle = Circle {
            centre,
            radius: radius + self.off(),
        };
        self.discs.push(circle);
        circle
    }

    /// The next shape.
    pub fn shape(&mut self) -> Region {
        let made = self.made.len();
        let shape = match self.random.random_range(0..10) {
            0 if made > 0 => self.made[self.random.random_range(0..made)].clone(),
            0..=3 => {
                let circle = self.circle();
                solid(Contour::circle(circle.centre, circle.radius))
            }
            4 | 5 => {
                let (a, b) = (self.circle(), self.circle());
                bar(a, b)
            }
            6 | 7 => {
                let a = self.circle();
                let centre = self.place();
                bar(a, Circle { centre, ..a })
            }
            _ => {
                let width = self.pick(&[10.0, 20.0, 30.0, 40.0, 60.0]) + self.off();
                let height = self.pick(&[5.0, 10.0, 20.0, 40.0]) + self.off();
                let corner = f64::min(self.pick(&[0.0, 0.0, 2.5, 5.0]), height / 2.0);
                let turn = self.pick(&[0.0, 0.0, 0.0, 90.0, 45.0, 30.0, 53.130_102_354_155_98]);
                let to = self.place();
                let pose = Pose::new(f64::to_radians(turn), Vector::new(to.x, to.y));
                rounded_rectangle(width, height, corner).posed(&pose)
            }
        };
        self.made.push(shape.clone());
        shape
    }
}
