//! Whether a part holds, as its family reckons it, and the bolts that hold it.
//!
//! In: `[[hold]]` and `[[bolt]]` blocks of a recipe. Out, for one part: [`Margin`]s, each what is
//! carried over what is asked, the one nearest its limit first; [`NotChecked`] ways to fail, that the
//! family names without a formula or whose figures a table lacks; and [`Hardware`].

use crate::fault::{Fault, nearest};
use crate::quantity::{Dimension, Quantity, Scope, Value, format};
use crate::trade;
use crate::trade::bolt::{self, Fastener};
use crate::trade::material::Basis;

use super::fix::Fix;
use super::limits;
use super::reader::Reader;
use super::template::Template;
use crate::toml_text::Names;
use crate::toml_text::Table;
use crate::toml_text::Text;
use crate::toml_text::{Formula, holds};

/// What margins are worth.
pub const FIRST_LOOK: &str =
    "a first look by textbook formulas; local rules and a licensed person come first";

/// What a part's plate is asked to carry, and what it is bolted with.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StrengthResults {
    /// What is carried over what is asked, the one nearest its limit first.
    pub margins: Vec<Margin>,
    /// Ways to fail that nothing was worked out for.
    pub not_checked: Vec<NotChecked>,
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
    /// How the load was reckoned, with its numbers put in; empty where it is given.
    pub load_reckoned: String,
    /// How what it carries was reckoned, with its numbers put in; empty where it is given.
    pub carries_reckoned: String,
    /// Named values that both rest on, each with its numbers put in.
    pub steps: Vec<String>,
    /// Whether it rests on a strength that is usual, and that no standard guarantees.
    pub typical: bool,
    /// Carried over asked.
    pub ratio: f64,
    /// The ratio wanted.
    pub wanted: f64,
    /// The formula in words.
    pub formula: String,
    /// Where it comes from.
    pub source: String,
    /// What to do where it is not enough; else empty.
    pub remedy: String,
    /// What the remedy says to set.
    pub fixes: Vec<Fix>,
    /// Name of the openings it is about, if it has a place.
    pub near: Option<String>,
}

impl Margin {
    /// Whether it carries what is wanted, to the hundredth that is printed.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.ratio >= self.wanted - 0.005
    }

    /// How far it is from its limit: carried over asked, over what is wanted.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.ratio / self.wanted
    }
}

/// One way a part may fail that nothing was worked out for.
#[derive(Debug, Clone, PartialEq)]
pub struct NotChecked {
    /// What it is: `the weld at the boss`.
    pub says: String,
    /// What to look at instead.
    pub look: String,
    /// Why its margin could not be worked out, where the family has a formula for it.
    pub why: Option<String>,
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
    /// Tightening torque, base units, at [`bolt::TORQUE_FACTOR`]; `None` for a thread or class without a
    /// table, and for what is not tightened.
    pub torque: Option<f64>,
    /// Washers under heads and nuts, for one copy of the plate.
    pub washers: u32,
    /// What its nut is, if it is no plain one: `locking nut`.
    pub nut: Option<String>,
    /// The length to buy, mm; `None` for a thread without a table and past the longest bolt.
    pub length: Option<f64>,
    /// Name of the openings that they go through, where the family says so.
    pub near: Option<String>,
    /// How many of them, of all copies of the plate, joints of the job list instead.
    pub in_joints: u32,
}

impl Hardware {
    /// Washers of each bolt.
    #[must_use]
    pub const fn washers_each(&self) -> u32 {
        match self.count {
            0 => 0,
            count => self.washers / count,
        }
    }

    /// How many there are to get for so many copies of the plate, without those of the job's joints.
    #[must_use]
    pub const fn to_get(&self, copies: u32) -> u32 {
        self.count
            .saturating_mul(copies)
            .saturating_sub(self.in_joints)
    }
}

/// A `[[hold]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StrengthCheck {
    when: Option<Formula>,
    each: Option<Text>,
    says: Template,
    way: Way,
    pub(crate) plates: Vec<Text>,
}

