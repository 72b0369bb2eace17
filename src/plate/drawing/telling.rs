//! What is worth knowing of how a drawing was read: what was left out, and what was taken otherwise
//! than it was drawn.

use std::collections::BTreeMap;

use super::unit::{Unit, extents};
use crate::finding::{Finding, Level};
use crate::geometry::{Bounds, Point};
use crate::plate::shape::fitting::{Rounded, STRAY};
use crate::quantity::format::decimal;

/// The name of all findings about drawings.
pub const CHECK: &str = "drawing";

/// Why an entity is left out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Why {
    /// It bounds nothing by its nature.
    NoEdge,
    /// It lies on a page.
    OnPaper,
    /// It is switched off by itself.
    Hidden,
    /// Its layer is switched off.
    Off(String),
    /// Its layer is frozen.
    Frozen(String),
    /// Its line type has gaps.
    Gaps(String),
    /// Its layer holds no edges by its name.
    Aside(String),
}

/// What was left out, counted.
#[derive(Debug, Default)]
pub(super) struct LeftOut(BTreeMap<Why, BTreeMap<(&'static str, &'static str), u32>>);

impl LeftOut {
    /// One more, with what it is called alone and among several.
    pub(super) fn count(&mut self, why: Why, nouns: (&'static str, &'static str)) {
        *self.0.entry(why).or_default().entry(nouns).or_default() += 1;
    }

    /// One finding a reason.
    pub(super) fn findings(&self) -> Vec<Finding> {
        let each = self.0.iter();
        each.map(|(why, kinds)| why.said(kinds)).collect()
    }

    /// Everything in one clause, for a drawing of which nothing is left; empty if nothing was left out.
    pub(super) fn all(&self) -> String {
        let all = self.findings();
        let all: Vec<String> = all.into_iter().map(|it| it.message).collect();
        all.join(", ")
    }
}

impl Why {
    fn said(&self, kinds: &BTreeMap<(&'static str, &'static str), u32>) -> Finding {
        let counted = kinds.iter().map(|((one, several), count)| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {several}"),
        });
        let counted: Vec<String> = counted.collect();
        let named = match counted.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            _ => counted.concat(),
        };
        let is_one = kinds.values().sum::<u32>() == 1;
        let (is, it, s, its) = if is_one {
            ("is", "it", "s", "its")
        } else {
            ("are", "they", "", "their")
        };
        let (because, remedy) = match self {
            Self::NoEdge => (
                format!("{it} bound{s} nothing"),
                format!(
                    "draw as lines and arcs what is to be cut of {it_or_them}",
                    it_or_them = if is_one { "it" } else { "them" }
                ),
            ),
            Self::OnPaper => (
                format!("{it} lie{s} on a page (paper space)"),
                "draw in model space what is to be cut".to_owned(),
            ),
            Self::Hidden => (
                format!("{it} {is} switched off"),
                format!(
                    "switch on what is to be cut, or delete {}",
                    if is_one { "it" } else { "them" }
                ),
            ),
            Self::Off(layer) => (
                format!("{its} layer \"{layer}\" is switched off"),
                "switch it on if what is on it is to be cut".to_owned(),
            ),
            Self::Frozen(layer) => (
                format!("{its} layer \"{layer}\" is frozen"),
                "thaw it if what is on it is to be cut".to_owned(),
            ),
            Self::Gaps(line_type) => (
                format!(
                    "{its} line type {line_type} has gaps, as centre lines and hidden edges have"
                ),
                "draw what is to be cut in a continuous line type".to_owned(),
            ),
            Self::Aside(layer) => (
                format!("{its} layer \"{layer}\" is for lines beside the part by its name"),
                "draw what is to be cut on another layer, or name this one".to_owned(),
            ),
        };
        note(format!("{named} {is} left out: {because}"), remedy)
    }
}

/// Something that was taken otherwise than it was drawn, with one place of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mended {
    /// How often.
    pub(super) count: u32,
    /// Where first, or most.
    pub(super) at: Point,
    /// How far it was off, mm.
    pub(super) by: f64,
}

impl Mended {
    /// One more in a tally, its place that of the first of the largest.
    pub(super) fn tally(all: &mut Option<Self>, at: Point, by: f64) {
        let one = Self { count: 1, at, by };
        *all = Some(match *all {
            None => one,
            Some(before) => Self {
                count: before.count + 1,
                ..if by > before.by { one } else { before }
            },
        });
    }
}

