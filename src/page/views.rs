//! The views: one template each. What they show is worked out before.

use askama::Template;

use super::document::Block;
use super::fields::{Field, Group};
use super::part::Filled;
use crate::fault::{Fault, Outcome};
use crate::quantity::format::both_units;
use crate::recipe::Family;
use crate::report::Report;
use crate::report::figures::{DrillFigures, FindingFigures, Holding};
use crate::trade::cautions::Caution;

/// The text of a view.
pub(super) fn rendered(view: &impl Template) -> Outcome<String> {
    let text = view.render();
    Ok(text.map_err(|error| Fault::program(format!("the page cannot be made: {error}")))?)
}

/// Something wrong, in a list.
pub(super) struct FaultRow {
    pub(super) message: String,
    pub(super) remedy: String,
    pub(super) place: String,
}

impl FaultRow {
    pub(super) fn of(fault: &Fault) -> Self {
        let place = fault.place.as_ref().filter(|it| it.span.end > 0);
        Self {
            message: fault.message.clone(),
            remedy: fault.remedy.clone().unwrap_or_default(),
            place: place.map_or_else(String::new, |it| {
                let (line, _) = it.source.line_column(it.span.start);
                format!("{}, line {line}", it.source.name)
            }),
        }
    }
}

/// What is wrong with a file.
#[derive(Template)]
#[template(path = "faults.html", config = "src/page/askama.toml")]
pub(super) struct FaultList {
    pub(super) rows: Vec<FaultRow>,
}

/// What is said at a field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Said {
    pub(super) level: &'static str,
    pub(super) message: String,
    pub(super) remedy: String,
    /// What would mend it: as it is read, and as it is typed.
    pub(super) fix: Option<(String, String)>,
}

/// What stands below a field.
#[derive(Template)]
#[template(path = "note.html", config = "src/page/askama.toml")]
pub(super) struct Note {
    pub(super) value: String,
    pub(super) range: String,
    pub(super) said: Vec<Said>,
}

/// A value that two changed.
#[derive(Template)]
#[template(path = "both.html", config = "src/page/askama.toml")]
pub(super) struct Both<'a> {
    pub(super) file: &'a str,
    pub(super) key: &'a str,
    pub(super) theirs: &'a str,
    pub(super) yours: &'a str,
}

/// A plate as it is shown.
pub(super) struct PlateShown {
    pub(super) name: String,
    pub(super) picture: String,
    pub(super) totals: Vec<(String, String)>,
    pub(super) findings: Vec<FindingFigures>,
    pub(super) holding: Holding,
    pub(super) drilling: Vec<DrillFigures>,
    pub(super) datum: String,
}

/// The pictures of a part.
#[derive(Template)]
#[template(path = "pictures.html", config = "src/page/askama.toml")]
pub(super) struct Pictures<'a> {
    pub(super) plates: &'a [PlateShown],
    pub(super) refused: bool,
}

/// What a part comes to.
#[derive(Template)]
#[template(path = "results.html", config = "src/page/askama.toml")]
pub(super) struct Results<'a> {
    pub(super) plates: &'a [PlateShown],
    pub(super) cautions: Vec<Caution>,
    pub(super) first_look: &'static str,
}

#[allow(
    clippy::trivially_copy_pass_by_ref,
    reason = "the template hands over references"
)]
impl Results<'_> {
    fn both(mm: &f64) -> String {
        both_units(*mm)
    }

    fn two(value: &f64) -> String {
        format!("{value:.2}")
    }
}

/// A part.
#[derive(Template)]
#[template(path = "part.html", config = "src/page/askama.toml")]
pub(super) struct PartPage<'a> {
    pub(super) file: &'a str,
    pub(super) block: Block,
    pub(super) checksum: String,
    pub(super) title: String,
    pub(super) family: Option<&'a Family>,
    pub(super) groups: Vec<Group>,
    pub(super) parts: Filled,
    /// Its plates.
    pub(super) plates: Vec<String>,
    /// Their places that have names.
    pub(super) places: Vec<String>,
}

impl PartPage<'_> {
    fn is_of_job(&self) -> bool {
        self.block != Block::Whole
    }
}

/// How far it is from one place to another.
#[derive(Template)]
#[template(path = "distance.html", config = "src/page/askama.toml")]
pub(super) struct Distance<'a> {
    pub(super) from: &'a str,
    pub(super) to: &'a str,
    /// The distance, and what it is along x and y.
    pub(super) told: Option<(String, [String; 2])>,
}

/// A file that is no TOML.
#[derive(Template)]
#[template(path = "unreadable.html", config = "src/page/askama.toml")]
pub(super) struct Unreadable<'a> {
    pub(super) file: &'a str,
    pub(super) block: Block,
    pub(super) checksum: String,
    pub(super) faults: String,
}

