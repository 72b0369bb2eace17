//! A part as it is with the values that are typed: pictures, findings, margins, what is drilled, and what
//! is said of each field.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use super::answer::{Bench, Live, Parts};
use super::document::{Block, Document, checksum};
use super::edit;
use super::request::Patch;
use super::views::{self, FaultRow, Note, Pictures, PlateShown, Results, Said};
use crate::export::picture::{Chain, Dash, Ink, Stroke};
use crate::export::{plate_picture, svg};
use crate::fault::{Fault, Faults, Outcome, Source};
use crate::finding::{Finding, Level};
use crate::geometry::{Bounds, Segment};
use crate::pipeline::{self, Drawn, Unexamined};
use crate::plate::{Plate, plates_tried};
use crate::quantity::Scope;
use crate::quantity::format;
use crate::recipe::dimension_kind::DimensionKind;
use crate::recipe::{Family, Job, Part, broken_rules, unruled};
use crate::report::figures::{FindingFigures, PlateFigures};
use crate::report::{Run, holding};
use crate::sheet::CutPlate;
use crate::sketch::Moving;
use crate::trade::cautions::{Caution, Made, applying};

/// Edges that a dimension moves are drawn so thick, mm on paper.
const STRONG: f64 = 1.1;

/// A part with a value changed, or as it is.
pub(super) fn tried(
    bench: &Bench<'_>,
    file: &str,
    block: Block,
    patch: Option<&Patch>,
    focus: Option<&str>,
) -> Outcome<Live> {
    let mut source = bench.source(file)?;
    let made_on = checksum(&source.text);
    let mut document = match Document::read(&source) {
        Ok(document) => document,
        Err(faults) => return unreadable(&faults, made_on),
    };
    let stands = document.all_typed(block);
    if let Some(patch) = patch {
        source = bench.text_of(file, edit::with(bench, &document, patch)?);
        document = Document::read(&source)?;
    }
    let looked = Look::at(bench, &source, block, focus);
    let mut live = looked.live(&document, block)?;
    live.typed = stands;
    live.checksum = made_on;
    Ok(live)
}

/// A file that is no TOML: what is wrong with it, and nothing else changes.
fn unreadable(faults: &Faults, checksum: String) -> Outcome<Live> {
    let mut parts = Parts::new();
    parts.insert("faults".to_owned(), fault_list(faults)?);
    Ok(Live {
        parts,
        checksum,
        stale: true,
        ..Live::default()
    })
}

/// What is wrong, as a list.
pub(super) fn fault_list(faults: &Faults) -> Outcome<String> {
    let rows = faults.as_slice().iter().map(FaultRow::of).collect();
    views::rendered(&views::FaultList { rows })
}

/// A part of a file, and all that is found of it.
pub(super) struct Look {
    /// The part, if the file can be read.
    pub(super) part: Option<Part>,
    pub(super) family: Option<Arc<Family>>,
    drawn: Option<Drawn>,
    job: String,
    faults: Option<Faults>,
    /// The plates that its rules refuse, as they would be; none where it is drawn, or cannot be made at all.
    refused: Vec<Plate>,
    /// The edges of each plate that the dimension in focus moves.
    moved: Vec<Vec<Segment>>,
}

