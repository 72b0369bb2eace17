//! Clocking a second pattern, against brute force that knows nothing of it.

use std::f64::consts::TAU;

use platewright::geometry::{Contour, Face, Point};
use platewright::redrill::{Existing, Pattern, Site, clockings, webs};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// A hundredth of a degree.
const GRID: f64 = TAU / 36_000.0;
/// What rounding may cost, mm.
const ROUNDING: f64 = 1e-9;

/// A round plate with round holes: centre and radius each.
struct Round {
    outside: (Point, f64),
    holes: Vec<(Point, f64)>,
}

impl Round {
    fn random(random: &mut Pcg64) -> Self {
        let circle = random.random_range(60.0..200.0);
        let count = random.random_range(2..=8_u32);
        let start = random.random_range(0.0..TAU);
        let about = match random.random_range(0..3) {
            0 => Point::new(
                random.random_range(-6.0..6.0),
                random.random_range(-6.0..6.0),
            ),
            _ => Point::ORIGIN,
        };
        let radius = random.random_range(3.0..9.0);
        let mut holes: Vec<(Point, f64)> = (0..count)
            .map(|k| start + f64::from(k) * TAU / f64::from(count))
            .map(|angle| (about.polar(circle / 2.0, angle), radius))
            .collect();
        // Sometimes a few more anywhere, of other sizes.
        for _ in 0..random.random_range(0..3) {
            let at = Point::ORIGIN.polar(
                random.random_range(25.0..110.0),
                random.random_range(0.0..TAU),
            );
            holes.push((at, random.random_range(2.0..14.0)));
        }
        let off = match random.random_range(0..3) {
            0 => Point::new(random.random_range(-5.0..5.0), 0.0),
            _ => Point::ORIGIN,
        };
        Self {
            outside: (off, 135.0),
            holes,
        }
    }

    fn site(&self) -> Site {
        let hole = |(at, radius): &(Point, f64)| Contour::circle(*at, *radius).reversed();
        let face = Face {
            outside: Contour::circle(self.outside.0, self.outside.1),
            openings: self.holes.iter().map(hole).collect(),
        };
        let existing = self.holes.iter().map(|_| Existing::unknown("hole"));
        Site::new(face, existing.collect(), 10.0, Point::ORIGIN)
    }

    /// The least web that a clocking leaves, but for edges about the pattern's own centre.
    fn web(&self, pattern: &Pattern, angle: f64) -> f64 {
        let at = |k: u32| {
            Point::ORIGIN.polar(pattern.circle / 2.0, angle + f64::from(k) * pattern.pace())
        };
        let of = |p: Point| {
            let holes = self
                .holes
                .iter()
                .map(|(at, radius)| p.distance(*at) - radius);
            let (centre, radius) = self.outside;
            let rim = (centre != Point::ORIGIN).then(|| radius - p.distance(centre));
            holes.chain(rim).fold(f64::INFINITY, f64::min)
        };
        (0..pattern.count)
            .map(at)
            .map(of)
            .fold(f64::INFINITY, f64::min)
            - pattern.hole / 2.0
    }
}

fn pattern(random: &mut Pcg64) -> Pattern {
    Pattern {
        count: random.random_range(1..=8),
        circle: random.random_range(60.0..200.0),
        hole: random.random_range(6.0..18.0),
        thread: None,
    }
}

#[test]
fn the_best_clocking_agrees_with_brute_force_on_five_hundred_random_pairs() {
    let mut random = Pcg64::seed_from_u64(1);
    for case in 0..500 {
        let plate = Round::random(&mut random);
        let pattern = pattern(&mut random);
        let site = plate.site();
        let found = clockings(&site, &pattern).expect("round edges bar nothing");
        let best = found
            .iter()
            .max_by(|a, b| a.turning_web.total_cmp(&b.turning_web));
        let best = best.expect("random holes always matter");
        let told = plate.web(&pattern, best.angle);
        assert!(
            (told - best.turning_web).abs() < ROUNDING,
            "case {case}: {told} {best:?}"
        );
        let points = (pattern.pace() / GRID).ceil() as u32;
        let grid = (0..points).map(|k| plate.web(&pattern, f64::from(k) * GRID));
        let sampled = grid.fold(f64::NEG_INFINITY, f64::max);
        // Never worse than any point of the grid, and no better than half a step along the circle.
        let step = pattern.circle / 2.0 * GRID / 2.0;
        assert!(
            best.turning_web >= sampled - ROUNDING,
            "case {case}: {best:?}, the grid finds {sampled}"
        );
        assert!(
            best.turning_web <= sampled + step,
            "case {case}: {best:?}, the grid finds {sampled}"
        );
    }
}

/// Plates with straight edges, fillets, scallops and windows: the web is measured on their contours.
#[test]
fn the_best_clocking_agrees_with_brute_force_on_plates_of_lines_and_arcs() {
    let mut random = Pcg64::seed_from_u64(2);
    let mut tried = 0;
    for case in 0..60 {
        let half = (
            random.random_range(70.0..100.0),
            random.random_range(70.0..100.0),
        );
        let bulge = random.random_range(-0.3..0.3);
        let outline = [
            (-half.0, -half.1),
            (half.0, -half.1),
            (half.0, half.1),
            (-half.0, half.1),
        ];
        let outline = outline.map(|(x, y)| (x, y, bulge));
        let window = random.random_range(20.0..45.0);
        let slot = [
            (window, -8.0, 0.0),
            (window + 14.0, -8.0, 1.0),
            (window + 14.0, 8.0, 0.0),
            (window, 8.0, 1.0),
        ];
        let face = Face {
            outside: Contour::from_bulges(&outline).expect("an outline"),
            openings: vec![
                Contour::from_bulges(&slot).expect("a slot").reversed(),
                Contour::circle(Point::new(-30.0, 40.0), 7.0).reversed(),
            ],
        };
        let existing = vec![Existing::unknown("slot"), Existing::unknown("hole")];
        let site = Site::new(
            face,
            existing,
            8.0,
            Point::new(random.random_range(-9.0..9.0), 0.0),
        );
        let pattern = Pattern {
            circle: random.random_range(60.0..120.0),
            ..pattern(&mut random)
        };
        let Ok(found) = clockings(&site, &pattern) else {
            continue;
        };
        tried += 1;
        let least = |angle: f64| {
            let webs = webs(&site, &pattern, angle);
            webs.iter()
                .map(|web| web.width)
                .fold(f64::INFINITY, f64::min)
        };
        let best = found.first().expect("a slot always matters");
        assert!(
            (least(best.angle) - best.web).abs() < 1e-6,
            "case {case}: {best:?} measures {}",
            least(best.angle)
        );
        let points = 2000;
        let step = pattern.pace() / f64::from(points);
        let sampled = (0..points)
            .map(|k| least(f64::from(k) * step))
            .fold(f64::NEG_INFINITY, f64::max);
        assert!(
            best.web >= sampled - 1e-6,
            "case {case}: {best:?}, the grid finds {sampled}"
        );
        assert!(
            best.web <= sampled + pattern.circle / 2.0 * step,
            "case {case}: {best:?}, the grid finds {sampled}"
        );
    }
    assert!(tried > 40, "{tried}");
}
