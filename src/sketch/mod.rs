//! Where each dimension of a part is measured on its plates.
//!
//! In: a part. Out: a [`Sketch`]: the plates, and every dimension with what it does and, where one can
//! be found, the place where it is read off. The place is found from the geometry itself: each
//! dimension is moved a little, the part expanded again, and what grows by just as much is what it
//! measures; of several, the one that is as large as the dimension, and the simplest. A recipe may say
//! the place itself (`drawn`).

mod angles;
mod features;
mod focus;
mod lengths;
mod moving;
#[cfg(test)]
mod tests;

pub use focus::Moving;

use rayon::prelude::*;

use crate::fault::Outcome;
use crate::geometry::{Circle, Point, Tolerance, Vector};
use crate::plate::{self, Handed, KnownOutlines, Plate, Purpose};
use crate::quantity::{Dimension, Scope, Value, format};
use crate::recipe::drawn_at::DrawnForm;
use crate::recipe::{DimensionKind, DimensionSpec};
use crate::recipe::{Part, evaluate, unruled};
use crate::toml_text::{Formula, Names};

/// Amounts that agree within this, mm or radians, are the same on a sketch.
const ALIKE: f64 = 0.006;

/// So many rows of a list are shown where they lie.
const MOST_ROWS: usize = 24;

/// A part's plates with the places of its dimensions.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// What the part is.
    pub title: String,
    /// Its plates, net.
    pub plates: Vec<Plate>,
    /// Its dimensions, in the order of the recipe.
    pub dimensions: Vec<Sketched>,
}

/// One dimension on a sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketched {
    /// Its name in part files.
    pub name: String,
    /// What it is, in plain words.
    pub says: String,
    /// Its value, lengths in both units.
    pub value: String,
    /// Its value in few letters: as the builder wrote it, or in mm.
    pub short: String,
    /// What it is for.
    pub role: Role,
    /// Where it is read off.
    pub place: Option<Place>,
    /// Where the rows of a list lie.
    pub rows: Vec<Row>,
}

/// The opening that a row of a list makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// Which of the plates, from 0.
    pub plate: usize,
    /// Which of its openings, from 0.
    pub opening: usize,
    /// The row's number, from 1.
    pub number: usize,
}

/// What a dimension is for, in the order that a builder thinks of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Something that fits into or onto the part moves with it.
    Fits,
    /// It shapes the part.
    Shapes,
    /// It says what the part carries, and with what.
    Loads,
    /// It is a choice of form.
    Chooses,
    /// It moves nothing, but a rule or a figure rests on it.
    Judged,
    /// It does nothing with the other choices as they are.
    Idle,
}

impl Role {
    /// Every role, in that order.
    pub const ALL: [Self; 6] = [
        Self::Fits,
        Self::Shapes,
        Self::Loads,
        Self::Chooses,
        Self::Judged,
        Self::Idle,
    ];

    /// The heading over dimensions of it.
    #[must_use]
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Fits => "What must fit",
            Self::Shapes => "What shapes it",
            Self::Loads => "What it carries, and with what",
            Self::Chooses => "Choices of form",
            Self::Judged => "They move no edge: rules and figures go by them",
            Self::Idle => "They do nothing with the choices as they are",
        }
    }
}

/// Where a dimension is read off.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Which of the plates, from 0.
    pub plate: usize,
    /// What is read there.
    pub reading: Reading,
    /// What the plate measures there where that is not the dimension itself, mm or radians.
    pub here: Option<f64>,
}

/// What is read off a plate. Lengths are mm, angles radians.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// Its thickness.
    Thickness,
    /// A hole and those like it: by number of one of them.
    Opening(usize),
    /// A diameter, seen at some spots of an edge.
    Diameter(Circle, Vec<Point>),
    /// A radius, seen at some spots of an edge.
    Radius(Circle, Vec<Point>),
    /// The circle through the middles of holes.
    Pitch(Circle),
    /// A length along a direction.
    Length {
        /// The direction.
        along: Vector,
        /// From here.
        from: Station,
        /// To there.
        to: Station,
    },
    /// An angle.
    Angle {
        /// About this place.
        about: Point,
        /// Between these directions.
        turns: [f64; 2],
        /// Where the arc is drawn.
        radius: f64,
    },
    /// Nothing but a spot that it is about.
    Spot(Point),
}

/// An end of a length: a stretch of edge square to it, or a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// One end of the stretch.
    pub from: Point,
    /// The other, the same for a point.
    pub to: Point,
}

