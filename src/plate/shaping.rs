//! From a shape as written to its region: the expressions of its keys, then its outline.

use std::path::Path;

use crate::fault::{Fault, Refusal};
use crate::geometry::{Circle, Point, Pose, Vector};
use crate::quantity::Dimension;
use crate::quantity::format::{decimal, millimetres};
use crate::recipe::step::{Action, Corner, Drawing, Shape, Step, Widths};
use crate::recipe::words::Anchor;
use crate::recipe::{Part, limits};
use crate::toml_text::{Formula, Names};

use super::drawing::{self, KnownSize, Outlines, ReadingRules, Trouble, UnitRule};
use super::placing::point;
use super::shape::{self, Shaped};

/// The region of a step's shape about its own origin, and what is to be said of its drawing.
pub(super) fn shaped(
    part: &Part,
    step: &Step,
    shape: &Shape,
    names: &Names,
) -> Result<Outlines, Fault> {
    let base = part.family.source.path.as_deref().and_then(Path::parent);
    let shaped = Sizes(names, base.unwrap_or(Path::new(""))).region(shape)?;
    shaped.map_err(|why| {
        let title = step.title();
        let named = if title == shape.word() {
            format!("this {title}")
        } else {
            format!("\"{title}\" ({})", shape.word())
        };
        let fails = match shape {
            Shape::Drawing(_) => "cannot be used:",
            _ => "cannot be made,",
        };
        let why = why.reworded(|why| format!("{named} {fails} {why}"));
        Fault::refused(why).at(&step.place.source, step.place.span.clone())
    })
}

/// What cannot be read of the drawings that a plain part is made from.
#[must_use]
pub fn troubles(part: &Part) -> Vec<Trouble> {
    let steps = part.family.plans.iter().flat_map(|it| &it.steps);
    let names = Names::none();
    let base = part.family.source.path.as_deref().and_then(Path::parent);
    let sizes = Sizes(&names, base.unwrap_or(Path::new("")));
    let drawings = steps.filter_map(|step| match &step.action {
        Action::Shape { shape, .. } => match shape.as_ref() {
            Shape::Drawing(drawing) => Some(drawing),
            _ => None,
        },
        _ => None,
    });
    let read = drawings.filter_map(|it| sizes.reading(it).ok());
    read.filter_map(|(file, rules)| drawing::trouble(&sizes.1.join(file), &rules))
        .collect()
}

/// Reads the values of keys; drawings are looked for in the folder.
struct Sizes<'a>(&'a Names, &'a Path);