/// How a way to fail is dealt with.
#[derive(Debug, Clone, PartialEq)]
enum Way {
    /// By a formula.
    Reckoned(Box<Reckoned>),
    /// Not at all: what to look at.
    NotChecked(Template),
}

/// What a margin is worked out from.
#[derive(Debug, Clone, PartialEq)]
struct Reckoned {
    load: Formula,
    carries: Formula,
    wanted: Formula,
    formula: String,
    source: Template,
    remedy: Template,
    near: Option<Text>,
}

/// What to look at where a table lacks the figures.
const LOOK: &str =
    "name a class or material that the tables have, or have it checked by a qualified person";

/// Share of its proof load to which a bolt is tightened that can be taken apart again: Shigley ch. 8.
pub const USUAL_TIGHTENING: f64 = 0.75;

/// What a nut is unless the recipe says otherwise: a vehicle shakes plain ones loose (common practice, no source).
const USUAL_NUT: &str = "locking nut";
/// The word for a plain one.
const PLAIN_NUT: &str = "nut";

/// Margins that may be wanted: below 1 it breaks, and far above it the load is a slip of the pen.
const WANTED: std::ops::RangeInclusive<f64> = 1.0..=100.0;

/// A `[[bolt]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Bolt {
    when: Option<Formula>,
    each: Option<Text>,
    says: Template,
    thread: Formula,
    class: Formula,
    fastener: Option<Formula>,
    count: Formula,
    grip: Formula,
    tightening: Option<Formula>,
    washers: Option<Formula>,
    nut: Option<Text>,
    near: Option<Text>,
    pub(crate) plates: Vec<Text>,
}

impl StrengthCheck {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[hold]]");
        let each = reader.enter(&mut table);
        let says = reader.template(&mut table, "says", "\"bolts by friction\"");
        let way = match reader.words(&mut table, "not_checked") {
            Some(look) => reader.filled_in(look).map(Way::NotChecked),
            None => Reckoned::read(&mut table, reader).map(|it| Way::Reckoned(Box::new(it))),
        };
        let plates = reader.plates(&mut table);
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        reader.leave();
        Some(Self {
            when,
            each,
            says: says?,
            way: way?,
            plates,
        })
    }

    /// Whether it counts, by its `when`.
    pub(crate) fn counts(&self, names: &Names) -> bool {
        holds(self.when.as_ref(), names).unwrap_or(false)
    }

    /// The dimensions that its remedy says to set.
    pub(crate) fn dimensions(&self) -> impl Iterator<Item = &Text> {
        let remedy = match &self.way {
            Way::Reckoned(it) => Some(&it.remedy),
            Way::NotChecked(_) => None,
        };
        remedy.into_iter().flat_map(Template::dimensions)
    }

    /// The openings it is about.
    pub(crate) fn near(&self) -> Option<&Text> {
        match &self.way {
            Way::Reckoned(it) => it.near.as_ref(),
            Way::NotChecked(_) => None,
        }
    }

    /// Adds what it comes to, where it counts. What a table lacks is told beside the plate; what the recipe
    /// should not want is refused.
    fn put(
        &self,
        (names, lets): (&Names, &[(String, Formula)]),
        results: &mut StrengthResults,
    ) -> Result<(), Fault> {
        let says = self
            .says
            .filled(names)
            .unwrap_or_else(|_| self.says.text().as_str().to_owned());
        let told = |look: String, why| NotChecked {
            says: says.clone(),
            look,
            why,
        };
        let failed = |fault: Fault| told(LOOK.to_owned(), Some(fault.message));
        match (holds(self.when.as_ref(), names), &self.way) {
            (Ok(false), _) => {}
            (Err(fault), _) => results.not_checked.push(failed(fault)),
            (Ok(true), Way::NotChecked(look)) => {
                let look = look.filled(names);
                let left = look.map_or_else(failed, |look| told(look, None));
                results.not_checked.push(left);
            }
            (Ok(true), Way::Reckoned(it)) => {
                it.wanted(names)?;
                match it.margin(&says, (names, lets)) {
                    Ok(margin) => results.margins.extend(margin),
                    Err(fault) => results.not_checked.push(failed(fault)),
                }
            }
        }
        Ok(())
    }
}

