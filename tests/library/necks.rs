//! The necks of random plates, against a brute force that knows the edge by points only.
//!
//! With every edge drawn in by half a width, what is left of a plate lies at least as far from every
//! point of the edge. As the width grows, this parts, or a ring of it opens, where two points are the ends
//! of a diameter of an empty circle: an edge of their Delaunay triangulation between two triangles that
//! are acute there (Edelsbrunner, Harer: Computational Topology, 2010, on alpha shapes). The tree of the
//! widest ways from triangle to triangle has all of them: a way that is left out of it opens a ring, and
//! one that joins two parts is a neck if the lesser of them is wider than the way.
//!
//! Every neck so found must be one of the program's. One of the program's may be too shallow for points
//! this far apart; then it must be what a neck is by definition, on points as fine as need be.
//!
//! The long run: `cargo test --release --test library -- --ignored necks`

use platewright::geometry::{Contour, Face, Gap, Neck, Point, Region, Segment, Unresolved};
use rayon::prelude::*;
use spade::{DelaunayTriangulation, Point2, Triangulation};

use crate::support::random_plates::{plate, recipe};

/// How far points of the edge lie apart, mm.
const PACE: f64 = 0.1;
/// Narrower than this, mm, points tell too little; wider does not matter to any table.
const TOLD: std::ops::Range<f64> = 0.8..12.0;
/// How far on either side of its ends a neck is looked at closely, mm, and on points how far apart.
const REACH: f64 = 0.2;
const CLOSE: f64 = 0.01;
/// By how much a neck may be undercut there, mm: edges may lean into it by a ten-thousandth.
const LEAN: f64 = 3e-5;

/// By how much points at the pace may err about a width, mm: they lie half a pace ahead of one another.
fn error(width: f64) -> f64 {
    2.0 * PACE * PACE / width
}

fn contours(face: &Face) -> impl Iterator<Item = &Contour> {
    std::iter::once(&face.outside).chain(&face.openings)
}

fn points(segment: &Segment, pace: f64) -> impl Iterator<Item = Point> {
    let count = (segment.length() / pace).ceil().max(1.0) as usize;
    (0..count).map(move |i| segment.point_at(i as f64 / count as f64))
}

/// The edge as chords, each to the next point of its contour.
struct Chords(Vec<(Point, Point)>);

impl Chords {
    fn of(face: &Face) -> Self {
        let mut chords = Vec::new();
        for contour in contours(face) {
            let line: Vec<Point> = contour
                .segments()
                .iter()
                .flat_map(|it| points(it, PACE))
                .collect();
            let next = line.iter().cycle().skip(1);
            chords.extend(line.iter().copied().zip(next.copied()));
        }
        Self(chords)
    }

    fn is_in_metal(&self, p: Point) -> bool {
        let crossed = self.0.iter().filter(|(a, b)| {
            let x = || a.x + (p.y - a.y) * (b.x - a.x) / (b.y - a.y);
            (a.y > p.y) != (b.y > p.y) && x() > p.x
        });
        crossed.count() % 2 == 1
    }

    /// The widths of necks that are deeper than the points err.
    fn necks(&self) -> Vec<f64> {
        let points = self.0.iter().map(|(p, _)| Point2::new(p.x, p.y));
        let mesh = DelaunayTriangulation::<Point2<f64>>::bulk_load(points.collect());
        let mesh = mesh.expect("points are numbers");
        let mut parts: Vec<Part> = Vec::new();
        for (i, face) in mesh.inner_faces().enumerate() {
            let corners = face.positions().map(|p| Point::new(p.x, p.y));
            let sum = corners
                .iter()
                .fold((0.0, 0.0), |sum, p| (sum.0 + p.x, sum.1 + p.y));
            let is_flat = face.area() < 1e-9;
            let inside = !is_flat && self.is_in_metal(Point::new(sum.0 / 3.0, sum.1 / 3.0));
            let (_, squared) = face.circumcircle();
            assert_eq!(face.fix().index(), i + 1);
            parts.push(Part {
                parent: i,
                inside,
                widest: 2.0 * squared.sqrt(),
            });
        }
        let mut ways: Vec<(f64, [usize; 2])> = Vec::new();
        for edge in mesh.undirected_edges() {
            let sides = [edge.as_directed(), edge.as_directed().rev()];
            let [Some(one), Some(other)] = sides.map(|side| side.face().as_inner()) else {
                continue;
            };
            let ends = [one, other].map(|face| face.fix().index() - 1);
            if !ends.iter().all(|&end| parts[end].inside) {
                continue;
            }
            let acute = sides.iter().all(|side| {
                let apex = side.opposite_vertex().expect("a triangle").position();
                let [a, b] = [side.from(), side.to()].map(|it| it.position());
                (a.x - apex.x) * (b.x - apex.x) + (a.y - apex.y) * (b.y - apex.y) >= 0.0
            });
            let width = if acute {
                edge.length_2().sqrt()
            } else {
                parts[ends[0]].widest.min(parts[ends[1]].widest)
            };
            ways.push((width, ends));
        }
        ways.sort_by(|a, b| b.0.total_cmp(&a.0));
        ways.retain(|&(width, [one, other])| {
            let mut ends = [one, other].map(|it| root(&mut parts, it));
            if ends[0] == ends[1] {
                return true;
            }
            ends.sort_by(|a, b| parts[*a].widest.total_cmp(&parts[*b].widest));
            let [lesser, wider] = ends;
            parts[lesser].parent = wider;
            parts[lesser].widest - width > error(width)
        });
        ways.into_iter().map(|(width, _)| width).collect()
    }

