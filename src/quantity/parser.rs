//! Tokens to a tree.

use std::ops::Range;

use super::Mistake;
use super::mixed::mixed_number;
use super::token::{self, Spanned, Token};
use super::tree::{Binding, Node, NodeKind, Operator};
use super::unit::{FOOT, INCH, Unit};

/// The longest expression that is read, in bytes.
pub(super) const LONGEST: usize = 4000;
/// The most levels of nesting, so that no input can exhaust the stack.
pub(super) const DEEPEST: usize = 100;

/// Reads an expression.
pub(super) fn parse(text: &str) -> Result<Node, Mistake> {
    if text.len() > LONGEST {
        return Err(Mistake::new(
            0..text.len(),
            format!("this expression is longer than {LONGEST} bytes"),
        )
        .remedy("give parts of it names of their own"));
    }
    let tokens = token::read(text)?;
    refuse_dashed_feet(&tokens, text)?;
    let mut parser = Parser {
        text,
        tokens,
        next: 0,
        depth: 0,
    };
    if parser.tokens.is_empty() {
        return Err(Mistake::new(0..text.len(), "there is nothing here")
            .remedy("write a value, for example `12 mm`"));
    }
    let tree = parser.expression(Binding::Or)?;
    match parser.tokens.get(parser.next) {
        None => Ok(tree),
        Some(_) => Err(parser.unexpected()),
    }
}

/// `4'-6"` is a dimension on drawings of buildings and a subtraction here: neither is assumed.
fn refuse_dashed_feet(tokens: &[Spanned<'_>], text: &str) -> Result<(), Mistake> {
    for four in tokens.windows(4) {
        let [feet, dash, number, inch] = four else {
            continue;
        };
        let is_dashed = is_unit(feet, &FOOT)
            && dash.token == Token::Operator(Operator::Subtract)
            && matches!(number.token, Token::Number(_))
            && is_unit(inch, &INCH);
        let is_tight = feet.span.end == dash.span.start && dash.span.end == number.span.start;
        if is_dashed && is_tight {
            let inches = &text[number.span.start..inch.span.end];
            return Err(Mistake::new(
                feet.span.start..inch.span.end,
                "feet, a dash and inches can be read two ways",
            )
            .remedy(format!(
                "write a space instead of the dash to add `{inches}`, or spaces around it to subtract"
            )));
        }
    }
    Ok(())
}

fn is_unit(token: &Spanned<'_>, unit: &Unit) -> bool {
    matches!(token.token, Token::Unit(found) if found == unit)
}

struct Parser<'a> {
    text: &'a str,
    tokens: Vec<Spanned<'a>>,
    next: usize,
    depth: usize,
}

