//! `reckon`: one expression, answered in mm and inch.

use serde_json::{Value as Json, json};

use super::args::ReckonArgs;
use super::screen::Screen;
use crate::fault::{Fault, Outcome, Source};
use crate::quantity::expression::Nameless;
use crate::quantity::{Dimension, Expression, Function, Mistake, Quantity, Value, format};
use crate::trade;

pub(super) fn run(options: &ReckonArgs, screen: &Screen) -> Outcome<u8> {
    if options.functions {
        screen.result(
            || json!({ "schema": 1, "functions": trade::functions().iter().map(described).collect::<Vec<_>>() }),
            || trade::functions().iter().map(listed).collect::<Vec<_>>().join("\n"),
        )?;
        return Ok(0);
    }
    let text = options.expression.as_deref().unwrap_or_default();
    let value = worked_out(text)?;
    screen.result(|| object(text, &value), || format::value(&value))?;
    Ok(0)
}

fn worked_out(text: &str) -> Outcome<Value> {
    let fault = |mistake: Mistake| {
        let (source, span) = (Source::inline("expression", text), mistake.span.clone());
        Fault::refused(mistake).at(&source, span)
    };
    let value = Expression::parse(text)
        .and_then(|expression| expression.evaluate(&Nameless(trade::functions())));
    value.map_err(|mistake| fault(mistake).into())
}

/// `value_mm` for a length, `value_deg` for an angle, else `value` with its unit if it has one.
fn object(text: &str, value: &Value) -> Json {
    let mut object = json!({ "schema": 1, "expression": text, "text": format::value(value) });
    match value {
        Value::Quantity(Quantity { amount, dimension }) => match *dimension {
            Dimension::LENGTH => object["value_mm"] = json!(amount),
            Dimension::ANGLE => object["value_deg"] = json!(amount.to_degrees()),
            Dimension::NONE => object["value"] = json!(amount),
            other => {
                let base = || (other.base_unit(), 1.0);
                let usual =
                    format::usual_unit(other).map(|(unit, factor)| (unit.to_owned(), factor));
                let (unit, factor) = usual.unwrap_or_else(base);
                object["value"] = json!(amount / factor);
                object["unit"] = json!(unit);
            }
        },
        Value::Text(words) => object["value"] = json!(words),
        Value::Truth(truth) => object["value"] = json!(truth),
    }
    object
}

fn described(function: &Function) -> Json {
    json!({
        "name": function.name,
        "call": function.signature(),
        "says": function.says,
        "source": function.source,
    })
}

fn listed(function: &Function) -> String {
    format!(
        "{}\n    {}\n    {}",
        function.signature(),
        function.says,
        function.source
    )
}
