//! Pictures as they come out, measured on the pixels of their PNG: lines thick enough to print, words
//! and lines that stand out from their ground, and signs that differ without colour.

use crate::support::cart;
use platewright::cut::Table;
use platewright::export::dimensioned::dimensioned;
use platewright::export::graph::{Curve, Graph};
use platewright::export::picture::{Dash, Item, Picture, THINNEST, Words};
use platewright::export::{Exporter, Png, plate_picture, sheet_picture};
use platewright::geometry::{Point, Segment, Vector};
use platewright::plate::{Scribing, plates};
use platewright::recipe::{Part, Shelf};
use platewright::trade::paper::find;
use tiny_skia::Pixmap;

/// Edges of lines are smoothed in steps of a quarter of a pixel: a line may be measured this much too
/// thin, in pixels.
const SMOOTHING: f64 = 0.26;
/// WCAG 2.2, 1.4.3: words against their ground.
const WORDS: f64 = 4.5;
/// WCAG 2.2, 1.4.11: lines against their ground.
const LINES: f64 = 3.0;
/// Least width of the printed page of A4 or Letter within margins of 12 mm, and the height that a
/// report gives a picture, mm.
const PAGE: (f64, f64) = (186.0, 235.0);

/// A picture with its pixels.
struct Seen {
    picture: Picture,
    pixels: Pixmap,
    /// Pixels of a millimetre of the picture.
    scale: f64,
    /// Pixels of a millimetre on the printed page.
    print: f64,
}

impl Seen {
    fn of(picture: Picture) -> Self {
        let bytes = Png.export(&picture).expect("a picture");
        let pixels = Pixmap::decode_png(&bytes).expect("a PNG");
        let scale = f64::from(pixels.width()) / picture.frame.width();
        let (width, height) = (picture.frame.width(), picture.frame.height());
        let printed = picture
            .enlarged
            .min(PAGE.0 / width)
            .min(PAGE.1 / height)
            .min(420.0 / width.max(height));
        // A drawing has a page of its own.
        let printed = if picture.enlarged == 1.0 {
            1.0
        } else {
            printed
        };
        Self {
            picture,
            pixels,
            scale,
            print: scale / printed,
        }
    }

    /// The least thickness that may be measured, printed mm.
    fn least(&self) -> f64 {
        THINNEST - SMOOTHING / self.print
    }

    /// Red, green and blue at a place of the picture, 0 to 1.
    fn colour(&self, p: Point) -> Option<[f64; 3]> {
        let x = (p.x - self.picture.frame.min.x) * self.scale;
        let y = (self.picture.frame.max.y - p.y) * self.scale;
        if x < 0.0 || y < 0.0 {
            return None;
        }
        let pixel = self.pixels.pixel(x as u32, y as u32)?;
        Some([pixel.red(), pixel.green(), pixel.blue()].map(|it| f64::from(it) / 255.0))
    }

