//! From what a run made to the figures of its report.

use std::f64::consts::TAU;

use super::figures::{
    FindingFigures, Named, OpeningFigures, OrderFigures, PlacementFigures, PlateFigures,
    RemnantFigures, Report, RunFigures, SCHEMA, SharedCutFigures, SheetFigures, SkeletonFigures,
    SlugFigures, StartFigures, TabFigures, Totals, Unplaced, rounded,
};
use super::{holding, starts, words};
use crate::bolted::BoltedJoint;
use crate::cut::{OrderCosts, Table};
use crate::export::{ids, run_says, scrap_says};
use crate::finding::Finding;
use crate::lettering;
use crate::plate::{Datum, Making};
use crate::sheet::{Along, CutPlate, CutSheet};
use crate::trade;
use crate::trade::cautions::{Made, applying};

/// Everything a run made.
#[derive(Debug, Clone, Copy)]
pub struct Run<'a> {
    /// What the builder calls the job.
    pub job: &'a str,
    /// The table.
    pub table: &'a Table,
    /// Seed of the layout search.
    pub seed: u64,
    /// The plates with their cut paths.
    pub plates: &'a [CutPlate],
    /// What is said of each plate, in the same order.
    pub findings: &'a [Vec<Finding>],
    /// The sheets.
    pub sheets: &'a [CutSheet],
    /// Plates and how many copies of them found no room.
    pub unplaced: &'a [(usize, u32)],
    /// What of the plates is bolted together.
    pub joints: &'a [BoltedJoint],
}

/// Seconds of an hour.
const HOUR: f64 = 3600.0;