impl Sizes<'_> {
    /// The outer fault is that of a value, the inner refusal that of a shape that cannot be.
    fn region(&self, shape: &Shape) -> Result<Result<Outlines, Refusal>, Fault> {
        let shaped: Shaped = match shape {
            Shape::Disc { diameter } => shape::disc(self.size(diameter, "`diameter`")?),
            Shape::Ring { outside, inside } => shape::ring(
                self.size(outside, "`outside`")?,
                self.size(inside, "`inside`")?,
            ),
            Shape::Rectangle {
                width,
                height,
                corner,
                anchor,
            } => self.rectangle(width, height, corner.as_ref(), *anchor)?,
            Shape::Polygon { points } => shape::polygon(&self.corners(points)?),
            Shape::RegularPolygon { sides, across } => shape::regular_polygon(
                sides.count(self.0, limits::TEETH, "`sides`")?,
                self.size(across, "`across`")?,
            ),
            Shape::Bar { from, to, widths } => {
                let (a, b) = self.widths(widths)?;
                shape::bar(point(from, self.0)?, point(to, self.0)?, a, b)
            }
            Shape::Hull { discs } => {
                let discs = discs.iter().map(|(at, diameter)| {
                    let radius = self.or_none(Some(diameter), "the diameter of a disc")? / 2.0;
                    let centre = point(at, self.0)?;
                    Ok(Circle { centre, radius })
                });
                shape::hull(&discs.collect::<Result<Vec<_>, Fault>>()?)
            }
            Shape::Slot { travel, width } => {
                let half = Vector::new(self.or_none(Some(travel), "`travel`")? / 2.0, 0.0);
                let (from, to) = (Point::ORIGIN + -half, Point::ORIGIN + half);
                shape::slot(from, to, self.size(width, "`width`")?)
            }
            Shape::SlotBetween { from, to, width } => shape::slot(
                point(from, self.0)?,
                point(to, self.0)?,
                self.size(width, "`width`")?,
            ),
            Shape::CurvedSlot {
                circle,
                sweep,
                width,
            } => shape::curved_slot(
                self.size(circle, "`circle`")?,
                sweep.angle(self.0, "`sweep`")?,
                self.size(width, "`width`")?,
            ),
            Shape::Sector {
                outside,
                inside,
                sweep,
                corner,
            } => shape::sector(
                self.size(outside, "`outside`")?,
                self.or_none(inside.as_ref(), "`inside`")?,
                sweep.angle(self.0, "`sweep`")?,
                self.or_none(corner.as_ref(), "`corner`")?,
            ),
            Shape::Bow {
                from,
                to,
                rise,
                widths,
            } => {
                let (a, b) = self.widths(widths)?;
                let rise = rise.length(self.0, "`rise`")?;
                shape::bow(point(from, self.0)?, point(to, self.0)?, rise, a, b)
            }
            Shape::Teeth {
                pitch,
                roller,
                count,
            } => shape::teeth(
                self.size(pitch, "`pitch`")?,
                self.size(roller, "`roller`")?,
                count.count(self.0, limits::TEETH, "`count`")?,
            ),
            Shape::Text {
                text,
                height,
                stroke,
            } => shape::words(
                &text.filled(self.0)?,
                self.size(height, "`height`")?,
                self.size(stroke, "`stroke`")?,
            ),
            Shape::Path { path } => shape::path(path.as_str()),
            Shape::Drawing(drawing) => return self.drawing(drawing),
        };
        Ok(shaped.map(Outlines::from))
    }

    fn drawing(&self, drawing: &Drawing) -> Result<Result<Outlines, Refusal>, Fault> {
        let (name, reading) = self.reading(drawing)?;
        Ok(drawing::outlines(&self.1.join(&name), &reading).map(|it| it.of_file(&name)))
    }

    /// The file of a drawing, and how it is to be read.
    fn reading(&self, drawing: &Drawing) -> Result<(String, ReadingRules), Fault> {
        let name = drawing.file.filled(self.0)?;
        let known = |at: usize, what: &str| {
            let size = drawing.known[at].as_ref();
            size.map(|it| it.size(self.0, what)).transpose()
        };
        let reading = ReadingRules {
            layers: drawing
                .layers
                .iter()
                .map(|it| it.as_str().to_owned())
                .collect(),
            unit: match drawing.unit {
                Some(unit) => UnitRule::Is(unit),
                None if drawing.asks_for_unit => UnitRule::Named,
                None => UnitRule::Usual,
            },
            scale: drawing
                .scale
                .as_ref()
                .map_or(Ok(1.0), |it| scale(it, self.0))?,
            known: KnownSize {
                width: known(0, "`width`")?,
                height: known(1, "`height`")?,
            },
            fit: self.at_most(
                drawing.fit.as_ref(),
                "`fit`",
                drawing::FIT,
                drawing::MOST_FIT,
            )?,
            gap: self.at_most(
                drawing.gap.as_ref(),
                "`gap`",
                drawing::GAP,
                drawing::MOST_GAP,
            )?,
        };
        Ok((name, reading))
    }

    /// A length up to the `most` mm that what it says how to read a drawing allows.
    fn at_most(
        &self,
        formula: Option<&Formula>,
        what: &str,
        usual: f64,
        most: f64,
    ) -> Result<f64, Fault> {
        let Some(formula) = formula else {
            return Ok(usual);
        };
        let length = formula.length(self.0, what)?;
        if (0.0..=most).contains(&length) {
            return Ok(length);
        }
        let refusal = Refusal::new(format!("{what} is {}", millimetres(length)));
        Err(formula.fault(refusal.remedy(format!(
            "give 0 mm to {}; 0 mm takes all as it is drawn",
            millimetres(most)
        ))))
    }

    fn rectangle(
        &self,
        width: &Formula,
        height: &Formula,
        corner: Option<&Formula>,
        anchor: Anchor,
    ) -> Result<Shaped, Fault> {
        let width = self.size(width, "`width`")?;
        let height = self.size(height, "`height`")?;
        let corner = self.or_none(corner, "`corner`")?;
        let shift = Pose::shifted(anchored(anchor, width, height));
        Ok(shape::rectangle(width, height, corner).map(|region| region.posed(&shift)))
    }

    fn corners(&self, corners: &[Corner]) -> Result<Vec<shape::Corner>, Fault> {
        let corners = corners.iter().map(|corner| {
            let x = corner.at[0].length(self.0, "x of a corner")?;
            let y = corner.at[1].length(self.0, "y of a corner")?;
            let radius = self.or_none(corner.radius.as_ref(), "the radius of a corner")?;
            let at = Point::new(x, y);
            Ok(shape::Corner { at, radius })
        });
        corners.collect()
    }

    fn widths(&self, widths: &Widths) -> Result<(f64, f64), Fault> {
        match widths {
            Widths::Even(width) => {
                let width = self.size(width, "`width`")?;
                Ok((width, width))
            }
            Widths::Taper(from, to) => Ok((
                self.size(from, "`from_width`")?,
                self.size(to, "`to_width`")?,
            )),
        }
    }

    fn size(&self, formula: &Formula, what: &str) -> Result<f64, Fault> {
        formula.size(self.0, what)
    }

    /// A length that may be left out, or be 0.
    fn or_none(&self, formula: Option<&Formula>, what: &str) -> Result<f64, Fault> {
        let Some(formula) = formula else {
            return Ok(0.0);
        };
        let length = formula.length(self.0, what)?;
        if length < 0.0 {
            let shown = crate::quantity::format::both_units(length);
            let fault = formula.text().fault(format!("{what} comes to {shown}"));
            return Err(fault.remedy("write 0 mm or more"));
        }
        Ok(length)
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

/// How many times as large as it is drawn a plate may be, and how many times as small.
const MOST_SCALE: f64 = 1000.0;

/// How many times as large as its drawing a plate is to be.
fn scale(formula: &Formula, names: &Names) -> Result<f64, Fault> {
    let scale = formula.amount(names, Dimension::NONE, "`scale`")?;
    if (1.0 / MOST_SCALE..=MOST_SCALE).contains(&scale) {
        return Ok(scale);
    }
    let refusal = Refusal::new(format!("`scale` is {}", decimal(scale, 6)));
    Err(formula.fault(
        refusal.remedy("give 0.001 to 1000; 2 makes the plate twice as large as it is drawn"),
    ))
}
