//! The steps of a plate carried out.
//!
//! In: a plan and the values of its names. Out: the [`Metal`] that is left, every copy that was cut,
//! marks and bends. Consecutive steps that add, cut or keep are one arrangement.

use std::ops::Range;

use crate::fault::{Fault, Outcome};
use crate::geometry::{Circle, Contour, Point, Pose, Region, Vector, arrange};
use crate::recipe::evaluate::holds;
use crate::recipe::plan::Plan;
use crate::recipe::step::{
    Action, Along, Around, Edge, Hole, Placing, Position, Row, Scribe, Shape, Stance, Step, Widths,
};
use crate::recipe::words::{Anchor, Corners, Finish, Mirror, Operation, Purpose};
use crate::recipe::{Formula, Names, Part, limits};

use super::expand::unresolved;
use super::shape::{self, Shaped};
use super::{Bend, Mark};

/// What the steps of a plate leave.
#[derive(Debug, Clone)]
pub(super) struct Metal {
    /// The metal.
    pub(super) region: Region,
    /// Every copy of every shape that was cut, in order.
    pub(super) cuts: Vec<Cut>,
    /// Outlines of shapes whose edges fit another part.
    pub(super) mating: Vec<Contour>,
    /// Lines and text.
    pub(super) marks: Vec<Mark>,
    /// Fold lines.
    pub(super) bends: Vec<Bend>,
}

/// One copy of a shape that was cut.
#[derive(Debug, Clone)]
pub(super) struct Cut {
    /// The step's name.
    pub(super) title: String,
    /// What it is for.
    pub(super) purpose: Purpose,
    /// The thread that passes or is tapped.
    pub(super) thread: Option<String>,
    /// How it is to be made.
    pub(super) finish: Finish,
    /// What was cut.
    pub(super) region: Region,
    /// The circle, if it is one.
    pub(super) circle: Option<Circle>,
    /// Where the step stands in the recipe.
    pub(super) span: Range<usize>,
}

/// Carries out the steps of a plan.
pub(super) fn made(part: &Part, plan: &Plan, names: &Names) -> Outcome<Metal> {
    let mut work = Work {
        part,
        names,
        metal: Metal {
            region: Region::EMPTY,
            cuts: Vec::new(),
            mating: Vec::new(),
            marks: Vec::new(),
            bends: Vec::new(),
        },
        waiting: Vec::new(),
        copies: 0,
    };
    for step in &plan.steps {
        if holds(step.when.as_ref(), names)? {
            work.step(step)?;
        }
    }
    work.settle()?;
    Ok(work.metal)
}

struct Work<'a> {
    part: &'a Part,
    names: &'a Names,
    metal: Metal,
    /// Copies that are to be added, cut or kept in the next arrangement.
    waiting: Vec<(Operation, Vec<Region>)>,
    copies: usize,
}

