//! Holding tabs as a table's file or a job asks for them.
//!
//! In: a `[tabs]` block of a table, or `tabs` of a job. Out: the table's own [`Tabs`], and what a job
//! makes of them ([`TabChoice`]), every key in a range that makes sense.

use std::ops::RangeInclusive;
use std::sync::Arc;

use crate::fault::{Fault, Place};
use crate::quantity::format::both_units;
use crate::toml_text::Names;
use crate::toml_text::{Item, Table};

/// Holding tabs: short stretches of a contour that are left uncut, so that the plate stays in its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Tabs {
    /// Width of the metal left at its narrowest, mm.
    pub width: f64,
    /// How many an outside gets at least.
    pub count: u32,
    /// More of them where two would be further apart along the edge, mm.
    pub apart: Option<f64>,
    /// Plates whose longer side is shorter get none, mm.
    pub smallest: f64,
    /// Plates whose longer side is longer get none, mm.
    pub largest: f64,
    /// Slugs of openings get them too if a circle this wide fits in, mm.
    pub windows: Option<f64>,
    /// Where they are asked for.
    pub place: Place,
}

/// The keys of a block that asks for tabs, those that are given.
#[derive(Debug, Clone, PartialEq)]
pub struct TabKeys {
    width: Option<f64>,
    count: Option<u32>,
    apart: Option<f64>,
    smallest: Option<f64>,
    largest: Option<f64>,
    windows: Option<f64>,
    place: Place,
}

/// What a job says of holding tabs.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum TabChoice {
    /// Nothing: the table decides.
    #[default]
    AsTheTable,
    /// `false`: none.
    Without,
    /// `true`, at this place: as the table's file has them.
    With(Place),
    /// Keys of its own, in place of the table's.
    Keys(TabKeys),
}

/// The most tabs on one contour.
pub const MOST: u32 = 24;

/// How many an outside gets unless it is said: two hold a plate level. Common practice, no source.
const USUAL_COUNT: u32 = 2;

/// Width of a tab, mm: thinner ones are burnt away by any process, wider ones are sawn, not snipped.
/// Common practice, no source.
const WIDTHS: RangeInclusive<f64> = 0.1..=10.0;

/// Distance of tabs along the edge, mm.
const DISTANCES: RangeInclusive<f64> = 20.0..=10_000.0;

/// Sizes of plates, mm.
const SIZES: RangeInclusive<f64> = 0.0..=100_000.0;

/// Windows whose slug may be held, mm: a smaller slug lies flat or falls through.
const WINDOWS: RangeInclusive<f64> = 30.0..=100_000.0;

impl TabKeys {
    /// Reads a block; `called` names it in messages.
    pub(crate) fn read(item: Item, called: &str, faults: &mut Vec<Fault>) -> Option<Self> {
        let mut block = item.table(faults)?;
        block.call(called);
        let place = Place {
            source: Arc::clone(block.source()),
            span: block.span(),
        };
        let width = length(&mut block, "width", WIDTHS, faults);
        let count = block.take("count").map(|item| count(item, faults));
        let apart = length(&mut block, "apart", DISTANCES, faults);
        let smallest = length(&mut block, "smallest", SIZES, faults);
        let largest = length(&mut block, "largest", SIZES, faults);
        let windows = length(&mut block, "windows", WINDOWS, faults);
        if let (Some(Some(smallest)), Some(Some(largest))) = (smallest, largest)
            && smallest > largest
        {
            let fault = block.fault("`smallest` is more than `largest`: no plate is of that size");
            faults.push(fault.remedy("swap them, or leave one of them out"));
        }
        block.finish(faults);
        Some(Self {
            width: width?,
            count: count.map_or(Some(None), |count| count.map(Some))?,
            apart: apart?,
            smallest: smallest?,
            largest: largest?,
            windows: windows?,
            place,
        })
    }

    /// The tabs that these keys ask for, where those not given are as `usual` has them.
    pub(crate) fn over(self, usual: Option<&Tabs>) -> Result<Tabs, Fault> {
        let Some(width) = self.width.or(usual.map(|it| it.width)) else {
            let fault = Fault::refused("holding tabs have no `width`");
            let fault = fault.remedy("add `width = \"0.8 mm\"`: the metal left at its narrowest");
            return Err(fault.at(&self.place.source, self.place.span));
        };
        let count = self.count.or(usual.map(|it| it.count));
        Ok(Tabs {
            width,
            count: count.unwrap_or(USUAL_COUNT),
            apart: self.apart.or(usual.and_then(|it| it.apart)),
            smallest: self.smallest.or(usual.map(|it| it.smallest)).unwrap_or(0.0),
            largest: self
                .largest
                .or(usual.map(|it| it.largest))
                .unwrap_or(f64::INFINITY),
            windows: self.windows.or(usual.and_then(|it| it.windows)),
            place: self.place,
        })
    }
}

impl TabChoice {
    /// Reads `tabs` of a job or part file, if it is there; `None` if it is wrong.
    pub(crate) fn read(block: &mut Table, faults: &mut Vec<Fault>) -> Option<Self> {
        let Some(item) = block.take("tabs") else {
            return Some(Self::AsTheTable);
        };
        if !item.is_truth() {
            return TabKeys::read(item, "`tabs`", faults).map(Self::Keys);
        }
        let place = Place {
            source: Arc::clone(block.source()),
            span: item.span(),
        };
        Some(if item.truth(faults)? {
            Self::With(place)
        } else {
            Self::Without
        })
    }

    /// The tabs that a job gets on a table that has `usual` ones.
    pub fn on(&self, usual: Option<Tabs>) -> Result<Option<Tabs>, Fault> {
        match self {
            Self::AsTheTable => Ok(usual),
            Self::Without => Ok(None),
            Self::Keys(keys) => keys.clone().over(usual.as_ref()).map(Some),
            Self::With(place) if usual.is_none() => {
                let fault = Fault::refused("the table says nothing of holding tabs");
                let fault = fault.remedy("write `tabs = { width = \"0.8 mm\" }`");
                Err(fault.at(&place.source, place.span.clone()))
            }
            Self::With(_) => Ok(usual),
        }
    }
}

/// A length in a range, if it is given; `None` if it is wrong.
fn length(
    block: &mut Table,
    key: &str,
    range: RangeInclusive<f64>,
    faults: &mut Vec<Fault>,
) -> Option<Option<f64>> {
    let Some(item) = block.take(key) else {
        return Some(None);
    };
    let what = format!("`{key}`");
    let formula = item.formula(faults)?;
    match formula.length(&Names::none(), &what) {
        Ok(length) if range.contains(&length) => Some(Some(length)),
        Ok(length) => {
            let fault = formula.fault(format!("{what} of tabs is {}", both_units(length)));
            faults.push(fault.remedy(format!(
                "it must be from {} to {}",
                both_units(*range.start()),
                both_units(*range.end())
            )));
            None
        }
        Err(fault) => {
            faults.push(fault);
            None
        }
    }
}

fn count(item: Item, faults: &mut Vec<Fault>) -> Option<u32> {
    let many = item.fault(format!(
        "no more than {MOST} tabs on one contour are possible"
    ));
    let count = item.whole(1, faults)?;
    if count > MOST {
        faults.push(many.remedy("write fewer, or leave the plate uncut there"));
        return None;
    }
    Some(count)
}
