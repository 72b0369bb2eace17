"""Expands part families with shapely, independently of the program.

Knows the recipe language of part-recipes/README.md as far as areas and hole positions need it:
shapes, placing, repeating, rounding, hollowing, lists, lookup tables, points, named shapes and tab joints.
Marks and bends are ignored. Arcs become fine polygons, so areas hold to a few parts in a million.
"""

import copy
import math
import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.ops import unary_union

from expressions import MATHEMATICS, Reader
from growing import grown
from threads import TRADE

QUARTER = 512  # segments in a quarter circle
FAMILIES = Path(__file__).resolve().parents[2] / "part-recipes" / "families"
SHARED = FAMILIES.parent / "shared"
NEVER_EXPRESSIONS = {"add", "cut", "keep", "round", "scribe", "bend", "purpose", "finish", "name",
                     "anchor", "mirror", "when", "around", "along", "points", "at", "from", "to"}  # fmt: skip


@dataclass
class Plate:
    """One plate: its metal and its round openings as (x, y, diameter)."""

    name: str
    quantity: int
    thickness: float
    metal: Polygon
    holes: list = field(default_factory=list)
    hands: tuple[str, ...] | None = None


@dataclass
class Part:
    plates: list
    figures: dict
    broken: list  # (level, message) of rules that do not hold
    values: dict


@dataclass
class Table:
    """What the part is cut with: the program's own starting values of its laser."""

    kerf: float = 0.3
    process: str = "laser"


class Scope:
    """Names of one part: dimensions given or by default, then lets, then points."""

    def __init__(self, family, given, table=Table()):
        self.values = {"material": "mild steel", "kerf": table.kerf, "process": table.process}
        self.family = family
        self.lets = family.get("let", {})
        self.points = {}
        self.lists = {}
        self.functions = MATHEMATICS | TRADE | {
            "look": self.look,
            "distance": lambda a, b: math.dist(a, b),
        }  # fmt: skip
        for name, dimension in family["dimension"].items():
            self.values[name] = self.dimension(name, dimension, given)

    def look(self, table, row, column):
        """A value of a lookup table; a whole number stands for its digits."""
        table = self.family["table"][table]
        row = row if isinstance(row, str) else str(round(row))
        value = table["rows"][row][list(table["columns"]).index(column)]
        kind = table["columns"][column]
        return value if kind in ("thread", "text") else self(value)

    def rows(self, columns, rows):
        """The rows of a list, each a table of its columns worked out."""
        for number, row in enumerate(rows, 1):
            row = dict(zip(columns, row)) if isinstance(row, list) else row
            found = {"row": float(number)}
            for name, kind in columns.items():
                kind, default = (kind["kind"], kind.get("default")) if isinstance(kind, dict) else (kind, None)
                value = row.get(name, default)
                words = kind in ("thread", "text") or isinstance(kind, list)
                found[name] = value if words else self(value)
            yield found

    def inside(self, row):
        """The same with the columns of a row, or other values, as names."""
        other = copy.copy(self)
        other.values = self.values | row
        other.functions = self.functions | {"look": other.look}
        return other

    def dimension(self, name, dimension, given):
        value = given.get(name, dimension.get("default"))
        if "columns" in dimension:
            self.lists[name] = list(self.rows(dimension["columns"], value))
            return value
        words = dimension.get("kind") in ("thread", "choice", "text") or "choices" in dimension
        if words and "(" in value and "{" not in value:
            return self(value)
        if words and value in self.values:
            return self.values[value]
        if words or isinstance(value, bool):
            return value
        value = self(value)
        if name in given:
            least, most = dimension.get("range", (dimension.get("min"), dimension.get("max")))
            if least is not None and value < self(least) or most is not None and value > self(most):
                raise ValueError(f"{name} = {value} is not within {least} to {most}")
        return value

    def name(self, word):
        if word in self.values:
            return self.values[word]
        if word in self.lets:
            self.values[word] = self(self.lets[word])
            return self.values[word]
        stem, _, axis = word.partition(".")
        chosen = self.family["dimension"].get(stem, {}).get("choices")
        if axis and isinstance(chosen, str):
            return self.look(chosen, self.values[stem], axis)
        return self.place(stem)["xy".index(axis)] if axis else self.place(stem)

    def place(self, name):
        """A point of the plate, else of the family."""
        if name in self.points:
            return self.points[name]
        return tuple(self(part) for part in self.family["point"][name])

    def over(self, text):
        """`count`, `sum`, `least` and `most` of lists, worked out row by row before the rest is read."""
        def worked_out(match):
            verb, name, rest = match.group(1), match.group(2), match.group(3)
            if verb == "count":
                return repr(float(len(self.lists[name])))
            rows = [self.inside(row)(rest) for row in self.lists[name]]
            return f"({({'sum': sum, 'least': min, 'most': max}[verb](rows))!r})"
        lists = "|".join(self.lists) or "(?!)"
        inner = r"[^()]*(?:\([^()]*\)[^()]*)*"
        return re.sub(rf"\b(count|sum|least|most)\(({lists})(?:, ({inner}))?\)", worked_out, text)

    def __call__(self, text):
        if isinstance(text, (int, float)):
            return float(text)
        return Reader(self.over(text), self.name, self.functions).whole()

    def point(self, given):
        if isinstance(given, str):
            return self.place(given)
        return tuple(self(part) for part in given[:2])