impl Reading {
    /// What is measured there, mm or radians; nothing for a spot and a thickness.
    fn amount(&self, plate: &Plate) -> Option<f64> {
        match self {
            Self::Thickness | Self::Spot(_) => None,
            Self::Opening(index) => Some(plate.openings[*index].circle?.radius * 2.0),
            Self::Diameter(circle, _) | Self::Pitch(circle) => Some(circle.radius * 2.0),
            Self::Radius(circle, _) => Some(circle.radius),
            Self::Length { along, from, to } => Some((to.from - from.from).dot(*along).abs()),
            Self::Angle { turns, .. } => Some((turns[1] - turns[0]).abs()),
        }
    }
}

impl Sketch {
    /// What is worth drawing of a plate: its dimensions that are read off there.
    pub fn read_off(&self, plate: usize) -> impl Iterator<Item = (&Sketched, &Place)> {
        let placed = self.dimensions.iter();
        let placed = placed.filter_map(|it| Some((it, it.place.as_ref()?)));
        placed.filter(move |(_, place)| place.plate == plate)
    }
}

/// Words of a recipe as a picture or a page shows them: names in them stand as they are, without the marks
/// that set them off in a file.
#[must_use]
pub fn plain(says: &str) -> String {
    says.replace('`', "")
}

/// Finds the places of all dimensions of a part that its rules allow.
pub fn sketch(part: &Part) -> Outcome<Sketch> {
    let evaluated = evaluate(part)?;
    let pinned = moving::pinned(part, &evaluated.names)?;
    let outlines = plate::outline_steps(&pinned, &unruled(&pinned)?)?.worked_out();
    let plates = plate::plates_known(part, &evaluated, &outlines)?.plates;
    let finder = Finder {
        part: &pinned,
        names: &evaluated.names,
        plates: &plates,
        outlines: &outlines,
    };
    let measures = part.family.measures.par_iter();
    let dimensions = measures.map(|it| finder.sketched(it, part)).collect();
    Ok(Sketch {
        title: part.family.title.clone(),
        plates,
        dimensions,
    })
}

/// What finds the place of a dimension.
struct Finder<'a> {
    /// The part, each amount set to what it is.
    part: &'a Part,
    names: &'a Names,
    plates: &'a [Plate],
    /// What the outlines come to as they are.
    outlines: &'a KnownOutlines,
}

