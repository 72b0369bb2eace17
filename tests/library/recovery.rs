//! Plates drawn in short lines and curves, as other programs write them, are read as the lines, arcs and
//! circles that they were: our families at random, written anew here in four ways.
//!
//! The long run: `cargo test --release --test library -- --ignored recovery`

use std::f64::consts::{FRAC_PI_2, TAU};
use std::fmt::Write as _;

use approx::assert_abs_diff_eq;
use platewright::geometry::{Contour, Point, Pose, Region, Segment, Vector};
use platewright::plate::drawing::{Outlines, ReadingRules, UnitRule, outlines_in};
use platewright::plate::plates;
use platewright::recipe::words::DrawingUnit;
use platewright::recipe::{Part, Shelf, evaluate};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use crate::support::family_sets::{at_random, every_family, whole};

/// How another program writes an arc.
#[derive(Debug, Clone, Copy)]
enum Way {
    /// Lines of a DXF, each by itself, their ends rounded to a millionth.
    DxfLines { chord: f64 },
    /// A path of an SVG, rounded to a tenth of a thousandth.
    SvgPath { chord: f64 },
    /// Cubic Bézier curves of at most a quarter turn, with the usual control points.
    SvgCurves,
    /// Rational quadratic splines of at most a quarter turn, which are exact.
    DxfSplines,
}

/// Equal parts of an arc whose chords stand at most so far off it, with its ends.
fn chords(arc: &Segment, off: f64) -> Vec<Point> {
    let Segment::Arc { radius, .. } = *arc else {
        return vec![arc.start(), arc.end()];
    };
    let widest = 2.0 * (1.0 - off / radius).clamp(-1.0, 1.0).acos();
    in_parts(arc, (arc.sweep().abs() / widest).ceil().max(1.0))
}

fn quarters(arc: &Segment) -> Vec<Point> {
    in_parts(arc, (arc.sweep().abs() / FRAC_PI_2 - 1e-9).ceil().max(1.0))
}

fn in_parts(arc: &Segment, count: f64) -> Vec<Point> {
    let count = count as u32;
    let at = |k: u32| arc.point_at(f64::from(k) / f64::from(count));
    let inner = (1..count).map(at);
    std::iter::once(arc.start())
        .chain(inner)
        .chain([arc.end()])
        .collect()
}

/// The control point between two ends of a part of an arc where its tangents meet, and the cosine of half
/// the angle between them.
fn control(arc: &Segment, a: Point, b: Point) -> Option<(Point, f64)> {
    let Segment::Arc { centre, radius, .. } = *arc else {
        return None;
    };
    let half = (b - a).length() / 2.0 / radius;
    let cosine = (1.0 - half * half).sqrt();
    let out = (a.lerp(b, 0.5) - centre) * (1.0 / (cosine * cosine));
    Some((centre + out, cosine))
}