impl Look {
    /// Looks at a part as the commands do, and meanwhile for the edges that a dimension moves.
    pub(super) fn at(
        bench: &Bench<'_>,
        source: &Arc<Source>,
        block: Block,
        focus: Option<&str>,
    ) -> Self {
        match only(bench, source, block) {
            Ok(job) => {
                let (job, table) = match pipeline::on_table(&job, bench.shelf) {
                    Ok((job, table)) => (job.into_owned(), Ok(table)),
                    Err(faults) => (job, Err(faults)),
                };
                let part = job.parts.first();
                let moving = || {
                    part.zip(focus)
                        .and_then(|(it, name)| Moving::begun(it, name))
                };
                let made = || {
                    table
                        .and_then(|it| Unexamined::of(&job, it))
                        .map_err(|faults| {
                            let plates = part.and_then(|it| Some(plates_tried(it).ok()?.plates));
                            (faults, plates.unwrap_or_default())
                        })
                };
                let (made, moving) = rayon::join(made, moving);
                let edges = |plates| moving.map_or_else(Vec::new, |it| it.edges(plates));
                let (drawn, refused, moved) = match made {
                    Ok(made) => {
                        let plates = made.plates().to_vec();
                        let examined = || made.examined_and_scribed();
                        let (drawn, moved) = rayon::join(examined, || edges(&plates));
                        (Ok(drawn), Vec::new(), moved)
                    }
                    Err((faults, plates)) => {
                        let moved = edges(&plates);
                        (Err(faults), plates, moved)
                    }
                };
                let part = job.parts.into_iter().next();
                Self {
                    family: part.as_ref().map(|it| Arc::clone(&it.family)),
                    part,
                    faults: drawn.as_ref().err().cloned(),
                    drawn: drawn.ok(),
                    job: job.name,
                    refused,
                    moved,
                }
            }
            Err(faults) => Self {
                part: None,
                family: family(bench, source, block),
                drawn: None,
                job: String::new(),
                faults: Some(faults),
                refused: Vec::new(),
                moved: Vec::new(),
            },
        }
    }

    /// The pieces of the page that show it.
    pub(super) fn live(&self, document: &Document, block: Block) -> Outcome<Live> {
        let (shown, notes) = rayon::join(|| self.pieces(), || self.notes(document, block));
        let (mut parts, stale) = shown?;
        parts.extend(notes?);
        Ok(Live {
            parts,
            stale,
            ..Live::default()
        })
    }

    /// Faults, results and pictures, and whether the pictures that are there are out of date.
    fn pieces(&self) -> Outcome<(Parts, bool)> {
        let mut parts = Parts::new();
        let faults = self.faults.as_ref();
        let list = faults.map_or_else(|| Ok(String::new()), fault_list)?;
        parts.insert("faults".to_owned(), list);
        let refused = self.drawn.is_none();
        let plates = match &self.drawn {
            Some(drawn) => self.shown(drawn, &self.moved),
            None => self.as_it_would_be(),
        };
        if let Some(drawn) = &self.drawn {
            let results = Results {
                plates: &plates,
                cautions: cautions(&drawn.plates),
                first_look: crate::plate::FIRST_LOOK,
            };
            parts.insert("results".to_owned(), views::rendered(&results)?);
        } else if self.part.is_some() {
            parts.insert("results".to_owned(), String::new());
        }
        if !plates.is_empty() {
            let pictures = Pictures {
                plates: &plates,
                refused,
            };
            parts.insert("pictures".to_owned(), views::rendered(&pictures)?);
        }
        Ok((parts, plates.is_empty()))
    }

    /// The plates, while they can be drawn.
    pub(super) fn plates(&self) -> &[Plate] {
        self.drawn.as_ref().map_or(&[], |it| &it.plates)
    }

    /// The part of the plane that the picture of a plate shows, and how many times as large.
    pub(super) fn frame(&self, index: usize) -> Option<(Bounds, f64)> {
        let drawn = self.drawn.as_ref()?;
        let shown = plate_picture(drawn.plates.get(index)?, drawn.findings.get(index)?);
        Some((shown.frame, shown.enlarged))
    }

    /// The pictures alone, with some lines strong.
    pub(super) fn pictured(&self, strong: &[Vec<Segment>]) -> Outcome<Live> {
        let mut live = Live::default();
        if let Some(drawn) = &self.drawn {
            let pictures = Pictures {
                plates: &self.shown(drawn, strong),
                refused: false,
            };
            let pictures = views::rendered(&pictures)?;
            live.parts.insert("pictures".to_owned(), pictures);
        }
        Ok(live)
    }

