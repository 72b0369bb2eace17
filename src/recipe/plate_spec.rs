//! One plate of a family as written: thickness, quantity, named points and steps.

use std::ops::Range;

use super::limits;
use super::reader::{Reader, ends, optional, pair};
use super::step::{Position, Step};
use super::step_reader::step;
use super::template::Template;
use super::words::{AllowedRotation, Hand};
use crate::fault::Fault;
use crate::toml_text::{Formula, Item, Names, Table, Text, holds};

/// A `[[plate]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PlateSpec {
    /// Its name within the part; a recipe with one plate may leave it out.
    pub(crate) name: Option<Text>,
    /// The plate is made only if this holds.
    pub(crate) when: Option<Formula>,
    /// How many a part takes; one if not given.
    pub(crate) quantity: Option<Formula>,
    /// Its thickness; the dimension `thickness` if not given.
    pub(crate) thickness: Option<Formula>,
    /// Whether it is made as a left and a right.
    pub(crate) hand: Hand,
    /// The left one of a pair is made only if this holds.
    pub(crate) left_when: Option<Formula>,
    /// The right one of a pair is made only if this holds.
    pub(crate) right_when: Option<Formula>,
    /// How it may be turned on the sheet.
    pub(crate) rotation: AllowedRotation,
    /// Named points, in order.
    pub(crate) points: Vec<NamedPoint>,
    /// The steps, in order.
    pub(crate) steps: Vec<Step>,
    /// Where its places are measured from, if the recipe says, and what is found there.
    pub(crate) datum: Option<(Position, Text)>,
    /// Sizes that its drawing must show.
    pub(crate) sizes: Vec<SizeSpec>,
    /// What becomes of several pieces.
    pub(crate) pieces: Pieces,
    /// Where it stands in the recipe.
    pub(crate) span: Range<usize>,
}

/// What becomes of the pieces that the steps of a plate leave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Pieces {
    /// There must be one.
    #[default]
    One,
    /// Each is a plate.
    Each,
}

/// A `[[plate.dimension]]` block: a size that the drawing must show.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SizeSpec {
    /// It is shown only if this holds.
    pub(crate) when: Option<Formula>,
    /// One end.
    pub(crate) from: Position,
    /// The other.
    pub(crate) to: Position,
    /// What it is.
    pub(crate) says: Template,
}

impl SizeSpec {
    fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[plate.dimension]]");
        let when = reader.option(&mut table, "when");
        let (from, to) = ends(&mut table, reader);
        let says = reader.template(&mut table, "says", "\"from eye to eye\"");
        table.finish(reader.faults);
        Some(Self {
            when,
            from: from?,
            to: to?,
            says: says?,
        })
    }
}

/// `datum = { at = "axle", says = "the middle of the axle" }`.
fn datum(item: Item, reader: &mut Reader<'_>) -> Option<(Position, Text)> {
    let mut table = item.table(reader.faults)?;
    table.call("`datum`");
    let at = reader.need_position(&mut table, "at");
    let says = reader.text(&mut table, "says", "\"the middle of the axle\"");
    table.finish(reader.faults);
    at.zip(says)
}

/// A point of `[plate.point]`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NamedPoint {
    /// Its name.
    pub(crate) name: String,
    /// x and y.
    pub(crate) at: [Formula; 2],
}

impl PlateSpec {
    /// How many of it one part takes; none where it is not made.
    pub(crate) fn copies(&self, names: &Names) -> Result<u32, Fault> {
        if !holds(self.when.as_ref(), names)? {
            return Ok(0);
        }
        match &self.quantity {
            Some(formula) => formula.count(names, limits::QUANTITY, "`quantity`"),
            None => Ok(1),
        }
    }

    /// Whether it is one of these.
    pub(crate) fn is_among(&self, plates: &[Text]) -> bool {
        let own = self.name.as_ref().map(Text::as_str);
        plates.iter().any(|name| own == Some(name.as_str()))
    }