impl Run<'_> {
    /// The report of the run. The list of files is empty: it is filled once they are made.
    #[must_use]
    pub fn report(&self) -> Report {
        let sheets: Vec<SheetFigures> = self.sheets.iter().map(|it| self.sheet(it)).collect();
        let plates = (0..self.plates.len())
            .map(|index| self.plate(index))
            .collect();
        Report {
            schema: SCHEMA,
            platewright: env!("CARGO_PKG_VERSION").to_owned(),
            job: self.job.to_owned(),
            table: self.table.title.clone(),
            seed: self.seed,
            plates,
            totals: self.totals(&sheets),
            joints: self.joints.iter().map(holding::joint).collect(),
            sheets,
            unplaced: self
                .unplaced
                .iter()
                .map(|(plate, copies)| Unplaced {
                    plate: self.plates[*plate].plate.name.clone(),
                    copies: *copies,
                })
                .collect(),
            assumptions: self.assumptions(),
            cautions: applying(
                self.plates.iter().flat_map(|it| it.plate.topics()),
                &[Made::CutFile, Made::Template],
            ),
            files: Vec::new(),
        }
    }

    fn plate(&self, index: usize) -> PlateFigures {
        let CutPlate { plate, prepared } = &self.plates[index];
        let bounds = plate.face.outside.bounds();
        let area = plate.net_area();
        let datum = plate.datum();
        let named = |pairs: &[(String, String)]| {
            let named = pairs.iter().map(|(says, value)| Named {
                says: says.clone(),
                value: value.clone(),
            });
            named.collect()
        };
        PlateFigures {
            name: plate.name.clone(),
            id: ids::plate(&plate.name),
            recipe: plate.recipe.clone(),
            hand: plate.hand.word().map(str::to_lowercase),
            quantity: plate.quantity,
            material: plate.material.clone(),
            thickness_mm: rounded(plate.thickness),
            net_area_mm2: rounded(area),
            mass_kg: rounded(mass(area, plate.thickness, &plate.material)),
            width_mm: rounded(bounds.width()),
            height_mm: rounded(bounds.height()),
            pierces: prepared.paths.len(),
            cut_length_mm: rounded(prepared.paths.iter().map(crate::cut::CutPath::length).sum()),
            file: format!("plates/{}.dxf", plate.name),
            datum: datum.says.clone(),
            openings: plate
                .openings
                .iter()
                .enumerate()
                .map(|(at, opening)| {
                    let middle = datum.place(plate.middle_of(at));
                    OpeningFigures {
                        name: opening.name.clone(),
                        id: ids::opening(&plate.name, at),
                        purpose: opening.purpose.word().to_owned(),
                        thread: opening.thread.clone(),
                        diameter_mm: opening.circle.map(|circle| rounded(2.0 * circle.radius)),
                        x_mm: rounded(middle.x),
                        y_mm: rounded(middle.y),
                        made: opening.making.as_ref().map_or("", Making::word).to_owned(),
                    }
                })
                .collect(),
            drill_list: holding::drill_list(plate, &datum),
            holding_tabs: holding_tabs(&self.plates[index], &datum),
            cut_up_slugs: cut_up_slugs(&self.plates[index]),
            hardware: holding::hardware(plate),
            holding: holding::holding(plate),
            bends: plate.bends.len(),
            figures: named(&plate.figures),
            dimensions: named(&plate.dimensions),
            findings: (1..)
                .zip(&self.findings[index])
                .map(|(number, it)| FindingFigures {
                    id: it.at.map(|_| ids::finding(&plate.name, number)),
                    ..FindingFigures::of(it, &datum)
                })
                .collect(),
        }
    }

    fn sheet(&self, sheet: &CutSheet) -> SheetFigures {
        let bounds = sheet.outline.bounds();
        let used = sheet.used_length(self.plates);
        let left = sheet.remnant(self.plates);
        let remnant = RemnantFigures {
            width_mm: left.map_or(0.0, |left| rounded(left.width)),
            length_mm: left.map_or(0.0, |left| rounded(left.length)),
            area_mm2: left.map_or(0.0, |left| rounded(left.area)),
            form: left.map(|left| left.form.name()),
            largest_mm: left.map(|left| [rounded(left.largest.0), rounded(left.largest.1)]),
            says: left.map(|left| left.says()),
            file: None,
        };
        let net = sheet.plate_area(self.plates);
        let used_area = (sheet.outline.area() - remnant.area_mm2).max(f64::MIN_POSITIVE);
        let name_of = |index: usize| {
            let placement = &sheet.placements[index];
            let plate = &self.plates[placement.piece].plate.name;
            format!("{plate}/{}", placement.copy + 1)
        };
        let order = sheet.plate_numbers().into_iter().zip(sheet.run_numbers());
        let placements = sheet.placements.iter().zip(order).enumerate();
        let placements = placements.map(|(index, (placement, (comes_free, runs)))| {
            let plate = &self.plates[placement.piece].plate;
            let datum = placement.pose.point(plate.datum().at);
            PlacementFigures {
                id: ids::placement(&sheet.name, index),
                plate: plate.name.clone(),
                copy: placement.copy + 1,
                x_mm: rounded(datum.x),
                y_mm: rounded(datum.y),
                turn_deg: degrees_once(placement.pose.turn),
                inside: placement.inside.map(name_of),
                comes_free,
                runs: words::ranges(&runs),
            }
        });
        SheetFigures {
            name: sheet.name.clone(),
            stock: sheet.stock.clone(),
            material: sheet.material.clone(),
            thickness_mm: rounded(sheet.thickness),
            kerf_mm: rounded(sheet.kerf),
            width_mm: rounded(bounds.height()),
            length_mm: rounded(bounds.width()),
            used_along: match sheet.along {
                Along::X => "x",
                Along::Y => "y",
            },
            used_length_mm: rounded(used),
            used: sheet.used_says(self.plates),
            corner_mm: sheet
                .corner(self.plates)
                .map(|(x, y)| [rounded(x), rounded(y)]),
            use_percent: rounded(100.0 * net / used_area),
            pierces: sheet.plan.pierced(),
            cut_length_mm: rounded(sheet.plan.cut_length),
            rapid_length_mm: rounded(sheet.plan.rapid_length),
            time_s: rounded(sheet.plan.time),
            order: OrderFigures::new(sheet.plan.order, sheet.plan.order_costs),
            mass_kg: rounded(mass(sheet.outline.area(), sheet.thickness, &sheet.material)),
            remnant,
            file: format!("sheets/{}.dxf", sheet.name),
            placements: placements.collect(),
            skeleton: SkeletonFigures::of(sheet, self.table),
            shared_cuts: SharedCutFigures::of(std::slice::from_ref(sheet), self.plates),
            starts: StartFigures::of(sheet),
            runs: self.runs(sheet),
        }
    }

    /// Every run of a sheet.
    fn runs(&self, sheet: &CutSheet) -> Vec<RunFigures> {
        let of_plates = sheet.plan.paths.iter().map(|(index, path)| {
            let placement = &sheet.placements[*index];
            let says = run_says(&self.plates[placement.piece].plate, placement, path);
            (says, starts::word(path.start))
        });
        let in_scrap = sheet.plan.scrap.iter();
        let in_scrap = in_scrap.map(|cut| (scrap_says(cut).to_owned(), None));
        let runs = (1..).zip(of_plates.chain(in_scrap));
        runs.map(|(number, (cuts, start))| RunFigures {
            id: ids::run(&sheet.name, number),
            cuts,
            start,
        })
        .collect()
    }

    fn totals(&self, sheets: &[SheetFigures]) -> Totals {
        let sum = |of: fn(&SheetFigures) -> f64| rounded(sheets.iter().map(of).sum());
        let mut plate_mass = 0.0;
        let mut remnant_mass = 0.0;
        let (mut net, mut used) = (0.0, 0.0);
        for (sheet, figures) in self.sheets.iter().zip(sheets) {
            let area = sheet.plate_area(self.plates);
            plate_mass += mass(area, sheet.thickness, &sheet.material);
            remnant_mass += mass(figures.remnant.area_mm2, sheet.thickness, &sheet.material);
            net += area;
            used += sheet.outline.area() - figures.remnant.area_mm2;
        }
        let pierces = sheets.iter().map(|sheet| sheet.pierces).sum::<usize>();
        let time = sum(|sheet| sheet.time_s);
        let unpriced = self.sheets.iter().filter(|sheet| sheet.price.is_none());
        let priced: f64 = self.sheets.iter().filter_map(|sheet| sheet.price).sum();
        let sheet_mass = sum(|sheet| sheet.mass_kg);
        Totals {
            sheets: sheets.len(),
            pierces,
            cut_length_mm: sum(|sheet| sheet.cut_length_mm),
            rapid_length_mm: sum(|sheet| sheet.rapid_length_mm),
            order: self.order(),
            shared_cuts: SharedCutFigures::of(self.sheets, self.plates),
            plate_mass_kg: rounded(plate_mass),
            sheet_mass_kg: sheet_mass,
            scrap_mass_kg: rounded(sheet_mass - plate_mass - remnant_mass),
            remnant_mass_kg: rounded(remnant_mass),
            use_percent: if used > 0.0 {
                rounded(100.0 * net / used)
            } else {
                0.0
            },
            time_s: time,
            unpriced_sheets: unpriced.count(),
            cost: rounded(
                priced
                    + time / HOUR * self.table.hour_rate
                    + pierces as f64 * self.table.pierce_cost,
            ),
        }
    }

    /// Of all sheets together; they are cut on one table by one law.
    fn order(&self) -> OrderFigures {
        let costs = self.sheets.iter().map(|sheet| sheet.plan.order_costs);
        let all = costs.fold(OrderCosts::default(), |all, sheet| OrderCosts {
            rapid_length: all.rapid_length + sheet.rapid_length,
            time: all.time + sheet.time,
        });
        OrderFigures::new(self.table.order, all)
    }

    fn assumptions(&self) -> Vec<String> {
        let mut said = vec![
            format!(
                "Cut on \"{}\"; its settings are starting values until you have cut a test piece and \
                 measured the kerf.",
                self.table.title
            ),
            "Use % is the net metal of the plates over the sheet up to the farthest cut, or over the corner \
             that they lie in; what lies beyond is the remnant."
                .to_owned(),
            format!(
                "Time: feeds, pierces and rapids of the table, with its acceleration; loading and \
                 slag are not in it. Machine {} an hour, {} a pierce.",
                self.table.hour_rate, self.table.pierce_cost
            ),
        ];
        let mut materials: Vec<&str> = self
            .plates
            .iter()
            .map(|it| it.plate.material.as_str())
            .collect();
        materials.sort_unstable();
        materials.dedup();
        for material in materials {
            if let Ok(found) = trade::material::find(material) {
                said.push(format!("Mass of {material}: {} kg/m³.", found.density));
            }
        }
        let plates = self.plates.iter().map(|it| &it.plate);
        let openings = plates.flat_map(|it| it.openings.iter().map(|it| it.name.as_str()));
        let mut written = std::iter::once(self.job).chain(openings);
        if let Some(unknown) = written.find_map(lettering::unknown) {
            said.push(format!(
                "Pictures and templates show an empty box for a letter that their alphabet does not \
                 have, such as \"{unknown}\"."
            ));
        }
        if self.sheets.iter().any(|sheet| sheet.price.is_none()) {
            said.push("The cost leaves out the sheets that the job gives no price for.".to_owned());
        }
        said
    }
}

