//! A job: parts with quantities, stock and the table.
//!
//! In: a job file, or a bare part file (a job of one part). Out: a [`Job`] whose every family is
//! read, or all that is wrong with it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::bolted::Bolted;
use super::drawn::part_of_either;
use super::limits;
use super::part::{self, Part};
use super::shelf::{Families, Shelf};
use super::tabs::TabChoice;
use super::words::{CutOrder, Finish, Purpose};
use crate::fault::{Fault, Outcome, Place, Source};
use crate::toml_text::Formula;
use crate::toml_text::Names;
use crate::toml_text::Text;
use crate::toml_text::file;
use crate::toml_text::{self, Item, Table};

/// Parts, stock and table.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What the builder calls it.
    pub name: String,
    /// The table it is cut on, by its name on the shelf.
    pub table: TableChoice,
    /// Least metal between the cuts of two parts, mm.
    pub web: f64,
    /// Least distance of a cut from the edge of a sheet, mm.
    pub margin: f64,
    /// Parts whose straight edges are cut once for two of them, by name.
    pub shared_cuts: Vec<Text>,
    /// What it says of holding tabs.
    pub tabs: TabChoice,
    /// By which law the torch goes from run to run; `None` where the table decides.
    pub order: Option<CutOrder>,
    /// Checks that are only to be noted.
    pub relax: Vec<Text>,
    /// Sheets and remnants at hand; none means the table's usual sheet.
    pub stock: Vec<StockLine>,
    /// The parts.
    pub parts: Vec<Part>,
    /// What of them is bolted together.
    pub bolted: Vec<Bolted>,
    /// The plates that are wanted, by name; all if none are named.
    pub only: Vec<String>,
    /// The file it was read from.
    pub source: Arc<Source>,
}

/// Which table a job is cut on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TableChoice {
    /// The usual one, as the job names none.
    Usual,
    /// The one that the job names.
    Named(Text),
}

impl TableChoice {
    /// Its name on the shelf.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Usual => "shop-plasma",
            Self::Named(text) => text.as_str(),
        }
    }
}

/// A `[[stock]]` line.
#[derive(Debug, Clone, PartialEq)]
pub struct StockLine {
    /// Material as the trade tables name it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Its outline.
    pub shape: StockShape,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<u32>,
    /// What it costs, in the shop's money.
    pub price: Option<Price>,
    /// Whether it is used before the others; remnants are unless the job says otherwise.
    pub first: bool,
    /// Where it stands in the file.
    pub place: Place,
}

/// What stock costs, in the shop's money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Price {
    /// One sheet.
    Each(f64),
    /// A kilogram of it.
    PerKilogram(f64),
}

/// The outline of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum StockShape {
    /// A rectangle, mm along x and y.
    Sheet(f64, f64),
    /// A remnant drawn in a DXF file.
    Remnant(Text),
}

/// Least metal between two parts unless a job says otherwise, mm. Common practice: about the
/// thickness of light plate.
const USUAL_WEB: f64 = 6.0;
/// Least distance from the edge of a sheet unless a job says otherwise, mm. Common practice.
const USUAL_MARGIN: f64 = 8.0;

impl Job {
    /// Reads a job or part file.
    pub fn read(path: &Path, shelf: &Shelf) -> Outcome<Self> {
        Self::from_source(&file::read(path)?, shelf)
    }

    /// The place of a file that the job names, from the folder that the job lies in.
    #[must_use]
    pub fn beside(&self, file: &str) -> PathBuf {
        let base = self.source.path.as_deref().and_then(Path::parent);
        base.unwrap_or(Path::new("")).join(file)
    }

    /// The files that the job consists of: its own, the outlines of its stock and drawings of parts.
    #[must_use]
    pub fn files(&self) -> Vec<PathBuf> {
        let outlines = self.stock.iter().filter_map(|line| match &line.shape {
            StockShape::Remnant(file) => Some(self.beside(file.as_str())),
            StockShape::Sheet(..) => None,
        });
        let of_parts = self.parts.iter().flat_map(Part::files);
        let own = self.source.path.iter().cloned();
        own.chain(outlines).chain(of_parts).collect()
    }

    /// Reads the text of a job or part file.
    pub fn from_source(source: &Arc<Source>, shelf: &Shelf) -> Outcome<Self> {
        Self::of_source(source, &mut Families::of(shelf))
    }

    /// The same with the families that are read so far.
    pub(super) fn of_source(source: &Arc<Source>, families: &mut Families) -> Outcome<Self> {
        let table = toml_text::read(source)?;
        let mut faults = Vec::new();
        let job = if table.is_table("job") || table.is_list("part") || table.is_table("part") {
            read_job(table, families, &mut faults)
        } else if table.has("recipe") || !table.has("plate") {
            bare_part(table, families, &mut faults)
        } else {
            let fault = Fault::refused("this is a recipe, not a part or a job").at(source, 0..0);
            faults.push(fault.remedy("write a part file: `platewright start` makes one"));
            None
        };
        toml_text::settle(job, faults)
    }

