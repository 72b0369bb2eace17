"""Plates bent in their plane, by plane-stress finite elements, against what their families reckon.

Steering arms, bell cranks, hand levers and pedals are drawn by the program, one as its family stands (of the arms the demo's) and
forty at random of each; their net DXF is meshed with triangles of second order. Forces lie on half of a hole as a pin's do (a cosine), a hand or a
foot on the edges about its middle; what carries them is loaded likewise, so that nothing is clamped but a steering arm's
boss, which is welded in. The peak von Mises stress away from loaded edges may be no more than a tenth over what the
family reckons, which `check` tells.

    python elements.py PLATEWRIGHT
"""

import json
import math
import random
import subprocess
import sys
import tempfile
from multiprocessing import Pool
from pathlib import Path

import ezdxf
import numpy as np
import triangle
from skfem import (Basis, ElementTriP2, ElementVector, FacetBasis, BilinearForm, LinearForm, MeshTri,
                   asm, condense, solve)
from skfem.helpers import ddot, eye, sym_grad, trace

PLATES = 40
MOST = 1.10
FORCE = 1500.0
POISSON = 0.3
CHORD = 0.02  # mm that a chord may leave its arc
REACH = 0.35  # of a hole's diameter: so near to a held or loaded edge nothing is judged


def flattened(entity):
    if entity.dxftype() == "CIRCLE":
        count = 64
        turn = np.linspace(0, 2 * math.pi, count, endpoint=False)
        x, y = entity.dxf.center.x, entity.dxf.center.y
        return np.column_stack((x + entity.dxf.radius * np.cos(turn), y + entity.dxf.radius * np.sin(turn)))
    path = ezdxf.path.make_path(entity)
    points = [(p.x, p.y) for p in path.flattening(CHORD, segments=8)]
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-6:
            kept.append(point)
    if math.dist(kept[0], kept[-1]) < 1e-6:
        kept.pop()
    return np.array(kept)


def contours(path):
    found = []
    for entity in ezdxf.readfile(path).modelspace():
        if entity.dxftype() == "CIRCLE" or (entity.dxftype() in ("LWPOLYLINE", "POLYLINE") and entity.is_closed):
            found.append(flattened(entity))
    size = lambda c: np.ptp(c[:, 0]) * np.ptp(c[:, 1])
    found.sort(key=size, reverse=True)
    return found[0], found[1:]


def mesh(outside, holes):
    points, segments, start = [], [], 0
    for contour in [outside, *holes]:
        n = len(contour)
        points.append(contour)
        segments += [(start + i, start + (i + 1) % n) for i in range(n)]
        start += n
    given = {"vertices": np.vstack(points), "segments": segments, "holes": [h.mean(axis=0) for h in holes]}
    made = triangle.triangulate(given, "pq30a14")
    return MeshTri(np.ascontiguousarray(made["vertices"].T), np.ascontiguousarray(made["triangles"].T))


def ring(hole):
    centre = hole.mean(axis=0)
    return centre, np.hypot(*(hole - centre).T).mean()


