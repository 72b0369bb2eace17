//! The report as one page that opens offline: pictures inside, and nothing fetched from anywhere. Its
//! one script only sorts lists; without it the page says the same.

use askama::Template;

use super::figures::{
    DrillFigures, FindingFigures, PlacementFigures, PlateFigures, Report, SheetFigures, Totals,
};
use super::words;
use crate::export::calculation::Calculation;
use crate::fault::{Fault, Outcome};
use crate::quantity::format::{self, both_units, counted};
use crate::sketch::{Role, Sketched};

/// What the page shows of a run beside its figures.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shows {
    /// The picture of each sheet as SVG text, in order.
    pub sheets: Vec<String>,
    /// What it shows of each plate, in order.
    pub plates: Vec<Shown>,
}

/// What the page shows of a plate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shown {
    /// Its picture, as SVG text.
    pub picture: String,
    /// Its calculation sheet.
    pub calculation: Option<Calculation>,
    /// The dimensions of its part, with the first plate of it.
    pub dimensions: Vec<Sketched>,
}

/// Dimensions under a heading.
struct Dimensions<'a> {
    heading: &'static str,
    them: Vec<&'a Sketched>,
}

#[derive(Template)]
#[template(path = "report.html", config = "src/report/askama.toml")]
struct HtmlPage<'a> {
    report: &'a Report,
    sheets: Vec<(&'a SheetFigures, &'a str)>,
    plates: Vec<(&'a PlateFigures, &'a Shown)>,
    /// The gravest first.
    findings: Vec<Said<'a>>,
}

/// A finding in the list of all.
struct Said<'a> {
    plate: &'a str,
    /// The number it carries on the plate's picture.
    number: usize,
    finding: &'a FindingFigures,
}

/// The page.
pub fn html(report: &Report, shows: &Shows) -> Outcome<String> {
    let sheets = shows.sheets.iter().map(String::as_str);
    let page = HtmlPage {
        report,
        sheets: report.sheets.iter().zip(sheets).collect(),
        plates: report.plates.iter().zip(&shows.plates).collect(),
        findings: findings(report),
    };
    let page = page.render();
    Ok(page.map_err(|error| Fault::file(format!("the report page cannot be made: {error}")))?)
}

fn findings(report: &Report) -> Vec<Said<'_>> {
    let mut all = Vec::new();
    for plate in &report.plates {
        for (index, finding) in plate.findings.iter().enumerate() {
            all.push(Said {
                plate: &plate.name,
                number: index + 1,
                finding,
            });
        }
    }
    all.sort_by_key(|it| HtmlPage::gravity(&it.finding.level));
    all
}

