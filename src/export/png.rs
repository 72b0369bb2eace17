//! PNG, from a [`Picture`]: for messages, phones and programs that show no SVG.
//!
//! Guaranteed: the longer side has [`LONG_SIDE`] pixels, no line is thinner than one, letters are
//! strokes (no font of the system is asked for), and the bytes are the same for the same picture.

use std::f64::consts::FRAC_PI_4;

use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, StrokeDash, Transform,
};

use super::picture::{Chain, Dash, Ink, Item, Picture, Shape, Stroke};
use super::{Ends, Exporter};
use crate::elementary;
use crate::fault::{Fault, Outcome};
use crate::geometry::{Bounds, Point, Segment};

/// Pixels of the longer side: 240 mm at 254 dots an inch.
pub const LONG_SIDE: f64 = 2400.0;

/// The PNG format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Png;

impl Exporter<Picture> for Png {
    fn extension(&self) -> &'static str {
        "png"
    }

    fn export(&self, picture: &Picture) -> Outcome<Vec<u8>> {
        let raster = Raster::of(picture);
        let mut pixels = raster.blank().ok_or_else(|| {
            Fault::refused(format!(
                "`{}` is too long and thin for a PNG",
                picture.title
            ))
            .remedy("use its SVG")
        })?;
        for item in &picture.items {
            match item {
                Item::Shape(shape) => raster.shape(&mut pixels, shape),
                Item::Words(words) => raster.shape(&mut pixels, &words.strokes()),
            }
        }
        let bytes = pixels.encode_png();
        Ok(bytes.map_err(|error| Fault::file(format!("cannot make a PNG: {error}")))?)
    }
}

/// From the plane in mm, y up, to pixels, y down.
struct Raster<'a> {
    picture: &'a Picture,
    frame: Bounds,
    /// Pixels of a millimetre.
    scale: f64,
}

impl<'a> Raster<'a> {
    fn of(picture: &'a Picture) -> Self {
        let frame = picture.frame;
        Self {
            picture,
            frame,
            scale: LONG_SIDE / frame.width().max(frame.height()),
        }
    }

    /// The paper; `None` if the frame is empty.
    fn blank(&self) -> Option<Pixmap> {
        let pixels = |mm: f64| (mm * self.scale).round().clamp(0.0, LONG_SIDE) as u32;
        let mut pixels = Pixmap::new(pixels(self.frame.width()), pixels(self.frame.height()))?;
        pixels.fill(colour(Ink::Paper));
        Some(pixels)
    }

    fn shape(&self, pixels: &mut Pixmap, shape: &Shape) {
        let Some(path) = self.path(&shape.chains) else {
            return;
        };
        let flat = Transform::identity();
        if let Some(ink) = shape.fill {
            pixels.fill_path(&path, &paint(ink), FillRule::EvenOdd, flat, None);
        }
        if let Some(stroke) = shape.stroke {
            let pen = self.pen(self.picture.printable(stroke));
            pixels.stroke_path(&path, &paint(stroke.ink), &pen, flat, None);
        }
    }

    fn pen(&self, stroke: Stroke) -> tiny_skia::Stroke {
        let width = (stroke.width * self.scale).max(1.0) as f32;
        let pattern = stroke.dash.pattern().iter();
        let lengths: Vec<f32> = pattern.map(|times| *times as f32 * width).collect();
        tiny_skia::Stroke {
            width,
            line_join: LineJoin::Round,
            line_cap: match stroke.dash {
                Dash::Solid => LineCap::Round,
                _ => LineCap::Butt,
            },
            dash: StrokeDash::new(lengths, 0.0),
            ..tiny_skia::Stroke::default()
        }
    }

    fn path(&self, chains: &[Chain]) -> Option<Path> {
        let mut path = PathBuilder::new();
        for chain in chains {
            let Some(first) = chain.segments.first() else {
                continue;
            };
            let (x, y) = self.pixel(first.start());
            path.move_to(x, y);
            for segment in &chain.segments {
                self.segment(&mut path, segment);
            }
            if chain.ends == Ends::Closed {
                path.close();
            }
        }
        path.finish()
    }

    fn segment(&self, path: &mut PathBuilder, segment: &Segment) {
        match segment {
            Segment::Line { end, .. } => {
                let (x, y) = self.pixel(*end);
                path.line_to(x, y);
            }
            Segment::Arc { radius, .. } => self.arc(path, segment, *radius),
        }
    }

    /// An arc as cubic curves of an eighth turn at most, which stray from it by less than a
    /// hundred-thousandth of its radius.
    fn arc(&self, path: &mut PathBuilder, arc: &Segment, radius: f64) {
        let sweep = arc.sweep().abs();
        let pieces = (sweep / FRAC_PI_4).ceil().max(1.0);
        let reach = 4.0 / 3.0 * elementary::tan(sweep / pieces / 4.0) * radius;
        for piece in 0..pieces as u32 {
            let (from, to) = (f64::from(piece) / pieces, f64::from(piece + 1) / pieces);
            let leaving = arc.point_at(from) + arc.direction_at(from) * reach;
            let arriving = arc.point_at(to) - arc.direction_at(to) * reach;
            let ((x1, y1), (x2, y2)) = (self.pixel(leaving), self.pixel(arriving));
            let (x, y) = self.pixel(arc.point_at(to));
            path.cubic_to(x1, y1, x2, y2, x, y);
        }
    }