def peak(outside, holes, thickness, pins, held=None, hand=None):
    """Greatest von Mises stress away from held and loaded edges, MPa.

    `pins`: (index of a hole, force); `held`: index of a hole that is held; `hand`: (place, reach, force) on the outside."""
    m = mesh(outside, holes)
    young = 210e3
    lam = young * POISSON / (1 - POISSON**2)
    mu = young / (2 * (1 + POISSON))
    stress = lambda e: lam * trace(e) * eye(1 + 0 * trace(e), 2) + 2 * mu * e

    @BilinearForm
    def stiffness(u, v, w):
        return thickness * ddot(stress(sym_grad(u)), sym_grad(v))

    element = ElementVector(ElementTriP2())
    basis = Basis(m, element)
    on = lambda hole: lambda x: np.abs(np.hypot(x[0] - ring(hole)[0][0], x[1] - ring(hole)[0][1]) - ring(hole)[1]) < 0.05
    right, away_from = np.zeros(basis.N), []
    for index, force in pins:
        centre, radius = ring(holes[index])
        size = math.hypot(*force)
        way = np.asarray(force) / size

        @LinearForm
        def pull(v, w, centre=centre, radius=radius, size=size, way=way):
            normal = [(w.x[0] - centre[0]) / radius, (w.x[1] - centre[1]) / radius]
            push = np.maximum(normal[0] * way[0] + normal[1] * way[1], 0.0)
            # cos over half the hole sums to pi r / 2 along the force.
            p = size / (math.pi * radius / 2)
            return p * push * (normal[0] * v[0] + normal[1] * v[1])

        facets = m.facets_satisfying(on(holes[index]), boundaries_only=True)
        right += asm(pull, FacetBasis(m, element, facets=facets))
        away_from.append((centre, radius * (1 + 2 * REACH)))
    if hand is not None:
        place, reach, force = hand
        near = lambda x: np.hypot(x[0] - place[0], x[1] - place[1]) < reach
        facets = FacetBasis(m, element, facets=m.facets_satisfying(near, boundaries_only=True))
        one = LinearForm(lambda v, w: v[0])
        # The length of these edges, as a force of one a millimetre moves them all by one.
        ones = basis.zeros()
        ones[basis.nodal_dofs[0]] = 1.0
        ones[basis.facet_dofs[0]] = 1.0
        length = asm(one, facets) @ ones
        right += asm(LinearForm(lambda v, w: (force[0] * v[0] + force[1] * v[1]) / length), facets)
        away_from.append((np.asarray(place), reach * 1.2))
    if held is not None:
        fixed = basis.get_dofs(m.facets_satisfying(on(holes[held]), boundaries_only=True)).all()
        centre, radius = ring(holes[held])
        away_from.append((centre, radius * (1 + 2 * REACH)))
    else:
        # All forces are in balance: three fixed values only keep the plate where it is.
        far = np.argmax(np.hypot(*(m.p - m.p[:, [0]])))
        d = (m.p[:, far] - m.p[:, 0])
        across = 1 if abs(d[0]) > abs(d[1]) else 0
        fixed = np.array([basis.nodal_dofs[0, 0], basis.nodal_dofs[1, 0], basis.nodal_dofs[across, far]])
        full = asm(stiffness, basis)
        u = solve(*condense(full, right, D=fixed))
        rest = np.abs(full @ u - right)[fixed].max()
        assert rest < 0.02 * FORCE, f"the forces are not in balance: {rest:.1f} N"
    u = solve(*condense(asm(stiffness, basis), right, D=fixed)) if held is not None else u
    where = Basis(m, element, intorder=2)
    s = stress(sym_grad(where.interpolate(u)))
    mises = np.sqrt(s[0, 0] ** 2 + s[1, 1] ** 2 - s[0, 0] * s[1, 1] + 3 * s[0, 1] ** 2)
    x = where.global_coordinates().value
    away = np.ones_like(mises, dtype=bool)
    for centre, reach in away_from:
        away &= np.hypot(x[0] - centre[0], x[1] - centre[1]) > reach
    return mises[away].max()


def value(text):
    """An amount in MPa, N or N.m as the program prints it, in N and mm."""
    number, unit = text.split()[:2]
    return float(number) * {"MPa": 1.0, "N": 1.0, "kN": 1000.0, "N.m": 1000.0}[unit]


class Made:
    """A part as the program draws and checks it."""

    def __init__(self, platewright, folder, name, recipe, words, dimensions, plate):
        job = folder / f"{name}.toml"
        lines = "".join(f'{key} = "{value}"\n' for key, value in dimensions.items())
        job.write_text(f'[job]\nname = "{name}"\n[[part]]\nrecipe = "{recipe}"\nname = "{name}"\n{words}{lines}')
        run = lambda *args: subprocess.run([platewright, *args], capture_output=True, text=True)
        told = run("draw", job, "--out", folder / name)
        self.refused = told.returncode != 0
        if self.refused:
            return
        drawing = folder / name / "plates" / f"{name}{plate}.dxf"
        self.outside, self.holes = contours(drawing)
        plates = json.loads(run("check", job, "--json").stdout)["plates"]
        (own,) = [it for it in plates if it["name"] == f"{name}{plate}"]
        self.margins = {it["says"]: it for it in own["margins"]}
        self.thickness = own["thickness_mm"]

    def hole(self, place):
        """The index of the hole at a place."""
        far = [math.dist(ring(it)[0], place) for it in self.holes]
        index = int(np.argmin(far))
        assert far[index] < 0.5, (place, far)
        return index

    def stress(self, says):
        """What the family reckons, MPa, of a margin whose load is a stress."""
        return value(self.margins[says]["load"])


