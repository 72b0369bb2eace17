//! Everything that a drawing draws in its plane: blocks put in their places, arcs of any plane and
//! scale as true arcs, what is not to be seen or bounds nothing left out and counted.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use super::curve::{Curve, Stroke};
use super::document::Document;
use super::entity::{Drawn, Entity, Insert, Polyline};
use super::space::{Space, Triple, cross, dot, length};
use super::spline::Spline;
use super::telling::{LeftOut, Mended, Why};
use super::unit::Unit;
use super::{MOST_PIECES, too_many};
use crate::elementary;
use crate::fault::{Refusal, nearest};
use crate::geometry::{Point, Segment, Tolerance, Vector};
use crate::layer::Layer;
use crate::plate::shape::fitting::{Rounded, fitted};
use crate::plate::shape::size::LARGEST_RADIUS;
use crate::toml_text::formula::COORDINATE;

/// Heights that differ by no more than this, mm, are one: what is left of rounding in a file.
const LEVEL: f64 = 0.05;
/// Layers of our own drawings that bound nothing: words, marks and folds.
const NO_EDGES: [Layer; 5] = [
    Layer::Scrap,
    Layer::CentreMark,
    Layer::Scribe,
    Layer::Bend,
    Layer::Note,
];
/// Layers that bound nothing by their names, in capitals without signs.
const ASIDE: [&str; 15] = [
    "CENTER",
    "CENTRE",
    "CENTERLINE",
    "CENTRELINE",
    "CENTERLINES",
    "CENTRELINES",
    "AXIS",
    "AXES",
    "CONSTRUCTION",
    "CONSTRUCTIONLINES",
    "HIDDEN",
    "DIM",
    "DIMENSION",
    "DIMENSIONS",
    "DEFPOINTS",
];
/// Blocks in blocks, at most.
const DEEPEST: usize = 32;
/// Entities that are looked at, those of a block once for each of its places.
const MOST_LOOKS: usize = 100 * MOST_PIECES;
/// Axes that differ in length, or lean out of square or of the plane, by less than this share are true.
const TRUE: f64 = 1e-6;
/// Arcs that rise less than this from their chord, mm, and are too flat to be one, are lines.
const STRAIGHT: f64 = 1e-3;

/// What a drawing draws in its plane, mm.
pub(super) struct Model<'d> {
    pub(super) strokes: Vec<Stroke<'d>>,
    /// What the builder may call the layers that strokes are on: of an SVG the element and all groups around it.
    pub(super) layers: Vec<Vec<String>>,
    pub(super) left_out: LeftOut,
    /// Ellipses, and arcs that a scale made into some.
    pub(super) ellipses: Rounded,
    /// Other curves that became arcs.
    pub(super) curves: Rounded,
    /// Filled areas of an SVG that were closed.
    pub(super) areas: Option<Mended>,
    /// Polylines that are bands.
    pub(super) bands: u32,
}

impl<'d> Model<'d> {
    /// Of some layers if they are named, else of all that may bound something.
    pub(super) fn of(
        document: &'d Document,
        unit: Unit,
        layers: &[String],
    ) -> Result<Self, Refusal> {
        let (model, why) = Self::as_far_as(document, unit, layers);
        why.map_or(Ok(model), Err)
    }

    /// The same as far as it can be read, and why it goes no further.
    pub(super) fn as_far_as(
        document: &'d Document,
        unit: Unit,
        layers: &[String],
    ) -> (Self, Option<Refusal>) {
        let wanted: Vec<String> = layers.iter().map(|it| it.to_uppercase()).collect();
        let of_blocks = document.blocks.values().flat_map(|it| &it.entities);
        let all = document.entities.iter().chain(of_blocks);
        let known = known_layers(all.map(|it| it.layer.as_str()), layers, "on a layer");
        let mut walk = Walk {
            document,
            unit,
            wanted,
            level: None,
            looks: 0,
            layer: 0,
            model: Self {
                strokes: Vec::new(),
                layers: Vec::new(),
                left_out: LeftOut::default(),
                ellipses: Rounded::default(),
                curves: Rounded::default(),
                areas: None,
                bands: 0,
            },
        };
        let top = Context {
            space: Space::scaled([unit.millimetres; 3]),
            layer: "0".to_owned(),
            line_type: None,
            blocks: Vec::new(),
        };
        let read = known.and_then(|()| walk.entities(&document.entities, &top));
        (walk.model, read.err())
    }
}

