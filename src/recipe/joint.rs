//! Tabs of one plate in slots of another: `[[joint]]`.
//!
//! In: the edge that the tabs stand on, the line that the slots lie on, how many tabs and how wide. Out: a
//! step more for either plate.

use std::ops::Range;
use std::sync::Arc;

use super::plate_spec::PlateSpec;
use super::reader::{Reader, ends};
use super::step::{Action, Position, Step};
use crate::toml_text::{Formula, Table, Text};

/// A `[[joint]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Joint {
    /// What it joins, in words.
    pub(crate) says: String,
    /// It is made only if this holds.
    pub(crate) when: Option<Formula>,
    /// The plate with the tabs, and its edge: they stand out to the right of the way from one end to the
    /// other.
    pub(crate) tabs: Edge,
    /// The plate with the slots, and the line that they lie on.
    pub(crate) slots: Edge,
    /// How many tabs.
    pub(crate) count: Formula,
    /// How wide each is, along the edge.
    pub(crate) width: Formula,
    /// How far they stand out; the thickness of the plate with the slots unless given.
    pub(crate) reach: Option<Formula>,
    /// Room between a tab and its slot, on each side.
    pub(crate) clearance: Option<Formula>,
    /// The thickness of the plate with the tabs, and of that with the slots, where it is not the part's.
    pub(crate) thickness: [Option<Formula>; 2],
    /// Where it stands in the recipe.
    pub(crate) span: Range<usize>,
}

/// A line on a plate.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Edge {
    /// The plate.
    pub(crate) plate: Text,
    pub(crate) from: Position,
    pub(crate) to: Position,
}

impl Joint {
    /// Reads a joint, and gives both plates their step.
    pub(crate) fn read(
        mut table: Table,
        plans: &mut [PlateSpec],
        reader: &mut Reader<'_>,
    ) -> Option<Arc<Self>> {
        table.call("[[joint]]");
        let place = table.place();
        let span = place.span.clone();
        let says = reader.text(&mut table, "says", "\"the lug in the back\"");
        let when = reader.option(&mut table, "when");
        let written = reader.item(&mut table, "tabs", TABS);
        let mut written = written.and_then(|item| item.table(reader.faults));
        let (count, width) = match &mut written {
            Some(tabs) => (
                reader.need(tabs, "count", "2"),
                reader.need(tabs, "width", "\"30 mm\""),
            ),
            None => (None, None),
        };
        let tabs = written.and_then(|tabs| Edge::read(tabs, "`tabs`", plans, reader));
        let slots = reader.item(&mut table, "slots", SLOTS);
        let slots = slots.and_then(|item| item.table(reader.faults));
        let slots = slots.and_then(|slots| Edge::read(slots, "`slots`", plans, reader));
        let reach = reader.option(&mut table, "reach");
        let clearance = reader.option(&mut table, "clearance");
        table.finish(reader.faults);
        let ((tabs, tabs_plan), (slots, slots_plan)) = (tabs?, slots?);
        if tabs_plan == slots_plan {
            let fault = slots.plate.fault("tabs and slots are on one plate");
            reader
                .faults
                .push(fault.remedy("name the plate that the tabs go into"));
            return None;
        }
        let joint = Arc::new(Self {
            says: says?.as_str().to_owned(),
            when,
            tabs,
            slots,
            count: count?,
            width: width?,
            reach,
            clearance,
            thickness: [tabs_plan, slots_plan].map(|plan| plans[plan].thickness.clone()),
            span: span.clone(),
        });
        let step = |action| Step {
            name: None,
            when: joint.when.clone(),
            each: None,
            action,
            place: place.clone(),
        };
        plans[tabs_plan]
            .steps
            .push(step(Action::Tabs(Arc::clone(&joint))));
        plans[slots_plan]
            .steps
            .push(step(Action::Slots(Arc::clone(&joint))));
        Some(joint)
    }
}

const TABS: &str = "{ plate = \"lug\", from = [\"0 mm\", \"0 mm\"], to = [\"80 mm\", \"0 mm\"], count = 2, width = \"20 mm\" }";
const SLOTS: &str = "{ plate = \"back\", from = [\"0 mm\", \"0 mm\"], to = [\"80 mm\", \"0 mm\"] }";

impl Edge {
    /// A line, and which of the plates it is on.
    fn read(
        mut table: Table,
        what: &str,
        plans: &[PlateSpec],
        reader: &mut Reader<'_>,
    ) -> Option<(Self, usize)> {
        table.call(what);
        let plate = reader.text(&mut table, "plate", "\"back\"")?;
        let names = plans
            .iter()
            .map(|it| it.name.as_ref().map_or("", Text::as_str));
        let Some(plan) = names.clone().position(|name| name == plate.as_str()) else {
            let refusal = crate::quantity::rows::missing("plate", plate.as_str(), names);
            reader.faults.push(plate.fault(refusal));
            return None;
        };
        for point in &plans[plan].points {
            reader.add_point(&point.name);
        }
        let (from, to) = ends(&mut table, reader);
        reader.forget_points();
        table.finish(reader.faults);
        let (from, to) = (from?, to?);
        Some((Self { plate, from, to }, plan))
    }
}
