//! An expression together with its place in a file.
//!
//! In: [`Text`] from a recipe, part, job or table. Out: values of the kind asked for, or a fault that
//! underlines the stretch of the file that is wrong. Amounts are in base units (mm, rad, kg, s).

use crate::fault::Fault;
use crate::quantity::{Dimension, Expression, Mistake, Quantity, Scope, Value};

use super::text::Text;

/// An expression that was read, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Formula {
    expression: Expression,
    text: Text,
}

impl Formula {
    /// Reads an expression.
    pub(crate) fn parse(text: Text) -> Result<Self, Fault> {
        match Expression::parse(text.as_str()) {
            Ok(expression) => Ok(Self { expression, text }),
            Err(mistake) => Err(fault(&text, mistake)),
        }
    }

    /// The words it was read from.
    #[must_use]
    pub const fn text(&self) -> &Text {
        &self.text
    }

    /// The names it uses.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.expression.names()
    }

    /// Its value.
    pub fn value(&self, scope: &dyn Scope) -> Result<Value, Fault> {
        self.expression
            .evaluate(scope)
            .map_err(|mistake| fault(&self.text, mistake))
    }

    /// Its amount in base units; it must be a quantity of this dimension. `what` names the value in
    /// messages: `` `diameter` ``.
    pub fn amount(&self, scope: &dyn Scope, wanted: Dimension, what: &str) -> Result<f64, Fault> {
        let value = self.value(scope)?;
        match value {
            Value::Quantity(found) if found.dimension == wanted => Ok(found.amount),
            _ => Err(self.mismatch(&value, wanted, what)),
        }
    }

    /// A length, mm.
    pub fn length(&self, scope: &dyn Scope, what: &str) -> Result<f64, Fault> {
        self.amount(scope, Dimension::LENGTH, what)
    }

    /// A length above 0, mm.
    pub fn size(&self, scope: &dyn Scope, what: &str) -> Result<f64, Fault> {
        let length = self.length(scope, what)?;
        if length > 0.0 {
            return Ok(length);
        }
        let fault = self.fault(format!("{what} comes to {}", shown(&Value::length(length))));
        Err(fault.remedy("it must be more than 0 mm"))
    }

    /// An angle, radians.
    pub fn angle(&self, scope: &dyn Scope, what: &str) -> Result<f64, Fault> {
        self.amount(scope, Dimension::ANGLE, what)
    }

    /// A plain number.
    pub fn number(&self, scope: &dyn Scope, what: &str) -> Result<f64, Fault> {
        self.amount(scope, Dimension::NONE, what)
    }

    /// A whole number from 0 up to `most`. Sums that miss a whole number by rounding are taken as it.
    pub fn count(&self, scope: &dyn Scope, most: u32, what: &str) -> Result<u32, Fault> {
        let number = self.number(scope, what)?;
        let whole = number.round();
        if (number - whole).abs() > NEAR_WHOLE || whole < 0.0 {
            let fault = self.fault(format!("{what} comes to {number}"));
            return Err(fault.remedy("it must be a whole number, 0 or more"));
        }
        if whole > f64::from(most) {
            let fault = self.fault(format!("{what} comes to {whole}"));
            return Err(fault.remedy(format!("no more than {most} are possible")));
        }
        Ok(whole as u32)
    }

    /// Yes or no.
    pub fn truth(&self, scope: &dyn Scope, what: &str) -> Result<bool, Fault> {
        match self.value(scope)? {
            Value::Truth(truth) => Ok(truth),
            other => Err(self
                .fault(format!("{what} must be a test, but is {}", kind_of(&other)))
                .remedy("write a comparison, such as \"count > 0\"")),
        }
    }

    /// A fault at the whole expression.
    pub(crate) fn fault(&self, message: impl Into<String>) -> Fault {
        self.text.fault(message)
    }

    /// The fault of a value of the wrong kind.
    pub(crate) fn mismatch(&self, found: &Value, wanted: Dimension, what: &str) -> Fault {
        let Some(example) = example(wanted) else {
            let message = format!(
                "{what} must be {}, but is {}",
                name_of(wanted),
                kind_of(found)
            );
            return self.fault(message);
        };
        let unitless = matches!(found, Value::Quantity(q) if q.dimension == Dimension::NONE);
        if !unitless || wanted == Dimension::NONE {
            let message = format!(
                "{what} must be {}, but is {}",
                name_of(wanted),
                kind_of(found)
            );
            return self
                .fault(message)
                .remedy(format!("write for example \"{example}\""));
        }
        let fault = self.fault(format!(
            "{what} has no unit: it must be {}",
            name_of(wanted)
        ));
        let plain = self.text.as_str().trim();
        match (plain.parse::<f64>(), wanted) {
            (Ok(_), Dimension::LENGTH) => {
                fault.remedy(format!("write \"{plain} mm\" or \"{plain} in\""))
            }
            (Ok(_), Dimension::ANGLE) => fault.remedy(format!("write \"{plain} deg\"")),
            _ => fault.remedy(format!(
                "give the numbers in it their units, as in \"{example}\""
            )),
        }
    }
}