impl<'a> Parser<'a> {
    fn peek(&self) -> Option<Token<'a>> {
        self.tokens.get(self.next).map(|spanned| spanned.token)
    }

    fn take(&mut self) -> Option<Spanned<'a>> {
        let token = self.tokens.get(self.next).cloned();
        self.next += 1;
        token
    }

    /// Operands joined by operators that bind at least as tightly as `least`.
    fn expression(&mut self, least: Binding) -> Result<Node, Mistake> {
        self.depth += 1;
        let mut left = self.operand()?;
        while let Some(Token::Operator(operator)) = self.peek() {
            let binding = operator.binding();
            if binding < least {
                break;
            }
            self.next += 1;
            let right = self.expression(match operator {
                Operator::Power => Binding::Power,
                _ => binding.tighter(),
            })?;
            self.refuse_chain(&left, operator, &right)?;
            let span = left.span.start..right.span.end;
            left = node(
                NodeKind::Binary(operator, Box::new(left), Box::new(right)),
                span,
            )?;
        }
        self.depth -= 1;
        Ok(left)
    }

    /// `a < b < c`.
    fn refuse_chain(&self, left: &Node, operator: Operator, right: &Node) -> Result<(), Mistake> {
        let is_comparison = |operator: Operator| operator.binding() == Binding::Comparison;
        let NodeKind::Binary(inner, _, middle) = &left.kind else {
            return Ok(());
        };
        let in_parentheses = self.text[left.span.clone()].starts_with('(')
            && self.text[left.span.clone()].ends_with(')');
        if !is_comparison(operator) || !is_comparison(*inner) || in_parentheses {
            return Ok(());
        }
        Err(Mistake::new(
            left.span.start..right.span.end,
            "comparisons cannot be chained",
        )
        .remedy(format!(
            "write `{} and {} {} {}`",
            self.source(&left.span),
            self.source(&middle.span),
            operator.sign(),
            self.source(&right.span)
        )))
    }

    fn source(&self, span: &Range<usize>) -> &'a str {
        &self.text[span.clone()]
    }

    fn operand(&mut self) -> Result<Node, Mistake> {
        self.refuse_depth()?;
        match self.peek() {
            Some(Token::Operator(Operator::Subtract)) => {
                self.prefixed(Binding::Power, NodeKind::Negative)
            }
            Some(Token::Operator(Operator::Add)) => {
                self.next += 1;
                self.expression(Binding::Power)
            }
            Some(Token::Not) => self.prefixed(Binding::Comparison, NodeKind::Not),
            _ => self.atom(),
        }
    }

    fn prefixed(
        &mut self,
        binding: Binding,
        kind: fn(Box<Node>) -> NodeKind,
    ) -> Result<Node, Mistake> {
        let start = self.tokens[self.next].span.start;
        self.next += 1;
        let inner = self.expression(binding)?;
        let span = start..inner.span.end;
        node(kind(Box::new(inner)), span)
    }

    fn atom(&mut self) -> Result<Node, Mistake> {
        let Some(Spanned { token, span }) = self.take() else {
            return Err(self.ended());
        };
        match token {
            Token::Number(number) => {
                let number = node(NodeKind::Number(number), span)?;
                self.measure(number)
            }
            Token::Text(words) => node(NodeKind::Text(words.to_owned()), span),
            Token::Truth(truth) => node(NodeKind::Truth(truth), span),
            Token::Name(name) if self.peek() == Some(Token::Open) => self.call(name, span.start),
            Token::Name(name) => node(NodeKind::Name(name.to_owned()), span),
            Token::Open => self.parenthesis(span.start),
            _ => {
                self.next -= 1;
                Err(self.unexpected())
            }
        }
    }

    fn parenthesis(&mut self, start: usize) -> Result<Node, Mistake> {
        let mut inner = self.expression(Binding::Or)?;
        inner.span = start..self.close(start)?;
        self.measure(inner)
    }

    fn call(&mut self, name: &str, start: usize) -> Result<Node, Mistake> {
        let open = self.tokens[self.next].span.start;
        self.next += 1;
        let mut arguments = Vec::new();
        while self.peek() != Some(Token::Close) {
            arguments.push(self.expression(Binding::Or)?);
            if self.peek() != Some(Token::Comma) {
                break;
            }
            self.next += 1;
        }
        let end = self.close(open)?;
        let call = if name == "distance" {
            distance(&arguments, start..end)?
        } else {
            node(NodeKind::Call(name.to_owned(), arguments), start..end)?
        };
        self.measure(call)
    }

    /// The closing parenthesis; gives the byte after it.
    fn close(&mut self, open: usize) -> Result<usize, Mistake> {
        match self.take() {
            Some(Spanned {
                token: Token::Close,
                span,
            }) => Ok(span.end),
            None => Err(
                Mistake::new(open..open + 1, "this parenthesis is not closed").remedy("add `)`"),
            ),
            Some(_) => {
                self.next -= 1;
                Err(self.unexpected())
            }
        }
    }

    /// The unit after a number or parenthesis, if one is there; inches after feet are added.
    fn measure(&mut self, inner: Node) -> Result<Node, Mistake> {
        let Some(Token::Unit(unit)) = self.peek() else {
            return Ok(inner);
        };
        let end = self.tokens[self.next].span.end;
        self.next += 1;
        let span = inner.span.start..end;
        let is_number = matches!(inner.kind, NodeKind::Number(_));
        let measure = node(NodeKind::Measure(Box::new(inner), unit), span)?;
        if is_number && unit == &FOOT {
            self.inches_after(measure)
        } else {
            Ok(measure)
        }
    }

    fn inches_after(&mut self, feet: Node) -> Result<Node, Mistake> {
        let rest = &self.tokens[self.next..];
        let Some(Spanned {
            token: Token::Number(inches),
            span,
        }) = rest.first().cloned()
        else {
            return Ok(feet);
        };
        let Some(unit) = rest.get(1).filter(|unit| is_unit(unit, &INCH)) else {
            return Err(
                Mistake::new(span.clone(), "a number after feet needs its unit")
                    .remedy(format!("write `{} in`", self.source(&span))),
            );
        };
        let end = unit.span.end;
        self.next += 2;
        let number = node(NodeKind::Number(inches), span.clone())?;
        let inches = node(NodeKind::Measure(Box::new(number), &INCH), span.start..end)?;
        let whole = feet.span.start..end;
        node(
            NodeKind::Binary(Operator::Add, Box::new(feet), Box::new(inches)),
            whole,
        )
    }

    fn refuse_depth(&self) -> Result<(), Mistake> {
        if self.depth <= DEEPEST {
            return Ok(());
        }
        let start = self
            .tokens
            .get(self.next)
            .map_or(0, |token| token.span.start);
        Err(too_deep(start..self.text.len()))
    }

    fn ended(&self) -> Mistake {
        let end = self.text.len();
        let start = self.tokens.last().map_or(0, |last| last.span.start);
        Mistake::new(start..end, "the expression ends too early").remedy("write a value after this")
    }

    /// A token that cannot stand where it stands.
    fn unexpected(&self) -> Mistake {
        let Some(Spanned { token, span }) = self.tokens.get(self.next) else {
            return self.ended();
        };
        let mistake = Mistake::new(
            span.clone(),
            format!("`{}` cannot stand here", self.source(span)),
        );
        match token {
            Token::Comma if self.depth <= 1 => {
                mistake.remedy("write decimals with a point, `1.5`; commas part arguments")
            }
            Token::Close => mistake.remedy("take it away, or open a parenthesis before it"),
            Token::Operator(_) | Token::Comma => mistake.remedy("write a value before it"),
            _ => mistake.remedy(match self.mixed_number_before() {
                Some(mixed) => format!("for a mixed number of inches, write `{mixed} in`"),
                None => "put an operator such as `+` or `*` before it".to_owned(),
            }),
        }
    }

    /// The mixed number without a unit that ends at or after the next token: `1 1/2`.
    fn mixed_number_before(&self) -> Option<&'a str> {
        let whole = self.tokens.get(self.next.checked_sub(1)?)?;
        let text = &self.text[whole.span.start..];
        mixed_number(text).map(|(_, length)| &text[..length])
    }
}