    /// A job of one part.
    #[must_use]
    pub fn of_part(part: Part) -> Self {
        Self {
            name: part.name.clone(),
            table: TableChoice::Usual,
            web: USUAL_WEB,
            margin: USUAL_MARGIN,
            shared_cuts: Vec::new(),
            tabs: TabChoice::default(),
            order: None,
            relax: Vec::new(),
            only: Vec::new(),
            stock: Vec::new(),
            source: part.place().source,
            parts: vec![part],
            bolted: Vec::new(),
        }
    }
}

/// A part file is a job of one part; it may name its table, ask for holding tabs, and say in which order to
/// cut.
fn bare_part(mut table: Table, families: &mut Families, faults: &mut Vec<Fault>) -> Option<Job> {
    let choice = table_choice(&mut table, faults);
    let tabs = TabChoice::read(&mut table, faults);
    let order = cut_order(&mut table, faults);
    let part = part_of_either(table, families, faults)?;
    Some(Job {
        table: choice?,
        tabs: tabs?,
        order: order?,
        ..Job::of_part(part)
    })
}

fn table_choice(table: &mut Table, faults: &mut Vec<Fault>) -> Option<TableChoice> {
    match table.take("table") {
        Some(item) => item.text(faults).map(TableChoice::Named),
        None => Some(TableChoice::Usual),
    }
}

/// Its `order`, if it is given; `None` if it is wrong.
fn cut_order(block: &mut Table, faults: &mut Vec<Fault>) -> Option<Option<CutOrder>> {
    match block.take("order") {
        Some(item) => item.word(faults).map(Some),
        None => Some(None),
    }
}

fn read_job(mut table: Table, families: &mut Families, faults: &mut Vec<Fault>) -> Option<Job> {
    table.call("this job");
    let source = Arc::clone(table.source());
    let head = head(&mut table, faults);
    let stock = lines(&mut table, "stock", limits::STOCK, faults, stock_line);

    let parts = lines(
        &mut table,
        "part",
        limits::PARTS,
        faults,
        |block, faults| part_of_either(block, families, faults),
    );
    let bolted = lines(&mut table, "bolted", limits::BOLTED, faults, Bolted::read);
    if parts.as_ref().is_some_and(Vec::is_empty) {
        let fault = table.fault("this job has no parts");
        faults.push(fault.remedy("add [[part]] with recipe = \"…\""));
    }
    table.finish(faults);
    let head = head?;
    let finishes = head.finishes?;
    let mut parts = parts?;
    for part in &mut parts {
        part.finishes.clone_from(&finishes);
    }
    Some(Job {
        name: head.name.unwrap_or_else(|| "job".to_owned()),
        table: head.table?,
        web: head.web?,
        margin: head.margin?,
        shared_cuts: head.shared_cuts,
        tabs: head.tabs?,
        order: head.order?,
        relax: head.relax,
        only: Vec::new(),
        stock: stock?,
        parts,
        bolted: bolted?,
        source,
    })
}

/// What `[job]` says; `None` for what is wrong.
struct Head {
    name: Option<String>,
    table: Option<TableChoice>,
    web: Option<f64>,
    margin: Option<f64>,
    shared_cuts: Vec<Text>,
    tabs: Option<TabChoice>,
    order: Option<Option<CutOrder>>,
    relax: Vec<Text>,
    finishes: Option<Vec<(Purpose, Finish)>>,
}

fn head(table: &mut Table, faults: &mut Vec<Fault>) -> Option<Head> {
    let Some(item) = table.take("job") else {
        return Some(Head {
            name: None,
            table: Some(TableChoice::Usual),
            web: Some(USUAL_WEB),
            margin: Some(USUAL_MARGIN),
            shared_cuts: Vec::new(),
            tabs: Some(TabChoice::default()),
            order: Some(None),
            relax: Vec::new(),
            finishes: Some(Vec::new()),
        });
    };
    let mut block = item.table(faults)?;
    block.call("[job]");
    let name = block.take("name").and_then(|item| item.text(faults));
    let choice = table_choice(&mut block, faults);
    let web = length_or(&mut block, "web", USUAL_WEB, faults);
    let margin = length_or(&mut block, "margin", USUAL_MARGIN, faults);
    let shared_cuts = block.take("shared_cuts");
    let shared_cuts = shared_cuts.map_or_else(Vec::new, |item| item.texts(faults));
    let tabs = TabChoice::read(&mut block, faults);
    let order = cut_order(&mut block, faults);
    let relax = block.take("relax");
    let relax = relax.map_or_else(Vec::new, |item| item.texts(faults));
    let finishes = finishes(&mut block, faults);
    block.finish(faults);
    Some(Head {
        name: name.map(|name| name.as_str().to_owned()),
        table: choice,
        web,
        margin,
        shared_cuts,
        tabs,
        order,
        relax,
        finishes,
    })
}

