//! The built-in functions of expressions.

use super::{Dimension, Function, Parameter, Quantity, Value, format};

const ANY: Parameter = Parameter::AnyQuantity("value");
const NUMBER: Parameter = Parameter::Quantity("number", Dimension::NONE);
const ANGLE: Parameter = Parameter::Quantity("angle", Dimension::ANGLE);

const fn function(
    name: &'static str,
    parameters: &'static [Parameter],
    says: &'static str,
    call: fn(&[Value]) -> Result<Value, String>,
) -> Function {
    Function {
        name,
        parameters,
        says,
        source: "",
        call,
    }
}

/// Every built-in function. `if(test, a, b)` is not among them: it looks at one of `a` and `b` only.
pub static MATHEMATICS: [Function; 20] = [
    function("min", &[ANY, Parameter::More], "the smallest", |values| {
        extreme(values, f64::min)
    }),
    function("max", &[ANY, Parameter::More], "the largest", |values| {
        extreme(values, f64::max)
    }),
    function(
        "clamp",
        &[
            ANY,
            Parameter::AnyQuantity("lowest"),
            Parameter::AnyQuantity("highest"),
        ],
        "the value, kept between the lowest and the highest",
        clamp,
    ),
    function("abs", &[ANY], "the value without its sign", |values| {
        let it = one(values)?;
        Ok(Value::of(it.amount.abs(), it.dimension))
    }),
    function(
        "sqrt",
        &[ANY],
        "the square root; of an area, a length",
        square_root,
    ),
    function(
        "hypot",
        &[ANY, ANY, Parameter::More],
        "the root of the sum of squares",
        |values| extreme(values, f64::hypot),
    ),
    function(
        "mod",
        &[ANY, Parameter::AnyQuantity("divisor")],
        "the rest of a division, from 0 up to the divisor",
        remainder,
    ),
    function("round", &[NUMBER], "the nearest whole number", |values| {
        whole(values, f64::round)
    }),
    function("floor", &[NUMBER], "the whole number below", |values| {
        whole(values, f64::floor)
    }),
    function("ceil", &[NUMBER], "the whole number above", |values| {
        whole(values, f64::ceil)
    }),
    function(
        "gcd",
        &[NUMBER, NUMBER, Parameter::More],
        "the greatest whole number that divides all",
        common_divisor,
    ),
    function("sin", &[ANGLE], "the sine", |values| {
        Ok(Value::number(one(values)?.amount.sin()))
    }),
    function("cos", &[ANGLE], "the cosine", |values| {
        Ok(Value::number(one(values)?.amount.cos()))
    }),
    function("tan", &[ANGLE], "the tangent", tangent),
    function("asin", &[NUMBER], "the angle with this sine", |values| {
        arc(values, f64::asin)
    }),
    function("acos", &[NUMBER], "the angle with this cosine", |values| {
        arc(values, f64::acos)
    }),
    function("atan", &[NUMBER], "the angle with this tangent", |values| {
        Ok(Value::angle(one(values)?.amount.atan()))
    }),
    function(
        "atan2",
        &[Parameter::AnyQuantity("y"), Parameter::AnyQuantity("x")],
        "the angle from +x to the direction (x, y)",
        |values| {
            let [y, x] = alike(values)?;
            Ok(Value::angle(y.amount.atan2(x.amount)))
        },
    ),
    function(
        "radians",
        &[ANGLE],
        "the angle in radians, as a plain number",
        |values| Ok(Value::number(one(values)?.amount)),
    ),
    function(
        "degrees",
        &[ANGLE],
        "the angle in degrees, as a plain number",
        |values| Ok(Value::number(one(values)?.amount.to_degrees())),
    ),
];

/// The first value.
fn one(values: &[Value]) -> Result<Quantity, String> {
    values
        .first()
        .ok_or("a value is missing")?
        .expect_quantity()
}

/// Values of one kind, or a sentence about the first that differs.
fn all_alike(values: &[Value]) -> Result<Vec<Quantity>, String> {
    let first = one(values)?;
    values
        .iter()
        .map(|value| {
            let it = value.expect_quantity()?;
            if it.dimension == first.dimension {
                return Ok(it);
            }
            Err(format!(
                "this mixes {} and {}: every value must be of one kind",
                first.dimension.describe(),
                it.dimension.describe()
            ))
        })
        .collect()
}

fn alike<const N: usize>(values: &[Value]) -> Result<[Quantity; N], String> {
    all_alike(values)?
        .try_into()
        .map_err(|_| format!("this needs {N} values"))
}

fn extreme(values: &[Value], choose: fn(f64, f64) -> f64) -> Result<Value, String> {
    let values = all_alike(values)?;
    let chosen = values.iter().map(|it| it.amount).reduce(choose);
    match (chosen, values.first()) {
        (Some(amount), Some(first)) => Ok(Value::of(amount, first.dimension)),
        _ => Err("a value is missing".to_owned()),
    }
}

fn clamp(values: &[Value]) -> Result<Value, String> {
    let [value, lowest, highest] = alike(values)?;
    if lowest.amount > highest.amount {
        return Err(format!(
            "the lowest, {}, is above the highest, {}",
            format::quantity(lowest),
            format::quantity(highest)
        ));
    }
    Ok(Value::of(
        value.amount.clamp(lowest.amount, highest.amount),
        value.dimension,
    ))
}

fn square_root(values: &[Value]) -> Result<Value, String> {
    let it = one(values)?;
    let Some(dimension) = it.dimension.root() else {
        return Err(format!(
            "{} has no square root: an area or a plain number has",
            it.dimension.describe()
        ));
    };
    if it.amount < 0.0 {
        return Err(format!(
            "this is the square root of {}, which is below 0",
            format::quantity(it)
        ));
    }
    Ok(Value::of(it.amount.sqrt(), dimension))
}

fn remainder(values: &[Value]) -> Result<Value, String> {
    let [value, divisor] = alike(values)?;
    if divisor.amount == 0.0 {
        return Err("the divisor is 0".to_owned());
    }
    Ok(Value::of(
        value.amount.rem_euclid(divisor.amount),
        value.dimension,
    ))
}

/// A whole number; one that is whole but for rounding stays what it is meant to be.
fn whole(values: &[Value], change: fn(f64) -> f64) -> Result<Value, String> {
    let amount = one(values)?.amount;
    let near = amount.round();
    let is_whole = format::nearly_equal(amount, near);
    Ok(Value::number(if is_whole { near } else { change(amount) }))
}

fn common_divisor(values: &[Value]) -> Result<Value, String> {
    let mut divisor = 0;
    for value in values {
        let mut rest = value.expect_count()?;
        while rest != 0 {
            (divisor, rest) = (rest, divisor % rest);
        }
    }
    Ok(Value::number(f64::from(divisor)))
}

fn tangent(values: &[Value]) -> Result<Value, String> {
    let (sin, cos) = one(values)?.amount.sin_cos();
    if format::nearly_equal(cos, 0.0) {
        return Err("a right angle has no tangent".to_owned());
    }
    Ok(Value::number(sin / cos))
}

/// The angle of a sine or cosine, which must lie between -1 and 1 but for rounding.
fn arc(values: &[Value], angle: fn(f64) -> f64) -> Result<Value, String> {
    let amount = one(values)?.amount;
    let within = amount.clamp(-1.0, 1.0);
    if !format::nearly_equal(amount, within) {
        return Err(format!(
            "{} is not between -1 and 1, so no angle has it",
            format::decimal(amount, 6)
        ));
    }
    Ok(Value::angle(angle(within)))
}