    fn pixel(&self, p: Point) -> (f32, f32) {
        let x = (p.x - self.frame.min.x) * self.scale;
        let y = (self.frame.max.y - p.y) * self.scale;
        (x as f32, y as f32)
    }
}

fn colour(ink: Ink) -> Color {
    let [red, green, blue] = ink.rgb();
    Color::from_rgba8(red, green, blue, u8::MAX)
}

fn paint(ink: Ink) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color(colour(ink));
    paint
}

#[cfg(test)]
mod tests {
    use tiny_skia::PremultipliedColorU8;

    use super::*;
    use crate::export::picture::{Anchor, Words};
    use crate::geometry::{Circle, Contour};

    fn ring(outer: f64, inner: f64) -> Picture {
        let mut picture = Picture::new("ring");
        let edges = [outer, inner].map(|r| Chain::around(&Contour::circle(Point::ORIGIN, r)));
        picture.draw(edges.to_vec(), Some(Ink::Edge), None);
        picture.framed(0.0)
    }

    fn pixels(picture: &Picture) -> Pixmap {
        let bytes = Png.export(picture).expect("a picture");
        Pixmap::decode_png(&bytes).expect("a PNG")
    }

    /// How much of the picture is dark, by its grey values, in mm².
    fn dark_area(picture: &Picture) -> f64 {
        let pixels = pixels(picture);
        let ink = f64::from(Ink::Edge.rgb()[1]);
        let dark = |green: u8| (255.0 - f64::from(green)) / (255.0 - ink);
        let sum: f64 = pixels.pixels().iter().map(|it| dark(it.green())).sum();
        sum * (picture.frame.width() / f64::from(pixels.width())).powi(2)
    }

    #[test]
    fn a_ring_is_as_large_as_it_is_and_open_in_the_middle() {
        let picture = ring(50.0, 20.0);
        let expected = std::f64::consts::PI * (50.0_f64.powi(2) - 20.0_f64.powi(2));
        let found = dark_area(&picture);
        assert!((found - expected).abs() < 1e-3 * expected, "{found}");
        let pixels = pixels(&picture);
        assert_eq!((pixels.width(), pixels.height()), (2400, 2400));
        let middle = pixels.pixel(1200, 1200).expect("inside");
        assert_eq!(middle.green(), 255, "the opening is open");
    }

    #[test]
    fn up_is_up_and_right_is_right() {
        let mut picture = Picture::new("dot");
        let dot = Circle {
            centre: Point::new(90.0, 90.0),
            radius: 5.0,
        };
        picture.circle(dot, Some(Ink::Edge), None);
        picture.frame = Bounds::around([Point::ORIGIN, Point::new(100.0, 100.0)]);
        let pixels = pixels(&picture);
        let red = |x, y| pixels.pixel(x, y).map(PremultipliedColorU8::red);
        assert_eq!(red(2160, 240), Some(0x16));
        assert_eq!(red(240, 2160), Some(0xff));
    }

    #[test]
    fn words_need_no_font() {
        let mut picture = Picture::new("words");
        picture.write(Words {
            at: Point::ORIGIN,
            anchor: Anchor::Start,
            height: 6.0,
            turn: 0.0,
            ink: Ink::Edge,
            text: "l".to_owned(),
        });
        // The letter l: a stroke some 6 mm long and 0.6 mm thick, with a foot.
        let area = dark_area(&picture.framed(2.0));
        assert!((3.0..6.0).contains(&area), "{area}");
    }

    #[test]
    fn a_thin_line_is_still_a_pixel_thick() {
        let mut picture = Picture::new("thin");
        let thin = Stroke {
            width: 0.001,
            ink: Ink::Edge,
            dash: Dash::Solid,
        };
        picture.stroke(Chain::line(Point::ORIGIN, Point::new(1000.0, 0.0)), thin);
        let picture = picture.framed(10.0);
        // 1000 mm long and one pixel, 1020 / 2400 mm, thick.
        let expected = 1000.0 * picture.frame.width() / LONG_SIDE;
        let found = dark_area(&picture);
        assert!(
            (found - expected).abs() < 0.02 * expected,
            "{found} {expected}"
        );
    }

    #[test]
    fn the_same_picture_gives_the_same_bytes() {
        let picture = ring(50.0, 20.0);
        assert_eq!(Png.export(&picture), Png.export(&picture));
    }

    #[test]
    fn a_picture_of_nothing_is_refused() {
        let line = Chain::line(Point::ORIGIN, Point::new(10.0, 0.0));
        let mut picture = Picture::new("line");
        picture.draw(vec![line], None, None);
        assert!(Png.export(&picture.framed(0.0)).is_err());
    }
}
