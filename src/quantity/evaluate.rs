//! A tree to its value, with every dimension checked.

use std::ops::Range;

use super::forms;
use super::tree::{Node, NodeKind, Operator};
use super::unit::Unit;
use super::value::Mismatch;
use super::{
    Dimension, Function, MATHEMATICS, Mistake, Quantity, RESERVED, Scope, Value, format, unit,
};
use crate::elementary;
use crate::fault::{self, Refusal};

/// The value of a tree that was read from `text`.
pub(super) fn evaluate(text: &str, tree: &Node, scope: &dyn Scope) -> Result<Value, Mistake> {
    Evaluation { text, scope }.value(tree)
}

pub(super) struct Evaluation<'a> {
    pub(super) text: &'a str,
    pub(super) scope: &'a dyn Scope,
}

impl<'a> Evaluation<'a> {
    pub(super) fn value(&self, node: &Node) -> Result<Value, Mistake> {
        match &node.kind {
            NodeKind::Number(number) => Ok(Value::number(*number)),
            NodeKind::Text(words) => Ok(Value::text(words)),
            NodeKind::Truth(truth) => Ok(Value::Truth(*truth)),
            NodeKind::Name(name) => self.named(name, &node.span),
            NodeKind::Measure(inner, unit) => self.measure(node, inner, unit),
            NodeKind::Negative(inner) => {
                let it = self.quantity(inner)?;
                Ok(Value::of(-it.amount, it.dimension))
            }
            NodeKind::Not(inner) => Ok(Value::Truth(!self.truth(inner)?)),
            NodeKind::Binary(operator, left, right) => self.binary(node, *operator, left, right),
            NodeKind::Call(name, arguments) if name == "if" => self.choice(node, arguments),
            NodeKind::Call(name, arguments) if forms::is_look(name) => self.look(node, arguments),
            NodeKind::Call(name, arguments) => match forms::of_rows(name) {
                Some(asked) => self.of_rows(node, asked, arguments),
                None => self.call(node, name, arguments),
            },
        }
    }

    /// How a part of the expression is written, shortened for a message.
    fn source(&self, node: &Node) -> String {
        const MOST: usize = 40;
        let written = &self.text[node.span.clone()];
        if written.chars().count() <= MOST {
            return format!("`{written}`");
        }
        let start: String = written.chars().take(MOST).collect();
        format!("`{start}…`")
    }

    pub(super) fn quantity(&self, node: &Node) -> Result<Quantity, Mistake> {
        self.value(node)?
            .expect_quantity()
            .map_err(|mismatch| self.mismatch(node, mismatch, "this"))
    }

    fn truth(&self, node: &Node) -> Result<bool, Mistake> {
        self.value(node)?
            .expect_truth()
            .map_err(|mismatch| self.mismatch(node, mismatch, "this"))
    }

    pub(super) fn mismatch(&self, node: &Node, mismatch: Mismatch, what: &str) -> Mistake {
        let written = &self.text[node.span.clone()];
        Mistake::new(node.span.clone(), mismatch.of(what, written))
    }

    fn named(&self, name: &str, span: &Range<usize>) -> Result<Value, Mistake> {
        if name == "pi" {
            return Ok(Value::number(std::f64::consts::PI));
        }
        if self.scope.list(name).is_some() {
            let mistake = Mistake::new(span.clone(), format!("`{name}` is a list"));
            let remedy = format!("write `sum({name}, …)`, or `each = \"{name}\"` and its columns");
            return Err(mistake.remedy(remedy));
        }
        if let Some(value) = self.scope.value(name) {
            return Ok(value);
        }
        let mistake = Mistake::new(span.clone(), format!("there is no `{name}`"));
        if self.scope.has_failed(name) {
            return Err(mistake);
        }
        if self.functions().any(|function| function.name == name) {
            return Err(mistake.remedy(format!("to call the function, write `{name}(…)`")));
        }
        if unit::leading(name).is_some_and(|(_, length)| length == name.len()) {
            return Err(mistake.remedy(format!("a unit goes after a number, `1 {name}`")));
        }
        let names = self.scope.names();
        let known = names.iter().map(String::as_str).chain(RESERVED);
        Err(match fault::nearest(name, known) {
            Some(near) => mistake.remedy(format!("did you mean `{near}`?")),
            None if names.is_empty() => mistake,
            None => mistake.remedy(format!("the names here are {}", listed(&names))),
        })
    }

