//! The page of a job: its parts and how many, the stock, the table, and its sheets.

use super::answer::{Bench, Live};
use super::document::{Block, Document, checksum};
use super::fields::Field;
use super::folder::entries;
use super::live::{cautions, fault_list};
use super::views::{self, JobLists, JobPage, PartLine, StockRow, Unreadable};
use crate::bolted;
use crate::fault::Outcome;
use crate::pipeline::{self, Drawn};
use crate::recipe::Job;
use crate::report::figures::JointFigures;
use crate::report::{brief, holding, terminal};

/// The page of a job.
pub(super) fn page(bench: &Bench<'_>, file: &str) -> Outcome<String> {
    let source = bench.source(file)?;
    let made_on = checksum(&source.text);
    let document = match Document::read(&source) {
        Ok(document) => document,
        Err(faults) => {
            return views::rendered(&Unreadable {
                file,
                block: Block::Job,
                checksum: made_on,
                faults: fault_list(&faults)?,
            });
        }
    };
    let plain = |key, says, usual| Field::plain(&document, Block::Job, (key, says), usual);
    let tables = bench.shelf.table_names();
    let head = vec![
        plain("name", "what it is called", "job"),
        plain("table", "the table it is cut on", "shop-plasma").among(tables),
        plain("web", "least metal between two parts", "6 mm"),
        plain("margin", "least distance from the edge of a sheet", "8 mm"),
    ];
    let title = document.typed(Block::Job, "name");
    let live = live(bench, file)?;
    let files = entries(bench).into_iter().filter(|it| !it.is_job);
    views::rendered(&JobPage {
        file,
        checksum: made_on,
        title: title.unwrap_or_else(|| file.to_owned()),
        head,
        lists: live.parts.get("lists").cloned().unwrap_or_default(),
        faults: live.parts.get("faults").cloned().unwrap_or_default(),
        recipes: bench.shelf.family_names(),
        files: files.map(|it| it.file).collect(),
    })
}

/// What of the page follows the file.
pub(super) fn live(bench: &Bench<'_>, file: &str) -> Outcome<Live> {
    let source = bench.source(file)?;
    let mut live = Live {
        checksum: checksum(&source.text),
        ..Live::default()
    };
    let document = match Document::read(&source) {
        Ok(document) => document,
        Err(faults) => {
            live.parts.insert("faults".to_owned(), fault_list(&faults)?);
            live.stale = true;
            return Ok(live);
        }
    };
    let job = Job::from_source(&source, bench.shelf);
    let drawn = job.and_then(|job| pipeline::draw(&job, bench.shelf));
    let faults = match &drawn {
        Ok(drawn) => pipeline::refuse(drawn).err(),
        Err(faults) => Some(faults.clone()),
    };
    let said = faults
        .as_ref()
        .map_or_else(|| Ok(String::new()), fault_list)?;
    live.parts.insert("faults".to_owned(), said);
    let (parts, stock) = document.blocks();
    let lists = JobLists {
        file,
        parts: (0..parts).map(|it| part_line(&document, it)).collect(),
        stock: (0..stock).map(|it| stock_row(&document, it)).collect(),
        levels: drawn.as_ref().ok().map(|drawn| {
            let findings = drawn.findings.iter().flatten();
            let counted = findings.map(|it| (it.level.word(), it.check.as_str()));
            brief::levels(&counted.collect::<Vec<_>>())
        }),
        joints: drawn.as_ref().map_or_else(|_| Vec::new(), joints),
        said: drawn.as_ref().map_or_else(|_| Vec::new(), said_of_joints),
        cautions: drawn
            .as_ref()
            .map_or_else(|_| Vec::new(), |it| cautions(&it.plates)),
    };
    live.parts
        .insert("lists".to_owned(), views::rendered(&lists)?);
    live.typed = document.all_typed(Block::Job);
    Ok(live)
}

/// The joints of the job, as the commands tell them.
fn joints(drawn: &Drawn) -> Vec<String> {
    let figures: Vec<JointFigures> = drawn.joints.iter().map(holding::joint).collect();
    let lines = terminal::joints(&figures);
    lines.lines().map(ToOwned::to_owned).collect()
}

/// What is said of them: a part's own page knows nothing of what it is bolted to.
fn said_of_joints(drawn: &Drawn) -> Vec<(String, String)> {
    let pairs = drawn.plates.iter().zip(&drawn.findings);
    let said = pairs.flat_map(|(plate, them)| them.iter().map(move |it| (plate, it)));
    let said = said.filter(|(_, it)| bolted::is_of_joint(it));
    let told = said.map(|(plate, it)| {
        let (level, check) = (it.level.word(), &it.check);
        let line = terminal::finding_line(level, &plate.name, check, &it.message);
        (line, it.remedy.clone())
    });
    told.collect()
}

fn part_line(document: &Document, index: usize) -> PartLine {
    let block = Block::Part(index);
    let typed = |key| document.typed(block, key);
    let of = document.made_of(block);
    let of = of.unwrap_or_else(|| "nothing yet".to_owned());
    PartLine {
        block,
        name: typed("name").unwrap_or_else(|| of.clone()),
        of,
        thickness: typed("thickness").unwrap_or_else(|| "as usual".to_owned()),
        quantity: Field::plain(document, block, ("quantity", "how many"), "1"),
    }
}

fn stock_row(document: &Document, index: usize) -> StockRow {
    let block = Block::Stock(index);
    let field = |key, says, usual| Field::plain(document, block, (key, says), usual);
    let outline = document.typed(block, "outline");
    let price = if document.typed(block, "price_per_kg").is_some() {
        field("price_per_kg", "price of a kilogram", "")
    } else {
        field("price", "price of a sheet", "")
    };
    StockRow {
        block,
        outline,
        fields: vec![
            field("material", "material", "mild steel"),
            field("thickness", "thickness", ""),
            field("size", "size", ""),
            field("quantity", "how many", "any"),
            price,
        ],
    }
}