/// Lines that lie on one another.
pub(super) fn doubled(mended: &Mended, unit: Unit) -> Finding {
    let place = unit.place(mended.at);
    let message = match mended.count {
        1 => format!("a line or arc lies on another at {place}: the two count once"),
        count => {
            format!("{count} lines or arcs lie on others, one of them at {place}: each counts once")
        }
    };
    note(message, "delete what was drawn twice".to_owned())
}

/// Gaps between ends.
pub(super) fn closed(mended: &Mended, unit: Unit) -> Finding {
    let (place, by) = (unit.place(mended.at), unit.length(mended.by));
    let message = match mended.count {
        1 => format!("a gap of {by} at {place} was closed"),
        count => format!("{count} gaps were closed, the widest of {by} at {place}"),
    };
    note(
        message,
        "see that the outline is as it should be there".to_owned(),
    )
}

/// Filled areas that do not close by themselves.
pub(super) fn areas(mended: &Mended, unit: Unit) -> Finding {
    let (place, by) = (unit.place(mended.at), unit.length(mended.by));
    let message = match mended.count {
        1 => format!("a filled area is open: a straight line of {by} from {place} closes it"),
        count => format!(
            "{count} filled areas are open: straight lines close them, the longest of {by} from {place}"
        ),
    };
    note(
        message,
        "see that the outline is as it should be there".to_owned(),
    )
}

/// Lines that bound nothing and end nowhere.
pub(super) fn loose(mended: &Mended, unit: Unit) -> Finding {
    let place = unit.place(mended.at);
    let message = match mended.count {
        1 => format!("a line from {place} ends in no other and is left out, as a centre line is"),
        count => format!(
            "{count} lines end in no other and are left out, as centre lines are; the longest begins at {place}"
        ),
    };
    let remedy = "if one is to be cut, close its outline; if not, give it the line type of a centre line or a layer of its own";
    Finding {
        level: Level::Warn,
        ..note(message, remedy.to_owned())
    }
}

/// Plates that lie in openings of others.
pub(super) fn within(mended: &Mended, layers: &[Vec<String>], unit: Unit) -> Finding {
    let place = unit.place(mended.at);
    let message = match mended.count {
        1 => format!("a plate lies within an opening of another, at {place}"),
        count => {
            format!("{count} plates lie within openings of others, one of them at {place}")
        }
    };
    let mut names: Vec<&str> = layers.iter().flatten().map(String::as_str).collect();
    names.sort_unstable();
    names.dedup();
    let remedy = match names.as_slice() {
        [] | [_] => "if the outermost is the frame of a page, delete it".to_owned(),
        names => format!(
            "if the outermost is the frame of a page, name the layers of the plate: there are {}",
            names.join(", ")
        ),
    };
    Finding {
        level: Level::Warn,
        ..note(message, remedy)
    }
}

/// Plates larger or smaller than this, mm, are seldom: a unit is sooner wrong.
const USUAL_SIZES: std::ops::RangeInclusive<f64> = 5.0..=2500.0;

/// A drawing that is of a strange size in the unit that it names itself.
pub(super) fn odd_size(unit: Unit, bounds: Bounds) -> Option<Finding> {
    let size = bounds.width().max(bounds.height());
    if USUAL_SIZES.contains(&size) {
        return None;
    }
    let (name, large) = (unit.name(), extents(bounds, 1.0));
    let message = format!("the drawing names {name} as its unit: it is {large} large");
    let remedy =
        "if its numbers are in another unit, say so: `unit` in a part, --unit on the command line";
    Some(Finding {
        level: Level::Warn,
        ..note(message, remedy.to_owned())
    })
}

/// A drawing that was taken larger or smaller than it is drawn.
pub(super) fn scaled(scale: f64, bounds: Bounds) -> Finding {
    let (scale, size) = (decimal(scale, 6), extents(bounds, 1.0));
    let message = format!("the drawing is taken {scale} times as large: it is {size} large");
    note(
        message,
        "measure one edge of the template on paper before cutting".to_owned(),
    )
}