    /// The plates with the figures that a report has.
    fn shown(&self, drawn: &Drawn, strong: &[Vec<Segment>]) -> Vec<PlateShown> {
        let plates = drawn.plates.par_iter().zip(&drawn.findings).enumerate();
        let shown = plates.map(|(index, (plate, findings))| {
            let edges = strong.get(index).map_or(&[][..], Vec::as_slice);
            let datum = plate.datum();
            let (picture, figures) = rayon::join(
                || picture(plate, findings, edges),
                || figures(&self.job, drawn, index),
            );
            PlateShown {
                name: plate.name.clone(),
                picture,
                totals: totals(plate, figures.as_ref()),
                findings: findings
                    .iter()
                    .map(|it| FindingFigures::of(it, &datum))
                    .collect(),
                holding: holding::holding(plate),
                drilling: holding::drill_list(plate, &datum),
                datum: datum.says,
            }
        });
        shown.collect()
    }

    /// The plates that its rules refuse, as they would be.
    fn as_it_would_be(&self) -> Vec<PlateShown> {
        let shown = self.refused.iter().enumerate().map(|(index, plate)| {
            let edges = self.moved.get(index).map_or(&[][..], Vec::as_slice);
            PlateShown {
                name: plate.name.clone(),
                picture: picture(plate, &[], edges),
                totals: Vec::new(),
                findings: Vec::new(),
                holding: holding::holding(plate),
                drilling: Vec::new(),
                datum: String::new(),
            }
        });
        shown.collect()
    }

    /// What is said below each field, by the id of its place.
    fn notes(&self, document: &Document, block: Block) -> Outcome<Vec<(String, String)>> {
        let mut said = self.said(document, block);
        let names = self.part.as_ref().and_then(|it| unruled(it).ok());
        let names = names.map(|it| it.names);
        let mut notes = Vec::new();
        let own = ["name", "quantity", "material", "thickness", "unit"];
        let mut note = |key: &str, value: String, range: String| {
            let said = said.remove(key).unwrap_or_default();
            let note = views::rendered(&Note { value, range, said })?;
            notes.push((format!("note-{key}"), note));
            Ok::<(), Faults>(())
        };
        let measures = self.family.as_ref().map_or(&[][..], |it| &it.measures);
        let typed = document.all_typed(block);
        let others = typed.keys().map(String::as_str);
        let own = own.into_iter().chain(others.filter(|it| !own.contains(it)));
        for key in own {
            if !measures.iter().any(|it| it.name == key) {
                note(key, String::new(), String::new())?;
            }
        }
        for measure in measures {
            let value = names.as_ref().and_then(|it| it.value(&measure.name));
            let value = value.map_or_else(String::new, |it| format::value(&it));
            let written = self.part.as_ref().and_then(|it| it.setting(&measure.name));
            let written = written.unwrap_or(&measure.default).text().as_str();
            let is_as_written = value == written || matches!(measure.kind, DimensionKind::YesNo);
            let value = if is_as_written { String::new() } else { value };
            let range = names.as_ref().and_then(|it| measure.range(it).ok()?);
            note(&measure.name, value, range.unwrap_or_default())?;
        }
        Ok(notes)
    }

    /// What is wrong with each field, and what rules say to set it to.
    fn said(&self, document: &Document, block: Block) -> BTreeMap<String, Vec<Said>> {
        let mut said: BTreeMap<String, Vec<Said>> = BTreeMap::new();
        let mut add = |key: &str, it: Said| {
            let known = said.entry(key.to_owned()).or_default();
            if !known.iter().any(|known| known.message == it.message) {
                known.push(it);
            }
        };
        let broken = self.part.as_ref().and_then(|it| broken_rules(it).ok());
        for rule in broken.iter().flatten() {
            for fix in &rule.fixes {
                add(
                    &fix.dimension,
                    Said {
                        level: rule.level().word(),
                        message: rule.message.clone(),
                        remedy: rule.remedy.clone(),
                        fix: Some((fix.words(), fix.typed())),
                    },
                );
            }
        }
        let plates = self.drawn.iter().flat_map(|it| &it.plates);
        let weak = plates.flat_map(|it| &it.strength.margins);
        for margin in weak.filter(|it| !it.is_enough()) {
            for fix in &margin.fixes {
                add(
                    &fix.dimension,
                    Said {
                        level: Level::Warn.word(),
                        message: holding::stand(margin),
                        remedy: margin.remedy.clone(),
                        fix: Some((fix.words(), fix.typed())),
                    },
                );
            }
        }
        let faults = self.faults.iter().flat_map(Faults::as_slice);
        for fault in faults {
            let place = fault.place.as_ref();
            let place = place.filter(|it| it.source.name == document.name());
            let key = place.and_then(|it| document.key_at(block, it.span.start));
            if let Some(key) = key {
                add(&key, said_of(fault));
            }
        }
        said
    }
}