    fn measure(&self, node: &Node, inner: &Node, unit: &Unit) -> Result<Value, Mistake> {
        let it = self.quantity(inner)?;
        if it.dimension != Dimension::NONE {
            return Err(Mistake::new(
                node.span.clone(),
                format!(
                    "{} is {} already, it cannot take the unit `{}`",
                    self.source(inner),
                    it.dimension.describe(),
                    unit.name()
                ),
            )
            .remedy(format!("leave out `{}`", unit.name())));
        }
        finite(node, it.amount * unit.factor, unit.dimension)
    }

    fn binary(
        &self,
        node: &Node,
        operator: Operator,
        left: &Node,
        right: &Node,
    ) -> Result<Value, Mistake> {
        match operator {
            Operator::And | Operator::Or if self.scope.is_thorough() => {
                let (a, b) = (self.truth(left)?, self.truth(right)?);
                let both = operator == Operator::And;
                Ok(Value::Truth(if both { a && b } else { a || b }))
            }
            Operator::And => Ok(Value::Truth(self.truth(left)? && self.truth(right)?)),
            Operator::Or => Ok(Value::Truth(self.truth(left)? || self.truth(right)?)),
            Operator::Equal | Operator::NotEqual => {
                let equal = self.equal(node, left, right)?;
                Ok(Value::Truth(equal == (operator == Operator::Equal)))
            }
            Operator::Less
            | Operator::LessOrEqual
            | Operator::Greater
            | Operator::GreaterOrEqual => {
                let (a, b) = self.alike(node, "compared", left, right)?;
                let slack = self.scope.slack(a.dimension);
                Ok(Value::Truth(compare(operator, a.amount, b.amount, slack)))
            }
            Operator::Add => {
                let (a, b) = self.alike(node, "added", left, right)?;
                finite(node, a.amount + b.amount, a.dimension)
            }
            Operator::Subtract => {
                let (a, b) = self.alike(node, "subtracted", left, right)?;
                finite(node, a.amount - b.amount, a.dimension)
            }
            Operator::Multiply => {
                let (a, b) = (self.quantity(left)?, self.quantity(right)?);
                finite(node, a.amount * b.amount, a.dimension * b.dimension)
            }
            Operator::Divide => self.divided(node, left, right),
            Operator::Power => self.power(node, left, right),
        }
    }

    /// Two quantities of one kind.
    fn alike(
        &self,
        node: &Node,
        done: &str,
        left: &Node,
        right: &Node,
    ) -> Result<(Quantity, Quantity), Mistake> {
        let (a, b) = (self.quantity(left)?, self.quantity(right)?);
        if a.dimension == b.dimension {
            return Ok((a, b));
        }
        let mistake = Mistake::new(
            node.span.clone(),
            format!(
                "{} is {} and {} is {}: they cannot be {done}",
                self.source(left),
                a.dimension.describe(),
                self.source(right),
                b.dimension.describe()
            ),
        );
        Err(match self.unit_remedy(node, (left, a), (right, b)) {
            Some(remedy) => mistake.remedy(remedy),
            None => mistake,
        })
    }

    /// What to write where a plain number meets a quantity.
    fn unit_remedy(
        &self,
        node: &Node,
        (left, a): (&Node, Quantity),
        (right, b): (&Node, Quantity),
    ) -> Option<String> {
        if let Some(mixed) = self.spaced_mixed_number(node, left, right) {
            return Some(format!("for a mixed number, write `{mixed}`"));
        }
        let (plain, dimension) = match (a.dimension, b.dimension) {
            (Dimension::NONE, other) => (left, other),
            (other, Dimension::NONE) => (right, other),
            _ => return None,
        };
        let NodeKind::Number(_) = plain.kind else {
            return None;
        };
        super::value::with_unit(&self.text[plain.span.clone()], dimension)
    }