/// Curves that became arcs, and what they are called alone and among several.
pub(super) fn rounded(rounded: Rounded, (one, several): (&str, &str)) -> Finding {
    let (what, stand) = match rounded.count {
        1 => (one.to_owned(), "stands"),
        count => (format!("{count} {several}"), "stand"),
    };
    let off = decimal(rounded.off.max(STRAY), 3);
    let message = format!("{what} {stand} as circular arcs within {off} mm");
    note(message, "draw circular arcs where it matters".to_owned())
}

/// Short pieces that were taken for longer lines, arcs and circles.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Recovered {
    /// Outlines that were taken for circles.
    pub(super) circles: u32,
    /// Short pieces that were taken for others.
    pub(super) pieces: usize,
    /// The lines and arcs that they were taken for.
    pub(super) longer: usize,
    /// How far an end of a short line, or some place of a short arc, is off at most, mm.
    pub(super) off: f64,
    /// How far the middle of a short line is off at most, mm.
    pub(super) beside: f64,
}

impl Recovered {
    /// One line or arc more, for so many pieces.
    pub(super) fn add(&mut self, pieces: usize, off: f64, beside: f64) {
        self.pieces += pieces;
        self.longer += 1;
        self.is_off(off, beside);
    }

    /// One circle more.
    pub(super) fn add_circle(&mut self, off: f64, beside: f64) {
        self.circles += 1;
        self.is_off(off, beside);
    }

    /// Those of another contour as well.
    pub(super) fn include(&mut self, other: &Self) {
        self.pieces += other.pieces;
        self.longer += other.longer;
        self.is_off(other.off, other.beside);
    }

    fn is_off(&mut self, off: f64, beside: f64) {
        self.off = self.off.max(off);
        self.beside = self.beside.max(beside);
    }

    /// What is said of them, if there are any.
    pub(super) fn finding(&self) -> Option<Finding> {
        let circles = match self.circles {
            0 => None,
            1 => Some("an outline of several pieces is taken as a circle".to_owned()),
            count => Some(format!(
                "{count} outlines of several pieces are taken as circles"
            )),
        };
        let longer = match self.longer {
            0 => None,
            1 => Some(format!(
                "{} short pieces are taken as one line or arc",
                self.pieces
            )),
            count => {
                let pieces = self.pieces;
                Some(format!(
                    "{pieces} short pieces are taken as {count} lines and arcs"
                ))
            }
        };
        let what: Vec<String> = circles.into_iter().chain(longer).collect();
        if what.is_empty() {
            return None;
        }
        let off = decimal(self.off.max(0.0001), 4);
        let beside = match self.beside {
            it if it <= self.off => String::new(),
            it => format!(
                ", the middles of short lines within {} mm",
                decimal(it.max(0.001), 3)
            ),
        };
        let message = format!("{}, within {off} mm{beside}", what.join(", "));
        let remedy =
            "compare a diameter or radius with what was meant; fit 0 mm takes all as it is drawn";
        Some(note(message, remedy.to_owned()))
    }
}

/// Polylines with a width.
pub(super) fn bands(count: u32) -> Finding {
    let (what, its) = match count {
        1 => ("a polyline has a width".to_owned(), "its"),
        count => (format!("{count} polylines have a width"), "their"),
    };
    let message = format!("{what}: {its} middle is taken as the edge");
    note(
        message,
        "draw the edges themselves if they are meant".to_owned(),
    )
}

/// A drawing that is said to be in another unit than it names.
pub(super) fn other_unit(told: Unit, named: Unit, bounds: Bounds) -> Finding {
    let (told, named) = (told.name(), named.name());
    let size = extents(bounds, 1.0);
    let message =
        format!("the drawing names {named} as its unit and is taken in {told}: it is {size} large");
    note(
        message,
        "measure one edge of the template on paper before cutting".to_owned(),
    )
}

/// A drawing without a unit, and what it bounds in millimetres.
pub(super) fn no_unit(bounds: Bounds) -> Finding {
    let size = extents(bounds, 1.0);
    let message = format!("the drawing names no unit: in millimetres it is {size} large");
    let remedy = "if that is wrong, set its unit in the drawing ($INSUNITS of a DXF, the size of the page of an SVG)".to_owned();
    Finding {
        level: Level::Warn,
        ..note(message, remedy)
    }
}

fn note(message: String, remedy: String) -> Finding {
    Finding {
        check: CHECK.to_owned(),
        level: Level::Note,
        message,
        remedy,
        source: String::new(),
        at: None,
    }
}