def millimetres(low, high):
    return f"{random.uniform(low, high):.2f} mm"


def length(text):
    return float(text.split()[0])


def steering_arm(make, d):
    made = make("steering-arm", f'sides = "left"\nboss_fixing = "weld"\nload = "{FORCE} N"\nusual_load = "{FORCE} N"\n', d, "-left")
    if made.refused:
        return None
    holes = sorted(range(len(made.holes)), key=lambda it: -ring(made.holes[it])[1])
    boss, eye_hole = holes[:2]
    along = ring(made.holes[eye_hole])[0] - ring(made.holes[boss])[0]
    along /= np.hypot(*along)
    found = peak(made.outside, made.holes, made.thickness, [(eye_hole, FORCE * np.array([-along[1], along[0]]))], held=boss)
    # The stress of the load to and fro is twice that of the load.
    return found, made.stress("the arm at the boss, bent to and fro") / 2


def random_arm():
    width = random.uniform(30, 60)
    return {"thickness": millimetres(8, 16), "arm_length": millimetres(90, 200), "boss_hole": millimetres(18, 32),
            "boss_outside": f"{width * random.uniform(1.2, 1.6):.2f} mm", "boss_width": f"{width:.2f} mm",
            "eye_width": f"{width * random.uniform(0.6, 0.9):.2f} mm", "eye_outside": millimetres(40, 60),
            "fillet": millimetres(8, 30)}


DEMO_ARM = {"thickness": "10 mm", "arm_length": "127 mm", "boss_hole": "25.4 mm", "boss_outside": "60 mm",
            "boss_width": "44 mm", "track": "1000.125 mm", "wheelbase": "1600 mm"}


def bell_crank(make, d):
    made = make("bell-crank", f'pull = "{FORCE} N"\n', d, "")
    if made.refused:
        return None
    turn = math.radians(float(d["angle"].split()[0]))
    first, second = length(d["first_arm"]), length(d["second_arm"])
    at_second = np.array([math.cos(turn), math.sin(turn)])
    # Each pull is square to its arm, and both turn the crank against each other.
    one = FORCE * np.array([0.0, 1.0])
    other = -FORCE * first / second * np.array([-at_second[1], at_second[0]])
    pins = [(made.hole((first, 0)), one), (made.hole(second * at_second), other), (made.hole((0, 0)), -one - other)]
    found = peak(made.outside, made.holes, made.thickness, pins)
    return found, max(made.stress(it) for it in ("an arm at the pivot", "an arm beside the boss"))


def random_crank():
    pivot, pin = random.uniform(12, 24), random.uniform(7, 12)
    boss = pivot * random.uniform(2.2, 3)
    return {"thickness": millimetres(6, 12), "first_arm": millimetres(60, 150), "second_arm": millimetres(50, 150),
            "angle": f"{random.uniform(60, 170):.2f} deg", "pivot": f"{pivot:.2f} mm", "boss": f"{boss:.2f} mm",
            "pin": f"{pin:.2f} mm", "eye": f"{pin * random.uniform(3, 3.5):.2f} mm",
            "width": f"{boss * random.uniform(0.7, 0.95):.2f} mm", "fillet": millimetres(8, 20)}


PLAIN_CRANK = {"first_arm": "80 mm", "second_arm": "60 mm", "angle": "90 deg"}