/// `finish = { bolt = "cut" }`: how openings of a purpose are made in this job.
fn finishes(block: &mut Table, faults: &mut Vec<Fault>) -> Option<Vec<(Purpose, Finish)>> {
    let Some(item) = block.take("finish") else {
        return Some(Vec::new());
    };
    let mut table = item.table(faults)?;
    table.call("`finish`");
    let mut finishes = Some(Vec::new());
    for (purpose, word) in Purpose::ALL {
        if let Some(item) = table.take(word) {
            match (item.word::<Finish>(faults), &mut finishes) {
                (Some(finish), Some(known)) => known.push((*purpose, finish)),
                _ => finishes = None,
            }
        }
    }
    table.finish(faults);
    finishes
}

/// Every block of a kind; `None` if one of them is wrong.
fn lines<T>(
    table: &mut Table,
    key: &str,
    most: usize,
    faults: &mut Vec<Fault>,
    mut read: impl FnMut(Table, &mut Vec<Fault>) -> Option<T>,
) -> Option<Vec<T>> {
    let Some(item) = table.take(key) else {
        return Some(Vec::new());
    };
    let many = item.fault(format!("no more than {most} [[{key}]] blocks are possible"));
    let blocks = item.tables(faults);
    if blocks.len() > most {
        faults.push(many.remedy("make several jobs of it"));
        return None;
    }
    let read: Vec<Option<T>> = blocks
        .into_iter()
        .map(|block| read(block, faults))
        .collect();
    read.into_iter().collect()
}

fn stock_line(mut block: Table, faults: &mut Vec<Fault>) -> Option<StockLine> {
    block.call("[[stock]]");
    let place = Place {
        source: Arc::clone(block.source()),
        span: block.span(),
    };
    let material = part::material(&mut block, faults);
    let thickness = block.need("thickness", "thickness = \"6 mm\"", faults);
    let thickness = thickness.and_then(|item| size(item, "`thickness`", faults));
    let shape = stock_shape(&mut block, faults);
    let quantity = match block.take("quantity") {
        Some(item) => part::quantity(item, faults).map(Some),
        None => Some(None),
    };
    let price = price(&mut block, faults);
    let first = match block.take("first") {
        Some(item) => item.truth(faults).map(Some),
        None => Some(None),
    };
    block.finish(faults);
    let shape = shape?;
    Some(StockLine {
        material: material?,
        thickness: thickness?,
        quantity: quantity?,
        price: price?,
        first: first?.unwrap_or(matches!(shape, StockShape::Remnant(_))),
        shape,
        place,
    })
}

/// `price` or `price_per_kg`; `None` if it is wrong.
fn price(block: &mut Table, faults: &mut Vec<Fault>) -> Option<Option<Price>> {
    let each = block.take("price");
    if let Some(item) = block.take("price_per_kg") {
        if each.is_some() {
            let fault = block.fault("this stock has a `price` and a `price_per_kg`");
            faults.push(fault.remedy("leave out one of them"));
        }
        return item
            .number(faults)
            .map(|price| Some(Price::PerKilogram(price)));
    }
    match each {
        Some(item) => item.number(faults).map(|price| Some(Price::Each(price))),
        None => Some(None),
    }
}

fn stock_shape(block: &mut Table, faults: &mut Vec<Fault>) -> Option<StockShape> {
    if let Some(item) = block.take("outline") {
        if block.has("size") {
            let fault = block.fault("this stock has a `size` and an `outline`");
            faults.push(fault.remedy("leave out one of them"));
            block.take("size");
        }
        return item.text(faults).map(StockShape::Remnant);
    }
    let item = block.need("size", "size = [\"1220 mm\", \"2440 mm\"]", faults)?;
    let [width, height] = item.pair(faults)?;
    let width = size(width, "`size` along x", faults);
    let height = size(height, "`size` along y", faults);
    Some(StockShape::Sheet(width?, height?))
}

fn length_or(table: &mut Table, key: &str, usual: f64, faults: &mut Vec<Fault>) -> Option<f64> {
    let Some(item) = table.take(key) else {
        return Some(usual);
    };
    let what = format!("`{key}`");
    let formula = item.formula(faults)?;
    let length = gathered(formula.length(&Names::none(), &what), faults)?;
    if length < 0.0 {
        faults.push(
            formula
                .text()
                .fault(format!("{what} is below 0"))
                .remedy("write 0 mm or more"),
        );
        return None;
    }
    Some(length)
}

fn size(item: Item, what: &str, faults: &mut Vec<Fault>) -> Option<f64> {
    let formula: Formula = item.formula(faults)?;
    gathered(formula.size(&Names::none(), what), faults)
}

fn gathered<T>(result: Result<T, Fault>, faults: &mut Vec<Fault>) -> Option<T> {
    result.map_err(|fault| faults.push(fault)).ok()
}
