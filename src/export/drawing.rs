//! A drawing in the sense of a cutting table: lines, arcs and words on layers.
//!
//! In: geometry of plates and sheets, mm, y up. Out: a [`Drawing`] that an exporter writes as it
//! stands. Guaranteed: polylines keep true arcs as bulges of at most a half turn each, without
//! zero-length pieces.
use crate::geometry::{Bounds, Circle, Contour, Point, Segment, Tolerance, Turning};
use crate::layer::Layer;

/// Pieces shorter than this are not drawn, mm. Files carry nine decimals; a piece this short would
/// come out as two equal vertices.
const SHORTEST: f64 = 1e-8;

/// Everything in one file, in the order it is written and, on a table, cut.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// What is drawn, each on its layer.
    pub entities: Vec<(Layer, Entity)>,
}

/// One thing drawn. Lengths are mm, angles radians counter-clockwise from +x.
#[derive(Debug, Clone, PartialEq)]
pub enum Entity {
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
    },
    /// An arc, counter-clockwise.
    Arc {
        /// The circle it lies on.
        circle: Circle,
        /// Angle of its start.
        start: f64,
        /// Angle of its end.
        end: f64,
    },
    /// A whole circle.
    Circle(Circle),
    /// A chain of lines and arcs.
    Polyline(Polyline),
    /// A spot.
    Point(Point),
    /// Words on one line.
    Text {
        /// Lower left corner of the first letter.
        at: Point,
        /// Height of a capital.
        height: f64,
        /// Turn.
        turn: f64,
        /// The words.
        words: String,
    },
}

/// A chain of lines and arcs as vertices with bulges.
#[derive(Debug, Clone, PartialEq)]
pub struct Polyline {
    /// The vertices in order.
    pub vertices: Vec<Vertex>,
    /// Whether the last vertex joins the first.
    pub ends: Ends,
}

/// A vertex of a [`Polyline`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// Where it is.
    pub at: Point,
    /// `tan(sweep / 4)` of the piece that leaves it, from -1 to 1: positive counter-clockwise, 0 for
    /// a line.
    pub bulge: f64,
}

/// Whether a chain comes back to its start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// The last vertex joins the first.
    Closed,
    /// The chain stops at its last vertex.
    Open,
}

impl Drawing {
    /// Adds something on a layer.
    pub fn add(&mut self, layer: Layer, entity: Entity) {
        self.entities.push((layer, entity));
    }

    /// Adds a contour: one circle if it is one, else one closed polyline.
    pub fn add_contour(&mut self, layer: Layer, contour: &Contour) {
        let entity = match contour.as_circle() {
            Some(circle) => Entity::Circle(circle),
            None => Entity::Polyline(Polyline::closed(contour)),
        };
        self.add(layer, entity);
    }

    /// The smallest box around everything drawn, words as their starting points.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        self.entities
            .iter()
            .fold(Bounds::EMPTY, |bounds, (_, entity)| {
                bounds.union(entity.bounds())
            })
    }
}

impl Entity {
    /// The smallest box around it; words count as their starting point.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Line { from, to } => Bounds::around([*from, *to]),
            Self::Arc { circle, start, end } => arc(*circle, *start, *end).bounds(),
            Self::Circle(circle) => {
                Bounds::around([circle.centre, circle.centre]).grown(circle.radius)
            }
            Self::Polyline(chain) => chain
                .segments()
                .iter()
                .fold(Bounds::EMPTY, |bounds, segment| {
                    bounds.union(segment.bounds())
                }),
            Self::Point(at) | Self::Text { at, .. } => Bounds::around([*at]),
        }
    }
}

impl Polyline {
    /// A closed chain around a contour.
    #[must_use]
    pub fn closed(contour: &Contour) -> Self {
        Self {
            vertices: leaving_vertices(contour.segments()),
            ends: Ends::Closed,
        }
    }

    /// An open chain along some segments, each starting where the one before ends.
    #[must_use]
    pub fn open(segments: &[Segment]) -> Self {
        let mut vertices = leaving_vertices(segments);
        if let Some(last) = segments.last() {
            vertices.push(Vertex {
                at: last.end(),
                bulge: 0.0,
            });
        }
        Self {
            vertices,
            ends: Ends::Open,
        }
    }

    /// Its lines and arcs in order.
    #[must_use]
    pub fn segments(&self) -> Vec<Segment> {
        let joins = match self.ends {
            Ends::Closed => self.vertices.len(),
            Ends::Open => self.vertices.len().saturating_sub(1),
        };
        (0..joins)
            .map(|i| {
                let next = &self.vertices[(i + 1) % self.vertices.len()];
                Segment::from_bulge(self.vertices[i].at, next.at, self.vertices[i].bulge)
            })
            .collect()
    }
}

