//! Path data of SVG followed by a pen.
//!
//! In: the text of a path and where its plane lies. Out: its subpaths as lines and circular arcs, in mm.
//! Circular arcs stay what they are where the plane is not stretched; other curves become circular arcs that
//! meet without a kink and stray no more than five thousandths of a millimetre from them, or the arc that they were
//! drawn for.

use lyon::geom::{
    Angle, ArcFlags, CubicBezierSegment, Point as At, QuadraticBezierSegment, SvgArc, Transform,
    point, vector,
};
use svgtypes::{PathParser, PathSegment};

use super::fitting::{Rounded, fitted};
use super::outline;
use super::size::within_reach;
use crate::fault::Refusal;
use crate::geometry::{Point, Segment, Tolerance, Turning, Vector};

/// One stretch of a path without lifting the pen.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::plate) struct Subpath {
    pub(in crate::plate) pieces: Vec<Segment>,
    /// Whether it ends where it starts because it says so.
    pub(in crate::plate) is_closed: bool,
}

/// The subpaths of a path of at most so many pieces, and its curves that became arcs.
pub(in crate::plate) fn subpaths(
    data: &str,
    plane: &Transform<f64>,
    most: usize,
) -> Result<(Vec<Subpath>, Rounded), Refusal> {
    let mut pen = Pen::on(plane);
    for (index, piece) in PathParser::from(data).enumerate() {
        let piece =
            piece.map_err(|why| Refusal::new(format!("its path data cannot be read ({why})")))?;
        pen.follow(piece).map_err(|why| {
            why.reworded(|why| format!("command {} of its path: {why}", index + 1))
        })?;
        let pieces: usize = pen.made.last().map_or(0, |it| it.pieces.len());
        if pen.finished + pieces > most {
            let message = format!("its path has more than {most} pieces");
            return Err(Refusal::new(message).remedy("draw it with fewer and longer ones"));
        }
    }
    pen.made.retain(|it| !it.pieces.is_empty());
    Ok((pen.made, pen.curves))
}

/// Where the pen is, and what it has drawn.
struct Pen {
    plane: Transform<f64>,
    /// What a length is on the plane, if it is the same in all directions there.
    scale: Option<f64>,
    /// Whether the plane is seen from behind.
    is_mirrored: bool,
    at: At<f64>,
    start: At<f64>,
    /// The second control point of the last cubic, the control point of the last quadratic curve.
    cubic: Option<At<f64>>,
    quadratic: Option<At<f64>>,
    made: Vec<Subpath>,
    /// Pieces of the subpaths before the last.
    finished: usize,
    curves: Rounded,
}

impl Pen {
    fn on(plane: &Transform<f64>) -> Self {
        let u = plane.transform_vector(vector(1.0, 0.0));
        let v = plane.transform_vector(vector(0.0, 1.0));
        let (long, short) = (u.length().max(v.length()), u.length().min(v.length()));
        let is_even = long - short <= Tolerance::ROUNDING * long
            && u.dot(v).abs() <= Tolerance::ROUNDING * long * long;
        Self {
            plane: *plane,
            scale: is_even.then_some(long),
            is_mirrored: u.cross(v) < 0.0,
            at: At::zero(),
            start: At::zero(),
            cubic: None,
            quadratic: None,
            made: Vec::new(),
            finished: 0,
            curves: Rounded::default(),
        }
    }

    fn follow(&mut self, piece: PathSegment) -> Result<(), Refusal> {
        let (cubic, quadratic) = (self.cubic.take(), self.quadratic.take());
        match piece {
            PathSegment::MoveTo { abs, x, y } => {
                self.at = self.place(abs, x, y)?;
                self.start = self.at;
                self.begin();
            }
            PathSegment::LineTo { abs, x, y } => self.line(self.place(abs, x, y)?),
            PathSegment::HorizontalLineTo { abs, x } => {
                let y = if abs { self.at.y } else { 0.0 };
                self.line(self.place(abs, x, y)?);
            }
            PathSegment::VerticalLineTo { abs, y } => {
                let x = if abs { self.at.x } else { 0.0 };
                self.line(self.place(abs, x, y)?);
            }
            PathSegment::CurveTo {
                abs,
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                let first = self.place(abs, x1, y1)?;
                self.curve(first, self.place(abs, x2, y2)?, self.place(abs, x, y)?);
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let first = cubic.map_or(self.at, |last| self.at + (self.at - last));
                self.curve(first, self.place(abs, x2, y2)?, self.place(abs, x, y)?);
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                let ctrl = self.place(abs, x1, y1)?;
                self.bow(ctrl, self.place(abs, x, y)?);
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let ctrl = quadratic.map_or(self.at, |last| self.at + (self.at - last));
                self.bow(ctrl, self.place(abs, x, y)?);
            }
            PathSegment::EllipticalArc {
                abs,
                rx,
                ry,
                x_axis_rotation,
                large_arc,
                sweep,
                x,
                y,
            } => {
                within_reach("radius", rx)?;
                within_reach("radius", ry)?;
                self.arc(&SvgArc {
                    from: self.at,
                    to: self.place(abs, x, y)?,
                    radii: vector(rx.abs(), ry.abs()),
                    x_rotation: Angle::degrees(x_axis_rotation),
                    flags: ArcFlags { large_arc, sweep },
                });
            }
            PathSegment::ClosePath { .. } => self.close(),
        }
        Ok(())
    }

