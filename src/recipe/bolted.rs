//! `[[bolted]]`: what of a job is bolted together.
//!
//! In: a block of a job file. Out: a [`Bolted`] that names its plies from one side to the other: plates of
//! the job by name, and other things by their thickness and holes. Which plates there are is asked later.

use super::limits;
use super::part;
use super::reader::{optional, thread};
use crate::fault::{Fault, Place};
use crate::geometry::Point;
use crate::toml_text::{Item, Names, Table, Text};
use std::f64::consts::TAU;

/// Plies that are bolted together.
#[derive(Debug, Clone, PartialEq)]
pub struct Bolted {
    /// What the builder calls the joint.
    pub name: Text,
    /// The plies from one side to the other.
    pub through: Vec<Ply>,
    /// Thread of the bolts, where the plates' own is not meant.
    pub thread: Option<Text>,
    /// Their class or grade, likewise.
    pub class: Option<Text>,
    /// What their nuts are, likewise.
    pub nut: Option<Text>,
    /// Washers of each bolt, likewise.
    pub washers: Option<u32>,
    /// How many such joints there are; as many as the plates give unless it is said.
    pub quantity: Option<u32>,
    /// Where it stands.
    pub place: Place,
}

/// One ply.
#[derive(Debug, Clone, PartialEq)]
pub struct Ply {
    /// What it is.
    pub of: PlyOf,
    /// Whether its holes are drilled through those of the others.
    pub match_drilled: bool,
}

/// What a ply is.
#[derive(Debug, Clone, PartialEq)]
pub enum PlyOf {
    /// A plate of the job, and the names of its openings that the bolts go through.
    Plate {
        /// Its name.
        plate: Text,
        /// Names of openings, with or without their numbers.
        openings: Vec<Text>,
    },
    /// Something else.
    Thing(Thing),
}

/// Something that is no plate of the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Thing {
    /// What it is.
    pub says: Text,
    /// Its thickness at the bolts, mm.
    pub thickness: f64,
    /// The middles of its holes, mm in its own coordinates; none where they are drilled to suit.
    pub holes: Vec<Point>,
    /// Diameter of the circle that they lie on, mm, if they are given by one.
    pub circle: Option<f64>,
    /// Diameter of its holes, mm; `None` where they are tapped or drilled to suit.
    pub hole: Option<f64>,
    /// Whether its holes are tapped.
    pub tapped: bool,
    /// How far its holes may be from where they are said to be, mm.
    pub tolerance: f64,
    /// Radius of the room around each of its holes, as measured, mm.
    pub room: Option<f64>,
}

/// How far the holes of a thing may be from where a builder measured them, mm: what a caliper and a
/// steady hand give. Common practice, no source.
const AS_MEASURED: f64 = 0.2;

impl Bolted {
    /// Reads a block.
    pub(super) fn read(mut block: Table, faults: &mut Vec<Fault>) -> Option<Self> {
        block.call("[[bolted]]");
        let place = block.place();
        let name = block.need("name", "name = \"front wheels\"", faults);
        let name = name.and_then(|item| item.text(faults));
        let through = plies(&mut block, faults);
        let bolts = optional(&mut block, "thread", |item| thread(item, faults));
        let class = optional(&mut block, "class", |item| item.text(faults));
        let nut = optional(&mut block, "nut", |item| item.text(faults));
        let washers = optional(&mut block, "washers", |item| item.whole(0, faults));
        let quantity = optional(&mut block, "quantity", |item| part::quantity(item, faults));
        block.finish(faults);
        Some(Self {
            name: name?,
            through: through?,
            thread: bolts?,
            class: class?,
            nut: nut?,
            washers: washers?,
            quantity: quantity?,
            place,
        })
    }
}

fn plies(block: &mut Table, faults: &mut Vec<Fault>) -> Option<Vec<Ply>> {
    let example = "through = [{ plate = \"hub plate\", openings = \"hub bolt\" }, \
                   { says = \"hub\", thickness = \"8 mm\", circle = \"100 mm\", count = 4, hole = \"13 mm\" }]";
    let item = block.need("through", example, faults)?;
    let wrong = |count: usize| {
        let message = format!("a joint of {count} plies");
        item.fault(message)
            .remedy(format!("write 2 to {} of them", limits::PLIES))
    };
    let count = item.clone().list(faults)?.len();
    if !(2..=limits::PLIES).contains(&count) {
        faults.push(wrong(count));
        return None;
    }
    let tables = item.tables(faults);
    let read: Vec<Option<Ply>> = tables.into_iter().map(|it| ply(it, faults)).collect();
    let plies: Vec<Ply> = read.into_iter().collect::<Option<_>>()?;
    (plies.len() == count).then_some(plies)
}