impl Work<'_> {
    fn step(&mut self, step: &Step) -> Outcome<()> {
        match &step.action {
            Action::Shape {
                operation,
                shape,
                placing,
                hole,
            } => self.shape(step, *operation, shape, placing, hole),
            Action::Hollow { wall } => {
                let wall = wall.size(self.names, "`hollow`")?;
                self.settle()?;
                let inner = self.resolved(self.metal.region.offset(-wall))?;
                self.metal.region = self.resolved(self.metal.region.difference(&inner))?;
                Ok(())
            }
            Action::Round { corners, radius } => self.round(*corners, radius),
            Action::Scribe { mark, placing } => self.scribe(step, mark, placing),
            Action::Bend {
                fold,
                from,
                to,
                angle,
                radius,
            } => {
                let bend = Bend {
                    from: self.point(from)?,
                    to: self.point(to)?,
                    angle: angle.angle(self.names, "`angle`")?,
                    radius: radius.length(self.names, "`radius`")?,
                    fold: *fold,
                };
                self.metal.bends.push(bend);
                Ok(())
            }
        }
    }

    fn shape(
        &mut self,
        step: &Step,
        operation: Operation,
        shape: &Shape,
        placing: &Placing,
        hole: &Hole,
    ) -> Outcome<()> {
        let region = self.region(step, shape)?;
        let poses = self.poses(step, placing)?;
        let copies: Vec<Region> = poses.iter().map(|pose| region.posed(pose)).collect();
        if hole.edge == Edge::Mating {
            let contours = copies.iter().flat_map(Region::contours).cloned();
            self.metal.mating.extend(contours);
        }
        if operation == Operation::Cut {
            let thread = hole.thread.as_ref();
            let thread = thread
                .map(|it| it.words(self.names, "`thread`"))
                .transpose()?;
            for copy in &copies {
                self.metal.cuts.push(Cut {
                    title: step.title().to_owned(),
                    purpose: hole.purpose.unwrap_or(Purpose::Window),
                    thread: thread.clone(),
                    finish: hole.finish,
                    circle: circle_of(copy),
                    region: copy.clone(),
                    span: step.span.clone(),
                });
            }
        }
        if !copies.is_empty() {
            self.waiting.push((operation, copies));
        }
        Ok(())
    }

    /// Puts everything that waits into one arrangement with the metal so far.
    fn settle(&mut self) -> Outcome<()> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let waiting = std::mem::take(&mut self.waiting);
        let mut sources = vec![std::mem::take(&mut self.metal.region)];
        let mut stages = Vec::with_capacity(waiting.len());
        for (operation, copies) in waiting {
            let first = sources.len();
            sources.extend(copies);
            stages.push((operation, first..sources.len()));
        }
        let rule = |inside: &[bool]| {
            stages.iter().fold(inside[0], |metal, (operation, copies)| {
                let here = inside[copies.clone()].iter().any(|inside| *inside);
                match operation {
                    Operation::Add => metal || here,
                    Operation::Cut => metal && !here,
                    Operation::Keep => metal && here,
                }
            })
        };
        self.metal.region = self.resolved(arrange(&sources, &rule))?;
        Ok(())
    }

    fn round(&mut self, corners: Corners, radius: &Formula) -> Outcome<()> {
        let asked = radius.length(self.names, "`radius`")?;
        if asked < 0.0 {
            let fault = radius.text().fault("`radius` is below 0");
            return Err(fault.remedy("write 0 mm or more").into());
        }
        self.settle()?;
        if asked == 0.0 {
            return Ok(());
        }
        if corners != Corners::Outside {
            self.metal.region = self.resolved(self.metal.region.round_inside(asked))?;
        }
        if corners != Corners::Inside {
            self.metal.region = self.resolved(self.metal.region.round_outside(asked))?;
        }
        Ok(())
    }

    fn scribe(&mut self, step: &Step, mark: &Scribe, placing: &Placing) -> Outcome<()> {
        let mark = match mark {
            Scribe::Line { from, to } => Mark::Line {
                from: self.point(from)?,
                to: self.point(to)?,
            },
            Scribe::Circle { diameter } => Mark::Circle {
                centre: Point::ORIGIN,
                diameter: diameter.size(self.names, "`diameter`")?,
            },
            Scribe::Centre => Mark::Centre { at: Point::ORIGIN },
            Scribe::Text { text, height } => Mark::Text {
                at: Point::ORIGIN,
                height: height.size(self.names, "`height`")?,
                turn: 0.0,
                text: text.filled(self.names)?,
            },
        };
        let poses = self.poses(step, placing)?;
        self.metal
            .marks
            .extend(poses.iter().map(|pose| mark.posed(pose)));
        Ok(())
    }

    /// Where the copies of a step go: mirrored, turned, repeated in a row, repeated around, moved.
    fn poses(&mut self, step: &Step, placing: &Placing) -> Outcome<Vec<Pose>> {
        let flip = match placing.mirror {
            None => Pose::IDENTITY,
            Some(Mirror::LeftForRight) => Pose {
                mirrored: true,
                ..Pose::IDENTITY
            },
            Some(Mirror::UpsideDown) => shape::upside_down(),
        };
        let turn = match &placing.turn {
            Some(formula) => formula.angle(self.names, "`turn`")?,
            None => 0.0,
        };
        let first = flip.then(&Pose::new(turn, Vector::default()));
        let row = match &placing.along {
            Some(along) => self.row(along)?,
            None => vec![Pose::IDENTITY],
        };
        let places = match &placing.around {
            Some(around) => self.places(around)?,
            None => vec![Pose::IDENTITY],
        };
        let at = match &placing.at {
            Some(position) => Pose::shifted(self.point(position)? - Point::ORIGIN),
            None => Pose::IDENTITY,
        };
        self.copies = self.copies.saturating_add(row.len() * places.len());
        if self.copies > limits::ALL_COPIES {
            let message = format!("this makes more than {} copies", limits::ALL_COPIES);
            return Err(self
                .fault(step, message)
                .remedy("use a smaller count")
                .into());
        }
        let copies = places.iter().flat_map(|place| {
            row.iter()
                .map(move |along| first.then(along).then(place).then(&at))
        });
        Ok(copies.collect())
    }

    fn row(&self, along: &Along) -> Outcome<Vec<Pose>> {
        let count = along.count.count(self.names, limits::COPIES, "`count`")?;
        let dx = along.step[0].length(self.names, "`step` along x")?;
        let dy = along.step[1].length(self.names, "`step` along y")?;
        let back = match along.row {
            Row::FromFirst => 0.0,
            Row::Centred => f64::from(count.saturating_sub(1)) / 2.0,
        };
        let place = |k: u32| Vector::new(dx, dy) * (f64::from(k) - back);
        Ok((0..count).map(|k| Pose::shifted(place(k))).collect())
    }

    fn places(&self, around: &Around) -> Outcome<Vec<Pose>> {
        let count = around.count.count(self.names, limits::COPIES, "`count`")?;
        let angle = |formula: &Option<Formula>, what, usual| match formula {
            Some(formula) => formula.angle(self.names, what),
            None => Ok(usual),
        };
        let start = angle(&around.start, "`start`", 0.0)?;
        let full = std::f64::consts::TAU;
        let sweep = angle(&around.sweep, "`sweep`", full)?;
        let radius = match &around.circle {
            Some(formula) => formula.length(self.names, "`circle`")? / 2.0,
            None => 0.0,
        };
        let skip = around
            .skip
            .iter()
            .map(|it| it.count(self.names, count, "`skip`"));
        let skip = skip.collect::<Result<Vec<u32>, Fault>>()?;
        // All round, the last copy stops short of the first; else the ends have one each.
        let gaps = if sweep.abs() > full - 1e-9 {
            count
        } else {
            count.saturating_sub(1)
        };
        let step = sweep / f64::from(gaps.max(1));
        let place = |k: u32| {
            let angle = start + step * f64::from(k);
            let shift = Vector::from_angle(angle) * radius;
            match around.stance {
                Stance::Turned => Pose::new(angle, shift),
                Stance::Upright => Pose::shifted(shift),
            }
        };
        let wanted = (0..count).filter(|k| !skip.contains(&(k + 1)));
        Ok(wanted.map(place).collect())
    }

    fn point(&self, position: &Position) -> Result<Point, Fault> {
        match position {
            Position::At(at) => {
                let x = at[0].length(self.names, "x")?;
                let y = at[1].length(self.names, "y")?;
                Ok(Point::new(x, y))
            }
            Position::Named(name) => self.named(name.as_str()).ok_or_else(|| {
                name.fault(format!("there is no point `{}`", name.as_str()))
                    .remedy("name it in [plate.point]")
            }),
        }
    }

    fn named(&self, name: &str) -> Option<Point> {
        use crate::quantity::{Dimension, Scope};
        let axis = |axis: &str| {
            let value = self.names.value(&format!("{name}.{axis}"))?;
            value.expect(Dimension::LENGTH).ok()
        };
        Some(Point::new(axis("x")?, axis("y")?))
    }

    /// The shape of a step about its own origin.
    fn region(&self, step: &Step, shape: &Shape) -> Outcome<Region> {
        let shaped = self.shaped(shape)?;
        let title = step.title();
        let named = if title == shape.word() {
            format!("this {title}")
        } else {
            format!("this {} ({title})", shape.word())
        };
        Ok(shaped.map_err(|why| self.fault(step, format!("{named} cannot be made: {why}")))?)
    }

    fn shaped(&self, shape: &Shape) -> Outcome<Shaped> {
        let names = self.names;
        let size = |formula: &Formula, what: &str| formula.size(names, what);
        let or_none = |formula: &Option<Formula>, what: &str| match formula {
            Some(formula) => formula.length(names, what),
            None => Ok(0.0),
        };
        Ok(match shape {
            Shape::Disc { diameter } => shape::disc(size(diameter, "`diameter`")?),
            Shape::Ring { outside, inside } => {
                shape::ring(size(outside, "`outside`")?, size(inside, "`inside`")?)
            }
            Shape::Rectangle {
                width,
                height,
                corner,
                anchor,
            } => {
                let (width, height) = (size(width, "`width`")?, size(height, "`height`")?);
                let shift = Pose::shifted(anchored(*anchor, width, height));
                shape::rectangle(width, height, or_none(corner, "`corner`")?)
                    .map(|region| region.posed(&shift))
            }
            Shape::Polygon { points } => {
                let mut corners = Vec::with_capacity(points.len());
                for corner in points {
                    let x = corner.at[0].length(names, "x of a corner")?;
                    let y = corner.at[1].length(names, "y of a corner")?;
                    let radius = or_none(&corner.radius, "radius of a corner")?;
                    corners.push((Point::new(x, y), radius));
                }
                shape::polygon(&corners)
            }
            Shape::RegularPolygon { sides, across } => {
                let sides = sides.count(names, limits::TEETH, "`sides`")?;
                shape::regular_polygon(sides, size(across, "`across`")?)
            }
            Shape::Bar { from, to, widths } => {
                let (a, b) = self.widths(widths)?;
                shape::bar(self.point(from)?, self.point(to)?, a, b)
            }
            Shape::Slot { travel, width } => {
                let half = Vector::new(travel.length(names, "`travel`")? / 2.0, 0.0);
                let (from, to) = (Point::ORIGIN - half, Point::ORIGIN + half);
                shape::slot(from, to, size(width, "`width`")?)
            }
            Shape::SlotBetween { from, to, width } => {
                shape::slot(self.point(from)?, self.point(to)?, size(width, "`width`")?)
            }
            Shape::CurvedSlot {
                circle,
                sweep,
                width,
            } => shape::curved_slot(
                size(circle, "`circle`")?,
                sweep.angle(names, "`sweep`")?,
                size(width, "`width`")?,
            ),
            Shape::Sector {
                outside,
                inside,
                sweep,
                corner,
            } => shape::sector(
                size(outside, "`outside`")?,
                or_none(inside, "`inside`")?,
                sweep.angle(names, "`sweep`")?,
                or_none(corner, "`corner`")?,
            ),
            Shape::Bow {
                from,
                to,
                rise,
                widths,
            } => {
                let (a, b) = self.widths(widths)?;
                let rise = rise.length(names, "`rise`")?;
                shape::bow(self.point(from)?, self.point(to)?, rise, a, b)
            }
            Shape::Teeth { .. }
            | Shape::Text { .. }
            | Shape::Drawing { .. }
            | Shape::Path { .. } => Err("not yet".to_owned()),
        })
    }

    fn widths(&self, widths: &Widths) -> Result<(f64, f64), Fault> {
        match widths {
            Widths::Even(width) => {
                let width = width.size(self.names, "`width`")?;
                Ok((width, width))
            }
            Widths::Taper(from, to) => Ok((
                from.size(self.names, "`from_width`")?,
                to.size(self.names, "`to_width`")?,
            )),
        }
    }

    fn fault(&self, step: &Step, message: String) -> Fault {
        Fault::refused(message)
            .at(&self.part.family.source, step.span.clone())
            .label(format!("for the part at {}", self.part.place()))
    }

    fn resolved(&self, region: Result<Region, crate::geometry::Unresolved>) -> Outcome<Region> {
        Ok(region.map_err(|why| unresolved(self.part, &why))?)
    }
}

/// From the middle of a rectangle to where it is moved so that its anchor lies at the origin.
fn anchored(anchor: Anchor, width: f64, height: f64) -> Vector {
    let (x, y) = match anchor {
        Anchor::Centre => (0.0, 0.0),
        Anchor::Left => (1.0, 0.0),
        Anchor::Right => (-1.0, 0.0),
        Anchor::Lower => (0.0, 1.0),
        Anchor::Upper => (0.0, -1.0),
        Anchor::LowerLeft => (1.0, 1.0),
        Anchor::LowerRight => (-1.0, 1.0),
        Anchor::UpperLeft => (1.0, -1.0),
        Anchor::UpperRight => (-1.0, -1.0),
    };
    Vector::new(x * width / 2.0, y * height / 2.0)
}

fn circle_of(region: &Region) -> Option<Circle> {
    match region.faces.as_slice() {
        [face] if face.openings.is_empty() => face.outside.as_circle(),
        _ => None,
    }
}