/// Fails if one of the layers that are asked for is none of those that there are.
pub(super) fn known_layers<'a>(
    there: impl Iterator<Item = &'a str>,
    asked: &[String],
    is_where: &str,
) -> Result<(), Refusal> {
    if asked.is_empty() {
        return Ok(());
    }
    let known: BTreeMap<String, &str> = there.map(|it| (it.to_uppercase(), it)).collect();
    let Some(unknown) = asked
        .iter()
        .find(|it| !known.contains_key(&it.to_uppercase()))
    else {
        return Ok(());
    };
    let refusal = Refusal::new(format!("nothing in it is {is_where} \"{unknown}\""));
    let names: Vec<&str> = known.into_values().collect();
    Err(match nearest(unknown, names.iter().copied()) {
        Some(near) => refusal.remedy(format!("did you mean \"{near}\"?")),
        None if names.is_empty() => refusal.remedy("it has none"),
        None => refusal.remedy(format!("it has {}", names.join(", "))),
    })
}

/// Where the entities of a block lie, and what they take over from its reference.
struct Context<'d> {
    space: Space,
    /// The layer of what is on layer 0.
    layer: String,
    /// The line type of what takes that of its block.
    line_type: Option<String>,
    blocks: Vec<&'d str>,
}

struct Walk<'d> {
    document: &'d Document,
    unit: Unit,
    /// Layers in capitals; all if there are none.
    wanted: Vec<String>,
    /// The height that the drawing lies at, mm, and what lies there.
    level: Option<(f64, &'d Entity)>,
    looks: usize,
    /// Which of the model's layers is drawn on.
    layer: usize,
    model: Model<'d>,
}

impl<'d> Walk<'d> {
    fn entities(&mut self, entities: &'d [Entity], context: &Context<'d>) -> Result<(), Refusal> {
        self.looks += entities.len();
        if self.looks > MOST_LOOKS {
            return Err(too_many());
        }
        for entity in entities {
            self.entity(entity, context)?;
            if self.model.strokes.len() > MOST_PIECES {
                return Err(too_many());
            }
        }
        Ok(())
    }

    fn entity(&mut self, entity: &'d Entity, context: &Context<'d>) -> Result<(), Refusal> {
        let own = entity.layer.to_uppercase();
        let layer = match own.as_str() {
            "0" => context.layer.clone(),
            _ => own,
        };
        let line_type = match entity.line_type.as_deref() {
            Some("BYBLOCK") => context.line_type.as_deref().or(Some("CONTINUOUS")),
            own => own,
        };
        let line_type = line_type.map(str::to_owned);
        if let Some(why) = self.why_unseen(entity, &layer) {
            self.model.left_out.count(why, entity.nouns());
            return Ok(());
        }
        if let Drawn::Insert(insert) = &entity.drawn {
            let within = Context {
                space: context.space,
                layer,
                line_type,
                blocks: context.blocks.clone(),
            };
            return self.insert(entity, insert, &within);
        }
        if !self.is_asked(&layer) {
            return Ok(());
        }
        if let Some(why) = self.why_no_edge(entity, &layer, line_type.as_deref()) {
            self.model.left_out.count(why, entity.nouns());
            return Ok(());
        }
        let mut known = self.model.layers.iter();
        self.layer = known
            .position(|it| it[0] == layer)
            .unwrap_or(self.model.layers.len());
        if self.layer == self.model.layers.len() {
            self.model.layers.push(vec![layer]);
        }
        self.draw(entity, &context.space)
    }