    /// What keeps something from being a neck: a circle in the metal whose ends cannot be moved along the
    /// edge to where they are nearer.
    fn objection(&self, face: &Face, neck: &Neck) -> Option<&'static str> {
        let width = neck.gap.distance;
        let middle = neck.gap.from.lerp(neck.gap.to, 0.5);
        if !self.is_in_metal(middle) {
            return Some("not in metal");
        }
        if self
            .0
            .iter()
            .any(|(p, _)| p.distance(middle) < width / 2.0 - LEAN)
        {
            return Some("an edge is in its way");
        }
        let near = |end: usize, p: Point| -> Vec<Point> {
            let contour = neck.between[end].map_or(&face.outside, |i| &face.openings[i]);
            let here = contour
                .segments()
                .iter()
                .filter(|it| it.gap_to_point(p).distance < 1e-6);
            let close = here
                .flat_map(|it| points(it, CLOSE))
                .filter(|q| q.distance(p) < REACH);
            close.collect()
        };
        let (here, there) = (near(0, neck.gap.from), near(1, neck.gap.to));
        let nearer = |p: &Point| there.iter().any(|q| p.distance(*q) < width - LEAN);
        here.iter().any(nearer).then_some("its ends come nearer")
    }
}

/// A triangle, and what it is joined to.
struct Part {
    parent: usize,
    inside: bool,
    /// The widest circle in what it is joined to, mm across.
    widest: f64,
}

fn root(parts: &mut [Part], mut i: usize) -> usize {
    while parts[i].parent != i {
        parts[i].parent = parts[parts[i].parent].parent;
        i = parts[i].parent;
    }
    i
}

/// What is wrong with the necks of a plate.
fn unlike(seed: u64) -> Vec<String> {
    let Ok(made) = plate(&recipe(seed)) else {
        return Vec::new();
    };
    let face = &made.face;
    let chords = Chords::of(face);
    let told = face.necks(TOLD.end);
    let mut wrong = Vec::new();
    for width in chords.necks() {
        let same = |neck: &Neck| (neck.gap.distance - width).abs() <= error(width) + 0.004;
        let sure = TOLD.start + error(TOLD.start)..TOLD.end - error(TOLD.end);
        if sure.contains(&width) && !told.iter().any(same) {
            wrong.push(format!("seed {seed}: a neck of {width} mm is missed"));
        }
    }
    for neck in told.iter().filter(|it| TOLD.contains(&it.gap.distance)) {
        if let Some(why) = chords.objection(face, neck) {
            wrong.push(format!("seed {seed}: {neck:?} is none, {why}"));
        }
    }
    wrong
}

fn all_alike(seeds: std::ops::Range<u64>) {
    let wrong: Vec<String> = seeds.into_par_iter().flat_map_iter(unlike).collect();
    assert!(wrong.is_empty(), "{} wrong: {wrong:#?}", wrong.len());
}

#[test]
fn necks_are_those_of_a_brute_force() {
    all_alike(0..25);
}

#[test]
#[ignore = "long: 2,000 plates"]
fn necks_of_two_thousand_plates_are_those_of_a_brute_force() {
    all_alike(1_000..3_000);
}

fn face(made: Result<Region, Unresolved>) -> Face {
    made.expect("it is resolved").faces.remove(0)
}

fn disc(x: f64, diameter: f64) -> Region {
    Contour::circle(Point::new(x, 0.0), diameter / 2.0).into()
}

#[test]
fn the_brute_force_knows_a_neck_and_the_middle_of_a_lens() {
    // Two discs hang by their common chord, 2 √(25² - 24²) mm.
    let hourglass = face(disc(0.0, 50.0).union(&disc(48.0, 50.0)));
    let [width] = Chords::of(&hourglass).necks()[..] else {
        panic!("one neck");
    };
    assert!((width - 14.0).abs() < error(14.0) + 0.004, "{width}");
    // An even ring is one neck; a lens is none, though its edges lie level in the middle.
    let ring = face(disc(0.0, 50.0).difference(&disc(0.0, 40.0)));
    assert_eq!(Chords::of(&ring).necks().len(), 1);
    let lens = face(disc(0.0, 50.0).intersection(&disc(40.0, 50.0)));
    let chords = Chords::of(&lens);
    assert!(chords.necks().is_empty());
    let across = |gap: Gap| Neck {
        gap,
        between: [None, None],
    };
    let middle = Gap::between(Point::new(15.0, 0.0), Point::new(25.0, 0.0));
    assert_eq!(
        chords.objection(&lens, &across(middle)),
        Some("its ends come nearer")
    );
}
