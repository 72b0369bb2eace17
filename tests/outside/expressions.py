"""Reads the expressions of recipes, independently of the program: values in mm and radians.

Units are turned into numbers and not checked; the program's own tests see to that.
"""

import math
import re

UNITS = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, '"': 25.4, "ft": 304.8, "'": 304.8,
    "mm2": 1.0, "deg": math.pi / 180, "°": math.pi / 180, "rad": 1.0,
    "N": 1e3, "kN": 1e6, "N.m": 1e6, "MPa": 1e3, "GPa": 1e6, "kg": 1.0, "s": 1.0, "min": 60.0,
}  # fmt: skip
TOKEN = re.compile(
    r"""\s*(?:
    (?P<mixed>\d+-\d+/\d+)(?=\s*(?:in\b|ft\b|["']))
  | (?P<fraction>\d+/\d+)(?=\s*(?:in\b|ft\b|["'](?!\w)))
  | (?P<number>\d+\.?\d*(?:[eE][-+]?\d+)?|\.\d+)
  | (?P<word>[A-Za-z_°][\w°]*(?:\.[A-Za-z_]\w*)?)
  | (?P<text>"[^"]*")
  | (?P<sign><=|>=|==|!=|[-+*/^()<>,"'])
    )""",
    re.X,
)


def tokens(text):
    """The words of an expression as (kind, text) pairs."""
    found, at = [], 0
    text = text.rstrip()
    while at < len(text):
        # A quote after a number is an inch mark, elsewhere it opens words.
        number_before = found and found[-1][0] in ("mixed", "fraction", "number")
        mark = re.compile(r"\s*([\"'])").match(text, at)
        if number_before and mark:
            found.append(("word", mark.group(1)))
            at = mark.end()
            continue
        match = TOKEN.match(text, at)
        if not match:
            raise ValueError(f"cannot read {text[at:]!r} in {text!r}")
        kind = match.lastgroup
        found.append((kind, match.group(kind)))
        at = match.end()
    return found


class Reader:
    """A recursive-descent reader that evaluates as it goes; `live` is off in branches not taken."""

    def __init__(self, text, names, functions):
        self.text, self.tokens, self.at = text, tokens(text), 0
        self.names, self.functions, self.live = names, functions, True

    def peek(self, *texts):
        return self.at < len(self.tokens) and self.tokens[self.at][1] in texts

    def take(self, *texts):
        if self.peek(*texts):
            self.at += 1
            return self.tokens[self.at - 1][1]
        return None

    def need(self, text):
        if not self.take(text):
            raise ValueError(f"expected {text!r} in {self.text!r}")

    def whole(self):
        value = self.either()
        if self.at != len(self.tokens):
            raise ValueError(f"left over: {self.tokens[self.at:]} in {self.text!r}")
        return value

    def either(self):
        value = self.both()
        while self.take("or"):
            other = self.both()
            value = value or other
        return value

    def both(self):
        value = self.negation()
        while self.take("and"):
            other = self.negation()
            value = value and other
        return value

    def negation(self):
        if self.take("not"):
            return not self.negation()
        return self.comparison()

    def comparison(self):
        left = self.total()
        sign = self.take("<=", ">=", "==", "!=", "<", ">")
        if not sign:
            return left
        right = self.total()
        if not self.live:
            return False
        close = left == right or (
            isinstance(left, float)
            and isinstance(right, float)
            and math.isclose(left, right, rel_tol=1e-9, abs_tol=1e-9)
        )
        if sign == "==":
            return close
        if sign == "!=":
            return not close
        if sign == "<=":
            return left < right or close
        if sign == ">=":
            return left > right or close
        return (left < right if sign == "<" else left > right) and not close

    def total(self):
        value = self.product()
        while sign := self.take("+", "-"):
            other = self.product()
            value = self.work(lambda: value + other if sign == "+" else value - other)
        return value

    def product(self):
        value = self.signed()
        while sign := self.take("*", "/"):
            other = self.signed()
            value = self.work(lambda: value * other if sign == "*" else value / other)
        return value

    def signed(self):
        if self.take("-"):
            value = self.signed()
            return self.work(lambda: -value)
        return self.power()

    def power(self):
        base = self.atom()
        if self.take("^"):
            exponent = self.signed()
            return self.work(lambda: base**exponent)
        return base

    def work(self, compute):
        return compute() if self.live else 0.0

    def atom(self):
        if self.take("("):
            value = self.either()
            self.need(")")
            return value
        kind, text = self.tokens[self.at]
        self.at += 1
        if kind == "text":
            return text[1:-1]
        if kind in ("number", "fraction", "mixed"):
            return self.measured(kind, text)
        if text == "if":
            return self.choice()
        if self.take("("):
            arguments = []
            while not self.take(")"):
                arguments.append(self.either())
                self.take(",")
            return self.work(lambda: self.functions[text](*arguments))
        if text == "pi":
            return math.pi
        if text in ("true", "false"):
            return text == "true"
        return self.names(text) if self.live else 0.0

    def measured(self, kind, text):
        whole, _, fraction = text.rpartition("-") if kind == "mixed" else ("0", "", text)
        above, _, below = fraction.partition("/")
        value = float(whole) + float(above) / float(below or 1)
        if self.at < len(self.tokens) and self.tokens[self.at][1] in UNITS:
            if self.tokens[self.at][0] == "word":
                value *= UNITS[self.tokens[self.at][1]]
                self.at += 1
        return value

    def choice(self):
        self.need("(")
        test = self.either()
        self.need(",")
        outer = self.live
        self.live = outer and bool(test)
        first = self.either()
        self.need(",")
        self.live = outer and not test
        second = self.either()
        self.live = outer
        self.need(")")
        return first if test else second


MATHEMATICS = {
    "min": min, "max": max, "abs": abs, "sqrt": math.sqrt, "floor": lambda x: float(math.floor(x)),
    "ceil": lambda x: float(math.ceil(x)), "round": lambda x: float(math.floor(abs(x) + 0.5)) * (1 if x >= 0 else -1),
    "hypot": math.hypot, "sin": math.sin, "cos": math.cos, "tan": math.tan, "asin": math.asin,
    "acos": math.acos, "atan": math.atan, "atan2": math.atan2, "radians": lambda x: x,
    "gcd": lambda a, b: float(math.gcd(round(a), round(b))),
}  # fmt: skip