impl Reckoned {
    fn read(table: &mut Table, reader: &mut Reader<'_>) -> Option<Self> {
        let load = reader.need(table, "load", "\"torque\"");
        let carries = reader.need(table, "carries", "\"friction_torque(…)\"");
        let wanted = reader.need(table, "margin", "\"1.5\"");
        let formula = reader.text(table, "formula", "\"bolts * clamp * mu * circle / 2\"");
        let source = reader.template(table, "source", "\"where the formula comes from\"");
        let remedy = reader.template(table, "remedy", "\"use larger bolts\"");
        let near = reader.words(table, "near");
        Some(Self {
            load: load?,
            carries: carries?,
            wanted: wanted?,
            formula: formula?.as_str().to_owned(),
            source: source?,
            remedy: remedy?,
            near,
        })
    }

    /// Whether what it carries rests on the strength of a material that no standard guarantees.
    fn is_typical(&self, names: &Names) -> bool {
        const MATERIAL: &str = "material";
        let material = self.carries.names().contains(&MATERIAL);
        let material = material.then(|| names.value(MATERIAL)).flatten();
        let Some(Value::Text(name)) = material else {
            return false;
        };
        trade::material::find(&name).is_ok_and(|found| found.basis == Basis::Typical)
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

    /// The margin, `None` where nothing is asked.
    fn margin(
        &self,
        says: &str,
        (names, lets): (&Names, &[(String, Formula)]),
    ) -> Result<Option<Margin>, Fault> {
        let load = quantity(&self.load, names)?;
        let carries = quantity(&self.carries, names)?;
        if load.dimension != carries.dimension {
            let message = "`load` and `carries` are not of one kind";
            return Err(self.carries.text().fault(message));
        }
        if load.amount <= 0.0 {
            return Ok(None);
        }
        let mut margin = Margin {
            says: says.to_owned(),
            load_reckoned: reckoned(&self.load, names, load),
            carries_reckoned: reckoned(&self.carries, names, carries),
            steps: steps([&self.load, &self.carries], lets, names),
            load: format::four_figures(load),
            carries: format::four_figures(carries),
            typical: self.is_typical(names),
            ratio: carries.amount / load.amount,
            wanted: self.wanted(names)?,
            formula: self.formula.clone(),
            source: self.source.filled(names)?,
            remedy: String::new(),
            fixes: Vec::new(),
            near: self.near.as_ref().map(|it| it.as_str().to_owned()),
        };
        if !margin.is_enough() {
            margin.remedy = self.remedy.filled(names)?;
            margin.fixes = self.remedy.fixes(names)?;
        }
        Ok(Some(margin))
    }
}

impl Bolt {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[bolt]]");
        let each = reader.enter(&mut table);
        let says = reader.template(&mut table, "says", "\"hub bolts\"");
        let thread = reader.need(&mut table, "thread", "\"hub_bolt\"");
        let class = reader.need(&mut table, "class", "'usual_class(hub_bolt)'");
        let fastener = reader.option(&mut table, "fastener");
        let count = reader.need(&mut table, "count", "\"hub_count\"");
        let grip = reader.need(&mut table, "grip", "\"thickness\"");
        let tightening = reader.option(&mut table, "tightening");
        let washers = reader.option(&mut table, "washers");
        let nut = reader.words(&mut table, "nut");
        let near = reader.words(&mut table, "near");
        let plates = reader.plates(&mut table);
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        reader.leave();
        Some(Self {
            when,
            each,
            says: says?,
            thread: thread?,
            class: class?,
            fastener,
            count: count?,
            grip: grip?,
            tightening,
            washers,
            nut,
            near,
            plates,
        })
    }

    /// Whether it counts, by its `when`.
    pub(crate) fn counts(&self, names: &Names) -> bool {
        holds(self.when.as_ref(), names).unwrap_or(false)
    }

    /// The openings that they go through.
    pub(crate) fn near(&self) -> Option<&Text> {
        self.near.as_ref()
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
        let class = self.class.words(names, "`class`")?;
        let share = match &self.tightening {
            Some(share) => share.amount(names, Dimension::NONE, "`tightening`")?,
            None => USUAL_TIGHTENING,
        };
        let torque = thread.and_then(|thread| bolt::torque(&thread, &class, share));
        let washers = match &self.washers {
            Some(each) => each.count(names, limits::QUANTITY, "`washers`")?,
            None => fastener.washers(),
        };
        let hardware = Hardware {
            says: self.says.filled(names)?,
            washers: washers.saturating_mul(count),
            torque: torque.filter(|_| share > 0.0),
            nut: self.nut(fastener),
            near: self.near.as_ref().map(|it| it.as_str().to_owned()),
            in_joints: 0,
            length: thread.and_then(|thread| fastener.length(&thread, grip, washers)),
            thread: thread.map_or(written, |thread| thread.name()),
            class,
            fastener,
            count,
            grip,
        };
        Ok((count > 0).then_some(hardware))
    }

    /// What its nut is; `None` for a plain one, and where there is none.
    fn nut(&self, fastener: Fastener) -> Option<String> {
        match self.nut.as_ref().map(Text::as_str) {
            Some(PLAIN_NUT) => None,
            None => (fastener != Fastener::Tapped).then(|| USUAL_NUT.to_owned()),
            Some(other) => Some(other.to_owned()),
        }
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

/// What the blocks that belong to a plate come to; those that name none belong to the first
/// that is made.
pub(crate) fn strength_results(
    (checks, bolts): (&[StrengthCheck], &[Bolt]),
    (names, lets): (&Names, &[(String, Formula)]),
    belongs: impl Fn(&[Text]) -> bool,
) -> Result<StrengthResults, Fault> {
    let mut results = StrengthResults::default();
    for check in checks.iter().filter(|it| belongs(&it.plates)) {
        names.for_each(check.each.as_ref(), |names, _| {
            check.put((names, lets), &mut results)
        })?;
    }
    results
        .margins
        .sort_by(|a, b| a.share().total_cmp(&b.share()));
    for bolt in bolts.iter().filter(|it| belongs(&it.plates)) {
        names.for_each(bolt.each.as_ref(), |names, _| {
            results.hardware.extend(bolt.hardware(names)?);
            Ok(())
        })?;
    }
    Ok(results)
}

fn quantity(formula: &Formula, names: &Names) -> Result<Quantity, Fault> {
    match formula.value(names)? {
        Value::Quantity(quantity) => Ok(quantity),
        _ => Err(formula
            .text()
            .fault("this is no quantity")
            .remedy("write a number with its unit, such as \"12 N\"")),
    }
}

/// An expression with its numbers put in; nothing where that is no more than what it comes to.
fn reckoned(formula: &Formula, names: &Names, comes_to: Quantity) -> String {
    let written = formula.with_numbers(|name| {
        Some(match names.value(name)? {
            Value::Quantity(quantity) => shown(quantity),
            Value::Text(words) => format!("\"{words}\""),
            Value::Truth(_) => return None,
        })
    });
    if written == shown(comes_to) {
        String::new()
    } else {
        written
    }
}

/// Named values that expressions rest on, each with its numbers put in, those first that others rest on.
fn steps(of: [&Formula; 2], lets: &[(String, Formula)], names: &Names) -> Vec<String> {
    let mut used: Vec<&str> = Vec::new();
    let mut open = of.to_vec();
    while let Some(formula) = open.pop() {
        let named = formula.names();
        for (name, formula) in lets.iter().filter(|(name, _)| named.contains(&&**name)) {
            if !used.contains(&&**name) {
                used.push(name);
                open.push(formula);
            }
        }
    }
    let used = lets.iter().filter(|(name, _)| used.contains(&&**name));
    used.filter_map(|(name, formula)| {
        let Value::Quantity(comes_to) = names.value(name)? else {
            return None;
        };
        let written = reckoned(formula, names, comes_to);
        (!written.is_empty()).then(|| format!("{name} = {written} = {}", shown(comes_to)))
    })
    .collect()
}

/// An amount as it stands in an expression: lengths in mm alone.
fn shown(quantity: Quantity) -> String {
    if quantity.dimension == Dimension::LENGTH {
        format::millimetres(quantity.amount)
    } else {
        format::four_figures(quantity)
    }
}