    /// `3-1/2 in` for `3 - 1/2 in`.
    fn spaced_mixed_number(&self, node: &Node, left: &Node, right: &Node) -> Option<String> {
        let NodeKind::Binary(Operator::Subtract, ..) = node.kind else {
            return None;
        };
        let (whole, part) = (
            &self.text[left.span.clone()],
            &self.text[right.span.clone()],
        );
        let is_whole = whole.bytes().all(|byte| byte.is_ascii_digit());
        let is_fraction = part.starts_with(|c: char| c.is_ascii_digit()) && part.contains('/');
        let NodeKind::Measure(_, unit) = right.kind else {
            return None;
        };
        (is_whole && is_fraction && unit.takes_fractions()).then(|| format!("{whole}-{part}"))
    }

    fn equal(&self, node: &Node, left: &Node, right: &Node) -> Result<bool, Mistake> {
        let (a, b) = (self.value(left)?, self.value(right)?);
        match (&a, &b) {
            (Value::Text(a), Value::Text(b)) => Ok(a == b),
            (Value::Truth(a), Value::Truth(b)) => Ok(a == b),
            (Value::Quantity(_), Value::Quantity(_)) => {
                let (a, b) = self.alike(node, "compared", left, right)?;
                Ok(format::nearly_equal(a.amount, b.amount))
            }
            _ => Err(Mistake::new(
                node.span.clone(),
                format!(
                    "{} is {} and {} is {}: they cannot be compared",
                    self.source(left),
                    a.describe(),
                    self.source(right),
                    b.describe()
                ),
            )
            .remedy("compare two of a kind: lengths with lengths, words in quotes with words")),
        }
    }

    fn divided(&self, node: &Node, left: &Node, right: &Node) -> Result<Value, Mistake> {
        let (a, b) = (self.quantity(left)?, self.quantity(right)?);
        if b.amount == 0.0 {
            let zero = self.source(right);
            let message = format!("this divides by zero: {zero} is 0");
            let mistake = Mistake::new(node.span.clone(), message);
            return Err(mistake.remedy("make it other than 0"));
        }
        finite(node, a.amount / b.amount, a.dimension / b.dimension)
    }

    fn power(&self, node: &Node, left: &Node, right: &Node) -> Result<Value, Mistake> {
        let (base, exponent) = (self.quantity(left)?, self.quantity(right)?);
        let wrong = |cause: Refusal| Mistake::new(node.span.clone(), cause);
        if exponent.dimension != Dimension::NONE {
            let cause = format!(
                "{} is {}: a power must be a plain number",
                self.source(right),
                exponent.dimension.describe()
            );
            return Err(wrong(cause.into()));
        }
        if base.amount == 0.0 && exponent.amount < 0.0 {
            let cause = Refusal::new("this divides by zero: 0 to a power below 0");
            return Err(wrong(cause.remedy("make what is raised other than 0")));
        }
        if base.amount < 0.0 && exponent.amount.fract() != 0.0 {
            let base = self.source(left);
            let cause = format!("{base} is below 0: only whole powers of it exist");
            let remedy = "make it 0 or more, or raise it to a whole power";
            return Err(wrong(Refusal::new(cause).remedy(remedy)));
        }
        let dimension = power_of(base.dimension, exponent.amount).ok_or_else(|| {
            let cause = format!("{} to this power is no quantity", base.dimension.describe());
            let remedy = "use a small whole power, or `sqrt` of an area";
            wrong(Refusal::new(cause).remedy(remedy))
        })?;
        finite(
            node,
            elementary::powf(base.amount, exponent.amount),
            dimension,
        )
    }

    /// `if(test, a, b)`: only the chosen one is looked at.
    fn choice(&self, node: &Node, arguments: &[Node]) -> Result<Value, Mistake> {
        let [test, yes, no] = arguments else {
            return Err(
                Mistake::new(node.span.clone(), "`if` takes a test and two values")
                    .remedy("write `if(test, value if true, value if false)`"),
            );
        };
        let (taken, other) = if self.truth(test)? {
            (yes, no)
        } else {
            (no, yes)
        };
        let value = self.value(taken)?;
        if self.scope.is_thorough() {
            let other = self.value(other)?;
            if value.describe() != other.describe() {
                let message = format!(
                    "one of its values is {}, the other {}",
                    value.describe(),
                    other.describe()
                );
                return Err(Mistake::new(node.span.clone(), message));
            }
        }
        Ok(value)
    }