    /// Whether entities of a layer are asked for.
    fn is_asked(&self, layer: &str) -> bool {
        if self.wanted.is_empty() {
            return !NO_EDGES.iter().any(|it| it.name() == layer);
        }
        self.is_named(layer)
    }

    /// Whether the builder has named a layer.
    fn is_named(&self, layer: &str) -> bool {
        self.wanted.iter().any(|it| it == layer)
    }

    fn why_unseen(&self, entity: &Entity, layer: &str) -> Option<Why> {
        if entity.on_paper {
            return Some(Why::OnPaper);
        }
        if entity.is_hidden {
            return Some(Why::Hidden);
        }
        if self.is_named(layer) {
            return None;
        }
        let state = self.document.layers.get(layer)?;
        if state.is_frozen {
            return Some(Why::Frozen(state.name.clone()));
        }
        // What a block holds on layers of its own is seen though its reference is switched off.
        let is_block = matches!(entity.drawn, Drawn::Insert(_));
        (state.is_off && !is_block).then(|| Why::Off(state.name.clone()))
    }

    fn why_no_edge(&self, entity: &Entity, layer: &str, line_type: Option<&str>) -> Option<Why> {
        if matches!(entity.drawn, Drawn::Aside(..)) {
            return Some(Why::NoEdge);
        }
        if let Some(line_type) = self.document.gaps(line_type, layer) {
            return Some(Why::Gaps(line_type.to_owned()));
        }
        let letters: String = layer.chars().filter(|it| it.is_alphabetic()).collect();
        let is_aside = self.wanted.is_empty() && ASIDE.contains(&letters.as_str());
        is_aside.then(|| Why::Aside(entity.layer.clone()))
    }

    fn insert(
        &mut self,
        entity: &'d Entity,
        insert: &'d Insert,
        context: &Context<'d>,
    ) -> Result<(), Refusal> {
        let name = insert.block.to_uppercase();
        // Blocks without a name of their own: the lines of hatches and dimensions.
        if name.starts_with("*X") || name.starts_with("*D") {
            self.model.left_out.count(Why::NoEdge, entity.nouns());
            return Ok(());
        }
        let refuse = |what: &str, remedy: &str| {
            let message = format!(
                "the {} shows the block \"{}\", {what}",
                entity.name, insert.block
            );
            Err(Refusal::new(message).remedy(remedy))
        };
        let Some((name, block)) = self.document.blocks.get_key_value(&name) else {
            return refuse(
                "which is not in the file",
                "delete it, or save the drawing with it",
            );
        };
        if block.is_elsewhere {
            return refuse(
                "which stands in another file",
                "bind the other file into the drawing and save it again",
            );
        }
        if context.blocks.contains(&name.as_str()) {
            return refuse("which holds itself", "delete it");
        }
        if context.blocks.len() >= DEEPEST {
            return refuse("too deep in other blocks", "explode the blocks around it");
        }
        let Some(plane) = Space::facing(insert.facing) else {
            return Err(no_direction(entity));
        };
        let mut blocks = context.blocks.clone();
        blocks.push(name);
        let inner = Space::scaled(insert.scale).after(&Space::moved(block.base.map(|c| -c)));
        let stand = context.space.after(&plane).after(&Space::moved(insert.at));
        let stand = stand.after(&Space::turned(insert.turn));
        for row in 0..insert.rows {
            for column in 0..insert.columns {
                self.looks += 1;
                let [dx, dy] = insert.spacing;
                let step = [dx * f64::from(column), dy * f64::from(row), 0.0];
                let within = Context {
                    space: stand.after(&Space::moved(step)).after(&inner),
                    layer: context.layer.clone(),
                    line_type: context.line_type.clone(),
                    blocks: blocks.clone(),
                };
                self.entities(&block.entities, &within)?;
            }
        }
        Ok(())
    }