fn node(kind: NodeKind, span: Range<usize>) -> Result<Node, Mistake> {
    let node = Node::new(kind, span);
    if node.height > DEEPEST {
        return Err(too_deep(node.span));
    }
    Ok(node)
}

fn too_deep(span: Range<usize>) -> Mistake {
    Mistake::new(
        span,
        format!("this expression is nested or chained more than {DEEPEST} deep"),
    )
    .remedy("give parts of it names of their own")
}
/// `distance(a, b)`: how far apart two points are, by what they are on each axis.
fn distance(ends: &[Node], span: Range<usize>) -> Result<Node, Mistake> {
    let [NodeKind::Name(from), NodeKind::Name(to)] =
        ends.iter().map(|it| &it.kind).collect::<Vec<_>>()[..]
    else {
        return Err(
            Mistake::new(span, "`distance` takes the names of two points")
                .remedy("write `distance(boss, eye)`, or `hypot(x, y)` of two lengths"),
        );
    };
    let axis = |axis: &str| {
        let place = |name: &str, at: usize| {
            let name = NodeKind::Name(format!("{name}.{axis}"));
            node(name, ends[at].span.clone()).map(Box::new)
        };
        let across = NodeKind::Binary(Operator::Subtract, place(to, 1)?, place(from, 0)?);
        node(across, span.clone())
    };
    node(
        NodeKind::Call("hypot".to_owned(), vec![axis("x")?, axis("y")?]),
        span.clone(),
    )
}