impl Finder<'_> {
    /// The plates of the part with something in it another; `None` where there are none.
    fn plates_of(&self, part: Option<Part>) -> Option<Vec<Plate>> {
        let part = part?;
        let evaluated = unruled(&part).ok()?;
        let made = plate::plates_known(&part, &evaluated, self.outlines);
        Some(made.ok()?.plates)
    }

    fn sketched(&self, measure: &DimensionSpec, part: &Part) -> Sketched {
        let value = self
            .names
            .value(&measure.name)
            .unwrap_or(Value::Truth(false));
        let (role, found) = self.found(measure, &value);
        let drawn = (role < Role::Loads).then(|| self.said(measure)).flatten();
        let place = drawn.or(found).map(|(plate, reading)| Place {
            here: self.differs(&reading, plate, &value),
            plate,
            reading,
        });
        Sketched {
            name: measure.name.clone(),
            says: plain(&self.says(measure, role)),
            short: short(part, measure, &value),
            value: format::value(&value),
            role,
            place,
            rows: self.rows(measure),
        }
    }

    /// Where the rows of a list lie: a row is left out, and the opening that is gone with it, or that had its
    /// number where those after it move up, is what it makes.
    fn rows(&self, measure: &DimensionSpec) -> Vec<Row> {
        if !matches!(measure.kind, DimensionKind::List(_)) {
            return Vec::new();
        }
        let without = |row: usize| self.plates_of(self.part.without_row(measure, row));
        let rows = (0..MOST_ROWS).map_while(|row| Some((row, without(row)?)));
        let rows = rows.filter_map(|(row, without)| {
            let pairs = self.plates.iter().zip(&without).enumerate();
            let mut found = pairs.filter_map(|(plate, (old, new))| {
                let gone = features::gone(old, new);
                let numbered = |it: &&usize| features::number_of(old, **it) == Some(row + 1);
                let opening = match gone.as_slice() {
                    [one] => *one,
                    several => *several.iter().find(numbered)?,
                };
                Some(Row {
                    plate,
                    opening,
                    number: row + 1,
                })
            });
            found.next()
        });
        rows.collect()
    }

    /// What a dimension is for, and where it is read off as far as the plates show it.
    fn found(&self, measure: &DimensionSpec, value: &Value) -> (Role, Option<(usize, Reading)>) {
        if let DimensionKind::List(_) = measure.kind {
            return (Role::Shapes, None);
        }
        let tries = moving::others(measure, value, self.plates);
        let mut role = Role::Idle;
        let mut found = None;
        let chooses = matches!(
            measure.kind,
            DimensionKind::Choice(_) | DimensionKind::YesNo
        );
        for other in tries {
            let moved = moving::with(self.part, &measure.name, &other);
            let Some(moved) = self.plates_of(moved) else {
                continue;
            };
            let role_now = self.role(measure, &moved);
            if role_now < role {
                role = role_now;
            }
            if role < Role::Loads {
                found = self.place(measure, value, &other, &moved);
            }
            if found.is_some() || role == Role::Loads {
                break;
            }
        }
        let is_none = matches!(value, Value::Quantity(it) if it.amount == 0.0);
        if measure.kind == DimensionKind::Count && is_none {
            return (Role::Chooses, None);
        }
        match role {
            Role::Idle if self.is_ruled(&measure.name) => (Role::Judged, None),
            Role::Idle => (role, None),
            _ if chooses => (Role::Chooses, None),
            _ => (role, found),
        }
    }

    /// Whether a rule or figure that counts with the choices as they are names it.
    fn is_ruled(&self, name: &str) -> bool {
        let counts = |when: &Formula| self.counts(when);
        self.part.family.ruled(counts).contains(name)
    }

    fn counts(&self, when: &Formula) -> bool {
        when.truth(self.names, "`when`").unwrap_or(true)
    }

    /// What a dimension is; of one that moves no edge, what goes by it too.
    fn says(&self, measure: &DimensionSpec, role: Role) -> String {
        /// More than these are too long for a line of a sketch.
        const MOST: usize = 2;
        if role != Role::Judged {
            return measure.says.clone();
        }
        let counts = |when: &Formula| self.counts(when);
        let mut goes_by = self.part.family.rests_on(&measure.name, counts);
        goes_by.truncate(MOST);
        goes_by.insert(0, measure.says.clone());
        goes_by.join("; ")
    }

    fn role(&self, measure: &DimensionSpec, moved: &[Plate]) -> Role {
        if self.plates.len() != moved.len() {
            return Role::Shapes;
        }
        let pairs = || self.plates.iter().zip(moved);
        let fits = |(old, new): (&Plate, &Plate)| {
            let fitting = |plate: &Plate| {
                let openings = plate.openings.iter().zip(&plate.face.openings);
                let fitting = openings.filter(|(it, _)| it.purpose != Purpose::Window);
                let fitting = fitting.map(|(_, edge)| (edge.middle(), edge.length()));
                fitting.collect::<Vec<_>>()
            };
            let (old, new) = (fitting(old), fitting(new));
            let moves = |((at, length), (to, other)): (&(Point, f64), &(Point, f64))| {
                at.distance(*to) + (length - other).abs() > Tolerance::SAME
            };
            old.len() != new.len() || old.iter().zip(&new).any(moves)
        };
        let reshapes = |(old, new): (&Plate, &Plate)| {
            old.face != new.face
                || old.marks != new.marks
                || old.bends != new.bends
                || old.openings.len() != new.openings.len()
                || (old.thickness - new.thickness).abs() > 0.0
        };
        if measure.name != "thickness" && pairs().any(fits) {
            Role::Fits
        } else if pairs().any(reshapes) {
            Role::Shapes
        } else if pairs().any(|(old, new)| old.strength != new.strength) {
            Role::Loads
        } else {
            Role::Idle
        }
    }

    /// Where the recipe says that a dimension is drawn.
    fn said(&self, measure: &DimensionSpec) -> Option<(usize, Reading)> {
        let drawn = measure.drawn.as_ref()?;
        let plate = match &drawn.plate {
            Some(name) => {
                let ending = format!("-{}", name.as_str());
                self.plates
                    .iter()
                    .position(|it| it.name.ends_with(&ending))?
            }
            None => 0,
        };
        let flipped = self.plates[plate].hand == Handed::Right;
        let point = |[x, y]: [f64; 2]| Point::new(if flipped { -x } else { x }, y);
        let turn = |angle: f64| {
            if flipped {
                std::f64::consts::PI - angle
            } else {
                angle
            }
        };
        let reading = match drawn.worked_out(self.names).ok()? {
            DrawnForm::Spot(at) => Reading::Spot(point(at)),
            DrawnForm::Angle {
                about,
                turns,
                radius,
            } => Reading::Angle {
                about: point(about),
                turns: turns.map(turn),
                radius,
            },
            DrawnForm::Length([from, to]) => {
                let (from, to) = (point(from), point(to));
                match (to - from).unit() {
                    Some(along) => Reading::Length {
                        along,
                        from: Station::at(from),
                        to: Station::at(to),
                    },
                    None => Reading::Spot(from),
                }
            }
        };
        Some((plate, reading))
    }

    /// Where a dimension is read off, from plates where it is moved.
    fn place(
        &self,
        measure: &DimensionSpec,
        value: &Value,
        other: &Value,
        moved: &[Plate],
    ) -> Option<(usize, Reading)> {
        let pairs = self.plates.iter().zip(moved).enumerate();
        let amount = |value: &Value| match value {
            Value::Quantity(it) => Some(it.amount),
            _ => None,
        };
        let mut best: Option<(f64, usize, Reading)> = None;
        for (index, (old, new)) in pairs {
            let found = match &measure.kind {
                DimensionKind::Count | DimensionKind::Thread => {
                    features::changed_opening(old, new).map(|it| (0.0, Reading::Opening(it)))
                }
                DimensionKind::Quantity(_) => {
                    let (value, other) = (amount(value)?, amount(other)?);
                    let wanted = Wanted {
                        value,
                        by: other - value,
                    };
                    if (new.thickness - old.thickness - wanted.by).abs() < wanted.by.abs() / 10.0 {
                        Some((0.0, Reading::Thickness))
                    } else {
                        wanted.found(measure, old, new)
                    }
                }
                _ => None,
            };
            if let Some((cost, reading)) = found
                && best.as_ref().is_none_or(|(least, ..)| cost < *least)
            {
                best = Some((cost, index, reading));
            }
        }
        best.map(|(_, index, reading)| (index, reading))
    }

    /// What the plate measures, if that is not the dimension.
    fn differs(&self, reading: &Reading, plate: usize, value: &Value) -> Option<f64> {
        let here = reading.amount(&self.plates[plate])?;
        match value {
            Value::Quantity(it) if it.dimension == Dimension::NONE => None,
            Value::Quantity(it) if (it.amount.abs() - here).abs() < ALIKE => None,
            _ => Some(here),
        }
    }
}