impl Way {
    fn written(self, contours: &[&Contour]) -> String {
        let mut body = String::new();
        for contour in contours {
            let first = contour.segments()[0].start();
            if matches!(self, Self::SvgPath { .. } | Self::SvgCurves) {
                write!(body, "<path d=\"M{:.4} {:.4}", first.x, -first.y).expect("written");
            }
            for segment in contour.segments() {
                self.write(segment, &mut body);
            }
            if matches!(self, Self::SvgPath { .. } | Self::SvgCurves) {
                body.push_str("Z\"/>\n");
            }
        }
        match self {
            Self::SvgPath { .. } | Self::SvgCurves => format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1000mm\" height=\"1000mm\" \
                 viewBox=\"0 0 1000 1000\">{body}</svg>"
            ),
            Self::DxfLines { .. } | Self::DxfSplines => {
                format!("0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n")
            }
        }
    }

    /// The arcs of a region that are drawn in fewer chords than five, and in how many: whoever reads them cannot
    /// tell them from corners that were cut off.
    fn coarse(self, drawn: &Region) -> Vec<(Segment, usize)> {
        let (Self::DxfLines { chord } | Self::SvgPath { chord }) = self else {
            return Vec::new();
        };
        let all = contours(drawn).into_iter();
        let all = all.filter(|it| it.as_circle().is_none());
        let arcs = all.flat_map(Contour::segments);
        let arcs = arcs.filter(|it| matches!(it, Segment::Arc { .. }));
        arcs.map(|it| (*it, chords(it, chord).len() - 1))
            .filter(|(_, parts)| *parts < 5)
            .collect()
    }

    /// The area between such arcs and their chords.
    fn lost(self, drawn: &Region) -> f64 {
        let coarse = self.coarse(drawn).into_iter();
        let between = coarse.map(|(arc, parts)| match arc {
            Segment::Arc { radius, .. } => {
                let sweep = arc.sweep().abs() / parts as f64;
                parts as f64 * radius * radius / 2.0 * (sweep - sweep.sin())
            }
            Segment::Line { .. } => 0.0,
        });
        between.sum()
    }

    /// How many lines and arcs are to be found of those that are drawn.
    fn wanted(self, drawn: &Region) -> usize {
        let coarse = self.coarse(drawn).into_iter();
        count(drawn) + coarse.map(|(_, parts)| parts - 1).sum::<usize>()
    }

    fn write(self, segment: &Segment, body: &mut String) {
        let done = "written";
        match self {
            Self::DxfLines { chord } => {
                for [a, b] in pairs(&chords(segment, chord)) {
                    line(body, a, b);
                }
            }
            Self::SvgPath { chord } => {
                for [_, p] in pairs(&chords(segment, chord)) {
                    write!(body, "L{:.4} {:.4}", p.x, -p.y).expect(done);
                }
            }
            Self::SvgCurves => {
                for [a, b] in pairs(&quarters(segment)) {
                    let Some((control, cosine)) = control(segment, a, b) else {
                        write!(body, "L{:.4} {:.4}", b.x, -b.y).expect(done);
                        continue;
                    };
                    // 4/3 tan(sweep/4) of the radius along each tangent, which is this share of the way.
                    let half = cosine.acos();
                    let share = 4.0 / 3.0 * (half / 2.0).tan() / half.tan();
                    let (p, q) = (a.lerp(control, share), b.lerp(control, share));
                    let all = [p, q, b].map(|it| format!("{:.4} {:.4}", it.x, -it.y));
                    write!(body, "C{}", all.join(" ")).expect(done);
                }
            }
            Self::DxfSplines => {
                for [a, b] in pairs(&quarters(segment)) {
                    let Some((control, cosine)) = control(segment, a, b) else {
                        line(body, a, b);
                        continue;
                    };
                    body.push_str("0\nSPLINE\n8\n0\n70\n4\n71\n2\n72\n6\n73\n3\n");
                    body.push_str("40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n");
                    write!(body, "41\n1\n41\n{cosine}\n41\n1\n").expect(done);
                    for p in [a, control, b] {
                        write!(body, "10\n{}\n20\n{}\n30\n0\n", p.x, p.y).expect(done);
                    }
                }
            }
        }
    }
}

fn pairs(points: &[Point]) -> impl Iterator<Item = [Point; 2]> {
    points.windows(2).map(|it| [it[0], it[1]])
}

fn line(body: &mut String, a: Point, b: Point) {
    let (x, y, u, v) = (a.x, a.y, b.x, b.y);
    write!(
        body,
        "0\nLINE\n8\n0\n10\n{x:.6}\n20\n{y:.6}\n11\n{u:.6}\n21\n{v:.6}\n"
    )
    .expect("written");
}

/// A plate of one of our families at random, somewhere on its sheet.
fn at_random_on_a_sheet(random: &mut Pcg64Mcg) -> Option<Region> {
    let families = every_family();
    let family = &families[random.random_range(0..families.len())];
    let shelf = Shelf::built_in().family(family).expect("built in");
    let text = whole(&shelf);
    let mut part = Part::plain(shelf);
    for (name, block) in text["dimension"].as_table().expect("a table") {
        if random.random_bool(0.15) {
            let setting = at_random(name, block.as_table().expect("a table"), random);
            part.set(&setting).ok()?;
        }
    }
    evaluate(&part).ok()?;
    let made = plates(&part).ok()?;
    let plate = &made.plates[random.random_range(0..made.plates.len())];
    let turn = random.random_range(0.0..TAU);
    let shift = [(); 2].map(|()| random.random_range(-400.0..400.0));
    let pose = Pose::new(turn, Vector::new(shift[0], shift[1]));
    let region = Region {
        faces: vec![plate.face.clone()],
    };
    Some(region.posed(&pose))
}

fn contours(region: &Region) -> Vec<&Contour> {
    let faces = region.faces.iter();
    faces
        .flat_map(|it| std::iter::once(&it.outside).chain(&it.openings))
        .collect()
}

fn count(region: &Region) -> usize {
    let all = contours(region);
    let entities = all
        .iter()
        .map(|it| it.as_circle().map_or(it.segments().len(), |_| 1));
    entities.sum()
}

/// Places where a contour turns by more than 30° at once.
fn corners(region: &Region) -> impl Iterator<Item = Point> + use<'_> {
    let all = contours(region).into_iter();
    all.flat_map(|contour| {
        let pieces = contour.segments();
        (0..pieces.len()).filter_map(move |at| {
            let before = &pieces[(at + pieces.len() - 1) % pieces.len()];
            let (a, b) = (before.direction_at(1.0), pieces[at].direction_at(0.0));
            (a.cross(b).atan2(a.dot(b)).abs() > 0.52).then(|| pieces[at].start())
        })
    })
}

fn read(text: &str) -> Result<Outlines, String> {
    let rules = ReadingRules {
        unit: UnitRule::Is(DrawingUnit::Millimetres),
        ..ReadingRules::default()
    };
    outlines_in(text.as_bytes(), &rules).map_err(|why| why.to_string())
}