/// How far from a whole number a computed count may lie.
const NEAR_WHOLE: f64 = 1e-6;

fn fault(text: &Text, mistake: Mistake) -> Fault {
    let fault = Fault::refused(mistake.message).at(text.source(), text.span_of(mistake.span));
    match mistake.remedy {
        Some(remedy) => fault.remedy(remedy),
        None => fault,
    }
}

/// Dimensions that builders meet, with their names and an example of each.
const KINDS: [(Dimension, &str, &str); 11] = [
    (Dimension::NONE, "a plain number", "5"),
    (Dimension::LENGTH, "a length", "12 mm"),
    (Dimension::AREA, "an area", "12 mm * 12 mm"),
    (Dimension::ANGLE, "an angle", "15 deg"),
    (Dimension::MASS, "a mass", "2 kg"),
    (Dimension::TIME, "a time", "0.5 s"),
    (Dimension::SPEED, "a speed", "2500 mm/min"),
    (Dimension::FORCE, "a force", "250 N"),
    (Dimension::TORQUE, "a torque", "40 N.m"),
    (Dimension::STRESS, "a stress", "355 MPa"),
    (Dimension::DENSITY, "a density", "7850 kg/m3"),
];

/// A dimension in words, with its article.
#[must_use]
pub fn name_of(dimension: Dimension) -> &'static str {
    let known = KINDS.iter().find(|(kind, _, _)| *kind == dimension);
    known.map_or("a quantity of another kind", |(_, name, _)| name)
}

/// A value's kind in words, with its article.
#[must_use]
pub fn kind_of(value: &Value) -> &'static str {
    match value {
        Value::Quantity(quantity) => name_of(quantity.dimension),
        Value::Text(_) => "words",
        Value::Truth(_) => "a yes or no",
    }
}

fn example(dimension: Dimension) -> Option<&'static str> {
    let known = KINDS.iter().find(|(kind, _, _)| *kind == dimension);
    known.map(|(_, _, example)| *example)
}

/// A value as a person reads it: lengths in mm and inch, angles in degrees.
#[must_use]
pub fn shown(value: &Value) -> String {
    match value {
        Value::Text(text) => text.clone(),
        Value::Truth(true) => "yes".to_owned(),
        Value::Truth(false) => "no".to_owned(),
        Value::Quantity(quantity) => quantity_shown(*quantity),
    }
}

fn quantity_shown(quantity: Quantity) -> String {
    let amount = quantity.amount;
    match quantity.dimension {
        Dimension::NONE => trimmed(amount, 4),
        Dimension::LENGTH => format!("{} mm ({:.3} in)", trimmed(amount, 3), amount / MM_PER_INCH),
        Dimension::AREA => format!("{} mm²", trimmed(amount, 1)),
        Dimension::ANGLE => format!("{} deg", trimmed(amount.to_degrees(), 3)),
        Dimension::MASS => format!("{} kg", trimmed(amount, 3)),
        Dimension::TIME => format!("{} s", trimmed(amount, 2)),
        Dimension::SPEED => format!("{} mm/min", trimmed(amount * 60.0, 1)),
        Dimension::FORCE => format!("{} N", trimmed(amount / 1e3, 1)),
        Dimension::TORQUE => format!("{} N.m", trimmed(amount / 1e6, 2)),
        Dimension::STRESS => format!("{} MPa", trimmed(amount / 1e3, 2)),
        Dimension::DENSITY => format!("{} kg/m3", trimmed(amount * 1e9, 0)),
        _ => format!("{} in base units (mm, kg, s, rad)", trimmed(amount, 6)),
    }
}

const MM_PER_INCH: f64 = 25.4;

/// A number with at most `places` decimals and no trailing zeros.
fn trimmed(amount: f64, places: usize) -> String {
    let text = format!("{amount:.places$}");
    let short = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    if short == "-0" {
        "0".to_owned()
    } else {
        short.to_owned()
    }
}
