//! Shapes of several steps under a name: `[[shape]]`, used by steps with `use`.

use std::sync::Arc;

use super::limits;
use super::name;
use super::reader::Reader;
use super::step::{Action, Step};
use super::step_reader::step;
use super::words::Operation;
use crate::fault::Fault;
use crate::quantity::rows::missing;
use crate::toml_text::{Formula, Item, Named, Table, Text};

/// A `[[shape]]` block.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NamedShape {
    /// What steps call it by.
    pub(crate) name: Text,
    /// Values that a step may give it, with what they are unless it does.
    pub(crate) takes: Vec<(String, Formula)>,
    /// Its steps, about its own origin.
    pub(crate) steps: Vec<Step>,
}

impl NamedShape {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Arc<Self>> {
        table.call("[[shape]]");
        let name = reader.text(&mut table, "name", "\"lug\"");
        let before = reader.known();
        let takes = table.take("takes").map(|item| takes(item, reader));
        let many = table.fault(limits::beyond(limits::STEPS, "steps", "shapes"));
        let steps = reader.item(&mut table, "step", "… in [[shape.step]] blocks");
        let steps = steps.map_or_else(Vec::new, |item| item.tables(reader.faults));
        let mut read = Vec::new();
        if steps.len() > limits::STEPS {
            reader.faults.push(many);
        } else {
            for table in steps {
                let place = table.fault("");
                let made = step(table, reader);
                if let Some(message) = made.as_ref().and_then(unfit) {
                    let fault = Fault { message, ..place };
                    reader
                        .faults
                        .push(fault.remedy("write it as a step of the plate"));
                }
                read.extend(made);
            }
        }
        reader.forget_since(before);
        table.finish(reader.faults);
        let shape = Arc::new(Self {
            name: name?,
            takes: takes.unwrap_or_default(),
            steps: read,
        });
        let known = reader
            .shapes
            .iter()
            .any(|it| it.name.as_str() == shape.name.as_str());
        if known {
            let message = format!("there is a shape `{}` already", shape.name.as_str());
            let fault = shape.name.fault(message);
            reader.faults.push(fault.remedy("choose another name"));
        }
        reader.shapes.push(Arc::clone(&shape));
        Some(shape)
    }

    /// Reads the shape that a step uses, and the values that it gives it.
    pub(crate) fn used(
        item: Item,
        table: &mut Table,
        reader: &mut Reader<'_>,
    ) -> Option<(Arc<Self>, Vec<Named<Formula>>)> {
        let name = item.text(reader.faults)?;
        let found = reader
            .shapes
            .iter()
            .find(|it| it.name.as_str() == name.as_str());
        let Some(shape) = found.cloned() else {
            let names = reader.shapes.iter().map(|it| it.name.as_str());
            let mut refusal = missing("shape", name.as_str(), names);
            if reader.shapes.is_empty() {
                refusal = refusal.remedy("write it in a [[shape]] block");
            }
            reader.faults.push(name.fault(refusal));
            return None;
        };
        reader.used.push(format!("shape {}", name.as_str()));
        let Some(given) = table.take("with") else {
            return Some((shape, Vec::new()));
        };
        let mut given = given.table(reader.faults)?;
        given.call("`with`");
        let values = shape.takes.iter().filter_map(|(name, _)| {
            let formula = reader.option(&mut given, name)?;
            Some((name.clone(), formula))
        });
        let values = values.collect();
        given.finish(reader.faults);
        Some((shape, values))
    }
}

/// `takes = { width = "30 mm" }`.
fn takes(item: Item, reader: &mut Reader<'_>) -> Vec<(String, Formula)> {
    let many = item.fault(limits::beyond(limits::COLUMNS, "values", "shapes"));
    let Some(table) = item.table(reader.faults) else {
        return Vec::new();
    };
    let source = Arc::clone(table.source());
    let entries = table.rest();
    if entries.len() > limits::COLUMNS {
        reader.faults.push(many);
        return Vec::new();
    }
    let mut takes = Vec::new();
    for (key, item) in entries {
        let wrong = name::check(&key, &source, name::Named::Value);
        let taken = reader.knows(&key.name).then(|| {
            let message = format!("`{}` is a name of the recipe already", key.name);
            let fault = Fault::refused(message).at(&source, key.span.clone());
            fault.remedy("choose another name")
        });
        reader.faults.extend(wrong.or(taken));
        let value = reader.formula(item);
        reader.know(&key.name);
        takes.extend(value.map(|value| (key.name, value)));
    }
    takes
}

/// Why a step is none for a shape.
fn unfit(step: &Step) -> Option<String> {
    let what = match &step.action {
        Action::Hollow { .. } => "`hollow`",
        Action::Round { .. } => "`round`",
        Action::Use { .. } => "`use`",
        Action::Shape {
            operation: Operation::Keep,
            ..
        } => "`keep`",
        _ => return None,
    };
    Some(format!(
        "a shape has no {what}: it would work on the whole plate"
    ))
}