/// What is wrong with a plate as it is read again.
fn wrong(drawn: &Region, way: Way) -> Option<String> {
    let text = way.written(&contours(drawn));
    let found = match read(&text) {
        Ok(found) => found.region,
        Err(why) => return Some(why),
    };
    let off = ((found.area() - drawn.area()).abs() - way.lost(drawn)) / drawn.area();
    if off > 1e-4 {
        let (has, had) = (count(&found), count(drawn));
        return Some(format!(
            "the area is off by {off:.6}; {has} lines and arcs, drawn were {had}"
        ));
    }
    let circles = |region: &Region| -> Vec<_> {
        contours(region)
            .iter()
            .filter_map(|it| it.as_circle())
            .collect()
    };
    let there = circles(&found);
    for circle in circles(drawn) {
        let is_there = there.iter().any(|it| {
            it.centre.distance(circle.centre) < 0.01 && (it.radius - circle.radius).abs() < 0.01
        });
        if !is_there {
            return Some(format!("no circle at {circle:?}"));
        }
    }
    let all = contours(&found);
    let ends = || all.iter().flat_map(|it| it.segments()).map(Segment::start);
    for corner in corners(drawn) {
        if !ends().any(|it| it.distance(corner) < 1e-3) {
            return Some(format!("the corner at {corner:?} is gone"));
        }
    }
    let (has, had) = (count(&found), way.wanted(drawn));
    (has as f64 > 1.2 * had as f64).then(|| format!("{has} lines and arcs, drawn were {had}"))
}

fn faults(seeds: std::ops::Range<u64>) -> (usize, Vec<String>) {
    let each = seeds.into_par_iter().filter_map(|seed| {
        let mut random = Pcg64Mcg::seed_from_u64(seed);
        let drawn = at_random_on_a_sheet(&mut random)?;
        // Chords that make a hexagon of a hole, or fewer sides, cannot be told from one.
        let all = contours(&drawn);
        let circles = all.iter().filter_map(|it| it.as_circle());
        let least = circles.map(|it| it.radius).fold(f64::INFINITY, f64::min);
        let chord = 10.0_f64
            .powf(random.random_range(-2.0..-0.301))
            .min(0.13 * least);
        let way = match random.random_range(0..4) {
            0 => Way::DxfLines { chord },
            1 => Way::SvgPath { chord },
            2 => Way::SvgCurves,
            _ => Way::DxfSplines,
        };
        Some(wrong(&drawn, way).map(|why| format!("seed {seed}, {way:?}: {why}")))
    });
    let all: Vec<Option<String>> = each.collect();
    (all.len(), all.into_iter().flatten().collect())
}

#[test]
fn plates_in_short_pieces_are_what_they_were() {
    let (tried, faults) = faults(0..120);
    assert!(tried > 60, "{tried}");
    assert!(
        faults.is_empty(),
        "{} of {tried}: {faults:#?}",
        faults.len()
    );
}

#[test]
#[ignore = "long: 1,000 plates"]
fn recovery_of_a_thousand_plates() {
    let (tried, faults) = faults(1000..3000);
    assert!(tried >= 1000, "{tried}");
    assert!(
        faults.is_empty(),
        "{} of {tried}: {faults:#?}",
        faults.len()
    );
}

/// A regular hexagon, an octagon of 20 mm across its corners with 0.76 mm under each side, a square with 2 mm
/// chamfers, and a hand-drawn outline are what they are.
#[test]
fn polygons_stay_polygons() {
    let regular = |count: u32, radius: f64| -> Vec<Point> {
        let at = |k| Point::ORIGIN.polar(radius, TAU * f64::from(k) / f64::from(count));
        (0..count).map(at).collect()
    };
    let p = |x: f64, y: f64| Point::new(x, y);
    let chamfered = vec![
        p(2.0, 0.0),
        p(28.0, 0.0),
        p(30.0, 2.0),
        p(30.0, 28.0),
        p(28.0, 30.0),
        p(2.0, 30.0),
        p(0.0, 28.0),
        p(0.0, 2.0),
    ];
    let by_hand = vec![
        p(0.0, 0.0),
        p(40.0, -3.0),
        p(52.0, 6.0),
        p(55.0, 20.0),
        p(38.0, 31.0),
        p(6.0, 26.0),
    ];
    for corners in [regular(6, 4.0), regular(8, 10.0), chamfered, by_hand] {
        let contour = Contour::polygon(&corners).expect("closed");
        let text = Way::DxfLines { chord: 1.0 }.written(&[&contour]);
        let found = read(&text).expect("read");
        assert!(found.findings.is_empty(), "{:?}", found.findings);
        assert_eq!(count(&found.region), corners.len());
        assert_abs_diff_eq!(found.region.area(), contour.signed_area(), epsilon = 1e-3);
    }
}
