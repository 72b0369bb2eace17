//! Outlines drawn elsewhere, from a DXF or SVG file.
//!
//! In: a file of lines, arcs, circles, ellipses, polylines, and blocks of them. Out: the region that
//! its closed contours bound, where a contour inside another is an opening, and what is worth knowing
//! of how it was read. Lines and arcs stay what they are. What is read is what was drawn: whatever
//! might bound metal and cannot be read is refused with its entity and place, and what is left out is
//! told.

mod circles;
mod curve;
mod document;
mod doubles;
mod entity;
mod joining;
mod model;
mod pairs;
mod recovery;
mod space;
mod spline;
mod svg;
mod telling;
mod unit;

use std::fs;
use std::io::{self, Read as _};
use std::path::Path;

pub use recovery::{FIT, MOST_FIT};
pub use telling::CHECK;
pub use unit::KnownSize;

use self::curve::Stroke;
use self::document::Document;
use self::model::Model;
use self::svg::Svg;
use self::telling::{Mended, Recovered};
use self::unit::Unit;
use super::shape::nesting::nested;
use crate::fault::Refusal;
use crate::finding::Finding;
use crate::geometry::{Bounds, Contour, Point, Region, Segment};
use crate::recipe::words::DrawingUnit;

/// Ends nearer than this, mm, are joined unless more is asked for. Common practice: drawings close to a few hundredths.
pub const GAP: f64 = 0.05;
/// The widest gap that may be asked to be closed, mm: within it a small hole or slot has its own ends.
pub const MOST_GAP: f64 = 2.0;
/// Pieces that are read from one file.
const MOST_PIECES: usize = 10_000;
/// Bytes that are read of one file.
const MOST_BYTES: u64 = 32 << 20;
/// A curve that passes a place within this, mm, passes through it.
const THROUGH: f64 = 1e-3;

/// What a drawing bounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlines {
    /// The metal, mm.
    pub region: Region,
    /// What was left out, and what was taken otherwise than it was drawn.
    pub findings: Vec<Finding>,
    /// The box around each contour with what the layers that it is drawn on are called, in capitals: of an SVG its own id and those
    /// of the groups around it.
    pub drawn_on: Vec<(Bounds, Vec<String>)>,
}

impl Outlines {
    /// The same, told of a file.
    #[must_use]
    pub fn of_file(mut self, name: &str) -> Self {
        for finding in &mut self.findings {
            finding.message = format!("{name}: {}", finding.message);
        }
        self
    }
}

impl From<Region> for Outlines {
    fn from(region: Region) -> Self {
        Self {
            region,
            findings: Vec::new(),
            drawn_on: Vec::new(),
        }
    }
}

/// How a drawing is to be read.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingRules {
    /// Only what is on these layers; if there are none, all but layers for marks, folds and centre lines.
    pub layers: Vec<String>,
    /// What its numbers are in.
    pub unit: UnitRule,
    /// How many times as large as it is drawn the plate is to be.
    pub scale: f64,
    /// How large it is, as far as that is known: it settles the unit of a drawing that names none, and a
    /// drawing that is not so large is refused.
    pub known: KnownSize,
    /// How far the ends of short pieces may be off the lines and arcs that are taken for them, mm; with 0 all is
    /// taken as it is drawn.
    pub fit: f64,
    /// Ends that are no further apart than this, mm, are joined.
    pub gap: f64,
}

impl Default for ReadingRules {
    fn default() -> Self {
        Self {
            layers: Vec::new(),
            unit: UnitRule::default(),
            scale: 1.0,
            known: KnownSize::default(),
            fit: FIT,
            gap: GAP,
        }
    }
}

/// What the numbers of a drawing are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitRule {
    /// In the unit that the file names; in millimetres if it names none, which is told.
    #[default]
    Usual,
    /// In the unit that the file names; it is refused if it names none.
    Named,
    /// In this, whatever the file names; what it names is told if it is another.
    Is(DrawingUnit),
}

