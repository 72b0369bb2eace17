//! Whether a part holds, as its family reckons it, and the bolts that hold it.
//!
//! In: `[[hold]]` and `[[bolt]]` blocks of a recipe. Out, for one part: [`Margin`]s, each what is
//! carried over what is asked, and [`Hardware`]. A margin that cannot be worked out, because a table
//! has no such bolt, is told and stops nothing.

use crate::fault::{Fault, nearest};
use crate::quantity::{Dimension, Quantity, Value, format};
use crate::trade;
use crate::trade::bolt::Fastener;

use super::limits;
use super::reader::Reader;
use super::template::Template;
use crate::toml_text::Names;
use crate::toml_text::Table;
use crate::toml_text::Text;
use crate::toml_text::{Formula, holds};

/// What a part's plate is asked to carry, and what it is bolted with.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StrengthResults {
    /// What is carried over what is asked.
    pub margins: Vec<Margin>,
    /// Margins that could not be worked out: what, and why.
    pub unknown: Vec<(String, String)>,
    /// Bolts of one copy of the plate.
    pub hardware: Vec<Hardware>,
}

/// One way a part may fail, and how far it is from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Margin {
    /// What is looked at: `hub bolts by friction`.
    pub says: String,
    /// What is asked of it, ready to print.
    pub load: String,
    /// What it carries, ready to print.
    pub carries: String,
    /// Carried over asked.
    pub ratio: f64,
    /// The ratio wanted.
    pub wanted: f64,
    /// The formula in words.
    pub formula: String,
    /// Where it comes from.
    pub source: String,
    /// What to do where it is not enough.
    pub remedy: String,
    /// Name of the openings it is about, if it has a place.
    pub near: Option<String>,
}

impl Margin {
    /// Whether it carries what is wanted, to the hundredth that is printed.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.ratio >= self.wanted - 0.005
    }
}

/// Bolts of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Hardware {
    /// What they are for.
    pub says: String,
    /// Their thread.
    pub thread: String,
    /// Their class or grade.
    pub class: String,
    /// What is bought.
    pub fastener: Fastener,
    /// How many for one copy of the plate.
    pub count: u32,
    /// Thickness of what they clamp, of U-bolts all that their legs span, mm.
    pub grip: f64,
    /// The length to buy, mm; `None` for a thread without a table and past the longest bolt.
    pub length: Option<f64>,
}

/// A `[[hold]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StrengthCheck {
    when: Option<Formula>,
    says: String,
    load: Formula,
    carries: Formula,
    wanted: Formula,
    formula: String,
    source: String,
    remedy: Template,
    near: Option<String>,
    pub(crate) plate: Option<Text>,
}

/// Margins that may be wanted: below 1 it breaks, and far above it the load is a slip of the pen.
const WANTED: std::ops::RangeInclusive<f64> = 1.0..=100.0;

/// A `[[bolt]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Bolt {
    when: Option<Formula>,
    says: String,
    thread: Formula,
    class: Formula,
    fastener: Option<Formula>,
    count: Formula,
    grip: Formula,
    pub(crate) plate: Option<Text>,
}

impl StrengthCheck {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[hold]]");
        let says = reader.text(&mut table, "says", "\"bolts by friction\"");
        let load = reader.need(&mut table, "load", "\"torque\"");
        let carries = reader.need(&mut table, "carries", "\"friction_torque(…)\"");
        let wanted = reader.need(&mut table, "margin", "\"1.5\"");
        let formula = reader.text(&mut table, "formula", "\"bolts * clamp * mu * circle / 2\"");
        let source = reader.text(&mut table, "source", "\"where the formula comes from\"");
        let remedy = reader.template(&mut table, "remedy", "\"use larger bolts\"");
        let near = words(&mut table, "near", reader);
        let plate = words(&mut table, "plate", reader);
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        Some(Self {
            when,
            says: says?.as_str().to_owned(),
            load: load?,
            carries: carries?,
            wanted: wanted?,
            formula: formula?.as_str().to_owned(),
            source: source?.as_str().to_owned(),
            remedy: remedy?,
            near: near.map(|text| text.as_str().to_owned()),
            plate,
        })
    }

    /// The margin that is wanted.
    fn wanted(&self, names: &Names) -> Result<f64, Fault> {
        let wanted = self.wanted.amount(names, Dimension::NONE, "`margin`")?;
        if WANTED.contains(&wanted) {
            return Ok(wanted);
        }
        let message = format!("`margin` comes to {}", format::decimal(wanted, 3));
        let fault = self.wanted.text().fault(message);
        Err(fault.remedy(format!("write {} to {}", WANTED.start(), WANTED.end())))
    }

    /// The margin, `None` where nothing is asked or the block does not count.
    fn margin(&self, names: &Names) -> Result<Option<Margin>, Fault> {
        if !holds(self.when.as_ref(), names)? {
            return Ok(None);
        }
        let load = quantity(&self.load, names)?;
        let carries = quantity(&self.carries, names)?;
        if load.dimension != carries.dimension {
            let message = "`load` and `carries` are not of one kind";
            return Err(self.carries.text().fault(message));
        }
        if load.amount <= 0.0 {
            return Ok(None);
        }
        Ok(Some(Margin {
            says: self.says.clone(),
            load: format::quantity(readable(load)),
            carries: format::quantity(readable(carries)),
            ratio: carries.amount / load.amount,
            wanted: self.wanted(names)?,
            formula: self.formula.clone(),
            source: self.source.clone(),
            remedy: self.remedy.filled(names)?,
            near: self.near.clone(),
        }))
    }
}