/// The vertex at the start of every piece, arcs of more than a half turn as two.
fn leaving_vertices(segments: &[Segment]) -> Vec<Vertex> {
    segments
        .iter()
        .flat_map(pieces)
        .filter(|piece| !is_a_spot(piece))
        .map(|piece| Vertex {
            at: piece.start(),
            bulge: piece.bulge().clamp(-1.0, 1.0),
        })
        .collect()
}

/// Whether a piece has no length worth drawing. One whose length is not a number does not count: it
/// must come to light when the file is written, not vanish.
fn is_a_spot(piece: &Segment) -> bool {
    piece.length() <= SHORTEST
}

/// A segment itself, or its two halves if it is an arc of more than a half turn.
fn pieces(segment: &Segment) -> Vec<Segment> {
    let Segment::Arc {
        start,
        end,
        centre,
        radius,
        turning,
    } = *segment
    else {
        return vec![*segment];
    };
    if segment.sweep().abs() <= std::f64::consts::PI + Tolerance::ROUNDING {
        return vec![*segment];
    }
    let middle = segment.point_at(0.5);
    let half = |start, end| Segment::Arc {
        start,
        end,
        centre,
        radius,
        turning,
    };
    vec![half(start, middle), half(middle, end)]
}

/// The counter-clockwise arc of a circle between two angles.
fn arc(circle: Circle, start: f64, end: f64) -> Segment {
    Segment::Arc {
        start: circle.centre.polar(circle.radius, start),
        end: circle.centre.polar(circle.radius, end),
        centre: circle.centre,
        radius: circle.radius,
        turning: Turning::Left,
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI};

    use approx::assert_relative_eq;

    use super::*;

    fn fillet_plate() -> Contour {
        let bulge = (PI / 8.0).tan();
        Contour::from_bulges(&[
            (0.0, 0.0, 0.0),
            (90.0, 0.0, bulge),
            (100.0, 10.0, 0.0),
            (100.0, 50.0, 0.0),
            (0.0, 50.0, 0.0),
        ])
        .expect("a closed outline")
    }

    #[test]
    fn a_fillet_is_one_vertex_with_one_bulge() {
        let chain = Polyline::closed(&fillet_plate());
        assert_eq!(chain.vertices.len(), 5);
        assert_eq!(chain.vertices.iter().filter(|v| v.bulge != 0.0).count(), 1);
        assert_relative_eq!(
            chain.vertices[1].bulge,
            0.414_213_562_373_095,
            epsilon = 1e-12
        );
    }

    #[test]
    fn a_chain_gives_back_the_contour_it_was_made_from() {
        let contour = fillet_plate();
        let back = Contour::new(Polyline::closed(&contour).segments()).expect("closed");
        assert_relative_eq!(back.signed_area(), contour.signed_area(), epsilon = 1e-9);
        assert_relative_eq!(back.length(), contour.length(), epsilon = 1e-9);
    }

    #[test]
    fn arcs_of_more_than_a_half_turn_become_two_bulges() {
        let three_quarters = arc(
            Circle {
                centre: Point::ORIGIN,
                radius: 8.0,
            },
            0.0,
            3.0 * FRAC_PI_2,
        );
        let chain = Polyline::open(&[three_quarters]);
        assert_eq!(chain.vertices.len(), 3);
        assert!(chain.vertices.iter().all(|v| v.bulge.abs() <= 1.0));
        let length: f64 = chain.segments().iter().map(Segment::length).sum();
        assert_relative_eq!(length, 12.0 * PI, epsilon = 1e-9);
    }

    #[test]
    fn zero_length_pieces_are_left_out() {
        let spot = Point::new(3.0, 4.0);
        let chain = Polyline::open(&[
            Segment::Line {
                start: spot,
                end: spot,
            },
            Segment::Line {
                start: spot,
                end: Point::ORIGIN,
            },
        ]);
        assert_eq!(chain.vertices.len(), 2);
    }

    #[test]
    fn bounds_follow_the_arcs() {
        let mut drawing = Drawing::default();
        drawing.add(
            Layer::Scribe,
            Entity::Arc {
                circle: Circle {
                    centre: Point::new(10.0, 0.0),
                    radius: 5.0,
                },
                start: 0.0,
                end: PI,
            },
        );
        let bounds = drawing.bounds();
        assert_relative_eq!(bounds.max.y, 5.0, epsilon = 1e-12);
        assert_relative_eq!(bounds.min.x, 5.0, epsilon = 1e-12);
        assert_relative_eq!(bounds.min.y, 0.0, epsilon = 1e-12);
    }
}
