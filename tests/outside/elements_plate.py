"""Plates bent across their plane, by Kirchhoff's theory and Argyris' elements, and proofs of it on published plates.

Peaks are of the von Mises stress of a face, 6 M / t^2. Whatever carries a plate is a bed, as stiff as steel: it neither
holds nor pushes at a point, so that finer elements tell the same.
"""

import numpy as np
from skfem import Basis, BilinearForm, DiscreteField, ElementTriArgyris, FacetBasis, LinearForm, asm
from scipy.sparse.linalg import splu
from skfem.helpers import dd, ddot, trace

from elements_mesh import circle, mesh

YOUNG = 210e3
POISSON = 0.3
BED = YOUNG / 10  # N/mm^3: steel 10 mm deep
EDGE = 100 * BED  # N/mm^2, of a line
# At the edge of a small hole in a plate that is bent one way, over what bends it (Goodier 1936; Peterson).
HOLE = (5 + 3 * POISSON) / (3 + POISSON)


class Argyris(ElementTriArgyris):
    """Argyris' element about the middle of each triangle: fifth powers of far coordinates would lose its digits. Powers of
    places are worked out once for its 21 functions."""

    def gbasis(self, mapping, X, i, tind=None):
        m = mapping.mesh
        tind = np.arange(m.t.shape[1]) if tind is None else tind
        if self.V is None:
            self._pbasis_init(self.maxdeg, self.dim, self.derivatives, self.tensorial_basis)
            self.V = np.linalg.inv(self._eval_dofs(m))
        if i == 0:
            x = mapping.F(X, tind=tind) - m.p[:, m.t[:, tind]].mean(axis=1)[:, :, None]
            self.powers = {ways: np.array([power(*x) + 0 * x[0] for power in powers]) for ways, powers in self._pbasis.items()}
        one = {ways: np.einsum("en,neq->eq", self.V[tind, :, i], powers) for ways, powers in self.powers.items()}
        grad, hess = [np.array([one[0,], one[1,]]), np.array([[one[0, 0], one[0, 1]], [one[1, 0], one[1, 1]]])]
        return (DiscreteField(value=one[()], grad=grad, hess=hess),)

    def gdof(self, F, w, i):
        middle = w["v"].mean(axis=0)
        return super().gdof(F, {**w, "v": w["v"] - middle, "e": w["e"] - middle}, i)


class Bent:
    """A plate of a mesh that is held where `beds`, functions of x and y, hold, and along edges of the mesh of `line_beds`;
    `soft` only keeps it in place, for loads in balance."""

    def __init__(self, m, thickness, beds=(), line_beds=(), soft=False, poisson=POISSON):
        self.mesh, self.thickness, self.poisson = m, thickness, poisson
        self.stiffness = YOUNG * thickness**3 / 12 / (1 - poisson**2)
        self.basis = basis = Basis(m, Argyris(), intorder=6)
        self.places, self.sizes = basis.global_coordinates().value, basis.dx
        bed = np.full_like(self.sizes, 1e-9 * BED if soft else 0.0)
        for where in beds:
            bed[where(self.places)] = BED

        @BilinearForm
        def bends(u, v, w):
            a, b = dd(u), dd(v)
            return self.stiffness * ((1 - poisson) * ddot(a, b) + poisson * trace(a) * trace(b)) + w.bed * u * v

        left = asm(bends, basis, bed=bed)
        for where in line_beds:
            left += asm(BilinearForm(lambda u, v, w: EDGE * u * v), self.edges(where))
        self.solved = splu(left.tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})

    def load(self, loads=(), lines=()):
        """Bends it by (where, N): a force even over the places where a function of x and y holds; so `lines` along edges."""
        push = np.zeros_like(self.sizes)
        for where, force in loads:
            here = where(self.places)
            push += force * here / np.sum(here * self.sizes)
        right = asm(LinearForm(lambda v, w: w.push * v), self.basis, push=push)
        for where, force in lines:
            edges = self.edges(where)
            right += asm(LinearForm(lambda v, w: force / edges.dx.sum() * v), edges)
        self.found = self.solved.solve(right)
        return self

    def borne(self, where):
        """What the bed bears where a function of x and y holds, N."""
        return BED * np.sum(self.basis.interpolate(self.found).value * where(self.places) * self.sizes)

    def edges(self, where):
        return FacetBasis(self.mesh, Argyris(), facets=self.mesh.facets_satisfying(where), intorder=10)

    def moments(self):
        """Mx, My and Mxy within the elements, N."""
        bent = self.basis.interpolate(self.found).hess
        xx, xy, yy = bent[0, 0], bent[0, 1], bent[1, 1]
        return -self.stiffness * np.array([xx + self.poisson * yy, yy + self.poisson * xx, (1 - self.poisson) * xy])

    def mises(self):
        """Von Mises stress of a face within the elements, MPa. Corners of the chords of a round hole would tell 3 % more."""
        x, y, xy = self.moments()
        return 6 / self.thickness**2 * np.sqrt(x**2 + y**2 - x * y + 3 * xy**2)

    def peak(self, judged):
        """Greatest stress where a function of x and y holds."""
        return np.max(self.mises(), where=judged(self.places), initial=0.0)