impl Bolt {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[bolt]]");
        let says = reader.text(&mut table, "says", "\"hub bolts\"");
        let thread = reader.need(&mut table, "thread", "\"hub_bolt\"");
        let class = reader.need(&mut table, "class", "'usual_class(hub_bolt)'");
        let fastener = reader.option(&mut table, "fastener");
        let count = reader.need(&mut table, "count", "\"hub_count\"");
        let grip = reader.need(&mut table, "grip", "\"thickness\"");
        let plate = words(&mut table, "plate", reader);
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        Some(Self {
            when,
            says: says?.as_str().to_owned(),
            thread: thread?,
            class: class?,
            fastener,
            count: count?,
            grip: grip?,
            plate,
        })
    }

    fn hardware(&self, names: &Names) -> Result<Option<Hardware>, Fault> {
        if !holds(self.when.as_ref(), names)? {
            return Ok(None);
        }
        let count = self.count.count(names, limits::QUANTITY, "`count`")?;
        let written = self.thread.words(names, "`thread`")?;
        let thread = trade::thread::read(&written).ok();
        let fastener = self.fastener(names)?;
        let grip = self.grip.amount(names, Dimension::LENGTH, "`grip`")?;
        let hardware = Hardware {
            says: self.says.clone(),
            length: thread.and_then(|thread| fastener.length(&thread, grip)),
            thread: thread.map_or(written, |thread| thread.name()),
            class: self.class.words(names, "`class`")?,
            fastener,
            count,
            grip,
        };
        Ok((count > 0).then_some(hardware))
    }

    /// A bolt with a nut unless the block says otherwise.
    fn fastener(&self, names: &Names) -> Result<Fastener, Fault> {
        let Some(formula) = &self.fastener else {
            return Ok(Fastener::default());
        };
        let written = formula.words(names, "`fastener`")?;
        let found = Fastener::ALL.iter().find(|(_, words)| *words == written);
        found.map(|(fastener, _)| *fastener).ok_or_else(|| {
            let words = Fastener::ALL.iter().map(|(_, words)| *words);
            let fault = formula
                .text()
                .fault(format!("there is no fastener \"{written}\""));
            match nearest(&written, words.clone()) {
                Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
                None => fault.remedy(format!("write {}", words.collect::<Vec<_>>().join(", "))),
            }
        })
    }
}

/// What the blocks that belong to a plate come to; those that name none belong to the first.
pub(crate) fn strength_results(
    (checks, bolts): (&[StrengthCheck], &[Bolt]),
    names: &Names,
    belongs: impl Fn(Option<&str>) -> bool,
) -> Result<StrengthResults, Fault> {
    let mut results = StrengthResults::default();
    let belongs = |plate: &Option<Text>| belongs(plate.as_ref().map(Text::as_str));
    for check in checks.iter().filter(|it| belongs(&it.plate)) {
        // What a table lacks is told beside the plate; what the recipe should not want is refused.
        if matches!(
            crate::toml_text::holds(check.when.as_ref(), names),
            Ok(true)
        ) {
            check.wanted(names)?;
        }
        match check.margin(names) {
            Ok(margin) => results.margins.extend(margin),
            Err(fault) => results.unknown.push((check.says.clone(), fault.message)),
        }
    }
    for bolt in bolts.iter().filter(|it| belongs(&it.plate)) {
        results.hardware.extend(bolt.hardware(names)?);
    }
    Ok(results)
}

fn quantity(formula: &Formula, names: &Names) -> Result<Quantity, Fault> {
    match formula.value(names)? {
        Value::Quantity(quantity) => Ok(quantity),
        _ => Err(formula.text().fault("this is no quantity")),
    }
}

/// An amount to four figures: a margin is not known better. Amounts in small units are kept.
fn readable(quantity: Quantity) -> Quantity {
    const FIGURES: i32 = 4;
    let (_, factor) = format::usual_unit(quantity.dimension).unwrap_or(("", 1.0));
    let amount = quantity.amount / factor;
    if amount == 0.0 || !amount.is_finite() {
        return quantity;
    }
    let step = 10_f64.powi(amount.abs().log10().floor() as i32 + 1 - FIGURES);
    Quantity {
        amount: (amount / step).round() * step * factor,
        ..quantity
    }
}

fn words(table: &mut Table, key: &str, reader: &mut Reader<'_>) -> Option<Text> {
    table.take(key).and_then(|item| item.text(reader.faults))
}