    fn place(&self, absolute: bool, x: f64, y: f64) -> Result<At<f64>, Refusal> {
        let from = if absolute { At::zero() } else { self.at };
        let (x, y) = (from.x + x, from.y + y);
        Ok(point(within_reach("x", x)?, within_reach("y", y)?))
    }

    fn line(&mut self, to: At<f64>) {
        let line = Segment::Line {
            start: self.seen(self.at),
            end: self.seen(to),
        };
        self.push(line);
        self.at = to;
    }

    fn curve(&mut self, ctrl1: At<f64>, ctrl2: At<f64>, to: At<f64>) {
        let curve = CubicBezierSegment {
            from: self.at,
            ctrl1,
            ctrl2,
            to,
        };
        self.fit(&|t| (curve.sample(t), curve.derivative(t)));
        self.cubic = Some(ctrl2);
        self.at = to;
    }

    fn bow(&mut self, ctrl: At<f64>, to: At<f64>) {
        let curve = QuadraticBezierSegment {
            from: self.at,
            ctrl,
            to,
        };
        self.fit(&|t| (curve.sample(t), curve.derivative(t)));
        self.quadratic = Some(ctrl);
        self.at = to;
    }

    fn arc(&mut self, arc: &SvgArc<f64>) {
        if arc.is_straight_line() {
            self.line(arc.to);
            return;
        }
        let whole = arc.to_arc();
        let (rx, ry) = (whole.radii.x, whole.radii.y);
        let is_round = (rx - ry).abs() <= Tolerance::ROUNDING * rx.max(ry);
        if let (Some(scale), true) = (self.scale, is_round) {
            let turning = if arc.flags.sweep == self.is_mirrored {
                Turning::Right
            } else {
                Turning::Left
            };
            let (start, end) = (self.seen(arc.from), self.seen(arc.to));
            self.push(Segment::Arc {
                start,
                end,
                centre: self.seen(whole.center),
                radius: rx * scale,
                turning,
            });
        } else {
            // The tangent is that of a growing angle, whichever way the arc runs.
            let way = whole.sweep_angle.radians.signum();
            self.fit(&|t| (whole.sample(t), whole.sample_tangent(t) * way));
        }
        self.at = arc.to;
    }

    fn fit(&mut self, curve: &dyn Fn(f64) -> (At<f64>, lyon::geom::Vector<f64>)) {
        let seen = |t: f64| {
            let (at, along) = curve(t);
            let along = self.plane.transform_vector(along);
            (self.seen(at), Vector::new(along.x, along.y))
        };
        let made = fitted(&seen, 0.0, 1.0);
        self.curves.add(made.off);
        for arc in made.arcs {
            self.push(arc);
        }
    }

    /// Where a place of the path lies on the plane.
    fn seen(&self, p: At<f64>) -> Point {
        let p = self.plane.transform_point(p);
        Point::new(p.x, p.y)
    }

    fn begin(&mut self) {
        self.finished += self.made.last().map_or(0, |it| it.pieces.len());
        self.made.push(Subpath::default());
    }

    fn push(&mut self, piece: Segment) {
        // After a Z the pen goes on from where that loop began.
        if self.made.last().is_none_or(|it| it.is_closed) {
            self.begin();
        }
        if let Some(last) = self
            .made
            .last_mut()
            .filter(|_| piece.length() > outline::TOUCHING)
        {
            last.pieces.push(piece);
        }
    }

    fn close(&mut self) {
        if self.at != self.start {
            self.line(self.start);
        }
        if let Some(last) = self.made.last_mut() {
            last.is_closed = true;
        }
        self.at = self.start;
    }
}