/// The region that the closed contours of a DXF or SVG file bound, mm.
///
/// Fails if the file cannot be read, or has what might bound metal and cannot be read.
pub fn outlines(path: &Path, rules: &ReadingRules) -> Result<Outlines, Refusal> {
    outlines_in(&bytes(path)?, rules)
}

/// The same of the bytes of a file.
pub fn outlines_in(bytes: &[u8], rules: &ReadingRules) -> Result<Outlines, Refusal> {
    let file = File::read(bytes)?;
    let known = rules.known;
    let told = match rules.unit {
        UnitRule::Is(word) => Some(Unit::of_word(word)),
        UnitRule::Usual | UnitRule::Named => None,
    };
    // A unit that is none of ours matters only if nobody says better.
    let named = file.unit();
    let named = if told.is_some() {
        named.unwrap_or(None)
    } else {
        named?
    };
    let Some(unit) = told.or(named) else {
        let usual = Unit::USUAL.enlarged(rules.scale);
        let mut found = file.drawn(usual, rules)?;
        let bounds = found.region.bounds();
        match known.unit(bounds, usual).filter(|_| known.is_any()) {
            Some(unit) => return file.drawn(unit, rules),
            None => known.check(bounds, usual)?,
        }
        if rules.unit == UnitRule::Named {
            return Err(unit::asked(bounds, file.likely_unit()));
        }
        found.findings.push(telling::no_unit(bounds));
        return Ok(found);
    };
    let sized = unit.enlarged(rules.scale);
    let mut found = file.drawn(sized, rules)?;
    let bounds = found.region.bounds();
    known.check(bounds, sized)?;
    if told.is_none()
        && let Some(odd) = telling::odd_size(unit, bounds)
    {
        found.findings.push(odd);
    }
    if let Some(named) = named.filter(|it| *it != unit) {
        found
            .findings
            .push(telling::other_unit(unit, named, bounds));
    }
    Ok(found)
}

/// What cannot be read of a drawing, for a picture of the place.
#[derive(Debug, Clone, PartialEq)]
pub struct Trouble {
    /// What is wrong.
    pub why: Refusal,
    /// What could be read of the drawing, mm.
    pub pieces: Vec<Segment>,
}

/// Why a drawing cannot be read, where that is for something at a place of it.
#[must_use]
pub fn trouble(path: &Path, rules: &ReadingRules) -> Option<Trouble> {
    let bytes = bytes(path).ok()?;
    let why = outlines_in(&bytes, rules).err()?;
    if why.spots.is_empty() {
        return None;
    }
    let file = File::read(&bytes).ok()?;
    let unit = match rules.unit {
        UnitRule::Is(word) => Unit::of_word(word),
        UnitRule::Usual | UnitRule::Named => file.unit().ok()?.unwrap_or(Unit::USUAL),
    };
    let pieces = file.pieces(unit.enlarged(rules.scale), &rules.layers);
    Some(Trouble { why, pieces })
}

/// A drawing in one of the formats that are read.
enum File<'b> {
    Dxf(Document),
    Svg(Svg<'b>),
}

impl<'b> File<'b> {
    fn read(bytes: &'b [u8]) -> Result<Self, Refusal> {
        if let Some(kind) = other_kind(bytes) {
            let refusal = Refusal::new(format!("it is {kind}, whatever it is called"));
            return Err(refusal.remedy("save the drawing as DXF, or as SVG in UTF-8"));
        }
        if !svg::is_svg(bytes) {
            return Document::read(bytes).map(Self::Dxf);
        }
        let text = std::str::from_utf8(bytes).map_err(|_| {
            let refusal = Refusal::new("it is no SVG file in UTF-8");
            refusal.remedy("save it again in UTF-8")
        })?;
        Svg::read(text).map(Self::Svg)
    }

    /// The unit that it names, if it does.
    fn unit(&self) -> Result<Option<Unit>, Refusal> {
        match self {
            Self::Dxf(document) => Unit::of_code(document.unit),
            Self::Svg(svg) => Ok(svg.unit()),
        }
    }