/// What the template needs to print figures.
#[allow(
    clippy::trivially_copy_pass_by_ref,
    reason = "the template hands over references"
)]
impl HtmlPage<'_> {
    /// Where a level stands among them, the gravest at 0.
    fn gravity(level: &str) -> usize {
        let order = ["refuse", "warn", "note"];
        order.iter().position(|it| *it == level).unwrap_or(0)
    }

    /// How many findings of a level there are, in words.
    fn counted(&self, level: &str, word: &str) -> String {
        let of_level = self.findings.iter().filter(|it| it.finding.level == level);
        counted(of_level.count(), word)
    }

    /// The copies on a sheet in the order in which they come free.
    fn freed(sheet: &SheetFigures) -> Vec<&PlacementFigures> {
        let mut freed: Vec<&PlacementFigures> = sheet.placements.iter().collect();
        freed.sort_by_key(|it| it.comes_free);
        freed
    }

    /// What is drilled in the plates of a sheet, and in how many copies of each.
    fn drilled_on(&self, sheet: &SheetFigures) -> Vec<(&str, usize, &DrillFigures)> {
        let copies = |plate: &PlateFigures| {
            let own = sheet.placements.iter().filter(|it| it.plate == plate.name);
            own.count()
        };
        let plates = self.report.plates.iter().map(|it| (it, copies(it)));
        let plates = plates.filter(|(_, copies)| *copies > 0);
        let drills = plates.flat_map(|(plate, copies)| {
            let own = plate.drill_list.iter();
            own.map(move |it| (plate.name.as_str(), copies, it))
        });
        drills.collect()
    }

    fn pierces(count: &usize) -> String {
        counted(*count, "pierce")
    }

    fn bolts(&self) -> bool {
        !self.report.joints.is_empty()
            || self.report.plates.iter().any(|it| !it.hardware.is_empty())
    }

    /// Dimensions by what they are for; those that do nothing are left to their names.
    fn by_role(shown: &Shown) -> Vec<Dimensions<'_>> {
        let of = |role: Role| Dimensions {
            heading: role.heading(),
            them: shown
                .dimensions
                .iter()
                .filter(|it| it.role == role)
                .collect(),
        };
        let roles = Role::ALL.into_iter().filter(|it| *it != Role::Idle);
        roles.map(of).filter(|it| !it.them.is_empty()).collect()
    }

    fn idle_heading() -> &'static str {
        Role::Idle.heading()
    }

    /// The names of dimensions that do nothing.
    fn idle(shown: &Shown) -> String {
        let idle = shown.dimensions.iter().filter(|it| it.role == Role::Idle);
        let names: Vec<&str> = idle.map(|it| it.name.as_str()).collect();
        names.join(", ")
    }

    /// The plate before this one that has the same calculation.
    fn reckoned_with(&self, plate: &PlateFigures, calculation: &Calculation) -> Option<&str> {
        let mut before = self
            .plates
            .iter()
            .take_while(|(it, _)| it.name != plate.name);
        let same = |it: &Calculation| it.ways == calculation.ways && it.of == calculation.of;
        let first = before.find(|(_, shown)| shown.calculation.as_ref().is_some_and(same));
        first.map(|(it, _)| it.name.as_str())
    }

    /// What a file beside a plate or sheet is, in a word or two.
    fn kind_of(path: &str) -> String {
        let (folder, file) = path.split_once('/').unwrap_or(("", path));
        let ending = file.rsplit_once('.').map_or("", |(_, ending)| ending);
        format!("{folder} ({ending})")
    }

    /// Files that no sheet and no plate of the page lists.
    fn other_files(&self) -> Vec<&str> {
        let sheets = self.report.sheets.iter();
        let of_sheets = sheets.flat_map(|it| self.files_of_sheet(it));
        let plates = self.report.plates.iter();
        let listed: Vec<&str> = of_sheets
            .chain(plates.flat_map(|it| self.files_of(&it.name)))
            .collect();
        let paths = self.report.files.iter().map(|it| it.path.as_str());
        paths.filter(|it| !listed.contains(it)).collect()
    }

    /// The plate before this one that comes of the same part and tells its dimensions.
    fn measured_with(&self, plate: &PlateFigures) -> Option<&str> {
        let mut before = self
            .report
            .plates
            .iter()
            .take_while(|it| it.name != plate.name);
        let of_part = |it: &&PlateFigures| {
            it.recipe == plate.recipe
                && it.dimensions == plate.dimensions
                && it.figures == plate.figures
        };
        let first = before.find(of_part)?;
        (!plate.dimensions.is_empty()).then_some(first.name.as_str())
    }

    /// The files of a sheet: those named after it, and the drawing of what is left of it.
    fn files_of_sheet<'a>(&'a self, sheet: &'a SheetFigures) -> Vec<&'a str> {
        let mut files = self.files_of(&sheet.name);
        files.extend(sheet.remnant.file.as_deref());
        files
    }

    /// The files named after a sheet or a plate.
    fn files_of(&self, name: &str) -> Vec<&str> {
        let paths = self.report.files.iter().map(|it| it.path.as_str());
        let stem = |path: &str| {
            let file = path.rsplit('/').next().unwrap_or(path);
            file.rsplit_once('.')
                .map_or(file, |(stem, _)| stem)
                .to_owned()
        };
        paths.filter(|path| stem(path) == name).collect()
    }

    /// A size of a blank, to a tenth of a millimetre.
    fn tenth(mm: &f64) -> String {
        both_units(format::tenth(*mm))
    }

    fn both(mm: &f64) -> String {
        both_units(*mm)
    }

    fn cost(totals: &Totals) -> String {
        words::cost(totals)
    }

    fn metres(mm: &f64) -> String {
        words::metres(*mm)
    }

    fn time(seconds: &f64) -> String {
        words::time(*seconds)
    }

    fn two(value: &f64) -> String {
        format!("{value:.2}")
    }

    /// Words made safe between tags, where quotes may stand: calculations and dimensions are full of them.
    fn between_tags(words: &str) -> String {
        let words = words.replace('&', "&amp;").replace('<', "&lt;");
        words.replace('>', "&gt;")
    }

    fn one(value: &f64) -> String {
        format!("{value:.1}")
    }
}