def hand_lever(make, d):
    made = make("hand-lever", f'hand_force = "{FORCE} N"\nside_force = "0 N"\n', d, "-lever")
    if made.refused:
        return None
    lever, arm = length(d["lever"]), length(d["pull_arm"])
    hand, pull = FORCE * np.array([1.0, 0.0]), FORCE * lever / arm * np.array([1.0, 0.0])
    pins = [(made.hole((0, -arm)), pull), (made.hole((0, 0)), -hand - pull)]
    found = peak(made.outside, made.holes, made.thickness, pins, hand=((0, lever), 35.0, hand))
    ways = "the lever at its boss, bent by the hand both ways", "the lever beside the pawl's pin"
    return found, max(made.stress(it) for it in ways)


def random_lever():
    return {"thickness": millimetres(6, 12), "lever": millimetres(220, 400), "grip": millimetres(22, 34),
            "boss": millimetres(42, 70), "pull_arm": millimetres(45, 90)}


PLAIN_LEVER = {"lever": "280 mm", "pull_arm": "45 mm"}


def pedal(make, d):
    made = make("pedal-bracket", f'pedal_force = "{FORCE} N"\n', d, "-pedal")
    if made.refused:
        return None
    long, rod = length(d["pedal_length"]), length(d["rod_length"])
    foot, push = FORCE * np.array([1.0, 0.0]), -FORCE * long / rod * np.array([1.0, 0.0])
    pins = [(made.hole((0, -rod)), push), (made.hole((0, 0)), -foot - push)]
    found = peak(made.outside, made.holes, made.thickness, pins, hand=((0, -long), 20.0, foot))
    margin = made.margins["the pedal's arm at the rod's pin, in bending"]
    # Both are moments: yield times the load over what is carried, as first yield is what the family goes by.
    return found, 235.0 * value(margin["load"]) / value(margin["carries"])


def random_pedal():
    return {"pedal_thickness": millimetres(7, 12), "pedal_length": millimetres(180, 300), "rod_length": millimetres(45, 80),
            "pedal_width": millimetres(32, 50)}


PLAIN_PEDAL = {"pedal_length": "230 mm", "rod_length": "50.8 mm"}

FAMILIES = [("steering arm", steering_arm, DEMO_ARM, random_arm), ("bell crank", bell_crank, PLAIN_CRANK, random_crank),
            ("hand lever", hand_lever, PLAIN_LEVER, random_lever), ("pedal", pedal, PLAIN_PEDAL, random_pedal)]


def one(task):
    """Peak, formula and their ratio of one plate; None where a rule refuses it."""
    platewright, folder, family, number, dimensions = task
    look = {name: look for name, look, _, _ in FAMILIES}[family]
    name = f"{family.replace(' ', '-')}-{number}"
    make = lambda recipe, words, d, plate: Made(platewright, folder, name, recipe, words, d, plate)
    found = look(make, dimensions)
    return found and (dimensions, *found, found[0] / found[1])


def main(platewright):
    random.seed(7)
    wrong = []
    with tempfile.TemporaryDirectory() as scratch, Pool() as pool:
        for family, _, plain, at_random in FAMILIES:
            tried = [plain] + [at_random() for _ in range(10 * PLATES)]
            tasks = [(platewright, Path(scratch), family, number, it) for number, it in enumerate(tried)]
            rows = []
            # Each batch is waited for: a program left running would write where the scratch folder is being removed.
            while tasks and len(rows) <= PLATES:
                batch, tasks = tasks[:PLATES + 1 - len(rows)], tasks[PLATES + 1 - len(rows):]
                found = pool.map(one, batch, chunksize=1)
                assert rows or found[0], f"{family}: the plain one is refused"
                rows += [row for row in found if row]
            assert len(rows) > PLATES, f"{family}: most are refused"
            ratios = [row[3] for row in rows]
            print(f"{family}: {len(rows)} by finite elements: peak over formula {min(ratios):.2f} to {max(ratios):.2f}, "
                  f"the first {rows[0][1]:.1f} MPa of {rows[0][2]:.1f}", flush=True)
            wrong += [(family, *row) for row in rows if row[3] > MOST]
    for family, dimensions, found, reckoned, ratio in wrong:
        print(f"FAULT {family} {ratio:.2f}: {found:.1f} MPa of {reckoned:.1f}: {json.dumps(dimensions)}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