/// A file of the folder.
pub(super) struct Entry {
    pub(super) file: String,
    pub(super) is_job: bool,
    pub(super) title: String,
    pub(super) about: String,
    pub(super) can_be_drawn: bool,
}

/// A family of the shelf.
pub(super) struct Offer {
    pub(super) name: String,
    pub(super) title: String,
    pub(super) about: String,
    /// A name for the file that is free.
    pub(super) free: String,
}

/// The families of one group.
pub(super) struct Offers {
    pub(super) group: &'static str,
    pub(super) families: Vec<Offer>,
}

/// The folder.
#[derive(Template)]
#[template(path = "folder.html", config = "src/page/askama.toml")]
pub(super) struct FolderPage {
    pub(super) name: String,
    pub(super) jobs: Vec<Entry>,
    pub(super) parts: Vec<Entry>,
    pub(super) offers: Vec<Offers>,
    pub(super) free_job: String,
}

/// A part of a job, in a line.
pub(super) struct PartLine {
    pub(super) block: Block,
    pub(super) name: String,
    pub(super) of: String,
    pub(super) thickness: String,
    pub(super) quantity: Field,
}

/// A line of stock.
pub(super) struct StockRow {
    pub(super) block: Block,
    pub(super) outline: Option<String>,
    pub(super) fields: Vec<Field>,
}

/// The parts and the stock of a job.
#[derive(Template)]
#[template(path = "lists.html", config = "src/page/askama.toml")]
pub(super) struct JobLists<'a> {
    pub(super) file: &'a str,
    pub(super) parts: Vec<PartLine>,
    pub(super) stock: Vec<StockRow>,
    /// How many findings of each level there are.
    pub(super) levels: Option<String>,
    /// What is bolted together, a line each.
    pub(super) joints: Vec<String>,
    /// What is said of that, with what to do.
    pub(super) said: Vec<(String, String)>,
    pub(super) cautions: Vec<Caution>,
}

/// A job.
#[derive(Template)]
#[template(path = "job.html", config = "src/page/askama.toml")]
pub(super) struct JobPage<'a> {
    pub(super) file: &'a str,
    pub(super) checksum: String,
    pub(super) title: String,
    pub(super) head: Vec<Field>,
    pub(super) lists: String,
    pub(super) faults: String,
    pub(super) recipes: Vec<String>,
    pub(super) files: Vec<String>,
}

/// Sheets as they are laid out.
#[derive(Template)]
#[template(path = "sheets.html", config = "src/page/askama.toml")]
pub(super) struct SheetsShown<'a> {
    pub(super) report: &'a Report,
    pub(super) answer: String,
    pub(super) totals: Vec<(&'static str, String)>,
    pub(super) pictures: Vec<String>,
}

/// What was written.
#[derive(Template)]
#[template(path = "written.html", config = "src/page/askama.toml")]
pub(super) struct WrittenFiles {
    pub(super) said: String,
    pub(super) asides: Vec<String>,
    pub(super) has_report: bool,
    /// Path in the output folder, and as it stands in an address.
    pub(super) files: Vec<(String, String)>,
}

/// What cannot be shown.
#[derive(Template)]
#[template(path = "trouble.html", config = "src/page/askama.toml")]
pub(super) struct Trouble {
    pub(super) faults: String,
}

/// Something to tick off.
pub(super) struct Tick {
    pub(super) id: String,
    pub(super) says: String,
    pub(super) is_done: bool,
}

/// A sheet at the table.
#[derive(Template)]
#[template(path = "table.html", config = "src/page/askama.toml")]
pub(super) struct TablePage<'a> {
    pub(super) job: &'a str,
    pub(super) sheets: String,
    pub(super) name: &'a str,
    pub(super) about: String,
    pub(super) sheet: usize,
    pub(super) of: usize,
    pub(super) plates: Vec<Tick>,
    pub(super) drilling: Vec<Tick>,
    pub(super) cautions: Vec<(&'a str, &'a str)>,
}

/// Caliper readings.
#[derive(Template)]
#[template(path = "readings.html", config = "src/page/askama.toml")]
pub(super) struct ReadingsPage;

/// A second pattern on a plate.
#[derive(Template)]
#[template(path = "redrill.html", config = "src/page/askama.toml")]
pub(super) struct RedrillPage {
    pub(super) files: Vec<String>,
}

/// The best clocking.
#[derive(Template)]
#[template(path = "clocked.html", config = "src/page/askama.toml")]
pub(super) struct Clocked<'a> {
    pub(super) said: Vec<String>,
    pub(super) rules: Vec<[String; 5]>,
    pub(super) remedies: &'a [String],
    pub(super) drilled: String,
    pub(super) web: String,
    pub(super) cautions: &'a [Caution],
}