fn ply(mut table: Table, faults: &mut Vec<Fault>) -> Option<Ply> {
    table.call("a ply");
    let match_drilled = optional(&mut table, "match_drilled", |item| item.truth(faults));
    let of = if table.has("plate") {
        plate(&mut table, faults)
    } else {
        thing(&mut table, faults).map(PlyOf::Thing)
    };
    table.finish(faults);
    Some(Ply {
        of: of?,
        match_drilled: match_drilled?.unwrap_or(false),
    })
}

fn plate(table: &mut Table, faults: &mut Vec<Fault>) -> Option<PlyOf> {
    let plate = table.take("plate")?.text(faults);
    let openings = table.need("openings", "openings = \"hub bolt\"", faults)?;
    let openings = if openings.is_list() {
        let empty = openings.fault("no openings are named");
        let named = openings.texts(faults);
        if named.is_empty() {
            faults.push(empty.remedy("name those that the bolts go through"));
            return None;
        }
        named
    } else {
        vec![openings.text(faults)?]
    };
    Some(PlyOf::Plate {
        plate: plate?,
        openings,
    })
}

fn thing(table: &mut Table, faults: &mut Vec<Fault>) -> Option<Thing> {
    let example = "says = \"wheel\"` or `plate = \"…\"";
    let says = table.need("says", example, faults);
    let says = says.and_then(|item| item.text(faults));
    let thickness = table.need("thickness", "thickness = \"6 mm\"", faults);
    let thickness = thickness.and_then(|item| size(item, "`thickness`", faults));
    let sized = |table: &mut Table, key: &str, faults: &mut Vec<Fault>| {
        let what = format!("`{key}`");
        optional(table, key, |item| size(item, &what, faults))
    };
    let circle = sized(table, "circle", faults);
    let hole = sized(table, "hole", faults);
    let tolerance = sized(table, "tolerance", faults);
    let room = sized(table, "room", faults);
    let tapped = optional(table, "tapped", |item| item.truth(faults));
    let count = optional(table, "count", |item| count(item, faults));
    let at = optional(table, "at", |item| places(item, faults));
    let (circle, hole, tapped) = (circle?, hole?, tapped?.unwrap_or(false));
    let holes = match (circle, count?, at?) {
        (None, None, None) => Vec::new(),
        (None, None, Some(places)) => places,
        (Some(circle), Some(count), None) => around(circle, count),
        _ => {
            let fault = table.fault("it is not clear where the holes of this thing are");
            let remedy =
                "write `circle` and `count`, or `at`, or neither where they are drilled to suit";
            faults.push(fault.remedy(remedy));
            return None;
        }
    };
    if !holes.is_empty() && hole.is_some() == tapped {
        let fault = table.fault("it is not clear how wide the holes of this thing are");
        faults.push(fault.remedy("write their diameter as `hole`, or `tapped = true`"));
        return None;
    }
    if holes.is_empty() && (hole.is_some() || tapped) {
        let fault = table.fault("the holes of this thing have no places");
        faults.push(fault.remedy("write `circle` and `count`, or `at`"));
        return None;
    }
    Some(Thing {
        says: says?,
        thickness: thickness?,
        holes,
        circle,
        hole,
        tapped,
        tolerance: tolerance?.unwrap_or(AS_MEASURED),
        room: room?,
    })
}

fn size(item: Item, what: &str, faults: &mut Vec<Fault>) -> Option<f64> {
    let formula = item.formula(faults)?;
    let size = formula.size(&Names::none(), what);
    size.map_err(|fault| faults.push(fault)).ok()
}

fn count(item: Item, faults: &mut Vec<Fault>) -> Option<u32> {
    let too_many = item.fault(format!("more than {} holes", limits::BOLTS));
    let count = item.whole(1, faults)?;
    if count as usize > limits::BOLTS {
        faults.push(too_many.remedy("make several joints of it"));
        return None;
    }
    Some(count)
}

/// Evenly on a circle about the origin, the first towards +x.
pub(crate) fn around(circle: f64, count: u32) -> Vec<Point> {
    let angle = |index: u32| TAU * f64::from(index) / f64::from(count);
    (0..count)
        .map(|it| Point::ORIGIN.polar(circle / 2.0, angle(it)))
        .collect()
}

fn places(item: Item, faults: &mut Vec<Fault>) -> Option<Vec<Point>> {
    let wrong = item.fault(format!("a thing has 1 to {} holes", limits::BOLTS));
    let items = item.list(faults)?;
    if items.is_empty() || items.len() > limits::BOLTS {
        faults.push(wrong.remedy("write the middle of each as [\"x\", \"y\"]"));
        return None;
    }
    let read: Vec<Option<Point>> = items
        .into_iter()
        .map(|item| {
            let [x, y] = item.pair(faults)?;
            let mut length = |item: Item, what: &str| {
                let length = item.formula(faults)?.length(&Names::none(), what);
                length.map_err(|fault| faults.push(fault)).ok()
            };
            let (x, y) = (length(x, "x of a hole"), length(y, "y of a hole"));
            Some(Point::new(x?, y?))
        })
        .collect();
    read.into_iter().collect()
}