def disc(x, y, diameter):
    return Point(x, y).buffer(diameter / 2, quad_segs=QUARTER)


def bar(start, end, start_width, end_width):
    return unary_union([disc(*start, start_width), disc(*end, end_width)]).convex_hull


def arc(centre, radius, start, sweep, steps=2048):
    return [
        (centre[0] + radius * math.cos(start + sweep * i / steps),
         centre[1] + radius * math.sin(start + sweep * i / steps))
        for i in range(steps + 1)
    ]  # fmt: skip


def sector(outside, inside, sweep):
    rim = arc((0, 0), outside / 2, -sweep / 2, sweep)
    core = arc((0, 0), inside / 2, sweep / 2, -sweep) if inside else [(0, 0)]
    return Polygon(rim + core)


def bow(start, end, rise, start_width, end_width):
    """A curved bar: each side is the arc through its ends and its middle."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    chord, heading = math.hypot(dx, dy), math.atan2(dy, dx)
    middle = ((start[0] + end[0]) / 2 - dy / chord * rise, (start[1] + end[1]) / 2 + dx / chord * rise)
    turn = 2 * math.atan(2 * rise / chord)
    stations = [
        (start, heading + turn, start_width),
        (middle, heading, (start_width + end_width) / 2),
        (end, heading - turn, end_width),
    ]
    left, right = (
        [(p[0] - math.sin(a) * w / 2 * s, p[1] + math.cos(a) * w / 2 * s) for p, a, w in stations]
        for s in (1, -1)
    )
    return Polygon(through(*left) + through(*right)[::-1])


def through(a, b, c):
    """The arc through three points, or the line if they lie on one."""
    double = 2 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    if abs(double) < 1e-9:
        return [a, c]
    square = lambda p: (p[0] - a[0]) ** 2 + (p[1] - a[1]) ** 2
    x = a[0] + ((c[1] - a[1]) * square(b) - (b[1] - a[1]) * square(c)) / double
    y = a[1] + ((b[0] - a[0]) * square(c) - (c[0] - a[0]) * square(b)) / double
    first, last = math.atan2(a[1] - y, a[0] - x), math.atan2(c[1] - y, c[0] - x)
    sweep = (last - first) % math.tau if double > 0 else -((first - last) % math.tau)
    return arc((x, y), math.dist((x, y), a), first, sweep)


def rounded_polygon(corners):
    """A polygon whose corners with a radius are cut back to arcs, concave ones filled."""
    line, count = [], len(corners)
    for i, (x, y, radius) in enumerate(corners):
        if radius <= 0:
            line.append((x, y))
            continue
        ins, outs = corners[i - 1], corners[(i + 1) % count]
        u = unit(ins[0] - x, ins[1] - y)
        v = unit(outs[0] - x, outs[1] - y)
        half = math.acos(max(-1, min(1, u[0] * v[0] + u[1] * v[1]))) / 2
        reach, apart = radius / math.tan(half), radius / math.sin(half)
        axis = unit(u[0] + v[0], u[1] + v[1])
        centre = (x + axis[0] * apart, y + axis[1] * apart)
        a = math.atan2(y + u[1] * reach - centre[1], x + u[0] * reach - centre[0])
        b = math.atan2(y + v[1] * reach - centre[1], x + v[0] * reach - centre[0])
        sweep = (b - a + math.pi) % (2 * math.pi) - math.pi
        line += arc(centre, radius, a, sweep, 512)
    return Polygon(line)


def unit(x, y):
    length = math.hypot(x, y)
    return x / length, y / length


def shape(kind, step, scope):
    """A shape about its own origin, or where its `from` and `to` put it."""
    get = lambda key, other=0.0: scope(step[key]) if key in step else other
    widths = lambda: (get("from_width", get("width")), get("to_width", get("width")))
    if kind == "disc":
        return disc(0, 0, get("diameter"))
    if kind == "ring":
        return disc(0, 0, get("outside")).difference(disc(0, 0, get("inside")))
    if kind == "rectangle":
        w, h, corner = get("width"), get("height"), get("corner")
        anchor = step.get("anchor", "")
        x = 0 if "left" in anchor else -w if "right" in anchor else -w / 2
        y = 0 if "lower" in anchor else -h if "upper" in anchor else -h / 2
        plain = box(x, y, x + w, y + h)
        return rounded(plain, "outside", corner)
    if kind == "polygon" and "points" in step:
        return rounded_polygon([[scope(v) for v in p] + [0] * (3 - len(p)) for p in step["points"]])
    if kind == "polygon":
        count, across = round(get("sides")), get("across")
        far = across / 2 / math.cos(math.pi / count)
        turns = [2 * math.pi * (k + 0.5) / count for k in range(count)]
        return Polygon([(far * math.cos(a), far * math.sin(a)) for a in turns])
    if kind == "hull":
        discs = []
        for given in step["discs"]:
            centre = scope.point(given[0] if len(given) == 2 else given)
            diameter = scope(given[-1])
            discs.append(disc(*centre, diameter) if diameter > 0 else Point(centre))
        return unary_union(discs).convex_hull
    if kind == "teeth":
        return teeth(get("pitch"), get("roller"), round(get("count")))
    if kind == "bar":
        return bar(scope.point(step["from"]), scope.point(step["to"]), *widths())
    if kind == "slot" and "from" in step:
        return bar(scope.point(step["from"]), scope.point(step["to"]), get("width"), get("width"))
    if kind == "slot":
        half = get("travel") / 2
        return bar((-half, 0), (half, 0), get("width"), get("width"))
    if kind == "curved slot":
        sweep, radius, width = get("sweep"), get("circle") / 2, get("width")
        body = sector(2 * radius + width, 2 * radius - width, sweep)
        ends = [disc(radius * math.cos(a), radius * math.sin(a), width) for a in (-sweep / 2, sweep / 2)]
        return unary_union([body, *ends])
    if kind == "sector":
        return rounded(sector(get("outside"), get("inside"), get("sweep")), "outside", get("corner"))
    if kind == "bow":
        return bow(scope.point(step["from"]), scope.point(step["to"]), get("rise"), *widths())
    raise ValueError(f"shape {kind} is not known here")


def teeth(pitch, roller, count):
    """A wheel for roller chain, a gap towards +x. Gap and outside midway between the limits of ISO 606 (formulas
    looked up, seat and flank from memory), the seat the least one."""
    half_step = math.pi / count
    around = pitch / (2 * math.sin(half_step))
    seat = 0.505 * roller
    flank = (0.12 * roller * (count + 2) + 0.008 * roller * (count**2 + 180)) / 2
    half = math.radians((140 - 90 / count + 120 - 90 / count) / 4)
    tip = around + (pitch * (1 - 1.6 / count) + 1.25 * pitch) / 4 - roller / 2
    out = math.pi - half
    reach = seat + flank
    centre = (around + reach * math.cos(out), reach * math.sin(out))
    # From the end of the seat outward along the flank, to the outside circle or the middle of the tooth.
    up = [(centre[0] + flank * math.cos(a), centre[1] + flank * math.sin(a))
          for a in (out + math.pi + k * 1e-5 for k in range(0, 160_000))]  # fmt: skip
    side = []
    for x, y in up:
        if math.hypot(x, y) > tip or math.atan2(y, x) > half_step:
            break
        side.append((x, y))
    side = side[:: max(len(side) // 60, 1)] + side[-1:]
    bottom = arc((around, 0), seat, math.pi + half, -2 * half, 96)
    gap = [(x, -y) for x, y in reversed(side)] + bottom + side
    first = math.atan2(side[-1][1], side[-1][0])
    land = arc((0, 0), tip, first, max(2 * (half_step - first), 0), 64) if half_step - first > 1e-4 else []
    line = []
    for k in range(count):
        c, s = math.cos(2 * half_step * k), math.sin(2 * half_step * k)
        line += [(x * c - y * s, x * s + y * c) for x, y in gap + land]
    return Polygon(line)


def joined(joint, scope, thickness):
    """The tabs of a joint, the rounds beside them, and its slots."""
    relief = max(0.3 if scope.values["process"] == "laser" else 1.0, 0.6 * scope.values["kerf"])
    count, width = round(scope(joint["tabs"]["count"])), scope(joint["tabs"]["width"])
    room = scope(joint["clearance"]) if "clearance" in joint else 0.2
    reach = scope(joint["reach"]) if "reach" in joint else thickness[joint["slots"]["plate"]]
    a, b = width / 2 + room, thickness[joint["tabs"]["plate"]] / 2 + room
    slot = box(-a, -b, a, b)
    corners = [disc(x, y, 2 * relief) for x in (relief - a, a - relief) for y in (-b, b)]
    tab = box(-width / 2, -reach, width / 2, 0.01)
    rounds = [disc(x, 0, 2 * relief) for x in (-width / 2 - relief, width / 2 + relief)]

    def along(line, shapes):
        start, end = scope.point(line["from"]), scope.point(line["to"])
        turn = math.atan2(end[1] - start[1], end[0] - start[0])
        for k in range(count):
            share = (k + 0.5) / count
            at = [start[i] + (end[i] - start[i]) * share for i in (0, 1)]
            for shape in shapes:
                turned = affinity.rotate(shape, turn, origin=(0, 0), use_radians=True)
                yield affinity.translate(turned, *at)

    tabs, beside = list(along(joint["tabs"], [tab])), list(along(joint["tabs"], rounds))
    return tabs, beside, list(along(joint["slots"], [unary_union([slot, *corners])]))


def copies(step, base, scope):
    """The shape in every place the step asks for."""
    if step.get("mirror") == "both":
        plain = {key: value for key, value in step.items() if key != "mirror"}
        yield from copies(plain, base, scope)
        yield from copies(plain | {"mirror": "left for right"}, base, scope)
        return
    if step.get("mirror") == "left for right":
        base = affinity.scale(base, -1, 1, origin=(0, 0))
    elif step.get("mirror") == "upside down":
        base = affinity.scale(base, 1, -1, origin=(0, 0))
    if "turn" in step:
        base = affinity.rotate(base, scope(step["turn"]), origin=(0, 0), use_radians=True)
    at = scope.point(step["at"]) if "at" in step else (0.0, 0.0)
    if "around" in step:
        around = step["around"]
        count = round(scope(around["count"]))
        start = scope(around["start"]) if "start" in around else 0.0
        sweep = scope(around["sweep"]) if "sweep" in around else 2 * math.pi
        full = abs(abs(sweep) - 2 * math.pi) < 1e-9
        pace = sweep / (count if full else max(count - 1, 1))
        radius = scope(around["circle"]) / 2 if "circle" in around else 0.0
        for k in range(count):
            if k + 1 in [round(scope(s)) for s in around.get("skip", [])]:
                continue
            turned = affinity.translate(base, radius, 0)
            if around.get("upright"):
                angle = start + pace * k
                placed = affinity.translate(base, radius * math.cos(angle), radius * math.sin(angle))
            else:
                placed = affinity.rotate(turned, start + pace * k, origin=(0, 0), use_radians=True)
            yield affinity.translate(placed, *at)
    elif "along" in step:
        along = step["along"]
        count = round(scope(along["count"]))
        dx, dy = (scope(v) for v in along["step"])
        rows = round(scope(along["rows"])) if "rows" in along else 1
        up = [scope(v) for v in along["row_step"]] if "rows" in along else (0, 0)
        first, low = ((1 - count) / 2, (1 - rows) / 2) if along.get("centred") else (0, 0)
        for row in range(rows):
            for k in range(count):
                x = at[0] + (first + k) * dx + (low + row) * up[0]
                yield affinity.translate(base, x, at[1] + (first + k) * dy + (low + row) * up[1])
    else:
        yield affinity.translate(base, *at)


def apply(step, metal, holes, scope):
    """One step of a plate; returns the metal after it."""
    if "each" in step:
        plain = {key: value for key, value in step.items() if key != "each"}
        for row in scope.lists[step["each"]]:
            inner = scope.inside(row)
            if "when" not in plain or inner(plain["when"]):
                metal = apply(plain, metal, holes, inner)
        return metal
    if "use" in step:
        named = next(it for it in scope.family["shape"] if it["name"] == step["use"])
        inner = scope.inside({})
        for key, value in named.get("takes", {}).items():
            given = step.get("with", {})
            # What the step gives is worked out where the step stands.
            inner.values[key] = scope(given[key]) if key in given else inner(value)
        for own in named["step"]:
            if "show" in own or "when" in own and not inner(own["when"]):
                continue
            kind = own[next(v for v in ("add", "cut") if v in own)]
            inside = list(copies(own, shape(kind, own, inner), inner))
            for base in inside:
                metal = put(own, metal, holes, list(copies(step, base, scope)), inner)
        return metal
    if "hollow" in step:
        return metal.difference(grown(metal, -scope(step["hollow"])))
    if "round" in step:
        made = rounded(metal, step["round"], scope(step["radius"]))
        return near(metal, made, scope.point(step["at"]), scope(step["reach"])) if "reach" in step else made
    verb = next((v for v in ("add", "cut", "keep") if v in step), None)
    if verb is None:  # scribed, bent or only shown
        return metal
    kind = step[verb]
    return put(step, metal, holes, list(copies(step, shape(kind, step, scope), scope)), scope)


def put(step, metal, holes, places, scope):
    """The metal with shapes added, cut or kept."""
    verb = next(v for v in ("add", "cut", "keep") if v in step)
    if verb == "cut" and step[verb] == "disc":
        holes += [(p.centroid.x, p.centroid.y, scope(step["diameter"])) for p in places]
    united = unary_union(places)
    if verb == "add":
        return metal.union(united)
    return metal.difference(united) if verb == "cut" else metal.intersection(united)


def near(metal, made, at, reach):
    """The metal rounded only where what rounding fills or takes away comes within reach of a place."""
    within = lambda pieces: unary_union([p for p in getattr(pieces, "geoms", [pieces]) if p.distance(Point(at)) <= reach])
    return metal.union(within(made.difference(metal))).difference(within(metal.difference(made)))


def rounded(metal, which, radius):
    if radius == 0:
        return metal
    if which in ("inside", "both"):
        metal = grown(grown(metal, radius), -radius)
    if which in ("outside", "both"):
        metal = grown(grown(metal, -radius), radius)
    return metal


def whole(family):
    """A family with the blocks of its shared files, and one block for each word where a block stands for several."""
    family = alternatives(by_their_words(copy.deepcopy(family)))
    for block in family.pop("shared", []):
        brought = alternatives(by_their_words(tomllib.loads((SHARED / f"{block['file']}.toml").read_text())))
        brought = each_word({key: value for key, value in brought.items() if key != "about"}, block.get("each", []))
        for key, value in brought.items():
            if isinstance(value, list):
                family[key] = family.get(key, []) + value
            else:
                family[key] = family.get(key, {}) | {k: v for k, v in value.items() if k not in family.get(key, {})}
    return filled_in(each_word(family, family.pop("each", [])))


def by_their_words(family):
    """Figures, and what is not checked, as blocks."""
    of = lambda name, short, key: [
        {"says": says} | ({key: it.pop(short)} | it if isinstance(it, dict) else {key: it})
        for says, it in family.get(name, {}).items()
    ]
    if isinstance(family.get("figure"), dict):
        family["figure"] = of("figure", "value", "value")
    unchecked = of("not_checked", "look", "not_checked")
    family.pop("not_checked", None)
    return family | ({"hold": family.get("hold", []) + unchecked} if unchecked else {})


def alternatives(family):
    """One step for each of the alternatives of a step."""
    for block in family.get("plate", []) + family.get("shape", []):
        steps = []
        for step in block["step"]:
            steps += each_of(step, "either", lambda one: one)
        block["step"] = steps
    return family


def slot_or_hole(step):
    """The steps that a slot for what goes through a round hole stands for: it is one where it has no travel."""
    travel = {"slot": "travel", "curved slot": "sweep"}.get(step.get("cut"))
    purpose = step.get("purpose", "bolt" if "thread" in step else None)
    if travel not in step or purpose not in ("bolt", "bore", "pin", "tapped"):
        return [step]
    width = step.get("width", f"clearance({step.get('thread')})")
    when = [f"({step['when']})"] if "when" in step else []
    counts = lambda test: {"when": " and ".join(when + [f"abs({step[travel]}) {test} 1e-9 * ({UNIT[travel]})"])}
    slot = step | {"width": width, "purpose": "slot"} | counts(">")
    hole = {key: value for key, value in step.items() if key not in (travel, "width", "circle", "turn")}
    hole |= {"cut": "disc", "diameter": width, "purpose": purpose} | counts("<=")
    if "circle" in step:
        around = {"count": 1} | step.get("around", {})
        start = " + ".join(f"({it})" for it in (around.get("start"), step.get("turn")) if it is not None)
        hole["around"] = around | {"circle": step["circle"]} | ({"start": start} if start else {})
    return [slot, hole]


UNIT = {"travel": "1 mm", "sweep": "1 rad"}


def filled_in(family):
    """What blocks leave out: usual dimensions, one rule for each of several remedies, holes that go by their thread."""
    usual = tomllib.loads((SHARED / "usual-dimensions.toml").read_text())["dimension"]
    for name, dimension in family["dimension"].items():
        if "default" in dimension and "says" in dimension:
            continue
        for pattern, known in usual.items():
            word = re.fullmatch(re.escape(pattern).replace("@", "(.+)"), name)
            if word:
                known = with_word(known, "".join(word.groups()).replace("_", " "))
                if "range" in known and {"min", "max"} & set(dimension):
                    known["min"], known["max"] = known.pop("range")
                family["dimension"][name] = known | dimension
                break
    for dimension in family["dimension"].values():
        if re.fullmatch(r"M\d+(x[\d.]+)?", str(dimension.get("default"))):
            dimension.setdefault("kind", "thread")
    family["rule"] = [
        {"need": rule.get("practice")} | made
        for rule in family.get("rule", [])
        for made in each_of(rule, "remedy", lambda one: {"remedy": one["says"]})
    ]
    for block in family["plate"] + family.get("shape", []):
        block["step"] = [made for step in block["step"] for made in slot_or_hole(step)]
        for step in block["step"]:
            if step.get("cut") == "disc" and "thread" in step:
                step.setdefault("diameter", f"clearance({step['thread']})")
    return family


def each_of(block, key, says):
    """The blocks that one with a list of alternatives at a key stands for, each with what that one says."""
    if not isinstance(block.get(key), list):
        yield block
        return
    shared = {own: value for own, value in block.items() if own != key}
    before = [block["when"]] if "when" in block else []
    for one in block[key]:
        when = [one["when"]] if "when" in one else []
        counts = " and ".join(f"({it})" for it in before + when)
        yield shared | says(one) | ({"when": counts} if counts else {})
        before += [f"not ({it})" for it in when]


def with_word(value, word):
    """A value with a word in place of the sign."""
    if isinstance(value, str):
        return value.replace("@", word)
    if isinstance(value, list):
        return [with_word(it, word) for it in value]
    if isinstance(value, dict):
        return {with_word(k, word): with_word(v, word) for k, v in value.items()}
    return value


def each_word(family, words):
    def blocks(given):
        out = []
        for block in given:
            own = block.pop("each") if isinstance(block.get("each"), list) else words
            signed = own and "@" in repr(block)
            out += [with_word(block, word) for word in own] if signed else [block]
        return out

    def names(given):
        out = {}
        for key, value in given.items():
            signed = words and "@" in key
            out |= {key.replace("@", w): with_word(value, w) for w in words} if signed else {key: value}
        return out

    for key, value in list(family.items()):
        if key in ("plate", "shape"):
            # One that is called by the word stands for each as a whole.
            value = [made for it in value for made in (blocks([it]) if "@" in it.get("name", "") else [it])]
            family[key] = value
            for it in value:
                it["step"] = blocks(it["step"])
                if "point" in it:
                    it["point"] = names(it["point"])
        elif key in ("dimension", "table", "let", "point"):
            family[key] = names(value)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            family[key] = blocks(value)
    return family


def expand(family, given=None, plates_alone=False):
    """A family by name or as parsed TOML, with the dimensions that differ; its rules and figures unless only its
    plates are wanted."""
    if isinstance(family, str):
        family = tomllib.loads((FAMILIES / f"{family}.toml").read_text())
    family = whole(family)
    scope = Scope(family, given or {})
    holds = lambda entry: "when" not in entry or scope(entry["when"])
    said = {} if plates_alone else family
    broken = [
        (rule.get("level", "refuse"), fill(rule["otherwise"], scope))
        for rule in said.get("rule", [])
        if holds(rule) and not scope(rule["need"])
    ]
    plates = [plate(entry, scope) for entry in family["plate"] if holds(entry)]
    thickness = {it.name: it.thickness for it in plates}
    for joint in family.get("joint", []):
        if not holds(joint):
            continue
        tabs, rounds, slots = joined(joint, scope, thickness)
        for it in plates:
            if it.name == joint["tabs"]["plate"]:
                it.metal = it.metal.union(unary_union(tabs)).difference(unary_union(rounds))
            if it.name == joint["slots"]["plate"]:
                it.metal = it.metal.difference(unary_union(slots))
    figures = {f["says"]: scope(f["value"]) for f in said.get("figure", []) if holds(f)}
    return Part(plates, figures, broken, scope.values)


def plate(entry, scope):
    scope.points = {}
    for name, given in entry.get("point", {}).items():
        scope.points[name] = scope.point(given)
    metal, holes = MultiPolygon(), []
    for step in entry["step"]:
        if "when" not in step or scope(step["when"]):
            metal = apply(step, metal, holes, scope)
    if metal.geom_type == "MultiPolygon":
        # What only touches along an edge, but for rounding, is one.
        metal = metal.buffer(1e-6, join_style="mitre").buffer(-1e-6, join_style="mitre")
    return Plate(
        entry.get("name", ""),
        round(scope(entry.get("quantity", 1))),
        scope(entry.get("thickness", "thickness")),
        metal,
        holes,
        hands(entry, scope),
    )


def hands(entry, scope):
    """Which of a left and a right are made; none of a plate that is single."""
    if entry.get("hand") != "pair":
        return None
    made = ("left", "right")
    return tuple(h for h in made if f"{h}_when" not in entry or scope(entry[f"{h}_when"]))


def fill(words, scope):
    """Words with `{expression}` or `{dimension = expression}` filled in; lengths are not told from numbers here."""
    out, rest = "", words
    while "{" in rest:
        before, _, rest = rest.partition("{")
        inside, _, rest = rest.partition("}")
        value = scope(re.sub(r"^\s*\w+ = ", "", inside))
        out += before + (f"{value:.4g}" if isinstance(value, float) else str(value))
    return out + rest