def within(centre, radius):
    return lambda x: np.hypot(x[0] - centre[0], x[1] - centre[1]) < radius


def none_of(regions):
    return lambda x: ~np.any([it(x) for it in regions], axis=0)


def box(left, right, low, high):
    return lambda x: (x[0] > left) & (x[0] < right) & (x[1] > low) & (x[1] < high)


def rectangle(left, right, low, high):
    return np.array([(left, low), (right, low), (right, high), (left, high)], dtype=float)


def prove():
    """Holds plates to what books tell of them; the first that differs ends the program."""

    def near(what, ours, theirs, share):
        assert abs(ours / theirs - 1) < share, f"{what}: {ours:.4g}, and the book says {theirs:.4g}"

    # Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, Table 8: a square of side a, on its edges, under an even
    # load q: 0.00406 q a^4 / D and 0.0479 q a^2 in its middle (values from memory).
    a = 100.0
    m = mesh(rectangle(0, a, 0, a), [], area=150)
    held = Bent(m, 2.0, line_beds=[lambda x: ~box(1e-6, a - 1e-6, 1e-6, a - 1e-6)(x)]).load([(lambda x: x[0] > -1, a**2)])
    near("how far a square gives", held.found[held.basis.nodal_dofs[0]].max() * held.stiffness / a**4, 0.00406, 0.005)
    near("the moment of a square", held.moments()[0].max() / a**2, 0.0479, 0.005)

    # Table 3 there, case 1: a ring carried along its outer circle and loaded along its inner, k P / t^2 at the hole (values
    # from memory). Held along
    # chords of its circle it would be clamped at their corners (Babuska's paradox): so the loads are in balance.
    for ratio, k in [(1.25, 1.10), (2.0, 1.48), (4.0, 2.17)]:
        inner = 60.0 / ratio
        m = mesh(circle((0, 0), 60.0, 48), [circle((0, 0), inner, 48)], area=100)
        at = [lambda x, r=r: np.abs(np.hypot(*x) - r) < 0.01 * r for r in (inner, 60.0)]
        held = Bent(m, 2.0, soft=True).load(lines=[(at[0], 1.0), (at[1], -1.0)])
        near(f"a ring of {ratio}", held.peak(lambda x: x[0] == x[0]) * 4.0, k, 0.015)

    # A strip held at one end, without sideways strain: 6 F L / (b t^2) (Shigley, beam tables), here 50 mm from the load.
    m = mesh(rectangle(-20, 100, 0, 20), [], [np.array([(x, 0), (x, 20)]) for x in (0, 50)], area=50)
    held = Bent(m, 2.0, beds=[lambda x: x[0] < 0], poisson=0.0).load(lines=[(lambda x: x[0] > 100 - 1e-6, 10.0)])
    near("a strip", held.peak(lambda x: x[0] > 50), 6 * 10 * 50 / 80, 0.02)

    # A small hole in a wide strip that is bent evenly (Goodier's factor from memory).
    ends, inside = 160.0, 110.0
    m = mesh(rectangle(-ends, ends, -100, 100), [circle((0, 0), 5, 48)],
             [np.array([(x, -100), (x, 100)]) for x in (-inside, inside)], area=150)
    at = [lambda x, far=far: np.abs(np.abs(x[0]) - far) < 1e-6 for far in (ends, inside)]
    held = Bent(m, 2.0, soft=True).load(lines=[(at[0], 20.0), (at[1], -20.0)])
    near("a hole", held.peak(within((0, 0), 6)), HOLE * 6 * 10 * 50 / (200 * 4), 0.03)