fn said_of(fault: &Fault) -> Said {
    Said {
        level: "refuse",
        message: fault.message.clone(),
        remedy: fault.remedy.clone().unwrap_or_default(),
        fix: None,
    }
}

/// The job of one part of a file.
fn only(bench: &Bench<'_>, source: &Arc<Source>, block: Block) -> Outcome<Job> {
    let mut job = Job::from_source(source, bench.shelf)?;
    let index = match block {
        Block::Part(index) => index,
        _ => 0,
    };
    if index >= job.parts.len() {
        let fault = Fault::refused(format!("{} has no such part", source.name));
        return Err(fault
            .remedy("go back to the folder and open it anew")
            .into());
    }
    job.parts = vec![job.parts.swap_remove(index)];
    // What it is bolted to is not here.
    job.bolted.clear();
    Ok(job)
}

/// The family that a part names, whatever else is wrong with it.
fn family(bench: &Bench<'_>, source: &Arc<Source>, block: Block) -> Option<Arc<Family>> {
    let recipe = Document::read(source).ok()?.typed(block, "recipe")?;
    bench.shelf.family(&recipe).ok()
}

/// The figures of a plate as the report has them; none for one that is refused.
fn figures(job: &str, drawn: &Drawn, index: usize) -> Option<PlateFigures> {
    let cut = CutPlate {
        plate: drawn.plates.get(index)?.clone(),
        prepared: drawn.prepared.get(index)?.clone()?,
    };
    let run = Run {
        job,
        table: &drawn.table,
        seed: 0,
        plates: &[cut],
        findings: drawn.findings.get(index..=index)?,
        sheets: &[],
        unplaced: &[],
        joints: &[],
    };
    run.report().plates.pop()
}

fn totals(plate: &Plate, figures: Option<&PlateFigures>) -> Vec<(String, String)> {
    let Some(it) = figures else {
        return Vec::new();
    };
    let told = |says: &str, value: String| (says.to_owned(), value);
    let size = |mm: f64| format::millimetres(format::tenth(mm));
    let mut totals = vec![
        told(
            "Metal",
            format!("{}, {}", it.material, format::both_units(it.thickness_mm)),
        ),
        told(
            "Size",
            format!("{} × {}", size(it.width_mm), size(it.height_mm)),
        ),
        told("Mass of one", format!("{:.2} kg", it.mass_kg)),
        told("Off", plate.quantity.to_string()),
        told("Cut length", crate::report::words::metres(it.cut_length_mm)),
        told("Pierces", it.pierces.to_string()),
    ];
    let own = it.figures.iter();
    totals.extend(own.map(|it| (it.says.clone(), it.value.clone())));
    totals
}

/// The picture as the commands write it, with some edges strong.
fn picture(plate: &Plate, findings: &[Finding], strong: &[Segment]) -> String {
    let mut picture = plate_picture(plate, findings);
    let pen = Stroke::new(STRONG / picture.enlarged, Ink::Burn, Dash::Solid);
    for edge in strong {
        picture.stroke(Chain::open(vec![*edge]), pen);
    }
    svg(&picture)
}

/// The cautions of plates that files to cut by and templates are made of.
pub(super) fn cautions(plates: &[Plate]) -> Vec<Caution> {
    let topics = plates.iter().flat_map(Plate::topics);
    applying(topics, &[Made::CutFile, Made::Template])
}