    /// Relative luminance at a place (WCAG 2.2; IEC 61966-2-1 transfer).
    fn luminance(&self, p: Point) -> Option<f64> {
        let linear = |c: f64| {
            if c <= 0.040_45 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        let [r, g, b] = self.colour(p)?.map(linear);
        Some(0.2126 * r + 0.7152 * g + 0.0722 * b)
    }

    /// The cut across a line at a place: its thickness in printed mm and its contrast with the ground;
    /// `None` if there is no ink, or more than one line within `reach` printed mm.
    fn cut(&self, at: Point, across: Vector, reach: f64) -> Option<(f64, f64)> {
        let step = 0.25 / self.scale;
        let count = (reach * self.print / 0.25).ceil() as i32;
        let places: Vec<Point> = (-count..=count)
            .map(|k| at + across * (step * f64::from(k)))
            .collect();
        let greens: Vec<f64> = places
            .iter()
            .map(|p| self.colour(*p).map(|it| it[1]))
            .collect::<Option<_>>()?;
        let ground = greens[0];
        let tail = greens.len() / 5;
        let is_ground = |green: &f64| (green - ground).abs() < 0.02;
        let ends = greens[..tail].iter().chain(&greens[greens.len() - tail..]);
        if !ends.clone().all(is_ground) {
            return None;
        }
        let (ink, deepest) = greens
            .iter()
            .zip(&places)
            .max_by(|a, b| (a.0 - ground).abs().total_cmp(&(b.0 - ground).abs()))?;
        if (ink - ground).abs() < 0.1 {
            return None;
        }
        let share = |green: &f64| (green - ground) / (ink - ground);
        let thickness: f64 = greens.iter().map(share).sum::<f64>() * 0.25 / self.print;
        let (a, b) = (self.luminance(places[0])?, self.luminance(*deepest)?);
        Some((thickness, contrast(a, b)))
    }

    /// The cuts across a straight piece that meet one line alone.
    fn cuts(&self, piece: &Segment, reach: f64) -> Vec<(f64, f64)> {
        let (start, end) = (piece.start(), piece.end());
        let Some(along) = (end - start).unit() else {
            return Vec::new();
        };
        let places = (1..40).map(|k| start.lerp(end, f64::from(k) / 40.0));
        let cuts = places.filter_map(|at| self.cut(at, along.left(), reach));
        cuts.collect()
    }
}

fn contrast(a: f64, b: f64) -> f64 {
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn median(values: Vec<f64>) -> Option<f64> {
    quantile(values, 0.5)
}

fn quantile(mut values: Vec<f64>, share: f64) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get((values.len() as f64 * share) as usize).copied()
}

/// One picture of every kind.
fn pictures() -> Vec<Seen> {
    let cart = cart::plates();
    let mut pictures = vec![
        sheet_picture(&cart::sheet(&cart), &cart, &[]),
        Graph {
            title: "graph".to_owned(),
            along: "along".to_owned(),
            up: "up".to_owned(),
            range: (0.0, 72.0),
            curves: vec![Curve {
                name: "rise".to_owned(),
                points: vec![(0.0, 0.0), (40.0, 5.0), (72.0, 3.0)],
                dash: Dash::Solid,
            }],
            marks: Vec::new(),
        }
        .picture(),
    ];
    let shelf = Shelf::built_in();
    let table = Table::read(&shelf.table_text("shop-plasma").expect("built in"));
    let table = table.unwrap_or_else(|faults| panic!("{faults}"));
    for family in ["hub-adapter", "steering-arm", "flange", "steering-wheel"] {
        let part = Part::plain(shelf.family(family).expect("built in"));
        for plate in plates(&part).expect(family).plates {
            let plate = plate.scribed(Scribing::On);
            pictures.push(plate_picture(&plate, &[]));
            let paper = find("A4").expect("a size");
            pictures.push(dimensioned(&plate, "orchard cart", &table, paper));
        }
    }
    pictures.into_iter().map(Seen::of).collect()
}

#[test]
fn no_line_is_too_thin_to_print_or_too_faint_to_see() {
    for seen in pictures() {
        let title = &seen.picture.title;
        let mut measured = 0;
        for item in &seen.picture.items {
            let Item::Shape(shape) = item else { continue };
            let Some(stroke) = shape.stroke else { continue };
            // A cut at the end of a dash meets a part of it, and one beside a patch of words too.
            let (share, least) = match stroke.dash {
                Dash::Solid => (0.5, 1),
                _ => (0.9, 8),
            };
            let pieces = shape.chains.iter().flat_map(|chain| &chain.segments);
            let long = |it: &&Segment| {
                matches!(it, Segment::Line { .. }) && it.length() * seen.scale > 3.0 * seen.print
            };
            for piece in pieces.filter(long) {
                let (thick, clear): (Vec<f64>, Vec<f64>) =
                    seen.cuts(piece, 0.9).into_iter().unzip();
                if thick.len() < least {
                    continue;
                }
                let (Some(thick), Some(clear)) = (quantile(thick, share), quantile(clear, share))
                else {
                    continue;
                };
                measured += 1;
                assert!(thick >= seen.least(), "{title}: {thick} mm, {piece:?}");
                assert!(clear >= LINES, "{title}: contrast {clear}, {piece:?}");
            }
        }
        assert!(measured >= 5, "{title}: only {measured} lines measured");
    }
}

#[test]
fn words_stand_out_from_their_ground_and_are_thick_enough() {
    for seen in pictures() {
        let title = &seen.picture.title;
        let items = seen.picture.items.iter();
        let words: Vec<&Words> = items
            .filter_map(|item| match item {
                Item::Words(words) => Some(words),
                Item::Shape(_) => None,
            })
            .collect();
        assert!(!words.is_empty(), "{title}");
        let mut measured = 0;
        for words in words {
            let strokes = words.strokes();
            let pieces = strokes.chains.iter().flat_map(|chain| &chain.segments);
            let mut clear = Vec::new();
            for piece in pieces.filter(|it| matches!(it, Segment::Line { .. })) {
                if piece.length() * seen.scale < 0.8 * seen.print {
                    continue;
                }
                let cuts = seen.cuts(piece, 0.45);
                let Some(thick) = median(cuts.iter().map(|it| it.0).collect()) else {
                    continue;
                };
                measured += 1;
                clear.extend(cuts.iter().map(|it| it.1));
                assert!(
                    thick >= seen.least(),
                    "{title}, `{}`: {thick} mm",
                    words.text
                );
            }
            if let Some(clear) = median(clear) {
                assert!(
                    clear >= WORDS,
                    "{title}, `{}`: contrast {clear}",
                    words.text
                );
            }
        }
        assert!(measured >= 10, "{title}: only {measured} strokes measured");
    }
}

/// What a line looks like without colour.
#[derive(Debug)]
struct Look {
    /// Thickness where there is ink, printed mm.
    thick: f64,
    /// Share of its length that has ink.
    inked: f64,
}

fn look(seen: &Seen, pieces: &[Segment]) -> Look {
    let cuts: Vec<Vec<(f64, f64)>> = pieces.iter().map(|it| seen.cuts(it, 0.8)).collect();
    let thick = median(cuts.iter().flatten().map(|it| it.0).collect());
    // Along the line itself, every fifth of a printed millimetre.
    let (mut inked, mut all) = (0.0, 0.0);
    for piece in pieces {
        let steps = (piece.length() * seen.scale / seen.print / 0.1).ceil() as u32;
        for k in 0..steps {
            let t = (f64::from(k) + 0.5) / f64::from(steps);
            let at = piece.point_at(t);
            let across = piece.direction_at(t).left();
            let beside = at + across * (0.8 * seen.print / seen.scale);
            let (Some(on), Some(off)) = (seen.luminance(at), seen.luminance(beside)) else {
                continue;
            };
            all += 1.0;
            inked += f64::from(contrast(on, off) > 1.5);
        }
    }
    Look {
        thick: thick.unwrap_or(0.0),
        inked: inked / all,
    }
}

#[test]
fn runs_leads_rapids_and_what_is_left_differ_without_colour() {
    let cart = cart::plates();
    let sheet = cart::sheet(&cart);
    let seen = Seen::of(sheet_picture(&sheet, &cart, &[]));
    let paths = || sheet.plan.paths.iter().map(|(_, path)| path);
    let straight = |it: &&Segment| matches!(it, Segment::Line { .. });
    let runs: Vec<Segment> = paths()
        .flat_map(|path| path.segments[path.lead_in..].iter().filter(straight))
        .copied()
        .collect();
    let leads: Vec<Segment> = paths()
        .flat_map(|path| path.segments[..path.lead_in].iter().filter(straight))
        .copied()
        .collect();
    let rapids: Vec<Segment> = paths()
        .zip(paths().skip(1))
        .map(|(path, next)| Segment::Line {
            start: path.end(),
            end: next.pierce(),
        })
        .collect();
    let used = sheet.outline.bounds().min.x + sheet.used_length(&cart);
    let bounds = sheet.outline.bounds();
    let left = [Segment::Line {
        start: Point::new(used, bounds.min.y + 5.0),
        end: Point::new(used, bounds.max.y - 5.0),
    }];
    let [run, lead, rapid, left] =
        [&runs[..], &leads, &rapids, &left].map(|pieces| look(&seen, pieces));
    assert!(run.inked > 0.9 && lead.inked > 0.9, "{run:?} {lead:?}");
    assert!(lead.thick > 1.5 * run.thick, "{lead:?} {run:?}");
    assert!(rapid.inked < 0.6, "{rapid:?}");
    assert!(
        left.inked > rapid.inked + 0.1 && left.inked < 0.9,
        "{left:?} {rapid:?}"
    );
    assert!(left.thick > 1.3 * rapid.thick, "{left:?} {rapid:?}");
}