    /// What it may be in beside millimetres if it names no unit.
    const fn likely_unit(&self) -> DrawingUnit {
        match self {
            Self::Dxf(_) => DrawingUnit::Inches,
            Self::Svg(_) => DrawingUnit::Pixels,
        }
    }

    /// What it bounds in this unit.
    fn drawn(&self, unit: Unit, rules: &ReadingRules) -> Result<Outlines, Refusal> {
        let layers = &rules.layers;
        let mut found = match self {
            Self::Dxf(document) => bounding(Model::of(document, unit, layers)?, unit, rules),
            Self::Svg(svg) => bounding(svg.drawn(unit, layers)?.model(), unit, rules),
        }?;
        if (rules.scale - 1.0).abs() > 0.0 {
            let bounds = found.region.bounds();
            found.findings.push(telling::scaled(rules.scale, bounds));
        }
        Ok(found)
    }

    /// The pieces that it draws in this unit, as far as it can be read.
    fn pieces(&self, unit: Unit, layers: &[String]) -> Vec<Segment> {
        let of = |model: &Model<'_>| {
            let strokes = model.strokes.iter();
            strokes.flat_map(|it| it.curve.segments()).collect()
        };
        match self {
            Self::Dxf(document) => of(&Model::as_far_as(document, unit, layers).0),
            Self::Svg(svg) => of(&svg.as_far_as(unit, layers).0.model()),
        }
    }
}

/// What a file is that is neither, as far as its first bytes tell (from memory).
fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    const KINDS: [(&[u8], &str); 8] = [
        (b"%PDF", "a PDF file"),
        (b"%!PS", "a PostScript file"),
        (b"AC10", "a DWG file"),
        (b"ISO-10303-21", "a STEP file"),
        (b"\x89PNG", "a PNG picture"),
        (b"\xFF\xD8\xFF", "a JPEG picture"),
        (b"PK\x03\x04", "a ZIP archive"),
        (b"\x1F\x8B", "a packed file"),
    ];
    let is_wide = bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF");
    let known = KINDS.iter().find(|(start, _)| bytes.starts_with(start));
    let known = known.map(|(_, kind)| *kind);
    known.or_else(|| is_wide.then_some("a text in UTF-16"))
}

/// The first place at which a plate begins within an opening of another, and how many do.
fn within_others(region: &Region) -> Option<Mended> {
    let mut found = None;
    for (place, face) in region.faces.iter().enumerate() {
        let p = face.outside.segments()[0].start();
        let spot = Bounds::around([p]);
        let around = |other: &crate::geometry::Face| {
            !other.openings.is_empty()
                && other.outside.bounds().meets(spot)
                && other.outside.encloses(p)
        };
        let mut others = region.faces.iter().enumerate();
        if others.any(|(at, other)| at != place && around(other)) {
            Mended::tally(&mut found, p, 0.0);
        }
    }
    found
}