    fn draw(&mut self, entity: &'d Entity, space: &Space) -> Result<(), Refusal> {
        match &entity.drawn {
            Drawn::Line([from, to]) => {
                let (start, end) = (space.point(*from), space.point(*to));
                let (start, end) = (self.flat(entity, start)?, self.flat(entity, end)?);
                self.add(entity, Curve::Line { start, end })
            }
            Drawn::Round {
                facing,
                centre,
                radius,
                angles,
            } => {
                if *radius <= 0.0 {
                    let at = seen(space.point(*centre));
                    let what = format!("at {} has no radius", self.unit.place(at));
                    return Err(redraw(entity, &what).about([spot(at)]));
                }
                let plane = Self::plane(entity, *facing, space)?;
                let [from, to] = angles.unwrap_or([0.0, 360.0]).map(f64::to_radians);
                let sweep = match angles {
                    None => TAU,
                    Some([from, to]) if from == to => {
                        let at = seen(plane.space.point(*centre));
                        let place = self.unit.place(at);
                        let what = format!("about {place} begins and ends at the same angle");
                        return Err(redraw(entity, &what).about([spot(at)]));
                    }
                    Some(_) => {
                        let sweep = (to - from).rem_euclid(TAU);
                        if sweep == 0.0 { TAU } else { sweep }
                    }
                };
                let axes = [[*radius, 0.0, 0.0], [0.0, *radius, 0.0]];
                self.round(entity, &plane, *centre, axes, from, sweep)
            }
            Drawn::Ellipse {
                facing,
                centre,
                major,
                ratio,
                between: [from, to],
            } => {
                let Some(direction) = Space::facing(*facing) else {
                    return Err(no_direction(entity));
                };
                let minor = cross(direction.vector([0.0, 0.0, 1.0]), *major).map(|c| c * ratio);
                // Its axes are places of the drawing and not of its plane.
                let plane = Self::plane_of(entity, *space, [*major, minor])?;
                let sweep = match (to - from).rem_euclid(TAU) {
                    none if none < Tolerance::ROUNDING => TAU,
                    sweep => sweep,
                };
                self.round(entity, &plane, *centre, [*major, minor], *from, sweep)
            }
            Drawn::Polyline(line) => self.polyline(entity, line, space),
            Drawn::Spline {
                degree,
                knots,
                points,
                weights,
            } => {
                let points = points.iter().map(|it| self.flat(entity, space.point(*it)));
                let points = points.collect::<Result<Vec<_>, _>>()?;
                let spline = Spline::new(*degree, knots, &points, weights);
                let spline = spline.ok_or_else(|| redraw(entity, "is not whole"))?;
                self.spline(entity, &spline)
            }
            Drawn::Unreadable(place) => {
                let at = place.map(|it| seen(space.point(it)));
                let place = at.map(|it| format!(" at {}", self.unit.place(it)));
                let place = place.unwrap_or_default();
                let message = format!("the {}{place} is no line, arc or circle", entity.name);
                Err(Refusal::new(message)
                    .remedy("explode or convert it to lines and arcs, or delete it")
                    .about(at.map(spot)))
            }
            Drawn::Insert(_) | Drawn::Aside(..) => Ok(()),
        }
    }

    /// A spline stretch by stretch: lines, and arcs that stand for the rest.
    fn spline(&mut self, entity: &'d Entity, spline: &Spline) -> Result<(), Refusal> {
        let mut rounded: Option<f64> = None;
        for (from, to, is_straight) in spline.spans() {
            let at = |t: f64| spline.at(t, (from, to));
            if is_straight {
                let (start, end) = (at(from).0, at(to).0);
                self.add(entity, Curve::Line { start, end })?;
                continue;
            }
            let made = fitted(&at, from, to);
            rounded = Some(rounded.unwrap_or(0.0).max(made.off));
            for arc in &made.arcs {
                self.add(entity, Curve::of_segment(arc))?;
            }
        }
        if let Some(off) = rounded {
            self.model.curves.add(off);
        }
        Ok(())
    }