    /// What its cuts are called.
    pub(crate) fn opening_titles(&self) -> impl Iterator<Item = &str> {
        self.steps.iter().flat_map(Step::opening_titles)
    }

    /// Reads a `[[plate]]` block.
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[plate]]");
        let span = table.span();
        let name = table.take("name").and_then(|item| item.text(reader.faults));
        if let Some(name) = name.as_ref().filter(|it| it.as_str().contains(['{', '}'])) {
            let fault = name.fault("the name of a plate stands as it is, without values in braces");
            reader
                .faults
                .push(fault.remedy("give each plate a name of its own"));
        }
        let when = optional(&mut table, "when", |item| reader.formula(item));
        let quantity = optional(&mut table, "quantity", |item| reader.formula(item));
        let thickness = optional(&mut table, "thickness", |item| reader.formula(item));
        let hand = optional(&mut table, "hand", |item| item.word(reader.faults));
        let left_when = optional(&mut table, "left_when", |item| reader.formula(item));
        let right_when = optional(&mut table, "right_when", |item| reader.formula(item));
        let rotation = optional(&mut table, "turning", |item| item.word(reader.faults));
        let points = table.take("point");
        let points = points.map_or_else(Vec::new, |item| named_points(item, reader));
        let datum = optional(&mut table, "datum", |item| datum(item, reader));
        let sizes = table.take("dimension");
        let sizes = sizes.map_or_else(Vec::new, |item| item.tables(reader.faults));
        let sizes = sizes.into_iter();
        let sizes = sizes.filter_map(|it| SizeSpec::read(it, reader)).collect();
        let steps = reader.item(&mut table, "step", "… in [[plate.step]] blocks");
        let steps = steps.map_or_else(Vec::new, |item| steps_of(item, reader));
        table.finish(reader.faults);
        reader.forget_points();
        Some(Self {
            name,
            when: when?,
            quantity: quantity?,
            thickness: thickness?,
            hand: hand?.unwrap_or_default(),
            left_when: left_when?,
            right_when: right_when?,
            rotation: rotation?.unwrap_or_default(),
            points,
            steps,
            datum: datum?,
            sizes,
            pieces: Pieces::One,
            span,
        })
    }
}

fn named_points(item: Item, reader: &mut Reader<'_>) -> Vec<NamedPoint> {
    let many = item.fault(limits::beyond(limits::POINTS, "points", "plates"));
    let Some(table) = item.table(reader.faults) else {
        return Vec::new();
    };
    let source = std::sync::Arc::clone(table.source());
    let entries = table.rest();
    if entries.len() > limits::POINTS {
        reader.faults.push(many);
        return Vec::new();
    }
    let mut points = Vec::new();
    reader.later = entries.iter().map(|(key, _)| key.name.clone()).collect();
    for (key, item) in entries {
        if let Some(fault) = super::name::check(&key, &source, super::name::Named::Point) {
            reader.faults.push(fault);
        }
        if reader.is_own_point(&key.name) {
            let message = format!("the family has a point `{}` already", key.name);
            let fault = Fault::refused(message).at(&source, key.span.clone());
            reader.faults.push(fault.remedy("choose another name"));
            continue;
        }
        let at = pair(item, reader);
        // Known from here on even if it is wrong, so that it is reported once.
        reader.add_point(&key.name);
        reader.later.retain(|it| *it != key.name);
        points.extend(at.map(|at| NamedPoint { name: key.name, at }));
    }
    points
}

fn steps_of(item: Item, reader: &mut Reader<'_>) -> Vec<Step> {
    let many = item.fault(format!("no more than {} steps are possible", limits::STEPS));
    let tables = item.tables(reader.faults);
    if tables.len() > limits::STEPS {
        reader
            .faults
            .push(many.remedy("make a plate of each part of it"));
        return Vec::new();
    }
    tables
        .into_iter()
        .filter_map(|table| step(table, reader))
        .collect()
}