/// What everything that is drawn bounds.
fn bounding(model: Model<'_>, unit: Unit, rules: &ReadingRules) -> Result<Outlines, Refusal> {
    let mut findings = model.left_out.findings();
    let ellipses = ("an ellipse or part of one", "ellipses or parts of them");
    for (rounded, nouns) in [
        (model.ellipses, ellipses),
        (model.curves, ("a curve", "curves")),
    ] {
        if rounded.count > 0 {
            findings.push(telling::rounded(rounded, nouns));
        }
    }
    findings.extend(model.areas.map(|it| telling::areas(&it, unit)));
    if model.bands > 0 {
        findings.push(telling::bands(model.bands));
    }
    let (strokes, doubled) = doubles::single(model.strokes);
    if strokes.is_empty() {
        let left_out = model.left_out.all();
        let refusal = Refusal::new(match left_out.as_str() {
            "" => "there is no outline in it".to_owned(),
            all => format!("there is no outline in it: {all}"),
        });
        return Err(refusal.remedy("draw the outline in continuous lines and arcs, in model space"));
    }
    findings.extend(doubled.map(|it| telling::doubled(&it, unit)));
    let joined = joining::joined(&strokes, unit, rules.gap)?;
    findings.extend(joined.gaps.map(|it| telling::closed(&it, unit)));
    findings.extend(joined.loose.map(|it| telling::loose(&it, unit)));
    let mut told = Recovered::default();
    let simpler = joined.contours.iter().map(|it| {
        let circle = circles::recovered(it.clone(), rules.fit, &mut told);
        recovery::recovered(circle, rules.fit, &mut told)
    });
    let simpler: Vec<Contour> = simpler.collect();
    // An arc stands beside its chords and might meet what they do not: then it is as it was drawn.
    let (region, contours) = match (told.finding(), nested(&simpler)) {
        (Some(said), Ok(region)) if !region.faces.is_empty() => {
            findings.push(said);
            (region, simpler)
        }
        (None, Ok(region)) if !region.faces.is_empty() => (region, simpler),
        _ => (bounded(&joined.contours, &strokes, unit)?, joined.contours),
    };
    if let Some(within) = within_others(&region) {
        findings.push(telling::within(&within, &model.layers, unit));
    }
    let layers = joined.firsts.iter();
    let layers = layers.map(|first| model.layers[strokes[*first].layer].clone());
    Ok(Outlines {
        region,
        findings,
        drawn_on: contours.iter().map(Contour::bounds).zip(layers).collect(),
    })
}

/// The bytes of an ordinary file that is not too large.
fn bytes(path: &Path) -> Result<Vec<u8>, Refusal> {
    let unreadable = |error: io::Error| Refusal::new(format!("it cannot be read ({error})"));
    let file = fs::File::open(path).map_err(unreadable)?;
    let found = file.metadata().map_err(unreadable)?;
    if !found.is_file() {
        return Err(Refusal::new("it is not a file"));
    }
    let mut bytes = Vec::new();
    let read = file.take(MOST_BYTES + 1).read_to_end(&mut bytes);
    read.map_err(unreadable)?;
    if bytes.len() as u64 > MOST_BYTES {
        let most = MOST_BYTES >> 20;
        return Err(Refusal::new(format!("it is larger than {most} MiB"))
            .remedy("save only the part in a drawing of its own"));
    }
    Ok(bytes)
}

fn too_many() -> Refusal {
    let message = format!("it has more than {MOST_PIECES} lines, arcs, texts and the like");
    Refusal::new(message)
        .remedy("draw true arcs instead of short lines, and only what is to be cut")
}

/// What the contours bound; none may meet itself or another.
fn bounded(contours: &[Contour], strokes: &[Stroke<'_>], unit: Unit) -> Result<Region, Refusal> {
    let region = nested(contours).map_err(|p| meeting(p, strokes, unit))?;
    if region.faces.is_empty() {
        return Err(Refusal::new("its outlines surround nothing"));
    }
    Ok(region)
}

/// What is said of outlines that meet at a place.
fn meeting(p: Point, strokes: &[Stroke<'_>], unit: Unit) -> Refusal {
    let through = strokes.iter().filter(|stroke| {
        let mut pieces = stroke.curve.segments().into_iter();
        let near = stroke.curve.bounds().grown(THROUGH);
        near.meets(Bounds::around([p])) && pieces.any(|it| it.gap_to_point(p).distance < THROUGH)
    });
    let names: Vec<String> = through.map(|it| it.of.to_string()).take(2).collect();
    let of = match names.as_slice() {
        [] => String::new(),
        [one] => format!(" (the {one})"),
        [one, other, ..] => format!(" (the {one} and the {other})"),
    };
    let message = format!("its outlines cross or touch at {}{of}", unit.place(p));
    Refusal::new(message)
        .remedy("trim them so that each closes by itself and clear of all others; a pitch circle or centre line is no edge: give it the line type of a centre line, or draw it on a layer called AXIS")
        .about([model::spot(p)])
}
