//! An expression as a tree, and the tree printed back.

use std::fmt;
use std::ops::Range;

use super::expression::Use;
use super::forms;
use super::unit::Unit;

/// An operator between two operands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operator {
    Or,
    And,
    Less,
    LessOrEqual,
    Greater,
    GreaterOrEqual,
    Equal,
    NotEqual,
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
}

/// How tightly things bind, loosest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Binding {
    Or,
    And,
    Not,
    Comparison,
    Sum,
    Product,
    Sign,
    Power,
    Atom,
}

impl Binding {
    /// The next tighter one.
    pub(super) const fn tighter(self) -> Self {
        match self {
            Self::Or => Self::And,
            Self::And => Self::Not,
            Self::Not => Self::Comparison,
            Self::Comparison => Self::Sum,
            Self::Sum => Self::Product,
            Self::Product => Self::Sign,
            Self::Sign => Self::Power,
            Self::Power | Self::Atom => Self::Atom,
        }
    }
}

impl Operator {
    /// How it is written.
    pub(super) const fn sign(self) -> &'static str {
        match self {
            Self::Or => "or",
            Self::And => "and",
            Self::Less => "<",
            Self::LessOrEqual => "<=",
            Self::Greater => ">",
            Self::GreaterOrEqual => ">=",
            Self::Equal => "==",
            Self::NotEqual => "!=",
            Self::Add => "+",
            Self::Subtract => "-",
            Self::Multiply => "*",
            Self::Divide => "/",
            Self::Power => "^",
        }
    }

    pub(super) const fn binding(self) -> Binding {
        match self {
            Self::Or => Binding::Or,
            Self::And => Binding::And,
            Self::Less
            | Self::LessOrEqual
            | Self::Greater
            | Self::GreaterOrEqual
            | Self::Equal
            | Self::NotEqual => Binding::Comparison,
            Self::Add | Self::Subtract => Binding::Sum,
            Self::Multiply | Self::Divide => Binding::Product,
            Self::Power => Binding::Power,
        }
    }
}

/// A part of an expression with its place in the text. Two nodes are equal if they read the same,
/// wherever they stand.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) kind: NodeKind,
    /// Bytes of the expression's text.
    pub(super) span: Range<usize>,
    /// Levels of the tree from here down.
    pub(super) height: usize,
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind
    }
}

/// What a part of an expression is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum NodeKind {
    Number(f64),
    Text(String),
    Truth(bool),
    Name(String),
    /// A number, or something in parentheses, with a unit after it.
    Measure(Box<Node>, &'static Unit),
    Negative(Box<Node>),
    Not(Box<Node>),
    Binary(Operator, Box<Node>, Box<Node>),
    Call(String, Vec<Node>),
}

impl Node {
    pub(super) fn new(kind: NodeKind, span: Range<usize>) -> Self {
        let below = children(&kind).map(|child| child.height).max().unwrap_or(0);
        Self {
            kind,
            span,
            height: below + 1,
        }
    }

    /// Calls `visit` with all that it uses, in order of appearance; `within` is the list whose rows it is
    /// worked out for.
    pub(super) fn each_use<'a>(&'a self, within: Option<&'a str>, visit: &mut impl FnMut(Use<'a>)) {
        match &self.kind {
            NodeKind::Name(name) => visit(Use::Name(name, within)),
            NodeKind::Call(word, arguments) if forms::of_rows(word).is_some() => {
                let Some((
                    Self {
                        kind: NodeKind::Name(list),
                        ..
                    },
                    each,
                )) = arguments.split_first()
                else {
                    return;
                };
                visit(Use::List(list));
                for it in each {
                    it.each_use(Some(list), visit);
                }
                return;
            }
            NodeKind::Call(word, arguments) if forms::is_look(word) => {
                let written = |at: usize| match &arguments.get(at)?.kind {
                    NodeKind::Text(words) => Some(words.as_str()),
                    _ => None,
                };
                visit(Use::Look([written(0), written(1), written(2)]));
            }
            _ => {}
        }
        for child in children(&self.kind) {
            child.each_use(within, visit);
        }
    }

    /// Calls `visit` with the name of each function that it calls, in order of appearance.
    pub(super) fn each_call<'a>(&'a self, visit: &mut impl FnMut(&'a str)) {
        if let NodeKind::Call(name, _) = &self.kind {
            visit(name);
        }
        for child in children(&self.kind) {
            child.each_call(visit);
        }
    }

    const fn binding(&self) -> Binding {
        match &self.kind {
            NodeKind::Not(_) => Binding::Not,
            NodeKind::Negative(_) => Binding::Sign,
            NodeKind::Binary(operator, ..) => operator.binding(),
            _ => Binding::Atom,
        }
    }

    /// Prints it, in parentheses if it binds looser than `least`.
    fn print(&self, f: &mut fmt::Formatter<'_>, least: Binding) -> fmt::Result {
        if self.binding() < least {
            write!(f, "({self})")
        } else {
            write!(f, "{self}")
        }
    }
}

fn children(kind: &NodeKind) -> impl Iterator<Item = &Node> {
    let (pair, list): ([Option<&Node>; 2], &[Node]) = match kind {
        NodeKind::Measure(inner, _) | NodeKind::Negative(inner) | NodeKind::Not(inner) => {
            ([Some(inner), None], &[])
        }
        NodeKind::Binary(_, left, right) => ([Some(left), Some(right)], &[]),
        NodeKind::Call(_, arguments) => ([None, None], arguments),
        NodeKind::Number(_) | NodeKind::Text(_) | NodeKind::Truth(_) | NodeKind::Name(_) => {
            ([None, None], &[])
        }
    };
    pair.into_iter().flatten().chain(list)
}

impl fmt::Display for Node {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.kind {
            NodeKind::Number(number) => write!(f, "{number}"),
            NodeKind::Text(words) if words.contains('"') => write!(f, "'{words}'"),
            NodeKind::Text(words) => write!(f, "\"{words}\""),
            NodeKind::Truth(truth) => write!(f, "{truth}"),
            NodeKind::Name(name) => f.write_str(name),
            NodeKind::Measure(inner, unit) => match inner.kind {
                NodeKind::Number(number) => write!(f, "{number} {}", unit.name()),
                _ => write!(f, "({inner}) {}", unit.name()),
            },
            NodeKind::Negative(inner) => {
                f.write_str("-")?;
                inner.print(f, Binding::Power)
            }
            NodeKind::Not(inner) => {
                f.write_str("not ")?;
                inner.print(f, Binding::Comparison)
            }
            NodeKind::Binary(operator, left, right) => {
                let own = operator.binding();
                let (left_least, right_least) = match own {
                    Binding::Comparison => (Binding::Sum, Binding::Sum),
                    Binding::Power => (Binding::Atom, Binding::Power),
                    other => (other, other.tighter()),
                };
                left.print(f, left_least)?;
                write!(f, " {} ", operator.sign())?;
                right.print(f, right_least)
            }
            NodeKind::Call(name, arguments) => {
                write!(f, "{name}(")?;
                for (index, argument) in arguments.iter().enumerate() {
                    if index > 0 {
                        f.write_str(", ")?;
                    }
                    write!(f, "{argument}")?;
                }
                f.write_str(")")
            }
        }
    }
}