/// Slugs of a plate that are cut up.
fn cut_up_slugs(CutPlate { plate, prepared }: &CutPlate) -> Vec<SlugFigures> {
    let slugs = prepared.slugs.iter().map(|slug| SlugFigures {
        opening: plate.openings[slug.opening].name.clone(),
        cuts: slug.runs,
        longest_mm: rounded(slug.longest),
    });
    slugs.collect()
}

/// Where a plate stays tied to its sheet.
fn holding_tabs(CutPlate { plate, prepared }: &CutPlate, datum: &Datum) -> Vec<TabFigures> {
    let tabs = prepared.tabs.iter().map(|tab| {
        let at = datum.place(tab.at);
        TabFigures {
            opening: tab.opening.map(|index| plate.openings[index].name.clone()),
            x_mm: rounded(at.x),
            y_mm: rounded(at.y),
            width_mm: rounded(tab.width),
        }
    });
    tabs.collect()
}

/// Mass, kg: area in mm² times thickness in mm times the material's density.
fn mass(area: f64, thickness: f64, material: &str) -> f64 {
    trade::material::find(material).map_or(0.0, |found| found.mass(area, thickness))
}

impl FindingFigures {
    /// What is said of a plate, its place from the plate's datum.
    #[must_use]
    pub fn of(finding: &Finding, datum: &Datum) -> Self {
        let at = finding.at.map(|at| datum.place(at));
        Self {
            id: None,
            check: finding.check.clone(),
            level: finding.level.word().to_owned(),
            message: finding.message.clone(),
            remedy: finding.remedy.clone(),
            source: finding.source.clone(),
            x_mm: at.map(|at| rounded(at.x)),
            y_mm: at.map(|at| rounded(at.y)),
        }
    }
}

/// A turn in degrees from 0 up to 360.
fn degrees_once(turn: f64) -> f64 {
    let degrees = rounded(turn.rem_euclid(TAU).to_degrees());
    if degrees >= 360.0 { 0.0 } else { degrees }
}
