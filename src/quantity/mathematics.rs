//! The built-in functions of expressions.

use super::{Function, Given, Parameter, Quantity, Value, format};
use crate::elementary;
use crate::fault::Refusal;

const ANY: Parameter = Parameter::any("value");
const NUMBER: Parameter = Parameter::number("number");
const ANGLE: Parameter = Parameter::angle("angle");

const fn function(
    name: &'static str,
    parameters: &'static [Parameter],
    says: &'static str,
    call: fn(Given<'_>) -> Result<Value, Refusal>,
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
    function("min", &[ANY.repeated()], "the smallest", |given| {
        extreme(given, f64::min)
    }),
    function("max", &[ANY.repeated()], "the largest", |given| {
        extreme(given, f64::max)
    }),
    function(
        "clamp",
        &[ANY, Parameter::any("lowest"), Parameter::any("highest")],
        "the value, kept between the lowest and the highest",
        clamp,
    ),
    function("abs", &[ANY], "the value without its sign", |given| {
        let it: Quantity = given.one()?;
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
        &[ANY, ANY.repeated()],
        "the root of the sum of squares",
        |given| extreme(given, elementary::hypot),
    ),
    function(
        "mod",
        &[ANY, Parameter::any("divisor")],
        "the rest of a division, from 0 up to the divisor",
        remainder,
    ),
    function("round", &[NUMBER], "the nearest whole number", |given| {
        whole(given, f64::round)
    }),
    function("floor", &[NUMBER], "the whole number below", |given| {
        whole(given, f64::floor)
    }),
    function("ceil", &[NUMBER], "the whole number above", |given| {
        whole(given, f64::ceil)
    }),
    function(
        "gcd",
        &[NUMBER, NUMBER.repeated()],
        "the greatest whole number that divides all",
        common_divisor,
    ),
    function("sin", &[ANGLE], "the sine", |given| {
        Ok(Value::number(elementary::sin(given.one::<f64>()?)))
    }),
    function("cos", &[ANGLE], "the cosine", |given| {
        Ok(Value::number(elementary::cos(given.one::<f64>()?)))
    }),
    function("tan", &[ANGLE], "the tangent", tangent),
    function("asin", &[NUMBER], "the angle with this sine", |given| {
        arc(given, elementary::asin)
    }),
    function("acos", &[NUMBER], "the angle with this cosine", |given| {
        arc(given, elementary::acos)
    }),
    function("atan", &[NUMBER], "the angle with this tangent", |given| {
        Ok(Value::angle(elementary::atan(given.one::<f64>()?)))
    }),
    function(
        "atan2",
        &[Parameter::any("y"), Parameter::any("x")],
        "the angle from +x to the direction (x, y)",
        |given| {
            let [y, x] = alike(given)?;
            Ok(Value::angle(elementary::atan2(y.amount, x.amount)))
        },
    ),
    function(
        "radians",
        &[ANGLE],
        "the angle in radians, as a plain number",
        |given| Ok(Value::number(given.one()?)),
    ),
    function(
        "degrees",
        &[ANGLE],
        "the angle in degrees, as a plain number",
        |given| Ok(Value::number(given.one::<f64>()?.to_degrees())),
    ),
];

/// Values of one kind, or what is wrong with the first that differs.
fn all_alike(given: Given<'_>) -> Result<Vec<Quantity>, Refusal> {
    let first: Quantity = given.one()?;
    let one_kind = |value: &Value| {
        let it = value.expect_quantity()?;
        if it.dimension == first.dimension {
            return Ok(it);
        }
        let message = format!(
            "this mixes {} and {}: every value must be of one kind",
            first.dimension.describe(),
            it.dimension.describe()
        );
        Err(Refusal::new(message).remedy("see that each number has its unit, such as `12 mm`"))
    };
    given.0.iter().map(one_kind).collect()
}

fn alike<const N: usize>(given: Given<'_>) -> Result<[Quantity; N], Refusal> {
    all_alike(given)?
        .try_into()
        .map_err(|_| format!("this needs {N} values").into())
}

fn extreme(given: Given<'_>, choose: fn(f64, f64) -> f64) -> Result<Value, Refusal> {
    let first: Quantity = given.one()?;
    let rest = all_alike(given)?.into_iter().skip(1);
    let chosen = rest.fold(first.amount, |chosen, it| choose(chosen, it.amount));
    Ok(Value::of(chosen, first.dimension))
}

fn clamp(given: Given<'_>) -> Result<Value, Refusal> {
    let [value, lowest, highest] = alike(given)?;
    if lowest.amount > highest.amount {
        let message = format!(
            "the lowest, {}, is above the highest, {}",
            format::quantity(lowest),
            format::quantity(highest)
        );
        return Err(Refusal::new(message).remedy("write `clamp(value, lowest, highest)`"));
    }
    let kept = value.amount.max(lowest.amount).min(highest.amount);
    Ok(Value::of(kept, value.dimension))
}

fn square_root(given: Given<'_>) -> Result<Value, Refusal> {
    let it: Quantity = given.one()?;
    let Some(dimension) = it.dimension.root() else {
        return Err(Refusal::new(format!(
            "{} has no square root: an area or a plain number has",
            it.dimension.describe()
        )));
    };
    if it.amount < 0.0 {
        let message = format!(
            "this is the square root of {}, which is below 0",
            format::quantity(it)
        );
        let remedy = "no lengths give that: one that is taken away is longer than the other";
        return Err(Refusal::new(message).remedy(remedy));
    }
    Ok(Value::of(it.amount.sqrt(), dimension))
}

fn remainder(given: Given<'_>) -> Result<Value, Refusal> {
    let [value, divisor] = alike(given)?;
    if divisor.amount == 0.0 {
        return Err(Refusal::new("the divisor is 0").remedy("make it other than 0"));
    }
    Ok(Value::of(
        value.amount.rem_euclid(divisor.amount),
        value.dimension,
    ))
}

/// A whole number; one that is whole but for rounding stays what it is meant to be.
fn whole(given: Given<'_>, change: fn(f64) -> f64) -> Result<Value, Refusal> {
    let amount: f64 = given.one()?;
    let near = amount.round();
    let is_whole = format::nearly_equal(amount, near);
    Ok(Value::number(if is_whole { near } else { change(amount) }))
}

fn common_divisor(given: Given<'_>) -> Result<Value, Refusal> {
    let mut divisor = 0;
    for value in given.0 {
        let mut rest = value.expect_count()?;
        while rest != 0 {
            (divisor, rest) = (rest, divisor % rest);
        }
    }
    Ok(Value::number(f64::from(divisor)))
}

fn tangent(given: Given<'_>) -> Result<Value, Refusal> {
    let (sin, cos) = elementary::sin_cos(given.one::<f64>()?);
    if format::nearly_equal(cos, 0.0) {
        let refusal = Refusal::new("a right angle has no tangent");
        return Err(refusal.remedy("give an angle below 90 deg"));
    }
    Ok(Value::number(sin / cos))
}

/// The angle of a sine or cosine, which must lie between -1 and 1 but for rounding.
fn arc(given: Given<'_>, angle: fn(f64) -> f64) -> Result<Value, Refusal> {
    let amount: f64 = given.one()?;
    let within = amount.clamp(-1.0, 1.0);
    if !format::nearly_equal(amount, within) {
        let message = format!(
            "{} is not between -1 and 1, so no angle has it",
            format::decimal(amount, 6)
        );
        let remedy = "divide the shorter length by the longer one";
        return Err(Refusal::new(message).remedy(remedy));
    }
    Ok(Value::angle(angle(within)))
}
