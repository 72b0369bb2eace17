//! The report as one page that opens offline: pictures inside, and nothing fetched from anywhere. Its
//! one script only sorts lists; without it the page says the same.

use askama::Template;

use super::figures::{
    DrillFigures, FindingFigures, PlacementFigures, PlateFigures, Report, SheetFigures, Totals,
};
use super::words;
use crate::fault::{Fault, Outcome};
use crate::quantity::format::{self, both_units, counted};

/// The pictures of a run, as SVG text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pictures {
    /// One for each sheet, in order.
    pub sheets: Vec<String>,
    /// One for each plate, in order.
    pub plates: Vec<String>,
}

#[derive(Template)]
#[template(path = "report.html", config = "src/report/askama.toml")]
struct HtmlPage<'a> {
    report: &'a Report,
    sheets: Vec<(&'a SheetFigures, &'a str)>,
    plates: Vec<(&'a PlateFigures, &'a str)>,
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
pub fn html(report: &Report, pictures: &Pictures) -> Outcome<String> {
    let page = HtmlPage {
        report,
        sheets: beside(&report.sheets, &pictures.sheets),
        plates: beside(&report.plates, &pictures.plates),
        findings: findings(report),
    };
    let page = page.render();
    Ok(page.map_err(|error| Fault::file(format!("the report page cannot be made: {error}")))?)
}

fn beside<'a, T>(figures: &'a [T], pictures: &'a [String]) -> Vec<(&'a T, &'a str)> {
    let pictures = pictures
        .iter()
        .map(String::as_str)
        .chain(std::iter::repeat(""));
    figures.iter().zip(pictures).collect()
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

    fn drills(&self) -> bool {
        self.report
            .plates
            .iter()
            .any(|it| !it.drill_list.is_empty())
    }

    fn bolts(&self) -> bool {
        self.report.plates.iter().any(|it| !it.hardware.is_empty())
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

    fn first_look() -> &'static str {
        crate::plate::FIRST_LOOK
    }

    fn two(value: &f64) -> String {
        format!("{value:.2}")
    }

    fn one(value: &f64) -> String {
        format!("{value:.1}")
    }
}