    fn functions(&self) -> impl Iterator<Item = &'a Function> {
        MATHEMATICS.iter().chain(self.scope.functions())
    }

    fn call(&self, node: &Node, name: &str, arguments: &[Node]) -> Result<Value, Mistake> {
        let Some(function) = self.functions().find(|function| function.name == name) else {
            return Err(self.unknown_function(node, name));
        };
        let refused = |refusal: Refusal| Mistake::new(node.span.clone(), refusal);
        function.refuse_count(arguments.len()).map_err(refused)?;
        let mut values = Vec::with_capacity(arguments.len());
        for (index, argument) in arguments.iter().enumerate() {
            values.push(self.argument(function, index, argument)?);
        }
        match function.answer(values).map_err(refused)? {
            Value::Quantity(it) => finite(node, it.amount, it.dimension),
            other => Ok(other),
        }
    }

    fn argument(
        &self,
        function: &Function,
        index: usize,
        argument: &Node,
    ) -> Result<Value, Mistake> {
        let value = self.value(argument)?;
        let Some(parameter) = function.parameter(index) else {
            return Ok(value);
        };
        let literal = match &argument.kind {
            NodeKind::Measure(inner, _) if matches!(inner.kind, NodeKind::Number(_)) => {
                Some(&self.text[argument.span.clone()])
            }
            _ => None,
        };
        parameter.fit(value, literal).map_err(|mismatch| {
            let what = format!("{} of `{}`", parameter.name, function.name);
            self.mismatch(argument, mismatch, &what)
        })
    }

    fn unknown_function(&self, node: &Node, name: &str) -> Mistake {
        let span = node.span.start..node.span.start + name.len();
        let mistake = Mistake::new(span, format!("there is no function `{name}`"));
        let names = self
            .functions()
            .map(|function| function.name)
            .chain(forms::words());
        match fault::nearest(name, names) {
            Some(near) => mistake.remedy(format!("did you mean `{near}`?")),
            None if self.scope.value(name).is_some() => {
                mistake.remedy(format!("to multiply, write `{name} * (…)`"))
            }
            None => mistake,
        }
    }
}

/// Names for a message, the first few of many.
fn listed(names: &[String]) -> String {
    const MOST: usize = 12;
    let shown: Vec<_> = names
        .iter()
        .take(MOST)
        .map(|name| format!("`{name}`"))
        .collect();
    let more = if names.len() > MOST { ", …" } else { "" };
    shown.join(", ") + more
}

/// Whether two amounts compare so; amounts equal but for rounding are equal, and `<=` and `>=` are kept
/// by what misses them by no more than the slack.
fn compare(operator: Operator, a: f64, b: f64, slack: f64) -> bool {
    let equal = format::nearly_equal(a, b);
    match operator {
        Operator::Less => a < b && !equal,
        Operator::LessOrEqual => a <= b + slack || equal,
        Operator::Greater => a > b && !equal,
        _ => a >= b - slack || equal,
    }
}

/// The dimension of a base to a power, if there is one.
fn power_of(dimension: Dimension, exponent: f64) -> Option<Dimension> {
    if dimension == Dimension::NONE {
        return Some(dimension);
    }
    let (dimension, exponent) = if exponent == 0.5 {
        (dimension.root()?, 1.0)
    } else {
        (dimension, exponent)
    };
    let is_small = exponent.abs() <= f64::from(Dimension::HIGHEST_POWER);
    (is_small && exponent.fract() == 0.0)
        .then(|| dimension.power(exponent as i32))
        .flatten()
}

/// A result, unless it is too large or too far from any quantity.
pub(super) fn finite(node: &Node, amount: f64, dimension: Dimension) -> Result<Value, Mistake> {
    if !amount.is_finite() {
        let mistake = Mistake::new(node.span.clone(), "the result is too large to compute with");
        return Err(mistake.remedy("look for a value that is too large, or a division by almost 0"));
    }
    if !dimension.is_sane() {
        let mistake = Mistake::new(
            node.span.clone(),
            "the result has units to too high a power",
        );
        return Err(mistake.remedy("multiply fewer quantities, or divide by one of them"));
    }
    Ok(Value::of(amount, dimension))
}