/// The amount of a dimension, and by how much it was moved.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    value: f64,
    by: f64,
}

impl Wanted {
    /// What it costs to take what measures `before`, and `after` the move, for the dimension; `cost` is
    /// that of the kind of measure. Where it is not as large but only grows alike, it costs much, and
    /// the kind counts twice; where it does not grow alike there is none.
    fn cost(&self, cost: f64, before: f64, after: f64) -> Option<f64> {
        let rate = (after - before) / self.by;
        let off = (before - self.value).abs();
        let all = if off < ALIKE {
            cost
        } else {
            100.0 + off / 20.0 + 2.0 * cost
        };
        ((rate - 1.0).abs() < 0.02).then_some(all)
    }

    fn found(&self, measure: &DimensionSpec, old: &Plate, new: &Plate) -> Option<(f64, Reading)> {
        let pairs = features::matched(old, new, self.by);
        match measure.kind {
            DimensionKind::Quantity(Dimension::LENGTH) => lengths::found(self, &pairs),
            DimensionKind::Quantity(Dimension::ANGLE) => angles::found(self, &pairs),
            _ => None,
        }
    }
}

impl Station {
    /// A point.
    #[must_use]
    pub const fn at(p: Point) -> Self {
        Self { from: p, to: p }
    }
}

/// The value in few letters: inches as they were written, other lengths in mm.
fn short(part: &Part, measure: &DimensionSpec, value: &Value) -> String {
    /// Longest words that are shown as they were written.
    const LONGEST: usize = 14;
    let setting = part.setting(&measure.name).unwrap_or(&measure.default);
    let written = setting.text().as_str();
    match value {
        Value::Quantity(it) if it.dimension == Dimension::LENGTH => {
            let is_in_inches = written.len() <= LONGEST
                && (written.ends_with("in") || written.ends_with(['"', '\'']))
                && !written.contains(['(', '*', '+'])
                && setting.needs_no_names(&measure.kind);
            if is_in_inches {
                written.to_owned()
            } else {
                format::millimetres(it.amount)
            }
        }
        _ => format::value(value),
    }
}