    fn polyline(
        &mut self,
        entity: &'d Entity,
        line: &Polyline,
        space: &Space,
    ) -> Result<(), Refusal> {
        self.model.bands += u32::from(line.is_wide);
        let plane = Self::plane(entity, line.facing, space)?;
        let vertices = &line.vertices;
        let count = if line.is_closed {
            vertices.len()
        } else {
            vertices.len().saturating_sub(1)
        };
        for (i, vertex) in vertices.iter().enumerate().take(count) {
            let next = &vertices[(i + 1) % vertices.len()];
            let ends = [vertex, next].map(|it| plane.space.point(it.at));
            let start = self.flat(entity, ends[0])?;
            let end = self.flat(entity, ends[1])?;
            if start == end {
                continue;
            }
            let bulge = if plane.is_mirrored {
                -vertex.bulge
            } else {
                vertex.bulge
            };
            let rise = start.distance(end) / 2.0 * bulge.abs();
            if rise < STRAIGHT && is_flat(start.distance(end), bulge) {
                self.add(entity, Curve::Line { start, end })?;
            } else if plane.is_true {
                let arc = Segment::from_bulge(start, end, bulge);
                self.add(entity, Curve::of_segment(&arc))?;
            } else {
                // The arc before it was drawn out of shape.
                let own = [vertex, next].map(|it| Point::new(it.at[0], it.at[1]));
                let arc = Segment::from_bulge(own[0], own[1], vertex.bulge);
                if let Curve::Arc {
                    centre,
                    radius,
                    from,
                    sweep,
                    ..
                } = Curve::of_segment(&arc)
                {
                    let centre = [centre.x, centre.y, vertex.at[2]];
                    let axes = [[radius, 0.0, 0.0], [0.0, radius, 0.0]];
                    self.round(entity, &plane, centre, axes, from, sweep)?;
                }
            }
        }
        Ok(())
    }

    /// A stretch of an ellipse between two parameters, from the first so far on.
    fn round(
        &mut self,
        entity: &'d Entity,
        plane: &Plane,
        centre: Triple,
        axes: [Triple; 2],
        from: f64,
        sweep: f64,
    ) -> Result<(), Refusal> {
        let centre = self.flat(entity, plane.space.point(centre))?;
        let [u, v] = axes.map(|axis| {
            let [x, y, _] = plane.space.vector(axis);
            Vector::new(x, y)
        });
        if plane.is_true {
            let radius = u.length();
            let turn = u.angle();
            let start = if plane.is_mirrored {
                turn - from - sweep
            } else {
                turn + from
            };
            return self.add(entity, Curve::arc(centre, radius, start, sweep));
        }
        let at = |t: f64| {
            let (sin, cos) = elementary::sin_cos(from + sweep * t);
            let place = centre + (u * cos + v * sin);
            (place, (v * cos + u * -sin) * sweep)
        };
        let made = fitted(&at, 0.0, 1.0);
        self.model.ellipses.add(made.off);
        for arc in &made.arcs {
            self.add(entity, Curve::of_segment(arc))?;
        }
        Ok(())
    }

    fn plane(entity: &Entity, facing: Triple, space: &Space) -> Result<Plane, Refusal> {
        let own = Space::facing(facing).ok_or_else(|| no_direction(entity))?;
        let axes = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
        Self::plane_of(entity, space.after(&own), axes)
    }

    /// The plane of two axes of a space: level, and not squeezed to a line.
    fn plane_of(entity: &Entity, space: Space, axes: [Triple; 2]) -> Result<Plane, Refusal> {
        let [u, v] = axes.map(|axis| space.vector(axis));
        let (long, wide) = (length(u), length(v));
        if u[2].abs() > TRUE * long || v[2].abs() > TRUE * wide {
            let message = format!(
                "the {} is tilted out of the plane of the drawing",
                entity.name
            );
            return Err(Refusal::new(message)
                .remedy("draw it flat, or rotate it into the plane seen from above"));
        }
        if !(long > 0.0 && wide > 0.0) {
            return Err(redraw(entity, "has a scale of 0"));
        }
        Ok(Plane {
            space,
            is_true: (long - wide).abs() <= TRUE * long.max(wide)
                && dot(u, v).abs() <= TRUE * long * wide,
            is_mirrored: cross(u, v)[2] < 0.0,
        })
    }

    /// The place seen from above, if it is as high as all others and within reach.
    fn flat(&mut self, entity: &'d Entity, p: Triple) -> Result<Point, Refusal> {
        let (level, first) = *self.level.get_or_insert((p[2], entity));
        let at = seen(p);
        let is_level = (p[2] - level).abs() <= LEVEL;
        if !is_level {
            let message = format!(
                "it is not flat: the {} lies at z {} at {}, the {} at z {}",
                entity.name,
                self.unit.length(p[2]),
                self.unit.place(at),
                first.name,
                self.unit.length(level)
            );
            return Err(Refusal::new(message)
                .remedy("move everything to z 0 and save it again")
                .about([spot(at)]));
        }
        self.within_reach(entity, at)?;
        Ok(at)
    }

    fn within_reach(&self, entity: &Entity, at: Point) -> Result<(), Refusal> {
        // Also false for what is not a number.
        if at.x.abs() <= COORDINATE && at.y.abs() <= COORDINATE {
            return Ok(());
        }
        let message = format!("the {} reaches {}", entity.name, self.unit.place(at));
        let most = COORDINATE / 1000.0;
        Err(Refusal::new(message).remedy(format!(
            "move it to within {most} m of the origin, and see that the unit of the drawing is right"
        )))
    }

    /// Adds a curve within reach; what has no length is nothing.
    fn add(&mut self, entity: &'d Entity, curve: Curve) -> Result<(), Refusal> {
        if curve.length() <= 0.0 {
            return Ok(());
        }
        let curve = match curve {
            Curve::Arc {
                radius,
                start,
                end,
                sweep,
                ..
            } if radius > LARGEST_RADIUS => {
                let rise = radius * (1.0 - elementary::cos(sweep / 2.0));
                if rise >= STRAIGHT {
                    let place = self.unit.place(start);
                    let what = format!("at {place} is an arc of more than 1 km radius");
                    return Err(redraw(entity, &what).about([spot(start)]));
                }
                Curve::Line { start, end }
            }
            other => other,
        };
        let bounds = curve.bounds();
        for place in [curve.start(), curve.end(), bounds.min, bounds.max] {
            self.within_reach(entity, place)?;
        }
        self.model.strokes.push(Stroke {
            curve,
            of: &entity.name,
            layer: self.layer,
        });
        Ok(())
    }
}

/// A level plane of a drawing.
struct Plane {
    space: Space,
    /// Whether circles in it are circles.
    is_true: bool,
    /// Whether left is right.
    is_mirrored: bool,
}

/// Whether an arc over a chord is flatter than any that is reckoned with.
fn is_flat(chord: f64, bulge: f64) -> bool {
    chord * (1.0 + bulge * bulge) >= 4.0 * bulge.abs() * LARGEST_RADIUS
}

fn seen([x, y, _]: Triple) -> Point {
    Point::new(x, y)
}

/// A place that a refusal is about.
pub(super) const fn spot(p: Point) -> [f64; 2] {
    [p.x, p.y]
}

fn redraw(entity: &Entity, what: &str) -> Refusal {
    let message = format!("the {} {what}", entity.name);
    Refusal::new(message).remedy("delete it, or draw it again")
}

fn no_direction(entity: &Entity) -> Refusal {
    redraw(entity, "lies in no plane: its extrusion direction is 0")
}
